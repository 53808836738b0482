"""The symbol of one animal, drawn about its own centre.

Square male, circle female, diamond unknown; one part for each trait, filled (shows), dotted (carries), striped (may carry), plain
(not carrying, or nothing said) or with a question mark (status unknown); a slash for a dead animal; a number for that many
animals alike; an arrow at the animal that the drawing is about.
"""

from clutchlight.diagrams.dot_text import SYMBOL
from clutchlight.diagrams.markup import element, words
from clutchlight.diagrams.pedigree import PedigreeAnimal, Sex, State

HALF = SYMBOL // 2
FAR = 2 * SYMBOL  # beyond any symbol: parts are cut off by its outline

OUTLINES: dict[Sex, str] = {
    "male": f"M-{HALF} -{HALF}H{HALF}V{HALF}H-{HALF}Z",
    "female": f"M-{HALF} 0A{HALF} {HALF} 0 1 1 {HALF} 0A{HALF} {HALF} 0 1 1 -{HALF} 0Z",
    "unknown": f"M-{HALF + 3} 0L0 -{HALF + 3}L{HALF + 3} 0L0 {HALF + 3}Z",
}
PARTS: dict[int, tuple[str, ...]] = {
    1: (f"M-{FAR} -{FAR}H{FAR}V{FAR}H-{FAR}Z",),
    2: (f"M-{FAR} -{FAR}H0V{FAR}H-{FAR}Z", f"M0 -{FAR}H{FAR}V{FAR}H0Z"),
    3: (
        f"M0 0V-{FAR}H{FAR}V46Z",
        f"M0 0L{FAR} 46V{FAR}H-{FAR}V46Z",
        f"M0 0L-{FAR} 46V-{FAR}H0Z",
    ),
    4: (
        f"M0 0V-{FAR}H-{FAR}V0Z",
        f"M0 0V-{FAR}H{FAR}V0Z",
        f"M0 0H-{FAR}V{FAR}H0Z",
        f"M0 0H{FAR}V{FAR}H0Z",
    ),
}
DIVIDES: dict[int, str] = {
    1: "",
    2: f"M0 -{FAR}V{FAR}",
    3: f"M0 0V-{FAR}M0 0L{FAR} 46M0 0L-{FAR} 46",
    4: f"M0 -{FAR}V{FAR}M-{FAR} 0H{FAR}",
}
PART_CENTRES: dict[int, tuple[tuple[int, int], ...]] = {
    1: ((0, 0),),
    2: ((-10, 0), (10, 0)),
    3: ((9, -5), (0, 11), (-9, -5)),
    4: ((-9, -9), (9, -9), (-9, 9), (9, 9)),
}
PLACES: dict[int, tuple[str, ...]] = {
    1: ("whole symbol",),
    2: ("left", "right"),
    3: ("upper right", "below", "upper left"),
    4: ("upper left", "upper right", "lower left", "lower right"),
}


def fill_of(state: State, prefix: str) -> dict[str, str] | None:
    """The class and the fill of a part; None for one that is left plain."""
    if state == "shows":
        return {"class": "pedigree-shows"}
    if state == "carries":
        return {"class": "pedigree-carries", "fill": f"url(#{prefix}-dots)"}
    if state == "may carry":
        return {"class": "pedigree-may-carry", "fill": f"url(#{prefix}-stripes)"}
    return None


def definitions(prefix: str, traits: int) -> str:
    """The two patterns, the three outlines that parts are cut off by, and the lines between the parts of so many traits."""
    stripes = element(
        "pattern",
        {
            "id": f"{prefix}-stripes",
            "patternUnits": "userSpaceOnUse",
            "width": 6,
            "height": 6,
            "patternTransform": "rotate(45)",
        },
        element("path", {"class": "pedigree-stripe", "d": "M1.5 0V6", "stroke-width": "2.4"}),
    )
    dots = element(
        "pattern",
        {"id": f"{prefix}-dots", "patternUnits": "userSpaceOnUse", "x": "-4", "y": "-4", "width": 8, "height": 8},
        *(element("circle", {"class": "pedigree-ink", "cx": x, "cy": y, "r": "1.7"}) for x, y in ((2, 2), (6, 6))),
    )
    clips = (
        element("clipPath", {"id": f"{prefix}-{sex}"}, element("path", {"d": outline}))
        for sex, outline in OUTLINES.items()
    )
    divide = [element("path", {"id": f"{prefix}-divide", "d": DIVIDES[traits]})] if traits > 1 else []
    return element("defs", {}, stripes, dots, *clips, *divide)


def symbol(animal: PedigreeAnimal, traits: tuple[str, ...], prefix: str) -> str:
    """Everything of the animal but its label."""
    states = tuple(animal.state(trait) for trait in traits) or ("none",)
    outline = OUTLINES[animal.sex]
    clip = f"url(#{prefix}-{animal.sex})"
    drawn = [element("path", {"class": "pedigree-ground", "d": outline})]
    parts = [
        element("path", {**fill, "d": part})
        for state, part in zip(states, PARTS[len(states)], strict=True)
        if (fill := fill_of(state, prefix)) is not None
    ]
    if len(states) > 1:
        parts.append(element("use", {"class": "pedigree-divide", "href": f"#{prefix}-divide"}))
    if parts:
        drawn.append(element("g", {"clip-path": clip}, *parts))
    drawn.append(element("path", {"class": "pedigree-outline", "d": outline, "stroke-width": "1.75"}))
    drawn += _inside(animal, states)
    if animal.dead:
        drawn.append(
            element(
                "path",
                {"class": "pedigree-dead", "d": "M-26 26L26 -26", "stroke-width": "1.75"},
            )
        )
    if animal.focus:
        drawn.append(_arrow(animal))
    return "".join(drawn)


def _inside(animal: PedigreeAnimal, states: tuple[State, ...]) -> list[str]:
    """The number of animals, and question marks."""
    texts: list[tuple[str, str, int, int]] = []
    if animal.count > 1:
        texts.append(("pedigree-number", str(animal.count), 0, 0))
    elif all(state == "unknown" for state in states):
        texts.append(("pedigree-query", "?", 0, 0))
    else:
        texts += [
            ("pedigree-query", "?", x, y)
            for state, (x, y) in zip(states, PART_CENTRES[len(states)], strict=True)
            if state == "unknown"
        ]
    drawn = []
    for css_class, text, x, y in texts:
        if any(state in ("shows", "carries", "may carry") for state in states) and css_class == "pedigree-number":
            drawn.append(element("circle", {"class": "pedigree-number-ground", "r": 6 + 4 * len(text)}))
        drawn.append(
            element(
                "text",
                {
                    "class": css_class,
                    "x": x,
                    "y": y + 5,
                    "font-size": 14,
                    "text-anchor": "middle",
                },
                words(text),
            )
        )
    return drawn


def _arrow(animal: PedigreeAnimal) -> str:
    tip = {"male": 22, "female": 17, "unknown": 16}[animal.sex]
    return element(
        "path",
        {
            "class": "pedigree-arrow",
            "d": f"M-{tip + 13} {tip + 10}L-{tip} {tip}M-{tip + 8} {tip}H-{tip}V{tip + 7}",
            "stroke-width": "1.75",
        },
    )
