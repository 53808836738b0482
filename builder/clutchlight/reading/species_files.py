"""What a species file may say: a species' facts, each with its source, its loci and its combos. Built in, or a breeder's own.

One shape serves both. A built-in file says everything about a species; a breeder's file usually only names the species and gives a
locus or two, of which every key given replaces the built-in one. A locus as written becomes one as a value here.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Annotated, Any, ClassVar, Self, get_args

from clutchlight.model import Inheritance, Locus, SexLinkage, SexSystem, Species
from clutchlight.problems import Place
from clutchlight.reading.fields import (
    EMPTY,
    Chance,
    Count,
    CountRange,
    Names,
    NamesByName,
    Number,
    Range,
    Rare,
    Slug,
    TextsByName,
    Trust,
    Words,
    YesNo,
    entries,
    one_of,
    parse_chance,
    parse_names,
)
from clutchlight.reading.findings import Findings, in_words, or_nearest
from clutchlight.reading.strict import RecordShape, Shape, UnfitError, read_as, wrong_shape
from clutchlight.reading.text import Items, Table, Written, WrittenText, by_word, is_empty

INHERITANCE = one_of(
    [kind.value for kind in Inheritance],
    also=by_word(
        {
            Inheritance.INCOMPLETE_DOMINANT.value: "codominant|co-dominant|incomplete-dominant",
            Inheritance.LINE_BRED.value: "line bred",
            Inheritance.NOT_KNOWN.value: "not-known|unknown",
        }
    ),
)
MAX_CROSSOVER = Fraction(1, 2)


def _crossover(value: Written, findings: Findings) -> Fraction:
    chance = parse_chance(value, findings)
    if chance > MAX_CROSSOVER:
        said = f"a crossover of {chance} is over 1/2, which no locus can have; 1/2 means not linked to sex at all"
        raise UnfitError("crossover-over-half", said)
    return chance


def _background(value: Written, findings: Findings) -> Fraction | dict[WrittenText, Fraction]:
    if isinstance(value, Table):
        return {key: parse_chance(item, findings) for key, item in entries(value)}
    return parse_chance(value, findings)


class EveryOtherLocus(tuple[WrittenText, ...]):
    """Every other locus of the species but these, those of the breeder's own among them."""

    __slots__ = ()


def _hides(value: Written) -> dict[WrittenText, tuple[WrittenText, ...]]:
    return {look: _hidden(item) for look, item in entries(value)}


def _hidden(value: Written) -> tuple[WrittenText, ...]:
    """A list of loci, `everything`, or `{everything_but: [albino]}`."""
    if isinstance(value, Table):
        but = [parse_names(item) for key, item in entries(value) if key == "everything_but"]
        if len(but) != 1 or len(entries(value)) > 1:
            raise wrong_shape(
                value, "a list of loci, `everything`, or `{everything_but: [...]}` with those that still show"
            )
        return EveryOtherLocus(but[0])
    names = parse_names(value)
    return EveryOtherLocus() if [name.casefold() for name in names] == ["everything"] else names


class SexLinked(RecordShape, noun="sex_linked", makes=SexLinkage):
    crossover: Annotated[Fraction, _crossover] | None = None
    source: Words | None = None


class LocusRecord(RecordShape, noun="a locus"):
    hints: ClassVar[Mapping[str, str]] = {
        "name": "a locus has `locus`, its key, and `alleles`, the names of its traits",
        "type": "write `inheritance: recessive`",
        "super": "write `two_copies: {Pastel: Super Pastel}`",
    }

    locus: Slug
    inheritance: Annotated[str, INHERITANCE] | None = None
    alleles: Names | None = None
    also_called: NamesByName = EMPTY
    two_copies: TextsByName = EMPTY
    together: TextsByName = EMPTY
    hides: Annotated[Mapping[WrittenText, tuple[WrittenText, ...]], _hides] = EMPTY
    subtle: Names = ()
    background: Annotated[Fraction | dict[WrittenText, Fraction], _background] | None = None
    sex_linked: SexLinked | None = None
    kept_in_parthenogenesis: Chance = Fraction(0)
    unrecorded: Rare | None = None
    claim_trust: Trust | None = None
    two_copies_harm: TextsByName = EMPTY
    together_harm: TextsByName = EMPTY
    affects: Words | None = None
    may_be_alleles: Names = ()
    welfare: Words | None = None
    welfare_source: Words | None = None
    what: Words | None = None
    gene: Words | None = None
    gene_source: Words | None = None
    source: Words | None = None
    replace: YesNo = False


DIES = "dies"
RESERVED_NAMES = frozenset({"normal", DIES})

# What only a locus with figures can have.
_NEEDS_FIGURES = (
    "two_copies",
    "together",
    "hides",
    "background",
    "sex_linked",
    "unrecorded",
    "claim_trust",
    "two_copies_harm",
    "together_harm",
    "affects",
    "may_be_alleles",
)
# What stays when a breeder writes a built-in locus anew from its alleles up: facts about harm are not dropped in passing.
_SURVIVES = ("affects", "welfare", "welfare_source", "two_copies_harm", "together_harm")


def laid_over(held: LocusRecord | None, record: LocusRecord) -> LocusRecord:
    """A locus by what was held of it and what `record` says besides; with `replace`, or from its alleles up, in place of it."""
    earlier = {} if held is None else {name: getattr(held, name) for name in vars(held) if name in held.written}
    later = {name: getattr(record, name) for name in sorted(record.written - {"replace"})}
    same_alleles = later.get("alleles") in (None, earlier.get("alleles"))
    inheritance = earlier.get("inheritance")
    if record.replace or ("alleles" in later and later.get("inheritance", inheritance) != inheritance):
        kept = {name: earlier[name] for name in _SURVIVES if name in earlier} if same_alleles else {}
        return LocusRecord(at=record.at, **{**kept, **later})
    added = {name: _added(earlier.get(name), new) for name, new in later.items()}
    return LocusRecord(at=record.at, **{**earlier, **added})


def place_in_locus(record: LocusRecord, name: str) -> Place:
    """Where a locus names something; the locus itself when the name was made, not written."""
    written: list[WrittenText] = []
    for value in vars(record).values():
        for item in value.items() if isinstance(value, dict) else value if isinstance(value, tuple) else ():
            for part in item if isinstance(item, tuple) else (item,):
                written += part if isinstance(part, tuple) else (part,)
    found = next(
        (text for text in written if isinstance(text, WrittenText) and text.casefold() == name.casefold()), None
    )
    return found.place if found is not None else record.place


def _added(held: Any, new: Any) -> Any:
    """What a later file says of a key: names join those of the earlier one, anything else takes its place."""
    if isinstance(held, dict) and isinstance(new, dict):
        return {**held, **{key: _added(held.get(key), value) for key, value in new.items()}}
    if not isinstance(held, tuple) or not isinstance(new, tuple):
        return new
    if isinstance(held, EveryOtherLocus) or isinstance(new, EveryOtherLocus):
        lists = [name for one in (held, new) if not isinstance(one, EveryOtherLocus) for name in one]
        first, *more = (one for one in (held, new) if isinstance(one, EveryOtherLocus))
        return EveryOtherLocus(name for name in first if all(name in one for one in more) and name not in lists)
    names = {name.casefold() for name in held}
    return (*held, *(name for name in new if name.casefold() not in names))


# ---- a locus as a value


class LocusMaker:
    """Makes a locus of what is written of it. `own`: where the breeder's own files write it; None: they do not."""

    def __init__(self, record: LocusRecord, species: str, findings: Findings, own: Place | None) -> None:
        self.record, self.species, self.findings, self.own = record, species, findings, own
        self.before = findings.errors

    def make(self) -> Locus | None:
        """The locus; None, with every problem reported, when it does not hold together."""
        record = self.record
        for key in (key for key in ("inheritance", "alleles") if not getattr(record, key)):
            self._report(record.place, "missing-key", f"`{key}` is missing; add `{key}:` to this locus")
        if self._failed():
            return None
        inheritance = Inheritance(record.inheritance)
        alleles = self._alleles()
        if not inheritance.computed:
            self._refuse_figures(inheritance)
        two_copies, dies = self._two_copies(inheritance, alleles)
        together = self._pairs(record.together, alleles)
        for look in record.together.values():
            if look.casefold() in RESERVED_NAMES:
                said = f"'{look}' cannot be the name of a look, and eggs with one of each that die are not reckoned"
                self._report(look.place, "bad-trait-name", f"{said}; write what is known of them under `together_harm`")
        if self._failed():
            return None
        bare: dict[str, Any] = {
            "species": self.species,
            "key": str(record.locus),
            "inheritance": inheritance,
            "alleles": alleles,
            "two_copies": two_copies,
            "together": together,
            "dies": dies,
        }
        looks = Locus(**bare).look_names
        locus = record.as_value(
            Locus,
            **bare,
            also_called=self._by_look(record.also_called, looks),
            subtle=frozenset(self._known(name, alleles) for name in record.subtle),
            hides=self._by_look(record.hides, looks),
            background=self._background(alleles),
            two_copies_harm={self._known(name, alleles): str(text) for name, text in record.two_copies_harm.items()},
            together_harm=self._pairs(record.together_harm, alleles),
            welfare=self._welfare(inheritance),
            built_in=self.own is None,
            place=None if self.own is None else record.place,
        )
        return None if self._failed() else locus

    def _welfare(self, inheritance: Inheritance) -> str | None:
        """What is known to trouble its animals; of a disorder at least what it is."""
        record = self.record
        if record.welfare or not record.affects:
            return record.welfare
        return f"{'Two copies mean' if inheritance is Inheritance.RECESSIVE else 'It means'} {record.affects}."

    def _report(self, place: Place, code: str, said: str) -> None:
        """What the built-in file writes is not the breeder's to mend: where it does not fit their locus, that is the place to tell of."""
        if self.own is not None and place.file == f"{self.species}.yaml":
            place = self.own
            said += "; this stands in the built-in locus: `replace: yes` puts yours in its place"
        self.findings.report(place, code, said)

    def _failed(self) -> bool:
        return self.findings.errors > self.before

    def _alleles(self) -> tuple[str, ...]:
        seen: dict[str, WrittenText] = {}
        for name in self.record.alleles or ():
            if name.casefold() in RESERVED_NAMES or "+" in name:
                said = f"'{name}' cannot be the name of a trait; leave out '+', and choose no word that means something else"
                self._report(name.place, "bad-trait-name", said)
            elif name.casefold() in seen:
                self._report(name.place, "name-taken", f"'{name}' stands twice among the alleles; keep one")
            seen[name.casefold()] = name
        return tuple(str(name) for name in seen.values())

    def _refuse_figures(self, inheritance: Inheritance) -> None:
        for key in (key for key in _NEEDS_FIGURES if getattr(self.record, key)):
            said = f"a trait that is {inheritance.value} gets no figures, so it takes no `{key}`"
            remedy = "leave it out or give another inheritance"
            self._report(self.record.at.key(key), "words-only", f"{said}; {remedy}")

    def _two_copies(self, inheritance: Inheritance, alleles: tuple[str, ...]) -> tuple[dict[str, str], frozenset[str]]:
        looks: dict[str, str] = {}
        dies: list[str] = []
        for name, look in self.record.two_copies.items():
            allele = self._known(name, alleles)
            if look.casefold() == DIES:
                dies.append(allele)
            elif inheritance.computed and inheritance is not Inheritance.INCOMPLETE_DOMINANT:
                said = (
                    f"a {inheritance.value} trait looks the same with two copies as this says; only an incomplete dominant"
                    f" one has a look of its own for two; change `inheritance` or leave out '{look}'"
                )
                self._report(name.place, "two-copies-misplaced", said)
            else:
                looks[allele] = str(look)
        return looks, frozenset(dies)

    def _pairs(self, written: Mapping[WrittenText, WrittenText], alleles: tuple[str, ...]) -> dict[frozenset[str], str]:
        found = {}
        for name, text in written.items():
            parts = [part.strip() for part in name.split("+")]
            if len(parts) != 2 or parts[0].casefold() == parts[1].casefold():
                said = f"'{name}' is no pair of alleles; write two of this locus as `A + B`"
                self._report(name.place, "unknown-allele", said)
            else:
                pair = frozenset(self._known(name.part(part, 0), alleles) for part in parts)
                found[pair] = str(text)
        return found

    def _known(self, name: WrittenText, known: tuple[str, ...], what: str = "allele") -> str:
        """The known allele or look that is meant; the name itself, and a problem, where there is none."""
        if found := next((one for one in known if one.casefold() == name.casefold()), None):
            return found
        remedy = or_nearest(name, known, f"its {what}s are {in_words(known, 'and')}")
        self._report(name.place, "unknown-allele", f"'{name}' is no {what} of '{self.record.locus}'{remedy}")
        return str(name)

    def _by_look(
        self, written: Mapping[WrittenText, tuple[WrittenText, ...]], looks: tuple[str, ...]
    ) -> dict[str, tuple[str, ...]]:
        return {
            self._known(name, looks, "look"): values if isinstance(values, EveryOtherLocus) else tuple(map(str, values))
            for name, values in written.items()
        }

    def _background(self, alleles: tuple[str, ...]) -> dict[str, Fraction]:
        at, written = self.record.at, self.record.background
        if written is None:
            return {}
        if not isinstance(written, Fraction):
            found = {self._known(name, alleles): chance for name, chance in written.items()}
        elif len(alleles) > 1:
            said = f"this locus has several alleles; say which, such as `background: {{{alleles[0]}: {written}}}`"
            self._report(at.key("background"), "background-which", said)
            return {}
        else:
            found = {alleles[0]: written}
        if sum(found.values(), Fraction(0)) >= 1 or min(found.values(), default=Fraction(1)) == 0:
            said = "background frequencies are above 0 and leave room for the normal allele"
            self._report(at.key("background"), "bad-chance", f"{said}; write a share such as 1/200")
        return found


# ---- the species


MOST_EGGS = 40
"""The largest clutch that a spread may reach to."""


class SourcedDays(CountRange):
    source: Words


class SexDetermination(RecordShape, noun="sex_determination"):
    system: Annotated[SexSystem, one_of(get_args(SexSystem))]
    source: Words


class ClutchFacts(RecordShape, noun="clutch"):
    """`eggs`: the fewest and the most; `like_fate`: how far the eggs of a clutch hatch or fail together; `lays`: how many females lay."""

    usual: Count
    hatch_rate: Chance | None = None
    source: Words
    eggs: CountRange | None = None
    like_fate: Chance | None = None
    lays: Chance | None = None
    spread_source: Words | None = None

    def completed(self) -> Self:
        if self.eggs is None:
            return self
        first, last = self.eggs.first, self.eggs.last
        said = f"a clutch of {last} eggs; write at most {MOST_EGGS}" if last > MOST_EGGS else ""
        if not first <= self.usual <= last:
            said = f"a usual clutch of {self.usual} does not lie in {first} to {last}; correct `usual` or `eggs`"
        if said:
            raise UnfitError("bad-number", said, self.at.value("eggs"))
        return self


class ReadyWhen(RecordShape, noun="ready_when"):
    meals: Count
    sheds: Count
    text: Words
    source: Words


class FeedingAtAge(RecordShape, noun="feeding at an age"):
    """`until_months`: the age up to which it holds; None for all that are older. `long_days`: so long without a meal is pointed out."""

    until_months: Count | None = None
    every_days: CountRange
    long_days: Count


class FeedingFacts(RecordShape, noun="feeding"):
    """How often a species is commonly fed, the youngest first."""

    by_age: tuple[FeedingAtAge, ...]
    source: Words


class AdultReadiness(RecordShape, noun="readiness"):
    age_months: Range
    weight_g: Range
    text: Words
    source: Words


class Readiness(RecordShape, noun="readiness"):
    male: AdultReadiness
    female: AdultReadiness


class MaleLimits(RecordShape, noun="the limits of a male in use"):
    pairings_per_7_days: Number
    days_in_a_row: Number | None = None
    rest_days: Number | None = None
    females: Number | None = None
    weight_loss_percent: Number
    refusals: Number


class MaleSeason(MaleLimits):
    small_below_g: Number
    small_or_first_season: MaleLimits
    source: Words


class Window(RecordShape, noun="a window"):
    after: Words
    comes: Words
    days: CountRange
    source: Words


class SeasonFacts(RecordShape, noun="season"):
    male: MaleSeason
    windows: tuple[Window, ...] = ()


class SourcedNote(RecordShape, noun="a note"):
    note: Words
    source: Words


class Caution(RecordShape, noun="a caution"):
    about: Words
    text: Words
    source: Words


class Rule(RecordShape, noun="a rule"):
    name: Words
    text: Words
    source: Words


class ComboRecord(RecordShape, noun="a combo"):
    looks: Names
    harm: Words | None = None
    source: Words | None = None

    @classmethod
    def from_short(cls, value: WrittenText | Items) -> Table:
        return Table.of(value.place, looks=value)


def _combos(value: Written, findings: Findings) -> dict[WrittenText, ComboRecord] | None:
    written = [(name, read_as(ComboRecord, item, findings)) for name, item in entries(value) if not is_empty(item)]
    read = {name: record for name, record in written if record is not None}
    return read if len(read) == len(written) else None


class SpeciesRecord(RecordShape, noun="a traits file"):
    """A species file: built in, or a breeder's own."""

    species: Slug
    name: Words | None = None
    scientific_name: Words | None = None
    also_called: Names = ()
    sex_determination: SexDetermination | None = None
    clutch: ClutchFacts | None = None
    incubation_days: SourcedDays | None = None
    ready_when: ReadyWhen | None = None
    feeding: FeedingFacts | None = None
    readiness: Readiness | None = None
    season: SeasonFacts | None = None
    stored_sperm: SourcedNote | None = None
    parthenogenesis: SourcedNote | None = None
    cautions: tuple[Caution, ...] = ()
    law: tuple[Rule, ...] = ()
    looks_source: Words | None = None
    loci: tuple[LocusRecord, ...] = ()
    combos: Annotated[Mapping[WrittenText, ComboRecord], _combos] = EMPTY


def facts_of(species: Species | None, kind: type[Shape]) -> tuple[Shape, ...]:
    """What the species file says of that kind: nothing, one thing or several."""
    values = species.facts.values() if species is not None else ()
    found = (one for value in values for one in (value if isinstance(value, tuple) else (value,)))
    return tuple(one for one in found if isinstance(one, kind))


def fact_of(species: Species | None, kind: type[Shape]) -> Shape | None:
    return next(iter(facts_of(species, kind)), None)
