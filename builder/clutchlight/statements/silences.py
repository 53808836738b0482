"""What is not said of an animal, and why not: looks that are not on record, that hide something, or that are easily overlooked."""

from __future__ import annotations

from clutchlight.model import Animal, Locus, Reading, Species
from clutchlight.model.animals import hidden_loci
from clutchlight.statements.answers import Answers
from clutchlight.statements.reasons import looked_for, tested_free, twins_of
from clutchlight.statements.values import NotComputedTrait, TraitStatement
from clutchlight.wording import words


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
        twin = "" if not twins_of(answers, animal) else " of its own; what is known comes from its identical twin"
        said.append(f"Its look is not on record, so we say nothing about what it shows{twin}.")
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
        if (answers.ever(animal.id, locus, allele) or tested_free(animal, trait) or looked_for(animal, trait))
        and answers.rules_out(animal.id, locus, allele)
    ]
    if found:
        said.append(f"Ruled out by what is on record: {words.join_and(found)}.")
    linked = [trait.trait for trait in traits if species.loci[trait.locus].sex_linked is not None]
    if len({trait.locus for trait in traits if trait.trait in linked}) > 1:
        said.append(f"{words.join_and(linked)} are taken as independent of each other once the sex is known.")
    said.append("We say nothing about any other trait: no record speaks of it.")
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
        causes = _hiding(reading, species, set(hidden))
        perhaps = " is not ruled out and" if causes and not set(causes) & set(reading.shows or ()) else ""
        said.append(
            f"{words.join_or(causes) or 'What it shows'}{perhaps} can hide {words.join_and(names)}, so its look says nothing there."
        )
    if reading.loose:
        said.append(f"It shows {words.join_and(reading.loose)}; the line is not known, so we make no figure from it.")
    return said


def _hiding(reading: Reading, species: Species, hidden: set[str]) -> tuple[str, ...]:
    """The looks that it shows, or that cannot be told of it, and that hide some of these loci."""
    told = (*(reading.shows or ()), *reading.cannot_tell)
    loci = [species.loci[key] for name in told for key in species.locus_of_look.get(name, ())]
    untold = {key for name in reading.cannot_tell for key in species.locus_of_look.get(name, ())}
    looks = (
        look
        for locus in loci
        for look, keys in locus.hides.items()
        if hidden & set(keys) and (look in told or (locus.key in untold and look in locus.alleles))
    )
    return tuple(dict.fromkeys(looks))


def overlooked(answers: Answers, animal: Animal, reading: Reading | None) -> tuple[str, ...]:
    """On traits that are hard to see and were not looked for."""
    if reading is None:
        return ()
    species = answers.species_of(animal)
    told = {
        key for name in (*(reading.shows or ()), *reading.cannot_tell) for key in species.locus_of_look.get(name, ())
    }
    quiet = told | hidden_loci(reading, species)
    missed = [
        (locus, name)
        for locus in _spoken(answers, animal)
        for name in locus.alleles
        if name in locus.subtle and name not in reading.without and locus.key not in quiet
    ]
    unchecked = tuple(
        f"It has not been checked for {name}, {locus.affects}; that none was seen says nothing."
        for locus, name in missed
        if locus.affects
    )
    subtle = [name for locus, name in missed if not locus.affects]
    if not subtle:
        return unchecked
    it = "it" if len(subtle) == 1 else "them"
    easily = f"{words.join_and(subtle)} {words.are(len(subtle))} easily overlooked"
    return (*unchecked, f"{easily}; that we do not list {it} says nothing.")
