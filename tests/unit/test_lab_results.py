"""What tests that may be wrong say: how errors are spread, which of several counts, and when one says nothing."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from msgspec.structs import replace
from tests.exact.both_ways import BothWays
from tests.oracle.case import Animal, Case, Claim, Clutch, LabTest, Locus, Look, Reading

PIED = Locus("piebald", "recessive", ("Piebald",))
PASTEL = Locus("pastel", "incomplete dominant", ("Pastel",), (("Pastel", "Super Pastel"),))
NORMAL = (Reading(Look(())),)


def chance_by(
    *tests: LabTest, look: tuple[Reading, ...] = NORMAL, locus: Locus = PIED, said: Fraction | None = Fraction(1, 2)
) -> Fraction:
    """The chance of carrying, which the enumeration must give too."""
    trait = locus.alleles[0]
    claims = (Claim(trait, said),) if said else ()
    both = BothWays("tested", Case((locus,), (Animal("F", "female", look, claims, tests),)))
    found = both.now("F", locus)
    assert found == {
        tuple(sorted(pair)): chance for pair, chance in both.enumeration.genotypes("F", locus.name).items()
    }
    return sum((chance for pair, chance in found.items() if trait in pair), Fraction(0))


def result(
    copies: int, error: Fraction = Fraction(1, 10), lab: str = "", day: int = 1, trait: str = "Piebald"
) -> LabTest:
    return LabTest(trait, copies, date(2021, 1, day), error, lab)


def test_one_wrong_in_ten() -> None:
    """A normal look leaves no copy or one: a test that errs 1 time in 10 and found one makes 1/2 into 9/10 (derived)."""
    assert chance_by(result(1)) == Fraction(9, 10)
    assert chance_by(result(0)) == Fraction(1, 10)


def test_of_an_animal_that_nobody_looked_at() -> None:
    """All three numbers are left: either wrong one has 1/20. Two copies are more than was claimed, so that 1 in 100 is taken to have them:
    9/10 of 1/100 beside 1/20 of the rest, half of which carries (derived)."""
    assert chance_by(result(1), look=()) == Fraction(18, 19)
    assert chance_by(result(2), look=()) == Fraction(15, 26)


def test_where_the_look_decides() -> None:
    """A visual has two copies whatever a fallible test finds; a normal look rules two out: then it says nothing."""
    assert chance_by(result(2)) == Fraction(1, 2)
    visual = (Reading(Look(("Piebald",))),)
    assert chance_by(result(1), look=visual, said=None) == chance_by(result(2), look=visual, said=None) == 1
    assert chance_by(result(0, trait="Pastel"), look=(Reading(Look(("Pastel",))),), locus=PASTEL, said=None) == 1


def test_an_error_is_spread_over_what_a_look_leaves() -> None:
    """A trait shown in one or two copies: one or two are left, so the other of them takes the whole error."""
    dominant = Locus("pinstripe", "dominant", ("Pinstripe",))
    test = LabTest("Pinstripe", 2, date(2021, 1, 1), Fraction(1, 10))
    claims = (Claim("Pinstripe", two_copies=Fraction(1, 2)),)
    both = BothWays(
        "shown", Case((dominant,), (Animal("F", "female", (Reading(Look(("Pinstripe",))),), claims, (test,)),))
    )
    assert both.now("F", dominant)["Pinstripe", "Pinstripe"] == Fraction(9, 10)


def test_the_last_of_one_laboratory_counts() -> None:
    """A repeat says no more; another laboratory does; an error-free one settles it."""
    assert chance_by(result(1), result(1, day=2)) == Fraction(9, 10)
    assert chance_by(result(1), result(0, day=2)) == Fraction(1, 10)
    assert chance_by(result(1), result(1, day=2, lab="Other")) == Fraction(81, 82)
    assert chance_by(result(1), result(0, Fraction(0), day=2)) == 0


def test_the_look_in_force_decides_what_is_left() -> None:
    """A look read again later leaves other numbers from then on."""
    looks = (Reading(Look(()), date(2020, 6, 1)), Reading(Look(("Piebald",)), date(2021, 6, 1)))
    animal = Animal("F", "female", looks, (Claim("Piebald", Fraction(1, 2)),), (result(1),))
    both = BothWays("read again", Case((PIED,), (animal,)))
    piebald = both.inference.at("F", "piebald", date(2021, 5, 1))
    assert both.now("F", PIED) == {("Piebald", "Piebald"): 1}
    assert getattr(piebald, "genotypes", ()) == (((0, 0), Fraction(1, 10)), ((0, 1), Fraction(9, 10)))


def test_twins_are_one_egg() -> None:
    """Of tests of either twin by one laboratory the last counts."""
    parents = (Animal("S", "male", NORMAL, (Claim("Piebald", Fraction(1)),)), Animal("D", "female", NORMAL))
    young = Animal("Y", "male", NORMAL, clutch="C", tests=(result(1, day=1),))
    twin = Animal("Z", "male", NORMAL, clutch="C", same_egg_as="Y", tests=(result(0, day=2),))
    case = Case((PIED,), (*parents, young, twin), (Clutch("C", (("S", Fraction(1)),), "D", date(2020, 7, 1)),))
    both = BothWays("twins", case)
    assert both.now("Y", PIED) == {("", ""): Fraction(9, 10), ("", "Piebald"): Fraction(1, 10)}


@pytest.mark.parametrize(("copies", "told"), [(2, 1), (1, 0)])
def test_a_test_against_the_look_is_told(copies: int, told: int) -> None:
    animal = Animal("F", "female", NORMAL, (Claim("Piebald", Fraction(1, 2)),), (result(copies),))
    inference = BothWays("told", Case((PIED,), (animal,))).inference
    assert len(inference.tests_against_looks) == told
    sure = replace(animal, tests=(result(1, Fraction(0)),))
    assert BothWays("sure", Case((PIED,), (sure,))).inference.tests_against_looks == ()
