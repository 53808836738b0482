"""Conflicts name records that cannot all be true, and no record too many: without any one of them the others can be.

"Can be true" is asked of the enumeration, which shares no code with the search for conflicts.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from random import Random

import pytest
from msgspec.structs import replace
from tests.exact.both_ways import BothWays
from tests.oracle.as_collection import as_collection
from tests.oracle.case import Animal, Case, Claim, Clutch, LabTest, Locus, Look, Reading
from tests.oracle.enumerate_genotypes import Enumeration
from tests.oracle.random_cases import KINDS, random_case

from clutchlight.genetics.inference import infer
from clutchlight.genetics.values import Conflict, EvidenceRecord

ONE = Fraction(1)
PIED = Locus("piebald", "recessive", ("Piebald",))
PASTEL = Locus("pastel", "incomplete dominant", ("Pastel",), two_copies=(("Pastel", "Super Pastel"),))
NORMAL, VISUAL = Reading(Look(())), Reading(Look(("Piebald",)))


def only(case: Case, records: Sequence[EvidenceRecord]) -> Case:
    """The case at the records' locus with their evidence alone; a parent whose line is not among them is a stranger."""
    kept = {(record.kind, record.subject, record.says, record.copies) for record in records}
    lines = {(record.kind, record.subject) for record in records}
    strangers: list[Animal] = []

    def stranger(role: str, of: str) -> str:
        strangers.append(Animal(f"{of}.{role}", "male" if role == "sire" else "female"))
        return strangers[-1].id

    animals = []
    for animal in case.animals:
        single = animal.clutch is None and not animal.founder
        animals.append(
            replace(
                animal,
                readings=animal.readings if ("look", animal.id) in lines else (),
                claims=tuple(claim for claim in animal.claims if ("claim", animal.id, (claim.trait,), 0) in kept),
                tests=tuple(test for test in animal.tests if ("test", animal.id, (test.trait,), test.copies) in kept),
                sire=(animal.sire if ("sire", animal.id) in lines else stranger("sire", animal.id)) if single else None,
                dam=(animal.dam if ("dam", animal.id) in lines else stranger("dam", animal.id)) if single else None,
            )
        )
    clutches = [
        replace(
            clutch,
            sires=clutch.sires if ("sire", clutch.id) in lines else ((stranger("sire", clutch.id), ONE),),
            dam=clutch.dam if ("dam", clutch.id) in lines else stranger("dam", clutch.id),
            tally=clutch.tally if ("look", clutch.id) in lines else (),
        )
        for clutch in case.clutches
    ]
    return replace(case, animals=(*animals, *strangers), clutches=tuple(clutches))


def at_locus(case: Case, name: str) -> Case:
    """The case with one locus only: looks of the others dropped."""
    locus = next(locus for locus in case.loci if locus.name == name)
    names = {*locus.alleles, *(look for _, look in locus.two_copies), *(look for *_, look in locus.together)}

    def told(reading: Reading) -> Reading:
        shows = reading.look.shows
        here = None if shows is None else tuple(look for look in shows if look in names)
        return replace(reading, look=Look(here))

    animals = tuple(
        replace(
            animal,
            readings=tuple(told(reading) for reading in animal.readings),
            claims=tuple(claim for claim in animal.claims if claim.trait in locus.alleles),
            tests=tuple(test for test in animal.tests if test.trait in locus.alleles),
        )
        for animal in case.animals
    )
    clutches = tuple(
        replace(
            clutch,
            tally=tuple(replace(row, look=told(Reading(row.look)).look) for row in clutch.tally),
            set_aside=tuple(key for key in clutch.set_aside if key == name),
        )
        for clutch in case.clutches
    )
    return replace(case, loci=(replace(locus, hides=()),), animals=animals, clutches=clutches)


def fits(case: Case, records: Sequence[EvidenceRecord]) -> bool:
    return not Enumeration(only(case, records)).conflict


def irreducible(case: Case, conflict: Conflict) -> None:
    """All together they cannot be true; leave out any one, and the others can."""
    here = at_locus(case, conflict.locus)
    assert conflict.records
    assert not fits(here, conflict.records)
    for record in conflict.records:
        assert fits(here, [other for other in conflict.records if other is not record]), record


MISTAKEN = ("mistakes", "mistakes in claims", "mistakes in tests", "mistakes with sires in doubt")


def mistaken(kind: str) -> tuple[BothWays, ...]:
    """Cases of a kind, one look in four misread, that are in conflict."""
    features = {
        "mistakes": KINDS["mistakes"],
        "mistakes in claims": replace(KINDS["claims"], mistakes=True, withdrawn=False),
        "mistakes in tests": replace(KINDS["tests"], mistakes=True),
        "mistakes with sires in doubt": replace(KINDS["one of several sires"], mistakes=True),
    }[kind]
    cases = (BothWays(f"{kind}, seed {n}", random_case(Random(n), replace(features, animals=8))) for n in range(60))
    return tuple(both for both in cases if both.inference.conflicts)


@pytest.mark.parametrize("kind", MISTAKEN)
def test_a_conflict_is_irreducible(kind: str) -> None:
    """For every conflict at one locus of random mistaken records."""
    found = mistaken(kind)
    assert len(found) > 5
    for both in found:
        for conflict in both.inference.conflicts:
            irreducible(both.case, conflict)


@pytest.mark.parametrize("kind", MISTAKEN[:1])
def test_conflicts_come_out_the_same_again(kind: str) -> None:
    """The same records, the same conflicts."""
    for both in mistaken(kind):
        assert infer(as_collection(both.case)).conflicts == both.inference.conflicts


def family(*young: Animal, sires: tuple[str, ...] = ("S",)) -> Case:
    """A visual sire and a visual dam, or another male S2 that is normal, and their young."""
    animals = (
        Animal("S", "male", (VISUAL,)),
        Animal("S2", "male", (NORMAL,)),
        Animal("D", "female", (VISUAL,)),
        *young,
    )
    clutch = Clutch("C", tuple((sire, Fraction(1, len(sires))) for sire in sires), "D", date(2020, 7, 1))
    return Case((PIED,), animals, (clutch,))


def hatchlings(clutch: str, count: int, look: Reading) -> tuple[Animal, ...]:
    return tuple(
        Animal(f"{clutch}-{n:02}", "male" if n % 2 else "female", (look,), clutch=clutch) for n in range(count)
    )


def told(conflict: Conflict) -> set[tuple[str, str]]:
    return {(record.kind, record.subject) for record in conflict.records}


def test_a_wrong_sire() -> None:
    """Two visuals cannot have normal young: both looks, both lines and one young's look; with a second male in doubt they can."""
    case = family(*hatchlings("C", 3, NORMAL))
    (first, *_) = infer(as_collection(case)).conflicts
    assert {kind for kind, _ in told(first)} == {"look", "sire", "dam"}
    assert {("look", "S"), ("look", "D"), ("sire", "C"), ("dam", "C")} <= told(first)
    assert len(first.records) == 5
    irreducible(case, first)
    assert infer(as_collection(family(*hatchlings("C", 3, NORMAL), sires=("S", "S2")))).conflicts == ()


def test_a_misread_look() -> None:
    """One normal among visual young of visuals: its look is named, and no other young's."""
    young = (*hatchlings("C", 5, VISUAL), Animal("C-ODD", "male", (NORMAL,), clutch="C"))
    (conflict,) = infer(as_collection(family(*young))).conflicts
    assert told(conflict) == {("look", "S"), ("look", "D"), ("sire", "C"), ("dam", "C"), ("look", "C-ODD")}


def test_a_test_against_a_look() -> None:
    """A sure test of no copy on a visual: the test and the look, nothing else."""
    animal = Animal("A", "male", (VISUAL,), tests=(LabTest("Piebald", 0, date(2021, 1, 1)),))
    (conflict,) = infer(as_collection(Case((PIED,), (animal,)))).conflicts
    assert told(conflict) == {("look", "A"), ("test", "A")}


def test_a_claim_against_a_look() -> None:
    """A certain claim of an incomplete dominant on an animal that looks normal: the claim and the look."""
    animal = Animal("A", "male", (NORMAL,), (Claim("Pastel", ONE),))
    (conflict,) = infer(as_collection(Case((PASTEL,), (animal,)))).conflicts
    assert told(conflict) == {("look", "A"), ("claim", "A")}


def test_two_independent_conflicts_are_both_told() -> None:
    """Two families without a common animal, each with a normal young of two visuals."""
    one = family(Animal("C-1", "male", (NORMAL,), clutch="C"))
    other = (
        Animal("T", "male", (VISUAL,)),
        Animal("E", "female", (VISUAL,)),
        Animal("K-1", "male", (NORMAL,), clutch="K"),
    )
    clutch = Clutch("K", (("T", ONE),), "E", date(2021, 7, 1))
    case = replace(one, animals=(*one.animals, *other), clutches=(*one.clutches, clutch))
    conflicts = infer(as_collection(case)).conflicts
    assert [("look", "C-1") in told(conflict) for conflict in conflicts] == [True, False]
    assert [("look", "K-1") in told(conflict) for conflict in conflicts] == [False, True]


def test_conflicts_at_two_loci_are_both_told() -> None:
    """A young that is wrong at one locus, and its sib at another."""
    both_show = Reading(Look(("Piebald", "Super Pastel")))
    case = Case(
        (PIED, PASTEL),
        (
            Animal("S", "male", (both_show,)),
            Animal("D", "female", (both_show,)),
            Animal("C-1", "male", (Reading(Look(("Piebald",))),), clutch="C"),
            Animal("C-2", "male", (Reading(Look(("Super Pastel",))),), clutch="C"),
        ),
        (Clutch("C", (("S", ONE),), "D", date(2020, 7, 1)),),
    )
    assert [conflict.locus for conflict in infer(as_collection(case)).conflicts] == ["piebald", "pastel"]


def test_large_families() -> None:
    """Three generations, twelve young each, and one granddaughter whose look nothing explains: few records, all near her."""
    animals = [Animal("S", "male", (VISUAL,)), Animal("D", "female", (VISUAL,))]
    clutches = [Clutch("A", (("S", ONE),), "D", date(2018, 7, 1))]
    animals += hatchlings("A", 12, VISUAL)
    for number in range(6):
        name = f"B{number}"
        clutches.append(Clutch(name, ((f"A-{2 * number + 1:02}", ONE),), f"A-{2 * number:02}", date(2021, 7, 1)))
        animals += hatchlings(name, 12, VISUAL)
    animals.append(Animal("ODD", "female", (NORMAL,), clutch="B3"))
    case = Case((PIED,), tuple(animals), tuple(clutches))
    (conflict,) = infer(as_collection(case)).conflicts
    assert ("look", "ODD") in told(conflict)
    assert told(conflict) == {("look", "A-06"), ("look", "A-07"), ("sire", "B3"), ("dam", "B3"), ("look", "ODD")}


def test_a_doubt_that_no_candidate_solves() -> None:
    """Neither of two visual males can have sired a normal young of a visual dam."""
    case = family(*hatchlings("C", 2, NORMAL), sires=("S", "S2"))
    shows = tuple(replace(animal, readings=(VISUAL,)) if animal.id == "S2" else animal for animal in case.animals)
    (first, *_) = infer(as_collection(replace(case, animals=shows))).conflicts
    assert {("look", "S"), ("look", "S2"), ("look", "D"), ("sire", "C"), ("dam", "C")} < told(first)
    irreducible(replace(case, animals=shows), first)
