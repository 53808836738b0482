"""Names of looks: in one breath, by other names, as combos, of lines that look alike."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.rooms import PARENTS, animal, good, md, problems, read

from clutchlight.model.animals import genotypes_left

TRAITS = """
species: ball-python
loci:
  - {locus: frosty, inheritance: incomplete dominant, alleles: [Frosty], two_copies: {Frosty: Super Frosty}}
  - {locus: lime, inheritance: recessive, alleles: [Lime Green], also_called: {Lime Green: [Leaf]}}
  - {locus: moss, inheritance: recessive, alleles: [Moss], also_called: {Moss: [Leaf]}}
  - {locus: tall, inheritance: line-bred, alleles: [Tall White]}
combos: {Frozen Lime: [Frosty, Lime Green]}
"""


def shown(folder: Path, written: str) -> tuple[str, ...] | None:
    files = {"traits/own.yaml": TRAITS, "animals/F-01.md": md(f"id: F-01\nshows: {written}")}
    reading = good(folder, files).animals["F-01"].reading
    assert reading is not None
    return reading.shows


@pytest.mark.parametrize(
    ("written", "looks"),
    [
        ("Pastel Banana", ("Pastel", "Banana")),
        ("[Pastel, Banana]", ("Pastel", "Banana")),
        ("pastel BANANA", ("Pastel", "Banana")),
        ("Pastel, Banana", ("Pastel", "Banana")),
        ("Super Pastel Banana", ("Super Pastel", "Banana")),
        ("Pied", ("Piebald",)),
        ("Super Frosty Lime Green", ("Super Frosty", "Lime Green")),
        ("Frozen Lime", ("Frosty", "Lime Green")),
        ("Frozen Lime Pastel", ("Pastel", "Frosty", "Lime Green")),
        ("Tall White Frosty", ("Frosty", "Tall White")),
        ("[Pastel, pastel]", ("Pastel",)),
        ("normal", ()),
        ("[normal]", ()),
        ("Normal", ()),
        ("[]", ()),
    ],
)
def test_looks_are_read_in_any_common_form(tmp_path: Path, written: str, looks: tuple[str, ...]) -> None:
    """Several names in a breath, lists, any case, other names and combos give canonical looks."""
    assert shown(tmp_path, written) == looks


def test_a_name_of_two_lines_is_shown_and_counts_at_neither(tmp_path: Path) -> None:
    """`Leaf (line not known)` is a look to read, and evidence about no locus."""
    files = {"traits/own.yaml": TRAITS, "animals/F-01.md": md("id: F-01\nshows: [Frosty, leaf (line not known)]")}
    collection = good(tmp_path, files)
    reading = collection.animals["F-01"].reading
    species = collection.species["ball-python"]
    assert reading is not None
    assert (reading.shows, reading.loose) == (("Frosty",), ("Leaf",))
    assert [genotypes_left(reading, species.loci[key], species) for key in ("lime", "moss")] == [None, None]


@pytest.mark.parametrize(
    ("untold", "left"),
    [
        ("[Belly]", [((0, 0), (0, 1)), ((0, 0),)]),
        ("[Belly, Chalky]", [None, None]),
        ("[Chalky]", [((0, 1), (1, 1)), None]),
    ],
)
def test_who_cannot_tell_one_copy_would_have_told_two_that_hide_others(
    tmp_path: Path, untold: str, left: list[object]
) -> None:
    """An animal with a normal look is no white one, unless its record leaves that open too."""
    traits = """
species: ball-python
loci:
  - {locus: belly, inheritance: incomplete dominant, alleles: [Belly], two_copies: {Belly: Chalky}, hides: {Chalky: [pastel]}}
"""
    animal = md(f"id: F-01\nshows: normal\ncannot_tell: {untold}")
    collection = good(tmp_path, {"traits/own.yaml": traits, "animals/F-01.md": animal})
    species = collection.species["ball-python"]
    assert [
        genotypes_left(collection.animals["F-01"].reading, species.loci[key], species) for key in ("belly", "pastel")
    ] == left


def test_a_name_of_two_lines_asks_which(tmp_path: Path) -> None:
    """Without those words the line has to be named."""
    files = {"traits/own.yaml": TRAITS, "animals/F-01.md": md("id: F-01\nshows: Frosty Leaf")}
    assert problems(tmp_path, files) == [("animals/F-01.md", 3, 15, "ambiguous-look")]


def test_a_faulty_traits_file_does_not_make_looks_unknown(tmp_path: Path) -> None:
    """Names that the broken file may hold are not complained of."""
    files = {
        "traits/own.yaml": TRAITS + "loci: []\n",
        "animals/F-01.md": md("id: F-01\nshows: Frosty\nclaims: {Leaf: 66%}"),
    }
    assert [code for *_, code in problems(tmp_path, files)] == ["duplicate-key"]


def test_a_subtle_trait_is_absent_only_when_looked_for(tmp_path: Path) -> None:
    """`without` turns the absence of a subtle trait into evidence."""
    plain = animal(tmp_path, "id: F-01\nshows: normal")
    looked = animal(tmp_path, "id: F-01\nshows: normal\nwithout: [Yellow Belly]")
    assert plain.reading is not None
    assert looked.reading is not None
    assert (plain.reading.without, looked.reading.without) == ((), ("Yellow Belly",))


@pytest.mark.parametrize(
    ("written", "column", "code"),
    [
        ("normal 66% het Piebald", 15, "het-is-no-look"),
        ("normal, het Piebald", 16, "het-is-no-look"),
        ("normal pos het Piebald", 15, "het-is-no-look"),
        ("normal hets Piebald", 15, "het-is-no-look"),
        ("Pastel 66% het Piebald", 15, "het-is-no-look"),
        ("normal Pastel", 8, "normal-and-more"),
        ("Pastel normal", 15, "normal-and-more"),
        ("normal Pastl", 15, "unknown-look"),
    ],
)
def test_what_stands_beside_normal_is_what_is_wrong(tmp_path: Path, written: str, column: int, code: str) -> None:
    """The word `normal` is understood wherever it stands, so that the mistake named is the one made."""
    assert problems(tmp_path, {"animals/F-01.md": md(f"id: F-01\nshows: '{written}'")}) == [
        ("animals/F-01.md", 3, column, code)
    ]


def test_a_typed_het_percentage_is_said_to_be_computed(tmp_path: Path) -> None:
    """The short form of a hatchling is where people type it: the remedy is to leave it out."""
    young = "hatched: 2024-07-16\neggs: 1\nyoung: [5 f normal 66% het Piebald]"
    files = {**PARENTS, "clutches/C24-01.md": md(f"id: C24-01\nsire: M-01\ndam: F-01\n{young}")}
    (problem,) = read(tmp_path, files).problems
    assert problem.code == "het-is-no-look"
    assert (
        "'66% het Piebald' cannot be seen, and a het is computed from the parents, not typed; leave it out"
        in problem.message
    )
