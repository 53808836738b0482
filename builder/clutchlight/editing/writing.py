"""How a record is written for the breeder: added to, or made anew; never overwritten, never half written.

A file that exists only ever grows: its old bytes stay, all of them and in their order, with new ones in one place. The new
content goes to a temporary file beside it, reaches the disk, and takes the name in one step; the file's mode stays. Whatever
is in doubt is refused as a Problem, and then nothing was written. What a command writes is noted for `undo`; what is `dated` never is.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from clutchlight.editing.disk import clear_leftovers, content_of, inside, mode_of_new, settle, take_name, temporary
from clutchlight.editing.undo import note_dated, note_written
from clutchlight.problems import Place, RecordsError, system_says
from clutchlight.reading.findings import Findings
from clutchlight.reading.text import decode


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
    content = content_of(folder, file)
    if content is None:
        return None
    path, raw = content
    findings = Findings()
    text = decode(raw, file, findings)
    if text is None:
        raise RecordsError(findings.problems)
    return Original(file, path, raw, text, _line_end(raw, file))


def add(folder: Path, found: Original, at: int, text: str, *, dated: bool = False) -> WrittenFile:
    """Puts `text` (with plain line ends) into a file at a byte position; every old byte stays."""
    added = text.replace("\n", found.line_end).encode("utf-8")
    content = found.raw[:at] + added + found.raw[at:]
    mode = stat.S_IMODE(found.path.stat().st_mode)
    clear_leftovers(folder)
    try:
        with temporary(found.path.parent, content, mode) as made:
            if found.path.read_bytes() != found.raw:
                raise cannot_write(
                    found.file,
                    "this file changed while we were writing; nothing was written, so try again",
                )
            if dated:
                note_dated(folder)
            else:
                note_written(folder, found.file, found.raw, content, at)
            os.replace(made, found.path)  # noqa: PTH105 - says that the name is taken over in one step
    except OSError as error:
        raise cannot_write(found.file, f"this file cannot be written: {system_says(error)}") from None
    settle(found.path.parent)
    return WrittenFile(found.file, text, new=False)


def byte_place(found: Original, at: int) -> int:
    """Where in the bytes of a file a place in its plain text is: with its byte order mark and its own line ends."""
    decoded = found.raw.decode("utf-8")
    index = 1 if decoded.startswith("\ufeff") else 0
    for _ in range(at):
        index += 2 if decoded[index : index + 2] == "\r\n" else 1
    return len(decoded[:index].encode("utf-8"))


def create(folder: Path, file: str, text: str, *, dated: bool = False) -> WrittenFile:
    """Makes a new file; refuses when the name is taken, even when it is taken at the last moment."""
    path = folder / file
    inside(folder, path.parent, file)
    clear_leftovers(folder)
    try:
        first = not path.parent.exists()
        path.parent.mkdir(parents=True, exist_ok=True)
        content = text.encode("utf-8")
        with temporary(path.parent, content, mode_of_new()) as made:
            if path.exists() or path.is_symlink():
                raise FileExistsError
            if dated:
                note_dated(folder)
            else:
                note_written(folder, file, None, content, first=first)
            take_name(made, path)
    except FileExistsError:
        raise cannot_write(file, "this file exists already; nothing was written") from None
    except OSError as error:
        raise cannot_write(file, f"this file cannot be made: {system_says(error)}") from None
    settle(path.parent)
    return WrittenFile(file, text, new=True)


def _line_end(raw: bytes, file: str) -> str:
    """The line end a file uses; a file that mixes them, or uses bare returns, keeps what its last line has."""
    if raw.count(b"\r") > raw.count(b"\r\n"):
        raise cannot_write(file, "this file ends lines with a bare carriage return; save it with usual line ends first")
    last = raw.rfind(b"\n")
    return "\r\n" if last > 0 and raw[last - 1 : last] == b"\r" else "\n"


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
