"""Claims that results make hard to believe: when they come into doubt, what they count for then, and who stays believed.

Each figure is compared with the enumeration besides the value that was derived by hand.
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from msgspec.structs import replace
from tests.exact.both_ways import BothWays, enumerated
from tests.oracle.case import Animal, Case, Claim, Clutch, LabTest, Locus, Look, Reading

from clutchlight.genetics.values import Figure

PIED = Locus("piebald", "recessive", ("Piebald",))
NORMAL = (Reading(Look(())),)
VISUAL = (Reading(Look(("Piebald",))),)
SURE = (Claim("Piebald", Fraction(1)),)
VISUAL_MATE = Animal("M", "male", VISUAL)
CLAIMED_MATE = Animal("M", "male", NORMAL, SURE)


def family(mate: Animal, young: int, *, visual: int = 0, dam: Animal | None = None, locus: Locus = PIED) -> BothWays:
    """A claimed het and her mate; one clutch each year, of one hatchling."""
    dam = dam or Animal("F", "female", NORMAL, SURE)
    clutches = tuple(
        Clutch(f"C{n}", ((mate.id, Fraction(1)),), "F", date(2001 + n, 7, 1)) for n in range(young + visual)
    )
    hatched = (Animal(f"Y{n}", None, NORMAL if n < young else VISUAL, clutch=f"C{n}") for n in range(young + visual))
    return BothWays("claimed", Case((locus,), (dam, mate, *hatched), clutches))


def carries(both: BothWays, animal: str) -> Fraction:
    found = both.now(animal, PIED)
    assert found == enumerated(both.enumeration.genotypes(animal, "piebald"))
    return sum((chance for pair, chance in found.items() if "Piebald" in pair), Fraction(0))


@pytest.mark.parametrize(
    ("young", "chance"), [(1, Fraction(1)), (2, Fraction(1)), (3, Fraction(99, 107)), (5, Fraction(99, 131))]
)
def test_normal_young_of_a_visual_mate(young: int, chance: Fraction) -> None:
    """Two leave a claimed het at 1, three make her 99/107 (derived)."""
    both = family(VISUAL_MATE, young)
    assert carries(both, "F") == chance
    assert both.inference.claim_in_doubt("F", "piebald") is (chance < 1)
    if chance < 1:
        assert both.inference.grounds("F", "piebald", 1).kind == "chance"


def test_two_claimed_mates_with_forty_normal_young() -> None:
    """Each just under a half, 49.8 % (derived), and both in doubt."""
    trust, rest = Fraction(99, 100), Fraction(1, 100)
    both_true, one_true = trust * trust * Fraction(3, 4) ** 40, trust * rest
    expected = (both_true + one_true) / (both_true + 2 * one_true + rest * rest)
    both = family(CLAIMED_MATE, 40)
    found = both.now("F", PIED)["", "Piebald"]
    assert found == both.now("M", PIED)["", "Piebald"] == expected
    assert round(1000 * found) == 498
    assert both.inference.claim_in_doubt("F", "piebald")
    assert both.inference.claim_in_doubt("M", "piebald")


def test_doubt_comes_with_the_young_that_bring_it_and_goes_with_proof() -> None:
    """Three years without a Piebald, then one: certain, doubted from the third year on, proven."""
    both = family(VISUAL_MATE, 3, visual=1)
    chances = [both.inference.at("F", "piebald", date(year, 12, 31)) for year in range(2001, 2005)]
    assert [one.genotypes[-1] for one in chances if isinstance(one, Figure)] == [
        ((0, 1), Fraction(1)),
        ((0, 1), Fraction(1)),
        ((0, 1), Fraction(99, 107)),
        ((0, 1), Fraction(1)),
    ]
    assert both.inference.grounds("F", "piebald", 1).kind == "proven"
    assert not both.inference.claim_in_doubt("F", "piebald")


def test_a_relatives_figure_rests_on_the_doubted_claim() -> None:
    """A young by a normal mate is half as likely to carry as its dam."""
    both = family(VISUAL_MATE, 3)
    mate = Animal("N", "male", NORMAL)
    young = Animal("Z", None, NORMAL, clutch="K")
    clutch = Clutch("K", (("N", Fraction(1)),), "F", date(2010, 7, 1))
    case = replace(both.case, animals=(*both.case.animals, mate, young), clutches=(*both.case.clutches, clutch))
    assert carries(BothWays("relative", case), "Z") == Fraction(99, 214)


def test_a_sure_test_against_a_claim_stays_a_conflict() -> None:
    tested = Animal("F", "female", NORMAL, SURE, (LabTest("Piebald", 0, date(2015, 1, 1)),))
    both = family(VISUAL_MATE, 3, dam=tested)
    assert both.inference.conflicts
    assert both.enumeration.conflict


def test_a_test_that_may_be_wrong_brings_doubt_too() -> None:
    """No copy found, errs 1 time in 10: 99/100 falls to 11/12, under 19/20."""
    tested = Animal("F", "female", NORMAL, SURE, (LabTest("Piebald", 0, date(2015, 1, 1), Fraction(1, 10)),))
    assert carries(family(VISUAL_MATE, 0, dam=tested), "F") == Fraction(11, 12)


def test_trust_is_the_breeders_to_state() -> None:
    """With 9 in 10 a claim is in doubt from the start, since that is under 19 in 20."""
    locus = replace(PIED, trust=Fraction(9, 10))
    both = family(VISUAL_MATE, 0, locus=locus)
    assert both.now("F", locus)["", "Piebald"] == Fraction(9, 10)
    assert both.when_hatched("F", locus)["", "Piebald"] == Fraction(9, 10)


def test_young_that_can_tell_nothing_bring_no_doubt() -> None:
    """Any number of normal young by a mate that carries nothing."""
    both = family(Animal("M", "male", NORMAL), 12)
    assert carries(both, "F") == 1
    assert both.inference.figures_of("F").claims_in_doubt.candidates == {}


def test_a_chance_of_exactly_the_threshold_is_believed() -> None:
    """Trusted with 38/39, one normal young of a visual mate leaves 19 in 20, the threshold: no doubt. A second leaves less (derived)."""
    locus = replace(PIED, trust=Fraction(38, 39))
    assert carries(family(VISUAL_MATE, 1, locus=locus), "F") == 1
    assert carries(family(VISUAL_MATE, 2, locus=locus), "F") == Fraction(19, 21)


def spans(both: BothWays) -> dict[tuple[int, int], tuple[int, int]]:
    return dict(both.inference.figures_of("F").claims_in_doubt.candidates)


def test_a_visual_young_ends_what_can_be_doubted() -> None:
    """Five normal young of a visual mate, then a visual one: in doubt from the third hatching on and before the sixth."""
    both = family(VISUAL_MATE, 5, visual=1)
    assert list(spans(both).values()) == [(3, 6)]
    doubts = both.inference.figures_of("F").claims_in_doubt
    assert [len(doubts.at(moment)) for moment in range(7)] == [0, 0, 0, 1, 1, 1, 0]
    assert carries(both, "F") == 1


@pytest.mark.parametrize(("young", "number"), [(5, 0), (6, 2)])
def test_normal_young_of_a_mate_that_does_not_show_it_tell_less(young: int, number: int) -> None:
    """Each is at most 4/3 times as likely of no carrier: (4/3)^5 is under 99/19, (4/3)^6 above (derived)."""
    assert len(spans(family(CLAIMED_MATE, young))) == number


def daughters_proving(dam: str, young: int) -> tuple[tuple[Animal, ...], tuple[Clutch, ...]]:
    """A claimed het's three daughters by the male A, who carries nothing, each with young of one visual male."""
    dams = tuple(Animal(f"{dam}{n}", "female", NORMAL, clutch=f"C{dam}") for n in range(3))
    clutches = (
        Clutch(f"C{dam}", (("A", Fraction(1)),), dam, date(2001, 7, 1)),
        *(Clutch(f"C{dam}{n}", ((f"V{dam}", Fraction(1)),), f"{dam}{n}", date(2004 + n, 7, 1)) for n in range(3)),
    )
    hatched = tuple(Animal(f"{dam}{n}-{k}", None, NORMAL, clutch=f"C{dam}{n}") for n in range(3) for k in range(young))
    return (Animal(dam, "female", NORMAL, SURE), Animal(f"V{dam}", "male", VISUAL), *dams, *hatched), clutches


NOTHING_TO_PASS_ON = Animal("A", "male", NORMAL)


def test_young_of_young_tell_from_their_hatching_on() -> None:
    """A daughter by a mate that carries nothing tells once she has young herself, and then a factor of two and no more (derived)."""
    animals, clutches = daughters_proving("F", 9)
    both = BothWays("claimed", Case((PIED,), (NOTHING_TO_PASS_ON, *animals), clutches))
    assert list(spans(both).values()) == [(4, 5)]
    assert carries(both, "F") < Fraction(95, 100)


def test_two_claims_that_share_a_mate_with_nothing_to_pass_on_are_tried_apart() -> None:
    """What the daughters of one tell is nothing to the other."""
    first, its_clutches = daughters_proving("F", 9)
    second, other_clutches = daughters_proving("G", 9)
    both = BothWays("claimed", Case((PIED,), (NOTHING_TO_PASS_ON, *first, *second), its_clutches + other_clutches))
    alone = BothWays("claimed", Case((PIED,), (NOTHING_TO_PASS_ON, *first), its_clutches))
    assert len(spans(both)) == 2
    assert both.now("F", PIED) == alone.now("F", PIED)
    assert carries(alone, "F") < Fraction(95, 100)
    found = both.inference.now("G", "piebald")
    assert isinstance(found, Figure)
    assert found.carries(1) < 1
