"""A whole collection: settings, species, animals, clutches, pages. What every later stage reads; no file is read here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from functools import cached_property
from types import MappingProxyType

from clutchlight.model.alike import alike
from clutchlight.model.animal import Animal
from clutchlight.model.clutch import Clutch
from clutchlight.model.traits import Locus, Species
from clutchlight.problems import Place


@dataclass(frozen=True)
class Settings:
    """collection.yaml. Thresholds are fractions and are compared as fractions."""

    name: str
    collection_id: str
    species: tuple[str, ...]
    contact: Mapping[str, str] = field(default_factory=dict)
    web_address: str | None = None
    currency: str | None = None
    theme: str = "paper"
    mention_from: Fraction = Fraction(1, 16)
    doubt_below: Fraction = Fraction(1, 20)
    publish_from_log: tuple[str, ...] = ()
    law: tuple[str, ...] = ()
    advert: tuple[str, ...] = ()
    about: str | None = None
    season: Mapping[str, object] = field(default_factory=dict)
    place: Place = field(default_factory=lambda: Place("collection.yaml"))


@dataclass(frozen=True, slots=True)
class FreePage:
    """A page of the breeder's own: pages/NAME.md."""

    slug: str
    title: str
    prose: str
    place: Place


@dataclass(frozen=True)
class Collection:
    """Animals and clutches by id, in order of id; species by key."""

    settings: Settings
    species: Mapping[str, Species]
    animals: Mapping[str, Animal]
    clutches: Mapping[str, Clutch]
    pages: tuple[FreePage, ...] = ()
    until: date | None = None

    @cached_property
    def eggs(self) -> Mapping[str, tuple[str, ...]]:
        """For each egg (named by its first animal) the animals that came of it: one, or identical twins."""
        found: dict[str, list[str]] = {}
        for animal in self.animals.values():
            found.setdefault(animal.egg or animal.id, []).append(animal.id)
        return MappingProxyType({egg: tuple(sorted(ids)) for egg, ids in found.items()})

    @cached_property
    def clutches_of(self) -> Mapping[str, tuple[str, ...]]:
        """For each animal the clutches that it may be a parent of, in order of id."""
        found: dict[str, list[str]] = {}
        for clutch in self.clutches.values():
            for parent in dict.fromkeys((*clutch.sires.ids, clutch.dam)):
                found.setdefault(parent, []).append(clutch.id)
        return MappingProxyType({parent: tuple(ids) for parent, ids in found.items()})

    @cached_property
    def alike(self) -> Mapping[str, str]:
        """For each animal that is like an earlier one of its clutch, the first of them (see `model.alike`)."""
        return alike(self)

    def loci_in_play(self, species: str) -> tuple[Locus, ...]:
        """The computed loci at which any record of the species shows, tests or claims a mutant allele, or a background is stated."""
        found = self.species[species]
        return tuple(
            locus for locus in found.computed_loci if locus.key in self._spoken_of[species] or locus.background
        )

    @cached_property
    def _spoken_of(self) -> Mapping[str, frozenset[str]]:
        """By species the loci of looks, tests and claims."""
        loci: dict[str, set[str]] = {key: set() for key in self.species}
        readings = [(animal.species, reading) for animal in self.animals.values() for reading in animal.readings]
        readings += [(clutch.species, row.reading) for clutch in self.clutches.values() for row in clutch.tally]
        for species, reading in readings:
            for name in reading.shows or ():
                loci[species].update(self.species[species].locus_of_look.get(name, ()))
        for animal in self.animals.values():
            loci[animal.species].update(claim.locus for claim in animal.claims)
            loci[animal.species].update(test.locus for test in animal.tests)
        return {species: frozenset(found) for species, found in loci.items()}

    def locus(self, animal: str, key: str) -> Locus:
        return self.species[self.animals[animal].species].loci[key]
