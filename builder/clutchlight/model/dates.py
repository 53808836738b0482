"""Dates as breeders write them: a day, a month, a year, "about 2019", "before 2022-03", a span of days.

Convention: a date that is not a full day counts as its last day wherever dates are put in order.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, order=True)
class When:
    """A day or a span of days. `last` orders it; `text` is what the breeder wrote, in plain form."""

    last: date
    first: date
    text: str
    vague: bool = False

    @classmethod
    def day(cls, value: date) -> When:
        return cls(value, value, value.isoformat())

    @property
    def exact(self) -> bool:
        """True when it is one known day."""
        return self.first == self.last and not self.vague

    @property
    def month_text(self) -> str:
        """Year and month where both are known ("2024-07"), else what was written."""
        if not self.vague and (self.first.year, self.first.month) == (self.last.year, self.last.month):
            return f"{self.last.year:04d}-{self.last.month:02d}"
        return self.text

    def __str__(self) -> str:
        return self.text
