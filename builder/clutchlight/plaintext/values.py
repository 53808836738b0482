"""What was written, as values that know where they stand: texts, lists and tables of keys.

`Text`, `Items` and `Table` are the only kinds of value that a file can hold; what a text means (a date, a chance, a
number) is decided by the field that it stands in.
"""

from __future__ import annotations

from typing import Any

from clutchlight.problems import Place


class Text(str):
    """One word or sentence as it was written; `empty` when nothing stood after the key."""

    __slots__ = ("column", "empty", "file", "line")
    file: str
    line: int
    column: int
    empty: bool

    @classmethod
    def at(cls, value: str, place: Place, empty: bool = False) -> Text:
        return cls.put(value, place.file, place.line, place.column, empty)

    @classmethod
    def put(cls, value: str, file: str, line: int, column: int, empty: bool = False) -> Text:
        text = cls(value)
        text.file, text.line, text.column, text.empty = file, line, column, empty
        return text

    @property
    def place(self) -> Place:
        return Place(self.file, self.line, self.column)

    def part(self, value: str, offset: int) -> Text:
        """A piece of this text that begins `offset` characters into it."""
        return Text.put(value, self.file, self.line, self.column + offset)


class Items(list[Any]):
    """A list as it was written."""

    __slots__ = ("place",)
    place: Place


class Mark:
    """Where a table of keys stands, where each of its keys does, and where each value begins.

    All marks are equal, so that two records are equal when they say the same, wherever they stand.
    """

    __slots__ = ("keys", "place", "values")

    def __init__(self, place: Place, keys: dict[str, Text] | None = None) -> None:
        self.place = place
        self.keys = keys if keys is not None else {}
        self.values: dict[str, Place] = {}

    def key(self, name: str) -> Place:
        """Where a key stands; the table's own place when the key was not written."""
        found = self.keys.get(name)
        return found.place if found is not None else self.place

    def value(self, name: str) -> Place:
        """Where the value of a key begins; where the key stands when it has none of its own."""
        return self.values.get(name) or self.key(name)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Mark)

    def __hash__(self) -> int:
        return 0


class Table(dict[str, Any]):
    """Keys and values as they were written; `mark` says where."""

    __slots__ = ("mark",)
    mark: Mark

    @classmethod
    def of(cls, place: Place, **values: Any) -> Table:
        """A table that stands for a short form written at `place`."""
        table = cls(values)
        table.mark = Mark(place)
        for name, value in values.items():
            table.mark.values[name] = place_of(value) or place
        return table


def place_of(value: object) -> Place | None:
    """Where a written value stands."""
    if isinstance(value, (Text, Items)):
        return value.place
    if isinstance(value, Table):
        return value.mark.place
    return None


def kind_of(value: object) -> str:
    """What a written value is, in words."""
    if isinstance(value, Items):
        return "a list"
    if isinstance(value, Table):
        return "a group of keys"
    return "a text"
