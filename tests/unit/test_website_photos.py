"""Photos: what is published of an original, and what an original can never do."""

from __future__ import annotations

import errno
import io
import os
import struct
import subprocess
import sys
import zlib
from datetime import date
from pathlib import Path

import pytest
from PIL import Image, ImageChops, ImageStat

from clutchlight.model import When
from clutchlight.model.animals import Photo
from clutchlight.problems import Place
from clutchlight.site import photos
from clutchlight.site.context import latest_first
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


def test_sizes_are_those_that_an_original_has(tmp_path: Path) -> None:
    """A large original gives copies for small and for sharp screens, a tiny one a single copy of its own size; nothing is enlarged."""
    save(tmp_path, "large.jpg", (2400, 1200))
    save(tmp_path, "tiny.jpg", (64, 48))
    made = prepare(tmp_path, [("large.jpg", PLACE), ("tiny.jpg", PLACE)])
    assert [(size.width, size.height) for size in made.published["large.jpg"].sizes] == [
        (480, 240),
        (960, 480),
        (1600, 800),
    ]
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


def claiming(width: int, height: int) -> bytes:
    """A PNG of a few bytes that claims to be that large."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize("content", [b"", b"no picture", b"\xff\xd8\xff\xe0 cut short", b"%!PS-Adobe-3.0 EPSF-3.0\n"])
def test_a_file_that_is_no_usable_picture_is_a_problem(tmp_path: Path, content: bytes) -> None:
    """Broken files and formats that run programs end in one problem at the photo's line, never in a traceback."""
    (tmp_path / "bad.jpg").write_bytes(content)
    made = prepare(tmp_path, [("bad.jpg", PLACE)])
    assert [(problem.code, problem.line) for problem in made.problems] == [("photo-unreadable", 9)]


@pytest.mark.parametrize("size", [(8001, 10_000), (10_000, 9000), (20_000, 5000), (60_000, 60_000)])
def test_a_picture_over_the_limit_is_not_read(tmp_path: Path, size: tuple[int, int]) -> None:
    """By what its header says, whatever the library thinks of that size; and told as what it is."""
    (tmp_path / "bad.png").write_bytes(claiming(*size))
    (problem,) = prepare(tmp_path, [("bad.png", PLACE)]).problems
    assert problem.code == "photo-unreadable"
    assert problem.message == "the photo 'bad.png' has more than 80 million pixels; save a smaller copy"


def test_a_photo_that_the_system_does_not_hand_over_says_why(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is no broken picture."""
    save(tmp_path, "fern.jpg")

    def refused(path: Path) -> bytes:
        raise OSError(errno.EMFILE, os.strerror(errno.EMFILE), str(path))

    monkeypatch.setattr(Path, "read_bytes", refused)
    (problem,) = prepare(tmp_path, [("fern.jpg", PLACE)]).problems
    assert "`ulimit -n`" in problem.message


LARGE = """
import resource, sys
from pathlib import Path
from clutchlight.problems import Place
from clutchlight.site.photos import prepare
most = int(sys.argv[1])
resource.setrlimit(resource.RLIMIT_AS, (most, most))
made = prepare(Path(sys.argv[2]), [(name, Place("x")) for name in sys.argv[3:]])
assert made.problems == () and len(made.files) == 4 * len(sys.argv[3:]), made.problems
"""


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="a limit as Linux has it")
def test_photos_at_the_limit_are_in_memory_one_at_a_time(tmp_path: Path) -> None:
    """Three of 80 million pixels, as telephones and as scanners save them, in 700 MB of addresses, program included."""
    for number, name in enumerate(("a.jpg", "b.jpg", "c.png")):
        Image.new("RGB", (10_320, 7740), (120, 60, 20 + 40 * number)).save(tmp_path / name, compress_level=1)
    command = [sys.executable, "-c", LARGE, "700000000", str(tmp_path), "a.jpg", "b.jpg", "c.png"]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    done = subprocess.run(command, capture_output=True, text=True, env=environment, timeout=300)
    assert done.returncode == 0, done.stderr


@pytest.mark.slow
def test_a_large_photo_gives_what_a_smaller_one_gives(tmp_path: Path) -> None:
    """Made smaller while it is read, turned upright after: the same picture, in the same sizes."""
    picture = Image.linear_gradient("L").resize((900, 1200)).convert("RGB")
    picture.paste((200, 30, 30), (0, 0, 450, 600))
    exif = Image.Exif()
    exif[0x0112] = 6
    names = ("small.jpg", "small.tif", "large.jpg", "large.tif")
    for name in names:
        scale = 4 if name.startswith("large") else 1
        scaled = picture.resize((picture.width * scale, picture.height * scale))
        scaled.save(tmp_path / name, exif=exif, quality=95)
    made = prepare(tmp_path, [(name, PLACE) for name in names])
    assert made.problems == ()
    small, *large = (made.files[made.published[name].jpeg] for name in names)
    with Image.open(io.BytesIO(small)) as one:
        for content in large:
            with Image.open(io.BytesIO(content)) as other:
                assert other.size == one.size == (400, 300)
                difference = ImageStat.Stat(ImageChops.difference(one.convert("RGB"), other.convert("RGB")))
                assert max(difference.mean) < 3


@pytest.mark.parametrize("size", [(20, 10), (3300, 20)], ids=["small", "made smaller"])
@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA", "CMYK", "I;16", "F"])
def test_every_kind_of_pixels_becomes_a_photo(tmp_path: Path, mode: str, size: tuple[int, int]) -> None:
    """Grey, palette, transparent, print and scanner pictures all come out as plain colour."""
    file = tmp_path / ("x.tiff" if mode in ("CMYK", "F") else "x.png")
    Image.new(mode, size).save(file)
    assert prepare(tmp_path, [(file.name, PLACE)]).problems == ()


def test_the_newest_photo_comes_first_and_those_without_a_date_last() -> None:
    """These as they were written; so too those of one day."""
    days = {"a": None, "b": "2026-05-01", "c": "2026-07-01", "d": None, "e": "2026-05-01"}
    written = [Photo(name, PLACE, When.day(date.fromisoformat(day)) if day else None) for name, day in days.items()]
    assert "".join(photo.file for photo in latest_first(written)) == "cbead"
