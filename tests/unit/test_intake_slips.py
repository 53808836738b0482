"""Slips in a list: what is wrong with an answer or a cell is said so that it can be mended, and nothing is claimed that nobody said."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.rooms import BARE, SETTINGS
from tests.unit.test_intake import TODAY, taken
from tests.unit.test_intake_cells_of_people import MORE

from clutchlight.editing.disk import one_command, take_back
from clutchlight.editing.starting import set_currency
from clutchlight.genetics.values import Figure
from clutchlight.intake.animal_rows import Left
from clutchlight.intake.asking import Dialogue
from clutchlight.intake.cells import PAYMENT, Price, price_in
from clutchlight.intake.genes import Genes, Vocabulary, genes_in
from clutchlight.intake.run import TakenIn, left_text, take_in
from clutchlight.pipeline import Book, open_book
from clutchlight.problems import RecordsError
from clutchlight.reading.catalogue import load
from clutchlight.reading.findings import Findings


def taken_in(folder: Path, rows: str, answers: dict[str, str] | None = None) -> tuple[TakenIn, Book]:
    BARE.write(folder, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    return taken(folder, f"ID,Name,Sex,Genes,Hatched,Parents,From\n{rows}".encode(), answers or {})


def left_of(made: TakenIn) -> list[str]:
    return [one.why for one in made.left]


@pytest.mark.parametrize(
    ("answer", "why"),
    [
        (
            "Mojave Lesser",
            (
                "Lesser and Mojave are looks of one gene, and a snake shows one look of a gene; name one, such as Blue-eyed Leucistic,"
                " the look of one copy of Lesser with one of Mojave"
            ),
        ),
        (
            "Super Pastel, Pastel",
            "Pastel and Super Pastel are looks of one gene, and a snake shows one look of a gene; name one, such as Super Pastel",
        ),
        (
            "Pastel Super Pastel het Clown",
            "Pastel and Super Pastel are looks of one gene, and a snake shows one look of a gene; name one, such as Super Pastel",
        ),
    ],
)
def test_an_answer_that_no_snake_can_look_like_is_none(tmp_path: Path, answer: str, why: str) -> None:
    """It ended the intake, as a combo that the records cannot hold."""
    made, book = taken_in(tmp_path, "A-1,,m,Fogg,2020-01-02,,\n", {"word Fogg": answer})
    question = made.questions.asked["word Fogg"]
    assert question.why_not(answer).startswith(f"{why}; or choose 1 to")
    assert "word Fogg" in made.questions.open
    assert book.collection.animals["A-1"].reading is None


def test_a_cell_that_no_snake_can_look_like_is_left(tmp_path: Path) -> None:
    made, book = taken_in(tmp_path, "A-1,,m,Mojave Lesser Spider,2020-01-02,,\n")
    assert left_of(made) == [
        (
            "A-1: Lesser and Mojave are looks of one gene, and a snake shows one look of a gene; name one, such as Blue-eyed Leucistic,"
            " the look of one copy of Lesser with one of Mojave"
        )
    ]
    assert book.collection.animals["A-1"].reading is None


@pytest.mark.parametrize(
    ("species", "cell", "means"),
    [
        ("corn-snake", "anery", ("Anerythristic",)),
        ("corn-snake", "Anery A Mot", ("Anerythristic", "Motley")),
        ("corn-snake", "blood lav tess", ("Diffused", "Lavender", "Tessera")),
        ("corn-snake", "amel anery b kast", ("Amelanistic", "Charcoal", "Kastanie")),
        ("western-hognose", "Ax Conda", ("Axanthic", "Anaconda")),
        ("western-hognose", "lav Superarctic", ("Lavender", "Super Arctic")),
        ("ball-python", "DG Lav", ("Desert Ghost", "Lavender Albino")),
        ("ball-python", "Leo Champ Choc", ("Leopard", "Champagne", "Chocolate")),
    ],
)
def test_short_forms_of_the_trade_are_known(species: str, cell: str, means: tuple[str, ...]) -> None:
    """Common practice, no source."""
    found = load(species, [], Findings())
    assert found is not None
    known = Vocabulary(found, Dialogue({}, lambda question: None))
    assert genes_in(cell, known, "") == Genes(means)


@pytest.mark.parametrize("parents", ["see the book", "Zeus x Hera"])
def test_a_het_of_an_animal_whose_parents_could_not_be_taken_is_no_sellers_word(tmp_path: Path, parents: str) -> None:
    """Neither a certain one nor a possible one is asked about; what was bought keeps its seller's word."""
    made, book = taken_in(
        tmp_path,
        f"A-1,,m,het Clown,2020,{parents},\nA-2,,m,poss het Clown,2020,{parents},\nA-3,,m,het Clown,2020,{parents},Ada Quill\n"
        "A-4,,m,het Clown,2020,unknown,\n",
    )
    animals = book.collection.animals
    assert {name: len(animals[name].claims) for name in animals} == {"A-1": 0, "A-2": 0, "A-3": 1, "A-4": 1}
    assert sum("so this is no seller's word; kept as a note" in why for why in left_of(made)) == 2
    assert not any(why.startswith("A-4") for why in left_of(made))
    assert not any(key.startswith("possible het") for key in made.questions.asked)


@pytest.mark.parametrize("cell", ["possible Clown", "poss Clown", "poss. het Clown", "Normal, possible Clown"])
@pytest.mark.parametrize("parents", ["", "M-1 x F-1"])
def test_what_is_only_possible_is_never_certain(tmp_path: Path, cell: str, parents: str) -> None:
    """Without a figure, and without an answer, it is kept as a word."""
    _, book = taken_in(tmp_path, f'M-1,,m,normal,2019,,\nF-1,,f,normal,2019,,\nA-1,,m,"{cell}",2021-01-02,{parents},\n')
    animal = book.collection.animals["A-1"]
    assert (animal.claims, animal.stated) == ((), ())
    assert animal.reading is None or animal.reading.shows == ()
    assert "said_to_be: possible het Clown" in (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize(("answer", "sire"), [("yes", "A-1"), ("no", None), ("", None)])
def test_a_parents_name_with_a_slip_is_asked_once(tmp_path: Path, answer: str, sire: str | None) -> None:
    """A name of three letters, and one with a number, may be another animal's."""
    made, book = taken_in(
        tmp_path,
        "A-1,Goliath,m,Clown,2019,,\nA-2,Nyx,f,normal,2019,,\nA-3,Max,m,normal,2019,,\nA-4,Nova 1,m,normal,2019,,\n"
        "B-1,,f,normal,2021,Golliath x Nyx,\nB-2,,f,normal,2021,Golliath x Nyx,\nB-3,,f,normal,2021,Mix x Nyx,\n"
        "B-4,,f,normal,2021,Nova 2 x Nyx,\n",
        {"parent golliath": answer} if answer else {},
    )
    asked = [one for key, one in made.questions.asked.items() if key.startswith("parent")]
    assert [one.text for one in asked] == ["'Golliath' (line 6) is no name on record. Is it Goliath (A-1)?"]
    animals = book.collection.animals
    assert [animals[name].sire for name in ("B-1", "B-2", "B-3", "B-4")] == [sire, sire, None, None]


def test_of_two_that_share_a_name_the_parent_hatched_before_the_young(tmp_path: Path) -> None:
    _, book = taken_in(
        tmp_path,
        "A-1,Goliath,m,Clown,2019,,\nA-3,Twin,f,normal,2019,,\nA-4,Twin,f,normal,2022-08-20,,\n"
        "B-1,,f,normal,2021-07-01,Goliath x Twin,\nB-2,,f,normal,2024-07-01,Goliath x Twin,\n",
    )
    assert [book.collection.animals[name].dam for name in ("B-1", "B-2")] == ["A-3", None]


def test_a_parent_that_is_not_found_is_told_with_what_to_write(tmp_path: Path) -> None:
    made, _ = taken_in(
        tmp_path,
        "A-1,Goliath,m,Clown,2019,,\nA-2,Nyx,f,normal,2019,,\nA-3,Twin,f,normal,2019,,\nA-4,Twin,f,normal,2019,,\n"
        "B-1,,f,normal,2021,Golliath x Nyx,\nB-2,,f,normal,2021,Goliath x Twin,\n",
    )
    assert left_of(made) == [
        "B-1: 'Golliath' stands in no row of this sheet and has no record; the nearest is 'Goliath'; the other parent is taken",
        "B-2: 'Twin' may be A-3 or A-4, which share that name; write the id; the other parent is taken",
    ]


def test_the_same_list_again_writes_no_record(tmp_path: Path) -> None:
    """What was left is told again, on the screen and in a file of its own."""
    rows = "A-1,,m,Fogg,2019,,\nA-2,,f,normal,soon,,\n"
    made, _ = taken_in(tmp_path, rows)
    assert [one.file for one in made.files] == ["intake/herd.yaml", "intake/left-herd.csv", "animals/from-herd.yaml"]
    again, _ = taken_in(tmp_path, rows)
    said = "\n".join(again.as_text())
    (file,) = again.files
    assert (file.file, file.text) == ("intake/left-herd-2.csv", made.files[1].text)
    assert "no record was written; to answer, run the same line again at a terminal" in said


def test_a_contradiction_is_told_in_plain_words_and_costs_one_gene_alone(tmp_path: Path) -> None:
    """A Super Pastel has no young without Pastel: of both it is not decided; what else they look like stays."""
    made, book = taken_in(
        tmp_path, "M-1,,m,Super Pastel Clown,2019,,\nF-1,,f,normal,2019,,\nA-1,,m,normal,2021-01-02,M-1 x F-1,\n"
    )
    assert left_of(made)[0] == (
        "M-1: whether it shows Pastel counts as not decided, since not all of this can be true: M-1 looks Super Pastel and Clown, M-1 is"
        " the sire of A-1 and A-1 looks normal. Look again, and then correct `shows` and `cannot_tell` in its record"
    )
    readings = {name: book.collection.animals[name].reading for name in ("M-1", "A-1")}
    assert {name: one and (one.shows, one.cannot_tell) for name, one in readings.items()} == {
        "M-1": (("Clown",), ("Pastel",)),
        "A-1": ((), ("Pastel",)),
    }
    assert "shows_not_taken" in (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")
    assert isinstance(figure := book.inference.now("A-1", "clown"), Figure)
    assert figure.carries(1) == 1


def test_buyers_read_why_a_look_is_under_review(tmp_path: Path) -> None:
    rows = "M-1,,m,Super Pastel,2019,,\nF-1,,f,normal,2019,,\n" + "".join(
        f"A-{n},,m,{look},2021-01-02,M-1 x F-1,\n" for n, look in enumerate(("normal", "Pastel"), 1)
    )
    _, book = taken_in(tmp_path, rows)
    (clutch,) = book.collection.clutches.values()
    assert clutch.set_aside == {"pastel": "our list says two things here; we look at these animals again"}


@pytest.mark.parametrize("sire", ["Hektor (1)", "1 (Hektor)", "Hektor [1]"])
def test_a_parent_may_be_written_with_its_name_and_its_id(tmp_path: Path, sire: str) -> None:
    made, book = taken_in(tmp_path, f"1,Hektor,m,Clown,2019,,\n2,Nyx,f,normal,2019,,\n3,,f,normal,2021,{sire} x Nyx,\n")
    assert left_of(made) == []
    assert (book.collection.animals["3"].sire, book.collection.animals["3"].dam) == ("1", "2")


def test_for_whom_an_animal_is_held_goes_to_the_sales(tmp_path: Path) -> None:
    """It became a note, and the desk asked for whom it was; without a name nothing is made up."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "id,sex,genes,status,price,sold to\nA-1,m,normal,reserviert,110 €,Frau Kern\nA-2,f,normal,on hold,90,\n"
    _, book = taken(tmp_path, rows.encode(), {})
    assert [(sale.animals, sale.buyer, str(sale.agreed), sale.handed_over) for sale in book.private.sales] == [
        (("A-1",), "Frau Kern", "110", None)
    ]
    assert [book.collection.animals[name].status for name in ("A-1", "A-2")] == ["on hold", "on hold"]


def test_whole_rows_come_first_and_each_reason_once_with_its_count() -> None:
    """Reasons that differ only in what they quote are one."""
    why = "A-{0}: '{0}' is no part of the name; see `sold A-{0}`"
    cells = [Left(line, "Buyer", f"{line}", why.format(line)) for line in range(2, 20)]
    rows = [Left(line, "", "a corn", f"C-{line}: its species is not known") for line in range(30, 43)]
    assert list(left_text([*cells, *rows], 60, "left.csv"))[1:] == [
        "  line 30 'a corn': C-30: its species is not known (and 12 more for the same reason)",
        "  line 2, Buyer '2': A-2: '2' is no part of the name; see `sold A-2` (and 17 more for the same reason)",
    ]


# ---- the currency


def priced(
    folder: Path, prices: str, answers: dict[str, str], files: dict[str, str] | None = None
) -> tuple[TakenIn, Book]:
    """`prices`: the heading of the column, then the price of each animal, which is for sale."""
    settings = SETTINGS.replace(", corn-snake", "").replace("currency: EUR", "currency: EUR  # for now")
    BARE.write(folder, {"collection.yaml": settings, **(files or {})})
    head, *cells = prices.replace("_", "\u00a0").split(" ")
    rows = "".join(f"A-{at},m,Clown,available,{cell}\n" for at, cell in enumerate(cells, 1))
    return taken(folder, f"ID,Sex,Genes,Status,{head}\n{rows}".encode(), answers)


def currency_asked(made: TakenIn) -> list[str]:
    return [question.text for key, question in made.questions.asked.items() if key.startswith("currency")]


@pytest.mark.parametrize(
    ("prices", "such"),
    [
        ("Asking($) 175 200", "175"),
        ("Price 200 $175", "$175"),
        ("Price 175 200", "175"),
    ],
)
def test_a_collection_without_a_price_gets_the_currency_of_the_sheet(tmp_path: Path, prices: str, such: str) -> None:
    """A sheet in dollars was published in euros, the currency that a new collection has, and nobody asked."""
    made, book = priced(tmp_path, prices, {"currency": "USD"})
    assert currency_asked(made) == [
        f"This sheet has 2 prices, such as {such}, and this collection counts in EUR. In which currency are your prices?"
    ]
    assert {one.price for one in book.collection.animals.values()} == {"175", "200"}
    assert book.collection.settings.currency == "USD"
    assert "currency: USD # was EUR  # for now\n" in (tmp_path / "collection.yaml").read_text(encoding="utf-8")
    assert "  added to collection.yaml" in list(made.as_text())
    made, _ = taken(tmp_path, b"ID,Sex,Genes,Status,Price\nB-1,m,Clown,available,90\n", {})
    assert currency_asked(made) == []


UNKNOWN = "each price without a sign, or with another, is kept as a note."


@pytest.mark.parametrize(
    ("prices", "taken_as", "unanswered"),
    [
        ("Asking($) 175 200", [None, None], UNKNOWN),
        ("Price $175 200", [None, None], UNKNOWN),
        ("Price $175 ask", [None, "ask"], UNKNOWN),
        ("Asking($) 175 ask", [None, "ask"], UNKNOWN),
        (
            "Price $175 €200 90",
            [None, "200", "90"],
            "they are EUR, as collection.yaml says; a price with another sign is kept as a note.",
        ),
        (
            "Price 175 200",
            ["175", "200"],
            "they are EUR, as collection.yaml says; a price with another sign is kept as a note.",
        ),
    ],
)
def test_until_it_is_answered_the_currency_stays(
    tmp_path: Path, prices: str, taken_as: list[str | None], unanswered: str
) -> None:
    before = priced(tmp_path, prices, {})
    assert [one.price for one in before[1].collection.animals.values()] == taken_as
    assert before[1].collection.settings.currency == "EUR"
    assert sum("Until you answer" in line and line.endswith(unanswered) for line in before[0].as_text()) == 1


def test_another_currency_may_be_answered_by_its_letters(tmp_path: Path) -> None:
    """A yes is none."""
    made, book = priced(tmp_path, "Price 175 200", {"currency": "chf"})
    assert book.collection.settings.currency == "CHF"
    (question,) = (one for key, one in made.questions.asked.items() if key.startswith("currency"))
    assert question.why_not("yes") == "'yes' is no currency; or choose 1 to 4."
    assert question.fits("HUF") == "HUF"


@pytest.mark.parametrize(
    ("prices", "marked"),
    [
        ("Price(CAD) $550 180 C$90", "$550"),
        ("CAD 550 180 90", "550"),
        ("$_CAD 550 $180 90", "550"),
        ("Price_(C$) 550 $180 90", "550"),
        ("Asking_CAD 550 180 CA$90", "550"),
        ("Price $550 $180 $90", "$550"),
        ("Price_US 550 180 CAD90", ""),
    ],
)
def test_a_heading_names_the_dollars_of_its_column(tmp_path: Path, prices: str, marked: str) -> None:
    """`$550` under `Price (CAD)` was said to be in USD; the letters of the currency that was meant were no answer."""
    made, book = priced(tmp_path, prices, {"currency": "CAD"})
    if not marked:
        assert all(one.price is None for one in book.collection.animals.values())
        return
    assert currency_asked(made) == [
        f"This sheet has 3 prices, such as {marked}, and this collection counts in EUR. In which currency are your prices?"
    ]
    assert [one.price for one in book.collection.animals.values()] == ["550", "180", "90"]
    assert book.collection.settings.currency == "CAD"


@pytest.mark.parametrize(
    ("currency", "prices", "taken_as", "asked"),
    [
        ("CAD", "Price $550 180", ["550", "180"], False),
        ("AUD", "Price($) 550 180", ["550", "180"], False),
        ("CAD", "Price US$550 $180", [None, "180"], True),
        ("USD", "Price(CAD) $350 180", [None, None], True),
        ("USD", "Price $350 180", ["350", "180"], False),
    ],
)
def test_a_bare_dollar_is_the_collections_own_unless_a_heading_says_otherwise(
    tmp_path: Path, currency: str, prices: str, taken_as: list[str | None], asked: bool
) -> None:
    """In a collection of USD a Canadian's `$350` became 350 USD without a word."""
    settings = SETTINGS.replace(", corn-snake", "").replace("currency: EUR", f"currency: {currency}")
    made, book = priced(tmp_path, prices, {}, {"collection.yaml": settings})
    assert [one.price for one in book.collection.animals.values()] == taken_as
    assert bool(currency_asked(made)) == asked


def test_an_amount_beside_a_buyer_is_in_the_dollars_of_the_column_of_prices(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "").replace("EUR", "CAD")})
    rows = "ID,Genes,Status,Price,Sold to\nA-1,Clown,sold,,Jens $180\nA-2,Clown,sold,,Jo USD 180\n"
    made, book = taken(tmp_path, rows.encode(), {"sold prices": "yes"})
    assert [(sale.buyer, str(sale.agreed)) for sale in book.private.sales] == [("Jens", "180"), ("Jo", "None")]
    assert [one.why for one in made.left] == ["A-2: the amount beside the name is in USD, so it is not taken"]


@pytest.mark.parametrize(
    ("answer", "taken_as"),
    [("EUR", [None, "200"]), ("USD", [None, None]), ("not known", [None, None]), ("", [None, None])],
)
def test_once_amounts_stand_on_record_the_currency_stays(
    tmp_path: Path, answer: str, taken_as: list[str | None]
) -> None:
    """They would all change theirs. Of a sheet whose sums are in another currency none counts."""
    files = {"animals/z.yaml": "- {id: Z-1, status: available, price: 80}\n"}
    made, book = priced(tmp_path / "a", "Price $175 200", {"currency": answer}, files)
    assert [book.collection.animals[one].price for one in ("A-1", "A-2")] == taken_as
    assert book.collection.settings.currency == "EUR"
    assert bool([one for one in made.questions.open if one.startswith("currency")]) == (not answer)
    made, _ = priced(tmp_path / "b", "Price 175 200", {}, files)
    assert currency_asked(made) == []


@pytest.mark.parametrize(
    ("settings", "after"),
    [("currency: 'EUR'\nname: X\n", "currency: GBP # was 'EUR'\nname: X\n"), ("name: X\n", "currency: GBP\nname: X\n")],
)
def test_another_currency_is_written_and_taken_back(tmp_path: Path, settings: str, after: str) -> None:
    file = tmp_path / "collection.yaml"
    file.write_text(settings, encoding="utf-8")
    with one_command("intake"):
        set_currency(tmp_path, "GBP")
    assert file.read_text(encoding="utf-8") == after
    take_back(tmp_path)
    assert file.read_text(encoding="utf-8") == settings


@pytest.mark.parametrize("settings", ["{name: X, currency: EUR}\n", "{name: X,\ncurrency: EUR, theme: paper\n}\n"])
def test_a_currency_that_cannot_be_added_is_refused(tmp_path: Path, settings: str) -> None:
    file = tmp_path / "collection.yaml"
    file.write_text(settings, encoding="utf-8")
    with pytest.raises(RecordsError, match="write `currency: GBP` into it by hand"):
        set_currency(tmp_path, "GBP")
    assert file.read_text(encoding="utf-8") == settings


@pytest.mark.parametrize(("sold_for", "asking"), [("", "350"), ("400", "")])
def test_an_answer_that_takes_a_word_from_another_column_says_so(tmp_path: Path, sold_for: str, asking: str) -> None:
    """The prices of what was offered became notes unsaid."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = f"ID,Sex,Genes,Paid,Status,Asking,Sold for\nA-1,m,Clown,,for sale,350,{sold_for}\nA-2,m,Clown,,sold,,300\n"
    made, book = taken(tmp_path, rows.encode(), {"columns": "G: price", "sold prices": "yes"})
    kept = "too, since no row fills both" if asking else "is kept as notes"
    assert f"By your answer column G (Sold for) is 'price'; column F (Asking) {kept}." in list(made.as_text())
    assert book.collection.animals["A-1"].price == (asking or sold_for)
    assert [str(sale.agreed) for sale in book.private.sales] == ["300"]


def test_an_answer_keeps_no_second_column_that_may_be_another_price(tmp_path: Path) -> None:
    """What the breeder paid may stand in a column that is called Cost."""
    for name in ("a", "b"):
        BARE.write(tmp_path / name, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "ID,Sex,Genes,Cost,Status,Worth\nA-1,m,Clown,350,for sale,\nA-2,m,Clown,,for sale,300\n"
    made, book = taken(tmp_path / "a", rows.encode(), {"columns": "F: price"})
    assert book.collection.animals["A-1"].price is None
    assert "By your answer column F (Worth) is 'price'; column D (Cost) is kept as notes." in list(made.as_text())
    made, _ = taken(tmp_path / "b", rows.encode(), {"columns": "F: price, D: cost"})
    assert not made.reader.columns.moved


@pytest.mark.parametrize("heading", ["Het", "Hets", "Carries", "Het / ph"])
def test_a_column_of_what_is_carried_makes_no_look(tmp_path: Path, heading: str) -> None:
    """A figure beside another name made a look of a bare one; and a name that shows with one copy is told, and not decided."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "A-1,f,Enchi,Pied + 50% Clown\nA-2,f,Normal,Pied + 50% Clown\nA-3,f,Enchi,Pastel + Pied\nA-4,f,Super Pastel,Pastel\n"
    made, book = taken(tmp_path, f"ID,Sex,Morph,{heading}\n{rows}".encode(), {})
    animals = book.collection.animals
    read = {name: animal.reading for name, animal in animals.items()}
    assert {name: (one.shows, one.cannot_tell) for name, one in read.items() if one is not None} == {
        "A-1": (("Enchi",), ()),
        "A-2": ((), ()),
        "A-3": (("Enchi",), ("Pastel",)),
        "A-4": (("Super Pastel",), ()),
    }
    assert {claim.trait: str(claim.chance) for claim in animals["A-1"].claims} == {"Piebald": "1", "Clown": "1/2"}
    assert left_of(made) == [
        "A-3: 'Pastel' is said to be carried unseen, and one copy of it shows",
        "A-4: 'Pastel' is said to be carried unseen, and one copy of it shows",
    ]


@pytest.mark.parametrize(
    ("headings", "cells", "claims", "kept"),
    [
        ("Het,Poss Het", "Clown,Pied", {"Clown": "1"}, "said_to_be: possible het Piebald"),
        ("Hets,PH", ",Pied 66% + Clown 50%", {"Piebald": "2/3", "Clown": "1/2"}, ""),
        ("Het,Poss. Hets", "Clown,66 Albino", {"Clown": "1"}, "possible_hets_as_written: 66 Albino"),
        ("100% Het,66% Het,50% Het", "Clown,Pied,Albino", {"Clown": "1", "Piebald": "2/3", "Albino": "1/2"}, ""),
        ("66% Het,50% Het", ",DH Clown Pied", {"Clown": "1/2", "Piebald": "1/2"}, ""),
        ("66% Het,50% Het", "Pied 50%,", {}, "66%_hets_as_written: Pied 50%"),
        ("Het,Het", "Clown,Pied", {"Clown": "1"}, 'note: "Het: Pied"'),
    ],
)
def test_columns_of_sure_and_of_possible_hets_stand_side_by_side(
    tmp_path: Path, headings: str, cells: str, claims: dict[str, str], kept: str
) -> None:
    """A second column of hets was kept as notes, and where cells of it had a figure, its bare names were looks."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    blank = "," * headings.count(",")
    rows = f"A-1,Pastel,{cells}\nA-2,Normal,{blank}50% Clown\nA-3,Normal,{blank}50% Clown\n"
    _, book = taken(tmp_path, f"ID,Visual,{headings}\n{rows}".encode(), {})
    animal = book.collection.animals["A-1"]
    assert animal.reading is not None
    assert animal.reading.shows == ("Pastel",)
    assert {claim.trait: str(claim.chance) for claim in animal.claims} == claims
    assert kept in (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("heading", "others", "answer", "parents"),
    [
        ("Parents", "", "sire", ("A-1", "A-2")),
        ("Parents", "", "dam", ("A-2", "A-1")),
        ("Parents", "", "", (None, None)),
        ("Dam x Sire", "", None, ("A-2", "A-1")),
        ("Parents (0.1 x 1.0)", "", None, ("A-2", "A-1")),
        ("Mother x Father", "", None, ("A-2", "A-1")),
        ("Sire x Dam", "", None, ("A-1", "A-2")),
        ("Parents", "A-6,,f,Clown,2020-03-04,A-4 x A-3,\n", None, ("A-2", "A-1")),
        ("Sire x Dam", "A-6,,f,Clown,2020-03-04,A-4 x A-3,\n", None, ("A-2", "A-1")),
    ],
)
def test_which_parent_stands_first_is_known_or_asked_once(
    tmp_path: Path, heading: str, others: str, answer: str | None, parents: tuple[str | None, str | None]
) -> None:
    """Without a sex on record the first was taken for the sire, whatever the heading and the other rows say."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "A-1,,,Clown,2015,,\nA-2,,,Clown,2015,,\nA-3,,m,Clown,2015,,\nA-4,,f,Clown,2015,,\nA-5,,m,Clown,2020-01-02,A-1 x A-2,\n"
    sheet = f"ID,Name,Sex,Genes,Hatched,{heading},From\n{rows}{others}"
    made, book = taken(tmp_path, sheet.encode(), {"first parent": answer} if answer else {})
    assert (book.collection.animals["A-5"].sire, book.collection.animals["A-5"].dam) == parents
    asked = [question.text for key, question in made.questions.asked.items() if key.startswith("first parent")]
    text = "In the row of A-5 both parents stand in one cell ('A-1 x A-2'), and neither has a sex on record. Which stands first?"
    assert asked == ([] if answer is None else [text])


@pytest.mark.parametrize(
    ("pair", "found", "why"),
    [
        ("A-1,A-2", ("A-1", None), ["A-4: A-2 is male, so it cannot be the dam"]),
        (",A-2", (None, None), ["A-4: A-2 is male, so it cannot be the dam"]),
        (
            "A-3,A-1",
            ("A-1", "A-3"),
            ["A-4: its sire is A-1 and its dam A-3 by their sexes, and the other way round by their columns; look which is so"],
        ),
    ],
)  # fmt: skip
def test_a_parent_whose_sex_does_not_fit_its_column_is_told(
    tmp_path: Path, pair: str, found: tuple[str | None, str | None], why: list[str]
) -> None:
    """Of two males the second became the sire."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = f"A-1,m,Clown,2015,,\nA-2,m,Clown,2015,,\nA-3,f,Clown,2015,,\nA-4,m,Clown,2020-01-02,{pair}\n"
    made, book = taken(tmp_path, f"ID,Sex,Genes,Hatched,Sire,Dam\n{rows}".encode(), {})
    assert (book.collection.animals["A-4"].sire, book.collection.animals["A-4"].dam) == found
    assert left_of(made) == why


OF_A_PAYMENT = [
    "paid",
    "paid in full",
    "Paid cash",
    "good feeder, paid by bank transfer.",
    "bezahlt",
    "paid in 2 parts",
    "never paid",
]
OF_A_PAYMENT += [
    "second half still open",
    "50 down 3.10.22, rest at pickup",
    "paid 20.12.22",
    "owes me 25",
    "still owes $200",
]
OF_A_PAYMENT += [
    "paid 200 of 650",
    "not paid yet",
    "refunded",
    "payment plan thru Dec",
    "paid in 2, 200 down 10/25",
    "50 deposit",
]


def test_half_sisters_are_no_payment() -> None:
    assert PAYMENT.search("half sister of A-9, rest of the clutch sold") is None


@pytest.mark.parametrize("remark", OF_A_PAYMENT)
@pytest.mark.parametrize("column", ["Price", "Paid"])
def test_no_payment_is_made_up_where_a_remark_speaks_of_one(tmp_path: Path, column: str, remark: str) -> None:
    """An answer for all rows put the whole sum on the day of the sale; now the question names the row, and is put anew for others."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = f'A-1,Clown,sold,Jo,2022-10-01,120,"{remark}"\nA-2,Clown,sold,Tom,2022-10-01,90,\n'
    made, book = taken(
        tmp_path, f"ID,Genes,Status,Sold to,Date sold,{column},Remarks\n{rows}".encode(), {"sold prices": "all but A-2"}
    )
    ((key, question),) = ((key, one) for key, one in made.questions.asked.items() if key.startswith("sold prices"))
    assert key.startswith("sold prices A-1, ")
    assert "What else stands in the rows of A-1 speaks of a payment. Were both prices paid in full?" in question.text
    assert [str(sale.paid()) for sale in book.private.sales] == ["120", "0"]
    assert [one.written for one in made.left] == [remark]


@pytest.mark.parametrize("column", ["Price", "Paid"])
@pytest.mark.parametrize("answer", ["", "as the columns say", "no"])
def test_without_a_word_for_it_the_sum_beside_such_a_remark_is_a_note(tmp_path: Path, column: str, answer: str) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "A-1,Clown,sold,Jo,2022-10-01,120,paid 50 of it\n"
    sheet = f"ID,Genes,Status,Sold to,Date sold,{column},Remarks\n{rows}".encode()
    _, book = taken(tmp_path, sheet, {"sold prices": answer} if answer else {})
    (sale,) = book.private.sales
    assert (sale.agreed, sale.payments, sale.note) == (None, (), "price 120")


@pytest.mark.parametrize(
    ("answer", "sales", "left"),
    [
        ("", [(None, "0", "price 200; paid 150"), (150, "150", None)], ["200"]),
        ("as the columns say", [(None, "0", "price 200; paid 150"), (150, "150", None)], ["200"]),
        ("no", [(None, "0", "price 200; paid 150")] * 2, []),
        ("yes", [(150, "150", None)] * 2, ["200"] * 2),
        ("all but A-1, A-2", [(200, "150", None)] * 2, []),
    ],
)
def test_a_price_of_which_less_was_paid_is_not_lost(
    tmp_path: Path, answer: str, sales: list[tuple[int | None, str, str | None]], left: list[str]
) -> None:
    """Of one that a remark is about the question says that both are a note; of the other the price is told, and what to write."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "A-1,Clown,sold,Jo,2022-10-01,200,150,owes 50\nA-2,Clown,sold,Tom,2022-10-01,200,150,\n"
    sheet = f"ID,Genes,Status,Sold to,Date sold,Price,Paid,Remarks\n{rows}".encode()
    made, book = taken(tmp_path, sheet, {"sold prices": answer} if answer else {})
    assert [(sale.agreed, str(sale.paid()), sale.note) for sale in book.private.sales] == sales
    assert [one.written for one in made.left if one.what == "Price"] == left
    (question,) = (one for key, one in made.questions.asked.items() if key.startswith("sold prices"))
    assert "but what A-1 cost is kept as a note of its sale" in question.choices[2][1]


def test_a_sale_of_an_animal_on_record_is_read_as_that_of_a_new_one(tmp_path: Path) -> None:
    """What is owed by a remark is no open sum of another price, and what was swapped was not sold for what was asked."""
    records = "".join(f"- {{id: A-{one}, sex: male, hatched: 2020, shows: [Clown]}}\n" for one in (1, 2, 3))
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", ""), "animals/all.yaml": records})
    rows = "A-1,sold,Jo,200,150,owes 50\nA-2,sold,Tom,200,150,\nA-3,sold,Tom,200,trade,\n"
    sheet = f"ID,Status,Sold to,Price,Paid,Remarks\n{rows}".encode()
    made, book = taken(tmp_path, sheet, {"new in the sheet A-1, A-2, A-3": "all"})
    found = [(sale.agreed, str(sale.paid()), sale.note) for sale in book.private.sales]
    assert found == [(None, "0", "price 200; paid 150"), (150, "150", None), (None, "0", "paid: trade")]
    assert [one.written for one in made.left if one.what == "Price"] == ["200"]


@pytest.mark.parametrize("paid", ["trade", "650+50 ship", "650 (200 dep)", "650 for pair w/ A-2", "600 cash + trade"])
def test_what_was_asked_is_not_the_price_of_a_sale_that_was_paid_otherwise(tmp_path: Path, paid: str) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = f"ID,Genes,Asking,Status,Sold to,Sold for\nA-1,Clown,700,sold,Jo,{paid}\n"
    made, book = taken(tmp_path, rows.encode(), {"sold prices": "yes"})
    (sale,) = book.private.sales
    assert (sale.agreed, sale.payments, sale.note) == (None, (), f"paid: {paid}")
    assert [one.written for one in made.left] == [paid]


@pytest.mark.parametrize(
    ("written", "answer", "left"),
    [
        ("sold 4/2/25 to Greg Tolliver €175", "sold", True),
        ("for sale €150", "available", True),
        ("hold - Janelle Ortiz till 12/15", "on hold", True),
        ("swapped", "sold", False),
    ],
)
def test_what_a_status_says_besides_is_told_though_it_was_answered(
    tmp_path: Path, written: str, answer: str, left: bool
) -> None:
    """Once it was answered no list of what was left named its buyer, its day and its sum."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = f"ID,Genes,Status\nA-1,Clown,{written}\n"
    made, book = taken(tmp_path, rows.encode(), {f"status {written.casefold()}": answer})
    assert book.collection.animals["A-1"].status == answer
    told = f"A-1: '{answer}' is taken of it; what else stands there goes into no record but a note"
    assert [(one.written, one.why) for one in made.left] == ([(written, told)] if left else [])


def test_a_price_beside_a_status_that_is_not_understood_is_not_asked_about(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = b"ID,Genes,Status,Price\nA-1,Clown,for sale / maybe keep,\xe2\x82\xac90\n"
    made, book = taken(tmp_path, rows, {"status for sale / maybe keep": "not taken"})
    assert not any(key.startswith("prices without a status") for key in made.questions.asked)
    assert book.collection.animals["A-1"].price is None
    assert "\u20ac90" in (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("status", "seller", "cost", "how"),
    [
        ("back from loan", "Ann", "", "bought"),
        ("breeder - returned from loan", "Ann", "60", "bought"),
        ("on loan from Ann", "Ann", "", "loan"),
        ("", "Ann - free", "", ""),
        ("", "Ann", "free", ""),
        ("", "Ann", "0", ""),
        ("", "Ann", "n/c", ""),
        ("", "won at a raffle", "", ""),
    ],
)
def test_what_came_for_nothing_was_not_bought_nor_is_it_lent_that_came_back(
    tmp_path: Path, status: str, seller: str, cost: str, how: str
) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = f"ID,Genes,Status,From,Bought for\nA-1,Clown,{status},{seller},{cost}\n"
    _, book = taken(tmp_path, rows.encode(), {})
    came = book.collection.animals["A-1"].came
    assert (came.how if came is not None else "") == how


def test_a_slip_in_the_key_of_an_answer_is_told(tmp_path: Path) -> None:
    book, sheet = (
        open_book(BARE.write(tmp_path, {"collection.yaml": SETTINGS})).book,
        b"ID,Genes\nA-1,Clwon\nA-2,Pidd\nA-3,Piid\n",
    )
    assert book is not None
    answers = {"wrod Clwon": "Clown", "word Pidd": "Pied", "clutch C24-01": "yes", "species, id/genes": "ball-python"}
    made = take_in(book, sheet, "herd.csv", answers, lambda question: None, TODAY)
    line = "  'wrod Clwon' of your file of answers is the key of no question; the nearest is 'word Clwon'."
    assert [one for one in made.as_text() if "of your file of answers" in one] == [line]


def test_which_number_is_the_day_is_not_asked_where_every_date_that_is_certain_says_it(tmp_path: Path) -> None:
    certain = [f"A-{day},Clown,{day}.08.2020,\n" for day in range(13, 18)]
    rows = [*certain, "A-1,Clown,01.10.2020,\n", "A-2,Clown,,02/03/2020\n"]
    asked = {}
    for name, some in (("few", rows[1:-1]), ("many", rows[:-1]), ("two", rows)):
        BARE.write(tmp_path / name, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
        made, book = taken(tmp_path / name, f"ID,Genes,Hatched,Acquired\n{''.join(some)}".encode(), {})
        asked[name] = [one.text for key, one in made.questions.asked.items() if key.startswith("order of days")]
        assert str(book.collection.animals["A-1"].hatched) == ("None" if name == "few" else "2020-10-01")
    assert asked["many"] == []
    assert [len(asked[name]) for name in ("few", "two")] == [1, 1]
    assert asked["two"][0].startswith("1 date, such as 02/03/2020,")


@pytest.mark.parametrize(
    ("written", "why"),
    [
        ("1.5", "a number alone, which may be of grams or of kilograms"),
        ("1200 big", "no weight in grams alone; write each weight with its day into the log"),
    ],
)
def test_why_a_weight_is_left_is_so(tmp_path: Path, written: str, why: str) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    made, _ = taken(tmp_path, f"ID,Genes,Weight\nA-1,Clown,{written}\n".encode(), {})
    assert left_of(made) == [f"A-1: {why}"]


def test_a_price_without_a_part_is_read() -> None:
    assert [price_in(cell) == Price("75", None, "") for cell in ("75,--", "75,-", "75.-", "75,\u2013")] == [True] * 4


@pytest.mark.parametrize("buyer", ["R. Nagel (20 open)", "R. Nagel, owes 25"])
def test_no_payment_is_made_up_where_the_cell_of_a_buyer_speaks_of_one(tmp_path: Path, buyer: str) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = f'ID,Genes,Status,Sold to,Price\nA-1,Clown,sold,"{buyer}",75\nA-2,Clown,sold,Tom,90\n'
    made, book = taken(tmp_path, rows.encode(), {"sold prices": "all but A-1"})
    assert any(key.startswith("sold prices A-1, ") for key in made.questions.asked)
    assert [(sale.animals, len(sale.payments)) for sale in book.private.sales] == [(("A-1",), 0), (("A-2",), 1)]


@pytest.mark.parametrize(
    ("written", "answer", "column", "buyer"),
    [
        ("Traded", "sold", "Marty K", "Marty K"),
        ("Traded to Ann Ro", "sold", "Marty K", "Marty K"),
        ("Layaway", "on hold", "Jas Dhillon", "Jas Dhillon"),
        ("Rehomed", "sold", "", None),
        ("On payments", "on hold", "", None),
        ("Traded to Marty K", "sold", "", None),
        ("Gone to Marty", "sold", "", None),
        ("Sold Jo Tranter", "sold", "", None),
        ("Promised to Jo Fenn", "on hold", "", None),
    ],
)
def test_a_word_for_a_status_is_nobodys_name(
    tmp_path: Path, written: str, answer: str, column: str, buyer: str | None
) -> None:
    """An answer made of `Traded` a status, and of the same word the buyer, who put the real one out."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = f"ID,Genes,Status,Sold to\nA-1,Clown,{written},{column}\nA-2,Clown,available,\n"
    made, book = taken(tmp_path, rows.encode(), {f"status {written.casefold()}": answer})
    assert book.collection.animals["A-1"].status == answer
    assert [sale.buyer for sale in book.private.sales] == ([] if answer == "on hold" and buyer is None else [buyer])
    assert not any("its status" in one.why for one in made.left)


def test_words_for_a_status_are_not_asked_about_as_names_where_the_buyers_have_a_column(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "ID,Genes,Status,Sold to\nA-1,Clown,Traded,Ann Ro\nA-2,Clown,Rehomed,Jo Fenn\nA-3,Clown,Swapped,Tom Hill\n"
    made, _ = taken(tmp_path, rows.encode(), {})
    assert not any(key.startswith("buyers") for key in made.questions.asked)


# ---- what a breeder of Britain wrote, and one of Canada


def list_in(folder: Path, head: str, rows: str, answers: dict[str, str] | None = None) -> tuple[TakenIn, Book]:
    BARE.write(folder, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    return taken(folder, f"{head}\n{rows}".encode(), answers or {})


BRED = "ID,Sex,Genes,Hatched,Parents,From,Paid,Status,Sold to\n"
PAIR = "A-1,m,Clown,2018,,Kim Ode,400,breeder,\nA-2,f,Clown,2018,,Kim Ode 2019,,breeder,\n"


@pytest.mark.parametrize("cell", ["HB", "h.b.", "HB - 22A", "HB (me)", "Produced", "Kim Ode", "A-1 x A-2"])
def test_nobody_is_named_as_seller_of_young_of_own_parents(tmp_path: Path, cell: str) -> None:
    """Every snake that the breeder hatched was written as bought, and its page said what its seller had said. No question, no guess."""
    young = f"A-3,f,Clown,2022-08-08,A-1 x A-2,{cell},,Keeper,\n"
    made, book = list_in(tmp_path, BRED.strip(), PAIR + young)
    assert not any(key.startswith("from ") for key in made.questions.asked)
    assert (book.collection.animals["A-3"].origin, book.collection.animals["A-3"].came) == (None, None)
    why = "A-3: its parents are here, and no day or sum says that it came, so nobody is named who sold it"
    assert [(one.line, one.written, one.why) for one in made.left] == [(4, cell, why)]
    written = "".join(file.read_text(encoding="utf-8") for file in tmp_path.glob("*/*from-herd.yaml"))
    assert f"seller_as_written: {cell}" in written.replace('"', "")
    assert written.count("bought_from") == 2
    assert book.collection.animals["A-1"].came is not None


@pytest.mark.parametrize("cell", ["me", "us", "born here", "my clutch", "own clutch", "bred by me"])
def test_more_words_say_that_it_was_bred_here(tmp_path: Path, cell: str) -> None:
    made, book = list_in(tmp_path, BRED.strip(), f"A-1,m,Clown,2018,,{cell},,breeder,\n")
    assert (book.collection.animals["A-1"].origin, len(made.questions.asked)) == ("bred here", 2)


@pytest.mark.parametrize("cell", ["bought from Jo", "swap with Jo"])
def test_young_of_own_parents_that_were_bought_have_a_seller(tmp_path: Path, cell: str) -> None:
    made, book = list_in(tmp_path, BRED.strip(), f"{PAIR}A-3,f,Clown,2022-08-08,A-1 x A-2,{cell},,breeder,\n")
    assert not any(key.startswith("from ") for key in made.questions.asked)
    assert book.collection.animals["A-3"].came is not None


def test_initials_without_parents_and_a_word_for_captive_bred_are_nobody(tmp_path: Path) -> None:
    made, book = list_in(tmp_path, BRED.strip(), "A-1,m,Clown,2018,,HB,,breeder,\nA-2,f,Clown,2018,,CBB,,breeder,\n")
    assert [(one.written, one.why) for one in made.left] == [
        ("HB", "A-1: no day or sum says that it came, and whether this says from whom is not known")
    ]
    assert [(one.origin, one.came) for one in book.collection.animals.values()] == [
        (None, None),
        ("captive bred", None),
    ]


def test_gone_is_asked_about(tmp_path: Path) -> None:
    """She may have died; a sale was written."""
    made, book = list_in(tmp_path, BRED.strip(), "A-1,m,Clown,2018,,,,Gone,\n")
    assert ("status gone" in made.questions.asked, book.private.sales) == (True, ())


HETS = "ID,Species,Sex,Shows,Het for,Hatched,Status,Price,Sold to,Remarks"


@pytest.mark.parametrize(
    ("cell", "hets"),
    [
        *((f"amel and anery{behind}", "50% 50%") for behind in (" 50%", " (50%)")),
        ("amel, anery 50%", "100% 50%"),
        ("amel 66% & anery 50%", "66% 50%"),
        ("amel & 50% anery", "100% 50%"),
        ("amel & anery", "100% 100%"),
    ],
)
def test_a_figure_behind_two_names_that_are_joined_is_said_of_both(cell: str, hets: str) -> None:
    """Behind `&` it was said of the last alone, and the first was certain, where `and` said it of both."""
    corn = load("corn-snake")
    assert corn is not None
    found = genes_in(cell, Vocabulary(corn, Dialogue({}, lambda question: None)), "", carried="hets")
    assert (" ".join(het.chance for het in found.hets), found.unread) == (hets, ())


def test_of_two_animals_of_one_name_that_of_the_species_is_the_parent(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS})
    rows = "ID,Name,Species,Sex,Genes,Hatched,Parents\n"
    rows += (
        "C1,Smokey,corn snake,m,normal,2018,\nC2,Ann,Corn snake,f,normal,2018,\nR1,Smokey,ball python,m,Clown,2018,\n"
    )
    rows += "R2,Bea,ball-python,f,Clown,2018,\nR3,,Ball python,f,Clown,2022,Smokey x Bea\nC3,,corn-snake,f,normal,2022,C1xC2\n"
    made, book = taken(tmp_path, rows.encode(), {})
    animals = book.collection.animals
    assert [(animals[name].sire, animals[name].dam) for name in ("R3", "C3")] == [("R1", "R2"), ("C1", "C2")]
    assert made.left == []


@pytest.mark.parametrize(
    ("price", "why"),
    [
        ("€75 pair with A-2", "which amount is the price of this animal is not plain"),
        ("45 + 15 courier", "which amount is the price of this animal is not plain"),
        ("see A-2", "no amount"),
    ],
)
def test_a_cell_with_two_amounts_is_not_said_to_hold_none(tmp_path: Path, price: str, why: str) -> None:
    made, _ = list_in(tmp_path, HETS, f"A-1,,f,Clown,,2020,available,{price},,\n")
    assert [one.why for one in made.left] == [f"A-1: {why}"]


def test_what_speaks_of_a_sale_of_one_that_died_is_told(tmp_path: Path) -> None:
    """It stood in the private notes of its record, and in no list of what was left."""
    head = "ID,Genes,Status,Sold to,Date sold,Notes"
    rows = "A-1,Clown,RIP,Jo Fenn,21/09/22,\nA-2,Clown,RIP,,,died 21/09/22\nA-3,Clown,RIP,,,pts 20/09/22\n"
    made, book = list_in(tmp_path, head, rows)
    assert [(one.line, one.written, one.why[5:]) for one in made.left] == [
        (2, "21/09/22", "it died, so no sale is written"),
        (2, "Jo Fenn", "it died, so no sale is written"),
        (3, "died 21/09/22", MORE),
        (4, "pts 20/09/22", MORE),
    ]
    gone = [one.left for one in book.collection.animals.values() if one.left]
    assert [str(one.on) for one in gone] == ["None"] * 3


@pytest.mark.parametrize("cell", ["none known", "none", "nothing", "n/k", "tbc", "dont know", "unknown"])
def test_that_nobody_knows_what_it_carries_needs_no_question(tmp_path: Path, cell: str) -> None:
    made, book = list_in(tmp_path, HETS, f"A-1,,Male (probed),Classic,{cell},2020,,,,\nA-2,,f (popped),WT,,2020,,,,\n")
    assert ([one.why for one in made.left], len(made.questions.asked)) == ([], 2)
    assert [(one.sex, one.reading.shows) for one in book.collection.animals.values() if one.reading] == [
        ("male", ()),
        ("female", ()),
    ]


@pytest.mark.parametrize("cell", ["A-1 x A-2", "Bea"])
def test_own_animals_in_the_column_of_where_from_are_no_seller(tmp_path: Path, cell: str) -> None:
    rows = "A-1,Al,m,Clown,2018,,\nA-2,Bea,f,Clown,2018,,\nA-3,,f,Clown,2022,,"
    made, book = taken_in(tmp_path, f"{rows}{cell}\n", {})
    assert [one.written for one in made.left] == [cell]
    assert book.collection.animals["A-3"].came is None


@pytest.mark.parametrize(("status", "told"), [("", True), ("sold", True), ("breeder", False)])
def test_a_list_without_a_breeder_is_told_to_name_them(tmp_path: Path, status: str, told: bool) -> None:
    """The desk said of grown animals that none is known to be old and heavy enough."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    made, _ = taken(tmp_path, f"ID,Sex,Genes,Status\nA-1,f,Clown,{status}\n".encode(), {})
    assert (
        any(line.startswith("No animal has the status breeder, holdback or growing on;") for line in made.as_text())
        == told
    )


@pytest.mark.parametrize("parents", ["", "A-8 x A-9"])
def test_a_day_of_sale_in_the_status_of_what_the_breeder_has_is_kept_with_it(tmp_path: Path, parents: str) -> None:
    """There was a traceback, or its parents were named as what speaks of the sale."""
    rows = f"A-1,Clown,SOLD 14 May 2024,me,{parents}\nA-8,Clown,,,\nA-9,Clown,,,\n"
    made, book = list_in(tmp_path, "ID,Genes,Status,Sold to,Parents (sire x dam)", rows)
    assert book.private.sales == ()
    assert ("Status", "A-1: the cell of its buyer says that you have it") in [(one.what, one.why) for one in made.left]


def test_a_sum_beside_a_buyer_of_what_is_not_sold_is_kept_as_a_note(tmp_path: Path) -> None:
    """There was a traceback, since no column of prices has it."""
    _, book = list_in(tmp_path, "ID,Genes,Status,Sold to", "A-1,Clown,gone,Kit Vale €300\n", {"status gone": "breeder"})
    assert (book.collection.animals["A-1"].status, book.private.sales) == ("breeder", ())
    assert 'buyer_as_written: "Kit Vale €300"' in (tmp_path / "animals/from-herd.yaml").read_text(encoding="utf-8")
