"""From domains and evidence to trees of cliques: one network for all loci of a species that hang together.

The factors and their numbers come from `factors`; here they are split into connected parts, each a tree whose tables are put in place
again as evidence changes, and figures are read off.

Time       `set_moment(m)` puts in force the evidence up to moment m. A network made for one moment answers for that one only.
Assumes    domains that hold every state with chance above 0 at every moment that will be asked about.
Source     figures#trees-of-cliques, figures#width.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from fractions import Fraction
from functools import cache
from typing import TypeVar

from clutchlight.genetics.factors import ChoiceVariable, Factors, Variable
from clutchlight.genetics.pedigree import Family, joined
from clutchlight.genetics.possible import Domains, Place
from clutchlight.genetics.states import YoungShares
from clutchlight.genetics.terms import lowest
from clutchlight.genetics.tree import Factor, Table, TooWideError, Tree
from clutchlight.genetics.values import NotComputed
from clutchlight.genetics.world import World
from clutchlight.model.traits import grouped

Asked = TypeVar("Asked")
Shared = TypeVar("Shared")


class Network:
    """All trees of one species.

    `fixed`: for this moment only. `freed`: places of founders whose prior keeps its orders in e (others have their least order only).
    `left_out`: families of whose young nothing is asked and nothing is known.
    """

    def __init__(
        self,
        world: World,
        domains: Domains,
        *,
        moment: int,
        fixed: bool = True,
        freed: frozenset[Place] = frozenset(),
        left_out: frozenset[int] = frozenset(),
        pins: Mapping[Place, int] | None = None,
    ) -> None:
        self.factors = Factors(world, domains, moment=moment, fixed=fixed, freed=freed, left_out=left_out)
        self.factors.pins.update(pins or {})
        self._folded: dict[tuple[object, ...], tuple[Fraction, ...] | None] = {}
        self._eggs_in: dict[tuple[int, int], list[int]] = {}
        self._build(world.limit)

    def _build(self, limit: int) -> None:
        """Splits the factors into connected parts, each a tree; of the variables of a part too wide `too_wide` says why."""
        rules = self.factors.rules
        part = joined(rule.scope for rule in rules)
        self.trees: list[Tree] = []
        self.tree_of: dict[Variable, int] = {}
        self.too_wide: dict[Variable, NotComputed] = {}
        self.number_in: dict[Variable, int] = {}
        self.factor_at: dict[int, tuple[int, int]] = {}
        self.touching: dict[Place, list[int]] = {}
        self.folding_of: dict[tuple[int, int, int], list[int]] = {}
        for numbers in grouped((part[rule.scope[0]], number) for number, rule in enumerate(rules)).values():
            variables = list(dict.fromkeys(variable for number in numbers for variable in rules[number].scope))
            self.number_in.update({variable: index for index, variable in enumerate(variables)})
            factors = [
                Factor(self._numbers(rules[number].scope), self.factors.table(rules[number])) for number in numbers
            ]
            try:
                tree = Tree([self.factors.size[variable] for variable in variables], factors, limit)
            except TooWideError as wide:
                widest = (variables[index] for index in wide.variables)
                eggs = dict.fromkeys(variable.egg for variable in widest if variable.kind == "state")
                would_split = (ident for egg in eggs for ident in self.factors.pedigree.eggs[egg].animals)
                self.too_wide.update(dict.fromkeys(variables, NotComputed(tuple(sorted(would_split)))))
                continue
            self.tree_of.update(dict.fromkeys(variables, len(self.trees)))
            self.factor_at.update({number: (len(self.trees), index) for index, number in enumerate(numbers)})
            self.trees.append(tree)
        for number, rule in enumerate(rules):
            if rule.kind in ("founder", "looks", "young", "sex"):
                self.touching.setdefault((rule.locus, rule.egg), []).append(number)
            elif rule.kind == "picked":
                for locus in range(len(self.factors.states)):
                    self.touching.setdefault((locus, rule.egg), []).append(number)
            elif rule.kind == "folded":
                self.folding_of.setdefault((rule.locus, rule.family, rule.egg), []).append(number)

    def _numbers(self, scope: tuple[Variable, ...]) -> tuple[int, ...]:
        return tuple(self.number_in[variable] for variable in scope)

    # -- change ----------------------------------------------------------------------------------------------------------

    def set_moment(self, moment: int) -> frozenset[int]:
        """Puts in force the evidence up to a moment, making again only what changed since the last one; gives the trees touched."""
        first, last = min(self.factors.moment, moment), max(self.factors.moment, moment)
        self.factors.moment = moment
        changed: dict[int, None] = {}
        for event in range(first, last):
            changed.update(dict.fromkeys(self._factors_touched(event)))
        self._folded.clear()
        for number in changed:
            if number in self.factor_at:
                tree, factor = self.factor_at[number]
                self.trees[tree].change(factor, self.factors.table(self.factors.rules[number]))
        return self._trees_with(changed)

    def work(self, moments: range) -> int:
        """The table entries that going through these moments can change, a tree counted at each event that touches it."""
        touched = (self._trees_with(self._factors_touched(moment - 1)) for moment in moments if moment)
        return sum(self.trees[tree].plan.entries for trees in touched for tree in trees)

    def _factors_touched(self, event: int) -> Iterator[int]:
        for egg in self.factors.timeline.touched[event]:
            for locus in range(len(self.factors.states)):
                yield from self._factors_at((locus, egg))

    def _trees_with(self, factors: Iterable[int]) -> frozenset[int]:
        return frozenset(self.factor_at[number][0] for number in factors if number in self.factor_at)

    def _factors_at(self, place: Place) -> Iterator[int]:
        locus, egg = place
        yield from self.touching.get(place, ())
        family = self.factors.pedigree.eggs[egg].family
        if family is not None and self.factors.is_folded(locus, egg):
            yield from self.folding_of.get(
                (locus, family, egg if self.factors.pedigree.families[family].each_egg else -1), ()
            )

    @contextmanager
    def supposing(self, tables: Mapping[int, Table | None]) -> Iterator[None]:
        """Within it these factors have other tables."""
        folded, self._folded = self._folded, {}
        at = ((self.factor_at[number], table) for number, table in tables.items() if number in self.factor_at)
        with ExitStack() as stack:
            for tree, changes in grouped((tree, (factor, table)) for (tree, factor), table in at).items():
                stack.enter_context(self.trees[tree].supposing(dict(changes)))
            try:
                yield
            finally:
                self._folded = folded

    @contextmanager
    def pinned(self, place: Place, mask: int) -> Iterator[None]:
        """Within it an egg is known to have one of these states, as by a sure test."""
        pins, self.factors.pins = self.factors.pins, {**self.factors.pins, place: mask}
        try:
            with self.supposing(
                {number: self.factors.table(self.factors.rules[number]) for number in self._factors_at(place)}
            ):
                yield
        finally:
            self.factors.pins = pins

    # -- answers ---------------------------------------------------------------------------------------------------------

    def needs(self, locus: int, egg: int) -> tuple[Variable, ...]:
        """The variables that the figure of a place is read off."""
        family = self.factors.pedigree.eggs[egg].family
        if family in self.factors.left_out:
            return ()
        own = self.factors.state(locus, egg)
        if own or family is None or len(self.factors.open[locus][egg]) == 1:
            return own
        found = self.factors.pedigree.families[family]
        ways = self.factors.ways(locus, found, egg)
        return tuple(
            dict.fromkeys(variable for way in ways for variable in self.factors.scope(locus, found, way, None))
        )

    def unanswered(self, locus: int, egg: int) -> NotComputed | None:
        """Why there is no figure of this place, when it needs a table that passed the limit; else None."""
        if not self.too_wide:
            return None
        return next((self.too_wide[variable] for variable in self.needs(locus, egg) if variable in self.too_wide), None)

    def trees_of(self, locus: int, egg: int) -> tuple[int, ...]:
        """The trees that the figure of a place is read off; none when parents are settled."""
        return tuple(dict.fromkeys(self.tree_of[variable] for variable in self.needs(locus, egg)))

    def eggs_in(self, tree: int, locus: int) -> tuple[int, ...]:
        """The eggs whose figure at a locus is read off a tree."""
        if not self._eggs_in:
            for position in range(len(self.factors.states)):
                for egg in range(len(self.factors.pedigree.eggs)):
                    for one in self.trees_of(position, egg) if not self.unanswered(position, egg) else ():
                        self._eggs_in.setdefault((one, position), []).append(egg)
        return tuple(self._eggs_in.get((tree, locus), ()))

    def belief(self, scope: tuple[Variable, ...]) -> list[int]:
        """The weights of a scope at the lowest order that has any, whole numbers."""
        if not scope:
            return [1]
        return lowest(self.trees[self.tree_of[scope[0]]].belief(self._numbers(scope)))

    def marginal(self, locus: int, egg: int) -> tuple[Fraction, ...] | None:
        """The chance of each state of the locus; None when the evidence has no weight (nothing fits at the orders allowed)."""
        count = self.factors.states[locus].count
        settled = self.settled(locus, egg)
        if settled is not None:
            return _surely(settled, count)
        if self.factors.is_folded(locus, egg):
            return self._folded_marginal(locus, egg)
        weights = self.belief(self.factors.state(locus, egg))
        whole = sum(weights)
        if not whole:
            return None
        shares = dict(zip(self.factors.open[locus][egg], weights, strict=True))
        return tuple(Fraction(shares.get(state, 0), whole) for state in range(count))

    def settled(self, locus: int, egg: int) -> int | None:
        """The one state that is open to an egg, unless it is pinned or several are."""
        states = self.factors.open[locus][egg]
        return states[0] if len(states) == 1 and (locus, egg) not in self.factors.pins else None

    def _folded_marginal(self, locus: int, egg: int) -> tuple[Fraction, ...] | None:
        """The distribution of an egg without a variable of its own; sibs of whom the same is known share it until evidence changes."""
        number = self.factors.pedigree.eggs[egg].family
        row, states = self.factors.open[locus], self.factors.states[locus]
        if number is None:
            return _surely(row[egg][0], states.count)
        family = self.factors.pedigree.families[number]
        unborn = (self.factors.evidence[locus].sex_mask(self.factors.pedigree.eggs[egg]), None)
        looks, tested = self.factors.evidence_of(locus, egg) if self.factors.born(egg) else unborn
        key = (locus, number, egg if family.each_egg else -1, looks, tested)
        if key not in self._folded:
            self._folded[key] = self._worked_out(locus, family, egg, states.young_given(looks, tested))
        return self._folded[key]

    def from_parents(self, locus: int, egg: int) -> tuple[Fraction, ...] | None:
        """The chance of each state of a young by what is in force of its parents alone; None: not told, or a table is too wide.

        Asked of a moment before it hatched, at a locus off the sex chromosomes.
        """
        number, states = self.factors.pedigree.eggs[egg].family, self.factors.states[locus]
        if number is None or states.linked:
            return None
        family = self.factors.pedigree.families[number]
        ways = self.factors.ways(locus, family, egg)
        if any(variable in self.too_wide for way in ways for variable in self.factors.scope(locus, family, way, None)):
            return None
        return self._worked_out(locus, family, egg, states.young_given(states.full, None))

    def _worked_out(
        self, locus: int, family: Family, egg: int, given: tuple[int, YoungShares]
    ) -> tuple[Fraction, ...] | None:
        row, states, (scale, shares) = self.factors.open[locus], self.factors.states[locus], given
        sums = [Fraction(0)] * states.count
        for way in self.factors.ways(locus, family, egg):
            weights = self.belief(self.factors.scope(locus, family, way, None))
            whole = sum(weights)
            if not whole:
                return None
            if way.choice is not None:
                length = len(weights) // self.factors.size[way.choice]
                weights = weights[way.position * length : (way.position + 1) * length]
            sires = (None,) if way.sire is None else row[way.sire]
            pairs = [(s, d) for s in sires for d in row[family.dam]]
            found = [0] * len(sums)
            for weight, pair in zip(weights, pairs, strict=True):
                if weight:
                    for state, share in shares[pair]:
                        found[state] += weight * share
            for state, weight in enumerate(found):
                if weight:
                    sums[state] += Fraction(weight, whole * scale)
        if not any(sums):
            return None
        alive = sum(sums) if states.barren else 1  # before it hatches nothing says yet that it lives
        return tuple(sums) if alive == 1 else tuple(share / alive for share in sums)

    def choice(self, family: int, egg: int = -1) -> tuple[Fraction, ...] | NotComputed:
        """The chance of each branch of a family's (or egg's) choice of sire."""
        found = self.factors.pedigree.families[family]
        key = (family, egg if found.each_egg else -1)
        variable = ChoiceVariable(*key)
        if variable in self.too_wide:
            return self.too_wide[variable]
        left = self.factors.left(key) if key in self.factors.choices else [0]
        if variable in self.tree_of:
            weights: list[Fraction] = [Fraction(weight) for weight in self.belief((variable,))]
        else:
            weights = [found.branches[branch].chance for branch in left]
        shares = dict(zip(left, weights, strict=True))
        whole = sum(weights)
        return tuple(shares.get(branch, Fraction(0)) / whole for branch in range(len(found.branches)))


@cache
def _surely(state: int, count: int) -> tuple[Fraction, ...]:
    """Chance 1 for one state, of so many."""
    return tuple(Fraction(int(other == state)) for other in range(count))


def sharing(needed: Mapping[Asked, Iterable[Shared]]) -> list[tuple[set[Shared], list[Asked]]]:
    """What is asked, in groups that need some of the same things, such as trees, with these; what needs none stands alone."""
    groups: list[tuple[set[Shared], list[Asked]]] = []
    for one, things in needed.items():
        common, joined = set(things), [one]
        for other in [group for group in groups if group[0] & common]:
            groups.remove(other)
            common, joined = common | other[0], other[1] + joined
        groups.append((common, joined))
    return groups
