"""Bytes of a file → text that is safe to read: UTF-8, one kind of line ending, no character that hides.

A byte order mark and Windows line ends are fine. Hard spaces and curly quotes, as phones type them, are read as the plain
ones where data is read (never in prose). Control, bidirectional and invisible characters are refused, because what a
person sees would not be what stands there.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from clutchlight.plaintext.findings import Findings
from clutchlight.problems import Place

MAX_BYTES = 4 * 1024 * 1024

_HARD_SPACES = str.maketrans(dict.fromkeys("\u00a0\u2007\u202f", " "))
_QUOTES = str.maketrans({"“": '"', "”": '"', "„": '"', "‘": "'", "’": "'", "‚": "'"})
_HIDDEN = re.compile(
    "[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u2028\u2029\ufffe\uffff]|"
    "(?P<bidi>[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069])|"
    "(?P<unseen>[\u200b\u2060\ufeff])"
)
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
        findings.report(
            Place(file),
            "file-too-large",
            f"this file is larger than {MAX_BYTES} bytes; split it into several files",
        )
        return None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start].decode("utf-8-sig", errors="replace")
        line, column = _position(before, len(before))
        findings.report(
            Place(file, line, column), "not-utf8", "this is not UTF-8 text; save the file again with the encoding UTF-8"
        )
        return None
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    hidden = _HIDDEN.search(text)
    if hidden is None:
        return text
    place = Place(file, *_position(text, hidden.start()))
    name = f"U+{ord(hidden.group()):04X}"
    if hidden.group("bidi"):
        findings.report(
            place,
            "bidi-character",
            f"a character here turns the direction of writing ({name}); delete it and type the word again",
        )
    else:
        kind = "an invisible character" if hidden.group("unseen") else "a control character"
        findings.report(place, "control-character", f"{kind} stands here ({name}); delete it and type the word again")
    return None


def split_front_matter(text: str, file: str, findings: Findings) -> FrontMatter | None:
    """Takes a .md file apart; None when it has no front matter, which is then reported."""
    lines = text.split("\n")
    first = next((number for number, line in enumerate(lines) if line.strip()), None)
    if first is None or lines[first].rstrip() != "---":
        findings.report(
            Place(file, (first or 0) + 1),
            "no-front-matter",
            "the file does not begin with a line `---`; put the record between two such lines",
        )
        return None
    for number in range(first + 1, len(lines)):
        if lines[number].rstrip() == "---":
            data = "\n".join(lines[first + 1 : number]) + "\n"
            return FrontMatter(data, first + 1, "\n".join(lines[number + 1 :]).strip("\n"))
    findings.report(
        Place(file, first + 1),
        "front-matter-open",
        "the record that begins here has no second `---` line; add one below its last key",
    )
    return None


def plain_candidates(data: str) -> tuple[str, ...]:
    """Ways to read data with a phone's characters, best first; each keeps every character's place."""
    spaced = data.translate(_HARD_SPACES)
    if not _ANY_CURLY.search(spaced):
        return (spaced,)
    quoted = _QUOTED_VALUE.sub(lambda found: f'"{found.group(1)}"', spaced)
    return (quoted, spaced) if quoted != spaced else (spaced,)


def plain_text(value: str) -> str:
    """One scalar with its curly quotes made plain."""
    return value.translate(_QUOTES)


def _position(text: str, index: int) -> tuple[int, int]:
    line = text.count("\n", 0, index) + 1
    return line, index - (text.rfind("\n", 0, index) + 1) + 1
