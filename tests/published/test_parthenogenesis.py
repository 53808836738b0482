"""Young of a dam alone: terminal-fusion automixis, Booth et al. 2014, Biol J Linn Soc 112:461-468 (the mode in *P. regius* read).

Dam Aa, share s of young that stay Aa: AA (1-s)/2, Aa s, aa (1-s)/2 (derived).
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from msgspec.structs import replace
from tests.oracle.case import NONE, Animal, Case, Clutch, LabTest
from tests.published.families import NORMAL, ONE, PIEBALD, VISUAL, carries, figure, founder

F = Fraction
ALONE = Clutch("C", ((NONE, ONE),), "D", date(2020, 7, 1))


@pytest.mark.parametrize("kept", [F(0), F(1, 3), F(2, 3)])
def test_shares_of_the_young(kept: Fraction) -> None:
    """(1-s)/2, s and (1-s)/2 for none, one and two copies; s from 0 to 2/3."""
    locus = replace(PIEBALD, kept=kept)
    case = Case((locus,), (founder("D", "female", NORMAL, ONE), Animal("Y", "female", clutch="C")), (ALONE,))
    assert figure(case, "Y").copies(1) == ((1 - kept) / 2, kept, (1 - kept) / 2)


def test_no_young_keeps_what_its_dam_had_two_of() -> None:
    """A *Bothrops moojeni* kept alone, heterozygous at two of four markers, with ten young, embryos and eggs, all of them homozygous at
    all four: Cubides-Cubillos et al. 2020, PeerJ 8:e10097 (abstract read). So with ours of a dam tested to have one copy: none of
    ten keeps it, and each has two or none with 1/2."""
    dam = replace(founder("D", "female"), tests=(LabTest("Piebald", 1, date(2020, 1, 1)),))
    eggs = tuple(Animal(f"Y{number}", "female", clutch="C") for number in range(10))
    case = Case((PIEBALD,), (dam, *eggs), (ALONE,))
    assert {figure(case, egg.id).copies(1) for egg in eggs} == {(F(1, 2), F(0), F(1, 2))}


def test_a_normal_young_tells_of_its_dam() -> None:
    """A dam of 1/2 with one normal-looking young, s = 0: she carries with (1/2 1/2) / (1/2 1/2 + 1/2) = 1/3, her young with 0."""
    animals = (founder("D", "female", NORMAL, F(1, 2)), Animal("Y", "female", (NORMAL,), clutch="C"))
    case = Case((PIEBALD,), animals, (ALONE,))
    assert (carries(case, "D"), carries(case, "Y")) == (F(1, 3), F(0))


def test_a_visual_young_proves_its_dam() -> None:
    """Whatever the share kept, a visual young of a dam alone had it from her."""
    animals = (founder("D", "female", NORMAL, F(1, 100)), Animal("Y", "female", (VISUAL,), clutch="C"))
    assert carries(Case((PIEBALD,), animals, (ALONE,)), "D") == 1
