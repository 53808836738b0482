"""How bytes reach the disk, and how what the last command wrote is taken back, byte for byte (`undo`).

They go into a temporary file beside their place, which then takes the name in one step. So a file is the old one or the new one whenever a
command is killed, and never half of it. What a killed command left, the next one clears.

A file only ever grows, in one place, so that place, the length of what was added and the digests of the file before and after tell all that
is needed to take it back, and whether anybody edited the file since. They are noted in COLLECTION/.clutchlight/last.json before the file
itself changes, so that a command that was killed can be taken back as well, and an `undo` that was killed can be run again.
A file that is as it was before counts as taken back. Where one was edited, nothing is taken back. Dated records are never noted.
"""

from __future__ import annotations

import errno
import hashlib
import os
import re
import stat
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from pathlib import Path

from msgspec import DecodeError, Struct
from msgspec.json import decode, encode
from msgspec.structs import replace

from clutchlight.problems import COMMAND_LINE, Place, Problem, RecordsError, system_says

KEPT = ".clutchlight"
"""The folder in a collection's where the program keeps notes of its own, which may be deleted at any time."""


class WrittenFile(Struct, frozen=True):
    """What a command wrote: the file, relative to the collection, the text added, and whether the file is new."""

    file: str
    text: str
    new: bool


def kept_in(folder: Path) -> Path:
    """That folder, made if need be, and out of git's sight. Raises OSError where it cannot be had."""
    kept = folder / KEPT
    if kept.is_symlink():
        raise OSError(errno.ELOOP, "a link stands in its place", str(kept))
    kept.mkdir(exist_ok=True)
    ignored = kept / ".gitignore"
    if not ignored.exists():
        ignored.write_text("*\n", encoding="utf-8")
    return kept


def put(path: Path, content: bytes, mode: int) -> None:
    """Gives a file new content in one step."""
    with temporary(path.parent, content, mode) as made:
        os.replace(made, path)  # noqa: PTH105 - says that the name is taken over in one step
    settle(path.parent)


def take_name(made: Path, path: Path) -> None:
    """A link fails where the name is taken, which renaming would not; on file systems without links the name is taken first."""
    try:
        os.link(made, path)
    except FileExistsError:
        raise
    except OSError:
        path.open("xb").close()
        try:
            os.replace(made, path)  # noqa: PTH105
        except OSError:
            path.unlink(missing_ok=True)
            raise


_PART = re.compile(r"\.clutchlight-[a-z0-9_]{8}\.part")


@contextmanager
def temporary(folder: Path, content: bytes, mode: int) -> Iterator[Path]:
    """A file beside the real one whose bytes have reached the disk; its name begins with a dot, so that nothing reads it."""
    descriptor, name = tempfile.mkstemp(prefix=".clutchlight-", suffix=".part", dir=folder)
    path = Path(name)
    try:
        with os.fdopen(descriptor, "wb") as handle:
            held(descriptor)
            handle.write(content)
            handle.flush()
            os.fsync(descriptor)
            path.chmod(mode)
            if sys.platform == "win32":
                handle.close()  # there an open file keeps its name
            yield path
    finally:
        with suppress(OSError):
            path.unlink()


def clear_leftovers(folder: Path) -> None:
    """Deletes the temporary files of commands that were killed, wherever records lie; not those of a command that still runs."""
    with suppress(OSError):
        places = [folder, *(entry for entry in folder.iterdir() if entry.is_dir() and not entry.is_symlink())]
        for file in (file for place in places for file in place.glob(".clutchlight-*.part")):
            if _PART.fullmatch(file.name) and file.is_file() and not file.is_symlink() and is_left(file):
                file.unlink(missing_ok=True)


def held(descriptor: int) -> bool:
    """Keeps an open file from counting as left over, until it is closed. False: another command keeps it, or nobody can tell."""
    if sys.platform == "win32":
        return False
    import fcntl

    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def is_left(file: Path) -> bool:
    """Whether no command that runs keeps a file."""
    with file.open("rb") as handle:
        return held(handle.fileno())


def inside(folder: Path, path: Path, file: str) -> Path:
    """The real path, which must lie in the collection."""
    real = path.resolve()
    if not real.is_relative_to(folder.resolve()):
        message = "this is a link that leads out of the collection; nothing was written"
        raise RecordsError.at(Place(file), "cannot-write", message)
    return real


def content_of(folder: Path, file: str, undone: str = "written") -> tuple[Path, bytes] | None:
    """The real path and the bytes of an ordinary file of the collection; None where there is none.

    Raises RecordsError of any other, and says what was left `undone`.
    """
    path = folder / file
    if not path.exists() and not path.is_symlink():
        return None
    path = inside(folder, path, file)
    try:
        if stat.S_ISREG(path.stat().st_mode):
            return path, path.read_bytes()
        said = f"this is not an ordinary file; nothing was {undone}"
    except OSError as error:
        said = f"this file cannot be read: {system_says(error)}"
    raise RecordsError.at(Place(file), "cannot-write", said)


def mode_of_new() -> int:
    """The mode that the system gives a new file."""
    current = os.umask(0o022)
    os.umask(current)
    return 0o666 & ~current


def flush(path: Path | str) -> None:
    """Has a file or the entries of a folder on the disk before going on."""
    if os.name == "nt":
        return
    descriptor = os.open(path, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def settle(folder: Path) -> None:
    """Asks the system to keep the new name through a power cut, where it can be asked."""
    with suppress(OSError):
        flush(folder)


# ---- undo


NOTE = "last.json"
SCHEMA = "clutchlight/last-command/1"


class _Addition(Struct, frozen=True):
    """What was put into one file, as bytes from `at` on. `before`: "" where there was no file; `first`: the folder was made for it."""

    file: str
    at: int
    length: int
    before: str
    after: str
    first: bool = False


class _Command(Struct, frozen=True):
    """A command, by its name, and all that it wrote; `dated`: it wrote dated records as well."""

    schema: str
    name: str
    additions: tuple[_Addition, ...] = ()
    dated: bool = False


_running: ContextVar[_Command | None] = ContextVar("the command that runs", default=None)


@contextmanager
def one_command(name: str) -> Iterator[None]:
    """All that is written meanwhile is taken back as one."""
    token = _running.set(_Command(SCHEMA, name))
    try:
        yield
    finally:
        _running.reset(token)


def note_written(
    folder: Path,
    file: str,
    before: bytes | None,
    after: bytes,
    at: int = 0,
    *,
    first: bool = False,
    dated: bool = False,
) -> None:
    """Notes what the command that runs is about to write; of dated records, that they stay. Outside a command nothing is noted."""
    command = _running.get()
    if command is None:
        return
    if dated:
        command = replace(command, dated=True)
    else:
        length = len(after) - len(before or b"")
        addition = _Addition(file, at, length, _digest(before), _digest(after), first)
        command = replace(command, additions=(*command.additions, addition))
    try:
        put(kept_in(folder) / NOTE, encode(command), 0o600)
    except OSError as error:
        raise RecordsError.at(
            Place(f"{KEPT}/{NOTE}"),
            "cannot-write",
            f"this note, by which `undo` goes, cannot be written: {system_says(error)}",
        ) from None
    _running.set(command)


def take_back(folder: Path) -> tuple[str, tuple[WrittenFile, ...], bool]:
    """Takes back the last writing command: its name, what it had written, and whether dated records of it stay.

    Raises RecordsError, and takes back nothing, where a file of it was edited since.
    """
    clear_leftovers(folder)
    last = _last(folder)
    contents: dict[str, bytes | None] = {}
    taken: list[WrittenFile] = []
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
        taken.append(WrittenFile(one.file, text, new=before is None))
    if edited:
        raise RecordsError(edited)
    if not taken:
        raise RecordsError.at(COMMAND_LINE, "cannot-write", _nothing_left(last))
    made_for = {one.file for one in last.additions if one.first}
    for file in dict.fromkeys(one.file for one in taken):
        _restore(folder, file, contents[file], first=file in made_for)
    with suppress(OSError):
        (folder / KEPT / NOTE).unlink()
    return last.name, tuple(taken), last.dated


def _nothing_left(last: _Command) -> str:
    if last.dated and not last.additions:
        return f"the last command was `{last.name}`, and a dated record is never taken back; nothing was changed"
    return f"nothing of what `{last.name}` wrote last is left to take back; nothing was changed"


def _last(folder: Path) -> _Command:
    try:
        found = decode((folder / KEPT / NOTE).read_bytes(), type=_Command)
        if found.schema == SCHEMA:
            return found
        raise DecodeError
    except FileNotFoundError:
        said = "no command has written here since the last `undo`, so there is nothing to take back: only the last command can be"
    except (OSError, DecodeError, RecursionError):
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
