"""From the figures of its family to the statement of a clutch: who sired it, what hatched, what it proved and what it did not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction
from types import MappingProxyType

from clutchlight.genetics.values import NotComputed
from clutchlight.model import Clutch, Nobody, Unrecorded
from clutchlight.statements.animals import review_of, sire_chances, state_animal
from clutchlight.statements.answers import Inferred, Telling
from clutchlight.statements.family import relation_of_parents
from clutchlight.statements.results import surprise_notes, unexpected
from clutchlight.statements.values import AnimalStatement, ClutchState, ClutchStatement, Note, Statements
from clutchlight.wording import words

FOR_SALE = ("available", "on hold", "growing on")
CLUTCH_KINDS = ("proven", "open", "unlikely", "which-parent")


def state_clutch(
    telling: Telling,
    clutch: Clutch,
    animals: Mapping[str, AnimalStatement],
    caused: Sequence[Note],
    surprises: Sequence[Note],
) -> ClutchStatement:
    """Everything that is said of one clutch. `animals`: every statement; `caused`: the notes on animals that this clutch caused."""
    sires = sire_chances(telling, telling.sires_of_clutch(clutch))
    state = state_of(telling, clutch)
    notes = (*_notes(telling, clutch, caused), *surprises)
    species = telling.collection.species[clutch.species]
    young = tuple(animals[name] for name in clutch.young if telling.collection.animals[name].publish == "page")
    return ClutchStatement(
        id=clutch.id,
        name=clutch.name,
        species=clutch.species,
        title=_title(telling, clutch),
        state=state,
        since=_since(clutch, animals),
        sires=sires,
        sires_words=_sires_words(telling, clutch, sires_count=len(sires)),
        dam=clutch.dam if telling.listed(clutch.dam) else None,
        laid=clutch.laid,
        hatched=clutch.hatched,
        ended=clutch.ended,
        eggs=clutch.eggs,
        slugs=clutch.slugs,
        went_bad=clutch.went_bad,
        unseen=clutch.unseen,
        to_sort=clutch.to_sort,
        complete=clutch.complete,
        counts=clutch.counts,
        relation=_relation(telling, clutch),
        young=young,
        notes=notes,
        surprises=unexpected(notes),
        reviews=tuple(
            review_of(species.loci[key], telling.clutch(clutch.id), why)
            for key, why in clutch.set_aside.items()
            if key in species.loci
        ),
        facts=_facts(telling, clutch),
    )


def state_of(telling: Telling, clutch: Clutch) -> ClutchState:
    """Where a clutch stands, from its record alone; no clock is read."""
    if clutch.hatched or clutch.young or clutch.tally:
        if clutch.to_sort:
            return "still being sorted"
        statuses = [telling.collection.animals[name].status for name in clutch.young]
        sold_out = "sold" in statuses and not any(status in FOR_SALE for status in statuses)
        return "sold out" if sold_out else "hatched"
    if clutch.ended:
        return "did not hatch"
    return "incubating" if clutch.laid else "planned"


def _notes(telling: Telling, clutch: Clutch, caused: Sequence[Note]) -> tuple[Note, ...]:
    """What this clutch did to its parents' figures, then what it proved of other animals; each text once."""
    parents = tuple(dict.fromkeys((clutch.dam, *clutch.sires.ids)))
    of_parents = [note for name in parents for note in caused if note.animal == name and note.kind in CLUTCH_KINDS]
    of_others = [note for note in caused if note.animal not in parents and note.kind == "proven"]
    found: dict[str, Note] = {}
    for note in (*of_parents, *of_others):
        if telling.listed(note.animal):
            retold = replace(note, text=_retold(clutch, telling.named(note.animal), note))
            found.setdefault(retold.text, retold)
    return tuple(found.values())


def _retold(clutch: Clutch, subject: str, note: Note) -> str:
    """A note on an animal as the clutch's own page says it: about whom first, the clutch itself unnamed."""
    if note.kind == "which-parent":
        return note.text
    for lead, instead in (
        (f"Clutch {clutch.id}, ", f"{subject}, "),
        (f"Clutch {clutch.id} proved it", f"{subject} is proven"),
    ):
        if note.text.startswith(lead):
            return instead + note.text.removeprefix(lead)
    return f"{subject}: {note.text[:1].lower()}{note.text[1:]}"


def _since(clutch: Clutch, animals: Mapping[str, AnimalStatement]) -> date | None:
    dates = [animals[name].since for name in (*clutch.young, clutch.dam, *clutch.sires.ids) if name in animals]
    return max((day for day in dates if day is not None), default=None)


def _title(telling: Telling, clutch: Clutch) -> str:
    """ "M-02 x F-03, hatched 2024-07" with the multiplication sign of a cross, male first."""
    pairing = f"{_males(telling, clutch)} × {telling.named(clutch.dam)}"
    if isinstance(clutch.sires.only, Nobody):
        pairing = f"{telling.named(clutch.dam)}, without a male"
    day = clutch.hatched or clutch.laid
    return f"{pairing}, {'hatched' if clutch.hatched else 'laid'} {day.month_text}" if day else pairing


def _males(telling: Telling, clutch: Clutch) -> str:
    return words.join_or(telling.males(clutch))


def _sires_words(telling: Telling, clutch: Clutch, sires_count: int) -> str:
    if isinstance(clutch.sires.only, Unrecorded):
        return "The sire is not recorded."
    if isinstance(clutch.sires.only, Nobody):
        return "No male: the dam bred without one."
    if clutch.sires.only or len(telling.males(clutch)) == 1:
        return f"The sire is {_males(telling, clutch)}."
    if clutch.sires.kind == "mixed":
        return f"Each egg may be by {_males(telling, clutch)}."
    if sires_count == 1:
        return f"{_males(telling, clutch)} were with her; what hatched leaves one of them."
    return f"The sire is {_males(telling, clutch)}; which one is in doubt.{_not_computed(telling, clutch)}"


def _not_computed(telling: Telling, clutch: Clutch) -> str:
    """That the chances of the sires are not computed, and which test would help; "" where they are."""
    found = telling.inferred.sires(clutch.id)
    if not isinstance(found, NotComputed):
        return ""
    names = words.join_or([telling.named(name) for name in found.animals if telling.listed(name)])
    ask = f" A test of {names} would make it possible." if names else ""
    return f" The chances of the sires are {words.NOT_COMPUTED}: its family is too entangled.{ask}"


def _relation(telling: Telling, clutch: Clutch) -> str:
    values = dict.fromkeys(telling.inbreeding.get(name, Fraction(0)) for name in clutch.young)
    if clutch.sires.only is None or not values:
        return ""
    return relation_of_parents(telling.collection, clutch.sires.only, clutch.dam, max(values), of="their")


def _facts(telling: Telling, clutch: Clutch) -> tuple[str, ...]:
    said: list[str] = []
    if not clutch.complete:
        said.append("Not all of this clutch is on record: what it shows can rule out, but does not weigh.")
    if clutch.to_sort:
        verb = "is" if clutch.to_sort == 1 else "are"
        said.append(f"{words.plural(clutch.to_sort, 'hatchling')} {verb} still to be looked at.")
    if clutch.unseen:
        said.append(f"{words.plural(clutch.unseen, 'hatchling')} died before the look could be seen.")
    if not clutch.counts:
        said.append("This clutch was reported to us and is left out of every figure.")
    elif clutch.reported_by:
        said.append("This clutch was bred by somebody else and reported to us.")
    eggs = [telling.collection.animals[name].egg or name for name in clutch.young if telling.listed(name)]
    pairs = len(eggs) - len(set(eggs))
    if pairs:
        said.append(
            f"Identical twins came of {'one egg' if pairs == 1 else f'{words.number(pairs)} eggs'}: they share one set of genes."
        )
    return tuple(said)


def state_all(inferred: Inferred, inbreeding: Mapping[str, Fraction], telling: Telling | None = None) -> Statements:
    """Every animal and clutch on record, by id, in the collection's order. `inbreeding`: Wright's F by animal.

    `telling`: of the same inference, when it has been asked already. Figures must exist: `inferred.conflicts` is empty (see
    `problems_in`).
    """
    telling = telling or Telling(inferred, inbreeding)
    surprises: dict[str, list[Note]] = {}
    for concerned, note in surprise_notes(telling):
        surprises.setdefault(concerned, []).append(note)
    unexpected = {name: tuple(notes) for name, notes in surprises.items()}
    animals = {animal.id: state_animal(telling, animal, unexpected) for animal in telling.collection.animals.values()}
    caused: dict[str, list[Note]] = {}
    for statement in animals.values():
        for note in statement.notes:
            caused.setdefault(note.cause or "", []).append(note)
    clutches = {
        clutch.id: state_clutch(telling, clutch, animals, (*caused.get(clutch.id, ()),), unexpected.get(clutch.id, ()))
        for clutch in telling.collection.clutches.values()
    }
    return Statements(MappingProxyType(animals), MappingProxyType(clutches))
