"""Where new keys and items go in a record that stands: before its other keys, in its own layout; every old byte stays.

At the beginning nothing can be torn apart: no comment is parted from its line, no text of several lines is cut. Front matter, which ends
where its second `---` stands, gets them at its end. The file as it would be is read again: it must say what it said, and the new besides.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from clutchlight.editing.writing import Original, Value, WrittenFile, add, byte_place, cannot_write, flow, original
from clutchlight.problems import Place, RecordsError, errors_in
from clutchlight.reading.findings import Findings
from clutchlight.reading.text import Items, Table, WrittenText, split_front_matter
from clutchlight.reading.yaml_records import compose

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


def table_at(root: object, place: Place) -> Table | None:
    """The group of keys that begins at a place."""
    if isinstance(root, Table) and (root.mark.place.line, root.mark.place.column) == (place.line, place.column):
        return root
    inner = root.values() if isinstance(root, Table) else root if isinstance(root, Items) else ()
    return next((found for one in inner if (found := table_at(one, place)) is not None), None)


def keys_into(found: Original, place: Place, keys: Mapping[str, Value]) -> tuple[int, str]:
    """Where in the text of a file, and how, keys are added to the group of keys that begins at a place."""
    rows = [f"{key}: {flow(value)}" for key, value in keys.items()]
    at = index_of(found.text, place)
    if found.text[at : at + 1] == "{":
        rest = found.text[at + 1 :].lstrip()
        return at + 1, ", ".join(rows) + ("" if rest.startswith("}") else ", ")
    if found.file.casefold().endswith(".md") and place.column == 1:
        return end_of_keys(found), "".join(f"{row}\n" for row in rows)
    return at, "".join(f"{row}\n{' ' * (place.column - 1)}" for row in rows)


def item_into(found: Original, items: Items, value: Value) -> tuple[int, str]:
    """The same of one more item of a list, which becomes its first."""
    at, place = index_of(found.text, items.place), items.place
    if found.text[at : at + 1] == "[":
        return at + 1, flow(value) + (", " if items else "")
    return at, f"- {flow(value)}\n{' ' * (place.column - 1)}"


def end_of_keys(found: Original) -> int:
    """Where in the text of a file its keys end: before the second `---` of front matter, else at the end."""
    _, data, above = composed(found.text, found.file)
    return min(index_of(found.text, Place(found.file, above + 1)) + len(data), len(found.text))


def index_of(text: str, place: Place) -> int:
    return sum(len(line) + 1 for line in text.split("\n")[: place.line - 1]) + place.column - 1


def put_in(folder: Path, found: Original, at: int, text: str) -> WrittenFile:
    return add(folder, found, byte_place(found, at), text)


def check_keys(found: Original, at: int, text: str, place: Place, keys: Mapping[str, Value]) -> None:
    """The file as it would be holds the same, but for the new keys of one group of keys."""
    before, _, _ = composed(found.text, found.file)
    after, _, _ = composed(found.text[:at] + text + found.text[at:], found.file)
    table = table_at(before, place)
    if table is None:
        raise cannot_write(found.file, BY_HAND, place.line)
    wanted = dict(table) | {key: _plain(value) for key, value in keys.items()}
    if _with(before, table, wanted) != _with(after, None, {}):
        raise cannot_write(found.file, BY_HAND, place.line)


def _with(root: Any, table: Table | None, wanted: Mapping[str, Any]) -> Any:
    """The same as plain values, with other keys in one of its groups."""
    if isinstance(root, Table):
        return {
            str(key): _with(one, None if root is table else table, wanted)
            for key, one in (wanted if root is table else root).items()
        }
    if isinstance(root, (Items, list)):
        return [_with(one, table, wanted) for one in root]
    if isinstance(root, dict):
        return {key: _with(one, table, wanted) for key, one in root.items()}
    return None if root is None else str(root)


def _plain(value: Value) -> Any:
    if isinstance(value, str):
        return value
    if isinstance(value, Mapping):
        return {key: _plain(one) for key, one in value.items()}
    return [_plain(one) for one in value]
