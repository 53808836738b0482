"""`log --from`: short lines as typed into any notes app become rows of the log, each once; what is not understood is told line by line."""

from __future__ import annotations

import os
import random
import shutil
import signal
import sys
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from tests.rooms import HEADER, SETTINGS, Room

from clutchlight import reference
from clutchlight.cli import main, writing
from clutchlight.model.private import EVENTS, LogRow
from clutchlight.pipeline import read_everything
from clutchlight.reading.log import ALSO
from clutchlight.reading.text import MAX_BYTES

NAMES = {
    "M-01": "Goliath",
    "M-02": "Big Rowan",
    "F-01": "Nyx",
    "F-02": "Pip",
    "F-03": "Nettle",
    "F-04": "Juno",
    "F-05": "Sun",
}
ROOM = Room(
    {
        "collection.yaml": SETTINGS,
        "animals/all.yaml": "".join(
            f"- {{id: {name}, name: {called}, sex: {'male' if name[0] == 'M' or called == 'Pip' else 'female'}, hatched: 2019}}\n"
            for name, called in NAMES.items()
        )
        + "".join(f"- {{id: Y-{number:02d}, hatched: 2026-07}}\n" for number in range(1, 16)),
        "clutches/C26-01.md": "---\nid: C26-01\nsire: M-01\ndam: F-01\nlaid: 2026-10-02\neggs: 9\n---\n",
        "log/2026.csv": HEADER + "2026-11-01,M-01,weight,,851,\n",
    }
)
TODAY = "1795867200"  # 28 November 2026, a Saturday


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", TODAY)
    return ROOM.write(tmp_path / "room", {})


def hand_over(room: Path, text: str | bytes, *more: str, typed: str | None = None) -> Result:
    notes = room.parent / "notes.txt"
    notes.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    return CliRunner().invoke(main, ["log", "--from", str(notes), "--collection", str(room), *more], input=typed)


def rows(room: Path) -> list[str]:
    """What was added to this year's log."""
    return (room / "log/2026.csv").read_text(encoding="utf-8").splitlines()[2:]


def in_log(room: Path) -> list[tuple[object, ...]]:
    private = read_everything(room).private
    assert private is not None
    return sorted(map(_told, private.log), key=str)


def _told(row: LogRow) -> tuple[object, ...]:
    return str(row.on), row.animal, row.event, row.partner, row.value, row.note, row.clutch


@pytest.mark.parametrize(
    ("line", "row"),
    [
        ("goliath 860", "M-01,weight,,860,"),
        ("GOLIATH: 860 g", "M-01,weight,,860,"),
        ("[x] m-01 weighed 860 grams.", "M-01,weight,,860,"),
        ("nyx refused", "F-01,refused,,,"),
        ("nyx didn\u2019t eat", "F-01,refused,,,"),
        ("nyx ate nothing", "F-01,refused,,,"),
        ("F-03 ate 2 mice", "F-03,meal,,2 mice,"),
        ("big rowan fed rat pup (at once)", "M-02,meal,,rat pup,at once"),
        ("pip x nettle lock", "F-02,lock,F-03,,"),
        ("nettle \u00d7 goliath locked (seen at night)", "M-01,lock,F-03,,seen at night"),
        ("goliath and nettle together", "M-01,paired,F-03,,"),
        ("goliath parted", "M-01,parted,,,"),
        ("juno shed", "F-04,shed,,,"),
        ("sun 900", "F-05,weight,,900,"),
        ("c26-01 candled 8 eggs", "C26-01,candled,,8,"),
        ("c26-01 temp 31,2", 'C26-01,temperature,,"31,2",'),
        ("c26-01 box 3", "C26-01,box,,3,"),
        ("c26-01 note one dented", "C26-01,note,,,one dented"),
        ("nyx laid 7 eggs (and a slug)", "F-01,laid,,7,and a slug"),
        ("y-01 sexed female", "Y-01,sexed,,female,"),
        ("juno note thin, (look) again", 'F-04,note,,,"thin, (look) again"'),
        ("juno treated as the vet said", "F-04,treatment,,as the vet said,"),
        ("- [x] nyx refused", "F-01,refused,,,"),
        ("* [ ] goliath 860", "M-01,weight,,860,"),
        ("- goliath 860g (after a shed?)", "M-01,weight,,860,after a shed?"),
        ("c26-01 lost eggs 2", "C26-01,egg lost,,2,"),
        ("juno quarantine until 2026-12-20 (mites)", "F-04,quarantine,,until 2026-12-20,mites"),
        ("juno treatment for 14 days", "F-04,treatment,,for 14 days,"),
        ("juno treatment over", "F-04,treatment,,over,"),
        ("juno note vet on 20 nov", "F-04,note,,,vet on 20 nov"),
        ("c26-01 temp 31.2", "C26-01,temperature,,31.2,"),
        ("juno: refused", "F-04,refused,,,"),
        ("juno note (calm)", "F-04,note,,,(calm)"),
        ("juno quarantine 14 days", "F-04,quarantine,,14 days,"),
    ],
)
def test_a_line_as_people_type_it_is_a_row(room: Path, line: str, row: str) -> None:
    """Names and ids in any case, the event's word or an everyday one, a figure alone as a weight, brackets as a note."""
    result = hand_over(room, f"thu 26 nov\n{line}\n")
    assert (result.exit_code, result.stderr) == (0, "")
    assert rows(room) == [f"2026-11-26,{row}"]


def test_an_end_of_a_quarantine_that_the_log_cannot_read_is_asked_about(room: Path) -> None:
    """As a note it would leave the animal apart for 90 days."""
    found = hand_over(room, "thu 26 nov\njuno quarantine until 20 dec\n")
    assert "'until 20 dec' may be when it ends; write `until 2026-12-20`" in found.stderr


@pytest.mark.parametrize(
    "line",
    [
        *("juno shed not yet", "nyx fed but regurgitated", "nyx ate mouse, regurgitated it", "nyx ate rat, not all"),
        *("nyx ate no rat", "nyx fed none", "nyx ate 0 rats", "nyx ate rat, spat it out", "nyx ate rat puked"),
        *("nyx 872 juno 640", "nyx shed 640", "nyx 860 before shed", "nyx refused rat juno ate", "nyx 872, ate rat"),
        *("goliath x nettle lock juno shed", "nyx 645 gr shed", "nyx ate rat and shed"),
        *("nyx refused 20 nov", "goliath 860, 2026-11-12", "nyx ate rat pup yesterday", "pip x nettle lock nov 19th"),
        *(
            "nyx ate rat fri",
            "nyx refused 25/11",
            "nyx refused 31 nov",
            "shed nyx",
            "nyx 2 eggs lost",
            "nyx ate, pip too",
        ),
        *("juno treatment 10 nov", "juno treated panacur yesterday", "juno quarantine fri 6 nov"),
    ],
)
def test_a_line_that_tells_more_than_one_thing_is_left_as_a_whole(room: Path, line: str) -> None:
    """No second happening, animal or day is lost in a note, and no meal that came up again is told; the other lines go in."""
    result = hand_over(room, f"thu 12 nov\n{line}\njuno shed\n")
    assert (result.exit_code, result.stderr.count("\n"), "[note-line]" in result.stderr) == (1, 1, True)
    assert rows(room) == ["2026-11-12,F-04,shed,,,"]


def test_a_line_may_be_of_several_animals(room: Path) -> None:
    """With commas, with `and`, in ranges."""
    hand_over(room, "2026-11-26\npip, nettle & juno refused\ny-01..03: ate pinky\n")
    assert [row.removeprefix("2026-11-26,") for row in rows(room)] == [
        *("F-02,refused,,,", "F-03,refused,,,", "F-04,refused,,,"),
        *("Y-01,meal,,pinky,", "Y-02,meal,,pinky,", "Y-03,meal,,pinky,"),
    ]


def test_a_day_on_its_own_holds_for_what_stands_below_it(room: Path) -> None:
    """In any of its forms; above none it is today."""
    notes = "juno shed\n\nyesterday:\nnyx shed\n# Fri 20 Nov\npip shed\ngoliath shed\n25/11\nsun shed\n"
    assert hand_over(room, notes).stderr == "yesterday: Friday 2026-11-27\n"
    assert [row.split(",")[:2] for row in rows(room)] == [
        ["2026-11-28", "F-04"],
        ["2026-11-27", "F-01"],
        ["2026-11-20", "F-02"],
        ["2026-11-20", "M-01"],
        ["2026-11-25", "F-05"],
    ]


@pytest.mark.parametrize("heading", ["# Nyx 20 nov", "## 20 nov, Nyx"])
def test_a_heading_with_an_animal_and_a_day_holds_back_the_lines_below_it(room: Path, heading: str) -> None:
    """Whether the day is meant for them nobody can tell."""
    result = hand_over(room, f"thu 12 nov\n{heading}\nrefused\nfri 27 nov\njuno shed\n# Nyx\npip shed\n")
    assert rows(room) == ["2026-11-27,F-04,shed,,,", "2026-11-27,F-02,shed,,,"]
    assert "(1 line waits for it) [note-day]" in result.stderr


def test_a_range_that_ends_before_it_begins_is_told_once(room: Path) -> None:
    result = hand_over(room, "thu 12 nov\ny-05..01 shed\n")
    assert [said.split("error: ")[1] for said in result.stderr.splitlines()] == [
        "the range 'y-05..01' ends before it begins; look at its numbers [bad-id]"
    ]


def test_many_animals_named_one_by_one_are_no_range(room: Path) -> None:
    """Nobody types thirteen names by a slip."""
    names = ", ".join(f"y-{number:02d}" for number in range(1, 14))
    assert hand_over(room, f"thu 12 nov\n{names} shed\n").stderr == ""
    assert len(rows(room)) == 13


def test_days_are_counted_from_the_day_that_is_said(room: Path) -> None:
    hand_over(room, "juno shed\nyesterday\nnyx shed\n", "--on", "2026-11-26")
    assert [row.split(",")[0] for row in rows(room)] == ["2026-11-26", "2026-11-25"]


def test_what_is_not_understood_is_told_and_holds_up_nothing_else(room: Path) -> None:
    """Each at its line, with what to do; the others are written, and the exit code says that something is left."""
    notes = (
        "thu 26 nov\ngolith 860\njuno shedd\nnyx\ngoliath 1.2 kg\ngoliath 1,215\nnothing new\ngoliath x nettle\npip x goliath lock\n"
        "nettel shed\ny-01..99 shed\nfri 26 nov\nnyx 900\npip 700\n31/13\n12 nov\ny-02 shed\npip laid 4\n"
    )
    result = hand_over(room, notes)
    assert result.exit_code == 1
    assert result.stderr.splitlines() == [
        "notes.txt:2:1: error: animal 'golith' has no record; the nearest is 'Goliath' (M-01) [unknown-animal]",
        "notes.txt:3:6: error: 'shedd' is no event of the log; the nearest is 'shed' [unknown-word]",
        (
            "notes.txt:4:1: error: 'nyx' is not understood; write one thing that happened on a line, such as `nyx refused`, a note in"
            " brackets, and a day on a line of its own [note-line]"
        ),
        "notes.txt:5:9: error: '1.2 kg' is not a weight in plain grams; write grams in digits, such as 1215 [log-value]",
        "notes.txt:6:9: error: '1,215' is not a weight in plain grams; write 1215 [log-value]",
        (
            "notes.txt:7:1: error: 'nothing new' is not understood; write an animal and what happened, such as `goliath 860` or"
            " `nyx refused` [note-line]"
        ),
        (
            "notes.txt:8:1: error: 'goliath x nettle' is not understood; write one thing that happened on a line, such as `goliath"
            " refused`, a note in brackets, and a day on a line of its own [note-line]"
        ),
        "notes.txt:9:1: error: 'F-02' and 'M-01' are both on record as male; correct the id or the sex [log-pair]",
        "notes.txt:10:1: error: animal 'nettel' has no record; the nearest is 'Nettle' (F-03) [unknown-animal]",
        "notes.txt:11:1: error: animal 'y-16' has no record; the nearest is 'Y-06' [unknown-animal]",
        "notes.txt:12:1: error: 2026-11-26 is a Thursday; correct the date or the day of the week (2 lines wait for it) [note-day]",
        "notes.txt:15:1: error: '31/13' is not in the calendar; look at the month and the day [note-day]",
        "notes.txt:18:1: error: 'laid' is said of 'F-02', who is on record as male; correct the id, the event or the sex [log-sex]",
    ]
    assert rows(room) == ["2026-11-12,Y-02,shed,,,"]


def test_each_animal_of_a_pair_that_is_not_known_is_named_by_itself(room: Path) -> None:
    """Whoever added a record for both as one would make an animal that never was."""
    result = hand_over(room, "20 nov\ngolith x nettel lock\ngoliath x nettel lock\n")
    assert result.stderr.splitlines()[:3] == [
        "notes.txt:2:1: error: animal 'golith' has no record; the nearest is 'Goliath' (M-01) [unknown-animal]",
        "notes.txt:2:10: error: animal 'nettel' has no record; the nearest is 'Nettle' (F-03) [unknown-animal]",
        "notes.txt:3:11: error: animal 'nettel' has no record; the nearest is 'Nettle' (F-03) [unknown-animal]",
    ]
    assert rows(room) == []


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (
            "juno died last night",
            "'died' is no event of the log; the command `died` writes it",
        ),
        ("juno sold", "'sold' is no event of the log; the command `sold` writes it"),
        ("juno refusd", "'refusd' is no event of the log; the nearest is 'refused'"),
    ],
)
def test_a_word_that_is_no_event_leaves_the_whole_line(room: Path, line: str, said: str) -> None:
    """With what to write instead."""
    result = hand_over(room, f"20 nov\n{line}\n")
    assert result.stderr.split("error: ")[1] == f"{said} [unknown-word]\n"
    assert rows(room) == []


def test_an_odd_line_is_held_back_as_a_whole(room: Path) -> None:
    """Nothing of it is written until the line is mended, or `--yes` says that it is right; the file may be handed over again as it is."""
    notes = (
        "2026-11-26\ngoliath 8600\nnyx 900\ny-01..13 shed\nnyx 910\njuno shed\njuno shed\n2026-12-24\njuno ate rat\n"
    )
    result = hand_over(room, notes)
    assert (result.exit_code, rows(room)) == (1, ["2026-11-26,F-01,weight,,900,", "2026-11-26,F-04,shed,,,"])
    assert result.stderr.splitlines() == [
        "notes.txt:2:1: warning: 8600 g for M-01, after 851 g on 2026-11-01; look at the digits, or add --yes if it is right [weight-odd]",
        "notes.txt:4:1: warning: these are 13 animals, y-01 to y-13; look at the range, or add --yes if it is right [log-wide]",
        (
            "notes.txt:5:1: warning: notes.txt, line 3, has 900 g for F-01 on that day already; correct it there if it was a slip, or add"
            " --yes if it is right [log-twice]"
        ),
        (
            "notes.txt:7:1: warning: the same row already stands in notes.txt, line 6; leave this one out if it happened once, or add --yes"
            " if it is right [log-twice]"
        ),
        (
            "notes.txt:9:1: warning: 2026-12-24 is in the future; it counts as written, so look at the year, or add --yes if it is right"
            " [future-date]"
        ),
    ]
    assert hand_over(room, notes, "--yes").exit_code == 0
    assert len(rows(room)) == 2 + 1 + 13 + 1 + 1 + 1
    before = rows(room)
    assert hand_over(room, notes, "--yes").stdout == "no row written, 19 entries stood there already, nothing left\n"
    assert rows(room) == before


def test_the_same_notes_twice_are_one_log(room: Path) -> None:
    """Also when the file grew, when its lines stand in another order, or when a note was added to a row by hand."""
    first = "fri 20 nov\ngoliath 860\nnyx ate rat\nnyx shed\n"
    hand_over(room, first)
    path = room / "log/2026.csv"
    path.write_text(
        path.read_text(encoding="utf-8").replace("F-01,shed,,,", "F-01,shed,,,left eye cap kept"), encoding="utf-8"
    )
    before = rows(room)
    assert hand_over(room, first).stdout == "no row written, 3 entries stood there already, nothing left\n"
    assert rows(room) == before
    grown = hand_over(
        room, "nyx refused\nfri 20 nov\nnyx shed\npip 700\ngoliath 860\nnyx ate rat\n", "--on", "2026-11-22"
    )
    assert rows(room) == [*before, "2026-11-22,F-01,refused,,,", "2026-11-20,F-02,weight,,700,"]
    assert grown.stdout.endswith("2 rows written, 3 entries stood there already, nothing left\n")


def test_a_row_of_the_log_stands_for_one_entry(room: Path) -> None:
    """One with a note besides for an entry without any; an entry with a note of its own is another."""
    hand_over(room, "fri 20 nov\nnyx shed (left eye cap kept)\njuno shed\n")
    again = hand_over(room, "fri 20 nov\nnyx shed\nnyx shed\njuno shed (in pieces)\n")
    assert again.stdout.endswith("2 rows written, 1 entry stood there already, nothing left\n")
    assert rows(room)[2:] == ["2026-11-20,F-01,shed,,,", "2026-11-20,F-04,shed,,,in pieces"]


def test_two_equal_entries_are_two_where_it_is_said_so(room: Path) -> None:
    """By --yes, or by a note that tells them apart; then handing over again adds nothing."""
    apart = "fri 20 nov\nnyx ate rat (morning)\nnyx ate rat (evening)\n"
    assert hand_over(room, apart).exit_code == 0
    assert hand_over(room, apart).stdout.startswith("no row written, 2 entries")
    third = apart + "nyx ate rat\nnyx ate rat\nnyx ate rat\n"
    hand_over(room, third, "--yes")
    assert len(rows(room)) == 5
    assert hand_over(room, third).stdout.startswith("no row written, 5 entries")


def test_notes_without_a_day_are_not_another_days_tomorrow(room: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Handed over again a day later they are told, not written; with a day said they are taken."""
    undated = "goliath 860\nyesterday\nnyx ate rat\n"
    hand_over(room, undated)
    assert [row[:10] for row in rows(room)] == ["2026-11-28", "2026-11-27"]
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(TODAY) + 86400))
    result = hand_over(room, "goliath 860\n")
    assert result.stderr == (
        "notes.txt:1:1: warning: no full date stands above this, and log/2026.csv has the same entry for 2026-11-28; if it happened again,"
        " write the date above it, such as 2026-11-29 [note-undated]\n"
    )
    assert len(rows(room)) == 2
    assert hand_over(room, "goliath 860\n", "--on", "today").exit_code == 0
    assert len(rows(room)) == 3


@pytest.mark.parametrize(
    "line",
    [
        *(
            "satuday 21 nov",
            "satuday",
            "21 novmber",
            "16th",
            "november",
            "mon 17th",
            "fri 20 nov evening",
            "# Satuday 21 nov",
        ),
        *("sta 21 nov", "31 nov", "fri 20 nov fed everyone", "the 20th of novembre", "saturday evening, 21 nov"),
        *("20 nov - goliath 870", "20 nov: nyx refused", "satuday nyx shed", "fri nyx shed", "31 nov nyx shed"),
    ],
)
def test_what_may_be_meant_as_a_day_holds_back_the_lines_below_it(room: Path, line: str) -> None:
    """They are not written to the day before it, and the next day that is understood ends it."""
    result = hand_over(room, f"thu 12 nov\nnyx refused\n{line}\nnyx shed\nfri 27 nov\njuno shed\n")
    assert rows(room) == ["2026-11-12,F-01,refused,,,", "2026-11-27,F-04,shed,,,"]
    assert [part for part in ("notes.txt:3:", "(1 line waits for it) [note-day]") if part not in result.stderr] == []
    assert result.stderr.count("\n") == 1


@pytest.mark.parametrize("line", [", goliath 870", "- - goliath 870", ": m-01 refused"])
def test_an_animal_behind_a_stray_mark_is_not_called_unknown(room: Path, line: str) -> None:
    """Nor is its name said to be another's as well: the line is not understood."""
    result = hand_over(room, f"{line}\nnyx refused\n")
    assert f"'{line.removeprefix('- ')}' is not understood" in result.stderr
    assert (result.stderr.count("\n"), rows(room)) == (1, ["2026-11-28,F-01,refused,,,"])


@pytest.mark.parametrize("name", ["april", "marsh"])
def test_a_short_name_near_a_month_and_a_figure_are_no_day(room: Path, name: str) -> None:
    """An animal that is not on record is told as one, and the lines below it do not wait."""
    result = hand_over(room, f"thu 12 nov\n{name} 900\nnyx refused\n")
    assert f"notes.txt:2:1: error: animal '{name}' has no record" in result.stderr
    assert rows(room) == ["2026-11-12,F-01,refused,,,"]


def test_a_line_that_cannot_be_read_waits_for_the_day_as_well(room: Path) -> None:
    result = hand_over(room, b"satuday\npip note gr\xfcn\nnyx shed\n")
    assert "(2 lines wait for it)" in result.stderr


def test_a_weekday_alone_is_the_first_after_the_date_above_it(room: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Not one by the day of handing over: a week later the same notes say the same. What each was read as is printed."""
    notes = "fri 20 nov\nnyx refused\nsat\nnyx ate rat\nmonday\nnyx shed\nthu\njuno shed\nwed 25th\npip shed\n"
    read = "sat: Saturday 2026-11-21\nmonday: Monday 2026-11-23\nthu: Thursday 2026-11-26\n"
    written = [
        *("2026-11-20,F-01,refused,,,", "2026-11-21,F-01,meal,,rat,", "2026-11-23,F-01,shed,,,"),
        *("2026-11-26,F-04,shed,,,", "2026-11-25,F-02,shed,,,"),
    ]
    assert hand_over(room, notes).stderr == read
    assert rows(room) == written
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(TODAY) + 7 * 86400))
    again = hand_over(room, notes)
    assert (again.stderr, again.stdout) == (read, "no row written, 5 entries stood there already, nothing left\n")
    assert rows(room) == written


def test_yesterday_below_a_date_is_not_by_that_date(room: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A day later it is another day, so what stands below it is held back."""
    notes = "fri 20 nov\ngoliath 860\nyesterday\nnyx ate rat\n"
    assert hand_over(room, notes).exit_code == 0
    assert [row[:10] for row in rows(room)] == ["2026-11-20", "2026-11-27"]
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(TODAY) + 86400))
    later = hand_over(room, notes)
    assert later.stdout == "no row written, 1 entry stood there already, 1 line left to look at\n"
    assert later.stderr.count("[note-undated]") == 1


def test_what_was_long_ago_is_in_no_entrys_way(room: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same weight a month and more later needs no date above it."""
    assert "note-undated" in hand_over(room, "goliath 851\n").stderr
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(TODAY) + 5 * 86400))
    assert hand_over(room, "goliath 851\n").exit_code == 0


def test_an_illness_counts_from_its_line_on_unless_that_is_held_back(room: Path) -> None:
    assert "[log-absent]" in hand_over(room, "sat 28 nov\nnettle quarantine\ngoliath x nettle lock\n").stderr
    held_back = hand_over(room, "sat 28 nov\njuno 900\njuno 9000\ngoliath x juno lock\n")
    assert [line.split("[")[-1] for line in held_back.stderr.splitlines()] == ["weight-odd]"]
    assert rows(room)[-1] == "2026-11-28,M-01,lock,F-04,,"


def test_days_without_any_date_are_held_back_a_week_later(room: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """They cannot be told from new ones; with a date said for all of them they can."""
    notes = "thu\nnyx ate rat\nfri\nnyx ate rat\nyesterday\nnyx shed\n"
    assert hand_over(room, notes).exit_code == 0
    assert [row[:10] for row in rows(room)] == ["2026-11-26", "2026-11-27", "2026-11-27"]
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(TODAY) + 7 * 86400))
    later = hand_over(room, notes)
    assert later.stderr.splitlines()[:3] == [
        *("thu: Thursday 2026-12-03", "fri: Friday 2026-12-04", "yesterday: Friday 2026-12-04"),
    ]
    assert later.stderr.count("[note-undated]") == 3
    assert len(rows(room)) == 3
    assert hand_over(room, notes, "--on", "today").exit_code == 0
    assert len(rows(room)) == 6


@pytest.mark.parametrize(
    "eaten", ["3 fuzzies", "60g rat", "60 g rat pup", "30 g f/t mouse", "45g fuzzy x2", "120 dead rat", "2 rats"]
)
def test_what_was_eaten_is_no_weight_of_the_snake(room: Path, eaten: str) -> None:
    """It was written as the snake's, and a page may tell that."""
    result = hand_over(room, f"27 nov\npip {eaten}\npip 860 (left the rat)\n")
    assert f"'{eaten}' is not a weight in plain grams" in result.stderr
    assert rows(room) == ["2026-11-27,F-02,weight,,860,left the rat"]


def test_a_count_is_no_animal_where_ids_are_numbers(room: Path) -> None:
    """`2 mice` told of snake 2, and the number of `9. refused` was the mark of a list; a day before an entry is not read as snake 6."""
    numbered = "".join(f"- {{id: {number}, hatched: 2024}}\n" for number in (2, 6, 9))
    (room / "animals/numbered.yaml").write_text(numbered, encoding="utf-8")
    lines = "9 ate 2 rat pups\npip fed 2 mice\n2 refused 3 times\n9. refused\n6) ate\n1. nyx shed\n"
    result = hand_over(room, f"20 nov\n{lines}")
    assert result.stderr == ""
    assert rows(room) == [
        "2026-11-20,9,meal,,2 rat pups,",
        "2026-11-20,F-02,meal,,2 mice,",
        "2026-11-20,2,refused,,3 times,",
        "2026-11-20,9,refused,,,",
        "2026-11-20,6,meal,,,",
        "2026-11-20,F-01,shed,,,",
    ]
    told = hand_over(room, "21 nov\npip ate, 6 too\npip ate rat and 6 too\n6 nov pip ate\n2 nov refused\n")
    assert told.stderr.count("is not understood") == 4
    assert len(rows(room)) == 6


def test_a_day_of_the_week_says_which_of_two_days_is_meant(room: Path) -> None:
    """Of 3 November and 11 March one alone is a Tuesday."""
    assert hand_over(room, "tue 3/11\nnyx refused\n").stderr == ""
    assert rows(room) == ["2026-11-03,F-01,refused,,,"]
    assert "may be 3 November or 11 March" in hand_over(room, "mon 3/11\nnyx shed\n").stderr


def test_what_comes_first_in_a_date_is_never_guessed(room: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It stands in collection.yaml, or is asked at a terminal, or is told; the lines below wait, and no others."""
    notes = "12/11\nnyx shed\n20 nov\npip shed\n3/11\njuno shed\n"
    told = hand_over(room, notes)
    why = "or say once `dates: day first`, or `month first`, in collection.yaml"
    assert told.stderr.splitlines() == [
        (
            f"notes.txt:1:1: error: '12/11' may be 12 November or 11 December; write 2026-11-12 or 2025-12-11, {why} (1 line waits for it)"
            " [note-day]"
        ),
        (
            f"notes.txt:5:1: error: '3/11' may be 3 November or 11 March; write 2026-11-03 or 2026-03-11, {why} (1 line waits for it)"
            " [note-day]"
        ),
    ]
    assert rows(room) == ["2026-11-20,F-02,shed,,,"]
    monkeypatch.setattr(writing, "at_terminal", lambda: True)
    asked = hand_over(room, notes, "--dry-run", typed="month\n")
    assert (
        "2025-12-11,F-01,shed,,,\n2026-03-11,F-04,shed,,,\n2 rows would be written, 1 entry stood there already"
        in asked.stdout
    )
    assert (asked.exit_code, "[note-day]" in asked.stderr) == (0, False)
    assert rows(room) == ["2026-11-20,F-02,shed,,,"]
    ROOM.write(
        room, {"collection.yaml": SETTINGS + "dates: day first\n", "log/2026.csv": (room / "log/2026.csv").read_bytes()}
    )
    assert hand_over(room, notes).exit_code == 0
    assert rows(room)[1:] == ["2026-11-12,F-01,shed,,,", "2026-11-03,F-04,shed,,,"]


def test_what_is_typed_or_pasted_is_taken_as_a_file_is(room: Path) -> None:
    done = CliRunner().invoke(
        main, ["log", "--from", "-", "--collection", str(room)], input="20 nov\nnyx shed\ngolith shed\n"
    )
    assert "notes:3:1: error: animal 'golith'" in done.stderr
    assert rows(room) == ["2026-11-20,F-01,shed,,,"]


def test_a_line_that_cannot_be_read_is_one_line(room: Path) -> None:
    """Another encoding, an invisible character; a byte order mark and Windows line ends are nothing."""
    raw = b"\xef\xbb\xbf20 nov\r\nnyx shed\r\npip note gr\xfcn\r\njuno no\xe2\x80\x8bte x\r\nnettle shed\r\n"
    result = hand_over(room, raw)
    assert [(line.split(":")[1], line.split("[")[-1]) for line in result.stderr.splitlines()] == [
        ("3", "not-utf8]"),
        ("4", "control-character]"),
    ]
    assert [row.split(",")[1] for row in rows(room)] == ["F-01", "F-03"]


def test_notes_of_no_sensible_size_are_told_once(room: Path) -> None:
    result = hand_over(room, b"nyx shed\n" + b" " * MAX_BYTES)
    assert (result.stderr.count("\n"), "[file-too-large]" in result.stderr, rows(room)) == (1, True, [])


@pytest.mark.parametrize("words", [["M-01"], [], ["--dry-run", "M-01", "shed"], ["M-01", "shed", "--from", "."]])
def test_half_a_command_is_wrong_usage(room: Path, words: list[str]) -> None:
    assert CliRunner().invoke(main, ["log", *words, "--collection", str(room)]).exit_code == 2


def test_every_word_that_is_understood_is_explained() -> None:
    """`explain meal` lists what is read as a meal, and nothing else; no word means two happenings."""
    documented = {entry.name: entry.also for entry in reference.entries() if reference.LOG_EVENT in entry.of}
    assert {word: event for event, words in documented.items() for word in words} == dict(ALSO)
    assert set(documented) == set(EVENTS)
    assert sum(map(len, documented.values())) == len(ALSO)
    assert not set(ALSO) & set(EVENTS)


# ---- a season


def season(seed: int) -> Iterator[tuple[date, str, str]]:
    """300 things that happen in a room: the day, a line as somebody types it in a hurry, and the careful command for it."""
    draw = random.Random(seed)
    grams = {name: 800 + 40 * at for at, name in enumerate(NAMES)}
    day = date(2025, 10, 1)
    used: set[tuple[object, ...]] = set()
    while len(used) < 300:
        day += timedelta(days=draw.randrange(2))
        name = draw.choice([*NAMES])
        called = draw.choice([name, NAMES[name], NAMES[name].upper(), name.lower()])
        kind = draw.choice(["weight", "weight", "meal", "meal", "meal", "refused", "shed", "lock", "note"])
        if kind == "lock":
            male, female = draw.choice(["M-01", "M-02", "F-02"]), draw.choice(["F-01", "F-03", "F-04"])
            line, words = f"{NAMES[male]} x {NAMES[female]} {draw.choice(['lock', 'locked'])}", f"{male}|lock|{female}"
            key: tuple[object, ...] = (day, male, kind, female)
        elif kind == "weight":
            grams[name] += draw.randrange(-9, 15)
            line, words = f"{called} {grams[name]}{draw.choice(['', 'g', ' g'])}", f"{name}|weight|{grams[name]}"
            key = day, name, kind
        elif kind == "meal":
            prey = draw.choice(["rat", "2 mice", "rat pup"])
            line, words = f"{called} {draw.choice(['ate', 'fed', 'meal'])} {prey}", f"{name}|meal|{prey}"
            key = day, name, kind
        elif kind == "note":
            line, words = f"{called} note calm, {len(used)}", f"{name}|note|calm, {len(used)}"
            key = day, name, kind, len(used)
        else:
            line, words = f"{called} {kind}", f"{name}|{kind}|"
            key = day, name, kind
        if key not in used:
            used.add(key)
            yield day, line, words


def slip(line: str, draw: random.Random) -> str | None:
    """The line with a slip of the finger in it that the program has to notice; None where none fits."""
    first, _, rest = line.partition(" ")
    if rest.rstrip(" g").isdigit():
        return f"{first} {rest.rstrip(' g')}0"
    if first.isalpha() and len(first) > 3:
        return f"{first[:2]}q{first[2:]} {rest}"
    return None


@pytest.mark.slow
def test_a_season_of_notes_with_mistakes_is_the_log_that_careful_typing_makes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """300 entries: handed over every few days, each time the whole season so far; a fifth with slips that are mended when they are told;
    some handed over twice or pasted again alone; and not one row more or less."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", TODAY)
    begun = HEADER + "".join(f"2025-09-28,{name},weight,,{800 + 40 * at},\n" for at, name in enumerate(NAMES))
    files = {"log/2025.csv": begun, "log/2026.csv": HEADER}
    hurried, careful = ROOM.write(tmp_path / "hurried/room", files), ROOM.write(tmp_path / "careful/room", files)
    entries = list(season(17))
    assert len(entries) == 300
    draw = random.Random(4)
    notes: list[tuple[date, str]] = []
    slipped = told = 0
    for at, (day, line, _) in enumerate(entries):
        wrong = slip(line, draw) if draw.random() < 0.25 else None
        slipped += wrong is not None
        notes.append((day, wrong or line))
        if draw.random() < 0.04 or at == len(entries) - 1:
            text = as_notes(notes)
            result = hand_over(hurried, text)
            wrongly = {int(one.split(":")[1]) for one in result.stderr.splitlines()}
            told += len(wrongly)
            lines = text.split("\n")
            for number in sorted(wrongly):
                assert lines[number - 1] not in [right for _, right, _ in entries]
            notes = [(day, right) for day, right, _ in entries[: at + 1]]
            if draw.random() < 0.5:
                assert hand_over(hurried, as_notes(notes)).exit_code == 0
                assert hand_over(hurried, as_notes(notes[-9:])).stdout.startswith("no row written")
    assert hand_over(hurried, as_notes(notes)).exit_code == 0
    assert slipped > 30
    assert told == slipped
    whole: dict[int, list[str]] = {}
    for day, _, words in entries:
        animal, event, value = words.split("|")
        cells = (animal, event, value if event == "lock" else "", "" if event in ("lock", "note") else value)
        quoted = f'"{value}"' if event == "note" else ""
        whole.setdefault(day.year, []).append(f"{day},{','.join(cells)},{quoted}\n")
    for year, added in whole.items():
        path = careful / f"log/{year}.csv"
        path.write_text(path.read_text(encoding="utf-8") + "".join(added), encoding="utf-8")
    assert in_log(hurried) == in_log(careful)
    assert len(in_log(hurried)) == 300 + len(NAMES)


def as_notes(entries: list[tuple[date, str]]) -> str:
    """With a line for each new day."""
    lines: list[str] = []
    last: date | None = None
    for day, line in entries:
        lines += [] if day == last else [f"{day:%a} {day.day} {day:%b %Y}"]
        lines.append(line)
        last = day
    return "\n".join(lines) + "\n"


# ---- kills

CALLS: list[tuple[object, str]] = [
    (os, "fsync"),
    (os, "replace"),
    (os, "link"),
    (Path, "chmod"),
    (Path, "unlink"),
    (Path, "mkdir"),
]
TWO_YEARS = "30 dec 2025\nnyx shed\npip 700\n2026-11-20\ngoliath 860\nnyx ate rat\n"


def killed_at(step: int, room: Path, *, after: bool) -> bool:
    """Hands the notes over in a process that ends at its n-th call that touches the disk, before or after it. False: it came to its end."""
    child = os.fork()
    if child == 0:
        left = step

        def dying(real: Callable[..., object]) -> Callable[..., object]:
            def call(*words: object, **more: object) -> object:
                nonlocal left
                left -= 1
                if left < 0 and not after:
                    os.kill(os.getpid(), signal.SIGKILL)
                done = real(*words, **more)
                if left < 0:
                    os.kill(os.getpid(), signal.SIGKILL)
                return done

            return call

        for where, name in CALLS:
            setattr(where, name, dying(getattr(where, name)))
        try:
            CliRunner().invoke(main, ["log", "--from", str(room.parent / "notes.txt"), "--collection", str(room)])
        finally:
            os._exit(0)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")
@pytest.mark.parametrize("after", [False, True])
def test_a_kill_at_any_write_loses_nothing_and_the_next_run_ends_it(room: Path, tmp_path: Path, *, after: bool) -> None:
    """Into two years, one of which has no file yet: every file is as it was or whole, and handed over again all stands there once."""
    (tmp_path / "notes.txt").write_text(TWO_YEARS, encoding="utf-8")
    whole = tmp_path / "whole/room"
    shutil.copytree(room, whole)
    hand_over(whole, TWO_YEARS)
    wanted = {path.name: path.read_bytes() for path in (whole / "log").iterdir()}
    old = {"2026.csv": (room / "log/2026.csv").read_bytes()}
    step = 0
    while True:
        again = tmp_path / f"at-{step}/room"
        shutil.copytree(room, again)
        (again.parent / "notes.txt").write_text(TWO_YEARS, encoding="utf-8")
        if not killed_at(step, again, after=after):
            break
        for path in (again / "log").glob("*.csv"):
            assert path.read_bytes() in (wanted[path.name], old.get(path.name))
        assert hand_over(again, TWO_YEARS).exit_code == 0
        assert {path.name: path.read_bytes() for path in (again / "log").iterdir()} == wanted
        step += 1
    assert step >= 8
