"""Who is ready to breed, by age and weight.

Conventions. It goes by the species file's figures or the breeder's own: a partial date of hatching counts as its last day, so that an
age is never overstated; a missing date or weight gives "not known", never a yes.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction
from typing import Literal

from clutchlight.model import Animal, Collection, Sex, When
from clutchlight.model.private import Private
from clutchlight.planning.limits import Grown, Limit, grown
from clutchlight.planning.rotation import weight_on
from clutchlight.planning.set_apart import Spell, set_apart

OLD_WEIGHT = timedelta(days=60)
_CONSIDERED = ("breeder", "holdback", "growing on")

Verdict = Literal["ready", "not now", "not yet", "not known"]


@dataclass(frozen=True, slots=True)
class Shortfall:
    """A figure that keeps an animal from being ready: months or grams. `has`: None when it is not known."""

    what: Literal["age", "weight"]
    has: int | Fraction | None
    at_least: Fraction


@dataclass(frozen=True, slots=True)
class BreedingReadiness:
    """One animal on one day. `lacks`: what keeps it from being ready, figures that are not known last. `laid`: her last clutch.

    `apart`: its quarantine or treatment, with which it is "not now", whatever its age and weight.
    """

    animal: str
    verdict: Verdict
    age_months: int | None
    weight: Fraction | None
    weighed_on: When | None
    weight_is_old: bool
    lacks: tuple[Shortfall, ...]
    laid: When | None
    rule: Grown
    apart: Spell | None = None


def readiness(
    collection: Collection, private: Private, day: date, planned: AbstractSet[str] = frozenset()
) -> tuple[BreedingReadiness, ...]:
    """The males and females of the room, ready ones first, then by id.

    Animals under half the usual age are left out unless they are `planned`; so are those whose species says nothing.
    """
    found = []
    apart = {one.animal: one for one in set_apart(collection, private.log, day)}
    for animal in collection.animals.values():
        if (
            animal.here
            and animal.sex != "unknown"
            and (animal.status in _CONSIDERED or animal.id in planned)
            and animal.species in collection.species
        ):
            rule = grown(collection.species[animal.species], animal.sex, private.rules)
            age = age_in_months(animal.hatched, day)
            too_young = (
                age is not None and rule is not None and rule.age_months is not None and 2 * age < rule.age_months.value
            )
            if rule is not None and (animal.id in planned or not too_young):
                own = _readiness_of(animal, rule, age, collection, private, day)
                spell = apart.get(animal.id)
                found.append(own if spell is None else replace(own, verdict="not now", apart=spell))
    order = {"ready": 0, "not now": 1, "not yet": 2, "not known": 3}
    return tuple(sorted(found, key=lambda one: (order[one.verdict], one.animal)))


def age_in_months(hatched: When | None, day: date) -> int | None:
    """Whole months from the last day that `hatched` can mean; None when it is not known or lies ahead."""
    if hatched is None or hatched.last > day:
        return None
    born = hatched.last
    return (day.year - born.year) * 12 + day.month - born.month - (day.day < born.day)


def _readiness_of(
    animal: Animal, rule: Grown, age: int | None, collection: Collection, private: Private, day: date
) -> BreedingReadiness:
    weighed = weight_on([row for row in private.log if row.animal == animal.id], day)
    weight = weighed.number if weighed is not None else None
    laid = (clutch.laid for clutch in collection.laid_by(animal.id) if clutch.laid is not None)
    asked: tuple[tuple[Literal["age", "weight"], int | Fraction | None, Limit | None], ...] = (
        ("age", age, rule.age_months),
        ("weight", weight, rule.weight_g),
    )
    short = [
        Shortfall(what, has, limit.value)
        for what, has, limit in asked
        if limit is not None and (has is None or has < limit.value)
    ]
    short.sort(key=lambda one: one.has is None)
    return BreedingReadiness(
        animal=animal.id,
        verdict="ready" if not short else "not known" if short[0].has is None else "not yet",
        age_months=age,
        weight=weight,
        weighed_on=weighed.on if weighed is not None else None,
        weight_is_old=weighed is not None and day - weighed.day > OLD_WEIGHT,
        lacks=tuple(short),
        laid=max((when for when in laid if when.first <= day), default=None),
        rule=rule,
    )


def is_grown(animal: Animal, collection: Collection, day: date) -> bool:
    """Whether it is as old as its species commonly breeds; where its age is not known, whether it is kept as a breeder."""
    age, species = age_in_months(animal.hatched, day), collection.species.get(animal.species)
    if age is None or species is None:
        return animal.status == "breeder"
    sexes: tuple[Sex, ...] = ("male", "female") if animal.sex == "unknown" else (animal.sex,)
    rules = [rule for sex in sexes if (rule := grown(species, sex, {})) and rule.age_months is not None]
    months = [rule.age_months.value for rule in rules if rule.age_months is not None]
    return age >= min(months, default=Fraction(12))
