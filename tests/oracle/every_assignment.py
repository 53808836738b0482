"""The most naive check of all: every assignment of everything at once, with ε a small number instead of a limit.

Shares with `sum_assignments` only who there is and what a look leaves open. Chromosomes are handed down by tossing
coins, a claim is Hardy-Weinberg given that the allele is there or is not, and nothing is summed out early. For about
four animals.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import product
from math import log

from tests.oracle.case import NONE, Case, Locus, Sex
from tests.oracle.looks_of_genotypes import Pair, look_of, pair
from tests.oracle.population import Egg, Founder, Population, parents_of

EPSILON = 1e-9
KEPT = 1e-40  # a share of heterozygosity that is said never to be kept: smaller than a few unrecorded copies together
Ordered = tuple[str, str]
Assigned = dict[str, tuple[Ordered, ...]]


def marginals(case: Case, upto: int | None = None) -> dict[tuple[str, str], dict[Pair, float]]:
    """The chance of each genotype of each animal at each locus at ε = EPSILON; empty without any assignment."""
    found: dict[tuple[str, str], defaultdict[Pair, float]] = {}
    total = 0.0
    people = Population(case, upto)
    for assigned, weight in _assignments(people, list(people.founders), list(people.eggs), certain=False):
        total += weight
        for animal, unit in people.unit_of.items():
            for locus, genotype in zip(case.loci, assigned[unit], strict=True):
                found.setdefault((animal, locus.name), defaultdict(float))[pair(*genotype)] += weight
    return {key: {genotype: w / total for genotype, w in chances.items()} for key, chances in found.items()}


def possibilities(case: Case) -> dict[tuple[str, str], frozenset[Pair]]:
    """The genotypes of each animal in any assignment that looks, error-free tests and parentage allow."""
    found: defaultdict[tuple[str, str], set[Pair]] = defaultdict(set)
    people = Population(case)
    for assigned, _ in _assignments(people, list(people.founders), list(people.eggs), certain=True):
        for animal, unit in people.unit_of.items():
            for locus, genotype in zip(case.loci, assigned[unit], strict=True):
                found[animal, locus.name].add(pair(*genotype))
    return {key: frozenset(genotypes) for key, genotypes in found.items()}


def _assignments(
    people: Population, founders: list[str], eggs: list[str], *, certain: bool
) -> Iterator[tuple[Assigned, float]]:
    choices = [(key, egg.sires) for key, egg in people.eggs.items() if len(egg.sires) > 1]
    doubts = {people.eggs[key].clutch or key: sires for key, sires in choices}
    each = [list(_founder(people, people.founders[key], certain=certain)) for key in founders]
    for fell in product(*doubts.values()):
        chosen = {doubt: sire for doubt, (sire, _) in zip(doubts, fell, strict=True)}
        prior = 1.0
        for doubt, (_, chance) in zip(doubts, fell, strict=True):
            prior *= float(chance) if people.eggs.get(doubt) is None or people.eggs[doubt].complete else 1.0
        for start in product(*each):
            weight = prior
            for _, share in start:
                weight *= share
            assigned = {key: genotypes for key, (genotypes, _) in zip(founders, start, strict=True)}
            yield from _hatch(people, assigned, weight, eggs, chosen, certain=certain)


def _hatch(
    people: Population, assigned: Assigned, weight: float, eggs: list[str], chosen: dict[str, str], *, certain: bool
) -> Iterator[tuple[Assigned, float]]:
    if not eggs:
        yield assigned, weight
        return
    egg = people.eggs[eggs[0]]
    rows = list(_egg(people, egg, assigned, certain=certain))
    # A picked egg is conditioned on its look together with its own sire; a clutch's sire is not its own.
    own = [row for row in rows if not egg.clutch or row[0] == chosen[egg.clutch]]
    total = 1.0 if egg.complete else sum(share for _, _, share in own)
    if 0 < total < 1e-20:  # picked young count what was kept against the share like any other
        total /= KEPT ** round(log(total) / log(KEPT))
    for sire, genotypes, share in own:
        if sire == chosen.get(egg.clutch or egg.key, sire):
            more = weight * share / total * _tested(people, egg, genotypes, certain=certain)
            if more:
                yield from _hatch(people, {**assigned, egg.key: genotypes}, more, eggs[1:], chosen, certain=certain)


def _egg(
    people: Population, egg: Egg, assigned: Assigned, *, certain: bool
) -> Iterator[tuple[str, tuple[Ordered, ...], float]]:
    """Every (sire, genotypes) of an egg with its chance; its own sire's chance is in it for a picked egg only."""
    loci, system = people.case.loci, people.case.system
    units = {name: people.unit_of.get(name, name) for name in parents_of(egg)}
    for sire, chance in egg.sires:
        if sire == NONE:
            sexes: tuple[Sex, ...] = ("female",) if system == "XY" else ("male",)
        else:
            sexes = ("male", "female")
        share = 1 / len(sexes) if egg.sex is None else 1.0
        if not egg.complete and not egg.clutch:
            share *= float(chance)
        for sex in sexes:
            if egg.sex not in (None, sex):
                continue
            each = []
            for n, locus in enumerate(loci):
                dam = assigned[units[egg.dam]][n]
                if sire == NONE:
                    each.append(_alone(locus, dam, certain=certain))
                else:
                    each.append(_pair(locus, system, assigned[units[sire]][n], dam, sex))
            for combination in product(*each):
                weight = share
                for _, passed in combination:
                    weight *= passed
                genotypes = tuple(genotype for genotype, _ in combination)
                if all(pair(*g) in allowed for g, allowed in zip(genotypes, egg.allowed, strict=True)):
                    yield sire, genotypes, weight


@cache
def _pair(locus: Locus, system: str, sire: Ordered, dam: Ordered, sex: Sex) -> Sequence[tuple[Ordered, float]]:
    """Toss for the sire's chromosome and for the dam's."""
    sire_shares, dam_shares = [0.5, 0.5], [0.5, 0.5]
    if locus.crossover is not None:
        swap = float(locus.crossover)
        if system == "XY":  # the sire's own first chromosome is his Y
            sire_shares = [1 - swap, swap] if sex == "male" else [swap, 1 - swap]
        else:  # the dam's own second chromosome is her W
            dam_shares = [swap, 1 - swap] if sex == "female" else [1 - swap, swap]
    tossed = [((sire[i], dam[j]), sire_shares[i] * dam_shares[j]) for i in (0, 1) for j in (0, 1)]
    return _survivors(locus, tossed)


@cache
def _alone(locus: Locus, dam: Ordered, *, certain: bool) -> Sequence[tuple[Ordered, float]]:
    kept = float(locus.kept) or (0.5 if certain else KEPT)
    one, two = dam
    return _survivors(locus, [((one, one), (1 - kept) / 2), ((two, two), (1 - kept) / 2), ((one, two), kept)])


def _survivors(locus: Locus, tossed: list[tuple[Ordered, float]]) -> list[tuple[Ordered, float]]:
    living = [(genotype, share) for genotype, share in tossed if share and look_of(locus, pair(*genotype)) is not None]
    total = sum(share for _, share in living)
    return [(genotype, share / total) for genotype, share in living]


def _founder(people: Population, founder: Founder, *, certain: bool) -> Iterator[tuple[tuple[Ordered, ...], float]]:
    each = []
    for locus, allowed in zip(people.case.loci, founder.allowed, strict=True):
        weights = _uniform(locus) if certain else _prior(people, founder, locus)
        seen = {genotype: w for genotype, w in weights.items() if w and pair(*genotype) in allowed}
        each.append(list((seen if certain else _as_claimed(founder, locus, seen)).items()))
    for combination in product(*each):
        genotypes = tuple(genotype for genotype, _ in combination)
        weight = _tested(people, founder, genotypes, certain=certain)
        for _, share in combination:
            weight *= share
        if weight:
            yield genotypes, weight


def _as_claimed(founder: Founder, locus: Locus, seen: dict[Ordered, float]) -> dict[Ordered, float]:
    """What is claimed holds of the animal as it looks, so long as its look leaves both what was claimed and what was not."""
    chance = {claim.trait: claim.chance for claim in founder.claims if claim.trait in locus.alleles and claim.chance}
    share = {True: float(sum(chance.values())), False: 1 - float(sum(chance.values()))}
    sums = {holds: sum(w for g, w in seen.items() if bool(set(g) & set(chance)) is holds) for holds in share}
    if not all(sums.values()):
        return seen
    return {g: w * share[bool(set(g) & set(chance))] / sums[bool(set(g) & set(chance))] for g, w in seen.items()}


def _uniform(locus: Locus) -> dict[Ordered, float]:
    return {(one, two): 1.0 for one in ("", *locus.alleles) for two in ("", *locus.alleles)}


def _prior(people: Population, founder: Founder, locus: Locus) -> dict[Ordered, float]:
    claims = [claim for claim in founder.claims if claim.trait in locus.alleles]
    claimed = [claim.trait for claim in claims if claim.chance is not None or claim.two_copies is not None]
    background = {allele: float(p) for allele, p in locus.background if allele not in claimed}
    share = {allele: background.get(allele, EPSILON) for allele in locus.alleles}
    share[""] = 1 - sum(share.values())
    weinberg = {(one, two): share[one] * share[two] for one in share for two in share}

    def given(keep: list[Ordered]) -> dict[Ordered, float]:
        total = sum(weinberg[genotype] for genotype in keep)
        return {genotype: weinberg[genotype] / total for genotype in keep}

    weights = weinberg
    if claimed:
        weights = dict.fromkeys(weinberg, 0.0)
        rest = 1.0
        for claim in claims:
            allele = claim.trait
            carriers = [genotype for genotype in weinberg if allele in genotype]
            parts: list[tuple[float, dict[Ordered, float]]] = []
            if claim.chance is not None:
                parts = [(float(claim.chance), given(carriers))]
                rest -= float(claim.chance)
            elif claim.two_copies is not None:
                single = given([genotype for genotype in carriers if genotype.count(allele) == 1])
                parts = [(float(claim.two_copies), {(allele, allele): 1.0}), (1 - float(claim.two_copies), single)]
                rest = 0.0
            for chance, part in parts:
                for genotype, weight in part.items():
                    weights[genotype] += chance * weight
        without = given([genotype for genotype in weinberg if not set(genotype) & set(claimed)])
        for genotype, weight in without.items():
            weights[genotype] += weight * (rest if rest > 1e-12 else 0.0)
    phased = dict(weights)
    unlike = "male" if people.case.system == "XY" else "female"
    for claim in claims:
        if claim.came_from and locus.crossover is not None and founder.sex == unlike:
            for one, two in weights:
                if (one, two).count(claim.trait) == 1:
                    right = one if claim.came_from == "sire" else two
                    phased[one, two] = weights[one, two] + weights[two, one] if right == claim.trait else 0.0
    return phased


def _tested(people: Population, unit: Founder | Egg, genotypes: tuple[Ordered, ...], *, certain: bool) -> float:
    """Each test by itself: right, or wrong in one of the ways that the look leaves."""
    weight = 1.0
    for test in unit.tests:
        for n, locus in enumerate(people.case.loci):
            if test.trait not in locus.alleles or (certain and test.error):
                continue
            numbers = sorted({each.count(test.trait) for each in unit.allowed[n]})
            wrong = [number for number in numbers if number != test.copies]
            if test.error and len(wrong) in (0, len(numbers)):
                continue
            right = genotypes[n].count(test.trait) == test.copies
            weight *= float(1 - test.error) if right else float(test.error) / max(len(wrong), 1)
    return weight
