"""What reads like a buyer, a seller, an animal or a parent, and is none; and what is one though it stands where it is not looked for."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from tests.rooms import BARE, SETTINGS
from tests.unit.test_intake import TODAY, taken

from clutchlight.intake.cells import Buyer, buyer_in, hold_in, is_paid_out, sold_on, weight_in
from clutchlight.intake.columns import guess, sheets_in
from clutchlight.intake.run import TakenIn
from clutchlight.pipeline import Book

HEAD = "ID,Sex,Genes,Hatched,Status,Price,Sold to,From,Remarks"


def taken_in(folder: Path, rows: str, head: str = HEAD) -> tuple[TakenIn, Book]:
    BARE.write(folder, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    return taken(folder, f"{head}\n{rows}".encode(), {})


@pytest.mark.parametrize("cell", ["-", "n/a", "none", "?", "no", "n", "unsold"])
def test_nobody_is_no_buyer(cell: str) -> None:
    assert buyer_in(cell) == Buyer()


@pytest.mark.parametrize(
    ("cell", "why"),
    [
        ("res. Tom", "hold"),
        ("reserved Tom", "hold"),
        ("hold Tom", "hold"),
        ("Tom?", "hold"),
        ("res. Tom 200", "hold"),
        ("hold Tom?", "hold"),
        ("réservé", "hold"),
        ("on deposit", "hold"),
        ("resv Tom", "hold"),
        ("for sale", "a status"),
        ("keeping", "a status"),
        ("x", "no name"),
        ("given to my sister", "gift"),
        ("euthanized in May", "death"),
        ("died?", "death"),
    ],
)
def test_what_is_no_sale_is_left_with_its_reason(tmp_path: Path, cell: str, why: str) -> None:
    made, book = taken_in(tmp_path, f"A-1,m,Clown,2020,,,{cell},,\nA-2,m,Clown,2020,available,,{cell},,\n")
    assert [one.written for one in made.left if why in one.why] == [cell, cell]
    assert book.private.sales == ()
    assert (book.collection.animals["A-1"].sold, book.collection.animals["A-2"].status) == (False, "available")


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
    assert (sale.buyer, [one.why for one in made.left if one.written == cell]) == (None, ["A-1: no name of a buyer"])


@pytest.mark.parametrize("cell", ["Jo at the expo", "Expo Reptiles", "Ann Shaw", "Kim Fairley", "Sam Locally"])
def test_a_name_with_a_word_of_a_place_is_a_name(cell: str) -> None:
    assert buyer_in(cell) == Buyer(cell, sold=True)


@pytest.mark.parametrize("status", ["gave away", "given away", "gifted", "gave her away to my nephew"])
def test_what_was_given_away_is_gone_without_a_price(tmp_path: Path, status: str) -> None:
    """None of the answers to its question was that."""
    made, book = taken_in(tmp_path, f"A-1,m,Clown,2020,{status},200,,,\n")
    (sale,) = book.private.sales
    assert (sale.agreed, sale.payments, sale.handed_over is not None) == (None, (), True)
    assert [one.why for one in made.left] == ["A-1: a gift; its sale is written without a price"]
    assert not any(key.startswith(("status", "sold prices")) for key in made.questions.asked)


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
        ("Familie Köhler, 400,-", "Familie Köhler", "400"),
        ("Sabine Ott (pd 200)", "Sabine Ott", "200"),
        ("sold to Tom", "Tom", None),
        ("verkocht aan Piet", "Piet", None),
        ("vendido a Juan", "Juan", None),
        ("SOLD A. Smith", "A. Smith", None),
        ("Ott, Sabine", "Ott, Sabine", None),
        ("tom88@example.org", "tom88@example.org", None),
        ("Respa Holder", "Respa Holder", None),
        ("€180 Jens", "Jens", "180"),
        ("180€ Jens", "Jens", "180"),
        ("pd 200 Familie Köhler", "Familie Köhler", "200"),
    ],
)
def test_an_amount_beside_the_name_is_what_was_paid(cell: str, name: str, paid: str | None) -> None:
    found = buyer_in(cell)
    assert (found.name, found.sold, found.paid and found.paid.amount, found.why) == (name, True, paid, "")


@pytest.mark.parametrize(
    ("cell", "name"),
    [
        ("Nadja, trade", "Nadja"),
        ("Jens 180", "Jens"),
        ("sold 250", ""),
        ("gone", ""),
        ("vendido", ""),
        ("sold, 2 Brothers", ""),
    ],
)
def test_what_is_not_plain_beside_the_name_is_left(cell: str, name: str) -> None:
    found = buyer_in(cell)
    assert (found.name, found.sold, found.paid) == (name, True, None)
    assert found.why


@pytest.mark.parametrize(
    ("cell", "sale"),
    [
        ("Kay Dunmore 15/10/2022 180€", ("Kay Dunmore", "2022-10-15", None, Fraction(0))),
        ("Jens 180€", ("Jens", "before 2026-11-28", None, Fraction(0))),
        ("Jens, 2 Dec 2023, €180 cash", ("Jens", "2023-12-02", Fraction(180), Fraction(180))),
        ("Rhona Espley Feb 2024", ("Rhona Espley", "2024-02", None, Fraction(0))),
        ("Rhona Espley Feb 15 2024", ("Rhona Espley", "2024-02-15", None, Fraction(0))),
        ("Dougie Farrant 14/2/26, gift", ("Dougie Farrant", "2026-02-14", None, Fraction(0))),
        ("Jens 180€ + 20€ shipping", ("Jens", "before 2026-11-28", None, Fraction(0))),
    ],
)
def test_the_cell_of_a_buyer_goes_before_the_price_that_was_asked(
    tmp_path: Path, cell: str, sale: tuple[str, str, Fraction | None, Fraction]
) -> None:
    """Its day and its amount are those of the sale, but only a word of it says that it was paid; else that is asked as of any price."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = f'{HEAD}\nA-1,m,Clown,13/05/2020,sold,250,"{cell}",,\n'
    made, book = taken(tmp_path, rows.encode(), {"sold prices": "no", "order of days": "day first"})
    (found,) = book.private.sales
    assert (found.buyer, str(found.handed_over), found.agreed, found.paid()) == sale
    asked = [key for key in made.questions.asked if key.startswith("sold prices")]
    price = "price 250" if "Feb" in cell else "price 180" if cell.endswith(" 180€") else None
    assert (len(asked), found.note) == (1 if price else 0, price)
    written = (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")
    assert ("250" in written) == ("Feb" not in cell)
    assert (cell in written) == any(word in cell for word in ("cash", "gift", "shipping"))


@pytest.mark.parametrize(
    "behind",
    [
        *("owes €45", "(owes €45)", "- owes €45", "still owes €25", "to pay €45", "unpaid €45", "IOU €45", "owed €45"),
        *(
            "was €45",
            "offered €40",
            "@ €45",
            "knocked off €5",
            "less €5",
            "inc €10 tub",
            "OWES €45 21/11/25",
            "owes me",
        ),
    ],
)
def test_a_word_between_the_name_and_a_sum_is_no_part_of_the_name_and_nothing_was_paid(
    tmp_path: Path, behind: str
) -> None:
    """`Pete Ness owes €45` was sold to `Pete Ness owes`, who had paid 45."""
    made, book = taken_in(tmp_path, f"A-1,m,Clown,2020,Sold,,Pete Ness {behind},,\n")
    (sale,) = book.private.sales
    assert (sale.buyer, sale.agreed, sale.payments) == ("Pete Ness", None, ())
    assert "is no part of the buyer's name" in made.left[0].why


def test_a_sum_beside_a_buyer_is_asked_about_as_one_in_the_column_of_prices_is(tmp_path: Path) -> None:
    """It was written as paid, and nobody was asked."""
    rows = "A-1,m,Clown,2020,Sold,,Pete Ness €45,,\nA-2,m,Clown,2020,Sold,,Jo Fenn paid €60,,\n"
    for answer, paid in (("yes", 45), ("no", 0)):
        folder = tmp_path / answer
        BARE.write(folder, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
        made, book = taken(folder, f"{HEAD}\n{rows}".encode(), {"sold prices": answer})
        assert [sale.paid() for sale in book.private.sales] == [paid, 60]
        (text,) = (one.text for key, one in made.questions.asked.items() if key.startswith("sold prices"))
        assert text == "1 sold animal has a price: A-1. Was it paid in full?"


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("Lena Crabbe, deposit €100 paid 8/11/26, collecting 12 Dec", ""),
        ("Lena Crabbe deposit €100 paid 8/11/26 until 12/12/2026", ""),
        ("Lena Crabbe, deposit €100", "'deposit €100' is no part"),
        ("Lena Crabbe, deposit €100 paid 8/11/26, rest in May", "'deposit €100 paid 8/11/26, rest in May' is no part"),
        ("Lena Crabbe, dep paid", "'dep paid' speaks of a deposit"),
    ],
)
def test_a_deposit_in_the_cell_of_a_buyer_is_paid_for_a_hold(tmp_path: Path, cell: str, told: str) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = f'{HEAD}\nA-1,m,Clown,13/05/2020,on hold,300,"{cell}",,\n'
    made, book = taken(tmp_path, rows.encode(), {"order of days": "day first"})
    (sale,) = book.private.sales
    paid = [(str(one.on), one.amount) for one in sale.payments]
    assert (sale.buyer, sale.agreed, sale.handed_over) == ("Lena Crabbe", Fraction(300), None)
    assert (paid, str(sale.until)) == (([], "None") if told else ([("2026-11-08", Fraction(100))], "2026-12-12"))
    assert [told in one.why for one in made.left] == ([True] if told else [])


@pytest.mark.parametrize("status", ["", "sold", "available"])
def test_a_deposit_alone_makes_no_sale_and_no_payment(tmp_path: Path, status: str) -> None:
    made, book = taken_in(tmp_path, f'A-1,m,Clown,2020,{status},,"Lena Crabbe, deposit €100 paid 18/11/26",,\n')
    assert [(sale.buyer, sale.agreed) for sale in book.private.sales] == (
        [("Lena Crabbe", None)] if status == "sold" else []
    )
    assert [one.written for one in made.left] == ["Lena Crabbe, deposit €100 paid 18/11/26"]


def test_a_part_of_the_price_that_was_paid_is_left(tmp_path: Path) -> None:
    made, book = taken_in(tmp_path, "A-1,m,Clown,2020,,250,Jens pd 180€,,\n")
    assert [one.why for one in made.left] == [
        "A-1: the amount beside the name is not the one in the column of prices, so it is not taken"
    ]
    assert [(sale.buyer, sale.agreed) for sale in book.private.sales] == [("Jens", None)]
    assert book.private.sales[0].note == "price 250"


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


@pytest.mark.parametrize(
    ("word", "sire", "kept"),
    [
        ("bred here (Wisp x Sloe)", "A-2", ""),
        ("own 2020 (A-3 x A-2)", "A-2", ""),
        ("bred here (Wisp x Hedda)", None, "(Wisp x Hedda)"),
        ("own 2020", None, "own 2020"),
    ],
)
def test_parents_beside_bred_here_are_parents(tmp_path: Path, word: str, sire: str | None, kept: str) -> None:
    """They stood in no record, and no word said that they were dropped."""
    rows = f"A-1,,f,normal,2022,{word}\nA-2,Wisp,m,Clown,2019,\nA-3,Sloe,f,Pied,2019,\n"
    _, book = taken_in(tmp_path, rows, "ID,Name,Sex,Genes,Hatched,From")
    assert book.collection.animals["A-1"].sire == sire
    assert kept in (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")


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


def test_a_column_of_species_is_known_by_its_words() -> None:
    (sheet,) = sheets_in(b"ID,Kept as,Sex\nA-1,BP,m\nA-2,Corn,f\nA-3,Hog,m\n", "herd.csv")
    assert guess(sheet).roles[1] == "species"


def test_a_species_that_is_not_known_is_asked_about_with_all_there_are(tmp_path: Path) -> None:
    made, _ = taken_in(tmp_path, "A-1,Natter,m,Clown\n", "ID,Species,Sex,Genes")
    offered = dict(made.questions.asked["species natter"].choices)
    assert "add it to species in collection.yaml" in offered["corn-snake"]
    assert "ball-python" in offered


def test_what_a_list_remarks_is_told_where_it_reads_as_a_death_or_is_on_no_record(tmp_path: Path) -> None:
    """The first list keeps its remarks; the same list again has nothing new to tell."""
    rows = "A-1,m,Clown,2020,,,,,calm\nA-2,m,Clown,2020,,,,,died 2.2.25\n"
    made, _ = taken_in(tmp_path, rows)
    assert [one.why for one in made.left] == ["A-2: this reads as a death: `clutchlight died A-2 --on 2025-02-02`"]
    again, _ = taken(tmp_path, f"{HEAD}\n{rows}".encode(), {})
    assert again.left == []
    later, _ = taken(
        tmp_path, f"{HEAD}\nA-1,m,Clown,2020,,,,,died 3/26\nA-2,m,Clown,2020,,,,,proved out 2025\n".encode(), {}
    )
    assert [one.why for one in later.left] == [
        "A-1: this reads as a death: `clutchlight died A-1 --on DAY`",
        "A-2: a remark that its record does not hold; write what is so into the record",
    ]
    assert not any(line.startswith("Left out: nothing") for line in later.as_text())


def test_an_amount_beside_the_name_of_who_holds_it_is_told(tmp_path: Path) -> None:
    made, _ = taken_in(tmp_path, "A-1,m,Clown,2020,on hold,,Jens 180€,,\n")
    assert [one.written for one in made.left] == ["Jens 180€"]


@pytest.mark.parametrize("cell", ["res. Tom", "reserved for Tom", "hold Tom", "Tom"])
def test_what_is_on_hold_is_held_for_the_one_named(tmp_path: Path, cell: str) -> None:
    made, book = taken_in(tmp_path, f"A-1,m,Clown,2020,on hold,,{cell},,\nA-2,m,Clown,2020,on hold,,hold until May,,\n")
    assert [sale.buyer for sale in book.private.sales] == ["Tom"]
    assert [one.written for one in made.left] == ["hold until May"]


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
    made, book = taken(tmp_path, rows.encode(), {"currency": "leave out"})
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


@pytest.mark.parametrize("answer", ["years", None])
def test_two_figures_alone_are_a_year_once_the_breeder_says_so(tmp_path: Path, answer: str | None) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "ID,Sex,Genes,Hatched\nA-1,m,Clown,21\nA-2,f,Clown,98\nA-3,f,Clown,2019\n"
    made, book = taken(tmp_path, rows.encode(), {"two figures": answer} if answer else {})
    hatched = [str(animal.hatched) for animal in book.collection.animals.values()]
    assert hatched == (["2021", "1998", "2019"] if answer else ["None", "None", "2019"])
    assert sum(key.startswith("two figures") for key in made.questions.asked) == 1
    assert [one.written for one in made.left] == ([] if answer else ["21", "98"])


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


def test_a_day_and_a_month_without_a_year_are_no_month_of_a_year(tmp_path: Path) -> None:
    """One answer for `11/22` made `1.10.` January 2010."""
    rows = "".join(
        f"A-{at},m,Clown,2005,{sold},{buyer},,\n"
        for at, (sold, buyer) in enumerate(
            [("11/22", "Jo"), ("1.10.", "Jo"), ("", "Jo Fenn 1.10."), ("11.22", "Jo"), ("1.10. 2009", "Jo")]
        )
    )
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    made, book = taken(tmp_path, f"ID,Sex,Genes,DOB,Sold on,Sold to,,\n{rows}".encode(), {"two figures": "years"})
    (question,) = (one for key, one in made.questions.asked.items() if key.startswith("two figures"))
    assert question.choices[0] == ("years", "11/22 is 2022-11")
    assert "1.10." not in question.text
    assert {sale.animals[0]: str(sale.handed_over) for sale in book.private.sales} == {
        "A-0": "2022-11",
        "A-1": f"before {TODAY}",
        "A-2": f"before {TODAY}",
        "A-3": "2022-11",
        "A-4": f"before {TODAY}",
    }
    assert "A-1: a day and a month without a year" in [one.why for one in made.left]


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
        ("sold 18.12.2031", "", "Jo Fenn", "a day still to come"),
        ("sold", "", "Jo Fenn 18.12.2031", "a day still to come"),
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


@pytest.mark.parametrize(("answer", "buyers"), [("yes", ["Jo Fenn"]), ("no", []), ("", [])])
def test_a_column_of_which_most_cells_name_no_buyer_is_asked_about(
    tmp_path: Path, answer: str, buyers: list[str]
) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    rows = "ID,Genes,Sold to,Date sold,Paid\nA-1,Clown,me,13.11.2018,650\nA-2,Clown,mine,2019,\n"
    rows += "A-3,Clown,on loan to Jo,,\nA-4,Clown,Jo Fenn,,\n"
    made, book = taken(tmp_path, rows.encode(), {"column of buyers": answer} if answer else {})
    assert [sale.buyer for sale in book.private.sales] == buyers
    assert not any(animal.sold for name, animal in book.collection.animals.items() if name != "A-4")
    assert made.questions.asked["column of buyers, id/genes/sold to/date sold/paid"].text == (
        "Of the 4 cells of column C (Sold to), 3 name no buyer, such as 'me' and 'mine'."
        " Did the people in the others buy the animal of their row?"
    )


def test_a_column_of_buyers_and_of_nobody_is_not_asked_about(tmp_path: Path) -> None:
    rows = "".join(f"A-{at},m,Clown,2020,,,{cell},,\n" for at, cell in enumerate(["-"] * 5 + ["Jo Fenn", "Tom"]))
    made, _ = taken_in(tmp_path, rows)
    assert not any(key.startswith("column of buyers") for key in made.questions.asked)


TWO_KINDS = "ID,Genes\nBALLS,\nA-1,Clown\nSOLD 2025,\nA-2,ghost\nMy corns,\nB-1,Butter\nB-2,hypo\n"


@pytest.mark.parametrize(("settings", "asked"), [(SETTINGS, 2), (SETTINGS.replace(", corn-snake", ""), 0)])
def test_a_heading_that_calls_a_species_carries_down(tmp_path: Path, settings: str, asked: int) -> None:
    """Each is asked about where there are several to choose from; where the collection does not have it, its rows are left."""
    BARE.write(tmp_path, {"collection.yaml": settings})
    made, book = taken(tmp_path, TWO_KINDS.encode(), {})
    kinds = {name: animal.species for name, animal in book.collection.animals.items()}
    corns = {"B-1": "corn-snake", "B-2": "corn-snake"} if asked else {}
    assert kinds == {"A-1": "ball-python", "A-2": "ball-python", **corns}
    assert [one.text for key, one in made.questions.asked.items() if key.startswith("species")] == [
        f"Which species are the rows below '{heading}', where they do not say so?" for heading in ("BALLS", "My corns")
    ][:asked]
    left = [
        one.why
        for one in made.left
        if one.why.endswith(
            "write `species: [ball-python, corn-snake]` into collection.yaml, then take the list in again"
        )
    ]
    assert len(left) == 2 - len(corns)


@pytest.mark.parametrize(("answer", "animals"), [("ball-python", 3), ("corn-snake", 0), ("", 0)])
def test_words_of_a_species_that_the_collection_does_not_have_are_asked_about(
    tmp_path: Path, answer: str, animals: int
) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "ID,Genes\nA-1,Amel het motley\nA-2,Anery\nA-3,caramel\n"
    made, book = taken(tmp_path, rows.encode(), {"species by its names": answer} if answer else {})
    assert len(book.collection.animals) == animals
    (question,) = (one for key, one in made.questions.asked.items() if key.startswith("species"))
    assert question.text == (
        "'amel', 'motley' and 'anery' are names of the corn snake, and of no ball python."
        " Which species are the animals of this sheet, where it does not say so?"
    )


def test_a_month_with_two_figures_is_asked_about_once(tmp_path: Path) -> None:
    rows = "ID,Genes,Hatched\nA-1,Clown,19\nA-2,Clown,aug 18\nA-3,Clown,8/21\nA-4,Clown,8/30\n"
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    made, book = taken(tmp_path, rows.encode(), {"two figures": "years"})
    hatched = [str(animal.hatched) for animal in book.collection.animals.values()]
    assert hatched == ["2019", "2018-08", "2021-08", "None"]
    asked = made.questions.asked["two figures, id/genes/hatched"]
    assert (asked.text, asked.choices[0]) == (
        "3 cells where a day is looked for have two figures where a year may be meant, such as 19, aug 18 and 8/21. Are they years?",
        ("years", "19 is 2019, aug 18 is 2018-08, 8/21 is 2021-08"),
    )


@pytest.mark.parametrize(
    ("cell", "weighed"),
    [("1120 (13/9/26)", "2026-09-13,A-1,weight,,1120,"), ("2010 g  2.2.26", "2026-02-02,A-1,weight,,2010,")],
)
def test_a_day_beside_a_weight_is_its_day(tmp_path: Path, cell: str, weighed: str) -> None:
    made, _ = taken_in(tmp_path, f"A-1,Clown,{cell}\n", "ID,Genes,Weight")
    (log,) = (tmp_path / "log").glob("*.csv")
    assert weighed in log.read_text(encoding="utf-8")
    assert not any(key.startswith("day of weights") for key in made.questions.asked)


@pytest.mark.parametrize("cell", ["690 on 1.9.26, 715 on 20.10.26", "1700ish", "600 (when shed)"])
def test_more_than_a_weight_and_its_day_is_left(tmp_path: Path, cell: str) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    made, _ = taken(tmp_path, f"ID;Genes;Weight\nA-1;Clown;{cell}\n".encode(), {"day of weights": "2026-10-31"})
    assert [one.why for one in made.left] == [
        "A-1: a weight, and a day or a word in the same cell; write each weight with its day"
    ]
    assert not list((tmp_path / "log").glob("*.csv"))


def test_a_status_with_more_in_its_cell_is_read_without_a_question(tmp_path: Path) -> None:
    rows = (
        "A-1,m,Clown,2020,died 13.9.2021,,,,\nA-2,m,Clown,2020,HOLD Jo Fenn till 15.12.26,180,,,\nA-3,m,Clown,2020,dead,,,,RIP 2.2.2021\n"
        "A-4,m,Clown,2020,on loan FROM Tom,,,,\nA-5,m,Clown,2020,lost!,,,,\n"
    )
    made, book = taken_in(tmp_path, rows)
    animals = book.collection.animals
    assert [str(left.on) for name in ("A-1", "A-3") if (left := animals[name].left)] == ["2021-09-13", "2021-02-02"]
    assert [(one.buyer, str(one.until)) for one in book.private.sales] == [("Jo Fenn", "2026-12-15")]
    assert not any(key.startswith("status") for key in made.questions.asked)
    assert [one.why for one in made.left] == [
        "A-4: this reads as a loan, and no sale; write it into its record",
        "A-5: this reads as a loss, and no sale; write how it left into its record",
    ]


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


def test_a_remark_gives_a_command_only_for_what_it_says_and_with_its_day(tmp_path: Path) -> None:
    """No price in another currency than the collection's, and none of which only a part may be paid."""
    rows = (
        "A-1,m,Clown,2020,,,,,was sold as het Pied\nA-2,m,Clown,2020,,,,,RIP 11.11.2021\nA-3,m,Clown,2020,,,,,her mother died\n"
        "A-4,m,Clown,2020,sold,,Jo,,came back 4.4.24\nA-5,m,Clown,2020,,,,,sold to Pat 5.5.2025\n"
        "A-6,m,Clown,2020,,,,,SOLD to Amy L. 2025-05-05 450 €\nA-7,m,Clown,2020,,,,,SOLD to Amy L. 2025-05-05 $450\n"
        "A-8,m,Clown,2020,,,,,sold to Pat paid 50 €\n"
        "A-9,m,Clown,2020,,,,,sold to Pat $HOME 2025-05-05\n"
    )
    made, _ = taken_in(tmp_path, rows)
    assert [one.why for one in made.left] == [
        "A-1: a word of a sale or a hold stands in it; only you know whether it is sold or held now",
        "A-2: this reads as a death: `clutchlight died A-2 --on 2021-11-11`",
        "A-3: a word of death stands in it; only you know whether it is said of this animal",
        "A-4: this reads as a return: `clutchlight returned A-4 --on 2024-04-04`",
        "A-5: this reads as a sale: `clutchlight sold A-5 --to Pat --on 2025-05-05`",
        "A-6: this reads as a sale: `clutchlight sold A-6 --to 'Amy L.' --for 450 --on 2025-05-05`",
        "A-7: this reads as a sale: `clutchlight sold A-7 --to 'Amy L.' --on 2025-05-05`",
        "A-8: this reads as a sale: `clutchlight sold A-8 --to Pat --on DAY`",
        "A-9: this reads as a sale: `clutchlight sold A-9 --to 'Pat $HOME' --on 2025-05-05`",
    ]


@pytest.mark.parametrize(
    ("remark", "day"),
    [
        ("weighed 12/10/26", "2026-10-12"),
        ("Weighed on 12 Oct 2026", "2026-10-12"),
        ("weighed 1700 12/10/26", "2026-11"),
        ("to be weighed 12/10/27", "2026-11"),
    ],
)
def test_a_day_of_weighing_in_the_row_goes_before_the_one_for_all(tmp_path: Path, remark: str, day: str) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    rows = f"ID,Genes,Hatched,Weight,Notes\nA-1,Clown,13/05/2020,900,\nA-2,Clown,14/05/2020,1690,{remark}\n"
    _, book = taken(tmp_path, rows.encode(), {"day of weights": "Nov 2026", "order of days": "day first"})
    logged = {(row.animal, str(row.on), row.value) for row in book.private.log}
    assert logged == {("A-1", "2026-11", "900"), ("A-2", day, "1690")}


@pytest.mark.parametrize("status", ["sold", "on hold", "available", "died", ""])
def test_a_price_in_another_currency_is_kept_where_it_says_so(tmp_path: Path, status: str) -> None:
    made, _ = taken_in(
        tmp_path, f"A-1,m,Clown,2020,{status},£90,Jo Fenn,,\n" if status else "A-1,m,Clown,2020,,£90,,,\n"
    )
    assert "A-1: it is in GBP, so it is not taken" in [one.why for one in made.left]
    assert "£90" in (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")
    assert not any(key.startswith("sold prices") for key in made.questions.asked)


@pytest.mark.parametrize(
    ("cell", "came", "seller", "told"),
    [
        ("T. Osgood 02/11/2019", "2019-11-02", "T. Osgood", False),
        ("T Osgood 2019", "2019", "T Osgood", False),
        ("bought 12/03/2022", "2022-03-12", "bought", False),
        ("swap w/ Ines Carrow 2021", "2021", "swap w/ Ines Carrow", False),
        ("rescue 2018", None, "rescue", True),
        ("Reptile House 24", None, "Reptile House 24", False),
    ],
)
def test_the_day_beside_a_seller_is_when_it_came(
    tmp_path: Path, cell: str, came: str | None, seller: str, told: bool
) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = f"{HEAD}\nA-1,m,Clown,13/05/2018,,,,{cell},\n"
    made, book = taken(tmp_path, rows.encode(), {"order of days": "day first"})
    (draft,), animal = made.reader.drafts.values(), book.collection.animals["A-1"]
    assert (draft.seller, str(animal.came.on) if animal.came and animal.came.on else None) == (seller, came)
    assert [one.written for one in made.left] == ([cell] if told else [])
    assert cell in (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")


def test_a_return_and_another_sale_in_one_remark_are_told_in_turn(tmp_path: Path) -> None:
    made, _ = taken_in(tmp_path, 'A-4,m,Clown,2020,sold,,Jo,,"came back Jan 2024, resold to Bram Ickles 22/3/24 £25"\n')
    assert [one.why for one in made.left] == [
        "A-4: this reads as a return: `clutchlight returned A-4 --on 2024-01`, then `clutchlight sold A-4 --to NAME --on 2024-03-22`"
    ]


def test_of_known_weights_only_those_that_changed_are_asked_about(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    rows = "ID,Genes,Weight\nA-1,Clown,900\nA-2,Clown,{}\n"
    taken(tmp_path, rows.format(800).encode(), {})
    made, _ = taken(tmp_path, rows.format(850).encode(), {})
    (question,) = (one for key, one in made.questions.asked.items() if key.startswith("day of weights"))
    assert question.text.startswith("1 animal has a weight")


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


def test_a_remark_that_is_a_status_is_told(tmp_path: Path) -> None:
    made, _ = taken_in(tmp_path, "A-1,m,Clown,2020,,,me,,for sale\n")
    assert [one.why for one in made.left] == ["A-1: this reads as a status, available; if so, write it into its record"]


def test_a_loan_from_somebody_and_a_swap_in_the_cost_are_not_bought(tmp_path: Path) -> None:
    rows = "A-1,Clown,Jo,on loan FROM Jo,\nA-2,Clown,Jo,,swap\nA-3,Clown,Jo,,60\n"
    _, book = taken_in(tmp_path, rows, "ID,Genes,From,Status,Bought for")
    came = [animal.came.how for animal in book.collection.animals.values() if animal.came]
    assert came == ["loan", "trade", "bought"]


def test_a_payment_in_a_remark_is_told(tmp_path: Path) -> None:
    made, _ = taken_in(tmp_path, "A-1,m,Clown,2020,sold,200,Jo,,paid 100 rest to come... paid 1/23\n")
    assert [one.why for one in made.left] == [
        "A-1: it speaks of a payment; look whether its record in sales/ has it so"
    ]


def test_why_nothing_of_a_sale_is_taken_is_told(tmp_path: Path) -> None:
    rows = (
        "A-1,Clown,breeder,-650,me,13.11.2018\nA-2,Clown,,90,mine / maybe sell,\nA-3,Clown,sold,,me,\nA-4,Clown,,,RIP,13.11.2018\n"
        "A-5,Clown,,-650,Jo Fenn,\nA-6,Clown,,80,lost!,\nA-7,Clown,died at Easter,,,\n"
        "A-8,Clown,HOLD Jo till she pays,,,\nA-9,Clown,here with Jo,,,13.11.2018\n"
    )
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    head = "ID,Genes,Status,Paid,Sold to,Date sold\n"
    made, book = taken(tmp_path, f"{head}{rows}".encode(), {"column of buyers": "yes"})
    assert [sale.animals for sale in book.private.sales] == [("A-8",)]
    assert sorted(one.why for one in made.left) == [
        "A-1: an amount below nothing is what you gave for it; kept as a note",
        "A-1: you have it, so this is of no sale; it may be of how it came",
        "A-2: it names you, so this is no sale",
        "A-2: you have it, so this is of no sale; if you ask this for it, write its price",
        "A-3: the cell of its buyer says that you have it",
        "A-4: it died; if this is the day, write it under `left` in its record",
        "A-5: an amount below nothing is what you gave for it; kept as a note",
        "A-5: what you gave for it stands in this row, so nobody can tell whether this is of a sale",
        "A-6: the cell of its buyer names no sale, so this is of none; if you ask this for it, write its price",
        "A-6: this reads as a loss, and no sale; write how it left into its record",
        "A-7: it died; the day is not read; write it under `left` in its record",
        "A-8: 'she pays' is no day that we can read; write until when it is held",
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
    rows = "A-1,m,Clown,2020,hold?,150,Ollie,,\nA-2,m,Clown,2020,HOLD,150,Jo Fenn til 31/12/26,,\n"
    made, book = taken(tmp_path, f"{HEAD}\n{rows}".encode(), {"status hold?": "on hold"})
    held = [(sale.buyer, str(sale.until), sale.handed_over) for sale in book.private.sales]
    assert held == [("Ollie", "None", None), ("Jo Fenn", "2026-12-31", None)]
    assert made.left == []


def test_a_sale_that_came_back_gives_both_commands(tmp_path: Path) -> None:
    made, _ = taken_in(tmp_path, "A-1,m,Clown,2020,sold 2023-12-02 - came back 2024-01-14,150,,,\n")
    assert made.left[0].why == (
        "A-1: this reads as a sale and a return, and neither is written; if so: `clutchlight sold A-1 --on 2023-12-02`,"
        " then `clutchlight returned A-1 --on 2024-01-14`"
    )


def test_sold_and_a_day_in_one_cell_is_read_without_a_question_for_each(tmp_path: Path) -> None:
    """Its days join the one question of day and month, and the one of two figures; what is no day is left and kept as a note."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    cells = (
        "sold 4/11/23",
        "sold 1st Feb 25",
        "sold xmas 23",
        "sold 11/23",
        "SOLD 5.1.25",
        "dead oct 24",
        "sold 30/8/24",
    )
    rows = "".join(f"A-{at},m,Clown,2020,{cell},,Jo Fenn,,\n" for at, cell in enumerate(cells))
    answers = {"order of days": "day first", "two figures": "years"}
    made, book = taken(tmp_path, f"{HEAD}\n{rows}".encode(), answers)
    assert [key.partition(",")[0] for key in made.questions.asked if key.startswith("status")] == []
    assert [str(sale.handed_over) for sale in book.private.sales] == [
        *("2023-11-04", "2025-02-01", "before 2026-11-28", "2023-11", "2025-01-05", "2024-08-30")
    ]
    left = book.collection.animals["A-5"].left
    assert left is not None
    assert str(left.on) == "2024-10"
    assert [(one.written, one.why) for one in made.left] == [
        ("sold xmas 23", "A-2: it was sold; 'xmas 23' is not read as a date; write when into its sale"),
        ("Jo Fenn", "A-5: it died, so no sale is written of it; kept as a note"),
    ]
    assert "sold xmas 23" in (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")


def test_a_name_in_the_cell_of_a_status_is_kept(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "A-1,m,Clown,2020,given to Ollie (nephew),,,,\nA-2,m,Clown,2020,reserved Hattie C,130,,,\n"
    rows += "A-3,m,Clown,2020,sold as het Pied,,,,\n"
    made, book = taken(tmp_path, f"{HEAD}\n{rows}".encode(), {"status given": "sold"})
    assert [(sale.buyer, sale.handed_over is None) for sale in book.private.sales] == [
        ("Ollie", False),
        ("Hattie C", True),
    ]
    written = (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")
    assert "given to Ollie (nephew)" in written
    assert [key for key in made.questions.asked if key.startswith("status")] == [
        "status given to ollie (nephew)",
        "status sold as het pied",
    ]


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
    ("id_", "status", "line"),
    [
        ("26 eggs", "6 good 2 slugs laid 14/6/26", "laid DAM --by SIRE --eggs 6 --slugs 2 --on DAY"),
        ("26 eggs", "", "laid DAM --by SIRE --on DAY"),
        ("E-1", "5 eggs", "laid DAM --by SIRE --eggs 5 --on DAY"),
        ("", "7 eggs", "laid DAM --by SIRE --eggs 7 --on DAY"),
    ],
)
def test_a_row_of_eggs_is_no_animal(tmp_path: Path, id_: str, status: str, line: str) -> None:
    made, book = taken_in(
        tmp_path, f"A-1,m,Clown,2020,,,,,\n{id_},,,,{status},,,,{'all hatched' if id_ else '26 eggs'}\n"
    )
    assert set(book.collection.animals) == {"A-1"}
    assert f"`clutchlight {line}`" in made.left[0].why
    assert not any(key.startswith("status") for key in made.questions.asked)


def test_a_hold_for_one_and_a_cell_that_names_another_stays_with_the_status(tmp_path: Path) -> None:
    made, book = taken_in(tmp_path, "A-1,Clown,HOLD Jo till 5 Dec 2026,reserved Tom\n", "ID,Genes,Status,Sold to")
    assert [sale.buyer for sale in book.private.sales] == ["Jo"]
    told = [(one.written, one.why) for one in made.left]
    assert told == [("reserved Tom", "A-1: its status says that it is held for Jo")]


def test_a_day_of_death_still_to_come_is_told_once(tmp_path: Path) -> None:
    made, _ = taken_in(tmp_path, "A-1,Clown,2031-05-01\n", "ID,Genes,Died")
    assert [one.why for one in made.left] == ["A-1: a day still to come; look at the year"]


@pytest.mark.parametrize(("answer", "clutches"), [("B-0", ["2023-08-18"]), ("", ["2023-08-18", "2023-08-19"])])
def test_days_in_a_row_of_one_pair_may_be_one_clutch(tmp_path: Path, answer: str, clutches: list[str]) -> None:
    """A row by itself on the day after joins too."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    rows = "ID,Sex,Genes,Hatched,Parents\nA-1,m,Clown,,\nA-2,f,Clown,,\n" + "".join(
        f"B-{at},m,Clown,2023-08-{day},A-1 x A-2\n" for at, day in enumerate((18, 18, 19, 19))
    )
    rows += "B-7,m,Clown,2024-08-01,A-1 x A-2\nB-8,m,Clown,2024-08-02,A-1 x A-2\n"
    made, book = taken(tmp_path, rows.encode(), {"days in a row": answer})
    assert [str(clutch.hatched) for clutch in book.collection.clutches.values()] == clutches
    (question,) = (one for key, one in made.questions.asked.items() if key.startswith("days in a row"))
    assert question.text.splitlines()[1:3] == [
        "  B-0: A-1 x A-2, 2023-08-18 (B-0, B-1), 2023-08-19 (B-2, B-3)",
        "  B-7: A-1 x A-2, 2024-08-01 (B-7), 2024-08-02 (B-8)",
    ]
    written = "".join(file.read_text(encoding="utf-8") for file in (tmp_path / "clutches").glob("*.md"))
    assert ("hatched_as_written" in written) is bool(answer)


@pytest.mark.parametrize(("answer", "sales"), [("here", 0), ("sold", 1), ("", 0)])
def test_what_came_back_is_sold_only_once_the_breeder_says_so(tmp_path: Path, answer: str, sales: int) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    rows = "ID,Genes,Status,Sold to\nA-1,Clown,sold,returned!\n"
    _, book = taken(tmp_path, rows.encode(), {"returned animals": answer} if answer else {})
    assert len(book.private.sales) == sales
    assert book.collection.animals["A-1"].sold is bool(sales)


@pytest.mark.parametrize(
    "cell",
    [
        "sold 250",
        "sold 80",
        "sold for 250",
        "sold, deposit 50",
        "sold pending 2024",
        "sold 4/11/23?",
        "sold her sister 2023",
    ],
)
def test_sold_and_what_may_be_no_day_is_asked_about(cell: str) -> None:
    assert sold_on(cell) == ""


@pytest.mark.parametrize("cell", ["Reserved Until Friday", "hold DEPOSIT PAID", "HOLD", "reserved for the show"])
def test_a_hold_without_a_name_is_held_for_nobody_named(cell: str) -> None:
    assert hold_in(cell) is None
    assert buyer_in(cell).held_for == ""


@pytest.mark.parametrize(
    "remark", ["€100 deposit 11/20/2025", "Anzahlung 100 € am 20.11.2025", "deposit 100", "100 paid"]
)
def test_a_deposit_in_a_remark_is_told(tmp_path: Path, remark: str) -> None:
    """It was stated as not paid, and nobody was told."""
    made, book = taken_in(tmp_path, f"A-1,m,Clown,2020,on hold,400,Kit Amory,,{remark}\n")
    (sale,) = book.private.sales
    told = "A-1: it speaks of a payment; look whether its record in sales/ has it so"
    assert (sale.payments, [one.why for one in made.left]) == ((), [told])
    assert any(remark in file.read_text(encoding="utf-8") for file in (tmp_path / "animals").iterdir())


@pytest.mark.parametrize(
    ("remark", "left", "told"),
    [
        ("never ate, died 10/15/2022", "2022-10-15", ""),
        ("never ate and died 10/15/2022", "2022-10-15", ""),
        ("found dead 2022-10-15", "2022-10-15", ""),
        ("10/15/2022: died", "2022-10-15", ""),
        (
            "her sister died 10/15/2022",
            "",
            "a word of death stands in it; only you know whether it is said of this animal",
        ),
        (
            "ate like her sister, died 10/15/2022",
            "",
            "a word of death stands in it; only you know whether it is said of this animal",
        ),
        (
            "never ate, died 10/15/2022 or 10/16/2022",
            "",
            "it died; the day is not read; write it under `left` in its record",
        ),
    ],
)
def test_the_day_of_a_death_is_read_anywhere_in_a_remark(tmp_path: Path, remark: str, left: str, told: str) -> None:
    made, book = taken_in(tmp_path, f'A-1,m,Clown,2020,died,,,,"{remark}"\n')
    away = book.collection.animals["A-1"].away
    assert away is not None
    assert str(away.on or "") == left
    assert [one.why for one in made.left] == ([f"A-1: {told}"] if told else [])


def test_a_death_behind_another_remark_is_told_with_its_day(tmp_path: Path) -> None:
    made, _ = taken_in(tmp_path, 'A-1,m,Clown,2020,,,,,"never ate, died 10/15/2022"\n')
    assert [one.why for one in made.left] == ["A-1: this reads as a death: `clutchlight died A-1 --on 2022-10-15`"]


@pytest.mark.parametrize(
    ("cell", "name", "day"),
    [
        ("Sept 2024 Rob Tarnley", "Rob Tarnley", "Sept 2024"),
        ("in September 2024 Rob Tarnley", "Rob Tarnley", "September 2024"),
        ("Mar 2024 to Rob Tarnley", "Rob Tarnley", "Mar 2024"),
        ("14 Sept 2024 Rob Tarnley", "Rob Tarnley", "14 Sept 2024"),
        ("14/09/2024 Rob Tarnley", "Rob Tarnley", "14/09/2024"),
        ("June 2023 May Brown", "May Brown", "June 2023"),
        ("May Brown", "May Brown", ""),
    ],
)
def test_a_day_before_the_name_of_a_buyer_is_the_day_of_the_sale(cell: str, name: str, day: str) -> None:
    found = buyer_in(cell)
    assert (found.name, found.day, found.sold, found.why) == (name, day, True, "")


@pytest.mark.parametrize("cell", ["spring 2024 Rob Tarnley", "in late autumn '23 Rob", "Sept 2024"])
def test_a_season_or_a_month_alone_is_no_name_of_a_buyer(cell: str) -> None:
    found = buyer_in(cell)
    assert (found.name, bool(found.why)) == ("", True)


@pytest.mark.parametrize(
    "cell", ["Dana Whit / Columbus show", "Dana Whit (Columbus show)", "Dana Whit - expo", "Dana Whit, online"]
)
def test_where_a_buyer_was_met_is_no_part_of_the_name(cell: str) -> None:
    found = buyer_in(cell)
    assert (found.name, found.sold) == ("Dana Whit", True)
    assert "no part of the buyer's name" in found.why
    assert buyer_in("Whit / Tarn").name == "Whit / Tarn"


@pytest.mark.parametrize("beside", ["2024-05-01 €100, €50", "2024-05-01, 2024-06-01"])
def test_of_two_amounts_or_days_beside_a_name_none_is_taken(beside: str) -> None:
    """Which of them is that of the sale is not certain. Common practice, no source."""
    found = buyer_in(f"Dana Whit {beside}")
    assert (found.name, found.paid, found.day) == ("Dana Whit", None, "")
    assert beside in found.why
