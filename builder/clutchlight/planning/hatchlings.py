"""How many young hatch of a clutch: a spread of the species, or a number that was asked about.

Computes   P(N = n) for the hatchlings N of one clutch that is laid, and what the rest of planning asks of it: E[s^N] and E[C(N, k)].
Formula    eggs = fewest + Binomial(most - fewest, (usual - fewest) / (most - fewest)), so that their mean is the usual clutch;
           hatched, of e eggs: beta-binomial with mean h, the hatch rate, and correlation r between the fates of two eggs:
           C(e, n) (a)_n (b)_(e-n) / (a + b)_e, where (x)_k = x (x+1) ... (x+k-1), a = h (1-r)/r, b = (1-h) (1-r)/r. r = 0: Binomial(e, h);
           left, of n where a double dose dies with chance d: Binomial(n, 1 - d), over the chances of d (see `outcomes.hatching`).
Assumes    the number has nothing to do with what the young look like; where a parent may lack a trait of which a double dose dies, not
           even with that. Only the means are measured; the spread and the share of females that lay are a careful choice of ours, fields
           of the species file that a breeder may change.
Invariant  the chances sum to exactly 1.
Source     figures#hatchlings.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from itertools import accumulate
from math import comb
from operator import mul
from typing import Literal

from msgspec import Struct

from clutchlight.genetics.terms import gathered, proportioned
from clutchlight.model import Species
from clutchlight.problems import COMMAND_LINE, RecordsError
from clutchlight.reading.species_files import ClutchFacts, fact_of

MOST_YOUNG = 100
"""The largest clutch that odds are given for: more than any snake in the catalogue lays."""

USUAL_WITHOUT_FACTS = 7
"""Hatchlings of a usual clutch where the species file says nothing; common practice, no source."""

ALL_LAY = Fraction(1)


class Hatchlings(Struct, frozen=True):
    """The chances of each number of hatchlings, smallest first. `fixed`: the number where no other is thought of. `some_die`: those that
    double doses kill are taken off. `eggs`: how many were asked about, those included."""

    chances: tuple[tuple[int, Fraction], ...]
    fixed: int | None = None
    some_die: bool = False
    eggs: int | None = None

    @classmethod
    def exactly(cls, number: int) -> Hatchlings:
        return cls(((number, Fraction(1)),), number, eggs=number)

    @property
    def told(self) -> int | Literal["spread"]:
        """As documents say it."""
        return "spread" if self.fixed is None else self.fixed

    @property
    def mean(self) -> Fraction:
        return sum((number * chance for number, chance in self.chances), Fraction(0))

    @property
    def most(self) -> int:
        return self.chances[-1][0]

    def every(self, share: Fraction) -> Fraction:
        """The chance that every hatchling is of a kind which is this share of hatchlings; 1 where there is none."""
        top, bottom = share.as_integer_ratio()
        weights = proportioned([chance for _, chance in self.chances])
        most = self.most
        found = sum(
            weight * top**number * bottom ** (most - number)
            for weight, (number, _) in zip(weights, self.chances, strict=True)
        )
        return Fraction(found, sum(weights) * bottom**most)

    def laying(self, lays: Fraction) -> Hatchlings:
        """The same of a female that lays with this chance only."""
        if lays == 1:
            return self
        found = gathered([(0, 1 - lays), *((number, lays * chance) for number, chance in self.chances)])
        return Hatchlings(tuple(sorted((number, chance) for number, chance in found.items() if chance)))

    def survivors(self, deaths: Mapping[Fraction, Fraction]) -> Hatchlings:
        """The same where each dies before it hatches, by itself, with one of these chances, each so likely. A fixed number hatched."""
        if self.fixed is not None or not any(deaths):
            return self
        left = gathered(
            (number, likely * chance)
            for death, likely in deaths.items()
            for number, chance in _spread(self.chances, 1 - death, Fraction(0)).chances
        )
        return Hatchlings(tuple(sorted(left.items())), some_die=True, eggs=self.eggs)

    @property
    def settled(self) -> Hatchlings:
        """The same as a fixed number where there is no other."""
        return Hatchlings.exactly(self.most) if len(self.chances) == 1 else self

    def choices(self, some: int) -> Fraction:
        """How many ways there are on average to pick so many of the hatchlings."""
        return sum((comb(number, some) * chance for number, chance in self.chances), Fraction(0))


class UsualClutch(Struct, frozen=True):
    """A usual clutch, in whole `hatchlings`; `facts`: what the species file has of it, None where the number is assumed."""

    hatchlings: int
    facts: ClutchFacts | None = None

    @property
    def source(self) -> str:
        return "assumed: the species file gives no clutch size" if self.facts is None else self.facts.source

    @property
    def lays(self) -> Fraction:
        """The share of females that lay in a season."""
        return ALL_LAY if self.facts is None or self.facts.lays is None else self.facts.lays


def usual_clutch(species: Species) -> UsualClutch:
    """The usual clutch of a species by its file. Without a hatch rate every egg is taken to hatch."""
    fact = fact_of(species, ClutchFacts)
    if fact is None:
        return UsualClutch(USUAL_WITHOUT_FACTS)
    rate = 1 if fact.hatch_rate is None else fact.hatch_rate
    return UsualClutch(max(1, int(fact.usual * rate + Fraction(1, 2))), fact)


def hatchlings_of(species: Species, young: int | None = None) -> Hatchlings:
    """The number asked about; else the spread of the species, or its usual number where it has none, of which double doses may still kill
    some. Raises RecordsError."""
    if young is not None:
        if not 1 <= young <= MOST_YOUNG:
            said = f"a clutch of {young} hatchlings; ask about 1 to {MOST_YOUNG}"
            raise RecordsError.at(COMMAND_LINE, "young-out-of-range", said)
        return Hatchlings.exactly(young)
    fact = fact_of(species, ClutchFacts)
    if fact is None or fact.eggs is None:
        return Hatchlings(((usual_clutch(species).hatchlings, Fraction(1)),))
    rate, alike = fact.hatch_rate or Fraction(1), fact.like_fate or Fraction(0)
    return _spread(_eggs(fact.usual, fact.eggs.first, fact.eggs.last), rate, alike)


def hatchlings_of_eggs(species: Species, eggs: int) -> Hatchlings:
    """Of a clutch that lies in the incubator, of so many good eggs: double doses may still kill some, so that no number is fixed."""
    fact = fact_of(species, ClutchFacts)
    rate, alike = (None, None) if fact is None else (fact.hatch_rate, fact.like_fate)
    return _spread(((eggs, Fraction(1)),), rate or Fraction(1), alike or Fraction(0))


def _eggs(usual: int, fewest: int, most: int) -> tuple[tuple[int, Fraction], ...]:
    if fewest == most:
        return ((fewest, Fraction(1)),)
    share = Fraction(usual - fewest, most - fewest)
    return tuple(
        (fewest + more, chance) for more, chance in enumerate(_alike(most - fewest, share, Fraction(0))) if chance
    )


@cache
def _spread(eggs: tuple[tuple[int, Fraction], ...], rate: Fraction, alike: Fraction) -> Hatchlings:
    found = gathered(
        (number, likely * chance)
        for laid, likely in eggs
        for number, chance in enumerate(_alike(laid, rate, alike))
        if chance
    )
    return Hatchlings(tuple(sorted(found.items())))


def _alike(tried: int, rate: Fraction, alike: Fraction) -> tuple[Fraction, ...]:
    """How many of so many succeed, each with chance `rate`, any two of them with correlation `alike`."""
    if alike and rate < 1:
        weight = (1 - alike) / alike
        # of each the products of 0, 1, … `tried` of it, the next whole step above it, …
        yes, no, whole = (
            list(accumulate((start + step for step in range(tried)), mul, initial=Fraction(1)))
            for start in (rate * weight, (1 - rate) * weight, weight)
        )
        return tuple(
            comb(tried, number) * yes[number] * no[tried - number] / whole[tried] for number in range(tried + 1)
        )
    return tuple(comb(tried, number) * rate**number * (1 - rate) ** (tried - number) for number in range(tried + 1))
