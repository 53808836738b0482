"""Two loci of which nobody knows whether they are one: what clutches so far say of it.

Computes   for a pair of loci that may be alleles of each other, over the clutches of a parent that surely carries one trait and a parent
           that surely carries the other: their hatchlings that could be told, how many show either trait, and the chance that none would.
Formula    were they alleles, a young with one copy of each would show it: of parents that pass them on with p and q (1/2 for one copy, 1
           for two), each with p q, so that none of n shows it with (1 - p q)^n; clutches multiply.
Assumes    a known sire; a young with one copy of each would show it.
Source     derived; complementation as a test of allelism: any genetics text.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from clutchlight.genetics.inference import Inference
from clutchlight.genetics.values import Figure
from clutchlight.model import Clutch, Locus, Reading, Species
from clutchlight.model.animals import hidden_loci


@dataclass(frozen=True, slots=True)
class PerhapsAlleles:
    """Two loci that may be one. `none`: how likely no young would show either, were they one."""

    loci: tuple[str, str]
    clutches: int
    young: int
    showing: int
    none: Fraction


def perhaps_alleles(
    inference: Inference, species: Species, keys: Iterator[tuple[str, str]]
) -> Iterator[PerhapsAlleles]:
    """What is known of each pair of loci."""
    for one, other in sorted({(min(pair), max(pair)) for pair in keys}):
        yield _known(inference, species, species.loci[one], species.loci[other])


def _known(inference: Inference, species: Species, one: Locus, other: Locus) -> PerhapsAlleles:
    clutches = young = showing = 0
    none = Fraction(1)
    for clutch in inference.collection.clutches.values():
        counts = clutch.species == species.key and clutch.counts_at(one.key) and clutch.counts_at(other.key)
        together = _together(inference, clutch, one, other) if counts else Fraction(0)
        seen = [reading for reading in _readings(inference, clutch) if _tells(reading, species, one, other)]
        if together and seen:
            clutches += 1
            young += len(seen)
            looks = {*one.look_names, *other.look_names}
            showing += sum(not looks.isdisjoint(reading.shows or ()) for reading in seen)
            none *= (1 - together) ** len(seen)
    return PerhapsAlleles((one.key, other.key), clutches, young, showing, none)


def _together(inference: Inference, clutch: Clutch, one: Locus, other: Locus) -> Fraction:
    """The chance that a young got a copy of each from different parents; 0 where it is not certain that either could."""
    sire = clutch.sires.certain
    if sire is None:
        return Fraction(0)
    found = Fraction(0)
    for first, second in ((sire, clutch.dam), (clutch.dam, sire)):
        found = max(found, _passes(inference, first, one) * _passes(inference, second, other))
    return found


def _passes(inference: Inference, animal: str, locus: Locus) -> Fraction:
    """The chance that it passes on a mutant allele, where its copies are certain; else 0."""
    figure = inference.now(animal, locus.key)
    if not isinstance(figure, Figure) or len(figure.genotypes) != 1:
        return Fraction(0)
    ((pair, _),) = figure.genotypes
    return Fraction(sum(map(bool, pair)), 2)


def _readings(inference: Inference, clutch: Clutch) -> Iterator[Reading]:
    for name in clutch.young:
        reading = inference.collection.animals[name].reading
        if reading is not None:
            yield reading
    for row in clutch.tally:
        yield from [row.reading] * row.count


def _tells(reading: Reading, species: Species, one: Locus, other: Locus) -> bool:
    """Whether its look can be told at both loci."""
    told = {key for name in reading.cannot_tell for key in species.locus_of_look.get(name, ())}
    return reading.shows is not None and (told | hidden_loci(reading, species)).isdisjoint((one.key, other.key))
