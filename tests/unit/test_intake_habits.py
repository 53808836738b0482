"""Lists of five breeders, each with habits of its own; the key of each was written by hand before the list was taken in.

Sexes as signs, a table of clutches below the animals, names of columns on two lines; prices in words, several animals in a row, totals
without a word, a list of wishes; quotes for "as above" between tabs; headings that are a status, days of death; deaths
among the buyers, doubts in brackets behind a parent. Invented from end to end.
"""

from __future__ import annotations

import io
import zipfile
from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import Font
from tests.rooms import BARE, SETTINGS
from tests.unit.test_intake import rows_and_placed, taken
from tests.unit.test_intake_cells_of_people import MORE

from clutchlight.intake.asking import Dialogue
from clutchlight.intake.columns import Row, confirmed, guess, sheets_in, unread_in
from clutchlight.intake.run import TakenIn
from clutchlight.pipeline import Book
from clutchlight.problems import RecordsError

Key = dict[str, str]

SIGNS = """Bestand Winter 2026;;;;;;;;;
Tier;;;;Herkunft;;Verkauf;;;
Nr.;Name;♂/♀;Genetik;Schlupf;Eltern;Preis;an wen;wann;Bemerkungen
1;Odin;♂;Clown;Juli 2019, 14.;;;;;Zuchttier
2;Freya;♀;Pastell het Clown;2018 August;;;;;
3;Loki;♂ ?;Pied;12. Mai 2020;;;;;
4;Hel;♀;normal, 66% het Pied;Mai 12 2020;;;;;verstorben Januar 2025
5;Sif;♀;Pied;03.04.21;;zweihundert;;;
21-1;;♂;Clown;9.7.2021;Odin x Freya;350 €;Maria Lenz;Aug. 21;abgeholt
21-2;;♀;Pastell;9.7.2021;1 x 2;280,- VB;;;noch da
21-3;;♀;normal het Clown;"9.7.2021";1 x 2;200;verkauft;;an Herrn Bruns, 180 €
21-4;;?;normal;9.7.2021;1 x 2;;;;† 3.8.21
Summe;9 Tiere;;;;;830;;;
Gelege;;;;;;;;;
Gelege;Vater;Mutter;gelegt;Eier;Schlupf;;;;
21-A;Odin;Freya;5.5.21;6;9.7.2021;;;;
"""
SIGNS_KEY = {
    "1": "male; ; Clown; ; ",
    "2": "female; 2018-08; Pastel; Clown 1; ",
    "3": "unknown; 2020-05-12; Piebald; ; ",
    "4": "female; 2020-05-12; normal; Piebald 2/3; ",
    "5": "female; 2021-04-03; Piebald; ; ",
    "21-1": "male; 2021-07-09; Clown; ; 1 x 2; sold",
    "21-2": "female; 2021-07-09; Pastel; ; 1 x 2; available 280",
    "21-3": "female; 2021-07-09; normal; Clown 1; 1 x 2; sold",
    "21-4": "unknown; 2021-07-09; normal; ; 1 x 2",
}

WORDS = """STOCK,,,,MONEY,,,LIFE,,,
animal,what is it,M/F,born,$ ask,$ paid,to,came from,alive?,clutch,remarks
Maple,"Clown, female",F,2017/8/22,,,,Ridge Reptiles 2019,y,,3 clutches so far
Hickory,Pied 100% het clown,M,8-22-2018,,,,swap w/ Dana,y,,
Birch,"Pinstripe, from het Pied x het Pied",M,21-Aug-2019,,,,Ridge Reptiles 2019,n,,
Aspen,normal NOT het Clown,F,Spring 2019,,,,,y,,
Elm 1,visual Clown,M,Sept 3rd 2022,400,325,Kim (brother of Dana),,y,22A,picked up 11/22
Elm 2,normal dbl het clown pied,F,Sept 3rd 2022,two fifty,,,,y,22A,sold to Pat
Elm 3,Pied,F,Sept 3rd 2022,250,250,"Lee, Pat",,n,22A,died at buyer's
Elm 4-6,normals,,Sept 3rd 2022,150 each,,,,y,22A,
Oak,unknown (het pied?),M,,,,,,,,ask Dana
Ash,Pastel x Pied,F,2023,,,,,y,,RIP 5/2024
,,,,1300,575,,,,,
Total 9,,,,,,,,,,
wish list,,,,,,,,,,
Sunset,Sunset,M,,3000,,,,,,
"""
WORDS_KEY = {
    "Maple": "female; 2017-08-22; Clown; ; ",
    "Hickory": "male; 2018-08-22; Piebald; Clown 1; ",
    "Birch": "male; 2019-08-21; not said; ; ",
    "Aspen": "female; ; not said; ; ",
    "Elm-1": "male; 2022-09-03; Clown; ; ",
    "Elm-2": "female; 2022-09-03; normal; Clown 1, Piebald 1; ",
    "Elm-3": "female; 2022-09-03; Piebald; ; ",
    "Oak": "male; ; not said; ; ",
    "Ash": "female; 2023; not said; ; ",
}

QUOTES = """#|Sire / Dam|Sexe|Phase|Né(e)|Poids|Situation|Prix|Notes
Mâles||||||||
M1|-|1.0|Pied|juillet 2018|1 200|reproducteur|-|
M2|"|1.0|Banana het Pied 100 %|12/07/2019|900 g|reproducteur|-|"gentil"
Femelles||||||||
F1|-|0.1|Normale het Pied (66 %)|3 août 2018|1,8 kg|reproductrice||
F2||0.1|Pastel|31/12/2017|1750|morte||mai 2025
Jeunes 2024||||||||
24-01|M1 / F1|1.0|Pied|05/07/24|85|vendu|400|à Luc Moreau, payé
24-02|"|0.1|"|"|90|dispo|450 €|"
24-03|"|0.0.1|Normale|"|70|réservé|100|Mme Petit, acompte 50
24-04|M1 ou M2 / F1|1.0|Normale|05/07/24|-|dispo|gratuit|pour un ami
24-05|M2 x F2|0.1|Pastel Banana|06/08/24|77|à garder||
""".replace("|", "\t")
QUOTES_KEY = {
    "M1": "male; 2018-07; Piebald; ; ; breeder",
    "M2": "male; 2019-07-12; Banana; Piebald 1; ; breeder",
    "F1": "female; 2018-08-03; normal; Piebald 2/3; ; breeder",
    "F2": "female; 2017-12-31; Pastel; ; ; died",
    "24-01": "male; 2024-07-05; Piebald; ; M1 x F1; sold",
    "24-02": "female; 2024-07-05; Piebald; ; M1 x F1; available 450",
    "24-03": "unknown; 2024-07-05; normal; ; M1 x F1; on hold 100",
    "24-04": "male; 2024-07-05; normal; ;  x F1; available",
    "24-05": "female; 2024-08-06; Banana, Pastel; ; M2 x F2; holdback",
}

HEADINGS = """ID|Sex|Traits|Hets|Hatch Date|Dam|Sire|Died|Price|Qty|Sold
BREEDERS||||||||||
R1|M|Pied||06-15-2017|||||1|
R2|F||66% Pied, 100 Clown|2018.07.01|||-||1|
R3|F|Lesser, Mojave||07/04/2019|WC|WC|03/2024||1|
R4|F|poss. Yellow Belly|pos het pied|2019-08|||no||1|
SOLD 2025||||||||||
R5|M|Pied||05-30-2023|R2|R1||150|1|
R6|F|het Pied||05-30-2023|R2|R1||150|1|04/25
R7|M|Normal|Pied|5/30|R2|R1||1OO|1|yes
HOLDBACK|2023|||||||||
R8|F|Pied|Clown 50|05-30-2023|R2|R1||nfs|1|
||normals||05-30-2023|R2|R1||60 ea|4|
R9|F|n/a|n/a|n/a|n/a|n/a|yes|n/a|1|n/a
|||||||||10|
"""
HEADINGS_KEY = {
    "R1": "male; 2017-06-15; Piebald; ; ; breeder",
    "R2": "female; 2018-07-01; not said; ; ; breeder",
    "R3": "female; 2019-07-04; not said; ; ; died",
    "R4": "female; 2019-08; not said; ; ; breeder",
    "R5": "male; 2023-05-30; Piebald; ; R1 x R2; sold",
    "R6": "female; 2023-05-30; not said; Piebald 1; R1 x R2; sold",
    "R7": "male; ; normal; Piebald 1; R1 x R2; sold",
    "R8": "female; 2023-05-30; Piebald; ; R1 x R2; holdback",
    "R9": "female; ; not said; ; ; died",
}

RACKS = """Snake,Sex,Visual,Hets,Born,Mom,Dad,Asking,Sold for,Buyer,Sold date,Notes
Duchess,F,Pied,,2016,?,?,,,,,
Baron,M,"Clown, Pastel",Pied,6/2017,CB,CB,,,,,
Countess,F,Normal,,2018?,unk,unk,,,,,refused 11/20
Squire 1,M,,"Pied, Clown",7/4/2022,Duchess,Baron,225,200,Pat Holm,1/9/23,
Squire 2,F,Pastel,Pied Clown,7/4/2022,Duchess (Pied),Baron,225,,,,sold to Kay
Squire 3,F,Pastel,Pied,7/4/2022,Duchess,Baron,300,,on hold - J. Day,,
Squire 4,M,Pied,,7/4/2022,Duchess,Baron,,,DIED,8/1/22,
Squire 5-7,F,Pied,,7/4/2022,Duchess,Baron,90,,,,
Page,M,Clown,66% Pied,7/9/2023,Countess,Baron,400 or trade,,,,
Page 2,F,Pied,,7/9/2023,Countess (poss),Baron,350,,,,
"""
RACKS_KEY = {
    "Duchess": "female; 2016; Piebald; ; ",
    "Baron": "male; 2017-06; Clown, Pastel; Piebald 1; ",
    "Countess": "female; ; normal; ; ",
    "Squire-1": "male; 2022-07-04; not said; Clown 1, Piebald 1; Baron x Duchess; sold",
    "Squire-2": "female; 2022-07-04; Pastel; ; Baron x ",
    "Squire-3": "female; 2022-07-04; Pastel; Piebald 1; Baron x Duchess",
    "Squire-4": "male; 2022-07-04; Piebald; ; Baron x Duchess; died",
    "Page": "male; 2023-07-09; Clown; Piebald 2/3; Baron x Countess",
    "Page-2": "female; 2023-07-09; Piebald; ; Baron x ; available 350",
}

ANSWERS = {
    "order of days": "as guessed",
    "word Pastell": "Pastel",
    "word female": "no trait",
    "prices without a status": "yes",
    "rows below": "yes",
    "day of weights": "not known",
}


def in_a_line(book: Book, name: str) -> str:
    """What is on record of an animal: sex, hatched, looks, what it was said to carry, parents, whether it stays."""
    animal = book.collection.animals[name]
    looks = "not said" if animal.reading is None else ", ".join(sorted(animal.reading.shows or ())) or "normal"
    carried = ", ".join(
        sorted(
            [f"{one.trait} {one.chance}" for one in animal.claims]
            + [f"{one.trait} {one.chance}" for one in animal.stated]
        )
    )
    parents = f"{animal.sire or ''} x {animal.dam or ''}" if animal.sire or animal.dam else ""
    written = animal.status if animal.place_of("status") != animal.place else ""
    status = "sold" if animal.sold else animal.away.how if animal.away is not None else written
    said = (animal.sex, str(animal.hatched or ""), looks, carried, parents, f"{status} {animal.price or ''}".strip())
    return "; ".join(said).removesuffix("; ")


@pytest.mark.parametrize(
    ("sheet", "name", "key"),
    [
        (SIGNS, "signs.csv", SIGNS_KEY),
        (WORDS, "words.csv", WORDS_KEY),
        (QUOTES, "quotes.tsv", QUOTES_KEY),
        (HEADINGS, "headings.csv", HEADINGS_KEY),
        (RACKS, "racks.csv", RACKS_KEY),
    ],
)
def test_no_cell_is_read_wrongly(tmp_path: Path, sheet: str, name: str, key: Key) -> None:
    made, book = taken_in(tmp_path, sheet, name)
    assert {one: in_a_line(book, one) for one in book.collection.animals} == key
    assert len(set(rows_and_placed(made))) == 1
    assert len(made.questions.asked) <= 11


def taken_in(folder: Path, sheet: str, name: str = "list.csv") -> tuple[TakenIn, Book]:
    BARE.write(folder, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    return taken(folder, sheet.encode(), ANSWERS, name)


def reasons(made: TakenIn) -> dict[int, str]:
    """The last reason told of each line."""
    return {one.line: one.why for one in made.left}


def test_what_stands_in_no_record_is_told_with_its_reason(tmp_path: Path) -> None:
    told = reasons(taken_in(tmp_path, WORDS)[0])
    assert [told[line] for line in (5, 8, 9, 10, 12, 13, 16)] == [
        "Birch: 'from' may deny it, leave it open or speak of another animal",
        f"Elm-2: {MORE}",
        "Elm-3: a remark may say otherwise, so this is taken for no sale",
        "'Elm 4-6' does not stand for one animal; give each a row of its own, with its id",
        "Ash: 'x' may deny it, leave it open or speak of another animal",
        "nothing in it says which animal it is: a row of totals, or a remark",
        "it stands below 'wish list', so it is no animal of yours",
    ]


def test_a_remark_is_quoted_from_its_own_column(tmp_path: Path) -> None:
    made, _ = taken_in(tmp_path, WORDS)
    assert [(one.line, one.what, one.written) for one in made.left if "may tell of" in one.why] == [
        (5, "alive?", "n"),
        (8, "remarks", "sold to Pat"),
        (9, "alive?", "n"),
        (9, "remarks", "died at buyer's"),
        (12, "remarks", "RIP 5/2024"),
    ]


def test_a_day_of_death_is_kept(tmp_path: Path) -> None:
    _, book = taken_in(tmp_path, HEADINGS)
    left = book.collection.animals["R3"].left
    assert left is not None
    assert (left.how, str(left.on)) == ("died", "2024-03")


def test_without_an_answer_a_heading_says_nothing_of_the_rows_below(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    made, book = taken(tmp_path, HEADINGS.encode(), {}, "list.csv")
    assert not book.collection.animals["R5"].sold
    assert "rows below sold 2025" in made.questions.open


def test_names_of_other_columns_begin_another_table_and_the_same_names_do_not() -> None:
    head, other = "ID,Name,Sex,Genes", "Clutch,Dam,Laid,Eggs"
    (sheet,) = sheets_in(f"{head}\nA,Bo,m,Pied\n{other}\nC-1,Fay,2024,6\n{head}\nB,Fay,f,Pied\n".encode(), "x.csv")
    found = guess(sheet)
    assert [row[0] for row in found.rows] == ["A", "ID", "B"]
    assert [row[0] for row in found.others] == ["Clutch", "C-1"]


def test_two_quotes_for_as_above_between_commas_are_no_cell_of_two_lines() -> None:
    (sheet,) = sheets_in(b'ID,Sire,Name\nA,Rex,Bo\nB,",Fay\nC,",Moss\nD,", Jr",Ash\n', "x.csv")
    assert sheet.rows[2:] == (("B", '"', "Fay"), ("C", '"', "Moss"), ("D", ", Jr", "Ash"))


@pytest.mark.parametrize(
    ("heading", "row", "why"),
    [
        ("SOLD 2025", "A,Clown,me,", "the cell of its buyer says that you have it"),
        ("FOR SALE", "A,Clown,,may", "another column may speak of a sale, so it is not offered"),
    ],
)
def test_a_status_from_a_heading_that_its_row_denies_is_left_with_the_heading(
    tmp_path: Path, heading: str, row: str, why: str
) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    sheet = f"ID,Genes,Sold to,Date sold\n{heading}\n{row}\n"
    made, book = taken(tmp_path, sheet.encode(), {f"rows below {heading.casefold()}": "yes"})
    assert (3, heading, f"A: {why}") in [(one.line, one.written, one.why) for one in made.left]
    assert (book.collection.animals["A"].status, book.private.sales) == ("not for sale", ())


def test_a_name_that_two_rows_have_is_not_asked_about_as_a_part_of_another(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    sheet = "ID,Name,Sex,Genes,Dam\nA,Bess,f,Pied,\nB,Bess,f,Clown,\nC,Old Bess,f,Pied,\nD,Moss,m,Pied,Bess\n"
    made, book = taken(tmp_path, sheet.encode(), {"parent bess": "yes"})
    assert book.collection.animals["D"].dam is None
    assert reasons(made)[5] == "D: 'Bess' may be A or B, which share that name; write the id"


def test_each_remark_of_an_animal_on_record_is_told(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", ""), "animals/a.yaml": "- {id: A}\n"})
    made, _ = taken(tmp_path, b"ID,Genes,Notes,Remarks\nA,,sold to Pat,has a scar\n", {})
    assert [one.written for one in made.left] == ["sold to Pat", "has a scar"]


# ---- cells that say two things, or the trade's own


HEAD = "ID,Sex,Genes,Hatched,Parents,Status,Price,Sold to,Acquired,From,Remarks"


def list_of(folder: Path, rows: str, answers: dict[str, str] | None = None) -> tuple[TakenIn, Book]:
    BARE.write(folder, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    return taken(folder, f"{HEAD}\n{rows}".encode(), {"order of days": "day first", **(answers or {})}, "list.csv")


def test_two_quotes_side_by_side_or_apart_are_two_signs_for_as_above() -> None:
    (sheet,) = sheets_in(b'ID,Sire,Dam,Name\nA,Rex,Fay,Bo\nB,",",Ash\nC,",Moss,"\nD,", Jr",Fay,Elm\n', "x.csv")
    assert sheet.rows[2:] == (("B", '"', '"', "Ash"), ("C", '"', "Moss", '"'), ("D", ", Jr", "Fay", "Elm"))


@pytest.mark.parametrize(
    "words", ["Lost in the post", "Lost May 2023", "RIP Bella", "Lost Male", "mort", "lost", "Missing"]
)
def test_words_of_loss_that_begin_no_name_buy_nothing(tmp_path: Path, words: str) -> None:
    _, book = list_of(tmp_path, f"A-1,f,Clown,2020,,,,{words},,,\n")
    assert book.private.sales == ()


NAMES = "".join(
    f"A-{number},f,Clown,2020,,{status},,,,,\n"
    for number, status in enumerate(("Tom Hill", "Jo Fenn 4/5/24", "sold Ann Ro", "available", "Proven"), 1)
)


def test_names_in_the_column_of_statuses_sell_nothing_unasked(tmp_path: Path) -> None:
    """Only `sold Ann Ro` is sold, and to nobody named."""
    assert [sale.buyer for sale in list_of(tmp_path, NAMES)[1].private.sales] == [None]


def test_a_keeper_is_held_back_among_own_young_and_not_for_sale_elsewhere(tmp_path: Path) -> None:
    rows = (
        "A-1,m,Clown,2018,,keeper,,,,Kim Ode,\nA-2,f,Clown,2018,,Keeper,,,,,\nA-3,f,Clown,2020,A-1 x A-2,keeper,,,,,\n"
    )
    made, book = list_of(tmp_path, rows)
    animals = book.collection.animals
    assert [animals[name].status for name in ("A-1", "A-2", "A-3")] == ["not for sale", "not for sale", "holdback"]
    assert not [key for key in made.questions.asked if "keeper" in key]


@pytest.mark.parametrize("cell", ["DOA", "euthanized", "died - prolapse 4/5/24"])
def test_how_it_died_is_kept_word_for_word(tmp_path: Path, cell: str) -> None:
    _, book = list_of(tmp_path, f"A-1,f,Clown,2020,,{cell},,,,,\n")
    left = book.collection.animals["A-1"].left
    assert left is not None
    assert left.how == "died"
    assert f"status_as_written: {cell}" in (tmp_path / "animals/from-list.yaml").read_text(encoding="utf-8")


def test_a_price_that_says_sold_is_a_sale_and_no_price(tmp_path: Path) -> None:
    rows = "A-1,f,Clown,2020,,,sold,,,,\nA-2,f,Clown,2020,,available,sold for 350,,,,\nA-3,f,Clown,2020,,,sold for 350,,,,\n"
    made, book = list_of(tmp_path, rows, {"sold prices": "yes"})
    assert [(sale.animals, sale.agreed) for sale in book.private.sales] == [(("A-1",), None), (("A-3",), None)]
    assert book.collection.animals["A-2"].status != "available"
    assert [one.written for one in made.left if one.what != "Status"] == ["sold for 350"] * 2


@pytest.mark.parametrize("status", ["escaped 2026", "on loan to Kim"])
def test_a_loss_of_an_animal_on_record_is_written_to_what_was_left(tmp_path: Path, status: str) -> None:
    list_of(tmp_path, "A-1,f,Clown,2020,,breeder,,,,,\n")
    made, _ = taken(tmp_path, f"{HEAD}\nA-1,f,Clown,2020,,{status},,,,,\n".encode(), {}, "newer.csv")
    assert made.left_file
    assert status in (tmp_path / made.left_file).read_text(encoding="utf-8")


# ---- several tables in one file, and animals of others


def of_three_species(folder: Path, sheet: str, answers: dict[str, str]) -> tuple[TakenIn, Book]:
    BARE.write(folder, {"collection.yaml": SETTINGS.replace("[ball-python", "[western-hognose, ball-python")})
    return taken(folder, sheet.encode(), {"order of days": "day first", **answers}, "list.csv")


@pytest.mark.parametrize(
    ("heads", "answer"), [("Male,Female", ""), ("Bull,Cow", "B: sire, C: dam"), ("Sire,Dam", "D: laid")]
)
def test_clutches_keep_their_ids_whatever_is_said_of_other_columns(heads: str, answer: str) -> None:
    """Their parents were notes, and after an answer that named them the clutches were called by their rows."""
    rows = f"Clutch,{heads},Laid,Eggs\n24-1,Rex,Juno,2024-03-28,7\n24-2,Rex,Echo,2024-04-14,5\n25-1,Rex,Nova,2025-04-06,6\n"
    columns = guess(sheets_in(rows.encode(), "x.csv")[0])
    questions = Dialogue({}, lambda question: answer or None)
    roles = confirmed(columns, "x.csv", questions).roles
    assert list(roles.values()) == ["id", "sire", "dam", "laid", "eggs"]


@pytest.mark.parametrize("heading", ["Female,Male,Eggs", "Male,Female,Laid", "Female,Bull,Eggs"])
def test_a_heading_of_parents_and_eggs_alone_is_one(heading: str) -> None:
    """Only `Eggs` counted, one name among three columns, so that the heading was read as a clutch."""
    columns = guess(sheets_in(f"{heading}\nJuno,Rex,7\n".encode(), "x.csv")[0])
    assert list(columns.header) == heading.split(",")
    meant = {"Female": "dam", "Male": "sire", "Eggs": "eggs", "Laid": "laid", "Bull": "sire"}
    found = {
        columns.header[number]: role for number, role in columns.roles.items() if role not in ("note", "passed over")
    }
    assert found == {name: meant[name] for name in found}
    assert "dam" in found.values()


def test_columns_of_males_and_females_are_no_parents_of_animals() -> None:
    columns = guess(sheets_in(b"ID,Male,Female,Genes\nA-1,x,,Pastel\nA-2,,x,Clown\n", "x.csv")[0])
    assert list(columns.roles.values()) == ["id", "note", "note", "genes"]


def test_a_list_of_eggs_without_parents_is_told_to_name_them(tmp_path: Path) -> None:
    """Told to name an id, its clutches became snakes."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    with pytest.raises(RecordsError, match="such as `B: sire, C: dam`"):
        taken(tmp_path, b"Nest,Bull,Cow,Laid,Eggs\nx,Rex,Juno,2024-03-28,7\n", {})


CLUTCHES = "Clutch,Mum x Dad,Laid,Eggs,Slugs,Hatched,Came out,Notes\n"
PAIR = {"animals/all.yaml": "- {id: M-1, name: Oak, sex: male}\n- {id: F-1, sex: female}\n"}


def clutches_of(folder: Path, rows: str, answers: dict[str, str]) -> tuple[TakenIn, Book]:
    BARE.write(folder, {**PAIR, "collection.yaml": SETTINGS.replace(", corn-snake", "")})
    return taken(folder, f"{CLUTCHES}{rows}".encode(), {"order of days": "day first", **answers}, "clutches.csv")


@pytest.mark.parametrize(
    ("answer", "eggs"), [("among them", [5, 11]), ("besides", [6, 14]), ("not known", [None, None])]
)
def test_the_slugs_of_a_list_of_clutches_are_asked_about_once(
    tmp_path: Path, answer: str, eggs: list[int | None]
) -> None:
    rows = "19-1,F-1 x Oak,20 June 2019,6,1,22 Aug 2019,,\n23-1,F-1 x Oak,30 Mar 2023,14,3,28 May 2023,,\n"
    made, book = clutches_of(tmp_path, rows, {"slugs among eggs": answer})
    assert [book.collection.clutches[name].eggs for name in ("19-1", "23-1")] == eggs
    assert len([key for key in made.questions.asked if key.startswith("slugs")]) == 1


def test_a_clutch_of_a_list_outlives_a_sire_that_cannot_be_its_own(tmp_path: Path) -> None:
    """One whose dam cannot be is left as a whole row."""
    late = "- {id: M-2, sex: male, hatched: 2020-05-01}\n- {id: F-2, sex: female, hatched: 2020-05-01}\n"
    files = {"animals/all.yaml": f"{PAIR['animals/all.yaml']}{late}"}
    BARE.write(tmp_path, {**files, "collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "19-1,F-1 x M-2,2019-06-20,6,,2019-08-22,,\n19-2,F-2 x Oak,2019-06-20,6,,2019-08-22,,\n"
    made, book = taken(tmp_path, f"{CLUTCHES}{rows}".encode(), {}, "clutches.csv")
    (clutch,) = book.collection.clutches.values()
    assert (clutch.id, clutch.dam, clutch.sires.certain, clutch.eggs) == ("19-1", "F-1", None, 6)
    assert "sire_not_taken: M-2" in (tmp_path / "clutches/19-1.md").read_text()
    assert [(one.line, one.what, one.written) for one in made.left] == [(2, "Mum x Dad", "F-1 x M-2"), (3, "", "19-2")]


@pytest.mark.parametrize("row", ["26-?,F-1 x Oak,,,,,,locks 4/1/26", "-,F-1 x Oak,2025,,,none,0,reabsorbed no eggs"])
def test_a_pair_without_eggs_or_days_is_no_clutch(tmp_path: Path, row: str) -> None:
    made, book = clutches_of(tmp_path, f"19-1,F-1 x Oak,20 June 2019,6,0,22 Aug 2019,,\n{row}\n", {})
    assert list(book.collection.clutches) == ["19-1"]
    assert "nothing of it says that eggs were laid" in next(one.why for one in made.left if one.line == 3)


def test_a_note_says_of_which_column_it_is_and_a_day_over_weights_is_their_day(tmp_path: Path) -> None:
    sheet = "ID,Sex,Genes,Hatched,Weight,2025-04-12,Remarks\nA-1,f,Clown,2020,1500,1540,\nA-2,f,Clown,2020,1400,,shy\n"
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    taken(tmp_path, sheet.encode(), {"columns": "F: note"}, "list.csv")
    written = (tmp_path / "animals/from-list.yaml").read_text(encoding="utf-8")
    assert 'note: "2025-04-12: 1540"' in written
    assert "note: shy" in written
    _, book = taken(
        BARE.write(tmp_path / "b", {"collection.yaml": SETTINGS.replace(", corn-snake", "")}),
        sheet.encode(),
        {"columns": "F: weight, E: passed over"},
        "list.csv",
    )
    assert [(row.animal, str(row.on), row.value) for row in book.private.log] == [("A-1", "2025-04-12", "1540")]


def test_an_amount_with_a_slip_of_the_comma_is_no_price(tmp_path: Path) -> None:
    made, book = list_of(tmp_path, 'A-1,f,Clown,2020,,available,"€1,45",,,,\n')
    assert book.collection.animals["A-1"].price is None
    assert "may be a slip" in made.left[0].why


def test_the_rest_of_a_litter_is_no_animal(tmp_path: Path) -> None:
    made, book = list_of(tmp_path, "A-1,f,Clown,2020,,,,,,,\nrest of litter,,Clown,,,sold,1800,Tom,,,\n")
    assert list(book.collection.animals) == ["A-1"]
    assert "does not stand for one animal" in made.left[0].why


def test_what_was_paid_otherwise_than_the_price_is_no_payment_of_the_price(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    sheet = "ID,Sex,Genes,Status,Price,Paid,Sold to,Date sold\nA-1,f,Clown,sold,180,£210,Tom,2026-01-10\n"
    sheet += "A-2,f,Clown,hold,500,100,Jo Fenn,\nA-3,f,Clown,hold,500,50,,\n"
    made, book = taken(tmp_path, sheet.encode(), {"sold prices": "yes", "currency": "EUR"}, "list.csv")
    sold, held = book.private.sales
    assert (sold.agreed, sold.payments, sold.note) == (None, (), "paid: £210")
    assert "price_as_written: 180" in (tmp_path / "animals/from-list.yaml").read_text(encoding="utf-8")
    assert [str(one.amount) for one in held.payments] == ["100"]
    assert held.agreed == 500
    assert [one.why for one in made.left][-1] == "A-3: it is held for nobody named, so what was paid is kept as a note"


def test_where_an_animal_came_from_is_read_in_the_column_of_parents_only_where_its_words_say_so(tmp_path: Path) -> None:
    sheet = 'ID,Name,Sex,Genes,Parents / where from\nA-1,Oak,m,het clown,"Hedley, Tilbeck show"\nA-2,Fay,f,DH Clown/Pied,bred by T. Orrel\n'
    sheet += "A-3,Bo,m,Clown,Oak x Fay\nA-4,Elm,m,Clown,swap w/ Perran Mossop\nA-5,Ash,m,Pied,Oak x ?\n"
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    made, book = taken(tmp_path, sheet.encode(), {"columns": "E: parents"}, "list.csv")
    animals = book.collection.animals
    assert [animals[name].claims for name in ("A-1", "A-2")] == [(), ()]
    assert (animals["A-3"].sire, animals["A-3"].dam, animals["A-5"].sire) == ("A-1", "A-2", "A-1")
    came = animals["A-4"].came
    assert came is not None
    assert came.how == "trade"
    cells = ["Hedley, Tilbeck show", "bred by T. Orrel"]
    assert [one.written for one in made.left if "not two parents" in one.why] == cells
    written = (tmp_path / "animals/from-list.yaml").read_text(encoding="utf-8")
    assert all(f"parents_as_written: {cell}" in written.replace('"', "") for cell in cells)


def test_what_was_bred_here_did_not_come(tmp_path: Path) -> None:
    sheet = "ID,Sex,Genes,Hatched,Acquired\nBALLS - girls,,,,\nP1,f,Clown,c. 2015,home bred\n"
    sheet += "BALLS - boys,,,,\nP2,m,Clown,2020,hatched here\n"
    made, book = of_three_species(tmp_path, sheet, {})
    animals = book.collection.animals
    assert [(one.species, one.origin) for one in animals.values()] == [("ball-python", "bred here")] * 2
    assert str(animals["P1"].hatched) == "about 2015"
    assert [one.line for one in made.left] == [2, 4]


def test_comments_and_struck_out_cells_of_a_workbook_are_told(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (["ID", "Sex", "Genes"], ["A-1", "f", "Clown"], ["A-2", "m", "Pied"]):
        sheet.append(row)
    sheet["C3"].comment = Comment("proven het Clown 2024 & more", "me")
    sheet["A2"].font = Font(strike=True)
    raw = io.BytesIO()
    book.save(raw)
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    made, _ = taken(tmp_path, raw.getvalue(), {}, "mine.xlsx")
    assert [(one.line, one.what, one.written, one.why.partition(",")[0]) for one in made.left] == [
        (1, "comment", "", "cells of this file may be struck out"),
        (3, "comment C3", "proven het Clown 2024 & more", "a comment on a cell"),
    ]


def test_how_many_hatched_is_no_count_of_animals_in_a_list_of_clutches(tmp_path: Path) -> None:
    """The species is that of the dam, so nothing is asked."""
    pair = {file: text.replace("{id", "{species: corn-snake, id") for file, text in PAIR.items()}
    BARE.write(tmp_path, {**pair, "collection.yaml": SETTINGS})
    sheet = "Clutch,Mum x Dad,Laid,Eggs,Hatched,How many\n19-1,F-1 x Oak,20 June 2019,6,22 Aug 2019,5\n"
    made, book = taken(tmp_path, sheet.encode(), {}, "clutches.csv")
    assert book.collection.clutches["19-1"].eggs == 6
    assert "How many: 5" in (tmp_path / "clutches/19-1.md").read_text(encoding="utf-8")
    assert not any(key.startswith("species") for key in made.questions.asked)
    assert next(made.as_text()) == "Taken: 1 clutch."
    assert len(list(made.as_text())) > 1


def test_a_sheet_of_several_species_that_does_not_say_which_may_be_left(tmp_path: Path) -> None:
    made, book = of_three_species(tmp_path, "ID,Sex,Genes\nA-1,f,Albino\n", {"species, ": "not taken"})
    assert (dict(book.collection.animals), made.left[0].why) == ({}, "A-1: its species is not known")


def test_until_when_it_is_held_is_no_day_of_a_sale(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    sheet = "ID,Sex,Genes,Status,Price,Sold to,Date sold\nA-1,f,Clown,hold,500,Jo Fenn,till 15 Dec 2026\n"
    made, book = taken(tmp_path, sheet.encode(), {}, "list.csv")
    (held,) = book.private.sales
    assert (held.buyer, held.handed_over, [one.written for one in made.left]) == ("Jo Fenn", None, ["till 15 Dec 2026"])


# ---- the currency in which a workbook shows a number


@pytest.mark.parametrize(
    ("code", "shown"),
    [
        ('"$"#,##0', "$350"),
        ("$#,##0.00", "$350"),
        ("[$$-409]#,##0.00", "$350"),
        ('_("$"* #,##0.00_);_("$"* (#,##0.00)', "$350"),
        ("[$£-809]#,##0", "£350"),
        ("#,##0.00\\ [$€-407]", "€350"),
        ('#,##0 "EUR"', "EUR 350"),
        ("[$$-1009]#,##0", "CAD 350"),
        ("[$kr-41D]\\ #,##0", "kr 350"),
        ("_-* #,##0.00\\ _€_-", "350"),
        ('0 "g"', "350"),
        ("0.00", "350"),
    ],
)
def test_a_number_keeps_the_currency_of_its_format(code: str, shown: str) -> None:
    """ECMA-376, part 1, 18.8.31, of the codes of formats: `_€` is a space as wide as a sign that nobody sees."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet["C3"] = 350
    sheet["C3"].number_format = code
    sheet["D3"] = 12
    assert [str(cell) for cell in _rows(book)[0]] == ["", "", shown, "12"]


def test_prices_shown_in_another_currency_are_asked_about_as_those_of_a_text_are(tmp_path: Path) -> None:
    """They were published in the currency of the collection, and nobody was told."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (
        ["ID", "Sex", "Genes", "Price", "Status"],
        ["A-1", "f", "Clown", 350, "for sale"],
        ["A-2", "m", "Pied", 400, "sold"],
    ):
        sheet.append(row)
    for cell in ("D2", "D3"):
        sheet[cell].number_format = '"$"#,##0'
    raw = io.BytesIO()
    book.save(raw)
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    made, after = taken(tmp_path, raw.getvalue(), {}, "mine.xlsx")
    (question,) = (one for key, one in made.questions.asked.items() if key.startswith("currency"))
    assert question.text.startswith("This sheet has 2 prices, such as $350, and this collection counts in EUR. ")
    assert after.collection.animals["A-1"].price is None


def _rows(book: Workbook) -> tuple[Row, ...]:
    raw = io.BytesIO()
    book.save(raw)
    return sheets_in(raw.getvalue(), "list.xlsx")[0].rows


def _of_open_document(rows: str) -> Row:
    """The first row that holds anything of a sheet with these rows."""
    names = "urn:oasis:names:tc:opendocument:xmlns"
    content = (
        f'<office:document-content xmlns:office="{names}:office:1.0" xmlns:table="{names}:table:1.0" xmlns:text="{names}:text:1.0">'
        f'<office:body><office:spreadsheet><table:table table:name="Snakes">{rows}</table:table></office:spreadsheet></office:body>'
        "</office:document-content>"
    )
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w") as made:
        made.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        made.writestr("content.xml", content)
        made.writestr(
            "META-INF/manifest.xml",
            "<manifest:manifest xmlns:manifest='urn:oasis:names:tc:opendocument:xmlns:manifest:1.0'/>",
        )
    return sheets_in(raw.getvalue(), "list.ods")[0].rows[0]


def test_an_open_document_keeps_the_currency_of_a_number() -> None:
    """OpenDocument 1.3, part 3, 19.369: a cell names its currency; one with a sign in its format shows it alone."""

    def cell(kind: str, value: str, shown: str, more: str = "") -> str:
        return f'<table:table-cell office:value-type="{kind}" office:value="{value}"{more}><text:p>{shown}</text:p></table:table-cell>'

    usd = ' office:currency="USD"'
    rows = (
        '<table:table-row table:number-rows-repeated="2"><table:table-cell table:number-columns-repeated="4"/></table:table-row>'
        '<table:table-row><table:table-cell table:number-columns-repeated="2"/>'
        f"{cell('currency', '350', '$350.00', usd)}"
        f"{cell('float', '200', '£200')}{cell('float', '12', '12')}</table:table-row>"
    )
    row = _of_open_document(rows)
    assert [str(one) for one in row] == ["", "", "USD 350", "£200", "12"]
    assert row[2].line == 3


@pytest.mark.parametrize(
    ("code", "shown"),
    [
        ("mmm yyyy", "2024-06"),
        ("mmm-yy", "2024-06"),
        ("mmmm yyyy;@", "2024-06"),
        ("yyyy-mm", "2024-06"),
        ("mm/yyyy", "2024-06"),
        ("[$-1009]mmm\\ yyyy", "2024-06"),
        ("mmmm", "2024-06"),
        ("yyyy", "2024"),
        ('"about" yyyy', "2024"),
        ("yyyy-mm-dd", "2024-06-01"),
        ("d-mmm", "2024-06-01"),
        ("dddd, mmmm dd, yyyy", "2024-06-01"),
        ("mmm dd, yyyy hh:mm", "2024-06-01"),
    ],
)
def test_a_day_is_read_as_far_as_its_format_shows_it(code: str, shown: str) -> None:
    """ECMA-376, part 1, 18.8.30 and 18.8.31: y, m and d are the letters of a day. `Jun 2024` became the first of that month."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet["A1"] = date(2024, 6, 1)
    sheet["A1"].number_format = code
    assert [str(cell) for cell in _rows(book)[0]] == [shown]


def test_of_a_workbook_whose_formats_are_not_read_it_is_told() -> None:
    """[MS-XLS] and [MS-XLSB] keep the formats of cells in binary records."""
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w") as made:
        made.writestr("xl/workbook.bin", b"")
    for file in (b"\xd0\xcf\x11\xe0", raw.getvalue()):
        assert [(cell, what.partition(" (")[0]) for cell, _, what in unread_in(file)] == [
            ("", "whether a date in a file such as .xls is shown as a month or a year only")
        ]
    assert list(unread_in(b"ID,Genes")) == []


@pytest.mark.parametrize(
    ("day", "shown", "read"),
    [
        ("2024-06-01", "Jun 2024", "2024-06"),
        ("2024-06-01", "06/24", "2024-06"),
        ("2024-01-01", "01/2024", "2024-01"),
        ("2024-06-01", "Juni 24", "2024-06"),
        ("2024-06-01", "2024", "2024"),
        ("2024-06-01", "1 Jun 2024", "2024-06-01"),
        ("2024-01-01", "01/01/24", "2024-01-01"),
        ("2024-06-01", "01/06", "2024-06-01"),
        ("2006-06-06", "06/06/06", "2006-06-06"),
        ("2024-06-01", "", "2024-06-01"),
    ],
)
def test_an_open_document_shows_as_much_of_a_day_as_was_typed(day: str, shown: str, read: str) -> None:
    """OpenDocument 1.3, part 3, 19.370: the value is a whole day, whatever the cell shows of it."""
    cell = f'<table:table-cell office:value-type="date" office:date-value="{day}"><text:p>{shown}</text:p></table:table-cell>'
    assert [str(one) for one in _of_open_document(f"<table:table-row>{cell}</table:table-row>")] == [read]


# ---- rows that head others, or add them up


@pytest.mark.parametrize(
    "row",
    [
        "2025,,,,",
        "'25,,,,",
        "2025-2026,,,,",
        "2025-26,,,,",
        ",2024,,,",
        ",,,,2025",
        "Males:,12,,,",
        "25,babies,,,",
        "TTL,,,,24",
        "Season total 2026,,,,",
        "2026 total,,,,3055",
        "Avg price,,,,312",
        ",,,,Total sold",
    ],
)
def test_a_row_of_nothing_but_a_season_or_a_total_is_no_animal(tmp_path: Path, row: str) -> None:
    """A breeder's season stood among the animals, with a page of its own."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    sheet = f"ID,Name,Sex,Genes,Hatched\nA-1,Bear,m,Clown,2020-01-02\n{row}\nA-2,Wisp,f,Clown,2020-01-02\n"
    made, book = taken(tmp_path, sheet.encode(), {})
    assert [*book.collection.animals] == ["A-1", "A-2"]
    assert [(one.line, one.why.endswith(": no animal")) for one in made.left] == [(3, True)]


@pytest.mark.parametrize(
    "row", ["2025,,m,,", "25-26,,,,", "2025-3,,,,", "2025-17,,,,", "26,,,,", "7,Total Eclipse,,Clown,"]
)
def test_an_id_that_is_like_a_season_or_a_total_is_of_an_animal(tmp_path: Path, row: str) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    _, book = taken(tmp_path, f"ID,Name,Sex,Genes,Hatched\nA-1,Bear,m,Clown,2020-01-02\n{row}\n".encode(), {})
    assert len(book.collection.animals) == 2


# ---- whether the breeder or a buyer paid


@pytest.mark.parametrize(
    ("header", "role"),
    [
        ("ID,Genes,Got from,Paid,Weight,Status", "cost"),
        ("ID,Genes,Bought on,Amount paid,Status,Sold to,Sold for", "cost"),
        ("ID,Genes,Bought on,Amount paid,Bought for,Sold to", "paid"),
        ("ID,Genes,From,Cost,Status,Price", "cost"),
        ("ID,Genes,Asking,Paid,Sold to,From", "paid"),
        ("ID,Genes,From,Status,Sold to,Paid", "paid"),
        ("ID,Genes,Paid,Status", "paid"),
        ("ID,Genes,From,Bought for,Paid,Sold to", "paid"),
    ],
)
def test_what_was_paid_is_the_breeders_where_it_stands_by_where_from(header: str, role: str) -> None:
    """What a breeder gave for a snake was written as what its buyer paid."""
    names = header.split(",")
    columns = guess(sheets_in(f"{header}\nA-1,Clown{',x' * (len(names) - 2)}\n".encode(), "mine.csv")[0])
    at = next(number for number, name in enumerate(names) if name in ("Paid", "Amount paid", "Cost"))
    assert columns.roles[at] == role
    assert columns.roles.get(6) == ("paid" if "Sold for" in names else None)


# ---- a heading of two words, and names in a column of ids


@pytest.mark.parametrize(
    ("heading", "role"),
    [
        *((one, "name") for one in ("Name / tag", "Name/Tag", "Name / ID", "Name or tag", "Name (tag)", "ID / Name")),
        ("Snake / ID", "id"),
        *((one, "price") for one in ("Price in CAD", "Price (Cdn)", "Preis in €", "VK €")),
        ("Notes & comments", "note"),
        ("Hatched (DOB)", "hatched"),
        ("Sex / Weight", "note"),
    ],
)
def test_a_heading_of_several_words_names_a_column_where_they_say_one_thing(heading: str, role: str) -> None:
    """The names of all animals were kept as notes, and each was called by its row."""
    columns = guess(sheets_in(f"{heading},Genes,Status\nMaple,Clown,x\nJuno,Pied,y\n".encode(), "mine.csv")[0])
    assert columns.roles[0] == role


def test_a_slip_of_a_parent_is_asked_about_too_where_the_ids_are_names(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "Snake,Sex,Genes,Sire,Dam\nTundra,m,Clown,,\nSaffron,f,Pied,,\nSaturn (LR22-2),f,Pied,,\n"
    rows += "LR23-1 - Nanaimo,f,Clown,Tundra,Saffrom\nLR26-1,f,Clown,Tundra,Saturn\n"
    _, book = taken(tmp_path, rows.encode(), {"parent saffrom": "yes", "parent saturn": "yes"})
    animals = book.collection.animals
    assert [animals[one].dam for one in ("LR23-1-Nanaimo", "LR26-1")] == ["Saffron", "Saturn-LR22-2"]
    more = b"Snake,Sex,Genes,Sire,Dam\nLR27-1,f,Clown,Tundrq,Saffron\n"
    _, book = taken(tmp_path, more, {"parent tundrq": "yes"}, "more.csv")
    assert book.collection.animals["LR27-1"].sire == "Tundra"


def test_a_name_that_is_the_id_is_written_once(tmp_path: Path) -> None:
    """Pages and letters called the animal "Loonie (Loonie)"."""
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    rows = "Name,Sex,Genes,Dam\nLoonie,m,Clown,\nToonie,f,Pied,\nOld Bess,f,Pied,\nA-1,f,Clown,toonie\n"
    _, book = taken(tmp_path, rows.encode(), {})
    animals = book.collection.animals
    assert {key: one.name for key, one in animals.items() if one.name} == {"Old-Bess": "Old Bess"}
    assert animals["A-1"].dam == "Toonie"
