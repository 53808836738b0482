"""Stated chances come true as often as they say, on collections whose truth is known; a naive method is caught.

Set CLUTCHLIGHT_LONG=20 in the environment for twenty times as many collections; `python -m tests.calibration.table 20` prints the
figures of such a long form. Seeds are fixed: a run fails always or never.
"""

from __future__ import annotations

import os
import pickle
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from tests.bench.generating import Shape
from tests.calibration.keeping_score import SHAPES, Score, kept, now, seeds_of, when_hatched
from tests.calibration.multiplying import in_the_head

TIMES = int(os.environ.get("CLUTCHLIGHT_LONG", "1"))

Scores = Callable[[str], tuple[Score, ...]]


@pytest.fixture(scope="session")
def scores(tmp_path_factory: pytest.TempPathFactory) -> Scores:
    """The scores of a kind, of present figures and of those when hatched: worked out once, in whichever process of the run."""
    own = tmp_path_factory.getbasetemp()
    folder = own.parent if "PYTEST_XDIST_WORKER" in os.environ else own

    def of(kind: str) -> tuple[Score, ...]:
        file = folder / f"calibration-{list(SHAPES).index(kind)}.pickle"
        if not file.exists():
            found = kept(SHAPES[kind], seeds_of(kind, TIMES), [now, when_hatched])
            written = Path(own / file.name).with_suffix(".part")
            written.write_bytes(pickle.dumps(found))
            written.replace(file)
        again: tuple[Score, ...] = pickle.loads(file.read_bytes())  # noqa: S301 - our own file of this run
        return again

    return of


@pytest.mark.parametrize("kind", SHAPES)
def test_what_is_stated_at_x_comes_true_x_of_the_time(scores: Scores, kind: str) -> None:
    """In no band of stated chances are truth and statement further apart than chance explains, and no certainty is false.

    A bias of ten points over all statements of a kind would be noticed nine times in ten, even in the short form.
    """
    for score in scores(kind):
        assert score.false_certainties == 0
        assert score.worst() <= score.limit
        assert score.detects(score.rows()[-1]) < 0.1


def test_all_kinds_together_come_true_band_by_band(scores: Scores) -> None:
    """The same of all kinds together, in bands from a chance of 5 % to 70 %; there three points over all would be noticed."""
    for moment in (0, 1):
        score = sum((scores(kind)[moment] for kind in SHAPES), Score())
        *bands, together = score.rows()
        assert all(row.judged for row in bands if Fraction(5, 100) <= row.low < Fraction(70, 100))
        assert score.worst() <= score.limit
        assert score.detects(together) < 0.03


def test_multiplying_parents_chances_is_caught() -> None:
    """The same test, on the same collections, passes the engine and fails parents' chances multiplied as if independent."""
    shape = Shape(animals=300, loci=3, kinds="r", regime="mated at random")
    exact, multiplied = kept(shape, range(56), [now, in_the_head])
    assert exact.calibrated
    assert multiplied.false_certainties == 0
    assert multiplied.worst() > multiplied.limit
