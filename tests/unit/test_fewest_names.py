"""A look in one breath is parted into the fewest names."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.unit.record_writing import good, md

TRAITS = """
species: ball-python
loci:
  - {locus: moss, inheritance: recessive, alleles: [Moss]}
  - {locus: rock, inheritance: recessive, alleles: [Rock]}
  - {locus: moss-rock, inheritance: recessive, alleles: [Moss Rock]}
  - {locus: rock-garden, inheritance: recessive, alleles: [Rock Garden]}
"""


@pytest.mark.parametrize(
    ("written", "looks"),
    [
        ("Moss Rock", ("Moss Rock",)),
        ("moss rock Moss", ("Moss Rock", "Moss")),
        ("Rock Moss", ("Rock", "Moss")),
        ("Moss Rock Garden", ("Moss", "Rock Garden")),
        ("[Moss, Rock]", ("Moss", "Rock")),
        ("Rock Moss Rock", ("Rock", "Moss Rock")),
    ],
)
def test_of_several_ways_that_with_the_fewest_names_is_meant(
    tmp_path: Path, written: str, looks: tuple[str, ...]
) -> None:
    """A name of two words goes before two names of one word each; a list says it otherwise."""
    files = {"traits/own.yaml": TRAITS, "animals/F-01.md": md(f"id: F-01\nshows: {written}")}
    reading = good(tmp_path, files).animals["F-01"].reading
    assert reading is not None
    assert reading.shows == looks
