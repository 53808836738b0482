"""Plans a sum of products: an elimination order and the cliques that it makes, before any number is touched.

Computes   for a graph of variables (joined when a factor holds both) the cliques of an elimination order, joined into a forest with the
           running-intersection property, and what it will cost in table entries.
Symbols    size = number of states of a variable; the entries of a clique = the product of its sizes.
Order      greedy, twice: smallest new table first, and fewest new pairs first. Where both are dear, they are tried again with their
           prices shaken a little, by fixed amounts. The plan with fewest entries in all is kept, ties by the order of
           trying, then by variable number. The plan is a value: it can be printed and costed before any work.
Cost       about (variables) x (clique size)^2.
Source     Lauritzen & Spiegelhalter 1988, J R Stat Soc B 50:157-224; greedy orders: Kjaerulff 1990 (technical report, from memory).

>>> plan = planned((2, 2, 2, 2), ((0, 1), (1, 2), (2, 3), (0, 3)))   # a ring of four
>>> plan.cliques, plan.entries
(((0, 1, 3), (1, 2, 3)), 16)
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from copy import copy
from functools import lru_cache, reduce
from heapq import heapify, heappop, heappush
from math import prod
from operator import add, itemgetter, mul

from msgspec import Struct

from clutchlight.genetics.terms import Weight, reduced, total
from clutchlight.model.traits import grouped

DEAR = 1 << 16
"""Entries in all from which looking for a better order costs less than it saves."""

SHAKES = 16
"""How often shaken prices are tried; on generated collections twice as many save hardly more."""

Graph = dict[int, set[int]]
Cost = Callable[[int, Graph, Sequence[int]], int]


class Edge(Struct, frozen=True):
    """Two cliques (by position) and the variables that they share."""

    one: int
    other: int
    shared: tuple[int, ...]


class EliminationPlan(Struct, frozen=True):
    """The cliques (sorted variables), the forest that joins them, and for each variable the cliques that hold it, smallest first.

    A set of variables joined by one factor lies wholly in at least one clique; its home is the smallest of them, so that whatever
    is asked of it costs least.
    """

    cliques: tuple[tuple[int, ...], ...]
    edges: tuple[Edge, ...]
    holders: Mapping[int, tuple[int, ...]]
    entries: int
    widest: int

    def home_of(self, scope: Sequence[int]) -> int:
        fewest = min((self.holders[variable] for variable in scope), key=len)
        return next(clique for clique in fewest if set(scope) <= set(self.cliques[clique]))


@lru_cache(maxsize=256)
def planned(sizes: tuple[int, ...], scopes: tuple[tuple[int, ...], ...]) -> EliminationPlan:
    """The cheaper of the plans of the greedy orders, for one or more connected sets of variables."""
    graph: Graph = {}
    for scope in scopes:
        for variable in scope:
            graph.setdefault(variable, set()).update(scope)
    for variable, near in graph.items():
        near.discard(variable)
    plans = [_joined(_order(graph, sizes, cost), sizes) for cost in (_new_entries, _new_pairs)]
    if min(plan.entries for plan in plans) >= DEAR:
        shaken = (_shaken(cost, turn) for turn in range(SHAKES) for cost in (_new_entries, _new_pairs))
        plans += [_joined(_order(graph, sizes, cost), sizes) for cost in shaken]
    return min(plans, key=lambda plan: plan.entries)


def _shaken(cost: Cost, turn: int) -> Cost:
    """A price raised by up to six tenths, by an amount of its own for each variable and turn."""
    return lambda variable, graph, sizes: (
        cost(variable, graph, sizes) * (100 + (variable * 7919 + turn * 4093 + variable * turn * 271) % 61)
    )


def _new_entries(variable: int, graph: Graph, sizes: Sequence[int]) -> int:
    return prod(sizes[other] for other in graph[variable]) * sizes[variable]


def _new_pairs(variable: int, graph: Graph, sizes: Sequence[int]) -> int:
    near = graph[variable]
    missing = len(near) * (len(near) - 1) - sum(len(near & graph[other]) for other in near)  # each pair twice
    return missing * 32 + len(near)


def _order(graph: Graph, sizes: Sequence[int], cost: Cost) -> list[tuple[int, tuple[int, ...]]]:
    """Variables as they go, each with its neighbours at that time."""
    left = {variable: set(near) for variable, near in graph.items()}
    price = {variable: cost(variable, left, sizes) for variable in left}
    heap = [(value, variable) for variable, value in price.items()]
    heapify(heap)
    order: list[tuple[int, tuple[int, ...]]] = []
    while heap:
        value, variable = heappop(heap)
        if variable not in left or price[variable] != value:
            continue
        near = tuple(sorted(left.pop(variable)))
        order.append((variable, near))
        for one in near:
            left[one].update(near)
            left[one].discard(one)
            left[one].discard(variable)
        for one in near:
            price[one] = cost(one, left, sizes)
            heappush(heap, (price[one], one))
    return order


def _joined(order: list[tuple[int, tuple[int, ...]]], sizes: Sequence[int]) -> EliminationPlan:
    """Cliques and edges of an order; a clique that lies wholly in the one before it becomes part of that one."""
    turn = {variable: index for index, (variable, _) in enumerate(order)}
    sets = [frozenset((variable, *near)) for variable, near in order]
    holder = list(range(len(order)))
    links: list[tuple[int, int, tuple[int, ...]]] = []
    for index, (_, near) in enumerate(order):
        if not near:
            continue
        above = min(turn[other] for other in near)
        here = holder[index]
        if holder[above] == above and sets[above] <= sets[here]:
            holder[above] = here
        else:
            links.append((here, above, near))
    kept = sorted(set(holder))
    position = {index: place for place, index in enumerate(kept)}
    cliques = tuple(tuple(sorted(sets[index])) for index in kept)
    edges = tuple(Edge(position[here], position[holder[above]], near) for here, above, near in links)
    entries = [prod(sizes[variable] for variable in clique) for clique in cliques]
    smallest_first = sorted(range(len(cliques)), key=entries.__getitem__)
    holders = grouped((variable, clique) for clique in smallest_first for variable in cliques[clique])
    return EliminationPlan(cliques, edges, holders, sum(entries), max(entries, default=0))


Table = list[Weight]

PartialProduct = tuple[int, Sequence[Weight] | None]
"""The turn at which a product last changed, and the product; None: nothing to multiply."""

Picker = Callable[[Sequence[Weight]], Sequence[Weight]]
"""Takes entries of a table by position, in one step outside the interpreter's loop."""

LIMIT = 1 << 20
"""The most entries that one table may have; beyond it figures are not computed."""


class Factor(Struct, frozen=True):
    """A table over some variables; None: it says nothing."""

    scope: tuple[int, ...]
    table: Table | None


class _Belief(Struct, frozen=True):
    """A table read off, and the turn at which it was last known to hold."""

    turn: int
    table: Table


class TooWideError(Exception):
    """A table would pass the limit; `variables` are those of the widest clique."""

    def __init__(self, variables: tuple[int, ...], entries: int) -> None:
        self.variables = variables
        self.entries = entries
        super().__init__(f"{entries} table entries")


_STANDING = ("tables", "_messages", "_current", "_made", "_altered", "_altered_own", "_own", "_beliefs")
"""What of a tree changes with its factors, but for the turn: that of a change is never used twice."""


class Tree:
    """One connected network. Factors are numbered as given. Raises TooWideError when a table would pass the limit.

    A turn counts the changes of factors. What a factor's change leaves as it was, up to a factor, is not worked out again beyond: a
    message is made anew only when something that goes into it has changed since.
    """

    def __init__(self, sizes: Sequence[int], factors: Sequence[Factor], limit: int = LIMIT) -> None:
        self.sizes = tuple(sizes)
        self.plan: EliminationPlan = planned(self.sizes, tuple(factor.scope for factor in factors))
        if self.plan.widest > limit:
            widest = max(self.plan.cliques, key=lambda clique: prod(self.sizes[variable] for variable in clique))
            raise TooWideError(widest, self.plan.widest)
        self.tables: list[Table | None] = [factor.table for factor in factors]
        self.scopes = tuple(factor.scope for factor in factors)
        self.place = tuple(self.plan.home_of(factor.scope) for factor in factors)
        self._links: list[list[tuple[int, int]]] = [[] for _ in self.plan.cliques]
        for number, edge in enumerate(self.plan.edges):
            self._links[edge.one].append((edge.other, 2 * number))
            self._links[edge.other].append((edge.one, 2 * number + 1))
        self._messages: list[Table | None] = [None] * (2 * len(self.plan.edges))
        self._current = [False] * (2 * len(self.plan.edges))
        self._turn = 1
        self._made = [0] * (2 * len(self.plan.edges))
        self._altered = [0] * (2 * len(self.plan.edges))
        self._altered_own = [1] * len(self.plan.cliques)
        self._own: list[Sequence[Weight] | None] = [None] * len(self.plan.cliques)
        self._first_parts: list[list[PartialProduct]] = [[] for _ in self.plan.cliques]
        self._last_parts: list[list[PartialProduct]] = [[] for _ in self.plan.cliques]
        self._beliefs: dict[tuple[int, ...], _Belief] = {}
        self._of_clique: list[list[int]] = [[] for _ in self.plan.cliques]
        for number, clique in enumerate(self.place):
            self._of_clique[clique].append(number)

    def _positions(self, clique: int, scope: tuple[int, ...]) -> tuple[tuple[int, ...], tuple[int, ...]]:
        """The sizes of a clique's variables, and where in it those of `scope` stand."""
        variables = self.plan.cliques[clique]
        return tuple(map(self.sizes.__getitem__, variables)), tuple(map(variables.index, scope))

    def change(self, number: int, table: Table | None) -> None:
        """Gives a factor another table. Messages that can depend on it are looked at again when they are next needed."""
        if self.tables[number] == table:
            return
        self.tables[number] = table
        clique = self.place[number]
        self._own[clique] = None
        self._turn += 1
        self._altered_own[clique] = self._turn
        waiting = [(clique, -1)]
        while waiting:
            clique, came = waiting.pop()
            for other, message in self._links[clique]:
                if other != came and self._current[message]:
                    self._current[message] = False
                    waiting.append((other, clique))

    @contextmanager
    def supposing(self, tables: Mapping[int, Table | None]) -> Iterator[None]:
        """Within it these factors have other tables; afterwards all is as it was, and nothing is worked out again."""
        before = {name: copy(getattr(self, name)) for name in _STANDING}
        for number, table in tables.items():
            self.change(number, table)
        try:
            yield
        finally:
            vars(self).update(before)

    def belief(self, scope: tuple[int, ...]) -> Table:
        """The weight of every combination of the variables in `scope`, which must be a factor's or a single variable.

        While it stays the same, the same list is given.
        """
        known = self._beliefs.get(scope)
        if known is not None and known.turn == self._turn:
            return known.table
        clique = self.plan.home_of(scope)
        self._bring_up_to_date(clique)
        if known is not None and self._last_change(clique, -1) <= known.turn:
            table = known.table
        else:
            table = self._summed(self._product(clique, -1), clique, scope)
        self._beliefs[scope] = _Belief(self._turn, table)
        return table

    def _last_change(self, clique: int, without: int) -> int:
        """The turn of the last change in a clique's factors and in the messages into it from all neighbours but one."""
        into = [self._altered[message ^ 1] for other, message in self._links[clique] if other != without]
        return max(self._altered_own[clique], *into) if into else self._altered_own[clique]

    def _bring_up_to_date(self, clique: int) -> None:
        order: list[tuple[int, int, int]] = []
        waiting = [(clique, -1)]
        while waiting:
            here, towards = waiting.pop()
            for other, message in self._links[here]:
                if other != towards and not self._current[message ^ 1]:
                    order.append((other, here, message ^ 1))
                    waiting.append((other, here))
        for sender, receiver, message in reversed(order):
            if self._last_change(sender, receiver) > self._made[message]:
                self._send(sender, receiver, message)
            self._made[message] = self._turn
            self._current[message] = True

    def _send(self, sender: int, receiver: int, message: int) -> None:
        """Makes a message; one that comes out as it was, up to a factor, changes nothing beyond."""
        shared = self.plan.edges[message >> 1].shared
        found = self._summed(self._product(sender, receiver), sender, shared)
        first = found[0]
        plain = isinstance(first, int) and first and all(weight == first for weight in found)
        table = None if plain else reduced(found)
        if table != self._messages[message]:
            self._messages[message] = table
            self._altered[message] = self._turn

    def _product(self, clique: int, without: int) -> Sequence[Weight]:
        """The product of a clique's factors and of the messages into it from all neighbours but one."""
        links = self._links[clique]
        place = next((index for index, (other, _) in enumerate(links) if other == without), len(links))
        own = self._altered_own[clique], self._own_product(clique)
        first = self._partial(clique, links[:place], self._first_parts[clique], own)
        last = self._partial(clique, links[:place:-1], self._last_parts[clique], (0, None))
        parts = [part for part in (first, last) if part is not None]
        if not parts:
            return [1] * prod(self._positions(clique, ())[0])
        return parts[0] if len(parts) == 1 else list(map(mul, *parts))

    def _partial(
        self, clique: int, links: Sequence[tuple[int, int]], kept: list[PartialProduct], start: PartialProduct
    ) -> Sequence[Weight] | None:
        """The product of a start and of the messages from these neighbours; each step is kept with the turn of its last change."""
        turn, product = start
        for step, (_, message) in enumerate(links):
            turn = max(turn, self._altered[message ^ 1])
            if step < len(kept) and kept[step][0] == turn:
                product = kept[step][1]
                continue
            if (sent := self._messages[message ^ 1]) is not None:
                spread = self._spread(clique, self.plan.edges[message >> 1].shared, sent)
                product = spread if product is None else list(map(mul, product, spread))
            kept[step:] = [(turn, product)]
        return product

    def _own_product(self, clique: int) -> Sequence[Weight] | None:
        if self._own[clique] is None:
            told = ((self.scopes[number], self.tables[number]) for number in self._of_clique[clique])
            spreads = [self._spread(clique, scope, table) for scope, table in told if table is not None]
            if spreads:
                self._own[clique] = reduce(lambda some, more: list(map(mul, some, more)), spreads)
        return self._own[clique]

    def _spread(self, clique: int, scope: tuple[int, ...], table: Table) -> Sequence[Weight]:
        """A table over `scope` as one over a clique."""
        return spreading(*self._positions(clique, scope))(table)

    def _summed(self, weights: Sequence[Weight], clique: int, scope: tuple[int, ...]) -> Table:
        pickers, across = _summing(*self._positions(clique, scope))
        rows: Iterator[Iterable[Weight]] = (pick(weights) for pick in pickers)
        return list(reduce(lambda some, more: map(add, some, more), rows)) if across else [total(row) for row in rows]

    @property
    def total(self) -> Weight:
        """The weight of all evidence together, up to a positive factor: 0 when nothing fits."""
        return total(self.belief(self.plan.cliques[0][:1])) if self.plan.cliques else 1


def _picker(entries: Sequence[int]) -> Picker:
    if len(entries) > 1:
        return itemgetter(*entries)
    return lambda table: [table[entry] for entry in entries]


@lru_cache(maxsize=4096)
def spreading(sizes: tuple[int, ...], positions: tuple[int, ...]) -> Picker:
    """For each entry of a clique of these sizes, takes its entry in a table over the variables at `positions`."""
    strides = dict(zip(positions, _strides([sizes[position] for position in positions]), strict=True))
    return _picker(_entries(sizes, [strides.get(position, 0) for position in range(len(sizes))]))


@lru_cache(maxsize=4096)
def _summing(sizes: tuple[int, ...], positions: tuple[int, ...]) -> tuple[list[Picker], bool]:
    """For each entry of a table over the variables at `positions`, takes the entries of a clique that are summed in it; or, where these
    are fewer, for each combination of the other variables one entry for every entry of that table (then true).
    """
    strides = _strides(sizes)
    others = [position for position in range(len(sizes)) if position not in positions]
    kept, summed = (_entries([sizes[at] for at in some], [strides[at] for at in some]) for some in (positions, others))
    across = len(summed) < len(kept)
    starts, steps = (summed, kept) if across else (kept, summed)
    return [_picker([start + step for step in steps]) for start in starts], across


def _strides(sizes: Sequence[int]) -> list[int]:
    """How many entries of a table of these sizes lie between two states of each variable."""
    return [prod(sizes[position + 1 :]) for position in range(len(sizes))]


def _entries(sizes: Sequence[int], strides: Sequence[int]) -> list[int]:
    """For each combination of variables of these sizes its entry in a table in which they have these strides."""
    found = [0]
    for size, stride in zip(sizes, strides, strict=True):
        found = [start + value * stride for start in found for value in range(size)]
    return found
