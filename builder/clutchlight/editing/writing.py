"""How a record is written for the breeder: added to, or made anew; never overwritten, never half written.

A file that exists only ever grows: its old bytes stay, all of them and in their order, with new ones in one place. The new
content goes to a temporary file beside it, reaches the disk, and takes the name in one step; the file's mode stays. Whatever
is in doubt is refused as a Problem, and then nothing was written. What a command writes is noted for `undo`; what is `dated` never is.

New keys and items go before the other keys of a record, in its own layout. At the beginning nothing can be torn apart: no comment is parted
from its line, no text of several lines is cut. Front matter, which ends where its second `---` stands, gets them at its end. The file as it
would be is read again: it must say what it said, and the new besides.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any, Protocol

from msgspec import Struct

from clutchlight.editing.disk import (
    WrittenFile,
    clear_leftovers,
    content_of,
    inside,
    mode_of_new,
    note_written,
    settle,
    take_name,
    temporary,
)
from clutchlight.model import Collection
from clutchlight.model.private import Private
from clutchlight.problems import COMMAND_LINE, Place, RecordsError, errors_in, system_says
from clutchlight.reading.findings import Findings
from clutchlight.reading.text import Items, Table, WrittenText, decode, split_front_matter
from clutchlight.reading.yaml_records import compose


class Original(Struct, frozen=True):
    """A file as it was found: its bytes, their text with plain line ends, and the line end it uses."""

    file: str
    path: Path
    raw: bytes
    text: str
    line_end: str


def cannot_write(file: str, why: str, line: int = 1) -> RecordsError:
    """What a writing command raises when it wrote nothing into a file."""
    return RecordsError.at(Place(file, line), "cannot-write", why)


def refusal(why: str, code: str = "cannot-write") -> RecordsError:
    """What one raises that cannot do what was typed."""
    return RecordsError.at(COMMAND_LINE, code, why)


class Records(Protocol):
    """Records as they were read, and the folder that they stand in."""

    @property
    def folder(self) -> Path: ...
    @property
    def collection(self) -> Collection: ...
    @property
    def private(self) -> Private: ...


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
                    found.file, "this file changed while we were writing; nothing was written, so try again"
                )
            note_written(folder, found.file, found.raw, content, at, dated=dated)
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
            note_written(folder, file, None, content, first=first, dated=dated)
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
    return quoted(" ".join(text.split()))


def quoted(text: str) -> str:
    """A text in quotation marks, whatever stands in it."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


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


# ---- adding to a record that stands


Root = Table | Items | WrittenText | None
BY_HAND = "this cannot be added so that the file reads the same as before; add it by hand"


def standing(folder: Path, file: str) -> Original:
    """A file that a record was read from."""
    found = original(folder, file)
    if found is None:
        raise cannot_write(file, "this file is gone; nothing was written")
    return found


def composed(text: str, file: str) -> tuple[Root, str, int]:
    """What a file holds, the text that it was composed from, and how many lines stand above that."""
    findings = Findings()
    data, above = text, 0
    if file.casefold().endswith(".md"):
        front = split_front_matter(text, file, findings)
        data, above = ("", 0) if front is None else (front.data, front.first_line)
    root = compose(data, file, findings, above)
    if findings.errors:
        raise RecordsError(errors_in(findings.problems))
    return root, data, above


def record_in(found: Original, name: str) -> Table | None:
    """The record of an id in a file; None where it does not stand there."""
    root, _, _ = composed(found.text, found.file)
    records = root if isinstance(root, Items) else [root]
    return next((one for one in records if isinstance(one, Table) and one.get("id") == name), None)


def table_at(root: object, place: Place) -> Table | None:
    """The group of keys that begins at a place."""
    if isinstance(root, Table) and (root.mark.place.line, root.mark.place.column) == (place.line, place.column):
        return root
    inner = root.values() if isinstance(root, Table) else root if isinstance(root, Items) else ()
    return next((found for one in inner if (found := table_at(one, place)) is not None), None)


def keys_into(found: Original, place: Place, keys: Mapping[str, Value]) -> tuple[int, str]:
    """Where in the text of a file, and how, keys are added to the group of keys at a place. Raises RecordsError on any doubt."""
    rows = [f"{key}: {flow(value)}" for key, value in keys.items()]
    at = index_of(found.text, place)
    if found.text[at : at + 1] == "{":
        rest = found.text[at + 1 :].lstrip()
        at, text = at + 1, ", ".join(rows) + ("" if rest.startswith("}") else ", ")
    elif found.file.casefold().endswith(".md") and place.column == 1:
        at, text = end_of_keys(found), "".join(f"{row}\n" for row in rows)
    else:
        text = "".join(f"{row}\n{' ' * (place.column - 1)}" for row in rows)
    check_keys(found, at, text, place, keys)
    return at, text


def items_into(found: Original, place: Place, key: str, items: Items, values: Sequence[Value]) -> tuple[int, str]:
    """The same of more items of the list that stands there under a key, which become its first."""
    at, indent = index_of(found.text, items.place), " " * (items.place.column - 1)
    if found.text[at : at + 1] == "[":
        at, text = at + 1, ", ".join(map(flow, values)) + (", " if items else "")
    else:
        text = "".join(f"- {flow(value)}\n{indent}" for value in values)
    check_keys(found, at, text, place, {key: [*values, *items]})
    return at, text


def end_of_keys(found: Original) -> int:
    """Where in the text of a file its keys end: before the second `---` of front matter, else at the end."""
    _, data, above = composed(found.text, found.file)
    return min(index_of(found.text, Place(found.file, above + 1)) + len(data), len(found.text))


def index_of(text: str, place: Place) -> int:
    return sum(len(line) + 1 for line in text.split("\n")[: place.line - 1]) + place.column - 1


def put_in(folder: Path, found: Original, at: int, text: str) -> WrittenFile:
    return add(folder, found, byte_place(found, at), text)


def append_item(folder: Path, found: Original, record: Mapping[str, Value], what: str) -> WrittenFile:
    """Adds a record, `what` it is in one word, at the end of a file that is a list with lines of their own, or that holds nothing yet."""
    root, _, _ = composed(found.text, found.file)
    text = item(record)
    own_lines = (
        isinstance(root, Items) and root.place.column == 1 and found.text[index_of(found.text, root.place)] != "["
    )
    if root is not None and not own_lines:
        said = f"this file is no list with a line for each {what}; add these lines by hand:\n{text}"
        raise cannot_write(found.file, said)
    begun = "" if not found.text or found.text.endswith("\n") else "\n"
    with suppress(RecordsError):
        after, _, _ = composed(found.text + begun + text, found.file)
        if _with(after) == [*(_with(root) or ()), _with(record)]:
            return put_in(folder, found, len(found.text), begun + text)
    raise cannot_write(found.file, BY_HAND)


def check_keys(found: Original, at: int, text: str, place: Place, keys: Mapping[str, Value]) -> None:
    """The file as it would be holds the same, but for the new keys of one group of keys."""
    before, _, _ = composed(found.text, found.file)
    table = table_at(before, place)
    with suppress(RecordsError):
        after, _, _ = composed(found.text[:at] + text + found.text[at:], found.file)
        if table is not None and _with(before, table, {**table, **keys}) == _with(after):
            return
    raise cannot_write(found.file, BY_HAND, place.line)


def _with(root: object, table: Table | None = None, wanted: Mapping[str, object] | None = None) -> Any:
    """The same as plain values, with what is `wanted` as the keys of one of its groups."""
    if root is table and wanted is not None:
        return _with(wanted)
    if isinstance(root, Mapping):
        return {str(key): _with(one, table, wanted) for key, one in root.items()}
    if isinstance(root, Sequence) and not isinstance(root, str):
        return [_with(one, table, wanted) for one in root]
    return None if root is None else str(root)
