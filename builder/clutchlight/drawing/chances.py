"""Chances drawn: as counts of eggs or snakes, and as they went over time.

Counts  `of 8 eggs, expect about 2`; `of 3 snakes like this one, 2 carry it`. The caller gives whole numbers and the sentence. The marks
        are those of the pedigrees: filled = shows, dotted = carries, striped = may carry, plain = neither.
Steps   One for every record that changed a chance, spaced evenly and not by calendar: what counts is what each record did. Whole
        percentages are given by the caller; each holds from its date to the next.

Nothing is rounded here.
"""

from collections.abc import Mapping
from typing import Literal

from msgspec import Struct

from clutchlight.drawing.markup import Drawn, element, pattern, picture, shortened, words

CountKind = Literal["egg", "counter"]
CountState = Literal["shows", "carries", "part", "empty"]

MOST = 60  # beyond that nobody counts: say it in words
IN_A_ROW = 10
MARGIN = 2
GAP = 6
SHAPES: Mapping[CountKind, tuple[int, int, str]] = {
    "egg": (26, 36, "M13 2C19 2 24 12 24 21C24 29 19 34 13 34C7 34 2 29 2 21C2 12 7 2 13 2Z"),
    "counter": (24, 24, "M12 1A11 11 0 0 1 12 23A11 11 0 0 1 12 1Z"),
}
"""Width, height and outline. A snake is a round counter: a snake drawn there was taken for one for sale."""


class CountPart(Struct, frozen=True):
    """`count` of the figure's members are drawn as `state`; `words` say what that means, for those who do not see it."""

    state: CountState
    count: int
    words: str


def counts(kind: CountKind, total: int, parts: tuple[CountPart, ...], caption: str, prefix: str) -> Drawn:
    """`total` eggs, or snakes, up to `MOST`, in rows, the first ones drawn as `parts` say, the rest empty."""
    across, down, outline = SHAPES[kind]
    states: list[CountState] = [part.state for part in parts for _ in range(part.count)]
    states += ["empty"] * (total - len(states))
    width, height = across + GAP, down + GAP
    members = [
        _member(kind, state, prefix, MARGIN + number % IN_A_ROW * width, MARGIN + number // IN_A_ROW * height)
        for number, state in enumerate(states)
    ]
    columns, rows = min(total, IN_A_ROW), -(-total // IN_A_ROW)
    size = columns * width - GAP + 2 * MARGIN, rows * height - GAP + 2 * MARGIN
    says = "; ".join(f"{part.count}: {part.words}" for part in parts if part.count and part.words != caption)
    edge = {"class": "count-outline", "stroke": "currentColor", "stroke-width": "1.4"}
    drawn = _definitions(outline, prefix, states), element("g", edge, *members)
    return picture(prefix, "count", "img", size, caption, says, (caption,), *drawn)


def _member(kind: str, state: CountState, prefix: str, x: int, y: int) -> str:
    """One egg or counter: the one shape of the figure, filled as its state says; its edge is that of the group."""
    patterns = {"carries": f"url(#{prefix}-dots)", "part": f"url(#{prefix}-stripes)"}
    fill = {"shows": "currentColor", "empty": "Canvas", **patterns}[state]
    return element(
        "use", {"class": f"count-{kind} count-{state}", "href": f"#{prefix}-shape", "x": x, "y": y, "fill": fill}
    )


def _definitions(outline: str, prefix: str, states: list[CountState]) -> str:
    """The shape, and the stripes and dots that are used, on their ground."""
    found = [element("path", {"id": f"{prefix}-shape", "stroke-linejoin": "round", "d": outline})]
    for state, name, side in (("carries", "dots", 8), ("part", "stripes", 6)):
        if state in states:
            ground = {"class": "count-empty", "d": f"M0 0H{side}V{side}H0Z", "fill": "Canvas"}
            found.append(pattern(prefix, name, "count-stripe", element("path", ground)))
    return element("defs", {}, *found)


# Steps

LEFT = 44
TOP = 26
HEIGHT = 96
STEP = 92
RIGHT = 14
BELOW = 26
SIZE = 12


class StepPoint(Struct, frozen=True):
    """From `date` on the chance was `percent`; `words` say why. `said`: the chance as it is said, where a whole percentage does not do."""

    date: str
    percent: int
    words: str
    said: str = ""

    @property
    def label(self) -> str:
        return self.said or f"{self.percent}%"


def steps(points: tuple[StepPoint, ...], caption: str, prefix: str) -> Drawn:
    """The steps from left to right, each with its figure above and its date below."""
    width = LEFT + STEP * len(points) + RIGHT
    bottom = TOP + HEIGHT
    heights = [bottom - round(HEIGHT * point.percent / 100) for point in points]
    edges = [LEFT + STEP * number for number in range(len(points) + 1)]
    path = f"M{edges[0]} {heights[0]}" + "".join(
        f"V{height}H{edge}" for height, edge in zip(heights, edges[1:], strict=True)
    )
    texts = [_text(label, LEFT - 8, y + 4, anchor="end") for label, y in (("100%", TOP), ("0%", bottom))]
    for point, height, edge in zip(points, heights, edges, strict=False):
        texts.append(_text(point.label, edge + 6, height - 6, size=14))
        texts.append(_text(shortened(point.date, SIZE, STEP - 6), edge + 1, bottom + 17))
    grid = {
        "class": "chance-grid",
        "d": "".join(f"M{LEFT} {y}H{edges[-1]}" for y in (TOP, TOP + HEIGHT // 2)),
        "stroke": "currentColor",
        "stroke-opacity": "0.25",
    }
    circles = (
        element("circle", {"cx": edge, "cy": height, "r": 3}) for height, edge in zip(heights, edges, strict=False)
    )
    says = "; ".join(f"{point.date}: {point.label}, {point.words}" for point in points)
    return picture(
        prefix,
        "chance",
        "img",
        (width, bottom + BELOW),
        caption,
        says,
        (caption,),
        element("path", grid),
        element("path", {"class": "chance-axis", "d": f"M{LEFT} {bottom}H{edges[-1]}", "stroke": "currentColor"}),
        element(
            "path",
            {"class": "chance-area", "d": f"{path}V{bottom}H{LEFT}Z", "fill": "currentColor", "fill-opacity": "0.12"},
        ),
        element("path", {"class": "chance-line", "d": path, "stroke": "currentColor", "stroke-width": "2"}),
        element("g", {"class": "chance-points", "fill": "currentColor"}, *circles),
        element("g", {"class": "chance-texts", "fill": "currentColor", "font-size": SIZE}, *texts),
    )


def _text(text: str, x: int, y: int, *, anchor: str | None = None, size: int | None = None) -> str:
    return element("text", {"x": x, "y": y, "font-size": size, "text-anchor": anchor}, words(text))
