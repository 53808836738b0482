"""Pedigree and positions to SVG, in the published notation.

Bennett et al. 1995, *Am J Hum Genet* 56:745-752; Bennett et al. 2008, *J Genet Couns* 17:424-433; Bennett et al. 2022, *J Genet Couns*:
square male, circle female, diamond unknown; filled = affected (here: shows the trait); several traits = parts of the
symbol; a patterned part = carries, defined in the key (2022); slash = dead; number inside = that many; ? = status unknown;
arrow = the individual of interest; mates on a horizontal line, male left; young left to right by birth; double line = related
parents; identical twins joined by a bar. A sire in doubt is dashed: our own, said in the key.

The SVG stands inside an HTML page under a strict content-security policy: no style attribute, no style sheet, no script. Its look
without any CSS is plain; classes (listed in the package's own docstring) let a theme colour it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from clutchlight.diagrams.arrangement import CHANCE_SIZE, Arrangement, Item, Mating, arrange
from clutchlight.diagrams.dot_text import SYMBOL, dot_of, node_names
from clutchlight.diagrams.engine import Positions, layout
from clutchlight.diagrams.in_words import described, in_words
from clutchlight.diagrams.key import key
from clutchlight.diagrams.lines import Line, Lines, Segment, draw_lines
from clutchlight.diagrams.markup import element, picture, words
from clutchlight.diagrams.outline import outline
from clutchlight.diagrams.pedigree import Pedigree, PedigreeAnimal
from clutchlight.diagrams.placement import engine_order, leanings, place
from clutchlight.diagrams.symbols import definitions, symbol
from clutchlight.diagrams.text_width import shortened

HALF = SYMBOL // 2
MARGIN = 12
LABEL = 13
LABEL_WIDTH = 96
LABEL_DROP = HALF + 23
UNDER_LABEL = HALF + 32
NARROWEST = 328  # what a phone shows without scrolling


@dataclass(frozen=True, slots=True)
class Drawing:
    """A pedigree ready for a page: the drawing, and the same in sentences."""

    svg: str
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Geometry:
    """Where everything of an outline stands, and how far it reaches to the right."""

    arrangement: Arrangement
    x: Mapping[Item, int]
    lines: Lines
    right: int


def draw(pedigree: Pedigree, prefix: str = "pedigree") -> Drawing:
    """All that a page needs. `prefix` begins every id of the drawing and is unique on the page."""
    shape, named = outline(pedigree)
    return Drawing(_svg(pedigree, named, _laid_out(shape), prefix), in_words(pedigree))


def to_svg(pedigree: Pedigree, positions: Positions, prefix: str = "pedigree") -> str:
    """The SVG of `pedigree`, given where the engine put the nodes of its DOT."""
    shape, named = outline(pedigree)
    return _svg(pedigree, named, _geometry(shape, arrange(shape), positions), prefix)


@lru_cache(maxsize=512)
def _laid_out(shape: Pedigree) -> _Geometry:
    arrangement = arrange(shape)
    return _geometry(shape, arrangement, layout(dot_of(shape, arrangement)))


def _geometry(shape: Pedigree, arrangement: Arrangement, positions: Positions) -> _Geometry:
    names = node_names(shape, arrangement)
    rows = engine_order(arrangement, names, positions)
    arrangement = arrange(shape, leanings(arrangement, place(arrangement, rows, names, positions)))
    x = {item: MARGIN + at for item, at in place(arrangement, rows, names, positions).items()}
    right = max(x[group.items[-1]] + group.width - group.offsets[-1] for group in arrangement.groups)
    return _Geometry(arrangement, x, draw_lines(arrangement, x, _twins(shape, x), MARGIN), right)


def _svg(pedigree: Pedigree, named: Mapping[str, str], shape: _Geometry, prefix: str) -> str:
    lines, level = shape.lines, shape.arrangement.level
    bottom = lines.middle[-1] + UNDER_LABEL
    room = NARROWEST - MARGIN
    key_markup, key_width, key_height = key(pedigree, prefix, MARGIN, bottom + MARGIN, room)
    size = max(shape.right, key_width + MARGIN) + MARGIN, bottom + key_height + 2 * MARGIN
    linked = any(animal.href is not None for animal in pedigree.animals)
    chances = [_chances(mating, shape.x, lines) for mating in shape.arrangement.matings]
    at = {animal.id: (level[named[animal.id]], shape.x[named[animal.id]]) for animal in pedigree.animals}
    order = sorted(pedigree.animals, key=lambda animal: at[animal.id])
    ink = {"class": "pedigree-animals", "fill": "currentColor", "stroke-width": "1.75", "text-anchor": "middle"}
    animals = [_animal(animal, pedigree, at[animal.id][1], lines.middle[at[animal.id][0]], prefix) for animal in order]
    symbols = element("g", ink, *animals)
    return picture(
        prefix,
        "pedigree",
        "graphics-document document" if linked else "img",
        size,
        pedigree.title,
        " ".join(part for part in (pedigree.description, "" if linked else " ".join(in_words(pedigree))) if part),
        definitions(prefix, max(1, len(pedigree.traits)), symbols + key_markup),
        element(
            "g",
            {"class": "pedigree-lines", "aria-hidden": "true", "stroke": "currentColor", "stroke-width": "1.5"},
            *_strokes(lines.lines),
        ),
        element("g", {"aria-hidden": "true", "fill": "currentColor"}, *chances) if any(chances) else "",
        symbols,
        key_markup,
    )


def _twins(pedigree: Pedigree, x: Mapping[Item, int]) -> list[tuple[str, ...]]:
    """Identical twins of one family, left to right."""
    sets: dict[str, list[str]] = {}
    parents = {young: number for number, family in enumerate(pedigree.ordered_families()) for young in family.young}
    for animal in sorted(pedigree.animals, key=lambda animal: (x[animal.id], animal.id)):
        if animal.twin_group is not None and animal.id in parents:
            sets.setdefault(f"{parents[animal.id]} {animal.twin_group}", []).append(animal.id)
    return [tuple(twins) for _, twins in sorted(sets.items()) if len(twins) > 1]


def _animal(animal: PedigreeAnimal, pedigree: Pedigree, x: int, y: int, prefix: str) -> str:
    says = described(animal, pedigree.traits)
    classes = ["pedigree-focus"] if animal.focus else []
    classes += ["pedigree-nameless"] if animal.nameless else []
    label = element("text", {"y": LABEL_DROP}, words(shortened(animal.label, LABEL, LABEL_WIDTH)))
    shared = {"class": " ".join(classes) or None, "aria-label": says, "transform": f"translate({x} {y})"}
    inside = (symbol(animal, pedigree.traits, prefix), label)
    if animal.href is not None:
        return element("a", {"href": animal.href, **shared}, *inside)
    return element("g", {"role": "img", **shared}, *inside)


def _strokes(lines: Sequence[Line]) -> list[str]:
    """All lines, those of one look in one path, then the hollows of the double ones, which so run on through every joint."""
    together: dict[tuple[str, bool, bool], list[str]] = {}
    for line in lines:
        together.setdefault((line.kind, line.doubt, line.double), []).extend(map(_piece, line.segments))
    strokes, hollows = [], []
    for (kind, doubt, double), pieces in sorted(together.items()):
        look = {
            "class": f"pedigree-{kind}" + (" pedigree-doubt" if doubt else ""),
            "d": "".join(pieces),
            "stroke-width": "5.5" if double else None,
            "stroke-linecap": None if doubt else "square",
            "stroke-dasharray": "6 4" if doubt else None,
        }
        strokes.append(element("path", look))
        if double:
            hollow = {"class": "pedigree-inner", "stroke": "Canvas", "stroke-width": "2.5", "stroke-dasharray": None}
            hollows.append(element("path", {**look, **hollow}))
    return strokes + hollows


def _piece(segment: Segment) -> str:
    (x1, y1), (x2, y2) = segment
    end = f"H{x2}" if y1 == y2 else f"V{y2}" if x1 == x2 else f"L{x2} {y2}"
    return f"M{x1} {y1}{end}"


def _chances(mating: Mating, x: Mapping[Item, int], lines: Lines) -> str:
    """The chance of each possible sire, in words at his line."""
    y = lines.middle[mating.level] - 5
    chance_of = {sire.id: sire.chance for sire in mating.family.sires}
    texts = []
    if mating.left is not None and chance_of.get(mating.left) is not None:
        texts.append((chance_of[mating.left], x[mating.left] + HALF + 4, "start"))
    for arrival in mating.arrivals:
        if arrival.chance is not None:
            side = 1 if arrival.offset < 0 else -1
            anchor = "start" if side == 1 else "end"
            texts.append((arrival.chance, x[mating.number] + arrival.offset + 4 * side, anchor))
    return "".join(
        element(
            "text",
            {
                "class": "pedigree-chance",
                "x": at,
                "y": y,
                "font-size": CHANCE_SIZE,
                "text-anchor": anchor,
            },
            words(chance or ""),
        )
        for chance, at, anchor in texts
    )
