"""Odds of a pairing against enumeration of both parents' genotypes and every clutch."""

from __future__ import annotations

import os
from datetime import date
from fractions import Fraction
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings, strategies as st
from msgspec.structs import replace
from tests.oracle.as_collection import as_collection
from tests.oracle.case import Animal, Case, Claim, Clutch, Inheritance, Locus, Look, Reading, Sex
from tests.oracle.enumerate_genotypes import Enumeration, proves
from tests.oracle.random_cases import EVERYTHING, KINDS, Features, random_case
from tests.rooms import BARE, FAMILY
from tests.unit.pairings import HALF, NORMAL, Pair, inferred, parent, recessive

from clutchlight.genetics.inference import Inference, infer
from clutchlight.genetics.pairs import Together
from clutchlight.genetics.values import Figure
from clutchlight.model import Collection
from clutchlight.pipeline import Book
from clutchlight.planning import outcomes as outcomes_module, proofs as proofs_module
from clutchlight.planning.hatchlings import Hatchlings, hatchlings_of
from clutchlight.planning.odds import Odds, odds, pair_together
from clutchlight.planning.proofs import TWO_SIRES, MixedProofs, Proofs
from clutchlight.planning.who_needs_proving import proving
from clutchlight.problems import RecordsError
from clutchlight.queries import winter_of
from clutchlight.reading.ids import animal_called

TIMES = int(os.environ.get("CLUTCHLIGHT_LONG", "1"))
F = Fraction
ZERO = F(0)
ONE, TWO = (F(0), F(1), F(0)), (F(0), F(0), F(1))


def maybe(chance: Fraction) -> tuple[Fraction, ...]:
    return 1 - chance, chance, F(0)


DOUBLE = recessive("Piebald", "Clown")


def doubly_uncertain(young: int) -> Odds:
    """Two possible hets, 2/3 and 1/2, at two loci."""
    said = {"Piebald": F(2, 3), "Clown": F(1, 2)}
    return odds(inferred(DOUBLE, parent("M", "male", said), parent("D", "female", said)), "M", "D", young)


PAIR = Pair(
    {"Piebald": maybe(F(2, 3)), "Clown": maybe(F(1, 2))},
    {"Piebald": maybe(F(2, 3)), "Clown": maybe(F(1, 2))},
)


@pytest.mark.parametrize("young", [1, 2, 3, 4, 5])
def test_every_look_has_the_chance_that_enumeration_of_parents_and_clutches_gives(young: int) -> None:
    """Two possible hets at two loci: per egg, at least one of up to five, and the expected count, exactly."""
    single: dict[tuple[str, ...], Fraction] = {}
    some: dict[tuple[str, ...], Fraction] = {}
    for _sire, _dam, eggs, chance in PAIR.clutches(young):
        for look in eggs:
            single[look] = single.get(look, ZERO) + chance / young
        for look in set(eggs):
            some[look] = some.get(look, ZERO) + chance
    found = doubly_uncertain(young).outcomes
    assert {one.looks: one.per_egg for one in found} == single
    assert {one.looks: one.at_least_one for one in found} == some
    assert {one.looks: one.expected for one in found} == {look: young * chance for look, chance in single.items()}


@pytest.mark.parametrize("young", [1, 2, 3, 4, 5])
def test_a_proof_and_a_clutch_without_the_trait_agree_with_enumeration(young: int) -> None:
    """A Piebald young of two normal-looking parents forces both; else the chance is what Bayes' theorem leaves."""
    proved = none = carried = ZERO
    for sire, _dam, eggs, chance in PAIR.clutches(young):
        if any("Piebald" in look for look in eggs):
            proved += chance
        else:
            none += chance
            carried += chance if sire[0] else ZERO
    proof = next(one for one in doubly_uncertain(young).proves if (one.animal, one.trait) == ("M", "Piebald"))
    assert proof.chance == proved
    assert proof.if_none == carried / none
    assert proof.now == F(2, 3)


def test_a_doubly_uncertain_clutch_is_not_the_naive_formula() -> None:
    """The eggs share their parents: at least one Piebald of five is less likely than 1 - (1 - p)^5 says."""
    visual = next(one for one in doubly_uncertain(5).outcomes if one.looks == ("Piebald",))
    assert visual.at_least_one < 1 - (1 - visual.per_egg) ** 5


def test_two_possible_hets_worked_by_hand() -> None:
    """2/3 x 2/3 at one locus, 6 eggs: 4/9 both het, then 1 - (3/4)^6 = 3367/4096; together 3367/9216. Derived by hand."""
    said = {"Piebald": F(2, 3)}
    room = inferred(recessive("Piebald"), parent("M", "male", said), parent("D", "female", said))
    visual = odds(room, "M", "D", 6).outcomes[1]
    assert (visual.looks, visual.per_egg, visual.at_least_one) == (("Piebald",), F(1, 9), F(3367, 9216))


def test_a_visual_that_may_carry_a_second_trait_with_a_possible_double_het() -> None:
    """A male shows the first and is 2/3 het the second, his mate is 2/3 het both: per egg and proofs by six young. Derived by hand.

    Proof of her first 2/3 (1 - 1/2^6), else 2/66 is left; of her second 4/9 (1 - (3/4)^6), else 2777/5849.
    """
    male = replace(parent("M", "male", {"Clown": F(2, 3)}), readings=(Reading(Look(("Piebald",))),))
    female = parent("D", "female", {"Piebald": F(2, 3), "Clown": F(2, 3)})
    found = odds(inferred(DOUBLE, male, female), "M", "D", 6)
    eggs = {(): F(16, 27), ("Piebald",): F(8, 27), ("Clown",): F(2, 27), ("Piebald", "Clown"): F(1, 27)}
    assert {one.looks: one.per_egg for one in found.outcomes} == eggs
    proofs = {one.trait: (one.chance, one.if_none) for one in found.proves if one.animal == "D"}
    assert proofs["Piebald"] == (F(2, 3) * F(63, 64), F(2, 66))
    assert proofs["Clown"] == (F(4, 9) * (1 - F(3, 4) ** 6), F(2777, 5849))


def test_two_alleles_of_one_locus_may_both_be_behind_a_normal_look() -> None:
    """Either is given to 1 young in 4: of 16 young 9 have neither, 6 have one, and 1 shows both."""
    series = (Locus("albino", "recessive", ("Albino", "Candy"), together=(("Albino", "Candy", "Candino"),)),)
    sire, dam = parent("M", "male", {"Albino": F(1, 2)}), parent("D", "female", {"Candy": F(1, 2)})
    found = {one.looks: one for one in odds(inferred(series, sire, dam), "M", "D", 1).outcomes}
    assert {looks: one.per_egg for looks, one in found.items()} == {(): F(15, 16), ("Candino",): F(1, 16)}
    assert [(one.trait, one.carries) for one in found[()].unseen] == [("Albino", F(1, 5)), ("Candy", F(1, 5))]
    assert (found[()].all_possible, found[()].none_possible) == (ZERO, F(3, 5))
    assert found[("Candino",)].unseen == ()


def test_certain_parents_share_nothing_uncertain() -> None:
    """Two proven hets are the case in which 1 - (3/4)^n is right."""
    said = {"Piebald": F(1)}
    room = inferred(recessive("Piebald"), parent("M", "male", said), parent("D", "female", said))
    visual = odds(room, "M", "D", 8).outcomes[1]
    assert visual.at_least_one == 1 - F(3, 4) ** 8


def test_normal_looking_young_of_two_hets_carry_with_two_in_three() -> None:
    """The trade's 66%: the source is any genetics text (check values: carrier chances)."""
    said = {"Piebald": F(1), "Clown": F(1)}
    room = inferred(DOUBLE, parent("M", "male", said), parent("D", "female", said))
    normal = odds(room, "M", "D", 1).outcomes[0]
    assert normal.looks == ()
    assert [(one.trait, one.carries) for one in normal.unseen] == [("Piebald", F(2, 3)), ("Clown", F(2, 3))]
    assert (normal.all_possible, normal.none_possible) == (F(4, 9), F(1, 9))


# Doubts that loci share


def shared_doubt() -> Case:
    """M's sire is either A (Piebald and Clown) or B (neither), so that M carries both or none; D shows both."""
    both = Reading(Look(("Piebald", "Clown")))
    animals = (
        Animal("A", "male", (both,)),
        Animal("B", "male", (NORMAL,)),
        Animal("E", "female", (NORMAL,)),
        Animal("D", "female", (both,)),
        Animal("M", "male", (NORMAL,), clutch="C-1"),
    )
    clutch = Clutch("C-1", (("A", F(1, 2)), ("B", F(1, 2))), "E", date(2022, 7, 1))
    return Case(DOUBLE, animals, (clutch,))


def test_a_doubt_shared_by_two_loci_keeps_them_together() -> None:
    """M is het both with 1/2, else nothing: a young shows both with 1/2 * 1/4, and one of the two just as often."""
    found = odds(infer(as_collection(shared_doubt())), "M", "D", 2).outcomes
    assert {one.looks: one.per_egg for one in found} == {
        (): F(5, 8),
        ("Piebald",): F(1, 8),
        ("Clown",): F(1, 8),
        ("Piebald", "Clown"): F(1, 8),
    }


def sired_by_one_of_two(dam: Reading) -> Inference:
    """A (Super Pastel, Piebald) or B (normal) sired M."""
    loci = (Locus("pastel", "incomplete dominant", ("Pastel",)), *recessive("Piebald"))
    animals = (
        Animal("A", "male", (Reading(Look(("Super Pastel", "Piebald"))),)),
        Animal("B", "male", (NORMAL,)),
        Animal("E", "female", (NORMAL,)),
        Animal("D", "female", (dam,)),
        Animal("M", "male", clutch="C-1"),
    )
    clutch = Clutch("C-1", (("A", F(1, 2)), ("B", F(1, 2))), "E", date(2022, 7, 1))
    return infer(as_collection(Case(loci, animals, (clutch,))))


def test_a_proof_at_one_locus_can_settle_another_through_the_sire() -> None:
    """A Pastel young of M shows that A did, so that M carries Piebald for certain."""
    room = sired_by_one_of_two(NORMAL)
    found = {one.trait: one.chance for one in odds(room, "M", "D", 2).proves if one.animal == "M"}
    assert found == {"Pastel": F(3, 8), "Piebald": F(3, 8)}


def test_a_spread_of_hatchlings_proves_as_its_numbers_do_on_average() -> None:
    """With a Piebald dam a Piebald young proves it, or a Pastel one: both loci are seen of the same hatchlings."""
    room = sired_by_one_of_two(Reading(Look(("Piebald",))))
    together = pair_together(room, room.collection.animals["M"], room.collection.animals["D"])
    one, eight, either = Hatchlings.exactly(1), Hatchlings.exactly(8), Hatchlings(((1, F(1, 2)), (8, F(1, 2))))
    of_one, of_eight = F(3, 8), F(1, 2) * (1 - F(1, 4) ** 8)
    found = [Proofs(together, number).forced(0, 1, 1) for number in (one, eight, either)]
    assert found == [of_one, of_eight, (of_one + of_eight) / 2]


# Looks as they would be recorded


def test_a_locus_that_a_look_hides_is_left_blank() -> None:
    """Albino hides Hypo: an Albino young is recorded as Albino, whatever it is there, and carries Hypo with its full chance."""
    loci = (Locus("albino", "recessive", ("Albino",), hides=(("Albino", ("hypo",)),)), *recessive("Spot"))
    loci = (loci[0], Locus("hypo", "recessive", ("Hypo",)), loci[1])
    said = {"Albino": F(1), "Hypo": F(1)}
    room = inferred(loci, parent("M", "male", said), parent("D", "female", said))
    found = {one.looks: one for one in odds(room, "M", "D", 1).outcomes}
    assert {looks: one.per_egg for looks, one in found.items()} == {
        (): F(9, 16),
        ("Hypo",): F(3, 16),
        ("Albino",): F(1, 4),
    }
    albino = found["Albino",]
    assert albino.hidden == ("hypo",)
    assert [(one.trait, one.carries) for one in albino.unseen] == [("Hypo", F(3, 4))]


def test_white_looks_that_hide_each_other_hide_what_stands_before_them_too(tmp_path: Path) -> None:
    """Counted from squares of sixteen: Ivory is white, and so are a quarter of the others, of whom none is seen to show Yellow Belly."""
    book = BARE.book(tmp_path, {"animals/a.yaml": WHITE})
    found = odds(book.inference, "M", "F").outcomes
    assert {one.looks: one.per_egg for one in found} == {
        ("Ivory",): F(4, 16),
        ("Blue-eyed Leucistic",): F(3, 16),
        **{(*mojave, *yellow): chance for mojave in ((), ("Lesser",), ("Mojave",)) for yellow, chance in SEEN},
    }
    assert {carried.trait: carried.carries for one in found if "Blue-eyed Leucistic" in one.looks for carried in one.unseen} == {
        "Mojave": F(1), "Lesser": F(1), "Yellow Belly": F(2, 3),
    }  # fmt: skip
    assert sum(one.per_egg for one in found) == 1


WHITE = "- {id: M, sex: male, shows: [Mojave, Yellow Belly]}\n- {id: F, sex: female, shows: [Lesser, Yellow Belly]}\n"
SEEN = (((), F(1, 16)), (("Yellow Belly",), F(2, 16)))


def test_a_hidden_hatchling_proves_nothing_at_the_hidden_locus() -> None:
    """One egg of two hets of both: Hypo is proved only by a Hypo that is not Albino, 3/16 of the time, half as likely for each."""
    albino = Locus("albino", "recessive", ("Albino",), hides=(("Albino", ("hypo",)),))
    loci = (albino, Locus("hypo", "recessive", ("Hypo",)))
    said = {"Albino": F(1), "Hypo": F(1, 2)}
    room = inferred(loci, parent("M", "male", said), parent("D", "female", {"Albino": F(1), "Hypo": F(1)}))
    proof = next(p for p in odds(room, "M", "D", 1).proves if (p.animal, p.trait) == ("M", "Hypo"))
    assert proof.chance == F(1, 2) * F(1, 4) * F(3, 4)


def test_two_copies_that_die_are_told_and_shares_are_among_survivors() -> None:
    """Frost x Frost where two copies die: a quarter of the eggs, and two in three of the rest show Frost."""
    loci = (Locus("frost", "incomplete dominant", ("Frost",), two_copies=(("Frost", "dies"),)),)
    room = inferred(loci, parent("M", "male", {}, ("Frost",)), parent("D", "female", {}, ("Frost",)))
    found = odds(room, "M", "D", 3)
    assert {one.looks: one.per_egg for one in found.outcomes} == {("Frost",): F(2, 3), (): F(1, 3)}
    assert found.lethal == (("Frost", F(1, 4)),)


def test_a_sex_linked_locus_tells_males_from_females() -> None:
    """XY, r = 1/15, a male that had Banana from his sire, a normal female: sons 14/15, daughters 1/15 (derived, check values)."""
    loci = (Locus("banana", "incomplete dominant", ("Banana",), crossover=F(1, 15)),)
    male = Animal("M", "male", (Reading(Look(("Banana",))),), (Claim("Banana", came_from="sire"),))
    found = odds(inferred(loci, male, parent("D", "female", {})), "M", "D", 4)
    assert found.by_sex
    assert {(one.sex, one.looks): one.per_egg for one in found.outcomes} == {
        ("male", ("Banana",)): F(7, 15),
        ("male", ()): F(1, 30),
        ("female", ("Banana",)): F(1, 30),
        ("female", ()): F(7, 15),
    }


def test_combos_are_named_and_the_larger_one_stands_for_the_smaller() -> None:
    """A look that holds every part of a combo bears its name."""
    loci = recessive("Amelanistic", "Anerythristic", "Stripe")
    shown = ("Amelanistic", "Anerythristic", "Stripe")
    collection = as_collection(Case(loci, (parent("M", "male", {}, shown), parent("D", "female", {}, shown))))
    species = replace(
        collection.species["snake"],
        combos={"Snow": ("Amelanistic", "Anerythristic"), "Snow Stripe": shown, "Candy Cane": ("Amelanistic", "Bold")},
    )
    whole = Collection(collection.settings, {"snake": species}, collection.animals, collection.clutches)
    assert odds(infer(whole), "M", "D", 1).outcomes[0].combos == ("Snow Stripe",)


def test_harm_of_a_double_dose_stands_beside_its_outcome() -> None:
    """A look behind which a harmful double dose may be says so, with its chance within that look."""
    loci = (Locus("spin", "dominant", ("Spin",)),)
    collection = as_collection(
        Case(loci, (parent("M", "male", {"Spin": ZERO}, ("Spin",)), parent("D", "female", {}, ("Spin",))))
    )
    species = collection.species["snake"]
    harmful = replace(
        species.loci["spin"], two_copies_harm={"Spin": "unsteady"}, welfare="unsteady", welfare_source="x"
    )
    whole = Collection(
        collection.settings,
        {"snake": replace(species, loci={"spin": harmful})},
        collection.animals,
        collection.clutches,
    )
    found = odds(infer(whole), "M", "D", 1)
    assert [(one.traits, one.chance) for one in found.outcomes[0].harm] == [(("Spin", "Spin"), F(1, 3))]
    assert found.welfare == ("spin",)
    assert [(one.trait, one.carries) for one in found.outcomes[0].double] == [("Spin", F(1, 3))]


# Size


SEXES: tuple[tuple[str, Sex], ...] = (("M", "male"), ("D", "female"))


def ten_loci(kind: Inheritance, shows: bool) -> Odds:
    traits = [f"Trait {letter}" for letter in "abcdefghij"]
    loci = tuple(Locus(f"locus-{trait[-1]}", kind, (trait,)) for trait in traits)
    animals = [
        Animal(name, sex, (NORMAL,) if shows else (), tuple(Claim(trait, F(2, 3)) for trait in traits))
        for name, sex in SEXES
    ]
    return odds(inferred(loci, *animals), "M", "D", 6)


def test_ten_uncertain_loci_stay_exact() -> None:
    """Both parents uncertain at ten recessive loci: 1,024 looks, each the product of its loci, together exactly 1."""
    found = ten_loci("recessive", shows=True)
    assert len(found.outcomes) == 1024
    assert sum(one.per_egg for one in found.outcomes) == 1
    assert found.outcomes[0].per_egg == F(8, 9) ** 10
    assert len(found.proves) == 20


def test_too_many_looks_are_refused_by_name_while_proofs_stay(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three looks at each of ten loci are 59,049: not listed, and said so; what the clutch proves is still given."""
    monkeypatch.setattr(outcomes_module, "LIMIT", 100)
    found = ten_loci("incomplete dominant", shows=False)
    assert [problem.code for problem in found.problems] == ["too-many-looks"]
    assert found.outcomes == ()
    assert len(found.proves) == 20


def test_the_limit_of_looks_is_met_where_looks_hide_others_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """The walk stops at the limit."""
    monkeypatch.setattr(outcomes_module, "LIMIT", 2)
    loci = (Locus("albino", "recessive", ("Albino",), hides=(("Albino", ("hypo",)),)), *recessive("Piebald"))
    said = {"Albino": F(1), "Piebald": F(1)}
    room = inferred(loci, parent("M", "male", said), parent("D", "female", said))
    assert odds(room, "M", "D", 1).outcomes == ()


# What cannot be a pair


@pytest.mark.parametrize(
    ("one", "other", "young", "code"),
    [
        ("M", "M-2", 3, "same-sex-pair"),
        ("D", "D", 3, "same-sex-pair"),
        ("M", "D-9", 3, "unknown-animal"),
        ("M", "D", 0, "young-out-of-range"),
        ("M", "D", 101, "young-out-of-range"),
    ],
)
def test_what_cannot_be_a_pair_is_refused_with_its_code(one: str, other: str, young: int, code: str) -> None:
    """Two animals of one sex, an animal that is not on record, a clutch of no size."""
    room = inferred(
        recessive("Piebald"),
        parent("M", "male", {"Piebald": F(1)}),
        parent("M-2", "male", {}),
        parent("D", "female", {}),
    )
    with pytest.raises(RecordsError) as refused:
        odds(room, one, other, young)
    assert [problem.code for problem in refused.value.problems] == [code]


def test_two_species_are_refused() -> None:
    """A pairing of two species is refused, not computed."""
    collection = as_collection(Case(recessive("Piebald"), (parent("M", "male", {}), parent("D", "female", {}))))
    other = replace(collection.species["snake"], key="eel", name="Eel")
    animals = {"D": replace(collection.animals["D"], species="eel"), "M": collection.animals["M"]}
    whole = Collection(collection.settings, {**collection.species, "eel": other}, animals, {})
    with pytest.raises(RecordsError) as refused:
        odds(infer(whole), "M", "D", 1)
    assert refused.value.problems[0].code == "two-species-pair"


def test_the_order_in_which_the_two_are_named_does_not_matter() -> None:
    """Sire and dam are told by their sex."""
    room = inferred(
        recessive("Piebald"), parent("M", "male", {"Piebald": F(1)}), parent("D", "female", {"Piebald": F(1, 2)})
    )
    assert odds(room, "D", "M", 3) == odds(room, "M", "D", 3)


def test_a_usual_clutch_is_taken_where_none_is_asked_for() -> None:
    """Seven hatchlings where the species file says nothing."""
    room = inferred(recessive("Piebald"), parent("M", "male", {}), parent("D", "female", {}))
    assert odds(room, "M", "D").young == 7


# Random pedigrees


def random_pairing(seed: int, features: Features) -> tuple[Case, str, str] | None:
    case = random_case(Random(seed), features)
    people = Enumeration(case)
    if people.conflict:
        return None
    sexes = {animal.id: people.people.sex_of(animal.id) for animal in case.animals}
    males = [ident for ident, sex in sexes.items() if sex == "male"]
    females = [ident for ident, sex in sexes.items() if sex == "female"]
    rng = Random(seed)
    return (case, rng.choice(males), rng.choice(females)) if males and females else None


@pytest.mark.slow
@settings(max_examples=15 * TIMES, deadline=None)
@given(st.integers(0, 10**6))
def test_outcomes_are_a_partition_on_any_collection(seed: int) -> None:
    """Whatever the records, the chances of the looks sum to exactly 1, and a clutch's chance stays between one egg's and all eggs'."""
    case = random_case(Random(seed), replace(EVERYTHING, animals=6))
    room = infer(as_collection(case))
    pair = [next((animal.id for animal in case.animals if animal.sex == sex), None) for _, sex in SEXES]
    if room.conflicts or pair[0] is None or pair[1] is None:
        return
    found = odds(room, pair[0], pair[1], 4)
    assert sum(one.per_egg for one in found.outcomes) == 1
    assert all(one.per_egg <= one.at_least_one <= 4 * one.per_egg for one in found.outcomes)
    assert all(one.at_least_one <= 1 for one in found.outcomes)


@pytest.mark.parametrize(
    "kind", ["basic", "looks", "one of several sires", "mixed sires", "sex-linked XY", "sex-linked ZW"]
)
@pytest.mark.parametrize("seed", range(4))
def test_looks_agree_with_the_enumeration_of_random_pedigrees(kind: str, seed: int) -> None:
    """Every look of a clutch of two, on random pedigrees: relatives, sires in doubt, hidden loci, sex linkage."""
    drawn = random_pairing(seed, replace(KINDS[kind], animals=6))
    if drawn is None:
        pytest.skip("this draw has no pair")
    case, sire, dam = drawn
    room = infer(as_collection(case))
    found = odds(room, sire, dam, 2)
    expected: dict[tuple[str | None, frozenset[str]], Fraction] = {}
    for clutch, chance in Enumeration(case).next_clutch(sire, dam, 2).items():
        kinds = {(sex if found.by_sex else None, frozenset(look for look in looks if look)) for sex, looks in clutch}
        for one in kinds:
            expected[one] = expected.get(one, ZERO) + chance
    assert {(one.sex, frozenset(one.looks)): one.at_least_one for one in found.outcomes} == expected


@pytest.mark.parametrize("kind", ["basic", "tests", "one of several sires", "mixed sires", "sex-linked XY"])
@pytest.mark.parametrize("seed", range(3))
def test_proofs_agree_with_recording_every_clutch_that_may_come(kind: str, seed: int) -> None:
    """Each possible clutch of one or two is added to the records and its figures enumerated anew."""
    drawn = random_pairing(seed, replace(KINDS[kind], animals=6))
    if drawn is None:
        pytest.skip("this draw has no pair")
    case, sire, dam = drawn
    young = 1 + seed % 2
    for proof in odds(infer(as_collection(case)), sire, dam, young).proves:
        expected = proves(case, sire, dam, young, proof.animal, proof.locus, proof.trait)
        assert (proof.chance, proof.if_none) == expected


@pytest.mark.parametrize(("doubts", "ways"), [(1, 2), (4, 16), (5, 1)])
def test_sixteen_ways_of_sires_in_doubt_are_tried_together(doubts: int, ways: int) -> None:
    """A line of clutches with two possible sires each; with one doubt more each locus takes them as it likes."""
    animals = [Animal("D-0", "female", (NORMAL,)), Animal("X", "female", (NORMAL,))]
    clutches = []
    for number in range(1, doubts + 1):
        males = (f"A-{number}", f"B-{number}")
        animals += [Animal(male, "male", (NORMAL,)) for male in males]
        animals.append(Animal(f"D-{number}", "female" if number < doubts else "male", (NORMAL,), clutch=f"C-{number}"))
        sires = tuple((male, F(1, 2)) for male in males)
        clutches.append(Clutch(f"C-{number}", sires, f"D-{number - 1}", date(2015 + number, 7, 1)))
    room = infer(as_collection(Case(DOUBLE, tuple(animals), tuple(clutches))))
    last = f"D-{doubts}"
    assert len(Together(room.figures_of(last), (last, "X"), ("male", "female")).ways) == ways


def test_a_look_that_hides_another_locus_leaves_fewer_to_list(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two hets of both: normal, Hypo, and Albino of which nobody knows; three are listed where three may be."""
    loci = (
        Locus("albino", "recessive", ("Albino",), hides=(("Albino", ("hypo",)),)),
        Locus("hypo", "recessive", ("Hypo",)),
    )
    said = {"Albino": F(1), "Hypo": F(1)}
    room = inferred(loci, parent("M", "male", said), parent("D", "female", said))
    for most, listed in ((3, 3), (2, 0)):
        monkeypatch.setattr(outcomes_module, "LIMIT", most)
        assert len(odds(room, "M", "D", 1).outcomes) == listed


def test_what_is_certain_takes_no_part_in_all_or_none_of_what_is_possible() -> None:
    """Albino x normal, both het Piebald: a normal young carries Albino for certain, and Piebald with 2/3."""
    sire = parent("M", "male", {"Piebald": F(1)}, ("Albino",))
    found = odds(inferred(recessive("Albino", "Piebald"), sire, parent("D", "female", {"Piebald": F(1)})), "M", "D", 1)
    normal = next(one for one in found.outcomes if one.looks == ())
    assert [(one.trait, one.carries) for one in normal.unseen] == [("Albino", F(1)), ("Piebald", F(2, 3))]
    assert (normal.all_possible, normal.none_possible) == (F(2, 3), F(1, 3))


def test_animals_are_found_in_any_case_and_by_the_ids_they_had(tmp_path: Path) -> None:
    """As they are typed in a terminal."""
    collection, _ = FAMILY.both(tmp_path, {})
    assert [animal_called(collection, name).id for name in ("m-01", "M-01", "old-2", "OLD-2")] == [
        "M-01",
        "M-01",
        "M-02",
        "M-02",
    ]
    with pytest.raises(RecordsError, match="animal 'M-0l' has no record; the nearest is 'M-01'"):
        animal_called(collection, "M-0l")


def test_harms_at_one_hidden_locus_all_stand_beside_the_look() -> None:
    """Albinos whose other locus nobody sees, Spin or Wob in one copy with 1/2 each: two of one 1/16 each, one of either 1/8."""
    loci = (
        Locus("albino", "recessive", ("Albino",), hides=(("Albino", ("spin",)),)),
        Locus("spin", "dominant", ("Spin", "Wob"), together=(("Spin", "Wob", "Spob"),)),
    )
    said = {"Spin": HALF, "Wob": HALF}
    collection = as_collection(Case(loci, tuple(parent(name, sex, said, ("Albino",)) for name, sex in SEXES)))
    species = collection.species["snake"]
    harmful = replace(
        species.loci["spin"],
        two_copies_harm={"Spin": "unsteady", "Wob": "falls"},
        together_harm={frozenset(("Spin", "Wob")): "both"},
    )
    changed = replace(species, loci={**species.loci, "spin": harmful})
    whole = Collection(collection.settings, {"snake": changed}, collection.animals, collection.clutches)
    (only,) = odds(infer(whole), "M", "D", 1).outcomes
    assert [(one.text, one.chance) for one in only.harm] == [
        ("unsteady", F(1, 16)),
        ("falls", F(1, 16)),
        ("both", F(1, 8)),
    ]


@pytest.mark.parametrize("traits", [("Piebald",), ("Piebald", "Clown")])
def test_a_proof_of_too_many_boxes_is_not_computed(monkeypatch: pytest.MonkeyPatch, traits: tuple[str, ...]) -> None:
    """With one box fewer by its own locus alone, none told where that tells nothing; of one of two males, and mixed."""
    clown = ("Clown",)[: len(traits) - 1]
    said = {"Piebald": F(1, 2)}
    males = parent("M", "male", said, clown), parent("B", "male", said)
    room = inferred(recessive(*traits), *males, parent("D", "female", said, clown))
    members = (room.collection.animals[name] for name in "MDB")
    together = pair_together(room, *members)
    both = [kind(together, Hatchlings.exactly(2), TWO_SIRES) for kind in (Proofs, MixedProofs)]
    whole = [proofs.forced(2, 0, 1) for proofs in both]
    for boxes in (2, 0):
        monkeypatch.setattr(proofs_module, "BOXES", boxes)
        found = [proofs.forced(2, 0, 1) for proofs in both]
        assert found == ([None, None] if not boxes else whole if len(traits) == 1 else [None, F(15, 256)])
    assert whole == ([ZERO, ZERO] if len(traits) == 1 else [F(7, 128), F(15, 256)])


LEFT_OUT = """- {id: M-1, species: ball-python, sex: male, shows: normal, claims: {Piebald: 50%}, status: breeder}
- {id: M-2, species: ball-python, sex: male, shows: normal, claims: {Piebald: 66%}, status: breeder}
- {id: F-1, species: ball-python, sex: female, shows: normal, claims: {Piebald: 50%}, status: breeder}
"""
ASIDE = "{id: C1, sire: M-1, dam: F-1, eggs: 2, hatched: 2022-07-01, counts: no, young: [1 f Piebald; breeder, 2 m normal; breeder]}"


@pytest.mark.parametrize(("sire", "dam"), [("M-1", "C1-1"), ("C1-2", "F-1"), ("C1-2", "C1-1"), ("M-2", "C1-1")])
def test_a_mate_of_a_clutch_that_does_not_count_is_reckoned_as_its_young_will_be(
    tmp_path: Path, sire: str, dam: str
) -> None:
    """What odds, a test mating and a winter leave if three hatchlings show nothing is what is said once three such are on record."""

    def book(folder: str, more: str = "") -> Book:
        return BARE.book(tmp_path / folder, {"animals/all.yaml": LEFT_OUT, "clutches/all.yaml": f"- {ASIDE}\n{more}"})

    now = book("now")
    laid = f"- {{id: C2, sire: {sire}, dam: {dam}, hatched: 2026-07-01, young: [1 f normal"
    three = book("three", f"{laid}, 2 f normal, 3 m normal], eggs: 3}}\n")

    def said(of: Book, animal: str) -> Fraction:
        figure = of.inference.now(animal, "piebald")
        assert isinstance(figure, Figure)
        return figure.carries(1)

    found = odds(now.inference, sire, dam, 3)
    open_ = [name for name in (sire, dam) if name != "C1-1"]
    assert {each.animal: each.if_none for each in found.proves} == {name: said(three, name) for name in open_}
    questions = winter_of(now, sire, [dam], 3).questions
    assert {each.animal: (each.now, each.left) for each in questions} == {
        name: (said(now, name), said(three, name)) for name in open_
    }


def test_what_hatches_of_a_visual_whose_clutch_does_not_count_and_what_it_leaves(tmp_path: Path) -> None:
    """She has two copies, he one with 1/2: an egg shows it 1 time in 4. What her young will go by: of a het sire no copy with 3/8, one with
    1/2, two with 1/8."""
    book = BARE.book(tmp_path, {"animals/all.yaml": LEFT_OUT, "clutches/all.yaml": f"- {ASIDE}\n"})
    found = odds(book.inference, "M-1", "C1-1", 3)
    assert {one.looks: one.per_egg for one in found.outcomes} == {("Piebald",): F(1, 4), (): F(3, 4)}
    het = F(3, 8) + F(1, 2) * F(3, 4) ** 3 + F(1, 8) * F(1, 2) ** 3
    assert [(one.animal, one.if_none) for one in found.proves] == [("M-1", het / (het + 1))]
    plan = next(one for one in proving(book.inference) if one.animal == "M-1")
    assert {one.mate: one.unheard for one in plan.matings} == {"F-1": False, "C1-1": True}
    visual = next(one for one in plan.matings if one.mate == "C1-1")
    every = hatchlings_of(book.collection.species["ball-python"]).every(F(1, 2))
    assert (visual.mate_carries, visual.misleads) == (F(1), F(1, 2) * every)


@pytest.mark.parametrize("counts", ["yes", "no"])
def test_a_mate_whose_clutch_does_not_count_is_proposed_like_any_other(tmp_path: Path, counts: str) -> None:
    """What is seen of him counts in what is said of his mate and of their young."""
    other = "- {id: F-2, species: ball-python, sex: female, shows: normal, claims: {Piebald: 50%}, status: breeder}\n"
    clutch = ASIDE.replace("counts: no", f"counts: {counts}").replace("1 f Piebald", "1 m Piebald")
    files = {"animals/all.yaml": LEFT_OUT + other, "clutches/all.yaml": f"- {clutch}\n"}
    page = "\n".join(BARE.page(tmp_path, files, "animals/F-2/index.html"))
    assert "a Piebald mate, one Piebald hatchling would prove it" in page


def test_how_likely_a_line_bred_look_is_has_no_figure(tmp_path: Path) -> None:
    """Nobody knows how it is inherited: that it cannot come is not on record; nor with a look beside it that has a figure."""
    animals = (
        "- {id: M-1, species: corn-snake, sex: male, shows: [Amelanistic, Candy Cane]}\n"
        "- {id: F-1, species: corn-snake, sex: female, shows: [Amelanistic, Candy Cane]}\n"
    )
    book = BARE.book(tmp_path, {"animals/all.yaml": animals})
    for looks in (("Candy Cane",), ("Candy Cane", "Amelanistic")):
        found = winter_of(book, "M-1", ["F-1"], None, ", ".join(looks))
        assert (found.wishes, found.wishes_not_computed) == ((), (looks,))
