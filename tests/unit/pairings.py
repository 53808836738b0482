"""Pairings for tests, and their odds by enumeration: every genotype of both parents, every clutch egg by egg.

The enumeration is for loci off the sex chromosomes with one allele each, parents independent of each other; it shares no code with
the product: a genotype is a count of copies, a look a string.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import product
from math import prod

from tests.oracle.as_collection import as_collection
from tests.oracle.case import Animal, Case, Claim, Locus, Look, Reading

from clutchlight.genetics.inference import Inference, infer

Chances = dict[str, Fraction]
Copies = tuple[int, ...]
HALF = Fraction(1, 2)
NORMAL = Reading(Look(()))


def parent(name: str, sex: str, claims: Chances, shows: tuple[str, ...] = ()) -> Animal:
    """A founder with claims (trait to chance) that shows these looks."""
    said = tuple(Claim(trait, chance) for trait, chance in claims.items() if chance)
    return Animal(name, "male" if sex == "male" else "female", (Reading(Look(shows)),), said)


def recessive(*traits: str) -> tuple[Locus, ...]:
    return tuple(Locus(f"at-{trait.lower()}", "recessive", (trait,)) for trait in traits)


def inferred(loci: tuple[Locus, ...], *animals: Animal) -> Inference:
    return infer(as_collection(Case(loci, animals)))


class Pair:
    """Two founders at recessive loci: for each trait the chances of 0, 1 and 2 copies in either."""

    def __init__(self, sire: dict[str, tuple[Fraction, ...]], dam: dict[str, tuple[Fraction, ...]]) -> None:
        self.traits = tuple(sire)
        self.sire, self.dam = sire, dam

    def genotypes(self) -> Iterator[tuple[Copies, Copies, Fraction]]:
        """Every genotype of both parents that has a chance."""
        rows = [self.sire[trait] for trait in self.traits] + [self.dam[trait] for trait in self.traits]
        for copies in product(range(3), repeat=len(rows)):
            chance = prod((row[n] for row, n in zip(rows, copies, strict=True)), start=Fraction(1))
            if chance:
                yield copies[: len(self.traits)], copies[len(self.traits) :], chance

    def egg(self, sire: Copies, dam: Copies) -> dict[tuple[str, ...], Fraction]:
        """The looks of one egg of parents of known genotype."""
        found: dict[tuple[str, ...], Fraction] = {}
        shown = [Fraction(s, 2) * Fraction(d, 2) for s, d in zip(sire, dam, strict=True)]
        for pattern in product((False, True), repeat=len(self.traits)):
            chance = prod((p if on else 1 - p for p, on in zip(shown, pattern, strict=True)), start=Fraction(1))
            if chance:
                found[tuple(trait for trait, on in zip(self.traits, pattern, strict=True) if on)] = chance
        return found

    def clutches(self, young: int) -> Iterator[tuple[Copies, Copies, tuple[tuple[str, ...], ...], Fraction]]:
        """Every genotype of the parents with every clutch, its eggs in order."""
        for sire, dam, chance in self.genotypes():
            for eggs in product(self.egg(sire, dam).items(), repeat=young):
                yield sire, dam, tuple(look for look, _ in eggs), chance * prod((p for _, p in eggs), start=Fraction(1))
