"""The days of a spreadsheet: what a cell says of one, in the forms that people type, and how those of one sheet are read.

A form that could mean two days is not read: of two small numbers the breeder says once for a sheet which is the day.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import get_args

from msgspec import Struct

from clutchlight.intake import words
from clutchlight.intake.asking import Dialogue
from clutchlight.intake.words import one_of, plain
from clutchlight.model.collection import DatesBegin
from clutchlight.reading.dates import read_date
from clutchlight.wording.words import plural

ORDERS: tuple[DatesBegin, ...] = get_args(DatesBegin)
_YEAR_FIRST = re.compile(r"([0-9]{4})[-./ ]([0-9]{1,2})[-./ ]([0-9]{1,2})(?:[T ][0-9:.Z+]+)?")
_YEAR_LAST = re.compile(r"([0-9]{1,2})\s*([-./])\s*([0-9]{1,2})\s*\2\s*((?:[0-9]{2}){1,2})")
_SHORT_YEAR = re.compile(r"(?:([^\W\d_]+)\.?\s*)?['’‘]([0-9]{2})|([^\W\d_]+)\.?-([0-9]{2})")
_MONTH_YEAR = re.compile(r"([0-9]{1,2})[-./]([0-9]{4})")
_YEAR_MONTH = re.compile(r"([0-9]{4})[-./]([0-9]{1,2})")
_WORDS = re.compile(r"[0-9]+|[^\W\d_]+")
_BESIDE = ("of", "de", "del", "st", "nd", "rd", "th", "er", "le")
"""What stands beside the numbers of a day: `12th of`, `1er`, `12 de`."""
_ABOUT, _BEFORE = one_of(rf"(?:{words.ABOUT})\s*(?=\S)"), one_of(rf"(?:{words.BEFORE})\s*(?=\S)")
_PLAIN = 5
"""How many dates that can be read in one way only make the others plain, where none of them speaks for another order."""


def _ambiguous(cells: Iterable[str]) -> tuple[dict[str, DatesBegin | None], list[tuple[str, str]]]:
    """By separator, what the dates that can be read in one way only say of the order, None where they disagree or say nothing; and, with
    their separators, the dates that can be read in two ways and that those do not make plain."""
    seen: dict[str, Counter[DatesBegin]] = {}
    open_: list[tuple[str, str]] = []
    for cell, found in ((cell, _YEAR_LAST.fullmatch(plain(cell))) for cell in cells):
        if found is None:
            continue
        first, mark, second = int(found[1]), found[2], int(found[3])
        said = seen.setdefault(mark, Counter())
        if first > 12 >= second:
            said["day first"] += 1
        elif second > 12 >= first:
            said["month first"] += 1
        elif first != second and max(first, second) <= 12:
            open_.append((mark, cell))
    settled = {mark for mark, said in seen.items() if len(said) == 1 and said.total() >= _PLAIN}
    orders = {mark: next(iter(said)) if len(said) == 1 else None for mark, said in sorted(seen.items())}
    return orders, [one for one in open_ if one[0] not in settled]


def date_in(cell: str, order: Mapping[str, DatesBegin]) -> str | None:
    """The date as our records have it; None when it cannot be read, or read in one way only. `order`: by separator."""
    text = plain(cell)
    for pattern, word in ((_ABOUT, "about"), (_BEFORE, "before")):
        if begun := pattern.match(text):
            rest = date_in(text[begun.end() :], order)
            return None if rest is None or " " in rest else _checked(f"{word} {rest}")
    if found := _YEAR_FIRST.fullmatch(text):
        return _checked(f"{found[1]}-{int(found[2]):02d}-{int(found[3]):02d}")
    if found := _YEAR_LAST.fullmatch(text):
        first, second, year = int(found[1]), int(found[3]), _year(found[4])
        if first == second or first > 12 or second > 12:
            day, month = (first, second) if first > 12 or first == second else (second, first)
        elif found[2] in order:
            day, month = (first, second) if order[found[2]] == "day first" else (second, first)
        else:
            return None
        return _checked(f"{year}-{month:02d}-{day:02d}")
    if found := _YEAR_MONTH.fullmatch(text):
        return _checked(f"{found[1]}-{int(found[2]):02d}")
    if found := _MONTH_YEAR.fullmatch(text):
        return _checked(f"{found[2]}-{int(found[1]):02d}")
    if re.fullmatch(r"[0-9]{4}", text):
        return _checked(text)
    if found := _SHORT_YEAR.fullmatch(text):
        return date_in(f"{found[1] or found[3] or ''} {_year(found[2] or found[4])}".strip(), order)
    return _in_words(text)


def reads_as_day(cell: str) -> bool:
    """Whether a cell is a day, perhaps one that can be read in two ways."""
    return date_in(cell, dict.fromkeys("/.-", "day first")) is not None


def why_no_date(cell: str) -> str:
    """Why a cell is not read as a date."""
    text = plain(cell)
    if re.fullmatch(r"[0-9]{1,2}\.\s?[0-9]{1,2}\.", text):
        return "a day and a month without a year"
    if reads_as_day(cell):
        return "a date that can be read day first or month first"
    if any(pattern.fullmatch(text) for pattern in (_YEAR_FIRST, _YEAR_LAST, _YEAR_MONTH, _MONTH_YEAR)):
        return "no day in the calendar; look at the day and the month"
    return "not read as a date"


def _in_words(text: str) -> str | None:
    """`Aug 2019`, `12 August 2019`, `Aug 12, 2019`, `12-Aug-19`: one month by name, one year, perhaps a day."""
    parts = [word for word in _WORDS.findall(text.casefold()) if word not in _BESIDE]
    names = [words.MONTHS[word] for word in parts if word in words.MONTHS]
    numbers = [word for word in parts if word.isdigit()]
    if len(names) != 1 or not 1 <= len(numbers) <= 2 or len(parts) > 1 + len(numbers):
        return None
    year = numbers[-1]
    if len(year) not in (2, 4) or (len(numbers) == 1 and len(year) != 4):
        return None
    day = f"-{int(numbers[0]):02d}" if len(numbers) == 2 else ""
    return _checked(f"{_year(year)}-{names[0]:02d}{day}")


def _year(text: str) -> int:
    """A year of two digits is one of the last that can be meant: no snake on such a list is older than one of 1980."""
    return int(text) if len(text) == 4 else int(text) + (2000 if int(text) < 80 else 1900)


def _checked(text: str) -> str | None:
    return None if isinstance(read_date(text), str) else text


class SheetDays(Struct, frozen=True):
    """Reads the days of one sheet as the breeder said. `order`: of two small numbers, by what parts them."""

    order: Mapping[str, DatesBegin]
    today: date

    def read(self, cell: str) -> str | None:
        """A day as our records have it; None where nobody can tell."""
        return date_in(cell, self.order)

    def past(self, cell: str) -> str:
        """The same of a day that has begun; "" of any other."""
        when = self.read(cell)
        return when if when is not None and self.is_past(when) else ""

    def is_past(self, day: str) -> bool:
        """Whether a date as our records have it has begun."""
        when = read_date(day)
        return isinstance(when, str) or when.first <= self.today


def days_of_sheet(written: Sequence[str], questions: Dialogue, today: date) -> SheetDays:
    """How these cells are read as days, asked where nobody can tell."""
    return SheetDays(_order_of(written, questions), today)


def _order_of(written: Sequence[str], questions: Dialogue) -> Mapping[str, DatesBegin]:
    """How dates with two small numbers are read, by what parts their numbers: asked once where any can be read in two ways."""
    said, open_ = _ambiguous(written)
    two_ways = dict.fromkeys(mark for mark, _ in open_)
    certain_so = {mark: order for mark, order in said.items() if order is not None and mark not in two_ways}
    if not open_:
        return certain_so
    inferred = {mark: order or ("day first" if mark == "." else "month first") for mark, order in said.items()}
    each = ", ".join(f"{order} where {mark} parts them" for mark, order in inferred.items())
    ways: dict[str, Mapping[str, DatesBegin]] = {so: {**dict.fromkeys(inferred, so), **certain_so} for so in ORDERS}
    samples = [next(cell for other, cell in open_ if other == mark) for mark in two_ways]
    certain = [f"{order} for {mark}" for mark, order in said.items() if order is not None]
    because = f"\nOther dates of this sheet can be read in one way only: {', '.join(certain)}." if certain else ""
    answer = questions.put(
        "order of days",
        f"{plural(len(open_), 'date')}, such as {' and '.join(samples)}, can be read day first or month first."
        f" How are they meant?{because}",
        (
            ("as guessed", f"{each}: {_dates_so(samples, inferred)}"),
            *((order, _dates_so(samples, ways[order])) for order in ORDERS),
            ("not known", "such dates are left out"),
        ),
        of_sheet=True,
    )
    return inferred if answer == "as guessed" else ways.get(answer, certain_so)


def _dates_so(samples: Sequence[str], order: Mapping[str, DatesBegin]) -> str:
    return ", ".join(f"{one} is {date_in(one, order)}" for one in samples)
