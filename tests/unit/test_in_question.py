"""The limit never outweighs a recorded number: founders in question take a stated frequency, and only where that is needed.

Each figure is compared with the enumeration besides the value that was derived by hand.
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from msgspec.structs import replace
from tests.exact.both_ways import BothWays, enumerated, sires
from tests.oracle.case import Animal, Case, Claim, Clutch, LabTest, Locus, Look, Reading

PIED = Locus("piebald", "recessive", ("Piebald",))
PINSTRIPE = Locus("pinstripe", "dominant", ("Pinstripe",))
NORMAL = (Reading(Look(())),)
VISUAL = (Reading(Look(("Piebald",))),)
HATCHED = date(2020, 7, 1)


def result(copies: int, trait: str = "Piebald") -> tuple[LabTest, ...]:
    return (LabTest(trait, copies, date(2021, 1, 1), Fraction(1, 100)),)


def carries(both: BothWays, animal: str, locus: Locus = PIED) -> Fraction:
    found = both.now(animal, locus)
    assert found == enumerated(both.enumeration.genotypes(animal, locus.name))
    return sum((chance for pair, chance in found.items() if locus.alleles[0] in pair), Fraction(0))


def two_sires(*looks: tuple[Reading, ...], locus: Locus = PIED) -> BothWays:
    """S, 99 % and without a claim, or T, 1 % and claimed 10 %, with a certain het."""
    parents = (
        Animal("S", "male", NORMAL),
        Animal("T", "male", NORMAL, (Claim("Piebald", Fraction(1, 10)),)),
        Animal("D", "female", NORMAL, (Claim("Piebald", Fraction(1)),)),
    )
    young = (Animal(f"Y{number}", None, look, clutch="C") for number, look in enumerate(looks))
    clutch = Clutch("C", (("S", Fraction(99, 100)), ("T", Fraction(1, 100))), "D", HATCHED)
    return BothWays("two sires", Case((locus,), (*parents, *young), (clutch,)))


def test_a_likely_male_is_not_dropped_for_an_unlikely_one_with_a_claim() -> None:
    """One Piebald among five young: S 99/109 (derived); by the limit it would be T alone."""
    both = two_sires(VISUAL, NORMAL, NORMAL, NORMAL, NORMAL)
    assert (
        sires(both.inference.sires("C"))
        == both.enumeration.sires("C")
        == {"S": Fraction(99, 109), "T": Fraction(10, 109)}
    )
    assert both.inference.unrecorded("S", "piebald", 1, "now") == Fraction(1, 100)
    assert both.inference.unrecorded_founders("S", "piebald") == ("S",)
    assert both.inference.sires_by_unrecorded("C") == Fraction(1, 100)


def test_where_nothing_is_outweighed_nothing_changes() -> None:
    """Normal young: the limit serves, and no figure names a share."""
    both = two_sires(NORMAL, NORMAL)
    assert carries(both, "S") == 0
    assert both.inference.unrecorded("S", "piebald", 1, "now") is None
    assert both.inference.sires_by_unrecorded("C") is None


def test_the_share_is_the_breeders_to_state() -> None:
    """As the share vanishes the figures are those of the limit again."""
    shares = [Fraction(1, 10), Fraction(1, 1000), Fraction(1, 10**9)]
    found = [two_sires(VISUAL, locus=replace(PIED, unrecorded=share)).inference.sires("C") for share in shares]
    assert [sires(one)["S"] for one in found] == [99 * share / (99 * share + Fraction(1, 10)) for share in shares]


def test_a_founder_tested_to_carry_with_an_error() -> None:
    """One copy found, errs 1 time in 100: 1/2 (derived)."""
    both = BothWays("founder", Case((PIED,), (Animal("A", "male", NORMAL, tests=result(1)),)))
    assert carries(both, "A") == Fraction(1, 2)


def test_a_shown_dominant_tested_to_have_two_copies() -> None:
    """One copy is what the look needs, the second is taken with 1 in 100: 1/2 (derived)."""
    shown = (Reading(Look(("Pinstripe",))),)
    case = Case((PINSTRIPE,), (Animal("A", "male", shown, tests=result(2, "Pinstripe")),))
    both = BothWays("shown", case)
    assert both.now("A", PINSTRIPE)["Pinstripe", "Pinstripe"] == Fraction(1, 2)
    assert carries(both, "A", PINSTRIPE) == 1


def young_tested(copies: int) -> BothWays:
    """A normal-looking young of two unclaimed founders, tested with an error."""
    young = Animal("Y", None, NORMAL, clutch="C", tests=result(copies))
    parents = (Animal("S", "male", NORMAL), Animal("D", "female", NORMAL))
    return BothWays("young", Case((PIED,), (*parents, young), (Clutch("C", (("S", Fraction(1)),), "D", HATCHED),)))


def test_a_young_of_founders_without_a_claim_tested_to_carry() -> None:
    """198/397 (derived); before the test it is nothing, and a test that found nothing leaves it so."""
    both = young_tested(1)
    assert carries(both, "Y") == Fraction(198, 397)
    assert both.when_hatched("Y", PIED) == {("", ""): 1}
    assert both.inference.unrecorded("Y", "piebald", 1, "hatched") is None
    assert carries(young_tested(0), "Y") == 0


def test_a_test_that_the_look_rules_out_puts_nobody_in_question() -> None:
    assert carries(young_tested(2), "Y") == 0


@pytest.mark.parametrize("fallible", [False, True])
def test_unrelated_animals_are_left_alone(fallible: bool) -> None:
    """A doubt among some animals moves no figure of a family that shares no animal with them."""
    both = young_tested(1)
    visual = Animal("X", None, VISUAL, clutch="K")
    others = (Animal("P", "male", NORMAL), Animal("Q", "female", NORMAL), visual)
    clutches = (*both.case.clutches, Clutch("K", (("P", Fraction(1)),), "Q", HATCHED))
    young = both.case.animals[-1] if fallible else replace(both.case.animals[-1], tests=())
    case = Case((PIED,), (*both.case.animals[:-1], young, *others), clutches)
    assert carries(BothWays("apart", case), "P") == 1


def test_a_claim_of_certainty_that_leaves_one_sire_is_named() -> None:
    """S is said to have two copies, so that a normal young cannot be his; possible genotypes leave both. Z is said to have two, too."""
    shown = (Reading(Look(("Pinstripe",))),)
    parents = (
        Animal("S", "male", shown, (Claim("Pinstripe", two_copies=Fraction(1)),)),
        Animal("T", "male", NORMAL),
        Animal("D", "female", NORMAL),
        Animal("Z", "male", shown, (Claim("Pinstripe", two_copies=Fraction(1)),)),
    )
    young = Animal("Y", None, NORMAL, clutch="C")
    case = Case(
        (PINSTRIPE,), (*parents, young), (Clutch("C", (("S", Fraction(1, 2)), ("T", Fraction(1, 2))), "D", HATCHED),)
    )
    inference = BothWays("said", case).inference
    assert sires(inference.sires("C")) == {"S": 0, "T": 1}
    assert len(inference.possible_sires("C")) == 2
    assert inference.sires_left_by_claims("C") == ("S",)
    drawn = BothWays("each egg", replace(case, clutches=(replace(case.clutches[0], mixed=True),))).inference
    assert (drawn.sires_left_by_claims("C"), drawn.sires_left_by_claims("C", "Y")) == ((), ("S",))


def proven_het_young(*said_of_the_dam: Claim) -> BothWays:
    """S, said to be 66% het, and D have a normal-looking young, which a Piebald of its own with a Piebald mate proves het."""
    animals = (
        Animal("S", "male", NORMAL, (Claim("Piebald", Fraction(2, 3)),)),
        Animal("D", "female", NORMAL, said_of_the_dam),
        Animal("X", "male", NORMAL, clutch="C"),
        Animal("V", "female", VISUAL),
        Animal("Y", None, VISUAL, clutch="P"),
    )
    clutches = (
        Clutch("C", (("S", Fraction(1)),), "D", HATCHED),
        Clutch("P", (("X", Fraction(1)),), "V", date(2023, 8, 1)),
    )
    return BothWays("a proven het young", Case((PIED,), animals, clutches))


def test_beside_an_assumption_stands_what_the_chance_is_without_it() -> None:
    """200/201 (derived), which the enumeration gives where the same is said of the dam: 1 in 100."""
    both = proven_het_young()
    assert carries(both, "S") == 1
    assert both.inference.grounds("S", "piebald", 1).kind == "assumption"
    assert both.inference.beside_assumption("S", "piebald", 1) == (Fraction(200, 201), Fraction(1, 100))
    assert carries(proven_het_young(Claim("Piebald", Fraction(1, 100))), "S") == Fraction(200, 201)
    assert both.inference.grounds("X", "piebald", 1).kind == "proven"


@pytest.mark.parametrize("animal", ["S", "T", "D", "Y0", "Y1"])
def test_a_history_ends_with_what_is_asked_now(animal: str) -> None:
    """Although nothing was in question at first."""
    both = two_sires(VISUAL, NORMAL, NORMAL, NORMAL, NORMAL)
    (*_, (_, last)) = both.inference.history(animal, "piebald")
    assert last == both.inference.now(animal, "piebald")


def test_claims_in_doubt_stay_so_where_founders_come_into_question_and_the_other_way_round() -> None:
    claimed, silent = Animal("F", "female", NORMAL, (Claim("Piebald", Fraction(1)),)), Animal("M", "male", NORMAL)
    world = BothWays("both", Case((PIED,), (claimed, silent), ())).inference.figures_of("F").recorded
    now, (one, other) = world.timeline.now, world.pedigree.eggs
    both = world.where(in_doubt=lambda *_: True, in_question=lambda *_: True)
    in_turn = (
        world.where(in_doubt=lambda *_: True).where(in_question=lambda *_: True),
        world.where(in_question=lambda *_: True).where(in_doubt=lambda *_: True),
    )
    for egg in (one, other):
        priors = [each.evidence[0].prior(egg, now) for each in (both, *in_turn)]
        assert priors[0] != world.evidence[0].prior(egg, now)
        assert priors[1:] == [priors[0], priors[0]]
