"""Coefficients of inbreeding and relationship of textbooks, by the product's kinship."""

from __future__ import annotations

from csv import reader
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from tests.oracle.as_collection import as_collection
from tests.oracle.case import NONE, Animal, Case, Clutch, Sex
from tests.published.families import PIEBALD

from clutchlight.genetics.kinship import CollectionKinship
from clutchlight.model import Collection

F = Fraction

Line = tuple[str, Sex, str | None, str | None]


def pedigree(*lines: Line) -> Collection:
    """Animals as (id, sex, sire, dam); each clutch is its young's own."""
    animals, clutches = [], []
    for number, (name, sex, sire, dam) in enumerate(lines):
        if sire and dam:
            clutches.append(Clutch(f"{name}c", ((sire, F(1)),), dam, date(1980 + number, 7, 1)))
            animals.append(Animal(name, sex, clutch=f"{name}c"))
        else:
            animals.append(
                Animal(name, sex, sire=sire, dam=dam, hatched=date(1980 + number, 7, 1) if sire or dam else None)
            )
    return as_collection(Case((PIEBALD,), tuple(animals), tuple(clutches)))


FOUNDERS: tuple[Line, ...] = tuple((name, "male" if name < "N" else "female", None, None) for name in "ABCXYZ")

FULL_SIBS: tuple[Line, ...] = (*FOUNDERS, ("P", "male", "A", "X"), ("Q", "female", "A", "X"))


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        pytest.param((*FULL_SIBS, ("W", "male", "P", "Q")), F(1, 4), id="full sibs"),
        pytest.param((*FULL_SIBS, ("W", "male", "A", "Q")), F(1, 4), id="parent and young"),
        pytest.param(
            (*FOUNDERS, ("P", "male", "A", "X"), ("Q", "female", "A", "Y"), ("W", "male", "P", "Q")),
            F(1, 8),
            id="half sibs",
        ),
        pytest.param((*FULL_SIBS, ("N", "female", "B", "Q"), ("W", "male", "P", "N")), F(1, 8), id="uncle and niece"),
        pytest.param(
            (*FULL_SIBS, ("M", "male", "P", "Y"), ("N", "female", "B", "Q"), ("W", "male", "M", "N")),
            F(1, 16),
            id="first cousins",
        ),
    ],
)
def test_wrights_examples(lines: tuple[Line, ...], expected: Fraction) -> None:
    """F of W: S. Wright 1922, Am Nat 56:330-338 (read)."""
    assert CollectionKinship(pedigree(*lines)).inbreeding["W"] == expected


def sib_mating(generations: int) -> list[Line]:
    lines: list[Line] = [("G0m", "male", None, None), ("G0f", "female", None, None)]
    for g in range(1, generations + 1):
        lines += [(f"G{g}m", "male", f"G{g - 1}m", f"G{g - 1}f"), (f"G{g}f", "female", f"G{g - 1}m", f"G{g - 1}f")]
    return lines


def test_half_sibs_through_an_inbred_ancestor() -> None:
    """The common ancestor has F = 1/2, so that half sibs' young have (1/2)^3 (1 + 1/2) = 3/16: Wright 1922 (read)."""
    lines = [*sib_mating(4), ("X", "female", None, None), ("Y", "female", None, None)]
    lines += [("P", "male", "G4m", "X"), ("Q", "female", "G4m", "Y"), ("W", "male", "P", "Q")]
    found = CollectionKinship(pedigree(*lines)).inbreeding
    assert (found["G4m"], found["W"]) == (F(1, 2), F(3, 16))


def test_full_sibs_again_and_again() -> None:
    """1/4, 3/8, 1/2, 19/32, 43/64: F(t) = (1 + 2 F(t-1) + F(t-2)) / 4 (derived)."""
    found = CollectionKinship(pedigree(*sib_mating(6))).inbreeding
    assert [found[f"G{g}m"] for g in range(2, 7)] == [F(1, 4), F(3, 8), F(1, 2), F(19, 32), F(43, 64)]


def test_back_to_the_same_sire() -> None:
    """Daughters of each generation put back to one sire that is not inbred: 1/4, 3/8, 7/16, 15/32 (derived)."""
    lines: list[Line] = [("S", "male", None, None), ("D0", "female", None, None)]
    lines += [(f"D{g}", "female", "S", f"D{g - 1}") for g in range(1, 6)]
    found = CollectionKinship(pedigree(*lines)).inbreeding
    assert [found[f"D{g}"] for g in range(2, 6)] == [F(1, 4), F(3, 8), F(7, 16), F(15, 32)]


MRODE: tuple[Line, ...] = (
    ("1", "male", None, None),
    ("2", "female", None, None),
    ("3", "female", "1", "2"),
    ("4", "male", "1", None),
    ("5", "male", "4", "3"),
    ("6", "male", "5", "2"),
)


def test_mrodes_table() -> None:
    """R.A. Mrode, Linear Models for the Prediction of Animal Breeding Values, table 2.1 (read, worked out again): F5 = F6 = 1/8;
    relationships are twice the kinship: a(5,6) = 11/16, a(3,6) = 9/16, a(4,6) = 5/16."""
    kinship = CollectionKinship(pedigree(*MRODE))
    assert [kinship.inbreeding[name] for name in "123456"] == [0, 0, 0, 0, F(1, 8), F(1, 8)]
    assert [2 * kinship.of_pair(name, "6") for name in "534"] == [F(11, 16), F(9, 16), F(5, 16)]


ROAN_GAUNTLET: tuple[Line, ...] = (
    ("Lord Raglan", "male", None, None),
    ("Champion of England", "male", None, None),
    ("Duchess of Gloster", "female", "Lord Raglan", None),
    ("Mistletoe", "female", "Lord Raglan", None),
    ("Cressida", "female", "Lord Raglan", None),
    ("Carmine", "female", None, "Cressida"),
    ("Grand Duke of Gloster", "male", "Champion of England", "Duchess of Gloster"),
    ("Mimulus", "female", "Champion of England", "Mistletoe"),
    ("Royal Duke of Gloster", "male", "Grand Duke of Gloster", "Mimulus"),
    ("Princess Royal", "female", "Champion of England", "Carmine"),
    ("Roan Gauntlet", "male", "Royal Duke of Gloster", "Princess Royal"),
)


def test_wrights_shorthorn_bull() -> None:
    """Wright 1922, Am Nat 56:330-338, as worked through in Lynch & Walsh 1998, Genetics and Analysis of Quantitative Traits, chapter 7
    (read): two paths of four animals and two of seven, 2/2^4 + 2/2^7 = 0.141; 1/4 between Champion of England and each of the bull's
    sire's parents, 1/2^5 between these and Carmine. The dams through whom the long paths go are named from memory."""
    kinship = CollectionKinship(pedigree(*ROAN_GAUNTLET))
    assert kinship.inbreeding["Roan Gauntlet"] == F(2, 2**4) + F(2, 2**7)
    for parent in ("Grand Duke of Gloster", "Mimulus"):
        assert kinship.of_pair(parent, "Champion of England") == F(1, 4)
        assert kinship.of_pair(parent, "Carmine") == F(1, 2**5)


def test_two_families_of_people() -> None:
    """The 55 people of `sample.ped` of the R package kinship2 with the kinship of all 1,540 pairs that it prints: pedigree and matrix
    as text in the tests of sgkit (read); here in 1/32, so that nothing is rounded."""
    with Path(__file__).with_name("kinship2_sample.csv").open(encoding="utf-8") as lines:
        rows = list(reader(lines))[1:]
    names = [name for name, *_ in rows]
    collection = pedigree(*_parents_first(rows))
    printed = {
        (name, other): F(int(value), 32)
        for name, *_, values in rows
        for other, value in zip(names, values.split(), strict=False)
    }
    assert len(printed) == 1540
    assert {pair: CollectionKinship(collection).of_pair(*pair) for pair in printed} == printed


TWINS = {"102": "101", "103": "101", "204": "203"}
OF_TWINS = """1 3 4 female|2 - - male|3 8 7 male|4 6 5 female|5 - - female|6 - - male|7 - - female|8 - - male|100 3 4 male
101 3 4 female|102 3 4 female|103 3 4 female|104 3 4 female|105 3 4 female|106 3 4 female|107 - - male|108 - - male
201 2 1 male|202 2 1 male|203 2 1 male|204 2 1 male|205 107 102 male|206 108 103 female"""
KINSHIPS = (
    """5 6 0|5 4 1/4|101 102 1/2|205 103 1/4|205 104 1/8|104 105 1/4|203 204 1/2|202 107 0|202 102 1/8|202 3 1/8"""
)


def test_a_family_with_identical_twins() -> None:
    """23 people, three of one egg and two of another, with the kinship of ten pairs that the R package kinship2 holds to be true in its
    own test `monozygote.R` (read): identical twins 1/2, the aunt who is the mother's twin 1/4, another aunt 1/8."""
    rows = [[one if one != "-" else "0" for one in line.split()] for line in OF_TWINS.replace("\n", "|").split("|")]
    animals: list[Animal] = []
    clutches: dict[str, Clutch] = {}
    for name, sire, dam, sex in rows:
        if sire != "0":
            clutches[dam] = Clutch(f"{dam}c", ((sire, F(1)),), dam, date(1980 + len(clutches), 7, 1))
        kept: Sex = "male" if sex == "male" else "female"
        animals.append(Animal(name, kept, clutch=f"{dam}c" if dam != "0" else None, same_egg_as=TWINS.get(name)))
    collection = as_collection(Case((PIEBALD,), tuple(animals), tuple(clutches.values())))
    for one, other, printed in (pair.split() for pair in KINSHIPS.split("|")):
        assert (one, other, CollectionKinship(collection).of_pair(one, other)) == (one, other, F(printed))


def _parents_first(rows: list[list[str]]) -> list[Line]:
    """The lines of the file in such an order that parents are born before their young."""
    left, lines = rows, list[Line]()
    while left:
        known = {"0", *(name for name, *_ in lines)}
        ready = [row for row in left if {row[1], row[2]} <= known]
        left = [row for row in left if row not in ready]
        sexes: dict[str, Sex] = {"1": "male", "2": "female"}
        lines += [
            (name, sexes[sex], *(None if one == "0" else one for one in (father, mother)))  # type: ignore[misc]
            for name, father, mother, sex, _ in ready
        ]
    return lines


def test_parthenogenesis() -> None:
    """Young of terminal fusion are 1 minus the share kept, whatever the dam: Booth et al. 2014, Biol J Linn Soc 112:461-468 (the
    mode read; the figure derived for no share kept)."""
    case = Case(
        (PIEBALD,),
        (Animal("D", "female"), Animal("Y", "female", clutch="C")),
        (Clutch("C", ((NONE, F(1)),), "D", date(2020, 7, 1)),),
    )
    assert CollectionKinship(as_collection(case)).inbreeding["Y"] == 1


def sibs_of(sires: tuple[tuple[str, Fraction], ...]) -> Fraction:
    """F of the young of two sibs of a clutch of these candidates; the second candidate is a son of the dam."""
    animals = (
        Animal("A", "male"),
        Animal("X", "female"),
        Animal("P", "male", clutch="1"),
        Animal("S", "male", clutch="2"),
        Animal("T", "female", clutch="2"),
        Animal("W", "female", clutch="3"),
    )
    clutches = (
        Clutch("1", (("A", F(1)),), "X", date(2010, 7, 1)),
        Clutch("2", sires, "X", date(2013, 7, 1)),
        Clutch("3", (("S", F(1)),), "T", date(2016, 7, 1)),
    )
    return CollectionKinship(as_collection(Case((PIEBALD,), animals, clutches))).inbreeding["W"]


def test_sibs_share_a_sire_in_doubt() -> None:
    """The coefficient is the average over the candidates of what it would be with each known (derived)."""
    known = [sibs_of(((name, F(1)),)) for name in "AP"]
    assert known == [F(1, 4), F(3, 8)]
    assert sibs_of((("A", F(1, 3)), ("P", F(2, 3)))) == known[0] / 3 + known[1] * 2 / 3
