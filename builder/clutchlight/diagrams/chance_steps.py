"""A chance as it went over time: a step for every record that changed it.

Whole percentages are given by the caller (rounded down elsewhere); each holds from its date to the next. Steps are spaced evenly, one
for each record, not by calendar: what counts is what each record did.
"""

from dataclasses import dataclass

from clutchlight.diagrams.counts import Figure
from clutchlight.diagrams.markup import element, picture, words
from clutchlight.diagrams.text_width import shortened

LEFT = 44
TOP = 26
HEIGHT = 96
STEP = 92
RIGHT = 14
BELOW = 26
SIZE = 12


@dataclass(frozen=True, slots=True)
class StepPoint:
    """From `date` on the chance was `percent`; `words` say why. `said`: the chance as it is said, where a whole percentage does not do."""

    date: str
    percent: int
    words: str
    said: str = ""

    @property
    def label(self) -> str:
        return self.said or f"{self.percent}%"


def steps(points: tuple[StepPoint, ...], caption: str, prefix: str) -> Figure:
    """The steps from left to right, each with its figure above and its date below.

    Raises ValueError without points or for a percentage outside 0 to 100.
    """
    if not points:
        raise ValueError("no steps to draw")
    if any(not 0 <= point.percent <= 100 for point in points):
        raise ValueError("a percentage lies between 0 and 100")
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
    svg = picture(
        prefix,
        "chance",
        "img",
        (width, bottom + BELOW),
        caption,
        says,
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
    return Figure(svg, f"{caption}: {says}.")


def _text(text: str, x: int, y: int, *, anchor: str | None = None, size: int | None = None) -> str:
    return element("text", {"x": x, "y": y, "font-size": size, "text-anchor": anchor}, words(text))
