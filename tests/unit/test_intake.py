"""A spreadsheet as people keep it goes in as it is: what is understood is taken, the rest is asked or explained, nothing is made up."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from click import Abort
from click.testing import CliRunner
from hypothesis import given, settings, strategies as st
from openpyxl import Workbook
from tests.rooms import BARE, SETTINGS

from clutchlight.cli import main
from clutchlight.cli.writing import asking
from clutchlight.intake.asking import Dialogue, ToAsk, answers_from, as_file
from clutchlight.intake.cells import parents_in, price_in, sex_in, status_in, weight_in
from clutchlight.intake.columns import confirmed, guess, kind_of_file, sheets_in
from clutchlight.intake.days import date_in
from clutchlight.intake.genes import Genes, Vocabulary, genes_in
from clutchlight.intake.run import TakenIn, compared, take_in
from clutchlight.model import Animal
from clutchlight.pipeline import Book, open_book
from clutchlight.problems import RecordsError
from clutchlight.reading.catalogue import load
from clutchlight.reading.findings import Findings
from clutchlight.statements.animals import typed_figures

TODAY = date(2026, 11, 28)

# Invented, with the mess of real ones: a title, three forms of dates, hets in a dozen ways, headings between rows, doubles, contradictions.
MESSY = """The herd 2026,,,,,,,,,,,
Tag,Called,Sex,Genes,DOB,Parents,Grams,Status,Price,Sold to,Date sold,Where from,Remarks
A-01,Bear,1.0,Clown,8/14/2018,,920g,breeder,,,,Hall fair,calm
A-02,Wisp,0.1,Pastel 66% pos het Clown,02.09.2018,,"1,650",Breeder,,,,Ada Quill,
A-03,Moth,f,DH Clown/Pied,2019-07-30,,,ours,,,,Ada Quill,
A-04,Reed,M,Pied het Clown (66%),13.08.2019,,780,keeper,,,,,
A-05,Sloe,fem,poss het Clown,Aug 2019,,1650,Breeder,,,,,
A-06,Haw,female,Normal (het for something?),2018,,,Breeder,,,,trade,
A-07,Ivy,0.1,Mojave het Clown,2019-07-30,,,Breeder,,,,Ada Quill,
--- 2023 ---,,,,,,,,,,,
23-01-1,,0.0.1,Pastel Clown,2023-07-11,Bear x A-02,110,hold back,,,,,
23-01-2,,f,Pastel 100% het Clown,7/11/2023,A-01 X A-02,65g,SOLD,350€,Jo Fenn,11/14/2023,,
23A3,,?,100% het Clown,11.07.2023,A-01/A-02,,sold,€400,Kit Vale,Expo fall,,
23-01-4,,m,Clwn,2023,A-01 × A-02,,DIED,,,,,
,,,,,,,,,,,,
23-02-1,,0.1,Fogg ph Clown,2023-08-12,A-04 x A-03,,avail,make offer,,,,
23-02-2,,m,50% het Clown & 66% het Pied,8/12/2023,A-04 x A-03,,avail,250 obo,,,,
23-02-3,,m,DH,8/12/2023,A-04 x A-03,,SOLD,"$1,200",returned!,11/13/2023,,
Tag,Called,Sex,Genes,DOB,Parents,Grams,Status,Price,Sold to,Date sold,Where from,Remarks
23A3,,?,100% het Clown,11.07.2023,A-01/A-02,,sold,€400,Max Ode,Expo fall,,
23-02-1,,0.1,Fogg ph Clown,2023-08-12,A-04 x A-03,,avail,make offer,,,,
A-08,Zed,1.0,Banana,32.07.2022,,,breeder,,,,,
A-09,Ash,1.0,het Pied,2022-08-01,Bear x Nobody,,breeder,,,,,
"""
ANSWERS = {
    "order of days": "as guessed",
    "word Clwn": "Clown",
    "word Fogg": "my own line: recessive",
    "only hets": "yes",
    "possible het": "50%",
    "currency": "EUR",
    "sold prices": "yes",
    "day of weights": "2026-10-31",
    "returned animals": "here",
    "clutches": "not all",
}


def answering(answers: Mapping[str, str]) -> Dialogue:
    return Dialogue({}, lambda question: by_start(answers, question))


def by_start(answers: Mapping[str, str], question: ToAsk) -> str | None:
    return next((answer for key, answer in answers.items() if question.key.startswith(key)), None)


def taken(folder: Path, raw: bytes, answers: Mapping[str, str], name: str = "herd.csv") -> tuple[TakenIn, Book]:
    """What a sheet gives, and the collection afterwards, read without an error. Without another answer it is of ball pythons."""
    before = open_book(folder, today=TODAY).book
    assert before is not None
    said = {"species, ": "ball-python", **answers}
    made = take_in(before, raw, name, {}, lambda question: by_start(said, question), TODAY)
    after = open_book(folder, today=TODAY)
    assert after.book is not None, [str(problem) for problem in after.problems]
    return made, after.book


def rows_and_placed(made: TakenIn) -> tuple[int, int]:
    """How many rows a sheet has, and how many of them stand in a record, or among what was left, with the reason."""
    taken, reader = made.taken, made.reader
    rows = {next(cell.line for cell in row if cell) for row in (*reader.columns.rows, *reader.columns.others)}
    young = [str(one["id"]) for one in taken.young()]
    written = {name.casefold() for name in (*taken.animals, *taken.clutches, *taken.joined, *young)}
    lines = {one.line for one in made.left} | {one.line for one in reader.drafts.values() if reader.is_known(one)}
    lines |= {taken.lines[name] for name in written & taken.lines.keys()}
    lines |= {reader.drafts[name].line for name in written & reader.drafts.keys()}
    return len(rows), len(rows & lines)


@pytest.fixture(scope="module")
def herd(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, TakenIn, Book]:
    folder = BARE.write(tmp_path_factory.mktemp("herd"), {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    return folder, *taken(folder, MESSY.encode(), ANSWERS)


# ---- a messy sheet


def test_every_row_is_placed_or_explained_and_few_questions_are_asked(herd: tuple[Path, TakenIn, Book]) -> None:
    _, made, book = herd
    assert rows_and_placed(made) == (20, 20)
    assert len(made.questions.asked) < 20
    assert made.questions.open.keys() == {key for key in made.questions.asked if key.startswith("columns")}
    assert made.questions.misfits == {}
    assert set(book.collection.animals) == {
        *(f"A-0{number}" for number in range(1, 10)),
        *("23-01-1", "23-01-2", "23A3", "23-01-4", "23-02-1", "23-02-2", "23-02-3"),
    }


def test_what_is_understood_is_what_the_sheet_says(herd: tuple[Path, TakenIn, Book]) -> None:
    """Sex, looks, claims, days and parents, each in its form."""
    animals = herd[2].collection.animals
    assert says(animals["A-02"]) == ("female", "2018-09-02", ("Pastel",), {"Clown": Fraction(2, 3)}, {})
    assert says(animals["A-03"]) == ("female", "2019-07-30", (), {"Clown": Fraction(1), "Piebald": Fraction(1)}, {})
    assert says(animals["A-04"]) == ("male", "2019-08-13", ("Piebald",), {"Clown": Fraction(2, 3)}, {})
    assert says(animals["A-05"]) == ("female", "2019-08", (), {"Clown": Fraction(1, 2)}, {})
    assert says(animals["23-01-2"]) == ("female", "2023-07-11", ("Pastel",), {}, {"Clown": Fraction(1)})
    assert says(animals["23-02-2"]) == (
        "male",
        "2023-08-12",
        (),
        {},
        {"Clown": Fraction(1, 2), "Piebald": Fraction(2, 3)},
    )
    assert (animals["23-01-1"].sire, animals["23-01-1"].dam) == ("A-01", "A-02")
    assert animals["23-01-4"].away is not None


def says(animal: Animal) -> tuple[object, ...]:
    return (
        animal.sex,
        str(animal.hatched) if animal.hatched else None,
        None if animal.reading is None else animal.reading.shows,
        {claim.trait: claim.chance for claim in animal.claims},
        {stated.trait: stated.chance for stated in animal.stated},
    )


def test_clutches_are_proposed_and_nothing_is_counted_that_was_not_said(herd: tuple[Path, TakenIn, Book]) -> None:
    """A year joins the only day of the pair in it; without a word all are incomplete, without eggs."""
    clutches = herd[2].collection.clutches
    assert {
        key: (one.sires.certain, one.dam, str(one.hatched), one.complete, one.eggs) for key, one in clutches.items()
    } == {
        "23-01": ("A-01", "A-02", "2023-07-11", False, None),
        "23-02": ("A-04", "A-03", "2023-08-12", False, None),
    }
    assert clutches["23-01"].young == ("23-01-1", "23-01-2", "23A3", "23-01-4")


def test_buyers_prices_and_weights_go_to_private_places(herd: tuple[Path, TakenIn, Book]) -> None:
    folder, _, book = herd
    sales = {
        sale.animals[0]: (sale.buyer, str(sale.agreed), str(sale.paid()), str(sale.handed_over))
        for sale in book.private.sales
    }
    assert sales == {
        "23-01-2": ("Jo Fenn", "350", "350", "2023-11-14"),
        "23A3": (None, "400", "400", "before 2026-11-28"),
    }
    weights = {(row.animal, str(row.on), row.value) for row in book.private.log}
    assert weights == {
        *(("A-01", "2026-10-31", "920"), ("A-02", "2026-10-31", "1650"), ("A-04", "2026-10-31", "780")),
        *(("A-05", "2026-10-31", "1650"), ("23-01-1", "2026-10-31", "110")),
    }
    public = "".join(repr(animal) for animal in book.collection.animals.values())
    assert not any(private in public for private in ("Jo Fenn", "Ada Quill", "Kit Vale", "Max Ode", "calm"))
    assert "bought_from: Ada Quill" in (folder / "animals/from-herd.yaml").read_text()
    animals = book.collection.animals
    assert (animals["23-02-1"].price, animals["23-02-2"].price) == ("ask", "250")
    assert (animals["23-02-3"].status, animals["23-02-3"].came is not None) == ("not for sale", True)


def test_what_is_left_has_its_line_and_its_reason(herd: tuple[Path, TakenIn, Book]) -> None:
    folder, made, _ = herd
    text = (folder / "intake/left-herd.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(io.StringIO(text.partition("\n")[2])))
    left = {(int(row["line"]), row["column"]): row["why"] for row in rows}
    assert left[10, ""].startswith("a heading")
    assert left[19, ""] == "the names of the columns again"
    assert left[21, ""] == "the same row stands in line 16"
    assert "two rows of this animal differ here" in left[20, "Sold to"]
    assert left[8, "Genes"] == "A-06: '?' may deny it, leave it open or speak of another animal"
    assert left[18, "Genes"] == "23-02-3: a het is said, but not of what"
    assert left[22, "DOB"] == "A-08: no day in the calendar; look at the day and the month"
    assert (
        left[23, "Parents"]
        == "A-09: 'Nobody' stands in no row of this sheet and has no record; the other parent is taken"
    )
    assert len(left) == len(rows) == len(made.left)


def test_words_that_were_explained_are_kept_in_traits(herd: tuple[Path, TakenIn, Book]) -> None:
    species = herd[2].collection.species["ball-python"]
    assert species.loci["fogg"].alleles == ("Fogg",)
    assert "Clown" not in species.loci["clown"].also_called, "a slip is no name"


def test_several_words_for_one_trait_go_in_at_once_and_in_later_sheets(tmp_path: Path) -> None:
    """Each is a name of it, but for a slip, which is only remembered; a later sheet's words stand in a file of their own."""
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    meant = {"word CL": "Clown", "word Clwn": "Clown", "word Bozo": "clown", "word Harlekin": "Clown"}
    taken(folder, b"id,sex,genes\nA-1,m,CL\nA-2,f,Clwn\nA-3,f,Harlekin\n", meant, "a.csv")
    assert (folder / "traits/words-of-a.yaml").read_text().count("locus: clown") == 1
    made, book = taken(folder, b"id,sex,genes\nB-1,m,Bozo\nB-2,f,CL\nB-3,f,Clwn\n", meant, "b.csv")
    assert [key for key in made.questions.said if key.startswith("word")] == ["word Bozo"]
    called = book.collection.species["ball-python"].loci["clown"].also_called["Clown"]
    assert {"CL", "Bozo", "Harlekin"} <= set(called)
    assert "Clwn" not in called
    assert read_of(book.collection.animals["B-3"])[2] == ("Clown",)
    assert read_of(book.collection.animals["B-2"])[2] == ("Clown",)


def test_a_trait_behind_an_unknown_word_is_left_undecided_in_the_record(tmp_path: Path) -> None:
    """Neither a look nor its absence is made of it, whatever another column says."""
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    made, book = taken(folder, b"id,sex,shows,genes\nA-1,m,Pastel,Enchi h/Clown\nA-2,f,normal,normal\n", {})
    reading = book.collection.animals["A-1"].reading
    assert reading is not None
    assert (reading.shows, reading.cannot_tell) == (("Pastel",), ("Enchi", "Clown"))
    (left,) = made.left
    assert (left.line, left.written) == (2, "Enchi h/Clown")


@pytest.mark.parametrize(
    ("word", "asked"),
    [("corn-snake", 0), ("Corn snake", 0), ("Pantherophis guttatus", 0), ("Corn", 1), ("Elaphe", 1)],
)
def test_a_species_of_the_collection_is_known_by_its_names_or_asked_for_once(
    tmp_path: Path, word: str, asked: int
) -> None:
    folder = BARE.write(tmp_path, {})
    raw = f"id,sex,species,genes\nA-1,m,{word},normal\nA-2,f,Ball python,normal\nA-3,f,{word},normal\n"
    made, book = taken(folder, raw.encode(), {f"species {word.casefold()}": "corn-snake"})
    assert [book.collection.animals[f"A-{n}"].species for n in (1, 2, 3)] == ["corn-snake", "ball-python", "corn-snake"]
    assert sum(key.startswith("species") for key in made.questions.asked) == asked


def test_the_species_of_rows_without_one_is_asked_for_once(tmp_path: Path) -> None:
    folder = BARE.write(tmp_path, {})
    raw = b"id,sex,species,genes\nA-1,m,,normal\nA-2,f,ball python,normal\nA-3,f,,normal\n"
    made, book = taken(folder, raw, {"species, ": "corn-snake"})
    assert [book.collection.animals[f"A-{n}"].species for n in (1, 2, 3)] == ["corn-snake", "ball-python", "corn-snake"]
    assert sum(key.startswith("species") for key in made.questions.asked) == 1


def test_a_row_of_a_species_that_the_collection_lacks_is_left_with_its_reason(tmp_path: Path) -> None:
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    made, book = taken(
        folder, b"id,sex,species,genes\nA-1,m,Corn snake,normal\nA-2,f,Ball python,normal\nA-3,f,Boa,normal\n", {}
    )
    assert set(book.collection.animals) == {"A-2"}
    where = "write it into `species` in collection.yaml, then take the list in again"
    assert [(left.line, left.what, left.why) for left in made.left] == [
        (line, "", f"{name}: '{word}' is no species of this collection; {where}")
        for line, name, word in ((2, "A-1", "Corn snake"), (4, "A-3", "Boa"))
    ]
    assert len(set(rows_and_placed(made))) == 1


@pytest.mark.parametrize("ditto", ['""""', "ditto", "do.", "''"])
def test_ditto_is_the_parents_of_the_row_above_or_leaves_the_row(tmp_path: Path, ditto: str) -> None:
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    head = "id,sex,genes,parents,hatched\nM,m,Pastel,,2018-01-01\n"
    rows = f"F,f,het Clown,{ditto},2018-02-02\nD,f,normal,,2018-01-01\nY1,m,normal,M x D,2022-07-01\nY2,f,het Clown,{ditto},2022-07-01\n"
    made, book = taken(folder, (head + rows + "Y3,f,normal,,2022-07-01\n").encode(), {"order": "as guessed"})
    animals = book.collection.animals
    assert "F" not in animals
    assert (animals["Y2"].sire, animals["Y2"].dam, says(animals["Y2"])[3]) == ("M", "D", {})
    assert any(left.line == 3 and left.why.startswith("its parents are those of the row above") for left in made.left)
    (asked,) = (question for key, question in made.questions.asked.items() if key.startswith("clutches"))
    assert "2 young; outside of it, of that day and maybe of them: Y3" in asked.text


def test_answers_are_kept_where_an_intake_ends_or_is_broken_off(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And can be given to the next one."""
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    book = open_book(folder, today=TODAY).book
    assert book is not None

    def stopped(question: ToAsk) -> str:
        if question.key == "word Zyx":
            raise Abort
        return {"word CL": "Clown"}.get(question.key, "yes")

    with pytest.raises(Abort) as ended:
        take_in(book, b"id,sex,genes\nA-1,m,CL\nA-2,f,Zyx\n", "a.csv", {}, stopped, TODAY)
    (note,) = ended.value.__notes__
    assert note.startswith(
        "Your answers are kept in intake/answers-to-a.txt of the collection; to go on with them, run "
    )
    kept = (folder / "intake/answers-to-a.txt").read_text()
    assert answers_from(kept, "a.txt") == {"columns id/sex/genes": "yes", "word CL": "Clown"}
    (tmp_path / "a.csv").write_text("id,sex,genes\nA-1,m,CL\nA-2,f,Zyx\n")
    monkeypatch.setattr("clutchlight.cli.writing.asking", lambda: stopped)
    said = CliRunner().invoke(main, ["intake", str(tmp_path / "a.csv"), "--collection", str(folder)]).stderr
    assert note.replace("answers-to-a", "answers-to-a-2") in said
    assert list((folder / "animals").glob("*")) == []


def test_typed_figures_stand_against_ours_with_sold_animals_first(herd: tuple[Path, TakenIn, Book]) -> None:
    """23-01-2 is normal for Clown, of a Clown sire: certain. 23-02-2 of two that may carry it: the young of a clutch that is incomplete."""
    figures = typed_figures(herd[2].telling)
    assert [one.sold for one in figures] == sorted((one.sold for one in figures), reverse=True)
    assert "23-01-2" not in {one.animal for one in figures}
    assert [(one.animal, one.trait, one.typed) for one in figures] == [
        ("23-02-2", "Clown", Fraction(1, 2)),
        ("23-02-2", "Piebald", Fraction(2, 3)),
    ]
    lines = list(herd[1].as_text())
    assert any(line.startswith("Your figures against ours (private): ") for line in lines)
    assert lines[0] == "Taken: 16 animals, 2 clutches, 2 sales and 5 weights."


def test_the_answers_replay_to_the_same_bytes(
    herd: tuple[Path, TakenIn, Book], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the command, with the file of answers that the first run kept; no edited cell, no further question."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1795867200")
    folder = BARE.write(tmp_path / "again", {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    sheet = tmp_path / "herd.csv"
    sheet.write_text(MESSY, encoding="utf-8")
    done = CliRunner().invoke(
        main, ["intake", str(sheet), "--answers", str(herd[0] / "intake/herd.yaml"), "--collection", str(folder)]
    )
    assert (done.exit_code, done.stderr) == (0, "")
    for path in sorted(herd[0].rglob("*.*")):
        name = path.relative_to(herd[0]).as_posix()
        if path.is_file() and name != "intake/herd.yaml" and not name.startswith(".clutchlight"):
            assert (folder / name).read_bytes() == path.read_bytes(), name


def test_nobody_to_answer_takes_least_for_granted(tmp_path: Path) -> None:
    """Dates that can be read in two ways, words, looks, prices in other money and weights without a day stay out of the records."""
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    made, book = taken(folder, MESSY.encode(), {})
    animals = book.collection.animals
    assert animals["A-02"].hatched is None
    assert (animals["A-03"].readings, animals["A-05"].claims) == ((), ())
    assert "fogg" not in book.collection.species["ball-python"].loci
    assert (book.private.log, rows_and_placed(made)) == ((), (20, 20))
    assert {str(sale.paid()) for sale in book.private.sales} == {"0"}
    assert "not answered" in "\n".join(made.as_text())


@pytest.mark.parametrize(
    ("answer", "named"), [("2", {"2"}), ("1", {"1"}), ("1, 3", {"1", "3"}), ("all", {"1", "2", "3"})]
)
def test_a_number_that_is_an_animal_is_no_number_of_an_answer(answer: str, named: set[str]) -> None:
    """Of animals called 1, 2 and 3 the answer 1 once meant all, and 2 none."""
    questions = Dialogue({"which 1, 2, 3": answer}, lambda question: None)
    assert questions.some_of("which", ["1", "2", "3"], "Which?", ("all", "none"), "their ids", "Which?") == named


# ---- a newer sheet


def test_a_newer_sheet_lists_what_is_new_and_what_differs_and_changes_nothing(tmp_path: Path) -> None:
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    head = "id,sex,genes,hatched,parents,status,price,buyer,date sold,weight,weighed\n"
    old = f"{head}A-1,m,Clown,2020-05-01,,breeder,,,,,\nA-2,f,normal,2020-05-01,,available,300,,,,\n"
    taken(folder, old.encode(), {})
    before = {path: path.read_bytes() for path in folder.rglob("*.yaml")}
    newer = (
        f"{head}A-1,f,Clown,2020-05-01,,breeder,,,,1200,2026-11-02\nA-2,f,normal,2020-05-01,,sold,350,Jo Fenn,2026-11-03,,\n"
        "A-3,m,Pastel,2026-06-01,,holdback,,,,,\n"
    )
    made, book = taken(folder, newer.encode(), {"new in the sheet": "A-2"}, "herd-2.csv")
    assert list(compared(made.reader, made.known)) == [
        "A-1: sex is male in animals/from-herd.yaml:3, and female in the sheet; change it there if the sheet is right"
    ]
    assert (len(made.taken.animals), len(made.known), made.taken.log) == (1, 2, [])
    assert [(sale.animals, sale.buyer, str(sale.handed_over)) for sale in book.private.sales] == [
        (("A-2",), "Jo Fenn", "2026-11-03")
    ]
    assert {path: path.read_bytes() for path in before} == before
    again, _ = taken(folder, newer.encode(), {"new in the sheet": "all"}, "herd-2.csv")
    assert (again.taken.animals, len(again.known), again.taken.sales, len(again.taken.log)) == ({}, 3, {}, 1)


def test_an_animal_that_is_away_with_the_status_of_the_sheet_is_told_as_no_difference(tmp_path: Path) -> None:
    """A mate out on loan stays a breeder; and a day of hatching that meets the recorded month is none either."""
    record = "- {id: A-1, sex: male, status: breeder, hatched: 2020-05, left: {how: loan, on: 2026-01-02}}\n"
    folder = BARE.write(tmp_path, {"animals/all.yaml": record})
    sheet = b"id,sex,status,hatched\nA-1,m,breeder,2020-05-07\nA-2,f,breeder,2020-05-07\n"
    made, _ = taken(folder, sheet, {})
    assert list(compared(made.reader, made.known)) == []
    made, _ = taken(folder, sheet.replace(b"m,breeder", b"m,available"), {}, "herd-2.csv")
    assert [one.partition(" in ")[0] for one in compared(made.reader, made.known)][:1] == ["A-1: status is breeder"]


@pytest.mark.parametrize("written", ["[M-1, M-2]", "unknown"])
def test_a_sire_that_the_clutch_leaves_open_is_no_line_that_is_missing(tmp_path: Path, written: str) -> None:
    """Another `sire` there would stand beside the one that is written."""
    males = "".join(f"- {{id: M-{one}, sex: male}}\n" for one in (1, 2))
    clutch = f"- id: C1\n  sire: {written}\n  dam: F-1\n  hatched: 2025-07-01\n  eggs: 1\n  young: [{{id: C1-1, shows: normal}}]\n"
    files = {"animals/all.yaml": f"{males}- {{id: F-1, sex: female}}\n", "clutches/all.yaml": clutch}
    made, _ = taken(BARE.write(tmp_path, files), b"id,sire,dam,genes\nC1-1,M-1,F-1,normal\n", {})
    recorded = "unknown" if written == "unknown" else "M-1 or M-2"
    assert list(compared(made.reader, made.known)) == [
        f"C1-1: sire is {recorded} in clutches/all.yaml:2, and M-1 in the sheet; change it there if the sheet is right"
    ]


@pytest.mark.parametrize(("price", "agreed"), [("350", Fraction(350)), ("350 EUR", Fraction(350)), ("$400", None)])
def test_a_later_sale_takes_no_amount_of_another_currency(tmp_path: Path, price: str, agreed: Fraction | None) -> None:
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    taken(folder, b"id,sex,status,price\nA-1,m,available,300\n", {})
    made, book = taken(
        folder, f"id,sex,status,price\nA-1,m,sold,{price}\n".encode(), {"new in the sheet": "all"}, "herd-2.csv"
    )
    (sale,) = book.private.sales
    assert sale.agreed == agreed
    assert [one.why for one in made.left if "it is in" in one.why] == (
        [] if agreed else ["A-1: it is in $, so it is not taken"]
    )


PARENTS = "- {id: M-1, sex: male, shows: normal}\n- {id: F-1, name: Oak, sex: female, shows: normal}\n"
CLUTCH = "# mine\n- id: C24-1\n  sire: M-1\n  dam: F-1\n  hatched: 2024-07-16   # at night\n"
CLUTCH += "  complete: no\n  young:\n    - 1 m normal\n    - 2 f Clown\n"
LATER = "id,sex,genes,hatched,parents\nY-1,m,Clown,16.07.2024,M-1 x Oak\nY-2,f,normal,2024,M-1 x F-1\n"


@pytest.mark.parametrize("answer", ["all", "c24-1", "none"])
def test_young_of_a_clutch_on_record_are_added_to_it_only_when_the_breeder_says_so(tmp_path: Path, answer: str) -> None:
    """Its file's other bytes stay; else they are kept by themselves, and no second clutch of that day is made."""
    files = {"animals/all.yaml": PARENTS, "clutches/all.yaml": CLUTCH}
    folder = BARE.write(tmp_path, {**files, "collection.yaml": SETTINGS.replace(", corn-snake", "")})
    made, book = taken(folder, LATER.encode(), {"young of clutches": answer}, "later.csv")
    new = "- {id: Y-1, sex: male, shows: [Clown]}\n    - {id: Y-2, sex: female, shows: normal, private: {hatched_as_written: 2024}}\n    "
    written = (folder / "clutches/all.yaml").read_text()
    assert list(book.collection.clutches) == ["C24-1"]
    assert (book.collection.animals["Y-1"].sire, book.collection.animals["Y-1"].dam) == ("M-1", "F-1")
    assert (next(made.as_text())[:16], rows_and_placed(made), made.left) == ("Taken: 2 animals", (2, 2), [])
    if answer == "none":
        assert (written, book.collection.clutches["C24-1"].young) == (CLUTCH, ("C24-1-1", "C24-1-2"))
        return
    assert book.collection.clutches["C24-1"].young == ("Y-1", "Y-2", "C24-1-1", "C24-1-2")
    assert (written.replace(new, "", 1), written.count(new)) == (CLUTCH, 1)
    assert "  added to clutches/all.yaml" in made.as_text()
    (question,) = (one for key, one in made.questions.asked.items() if key == "young of clutches C24-1")
    assert "  C24-1: M-1 x F-1, hatched 2024-07-16, 2 young on record; new: Y-1, Y-2\n" in question.text


def test_a_clutch_that_was_only_laid_gets_its_day_with_its_young(tmp_path: Path) -> None:
    laid = "---\nid: C24-1\nsire: M-1\ndam: F-1\nlaid: 2024-05-20\neggs: 2\n---\nHer second.\n"
    files = {"animals/all.yaml": PARENTS, "clutches/C24-1.md": laid}
    folder = BARE.write(tmp_path, {**files, "collection.yaml": SETTINGS.replace(", corn-snake", "")})
    sheet = LATER.replace(",2024,", ",16.07.2024,")
    _, book = taken(folder, sheet.encode(), {"young of clutches": "all"}, "later.csv")
    clutch = book.collection.clutches["C24-1"]
    assert (str(clutch.hatched), clutch.young, clutch.complete) == ("2024-07-16", ("Y-1", "Y-2"), True)
    assert (folder / "clutches/C24-1.md").read_text() == laid.replace(
        "eggs: 2\n",
        "eggs: 2\nhatched: 2024-07-16\nyoung: [{id: Y-1, sex: male, shows: [Clown]}, {id: Y-2, sex: female, shows: normal}]\n",
    )


def test_young_are_not_those_of_a_clutch_laid_the_year_before(tmp_path: Path) -> None:
    laid = "- {id: C23-1, sire: M-1, dam: F-1, laid: 2023-05-20, eggs: 2}\n"
    files = {"animals/all.yaml": PARENTS, "clutches/all.yaml": laid}
    folder = BARE.write(tmp_path, {**files, "collection.yaml": SETTINGS.replace(", corn-snake", "")})
    made, book = taken(folder, LATER.replace(",2024,", ",16.07.2024,").encode(), {}, "later.csv")
    assert not [key for key in made.questions.asked if key.startswith("young of clutches")]
    assert book.collection.clutches["C23-1"].hatched is None


@pytest.mark.parametrize(
    "heads", ["Tier;Geschlecht;Geschlüpft", "Spitzname;Geschlecht;Schlupftag", "Wie;Geschlecht;kam raus"]
)
def test_days_are_no_ids_and_what_parents_are_called_is_a_name(heads: str) -> None:
    """Whatever the headings are: no day has an animal, and parents stand in the sheet by what stands in their own row."""
    rows = "Nala;w;2019-07;;\nSimba;m;15.08.2018;;\nKimba;m;12.07.2024;Simba;Nala\nMoritz;m;2020;;\n"
    found = guess(sheets_in(f"{heads};Vater;Mutter\n{rows}".encode(), "liste.csv")[0]).roles
    assert found[0] in ("id", "name")
    assert list(found.values())[1:] == ["sex", "hatched", "sire", "dam"]


def test_a_column_behind_the_last_heading_is_read_by_what_stands_in_it() -> None:
    (sheet,) = sheets_in(b"id,sex\nA-1,m,het Clown\nA-2,f,50% het Clown\nA-3,m,het Pied\n", "herd.csv")
    assert guess(sheet).roles == {0: "id", 1: "sex", 2: "genes"}


def test_young_that_a_counted_clutch_has_no_egg_for_are_kept_apart_and_told_why(tmp_path: Path) -> None:
    """Those of another clutch are added to it none the less."""
    counted = CLUTCH.replace("complete: no", "eggs: 2")
    second = "- {id: C25-1, sire: M-1, dam: F-1, hatched: 2025-07-01, complete: no, young: [1 m normal]}\n"
    files = {"animals/all.yaml": PARENTS, "clutches/all.yaml": counted, "clutches/second.yaml": second}
    folder = BARE.write(tmp_path, {**files, "collection.yaml": SETTINGS.replace(", corn-snake", "")})
    sheet = f"{LATER}Y-3,f,normal,2025-07-01,M-1 x F-1\n"
    made, book = taken(folder, sheet.encode(), {"young of clutches": "all"}, "later.csv")
    assert (folder / "clutches/all.yaml").read_text() == counted
    assert book.collection.clutches["C25-1"].young == ("Y-3", "C25-1-1")
    assert (book.collection.animals["Y-2"].dam, book.collection.animals["Y-2"].clutch) == ("F-1", None)
    assert [one.line for one in made.left] == [2, 3]
    assert made.left[0].why.startswith("Y-1: kept in animals/ with its parents, not in clutch C24-1, since there: ")


def test_nothing_that_a_user_wrote_is_overwritten(tmp_path: Path) -> None:
    """A file of the name that the intake would take keeps its bytes; the new one gets another."""
    mine = "- {id: Z-1, sex: male}\n"
    folder = BARE.write(tmp_path, {"animals/from-herd.yaml": mine, "intake/herd.yaml": "species: ball-python\n"})
    made, book = taken(folder, b"id,sex\nX-1,m\nX-2,f\n", {})
    assert (folder / "animals/from-herd.yaml").read_text() == mine
    assert (folder / "intake/herd.yaml").read_text() == "species: ball-python\n"
    assert {file.file for file in made.files} == {"intake/herd-2.yaml", "animals/from-herd-2.yaml"}
    assert {"X-1", "X-2", "Z-1"} <= set(book.collection.animals)


def test_what_does_not_hold_beside_the_records_is_left_with_the_reason(tmp_path: Path) -> None:
    """A parent younger than its young: the parents go, the animal stays."""
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    sheet = "id,sex,genes,hatched,sire,dam\nM-1,m,Clown,2024-05-01,,\nF-1,f,normal,2020-05-01,,\nY-1,m,normal,2022-05-01,M-1,F-1\n"
    made, book = taken(folder, sheet.encode(), {})
    young = book.collection.animals["Y-1"]
    assert (young.sire, young.dam) == (None, "F-1")
    assert any("Y-1" in one.why and one.what == "sire" and one.line == 4 for one in made.left)


@pytest.mark.parametrize(
    ("columns", "cells", "reason"),
    [
        ("sire,dam", "Y-1,F-1", "an animal cannot be its own parent, nor both parents"),
        ("sire,dam", ",Y-1", "an animal cannot be its own parent, nor both parents"),
        ("sire,dam", "F-1,F-1", "an animal cannot be its own parent, nor both parents"),
        ("sire,dam", "F-2,F-1", "F-2 is female, so it cannot be the sire"),
        ("parents", "Y-1 x F-1", "an animal cannot be its own parent, nor both parents"),
        ("parents", "F-1 x F-1", "an animal cannot be its own parent, nor both parents"),
        ("parents", "F-2 x F-1", "F-2 and F-1 are both female, so neither is taken; look which of them is a slip"),
        ("sire x dam", "F-2 x F-1", "F-2 is female, so it cannot be the sire"),
        ("dam x sire", "F-2 x F-1", "F-1 is female, so it cannot be the sire"),
    ],
)
def test_a_parent_that_cannot_be_is_left_whatever_cell_it_stands_in(
    tmp_path: Path, columns: str, cells: str, reason: str
) -> None:
    """One column for each parent, or one for both: the cell that is left is one that the sheet has."""
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    sheet = f"id,sex,genes,hatched,{columns}\nF-1,f,normal,2018\nF-2,f,normal,2018\nY-1,m,normal,2022-05-01,{cells}\n"
    made, book = taken(folder, sheet.encode(), {})
    assert set(book.collection.animals) == {"F-1", "F-2", "Y-1"}
    left = [one for one in made.left if one.what in columns.split(",")]
    assert [(one.line, one.why) for one in left] == [(4, f"Y-1: {reason}")]


def test_a_clutch_that_contradicts_itself_is_kept_and_set_aside(tmp_path: Path) -> None:
    """A super form cannot have young without the trait: the sheet is wrong somewhere, so Pastel counts for nothing in that clutch."""
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    sheet = "id,sex,genes,hatched,parents\nM-1,m,Super Pastel,2020,\nF-1,f,normal,2020,\n"
    sheet += "Y-1,m,normal,2024-05-01,M-1 x F-1\nY-2,m,Pastel,2024-05-01,M-1 x F-1\n"
    made, book = taken(folder, sheet.encode(), {})
    clutch = next(iter(book.collection.clutches.values()))
    assert list(clutch.set_aside) == ["pastel"]
    assert {one.what for one in made.left} == {"genes"}


def test_a_look_that_its_parents_on_record_rule_out_is_left_and_the_animal_is_taken(tmp_path: Path) -> None:
    """The row is kept without what it shows of that gene, and told why."""
    files = {"animals/all.yaml": PARENTS, "collection.yaml": SETTINGS.replace(", corn-snake", "")}
    folder = BARE.write(tmp_path, files)
    made, book = taken(folder, b"id,sex,genes,hatched,parents\nY-1,m,Pastel,2024-05-01,M-1 x F-1\n", {})
    animal = book.collection.animals["Y-1"]
    assert animal.reading is not None
    assert (animal.sire, animal.reading.shows, animal.reading.cannot_tell) == ("M-1", (), ("Pastel",))
    assert (rows_and_placed(made), len(made.taken.animals)) == ((1, 1), 1)
    (left,) = made.left
    assert (left.line, left.what) == (2, "genes")
    assert left.why.startswith(
        "Y-1: whether it shows Pastel counts as not decided, since not all of this can be true: "
    )


def test_rows_without_ids_are_the_animals_on_record_of_that_name(tmp_path: Path) -> None:
    """In any case; where two have it the row is left with both ids, and so is a parent."""
    known = "- {id: A-1, name: Big Oak, sex: male}\n- {id: A-2, name: Fern, sex: female}\n- {id: A-3, name: fern, sex: female}\n"
    files = {"animals/all.yaml": known, "collection.yaml": SETTINGS.replace(", corn-snake", "")}
    folder = BARE.write(tmp_path, files)
    sheet = b"name,sex,genes,parents,weight,weighed\nbig oak,m,,,900,2026-10-01\nFERN,f,,,1500,2026-10-01\nNew,m,Clown,BIG OAK x Fern,,\n"
    made, book = taken(folder, sheet, {"new in the sheet": "all"})
    assert set(book.collection.animals) == {"A-1", "A-2", "A-3", "New"}
    assert [(row.animal, row.value) for row in book.private.log] == [("A-1", "900")]
    assert (book.collection.animals["New"].sire, book.collection.animals["New"].dam) == ("A-1", None)
    assert [(one.line, one.why) for one in made.left] == [
        (3, "'FERN' may be A-2 or A-3, which share that name; write the id into the sheet"),
        (4, "New: 'Fern' may be A-2 or A-3, which share that name; write the id; the other parent is taken"),
    ]
    assert (len(made.known), rows_and_placed(made)) == (1, (3, 3))


@pytest.mark.parametrize(
    ("answer", "complete", "eggs", "bad"),
    [
        ("yes", True, 2, 0),
        ("yes, 1 went bad", True, 3, 1),
        ("yes, 3 good eggs, 2 slugs, 1 went bad", True, 3, 1),
        ("no", False, None, 0),
        ("no, 6 good eggs, 1 went bad", False, 6, 1),
    ],
)
def test_clutches_may_be_told_one_by_one_with_their_counts(
    tmp_path: Path, answer: str, complete: bool, eggs: int | None, bad: int
) -> None:
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    sheet = "id,sex,genes,hatched,parents\nM-1,m,Pastel,2020,\nF-1,f,normal,2020,\n"
    sheet += "C9-1,m,normal,2024-05-01,M-1 x F-1\nC9-2,m,Pastel,2024-05-01,M-1 x F-1\n"
    made, book = taken(folder, sheet.encode(), {"clutches": "one by one", "clutch C9": answer})
    clutch = book.collection.clutches["C9"]
    assert (clutch.complete, clutch.eggs, clutch.went_bad) == (complete, eggs, bad)
    assert list(made.left) == []
    question = made.questions.asked["clutch C9"]
    assert question.why_not("yes, 5 good eggs, 2 slugs").startswith("5 good eggs are more than the 2 young listed; ")
    assert question.why_not("no, 2 good eggs, 1 went bad").startswith(
        "2 good eggs are fewer than the 2 young listed and those that failed; "
    )
    assert question.why_not("maybe").startswith("That says neither yes nor no; ")


def test_what_a_clutch_holds_nowhere_is_kept_as_its_note(tmp_path: Path) -> None:
    """A weight, a price and a death were in no record and in no file."""
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    taken(folder, b"id,sex\nA-1,m\nA-2,f\n", {})
    rows = b"clutch,sire,dam,laid,eggs,weight,price,died,notes\nC1,A-1,A-2,2026-05-01,6,600,100,x,in tub 4\n"
    made, _ = taken(folder, rows, {"currency": "EUR"}, "eggs.csv")
    assert made.taken.clutches["C1"][0]["private"] == {
        "died_as_written": "x",
        "note": "in tub 4",
        "price_as_written": "100",
        "weight_as_written": "600",
    }
    assert not any(key.startswith("day of weights") for key in made.questions.asked)


def test_two_cells_of_a_clutch_that_read_alike_are_both_kept(tmp_path: Path) -> None:
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    taken(folder, b"id,sex\nA-1,m\nA-2,f\n", {})
    rows = b"clutch,sire,dam,laid,eggs,weight,price\nC1,A-1,A-2,2026-05-01,6,600,600\n"
    made, _ = taken(folder, rows, {"currency": "EUR"}, "eggs.csv")
    assert made.taken.clutches["C1"][0]["private"] == {"price_as_written": "600", "weight_as_written": "600"}


def test_a_list_of_clutches_is_taken_too(tmp_path: Path) -> None:
    """Each is incomplete, since its young are not listed; a sire that nobody wrote down is unknown."""
    files = {"animals/all.yaml": "- {id: M-1, name: Oak, sex: male}\n- {id: F-1, sex: female}\n"}
    folder = BARE.write(tmp_path, {**files, "collection.yaml": SETTINGS.replace(", corn-snake", "")})
    sheet = "Clutch;Sire;Dam;Lay date;Good eggs;Slugs;Hatch date\nC1;oak;F-1;2024-05-13;8;1;2024-07-10\n"
    sheet += "C2;;F-1;2025-05-20;six;;\nC3;;F-9;;;;\n"
    made, book = taken(folder, sheet.encode(), {}, "clutches.csv")
    first, second = book.collection.clutches["C1"], book.collection.clutches["C2"]
    assert (first.sires.certain, first.eggs, first.slugs, first.complete, str(first.laid)) == (
        "M-1",
        8,
        1,
        False,
        "2024-05-13",
    )
    assert (second.sires.certain, second.eggs) == (None, None)
    assert (len(made.taken.clutches), rows_and_placed(made)) == (2, (3, 3))


EGGS = "Clutch;Sire;Dam;Lay date;Good eggs;Slugs;Hatch date\nE1;M-1;F-1;2024-05-13;8;1;2024-07-16\nE2;M-1;F-1;2025-05-20;6;;\n"


@pytest.mark.parametrize(("dated", "known"), [("hatched: 2024-07-16", True), ("hatched: 2023-07-16", False)])
def test_a_list_of_clutches_makes_none_twice(tmp_path: Path, dated: str, known: bool) -> None:
    """One pair and one day on record: the row is left with what it says and with the id, and nothing is asked or added."""
    clutch = CLUTCH.replace("hatched: 2024-07-16", dated)
    assert dated in clutch
    files = {"animals/all.yaml": PARENTS, "clutches/all.yaml": clutch}
    folder = BARE.write(tmp_path, {**files, "collection.yaml": SETTINGS.replace(", corn-snake", "")})
    made, book = taken(folder, EGGS.encode(), {}, "eggs.csv")
    assert set(book.collection.clutches) == {"C24-1", "E2", *([] if known else ["E1"])}
    assert (folder / "clutches/all.yaml").read_text() == clutch
    why = "it seems to be clutch {} on record; write there what that lacks, or `laid` if it is another"
    row = (2, "E1 | M-1 | F-1 | 2024-05-13 | 8 | 1 | 2024-07-16", f"E1: {why.format('C24-1')}")
    assert [(one.line, one.written, one.why) for one in made.left] == ([row] if known else [])
    assert rows_and_placed(made) == (2, 2)
    assert not any(key.startswith("clutches") for key in made.questions.asked)
    again, _ = taken(folder, EGGS.encode(), {}, "eggs.csv")
    assert [one.why for one in again.left] == [
        f"E1: {why.format('C24-1' if known else 'E1')}",
        f"E2: {why.format('E2')}",
    ]


# ---- a sheet of another kind against a key made by hand

KEY: Mapping[str, tuple[object, ...]] = {
    # id: sex, hatched, looks (None: not looked at), claims, stated, sire, dam, status
    "K1": ("male", "2018-03-03", ("Piebald",), {}, {}, None, None, "breeder"),
    "K2": ("female", "2019-08-12", (), {"Piebald": "2/3"}, {}, None, None, "breeder"),
    "K3": ("female", "2018-05", ("Mojave",), {"Clown": "1", "Piebald": "1"}, {}, None, None, "not for sale"),
    "K4": ("male", "2020", ("Pastel", "Spider"), {"Clown": "1/2"}, {}, None, None, "breeder"),
    "K5": ("unknown", "2023-07-03", ("Piebald",), {}, {}, "K1", "K2", "available"),
    "K6": ("female", "2023-07-03", (), {}, {"Piebald": "1"}, "K1", "K2", "sold"),
    "K7": ("male", "2023-07-03", None, {}, {"Piebald": "1"}, "K1", "K2", "holdback"),
    "K8": ("female", "2024-12-11", ("Pastel", "Clown"), {}, {}, "K4", "K3", "available"),
    "K9": ("male", "2024-12-11", ("Mojave", "Pastel"), {}, {"Clown": "2/3", "Piebald": "1/2"}, "K4", "K3", "on hold"),
    "K10": ("unknown", None, ("Clown",), {}, {}, None, None, "not for sale"),
}


def test_another_sheet_with_other_habits_gives_what_stands_in_a_key_made_by_hand(tmp_path: Path) -> None:
    """A workbook in German: dates as dates and in words, sires and dams apart, sexes as numbers, a second sheet. No wrong reading."""
    book = Workbook()
    other = book.active
    assert other is not None
    other.title = "Futter"
    other.append(["Ratten", 20])
    sheet = book.create_sheet("Bestand")
    sheet.append(["Bestandsliste, Stand Herbst"])
    sheet.append([])
    names = "Nummer|Rufname|Geschlecht|Genetik|Schlupfdatum|Vater|Mutter|Gewicht (g)|gewogen am|Status|Preis|Verkauft an|verkauft am"
    sheet.append(f"{names}|Züchter|Bemerkungen|Regal".split("|"))
    for row in (
        ["K1", "Odin", 1, "Pied", date(2018, 3, 3), "", "", 910, date(2026, 11, 1), "Zuchttier"],
        [
            "K2",
            "Freya",
            0.1,
            "normal, 66% poss. het Pied",
            "12. Aug 2019",
            "",
            "",
            "1.650 g",
            "01.11.2026",
            "Zuchttier",
        ],
        ["K3", "Hel", "w", "Mojave DH Clown + Pied", "Mai 2018", "", "", "", "", "behalten?", "", "", "", "Ilka Moor"],
        [
            "K4",
            "Thor",
            "männl.",
            "Bumblebee 50% ph Clown",
            2020,
            "",
            "",
            "",
            "",
            "Zuchttier",
            "",
            "",
            "",
            "",
            "frisst gut",
            "R3",
        ],
        ["K5", "", "?", "Pied", "3.7.2023", "Odin", "freya", "", "", "abzugeben", "1.250,50 €"],
        [
            "K6",
            "",
            "weibl.",
            "normal het Pied",
            "03/07/23",
            "K1",
            "K2",
            "",
            "",
            "verkauft",
            "300,-",
            "Uwe Tann",
            "24. Dezember 2023",
        ],
        ["K7", "", "M", "100 % het Pied", date(2023, 7, 3), "K1", "K2", "", "", "behalten"],
        ["K8", "", "F", "Pastel Clown", "11-Dez-24", "thor", "Hel", "", "", "verfügbar", "VB"],
        [
            "K9",
            "",
            "m",
            "Pastel Mojave 66% het Clown, 50% het Pied",
            "2024/12/11",
            "K4",
            "K3",
            "",
            "",
            "reserviert",
            400,
        ],
        ["K10", "", "", "Clown", "im Sommer", "", "", "", "", ""],
    ):
        sheet.append(row)
    raw = io.BytesIO()
    book.save(raw)
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    answers = {
        "sheet": "Bestand",
        "order of days": "day first",
        "status": "not for sale",
        "clutches": "not all",
        "sold prices": "yes",
    }
    made, after = taken(folder, raw.getvalue(), answers, "Bestand 2026.xlsx")
    assert {name: read_of(animal) for name, animal in after.collection.animals.items()} == dict(KEY)
    assert (after.collection.animals["K5"].price, after.collection.animals["K8"].price) == ("1250.50", "ask")
    assert [(sale.animals, sale.buyer, str(sale.agreed), str(sale.handed_over)) for sale in after.private.sales] == [
        (("K6",), "Uwe Tann", "300", "2023-12-24")
    ]
    assert {(row.animal, str(row.on), row.value) for row in after.private.log} == {
        ("K1", "2026-11-01", "910"),
        ("K2", "2026-11-01", "1650"),
    }
    assert {(one.line, one.what) for one in made.left} == {(13, "Schlupfdatum")}
    assert rows_and_placed(made) == (10, 10)


def read_of(animal: Animal) -> tuple[object, ...]:
    sex, hatched, looks, claims, stated = says(animal)
    assert isinstance(claims, dict)
    assert isinstance(stated, dict)
    return (
        *(sex, hatched, looks),
        {trait: str(chance) for trait, chance in claims.items()},
        {trait: str(chance) for trait, chance in stated.items()},
        *(animal.sire, animal.dam, animal.status),
    )


# ---- cells


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("2022-7-9", "2022-07-09"),
        ("2021/08/12", "2021-08-12"),
        ("13/05/21", "2021-05-13"),
        ("05/13/2021", "2021-05-13"),
        ("7.7.2021", "2021-07-07"),
        ("Aug 12, 2019", "2019-08-12"),
        ("le 12 mai 2020", "2020-05-12"),
        ("12th of August 2019", "2019-08-12"),
        ("1er août 2019", "2019-08-01"),
        ("août 2019", "2019-08"),
        ("~2019", "about 2019"),
        ("before 2020", "before 2020"),
        ("8/2019", "2019-08"),
        ("'22", "2022"),
        ("Oct-22", "2022-10"),
        ("Oct '22", "2022-10"),
        ("Oct 22", None),
        ("12-22", None),
        ("32.07.2022", None),
        ("2022-02-30", None),
        ("05.08.2018", None),
        ("Expo fall", None),
        ("43689", None),
    ],
)
def test_a_date_is_read_in_one_way_or_not_at_all(written: str, meant: str | None) -> None:
    """Without an order of days, 05.08.2018 is nobody's date."""
    assert date_in(written, {}) == meant


@given(st.dates(date(1990, 1, 1), date(2099, 12, 31)))
def test_every_day_is_read_as_that_day_in_both_orders(day: date) -> None:
    assert date_in(f"{day.day}.{day.month}.{day.year}", {".": "day first"}) == day.isoformat()
    assert date_in(f"{day.month}/{day.day}/{day.year}", {"/": "month first"}) == day.isoformat()


@pytest.mark.parametrize(
    ("written", "amount", "currency"),
    [
        ("350€", "350", "EUR"),
        ("€ 1.150,50", "1150.50", "EUR"),
        ("$1,200", "1200", "$"),
        ("$1,200 CAD", "1200", "CAD"),
        ("CAD $90", "90", "CAD"),
        ("AU$90", "90", "AUD"),
        ("800,00", "800", None),
        ("300 USD", "300", "USD"),
        ("250 obo", "250", None),
        ("300,-", "300", None),
        ("make offer", "ask", None),
    ],
)
def test_a_price_has_its_amount_and_its_sign(written: str, amount: str, currency: str | None) -> None:
    price = price_in(written)
    assert price is not None
    assert (price.amount, price.currency) == (amount, currency)


@pytest.mark.parametrize("written", ["", "two hundred", "100-200", "1,2,3", "12/14"])
def test_what_is_no_price_is_none(written: str) -> None:
    assert price_in(written) is None


def test_sexes_weights_status_and_parents_in_the_words_people_use() -> None:
    assert [sex_in(word) for word in ("1,0", "0.1", "0.0.1", "FEM", "weibl.", "♂", "?", "x")] == [
        *("male", "female", "unknown", "female", "female", "male", "unknown", None)
    ]
    assert [weight_in(word) for word in ("920g", "2,100", "1.2 kg", "65.5 g", "big")] == [
        "920",
        "2100",
        "1200",
        "65.5",
        None,
    ]
    assert [status_in(word) for word in ("AVAIL", "hold back", "DIED", "verkauft", "?")] == [
        *("available", "holdback", "died", "sold", None)
    ]
    assert [parents_in(word) for word in ("Rex x Lady Luck", "A-1/A-2", "A-1 × A-2", "Rex", "a x b x c")] == [
        *(("Rex", "Lady Luck"), ("A-1", "A-2"), ("A-1", "A-2"), None, None)
    ]


def read_with(cell: str, **meant: str) -> tuple[Genes, Dialogue]:
    """What a cell says where the breeder explains words; one that begins with `in hets: ` in a column of what is carried."""
    species = load("ball-python", [], Findings())
    assert species is not None
    questions = Dialogue({}, lambda question: meant.get(question.key.removeprefix("word ")))
    text = cell.removeprefix("in hets: ")
    return genes_in(text, Vocabulary(species, questions), "a row", carried="hets" if text != cell else ""), questions


@pytest.mark.parametrize(
    ("cell", "looks", "hets", "left"),
    [
        ("66% pos het Clown & 50% Pied", (), {"Clown": "66%", "Piebald": "50%"}, 0),
        ("triple het Clown Pied Hypo", (), {"Clown": "100%", "Piebald": "100%", "Hypo": "100%"}, 0),
        ("DH Clown / Desert Ghost", (), {"Clown": "100%", "Desert Ghost": "100%"}, 0),
        ("Clown het Pied (66%) 100% het Hypo", ("Clown",), {"Piebald": "66%", "Hypo": "100%"}, 0),
        ("ph Clown ph Pied", (), {"Clown": "", "Piebald": ""}, 0),
        ("Enchi poss. het. pied", ("Enchi",), {"Piebald": ""}, 0),
        ("66%het clown", (), {"Clown": "66%"}, 0),
        ("Fire het Pied het Clown", ("Fire",), {"Piebald": "100%", "Clown": "100%"}, 0),
        ("Sup Pastel Clown", ("Super Pastel", "Clown"), {}, 0),
        ("het Clown or Cryptic (one of the two)", (), {"Clown": "50%", "Cryptic": "50%"}, 0),
        ("Fire, het clown or cryptic (one of the two)", ("Fire",), {"Clown": "50%", "Cryptic": "50%"}, 0),
        ("het Clown or Pied (one of the two)", (), {}, 1),
        ("Killer Bee 50% clown", ("Super Pastel", "Spider"), {"Clown": "50%"}, 0),
        ("het clown, pied", (), {}, 1),
        ("het Mojave", (), {}, 1),
        ("DH", (), {}, 1),
        ("DH Clown", (), {}, 1),
        ("Clown het Clown", (), {}, 1),
        ("Banana? Pied", (), {}, 1),
        ("Normal Pastel", (), {}, 1),
        ("66%", (), {}, 1),
        ("250% het Pied", (), {}, 1),
        ("Pastel h/Clown", (), {}, 1),
        ("Clown Zyx 100% het pied", (), {}, 1),
        ("Pastel, Clown Zyx", (), {}, 1),
        ("Pastel het Clown + Zyx", (), {}, 1),
        ("DH Clown Zyx", (), {}, 1),
        ("normal het Pied Zyx", (), {}, 1),
        ("Clown het", (), {}, 1),
        ("super pastel clown het", (), {}, 1),
        ("clown 66% het", (), {}, 1),
        ("Pastel, clown het, pied het", (), {}, 1),
        ("clown het pied het", (), {}, 1),
        ("clown poss", (), {}, 1),
        ("clown possible, pied", (), {}, 1),
        ("Desert Ghost 50 clown", (), {}, 1),
        ("normal het Pied 66 clown", (), {}, 1),
        ("normal, dh Zyx + clown", (), {}, 1),
        ("normal het Zyx", (), {}, 1),
        ("DH Axanthic/Pied", (), {}, 1),
        ("het Mojave Clown", (), {}, 1),
        ("Clown (66%)", (), {}, 1),
        ("het Clown 66", (), {}, 1),
        ("66 het Clown, het Pied (50)", (), {"Clown": "66%", "Piebald": "50%"}, 0),
        ("het Pied het Clown?", (), {}, 1),
        ("Pastel Spider (het Clown?)", (), {}, 1),
        ("Mojave Lesser Spider", (), {}, 1),
    ],
)
def test_the_trades_words_for_hets(cell: str, looks: tuple[str, ...], hets: dict[str, str], left: int) -> None:
    """What may mean two things leaves the whole cell with a reason, never guessed and never read by half."""
    found, _ = read_with(cell)
    assert (found.looks, {het.trait: het.chance for het in found.hets}, len(found.unread)) == (looks, hets, left)


@pytest.mark.parametrize(
    ("cells", "hets", "left"),
    [
        ("Pied, 50% Clown | Pied + 50% Clown | Pied/50% Clown | Pied 50% Clown | Pied & 50% Clown", {"Piebald": "100%", "Clown": "50%"}, 0),
        ("Pied and 50% Clown | Pied (50% Clown) | Pied, 50 % Clown | Pied, 50% het Clown", {"Piebald": "100%", "Clown": "50%"}, 0),
        ("Pied, 50% ph Clown | Pied, Clown 50% | het Pied, 50% Clown | 100% Pied, 50% Clown", {"Piebald": "100%", "Clown": "50%"}, 0),
        ("Pied (100%) + Clown (50%) | Clown 50%, Pied | Clown 50% / Pied", {"Piebald": "100%", "Clown": "50%"}, 0),
        ("Pied, ph Clown | Pied, poss. Clown | Pied poss het Clown", {"Piebald": "100%", "Clown": ""}, 0),
        ("Pied, 66% Clown, 50% Hypo", {"Piebald": "100%", "Clown": "66%", "Hypo": "50%"}, 0),
        ("Clown Pied, 50% Hypo | DH Clown/Pied, Hypo 50%", {"Piebald": "100%", "Clown": "100%", "Hypo": "50%"}, 0),
        ("Pied, Clown | Pied + Clown | Pied Clown | het Pied, Clown", {"Piebald": "100%", "Clown": "100%"}, 0),
        ("Pied, het Clown | DH Pied, Clown | 100% Pied, Clown", {"Piebald": "100%", "Clown": "100%"}, 0),
        ("66% Pied/Clown | Clown Pied 66% | 66% het Pied and Clown", {"Piebald": "66%", "Clown": "66%"}, 0),
        ("50% Clown, Pied | 50% Clown + Pied | 50% Clown; Pied | Pastel, Clown 50% | Clown 50% + Spider", {}, 1),
        ("Pastel | Super Pastel | Killer Bee | het Mojave | Normal | Pied?", {}, 1),
        ("Pied het | Pied & Clown 50% | Clown + Pied (50%) | Hypo, Pied & Clown 50%", {}, 1),
        ("Pied het Clown", {}, 1),
        ("ph Clown, Pied | poss. Clown & Pied", {}, 1),
        ("Pied, Pastel | Pastel Pied | Pied (Pastel) | Pied, Zyx", {}, 1),
    ],
)  # fmt: skip
def test_no_name_is_a_look_in_a_column_of_what_is_carried(cells: str, hets: dict[str, str], left: int) -> None:
    """A bare name beside one with a figure was taken as seen, and its young were called certain hets. A figure that may be said of both
    leaves the cell."""
    for cell in cells.split(" | "):
        found, _ = read_with(f"in hets: {cell}")
        said = {het.trait: het.chance for het in found.hets}
        assert (cell, found.looks, said, len(found.unread), found.normal) == (cell, (), hets, left, False)


def test_what_is_named_in_a_cell_that_is_left_is_neither_seen_nor_not_seen() -> None:
    found, _ = read_with("Pastel, Enchi h/Clown")
    assert (found.looks, found.unread, found.untold) == ((), ("'h' is not known",), ("Pastel", "Enchi", "Clown"))
    assert read_with("in hets: Clown, Sup Pastel, Zyx")[0].untold == ("Super Pastel", "Pastel")
    assert read_with("Fogg, h/Clown", Fogg="Spider")[0].untold == ("Clown", "Spider")


@pytest.mark.parametrize("cell", ["Pastel h Clown", "Pastel h", "h Pastel", "normal h"])
def test_a_word_that_was_said_to_be_no_trait_leaves_a_trace_beside_a_name(cell: str) -> None:
    assert read_with(cell, h="no trait")[0].unread == ("'h' was said to be no trait, so it is left out",)
    assert read_with("h", h="no trait")[0].unread == ()


@pytest.mark.parametrize(
    "cell",
    [
        *("Pastel het Clown (proved NOT)", "NOT het Clown", "no het Clown", "non Clown", "het Clown, not proven", "Clown (not sure?)"),
        *("maybe Pastel", "Pastel or Enchi", "Pastel, Clown, or Enchi", "from Clown x Pied", "Clown x Pied", "Pastel Clown sib"),
        *("sibling of Clown", "dad is Clown", "out of Clown", "isn't Clown", "zyx not Clown", "normal, no hets"),
        "Pastel het Clown oder Pied",
    ],
)  # fmt: skip
def test_what_is_denied_doubted_or_of_kin_is_never_read_whatever_is_answered(cell: str) -> None:
    species = load("ball-python", [], Findings())
    assert species is not None
    questions = Dialogue({}, lambda question: "no trait")
    found = genes_in(cell, Vocabulary(species, questions), "a row")
    assert (found.looks, found.hets, found.normal, questions.asked) == ((), (), False, {})
    assert any("may deny it, leave it open or speak of another animal" in why for why in found.unread)


@pytest.mark.parametrize(
    ("cell", "meant", "looks", "hets", "normal"),
    [
        ("Pastel h/Clown", {"h": "het"}, ("Pastel",), {"Clown": "100%"}, False),
        ("norm. hC", {"hC": "het clown"}, (), {"Clown": "100%"}, True),
        ("Pied hC 66% hP", {"hC": "50% het Clown", "hP": "DH Clown/Hypo"}, ("Piebald",), {"Clown": "66%", "Hypo": "66%"}, False),
        ("Zz het Pied", {"Zz": "normal"}, (), {"Piebald": "100%"}, True),
    ],
)  # fmt: skip
def test_a_word_may_mean_whatever_a_cell_may_say(
    cell: str, meant: dict[str, str], looks: tuple[str, ...], hets: dict[str, str], normal: bool
) -> None:
    found, questions = read_with(cell, **meant)
    assert (found.looks, {het.trait: het.chance for het in found.hets}) == (looks, hets)
    assert (found.normal, found.unread, questions.misfits) == (normal, (), {})


def test_what_intake_itself_does_not_read_is_no_answer() -> None:
    _, questions = read_with("hC")
    (question,) = questions.asked.values()
    assert "normal, het, het Clown, 50% het Pied" in question.free
    assert [question.fits(one) for one in ("het Zzyzx", "het Mojave", "Clown?", "het Pied, 50")] == [None] * 4


@settings(max_examples=200, deadline=None)
@given(
    st.lists(
        st.sampled_from(
            [
                "het",
                "DH",
                "ph",
                "poss",
                "66%",
                "50%",
                "&",
                "/",
                ",",
                "+",
                "Clown",
                "Pied",
                "Pastel",
                "Mojave",
                "Banana",
                "normal",
                "(66%)",
                "triple",
                "double",
                "?",
                "Zzyzx",
                "x",
                "100%",
                "Super",
            ]
        ),
        max_size=8,
    )
)
def test_any_words_at_all_end_in_looks_hets_and_reasons(tokens: list[str]) -> None:
    """No look is a het at once, and each chance is one that was written."""
    found, _ = read_with(" ".join(tokens))
    assert not {het.trait for het in found.hets} & set(found.looks)
    assert {het.chance for het in found.hets} <= {"", "100%", "66%", "50%"}
    assert not set(found.untold) & set(found.looks)
    assert not (found.normal and found.looks)
    found, _ = read_with(f"in hets: {' '.join(tokens)}")
    assert (found.looks, found.normal) == ((), False)
    assert {het.chance for het in found.hets} <= {"", "100%", "66%", "50%"}
    assert set(found.untold) <= {"Pastel", "Mojave", "Banana", "Super Pastel", "Super Mojave", "Super Banana"}


# ---- files and columns


def test_a_file_in_an_older_encoding_with_semicolons_is_read(tmp_path: Path) -> None:
    """Windows-1252: umlauts and the sign of the euro stay what they are."""
    raw = "Nr.;Morphe;Geschlecht;Preis;Käufer\nG-1;Clown;1,0;350 €;Müller, Jürgen\nG-2;Pied;0,1;€ 250;Groß\n".encode(
        "cp1252"
    )
    rows = sheets_in(raw, "liste.csv")[0].rows
    assert [str(cell) for cell in rows[1]] == ["G-1", "Clown", "1,0", "350 €", "Müller, Jürgen"]
    assert list(guess(sheets_in(raw, "liste.csv")[0]).roles.values()) == ["id", "genes", "sex", "price", "buyer"]


def test_an_open_document_is_read(tmp_path: Path) -> None:
    """The smallest .ods, made by hand after OpenDocument 1.3, part 3: a table with two rows, one cell of which is a date."""
    names = "urn:oasis:names:tc:opendocument:xmlns"
    cells = "".join(
        f'<table:table-cell office:value-type="string"><text:p>{text}</text:p></table:table-cell>'
        for text in ("id", "DOB")
    )
    row = '<table:table-cell office:value-type="string"><text:p>A-1</text:p></table:table-cell>'
    row += '<table:table-cell office:value-type="date" office:date-value="2024-05-18"><text:p>18.05.24</text:p></table:table-cell>'
    content = (
        f'<office:document-content xmlns:office="{names}:office:1.0" xmlns:table="{names}:table:1.0" xmlns:text="{names}:text:1.0">'
        f'<office:body><office:spreadsheet><table:table table:name="Snakes"><table:table-row>{cells}</table:table-row>'
        f"<table:table-row>{row}</table:table-row></table:table></office:spreadsheet></office:body></office:document-content>"
    )
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w") as made:
        made.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        made.writestr("content.xml", content)
        made.writestr(
            "META-INF/manifest.xml",
            "<manifest:manifest xmlns:manifest='urn:oasis:names:tc:opendocument:xmlns:manifest:1.0'/>",
        )
    (sheet,) = sheets_in(raw.getvalue(), "list.ods")
    assert (sheet.name, [[str(cell) for cell in row] for row in sheet.rows]) == (
        "Snakes",
        [["id", "DOB"], ["A-1", "2024-05-18"]],
    )


def test_at_a_terminal_each_question_is_put_until_it_is_answered(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """By number, in words, or Enter for no answer; anything else is asked again."""
    typed = iter(["7", "?", "2", "YES", ""])
    monkeypatch.setattr("sys.stdin", type("Terminal", (), {"isatty": lambda self: True})())
    monkeypatch.setattr("click.prompt", lambda *words, **options: next(typed))
    asked = asking()
    question = ToAsk("q", "Is it so?", (("yes", "it is"), ("no", "")), "no")
    assert [asked(question), asked(question), asked(question)] == ["2", "YES", None]
    assert question.fits("2") == "no"
    told = capsys.readouterr().out
    assert "Is it so?\n  1  yes: it is\n  2  no\n" in told
    assert "That is none of the answers; type a number from 1 to 2, or an answer such as 'yes' or 'no'." in told
    assert "\ntype a number from 1 to 2, or an answer such as 'yes' or 'no'." in told
    assert [question.fits(said) for said in ("y", "N", "yep")] == ["yes", "no", None]


def test_where_the_input_ends_the_rest_is_left_open_and_where_it_is_broken_off_nothing_is_written(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Ctrl-D: no further question is printed. Ctrl-C: the command ends."""
    question = ToAsk("q", "Is it so?", (("yes", "it is"), ("no", "")), "no")
    monkeypatch.setattr("sys.stdin", type("Terminal", (), {"isatty": lambda self: True})())

    def ended_by(error: type[BaseException]) -> None:
        def prompted(*words: str, **options: object) -> str:
            raise error

        monkeypatch.setattr("click.termui.visible_prompt_func", prompted)

    ended_by(EOFError)
    asked = asking()
    assert [asked(question), asked(question)] == [None, None]
    told = capsys.readouterr().out
    assert (
        told.count("Is it so?"),
        told.count("No more answers: this question and those that follow are left open."),
    ) == (1, 1)
    ended_by(KeyboardInterrupt)
    with pytest.raises(Abort):
        asking()(question)
    assert "Stopped; nothing was written." in capsys.readouterr().err


def test_open_questions_are_named_with_what_was_done_and_asked_again_of_the_next_sheet(tmp_path: Path) -> None:
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    made, _ = taken(folder, b"id,sex,genes\nA-1,m,Zyx\nA-2,f,normal\n", {"columns": "yes"})
    lines = list(made.as_text())
    asked = "Asked: 2 questions answered and 1 not answered. The answers stand in intake/herd.yaml."
    advice = (
        "  You can still answer, as long as you have edited no record (`undo` refuses after that): copy intake/herd.yaml,"
        " write your answers into the copy,"
        " `undo`, then run the same `intake` with `--answers` and the copy."
    )
    assert lines[lines.index(asked) :][1:3] == [
        "  'Zyx' is no name that we know (line 2: Zyx). What is it? Until you answer: each cell that names it is left out whole.",
        advice,
    ]
    assert '\n#"word Zyx": "not taken"\n' in (folder / "intake/herd.yaml").read_text()
    again, _ = taken(folder, b"id,sex,genes\nB-1,m,Zyx\nB-2,f,normal\n", {}, "other.csv")
    assert (set(again.questions.asked), set(again.questions.open)) == (
        {"columns id/sex/genes", "species, id/sex/genes", "word Zyx"},
        {"word Zyx"},
    )


def test_a_first_screen_answered_no_takes_nothing_and_says_what_to_do(tmp_path: Path) -> None:
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    with pytest.raises(RecordsError) as refused:
        taken(folder, b"id,sex,genes\nA-1,m,Clown\nA-2,f,normal\n", {"columns": "no"})
    (problem,) = refused.value.problems
    assert problem.message == (
        "'herd.csv' cannot be taken in: its columns are not as they were read; run it again and say what is otherwise, such as `C: price`."
        " Nothing was written"
    )


@pytest.mark.parametrize("raw", [b"", b"\n\n", b"\xd0\xcf\x11\xe0not a workbook", b"PK\x03\x04cut off", b",,,\n,,\n"])
def test_what_is_no_sheet_is_one_problem(raw: bytes) -> None:
    with pytest.raises(RecordsError) as refused:
        sheets_in(raw, "x.xlsx")
    assert [problem.code for problem in refused.value.problems] == ["not-a-sheet"]


@settings(max_examples=30, deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes_at_all_are_rows_or_one_problem(raw: bytes) -> None:
    try:
        found = sheets_in(raw, "any.csv")
    except RecordsError:
        return
    assert all(row for sheet in found for row in sheet.rows)


def test_columns_can_be_corrected_on_the_one_screen() -> None:
    """A column by its letter or its name; an answer of which a piece is none is asked again, and nothing of it is taken."""
    sheet = sheets_in(b"id,sex,Stuff,Other\nA-1,m,Clown,5\nA-2,f,Pied,6\n", "x.csv")[0]
    questions = answering({"columns": "C: genes, other: passed over"})
    assert confirmed(guess(sheet), "x.csv", questions).roles == {0: "id", 1: "sex", 2: "genes", 3: "passed over"}
    (question,) = questions.asked.values()
    for answer, why in (
        ("C: genes, B: nonsense", "'nonsense' in 'B: nonsense' is none of the words for columns"),
        ("Z: genes", "'Z' in 'Z: genes' is no column: neither its letter nor its heading"),
        ("really", "'really' does not say what a column is"),
        ("C: genes, Stuff: name", "column C stands twice in it"),
        ("C: name, D: name", "'name' is said of two columns"),
    ):
        assert question.fits(answer) is None
        assert question.why_not(answer).startswith(f"{why}; or choose 1 to 2")
    assert question.fits("B: name; C: Morph") == "B: name; C: Morph"
    assert "  A  id                      id: the animal's number                           A-1\n" in question.text


def test_a_letter_is_a_column_and_a_heading_of_one_letter_is_told_apart_from_it() -> None:
    """Grams stand under `c`, in column D; a column that loses its role is kept as a note."""
    sheet = sheets_in(b"id,sex,Stuff,c\nA-1,m,Clown,905\nA-2,f,Pied,806\n", "x.csv")[0]
    questions = answering({"columns": "C: genes, D: weight, A: name"})
    assert confirmed(guess(sheet), "x.csv", questions).roles == {0: "name", 1: "sex", 2: "genes", 3: "weight"}
    (question,) = questions.asked.values()
    assert "'c' in an answer is column C (Stuff); the one with the heading 'c' is D.\n" in question.text
    other = answering({"columns": "C: id"})
    assert confirmed(guess(sheet), "x.csv", other).roles == {0: "note", 1: "sex", 2: "id", 3: "note"}


@pytest.mark.parametrize("answer", ["yes", None])
def test_prices_without_a_status_are_asked_about_once(tmp_path: Path, answer: str | None) -> None:
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    sheet = b"id,sex,genes,price\nA-1,m,Clown,900\nA-2,f,normal,300\nA-3,f,normal,\n"
    made, book = taken(folder, sheet, {"prices": answer} if answer else {})
    animals = book.collection.animals
    sale = ("available", "available") if answer else ("not for sale", "not for sale")
    assert (animals["A-1"].status, animals["A-2"].status, animals["A-3"].status) == (*sale, "not for sale")
    assert [animals[key].price for key in ("A-1", "A-2")] == (["900", "300"] if answer else [None, None])
    told = "2 rows have a price, but no word on whether the animal is for sale: A-1 and A-2. Are they for sale?"
    assert ("\n".join(made.as_text()).count(told)) == (0 if answer else 1)


def test_a_weight_without_a_day_of_an_animal_on_record_is_left_and_told(tmp_path: Path) -> None:
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    taken(folder, b"id,sex,weight,weighed\nA-1,m,900,2026-10-01\nA-2,f,,\n", {})
    made, book = taken(folder, b"id,sex,weight\nA-1,m,950\nA-2,f,\n", {"day of weights": "1 Nov 2026"}, "b.csv")
    assert [(row.animal, str(row.on), row.value) for row in book.private.log] == [("A-1", "2026-10-01", "900")]
    assert [(one.line, one.written, one.why) for one in made.left] == [
        (2, "950", "A-1: a weight without the day it was taken")
    ]
    assert not any(key.startswith("day of weights") for key in made.questions.asked)
    again, _ = taken(folder, b"id,sex,weight\nA-1,m,950\nA-2,f,\n", {}, "b.csv")
    assert [(folder / one.left_file).read_text().count("A-1: a weight") for one in (made, again)] == [1, 1]
    assert made.left_file != again.left_file
    known, _ = taken(folder, b"id,sex,weight\nA-1,m,900\nA-2,f,\n", {}, "c.csv")
    assert known.left == [], "in the log already"


def test_what_goes_into_no_record_of_its_own_is_kept_as_a_note(tmp_path: Path) -> None:
    """The price, day and buyer of an animal that came back, or died; eggs in a list of animals."""
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    head = b"id,sex,status,price,sold for,sold to,date sold,laid,eggs\n"
    rows = b"A-1,m,sold,400,390,returned!,2024-11-13,,\nA-2,f,died,350,,Jo Fenn,Expo fall,2024-05-01,7\n"
    _, _ = taken(folder, head + rows, {"returned": "here"})
    records = (folder / "animals/from-herd.yaml").read_text()
    for cell in ("400", "390", "returned!", "2024-11-13", "350", "Jo Fenn", "Expo fall", "2024-05-01", "7"):
        assert re.search(f"_as_written: '?\"?{cell}", records), cell


def test_the_other_sheets_of_a_file_are_named_and_can_be_chosen_in_the_next_run(tmp_path: Path) -> None:
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    book = Workbook()
    first = book.active
    assert first is not None
    first.title = "Snakes"
    for row in (["id", "sex"], ["M-1", "m"], ["F-1", "f"], ["F-2", "f"]):
        first.append(row)
    second = book.create_sheet("Eggs")
    clutches: tuple[list[object], ...] = (["No.", "mum", "dad", "laid", "eggs"], ["E1", "F-1", "M-1", "2024-05-01", 7])
    for one in clutches:
        second.append(one)
    raw = io.BytesIO()
    book.save(raw)
    made, _ = taken(folder, raw.getvalue(), {}, "two.xlsx")
    lines = list(made.as_text())
    choose = "To take in one that you have not, run `intake` again with the same file and choose it."
    assert f"Not read in this run: Eggs, another sheet of this file. {choose}" in lines
    assert (
        "  The file has several sheets. Which one is to be taken in now? Until you answer: the 4 rows of Snakes are read now."
        in lines
    )
    made, _ = taken(folder, raw.getvalue(), {"sheet": "Snakes"}, "two.xlsx")
    _, after = taken(folder, raw.getvalue(), {"sheet": "Eggs"}, "two.xlsx")
    assert after.collection.clutches["E1"].eggs == 7


def test_the_sign_of_death_is_no_name(tmp_path: Path) -> None:
    folder = BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    _, book = taken(folder, "id,name,sex\nA-1,†,m\nA-2,Ran †,f\nA-3,Oak,m\n".encode(), {})
    animals = book.collection.animals
    assert [(one.name, one.away is not None) for one in animals.values()] == [
        (None, True),
        ("Ran", True),
        ("Oak", False),
    ]


def test_answers_are_written_so_that_they_are_read_again() -> None:
    """Whatever stands in them."""
    questions = Dialogue({}, lambda asked: "a: 'b' \"c\" \\ #d, ä")
    questions.put('word "x": #y\\', "What?\nTwo lines", (("yes", "so"),), "anything")
    assert answers_from(as_file(questions, "head"), "a.yaml") == {'word "x": #y\\': "a: 'b' \"c\" \\ #d, ä"}
    with pytest.raises(RecordsError):
        answers_from("- a list\n", "a.yaml")


def test_a_question_of_one_row_speaks_of_one(tmp_path: Path) -> None:
    BARE.write(tmp_path, {"collection.yaml": SETTINGS.replace(", corn-snake", "")})
    (tmp_path / "one.csv").write_text(
        "Name;Sex;Genes;DOB;Price;Sold to\nBo;f;Clown;03.08.2024;450;Ada\n", encoding="utf-8"
    )
    said = CliRunner().invoke(main, ["intake", str(tmp_path / "one.csv"), "--collection", str(tmp_path)]).output
    assert "  1 date, such as 03.08.2024, can be read day first or month first." in said
    assert "  1 sold animal has a price in the column Price: Bo." in said


@pytest.mark.parametrize(
    ("name", "raw", "kind"),
    [
        ("a.json", b"x", "statement"),
        ("A.JSON", b"x", "statement"),
        ("a.csv", b"\xef\xbb\xbf \r\n{", "statement"),
        ("a.csv", b"\n Date; 'x' ;\"Animal\"; Event\n", "log"),
        ("a.csv", b"date,animal,event,value\n", "log"),
        ("a.csv", b"Date,Snake,Event,Grams\n", "log"),
        ("a.csv", b"ID,Sex,Genes,Event,Date\n", None),
        ("a.csv", b"Date;Snake;DOB;Event\n", None),
        ("a.csv", b"date,animal\nevent\n", None),
        ("json", b"id,sex\n", None),
    ],
)
def test_what_a_file_is_goes_by_its_name_and_first_row(name: str, raw: bytes, kind: str | None) -> None:
    assert kind_of_file(raw, name) == kind
