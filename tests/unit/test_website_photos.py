"""Photos: what is published of an original, and what an original can never do."""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image

from clutchlight.problems import Place
from clutchlight.site import photos
from clutchlight.site.photos import prepare

PLACE = Place("animals/F-03.md", 9, 11)


def save(folder: Path, name: str, size: tuple[int, int] = (64, 48), *, turned: int = 0, **extra: object) -> Path:
    image = Image.new("RGB", size, (120, 60, 20))
    exif = Image.Exif()
    exif[0x010E] = "SECRET place"
    if turned:
        exif[0x0112] = turned
    file = folder / name
    image.save(file, exif=exif, **extra)  # type: ignore[arg-type]
    return file


def test_nothing_but_pixels_is_published(tmp_path: Path) -> None:
    """Descriptions, places and comments in the original are in none of the published files."""
    save(tmp_path, "fern.jpg", comment=b"SECRET comment")
    made = prepare(tmp_path, [("fern.jpg", PLACE)])
    assert made.problems == ()
    assert len(made.files) == 2
    for content in made.files.values():
        assert b"SECRET" not in content
        with Image.open(io.BytesIO(content)) as image:
            assert not image.getexif()
            assert "icc_profile" not in image.info


def test_sizes_are_two_and_nothing_is_enlarged(tmp_path: Path) -> None:
    """A large original gives a small and a large copy, a tiny one a single copy of its own size."""
    save(tmp_path, "large.jpg", (2400, 1200))
    save(tmp_path, "tiny.jpg", (64, 48))
    made = prepare(tmp_path, [("large.jpg", PLACE), ("tiny.jpg", PLACE)])
    assert [(size.width, size.height) for size in made.published["large.jpg"].sizes] == [(480, 240), (1080, 540)]
    assert [(size.width, size.height) for size in made.published["tiny.jpg"].sizes] == [(64, 48)]
    for published in made.published.values():
        for size in published.sizes:
            with Image.open(io.BytesIO(made.files[size.webp])) as image:
                assert image.size == (size.width, size.height)


def test_a_turned_photo_is_published_upright(tmp_path: Path) -> None:
    """The camera's note on how it was held is applied, since it is not published."""
    save(tmp_path, "turned.jpg", (64, 48), turned=6)
    made = prepare(tmp_path, [("turned.jpg", PLACE)])
    published = made.published["turned.jpg"]
    with Image.open(io.BytesIO(made.files[published.jpeg])) as image:
        assert image.size == (published.large.width, published.large.height) == (48, 64)


def test_what_stands_already_is_not_encoded_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The files of the previous site are taken over as they are."""
    save(tmp_path, "fern.jpg")
    first = prepare(tmp_path, [("fern.jpg", PLACE)])
    monkeypatch.setattr(photos, "_encoded", lambda image, coding: pytest.fail("encoded again"))
    assert prepare(tmp_path, [("fern.jpg", PLACE)], first.files.get).files == first.files


def test_the_name_of_a_published_photo_tells_nothing(tmp_path: Path) -> None:
    """A file name may hold a buyer's name; the published one comes from the content."""
    save(tmp_path, "sold-to-A-Bell.jpg")
    assert not any("Bell" in address for address in prepare(tmp_path, [("sold-to-A-Bell.jpg", PLACE)]).files)


@pytest.mark.parametrize(
    "name", ["../secret.jpg", "/etc/passwd", "link.jpg", "linked/secret.jpg", "missing.jpg", "a\\b.jpg", "."]
)
def test_nothing_outside_the_folder_is_read(tmp_path: Path, name: str) -> None:
    """Neither a path that climbs out nor a symbolic link leads out of photos/."""
    outside = tmp_path / "outside"
    inside = tmp_path / "photos"
    outside.mkdir()
    inside.mkdir()
    secret = save(outside, "secret.jpg")
    save(tmp_path, "secret.jpg")
    (inside / "link.jpg").symlink_to(secret)
    (inside / "linked").symlink_to(outside)
    made = prepare(inside, [(name, PLACE)])
    assert made.files == {}
    assert [(problem.code, problem.line, problem.column) for problem in made.problems] == [("photo-missing", 9, 11)]


def bomb() -> bytes:
    """A PNG of a few bytes that claims to be 60,000 pixels wide and high."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    "content", [b"", b"no picture", b"\xff\xd8\xff\xe0 cut short", bomb(), b"%!PS-Adobe-3.0 EPSF-3.0\n"]
)
def test_a_file_that_is_no_usable_picture_is_a_problem(tmp_path: Path, content: bytes) -> None:
    """Broken files, bombs and formats that run programs end in one problem at the photo's line, never in a traceback."""
    (tmp_path / "bad.jpg").write_bytes(content)
    made = prepare(tmp_path, [("bad.jpg", PLACE)])
    assert [(problem.code, problem.line) for problem in made.problems] == [("photo-unreadable", 9)]


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA", "CMYK", "I;16", "F"])
def test_every_kind_of_pixels_becomes_a_photo(tmp_path: Path, mode: str) -> None:
    """Grey, palette, transparent, print and scanner pictures all come out as plain colour."""
    file = tmp_path / ("x.tiff" if mode in ("CMYK", "F") else "x.png")
    Image.new(mode, (20, 10)).save(file)
    assert prepare(tmp_path, [(file.name, PLACE)]).problems == ()
