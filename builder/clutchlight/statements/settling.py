"""What would settle an open question: the mate here that answers in fewest hatchlings, and how many without a visual would do."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache

from clutchlight.genetics.values import Figure
from clutchlight.model import Animal, Inheritance, Locus
from clutchlight.statements import words
from clutchlight.statements.family_words import mate_words
from clutchlight.statements.telling import Telling
from clutchlight.statements.values import Note

HALF = Fraction(1, 2)
THREE_QUARTERS = Fraction(3, 4)
MOST_HATCHLINGS = 100
"""A question that this many hatchlings would not settle is not called one that a pairing settles."""


def open_questions(telling: Telling, animal: Animal) -> Iterator[Note]:
    """For each open question of an animal that breeds here, what would settle it."""
    if animal.id in telling.breeders:
        for locus, figure in computed(telling, animal):
            for allele, _ in enumerate(locus.alleles, start=1):
                yield from _settle(telling, animal, locus, allele, figure)


def computed(telling: Telling, animal: Animal) -> Iterator[tuple[Locus, Figure]]:
    """The loci in play at which the animal has a figure, with it."""
    for locus in telling.loci(animal.species):
        figure = telling.now(animal.id, locus.key)
        if isinstance(figure, Figure):
            yield locus, figure


def plain(locus: Locus) -> bool:
    """Whether the chances of a het's young are those of a recessive trait on an ordinary chromosome."""
    return locus.inheritance is Inheritance.RECESSIVE and locus.sex_linked is None


def chance_of_a_miss(mate: Figure, allele: int) -> Fraction | None:
    """The chance that a het's egg by this mate does not show the trait: 1/2 with two copies, 3/4 with one; None when that is in doubt."""
    _none, one, two = mate.copies(allele)
    return HALF if two == 1 else THREE_QUARTERS if one == 1 else None


def _settle(telling: Telling, animal: Animal, locus: Locus, allele: int, figure: Figure) -> Iterator[Note]:
    """The mate here that answers in fewest hatchlings, and how many without a visual bring the chance under `doubt_below`.

    One that breeds already goes before one that is only held back to. Parents, young and siblings are never proposed as mates.
    """
    carries = figure.carries(allele)
    doubt = telling.collection.settings.doubt_below
    if not (doubt <= carries < 1) or not plain(locus) or figure.copies(allele)[2]:
        return
    if telling.inferred.background_only(animal.id, locus.key, allele):
        return
    best: tuple[bool, int, str, Figure] | None = None
    key = ("mates that answer", locus.species, locus.key, allele)
    for mate, other, miss in telling.once(key, lambda: tuple(_mates_that_answer(telling, locus, allele))):
        if not _fits(mate, animal) or telling.close_kin(mate.id, animal.id):
            continue
        needed = hatchlings_needed(carries, miss, doubt)
        waits = mate.status != "breeder"
        if needed is not None and (best is None or (waits, needed, mate.id) < best[:3]):
            best = waits, needed, mate.id, other
    if best is None:
        return
    trait = locus.alleles[allele - 1]
    _, needed, name, other = best
    text = (
        f"with {telling.named(name)}, {mate_words(telling, name, locus, allele, other)}, one {trait} hatchling would prove it; "
        f"{words.counted(needed, 'hatchling')} {'that is not' if needed == 1 else 'and none'} {trait} would bring it "
        f"under {words.note_count(doubt)}"
    )
    yield Note("settle", animal.id, locus.key, trait, words.sentence(text), name)


def _mates_that_answer(telling: Telling, locus: Locus, allele: int) -> Iterator[tuple[Animal, Figure, Fraction]]:
    """The breeders that carry an allele for certain, by more than somebody's word, with the chance of a miss."""
    for name, mate in telling.breeders.items():
        if mate.species != locus.species:
            continue
        figure = telling.now(name, locus.key)
        miss = chance_of_a_miss(figure, allele) if isinstance(figure, Figure) else None
        if miss is None or not isinstance(figure, Figure):
            continue
        seen = telling.shows(name, locus, allele)
        if seen or telling.grounds(name, locus.key, allele).kind not in ("claim", "assumption"):
            yield mate, figure, miss


@lru_cache(maxsize=4096)
def hatchlings_needed(carries: Fraction, miss: Fraction, below: Fraction) -> int | None:
    """How many hatchlings without a visual bring a chance under `below`, each missing with chance `miss` if it is a carrier.

    >>> hatchlings_needed(Fraction(2, 3), Fraction(1, 2), Fraction(1, 20))
    6
    """
    for count in range(1, MOST_HATCHLINGS + 1):
        left = carries * miss**count
        if left < below * (left + 1 - carries):
            return count
    return None


def _fits(mate: Animal, animal: Animal) -> bool:
    return mate.species == animal.species and {mate.sex, animal.sex} == {"male", "female"}
