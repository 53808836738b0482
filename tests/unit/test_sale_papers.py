"""The paper of a sale tells the buyer what the records say of the animal and the money, and nothing that is not theirs to know."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from tests.rooms import FAMILY, FAMILY_ANIMALS, FAMILY_SETTINGS, log
from tests.said.reading_aloud import lines_of_page

from clutchlight import shipped
from clutchlight.desk import desk_files
from clutchlight.site.theme import Theme, load_theme

DAY = date(2026, 11, 28)
FED = log(
    "2026-08-10,C26-01-1,first meal,,rat pup,SECRET\n2026-09-01,C26-01-1,refused,,,SECRET\n2026-09-20,C26-01-1,meal,,mouse,\n"
    "2026-10-01,C26-01-1,weight,,88.5,\n2026-10-02,C26-01-2,weight,,99,\n"
)


@pytest.fixture(scope="module")
def theme() -> Theme:
    return load_theme("paper", [shipped.themes()])


def papers(
    folder: Path, theme: Theme, sales: str, settings: str = "", animals: str = FAMILY_ANIMALS
) -> dict[str, list[str]]:
    """The lines of each paper by its address."""
    theirs = (
        "{id: J25-1, sire: M-01, dam: F-01, eggs: 1, hatched: 2025-07-01, reported_by: Joss, young: [1 m normal]}\n"
    )
    files = {
        "clutches/theirs.yaml": theirs,
        "collection.yaml": f"{FAMILY_SETTINGS}{settings}",
        "sales/2026.yaml": sales,
        "animals/all.yaml": animals,
        **FED,
    }
    made = desk_files(FAMILY.book(folder, files), theme, DAY)
    return {
        address: list(lines_of_page(content.decode("utf-8")))
        for address, content in made.items()
        if address.startswith("sale-")
    }


def test_what_stands_on_it(tmp_path: Path, theme: Theme) -> None:
    """The animal, its feeding and weight, each payment with the deposit told apart, dates and terms, and two lines to sign."""
    sale = (
        "- {animals: [C26-01-1], buyer: Ada Quill, agreed: 150, held: 2026-11-01, until: 2026-12-15, deposit: 30,\n"
        "   note: SECRET, terms: no return, payments: [{on: 2026-11-20, amount: 60}, {on: 2026-11-01, amount: 30}]}\n"
        "- {animals: [C26-01-3], buyer: SECRET, held: 2026-11-02}\n"
    )
    found = papers(tmp_path, theme, sale, "terms: [Collected in person]\ncontact: {mail: room@example.org}\n")
    assert sorted(found) == ["sale-C26-01-1.html", "sale-C26-01-3.html"]
    text = "\n".join(found["sale-C26-01-1.html"])
    for line in (
        "Ada Quill",
        "room@example.org",
        "0.1 normal, het Piebald, hatched 2026-07",
        "On record: 2 meals and 1 refusal.",
        "20 Sep 2026: meal, mouse",
        "1 Oct 2026: 88.5 g",
        "Deposit, 1 November 2026",
        "Payment, 20 November 2026",
        "Received €90; €60 still to be paid.",
        "15 December 2026",
        "No return.",
        "Collected in person.",
        "Place and day, handed over by",
        "Place and day, received by",
    ):
        assert line in text, line
    assert "SECRET" not in text
    assert "99 g" not in text


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ("held: 2026-11-01", "No payment is on record."),
        ("agreed: 100, held: 2026-11-01", "€100 still to be paid."),
        (
            "agreed: 100, handed_over: 2026-11-01, payments: [{on: 2026-11-01, amount: 100}]",
            "Received €100, the whole price.",
        ),
        (
            "agreed: 100, handed_over: 2026-11-01, returned: 2026-11-10, payments: [{on: 2026-11-01, amount: 100}]",
            "Received €100; what goes back is still to be agreed.",
        ),
        (
            "agreed: 100, handed_over: 2026-11-01, refund: 20, payments: [{on: 2026-11-01, amount: 120}]",
            "Received €120, paid back €20, the whole price.",
        ),
        (
            "agreed: 100, handed_over: 2026-11-01, returned: 2026-11-10, refund: 70, payments: [{on: 2026-11-01, amount: 100}]",
            "Received €100, paid back €70.",
        ),
        (
            "agreed: 100, handed_over: 2026-11-01, returned: 2026-11-10, refund: 0, payments: [{on: 2026-11-01, amount: 100}]",
            "Received €100, nothing paid back.",
        ),
    ],
)
def test_the_receipt_says_what_is_owed(tmp_path: Path, theme: Theme, keys: str, said: str) -> None:
    assert said in papers(tmp_path, theme, f"- {{animals: [C26-01-1], buyer: Ada, {keys}}}\n")["sale-C26-01-1.html"]


@pytest.mark.parametrize(
    ("name", "origin"), [("J25-1-1", "bred elsewhere"), ("C26-01-1", "bred here"), ("M-02", "not on record")]
)
def test_young_of_another_keeper_were_bred_elsewhere(tmp_path: Path, theme: Theme, name: str, origin: str) -> None:
    """What hatched in a clutch on record is of no unknown origin."""
    lines = papers(tmp_path, theme, f"- {{animals: [{name}], buyer: Ada, held: 2026-11-01}}\n")[f"sale-{name}.html"]
    assert lines[lines.index("Origin") + 1] == origin


def test_nobody_signs_where_nothing_is_paid_back(tmp_path: Path, theme: Theme) -> None:
    paid = "payments: [{on: 2026-11-01, amount: 20}]"
    sale = f"- {{animals: [C26-01-1], buyer: Ada, held: 2026-11-01, given_up: 2026-11-10, refund: 0, {paid}}}\n"
    lines = papers(tmp_path, theme, sale)["sale-C26-01-1.html"]
    assert "Print it for the buyer. None of your notes is on it." in lines
    assert not any("received by" in line for line in lines)


def test_a_receipt_promises_no_deposit_back_that_nobody_wrote_down(tmp_path: Path, theme: Theme) -> None:
    """The animal died before its hand-over, and no payment is on record."""
    dead = f"{FAMILY_ANIMALS}- {{id: Q-1, sex: male, hatched: 2024-07-01, shows: normal, left: {{how: died, on: 2026-11-10}}}}\n"
    sale = "- {animals: [Q-1], buyer: Ada, agreed: 100, deposit: 30, held: 2026-11-01}\n"
    lines = papers(tmp_path, theme, sale, animals=dead)["sale-Q-1.html"]
    assert "A deposit of €30 to be paid back, if it was paid." in lines
    assert "# Receipt: Q-1" in lines
    undated = papers(tmp_path / "b", theme, "- {animals: [C26-01-1], buyer: Ada}\n")["sale-C26-01-1.html"]
    assert ("## Dates" in lines, "## Dates" in undated) == (True, False)
    assert "Print it for the buyer; both of you sign it if money is paid back. None of your notes is on it." in lines
    assert lines[lines.index("Died") + 1] == "10 November 2026"
    assert "Place and day, paid back by" in lines
    assert not any("hand-over" in line or "handed over" in line for line in lines)


@pytest.mark.parametrize(
    ("keys", "when"), [("refund: 0", "the day is not on record"), ("given_up: 2026-11-20", "20 November 2026")]
)
def test_the_paper_of_a_hold_that_was_given_up_is_a_receipt(tmp_path: Path, theme: Theme, keys: str, when: str) -> None:
    """Nothing will be handed over."""
    sale = (
        f"- {{animals: [C26-01-1], buyer: Ada, held: 2026-11-10, payments: [{{on: 2026-11-10, amount: 30}}], {keys}}}\n"
    )
    lines = papers(tmp_path, theme, sale)["sale-C26-01-1.html"]
    assert "# Receipt: C26-01-1" in lines
    assert lines[lines.index("Hold given up") + 1] == when
    assert not any("hand-over" in line or "handed over" in line for line in lines)


def test_the_paper_of_what_came_back_is_a_receipt(tmp_path: Path, theme: Theme) -> None:
    """No hand-over is to come; somebody signs if money is paid back."""
    sale = "- {animals: [C26-01-1], buyer: Ada, agreed: 100, handed_over: 2026-11-01, returned: 2026-11-10}\n"
    lines = papers(tmp_path, theme, sale)["sale-C26-01-1.html"]
    assert "# Receipt: C26-01-1" in lines
    assert "Print it for the buyer; both of you sign it if money is paid back. None of your notes is on it." in lines
    assert "Place and day, paid back by" in lines


def test_each_sale_of_an_animal_has_its_own_and_old_ones_have_none(tmp_path: Path, theme: Theme) -> None:
    """A year after a sale was over; but one of which money is open, which the balances list. A hold without money has none."""
    sales = (
        "- {animals: [C26-01-1], handed_over: 2026-10-01, returned: 2026-10-09}\n- {animals: [C26-01-1], handed_over: 2026-11-01}\n"
        "- {animals: [F-03], handed_over: 2025-11-27}\n- {animals: [F-02], handed_over: 2025-11-28}\n"
        "- {animals: [F-01], agreed: 90, handed_over: 2024-11-27}\n- {animals: [C26-01-3], held: 2026-11-29}\n"
        "- {animals: [M-01], held: 2026-11-01, given_up: 2026-11-09}\n"
        "- {animals: [M-02], held: 2025-11-01, given_up: 2025-11-09, deposit: 9, refund: 0}\n"
    )
    found = ("C26-01-1.2", "C26-01-1", "F-01", "F-02")
    assert sorted(papers(tmp_path, theme, sales)) == [f"sale-{name}.html" for name in found]


def test_a_parent_that_is_not_listed_is_not_named(tmp_path: Path, theme: Theme) -> None:
    animals = FAMILY_ANIMALS.replace("status: breeder, claims", "publish: no, status: breeder, claims")
    found = papers(tmp_path, theme, "- {animals: [C26-01-1], held: 2026-11-01}\n", animals=animals)
    text = "\n".join(found["sale-C26-01-1.html"])
    assert "M-01 with an unlisted female" in text
    assert "F-01" not in text


def test_a_paper_of_a_past_sale_says_what_was_said_then_where_it_reads_otherwise_now(
    tmp_path: Path, theme: Theme
) -> None:
    """Not today's figure alone beside the price of that day; of a sale since which nothing changed there is nothing more to say."""
    sale = "- {animals: [F-01], buyer: Ada Quill, agreed: 150, handed_over: %s, payments: [{on: %s, amount: 150}]}\n"
    before, after = (
        papers(tmp_path / day, theme, sale % (day, day))["sale-F-01.html"] for day in ("2026-06-01", "2026-08-01")
    )
    said = "That is what we say of it today. When it was handed over it read: 50% possible het Piebald (1 in 2)."
    assert before[before.index(said) - 1] == "0.1 normal, het Piebald, hatched 2019-07"
    assert "0.1 normal, het Piebald, hatched 2019-07" in after
    assert "what we say of it today" not in " ".join(after)
