"""A pedigree as SVG, in the published notation.

Bennett et al. 1995, *Am J Hum Genet* 56:745-752; Bennett et al. 2008, *J Genet Couns* 17:424-433; Bennett et al. 2022, *J Genet Couns*:
square male, circle female, diamond unknown; filled = affected (here: shows the trait); several traits = parts of the
symbol; a patterned part = carries, defined in the key (2022); slash = dead; number inside = that many;
arrow = the individual of interest; mates on a horizontal line, male left; young left to right by birth; double line = related
parents; identical twins joined by a bar. A sire in doubt is dashed: our own, said in the key.

The SVG stands inside an HTML page under a strict content-security policy: no style attribute, no style sheet, no script. Its look
without any CSS is plain; classes (listed in the package's own docstring) let a theme colour it.

A symbol is drawn about its own centre. The key holds every mark that the drawing uses, and no other.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec.structs import replace

from clutchlight.drawing.arrangement import CHANCE_SIZE, SYMBOL, Arrangement, Item, Mating
from clutchlight.drawing.graphviz_layout import lay_out
from clutchlight.drawing.lines import Lines, Segment, draw_lines
from clutchlight.drawing.markup import Attributes, Drawn, element, pattern, picture, shortened, words
from clutchlight.drawing.pedigree import PedigreeAnimal, PedigreeChart, State, described
from clutchlight.model import Sex

HALF = SYMBOL // 2
MARGIN = 12
LABEL = 13
LABEL_WIDTH = 96
LINES: Attributes = {"stroke": "currentColor", "stroke-linecap": "square"}
LABEL_DROP = HALF + 23
UNDER_LABEL = HALF + 32
ABOVE, BELOW = -5, 15  # from a line to the foot of a text


def draw(pedigree: PedigreeChart, prefix: str = "pedigree") -> Drawn:
    """All that a page needs. `prefix` begins every id of the drawing and is unique on the page."""
    arrangement, places = lay_out(pedigree)
    x = {item: MARGIN + place for item, place in places.items()}
    lines = draw_lines(pedigree, arrangement, x, MARGIN)
    right = max(x[group.items[-1]] + group.width - group.offsets[-1] for group in arrangement.groups)
    size = right + MARGIN, lines.middle[-1] + UNDER_LABEL + MARGIN
    entries = tuple((_swatch(drawn), meaning) for drawn, meaning in _entries(pedigree, prefix))
    in_order = sorted(pedigree.animals, key=lambda animal: (arrangement.level[animal.id], x[animal.id]))
    said = tuple(f"{described(animal, pedigree.traits)}." for animal in in_order)
    linked = any(animal.href is not None for animal in pedigree.animals)
    chances = [_chances(mating, x, lines.middle[mating.level]) for mating in arrangement.matings]
    ink = {"class": "pedigree-animals", "fill": "currentColor", "stroke-width": "1.75", "text-anchor": "middle"}
    at = {one.id: (x[one.id], lines.middle[arrangement.level[one.id]]) for one in in_order}
    kin = _kin(lines, arrangement, at, prefix) if pedigree.to_follow else {}
    animals = element("g", ink, *(_animal(one, pedigree, at[one.id], prefix, kin.get(one.id)) for one in in_order))
    drawn = picture(
        prefix,
        "pedigree",
        "graphics-document document" if linked else "img",
        size,
        pedigree.title,
        " ".join(part for part in (pedigree.description, "" if linked else " ".join(said)) if part),
        said,
        definitions(prefix, max(1, len(pedigree.traits)), animals + "".join(swatch for swatch, _ in entries)),
        element(
            "g",
            {**LINES, "class": "pedigree-lines", "aria-hidden": "true", "stroke-width": "1.5"},
            *_paths(lines, prefix if pedigree.to_follow else None),
        ),
        element("g", {"aria-hidden": "true", "fill": "currentColor"}, *chances) if any(chances) else "",
        animals,
    )
    return drawn._replace(key=entries)


def _kin(lines: Lines, arrangement: Arrangement, at: Mapping[str, tuple[int, int]], prefix: str) -> dict[str, str]:
    """By animal, its lines to its parents and young once more, and a ring around each of those: hidden until it is pointed at."""
    found: dict[str, dict[str, None]] = {}
    for mating in arrangement.matings:
        parents, young = mating.family.parents, mating.family.young
        names = lines.of_mating(mating)
        for one, others in (*((parent, young) for parent in parents), *((child, parents) for child in young)):
            uses = found.setdefault(one, {})
            for number, line in enumerate(lines.pieces):
                if line.name in names:
                    uses[element("use", {"href": f"#{prefix}-{number}"})] = None
            for other in others:
                x, y = at[other]
                uses[element("use", {"href": f"#{prefix}-o", "x": x, "y": y})] = None
    look: Attributes = {"class": "pedigree-kin", "visibility": "hidden"}
    return {
        key: element("g", {**look, "transform": f"translate({-at[key][0]} {-at[key][1]})"}, *uses)
        for key, uses in found.items()
    }


def _animal(animal: PedigreeAnimal, pedigree: PedigreeChart, at: tuple[int, int], prefix: str, kin: str | None) -> str:
    says = described(animal, pedigree.traits)
    classes = {"pedigree-focus": animal.focus, "pedigree-nameless": animal.nameless, "pedigree-follow": kin}
    label = element("text", {"y": LABEL_DROP}, words(shortened(animal.label, LABEL, LABEL_WIDTH)))
    shared: Attributes = {
        "class": " ".join(name for name, fits in classes.items() if fits) or None,
        "aria-label": says,
        "transform": f"translate({at[0]} {at[1]})",
        "tabindex": -1 if kin else None,
    }
    inside = (kin or "", symbol(animal, pedigree.traits, prefix), label)
    if kin and animal.href is not None:
        name = element("a", {"href": animal.href}, element("use", {"href": f"#{prefix}-name"}), label)
        return element("g", {"role": "group", **shared}, *inside[:2], name)
    if animal.href is not None:
        return element("a", {"href": animal.href, **shared}, *inside)
    return element("g", {"role": "img", **shared}, *inside)


def _paths(lines: Lines, named: str | None) -> list[str]:
    """All lines, those of one look in one path, then the hollows of the double ones, which so run on through every joint.

    `named`: each by itself, with an id that begins so.
    """
    together: dict[tuple[str, bool, bool, int], list[str]] = {}
    for number, (line, pieces) in enumerate(lines.pieces.items()):
        kept = (line.kind, line.doubt, line.double, number if named else 0)
        together.setdefault(kept, []).extend(map(_piece, pieces))
    paths, hollows = [], []
    for (kind, doubt, double, number), drawn in sorted(together.items()):
        look = {
            "id": f"{named}-{number}" if named else None,
            "class": f"pedigree-{kind}" + (" pedigree-doubt" if doubt else ""),
            "d": "".join(drawn),
            "stroke-width": "5.5" if double else None,
            "stroke-linecap": "butt" if doubt else None,
            "stroke-dasharray": "6 4" if doubt else None,
        }
        paths.append(element("path", look))
        if double:
            hollow = {
                "id": None,
                "class": "pedigree-inner",
                "stroke": "Canvas",
                "stroke-width": "2.5",
                "stroke-dasharray": None,
            }
            hollows.append(element("path", {**look, **hollow}))
    return paths + hollows


def _piece(segment: Segment) -> str:
    (x1, y1), (x2, y2) = segment
    end = f"H{x2}" if y1 == y2 else f"V{y2}" if x1 == x2 else f"L{x2} {y2}"
    return f"M{x1} {y1}{end}"


def _chances(mating: Mating, x: Mapping[Item, int], y: int) -> str:
    """How likely each possible sire is, in words at the piece of line that is his alone: above it beside him, else at his column."""
    chance_of = {sire.id: sire.how_likely for sire in mating.family.sires}
    texts = []
    if mating.left is not None and chance_of.get(mating.left) is not None:
        texts.append((chance_of[mating.left], x[mating.left] + HALF + 4, ABOVE, "start"))
    for arrival in mating.arrivals:
        if arrival.chance is not None:
            side = 1 if arrival.offset < 0 else -1
            anchor = "start" if side == 1 else "end"
            height = ABOVE if arrival.from_above else BELOW
            texts.append((arrival.chance, x[mating.number] + arrival.offset + 5 * side, height, anchor))
    look: Attributes = {"class": "pedigree-chance", "font-size": CHANCE_SIZE}
    return "".join(
        element("text", {**look, "x": at, "y": y + height, "text-anchor": anchor}, words(chance or ""))
        for chance, at, height, anchor in texts
    )


OUTLINES: dict[Sex, str] = {
    "male": f"M-{HALF} -{HALF}H{HALF}V{HALF}H-{HALF}Z",
    "female": f"M-{HALF} 0A{HALF} {HALF} 0 1 1 {HALF} 0A{HALF} {HALF} 0 1 1 -{HALF} 0Z",
    "unknown": f"M-{HALF + 3} 0L0 -{HALF + 3}L{HALF + 3} 0L0 {HALF + 3}Z",
}
# A part brings its own lines, one point wide: where it meets another part at its own edge, and outside half a point from the
# middle of the symbol's outline, so that no ground shows between a filled part and any line.
PARTS: dict[Sex, dict[int, tuple[str, ...]]] = {
    "male": {
        1: ("M-19.6-19.6H19.6V19.6H-19.6Z",),
        2: ("M0-19.6V19.6H-19.6V-19.6Z", "M0-19.6V19.6H19.6V-19.6Z"),
        3: ("M0 0V-19.6H-19.6V11.3Z", "M0 0V-19.6H19.6V11.3Z", "M0 0L19.6 11.3V19.6H-19.6V11.3Z"),
        4: ("M0 0V-19.6H-19.6V0Z", "M0 0V-19.6H19.6V0Z", "M0 0V19.6H-19.6V0Z", "M0 0V19.6H19.6V0Z"),
    },
    "female": {
        1: ("M-19.6 0A19.6 19.6 0 1 1 19.6 0A19.6 19.6 0 1 1-19.6 0Z",),
        2: ("M0-19.6A19.6 19.6 0 0 0 0 19.6Z", "M0-19.6A19.6 19.6 0 0 1 0 19.6Z"),
        3: (
            "M0 0V-19.6A19.6 19.6 0 0 0-17 9.8Z",
            "M0 0V-19.6A19.6 19.6 0 0 1 17 9.8Z",
            "M0 0L17 9.8A19.6 19.6 0 0 1-17 9.8Z",
        ),
        4: (
            "M0 0V-19.6A19.6 19.6 0 0 0-19.6 0Z",
            "M0 0V-19.6A19.6 19.6 0 0 1 19.6 0Z",
            "M0 0V19.6A19.6 19.6 0 0 1-19.6 0Z",
            "M0 0V19.6A19.6 19.6 0 0 0 19.6 0Z",
        ),
    },
    "unknown": {
        1: ("M-22.4 0L0-22.4L22.4 0L0 22.4Z",),
        2: ("M0-22.4V22.4L-22.4 0Z", "M0-22.4V22.4L22.4 0Z"),
        3: (
            "M0 0V-22.4L-22.4 0L-14.2 8.2Z",
            "M0 0V-22.4L22.4 0L14.2 8.2Z",
            "M0 0L14.2 8.2L0 22.4L-14.2 8.2Z",
        ),
        4: (
            "M0 0V-22.4L-22.4 0Z",
            "M0 0V-22.4L22.4 0Z",
            "M0 0V22.4L-22.4 0Z",
            "M0 0V22.4L22.4 0Z",
        ),
    },
}
DIVIDES: dict[Sex, dict[int, str]] = {
    "male": {1: "", 2: "M0-20V20", 3: "M0 0V-20M20 11.5L0 0L-20 11.5", 4: "M0-20V20M-20 0H20"},
    "female": {1: "", 2: "M0-20V20", 3: "M0 0V-20M17.3 10L0 0L-17.3 10", 4: "M0-20V20M-20 0H20"},
    "unknown": {1: "", 2: "M0-23V23", 3: "M0 0V-23M14.6 8.4L0 0L-14.6 8.4", 4: "M0-23V23M-23 0H23"},
}
PLACES: dict[int, tuple[str, ...]] = {
    1: ("whole symbol",),
    2: ("left", "right"),
    3: ("upper left", "upper right", "lower"),
    4: ("upper left", "upper right", "lower left", "lower right"),
}


BOX = "M-11 -11H11V11H-11Z"  # a swatch of the key
EDGE: Attributes = {"class": "pedigree-ground", "fill": "Canvas", "stroke": "currentColor"}
PART: Attributes = {"stroke": "currentColor", "stroke-width": 1}
STROKE: Attributes = {"fill": "none", "stroke": "currentColor"}


def fill_of(state: State, prefix: str) -> dict[str, str] | None:
    """The class and the fill of a part; None for one that is left plain."""
    if state == "shows":
        return {"class": "pedigree-shows"}
    if state == "carries":
        return {"fill": f"url(#{prefix}-dots)"}
    if state in ("may carry", "one of"):
        return {"fill": f"url(#{prefix}-stripes)"}
    return None


def definitions(prefix: str, traits: int, drawn: str) -> str:
    """What `drawn` refers to of these: the two patterns, the symbol of each sex with the lines between so many parts, each part, a box."""
    shapes = {
        "stripes": pattern(prefix, "stripes", "pedigree-ink"),
        "dots": pattern(prefix, "dots", "pedigree-ink", corner={"x": -4, "y": -4}),
    }

    def shape(name: str, kind: str, look: Attributes, *inside: str) -> None:
        shapes[name] = element(kind, {"id": f"{prefix}-{name}", **look}, *inside)

    for sex, outline in OUTLINES.items():
        lines = DIVIDES[sex][traits]
        both = element("path", {"d": outline}), element("path", {"d": lines, "stroke-width": 1}) if lines else ""
        shape(sex[0], "g", EDGE, *both)
        for number, part in enumerate(PARTS[sex][traits], 1):
            shape(f"{sex[0]}{number}", "path", {"d": part, **PART})
    shape("box", "path", {"d": BOX, "stroke": "currentColor"})
    shape("o", "circle", {"r": HALF + 10})
    shape("name", "path", {"d": "M-48 26H48V52H-48Z", "fill": "none", "pointer-events": "all"})
    names = {name: f"#{prefix}-{name}" for name in shapes}
    return element(
        "defs", {}, *(shapes[one] for one, name in names.items() if f'"{name}"' in drawn or f"({name})" in drawn)
    )


def symbol(animal: PedigreeAnimal, traits: tuple[str, ...], prefix: str) -> str:
    """Everything of the animal but its label."""
    states = tuple(animal.state(trait) for trait in traits) or ("none",)
    href = f"#{prefix}-{animal.sex[0]}"
    drawn = [element("use", {"href": href})]
    drawn += [
        element("use", {**fill, "href": f"{href}{number}"})
        for number, state in enumerate(states, 1)
        if (fill := fill_of(state, prefix)) is not None
    ]
    drawn += _number(animal, states)
    if animal.dead:
        drawn.append(element("path", {"class": "pedigree-dead", "d": "M-26 26L26 -26", **STROKE}))
    if animal.focus:
        drawn.append(_arrow(animal))
    return "".join(drawn)


def small(animal: PedigreeAnimal, traits: tuple[str, ...], prefix: str) -> Drawn:
    """The symbol of one animal for a line of text, on a page that has a drawing with it under the same `prefix`."""
    said, size = described(animal, traits), HALF + 7
    look: Attributes = {
        "class": "pedigree-small",
        "width": 26,
        "height": 26,
        "viewBox": f"-{size} -{size} {2 * size} {2 * size}",
    }
    drawn = symbol(replace(animal, focus=False), traits, prefix)
    ink: Attributes = {"fill": "currentColor", "stroke-width": "2.5", "text-anchor": "middle"}
    svg = element("svg", {**look, "aria-hidden": "true"}, element("title", {}, words(said)), element("g", ink, drawn))
    return Drawn(svg, (said,), "", (26, 26), said)


def _number(animal: PedigreeAnimal, states: tuple[State, ...]) -> Iterator[str]:
    """The number of animals, on a ground of its own wherever a mark or a line between parts would run through it."""
    if animal.count > 1:
        number = str(animal.count)
        if len(states) > 1 or fill_of(states[0], "") is not None:
            ground: Attributes = {"class": "pedigree-number-ground", "fill": "Canvas", "r": 6 + 4 * len(number)}
            yield element("circle", ground)
        yield element("text", {"class": "pedigree-number", "x": 0, "y": 5, "font-size": 14}, number)


def _arrow(animal: PedigreeAnimal) -> str:
    tip = {"male": 22, "female": 17, "unknown": 16}[animal.sex]
    path = f"M-{tip + 13} {tip + 10}L-{tip} {tip}M-{tip + 8} {tip}H-{tip}V{tip + 7}"
    return element("path", {"class": "pedigree-arrow", "d": path, **STROKE})


# The key

SCALE = f"scale({22 / SYMBOL})"  # a symbol at about half its size


def _swatch(drawn: str) -> str:
    """A mark of the key, for a line of text."""
    look: Attributes = {"width": 32, "height": 28, "viewBox": "-16 -14 32 28", "fill": "currentColor"}
    return element("svg", {**look, "aria-hidden": "true"}, drawn)


def _entries(pedigree: PedigreeChart, prefix: str) -> Iterator[tuple[str, str]]:
    """Each mark of the drawing, and what it means."""
    animals, families = pedigree.animals, pedigree.families
    outlines: dict[Sex, tuple[str, str]] = {
        "male": (_box(prefix), "square: male"),
        "female": (element("circle", {**STROKE, "r": 11}), "circle: female"),
        "unknown": (element("path", {**STROKE, "d": "M-13 0L0-13L13 0L0 13Z"}), "diamond: sex unknown"),
    }
    yield from (entry for sex, entry in outlines.items() if any(animal.sex == sex for animal in animals))
    if len(pedigree.traits) > 1:
        for number, place in enumerate(PLACES[len(pedigree.traits)], 1):
            trait = pedigree.traits[number - 1]
            yield _part(number, prefix), f"{place} part: {trait}"
    said = {animal.state(trait) for animal in animals if animal.marks for trait in pedigree.traits}
    it = pedigree.traits[0] if len(pedigree.traits) == 1 else "it"
    in_one_look = any(mark.state == "shows" and mark.of for animal in animals for mark in animal.marks)
    meanings: tuple[tuple[State, str], ...] = (
        (
            "shows",
            f"filled: shows {it}{', or has it beside another form of the same gene' if in_one_look else ''}",
        ),
        ("carries", f"dotted: carries {it} (certain or taken as certain)"),
        ("may carry", f"striped: may carry {it}"),
        ("none", f"plain: not said to carry {it}"),
    )
    yield from ((_box(prefix, fill_of(state, prefix)), text) for state, text in meanings if state in said)
    if any(family.related for family in families):
        perhaps = all(family.perhaps_related for family in families if family.related)
        yield _strokes("M-15 -2H15M-15 2H15"), f"double line: {'perhaps ' if perhaps else ''}related parents"
    if any(family.in_doubt for family in families):
        yield _strokes("M-15 0H15", "5 4"), "dashed: a possible sire"
    if any(family.parthenogenesis for family in families):
        yield _strokes("M-15 -8H0V10"), "line from a dam alone: young without a sire"
    if any(not family.parthenogenesis and len(family.parents) == 1 for family in families):
        yield _strokes("M-15 -8H0V10"), "line from one parent: the other is not on record"
    twins = [animal.twin_group for animal in animals if animal.twin_group is not None]
    if len(set(twins)) < len(twins):
        yield _strokes("M0 -10L-12 10M0 -10L12 10M-6 0H6"), "joined by a bar: identical twins"
    if any(animal.count > 1 for animal in animals):
        three: Attributes = {"class": "pedigree-number", "y": 5, "text-anchor": "middle"}
        untold = all(animal.count == 1 or not animal.marks for animal in animals)
        many = "number: how many the sign stands for" + (", their traits not drawn" if untold else "")
        yield _box(prefix) + element("text", three, "3"), many
    if any(animal.dead for animal in animals):
        yield _box(prefix) + _strokes("M-14 14L14 -14"), "slash: dead"
    if any(animal.focus for animal in animals):
        yield _strokes("M-10 8L8 -6M-2 -6H8V4"), "arrow in the drawing: the animal of this page"


def _part(number: int, prefix: str) -> str:
    """A symbol with one part in grey, which is no mark."""
    grey: Attributes = {"href": f"#{prefix}-m{number}", "fill": "currentColor", "fill-opacity": ".45"}
    return element("g", {"transform": SCALE}, element("use", {"href": f"#{prefix}-m"}), element("use", grey))


def _box(prefix: str, fill: Mapping[str, str] | None = None) -> str:
    """A small square with a mark at its full size, so that it looks as it does in the drawing."""
    return element("use", {"href": f"#{prefix}-box", **(fill or {"fill": "none"})})


def _strokes(path: str, dashes: str | None = None) -> str:
    return element("path", {"d": path, **STROKE, "stroke-dasharray": dashes})
