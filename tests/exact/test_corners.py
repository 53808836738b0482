"""Corners where several doubts meet, each written out and compared with the enumeration of every assignment."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction

import pytest
from msgspec.structs import replace
from tests.exact.both_ways import BothWays, enumerated, shares, sires as sires_of
from tests.exact.test_against_enumeration import agree
from tests.oracle.as_collection import as_collection
from tests.oracle.case import NONE, Animal, Case, Claim, Clutch, LabTest, Locus, Look, Reading, Tally
from tests.oracle.enumerate_genotypes import Enumeration
from tests.oracle.population import events

from clutchlight.genetics.inference import infer
from clutchlight.genetics.pairs import Together
from clutchlight.genetics.values import Figure, Grounds, NotComputed

ONE, HALF, THIRD = Fraction(1), Fraction(1, 2), Fraction(1, 3)
DAY = date(2020, 7, 1)
NORMAL = Reading(Look(()))
ONE_LINKED = Locus("one", "recessive", ("Aone",), crossover=Fraction(1, 10))
TWO_LINKED = Locus("two", "incomplete dominant", ("Bone",), two_copies=(("Bone", "Super Bone"),), crossover=Fraction(0))
PLAIN = Locus("plain", "recessive", ("Cone",))
LINKED = (ONE_LINKED, TWO_LINKED)

SIRE = Animal("S", "male", (NORMAL,), (Claim("Aone", HALF),))
OTHER = Animal(
    "T", "male", (Reading(Look(("Bone",))),), (Claim("Aone", ONE, came_from="sire"), Claim("Bone", None, None, "sire"))
)
DAM = Animal("D", "female", (Reading(Look(("Bone",))),), (Claim("Aone", Fraction(2, 3)),))


def clutch(
    *sires: tuple[str, Fraction], mixed: bool = False, complete: bool = True, tally: tuple[Tally, ...] = ()
) -> Clutch:
    return Clutch("C", sires or (("S", ONE),), "D", DAY, mixed, complete, tally=tally)


def hatchling(name: str, *shows: str, seen: bool = True) -> Animal:
    """An unsexed young."""
    return Animal(name, None, (Reading(Look(shows)),) if seen else (), clutch="C")


def compared(case: Case) -> BothWays:
    """The case both ways, after every figure of every animal was found equal, now, at hatching and jointly."""
    both = BothWays("written", case)
    agree(both)
    assert not both.enumeration.conflict
    for animal in case.animals:
        assert both.joint(animal.id) == {
            tuple(tuple(sorted(pair)) for pair in pairs): chance
            for pairs, chance in both.enumeration.joint(animal.id).items()
        }
        then = both.at_hatching(animal.id) if animal.founder or animal.clutch else both.enumeration
        for locus in case.loci:
            assert both.when_hatched(animal.id, locus) == enumerated(then.genotypes(animal.id, locus.name))
    return both


# A sex in doubt, told by two loci


@pytest.mark.parametrize("system", ["XY", "ZW"])
@pytest.mark.parametrize("count", [1, 2, 3])
def test_an_unsexed_tally_row_is_of_one_sex_at_both_loci(system: str, count: int) -> None:
    """Rows of like hatchlings at two sex-linked loci: for each hatchling the sexes are summed once, over both loci together."""
    rows = (Tally(count, Look(("Bone",))), Tally(1, Look(())))
    case = Case(LINKED, (SIRE, DAM, hatchling("Y", "Bone")), (clutch(tally=rows),), "XY" if system == "XY" else "ZW")
    compared(case)


def test_a_tally_row_is_as_many_young() -> None:
    """Counting hatchlings or listing them says the same, sexes untold included."""
    look = Look(("Bone",))
    counted = Case(LINKED, (SIRE, DAM), (clutch(tally=(Tally(3, look),)),))
    listed = Case(
        LINKED, (SIRE, DAM, *(Animal(f"Y{n}", None, (Reading(look),), clutch="C") for n in range(3))), (clutch(),)
    )
    for animal in ("S", "D"):
        for locus in LINKED:
            assert BothWays("", counted).now(animal, locus) == BothWays("", listed).now(animal, locus)


def test_by_hand() -> None:
    """No recombination, both alleles on the sire's Y for certain where he has them at all: sons show both or neither.

    A sire that shows Bone (on his Y) and may carry Aone on it too (1/2), a visual Aone dam without Bone. One unsexed hatchling shows
    Bone and not Aone: it is a son, and a son of an Aone carrier would show Aone. Taken locus by locus as if it were of either sex
    each time, a carrier would still seem possible.
    """
    one = replace(ONE_LINKED, crossover=Fraction(0))
    sire = Animal(
        "S",
        "male",
        (Reading(Look(("Bone",))),),
        (Claim("Aone", HALF, came_from="sire"), Claim("Bone", None, None, "sire")),
    )
    dam = Animal("D", "female", (Reading(Look(("Aone",))),))
    case = Case((one, TWO_LINKED), (sire, dam), (clutch(tally=(Tally(1, Look(("Bone",))),)),))
    assert compared(case).now("S", one) == {("", ""): ONE}


# Young picked by look


@pytest.mark.parametrize(
    "sires", [(("S", ONE),), (("S", Fraction(4, 5)), ("T", Fraction(1, 5))), (("T", HALF), (NONE, HALF))]
)
@pytest.mark.parametrize("mixed", [False, True])
def test_picked_young_of_unknown_sex_at_two_sex_linked_loci(
    sires: tuple[tuple[str, Fraction], ...], mixed: bool
) -> None:
    """Looks of an incomplete clutch rule out and do not weigh: the egg's own sex, and its own sire, are conditioned on its look jointly."""
    young = (hatchling("Y", "Bone"), hatchling("Z", "Aone"), hatchling("X", seen=False))
    case = Case(
        (replace(ONE_LINKED, kept=THIRD), replace(TWO_LINKED, kept=THIRD)),
        (SIRE, OTHER, DAM, *young),
        (clutch(*sires, mixed=mixed and len(sires) > 1, complete=False, tally=(Tally(2, Look(("Bone",))),)),),
    )
    compared(case)


def test_picked_young_whose_sire_is_in_doubt_at_a_linked_and_a_plain_locus() -> None:
    """The egg's sire is told by both loci, its sex by one: still conditioned together."""
    sires = (("S", HALF), ("T", HALF))
    animals = (
        SIRE,
        Animal("T", "male", (NORMAL,), (OTHER.claims[0], Claim("Cone", ONE))),
        replace(DAM, readings=(Reading(Look(("Cone",))),)),
    )
    young = (hatchling("Y", "Cone"), hatchling("Z"))
    compared(Case((ONE_LINKED, PLAIN), (*animals, *young), (clutch(*sires, mixed=True, complete=False),)))


def test_a_tested_picked_young_weighs_by_its_test() -> None:
    """Only its look was chosen; what a test then found counts in full."""
    young = replace(hatchling("Y"), tests=(LabTest("Aone", 1, date(2021, 1, 1), Fraction(1, 100)),))
    compared(Case(LINKED, (SIRE, DAM, young), (clutch(complete=False),)))


def test_odds_of_parents_tied_by_picked_young() -> None:
    """Both parents at two loci, jointly: a look that is taken back ties loci without any doubt that could be tried in turn."""
    case = Case(LINKED, (SIRE, DAM, hatchling("Y", "Bone"), hatchling("Z", "Aone")), (clutch(complete=False),))
    both = compared(case)
    together = Together(both.inference.figures_of("S"), ("S", "D"), ("male", "female"))
    for group in together.groups:
        for part in group.parts:
            assert sum(chance for table in part.tables for _, chance in table) == len(part.tables)
    for locus in range(2):
        sums: dict[tuple[int, ...], Fraction] = {}
        for group in together.groups:
            for part in group.parts if locus in group.loci else ():
                for members, chance in part.tables[group.loci.index(locus)]:
                    sums[members] = sums.get(members, Fraction(0)) + part.chance * chance
        for place, animal in enumerate(("S", "D")):
            of_one: dict[tuple[str, ...], Fraction] = {}
            names = ("", *case.loci[locus].alleles)
            for members, chance in sums.items():
                pair = together.states[locus].pairs[members[place]]
                named = tuple(sorted(names[allele] for allele in pair))
                of_one[named] = of_one.get(named, Fraction(0)) + chance
            assert of_one == both.now(animal, case.loci[locus])


# No sire


def dam_alone(*young: Animal, sires: tuple[tuple[str, Fraction], ...] = ((NONE, ONE),), system: str = "XY") -> Case:
    dam = Animal("D", "female", (NORMAL,), (Claim("Cone", HALF),))
    return Case(
        (PLAIN,), (Animal("S", "male", (NORMAL,)), dam, *young), (clutch(*sires),), "XY" if system == "XY" else "ZW"
    )


def lab_tested(copies: int) -> Animal:
    return Animal("Y", None, (NORMAL,), tests=(LabTest("Cone", copies, date(2021, 1, 1)),), clutch="C")


def test_a_heterozygote_that_is_said_never_to_be_kept() -> None:
    """Its figure stands, its dam is a carrier, and the other young are as the share says: none of them keeps it."""
    both = compared(dam_alone(lab_tested(1), hatchling("Z"), hatchling("X", seen=False)))
    assert both.now("Y", PLAIN) == {("", "Cone"): ONE}
    assert both.now("D", PLAIN) == {("", "Cone"): ONE}
    assert both.now("Z", PLAIN) == {("", ""): ONE}
    assert both.now("X", PLAIN) == {("", ""): HALF, ("Cone", "Cone"): HALF}
    assert both.inference.surprises == ()
    assert not both.inference.conflicts


def test_a_share_of_nothing_comes_before_unrecorded_carriers() -> None:
    """A male that nobody said carries may have sired the heterozygote; that the dam kept it stays out while he may."""
    both = compared(dam_alone(lab_tested(1), sires=(("S", HALF), (NONE, HALF))))
    assert sires_of(both.inference.sires("C")) == {"S": ONE, NONE: Fraction(0)}


def test_a_heterozygote_kept_does_not_move_other_families() -> None:
    """Another dam's figure stays what it was, at its locus and at others."""
    apart = (Animal("E", "female", (NORMAL,), (Claim("Cone", THIRD),)), Animal("K-1", "female", (NORMAL,), clutch="K"))
    another = Clutch("K", ((NONE, ONE),), "E", DAY)
    plain = dam_alone(lab_tested(0))
    kept = dam_alone(lab_tested(1))
    for case in (plain, kept):
        both = compared(replace(case, animals=(*case.animals, *apart), clutches=(*case.clutches, another)))
        assert both.now("E", PLAIN) == {("", ""): Fraction(4, 5), ("", "Cone"): Fraction(1, 5)}


def test_through_time_a_heterozygote_is_kept_from_the_day_it_is_known() -> None:
    """Until its test the young was normal for certain; from then on it carries."""
    both = compared(dam_alone(lab_tested(1)))
    rows = both.inference.history("Y", "plain")
    figures = [figure.carries(1) for _, figure in rows if isinstance(figure, Figure)]
    assert figures == [Fraction(0), ONE]


# A sex-linked locus of a ZW dam without a male


def test_an_untold_family_says_nothing_at_any_locus() -> None:
    """A ZW dam, M or no male, a son: the linked locus leaves both possible, and what a plain locus says stays true."""
    animals = (
        Animal("S", "male", (NORMAL,), (Claim("Aone", HALF),)),
        Animal("D", "female", (NORMAL,), (Claim("Cone", ONE),)),
        Animal("Y", "male", (NORMAL,), clutch="C"),
    )
    plain = Case(
        (PLAIN,),
        tuple(replace(a, claims=tuple(c for c in a.claims if c.trait == "Cone")) for a in animals),
        (clutch(("S", HALF), (NONE, HALF)),),
        "ZW",
    )
    linked = infer(as_collection(Case((ONE_LINKED, PLAIN), animals, plain.clutches, "ZW")))
    alone = infer(as_collection(plain))
    assert not linked.conflicts
    assert sires_of(linked.sires("C")) == sires_of(alone.sires("C")) == {"S": Fraction(2, 3), NONE: THIRD}
    assert linked.now("Y", "plain") == alone.now("Y", "plain")
    assert linked.now("Y", "one") == NotComputed((), "alone")
    assert isinstance(linked.now("S", "one"), Figure)


def test_the_young_of_an_untold_son_are_untold_too() -> None:
    """He may breed and be tested: no conflict, no figure of him or his young, and his mate keeps what was said of her."""
    animals = (
        Animal("D", "female", (NORMAL,)),
        Animal("Y", "male", (Reading(Look(("Aone",))),), tests=(LabTest("Aone", 2, date(2021, 1, 1)),), clutch="C"),
        Animal("E", "female", (NORMAL,), (Claim("Aone", HALF),)),
        Animal("K-1", "female", (Reading(Look(("Aone",))),), clutch="K"),
    )
    second = Clutch("K", (("Y", ONE),), "E", date(2023, 7, 1))
    found = infer(as_collection(Case((ONE_LINKED,), animals, (clutch((NONE, ONE)), second), "ZW")))
    assert not found.conflicts
    assert found.now("Y", "one") == found.now("K-1", "one") == NotComputed((), "alone")
    figure = found.now("E", "one")
    assert isinstance(figure, Figure)
    assert figure.carries(1) == HALF


# Found by long runs


def test_claims_that_together_leave_no_normal_animal() -> None:
    """Half Aone, half Atwo is certainly one of two: on a normal-looking animal of a dominant series they conflict, both named."""
    series = Locus("plain", "dominant", ("Cone", "Ctwo"), together=(("Cone", "Ctwo", "Cpair"),))
    animal = Animal("A", "male", (NORMAL,), (Claim("Cone", HALF), Claim("Ctwo", HALF)))
    both = BothWays("written", Case((series,), (animal,)))
    assert both.enumeration.conflict
    (conflict,) = both.inference.conflicts
    assert [(record.kind, record.says) for record in conflict.records] == [
        ("claim", ("Cone",)),
        ("claim", ("Ctwo",)),
        ("look", ()),
    ]
    less = replace(animal, claims=(Claim("Cone", HALF), Claim("Ctwo", THIRD)))
    assert not infer(as_collection(Case((series,), (less,)))).conflicts


def test_a_founder_tested_before_it_was_looked_at() -> None:
    """On the day of its test nothing was known of its look: one copy of Cone, and no word of the other allele that it shows later."""
    series = Locus("plain", "dominant", ("Cone", "Ctwo"), together=(("Cone", "Ctwo", "Cpair"),))
    looked = Reading(Look(("Cpair",)), date(2015, 1, 1))
    animal = Animal("A", "male", (looked,), tests=(LabTest("Cone", 1, date(2010, 1, 1)),))
    both = BothWays("written", Case((series,), (animal,)))
    then = both.inference.at("A", "plain", date(2012, 1, 1))
    assert isinstance(then, Figure)
    assert then.genotypes == (((0, 1), ONE),)
    assert both.now("A", series) == {("Cone", "Ctwo"): ONE}


def test_a_founder_first_seen_after_its_young_was_an_unrecorded_carrier_until_then() -> None:
    """Which of two founders nobody had looked at carried what a young shows is open until one of them is looked at; so at every day."""
    locus = Locus("one", "dominant", ("Aone",))
    later = DAY + timedelta(days=300)
    sire, dam = Animal("S", "male"), Animal("D", "female", (Reading(Look(("Aone",)), later),))
    case = Case((locus,), (sire, dam, hatchling("Y", "Aone")), (clutch(),))
    inference = infer(as_collection(case))
    chances = []
    for day in (DAY - timedelta(days=1), DAY, later - timedelta(days=1), later):
        then = Enumeration(case, day)
        for name in ("S", "D"):
            assert shares(locus, inference.at(name, "one", day)) == enumerated(then.genotypes(name, "one"))
        figure = inference.at("S", "one", day)
        chances.append(figure.carries(1) if isinstance(figure, Figure) else None)
    assert chances == [0, HALF, HALF, 0]


def agree_on_each_day(case: Case) -> None:
    """Every figure by the evidence up to each day on which something counts, and just before it."""
    inference = infer(as_collection(case))
    days = {event.on for event in events(case)}
    for day in sorted(days | {day - timedelta(days=1) for day in days}):
        then = Enumeration(case, day)
        for animal in case.animals:
            if animal.founder or any(one.id == animal.clutch and one.hatched <= day for one in case.clutches):
                for locus in case.loci:
                    found = shares(locus, inference.at(animal.id, locus.name, day))
                    assert (day, animal.id, found) == (
                        day,
                        animal.id,
                        enumerated(then.genotypes(animal.id, locus.name)),
                    )


def test_a_claim_withdrawn_of_a_founder_nobody_looked_at_moves_figures_from_that_day() -> None:
    gone = Claim("Cone", HALF, withdrawn=DAY + timedelta(days=99))
    animals = (Animal("S", "male", (NORMAL,)), Animal("D", "female", (), (gone,)), Animal("Y", None, clutch="C"))
    agree_on_each_day(Case((PLAIN,), animals, (clutch(),)))


def test_a_test_at_one_locus_moves_another_by_way_of_a_sire_in_doubt_from_its_day() -> None:
    """One copy of Cone makes S the likelier sire; so the chance of Pied, which S carries and T does not, rises for every young."""
    pied = Locus("pied", "recessive", ("Pied",))
    tested = (LabTest("Cone", 1, DAY + timedelta(days=50), Fraction(1, 10)),)
    animals = (
        Animal("S", "male", (NORMAL,), (Claim("Cone", HALF), Claim("Pied", HALF))),
        Animal("T", "male", (NORMAL,), (Claim("Cone", THIRD / 3),)),
        Animal("D", "female", (NORMAL,)),
        Animal("Y", None, tests=tested, clutch="C"),
        Animal("Z", None, clutch="C"),
    )
    agree_on_each_day(Case((PLAIN, pied), animals, (clutch(("S", HALF), ("T", HALF)),)))


def test_unborn_young_of_unknown_sex_say_nothing_of_their_sire() -> None:
    """Before they hatch, at two sex-linked loci, by a male or by none: his chance is what was recorded."""
    linked = (replace(ONE_LINKED, kept=THIRD), replace(TWO_LINKED, kept=THIRD))
    case = Case(linked, (OTHER, DAM, hatchling("Y"), hatchling("Z", "Bone")), (clutch(("T", HALF), (NONE, HALF)),))
    both = compared(case)
    then = Enumeration(case, 0)
    for locus in linked:
        figure = both.inference.before_hatching("Y", locus.name)
        assert isinstance(figure, Figure)
        assert shares(locus, figure) == enumerated(then.genotypes("Y", locus.name))


def test_a_surprise_is_told_at_the_locus_that_needs_it() -> None:
    """A mixed clutch ties the loci; the unexpected look is of the second, and the order of the loci changes nothing."""
    pied, second = Locus("pied", "recessive", ("Pied",)), PLAIN
    animals = (
        Animal("S", "male", (NORMAL,), (Claim("Pied", HALF),)),
        Animal("T", "male", (NORMAL,), (Claim("Pied", THIRD),)),
        Animal("D", "female", (Reading(Look(("Cone",))),), (Claim("Pied", HALF),)),
        hatchling("Y", "Cone"),
        hatchling("Z", "Pied"),
    )
    case = Case((pied, second), animals, (clutch(("S", HALF), ("T", HALF), mixed=True),))
    both = compared(case)
    assert both.told() == both.enumerated_loci() == {"plain"}
    turned = compared(replace(case, loci=(second, pied)))
    assert turned.told() == {"plain"}


def test_a_doubt_about_which_locus_needs_it_is_told_at_both() -> None:
    """By S it needs an unrecorded Cone, by T an unrecorded Pied: one copy in all, and both are told as possible."""
    pied = Locus("pied", "recessive", ("Pied",))
    animals = (
        Animal("S", "male", (NORMAL,), (Claim("Pied", ONE),)),
        Animal("T", "male", (NORMAL,), (Claim("Cone", ONE),)),
        Animal("D", "female", (Reading(Look(("Pied", "Cone"))),)),
        hatchling("Y", "Pied", "Cone"),
    )
    both = compared(Case((pied, PLAIN), animals, (clutch(("S", HALF), ("T", HALF)),)))
    assert both.order == 1
    assert both.told() == both.enumerated_loci() == {"pied", "plain"}


def test_proof_by_young_of_one_of_two_twins_comes_before_their_test() -> None:
    """Whichever twin sired it, the one egg carries: proven by the clutch, though a later test says the same."""
    shown = Locus("plain", "dominant", ("Cone",))
    animals = (
        Animal("S", "male"),
        Animal("D", "female", (NORMAL,)),
        Animal("Y", "male", clutch="C", tests=(LabTest("Cone", 1, date(2024, 1, 1)),)),
        Animal("YT", "male", clutch="C", same_egg_as="Y"),
        Animal("K-1", None, (Reading(Look(("Cone",))),), clutch="K"),
    )
    second = Clutch("K", (("Y", HALF), ("YT", HALF)), "D", date(2023, 7, 1), mixed=True)
    both = compared(Case((shown,), animals, (clutch(), second)))
    grounds = both.inference.grounds("Y", "plain", 1)
    assert (grounds.kind, grounds.proven_by) == ("proven", "K")


def test_a_share_kept_by_parthenogenesis_is_an_assumption_and_no_claim() -> None:
    """By a share of 0 a fatherless Bone has two copies, so that her young carries it; nobody claimed that."""
    bone = Locus("bone", "dominant", ("Bone",))
    case = Case(
        (bone,),
        (
            Animal("D", "female", (Reading(Look(("Bone",))),)),
            Animal("F", "female", (Reading(Look(("Bone",))),), clutch="K1"),
            Animal("S", "male", (NORMAL,)),
            Animal("Y", None, clutch="K2"),
        ),
        (
            Clutch("K1", ((NONE, ONE),), "D", DAY),
            Clutch("K2", (("S", ONE),), "F", date(2023, 7, 1)),
        ),
    )
    both = compared(case)
    figure = both.inference.now("Y", "bone")
    assert isinstance(figure, Figure)
    assert figure.carries(1) == 1
    assert both.inference.grounds("Y", "bone", 1).kind == "assumption"


def test_what_is_claimed_holds_of_the_founder_as_it_looks() -> None:
    """One look for two Motley alleles and for one of each: 50% claimed stays 1/2, though one unrecorded copy is likelier than two.

    After four Motley young with a Stripe mate 1/(1 + 2^4): Ogino & Wilson 2004, as a mother of n sons.
    """
    series = Locus("motley", "recessive", ("Motley", "Stripe"), together=(("Motley", "Stripe", "Motley"),))
    motley, stripe = Reading(Look(("Motley",))), Reading(Look(("Stripe",)))
    founders = (Animal("S", "male", (motley,), (Claim("Stripe", HALF),)), Animal("D", "female", (stripe,)))
    for count in (0, 1, 4):
        young = tuple(Animal(f"Y{at}", None, (motley,), clutch="C") for at in range(count))
        both = compared(Case((series,), (*founders, *young), (clutch(),) if count else ()))
        assert figure_of(both, "S", "motley").carries(2) == Fraction(1, 1 + 2**count)


def test_a_claim_of_certainty_about_a_second_allele_can_come_into_doubt() -> None:
    """The look is no ground for it either: 99 in 100 before, four Motley young with a Stripe mate leave 99/115."""
    series = Locus("motley", "recessive", ("Motley", "Stripe"), together=(("Motley", "Stripe", "Motley"),))
    motley, stripe = Reading(Look(("Motley",))), Reading(Look(("Stripe",)))
    young = tuple(Animal(f"Y{at}", None, (motley,), clutch="C") for at in range(4))
    founders = (Animal("S", "male", (motley,), (Claim("Stripe", ONE),)), Animal("D", "female", (stripe,)))
    both = compared(Case((series,), (*founders, *young), (clutch(),)))
    assert figure_of(both, "S", "motley").carries(2) == Fraction(99, 115)


def test_a_word_of_certainty_about_one_of_two_alleles_can_come_into_doubt() -> None:
    """As one about one: eight normal young with a mate that has both leave 99/355; what rules out the one speaks against both."""
    pair = Locus("pair", "recessive", ("Aone", "Atwo"), together=(("Aone", "Atwo", "Apair"),))
    word = tuple(Claim(trait, HALF) for trait in pair.alleles)
    dam = Animal("D", "female", (Reading(Look(("Apair",))),))
    young = tuple(Animal(f"Y{at}", None, (NORMAL,), clutch="C") for at in range(8))
    sire = Animal("S", "male", (NORMAL,), word)
    for clear, left in (((), Fraction(99, 355)), ((LabTest("Atwo", 0, date(2019, 7, 1)),), Fraction(99, 611))):
        both = compared(Case((pair,), (replace(sire, tests=clear), dam, *young), (clutch(),)))
        assert 1 - figure_of(both, "S", "pair").chance(lambda pair: pair == (0, 0)) == left
        assert both.inference.claim_in_doubt("S", "pair")
    few = compared(Case((pair,), (sire, dam, *young[:2]), (clutch(),)))
    assert not few.inference.claim_in_doubt("S", "pair")


LETHAL = Locus("dies", "dominant", ("Aone", "Atwo"), (("Aone", "dies"), ("Atwo", "dies")), (("Aone", "Atwo", "Apair"),))


def test_an_unseen_young_tells_that_it_lives() -> None:
    """By nobody a dam with both alleles has no living young: that there is one, looks untold, speaks against both of it."""
    animals = (
        Animal("S", "male", (NORMAL,)),
        Animal("D", "female", (Reading(Look(("Aone",))),)),
        Animal("T", "male", (Reading(Look(("Atwo",))),)),
        Animal("Y", "female", clutch="C"),
        Animal("Z", "female", clutch="K"),
    )
    second = Clutch("K", (("S", HALF), (NONE, HALF)), "Y", date(2022, 7, 1), mixed=True)
    both = compared(Case((LETHAL,), animals, (clutch(("T", ONE)), second)))
    assert figure_of(both, "Y", "dies").copies(1)[1] == Fraction(3, 7)  # a quarter each, both half as likely
    assert sum(chance for _, chance in figure_of(both, "Z", "dies").genotypes) == 1
    before = both.inference.before_hatching("Z", "dies")
    assert isinstance(before, Figure)
    assert sum(chance for _, chance in before.genotypes) == 1


def test_what_a_settled_dam_alone_must_have_kept_counts_too() -> None:
    """D has kept one heterozygosity in any case: no doubt may take a second one for as likely."""
    animals = (
        Animal("D", "female", claims=(Claim("Aone", ONE),)),
        Animal("S", "male", (Reading(Look(("Atwo",))),)),
        Animal("Y", "female", clutch="C"),
        Animal("Z", "male", (Reading(Look(("Apair",))),), clutch="K"),
    )
    first = Clutch("F", ((NONE, ONE),), "D", date(2018, 7, 1), tally=(Tally(1, Look(("Aone",))),))
    third = Clutch("K", (("unknown", ONE),), "Y", date(2022, 7, 1))
    mixed = clutch(("S", HALF), (NONE, HALF), mixed=True)
    compared(Case((LETHAL,), animals, (first, mixed, third)))


def figure_of(both: BothWays, animal: str, locus: str) -> Figure:
    found = both.inference.now(animal, locus)
    assert isinstance(found, Figure)
    return found


def test_a_reading_that_was_taken_back_proves_nothing_on_any_day() -> None:
    """Y was read as Cone, later as normal; Z of the next year shows it: she has been proven since Z hatched, not since Y did."""
    later = DAY + timedelta(days=365)
    y = Animal("Y", None, (Reading(Look(("Cone",))), Reading(Look(()), DAY + timedelta(days=99))), clutch="C")
    animals = (
        Animal("S", "male", (Reading(Look(("Cone",))),)),
        Animal("D", "female", (NORMAL,)),
        y,
        Animal("Z", None, (Reading(Look(("Cone",))),), clutch="K"),
    )
    case = Case((PLAIN,), animals, (clutch(), Clutch("K", (("S", ONE),), "D", later)))
    assert infer(as_collection(case)).grounds("D", "plain", 1) == Grounds("proven", "K")


def test_founders_in_question_where_one_copy_more_does_not_do() -> None:
    """By T both the dam and he would have it from founders nobody speaks of, one of two each; by S the dam alone."""
    males = tuple(Animal(name, "male", (NORMAL,)) for name in "AP")
    females = tuple(Animal(name, "female", (NORMAL,)) for name in "EQ")
    het = (Claim("Cone", ONE),)
    case = Case(
        (PLAIN,),
        (
            *males,
            *females,
            Animal("S", "male", (NORMAL,), het),
            Animal("T", "male", (NORMAL,), clutch="K"),
            Animal("D", "female", (NORMAL,), clutch="L"),
            Animal("Y", "male", (Reading(Look(("Cone",))),), clutch="C"),
        ),
        (
            Clutch("K", (("A", ONE),), "E", DAY - timedelta(800)),
            Clutch("L", (("P", ONE),), "Q", DAY - timedelta(800)),
            Clutch("C", (("S", HALF), ("T", HALF)), "D", DAY),
        ),
    )
    both = compared(case)
    questions = both.inference.figures_of("Y").questions
    number = both.inference.figures_of("Y").world.pedigree.egg_of
    assert {place[1] for place in questions.at(questions.world.timeline.now)} == {number[one] for one in "AEPQ"}
