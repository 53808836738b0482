"""A pedigree as SVG, in the published notation.

Bennett et al. 1995, *Am J Hum Genet* 56:745-752; Bennett et al. 2008, *J Genet Couns* 17:424-433; Bennett et al. 2022, *J Genet Couns*:
square male, circle female, diamond unknown; filled = affected (here: shows the trait); several traits = parts of the
symbol; a patterned part = carries, defined in the key (2022); slash = dead; number inside = that many; ? = status unknown;
arrow = the individual of interest; mates on a horizontal line, male left; young left to right by birth; double line = related
parents; identical twins joined by a bar. A sire in doubt is dashed: our own, said in the key.

The SVG stands inside an HTML page under a strict content-security policy: no style attribute, no style sheet, no script. Its look
without any CSS is plain; classes (listed in the package's own docstring) let a theme colour it.
"""

from collections.abc import Mapping

from clutchlight.drawing.arrangement import CHANCE_SIZE, SYMBOL, Item, Mating
from clutchlight.drawing.in_words import described, in_words
from clutchlight.drawing.layout import lay_out
from clutchlight.drawing.lines import Lines, Segment, draw_lines
from clutchlight.drawing.markup import Attributes, Drawn, element, picture, shortened, words
from clutchlight.drawing.pedigree import PedigreeAnimal, PedigreeChart
from clutchlight.drawing.symbols import definitions, key, symbol

HALF = SYMBOL // 2
MARGIN = 12
LABEL = 13
LABEL_WIDTH = 96
LABEL_DROP = HALF + 23
UNDER_LABEL = HALF + 32
NARROWEST = 328  # what a phone shows without scrolling


def draw(pedigree: PedigreeChart, prefix: str = "pedigree") -> Drawn:
    """All that a page needs. `prefix` begins every id of the drawing and is unique on the page.

    Raises ValueError for what is no pedigree, and for a prefix that cannot begin an id.
    """
    arrangement, places = lay_out(pedigree)
    x = {item: MARGIN + place for item, place in places.items()}
    lines = draw_lines(pedigree, arrangement, x, MARGIN)
    right = max(x[group.items[-1]] + group.width - group.offsets[-1] for group in arrangement.groups)
    bottom = lines.middle[-1] + UNDER_LABEL
    key_markup, key_width, key_height = key(pedigree, prefix, MARGIN, bottom + MARGIN, NARROWEST - MARGIN)
    size = max(right, key_width + MARGIN) + MARGIN, bottom + key_height + 2 * MARGIN
    said = in_words(pedigree)
    linked = any(animal.href is not None for animal in pedigree.animals)
    chances = [_chances(mating, x, lines.middle[mating.level] - 5) for mating in arrangement.matings]
    ink = {"class": "pedigree-animals", "fill": "currentColor", "stroke-width": "1.75", "text-anchor": "middle"}
    in_order = sorted(pedigree.animals, key=lambda animal: (arrangement.level[animal.id], x[animal.id]))
    animals = element(
        "g",
        ink,
        *(_animal(one, pedigree, x[one.id], lines.middle[arrangement.level[one.id]], prefix) for one in in_order),
    )
    svg = picture(
        prefix,
        "pedigree",
        "graphics-document document" if linked else "img",
        size,
        pedigree.title,
        " ".join(part for part in (pedigree.description, "" if linked else " ".join(said)) if part),
        definitions(prefix, max(1, len(pedigree.traits)), animals + key_markup),
        element(
            "g",
            {"class": "pedigree-lines", "aria-hidden": "true", "stroke": "currentColor", "stroke-width": "1.5"},
            *_paths(lines),
        ),
        element("g", {"aria-hidden": "true", "fill": "currentColor"}, *chances) if any(chances) else "",
        animals,
        key_markup,
    )
    return Drawn(svg, said)


def _animal(animal: PedigreeAnimal, pedigree: PedigreeChart, x: int, y: int, prefix: str) -> str:
    says = described(animal, pedigree.traits)
    classes = ["pedigree-focus"] if animal.focus else []
    classes += ["pedigree-nameless"] if animal.nameless else []
    label = element("text", {"y": LABEL_DROP}, words(shortened(animal.label, LABEL, LABEL_WIDTH)))
    shared = {"class": " ".join(classes) or None, "aria-label": says, "transform": f"translate({x} {y})"}
    inside = (symbol(animal, pedigree.traits, prefix), label)
    if animal.href is not None:
        return element("a", {"href": animal.href, **shared}, *inside)
    return element("g", {"role": "img", **shared}, *inside)


def _paths(lines: Lines) -> list[str]:
    """All lines, those of one look in one path, then the hollows of the double ones, which so run on through every joint."""
    together: dict[tuple[str, bool, bool], list[str]] = {}
    for line, pieces in lines.pieces.items():
        together.setdefault((line.kind, line.doubt, line.double), []).extend(map(_piece, pieces))
    paths, hollows = [], []
    for (kind, doubt, double), drawn in sorted(together.items()):
        look = {
            "class": f"pedigree-{kind}" + (" pedigree-doubt" if doubt else ""),
            "d": "".join(drawn),
            "stroke-width": "5.5" if double else None,
            "stroke-linecap": None if doubt else "square",
            "stroke-dasharray": "6 4" if doubt else None,
        }
        paths.append(element("path", look))
        if double:
            hollow = {"class": "pedigree-inner", "stroke": "Canvas", "stroke-width": "2.5", "stroke-dasharray": None}
            hollows.append(element("path", {**look, **hollow}))
    return paths + hollows


def _piece(segment: Segment) -> str:
    (x1, y1), (x2, y2) = segment
    end = f"H{x2}" if y1 == y2 else f"V{y2}" if x1 == x2 else f"L{x2} {y2}"
    return f"M{x1} {y1}{end}"


def _chances(mating: Mating, x: Mapping[Item, int], y: int) -> str:
    """The chance of each possible sire, in words at his line."""
    chance_of = {sire.id: sire.chance for sire in mating.family.sires}
    texts = []
    if mating.left is not None and chance_of.get(mating.left) is not None:
        texts.append((chance_of[mating.left], x[mating.left] + HALF + 4, "start"))
    for arrival in mating.arrivals:
        if arrival.chance is not None:
            side = 1 if arrival.offset < 0 else -1
            anchor = "start" if side == 1 else "end"
            texts.append((arrival.chance, x[mating.number] + arrival.offset + 5 * side, anchor))
    look: Attributes = {"class": "pedigree-chance", "y": y, "font-size": CHANCE_SIZE}
    return "".join(
        element("text", {**look, "x": at, "text-anchor": anchor}, words(chance or "")) for chance, at, anchor in texts
    )
