"""`check` reads photos, prose and themes as `build` does: the same problems, told before anything is written."""

from __future__ import annotations

import io
import time
from collections.abc import Mapping
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from PIL import Image
from tests.rooms import md, write
from tests.unit.whole_room import picture

from clutchlight.cli import main

pytestmark = pytest.mark.slow

ONE: Mapping[str, str | bytes] = {
    "animals/F-01.md": md("id: F-01\nphotos: [a.jpg]", "See [her](F-01)."),
    "photos/a.jpg": picture(),
}


def settings(theme: str) -> str:
    return (
        "format: 1\nname: Room\ncollection_id: 3f6c2f0e-8b1d-4c52-9d4e-0a7b1c2d3e4f\nspecies: [ball-python]\n"
        f"currency: EUR\ntheme: {theme}\n"
    )


def run(*words: str | Path) -> Result:
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exception is None or isinstance(result.exception, SystemExit)
    return result


def cut_short(content: bytes) -> bytes:
    return content[: len(content) * 3 // 4]


def with_profile(profile: bytes) -> bytes:
    target = io.BytesIO()
    Image.new("RGB", (300, 200), "olive").save(target, "JPEG", icc_profile=profile)
    return target.getvalue()


PNG_BOMB = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\xff\xff\0\0\xff\xff\x08\x02\0\0\0\x1d\xd6\xdc\x1d"

BROKEN: Mapping[str, tuple[dict[str, str | bytes], str]] = {
    "no picture": ({"photos/a.jpg": b"not a picture"}, "[photo-unreadable]"),
    "nothing": ({"photos/a.jpg": b""}, "[photo-unreadable]"),
    "cut short": ({"photos/a.jpg": cut_short(picture((400, 300)))}, "[photo-unreadable]"),
    "PNG cut short": ({"photos/a.jpg": cut_short(picture((400, 300), "PNG"))}, "[photo-unreadable]"),
    "too many pixels": ({"photos/a.jpg": PNG_BOMB}, "[photo-unreadable]"),
    "odd colours": ({"photos/a.jpg": with_profile(b"no profile")}, "[photo-unreadable]"),
    "no such theme": ({"collection.yaml": settings("mine")}, "there is no theme 'mine'"),
    "theme of another version": (
        {"collection.yaml": settings("mine"), "themes/mine/theme.yaml": "needs: 99\n"},
        "themes/mine/theme.yaml:1:1: error: theme 'mine' needs page contract 99",
    ),
    "theme that extends nothing": (
        {"collection.yaml": settings("mine"), "themes/mine/theme.yaml": "needs: 1\nextends: gone\n"},
        "themes/mine/theme.yaml:2:10: error: there is no theme 'gone'",
    ),
    "template that is none": (
        {
            "collection.yaml": settings("mine"),
            "themes/mine/theme.yaml": "needs: 1\nextends: paper\n",
            "themes/mine/templates/animal.html": "{% if %}",
        },
        "themes/mine/templates/animal.html:1:1: error: the template cannot be used",
    ),
    "template that asks for what is not there": (
        {
            "collection.yaml": settings("mine"),
            "themes/mine/theme.yaml": "needs: 1\nextends: paper\n",
            "themes/mine/templates/animal.html": "\n{{ page.nothing_of_that_name }}",
        },
        "themes/mine/templates/animal.html:2:1: error: the template cannot be used",
    ),
    "desk template": (
        {
            "collection.yaml": settings("mine"),
            "themes/mine/theme.yaml": "needs: 1\nextends: paper\n",
            "themes/mine/desk/today.html": "{{ page.nothing_of_that_name }}",
        },
        "themes/mine/desk/today.html:1:1: error: the template cannot be used",
    ),
    "a link in prose": (
        {"animals/F-01.md": md("id: F-01", "See [him](M-99) and [this](other.html).")},
        "animals/F-01.md:2:1: warning: the link 'M-99' in the prose leads to nothing on the site",
    ),
    "a link to a plan that is none": (
        {
            "animals/F-01.md": md("id: F-01\nwas: OLD-1", "[Me](OLD-1), [all](lineage/), [him](plans/F-01/M-01/)."),
            "animals/M-01.md": md("id: M-01"),
        },
        "animals/F-01.md:2:1: warning: the link 'plans/F-01/M-01/' in the prose leads to nothing on the site",
    ),
    "a link to an unlisted animal": (
        {
            "animals/F-01.md": md("id: F-01", "See [him](M-01)."),
            "animals/M-01.md": md("id: M-01\npublish: no"),
        },
        "animals/F-01.md:2:1: warning: the link 'M-01' in the prose leads to nothing on the site",
    ),
    "warnings of records and of pages": (
        {
            "animals/F-01.md": md("id: F-01\nsex: female\ntests: [{trait: Piebald, copies: 0, on: 2024-01-01}]"),
            "pages/about.md": md("title: About", "See [him](M-99)."),
            "sales/2024.yaml": "- {animals: [F-01], agreed: 1, payments: [{on: 2024-01-01, amount: 2}], handed_over: 2024-01-02}\n",
        },
        "sales/2024.yaml:1:32: warning: the payments add up to 2, more than the 1 agreed",
    ),
    "a picture in prose": (
        {"pages/about.md": md("title: About", "![a snake](gone.jpg)")},
        "pages/about.md:2:1: error: there is no photo 'gone.jpg' in photos/",
    ),
    "a picture by reference": (
        {"pages/about.md": md("title: About", "![a snake][s]\n\n[s]: gone.jpg\n")},
        "pages/about.md:2:1: warning: the picture 'gone.jpg' in the prose leads to nothing on the site",
    ),
}


@pytest.mark.parametrize(("files", "told"), BROKEN.values(), ids=BROKEN)
def test_check_tells_what_a_build_would(tmp_path: Path, files: dict[str, str | bytes], told: str) -> None:
    """Word for word the same problems, and the same end."""
    folder = write(tmp_path / "room", {**ONE, **files})
    checked = run("check", folder)
    built = run("build", folder, "--out", tmp_path / "site", "--desk", tmp_path / "desk")
    assert told in checked.stderr
    assert checked.stderr == built.stderr
    assert checked.exit_code == built.exit_code == (0 if "warning" in told else 1)


def test_what_is_whole_is_told_nothing_of(tmp_path: Path) -> None:
    """The same collection without a fault, with a theme of its own; nothing is written by check."""
    files = {
        **ONE,
        "collection.yaml": settings("mine"),
        "themes/mine/theme.yaml": "needs: 1\nextends: paper\n",
        "themes/mine/templates/not_found.html": '{% extends "base.html" %}{% block main %}<p>Not here.</p>{% endblock %}',
        "pages/terms.md": md(
            "title: Terms", "[Top](#top) [us](https://example.org/) [mail](mailto:a@example.org) [her](../animals/F-01)"
        ),
    }
    folder = write(tmp_path / "room", files)
    before = sorted(tmp_path.rglob("*"))
    checked = run("check", folder)
    assert (checked.exit_code, checked.stderr) == (0, "")
    assert sorted(tmp_path.rglob("*")) == before
    assert run("build", folder, "--out", tmp_path / "site", "--desk", tmp_path / "desk").stderr == ""


def test_photos_are_looked_through_without_being_made(tmp_path: Path) -> None:
    """A photo of 24 megapixels costs check a fraction of what its copies cost a build."""
    folder = write(tmp_path / "room", {**ONE, "photos/a.jpg": picture((6000, 4000))})
    seconds = {}
    for words in (("check", folder), ("build", folder, "--out", tmp_path / "site")):
        started = time.process_time()
        assert run(*words).exit_code == 0
        seconds[words[0]] = time.process_time() - started
    assert seconds["check"] < seconds["build"] / 2
