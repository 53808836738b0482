"""Dated records: which statements a stamp adds to the ledger, and how a past one reads today.

A stamp dates the statement of every animal that has a page of its own and had hatched by then, once its figures are others than those
last dated; of animals asked for by name, as at a sale, whatever is said on that day, since records written later may lie between it and an
older one. Animals that are only named or are not published, and parents without a record of their own, have no published statement to
date; the records of one that was published before stay in the ledger.

A past record reads "as stated" while the present records give the same sex, hatching, parents, looks and chances of copies for its day.
Grounds are left out of the comparison: a chance is what was stated, and what it rests on may rightly be said better later. Where something
differs, the cause is named as far as it can be known: another version of the tool or of the species file may make figures differently
(`rules`); else records or settings were added or edited (`records`).
"""

from __future__ import annotations

from collections.abc import Collection as Collected, Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Literal

from msgspec import Struct, field
from msgspec.structs import replace

from clutchlight import __version__
from clutchlight.genetics.inference import Inference, infer
from clutchlight.genetics.values import Figure, NotComputed
from clutchlight.ledger.chain import append_lines, digest_of_text, line_of, read_ledger
from clutchlight.model import UNRECORDED, Animal, Clutch, Collection
from clutchlight.model.as_published import is_unlisted
from clutchlight.model.collection import as_it_stood
from clutchlight.model.ledger import DatedRecord, Ledger, short
from clutchlight.problems import Place, Problem, RecordsError
from clutchlight.statements.answers import Answers, looks_told
from clutchlight.statements.asked import shown_in, stated_traits
from clutchlight.statements.changes import (
    Changes,
    TimelineRow,
    animal_timeline,
    changes_of,
    clutch_timeline,
    of_no_trait,
    said_in,
    stated_surer,
)
from clutchlight.statements.values import Statements, covered_by, digest_of
from clutchlight.wording.words import first_few, looks_words, with_doubt

Verdict = Literal["as stated", "records", "rules"]


class Reread(Struct, frozen=True):
    """A dated record beside what the present records give for its day. `said`: what it states, in short."""

    record: DatedRecord
    verdict: Verdict
    said: str = ""


# Stamping


def lines_to_add(
    collection: Collection,
    statements: Statements,
    ledger: Ledger,
    on: date,
    only: Collected[str] | None = None,
) -> tuple[str, ...]:
    """The lines that a stamp on a day adds, in order of id; () when no figure changed. `only`: these animals, changed or not, unless that
    very day holds the same.

    `collection` and `statements` are as of that day (`open_book(folder, until=on)`). Raises RecordsError: a clutch is still to be sorted,
    unless it is `only` about animals whose figures somebody took home; or the ledger holds a later day.
    """
    problems = [*(_to_sort(collection, on) if only is None else ()), *_earlier(ledger, on)]
    if problems:
        raise RecordsError(problems)
    number = ledger.records[-1].number if ledger.records else 0
    before = ledger.head
    found: list[str] = []
    for animal in collection.animals.values():
        if not _stamped(collection, animal, on) or (only is not None and animal.id not in only):
            continue
        said = statements.animals[animal.id]
        last = ledger.of(*animal.was, animal.id)
        if_sired = tuple(trait.trait for trait in said.traits if trait.if_sired and not trait.under_review)
        same = last and last[-1].digest == digest_of(said) and last[-1].if_sired in (None, if_sired)
        if same and (only is None or last[-1].on == on):
            continue
        number += 1
        line = line_of(
            number, on, covered_by(said), before, __version__, collection.species[animal.species].digest, if_sired
        )
        before = digest_of_text(line)
        found.append(line)
    return tuple(found)


def _stamped(collection: Collection, animal: Animal, on: date) -> bool:
    if animal.publish != "page":
        return False
    clutch = collection.clutches.get(animal.clutch or "")
    born = clutch.hatched if clutch else animal.hatched
    return animal.founder or born is None or born.last <= on


def _to_sort(collection: Collection, on: date) -> Iterator[Problem]:
    for clutch in collection.clutches.values():
        if clutch.to_sort and (clutch.hatched is None or clutch.hatched.last <= on):
            yield Problem.at(
                clutch.place_of("to_sort"),
                "clutch-to-sort",
                f"{clutch.to_sort} of clutch {clutch.id} {'is' if clutch.to_sort == 1 else 'are'} still to be sorted, so nothing was "
                "stamped; write down what they show, then stamp",
            )


def _earlier(ledger: Ledger, on: date) -> Iterator[Problem]:
    if ledger.records and on < ledger.records[-1].on:
        last = ledger.records[-1]
        yield Problem.at(
            Place(last.place.file, last.place.line),
            "stamp-earlier",
            f"the last dated record is of {last.on}, and the ledger does not go back to {on}; nothing was stamped",
        )


def of_nobody(collection: Collection, ledger: Ledger) -> Iterator[Problem]:
    """Warns of dated records of animals of which there is no record any more, under that id or as an earlier one; once for all of them."""
    known = {name for animal in collection.animals.values() for name in (animal.id, *animal.was)}
    gone = {name: rows for name, rows in ledger.by_animal.items() if name not in known}
    if gone:
        first = next(iter(gone))
        yield Problem.at(
            gone[first][-1].place,
            "dated-and-gone",
            f"no record is left of {first_few(tuple(gone))}, dated before; where an animal has another id now, write the"
            f" old one in its record (`was: {first}`), so that its printed address leads to it; else put its record back",
            "warning",
        )


def of_nothing(collection: Collection, ledger: Ledger) -> Iterator[Problem]:
    """Warns of traits in the last dated record of an animal that no file describes any more; once for all of them."""
    found: dict[str, Place] = {}
    for animal in collection.animals.values():
        last = ledger.of(*animal.was, animal.id)[-1:] if animal.publish == "page" else ()
        for record in (one for one in last if one.figures.species == animal.species):
            gone = of_no_trait(record, collection.species[animal.species])
            found = {**{row.trait: record.place for row, _ in gone}, **found}
    if found:
        first, place = next(iter(found.items()))
        yield Problem.at(
            place,
            "dated-trait-gone",
            f"no trait file describes {first_few(tuple(found))}, of which dated records speak; what has another name now keeps"
            f" the old one there (`also_called: {{NEW NAME: [{first}]}}`); what was given up, the next `stamp` dates as gone",
            "warning",
        )


def said_words(answers: Answers, animal: Animal, record: DatedRecord) -> str:
    """What was stated, in short: "Pastel; het Piebald; 66% possible het Clown"."""
    looks, loci = record.figures.looks, answers.species_of(animal).loci
    aside = [trait for key in record.figures.under_review for trait in (loci[key].alleles if key in loci else (key,))]
    parts = [with_doubt(looks_words(looks), looks, aside)]
    known = {(one.locus.key, one.trait): one for one in stated_traits(record, answers, animal)}
    gone = {row.trait: label for row, label in of_no_trait(record, answers.species_of(animal))}
    for row in record.figures.traits:
        if row.carries and not shown_in(record, answers.species_of(animal), row):
            asked = known.get((row.locus, row.trait))
            parts.append(said_in(record, asked, record.on)[1] if asked else gone.get(row.trait, ""))
    return "; ".join(dict.fromkeys(filter(None, parts)))


def _in_words(answers: Answers, animal: Animal, row: Reread) -> Reread:
    """With what was stated; what hangs on who sired a clutch by today's records alone makes another statement of it."""
    edited = row.verdict == "as stated" and stated_surer(row.record, answers, animal)
    return replace(row, said=said_words(answers, animal, row.record), verdict="records" if edited else row.verdict)


# Reading again


def reread(inferred: Inference, ledger: Ledger, version: str) -> dict[str, tuple[Reread, ...]]:
    """For each animal on record its dated records, oldest first, each with how it reads today."""
    reader = _LedgerReader(inferred, version)
    return {
        animal.id: tuple(Reread(record, reader.verdict(animal, record)) for record in rows)
        for animal in inferred.collection.animals.values()
        if (rows := ledger.of(*animal.was, animal.id))
    }


class _LedgerReader:
    """Compares dated records with what the present ones give for their day."""

    def __init__(self, inferred: Inference, version: str) -> None:
        self.inferred, self.version = inferred, version
        self.collection = inferred.collection
        self.now_called = {old: animal.id for animal in self.collection.animals.values() for old in animal.was}
        self._stood = cache(lambda day: infer(as_it_stood(self.collection, day)))

    def verdict(self, animal: Animal, record: DatedRecord) -> Verdict:
        if self._same(animal, record):
            return "as stated"
        same_rules = (record.version, record.species_file) == (
            self.version,
            self.collection.species[animal.species].digest,
        )
        return "records" if same_rules else "rules"

    def _same(self, animal: Animal, record: DatedRecord) -> bool:
        figures = record.figures
        return (
            figures.species == animal.species
            and figures.sex == animal.sex
            and figures.hatched == (str(animal.hatched) if animal.hatched else None)
            and figures.looks == self._looks(animal, record.on)
            and {*figures.under_review} == {*self.collection.set_aside(animal)}
            and self._parents(animal, record)
            and {(row.locus, row.trait): row.copies for row in figures.traits} == self._copies(animal, record.on)
        )

    def _looks(self, animal: Animal, day: date) -> tuple[str, ...] | None:
        readings = [row for row in animal.readings if row.shows is not None and (row.on is None or row.on.last <= day)]
        return looks_told(self.collection, animal, readings[-1] if readings else None)

    def _parents(self, animal: Animal, record: DatedRecord) -> bool:
        """Whether the parents that were named are on record as such; which sire of several is likelier is a figure of its own."""
        clutch, stated = self.collection.clutches.get(animal.clutch or ""), record.figures.parents
        dam = clutch.dam if clutch else animal.dam
        sires, named = _candidates(animal, clutch), [self._called(sire.id) for sire in stated.sires]
        known = stated.clutch in (animal.clutch, None) or stated.clutch not in self.collection.clutches
        return (
            known
            and self._called(stated.dam) in (dam, None)
            and bool(stated.sires) == bool(sires)
            and (None in named or self._of_these(animal, record, [*filter(None, named)], sires))
            and all(name is None or name in sires for name in named)
        )

    def _of_these(self, animal: Animal, record: DatedRecord, named: Collected[str], now: Sequence[str]) -> bool:
        """Whether the males on record include those that were named, and none of the others was left on the day of the record."""
        others = set(now).difference(named)
        if not set(named) <= set(now):
            return False
        if others.isdisjoint(_left(self.inferred, animal)):
            return True
        stood = self._stood(record.on)
        known = animal.id in stood.collection.animals and not stood.conflicts
        return not known or others.isdisjoint(_left(stood, animal))

    def differences(
        self, animal: Animal, record: DatedRecord
    ) -> Iterator[tuple[str, tuple[str, ...], tuple[str, ...]]]:
        """Each key of which the record on paper says something else than the dated one: what it was, what it is; sires one by one."""
        figures, clutch = record.figures, self.collection.clutches.get(animal.clutch or "")
        sires = [self._called(one.id) for one in figures.parents.sires]
        known = _candidates(animal, clutch)
        pairs = (
            ("sex", (None if figures.sex == "unknown" else figures.sex,), (animal.sex,)),
            ("hatched", (figures.hatched,), (str(animal.hatched) if animal.hatched else None,)),
            ("sire", sires if all(sires) else (), known),
            ("dam", (self._called(figures.parents.dam),), (clutch.dam if clutch else animal.dam,)),
            (
                "shows",
                (self._looks_sure(animal, record, figures.looks),),
                (self._looks_sure(animal, record, self._looks(animal, record.on)),),
            ),
        )
        for key, was, now in pairs:
            before, after = tuple(filter(None, was)), tuple(filter(None, now))
            same = key == "sire" and self._of_these(animal, record, before, after)
            if before and before != after and not same:
                yield key, before, after or ("not on record",)

    def _looks_sure(self, animal: Animal, record: DatedRecord, looks: Sequence[str] | None) -> str | None:
        """The looks in words, without those that were under review on the day of a record or are now."""
        aside = {*record.figures.under_review, *self.collection.set_aside(animal)}
        at = self.collection.species[animal.species].locus_of_look
        return None if looks is None else looks_words([look for look in looks if aside.isdisjoint(at.get(look, ()))])

    def _called(self, name: str | None) -> str | None:
        return self.now_called.get(name or "", name)

    def _copies(self, animal: Animal, day: date) -> dict[tuple[str, str], dict[str, Fraction]]:
        aside = self.collection.set_aside(animal)
        loci = (locus for locus in self.inferred.loci_in_play(animal.species) if locus.key not in aside)
        figures = ((locus, self.inferred.at(animal.id, locus.key, day)) for locus in loci)
        return {
            (locus.key, trait): {str(count): chance for count, chance in enumerate(figure.copies(allele))}
            for locus, figure in figures
            if isinstance(figure, Figure)
            for allele, trait in enumerate(locus.alleles, start=1)
            if figure.carries(allele)
        }


def said_otherwise(inferred: Inference, animal: Animal, record: DatedRecord) -> Mapping[str, tuple[str, ...]]:
    """What a dated record says of an animal otherwise than its record now, by key."""
    return {key: was for key, was, _ in _LedgerReader(inferred, record.version).differences(animal, record)}


class Edited(Struct, frozen=True):
    """What a dated record says otherwise than the record now, where no correction tells of it. `record`: an animal or a clutch."""

    record: Animal | Clutch
    on: date
    key: str
    was: str
    now: str

    def words(self, day: date) -> str:
        """What was edited, and what to write instead on a day: a correction, or a second reading of a look."""
        called = self.record.called if isinstance(self.record, Animal) else self.record.id
        said = f"{called}: `{self.key}` was {self.was} when it was dated ({self.on}), and is {self.now} now"
        same = (one for one in self.record.corrections if (one.key, one.was) == (self.key, self.was))
        if before := next(same, None):
            place = f"{before.place.file}, line {before.place.line}"
            return f"{said}; its correction ({place}) is of {before.on}, so let `on` say the day on which the record was corrected"
        correction = f"`corrections: [{{on: {day}, key: {self.key}, was: {self.was}, because: ...}}]`"
        if self.key != "shows":
            return f"{said}; write {correction}"
        again = f"`looks: [{{on: {self.on}, shows: {self.was}}}, {{on: {day}, shows: {self.now}}}]`"
        return f"{said}; write {again} if it was read again, or {correction} if it was misread"


def edited(inferred: Inference, ledger: Ledger) -> tuple[Edited, ...]:
    """Edits of sex, day of hatching, parents and looks since the last dated record of each animal; those of a clutch once, but of an animal
    that was moved to another clutch its own."""
    reader, clutches = _LedgerReader(inferred, __version__), inferred.collection.clutches
    found: dict[tuple[str, str, str, str], Edited] = {}
    for animal in inferred.collection.animals.values():
        rows = ledger.of(*animal.was, animal.id)
        clutch = clutches.get(animal.clutch or "")
        for key, before, after in reader.differences(animal, rows[-1]) if rows else ():
            was, now = " or ".join(before), " or ".join(after)
            dated = rows[-1].figures.parents.clutch  # None too of one that was not listed
            moved = clutch and dated != clutch.id and (clutch.publish != "no" if dated is None else dated in clutches)
            record = animal if clutch is None or moved or key not in ("hatched", "sire", "dam") else clutch
            told = {one.key for one in (*animal.corrections, *record.corrections) if one.on.last >= rows[-1].on}
            if key not in told and not (key == "shows" and "looks" in told):
                found.setdefault((record.id, key, was, now), Edited(record, rows[-1].on, key, was, now))
    return tuple(found.values())


def _left(inferred: Inference, animal: Animal) -> tuple[str, ...]:
    """Who may be its sire by what stands on record; () where that is not computed."""
    sires = inferred.sires_of(animal.id)
    return () if isinstance(sires, NotComputed) else tuple(str(sire) for sire, chance in sires if chance)


def _candidates(animal: Animal, clutch: Clutch | None) -> tuple[str, ...]:
    """Who may be the sire, as a statement names them: without a recorded father, a recorded mother's young has an unknown one."""
    if clutch is not None:
        return tuple(str(sire) for sire, _ in clutch.sires.candidates)
    return (animal.sire,) if animal.sire else (str(UNRECORDED),) if animal.dam else ()


class Stamped(Struct, frozen=True):
    """What a stamp did: how many records it added, to which file (None: nothing had changed), and the chain's head after it."""

    added: int
    file: str | None
    head: str | None

    def __str__(self) -> str:
        if self.file is None:
            return "nothing that is said has changed since the last dated record; nothing was written"
        said = f"{self.added} dated {'record' if self.added == 1 else 'records'} added to {self.file}, to stay there"
        return f"{said} (their mark is {short(self.head or '')} now, as the site's page on method prints it)"


def stamp(
    folder: Path, collection: Collection, statements: Statements, on: date, only: Collected[str] | None = None
) -> Stamped:
    """Appends every statement that changed since it was last dated, or `only` those of some animals, as they read that day. All as of `on`.

    Raises RecordsError: the ledger is not as the tool wrote it, a clutch is still to be sorted, a later day is stamped already, or the file
    cannot be written. Nothing was written then.
    """
    ledger, problems = read_ledger(folder)
    if ledger is None:
        raise RecordsError(problems)
    lines = lines_to_add(collection, statements, ledger, on, only)
    if not lines:
        return Stamped(0, None, ledger.head)
    written = append_lines(folder, on.year, lines)
    return Stamped(len(lines), written.file, digest_of_text(lines[-1]))


class Past(Struct, frozen=True):
    """By id of animal or clutch. `last_day`: of the newest evidence. `records`: how many dated ones; `head`: of their chain."""

    changes: Changes = field(default_factory=lambda: Changes({}, ()))
    animals: Mapping[str, tuple[TimelineRow, ...]] = field(default_factory=dict)
    clutches: Mapping[str, tuple[TimelineRow, ...]] = field(default_factory=dict)
    dated: Mapping[str, tuple[Reread, ...]] = field(default_factory=dict)
    last_day: date | None = None
    records: int = 0
    head: str | None = None


NO_PAST = Past()


def past_of(telling: Answers, statements: Statements, whole: Inference | None = None) -> Past:
    """The past of a collection as its present records tell it; dated records after `collection.until` are left out.

    `whole`: of all records with their days, where the inference is of a collection as published: a dated record is compared with what
    stood on its day.
    """
    inferred, collection, ledger = telling.inferred, telling.collection, telling.ledger
    until = collection.until
    standing = ledger if until is None else Ledger(tuple(row for row in ledger.records if row.on <= until))
    changes = changes_of(telling, statements)
    return Past(
        changes=changes,
        animals={
            animal.id: animal_timeline(telling, animal, changes)
            for animal in collection.animals.values()
            if animal.publish == "page"
        },
        clutches={
            clutch.id: clutch_timeline(telling, clutch, changes)
            for clutch in collection.clutches.values()
            if clutch.publish != "no"
        },
        dated={
            name: tuple(_in_words(telling, collection.animals[name], row) for row in rows)
            for name, rows in reread(whole or inferred, standing, __version__).items()
            if name in collection.animals
        },
        last_day=max((event.on for event in inferred.events if not is_unlisted(event.subject)), default=None),
        records=len(standing.records),
        head=standing.head,
    )
