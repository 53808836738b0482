"""`undo` takes back the last writing command byte for byte, and only where nobody edited its files since; no kill loses anything."""

from __future__ import annotations

import json
import os
import shutil
import signal
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.rooms import FAMILY

from clutchlight.cli import main
from clutchlight.editing.disk import content_of
from clutchlight.problems import RecordsError

BEFORE = b"\xef\xbb\xbfdate;animal;event;with;value;note\r\n# ours\r\n2026-11-01;M-01;meal;;rat;\r\n"
NOW = {"SOURCE_DATE_EPOCH": "1795608000"}  # 2026-11-25


def run(folder: Path, *words: str) -> tuple[int, str]:
    done = CliRunner(env=NOW).invoke(main, [*words, "--collection", str(folder)])
    return done.exit_code, done.output


def records(folder: Path) -> dict[str, bytes]:
    """Every record, but for what the tool keeps for itself."""
    files = (path for path in sorted(folder.rglob("*")) if path.is_file())
    return {
        name: path.read_bytes()
        for path in files
        if not (name := path.relative_to(folder).as_posix()).startswith(".clutchlight/")
    }


def test_a_row_is_taken_back_byte_for_byte(tmp_path: Path) -> None:
    """In a file with a mark and Windows line ends; only the rows of the last command, and only once."""
    FAMILY.write(tmp_path, {"log/2026.csv": BEFORE})
    run(tmp_path, "log", "M-01", "meal", "mouse")
    first = records(tmp_path)
    assert run(tmp_path, "log", "M-01,M-02", "weight", "1613")[0] == 0
    assert run(tmp_path, "undo") == (
        0,
        "taken out of log/2026.csv, where `log` had written it:\n2026-11-25;M-01;weight;;1613;\n2026-11-25;M-02;weight;;1613;\n",
    )
    assert records(tmp_path) == first
    code, said = run(tmp_path, "undo")
    assert (code, records(tmp_path)) == (2, first)
    assert "no command has written here since the last `undo`" in said


def test_what_was_taken_back_can_be_said_again(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, {"log/2026.csv": BEFORE})
    run(tmp_path, "log", "M-01", "meal", "mouse")
    after = records(tmp_path)
    run(tmp_path, "undo")
    run(tmp_path, "log", "M-01", "meal", "mouse")
    assert records(tmp_path) == after


def test_a_file_that_was_made_goes_with_its_folder(tmp_path: Path) -> None:
    """The folder stays where something else was put into it."""
    FAMILY.write(tmp_path, {})
    before = records(tmp_path)
    run(tmp_path, "log", "M-01", "meal", "rat")
    assert run(tmp_path, "undo") == (0, "deleted log/2026.csv, which `log` had made\n")
    assert (records(tmp_path), (tmp_path / "log").exists()) == (before, False)
    run(tmp_path, "log", "M-01", "meal", "rat")
    (tmp_path / "log/2025.csv").write_bytes(BEFORE)
    run(tmp_path, "undo")
    assert records(tmp_path) == {**before, "log/2025.csv": BEFORE}


def test_a_file_keeps_its_mode(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, {"log/2026.csv": BEFORE})
    (tmp_path / "log/2026.csv").chmod(0o640)
    run(tmp_path, "log", "M-01", "meal", "rat")
    run(tmp_path, "undo")
    assert (tmp_path / "log/2026.csv").stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize("edited", ["added to", "changed", "gone"])
def test_an_edited_file_is_left_alone(tmp_path: Path, edited: str) -> None:
    """And every other file of the command with it: a command is taken back as a whole."""
    FAMILY.write(tmp_path, {"log/2025.csv": BEFORE.replace(b"2026", b"2025"), "log/2026.csv": BEFORE})
    notes = tmp_path / "notes.txt"
    notes.write_text("2025-12-01\nM-01 900 g\n2026-11-02\nM-01 910 g\n", encoding="utf-8")
    assert run(tmp_path, "log", "--from", str(notes))[0] == 0
    path = tmp_path / "log/2026.csv"
    if edited == "gone":
        path.unlink()
    else:
        path.write_bytes(
            path.read_bytes() + b"# mine\r\n" if edited == "added to" else path.read_bytes().replace(b"910", b"911")
        )
    stood = records(tmp_path)
    code, said = run(tmp_path, "undo")
    assert (code, records(tmp_path)) == (1, stood)
    assert "log/2026.csv:1:1: error: this file was edited since `log` wrote to it, so nothing was taken back" in said


def test_a_command_of_several_files_is_taken_back_as_one(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, {"log/2025.csv": BEFORE.replace(b"2026", b"2025")})
    before = records(tmp_path)
    notes = tmp_path.parent / f"{tmp_path.name}.txt"
    notes.write_text("2025-12-01\nM-01 900 g\n2026-11-02\nM-01 910 g\n", encoding="utf-8")
    run(tmp_path, "log", "--from", str(notes))
    assert len(records(tmp_path)) == len(before) + 1
    code, said = run(tmp_path, "undo")
    assert (code, records(tmp_path)) == (0, before)
    assert said == (
        "deleted log/2026.csv, which `log` had made\n"
        "taken out of log/2025.csv, where `log` had written it:\n2025-12-01;M-01;weight;;900;\n"
    )


def test_a_dated_record_is_never_taken_back(tmp_path: Path) -> None:
    """Neither that of `stamp`, nor that of a sale, whose own record goes."""
    FAMILY.write(tmp_path, {})
    before = records(tmp_path)
    assert run(tmp_path, "sold", "C26-01-1", "--yes")[0] == 0
    code, said = run(tmp_path, "undo")
    assert code == 0
    assert said == (
        "deleted sales/2026.yaml, which `sold` had made\n"
        "what it dated stays in ledger/: a dated record is never taken back\n"
    )
    after = records(tmp_path)
    assert after.pop("ledger/2026.jsonl").count(b"\n") == 1
    assert after == before
    run(tmp_path, "log", "M-01", "meal", "rat")
    assert CliRunner(env=NOW).invoke(main, ["stamp", str(tmp_path)]).exit_code == 0
    stood = records(tmp_path)
    code, said = run(tmp_path, "undo")
    assert (code, records(tmp_path)) == (2, stood)
    assert "the last command was `stamp`, and a dated record is never taken back" in said


def test_what_is_noted_tells_nothing_and_is_not_seen_by_git(tmp_path: Path) -> None:
    """No word of a record; and without the note nothing but `undo` is missing."""
    FAMILY.write(tmp_path, {"log/2026.csv": BEFORE})
    run(tmp_path, "log", "M-01", "weight", "1613", "--note", "seen by Ada")
    note = (tmp_path / ".clutchlight/last.json").read_text(encoding="utf-8")
    assert not any(word in note for word in ("1613", "M-01", "Ada", "weight"))
    assert (tmp_path / ".clutchlight/.gitignore").read_text(encoding="utf-8") == "*\n"
    shutil.rmtree(tmp_path / ".clutchlight")
    assert run(tmp_path, "undo")[0] == 2
    assert run(tmp_path, "log", "M-01", "meal")[0] == 0


CHANGED = {
    "outside": ("file", "../mine.csv"),
    "another place": ("at", 3),
    "another schema": ("schema", "clutchlight/last-command/2"),
}


@pytest.mark.parametrize("harm", ["{", "[]", '{"schema": "clutchlight/last-command/1"}', *CHANGED])
def test_a_note_that_leads_astray_changes_nothing(tmp_path: Path, harm: str) -> None:
    """Nor does one that names a file outside of the collection, or another place in it."""
    room = tmp_path / "room"
    FAMILY.write(room, {"log/2026.csv": BEFORE})
    run(room, "log", "M-01", "meal")
    note = room / ".clutchlight/last.json"
    if harm in CHANGED:
        shutil.copyfile(room / "log/2026.csv", tmp_path / "mine.csv")
        found, (key, value) = json.loads(note.read_text(encoding="utf-8")), CHANGED[harm]
        (found if key in found else found["additions"][0])[key] = value
        note.write_text(json.dumps(found), encoding="utf-8")
    else:
        note.write_text(harm, encoding="utf-8")
    stood, code = records(tmp_path), run(room, "undo")[0]
    assert code in (1, 2)
    assert records(tmp_path) == stood


def test_nothing_is_written_that_cannot_be_noted(tmp_path: Path) -> None:
    """Else `undo` would take back a command before the last."""
    FAMILY.write(tmp_path, {"log/2026.csv": BEFORE, ".clutchlight": b"mine"})
    code, said = run(tmp_path, "log", "M-01", "meal")
    assert code == 1
    assert "this note, by which `undo` goes, cannot be written" in said
    assert (tmp_path / "log/2026.csv").read_bytes() == BEFORE


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_a_link_in_the_place_of_the_notes_is_not_followed(tmp_path: Path) -> None:
    room, mine = FAMILY.write(tmp_path / "room", {"log/2026.csv": BEFORE}), tmp_path / "mine"
    mine.mkdir()
    (room / ".clutchlight").symlink_to(mine)
    assert run(room, "log", "M-01", "meal")[0] == 1
    assert ((room / "log/2026.csv").read_bytes(), list(mine.iterdir())) == (BEFORE, [])


def test_what_is_no_ordinary_file_is_neither_written_nor_taken_back(tmp_path: Path) -> None:
    (tmp_path / "log.csv").mkdir()
    with pytest.raises(RecordsError, match="this is not an ordinary file; nothing was written"):
        content_of(tmp_path, "log.csv")


# ---- kills


def killed_at(step: int, what: Callable[[], object]) -> bool:
    """Does it in a process of its own, which dies before the given call of the system that changes the disk; whether it died."""
    child = os.fork()
    if not child:
        left = step

        def dying(real: Callable[..., object]) -> Callable[..., object]:
            def call(*arguments: object, **more: object) -> object:
                nonlocal left
                left -= 1
                if left < 0:
                    os.kill(os.getpid(), signal.SIGKILL)
                return real(*arguments, **more)

            return call

        for name in ("replace", "link", "unlink", "mkdir", "rmdir", "fsync", "chmod", "open"):
            setattr(os, name, dying(getattr(os, name)))
        what()
        os._exit(0)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])


def kills(what: Callable[[Path], object], made: Callable[[Path], object], folder: Path) -> list[Path]:
    """A room for every step at which a command can be killed, after it was."""
    rooms: list[Path] = []
    for step in range(200):
        room = folder / f"{step}"
        made(room)
        if not killed_at(step, lambda room=room: what(room)):  # type: ignore[misc]
            return rooms
        rooms.append(room)
    raise AssertionError("it never ended")


SALE = "- {animals: [C26-01-3], buyer: Ada, agreed: 300}\n"
NOTES = "2025-12-01\nM-01 900 g\n2026-11-02\nM-01 910 g\n2026-11-03\nM-02 911 g\n"
COMMANDS: dict[str, tuple[str, ...]] = {
    "one file": ("log", "M-01,M-02", "weight", "913"),
    "several files": ("log", "--from", "NOTES"),
    "a new file": ("laid", "F-01", "--eggs", "4"),
    "a sale": ("sold", "C26-01-1", "--yes"),
    "a death of two": ("died", "M-02,C26-01-1"),
    "a payment": ("paid", "C26-01-3", "50"),
}


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")
@pytest.mark.parametrize("which", list(COMMANDS))
def test_no_kill_of_a_command_or_of_undo_loses_or_halves_anything(tmp_path: Path, which: str) -> None:
    """Each file is the old one or the new one after a kill at any step; `undo` takes back what was written, itself killed or not."""
    notes = tmp_path / "notes.txt"
    notes.write_text(NOTES, encoding="utf-8")
    words = [str(notes) if word == "NOTES" else word for word in COMMANDS[which]]
    start = tmp_path / "start"
    FAMILY.write(
        start, {"log/2025.csv": BEFORE.replace(b"2026", b"2025"), "log/2026.csv": BEFORE, "sales/s.yaml": SALE}
    )
    old = records(start)
    whole = tmp_path / "whole"
    shutil.copytree(start, whole)
    assert run(whole, *words)[0] == 0
    new = records(whole)
    ledger = {file for file in new if file.startswith("ledger/")}

    def undone(room: Path) -> dict[str, bytes]:
        run(room, "undo")
        return {file: raw for file, raw in records(room).items() if file not in ledger}

    def each_file_is_whole(room: Path) -> None:
        for file, raw in records(room).items():
            assert ".clutchlight-" in file or raw in (old.get(file), new.get(file)), file
        assert set(old) <= set(records(room))

    rooms = kills(lambda room: run(room, *words), lambda room: shutil.copytree(start, room), tmp_path / "command")
    assert len(rooms) > 5
    for room in rooms:
        each_file_is_whole(room)
        assert undone(room) == old
    rooms = kills(lambda room: run(room, "undo"), lambda room: shutil.copytree(whole, room), tmp_path / "undo")
    assert len(rooms) > 3
    for room in rooms:
        each_file_is_whole(room)
        assert undone(room) == old
