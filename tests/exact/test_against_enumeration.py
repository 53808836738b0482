"""The engine against the enumeration of every assignment, which shares no code with it: equal as fractions.

For each kind of record by itself and for all kinds mixed: many small families at one locus, some larger ones at two. Set
CLUTCHLIGHT_LONG=20 in the environment to draw twenty times as many.
"""

from __future__ import annotations

import os
from fractions import Fraction
from functools import lru_cache

import pytest
from hypothesis import HealthCheck, given, settings
from msgspec.structs import replace
from tests.exact.both_ways import ALL_KINDS, BothWays, drawn, enumerated, sires
from tests.oracle.case import Case
from tests.oracle.random_cases import EVERYTHING, Features, cases

from clutchlight.genetics.values import Grounds

TIMES = int(os.environ.get("CLUTCHLIGHT_LONG", "1"))
every_kind = pytest.mark.parametrize("kind", ALL_KINDS, scope="module")


@lru_cache(maxsize=2)
def pairs(kind: str) -> tuple[BothWays, ...]:
    """The cases of a kind, kept until the tests of the next kind are done: what one test works out serves the others."""
    return (*drawn(kind, range(20 * TIMES), 5, 1), *drawn(kind, range(4 * TIMES), 7, 2))


def with_figures(kind: str) -> tuple[BothWays, ...]:
    found = tuple(both for both in pairs(kind) if both.has_figures)
    assert len(found) >= len(pairs(kind)) // 2
    return found


def same_grounds(both: BothWays) -> None:
    """What is forced, what only claims of certainty force, and what is certain by assumption alone."""
    for animal, locus, number in both.certain():
        grounds = both.inference.grounds(animal, locus.name, number)
        if grounds.kind != "look":
            assert (both.name, animal, locus.name, _kind(grounds)) == (
                both.name,
                animal,
                locus.name,
                _enumerated_kind(both, animal, locus.name, locus.alleles[number - 1]),
            )


def _kind(grounds: Grounds) -> str:
    return "forced" if grounds.kind in ("parentage", "test", "proven") else grounds.kind


def _enumerated_kind(both: BothWays, animal: str, locus: str, allele: str) -> str:
    if both.enumeration.forced(animal, locus, allele):
        return "forced"
    return "claim" if both.enumeration.forced(animal, locus, allele, claims=True) else "assumption"


def agree(both: BothWays) -> None:
    """Conflict or not, then every figure of every animal now, and its grounds."""
    assert bool(both.inference.conflicts) == both.enumeration.conflict
    if both.has_figures:
        for animal in both.case.animals:
            for locus in both.case.loci:
                assert both.now(animal.id, locus) == enumerated(both.enumeration.genotypes(animal.id, locus.name))
        assert both.order == both.enumeration.surprise
        same_grounds(both)


@every_kind
def test_records_conflict_just_when_no_assignment_fits(kind: str) -> None:
    """A conflict is reported if and only if the enumeration finds no assignment at all."""
    for both in pairs(kind):
        assert (both.name, bool(both.inference.conflicts)) == (both.name, both.enumeration.conflict)


@every_kind
def test_figures_now(kind: str) -> None:
    """The chance of every genotype of every animal, after all the evidence."""
    for both in with_figures(kind):
        for animal in both.case.animals:
            for locus in both.case.loci:
                expected = enumerated(both.enumeration.genotypes(animal.id, locus.name))
                assert (both.name, animal.id, both.now(animal.id, locus)) == (both.name, animal.id, expected)


@every_kind
def test_figures_when_hatched(kind: str) -> None:
    """The same by what had happened up to the day of hatching; for a founder by its first look and its claims alone."""
    for both in with_figures(kind):
        for animal in both.case.animals:
            then = both.at_hatching(animal.id)
            for locus in both.case.loci if not then.conflict else ():
                expected = enumerated(then.genotypes(animal.id, locus.name))
                assert (both.name, animal.id, both.when_hatched(animal.id, locus)) == (both.name, animal.id, expected)


@every_kind
def test_figures_before_hatching(kind: str) -> None:
    """What its parents' records made of a young, told in one sweep through time, is what solving that moment from scratch gives."""
    for both in with_figures(kind):
        for animal in both.case.animals:
            one = both.inference.figures_of(animal.id)
            for locus in one.world.loci:
                place = one.place(animal.id, locus.key)
                assert place is not None
                born = one.world.timeline.born[place[1]]
                expected = one.history.at(place, born - 1) if born else None
                found = both.inference.before_hatching(animal.id, locus.key)
                assert (both.name, animal.id, locus.key, found) == (both.name, animal.id, locus.key, expected)


@every_kind
def test_joint_figures(kind: str) -> None:
    """The joint distribution over all loci of every animal: loci that share a doubt are not multiplied as if they did not."""
    for both in with_figures(kind):
        for animal in both.case.animals if len(both.case.loci) > 1 else ():
            expected = {
                tuple(tuple(sorted(pair)) for pair in pairs): chance
                for pairs, chance in both.enumeration.joint(animal.id).items()
                if chance
            }
            assert (both.name, animal.id, both.joint(animal.id)) == (both.name, animal.id, expected)


@every_kind
def test_unrecorded_copies(kind: str) -> None:
    """The number of unrecorded allele copies that the evidence needs, in all; and the loci at which an unexpected result is told."""
    for both in with_figures(kind):
        assert (both.name, both.order) == (both.name, both.enumeration.surprise)
        if both.enumeration.apart:
            assert (both.name, both.told()) == (both.name, both.enumerated_loci())


@every_kind
def test_certainty(kind: str) -> None:
    """What is certain is forced, or rests on claims of certainty, or on assumptions about founders: each told apart."""
    for both in with_figures(kind):
        same_grounds(both)


@every_kind
def test_sires_in_doubt(kind: str) -> None:
    """The chances of the candidates after the evidence, for each clutch and for each egg of a mixed one."""
    for both in with_figures(kind):
        for clutch in both.case.clutches:
            prior = dict.fromkeys((name for name, _ in clutch.sires), Fraction(0))
            if len(clutch.sires) > 1 and not clutch.mixed:
                found = sires(both.inference.sires(clutch.id))
                assert (both.name, found) == (both.name, prior | both.enumeration.sires(clutch.id))
            for animal in both.case.animals:
                if animal.clutch == clutch.id and clutch.mixed and len(clutch.sires) > 1:
                    found = sires(both.inference.sires_of(animal.id))
                    assert (both.name, animal.id, found) == (
                        both.name,
                        animal.id,
                        prior | both.enumeration.egg_sires(animal.id),
                    )


@pytest.mark.parametrize(
    ("kind", "seed", "animals", "loci"),
    [
        ("everything", 5095, 8, 2),  # an unsexed young at two sex-linked loci, by a male or by none
        ("everything", 200181, 8, 2),  # a claimed carrier's further copy, of the claimed allele or of another
        ("sex-linked XY", 100053, 8, 2),  # a look that nothing explains until an unrecorded carrier is allowed
        ("sex-linked XY", 100111, 8, 2),  # whom a copy came from, taken as true for what claims force
        ("sex-linked ZW", 100104, 8, 2),
        ("sex-linked, sires in doubt", 200102, 8, 2),  # a sex that one locus tells and another needs
        (
            "one of several sires",
            150,
            5,
            1,
        ),  # a claim of a second allele, of a founder that young show to carry the first
        ("mixed sires", 150, 5, 1),
        ("everything", 16, 8, 2),  # a founder in question for the sake of an unsexed young's sex, and of nobody else's
        (
            "everything",
            6,
            7,
            2,
        ),  # an unseen young that its dam cannot have had alone, if she has both alleles: it lives
    ],
)
def test_cases_that_once_differed(kind: str, seed: int, animals: int, loci: int) -> None:
    """Found by long runs: conflicts, figures now and when hatched, orders and grounds."""
    (both,) = drawn(kind, range(seed, seed + 1), animals, loci)
    agree(both)
    for animal in both.case.animals:
        then = both.at_hatching(animal.id)
        for locus in both.case.loci if not then.conflict else ():
            assert both.when_hatched(animal.id, locus) == enumerated(then.genotypes(animal.id, locus.name))


@settings(max_examples=25 * TIMES, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(cases(Features(animals=6)))
def test_drawn_cases_of_known_sires(case: Case) -> None:
    """The same for cases that hypothesis draws, and shrinks to the smallest if one fails."""
    agree(BothWays("drawn", case))


@settings(max_examples=10 * TIMES, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(cases(replace(EVERYTHING, animals=5)))
def test_drawn_cases_of_every_kind(case: Case) -> None:
    """The same with every kind of record mixed."""
    agree(BothWays("drawn", case))
