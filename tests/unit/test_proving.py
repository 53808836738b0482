"""Proving plans: which mating settles a possible het, worked by hand and against every clutch that may come."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest
from msgspec.structs import replace
from tests.oracle.as_collection import as_collection
from tests.oracle.case import Animal, Case, Claim, Locus, Look, Reading
from tests.unit.pairings import Pair, inferred, parent, recessive

from clutchlight.genetics.inference import Inference, infer
from clutchlight.model import Collection, Species, Status
from clutchlight.planning import settling
from clutchlight.planning.hatchlings import UsualClutch, usual_clutch
from clutchlight.planning.who_needs_proving import Matings, TestMating, ToProve, proving
from clutchlight.problems import Place
from clutchlight.reading.fields import CountRange
from clutchlight.reading.species_files import ClutchFacts
from clutchlight.reading.text import Mark
from clutchlight.statements.odds import bought_mate, clutch_basis, mating_sentence

F = Fraction

PIEBALD = recessive("Piebald")
DOUBT = F(1, 20)


def room(
    *animals: Animal,
    status: dict[str, Status] | None = None,
    loci: tuple[Locus, ...] = PIEBALD,
    below: Fraction = DOUBT,
) -> Inference:
    """Founders, all of them breeders here unless said otherwise. `below`: the collection's `doubt_below`."""
    collection = as_collection(Case(loci, animals))
    marked = {
        ident: replace(animal, status=(status or {}).get(ident, "breeder"))
        for ident, animal in collection.animals.items()
    }
    settings = replace(collection.settings, doubt_below=below)
    return infer(Collection(settings, collection.species, marked, collection.clutches))


def plan_of(inference: Inference, animal: str, trait: str = "Piebald") -> ToProve:
    return next(plan for plan in proving(inference) if (plan.animal, plan.trait) == (animal, trait))


MAYBE = parent("M", "male", {"Piebald": F(2, 3)})
VISUAL = parent("A-visual", "female", {}, ("Piebald",))
CARRIER = parent("B-carrier", "female", {"Piebald": F(1)})
POSSIBLE = parent("C-possible", "female", {"Piebald": F(1, 2)})
CLEAR = parent("D-clear", "female", {})


def test_what_an_animal_surely_lacks_is_never_in_question() -> None:
    """With `doubt_below: 0%` every chance above nothing is; D, a founder of whom nobody claimed anything, has none."""
    open_ = {(plan.animal, plan.trait) for plan in proving(room(MAYBE, CLEAR, below=F(0)))}
    assert open_ == {("M", "Piebald")}


def test_mates_are_ranked_by_how_often_a_usual_clutch_settles_it() -> None:
    """A visual mate before a known carrier before a possible one; a mate that can tell nothing is left out."""
    plan = plan_of(room(MAYBE, POSSIBLE, CLEAR, CARRIER, VISUAL), "M")
    assert [mating.mate for mating in plan.matings] == ["A-visual", "B-carrier", "C-possible"]
    assert [mating.mate_carries for mating in plan.matings] == [1, 1, F(1, 2)]


def test_a_mate_with_whom_all_young_look_alike_is_left_out_at_a_sex_linked_locus_too() -> None:
    """Sons and daughters alike show nothing: the trait could be told in every one of them."""
    linked = (Locus("linked", "recessive", ("Piebald",), crossover=F(1, 10)),)
    plan = plan_of(room(MAYBE, CLEAR, VISUAL, loci=linked), "M")
    assert [mating.mate for mating in plan.matings] == ["A-visual"]


def test_a_visual_mate_settles_a_usual_clutch_of_seven_either_way() -> None:
    """2/3 with a visual: proved with 2/3 (1 - 1/128) = 127/192; else 2/(2 + 128) = 1/65, under 1/20. Both by hand."""
    mating = plan_of(room(MAYBE, VISUAL), "M").matings[0]
    assert mating == TestMating(
        "A-visual", F(1), F(1), F(127, 192), F(65, 192), F(1, 65), 6, F(2, 3) / 128, F(0), 7, (), ("Piebald",)
    )


def test_a_known_carrier_leaves_a_usual_clutch_open() -> None:
    """2/3 with a het, seven young: falls only to 2 (3/4)^7 / (2 (3/4)^7 + 1), and 13 are needed."""
    mating = plan_of(room(MAYBE, CARRIER), "M").matings[0]
    silent = F(3, 4) ** 7
    assert mating.settles == mating.proves == F(2, 3) * (1 - silent)
    assert mating.clears == 0
    assert mating.falls_to == 2 * silent / (2 * silent + 1)
    assert mating.needed == 13
    assert 2 * F(3, 4) ** 13 / (2 * F(3, 4) ** 13 + 1) < DOUBT < 2 * F(3, 4) ** 12 / (2 * F(3, 4) ** 12 + 1)


def test_two_possible_carriers_mislead_as_often_as_enumeration_says() -> None:
    """None of seven shows it though the male carries it: every clutch of every pair of genotypes, counted."""
    mating = plan_of(room(MAYBE, POSSIBLE), "M").matings[0]
    misleads = silent = F(0)
    pair = Pair({"Piebald": (F(1, 3), F(2, 3), F(0))}, {"Piebald": (F(1, 2), F(1, 2), F(0))})
    for sire, dam, chance in pair.genotypes():
        none = pair.egg(sire, dam).get((), F(0)) ** 7
        silent += chance * none
        misleads += chance * none if sire[0] else F(0)
    assert mating.misleads == misleads
    assert mating.falls_to == misleads / silent
    assert mating.needed is None


def test_no_number_of_normal_young_clears_an_animal_whose_mate_may_carry_nothing() -> None:
    """With a mate that is clear with 1/2 the chance falls towards what is left when she is: never under 1/20."""
    assert plan_of(room(MAYBE, POSSIBLE), "M").matings[0].needed is None


def test_settled_is_counted_over_every_clutch_at_a_locus_of_two_alleles() -> None:
    """Albino 1/2, Candy 1/4, with an Albino mate, seven young: every count of looks by Bayes' theorem, independently."""
    series = (Locus("albino", "recessive", ("Albino", "Candy"), together=(("Albino", "Candy", "Candino"),)),)
    male = parent("M", "male", {"Albino": F(1, 2), "Candy": F(1, 4)})
    mating = plan_of(room(male, parent("F", "female", {}, ("Albino",)), loci=series), "M", "Albino").matings[0]
    priors = {"Albino": F(1, 2), "Candy": F(1, 4), "": F(1, 4)}
    shown = {"Albino": "Albino", "Candy": "Candino", "": ""}
    proved = cleared = F(0)
    for clutch in product((False, True), repeat=7):
        for look in ("Albino", "Candino") if any(clutch) else ("",):
            likely = {
                allele: prior / 128 if not any(clutch) or shown[allele] == look else F(0)
                for allele, prior in priors.items()
            }
            if not any(clutch):
                likely[""] = priors[""]
            whole = sum(likely.values())
            if look == "Albino":
                proved += whole
            elif likely["Albino"] < DOUBT * whole:
                cleared += whole
    assert (mating.proves, mating.clears) == (proved, cleared)


CANDINO = (Locus("albino", "recessive", ("Albino", "Candy"), together=(("Albino", "Candy", "Candino"),)),)


def test_hatchlings_that_show_nothing_of_a_locus_are_not_counted_where_they_are_as_likely_either_way() -> None:
    """One of Albino and Candy, with a Candy het: a quarter are Candino or a quarter Candy, three quarters normal either way. A Candy
    rules Albino out, so that a clutch without it and Candino leaves the half that was there; by hand."""
    male = parent("M", "male", {"Albino": F(1, 2), "Candy": F(1, 2)})
    mating = plan_of(room(male, parent("F", "female", {"Candy": F(1)}), loci=CANDINO), "M", "Albino").matings[0]
    assert (mating.shown, mating.falls_to, mating.needed) == (("Candino", "Candy"), F(1, 2), None)
    assert (mating.proves, mating.clears) == (F(0), F(1, 2) * (1 - F(3, 4) ** 7)), (
        "a Candino may have its Candy from him"
    )


def test_a_count_of_hatchlings_holds_whichever_other_looks_they_have() -> None:
    """A Motley that may be Motley and Stripe, with a Stripe het: half are normal either way, and a half or a quarter Motley. Seven that
    are no Stripe may all be normal, and say nothing; by hand."""
    series = (Locus("motley", "recessive", ("Motley", "Stripe"), together=(("Motley", "Stripe", "Motley"),)),)
    male = parent("M", "male", {"Stripe": F(1, 2)}, ("Motley",))
    mating = plan_of(room(male, parent("F", "female", {"Stripe": F(1)}), loci=series), "M", "Stripe").matings[0]
    assert (mating.shown, mating.needed) == (("Stripe",), None)
    assert mating.falls_to == F(3, 4) ** 7 / (F(3, 4) ** 7 + 1)


def test_too_many_counts_give_a_chance_that_is_not_too_high(monkeypatch: pytest.MonkeyPatch) -> None:
    """Beyond the limit what a clutch would clear is left out; what it would prove is not."""
    exact = plan_of(room(MAYBE, VISUAL), "M").matings[0]
    monkeypatch.setattr(settling, "WAYS", 1)
    rough = plan_of(room(MAYBE, VISUAL), "M").matings[0]
    assert (rough.proves, rough.clears) == (exact.proves, F(0))


def test_only_open_chances_are_in_question() -> None:
    """Certain carriers, visuals, clear animals and chances already under 1/20 need no proving."""
    nearly = parent("N", "male", {"Piebald": F(1, 21)})
    assert [plan.animal for plan in proving(room(MAYBE, nearly, VISUAL, CARRIER, CLEAR))] == ["M"]


def test_exactly_at_the_limit_is_not_under_it() -> None:
    """Seven normal young of a visual mate leave exactly 1/65; an animal at exactly the limit is still in question."""
    at, above = (plan_of(room(MAYBE, VISUAL, below=below), "M").matings[0] for below in (F(1, 65), F(1, 64)))
    assert (at.proves, at.clears, at.settles, at.needed) == (F(127, 192), F(0), F(127, 192), 8)
    assert (above.clears, above.settles, above.needed) == (F(65, 192), F(1), 7)
    assert plan_of(room(MAYBE, VISUAL, below=F(2, 3)), "M").now == F(2, 3)
    assert proving(room(MAYBE, VISUAL, below=F(67, 100))) == ()


@pytest.mark.parametrize("status", ["available", "on hold", "growing on", "sold", "elsewhere"])
def test_a_mate_is_an_animal_here_that_is_kept_for_breeding(status: Status) -> None:
    """Nothing promised, for sale, too young or elsewhere is proposed."""
    assert plan_of(room(MAYBE, VISUAL, status={"A-visual": status}), "M").matings == ()


def test_more_young_than_are_looked_for_where_it_never_falls() -> None:
    """Each normal young of a visual halves the odds, which begin at 2 to 1: n + 1 bring them under 1 to 2^n - 1; 1,000 are looked for."""
    for power, needed in ((66, 67), (999, 1000), (1000, None)):
        assert plan_of(room(MAYBE, VISUAL, below=F(1, 2**power)), "M").matings[0].needed == needed


def test_a_chance_that_falls_and_rises_again_is_under_the_limit_for_a_while() -> None:
    """Half may show it in half of its young, 1 in 100 never; mates hide a quarter of all others. 1 in 5 is the limit.

    After n: (1/2 (1/2)^n + 1/100) over that and 49/100 (3/4)^n: 21 in 100 after 4, 18 after 5, and in the end nearly 1.
    """

    chances, shares = (F(1, 2), F(1, 100), F(49, 100)), (F(1, 2), F(1), F(3, 4))
    assert settling.hatchlings_needed(chances, shares, (True, True, False), F(1, 5)) == 5


def test_an_unsexed_animal_is_listed_without_a_mate() -> None:
    """Nobody can be proposed for an animal of unknown sex; it stays in question."""
    unsexed = Animal("U", None, (Reading(Look(())),), MAYBE.claims)
    assert plan_of(room(unsexed, VISUAL), "U").matings == ()
    assert plan_of(room(unsexed, parent("B", "male", {}, ("Piebald",))), "U").matings == ()


def test_plans_with_equal_chances_stand_in_order_of_id() -> None:
    """Two males with the same record and the same mates: the id decides."""
    again = replace(MAYBE, id="L")
    assert [plan.animal for plan in proving(room(MAYBE, again, VISUAL))] == ["L", "M"]


# The usual clutch


def species_with(clutch: ClutchFacts) -> Species:
    return replace(inferred(PIEBALD, MAYBE).collection.species["snake"], facts={"clutch": clutch})


def test_a_usual_clutch_is_eggs_times_hatch_rate() -> None:
    """7 eggs, 81 % hatched (Morrill et al. 2011, Herpetol Rev 42:226-231): 5.67, so 6 hatchlings."""
    facts = ClutchFacts(at=Mark(Place("a file")), usual=7, hatch_rate=F(81, 100), source="Morrill et al. 2011")
    usual = usual_clutch(species_with(facts))
    assert usual == UsualClutch(6, facts)
    assert clutch_basis(usual) == "a usual clutch: 7 eggs, 81% hatch, so 6 hatchlings (Morrill et al. 2011)"


@pytest.mark.parametrize(
    ("usual", "rate", "hatchlings"),
    [(1, None, 1), (1, F(2, 5), 1), (7, None, 7), (9, F(3, 5), 5), (7, F(1, 2), 4)],
)
def test_a_usual_clutch_is_rounded_to_the_nearest_and_never_empty(
    usual: int, rate: Fraction | None, hatchlings: int
) -> None:
    """5.4 are 5, 3.5 are 4; without a rate every egg is taken to hatch."""
    facts = ClutchFacts(at=Mark(Place("a file")), usual=usual, hatch_rate=rate, source="own")
    assert usual_clutch(species_with(facts)).hatchlings == hatchlings


def test_a_species_without_clutch_facts_says_that_seven_is_assumed() -> None:
    """The assumption is told, not hidden."""
    usual = usual_clutch(inferred(PIEBALD, MAYBE).collection.species["snake"])
    assert clutch_basis(usual) == "a usual clutch: 7 hatchlings (assumed: the species file gives no clutch size)"


def test_a_clutch_of_always_as_many_is_told_as_that_number() -> None:
    """A spread of one number is none."""
    inference = room(MAYBE)
    facts = ClutchFacts(
        at=Mark(Place("a file")), usual=6, eggs=CountRange(at=Mark(Place("a file")), first=6, last=6), source="own"
    )
    collection = inference.collection
    species = {key: replace(one, facts={"clutch": facts}) for key, one in collection.species.items()}
    plan = plan_of(infer(replace(collection, species=species)), "M")
    assert plan.young == 6
    assert bought_mate(plan, "male").startswith(
        "with a bought or borrowed female that shows it and carries nothing else, 6"
    )


# In words


def test_a_mating_is_told_in_counts() -> None:
    """The sentence of a visual mate, of a known carrier, and of two possible carriers."""
    plan = plan_of(room(MAYBE, VISUAL, CARRIER, POSSIBLE), "M")
    visual, carrier, possible = [mating_sentence(plan, mating, mating.mate, DOUBT) for mating in plan.matings]
    assert visual == (
        "A-visual: a usual clutch of 7 hatchlings settles it nearly every time; none Piebald would leave just under 2 in 100; "
        "6 hatchlings without Piebald would bring it under 1 in 20."
    )
    assert carrier == (
        "B-carrier: a usual clutch of 7 hatchlings settles it 57 times in 100; none Piebald would leave just over 21 in 100; "
        "13 hatchlings without Piebald would bring it under 1 in 20."
    )
    assert possible == (
        "C-possible: a usual clutch of 7 hatchlings settles it 28 times in 100; none Piebald would leave just over 53 in 100; "
        "no number of hatchlings without Piebald would bring it under 1 in 20. "
        "Both may carry it: in up to 38 of 100 such clutches M carries Piebald and none of the young shows Piebald."
    )


def test_a_look_that_hides_the_trait_lets_a_clutch_settle_less() -> None:
    """Of young of two Albino hets a quarter are Albino, which hides Piebald: a visual mate shows it in 3/8 of them, not in half. What is
    counted are hatchlings that can be judged: of even chances five leave 1/33, four 1/17."""
    hides = (Locus("albino", "recessive", ("Albino",), hides=(("Albino", ("at-piebald",)),)), *PIEBALD)
    male = parent("M", "male", {"Piebald": F(1, 2), "Albino": F(1)})
    mate = parent("F", "female", {"Albino": F(1)}, ("Piebald",))
    inference = room(male, mate, loci=hides)
    mating = plan_of(inference, "M").matings[0]
    assert mating.proves == F(1, 2) * (1 - F(5, 8) ** 7)
    assert mating.falls_to == F(5, 8) ** 7 / (F(5, 8) ** 7 + 1)
    assert (mating.needed, mating.hides) == (5, True)
    animals = inference.collection.animals
    locus = next(locus for locus in inference.loci_in_play(animals["M"].species) if "Piebald" in locus.alleles)
    assert Matings(inference).may_hide(animals["F"], animals["M"], locus)
    assert Matings(inference).needed(animals["M"], animals["F"], locus, 1) == mating.needed


def test_a_bought_mate_that_carries_nothing_else_tells_where_no_young_of_theirs_hides_the_trait() -> None:
    """One Albino copy is handed on and hides nothing; one Veil copy hides Piebald. Of even chances a usual clutch of seven always
    settles it: one Piebald proves it, seven without leave 1/129."""
    albino = Locus("albino", "recessive", ("Albino",), hides=(("Albino", ("at-piebald",)),))
    veil = Locus(
        "veil", "incomplete dominant", ("Veil",), (("Veil", "Super Veil"),), hides=(("Veil", ("at-piebald",)),)
    )
    of_albino = parent("M", "male", {"Piebald": F(1, 2)}, ("Albino",))
    of_veil = parent("M", "male", {"Piebald": F(1, 2), "Veil": F(1, 2)})
    assert plan_of(room(of_albino, loci=(albino, *PIEBALD)), "M").by_a_visual == 1
    unseen = Animal("M", "male", (), of_veil.claims)
    assert plan_of(room(unseen, loci=(veil, *PIEBALD)), "M").by_a_visual is None


def test_a_mate_whose_young_all_hide_the_trait_can_tell_nothing() -> None:
    """Two Albinos have Albino young, and Albino hides Piebald."""
    hides = (Locus("albino", "recessive", ("Albino",), hides=(("Albino", ("at-piebald",)),)), *PIEBALD)
    male = parent("M", "male", {"Piebald": F(1, 2)}, ("Albino",))
    mate = parent("F", "female", {"Piebald": F(1)}, ("Albino",))
    assert plan_of(room(male, mate, loci=hides), "M").matings == ()


def test_an_animal_that_was_not_looked_at_is_looked_at_before_it_is_bred() -> None:
    """Pastel shows in one copy: no clutch is asked for what a look would tell."""
    pastel = (Locus("pastel", "dominant", ("Pastel",)),)
    unseen = Animal("M", "male", claims=(Claim("Pastel", F(1, 2)),))
    plan = plan_of(room(unseen, parent("F", "female", {}), loci=pastel), "M", "Pastel")
    assert (plan.look, plan.matings) == ("look", ())


def test_a_mate_with_whom_young_may_die_stands_last() -> None:
    """Two Champagnes: a quarter of the eggs die; a mate without it settles as much and stands first."""
    loci = (*PIEBALD, Locus("champagne", "dominant", ("Champagne",), two_copies=(("Champagne", "dies"),)))
    male = parent("M", "male", {"Piebald": F(1, 2)}, ("Champagne",))
    with_it = parent("A", "female", {}, ("Piebald", "Champagne"))
    plan = plan_of(room(male, with_it, parent("B", "female", {}, ("Piebald",)), loci=loci), "M")
    assert [(mating.mate, [harm.per_egg for harm in mating.harm]) for mating in plan.matings] == [
        ("B", []),
        ("A", [F(1, 4)]),
    ]
    said = mating_sentence(plan, plan.matings[1], "A", DOUBT)
    assert "Harm in up to 25 in 100 eggs: two copies of Champagne." in said


def test_two_kinds_of_young_that_tell_the_same_count_together() -> None:
    """A sex-linked trait of a male with two copies: half of a het's sons and half of her daughters show it, and seven young tell."""
    linked = (Locus("linked", "recessive", ("One",), crossover=F(1, 10)),)
    mate = Animal("M", "male", (Reading(Look(("One",))),))
    mating = plan_of(room(parent("F", "female", {"One": F(1, 2)}), mate, loci=linked), "F", "One").matings[0]
    assert (mating.proves, mating.clears) == (F(127, 256), F(129, 256))


def test_what_either_of_two_looks_hides_is_hidden() -> None:
    """Half of the young show Veil and half show Drape, each by itself; of a quarter it can be told whether they show Piebald."""
    hiders = tuple(
        Locus(
            name.lower(), "incomplete dominant", (name,), ((name, f"Super {name}"),), hides=((name, ("at-piebald",)),)
        )
        for name in ("Veil", "Drape")
    )
    both = Animal("M", "male", (Reading(Look(("Veil", "Drape"))),), (Claim("Piebald", F(1, 2)),))
    mating = plan_of(room(both, VISUAL, loci=(*PIEBALD, *hiders)), "M").matings[0]
    assert mating.proves == F(1, 2) * (1 - F(7, 8) ** 7)


def test_what_close_kin_settles_counts_for_half() -> None:
    """Her son, a certain het, settles more than a stranger who may carry it, and not twice as much: the stranger is told first."""
    dam = parent("A", "female", {"Piebald": F(2, 3)})
    father, stranger = parent("B", "male", {}, ("Piebald",)), parent("Z", "male", {"Piebald": F(9, 10)})
    son = replace(parent("S", "male", {}), sire="B", dam="A")
    matings = plan_of(room(dam, father, stranger, son), "A").matings
    assert [mating.mate for mating in matings][:2] == ["B", "Z"]
    assert (matings[-1].mate, matings[-1].inbreeding) == ("S", F(1, 4))
