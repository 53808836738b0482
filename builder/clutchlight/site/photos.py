"""From the breeder's originals to the photos that are published: turned upright, in sRGB, without any metadata, in two sizes.

A published photo is named for the content of its original and for this recipe, so that the same original is encoded once and
its name tells nothing. Originals are read from the collection's photos/ folder and from nowhere else. Each photo is published
as WebP with its longest side at most SMALL and at most LARGE pixels, and as JPEG, for old browsers and for link previews, at
most MIDDLE pixels; nothing is enlarged.

Bounds: a file of at most MAX_BYTES and, by the size that its header gives, MAX_PIXELS are read; more is a problem, not a crash.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from types import MappingProxyType

from PIL import Image, ImageCms, ImageOps

from clutchlight.problems import Place, Problem
from clutchlight.site import addresses

SMALL = 480
MIDDLE = 400
LARGE = 1080
WORTH_A_SECOND = 1.5
"""How much larger than SMALL a photo must be for two sizes of it to be worth their room."""
MAX_BYTES = 60_000_000
MAX_PIXELS = 80_000_000
FORMATS = ("JPEG", "PNG", "WEBP", "TIFF", "GIF", "BMP")
_RECIPE = b"8: upright, sRGB, webp 480 and 1080 at 70, jpeg 400 at 62"
_SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB"))

Previous = Callable[[str], bytes | None]


@dataclass(frozen=True, slots=True)
class Copy:
    """One size of a published photo: its address as WebP, and its width and height in pixels."""

    webp: str
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class PublishedPhoto:
    """`sizes` from small to large, as WebP; `jpeg`: the address of the one for old browsers and for link previews."""

    sizes: tuple[Copy, ...]
    jpeg: str

    @property
    def large(self) -> Copy:
        return self.sizes[-1]


@dataclass(frozen=True)
class Photos:
    """The published photos by the name of their original, their files by address, and what was wrong."""

    published: Mapping[str, PublishedPhoto]
    files: Mapping[str, bytes]
    problems: tuple[Problem, ...]


NO_PHOTOS = Photos(MappingProxyType({}), MappingProxyType({}), ())


def prepare(folder: Path, wanted: Iterable[tuple[str, Place]], previous: Previous = lambda address: None) -> Photos:
    """Publish the photos named in the records.

    `folder`: the collection's photos/. `wanted`: names with the places where they are written. `previous`: gives the bytes of a
    file of the site that stands, or None; what is there need not be encoded again.
    """
    places = dict(reversed(list(wanted)))
    names = sorted(places)
    with ThreadPoolExecutor(max_workers=4) as workers:
        results = list(workers.map(lambda name: _publish(folder, name, places[name], previous), names))
    published: dict[str, PublishedPhoto] = {}
    files: dict[str, bytes] = {}
    problems: list[Problem] = []
    for name, result in zip(names, results, strict=True):
        if isinstance(result, Problem):
            problems.append(result)
        else:
            published[name], copies = result
            files.update(copies)
    return Photos(MappingProxyType(published), MappingProxyType(files), tuple(problems))


def _publish(
    folder: Path, name: str, place: Place, previous: Previous
) -> tuple[PublishedPhoto, Mapping[str, bytes]] | Problem:
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
        with Image.open(io.BytesIO(content), formats=FORMATS) as image:
            if image.width * image.height > MAX_PIXELS:
                return _unusable(
                    place, name, f"has more than {MAX_PIXELS // 1_000_000} million pixels", "save a smaller copy"
                )
            return _copies(image, hashlib.sha256(_RECIPE + content).hexdigest()[:20], previous)
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError, ImageCms.PyCMSError):
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


def _copies(image: Image.Image, digest: str, previous: Previous) -> tuple[PublishedPhoto, Mapping[str, bytes]]:
    width, height = _upright_size(image)
    longest = max(width, height)
    large = min(LARGE, longest)
    sides = [SMALL, large] if large > WORTH_A_SECOND * SMALL else [large]
    sizes = tuple(_size(digest, side, width, height) for side in sides)
    middle = _size(digest, min(MIDDLE, longest), width, height)
    jpeg = middle.webp.removesuffix(".webp") + ".jpg"
    wanted = (*((size.webp, size, "WEBP") for size in sizes), (jpeg, middle, "JPEG"))
    files: dict[str, bytes] = {}
    upright: Image.Image | None = None
    for address, size, coding in wanted:
        content = previous(address)
        if content is None:
            upright = upright or _cleaned(image)
            content = _encoded(upright.resize((size.width, size.height), Image.Resampling.LANCZOS), coding)
        files[address] = content
    return PublishedPhoto(sizes, jpeg), files


def _size(digest: str, side: int, width: int, height: int) -> Copy:
    scale = max(width, height)
    across, down = max(1, round(width * side / scale)), max(1, round(height * side / scale))
    return Copy(addresses.photo(f"{digest}-{side}.webp"), across, down)


def _upright_size(image: Image.Image) -> tuple[int, int]:
    turned = image.getexif().get(0x0112, 1) in (5, 6, 7, 8)
    return (image.height, image.width) if turned else (image.width, image.height)


def _cleaned(image: Image.Image) -> Image.Image:
    """The first frame, upright, in sRGB, on white where it was transparent, and with nothing attached to it."""
    upright = ImageOps.exif_transpose(image)
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


def _encoded(image: Image.Image, coding: str) -> bytes:
    target = io.BytesIO()
    if coding == "WEBP":
        image.save(target, "WEBP", quality=70, method=6)
    else:
        image.save(target, "JPEG", quality=62, optimize=True, progressive=True)
    return target.getvalue()
