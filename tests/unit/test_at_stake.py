"""Which open questions something hangs on: a plan, or a promised or offered animal whose figure it moves."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from msgspec.structs import replace
from tests.rooms import FAMILY

from clutchlight.planning.settling import Settled
from clutchlight.planning.who_needs_proving import About, Stake, at_stake, proving
from clutchlight.planning.winter import OpenQuestion, Winter
from clutchlight.statements.winter import in_words

NEVER = Settled(Fraction(0), Fraction(0), exact=True)

_MORE = """- {id: F-09, sex: female, hatched: 2020-07-01, shows: normal, status: breeder, claims: {Clown: 50%}}
- {id: M-09, sex: male, hatched: 2020-07-01, shows: Clown, status: breeder}
"""
ABOUT = ("F-09", "Clown")


def found(
    folder: Path, animals: str = "", plans: str = "[]", sales: str = "[]", clutches: str = "[]"
) -> dict[About, Stake]:
    files = {
        "animals/more.yaml": f"{_MORE}{animals}",
        "season/2026.yaml": plans,
        "sales/2026.yaml": sales,
        "clutches/more.yaml": clutches,
    }
    book = FAMILY.book(folder, files)
    promised = [name for sale in book.private.sales for name in sale.animals]
    return dict(at_stake(book.inference, proving(book.inference), book.private.plans, promised))


@pytest.mark.parametrize(
    ("plan", "mates"),
    [
        ("males: [M-02], want: [Clown]", ("M-02",)),
        ("males: [M-02], backup: M-09, want: [Clown]", ("M-02", "M-09")),
        ("males: [M-09], purpose: prove", ("M-09",)),
    ],
)
def test_a_plan_hangs_on_what_it_wants_or_would_tell(tmp_path: Path, plan: str, mates: tuple[str, ...]) -> None:
    assert found(tmp_path, plans=f"[{{female: F-09, {plan}}}]") == {ABOUT: Stake(plans=mates)}


@pytest.mark.parametrize("plan", ["males: [M-09], want: [Piebald]", "males: [M-02], purpose: prove", "males: [M-09]"])
def test_no_plan_hangs_on_what_it_neither_wants_nor_can_tell(tmp_path: Path, plan: str) -> None:
    assert found(tmp_path, plans=f"[{{female: F-09, {plan}}}]") == {}


def test_a_price_hangs_on_a_claim_two_generations_back(tmp_path: Path) -> None:
    """F-09's claim is what the figure of her grandchild rests on; its dam's own question hangs on it as well."""
    young = """- {id: F-10, sex: female, hatched: 2022-07-01, shows: normal, dam: F-09, status: breeder}
- {id: X-1, sex: male, hatched: 2025-07-01, shows: normal, dam: F-10, status: available, price: 90}
"""
    stakes = found(tmp_path, young)
    assert {about: stake.offered for about, stake in stakes.items()} == {
        ABOUT: ("X-1",),
        ("F-10", "Clown"): ("X-1",),
        ("X-1", "Clown"): ("X-1",),
    }


def test_no_price_hangs_on_which_of_two_males_carries_what_its_sire_must(tmp_path: Path) -> None:
    """Its sister is Clown, so whichever male sired the clutch is het, and a normal brother carries it 2 times in 3 (derived)."""
    males = """- {id: M-10, sex: male, hatched: 2020-07-01, shows: normal, status: breeder, claims: {Clown: 50%}}
- {id: M-11, sex: male, hatched: 2020-07-01, shows: normal, status: breeder, claims: {Clown: 50%}}
"""
    young = "[{id: X-1, shows: Clown}, {id: X-2, shows: normal, status: available, price: 90}]"
    clutch = f"- {{id: C25-09, sire: [M-10, M-11], dam: F-09, eggs: 2, hatched: 2025-07-01, young: {young}}}\n"
    stakes = found(tmp_path, males, clutches=clutch)
    assert [about for about, stake in stakes.items() if stake.offered] == [("X-2", "Clown")]


def test_one_question_is_asked_of_twins_and_the_price_of_both_hangs_on_it(tmp_path: Path) -> None:
    """What settles the one settles the other; where both breed, either may be put to a mate."""
    young = (
        "[{{id: X-1, sex: male, shows: normal, status: {0}, price: 90}}, "
        "{{id: X-2, shows: normal, same_egg_as: X-1, status: available, price: 90}}, "
        "{{id: X-3, shows: normal, same_egg_as: X-1, status: {0}, price: 90}}]"
    )
    clutch = "- {{id: C25-09, sire: M-10, dam: F-09, counts: no, eggs: 1, hatched: 2025-07-01, young: {0}}}\n"
    asked = {}
    for status in ("available", "breeder"):
        male = "- {id: M-10, sex: male, hatched: 2020-07-01, shows: normal}\n"
        stakes = found(tmp_path / status, male, clutches=clutch.format(young.format(status)))
        asked[status] = {name: stake.offered for (name, _), stake in stakes.items() if name.startswith("X")}
    prices = ("X-1", "X-2", "X-3")
    assert asked == {"available": {"X-1": prices}, "breeder": {"X-1": ("X-2",), "X-3": ("X-2",)}}


def test_a_plan_with_one_twin_hangs_on_the_question_about_the_other(tmp_path: Path) -> None:
    young = "[{id: X-1, sex: male, shows: normal, status: breeder}, {id: X-2, shows: normal, same_egg_as: X-1, status: available}]"
    clutch = f"- {{id: C25-09, sire: M-10, dam: F-09, eggs: 1, hatched: 2025-07-01, young: {young}}}\n"
    more = "- {id: M-10, sex: male, hatched: 2020-07-01, shows: normal}\n"
    stakes = found(tmp_path, more, "- {female: F-09, males: [X-2], want: Clown}\n", clutches=clutch)
    assert stakes["X-1", "Clown"].plans == ("F-09",)


def test_what_settles_another_form_of_the_gene_moves_the_price(tmp_path: Path) -> None:
    """The dam has Albino or Candy; her young is tested free of Albino, so it may only carry Candy."""
    more = """- {id: F-10, sex: female, hatched: 2020-07-01, shows: normal, status: breeder, claims: {Albino: 50%, Candy: 50%}}
- {id: M-10, sex: male, hatched: 2020-07-01, shows: normal}
- {id: X-1, sex: male, hatched: 2025-07-01, shows: normal, sire: M-10, dam: F-10, status: available, price: 90,
   tests: [{trait: Albino, copies: 0, on: 2026-01-01}]}
"""
    stakes = found(tmp_path, more)
    assert stakes["F-10", "Albino"].offered == ("X-1",)


def test_no_price_hangs_on_parents_who_cannot_have_made_a_young_that_does_not_count(tmp_path: Path) -> None:
    """The dam has two of Lesser, Mojave and Russo, and her young none; which two is asked, and his price does not hang on it."""
    dam = "- {id: F-10, sex: female, hatched: 2020-07-01, shows: Blue-eyed Leucistic, status: breeder}\n"
    young = "[{id: X-1, sex: male, shows: normal, status: available, price: 90}]"
    clutch = f"- {{id: C25-09, sire: M-09, dam: F-10, counts: no, eggs: 1, hatched: 2025-07-01, young: {young}}}\n"
    asked = found(tmp_path, dam, "- {female: F-10, males: [M-09], purpose: prove}\n", clutches=clutch)
    assert not [about for about, stake in asked.items() if stake.offered]


def test_a_planned_pair_is_asked_about_whatever_their_status(tmp_path: Path) -> None:
    book = FAMILY.book(
        tmp_path,
        {
            "animals/more.yaml": _MORE.replace(
                "M-09, sex: male, hatched: 2020-07-01, shows: Clown, status: breeder",
                "M-09, sex: male, hatched: 2020-07-01, shows: Clown, status: available",
            )
        },
    )

    def mates(planned: set[tuple[str, str]]) -> bool:
        (one,) = (one for one in proving(book.inference, planned=planned) if (one.animal, one.trait) == ABOUT)
        return "M-09" in [mating.mate for mating in one.matings]

    assert (mates(set()), mates({("M-09", "F-09")})) == (False, True)


@pytest.mark.parametrize(
    "status",
    [
        "sire: M-09, status: available, price: 90",
        "status: holdback",
        "status: available, left: {how: died, on: 2026-10-01}",
    ],
)
def test_no_price_hangs_on_it_where_the_figure_is_certain_or_nobody_is_offered(tmp_path: Path, status: str) -> None:
    """A normal young of a Clown sire is het for certain, whatever its dam is."""
    young = f"- {{id: X-1, sex: male, hatched: 2025-07-01, shows: normal, dam: F-09, {status}}}\n"
    assert found(tmp_path, young) == {}


def test_a_promised_animal_is_told_as_promised_and_not_as_offered(tmp_path: Path) -> None:
    young = "- {id: X-1, sex: male, hatched: 2025-07-01, shows: normal, dam: F-09, status: on hold}\n"
    stakes = found(tmp_path, young, sales="- {animals: [X-1], buyer: Ada, held: 2026-11-01}\n")
    assert stakes[ABOUT] == Stake(promised=("X-1",))


def test_a_question_that_is_not_computed_is_told_as_such(tmp_path: Path) -> None:
    """It stands among the questions, not among those that no clutch can tell."""
    answers = FAMILY.book(tmp_path, {}).telling_its_owner
    asked = OpenQuestion("F-01", "piebald", "Piebald", Fraction(2, 3), (), None, None, (), None)
    said = in_words(Winter((), (asked, replace(asked, if_all_lay=NEVER)), ()), (), answers)
    assert [(one.asked, one.lines[0]) for one in said.questions] == [
        ("Piebald of F-01, 2 in 3 now", "How often it would be settled is not computed.")
    ]
    assert said.stay_open == ("Piebald of F-01, 2 in 3 now: none of these clutches can tell.",)


def test_what_is_never_settled_is_not_said_to_be_proved(tmp_path: Path) -> None:
    """A clutch that may be another male's whole proves nothing of him, and yet moves his figure."""
    answers = FAMILY.book(tmp_path, {}).telling_its_owner
    asked = OpenQuestion("F-01", "piebald", "Piebald", Fraction(2, 3), (), NEVER, NEVER, (), Fraction(1, 2))
    (one,) = in_words(Winter((), (asked,), ()), (), answers).questions
    assert one.lines[0] == "Settled in none of 100 winters."
