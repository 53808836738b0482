"""The whole way from text: a case written as records, read by the product's reader and inferred, has the figures of the case itself."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.exact.both_ways import ALL_KINDS, drawn, sires

from clutchlight.genetics.inference import infer
from clutchlight.reading.collection import read_collection


@pytest.mark.parametrize("kind", ALL_KINDS)
def test_figures_through_the_reader(kind: str, tmp_path: Path) -> None:
    """Every figure of every animal, now and when hatched, its history, and whether the records conflict: all equal."""
    for number, both in enumerate(drawn(kind, range(3000, 3004), 8, 2)):
        folder = tmp_path / str(number)
        for path, text in both.case.as_records().items():
            (folder / path).parent.mkdir(parents=True, exist_ok=True)
            (folder / path).write_text(text, encoding="utf-8")
        found = read_collection(folder)
        # what is drawn claims at times what a look rules out
        assert [str(problem) for problem in found.problems if problem.code != "claim-against-look"] == []
        assert found.collection is not None
        read = infer(found.collection)
        assert (both.name, bool(read.conflicts)) == (both.name, bool(both.inference.conflicts))
        if read.conflicts:
            continue
        for animal in both.case.animals:
            for locus in both.case.loci:
                asked = (animal.id, locus.name)
                assert (both.name, read.now(*asked)) == (both.name, both.inference.now(*asked))
                assert (both.name, read.when_hatched(*asked)) == (both.name, both.inference.when_hatched(*asked))
                assert (both.name, read.history(*asked)) == (both.name, both.inference.history(*asked))
        for clutch in both.case.clutches:
            assert sires(read.sires(clutch.id)) == sires(both.inference.sires(clutch.id))
