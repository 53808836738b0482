"""The prior weights of a founder's states at one locus: by claims, backgrounds and the limit, or by a stated frequency.

Computes   a weight for each state, as a leading term in e.
Symbols    e = vanishing frequency of every allele without claim or background; c = chance of a claim; p = background frequency;
           w(x) = weight of one allele: 1 for normal (1 - sum of p where there are backgrounds), p with a background, else e;
           u = `unrecorded`, the share of snakes taken to carry an allele that no record speaks of.
Formula    without claim: w(a) w(b) for each ordered pair. Claim of A: each ordered pair that holds A with c/2 w(other); no copy of
           A with 1 - c, both alleles weighing w. Claims at several alleles exclude each other. A claim of two copies of a shown
           trait: two with c, one with 1 - c.
           A founder in question: its states, by claims, look and sure tests, in groups of rising order: 1 - u, u (1 - u), u^2, the
           last takes the rest; within a group as the limit shares them.
Assumes    a background frequency describes the founders without a claim of that allele.
Cost       the states of the locus.
Source     figures#founders, figures#claims-in-figures, figures#unrecorded-carriers; Hardy 1908, Weinberg 1908 for w(a) w(b).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from math import lcm

from clutchlight.genetics.states import States
from clutchlight.genetics.terms import Weight, leading, order_of, weight_of
from clutchlight.model import Claim


def founder_weights(states: States, claims: Sequence[Claim], background: Mapping[str, Fraction]) -> tuple[Weight, ...]:
    """The prior weights of a founder's states, scaled to whole numbers, as leading terms in the vanishing frequency e."""
    locus = states.locus
    one: list[tuple[int, Fraction]] = [(0, Fraction(1))] + [(1, Fraction(1)) for _ in locus.alleles]
    claimed_traits = {claim.trait for claim in claims if claim.chance is not None or claim.two_copies is not None}
    known = {trait: p for trait, p in background.items() if trait not in claimed_traits}
    for trait, frequency in known.items():
        one[locus.allele_number(trait)] = (0, frequency)
    one[0] = (0, 1 - sum(known.values(), Fraction(0)))
    claimed = [(locus.allele_number(claim.trait), claim) for claim in claims]
    chances = [(allele, claim.chance) for allele, claim in claimed if claim.chance is not None]
    doubled = [(allele, claim.two_copies) for allele, claim in claimed if claim.two_copies is not None]
    weights: list[tuple[int, Fraction]] = []
    for state in states.all:
        weights.append(_founder_weight(states, state, one, chances, doubled))
    for allele, claim in claimed:
        if claim.came_from is not None and states.linked:
            _fix_phase(states, weights, allele, claim.came_from)
    scale = lcm(*(weight.denominator for _, weight in weights))
    return tuple(weight_of(order, int(weight * scale)) for order, weight in weights)


def _founder_weight(
    states: States,
    state: tuple[str, int, int],
    one: list[tuple[int, Fraction]],
    chances: list[tuple[int, Fraction]],
    doubled: list[tuple[int, Fraction]],
) -> tuple[int, Fraction]:
    """(order, coefficient) of one state; terms of different order are never added: the lower one stays."""
    sex, a, b = state
    placed = states.linked and sex == states.heterogametic
    ordered = ((a, b),) if placed or a == b else ((a, b), (b, a))
    if doubled:
        allele, chance = doubled[0]
        if a == b == allele:
            return 0, chance
        other = b if a == allele else a
        return (
            (one[other][0], (1 - chance) * one[other][1] / (2 if placed else 1))
            if allele in (a, b)
            else (0, Fraction(0))
        )
    named = {allele for allele, _ in chances}
    none_true = 1 - sum((chance for _, chance in chances), Fraction(0))
    terms: list[tuple[int, Fraction]] = []
    if not named & {a, b}:
        terms += [(one[x][0] + one[y][0], none_true * one[x][1] * one[y][1]) for x, y in ordered]
    for allele, chance in chances:
        for x, y in dict.fromkeys(((a, b), (b, a))):
            if x == allele:
                split = 2 if placed or a == b else 1  # A/A is one ordered pair, A/x two
                terms.append((one[y][0], chance * one[y][1] / split))
    terms = [term for term in terms if term[1]]
    if not terms:
        return 0, Fraction(0)
    least = min(order for order, _ in terms)
    return least, sum((weight for order, weight in terms if order == least), Fraction(0))


def _fix_phase(states: States, weights: list[tuple[int, Fraction]], allele: int, parent: str) -> None:
    """Moves, in the heterogametic sex, the weight of a copy on the other parent's chromosome to this parent's."""
    from_parent = 2 if (parent == "sire") == (states.heterogametic == "male") else 1
    for index, (sex, first, second) in enumerate(states.all):
        if sex == states.heterogametic and allele in (first, second) and (sex, first, second)[from_parent] != allele:
            other = states.number[sex, second, first]
            weights[other] = (weights[other][0], weights[other][1] + weights[index][1])
            weights[index] = (0, Fraction(0))


def stated_weights(prior: Sequence[Weight], left: int, unrecorded: Fraction) -> tuple[Weight, ...]:
    """The weights of a founder in question, whole numbers; `left`: the states that its look and sure tests leave."""
    groups: dict[int, dict[int, int]] = {}
    for state, weight in enumerate(prior):
        if weight and left >> state & 1:
            groups.setdefault(order_of(weight), {})[state] = leading(weight)
    shares: dict[int, Fraction] = {}
    rest = Fraction(1)
    for place, order in enumerate(sorted(groups), 1):
        share = rest if place == len(groups) else rest * (1 - unrecorded)
        rest -= share
        whole = sum(groups[order].values())
        shares |= {state: share * weight / whole for state, weight in groups[order].items()}
    scale = lcm(*(share.denominator for share in shares.values()))
    return tuple(int(shares[state] * scale) if state in shares else 0 for state in range(len(prior)))
