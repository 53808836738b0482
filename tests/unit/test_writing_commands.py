"""Commands that write only ever add: every old byte stays, comments and order with them, and on any doubt nothing is written."""

from __future__ import annotations

import os
import signal
import stat
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from contextlib import AbstractContextManager
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings, strategies as st
from tests.rooms import FAMILY, FAMILY_ANIMALS, HEADER, log

from clutchlight.cli import main
from clutchlight.editing import disk, starting, writing
from clutchlight.editing.clutches import write_hatched, write_laid
from clutchlight.editing.disk import WrittenFile
from clutchlight.editing.log import append_rows, file_of, rows_of
from clutchlight.editing.starting import start
from clutchlight.editing.writing import Original, check_keys, composed, items_into, keys_into
from clutchlight.model import Collection, When
from clutchlight.model.private import Private
from clutchlight.pipeline import open_book, read_everything
from clutchlight.problems import Place, RecordsError
from clutchlight.reading.ids import Known
from clutchlight.reading.log import males_in_log
from clutchlight.reading.text import Items, Table

DAY = date(2026, 11, 25)


def log_event(
    folder: Path,
    known: Known,
    animals: Sequence[str],
    event: str,
    value: str | None = None,
    *,
    on: date,
    note: str | None = None,
) -> WrittenFile:
    """What `log` writes of one happening that is not odd."""
    return append_rows(folder, known, file_of(on), rows_of(known, animals, event, value, on=on, note=note))


def refused(error: pytest.ExceptionInfo[RecordsError]) -> list[str]:
    return [problem.code for problem in error.value.problems]


def everything_in(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def names_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


# ---- log


def test_a_row_is_added_at_the_end_of_the_log_of_its_year(tmp_path: Path) -> None:
    """The old bytes are a prefix of the new ones, and the new row is the one asked for."""
    collection, _ = FAMILY.both(tmp_path, log("2026-11-01,M-01,meal,,rat,\n"))
    before = (tmp_path / "log/2026.csv").read_bytes()
    made = log_event(tmp_path, Known(collection), ["M-01", "M-02"], "weight", "1613", on=DAY)
    assert (tmp_path / "log/2026.csv").read_bytes() == before + made.text.encode()
    assert made.text == "2026-11-25,M-01,weight,,1613,\n2026-11-25,M-02,weight,,1613,\n"


def test_a_pairing_is_one_row_with_the_male_first(tmp_path: Path) -> None:
    """`log F-01,M-01 paired` writes M-01 with F-01."""
    collection, _ = FAMILY.both(tmp_path, {})
    made = log_event(tmp_path, Known(collection), ["F-01", "M-01"], "Pairing", on=DAY, note='quiet, "at last"')
    assert made.new
    assert made.text == HEADER + '2026-11-25,M-01,paired,F-01,,"quiet, ""at last"""\n'


@pytest.mark.parametrize(("first", "second"), [("M-01", "F-01"), ("F-01", "M-01"), ("m-01", "f-01"), ("F-01", "m-01")])
def test_the_other_animal_of_a_pairing_may_stand_behind_the_event(tmp_path: Path, first: str, second: str) -> None:
    """`log M-01 paired F-01` is the same row as `log M-01,F-01 paired`."""
    collection, _ = FAMILY.both(tmp_path, {})
    made = log_event(tmp_path, Known(collection), [first], "paired", second, on=DAY)
    private = read_everything(tmp_path).private
    assert private is not None
    assert [(row.animal, row.partner, row.value) for row in private.log] == [("M-01", "F-01", None)]
    assert made.text.count("\n") == 2


def test_one_animal_alone_may_be_parted(tmp_path: Path) -> None:
    """`log M-01 parted` needs nobody else, as in the file."""
    collection, _ = FAMILY.both(tmp_path, {})
    assert log_event(tmp_path, Known(collection), ["M-01"], "parted", on=DAY).text.endswith("M-01,parted,,,\n")


@pytest.mark.parametrize(
    ("animals", "event", "value", "said"),
    [
        (["M-01"], "paired", None, "'paired' does not say with whom; name both: `log M-01,OTHER paired`"),
        (
            ["M-01"],
            "lock",
            "all night",
            "animal 'all night' has no record; add a record for it in animals/; words about a pairing go behind --note",
        ),
        (
            ["M-01"],
            "parted",
            "F-09",
            "animal 'F-09' has no record; the nearest is 'F-01'; words about a pairing go behind --note",
        ),
        (["M-01", "F-01", "F-02"], "paired", None, "'paired' takes two animals, a male and a female; 3 are named"),
        (["M-09"], "meal", "rat", "animal 'M-09' has no record; the nearest is 'M-01'"),
        (["M-01"], "weight", None, "a weight has no figure; write the grams as its value, such as 1215"),
    ],
)
def test_a_mistake_on_the_command_line_is_told_of_the_command_line(
    tmp_path: Path, animals: Sequence[str], event: str, value: str | None, said: str
) -> None:
    """No file, line or column is named for a row that was never written."""
    collection, _ = FAMILY.both(tmp_path, log("2026-11-01,M-01,meal,,rat,\n"))
    with pytest.raises(RecordsError) as error:
        log_event(tmp_path, Known(collection), animals, event, value, on=DAY)
    (problem,) = error.value.problems
    assert str(problem) == f"what you typed: error: {said} [{problem.code}]"


@pytest.mark.parametrize(
    "raw",
    [
        b"date;animal;event;with;value;note\r\n2026-11-01;M-01;meal;;rat;\r\n",
        b"\xef\xbb\xbfevent,animal,date,value\n# since the vet\nmeal,M-01,2026-11-01,rat",
        b"date\tanimal\tevent\twith\tvalue\tnote\n\n\n",
        b'date,animal,event,with,value,note\n2026-11-01,M-01,note,,,"two\nlines"\n,,,,,\n',
    ],
)
def test_a_row_is_written_in_the_files_own_manner(tmp_path: Path, raw: bytes) -> None:
    """Separator, columns, line ends, byte order mark and a missing last line end are kept to; the row reads back."""
    collection, _ = FAMILY.both(tmp_path, {"log/2026.csv": raw})
    log_event(tmp_path, Known(collection), ["M-01"], "weight", "1613", on=DAY)
    now = (tmp_path / "log/2026.csv").read_bytes()
    assert now.startswith(raw)
    assert (b"\r\n" in now[len(raw) :]) == (b"\r\n" in raw)
    private = read_everything(tmp_path).private
    assert private is not None
    assert (private.log[-1].event, str(private.log[-1].on), private.log[-1].number) == (
        "weight",
        "2026-11-25",
        Fraction(1613),
    )


@pytest.mark.parametrize(
    ("animals", "event", "value", "code"),
    [
        (["M-09"], "meal", None, "unknown-animal"),
        (["M-01"], "meel", None, "unknown-word"),
        (["M-01"], "weight", None, "log-value"),
        (["M-01"], "weight", "heavy", "log-value"),
        (["M-01"], "paired", None, "log-pair"),
        (["M-01", "M-02"], "paired", None, "log-pair"),
        (["M-01", "F-01", "F-02"], "paired", None, "log-pair"),
        (["M-01"], "ovulation", None, "log-sex"),
        (["M-01"], "note", "bell \x07", "control-character"),
        (["M-01"], "note", "half a pair \udc80", "not-utf8"),
        ([], "meal", None, "missing-key"),
    ],
)
def test_a_row_that_would_not_hold_is_refused_whole(
    tmp_path: Path, animals: Sequence[str], event: str, value: str | None, code: str
) -> None:
    """A mistake in what was asked for is named, and no byte of the folder changes."""
    collection, _ = FAMILY.both(tmp_path, log("2026-11-01,M-01,meal,,rat,\n"))
    before = everything_in(tmp_path)
    with pytest.raises(RecordsError) as error:
        log_event(tmp_path, Known(collection), animals, event, value, on=DAY)
    assert refused(error) == [code]
    assert everything_in(tmp_path) == before


@pytest.mark.parametrize(
    "raw",
    [
        b"date,animal,event,with,value,note\n2026-11-01,M-09,meal,,rat,\n",
        b'date,animal,event,with,value,note\n2026-11-01,M-01,note,,,"open\n',
        b"when,who,what\n",
        b"date,animal,event\n2026-11-01,M-01,note \xff\n",
        b"date,animal,event\r2026-11-01,M-01,meal\r",
        b"date,animal,event\n",
    ],
)
def test_a_log_in_doubt_is_not_added_to(tmp_path: Path, raw: bytes) -> None:
    """A file with mistakes, in another encoding, with old line ends or without the needed column stays as it is."""
    collection, _ = FAMILY.both(tmp_path, {})
    FAMILY.write(tmp_path, {"log/2026.csv": raw})
    with pytest.raises(RecordsError):
        log_event(tmp_path, Known(collection), ["M-01"], "weight", "1613", on=DAY)
    assert (tmp_path / "log/2026.csv").read_bytes() == raw


def test_a_link_out_of_the_collection_is_not_followed(tmp_path: Path) -> None:
    """log/2026.csv that points at a file elsewhere is refused, and that file stays as it is."""
    collection, _ = FAMILY.both(tmp_path / "room", {})
    outside = tmp_path / "outside.csv"
    outside.write_text(HEADER)
    (tmp_path / "room/log").mkdir()
    (tmp_path / "room/log/2026.csv").symlink_to(outside)
    with pytest.raises(RecordsError) as error:
        log_event(tmp_path / "room", Known(collection), ["M-01"], "meal", on=DAY)
    assert refused(error) == ["cannot-write"]
    assert outside.read_text() == HEADER


def test_a_file_keeps_its_mode(tmp_path: Path) -> None:
    """A log that only its owner may read stays so."""
    collection, _ = FAMILY.both(tmp_path, log(""))
    path = tmp_path / "log/2026.csv"
    path.chmod(0o600)
    log_event(tmp_path, Known(collection), ["M-01"], "meal", "rat", on=DAY)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_failure_at_the_last_moment_leaves_the_old_file_and_no_litter(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When taking over the name fails, the old bytes stand and no temporary file is left."""
    collection, _ = FAMILY.both(tmp_path, log("2026-11-01,M-01,meal,,rat,\n"))
    before = everything_in(tmp_path)

    def fails(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", fails)
    with pytest.raises(RecordsError) as error:
        log_event(tmp_path, Known(collection), ["M-01"], "meal", "rat", on=DAY)
    assert refused(error) == ["cannot-write"]
    assert everything_in(tmp_path) == before


def test_a_file_saved_meanwhile_is_not_overwritten(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What an editor saves between our reading and our writing wins; we write nothing."""
    collection, _ = FAMILY.both(tmp_path, log("2026-11-01,M-01,meal,,rat,\n"))
    path = tmp_path / "log/2026.csv"
    saved = path.read_bytes() + b"2026-11-02,M-02,meal,,rat,\n"
    real = disk.temporary

    def saves_first(folder: Path, content: bytes, mode: int) -> AbstractContextManager[Path]:
        path.write_bytes(saved)
        return real(folder, content, mode)

    monkeypatch.setattr(writing, "temporary", saves_first)
    with pytest.raises(RecordsError):
        log_event(tmp_path, Known(collection), ["M-01"], "meal", "rat", on=DAY)
    assert path.read_bytes() == saved


def test_a_name_taken_at_the_last_moment_is_not_overwritten(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A new file is made under its name only if nobody else took it, with links or without them."""
    (tmp_path / "clutches").mkdir()
    taken = tmp_path / "clutches/C26-02.md"
    taken.write_text("mine")
    with pytest.raises(RecordsError):
        writing.create(tmp_path, "clutches/C26-02.md", "theirs")

    def no_links(*_: object) -> None:
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr(os, "link", no_links)
    with pytest.raises(RecordsError):
        writing.create(tmp_path, "clutches/C26-02.md", "theirs")
    assert taken.read_text() == "mine"
    assert writing.create(tmp_path, "clutches/C26-03.md", "new\n").new
    assert names_in(tmp_path / "clutches") == ["C26-02.md", "C26-03.md"]


def test_a_name_that_is_taken_first_is_given_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without links: nothing half written, and nothing empty either."""

    def fails(*_: object) -> None:
        raise OSError(28, "No space left on device")

    (tmp_path / "clutches").mkdir()
    monkeypatch.setattr(os, "link", fails)
    monkeypatch.setattr(os, "replace", fails)
    with pytest.raises(RecordsError):
        writing.create(tmp_path, "clutches/C26-03.md", "new\n")
    assert names_in(tmp_path / "clutches") == []


KILLED_WHILE_WRITING = """
import os, signal, sys
from pathlib import Path
from clutchlight.editing import disk, starting, writing
if sys.argv[1] == "log":
    os.replace = lambda *_: os.kill(os.getpid(), signal.SIGKILL)
    writing.add(Path(sys.argv[2]), writing.original(Path(sys.argv[2]), "log/2026.csv"), 0, "# ")
elif sys.argv[1] == "record":
    os.link = lambda *_: os.kill(os.getpid(), signal.SIGKILL)
    writing.create(Path(sys.argv[2]), "clutches/C26-09.md", "new")
else:
    real, left = Path.write_bytes, 4
    def dies(path, content):
        global left
        left -= 1
        if left < 0:
            real(path, content[:40])
            os.kill(os.getpid(), signal.SIGKILL)
        return real(path, content)
    Path.write_bytes = dies
    starting.start(Path(sys.argv[2]))
"""


def killed(*what: object) -> None:
    """A command that is killed in the middle."""
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    done = subprocess.run([sys.executable, "-c", KILLED_WHILE_WRITING, *map(str, what)], env=environment, check=False)
    assert done.returncode == -signal.SIGKILL


def leftovers(folder: Path) -> list[Path]:
    return sorted(folder.rglob(".clutchlight-*"))


needs_kill = pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")


@pytest.mark.slow
@needs_kill
def test_what_a_killed_command_left_the_next_one_clears(tmp_path: Path) -> None:
    """Wherever records lie; not what another command is writing at this moment, nor what only has a like name."""
    collection, _ = FAMILY.both(tmp_path, log("2026-11-01,M-01,meal,,rat,\n"))
    before = everything_in(tmp_path)
    killed("log", tmp_path)
    killed("record", tmp_path)  # which cleared what the other had left
    assert [path.parent.name for path in leftovers(tmp_path)] == ["clutches"]
    mine = tmp_path / "log/.clutchlight-mine.part"
    mine.write_text("mine", encoding="utf-8")
    with disk.temporary(tmp_path / "log", b"at work", 0o600) as at_work:
        disk.clear_leftovers(tmp_path)
        assert leftovers(tmp_path) == sorted([mine, at_work])
    assert leftovers(tmp_path) == [mine]
    mine.unlink()
    assert everything_in(tmp_path) == before
    killed("log", tmp_path)
    log_event(tmp_path, Known(collection), ["M-01"], "meal", "rat", on=DAY)
    assert leftovers(tmp_path) == []


@pytest.mark.slow
@needs_kill
def test_a_build_clears_it_too(tmp_path: Path) -> None:
    starting.start(tmp_path / "room")
    (tmp_path / "room/log/2024.csv").rename(tmp_path / "room/log/2026.csv")
    killed("record", tmp_path / "room")
    assert leftovers(tmp_path)
    assert CliRunner().invoke(main, ["build", str(tmp_path / "room"), "--dry-run"]).exit_code == 0
    assert leftovers(tmp_path)
    assert CliRunner().invoke(main, ["build", str(tmp_path / "room"), "--out", str(tmp_path / "site")]).exit_code == 0
    assert leftovers(tmp_path) == []


@pytest.mark.slow
@needs_kill
@pytest.mark.parametrize("mine", ["", "animals/M-01.md", "letter.txt", "animals/letter/a.txt"])
def test_a_killed_start_can_be_started_again(tmp_path: Path, mine: str) -> None:
    """In its place, unless somebody put something of their own there since."""
    room = tmp_path / "room"
    killed("start", room)
    assert not (room / "collection.yaml").exists()
    if not mine:
        starting.start(room)
        assert open_book(room).problems == ()
        assert names_in(tmp_path) == ["room"]
        return
    (room / mine).parent.mkdir(exist_ok=True)
    (room / mine).write_text("mine", encoding="utf-8")
    with pytest.raises(RecordsError, match="folder-taken"):
        starting.start(room)
    assert (room / mine).read_text(encoding="utf-8") == "mine"


# Old logs as people leave them: rows, comments, blank lines, notes with anything in them, either line end, with or without a last one.
NOTE = st.text(alphabet=st.sampled_from(list('ab ,;"#éß—\n')), max_size=15)
OLD_ROW = st.one_of(
    st.builds(
        lambda day, note: f'2026-01-{day:02d},M-01,note,,,"{note.replace(chr(34), chr(34) * 2)}"',
        st.integers(1, 28),
        NOTE,
    ),
    st.sampled_from(
        ["", ",,,,,", "# week 3: all well", '2026-02-03,M-02,meal,,5" rat,', "2026-02-04,M-01,paired,F-01,,"]
    ),
)


@pytest.mark.slow
@settings(max_examples=25)
@given(
    st.lists(OLD_ROW, max_size=6),
    st.sampled_from(["\n", "\r\n"]),
    st.booleans(),
    st.booleans(),
    st.lists(
        st.tuples(st.sampled_from(["M-01", "F-01"]), st.sampled_from(["meal", "note", "weight", "shed"]), NOTE),
        min_size=1,
        max_size=3,
    ),
)
def test_under_any_edits_a_log_only_grows(
    rows: list[str], end: str, marked: bool, ended: bool, asked: list[tuple[str, str, str]]
) -> None:
    """Over any series of `log` commands on any old log: the old bytes are a prefix, old rows read the same, nothing is lost."""
    text = HEADER + "\n".join(rows) + ("\n" if ended else "")
    raw = (b"\xef\xbb\xbf" if marked else b"") + text.replace("\n", end).encode()
    with tempfile.TemporaryDirectory() as name:
        folder = FAMILY.write(Path(name), {"log/2026.csv": raw})
        first = read_everything(folder)
        assert first.collection is not None
        assert first.private is not None
        path, seen, known = folder / "log/2026.csv", list(first.private.log), Known(first.collection)
        for animal, event, words in asked:
            before = path.read_bytes()
            try:
                made = log_event(folder, known, [animal], event, "1500" if event == "weight" else words or None, on=DAY)
            except RecordsError:
                assert path.read_bytes() == before
                continue
            assert path.read_bytes().startswith(before)
            assert path.read_bytes() == before + made.text.replace("\n", end).encode()
            now = read_everything(folder).private
            assert now is not None
            assert list(now.log)[: len(seen)] == seen
            assert len(now.log) == len(seen) + 1
            seen = list(now.log)
        assert names_in(folder / "log") == ["2026.csv"]


# ---- laid

PAIRINGS = """2025-11-20,M-02,paired,F-01,,
2026-10-10,M-01,paired,F-02,,
2026-10-11,M-01,lock,F-02,,
2026-10-24,M-03,paired,F-02,,
2025-12-01,M-02,paired,F-02,,
"""


def both(folder: Path, rows: str) -> tuple[Collection, Private]:
    """The records with these rows; that they put other males with a dam than her clutch names is only warned of."""
    result = read_everything(FAMILY.write(folder, log(rows)))
    assert {problem.code for problem in result.problems} <= {"sire-not-in-log"}
    assert result.collection is not None
    assert result.private is not None
    return result.collection, result.private


def test_a_clutch_names_every_male_of_the_window(tmp_path: Path) -> None:
    """Two males this season: both are written, as one of the two; the one from last winter is named in a comment."""
    made = write_laid(FAMILY.book(tmp_path, log(PAIRINGS)), "F-02", on=date(2027, 2, 1), eggs=6, slugs=1)
    assert made.file == "clutches/C27-01.md"
    assert "\nsire: [M-01, M-03]\ndam: F-02\nlaid: 2027-02-01\neggs: 6\nslugs: 1\n---\n" in made.text
    assert "# M-01 was with her between 2026-10-10 and 2026-10-11, a lock was seen.\n" in made.text
    assert "# M-03 was with her 2026-10-24, no lock was logged.\n" in made.text
    assert "# Earlier: M-02 was with her 2025-12-01, no lock was logged.\n" in made.text
    assert "# A female can store sperm for months, in some snakes for years: an earlier male may count.\n" in made.text
    assert [line for line in made.text.splitlines() if "source" in line or '"' in line] == []
    again = read_everything(tmp_path).collection
    assert again is not None
    assert [str(chance) for _, chance in again.clutches["C27-01"].sires.candidates] == ["1/2", "1/2"]


def test_pairings_before_her_last_clutch_are_of_an_earlier_window(tmp_path: Path) -> None:
    """F-01 laid in May 2026: a pairing of that winter no longer counts as this season's, however short the gap."""
    collection, private = both(tmp_path, "2026-05-10,M-02,paired,F-01,,\n2026-06-01,M-01,paired,F-01,,\n")
    inside, before = males_in_log(private.log, collection, "F-01", date(2026, 8, 1))
    assert ([one.male for one in inside], [one.male for one in before]) == (["M-01"], ["M-02"])


def test_the_window_ends_at_laying_and_begins_after_her_last_clutch(tmp_path: Path) -> None:
    """A male put with her after she laid is no sire; one of the very day of her last laying is of the earlier window."""
    rows = "2026-05-16,M-02,paired,F-01,,\n2026-05-17,M-03,paired,F-01,,\n2026-08-02,M-01,paired,F-01,,\n"
    collection, private = both(tmp_path, rows)
    inside, before = males_in_log(private.log, collection, "F-01", date(2026, 8, 1))
    assert ([one.male for one in inside], [one.male for one in before]) == (["M-03"], ["M-02"])


def test_the_id_of_a_clutch_follows_our_own(tmp_path: Path) -> None:
    """Not those of another keeper, though theirs are newer."""
    theirs = "{id: J27-01, sire: M-01, dam: F-01, laid: 2027-01-01, eggs: 3, reported_by: Joss}\n"
    book = FAMILY.book(tmp_path, {"clutches/theirs.yaml": theirs})
    assert write_laid(book, "F-02", on=date(2027, 2, 1)).file == "clutches/C27-01.md"


@pytest.mark.parametrize(("laid", "counts"), [(date(2026, 7, 7), True), (date(2026, 7, 8), False)])
def test_the_window_is_270_days(tmp_path: Path, laid: date, counts: bool) -> None:
    """A pairing of 2025-10-10 is 270 days before 2026-07-07 (common practice, no source)."""
    collection, private = both(tmp_path, "2025-10-10,M-01,paired,F-02,,\n")
    inside, before = males_in_log(private.log, collection, "F-02", laid)
    assert (len(inside), len(before)) == ((1, 0) if counts else (0, 1))


def test_without_a_male_in_the_log_the_sire_is_unknown(tmp_path: Path) -> None:
    """The record says so in a comment, and guesses nothing."""
    made = write_laid(FAMILY.book(tmp_path, {}), "F-02", on=date(2027, 2, 1))
    assert "\nsire: unknown\n" in made.text
    assert "The log puts no male with F-02 in the 270 days before laying." in made.text


@pytest.mark.parametrize("rows", ["2026-02-10,M-01,lock,F-02,,\n", ""])
def test_a_clutch_of_a_dam_that_was_out_on_loan_says_that_the_log_does_not_know_with_whom(
    tmp_path: Path, rows: str
) -> None:
    """The males of the log are written as ever; where it has none the sire is unknown already."""
    lent = FAMILY_ANIMALS.replace("{id: F-02,", "{id: F-02, left: {how: loan, on: 2026-03-15, back: 2026-05-20},")
    made = write_laid(FAMILY.book(tmp_path, {"animals/all.yaml": lent, **log(rows)}), "F-02", on=date(2026, 6, 1))
    unknown = "# Where somebody may have been, add `unknown` to `sire`.\nsire: M-01\n" if rows else "sire: unknown\n"
    away = "# She was on loan from 2026-03-15 to 2026-05-20: who was with her there is not in the log.\n"
    assert f"{away}{unknown}" in made.text
    assert read_everything(tmp_path).problems == ()


def test_a_male_from_before_her_last_clutch_is_not_denied(tmp_path: Path) -> None:
    """Sixty days before her first clutch and 205 before the second: the log has him, and only since that clutch nobody."""
    rows = {
        **log("2026-01-10,M-01,paired,F-02,,\n"),
        "clutches/C26-02.yaml": "{id: C26-02, sire: M-01, dam: F-02, laid: 2026-03-11, eggs: 4}\n",
    }
    made = write_laid(FAMILY.book(tmp_path, rows), "F-02", on=date(2026, 8, 3))
    assert "# The log puts no male with F-02 since her last clutch.\n" in made.text
    assert "# Earlier: M-01 was with her 2026-01-10" in made.text


def test_one_that_was_with_a_female_is_no_dam(tmp_path: Path) -> None:
    """Laying would make a female of one whose sex is not known, and the row of the log would no longer hold."""
    records = {"animals/X.yaml": "- {id: X-1, hatched: 2024}\n", **log("2026-10-10,F-02,paired,X-1,,\n")}
    room = FAMILY.book(tmp_path, records)
    with pytest.raises(RecordsError, match="this row has 'X-1' with 'F-02', a female, so it cannot be a dam"):
        write_laid(room, "X-1", on=date(2027, 2, 1))
    assert not (tmp_path / "clutches/C27-01.md").exists()


@pytest.mark.parametrize(
    ("dam", "on", "name", "code"),
    [
        ("F-09", date(2027, 2, 1), None, "unknown-animal"),
        ("M-01", date(2027, 2, 1), None, "parent-sex"),
        ("F-01", date(2026, 5, 20), None, "cannot-write"),
        ("F-02", date(2027, 2, 1), "c26-01", "duplicate-id"),
        ("F-02", date(2027, 2, 1), "../x", "bad-id"),
    ],
)
def test_a_doubtful_laying_is_refused(tmp_path: Path, dam: str, on: date, name: str | None, code: str) -> None:
    """No such dam, a male, a clutch that is on record already, an id that is taken or no id: nothing is written."""
    room = FAMILY.book(tmp_path, {})
    before = everything_in(tmp_path)
    with pytest.raises(RecordsError) as error:
        write_laid(room, dam, on=on, name=name)
    assert refused(error) == [code]
    assert everything_in(tmp_path) == before


# ---- hatched

OPEN = """---
# our hope of the year
id: C26-02
sire: M-01   # the only one with her
dam: F-02
laid: 2026-09-30
eggs: 5
---
Prose --- stays.
"""


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("marked", [True, False])
def test_hatching_adds_lines_to_the_record_and_changes_none(tmp_path: Path, end: str, marked: bool) -> None:
    """Taking the new lines out gives the old file, byte for byte: comments, order, prose, line ends, mark."""
    raw = (b"\xef\xbb\xbf" if marked else b"") + OPEN.replace("\n", end).encode()
    collection, _ = FAMILY.both(tmp_path, {"clutches/C26-02.md": raw})
    made = write_hatched(
        tmp_path,
        collection,
        "C26-02",
        on=When.day(date(2026, 11, 25)),
        went_bad=1,
        possible=["normal", "Pastel  Piebald"],
    )
    now = (tmp_path / "clutches/C26-02.md").read_bytes()
    added = made.text.replace("\n", end).encode()
    assert now.replace(added, b"") == raw
    assert made.text == (
        "hatched: 2026-11-25\nwent_bad: 1\n"
        "# Behind each number: sex (m, f), then every look seen, or normal; for example 1 f normal.\n"
        "# Possible looks of this clutch, by the records:\n#   normal\n#   Pastel Piebald\n"
        "young:\n  - 1 unknown\n  - 2 unknown\n  - 3 unknown\n  - 4 unknown\n"
    )
    result = read_everything(tmp_path)
    assert result.problems == ()
    assert result.collection is not None
    assert result.collection.clutches["C26-02"].young == ("C26-02-1", "C26-02-2", "C26-02-3", "C26-02-4")
    assert result.collection.animals["C26-02-1"].reading is None


def test_a_yaml_record_without_a_last_line_end_is_added_to(tmp_path: Path) -> None:
    """The new keys begin on a line of their own."""
    collection, _ = FAMILY.both(tmp_path, {"clutches/C26-02.yaml": "id: C26-02\nsire: M-01\ndam: F-02\neggs: 2"})
    write_hatched(tmp_path, collection, "C26-02", on=When.day(DAY))
    assert read_everything(tmp_path).problems == ()


@pytest.mark.parametrize(
    ("clutch", "text", "young", "code"),
    [
        ("C26-09", OPEN, None, "unknown-clutch"),
        ("C26-01", OPEN, None, "cannot-write"),
        ("C26-02", OPEN, 4, "egg-count"),
        ("C26-02", OPEN, 6, "egg-count"),
        ("C26-02", OPEN.replace("eggs: 5\n", ""), None, "cannot-write"),
        ("C26-02", OPEN.replace("eggs: 5", "eggs: 5\nhatched:"), None, "cannot-write"),
        ("C26-02", "---\n{id: C26-02, sire: M-01, dam: F-02, eggs: 5}\n---\n", None, "cannot-write"),
        ("C26-02", "---\n  id: C26-02\n  sire: M-01\n  dam: F-02\n  eggs: 5\n---\n", None, "cannot-write"),
        ("C26-02", OPEN.replace("2026-09-30", "2026-12-30"), None, "cannot-write"),
    ],
)
def test_a_doubtful_hatching_is_refused(tmp_path: Path, clutch: str, text: str, young: int | None, code: str) -> None:
    """Unknown or hatched already, eggs that do not add up, a record in braces, a date before laying: nothing is written."""
    collection, _ = FAMILY.both(tmp_path, {"clutches/C26-02.md": text})
    before = everything_in(tmp_path)
    with pytest.raises(RecordsError) as error:
        write_hatched(tmp_path, collection, clutch, on=When.day(DAY), young=young)
    assert refused(error) == [code]
    assert everything_in(tmp_path) == before


def test_a_clutch_in_a_list_is_left_to_its_writer(tmp_path: Path) -> None:
    """A file with several clutches is refused rather than guessed into."""
    collection, _ = FAMILY.both(tmp_path, {"clutches/more.yaml": "- {id: C26-02, sire: M-01, dam: F-02, eggs: 2}\n"})
    with pytest.raises(RecordsError) as error:
        write_hatched(tmp_path, collection, "C26-02", on=When.day(DAY))
    assert refused(error) == ["cannot-write"]


KEY_LINE = st.sampled_from(
    [
        "# a comment",
        "",
        "name: \"A 'name'\"",
        "slugs: 1   # counted twice",
        "photos: []",
        "set_aside:",
        "private: {note: a, b: c}",
    ]
)


@pytest.mark.slow
@settings(max_examples=15)
@given(st.lists(KEY_LINE, max_size=5, unique=True), st.sampled_from(["\n", "\r\n"]), st.text("ab-\n# ", max_size=20))
def test_under_any_record_hatching_keeps_every_old_byte(lines: list[str], end: str, prose: str) -> None:
    """Whatever else the record holds, it is the old bytes with one piece put in, or it is refused untouched."""
    keys = ["id: C26-02", "sire: M-01", "dam: F-02", "eggs: 3", *lines]
    raw = ("---\n" + "\n".join(keys) + "\n---\n" + prose).replace("\n", end).encode()
    with tempfile.TemporaryDirectory() as name:
        folder = FAMILY.write(Path(name), {"clutches/C26-02.md": raw})
        collection = read_everything(folder).collection
        if collection is None:
            return
        path = folder / "clutches/C26-02.md"
        try:
            made = write_hatched(folder, collection, "C26-02", on=When.day(DAY))
        except RecordsError:
            assert path.read_bytes() == raw
            return
        now, added = path.read_bytes(), made.text.replace("\n", end).encode()
        at = now.index(added)
        assert now[:at] + now[at + len(added) :] == raw
        again = read_everything(folder)
        assert again.problems == ()


# ---- start


def test_a_new_collection_is_whole_and_without_a_mistake(tmp_path: Path) -> None:
    """`start` makes a collection that checks clean; its example's two sides both read."""
    folder = tmp_path / "new"
    start(folder, 'The "Heath" room')
    result = read_everything(folder, today=DAY)
    assert result.problems == ()
    assert result.collection is not None
    assert result.private is not None
    assert result.collection.settings.name == 'The "Heath" room'
    assert (len(result.collection.animals), len(result.collection.clutches), len(result.private.log)) == (6, 1, 7)


def test_two_new_collections_differ_in_their_id_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The collection's id is the one thing drawn at random."""
    start(tmp_path / "a")
    start(tmp_path / "b")
    one, two = everything_in(tmp_path / "a"), everything_in(tmp_path / "b")
    assert [name for name in one if one[name] != two[name]] == ["collection.yaml"]
    monkeypatch.setattr(starting, "uuid4", lambda: "3f6c2f0e-8b1d-4c52-9d4e-0a7b1c2d3e4f")
    start(tmp_path / "c")
    start(tmp_path / "d")
    assert everything_in(tmp_path / "c") == everything_in(tmp_path / "d")


def test_a_folder_in_use_is_refused(tmp_path: Path) -> None:
    """A folder that holds anything, even something hidden, is left alone; an empty one is taken."""
    (tmp_path / "used").mkdir()
    (tmp_path / "used/.hidden").write_text("x")
    (tmp_path / "file").write_text("x")
    (tmp_path / "empty").mkdir()
    for name in ("used", "file"):
        with pytest.raises(RecordsError) as error:
            start(tmp_path / name)
        assert refused(error) == ["folder-taken"]
    start(tmp_path / "empty")
    assert names_in(tmp_path) == ["empty", "file", "used"]
    assert names_in(tmp_path / "used") == [".hidden"]


def test_the_folder_one_stands_in_is_called_by_its_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`start .` in a new folder fills it, without taking it from under the shell; again, it is refused by the folder's name."""
    room = tmp_path / "my room"
    room.mkdir()
    monkeypatch.chdir(room)
    start(Path())
    assert (Path() / "collection.yaml").is_file()
    assert [name for name in names_in(room) if name.startswith(".clutchlight")] == []
    assert read_everything(room, today=DAY).problems == ()
    with pytest.raises(RecordsError) as error:
        start(Path())
    assert [str(problem) for problem in error.value.problems] == [
        "my room: error: something is in this folder already; name one that is new or empty [folder-taken]"
    ]


def test_what_cannot_be_filled_can_be_begun_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the last file cannot be written, a new folder goes again, and one that stood can still be filled."""
    (tmp_path / "room").mkdir()
    real = Path.write_bytes

    def fails(self: Path, content: bytes) -> int:
        if self.name == "collection.yaml":
            raise OSError(28, "No space left on device")
        return real(self, content)

    with monkeypatch.context() as full:
        full.setattr(Path, "write_bytes", fails)
        for name in ("room", "new"):
            with pytest.raises(RecordsError) as error:
                start(tmp_path / name)
            assert refused(error) == ["cannot-write"]
    assert names_in(tmp_path) == ["room"]
    start(tmp_path / "room")
    assert read_everything(tmp_path / "room", today=DAY).problems == ()


def test_what_would_change_another_key_is_not_added(tmp_path: Path) -> None:
    """One key that would read otherwise is enough; what only adds keys is let through."""
    text = "id: C1\neggs: 4\nslugs: 1\n"
    found = Original("clutches/C1.yaml", tmp_path / "C1.yaml", text.encode(), text, "\n")
    place, keys = Place("clutches/C1.yaml", 1, 1), {"hatched": "2026-07-01"}
    check_keys(found, len(text), "hatched: 2026-07-01\n", place, keys)
    for at, added in (
        (text.index("\nslugs"), "0\nhatched: 2026-07-01"),
        (len(text), "more: 1\n"),
        (6, "0\nhatched: 2026-07-01"),
    ):
        with pytest.raises(RecordsError, match="add it by hand"):
            check_keys(found, at, added, place, keys)


def test_where_a_key_or_an_item_goes_is_told_only_if_the_file_then_reads_so() -> None:
    """A key that stands there already, and a list that is not the one of the key, are refused before anything is written."""
    text = "id: C1\neggs: 4\nyoung:\n- a\n"
    found = Original("clutches/C1.yaml", Path("C1.yaml"), text.encode(), text, "\n")
    place, root = Place("clutches/C1.yaml", 1, 1), composed(text, found.file)[0]
    assert isinstance(root, Table)
    young = root["young"]
    assert isinstance(young, Items)
    assert keys_into(found, place, {"slugs": "1"}) == (0, "slugs: 1\n")
    assert items_into(found, place, "young", young, ["b"]) == (text.index("- a"), "- b\n")
    with pytest.raises(RecordsError, match="add it by hand"):
        keys_into(found, place, {"eggs": "4"})
    with pytest.raises(RecordsError, match="add it by hand"):
        items_into(found, place, "payments", young, ["b"])


def test_a_parent_without_an_id_lays_no_clutch(tmp_path: Path) -> None:
    """Its record could not be read: a parent that stands in the record of its young has no id there."""
    young = "- {id: F-50, sex: female, shows: normal, dam: {shows: Piebald}}\n"
    folder = FAMILY.write(tmp_path, {"animals/young.yaml": young})
    before = everything_in(folder)
    told = CliRunner().invoke(main, ["laid", "F-50:dam", "--on", "2026-05-01", "--collection", str(folder)])
    assert (told.exit_code, "[unknown-animal]" in told.stderr) == (2, True)
    assert everything_in(folder) == before
