"""What hangs on what in an arrangement: the lines that places should keep short and straight."""

from collections.abc import Mapping
from dataclasses import dataclass

from clutchlight.diagrams.arrangement import Arrangement, Item, Via, Wire


@dataclass(frozen=True, slots=True)
class Links:
    """What hangs on what, and in which group (with which offset) everything stands."""

    seat: Mapping[Item, tuple[int, int]]
    parents: Mapping[str, int]
    """The mating from which an animal descends."""
    sibship: Mapping[int, tuple[str, ...]]
    above: Mapping[Item, tuple[Item, int, int]]
    """For a via, or a mating that is reached from above: what it hangs on, and the offsets of both columns."""
    below: Mapping[Item, tuple[tuple[Item, int, int], ...]]
    """The same from the other end."""
    beside: Mapping[int, tuple[tuple[str, int, int], ...]]
    """For a mating that is reached from its own level: the parent, and the offsets of both columns."""

    def x(self, item: Item, begin: Mapping[int, float]) -> float:
        """Where an item stands now."""
        number, offset = self.seat[item]
        return begin[number] + offset


def links_of(arrangement: Arrangement) -> Links:
    """The links of an arrangement."""
    seat = {
        item: (number, offset)
        for number, group in enumerate(arrangement.groups)
        for item, offset in zip(group.items, group.offsets, strict=True)
    }
    above: dict[Item, tuple[Item, int, int]] = {}
    below: dict[Item, list[tuple[Item, int, int]]] = {}
    reached: list[tuple[Wire, int, Item, int]] = [(via.wire, via.level, via, 0) for via in arrangement.vias()]
    for mating in arrangement.matings:
        reached += [
            (arrival.wire, mating.level, mating.number, arrival.offset)
            for arrival in mating.arrivals
            if arrival.from_above
        ]
    for wire, level, item, offset in reached:
        source: Item = Via(wire, level - 1)
        leaving = 0
        if source not in seat:
            source, leaving = wire.parent, arrangement.exits[wire].offset
        above.setdefault(item, (source, offset, leaving))
        below.setdefault(source, []).append((item, leaving, offset))
    return Links(
        seat,
        {young: mating.number for mating in arrangement.matings for young in mating.family.young},
        {mating.number: mating.family.young for mating in arrangement.matings},
        above,
        {item: tuple(links) for item, links in below.items()},
        {
            mating.number: tuple(
                (arrival.wire.parent, arrival.offset, arrangement.exits[arrival.wire].offset)
                for arrival in mating.arrivals
                if not arrival.from_above
            )
            for mating in arrangement.matings
        },
    )
