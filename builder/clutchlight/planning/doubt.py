"""What hangs on each record: the figures without a claim, a test, a look or a sire line, one record left out at a time.

Computes   for each record the printed figures that would be others if it were not there, the animal's chance of carrying before and after,
           and what would still be 1, but no longer certain. What other records prove as well has not moved.
Steps      a record moves only animals that are related to its own, by blood or through young, and only its own loci, unless a sire in
           doubt joins them: these alone are inferred anew. A look says nothing at a locus where all that the other records leave of the
           animal, with founders carrying as little as their own looks, tests and claims need, is among what it shows; there nothing is
           asked. Young that nothing tells apart are left out once, for all of them.
Assumes    records in no conflict. Leaving one out can only make more possible, so there is a figure without it.
Source     figures#what-hangs-on-a-record.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, cached_property
from types import MappingProxyType
from typing import Literal, TypeVar

from clutchlight.genetics.inference import Inference, SpeciesFigures
from clutchlight.genetics.pedigree import parts_of
from clutchlight.genetics.possible import WipedOutError
from clutchlight.genetics.solving import Priors
from clutchlight.genetics.values import NORMAL_FIGURE, Figure, Grounds
from clutchlight.genetics.world import World
from clutchlight.model import UNRECORDED, Animal, Collection, Sires
from clutchlight.problems import Place
from clutchlight.wording.words import percent_text

Kept = TypeVar("Kept")
RecordKind = Literal["claim", "test", "look", "sire"]
_UNKNOWN = Sires("one", ((UNRECORDED, Fraction(1)),))


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A record that is left out: of an animal, or the sire line of a clutch. `number`: which of its claims or tests.

    `alike`: the clutch mates of which the same record says the same, the animal itself among them.
    """

    kind: RecordKind
    subject: str
    place: Place
    number: int = 0
    alike: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MovedFigure:
    """A printed figure that would be another: the chance of carrying a trait, and on what grounds, with the record and without it."""

    animal: str
    locus: str
    trait: str
    before: Fraction
    after: Fraction
    grounds: Grounds
    grounds_after: Grounds
    sold: bool

    @property
    def by(self) -> Fraction:
        return abs(self.after - self.before)

    @property
    def proof_gone(self) -> bool:
        """Whether "proven by" falls away."""
        return self.grounds.kind == "proven" and self.grounds_after.kind != "proven"


@dataclass(frozen=True, slots=True)
class Doubted:
    """A record with what hangs on it: proofs that fall away first, then by how far they move."""

    record: LeftOut
    moved: tuple[MovedFigure, ...]

    @property
    def sold(self) -> tuple[MovedFigure, ...]:
        return tuple(one for one in self.moved if one.sold)

    @property
    def others(self) -> tuple[MovedFigure, ...]:
        return tuple(one for one in self.moved if not one.sold)


def doubts(inference: Inference, about: str | None = None, *, moving: str | None = None) -> tuple[Doubted, ...]:
    """Every record on which a printed figure hangs, those with most figures of sold animals first, then with most figures.

    `about`: of one animal or clutch: its own records alone. `moving`: of one animal: the records that move its figures, and these alone.
    """
    found = []
    for species in inference.collection.species:
        if inference.loci_in_play(species):
            leaving = _Leaving(inference, species)
            for record in leaving.records():
                if (about is None or about in (record.subject, *record.alike)) and leaving.related(record, moving):
                    moved = leaving.moved(record)
                    kept = tuple(one for one in moved if moving in (None, one.animal))
                    found += [Doubted(record, kept)] if kept else []
    return tuple(sorted(found, key=_most_first))


def _most_first(one: Doubted) -> tuple[int, int, Fraction, str, str, int]:
    return -len(one.sold), -len(one.moved), -one.moved[0].by, one.record.subject, one.record.kind, one.record.number


@dataclass(frozen=True)
class _Relatives:
    """The animals and clutches that hang together. `joined`: the loci that a sire in doubt may join."""

    collection: Collection
    species: str
    joined: frozenset[str]

    @cached_property
    def world(self) -> World:
        """Its records, put in order once for all that are left out of it."""
        return World.of(self.collection, self.species)


class _Leaving:
    """One species, its records left out one at a time."""

    def __init__(self, inference: Inference, species: str) -> None:
        self.inference = inference
        self.collection = inference.collection
        self.species = species
        animals = [animal for animal in self.collection.animals.values() if animal.species == species]
        self.figures: SpeciesFigures = inference.figures_of(animals[0].id)
        self.world = self.figures.world
        self._tops = parts_of(self.world.pedigree)
        self._loci = tuple(locus.key for locus in self.world.loci)
        self._part = cache(self._hanging_together)
        self._alike: dict[str, list[str]] = {}
        self._known: dict[tuple[str, str, int], Grounds] = {}
        for one, first in inference.like.items():
            self._alike.setdefault(first, [first]).append(one)

    def records(self) -> Iterator[LeftOut]:
        for animal in self.collection.animals.values():
            if animal.species != self.species:
                continue
            for number, claim in enumerate(animal.claims):
                if not claim.withdrawn:
                    yield LeftOut("claim", animal.id, claim.place, number)
            for number, test in enumerate(animal.tests):
                yield LeftOut("test", animal.id, test.place, number)
            if animal.readings and animal.id not in self.inference.like:
                alike = tuple(self._alike.get(animal.id, ()))
                yield LeftOut("look", animal.id, animal.readings[-1].place, alike=alike)
            if animal.sire and animal.clutch is None:
                yield LeftOut("sire", animal.id, animal.place_of("sire"))
        for clutch in self.collection.clutches.values():
            if clutch.species == self.species and clutch.sires != _UNKNOWN and (clutch.young or clutch.tally):
                yield LeftOut("sire", clutch.id, clutch.place_of("sire"))

    def related(self, record: LeftOut, animal: str | None) -> bool:
        """Whether a record can move an animal at all; None: some animal."""
        return animal is None or animal in self._part_of(record).collection.animals

    def moved(self, record: LeftOut) -> tuple[MovedFigure, ...]:
        """The printed figures that the record moves."""
        part = self._part_of(record)
        loci = self._loci_moved(record, part)
        if not loci:
            return ()
        collection, world = _without(part.collection, record), part.world
        positions = [at for at, locus in enumerate(world.loci) if locus.key in loci]
        without = SpeciesFigures(collection, self.species, world=world.now_by(collection, positions))
        found: list[MovedFigure] = []
        for animal in part.collection.animals.values():
            for key in sorted(loci):
                found += self._compared(without, animal, key, record.subject)
        return tuple(sorted(found, key=lambda one: (not one.proof_gone, -one.by, one.animal, one.locus, one.trait)))

    def _part_of(self, record: LeftOut) -> _Relatives:
        clutch = self.collection.clutches.get(record.subject)
        return self._part(self._tops[self.world.pedigree.egg_of[clutch.dam if clutch else record.subject]])

    def _hanging_together(self, top: int) -> _Relatives:
        """The part of the animals that this egg stands for."""
        number = self.world.pedigree.egg_of
        animals = {
            name: one
            for name, one in self.collection.animals.items()
            if one.species == self.species and self._tops[number[name]] == top
        }
        clutches = {name: one for name, one in self.collection.clutches.items() if one.dam in animals}
        part = replace(self.collection, animals=MappingProxyType(animals), clutches=MappingProxyType(clutches))
        return _Relatives(part, self.species, frozenset(self._joined_by_sires(top)))

    def _loci_moved(self, record: LeftOut, part: _Relatives) -> frozenset[str]:
        """The loci at which a record can move anything."""
        in_play = {locus.key for locus in part.collection.loci_in_play(self.species)}
        record_of = part.collection.animals.get(record.subject)
        loci = set(in_play)
        if record.kind == "look" and record_of is not None:
            loci = {key for key in in_play if not self._says_nothing(key, record_of)}
        elif record.kind == "claim" and record_of is not None:
            loci = {record_of.claims[record.number].locus}
        elif record.kind == "test" and record_of is not None:
            loci = {record_of.tests[record.number].locus}
        loci &= in_play
        for joined in (part.joined, {one.key for one in self.world.loci if one.sex_linked is not None}):
            loci |= joined & in_play if loci & joined else set()
        return frozenset(loci)

    def _joined_by_sires(self, top: int) -> Iterator[str]:
        """The loci of a part at which a sire in doubt may bring anything, whatever single record is left out."""
        for family in self.world.pedigree.families:
            if family.in_doubt and self._tops[family.dam] == top:
                alone = family.may_lack_sire
                for at, locus in enumerate(self.world.loci):
                    normal = self.world.states[at].normal
                    if alone or any(self._least[at][sire] & ~normal for sire in family.parents[:-1]):
                        yield locus.key

    def _says_nothing(self, locus: str, animal: Animal) -> bool:
        """Whether what an animal looks like follows from founders that carry as little as will do, without any look of a young."""
        position = self.world.position.get(locus)
        if position is None:
            return True
        if self.figures.limit.solved.order[position] or self.figures.asking is not self.world:
            return False
        egg = self.world.pedigree.egg_of[animal.id]
        evidence = self.world.evidence[position]
        shown = evidence.states.full
        for reading in animal.readings[-1:]:
            shown &= evidence.reading_mask(reading)
        left = self._least[position][egg]
        return not left & ~shown

    @cached_property
    def _least(self) -> tuple[tuple[int, ...], ...]:
        """What is possible at each locus if founders carry as little as claims and sure tests need, and no look counts but what founders
        show that carry more."""
        world, now = self.world, self.world.timeline.now
        priors = Priors(world, now)
        rows = []
        for at, evidence in enumerate(world.evidence):
            row = []
            for egg in world.pedigree.eggs:
                if egg.family is not None:
                    row.append(evidence.sex_mask(egg))
                    continue
                free = priors.up_to(at, egg.number, evidence.sex_mask(egg))
                seen = priors.up_to(at, egg.number, world.evidence_mask(at, egg, now) & priors.possible(at, egg))
                normal = evidence.states.normal & evidence.sex_mask(egg)
                row.append(free | seen | normal)
            domains = world.only(at).domains([row])
            try:
                domains.propagate()
            except WipedOutError:
                rows.append(tuple(evidence.states.full for _ in row))
                continue
            rows.append(tuple(domains.masks[0]))
        return tuple(rows)

    def _grounds(self, animal: str, locus: str, allele: int, chance: Fraction) -> Grounds:
        key = (animal, locus, allele)
        if key not in self._known:
            self._known[key] = self.inference.grounds(*key) if chance == 1 else Grounds("chance")
        return self._known[key]

    def _compared(self, without: SpeciesFigures, animal: Animal, key: str, subject: str) -> Iterator[MovedFigure]:
        if animal.nameless:
            return
        place = without.place(animal.id, key)
        before = self.inference.now(animal.id, key)
        after = NORMAL_FIGURE if place is None else without.now(place)
        if not (isinstance(before, Figure) and isinstance(after, Figure)):
            return
        locus = self.collection.species[self.species].loci[key]
        for allele, trait in enumerate(locus.alleles, 1):
            one = before.carries(allele)
            other = one if before == after else after.carries(allele)
            printed = one != other and percent_text(one) != percent_text(other)
            if not printed and one != 1:
                continue
            grounds = self._grounds(animal.id, key, allele, one)
            if not printed and grounds.kind == "look" and animal.id != subject:
                continue  # its own look stands
            left = _grounds_left(without, place, allele, grounds) if place and other == 1 else Grounds("chance")
            if printed or grounds != left:
                yield MovedFigure(animal.id, key, trait, one, other, grounds, left, animal.sold)


def _grounds_left(without: SpeciesFigures, place: tuple[int, int], allele: int, before: Grounds) -> Grounds:
    """On what it is still certain; what is forced by other records too is said on the grounds that it has."""
    sure = before.kind in ("look", "parentage", "test", "proven")
    if without.certainty.forced_now(*place, allele):
        return before if sure else Grounds("parentage")
    return Grounds("claim" if without.certainty.forced_by_claims(*place, allele) else "assumption")


def _without(collection: Collection, record: LeftOut) -> Collection:
    """The collection without a record."""
    clutch = collection.clutches.get(record.subject)
    if clutch is not None:
        return collection.with_clutches(replace(clutch, sires=_UNKNOWN))
    animal = collection.animals[record.subject]
    match record.kind:
        case "claim":
            animal = replace(animal, claims=_but(animal.claims, record.number))
        case "test":
            animal = replace(animal, tests=_but(animal.tests, record.number))
        case "look":
            animal = replace(animal, readings=())
        case "sire":
            animal = replace(animal, sire=None)
    animals: Mapping[str, Animal] = {**collection.animals, animal.id: animal}
    return replace(collection, animals=MappingProxyType(animals))


def _but(records: tuple[Kept, ...], number: int) -> tuple[Kept, ...]:
    return (*records[:number], *records[number + 1 :])
