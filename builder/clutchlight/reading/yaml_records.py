"""Text of a file → tables, lists and texts with their places, through PyYAML's base loader (the C one where it is built).

Only the plain part of YAML is taken: what could make a record mean something else than it looks like is refused, each
under its own code (duplicate keys, anchors, aliases, tags, merge keys, several documents). The tree is built from the
parser's events, and how deep it may be is bounded, so that no nesting can exhaust the stack. A file with such a fault is not
read further: the fault is the one problem that it gives.

HTML comments are dropped from every text, as from prose. One that is not closed where it begins runs to the end of its text;
where `-->` follows in a later one, nobody can tell what lies between, and the file is refused.
"""

from __future__ import annotations

import re
from typing import Any

import yaml

from clutchlight.problems import Place
from clutchlight.reading.findings import Findings
from clutchlight.reading.strict import UnfitError
from clutchlight.reading.text import (
    Items,
    Table,
    Written,
    WrittenText,
    hidden_in,
    is_empty,
    plain_candidates,
    plain_text,
    without_comments,
)

MAX_DEPTH = 16
_OF_DOCUMENTS = (yaml.StreamStartEvent, yaml.DocumentStartEvent, yaml.DocumentEndEvent, yaml.StreamEndEvent)

_LOADER: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
_LOST = re.compile(r"[ \t]+#(?:(?P<word>[^\s#!-][^\n]*)|[ \t]*(?P<number>\d+)[ \t]*(?:\n|\Z))")
_LOST_IN_BRACKETS = re.compile(r"[ \t]#(?=\S)")
_THOUSANDS_BEFORE = re.compile(r"\d$")
_THOUSANDS = re.compile(r"\d{3}(?:\.\d+)?\Z")


def compose(data: str, file: str, findings: Findings, first_line: int = 0) -> Written | None:
    """The one document in `data`; None when it is empty or refused (which is then reported).

    `first_line` is the number of lines of the file above `data`.
    """
    tries: list[Findings] = []
    for candidate in plain_candidates(data):
        own = Findings()
        try:
            root = _TreeBuilder(candidate, file, first_line, own).build()
        except UnfitError as refused:
            own.report(refused.at or Place(file), refused.code, refused.message)
        except yaml.MarkedYAMLError as error:
            if not own.problems:
                line, column, code, message = _unreadable(error, candidate)
                own.report(Place(file, first_line + line + 1, column + 1), code, message)
        except (yaml.YAMLError, ValueError) as error:  # without the C loader, an escape can name no character at all
            own.report(Place(file, first_line + 1), "not-yaml", f"this cannot be read: {error}; type the line again")
        if not own.problems:
            return root
        tries.append(own)
    findings.problems += tries[0].problems
    return None


class _TreeBuilder:
    """Builds the tree of one document from the parser's events."""

    def __init__(self, data: str, file: str, first_line: int, findings: Findings) -> None:
        self.data, self.file, self.first_line, self.findings = data, file, first_line, findings
        self.has_hash = "#" in data
        self.has_escape = "\\" in data
        self.has_comment = "<!--" in data or self.has_escape
        self.open_comment: Any = None
        self.curly = self.has_escape or any(char in data for char in "“”„‘’‚")

    def build(self) -> Written | None:
        self.next_event = _LOADER(self.data).get_event
        root: Written | None = None
        while (event := self.next_event()) is not None:
            kind = event.__class__
            if kind is yaml.DocumentStartEvent and root is not None:
                said = "a second document begins here; keep one record or list in a file"
                raise UnfitError("several-documents", said, self._place(event.start_mark))
            if kind not in _OF_DOCUMENTS:
                root = self._value(event, 0)
        return None if is_empty(root) else root

    def _value(self, event: Any, depth: int, *, is_key: bool = False) -> Written:
        """The value that begins with an event, read to its end."""
        kind = event.__class__
        if kind is not yaml.AliasEvent:
            self._refuse_extras(event)
        if kind is yaml.ScalarEvent:
            return self._text(event)
        place = self._place(event.start_mark)
        if kind is yaml.AliasEvent:
            said = f"`*{event.anchor}` would repeat another place; write the value out, or put it in quotes"
            self.findings.report(place, "alias", said)
            return WrittenText.at("", place)
        if depth >= MAX_DEPTH:
            said = f"this is nested over {MAX_DEPTH} levels deep; write it flatter"
            raise UnfitError("too-deep", said, place)
        if is_key:
            said = "a key must be a single word or phrase; put a text with brackets in quotes"
            self.findings.report(place, "not-yaml", said)
        if kind is yaml.SequenceStartEvent:
            items = Items()
            items.place = place
            while (event := self.next_event()).__class__ is not yaml.SequenceEndEvent:
                items.append(self._value(event, depth + 1))
            return items
        table = Table.of(place)
        while (event := self.next_event()).__class__ is not yaml.MappingEndEvent:
            key = self._key(table, self._value(event, depth + 1, is_key=True))
            value = self._value(self.next_event(), depth + 1)
            self._refuse_lost_comma(table, key, value)
            table[key] = value
            table.mark.values[key] = value.place
        return table

    def _key(self, parent: Table, value: Written) -> WrittenText:
        if not isinstance(value, WrittenText):
            return WrittenText.at("", value.place)
        if value == "<<":
            self.findings.report(value.place, "merge-key", "`<<` would merge another record in; write the keys out")
        if value in parent:
            first = parent.mark.keys[value]
            said = f"'{value}' already stands in line {first.line}; keep the one that is right"
            self.findings.report(value.place, "duplicate-key", said)
        parent.mark.keys[value] = value
        return value

    def _text(self, event: Any) -> WrittenText:
        mark = event.start_mark
        plain = event.implicit[0] and event.style in (None, "")
        if plain and self.has_hash:
            self._refuse_lost_text(event)
        if self.has_escape and event.style == '"' and (hidden := hidden_in(event.value)) is not None:
            self.findings.report(self._place(mark), hidden.code, hidden.message)
        value = self._without_comments(event.value, mark) if self.has_comment else event.value
        empty = not value and (plain or bool(event.value))
        value = plain_text(value) if self.curly else value
        return WrittenText.put(value, self.file, self.first_line + mark.line + 1, mark.column + 1, empty)

    def _without_comments(self, value: str, mark: Any) -> str:
        left = without_comments(value)
        if self.open_comment is not None and "-->" in left:
            said = f"a comment begins here and ends in another text, in line {self.first_line + mark.line + 1}"
            remedy = "close it with `-->` in the text where it begins"
            self.findings.report(self._place(self.open_comment), "comment-in-text", f"{said}; {remedy}")
            self.open_comment = None
        if left == value:
            return value
        if value.rfind("<!--") > value.rfind("-->"):
            self.open_comment = mark
        return left if "\n" in left.strip() else left.strip()

    def _refuse_extras(self, event: Any) -> None:
        if event.anchor is not None:
            said = f"`&{event.anchor}` would name this place; put a text that begins with & in quotes"
            self.findings.report(self._place(event.start_mark), "anchor", said)
        if event.tag is not None:
            said = "a word that begins with ! is read as a tag; put it in quotes"
            self.findings.report(self._place(event.start_mark), "tag", said)

    def _refuse_lost_text(self, event: Any) -> None:
        end = event.end_mark
        if lost := _LOST.match(self.data, end.index):
            place = Place(self.file, self.first_line + end.line + 1, end.column + lost.group().index("#") + 1)
            shown = (lost.group("word") or lost.group("number")).rstrip(" \t]}")
            said = f"`#{shown}` would be lost, because ` #` begins a comment; put the whole value in quotes"
            self.findings.report(place, "text-after-hash", f"{said}, or a space after the # if a comment is meant")

    def _refuse_lost_comma(self, parent: Table, key: WrittenText, value: Written) -> None:
        """`{price: 1,200}` reads as the price 1 and an empty key 200."""
        if not (parent and is_empty(value) and _THOUSANDS.match(key)):
            return
        before, number = next(reversed(parent.items()))
        if isinstance(number, WrittenText) and number.line == key.line and _THOUSANDS_BEFORE.search(number):
            said = (
                f"`{before}: {number},{key}` reads as {number} and a key '{key}', because a comma parts keys inside {{ }};"
                f" write {number}{key} without the comma"
            )
            self.findings.report(number.place, "comma-in-number", said)

    def _place(self, mark: Any) -> Place:
        return Place(self.file, self.first_line + mark.line + 1, mark.column + 1)


def _unreadable(error: yaml.MarkedYAMLError, data: str) -> tuple[int, int, str, str]:
    """The parser's complaint in our words: the line and column (from 0) where a person would look, the code and the message."""
    mark = error.problem_mark or error.context_mark
    line, column = (mark.line, mark.column) if mark is not None else (0, 0)
    lines = data.split("\n")
    here = lines[line] if line < len(lines) else ""
    what, context = error.problem or "", error.context or ""
    opened, char = error.context_mark, here[column : column + 1]
    no_token = "found character '\\t'" in what or ("cannot start any token" in what and char)
    if "flow" in context and opened is not None:
        for number in range(opened.line, min(line, len(lines) - 1) + 1):
            lost = _LOST_IN_BRACKETS.search(lines[number], opened.column if number == opened.line else 0)
            if lost is not None:
                said = "everything after this # is lost, because ` #` begins a comment; put the whole value in quotes"
                return number, lost.start() + 1, "text-after-hash", said
        bracket = "}" if "mapping" in context else "]"
        message = f"the bracket opened here is not closed, or a comma is missing; close it with `{bracket}`"
        return opened.line, opened.column, "not-yaml", message
    if "mapping values are not allowed" in what and ": " not in here[:column]:
        column = len(here) - len(here.lstrip())
        message = "this line is indented as if it went on with the value above; give keys of one record the same indent"
    elif "mapping values are not allowed" in what:
        message = "a second `: ` in a line is read as another key; put the whole value in quotes"
    elif "tab character" in what or (no_token and char == "\t"):
        message = "a tab stands here; indent with spaces"
    elif no_token:
        message = f"a value cannot begin with {char!r}; put the whole value in quotes"
    elif opened is not None and ("quoted scalar" in context or "could not find expected ':'" in what):
        line, column = opened.line, opened.column
        message = "this line has no `: ` after its key; write `key: value`"
        if "quoted scalar" in context:
            message = "the quotation mark opened here is not closed; add the closing one"
    elif any(f"block {kind}" in context for kind in ("mapping", "collection", "sequence")):
        message = "this line does not line up with the lines above; give keys of one record the same indent"
    else:
        message = f"this cannot be read ({what or error}); look at this line and the one above"
    return line, column, "not-yaml", message
