"""Draws a snake as a painted tube: a path, a thickness along it and a skin, in an ink-and-wash manner.

Convention: lengths are in final pixels; everything is drawn `SCALE` times larger and reduced once at the end.
A skin is a function of (along, across): `along` in body widths from the tail, `across` from -1 (one flank) over 0 (the spine) to 1.
The path runs from tail to head; later parts lie on earlier ones. Nothing is random: irregularities come of fixed sines.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise

from msgspec import Struct
from PIL import Image, ImageChops, ImageDraw, ImageFilter

SCALE = 2
STRIP = 1.3
LIGHT = (-0.38, -0.56, 0.74)

Colour = tuple[int, int, int]
Point = tuple[float, float]
Skin = Callable[[float, float], Colour]


def hex_colour(text: str) -> Colour:
    return int(text[1:3], 16), int(text[3:5], 16), int(text[5:7], 16)


def mix(first: Colour, second: Colour, share: float) -> Colour:
    """`first` with `share` of `second` stirred in."""
    share = min(1.0, max(0.0, share))
    return (
        round(first[0] + (second[0] - first[0]) * share),
        round(first[1] + (second[1] - first[1]) * share),
        round(first[2] + (second[2] - first[2]) * share),
    )


def lit(colour: Colour, amount: float) -> Colour:
    """Darker below 1, lighter above."""
    if amount <= 1:
        return mix((44, 30, 34), colour, amount)
    return mix(colour, (255, 252, 244), amount - 1)


def wave(value: float, seed: float) -> float:
    """A smooth irregular value between -1 and 1."""
    return (
        math.sin(value * 1.7 + seed) + math.sin(value * 3.1 + seed * 2.3) * 0.6 + math.sin(value * 5.3 - seed) * 0.3
    ) / 1.9


class Body(Struct, frozen=True):
    """Evenly spaced points of the path with the half width at each, in final pixels."""

    points: tuple[Point, ...]
    widths: tuple[float, ...]
    girth: float


def even(points: Sequence[Point], step: float) -> list[Point]:
    """The same path with a point every `step` pixels."""
    found = [points[0]]
    carried = 0.0
    for (x0, y0), (x1, y1) in pairwise(points):
        length = math.hypot(x1 - x0, y1 - y0)
        at = step - carried
        while at <= length:
            found.append((x0 + (x1 - x0) * at / length, y0 + (y1 - y0) * at / length))
            at += step
        carried = (carried + length) % step
    return found


def smooth(knots: Sequence[Point], pieces: int = 40) -> list[Point]:
    """A Catmull-Rom curve through the knots."""
    ring = [knots[0], *knots, knots[-1]]
    found: list[Point] = []
    for k in range(len(knots) - 1):
        p0, p1, p2, p3 = ring[k : k + 4]
        for n in range(pieces):
            t = n / pieces
            found.append((_spline(p0[0], p1[0], p2[0], p3[0], t), _spline(p0[1], p1[1], p2[1], p3[1], t)))
    found.append(knots[-1])
    return found


def _spline(a: float, b: float, c: float, d: float, t: float) -> float:
    return 0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t * t + (3 * b - a - 3 * c + d) * t**3)


def body_along(path: Sequence[Point], girth: float, tail: float, neck: float, step: float = 2.0) -> Body:
    """A body that swells from a thin tail over the share `tail` of its length and narrows again to the neck."""
    points = even(path, step)
    last = len(points) - 1
    widths = []
    for k in range(len(points)):
        at = k / last
        swell = math.sin(min(1.0, at / tail) * math.pi / 2) ** 0.8
        narrow = 1 - (1 - neck) * max(0.0, (at - 0.78) / 0.22) ** 1.5
        widths.append(max(girth * swell * narrow, 1.2))
    return Body(tuple(points), tuple(widths), girth)


def paint_body(canvas: Image.Image, body: Body, skin: Skin, ink: Colour, turn: float) -> None:
    """Paints the body onto the canvas in pieces `turn` pixels long, each with its shadow on what lies under it."""
    points, widths = body.points, body.widths
    tangents = [_direction(points, k) for k in range(len(points))]
    step = math.hypot(points[1][0] - points[0][0], points[1][1] - points[0][1])
    piece = max(8, round(turn / step))
    before = Image.new("L", canvas.size, 0)
    for start in range(0, len(points) - 1, piece):
        stop = min(start + piece, len(points) - 1)
        mask = Image.new("L", canvas.size, 0)
        brush = ImageDraw.Draw(mask)
        for k in range(start, stop + 1):
            _disc(brush, points[k], widths[k], 255)
        _shadow(canvas, mask, before, body.girth)
        _paint_piece(canvas, body, tangents, skin, ink, (start, stop))
        before = mask


def _paint_piece(
    canvas: Image.Image, body: Body, tangents: Sequence[Point], skin: Skin, ink: Colour, span: tuple[int, int]
) -> None:
    brush = ImageDraw.Draw(canvas)
    points, widths = body.points, body.widths
    step = math.hypot(points[1][0] - points[0][0], points[1][1] - points[0][1])
    for k in range(*span):
        (x0, y0), (x1, y1) = points[k], points[k + 1]
        (dx0, dy0), (dx1, dy1) = tangents[k], tangents[k + 1]
        w0, w1 = widths[k], widths[k + 1]
        along = k * step / (2 * body.girth)
        strips = max(10, round(2 * w0 / STRIP))
        for strip in range(strips):
            a0, a1 = -1 + 2 * strip / strips, -1 + 2 * (strip + 1) / strips
            across = (a0 + a1) / 2
            normal = (-dy0 * across, dx0 * across, math.sqrt(1 - across * across))
            glow = sum(n * ray for n, ray in zip(normal, LIGHT, strict=True))
            colour = lit(skin(along, across), 0.66 + 0.36 * max(0.0, glow) + 0.35 * max(0.0, glow - 0.86))
            quad = [
                (x0 - dy0 * a0 * w0, y0 + dx0 * a0 * w0),
                (x0 - dy0 * a1 * w0, y0 + dx0 * a1 * w0),
                (x1 - dy1 * a1 * w1 + dx1, y1 + dx1 * a1 * w1 + dy1),
                (x1 - dy1 * a0 * w1 + dx1, y1 + dx1 * a0 * w1 + dy1),
            ]
            brush.polygon([(x * SCALE, y * SCALE) for x, y in quad], fill=colour)
        for side in (-1, 1):
            thick = 1.5 + 0.5 * math.sin(k / 23 + side)
            edge = [(x0 - dy0 * side * w0, y0 + dx0 * side * w0), (x1 - dy1 * side * w1, y1 + dx1 * side * w1)]
            brush.line([(x * SCALE, y * SCALE) for x, y in edge], fill=ink, width=round(thick * SCALE))


def _shadow(canvas: Image.Image, mask: Image.Image, before: Image.Image, girth: float) -> None:
    """A soft shadow of the mask, down and to the right, but not on the piece that it grows out of."""
    drop = round(girth * 0.2 * SCALE)
    soft = ImageChops.offset(mask, drop, drop).filter(ImageFilter.GaussianBlur(girth * 0.16 * SCALE))
    soft = ImageChops.subtract(soft, before).point(lambda value: round(value * 0.42))
    canvas.paste(Image.new("RGB", canvas.size, (52, 38, 44)), (0, 0), soft)


def _disc(brush: ImageDraw.ImageDraw, at: Point, radius: float, fill: int) -> None:
    x, y, r = at[0] * SCALE, at[1] * SCALE, radius * SCALE
    brush.ellipse((x - r, y - r, x + r, y + r), fill=fill)


def _direction(points: Sequence[Point], k: int) -> Point:
    (x0, y0), (x1, y1) = points[max(0, k - 2)], points[min(len(points) - 1, k + 2)]
    length = math.hypot(x1 - x0, y1 - y0) or 1.0
    return (x1 - x0) / length, (y1 - y0) / length


class Face(Struct, frozen=True):
    """The colours of a head: its top, the band through the eye, the lip, the eye and its pupil."""

    top: Colour
    band: Colour
    lip: Colour
    eye: Colour
    pupil: Colour


def paint_head(
    canvas: Image.Image, at: Point, direction: Point, size: float, face: Face, ink: Colour, neck: float, *, slim: bool
) -> None:
    """A head seen from above, its neck at `at`, looking along `direction`; `neck` is the neck's half width in sizes of the head."""
    dx, dy = direction

    def place(forward: float, aside: float) -> Point:
        return at[0] + (dx * forward - dy * aside) * size, at[1] + (dy * forward + dx * aside) * size

    wide = 0.62 if slim else 0.86
    half = [
        (-0.5, neck),
        (0.0, neck * 1.02),
        (0.5, wide * 0.93),
        (0.95, wide),
        (1.4, wide * 0.74),
        (1.8, wide * 0.5),
        (2.02, wide * 0.26),
    ]
    outline = smooth([*half, (2.08, 0.0), *[(f, -a) for f, a in reversed(half)]], 14)
    shape = [place(f, a) for f, a in outline]
    mask = Image.new("L", canvas.size, 0)
    ImageDraw.Draw(mask).polygon(_up(shape), fill=255)
    behind = Image.new("L", canvas.size, 0)
    _disc(ImageDraw.Draw(behind), place(-0.35, 0), size * 0.8, 255)
    _shadow(canvas, mask, behind, size * 0.9)
    layer = canvas.copy()
    brush = ImageDraw.Draw(layer)
    brush.polygon(_up([p for (f, _), p in zip(outline, shape, strict=True) if f > -0.05]), fill=face.lip)
    brush.polygon(_up([place(f, a * min(1.0, 1.04 - 0.1 * f)) for f, a in outline if f > -0.05]), fill=face.band)
    crown = [(-0.5, neck * 0.8), (0.3, neck * 0.72), (0.9, wide * 0.5), (1.4, wide * 0.42), (1.85, wide * 0.22)]
    brush.polygon(
        _up([place(f, a) for f, a in smooth([*crown, *[(f, -a) for f, a in reversed(crown)]], 12)]), fill=face.top
    )
    for side in (-1, 1):
        _eye(brush, place(1.28, side * wide * 0.62), size * (0.15 if slim else 0.16), face, ink)
        _disc_colour(brush, place(1.9, side * wide * 0.2), size * 0.035, ink)
    whole = mask.copy()
    fade = Image.new("L", canvas.size, 0)
    for k in range(12):
        _disc(ImageDraw.Draw(fade), place(1.55 - 0.06 * k, 0), size * 1.55, 255)
    mask = ImageChops.multiply(mask, fade.filter(ImageFilter.GaussianBlur(size * 0.1 * SCALE)))
    gloss = Image.new("L", canvas.size, 0)
    spot = place(0.85, 0)
    _disc(ImageDraw.Draw(gloss), (spot[0] - size * 0.2, spot[1] - size * 0.3), size * 0.45, 80)
    gloss = ImageChops.multiply(gloss.filter(ImageFilter.GaussianBlur(size * 0.25 * SCALE)), whole)
    canvas.paste(layer, (0, 0), mask)
    canvas.paste(Image.new("RGB", canvas.size, (255, 252, 244)), (0, 0), gloss)
    rim = [p for (f, _), p in zip(outline, shape, strict=True) if f > -0.1]
    ImageDraw.Draw(canvas).line(_up(rim), fill=ink, width=round(1.8 * SCALE), joint="curve")


def _eye(brush: ImageDraw.ImageDraw, at: Point, radius: float, face: Face, ink: Colour) -> None:
    _disc_colour(brush, at, radius * 1.15, ink)
    _disc_colour(brush, at, radius, face.eye)
    _disc_colour(brush, at, radius * 0.5, face.pupil)
    _disc_colour(brush, (at[0] - radius * 0.32, at[1] - radius * 0.36), radius * 0.24, (255, 255, 255))


def _disc_colour(brush: ImageDraw.ImageDraw, at: Point, radius: float, fill: Colour) -> None:
    x, y, r = at[0] * SCALE, at[1] * SCALE, radius * SCALE
    brush.ellipse((x - r, y - r, x + r, y + r), fill=fill)


def _up(points: Sequence[Point]) -> list[Point]:
    return [(x * SCALE, y * SCALE) for x, y in points]
