"""Clutch records → clutches and their young: sires in doubt, eggs, twins, tallies."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType

from msgspec.structs import replace

from clutchlight.model import Clutch, Reading, Recorded, Sire, Sires, Species, Tally, sire_called
from clutchlight.model.animals import hidden_loci
from clutchlight.model.collection import SireKind
from clutchlight.reading.animals import Surroundings, add_animal, parent_in_place, parent_of, photos_from, reading_from
from clutchlight.reading.findings import Findings, or_nearest
from clutchlight.reading.ids import AnimalDraft, ClutchDraft
from clutchlight.reading.names import Names
from clutchlight.reading.shapes import ClutchRecord, SireRecord, TallyRecord
from clutchlight.reading.text import WrittenText


def add_clutch(draft: ClutchDraft, species: str, around: Surroundings) -> Clutch | None:
    """Enters the young of a clutch, and returns the clutch; None when its parents cannot be made out."""
    record, drafts, findings = draft.record, draft.young, around.findings
    clutch = str(record.id)
    dam = parent_of(record.dam, clutch, "dam", species, around)
    sires = _sires(record.sire, clutch, species, around)
    eggs = _eggs(drafts, findings)
    for young in drafts:
        sire = sires.certain if sires is not None else None
        add_animal(young, species, around, sire=sire, dam=dam, egg=eggs[young.id])
    names = around.names_of(species)
    looked_for = tuple(look for name in record.checked for look in names.one_look(name, findings))
    for young in drafts if looked_for else ():
        animal = around.animals[young.id]
        readings = tuple(_with_checks(reading, looked_for, names.species) for reading in animal.readings)
        around.animals[young.id] = replace(animal, readings=readings)
    if len(drafts) == len(record.young):
        check_counts(record, len(set(eggs.values())), findings)
    if dam is None or sires is None:
        return None
    return record.as_value(
        Clutch,
        species=species,
        sires=sires,
        not_by=_not_by(record, sires, around),
        dam=dam,
        young=tuple(young.id for young in drafts),
        tally=tuple(_tally(line, looked_for, names, findings) for line in record.tally),
        set_aside=_set_aside(record.set_aside, names, findings),
        photos=tuple(photos_from(record.photos, around.photos, findings)),
        prose=draft.prose,
        places={key: record.at.value(key) for key in sorted(record.written)},
    )


def _sires(record: SireRecord, clutch: str, species: str, around: Surroundings) -> Sires | None:
    if record.one_of and record.mixed:
        said = "`one_of` and `mixed` exclude each other; keep one (mixed: each egg has its own sire)"
        around.findings.report(record.at.key("mixed"), "sire-chances", said)
        return None
    written = record.one_of or record.mixed
    seen = sorted(record.written - {"one_of", "mixed"})
    if not written:
        parent = parent_in_place(record, clutch, "sire", species, around)
        return Sires("one", ((Recorded(parent), Fraction(1)),))
    if seen:
        said = f"these sires have ids; write `{seen[0]}` in the sire's own record"
        around.findings.report(record.at.key(seen[0]), "parent-twice", said)
    found: list[tuple[Sire, Fraction]] = []
    for name, chance in written:
        sire = sire_called(name)
        if isinstance(sire, Recorded):
            known = around.register.parent(name, "sire", around.findings)
            if known is None:
                return None
            sire = Recorded(known)
        found.append((sire, chance))
    kind: SireKind = "one" if len(found) == 1 else "mixed" if record.mixed else "one of"
    return Sires(kind, tuple(found))


def _not_by(record: ClutchRecord, sires: Sires, around: Surroundings) -> tuple[str, ...]:
    """The males that the breeder knows did not sire the clutch."""
    males = [(name, around.register.parent(name, "male", around.findings)) for name in record.not_by]
    for name in (name for name, male in males if male in sires.ids):
        said = f"'{name}' is a sire of this clutch by `sire`; keep him in one of the two"
        around.findings.report(name.place, "not-by-sire", said)
    return tuple(dict.fromkeys(male for _, male in males if male is not None and male not in sires.ids))


def _eggs(drafts: list[AnimalDraft], findings: Findings) -> dict[str, str]:
    """The egg of each young: its own id, or that of the twin it is said to share one with."""
    here = {draft.id: draft for draft in drafts}
    by_written = {str(name): draft.id for draft in drafts for name in (draft.id, *draft.was)}
    eggs = {draft.id: draft.id for draft in drafts}
    for draft in drafts:
        twin = draft.young.same_egg_as if draft.young is not None else None
        if twin is None:
            continue
        other = by_written.get(twin)
        if other is None or other == draft.id:
            remedy = or_nearest(twin, [name for name in here if name != draft.id])
            said = f"'{twin}' is no other young of this clutch, so they cannot share an egg{remedy}"
            findings.report(twin.place, "twin-elsewhere", said)
            continue
        first, second = _sex(here[other]), _sex(draft)
        if first and second and first != second:
            said = f"young of one egg have one sex, but '{other}' is {first} and '{draft.id}' is {second}; correct one of them"
            findings.report(twin.place, "twins-differ", said)
        else:
            old, new = eggs[draft.id], eggs[other]
            eggs = {name: new if egg == old else egg for name, egg in eggs.items()}
    return eggs


def _sex(draft: AnimalDraft) -> str | None:
    return next((record.sex for record in draft.records if record.sex not in (None, "unknown")), None)


def _tally(line: TallyRecord, looked_for: tuple[str, ...], names: Names, findings: Findings) -> Tally:
    if line.count == 0:
        findings.report(line.at.value("count"), "bad-number", "a tally of 0 says nothing; leave the line out")
    reading = reading_from(line, None, names, findings)
    return Tally(line.count, line.sex or "unknown", _with_checks(reading, looked_for, names.species))


def _with_checks(reading: Reading, looked_for: tuple[str, ...], species: Species) -> Reading:
    """What was looked for in the whole clutch was looked for in each of it that does not show it and can be told."""
    if reading.shows is None:
        return reading
    told = {key for look in (*reading.shows, *reading.cannot_tell) for key in species.locus_of_look.get(look, ())}
    settled = told | hidden_loci(reading, species)
    missed = (look for look in looked_for if settled.isdisjoint(species.locus_of_look[look]))
    return replace(reading, without=tuple(dict.fromkeys((*reading.without, *missed))))


def _set_aside(written: Mapping[WrittenText, WrittenText], names: Names, findings: Findings) -> Mapping[str, str]:
    found = ((names.locus_of(trait, findings), str(reason or "")) for trait, reason in written.items())
    return MappingProxyType({key: reason for key, reason in found if key is not None})


def check_counts(record: ClutchRecord, eggs_of_young: int, findings: Findings) -> None:
    """Reports eggs of which it is not said what became of them. `eggs_of_young`: the eggs of the young with records, twins' once."""
    at = record.at
    counted = sum(line.count for line in record.tally)
    if record.hatched is None:
        first = next((key for key in ("young", "tally", "to_sort", "unseen") if getattr(record, key)), None)
        if first is not None:
            said = f"`{first}` is filled in, but the clutch has no `hatched`; add its date"
            findings.report(at.key(first), "needs-hatched", said)
        elif record.eggs is not None and record.went_bad > record.eggs:
            said = f"{record.went_bad} eggs went bad out of {record.eggs}; correct one of the two numbers"
            findings.report(at.value("went_bad"), "egg-count", said)
        return
    if record.ended is not None:
        said = "`ended` is for a clutch that never hatched, but `hatched` is filled in; keep one"
        findings.report(at.key("ended"), "hatched-and-ended", said)
    if record.eggs is None:
        if record.complete:
            said = "the clutch hatched, but `eggs` is missing; write how many good eggs there were, or `complete: no` if nobody knows"
            findings.report(at.place, "eggs-missing", said)
        return
    parts = {
        "with young": eggs_of_young,
        "only counted": counted,
        "to be looked at": record.to_sort,
        "not seen alive": record.unseen,
        "gone bad": record.went_bad,
    }
    total = sum(parts.values())
    if total == record.eggs or (not record.complete and total < record.eggs):
        return
    told = ", ".join(f"{number} {name}" for name, number in parts.items() if number)
    good = f"{record.eggs} good {'egg' if record.eggs == 1 else 'eggs'}"
    said = f"of {good} (`eggs`) the record tells of {total or 'none'}{f': {told}' if told else ''}"
    gap = record.eggs - total
    if gap > 0:
        remedy = (
            f"write what became of the other {gap}: `went_bad: {record.went_bad + gap}` if they failed, `unseen: {record.unseen + gap}` if"
            f" their young died before anybody saw their look, `tally: [{gap} x normal]` if they were only counted, `to_sort:"
            f" {record.to_sort + gap}` if you look at them later, `complete: no` if nobody knows any more"
        )
    else:
        remedy = f"that is {-gap} too many; correct `eggs` or one of the others (twins share an egg: `same_egg_as`)"
    findings.report(at.value("eggs"), "egg-count", f"{said}; {remedy}")
