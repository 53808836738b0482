"""A date as it stands in a record, a day as people say it, and which day holds for a line of notes.

In a record: a day, a month, a year, "about" or "before" one of them, or a range of days. A partial date counts as its last day; its year
is one in which snakes may have been on record.

Said: `yesterday`, `fri`, `20 nov`, `25/11`, `2026-11-12`. Without a year it is the last such day, the day that is asked by included;
`mon 16th` has to be one of the last 31 days. A day and a month in figures that could change places are never guessed: who asks says which
comes first, or both days are given back.

In notes a day that is not understood holds back the lines below it up to the next; it is told once, with how many wait for it.
"""

from __future__ import annotations

import calendar
import re
from datetime import date, timedelta

from msgspec import Struct

from clutchlight.model import When
from clutchlight.model.collection import DatesBegin
from clutchlight.problems import Place
from clutchlight.reading.findings import Findings, nearest
from clutchlight.reading.text import WrittenText

FIRST_YEAR, LAST_YEAR = 1900, 2199

_DATE = re.compile(r"([0-9]{4})(?:-([0-9]{2})(?:-([0-9]{2}))?)?")
_SPAN = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})\s*\.\.\.?\s*([0-9-]+)")
_LOOSE_DAY = re.compile(r"([0-9]{1,4})[-./ ]([0-9]{1,2})[-./ ]([0-9]{1,4})")


def read_date(text: str, *, spans: bool = False) -> When | str:
    """A date as it is written, or what is wrong with it."""
    span = _SPAN.fullmatch(text)
    if span is not None:
        return _read_span(span.group(1), span.group(2)) if spans else f"'{text}' is a range; write one date here"
    word, _, rest = text.partition(" ")
    word = word.casefold()
    if word in ("about", "before") and rest:
        plain = _read_plain(rest)
        if isinstance(plain, str):
            return plain
        if word == "about":
            return When(plain.last, plain.first, f"about {plain.text}", vague=True)
        return When(plain.first - timedelta(days=1), date.min, f"before {plain.text}", vague=True)
    return _read_plain(text)


def fault_of_year(text: str, year: int) -> str | None:
    """Why a date can be no snake's; None when it can."""
    if FIRST_YEAR <= year <= LAST_YEAR:
        return None
    return f"'{text}' lies outside the years {FIRST_YEAR} to {LAST_YEAR}; look at the year"


def _read_plain(text: str) -> When | str:
    when = _in_calendar(text)
    return when if isinstance(when, str) else fault_of_year(text, when.last.year) or when


def _in_calendar(text: str) -> When | str:
    found = _DATE.fullmatch(text)
    if found is None:
        return f"'{text}' is not a date; {_offer(text)}"
    try:
        year, month, day = int(found[1]), int(found[2] or 12), int(found[3] or 1)
        if found[3]:
            return When.day(date(year, month, day))
        return When(date(year, month, calendar.monthrange(year, month)[1]), date(year, int(found[2] or 1), 1), text)
    except ValueError:
        return f"'{text}' is not in the calendar; look at the month and the day"


def _offer(text: str) -> str:
    usual = "write 2024-05-18, 2024-05, 2024, about 2019 or before 2022-03"
    loose = _LOOSE_DAY.fullmatch(text)
    if loose is None:
        return usual
    first, second, third = map(int, loose.groups())
    ways = [(first, second, third)] if first > 999 else [(third, second, first), (third, first, second)]
    offers = dict.fromkeys(
        f"{year:04d}-{month:02d}-{day:02d}"
        for year, month, day in ways
        if year > 999 and 1 <= month <= 12 and 1 <= day <= 31
    )
    return f"write {' or '.join(offers)}" if offers else usual


def _read_span(first: str, rest: str) -> When | str:
    start = _read_plain(first)
    if isinstance(start, str):
        return start
    full = first[: len(first) - len(rest)] + rest if len(rest) < len(first) else rest
    end = _read_plain(full)
    if isinstance(end, str) or len(full) != len(first):
        return f"'{first}..{rest}' is not a range of days; write {first}..{first[-2:]} or two full dates"
    if end.last < start.first:
        return f"the range '{first}..{rest}' ends before it begins; write the earlier day first"
    if end.last == start.first:
        return start
    return When(end.last, start.first, f"{first}..{rest}")


# ---- as people say it


_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_MONTHS = (
    *("january", "february", "march", "april", "may", "june", "july"),
    *("august", "september", "october", "november", "december"),
)
_WEEKDAY_CALLED = {called: at for at, name in enumerate(_WEEKDAYS) for called in (name, name[:3])}
_WEEKDAY_CALLED |= {"tues": 1, "weds": 2, "thur": 3, "thurs": 3}
_MONTH_CALLED = {"sept": 9, **{called: at for at, name in enumerate(_MONTHS, 1) for called in (name, name[:3])}}
_ISO = re.compile(r"([0-9]{4})[-/.]([0-9]{1,2})[-/.]([0-9]{1,2})")
_FIGURES = re.compile(r"([0-9]{1,2})([-/.])([0-9]{1,2})(?:\2|\2([0-9]{4}|[0-9]{2}))?")
_DAY_SAID = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?")
_YEAR_SAID = re.compile(r"[0-9]{4}")
_BESIDE_DAYS = frozenset({"the", "of", "morning", "noon", "afternoon", "evening", "night", "round"})
_SOON = 7
"""A day without its year that comes in so many days is a slip rather than a day of last year."""
_SLIP_FROM = 5
"""Letters of a word from which on a slip of a day's or month's name is looked for: shorter ones are too near to other words."""


class NoDay(Struct, frozen=True):
    """Why what reads like a day is none. `either`: the days that it may be, where it may be two."""

    says: str
    either: tuple[date, ...] = ()


def day_said(
    text: str, today: date, first: DatesBegin | None = None, above: date | None = None, *, ahead: bool = False
) -> date | NoDay | None:
    """The day that is meant; None where the text does not read like a day at all. `above`: a weekday alone is the first after it.

    `ahead`: what has no year is the next of its kind, not the last.
    """
    words = _words(text)
    weekday = next((found for word in words if (found := _weekday(word)) is not None), None)
    rest = [word for word in words if _weekday(word) is None]
    if not words or len(words) - len(rest) > 1 or len(words) > 4:
        return None
    if len(words) == 2 and words[0] == "last" and weekday is not None and not ahead:
        return today - timedelta(days=(today.weekday() - weekday - 1) % 7 + 1)
    if words == ["tomorrow"]:
        return today + timedelta(days=1) if ahead else NoDay("tomorrow has not come yet; name the day it happened")
    above = today if ahead else above
    if weekday is not None and not rest:
        if above is not None:
            return above + timedelta(days=(weekday - above.weekday() - 1) % 7 + 1)
        return today - timedelta(days=(today.weekday() - weekday) % 7)
    if weekday is not None and len(rest) == 1 and (number := _DAY_SAID.fullmatch(rest[0].rstrip("."))):
        return _of_month(text.strip(), weekday, int(number[1]), today, ahead)
    day = _plain(text.strip(), rest, today, first, ahead)
    if isinstance(day, NoDay):
        day = next((one for one in day.either if one.weekday() == weekday), day)
    no_year = re.search(r"[0-9]{4}|[0-9][-/.][0-9]+[-/.][0-9]", text) is None
    if isinstance(day, date) and no_year and not ahead and 365 - _SOON <= (today - day).days <= 366:
        return NoDay(f"'{text.strip()}' is still to come this year; write the year if you mean {day}")
    if isinstance(day, date) and weekday is not None and day.weekday() != weekday:
        return NoDay(f"{day} is a {_WEEKDAYS[day.weekday()].capitalize()}; correct the date or the day of the week")
    return day


def like_a_day(text: str) -> bool:
    """Whether a text that is no day may be meant as one: it begins with a weekday or a month, slips of the finger allowed, or is made
    of such words and figures."""
    words = _words(text)
    named = [_names_a_day(word) for word in words]
    figures = [_DAY_SAID.fullmatch(word.rstrip(".")) is not None for word in words]
    if all(
        name or figure or word in _BESIDE_DAYS or _YEAR_SAID.fullmatch(word)
        for word, name, figure in zip(words, named, figures, strict=True)
    ):
        return any(named) or any(figure and not word.isdigit() for word, figure in zip(words, figures, strict=True))
    if not named[0]:
        return any(
            (figures[at] and named[at + 1]) or (named[at] and figures[at + 1]) for at in range(min(3, len(words) - 1))
        )
    return len(words[0]) >= _SLIP_FROM and all(len(word) < 3 or not word[:2].isdigit() for word in words)


def _words(text: str) -> list[str]:
    plain = text.casefold().strip().rstrip(":")
    return re.sub(r"(?<=[0-9])(?=[a-z]{3})(?!st|nd|rd|th)", " ", plain).replace(",", " ").split()


def _names_a_day(word: str) -> bool:
    plain = word.rstrip(".:")
    if plain in ("today", "yesterday") or plain in _WEEKDAY_CALLED or plain in _MONTH_CALLED:
        return True
    return len(plain) >= _SLIP_FROM and nearest(plain, (*_WEEKDAYS, *_MONTHS, "today", "yesterday")) is not None


def _of_month(text: str, weekday: int, day: int, today: date, ahead: bool) -> date | NoDay:
    """`mon 16th`: the one of the last 31 days, or of the next, that is both."""
    near = (today + timedelta(days=away if ahead else -away) for away in range(31))
    found = next((one for one in near if one.day == day and one.weekday() == weekday), None)
    name, which = _WEEKDAYS[weekday].capitalize(), "next" if ahead else "last"
    return found or NoDay(
        f"'{text}': no {name} of the {which} 31 days has that date; write the month, such as `{day} nov`"
    )


def _weekday(word: str) -> int | None:
    return _WEEKDAY_CALLED.get(word.rstrip("."))


def _plain(text: str, words: list[str], today: date, first: DatesBegin | None, ahead: bool) -> date | NoDay | None:
    """A day without the name of a weekday."""
    if words == ["today"]:
        return today
    if words == ["yesterday"]:
        return today - timedelta(days=1)
    if len(words) > 1:
        return _with_month(text, words, today, ahead)
    if iso := _ISO.fullmatch(words[0]):
        return _of(text, int(iso[1]), int(iso[2]), int(iso[3]))
    if figures := _FIGURES.fullmatch(words[0]):
        return _in_figures(text, int(figures[1]), int(figures[3]), figures[4], today, first, ahead)
    return None


def _in_figures(
    text: str, one: int, other: int, year: str | None, today: date, first: DatesBegin | None, ahead: bool
) -> date | NoDay:
    pairs = {"day first": (other, one), "month first": (one, other)}
    ways = [pairs[first]] if first else [pair for pair in dict.fromkeys(pairs.values()) if pair[0] <= 12]
    found = [_dated(text, month, day, year, today, ahead) for month, day in ways]
    days = tuple(day for day in found if isinstance(day, date))
    if len(days) == 2:
        said = " or ".join(f"{day.day} {_MONTHS[day.month - 1].capitalize()}" for day in days)
        return NoDay(f"'{text}' may be {said}; write {days[0]} or {days[1]}", days)
    why = next((none for none in found if none != _not_in_calendar(text)), _not_in_calendar(text))
    return days[0] if days else why


def _with_month(text: str, words: list[str], today: date, ahead: bool) -> date | NoDay | None:
    """`20 nov`, `november 20th 2026`."""
    months = [at for word in words if (at := _MONTH_CALLED.get(word.rstrip("."))) is not None]
    days = [int(found[1]) for word in words if (found := _DAY_SAID.fullmatch(word.rstrip(".")))]
    years = [word for word in words if _YEAR_SAID.fullmatch(word)]
    if len(months) != 1 or len(days) != 1 or len(years) > 1 or len(words) != 2 + len(years):
        return None
    return _dated(text, months[0], days[0], next(iter(years), None), today, ahead)


def _dated(text: str, month: int, day: int, year: str | None, today: date, ahead: bool) -> date | NoDay:
    if year is not None:
        return _of(text, int(year) if len(year) == 4 else 2000 + int(year), month, day)
    for away in range(9):  # the twenty-ninth of February is eight years from the next at most
        found = _of(text, today.year + (away if ahead else -away), month, day)
        if isinstance(found, date) and (found >= today if ahead else found <= today):
            return found
    return _not_in_calendar(text)


def _of(text: str, year: int, month: int, day: int) -> date | NoDay:
    try:
        found = date(year, month, day)
    except ValueError:
        return _not_in_calendar(text)
    fault = fault_of_year(text, year)
    return found if fault is None else NoDay(fault)


def _not_in_calendar(text: str) -> NoDay:
    return NoDay(f"'{text}' is not in the calendar; look at the month and the day")


# ---- in notes


_DATES_KEY = "say once `dates: day first`, or `month first`, in collection.yaml"


class NoteDays:
    """The days of notes, line after line. `day`: the one that holds; `dated`: it stands in the notes, or was said for all of them.

    `unsure`: some day may be two, by what comes first in a date. `read_as`: each day that is said without a date, and what it was read as.
    """

    def __init__(self, findings: Findings, today: date, first: DatesBegin | None, *, dated: bool) -> None:
        self._findings, self._today, self._first = findings, today, first
        self.day, self.dated, self._all_dated = today, dated, dated
        self._above: date | None = None
        self._unread: tuple[Place, str] | None = None
        self._waiting = 0
        self.unsure = False
        self.read_as: list[tuple[str, date]] = []

    def said(self, text: str) -> date | NoDay | None:
        return day_said(text, self._today, self._first, self._above)

    def begin(self, line: WrittenText, day: date | NoDay) -> None:
        """A day that holds for the lines below it; of one that is said without a date it is noted what it was read as."""
        self.end()
        if isinstance(day, NoDay):
            self.unsure |= bool(day.either)
            self._unread = line.place, f"{day.says}, or {_DATES_KEY}" if day.either else day.says
            return
        self.day = self._above = day
        said = line.rstrip(":")
        if any(char.isdigit() for char in said):
            self.dated = True
            return
        self.read_as.append((said, day))
        if said.casefold() in ("today", "yesterday"):
            self.dated = self._all_dated

    def end(self) -> None:
        """Tells of the day above where it is not understood."""
        if self._unread is not None:
            place, why = self._unread
            waiting = f"{self._waiting} {'line waits' if self._waiting == 1 else 'lines wait'}"
            self._findings.report(place, "note-day", f"{why} ({waiting} for it)" if self._waiting else why)
        self._unread, self._waiting = None, 0

    def waits(self) -> bool:
        """Whether a line has to wait for the day above it, which is not understood; it is counted."""
        if self._unread is None:
            return False
        self._waiting += 1
        return True


def not_understood(text: str) -> NoDay:
    return NoDay(f"'{text}' reads like a day and is not understood; write the day alone, such as `sat 21 nov`")
