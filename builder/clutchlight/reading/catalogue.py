"""Species files, and the breeder's own trait files over them → species as values.

A file of the breeder's may change single keys of a built-in locus, add loci and combos, or describe a whole new species.
Names belong to one locus each; a name in `also_called` of several loci is the one exception: those lines look alike.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import cache
from pathlib import Path
from types import MappingProxyType

from msgspec.structs import replace

from clutchlight import shipped
from clutchlight.model import HarmTogether, Locus, Species
from clutchlight.problems import Place, RecordsError
from clutchlight.reading.findings import Findings, in_words, or_nearest
from clutchlight.reading.species_files import (
    EveryOtherLocus,
    LocusMaker,
    LocusRecord,
    SexDetermination,
    SpeciesRecord,
    laid_over,
    place_in_locus,
)
from clutchlight.reading.strict import read_as
from clutchlight.reading.text import WrittenText, decode
from clutchlight.reading.yaml_records import compose

_NOT_FACTS = frozenset({"species", "name", "scientific_name", "loci", "combos"})
_NEEDED_OF_A_NEW_SPECIES = ("name", "scientific_name", "sex_determination")


def built_in_species() -> tuple[str, ...]:
    """Keys of the species that come with the tool, in order."""
    return tuple(sorted(path.stem for path in shipped.species().glob("*.yaml")))


def load(key: str, own: Sequence[SpeciesRecord] = (), findings: Findings | None = None) -> Species | None:
    """The species `key`: the built-in file, if there is one, with the breeder's own files laid over it.

    None, with every problem reported, when they do not hold together.
    """
    files = [record for record in own if record.species == key]
    built_in = _built_in(key) if key in built_in_species() else None
    if built_in is not None and not files:
        return _as_it_comes(key)
    return _SpeciesBuilder(key, built_in, files, findings or Findings()).build()


@cache
def _built_in(key: str) -> SpeciesRecord:
    path: Path = shipped.species() / f"{key}.yaml"
    findings = Findings()
    text = decode(path.read_bytes(), path.name, findings)
    table = None if text is None else compose(text, path.name, findings)
    record = None if table is None else read_as(SpeciesRecord, table, findings)
    if record is None or findings.errors:
        raise RecordsError(findings.problems)
    return record


@cache
def _as_it_comes(key: str) -> Species:
    """A built-in species that nobody's file changes: read once, since whoever watches a collection reads it over and over."""
    findings = Findings()
    species = _SpeciesBuilder(key, _built_in(key), [], findings).build()
    if species is None or findings.problems:
        raise RecordsError(findings.problems)
    return species


def _only_names(record: LocusRecord) -> bool:
    """Whether a record of a locus says other names and nothing else: it is added to all others, in any file."""
    return record.written == {"locus", "also_called"}


class _SpeciesBuilder:
    def __init__(
        self, key: str, built_in: SpeciesRecord | None, own: Sequence[SpeciesRecord], findings: Findings
    ) -> None:
        self.key, self.built_in, self.findings = key, built_in, findings
        self.files = [*([built_in] if built_in is not None else ()), *own]
        self.before = findings.errors
        self.written: dict[str, LocusRecord] = {}
        self.own: dict[str, Place] = {}

    def build(self) -> Species | None:
        said = {name: getattr(file, name) for file in self.files for name in file.written}
        if not self.files or not self._complete(said):
            return None
        sexes: SexDetermination = said["sex_determination"]
        self._lay_over_each_other()
        makers = (LocusMaker(one, self.key, self.findings, self.own.get(key)) for key, one in self.written.items())
        loci = self._with_hidden({locus.key: locus for maker in makers if (locus := maker.make()) is not None})
        looks = self._check_names(loci)
        combos, harm = self._combos(looks)
        if self.findings.errors > self.before:
            return None
        return Species(
            key=self.key,
            name=said["name"],
            scientific_name=said["scientific_name"],
            sex_system=sexes.system,
            loci=MappingProxyType(loci),
            combos=MappingProxyType(combos),
            harm_together=harm,
            facts=MappingProxyType({name: value for name, value in said.items() if name not in _NOT_FACTS}),
            digest=_digest(loci, combos, sexes.system),
        )

    def _complete(self, said: Mapping[str, object]) -> bool:
        lacking = [name for name in _NEEDED_OF_A_NEW_SPECIES if name not in said]
        if lacking:
            known = built_in_species()
            near = or_nearest(self.key, known, f"the built-in ones are {in_words(known, 'and')}")
            told = f"'{self.key}' is no built-in species{near}; a new species needs {in_words(lacking, 'and')} as well"
            self.findings.report(self.files[0].at.value("species"), "unknown-species", told)
        return not lacking

    def _lay_over_each_other(self) -> None:
        """The loci as all files together write them, and where the breeder's own files do."""
        records = [(file is self.built_in, record) for file in self.files for record in file.loci]
        for built_in, record in sorted(records, key=lambda one: _only_names(one[1])):
            key = str(record.locus)
            if not built_in and key in self.own and not _only_names(record):
                first = self.own[key]
                said = f"the locus '{key}' already stands in {first.file}, line {first.line}; keep one of them"
                self.findings.report(record.at.value("locus"), "name-taken", said)
                continue
            if not built_in:
                self.own.setdefault(key, record.place)
            self.written[key] = laid_over(self.written.get(key), record)

    def _with_hidden(self, loci: Mapping[str, Locus]) -> dict[str, Locus]:
        """The loci with what each look hides by name, once all loci are known."""
        self._check_hides(loci)
        self._check_alleles(loci)
        found: dict[str, Locus] = {}
        for key, locus in loci.items():
            hides = dict(locus.hides)
            for look, hidden in locus.hides.items():
                if isinstance(hidden, EveryOtherLocus):
                    hides[look] = tuple(other for other in loci if other != key and other not in hidden)
            same = (*locus.may_be_alleles, *(other for other, one in loci.items() if key in one.may_be_alleles))
            found[key] = replace(locus, hides=hides, may_be_alleles=tuple(dict.fromkeys(same)))
        return found

    def _check_hides(self, loci: Mapping[str, Locus]) -> None:
        hidden = ((one, look, keys, key) for one in loci.values() for look, keys in one.hides.items() for key in keys)
        for locus, look, keys, other in hidden:
            if other not in loci:
                near = or_nearest(other, loci, "write the key of a locus of this species")
                said = f"'{look}' is said to hide '{other}', which is no locus{near}"
                self._report(locus, "unknown-locus", other, said)
            elif other == locus.key and not isinstance(keys, EveryOtherLocus):
                said = f"'{look}' cannot hide its own locus; take '{other}' out"
                self._report(locus, "unknown-locus", other, said)

    def _check_alleles(self, loci: Mapping[str, Locus]) -> None:
        for locus in loci.values():
            others = {key: other for key, other in loci.items() if key != locus.key}
            for key in locus.may_be_alleles:
                if key not in others or not others[key].inheritance.computed:
                    near = or_nearest(key, others, "write the key of another locus")
                    said = f"'{key}' is no other locus with figures that '{locus.key}' may be one with{near}"
                    self._report(locus, "unknown-locus", key, said)

    def _check_names(self, loci: Mapping[str, Locus]) -> dict[str, tuple[str, str]]:
        """Reports names that belong to two loci; returns (look, locus) by name in small letters."""
        owner: dict[str, tuple[str, str]] = {}
        aliases: dict[str, list[tuple[str, str]]] = {}
        for key, locus in loci.items():
            for name in locus.look_names:
                held = owner.setdefault(name.casefold(), (name, key))
                if held[1] != key:
                    self._taken(name, _later(loci[held[1]], locus), held[1] if not locus.built_in else key)
            for look, others in locus.also_called.items():
                for name in others:
                    aliases.setdefault(name.casefold(), []).append((look, key))
        for name, places in aliases.items():
            first = places[0][1]
            if name in owner:
                for key in (key for look, key in places if owner[name] != (look, key)):
                    self._taken(name, _later(loci[owner[name][1]], loci[key]), owner[name][1])
            elif len(places) == 1:
                owner[name] = places[0]
            elif all(key == first for _, key in places):
                self._taken(name, loci[first], first)
        return owner

    def _taken(self, name: str, locus: Locus, other: str) -> None:
        said = f"the name '{name}' already belongs to the locus '{other}'; choose another"
        self._report(locus, "name-taken", name, said)

    def _report(self, locus: Locus, code: str, name: str, said: str) -> None:
        """Tells of a name, where the files write it of a locus."""
        self.findings.report(place_in_locus(self.written[locus.key], name), code, said)

    def _combos(
        self, looks: Mapping[str, tuple[str, str]]
    ) -> tuple[dict[str, tuple[str, ...]], tuple[HarmTogether, ...]]:
        """The combos by name, and the harm that some do. One that is called by its looks alone has no name of its own."""
        combos: dict[str, tuple[str, ...]] = {}
        harm: dict[str, HarmTogether] = {}
        names: dict[str, str] = {}
        for file in self.files:
            for name, record in file.combos.items():
                if file is self.built_in and any(part.casefold() not in looks for part in record.looks):
                    continue  # the breeder's own file took one of its looks away
                if name.casefold() in looks:
                    said = f"'{name}' is already a look of the locus '{looks[name.casefold()][1]}'; give the combo another name"
                    self.findings.report(name.place, "name-taken", said)
                    continue
                found = [self._part(part, looks) for part in record.looks]
                if len({key for _, key in found}) < len(found):
                    said = f"'{name}' names two looks of one locus; a combo joins looks of different loci"
                    self.findings.report(name.place, "combo-parts", said)
                earlier = names.setdefault(name.casefold(), str(name))
                parts = tuple(look for look, _ in found)
                if name.casefold() != " ".join(parts).casefold():
                    combos[earlier] = parts
                if record.harm:
                    harm[earlier] = HarmTogether(parts, str(record.harm), str(record.source) if record.source else None)
        return combos, tuple(harm.values())

    def _part(self, part: WrittenText, looks: Mapping[str, tuple[str, str]]) -> tuple[str, str]:
        found = looks.get(part.casefold())
        if found is None:
            near = or_nearest(part, (look for look, _ in looks.values()), "write a look as `shows` takes it")
            self.findings.report(part.place, "combo-parts", f"'{part}' is no look of this species{near}")
            return str(part), f"?{part}"
        return found


def _later(first: Locus, second: Locus) -> Locus:
    """Of two loci that want one name, the breeder's own: the built-in file is not the breeder's to mend."""
    return first if second.built_in and not first.built_in else second


def _digest(loci: Mapping[str, Locus], combos: Mapping[str, tuple[str, ...]], sex_system: str) -> str:
    """SHA-256 of all that can change a figure or the name of a look: a reworded sentence changes nothing."""
    rules = {
        "sex_system": sex_system,
        "combos": {name: list(parts) for name, parts in combos.items()},
        "loci": {key: _rules(locus) for key, locus in loci.items()},
    }
    text = json.dumps(rules, sort_keys=True, separators=(",", ":"))
    return f"sha256:{hashlib.sha256(text.encode()).hexdigest()}"


def _rules(locus: Locus) -> dict[str, object]:
    linked = locus.sex_linked
    found: dict[str, object] = {
        "inheritance": locus.inheritance.value,
        "alleles": list(locus.alleles),
        "two_copies": dict(locus.two_copies),
        "together": {" + ".join(sorted(pair)): look for pair, look in locus.together.items()},
        "dies": sorted(locus.dies),
        "subtle": sorted(locus.subtle),
        "hides": {look: list(keys) for look, keys in locus.hides.items()},
        "background": {name: _ratio(chance) for name, chance in locus.background.items()},
        "sex_linked": None
        if linked is None
        else {"crossover": None if linked.crossover is None else _ratio(linked.crossover)},
        "kept_in_parthenogenesis": _ratio(locus.kept_in_parthenogenesis),
    }
    if locus.unrecorded:
        found["unrecorded"] = _ratio(locus.unrecorded)
    if locus.claim_trust:
        found["claim_trust"] = _ratio(locus.claim_trust)
    return found


def _ratio(chance: Fraction) -> str:
    return f"{chance.numerator}/{chance.denominator}"
