"""Random cases written as records are accepted by the product's own reader, so that both sides see the same case."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
from tests.oracle.random_cases import EVERYTHING, KINDS, random_case

from clutchlight.reading.collection import read_collection


@pytest.mark.parametrize("kind", [*sorted(KINDS), "everything"])
def test_the_reader_accepts_written_cases(kind: str, tmp_path: Path) -> None:
    """No error, no other warning, and every animal and clutch arrives."""
    for seed in range(3):
        case = random_case(Random(seed), KINDS.get(kind, EVERYTHING))
        folder = tmp_path / str(seed)
        for path, text in case.as_records().items():
            (folder / path).parent.mkdir(parents=True, exist_ok=True)
            (folder / path).write_text(text, encoding="utf-8")
        found = read_collection(folder)
        # what is drawn claims at times what a look rules out
        assert [str(problem) for problem in found.problems if problem.code != "claim-against-look"] == []
        assert found.collection is not None
        assert {animal.id for animal in case.animals} <= set(found.collection.animals)
        assert {clutch.id for clutch in case.clutches} == set(found.collection.clutches)
