"""Propagation decides what is possible for two alleles off the sex chromosomes with known sires, loops included; else search does.

Source of the claim: genotype elimination, Lange & Goradia 1987; for two alleles genotypes are closed under the join of two solutions.
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from random import Random

import pytest
from msgspec.structs import replace
from tests.exact.both_ways import BothWays, drawn, features_of, named
from tests.oracle.case import Animal, Case, Clutch, LabTest, Locus, Look, Reading, Sex
from tests.oracle.enumerate_genotypes import Enumeration
from tests.oracle.random_cases import random_case

from clutchlight.genetics.possible import Domains


def left(both: BothWays, domains: Domains, animal: str, locus: int) -> frozenset[tuple[str, ...]]:
    """The genotypes that stay in an animal's domain."""
    world = both.inference.figures_of(animal).world
    states = world.states[locus]
    mask = domains.masks[locus][world.pedigree.egg_of[animal]]
    return frozenset(named(both.case.loci[0], states.pairs[state]) for state in states.members(mask))


def test_a_published_example_of_genotype_elimination() -> None:
    """Five persons, the first not typed, of two mates that are O and of a child that is O; the third is A, the fourth not typed.

    Source: K. Lange, Applied Probability, the chapter on computing Mendelian likelihoods, figure 7.1 and the last column of table 7.1
    (read), there of ordered genotypes. Lange & Goradia 1987 has an example of its own, of which no copy was found.
    """
    blood = Locus("abo", "dominant", ("A", "B"), together=(("A", "B", "AB"),))
    group_o, group_a = (Reading(Look(())),), (Reading(Look(("A",))),)
    persons = (
        Animal("1", "male"),
        Animal("2", "female", group_o),
        Animal("3", "male", group_a, clutch="C1"),
        Animal("4", "female"),
        Animal("5", None, group_o, clutch="C2"),
    )
    clutches = (
        Clutch("C1", (("1", Fraction(1)),), "2", date(2000, 1, 1)),
        Clutch("C2", (("3", Fraction(1)),), "4", date(2020, 1, 1)),
    )
    both = BothWays("ABO", Case((blood,), (*persons, Animal("6", "male", (Reading(Look(("B",))),))), clutches))
    domains = both.inference.figures_of("1").certainty.domains_now
    found = {name: {"".join(pair) or "O" for pair in left(both, domains, name, 0)} for name in "12345"}
    assert found == {"1": {"AA", "A", "AB"}, "2": {"O"}, "3": {"A"}, "4": {"A", "B", "O"}, "5": {"O"}}


def test_what_fitted_one_supposition_is_no_answer_under_another() -> None:
    """Mates of unknown group with a child that is AB: where he has two A she may have two B, and where he has two B she may not."""
    blood = Locus("abo", "dominant", ("A", "B"), together=(("A", "B", "AB"),))
    child = Animal("child", None, (Reading(Look(("AB",))),), clutch="C1")
    clutch = Clutch("C1", (("he", Fraction(1)),), "she", date(2000, 1, 1))
    both = BothWays("AB", Case((blood,), (Animal("he", "male"), Animal("she", "female"), child), (clutch,)))
    domains = both.inference.figures_of("he").certainty.domains_now
    he, she = (domains.pedigree.egg_of[name] for name in ("he", "she"))
    pairs = domains.states[0].pairs
    two_of = {
        name: 1 << next(at for at, pair in enumerate(pairs) if pair == (allele, allele))
        for name, allele in (("A", 1), ("B", 2))
    }
    found = {}
    for name, mask in two_of.items():
        mark = domains.mark()
        domains.narrow(0, he, mask)
        found[name] = domains.fits(0, she, two_of["B"])
        domains.undo(mark)
    assert found == {"A": True, "B": False}


def two_alleles() -> tuple[BothWays, ...]:
    features = replace(features_of("tests"), series=False, loci=1, animals=9)
    found = (BothWays(f"seed {seed}", random_case(Random(seed), features)) for seed in range(90))
    return tuple(both for both in found if not both.inference.conflicts and both.inference.loci_in_play("snake"))


def test_propagation_loses_no_genotype_of_two_alleles() -> None:
    """Every possible genotype is left in its domain; one too many is left now and then, where a parent was put back to its young:
    supposing it wipes out a domain, so that nothing forced is missed."""
    cases = two_alleles()
    assert len(cases) > 50
    asked = too_many = 0
    for both in cases:
        domains = both.inference.figures_of(both.case.animals[0].id).certainty.domains_now
        assert not domains.choices
        assert all(states.plain for states in domains.states)
        for animal in both.case.animals:
            expected = frozenset(tuple(sorted(pair)) for pair in both.enumeration.possible(animal.id, "loc-a"))
            found = left(both, domains, animal.id, 0)
            assert (both.name, animal.id, expected - found) == (both.name, animal.id, frozenset())
            asked, too_many = asked + 1, too_many + len(found - expected)
    assert too_many * 100 < asked


@pytest.mark.parametrize("kind", ["basic", "mixed sires", "one of several sires", "sex-linked XY", "parthenogenesis"])
def test_search_decides_the_rest(kind: str) -> None:
    """With allelic series, sires in doubt or sex linkage a question is settled by search: yes just when some assignment fits."""
    asked = 0
    for both in drawn(kind, range(500, 524), 6, 1):
        if both.inference.conflicts or not both.inference.loci_in_play("snake"):
            continue
        world = both.inference.figures_of(both.case.animals[0].id).world
        domains = both.inference.figures_of(both.case.animals[0].id).certainty.domains_now
        states = world.states[0]
        for animal in both.case.animals:
            possible = {tuple(sorted(pair)) for pair in both.enumeration.possible(animal.id, "loc-a")}
            for pair in world.loci[0].genotypes:
                only = sum(1 << state for state, other in enumerate(states.pairs) if other == pair)
                fits = domains.fits(0, world.pedigree.egg_of[animal.id], only)
                assert (both.name, animal.id, pair, fits) == (
                    both.name,
                    animal.id,
                    pair,
                    named(both.case.loci[0], pair) in possible,
                )
                asked += 1
    assert asked > 80


@pytest.mark.parametrize("kind", ["basic", "tests", "one of several sires", "sex-linked XY"])
def test_ruled_out_is_true_in_no_assignment(kind: str) -> None:
    """An allele is ruled out just when no assignment, claims and founders' assumptions put aside, lets the animal carry it."""
    ruled_out = asked = 0
    for both in drawn(kind, range(700, 716), 6, 1):
        if both.inference.conflicts or not both.inference.loci_in_play("snake"):
            continue
        locus = both.case.loci[0]
        for animal in both.case.animals:
            possible = {allele for pair in both.enumeration.possible(animal.id, locus.name) for allele in pair}
            for number, allele in enumerate(locus.alleles, 1):
                found = both.inference.ruled_out(animal.id, locus.name, number)
                assert (both.name, animal.id, allele, found) == (both.name, animal.id, allele, allele not in possible)
                ruled_out += found
                asked += 1
    assert asked > 40
    assert ruled_out > 4


@pytest.mark.parametrize("kind", ["one of several sires", "parthenogenesis", "sex-linked, sires in doubt"])
def test_which_sires_are_possible(kind: str) -> None:
    """Those for whom, as the only sire, some assignment fits, whatever was claimed."""
    ruled_out = 0
    for both in drawn(kind, range(900, 980), 8, 1):
        if both.inference.conflicts:
            continue
        for clutch in both.case.clutches:
            if clutch.mixed or len(clutch.sires) == 1:
                continue
            alone = [
                replace(
                    both.case,
                    clutches=tuple(
                        replace(one, sires=((name, Fraction(1)),)) if one is clutch else one
                        for one in both.case.clutches
                    ),
                )
                for name, _ in clutch.sires
            ]
            locus, animal = both.case.loci[0].name, both.case.animals[0].id
            fitting = [bool(Enumeration(case).possible(animal, locus)) for case in alone]
            expected = [name for (name, _), fits in zip(clutch.sires, fitting, strict=True) if fits]
            ruled_out += len(expected) < len(clutch.sires)
            found = [str(sire) for sire in both.inference.possible_sires(clutch.id)]
            assert (both.name, clutch.id, found) == (both.name, clutch.id, expected)
    assert ruled_out


def refuted_by_search(fifth: Locus, dam_has_one: int | None) -> BothWays:
    """A clutch's sire and its dam's own, each possible locus by locus: deciding both leaves C alone, so that C carries Five.

    Where it is not known whether her own dam has One, A may be the sire too.
    """
    loci = (*(Locus(name.lower(), "recessive", (name,)) for name in ("One", "Two", "Three", "Four")), fifth)
    copies = {
        "P": (1, 0, 1, 0, 0),
        "Q": (0, 1, 0, 1, 0),
        "E": (dam_has_one, 0, 0, 0, 0),
        "A": (0, 0, 2, 2, 2),
        "B": (2, 2, 0, 0, 2),
        "C": (2, 2, 2, 2, None),
        "D": (None, None, None, None, None),
        "Y": (1, 1, 1, 1, 1),
    }
    sexes: dict[str, Sex] = {**dict.fromkeys("PQABC", "male"), **dict.fromkeys("DE", "female")}
    clutch_of = {"D": "K1", "Y": "K2"}
    half, third = Fraction(1, 2), Fraction(1, 3)
    animals = tuple(
        Animal(
            name,
            sexes.get(name),
            tests=tuple(
                LabTest(locus.alleles[0], number, date(2023, 1, 1))
                for locus, number in zip(loci, row, strict=True)
                if number is not None
            ),
            clutch=clutch_of.get(name),
        )
        for name, row in copies.items()
    )
    clutches = (
        Clutch("K1", (("P", half), ("Q", half)), "E", date(2020, 7, 1)),
        Clutch("K2", (("A", third), ("B", third), ("C", third)), "D", date(2022, 7, 1)),
    )
    return BothWays("written", Case(loci, animals, clutches))


def test_two_choices_of_sire_that_only_a_search_refutes() -> None:
    both = refuted_by_search(Locus("five", "recessive", ("Five",)), 0)
    assert [str(sire) for sire in both.inference.possible_sires("K2")] == ["C"]
    certainty = both.inference.figures_of("C").certainty
    world = both.inference.figures_of("C").world
    five = next(at for at, locus in enumerate(world.loci) if locus.key == "five")
    assert not certainty.domains_now.fits(five, world.pedigree.egg_of["C"], 1)
    assert both.inference.grounds("C", "five", 1).kind != "assumption"


def test_what_one_search_found_answers_no_more_than_it_found() -> None:
    """An assignment that fits answers for its own genotypes and sires, and only until a domain narrows."""
    both = refuted_by_search(Locus("five", "recessive", ("Five", "Six")), None)
    one = both.inference.figures_of("C")
    domains, world = one.certainty.domains_now, one.world
    at = {locus.key: place for place, locus in enumerate(world.loci)}
    c, e, states = world.pedigree.egg_of["C"], world.pedigree.egg_of["E"], world.states[at["five"]]
    twice = states.mask(lambda pair: pair == (1, 1))
    family = next(family for family in world.pedigree.families if family.clutch == "K2")
    a = next(number for number, branch in enumerate(family.branches) if str(branch.candidate) == "A")
    assert domains.fits(at["five"], c, twice)
    assert domains.fits(at["five"], c, states.normal)
    assert domains.allows(family, (family.number, -1), a)
    domains.narrow(at["one"], e, world.states[at["one"]].normal)
    domains.propagate()
    assert domains.fits(at["five"], c, twice)
    assert not domains.fits(at["five"], c, states.normal)
    assert not domains.allows(family, (family.number, -1), a)
