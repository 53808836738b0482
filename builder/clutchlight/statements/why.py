"""How a figure came about, as a person would tell it: what was taken for granted, then each record that moved it, before and after.

Every number is exact, and the last one is the statement's. Records of parents, young and clutch mates that changed nothing are
named as well, with the same figure before and after; what happened before a hatching is in its parents' figures.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from clutchlight.genetics.values import Event, Figure, NotComputed
from clutchlight.model import Animal, Collection, Locus
from clutchlight.problems import Place
from clutchlight.statements.answers import Answers
from clutchlight.statements.notes import cause_words
from clutchlight.statements.reasons import claim_words
from clutchlight.wording import words
from clutchlight.wording.text import Text, phrase


@dataclass(frozen=True, slots=True)
class Step:
    """One record and what it did. `record`: an animal or a clutch; `before` is None where there was no figure yet."""

    record: str
    place: Place
    says: Text
    before: Fraction | None
    after: Fraction

    @property
    def moved(self) -> bool:
        return self.before != self.after


@dataclass(frozen=True, slots=True)
class Why:
    """The derivation of one figure. `assumed`: what was taken for granted, in sentences."""

    animal: str
    trait: str
    label: str
    assumed: tuple[str, ...]
    steps: tuple[Step, ...]
    carries: Fraction

    @property
    def moves(self) -> tuple[str, ...]:
        """Each record that moved the figure, with the exact chances: "Clutch C25-02, six hatchlings ...: 1/3 → 1"."""
        return tuple(
            f"{step.says}: {step.after if step.before is None else f'{step.before} → {step.after}'}"
            for step in self.steps
            if step.moved
        )


def why(answers: Answers, animal: Animal, locus: Locus, allele: int) -> Why | NotComputed:
    """The derivation of an animal's chance of carrying an allele."""
    now = answers.now(animal.id, locus.key)
    if isinstance(now, NotComputed):
        return now
    steps = tuple(_steps(answers, animal, locus, allele))
    grounds = answers.grounds(animal.id, locus.key, allele) if now.carries(allele) else None
    label = words.label_of(
        locus,
        locus.alleles[allele - 1],
        now,
        shows=answers.shows(animal.id, locus, allele),
        grounds=grounds,
        unrecorded=answers.unrecorded_for(animal.id, locus, allele) if grounds and grounds.kind == "assumption" else (),
    )
    return Why(
        animal.id,
        locus.alleles[allele - 1],
        label,
        tuple(_assumed(answers, animal, locus, allele)),
        steps,
        now.carries(allele),
    )


def _assumed(answers: Answers, animal: Animal, locus: Locus, allele: int) -> Iterator[str]:
    """What the figure takes for granted: claims that it rests on, and founders without a claim."""
    trait = locus.alleles[allele - 1]
    for founder in answers.inferred.rests_on(animal.id, locus.key):
        record = answers.collection.animals[founder]
        for claim in record.claims:
            if claim.locus == locus.key and claim.chance is not None and not claim.withdrawn:
                source = f" ({claim.said_by})" if claim.said_by else ""
                yield f"{answers.named(founder)} is taken at the seller's word: {claim_words(claim, locus)}{source}."
    frequency = locus.background.get(trait)
    if frequency is not None:
        yield f"Founders without a claim are taken to have {trait} at a frequency of {frequency!s}."
    else:
        yield f"Founders without a claim are taken to carry no {trait} unless a record needs it."
    yield "Each parent passes on one of its two alleles, either with the same chance."


def _steps(answers: Answers, animal: Animal, locus: Locus, allele: int) -> Iterator[Step]:
    rows = answers.history(animal.id, locus.key)
    collection = answers.collection
    before = _from_parents(answers, animal, locus, allele)
    if before is not None:
        yield before
    figure = before.after if before else None
    changed = {event: chance.carries(allele) for event, chance in rows if event is not None}
    start = next((chance.carries(allele) for event, chance in rows if event is None), None)
    if start is not None:
        yield Step(animal.id, _look_place(animal), _founder_words(animal, locus, allele), None, start)
        figure = start
    near = answers.events_near(animal.id)
    concerning = frozenset(near)
    waiting = before is not None
    for event in sorted({*near, *changed}):
        waiting = waiting and not (event.kind == "hatching" and event.subject in (animal.clutch, animal.id))
        if waiting:
            continue
        concerns = event in concerning
        if figure is None and event not in changed:
            continue
        after = changed.get(event, figure if figure is not None else Fraction(0))
        if figure != after or concerns:
            yield Step(
                event.subject, _place_of(collection, event), _said(answers, animal, event, locus, allele), figure, after
            )
        figure = after


def _from_parents(answers: Answers, animal: Animal, locus: Locus, allele: int) -> Step | None:
    prior = answers.inferred.before_hatching(animal.id, locus.key)
    if animal.founder or not isinstance(prior, Figure):
        return None
    clutch = answers.collection.clutches.get(animal.clutch or "")
    record, place = (clutch.id, clutch.place) if clutch else (animal.id, animal.place)
    parents = words.join_and(answers.all_named(answers.parents(animal.id))) or "its parents"
    return Step(
        record,
        place,
        phrase("Before anything was seen of it: a young of {}, as they stood then", parents),
        None,
        prior.carries(allele),
    )


def _founder_words(animal: Animal, locus: Locus, allele: int) -> Text:
    claim = next(
        (
            one
            for one in animal.claims
            if one.locus == locus.key and one.trait == locus.alleles[allele - 1] and one.chance is not None
        ),
        None,
    )
    came = f", said to be {claim_words(claim, locus)}" if claim else ", with no claim"
    reading = animal.reading
    if reading is None or reading.shows is None:
        return Text(f"A founder{came}; its look is not on record")
    return Text(f"A founder{came}; it looks {' '.join(reading.shows) or 'normal'}")


def _said(answers: Answers, animal: Animal, event: Event, locus: Locus, allele: int) -> Text:
    if event.kind == "hatching" and event.subject in (animal.clutch, animal.id):
        looks = answers.looks_at(animal, locus)
        own = f"it shows {' '.join(looks)}" if looks else f"it shows no {locus.alleles[allele - 1]}"
        if event.subject == animal.id:
            return words.clause(own)
        return words.clause(Text(own, "; ", cause_words(answers, animal, event, locus, allele)))
    return words.clause(cause_words(answers, animal, event, locus, allele))


def _look_place(animal: Animal) -> Place:
    return animal.readings[0].place if animal.readings else animal.place


def _place_of(collection: Collection, event: Event) -> Place:
    clutch = collection.clutches.get(event.subject)
    if clutch is not None:
        return clutch.place
    animal = collection.animals[event.subject]
    if event.kind == "test":
        return next((test.place for test in animal.tests if test.on.last == event.on), animal.place)
    if event.kind == "look":
        return next(
            (reading.place for reading in animal.readings if reading.on and reading.on.last == event.on), animal.place
        )
    if event.kind == "withdrawn":
        return next(
            (claim.place for claim in animal.claims if claim.withdrawn and claim.withdrawn.last == event.on),
            animal.place,
        )
    return animal.place


def to_json(found: Why) -> dict[str, object]:
    """The derivation as `why --json` prints it."""
    return {
        "animal": found.animal,
        "trait": found.trait,
        "steps": [
            {
                "record": step.record,
                "file": step.place.file,
                "line": step.place.line,
                "says": step.says,
                "before": None if step.before is None else str(step.before),
                "after": str(step.after),
            }
            for step in found.steps
        ],
        "carries": str(found.carries),
    }


def in_lines(found: Why) -> tuple[str, ...]:
    """The derivation for a terminal: what was assumed, then a step a paragraph, records without influence last."""
    lines = [f"{found.animal}: {found.label or f'nothing said of {found.trait}'} (exactly {found.carries!s})", ""]
    lines += ["Taken for granted:", *(f"  {text}" for text in found.assumed), "", "What the records did, in order:"]
    for step in found.steps:
        if step.moved:
            before = "" if step.before is None else f"{step.before!s} → "
            lines += [f"  {step.says}.", f"      {before}{step.after!s}    {step.place.file}:{step.place.line}"]
    idle = [step for step in found.steps if not step.moved]
    if idle:
        lines += ["", "Looked at, without influence:"]
        lines += [f"  {step.says}.    {step.place.file}:{step.place.line}" for step in idle]
    return tuple(lines)
