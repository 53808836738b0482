"""The clutches of a winter, from plans and from the incubator: who with whom, how many may hatch, and what is wanted of each.

Conventions. A female lays once in a winter: plans of one female are one clutch, of whichever of their males. A backup is among its
possible sires from the day that the log puts him with her. Eggs in the incubator count as they were laid, by the sires of their record,
without those that the log has lost since; what is wanted of them is what the plan wanted that they came of.
Left out, and named: plans and eggs of which no figures can be made.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from clutchlight.model import Clutch, Collection, Recorded, When
from clutchlight.model.private import Plan, Private, Purpose
from clutchlight.planning.discrepancies import absence, answer_to, good_eggs_left, open_plans
from clutchlight.planning.hatchlings import hatchlings_of, hatchlings_of_eggs, usual_clutch
from clutchlight.planning.winter import ComingClutch

_ONE_SEASON = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class Awaited:
    """A clutch of the winter. `laid`: the id of its record where it is laid; `want`, `purpose`: as planned, else nothing."""

    clutch: ComingClutch
    want: tuple[str, ...] = ()
    purpose: Purpose | None = None
    laid: str | None = None


def awaited(collection: Collection, private: Private, day: date) -> tuple[Awaited, ...]:
    """The clutches planned or laid on a day, by female."""
    laid = list(_in_the_incubator(collection, private, day))
    sitting = {one.clutch.dam for one in laid}
    plans: dict[str, list[Plan]] = {}
    for plan in open_plans(collection, private, day):
        if plan.female not in sitting:
            plans.setdefault(plan.female, []).append(plan)
    planned = (_planned(collection, private, day, female, several) for female, several in plans.items())
    found = [*laid, *(one for one in planned if one is not None)]
    return tuple(sorted(found, key=lambda one: one.clutch.dam))


def _planned(collection: Collection, private: Private, day: date, female: str, plans: list[Plan]) -> Awaited | None:
    males: dict[str, None] = {}
    for plan in plans:
        males.update(dict.fromkeys(plan.males))
        if plan.backup is not None and _paired(private, plan, plan.backup, day):
            males[plan.backup] = None
    usable = [male for male in males if _can(collection, private, day, male, female)]
    if not usable:
        return None
    species = collection.species[collection.animals[female].species]
    sires = tuple((male, Fraction(1, len(usable))) for male in usable)
    want = tuple(dict.fromkeys(look for plan in plans for look in plan.want))
    purpose: Purpose = "prove" if any(plan.purpose == "prove" for plan in plans) else "produce"
    lays = usual_clutch(species).lays
    return Awaited(ComingClutch(sires, female, hatchlings_of(species), lays), want, purpose)


def _paired(private: Private, plan: Plan, male: str, day: date) -> bool:
    """Whether the log puts a male with the female of a plan since it began."""
    return any(
        row.event in ("paired", "lock") and row.with_(male) == plan.female and row.day <= day
        for row in private.of(male)
        if plan.start is None or plan.start.first <= row.day
    )


def _can(collection: Collection, private: Private, day: date, male: str, female: str) -> bool:
    """Whether both are on record, here and fit, of one species, and of two sexes as far as is known."""
    both = [collection.animals.get(name) for name in (male, female)]
    sire, dam = both
    if sire is None or dam is None or sire.id == dam.id or sire.species != dam.species:
        return False
    fit = not any(absence(animal, private.log, day) for animal in (sire, dam))
    return fit and sire.sex != "female" and dam.sex != "male"


def _in_the_incubator(collection: Collection, private: Private, day: date) -> Iterator[Awaited]:
    for clutch in collection.clutches.values():
        if clutch.laid is None or clutch.laid.first > day or clutch.over or not clutch.counts:
            continue
        sires, left = _sires(clutch), good_eggs_left(clutch, collection, private, day)
        if sires is None or left == 0 or clutch.dam not in collection.animals:
            continue
        species = collection.species[clutch.species]
        hatchlings = hatchlings_of(species) if left is None else hatchlings_of_eggs(species, left)
        plan = plan_of(clutch, clutch.laid, collection, private)
        want, purpose = (plan.want, plan.purpose) if plan is not None else ((), None)
        yield Awaited(
            ComingClutch(sires, clutch.dam, hatchlings, mixed=clutch.sires.kind == "mixed"), want, purpose, clutch.id
        )


def plan_of(clutch: Clutch, laid: When, collection: Collection, private: Private) -> Plan | None:
    """The plan that a clutch came of: of those that she had not laid for before, one with its male before others, the latest begun.

    A plan with a result is over: it counts for a clutch of its own season alone.
    """

    def begun(plan: Plan) -> date:
        return plan.start.first if plan.start is not None else laid.last

    found = []
    for plan in private.plans:
        if plan.female != clutch.dam or begun(plan) > laid.last:
            continue
        answer = answer_to(plan, collection, private, laid.last)
        season = plan.start is not None and laid.last - begun(plan) <= _ONE_SEASON
        if (answer is None or answer.clutch == clutch.id) and (plan.result is None or season):
            found.append(plan)
    return max(found, key=lambda plan: (not set(clutch.sires.ids).isdisjoint(plan.males), begun(plan)), default=None)


def _sires(clutch: Clutch) -> tuple[tuple[str, Fraction], ...] | None:
    """Who may have sired it; None where somebody who is not on record may have, or nobody."""
    found = tuple((sire.id, chance) for sire, chance in clutch.sires.candidates if isinstance(sire, Recorded))
    return found if found and len(found) == len(clutch.sires.candidates) else None
