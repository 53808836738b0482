"""Carrier chances of textbooks, given by the engine. The source stands at each; "derived" is our own arithmetic."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from msgspec.structs import replace
from tests.oracle.case import Animal, Case, Claim, LabTest
from tests.published.families import (
    AA_MATE,
    CARRIER_MATE,
    CLEAR_MATE,
    NORMAL,
    ONE,
    PIEBALD,
    VISUAL,
    carries,
    claimed,
    clutch,
    figure,
    founder,
    inferred,
    sib_of_visual,
    young,
)

from clutchlight.planning.odds import odds

F = Fraction


def test_a_normal_sib_of_a_visual() -> None:
    """2/3: Ogino & Wilson 2004, J Mol Diagn 6:1-9 (read); the trade says 66 %."""
    assert carries(sib_of_visual(), "SIB") == F(2, 3)


@pytest.mark.parametrize(("count", "left"), [(1, F(1, 3)), (2, F(1, 5)), (3, F(1, 9)), (4, F(1, 17))])
def test_one_half_and_normal_young_of_a_visual_mate(count: int, left: Fraction) -> None:
    """1/(1 + 2^n): the arithmetic of the mother of n sons in Ogino & Wilson 2004, n = 3 gives 1/9 (read)."""
    assert carries(claimed(F(1, 2), AA_MATE, count), "M") == left == F(1, 1 + 2**count)


@pytest.mark.parametrize("one_clutch_each", [False, True])
@pytest.mark.parametrize(("count", "left"), [(5, F(1, 17)), (7, F(1, 65))])
def test_two_thirds_and_normal_young_of_a_visual_mate(count: int, left: Fraction, *, one_clutch_each: bool) -> None:
    """2/(2 + 2^n); seven black young of a brown mate leave 64/65 clear: P.M. Lee, Bayesian Statistics, after Fisher 1959 (setting
    read, number from memory). One at a time gives the same."""
    assert carries(sib_of_visual(AA_MATE, count, one_clutch_each=one_clutch_each), "SIB") == left


@pytest.mark.parametrize(("count", "left"), [(1, F(3, 5)), (2, F(9, 17)), (3, F(27, 59)), (10, F(59049, 583337))])
def test_two_thirds_and_normal_young_of_a_known_carrier(count: int, left: Fraction) -> None:
    """2 (3/4)^n / (2 (3/4)^n + 1) (derived)."""
    assert carries(sib_of_visual(CARRIER_MATE, count), "SIB") == left


def test_known_carriers_stay_carriers() -> None:
    """1 after any number of normal young: Nussbaum, McInnes & Willard, Genetics in Medicine, ch. 16 (read)."""
    animals = (founder("M", "male"), CARRIER_MATE, *young("N", 1, VISUAL), *young("L", 20))
    case = Case((PIEBALD,), animals, (clutch("N", "M", "MATE", 2020), clutch("L", "M", "MATE", 2021)))
    assert carries(case, "M") == carries(case, "MATE") == 1


def test_hardy_weinberg_parents() -> None:
    """Normal young of two normal parents at allele frequency p: 2p/(1+2p), p = 1/5 gives 2/7; then three normal young with a
    carrier give 27/187. Gelman et al., Bayesian Data Analysis, exercise 1.3 (setting read, formula from memory, enumerated)."""
    locus = replace(PIEBALD, background=(("Piebald", F(1, 5)),))
    parents = (founder("SIRE", "male"), founder("DAM", "female"), Animal("Y", "male", (NORMAL,), clutch="P"))
    before = Case((locus,), parents, (clutch("P", "SIRE", "DAM", 2015),))
    after = Case((locus,), (*parents, CARRIER_MATE, *young("N", 3)), (*before.clutches, clutch("N", "Y", "MATE", 2020)))
    assert (carries(before, "Y"), carries(after, "Y")) == (F(2, 7), F(27, 187))


def test_hardy_weinberg_founder() -> None:
    """2q/(1+q) of normal-looking animals carry an allele of frequency q: 2/51 at q = 1/50, the prior of the carrier tables of Elias,
    Annas & Simpson 1991, Am J Obstet Gynecol 164:1077 (figure read, formula derived)."""
    locus = replace(PIEBALD, background=(("Piebald", F(1, 50)),))
    assert carries(Case((locus,), (founder("M", "male"),)), "M") == F(2, 51)


@pytest.mark.parametrize(
    ("sire", "dam", "visual"),
    [
        pytest.param(F(2, 3), F(2, 3), F(1, 9), id="two normal sibs of visuals"),
        pytest.param(F(1, 2), F(1, 2), F(1, 16), id="an uncle and an aunt of visuals"),
        pytest.param(F(1, 4), F(1, 4), F(1, 64), id="two first cousins of visuals"),
        pytest.param(F(2, 3), F(1, 2), F(1, 12), id="a sib and an uncle"),
    ],
)
def test_both_parents_in_doubt(sire: Fraction, dam: Fraction, visual: Fraction) -> None:
    """The chance of a visual is the product of both and 1/4: textbook values (from memory; derived). Then normal young are seen:
    both carry with x (3/4)^n / (1 - x + x (3/4)^n), x the product of both; with one young of two of 1/2, 1/5 (derived)."""
    parents = (founder("S", "male", NORMAL, sire), founder("D", "female", NORMAL, dam))
    unseen = Case((PIEBALD,), (*parents, Animal("Y", None, clutch="C")), (clutch("C", "S", "D", 2020),))
    assert figure(unseen, "Y").copies(1)[2] == visual
    for count in (1, 4):
        both = sire * dam
        left = F(3, 4) ** count
        seen = Case((PIEBALD,), (*parents, *young("C", count)), (clutch("C", "S", "D", 2020),))
        total = 1 - both + both * left
        assert carries(seen, "S") == (sire * (1 - dam) + both * left) / total
        assert carries(seen, "D") == (dam * (1 - sire) + both * left) / total


@pytest.mark.parametrize(("genes", "share"), [(2, F(1, 16)), (3, F(1, 64))])
def test_visual_at_several_genes(genes: int, share: Fraction) -> None:
    """1 in 16 of the young of two double hets shows both, 1 in 64 of two triple hets all three: Mendel 1866 (32 of 556 seeds were
    of both recessive forms; from memory). By the joint odds of the pair."""
    loci = tuple(replace(PIEBALD, name=f"r{number}", alleles=(f"R{number}",)) for number in range(genes))
    claims = tuple(Claim(f"R{number}", ONE) for number in range(genes))
    parents = (Animal("S", "male", (NORMAL,), claims), Animal("D", "female", (NORMAL,), claims))
    found = odds(inferred(Case(loci, parents)), "S", "D", 6)
    (all_of_them,) = (outcome for outcome in found.outcomes if len(outcome.looks) == genes)
    assert all_of_them.per_egg == share


def test_priors_by_relationship() -> None:
    """Young of aa 1; young of a carrier and a clear mate 1/2; young of a 2/3 animal and a clear mate 1/3; uncle of aa 1/2; first
    cousin of aa 1/4: textbook values (from memory; derived)."""
    of_visual = Case((PIEBALD,), (founder("S", "male"), AA_MATE, *young("N", 1)), (clutch("N", "S", "MATE", 2020),))
    assert carries(of_visual, "N-1") == 1
    assert carries(claimed(ONE, CLEAR_MATE, 1), "N-1") == F(1, 2)
    assert carries(sib_of_visual(CLEAR_MATE, 1), "N-1") == F(1, 3)
    related = Case(
        (PIEBALD,),
        (
            founder("G1", "male"),
            founder("G2", "female"),
            Animal("PARENT", "male", (NORMAL,), clutch="A"),
            Animal("UNCLE", "male", (NORMAL,), clutch="A"),
            CARRIER_MATE,
            founder("WIFE", "female"),
            Animal("VISUAL", None, (VISUAL,), clutch="B"),
            Animal("COUSIN", None, (NORMAL,), clutch="D"),
        ),
        (clutch("A", "G1", "G2", 2010), clutch("B", "PARENT", "MATE", 2014), clutch("D", "UNCLE", "WIFE", 2015)),
    )
    assert (carries(related, "UNCLE"), carries(related, "COUSIN")) == (F(1, 2), F(1, 4))


@pytest.mark.parametrize(
    ("prior", "detects", "left"),
    [
        pytest.param(F(2, 3), F(9, 10), F(1, 6), id="Ogino & Wilson 2004, inputs read, result derived"),
        pytest.param(F(1, 29), F(4, 5), F(1, 141), id="Elias, Annas & Simpson 1991, 1/29 at 80 %, read"),
        pytest.param(F(2, 51), F(3, 4), F(1, 99), id="Elias, Annas & Simpson 1991, 2/51 at 75 %, read"),
        pytest.param(F(2, 51), F(9, 10), F(1, 246), id="Elias, Annas & Simpson 1991, 2/51 at 90 %, read"),
    ],
)
def test_residual_chance_after_a_clear_test(prior: Fraction, detects: Fraction, left: Fraction) -> None:
    """c(1-d) / (c(1-d) + 1-c). Our tests err both ways alike, so the error is chosen to make a clear result 1-d times as likely
    for a carrier as for a clear animal: e/(1-e) = 1-d. Elias et al.: Am J Obstet Gynecol 164:1077."""
    error = (1 - detects) / (2 - detects)
    animal = replace(founder("M", "male", NORMAL, prior), tests=(LabTest("Piebald", 0, date(2021, 1, 1), error),))
    assert carries(Case((PIEBALD,), (animal,)), "M") == left
