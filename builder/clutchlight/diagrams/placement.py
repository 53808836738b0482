"""The place of every group along its level, from where the layout engine put its members.

The order comes from `ordering`. For each level the places x are found that keep the order and all distances and make the
sum of w (x - wanted)^2 least (isotonic regression by pooling adjacent violators; Barlow et al. 1972, *Statistical Inference
under Order Restrictions*, from memory). The engine's own places are `wanted` first; then a few sweeps, up and down, pull
parents over their young and young under their parents.

Invariant: no two groups of one level come nearer than `AIR`. Cost: for each sweep linear in the groups.
"""

import math
from collections.abc import Mapping, Sequence

from clutchlight.diagrams.arrangement import Arrangement, Group, Item, Via, Wire
from clutchlight.diagrams.engine import Positions
from clutchlight.diagrams.links import Links, links_of
from clutchlight.diagrams.ordering import in_order

AIR = 8
SWEEPS = 4
BEND = 24  # a line that misses by no more is straightened at the end
BY_WIRE = 0.25  # the weight of a parent's wire, beside 1 for young
UNPULLED = 0.05  # the weight of a group that nothing pulls: it makes room for the others

Pull = tuple[float, float]
"""Where a group wants to begin, and how much."""


def engine_order(arrangement: Arrangement, names: Mapping[Item, str], positions: Positions) -> list[list[int]]:
    """The groups of each level from left to right."""
    return in_order(arrangement, _as_laid_out(arrangement, names, positions))


def _as_laid_out(arrangement: Arrangement, names: Mapping[Item, str], positions: Positions) -> dict[int, float]:
    """Where each group would begin by the engine's places of its members."""
    return {
        number: sum(
            positions.points[names[item]][0] - offset for item, offset in zip(group.items, group.offsets, strict=True)
        )
        / len(group.items)
        for number, group in enumerate(arrangement.groups)
    }


def place(
    arrangement: Arrangement, rows: Sequence[Sequence[int]], names: Mapping[Item, str], positions: Positions
) -> dict[Item, int]:
    """The x of every animal, mating and via, in whole points; the leftmost group begins at 0."""
    groups = arrangement.groups
    begin = _as_laid_out(arrangement, names, positions)
    for row in rows:
        begin |= _spread(row, groups, {number: (begin[number], 1.0) for number in row})
    links = links_of(arrangement)
    for sweep in range(2 * SWEEPS):
        downwards = sweep % 2 == 1
        for row in rows if downwards else reversed(rows):
            begin |= _spread(row, groups, {number: _pull(number, groups, begin, links, downwards) for number in row})
    _straighten(rows, groups, begin, links)
    leftmost = min(begin.values())
    return {
        item: math.floor(round(begin[number] - leftmost, 6) + 0.5) + offset
        for number, group in enumerate(groups)
        for item, offset in zip(group.items, group.offsets, strict=True)
    }


def _straighten(rows: Sequence[Sequence[int]], groups: Sequence[Group], begin: dict[int, float], links: Links) -> None:
    """Take out the small bends: move a group by itself where it has the room and no straight line of its own to lose."""
    for downwards in (False, True):
        for row in rows if downwards else reversed(rows):
            for place, number in enumerate(row):
                bends = _bends(number, groups, begin, links, downwards)
                held = _bends(number, groups, begin, links, not downwards)
                if len(bends) != 1 or abs(bends[0]) > BEND or any(abs(bend) < 0.5 for bend in held):
                    continue
                lowest = begin[row[place - 1]] + groups[row[place - 1]].width + AIR if place else -math.inf
                highest = begin[row[place + 1]] - AIR - groups[number].width if place + 1 < len(row) else math.inf
                if lowest <= begin[number] + bends[0] <= highest:
                    begin[number] += bends[0]


def _bends(
    number: int, groups: Sequence[Group], begin: Mapping[int, float], links: Links, downwards: bool
) -> list[float]:
    """By how much the group misses each line of descent above (downwards) or below it."""
    bends = []
    for item in groups[number].items:
        if downwards and isinstance(item, str) and item in links.parents:
            mating = links.parents[item]
            bends.append(links.x(mating, begin) - _middle(links.sibship[mating], begin, links))
        elif not downwards and isinstance(item, int):
            bends.append(_middle(links.sibship[item], begin, links) - links.x(item, begin))
    return bends


def leanings(arrangement: Arrangement, x: Mapping[Item, int]) -> dict[Wire, int]:
    """The side of its parent on which each wire has the places that it goes to."""
    goals: dict[Wire, list[int]] = {wire: [] for wire in arrangement.exits}
    for mating in arrangement.matings:
        for arrival in mating.arrivals:
            goals[arrival.wire].append(x[mating.number] + arrival.offset)
    return {wire: 1 if sum(places) >= len(places) * x[wire.parent] else -1 for wire, places in goals.items()}


def _pull(number: int, groups: Sequence[Group], begin: Mapping[int, float], links: Links, downwards: bool) -> Pull:
    """Where the group wants to begin, given the level above (downwards) or below it, and how much it wants to."""
    shifts = [(bend, 1.0) for bend in _bends(number, groups, begin, links, downwards)]
    for item in groups[number].items:
        here = links.x(item, begin)
        for parent, arriving, leaving in links.beside.get(item, ()) if isinstance(item, int) else ():
            shifts.append((links.x(parent, begin) + leaving - here - arriving, BY_WIRE))
        if downwards and isinstance(item, Via):
            source, arriving, leaving = links.above[item]
            shifts.append((links.x(source, begin) + leaving - here - arriving, 1.0))
        if not downwards and not isinstance(item, int):
            weight = 1.0 if isinstance(item, Via) else BY_WIRE
            for goal, leaving, arriving in links.below.get(item, ()):
                shifts.append((links.x(goal, begin) + arriving - here - leaving, weight))
    total = sum(weight for _, weight in shifts)
    if not shifts:
        return begin[number], UNPULLED
    return begin[number] + sum(shift * weight for shift, weight in shifts) / total, total


def _middle(young: Sequence[str], begin: Mapping[int, float], links: Links) -> float:
    places = [links.x(animal, begin) for animal in young]
    return (min(places) + max(places)) / 2


def _spread(row: Sequence[int], groups: Sequence[Group], pulls: dict[int, Pull]) -> dict[int, float]:
    """The least-squares places that keep the row's order and distances."""
    blocks: list[tuple[float, float, int]] = []  # wanted place of a block's first group, weight, members
    shift = 0
    shifts = []
    for number in row:
        shifts.append(shift)
        wanted, weight = pulls[number]
        block = (wanted - shift, weight, 1)
        while blocks and blocks[-1][0] > block[0]:
            earlier = blocks.pop()
            total = earlier[1] + block[1]
            block = ((earlier[0] * earlier[1] + block[0] * block[1]) / total, total, earlier[2] + block[2])
        blocks.append(block)
        shift += groups[number].width + AIR
    places = [place for place, _, members in blocks for _ in range(members)]
    return {number: place + moved for number, place, moved in zip(row, places, shifts, strict=True)}
