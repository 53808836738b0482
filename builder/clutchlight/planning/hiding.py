"""Loci whose looks hide another one: how likely it is that a hatchling cannot be told at a locus.

Computes   for each clutch of known parents the chance h that the looks at other loci leave a locus untold.
Formula    the hiding loci in turn, each by the looks that its parents' states give; behind a locus that is itself hidden, all that it
           might hide is untold too. Where two may hide each other (white looks), those of their looks that hide come first.
Cost       one pass for each combination of parents' states at the hiding loci; HIDING_STATES of them at most.
Source     figures#hidden-loci.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction
from functools import cache, cached_property, partial
from typing import NamedTuple

from clutchlight.genetics.pairs import Members, Together
from clutchlight.genetics.terms import gathered
from clutchlight.model import Locus, Look
from clutchlight.model.traits import reached

HIDING_STATES = 20_000
"""The most combinations of states at the loci that hide another one that are gone through."""

AnyOf = tuple[Look, ...]
"""What a locus that cannot be told may look like."""
Untold = tuple[Fraction, ...]
"""For each pair the chance that a hatchling of theirs cannot be told."""


def hiding_order(loci: Sequence[Locus]) -> tuple[int, ...]:
    """The positions of the loci, those that hide others before what they hide; a circle begins with its first locus."""
    order: list[int] = []
    under_way: set[int] = set()

    def place(index: int) -> None:
        if index not in under_way:
            under_way.add(index)
            for hider, locus in enumerate(loci):
                if any(loci[index].key in keys for keys in locus.hides.values()):
                    place(hider)
            order.append(index)

    for index in range(len(loci)):
        place(index)
    return tuple(order)


def each_of(look: Look | AnyOf) -> AnyOf:
    """What it may look like: the look alone where it is told."""
    return look if isinstance(look, tuple) else (look,)


def hides(locus: Locus, look: Look | AnyOf) -> frozenset[str]:
    """The keys of the loci that cannot be told beside this look; beside one that is itself untold: all that those it may be might hide."""
    return frozenset(key for one in each_of(look) for name in one for key in locus.hides.get(name, ()))


def might_hide(locus: Locus) -> frozenset[str]:
    """All that some look of a locus hides."""
    return hides(locus, tuple(locus.looks))


class HidingStep(NamedTuple):
    """A locus and the looks that are gone through there. `again`: what it may be besides, gone through once all others are."""

    locus: int
    looks: AnyOf
    again: AnyOf = ()


def steps(loci: Sequence[Locus], order: Sequence[int]) -> tuple[HidingStep, ...]:
    """The loci in the order of hiding. Of one that a later one may hide, the looks that hide something go first and the others last."""
    first = []
    for number, at in enumerate(order, 1):
        looks, later = tuple(loci[at].looks), (loci[other] for other in order[number:])
        if any(loci[at].key in might_hide(other) for other in later):
            hiding = tuple(look for look in looks if hides(loci[at], look))
            first.append(HidingStep(at, hiding, tuple(look for look in looks if look not in hiding)))
        else:
            first.append(HidingStep(at, looks))
    return (*first, *(HidingStep(step.locus, step.again) for step in first if step.again))


def hidden_together(
    loci: Sequence[Locus],
    in_turn: Iterable[HidingStep],
    share: Callable[[int, Look | AnyOf], Fraction],
) -> Mapping[frozenset[str], Fraction]:
    """The chances of what the looks at loci, gone through in the order of hiding, hide of one hatchling, by keys.

    `share`: the chance of a look at a locus, or of all that it may be where it is untold; 0 for what does not count.
    """
    found: dict[tuple[frozenset[str], frozenset[int]], Fraction] = {(frozenset(), frozenset()): Fraction(1)}
    for at, looks, again in in_turn:
        further = []
        for (closed, told), chance in found.items():
            if at in told:
                further.append(((closed, told), chance))
                continue
            untold = loci[at].key in closed
            for look in (looks + again,) if untold else looks:
                if here := share(at, look):
                    further.append(((closed | hides(loci[at], look), told | {at}), chance * here))
            if again and not untold:
                further.append(((closed, told), chance))
        found = gathered(further)
    return gathered((closed, chance) for (closed, _), chance in found.items())


class Hiding:
    """What hides what in the young of several pairs, each a sire and a dam by their number among the members."""

    def __init__(self, together: Together, pairs: Sequence[tuple[int, int]]) -> None:
        self.together = together
        self.pairs = tuple(pairs)
        self.hiders = cache(self._hiders)
        self.steps = cache(partial(steps, together.loci))

    @cached_property
    def _hidden_by(self) -> tuple[frozenset[str], ...]:
        """By locus the keys of the loci that are hidden by a look which young can have there."""
        found = []
        for number, (locus, states) in enumerate(zip(self.together.loci, self.together.states, strict=True)):
            rows = self.together.rows_at(number)
            pairs = dict.fromkeys((members[sire], members[dam]) for members, _ in rows for sire, dam in self.pairs)
            found.append(hides(locus, tuple(look for pair in pairs for _, look in states.kinds(*pair))))
        return tuple(found)

    @cached_property
    def _hidable(self) -> frozenset[str]:
        """The loci that some look may hide, straight or by way of another."""
        loci = {locus.key: locus for locus in self.together.loci}
        straight = frozenset[str]().union(*self._hidden_by)
        return reached(straight, lambda key: might_hide(loci[key]) if key in loci else ())

    def _hiders(self, locus: int) -> tuple[int, ...]:
        """The loci that can hide this one, straight or by way of another, in the order of hiding."""
        loci, order = self.together.loci, hiding_order(self.together.loci)
        found = {locus}
        for index in reversed(order):
            keys = {loci[other].key for other in found}
            if keys & self._hidden_by[index] or (keys & might_hide(loci[index]) and loci[index].key in self._hidable):
                found.add(index)
        return tuple(index for index in order if index in found and index != locus)

    def blanks(self, locus: int) -> Mapping[tuple[int, Untold], Fraction] | None:
        """(Part of the locus's group, for each pair the chance that a hatchling cannot be told there), with their own chance.

        None: too many combinations to go through.
        """
        hiders = self.hiders(locus)
        if not hiders:
            nothing = (Fraction(0),) * len(self.pairs)
            return {(number, nothing): part.chance for number, part in enumerate(self.together.group_of(locus).parts)}
        found: dict[tuple[int, Untold], Fraction] = {}
        for count, (part, states, likely) in enumerate(self.together.combinations(hiders, beside=locus)):
            if count == HIDING_STATES:
                return None
            held = dict(zip(hiders, states, strict=True))
            key = (part, tuple(self._hidden(locus, hiders, held, pair) for pair in self.pairs))
            found[key] = found.get(key, Fraction(0)) + likely
        return found

    def _hidden(
        self, locus: int, hiders: Sequence[int], held: Mapping[int, Members], pair: tuple[int, int]
    ) -> Fraction:
        """The chance that the looks at the hiding loci leave a locus untold, for parents of these states."""

        def share(hider: int, look: Look | AnyOf) -> Fraction:
            kinds = self.together.states[hider].kinds(*(held[hider][member] for member in pair))
            return sum((chance for (_, shown), chance in kinds.items() if shown in each_of(look)), Fraction(0))

        found = hidden_together(self.together.loci, self.steps(hiders), share)
        key = self.together.loci[locus].key
        return sum((chance for closed, chance in found.items() if key in closed), Fraction(0))
