"""A date as it stands in a record: a day, a month, a year, "about" or "before" one of them, or a range of days.

A partial date counts as its last day; its year is one in which snakes may have been on record.
"""

from __future__ import annotations

import calendar
import re
from datetime import date, timedelta

from clutchlight.model import When

FIRST_YEAR, LAST_YEAR = 1900, 2199

_DAY = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_MONTH = re.compile(r"([0-9]{4})-([0-9]{2})")
_YEAR = re.compile(r"([0-9]{4})")
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
    try:
        if found := _DAY.fullmatch(text):
            return When.day(date(int(found[1]), int(found[2]), int(found[3])))
        if found := _MONTH.fullmatch(text):
            year, month = int(found[1]), int(found[2])
            return When(date(year, month, calendar.monthrange(year, month)[1]), date(year, month, 1), text)
        if found := _YEAR.fullmatch(text):
            return When(date(int(text), 12, 31), date(int(text), 1, 1), text)
    except (ValueError, calendar.IllegalMonthError):
        return f"'{text}' is not in the calendar; look at the month and the day"
    return f"'{text}' is not a date; {_offer(text)}"


def _offer(text: str) -> str:
    usual = "write 2024-05-18, 2024-05, 2024, about 2019 or before 2022-03"
    loose = _LOOSE_DAY.fullmatch(text)
    if loose is None:
        return usual
    first, second, third = (int(part) for part in loose.groups())
    if first > 999:
        ways = [(first, second, third)]
    elif third > 999:
        ways = [(third, second, first), (third, first, second)]
    else:
        return usual
    offers = dict.fromkeys(
        f"{year:04d}-{month:02d}-{day:02d}" for year, month, day in ways if 1 <= month <= 12 and 1 <= day <= 31
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
