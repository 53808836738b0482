"""Who is old and heavy enough to breed, by the species file's figures or the breeder's own.

A partial date of hatching counts as its last day, so that an age is never overstated. A missing date or weight gives "not
known", never a yes. Weights older than 60 days are pointed out.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from typing import Literal

from clutchlight.model import Animal, Collection, When
from clutchlight.model.private import Private, plain_number
from clutchlight.planning.limits import Grown, grown
from clutchlight.planning.rotation import weight_on

OLD_WEIGHT = timedelta(days=60)
_CONSIDERED = ("breeder", "holdback", "growing on")

Verdict = Literal["ready", "not yet", "not known"]


@dataclass(frozen=True, slots=True)
class BreedingReadiness:
    """One animal on one day. `lacks`: what keeps it from being ready, in words. `laid`: her last clutch."""

    animal: str
    verdict: Verdict
    age_months: int | None
    weight: Fraction | None
    weighed_on: date | None
    weight_is_old: bool
    lacks: tuple[str, ...]
    laid: When | None
    rule: str
    source: str


def readiness(collection: Collection, private: Private, day: date) -> tuple[BreedingReadiness, ...]:
    """The males and females of the room, ready ones first, then by id.

    Animals under half the usual age, and those whose species says nothing, are left out.
    """
    found = []
    for animal in collection.animals.values():
        if (
            animal.here
            and animal.sex != "unknown"
            and animal.status in _CONSIDERED
            and animal.species in collection.species
        ):
            rule = grown(collection.species[animal.species], animal.sex, private.rules)
            if rule is not None and not _far_too_young(animal, rule, day):
                found.append(_of(animal, rule, collection, private, day))
    order = {"ready": 0, "not yet": 1, "not known": 2}
    return tuple(sorted(found, key=lambda one: (order[one.verdict], one.animal)))


def age_in_months(hatched: When | None, day: date) -> int | None:
    """Whole months from the last day that `hatched` can mean; None when it is not known or lies ahead."""
    if hatched is None or hatched.last > day:
        return None
    born = hatched.last
    return (day.year - born.year) * 12 + day.month - born.month - (day.day < born.day)


def _far_too_young(animal: Animal, rule: Grown, day: date) -> bool:
    age = age_in_months(animal.hatched, day)
    return age is not None and rule.age_months is not None and 2 * age < rule.age_months.value


def _of(animal: Animal, rule: Grown, collection: Collection, private: Private, day: date) -> BreedingReadiness:
    rows = tuple(row for row in private.log if row.animal == animal.id)
    weighed = weight_on(rows, day)
    weight = weighed.number if weighed is not None else None
    age = age_in_months(animal.hatched, day)
    lacks: list[str] = []
    unknown: list[str] = []
    if rule.age_months is not None:
        if age is None:
            unknown.append("its age is not known")
        elif age < rule.age_months.value:
            lacks.append(f"{age} months old, commonly from {rule.age_months.value}")
    if rule.weight_g is not None:
        if weight is None:
            unknown.append("no weight is logged")
        elif weight < rule.weight_g.value:
            lacks.append(f"{plain_number(weight)} g, commonly from {plain_number(rule.weight_g.value)} g")
    verdict: Verdict = "not yet" if lacks else "not known" if unknown else "ready"
    sources = dict.fromkeys(limit.source for limit in (rule.age_months, rule.weight_g) if limit is not None)
    return BreedingReadiness(
        animal=animal.id,
        verdict=verdict,
        age_months=age,
        weight=weight,
        weighed_on=weighed.day if weighed is not None else None,
        weight_is_old=weighed is not None and day - weighed.day > OLD_WEIGHT,
        lacks=(*lacks, *unknown),
        laid=_last_laid(animal, collection, day),
        rule=_rule(rule),
        source="; ".join(sources),
    )


def _last_laid(animal: Animal, collection: Collection, day: date) -> When | None:
    clutches = (collection.clutches[name] for name in collection.clutches_of.get(animal.id, ()))
    dates = (clutch.laid for clutch in clutches if clutch.dam == animal.id and clutch.laid is not None)
    return max((when for when in dates if when.first <= day), default=None)


def _rule(rule: Grown) -> str:
    """The rule in words: "from 24 months (many wait for 36) and 1500 g (many wait for 2000 g)"."""
    parts = []
    for limit, better, unit in (
        (rule.age_months, rule.age_better, " months"),
        (rule.weight_g, rule.weight_better, " g"),
    ):
        if limit is not None:
            wait = (
                f" (many wait for {plain_number(better)}{unit})" if better is not None and better > limit.value else ""
            )
            parts.append(f"{plain_number(limit.value)}{unit}{wait}")
    return f"from {' and '.join(parts)}"
