"""site_demo/ is the site built from content/, and the same records give the same bytes wherever and however they are built."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from clutchlight.problems import Place
from clutchlight.site.photos import prepare

MOST_BYTES = 6_500_000
PHOTO_DIFFERENCE = 0.15
"""Encoders of pictures change between versions, so photos are compared by name and size."""


def files_of(folder: Path) -> dict[str, bytes]:
    found = (file for file in sorted(folder.rglob("*")) if file.is_file())
    return {file.relative_to(folder).as_posix(): file.read_bytes() for file in found}


@pytest.fixture(scope="module")
def built(content_dir: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """With another hash seed, time zone, language, day and working folder than whoever renewed the committed copy."""
    surroundings = {
        **os.environ,
        "PYTHONHASHSEED": "4242",
        "TZ": "Pacific/Kiritimati",
        "LANG": "tr_TR.UTF-8",
        "LC_ALL": "C",
        "SOURCE_DATE_EPOCH": "1900000000",
    }
    place = tmp_path_factory.mktemp("golden")
    command = [sys.executable, "-m", "clutchlight", "build", str(content_dir), "--out", "elsewhere"]
    subprocess.run(command, cwd=place, env=surroundings, check=True, capture_output=True)
    return files_of(place / "elsewhere")


def plain(files: dict[str, bytes]) -> dict[str, bytes]:
    """Everything that must be the same to the byte: not photos, and not the manifest, which holds their hashes."""
    return {
        name: content
        for name, content in files.items()
        if not name.startswith("photos/") and name != ".clutchlight.json"
    }


def test_the_committed_site_is_the_one_that_the_demo_gives(built: dict[str, bytes], repository: Path) -> None:
    """No file is missing, none is extra, none differs; renew it with `python3 builder demo --renew`."""
    committed = files_of(repository / "site_demo")
    assert sorted(committed) == sorted(built)
    differing = [name for name, content in plain(built).items() if committed[name] != content]
    assert differing == [], "renew the committed copy: python3 builder demo --renew"


def test_photos_of_the_committed_site_are_of_the_same_size(built: dict[str, bytes], repository: Path) -> None:
    """Within what another version of the encoder may do."""
    committed = files_of(repository / "site_demo")
    for name, content in built.items():
        if name.startswith("photos/"):
            assert abs(len(committed[name]) - len(content)) <= PHOTO_DIFFERENCE * len(content), name


def test_the_committed_site_stays_small(repository: Path) -> None:
    """What the repository carries of it is bounded."""
    assert sum(map(len, files_of(repository / "site_demo").values())) <= MOST_BYTES


def test_machine_and_day_change_no_byte_of_a_photo(built: dict[str, bytes], content_dir: Path) -> None:
    """One encoder gives one picture; all other bytes are those of the committed site."""
    names = [file.name for file in sorted((content_dir / "photos").iterdir()) if file.is_file()][:2]
    made = prepare(content_dir / "photos", [(name, Place(name)) for name in names]).files
    assert len(made) >= 4
    assert {name: content for name, content in made.items() if built[name] != content} == {}
