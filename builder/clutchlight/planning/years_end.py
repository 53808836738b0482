"""A year's end: what each season of the room came to, and what it answered.

Conventions. A season runs from July to June, named by the year it began in; a clutch belongs to the season in which it was laid,
whenever it hatched. Clutches that somebody else bred are none of the room's. Eggs are good eggs. The hatch rate is taken of the
clutches that are over, were counted and are on record as a whole: an egg hatched that neither went bad nor died before its look could be
seen; of twins one egg. A clutch told something where the figure of a parent moved when its results came in. What is not known is counted
apart, and never as none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from fractions import Fraction

from msgspec import Struct

from clutchlight.genetics.inference import Inference
from clutchlight.genetics.values import Event, Figure
from clutchlight.model import Clutch, Collection, Recorded
from clutchlight.model.private import LAYINGS, TOGETHER, LogRow, Plan, Private, once
from clutchlight.model.traits import grouped
from clutchlight.planning.readiness import is_recorded
from clutchlight.planning.room import PlanAnswered, answer_to, season_of
from clutchlight.planning.rotation import pairings


class AnswerOfClutch(Struct, frozen=True):
    """What the results of a clutch did to one figure of a parent. `settled`: it became certain, whatever was claimed, or fell under
    `doubt_below`.

    `since`: later records of its young or of the other parent are part of it.
    """

    clutch: str
    animal: str
    trait: str
    before: Fraction
    after: Fraction
    settled: bool
    since: bool


class AskedByPlan(Struct, frozen=True):
    """A plan that was there to prove, and the laying that it came to.

    `over`: whether the clutch is; `open`: whether the plan is. `by`: who sired the clutch, where that is none of the plan's males but its
    backup, or another; what it told of him was not asked.
    """

    plan: Plan
    answer: PlanAnswered | None
    over: bool
    open: bool
    by: tuple[str, ...]
    told: tuple[AnswerOfClutch, ...]


class SeasonOfTheRoom(Struct, frozen=True):
    """One season, up to the day.

    `slugs`: layings of slugs alone that stand in the log and in no clutch; `unrecorded`: how many others do. `over`: the clutches of which
    is known what came; `counted`: those that count in the hatch rate. `plans_laid`: plans of whose pair a laying is on record; `results`:
    the words of those without one that were not to prove.
    """

    began: int
    paired: tuple[LogRow, ...]
    locks: int
    clutches: tuple[Clutch, ...]
    slugs: tuple[LogRow, ...]
    unrecorded: int
    over: tuple[Clutch, ...]
    counted: tuple[Clutch, ...]
    plans: int
    plans_laid: int
    results: tuple[str, ...]
    asked: tuple[AskedByPlan, ...]
    told: tuple[AnswerOfClutch, ...]

    @property
    def pairs(self) -> int:
        """How many couples were paired, each once."""
        return len({frozenset((row.animal, row.partner)) for row in self.paired})

    @property
    def eggs(self) -> int:
        return sum(one.eggs or 0 for one in self.clutches)

    @property
    def slugs_counted(self) -> int:
        """Those of the clutches on record, and of the layings of slugs alone, as far as a number is logged."""
        logged = sum(int(row.number) for row in self.slugs if row.number is not None)
        return sum(one.slugs for one in self.clutches) + logged

    @property
    def went_bad(self) -> int:
        return sum(one.went_bad for one in self.clutches)

    @property
    def unseen(self) -> int:
        return sum(one.unseen for one in self.clutches)

    @property
    def young(self) -> int:
        return sum(one.hatchlings for one in self.over)

    @property
    def eggs_counted(self) -> int:
        """The good eggs of which the hatch rate is made."""
        return sum(one.eggs or 0 for one in self.counted)

    @property
    def eggs_hatched(self) -> int:
        """How many of those eggs hatched."""
        return sum(_hatched(one) for one in self.counted)

    @property
    def hatch_rate(self) -> Fraction | None:
        """None where there were no such eggs."""
        return Fraction(self.eggs_hatched, self.eggs_counted) if self.eggs_counted else None


def years(inference: Inference, private: Private, day: date) -> tuple[SeasonOfTheRoom, ...]:
    """The seasons with a pairing, a laying or a plan, the newest first; of the running one the plans to come, too."""
    collection = inference.collection
    laid = grouped(
        (season_of(clutch.laid.last), clutch)
        for clutch in collection.clutches.values()
        if clutch.reported_by is None and clutch.laid is not None and clutch.laid.first <= day
    )
    log = once(row for row in private.log if row.day <= day)
    rows = grouped((season_of(row.day), row) for row in log if row.event in (*TOGETHER, *LAYINGS))
    plans = grouped(
        (season_of(plan.start.last), plan)
        for plan in private.plans
        if plan.start is not None and season_of(plan.start.last) <= season_of(day)
    )
    paired = grouped((season_of(row.day), row) for row in pairings(log))
    found = []
    for began in sorted({*laid, *rows, *plans}, reverse=True):
        clutches, of_log = laid.get(began, ()), rows.get(began, ())
        layings = [row for row in of_log if row.event in LAYINGS]
        alone = [row for row in layings if row.clutch is None and not is_recorded(row, collection)]
        slugs = tuple(row for row in alone if row.event == "slugs only")
        over = tuple(one for one in clutches if _over(one, day))
        answers = [(plan, answer_to(plan, collection, private, day)) for plan in plans.get(began, ())]
        by_the_pair = [
            plan for plan, answer in answers if answer and not _by_another(answer, plan.every_male, inference)
        ]
        to_produce = (plan for plan, answer in answers if answer is None and plan.purpose != "prove")
        season = SeasonOfTheRoom(
            began=began,
            paired=paired.get(began, ()),
            locks=sum(row.event == "lock" for row in of_log),
            clutches=clutches,
            slugs=slugs,
            unrecorded=len(alone) - len(slugs),
            over=over,
            counted=tuple(one for one in over if one.eggs is not None and (one.complete or one.hatched is None)),
            plans=len(answers),
            plans_laid=len(by_the_pair),
            results=tuple(plan.result for plan in to_produce if plan.result),
            asked=tuple(_asked(plan, answer, inference, day) for plan, answer in answers if plan.purpose == "prove"),
            told=tuple(told for one in over for told in told_by(one, inference, day)),
        )
        found.append(season)
    return tuple(found)


def in_no_season(collection: Collection) -> tuple[str, ...]:
    """The room's own clutches that were laid, by what came of them, and whose record has no day of it."""
    own = (one for one in collection.clutches.values() if one.reported_by is None and one.laid is None)
    return tuple(one.id for one in own if one.over or one.hatchlings or one.eggs is not None)


def _over(clutch: Clutch, day: date) -> bool:
    """Whether it hatched, came to nothing, or held no good egg from the first."""
    ends = clutch.hatched or clutch.ended
    return clutch.eggs == 0 or (ends is not None and ends.first <= day)


def _hatched(clutch: Clutch) -> int:
    return 0 if clutch.hatched is None or clutch.eggs is None else clutch.eggs - clutch.went_bad - clutch.unseen


def _asked(plan: Plan, answer: PlanAnswered | None, inference: Inference, day: date) -> AskedByPlan:
    by = _by_another(answer, plan.males, inference) if answer is not None else ()
    record = inference.collection.clutches.get((answer.clutch if answer is not None else None) or "")
    over = record is not None and _over(record, day)
    found = told_by(record, inference, day) if record is not None and over else ()
    told = tuple(one for one in found if one.animal not in by)
    to_come = plan.result is None and plan.start is not None and plan.start.first > day
    return AskedByPlan(plan, answer, over, answer is None and (plan.current(day) or to_come), by, told)


def _by_another(answer: PlanAnswered, males: Sequence[str], inference: Inference) -> tuple[str, ...]:
    """Who sired what she laid, where what hatched leaves none of these males."""
    left = inference.possible_sires(answer.clutch) if answer.clutch is not None else ()
    sires = tuple(sire.id for sire in left if isinstance(sire, Recorded))
    return sires if set(sires).isdisjoint(males) else ()


def told_by(clutch: Clutch, inference: Inference, day: date) -> Iterator[AnswerOfClutch]:
    """What the results of a clutch did to the figures of its parents, up to a day; several results of it are one step.

    Of one that was certain on somebody's word: that it proved it, or put it in doubt.
    """
    below = inference.collection.settings.doubt_below
    for parent in clutch.parents:
        for locus in inference.loci_in_play(clutch.species):
            steps = _steps(inference, clutch, parent, locus.key, day)
            if steps is None:
                continue
            before, after, since = steps
            for allele, trait in enumerate(locus.alleles, 1):
                first, last = before.carries(allele), after.carries(allele)
                proved = first == 1 and inference.grounds(parent, locus.key, allele).proven_by == clutch.id
                if below <= max(first, last) and (first != last or proved):
                    asked = parent, locus.key, allele
                    surely = last == 1 and _proven_by_then(inference, clutch, *asked)
                    undone = surely and (inference.if_sired(*asked) or inference.if_one_sire(*asked))
                    settled = last < below or (surely and not undone)
                    yield AnswerOfClutch(clutch.id, parent, trait, first, last, settled, since)


def _proven_by_then(inference: Inference, clutch: Clutch, parent: str, locus: str, allele: int) -> bool:
    """Whether it is proven, and by no later record than those of the clutch."""
    if inference.grounds(parent, locus, allele).on_trust:
        return False
    proof = inference.proven_at(parent, locus, allele)
    own = proof is None or _tells(inference, clutch, parent, proof)
    return own or (proof is not None and clutch.hatched is not None and proof.on <= clutch.hatched.last)


def _tells(inference: Inference, clutch: Clutch, parent: str, event: Event) -> bool:
    """Whether what moved a parent is a result of the clutch: also one of a mate who is no relative, since it hatched."""
    if event.subject == clutch.id or event.subject in clutch.young:
        return True
    mate = event.subject in clutch.parents and event.subject != parent
    since = clutch.hatched is not None and clutch.hatched.last < event.on
    weighed = since and clutch.counts and clutch.hatchlings > 0
    return mate and weighed and not inference.kinship.of_pair(parent, event.subject)


def _steps(
    inference: Inference, clutch: Clutch, parent: str, locus: str, day: date
) -> tuple[Figure, Figure, bool] | None:
    """The figure before the first result of a clutch and after its last, and whether others than its hatching count.

    Where it did nothing both are as it stood; None: not computed.
    """
    before = after = last = stood = None
    since = False
    for event, figure in inference.history(parent, locus):
        if event is not None and event.on > day:
            break
        if event is not None and _tells(inference, clutch, parent, event):
            before = before or last
            since |= event.subject != clutch.id
            after = figure
        if event is None or (clutch.hatched is not None and event.on <= clutch.hatched.last):
            stood = figure
        last = figure
    if after is None:
        before = after = stood
    return (before, after, since) if isinstance(before, Figure) and isinstance(after, Figure) else None
