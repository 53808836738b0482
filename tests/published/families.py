"""Small families for published values, and the product's figures of them."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from functools import lru_cache

from msgspec.structs import replace
from tests.oracle.as_collection import as_collection
from tests.oracle.case import Animal, Case, Claim, Clutch, Locus, Look, Reading, Sex

from clutchlight.genetics.inference import Inference, infer
from clutchlight.genetics.values import Figure

ONE = Fraction(1)
PIEBALD = Locus("piebald", "recessive", ("Piebald",))
NORMAL, VISUAL = Reading(Look(())), Reading(Look(("Piebald",)))


@lru_cache(maxsize=8)
def inferred(case: Case) -> Inference:
    found = infer(as_collection(case))
    assert found.conflicts == ()
    return found


def founder(name: str, sex: Sex, look: Reading = NORMAL, claim: Fraction | None = None) -> Animal:
    return Animal(name, sex, (look,), (Claim("Piebald", claim),) if claim is not None else ())


def clutch(name: str, sire: str, dam: str, year: int) -> Clutch:
    return Clutch(name, ((sire, ONE),), dam, date(year, 7, 1))


def young(clutch_id: str, count: int, look: Reading = NORMAL) -> tuple[Animal, ...]:
    return tuple(Animal(f"{clutch_id}-{number}", None, (look,), clutch=clutch_id) for number in range(1, count + 1))


def figure(case: Case, animal: str, locus: str = "piebald") -> Figure:
    found = inferred(case).now(animal, locus)
    assert isinstance(found, Figure)
    return found


def carries(case: Case, animal: str) -> Fraction:
    """The chance, now, that an animal carries Piebald."""
    return figure(case, animal).carries(1)


AA_MATE = founder("MATE", "female", VISUAL)
CARRIER_MATE = founder("MATE", "female", NORMAL, ONE)
CLEAR_MATE = founder("MATE", "female")


def sib_of_visual(mate: Animal = CLEAR_MATE, count: int = 0, *, one_clutch_each: bool = False) -> Case:
    """SIB, a normal-looking young of two carriers, and so many normal-looking young of his with a mate."""
    own = young("N", count)
    clutches = [clutch("N", "SIB", "MATE", 2020)]
    if one_clutch_each:
        own = tuple(replace(animal, clutch=f"N{number}") for number, animal in enumerate(own))
        clutches = [clutch(f"N{number}", "SIB", "MATE", 2020 + number) for number in range(count)]
    animals = (
        founder("SIRE", "male", NORMAL, ONE),
        founder("DAM", "female", NORMAL, ONE),
        Animal("SIB", "male", (NORMAL,), clutch="P"),
        mate,
        *own,
    )
    return Case((PIEBALD,), animals, (clutch("P", "SIRE", "DAM", 2015), *clutches))


def claimed(chance: Fraction, mate: Animal, count: int) -> Case:
    """M, said to carry with this chance, and so many normal-looking young of his with a mate."""
    animals = (founder("M", "male", NORMAL, chance), mate, *young("N", count))
    return Case((PIEBALD,), animals, (clutch("N", "M", "MATE", 2020),))
