"""`hold`, `sold`, `paid`, `returned`, `died`, `moved` write the record of it in the author's layout; what cannot be is refused."""

from __future__ import annotations

import shlex
from datetime import date
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.rooms import BARE, FAMILY, FAMILY_ANIMALS, book_of, log, md, page_of

from clutchlight.cli import happenings, main, options
from clutchlight.desk.notices import what_does_not_fit
from clutchlight.desk.sentences import agreed_otherwise, shared
from clutchlight.editing.log import logged_after
from clutchlight.ledger.chain import read_ledger
from clutchlight.pipeline import open_book
from clutchlight.planning.sales import balances, holdings

SALES = "sales/2026.yaml"


def run(folder: Path, *words: str, typed: str = "") -> tuple[int, str]:
    done = CliRunner(env={"SOURCE_DATE_EPOCH": "1795608000"}).invoke(
        main, [*words, "--collection", str(folder)], input=typed
    )
    return done.exit_code, done.output.replace("`clutchlight ", "`").replace(f" --collection {folder}`", "`")


def text_of(folder: Path, file: str) -> str:
    return (folder / file).read_bytes().decode("utf-8")


def standing(folder: Path, name: str) -> tuple[str, str | None, bool]:
    """Its status, the last day of its hold, and whether it is here."""
    animal = book_of(folder).collection.animals[name]
    until = next(
        (str(sale.until) for sale in book_of(folder).private.sales if name in sale.animals and sale.until), None
    )
    return animal.status, until, animal.here


def test_a_sale_from_its_hold_to_its_refund(tmp_path: Path) -> None:
    """Each command adds to the one record; what was paid and what is open is told."""
    FAMILY.write(tmp_path, {SALES: "# ours\n"})
    words = ("--to", "Ada  Quill", "--until", "2026-12-15", "--for", "150", "--deposit", "30", "--on", "2026-11-01")
    assert run(tmp_path, "hold", "C26-01-1", *words)[0] == 0
    assert text_of(tmp_path, SALES) == (
        "# ours\n- animals: [C26-01-1]\n  buyer: Ada Quill\n  agreed: 150\n  held: 2026-11-01\n  until: 2026-12-15\n"
        "  deposit: 30\n  payments: [{on: 2026-11-01, amount: 30}]\n"
    )
    assert standing(tmp_path, "C26-01-1") == ("on hold", "2026-12-15", True)
    assert run(tmp_path, "paid", "c26-01-1", "20.5", "--on", "2026-11-20") == (
        0,
        "added to sales/2026.yaml:\n{on: 2026-11-20, amount: 20.50}\n€99.50 of €150 open\n",
    )
    assert run(tmp_path, "sold", "C26-01-1", "--yes")[0] == 0
    assert standing(tmp_path, "C26-01-1") == ("sold", "2026-12-15", False)
    code, said = run(tmp_path, "returned", "C26-01-1")
    assert (code, "returned on 25 November 2026; €50.50 had been paid: agree what goes back" in said) == (0, True)
    assert standing(tmp_path, "C26-01-1") == ("not for sale", "2026-12-15", True)
    assert run(tmp_path, "paid", "C26-01-1", "40", "--back") == (0, "added to sales/2026.yaml:\nrefund: 40\n")
    assert text_of(tmp_path, SALES) == (
        "# ours\n- refund: 40\n  returned: 2026-11-25\n  handed_over: 2026-11-25\n  animals: [C26-01-1]\n  buyer: Ada Quill\n"
        "  agreed: 150\n  held: 2026-11-01\n  until: 2026-12-15\n  deposit: 30\n"
        "  payments: [{on: 2026-11-20, amount: 20.50}, {on: 2026-11-01, amount: 30}]\n"
    )
    assert run(tmp_path, "hold", "C26-01-1", "--to", "Bo")[0] == 0


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (
            "- {animals: [C26-01-1]}  # by word\r\n",
            "- {payments: [{on: 2026-11-25, amount: 9}], animals: [C26-01-1]}  # by word\r\n",
        ),
        (
            "-   animals: [C26-01-1]\n    payments:\n      - on: 2026-10-02\n        amount: 6\n",
            "-   animals: [C26-01-1]\n    payments:\n      - {on: 2026-11-25, amount: 9}\n      - on: 2026-10-02\n        amount: 6\n",
        ),
        (
            "\ufeffanimals: [C26-01-1, C26-01-3]\npayments: [ {on: 2026-10-01, amount: 5} ]\n",
            "\ufeffanimals: [C26-01-1, C26-01-3]\npayments: [{on: 2026-11-25, amount: 9},  {on: 2026-10-01, amount: 5} ]\n",
        ),
    ],
    ids=["in braces", "a line each", "alone in its file"],
)
def test_a_payment_is_written_in_the_layout_that_stands(tmp_path: Path, before: str, after: str) -> None:
    FAMILY.write(tmp_path, {SALES: before.encode()})
    assert run(tmp_path, "paid", "C26-01-1", "9")[0] == 0
    assert text_of(tmp_path, SALES) == after
    assert run(tmp_path, "undo")[0] == 0
    assert text_of(tmp_path, SALES) == before


HELD = "- {animals: [C26-01-1], buyer: Ada, agreed: 100, held: 2026-10-01, payments: [{on: 2026-10-01, amount: 60}]}\n"
GONE = "- {animals: [C26-01-1, C26-01-3], buyer: Ada, handed_over: 2026-10-01}\n"
TWICE = "- {animals: [C26-01-1], handed_over: 2026-09-01, returned: 2026-09-09}\n- {animals: [C26-01-1], handed_over: 2026-10-01}\n"


@pytest.mark.parametrize(
    ("sales", "words", "said"),
    [
        (HELD, "hold C26-01-1 --to Bo", "'C26-01-1' is held for Ada here; if it came to nothing"),
        (HELD, "hold C26-01-1 --to Bo --deposit 30", "'C26-01-1' is held for Ada here; if it came to nothing"),
        (
            HELD,
            "hold C26-01-1 --deposit 30",
            "'C26-01-1' is held for Ada here; `paid C26-01-1 30 --on 2026-11-25` writes a deposit into it; if it came",
        ),
        (GONE, "hold C26-01-1 --to Bo", "'C26-01-1' left already: sold (2026-10-01)"),
        (
            GONE,
            "sold C26-01-3 --to Bo",
            "'C26-01-3' left already: sold (2026-10-01); if it is here again, write `returned C26-01-3` first [",
        ),
        (HELD, "hold C26-01-3 --to ''", "the name is empty"),
        (HELD, "sold C26-01-1..9", "C26-01 has 4 young, C26-01-1 to C26-01-4; C26-01-5, "),
        (HELD, "sold C26-01-9", "animal 'C26-01-9' has no record; the nearest is "),
        (HELD, "hold C26-01-3 --until 2026-11-01", "2026-11-01 is before 2026-11-25"),
        (HELD, "hold C26-01-3 --on 2026-11-26", "2026-11-26 has not come yet"),
        (HELD, "hold C26-01-3 --on 2026-07-01", "2026-07-01 is before 'C26-01-3' hatched"),
        (
            HELD,
            "paid C26-01-1 41",
            "the payments would add up to 101, more than the 100 agreed; look at both, or add --yes",
        ),
        (HELD, "sold C26-01-1 --yes --on 2026-09-30", "2026-09-30 is before it was held (2026-10-01); say another day"),
        (HELD, "paid C26-01-1 0", "nothing was paid"),
        (HELD, "paid C26-01-1 much", "'much' is no amount"),
        (HELD, "paid C26-01-1 '$10'", "'$10' is no amount; write the number alone, such as 350 or 350.50"),
        (
            HELD.replace(", payments", ", until: 2026-11-30, payments"),
            "paid C26-01-1 5 --back",
            "the hold lasts until 2026-11-30; if it came to nothing, write `hold C26-01-1 --over --refund 5`; where too much",
        ),
        (HELD, "paid C26-01-3 10", "sales/ has no sale of C26-01-3 that this fits; `hold` or `sold` begins one"),
        (HELD, "paid C26-01-1 61 --back", "60 was paid by this sale, less than 61"),
        (HELD, "returned C26-01-1", "only what was handed over comes back"),
        (
            GONE,
            "returned C26-01-1",
            "as another sale `- {animals: [C26-01-1], buyer: Ada, handed_over: 2026-10-01, returned: 2026-11-25}`",
        ),
        (GONE, "returned C26-01-1,C26-01-3 --on 2026-09-30", "2026-09-30 is before it was handed over (2026-10-01)"),
        (TWICE, "returned C26-01-1 --refund 5", "0 was paid by this sale, less than 5"),
        (GONE, "moved C26-01-1", "'C26-01-1' left already: sold (2026-10-01)"),
        (HELD, "moved F-02 --back", "'F-02' is not out on loan by its record in animals/"),
        (HELD, "moved F-02 --back --to Bo", "leave --to and --until out"),
        (HELD, "died Z-9", "unknown-animal"),
    ],
)
def test_what_cannot_be_is_refused(tmp_path: Path, sales: str, words: str, said: str) -> None:
    FAMILY.write(tmp_path, {SALES: sales})
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    code, told = run(tmp_path, *shlex.split(words))
    assert code in (1, 2)
    assert told.count("nothing was written") <= 1
    assert said in told
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("sold C26-01-1 --yes --on 2026-09-20", "line 1, and was not back by then; correct the id or the day"),
        (
            "died X-1 --on 2026-04-30",
            "with this it left 2026-04-30, before it came (2026-05-01); correct one of the dates (animals/x.yaml, line 1)",
        ),
        ("moved X-1 --to Bo --on 2026-04-30", "with this it left 2026-04-30, before it came (2026-05-01)"),
    ],
)
def test_what_would_not_hold_together_with_the_rest_is_taken_back(tmp_path: Path, words: str, said: str) -> None:
    """What only the whole reading sees is told as it would be, and nothing of it stays."""
    files = {
        SALES: "- {animals: [C26-01-1], handed_over: 2026-09-01, returned: 2026-10-01}\n",
        "animals/x.yaml": "- {id: X-1, sex: male, came: {how: bought, on: 2026-05-01}}\n",
    }
    FAMILY.write(tmp_path, files)
    code, told = run(tmp_path, *words.split())
    assert (code, said in told, told.splitlines()[-1]) == (2, True, "nothing was written")
    assert {file: text_of(tmp_path, file) for file in files} == files
    assert "added to" not in told


@pytest.mark.parametrize("offer", [[], ["--offer"]])
def test_a_dead_one_does_not_come_back_with_its_money(tmp_path: Path, offer: list[str]) -> None:
    """Its sale is settled; it is neither here nor on offer, whatever day stands beside."""
    FAMILY.write(tmp_path, {SALES: "- {animals: [C26-01-1], handed_over: 2026-10-01}\n"})
    assert run(tmp_path, "died", "C26-01-1", "--on", "2026-10-05")[0] == 0
    code, said = run(tmp_path, "returned", "C26-01-1", "--refund", "0", *offer)
    no_offer = "C26-01-1 died, by animals/C26-01-1.yaml, so it is not offered\n" if offer else ""
    assert (code, said) == (0, f"added to sales/2026.yaml:\nreturned: 2026-11-25, refund: 0\n{no_offer}")
    came = "left: {how: died, on: 2026-10-05}\n  came: {how: returned, on: 2026-10-05}"
    FAMILY.write(tmp_path, {"animals/C26-01-1.yaml": f"- id: C26-01-1\n  {came}\n"})
    animal = book_of(tmp_path).collection.animals["C26-01-1"]
    assert (animal.away and animal.away.how, animal.here) == ("died", False)


def test_what_is_open_is_told_of_today_whatever_day_is_written(tmp_path: Path) -> None:
    """It was told that the hold, given up since, has a sum open."""
    paid = "payments: [{on: 2026-09-01, amount: 20}], refund: 20"
    FAMILY.write(tmp_path, {SALES: f"- {{animals: [C26-01-1], agreed: 100, {paid}, given_up: 2026-11-01}}\n"})
    said = run(tmp_path, "sold", "C26-01-1", "--yes", "--to", "Bo", "--for", "100", "--on", "2026-10-01")[1]
    assert [line for line in said.splitlines() if " open" in line] == [
        "€100 of €100 open; the animal has been handed over"
    ]


BORROWED = "id: X-1\nsex: male\nstatus: breeder\ncame: {how: loan, on: 2026-05-01}\nprivate: {shared: {with: Joss Reed, until: 2026-12-01}}"


def test_a_borrowed_one_goes_home_by_a_word(tmp_path: Path) -> None:
    """It is no loan to its owner; once it is home, or dead, its loan is over, and its status is that of before."""
    FAMILY.write(tmp_path, {"animals/X-1.md": md(BORROWED)})
    assert (
        "'X-1' is on loan from joss reed; `moved X-1 --back` writes that it went home"
        in (run(tmp_path, "moved", "X-1", "--to", "joss reed")[1])
    )
    for command in (("moved", "X-1", "--back"), ("died", "X-1")):
        assert [one.animal for one in holdings(book_of(tmp_path).collection, book_of(tmp_path).private)] == ["X-1"]
        assert run(tmp_path, *command)[0] == 0
        assert list(holdings(book_of(tmp_path).collection, book_of(tmp_path).private)) == []
        assert [str(problem) for problem in open_book(tmp_path).problems] == []
        how = "returned" if "moved" in command else "died"
        assert f"left: {{how: {how}, on: 2026-11-25}}" in text_of(tmp_path, "animals/X-1.md")
        assert run(tmp_path, "undo")[0] == 0


def test_what_is_back_already_is_told_so(tmp_path: Path) -> None:
    """Of neither was it said before; `returned`, which was named, is for what was sold."""
    lent = "id: X-2\nsex: male\nleft: {how: loan, on: 2026-05-01}"
    FAMILY.write(tmp_path, {"animals/X-1.md": md(BORROWED), "animals/X-2.md": md(lent)})
    assert run(tmp_path, "moved", "X-1,X-2", "--back")[0] == 0
    assert "'X-1' went home already (2026-11-25) [" in run(tmp_path, "moved", "X-1", "--back")[1]
    assert "'X-2' is back from its loan already (2026-11-25) [" in run(tmp_path, "moved", "X-2", "--back")[1]


@pytest.mark.parametrize("status", ["breeder", "holdback", "growing on", "not for sale"])
def test_the_status_of_what_was_kept_is_that_of_before_its_sale(tmp_path: Path, status: str) -> None:
    """Nothing is to be changed by hand once `sold` wrote the sale; it holds again once it came back."""
    FAMILY.write(tmp_path, {"animals/X-1.md": md(f"id: X-1\nsex: male\nhatched: 2022-07-01\nstatus: {status}")})
    assert run(tmp_path, "sold", "X-1", "--to", "Bo", "--on", "2026-11-20")[0] == 0
    assert [str(problem) for problem in open_book(tmp_path).problems] == []
    assert book_of(tmp_path).collection.animals["X-1"].status == "sold"
    assert book_of(tmp_path, until=date(2026, 11, 19)).collection.animals["X-1"].status == status
    assert run(tmp_path, "returned", "X-1", "--refund", "0")[0] == 0
    assert book_of(tmp_path).collection.animals["X-1"].status == status


@pytest.mark.parametrize(
    ("hold", "said"),
    [
        ("animals: [C26-01-1], agreed: 80", "; €80 agreed, listed at €100"),
        ("animals: [C26-01-1, C26-01-3], agreed: 350", "; €350 agreed for both, listed at €400 together"),
        (
            "animals: [C26-01-1, C26-01-2, C26-01-3], agreed: 420",
            "; €420 agreed for all of them, listed at €520 together",
        ),
        ("animals: [C26-01-1, C26-01-3], agreed: 400", ""),
        ("animals: [C26-01-1, X-9], agreed: 80", ""),
    ],
)
def test_a_price_for_several_is_set_beside_what_they_are_listed_at_together(
    tmp_path: Path, hold: str, said: str
) -> None:
    """One that died is not listed any more: what the others cost is agreed anew."""
    dead = "id: X-9\nsex: male\nprice: 100\nleft: {how: died, on: 2026-11-01}"
    book = FAMILY.book(tmp_path, {"animals/X-9.md": md(dead), SALES: f"- {{{hold}, held: 2026-10-01}}\n"})
    assert agreed_otherwise(book.collection, book.private.sales[0]) == said


def test_a_share_stays_a_share_while_another_keeps_the_animal(tmp_path: Path) -> None:
    """The loan is to its keeper; one lent for a share of its young is lent to whom it is shared with."""
    own = "id: X-1\nsex: female\nprivate: {shared: {with: Joss Reed, split: 50/50, since: 2023-01-05}}"
    for_young = "id: X-2\nsex: male\nleft: {how: loan, on: 2026-11-01}\nprivate: {shared: {with: Lou, split: 50/50, since: 2026-11-01}}"
    FAMILY.write(tmp_path, {"animals/X-1.md": md(own), "animals/X-2.md": md(for_young)})
    assert run(tmp_path, "moved", "X-1", "--to", "Kim Lee", "--until", "2027-02-01")[0] == 0
    now = book_of(tmp_path)
    assert [shared(now.collection, one) for one in holdings(now.collection, now.private)] == [
        "X-1: shared with Joss Reed, 50/50",
        "X-1: lent to Kim Lee, until 1 February 2027",
        "X-2: lent to Lou, 50/50",
    ]
    since = own.replace(", since: 2023-01-05", "")
    FAMILY.write(tmp_path, {"animals/X-1.md": md(f"{since}\nleft: {{how: loan, on: 2026-11-25}}")})
    now = book_of(tmp_path)
    (one, _) = holdings(now.collection, now.private)
    assert shared(now.collection, one) == "X-1: shared with Joss Reed, 50/50"


@pytest.mark.parametrize("left", ["", "left: {how: sold, on: 2026-02-01}, "])
def test_what_was_sold_and_is_borrowed_from_its_buyer_is_here_until_it_goes_back(tmp_path: Path, left: str) -> None:
    """Its sale stays a sale: nothing is wrong with either record, and it was gone in between."""
    own = f"- {{id: C26-01-1, status: breeder, {left}came: {{how: loan, on: 2026-09-01}}, private: {{shared: {{with: Ada}}}}}}\n"
    sale = "- {animals: [C26-01-1], buyer: Ada, handed_over: 2026-02-01}\n"
    young = md("id: C26-01\nsire: M-01\ndam: F-01\neggs: 1\nhatched: 2026-01-01\nyoung: [1 m normal]")
    FAMILY.write(tmp_path, {"clutches/C26-01.md": young, "animals/y.yaml": own, SALES: sale})
    assert [str(problem) for problem in open_book(tmp_path).problems] == []
    assert (standing(tmp_path, "C26-01-1")[0], standing(tmp_path, "C26-01-1")[2]) == ("breeder", True)
    before = book_of(tmp_path, until=date(2026, 8, 31)).collection.animals["C26-01-1"]
    assert (before.away and str(before.away.on), before.here) == ("2026-02-01", False)
    assert run(tmp_path, "moved", "C26-01-1", "--back")[0] == 0
    assert [str(problem) for problem in open_book(tmp_path).problems] == []
    gone = book_of(tmp_path).collection.animals["C26-01-1"].left
    assert gone is not None
    assert (gone.how, gone.before and gone.before.how, gone.before and gone.before.before) == ("returned", "sold", None)


def test_what_was_lent_and_is_back_is_sold_without_a_doubt(tmp_path: Path) -> None:
    own = "- {id: X-1, sex: male, left: {how: loan, on: 2026-06-01, back: 2026-07-01}}\n"
    FAMILY.write(tmp_path, {"animals/x.yaml": own, SALES: "- {animals: [X-1], handed_over: 2026-08-01}\n"})
    assert [str(problem) for problem in open_book(tmp_path).problems] == []


def test_what_is_paid_for_and_still_here_is_fed_and_its_buyer_is_told(tmp_path: Path) -> None:
    """Until it is handed over it has its place in the log; what was said is what its buyer heard on the day of the payment."""
    FAMILY.write(tmp_path, {SALES: HELD})
    assert run(tmp_path, "paid", "C26-01-1", "40")[0] == 0
    assert standing(tmp_path, "C26-01-1")[0] == "sold"
    assert run(tmp_path, "log", "C26-01-1", "meal")[0] == 0
    (sale,) = book_of(tmp_path).private.sales
    assert [sale.knows_since(date(2026, 11, day)) for day in (24, 25)] == [None, date(2026, 11, 25)]


def test_more_than_its_record_asks_is_asked_about_where_no_price_was_agreed(tmp_path: Path) -> None:
    held = "- {animals: [X-1], buyer: Ada, held: 2026-10-01}\n"
    FAMILY.write(tmp_path, {SALES: held, "animals/X-1.md": md("id: X-1\nsex: male\nstatus: on hold\nprice: 290")})
    code, said = run(tmp_path, "paid", "X-1", "9999")
    assert code == 2
    assert "the payments would add up to 9999, more than the 290 asked in the records; look at both" in said
    assert run(tmp_path, "paid", "X-1", "290")[0] == 0


def test_a_deposit_over_the_price_in_the_records_of_all_held_is_asked_about(tmp_path: Path) -> None:
    """A price with decimals counts; where one of them has none, nothing is known to be too much."""
    young = "- {id: X-1, sex: male, status: available, price: 90.50}\n- {id: X-2, sex: male, status: available, price: ask}\n"
    FAMILY.write(tmp_path, {"animals/x.yaml": young})
    code, said = run(tmp_path, "hold", "X-1", "--to", "Ada", "--deposit", "91")
    assert code == 2
    assert "the payments would add up to 91, more than the 90.50 asked in the records; look at both" in said
    assert run(tmp_path, "hold", "X-1,X-2", "--to", "Ada", "--deposit", "91")[0] == 0


def test_more_than_the_price_is_written_where_it_is_right(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, {SALES: HELD})
    assert run(tmp_path, "paid", "C26-01-1", "41", "--yes")[0] == 0
    assert book_of(tmp_path).private.sales[0].paid() == 101


def test_the_last_payment_says_that_all_is_paid(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, {SALES: HELD})
    assert run(tmp_path, "paid", "C26-01-1", "40")[1].endswith("amount: 40}\nall of €100 is paid\n")


def test_a_payment_says_nothing_of_a_hold_that_came_to_nothing(tmp_path: Path) -> None:
    """Another had paid all of his price before he gave the hold up."""
    paid = "held: 2026-09-01, payments: [{on: 2026-09-01, amount: 90}], given_up: 2026-09-20"
    FAMILY.write(tmp_path, {SALES: f"- {{animals: [C26-01-1], buyer: Al, agreed: 90, {paid}}}\n{HELD}"})
    said = run(tmp_path, "paid", "C26-01-1", "40")[1]
    assert ("all of €100 is paid" in said, "all of €90 is paid" in said) == (True, False)


def test_a_row_from_before_an_animal_came_does_not_hold_up_its_leaving(tmp_path: Path) -> None:
    """It is odd by itself, which `check` tells; the day of leaving has no part in it."""
    animal = "- {id: M-09, sex: male, hatched: 2020-07-01, came: {how: bought, on: 2026-05-01}}\n"
    FAMILY.write(tmp_path, {"animals/all.yaml": FAMILY_ANIMALS + animal, **log("2026-04-01,M-09,meal,,,\n")})
    assert run(tmp_path, "died", "M-09")[0] == 0


@pytest.mark.parametrize("command", ["sold", "died", "moved"])
def test_a_day_before_what_the_log_has_later_is_asked_about(tmp_path: Path, command: str) -> None:
    """As the log asks about a row after it; a row of that very day, or before, is in no way."""
    rows = "date,animal,event,with,value,note\n2026-11-10,F-03,meal,,,\n2026-11-12,F-03,meal,,,\n"
    FAMILY.write(tmp_path, {"log/2026.csv": rows})
    code, said = run(tmp_path, command, "F-03", "--on", "2026-11-09")
    assert (code, "log/2026.csv, line 2, 2026-11-10; look at both days, or add --yes if it is right" in said) == (
        2,
        True,
    )
    assert run(tmp_path, command, "F-03", "--on", "2026-11-12")[0] == 0
    assert run(tmp_path, "undo")[0] == 0
    assert run(tmp_path, command, "F-03", "--on", "2026-11-09", "--yes")[0] == 0


@pytest.mark.parametrize(("command", "left"), [("sold", "was sold"), ("died", "died"), ("moved", "went on loan")])
def test_a_day_before_a_clutch_that_she_laid_here_is_asked_about(tmp_path: Path, command: str, left: str) -> None:
    """C26-01 was laid here on 16 May 2026; on that day she may have left."""
    FAMILY.write(tmp_path, {})
    code, said = run(tmp_path, command, "F-01", "--on", "2026-05-15")
    asked = f"'C26-01' of F-01 was laid (2026-05-16) after it {left} (2026-05-15); look at both days"
    assert (code, asked in said) == (2, True), said
    assert run(tmp_path, command, "F-01", "--on", "2026-05-16")[0] == 0


def test_of_a_day_before_she_hatched_no_clutch_of_hers_is_asked_about(tmp_path: Path) -> None:
    """That day is wrong whatever she laid, and the records say so."""
    found = FAMILY.collection(tmp_path, {})
    assert logged_after(found, (), ["F-01"], "sold", date(2019, 6, 30)) == ()
    (asked,) = logged_after(found, (), ["F-01"], "sold", date(2019, 7, 1))
    assert "'C26-01' of F-01 was laid (2026-05-16) after it was sold (2019-07-01)" in asked.message


@pytest.mark.parametrize("command", ["hold", "sold"])
def test_one_in_quarantine_is_promised_or_handed_over_only_when_that_is_meant(tmp_path: Path, command: str) -> None:
    rows = "date,animal,event,with,value,note\n2026-11-10,F-03,quarantine,,until 2026-11-20,\n"
    FAMILY.write(tmp_path, {"log/2026.csv": rows})
    code, said = run(tmp_path, command, "F-03", "--on", "2026-11-20")
    assert code == 2
    assert "F-03 has a quarantine in the log (since 2026-11-10, until 2026-11-20); wait until it is over" in said
    assert not (tmp_path / SALES).exists()
    assert run(tmp_path, command, "F-02", "--on", "2026-11-20")[0] == 0
    assert run(tmp_path, "undo")[0] == 0
    assert run(tmp_path, command, "F-03", "--on", "2026-11-21")[0] == 0
    assert run(tmp_path, "undo")[0] == 0
    assert run(tmp_path, command, "F-03", "--on", "2026-11-20", "--yes")[0] == 0


@pytest.mark.parametrize("command", ["hold", "sold", "moved"])
def test_a_female_that_is_about_to_lay_is_promised_or_leaves_only_when_that_is_meant(
    tmp_path: Path, command: str
) -> None:
    """Until she has laid, by the log."""
    FAMILY.write(
        tmp_path, log("2026-09-20,F-02,ovulation,,,\n2026-10-05,F-02,pre-lay shed,,,\n2026-11-04,F-02,laid,,5,\n")
    )
    asked = (
        "laying of F-02 is expected, 30 Oct to 9 Nov; look at the animal, or add --yes if it is right [about-to-lay]"
    )
    assert "leave --to" in run(tmp_path, "moved", "F-02", "--back", "--to", "Bo", "--on", "2026-10-25")[1]
    code, said = run(tmp_path, command, "F-02,F-01", "--on", "2026-10-25")
    assert (code, asked in said) == (2, True), said
    assert run(tmp_path, command, "F-01", "--on", "2026-10-25")[0] == 0
    assert run(tmp_path, command, "F-02", "--on", "2026-11-05")[0] == 0
    assert run(tmp_path, "undo")[0] == 0
    assert run(tmp_path, command, "F-02", "--on", "2026-10-25", "--yes")[0] == 0


def test_a_hatchling_that_is_not_ready_to_leave_is_handed_over_only_when_that_is_meant(tmp_path: Path) -> None:
    """By the log, as the desk says; it may be held before. What was never on offer is asked about as well."""
    FAMILY.write(tmp_path, {})
    assert "'C26-01-4' is not ready to leave" in run(tmp_path, "sold", "C26-01-4", "--on", "2026-07-18")[1]
    assert run(tmp_path, "hold", "C26-01-1", "--on", "2026-07-18")[0] == 0
    code, said = run(tmp_path, "sold", "C26-01-1", "--on", "2026-07-18")
    unready = "'C26-01-1' is not ready to leave: no meal or shed is logged; log what is not written yet, or wait"
    assert (code, f"{unready}, or add --yes if it is right [not-ready]" in said) == (2, True), said
    assert run(tmp_path, "sold", "C26-01-1", "--on", "2026-07-18", "--yes")[0] == 0
    assert run(tmp_path, "undo")[0] == 0
    assert run(tmp_path, "sold", "C26-01-1", "--on", "2026-08-24")[0] == 0  # six weeks old, and nobody logs meals here
    fed = "2026-07-24,C26-01-3,shed,,,\n" + "".join(f"2026-08-{day},C26-01-3,meal,,,\n" for day in (10, 17, 24))
    FAMILY.write(tmp_path, log(fed))
    assert "no meal logged" in run(tmp_path, "sold", "C26-01-3", "--on", "2026-08-09")[1]
    assert run(tmp_path, "sold", "C26-01-3", "--on", "2026-08-24")[0] == 0


def test_a_sale_is_dated_on_its_day_though_an_older_dated_record_says_the_same(tmp_path: Path) -> None:
    """A clutch that is typed later may lie between the two days, and the older record would not say what the buyer was told."""
    FAMILY.write(tmp_path, {})
    assert CliRunner().invoke(main, ["stamp", str(tmp_path), "--on", "2026-11-20"]).exit_code == 0
    said = run(tmp_path, "sold", "C26-01-1", "--yes", "--on", "2026-11-22")[1]
    assert "1 dated record added to ledger/2026.jsonl, to stay there" in said
    ledger, _ = read_ledger(tmp_path)
    assert ledger is not None
    first, second = ledger.of("C26-01-1")
    assert (str(first.on), str(second.on), second.digest) == ("2026-11-20", "2026-11-22", first.digest)
    assert CliRunner().invoke(main, ["stamp", str(tmp_path), "--on", "2026-11-23"]).output.startswith("nothing that")


def test_a_sale_that_was_dated_that_day_already_does_not_read_like_a_failure(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, {})
    assert CliRunner().invoke(main, ["stamp", str(tmp_path), "--on", "2026-11-20"]).exit_code == 0
    said = run(tmp_path, "sold", "C26-01-1", "--yes", "--on", "2026-11-20")[1]
    assert "what is said of C26-01-1 on 2026-11-20 was dated that day already\n" in said
    assert "nothing was written" not in said
    said = run(tmp_path, "sold", "C26-01-3", "--yes", "--on", "2026-11-01")[1]
    assert "what is lost: a dated record of what was said on the day of the sale" in said


def test_what_is_out_on_loan_is_sold_once_it_is_back(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, {"animals/X-1.md": md("id: X-1\nsex: male\nleft: {how: loan, on: 2026-11-01}")})
    assert "if it is here again, write `moved X-1 --back` first" in run(tmp_path, "sold", "X-1")[1]
    assert run(tmp_path, "undo")[1].count("only the last command can be") == 1


def test_what_is_missing_is_asked_at_a_terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A slip is asked again, and Enter leaves it open."""
    FAMILY.write(tmp_path, {})
    monkeypatch.setattr(happenings, "at_terminal", lambda: True)
    monkeypatch.setattr(options, "at_terminal", lambda: True)
    code, said = run(tmp_path, "hold", "C26-01-1", typed="Ada Quill\nsoon\n2026-12-24\n\n")
    assert code == 0
    assert text_of(tmp_path, SALES) == (
        "- animals: [C26-01-1]\n  buyer: Ada Quill\n  held: 2026-11-25\n  until: 2026-12-24\n"
    )
    assert "'soon' is not a day" in said
    assert said.endswith("left open: at which price; `hold C26-01-1 --for PRICE` writes it\n")


def test_what_is_missing_elsewhere_is_told(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, {})
    assert run(tmp_path, "sold", "C26-01-1", "--yes")[1].startswith(
        "made sales/2026.yaml:\n- animals: [C26-01-1]\n  handed_over: 2026-11-25\n"
        "left open: who has it now; `sold C26-01-1 --to NAME` writes it\n"
        "left open: at which price; `sold C26-01-1 --for PRICE` writes it\n"
    )


def test_an_ended_hold_is_in_nobodys_way(tmp_path: Path) -> None:
    """Another may hold the animal then, and it is sold to that one."""
    FAMILY.write(tmp_path, {SALES: "- {animals: [C26-01-1], buyer: Ada, held: 2026-10-01, until: 2026-10-31}\n"})
    assert run(tmp_path, "hold", "C26-01-1", "--to", "Bo", "--on", "2026-11-02")[0] == 0
    assert run(tmp_path, "sold", "C26-01-1", "--yes", "--for", "90")[0] == 0
    assert [(sale.buyer, str(sale.handed_over)) for sale in book_of(tmp_path).private.sales] == [
        ("Ada", "None"),
        ("Bo", "2026-11-25"),
    ]


def test_a_hold_that_is_given_up_is_over(tmp_path: Path) -> None:
    """Its animal is what it was before, nothing is owed, and another may hold it."""
    FAMILY.write(tmp_path, {SALES: HELD})
    assert standing(tmp_path, "C26-01-1")[0] == "on hold"
    said = "added to sales/2026.yaml:\ngiven_up: 2026-11-25, refund: 40\n"
    assert run(tmp_path, "paid", "C26-01-1", "40", "--back") == (0, said)
    assert standing(tmp_path, "C26-01-1")[0] == "available"
    assert balances(book_of(tmp_path).collection, book_of(tmp_path).private, date(2026, 11, 25)) == ()
    assert run(tmp_path, "paid", "C26-01-1", "10")[0] == 2
    assert run(tmp_path, "hold", "C26-01-1", "--to", "Bo")[0] == 0
    assert run(tmp_path, "sold", "C26-01-1", "--yes")[0] == 0
    assert [str(sale.handed_over) for sale in book_of(tmp_path).private.sales] == ["None", "2026-11-25"]


BACK = "- {animals: [C26-01-1, X-1], handed_over: 2026-09-01, returned: 2026-10-01, refund: 0}\n"
AGAIN = "came: {how: returned, on: 2026-10-01}"


@pytest.mark.parametrize("offered", ["available", "on hold"])
def test_what_came_back_is_offered_again_only_by_a_new_word(tmp_path: Path, offered: str) -> None:
    """One of the file of its clutch and one of its own: what they said before the sale is not what they say after it."""
    own = f"id: X-1\nsex: male\nstatus: {offered}\nprice: 290"
    FAMILY.write(tmp_path, {SALES: BACK, "animals/X-1.md": md(own)})
    for name in ("C26-01-1", "X-1"):
        assert standing(tmp_path, name)[0] == "not for sale"
    FAMILY.write(
        tmp_path, {"animals/X-1.md": md(f"{own}\n{AGAIN}"), "animals/y.yaml": f"- {{id: C26-01-1, {AGAIN}}}\n"}
    )
    assert [str(problem) for problem in open_book(tmp_path).problems] == []
    assert (standing(tmp_path, "C26-01-1")[0], standing(tmp_path, "X-1")[0]) == ("available", offered)
    sold = book_of(tmp_path, until=date(2026, 9, 1))
    assert [sold.collection.animals[name].status for name in ("C26-01-1", "X-1")] == ["sold", "sold"]


def test_what_is_sold_again_on_the_day_of_its_return_has_left_on_that_day(tmp_path: Path) -> None:
    sales = "- {animals: [C26-01-1], handed_over: 2026-09-01, returned: 2026-10-01}\n- {animals: [C26-01-1], handed_over: 2026-10-01}\n"
    FAMILY.write(tmp_path, {SALES: sales, "animals/y.yaml": f"- {{id: C26-01-1, {AGAIN}}}\n"})
    away = book_of(tmp_path).collection.animals["C26-01-1"].away
    assert away is not None
    assert (away.how, str(away.on)) == ("sold", "2026-10-01")


YOUNG_OF_JANUARY = md(
    "id: C26-01\nsire: M-01\ndam: F-01\neggs: 2\nhatched: 2026-01-01\nyoung: [1 m normal, 2 f Piebald]"
)


@pytest.mark.parametrize(
    ("own", "again", "between"),
    [
        ("", True, []),
        (f"- {{id: C26-01-1, {AGAIN}}}\n", True, ["1 October 2026 Came back."]),
        (f"- {{id: C26-01-1, {AGAIN}}}\n", False, ["1 October 2026 Came back."]),
    ],
)
def test_each_sale_of_one_that_came_back_stands_in_its_list(
    tmp_path: Path, own: str, again: bool, between: list[str]
) -> None:
    """Of the first of two nothing stood there. The day of the return is private, but for what its own record says."""
    sales = "- {animals: [C26-01-1], handed_over: 2026-09-01, returned: 2026-10-01}\n"
    sales += "- {animals: [C26-01-1], handed_over: 2026-11-01}\n" if again else ""
    rows = log("2026-10-15,C26-01-1,weight,,60,\n")
    files = {"clutches/C26-01.md": YOUNG_OF_JANUARY, SALES: sales, **rows, **({"animals/y.yaml": own} if own else {})}
    lines = FAMILY.page(tmp_path, files, "animals/C26-01-1/index.html")
    told = [f"{day.removeprefix('- ')} {what}" for day, what in pairwise(lines) if what in ("Sold.", "Came back.")]
    assert told == ["1 September 2026 Sold.", *between, *(["1 November 2026 Sold."] if again else [])]
    book = book_of(tmp_path)
    assert what_does_not_fit(book.collection, book.private, date(2026, 11, 20)) == ()


def test_a_day_before_it_was_back_from_its_sale_is_refused(tmp_path: Path) -> None:
    own = f"- {{id: C26-01-1, status: breeder, {AGAIN}}}\n"
    sale = "- {animals: [C26-01-1], handed_over: 2026-09-01, returned: 2026-10-01}\n"
    FAMILY.write(tmp_path, {"clutches/C26-01.md": YOUNG_OF_JANUARY, "animals/y.yaml": own, SALES: sale})
    code, said = run(tmp_path, "sold", "C26-01-1", "--on", "2026-09-15")
    assert (code, "before 'C26-01-1' was back from its sale (2026-10-01)" in said) == (2, True), said


def test_what_was_said_when_it_was_sold_stays_while_it_is_borrowed_back(tmp_path: Path) -> None:
    """And once it went home to its buyer. A clutch of its sister makes the dam a certain het meanwhile."""
    own = "- {id: C26-01-1, status: breeder, came: {how: loan, on: 2026-09-01}, private: {shared: {with: Ada}}}\n"
    files = {
        "animals/all.yaml": FAMILY_ANIMALS.replace("shows: Piebald", "shows: normal, claims: {Piebald: 66%}"),
        "clutches/C26-01.md": md(
            "id: C26-01\nsire: M-01\ndam: F-01\neggs: 1\nhatched: 2026-01-01\nyoung: [1 m normal]"
        ),
        "clutches/C26-02.md": md(
            "id: C26-02\nsire: M-01\ndam: F-01\neggs: 1\nhatched: 2026-05-01\nyoung: [1 f Piebald]"
        ),
        "animals/y.yaml": own,
        SALES: "- {animals: [C26-01-1], buyer: Ada, handed_over: 2026-02-01}\n",
    }
    heading = "Trait | When hatched, January 2026 | When sold, February 2026 | Now"
    assert heading in FAMILY.page(tmp_path, files, "animals/C26-01-1/index.html")
    assert run(tmp_path, "moved", "C26-01-1", "--back")[0] == 0
    assert heading in page_of(book_of(tmp_path), "animals/C26-01-1/index.html")


def test_returned_says_how_to_offer_it_again(tmp_path: Path) -> None:
    """Only of what its record offers; what it prints is what works."""
    own = "id: X-1\nsex: male\nstatus: available\nprice: 290"
    bred = "id: X-2\nsex: male\nstatus: breeder"
    files = {"animals/X-1.md": md(own), "animals/X-2.md": md(bred)}
    FAMILY.write(tmp_path, {SALES: "- {animals: [C26-01-1, X-1, X-2], handed_over: 2026-10-01}\n", **files})
    said = run(tmp_path, "returned", "C26-01-1,X-1,X-2")[1]
    assert said.endswith(
        "C26-01-1 is not for sale now, though it was before it was sold; to offer it again: `returned C26-01-1 --offer`\n"
        "X-1 is not for sale now, though it was before it was sold; to offer it again: `returned X-1 --offer`\n"
    )
    assert run(tmp_path, "returned", "X-1", "--offer")[0] == 0
    assert [standing(tmp_path, name)[0] for name in ("X-1", "C26-01-1")] == ["available", "not for sale"]
    assert run(tmp_path, "returned", "X-2", "--offer")[1] == (
        "X-2 has the status breeder by animals/X-2.md; to offer it, write `status: available` there\n"
        "added to animals/X-2.md:\ncame: {how: returned, on: 2026-11-25}\n"
    )
    FAMILY.write(tmp_path, {"animals/X-2.md": text_of(tmp_path, "animals/X-2.md").replace("breeder", "available")})
    assert standing(tmp_path, "X-2")[0] == "available"
    again = run(tmp_path, "returned", "X-2", "--offer")
    assert again == (0, "animals/X-2.md says already that X-2 came back 2026-11-25\n")


def test_what_its_own_record_still_has_gone_is_here_again(tmp_path: Path) -> None:
    """Unless `came` says something already: that is the breeder's to change."""
    own = "id: X-1\nsex: male\nstatus: breeder\nleft: {how: sold, on: 2026-10-01}"
    FAMILY.write(tmp_path, {SALES: "- {animals: [X-1], handed_over: 2026-10-01}\n", "animals/X-1.md": md(own)})
    assert run(tmp_path, "returned", "X-1")[1].endswith(
        "added to animals/X-1.md:\ncame: {how: returned, on: 2026-11-25}\n"
    )
    assert (standing(tmp_path, "X-1")[0], standing(tmp_path, "X-1")[2]) == ("breeder", True)
    FAMILY.write(
        tmp_path,
        {
            SALES: "- {animals: [X-1], handed_over: 2026-10-01}\n",
            "animals/X-1.md": md(f"{own}\ncame: {{how: bought}}"),
        },
    )
    assert run(tmp_path, "returned", "X-1")[1].endswith(
        "X-1 is still gone by its own record; to change that, write in animals/X-1.md `came: {how: returned, on: 2026-11-25}`"
        " in the place of the `came` there\n"
    )


@pytest.mark.parametrize(
    ("own", "said"),
    [
        (
            "hatched: 2026-10-01\nleft: {how: sold}",
            "with this `came` is dated 2026-09-01, before it hatched (2026-10-01)",
        ),
        ("left: {how: sold}\ncame:", "`came` of 'X-1' says something already"),
    ],
)
def test_nothing_is_told_as_written_that_is_taken_back(tmp_path: Path, own: str, said: str) -> None:
    """The sale is written before the animal's own record, which then cannot be."""
    files = {SALES: "- {animals: [X-1], handed_over: 2026}\n", "animals/X-1.md": md(f"id: X-1\nsex: male\n{own}")}
    FAMILY.write(tmp_path, files)
    code, told = run(tmp_path, "returned", "X-1", "--on", "2026-09-01")
    assert (code > 0, said in told, told.splitlines()[-1]) == (True, True, "nothing was written"), told
    assert "added to" not in told
    assert {file: text_of(tmp_path, file) for file in files} == files


def test_a_hold_that_is_over_ends_the_on_hold_of_the_record(tmp_path: Path) -> None:
    """Given up, it is available; while another sale still holds the animal it is not."""
    over = "- {animals: [X-1], held: 2026-10-01, refund: 0}\n"
    FAMILY.write(tmp_path, {SALES: over, "animals/X-1.md": md("id: X-1\nsex: male\nstatus: on hold\nprice: 340")})
    assert standing(tmp_path, "X-1")[0] == "available"
    FAMILY.write(tmp_path, {SALES: "- {animals: [X-1], held: 2026-09-01}\n" + over})
    assert standing(tmp_path, "X-1")[0] == "on hold"


def test_money_back_of_what_came_back_has_no_day(tmp_path: Path) -> None:
    """A day that would be thrown away is refused, not taken in silence; of a hold it is the day on which that was given up."""
    back = "- {animals: [C26-01-1], handed_over: 2026-09-01, returned: 2026-10-01, payments: [{on: 2026-09-01, amount: 60}]}\n"
    FAMILY.write(tmp_path, {SALES: back})
    code, said = run(tmp_path, "paid", "C26-01-1", "0", "--back", "--on", "2026-11-01")
    assert (code, "the refund is written without a day; leave --on out" in said) == (2, True)
    assert text_of(tmp_path, SALES) == back
    FAMILY.write(tmp_path, {SALES: HELD})
    assert run(tmp_path, "paid", "C26-01-1", "0", "--back", "--on", "2026-11-20")[0] == 0
    assert [str(sale.given_up) for sale in book_of(tmp_path).private.sales] == ["2026-11-20"]


def test_a_hold_was_one_until_the_day_on_which_it_was_given_up(tmp_path: Path) -> None:
    """On the days before, the site and the desk have it as it was; what was paid is owed until what went back is written."""
    FAMILY.write(tmp_path, {SALES: HELD})
    code, said = run(tmp_path, "hold", "C26-01-1", "--over", "--on", "2026-11-20")
    owed = (
        "the hold was given up on 20 November 2026; €60 had been paid: agree what goes back, and write it as `refund`"
    )
    assert (code, said) == (0, f"added to sales/2026.yaml:\ngiven_up: 2026-11-20\n{owed}\n")
    for day, status in ((19, "on hold"), (20, "available")):
        stood = book_of(tmp_path, until=date(2026, 11, day))
        assert stood.collection.animals["C26-01-1"].status == status
        for private in (stood.private, book_of(tmp_path).private):
            assert [sale.held_on(date(2026, 11, day)) for sale in private.sales] == [status == "on hold"]
    assert run(tmp_path, "hold", "C26-01-1", "--over")[0] == 2
    assert run(tmp_path, "paid", "C26-01-1", "60", "--back")[0] == 0
    assert balances(book_of(tmp_path).collection, book_of(tmp_path).private, date(2026, 11, 25)) == ()


@pytest.mark.parametrize(
    ("before", "words"),
    [
        ("handed_over: 2026-10-01, ", "returned C26-01-1"),
        ("held: 2026-10-01, ", "hold C26-01-1 --over"),
        ("held: 2026-10-01, ", "paid C26-01-1 20 --back"),
        ("held: 2026-10-01, ", "sold C26-01-1"),
    ],
)
def test_the_lines_that_make_two_sales_of_one_work(tmp_path: Path, before: str, words: str) -> None:
    """What is written of one of several is refused, since its part of the money is nobody's to guess; the lines are told, and they hold."""
    both = f"- {{animals: [C26-01-1, C26-01-3], buyer: Ada, agreed: 200, {before}payments: [{{on: 2026-10-01, amount: 200}}]}}\n"
    FAMILY.write(tmp_path, {SALES: both})
    code, said = run(tmp_path, *words.split())
    assert (code, text_of(tmp_path, SALES)) == (1, both)
    assert "; part `agreed` and `payments` between the two, as only you know how [" in said
    rest, alone = said.split("here `")[1].split("`")[0], said.split("as another sale `")[1].split("`")[0]
    assert rest == "animals: [C26-01-3]"
    half = both.replace("animals: [C26-01-1, C26-01-3]", rest).replace("200", "120")
    other = alone.replace("}", ", agreed: 80, payments: [{on: 2026-10-01, amount: 80}]}")
    FAMILY.write(tmp_path, {SALES: f"{half}{other}\n"})
    assert standing(tmp_path, "C26-01-3")[0] == "sold"
    assert standing(tmp_path, "C26-01-1")[0] == {"ret": "not for sale", "sol": "sold"}.get(words[:3], "available")


# ---- died, moved


@pytest.mark.parametrize(
    ("file", "before", "after"),
    [
        (
            "animals/X-1.md",
            md("id: X-1  # ours\nname: Pip\nsex: male\nstatus: available\nprice: 90", "Prose.\n"),
            "---\nid: X-1  # ours\nname: Pip\nsex: male\nstatus: available\nprice: 90\nleft: {how: died, on: 2026-11-25}\n---\nProse.\n",
        ),
        (
            "animals/x.yaml",
            "# two\r\n- id: M-9\r\n- id: X-1   # he\r\n  name: Pip\r\n  sex: male\r\n",
            "# two\r\n- id: M-9\r\n- left: {how: died, on: 2026-11-25}\r\n  id: X-1   # he\r\n  name: Pip\r\n  sex: male\r\n",
        ),
        (
            "animals/x.yaml",
            "- {id: M-9}\n- {id: X-1, name: Pip,\n   sex: male}\n",
            "- {id: M-9}\n- {left: {how: died, on: 2026-11-25}, id: X-1, name: Pip,\n   sex: male}\n",
        ),
    ],
    ids=["front matter", "a line each", "in braces"],
)
def test_a_death_is_written_into_the_animals_own_record(tmp_path: Path, file: str, before: str, after: str) -> None:
    """By its name, in the layout that stands; one on offer is on offer no longer."""
    FAMILY.write(tmp_path, {file: before.encode()})
    assert run(tmp_path, "died", "pip")[0] == 0
    assert text_of(tmp_path, file) == after
    assert open_book(tmp_path).problems == ()
    animal = book_of(tmp_path).collection.animals["X-1"]
    assert (animal.here, animal.away and animal.away.how) == (False, "died")
    code, said = run(tmp_path, "sold", "X-1")
    assert (code, "'X-1' left already: died (2026-11-25)" in said) == (2, True)
    assert run(tmp_path, "undo")[0] == 0
    assert text_of(tmp_path, file) == before


def test_young_of_a_clutch_get_a_record_of_their_own(tmp_path: Path) -> None:
    """The clutch's file holds birth facts and stays as it is; who waits for one is told."""
    FAMILY.write(
        tmp_path,
        {SALES: "- {animals: [C26-01-2], buyer: Bo, held: 2026-11-01, payments: [{on: 2026-11-01, amount: 20}]}\n"},
    )
    clutch = text_of(tmp_path, "clutches/C26-01.md")
    code, said = run(tmp_path, "died", "C26-01-2,C26-01-1", "--on", "yesterday")
    assert code == 0
    assert text_of(tmp_path, "animals/C26-01-2.yaml") == "- id: C26-01-2\n  left: {how: died, on: 2026-11-24}\n"
    assert text_of(tmp_path, "animals/C26-01-1.yaml") == "- id: C26-01-1\n  left: {how: died, on: 2026-11-24}\n"
    assert text_of(tmp_path, "clutches/C26-01.md") == clutch
    assert "it was held for Bo: tell them (sales/2026.yaml, line 1)\n" in said
    assert "€20 to pay back, since C26-01-2 died before the hand-over\n" in said
    assert run(tmp_path, "paid", "C26-01-2", "20", "--back")[0] == 0
    assert book_of(tmp_path).collection.animals["C26-01-2"].clutch == "C26-01"


def test_several_are_written_or_none(tmp_path: Path) -> None:
    """Animals of one file and of a clutch, taken back as one."""
    FAMILY.write(tmp_path, {})
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    assert run(tmp_path, "died", "M-02,M-03,C26-01-1")[0] == 0
    assert [line[2:12] for line in text_of(tmp_path, "animals/all.yaml").split("\n")[1:3]] == ["{left: {ho"] * 2
    assert run(tmp_path, "undo")[0] == 0
    kept = (path for path in tmp_path.rglob("*") if path.is_file() and ".clutchlight" not in path.parts)
    assert {path: path.read_bytes() for path in kept} == before
    odd = FAMILY_ANIMALS.replace("{id: M-03,", "{left: died, id: M-03,")
    FAMILY.write(tmp_path, {"animals/all.yaml": odd})
    code, said = run(tmp_path, "died", "M-02,M-03")
    assert (code, "'M-03' left already: died" in said) == (2, True)
    assert text_of(tmp_path, "animals/all.yaml") == odd


def test_a_loan_goes_out_and_comes_back(tmp_path: Path) -> None:
    """Until when is public, to whom is private; the status before holds again afterwards."""
    FAMILY.write(
        tmp_path, {"animals/X-1.md": md("id: X-1\nsex: male\nstatus: breeder\nprivate:\n  bought_from: a show")}
    )
    words = ("--to", "Cy Reed", "--until", "2027-02-01", "--on", "2026-11-20")
    assert run(tmp_path, "moved", "X-1", *words)[0] == 0
    assert text_of(tmp_path, "animals/X-1.md") == (
        "---\nid: X-1\nsex: male\nstatus: breeder\nprivate:\n"
        "  shared: {with: Cy Reed, since: 2026-11-20, until: 2027-02-01}\n  bought_from: a show\n"
        "left: {how: loan, on: 2026-11-20, until: 2027-02-01}\n---\n"
    )
    out = FAMILY.page(tmp_path, {}, "animals/X-1/index.html")
    assert any("Out on loan until 1 February 2027" in line for line in out)
    assert not any("Reed" in line for line in out)
    assert run(tmp_path, "log", "X-1", "meal")[0] == 2
    assert run(tmp_path, "moved", "X-1", "--back")[0] == 0
    assert "left: {back: 2026-11-25, how: loan, on: 2026-11-20, until: 2027-02-01}\n" in text_of(
        tmp_path, "animals/X-1.md"
    )
    found = book_of(tmp_path)
    assert (standing(tmp_path, "X-1"), [*holdings(found.collection, found.private)]) == (("breeder", None, True), [])
    assert run(tmp_path, "log", "X-1", "meal")[0] == 0
    assert run(tmp_path, "log", "X-1", "meal", "--on", "2026-11-22")[0] == 2
    assert run(tmp_path, "moved", "X-1", "--to", "Bo")[0] == 0
    assert [(one.partner, str(one.since)) for one in book_of(tmp_path).private.holdings] == [("Bo", "2026-11-25")]


def test_a_loan_goes_from_one_keeper_to_the_next(tmp_path: Path) -> None:
    """The first ends that day; a share with somebody else goes on beside it; a day before the first is refused."""
    FAMILY.write(tmp_path, {"animals/X-1.md": md("id: X-1\nsex: male\nprivate: {shared: {with: Di, split: 50/50}}")})
    assert run(tmp_path, "moved", "X-1", "--to", "Cy", "--until", "2026-12-31", "--on", "2026-10-01")[0] == 0
    assert run(tmp_path, "moved", "X-1", "--to", "Bo", "--on", "2026-09-30")[0] == 2
    assert run(tmp_path, "moved", "X-1", "--to", "Bo", "--on", "2026-11-10")[0] == 0
    before = text_of(tmp_path, "animals/X-1.md")
    code, said = run(tmp_path, "moved", "X-1", "--to", "bo", "--on", "2026-11-12")
    assert (code, text_of(tmp_path, "animals/X-1.md")) == (2, before)
    assert "'X-1' has been with Bo since 2026-11-10; to change a day, edit animals/" in said
    found = book_of(tmp_path)
    assert [(one.partner, str(one.until)) for one in found.private.holdings] == [("Di", "None"), ("Bo", "None")]
    left = found.collection.animals["X-1"].left
    assert left is not None
    assert left.before is not None
    assert (str(left.on), str(left.before.on), str(left.before.back)) == ("2026-11-10", "2026-10-01", "2026-11-10")
    assert found.collection.animals["X-1"].here is False
    assert run(tmp_path, "moved", "X-1", "--back", "--on", "2026-11-20")[0] == 0
    found = book_of(tmp_path)
    assert [one.partner for one in holdings(found.collection, found.private)] == ["Di"]
    assert open_book(tmp_path).problems == ()


def test_a_loan_of_a_young_one_has_all_of_it_in_its_new_record(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, {})
    assert run(tmp_path, "moved", "C26-01-4", "--to", "Cy Reed")[0] == 0
    assert text_of(tmp_path, "animals/C26-01-4.yaml") == (
        "- id: C26-01-4\n  left: {how: loan, on: 2026-11-25}\n  private: {shared: {with: Cy Reed, since: 2026-11-25}}\n"
    )


def test_a_second_leaving_stands_behind_the_first(tmp_path: Path) -> None:
    """Lent, back, lent again, back, and dead: `then` each time; the log of each loan is looked at, and the site of a day in between."""
    FAMILY.write(tmp_path, {"animals/X-1.md": md("id: X-1\nsex: male\nstatus: breeder")})
    for words in (
        ("moved", "X-1", "--on", "2026-02-01"),
        ("moved", "X-1", "--back", "--on", "2026-03-01"),
        ("moved", "X-1", "--until", "2026-06-30", "--on", "2026-05-01"),
        ("moved", "X-1", "--back", "--on", "2026-06-01"),
        ("died", "X-1", "--on", "2026-10-01"),
    ):
        assert run(tmp_path, *words)[0] == 0, words
    assert text_of(tmp_path, "animals/X-1.md") == (
        "---\nid: X-1\nsex: male\nstatus: breeder\n"
        "left: {then: {then: {how: died, on: 2026-10-01}, back: 2026-06-01, how: loan, on: 2026-05-01, until: 2026-06-30},"
        " back: 2026-03-01, how: loan, on: 2026-02-01}\n---\n"
    )
    assert open_book(tmp_path).problems == ()
    assert book_of(tmp_path).collection.animals["X-1"].here is False
    for day, code in (
        ("2026-01-20", 0),
        ("2026-02-15", 2),
        ("2026-04-01", 0),
        ("2026-05-15", 2),
        ("2026-07-01", 0),
        ("2026-11-01", 2),
    ):
        assert run(tmp_path, "log", "X-1", "meal", "--on", day)[0] == code, day
    for then, here in (
        (date(2026, 2, 15), False),
        (date(2026, 4, 1), True),
        (date(2026, 5, 15), False),
        (date(2026, 7, 1), True),
    ):
        stood = book_of(tmp_path, until=then)
        assert stood.collection.animals["X-1"].here is here, then


def test_a_leaving_before_the_animal_was_back_is_told(tmp_path: Path) -> None:
    left = "{how: loan, on: 2026-02-01, back: 2026-03-01, then: {how: died, on: 2026-02-20}}"
    FAMILY.write(tmp_path, {"animals/X-1.md": md(f"id: X-1\nsex: male\nleft: {left}")})
    said = [str(problem) for problem in open_book(tmp_path).problems]
    assert [line for line in said if "it left 2026-02-20, before it had come back (2026-03-01)" in line]


ENDED = "- {animals: [C26-01-1], buyer: Ada, held: 2026-10-01, until: 2026-10-31, payments: [{on: 2026-10-01, amount: 60}]}\n"
SETTLED = "- {animals: [C26-01-1], held: 2026-10-01, refund: 10, payments: [{on: 2026-10-01, amount: 60}]}\n"
REFUNDED = "- {animals: [C26-01-1], handed_over: 2026-10-01, refund: 5, payments: [{on: 2026-10-01, amount: 60}]}\n"


OVERPAID = "- {animals: [C26-01-1], agreed: 280, held: 2026-10-01, handed_over: 2026-10-20, payments: [{on: 2026-10-21, amount: 300}]}\n"


@pytest.mark.parametrize(("back", "open_"), [("20", []), ("5", [Fraction(-15)])])
def test_what_was_paid_beyond_the_price_goes_back(tmp_path: Path, back: str, open_: list[Fraction]) -> None:
    FAMILY.write(tmp_path, {SALES: OVERPAID})
    code, said = run(tmp_path, "paid", "C26-01-1", "21", "--back")
    assert (code, "or what was paid beyond a price is settled so" in said) == (2, True), said
    assert run(tmp_path, "paid", "C26-01-1", back, "--back") == (0, f"added to sales/2026.yaml:\nrefund: {back}\n")
    book = book_of(tmp_path)
    assert [one.open_ for one in balances(book.collection, book.private, date(2026, 11, 25))] == open_
    assert ["paid-over" in problem.code for problem in FAMILY.read(tmp_path, {}).problems] == [True] * len(open_)
    (held,) = book_of(tmp_path, until=date(2026, 10, 15)).private.sales
    assert held.held_on(date(2026, 10, 15)), "no refund ended that hold"


@pytest.mark.parametrize(
    ("sales", "words", "said"),
    [
        (ENDED, "hold C26-01-1 --to Bo", "'C26-01-1' is held for Ada until 2026-10-31 here"),
        (
            SETTLED,
            "paid C26-01-1 5 --back",
            "`refund` is 10 in this sale; if 5 more went back, write `refund: 15` there",
        ),
        (SETTLED, "paid C26-01-1 51 --back", "60 was paid by this sale, less than 61"),
        (
            REFUNDED,
            "returned C26-01-1 --refund 6",
            "`refund` is 5 in this sale; if 6 more went back, write `refund: 11`",
        ),
        ("", "moved F-02 --until 2026-11-01", "2026-11-01 is before 2026-11-25"),
        (REFUNDED, "hold C26-01-1 --over", "C26-01-1: not on hold, but handed over on 2026-10-01"),
    ],
    ids=["ended, but paid for", "settled", "settled, too much", "refunded", "back before it went", "handed over"],
)
def test_what_was_settled_before_is_refused(tmp_path: Path, sales: str, words: str, said: str) -> None:
    FAMILY.write(tmp_path, {SALES: sales} if sales else {})
    code, told = run(tmp_path, *words.split())
    assert (code in (1, 2), said in told) == (True, True), told
    assert (text_of(tmp_path, SALES) if sales else "") == sales


def test_a_hold_without_anything_said_gets_all_of_it_at_the_hand_over(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, {SALES: "- animals: [C26-01-1]\n  held: 2026-10-01\n"})
    assert run(tmp_path, "sold", "C26-01-1", "--yes", "--how", "collected", "--to", "Ada", "--for", "90")[0] == 0
    assert text_of(tmp_path, SALES) == (
        "- handed_over: 2026-11-25\n  buyer: Ada\n  agreed: 90\n  how: collected\n  animals: [C26-01-1]\n  held: 2026-10-01\n"
    )


LENT = "left: {how: loan, on: 2026-11-20}"


@pytest.mark.parametrize(
    ("record", "words", "said"),
    [
        (LENT, "moved X-1 --back --on 2026-11-01", "2026-11-01 is before 'X-1' left (2026-11-20)"),
        ("left: loan", "moved X-1 --back", "`left` of 'X-1' is no group of keys in braces; write `{back: 2026-11-25}`"),
        ("status: elsewhere", "died X-1", "'X-1' was never here"),
        ("left: loan", "moved M-02,X-1 --to Bo", "`left` of 'X-1' is no group of keys in braces"),
    ],
)
def test_what_a_record_leaves_no_place_for_is_refused(tmp_path: Path, record: str, words: str, said: str) -> None:
    """Of several animals none is written then."""
    FAMILY.write(tmp_path, {"animals/X-1.md": md(f"id: X-1\nsex: male\n{record}")})
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    code, told = run(tmp_path, *words.split())
    assert (code in (1, 2), said in told) == (True, True), told
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before


def test_each_leaving_stands_behind_all_before_it(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, {"animals/X-1.md": md("id: X-1\nsex: male\nprivate: {}")})
    for month in range(1, 5):
        assert run(tmp_path, "moved", "X-1", "--on", f"2026-{month:02d}-01")[0] == 0
        assert run(tmp_path, "moved", "X-1", "--back", "--on", f"2026-{month:02d}-09")[0] == 0
    assert open_book(tmp_path).problems == ()
    left, days = book_of(tmp_path).collection.animals["X-1"].left, []
    while left is not None:
        days.append((str(left.on), str(left.back)))
        left = left.before
    assert days == [(f"2026-{month:02d}-01", f"2026-{month:02d}-09") for month in (4, 3, 2, 1)]
    assert run(tmp_path, "moved", "X-1", "--to", "Cy")[0] == 0
    assert "private: {shared: {with: Cy, since: 2026-11-25}}\n" in text_of(tmp_path, "animals/X-1.md")


@pytest.mark.parametrize(
    ("record", "said"),
    [
        ("status: available\nleft: {how: died}", ["left-but-for-sale"]),
        ("status: available\nleft: {how: died, on: 2026-10-01}", []),
        ("status: available\nleft: {how: re-homed, on: 2026-02-01, back: 2026-03-01}", []),
        ("left: {how: loan, on: 2026-03-01, back: 2026-02-01}", ["dates-out-of-order"]),
    ],
)
def test_a_status_may_stand_before_a_day_or_after_a_return(tmp_path: Path, record: str, said: list[str]) -> None:
    FAMILY.write(tmp_path, {"animals/X-1.md": md(f"id: X-1\nsex: male\n{record}")})
    assert [problem.code for problem in open_book(tmp_path).problems] == said


@pytest.mark.parametrize(
    ("left", "status"),
    [
        ("how: sold, on: 2026-06-01", "not for sale"),
        ("how: loan, on: 2026-06-01, back: 2026-07-01", "breeder"),
    ],
)
def test_a_status_that_only_the_leaving_gave_is_not_of_the_day_before(tmp_path: Path, left: str, status: str) -> None:
    record = f"id: X-1\nsex: male\nstatus: {'sold' if 'sold' in left else 'breeder'}\nleft: {{{left}}}"
    FAMILY.write(tmp_path, {"animals/X-1.md": md(record)})
    stood = book_of(tmp_path, until=date(2026, 5, 1))
    assert (stood.collection.animals["X-1"].status, stood.collection.animals["X-1"].left) == (status, None)


def test_a_refund_is_of_the_day_of_the_return(tmp_path: Path) -> None:
    sale = "handed_over: 2026-10-01, returned: 2026-11-01, refund: 40, payments: [{on: 2026-10-01, amount: 60}]"
    FAMILY.write(tmp_path, {SALES: f"- {{animals: [C26-01-1], {sale}}}\n"})
    assert book_of(tmp_path).private.sales[0].refund == 40
    stood = book_of(tmp_path, until=date(2026, 10, 15))
    assert (stood.private.sales[0].returned, stood.private.sales[0].refund) == (None, None)


def test_a_day_before_it_was_back_from_a_loan_is_refused(tmp_path: Path) -> None:
    """It cannot be sold, held or dead here on a day on which it was elsewhere, or before."""
    FAMILY.write(
        tmp_path, {"animals/X-1.md": md("id: X-1\nsex: male\nleft: {how: loan, on: 2026-11-10, back: 2026-11-20}")}
    )
    for words in ("sold X-1", "hold X-1", "died X-1"):
        code, said = run(tmp_path, *words.split(), "--on", "2026-11-19")
        assert (code, "2026-11-19 is before 'X-1' was back from its loan (2026-11-20)" in said) == (2, True)
    assert run(tmp_path, "died", "X-1", "--on", "2026-11-20")[0] == 0


def test_the_last_day_of_a_hold_is_one_to_come(tmp_path: Path) -> None:
    """And what was added stands as lines of one width."""
    FAMILY.write(tmp_path, {SALES: "- animals: [C26-01-1]\n  held: 2026-11-01\n"})
    assert run(tmp_path, "hold", "C26-01-3", "--until", "20 dec")[1].startswith("20 dec: Sunday 2026-12-20\n")
    said = run(tmp_path, "hold", "C26-01-1", "--over", "--refund", "0")
    assert said == (0, "added to sales/2026.yaml:\ngiven_up: 2026-11-25\nrefund: 0\n")


def test_what_was_left_open_is_filled_in_by_the_same_command(tmp_path: Path) -> None:
    """Nothing is written of a return or a second hand-over that never was; of another day, another happening is meant."""
    FAMILY.write(tmp_path, {SALES: "# ours\n"})
    code, told = run(tmp_path, "moved", "M-02", "--on", "2026-11-01")
    assert (
        code,
        "left open: to whom; `moved M-02 --to NAME` writes it" in told,
    ) == (0, True)
    assert run(tmp_path, "moved", "M-02")[0] == 2
    assert run(tmp_path, "moved", "M-02", "--to", "Hans", "--until", "2027-02-01")[0] == 0
    left = book_of(tmp_path).collection.animals["M-02"].left
    assert left is not None
    assert (str(left.on), left.back, str(left.until), left.before) == ("2026-11-01", None, "2027-02-01", None)
    assert [str(one.since) for one in book_of(tmp_path).private.holdings if one.partner == "Hans"] == ["2026-11-01"]
    assert run(tmp_path, "sold", "C26-01-1", "--yes", "--on", "2026-11-01")[0] == 0
    assert run(tmp_path, "sold", "C26-01-1", "--to", "Ada", "--for", "250")[0] == 0
    assert run(tmp_path, "sold", "C26-01-1", "--to", "Ida")[0] == 2
    assert run(tmp_path, "hold", "C26-01-2", "--on", "2026-11-01")[0] == 0
    assert run(tmp_path, "hold", "C26-01-2", "--for", "90,00")[0] == 0
    assert [(sale.buyer, sale.agreed) for sale in book_of(tmp_path).private.sales] == [
        ("Ada", Fraction(250)),
        (None, Fraction(90)),
    ]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("hold C26-01-1 --for 1,200", "'1,200' is no amount; write the number alone, such as 350 or 350.50"),
        ("hold C26-01-1 --for 1.200", "'1.200' is no amount"),
        ("hold C26-01-1 --for 12.345", "'12.345' is no amount"),
        ("hold C26-01-1 --for €120", "'€120' is no amount"),
        ("hold C26-01-1 --for 120,-", "'120,-' is no amount"),
        ("hold C26-01-1 --for 250 --deposit 500", "more than the 250 agreed"),
    ],
)
def test_an_amount_that_may_mean_another_is_refused(tmp_path: Path, words: str, said: str) -> None:
    FAMILY.write(tmp_path, {})
    code, told = run(tmp_path, *words.split())
    assert (code, said in told) == (2, True), told
    assert not (tmp_path / SALES).exists()


def test_a_command_that_is_advised_works_where_it_is_read(tmp_path: Path) -> None:
    """The folder that was named is named again, as a shell reads it, and a sale is dated without all other animals."""
    day, folder = "2026-11-20", tmp_path / "at $HOME"
    FAMILY.write(folder, {SALES: f"- {{animals: [C26-01-1], buyer: Ada, agreed: 90, handed_over: {day}}}\n"})
    site = str(tmp_path.parent / "site")
    build = CliRunner(env={"SOURCE_DATE_EPOCH": "1795608000"}).invoke(main, ["build", str(folder), "--out", site])
    advised = f"stamp --only C26-01-1 --on {day} --collection '{folder}'"
    assert f"`clutchlight {advised}` makes one" in build.output
    done = CliRunner().invoke(main, shlex.split(advised))
    assert done.output.startswith("1 dated record added to ledger/2026.jsonl, to stay there")
    undo = CliRunner().invoke(main, ["undo", str(folder)])
    assert "Got unexpected" not in undo.output
    assert "name your collection's folder once" in run(folder, "check", str(folder))[1]


@pytest.mark.parametrize(
    ("ids", "made"), [("C26-01 c26-07", "C26-08"), ("C24-03", "C26-01"), ("2026-007", "C26-01"), ("C26-99", "C26-100")]
)
def test_a_new_clutch_has_the_next_id_of_its_year(tmp_path: Path, ids: str, made: str) -> None:
    """Behind the highest, so that none is another's once more; `--id` gives another."""
    clutches = {
        f"clutches/{name}.md": md(
            f"id: {name}\nsire: M-02\ndam: F-01\nlaid: 20{24 if '24' in name else 26}-{3 + at:02d}-01"
        )
        for at, name in enumerate(ids.split())
    }
    files = {"animals/all.yaml": FAMILY_ANIMALS, **clutches}
    assert run(BARE.write(tmp_path, files), "laid", "F-02", "--on", "2026-10-01")[0] == 0
    assert (tmp_path / f"clutches/{made}.md").exists()
    assert run(tmp_path, "laid", "F-02", "--on", "2026-10-31", "--id", "26-9", "--yes")[0] == 0
    assert (tmp_path / "clutches/26-9.md").exists()


def test_what_was_left_open_of_a_later_loan_is_filled_in_too(tmp_path: Path) -> None:
    """From one keeper to the next, and after one that is over: nothing is ended, and nothing known is asked for."""
    FAMILY.write(tmp_path, {"animals/X-1.md": md("id: X-1\nsex: male"), "animals/X-2.md": md("id: X-2\nsex: male")})
    for words in (
        "X-1 --to Cy --until 2026-12-31 --on 2026-10-01",
        "X-2 --to Cy --on 2026-10-01",
        "X-2 --back --on 2026-10-20",
        "X-2 --on 2026-11-01",
    ):
        assert run(tmp_path, "moved", *words.split())[0] == 0
    assert "left open: until which day" in run(tmp_path, "moved", "X-1", "--to", "Bo")[1]
    code, told = run(tmp_path, "moved", "X-1", "--until", "2027-03-01")
    assert (code, "left open" in told) == (0, False)
    assert "left open: until which day" in run(tmp_path, "moved", "X-2", "--to", "Bo")[1]
    assert run(tmp_path, "moved", "X-2", "--to", "Bo", "--until", "2027-03-01")[0] == 0
    found = book_of(tmp_path)
    for name, begun in (("X-1", "2026-11-25"), ("X-2", "2026-11-01")):
        left = found.collection.animals[name].left
        assert left is not None
        assert left.before is not None
        assert (str(left.on), left.back, str(left.until), left.before.before) == (begun, None, "2027-03-01", None)
        (keeping,) = [one for one in found.private.holdings if one.animal == name]
        assert (keeping.partner, str(keeping.since), str(keeping.until)) == ("Bo", begun, "2027-03-01")
    before = text_of(tmp_path, "animals/X-1.md")
    code, told = run(tmp_path, "moved", "X-1", "--until", "2027-04-01")
    assert (code, text_of(tmp_path, "animals/X-1.md")) == (2, before)
    assert "'X-1' has been with Bo since 2026-11-25 and stays until 2027-03-01; to change a day, edit" in told


def test_what_came_back_in_a_month_can_go_out_again(tmp_path: Path) -> None:
    """A month is written by hand; the day of a first sale may be known as one "before" a later day only, as of a list that was taken in."""
    FAMILY.write(tmp_path, {SALES: "- {animals: [C26-01-1], buyer: Ada, handed_over: before 2026-11-20}\n"})
    before = text_of(tmp_path, SALES)
    code, said = run(tmp_path, "returned", "C26-01-1", "--on", "2026-10")
    assert (code, "'2026-10' is not a day" in said, text_of(tmp_path, SALES)) == (2, True, before)
    (tmp_path / SALES).write_text(before.replace("}", ", returned: 2026-10}"), encoding="utf-8")
    assert run(tmp_path, "sold", "C26-01-1", "--to", "Bo", "--on", "2026-11-02", "--yes")[0] == 0
    assert run(tmp_path, "check")[0] == 0


def test_eggs_are_not_held_and_a_planned_animal_not_without_a_question(tmp_path: Path) -> None:
    """Of eggs it says where to note who waits; neither names the dam, who would be on hold in public."""
    files = {
        "clutches/C26-09.yaml": "{id: C26-09, sire: M-01, dam: F-01, laid: 2026-11-01, eggs: 4}\n",
        "season/p.yaml": "- {female: F-02, males: [M-01], from: 2026-11-01, until: 2027-05-31}\n",
    }
    FAMILY.write(tmp_path, files)
    code, said = run(tmp_path, "hold", "c26-09", "--to", "Kim", "--until", "2027-09-01")
    assert (code, "'C26-09' has no young on record, and only animals can be held" in said) == (2, True)
    assert "`log C26-09 note --note NAME`" in said
    assert "dam" not in said
    assert run(tmp_path, "log", "C26-09", "note", "--note", "Kim waits")[0] == 0
    words = ("hold", "F-02", "--to", "Kim", "--until", "2027-09-01", "--for", "100")
    code, said = run(tmp_path, *words)
    assert (code, "'F-02' is in an open plan (M-01 with F-02); look at the animal, or add --yes" in said) == (2, True)
    assert run(tmp_path, *words, "--yes")[0] == 0


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (
            "hatched: 2026-11-20, to_sort: 4",
            "it hatched: give its young numbers first, under `young` in clutches/C26-09.yaml",
        ),
        ("ended: 2026-11-20", "it was given up on 20 November 2026, so no animal will come of it"),
    ],
)
def test_no_clutch_that_hatched_or_came_to_nothing_is_said_to_hatch(tmp_path: Path, more: str, said: str) -> None:
    """By its name too, and among others."""
    clutch = f"{{id: C26-09, name: Dawn, sire: M-01, dam: F-01, laid: 2026-09-01, eggs: 4, {more}}}\n"
    FAMILY.write(tmp_path, {"clutches/C26-09.yaml": clutch})
    for command, only in (("hold", "held"), ("sold", "sold")):
        code, told = run(tmp_path, command, "F-02,dawn", "--to", "Kim")
        assert (code, f"'C26-09' has no young on record, and only animals can be {only}; {said}" in told) == (2, True)


def test_a_planned_backup_is_held_after_a_question_that_names_him(tmp_path: Path) -> None:
    plan = "- {female: F-02, males: [M-01], backup: M-02, from: 2026-11-01, until: 2027-05-31}\n"
    FAMILY.write(tmp_path, {"season/p.yaml": plan})
    said = run(tmp_path, "hold", "M-02", "--to", "Kim", "--until", "2027-09-01", "--for", "100")[1]
    assert "'M-02' is in an open plan (M-01 or M-02 with F-02)" in said


def test_a_hold_of_which_one_died_is_not_only_offered_its_end(tmp_path: Path) -> None:
    held = (
        "- {animals: [C26-01-1, C26-01-3], buyer: Per, held: 2026-11-01, until: 2026-12-31, agreed: 200, deposit: 50}\n"
    )
    FAMILY.write(tmp_path, {SALES: held})
    assert run(tmp_path, "died", "C26-01-3", "--yes")[0] == 0
    said = run(tmp_path, "hold", "C26-01-1", "--to", "Per", "--for", "100")[1]
    assert (
        "with C26-01-3, which died; what is agreed anew is written there by hand: `animals`, `agreed`, and in `payments`"
        in said
    )
