"""Bytes of a file → text that is safe to read: UTF-8, one kind of line ending, no character that hides.

A byte order mark and Windows line ends are fine. Hard spaces and curly quotes, as phones type them, are read as the plain
ones where data is read (never in prose). Control, bidirectional and invisible characters are refused, because what a
person sees would not be what stands there: as they are, as an escape of YAML ("\\u202e"), and as a reference in prose (&#x202e;).
HTML comments are notes to oneself: they are dropped from every text that is read, and nothing that stands in one goes further.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import unescape
from typing import Any, NamedTuple, TypeVar

from clutchlight.problems import Place
from clutchlight.reading.findings import Findings

T = TypeVar("T")

MAX_BYTES = 4 * 1024 * 1024

_HARD_SPACES = str.maketrans(dict.fromkeys("\u00a0\u2007\u202f", " "))
_QUOTES = str.maketrans({"“": '"', "”": '"', "„": '"', "‘": "'", "’": "'", "‚": "'"})
_HIDDEN = re.compile(
    "[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u2028\u2029\ud800-\udfff\ufff9-\ufffb\ufffe\uffff]|"
    "(?P<bidi>[\u061c\u200e\u200f\u202a-\u202e\u2066-\u206f])|"
    "(?P<unseen>[\u180e\u200b\u2060-\u2064\ufeff])"
)
_REFERENCE = re.compile(r"&(?:#[xX]0*[0-9a-fA-F]{1,6}(?![0-9a-fA-F])|#0*[0-9]{1,7}(?![0-9])|[A-Za-z][A-Za-z0-9]*);?")
_COMMENT = re.compile(r"<!--.*?(?:-->|\Z)", re.DOTALL)
_QUOTED_VALUE = re.compile(r"(?<![^\s\[{,])[“”„]([^“”„\"\\\n]*)[“”\"](?=\s*(?:$|[,\]}:]|#))", re.MULTILINE)
_ANY_CURLY = re.compile("[“”„‘’‚]")


class FrontMatter(NamedTuple):
    """A .md file in two: the data between its two `---` lines, and the prose below."""

    data: str
    first_line: int
    prose: str


def decode(raw: bytes, file: str, findings: Findings) -> str | None:
    """The text of a file with plain line ends; None when it cannot be read, which is then reported once."""
    if len(raw) > MAX_BYTES:
        said = f"this file is larger than {MAX_BYTES} bytes; split it into several files"
        findings.report(Place(file), "file-too-large", said)
        return None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start].decode("utf-8-sig", errors="replace")
        place = place_in(before, len(before), file)
        findings.report(place, "not-utf8", "this is not UTF-8 text; save the file again with the encoding UTF-8")
        return None
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    hidden = hidden_in(text)
    if hidden is None:
        return text
    findings.report(place_in(text, hidden.at, file), hidden.code, hidden.message)
    return None


class Hidden(NamedTuple):
    """A character that nobody sees, and where it begins in a text: the code and the message of the problem that it is."""

    at: int
    code: str
    message: str


def hidden_in(text: str) -> Hidden | None:
    """The first control, bidirectional or invisible character of a text; a tab and the end of a line are none."""
    found = _HIDDEN.search(text)
    return None if found is None else _hidden(found.start(), found)


def _hidden(at: int, found: re.Match[str], written: str = "") -> Hidden:
    name = f"{written}U+{ord(found.group()):04X}"
    if found.group("bidi"):
        message = f"a character here turns the direction of writing ({name}); delete it and type the word again"
        return Hidden(at, "bidi-character", message)
    kind = "an invisible character" if found.group("unseen") else "a control character"
    return Hidden(at, "control-character", f"{kind} stands here ({name}); delete it and type the word again")


def hidden_reference(text: str) -> Hidden | None:
    """The first reference in Markdown or HTML (`&#x202e;`, `&rlm;`) that stands for such a character."""
    for reference in _REFERENCE.finditer(text):
        meant = unescape(reference.group()) or "\0"  # what may not be written at all is a control character
        if found := _HIDDEN.search(meant):
            return _hidden(reference.start(), found, f"written {reference.group()}, ")
    return None


def without_hidden(text: str) -> str:
    """The text without any such character: for what was made from a text that has been checked."""
    return _HIDDEN.sub("", text)


def without_comments(text: str) -> str:
    """The text without HTML comments; one that is never closed, or that only the removal of another makes, runs to the end.

    >>> without_comments("Calm. <!-- sold to A. B. --> Eats well.")
    'Calm.  Eats well.'
    """
    return _COMMENT.sub("", text).partition("<!--")[0] if "<!--" in text else text


def split_front_matter(text: str, file: str, findings: Findings) -> FrontMatter | None:
    """Takes a .md file apart; None when it has no front matter, which is then reported."""
    lines = text.split("\n")
    first = next((number for number, line in enumerate(lines) if line.strip()), None)
    if first is None or lines[first].rstrip() != "---":
        said = "the file does not begin with a line `---`; put the record between two such lines"
        findings.report(Place(file, (first or 0) + 1), "no-front-matter", said)
        return None
    for number in range(first + 1, len(lines)):
        if lines[number].rstrip() == "---":
            data = "\n".join(lines[first + 1 : number]) + "\n"
            return FrontMatter(data, first + 1, "\n".join(lines[number + 1 :]).strip("\n"))
    said = "the record that begins here has no second `---` line; add one below its last key"
    findings.report(Place(file, first + 1), "front-matter-open", said)
    return None


def plain_candidates(data: str) -> tuple[str, ...]:
    """Ways to read data with a phone's characters, best first; each keeps every character's place."""
    spaced = data.translate(_HARD_SPACES)
    if not _ANY_CURLY.search(spaced):
        return (spaced,)
    quoted = _QUOTED_VALUE.sub(lambda found: f'"{found.group(1)}"', spaced)
    return (quoted, spaced) if quoted != spaced else (spaced,)


def plain_text(value: str) -> str:
    """One scalar with its curly quotes, and hard spaces that were written as escapes, made plain."""
    return value.translate(_QUOTES).translate(_HARD_SPACES)


def slug_of(text: str) -> str:
    """Words as a part of an address or of a file's name: small letters and digits, a `-` between them."""
    return re.sub(r"[^a-z0-9]+", "-", text.casefold()).strip("-")


def one_case(text: str) -> str:
    """Words by which names are compared: in small letters, one space between them."""
    return " ".join(text.casefold().split())


def by_word(words: Mapping[T, str]) -> dict[str, T]:
    """What each word means, of `word|word` by what they mean."""
    return {word: meant for meant, several in words.items() for word in several.split("|")}


def place_in(text: str, index: int, file: str, lines_above: int = 0) -> Place:
    """The line and column of a character of a text."""
    line = lines_above + text.count("\n", 0, index) + 1
    return Place(file, line, index - text.rfind("\n", 0, index))


class WrittenText(str):
    """One word or sentence as it was written; `empty` when nothing stood after the key."""

    __slots__ = ("column", "empty", "file", "line")
    file: str
    line: int
    column: int
    empty: bool

    @classmethod
    def at(cls, value: str, place: Place) -> WrittenText:
        return cls.put(value, place.file, place.line, place.column)

    @classmethod
    def put(cls, value: str, file: str, line: int, column: int, empty: bool = False) -> WrittenText:
        text = cls(value)
        text.file, text.line, text.column, text.empty = file, line, column, empty
        return text

    @property
    def place(self) -> Place:
        return Place(self.file, self.line, self.column)

    def part(self, value: str, offset: int) -> WrittenText:
        """A piece of this text that begins `offset` characters into it."""
        return WrittenText.put(value, self.file, self.line, self.column + offset)

    def group(self, found: re.Match[str], group: str | int = 0) -> WrittenText:
        """The piece of this text that a group of a match is."""
        return self.part(found[group], found.start(group))

    def trimmed(self) -> WrittenText:
        """This text without the spaces around it."""
        return self.part(self.strip(), len(self) - len(self.lstrip()))

    def pieces(self, apart: re.Pattern[str]) -> Items:
        """What stands between the matches of a pattern, without the spaces around; empty pieces are left out."""
        found, start = Items(), 0
        found.place = self.place
        for mark in (*apart.finditer(self), None):
            piece = self.part(self[start : mark.start() if mark else None], start).trimmed()
            if piece:
                found.append(piece)
            start = mark.end() if mark else start
        return found


class Items(list[Any]):
    """A list as it was written."""

    __slots__ = ("place",)
    place: Place


class Mark:
    """Where a table of keys stands, where each of its keys does, and where each value begins."""

    __slots__ = ("keys", "place", "values")

    def __init__(self, place: Place) -> None:
        self.place = place
        self.keys: dict[str, WrittenText] = {}
        self.values: dict[str, Place] = {}

    def key(self, name: str) -> Place:
        """Where a key stands; the table's own place when the key was not written."""
        found = self.keys.get(name)
        return found.place if found is not None else self.place

    def value(self, name: str) -> Place:
        """Where the value of a key begins; where the key stands when it has none of its own."""
        return self.values.get(name) or self.key(name)


class Table(dict[str, Any]):
    """Keys and values as they were written; `mark` says where."""

    __slots__ = ("mark",)
    mark: Mark

    @property
    def place(self) -> Place:
        return self.mark.place

    @classmethod
    def of(cls, place: Place, **values: Written) -> Table:
        """A table that stands for a short form written at `place`."""
        table = cls(values)
        table.mark = Mark(place)
        table.mark.values |= {name: value.place for name, value in values.items()}
        return table


Written = WrittenText | Items | Table
"""A value as it was written."""


def is_empty(value: object) -> bool:
    """Whether nothing stands behind a key, or in an item of a list."""
    return isinstance(value, WrittenText) and value.empty


def kind_of(value: Written) -> str:
    """What a written value is, in words."""
    if isinstance(value, Items):
        return "a list"
    return "a group of keys" if isinstance(value, Table) else "a text"
