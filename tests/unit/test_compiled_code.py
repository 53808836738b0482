"""Compiled code that is kept beside Python's own: taken when whole, made again when not, never needed."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from clutchlight import compiled_code, shipped
from clutchlight.site import sandbox
from clutchlight.site.rendering import templates_of
from clutchlight.site.theme import load_theme


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Python's compiled code elsewhere, and written whatever the environment says."""
    monkeypatch.setattr(sys, "pycache_prefix", str(tmp_path))
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    folder = compiled_code._place("x").parent
    folder.mkdir(parents=True)
    return folder


def kept(folder: Path) -> list[Path]:
    return sorted(entry for entry in folder.iterdir() if entry.is_file())


def test_what_is_kept_is_read_again(place: Path) -> None:
    assert compiled_code.read("one") is None
    compiled_code.keep("one", b"code")
    compiled_code.keep("one", b"newer code")
    assert (compiled_code.read("one"), compiled_code.read("other")) == (b"newer code", None)
    assert len(kept(place)) == 1


@pytest.mark.parametrize("damage", [lambda found: found[:-1], lambda found: b"", lambda found: found[:-1] + b"?"])
def test_damaged_code_counts_as_missing(place: Path, damage: Callable[[bytes], bytes]) -> None:
    compiled_code.keep("one", b"code")
    (file,) = kept(place)
    file.write_bytes(damage(file.read_bytes()))
    assert compiled_code.read("one") is None


def test_nothing_is_written_where_python_writes_nothing(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    compiled_code.keep("one", b"code")
    assert kept(place) == []


def test_a_folder_that_cannot_be_written_does_not_matter(place: Path) -> None:
    place.rmdir()
    place.write_text("a file where the folder would be", encoding="utf-8")
    compiled_code.keep("one", b"code")
    assert compiled_code.read("one") is None


def test_what_cannot_be_written_whole_leaves_nothing(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A disk that fills up in the middle."""
    real = Path.write_bytes

    def half(path: Path, content: bytes) -> int:
        real(path, content[: len(content) // 2])
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(Path, "write_bytes", half)
    compiled_code.keep("one", b"code")
    assert kept(place) == []


def test_everybody_may_read_what_is_kept(place: Path) -> None:
    """As with Python's own: what an administrator's first run compiled serves all."""
    before = os.umask(0o022)
    try:
        compiled_code.keep("one", b"code")
    finally:
        os.umask(before)
    (file,) = kept(place)
    assert os.name == "nt" or file.stat().st_mode & 0o777 == 0o644


def test_templates_that_come_with_the_program_are_kept_and_nobody_elses(place: Path, tmp_path: Path) -> None:
    """A theme of a collection's own is what a user wrote."""
    ours = templates_of(load_theme("paper", [shipped.themes()]), "templates")
    ours.get_template("base.html")
    (file,) = kept(place)
    own = tmp_path / "themes/own/templates"
    own.mkdir(parents=True)
    (own.parent / "theme.yaml").write_text("name: own\nneeds: 1\nextends: paper\n", encoding="utf-8")
    (own / "note.html").write_text("mine", encoding="utf-8")
    found = templates_of(load_theme("own", [own.parents[1], shipped.themes()]), "templates")
    assert found.get_template("note.html").render() == "mine"
    assert kept(place) == [file]


def test_kept_templates_are_told_apart_by_how_they_were_compiled(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    theme = load_theme("paper", [shipped.themes()])
    templates_of(theme, "templates").get_template("moved.html")
    before = kept(place)
    monkeypatch.setitem(sandbox.OPTIONS, "trim_blocks", False)
    templates_of(theme, "templates").get_template("moved.html")
    assert set(before) < set(kept(place))
