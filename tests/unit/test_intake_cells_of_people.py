"""What stands in the columns of buyers and of sellers beside a name, or in place of one: it makes no sale, no buyer and no seller."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.rooms import BARE, SETTINGS
from tests.unit.test_intake import taken

from clutchlight.intake.cells import Buyer, buyer_in
from clutchlight.intake.run import TakenIn
from clutchlight.pipeline import Book

HEAD = "ID,Sex,Genes,Hatched,Status,Price,Sold to,From,Remarks"


def taken_in(folder: Path, rows: str, head: str = HEAD) -> tuple[TakenIn, Book]:
    BARE.write(folder, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    return taken(folder, f"{head}\n{rows}".encode(), {})


@pytest.mark.parametrize("cell", ["-", "n/a", "none", "?"])
def test_nobody_is_no_buyer(cell: str) -> None:
    assert buyer_in(cell) == Buyer()


@pytest.mark.parametrize(
    ("cell", "why"),
    [
        ("res. Tom", "hold"),
        ("reserved Tom", "hold"),
        ("hold Tom", "hold"),
        ("Tom?", "hold"),
        ("given to my sister", "gift"),
        ("euthanized", "death"),
        ("died", "death"),
    ],
)
def test_what_is_no_sale_is_left_with_its_reason(tmp_path: Path, cell: str, why: str) -> None:
    made, book = taken_in(tmp_path, f"A-1,m,Clown,2020,,,{cell},,\nA-2,m,Clown,2020,available,,{cell},,\n")
    assert [one.written for one in made.left if why in one.why] == [cell, cell]
    assert book.private.sales == ()
    assert (book.collection.animals["A-1"].sold, book.collection.animals["A-2"].status) == (False, "available")


@pytest.mark.parametrize(
    ("cell", "name", "paid"),
    [
        ("Jens 180€", "Jens", "180"),
        ("Familie Köhler, 400,-", "Familie Köhler", "400"),
        ("Sabine Ott (pd 200)", "Sabine Ott", "200"),
        ("sold to Tom", "Tom", None),
        ("Ott, Sabine", "Ott, Sabine", None),
        ("tom88@example.org", "tom88@example.org", None),
        ("Respa Holder", "Respa Holder", None),
    ],
)
def test_an_amount_beside_the_name_is_what_was_paid(cell: str, name: str, paid: str | None) -> None:
    found = buyer_in(cell)
    assert (found.name, found.sold, found.paid and found.paid.amount, found.why) == (name, True, paid, "")


@pytest.mark.parametrize(("cell", "name"), [("Nadja, trade", "Nadja"), ("Jens 180", "Jens"), ("sold 250", "")])
def test_what_is_not_plain_beside_the_name_is_left(cell: str, name: str) -> None:
    found = buyer_in(cell)
    assert (found.name, found.sold, found.paid) == (name, True, None)
    assert found.why


def test_an_amount_that_the_column_of_prices_contradicts_is_left(tmp_path: Path) -> None:
    made, book = taken_in(tmp_path, "A-1,m,Clown,2020,,,Jens 180€,,\nA-2,m,Clown,2020,,250,Jens 180€,,\n")
    assert [(sale.buyer, sale.agreed) for sale in book.private.sales] == [("Jens", 180), ("Jens", 250)]
    assert [one.why for one in made.left] == [
        "A-2: the amount beside the name is not the one in the column of prices, so it is not taken"
    ]


@pytest.mark.parametrize("word", ["own", "own bred", "home bred", "self", "bred here", "homebred"])
def test_bred_here_is_no_seller(tmp_path: Path, word: str) -> None:
    _, book = taken_in(tmp_path, f"A-1,m,het Clown,2020,,,,{word},\n")
    written = (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")
    assert book.collection.animals["A-1"].origin == "bred here"
    assert not any(word in written for word in ("bought", "seller"))
    assert len(book.collection.animals["A-1"].claims) == 1
