"""A pedigree as DOT: what the layout engine is asked.

Nodes have a fixed size and no label, so that no font is measured. One node for each animal (named by its id when that is a plain
word), a small one for each mating and for each level that a line passes. Levels are given (rank=same); the engine finds
the order and the places along a level. Mates that stand side by side, and young by birth, are tied left to right.
"""

import re
from itertools import pairwise

import graphviz

from clutchlight.diagrams.arrangement import HALF_CELL, VIA_HALF, Arrangement, Item, arrange
from clutchlight.diagrams.outline import outline
from clutchlight.diagrams.pedigree import Pedigree, Sex

POINTS_PER_INCH = 72
SYMBOL = 40  # the side of a square, the diameter of a circle, in points
SHAPES: dict[Sex, str] = {"male": "box", "female": "ellipse", "unknown": "diamond"}
_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")


def node_names(pedigree: Pedigree, arrangement: Arrangement) -> dict[Item, str]:
    """The DOT name of everything that stands on a level."""
    names: dict[Item, str] = {}
    for number, animal in enumerate(pedigree.by_id()):
        names[animal] = animal if _PLAIN.fullmatch(animal) else f"(animal {number + 1})"
    for group in arrangement.groups:
        for item in group.items:
            if isinstance(item, int):
                names[item] = f"(mating {item + 1})"
            elif not isinstance(item, str):
                kinds = ("possible " if item.wire.doubt else "") + ("related " if item.wire.related else "")
                names[item] = f"(level {item.level} passed by {kinds}{names[item.wire.parent]})"
    return names


def to_dot(pedigree: Pedigree) -> str:
    """What the engine is asked about `pedigree`: the DOT of its outline; the same for any order of animals and families."""
    shape, _ = outline(pedigree)
    return dot_of(shape, arrange(shape))


def dot_of(pedigree: Pedigree, arrangement: Arrangement) -> str:
    """The DOT of a pedigree that is arranged already."""
    names = node_names(pedigree, arrangement)
    known = pedigree.by_id()
    graph = graphviz.Digraph(
        "pedigree",
        graph_attr={"newrank": "true", "nodesep": _inches(8), "ranksep": _inches(60)},
        node_attr={"label": "", "fixedsize": "true", "shape": "box"},
        edge_attr={"arrowhead": "none"},
    )
    for level in range(max(arrangement.level.values()) + 1):
        with graph.subgraph() as row:
            row.attr(rank="same")
            for group in arrangement.groups:
                if group.level != level:
                    continue
                for item in group.items:
                    if isinstance(item, str):
                        animal = known[item]
                        row.node(
                            names[item],
                            shape=SHAPES[animal.sex],
                            width=_inches(2 * HALF_CELL),
                            height=_inches(SYMBOL),
                        )
                    else:
                        width = 4 if isinstance(item, int) else 2 * VIA_HALF
                        row.node(names[item], shape="point", width=_inches(width), height=_inches(4))
    for number, group in enumerate(arrangement.groups):
        if len(group.items) > 1:
            with graph.subgraph(name=f"cluster_{number + 1}") as together:
                for left, right in pairwise(group.items):
                    together.edge(names[left], names[right], weight="100")
    _wire_edges(graph, arrangement, names)
    for mating in arrangement.matings:
        for young in mating.family.young:
            graph.edge(names[mating.number], names[young], weight="4")
        for elder, younger in pairwise(mating.family.young):
            graph.edge(names[elder], names[younger], style="invis", weight="2")
    return str(graph.source)


def _wire_edges(graph: graphviz.Digraph, arrangement: Arrangement, names: dict[Item, str]) -> None:
    vias = {item for group in arrangement.groups for item in group.items if not isinstance(item, (str, int))}
    for via in sorted(vias, key=lambda via: (via.level, names[via])):
        above = next(
            (names[other] for other in vias if other.wire == via.wire and other.level == via.level - 1),
            names[via.wire.parent],
        )
        graph.edge(above, names[via], style=_style(via.wire.doubt))
    for mating in arrangement.matings:
        for arrival in mating.arrivals:
            passed = [via for via in vias if via.wire == arrival.wire and via.level == mating.level - 1]
            source = names[passed[0]] if passed and arrival.from_above else names[arrival.wire.parent]
            graph.edge(source, names[mating.number], style=_style(arrival.wire.doubt))


def _style(doubt: bool) -> str:
    return "dashed" if doubt else "solid"


def _inches(points: int) -> str:
    return f"{points / POINTS_PER_INCH:.4f}"
