"""Dates and prices as a reader in any country reads them without a second thought."""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import date, timedelta
from fractions import Fraction

from msgspec.structs import replace

from clutchlight.model import When
from clutchlight.model.private import plain_amount

_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_SIGNS = {"EUR": "€", "GBP": "£", "USD": "$", "CAD": "CA$", "AUD": "A$", "NZD": "NZ$", "JPY": "¥"}


def day(value: date) -> str:
    """
    >>> day(date(2024, 7, 16))
    '16 July 2024'
    """
    return f"{value.day} {month(value)}"


def short(value: date) -> str:
    """With the month cut to three letters, for drawings: "16 Jul 2024"."""
    return f"{value.day} {_MONTHS[value.month - 1][:3]} {value.year}"


def season(began: int) -> str:
    """
    >>> season(2026)
    '2026/27'
    """
    return f"{began}/{(began + 1) % 100:02d}"


def short_when(value: When) -> str:
    """A date as precise as it was recorded, a day short."""
    return short(value.last) if value.exact else when(value)


def month(value: date) -> str:
    return f"{_MONTHS[value.month - 1]} {value.year}"


def as_read(text: str) -> str:
    """What a record said, a full day as a reader writes it: "30 June 2022"."""
    return day(date.fromisoformat(text)) if re.fullmatch(r"\d{4}-\d\d-\d\d", text) else text


def when(value: When) -> str:
    """A date as precise as it was recorded: "16 July 2024", "14 to 16 July 2024", "July 2024", "2024", "about 2019".

    >>> when(When(date(2021, 5, 31), date.min, "before 2021-06", vague=True))
    'before June 2021'
    """
    first, last = value.first, value.last
    if value.open:
        return f"before {_start(last + timedelta(days=1))}"
    if value.vague:
        return f"about {when(replace(value, vague=False))}"
    if first == last:
        return day(last)
    if first.day == 1 and last.day == monthrange(last.year, last.month)[1]:
        if (first.year, first.month) == (last.year, last.month):
            return month(last)
        if first.month == 1 and last.month == 12 and first.year == last.year:
            return str(last.year)
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day} to {day(last)}"
    return f"{day(first)} to {day(last)}"


def on(value: When) -> str:
    """With its preposition: "on 16 July 2024", "in July 2024", "from 14 to 16 July 2024", "about 2019"."""
    said = when(value)
    if value.vague:
        return said
    return f"{'on' if value.exact else 'from' if ' to ' in said else 'in'} {said}"


def about(value: When | None) -> str:
    """What stands before days that are counted from a date: "about " where the date is only about, else nothing."""
    return "about " if value is not None and value.vague else ""


def window(start: date, end: date) -> str:
    """ "7 to 12 December 2026", "29 November to 4 December 2026"."""
    if (start.year, start.month) == (end.year, end.month):
        return f"{start.day} to {day(end)}"
    begin = f"{start.day} {_MONTHS[start.month - 1]}" if start.year == end.year else day(start)
    return f"{begin} to {day(end)}"


def month_or_less(value: When) -> str:
    """The month where it is known, else what was recorded."""
    same = not value.vague and (value.first.year, value.first.month) == (value.last.year, value.last.month)
    return month(value.last) if same else when(value)


def amount(price: str | None) -> Fraction | None:
    """The price as a number; None for none or for a word such as `ask`."""
    try:
        return Fraction(price or "")
    except ValueError:
        return None


def price(written: str | None, currency: str | None) -> str | None:
    """
    >>> price("1200", "EUR"), price("ask", "EUR"), price("350.5", "CHF")
    ('€1,200', 'price on request', '350.50 CHF')
    """
    if written is None:
        return None
    number = amount(written)
    if number is None:
        return "price on request" if written == "ask" else written
    return money(number, currency)


def money(number: Fraction, currency: str | None) -> str:
    """Every amount that a reader sees: "€1,200", "350.50 CHF"."""
    plain = plain_amount(number, ",")
    if currency in _SIGNS:
        return f"{_SIGNS[currency]}{plain}"
    return f"{plain} {currency}" if currency else plain


def _start(value: date) -> str:
    """A day by what may begin on it: "2021", "June 2021", "16 June 2021"."""
    return day(value) if value.day > 1 else month(value) if value.month > 1 else str(value.year)
