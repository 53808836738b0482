"""Stated chances come true as often as they say, on collections whose truth is known; a naive method is caught.

Set CLUTCHLIGHT_LONG=20 in the environment for twenty times as many collections; `python -m tests.calibration.table 20` prints the
figures of such a long form. Seeds are fixed: a run fails always or never.
"""

from __future__ import annotations

import os
import pickle
from fractions import Fraction
from pathlib import Path

import pytest
from tests.bench.generating import Shape
from tests.calibration.keeping_score import SHAPES, Score, kept, now, seeds_of, when_hatched
from tests.calibration.multiplying import in_the_head

TIMES = int(os.environ.get("CLUTCHLIGHT_LONG", "1"))


@pytest.fixture(scope="session")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the scores of this run lie, in whichever of its processes they are worked out."""
    own = tmp_path_factory.getbasetemp()
    return own.parent if "PYTEST_XDIST_WORKER" in os.environ else own


def kept_for_all(folder: Path, kind: str, found: tuple[Score, ...]) -> list[tuple[Score, ...]]:
    """Lays the scores of a kind beside those of the others; all of them once they are complete, else none."""
    names = [folder / f"calibration-{number}.pickle" for number in range(len(SHAPES))]
    mine = names[list(SHAPES).index(kind)]
    part = mine.with_suffix(".part")
    part.write_bytes(pickle.dumps(found))
    part.replace(mine)
    complete = all(name.exists() for name in names)
    return [pickle.loads(name.read_bytes()) for name in names] if complete else []  # noqa: S301 - our own, of this run


@pytest.mark.parametrize("kind", SHAPES)
def test_what_is_stated_at_x_comes_true_x_of_the_time(folder: Path, kind: str) -> None:
    """In no band of stated chances are truth and statement further apart than chance explains, and no certainty is false.

    A bias of thirteen points over a kind would be noticed nine times in ten, even in the short form. Whichever kind is ready
    last is judged together with all others.
    """
    found = kept(SHAPES[kind], seeds_of(kind, TIMES), [now, when_hatched])
    for score in found:
        assert score.false_certainties == 0
        assert score.worst() <= score.limit
        assert score.detects(score.rows()[-1]) < 0.13
    everything = kept_for_all(folder, kind, found)
    for moment in (0, 1) if everything else ():
        come_true_together(sum((one[moment] for one in everything), Score()))


def come_true_together(score: Score) -> None:
    """The same of all kinds together, in bands from a chance of 5 % to 70 %; there three points over all would be noticed."""
    *bands, together = score.rows()
    assert all(row.judged for row in bands if Fraction(5, 100) <= row.low < Fraction(70, 100))
    assert score.worst() <= score.limit
    assert score.detects(together) < 0.03


def test_multiplying_parents_chances_is_caught() -> None:
    """The same test, on the same collections, passes the engine and fails parents' chances multiplied as if independent."""
    shape = Shape(animals=300, loci=3, kinds="r", regime="mated at random")
    exact, multiplied = kept(shape, range(36), [now, in_the_head])
    assert exact.calibrated
    assert multiplied.false_certainties == 0
    assert multiplied.worst() > multiplied.limit
