"""Pedigrees stay as tidy as they are; what is counted is the same on every machine."""

from __future__ import annotations

import pytest
from tests.bench.drawing_pedigrees import SETS, Measure, measured


@pytest.mark.parametrize(
    ("name", "crossings", "length", "bends", "apart"),
    [("demo", 3, 36_000, 165, 14), ("room", 13, 52_000, 235, 19)],
)
def test_lines_cross_and_bend_no_more_than_they_do(
    name: str, crossings: int, length: int, bends: int, apart: int
) -> None:
    """Crossings, length and bends of all lines, and mates that do not stand beside each other."""
    found = sum((measured(pedigree) for pedigree in SETS[name]()), Measure())
    assert found.drawings > 50
    assert found.crossings <= crossings
    assert found.length <= length
    assert found.bends <= bends
    assert found.apart <= apart
