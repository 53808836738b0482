"""A day as people say it: `yesterday`, `fri`, `20 nov`, `25/11`, `2026-11-12`.

Without a year it is the last such day, the day that is asked by included; `mon 16th` has to be one of the last 31 days. A day and a month
in figures that could change places are never guessed: who asks says which comes first, or both days are given back.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta

from clutchlight.model.collection import DatesBegin
from clutchlight.reading.dates import fault_of_year
from clutchlight.reading.findings import nearest

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_SHORT = {"tues": 1, "weds": 2, "thur": 3, "thurs": 3}
_MONTHS = (
    *("january", "february", "march", "april", "may", "june", "july"),
    *("august", "september", "october", "november", "december"),
)
_ISO = re.compile(r"([0-9]{4})[-/.]([0-9]{1,2})[-/.]([0-9]{1,2})")
_FIGURES = re.compile(r"([0-9]{1,2})([-/.])([0-9]{1,2})(?:\2|\2([0-9]{4}|[0-9]{2}))?")
_DAY = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?")
_YEAR = re.compile(r"[0-9]{4}")
_BESIDE_DAYS = frozenset({"the", "of", "morning", "noon", "afternoon", "evening", "night", "round"})
_SLIP_FROM = 5
"""Letters of a word from which on a slip of a day's or month's name is looked for: shorter ones are too near to other words."""


@dataclass(frozen=True, slots=True)
class NoDay:
    """Why what reads like a day is none. `either`: the days that it may be, where it may be two."""

    says: str
    either: tuple[date, ...] = ()


def day_said(text: str, today: date, first: DatesBegin | None = None, above: date | None = None) -> date | NoDay | None:
    """The day that is meant; None where the text does not read like a day at all. `above`: a weekday alone is the first after it."""
    words = _words(text)
    weekday = next((found for word in words if (found := _weekday(word)) is not None), None)
    rest = [word for word in words if _weekday(word) is None]
    if not words or len(words) - len(rest) > 1 or len(words) > 4:
        return None
    if not rest and above is not None:
        return above + timedelta(days=((weekday or 0) - above.weekday() - 1) % 7 + 1)
    if not rest:
        return today - timedelta(days=(today.weekday() - (weekday or 0)) % 7)
    if weekday is not None and len(rest) == 1 and (number := _DAY.fullmatch(rest[0].rstrip("."))):
        return _of_last_days(text.strip(), weekday, int(number[1]), today)
    day = _plain(text.strip(), rest, today, first)
    if isinstance(day, date) and weekday is not None and day.weekday() != weekday:
        return NoDay(f"{day} is a {_WEEKDAYS[day.weekday()].capitalize()}; correct the date or the day of the week")
    return day


def like_a_day(text: str) -> bool:
    """Whether a text that is no day may be meant as one: it begins with a weekday or a month, slips of the finger allowed, or is made
    of such words and figures."""
    words = _words(text)
    if not words:
        return False
    named = [_names_a_day(word) for word in words]
    figures = [_DAY.fullmatch(word.rstrip(".")) is not None for word in words]
    if all(
        name or figure or word in _BESIDE_DAYS or _YEAR.fullmatch(word)
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
    if plain in ("today", "yesterday") or _weekday(plain) is not None or _month(plain) is not None:
        return True
    return len(plain) >= _SLIP_FROM and nearest(plain, (*_WEEKDAYS, *_MONTHS, "today", "yesterday")) is not None


def _of_last_days(text: str, weekday: int, day: int, today: date) -> date | NoDay:
    """`mon 16th`: the one of the last 31 days that is both."""
    last = (today - timedelta(days=back) for back in range(31))
    found = next((one for one in last if one.day == day and one.weekday() == weekday), None)
    name = _WEEKDAYS[weekday].capitalize()
    return found or NoDay(
        f"'{text}': no {name} of the last 31 days has that date; write the month, such as `{day} nov`"
    )


def _weekday(word: str) -> int | None:
    plain = word.rstrip(".")
    if plain in _SHORT:
        return _SHORT[plain]
    return next((at for at, name in enumerate(_WEEKDAYS) if plain in (name, name[:3])), None)


def _plain(text: str, words: list[str], today: date, first: DatesBegin | None) -> date | NoDay | None:
    """A day without the name of a weekday."""
    if words == ["today"]:
        return today
    if words == ["yesterday"]:
        return today - timedelta(days=1)
    if len(words) == 1:
        if iso := _ISO.fullmatch(words[0]):
            return _of(text, int(iso[1]), int(iso[2]), int(iso[3]))
        if figures := _FIGURES.fullmatch(words[0]):
            return _in_figures(text, int(figures[1]), int(figures[3]), figures[4], today, first)
        return None
    return _with_month(text, words, today)


def _in_figures(
    text: str, one: int, other: int, year: str | None, today: date, first: DatesBegin | None
) -> date | NoDay:
    pairs = {"day first": (other, one), "month first": (one, other)}
    ways = [pairs[first]] if first else [pair for pair in dict.fromkeys(pairs.values()) if pair[0] <= 12]
    found = [_dated(text, month, day, year, today) for month, day in ways]
    days = tuple(day for day in found if isinstance(day, date))
    if len(days) == 2:
        said = " or ".join(f"{day.day} {_MONTHS[day.month - 1].capitalize()}" for day in days)
        return NoDay(f"'{text}' may be {said}; write {days[0]} or {days[1]}", days)
    return days[0] if days else _not_in_calendar(text)


def _with_month(text: str, words: list[str], today: date) -> date | NoDay | None:
    """`20 nov`, `november 20th 2026`."""
    months = [at for word in words if (at := _month(word)) is not None]
    days = [int(found[1]) for word in words if (found := _DAY.fullmatch(word.rstrip(".")))]
    years = [word for word in words if _YEAR.fullmatch(word)]
    if len(months) != 1 or len(days) != 1 or len(years) > 1 or len(words) != 2 + len(years):
        return None
    return _dated(text, months[0], days[0], years[0] if years else None, today)


def _month(word: str) -> int | None:
    plain = word.rstrip(".")
    return next(
        (at for at, name in enumerate(_MONTHS, 1) if plain in (name, name[:3]) or plain == name[:4] == "sept"), None
    )


def _dated(text: str, month: int, day: int, year: str | None, today: date) -> date | NoDay:
    if year is not None:
        return _of(text, int(year) if len(year) == 4 else 2000 + int(year), month, day)
    for back in range(9):  # the twenty-ninth of February is eight years from the next at most
        found = _of(text, today.year - back, month, day)
        if isinstance(found, date) and found <= today:
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
