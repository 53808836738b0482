"""Published numbers of test matings: how many normal young until a carrier would have shown.

Source of the table: K. Christensen, population-genetics textbook (Royal Veterinary and Agricultural University, Copenhagen),
section 5.6. Posterior chances: R.A. Fisher 1959 in P.M. Lee, Bayesian Statistics (setting read, number from memory); Ogino & Wilson
2004, J Mol Diagn 6:1-9 (the mother of n sons, n = 3, 1/9); otherwise derived, as said at each.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from tests.oracle.case import Animal, Claim
from tests.unit.pairings import NORMAL, inferred, parent, recessive

from clutchlight.planning.hatchlings import Hatchlings
from clutchlight.planning.odds import odds, pair_together
from clutchlight.planning.proofs import Proofs
from clutchlight.planning.settling import AtOneLocus

F = Fraction
PIEBALD = recessive("Piebald")


def test_of(now: Fraction, mate: Animal, young: int) -> tuple[Proofs, AtOneLocus]:
    """A male that carries Piebald with this chance, put to a mate that has so many young."""
    room = inferred(PIEBALD, parent("M", "male", {"Piebald": now}), mate)
    together = pair_together(room, room.collection.animals["M"], room.collection.animals[mate.id])
    proofs = Proofs(together, Hatchlings.exactly(young))
    at = proofs.before(0)
    assert at is not None
    return proofs, at


test_of.__test__ = False  # type: ignore[attr-defined]

VISUAL = parent("D", "female", {}, ("Piebald",))
KNOWN_CARRIER = parent("D", "female", {"Piebald": F(1)})
DAUGHTER = Animal("D", "female", (NORMAL,), (Claim("Piebald", F(1, 2)),))
"""A daughter of a carrier and a clear female carries with 1/2; one young each, so that each is a mate of her own."""


def silence(mate: Animal) -> Fraction:
    """The chance of a normal-looking young from a carrier and this mate."""
    _, at = test_of(F(1), mate, 1)
    return sum((chance * next(at.unseen(row, 0, 0, 1)) for row, chance in at.rows.items()), F(0))


def fewest(share: Fraction, level: Fraction) -> int:
    """The fewest young, all normal-looking, that a carrier would give with a chance of at most 1 - level."""
    young = 0
    while share**young > 1 - level:
        young += 1
    return young


@pytest.mark.parametrize(
    ("mate", "counts"),
    [
        (VISUAL, (5, 7, 10)),
        (KNOWN_CARRIER, (11, 17, 25)),
        (DAUGHTER, (23, 35, 52)),
    ],
    ids=["visual mates", "known carriers", "own daughters, one young each"],
)
def test_the_published_numbers_of_normal_young(mate: Animal, counts: tuple[int, int, int]) -> None:
    """Christensen, section 5.6, at 95, 99 and 99.9 %. For known carriers 16 and 24 are printed, and are one too few.

    (3/4)^16 = 0.010023 is still over 1 %, (3/4)^24 = 0.0010034 over 0.1 %: ln 0.01 / ln 0.75 = 16.008 was rounded down.
    """
    assert tuple(fewest(silence(mate), F(level, 1000)) for level in (950, 990, 999)) == counts


@pytest.mark.parametrize(("young", "left"), [(1, F(1, 3)), (2, F(1, 5)), (3, F(1, 9)), (4, F(1, 17))])
def test_an_even_chance_put_to_a_visual_mate(young: int, left: Fraction) -> None:
    """1 / (1 + 2^n): the arithmetic of the mother of n sons, Ogino & Wilson 2004, n = 3 gives 1/9 (read)."""
    assert test_of(F(1, 2), VISUAL, young)[0].if_none(0, 0, 1) == left


@pytest.mark.parametrize(("young", "left"), [(5, F(1, 17)), (7, F(1, 65))])
def test_two_in_three_put_to_a_visual_mate(young: int, left: Fraction) -> None:
    """2 / (2 + 2^n): seven black young from a brown mate, 64/65 clear (Lee after Fisher 1959; number from memory)."""
    assert test_of(F(2, 3), VISUAL, young)[0].if_none(0, 0, 1) == left


@pytest.mark.parametrize(("young", "left"), [(1, F(3, 5)), (2, F(9, 17)), (3, F(27, 59)), (10, F(59049, 583337))])
def test_two_in_three_put_to_a_known_carrier(young: int, left: Fraction) -> None:
    """2 (3/4)^n / (2 (3/4)^n + 1): derived, no printed source claimed."""
    assert test_of(F(2, 3), KNOWN_CARRIER, young)[0].if_none(0, 0, 1) == left


def test_known_carriers_stay_carriers_however_many_normal_young_follow() -> None:
    """Nussbaum, McInnes & Willard, Genetics in Medicine, ch. 16 (read)."""
    assert test_of(F(1), KNOWN_CARRIER, 50)[0].if_none(0, 0, 1) == 1


def test_confidence_is_not_probability() -> None:
    """Five normal young reach 95 % confidence with a visual mate, yet a 2/3 animal still carries with 1/17 = 5.9 %, so six are needed."""
    proofs, test = test_of(F(2, 3), VISUAL, 5)
    assert proofs.if_none(0, 0, 1) == F(1, 17) > F(1, 20)
    assert test.needed(0, 1, F(1, 20)) == 6


def test_a_carrier_shows_nothing_in_ten_young_with_fishers_chance() -> None:
    """(3/4)^10 = 59049/1048576 (R.A. Fisher 1936, Annals of Science 1:115-137; figure from memory, arithmetic re-done)."""
    room = inferred(PIEBALD, parent("M", "male", {"Piebald": F(1)}), KNOWN_CARRIER)
    visual = next(one for one in odds(room, "M", "D", 10).outcomes if one.looks)
    assert 1 - visual.at_least_one == F(59049, 1048576)
