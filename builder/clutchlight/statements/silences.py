"""What we say nothing about: unseen and hidden looks, overlooked subtle traits, figures not computed. In sentences."""

from __future__ import annotations

from clutchlight.model import Animal, Reading
from clutchlight.model.looking import hidden_loci
from clutchlight.statements import words
from clutchlight.statements.telling import Telling
from clutchlight.statements.values import NotComputedTrait, TraitStatement


def silences(
    telling: Telling,
    animal: Animal,
    reading: Reading | None,
    traits: list[TraitStatement],
    not_computed: list[NotComputedTrait],
) -> tuple[str, ...]:
    said: list[str] = []
    species = telling.species_of(animal)
    if reading is None:
        said.append("Its look is not on record, so we say nothing about what it shows.")
    else:
        said += _untold(telling, animal, reading)
    for locus in dict.fromkeys(item.locus for item in not_computed):
        first = next(item for item in not_computed if item.locus == locus)
        help_ = words.join_or([telling.named(name) for name in first.animals if telling.listed(name)])
        ask = f" A test of {help_} would make it possible." if help_ else ""
        why = "its family is too entangled"
        if first.alone:
            why = "it is sex-linked, and what a dam hands on there when she breeds without a male is not worked out"
        said.append(f"{words.join_or(species.loci[locus].alleles)}: {words.NOT_COMPUTED}; {why}.{ask}")
    found = [
        trait
        for locus in telling.loci(animal.species)
        if all(item.locus != locus.key for item in not_computed)
        for allele, trait in enumerate(locus.alleles, start=1)
        if telling.ever(animal.id, locus, allele) and telling.rules_out(animal.id, locus, allele)
    ]
    if found:
        said.append(f"Ruled out by what is on record: {words.join_and(found)}.")
    linked = [trait.trait for trait in traits if species.loci[trait.locus].sex_linked is not None]
    if len({trait.locus for trait in traits if trait.trait in linked}) > 1:
        said.append(f"{words.join_and(linked)} are taken as independent of each other once the sex is known.")
    said.append("Traits that are not named here: no record speaks of them, and we say nothing about them.")
    return tuple(said)


def _untold(telling: Telling, animal: Animal, reading: Reading) -> list[str]:
    species = telling.species_of(animal)
    known = {trait_locus.key for trait_locus in telling.loci(animal.species)}
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
        for locus in telling.loci(animal.species)
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
