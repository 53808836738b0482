"""Which day holds for a line of notes, and whether a date says so, or the day on which the notes are handed over.

A day that is not understood holds back the lines below it up to the next; it is told once, with how many wait for it.
"""

from __future__ import annotations

from datetime import date

from clutchlight.model.collection import DatesBegin
from clutchlight.problems import Place
from clutchlight.reading.days import NoDay, day_said
from clutchlight.reading.findings import Findings
from clutchlight.reading.text import WrittenText

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

    def by_date(self, text: str, day: date) -> bool:
        """Whether a day is one by a date; else it is noted what it was read as."""
        said = text.strip().rstrip(":")
        if any(char.isdigit() for char in said):
            return True
        self.read_as.append((said, day))
        return self._all_dated if said.casefold() in ("today", "yesterday") else self.dated

    def begin(self, line: WrittenText, day: date | NoDay) -> None:
        """A day that holds for the lines below it."""
        self.end()
        if isinstance(day, NoDay):
            self._unread = line.place, self._why(day)
        else:
            self.dated = self.by_date(line, day)
            self.day = self._above = day

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

    def doubt(self, place: Place, day: NoDay) -> None:
        """Tells of a day before an entry that is not understood."""
        self._findings.report(place, "note-day", self._why(day))

    def _why(self, day: NoDay) -> str:
        self.unsure |= bool(day.either)
        return f"{day.says}, or {_DATES_KEY}" if day.either else day.says


def not_understood(text: str) -> NoDay:
    return NoDay(f"'{text}' reads like a day and is not understood; write the day alone, such as `sat 21 nov`")
