"""How far figures are off where what they assume does not hold: three sentences for the page on method, from what a trial found.

The trial is `tests/calibration/assumptions.py`; it writes `reference/assumptions_tried.json`, and the developers' table from the same rows.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from clutchlight import reference

FILE = Path(reference.__file__).with_name("assumptions_tried.json")


@cache
def sentences() -> tuple[str, str, str]:
    """What the trial found, in percent and in statements of 10,000; what is false is rounded up."""
    rows = {row["world"]: row for row in json.loads(FILE.read_text(encoding="utf-8"))}
    held = rows["holds"]
    false = held["false_at_one"] + held["false_at_zero"]
    sure = held["at_one"] + held["at_zero"]
    wrong = f"{false:,} of {sure:,} certainties were" if false else f"none of {sure:,} certainties was"
    broken = [row for row in rows.values() if row is not held]
    worst = max(broken, key=lambda row: abs(row["stated"] - row["true"]))
    on_average = (
        f"We tried these assumptions on {held['collections']:,} invented collections of which the truth is known: while all of them hold, "
        f"what was possible at {held['stated']:.1f}% on average was true in {held['true']:.1f}% of cases, and {wrong} false."
    )
    furthest = (
        f"With one of them broken, the possible came true within {_points(worst)} percentage points of what was stated on average; it was "
        f"furthest off where {worst['words']} ({worst['stated']:.1f}% stated, {worst['true']:.1f}% true)."
    )
    misread, sires, carriers = (rows[world] for world in ("misread", "wrong-sires", "unrecorded-1"))
    certainties = (
        f"Certainties suffer more: of 10,000 traits that an animal was said to have or carry for certain, {_of(misread, 'one')} are false "
        f"where {misread['words']}, and {_of(sires, 'one')} where {sires['words']}; of 10,000 that an animal was taken not to carry, "
        f"{_of(carriers, 'zero')} are carried where {carriers['words']}."
    )
    return on_average, furthest, certainties


def _points(row: dict[str, Any]) -> str:
    """How far the average is off, rounded up to a tenth."""
    return f"{-int(-abs(row['stated'] - row['true']) * 10 // 1) / 10:.1f}"


def _of(row: dict[str, Any], stated: str) -> int:
    """How many of 10,000 statements of certainty are false, rounded up."""
    return -int(-10_000 * row[f"false_at_{stated}"] // row[f"at_{stated}"])
