"""Mendel's rules and the founders' weights, as a reader of the design's page on figures would write them.

Here a genotype is *ordered*: (the allele from the sire, the allele from the dam). In a sex-linked locus the order is
the phase: an XY male has his sire's allele on the Y, a ZW female her dam's on the W.

A weight is a polynomial in ε, kept as a map from the power of ε to its coefficient. Coefficients are gmpy2's fractions, exact
like Python's and several times as fast; what leaves the oracle is a `Fraction`. `founder_prior` is Hardy-Weinberg
with every mutant allele at frequency ε and the normal allele at what is left of 1, before the founder's look.

>>> from tests.oracle.case import Locus
>>> piebald = Locus("piebald", "recessive", ("Piebald",))
>>> young = inherit(piebald, "XY", ("", "Piebald"), ("", "Piebald"), None)
>>> [str(young[genotype]) for genotype in (("", ""), ("", "Piebald"), ("Piebald", ""), ("Piebald", "Piebald"))]
['1/4', '1/4', '1/4', '1/4']
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import cache
from itertools import product
from typing import Literal

from gmpy2 import mpq
from tests.oracle.case import NORMAL, Claim, Locus, Sex
from tests.oracle.looks_of_genotypes import Pair, look_of, pair

Ordered = tuple[str, str]
Polynomial = dict[int, Fraction]
System = Literal["XY", "ZW"]
HALF: Fraction = mpq(1, 2)
ONE: Fraction = mpq(1)


def times(one: Polynomial, two: Polynomial) -> Polynomial:
    """The product of two polynomials, without zero terms."""
    result: defaultdict[int, Fraction] = defaultdict(mpq)
    for (power, coefficient), (other_power, other) in product(one.items(), two.items()):
        result[power + other_power] += coefficient * other
    return {power: coefficient for power, coefficient in result.items() if coefficient}


def heterogametic(system: System) -> Sex:
    """The sex that has two unlike sex chromosomes."""
    return "male" if system == "XY" else "female"


def founder_prior(locus: Locus, claims: Sequence[Claim], system: System, sex: Sex | None) -> dict[Ordered, Polynomial]:
    """The weight of each ordered genotype of a founder, from claims, background and the limit, before its look."""
    here = [claim for claim in claims if claim.trait in locus.alleles]
    chances = {claim.trait: claim.chance for claim in here if claim.chance is not None}
    doses = {claim.trait: claim.two_copies for claim in here if claim.two_copies is not None}
    fresh = _chromosome(locus, frozenset(chances) | frozenset(doses))
    weights: dict[Ordered, Polynomial] = {}
    for one, two in product((NORMAL, *locus.alleles), repeat=2):
        if doses:
            ((allele, chance),) = doses.items()
            weight = _dose(one, two, allele, chance, fresh)
        elif chances:
            weight = _claimed(one, two, chances, fresh)
        else:
            weight = times(fresh[one], fresh[two])
        weights[one, two] = weight
    if locus.crossover is not None and sex == heterogametic(system):
        for claim in here:
            if claim.came_from is not None:
                weights = _phased(weights, claim.trait, 0 if claim.came_from == "sire" else 1)
    return weights


def as_seen(
    prior: Mapping[Ordered, Polynomial], claims: Sequence[Claim], allowed: frozenset[Pair]
) -> dict[Ordered, Polynomial]:
    """What a founder's look leaves of its weights. A claim is of the animal as it looks: where the look leaves genotypes with a
    claimed allele and others without, these have the claimed chance and the rest of 1, at the same power of ε."""
    seen = {genotype: weight for genotype, weight in prior.items() if weight and pair(*genotype) in allowed}
    chances = {claim.trait: claim.chance for claim in claims if claim.chance is not None}
    chances = {trait: chance for trait, chance in chances.items() if any(trait in genotype for genotype in prior)}
    true = {genotype: weight for genotype, weight in seen.items() if set(genotype) & set(chances)}
    false = {genotype: weight for genotype, weight in seen.items() if genotype not in true}
    if not true or not false:
        return seen
    for part, chance in ((true, sum(chances.values())), (false, 1 - sum(chances.values()))):
        least = min(min(weight) for weight in part.values())
        whole = sum(weight.get(least, 0 * ONE) for weight in part.values())
        for genotype, weight in part.items():
            seen[genotype] = {power - least: share * chance / whole for power, share in weight.items()}
    return seen


@cache
def inherit(
    locus: Locus,
    system: System,
    sire: Ordered | None,
    dam: Ordered,
    sex: Sex | None,
    kept: Fraction | None = None,
) -> Mapping[Ordered, Fraction]:
    """The chances of a hatchling's genotypes given its parents' and its sex; `sire` None is parthenogenesis.

    Shares are among survivors of a lethal double dose. `kept` overrides the locus's share that stays heterozygous.
    """
    chances: defaultdict[Ordered, Fraction] = defaultdict(mpq)
    if sire is None:
        if locus.crossover is not None and system == "ZW":
            raise ValueError("a sex-linked locus of a ZW dam is not computed without a sire")
        share = locus.kept if kept is None else kept
        one, two = dam
        for allele in dam:
            chances[allele, allele] += (1 - share) / 2
        chances[one, two] += share / 2
        chances[two, one] += share / 2
    else:
        from_sire = gamete(locus, system, sire, "male", sex)
        from_dam = gamete(locus, system, dam, "female", sex)
        for (one, share_one), (two, share_two) in product(from_sire.items(), from_dam.items()):
            chances[one, two] += share_one * share_two
    living = {genotype: chance for genotype, chance in chances.items() if chance and lives(locus, genotype)}
    total = sum(living.values())
    return {genotype: chance / total for genotype, chance in living.items()}


def gamete(
    locus: Locus, system: System, parent: Ordered, parent_sex: Sex, young_sex: Sex | None
) -> dict[str, Fraction]:
    """The chances of the allele that a parent hands to a young of the given sex."""
    first = HALF
    if locus.crossover is not None and parent_sex == heterogametic(system):
        if young_sex is None:
            raise ValueError("a sex-linked allele from this parent depends on the young's sex")
        on_limited = 1 - locus.crossover if young_sex == parent_sex else locus.crossover
        first = on_limited if parent_sex == "male" else 1 - on_limited
    shares: defaultdict[str, Fraction] = defaultdict(mpq)
    shares[parent[0]] += first
    shares[parent[1]] += 1 - first
    return {allele: share for allele, share in shares.items() if share}


def lives(locus: Locus, genotype: Ordered) -> bool:
    """False for a double dose that dies."""
    return look_of(locus, pair(*genotype)) is not None


def _chromosome(locus: Locus, claimed: frozenset[str]) -> dict[str, Polynomial]:
    """One chromosome drawn from the founders' population; a claimed allele has no background on this animal."""
    known = {allele: share for allele, share in locus.background if allele not in claimed}
    rare = [allele for allele in locus.alleles if allele not in known]
    alleles: dict[str, Polynomial] = {allele: {0: share} for allele, share in known.items()}
    alleles |= {allele: {1: ONE} for allele in rare}
    normal: Polynomial = {0: 1 - sum(known.values(), 0 * ONE)}
    if rare:
        normal[1] = -len(rare) * ONE
    return alleles | {NORMAL: normal}


def _claimed(one: str, two: str, chances: Mapping[str, Fraction], fresh: Mapping[str, Polynomial]) -> Polynomial:
    """One copy with the claim's chance, on either chromosome alike; the other chromosome is a fresh one."""
    none = 1 - sum(chances.values(), 0 * ONE)
    if one not in chances and two not in chances:
        return times(times(fresh[one], fresh[two]), {0: none})
    weight: defaultdict[int, Fraction] = defaultdict(mpq)
    for allele, chance in chances.items():
        if allele in (one, two):
            for power, share in fresh[two if one == allele else one].items():
                weight[power] += chance / 2 * share
    return {power: coefficient for power, coefficient in weight.items() if coefficient}


def _dose(one: str, two: str, allele: str, chance: Fraction, fresh: Mapping[str, Polynomial]) -> Polynomial:
    """A claim of two copies on an animal that shows the trait: two with its chance, else one."""
    if one == two == allele:
        return {0: chance}
    if allele not in (one, two):
        return {}
    return times(fresh[two if one == allele else one], {0: (1 - chance) / 2})


def _phased(weights: Mapping[Ordered, Polynomial], allele: str, place: int) -> dict[Ordered, Polynomial]:
    """One copy stands where it came from; how likely one copy is stays as it was."""
    phased: dict[Ordered, Polynomial] = {}
    for genotype, weight in weights.items():
        if genotype.count(allele) != 1:
            phased[genotype] = weight
        else:
            phased[genotype] = times(weight, {0: 2 * ONE}) if genotype[place] == allele else {}
    return phased
