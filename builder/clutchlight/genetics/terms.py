"""Leading terms: what is left of a polynomial in a vanishing quantity.

Computes   sums and products of w * e^k as e -> 0, keeping the lowest power only: (k, w) + (m, v) is the one of lower order, or
           (k, w + v) when the orders are equal; (k, w) * (m, v) = (k + m, w * v).
Symbols    order k: the number of unrecorded allele copies; coeff w: a positive whole number. Zero is the plain number 0.
           KEPT = the order of a young that kept a heterozygosity which is said never to be kept: more than all copies together, so
           that such young are counted first, and copies among the assignments with fewest of them.
Assumes    weights are never negative, so that leading terms cannot cancel: this makes it a semiring.
Cost       constant a step. Used only where records need an unrecorded carrier; everywhere else plain whole numbers do.
Source     the limit of ratios of polynomials at 0 (any calculus text).

>>> (Term(1, 2) + Term(0, 3)) * Term(1, 5) + 0
Term(1, 15)
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from fractions import Fraction
from math import gcd, lcm
from typing import TypeVar, cast

KEPT = 1 << 20

Of = TypeVar("Of", bound=Hashable)


class Term:
    """coeff * e^order, coeff > 0. Adds and multiplies with its like and with whole numbers (of order 0)."""

    __slots__ = ("coeff", "order")

    def __init__(self, order: int, coeff: int) -> None:
        self.order = order
        self.coeff = coeff

    def __repr__(self) -> str:
        return f"Term({self.order}, {self.coeff})"

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Term) and (self.order, self.coeff) == (other.order, other.coeff)

    def __hash__(self) -> int:
        return hash((self.order, self.coeff))

    def __add__(self, other: Weight) -> Term:
        if isinstance(other, int):
            if not other:
                return self
            other = Term(0, other)
        if self.order < other.order:
            return self
        if self.order > other.order:
            return other
        return Term(self.order, self.coeff + other.coeff)

    __radd__ = __add__

    def __mul__(self, other: Weight) -> Weight:
        if isinstance(other, int):
            return Term(self.order, self.coeff * other) if other else 0
        return Term(self.order + other.order, self.coeff * other.coeff)

    __rmul__ = __mul__

    def __floordiv__(self, divisor: int) -> Term:
        return Term(self.order, self.coeff // divisor)

    def __pow__(self, exponent: int) -> Term:
        return Term(self.order * exponent, self.coeff**exponent)


Weight = int | Term


def weight_of(order: int, coeff: int) -> Weight:
    """coeff * e^order, a plain number where it is one."""
    return Term(order, coeff) if order and coeff else coeff


def leading(weight: Weight) -> int:
    """The coefficient of a weight, whatever its power."""
    return weight if isinstance(weight, int) else weight.coeff


def over(weight: Weight, whole: Weight) -> Fraction:
    """The ratio of two coefficients, whatever their powers; 0 of nothing is 0."""
    return Fraction(leading(weight), leading(whole)) if whole else Fraction(0)


def order_of(weight: Weight) -> int:
    """The power of a weight that is not 0."""
    return 0 if isinstance(weight, int) else weight.order


def coeff_at(weight: Weight, order: int) -> int:
    """The coefficient of a weight at the given power: 0 when its leading power is another."""
    if isinstance(weight, int):
        return weight if order == 0 else 0
    return weight.coeff if weight.order == order else 0


def least_order(weights: Iterable[Weight]) -> int:
    """The lowest power of some weights; 0 where all are 0."""
    return min((order_of(weight) for weight in weights if weight), default=0)


def lowest(weights: Sequence[Weight]) -> list[int]:
    """What stays of each of some weights beside the others: its coefficient at the lowest power of them all."""
    least = least_order(weights)
    return [coeff_at(weight, least) if weight else 0 for weight in weights]


def proportioned(shares: Sequence[Fraction]) -> tuple[int, ...]:
    """The shares as whole numbers: each by their common denominator."""
    scale = lcm(*(share.denominator for share in shares))
    return tuple(share.numerator * (scale // share.denominator) for share in shares)


def weighed(shares: Sequence[tuple[int, Fraction]]) -> tuple[Weight, ...]:
    """Shares, each with its order, as weights: all by their common denominator."""
    coeffs = proportioned([share for _, share in shares])
    return tuple(weight_of(order, coeff) for (order, _), coeff in zip(shares, coeffs, strict=True))


def gathered(chances: Iterable[tuple[Of, Fraction]]) -> dict[Of, Fraction]:
    """Chances summed by what they are of, in the order in which it comes."""
    found: dict[Of, Fraction] = {}
    for one, chance in chances:
        before = found.get(one)
        found[one] = chance if before is None else before + chance
    return found


def reduced(weights: list[Weight]) -> list[Weight]:
    """The same weights up to one common factor, made small: whole numbers stay short over a long pedigree."""
    try:
        common = gcd(*cast("list[int]", weights))
    except TypeError:  # not all of them are plain numbers
        common = gcd(*map(leading, weights))
    return weights if common < 2 else [weight // common for weight in weights]


def total(weights: Iterable[Weight]) -> Weight:
    return sum(weights)
