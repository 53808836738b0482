"""Mendel's counts and Fisher's correction of them, with the product's own shares of young.

Counts: G. Mendel 1866, Versuche über Pflanzen-Hybriden (read). The chi-square sum 2.1389 on 7 degrees of freedom (read, worked out
again). R.A. Fisher 1936, Annals of Science 1:115-137 (figures from memory, arithmetic done again).
"""

from __future__ import annotations

from fractions import Fraction

from tests.oracle.as_collection import as_collection
from tests.oracle.case import Animal, Case
from tests.published.families import CARRIER_MATE, NORMAL, ONE, PIEBALD, carries, claimed, clutch, founder

from clutchlight.genetics.states import States
from clutchlight.genetics.terms import leading

F = Fraction
F2 = ((5474, 1850), (6022, 2001), (705, 224), (882, 299), (428, 152), (651, 207), (787, 277))

LOCUS = as_collection(Case((PIEBALD,), ())).species["snake"].loci["piebald"]
STATES = States(LOCUS, "XY")
HET = STATES.number["", 0, 1]


def shares() -> tuple[Fraction, Fraction, Fraction]:
    """The product's shares of none, one and two copies among the young of two carriers."""
    none, one, two = (F(leading(weight), STATES.scale) for weight in STATES.young(HET, HET))
    return none, one, two


def test_an_f2_is_three_to_one() -> None:
    """Mendel's seven F2 counts against the product's shares: chi-square 2.1389 in all."""
    none, one, two = shares()
    total = F(0)
    for dominant, recessive in F2:
        count = dominant + recessive
        for seen, share in ((dominant, none + one), (recessive, two)):
            total += (seen - count * share) ** 2 / (count * share)
    assert (none, one, two) == (F(1, 4), F(1, 2), F(1, 4))
    assert round(total, 4) == F(21389, 10000)


def test_one_in_three_dominants_is_constant() -> None:
    """Mendel's F3: of the dominants a third breed true; that is the product's 2/3 for a normal-looking young of two carriers."""
    pairs = (
        founder("S", "male", NORMAL, ONE),
        founder("D", "female", NORMAL, ONE),
        Animal("Y", None, (NORMAL,), clutch="P"),
    )
    true_breeding = 1 - carries(Case((PIEBALD,), pairs, (clutch("P", "S", "D", 2020),)), "Y")
    assert true_breeding == F(1, 3)
    for constant, segregating in ((193, 372), (166, 353)):
        assert abs(F(constant, constant + segregating) - true_breeding) < F(1, 50)


def test_ten_young_can_hide_a_carrier() -> None:
    """A carrier put to a carrier shows nothing in ten young with chance (3/4)^10 = 59049/1048576, 0.0563 (Fisher 1936)."""
    normal = STATES.mask(lambda pair: pair != (1, 1))
    share = F(leading(STATES.seen(normal, None, True)[HET, HET]), STATES.scale)
    assert share**10 == F(59049, 1048576)
    assert round(share**10, 4) == F(563, 10000)


def test_the_engine_weighs_ten_young_so() -> None:
    """One of three dominants clear, two carriers: after ten normal young with a carrier the odds are 1 to 2 (3/4)^10."""
    hidden = 2 * F(3, 4) ** 10
    assert carries(claimed(F(2, 3), CARRIER_MATE, 10), "M") == hidden / (1 + hidden)
