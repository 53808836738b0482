"""Draws the "photos" of the demo collection: invented snakes on quiet paper, the same bytes of picture each time.

Run from the repository root: `python -m tests.tools.draw_demo_photos` (needs Pillow only). Writes content/photos/*.jpg.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from pathlib import Path

from msgspec.structs import replace
from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont
from tests.tools.snake_drawing import (
    SCALE,
    Body,
    Colour,
    Face,
    Point,
    Skin,
    body_along,
    hex_colour,
    mix,
    paint_body,
    paint_head,
    smooth,
    wave,
)
from tests.tools.snake_skins import BALL, CORN, WHITE, Paint, ball_skin, corn_skin

WIDTH, HEIGHT = 900, 675
PUBLISHED = (560, 420)
"""The size in the collection: the demo site with all its pages has to stay small enough to be kept in the repository."""
LARGEST = 40_000
MARK, MARK_AT, MARK_SIZE = "Drawing, no photo", (280, 360), 38
"""Said on each picture, within what a square or a broad cut leaves of it, and legible where the picture is small."""
PHOTOS = Path(__file__).parents[2] / "content" / "photos"
PAPERS = {"ivory": "#f3ecdd", "sage": "#e4e8d9", "mist": "#e2e7e8", "rose": "#f1e4de", "straw": "#f2e8cd"}


def blank(paper: str, shade: Point, spread: Point) -> Image.Image:
    """Paper with a pale wash of water colour and a soft shadow where the animal lies."""
    ground = hex_colour(PAPERS[paper])
    canvas = Image.new("RGB", (WIDTH * SCALE, HEIGHT * SCALE), ground)
    wash = Image.new("L", canvas.size, 0)
    edge = []
    for k in range(120):
        angle = k / 120 * 2 * math.pi
        reach = 1.22 + 0.05 * wave(3 * math.cos(angle) + 2 * math.sin(angle), len(paper))
        x, y = shade[0] + spread[0] * reach * math.cos(angle), shade[1] + spread[1] * reach * math.sin(angle)
        edge.append((x * SCALE, y * SCALE))
    ImageDraw.Draw(wash).polygon(edge, fill=95)
    blurred = wash.filter(ImageFilter.GaussianBlur(5 * SCALE))
    rim = ImageChops.difference(wash, blurred).point(lambda value: round(value * 0.7))
    wash = wash.filter(ImageFilter.GaussianBlur(2 * SCALE))
    canvas.paste(mix(ground, (255, 255, 255), 0.75), (0, 0, *canvas.size), wash)
    canvas.paste(mix(ground, (120, 100, 80), 0.4), (0, 0, *canvas.size), rim)
    return canvas


def sprig(canvas: Image.Image, root: Point, lean: float, size: float, colour: Colour) -> None:
    """A small pencilled sprig with leaves, for company."""
    brush = ImageDraw.Draw(canvas)
    stem = [(root[0] + math.sin(lean * k / 20) * k * size / 3, root[1] - k * size) for k in range(21)]
    brush.line([(x * SCALE, y * SCALE) for x, y in stem], fill=colour, width=2 * SCALE, joint="curve")
    for k in range(4, 21, 2):
        x, y = stem[k]
        side = 1 if k % 4 else -1
        turn = -math.pi / 2 + lean * k / 20 + side * 0.85
        long = size * (8.5 - 0.25 * k)
        tip = (x + math.cos(turn) * long, y + math.sin(turn) * long)
        bow = (-math.sin(turn) * long * 0.24, math.cos(turn) * long * 0.24)
        leaf = []
        for way, u in [(1, n / 14) for n in range(15)] + [(-1, 1 - n / 14) for n in range(15)]:
            bulge = way * math.sin(math.pi * u)
            leaf.append((x + (tip[0] - x) * u + bow[0] * bulge, y + (tip[1] - y) * u + bow[1] * bulge))
        brush.polygon(
            [(a * SCALE, b * SCALE) for a, b in leaf], fill=mix(colour, (246, 242, 230), 0.45), outline=colour
        )


def coil(centre: Point, reach: float, loops: float, start: float, mirrored: bool) -> list[Point]:
    """A low heap of loops seen from the front and above; the head comes to rest on top, in front."""
    knots: list[Point] = []
    flip = -1 if mirrored else 1
    count = 90
    for k in range(count + 1):
        u = k / count
        angle = start + u * loops * 2 * math.pi
        radius = reach * (1 - 0.7 * u**1.1) * (1 + 0.03 * math.sin(3 * angle))
        knots.append((centre[0] + flip * radius * math.cos(angle), centre[1] + radius * 0.6 * math.sin(angle) - 30 * u))
    x, y = knots[-1]
    back = knots[-4]
    drift = ((x - back[0]) / 3, (y - back[1]) / 3)
    knots.append((x + drift[0] * 5, y + drift[1] * 5))
    knots.append((x + drift[0] * 8 + flip * 18, y + drift[1] * 6 + 18))
    knots.append((x + drift[0] * 9 + flip * 52, y + drift[1] * 5 + 48))
    return smooth(knots, 8)


def ball_python(canvas: Image.Image, look: Paint, skin: Skin, pose: int, size: float, centre: Point) -> None:
    path = coil(centre, 292 * size, 2.2 + 0.08 * (pose % 3), 0.5 + 0.5 * (pose % 4), pose % 2 == 1)
    _finish(canvas, body_along(path, 76 * size, 0.26, 0.45), look, skin, 58 * size, slim=False)


def corn_path(pose: int, size: float, centre: Point) -> list[Point]:
    poses: tuple[tuple[Point, ...], ...] = (
        ((-390, 60), (-300, 190), (-120, 200), (40, 120), (150, -20), (90, -150), (-90, -170), (-220, -60), (-160, 80), (20, 130),
         (220, 150), (340, 40), (290, -120), (150, -150), (80, -70), (140, 10), (215, 30)),
        ((350, 170), (230, 210), (60, 190), (-150, 200), (-310, 110), (-310, -60), (-160, -160), (40, -150), (190, -60), (180, 80),
         (20, 120), (-120, 60), (-130, -40), (-20, -70), (70, -20)),
        ((-360, -130), (-280, -30), (-320, 110), (-180, 200), (20, 180), (210, 200), (340, 90), (300, -90), (120, -170), (-80, -140),
         (-170, -10), (-60, 90), (110, 70), (160, -30), (70, -80), (-20, -30)),
    )  # fmt: skip
    flip = -1 if pose >= len(poses) else 1
    return smooth([(centre[0] + flip * x * size, centre[1] + y * size) for x, y in poses[pose % len(poses)]])


def corn_snake(canvas: Image.Image, look: Paint, skin: Skin, pose: int, size: float, centre: Point) -> None:
    _finish(
        canvas, body_along(corn_path(pose, size, centre), 34 * size, 0.4, 0.56, 1.6), look, skin, 33 * size, slim=True
    )


def _finish(canvas: Image.Image, body: Body, look: Paint, skin: Skin, head: float, *, slim: bool) -> None:
    paint_body(canvas, body, skin, look.ink, body.girth * 3.2)
    (x0, y0), (x1, y1) = body.points[-14], body.points[-1]
    length = math.hypot(x1 - x0, y1 - y0)
    face = Face(look.ground, mix(look.blotch, look.ground, 0.2), look.belly, look.eye, look.pupil)
    if slim:
        face = replace(face, top=mix(look.ground, look.blotch, 0.35), band=look.ground)
    towards = ((x1 - x0) / length, (y1 - y0) / length)
    paint_head(canvas, (x1, y1), towards, head, face, look.ink, body.widths[-1] / head, slim=slim)


def save(canvas: Image.Image, name: str) -> None:
    """The finished picture; one with much fine line work is pressed a little harder, to stay under `LARGEST` bytes."""
    small = canvas.resize(PUBLISHED, Image.Resampling.LANCZOS)
    ImageDraw.Draw(small).text(
        MARK_AT,
        MARK,
        fill=(40, 36, 30),
        font=ImageFont.load_default(MARK_SIZE),
        anchor="mm",
        stroke_width=3,
        stroke_fill=(250, 247, 238),
    )
    target = PHOTOS / f"{name}.jpg"
    for quality in (80, 72, 64, 56):
        small.save(target, quality=quality, optimize=True, progressive=True)
        if target.stat().st_size <= LARGEST:
            return


def portrait(name: str, look: str, paper: str, pose: int, *, size: float = 1.0, white: float = 0.0) -> None:
    """A ball python alone on paper."""
    canvas = blank(paper, (450, 385), (345 * size, 225 * size))
    sprig(canvas, (78 if pose % 2 else 826, 610), 0.5 if pose % 2 else -0.5, 9, hex_colour("#9aa58a"))
    colours = BALL[look]
    skin = ball_skin(colours, 1.3 + pose * 0.77, plain_back="pinstripe" in look, white=white)
    ball_python(canvas, colours, skin, pose, size, (450, 385))
    save(canvas, name)


def corn_portrait(name: str, look: str, paper: str, pose: int, *, size: float = 0.95) -> None:
    """A corn snake alone on paper."""
    canvas = blank(paper, (450, 350), (370 * size, 245 * size))
    corn_snake(canvas, CORN[look], corn_skin(CORN[look], look, 0.4 + pose), pose, size, (450, 345))
    save(canvas, name)


def tub(bedding: str) -> Image.Image:
    """A plain tub seen from above, with bedding."""
    canvas = Image.new("RGB", (WIDTH * SCALE, HEIGHT * SCALE), hex_colour(PAPERS["mist"]))
    brush = ImageDraw.Draw(canvas)
    shade = Image.new("L", canvas.size, 0)
    ImageDraw.Draw(shade).rounded_rectangle([v * SCALE for v in (82, 72, 838, 632)], 60 * SCALE, fill=110)
    canvas.paste(hex_colour("#6d6a72"), (0, 0, *canvas.size), shade.filter(ImageFilter.GaussianBlur(14 * SCALE)))
    for inset, colour in ((0, "#8d9494"), (3, "#f7f8f5"), (17, "#c9cfcd"), (20, bedding)):
        box = [v * SCALE for v in (68 + inset, 54 + inset, 832 - inset, 621 - inset)]
        brush.rounded_rectangle(box, (58 - inset) * SCALE, fill=hex_colour(colour))
    for k in range(420):
        x, y = 100 + (k * 197.3) % 700, 86 + (k * 131.7 + 17 * math.sin(k)) % 504
        tone = mix(hex_colour(bedding), WHITE if k % 3 else (90, 70, 50), 0.22)
        r = 3 + 2 * math.sin(k * 1.7)
        brush.ellipse([v * SCALE for v in (x - r, y - r * 0.7, x + r, y + r * 0.7)], fill=tone)
    return canvas


def egg(canvas: Image.Image, at: Point, long: float, wide: float, tilt: float, *, slit: bool = False) -> None:
    """A leathery white egg, lit from above left; with a slit if it has been opened from within."""

    def oval(grow: float, shift: float = 0.0) -> list[Point]:
        found = []
        for k in range(90):
            a = k / 90 * 2 * math.pi
            x, y = long * grow * math.cos(a), wide * grow * math.sin(a) * (1 - 0.06 * math.cos(a))
            x, y = x * math.cos(tilt) - y * math.sin(tilt), x * math.sin(tilt) + y * math.cos(tilt)
            found.append(((at[0] + x - shift) * SCALE, (at[1] + y - shift * 1.2) * SCALE))
        return found

    shade = Image.new("L", canvas.size, 0)
    ImageDraw.Draw(shade).polygon([(x + 10 * SCALE, y + 13 * SCALE) for x, y in oval(1.0)], fill=120)
    canvas.paste((70, 52, 46), (0, 0, *canvas.size), shade.filter(ImageFilter.GaussianBlur(9 * SCALE)))
    brush = ImageDraw.Draw(canvas)
    brush.polygon(oval(1.0), fill=hex_colour("#cfc3b0"))
    for k in range(1, 24):
        u = k / 24
        brush.polygon(oval(1 - 0.8 * u, 13 * u), fill=mix(hex_colour("#d3c7b4"), hex_colour("#fffdf7"), u**0.6))
    ring = oval(1.0)
    brush.line([*ring, ring[0]], fill=hex_colour("#7d6a5a"), width=round(1.7 * SCALE), joint="curve")
    if slit:
        cut = []
        for way in (1, -1):
            for k in range(31):
                u = -1 + k / 15 if way == 1 else 1 - k / 15
                x, y = long * 0.56 * u, way * wide * 0.27 * (1 - u * u) + 1.2 * math.sin(k * 1.1)
                x, y = x * math.cos(tilt) - y * math.sin(tilt), x * math.sin(tilt) + y * math.cos(tilt)
                cut.append(((at[0] + x) * SCALE, (at[1] + y) * SCALE))
        brush.polygon(cut, fill=hex_colour("#6f5148"), outline=hex_colour("#a08a76"))


def eggs_in_a_tub(name: str) -> None:
    """Six eggs as they were laid, on damp bedding."""
    canvas = tub("#b49a78")
    for x, y, tilt in (
        (330, 262, 0.35),
        (520, 232, -0.25),
        (640, 352, 0.9),
        (285, 408, -0.3),
        (462, 372, 0.15),
        (585, 478, -0.15),
    ):
        egg(canvas, (x, y), 104, 72, tilt)
    save(canvas, name)


def out_of_their_eggs(name: str) -> None:
    """Six eggs, five of them slit, with a head in each slit; the white one shows two traits."""
    canvas = tub("#a98f70")
    nest: tuple[tuple[float, float, float, str | None, float], ...] = (
        (270, 235, 0.25, "normal", 2.2),
        (468, 205, -0.15, None, 0),
        (655, 262, 0.3, "pastel", 0.9),
        (250, 430, -0.2, "lavender albino", 2.5),
        (455, 385, 0.1, "white", 1.45),
        (645, 468, -0.25, "normal", 0.5),
    )
    for x, y, tilt, look, _ in nest:
        egg(canvas, (x, y), 108, 78, tilt, slit=look is not None)
    for x, y, _, look, way in nest:
        if look is None:
            continue
        colours = BALL["lavender albino" if look == "white" else look]
        skin = ball_skin(colours, 0.7 + x / 90, white=1.2 if look == "white" else 0.0, last=1.2)
        dx, dy = math.cos(way), math.sin(way)
        bend = 9 if x < 450 else -9
        path = smooth([(x - dx * 22, y - dy * 8), (x + dy * bend, y - dx * bend), (x + dx * 26, y + dy * 26)])
        _finish(canvas, body_along(path, 23, 0.02, 0.92, 1.0), colours, skin, 34, slim=False)
    save(canvas, name)


def corns_in_a_tray(name: str) -> None:
    """Four young corn snakes, one of each colour of the clutch."""
    canvas = tub("#e9e5da")
    for k, (look, x, y) in enumerate(
        (("normal", 285, 225), ("snow", 610, 222), ("anerythristic", 288, 462), ("amelanistic", 615, 458))
    ):
        corn_snake(canvas, CORN[look], corn_skin(CORN[look], look, k * 1.1), (k * 2 + 1) % 6, 0.4, (x, y))
    save(canvas, name)


def main(only: tuple[str, ...]) -> None:
    jobs: dict[str, Callable[[str], None]] = {
        "cobble": lambda n: portrait(n, "normal", "sage", 0, white=0.62),
        "bracken": lambda n: portrait(n, "enchi", "ivory", 1),
        "rook": lambda n: portrait(n, "pastel", "mist", 2),
        "mote": lambda n: portrait(n, "pastel", "straw", 7, white=0.55, size=0.88),
        "plum": lambda n: portrait(n, "lavender albino", "sage", 5),
        "burdock": lambda n: portrait(n, "pinstripe", "mist", 4),
        "juniper": lambda n: portrait(n, "normal", "ivory", 3),
        "dapple": lambda n: portrait(n, "normal", "straw", 6, white=0.82),
        "apricot": lambda n: portrait(n, "candino", "sage", 8),
        "sundew": lambda n: portrait(n, "lavender albino", "rose", 9, white=0.55, size=0.87),
        "c26-01-2": lambda n: portrait(n, "pastel", "rose", 11, size=0.87),
        "c26-01-3": lambda n: portrait(n, "normal", "mist", 10, white=0.5, size=0.87),
        "c26-01-4": lambda n: portrait(n, "lavender albino", "ivory", 2, size=0.87),
        "c26-01-5": lambda n: portrait(n, "normal", "sage", 1, size=0.87),
        "c26-01-6": lambda n: portrait(n, "pastel", "sage", 4, white=0.5, size=0.87),
        "c26-03-2": lambda n: portrait(n, "pastel", "ivory", 3, white=0.72, size=0.87),
        "c26-04-1": lambda n: portrait(n, "candino", "mist", 6, size=0.84),
        "c26-04-3": lambda n: portrait(n, "pastel candino", "sage", 7, size=0.84),
        "c25-03-1": lambda n: portrait(n, "pinstripe desert ghost", "sage", 5, size=0.88),
        "c25-03-2": lambda n: portrait(n, "desert ghost", "rose", 0, size=0.88),
        "ember": lambda n: corn_portrait(n, "amelanistic", "mist", 0),
        "heather": lambda n: corn_portrait(n, "motley", "ivory", 1),
        "linnet": lambda n: corn_portrait(n, "stripe", "sage", 2),
        "c26-05-1": lambda n: corn_portrait(n, "snow", "sage", 4, size=0.84),
        "c26-05-2": lambda n: corn_portrait(n, "amelanistic", "ivory", 5, size=0.84),
        "c26-05-3": lambda n: corn_portrait(n, "anerythristic", "straw", 3, size=0.84),
        "c26-05-4": lambda n: corn_portrait(n, "normal", "mist", 1, size=0.84),
        "clutch-c26-01": out_of_their_eggs,
        "clutch-c26-05": corns_in_a_tray,
        "clutch-c26-06": eggs_in_a_tub,
    }
    PHOTOS.mkdir(parents=True, exist_ok=True)
    for name, draw in jobs.items():
        if not only or name in only:
            draw(name)


if __name__ == "__main__":
    main(tuple(sys.argv[1:]))
