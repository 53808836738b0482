"""The chance that an animal carries all that is wanted, against the enumeration's joint genotypes: loci may share a doubt."""

from __future__ import annotations

import os
from datetime import date
from fractions import Fraction
from itertools import combinations, product

import pytest
from tests.exact.both_ways import ALL_KINDS, BothWays, drawn
from tests.oracle.as_collection import as_collection
from tests.oracle.case import Animal, Case, Claim, Clutch, Locus, Look, Reading

from clutchlight.genetics.inference import infer
from clutchlight.planning.keeping import carries_all

F = Fraction
TIMES = int(os.environ.get("CLUTCHLIGHT_LONG", "1"))


def wanted(case: Case) -> list[tuple[str, ...]]:
    """Each trait by itself, each pair of two loci, and two alleles of one."""
    traits = [[(name,) for name in locus.alleles] for locus in case.loci]
    single = [one for locus in traits for one in locus]
    across = [(*one, *other) for a, b in combinations(traits, 2) for one, other in product(a, b)]
    within = [locus.alleles[:2] for locus in case.loci if len(locus.alleles) > 1]
    return [*single, *across, *within]


def enumerated(both: BothWays, animal: str, looks: tuple[str, ...]) -> Fraction:
    chances = both.enumeration.joint(animal).items()
    return sum((chance for pairs, chance in chances if set(looks) <= {name for pair in pairs for name in pair}), F(0))


@pytest.mark.parametrize("kind", ALL_KINDS)
def test_an_animal_carries_all_that_is_wanted_as_often_as_every_assignment_says(kind: str) -> None:
    cases = [both for both in drawn(kind, range(5 * TIMES), 7, 2) if both.has_figures]
    assert cases
    for both in cases:
        for animal in both.case.animals:
            record = both.inference.collection.animals[animal.id]
            for looks in wanted(both.case):
                found = carries_all(both.inference, record, looks)
                assert (both.name, animal.id, looks, found) == (
                    both.name,
                    animal.id,
                    looks,
                    enumerated(both, animal.id, looks),
                )


A, C = Locus("a", "recessive", ("A",)), Locus("c", "recessive", ("C",))


def normal(name: str, sex: str, *claims: Claim) -> Animal:
    return Animal(name, sex, (Reading(Look(())),), claims)  # type: ignore[arg-type]


def test_a_sire_in_doubt_ties_what_a_young_carries_of_two_traits() -> None:
    """By hand: sire S is het A and het C for certain, T neither; 1/2 each, the dam neither. The young carries both in 1/2 1/2 1/2 = 1/8,
    where the two chances, 1/4 each, would make 1/16."""
    animals = (
        normal("S", "male", Claim("A", F(1)), Claim("C", F(1))),
        normal("T", "male"),
        normal("D", "female"),
        Animal("Y", None, (Reading(Look(())),), clutch="K"),
    )
    case = Case((A, C), animals, (Clutch("K", (("S", F(1, 2)), ("T", F(1, 2))), "D", date(2026, 7, 1)),))
    found = infer(as_collection(case))
    young = found.collection.animals["Y"]
    assert carries_all(found, young, ("A",)) == carries_all(found, young, ("C",)) == F(1, 4)
    assert carries_all(found, young, ("A", "C")) == F(1, 8)


def test_a_look_of_two_copies_or_two_alleles_needs_one_of_them() -> None:
    """The mate gives the other: a het of either allele is what a compound needs, a shown dominant what its doubled look needs."""
    series = Locus("one", "recessive", ("A", "B"), together=(("A", "B", "AB"),))
    dose = Locus("two", "incomplete dominant", ("P",), two_copies=(("P", "PP"),))
    case = Case((series, dose), (normal("M", "male", Claim("A", F(1, 3)), Claim("B", F(1, 2))),))
    found = infer(as_collection(case))
    male = found.collection.animals["M"]
    assert carries_all(found, male, ("AB",)) == F(5, 6)
    assert carries_all(found, male, ("A", "B")) == 0
    assert carries_all(found, male, ("PP",)) == 0
    shown = infer(as_collection(Case((dose,), (Animal("M", "male", (Reading(Look(("P",))),)),))))
    assert carries_all(shown, shown.collection.animals["M"], ("PP",)) == 1
