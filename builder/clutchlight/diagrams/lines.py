"""Where every line runs: from an arrangement and the places along its levels to straight pieces.

Horizontal lines within a level run only between neighbours, in the room that their group keeps free; all else runs in the channels
between the levels and in columns beside the labels. So no line can run through a symbol or a label. Where an upright crosses a
foreign stretch it is interrupted, so that a crossing never looks like a joint.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from clutchlight.diagrams.arrangement import Arrangement, Item, Mating, Wire
from clutchlight.diagrams.dot_text import SYMBOL
from clutchlight.diagrams.routing import LOWER_EDGE, UPPER_EDGE, Net, Piece, route

HALF = SYMBOL // 2
FLOOR = 50  # from the middle of a symbol to the channel under its label
TRACK = 12
FIRST_TRACK = 8  # from a channel's upper edge to its first track
LAST_TRACK = 8  # from its last track to its lower edge
CEILING = 10  # from a channel's lower edge to the symbols under it
TWIN_ROOM = 16
GAP = 4  # half the interruption of an upright at a crossing

Kind = Literal["mating", "descent", "twin"]
Point = tuple[int, int]
Segment = tuple[Point, Point]
Twins = Sequence[tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a drawing, in straight pieces. `name` says whose line it is."""

    name: str
    kind: Kind
    segments: tuple[Segment, ...]
    doubt: bool = False
    double: bool = False


@dataclass(frozen=True, slots=True)
class Lines:
    """All lines, and the middle of each level."""

    lines: tuple[Line, ...]
    middle: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Board:
    """What the parts of this module look up: places along and down the drawing."""

    arrangement: Arrangement
    x: Mapping[Item, int]
    twins: Twins
    middle: tuple[int, ...]
    ceiling: tuple[int, ...]

    def floor(self, level: int) -> int:
        return self.middle[level] + FLOOR


def draw_lines(arrangement: Arrangement, x: Mapping[Item, int], twins: Twins, top: int) -> Lines:
    """Every line between animals, from `top` downwards. `twins` are the sets of identical twins, each left to right."""
    depth = 1 + max(arrangement.level.values())
    channels = [route(_nets(arrangement, x, twins, level)) for level in range(depth - 1)]
    middle, ceiling = [top + HALF], [top]
    for level, (_, tracks) in enumerate(channels, start=1):
        edge = middle[-1] + FLOOR + FIRST_TRACK + TRACK * max(tracks - 1, 0) + LAST_TRACK
        has_twins = any(arrangement.level[pair[0]] == level for pair in twins)
        ceiling.append(edge)
        middle.append(edge + CEILING + (TWIN_ROOM if has_twins else 0) + HALF)
    board = _Board(arrangement, x, twins, tuple(middle), tuple(ceiling))
    lines: list[Line] = []
    for mating in arrangement.matings:
        lines += _descents(mating, board)
        lines += _mating_lines(mating, board)
    lines += _wire_ends(board)
    for level, (pieces, _) in enumerate(channels):
        lines += [_in_channel(piece, level, board) for piece in pieces]
    return Lines(tuple(_interrupted(_joined(lines))), board.middle)


def _wire_name(wire: Wire) -> str:
    kinds = ("possible " if wire.doubt else "") + ("related " if wire.related else "")
    return f"{kinds}mates of {wire.parent}"


def _young_name(mating: Mating) -> str:
    return f"young of mating {mating.number + 1}"


def _mating_name(mating: Mating) -> str:
    return f"mating {mating.number + 1}"


def _nets(arrangement: Arrangement, x: Mapping[Item, int], twins: Twins, level: int) -> list[Net]:
    """The nets of the channel under `level`."""
    upper: dict[Wire, list[int]] = {}
    lower: dict[Wire, list[int]] = {}
    for wire, way_out in arrangement.exits.items():
        if arrangement.level[wire.parent] == level:
            upper.setdefault(wire, []).append(x[wire.parent] + way_out.offset)
    for via in arrangement.vias():
        if via.level == level:
            upper.setdefault(via.wire, []).append(x[via])
        elif via.level == level + 1:
            lower.setdefault(via.wire, []).append(x[via])
    nets = []
    for mating in arrangement.matings:
        if mating.level == level:
            nets.append(Net(_young_name(mating), (x[mating.number],), _feet(mating, x, twins), 1))
        for arrival in mating.arrivals:
            column = x[mating.number] + arrival.offset
            if arrival.from_above and mating.level == level + 1:
                lower.setdefault(arrival.wire, []).append(column)
            elif not arrival.from_above and mating.level == level:
                upper.setdefault(arrival.wire, []).append(column)
    for wire in arrangement.exits:
        pins = tuple(sorted(upper.get(wire, ()))), tuple(sorted(lower.get(wire, ())))
        if len(pins[0]) + len(pins[1]) > 1:
            nets.append(Net(_wire_name(wire), *pins))
    return nets


def _twins_of(young: str, twins: Twins) -> tuple[str, ...]:
    return next((pair for pair in twins if young in pair), (young,))


def _feet(mating: Mating, x: Mapping[Item, int], twins: Twins) -> tuple[int, ...]:
    """Where the young of a mating hang; identical twins hang at one point."""
    sets = dict.fromkeys(_twins_of(young, twins) for young in mating.family.young)
    return tuple(sorted(sum(x[young] for young in pair) // len(pair) for pair in sets))


def _descents(mating: Mating, board: _Board) -> list[Line]:
    """From the mating point to the channel, and from the channel to each of the young."""
    here, below = board.x[mating.number], mating.level + 1
    top, edge = board.middle[below] - HALF, board.ceiling[below]
    upright = ((here, board.middle[mating.level]), (here, board.floor(mating.level)))
    lines = [Line(_young_name(mating), "descent", (upright,))]
    for pair in dict.fromkeys(_twins_of(young, board.twins) for young in mating.family.young):
        places = sorted(board.x[young] for young in pair)
        foot = sum(places) // len(places)
        if len(pair) == 1:
            lines.append(Line(_young_name(mating), "descent", (((foot, edge), (foot, top)),)))
            continue
        bar = (edge + top) // 2
        reach = [foot + (place - foot) * (bar - edge) // (top - edge) for place in places]
        slanting = tuple(((foot, edge), (place, top)) for place in places)
        lines.append(Line(f"twins {pair[0]}", "twin", (*slanting, ((min(reach), bar), (max(reach), bar)))))
    return lines


def _mating_lines(mating: Mating, board: _Board) -> list[Line]:
    """The pieces of a mating line beside its mates, and the columns by which parents arrive."""
    here, y = board.x[mating.number], board.middle[mating.level]
    related = mating.family.related
    lines = []
    sides = [(mate, board.x[mate] + edge) for mate, edge in ((mating.left, HALF), (mating.right, -HALF)) if mate]
    if len(sides) == 2 and not mating.family.in_doubt:
        lines.append(Line(_mating_name(mating), "mating", (((sides[0][1], y), (sides[1][1], y)),), False, related))
    else:
        for mate, side in sides:
            doubt = mating.family.in_doubt and mate != mating.family.dam
            lines.append(Line(_mating_name(mating), "mating", (((side, y), (here, y)),), doubt, related))
    for arrival in mating.arrivals:
        column = here + arrival.offset
        far = board.ceiling[mating.level] if arrival.from_above else board.floor(mating.level)
        pieces = (((column, far), (column, y)), ((column, y), (here, y)))
        lines.append(Line(_wire_name(arrival.wire), "mating", pieces, arrival.wire.doubt, related))
    return lines


def _wire_ends(board: _Board) -> list[Line]:
    """Wires leaving their parent, and passing levels."""
    lines = []
    for wire, way_out in board.arrangement.exits.items():
        level = board.arrangement.level[wire.parent]
        centre, y = board.x[wire.parent], board.middle[level] + way_out.drop
        column = centre + way_out.offset
        pieces = (((centre, y), (column, y)), ((column, y), (column, board.floor(level))))
        lines.append(Line(_wire_name(wire), "mating", pieces, wire.doubt, wire.related))
    for via in board.arrangement.vias():
        column = board.x[via]
        piece = ((column, board.ceiling[via.level]), (column, board.floor(via.level)))
        lines.append(Line(_wire_name(via.wire), "mating", (piece,), via.wire.doubt, via.wire.related))
    return lines


def _in_channel(piece: Piece, level: int, board: _Board) -> Line:
    wire = next((wire for wire in board.arrangement.exits if _wire_name(wire) == piece.name), None)

    def y(height: int) -> int:
        if height == UPPER_EDGE:
            return board.floor(level)
        if height == LOWER_EDGE:
            return board.ceiling[level + 1]
        return board.floor(level) + FIRST_TRACK + TRACK * height

    segment = ((piece.x[0], y(piece.height[0])), (piece.x[1], y(piece.height[1])))
    if wire is None:
        return Line(piece.name, "descent", (segment,))
    return Line(piece.name, "mating", (segment,), wire.doubt, wire.related)


def _joined(lines: Iterable[Line]) -> list[Line]:
    """Lines of one name and look as one, their touching uprights as one piece, so that dashes run on."""
    together: dict[tuple[str, Kind, bool, bool], list[Segment]] = {}
    for line in lines:
        together.setdefault((line.name, line.kind, line.doubt, line.double), []).extend(line.segments)
    joined = []
    for (name, kind, doubt, double), segments in sorted(together.items(), key=lambda item: (item[0][1], item[0])):
        uprights: dict[int, list[tuple[int, int]]] = {}
        others: list[Segment] = []
        for (x1, y1), (x2, y2) in segments:
            if x1 == x2:
                uprights.setdefault(x1, []).append((min(y1, y2), max(y1, y2)))
            else:
                others.append(((x1, y1), (x2, y2)))
        for x, spans in sorted(uprights.items()):
            others += [((x, low), (x, high)) for low, high in _touching(sorted(spans))]
        joined.append(Line(name, kind, tuple(sorted(others)), doubt, double))
    return joined


def _touching(spans: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    merged: list[tuple[int, int]] = []
    for low, high in spans:
        if merged and low <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(high, merged[-1][1]))
        else:
            merged.append((low, high))
    return merged


def _interrupted(lines: Sequence[Line]) -> list[Line]:
    """Every upright with a gap where it crosses another line's level stretch."""
    level_pieces = [(line.name, x1, x2, y1) for line in lines for x1, y1, x2 in _level(line)]
    cut = []
    for line in lines:
        segments: list[Segment] = []
        for (x1, y1), (x2, y2) in line.segments:
            if x1 != x2:
                segments.append(((x1, y1), (x2, y2)))
                continue
            crossed = sorted(
                y for name, left, right, y in level_pieces if name != line.name and left < x1 < right and y1 < y < y2
            )
            start = y1
            for y in crossed:
                segments.append(((x1, start), (x1, y - GAP)))
                start = y + GAP
            segments.append(((x1, start), (x1, y2)))
        cut.append(Line(line.name, line.kind, tuple(segments), line.doubt, line.double))
    return cut


def _level(line: Line) -> list[tuple[int, int, int]]:
    """The level pieces of a line: left end, height, right end."""
    return [(min(x1, x2), y1, max(x1, x2)) for (x1, y1), (x2, y2) in line.segments if y1 == y2]
