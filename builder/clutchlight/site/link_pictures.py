"""The picture that stands for a page where its link is shown, in a chat or a search: 1200 × 630, drawn while the site is built.

Its type is Source Serif Pro, shipped with its licence; a character that it does not have is left out. Who changes how a picture is drawn
gives its recipe in `link_picture` a new number.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType

from PIL import Image, ImageDraw, ImageFont, ImageOps

from clutchlight.site.link_picture import LinkPicture

WIDTH, HEIGHT = 1200, 630
_TYPE = Path(__file__).parent.parent / "drawing" / "type"
_MARGIN = 56
_PHOTO = 518
_CORNER = 46
PAPER: Mapping[str, str] = MappingProxyType(
    {
        "paper": "#f3f3ec",
        "label": "#fdfdf9",
        "ink": "#1a211e",
        "soft": "#515b55",
        "rule": "#d3d5c9",
        "accent": "#0b5c4c",
        "margin-line": "#a9c3b8",
    }
)
"""The colours of a theme that says none."""


def draw(picture: LinkPicture, photo: bytes | None) -> bytes:
    """The file. `photo`: that of `picture.photo`."""
    colours = {**PAPER, **dict(picture.colours)}
    image = Image.new("RGB", (WIDTH, HEIGHT), colours["paper"])
    pen = ImageDraw.Draw(image)
    left, top, right, bottom = _MARGIN, _MARGIN, WIDTH - _MARGIN, HEIGHT - _MARGIN
    if photo is not None:
        _mounted(image, pen, photo, colours)
        left += _PHOTO + _MARGIN
    else:
        pen.rectangle((left - 24, top - 24, right + 24, bottom + 24), colours["label"], colours["rule"])
        pen.rectangle((left - 24, top - 24, right + 24, top - 19), colours["ink"])
    size = Sizes(60, 44, 36) if photo is not None else Sizes(76, 60, 44)
    y, wide = top, right - left
    if picture.site:
        pen.text((left, y), _first(picture.site, "Regular", 30, wide), colours["accent"], _font("Regular", 30))
        y += 62
    heading = _one_of(picture.heading, (size.heading, size.long), 3, wide)
    for line in heading.lines[:4]:
        pen.text((left, y), line, colours["ink"], _font("Semibold", heading.size))
        y += heading.size * 7 // 6
    foot = _one_of(picture.foot, (44, 36), 1, wide)
    below = bottom - foot.size * 7 // 6 * len(foot.lines)
    y += 16
    for title, words in picture.said:
        lines = tuple(_wrapped(words, "Regular", size.said, wide))
        needed = (34 if title else 0) + len(lines) * size.said * 5 // 4
        if y + needed > below:
            pen.text((left, y), "…", colours["ink"], _font("Regular", size.said))
            break
        if title:
            pen.text((left, y), title, colours["soft"], _font("Regular", 28))
            y += 34
        for line in lines:
            pen.text((left, y), line, colours["ink"], _font("Regular", size.said))
            y += size.said * 5 // 4
    for line in foot.lines:
        pen.text((left, below), line, colours["ink"], _font("Semibold", foot.size))
        below += foot.size * 7 // 6
    target = io.BytesIO()
    if photo is not None:
        image.save(target, "JPEG", quality=60, optimize=True)
    else:
        image.quantize(24, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE).save(target, "PNG")
    return target.getvalue()


def _mounted(image: Image.Image, pen: ImageDraw.ImageDraw, photo: bytes, colours: Mapping[str, str]) -> None:
    """The photo, held by its corners."""
    near, far = _MARGIN, _MARGIN + _PHOTO
    pen.rectangle((near - 16, near - 16, far + 16, far + 16), colours["label"], colours["rule"])
    with Image.open(io.BytesIO(photo)) as found:
        image.paste(ImageOps.fit(found.convert("RGB"), (_PHOTO, _PHOTO), Image.Resampling.LANCZOS), (near, near))
    for x, across in ((near - 6, _CORNER), (far + 6, -_CORNER)):
        for y, down in ((near - 6, _CORNER), (far + 6, -_CORNER)):
            pen.polygon(((x, y), (x + across, y), (x, y + down)), colours["margin-line"])


@lru_cache
def _font(weight: str, size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(_TYPE / f"SourceSerifPro-{weight}.otf", size, layout_engine=ImageFont.Layout.BASIC)


_LONGEST = 400  # characters: more than a picture holds


@lru_cache(maxsize=1024)
def _has(char: str) -> bool:
    font = _font("Regular", 30)
    return char == " " or bytes(font.getmask(char)) != bytes(font.getmask("\uffff"))


def _readable(text: str) -> str:
    return " ".join("".join(char for char in text[:_LONGEST] if _has(char)).split())


def _wrapped(text: str, weight: str, size: int, wide: int) -> Iterator[str]:
    """Lines of at most that width; a word that is wider is cut where it has to be."""
    font = _font(weight, size)
    line = ""
    for word in _readable(text).split(" "):
        longer = f"{line} {word}".strip()
        if font.getlength(longer) <= wide:
            line = longer
            continue
        if line:
            yield line
        line = word
        while font.getlength(line) > wide:
            end = next(end for end in range(len(line), 0, -1) if font.getlength(line[:end]) <= wide)
            yield line[:end]
            line = line[end:]
    yield line


@dataclass(frozen=True, slots=True)
class Sizes:
    heading: int
    long: int
    said: int


@dataclass(frozen=True, slots=True)
class Set:
    """Text as it is set: its lines at a size."""

    size: int
    lines: tuple[str, ...]


def _one_of(text: str, sizes: tuple[int, int], most: int, wide: int) -> Set:
    """At the larger size where that takes no more lines than `most`, else at the smaller."""
    large, small = sizes
    lines = tuple(_wrapped(text, "Semibold", large, wide)) if text else ()
    return Set(large, lines) if len(lines) <= most else Set(small, tuple(_wrapped(text, "Semibold", small, wide)))


def _first(text: str, weight: str, size: int, wide: int) -> str:
    """The first line of it, with a mark where there is more."""
    first, *more = _wrapped(text, weight, size, wide - 30)
    return f"{first} …" if more else first
