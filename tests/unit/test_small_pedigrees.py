"""Pedigrees of a few eggs: an excerpt of one, and kinship by the recursion worked by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from clutchlight.genetics.kinship import Kinship
from clutchlight.genetics.pedigree import Branch, Egg, Family, Pedigree, excerpt
from clutchlight.model import NOBODY, Recorded

F = Fraction
SIRE, DAM, OTHER, MATE = range(4)
Sires = dict[int | None, Fraction]


def pedigree(*families: tuple[Sires, int, int], each_egg: bool = False) -> Pedigree:
    """Four founders, and families of a sire's chances, a dam and a number of young; the eggs of one follow those of the one before."""
    eggs = [Egg(at, f"F{at}", (f"F{at}",), "female" if at in (DAM, MATE) else "male", None, True) for at in range(4)]
    found = []
    for number, (sires, dam, count) in enumerate(families):
        young = tuple(range(len(eggs), len(eggs) + count))
        eggs += [Egg(at, f"E{at}", (f"E{at}",), "male", number, True) for at in young]
        branches = tuple(
            Branch(one, share, NOBODY if one is None else Recorded(f"F{one}")) for one, share in sires.items()
        )
        found.append(Family(number, f"C{number}", branches, each_egg, dam, young, True))
    own: dict[int, tuple[int, ...]] = {}
    for family in found:
        for parent in family.parents:
            own[parent] = (*own.get(parent, ()), family.number)
    return Pedigree("snake", tuple(eggs), tuple(found), {egg.name: egg.number for egg in eggs}, own)


def test_an_excerpt_numbers_its_eggs_in_their_order() -> None:
    """Parents come first in it, as in the whole, whatever order a set gives; a family stays whose members are all there."""
    whole = pedigree(({SIRE: F(1)}, DAM, 1), ({OTHER: F(1)}, MATE, 1), ({4: F(1)}, MATE, 4))
    part, numbers = excerpt(whole, frozenset({DAM, SIRE, 4, MATE, 8, 9, 6, 7}))
    assert list(numbers) == [SIRE, DAM, MATE, 4, 6, 7, 8, 9]
    assert [egg.name for egg in part.eggs] == ["F0", "F1", "F3", "E4", "E6", "E7", "E8", "E9"]
    assert [egg.number for egg in part.eggs] == list(range(8))
    assert [(one.number, one.clutch, one.parents, one.eggs) for one in part.families] == [
        (0, "C0", (0, 1), (3,)),
        (1, "C2", (3, 2), (4, 5, 6, 7)),
    ]
    assert [egg.family for egg in part.eggs] == [None, None, None, 0, 1, 1, 1, 1]
    assert part.egg_of == {egg.name: egg.number for egg in part.eggs}
    assert excerpt(whole, frozenset({SIRE, DAM, 5}))[0].families == ()
    assert list(excerpt(whole, frozenset({8, DAM}))[1]) == [DAM, 8]


def test_an_excerpt_keeps_the_order_of_families_and_a_dam_alone() -> None:
    """Of ten families the second and the ninth, which a set gives the other way round."""
    nobody: dict[int | None, Fraction] = {None: F(1)}
    whole = pedigree(*((nobody, DAM, 1) for _ in range(10)))
    part, _ = excerpt(whole, frozenset({DAM, 5, 12}))
    assert [(one.number, one.clutch, one.may_lack_sire, one.eggs) for one in part.families] == [
        (0, "C1", True, (1,)),
        (1, "C8", True, (2,)),
    ]
    assert part.own == {0: (0, 1)}


def test_an_excerpt_of_all_is_the_whole() -> None:
    whole = pedigree(({SIRE: F(1)}, DAM, 1))
    assert excerpt(whole, frozenset(range(5))) == (whole, {0: 0, 1: 1, 2: 2, 3: 3, 4: 4})


HALF = F(1, 2)


@pytest.mark.parametrize(
    ("sires", "each_egg", "expected"),
    [
        ({SIRE: F(1)}, False, F(1, 4)),
        ({SIRE: HALF, OTHER: HALF}, False, F(1, 4)),
        ({SIRE: HALF, OTHER: HALF}, True, F(3, 16)),
        ({SIRE: F(3, 4), OTHER: F(1, 4)}, True, F(13, 64)),
        ({None: F(1)}, False, F(1, 2)),
        ({None: HALF, SIRE: HALF}, False, F(3, 8)),
        ({None: HALF, SIRE: HALF}, True, F(5, 16)),
    ],
    ids=[
        "full",
        "one of two",
        "egg by egg",
        "three to one",
        "without a male",
        "or with one",
        "or with one, egg by egg",
    ],
)
def test_kinship_of_two_young_of_a_clutch(sires: Sires, each_egg: bool, expected: Fraction) -> None:
    """Full sibs 1/4, half sibs 1/8 (Wright); by egg a sire is shared with the sum of the squares of the chances. Young of a dam alone
    have her own 1/2; one of those with one of a sire has f(dam, dam) / 2 = 1/4 by her."""
    assert Kinship(pedigree((sires, DAM, 2), each_egg=each_egg)).kinship(4, 5) == expected


def test_kinship_of_sibs_whose_parents_may_be_sibs() -> None:
    """By the brother of the dam F = 1/4 and f = (1/2 + 2 1/4 + 1/2) / 4 = 3/8, by another 0 and 1/4: half of each where one of both."""
    found = Kinship(pedigree(({SIRE: F(1)}, DAM, 2), ({4: HALF, OTHER: HALF}, 5, 2)))
    assert found.kinship(6, 7) == F(5, 16)
    assert found.inbreeding(6) == F(1, 8)
    assert found.kinship(6, 6) == F(9, 16)
    assert found.kinship(6, OTHER) == F(1, 8)
    assert found.kinship(6, MATE) == 0


def test_kinship_with_another_clutch_of_a_sire_in_doubt() -> None:
    """Half sibs by him 1/8, half of it where he is one of two; of the dam whole."""
    found = Kinship(pedigree(({SIRE: F(1)}, MATE, 1), ({SIRE: HALF, OTHER: HALF}, DAM, 1), ({OTHER: F(1)}, DAM, 1)))
    assert (found.kinship(4, 5), found.kinship(5, 4)) == (F(1, 16), F(1, 16))
    assert found.kinship(5, 6) == F(1, 8) + F(1, 16)
    assert found.kinship(4, 6) == 0
