"""Quarantine and treatment as states of an animal, by the log: since when, and until when.

Conventions. A state begins with its row and lasts as long as the row's value says, `14 days` or `until 2026-12-20`, else as long as
`KEPT_FOR` has for it; its last day is one of its days. A row whose value is `over` ends it on that day. A further row while it lasts is the
same state, with its end set anew.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from types import MappingProxyType

from clutchlight.model import Collection, When
from clutchlight.model.private import LogRow

KEPT_FOR: Mapping[str, timedelta] = MappingProxyType(
    {"quarantine": timedelta(days=90), "treatment": timedelta(days=30)}
)
"""How long a row in the log keeps an animal from being used where it does not say; common practice, no source."""

_OVER = ("over", "ended", "done", "finished")
_DAYS = re.compile(r"(?:for )?([0-9]{1,3}) days?")
_UNTIL = re.compile(r"(?:until )?([0-9]{4}-[0-9]{2}-[0-9]{2})")


@dataclass(frozen=True, slots=True)
class Spell:
    """One quarantine or treatment. `until`: its last day; `said`: whether the log says so. `note`: that of its last row."""

    animal: str
    how: str
    since: When
    until: date
    said: bool
    note: str

    def covers(self, day: date) -> bool:
        return self.since.last <= day <= self.until


def spells_of(animal: str, log: Iterable[LogRow]) -> tuple[Spell, ...]:
    """The quarantines and treatments of an animal, in order of their last row. `log`: in order of date."""
    done: list[Spell] = []
    running: dict[str, Spell] = {}
    for row in log:
        if row.animal != animal or row.event not in KEPT_FOR:
            continue
        before = running.pop(row.event, None)
        if before is not None and before.until < row.day:
            done.append(before)
            before = None
        value = (row.value or "").strip()
        if value.casefold() in _OVER:
            if before is not None:
                done.append(replace(before, until=row.day - timedelta(days=1), said=True))
            continue
        until = _until(value, row.day)
        note = "; ".join(text for text in (value if until is None else "", row.note or "") if text)
        since = before.since if before is not None else row.on
        last = until or row.day + KEPT_FOR[row.event]
        running[row.event] = Spell(animal, row.event, since, last, until is not None, note)
    return (*done, *running.values())


def set_apart(collection: Collection, log: Iterable[LogRow], day: date) -> tuple[Spell, ...]:
    """The animals of the room that are in quarantine or under treatment on a day, the first to end first."""
    rows = [row for row in log if row.event in KEPT_FOR and row.day <= day]
    named = sorted({row.animal for row in rows if row.animal in collection.animals})
    found = [
        spell for name in named if collection.animals[name].here for spell in spells_of(name, rows) if spell.covers(day)
    ]
    return tuple(sorted(found, key=lambda one: (one.until, one.animal, one.how)))


def _until(value: str, day: date) -> date | None:
    """The last day that a value names; None where it names none, or one before the row."""
    if found := _DAYS.fullmatch(value.casefold()):
        return day + timedelta(days=int(found[1]))
    if found := _UNTIL.fullmatch(value.casefold()):
        try:
            last = date.fromisoformat(found[1])
        except ValueError:
            return None
        return last if last >= day else None
    return None
