"""Short lines as typed into any notes app → what was said: of which animals, what happened, on which day.

    fri 20 nov
    goliath 860
    nyx refused
    pip x nettle lock
    C26-01-1..5 ate rat pup (at once)

A line names one animal or several, then what happened, in the log's words or everyday ones (`reading.log.ALSO`), or the other way round.
A figure alone is a weight. What is in brackets at the end, and what is left over, is a note. A day on a line of its own holds for the
lines below it, one before or behind an entry for that entry; a weekday alone is the first after the day above it. What may be meant as a
day, and is none, holds back the lines below it. A line that is not understood is a problem of its own and holds up no other.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.model.collection import DatesBegin
from clutchlight.model.private import BOX_EVENTS, CLUTCH_EVENTS, EVENTS, OFFERS, WITH_EVENTS
from clutchlight.problems import Place
from clutchlight.reading.dates import NoDay, NoteDays, like_a_day, not_understood
from clutchlight.reading.findings import Findings, nearest
from clutchlight.reading.ids import Known, each
from clutchlight.reading.log import ALSO, EVENT, MEANT, NO_END, OVER, last_day, perhaps_an_end
from clutchlight.reading.strict import parsed
from clutchlight.reading.text import MAX_BYTES, WrittenText, decode

_MARK = re.compile(r"(?:[-*•‣◦–—]\s+)?\[[ xX]?\]\s+|(?:[-*•‣◦–—]|[☐☑✓✔]|[0-9]{1,3}[.)])\s+")
_WORD = re.compile(r"[0-9]+(?:,[0-9]+)+\w*|[^\s,;×]+|[,;×]")
_AMOUNT = re.compile(r"([0-9][0-9.,']*)(?:g|gr|grams?)?")
_GRAMS = frozenset({"g", "gr", "gram", "grams"})
_COUNTED = frozenset({"egg", "eggs", "slug", "slugs", "young", "hatchlings", "babies"})
_APART = frozenset({",", ";", ":", "-", "–", "—", "and", "&", "+", "then"})
_JOINS = frozenset({",", "and", "&", "+", "/", "x", "×", "with"})
_FILLS = frozenset({"has", "had", "was", "is", "were", "have", "just", "again"})
_WITH_FIGURES = frozenset({*OFFERS, "treatment", "quarantine", "cooled", "warmed"})
"""Happenings beside which a figure may stand that is no weight."""
_PREY = re.compile(
    "(?:rat|mouse|pup|pinkie|hopper|weaner|weanling|rodent|gerbil|hamster|chick|quail)s?|mice|pink(?:y|ies)|fuzz(?:y|ies)|f/t"
)
"""Words behind a figure that may be the weight of what was eaten."""
_MOST_WORDS_OF_A_NAME = 6
_MOST_WORDS_OF_A_DAY = 4
_MOST_FIGURES_OF_A_COUNT = 2
_NOT_ITS_DAY = frozenset({"until", "till", "to", "from", "since", "by", "before", "after", "next", "due"})
"""Words behind which a day at the end of an entry is another than its own."""
_NOT_SO = re.compile(r"(?:not|never|but)\b|.*\b(?:regurg|vomit|threw up)")
"""Behind what happened: it may not have, or did not last."""
_THE_SAME = frozenset({"it", "them", "him", "her", "all", "both"})
"""Words by which a happening is spoken of again: `ate rat, took it well` is one meal."""


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
            reader.line(WrittenText.put(text.replace("\t", " ").rstrip(), file, number, 1))
    days.end()
    return Notes(tuple(reader.said), days.unsure, tuple(days.read_as))


class _Reader:
    """Reads line after line, with the day that holds."""

    def __init__(self, known: Known, findings: Findings, days: NoteDays) -> None:
        self.known, self.findings, self.days = known, findings, days
        self.said: list[Said] = []

    def line(self, line: WrittenText) -> None:
        text = _without(line, re.compile(r"\s*"))
        plain = _without(text, _MARK)
        plain = plain if self._named(_words(plain)) or not self._subject(_words(text)) else text
        heading = _without(plain, re.compile(r"#+\s*"))
        for day in (self.days.said(text), self.days.said(heading)):
            if day is not None:
                self.days.begin(heading, day)
                return
        if not plain:
            return
        if heading != plain:
            named, dated = self._named(_words(heading)), any(self._days_in(_words(heading)))
            if dated if named else like_a_day(heading):
                self.days.begin(heading, not_understood(heading))
            return
        words = _words(plain)
        begun = _span(plain, words[0], words[1]) if len(words) > 2 else ""
        by_date = _surely_a_day(begun) and self.days.said(begun) is not None
        begins = (by_date or not self._subject(words)) and self._begins_with_day(plain, words)
        if not begins and not self._ends_with_day(plain, words) and not self.days.waits():
            self._entry(plain, self.days.day, dated=self.days.dated)

    def _begins_with_day(self, line: WrittenText, words: Sequence[WrittenText]) -> bool:
        """Whether a line begins with a day, or with what may be meant as one; it is read then."""
        for count in range(min(_MOST_WORDS_OF_A_DAY, len(words) - 1), 0, -1):
            begun = _span(line, words[0], words[count - 1])
            day = self.days.said(begun)
            if day is None:
                continue
            begins = next((at for at in range(count, len(words)) if words[at] not in _APART), count)
            rest = _span(line, words[begins])
            if not self._named(words[count:]) and (like_a_day(rest) or not _told(words[count:])):
                self.days.begin(line, day if isinstance(day, NoDay) else not_understood(line))
            elif isinstance(day, NoDay):
                self.days.doubt(line.place, day)
            else:
                self._entry(rest, day, dated=self.days.by_date(begun, day))
            return True
        if not like_a_day(line) and not (like_a_day(words[0]) and len(words[0]) > _LONG_ENOUGH):
            return False
        if self._named(words) or any(_phrase(words[at:]) for at in range(1, len(words))):
            self.days.doubt(line.place, not_understood(words[0]))
        else:
            self.days.begin(line, not_understood(line))
        return True

    def _ends_with_day(self, line: WrittenText, words: Sequence[WrittenText]) -> bool:
        """Whether a day stands behind an entry, as in `nyx refused 20 nov`; the entry is read then."""
        phrases = [found for at in range(len(words)) if (found := _phrase(words[at:]))]
        if not self._named(words) or any(event == "note" for event, _ in phrases):
            return False
        for count in range(min(_MOST_WORDS_OF_A_DAY, len(words) - 2), 0, -1):
            begins, before = words[-count], words[:-count]
            said = _span(line, begins)
            day = self.days.said(said) if _surely_a_day(said) else None
            if day is None:
                continue
            eaten = next((event in OFFERS for at in range(len(before)) if (event := _whole(before[at:]))), False)
            if _folded(before[-1]) in _NOT_ITS_DAY or ("/" in said and eaten):
                return False
            if isinstance(day, NoDay):
                self.days.doubt(line.place, day)
            else:
                entry = before[:-1] if _folded(before[-1]) in (*_APART, "on") else before
                self._entry(_span(line, words[0], entry[-1]), day, dated=self.days.by_date(said, day))
            return True
        return False

    def _days_in(self, words: Sequence[WrittenText]) -> Iterator[date | NoDay]:
        """The days that words hold among others."""
        for at in range(len(words)):
            for count in range(1, min(_MOST_WORDS_OF_A_DAY, len(words) - at) + 1):
                said = " ".join(words[at : at + count])
                if _surely_a_day(said) and (day := self.days.said(said)) is not None:
                    yield day

    def _named(self, words: Sequence[WrittenText]) -> bool:
        return any(self._subject(words[at:]) for at in range(len(words)))

    def _entry(self, line: WrittenText, day: date, *, dated: bool) -> None:
        words = _words(line)
        wrong, told = self.findings.errors, len(self.said)
        names, at = self._subjects(words)
        if names and (found := _phrase(words[at:])) is not None and found[0] == "note":
            self._tell(line, day, dated, names, "note", words[at + found[1] :])
            return
        line, beside = _beside(line)
        words = words[: len(_words(line))]
        event_first: list[tuple[str, Sequence[WrittenText]]] = []
        if not names and (found := _phrase(words)) is not None:
            names, used = self._subjects(words[found[1] :])
            event_first = [(found[0], words[found[1] + used :])]
        if self.findings.errors > wrong:
            return  # a range that is none
        if not names:
            self._stranger(line, words)
            return
        for event, rest in event_first or self._happenings(line, names[0], words[at:]):
            self._tell(line, day, dated, names, event, rest)
        if self.findings.errors > wrong:
            del self.said[told:]
        elif beside is not None:
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
    ) -> None:
        """One happening, with what stands behind its word parted into value and note."""
        value: WrittenText | None = None
        words: Sequence[WrittenText] = behind
        if event != "note" and _NOT_SO.match(_folded(" ".join(words))):
            what = f"'{_text(line, words)}' may mean that it was otherwise; write that as a `note`, or put it into brackets"
            self.findings.report(words[0].place, "note-line", what)
            return
        if event in WITH_EVENTS and len(names) == 1:
            joined = words[1:] if words and words[0].casefold() in _JOINS else words
            partners, at = self._subjects(joined)
            names = [*names, *partners]
            words = joined[at:] if partners else words
        if event == "weight" or event in CLUTCH_EVENTS:
            value, words = _number(line, words, event)
        elif event in OFFERS or event in BOX_EVENTS:
            apart = (at for at, word in enumerate(words) if _folded(word) in _APART and _again(words[at + 1 :], event))
            end = next(apart, len(words))
            value, words, behind = _text(line, words[:end]), words[end:], words[:end]
        elif event == "sexed" and words:
            value, words = words[0], words[1:]
        elif event in ("quarantine", "treatment") and words:
            begins = [_folded(" ".join(words[:at])) for at in range(4)]
            end = next((at for at in (3, 2, 1) if begins[at] in OVER or last_day(begins[at], day)), 0)
            if not end and perhaps_an_end(_folded(" ".join(words))):
                self.findings.report(words[0].place, "note-line", f"'{_text(line, words)}' {NO_END} into brackets")
                return
            value, words = _text(line, words[:end]), words[end:]
        if more := self._more(event, behind if event in OFFERS else words):
            said = _text(line, [*more])
            what = f"'{said}' tells of something else as well; write one line for each, or put it into brackets if it is a note"
            self.findings.report(more[0].place, "note-line", what)
            return
        self.said.append(Said(line.place, day, dated, tuple(names), event, value, _text(line, words)))

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
                or (not (_counts(words, at) and event in _WITH_FIGURES) and self._subject(words[at:]))
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
            words, found = _figure_first(words)
            told = words[: _end_of(words, "weight")]
            if found[0] == "weight" and _may_be_eaten(told) and not self._more("weight", told[1:]):
                either = f"`{name} weight {words[0]}` or `{name} ate {_text(line, told)}`"
                what = f"'{_text(line, told)}' may be a weight or what was eaten; write {either}"
                self.findings.report(words[0].place, "note-line", what)
                return
        elif found is None and len(words) > 2 and _folded(words[0]) == "lost" and _folded(words[2]) in ("egg", "eggs"):
            found = "egg lost", 1
        if found is None:
            self._no_event(line, name, words)
            return
        event, used = found
        rest = words[used:]
        end = _end_of(rest, event)
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
            what = f"nothing follows '{name}'; write what happened, such as `{name} refused`"
            if any(word.casefold() in ("x", "×", "with") for word in _words(line)):
                what = f"nothing follows '{line}'; a pairing needs `paired` or `lock` behind it, such as `{line} lock`"
            self.findings.report(line.place, "note-line", what)
            return
        word = words[0]
        if _folded(word) in MEANT or nearest(_folded(word), _WORDS):
            parsed(EVENT, word, self.findings)
        else:
            what = f"'{said}' is no event of the log; write `{name} note {said}` if it is a note"
            self.findings.report(said.place, "unknown-word", what)

    def _stranger(self, line: WrittenText, words: Sequence[WrittenText]) -> None:
        """Says of a line that begins with no animal what is wrong: an animal that is not known, or nothing that reads like an entry."""
        told = _told(words)
        behind = _phrase(words)
        name = _text(line, words[: told[0]]) if told else None
        if behind is not None and behind[1] < len(words) and behind[1] not in told:
            name = _text(line, words[behind[1] :])
        if name is None or self.known.register.find(name) is not None:
            such = "write an animal and what happened, such as `goliath 860` or `nyx refused`"
            self.findings.report(line.place, "note-line", f"'{line}' is not understood; {such}")
        else:
            self.known.register.report_unknown("animal", name, self.findings)

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


def _without(text: WrittenText, pattern: re.Pattern[str]) -> WrittenText:
    found = pattern.match(text)
    return text if found is None else text.part(text[found.end() :], found.end())


def _words(line: WrittenText) -> list[WrittenText]:
    return [line.group(found) for found in _WORD.finditer(line)]


def _span(line: WrittenText, first: WrittenText, last: WrittenText | None = None) -> WrittenText:
    """What stands in a line from one word to another, or to its end."""
    start = first.column - line.column
    end = len(line) if last is None else last.column + len(last) - line.column
    return line.part(line[start:end], start)


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
    following = [word for word in words[at + 1 :] if _folded(word) not in _FILLS]
    return _phrase(following) is not None and not _again(following, event)


def _end_of(words: Sequence[WrittenText], event: str) -> int:
    """Where another happening begins, or the line ends."""
    return next((at for at in range(len(words)) if _begins_anew(words, at, event)), len(words))


def _again(words: Sequence[WrittenText], event: str) -> bool:
    """Whether words speak of the same happening once more: `took it well`."""
    found = _phrase(words)
    return found is not None and found[0] == event and _folded(" ".join(words[found[1] : found[1] + 1])) in _THE_SAME


def _whole(words: Sequence[WrittenText]) -> str:
    """The event that words say and nothing besides; "" where they do not."""
    found = _phrase(words)
    return found[0] if found is not None and found[1] == len(words) else ""


def _figure_first(words: Sequence[WrittenText]) -> tuple[Sequence[WrittenText], tuple[str, int]]:
    """A weight; or with its event in front what is said with the number first, as in `2 eggs lost`."""
    for at in (1, 2):
        found = _phrase(words[at:])
        if found is not None and found[0] in CLUTCH_EVENTS and (at == 1 or _folded(words[1]) in _COUNTED):
            used = at + found[1]
            return [*words[at:used], words[0], *words[used:]], found
    return words, ("weight", 0)


def _counts(words: Sequence[WrittenText], at: int) -> bool:
    """Whether a figure stands there before what it may count, and behind no mark."""
    figure = _AMOUNT.fullmatch(words[at]) is not None and words[at].isdigit()
    behind = at == 0 or _folded(words[at - 1]) not in _APART | _JOINS
    return figure and behind and at + 1 < len(words) and words[at + 1][0].isalpha()


def _may_be_eaten(words: Sequence[WrittenText]) -> bool:
    """Whether a figure that stands first may count or weigh what was eaten: a small one before a word, any one with prey behind it."""
    few = len(words[0]) <= _MOST_FIGURES_OF_A_COUNT and _counts(words, 0) and not _is_unit(words[1])
    return few or any(_PREY.fullmatch(_folded(word)) for word in words[1:])


def _is_unit(word: str) -> bool:
    return _folded(word) in (*_GRAMS, "kg", "lb", "oz")


def _surely_a_day(said: str) -> bool:
    """Whether a day among other words is no figure of another kind, such as 31.2 degrees, and says more than a weekday."""
    plain = said.casefold()
    if plain in ("today", "yesterday"):
        return True
    if not any(char.isdigit() for char in plain) or re.match(r"[0-9]{3,}(?:\s|$)", plain):
        return False
    return re.search(r"[a-z]{3}|/|[0-9]{4}-", plain) is not None


def _told(words: Sequence[WrittenText]) -> list[int]:
    """Where words tell of something behind what may be a name."""
    return [at for at in range(1, len(words)) if _phrase(words[at:]) or _AMOUNT.fullmatch(_folded(words[at]))]


def _text(line: WrittenText, words: Sequence[WrittenText]) -> WrittenText | None:
    """Words as they stand in the line; None for none."""
    while words and words[0] in (",", ";", ":", "-", "–", "—"):
        words = words[1:]
    if not words:
        return None
    whole = _span(line, words[0], words[-1])
    said = whole.rstrip(" ,;.")
    return whole.part(said, 0) if said else None


def _number(
    line: WrittenText, words: Sequence[WrittenText], event: str
) -> tuple[WrittenText | None, Sequence[WrittenText]]:
    """The figure that stands first, without its unit, and the words behind it."""
    found = _AMOUNT.fullmatch(_folded(words[0])) if words else None
    if found is None:
        return (_text(line, words), ()) if event == "weight" else (None, words)
    figure = words[0].part(found[1], 0)
    rest = words[1:]
    if (
        event == "weight"
        and rest
        and (re.fullmatch(r"[0-9]{3}", rest[0]) or (_is_unit(rest[0]) and _folded(rest[0]) not in _GRAMS))
    ):
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
