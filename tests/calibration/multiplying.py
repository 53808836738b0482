"""Parents' chances multiplied as if they were independent: what the calibration test must be able to fail.

Each animal's chance comes from its parents' chances, founders first, as one works it out in the head: sure when it shows, else what is
left once two copies are ruled out; a visual young proves its parents, and nothing else is learnt. Recessives with known sires only.
"""

from __future__ import annotations

from fractions import Fraction

from tests.bench.generating import SPECIES, Generated
from tests.calibration.keeping_score import Statements

from clutchlight.genetics.inference import Inference
from clutchlight.model import Animal, Locus


def in_the_head(made: Generated, _: Inference) -> Statements:
    collection = made.collection
    for locus in collection.species[SPECIES].computed_loci:
        proven = {
            parent
            for animal in collection.animals.values()
            if not animal.founder and _shows(animal, locus)
            for parent in (animal.sire, animal.dam)
        }
        passed_on: dict[str, Fraction] = {}
        for ident, animal in sorted(collection.animals.items(), key=lambda row: row[0][1:]):
            if animal.founder:
                said = [claim.chance for claim in animal.claims if claim.locus == locus.key and claim.chance]
                chance = said[0] / 2 if said else Fraction(0)
            else:
                chance = _of_young(passed_on[animal.sire or ""], passed_on[animal.dam or ""], animal)
            if _shows(animal, locus):
                chance = Fraction(1)
            elif ident in proven:
                chance = Fraction(1, 2)
            passed_on[ident] = chance
            yield min(Fraction(1), 2 * chance), made.carries(ident, locus.key, 1)


def _of_young(sire: Fraction, dam: Fraction, animal: Animal) -> Fraction:
    """Half the chance of carrying, from the chances that either parent passes it on, for a young that does not show it."""
    both = sire * dam
    if animal.reading is None or animal.reading.shows is None:
        return (sire + dam - both) / 2
    return (sire + dam - 2 * both) / (1 - both) / 2 if both != 1 else Fraction(1)


def _shows(animal: Animal, locus: Locus) -> bool:
    return animal.reading is not None and bool(set(animal.reading.shows or ()) & set(locus.look_names))
