"""The course of each figure: what was said of one trait of one animal at first, and after every record that changed it.

A label of a past moment has the grounds of that moment, as far as they can be told from the present ones: a certainty that a later event
proved stood, until then, on somebody's word or on founders carrying nothing unrecorded. The proof of a certainty changes the label and not
the figure; it is a moment of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from itertools import pairwise

from clutchlight.genetics.values import Event, Figure, Grounds
from clutchlight.model import Animal, Locus
from clutchlight.statements import words
from clutchlight.statements.notes import cause_words
from clutchlight.statements.telling import Telling
from clutchlight.statements.values import AnimalStatement


@dataclass(frozen=True, slots=True)
class Moment:
    """From `event` on (None: from the beginning) this was said. `label` is "" where nothing was.

    `proof`: the event proved it. `cause`: what happened, in words ("clutch C25-01, three hatchlings with a Piebald mate, none Piebald").
    `why`: the note on it as a sentence, or "".
    """

    event: Event | None
    copies: tuple[Fraction, Fraction, Fraction]
    label: str
    proof: bool = False
    cause: str = ""
    why: str = ""

    @property
    def on(self) -> date | None:
        return self.event.on if self.event else None

    @property
    def carries(self) -> Fraction:
        return self.copies[1] + self.copies[2]

    @property
    def percent(self) -> int:
        return words.percent(self.carries)


@dataclass(frozen=True, slots=True)
class Course:
    """What was said of one trait of one animal through time; the last moment is what is said now.

    `small`: it never reached what is mentioned in titles.
    """

    animal: str
    locus: str
    trait: str
    moments: tuple[Moment, ...]
    small: bool

    @property
    def changes(self) -> Iterator[tuple[Moment, Moment]]:
        """Each change as what was said before and after."""
        return pairwise(self.moments)


def courses_of(telling: Telling, animal: Animal, said: AnimalStatement) -> tuple[Course, ...]:
    """The courses of every trait that was ever said to be possible or certain, in catalogue order.

    Left out: traits whose looks are under review, and those of which nothing recorded speaks (background only).
    """
    like = telling.like(animal).id
    found = telling.once(("courses", like), lambda: tuple(_courses(telling, animal, said)))
    return found if like == animal.id else tuple(replace(course, animal=animal.id) for course in found)


def _courses(telling: Telling, animal: Animal, said: AnimalStatement) -> Iterator[Course]:
    quiet = {trait.trait for trait in said.traits if trait.background_only or trait.under_review}
    for locus in telling.loci(animal.species):
        rows = telling.history(animal.id, locus.key)
        if not rows or (len(rows) == 1 and rows[0][1].genotypes[0][0] == (0, 0) and len(rows[0][1].genotypes) == 1):
            continue
        for allele, trait in enumerate(locus.alleles, start=1):
            if trait not in quiet and any(figure.carries(allele) for _, figure in rows):
                yield _course(telling, animal, said, locus, allele, rows)


Rows = tuple[tuple[Event | None, Figure], ...]


def _course(telling: Telling, animal: Animal, said: AnimalStatement, locus: Locus, allele: int, rows: Rows) -> Course:
    trait = locus.alleles[allele - 1]
    grounds = _grounds(telling, animal, locus, allele, rows)
    proof = _proof(telling, grounds)
    moments: list[Moment] = []
    for event, figure in _with_proof(rows, proof, allele):
        copies = figure.copies(allele)
        label = _label(telling, animal, locus, allele, figure, event, grounds, proof)
        if moments and moments[-1].copies == copies and moments[-1].label == label:
            continue
        cause = cause_words(telling, animal, event, locus, allele) if event and moments else ""
        proves = event is not None and event == proof
        moments.append(Moment(event, copies, label, proves, cause, _note(said, trait, event) if moments else ""))
    threshold = telling.collection.settings.mention_from
    small = all(moment.carries < threshold for moment in moments)
    return Course(animal.id, locus.key, trait, tuple(moments), small)


def _with_proof(rows: Rows, proof: Event | None, allele: int) -> Iterator[tuple[Event | None, Figure]]:
    """The rows, and one more at the event that proved what was already taken as certain."""
    waiting = proof if proof is not None and all(event != proof for event, _ in rows) else None
    for number, (event, figure) in enumerate(rows):
        yield event, figure
        after = rows[number + 1][0] if number + 1 < len(rows) else None
        certain = figure.carries(allele) == 1
        if waiting and certain and (event is None or event < waiting) and (after is None or waiting < after):
            yield waiting, figure
            waiting = None


def _grounds(telling: Telling, animal: Animal, locus: Locus, allele: int, rows: Rows) -> Grounds | None:
    """The present grounds, asked only where the figure was ever a certainty that is not seen."""
    if telling.shows(animal.id, locus, allele) or not any(figure.carries(allele) == 1 for _, figure in rows):
        return None
    return telling.grounds(animal.id, locus.key, allele) if rows[-1][1].carries(allele) == 1 else None


def _proof(telling: Telling, grounds: Grounds | None) -> Event | None:
    """The event that proved it, by the clutch or animal that the grounds name."""
    if grounds is None or grounds.kind not in ("proven", "test") or grounds.proven_by is None:
        return None
    wanted = ("hatching",) if grounds.proven_by in telling.collection.clutches else ("hatching", "look", "test")
    if grounds.kind == "test":
        wanted = ("test",)
    return next((event for event in telling.events_of(grounds.proven_by) if event.kind in wanted), None)


def _label(
    telling: Telling,
    animal: Animal,
    locus: Locus,
    allele: int,
    figure: Figure,
    event: Event | None,
    grounds: Grounds | None,
    proof: Event | None,
) -> str:
    shows = telling.shows(animal.id, locus, allele)
    seen = shows and all(locus.shows_allele(pair, allele) for pair, _ in figure.genotypes)
    then: Grounds | None = None
    if figure.carries(allele) == 1 and not shows:
        proven = grounds is not None and grounds.kind in ("proven", "test")
        if grounds is not None and (not proven or proof is None or (event is not None and event >= proof)):
            then = grounds
        else:
            then = Grounds("claim" if _on_a_word(telling, animal.id, locus, allele) else "assumption")
    unrecorded = (
        telling.unrecorded_for(animal.id, locus, allele) if then is not None and then.kind == "assumption" else ()
    )
    trait = locus.alleles[allele - 1]
    return words.label_of(locus, trait, figure, shows=seen, grounds=then, unrecorded=unrecorded)


def _on_a_word(telling: Telling, animal: str, locus: Locus, allele: int) -> bool:
    """Whether the animal or an ancestor of it was said to carry the trait for certain."""
    waiting, met = [animal], set[str]()
    while waiting:
        name = waiting.pop()
        record = telling.collection.animals.get(name)
        if record is None or name in met:
            continue
        met.add(name)
        trait = locus.alleles[allele - 1]
        if any((claim.locus, claim.trait) == (locus.key, trait) and claim.chance == 1 for claim in record.claims):
            return True
        waiting += telling.parents(name)
    return False


def _note(said: AnimalStatement, trait: str, event: Event | None) -> str:
    """The note that tells this change, if there is one, without what it says of today."""
    if event is None:
        return ""
    fits = (
        note.then or note.text
        for note in said.notes
        if (note.trait, note.on, note.cause) == (trait, event.on, event.subject) and note.kind != "surprise"
    )
    return next(fits, "")
