"""Graphviz decides in which order the groups of a level stand, and where along it.

Each group is one node: a record with a port at every column from which a line leaves it or at which one arrives. The fields of a record
are as wide as their text, which nobody sees; in this size one letter is one point. Levels are ranks, and between two of them is a rank
in which lines turn that join groups of one level. Heavy edges are kept straight. Young stand by birth from left to right, unless the
groups that they stand in make that impossible.

Tried besides, and worse: a node for each animal, in clusters; `ordering=out`; a node for each sibship; moving groups afterwards.
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise

from clutchlight.drawing.arrangement import Arrangement, Item, MateGroup, Via, Wire, arrange
from clutchlight.drawing.graphviz_engine import rendered
from clutchlight.drawing.pedigree import PedigreeChart

AIR = 8  # points between two groups
DESCENT, PASSING, MATES = 8, 8, 2  # how straight a line shall be: to young, past a level, from a parent to a mating

Port = tuple[int, int]
"""A column of a group: the group's number, and the points from its left edge."""
Edge = tuple[Port, Port | str, int]
"""From a port down to another one, or to the place of that name where lines turn; and its weight."""


def lay_out(pedigree: PedigreeChart) -> tuple[Arrangement, Mapping[Item, int]]:
    """Who stands beside whom, and the x of every animal, mating and via in whole points, from 0 on.

    Laid out twice where lines leave their parents for matings elsewhere: on which side best is known only once it is known where to.
    """
    arrangement = arrange(pedigree)
    x = _placed(arrangement)
    if arrangement.exits:
        arrangement = arrange(pedigree, x)
        x = _placed(arrangement)
    return arrangement, x


def _placed(arrangement: Arrangement) -> dict[Item, int]:
    begins = places(dot_of(arrangement), tuple(group.width for group in arrangement.groups))
    return {
        item: begin + offset
        for begin, group in zip(begins, arrangement.groups, strict=True)
        for item, offset in zip(group.items, group.offsets, strict=True)
    }


@lru_cache(maxsize=512)
def places(dot: str, widths: tuple[int, ...]) -> tuple[int, ...]:
    """Where each of the nodes 0, 1, 2 ... begins, in whole points, the leftmost at 0; `widths` is what they should measure.

    Kept, since clutch mates are laid out alike.
    """
    nodes = {node["name"]: node for node in json.loads(rendered(dot)).get("objects", ()) if "pos" in node}
    begins = []
    for number, width in enumerate(widths):
        node = nodes[str(number)]
        if abs(72 * float(node["width"]) - width) >= 0.5:
            raise ValueError(f"a group of {width} points was laid out as one of {72 * float(node['width'])}")
        begins.append(round(float(node["pos"].split(",")[0]) - width / 2))
    return tuple(begin - min(begins) for begin in begins)


def dot_of(arrangement: Arrangement) -> str:
    """What Graphviz is asked."""
    groups = arrangement.groups
    ports = {
        item: (number, offset)
        for number, group in enumerate(groups)
        for item, offset in zip(group.items, group.offsets, strict=True)
    }
    edges = tuple(_edges(arrangement, ports))
    births = _births(arrangement, ports)
    columns: list[set[int]] = [set() for _ in groups]
    for upper, lower, _ in edges:
        for number, offset in (upper, lower) if isinstance(lower, tuple) else (upper,):
            columns[number].add(offset)
    lines = [
        f'digraph {{ graph [splines=false nodesep="{AIR / 72:.4f}"]',
        'node [shape=record margin=0 fontname=Courier fontsize="1.66666667" width="0.01" height="0.01"]',
    ]
    for level in range(1 + max(group.level for group in groups)):
        row = [number for number, group in enumerate(groups) if group.level == level]
        lines += [
            "{ rank=same",
            *(f'{number} [label="{_fields(columns[number], groups[number])}"]' for number in row),
            "}",
        ]
        # What stands on the rank below comes right after the level, or its places begin too far to one side.
        turns = [low for (number, _), low, _ in edges if isinstance(low, str) and groups[number].level == level]
        lines += [f"{turn} [shape=point]" for turn in dict.fromkeys(turns)]
        lines += _ends(row, births, {number for (number, _), _, _ in edges})
    for upper, lower, weight in edges:
        below = f"{lower} [" if isinstance(lower, str) else f"{_named(lower)} [minlen=2 "
        lines.append(f"{_named(upper)} -> {below}weight={weight}]")
    return "\n".join([*lines, *(f"{left} -> {right} [style=invis]" for left, right in births), "}"])


def _fields(columns: set[int], group: MateGroup) -> str:
    """A record as wide as the group, with a field of two points about each column and fillers between them."""
    fields, end = [], 0
    for column in sorted(columns):
        fields += ["x" * (column - 1 - end), f"<{column}>xx"]
        end = column + 1
    return "|".join(field for field in [*fields, "x" * (group.width - end)] if field)


def _named(port: Port) -> str:
    return f"{port[0]}:{port[1]}:s"


def _ends(row: Sequence[int], births: Sequence[tuple[int, int]], above: set[int]) -> list[str]:
    """Something to hang on each group whose order is given and that has nothing below: without it one order in a hundred is not kept."""
    ordered = {number for pair in births for number in pair}
    return [
        f"end{number} [shape=point style=invis] {number} -> end{number} [style=invis]"
        for number in row
        if number in ordered and number not in above
    ]


def _edges(arrangement: Arrangement, ports: Mapping[Item, Port]) -> Iterator[Edge]:
    def column(item: Item, offset: int) -> Port:
        return ports[item][0], ports[item][1] + offset

    def source(wire: Wire, level: int) -> Port:
        """Where a wire that arrives on a level comes from: its column on the level above, if it passed that, else its parent."""
        passed = Via(wire, level - 1)
        return ports[passed] if passed in ports else column(wire.parent, arrangement.exits[wire].offset)

    turns = {wire: f"turn{number}" for number, wire in enumerate(arrangement.exits)}
    for mating in arrangement.matings:
        yield from ((ports[mating.number], ports[young], DESCENT) for young in mating.family.young)
    for via in arrangement.vias():
        yield source(via.wire, via.level), ports[via], PASSING
    for mating in arrangement.matings:
        for arrival in mating.arrivals:
            goal = column(mating.number, arrival.offset)
            if arrival.from_above:
                yield source(arrival.wire, mating.level), goal, MATES
            else:
                leaving = column(arrival.wire.parent, arrangement.exits[arrival.wire].offset)
                yield from ((port, turns[arrival.wire], MATES) for port in (leaving, goal))


def _births(arrangement: Arrangement, ports: Mapping[Item, Port]) -> tuple[tuple[int, int], ...]:
    """The pairs of groups of which the first must stand to the left of the second, but for those that would close a ring."""
    found: dict[tuple[int, int], None] = {}
    for mating in arrangement.matings:
        for elder, younger in pairwise(mating.family.young):
            pair = ports[elder][0], ports[younger][0]
            if pair[0] != pair[1] and pair not in found and not _closes_a_ring(found, pair):
                found[pair] = None
    return tuple(found)


def _closes_a_ring(pairs: Mapping[tuple[int, int], None], last: tuple[int, int]) -> bool:
    order: TopologicalSorter[int] = TopologicalSorter()
    for left, right in (*pairs, last):
        order.add(right, left)
    try:
        order.prepare()
    except CycleError:
        return True
    return False
