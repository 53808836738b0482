"""What pedigrees look like and what they cost: crossings, length of line, bends, mates that stand apart, milliseconds.

Sets       demo   what the demo's pages draw
           room   a generated collection of 150 animals
           hard   one of 400, mated at random, in a third of whose clutches two males may be the sire
           Of each clutch: its own pedigree, that of its first young, and the one on its cards. Clutch mates are drawn alike.
Measured   on the drawings themselves, by nothing but their SVG: a crossing is a gap in an upright, a bend the corner of two pieces; mates
           stand apart when they are not neighbours on one level. Milliseconds are of one processor, for each drawing from its pedigree to
           its SVG, the layout engine being ready.
Run        python -m tests.bench.drawing_pedigrees
"""

from __future__ import annotations

import re
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from itertools import pairwise
from xml.etree import ElementTree

from msgspec import Struct
from msgspec.structs import astuple, replace
from tests.bench.generating import Shape, generate

from clutchlight import shipped
from clutchlight.drawing.pedigree import PedigreeAnimal, PedigreeChart, PedigreeFamily, Sire, ancestors, in_few_symbols
from clutchlight.drawing.svg import draw
from clutchlight.model import Collection
from clutchlight.pipeline import open_book
from clutchlight.site.context import Context
from clutchlight.site.drawings import animal_pedigree, card_pedigree, clutch_pedigree

PIECE = re.compile(r"M(-?\d+) (-?\d+)(?:H(-?\d+)|V(-?\d+)|L(-?\d+) (-?\d+))")
GAP = 8  # points that an upright leaves where it crosses another line

Piece = tuple[int, int, int, int]


class Measure(Struct, frozen=True):
    """What was counted, of one drawing or of many."""

    drawings: int = 0
    crossings: int = 0
    length: int = 0
    bends: int = 0
    apart: int = 0
    pairs: int = 0
    width: int = 0
    milliseconds: float = 0.0

    def __add__(self, other: Measure) -> Measure:
        return Measure(*(a + b for a, b in zip(self.values, other.values, strict=True)))  # type: ignore[arg-type]

    @property
    def values(self) -> tuple[float, ...]:
        return astuple(self)


def measured(pedigree: PedigreeChart) -> Measure:
    """One drawing."""
    started = time.process_time()
    svg = draw(pedigree, "p").svg
    taken = 1000 * (time.process_time() - started)
    root = ElementTree.fromstring(svg)  # noqa: S314 - our own output
    crossings = bends = length = 0
    for path in _lines(root):
        pieces = [_piece(found) for found in PIECE.finditer(path)]
        crossings += _gaps(pieces)
        bends += _corners(pieces)
        length += sum(abs(x2 - x1) + abs(y2 - y1) for x1, y1, x2, y2 in pieces) + GAP * _gaps(pieces)
    pairs, apart = _mates(pedigree, _places(root))
    return Measure(1, crossings, length, bends, apart, pairs, int(root.attrib["width"]), taken)


def _lines(root: ElementTree.Element) -> Iterator[str]:
    (group,) = (node for node in root if node.get("class") == "pedigree-lines")
    yield from (path.attrib["d"] for path in group if "pedigree-inner" not in path.attrib["class"])


def _piece(found: re.Match[str]) -> Piece:
    x, y, across, down, x2, y2 = (None if number is None else int(number) for number in found.groups())
    if x is None or y is None:
        raise ValueError(found.group())
    return (
        x,
        y,
        next(end for end in (across, x2, x) if end is not None),
        next(n for n in (down, y2, y) if n is not None),
    )


def _gaps(pieces: list[Piece]) -> int:
    uprights: dict[int, list[tuple[int, int]]] = {}
    for x1, y1, x2, y2 in pieces:
        if x1 == x2:
            uprights.setdefault(x1, []).append((min(y1, y2), max(y1, y2)))
    return sum(low - high == GAP for spans in uprights.values() for (_, high), (low, _) in pairwise(sorted(spans)))


def _corners(pieces: list[Piece]) -> int:
    """Points where just one level piece and one upright end."""
    level: dict[tuple[int, int], int] = {}
    upright: dict[tuple[int, int], int] = {}
    for x1, y1, x2, y2 in pieces:
        ends = level if y1 == y2 else upright if x1 == x2 else {}
        for end in ((x1, y1), (x2, y2)):
            ends[end] = ends.get(end, 0) + 1
    return sum(number == 1 and level.get(end) == 1 for end, number in upright.items())


def _places(root: ElementTree.Element) -> Mapping[str, tuple[int, int]]:
    """The centre of each symbol by its label."""
    (group,) = (node for node in root if node.get("class") == "pedigree-animals")
    places = {}
    for node in group:
        x, y = node.attrib["transform"].removeprefix("translate(").rstrip(")").split()
        places[node.attrib["aria-label"].split(",")[0]] = int(x), int(y)
    return places


def _mates(pedigree: PedigreeChart, places: Mapping[str, tuple[int, int]]) -> tuple[int, int]:
    """Pairs of certain parents, and those that are not neighbours on one level."""
    pairs = {(one.sires[0].id, one.dam) for one in pedigree.families if len(one.sires) == 1 and one.dam is not None}
    apart = 0
    for sire, dam in pairs:
        (left, y), (right, y2) = sorted((places[sire], places[dam]))
        between = [x for x, other in places.values() if other == y and left < x < right]
        apart += y != y2 or bool(between)
    return len(pairs), apart


# The sets


def _named_by_id(pedigree: PedigreeChart) -> PedigreeChart:
    """Every label the id, so that a drawing tells who stands where."""
    return replace(pedigree, animals=tuple(replace(animal, label=animal.id) for animal in pedigree.animals))


def demo() -> Iterator[PedigreeChart]:
    book = open_book(shipped.demo()).book
    if book is None:
        raise ValueError("the demo has mistakes")
    context = Context(book.collection, book.statements, past=book.past)
    for clutch in book.collection.clutches.values():
        found = [clutch_pedigree(context, clutch), card_pedigree(context, clutch, "cards/", "p")]
        found += [one for key in clutch.young[:1] if (one := animal_pedigree(context, book.collection.animals[key]))]
        for drawing in found:
            (pedigree, _) = drawing.given
            if not isinstance(pedigree, PedigreeChart):
                raise TypeError(pedigree)
            yield _named_by_id(pedigree)


def generated(shape: Shape, seed: int) -> Iterator[PedigreeChart]:
    collection = generate(shape, seed).collection

    @cache
    def line(key: str) -> frozenset[str]:
        """An animal with all of its ancestors."""
        parents = _parents(collection, key)
        return frozenset({key}).union(*(line(parent) for parent in parents.parents if parents))

    @cache
    def parents_of(key: str) -> PedigreeFamily | None:
        parents = _parents(collection, key)
        if not parents.parents:
            return None
        sires = [line(sire.id) for sire in parents.sires]
        return replace(parents, related=any(line(parents.dam or "") & sire for sire in sires))

    for clutch in collection.clutches.values():
        if not clutch.young:
            continue
        first = clutch.young[0]
        young = in_few_symbols([_symbol(collection, key) for key in clutch.young])
        above = ancestors([first], parents_of)
        yield _pedigree(collection, above.ids, above.families)
        families = [
            replace(family, young=tuple(one.id for one in young)) if first in family.young else family
            for family in above.families
        ]
        yield _pedigree(collection, [key for key in above.ids if key != first], families, young)
        card = ancestors([first], parents_of, 2)
        yield _pedigree(collection, card.ids, card.families)


def _parents(collection: Collection, key: str) -> PedigreeFamily:
    animal = collection.animals.get(key)
    clutch = collection.clutches.get(animal.clutch or "") if animal else None
    if clutch is None:
        return PedigreeFamily()
    several = len(clutch.sires.candidates) > 1
    return PedigreeFamily(
        tuple(
            Sire(str(name), f"{int(100 * chance)}%" if several else None) for name, chance in clutch.sires.candidates
        ),
        clutch.dam,
    )


def _symbol(collection: Collection, key: str) -> PedigreeAnimal:
    animal = collection.animals[key]
    clutch = collection.clutches.get(animal.clutch or "")
    born = clutch.hatched.last.isoformat() if clutch and clutch.hatched else ""
    return PedigreeAnimal(key, key, animal.sex, born)


def _pedigree(
    collection: Collection,
    keys: Iterable[str],
    families: Iterable[PedigreeFamily],
    young: tuple[PedigreeAnimal, ...] = (),
) -> PedigreeChart:
    shown = tuple(_symbol(collection, key) for key in keys) + tuple(replace(one, label=one.id) for one in young)
    return PedigreeChart("A pedigree", "", shown, tuple(families))


SETS: Mapping[str, Callable[[], Iterator[PedigreeChart]]] = {
    "demo": demo,
    "room": lambda: generated(Shape(animals=150), 1),
    "hard": lambda: generated(Shape(animals=400, in_doubt=1 / 3, regime="mated at random"), 1),
}


def main() -> None:
    draw(PedigreeChart("", "", (PedigreeAnimal("ready", "ready"),)))
    sys.stdout.write(
        "| set | drawings | crossings | length | bends | mates apart | width | ms a drawing |\n|---|---|---|---|---|---|---|---|\n"
    )
    for name, pedigrees in SETS.items():
        total = sum((measured(one) for one in pedigrees()), Measure())
        sys.stdout.write(
            f"| {name} | {total.drawings} | {total.crossings} | {total.length:,} | {total.bends} |"
            f" {total.apart} of {total.pairs} | {total.width:,} | {total.milliseconds / total.drawings:.1f} |\n"
        )


if __name__ == "__main__":
    main()
