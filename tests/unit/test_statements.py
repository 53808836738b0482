"""What is said of an animal and a clutch: traits, title, advert, reasons, splits, comparisons, what we say nothing about."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from types import SimpleNamespace
from typing import Any

import pytest
from msgspec.structs import replace
from tests.unit.statement_fakes import HERE, VISUAL, Fake, Key, collection, day, figure, het, reading, sire, stated

from clutchlight.genetics.values import Event, Figure, Grounds, JointFigure, NotComputed
from clutchlight.model import (
    UNRECORDED,
    Animal,
    Claim,
    Clutch,
    Leaving,
    Photo,
    Reading,
    Recorded,
    Sire,
    Sires,
    Stated,
    Tally,
    When,
)
from clutchlight.reading.catalogue import load
from clutchlight.statements.animals import combos_shown, with_link
from clutchlight.statements.answers import Answers, looks_in_order
from clutchlight.statements.values import AnimalStatement, ClutchState, digest_of, to_json
from clutchlight.wording.words import Label

HATCHED = When(date(2024, 7, 16), date(2024, 7, 16), "2024-07-16")
CLUTCH = Clutch(
    "C24-03",
    "ball-python",
    HERE,
    sire("M-02"),
    "F-03",
    laid=day("2024-05-20"),
    eggs=3,
    hatched=day("2024-07-16"),
    young=("C24-03-1", "C24-03-2", "C24-03-3"),
)
BORN = Event(date(2024, 7, 16), 0, "C24-03", "hatching")


def animal(ident: str, look: Reading | None = None, **more: object) -> Animal:
    base = Animal(ident, "ball-python", HERE, egg=ident, readings=() if look is None else (look,))
    return replace(base, **more)


def young(ident: str, *shows: str, **more: object) -> Animal:
    return animal(ident, reading(*shows), dam="F-03", sire="M-02", clutch="C24-03", hatched=HATCHED, **more)


SIRE = animal("M-02", reading(), sex="male", status="breeder")
DAM = animal("F-03", reading(), sex="female", status="breeder")
FAMILY = (SIRE, DAM, young("C24-03-1", "Piebald"), young("C24-03-2", "Pastel", sex="male"), young("C24-03-3"))
FIGURES: dict[Key, list[tuple[Event | None, Figure]] | NotComputed] = {
    ("M-02", "piebald"): [(None, het("1/2")), (BORN, het("1"))],
    ("F-03", "piebald"): [(None, het("2/3")), (BORN, het("1"))],
    ("C24-03-1", "piebald"): [(None, VISUAL)],
    ("C24-03-2", "piebald"): [(None, het("2/3"))],
    ("C24-03-3", "piebald"): [(None, het("2/3"))],
    ("C24-03-2", "pastel"): [(None, het("1"))],
}
WHY = {
    ("M-02", "piebald", 1): Grounds("proven", "C24-03"),
    ("F-03", "piebald", 1): Grounds("proven", "C24-03"),
    ("C24-03-1", "piebald", 1): Grounds("look"),
    ("C24-03-2", "pastel", 1): Grounds("look"),
}


def said_of(name: str, *, animals: tuple[Animal, ...] = FAMILY, **fake: object) -> AnimalStatement:
    given: dict[str, object] = {"figures": FIGURES, "why": WHY, **fake}
    return stated(Fake(collection(animals, (CLUTCH,)), **given)).animals[name]  # type: ignore[arg-type]


def alone(**more: object) -> Animal:
    return animal("A-01", more.pop("look", reading()), hatched=HATCHED, **more)  # type: ignore[arg-type]


def said_alone(
    subject: Animal, figures: dict[Key, list[tuple[Event | None, Figure]]], **fake: object
) -> AnimalStatement:
    return stated(Fake(collection((subject,)), figures=figures, **fake)).animals["A-01"]  # type: ignore[arg-type]


def grounds(kind: str, *loci: str) -> dict[tuple[str, str, int], Grounds]:
    return {("A-01", locus, 1): Grounds(kind) for locus in loci}  # type: ignore[arg-type]


def test_a_possible_het_is_stated_with_figure_count_and_parents() -> None:
    """The 66% of a normal-looking young of two hets, and why to believe it."""
    trait = said_of("C24-03-2").trait("Piebald")
    assert trait is not None
    assert (trait.label, trait.count, trait.percent) == ("66% possible het Piebald", "2 in 3", 66)
    assert trait.because == (
        (
            "Both parents are het Piebald: its dam F-03 and its sire M-02 were proven by this clutch, C24-03 "
            "(one of the three hatchlings is Piebald)."
        ),
        "Where both parents are het Piebald, a young that does not show it carries one copy 2 times in 3.",
    )


def test_title_and_advert_stand_in_the_trades_order() -> None:
    """Sex count, visible genes, recessive visuals, certain hets, possible hets, hatched, link."""
    said = said_alone(
        alone(look=reading("Albino", "Pastel"), sex="female"),
        {
            ("A-01", "piebald"): [(None, het("2/3"))],
            ("A-01", "clown"): [(None, het("1"))],
            ("A-01", "albino"): [(None, VISUAL)],
            ("A-01", "pastel"): [(None, het("1"))],
        },
        why=grounds("parentage", "clown"),
    )
    assert said.title == "Pastel Albino, het Clown, 66% possible het Piebald"
    assert said.advert == "0.1 Pastel Albino, het Clown, 66% possible het Piebald, hatched 2024-07"
    assert with_link(said.advert, "https://example.org/a") == f"{said.advert}, https://example.org/a"
    assert with_link(said.advert, None) == said.advert


def test_double_het_is_said_only_when_both_are_certain() -> None:
    """A possible het, or one on a seller's word, is named apart."""
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("A-01", "piebald"): [(None, het("1"))],
        ("A-01", "clown"): [(None, het("1"))],
    }
    both = said_alone(alone(), figures, why=grounds("parentage", "piebald", "clown"))
    one = said_alone(alone(), figures, why=grounds("parentage", "piebald") | grounds("claim", "clown"))
    possible = said_alone(
        alone(), figures | {("A-01", "clown"): [(None, het("2/3"))]}, why=grounds("parentage", "piebald")
    )
    assert [said.title for said in (both, one, possible)] == [
        "normal, double het Piebald Clown",
        "normal, het Piebald, het Clown (on a seller's word)",
        "normal, het Piebald, 66% possible het Clown",
    ]


def test_small_and_background_chances_stay_out_of_the_advert() -> None:
    """Below `mention_from` they are folded away; the threshold itself is mentioned."""
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("A-01", "piebald"): [(None, het("1/17"))],
        ("A-01", "clown"): [(None, het("1/16"))],
        ("A-01", "albino"): [(None, het("1/2"))],
    }
    said = said_alone(alone(), figures, background=frozenset({("A-01", "albino", 1)}))
    assert said.title == "normal, 6% possible het Clown"
    assert [line.label for line in said.lines] == ["6% possible het Clown"]
    assert [line.label for line in said.small_chances] == ["5% possible het Piebald", "50% possible het Albino"]


@pytest.mark.parametrize(("albino", "candy"), [("1/2", "1/2"), ("99/100", "1/100")])
def test_one_of_an_allelic_pair_is_one_line(albino: str, candy: str) -> None:
    """Two alleles, one label, said once in the block and in the advert, however small the chance of either."""
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("A-01", "albino"): [(None, figure(((0, 1), albino), ((0, 2), candy)))],
    }
    said = said_alone(alone(), figures)
    assert said.advert == "0.0.1 normal, het Albino or Candy (one of the two), hatched 2024-07"
    assert [(line.label, [trait.trait for trait in line.traits]) for line in said.lines] == [
        ("het Albino or Candy (one of the two)", ["Albino", "Candy"])
    ]
    assert not said.small_chances
    assert said.all_of is not None
    assert (said.all_of.every, said.all_of.none) == (Fraction(0), Fraction(0))


def test_the_split_of_two_possible_hets_is_joint() -> None:
    """Two independent 2/3: both 4/9; with a shared doubt it is what the joint figure says, not the product."""
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("A-01", "piebald"): [(None, het("2/3"))],
        ("A-01", "clown"): [(None, het("2/3"))],
    }
    keys = (("A-01", "piebald"), ("A-01", "clown"))
    together = JointFigure(keys, ((((0, 0), (0, 0)), Fraction(1, 3)), (((0, 1), (0, 1)), Fraction(2, 3))))
    apart, shared = said_alone(alone(), figures).all_of, said_alone(alone(), figures, joints={keys: together}).all_of
    assert apart is not None
    assert shared is not None
    assert apart.words == "of every 9 snakes like this one, 4 carry both, 4 only one, 1 neither"
    assert (apart.every, apart.none) == (Fraction(4, 9), Fraction(1, 9))
    assert shared.words == "of every 3 snakes like this one, 2 carry both, 1 neither"


@pytest.mark.parametrize("figures", [{"piebald": het("2/3")}, {"piebald": het("1"), "clown": het("2/3")}])
def test_there_is_no_split_without_two_possible_traits(figures: dict[str, Figure]) -> None:
    """A certain trait is not part of it."""
    assert said_alone(alone(), {("A-01", locus): [(None, value)] for locus, value in figures.items()}).all_of is None


def test_background_only_traits_are_no_part_of_the_split() -> None:
    """Source: figures#background-only."""
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("A-01", "piebald"): [(None, het("2/3"))],
        ("A-01", "clown"): [(None, het("1/99"))],
    }
    assert said_alone(alone(), figures, background=frozenset({("A-01", "clown", 1)})).all_of is None


def test_the_page_splits_what_is_not_folded_away() -> None:
    """1/99 is folded; of Albino and Candy it has exactly one, which stands in their label; the exact form has all of them."""
    pair = figure(((0, 1), "1/2"), ((0, 2), "1/2"))
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("A-01", "piebald"): [(None, het("2/3"))],
        ("A-01", "clown"): [(None, het("1/99"))],
        ("A-01", "albino"): [(None, pair)],
        ("A-01", "pastel"): [(None, het("1/2"))],
    }
    said = said_alone(alone(), figures)
    assert said.all_of is not None
    (together,) = said.together
    assert set(said.all_of.traits) == {"Piebald", "Clown", "Albino", "Candy", "Pastel"}
    assert set(together.traits) == {"Piebald", "Pastel"}
    (only,) = said_alone(alone(), {("A-01", "albino"): [(None, pair)]}).together
    assert only.words == "all snakes like this one carry exactly one of the two"
    folded = {("A-01", "piebald"): [(None, het("2/3"))], ("A-01", "clown"): [(None, het("1/99"))]}
    assert said_alone(alone(), folded).together == ()  # type: ignore[arg-type]


def test_of_two_alleles_of_which_it_surely_carries_one_or_both_the_split_stands_apart() -> None:
    """Folded in with Piebald it read "3 carry all, the rest some", which does not tell that none is without both."""
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("A-01", "piebald"): [(None, het("1/2"))],
        ("A-01", "albino"): [(None, figure(((0, 1), "3/8"), ((0, 2), "1/4"), ((1, 2), "3/8")))],
    }
    (together,) = said_alone(alone(), figures).together
    assert (set(together.traits), together.words) == (
        {"Albino", "Candy"},
        "of every 8 snakes like this one, 3 carry both, 5 only one",
    )


def test_a_combo_is_named_beside_its_parts() -> None:
    """All parts shown: the combo's name follows in brackets."""
    look = reading("Clown", "Super Pastel")
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("A-01", "clown"): [(None, VISUAL)],
        ("A-01", "pastel"): [(None, VISUAL)],
    }
    assert said_alone(alone(look=look), figures).title == "Super Pastel Clown (Killer Clown)"


def test_certainty_by_assumption_names_the_founder_that_is_taken_to_carry_nothing() -> None:
    """A visual young of a claimed het and an unclaimed founder: the dam is het only if the other side brought nothing unrecorded."""
    why = WHY | {("F-03", "piebald", 1): Grounds("assumption")}
    figures = FIGURES | {("M-02", "piebald"): [(None, het("2/3"))]}
    trait = said_of("F-03", why=why, figures=figures).trait("Piebald")
    assert trait is not None
    assert trait.label == "het Piebald, if M-02 carries nothing unrecorded"


@pytest.mark.parametrize(
    ("proof", "expected"),
    [
        (
            Grounds("proven", "C24-03"),
            "its dam F-03 is het Piebald, proven by this clutch, C24-03 (one of the three hatchlings is Piebald)",
        ),
        (
            Grounds("proven", "C24-03-1"),
            "its dam F-03 is het Piebald, proven by her young C24-03-1, which shows Piebald",
        ),
        (Grounds("proven"), "its dam F-03 is het Piebald, proven by what is recorded of her young"),
        (Grounds("test", "F-03"), "its dam F-03 is het Piebald, proven by a test"),
        (Grounds("parentage"), "its dam F-03 has it by its parentage"),
        (Grounds("claim"), "its dam F-03 is het Piebald, on a seller's word"),
        (Grounds("assumption"), "its dam F-03 is het Piebald, if M-02 carries nothing unrecorded"),
    ],
)
def test_a_parents_certainty_is_told_with_its_grounds(proof: Grounds, expected: str) -> None:
    """Every kind of grounds has its clause."""
    figures = FIGURES | {("M-02", "piebald"): [(None, het("1/2"))]}
    trait = said_of("C24-03-2", figures=figures, why=WHY | {("F-03", "piebald", 1): proof}).trait("Piebald")
    assert trait is not None
    assert trait.because[0] == f"I{expected[1:]}; its sire M-02 is 50% possible het Piebald."


def test_one_visual_parent_makes_every_young_a_carrier() -> None:
    """Grounds parentage, told by the parent that shows it."""
    animals = (
        replace(SIRE, readings=(reading("Piebald"),)),
        DAM,
        young("C24-03-1"),
        young("C24-03-2"),
        young("C24-03-3"),
    )
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("M-02", "piebald"): [(None, VISUAL)],
        ("C24-03-1", "piebald"): [(None, het("1"))],
    }
    why = {("C24-03-1", "piebald", 1): Grounds("parentage")}
    trait = said_of("C24-03-1", animals=animals, figures=figures, why=why).trait("Piebald")
    assert trait is not None
    assert trait.because == ("Its sire M-02 shows Piebald, so every one of his young carries it.",)


def test_the_condition_names_only_founders_by_whom_the_trait_could_have_come() -> None:
    """Beside a carrier's other parent; the ancestors of that carrier's mates do not matter."""
    grandchild = animal("G-01", reading("Piebald"), sire="M-09", dam="C24-03-3")
    other = animal("M-09", reading("Piebald"), sire="X-01", dam="X-02")
    animals = (*FAMILY, grandchild, other, animal("X-01"), animal("X-02"))
    figures = FIGURES | {
        ("M-02", "piebald"): [(None, het("1/2"))],
        ("C24-03-3", "piebald"): [(None, het("1"))],
        ("G-01", "piebald"): [(None, VISUAL)],
        ("M-09", "piebald"): [(None, VISUAL)],
    }
    trait = said_of("F-03", animals=animals, figures=figures, why=WHY | {("F-03", "piebald", 1): Grounds("assumption")})
    assert [one.label for one in trait.traits] == ["het Piebald, if M-02 carries nothing unrecorded"]


def test_one_of_two_alleles_is_explained_by_the_parent_that_has_both() -> None:
    """A compound dam gives each young one of the two."""
    animals = (SIRE, replace(DAM, readings=(reading("Candino"),)), *FAMILY[2:])
    pair = figure(((0, 1), "1/2"), ((0, 2), "1/2"))
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("F-03", "albino"): [(None, figure(((1, 2), "1")))],
        ("C24-03-3", "albino"): [(None, pair)],
    }
    assert {trait.because for trait in said_of("C24-03-3", animals=animals, figures=figures, why={}).traits} == {
        ("Its dam F-03 has one copy each of Albino and Candy, so every one of her young carries one of the two.",)
    }


def test_an_animal_never_looked_at_says_so() -> None:
    """Null looks, and a sentence among what we say nothing about."""
    said = stated(Fake(collection((animal("A-01"),)))).animals["A-01"]
    assert said.looks is None
    assert said.title == "look not recorded"
    assert said.silences[0] == "Its look is not on record, so we say nothing about what it shows."


def test_overlooked_and_undecided_traits_are_named() -> None:
    """A subtle trait that was not searched for, and a locus that the look does not settle."""
    said = said_alone(alone(look=reading(cannot_tell=("Clown",))), {})
    assert said.silences[0] == "Its look does not settle Clown."
    assert said.overlooked == (
        "Dimming is hard to see: this snake may have it without our knowing, and hand it on to its young.",
    )
    searched = said_alone(alone(look=reading(without=("Dimming",))), {})
    assert searched.overlooked == ()


def test_a_figure_that_is_not_computed_is_said_not_left_out() -> None:
    """The trait is named, with the test that would help."""
    figures: dict[Key, list[tuple[Event | None, Figure]] | NotComputed] = {
        ("A-01", "clown"): NotComputed(("F-03", "M-02"))
    }
    said = stated(Fake(collection((alone(), DAM, SIRE)), figures=figures)).animals["A-01"]
    assert [(trait.trait, trait.label) for trait in said.not_computed] == [("Clown", "Clown: not computed")]
    assert "A test of F-03 or M-02 would make it possible." in said.silences[-2]


def test_a_sex_linked_trait_of_a_dam_that_bred_alone_is_said_with_its_reason() -> None:
    """Source: figures#parthenogenesis: not computed, and says so."""
    figures: dict[Key, list[tuple[Event | None, Figure]] | NotComputed] = {("A-01", "clown"): NotComputed((), "alone")}
    said = stated(Fake(collection((alone(), DAM, SIRE)), figures=figures)).animals["A-01"]
    assert said.silences[-2] == (
        "Clown: not computed; it is sex-linked, and we do not work that out where a young of the family has no sire, or perhaps none."
    )


def test_a_sellers_figure_is_compared_and_never_counted() -> None:
    """Both figures are said."""
    stated = (Stated("piebald", "Piebald", Fraction(2, 3), HERE), Stated("clown", "Clown", Fraction(1, 2), HERE))
    said = said_alone(
        alone(stated=stated), {("A-01", "piebald"): [(None, het("1/2"))], ("A-01", "clown"): [(None, het("1/2"))]}
    )
    assert [one.text for one in said.compared] == [
        "Stated as 66% possible het Piebald; our records give 50%.",
        "Stated as 50% possible het Clown; our records give the same.",
    ]


def test_what_is_certain_is_compared_as_its_page_has_it() -> None:
    """One that shows the trait is no het of it, and what is only taken as certain keeps its condition."""
    one = (Stated("piebald", "Piebald", Fraction(1), HERE),)
    shown = said_alone(alone(look=reading("Piebald"), stated=one), {("A-01", "piebald"): [(None, VISUAL)]})
    assert [one.text for one in shown.compared] == ["Stated as het Piebald; our records say that it is Piebald."]
    certain: dict[Key, list[tuple[Event | None, Figure]]] = {("A-01", "piebald"): [(None, het("1"))]}
    taken = said_alone(alone(stated=one), certain, why=grounds("claim", "piebald"))
    label = taken.traits[0].label
    assert label.condition
    assert [one.text for one in taken.compared] == [f"Stated as het Piebald; our records say that it is {label}."]
    proven = said_alone(alone(stated=one), certain, why=grounds("proven", "piebald"))
    assert [one.text for one in proven.compared] == ["Stated as het Piebald; our records give the same."]


def test_three_figures_stand_for_a_sold_animal() -> None:
    """When hatched, when sold, now."""
    later, last = Event(date(2025, 8, 1), 2, "A-01", "test"), Event(date(2026, 8, 1), 2, "A-01", "test")
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("A-01", "piebald"): [(None, het("1/2")), (later, het("2/3")), (last, het("1"))]
    }
    trait = said_alone(alone(status="sold", left=Leaving("sold", day("2025-12-01"))), figures).trait("Piebald")
    assert trait is not None
    assert trait.when_hatched is not None
    assert trait.when_sold is not None
    assert [trait.when_hatched.label, trait.when_sold.label, trait.label] == [
        "50% possible het Piebald",
        "66% possible het Piebald",
        "het Piebald",
    ]


def test_a_trait_ruled_out_since_is_kept_apart() -> None:
    """Chance 0 now is no trait of the statement, but the page can still say what was stated at hatching."""
    event = Event(date(2025, 1, 1), 2, "A-01", "test")
    said = said_alone(alone(), {("A-01", "piebald"): [(None, het("2/3")), (event, het("0"))]})
    assert said.traits == ()
    assert [(trait.trait, trait.label) for trait in said.ruled_out] == [("Piebald", "")]


def test_looks_set_aside_read_under_review() -> None:
    """The young's look there is neither shown nor advertised, only its doubt is; their parents are told of it too."""
    clutch = replace(CLUTCH, set_aside={"piebald": "two photos disagree; re-checking"})
    word = (Stated("piebald", "Piebald", Fraction(1), HERE),)
    family = [replace(one, stated=word) if one.id == "C24-03-1" else one for one in FAMILY]
    said = stated(Fake(collection(family, (clutch,)), figures=FIGURES, why=WHY)).animals
    first = said["C24-03-1"]
    assert first.looks == ()
    assert first.compared == ()
    assert [line.label for line in first.lines] == ["Piebald: records under review"]
    assert first.advert == "0.0.1 Piebald under review, hatched 2024-07"
    assert said["F-03"].reviews[0] == "Piebald, clutch C24-03: records under review (two photos disagree; re-checking)."
    stopped = replace(CLUTCH, set_aside={"piebald": "two photos disagree; re-checking."})
    again = stated(Fake(collection(FAMILY, (stopped,)), figures=FIGURES, why=WHY)).animals
    assert again["F-03"].reviews[0] == said["F-03"].reviews[0]


def test_an_unlisted_animal_is_never_named() -> None:
    """`publish: no` holds in parents, grounds and every sentence."""
    animals = (SIRE, replace(DAM, publish="no"), *FAMILY[2:])
    everything = stated(Fake(collection(animals, (CLUTCH,)), figures=FIGURES, why=WHY))
    for name in ("M-02", "C24-03-1", "C24-03-2", "C24-03-3"):
        assert "F-03" not in repr(everything.animals[name])
    listed = replace(everything.clutches["C24-03"], clutch=replace(CLUTCH, dam="F-09"))
    assert "F-03" not in repr(listed)
    assert "its unlisted dam and its sire M-02 were proven by this clutch, C24-03" in str(
        everything.animals["C24-03-2"].trait("Piebald")
    )


def test_a_breeder_is_proven_by_its_clutches() -> None:
    """ "Proven" never stands alone."""
    assert said_of("F-03").proven_breeder == "proven breeder: 1 clutch, in 2024"
    assert said_of("C24-03-2").proven_breeder == ""


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"laid": None, "hatched": None, "young": ()}, "planned"),
        ({"hatched": None, "young": ()}, "incubating"),
        ({"hatched": None, "young": (), "ended": day("2024-06-30")}, "did not hatch"),
        ({}, "hatched"),
        ({"to_sort": 2}, "still being sorted"),
    ],
)
def test_the_state_of_a_clutch(changes: dict[str, object], expected: ClutchState) -> None:
    """From its record alone."""
    clutch = replace(CLUTCH, **changes)
    assert stated(Fake(collection(FAMILY, (clutch,)))).clutches["C24-03"].state == expected


def test_a_clutch_is_sold_out_when_none_is_left_to_sell() -> None:
    """A holdback is not for sale; an animal on hold still is. Where those are that are not listed nobody knows."""

    def state(*statuses: str, clutch: Clutch = CLUTCH) -> ClutchState:
        born = tuple(replace(one, status=status) for one, status in zip(FAMILY[2:], statuses, strict=True))
        return stated(Fake(collection((SIRE, DAM, *born), (clutch,)))).clutches["C24-03"].state

    assert state("sold", "holdback", "sold", clutch=replace(CLUTCH, complete=False)) == "hatched"
    assert (
        state("sold", "holdback", "sold", clutch=replace(CLUTCH, tally=(Tally(2, "unknown", reading("normal")),)))
        == "hatched"
    )
    assert state("sold", "holdback", "sold") == "sold out"
    assert state("sold", "on hold", "sold") == "hatched"


def test_sires_whose_chances_are_not_computed_are_named_and_the_rest_is_said() -> None:
    """No prior chance stands in for one after the evidence; a test that would help is named."""

    class Entangled(Fake):
        def sires(self, clutch: str) -> NotComputed:  # type: ignore[override]
            return NotComputed(("F-03",))

        def possible_sires(self, clutch: str) -> tuple[Sire, ...]:
            return Recorded("M-02"), UNRECORDED

    clutch = replace(CLUTCH, sires=Sires("one of", ((Recorded("M-02"), Fraction(4, 5)), (UNRECORDED, Fraction(1, 5)))))
    said = stated(Entangled(collection(FAMILY, (clutch,)), figures=FIGURES, why=WHY)).clutches["C24-03"]
    assert [(str(one.sire), one.name, one.chance) for one in said.sires] == [
        ("M-02", "M-02", None),
        ("unknown", "an unrecorded male", None),
    ]
    assert said.sires_words == (
        "The sire is M-02 or an unrecorded male; which one is in doubt. The chances of the sires are not computed: "
        "its family is too entangled. A test of F-03 would make it possible."
    )
    assert to_json(said)["sires"] == [{"id": "M-02", "chance": None}, {"id": "unknown", "chance": None}]


def test_sires_in_doubt_are_told_with_their_chances() -> None:
    """The clutch and its young name every candidate."""
    clutch = replace(CLUTCH, sires=Sires("one of", ((Recorded("M-02"), Fraction(4, 5)), (UNRECORDED, Fraction(1, 5)))))
    said = stated(Fake(collection(FAMILY, (clutch,)), figures=FIGURES, why=WHY))
    assert [(one.name, one.chance) for one in said.clutches["C24-03"].sires] == [
        ("M-02", Fraction(4, 5)),
        ("an unrecorded male", Fraction(1, 5)),
    ]
    assert said.clutches["C24-03"].sires_words == "The sire is M-02 or an unrecorded male; which one is in doubt."
    assert said.animals["C24-03-2"].trait("Piebald").because[0] == (  # type: ignore[union-attr]
        "Its dam F-03 is het Piebald, proven by this clutch, C24-03 (one of the three hatchlings is Piebald); "
        "its sire may be M-02, 4 in 5, which is het Piebald, proven by this clutch, C24-03 (one of the three hatchlings is Piebald), "
        "or an unrecorded male, 1 in 5."
    )


def test_facts_of_a_clutch_are_counted_right() -> None:
    """One hatchling is, two hatchlings are."""
    clutch = replace(CLUTCH, complete=False, to_sort=1, unseen=2, tally=(Tally(1, "male", reading()),))
    assert stated(Fake(collection(FAMILY, (clutch,)))).clutches["C24-03"].facts == (
        "Only some of the young of this clutch are on record.",
        (
            "A young that shows a trait still proves what its parents carry; how many of the young show it changes no percentage, since the"
            " others may look different."
        ),
        "One hatchling is still to be looked at.",
        "Two more died before their look could be seen.",
    )


def test_the_digest_covers_figures_and_not_words() -> None:
    """A photo, a name or a claim's wording changes nothing; a figure, a look or a parent does."""
    base = said_of("C24-03-2")
    others = tuple(one for one in FAMILY if one.id != "C24-03-2")
    same = young("C24-03-2", "Pastel", sex="male", name="Bramble", photos=(Photo("a.jpg", HERE),), prose="Lovely.")
    assert digest_of(said_of("C24-03-2", animals=(*others, same))) == digest_of(base)
    other_figure = FIGURES | {("C24-03-2", "piebald"): [(None, het("1/2"))]}
    assert digest_of(said_of("C24-03-2", figures=other_figure)) != digest_of(base)
    other_look = young("C24-03-2", sex="male")
    assert digest_of(said_of("C24-03-2", animals=(*others, other_look))) != digest_of(base)


def test_labels_and_notes_are_outside_the_digest(monkeypatch: pytest.MonkeyPatch) -> None:
    """A reworded label leaves the digest as it is."""
    base = said_of("C24-03-2")
    monkeypatch.setattr("clutchlight.wording.words.label_of", lambda *_, **__: Label(name="reworded"))
    reworded = said_of("C24-03-2")
    assert [trait.label for trait in reworded.traits] == ["reworded", "reworded"]
    assert digest_of(reworded) == digest_of(base)


def test_a_sex_linked_maker_is_named_by_the_parent_that_gave_the_copy() -> None:
    """A male has his Y from his sire: a copy from the sire makes sons, one from the dam daughters (Mallery & Carrillo 2016)."""
    from tests.unit.statement_fakes import PASTEL, PYTHONS

    from clutchlight.model import SexLinkage

    species = replace(PYTHONS, loci=dict(PYTHONS.loci) | {"pastel": replace(PASTEL, sex_linked=SexLinkage())})

    def maker(came_from: str) -> str | None:
        claim = Claim("pastel", "Pastel", None, HERE, came_from=came_from)  # type: ignore[arg-type]
        subject = alone(look=reading("Pastel"), sex="male", claims=(claim,))
        whole = replace(collection((subject,)), species={"ball-python": species})
        return stated(Fake(whole, figures={("A-01", "pastel"): [(None, het("1"))]})).animals["A-01"].maker

    said = ", on the seller's word"
    assert [maker("sire"), maker("dam")] == [f"male-maker for Pastel{said}", f"female-maker for Pastel{said}"]


@pytest.mark.parametrize(
    ("shows", "combos"),
    [
        ("A", []),
        ("AB", ["Two"]),
        ("ABC", ["Three"]),
        ("ABD", ["Other", "Two"]),
        ("ABCD", ["Other", "Three"]),
    ],
)
def test_of_combos_the_largest_are_named_in_order(shows: str, combos: list[str]) -> None:
    """One that is part of another is not named beside it; one without parts never."""
    whole = {"Two": ("A", "B"), "Three": ("A", "B", "C"), "Other": ("D",), "None": ()}
    species: Any = SimpleNamespace(combos=whole)
    assert combos_shown(list(shows), species) == tuple(combos)


def test_visible_genes_stand_before_recessives_each_in_order_of_the_catalogue() -> None:
    """Then looks that no locus has, by name."""
    python = load("ball-python")
    assert python is not None
    first = [key for key in python.loci if python.loci[key].inheritance.value != "recessive"][:3]
    last = [key for key in python.loci if python.loci[key].inheritance.value == "recessive"][:3]
    names = [python.loci[key].alleles[0] for key in (*first, *last)]
    shown = (*reversed(names), "Zebra", "Aster")
    assert looks_in_order(shown, ["Ghost", "Fire"], python) == (
        *(*names[:3], "Aster", "Zebra", *names[3:]),
        *("Fire (line not known)", "Ghost (line not known)"),
    )


def test_where_an_unlisted_one_stands_among_others_does_not_tell_how_it_is_called() -> None:
    hidden = (replace(animal(name), sex="male", publish="no") for name in ("A-01", "Z-01"))
    for one in hidden:
        answers = Answers(Fake(collection((one, animal("M-01")))).as_inference)
        assert answers.all_named(sorted((one.id, "M-01"))) == ("M-01", "an unlisted male")
