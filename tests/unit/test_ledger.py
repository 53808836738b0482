"""Dated records: what a stamp writes, what it refuses, how a past record reads today, and every way of tampering by its name."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from hypothesis import given, strategies as st
from msgspec import Struct
from tests.rooms import SETTINGS, book_of, page_of, site_of

from clutchlight.desk import Season
from clutchlight.genetics.values import NotComputed
from clutchlight.ledger import chain
from clutchlight.ledger.chain import (
    NoDatedRecordError,
    append_lines,
    digest_of_text,
    line_of,
    read_ledger,
    record_of,
)
from clutchlight.ledger.dated_records import Stamped, Verdict, edited, reread, said_words, stamp
from clutchlight.model.ledger import Ledger
from clutchlight.pipeline import Book, open_book
from clutchlight.problems import Place, RecordsError
from clutchlight.statements.values import canonical, digest_of

ANIMALS = """\
- {id: M-01, sex: male, hatched: 2020-06-01, shows: normal, claims: {Piebald: 66%}}
- {id: F-01, sex: female, hatched: 2020-07-01, shows: [Piebald]}
- {id: F-02, sex: female, hatched: 2020-07-02, shows: normal, publish: no}
- {id: F-03, sex: female, hatched: 2020-07-03, shows: normal, publish: name only}
"""
CLUTCH = """\
id: C24-01
sire: M-01
dam: F-01
laid: 2024-05-01
eggs: 2
hatched: 2024-07-01
young:
  - {id: C24-01-1, sex: male, shows: normal}
  - {id: C24-01-2, sex: female, shows: normal}
"""
PROOF = "id: C25-01\nsire: M-01\ndam: F-01\neggs: 1\nhatched: 2025-07-01\nyoung: [{id: C25-01-1, shows: Piebald}]\n"


class Room(Struct):
    """A small collection in a folder."""

    folder: Path

    def write(self, file: str, text: str) -> None:
        path = self.folder / file
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="")

    def book(self, until: date | None = None) -> Book:
        return book_of(self.folder, until)

    def stamp(self, day: str) -> Stamped:
        on = date.fromisoformat(day)
        book = self.book(on)
        return stamp(self.folder, book.collection, book.statements, on)

    def ledger(self) -> Ledger:
        ledger, problems = read_ledger(self.folder)
        assert problems == ()
        assert ledger is not None
        return ledger

    def lines(self, year: int) -> list[str]:
        return (self.folder / f"ledger/{year}.jsonl").read_text(encoding="utf-8").splitlines()

    def put(self, year: int, lines: list[str]) -> None:
        self.write(f"ledger/{year}.jsonl", "".join(f"{line}\n" for line in lines))

    def codes(self) -> list[tuple[str, int, str]]:
        return [(problem.file, problem.line, problem.code) for problem in read_ledger(self.folder)[1]]

    def verdicts(self, animal: str, version: str = "0.1.0") -> list[Verdict]:
        return [row.verdict for row in reread(self.book().inference, self.ledger(), version).get(animal, ())]


@pytest.fixture
def room(tmp_path: Path) -> Room:
    found = Room(tmp_path / "room")
    found.write("collection.yaml", SETTINGS)
    found.write("animals/all.yaml", ANIMALS)
    found.write("clutches/C24-01.yaml", CLUTCH)
    return found


@pytest.fixture
def two_years(room: Room) -> Room:
    """A ledger of four lines in 2024 and one in each of two stamps of 2025."""
    room.stamp("2024-12-01")
    room.write("clutches/C25-01.yaml", PROOF)
    room.stamp("2025-08-01")
    return room


# What a stamp writes


def test_a_stamp_dates_every_animal_with_a_page_and_no_other(room: Room) -> None:
    """Animals that are only named, or not published, have no published statement to date."""
    assert room.stamp("2024-12-01").added == 4
    assert [record.animal for record in room.ledger().records] == ["C24-01-1", "C24-01-2", "F-01", "M-01"]


def test_a_stamp_before_the_hatching_dates_no_young(room: Room) -> None:
    """Who has not hatched yet has no statement."""
    room.stamp("2024-06-01")
    assert [record.animal for record in room.ledger().records] == ["F-01", "M-01"]


def test_the_digest_of_a_line_is_that_of_the_statement(room: Room) -> None:
    """The dated digest is the one in statement.json, so that the two can be compared by anybody."""
    room.stamp("2024-12-01")
    statements = room.book().statements.animals
    assert {row.animal: row.digest for row in room.ledger().records} == {
        name: digest_of(said) for name, said in statements.items() if not name.startswith(("F-02", "F-03"))
    }


def test_a_year_of_as_many_bytes_as_it_may_have_is_read_and_no_larger_one(
    two_years: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The size is asked before the file is read; of the other year nothing is lost."""
    larger = (two_years.folder / "ledger/2024.jsonl").stat().st_size
    assert (two_years.folder / "ledger/2025.jsonl").stat().st_size < larger
    monkeypatch.setattr(chain, "MAX_BYTES", larger)
    assert two_years.codes() == []
    monkeypatch.setattr(chain, "MAX_BYTES", larger - 1)
    assert two_years.codes()[0] == ("ledger/2024.jsonl", 1, "file-too-large")


def test_a_year_that_is_no_file_is_told_and_not_written_to(two_years: Room) -> None:
    (two_years.folder / "ledger/2026.jsonl").mkdir()
    assert two_years.codes() == [("ledger/2026.jsonl", 1, "stray-file")]
    with pytest.raises(RecordsError, match="not an ordinary file"):
        append_lines(two_years.folder, 2026, ["{}"])


def test_a_ledger_can_be_checked_with_a_json_library_and_sha256_alone(two_years: Room) -> None:
    """Every digest and every link comes out the same by RFC 8785 and SHA-256, without any code of ours."""
    import hashlib

    before = None
    for line in (*two_years.lines(2024), *two_years.lines(2025)):
        found = json.loads(line)
        assert rfc8785.dumps(found) == line.encode("utf-8")
        assert found["digest"] == "sha256:" + hashlib.sha256(rfc8785.dumps(found["figures"])).hexdigest()
        assert found["before"] == before
        before = "sha256:" + hashlib.sha256(line.encode("utf-8")).hexdigest()


def test_stamping_twice_writes_nothing_more(two_years: Room) -> None:
    """With nothing changed not a byte is written, on the same day or later."""
    files = {path: path.read_bytes() for path in sorted((two_years.folder / "ledger").iterdir())}
    assert two_years.stamp("2025-08-01").file is None
    assert two_years.stamp("2026-01-01").added == 0
    assert {path: path.read_bytes() for path in sorted((two_years.folder / "ledger").iterdir())} == files


def test_only_what_changed_is_added_and_earlier_bytes_stay(room: Room) -> None:
    """A proof changes the sire's figure and dates the new young; the other lines are not said again."""
    room.stamp("2024-12-01")
    before = (room.folder / "ledger/2024.jsonl").read_bytes()
    room.write("clutches/C24-02.yaml", PROOF.replace("C25", "C24").replace("2025", "2024").replace("C24-01", "C24-02"))
    stamped = room.stamp("2024-12-31")
    assert stamped.file == "ledger/2024.jsonl"
    assert (room.folder / "ledger/2024.jsonl").read_bytes().startswith(before)
    assert [row.animal for row in room.ledger().records[4:]] == ["C24-02-1", "M-01"]


def test_the_first_line_of_a_year_chains_to_the_last_of_the_year_before(two_years: Room) -> None:
    """The chain runs through all years."""
    last, first = two_years.lines(2024)[-1], json.loads(two_years.lines(2025)[0])
    assert (first["before"], first["number"]) == (digest_of_text(last), 5)


def test_a_file_without_its_last_line_end_is_gone_on_with(two_years: Room) -> None:
    """An editor that took the last line end away did no harm; Windows line ends stay what they are."""
    path = two_years.folder / "ledger/2025.jsonl"
    path.write_bytes(path.read_bytes().rstrip(b"\n").replace(b"\n", b"\r\n"))
    assert two_years.codes() == []
    append_lines(two_years.folder, 2025, [line_of(9, date(2025, 9, 1), {"id": "X"}, None, "0", "")])
    assert path.read_bytes().count(b"\n") == 3


# What it refuses


def test_a_clutch_still_to_be_sorted_is_refused(room: Room) -> None:
    """Its figures are not ready to be dated; nothing is written."""
    room.write("clutches/C24-01.yaml", CLUTCH.replace("eggs: 2", "eggs: 3\nto_sort: 1"))
    with pytest.raises(RecordsError) as refused:
        room.stamp("2024-12-01")
    assert [problem.code for problem in refused.value.problems] == ["clutch-to-sort"]
    assert not (room.folder / "ledger").exists()


def test_a_day_before_the_last_record_is_refused(two_years: Room) -> None:
    """The ledger does not go back."""
    with pytest.raises(RecordsError) as refused:
        two_years.stamp("2025-07-31")
    assert [problem.code for problem in refused.value.problems] == ["stamp-earlier"]


def test_a_ledger_that_was_tampered_with_is_not_added_to(two_years: Room) -> None:
    """A stamp verifies first."""
    book = two_years.book()
    two_years.put(2024, two_years.lines(2024)[1:])
    with pytest.raises(RecordsError) as refused:
        stamp(two_years.folder, book.collection, book.statements, date(2026, 1, 1))
    assert [problem.code for problem in refused.value.problems] == ["ledger-year"]


# Tampering, each by its name


def redone(lines: list[str], at: int, change: Callable[[dict[str, Any]], None]) -> list[str]:
    """The lines with one of them forged with care: its own digest is made to fit."""
    found = json.loads(lines[at])
    change(found)
    found["digest"] = digest_of_text(canonical(found["figures"]))
    return [*lines[:at], canonical(found), *lines[at + 1 :]]


def test_edited_figures_are_named(two_years: Room) -> None:
    """Figures that do not fit their digest."""
    lines = two_years.lines(2024)
    two_years.put(2024, [lines[0], lines[1].replace('"female"', '"male"'), *lines[2:]])
    assert two_years.codes() == [("ledger/2024.jsonl", 2, "ledger-edited")]


def test_figures_edited_with_their_digest_are_named(two_years: Room) -> None:
    """The next line holds the digest of the line as it was."""
    two_years.put(2024, redone(two_years.lines(2024), 1, lambda line: line["figures"].update(looks=["Pastel"])))
    assert two_years.codes() == [("ledger/2024.jsonl", 2, "ledger-edited")]


def test_an_edited_link_or_date_is_named(two_years: Room) -> None:
    """Everything in a line is covered by the next, not the figures alone."""
    two_years.put(2024, redone(two_years.lines(2024), 1, lambda line: line.update(date="2024-11-30")))
    assert two_years.codes()[0] == ("ledger/2024.jsonl", 2, "ledger-edited")
    two_years.put(2024, redone(two_years.lines(2024), 2, lambda line: line.update(before="sha256:" + "0" * 64)))
    assert ("ledger/2024.jsonl", 3, "ledger-edited") in two_years.codes()


def test_a_line_said_in_another_way_is_named(two_years: Room) -> None:
    """A space, or a key that stands twice, is not how the tool writes."""
    lines = two_years.lines(2025)
    two_years.put(2025, [lines[0], lines[1].replace('":', '": ', 1)])
    assert two_years.codes() == [("ledger/2025.jsonl", 2, "ledger-edited")]


@pytest.mark.parametrize("order", [[1, 0, 2, 3], [0, 2, 1, 3], [0, 1, 3, 2], [3, 0, 1, 2], [3, 2, 1, 0]])
def test_reordered_lines_are_named(two_years: Room, order: list[int]) -> None:
    """Whatever two lines change places, a problem says that lines were moved, and none says anything worse of the file."""
    lines = two_years.lines(2024)
    two_years.put(2024, [lines[index] for index in order])
    codes = [code for _, _, code in two_years.codes()]
    assert set(codes) <= {"ledger-reordered", "ledger-year"}
    assert codes


def test_a_year_that_begins_with_a_later_line_had_lines_moved(two_years: Room) -> None:
    """One that begins with the next number after another last line had that line or this one edited."""
    lines = two_years.lines(2025)
    two_years.put(2025, [*lines[1:], lines[0]])
    said = [problem.message for problem in read_ledger(two_years.folder)[1] if problem.code == "ledger-year"]
    assert [one.split(":")[1].strip().split(";")[0] for one in said] == ["lines were moved from year to year"]


def test_a_line_missing_from_the_middle_is_named(two_years: Room) -> None:
    """The numbers say which."""
    lines = two_years.lines(2024)
    two_years.put(2024, [lines[0], *lines[2:]])
    assert two_years.codes() == [("ledger/2024.jsonl", 2, "ledger-broken")]


def test_a_line_that_stands_twice_is_named(two_years: Room) -> None:
    """A number is given once."""
    lines = two_years.lines(2024)
    two_years.put(2024, [lines[0], lines[1], lines[1], *lines[2:]])
    assert two_years.codes() == [("ledger/2024.jsonl", 3, "ledger-broken")]


def test_a_line_that_is_no_record_is_named(two_years: Room) -> None:
    """A broken line breaks nothing but itself."""
    lines = two_years.lines(2024)
    two_years.put(2024, [lines[0], "{", *lines[2:]])
    assert ("ledger/2024.jsonl", 2, "ledger-broken") in two_years.codes()


@pytest.mark.parametrize("look", ["\u202epastel", "\x07"])
def test_a_line_with_a_character_that_nobody_sees_is_named(two_years: Room, look: str) -> None:
    """As it is or as a code: what a dated record said is printed on a page."""
    lines = two_years.lines(2025)
    two_years.put(2025, redone(lines, 0, lambda line: line["figures"].update(looks=[look])))
    assert ("ledger/2025.jsonl", 1, "ledger-broken") in two_years.codes()


def test_a_line_cut_off_in_the_middle_is_named(two_years: Room) -> None:
    """As after a power cut or a full disk."""
    path = two_years.folder / "ledger/2025.jsonl"
    path.write_bytes(path.read_bytes()[:-40])
    assert two_years.codes() == [("ledger/2025.jsonl", 2, "ledger-truncated")]


def test_a_year_whose_end_was_cut_off_is_named(two_years: Room) -> None:
    """The next year goes on from lines that are not there."""
    two_years.put(2024, two_years.lines(2024)[:2])
    assert two_years.codes() == [("ledger/2024.jsonl", 2, "ledger-truncated")]


def test_a_year_that_is_gone_is_named(two_years: Room) -> None:
    """Whether it is the first or one between."""
    (two_years.folder / "ledger/2024.jsonl").unlink()
    assert two_years.codes() == [("ledger/2025.jsonl", 1, "ledger-year")]
    assert open_book(two_years.folder).book is None


def test_a_year_between_two_that_is_gone_is_named(two_years: Room) -> None:
    """In the line after it; where no year lies between, the last lines of the year before are gone."""
    two_years.write("clutches/C27-01.yaml", PROOF.replace("25", "27"))
    two_years.stamp("2027-08-01")
    lines = two_years.lines(2025)
    (two_years.folder / "ledger/2025.jsonl").unlink()
    assert two_years.codes() == [("ledger/2027.jsonl", 1, "ledger-year")]
    two_years.put(2025, lines)
    two_years.put(2024, two_years.lines(2024)[:-1])
    assert two_years.codes() == [("ledger/2024.jsonl", 3, "ledger-truncated")]


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("digest", "0" * 63, "its `digest` is no SHA-256 digest"),
        ("digest", "G" * 64, "its `digest` is no SHA-256 digest"),
        ("digest", 7, "its `digest` is no SHA-256 digest"),
        ("before", "0" * 65, "its `before` is no SHA-256 digest"),
        ("number", 0, "its `number` is no whole number from 1 on"),
        ("number", True, "its `number` is no whole number from 1 on"),
        ("figures", [], "its `figures` are no statement"),
        ("figures", {"id": "C24-01-2"}, "its `figures` are no statement"),
        ("animal", None, "its `animal` is no text"),
        ("schema", "other", "its `schema` is not"),
        ("more", 1, "the key `more` is unknown"),
    ],
)
def test_a_line_of_another_form_is_no_dated_record(two_years: Room, key: str, value: object, said: str) -> None:
    """Each key by its name; a line as it was written is one."""
    line = two_years.lines(2024)[1]
    place = Place("ledger/2024.jsonl", 2)
    assert record_of(line, place).number == 2
    with pytest.raises(NoDatedRecordError, match=re.escape(said)):
        record_of(canonical({**json.loads(line), key: value}), place)


@pytest.mark.parametrize("chance", ['"1e999999999"', "1e400", "0.5", '"1/0"', '"half"', "null", "[]"])
def test_a_chance_of_another_form_is_no_dated_record(two_years: Room, chance: str) -> None:
    """Whatever it is: the line is named, and no number is so long that reading it never ends."""
    lines = two_years.lines(2024)
    two_years.put(2024, [lines[0], re.sub(r'"carries":"[^"]*"', f'"carries":{chance}', lines[1], count=1), *lines[2:]])
    assert ("ledger/2024.jsonl", 2, "ledger-broken") in two_years.codes()


def test_a_year_that_does_not_go_on_from_the_year_before_is_named(two_years: Room) -> None:
    """The last line of a year is held by the first of the next."""
    two_years.put(2024, redone(two_years.lines(2024), 3, lambda line: line.update(version="9")))
    assert two_years.codes() == [("ledger/2025.jsonl", 1, "ledger-year")]


def test_a_record_in_the_file_of_another_year_is_named(two_years: Room) -> None:
    """Each year has its own file."""
    two_years.put(2024, [*two_years.lines(2024), *two_years.lines(2025)])
    (two_years.folder / "ledger/2025.jsonl").unlink()
    assert two_years.codes() == [(f"ledger/{2024}.jsonl", line, "ledger-year") for line in (5, 6)]


@given(data=st.data())
def test_no_single_byte_can_be_changed_unseen(data: st.DataObject, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Any other byte anywhere but in the newest line is found; in the newest, unless the line still stands by itself."""
    lines: list[str] = []
    before = None
    for number in range(1, 5):
        figures: dict[str, object] = {
            "id": "F-01",
            "species": "ball-python",
            "sex": "female",
            "hatched": None,
            "looks": [],
        }
        figures["parents"] = {"sires": [], "dam": None, "clutch": None}
        copies = {"0": "1/3", "1": "2/3", "2": "0"}
        figures["traits"] = [
            {"locus": "piebald", "trait": "Piebald", "copies": copies, "carries": "2/3", "grounds": "chance"}
        ]
        lines.append(line_of(number, date(2024, 1, number), figures, before, "0.1.0", "sha256:1"))
        before = digest_of_text(lines[-1])
    raw = "".join(f"{line}\n" for line in lines).encode("ascii")
    at = data.draw(st.integers(0, len(raw) - len(lines[-1]) - 2))
    byte = data.draw(st.integers(0, 255).filter(lambda value: value != raw[at]))
    folder = tmp_path_factory.mktemp("ledger")
    try:
        (folder / "ledger").mkdir()
        (folder / "ledger/2024.jsonl").write_bytes(raw[:at] + bytes([byte]) + raw[at + 1 :])
        harmless = raw[at : at + 1] == b"\n" and byte == ord("\n")
        assert bool(read_ledger(folder)[1]) != harmless
    finally:
        shutil.rmtree(folder)


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | st.text(st.characters(codec="utf-8")),
        lambda inner: st.lists(inner) | st.dictionaries(st.text(st.characters(codec="ascii")), inner),
        max_leaves=20,
    )
)
def test_the_quick_canonical_form_is_that_of_rfc_8785(value: object) -> None:
    """For all that a ledger can hold, the standard library's writer gives the same bytes as an RFC 8785 implementation."""
    assert canonical(value).encode("utf-8") == rfc8785.dumps(value)  # type: ignore[arg-type]


# Reading again


def test_a_later_result_leaves_a_past_record_as_stated(two_years: Room) -> None:
    """What was stated in 2024 comes out the same in 2026, although the figure is another now."""
    assert two_years.verdicts("M-01") == ["as stated", "as stated"]
    assert two_years.verdicts("C24-01-1") == ["as stated"]


def test_a_record_edited_later_shows_as_edited(two_years: Room) -> None:
    """A claim that was raised changes what the sire's figure had been."""
    two_years.write("animals/all.yaml", ANIMALS.replace("66%", "50%"))
    assert two_years.verdicts("M-01") == ["records", "as stated"]


def test_what_is_put_under_review_later_shows_though_nothing_was_said_of_it(room: Room) -> None:
    room.stamp("2024-12-01")
    room.write("clutches/C24-01.yaml", f"{CLUTCH}set_aside: {{Clown: two photos disagree}}\n")
    assert (room.verdicts("C24-01-1"), room.verdicts("M-01")) == (["records"], ["as stated"])


def test_the_beginning_and_the_end_of_a_review_stand_among_the_changes(room: Room) -> None:
    """By the dated records, since no other record knows a day of it; and of no animal that may not be named."""
    for day, aside in (
        ("2024-12-01", ""),
        ("2025-01-10", "set_aside: {Clown: two photos disagree}\n"),
        ("2025-02-11", ""),
    ):
        room.write("clutches/C24-01.yaml", f"{CLUTCH}{aside}")
        room.stamp(day)
    lines = page_of(room.book(), "changes/index.html")
    begun, ended = lines.index("## 10 January 2025"), lines.index("## 11 February 2025")
    assert lines[begun + 1 : begun + 4] == [
        "### Clown or Cryptic: under review",
        "- C24-01-1: Clown or Cryptic →, now under review",
        "- C24-01-2: Clown or Cryptic →, now under review",
    ]
    assert lines[ended + 1 : ended + 4] == [
        "### Clown or Cryptic: no longer under review",
        "- C24-01-1: Clown or Cryptic under review →, now no longer under review",
        "- C24-01-2: Clown or Cryptic under review →, now no longer under review",
    ]
    room.write("clutches/C24-01.yaml", CLUTCH.replace("shows: normal}", "shows: normal, publish: no}"))
    assert not any("under review" in line for line in page_of(room.book(), "changes/index.html"))


def test_a_male_whom_a_look_of_that_day_left_out_is_no_edit_though_a_later_look_lets_him_in(room: Room) -> None:
    """It was read as Pastel, by the Pastel alone; a second look makes it normal, and either male's."""
    room.write("animals/all.yaml", "- {id: M-01, sex: male, shows: [Pastel]}\n- {id: M-02, sex: male, shows: normal}\n")
    room.write("animals/dam.yaml", "- {id: F-01, sex: female, shows: normal}\n")
    young = "{id: C24-01-1, looks: [{on: 2024-07-02, shows: [Pastel]}%s]}"
    clutch = "{id: C24-01, sire: [M-01, M-02], dam: F-01, eggs: 1, hatched: 2024-07-01, young: [%s]}\n"
    room.write("clutches/C24-01.yaml", clutch % (young % ""))
    room.stamp("2024-12-01")
    room.write("clutches/C24-01.yaml", clutch % (young % ", {on: 2025-02-01, shows: normal}"))
    sires = room.book().inference.sires_of("C24-01-1")
    assert not isinstance(sires, NotComputed)
    assert [str(one) for one, chance in sires if chance] == ["M-01", "M-02"]
    assert edited(room.book().inference, room.ledger()) == ()
    assert room.verdicts("C24-01-1") == ["as stated"]


def test_what_no_review_moved_does_not_stand_with_it(room: Room) -> None:
    """Neither a figure of a stranger that was edited, nor one of kin that hatchlings moved in between."""
    room.write("animals/more.yaml", "- {id: X-01, sex: male, shows: normal, claims: {Piebald: 50%}}\n")
    room.write("clutches/C23-01.yaml", CLUTCH.replace("C24", "C23").replace("2024", "2023").replace("F-01", "F-02"))
    room.write("clutches/C25-02.yaml", CLUTCH.replace("C24-01", "C25-02").replace("2024", "2025"))
    room.stamp("2025-07-05")
    room.write("animals/more.yaml", "- {id: X-01, sex: male, shows: normal, claims: {Piebald: 66%}}\n")
    room.write("clutches/C25-01.yaml", PROOF.replace("2025-07-01", "2025-07-20"))
    room.write(
        "clutches/C25-02.yaml", CLUTCH.replace("C24-01", "C25-02").replace("2024", "2025") + "set_aside: {Piebald: }\n"
    )
    room.stamp("2025-08-01")
    lines = page_of(room.book(), "changes/index.html")
    at = lines.index("### Piebald: under review")
    end = next(number for number in range(at + 1, len(lines)) if lines[number].startswith("#"))
    named = [line for line in lines[at + 1 : end] if line.startswith("- ")]
    assert {line.partition(":")[0] for line in named} == {"- C25-02-1", "- C25-02-2"}


def test_figures_of_kin_that_a_review_moves_stand_with_it_and_in_their_feed(room: Room) -> None:
    """The Piebald of C25-01 proved its sire; under review it says nothing of him and of his other young."""
    looked_at_again = "set_aside: {Piebald: two photos disagree}\n"
    for day, proof in (("2025-08-01", PROOF), ("2025-09-01", PROOF + looked_at_again)):
        room.write("clutches/C25-01.yaml", proof)
        room.write("clutches/C23-01.yaml", CLUTCH.replace("C24", "C23").replace("2024", "2023").replace("F-01", "F-02"))
        room.stamp(day)
    lines = page_of(room.book(), "changes/index.html")
    at = lines.index("## 1 September 2025")
    assert lines[at + 1 : at + 4] == [
        "### Piebald: under review",
        "- C25-01-1: Piebald →, now under review",
        "- C23-01-1: 50% possible het Piebald →, now 16% possible het Piebald",
    ]
    assert "- M-01: het Piebald →, now 33% possible het Piebald" in lines
    feed = site_of(room.book())["clutches/C23-01/feed.xml"].decode()
    (entry,) = (one for one in feed.split("<entry>") if "C23-01-1: 50% possible het Piebald → 16%" in one)
    assert "Piebald: under review (C25-01-1), by its dated record of that day." in entry


def test_a_record_added_later_for_an_earlier_day_shows(room: Room) -> None:
    """A clutch of 2023 that nobody had written down changes the past."""
    room.stamp("2024-12-01")
    room.write("clutches/C23-01.yaml", PROOF.replace("C25", "C23").replace("2025", "2023"))
    assert room.verdicts("M-01") == ["records"]


def test_a_record_tells_what_was_shown_and_what_was_carried(room: Room) -> None:
    """Blue-eyed Leucistic shows both its alleles; a twin that nobody looked at shows nothing, and carries what the other has."""
    room.write(
        "animals/all.yaml",
        "- {id: M-01, sex: male, hatched: 2020-06-01, shows: Lesser}\n"
        "- {id: F-01, sex: female, hatched: 2020-06-01, shows: [Mojave, Pastel]}\n",
    )
    young = "{id: C24-01-1, shows: Blue-eyed Leucistic}\n  - {id: C24-01-2, same_egg_as: C24-01-3}\n  - {id: C24-01-3, shows: Pastel}\n"
    room.write("clutches/C24-01.yaml", f"{CLUTCH[: CLUTCH.index('{')]}{young}")
    room.stamp("2024-12-01")
    book = room.book()
    animals = book.collection.animals
    said = {one.animal: said_words(book.telling, animals[one.animal], one) for one in room.ledger().records}
    assert said["C24-01-1"].startswith("Blue-eyed Leucistic; 50% possible Pastel")
    assert said["C24-01-2"] == "look not recorded; carries Pastel"


def test_a_changed_rule_shows_as_a_changed_rule(two_years: Room) -> None:
    """With another version of the tool, or another species file, the records may not be to blame."""
    two_years.write("animals/all.yaml", ANIMALS.replace("66%", "50%"))
    assert two_years.verdicts("M-01", version="0.2.0")[0] == "rules"


def test_a_new_sex_or_look_shows_as_edited(two_years: Room) -> None:
    """The record covers more than chances."""
    two_years.write("clutches/C24-01.yaml", CLUTCH.replace("sex: male", "sex: female"))
    assert two_years.verdicts("C24-01-1") == ["records"]
    assert two_years.verdicts("C24-01-2") == ["as stated"]


def test_a_correction_dated_before_a_record_that_says_the_old_is_to_have_its_own_day(room: Room) -> None:
    """A second one with the same `was` would change nothing, and be refused; of another `was` it is the right advice."""
    room.stamp("2024-12-01")
    for was, said in (("male", "is of 2024-11-01, so let `on` say the day"), ("unknown", "key: sex, was: male")):
        corrected = f"sex: female, corrections: [{{on: 2024-11-01, key: sex, was: {was}, because: re-probed}}]"
        room.write("clutches/C24-01.yaml", CLUTCH.replace("sex: male", corrected))
        (one,) = edited(room.book().inference, room.ledger())
        assert said in one.words(date(2025, 1, 1))


def test_a_look_or_a_parent_edited_shows_though_no_figure_moved(room: Room) -> None:
    """Unread, M-01 is what was claimed of it all the same; by F-04, which shows it as F-01 does, every young is what it was."""
    room.stamp("2024-12-01")
    room.write("animals/all.yaml", ANIMALS.replace("06-01, shows: normal, claims", "06-01, claims"))
    assert (room.verdicts("M-01"), room.verdicts("C24-01-1")) == (["records"], ["as stated"])
    room.write("animals/all.yaml", f"{ANIMALS}- {{id: F-04, sex: female, hatched: 2020-07-01, shows: [Piebald]}}\n")
    room.write("clutches/C24-01.yaml", CLUTCH.replace("dam: F-01", "dam: F-04"))
    assert (room.verdicts("M-01"), room.verdicts("C24-01-1")) == (["as stated"], ["records"])


def test_an_animal_that_is_moved_to_another_clutch_was_edited_and_not_the_clutch(room: Room) -> None:
    """Eggs were mixed up. Whoever bought a young of the other clutch hears of no other dam, even if that is called corrected."""
    clutch = "{{id: C24-02, sire: M-01, dam: F-03, hatched: 2024-08-01, eggs: {}, young: [1 m normal{}]{}}}\n"
    room.write("clutches/C24-02.yaml", clutch.format(1, "", ""))
    room.write("sales/s.yaml", "- {animals: [C24-01-2, C24-02-1], buyer: Peg Osier, handed_over: 2024-12-01}\n")
    room.stamp("2024-12-01")
    lines = CLUTCH.replace("eggs: 2", "eggs: 1").splitlines(keepends=True)
    room.write("clutches/C24-01.yaml", "".join(lines[:-1]))
    moved = ", {id: C24-01-2, sex: female, shows: normal}"
    room.write("clutches/C24-02.yaml", clutch.format(2, moved, ""))
    book = room.book()
    found = [(one.record.id, one.key, one.was, one.now) for one in edited(book.inference, book.ledger)]
    assert found == [("C24-01-2", "hatched", "2024-07-01", "2024-08-01"), ("C24-01-2", "dam", "F-01", "F-03")]

    def of_their_dam() -> list[str]:
        tell = Season(room.book(), date(2025, 1, 5)).tell
        return [one.animal for one in tell for change in one.changes if change.about == "dam"]

    assert of_their_dam() == ["C24-01-2"]
    corrected = ", corrections: [{on: 2025-01-02, key: dam, was: F-01, because: boxes swapped}]"
    room.write("clutches/C24-02.yaml", clutch.format(2, moved, corrected))
    assert of_their_dam() == ["C24-01-2"]


def test_a_young_that_is_moved_from_a_clutch_that_is_not_listed_was_edited_and_not_the_clutch(room: Room) -> None:
    """Its dated record names no clutch. A correction of the other clutch would stand on its page, of a day that it never had."""
    listed = "{{id: C24-02, sire: M-01, dam: F-03, hatched: 2024-08-01, eggs: 1, young: [{}]}}\n"
    unlisted = "{{id: C24-03, publish: no, sire: M-01, dam: F-01, hatched: {}, eggs: 1, young: [{}]}}\n"
    room.write("clutches/C24-02.yaml", listed.format("1 m normal"))
    room.write("clutches/C24-03.yaml", unlisted.format("2024-08-03", "1 f normal"))
    room.stamp("2024-12-01")
    room.write("clutches/C24-02.yaml", listed.format("{id: C24-03-1, sex: f, shows: normal}"))
    room.write("clutches/C24-03.yaml", unlisted.format("2024-08-03", "{id: C24-02-1, sex: m, shows: normal}"))

    def found() -> list[tuple[str, str, str]]:
        return [(one.record.id, one.was, one.now) for one in edited(room.book().inference, room.ledger())]

    swapped = [("C24-02-1", "2024-08-01", "2024-08-03"), ("C24-03-1", "2024-08-03", "2024-08-01")]
    assert [one for one in found() if one[1].startswith("2024")] == swapped
    room.write("clutches/C24-02.yaml", listed.format("1 m normal"))
    room.write("clutches/C24-03.yaml", unlisted.format("2024-08-05", "1 f normal"))
    assert found() == [("C24-03", "2024-08-03", "2024-08-05")]


def test_a_look_and_a_dated_record_of_one_day_go_together(room: Room) -> None:
    looks = "looks: [{on: 2020-07-01, shows: normal}, {on: 2024-12-01, shows: [Pastel]}]"
    room.write("animals/all.yaml", ANIMALS.replace("06-01, shows: normal", f"06-01, {looks}"))
    room.stamp("2024-12-01")
    assert room.verdicts("M-01") == ["as stated"]
    assert room.book(date(2024, 12, 1)).past.records == len(room.ledger().records)


def test_an_animal_that_was_named_anew_keeps_its_records(two_years: Room) -> None:
    """`was` joins the records of both ids; its parents' new names are no change."""
    two_years.write("clutches/C24-01.yaml", CLUTCH.replace("id: C24-01-1,", "id: Ember, was: [C24-01-1],"))
    assert two_years.verdicts("Ember") == ["as stated"]
    assert open_book(two_years.folder).problems == ()


@pytest.mark.slow
def test_every_past_record_of_the_demo_comes_out_as_stated(content_dir: Path, tmp_path: Path) -> None:
    """Figures taken from the history equal those inferred from scratch as of each day, for every animal on each of two days."""
    room = Room(tmp_path / "demo")
    shutil.copytree(content_dir, room.folder)
    shutil.rmtree(room.folder / "ledger", ignore_errors=True)
    for day in ("2025-07-25", "2026-11-25"):
        room.stamp(day)
    found = reread(room.book().inference, room.ledger(), "0.1.0")
    assert {row.verdict for rows in found.values() for row in rows} == {"as stated"}
    assert sum(len(rows) for rows in found.values()) == len(room.ledger().records) > 90


def test_a_sold_animal_keeps_what_was_stated_of_it_once_no_record_speaks_of_that_any_more(room: Room) -> None:
    """By the dated record in force at the sale; of one that nobody took home nothing is left to say."""
    room.stamp("2024-12-01")
    room.write("animals/all.yaml", ANIMALS.replace(", claims: {Piebald: 66%}", "").replace("[Piebald]", "normal"))
    for status, kept in (("status: sold, left: {how: sold, on: 2025-01-10}", ["Piebald"]), ("status: available", [])):
        sold = CLUTCH.replace("sex: male, shows: normal", f"sex: male, shows: normal, {status}")
        room.write("clutches/C24-01.yaml", sold)
        said = room.book().statements.animals["C24-01-1"]
        assert (said.traits, [trait.trait for trait in said.ruled_out]) == ((), kept)


def test_what_hatched_between_the_dated_record_and_the_sale_was_said_at_the_sale(room: Room) -> None:
    """Dated in December, when its sire was 1 in 3; in July a Piebald young proved him; sold in September."""
    other = "{id: C24-02, sire: M-01, dam: F-03, eggs: 1, hatched: 2024-08-01, young: [1 m normal; sold]}"
    room.write("clutches/C24-02.yaml", f"{other}\n")
    room.stamp("2024-12-01")
    room.write("clutches/C25-01.yaml", PROOF)
    room.write("sales/s.yaml", "- {animals: [C24-02-1], buyer: Peg Osier, handed_over: 2025-09-01}\n")
    room.write("animals/sold.yaml", "- {id: C24-02-1, left: {on: 2025-09-01, how: sold}}\n")
    book = room.book()
    trait = book.statements.animals["C24-02-1"].trait("Piebald")
    assert trait is not None
    assert trait.when_sold is not None
    assert (trait.when_sold.carries, trait.carries) == (Fraction(1, 2), Fraction(1, 2))
    assert Season(book, date(2025, 10, 1)).tell == ()


def a_line_of_its_own(room: Room, locus: str) -> Book:
    """A young of the line and a sibling, both sold in December 2024."""
    room.write("traits/own.yaml", f"species: ball-python\nloci: [{{{locus}, source: our own}}]\n")
    room.write(
        "clutches/C24-01.yaml",
        CLUTCH.replace("sex: male, shows: normal", "sex: male, shows: Cinder, status: sold").replace(
            "female, shows: normal", "female, shows: normal, status: sold"
        ),
    )
    room.write("animals/all.yaml", ANIMALS.replace("F-01, sex: female, hatched: 2020-07-01", "F-01, sex: female"))
    room.write("sales/s.yaml", "- {animals: [C24-01-1, C24-01-2], buyer: Peg Osier, handed_over: 2024-12-02}\n")
    return room.book()


@pytest.mark.parametrize("key", ["cinder", "kestrel"])
def test_a_trait_that_was_named_anew_keeps_its_records(room: Room, key: str) -> None:
    """The old name is kept as another one of it: nothing was edited, and nobody has to be told."""
    a_line_of_its_own(room, "locus: cinder, inheritance: recessive, alleles: [Cinder]")
    room.stamp("2024-12-01")
    now = "inheritance: recessive, alleles: [Kestrel], also_called: {Kestrel: [Cinder]}"
    book = a_line_of_its_own(room, f"locus: {key}, {now}")
    assert edited(book.inference, book.ledger) == ()
    assert Season(book, date(2025, 10, 1)).tell == ()
    assert [(row.verdict, row.said) for row in book.past.dated["C24-01-1"]] == [("as stated", "Kestrel; het Piebald")]


@pytest.mark.parametrize("described", [True, False])
def test_a_trait_that_was_given_up_is_told_to_whoever_bought_a_het_of_it(room: Room, described: bool) -> None:
    """Whether or not a file still describes it: what was said of it then, and that nothing speaks for it now."""
    room.write(
        "traits/own.yaml", "species: ball-python\nloci: [{locus: cinder, inheritance: recessive, alleles: [Cinder]}]\n"
    )
    parents = "- {{id: M-01, sex: male, shows: {}}}\n- {{id: F-01, sex: female, shows: normal}}\n"
    room.write("animals/all.yaml", parents.format("Cinder"))
    room.write("sales/s.yaml", "- {animals: [C24-01-1], buyer: Peg Osier, handed_over: 2024-12-01}\n")
    room.stamp("2024-12-01")
    room.write("animals/all.yaml", parents.format("normal"))
    if not described:
        room.folder.joinpath("traits/own.yaml").unlink()
    book, had = room.book(), "het" if described else "carries"
    assert [row.said for row in book.past.dated["C24-01-1"]] == [f"normal; {had} Cinder"]
    (told,) = Season(book, date(2025, 1, 1)).tell
    assert f"- Cinder: then {had} Cinder; now nothing speaks for it." in told.message
    then = "het" if described else "carries it"
    assert f"Cinder | nothing said | {then} | nothing said" in page_of(book, "animals/C24-01-1/index.html")


def test_what_a_dated_record_shows_was_said_though_no_figure_was_made_of_it(room: Room) -> None:
    """The line is proven recessive since: the buyer of its sibling alone hears of it."""
    a_line_of_its_own(room, "locus: cinder, inheritance: not known, alleles: [Cinder]")
    room.stamp("2024-12-01")
    book = a_line_of_its_own(room, "locus: cinder, inheritance: recessive, alleles: [Cinder]")
    trait = book.statements.animals["C24-01-1"].trait("Cinder")
    assert trait is not None
    assert trait.when_sold is not None
    assert trait.when_sold.carries == 1
    assert [one.animal for one in Season(book, date(2025, 10, 1)).tell] == ["C24-01-2"]


def test_a_dated_figure_keeps_its_words_though_another_trait_of_its_locus_moved(room: Room) -> None:
    """Two males were possible; since one is on record, the young has Albino or Candy, and was never said to."""
    species = "- {id: M-01, sex: male, shows: [Candino]}\n- {id: M-02, sex: male, shows: normal}\n"
    room.write("animals/all.yaml", species + "- {id: F-01, sex: female, shows: normal, claims: {Albino: 100%}}\n")
    clutch = "id: C24-01\nsire: {}\ndam: F-01\neggs: 1\nhatched: 2024-07-01\nyoung: [{{id: C24-01-1, shows: normal}}]\n"
    room.write("clutches/C24-01.yaml", clutch.format("[M-01, M-02]"))
    room.stamp("2024-12-01")
    room.write("clutches/C24-01.yaml", clutch.format("M-01"))
    (row,) = room.book().past.dated["C24-01-1"]
    assert row.said == "normal; 50% possible het Albino; 16% possible het Candy"


@pytest.mark.parametrize(("colour", "told"), [("normal", [("M-01", "M-01 or M-02")]), ("Pastel", [])])
def test_a_second_male_added_later_is_an_edit_unless_what_hatched_left_him_out(
    room: Room, colour: str, told: list[tuple[str, str]]
) -> None:
    """A Pastel young is by the Pastel, so that he alone was named when it was dated and both were on record."""
    males = f"- {{id: M-01, sex: male, shows: [{colour}]}}\n- {{id: M-02, sex: male, shows: normal}}\n"
    room.write("animals/all.yaml", f"{males}- {{id: F-01, sex: female, shows: normal}}\n".replace("[normal]", "normal"))
    young = f"eggs: 1, hatched: 2024-07-01, young: [1 f {colour}]"
    room.write(
        "clutches/C24-01.yaml", f"{{id: C24-01, sire: {'M-01' if told else '[M-01, M-02]'}, dam: F-01, {young}}}\n"
    )
    room.stamp("2024-12-01")
    assert [sire.id for sire in room.ledger().records[0].figures.parents.sires] == ["M-01"]
    room.write("clutches/C24-01.yaml", f"{{id: C24-01, sire: [M-01, M-02], dam: F-01, {young}}}\n")
    book = room.book()
    assert [(one.was, one.now) for one in edited(book.inference, book.ledger)] == told
    assert room.verdicts("C24-01-1") == (["records"] if told else ["as stated"])


def test_a_certainty_that_was_sold_hangs_on_a_male_whom_the_log_names_later(room: Room) -> None:
    """Dated and sold as a certain het; then the log of that winter is typed in. Once she knows, and that is dated, nobody is to be told."""
    parents = "- {id: M-01, sex: male, shows: [Piebald]}\n- {id: F-01, sex: female, shows: normal}\n"
    room.write("animals/all.yaml", parents)
    room.write("sales/s.yaml", "- {animals: [C24-01-1], buyer: Peg Osier, handed_over: 2024-12-01}\n")
    room.stamp("2024-12-01")
    room.write("animals/other.yaml", "- {id: M-02, sex: male, shows: normal}\n")
    room.write("log/2024.csv", "date,animal,event,with,value,note\n2024-02-20,M-02,lock,F-01,,\n")
    book = room.book()
    (row,) = book.past.dated["C24-01-1"]
    assert (row.verdict, row.said) == ("records", "normal; het Piebald")
    now = "het, if no other male sired it"
    assert f"Piebald | {now} | het | {now}" in page_of(book, "animals/C24-01-1/index.html")
    (told,) = Season(book, date(2025, 2, 1)).tell
    assert "- Piebald: then het Piebald; now het Piebald, if no other male sired it." in told.message

    room.stamp("2025-02-01")
    told_her = "handed_over: 2024-12-01, told: [{on: 2025-02-01, about: the other male}]}\n"
    room.write("sales/s.yaml", f"- {{animals: [C24-01-1], buyer: Peg Osier, {told_her}")
    book = room.book()
    assert [(row.verdict, row.record.if_sired) for row in book.past.dated["C24-01-1"]] == [
        ("records", ()),
        ("as stated", ("Piebald",)),
    ]
    assert Season(book, date(2025, 3, 1)).tell == ()


def test_a_line_of_an_earlier_program_does_not_tell_what_hangs_on_a_sire(room: Room) -> None:
    """Such a line is read as before, with the conditions of today's records."""
    room.stamp("2024-12-01")
    (line, *_) = (line for line in room.lines(2024) if '"C24-01-1"' in line)
    assert record_of(line.replace('"if_sired":[],', ""), Place("x", 1)).if_sired is None


@pytest.mark.parametrize("parent", ["dam: F-01", "sire: M-01"])
def test_an_animal_with_one_recorded_parent_was_not_edited_when_it_is_dated(room: Room, parent: str) -> None:
    """Its statement names an unknown father beside a mother of its own record; nobody has to be told that he is not on record."""
    young = f"- {{id: Y-1, sex: male, hatched: 2024-07-01, {parent}, shows: normal, status: sold}}\n"
    room.write("animals/all.yaml", ANIMALS + young)
    room.write("sales/s.yaml", "- {animals: [Y-1], buyer: Peg Osier, handed_over: 2024-12-01}\n")
    room.stamp("2024-12-01")
    book = room.book()
    assert edited(book.inference, book.ledger) == ()
    assert (room.verdicts("Y-1"), Season(book, date(2025, 1, 5)).tell) == (["as stated"], ())
