"""Short lines as typed into any notes app → what was said: of which animals, what happened, on which day.

    fri 20 nov
    goliath 860
    nyx refused
    pip x nettle lock
    C26-01-1..5 ate rat pup (at once)

A line names one animal or several, then one thing that happened, in the log's words or everyday ones (`reading.log.ALSO`). A figure
alone is a weight. What is in brackets at the end is a note. A day on a line of its own holds for the lines below it; a weekday alone is
the first after the day above it. What may be meant as a day, and is none, holds back the lines below it. A line that is not understood
as a whole is a problem of its own and holds up no other.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from itertools import groupby

from msgspec import Struct

from clutchlight.model.collection import DatesBegin
from clutchlight.model.private import BOX_EVENTS, CLUTCH_EVENTS, EVENTS, OFFERS, WITH_EVENTS
from clutchlight.problems import Place
from clutchlight.reading.dates import NoteDays, like_a_day, not_understood
from clutchlight.reading.findings import Findings, nearest
from clutchlight.reading.ids import Known, each
from clutchlight.reading.log import ALSO, EVENT, MEANT, perhaps_an_end
from clutchlight.reading.strict import parsed
from clutchlight.reading.text import MAX_BYTES, WrittenText, decode

_MARK = re.compile(r"(?:[-*•‣◦–—]\s+)?\[[ xX]?\]\s+|(?:[-*•‣◦–—]|[☐☑✓✔]|[0-9]{1,3}[.)])\s+|#+\s*")
_WORD = re.compile(r"[0-9]+(?:,[0-9]+)+\w*|[^\s,;×]+|[,;×]")
_GRAMS = re.compile(r"([0-9][0-9.,']*)\s*(?:g|gr|grams?)?")
_COUNT = re.compile(r"([0-9]+)\s*(?:eggs?|slugs?|young|hatchlings|babies)?")
_NO_FIGURE = re.compile(r"[a-z]{3}|/|[0-9]{4}-", re.IGNORECASE)
_NOT_SO = re.compile(r"(?:not|never|but)$|regurg|vomit|threw|puk(?:ed?|ing)$|sp[ai]t")
"""Words that say that what happened did not, or did not last."""
_NONE = frozenset({"no", "none", "0", "zero"})
"""Behind a meal: that there was none."""
_JOINS = frozenset({",", "and", "&", "+", "/", "x", "×", "with"})
_APART = frozenset({*_JOINS, ";", ":", "-", "–", "—", "then"})
_WITH_VALUE = frozenset({"weight", *OFFERS, *BOX_EVENTS, "sexed", "quarantine", "treatment", "note"})
"""Happenings behind which any words may stand."""
_MOST_WORDS_OF_A_NAME = 6
_MOST_WORDS_OF_A_DAY = 4


class Said(Struct, frozen=True):
    """One happening that a line tells of. `dated`: its date stands in the notes, or was said for all of them."""

    place: Place
    day: date
    dated: bool
    names: tuple[WrittenText, ...]
    event: str
    value: WrittenText | None = None
    note: WrittenText | None = None


class Notes(Struct, frozen=True):
    """What was understood. `unsure`: some day may be two, by what comes first in a date. `days`: each day that is said without a date, and
    what it was read as."""

    said: tuple[Said, ...]
    unsure: bool
    days: tuple[tuple[str, date], ...] = ()


_PHRASES = {tuple(words.split()): event for words, event in ({event: event for event in EVENTS} | {**ALSO}).items()}
_LONGEST = max(map(len, _PHRASES))
_WORDS = tuple(" ".join(phrase) for phrase in _PHRASES)


def read_notes(
    raw: bytes,
    file: str,
    known: Known,
    findings: Findings,
    *,
    today: date,
    on: date | None = None,
    first: DatesBegin | None = None,
) -> Notes:
    """Every line of a file. `on`: the day of lines above which none stands, else today; `first`: what comes first in a date in figures."""
    if len(raw) > MAX_BYTES:
        decode(raw, file, findings)
        return Notes((), unsure=False)
    days = NoteDays(findings, on or today, first, dated=on is not None)
    reader = _Reader(known, findings, days)
    for number, line in enumerate(raw.split(b"\n"), 1):
        own = Findings()
        text = decode(line, file, own)
        for problem in own.problems:
            findings.report(Place(file, number, problem.column), problem.code, problem.message)
        if text is None:
            days.waits()
        else:
            reader.line(WrittenText.put(text.replace("\t", " ").rstrip(), file, number, 1).trimmed())
    days.end()
    return Notes(tuple(reader.said), days.unsure, tuple(days.read_as))


class _Reader:
    """Reads line after line, with the day that holds."""

    def __init__(self, known: Known, findings: Findings, days: NoteDays) -> None:
        self.known, self.findings, self.days = known, findings, days
        self.said: list[Said] = []

    def line(self, line: WrittenText) -> None:
        mark = _MARK.match(line)
        plain = line if mark is None or self._subject(_words(line)) else line.part(line[mark.end() :], mark.end())
        words = _words(plain)
        for text in (line, plain):
            if (day := self.days.said(text)) is not None:
                self.days.begin(plain, day)
                return
        if self._may_be_a_day(plain, words, heading=line.startswith("#")):
            self.days.begin(plain, not_understood(plain))
        elif plain and not line.startswith("#") and not self.days.waits():
            self._entry(plain)

    def _may_be_a_day(self, line: WrittenText, words: Sequence[WrittenText], *, heading: bool) -> bool:
        """Whether a line that is no day may be meant as one, or begins with one: the lines below it may be of that day too."""
        if heading and any(self._a_day(words[at:]) for at in range(len(words))):
            return True
        return bool(words) and not self._subject(words) and (like_a_day(line) or self._a_day(words))

    def _a_day(self, words: Sequence[WrittenText]) -> bool:
        """Whether the first words are a day, and no figure of another kind, such as 31.2 degrees."""
        begun = (" ".join(words[:count]) for count in range(1, min(len(words), _MOST_WORDS_OF_A_DAY) + 1))
        return any(_NO_FIGURE.search(said) and self.days.said(said) is not None for said in begun)

    def _entry(self, line: WrittenText) -> None:
        """One entry: the animals, what happened, its value, and a note in brackets."""
        wrong = self.findings.errors
        plain, note = _beside(line)
        words = _words(plain)
        names, at = self._subjects(words)
        if self.findings.errors > wrong:
            return  # a range that is none
        of_two = 0 < at < len(words) and words[at].casefold() in _JOINS
        if not names or of_two:
            self._stranger(line, words[at + of_two :])
            return
        event, used = _phrase(words[at:]) or ("weight", 0)
        rest = words[at + used :]
        if event in WITH_EVENTS and len(names) == 1:
            joined = rest[1:] if rest and rest[0].casefold() in _JOINS else rest
            partners, taken = self._subjects(joined)
            names, rest = [*names, *partners], joined[taken:] if partners else rest
        said = _span(plain, rest)
        number = (_GRAMS if event == "weight" else _COUNT).fullmatch(said.casefold()) if said else None
        if event == "note":
            said, note = _span(line, _words(line)[len(words) - len(rest) :]), None
        elif self._tells_more(event, rest) or not (used or (said and said[0].isdigit())):
            self._not_understood(line, names[0], words[at:])
            return
        elif said and number and event in ("weight", *CLUTCH_EVENTS):
            said = said.part(number[1], 0)
        elif said and event not in _WITH_VALUE:
            self._not_understood(line, names[0], words[at:])
            return
        self.said.append(Said(line.place, self.days.day, self.days.dated, tuple(names), event, said, note))

    def _tells_more(self, event: str, words: Sequence[WrittenText]) -> bool:
        """Whether more is told behind what happened, which would be lost: another happening, an animal, a day, that it was otherwise."""
        if words and (words[0] in _APART or (event in OFFERS and _folded(words[0]) in _NONE)):
            return True
        may_end = event in ("quarantine", "treatment") and perhaps_an_end(_folded(" ".join(words)))
        return any(
            _NOT_SO.match(word.casefold())
            or _phrase(words[at:])
            or (self._subject(words[at:]) and not _counts(words, at))
            or (self._a_day(words[at:]) and not may_end)
            for at, word in enumerate(words)
        )

    def _not_understood(self, line: WrittenText, name: WrittenText, words: Sequence[WrittenText]) -> None:
        """Says what is wrong with what stands behind an animal."""
        word = words[0] if words else None
        if word is not None and not _phrase(words) and (_folded(word) in MEANT or nearest(_folded(word), _WORDS)):
            parsed(EVENT, word, self.findings)
            return
        such = f"write one thing that happened on a line, such as `{name} refused`, a note in brackets, and a day on a line of its own"
        self.findings.report(line.place, "note-line", f"'{line}' is not understood; {such}")

    def _stranger(self, line: WrittenText, words: Sequence[WrittenText]) -> None:
        """Says of a line, or its rest, that begins with no animal what is wrong: animals that are not known, or nothing that reads so."""
        ends = next(
            (at for at in range(1, len(words)) if _phrase(words[at:]) or _GRAMS.fullmatch(_folded(words[at]))), 0
        )
        if ends and not _phrase(words) and words[0] not in _APART:
            for joins, of_one in groupby(words[:ends], lambda word: word.casefold() in _JOINS):
                if not joins and not self._subject(one := [*of_one]):
                    start, last = one[0].column - line.column, one[-1]
                    name = line.part(line[start : last.column + len(last) - line.column], start)
                    self.known.register.report_unknown("animal", name, self.findings)
            return
        such = "write an animal and what happened, such as `goliath 860` or `nyx refused`"
        self.findings.report(line.place, "note-line", f"'{line}' is not understood; {such}")

    def _subjects(self, words: Sequence[WrittenText]) -> tuple[list[WrittenText], int]:
        """The animals that stand first, and how many words they take."""
        names: list[WrittenText] = []
        at = 0
        while found := self._subject(words[at:], self.findings):
            one, used = found
            names += one
            at += used
            if at >= len(words) or words[at].casefold() not in _JOINS or not self._subject(words[at + 1 :]):
                return names, at
            at += 1
        return names, at

    def _subject(
        self, words: Sequence[WrittenText], findings: Findings | None = None
    ) -> tuple[list[WrittenText], int] | None:
        """The animal, clutch or range that the first words name: the longest name goes first."""
        for count in range(min(len(words), _MOST_WORDS_OF_A_NAME), 0, -1):
            name = words[0].part(" ".join(words[:count]).rstrip(":"), 0)
            number = words[0].part(name.rstrip(".)"), 0)
            if named := next((one for one in (name, number) if self.known.names(one)), None):
                return [named], count
        if words and (".." in words[0] or "…" in words[0]):
            return each(words[0].part(words[0].rstrip(":"), 0), self.known, findings or Findings()), 1
        return None


def _words(line: WrittenText) -> list[WrittenText]:
    return [line.group(found) for found in _WORD.finditer(line)]


def _span(line: WrittenText, words: Sequence[WrittenText]) -> WrittenText | None:
    """What stands in a line from a word on."""
    start = words[0].column - line.column if words else len(line)
    said = line[start:].rstrip(" .")
    return line.part(said, start) if said else None


def _folded(word: str) -> str:
    return word.casefold().replace("\u2019", "'").strip(".!:") or word


def _phrase(words: Sequence[WrittenText]) -> tuple[str, int] | None:
    """The event that the first words say, and how many words that takes."""
    folded = tuple(_folded(word) for word in words[:_LONGEST])
    counts = range(len(folded), 0, -1)
    return next(((_PHRASES[folded[:count]], count) for count in counts if folded[:count] in _PHRASES), None)


def _counts(words: Sequence[WrittenText], at: int) -> bool:
    """Whether a figure stands there before what it may count, and behind no mark."""
    return words[at].isdigit() and at + 1 < len(words) and (at == 0 or words[at - 1] not in _APART)


def _beside(line: WrittenText) -> tuple[WrittenText, WrittenText | None]:
    """The line, and what stands in brackets at its end."""
    at = line.find(" (")
    if at < 1 or not line.endswith(")"):
        return line, None
    return line.part(line[:at].rstrip(), 0), line.part(line[at + 2 : -1].strip(), at + 2)
