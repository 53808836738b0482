"""Tables over pairs of parents' states at one locus, made once and shared by all families that look alike.

Computes   for young whose looks leave a set of states open and whose tests weigh the states:
             seen(s, d)      = sum over c of T(c | s, d) look(c) test(c), or that divided by sum over c of T(c | s, d) look(c);
             given_look(s,d) = T(c | s, d) look(c) / sum over c of T(c | s, d) look(c);
             young_given(s, d) = the exact distribution of the young's own state.
Symbols    s = sire's state number or None (parthenogenesis), d = dam's; each table is scaled to whole numbers by one factor.
Cost       (states)^3 once for each kind of young; look-ups afterwards.
Source     figures#incomplete-records.
"""

from __future__ import annotations

from fractions import Fraction
from math import lcm

from clutchlight.genetics.states import States
from clutchlight.genetics.terms import Weight, leading, order_of, over, total, weight_of

Pair = tuple[int | None, int]


class Grids:
    """The tables of one locus."""

    def __init__(self, states: States) -> None:
        self.states = states
        males = states.members(states.of_sex("male"))
        females = states.members(states.of_sex("female"))
        self.pairs: tuple[Pair, ...] = tuple((s, d) for s in (None, *males) for d in females)
        self._seen: dict[tuple[int, tuple[int, ...] | None, bool], dict[Pair, Weight]] = {}
        self._shares: dict[int, dict[Pair, tuple[Weight, ...]]] = {}
        self._young: dict[tuple[int, tuple[int, ...] | None], dict[Pair, tuple[tuple[int, Fraction], ...]]] = {}

    def young(self, pair: Pair, sexed: bool) -> tuple[Weight, ...]:
        """T for a pair. Sex is no evidence: where it is recorded, young of two parents weigh twice (parthenogenesis has one sex only)."""
        weights = self.states.young(*pair)
        if sexed and self.states.linked and pair[0] is not None:
            return tuple(2 * weight for weight in weights)
        return weights

    def _weights(self, pair: Pair, looks: int, tested: tuple[int, ...] | None) -> list[Weight]:
        sexed = self.states.linked and any(
            not looks & ~mask & self.states.full for mask in self.states.sex_masks.values()
        )
        young = self.young(pair, sexed)
        return [w * (looks >> c & 1) * (tested[c] if tested else 1) for c, w in enumerate(young)]

    def seen(self, looks: int, tested: tuple[int, ...] | None, weighs: bool) -> dict[Pair, Weight]:
        """The chance, up to one factor, of what was seen of one young, for each pair of parents' states."""
        key = (looks, tested, weighs)
        if key not in self._seen:
            joint = {pair: total(self._weights(pair, looks, tested)) for pair in self.pairs}
            if weighs:
                self._seen[key] = joint
            else:
                look = {pair: total(self._weights(pair, looks, None)) for pair in self.pairs}
                parts = {pair: over(joint[pair], look[pair]) for pair in self.pairs}
                scale = lcm(*(part.denominator for part in parts.values()))
                self._seen[key] = {pair: weight_of(order_of(joint[pair]), int(parts[pair] * scale)) for pair in parts}
        return self._seen[key]

    def given_look(self, looks: int) -> dict[Pair, tuple[Weight, ...]]:
        """The shares of a young's states given its look, up to one factor for the whole table."""
        if looks not in self._shares:
            rows = {pair: self._weights(pair, looks, None) for pair in self.pairs}
            whole = {pair: leading(total(row)) for pair, row in rows.items()}
            scale = lcm(*(weight for weight in whole.values() if weight))
            self._shares[looks] = {
                pair: tuple(weight * (scale // whole[pair]) if weight else 0 for weight in row)
                for pair, row in rows.items()
            }
        return self._shares[looks]

    def young_given(self, looks: int, tested: tuple[int, ...] | None) -> dict[Pair, tuple[tuple[int, Fraction], ...]]:
        """The distribution of a young's own state given its parents' states, its looks and its tests; empty where impossible."""
        key = (looks, tested)
        if key not in self._young:
            found: dict[Pair, tuple[tuple[int, Fraction], ...]] = {}
            for pair in self.pairs:
                weights = self._weights(pair, looks, tested)
                whole = total(weights)
                found[pair] = tuple(
                    (c, over(weight, whole))
                    for c, weight in enumerate(weights)
                    if weight and order_of(weight) == order_of(whole)
                )
            self._young[key] = found
        return self._young[key]
