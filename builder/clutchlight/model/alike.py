"""Clutch mates of which the records say the same: whatever is inferred of one is so of the others, now and at every moment.

They hatched of the same parents on the same day and were seen once, by then, to look the same; nothing was claimed of them or tested, none
has a twin, and none bred. They are of one sex, where that bears on anything: where a locus in play is sex-linked, or where the dam may have
bred without a male, whose young are of one sex. Exchanging two of them changes no record but for names, lines and a sex that bears on
nothing, so no figure tells them apart. Whether they were sold, and what else is told of them, does not matter here.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING

from clutchlight.model.animal import Animal
from clutchlight.model.clutch import NO_SIRE, Clutch

if TYPE_CHECKING:
    from clutchlight.model.collection import Collection


def alike(collection: Collection) -> Mapping[str, str]:
    """For each animal that is like an earlier one of its clutch, the id of the first of them."""
    parents = {parent for animal in collection.animals.values() for parent in (animal.sire, animal.dam)}
    parents.update(collection.clutches_of)
    linked = {key for key in collection.species if any(locus.sex_linked for locus in collection.loci_in_play(key))}
    first: dict[Hashable, str] = {}
    return MappingProxyType(
        {
            animal.id: like
            for clutch in collection.clutches.values()
            for animal in _plain_young(collection, clutch, parents)
            if (like := first.setdefault(_told(animal, _sex_bears(clutch, linked)), animal.id)) != animal.id
        }
    )


def _plain_young(collection: Collection, clutch: Clutch, parents: set[str | None]) -> Iterator[Animal]:
    for name in clutch.young:
        animal = collection.animals[name]
        twins = collection.eggs.get(animal.egg or animal.id, ())
        apart = len(animal.readings) > 1 or animal.tests or animal.claims or animal.stated or len(twins) > 1
        if not apart and name not in parents and _seen_by_then(animal, clutch):
            yield animal


def _seen_by_then(animal: Animal, clutch: Clutch) -> bool:
    """Whether its look has no day of its own in what is known of it."""
    return all(
        reading.on is None or (clutch.hatched is not None and reading.on.last <= clutch.hatched.last)
        for reading in animal.readings
    )


def _sex_bears(clutch: Clutch, linked: set[str]) -> bool:
    return clutch.species in linked or any(name == NO_SIRE for name, _ in clutch.sires.candidates)


def _told(animal: Animal, with_sex: bool) -> Hashable:
    """What its record says that bears on its genes, places left out."""
    looks = tuple(
        (reading.shows, reading.on, reading.loose, reading.without, reading.cannot_tell) for reading in animal.readings
    )
    return animal.clutch, animal.sire, animal.dam, animal.sex if with_sex else None, animal.hatched, looks
