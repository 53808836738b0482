"""What lies in the incubator on a day: which box, which day of how many, when the first egg may be slit, and what was noted on the clutch.

Conventions. Day 0 is the day of laying; for a range of days the count is from its last. Pipping goes before hatching by the days that the
species file has between the two.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from clutchlight.model import Clutch, Collection, When
from clutchlight.model.private import LogRow, Private
from clutchlight.planning.discrepancies import FORGOTTEN_AFTER, eggs_lost, has_good_eggs, rows_of
from clutchlight.planning.limits import StageWindow, windows

Days = tuple[date, date]


@dataclass(frozen=True, slots=True)
class Incubating:
    """One clutch. `day`: days since laying; `usual`: the fewest and the most until hatching; `good`: eggs left by record and log.

    `pip`, `hatch`: the days on which they are expected, as far as the day of laying is known. `pipped`: when the first egg was slit.
    """

    clutch: str
    dam: str
    laid: When
    day: int
    usual: tuple[int, int] | None
    pip: Days | None
    hatch: Days | None
    pipped: When | None
    good: int | None
    box: str | None
    temperature: LogRow | None
    notes: tuple[LogRow, ...]


def in_the_box(collection: Collection, private: Private, day: date) -> tuple[Incubating, ...]:
    """The clutches of this room that lie in the incubator, the first to hatch first; not those whose window is long past."""
    lying = (
        _incubating(clutch, clutch.laid, collection, private, day)
        for clutch in collection.clutches.values()
        if clutch.laid is not None
        and clutch.laid.first <= day
        and not clutch.over
        and clutch.reported_by is None
        and has_good_eggs(clutch, collection, private, day)
    )
    found = [one for one in lying if one.hatch is None or day <= one.hatch[1] + FORGOTTEN_AFTER]
    return tuple(sorted(found, key=lambda one: (one.hatch or (one.laid.last, one.laid.last), one.clutch)))


def _incubating(clutch: Clutch, laid: When, collection: Collection, private: Private, day: date) -> Incubating:
    rows = [row for row in rows_of(clutch, collection, private.log) if row.day <= day]
    named = [row for row in rows if row.clutch == clutch.id]
    steps = {(one.after, one.comes): one for one in windows(collection.species[clutch.species], private.rules)}
    hatching = steps.get(("laid", "hatched"))
    hatch = None if laid.open or hatching is None else _window(laid, hatching)
    last_step = steps.get(("pipped", "hatched"))
    pip = steps.get(("laid", "pipped"))
    return Incubating(
        clutch=clutch.id,
        dam=clutch.dam,
        laid=laid,
        day=max(0, (day - laid.last).days),
        usual=(hatching.first, hatching.last) if hatching else None,
        pip=(
            _window(laid, pip)
            if pip is not None and not laid.open
            else (hatch[0] - timedelta(days=last_step.last), hatch[1] - timedelta(days=last_step.first))
            if hatch and last_step
            else None
        ),
        hatch=hatch,
        pipped=next((row.on for row in rows if row.event == "pipped"), None),
        good=None if clutch.eggs is None else clutch.eggs - max(clutch.went_bad, eggs_lost(rows)),
        box=next((row.value for row in reversed(rows) if row.event == "box" and row.value), None),
        temperature=next((row for row in reversed(rows) if row.event == "temperature" and row.value), None),
        notes=tuple(
            row for row in reversed(rows) if row.event in ("candled", "egg lost") or (row in named and row.note)
        ),
    )


def _window(laid: When, step: StageWindow) -> Days:
    return laid.first + timedelta(days=step.first), laid.last + timedelta(days=step.last)
