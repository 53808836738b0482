"""The counts that decide what inference costs stay within bounds; they are the same on every machine."""

from __future__ import annotations

import pytest
from tests.bench.generating import Regime
from tests.bench.inferring import REGIMES, collection_of, counts_of

from clutchlight.genetics.inference import infer

WIDEST, ENTRIES = 512, 4500
"""What is reached, the widest of all four, and a little more than the entries of the dearest."""


@pytest.mark.parametrize("regime", REGIMES)
@pytest.mark.parametrize("when_hatched", [False, True], ids=["now", "when hatched"])
def test_tables_stay_small_and_everything_is_computed(regime: Regime, when_hatched: bool) -> None:
    """A thousand animals at six loci."""
    found = counts_of(infer(collection_of(regime, 1000, 6)), when_hatched=when_hatched)
    assert (found.figures, found.not_computed) == (6000, 0)
    assert found.widest <= WIDEST
    assert found.entries <= ENTRIES
