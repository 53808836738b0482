"""What would settle an open question: the mate here that answers in fewest hatchlings, and how many without a visual would do."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache

from clutchlight.genetics.values import Figure
from clutchlight.model import Animal, Inheritance, Locus, Reading
from clutchlight.model.animals import hidden_loci
from clutchlight.statements.answers import Answers
from clutchlight.statements.family import mate_words
from clutchlight.statements.values import NotComputedTrait, Note, TraitStatement
from clutchlight.wording import words
from clutchlight.wording.text import phrase

HALF = Fraction(1, 2)
THREE_QUARTERS = Fraction(3, 4)
MOST_HATCHLINGS = 100
"""A question that this many hatchlings would not settle is not called one that a pairing settles."""


def open_questions(answers: Answers, animal: Animal) -> Iterator[Note]:
    """For each open question of an animal that breeds here, what would settle it."""
    if animal.id in answers.breeders:
        for locus, figure in computed(answers, animal):
            for allele, _ in enumerate(locus.alleles, start=1):
                yield from _settle(answers, animal, locus, allele, figure)


def computed(answers: Answers, animal: Animal) -> Iterator[tuple[Locus, Figure]]:
    """The loci in play at which the animal has a figure, with it."""
    for locus in answers.loci(animal.species):
        figure = answers.now(animal.id, locus.key)
        if isinstance(figure, Figure):
            yield locus, figure


def plain(locus: Locus) -> bool:
    """Whether the chances of a het's young are those of a recessive trait on an ordinary chromosome."""
    return locus.inheritance is Inheritance.RECESSIVE and locus.sex_linked is None


def chance_of_a_miss(mate: Figure, allele: int) -> Fraction | None:
    """The chance that a het's egg by this mate does not show the trait: 1/2 with two copies, 3/4 with one; None when that is in doubt."""
    _none, one, two = mate.copies(allele)
    return HALF if two == 1 else THREE_QUARTERS if one == 1 else None


def _settle(answers: Answers, animal: Animal, locus: Locus, allele: int, figure: Figure) -> Iterator[Note]:
    """The mate here that answers in fewest hatchlings, and how many without a visual bring the chance under `doubt_below`.

    One that breeds already goes before one that is only held back to. Parents, young and siblings are never proposed as mates.
    """
    carries = figure.carries(allele)
    doubt = answers.collection.settings.doubt_below
    if not (doubt <= carries < 1) or not plain(locus) or figure.copies(allele)[2]:
        return
    if answers.inferred.background_only(animal.id, locus.key, allele):
        return
    best: tuple[bool, int, str, Figure] | None = None
    key = ("mates that answer", locus.species, locus.key, allele)
    for mate, other, miss in answers.once(key, lambda: tuple(_mates_that_answer(answers, locus, allele))):
        if not _fits(mate, animal) or answers.close_kin(mate.id, animal.id):
            continue
        needed = hatchlings_needed(carries, miss, doubt)
        waits = mate.status != "breeder"
        if needed is not None and (best is None or (waits, needed, mate.id) < best[:3]):
            best = waits, needed, mate.id, other
    if best is None:
        return
    trait = locus.alleles[allele - 1]
    _, needed, name, other = best
    text = phrase(
        "with {}, {}, one {} hatchling would prove it; {} {} {} would bring it under {}",
        answers.named(name),
        mate_words(answers, name, locus, allele, other),
        trait,
        words.counted(needed, "hatchling"),
        "that is not" if needed == 1 else "and none",
        trait,
        words.note_count(doubt),
    )
    yield Note("settle", animal.id, locus.key, trait, text, cause=name)


def _mates_that_answer(answers: Answers, locus: Locus, allele: int) -> Iterator[tuple[Animal, Figure, Fraction]]:
    """The breeders that carry an allele for certain, by more than somebody's word, with the chance of a miss."""
    for name, mate in answers.breeders.items():
        if mate.species != locus.species:
            continue
        figure = answers.now(name, locus.key)
        miss = chance_of_a_miss(figure, allele) if isinstance(figure, Figure) else None
        if miss is None or not isinstance(figure, Figure):
            continue
        seen = answers.shows(name, locus, allele)
        if seen or answers.grounds(name, locus.key, allele).kind not in ("claim", "assumption"):
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


def silences(
    answers: Answers,
    animal: Animal,
    reading: Reading | None,
    traits: list[TraitStatement],
    not_computed: list[NotComputedTrait],
) -> tuple[str, ...]:
    said: list[str] = []
    species = answers.species_of(animal)
    if reading is None:
        said.append("Its look is not on record, so we say nothing about what it shows.")
    else:
        said += _untold(answers, animal, reading)
    for locus in dict.fromkeys(item.locus for item in not_computed):
        first = next(item for item in not_computed if item.locus == locus)
        help_ = words.join_or([answers.named(name) for name in first.animals if answers.listed(name)])
        ask = f" A test of {help_} would make it possible." if help_ else ""
        why = "its family is too entangled"
        if first.alone:
            why = "it is sex-linked, and what a dam hands on there when she breeds without a male is not worked out"
        said.append(f"{words.join_or(species.loci[locus].alleles)}: {words.NOT_COMPUTED}; {why}.{ask}")
    found = [
        trait
        for locus in answers.loci(animal.species)
        if all(item.locus != locus.key for item in not_computed)
        for allele, trait in enumerate(locus.alleles, start=1)
        if answers.ever(animal.id, locus, allele) and answers.rules_out(animal.id, locus, allele)
    ]
    if found:
        said.append(f"Ruled out by what is on record: {words.join_and(found)}.")
    linked = [trait.trait for trait in traits if species.loci[trait.locus].sex_linked is not None]
    if len({trait.locus for trait in traits if trait.trait in linked}) > 1:
        said.append(f"{words.join_and(linked)} are taken as independent of each other once the sex is known.")
    said.append("Traits that are not named here: no record speaks of them, and we say nothing about them.")
    return tuple(said)


def _spoken(answers: Answers, animal: Animal) -> tuple[Locus, ...]:
    """The loci that a listed record speaks of, and those at which it has a figure because of an unlisted one."""
    spoken = answers.spoken_of(animal.species)
    return tuple(
        locus
        for locus in answers.loci(animal.species)
        if locus in spoken or any(answers.ever(animal.id, locus, allele + 1) for allele in range(len(locus.alleles)))
    )


def _untold(answers: Answers, animal: Animal, reading: Reading) -> list[str]:
    species = answers.species_of(animal)
    spoken = _spoken(answers, animal)
    known = {locus.key for locus in spoken}
    said: list[str] = []
    if reading.cannot_tell:
        said.append(f"Its look does not settle {words.join_or(reading.cannot_tell)}.")
    named = {key for name in reading.cannot_tell for key in species.locus_of_look.get(name, ())}
    hidden = [key for key in sorted(hidden_loci(reading, species)) if key in known and key not in named]
    shown = {key for name in reading.shows or () for key in species.locus_of_look.get(name, ())}
    names = [name for key in hidden if key not in shown for name in species.loci[key].alleles]
    if names:
        cause = "What that may be" if reading.cannot_tell else "What it shows"
        said.append(f"{cause} can hide {words.join_and(names)}, so its look says nothing there.")
    subtle = [
        name
        for locus in spoken
        for name in locus.alleles
        if name in locus.subtle
        and locus.key not in shown
        and name not in reading.without
        and locus.key not in (*hidden, *named)
    ]
    if subtle:
        it = "it" if len(subtle) == 1 else "them"
        said.append(
            f"{words.join_and(subtle)} {words.are(len(subtle))} easily overlooked; that we do not list {it} says nothing."
        )
    if reading.loose:
        said.append(f"{words.join_and(reading.loose)}: seen, but the line is not known, so no figure is made from it.")
    return said
