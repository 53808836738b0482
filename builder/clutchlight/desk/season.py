"""The season on one day: the lists of planning, with odds and proofs beside each plan.

Pure: the day is an argument, and no file and no clock is read. The lists go by what was logged up to that day; the figures are
those of the book that is handed in, so open it with the same `until` to see a day in the past as it stood.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set as AbstractSet
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from functools import cached_property
from typing import NamedTuple, Protocol

from clutchlight.desk.buyers import ToTell, buyers_to_tell
from clutchlight.genetics.inference import Inference
from clutchlight.genetics.pedigree import kinship_of_pair
from clutchlight.genetics.values import Figure
from clutchlight.model import Animal, Collection, When
from clutchlight.model.ledger import Ledger
from clutchlight.model.private import Plan, Private
from clutchlight.model.traits import natural
from clutchlight.planning.discrepancies import Discrepancy, absence, discrepancies, open_plans
from clutchlight.planning.due import Due, FeedingRound, Incubating, due, feeding_round, in_the_box
from clutchlight.planning.odds import Backup, Odds, backup, odds
from clutchlight.planning.outcomes import PairHarm
from clutchlight.planning.readiness import BreedingReadiness, Spell, is_grown, readiness, set_apart
from clutchlight.planning.rotation import Load, MaleAtWork, loads, males_in_rotation
from clutchlight.planning.sales import (
    Balance,
    HandOver,
    Hold,
    LoanEnding,
    NotReady,
    Undated,
    balances,
    hand_overs,
    holds,
    loans_ending,
    lost_all,
    not_ready_to_leave,
    undated,
    without_buyer,
    without_hold,
)
from clutchlight.planning.who_needs_proving import (
    BREEDING,
    About,
    Stake,
    TestMating,
    ToLook,
    ToProve,
    at_stake,
    best_first,
    open_questions,
    proving,
)
from clutchlight.planning.winter import Awaited, Winter, awaited, winter
from clutchlight.problems import RecordsError
from clutchlight.statements import Statements
from clutchlight.statements.answers import Answers
from clutchlight.statements.results import Hanging, explanations, hanging, unexpected_families, unexpected_text

SETTLED_FROM = Fraction(1, 100)
"""A pairing that settles a question less often than this is not said to settle it."""


class Sources(Protocol):
    """What the desk is made from; a `Book` is one."""

    @property
    def collection(self) -> Collection: ...

    @property
    def private(self) -> Private: ...

    @property
    def inference(self) -> Inference: ...

    @property
    def ledger(self) -> Ledger: ...

    @property
    def inbreeding(self) -> Mapping[str, Fraction]: ...

    @property
    def statements(self) -> Statements: ...

    @property
    def telling(self) -> Answers: ...


@dataclass(frozen=True, slots=True)
class Question:
    """One trait of one animal that is open, and what a clutch of a pair would settle of it; `young`: of how many hatchlings."""

    animal: str
    trait: str
    now: Fraction
    young: int | str
    mating: TestMating


@dataclass(frozen=True, slots=True)
class Pair:
    """A male and a female, and the questions that their clutch may settle, the likeliest first.

    `settled`: how many of them a usual clutch settles on average: the sum of their chances.
    """

    male: str
    female: str
    questions: tuple[Question, ...]
    planned: bool
    ready: bool
    inbreeding: Fraction

    @property
    def harm(self) -> tuple[PairHarm, ...]:
        """What is known to harm young that the two can have."""
        return self.questions[0].mating.harm

    @property
    def settled(self) -> Fraction:
        return sum((question.mating.settles for question in self.questions), Fraction(0))


@dataclass(frozen=True, slots=True)
class PlannedPairing:
    """A plan with one of its males. `odds` and `backup` are None where they cannot be had; `trouble` then says why.

    `pairings`, `locks`, `last`: what the log shows of the two since the plan began.
    """

    plan: Plan
    male: str
    pair: Pair | None
    odds: Odds | None
    backup: Backup | None
    trouble: tuple[str, ...]
    pairings: int
    locks: int
    last: When | None

    @property
    def key(self) -> str:
        """The fragment of its account on the desk's page."""
        return f"{self.plan.female}-with-{self.male}"

    @property
    def settled(self) -> Fraction:
        return self.pair.settled if self.pair else Fraction(0)


class Weighing(NamedTuple):
    on: When
    grams: Fraction


@dataclass(frozen=True, slots=True)
class Weights:
    """The weighings of one animal up to the day, oldest first."""

    animal: str
    points: tuple[Weighing, ...]


@dataclass(frozen=True, slots=True)
class UnexpectedResult:
    """A result that needs an unrecorded carrier: what happened, and for the desk alone what a breeder would think of."""

    text: str
    explanations: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TypedFigure:
    """A figure that somebody typed for an animal (`stated`) and that does not follow from the records.

    `ours`: what they give; None where no record speaks of the trait, or the figure is not computed.
    """

    animal: str
    trait: str
    typed: Fraction
    ours: Fraction | None
    sold: bool


@dataclass(frozen=True)
class Season:
    """The lists of one day. `awaited`: the clutches of this winter; `winter`: what they would settle together.

    `pairs`: every pair of the room with a question, the most answers first.

    `grown`: the animals of the room that are old enough to breed; `unfit`: those in quarantine or under treatment.
    `without_buyer`: sold animals of whom nobody knows who has them; `without_hold`: those marked on hold, for nobody that a sale names.
    `undated`: hand-overs without a dated record, with their day.
    `asked`: the open questions about animals that breed here, or that have only to be looked at; mates in the order of what they settle.
    """

    day: date
    collection: Collection
    private: Private
    sources: Sources
    males: tuple[MaleAtWork, ...]
    ready: tuple[BreedingReadiness, ...]
    due: tuple[Due, ...]
    planned: tuple[PlannedPairing, ...]
    awaited: tuple[Awaited, ...]
    winter: Winter
    loads: tuple[Load, ...]
    pairs: tuple[Pair, ...]
    asked: tuple[ToProve, ...]
    weights: tuple[Weights, ...]
    not_ready: tuple[NotReady, ...]
    holds: tuple[Hold, ...]
    balances: tuple[Balance, ...]
    hand_overs: tuple[HandOver, ...]
    loans: tuple[LoanEnding, ...]
    tell: tuple[ToTell, ...]
    unexpected: tuple[UnexpectedResult, ...]
    differing: tuple[Discrepancy, ...]
    hanging: tuple[Hanging, ...]
    typed: tuple[TypedFigure, ...]
    without_buyer: tuple[str, ...]
    without_hold: tuple[str, ...]
    undated: tuple[Undated, ...]
    grown: frozenset[str]
    unfit: frozenset[str]
    feeding: FeedingRound
    set_apart: tuple[Spell, ...]
    incubating: tuple[Incubating, ...]

    # What takes long, and is asked for where it is printed

    @property
    def statements(self) -> Statements:
        """What is stated of each animal."""
        return self.sources.statements

    @property
    def open_in_all(self) -> int:
        """How many questions are open about animals of the room."""
        return sum(1 for animal in room(self.collection) for _ in open_questions(self.sources.inference, animal))

    @cached_property
    def asked_first(self) -> tuple[ToProve, ...]:
        """Those that are asked, ready mates first."""
        return _ready_mates_first(self.asked, self.ready, self.grown)

    @cached_property
    def _others(self) -> tuple[ToProve, ...]:
        return proving(self.sources.inference, lambda animal, look: not _asked(animal, look))

    @cached_property
    def to_prove(self) -> tuple[ToProve, ...]:
        """Every open question, the best first."""
        return _ready_mates_first(best_first((*self.asked, *self._others)), self.ready, self.grown)

    @cached_property
    def asked_at_stake(self) -> Mapping[About, Stake]:
        """The questions asked that something hangs on now."""
        return self._at_stake(self.asked)

    @cached_property
    def at_stake(self) -> Mapping[About, Stake]:
        """All open questions that something hangs on now."""
        return {**self.asked_at_stake, **self._at_stake(self._others)}

    @cached_property
    def asked_now(self) -> tuple[list[ToProve], list[ToProve]]:
        """What something hangs on now, and other animals that breed; one that only has to be looked at is of the first, too."""
        first = [one for one in self.asked_first if (one.animal, one.trait) in self.asked_at_stake]
        return first, [one for one in self.asked_first if self._breeds(one) and one not in first]

    @property
    def proving_groups(self) -> tuple[list[ToProve], list[ToProve], list[ToProve]]:
        """The same, and the rest."""
        first, breeding = self.asked_now
        return first, breeding, [one for one in self.to_prove if not self._breeds(one) and one not in first]

    def _breeds(self, one: ToProve) -> bool:
        return self.collection.animals[one.animal].status in BREEDING

    def _at_stake(self, to_prove: Sequence[ToProve]) -> Mapping[About, Stake]:
        plans = open_plans(self.collection, self.private, self.day)
        held = (name for sale in self.private.sales if sale.held_on(self.day) for name in sale.animals)
        return at_stake(self.sources.inference, to_prove, plans, held)


def _asked(animal: Animal, look: ToLook | None) -> bool:
    """Whether something is to be done about a question now: the animal breeds here, or has only to be looked at."""
    return animal.status in BREEDING or look is not None


def season_lists(sources: Sources, day: date) -> Season:
    """Everything for the desk and for the command `season`, as of `day`."""
    collection, private = sources.collection, sources.private
    males = males_in_rotation(collection, private, day)
    plans = open_plans(collection, private, day)
    ready = readiness(collection, private, day, {name for plan in plans for name in (plan.female, *plan.males)})
    unfit = frozenset(animal.id for animal in room(collection) if absence(animal, private.log, day))
    grown = frozenset(animal.id for animal in room(collection) if is_grown(animal, collection, day))
    asked = proving(sources.inference, _asked)
    pairs = _pairs(collection, _ready_mates_first(asked, ready, grown), plans, ready, unfit, day)
    planned = tuple(_planned(sources, plan, male, pairs, day) for plan in plans for male in plan.males)
    answers = sources.telling
    clutches = awaited(collection, private, day)
    return Season(
        day=day,
        collection=collection,
        private=private,
        sources=sources,
        males=males,
        ready=ready,
        due=due(collection, private, day),
        planned=tuple(sorted(planned, key=_by_settled)),
        awaited=clutches,
        winter=winter(sources.inference, [one.clutch for one in clutches], [one.want for one in clutches]),
        loads=loads(collection, private, clutches, day),
        pairs=pairs,
        asked=asked,
        weights=_weights(collection, private, day),
        not_ready=not_ready_to_leave(collection, private, day),
        holds=tuple(one for one in holds(private, day) if not lost_all(collection, one.sale)),
        balances=balances(collection, private, day),
        hand_overs=hand_overs(collection, private, day),
        loans=loans_ending(private, day),
        tell=buyers_to_tell(answers, private, sources.ledger, day),
        unexpected=_unexpected(answers),
        differing=discrepancies(collection, private, day),
        hanging=hanging(answers),
        typed=typed_figures(answers),
        without_buyer=without_buyer(collection, private),
        without_hold=without_hold(collection, private, day),
        undated=undated(collection, private, sources.ledger, day),
        grown=grown,
        unfit=unfit,
        feeding=feeding_round(collection, private, day),
        set_apart=set_apart(collection, private.log, day),
        incubating=in_the_box(collection, private, day),
    )


def _ready_mates_first(
    to_prove: Sequence[ToProve], ready: Sequence[BreedingReadiness], grown: AbstractSet[str]
) -> tuple[ToProve, ...]:
    """Mates that are ready first, then those grown, then those too young; mates whose young it can harm last of all."""
    now = {one.animal for one in ready if one.verdict == "ready"}

    def when(mating: TestMating) -> tuple[bool, bool, bool]:
        return bool(mating.harm), mating.mate not in now, mating.mate not in grown

    return tuple(replace(one, matings=tuple(sorted(one.matings, key=when))) for one in to_prove)


def _pairs(
    collection: Collection,
    to_prove: Sequence[ToProve],
    plans: Sequence[Plan],
    ready: Sequence[BreedingReadiness],
    unfit: AbstractSet[str],
    day: date,
) -> tuple[Pair, ...]:
    """Both of breeding status; the pair that settles most first, ties by fewest hatchlings needed, then by id.

    A female whose eggs lie in the incubator is not ready again.
    """
    in_the_box = {
        clutch.dam
        for clutch in collection.clutches.values()
        if clutch.laid is not None and clutch.laid.first <= day and not clutch.over
    }
    planned = {(male, plan.female) for plan in plans for male in plan.males}
    grown = {one.animal for one in ready if one.verdict == "ready"} - unfit
    found: dict[tuple[str, str], list[Question]] = {}
    for open_ in to_prove:
        animal = collection.animals[open_.animal]
        if animal.status in BREEDING:
            for mating in open_.matings:
                if mating.settles >= SETTLED_FROM:
                    found.setdefault(_pair_of(animal, mating.mate), []).append(
                        Question(open_.animal, open_.trait, open_.now, open_.clutch.told, mating)
                    )
    pairs = [
        Pair(
            male,
            female,
            tuple(sorted(questions, key=lambda one: (-one.mating.settles, one.animal, one.trait))),
            (male, female) in planned,
            male in grown and female in grown and female not in in_the_box,
            questions[0].mating.inbreeding,
        )
        for (male, female), questions in found.items()
    ]
    return tuple(sorted(pairs, key=_rank))


def _pair_of(animal: Animal, mate: str) -> tuple[str, str]:
    return (animal.id, mate) if animal.sex == "male" else (mate, animal.id)


def _rank(pair: Pair) -> tuple[bool, Fraction, int, str, str]:
    needed = [question.mating.needed for question in pair.questions if question.mating.needed is not None]
    return bool(pair.harm), -pair.settled, min(needed, default=10**6), pair.female, pair.male


def _by_settled(planned: PlannedPairing) -> tuple[bool, Fraction, int, str, str]:
    return _rank(planned.pair) if planned.pair else (False, Fraction(0), 10**6, planned.plan.female, planned.male)


def _planned(sources: Sources, plan: Plan, male: str, pairs: Sequence[Pair], day: date) -> PlannedPairing:
    trouble: list[str] = []
    chances = costs = None
    try:
        related = kinship_of_pair(sources.collection, male, plan.female, sources.inference.sires_of)
        chances = odds(sources.inference, related, male, plan.female)
        if plan.backup is not None and plan.backup != male and _usable(sources, plan.backup, day):
            costs = backup(sources.inference, plan.female, male, plan.backup)
    except RecordsError as refused:
        trouble = [problem.message for problem in refused.problems]
    rows = [
        row
        for row in sources.private.of(male)
        if row.with_(male) == plan.female and row.day <= day and (plan.start is None or plan.start.first <= row.day)
    ]
    return PlannedPairing(
        plan=plan,
        male=male,
        pair=next((pair for pair in pairs if (pair.male, pair.female) == (male, plan.female)), None),
        odds=chances,
        backup=costs,
        trouble=tuple(trouble),
        pairings=sum(row.event == "paired" for row in rows),
        locks=sum(row.event == "lock" for row in rows),
        last=max((row.on for row in rows), default=None),
    )


def _usable(sources: Sources, name: str, day: date) -> bool:
    """Whether an animal is on record, here, and neither in quarantine nor under treatment."""
    animal = sources.collection.animals.get(name)
    return animal is not None and absence(animal, sources.private.log, day) is None


def _weights(collection: Collection, private: Private, day: date) -> tuple[Weights, ...]:
    """Animals of the room that were weighed, by id."""
    found: dict[str, list[Weighing]] = {}
    for row in private.log:
        if row.event == "weight" and row.number is not None and row.day <= day and row.animal in collection.animals:
            found.setdefault(row.animal, []).append(Weighing(row.on, row.number))
    return tuple(Weights(name, tuple(sorted(found[name]))) for name in sorted(found) if collection.animals[name].here)


def groups(season: Season) -> Iterator[tuple[str, tuple[Animal, ...]]]:
    """The animals of the room, as lists group them: those of the season first."""
    planned = {one.plan.female for one in season.planned}
    males = tuple(season.collection.animals[male.animal] for male in season.males)
    others = [animal for animal in room(season.collection) if animal not in males]
    yield "Males in rotation", males
    yield "Females with a plan", tuple(animal for animal in others if animal.id in planned)
    rest = [animal for animal in others if animal.id not in planned]
    yield "Other grown animals", tuple(animal for animal in rest if animal.id in season.grown)
    yield "Young and others", tuple(animal for animal in rest if animal.id not in season.grown)


def _unexpected(answers: Answers) -> tuple[UnexpectedResult, ...]:
    return tuple(
        UnexpectedResult(unexpected_text(answers, family), explanations(answers, family))
        for family in unexpected_families(answers)
    )


def room(collection: Collection) -> Iterator[Animal]:
    """The animals that stand in the room, in order of id, C24-03-2 before C24-03-10."""
    here = (animal for animal in collection.animals.values() if animal.here)
    return iter(sorted(here, key=lambda animal: natural(animal.id)))


def typed_figures(answers: Answers) -> tuple[TypedFigure, ...]:
    """The typed figures that do not follow from the records, those of sold animals first, then by id."""
    found = []
    for animal in answers.collection.animals.values():
        in_play = {locus.key: locus for locus in answers.loci(animal.species)} if animal.stated else {}
        for one in animal.stated:
            locus = in_play.get(one.locus)
            allele = locus.allele_number(one.trait) if locus else 0
            ours = answers.carries(animal.id, one.locus, allele) if locus else None
            if one.chance not in (ours, _when_typed(answers, animal, one.locus, allele) if locus else None):
                found.append(TypedFigure(animal.id, one.trait, one.chance, ours, animal.sold))
    return tuple(sorted(found, key=lambda one: (not one.sold, one.animal, one.trait)))


def _when_typed(answers: Answers, animal: Animal, locus: str, allele: int) -> Fraction | None:
    """The chance by what was on record when the animal changed hands; None where that day is not known."""
    moved = animal.away or animal.came
    figure = (
        answers.inferred.at(animal.id, locus, moved.on.last) if moved is not None and moved.on is not None else None
    )
    return figure.carries(allele) if isinstance(figure, Figure) else None
