"""What reads like a buyer, a seller, an animal or a parent, and is none; and what is one though it stands where it is not looked for."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
from tests.rooms import BARE, SETTINGS
from tests.unit.test_intake import rows_and_placed, taken

from clutchlight.intake.cells import Buyer, buyer_in, is_paid_out, weight_in
from clutchlight.intake.columns import sheets_in
from clutchlight.intake.run import TakenIn
from clutchlight.pipeline import Book

HEAD = "ID,Sex,Genes,Hatched,Status,Price,Sold to,From,Remarks"
MORE = (
    "this may tell of a death, a sale, a return, a loss, a loan or a payment; if that is so of this animal, write it with `died`, `sold`,"
    " `returned`, `moved` or `paid`"
)


def taken_in(folder: Path, rows: str, head: str = HEAD) -> tuple[TakenIn, Book]:
    BARE.write(folder, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    return taken(folder, f"{head}\n{rows}".encode(), {})


@pytest.mark.parametrize("cell", ["-", "n/a", "none", "?", "no", "n", "unsold"])
def test_nobody_is_no_buyer(cell: str) -> None:
    assert buyer_in(cell) == Buyer()


@pytest.mark.parametrize(
    "cell",
    [
        *(
            "res. Tom",
            "reserved Tom",
            "hold Tom",
            "Tom?",
            "res. Tom 200",
            "hold Tom?",
            "réservé",
            "on deposit",
            "resv Tom",
        ),
        *(
            "for sale",
            "keeping",
            "x",
            "given to my sister",
            "euthanized in May",
            "died?",
            "at Bob's",
            "At Bob's",
        ),
        *(
            "Rob Tarn Sept 2024",
            "Sept 2024 Rob Tarn",
            "Jo Fenn till 15.12",
            "deposit 50 Jo",
            "Jo Fenn deposit 50 2024-05-01",
        ),
        *(
            "was Tom's",
            "maybe Tom",
            "Tom (again)",
            "not sure",
            "waiting list Jo",
            "Jo 200 (Sara 100)",
            "2 Brothers",
            "€350 Jo Fenn",
        ),
        *(
            "Mort Davis",
            "Lost Creek Reptiles",
            "Dana Whit / Columbus show",
            "Jo paid 300",
            "IOU Jo",
            "loan to Bob",
            "jo fenn",
            "cash",
        ),
        *(
            "traded for F-02",
            "Traded",
            "March",
            "Jo Fenn, picks up 12/5",
            "Familie Köhler, 400,-",
            "Jens pd 180€",
            "Jo at the expo",
        ),
    ],
)
def test_what_is_no_name_alone_names_nobody_and_sells_nothing(tmp_path: Path, cell: str) -> None:
    rows = f'A-1,m,Clown,2020,,,"{cell}",,\nA-2,m,Clown,2020,available,,"{cell}",,\n'
    made, book = taken_in(tmp_path, rows)
    why = (
        "no name of a buyer"
        if cell == "x"
        else "not a name alone, so nobody is named who has it; write it into the sale"
    )
    assert [one.why for one in made.left if one.written == cell and "name" in one.why] == [f"A-1: {why}", f"A-2: {why}"]
    assert book.private.sales == ()
    assert [one.sold or one.status == "available" for one in book.collection.animals.values()] == [False, False]
    written = (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8").replace("''", "'")
    assert len(re.findall(rf"buyer_as_written: [\"']?{re.escape(cell)}", written)) == 2


@pytest.mark.parametrize(
    "cell",
    [
        *(
            "expo",
            "Columbus expo",
            "show",
            "reptile show 9/13",
            "Hall fair",
            "sold at the show",
            "Expo Oct 2025",
            "Börse Halle",
        ),
        *(
            "wholesale",
            "local",
            "local pickup",
            "Walk in",
            "Facebook",
            "store credit",
            "same buyer",
            "same",
            "a friend",
        ),
    ],
)
def test_a_place_or_a_way_of_sale_is_no_buyer(tmp_path: Path, cell: str) -> None:
    """It was written as the name of a person."""
    made, book = taken_in(tmp_path, f"Boys,,,,,,,,\nA-1,m,Clown,2020,Sold,,{cell},,\n")
    (sale,) = book.private.sales
    (why,) = (one.why for one in made.left if one.written == cell)
    assert (sale.buyer, "nobody is named who has it" in why) == (None, True)


@pytest.mark.parametrize("cell", ["Expo Reptiles", "Ann Shaw", "Kim Fairley", "Sam Locally"])
def test_a_name_with_a_word_of_a_place_is_a_name(cell: str) -> None:
    assert buyer_in(cell) == Buyer(cell, sold=True)


@pytest.mark.parametrize(
    "cell", ["on loan to Bob", "loan to Bob", "reserved Tom", "hold Jo", "deposit 50 Jo", "here", "me"]
)
def test_sold_beside_a_hold_a_loan_or_the_breeder_is_no_sale(tmp_path: Path, cell: str) -> None:
    made, book = taken_in(tmp_path, f"A-1,m,Clown,2020,sold,200,{cell},,\n")
    assert (book.private.sales, book.collection.animals["A-1"].sold) == ((), False)
    assert "sold" in [one.written for one in made.left]


@pytest.mark.parametrize(
    ("cell", "sold"),
    [("Kim (brother of Dana)", True), ("Jo 200", True), ("res. Tom", False), ("Tom?", False), ("lost", False)],
)
def test_a_day_of_sale_beside_a_cell_that_is_no_name_sells_to_nobody_named(
    tmp_path: Path, cell: str, sold: bool
) -> None:
    made, book = taken_in(tmp_path, f"A-1,Clown,{cell},2022-10-01\n", "ID,Genes,Sold to,Date sold")
    assert [(one.buyer, str(one.handed_over)) for one in book.private.sales] == [(None, "2022-10-01")] * sold
    assert cell in [one.written for one in made.left]


def test_what_was_given_away_is_gone_without_a_price(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "A-1,m,Clown,2020,gifted,200,,,\nA-2,m,Clown,2020,sold,150,gift for Jo,,\n"
    made, book = taken(tmp_path, f"{HEAD}\n{rows}".encode(), {"status gifted": "sold", "sold prices": "yes"})
    assert [(sale.buyer, sale.agreed, sale.payments) for sale in book.private.sales] == [(None, None, ())] * 2
    assert [one.written for one in made.left if "a gift" in one.why] == ["200", "150"]
    assert not any(key.startswith("sold prices") for key in made.questions.asked)


@pytest.mark.parametrize("status", ["HB", "H/B", "hold back"])
def test_held_back_has_a_short_form(tmp_path: Path, status: str) -> None:
    """Common practice, no source."""
    _, book = taken_in(tmp_path, f"A-1,m,Clown,2020,{status},,,,\n")
    assert book.collection.animals["A-1"].status == "holdback"


def test_the_same_buyer_is_that_of_the_row_above(tmp_path: Path) -> None:
    _, book = taken_in(tmp_path, "A-1,m,Clown,2020,Sold,,Ann Shaw,,\nA-2,m,Clown,2020,Sold,,same buyer,,\n")
    assert [sale.buyer for sale in book.private.sales] == ["Ann Shaw", "Ann Shaw"]


def test_a_refund_beside_the_name_makes_no_paid_sale(tmp_path: Path) -> None:
    """The sale was written with that name, and paid in full."""
    made, book = taken_in(tmp_path, "A-1,m,Clown,2020,Sold,300,Greg T (refund),,\n")
    assert book.private.sales == ()
    assert [one.why for one in made.left if "refund" in one.written] == [
        "A-1: it speaks of a return or a refund, so nobody is named who has it"
    ]
    assert (
        "1 row speaks of a return or a refund: A-1. Where is it now?"
        in made.questions.asked[next(key for key in made.questions.asked if key.startswith("returned animals"))].text
    )


@pytest.mark.parametrize(
    ("cell", "name", "paid"),
    [
        ("Jens 180€", "Jens", "180"),
        ("sold to Tom", "Tom", None),
        ("verkocht aan Piet", "Piet", None),
        ("SOLD A. Smith", "A. Smith", None),
        ("Ott, Sabine", "Ott, Sabine", None),
        ("tom88@example.org", "tom88@example.org", None),
        ("Respa Holder", "Respa Holder", None),
    ],
)
def test_a_name_may_have_an_amount_behind_it(cell: str, name: str, paid: str | None) -> None:
    found = buyer_in(cell)
    assert (found.name, found.sold, found.paid and found.paid.amount, found.why) == (name, True, paid, "")


@pytest.mark.parametrize("cell", ["Nadja, trade", "Jens 180", "sold 250", "gone", "vendido", "sold, 2 Brothers"])
def test_what_is_not_plain_beside_the_name_is_left(cell: str) -> None:
    found = buyer_in(cell)
    assert (found.name, found.paid) == ("", None)
    assert found.why


@pytest.mark.parametrize(
    ("cell", "buyer", "note"),
    [
        ("Jens 180€", "Jens", "price 180"),
        ("Jens 180€ + 20€ shipping", None, None),
        ("Jens, 2 Dec 2023, €180 cash", None, None),
        ("Dougie Farrant 14/2/26, gift", None, None),
        ("Rhona Espley Feb 2024", None, "price 250"),
    ],
)
def test_the_cell_of_a_buyer_goes_before_the_price_that_was_asked(
    tmp_path: Path, cell: str, buyer: str | None, note: str | None
) -> None:
    """An amount behind the name is that of the sale, and whether it was paid is asked; beside another amount or a gift the price is not."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = f'{HEAD}\nA-1,m,Clown,13/05/2020,sold,250,"{cell}",,\n'
    made, book = taken(tmp_path, rows.encode(), {"sold prices": "no", "order of days": "day first"})
    (found,) = book.private.sales
    assert (found.buyer, found.agreed, found.paid(), found.note) == (buyer, None, Fraction(0), note)
    assert len([key for key in made.questions.asked if key.startswith("sold prices")]) == (1 if note else 0)
    written = (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")
    assert ("250" in written, cell in written) == (note != "price 250", buyer is None)


@pytest.mark.parametrize(
    "behind",
    ["owes €45", "(owes €45)", "- owes €45", "was €45", "@ €45", "less €5", "inc €10 tub", "OWES €45 21/11/25"],
)
def test_a_word_between_the_name_and_a_sum_is_no_part_of_the_name_and_nothing_was_paid(
    tmp_path: Path, behind: str
) -> None:
    """`Pete Ness owes €45` was sold to `Pete Ness owes`, who had paid 45."""
    made, book = taken_in(tmp_path, f"A-1,m,Clown,2020,Sold,,Pete Ness {behind},,\n")
    (sale,) = book.private.sales
    assert (sale.buyer, sale.agreed, sale.payments) == (None, None, ())
    assert "not a name alone" in made.left[0].why


def test_a_sum_beside_a_buyer_is_asked_about_as_one_in_the_column_of_prices_is(tmp_path: Path) -> None:
    """It was written as paid, and nobody was asked."""
    for answer, paid in (("yes", 45), ("no", 0)):
        folder = tmp_path / answer
        BARE.write(folder, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
        made, book = taken(
            folder, f"{HEAD}\nA-1,m,Clown,2020,Sold,,Pete Ness €45,,\n".encode(), {"sold prices": answer}
        )
        assert [sale.paid() for sale in book.private.sales] == [paid]
        (text,) = (one.text for key, one in made.questions.asked.items() if key.startswith("sold prices"))
        assert text == "1 sold animal has a price: A-1. Was it paid in full?"


def test_a_deposit_in_the_cell_of_a_buyer_is_left_with_it(tmp_path: Path) -> None:
    cell = "Lena Crabbe, deposit €100 paid 8/11/26"
    made, book = taken_in(tmp_path, f'A-1,m,Clown,2020,on hold,300,"{cell}",,\n')
    assert (book.collection.animals["A-1"].status, book.private.sales) == ("on hold", ())
    assert [one.written for one in made.left] == [cell]


@pytest.mark.parametrize("status", ["", "sold", "available"])
def test_a_deposit_alone_makes_no_sale_and_no_payment(tmp_path: Path, status: str) -> None:
    made, book = taken_in(tmp_path, f'A-1,m,Clown,2020,{status},,"Lena Crabbe, deposit €100 paid 18/11/26",,\n')
    assert [(sale.buyer, sale.agreed, sale.payments) for sale in book.private.sales] == (
        [(None, None, ())] if status == "sold" else []
    )
    assert made.left[0].written == "Lena Crabbe, deposit €100 paid 18/11/26"


@pytest.mark.parametrize(
    "word",
    [
        "own",
        "own bred",
        "home bred 2020",
        "self",
        "bred here (Brutus x Hedda)",
        "homebred",
        "own 2020",
        "hatched at home",
        "my own",
        "bred myself",
        "own?",
    ],
)
def test_bred_here_is_no_seller(tmp_path: Path, word: str) -> None:
    _, book = taken_in(tmp_path, f"A-1,m,het Clown,2020,,,,{word},\n")
    written = (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")
    assert book.collection.animals["A-1"].origin == "bred here"
    assert not any(word in written for word in ("bought", "seller"))
    assert len(book.collection.animals["A-1"].claims) == 1


@pytest.mark.parametrize(("word", "told"), [("bred here (Wisp x Sloe)", True), ("own 2020", False)])
def test_what_stands_beside_bred_here_is_kept_and_told(tmp_path: Path, word: str, told: bool) -> None:
    rows = f"A-1,,f,normal,2022,{word}\nA-2,Wisp,m,Clown,2019,\nA-3,Sloe,f,Pied,2019,\n"
    made, book = taken_in(tmp_path, rows, "ID,Name,Sex,Genes,Hatched,From")
    assert (book.collection.animals["A-1"].origin, book.collection.animals["A-1"].sire) == ("bred here", None)
    written = (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")
    assert f"origin_as_written: {word}" in written.replace('"', "")
    assert [one.written for one in made.left] == ([word] if told else [])


@pytest.mark.parametrize("word", ["Total", "Sum", "Gesamt", "Total: 71"])
def test_a_row_of_totals_is_no_animal(tmp_path: Path, word: str) -> None:
    made, book = taken_in(tmp_path, f"A-1,m,Clown,2020,,,,,\n{word},71 animals,,,,4500,,,\n")
    assert set(book.collection.animals) == {"A-1"}
    assert [one.why for one in made.left] == ["a row of totals: no animal"]


@pytest.mark.parametrize(
    ("name", "sex"), [("K11-K14", ""), ("24-1 - 24-4", ""), ("11 to 14", ""), ("B-1", "2.2"), ("B-1", "0.0.3")]
)
def test_a_row_of_several_animals_is_left(tmp_path: Path, name: str, sex: str) -> None:
    made, book = taken_in(tmp_path, f"A-1,m,Clown,2020,,,,,\n{name},{sex},Clown,2021,,,,,\n")
    assert set(book.collection.animals) == {"A-1"}
    assert [one.why for one in made.left] == [
        f"'{sex or name}' does not stand for one animal; give each a row of its own, with its id"
    ]


def test_an_id_with_a_mark_in_it_is_no_range(tmp_path: Path) -> None:
    _, book = taken_in(tmp_path, "24-25,m,Clown,2020,,,,,\nC24-30,0.0.1,Clown,2020,,,,,\nK14-K11,1.0,Clown,2020,,,,,\n")
    assert set(book.collection.animals) == {"24-25", "C24-30", "K14-K11"}


@pytest.mark.parametrize("parents", ["Bo x Fay,", ",Bo x Fay", "Fay x Bo,Fay"])
def test_a_cross_in_the_column_of_one_parent_names_both(tmp_path: Path, parents: str) -> None:
    rows = f"A-1,Bo,m,Clown,2020,,\nA-2,Fay,f,Clown,2020,,\nA-3,,m,Clown,2022,{parents}\n"
    made, book = taken_in(tmp_path, rows, "ID,Name,Sex,Genes,Hatched,Sire,Dam")
    assert (book.collection.animals["A-3"].sire, book.collection.animals["A-3"].dam) == ("A-1", "A-2")
    assert made.left == []


def test_what_a_list_remarks_is_told_where_it_reads_as_a_death_or_is_on_no_record(tmp_path: Path) -> None:
    """The first list keeps its remarks; the same list again has nothing new to tell."""
    rows = "A-1,m,Clown,2020,,,,,calm\nA-2,m,Clown,2020,,,,,died 2.2.25\n"
    made, _ = taken_in(tmp_path, rows)
    assert [one.why for one in made.left] == [f"A-2: {MORE}"]
    again, _ = taken(tmp_path, f"{HEAD}\n{rows}".encode(), {})
    assert again.left == []
    later, _ = taken(
        tmp_path, f"{HEAD}\nA-1,m,Clown,2020,,,,,died 3/26\nA-2,m,Clown,2020,,,,,proved out 2025\n".encode(), {}
    )
    assert [one.why for one in later.left] == [
        f"A-1: {MORE}",
        "A-2: a remark that its record does not hold; write what is so into the record",
    ]
    assert not any(line.startswith("Left out: nothing") for line in later.as_text())


def test_an_amount_beside_the_name_of_who_holds_it_is_told(tmp_path: Path) -> None:
    made, _ = taken_in(tmp_path, "A-1,m,Clown,2020,on hold,,Jens 180€,,\n")
    assert [one.written for one in made.left] == ["Jens 180€"]


def test_what_is_on_hold_is_held_for_the_one_named(tmp_path: Path) -> None:
    made, book = taken_in(tmp_path, "A-1,m,Clown,2020,on hold,,Tom,,\nA-2,m,Clown,2020,on hold,,res. Tom,,\n")
    assert [sale.buyer for sale in book.private.sales] == ["Tom"]
    assert [one.written for one in made.left] == ["res. Tom"]


@pytest.mark.parametrize("word", ["-", "n/a", "?", "unknown"])
def test_nobody_is_no_seller(tmp_path: Path, word: str) -> None:
    _, book = taken_in(tmp_path, f"A-1,m,het Clown,2020,,,,{word},\n")
    written = (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")
    assert not any(said in written for said in ("bought", "seller"))
    assert len(book.collection.animals["A-1"].claims) == 1


@pytest.mark.parametrize("cell", ["2 Brothers", "180 Jens", "2nd Chance Reptiles", "€180 cash", "€180 Trade", "cash"])
def test_a_number_before_a_word_is_no_buyer(cell: str) -> None:
    """It may be an amount, a count or part of a name; a sign makes an amount of it, but of no word a name."""
    found = buyer_in(cell)
    assert (found.name, found.paid) == ("", None)
    assert found.why


@pytest.mark.parametrize(
    ("cell", "amount"),
    [
        *(("250 obo", "250"), ("€400 + shipping", "400"), ("180 VB", "180"), ("300 plus shipping", "300")),
        *(
            ("2 Brothers", None),
            ("€180 Jens", None),
            ("€400 for the pair", None),
            ("3 left", None),
            ("€50 deposit", None),
        ),
    ],
)
def test_an_amount_with_other_words_is_no_price(tmp_path: Path, cell: str, amount: str | None) -> None:
    made, book = taken_in(tmp_path, f"A-1,m,Clown,2020,available,{cell},,,\n")
    assert book.collection.animals["A-1"].price == amount
    assert [one.written for one in made.left] == ([] if amount else [cell])


def test_what_was_paid_in_another_currency_is_left(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "ID,Sex,Genes,Status,Sold for,Sold to\nA-1,m,Clown,sold,$200,Tom\nA-2,m,Clown,sold,200,Tom\n"
    made, book = taken(tmp_path, rows.encode(), {"currency": "EUR"})
    assert [sale.agreed for sale in book.private.sales] == [None, Fraction(200)]
    assert [one.written for one in made.left] == ["$200"]


@pytest.mark.parametrize(
    ("head", "cell"),
    [
        ("Qty", "3"),
        ("Anzahl", "2"),
        ("Name", "2 Brothers"),
        ("Name", "4 hatchlings"),
        ("Genes", "3x normal"),
        ("Sex", "♂♀"),
        ("Sex", "pair"),
    ],
)
def test_a_count_makes_a_row_of_several_animals(tmp_path: Path, head: str, cell: str) -> None:
    made, book = taken_in(tmp_path, f"A-1,2020,1\nA-2,2021,{cell}\n", f"ID,Hatched,{head}")
    assert set(book.collection.animals) == {"A-1"}
    assert f"'{cell}' does not stand for one animal; give each a row of its own, with its id" in [
        one.why for one in made.left
    ]


def test_two_figures_where_a_year_may_be_meant_are_left(tmp_path: Path) -> None:
    """`'21` says that it is one."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "ID,Genes,Hatched\nA-1,Clown,21\nA-2,Clown,aug 18\nA-3,Clown,8/21\nA-4,Clown,'19\nA-5,Clown,Aug '18\nA-6,Clown,1.10.\n"
    made, book = taken(tmp_path, rows.encode(), {})
    hatched = [str(animal.hatched) for animal in book.collection.animals.values()]
    assert hatched == ["None", "None", "None", "2019", "2018-08", "None"]
    assert [one.why for one in made.left] == [
        *(f"A-{at}: not read as a date" for at in (1, 2, 3)),
        "A-6: a day and a month without a year",
    ]


def test_quotes_that_are_about_no_cell_are_part_of_it() -> None:
    """Between tabs; a cell in quotes is still read without them, on two lines too."""
    raw = 'ID\tParents\tNote\nA-1\tBo x Fay\t24" long\nA-2\t"\t"the big" one\nA-3\t"\t"he said ""no"""\nA-4\t"Bo\nx Fay"\t"calm\nA-5\t\t\n'
    (sheet,) = sheets_in(raw.encode(), "herd.tsv")
    assert [[str(cell) for cell in row] for row in sheet.rows[1:]] == [
        ["A-1", "Bo x Fay", '24" long'],
        ["A-2", '"', '"the big" one'],
        ["A-3", '"', 'he said "no"'],
        ["A-4", "Bo x Fay", '"calm'],
        ["A-5", "", ""],
    ]


def test_a_possible_het_may_be_answered_row_by_row(tmp_path: Path) -> None:
    """One answer for all held for every row; the reason quotes the cell and not what was read in it."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "ID,Sex,Genes,Hatched\nA-1,m,possible Clown,2020\nA-2,f,poss het Clown,2021\nA-3,f,Pastel ph Clown,2019\n"
    answers = {
        "possible het of A-1": "1/4",
        "possible het of A-2": "66",
        "possible het of A-3": "no figure",
        "possible het": "one by one",
    }
    made, book = taken(tmp_path, rows.encode(), answers)
    claims = {name: [claim.chance for claim in animal.claims] for name, animal in book.collection.animals.items()}
    assert claims == {"A-1": [Fraction(1, 4)], "A-2": [Fraction(2, 3)], "A-3": []}
    assert [(one.written, one.why) for one in made.left] == [
        ("Pastel ph Clown", "A-3: no figure was said; kept as a note")
    ]


def test_a_day_to_come_is_left(tmp_path: Path) -> None:
    made, book = taken_in(tmp_path, "A-1,m,Clown,2031-01-02,,,,,\nA-2,f,Clown,2026,,,,,\n")
    assert [str(animal.hatched) for animal in book.collection.animals.values()] == ["None", "2026"]
    assert [(one.written, one.why) for one in made.left] == [
        ("2031-01-02", "A-1: a day still to come; look at the year")
    ]


def test_what_a_record_refuses_is_told_by_its_cell(tmp_path: Path) -> None:
    head = "ID,Sex,Genes,DOB,Sold to,Sold on,Acquired"
    made, _ = taken_in(tmp_path, "A-1,f,Pied,2024-05-01,Tom,Mar 2023,\nA-2,f,Pied,2024-05-01,,,2023-01-01\n", head)
    assert [(one.what, one.written) for one in made.left] == [("Sold on", "Mar 2023"), ("Acquired", "2023-01-01")]


@pytest.mark.parametrize(
    ("cell", "grams"),
    [("1.65", None), ("2", None), ("7.5", None), ("7", "7"), ("12.5", "12.5"), ("1.65 g", "1.65"), ("1,650", "1650")],
)
def test_a_weight_that_may_be_in_kilograms_is_not_read(cell: str, grams: str | None) -> None:
    assert weight_in(cell) == grams


def test_what_another_column_says_is_sold_is_not_offered(tmp_path: Path) -> None:
    """Not even where one answer makes all rows with a price available; two rows that say the same in other words do not differ."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = (
        "ID,Sex,Genes,Status,Price,Sold to,Sold on\nA-1,m,Clown,available,120,,31.12.\nA-2,m,Clown,avail,sold,,\n"
        "A-3,m,Clown,avail,90,Tom,\n"
        "A-4,m,Clown,died,0,,\nA-4,M,Clown,dead,0,,\nA-5,m,Clown,available,80,,\nA-5,m,Clown,breeder,80,,\nA-6,m,Clown,avail,70,-,no\n"
    )
    _, book = taken(tmp_path, rows.encode(), {"prices without a status": "yes"})
    offered = {
        name for name, animal in book.collection.animals.items() if animal.status == "available" and animal.price
    }
    assert offered == {"A-6"}
    away = book.collection.animals["A-4"].away
    assert away is not None
    assert away.how == "died"


@pytest.mark.parametrize(
    "cell",
    ["me", "Mine", "us", "me / maybe sell", "!!", "lost!", "on loan FROM Jo Fenn", "at Jo's till her eggs come"],
)
def test_who_keeps_it_and_what_names_nobody_make_no_sale(tmp_path: Path, cell: str) -> None:
    """Neither with a day, nor with an amount, nor with both, and whatever the column of prices was said to be."""
    made, book = taken_in(tmp_path, f"A-1,m,Clown,2020,,90,{cell},,\nA-2,m,Clown,2020,,,{cell},,\n")
    assert book.private.sales == ()
    rows = f"A-3,Clown,650,{cell},12.11.2018\nA-4,Clown,,{cell},13.11.2018\n"
    made, book = taken_in(tmp_path / "b", rows, "ID,Genes,Paid,Sold to,Date sold")
    assert book.private.sales == ()
    assert {"650", "13.11.2018"} <= {one.written for one in made.left}


def test_sold_with_a_cry_is_sold_and_a_dead_one_in_the_column_of_buyers_died(tmp_path: Path) -> None:
    _, book = taken_in(tmp_path, "A-1,m,Clown,2020,,,sold!!,,\nA-2,m,Clown,2020,,,RIP,,\n")
    assert [(sale.animals, sale.buyer) for sale in book.private.sales] == [(("A-1",), None)]
    left = book.collection.animals["A-2"].left
    assert left is not None
    assert left.how == "died"


@pytest.mark.parametrize("paid", ["-650", "−650", "-€650", "€ -650"])
def test_what_you_gave_for_it_is_no_sale(tmp_path: Path, paid: str) -> None:
    rows = f"A-1,Clown,{paid},,12.11.2018\nA-2,Clown,{paid},Jo Fenn,13.11.2018\n"
    made, book = taken_in(tmp_path, rows, "ID,Genes,Paid,Sold to,Date sold")
    assert book.private.sales == ()
    assert [one.written for one in made.left if "below nothing" in one.why] == [paid, paid]
    assert f"paid: {paid}" in (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8").replace(
        "'", ""
    ).replace('"', "")


def test_a_status_that_nobody_explained_leaves_the_sale_out(tmp_path: Path) -> None:
    rows = "A-1,Clown,kept by us,13.11.2018,\nA-2,Clown,kept by us,13.11.2018,Jo Fenn\n"
    made, book = taken_in(tmp_path, rows, "ID,Genes,Status,Date sold,Sold to")
    assert book.private.sales == ()
    assert [one.why for one in made.left if "its status is not understood" in one.why] == [
        "A-1: its status is not understood, so this is taken for no sale",
        *["A-2: its status is not understood, so this is taken for no sale"] * 2,
    ]


@pytest.mark.parametrize(
    "status",
    [
        *("back", "back from Nagel", "mine again", "home again", "sold, back", "back 3.3.23, for sale", "returned"),
        *("stolen", "escaped", "stolen 3.3.23", "on loan to Ivo", "nearly sold"),
    ],
)
def test_a_status_that_speaks_of_no_sale_makes_none_of_a_buyer_and_a_day(tmp_path: Path, status: str) -> None:
    """They were written as sold, on the day of a sale that may be over, or of a theft."""
    row = f'A-1,Clown,"{status}",13.11.2018,Jo Fenn,120\n'
    made, book = taken_in(tmp_path, row, "ID,Genes,Status,Date sold,Sold to,Price")
    assert (book.private.sales, book.collection.animals["A-1"].sold) == ((), False)
    assert {"Sold to", "Date sold"} <= {one.what for one in made.left}


@pytest.mark.parametrize(
    ("status", "day", "buyer", "why"),
    [
        ("sold", "18.12.2031", "Jo Fenn", "a day still to come"),
        ("", "18.12.2031", "Jo Fenn", "a day still to come"),
        ("sold", "18.11.2018 paid, pick up 5.12.", "Jo Fenn", "it speaks of a collection, whose day is not read"),
    ],
)
def test_what_is_sold_on_a_day_to_come_is_not_handed_over(
    tmp_path: Path, status: str, day: str, buyer: str, why: str
) -> None:
    row = f'A-1,Clown,{status},"{day}",{buyer},120\n'
    made, book = taken_in(tmp_path, row, "ID,Genes,Status,Date sold,Sold to,Price")
    (sale,) = book.private.sales
    assert (sale.buyer, sale.agreed, sale.payments, sale.handed_over) == ("Jo Fenn", Fraction(120), (), None)
    assert (book.collection.animals["A-1"].status, book.collection.animals["A-1"].sold) == ("on hold", False)
    assert f"A-1: {why}, so it is written as held, not as handed over" in "".join(one.why for one in made.left)


def test_of_a_column_of_which_most_cells_name_no_buyer_only_a_name_is_one(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    rows = "ID,Genes,Sold to,Date sold,Paid\nA-1,Clown,me,13.11.2018,650\nA-2,Clown,mine,2019,\n"
    rows += "A-3,Clown,on loan to Jo,,\nA-4,Clown,Jo Fenn,,\n"
    _, book = taken(tmp_path, rows.encode(), {})
    assert [(sale.animals, sale.buyer) for sale in book.private.sales] == [(("A-4",), "Jo Fenn")]
    assert [name for name, animal in book.collection.animals.items() if animal.sold] == ["A-4"]


@pytest.mark.parametrize(
    ("several", "answer", "kept"),
    [
        *((True, "", ""), (True, "not taken", ""), (True, "corn-snake", "corn-snake")),
        *((False, "", "ball-python"), (False, "not taken", "")),
    ],
)
def test_the_species_of_a_sheet_without_a_column_is_asked_once_and_never_guessed(
    tmp_path: Path, several: bool, answer: str, kept: str
) -> None:
    """Neither a heading nor names of traits say it; where nobody answers, of several species none is taken."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS if several else SETTINGS.replace(", corn-snake", "")})
    sheet = b"ID,Genes\nBALLS,\nA-1,normal\nMy corns,\nB-1,normal\n"
    made, book = taken(tmp_path, sheet, {"species, ": answer})
    assert {name: animal.species for name, animal in book.collection.animals.items()} == (
        {"A-1": kept, "B-1": kept} if kept else {}
    )
    assert [question.text for key, question in made.questions.asked.items() if key.startswith("species")] == [
        "Which species are the animals of this sheet, where it does not say so?"
    ]
    assert sum(one.why.endswith("its species is not known") for one in made.left) == (0 if kept else 2)
    assert len(set(rows_and_placed(made))) == 1


@pytest.mark.parametrize("cell", ["690 on 1.9.26, 715 on 20.10.26", "1120 (13/9/26)", "1700ish", "600 (when shed)"])
def test_more_than_a_weight_and_its_day_is_left(tmp_path: Path, cell: str) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    made, _ = taken(tmp_path, f"ID;Genes;Weight\nA-1;Clown;{cell}\n".encode(), {"day of weights": "2026-10-31"})
    assert [one.why for one in made.left] == [
        "A-1: no weight in grams alone; write each weight with its day into the log"
    ]
    assert not list((tmp_path / "log").glob("*.csv"))


def test_a_status_with_more_in_its_cell_is_taken_and_the_rest_is_a_note(tmp_path: Path) -> None:
    cells = (
        "died 13.9.2021",
        "HOLD Jo Fenn till 15.12.26",
        "sold 4/11/23",
        "SOLD to Jo Fenn (nephew)",
        "sold xmas 23",
        "DEAD oct 24",
    )
    rows = "".join(f"A-{at},m,Clown,2020,{cell},180,,,\n" for at, cell in enumerate(cells))
    made, book = taken_in(tmp_path, rows)
    animals = book.collection.animals
    assert [animals[f"A-{at}"].status for at in (1, 2, 3)] == ["on hold", "sold", "sold"]
    assert [str(left.on) for name in ("A-0",) if (left := animals[name].left)] == ["None"]
    assert [(one.animals, one.buyer, str(one.handed_over)) for one in book.private.sales] == [
        (("A-2",), None, "before 2026-11-28"),
        (("A-3",), None, "before 2026-11-28"),
    ]
    assert [key for key in made.questions.asked if key.startswith("status")] == [
        "status sold xmas 23",
        "status dead oct 24",
    ]
    told = [one.written for one in made.left if "what else stands there goes into no record but a note" in one.why]
    assert told == [*cells[:4]]
    written = (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")
    assert [cell for cell in cells if cell not in written] == []


@pytest.mark.parametrize(
    "cell",
    [
        *(
            "sold her sister 2023",
            "SOLD HER SISTER",
            "sold as het Pied",
            "sold 4/11/23?",
            "sold to Jo (deposit paid)",
            "lost!",
        ),
        *(
            "sold 2023-12-02 - came back 2024-01-14",
            "on loan FROM Tom",
            "available - on hold for Tom",
            "died?",
            "Jo Fenn",
        ),
    ],
)
def test_a_status_that_may_say_something_else_is_asked_about(tmp_path: Path, cell: str) -> None:
    """Unanswered, it makes no sale, no death and no offer."""
    made, book = taken_in(tmp_path, f"A-1,m,Clown,2020,{cell},,,,\n")
    assert [key for key in made.questions.asked if key.startswith("status")] == [f"status {cell.casefold()}"]
    animal = book.collection.animals["A-1"]
    assert (animal.sold, animal.left, book.private.sales) == (False, None, ())
    assert "A-1: no status that we know" in [one.why for one in made.left]


@pytest.mark.parametrize(
    ("seller", "came"),
    [("rescue no idea", None), ("swap w. Jo", "trade"), ("on loan from Jo", "loan"), ("bought off Jo", "bought")],
)
def test_how_it_came_is_said_by_its_words(tmp_path: Path, seller: str, came: str | None) -> None:
    """In the column of its parents too, where a breeder writes of what was bought; what it carries is then a seller's word."""
    rows = f"A-1,Clown het Pied,,{seller}\nA-2,Clown het Pied,{seller},\n"
    _, book = taken_in(tmp_path, rows, "ID,Genes,Parents,From")
    for animal in book.collection.animals.values():
        assert (animal.came and animal.came.how) == came
        assert len(animal.claims) == 1


@pytest.mark.parametrize(("answer", "payments"), [("yes", 2), ("no", 0), ("", 1)])
def test_what_was_paid_is_as_the_breeder_says(tmp_path: Path, answer: str, payments: int) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    rows = "ID,Genes,Price,Paid,Sold to\nA-1,Clown,,80,Jo\nA-2,Clown,90,,Tom\n"
    made, book = taken(tmp_path, rows.encode(), {"sold prices": answer} if answer else {})
    assert sum(len(sale.payments) for sale in book.private.sales) == payments
    (question,) = (one for key, one in made.questions.asked.items() if key.startswith("sold prices"))
    assert question.choices[2] == (
        "as the columns say",
        "what stands in the column of what was paid was paid; a price alone is agreed only",
    )


@pytest.mark.parametrize(
    "remark",
    [
        *(
            "RIP 11.11.2021",
            "her mother died",
            "came back 4.4.24",
            "sold to Pat 5.5.2025",
            "SOLD to Amy L. 2025-05-05 $450",
            "escaped",
        ),
        *(
            "on loan to Kim",
            "paid 100 rest to come",
            "hold for Janelle til 12/20",
            "d. 17 Jan 2025 - old age??",
            "refunded",
            "owes 25",
        ),
        "sold her sister to Jo 20/11/24",
    ],
)
def test_a_remark_that_may_tell_more_is_told_without_a_line_to_obey(tmp_path: Path, remark: str) -> None:
    """Who obeyed `clutchlight sold A-1` sold the wrong snake."""
    made, book = taken_in(
        tmp_path, f'A-1,m,Clown,2020,breeder,,,,"{remark}"\nA-2,m,Clown,2020,breeder,,,,proved out 2025\n'
    )
    assert [(one.written, one.why) for one in made.left] == [(remark, f"A-1: {MORE}")]
    assert (book.collection.animals["A-1"].status, book.private.sales) == ("breeder", ())


@pytest.mark.parametrize("status", ["sold", "on hold", "available", "died", ""])
def test_a_price_in_another_currency_is_kept_where_it_says_so(tmp_path: Path, status: str) -> None:
    made, _ = taken_in(
        tmp_path, f"A-1,m,Clown,2020,{status},£90,Jo Fenn,,\n" if status else "A-1,m,Clown,2020,,£90,,,\n"
    )
    assert "A-1: it is in GBP, so it is not taken" in [one.why for one in made.left]
    assert "£90" in (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")
    assert not any(key.startswith("sold prices") for key in made.questions.asked)


@pytest.mark.parametrize("cell", ["T. Osgood 02/11/2019", "Kim Ode feb 2020 for £350", "Reptile House 24"])
def test_whom_it_came_from_is_one_thing(tmp_path: Path, cell: str) -> None:
    """No day and no sum is taken out of it."""
    made, book = taken_in(tmp_path, f"A-1,m,Clown,2018,,,,{cell},\n")
    animal = book.collection.animals["A-1"]
    assert (animal.came is not None and animal.came.on, made.left) == (None, [])
    assert cell in (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")


def test_a_row_that_may_be_an_animal_again_is_left(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    rows = "Name,Sex,Genes,Weight,Notes\nMarzipan,,Clown het Pied,1980,\nmarzipan (the clown),f,clown,2010,wrote her down twice\n"
    made, book = taken(tmp_path, rows.encode(), {})
    assert list(book.collection.animals) == ["Marzipan"]
    assert [one.why for one in made.left if one.line == 3] == [
        "it may be Marzipan in line 2, written twice; if it is another animal, give it a name of its own"
    ]


@pytest.mark.parametrize("parents", ["Bess x Tug", "O. Bess x Tugb.", "Tug x Bess"])
def test_a_part_of_a_parents_name_is_asked_about(tmp_path: Path, parents: str) -> None:
    rows = f"Name,Sex,Genes,Parents\nOld Bess,f,Clown,\nTugboat,m,Pied,\nSquib,m,Clown,{parents}\n"
    for answers, pair in (({"parent": "yes"}, ("Tugboat", "Old-Bess")), ({}, (None, None))):
        BARE.write(tmp_path / str(len(answers)), {"collection.yaml": SETTINGS})
        made, book = taken(tmp_path / str(len(answers)), rows.encode(), answers)
        squib = book.collection.animals["Squib"]
        assert (squib.sire, squib.dam) == pair
        texts = [one.text for key, one in made.questions.asked.items() if key.startswith("parent")]
        assert texts == [
            f"'{word}' (line 4) is no name on record. Is it {'Tugboat' if word[0] == 'T' else 'Old-Bess'}?"
            for word in parents.split(" x ")
        ]


def test_a_loan_from_somebody_and_a_swap_in_the_cost_are_not_bought(tmp_path: Path) -> None:
    rows = "A-1,Clown,Jo,on loan FROM Jo,\nA-2,Clown,Jo,,swap\nA-3,Clown,Jo,,60\n"
    _, book = taken_in(tmp_path, rows, "ID,Genes,From,Status,Bought for")
    came = [animal.came.how for animal in book.collection.animals.values() if animal.came]
    assert came == ["loan", "trade", "bought"]


def test_why_nothing_of_a_sale_is_taken_is_told(tmp_path: Path) -> None:
    rows = (
        "A-1,Clown,breeder,-650,me,13.11.2018\nA-2,Clown,,90,mine / maybe sell,\nA-3,Clown,sold,,me,\nA-4,Clown,,,RIP,13.11.2018\n"
        "A-5,Clown,,-650,Jo Fenn,\nA-6,Clown,,80,lost!,\nA-7,Clown,died at Easter,,,\n"
        "A-8,Clown,HOLD Jo till she pays,,,\nA-9,Clown,here with Jo,,,13.11.2018\n"
    )
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    head = "ID,Genes,Status,Paid,Sold to,Date sold\n"
    made, book = taken(tmp_path, f"{head}{rows}".encode(), {})
    assert book.private.sales == ()
    assert sorted(one.why for one in made.left) == [
        "A-1: an amount below nothing is what you gave for it; kept as a note",
        "A-1: you have it, so this is of no sale; it may be of how it came",
        "A-2: not a name alone, so nobody is named who has it; write it into the sale",
        "A-2: the cell of its buyer names no sale, so this is of none; if you ask this for it, write its price",
        "A-3: the cell of its buyer says that you have it",
        "A-4: it died, so no sale is written of it; kept as a note",
        "A-5: an amount below nothing is what you gave for it; kept as a note",
        "A-5: what you gave for it stands in this row, so nobody can tell whether this is of a sale",
        "A-6: not a name alone, so nobody is named who has it; write it into the sale",
        "A-6: the cell of its buyer names no sale, so this is of none; if you ask this for it, write its price",
        "A-7: no status that we know",
        "A-8: 'on hold' is taken of it; what else stands there goes into no record but a note",
        "A-9: its status is not understood, so this is taken for no sale",
        "A-9: no status that we know",
    ]


def test_a_parent_whose_name_is_a_word_of_coming_stays_a_parent(tmp_path: Path) -> None:
    rows = "Name,Sex,Genes,Parents\nGift,f,Clown,\nBo,m,Pied,\nSquib,m,Clown,Gift/Bo\n"
    _, book = taken_in(tmp_path, rows.partition("\n")[2], rows.partition("\n")[0])
    assert (book.collection.animals["Squib"].sire, book.collection.animals["Squib"].dam) == ("Bo", "Gift")


def test_an_n_in_the_column_of_sales_is_no_sale(tmp_path: Path) -> None:
    _, book = taken_in(tmp_path, "A-1,Clown,available,n\nA-2,Pied,available,y\n", "ID,Genes,Status,Date sold")
    assert [book.collection.animals[name].status for name in ("A-1", "A-2")] == ["available", "not for sale"]


def test_a_word_and_a_dash_before_an_amount_are_not_below_nothing() -> None:
    paid = {cell: is_paid_out(cell) for cell in ("-200", "EUR -200", "- 200 €", "-€200", "ask-200", "was - 200")}
    assert [cell for cell, out in paid.items() if not out] == ["ask-200", "was - 200"]


@pytest.mark.parametrize(
    ("status", "buyer", "remark"),
    [
        ("out on loan", "Pat Weddle", ""),
        ("hold?", "Ollie maybe", ""),
        ("hold?", "Ollie", ""),
        ("wants to think", "Ollie", ""),
        ("sold 2/12/23 - came back 14/1/24", "Jo Fenn", ""),
        ("sold", "HOLD Jo Fenn", ""),
        ("", "Ollie maybe", ""),
        ("", "was Jo Fenn", ""),
        ("", "Jo Fenn til 31/12/26", ""),
        ("", "Jo Fenn", "HOLD"),
        ("", "Pat Weddle", "out on loan"),
        ("", "Jo Fenn", "came back 14/1/24"),
    ],
)
def test_a_name_among_the_buyers_makes_no_sale_where_the_row_says_otherwise(
    tmp_path: Path, status: str, buyer: str, remark: str
) -> None:
    made, book = taken_in(tmp_path, f"A-1,m,Clown,2020,{status},150,{buyer},,{remark}\n")
    assert book.private.sales == ()
    assert not book.collection.animals["A-1"].sold
    assert buyer in {one.written for one in made.left}


def test_a_question_answered_on_hold_is_a_hold(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "A-1,m,Clown,2020,hold?,150,Ollie,,\nA-2,m,Clown,2020,HOLD,150,Jo Fenn,,\n"
    made, book = taken(tmp_path, f"{HEAD}\n{rows}".encode(), {"status hold?": "on hold"})
    held = [(sale.buyer, str(sale.until), sale.handed_over) for sale in book.private.sales]
    assert held == [("Ollie", "None", None), ("Jo Fenn", "None", None)]
    assert made.left == []


def test_a_name_in_the_cell_of_a_status_is_kept(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "A-1,m,Clown,2020,given to Ollie (nephew),,,,\nA-2,m,Clown,2020,reserved Hattie C,130,,,\n"
    made, book = taken(tmp_path, f"{HEAD}\n{rows}".encode(), {"status given": "sold"})
    assert [(sale.animals, sale.buyer) for sale in book.private.sales] == [(("A-1",), None)]
    written = (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")
    assert ("given to Ollie (nephew)" in written, "reserved Hattie C" in written) == (True, True)
    assert [key for key in made.questions.asked if key.startswith("status")] == ["status given to ollie (nephew)"]


@pytest.mark.parametrize(
    ("answer", "agreed"),
    [("yes", [(80, 1), (90, 1)]), ("all but A-2", [(80, 1), (90, 0)]), ("no", [(None, 0)] * 2), ("", [(None, 0)] * 2)],
)
def test_all_prices_but_those_named_were_paid(
    tmp_path: Path, answer: str, agreed: list[tuple[int | None, int]]
) -> None:
    """Where nobody says which, the price is a note of the sale: a paper that calls it open, or paid, may be false."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    rows = "ID,Genes,Price,Status,Sold to\nA-1,Clown,80,sold,Jo\nA-2,Clown,90,sold,Tom\n"
    made, book = taken(tmp_path, rows.encode(), {"sold prices": answer} if answer else {})
    assert [(sale.agreed, len(sale.payments)) for sale in book.private.sales] == agreed
    untold = [sale.note for sale in book.private.sales if sale.note]
    assert untold == ([] if "A" in answer or answer == "yes" else ["price 80", "price 90"])
    (question,) = (one for key, one in made.questions.asked.items() if key.startswith("sold prices"))
    assert question.fits("all but A-3") is None
    assert "'a-3' is none of them" in question.why_not("all but A-3")


@pytest.mark.parametrize(
    ("id_", "status"), [("26 eggs", "6 good 2 slugs laid 14/6/26"), ("26 eggs", ""), ("E-1", "5 eggs"), ("", "7 eggs")]
)
def test_a_row_of_eggs_is_no_animal(tmp_path: Path, id_: str, status: str) -> None:
    remark = "all hatched" if id_ else "26 eggs"
    made, book = taken_in(tmp_path, f"A-1,m,Clown,2020,,,,,\n{id_},,,,{status},,,,{remark}\n")
    assert set(book.collection.animals) == {"A-1"}
    assert "this reads as a clutch, and no animal; write it with `clutchlight laid DAM --by SIRE" in made.left[0].why
    assert made.left[0].written == " | ".join(filter(None, (id_, status, remark)))
    assert not any(key.startswith(("status", "slugs")) for key in made.questions.asked)


@pytest.mark.parametrize(
    "row",
    [
        "C26-1,,,2026-07-01,M-1,F-1,2026-05-02,7,1,all good",
        "C26-2,,,,M-1,F-1,2026-08-02,5,,",
        ",,,2026-07-01,M-1,F-1,,4,0,",
        'C26-3,,,2026-07-01,,,,,,"7 eggs, 1 slug, M-1 x F-1"',
        "5 eggs F-1,,,,,,,,,laid 2.8.26",
        'Clutch 2026-1,,,,,,,,,"M-1 x F-1, 6 good 2 slugs"',
    ],
)
def test_a_row_of_a_clutch_among_animals_with_columns_of_eggs_is_no_animal(tmp_path: Path, row: str) -> None:
    """A row that says what an animal is stays one, whatever it counts."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    head = "ID,Sex,Genes,Hatched,Sire,Dam,Laid,Eggs,Slugs,Notes"
    parents = "M-1,m,Clown,2019,,,,,,\nF-1,f,Clown,2019,,,2026-05-02,7,1,7 eggs\nX-1,,,2024,,,,0,,2 good sheds\n"
    made, book = taken(tmp_path, f"{head}\n{parents}{row}\n".encode(), {})
    assert set(book.collection.animals) == {"M-1", "F-1", "X-1"}
    assert ["this reads as a clutch" in one.why for one in made.left if not one.what] == [True]


def test_a_day_of_death_still_to_come_is_told_once(tmp_path: Path) -> None:
    made, _ = taken_in(tmp_path, "A-1,Clown,2031-05-01\n", "ID,Genes,Died")
    assert [one.why for one in made.left] == ["A-1: a day still to come; look at the year"]


def test_days_in_a_row_of_one_pair_are_one_clutch(tmp_path: Path) -> None:
    """A row by itself on the day after joins too, and one of half the pair on any of the days is named as outside of it."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    rows = "ID,Sex,Genes,Hatched,Parents,Sire\nA-1,m,Clown,,,\nA-2,f,Clown,,,\n" + "".join(
        f"B-{at},m,Clown,2023-08-{day},A-1 x A-2,\n" for at, day in enumerate((18, 18, 19, 19, 21))
    )
    rows += "B-6,m,Clown,2023-08-19,,A-1\nB-7,m,Clown,2024-08-31,A-1 x A-2,\nB-8,m,Clown,2024-09-01,A-1 x A-2,\n"
    made, book = taken(tmp_path, rows.encode(), {})
    clutches = book.collection.clutches.values()
    assert [(str(one.hatched), len(one.young)) for one in clutches] == [
        ("2023-08-18..19", 4),
        ("2024-08-31..2024-09-01", 2),
    ]
    assert str(book.collection.animals["B-4"].hatched) == "2023-08-21"
    (question,) = (one.text for key, one in made.questions.asked.items() if key.startswith("clutches"))
    assert "2023-08-18..19, 4 young; outside of it, of that day and maybe of them: B-6" in question
    written = "".join(file.read_text(encoding="utf-8") for file in (tmp_path / "clutches").glob("*.md"))
    assert written.count("hatched_as_written") == 6


@pytest.mark.parametrize(("answer", "sales"), [("here", 0), ("sold", 1), ("", 0)])
def test_what_came_back_is_sold_only_once_the_breeder_says_so(tmp_path: Path, answer: str, sales: int) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    rows = "ID,Genes,Status,Sold to\nA-1,Clown,sold,returned!\n"
    _, book = taken(tmp_path, rows.encode(), {"returned animals": answer} if answer else {})
    assert len(book.private.sales) == sales
    assert book.collection.animals["A-1"].sold is bool(sales)


def test_of_what_came_back_an_earlier_day_and_status_are_kept_as_notes(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    rows = "ID,Genes,Status,Sold to,Acquired\nA-1,Clown,breeder,returned!,2019-05-05\n"
    made, book = taken(tmp_path, rows.encode(), {"returned animals": "here"})
    assert book.collection.animals["A-1"].status == "not for sale"
    assert made.taken.animals["A-1"]["private"] == {
        "buyer_as_written": "returned!",
        "came_as_written": "2019-05-05",
        "status_as_written": "breeder",
    }
    assert {"2019-05-05", "breeder"} <= {one.written for one in made.left}


@pytest.mark.parametrize("row", ["A-1,Clown,doa,Jo (returned),", "A-1,Clown,,Jo (returned),2024-03-01"])
def test_what_came_back_and_died_is_dead(tmp_path: Path, row: str) -> None:
    """It was asked where it is now, and written as here."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    made, book = taken(tmp_path, f"ID,Genes,Status,Sold to,Died\n{row}\n".encode(), {"returned animals": "here"})
    assert (book.collection.animals["A-1"].away is None, book.private.sales) == (False, ())
    assert not any(key.startswith("returned animals") for key in made.questions.asked)
    assert "Jo (returned)" in str(made.taken.animals["A-1"]["private"])


@pytest.mark.parametrize("cell", ["egg bound", "alive", "3/24"])
def test_a_cell_of_death_that_is_no_day_is_kept_beside_a_sign_of_death(tmp_path: Path, cell: str) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    made, _ = taken(tmp_path, f"ID,Name,Genes,Died\nA-1,Wisp †,Clown,{cell}\n".encode(), {})
    record = made.taken.animals["A-1"]
    assert (record["left"], record["private"]) == ({"how": "died"}, {"died_as_written": cell})
    assert [one.written for one in made.left] == [cell]


def test_an_amount_in_the_status_beside_another_behind_the_name_is_neither_taken_nor_lost(tmp_path: Path) -> None:
    """Without a column of prices the whole sheet ended in an error."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    rows = "ID,Genes,Status,Sold to\nA-1,Clown,sold 300€,Jens 180€\n"
    made, book = taken(tmp_path, rows.encode(), {"currency": "EUR"})
    assert [(sale.buyer, sale.agreed) for sale in book.private.sales] == [("Jens", None)]
    assert made.taken.animals["A-1"]["private"] == {"status_as_written": "sold 300€", "buyer_as_written": "Jens 180€"}


def test_an_amount_behind_a_name_is_kept_where_what_was_paid_is_not_read(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    rows = "ID,Genes,Sold to,Sold for\nA-1,Clown,Ann 200 EUR,half\n"
    made, book = taken(tmp_path, rows.encode(), {"currency": "EUR"})
    assert [(sale.buyer, sale.agreed, sale.note) for sale in book.private.sales] == [("Ann", None, "paid: half")]
    assert made.taken.animals["A-1"]["private"] == {"buyer_as_written": "Ann 200 EUR", "paid_as_written": "half"}


def test_of_two_origins_the_one_that_is_not_taken_is_kept_as_a_note(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    rows = "ID,Genes,Where from,Acquired\nA-1,Clown,wild,bred here\nA-2,Clown,own,bred here\n"
    made, _ = taken(tmp_path, rows.encode(), {})
    one, other = (made.taken.animals[name] for name in ("A-1", "A-2"))
    assert (one["origin"], one["private"]) == ("wild", {"came_as_written": "bred here"})
    assert (other["origin"], other.get("private")) == ("bred here", None)
    assert [left.written for left in made.left] == ["bred here"]


@pytest.mark.parametrize(
    ("genes", "shows", "hets", "note"),
    [
        ("", "Clown", "Clown, Pied", {"hets_as_written": "Clown, Pied"}),
        ("het Clown, het Pied", "Clown", "", {"genes_as_written": "het Clown, het Pied"}),
    ],
)
def test_a_het_of_what_is_seen_is_kept_as_a_note_and_the_others_are_taken(
    tmp_path: Path, genes: str, shows: str, hets: str, note: dict[str, str]
) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    made, _ = taken(tmp_path, f'ID,Genes,Shows,Hets\nA-1,"{genes}","{shows}","{hets}"\n'.encode(), {})
    record = made.taken.animals["A-1"]
    assert (record["shows"], record["claims"], record["private"]) == (["Clown"], {"Piebald": "100%"}, note)
    assert [one.written for one in made.left] == [*note.values()]


def test_a_day_of_weighing_without_a_weight_is_kept_as_a_note(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    made, _ = taken(tmp_path, b"ID,Genes,Weight,Weighed\nA-1,Clown,big,2026-01-02\nA-2,Clown,900,2026-01-03\n", {})
    records = [made.taken.animals[name].get("private") for name in ("A-1", "A-2")]
    assert records == [{"weight_as_written": "big", "weighed_as_written": "2026-01-02"}, None]


@pytest.mark.parametrize("cell", ["here", "still here"])
def test_that_it_is_here_in_place_of_a_buyer_is_kept_as_a_note(tmp_path: Path, cell: str) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    made, book = taken(tmp_path, f"ID,Genes,Price,Sold to\nA-1,Clown,300,{cell}\n".encode(), {"prices without": "yes"})
    animal = made.taken.animals["A-1"]
    assert (book.collection.animals["A-1"].status, animal["private"]) == ("available", {"buyer_as_written": cell})
    assert [one.written for one in made.left] == [cell]


@pytest.mark.parametrize(
    "remark", ["€100 deposit 11/20/2025", "Anzahlung 100 € am 20.11.2025", "deposit 100", "100 paid"]
)
def test_a_deposit_in_a_remark_is_told(tmp_path: Path, remark: str) -> None:
    """It was stated as not paid, and nobody was told."""
    made, book = taken_in(tmp_path, f"A-1,m,Clown,2020,on hold,400,Kit Amory,,{remark}\n")
    (sale,) = book.private.sales
    assert (sale.payments, [one.why for one in made.left]) == ((), [f"A-1: {MORE}"])
    assert any(remark in file.read_text(encoding="utf-8") for file in (tmp_path / "animals").iterdir())


@pytest.mark.parametrize("remark", ["never ate, died 10/15/2022", "her sister died 10/15/2022"])
def test_a_death_in_a_remark_is_told_and_no_day_of_one_that_died(tmp_path: Path, remark: str) -> None:
    made, book = taken_in(tmp_path, f'A-1,m,Clown,2020,died,,,,"{remark}"\n')
    away = book.collection.animals["A-1"].away
    assert away is not None
    assert away.on is None
    assert [one.why for one in made.left] == [f"A-1: {MORE}"]


@pytest.mark.parametrize("cell", ["spring 2024 Rob Tarnley", "in late autumn '23 Rob", "Sept 2024"])
def test_a_season_or_a_month_alone_is_no_name_of_a_buyer(cell: str) -> None:
    found = buyer_in(cell)
    assert (found.name, bool(found.why)) == ("", True)
