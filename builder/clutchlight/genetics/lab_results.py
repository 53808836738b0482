"""What laboratory tests of an egg say of its state at a locus.

Computes   which of an egg's tests count at a moment, and the weight of each state by them.
Symbols    r = the number of copies of its allele that a test found; e = the chance that it is wrong; L = the numbers of copies that
           the looks in force leave at the locus (all of them where nobody looked, or could tell).
Formula    e = 0: 1 for the states with r copies, 0 for the others. e > 0: 1 - e for r copies, e / (|L| - 1) for the others.
           A fallible test says nothing where r is all of L, for then the look decides, or not in L, for then it is wrong.
           Of the fallible tests of one allele by one laboratory the last counts; every error-free one does.
Assumes    laboratories err independently of each other. Parentage does not count in L.
Cost       one product over the states for each test that counts.
Source     figures#tests-as-evidence; derived.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import lcm

from clutchlight.genetics.states import States
from clutchlight.model import LabTest


def counting(tests: Iterable[LabTest]) -> list[LabTest]:
    """The tests that count, of those given in order of time."""
    found: dict[object, LabTest] = {}
    for number, test in enumerate(tests):
        one = (test.trait, test.laboratory) if test.error else number
        found.pop(one, None)
        found[one] = test
    return list(found.values())


def numbers_left(states: States, looks: int, trait: str) -> frozenset[int]:
    """How many copies of an allele an egg may have by its looks."""
    allele = states.locus.allele_number(trait)
    return frozenset(states.pairs[state].count(allele) for state in states.members(looks))


def against(test: LabTest, states: States, looks: int) -> bool:
    """Whether a fallible test found a number of copies that the looks do not leave."""
    return bool(test.error) and test.copies not in numbers_left(states, looks, test.trait)


def says_something(test: LabTest, states: States, looks: int) -> bool:
    left = numbers_left(states, looks, test.trait)
    return not test.error or (test.copies in left and len(left) > 1)


def weights(tests: Sequence[LabTest], states: States, looks: int) -> tuple[int, ...]:
    """The weight of each state by tests that say something; whole numbers, up to a factor."""
    found = [Fraction(1)] * states.count
    for test in tests:
        others = len(numbers_left(states, looks, test.trait)) - 1 if test.error else 1
        allele = states.locus.allele_number(test.trait)
        for index, pair in enumerate(states.pairs):
            found[index] *= 1 - test.error if pair.count(allele) == test.copies else test.error / others
    scale = lcm(*(weight.denominator for weight in found))
    return tuple(int(weight * scale) for weight in found)
