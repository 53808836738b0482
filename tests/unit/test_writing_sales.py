"""`sold` writes a hand-over, in the hold that stands there or beside it, and dates what was said; on any doubt nothing is written."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.rooms import FAMILY, FAMILY_ANIMALS, FAMILY_SETTINGS, book_of, page_of

from clutchlight.cli import main
from clutchlight.editing.disk import WrittenFile
from clutchlight.editing.sales import write_sold
from clutchlight.planning.sales import loans_ending
from clutchlight.problems import RecordsError
from clutchlight.reading.public_side import days_of

DAY = date(2026, 11, 25)
FILE = "sales/2026.yaml"


def sold(folder: Path, sales: str | bytes | None, animals: list[str], **more: object) -> WrittenFile:
    """What is written beside these sales."""
    room = FAMILY.book(folder, {} if sales is None else {FILE: sales})
    return write_sold(room, animals, on=DAY, **more)  # type: ignore[arg-type]


def text_of(folder: Path) -> str:
    return (folder / FILE).read_bytes().decode("utf-8")


def test_a_sale_begins_the_file_of_its_year(tmp_path: Path) -> None:
    sold(
        tmp_path, None, ["C26-01-1", "C26-01-3"], buyer="Ada Quill, née Ross", agreed=Fraction("350.5"), how="collected"
    )
    assert text_of(tmp_path) == (
        "- animals: [C26-01-1, C26-01-3]\n"
        '  buyer: "Ada Quill, née Ross"\n  agreed: 350.50\n  handed_over: 2026-11-25\n  how: collected\n'
    )


@pytest.mark.parametrize("end", ["\n", "\r\n", ""])
def test_a_sale_goes_to_the_end_of_the_list(tmp_path: Path, end: str) -> None:
    """In the line ends of the file; one that has no last line end gets one."""
    before = f"# this year{end or chr(10)}- {{animals: [C26-01-2], held: 2026-10-01}}{end}".encode()
    sold(tmp_path, before, ["C26-01-1"])
    after = (tmp_path / FILE).read_bytes()
    line = end or "\n"
    assert after == before + f"{'' if end else line}- animals: [C26-01-1]{line}  handed_over: 2026-11-25{line}".encode()


@pytest.mark.parametrize(
    ("hold", "after"),
    [
        (
            "- {animals: [C26-01-1], agreed: 100, held: 2026-10-01}\n",
            "- {handed_over: 2026-11-25, buyer: Ada, animals: [C26-01-1], agreed: 100, held: 2026-10-01}\n",
        ),
        (
            "# ours\n-   animals: [C26-01-1]  # the first\n    agreed: 100\n",
            "# ours\n-   handed_over: 2026-11-25\n    buyer: Ada\n    animals: [C26-01-1]  # the first\n    agreed: 100\n",
        ),
        (
            "animals: [C26-01-1]\r\nbuyer: Ada\r\n",
            "handed_over: 2026-11-25\r\nanimals: [C26-01-1]\r\nbuyer: Ada\r\n",
        ),
        (
            "\ufeff- {animals: [C26-01-2]}\n- {animals: [C26-01-1]}\n",
            "\ufeff- {animals: [C26-01-2]}\n- {handed_over: 2026-11-25, buyer: Ada, animals: [C26-01-1]}\n",
        ),
    ],
    ids=["in braces", "with comments", "alone in its file", "marked"],
)
def test_a_hold_becomes_the_sale(tmp_path: Path, hold: str, after: str) -> None:
    """What stands there stays, in its order."""
    sold(tmp_path, hold.encode(), ["C26-01-1"], buyer="Ada")
    assert text_of(tmp_path) == after


@pytest.mark.parametrize(
    ("sales", "more", "said"),
    [
        ("- {animals: [C26-01-1, C26-01-2]}\n", {}, "in this sale together with C26-01-2; make two"),
        (
            "- {animals: [C26-01-1]}\n- {animals: [C26-01-1], held: 2026-10-01}\n",
            {},
            "several sales hold these animals",
        ),
        (
            "- {animals: [C26-01-1], buyer: Bo}\n",
            {"buyer": "Ada"},
            "`buyer` is 'Bo' in this hold.*`hold C26-01-1 --over` first",
        ),
        ("- {animals: [C26-01-1], agreed: 99.5}\n", {"agreed": Fraction(100)}, "`agreed` is '99.50' in this hold"),
        ("[{animals: [C26-01-2]}]\n", {}, "add these lines by hand"),
        ("animals: [C26-01-2]\n", {}, "add these lines by hand"),
        ("  - {animals: [C26-01-2]}\n", {}, "add these lines by hand"),
    ],
)
def test_a_hand_over_in_doubt_is_refused(tmp_path: Path, sales: str, more: dict[str, object], said: str) -> None:
    with pytest.raises(RecordsError, match=said):
        sold(tmp_path, sales, ["C26-01-1"], **more)
    assert text_of(tmp_path) == sales


def run(folder: Path, *words: str) -> tuple[int, str]:
    result = CliRunner(env={"SOURCE_DATE_EPOCH": "1795608000"}).invoke(main, [*words, "--collection", str(folder)])
    return result.exit_code, result.output


def test_a_sale_dates_its_animals_and_no_other(tmp_path: Path) -> None:
    """And the list of hand-overs without a dated record stays empty."""
    FAMILY.write(tmp_path, {})
    code, said = run(tmp_path, "sold", "c26-01-1", "--yes", "--to", "Ada", "--for", "90", "--on", "2026-11-25")
    assert code == 0
    assert "1 dated record added to ledger/2026.jsonl" in said
    book = book_of(tmp_path)
    assert [(record.animal, record.on) for record in book.ledger.records] == [("C26-01-1", DAY)]
    assert book.collection.animals["C26-01-1"].status == "sold"
    again = run(tmp_path, "sold", "C26-01-1")
    assert again[0] == 2
    assert "left already: sold (2026-11-25)" in again[1]


def test_a_sale_before_the_last_dated_record_is_written_and_told_as_not_dated(tmp_path: Path) -> None:
    """The ledger does not go back."""
    FAMILY.write(tmp_path, {})
    run(tmp_path, "sold", "C26-01-1", "--yes", "--on", "2026-11-25")
    code, said = run(tmp_path, "sold", "C26-01-3", "--yes", "--on", "2026-11-24")
    assert code == 0
    assert "the sale is written, but not dated: the last dated record is of 2026-11-25" in said
    assert text_of(tmp_path).count("handed_over") == 2


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["C26-01-9"], "unknown-animal"),
        ([","], "missing-key"),
        (["C26-01-1", "--on", "2026-11-26"], "has not come yet"),
        (["C26-01-1", "--on", "2026-07-12"], "before 'C26-01-1' hatched"),
        (["C26-01-1", "--for", "much"], "'much' is no amount"),
    ],
)
def test_what_cannot_be_sold_is_told(tmp_path: Path, words: list[str], said: str) -> None:
    FAMILY.write(tmp_path, {})
    code, told = run(tmp_path, "sold", *words)
    assert code in (1, 2)
    assert said in told
    assert not (tmp_path / "sales").exists()


def test_one_that_died_at_its_buyers_stays_sold(tmp_path: Path) -> None:
    """Its page says when it was sold and that it died; nothing is on offer, nothing contradicts the sale."""
    FAMILY.write(
        tmp_path, {"collection.yaml": FAMILY_SETTINGS.replace("currency", "contact: {mail: a@example.org}\ncurrency")}
    )
    run(tmp_path, "sold", "C26-01-1", "--yes", "--to", "Ada", "--for", "100", "--on", "2026-08-10")
    assert "before 'C26-01-1' left (2026-08-10)" in run(tmp_path, "died", "C26-01-1", "--on", "2026-08-01")[1]
    code, said = run(tmp_path, "died", "C26-01-1", "--on", "2026-09-20")
    assert code == 0, said
    assert "C26-01-1 had left already: sold (2026-08-10); this says that it died there" in said
    assert run(tmp_path, "check")[1] == "11 animals, 1 clutch: no errors\n"
    assert "left already: died (2026-09-20)" in run(tmp_path, "died", "C26-01-1")[1]
    page = page_of(book_of(tmp_path), "animals/C26-01-1/index.html")
    assert {"Sold on 10 August 2026, died on 20 September 2026", "Sold.", "Died."} <= set(page)
    assert "Tell us" not in " ".join(page)
    book = book_of(tmp_path, until=date(2026, 9, 1))
    assert book.collection.animals["C26-01-1"].sold


def test_one_that_died_at_its_buyers_stays_sold_though_it_was_out_on_loan_before(tmp_path: Path) -> None:
    """Its page tells the loan, the sale and the death in turn, and what was said of it at the sale."""
    loan = "left: {how: loan, on: 2025-05-15, back: 2025-10-20}"
    FAMILY.write(tmp_path, {"animals/all.yaml": FAMILY_ANIMALS.replace("{id: M-01", f"{{{loan}, id: M-01")})
    run(tmp_path, "sold", "M-01", "--yes", "--to", "Ada", "--for", "100", "--on", "2026-08-10")
    run(tmp_path, "died", "M-01", "--on", "2026-09-20")
    book = book_of(tmp_path)
    page = page_of(book, "animals/M-01/index.html")
    told = [line for line in page if line in ("Went out on loan.", "Came back.", "Sold.", "Died.")]
    assert told == ["Went out on loan.", "Came back.", "Sold.", "Died."]
    (trait,) = book.statements.animals["M-01"].traits
    assert trait.when_sold is not None


def test_a_death_is_added_to_its_own_record_and_to_no_leaving_in_its_clutch(tmp_path: Path) -> None:
    """The sale of F-03 stands among the sales alone; that of C25-09-1 in the record of its clutch, which is left as it is."""
    young = "{id: C25-09-1, shows: normal, left: {how: sold, on: 2026-08-10}}"
    clutch = f"- {{id: C25-09, sire: M-02, dam: F-01, eggs: 1, hatched: 2025-07-10, young: [{young}]}}\n"
    FAMILY.write(tmp_path, {"clutches/more.yaml": clutch})
    run(tmp_path, "sold", "F-03", "--for", "100", "--on", "2026-08-10")
    died = run(tmp_path, "died", "F-03", "--on", "2026-09-20")[1]
    assert "added to animals/all.yaml:\nleft: {how: died, on: 2026-09-20}\n" in died
    code, refused = run(tmp_path, "died", "C25-09-1", "--on", "2026-09-20")
    assert (code, "'C25-09-1' left already: sold (2026-08-10)" in refused) == (2, True)


@pytest.mark.parametrize(
    ("left", "away"),
    [
        ("{how: sold, on: 2026-08-10, then: {how: died, on: 2026-09-20}}", "sold"),
        ("{how: loan, on: 2026-08-10, then: {how: died, on: 2026-09-20}}", "died"),
        (
            "{how: sold, on: 2026-08-10, then: {how: died, on: 2026-09-20}}, came: {how: returned, on: 2026-09-01}",
            "died",
        ),
    ],
)
def test_how_it_left_is_how_it_left_this_room(tmp_path: Path, left: str, away: str) -> None:
    """The day on which it died is one of its days all the same."""
    animals = FAMILY.collection(tmp_path, {"animals/one.yaml": f"- {{id: C26-01-1, left: {left}}}\n"}).animals
    found = animals["C26-01-1"]
    assert found.away is not None
    assert (found.away.how, found.sold) == (away, away == "sold")
    assert (found.status == "sold") == found.sold
    assert "2026-09-20" in map(str, days_of(found))


def test_one_that_died_out_on_loan_is_dead_and_its_loan_is_over(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, {})
    run(tmp_path, "moved", "C26-01-4", "--to", "Lab", "--until", "2026-12-01", "--on", "2026-09-01")
    code, said = run(tmp_path, "died", "C26-01-4", "--on", "2026-10-01")
    assert code == 0, said
    book = book_of(tmp_path)
    away = book.collection.animals["C26-01-4"].away
    assert away is not None
    assert away.how == "died"
    assert loans_ending(book.collection, book.private, DAY) == ()


def test_a_sale_of_a_day_on_which_the_records_contradicted_each_other_is_written_and_told_as_not_dated(
    tmp_path: Path,
) -> None:
    """The claim that a test disproved was withdrawn only later; of what stands in sales/ nobody says that it was not written."""
    claimed = "claims: {Piebald: {chance: 100%, from: Bo, withdrawn: 2026-11-20}}"
    tested = "tests: [{trait: Piebald, copies: 0, on: 2025-01-01}]"
    doubted = f"- {{id: X-1, sex: male, hatched: 2020, shows: normal, {claimed}, {tested}}}\n"
    FAMILY.write(tmp_path, {"animals/x.yaml": doubted})
    arguments = ["sold", "C26-01-1", "--yes", "--on", "2026-11-10", "--collection", str(tmp_path)]
    result = CliRunner().invoke(main, arguments, catch_exceptions=False)
    assert result.exit_code == 0
    assert (
        "not dated: as your records stood on 2026-11-10, at Piebald, not all of this can be true: X-1" in result.output
    )
    assert "nothing was written" not in result.output
    assert "handed_over: 2026-11-10" in text_of(tmp_path)
