"""The order of the groups of each level: the layout engine's, improved.

The engine does not know that a group stands together, nor which line leaves it where. From its order we go on: groups are sorted, level
by level, downwards and upwards, by the mean place of what they hang on (Sugiyama, Tagawa & Toda 1981, *IEEE Trans SMC*
11:109-125, from memory), then neighbours change places while that saves crossings. The best order seen is kept: fewest crossings
between neighbouring levels, then shortest lines within a level.

Always: young of the same parents stand by birth, unless the groups that they stand in make that impossible. Cost: each round is
quadratic in the lines of a channel.
"""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from clutchlight.diagrams.arrangement import Arrangement, Item, Via

ROUNDS = 6
MANY = 400  # lines in a drawing beyond which only the engine's order is used: it would take seconds

Rows = list[list[int]]


@dataclass(frozen=True, slots=True)
class _Net:
    """The arrangement as a graph of groups."""

    level: tuple[int, ...]
    items: tuple[tuple[Item, ...], ...]
    links: tuple[tuple[tuple[int, Item, int, Item], ...], ...]
    """For each channel: upper group and item, lower group and item."""
    beside: tuple[tuple[tuple[int, int, int], ...], ...]
    """For each level, the groups that a wire joins, the parent's first, and the side (-1 left) on which it arrives."""
    before: Mapping[int, tuple[int, ...]]
    """Groups that must stand to the left of a group."""


def in_order(arrangement: Arrangement, begin: Mapping[int, float]) -> Rows:
    """The groups of each level from left to right; `begin` is where the engine would begin each."""
    net = _net(arrangement)
    depth = 1 + max(net.level)
    middles = {number: begin[number] + group.width / 2 for number, group in enumerate(arrangement.groups)}
    rows = [_lawful([number for number in begin if net.level[number] == level], middles, net) for level in range(depth)]
    if sum(len(channel) for channel in net.links) > MANY:
        return rows
    best, least = rows, _cost(rows, net)
    for _ in range(ROUNDS):
        for level in range(1, depth):
            rows = _sorted_by(rows, level, net, upwards=False)
        rows = _exchanged(rows, net)
        for level in range(depth - 2, -1, -1):
            rows = _sorted_by(rows, level, net, upwards=True)
        rows = _exchanged(rows, net)
        cost = _cost(rows, net)
        if cost < least:
            best, least = rows, cost
        if least == (0, 0):
            break
    return best


def _net(arrangement: Arrangement) -> _Net:
    groups = arrangement.groups
    seat = {item: number for number, group in enumerate(groups) for item in group.items}
    links: list[list[tuple[int, Item, int, Item]]] = [[] for _ in range(1 + max(group.level for group in groups))]
    beside: list[list[tuple[int, int, int]]] = [[] for _ in links]

    def link(upper: Item, lower: Item) -> None:
        links[groups[seat[upper]].level].append((seat[upper], upper, seat[lower], lower))

    for mating in arrangement.matings:
        for young in mating.family.young:
            link(mating.number, young)
        for arrival in mating.arrivals:
            source: Item = Via(arrival.wire, mating.level - 1)
            if not arrival.from_above:
                side = 1 if arrival.offset > 0 else -1
                beside[mating.level].append((seat[arrival.wire.parent], seat[mating.number], side))
            else:
                link(source if source in seat else arrival.wire.parent, mating.number)
    for via in arrangement.vias():
        before: Item = Via(via.wire, via.level - 1)
        link(before if before in seat else via.wire.parent, via)
    return _Net(
        tuple(group.level for group in groups),
        tuple(group.items for group in groups),
        tuple(tuple(channel) for channel in links),
        tuple(tuple(level) for level in beside),
        _by_birth(arrangement, seat),
    )


def _by_birth(arrangement: Arrangement, seat: Mapping[Item, int]) -> dict[int, tuple[int, ...]]:
    before: dict[int, list[int]] = {number: [] for number in range(len(arrangement.groups))}
    for mating in arrangement.matings:
        for elder, younger in pairwise(mating.family.young):
            left, right = seat[elder], seat[younger]
            if left != right and left not in before[right] and not _reaches(before, left, right):
                before[right].append(left)
    return {number: tuple(others) for number, others in before.items()}


def _reaches(before: Mapping[int, Sequence[int]], start: int, goal: int) -> bool:
    ready, seen = [start], {start}
    while ready:
        here = ready.pop()
        if here == goal:
            return True
        fresh = [other for other in before[here] if other not in seen]
        seen.update(fresh)
        ready += fresh
    return False


def _lawful(row: Sequence[int], wish: Mapping[int, float], net: _Net) -> list[int]:
    """`row` by `wish`, as far as births allow."""
    waiting = sorted(row, key=lambda number: (wish[number], number))
    placed: list[int] = []
    while waiting:
        number = next(number for number in waiting if all(other in placed for other in net.before[number]))
        waiting.remove(number)
        placed.append(number)
    return placed


def _seats(row: Sequence[int], net: _Net) -> dict[Item, int]:
    """The place of every item of a level, counted from the left."""
    return {item: place for place, item in enumerate(item for number in row for item in net.items[number])}


def _sorted_by(rows: Rows, level: int, net: _Net, *, upwards: bool) -> Rows:
    """The groups of `level` sorted by the mean place of what they hang on: in the level below (upwards) or above."""
    other = _seats(rows[level + 1 if upwards else level - 1], net)
    here = _seats(rows[level], net)
    scale = len(other) / max(len(here), 1)
    pulls: dict[int, list[float]] = {number: [] for number in rows[level]}
    for upper, high, lower, low in net.links[level if upwards else level - 1]:
        if upwards:
            pulls[upper].append(other[low] - scale * (here[high] - here[net.items[upper][0]]) * 0.01)
        else:
            pulls[lower].append(other[high] - scale * (here[low] - here[net.items[lower][0]]) * 0.01)
    wish = {
        number: sum(pull) / len(pull) if pull else scale * here[net.items[number][0]] for number, pull in pulls.items()
    }
    return [*rows[:level], _lawful(rows[level], wish, net), *rows[level + 1 :]]


def _exchanged(rows: Rows, net: _Net) -> Rows:
    """Neighbours change places as long as that lowers the cost."""
    rows = [list(row) for row in rows]
    places = [_seats(row, net) for row in rows]
    better = True
    while better:
        better = False
        for level, row in enumerate(rows):
            least = _cost_near(level, row, places, net)
            for place in range(len(row) - 1):
                left, right = row[place], row[place + 1]
                if left in net.before[right]:
                    continue
                kept = places[level]
                row[place], row[place + 1] = right, left
                places[level] = _seats(row, net)
                cost = _cost_near(level, row, places, net)
                if cost < least:
                    least, better = cost, True
                else:
                    row[place], row[place + 1] = left, right
                    places[level] = kept
    return rows


Cost = tuple[int, int]
"""Crossings, and the groups that wires within a level must pass."""


def _cost(rows: Rows, net: _Net) -> Cost:
    places = [_seats(row, net) for row in rows]
    within = [_within(level, row, net) for level, row in enumerate(rows)]
    crossings = sum(_crossings(channel, places, net) for channel in range(len(rows) - 1))
    return crossings + sum(crossed for crossed, _ in within), sum(passed for _, passed in within)


def _cost_near(level: int, row: Sequence[int], places: Sequence[Mapping[Item, int]], net: _Net) -> Cost:
    """The part of the cost that the order of one level can change."""
    crossed, passed = _within(level, row, net)
    channels = [channel for channel in (level - 1, level) if 0 <= channel < len(places) - 1]
    return crossed + sum(_crossings(channel, places, net) for channel in channels), passed


def _crossings(channel: int, places: Sequence[Mapping[Item, int]], net: _Net) -> int:
    """How many pairs of lines of a channel cross: pairs whose lower ends stand the other way round than the upper ones."""
    upper, lower = places[channel], places[channel + 1]
    ends = sorted((upper[high], lower[low]) for _, high, _, low in net.links[channel])
    count = 0
    seen: list[int] = []
    for _, low in ends:
        place = bisect_right(seen, low)
        count += len(seen) - place
        seen.insert(place, low)
    return count


def _within(level: int, row: Sequence[int], net: _Net) -> Cost:
    """Wires within a level: those that must cross the line to the young, and the groups passed by all."""
    wires = net.beside[level]
    if not wires:
        return 0, 0
    index = {number: place for place, number in enumerate(row)}
    steps = [(index[parent] - index[mating], side) for parent, mating, side in wires]
    return sum(step * side < 0 for step, side in steps), sum(abs(step) for step, _ in steps)
