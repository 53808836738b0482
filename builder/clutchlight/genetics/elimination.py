"""Plans a sum of products: an elimination order and the cliques that it makes, before any number is touched.

Computes   for a graph of variables (joined when a factor holds both) the cliques of an elimination order, joined into a forest with the
           running-intersection property, and what it will cost in table entries.
Symbols    size = number of states of a variable; the entries of a clique = the product of its sizes.
Order      greedy, twice: smallest new table first, and fewest new pairs first. Where both are dear, smallest new table first is tried
           again with its prices shaken a little, by fixed amounts. The plan with fewest entries in all is kept, ties by the order of
           trying, then by variable number. The plan is a value: it can be printed and costed before any work.
Cost       about (variables) x (clique size)^2.
Source     Lauritzen & Spiegelhalter 1988, J R Stat Soc B 50:157-224; greedy orders: Kjaerulff 1990 (technical report, from memory).

>>> plan = planned((2, 2, 2, 2), [(0, 1), (1, 2), (2, 3), (0, 3)])   # a ring of four
>>> plan.cliques, plan.entries
(((0, 1, 3), (1, 2, 3)), 16)
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from math import prod

DEAR = 1 << 16
"""Entries in all from which looking for a better order costs less than it saves."""

SHAKES = 16
"""How often shaken prices are tried; on generated collections twice as many save hardly more."""

Graph = dict[int, set[int]]
Cost = Callable[[int, Graph, Sequence[int]], int]


@dataclass(frozen=True, slots=True)
class Edge:
    """Two cliques (by position) and the variables that they share."""

    one: int
    other: int
    shared: tuple[int, ...]


@dataclass(frozen=True)
class Plan:
    """The cliques (sorted variables), the forest that joins them, and for each variable the cliques that hold it, smallest first.

    A set of variables joined by one factor lies wholly in at least one clique; its home is the smallest of them, so that whatever
    is asked of it costs least.
    """

    cliques: tuple[tuple[int, ...], ...]
    edges: tuple[Edge, ...]
    holders: dict[int, tuple[int, ...]]
    entries: int
    widest: int

    def home_of(self, scope: Sequence[int]) -> int:
        fewest = min((self.holders[variable] for variable in scope), key=len)
        return next(clique for clique in fewest if set(scope) <= set(self.cliques[clique]))


def planned(sizes: Sequence[int], scopes: Iterable[Sequence[int]]) -> Plan:
    """The cheaper of the plans of the greedy orders, for one or more connected sets of variables."""
    graph: Graph = {}
    for scope in scopes:
        for variable in scope:
            graph.setdefault(variable, set()).update(scope)
    for variable, near in graph.items():
        near.discard(variable)
    plans = [_joined(_order(graph, sizes, cost), sizes) for cost in (_new_entries, _new_pairs)]
    if min(plan.entries for plan in plans) >= DEAR:
        plans += [_joined(_order(graph, sizes, _shaken(turn)), sizes) for turn in range(SHAKES)]
    return min(plans, key=lambda plan: plan.entries)


def _shaken(turn: int) -> Cost:
    """The price of a new table raised by up to six tenths, by an amount of its own for each variable and turn."""
    return lambda variable, graph, sizes: (
        _new_entries(variable, graph, sizes) * (100 + (variable * 7919 + turn * 4093 + variable * turn * 271) % 61)
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


def _joined(order: list[tuple[int, tuple[int, ...]]], sizes: Sequence[int]) -> Plan:
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
    holders: dict[int, list[int]] = {}
    for clique in sorted(range(len(cliques)), key=entries.__getitem__):
        for variable in cliques[clique]:
            holders.setdefault(variable, []).append(clique)
    found = {variable: tuple(holding) for variable, holding in holders.items()}
    return Plan(cliques, edges, found, sum(entries), max(entries, default=0))
