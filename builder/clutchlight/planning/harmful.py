"""What is known to harm young that two animals can have: a double dose that dies or harms, two alleles together, a harmful look.

Computes   for each such harm its chance for one egg, from the states of both parents together.
Assumes    one locus at a time; harm of looks at several loci together is said beside the odds of the pair.
Source     figures#outcomes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from clutchlight.genetics.inference import Inference
from clutchlight.genetics.pairs import Together
from clutchlight.model import Animal, Genotype, Locus
from clutchlight.planning.crosses import Cross
from clutchlight.planning.outcomes import harms_of


@dataclass(frozen=True, slots=True)
class PairHarm:
    """`traits`: one for a look that is harm, the same twice for two copies, two for two alleles. `text`: what it does."""

    traits: tuple[str, ...]
    text: str
    per_egg: Fraction


def harm_of_pair(inference: Inference, sire: Animal, dam: Animal) -> tuple[PairHarm, ...]:
    """All that is known to harm young of the two, in the order of the catalogue."""
    loci = [locus for locus in inference.loci_in_play(sire.species) if can_harm(locus)]
    if not loci:
        return ()
    keys = [locus.key for locus in loci]
    together = Together(inference.figures_of(sire.id), (sire.id, dam.id), ("male", "female"), keys)
    return tuple(harm for position in range(len(together.loci)) for harm in _at(together, position))


def can_harm(locus: Locus) -> bool:
    return bool(locus.dies or locus.two_copies_harm or locus.together_harm or locus.affects)


def _at(together: Together, position: int) -> Iterator[PairHarm]:
    locus, states = together.loci[position], together.states[position]
    cross = Cross(locus, states)
    group = together.group_of(position)
    at = group.loci.index(position)
    chances: dict[Genotype, Fraction] = {}
    deaths = [Fraction(0)] * len(locus.alleles)
    for part in group.parts:
        for (sire, dam), chance in part.tables[at]:
            weight = part.chance * chance
            for pair, share in cross.genotypes(sire, dam, None).items():
                chances[pair] = chances.get(pair, Fraction(0)) + weight * share
            for allele in range(len(deaths)):
                copies = (states.pairs[state].count(allele + 1) for state in (sire, dam))
                deaths[allele] += weight * Fraction(next(copies) * next(copies), 4)
    for trait, death in zip(locus.alleles, deaths, strict=True):
        if trait in locus.dies and death:
            yield PairHarm((trait, trait), "such an egg dies", death)
    if locus.affects:
        affected = sum((chance for pair, chance in chances.items() if locus.look_of[pair]), Fraction(0))
        if affected:
            yield PairHarm(locus.alleles[:1], locus.affects, affected)
        return
    for harm in harms_of(locus, chances):
        yield PairHarm(harm.traits, harm.text, harm.chance)
