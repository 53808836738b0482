"""From the breeder's originals to the photos that are published: turned upright, in sRGB, without any metadata, in several sizes.

A published photo is named for the content of its original and for this recipe, so that the same original is encoded once and
its name tells nothing. Originals are read from the collection's photos/ folder and from nowhere else. Each photo is published
as WebP with its longest side at most each of SIDES, as far as it has them, and as JPEG, for old browsers, at most MIDDLE
pixels; nothing is enlarged.

Bounds   a file of at most MAX_BYTES and, by the size that its header gives, MAX_PIXELS are read; more is a problem, not a crash. No
         more than that are in memory at a time: photos of a telephone several together, a large one alone. What is more
         than twice ENOUGH is made smaller while it is read (JPEG) or as soon as it was, before anything else is done with its pixels:
         each step makes another copy of them. So any number of the largest take 0.1 (JPEG) to 1.3 GB (WebP, by its decoder).

`link_picture` draws what stands for a page where its link is shown, in a chat or a search: 1200 × 630, while the site is built. Its type is
Source Serif Pro, shipped with its licence; a character that it does not have is left out. Who changes how it is drawn gives its recipe in
`parts.LinkPicture` a new number.
"""

from __future__ import annotations

import hashlib
import io
import warnings
import zlib
from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache
from math import ceil
from pathlib import Path, PurePosixPath

from msgspec import Struct
from PIL import Image, ImageCms, ImageColor, ImageDraw, ImageFont, ImageOps, TiffImagePlugin, WebPImagePlugin

from clutchlight.problems import Place, Problem, system_says
from clutchlight.site import addresses
from clutchlight.site.parts import LinkPicture, PictureSize

SIDES = (480, 960, 1600)
MIDDLE = 400
WORTH_ANOTHER = 1.5
"""How much larger than a size a photo must be for a larger one to be worth its room."""
MAX_BYTES = 60_000_000
MAX_PIXELS = 80_000_000
TOGETHER = 4
"""Photos that are read at the same time, if together they have no more than MAX_PIXELS."""
ENOUGH = SIDES[-1] + 20
"""Pixels of the longer side from which all sizes are made as well as from any more."""
FORMATS = ("JPEG", "PNG", WebPImagePlugin.WebPImageFile.format, TiffImagePlugin.TiffImageFile.format, "GIF", "BMP")
"""Where one is asked for that it has not loaded, the library loads all it knows, which takes a tenth of a second."""
_RECIPE = b"10: upright, sRGB, webp 480, 960 and 1600 at 70, jpeg 400 at 62"
_FROM_SMALLER = b", from one made smaller first"
_ORIENTATION = 0x0112
_TURNS: Mapping[int, Image.Transpose] = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
"""How to turn upright what a camera held otherwise (Exif 2.32, tag 0x0112, Orientation)."""
# The library warns on the terminal. What it takes for a bomb is a problem like others here; odd metadata, which is dropped, is none.
warnings.filterwarnings("ignore", category=UserWarning, module=r"PIL\.")
warnings.filterwarnings("error", category=Image.DecompressionBombWarning)
_SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB"))

Previous = Callable[[str], bytes | None]


class PublishedPhoto(Struct, frozen=True):
    """`sizes` from small to large, as WebP; `jpeg`: the address of the one for old browsers and for link previews."""

    sizes: tuple[PictureSize, ...]
    jpeg: str

    @property
    def large(self) -> PictureSize:
        return self.sizes[-1]


class Photos(Struct, frozen=True):
    """The published photos by the name of their original, their files by address, and what was wrong."""

    published: Mapping[str, PublishedPhoto]
    files: Mapping[str, bytes]
    problems: tuple[Problem, ...]


NO_PHOTOS = Photos({}, {}, ())


def prepare(
    folder: Path,
    wanted: Iterable[tuple[str, Place]],
    previous: Previous = lambda address: None,
    *,
    encode: bool = True,
) -> Photos:
    """Publish the photos named in the records.

    `folder`: the collection's photos/. `wanted`: names with the places where they are written. `previous`: gives the bytes of a
    file of the site that stands, or None; what is there need not be encoded again. Without `encode` every photo is read, with the
    same problems, and none of their files made.
    """
    places = dict(reversed(list(wanted)))
    names = sorted(places)
    with ThreadPoolExecutor(max_workers=TOGETHER) as workers:
        at_first = list(
            workers.map(
                lambda name: _publish(folder, name, places[name], previous, encode, MAX_PIXELS // TOGETHER), names
            )
        )
    published: dict[str, PublishedPhoto] = {}
    files: dict[str, bytes] = {}
    problems: list[Problem] = []
    for name, first in zip(names, at_first, strict=True):
        # One after the other, and in one thread, which gives back to the next what memory it took.
        result = first or _publish(folder, name, places[name], previous, encode)
        if isinstance(result, Problem):
            problems.append(result)
        elif result is not None:
            published[name], copies = result
            files.update(copies)
    return Photos(published, files, tuple(problems))


def _publish(
    folder: Path, name: str, place: Place, previous: Previous, encode: bool, together: int | None = None
) -> tuple[PublishedPhoto, Mapping[str, bytes]] | Problem | None:
    """The photo and its files, or what is wrong. None: it has more pixels than `together`, and must be alone."""
    original = _original(folder, name)
    if original is None:
        return Problem.at(
            place, "photo-missing", f"there is no photo '{name}' in photos/; add the file or correct its name"
        )
    try:
        size = original.stat().st_size
        if size > MAX_BYTES:
            return _unusable(place, name, f"is larger than {MAX_BYTES // 1_000_000} MB", "save a smaller copy")
        content = original.read_bytes()
    except OSError as error:
        return Problem.at(place, "photo-unreadable", f"the photo '{name}' cannot be read: {system_says(error)}")
    try:
        with Image.open(io.BytesIO(content), formats=FORMATS) as image:
            pixels = image.width * image.height
            if pixels > MAX_PIXELS:
                raise Image.DecompressionBombError
            if not encode:
                return _looked_through(image, content)
            return _copies(image, content, previous) if together is None or pixels <= together else None
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        most = MAX_PIXELS // 1_000_000
        return _unusable(place, name, f"has more than {most} million pixels", "save a smaller copy")
    except MemoryError:
        raise
    except Exception:  # damaged bytes can make a decoder fail in any way
        return _unusable(place, name, "cannot be read as a picture", "save it as JPEG, PNG or WebP")


def _unusable(place: Place, name: str, why: str, what_to_do: str) -> Problem:
    return Problem.at(place, "photo-unreadable", f"the photo '{name}' {why}; {what_to_do}")


def _original(folder: Path, name: str) -> Path | None:
    """The file of that name inside photos/, symbolic links followed; None when it is not there or leads elsewhere."""
    relative = PurePosixPath(name)
    if not name or "\\" in name or "\0" in name or relative.is_absolute() or ".." in relative.parts:
        return None
    try:
        inside = folder.resolve(strict=True)
        file = (folder / relative).resolve(strict=True)
    except OSError:
        return None
    return file if file.is_relative_to(inside) and file.is_file() else None


def _looked_through(image: Image.Image, original: bytes) -> tuple[PublishedPhoto, Mapping[str, bytes]]:
    """All that can fail in making copies, done with as few pixels as the format can be read in."""
    sizes, _, jpeg, _ = _wanted(image, original)
    image.draft(None, (1, 1))
    _cleaned(image, 1)
    return PublishedPhoto(sizes, jpeg), {}


def _wanted(image: Image.Image, original: bytes) -> tuple[tuple[PictureSize, ...], PictureSize, str, int]:
    """The sizes as WebP; the size as JPEG, and its address; by how much it may be made smaller while it is read."""
    width, height = image.size[::-1] if _orientation(image) in (5, 6, 7, 8) else image.size
    smaller = max(width, height) // ENOUGH
    recipe = _RECIPE if smaller < 2 else _RECIPE + _FROM_SMALLER
    digest = hashlib.sha256(recipe + original).hexdigest()[:20]
    longest = max(width, height)
    sides = [*(side for side in SIDES[:-1] if longest > WORTH_ANOTHER * side), min(SIDES[-1], longest)]
    sizes = tuple(_size(digest, side, width, height) for side in sides)
    middle = _size(digest, min(MIDDLE, longest), width, height)
    return sizes, middle, middle.webp.removesuffix(".webp") + ".jpg", smaller


def _copies(image: Image.Image, original: bytes, previous: Previous) -> tuple[PublishedPhoto, Mapping[str, bytes]]:
    sizes, middle, jpeg, smaller = _wanted(image, original)
    wanted = (*((size.webp, size, "WEBP") for size in sizes), (jpeg, middle, "JPEG"))
    files: dict[str, bytes] = {}
    upright: Image.Image | None = None
    for address, size, coding in wanted:
        content = previous(address)
        if content is None:
            upright = upright or _cleaned(image, smaller)
            sized = upright.resize((size.width, size.height), Image.Resampling.BICUBIC, reducing_gap=2.0)
            content = _encoded(sized, coding)
        files[address] = content
    return PublishedPhoto(sizes, jpeg), files


def _size(digest: str, side: int, width: int, height: int) -> PictureSize:
    scale = max(width, height)
    across, down = max(1, round(width * side / scale)), max(1, round(height * side / scale))
    return PictureSize(addresses.photo(f"{digest}-{side}.webp"), across, down)


def _orientation(image: Image.Image) -> int:
    """How the picture must still be turned; the library turns TIFF itself."""
    found = 1 if image.format == "TIFF" else image.getexif().get(_ORIENTATION, 1)
    return found if isinstance(found, int) else 1


def _cleaned(image: Image.Image, smaller: int) -> Image.Image:
    """The first frame, upright, in sRGB, on white where it was transparent, and with nothing attached to it.

    `smaller`: by how much it may be made smaller first, whole times.
    """
    turn = _TURNS.get(_orientation(image))
    found = _made_smaller(image, smaller) if smaller > 1 else image
    upright = found.transpose(turn) if turn is not None else found
    profile = upright.info.get("icc_profile")
    if profile and upright.mode in ("RGB", "L", "CMYK"):
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        upright = ImageCms.profileToProfile(upright, source, _SRGB, outputMode="RGB") or upright
    if upright.has_transparency_data:
        seen = upright.convert("RGBA")
        ground = Image.new("RGBA", seen.size, "white")
        upright = Image.alpha_composite(ground, seen)
    plain = upright.convert("RGB")
    bare = Image.new("RGB", plain.size)
    bare.paste(plain)
    return bare


def _made_smaller(image: Image.Image, times: int) -> Image.Image:
    """With at most 1/`times` as many pixels across and down, rounded up, or one step less where the decoder only halves."""
    across = image.width
    image.draft(None, (image.width // times, image.height // times))  # JPEG reads an eighth, a quarter or half as many
    left = times * image.width // across
    if image.mode in ("1", "P", "PA") or "transparency" in image.info:
        image = image.convert("RGBA" if image.has_transparency_data else "RGB")
    elif image.mode.startswith("I;16"):
        image = image.convert("I")
    return image.reduce(left) if left > 1 else image


def _encoded(image: Image.Image, coding: str) -> bytes:
    target = io.BytesIO()
    if coding == "WEBP":
        image.save(target, "WEBP", quality=70, method=2)  # 6 takes four times as long, for an eighth less
    else:
        image.save(target, "JPEG", quality=62, optimize=True)
    return target.getvalue()


# The picture of a link

WIDTH, HEIGHT = 1200, 630
_TYPE = Path(__file__).parent.parent / "drawing" / "type"
_MARGIN = 56
_PHOTO = 518
_CORNER = 46
PAPER: Mapping[str, str] = {
    "paper": "#f3f3ec",
    "label": "#fdfdf9",
    "ink": "#1a211e",
    "soft": "#515b55",
    "rule": "#d3d5c9",
    "accent": "#0b5c4c",
    "margin-line": "#a9c3b8",
}
"""The colours of a theme that says none."""


_INKS: Mapping[str, int] = {"ink": 6, "soft": 3, "accent": 4}
"""Where there is no photo, the colours of letters: in how many steps, laid over the label, their edges are drawn."""
_NUMBERS: Mapping[str, int] = {"label": 0, "paper": 1, "rule": 2, "ink": 8, "soft": 11, "accent": 15}
"""Where each colour stands in the palette, that of letters after those of their edges."""
_SHADES: Mapping[str, Sequence[int]] = {
    ink: [step and _NUMBERS[ink] - steps + step for step in (round(part * steps / 255) for part in range(256))]
    for ink, steps in _INKS.items()
}
"""By how much of a pixel a letter covers, its number in the palette."""


def link_picture(picture: LinkPicture, photo: bytes | None) -> bytes:
    """The file. `photo`: that of `picture.photo`. Without one each pixel is a number in a palette from the first."""
    found = {**PAPER, **dict(picture.colours)}
    colours: Mapping[str, int | str] = _NUMBERS if photo is None else found
    image = Image.new("L" if photo is None else "RGB", (WIDTH, HEIGHT), colours["paper"])
    pen = ImageDraw.Draw(image)
    left, top, right, bottom = _MARGIN, _MARGIN, WIDTH - _MARGIN, HEIGHT - _MARGIN
    if photo is not None:
        _mounted(image, pen, photo, found)
        left += _PHOTO + _MARGIN
    else:
        pen.rectangle((left - 24, top - 24, right + 24, bottom + 24), colours["label"], colours["rule"])
        pen.rectangle((left - 24, top - 24, right + 24, top - 19), colours["ink"])

    def write(text: str, y: int, ink: str, weight: str, size: int) -> None:
        letters, across, down = _letters(text, weight, size, ink if photo is None else None)
        at = (left + across, y + down)
        if photo is None:
            image.paste(letters, at)
        else:
            image.paste(colours[ink], at, letters)

    large, smaller, size = (60, 44, 36) if photo is not None else (76, 60, 44)
    y, wide = top, right - left
    if picture.site:
        write(_first(picture.site, "Regular", 30, wide), y, "accent", "Regular", 30)
        y += 62
    big, heading = _one_of(picture.heading, (large, smaller), 3, wide)
    for line in heading[:4]:
        write(line, y, "ink", "Semibold", big)
        y += big * 7 // 6
    low, foot = _one_of(picture.foot, (44, 36), 1, wide)
    below = bottom - low * 7 // 6 * len(foot)
    y += 16
    for title, words in picture.said:
        lines = _wrapped(words, "Regular", size, wide)
        needed = (34 if title else 0) + len(lines) * size * 5 // 4
        if y + needed > below:
            write("…", y, "ink", "Regular", size)
            break
        if title:
            write(title, y, "soft", "Regular", 28)
            y += 34
        for line in lines:
            write(line, y, "ink", "Regular", size)
            y += size * 5 // 4
    for line in foot:
        write(line, below, "ink", "Semibold", low)
        below += low * 7 // 6
    target = io.BytesIO()
    if photo is not None:
        image.save(target, "JPEG", quality=60)
    else:
        image.putpalette(_palette(tuple(found.items())))
        image.save(target, "PNG", compress_level=1, compress_type=zlib.Z_RLE)
    return target.getvalue()


@lru_cache
def _palette(colours: tuple[tuple[str, str], ...]) -> Sequence[int]:
    """The sixteen colours of a picture without a photo: its grounds, and each colour of letters with those of their edges."""
    rgb = {name: ImageColor.getrgb(colour)[:3] for name, colour in colours}
    mixed = [
        round(ground + (ink - ground) * step / steps)
        for letters, steps in _INKS.items()
        for step in range(1, steps + 1)
        for ground, ink in zip(rgb["label"], rgb[letters], strict=True)
    ]
    return [*rgb["label"], *rgb["paper"], *rgb["rule"], *mixed]


@lru_cache
def _letters(text: str, weight: str, size: int, ink: str | None) -> tuple[Image.Image, int, int]:
    """How much of each pixel the letters of a line cover, or its number in the palette, and where they begin; kept, since pictures say
    much alike."""
    font = _font(weight, size)
    left, top, right, bottom = (int(edge) for edge in font.getbbox(text))
    covered = Image.new("L", (right - left, bottom - top))
    ImageDraw.Draw(covered).text((-left, -top), text, 255, font)
    return covered if ink is None else covered.point(_SHADES[ink]), left, top


def _mounted(image: Image.Image, pen: ImageDraw.ImageDraw, photo: bytes, colours: Mapping[str, str]) -> None:
    """The photo, held by its corners."""
    near, far = _MARGIN, _MARGIN + _PHOTO
    pen.rectangle((near - 16, near - 16, far + 16, far + 16), colours["label"], colours["rule"])
    with Image.open(io.BytesIO(photo)) as found:
        image.paste(ImageOps.fit(found.convert("RGB"), (_PHOTO, _PHOTO)), (near, near))
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


@lru_cache
def _wrapped(text: str, weight: str, size: int, wide: int) -> tuple[str, ...]:
    """Lines of at most that width; a word that is wider is cut where it has to be."""
    return tuple(_lines(text, weight, size, wide))


def _lines(text: str, weight: str, size: int, wide: int) -> Iterator[str]:
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
            ends = range(1, len(line))
            end = bisect_right(ends, wide, key=lambda end: ceil(font.getlength(line[:end]))) or 1
            yield line[:end]
            line = line[end:]
    yield line


def _one_of(text: str, sizes: tuple[int, int], most: int, wide: int) -> tuple[int, tuple[str, ...]]:
    """The size and the lines of a text: at the larger size where that takes no more lines than `most`, else at the smaller."""
    large, small = sizes
    lines = _wrapped(text, "Semibold", large, wide) if text else ()
    return (large, lines) if len(lines) <= most else (small, _wrapped(text, "Semibold", small, wide))


def _first(text: str, weight: str, size: int, wide: int) -> str:
    """The first line of it, with a mark where there is more."""
    first, *more = _wrapped(text, weight, size, wide - 30)
    return f"{first} …" if more else first
