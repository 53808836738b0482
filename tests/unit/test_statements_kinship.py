"""How parents are related, in words; the coefficients of each relation are Wright's (1922, Am Nat 56:330-338)."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

import pytest
from tests.unit.statement_fakes import HERE, collection

from clutchlight.genetics.kinship import CollectionKinship
from clutchlight.model import Animal, Clutch, Collection, Sires, sire_called
from clutchlight.statements.kinship import _side_by_side, kinship_of

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
    return kinship_of(CollectionKinship(collection(animals)), sire_called(sire), dam, Fraction(inbreeding)).clause


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
        ("C", "H", "3/16", "its parents are half-siblings, and more closely related than that usually means"),
        ("E", "L", "3/32", "its parents are first cousins, and more closely related than that usually means"),
        ("unknown", "B", "0", "its sire is not recorded"),
        ("none", "B", "1", "its dam bred without a male"),
    ],
)
def test_the_closest_relation_is_named(sire: str, dam: str, inbreeding: str, expected: str) -> None:
    """By pedigree, with what more there is when the coefficient is not that of the relation alone."""
    assert relation(sire, dam, inbreeding) == expected


def test_of_two_ways_to_be_an_uncle_the_nearer_is_named() -> None:
    """Her sire is his half-brother, her dam his full sister; and the other way round."""
    parents = {"X": ("P", "Q"), "Y": ("P", "Q"), "Z": ("P", "R"), "N": ("Z", "Y"), "O": ("Y", "Z")}
    animals = [Animal(name, "ball-python", HERE, sire=one, dam=other) for name, (one, other) in parents.items()]
    found = collection([*animals, *(Animal(name, "ball-python", HERE) for name in "PQR")])
    kin = [_side_by_side(found, "X", name) for name in "NO"]
    assert [(one.brief, one.alone) for one in kin if one] == [("uncle and niece", Fraction(1, 8))] * 2


def test_young_of_one_clutch_by_an_unrecorded_male_are_full_siblings() -> None:
    """An unknown sire is one male for the clutch; with several candidates only the clutch is certain."""

    def of(*candidates: str) -> str:
        share = Fraction(1, len(candidates))
        clutch = Clutch(
            "C1", "ball-python", HERE, Sires("one of", tuple((sire_called(name), share) for name in candidates)), "B"
        )
        young = [Animal(name, "ball-python", HERE, dam="B", clutch="C1") for name in ("X", "Y")]
        founders = [Animal(name, "ball-python", HERE) for name in ("A", "B")]
        return kinship_of(
            CollectionKinship(collection([*founders, *young], [clutch])), sire_called("X"), "Y", Fraction(1, 4)
        ).clause

    assert of("unknown") == "its parents are full siblings"
    assert of("A", "unknown") == "its parents are from one clutch"


def son_and_mother(kind: Literal["one", "one of", "mixed"], *sires: str) -> Collection:
    """S and his dam M, who hatched of one clutch of these sires, and his sire T of another."""
    chances = tuple((sire_called(name), Fraction(1, len(sires))) for name in sires)
    clutches = [
        Clutch(name, "ball-python", HERE, Sires(kind, chances), dam, young=(young,))
        for name, dam, young in (("C1", "D", "M"), ("C2", "E", "T"))
    ]
    animals = [
        *(Animal(name, "ball-python", HERE) for name in (*sires, "D", "E")),
        Animal("M", "ball-python", HERE, dam="D", clutch="C1"),
        Animal("T", "ball-python", HERE, dam="E", clutch="C2"),
        Animal("S", "ball-python", HERE, sire="T", dam="M"),
    ]
    return collection(animals, clutches)


@pytest.mark.parametrize(
    ("sires", "inbreeding", "clause", "by_chances"),
    [
        (("A", "B"), "9/32", "perhaps more closely related than that usually means", True),
        (("A",), "5/16", "more closely related than that usually means", False),
    ],
)
def test_a_coefficient_that_hangs_on_a_sire_in_doubt_says_so(
    sires: tuple[str, ...], inbreeding: str, clause: str, by_chances: bool
) -> None:
    """Son and mother: 1/4. His sire T and she have one sire for certain (1/8, so 1/16 more), or with 1/2 (1/32 more)."""
    kin = CollectionKinship(son_and_mother("one of" if len(sires) > 1 else "one", *sires))
    assert kin.of_pair("S", "M") == Fraction(inbreeding)
    told = kinship_of(kin, sire_called("S"), "M", Fraction(inbreeding))
    assert (told.clause, told.by_chances) == (f"its parents are son and mother, and {clause}", by_chances)


def test_a_coefficient_does_not_hang_on_sires_that_the_records_rule_out() -> None:
    by_a = (sire_called("A"), Fraction(1)), (sire_called("B"), Fraction(0))
    kin = CollectionKinship(son_and_mother("one of", "A", "B"), lambda _: by_a)
    told = kinship_of(kin, sire_called("S"), "M", Fraction(5, 16))
    assert told.clause == "its parents are son and mother, and more closely related than that usually means"
    assert not told.by_chances


def test_full_siblings_are_so_whoever_sired_them_but_not_of_a_mixed_clutch() -> None:
    chances = tuple((sire_called(name), Fraction(1, 2)) for name in "AB")
    told = []
    for kind, inbreeding in (("one of", "1/4"), ("mixed", "3/16")):
        clutch = Clutch("C1", "ball-python", HERE, Sires(kind, chances), "D", young=("X", "Y"))  # type: ignore[arg-type]
        young = [Animal(name, "ball-python", HERE, dam="D", clutch="C1") for name in "XY"]
        kin = CollectionKinship(collection([*(Animal(name, "ball-python", HERE) for name in "ABD"), *young], [clutch]))
        assert kin.of_pair("X", "Y") == Fraction(inbreeding)
        told.append(kinship_of(kin, sire_called("X"), "Y", Fraction(inbreeding)).by_chances)
    assert told == [False, True]


# Young: (sires, dam, the twin from whose egg it hatched). Each is of a clutch of its own, unless another has the same pair.
LINEAGE = {
    "T": ("A", "B", ""), "W": ("A", "B", "T"), "U": ("A", "B", ""), "I": ("T", "U", ""), "J": ("I", "P", ""), "K": ("I", "P", ""),
    "L": ("I", "Q", ""), "M": ("T", "P", ""), "N": ("W", "Q", ""), "O": ("I", "J", ""),
    "E": ("unknown", "P", ""), "F": ("unknown", "P", ""), "G": ("E", "Q", ""), "H": ("R", "F", ""),
    "V": ("R S", "P", ""), "X": ("R S", "P", ""), "Y": ("A", "X", ""),
    "C": ("A B1", "Q", ""), "D": ("T", "C", ""), "Z": ("T", "U", ""),
}  # fmt: skip


@pytest.mark.parametrize(
    ("sire", "dam", "inbreeding", "expected", "more"),
    [
        ("I", "J", "5/16", "father and daughter", ""),
        ("K", "J", "9/32", "full siblings", ""),
        ("J", "L", "5/32", "half-siblings", ""),
        ("I", "O", "15/32", "father and daughter", " "),
        ("G", "H", "1/16", "first cousins", ""),
        ("E", "H", "1/8", "uncle and niece", ""),
        ("V", "Y", "1/8", "uncle and niece", ""),
        ("W", "M", "1/4", "uncle and niece through identical twins", ""),
        ("M", "N", "1/8", "first cousins through identical twins", ""),
        ("A", "D", "3/16", "grandfather and granddaughter", " perhaps "),
        ("T", "Z", "3/8", "father and daughter", " "),
    ],
)  # fmt: skip
def test_closer_kin_than_by_their_relation_are_so_told(
    sire: str, dam: str, inbreeding: str, expected: str, more: str
) -> None:
    """Not by an inbred ancestor; nor by an unrecorded sire of siblings, one of two, or a twin of an ancestor."""
    homes = {(sires, mother): f"{sires}x{mother}" for sires, mother, _ in LINEAGE.values()}
    young = [
        Animal(name, "ball-python", HERE, dam=mother, clutch=homes[sires, mother], egg=egg or name)
        for name, (sires, mother, egg) in LINEAGE.items()
    ]
    clutches = []
    for (sires, mother), name in homes.items():
        each = [sire_called(one) for one in sires.split()]
        chances = tuple((one, Fraction(1, len(each))) for one in each)
        own = tuple(one.id for one in young if one.clutch == name)
        clutches.append(
            Clutch(name, "ball-python", HERE, Sires("one of" if len(each) > 1 else "one", chances), mother, young=own)
        )
    founders = (Animal(name, "ball-python", HERE) for name in ("A", "B", "B1", *"PQRS"))
    kin = CollectionKinship(collection([*founders, *young], clutches))
    assert kin.of_pair(sire, dam) == Fraction(inbreeding)
    closer = f", and{more}more closely related than that usually means" if more else ""
    assert kinship_of(kin, sire_called(sire), dam, Fraction(inbreeding)).clause == f"its parents are {expected}{closer}"


def test_what_is_certain_whoever_the_sire_was_is_not_told_as_perhaps() -> None:
    """Half-siblings by their dam, whose sires on the other side are one male or full brothers: at least 1/8 + 1/4 of 1/4."""
    one, either = (
        ((sire_called("S1"), Fraction(1)),),
        tuple((sire_called(name), Fraction(1, 2)) for name in ("S1", "S2")),
    )
    clutches = [
        Clutch("C1", "ball-python", HERE, Sires("one of", either), "D", young=("X",)),
        Clutch("C2", "ball-python", HERE, Sires("one", one), "D", young=("Y",)),
    ]
    animals = [
        *(Animal(name, "ball-python", HERE) for name in "ABD"),
        *(Animal(name, "ball-python", HERE, sire="A", dam="B") for name in ("S1", "S2")),
        *(Animal(name, "ball-python", HERE, dam="D", clutch=home) for name, home in (("X", "C1"), ("Y", "C2"))),
    ]
    kin = CollectionKinship(collection(animals, clutches))
    assert kin.of_pair("X", "Y", least=True) == Fraction(3, 16)
    told = kinship_of(kin, sire_called("X"), "Y", kin.of_pair("X", "Y"))
    assert told.clause == "its parents are half-siblings, and more closely related than that usually means"
    assert told.by_chances
