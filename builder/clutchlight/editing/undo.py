"""`undo`: what the last writing command wrote, taken back byte for byte.

A file only ever grows, in one place, so that place, the length of what was added and the digests of the file before and after tell all that
is needed to take it back, and whether anybody edited the file since. They are noted in COLLECTION/.clutchlight/last.json before the file
itself changes, so that a command that was killed can be taken back as well, and an `undo` that was killed can be run again.

A file that is as it was before counts as taken back. Where one was edited, nothing is taken back. Dated records are never noted.
"""

from __future__ import annotations

import hashlib
import json
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import NamedTuple

from clutchlight.editing.disk import KEPT, clear_leftovers, content_of, inside, kept_in, put, settle
from clutchlight.problems import COMMAND_LINE, Place, Problem, RecordsError, system_says

NOTE = "last.json"
SCHEMA = "clutchlight/last-command/1"


@dataclass(frozen=True, slots=True)
class _Addition:
    """What was put into one file, as bytes from `at` on. `before`: "" where there was no file; `first`: the folder was made for it."""

    file: str
    at: int
    length: int
    before: str
    after: str
    first: bool = False


@dataclass(frozen=True, slots=True)
class _Command:
    """A command, by its name, and all that it wrote; `dated`: it wrote dated records as well."""

    name: str
    additions: tuple[_Addition, ...] = ()
    dated: bool = False


class _TakenOut(NamedTuple):
    """What is taken out of a file, as text; `whole`: the file goes."""

    file: str
    text: str
    whole: bool


class TakenBack(NamedTuple):
    """The command that was taken back, the files that it had written, and whether dated records of it stay."""

    command: str
    files: tuple[_TakenOut, ...]
    dated: bool


_running: ContextVar[_Command | None] = ContextVar("the command that runs", default=None)


@contextmanager
def one_command(name: str) -> Iterator[None]:
    """All that is written meanwhile is taken back as one."""
    token = _running.set(_Command(name))
    try:
        yield
    finally:
        _running.reset(token)


def note_written(
    folder: Path, file: str, before: bytes | None, after: bytes, at: int = 0, *, first: bool = False
) -> None:
    """Notes what the command that runs is about to write; outside a command nothing is noted."""
    length = len(after) - len(before or b"")
    _note(folder, _Addition(file, at, length, _digest(before), _digest(after), first))


def note_dated(folder: Path) -> None:
    """Notes that the command that runs dates records, which stay."""
    _note(folder, None)


def _note(folder: Path, addition: _Addition | None) -> None:
    command = _running.get()
    if command is None:
        return
    dated = command.dated or addition is None
    additions = command.additions if addition is None else (*command.additions, addition)
    command = replace(command, additions=additions, dated=dated)
    content = json.dumps({"schema": SCHEMA, **asdict(command)}, indent=1).encode("utf-8")
    try:
        put(kept_in(folder) / NOTE, content, 0o600)
    except OSError as error:
        raise RecordsError.at(
            Place(f"{KEPT}/{NOTE}"),
            "cannot-write",
            f"this note, by which `undo` goes, cannot be written: {system_says(error)}",
        ) from None
    _running.set(command)


def take_back(folder: Path) -> TakenBack:
    """Takes back the last writing command. Raises RecordsError, and takes back nothing, where a file of it was edited since."""
    clear_leftovers(folder)
    last = _last(folder)
    contents: dict[str, bytes | None] = {}
    taken: list[_TakenOut] = []
    edited: list[Problem] = []
    for one in reversed(last.additions):
        if one.file not in contents:
            found = content_of(folder, one.file, undone="taken back")
            contents[one.file] = None if found is None else found[1]
        now = contents[one.file]
        if _digest(now) == one.before:
            continue
        before = None if now is None or not one.before else now[: one.at] + now[one.at + one.length :]
        if now is None or _digest(now) != one.after or _digest(before) != one.before:
            said = f"this file was edited since `{last.name}` wrote to it, so nothing was taken back; edit it by hand"
            edited.append(Problem.at(Place(one.file), "cannot-write", said))
            continue
        contents[one.file] = before
        text = now[one.at : one.at + one.length].decode("utf-8", "replace").replace("\r\n", "\n")
        taken.append(_TakenOut(one.file, text, before is None))
    if edited:
        raise RecordsError(edited)
    if not taken:
        raise RecordsError.at(COMMAND_LINE, "cannot-write", _nothing_left(last))
    made_for = {one.file for one in last.additions if one.first}
    for file in dict.fromkeys(one.file for one in taken):
        _restore(folder, file, contents[file], first=file in made_for)
    with suppress(OSError):
        (folder / KEPT / NOTE).unlink()
    return TakenBack(last.name, tuple(taken), last.dated)


def _nothing_left(last: _Command) -> str:
    if last.dated and not last.additions:
        return f"the last command was `{last.name}`, and a dated record is never taken back; nothing was changed"
    return f"nothing of what `{last.name}` wrote last is left to take back; nothing was changed"


def _last(folder: Path) -> _Command:
    try:
        found = json.loads((folder / KEPT / NOTE).read_bytes())
        if found["schema"] != SCHEMA:
            raise ValueError
        additions = tuple(_Addition(**one) for one in found["additions"])
        return _Command(str(found["name"]), additions, bool(found["dated"]))
    except FileNotFoundError:
        said = "no command has written here since the last `undo`, so there is nothing to take back: only the last command can be"
    except (OSError, ValueError, TypeError, KeyError, RecursionError):
        said = f"the note of the last command ({KEPT}/{NOTE}) cannot be read; take back by hand what you do not want"
    raise RecordsError.at(COMMAND_LINE, "cannot-write", said)


def _restore(folder: Path, file: str, content: bytes | None, *, first: bool) -> None:
    path = inside(folder, folder / file, file)
    try:
        if content is not None:
            put(path, content, stat.S_IMODE(path.stat().st_mode))
            return
        path.unlink()
        settle(path.parent)
    except OSError as error:
        raise RecordsError.at(
            Place(file), "cannot-write", f"this file cannot be changed back: {system_says(error)}"
        ) from None
    if first:
        with suppress(OSError):
            path.parent.rmdir()  # which fails where anything else stands in it


def _digest(content: bytes | None) -> str:
    return "" if content is None else hashlib.sha256(content).hexdigest()
