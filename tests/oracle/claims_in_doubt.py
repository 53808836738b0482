"""Which claims of certainty are in doubt: all of them are tried at once with the chance of trust in the place of 1.

Those whose chance of being true is then under 19 in 20 keep the chance of trust; the others count as certain.
"""

from __future__ import annotations

from collections.abc import Callable
from copy import copy
from fractions import Fraction

from msgspec.structs import replace
from tests.oracle.case import Claim, Locus
from tests.oracle.population import Founder, Population
from tests.oracle.sum_assignments import Sum

BELIEVED = Fraction(19, 20)
Doubted = frozenset[tuple[str, str]]  # (founder, trait)


def in_doubt(people: Population) -> Doubted:
    """The claims of certainty in doubt, by founder and trait."""
    trial = Sum(trusting(people, lambda founder, claim: True), "figures")
    if not any(_certain(people, founder, claim) for founder in people.founders.values() for claim in founder.claims):
        return frozenset()
    if not trial.possible:
        return frozenset()
    return frozenset(
        (founder.key, claim.trait)
        for founder in people.founders.values()
        for claim in founder.claims
        if _certain(people, founder, claim) and _true(trial, people, founder, claim) < BELIEVED
    )


def trusting(people: Population, doubted: Callable[[Founder, Claim], bool]) -> Population:
    """The population in which claims of certainty that are doubted have the chance of trust."""
    found = copy(people)
    found.founders = {
        key: replace(
            founder,
            claims=tuple(
                _trusted(claim, _locus(people, claim))
                if _certain(people, founder, claim) and doubted(founder, claim)
                else claim
                for claim in founder.claims
            ),
        )
        for key, founder in people.founders.items()
    }
    return found


def _beside(people: Population, founder: Founder, claim: Claim) -> list[Claim]:
    """What was claimed of one copy of it and of others of its locus, which exclude each other."""
    return [one for one in founder.claims if one.chance and one.trait in _locus(people, claim).alleles]


def _certain(people: Population, founder: Founder, claim: Claim) -> bool:
    """Whether it says for certain that there are two copies, or one of it or of another with which it comes to 1."""
    if claim.chance is None:
        return claim.two_copies == 1
    return sum(one.chance or 0 for one in _beside(people, founder, claim)) == 1


def _trusted(claim: Claim, locus: Locus) -> Claim:
    if claim.chance is None:
        return replace(claim, two_copies=locus.trust)
    return replace(claim, chance=claim.chance * locus.trust)


def _locus(people: Population, claim: Claim) -> Locus:
    return next(locus for locus in people.case.loci if claim.trait in locus.alleles)


def _true(trial: Sum, people: Population, founder: Founder, claim: Claim) -> Fraction:
    n = people.case.loci.index(_locus(people, claim))
    needed = 2 if claim.two_copies == 1 else 1
    said = {claim.trait} if needed == 2 else {one.trait for one in _beside(people, founder, claim)}
    chances = trial.chances((founder.key,), (n,))
    return sum(
        (chance for (state,), chance in chances.items() if sum(one in said for one in state[2][0]) >= needed),
        Fraction(0),
    )
