"""What pairings can bring, in public: clutches in the incubator, and the planned pairings that the breeder shows.

Nothing else of a plan is public: no note, no wish, no backup, no purpose. A plan counts while it is marked `public: yes`. Once the two
have a clutch on record from its time, the clutch speaks instead of odds.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from clutchlight.genetics.inference import Inference
from clutchlight.genetics.pedigree import kinship_of_pair
from clutchlight.model import Collection
from clutchlight.model.private import Plan
from clutchlight.planning.odds import odds
from clutchlight.planning.odds_values import Odds
from clutchlight.problems import RecordsError


@dataclass(frozen=True, slots=True)
class PublicPlan:
    """One female, one male. `season`: "2026/27" or "". `odds`: None where the pairing is over, or they cannot be had."""

    female: str
    male: str
    season: str
    odds: Odds | None
    clutches: tuple[str, ...]
    over: bool


def public_plans(inference: Inference, plans: Iterable[Plan]) -> tuple[PublicPlan, ...]:
    """The public ones of two animals that may be named, a pair once, by female and male."""
    animals = inference.collection.animals
    named = {key for key, animal in animals.items() if animal.publish != "no"}
    found: dict[tuple[str, str], PublicPlan] = {}
    for plan in plans:
        for male in plan.males if plan.public and plan.female in named else ():
            if male in named:
                found.setdefault((plan.female, male), _public(inference, plan, male))
    return tuple(found[pair] for pair in sorted(found))


def expected_of(inference: Inference) -> Mapping[str, Odds]:
    """The odds of clutches that lie in the incubator, of their good eggs, where one male on record sired them."""
    found: dict[str, Odds] = {}
    for clutch in inference.collection.clutches.values():
        over = clutch.hatched or clutch.ended or clutch.young or clutch.tally or clutch.to_sort
        sire = clutch.sires.only
        if clutch.publish == "no" or clutch.laid is None or over or sire is None:
            continue
        if sire not in inference.collection.animals:
            continue
        young = clutch.eggs - clutch.went_bad if clutch.eggs is not None else None
        odds_ = _odds(inference, clutch.dam, sire, young) if young is None or young > 0 else None
        if odds_ is not None:
            found[clutch.id] = odds_
    return found


def _public(inference: Inference, plan: Plan, male: str) -> PublicPlan:
    collection = inference.collection
    clutches = tuple(_clutches(collection, plan, male))
    over = bool(clutches) or plan.result is not None
    return PublicPlan(
        plan.female, male, _season(plan), None if over else _odds(inference, plan.female, male), clutches, over
    )


def _odds(inference: Inference, female: str, male: str, young: int | None = None) -> Odds | None:
    try:
        return odds(inference, kinship_of_pair(inference.collection, male, female), male, female, young)
    except RecordsError:
        return None


def _clutches(collection: Collection, plan: Plan, male: str) -> Iterable[str]:
    """Listed clutches of the two, laid since the plan began; without a beginning, any that was laid."""
    for clutch in collection.clutches.values():
        ours = clutch.publish != "no" and clutch.dam == plan.female and male in clutch.sires.ids
        if ours and clutch.laid is not None and (plan.start is None or clutch.laid.last >= plan.start.first):
            yield clutch.id


def _season(plan: Plan) -> str:
    years = sorted({when.last.year for when in (plan.start, plan.until) if when is not None})
    if len(years) == 2 and years[1] == years[0] + 1:
        return f"{years[0]}/{years[1] % 100:02d}"
    return str(years[0]) if len(years) == 1 else ""
