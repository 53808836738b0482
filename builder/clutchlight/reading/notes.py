"""Short lines as typed into any notes app → what was said: of which animals, what happened, on which day.

    fri 20 nov
    goliath 860
    nyx refused
    pip x nettle lock
    C26-01-1..5 ate rat pup (at once)

A line names one animal or several, then what happened, in the log's words or everyday ones (`reading.log.ALSO`), or the other way round.
A figure alone is a weight. What is in brackets at the end, and what is left over, is a note. A day on a line of its own holds for the
lines below it, one before an entry for that entry; a weekday alone is the first after the day above it. What may be meant as a day, and is
none, holds back the lines below it. A line that is not understood is a problem of its own and holds up no other.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise

from clutchlight.model.collection import DatesBegin
from clutchlight.model.private import BOX_EVENTS, CLUTCH_EVENTS, EVENTS, WITH_EVENTS
from clutchlight.problems import Place
from clutchlight.reading.days import NoDay, day_said, like_a_day
from clutchlight.reading.findings import Findings, nearest
from clutchlight.reading.ids import Known
from clutchlight.reading.log import ALSO, EVENT, MEANT
from clutchlight.reading.several import each
from clutchlight.reading.strict import parsed
from clutchlight.reading.text import MAX_BYTES, WrittenText, decode

DATES_KEY = "say once `dates: day first`, or `month first`, in collection.yaml"
_MARK = re.compile(r"(?:[-*•‣◦–—]|\[[ xX]?\]|[☐☑✓✔]|[0-9]{1,3}[.)])\s+")
_WORD = re.compile(r"[0-9]+(?:,[0-9]+)+\w*|[^\s,;×]+|[,;×]")
_AMOUNT = re.compile(r"([0-9][0-9.,']*)(?:g|gr|grams?)?")
_GRAMS = frozenset({"g", "gr", "gram", "grams"})
_COUNTED = frozenset({"egg", "eggs", "slug", "slugs", "young", "hatchlings", "babies"})
_APART = frozenset({",", ";", ":", "-", "–", "—", "and", "&", "+", "then"})
_JOINS = frozenset({",", "and", "&", "+", "/", "x", "×", "with"})
_FILLS = frozenset({"has", "had", "was", "is", "were", "have", "just", "again"})
_EATEN = frozenset({"meal", "first meal", "refused", "assisted"})
_WITH_FIGURES = _EATEN | {"treatment", "quarantine", "cooled", "warmed"}
"""Happenings beside which a figure may stand that is no weight."""
_MOST_WORDS_OF_A_NAME = 6


@dataclass(frozen=True, slots=True)
class Said:
    """One happening that a line tells of. `dated`: its date stands in the notes, or was said for all of them."""

    place: Place
    day: date
    dated: bool
    names: tuple[WrittenText, ...]
    event: str
    value: WrittenText | None = None
    note: WrittenText | None = None


@dataclass(frozen=True, slots=True)
class Notes:
    """What was understood. `unsure`: some day may be two, by what comes first in a date. `days`: each day that is said without a date, and
    what it was read as."""

    said: tuple[Said, ...]
    unsure: bool
    days: tuple[tuple[str, date], ...] = ()


def _phrases() -> dict[tuple[str, ...], str]:
    return {tuple(words.split()): event for words, event in {**{event: event for event in EVENTS}, **ALSO}.items()}


_PHRASES = _phrases()
_LONGEST = max(map(len, _PHRASES))
_WORDS = tuple(" ".join(phrase) for phrase in _PHRASES)
_LONG_ENOUGH = 5
"""Letters of a word behind a comma that is taken for a slip of an event's, and no longer for a note."""


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
    reader = _Reader(known, findings, on or today, first, dated=on is not None)
    for number, line in enumerate(raw.split(b"\n"), 1):
        own = Findings()
        text = decode(line, file, own)
        for problem in own.problems:
            findings.report(Place(file, number, problem.column), problem.code, problem.message)
        if text is not None:
            reader.line(WrittenText.put(text.replace("\t", " ").rstrip(), file, number, 1))
        elif reader.unread is not None:
            reader.waiting += 1
    reader.tell_unread()
    return Notes(tuple(reader.said), reader.unsure, tuple(reader.days))


class _Reader:
    """Reads line after line, with the day that holds."""

    def __init__(self, known: Known, findings: Findings, today: date, first: DatesBegin | None, *, dated: bool) -> None:
        self.known, self.findings, self.today, self.first = known, findings, today, first
        self.day, self.dated, self.all_dated = today, dated, dated
        self.above: date | None = None
        self.days: list[tuple[str, date]] = []
        self.unread: tuple[Place, str] | None = None
        self.waiting = 0
        self.said: list[Said] = []
        self.unsure = False

    def line(self, line: WrittenText) -> None:
        text = _without(line, re.compile(r"\s*"))
        plain = _without(text, _MARK)
        heading = _without(plain, re.compile(r"#+\s*"))
        for day in (self._day(text), self._day(heading)):
            if day is not None:
                self._begin(heading, day)
                return
        if not plain:
            return
        if heading != plain:
            if like_a_day(heading) and not self._named(_words(heading)):
                self._begin(heading, _no_day(heading))
            return
        words = _words(plain)
        if not self._subject(words):
            for count in range(min(4, len(words) - 1), 0, -1):
                begun = plain[: _end(words[count - 1]) - plain.column + 1]
                day = self._day(begun)
                if day is None:
                    continue
                rest = plain.part(*_after(plain, words[count]))
                if not self._named(words[count:]) and (like_a_day(rest) or not _told(words[count:])):
                    self._begin(plain, day if isinstance(day, NoDay) else _no_day(plain))
                elif isinstance(day, NoDay):
                    self._doubt(plain.place, day)
                else:
                    self._entry(rest, day, dated=self._by_date(begun, day))
                return
            if like_a_day(plain) or (like_a_day(words[0]) and len(words[0]) > _LONG_ENOUGH):
                if self._named(words) or any(_phrase(words[at:]) for at in range(1, len(words))):
                    self._doubt(plain.place, _no_day(words[0]))
                else:
                    self._begin(plain, _no_day(plain))
                return
        if self.unread is not None:
            self.waiting += 1
            return
        self._entry(plain, self.day, dated=self.dated)

    # ---- days

    def _day(self, text: str) -> date | NoDay | None:
        return day_said(text, self.today, self.first, self.above)

    def _by_date(self, text: str, day: date) -> bool:
        """Whether a day is one by a date, and not by the day on which the notes are handed over; else it is noted what it was read as."""
        said = text.strip().rstrip(":")
        if any(char.isdigit() for char in said):
            return True
        self.days.append((said, day))
        counted = said.casefold() in ("today", "yesterday") or self.above is None
        return self.all_dated if counted else self.dated

    def _named(self, words: Sequence[WrittenText]) -> bool:
        return any(self._subject(words[at:]) for at in range(len(words)))

    def _begin(self, line: WrittenText, day: date | NoDay) -> None:
        """A day that holds for the lines below it; one that is not understood holds them back."""
        self.tell_unread()
        if isinstance(day, NoDay):
            self.unsure |= bool(day.either)
            self.unread = line.place, self._why(day)
        else:
            self.dated = self._by_date(line, day)
            self.day = self.above = day

    def _doubt(self, place: Place, day: NoDay) -> None:
        self.unsure |= bool(day.either)
        self.findings.report(place, "note-day", self._why(day))

    def _why(self, day: NoDay) -> str:
        return f"{day.says}, or {DATES_KEY}" if day.either else day.says

    def tell_unread(self) -> None:
        if self.unread is not None:
            place, why = self.unread
            below = (
                f" ({self.waiting} {'line waits' if self.waiting == 1 else 'lines wait'} for it)"
                if self.waiting
                else ""
            )
            self.findings.report(place, "note-day", f"{why}{below}")
        self.unread, self.waiting = None, 0

    # ---- entries

    def _entry(self, line: WrittenText, day: date, *, dated: bool) -> None:
        words = _words(line)
        names, at = self._subjects(words)
        if names and (found := _phrase(words[at:])) is not None and found[0] == "note":
            self._tell(line, day, dated, names, "note", words[at + found[1] :], None)
            return
        line, beside = _beside(line)
        words = words[: len(_words(line))]
        if not names and (found := _phrase(words)) is not None:
            named, used = self._subjects(words[found[1] :])
            if named:
                self._tell(line, day, dated, named, found[0], words[found[1] + used :], beside)
                return
        if not names:
            self._stranger(line, words)
            return
        told, wrong = len(self.said), self.findings.errors
        for event, rest in self._happenings(line, names[0], words[at:]):
            self._tell(line, day, dated, names, event, rest, None)
        if self.findings.errors > wrong:
            del self.said[told:]
        elif beside is not None and len(self.said) > told:
            last = self.said[-1]
            self.said[-1] = replace(last, note=_joined(last.note, beside))

    def _tell(
        self,
        line: WrittenText,
        day: date,
        dated: bool,
        names: Sequence[WrittenText],
        event: str,
        behind: Sequence[WrittenText],
        beside: WrittenText | None,
    ) -> None:
        """One happening, with what stands behind its word parted into value and note."""
        value: WrittenText | None = None
        words: Sequence[WrittenText] = behind
        if event in WITH_EVENTS and len(names) == 1:
            joined = words[1:] if words and words[0].casefold() in _JOINS else words
            partners, at = self._subjects(joined)
            names = [*names, *partners]
            words = joined[at:] if partners else words
        if event == "weight" or event in CLUTCH_EVENTS:
            value, words = _number(line, words, event)
        elif event in _EATEN or event in BOX_EVENTS:
            value, words = _text(line, words), ()
        elif event == "sexed" and words:
            value, words = words[0], words[1:]
        note = _text(line, words)
        if more := self._more(event, behind if event in _EATEN else words):
            said = _text(line, [*more])
            what = f"'{said}' tells of something else as well; write one line for each, or put it into brackets if it is a note"
            self.findings.report(more[0].place, "note-line", what)
            return
        self.said.append(Said(line.place, day, dated, tuple(names), event, value, _joined(note, beside)))

    def _more(self, event: str, words: Sequence[WrittenText]) -> Sequence[WrittenText]:
        """What is left over from a happening on, from an animal, or from a figure that may be a weight: it would be lost in a note."""
        if event == "note" or event in BOX_EVENTS:
            return ()
        for at, word in enumerate(words):
            counted = event in CLUTCH_EVENTS and _folded(word) in _COUNTED
            unit = at + 1 < len(words) and _folded(words[at + 1]) in _COUNTED
            figure = _AMOUNT.fullmatch(_folded(word)) and not (unit and event in CLUTCH_EVENTS)
            if (
                (figure and event not in _WITH_FIGURES)
                or self._subject(words[at:])
                or (_phrase(words[at:]) and not counted)
            ):
                return words[at:]
        return ()

    def _happenings(
        self, line: WrittenText, name: WrittenText, words: Sequence[WrittenText]
    ) -> Iterator[tuple[str, Sequence[WrittenText]]]:
        """Each word of what happened, and what stands behind it up to the next."""
        while words and _folded(words[0]) in (*_APART, *_FILLS):
            words = words[1:]
        found = _phrase(words)
        if found is None and words and _AMOUNT.fullmatch(_folded(words[0])):
            found = "weight", 0
        if found is None:
            self._no_event(line, name, words)
            return
        event, used = found
        rest = words[used:]
        end = next((at for at in range(len(rest)) if _begins_anew(rest, at, event)), len(rest))
        for before, word in pairwise(rest[:end]):
            near = nearest(_folded(word), _WORDS) if before in (",", ";") and len(word) >= _LONG_ENOUGH else None
            if near:
                what = f"'{word}' is no event of the log; the nearest is '{_PHRASES[tuple(near.split())]}'; put a note into brackets"
                self.findings.report(word.place, "unknown-word", what)
        yield event, rest[:end]
        if end < len(rest):
            yield from self._happenings(line, name, rest[end:])

    def _no_event(self, line: WrittenText, name: WrittenText, words: Sequence[WrittenText]) -> None:
        """Says what is wrong with what stands behind an animal."""
        said = _text(line, words)
        if said is None:
            what = f"nothing stands behind '{name}'; write what happened, such as `{name} refused`"
            self.findings.report(line.place, "note-line", what)
            return
        word = words[0]
        if _folded(word) in MEANT or nearest(_folded(word), _WORDS):
            parsed(EVENT, word, self.findings)
        else:
            what = f"'{said}' is no event of the log; write `{name} note {said}` if it is a note"
            self.findings.report(said.place, "unknown-word", what)

    def _stranger(self, line: WrittenText, words: Sequence[WrittenText]) -> None:
        """Says of a line that names no animal what is wrong: an animal that is not known, or nothing that reads like an entry."""
        told = [at for at in range(1, len(words)) if _phrase(words[at:]) or _AMOUNT.fullmatch(_folded(words[at]))]
        behind = _phrase(words)
        name = _text(line, words[: told[0]]) if told else None
        if behind is not None and behind[1] < len(words) and behind[1] not in told:
            name = _text(line, words[behind[1] :])
        if name is None:
            what = (
                f"'{line}' is not understood; write an animal and what happened, such as `goliath 860` or `nyx refused`"
            )
            self.findings.report(line.place, "note-line", what)
        elif self.known.register is not None:
            self.known.register.report_unknown("animal", name, self.findings)

    def _subjects(self, words: Sequence[WrittenText]) -> tuple[list[WrittenText], int]:
        """The animals that stand first, and how many words they take."""
        names: list[WrittenText] = []
        at = 0
        while found := self._subject(words[at:]):
            one, used = found
            names += one
            at += used
            if at >= len(words) or words[at].casefold() not in _JOINS or not self._subject(words[at + 1 :]):
                return names, at
            at += 1
        return names, at

    def _subject(self, words: Sequence[WrittenText]) -> tuple[list[WrittenText], int] | None:
        """The animal, clutch or range that the first words name: the longest name goes first."""
        for count in range(min(len(words), _MOST_WORDS_OF_A_NAME), 0, -1):
            name = words[0].part(" ".join(words[:count]).rstrip(":"), 0)
            register = self.known.register
            if register is not None and (register.find(name) or register.ids_called(name)):
                return [name], count
        if words and (".." in words[0] or "…" in words[0]):
            return each(words[0].part(words[0].rstrip(":"), 0), self.known, self.findings), 1
        return None


def _without(text: WrittenText, pattern: re.Pattern[str]) -> WrittenText:
    found = pattern.match(text)
    return text if found is None else text.part(text[found.end() :], found.end())


def _words(line: WrittenText) -> list[WrittenText]:
    return [line.part(found[0], found.start()) for found in _WORD.finditer(line)]


def _end(word: WrittenText) -> int:
    return word.column + len(word) - 1


def _after(line: WrittenText, word: WrittenText) -> tuple[str, int]:
    """What is left of a line from a word on, and where."""
    offset = word.column - line.column
    return line[offset:], offset


def _folded(word: str) -> str:
    return word.casefold().replace("\u2019", "'").strip(".!:") or word


def _phrase(words: Sequence[WrittenText]) -> tuple[str, int] | None:
    """The event that the first words say, and how many words that takes."""
    folded = tuple(_folded(word) for word in words[:_LONGEST])
    counts = range(len(folded), 0, -1)
    return next(((_PHRASES[folded[:count]], count) for count in counts if folded[:count] in _PHRASES), None)


def _begins_anew(words: Sequence[WrittenText], at: int, event: str) -> bool:
    """Whether another happening begins there: behind a comma or an `and`, or straight behind a weight's figure or a shed."""
    figures = all(_AMOUNT.fullmatch(_folded(word)) or _folded(word) in _GRAMS for word in words[:at])
    behind = at == 0 if event == "shed" else event == "weight" and figures and at > 0
    if behind and _phrase(words[at:]) is not None:
        return True
    if _folded(words[at]) not in _APART:
        return False
    return _phrase([word for word in words[at + 1 :] if _folded(word) not in _FILLS]) is not None


def _told(words: Sequence[WrittenText]) -> bool:
    """Whether words tell of something behind what may be a name."""
    return any(_phrase(words[at:]) or _AMOUNT.fullmatch(_folded(words[at])) for at in range(1, len(words)))


def _no_day(text: str) -> NoDay:
    return NoDay(f"'{text}' reads like a day and is not understood; write the day alone, such as `sat 21 nov`")


def _text(line: WrittenText, words: Sequence[WrittenText]) -> WrittenText | None:
    """Words as they stand in the line; None for none."""
    while words and words[0] in (",", ";", ":", "-", "–", "—"):
        words = words[1:]
    if not words:
        return None
    start = words[0].column - line.column
    said = line[start : _end(words[-1]) - line.column + 1].rstrip(" ,;.")
    return line.part(said, start) if said else None


def _number(
    line: WrittenText, words: Sequence[WrittenText], event: str
) -> tuple[WrittenText | None, Sequence[WrittenText]]:
    """The figure that stands first, without its unit, and the words behind it."""
    found = _AMOUNT.fullmatch(_folded(words[0])) if words else None
    if found is None:
        return (_text(line, words), ()) if event == "weight" else (None, words)
    figure = words[0].part(found[1], 0)
    rest = words[1:]
    if event == "weight" and rest and (re.fullmatch(r"[0-9]{3}", rest[0]) or _folded(rest[0]) in ("kg", "lb", "oz")):
        return _text(line, words), ()
    if rest and _folded(rest[0]) in (_GRAMS if event == "weight" else _COUNTED):
        rest = rest[1:]
    return figure, rest


def _beside(line: WrittenText) -> tuple[WrittenText, WrittenText | None]:
    """The line, and what stands in brackets at its end."""
    at = line.find(" (")
    if at < 1 or not line.endswith(")"):
        return line, None
    return line.part(line[:at].rstrip(), 0), line.part(line[at + 2 : -1].strip(), at + 2)


def _joined(one: WrittenText | None, other: WrittenText | None) -> WrittenText | None:
    if not one or not other:
        return one or other
    return one.part(f"{one}; {other}", 0)
