"""A look in one breath is parted into the fewest names."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.rooms import good, md, read

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


def test_what_is_nearest_to_the_first_words_of_an_unknown_look_is_offered(tmp_path: Path) -> None:
    """Though the rest is like nothing; where nothing is near, traits/ is named."""
    for written, remedy in (
        ("Rok Zzyzx Qwerty", "the nearest is 'Rock'"),
        ("Zzyzx Qwerty", "describe it in a file in traits/"),
    ):
        files = {"traits/own.yaml": TRAITS, "animals/F-01.md": md(f"id: F-01\nshows: {written}")}
        (problem,) = read(tmp_path / written[:1], files).problems
        assert (problem.code, problem.column) == ("unknown-look", 8)
        assert remedy in problem.message
