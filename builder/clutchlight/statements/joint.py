"""How several possible traits of one animal fall out together."""

from __future__ import annotations

from clutchlight.genetics.values import Figure, NotComputed
from clutchlight.model import Animal
from clutchlight.statements.answers import Answers
from clutchlight.statements.values import AllOf, TraitStatement
from clutchlight.wording import words


def all_of(answers: Answers, animal: Animal, traits: list[TraitStatement]) -> AllOf | None:
    """How the possible traits (neither certain nor nothing) fall out together; within one locus too."""
    possible = [
        trait
        for trait in traits
        if 0 < trait.carries < 1 and not (trait.background_only or trait.under_review or trait.harmful)
    ]
    if len(possible) < 2:
        return None
    keys = tuple(dict.fromkeys(trait.locus for trait in possible))
    joint = answers.inferred.joint([(animal.id, key) for key in keys])
    if isinstance(joint, NotComputed):
        return None
    loci = answers.species_of(animal).loci
    wanted = [(keys.index(trait.locus), loci[trait.locus].allele_number(trait.trait)) for trait in possible]
    every = joint.chance(lambda pairs: all(allele in pairs[place] for place, allele in wanted))
    none = joint.chance(lambda pairs: not any(allele in pairs[place] for place, allele in wanted))
    some = 1 - every - none
    return AllOf(
        tuple(trait.trait for trait in possible), every, some, none, words.split_words(every, some, none, len(possible))
    )


def together(answers: Answers, animal: Animal, traits: list[TraitStatement]) -> AllOf | None:
    """The same of what is not folded away, without traits of one locus of which it surely carries exactly one, if others are left."""
    shown = [trait for trait in traits if trait.mentioned]
    by_locus: dict[str, list[TraitStatement]] = {}
    for trait in shown:
        if trait.possible:
            by_locus.setdefault(trait.locus, []).append(trait)
    settled = {key for key, found in by_locus.items() if len(found) > 1 and _surely_one(answers, animal, found)}
    apart = [trait for trait in shown if trait.locus not in settled]
    return all_of(answers, animal, apart if settled and len(by_locus) > 1 else shown)


def _surely_one(answers: Answers, animal: Animal, traits: list[TraitStatement]) -> bool:
    figure, locus = answers.now(animal.id, traits[0].locus), answers.species_of(animal).loci[traits[0].locus]
    alleles = [locus.allele_number(trait.trait) for trait in traits]
    return (
        isinstance(figure, Figure) and figure.chance(lambda pair: sum(allele in pair for allele in alleles) == 1) == 1
    )
