"""The worlds in which an assumption does not hold break that one and no other, and what they came to stands where it says."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from tests.bench.generating import SPECIES, Generated, generate
from tests.calibration.assumptions import DOCUMENT, FIRST_SEED, WORLDS, in_document

from clutchlight.model import Look
from clutchlight.site.other_pages import ASSUMPTIONS_TRIED as FILE, assumptions_tried as sentences

Broken = Callable[[Generated], bool]


def looks_another(made: Generated) -> bool:
    """Whether an animal was seen as what it is not."""
    loci = made.collection.species[SPECIES].computed_loci
    return any(
        frozenset(animal.reading.shows or ())
        != Look().union(*(locus.look_of[made.genotype(ident, locus.key)] for locus in loci))
        for ident, animal in made.collection.animals.items()
        if animal.reading is not None
    )


def carries_unrecorded(made: Generated) -> bool:
    """Whether a founder carries what its look does not show and nobody claimed."""
    return any(
        set(made.genotype(ident, locus.key)) == {0, 1}
        and not locus.look_of[made.genotype(ident, locus.key)]
        and all(claim.locus != locus.key for claim in animal.claims)
        for ident, animal in made.collection.animals.items()
        if animal.founder
        for locus in made.collection.species[SPECIES].computed_loci
    )


def claim_is_false(made: Generated) -> bool:
    return any(
        claim.chance == 1 and not made.carries(ident, claim.locus, 1)
        for ident, animal in made.collection.animals.items()
        for claim in animal.claims
    )


def sire_is_wrong(made: Generated) -> bool:
    return any(made.collection.animals[young].sire != sire for young, sire in made.sired_by.items())


BREAKS: dict[str, Broken] = {
    "unrecorded-3": carries_unrecorded,
    "misread": looks_another,
    "wrong-sires": sire_is_wrong,
    "false-claims": claim_is_false,
}


@pytest.mark.parametrize("world", ["holds", "visuals-lost", *BREAKS])
def test_a_world_breaks_its_own_assumption_and_no_other(world: str) -> None:
    made = [generate(WORLDS[world][1], FIRST_SEED + seed) for seed in range(12)]
    assert {name for name, broken in BREAKS.items() if any(map(broken, made))} == {world} & BREAKS.keys()


def test_where_visuals_are_lost_fewer_hatch() -> None:
    def visuals(world: str) -> int:
        made = (generate(WORLDS[world][1], FIRST_SEED + seed) for seed in range(12))
        return sum(bool(clutch.went_bad) for one in made for clutch in one.collection.clutches.values())

    assert visuals("visuals-lost") > visuals("holds")


def test_the_table_and_the_sentences_are_those_of_the_run() -> None:
    """One file holds what the trial found; the developers' document and the method page are made from it."""
    text = DOCUMENT.read_text(encoding="utf-8")
    rows = json.loads(FILE.read_text(encoding="utf-8"))
    assert [row["world"] for row in rows] == list(WORLDS)
    assert [row["words"] for row in rows] == [words for words, _ in WORLDS.values()]
    assert in_document(text, rows) == text
    assert in_document(text, rows[:3]) != text
    held, misread = rows[0], next(row for row in rows if row["world"] == "misread")
    first, _, third = sentences()
    assert f"{held['collections']:,} invented collections" in first
    in_ten_thousand = next(n for n in range(10_001) if n * misread["at_one"] >= 10_000 * misread["false_at_one"])
    assert f"{in_ten_thousand} are false where {misread['words']}" in third
