"""The season on one day: the lists of planning, with odds and proofs beside each plan.

Pure: the day is an argument, and no file and no clock is read. The lists go by what was logged up to that day; the figures are
those of the book that is handed in, so open it with the same `until` to see a day in the past as it stood.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from functools import cached_property, partial
from typing import NamedTuple, Protocol, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.desk.buyers import ToTell, buyers_to_tell, not_known, with_names
from clutchlight.genetics.inference import Inference
from clutchlight.model import Animal, Collection, When
from clutchlight.model.ledger import Ledger
from clutchlight.model.private import Holding, Plan, Private
from clutchlight.model.traits import grouped, natural
from clutchlight.planning import due as coming, sales, winter as winters
from clutchlight.planning.odds import Backup, Odds, backup, odds
from clutchlight.planning.outcomes import PairHarm
from clutchlight.planning.readiness import (
    BreedingReadiness,
    Laid,
    days_laid,
    is_grown,
    losing_weight,
    newly_come,
    readiness,
    set_apart,
)
from clutchlight.planning.room import (
    absence,
    males_before,
    males_with,
    of_the_two,
    open_plans,
    planned_absent,
    plans_of_winter,
)
from clutchlight.planning.rotation import Load, loads, males_in_rotation, pairings
from clutchlight.planning.sales import Undated
from clutchlight.planning.who_needs_proving import (
    BREEDING,
    About,
    Stake,
    TestMating,
    ToLook,
    ToProve,
    asked_of,
    at_stake,
    best_first,
    open_questions,
    pair_of,
    proving,
)
from clutchlight.planning.winter import Winter
from clutchlight.problems import RecordsError
from clutchlight.statements.animals import TypedFigure, typed_figures
from clutchlight.statements.answers import Answers
from clutchlight.statements.results import Hanging, explanations, hanging, unexpected_families, unexpected_text
from clutchlight.statements.values import Statements

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
    def statements(self) -> Statements: ...

    @property
    def telling(self) -> Answers: ...

    @property
    def telling_its_owner(self) -> Answers: ...


class Question(Struct, frozen=True):
    """One trait of one animal that is open, and what a clutch of a pair would settle of it."""

    animal: str
    trait: str
    now: Fraction
    mating: TestMating


class Pair(Struct, frozen=True):
    """A male and a female, and the questions that their clutch may settle, the likeliest first.

    `settled`: how many of them a usual clutch settles on average: the sum of their chances.
    """

    male: str
    female: str
    questions: tuple[Question, ...]
    planned: bool
    ready: bool

    @property
    def inbreeding(self) -> Fraction:
        return self.questions[0].mating.inbreeding

    @property
    def harm(self) -> tuple[PairHarm, ...]:
        """What is known to harm young that the two can have."""
        return self.questions[0].mating.harm

    @property
    def settled(self) -> Fraction:
        return sum((question.mating.settles for question in self.questions), Fraction(0))


class PlannedPairing(Struct, frozen=True):
    """A plan with one of its males. `odds` and `backup` are None where they cannot be had; `trouble` then says why.

    `pairings`, `locks`, `last`: what the log shows of the two since July before the plan begins. `pair` and `odds` speak of a clutch of
    his alone.
    `idle`: whether it settles nothing that is open or taken as certain; not said where one of the two is not here, or is to be looked
    at first and the clutch would say something.
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
    idle: bool

    @property
    def key(self) -> str:
        """The fragment of its account on the desk's page."""
        begins = f"-{self.plan.start.first}" if self.plan.start is not None else ""
        return f"{self.plan.female}-with-{self.male}{begins}"

    @property
    def settled(self) -> Fraction:
        return self.pair.settled if self.pair else Fraction(0)


class Weighing(NamedTuple):
    on: When
    grams: Fraction


class Weights(Struct, frozen=True):
    """The weighings of one animal up to the day, oldest first."""

    animal: str
    points: tuple[Weighing, ...]


class UnexpectedResult(Struct, frozen=True):
    """A result that needs an unrecorded carrier: what happened, and for the desk alone what a breeder would think of."""

    text: str
    explanations: tuple[str, ...]


T = TypeVar("T")


def _on_its_day(made: Callable[[Collection, Private, date], T]) -> cached_property[T]:
    """A list that planning makes of the records, for the day of a season."""
    return cached_property(lambda season: made(season.collection, season.private, season.day))


class Season(Struct, frozen=True, dict=True):
    """Everything for the desk and for the command `season`, as of `day`; each list is made when it is first asked for."""

    sources: Sources
    day: date

    @cached_property
    def collection(self) -> Collection:
        """As recorded, with those still here that are paid for and not handed over."""
        return sales.with_paid_ones_here(self.sources.collection, self.private, self.day)

    @property
    def private(self) -> Private:
        return self.sources.private

    plans = _on_its_day(open_plans)
    winter_plans = _on_its_day(plans_of_winter)
    males = _on_its_day(males_in_rotation)
    due = _on_its_day(coming.due)
    awaited = _on_its_day(winters.awaited)
    incubating = _on_its_day(coming.in_the_box)
    feeding = _on_its_day(coming.feeding_round)
    not_ready = _on_its_day(sales.not_ready_to_leave)
    balances = _on_its_day(sales.balances)
    hand_overs = _on_its_day(sales.hand_overs)
    loans = _on_its_day(sales.loans_ending)
    without_hold = _on_its_day(sales.without_hold)
    holds = _on_its_day(sales.holds)
    planned_absent = _on_its_day(planned_absent)
    losing = _on_its_day(losing_weight)
    set_apart = _on_its_day(set_apart)
    newly_come = _on_its_day(newly_come)

    @property
    def shared(self) -> tuple[Holding, ...]:
        """Animals shared with somebody or lent, whose term does not end soon."""
        ending = {one.holding for one in self.loans}
        held = sales.holdings(self.collection, self.private)
        begun = (one for one in held if one.since is None or one.since.by(self.day))
        return tuple(one for one in begun if one not in ending)

    @cached_property
    def laid(self) -> Laid:
        return days_laid(self.collection, self.private)

    @cached_property
    def without_buyer(self) -> tuple[str, ...]:
        """Sold animals of whom nobody knows who has them."""
        return sales.without_buyer(self.collection, self.private)

    @cached_property
    def undated(self) -> tuple[Undated, ...]:
        """Hand-overs without a dated record, with their day."""
        return sales.undated(self.collection, self.private, self.sources.ledger, self.day)

    @cached_property
    def told_what(self) -> Mapping[date, tuple[str, ...]]:
        """Of whom nobody can say what their buyers were told, by the day of a correction that may bear on it."""
        return grouped(not_known(self.sources.telling, self.private, self.sources.ledger, self.day, self.tell))

    @cached_property
    def tell(self) -> tuple[ToTell, ...]:
        return buyers_to_tell(self.sources.telling, self.private, self.sources.ledger, self.day)

    @cached_property
    def typed(self) -> tuple[TypedFigure, ...]:
        return typed_figures(self.sources.telling)

    @cached_property
    def hanging(self) -> tuple[Hanging, ...]:
        return hanging(self.sources.telling)

    @cached_property
    def unexpected(self) -> tuple[UnexpectedResult, ...]:
        answers = self.sources.telling_its_owner
        before = partial(males_before, collection=self.collection, private=self.private)
        found = []
        for family in unexpected_families(answers):
            could_be = tuple(with_names(answers, said) for said in explanations(answers, family, before))
            found.append(UnexpectedResult(with_names(answers, unexpected_text(answers, family)), could_be))
        return tuple(found)

    @property
    def without_figures(self) -> tuple[str, ...]:
        """The clutches in the incubator that do not count in the winter, since nothing can be reckoned of them."""
        reckoned = {one.laid for one in self.awaited}
        return tuple(one.clutch for one in self.incubating if one.clutch not in reckoned)

    @property
    def by_log_alone(self) -> tuple[str, ...]:
        """Whose eggs lie in the incubator by the log, without a record of the clutch."""
        dams = dict.fromkeys(item.dam for item in self.due if not item.recorded)
        return tuple(self.collection.animals[dam].called for dam in dams)

    @cached_property
    def winter(self) -> Winter:
        """What the clutches of this winter would settle together."""
        return winters.winter(self.sources.inference, self.awaited)

    @cached_property
    def winter_pairs(self) -> tuple[Odds, ...]:
        """The odds of the clutches of this winter, each possible sire by himself, as far as they can be had."""
        known = {(one.male, one.plan.female): one.odds for one in self.planned}
        pairs = dict.fromkeys((male, one.dam) for one in self.awaited for male in one.males)
        found = (known[pair] if pair in known else _odds(self, *pair)[0] for pair in pairs)
        return tuple(one for one in found if one is not None)

    @cached_property
    def loads(self) -> tuple[Load, ...]:
        """Of the males with a clutch that the winter counts; not of those whose plans are all left out."""
        every = loads(self.collection, self.private, self.awaited, self.day, self.sources.inference.possible_sires)
        counted = {one.dam for one in self.awaited}
        return tuple(load for load in every if not counted.isdisjoint(load.females))

    @cached_property
    def ready(self) -> tuple[BreedingReadiness, ...]:
        planned = {name for plan in self.plans for name in (plan.female, *plan.males)}
        return readiness(self.collection, self.private, self.day, planned)

    @cached_property
    def unfit(self) -> frozenset[str]:
        """The animals of the room that are in quarantine or under treatment."""
        return frozenset(one.animal for one in self.set_apart)

    @cached_property
    def overworked(self) -> frozenset[str]:
        """The males that are overworked, and animals that lose weight, by the log."""
        return frozenset(male.animal for male in self.males if male.flags).union(self.losing)

    @cached_property
    def about_to_lay(self) -> frozenset[str]:
        """The females that are about to lay, by the log: not to be paired now."""
        return frozenset(item.dam for item in self.due if item.of_eggs_in_her)

    @cached_property
    def have_laid(self) -> Mapping[str, When | None]:
        """When the females laid, as far as it is known, whose eggs lie in the incubator or are in the log alone: not to be paired now."""
        by_log = {item.dam: item.on for item in self.due if not item.recorded}
        return {one.dam: one.laid for one in self.incubating} | by_log

    @cached_property
    def shared_names(self) -> frozenset[str]:
        """The names that several animals have, so that each needs its id beside it."""
        counted = Counter(animal.name for animal in self.collection.animals.values() if animal.name)
        return frozenset(name for name, count in counted.items() if count > 1)

    @cached_property
    def grown(self) -> frozenset[str]:
        """The animals of the room that are old enough to breed."""
        return frozenset(one.id for one in room(self.collection) if is_grown(one, self.collection, self.day))

    @cached_property
    def weights(self) -> tuple[Weights, ...]:
        """Animals of the room that were weighed, by id."""
        animals = self.collection.animals
        found = grouped(
            (row.animal, Weighing(row.on, row.weight))
            for row in self.private.log
            if row.weight is not None and row.day <= self.day
        )
        return tuple(Weights(name, tuple(sorted(found[name]))) for name in sorted(found) if animals[name].here)

    @cached_property
    def pairs(self) -> tuple[Pair, ...]:
        """Every pair of the room with a question, both of breeding status or planned.

        The pair that settles most comes first, ties by fewest hatchlings needed, then by id; those that wait come last.
        """
        planned = {(male, plan.female) for plan in self.plans for male in plan.males}
        fit = {one.animal for one in self.ready if one.verdict == "ready"} - self.unfit - self.overworked
        fit -= self.newly_come.keys()
        found: list[tuple[tuple[str, str], Question]] = []
        for one, mating in ((asked, mating) for asked in self.asked_first for mating in asked.matings):
            animal = self.collection.animals[one.animal]
            two = pair_of(animal.sex, animal.id, mating.mate)
            if mating.settles >= SETTLED_FROM and (animal.status in BREEDING or two in self.put_together):
                found.append((two, Question(one.animal, one.trait, one.now, mating)))
        pairs = []
        for (male, female), several in grouped(found).items():
            questions = tuple(sorted(several, key=lambda one: (-one.mating.settles, one.animal, one.trait)))
            ready = male in fit and female in fit and female not in self.about_to_lay | self.have_laid.keys()
            pairs.append(Pair(male, female, questions, (male, female) in planned, ready))
        return tuple(sorted(pairs, key=lambda pair: (self.waits(pair.male, pair.female), *_rank(pair))))

    @cached_property
    def planned(self) -> tuple[PlannedPairing, ...]:
        """Each plan with each of its males, in the order of `pairs`; those that settle nothing last."""

        def order(one: PlannedPairing) -> tuple[object, ...]:
            male, female = one.male, one.plan.female
            return one.pair is None, self.waits(male, female), _rank(one.pair) if one.pair else (), female, male

        return tuple(sorted((_planned(self, plan, male) for plan in self.plans for male in plan.males), key=order))

    def waits(self, male: str, female: str) -> bool:
        """Whether one of the two is set apart, or another male was with her, so that her clutch may not be his alone."""
        return not self.unfit.isdisjoint((male, female)) or any(one != male for one in self.males_with(female))

    def males_with(self, female: str) -> tuple[str, ...]:
        """The males that the log puts with her, as far as they may sire what she lays next."""
        return males_with(self.collection, self.private, female, self.day)

    @property
    def open_in_all(self) -> int:
        """How many questions are open about animals of the room."""
        return sum(
            1 for animal in asked_of(room(self.collection)) for _ in open_questions(self.sources.inference, animal)
        )

    @cached_property
    def asked(self) -> tuple[ToProve, ...]:
        """The open questions about animals that breed here, or that have only to be looked at; mates in the order of what they settle."""
        return proving(self.sources.inference, self._asked, self.put_together)

    @cached_property
    def asked_first(self) -> tuple[ToProve, ...]:
        """Those that are asked, ready mates first."""
        return self._ready_mates_first(self.asked)

    def _ready_mates_first(self, to_prove: Sequence[ToProve]) -> tuple[ToProve, ...]:
        """Mates that are ready first, then those grown, then those too young; mates whose young it can harm last of all."""
        now = {one.animal for one in self.ready if one.verdict == "ready"}

        def when(mating: TestMating) -> tuple[bool, bool, bool]:
            return bool(mating.harm), mating.mate not in now, mating.mate not in self.grown

        return tuple(replace(one, matings=tuple(sorted(one.matings, key=when))) for one in to_prove)

    @cached_property
    def _others(self) -> tuple[ToProve, ...]:
        return proving(self.sources.inference, lambda animal, look: not self._asked(animal, look), self.put_together)

    @cached_property
    def to_prove(self) -> tuple[ToProve, ...]:
        """Every open question, the best first."""
        return self._ready_mates_first(best_first((*self.asked, *self._others)))

    @cached_property
    def asked_at_stake(self) -> Mapping[About, Stake]:
        """The questions asked that something hangs on now."""
        return self._at_stake(self.asked)

    @cached_property
    def at_stake(self) -> Mapping[About, Stake]:
        """All open questions that something hangs on now."""
        return {**self.asked_at_stake, **self._at_stake(self._others)}

    def stake_of(self, one: ToProve) -> Stake | None:
        """What hangs on an open question now; None where nothing does."""
        about = one.animal, one.trait
        return self.asked_at_stake.get(about) or self.at_stake.get(about)

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

    @cached_property
    def put_together(self) -> frozenset[tuple[str, str]]:
        """The males and females of the plans, backups among them."""
        return frozenset((male, plan.female) for plan in self.plans for male in plan.every_male)

    def _asked(self, animal: Animal, look: ToLook | None) -> bool:
        """Whether something is to be done about a question now: the animal breeds here, is planned to, or has only to be looked at."""
        planned = any(animal.id in pair for pair in self.put_together)
        return animal.status in BREEDING or planned or look is not None

    def _at_stake(self, to_prove: Sequence[ToProve]) -> Mapping[About, Stake]:
        held = (name for sale in self.private.sales if sale.held_on(self.day) for name in sale.animals)
        return at_stake(self.sources.inference, to_prove, self.plans, held)


def _rank(pair: Pair) -> tuple[bool, Fraction, int, str, str]:
    needed = [question.mating.needed for question in pair.questions if question.mating.needed is not None]
    return bool(pair.harm), -pair.settled, min(needed, default=10**6), pair.female, pair.male


def _odds(season: Season, male: str, female: str) -> tuple[Odds | None, tuple[str, ...]]:
    """The odds of two, or why they cannot be had."""
    try:
        return odds(season.sources.inference, male, female), ()
    except RecordsError as refused:
        return None, tuple(problem.message for problem in refused.problems)


def _planned(season: Season, plan: Plan, male: str) -> PlannedPairing:
    inference, day = season.sources.inference, season.day
    chances, trouble = _odds(season, male, plan.female)
    costs = None
    second = season.collection.animals[plan.backup] if plan.backup is not None and chances is not None else None
    if second is not None and absence(second, season.private.log, day) is None:
        try:
            costs = backup(inference, plan.female, male, second.id)
        except RecordsError as refused:
            trouble = tuple(problem.message for problem in refused.problems)
    rows = of_the_two(season.private, plan, male, day)
    two = (male, plan.female)
    pair = next((pair for pair in season.pairs if (pair.male, pair.female) == two), None)
    here = all(inference.collection.animals[name].here for name in two)
    unseen = any(one.look and one.animal in two for one in season.asked)
    untold = unseen and chances is not None and any(proof.says_something for proof in chances.proves)
    return PlannedPairing(
        plan=plan,
        male=male,
        pair=pair,
        odds=chances,
        backup=costs,
        trouble=trouble,
        pairings=sum(row in rows for row in pairings(season.private.of(male))),
        locks=sum(row.event == "lock" for row in rows),
        last=max((row.on for row in rows), default=None),
        idle=pair is None and here and not untold and not trouble and not (chances and chances.proves_taken),
    )


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


def room(collection: Collection) -> Iterator[Animal]:
    """The animals that stand in the room, in order of id, C24-03-2 before C24-03-10."""
    here = (animal for animal in collection.animals.values() if animal.here)
    return iter(sorted(here, key=lambda animal: natural(animal.id)))
