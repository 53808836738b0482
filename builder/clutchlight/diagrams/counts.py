"""Chances drawn as counts: eggs of a clutch, snakes with one record.

`of 8 eggs, expect about 2`; `of 3 snakes with this record, 2 carry it`. The caller gives whole numbers and the sentence; nothing is
rounded here. The marks are those of the pedigrees: filled = shows, striped = may carry, plain = neither.
"""

from dataclasses import dataclass
from typing import Literal

from clutchlight.diagrams.markup import checked_prefix, element, picture

CountState = Literal["shows", "part", "empty"]

MOST = 60  # beyond that nobody counts: say it in words
IN_A_ROW = 10
EGG = (26, 36)
SNAKE = (40, 38)
MARGIN = 2
GAP = 6

EGG_OUTLINE = "M13 2C19 2 24 12 24 21C24 29 19 34 13 34C7 34 2 29 2 21C2 12 7 2 13 2Z"
# A snake in a coil, seen from above: a band about an Archimedean spiral (1.85 turns, 8.2 points from turn to turn, half-width 3),
# thinner at the tail inside, with a head swelling from the tangent at its outer end.
SNAKE_OUTLINE = (
    "M21.1 20.4Q20.8 20.7 20.9 21Q21 21.3 21 21.5Q21 21.8 20.9 22.1Q20.8 22.5 20.7 22.7Q20.5 23 20.2 23.3"
    "Q20 23.5 19.7 23.7Q19.3 23.8 18.9 23.9Q18.6 24 18.1 24Q17.7 23.9 17.3 23.8Q16.9 23.6 16.5 23.4"
    "Q16.2 23.1 15.9 22.7Q15.6 22.4 15.4 21.9Q15.2 21.5 15.1 20.9Q15 20.4 15.1 19.9Q15.2 19.4 15.3 18.8"
    "Q15.5 18.3 15.8 17.8Q16.1 17.2 16.5 16.8Q17 16.3 17.6 16Q18.2 15.6 18.9 15.4Q19.6 15.2 20.4 15.2"
    "Q21.2 15.3 22 15.5Q22.8 15.7 23.5 16.2Q24.2 16.6 24.9 17.3Q25.5 18 25.9 18.8Q26.4 19.7 26.6 20.7"
    "Q26.8 21.7 26.8 22.7Q26.7 23.8 26.3 24.8Q26 25.9 25.4 26.8Q24.7 27.8 23.8 28.6Q22.9 29.3 21.8 29.9"
    "Q20.7 30.4 19.4 30.6Q18.1 30.9 16.8 30.8Q15.5 30.6 14.2 30.2Q12.9 29.7 11.8 28.8Q10.6 28 9.7 26.9"
    "Q8.8 25.7 8.2 24.4Q7.5 23 7.3 21.4Q7.1 19.9 7.3 18.3Q7.5 16.7 8.1 15.2Q8.7 13.7 9.7 12.3Q10.7 10.9 12.1 9.8"
    "Q13.4 8.7 15.1 8Q16.7 7.2 18.6 6.9Q20.4 6.6 22.5 6.9Q24.6 7.2 25.9 7.4Q27.2 7.6 28.5 8.2Q29.9 8.7 31.2 9"
    "Q32.6 9.4 33.7 9.2Q34.8 9.1 35.9 8.5Q36.9 7.9 37.5 7.1Q38.1 6.3 38.5 5.5Q38.9 4.7 38.3 3.7Q37.6 2.8 36.9 2.2"
    "Q36.2 1.6 35.2 1.2Q34.2 0.8 33.2 0.8Q32.3 0.8 31.2 1.1Q30 1.5 28.8 1.9Q27.6 2.3 26.5 2.2Q25.3 2.2 22.9 1.8"
    "Q20.5 1.4 17.9 1.7Q15.3 1.9 13 2.9Q10.6 3.8 8.5 5.3Q6.5 6.8 5 8.7Q3.5 10.7 2.6 13Q1.6 15.2 1.4 17.6"
    "Q1.1 20 1.4 22.3Q1.8 24.6 2.7 26.8Q3.6 28.9 5.1 30.6Q6.5 32.4 8.3 33.7Q10.1 35 12.1 35.7Q14.2 36.5 16.3 36.7"
    "Q18.4 36.9 20.5 36.5Q22.5 36.1 24.3 35.3Q26.2 34.4 27.7 33.1Q29.2 31.8 30.3 30.2Q31.4 28.5 32 26.7"
    "Q32.6 24.9 32.7 23.1Q32.8 21.2 32.4 19.5Q32 17.7 31.2 16.1Q30.4 14.5 29.2 13.3Q28.1 12 26.6 11.1"
    "Q25.2 10.2 23.6 9.8Q22.1 9.3 20.5 9.3Q18.9 9.3 17.4 9.7Q15.9 10 14.6 10.8Q13.3 11.6 12.3 12.6"
    "Q11.3 13.6 10.6 14.9Q9.9 16.1 9.6 17.4Q9.3 18.8 9.5 20.1Q9.6 21.4 10.1 22.5Q10.5 23.7 11.3 24.6"
    "Q12 25.5 12.9 26.2Q13.8 26.8 14.8 27.2Q15.7 27.5 16.7 27.6Q17.7 27.7 18.6 27.4Q19.5 27.2 20.2 26.8"
    "Q20.9 26.4 21.4 25.8Q22 25.3 22.3 24.6Q22.6 24 22.7 23.4Q22.8 22.7 22.7 22.2Q22.6 21.6 22.3 21.1"
    "Q22.1 20.7 21.8 20.4Q21.5 20.1 21.1 20.4Z"
)
SNAKE_EYE = ("34.5", "4.9")


@dataclass(frozen=True, slots=True)
class CountPart:
    """`count` of the figure's members are drawn as `state`; `words` say what that means, for those who do not see it."""

    state: CountState
    count: int
    words: str


@dataclass(frozen=True, slots=True)
class Figure:
    """A small drawing and the sentence that says the same."""

    svg: str
    words: str


def eggs(total: int, parts: tuple[CountPart, ...], caption: str, prefix: str) -> Figure:
    """`total` eggs in rows, the first ones drawn as `parts` say, the rest empty.

    Raises ValueError when the parts are more than the total, or the total is not 1 to 60.
    """
    return _figure("egg", EGG, EGG_OUTLINE, total, parts, caption, prefix)


def snakes(total: int, parts: tuple[CountPart, ...], caption: str, prefix: str) -> Figure:
    """`total` snakes in rows, the first ones drawn as `parts` say, the rest empty. Errors as for `eggs`."""
    return _figure("snake", SNAKE, SNAKE_OUTLINE, total, parts, caption, prefix)


def _figure(
    kind: str, cell: tuple[int, int], outline: str, total: int, parts: tuple[CountPart, ...], caption: str, prefix: str
) -> Figure:
    checked_prefix(prefix)
    if not 1 <= total <= MOST:
        raise ValueError(f"{total} cannot be drawn: 1 to {MOST} can")
    marked = sum(part.count for part in parts)
    if marked > total or any(part.count < 0 for part in parts):
        raise ValueError(f"{marked} of {total} are marked")
    states: list[CountState] = [part.state for part in parts for _ in range(part.count)]
    states += ["empty"] * (total - marked)
    width, height = cell[0] + GAP, cell[1] + GAP
    members = [
        _member(kind, state, prefix, MARGIN + number % IN_A_ROW * width, MARGIN + number // IN_A_ROW * height)
        for number, state in enumerate(states)
    ]
    columns, rows = min(total, IN_A_ROW), -(-total // IN_A_ROW)
    size = columns * width - GAP + 2 * MARGIN, rows * height - GAP + 2 * MARGIN
    says = "; ".join(f"{part.count}: {part.words}" for part in parts if part.count)
    svg = picture(prefix, "count", "img", size, caption, says, _definitions(outline, prefix), *members)
    return Figure(svg, caption)


def _member(kind: str, state: CountState, prefix: str, x: int, y: int) -> str:
    """One egg or snake: its ground, its mark, its edge. All three use the one outline of the figure."""
    href = f"#{prefix}-outline"
    drawn = [element("use", {"class": "count-empty", "href": href, "fill": "Canvas"})]
    if state == "shows":
        drawn.append(element("use", {"class": "count-shows", "href": href, "fill": "currentColor"}))
    elif state == "part":
        drawn.append(element("use", {"class": "count-part", "href": href, "fill": f"url(#{prefix}-stripes)"}))
    edge = {"class": "count-outline", "href": href, "stroke": "currentColor", "stroke-width": "1.4"}
    drawn.append(element("use", edge))
    if kind == "snake":
        eye: dict[str, str | int | None] = {"cx": SNAKE_EYE[0], "cy": SNAKE_EYE[1], "r": "1.2"}
        if state == "shows":
            drawn.append(element("circle", {"class": "count-empty", "fill": "Canvas", **eye}))
        else:
            drawn.append(element("circle", {"class": "count-eye", "fill": "currentColor", **eye}))
    return element("g", {"class": f"count-{kind}", "transform": f"translate({x} {y})"}, *drawn)


def _definitions(outline: str, prefix: str) -> str:
    stripes: dict[str, str | int | None] = {
        "id": f"{prefix}-stripes",
        "patternUnits": "userSpaceOnUse",
        "width": 6,
        "height": 6,
        "patternTransform": "rotate(45)",
    }
    stripe = {"class": "count-stripe", "d": "M1.5 0V6", "stroke": "currentColor", "stroke-width": "2.4"}
    return element(
        "defs",
        {},
        element("path", {"id": f"{prefix}-outline", "d": outline, "stroke-linejoin": "round"}),
        element("pattern", stripes, element("path", stripe)),
    )
