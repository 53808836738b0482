"""Lines between levels: which track of the channel each one runs on.

A *channel* is the band between the labels of one level and the symbols of the next. A *net* is one line in it: pins at its upper
edge, pins at its lower edge, and one horizontal stretch that joins them. Two stretches that overlap need different
tracks, and where a pin of one net stands above a pin of another in the same column, the upper one's stretch must run
above, or their uprights would merge. Beyond that the order with fewer crossings is taken. Where two nets ask for
opposite orders, one of them steps aside first on a track of its own.

(The classical channel-routing problem: Deutsch 1976, "A dogleg channel router", *Proc. 13th Design Automation Conference*,
from memory. The method here is a plain greedy one; a pedigree has few nets in a channel.)

Cost: for n nets in a channel O(n^3) at worst.
"""

from collections.abc import Sequence
from dataclasses import dataclass

TOO_NEAR = 7  # two uprights nearer than this read as one line
ASIDE = 10


@dataclass(frozen=True, slots=True)
class Net:
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


@dataclass(frozen=True, slots=True)
class Piece:
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
    above: dict[int, set[int]] = {}
    done = False
    while not done:
        above, done = _must(bent, flat)
    pairs = [
        (first, second)
        for first in range(len(bent))
        for second in range(first + 1, len(bent))
        if _overlap(bent[first], bent[second])
    ]
    costs = {
        (first, second): (_crossings(bent[first], bent[second]), _crossings(bent[second], bent[first]))
        for first, second in pairs
    }
    for first, second in sorted(pairs, key=lambda pair: (-abs(costs[pair][0] - costs[pair][1]), pair)):
        one, other = costs[first, second]
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


def _must(bent: list[Net], flat: Sequence[Net]) -> tuple[dict[int, set[int]], bool]:
    """The orders that uprights force. A net that would close a ring is split in place, and False returned: ask again."""
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
                    return above, False
                above[higher].add(lower)
    for number, net in enumerate(bent):
        for lower, other in enumerate(bent):
            if net.name == other.name and set(net.lower) & set(other.upper) and number != lower:
                above[number].add(lower)
    return above, True


def _free(pin: int, nets: Sequence[Net]) -> int:
    """The nearest column beside `pin` that no upright uses."""
    taken = [x for net in nets for x in net.upper + net.lower]
    distance = ASIDE
    while True:
        for side in (pin + distance, pin - distance):
            if all(abs(side - x) >= TOO_NEAR for x in taken):
                return side
        distance += 1


def _overlap(one: Net, other: Net) -> bool:
    (a, b), (c, d) = one.span, other.span
    return a - TOO_NEAR < d and c - TOO_NEAR < b


def _crossings(higher: Net, lower: Net) -> int:
    """How often two nets cross when `higher` runs above `lower`."""
    (a, b), (c, d) = higher.span, lower.span
    return sum(a < x < b for x in lower.upper) + sum(c < x < d for x in higher.lower)


def _tie(net: Net) -> tuple[int, int, str]:
    return (net.rank, net.span[0], net.name)


def _reaches(above: dict[int, set[int]], start: int, goal: int) -> bool:
    ready, seen = [start], {start}
    while ready:
        here = ready.pop()
        if here == goal:
            return True
        fresh = above[here] - seen
        seen |= fresh
        ready += fresh
    return False


def _longest(above: dict[int, set[int]]) -> dict[int, int]:
    """The track of each net: the longest chain of nets above it."""
    track = dict.fromkeys(above, 0)
    for _ in above:
        for higher, lowers in above.items():
            for lower in lowers:
                track[lower] = max(track[lower], track[higher] + 1)
    return track
