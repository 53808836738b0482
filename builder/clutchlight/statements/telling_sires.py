"""Which looks of a clutch tell the males apart that may have sired it, at whatever locus: the reason of what it says at any other.

A locus tells where a look that was seen there is more to be expected of the young of one male than of another's, by what was known of the
parents before they hatched. Copies handed on are taken one by one, off the sex chromosomes: this orders reasons, and gives no figure.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction

from clutchlight.genetics.values import NORMAL_FIGURE, Event, Figure
from clutchlight.model import Clutch, Genotype, Locus, Nobody, Reading, Recorded, Sire
from clutchlight.model.animals import genotypes_left
from clutchlight.statements.answers import Answers, looked
from clutchlight.statements.asked import Asked, figure_before, shown_by


def telling(asked: Asked, clutch: Clutch | None) -> tuple[Asked, ...]:
    """What the looks of a clutch with sires in doubt say that bears on a trait, each asked of the same animal.

    First the trait itself, where its looks weigh at all; then those of other loci that tell the males apart. () where the sire is no doubt.
    """
    if clutch is None or len(clutch.sires.candidates) == 1 or clutch.hatched is None:
        return ()
    answers = asked.answers
    found = answers.once(("telling", clutch.id), lambda: tuple(_looks_that_weigh(answers, clutch)))
    own = [asked for locus, allele, _ in found if (locus.key, allele) == (asked.locus.key, asked.allele)]
    others = (
        Asked(answers, asked.animal, locus, allele)
        for locus, allele, apart in found
        if apart and locus.key != asked.locus.key
    )
    return (*own, *others)


def _looks_that_weigh(answers: Answers, clutch: Clutch) -> Iterator[tuple[Locus, int, bool]]:
    """The alleles whose looks were seen and not certain beforehand, and whether they are likelier by one male than by another."""
    event = next((event for event in answers.events_of(clutch.id) if event.kind == "hatching"), None)
    readings = [
        *(looked(answers.collection.animals[name]) for name in clutch.young),
        *(tally.reading for tally in clutch.tally),
    ]
    for locus in answers.loci(clutch.species):
        if event is None or not clutch.counts_at(locus.key):
            continue
        dam = _before(answers, clutch.dam, locus, event)
        expected = [_of_young(dam, _of_sire(answers, sire, locus, event)) for sire, _ in clutch.sires.candidates]
        seen = {left for reading in readings if (left := _left(answers, clutch, reading, locus))}
        chances = [[sum(one.get(pair, Fraction(0)) for pair in left) for one in expected] for left in sorted(seen)]
        if all(chance == 1 for row in chances for chance in row):
            continue
        apart = any(len(set(row)) > 1 for row in chances)
        for allele in range(1, len(locus.alleles) + 1):
            known = any(allele in pair for one in expected for pair in one)
            if known or any(shown_by(left, locus, allele) for left in seen):
                yield locus, allele, apart


def _left(answers: Answers, clutch: Clutch, reading: Reading | None, locus: Locus) -> tuple[Genotype, ...]:
    return genotypes_left(reading, locus, answers.collection.species[clutch.species]) or ()


def _before(answers: Answers, animal: str, locus: Locus, event: Event) -> Figure:
    asked = Asked(answers, answers.collection.animals[animal], locus, 1)
    return figure_before(asked, event) or NORMAL_FIGURE


def _of_sire(answers: Answers, sire: Sire, locus: Locus, event: Event) -> Figure | None:
    """What was known of a male; None for no male."""
    if isinstance(sire, Nobody):
        return None
    return _before(answers, sire.id, locus, event) if isinstance(sire, Recorded) else NORMAL_FIGURE


def _of_young(dam: Figure, sire: Figure | None) -> Mapping[Genotype, Fraction]:
    """The genotypes of a young of the two, with their chances; without a male both copies are the same."""
    found: dict[Genotype, Fraction] = {}
    for allele, chance in _handed_on(dam).items():
        for other, beside in ({allele: Fraction(1)} if sire is None else _handed_on(sire)).items():
            pair = (min(allele, other), max(allele, other))
            found[pair] = found.get(pair, Fraction(0)) + chance * beside
    return found


def _handed_on(figure: Figure) -> Mapping[int, Fraction]:
    found: dict[int, Fraction] = {}
    for pair, chance in figure.genotypes:
        for allele in pair:
            found[allele] = found.get(allele, Fraction(0)) + chance / 2
    return found
