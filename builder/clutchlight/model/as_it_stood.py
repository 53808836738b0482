"""A collection as its records stood on a day: what had not yet happened is left out.

Records date most facts, but not all: what was for sale, and for how much, is not dated. An animal that has left since then is
therefore shown as not for sale on that day, unless its sales say more, and prices are the present ones.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from types import MappingProxyType

from clutchlight.model.animal import Animal
from clutchlight.model.clutch import Clutch
from clutchlight.model.collection import Collection
from clutchlight.model.dates import When
from clutchlight.model.season import Plan, Private


def as_it_stood(collection: Collection, day: date) -> Collection:
    """The collection with `until` = day, and without what is dated later. A date that is not a full day counts as its last day."""
    clutches = {
        key: _clutch(clutch, day) for key, clutch in collection.clutches.items() if not _later(_begun(clutch), day)
    }
    there = {key: animal for key, animal in collection.animals.items() if not _unborn(collection, animal, day)}
    parents = {parent for clutch in clutches.values() for parent in (*clutch.sires.ids, clutch.dam)}
    parents |= {parent for animal in there.values() for parent in (animal.sire, animal.dam) if parent}
    animals = {
        key: _animal(animal, day)
        for key, animal in there.items()
        if key in parents or not (animal.founder and animal.came and _later(animal.came.on, day))
    }
    return replace(collection, animals=MappingProxyType(animals), clutches=MappingProxyType(clutches), until=day)


def private_as_it_stood(private: Private, stood: Collection, day: date) -> Private:
    """The private side beside a collection as it stood: nothing that happened or begins later, and no animal not yet there."""
    sales = (
        replace(sale, animals=tuple(name for name in sale.animals if name in stood.animals)) for sale in private.sales
    )
    return replace(
        private,
        plans=tuple(
            plan for plan in (_plan(plan, stood) for plan in private.plans if not _later(plan.start, day)) if plan
        ),
        log=tuple(
            row
            for row in private.log
            if row.day <= day
            and row.animal in stood.animals
            and (row.partner is None or row.partner in stood.animals)
            and (row.clutch is None or row.clutch in stood.clutches)
        ),
        sales=tuple(sale for sale in sales if sale.animals),
        holdings=tuple(holding for holding in private.holdings if holding.animal in stood.animals),
    )


def _plan(plan: Plan, stood: Collection) -> Plan | None:
    """The plan with the males that were there; None when that leaves no pair."""
    males = tuple(male for male in plan.males if male in stood.animals)
    if not males or plan.female not in stood.animals:
        return None
    return replace(plan, males=males, backup=plan.backup if plan.backup in stood.animals else None)


def _later(when: When | None, day: date) -> bool:
    return when is not None and when.last > day


def _begun(clutch: Clutch) -> When | None:
    return clutch.laid or clutch.hatched or clutch.ended


def _unborn(collection: Collection, animal: Animal, day: date) -> bool:
    clutch = collection.clutches.get(animal.clutch or "")
    return _later(clutch.hatched if clutch else animal.hatched, day)


def _clutch(clutch: Clutch, day: date) -> Clutch:
    photos = tuple(photo for photo in clutch.photos if not _later(photo.on, day))
    ended = None if _later(clutch.ended, day) else clutch.ended
    if not _later(clutch.hatched, day):
        return replace(clutch, photos=photos, ended=ended)
    return replace(
        clutch, photos=photos, ended=ended, hatched=None, young=(), tally=(), to_sort=0, unseen=0, went_bad=0, prose=""
    )


def _animal(animal: Animal, day: date) -> Animal:
    gone = animal.left is not None and not _later(animal.left.on, day)
    return replace(
        animal,
        readings=tuple(reading for reading in animal.readings if not _later(reading.on, day)),
        tests=tuple(test for test in animal.tests if not _later(test.on, day)),
        claims=tuple(
            replace(claim, withdrawn=None) if _later(claim.withdrawn, day) else claim for claim in animal.claims
        ),
        photos=tuple(photo for photo in animal.photos if not _later(photo.on, day)),
        corrections=tuple(correction for correction in animal.corrections if not _later(correction.on, day)),
        left=animal.left if gone else None,
        status="not for sale" if animal.left is not None and not gone else animal.status,
    )
