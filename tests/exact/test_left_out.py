"""A clutch that is left out (`counts: no`): whose look counts in what is asked of whom, against the enumeration of what then counts.

S and D have the young Y-1 and Y-2, which are left out. Y-1 has young with M in a clutch that counts. In what is asked of M and of these
young the look of Y-1 counts, in what is asked of itself its own; in what is asked of S, D and Y-2 it does not.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from itertools import product

import pytest
from msgspec.structs import replace
from tests.exact.both_ways import enumerated, shares
from tests.oracle.as_collection import as_collection
from tests.oracle.case import Animal, Case, Claim, Clutch, LabTest, Locus, Look, Reading
from tests.oracle.enumerate_genotypes import Enumeration

from clutchlight.genetics.inference import infer
from clutchlight.genetics.values import Figure
from clutchlight.model import Collection
from clutchlight.planning.odds import odds, pair_together

LOCI = (
    Locus("plain", "recessive", ("Cone",)),
    Locus("bold", "incomplete dominant", ("Bone",), two_copies=(("Bone", "Super Bone"),)),
)
COUNTS = {"S": (), "D": (), "M": ("Y-1",), "Y-1": ("Y-1",), "Y-2": ("Y-2",), "Z-1": ("Y-1",), "Z-2": ("Y-1",)}
"""For each animal whose looks, of those left out, count in what is asked of it."""


def seen(*shows: str) -> tuple[Reading, ...]:
    return (Reading(Look(shows)),)


def written(one: tuple[str, ...], other: tuple[str, ...], young: tuple[str, ...], hers: tuple[str, ...]) -> Case:
    def said(chance: Fraction) -> tuple[Claim, ...]:
        return (Claim("Cone", chance),)

    animals = (
        Animal("S", "male", seen(), said(Fraction(1, 2))),
        Animal("D", "female", seen(*hers), said(Fraction(2, 3))),
        Animal("M", "male", seen("Bone"), said(Fraction(1, 4))),
        Animal("Y-1", "female", seen(*one), clutch="Y"),
        Animal("Y-2", "male", seen(*other), clutch="Y"),
        Animal("Z-1", "female", seen(*young), clutch="Z"),
        Animal("Z-2", "male", seen(), clutch="Z"),
    )
    clutches = (
        Clutch("Y", (("S", Fraction(1)),), "D", date(2020, 7, 1)),
        Clutch("Z", (("M", Fraction(1)),), "Y-1", date(2023, 7, 1)),
    )
    return Case(LOCI, animals, clutches)


def cases() -> Iterator[Case]:
    for one, other, young in product([("Cone",), (), ("Bone",)], [("Cone",), ()], [("Cone",), (), ("Bone",)]):
        for hers in ((), ("Bone",)) if one != ("Bone",) else (("Bone",),):
            yield written(one, other, young, hers)


def left_out(case: Case, *, complete: bool = True) -> Collection:
    collection = as_collection(case)
    return collection.with_clutches(replace(collection.clutches["Y"], counts=False, complete=complete))


def with_looks_of(case: Case, counting: tuple[str, ...]) -> Enumeration:
    """The case with the looks of these of the young that are left out alone."""
    animals = (
        replace(animal, readings=(), tests=()) if animal.clutch == "Y" and animal.id not in counting else animal
        for animal in case.animals
    )
    return Enumeration(replace(case, animals=tuple(animals)))


@pytest.mark.parametrize("case", list(cases()))
def test_each_figure_is_that_of_the_looks_that_count_in_it(case: Case) -> None:
    inference = infer(left_out(case))
    for name, counting in COUNTS.items():
        expected = with_looks_of(case, counting)
        for locus in LOCI:
            found = shares(locus, inference.now(name, locus.name))
            assert found == enumerated(expected.genotypes(name, locus.name)), (name, locus.name)


@pytest.mark.parametrize("case", list(cases()))
def test_its_look_weighs_its_own_chance_though_not_all_of_the_clutch_is_on_record(case: Case) -> None:
    """Its young go by what it is, however it came to be kept."""
    inference = infer(left_out(case, complete=False))
    for name in ("M", "Z-1", "Z-2"):
        expected = with_looks_of(case, ("Y-1",))
        for locus in LOCI:
            found = shares(locus, inference.now(name, locus.name))
            assert found == enumerated(expected.genotypes(name, locus.name)), (name, locus.name)


@pytest.mark.parametrize("young", [("Cone",), (), ("Bone",)])
def test_where_its_parents_cannot_have_had_it_so_nothing_is_taken_from_them(young: tuple[str, ...]) -> None:
    """Neither S nor D has Bone, which Y-1 shows: what is asked of its young and its mate is asked as if it were a founder."""
    case = written(("Bone",), (), young, ())
    inference = infer(left_out(case))
    alone = [replace(one, clutch=None) if one.id == "Y-1" else one for one in case.animals if one.id != "Y-2"]
    expected = Enumeration(replace(case, animals=tuple(alone), clutches=case.clutches[1:]))
    for name, locus in product(("M", "Z-1", "Z-2"), LOCI):
        found = shares(locus, inference.now(name, locus.name))
        assert found == enumerated(expected.genotypes(name, locus.name)), (name, locus.name)


def with_a_test(case: Case) -> Case:
    """The same with a test of Y-1 that may err: counted twice it would say more than it does."""
    found = (LabTest("Cone", 1, date(2022, 1, 1), Fraction(1, 10), "here"),)
    return replace(case, animals=tuple(replace(one, tests=found if one.id == "Y-1" else ()) for one in case.animals))


@pytest.mark.parametrize("case", [*cases(), *(with_a_test(case) for case in cases())])
def test_the_odds_of_another_clutch_of_hers_go_by_her_own_look(case: Case) -> None:
    found = odds(infer(left_out(case)), "M", "Y-1", 2)
    expected: dict[frozenset[str], Fraction] = {}
    for clutch, chance in with_looks_of(case, ("Y-1",)).next_clutch("M", "Y-1", 2).items():
        for looks in {frozenset(look for look in looks if look) for _, looks in clutch}:
            expected[looks] = expected.get(looks, Fraction(0)) + chance
    assert {frozenset(one.looks): one.at_least_one for one in found.outcomes} == expected


@pytest.mark.parametrize("mate", ["Y-2", "S", "T"])
def test_her_own_look_tells_which_of_two_sires_she_can_be_of(mate: str) -> None:
    """T, not S, gives Bone to each of his young. Beside a mate of her kin what is told of her is her own figure, and nothing fails."""
    case = written((), (), (), ())
    own = (Reading(Look(("Bone",), cannot_tell=("Cone",))),)
    animals = [replace(animal, readings=own) if animal.id == "Y-1" else animal for animal in case.animals]
    animals.append(Animal("T", "male", seen("Bone"), (Claim("Cone", Fraction(1, 3)),)))
    sires = (("S", Fraction(3, 4)), ("T", Fraction(1, 4)))
    case = replace(case, animals=tuple(animals), clutches=(replace(case.clutches[0], sires=sires), case.clutches[1]))
    inference = infer(left_out(case))
    male, female = inference.collection.animals[mate], inference.collection.animals["Y-1"]
    found = pair_together(inference, male, female, heard=[female])
    bold = next(at for at, locus in enumerate(found.loci) if locus.key == "bold")
    hers: dict[tuple[int, int], Fraction] = {}
    for (_, state), chance in found.rows_at(bold):
        pair = found.states[bold].pairs[state]
        hers[pair] = hers.get(pair, Fraction(0)) + chance
    figure = inference.now("Y-1", "bold")
    assert isinstance(figure, Figure)
    assert hers == dict(figure.genotypes)
    assert odds(inference, mate, "Y-1", 2).outcomes


@pytest.mark.parametrize("other", [("Cone",), ()])
def test_who_is_kin_by_the_parents_too_is_left_alone(other: tuple[str, ...]) -> None:
    """W is of Y-1 and Y-2: what is seen of these counts for W, and by way of W for neither of the two, nor for S and D."""
    case = written(("Cone",), other, (), ())
    young = Animal("W", "female", seen(*other), clutch="W")
    together = Clutch("W", (("Y-2", Fraction(1)),), "Y-1", date(2022, 7, 1))
    case = replace(case, animals=(*case.animals, young), clutches=(*case.clutches, together))
    inference = infer(left_out(case))
    for name, counting in {"S": (), "D": (), "Y-1": ("Y-1",), "Y-2": ("Y-2",), "W": ("Y-1", "Y-2")}.items():
        expected = with_looks_of(case, counting)
        for locus in LOCI:
            found = shares(locus, inference.now(name, locus.name))
            assert found == enumerated(expected.genotypes(name, locus.name)), (name, locus.name)
