"""Compiled templates that are kept beside Python's own code: never needed, and never anybody else's."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import pytest
from msgspec.structs import replace

from clutchlight import shipped
from clutchlight.site import rendering, sandbox
from clutchlight.site.rendering import templates_of
from clutchlight.site.sandbox import Sandbox
from clutchlight.site.theme import load_theme


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Python's compiled code elsewhere, and written whatever the environment says."""
    monkeypatch.setattr(sys, "pycache_prefix", str(tmp_path))
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    rendering._ours.cache_clear()
    return tmp_path


def kept(place: Path) -> list[Path]:
    return sorted(entry for entry in place.rglob("jinja2-*/*") if entry.is_file())


def moved_template() -> object:
    """Loaded as by a process that has loaded nothing yet."""
    rendering._ours.cache_clear()
    return templates_of(load_theme("paper", [shipped.themes()]), "templates").get_template("moved.html")


def test_templates_are_loaded_once_in_a_process_for_as_long_as_their_texts_stay(tmp_path: Path) -> None:
    """A theme that was edited meanwhile is loaded anew."""
    shutil.copytree(shipped.themes() / "paper", tmp_path / "paper")

    def loaded() -> Sandbox:
        theme = load_theme("paper", [tmp_path])
        return templates_of(replace(theme, layers=tuple(replace(layer, ours=True) for layer in theme.layers)), "desk")

    first = loaded()
    assert loaded() is first
    (tmp_path / "paper/desk/more.html").write_text("more", encoding="utf-8")
    assert loaded().get_template("more.html").render() == "more"


@pytest.mark.parametrize("content", [b"", b"cut short"])
def test_damaged_code_counts_as_missing(place: Path, content: bytes) -> None:
    moved_template()
    (file,) = kept(place)
    whole = file.read_bytes()
    file.write_bytes(content)
    moved_template()
    assert file.read_bytes() == whole


def test_nothing_is_written_where_python_writes_nothing(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    moved_template()
    assert kept(place) == []


def test_a_folder_that_cannot_be_written_does_not_matter(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It cannot be made, or goes away once it was."""
    moved_template()
    (file,) = kept(place)
    keep = rendering._kept()
    file.unlink()
    file.parent.rmdir()
    monkeypatch.setattr(rendering, "_kept", lambda: keep)
    moved_template()
    monkeypatch.undo()
    monkeypatch.setattr(sys, "pycache_prefix", str(place / "file"))
    (place / "file").write_text("a file where the folder would be", encoding="utf-8")
    moved_template()
    assert kept(place) == []


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
    rendering._ours.cache_clear()
    templates_of(theme, "templates").get_template("moved.html")
    assert set(before) < set(kept(place))
