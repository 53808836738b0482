"""A new row of the log is judged before it is written: asked about at a terminal, refused elsewhere, written with --yes."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from tests.rooms import FAMILY, HEADER, log

from clutchlight.cli import main, options
from clutchlight.reading.dates import NoDay, day_said, like_a_day

LOG = (
    "2026-11-01,F-01,weight,,860,\n2026-11-01,M-01,meal,,rat,\n2026-11-01,M-01,meal,,rat,\n2026-11-02,M-02,weight,,90,\n"
    "2026-11-03,M-02,weight,,900,\n2026-11-20,F-02,quarantine,,,\n"
)
GONE = {
    "animals/gone.yaml": "- {id: F-08, sex: female, hatched: 2019, left: {how: died, on: 2026-10-02}}\n"
    "- {id: F-09, sex: female, hatched: 2019, left: {how: died}}\n"
    "- {id: F-10, sex: female, hatched: 2019}\n"
    "- {id: F-11, sex: female, hatched: 2019, came: {how: bought, on: 2026-11-20}}\n",
    "sales/all.yaml": "- {animals: [F-10], buyer: Ada Quill, handed_over: 2026-11-05}\n",
}


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A room of 28 November 2026, a Saturday, whose log has oddities of its own."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1795867200")
    return FAMILY.write(tmp_path, log(LOG) | GONE)


def run(room: Path, *words: str, typed: str | None = None) -> Result:
    return CliRunner().invoke(main, [*words, "--collection", str(room)], input=typed)


def written(room: Path) -> str:
    return (room / "log/2026.csv").read_text(encoding="utf-8").removeprefix(HEADER + LOG)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ["F-01", "weight", "8500"],
            "8500 g for F-01, after 860 g on 2026-11-01; look at the digits, or add --yes if it is right [weight-odd]",
        ),
        (
            ["F-01", "weight", "85", "--on", "2026-10-28"],
            "860 g for F-01, after 85 g on 2026-10-28; look at the digits, or add --yes if it is right [weight-odd]",
        ),
        (
            ["F-01", "weight", "866", "--on", "2026-11-01"],
            (
                "log/2026.csv, line 2, has 860 g for F-01 on that day already; correct it there if it was a slip, or add --yes if"
                " it is right [log-twice]"
            ),
        ),
        (
            ["F-01", "weight", "8660", "--on", "2026-11-01"],
            "8660 g for F-01, after 860 g on 2026-11-01; look at the digits, or add --yes if it is right [weight-odd]",
        ),
        (
            ["F-01", "weight", "860", "--on", "2026-11-01"],
            (
                "the same row already stands in log/2026.csv, line 2; leave this one out if it happened once, or add --yes if it is"
                " right [log-twice]"
            ),
        ),
        (
            ["M-01", "paired", "F-11"],
            (
                "'F-11' came 2026-11-20 and no quarantine is in the log; where it was in one, log `F-11 quarantine over` first, or add"
                " --yes if it is right [log-absent]"
            ),
        ),
        (
            ["f-01", "meal", "rat", "--on", "2026-12-24"],
            "2026-12-24 is in the future; it counts as written, so look at the year, or add --yes if it is right [future-date]",
        ),
        (
            ["F-08", "meal"],
            (
                "'F-08' is no longer here: died (2026-10-02); look at the animal and the day (2026-11-28), or add --yes if it is"
                " right [log-absent]"
            ),
        ),
        (
            ["F-09", "meal"],
            "'F-09' is no longer here: died; look at the animal and the day (2026-11-28), or add --yes if it is right [log-absent]",
        ),
        (
            ["F-10", "weight", "700"],
            (
                "'F-10' is no longer here: sold (2026-11-05); look at the animal and the day (2026-11-28), or add --yes if it is"
                " right [log-absent]"
            ),
        ),
        (
            ["F-11", "meal", "--on", "2026-11-10"],
            "'F-11' came later (2026-11-20); look at the animal and the day (2026-11-10), or add --yes if it is right [log-absent]",
        ),
        (
            ["F-02", "paired", "M-01"],
            (
                "'F-02' has a quarantine in the log (2026-11-20); look at the animal and the day (2026-11-28), or add --yes if it"
                " is right [log-absent]"
            ),
        ),
    ],
)
def test_an_odd_row_is_refused_where_nobody_can_be_asked(room: Path, words: list[str], said: str) -> None:
    """It alone is spoken of, no byte is written, and with --yes it goes in without a word."""
    result = run(room, "log", *words)
    about = [line for line in result.stderr.splitlines() if line.startswith("what you typed")]
    assert (result.exit_code, about) == (2, [f"what you typed: error: {said}"])
    assert result.stderr.endswith("nothing was written\n")
    assert written(room) == ""
    agreed = run(room, "log", *words, "--yes")
    assert (agreed.exit_code, "error" in agreed.output) == (0, False)
    assert written(room).count("\n") == 1


def test_old_oddities_are_told_by_check_alone(room: Path) -> None:
    """Not by whatever else reads or writes the log."""
    told = run(room, "log", "M-02", "weight", "905")
    assert (told.exit_code, told.stderr) == (0, "")
    assert "log-twice" in CliRunner().invoke(main, ["check", str(room)]).stderr
    assert run(room, "why", "M-01").stderr == ""


@pytest.mark.parametrize(("typed", "code", "rows"), [("y\n", 0, 1), ("n\n", 2, 0), ("\n", 2, 0)])
def test_at_a_terminal_it_is_asked_about(
    room: Path, monkeypatch: pytest.MonkeyPatch, typed: str, code: int, rows: int
) -> None:
    """Yes writes it; no, or nothing, writes nothing."""
    monkeypatch.setattr(options, "at_terminal", lambda: True)
    result = run(room, "log", "F-01", "weight", "8500", typed=typed)
    assert (
        "what you typed: warning: 8500 g for F-01, after 860 g on 2026-11-01; look at the digits [weight-odd]\nWrite it all the same?"
        in result.stderr
    )
    assert (result.exit_code, written(room).count("\n")) == (code, rows)


def test_rows_of_one_command_are_judged_beside_each_other(room: Path) -> None:
    """The same animal named twice is a doubled row."""
    said = "F-01 is named twice; leave this one out if it happened once, or add --yes if it is right [log-twice]"
    told = run(room, "log", "F-01,F-01", "weight", "905").stderr
    assert said in told
    assert "line 0" not in told
    assert "log-twice" in run(room, "log", "M-02,M-02", "shed").stderr
    assert written(room) == ""


def test_whoever_ends_the_question_is_told_that_nothing_was_written(
    room: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(options, "at_terminal", lambda: True)
    ended = run(room, "log", "F-01", "weight", "8500", typed="")
    assert (ended.exit_code, ended.stderr.splitlines()[-1]) == (2, "nothing was written")
    assert written(room) == ""


def test_a_negative_weight_is_no_option(room: Path) -> None:
    """An option that there is none of still is none."""
    told = run(room, "log", "F-01", "weight", "-5")
    assert (told.exit_code, "'-5' is below nothing" in told.stderr) == (2, True)
    assert "there is no `--yess` here" in run(room, "log", "F-01", "shed", "--yess").stderr
    assert "there is no `-x` here" in run(room, "log", "F-01", "shed", "-x").stderr
    assert written(room) == ""


def test_a_dead_animal_may_have_notes_and_a_told_weight_is_no_slip(room: Path) -> None:
    assert run(room, "log", "F-08", "note", "buried").exit_code == 0
    assert run(room, "log", "F-10", "weight", "900", "--note", "its keeper wrote").exit_code == 0


def test_a_range_of_ids_is_each_of_them(room: Path) -> None:
    """With the zeros of its first number; an id that is not on record is named as ever."""
    assert run(room, "log", "m-01..02,F-01..f-02", "meal", "rat").exit_code == 0
    assert [line.split(",")[1] for line in written(room).splitlines()] == ["M-01", "M-02", "F-01", "F-02"]
    assert "animal 'M-04' has no record" in run(room, "log", "M-01..4", "meal").stderr
    assert (
        "the range 'M-02..01' ends before it begins; look at its numbers" in run(room, "log", "M-02..01", "meal").stderr
    )
    assert "the range 'M-1..501' has more than 500 animals" in run(room, "log", "M-1..501", "meal").stderr


def test_an_id_that_reads_like_a_range_is_an_id(room: Path) -> None:
    FAMILY.write(room, {"animals/odd.yaml": "- {id: X-1..3, sex: male}\n"})
    assert run(room, "log", "X-1..3", "meal").exit_code == 0
    assert written(room) == "2026-11-28,X-1..3,meal,,,\n"


def test_a_wide_range_is_asked_about(tmp_path: Path) -> None:
    """Twelve are taken, thirteen may be a slip."""
    young = "".join(f"- {{id: Y-{number:02d}, hatched: 2026-07}}\n" for number in range(1, 14))
    FAMILY.write(tmp_path, {"animals/young.yaml": young})
    assert run(tmp_path, "log", "Y-01..12", "meal").exit_code == 0
    said = "these are 13 animals, Y-01 to Y-13; look at the range, or add --yes if it is right [log-wide]"
    assert said in run(tmp_path, "log", "Y-01..13", "shed").stderr
    assert run(tmp_path, "log", "Y-01..13", "shed", "--yes").exit_code == 0
    assert run(tmp_path, "log", ",".join(f"Y-{number:02d}" for number in range(1, 14)), "weight", "90").exit_code == 0


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("yesterday", "2026-11-27"),
        ("today", "2026-11-28"),
        ("fri", "2026-11-27"),
        ("Friday", "2026-11-27"),
        ("sat", "2026-11-28"),
        ("sun", "2026-11-22"),
        ("thurs", "2026-11-26"),
        ("fri 20 nov", "2026-11-20"),
        ("20 November", "2026-11-20"),
        ("Nov 20th", "2026-11-20"),
        ("20nov", "2026-11-20"),
        ("1st sept.", "2026-09-01"),
        ("6 dec", "2025-12-06"),
        ("last friday", "2026-11-27"),
        ("last sat", "2026-11-21"),
        ("29 nov 2025", "2025-11-29"),
        ("29 feb", "2024-02-29"),
        ("24 dec 2026", "2026-12-24"),
        ("25/11", "2026-11-25"),
        ("11/25", "2026-11-25"),
        ("11/11", "2026-11-11"),
        ("25.11.", "2026-11-25"),
        ("25.11.26", "2026-11-25"),
        ("25-11-2025", "2025-11-25"),
        ("2026-11-20, fri", "2026-11-20"),
    ],
)
def test_days_as_people_say_them(typed: str, day: str) -> None:
    """Without a year it is the last such day, by the calendar of 2026."""
    assert day_said(typed, date(2026, 11, 28)) == date.fromisoformat(day)


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("fri", "2026-12-04"),
        ("sat", "2026-12-05"),
        ("tomorrow", "2026-11-29"),
        ("20 dec", "2026-12-20"),
        ("28 nov", "2026-11-28"),
        ("1 feb", "2027-02-01"),
        ("wed 16th", "2026-12-16"),
        ("31.12.", "2026-12-31"),
        ("2026-01-05", "2026-01-05"),
    ],
)
def test_a_day_to_come_is_the_next_of_its_kind(typed: str, day: str) -> None:
    """The last day of a hold or a loan, said on a Saturday; one with its year is that day."""
    assert day_said(typed, date(2026, 11, 28), ahead=True) == date.fromisoformat(day)


@pytest.mark.parametrize(
    "typed", ["goliath 860", "mon tue", "20 nov nov", "may be", "sunny", "", "860", "12", "fri fed all"]
)
def test_what_is_no_day_is_not_taken_for_one(typed: str) -> None:
    assert day_said(typed, date(2026, 11, 28)) is None


def test_a_slip_is_looked_for_in_long_words_only() -> None:
    """Short ones are too near to names."""
    assert (like_a_day("novmber 20"), like_a_day("juna 20")) == (True, False)


@pytest.mark.parametrize(
    ("typed", "may_be"),
    [
        *(("", False), ("16", False), ("16.", True), ("16th", True), ("the 16th", True), ("the evening", False)),
        *(("nov 2026", True), ("2026", False), ("may 12 fed", False), ("nov fed goliath", False)),
        *(("nyx 21 novmber", True), ("nyx novmber 21", True), ("nyx may refuse", False), ("fed 12 rats", False)),
        *(("nyx was novmber 21", True), ("nyx was fed novmber 21", False), ("nyx ate 21", False), ("nyx 21", False)),
        *(("march fed goliath", True), ("marc fed goliath", False), ("novmber fed goliath 860", False)),
        *(("novmber fed 860", False), ("novmber fed 86g", False), ("novmber fed 12 rats", True)),
        ("novmber fed 5-6 rats", True),
    ],
)
def test_what_may_be_meant_as_a_day_begins_with_its_name_or_has_it_beside_a_figure(typed: str, may_be: bool) -> None:
    """Or is made of such words alone; a long figure behind a name is a weight, and a short name may be an animal's."""
    assert like_a_day(typed) is may_be


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("thu 20 nov", "2026-11-20 is a Friday; correct the date or the day of the week"),
        ("31 nov", "'31 nov' is not in the calendar; look at the month and the day"),
        ("29 nov", "'29 nov' is still to come this year; write the year if you mean 2025-11-29"),
        ("5.12.", "'5.12.' may be 5 December or 12 May; write 2025-12-05 or 2026-05-12"),
        ("30.11.", "'30.11.' is still to come this year; write the year if you mean 2025-11-30"),
        ("tomorrow", "tomorrow has not come yet; name the day it happened"),
        ("31/13", "'31/13' is not in the calendar; look at the month and the day"),
        ("12/11", "'12/11' may be 12 November or 11 December; write 2026-11-12 or 2025-12-11"),
        ("1 feb 1789", "'1 feb 1789' lies outside the years 1900 to 2199; look at the year"),
        ("1/2/1789", "'1/2/1789' lies outside the years 1900 to 2199; look at the year"),
    ],
)
def test_a_day_that_is_none_says_why(typed: str, says: str) -> None:
    """Two days that it may be are both named; which comes first can be said."""
    found = day_said(typed, date(2026, 11, 28))
    assert isinstance(found, NoDay)
    assert found.says == says
    assert day_said("12/11", date(2026, 11, 28), "day first") == date(2026, 11, 12)
    assert day_said("12/11", date(2026, 11, 28), "month first") == date(2025, 12, 11)


def test_a_day_is_said_back(room: Path) -> None:
    """As a date, beside what was typed; a date needs none."""
    assert run(room, "log", "M-01", "shed", "--on", "fri").stderr == "fri: Friday 2026-11-27\n"
    assert written(room) == "2026-11-27,M-01,shed,,,\n"
    assert run(room, "log", "M-01", "note", "calm", "--on", "2026-11-26").stderr == ""
    assert (
        "is not a day; write it as 2026-07-20, yesterday or fri"
        in run(room, "log", "M-01", "shed", "--on", "soon").stderr
    )


def test_what_does_not_fit_since_a_row_is_told_at_once(room: Path) -> None:
    """In the words of `check`; what fits is not spoken of, nor what did not fit before."""
    told = run(room, "log", "M-01", "sexed", "female").output
    assert "M-01: the log says female on 28 Nov; its record says male." in told
    assert "its record" not in run(room, "log", "F-01", "sexed", "female").output
    assert "its record" not in run(room, "log", "F-01", "weight", "861").output
