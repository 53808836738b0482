"""A look in one breath is parted into the fewest names."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.rooms import good, md, read

from clutchlight.problems import Place
from clutchlight.reading.findings import Findings
from clutchlight.reading.names import Names
from clutchlight.reading.text import WrittenText

LOOKALIKE = "Axanthic (line not known)"

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
        ("moss rock Moss", ("Moss", "Moss Rock")),
        ("Rock Moss", ("Moss", "Rock")),
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


def test_one_wrong_look_makes_the_whole_list_unsound(tmp_path: Path) -> None:
    """Whatever stands behind it: nothing is concluded from the rest."""
    collection = good(tmp_path, {"animals/F-01.md": md("id: F-01\nshows: Albino")})
    names = Names(collection.species["ball-python"], quiet=False)
    place = Place("animals/F-01.md", 3)
    for written in (["Zzyzx", "Pastel"], ["Pastel", "Zzyzx"], ["Zzyzx", LOOKALIKE], [LOOKALIKE, "Zzyzx"]):
        findings = Findings()
        shown = names.shown([WrittenText.at(look, place) for look in written], findings)
        assert (shown.sound, findings.errors) == (False, 1)
    assert names.shown([WrittenText.at(LOOKALIKE, place)], Findings()).sound


@pytest.mark.parametrize("quiet", [False, True])
def test_several_looks_in_one_name_are_not_told_where_a_traits_file_is_at_fault(tmp_path: Path, quiet: bool) -> None:
    """That file may have meant it as one name."""
    species = good(tmp_path, {"animals/F-01.md": md("id: F-01\nshows: Albino")}).species["ball-python"]
    findings = Findings()
    looks = Names(species, quiet).one_look(WrittenText.at("Pastel Clown", Place("animals/F-01.md", 3)), findings)
    assert (looks, findings.errors) == ((), not quiet)


def test_of_many_readings_eight_are_told(tmp_path: Path) -> None:
    """Four times two ways are sixteen: more would help nobody."""
    loci = "".join(
        f"  - {{locus: l-{number}, inheritance: recessive, alleles: [{name}]}}\n"
        for number, name in enumerate(("Ab", "Ab Cd", "Cd Ef", "Ef"))
    )
    files = {
        "traits/own.yaml": f"species: ball-python\nloci:\n{loci}",
        "animals/F-01.md": md(f"id: F-01\nshows: {' '.join(['Ab Cd Ef'] * 4)}"),
    }
    (problem,) = read(tmp_path, files).problems
    assert problem.code == "ambiguous-look"
    told = problem.message.split(" can be read as ")[1].split("; write")[0]
    assert len(told.replace("' or '", "', '").split("', '")) == 8


def test_a_slip_beside_the_word_het_is_still_near(tmp_path: Path) -> None:
    """Before the name or behind it."""
    for written in ("het Clwn", "Clwn het", "66% het Clwn"):
        (problem,) = read(
            tmp_path / written[:3], {"animals/F-01.md": md(f"id: F-01\nclaims: {{{written}: 50%}}")}
        ).problems
        assert problem.message.endswith("the nearest is 'Clown'")
