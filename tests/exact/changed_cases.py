"""Changes to a case that must not change its figures: other names, other order of writing, records that say nothing."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from random import Random
from typing import TypeVar

from msgspec.structs import replace
from tests.oracle.case import UNKNOWN, Animal, Case, Claim, Clutch, LabTest, Look, Reading

from clutchlight.model import Collection

T = TypeVar("T")


def other_names(case: Case) -> tuple[Case, Mapping[str, str]]:
    """The case with animals and clutches renamed so that they sort the other way round, and the new name of each."""
    old = sorted({animal.id for animal in case.animals} | {clutch.id for clutch in case.clutches}, reverse=True)
    new = {name: f"R-{number:03}" for number, name in enumerate(old)}

    def of(name: str) -> str:
        return new.get(name, name)

    animals = tuple(
        replace(
            animal,
            id=of(animal.id),
            clutch=animal.clutch and of(animal.clutch),
            same_egg_as=animal.same_egg_as and of(animal.same_egg_as),
            sire=of(animal.sire) if isinstance(animal.sire, str) else animal.sire,
            dam=of(animal.dam) if isinstance(animal.dam, str) else animal.dam,
        )
        for animal in case.animals
    )
    clutches = tuple(
        replace(
            clutch, id=of(clutch.id), dam=of(clutch.dam), sires=tuple((of(sire), share) for sire, share in clutch.sires)
        )
        for clutch in case.clutches
    )
    return replace(case, animals=animals, clutches=clutches), new


def other_order(collection: Collection, rng: Random) -> Collection:
    """The same collection with animals, clutches, loci, hatchlings, candidates, claims and tests in another order."""

    def shuffled(items: tuple[T, ...]) -> tuple[T, ...]:
        found = list(items)
        rng.shuffle(found)
        return tuple(found)

    animals = {
        ident: replace(
            collection.animals[ident],
            claims=shuffled(collection.animals[ident].claims),
            tests=shuffled(collection.animals[ident].tests),
        )
        for ident in shuffled(tuple(collection.animals))
    }
    clutches = {
        ident: replace(
            found := collection.clutches[ident],
            young=shuffled(found.young),
            tally=shuffled(found.tally),
            sires=replace(found.sires, candidates=shuffled(found.sires.candidates)),
        )
        for ident in shuffled(tuple(collection.clutches))
    }
    species = {
        key: replace(one, loci={locus: one.loci[locus] for locus in shuffled(tuple(one.loci))})
        for key, one in collection.species.items()
    }
    return replace(collection, animals=animals, clutches=clutches, species=species)


def saying_nothing(case: Case) -> Case:
    """The case with records added that tell nothing: unseen animals, eggs and clutches, a look that could not be told."""
    every_locus = tuple(locus.alleles[0] for locus in case.loci)
    blind = Reading(Look((), cannot_tell=every_locus))
    more = [Animal("X-1", "male"), Animal("X-2", "female", (blind,)), Animal("X-3", "female")]
    more += [Animal(f"{clutch.id}-unseen", None, clutch=clutch.id) for clutch in case.clutches]
    clutches: list[Clutch] = []
    known = [animal.id for animal in case.animals if animal.sex == "male" and animal.founder]
    if known:
        clutches.append(Clutch("X-4", ((known[0], Fraction(1)),), "X-3", date(2030, 7, 1)))
        more.append(Animal("X-4-1", "male", (blind,), clutch="X-4"))
    return replace(
        case,
        animals=(*case.animals, *more),
        clutches=(*(replace(clutch, unseen=2, went_bad=1) for clutch in case.clutches), *clutches),
    )


def contradicting(case: Case, since: date, until: date) -> Case:
    """The case with a stranger whose records contradict each other at the first locus for a while."""
    trait = case.loci[0].alleles[0]
    claim, test = Claim(trait, Fraction(1), withdrawn=until), LabTest(trait, 0, since)
    return replace(case, animals=(*case.animals, Animal("X-5", "male", claims=(claim,), tests=(test,))))


def one_clutch_each(case: Case) -> Case:
    """Every egg of a clutch of one known sire in a clutch of its own: what a family says does not depend on how it is divided."""
    clutches: list[Clutch] = []
    moved: dict[str, str] = {}
    for clutch in case.clutches:
        if len(clutch.sires) > 1 or clutch.sires[0][0] == UNKNOWN:
            clutches.append(clutch)
            continue
        clutches.append(replace(clutch, tally=()))
        for index, row in enumerate(clutch.tally):
            for each in range(row.count):
                clutches.append(replace(clutch, id=f"{clutch.id}t{index}-{each}", tally=(replace(row, count=1),)))
        for number, animal in enumerate(a for a in case.animals if a.clutch == clutch.id and a.same_egg_as is None):
            if number:
                clutches.append(replace(clutch, id=f"{clutch.id}e{number}", tally=()))
                moved[animal.id] = f"{clutch.id}e{number}"
    animals = tuple(
        replace(animal, clutch=moved.get(animal.same_egg_as or animal.id, animal.clutch)) for animal in case.animals
    )
    return replace(case, animals=animals, clutches=tuple(clutches))
