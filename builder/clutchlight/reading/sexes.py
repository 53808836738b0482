"""The sex that an animal must have, where its own record does not say: by the part that it had in a clutch, or its identical twin's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from clutchlight.model import Animal, Clutch, Sex


def with_sexes(animals: Mapping[str, Animal], clutches: Mapping[str, Clutch]) -> Mapping[str, Animal]:
    """The animals, each with the sex that the records leave it."""
    known: dict[str, Sex] = {}
    for clutch in clutches.values():
        known[clutch.dam] = "female"
        known.update(dict.fromkeys(clutch.sires.ids, "male"))
    for animal in animals.values():
        known.update({animal.dam: "female"} if animal.dam else {})
        known.update({animal.sire: "male"} if animal.sire else {})
    for animal in animals.values():
        if animal.sex != "unknown":
            known[animal.id] = animal.sex
    of_egg = {animal.egg: known[animal.id] for animal in animals.values() if animal.egg and animal.id in known}
    found = {}
    for animal in animals.values():
        sex = known.get(animal.id) or of_egg.get(animal.egg, "unknown")
        found[animal.id] = animal if sex == animal.sex else replace(animal, sex=sex)
    return MappingProxyType(found)
