"""How parents are related, in words; the coefficients of each relation are Wright's (1922, Am Nat 56:330-338)."""

from __future__ import annotations

from fractions import Fraction

import pytest
from tests.unit.statement_fakes import HERE, collection

from clutchlight.genetics.pedigree import kinship_of_pair
from clutchlight.model import Animal, Clutch, Sires, sire_called
from clutchlight.statements.family import _Kin, _side_by_side, kinship_of

# Child: (sire, dam). A, B, P, Q, R, S are founders.
FAMILY = {
    "C": ("A", "B"), "D": ("A", "B"), "H": ("A", "P"), "E": ("C", "Q"), "G": ("R", "D"), "K": ("S", "E"), "J": ("R", "H"),
    "L": ("H", "D"),
}  # fmt: skip


def relation(sire: str, dam: str, inbreeding: str) -> str:
    names = dict.fromkeys((*"ABPQRS", *FAMILY))
    animals = [
        Animal(name, "ball-python", HERE, sire=FAMILY[name][0], dam=FAMILY[name][1])
        if name in FAMILY
        else Animal(name, "ball-python", HERE)
        for name in names
    ]
    return kinship_of(collection(animals), sire_called(sire), dam, Fraction(inbreeding)).clause


@pytest.mark.parametrize(
    ("sire", "dam", "inbreeding", "expected"),
    [
        ("A", "B", "0", "its parents are not related, as far as is recorded"),
        ("A", "D", "1/4", "its parents are father and daughter"),
        ("C", "B", "1/4", "its parents are son and mother"),
        ("A", "G", "1/8", "its parents are grandfather and granddaughter"),
        ("A", "K", "1/16", "its parents are great-grandfather and great-granddaughter"),
        ("C", "D", "1/4", "its parents are full siblings"),
        ("C", "H", "1/8", "its parents are half-siblings"),
        ("C", "G", "1/8", "its parents are uncle and niece"),
        ("E", "D", "1/8", "its parents are nephew and aunt"),
        ("H", "G", "1/16", "its parents are half-uncle and half-niece"),
        ("E", "G", "1/16", "its parents are first cousins"),
        ("E", "J", "1/32", "its parents are half first cousins"),
        ("K", "J", "1/64", "its parents have one ancestor in common"),
        ("K", "G", "1/32", "its parents have two ancestors in common"),
        ("C", "H", "3/16", "its parents are half-siblings, and are related in other ways too"),
        ("E", "L", "3/32", "its parents are first cousins, and are related in other ways too"),
        ("unknown", "B", "0", "its sire is not recorded"),
        ("none", "B", "1", "its dam bred without a male"),
    ],
)
def test_the_closest_relation_is_named(sire: str, dam: str, inbreeding: str, expected: str) -> None:
    """By pedigree, with "in other ways too" when the coefficient is not that of the relation alone."""
    assert relation(sire, dam, inbreeding) == expected


def test_of_two_ways_to_be_an_uncle_the_nearer_is_named() -> None:
    """Her sire is his half-brother, her dam his full sister; and the other way round."""
    parents = {"X": ("P", "Q"), "Y": ("P", "Q"), "Z": ("P", "R"), "N": ("Z", "Y"), "O": ("Y", "Z")}
    animals = [Animal(name, "ball-python", HERE, sire=one, dam=other) for name, (one, other) in parents.items()]
    found = collection([*animals, *(Animal(name, "ball-python", HERE) for name in "PQR")])
    assert {_side_by_side(found, "X", name) for name in "NO"} == {_Kin("uncle and niece", Fraction(1, 8))}


def test_young_of_one_clutch_by_an_unrecorded_male_are_full_siblings() -> None:
    """An unknown sire is one male for the clutch; with several candidates only the clutch is certain."""

    def of(*candidates: str) -> str:
        share = Fraction(1, len(candidates))
        clutch = Clutch(
            "C1", "ball-python", HERE, Sires("one of", tuple((sire_called(name), share) for name in candidates)), "B"
        )
        young = [Animal(name, "ball-python", HERE, dam="B", clutch="C1") for name in ("X", "Y")]
        founders = [Animal(name, "ball-python", HERE) for name in ("A", "B")]
        return kinship_of(collection([*founders, *young], [clutch]), sire_called("X"), "Y", Fraction(1, 4)).clause

    assert of("unknown") == "its parents are full siblings"
    assert of("A", "unknown") == "its parents hatched from one clutch"


@pytest.mark.parametrize(
    ("sires", "inbreeding", "clause", "by_chances"),
    [
        (("A", "B"), "9/32", "may be related in other ways too, depending on a sire that is in doubt", True),
        (("A",), "5/16", "are related in other ways too", False),
    ],
)
def test_a_coefficient_that_hangs_on_a_sire_in_doubt_says_so(
    sires: tuple[str, ...], inbreeding: str, clause: str, by_chances: bool
) -> None:
    """Son and mother: 1/4. His sire T and she have one sire for certain (1/8, so 1/16 more), or with 1/2 (1/32 more)."""
    chances = tuple((sire_called(name), Fraction(1, len(sires))) for name in sires)
    clutches = [
        Clutch(name, "ball-python", HERE, Sires("one of" if len(sires) > 1 else "one", chances), dam, young=(young,))
        for name, dam, young in (("C1", "D", "M"), ("C2", "E", "T"))
    ]
    animals = [
        *(Animal(name, "ball-python", HERE) for name in "ABDE"),
        Animal("M", "ball-python", HERE, dam="D", clutch="C1"),
        Animal("T", "ball-python", HERE, dam="E", clutch="C2"),
        Animal("S", "ball-python", HERE, sire="T", dam="M"),
    ]
    found = collection(animals, clutches)
    assert kinship_of_pair(found, "S", "M") == Fraction(inbreeding)
    told = kinship_of(found, sire_called("S"), "M", Fraction(inbreeding))
    assert (told.clause, told.by_chances) == (f"its parents are son and mother, and {clause}", by_chances)


def test_full_siblings_are_so_whoever_sired_them_but_not_of_a_mixed_clutch() -> None:
    chances = tuple((sire_called(name), Fraction(1, 2)) for name in "AB")
    told = []
    for kind, inbreeding in (("one of", "1/4"), ("mixed", "3/16")):
        clutch = Clutch("C1", "ball-python", HERE, Sires(kind, chances), "D", young=("X", "Y"))  # type: ignore[arg-type]
        young = [Animal(name, "ball-python", HERE, dam="D", clutch="C1") for name in "XY"]
        found = collection([*(Animal(name, "ball-python", HERE) for name in "ABD"), *young], [clutch])
        assert kinship_of_pair(found, "X", "Y") == Fraction(inbreeding)
        told.append(kinship_of(found, sire_called("X"), "Y", Fraction(inbreeding)).by_chances)
    assert told == [False, True]
