"""How a record is written for the breeder: added to, or made anew; never overwritten, never half written.

A file that exists only ever grows: its old bytes stay, all of them and in their order, with new ones in one place. The new
content goes to a temporary file beside it, reaches the disk, and takes the name in one step; the file's mode stays. Whatever
is in doubt is refused as a Problem, and then nothing was written. What a command left that was killed, the next one clears.
"""

from __future__ import annotations

import os
import re
import stat
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from clutchlight.problems import Place, RecordsError, system_says
from clutchlight.reading.findings import Findings
from clutchlight.reading.text import decode

BOM = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True)
class WrittenFile:
    """What a command wrote: the file, relative to the collection, the text added, and whether the file is new."""

    file: str
    text: str
    new: bool


@dataclass(frozen=True, slots=True)
class Original:
    """A file as it was found: its bytes, their text with plain line ends, and the line end it uses."""

    file: str
    path: Path
    raw: bytes
    text: str
    line_end: str


def cannot_write(file: str, why: str, line: int = 1) -> RecordsError:
    """What a writing command raises when it wrote nothing into a file."""
    return RecordsError.at(Place(file, line), "cannot-write", why)


def original(folder: Path, file: str) -> Original | None:
    """An existing file, safe to add to; None when there is none yet. Raises RecordsError when it must not be touched."""
    path = folder / file
    if not path.exists() and not path.is_symlink():
        return None
    path = _inside(folder, path, file)
    try:
        ordinary = stat.S_ISREG(path.stat().st_mode)
        raw = path.read_bytes() if ordinary else b""
    except OSError as error:
        raise cannot_write(file, f"this file cannot be read: {system_says(error)}") from None
    if not ordinary:
        raise cannot_write(file, "this is not an ordinary file; nothing was written")
    findings = Findings()
    text = decode(raw, file, findings)
    if text is None:
        raise RecordsError(findings.problems)
    return Original(file, path, raw, text, _line_end(raw, file))


def add(folder: Path, found: Original, at: int, text: str) -> WrittenFile:
    """Puts `text` (with plain line ends) into a file at a byte position; every old byte stays."""
    added = text.replace("\n", found.line_end).encode("utf-8")
    content = found.raw[:at] + added + found.raw[at:]
    mode = stat.S_IMODE(found.path.stat().st_mode)
    clear_leftovers(folder)
    try:
        with _temporary(found.path.parent, content, mode) as temporary:
            if found.path.read_bytes() != found.raw:
                raise cannot_write(
                    found.file,
                    "this file changed while we were writing; nothing was written, so try again",
                )
            os.replace(temporary, found.path)  # noqa: PTH105 - says that the name is taken over in one step
    except OSError as error:
        raise cannot_write(found.file, f"this file cannot be written: {system_says(error)}") from None
    _settle(found.path.parent)
    return WrittenFile(found.file, text, new=False)


def byte_place(found: Original, at: int) -> int:
    """Where in the bytes of a file a place in its plain text is: with its byte order mark and its own line ends."""
    decoded = found.raw.decode("utf-8")
    index = 1 if decoded.startswith("\ufeff") else 0
    for _ in range(at):
        index += 2 if decoded[index : index + 2] == "\r\n" else 1
    return len(decoded[:index].encode("utf-8"))


def create(folder: Path, file: str, text: str) -> WrittenFile:
    """Makes a new file; refuses when the name is taken, even when it is taken at the last moment."""
    path = folder / file
    _inside(folder, path.parent, file)
    clear_leftovers(folder)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with _temporary(path.parent, text.encode("utf-8"), 0o666 & ~_umask()) as temporary:
            _take_name(temporary, path)
    except FileExistsError:
        raise cannot_write(file, "this file exists already; nothing was written") from None
    except OSError as error:
        raise cannot_write(file, f"this file cannot be made: {system_says(error)}") from None
    _settle(path.parent)
    return WrittenFile(file, text, new=True)


def _take_name(temporary: Path, path: Path) -> None:
    """A link fails where the name is taken, which renaming would not; on file systems without links the name is taken first."""
    try:
        os.link(temporary, path)
    except FileExistsError:
        raise
    except OSError:
        path.open("xb").close()
        try:
            os.replace(temporary, path)  # noqa: PTH105
        except OSError:
            path.unlink(missing_ok=True)
            raise


_PART = re.compile(r"\.clutchlight-[a-z0-9_]{8}\.part")


@contextmanager
def _temporary(folder: Path, content: bytes, mode: int) -> Iterator[Path]:
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


def _inside(folder: Path, path: Path, file: str) -> Path:
    """The real path, which must lie in the collection."""
    real = path.resolve()
    if not real.is_relative_to(folder.resolve()):
        raise cannot_write(file, "this is a link that leads out of the collection; nothing was written")
    return real


def _line_end(raw: bytes, file: str) -> str:
    """The line end a file uses; a file that mixes them, or uses bare returns, keeps what its last line has."""
    if raw.count(b"\r") > raw.count(b"\r\n"):
        raise cannot_write(file, "this file ends lines with a bare carriage return; save it with usual line ends first")
    last = raw.rfind(b"\n")
    return "\r\n" if last > 0 and raw[last - 1 : last] == b"\r" else "\n"


def _umask() -> int:
    current = os.umask(0o022)
    os.umask(current)
    return current


def _settle(folder: Path) -> None:
    """Asks the system to keep the new name through a power cut, where it can be asked."""
    with suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


Value = str | Sequence["Value"] | Mapping[str, "Value"]

_PLAIN = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9 ._/%-]*[A-Za-z0-9.%])?")


def scalar(text: str) -> str:
    """One text on one line."""
    if _PLAIN.fullmatch(text):
        return text
    return '"' + " ".join(text.split()).replace("\\", "\\\\").replace('"', '\\"') + '"'


def flow(value: Value) -> str:
    """A value on one line: text, [list] or {group of keys}."""
    if isinstance(value, str):
        return scalar(value)
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{scalar(key)}: {flow(item)}" for key, item in value.items()) + "}"
    return "[" + ", ".join(flow(item) for item in value) + "]"


def item(record: Mapping[str, Value]) -> str:
    """A record as an item of a list, a line for each key."""
    lines = [f"{scalar(key)}: {flow(value)}" for key, value in record.items()]
    return "\n".join([f"- {lines[0]}", *(f"  {line}" for line in lines[1:])]) + "\n"
