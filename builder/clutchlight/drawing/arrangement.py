"""Who stands beside whom: from families to groups on levels.

A *mating* is one family with the point from which its young descend; its level is that of its lowest parents. Where two mates are of that
level and both have a free side, they stand side by side with the mating between them, the male left. Otherwise the mating stands beside
one parent of its level (its *host*) and every other parent *arrives* by a line: from the channel below when he is of the same level, from
above when he is of an elder one. A mating whose parents have no free side *floats*: all parents arrive.

A *group* is a run of animals and matings that stand together on one level. Its inner distances are fixed here, in points, from the widest
label that is drawn, so that no symbol, label or line of a group can meet another wherever the group is placed.

A *wire* is the line on which one parent travels to matings that it does not stand beside. One wire serves all its matings that are drawn
alike: plain, double (with relatives), dashed (only a possible sire). A wire leaves through an *exit* column beside its parent's label and
passes other levels in columns of their own (*vias*).
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from itertools import accumulate, pairwise

from msgspec import Struct, field

from clutchlight.drawing.markup import text_width
from clutchlight.drawing.pedigree import PedigreeChart, PedigreeFamily
from clutchlight.model.traits import grouped

SYMBOL = 40  # the side of a square, the diameter of a circle, in points
HALF_CELL = 52  # from the centre of a symbol to the edge of its cell: half the widest label and a little air
BESIDE = 10  # from a cell's edge to a mating point or an exit column
COLUMN = 12  # between two columns of lines
ARRIVAL = 26  # from a mating point to the first arriving line
VIA_HALF = 10
CHANCE_SIZE = 12


class Wire(Struct, frozen=True):
    """The line on which `parent` reaches matings away from itself, single or double, dashed when it is in doubt there."""

    parent: str
    doubt: bool
    related: bool


class Arrival(Struct, frozen=True):
    """A parent reaching a mating by a wire, `offset` points from the mating point (left is negative)."""

    wire: Wire
    offset: int
    from_above: bool
    chance: str | None


class Mating(Struct, frozen=True):
    """A family placed on `level`, with the parents that stand beside it and those that arrive."""

    number: int
    family: PedigreeFamily
    level: int
    left: str | None
    right: str | None
    arrivals: tuple[Arrival, ...]


class Via(Struct, frozen=True):
    """A column by which `wire` passes `level`."""

    wire: Wire
    level: int


Item = str | int | Via  # an animal's id, a mating's number, a via
"""What can stand on a level."""


class Exit(Struct, frozen=True):
    """Where a wire leaves its parent: `offset` points from its centre, `drop` points below the middle of its side."""

    offset: int
    drop: int


class MateGroup(Struct, frozen=True):
    """Items that stand together, with offsets in points from the group's left edge. An even width has its middle on a whole point."""

    level: int
    items: tuple[Item, ...]
    offsets: tuple[int, ...]
    width: int


class Arrangement(Struct, frozen=True):
    """Everything of a drawing that does not depend on where its groups are placed."""

    level: Mapping[str, int]
    matings: tuple[Mating, ...]
    groups: tuple[MateGroup, ...]
    exits: dict[Wire, Exit]

    def vias(self) -> tuple[Via, ...]:
        """Every column by which a wire passes a level."""
        return tuple(item for group in self.groups for item in group.items if isinstance(item, Via))


def arrange(pedigree: PedigreeChart, placed: Mapping[Item, int] | None = None) -> Arrangement:
    """Give every animal and mating its level and its neighbours.

    `placed`: the x of everything as it was placed before, by which a wire leaves its parent, and a mating its host, on the side where
    the others are.
    """
    level, families = pedigree.levels, pedigree.sibships
    height = [max(level[parent] for parent in family.parents) for family in families]
    plan = _Plan()
    _side_by_side(families, height, level, plan)
    _hosted(families, height, level, plan, placed)
    matings = tuple(
        _mating(number, family, height[number], *plan.beside.get(number, (None, None)), level)
        for number, family in enumerate(families)
    )
    wires = grouped((arrival.wire, mating) for mating in matings for arrival in mating.arrivals)
    exits = _exits(wires, plan, placed)
    groups = [_group(chain, matings, exits, level) for chain in _chains(level, matings, plan)]
    groups += [
        MateGroup(passed, (Via(wire, passed),), (VIA_HALF,), 2 * VIA_HALF)
        for wire, goals in wires.items()
        for passed in range(level[wire.parent] + 1, max(mating.level for mating in goals))
    ]
    return Arrangement(level, matings, tuple(groups), exits)


class _Plan(Struct):
    """The sides of symbols while they are being given away."""

    right_of: dict[str, int] = field(default_factory=dict)
    left_of: dict[str, int] = field(default_factory=dict)
    beside: dict[int, tuple[str | None, str | None]] = field(default_factory=dict)
    chain: dict[str, str] = field(default_factory=dict)

    def root(self, animal: str) -> str:
        while self.chain.setdefault(animal, animal) != animal:
            animal = self.chain[animal]
        return animal

    def join(self, number: int, left: str | None, right: str | None) -> None:
        self.beside[number] = (left, right)
        if left is not None:
            self.right_of[left] = number
        if right is not None:
            self.left_of[right] = number
        if left is not None and right is not None:
            self.chain[self.root(right)] = self.root(left)


def _side_by_side(
    families: tuple[PedigreeFamily, ...], height: list[int], level: Mapping[str, int], plan: _Plan
) -> None:
    """Stand mates of one level next to each other, as long as they have free sides and no ring would close."""
    for number, family in enumerate(families):
        if family.dam is None or level[family.dam] != height[number]:
            continue
        for sire in family.sires:
            if level[sire.id] != height[number] or plan.root(sire.id) == plan.root(family.dam):
                continue
            if sire.id not in plan.right_of and family.dam not in plan.left_of:
                plan.join(number, sire.id, family.dam)
            elif not family.in_doubt and family.dam not in plan.right_of and sire.id not in plan.left_of:
                plan.join(number, family.dam, sire.id)
            else:
                continue
            break


def _hosted(
    families: tuple[PedigreeFamily, ...],
    height: list[int],
    level: Mapping[str, int],
    plan: _Plan,
    placed: Mapping[Item, int] | None,
) -> None:
    """Stand each mating that is left beside one parent of its level, if one has a free side; a dam would have it on her left."""
    mates = Counter(parent for family in families for parent in family.parents)
    for number, family in enumerate(families):
        if number in plan.beside:
            continue
        sires = [] if family.in_doubt else [sire.id for sire in family.sires]
        hosts = [parent for parent in (*sires, family.dam) if parent is not None and level[parent] == height[number]]
        for host in sorted(hosts, key=lambda parent: (mates[parent], parent != family.dam)):
            others = [parent for parent in family.parents if parent != host]
            leftmost = host == family.dam
            if placed and others:
                leftmost = sum(placed[other] - placed[host] for other in others) < 0
            free = [left for left in (leftmost, not leftmost) if host not in (plan.left_of if left else plan.right_of)]
            if free:
                plan.join(number, *((None, host) if free[0] else (host, None)))
                break


def _mating(
    number: int, family: PedigreeFamily, height: int, left: str | None, right: str | None, level: Mapping[str, int]
) -> Mating:
    arriving = [(sire.id, sire.how_likely) for sire in family.sires if sire.id not in (left, right)]
    if family.dam is not None and family.dam not in (left, right):
        arriving.append((family.dam, None))
    offset = {-1: 0, 1: 0}
    arrivals = []
    for parent, chance in arriving:
        mate_is_there = right is not None if parent == family.dam else left is not None and left == family.dam
        side = (1 if parent == family.dam else -1) * (-1 if mate_is_there else 1)
        step = ARRIVAL if offset[side] == 0 else COLUMN
        if chance is not None:
            step = max(step, text_width(chance, CHANCE_SIZE) + 16)
        offset[side] += step
        wire = Wire(parent, family.in_doubt and parent != family.dam, family.related)
        arrivals.append(Arrival(wire, side * offset[side], level[parent] < height, chance))
    return Mating(number, family, height, left, right, tuple(arrivals))


def _exits(wires: Mapping[Wire, Sequence[Mating]], plan: _Plan, placed: Mapping[Item, int] | None) -> dict[Wire, Exit]:
    """On the side where its matings are; of two on one side, that which goes farther leaves outside of the other."""
    exits: dict[Wire, Exit] = {}
    used: dict[tuple[str, bool], int] = {}
    ways = {
        wire: sum(placed[mating.number] - placed[wire.parent] for mating in goals) / len(goals) if placed else 0
        for wire, goals in wires.items()
    }
    for wire in sorted(wires, key=lambda wire: abs(ways[wire])):
        free_left = wire.parent in plan.right_of and wire.parent not in plan.left_of
        leftwards = ways[wire] < 0 if placed else free_left
        before = used.get((wire.parent, leftwards), 0)
        used[wire.parent, leftwards] = before + 1
        offset = HALF_CELL + 4 + COLUMN * before
        exits[wire] = Exit(-offset if leftwards else offset, 14 - 6 * before)
    return exits


def _chains(animals: Iterable[str], matings: tuple[Mating, ...], plan: _Plan) -> list[list[str | int]]:
    """Runs of neighbours, each read from its left end."""

    def after(item: str | int) -> str | int | None:
        return plan.right_of.get(item) if isinstance(item, str) else plan.beside[item][1]

    chains: list[list[str | int]] = []
    for animal in animals:
        before = plan.left_of.get(animal)
        if before is None or plan.beside[before][0] is None:
            chain: list[str | int] = [animal] if before is None else [before, animal]
            while (item := after(chain[-1])) is not None:
                chain.append(item)
            chains.append(chain)
    return chains + [[mating.number] for mating in matings if mating.left is None and mating.right is None]


def _group(
    chain: list[str | int], matings: tuple[Mating, ...], exits: dict[Wire, Exit], level: Mapping[str, int]
) -> MateGroup:
    """Distances within a run: every cell keeps its label, its exits and its mating points clear of the next."""

    def extent(item: str | int, side: int) -> int:
        if isinstance(item, str):
            return max([HALF_CELL, *(side * out.offset + 1 for wire, out in exits.items() if wire.parent == item)])
        mating = matings[item]
        outermost = max((side * arrival.offset for arrival in mating.arrivals), default=0)
        beside = mating.left if side == -1 else mating.right
        if beside is not None and mating.family.in_doubt:
            chance = next((sire.how_likely for sire in mating.family.sires if sire.id == beside), None)
            outermost += max(0, text_width(chance or "", CHANCE_SIZE) + 8 - (HALF_CELL - 20 + BESIDE))
        return max(outermost, 0) + BESIDE

    steps = (extent(left, 1) + extent(right, -1) for left, right in pairwise(chain))
    offsets = tuple(accumulate(steps, initial=extent(chain[0], -1)))
    first = chain[0]
    height = level[first] if isinstance(first, str) else matings[first].level
    width = offsets[-1] + extent(chain[-1], 1)
    return MateGroup(height, tuple(chain), offsets, width + width % 2)
