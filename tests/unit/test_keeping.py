"""The young of a clutch side by side: whose plans, what its kind was sold for, who holds it, what is known of its welfare."""

from __future__ import annotations

import json
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator
from tests.rooms import FAMILY, log

from clutchlight import shipped
from clutchlight.cli import main
from clutchlight.pipeline import Book
from clutchlight.planning.keeping import SideBySide, side_by_side, worth_a_look
from clutchlight.statements.keeping import as_text

DAY = date(2026, 11, 25)
F = Fraction
ONE_GOAL = "[{female: F-02, males: [M-01], from: 2026-10-01, want: [Piebald]}]"


def room(folder: Path, plans: str = ONE_GOAL, sales: str = "[]", rows: str = "") -> Book:
    return FAMILY.book(folder, {"season/2026.yaml": plans, "sales/2026.yaml": sales, **log(rows)})


def shown(book: Book, clutch: str = "C26-01", day: date = DAY) -> SideBySide:
    return side_by_side(book.inference, book.private, book.collection.clutches[clutch], day)


def test_each_young_that_is_here_stands_beside_the_others_in_the_order_of_the_record(tmp_path: Path) -> None:
    """C26-01, of a Piebald sire and a dam 2/3 het: three normal young are het for certain, the third shows it."""
    side = shown(room(tmp_path))
    assert [one.animal.id for one in side.young] == [f"C26-01-{n}" for n in (1, 2, 3, 4)]
    assert [one.towards[0].carries for one in side.young] == [1, 1, 1, 1]
    assert (side.gone, [goal.looks for goal in side.goals]) == (0, [("Piebald",)])


def test_a_young_that_is_paid_for_and_not_handed_over_is_still_here(tmp_path: Path) -> None:
    sale = "[{animals: [C26-01-2], buyer: Eve, agreed: 90, held: 2026-11-01, payments: [{on: 2026-11-02, amount: 90}]}]"
    side = shown(room(tmp_path, sales=sale))
    assert (len(side.young), side.gone) == (4, 0)


@pytest.mark.parametrize(
    ("plans", "goals"),
    [
        ("[]", []),
        ("[{female: F-02, males: [M-01]}]", []),
        ("[{female: F-02, males: [M-01], want: [Piebald], until: 2026-11-24}]", []),
        ("[{female: F-02, males: [M-01], want: [Piebald], result: nothing}]", []),
        ("[{female: F-01, males: [M-01], from: 2025-11-01, want: [Piebald], result: C26-01}]", [("Piebald",)]),
        (
            "[{female: F-02, males: [M-01], want: [Piebald]}, {female: F-01, males: [M-02], want: [Clown]}]",
            [("Piebald",), ("Clown",)],
        ),
    ],
)
def test_goals_are_what_open_plans_want_and_the_plan_that_it_came_of(
    tmp_path: Path, plans: str, goals: list[tuple[str, ...]]
) -> None:
    assert [goal.looks for goal in shown(room(tmp_path, plans)).goals] == goals


def test_the_same_as_data(tmp_path: Path) -> None:
    """What the text says of one young: sex, price, weight, the chance for each goal, who holds it."""
    sales = "[{animals: [C26-01-4], buyer: Ada, until: 2026-12-24}]"
    room(tmp_path, ONE_GOAL, sales, "2026-10-01,C26-01-4,weight,,80.5,")
    asked = ["keep", "C26-01", "--on", "2026-11-25", "--json", "--collection", str(tmp_path)]
    document = json.loads(CliRunner().invoke(main, asked).stdout)
    Draft202012Validator(json.loads(shipped.schema("keep"))).validate(document)
    assert document["goals"] == [{"looks": ["Piebald"], "plans": [{"female": "F-02", "males": ["M-01"]}]}]
    last = document["young"][-1]
    assert (last["animal"], last["weight"]) == ("C26-01-4", {"on": "2026-10-01", "grams": "161/2"})
    assert last["towards"] == [{"carries": "1", "sold": []}]
    assert last["held"] == {"buyer": "Ada", "until": "2026-12-24"}


def test_plans_that_want_the_same_are_one_goal(tmp_path: Path) -> None:
    plans = "[{female: F-02, males: [M-01], want: [Piebald]}, {female: F-01, males: [M-01, M-02], want: [Piebald]}]"
    (goal,) = shown(room(tmp_path, plans)).goals
    assert [plan.female for plan in goal.plans] == ["F-02", "F-01"]


def test_a_line_bred_look_stands_by_itself_and_takes_no_figure_from_what_is_wanted_with_it(tmp_path: Path) -> None:
    """Dusk has no figure; Piebald has one, whatever else the plan wants. The pair of two plans is named once."""
    own = "species: ball-python\nloci: [{locus: dusk, inheritance: line-bred, alleles: [Dusk]}]\n"
    one = "{female: F-02, males: [M-01], from: 2026-10-01, want: [Dusk, Piebald]}"
    book = FAMILY.book(tmp_path, {"season/2026.yaml": f"[{one}, {one}]", "traits/own.yaml": own})
    side = shown(book)
    assert [goal.looks for goal in side.goals] == [("Piebald",), ("Dusk",)]
    assert [each.carries for each in side.young[0].towards] == [1, None]
    text = as_text(side, book.telling, DAY)
    assert "  Piebald is wanted of F-02 with M-01.\n  Dusk is wanted of F-02 with M-01.\n" in text
    assert "  Carries Piebald: certain\n" in text


SOLD = "{animals: [%s], buyer: Ada, agreed: %d, handed_over: %s}"


def sold(folder: Path, *sales: str, day: date = DAY) -> dict[str, list[tuple[str, Fraction]]]:
    """For each young here, what its kind was sold for."""
    side = shown(room(folder, sales=f"[{', '.join(sales)}]"), day=day)
    return {one.animal.id: [(each.animal, each.agreed) for each in one.towards[0].sold] for one in side.young}


def test_its_kind_was_sold_for_what_was_agreed_the_latest_first(tmp_path: Path) -> None:
    """C26-01-1 and -2 are het for certain, as -4 is; -3 shows it, and is of another kind."""
    found = sold(tmp_path, SOLD % ("C26-01-1", 100, "2026-09-01"), SOLD % ("C26-01-2", 120, "2026-10-01"))
    assert found == {"C26-01-3": [], "C26-01-4": [("C26-01-2", F(120)), ("C26-01-1", F(100))]}


def test_one_copy_is_not_called_the_look_of_two_nor_sold_as_it(tmp_path: Path) -> None:
    """A plan wants Super Pastel: what each young must carry is Pastel, and a Super Pastel is of another kind than a Pastel."""
    looks = ("[Super Pastel]", "[Pastel]", "[Pastel]", "normal")
    young = "".join(f"  - {{id: C25-07-{at}, sex: male, shows: {look}}}\n" for at, look in enumerate(looks, 1))
    parents = "".join(
        f"- {{id: X-{at}, sex: {sex}, hatched: 2020, shows: [Pastel]}}\n" for at, sex in enumerate(("male", "female"))
    )
    book = FAMILY.book(
        tmp_path,
        {
            "animals/x.yaml": parents,
            "clutches/C25-07.md": f"---\nid: C25-07\nsire: X-0\ndam: X-1\neggs: 4\nhatched: 2025-07-01\nyoung:\n{young}---\n",
            "season/2026.yaml": "[{female: F-02, males: [M-01], from: 2026-10-01, want: [Super Pastel]}]",
            "sales/2026.yaml": f"[{SOLD % ('C25-07-1', 600, '2026-09-01')}, {SOLD % ('C25-07-2', 250, '2026-09-01')}]",
        },
    )
    said = as_text(shown(book, "C25-07"), book.telling, DAY)
    assert "Carries Super Pastel" not in said
    assert "Carries Pastel: certain\n  Others alike in Pastel were sold for: €250" in said
    assert "€600" not in said


@pytest.mark.parametrize(
    "sale",
    [
        SOLD % ("C26-01-1, C26-01-2", 220, "2026-09-01"),
        "{animals: [C26-01-1], buyer: Ada, handed_over: 2026-09-01}",
        "{animals: [C26-01-1], buyer: Ada, agreed: 0, handed_over: 2026-09-01, how: gift}",
        "{animals: [C26-01-1], buyer: Ada, agreed: 100, held: 2026-11-01}",
        "{animals: [C26-01-1], buyer: Ada, agreed: 100, handed_over: 2026-09-01, returned: 2026-09-20}",
    ],
)
def test_no_price_is_told_of_several_together_or_of_what_was_not_agreed_or_not_kept(tmp_path: Path, sale: str) -> None:
    assert sold(tmp_path, sale)["C26-01-4"] == []


def test_an_animal_counts_as_what_it_was_when_it_was_handed_over(tmp_path: Path) -> None:
    """M-02 has no claim; F-02's young of it, sold when it was nothing, says nothing of a certain het."""
    assert sold(tmp_path, SOLD % ("M-02", 90, "2026-03-01"))["C26-01-4"] == []


def test_the_command_says_weight_price_hold_and_harm(tmp_path: Path) -> None:
    sales = "[{animals: [C26-01-2], buyer: Eve, agreed: 120, held: 2026-11-20, until: 2026-12-15}]"
    book = room(tmp_path, sales=sales, rows="2026-11-01,C26-01-1,weight,,120,\n2026-11-20,C26-01-1,weight,,131.5,\n")
    text = as_text(shown(book), book.telling, DAY)
    for said in (
        "C26-01, hatched on 13 July 2026: 4 young here. Private.",
        "Piebald is wanted of F-02 with M-01.",
        "Weight: 131.5 g on 20 November 2026",
        "Carries Piebald: certain",
        "Others alike in Piebald were sold for: no such price on record",
        "Held until 15 December 2026 for Eve.",
        "Asked: €300",
    ):
        assert said in text
    assert "Weight: 120 g on 1 November 2026" in as_text(shown(book, day=date(2026, 11, 2)), book.telling, DAY)


def test_harm_is_of_what_may_be_affected_and_not_of_what_can_only_carry_it(tmp_path: Path) -> None:
    """Two hets: 1/4 of young that nobody checked have two copies; one that was checked and has it not carries it in 2/3."""
    parents = "".join(
        f"- {{id: {one}, species: corn-snake, sex: {sex}, shows: normal, claims: {{Stargazer: 100%}}}}\n"
        for one, sex in (("M-31", "male"), ("F-31", "female"))
    )
    young = "[1 m normal, {id: C26-31-2, shows: normal, without: [Stargazer]}]"
    clutch = f"{{id: C26-31, sire: M-31, dam: F-31, laid: 2026-05-01, eggs: 2, hatched: 2026-07-01, young: {young}}}\n"
    book = FAMILY.book(tmp_path, {"animals/more.yaml": parents, "clutches/more.yaml": f"- {clutch}"})
    side = shown(book, "C26-31")
    assert [[harm.chance for harm in one.harm] for one in side.young] == [[F(1, 4)], []]
    text = as_text(side, book.telling, DAY)
    assert "C26-31-1, male, normal, 25% chance that it is affected by Stargazer (50% that it carries it)\n" in text
    assert "C26-31-2, sex not known, normal, 67% chance that it carries Stargazer\n" in text
    assert "Welfare, Stargazer, up to 25 in 100: " in text


def test_the_welfare_of_a_gene_is_told_of_the_looks_that_it_speaks_of_alone(tmp_path: Path) -> None:
    """What is on record of Lesser and Butter has nothing to do with a Mojave, another allele of their gene."""
    parent = "- {id: %s, sex: %s, hatched: 2020-07-01, shows: %s}\n"
    clutch = "- {id: C26-31, sire: M-31, dam: F-31, laid: 2026-05-01, eggs: 2, hatched: 2026-07-01, young: [1 m Mojave, 2 m Lesser]}\n"
    files = {
        "animals/more.yaml": parent % ("M-31", "male", "Mojave") + parent % ("F-31", "female", "Lesser"),
        "clutches/more.yaml": clutch,
    }
    side = shown(FAMILY.book(tmp_path, files), "C26-31")
    assert [[harm.traits for harm in one.harm] for one in side.young] == [[], [("Lesser",)]]


def test_looks_that_harm_together_are_told_of_where_another_look_hides_one_or_nobody_looked(tmp_path: Path) -> None:
    """A quarter of the eggs have both; of those that show Blanket, which hides Spider, and Champagne half have Spider too."""
    own = "species: ball-python\nloci: [{locus: blanket, inheritance: recessive, alleles: [Blanket], hides: {Blanket: [spider]}}]\n"
    parent = "- {id: %s, sex: %s, hatched: 2020-07-01, shows: [%s], claims: {Blanket: 100%%}}\n"
    young = "[1 m, 2 m Champagne Blanket, 3 m Blanket, 4 m Champagne Spider, 5 m Champagne]"
    files = {
        "traits/own.yaml": own,
        "animals/more.yaml": parent % ("M-31", "male", "Champagne") + parent % ("F-31", "female", "Spider"),
        "clutches/more.yaml": "- {id: C26-31, sire: M-31, dam: F-31, laid: 2026-05-01, eggs: 5, hatched: 2026-07-01, "
        f"young: {young}}}\n",
    }
    side = shown(FAMILY.book(tmp_path, files), "C26-31")
    both = [[harm.chance for harm in one.harm if harm.traits == ("Champagne", "Spider")] for one in side.young]
    assert both == [[F(1, 4)], [F(1, 2)], [], [1], []]


def test_a_clutch_that_is_not_on_record_is_refused_with_the_nearest(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, {})
    refused = CliRunner().invoke(main, ["keep", "C26-10", "--collection", str(tmp_path)])
    assert refused.exit_code == 2
    assert "'C26-10' is no clutch on record" in refused.stderr
    assert "C26-01" in refused.stderr


def test_the_desk_lists_clutches_of_which_a_young_may_carry_what_is_wanted(tmp_path: Path) -> None:
    wants = {"Piebald": ["C26-01"], "Clown": []}
    for look, clutches in wants.items():
        book = room(tmp_path / look, f"[{{female: F-02, males: [M-01], want: [{look}]}}]")
        assert [one.clutch.id for one in worth_a_look(book.inference, book.private, DAY)] == clutches
        assert worth_a_look(book.inference, book.private, date(2026, 7, 12)) == ()


@pytest.mark.parametrize(("count", "earlier"), [(3, ""), (4, "; and 1 earlier sale"), (5, "; and 2 earlier sales")])
def test_the_three_latest_sales_are_told_and_how_many_were_earlier(tmp_path: Path, count: int, earlier: str) -> None:
    """Het for certain, as C26-01-1 is."""
    young = ", ".join(f"{number} normal" for number in range(1, count + 1))
    old = f"- {{id: C25-01, sire: M-01, dam: F-02, laid: 2025-05-01, eggs: {count}, hatched: 2025-07-01, young: [{young}]}}\n"
    sales = ", ".join(SOLD % (f"C25-01-{day}", 100 + 10 * day, f"2026-03-{day:02d}") for day in range(1, count + 1))
    files = {"season/2026.yaml": ONE_GOAL, "sales/2026.yaml": f"[{sales}]", "clutches/old.yaml": old}
    book = FAMILY.book(tmp_path, files)
    text = " ".join(as_text(shown(book), book.telling, DAY).split())
    each = (f"€1{day}0 on {day} March 2026 (C25-01-{day}, normal)" for day in (count, count - 1, count - 2))
    assert f"Others alike in Piebald were sold for: {'; '.join(each)}{earlier} " in f"{text} "
