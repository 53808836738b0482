"""Where every line runs: from an arrangement and the places along its levels to straight pieces.

Horizontal lines within a level run only between neighbours, in the room that their group keeps free; all else runs in the channels
between the levels and in columns beside the labels. So no line can run through a symbol or a label. Where an upright crosses a
foreign stretch it is interrupted, so that a crossing never looks like a joint.

A *channel* is the band between the labels of one level and the symbols of the next. A *net* is one line in it: pins at its upper
edge, pins at its lower edge, and one horizontal stretch that joins them. Two stretches that overlap need different
tracks, and where a pin of one net stands above a pin of another in the same column, the upper one's stretch must run
above, or their uprights would merge. Beyond that the order with fewer crossings is taken. Where two nets ask for
opposite orders, one of them steps aside first on a track of its own.

(The classical channel-routing problem: Deutsch 1976, "A dogleg channel router", *Proc. 13th Design Automation Conference*,
from memory. The method here is a plain greedy one; a pedigree has few nets in a channel.)

Cost: for n nets in a channel O(n^3) at worst.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from graphlib import TopologicalSorter
from itertools import combinations, count
from typing import Literal, NamedTuple

from msgspec import Struct

from clutchlight.drawing.arrangement import SYMBOL, Arrangement, Item, Mating, Wire
from clutchlight.drawing.pedigree import PedigreeChart
from clutchlight.model.traits import grouped, reached

HALF = SYMBOL // 2
FLOOR = 50  # from the middle of a symbol to the channel under its label
TRACK = 12
FIRST_TRACK = 8  # from a channel's upper edge to its first track
LAST_TRACK = 8  # from its last track to its lower edge
CEILING = 10  # from a channel's lower edge to the symbols under it
TWIN_ROOM = 16
GAP = 4  # half the interruption of an upright at a crossing

Point = tuple[int, int]
Segment = tuple[Point, Point]
Feet = tuple[tuple[int, tuple[str, ...]], ...]


class DrawnLine(NamedTuple):
    """One line of a drawing: whose it is, and how it looks."""

    name: str
    kind: Literal["mating", "descent", "twin"]
    doubt: bool = False
    double: bool = False


class Lines(Struct, frozen=True):
    """All lines in straight pieces, and the middle of each level."""

    pieces: Mapping[DrawnLine, tuple[Segment, ...]]
    middle: tuple[int, ...]

    def of_mating(self, mating: Mating) -> set[str]:
        """The names of the lines that lead from its parents to its young."""
        wires = (_of_wire(arrival.wire).name for arrival in mating.arrivals)
        twins = (f"twins {young}" for young in mating.family.young)
        return {_of_young(mating).name, f"mating {mating.number + 1}", *wires, *twins}


class _Board(Struct, frozen=True):
    """What the parts of this module look up: places along and down the drawing."""

    arrangement: Arrangement
    x: Mapping[Item, int]
    feet: Mapping[int, Feet]
    middle: tuple[int, ...]
    ceiling: tuple[int, ...]

    def floor(self, level: int) -> int:
        return self.middle[level] + FLOOR


def draw_lines(pedigree: PedigreeChart, arrangement: Arrangement, x: Mapping[Item, int], top: int) -> Lines:
    """Every line between animals, from `top` downwards."""
    feet = {mating.number: _feet(mating, pedigree, x) for mating in arrangement.matings}
    with_twins = {
        mating.level + 1 for mating in arrangement.matings if any(len(young) > 1 for _, young in feet[mating.number])
    }
    channels = [route(_nets(arrangement, x, feet, level)) for level in range(max(arrangement.level.values()))]
    middle, ceiling = [top + HALF], [top]
    for level, (_, tracks) in enumerate(channels, start=1):
        edge = middle[-1] + FLOOR + FIRST_TRACK + TRACK * max(tracks - 1, 0) + LAST_TRACK
        ceiling.append(edge)
        middle.append(edge + CEILING + (TWIN_ROOM if level in with_twins else 0) + HALF)
    board = _Board(arrangement, x, feet, tuple(middle), tuple(ceiling))
    pieces = list(_wire_ends(board))
    for mating in arrangement.matings:
        pieces += _descents(mating, board)
        pieces += _mating_lines(mating, board)
    by_name = {line.name: line for line, _ in pieces}
    for level, (routed, _) in enumerate(channels):
        floor = board.floor(level)
        heights = {UPPER_EDGE: floor, LOWER_EDGE: ceiling[level + 1]}
        for piece in routed:
            (x1, x2), ends = piece.x, [heights.get(at, floor + FIRST_TRACK + TRACK * at) for at in piece.height]
            pieces.append((by_name[piece.name], ((x1, ends[0]), (x2, ends[1]))))
    return Lines(_interrupted(_joined(pieces)), board.middle)


def _feet(mating: Mating, pedigree: PedigreeChart, x: Mapping[Item, int]) -> Feet:
    """Where the young of a mating hang, and who hangs there from left to right: identical twins hang at one point."""
    in_order = [pedigree.by_id[young] for young in sorted(mating.family.young, key=lambda young: x[young])]
    sets = grouped(((one.twin_group is None, one.twin_group or one.id), one.id) for one in in_order)
    return tuple((sum(x[one] for one in young) // len(young), young) for young in sets.values())


def _of_wire(wire: Wire) -> DrawnLine:
    kinds = ("possible " if wire.doubt else "") + ("related " if wire.related else "")
    return DrawnLine(f"{kinds}mates of {wire.parent}", "mating", wire.doubt, wire.related)


def _of_young(mating: Mating) -> DrawnLine:
    return DrawnLine(f"young of mating {mating.number + 1}", "descent")


def _nets(arrangement: Arrangement, x: Mapping[Item, int], feet: Mapping[int, Feet], level: int) -> list[Net]:
    """The nets of the channel under `level`."""
    upper: dict[Wire, list[int]] = {wire: [] for wire in arrangement.exits}
    lower: dict[Wire, list[int]] = {wire: [] for wire in arrangement.exits}
    for wire, way_out in arrangement.exits.items():
        if arrangement.level[wire.parent] == level:
            upper[wire].append(x[wire.parent] + way_out.offset)
    for via in arrangement.vias():
        if via.level in (level, level + 1):
            (upper if via.level == level else lower)[via.wire].append(x[via])
    nets = []
    for mating in arrangement.matings:
        if mating.level == level:
            hanging = tuple(sorted(foot for foot, _ in feet[mating.number]))
            nets.append(Net(_of_young(mating).name, (x[mating.number],), hanging, 1))
        for arrival in mating.arrivals:
            column = x[mating.number] + arrival.offset
            if arrival.from_above and mating.level == level + 1:
                lower[arrival.wire].append(column)
            elif not arrival.from_above and mating.level == level:
                upper[arrival.wire].append(column)
    for wire in arrangement.exits:
        if len(upper[wire]) + len(lower[wire]) > 1:
            nets.append(Net(_of_wire(wire).name, tuple(sorted(upper[wire])), tuple(sorted(lower[wire]))))
    return nets


def _descents(mating: Mating, board: _Board) -> Iterator[tuple[DrawnLine, Segment]]:
    """From the mating point to the channel, and from the channel to each of the young."""
    here, below, line = board.x[mating.number], mating.level + 1, _of_young(mating)
    top, edge = board.middle[below] - HALF, board.ceiling[below]
    yield line, ((here, board.middle[mating.level]), (here, board.floor(mating.level)))
    for foot, young in board.feet[mating.number]:
        if len(young) == 1:
            yield line, ((foot, edge), (foot, top))
            continue
        twins, bar = DrawnLine(f"twins {young[0]}", "twin"), (edge + top) // 2
        places = [board.x[one] for one in young]
        reach = [foot + (place - foot) * (bar - edge) // (top - edge) for place in places]
        yield from ((twins, ((foot, edge), (place, top))) for place in places)
        yield twins, ((min(reach), bar), (max(reach), bar))


def _mating_lines(mating: Mating, board: _Board) -> Iterator[tuple[DrawnLine, Segment]]:
    """The pieces of a mating line beside its mates, and the columns by which parents arrive."""
    here, y = board.x[mating.number], board.middle[mating.level]
    family, name = mating.family, f"mating {mating.number + 1}"
    sides = [(mate, board.x[mate] + edge) for mate, edge in ((mating.left, HALF), (mating.right, -HALF)) if mate]
    if len(sides) == 2 and not family.in_doubt:
        yield DrawnLine(name, "mating", False, family.related), ((sides[0][1], y), (sides[1][1], y))
    else:
        for mate, side in sides:
            yield (
                DrawnLine(name, "mating", family.in_doubt and mate != family.dam, family.related),
                ((side, y), (here, y)),
            )
    for arrival in mating.arrivals:
        column = here + arrival.offset
        far = board.ceiling[mating.level] if arrival.from_above else board.floor(mating.level)
        yield _of_wire(arrival.wire), ((column, far), (column, y))
        yield _of_wire(arrival.wire), ((column, y), (here, y))


def _wire_ends(board: _Board) -> Iterator[tuple[DrawnLine, Segment]]:
    """Wires leaving their parent, and passing levels."""
    for wire, way_out in board.arrangement.exits.items():
        level = board.arrangement.level[wire.parent]
        centre, y = board.x[wire.parent], board.middle[level] + way_out.drop
        column = centre + way_out.offset
        yield _of_wire(wire), ((centre, y), (column, y))
        yield _of_wire(wire), ((column, y), (column, board.floor(level)))
    for via in board.arrangement.vias():
        column = board.x[via]
        yield _of_wire(via.wire), ((column, board.ceiling[via.level]), (column, board.floor(via.level)))


def _joined(pieces: Iterable[tuple[DrawnLine, Segment]]) -> dict[DrawnLine, list[Segment]]:
    """The pieces of each line, touching uprights as one piece, so that dashes run on."""
    joined: dict[DrawnLine, list[Segment]] = {}
    upright = [(line, (min(piece), max(piece))) for line, piece in pieces if piece[0][0] == piece[1][0]]
    for line, ((x, top), (_, bottom)) in sorted(upright):
        runs = joined.setdefault(line, [])
        if runs and runs[-1][0][0] == x and top <= runs[-1][1][1]:
            runs[-1] = (runs[-1][0], (x, max(bottom, runs[-1][1][1])))
        else:
            runs.append(((x, top), (x, bottom)))
    for line, piece in pieces:
        if piece[0][0] != piece[1][0]:
            joined.setdefault(line, []).append(piece)
    return joined


def _interrupted(lines: Mapping[DrawnLine, Sequence[Segment]]) -> dict[DrawnLine, tuple[Segment, ...]]:
    """Every upright with a gap where it crosses another line's level stretch."""
    stretches = [
        (line.name, min(x1, x2), y1, max(x1, x2))
        for line, pieces in lines.items()
        for (x1, y1), (x2, y2) in pieces
        if y1 == y2
    ]
    cut: dict[DrawnLine, tuple[Segment, ...]] = {}
    for line in sorted(lines, key=lambda line: (line.kind, line)):
        found: list[Segment] = []
        for (x1, y1), (x2, y2) in sorted(lines[line]):
            start = y1
            if x1 == x2:
                for y in sorted(y for name, left, y, right in stretches if name != line.name and left < x1 < right):
                    if y1 < y < y2:
                        found.append(((x1, start), (x1, y - GAP)))
                        start = y + GAP
            found.append(((x1, start), (x2, y2)))
        cut[line] = tuple(found)
    return cut


TOO_NEAR = 7  # two uprights nearer than this read as one line
ASIDE = 10


class Net(Struct, frozen=True):
    """One line of a channel: x of its pins at the upper and at the lower edge. `rank` settles ties (0 runs higher)."""

    name: str
    upper: tuple[int, ...]
    lower: tuple[int, ...]
    rank: int = 0

    @property
    def span(self) -> tuple[int, int]:
        """From the leftmost to the rightmost pin."""
        pins = self.upper + self.lower
        return min(pins), max(pins)

    @property
    def straight(self) -> bool:
        """True when it is one upright without a horizontal stretch."""
        low, high = self.span
        return low == high


class Piece(Struct, frozen=True):
    """A straight piece of the net `name`. Its heights are tracks; `UPPER_EDGE` and `LOWER_EDGE` are the channel's edges."""

    name: str
    x: tuple[int, int]
    height: tuple[int, int]


UPPER_EDGE = -1
LOWER_EDGE = 1_000_000


def route(nets: Sequence[Net]) -> tuple[tuple[Piece, ...], int]:
    """The straight pieces of every net, and the number of tracks that they use (0 is the uppermost)."""
    flat = [net for net in nets if net.straight]
    bent = [net for net in nets if not net.straight]
    while (above := _must(bent, flat)) is None:
        pass
    costs = {
        (first, second): (_crossings(bent[first], bent[second]), _crossings(bent[second], bent[first]))
        for first, second in combinations(range(len(bent)), 2)
        if _overlap(bent[first], bent[second])
    }
    for (first, second), (one, other) in sorted(costs.items(), key=lambda row: (-abs(row[1][0] - row[1][1]), row[0])):
        higher, lower = (first, second)
        if other < one or (other == one and _tie(bent[second]) < _tie(bent[first])):
            higher, lower = second, first
        if _reaches(above, lower, higher):
            higher, lower = lower, higher
        above[higher].add(lower)
    track = _longest(above)
    pieces = [Piece(net.name, net.span, (UPPER_EDGE, LOWER_EDGE)) for net in flat]
    for number, net in enumerate(bent):
        here = track[number]
        pieces.append(Piece(net.name, net.span, (here, here)))
        others = [(part, track[other]) for other, part in enumerate(bent) if part.name == net.name and other != number]
        aside = {pin: above_it for part, above_it in others for pin in part.lower}
        onward = {pin for part, _ in others for pin in part.upper}
        pieces += [Piece(net.name, (pin, pin), (aside.get(pin, UPPER_EDGE), here)) for pin in net.upper]
        pieces += [Piece(net.name, (pin, pin), (here, LOWER_EDGE)) for pin in net.lower if pin not in onward]
    return tuple(pieces), 1 + max(track.values(), default=-1)


def _must(bent: list[Net], flat: Sequence[Net]) -> dict[int, set[int]] | None:
    """The orders that uprights force; None where a net that would close a ring was split in place: ask again."""
    above: dict[int, set[int]] = {number: set() for number in range(len(bent))}
    for higher, net in enumerate(bent):
        for lower, other in enumerate(bent):
            if higher == lower or net.name == other.name:
                continue
            for pin in net.upper:
                if all(abs(pin - foot) >= TOO_NEAR for foot in other.lower):
                    continue
                if _reaches(above, lower, higher):
                    side = _free(pin, [*bent, *flat])
                    bent[higher] = Net(net.name, tuple(side if x == pin else x for x in net.upper), net.lower, net.rank)
                    bent.append(Net(net.name, (pin,), (side,), -1))
                    return None
                above[higher].add(lower)
    for number, net in enumerate(bent):
        for lower, other in enumerate(bent):
            if net.name == other.name and set(net.lower) & set(other.upper) and number != lower:
                above[number].add(lower)
    return above


def _free(pin: int, nets: Sequence[Net]) -> int:
    """The nearest column beside `pin` that no upright uses."""
    taken = [x for net in nets for x in net.upper + net.lower]
    sides = (side for distance in count(ASIDE) for side in (pin + distance, pin - distance))
    return next(side for side in sides if all(abs(side - x) >= TOO_NEAR for x in taken))


def _overlap(one: Net, other: Net) -> bool:
    (a, b), (c, d) = one.span, other.span
    return a - TOO_NEAR < d and c - TOO_NEAR < b


def _crossings(higher: Net, lower: Net) -> int:
    """How often two nets cross when `higher` runs above `lower`."""
    (a, b), (c, d) = higher.span, lower.span
    return sum(a < x < b for x in lower.upper) + sum(c < x < d for x in higher.lower)


def _tie(net: Net) -> tuple[int, int, str]:
    return (net.rank, net.span[0], net.name)


def _reaches(above: Mapping[int, set[int]], start: int, goal: int) -> bool:
    return goal in reached([start], above.__getitem__)


def _longest(above: Mapping[int, set[int]]) -> dict[int, int]:
    """The track of each net: the longest chain of nets above it."""
    track = dict.fromkeys(above, 0)
    for higher in reversed([*TopologicalSorter(above).static_order()]):
        for lower in above[higher]:
            track[lower] = max(track[lower], track[higher] + 1)
    return track
