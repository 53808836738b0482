"""One case seen twice: by the product's engine and by the enumeration, in the same terms, so that answers can be compared with ==.

A genotype is written as a sorted pair of trait names, "" for normal. Nothing is rounded anywhere.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import cached_property, lru_cache
from random import Random

from msgspec import Struct
from msgspec.structs import replace
from tests.oracle.as_collection import as_collection
from tests.oracle.case import Animal, Case, Locus
from tests.oracle.enumerate_genotypes import Enumeration, when_hatched
from tests.oracle.looks_of_genotypes import Pair
from tests.oracle.random_cases import EVERYTHING, KINDS, Features, random_case

from clutchlight.genetics.inference import Inference, infer
from clutchlight.genetics.values import Figure, JointFigure, NotComputed, SireChances
from clutchlight.model import Genotype

Names = tuple[str, ...]
Shares = dict[Names, Fraction]

ALL_KINDS = (*KINDS, "everything")


def features_of(kind: str) -> Features:
    return EVERYTHING if kind == "everything" else KINDS[kind]


def named(locus: Locus, pair: Genotype) -> Names:
    """An engine's genotype in names."""
    return tuple(sorted(locus.alleles[number - 1] if number else "" for number in pair))


def shares(locus: Locus, figure: Figure | NotComputed) -> Shares:
    """An engine's figure in names; a figure that is not computed fails the test."""
    assert isinstance(figure, Figure), figure
    return {named(locus, pair): chance for pair, chance in figure.genotypes}


def sires(found: SireChances | NotComputed) -> dict[str, Fraction]:
    """An engine's chances of sires by name; not computed fails the test."""
    assert not isinstance(found, NotComputed), found
    return {str(sire): chance for sire, chance in found}


def enumerated(chances: Mapping[Pair, Fraction]) -> Shares:
    """The enumeration's figure in the same terms."""
    return {tuple(sorted(pair)): chance for pair, chance in chances.items() if chance}


def founds(animal: Animal) -> bool:
    return animal.clutch is None and animal.sire is None and animal.dam is None


class BothWays(Struct, frozen=True, dict=True):
    """A case, its inference and its enumeration, each made once. `name` is printed when a comparison fails."""

    name: str
    case: Case

    @cached_property
    def inference(self) -> Inference:
        return infer(as_collection(self.case))

    @cached_property
    def enumeration(self) -> Enumeration:
        return Enumeration(self.case)

    @property
    def has_figures(self) -> bool:
        return not self.enumeration.conflict

    @cached_property
    def order(self) -> int:
        """The unrecorded allele copies that the engine needs."""
        return self.inference.figures_of(self.case.animals[0].id).limit.solved.copies

    def told(self) -> set[str]:
        """The loci with an unexpected result."""
        return {one.locus for one in self.inference.surprises}

    def enumerated_loci(self) -> set[str]:
        """The same by the enumeration: where an assignment with fewest copies in all holds some beyond what founders' own records need."""
        own = [Enumeration(replace(self.case, animals=(one,), clutches=())) for one in self.case.animals if founds(one)]
        return {
            locus.name
            for locus in self.case.loci
            if max(self.enumeration.surprise_at(locus.name)) > sum(max(one.surprise_at(locus.name)) for one in own)
        }

    def now(self, animal: str, locus: Locus) -> Shares:
        return shares(locus, self.inference.now(animal, locus.name))

    def when_hatched(self, animal: str, locus: Locus) -> Shares:
        return shares(locus, self.inference.when_hatched(animal, locus.name))

    def joint(self, animal: str) -> dict[tuple[Names, ...], Fraction]:
        found = self.inference.joint([(animal, locus.name) for locus in self.case.loci])
        assert isinstance(found, JointFigure)
        return {
            tuple(named(locus, pair) for locus, pair in zip(self.case.loci, pairs, strict=True)): chance
            for pairs, chance in found.outcomes
        }

    @lru_cache  # noqa: B019 - cases live as long as the test run
    def at_hatching(self, animal: str) -> Enumeration:
        return when_hatched(self.case, animal)

    def certain(self) -> list[tuple[str, Locus, int]]:
        """(animal, locus, allele number) wherever the engine says that an animal carries with chance 1."""
        return [
            (animal.id, locus, number)
            for animal in self.case.animals
            for locus in self.case.loci
            for number in range(1, len(locus.alleles) + 1)
            if isinstance(figure := self.inference.now(animal.id, locus.name), Figure) and figure.carries(number) == 1
        ]


def drawn(kind: str, seeds: range, animals: int, loci: int) -> tuple[BothWays, ...]:
    """Random cases of one kind, the same for the same seeds."""
    features = replace(features_of(kind), animals=animals, loci=loci)
    return tuple(
        BothWays(f"{kind}, seed {seed}, {animals} animals, {loci} loci", random_case(Random(seed), features))
        for seed in seeds
    )
