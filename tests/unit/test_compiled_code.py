"""Compiled code that is kept beside Python's own: taken when whole, made again when not, never needed."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from clutchlight import compiled_code
from clutchlight.diagrams import engine
from clutchlight.diagrams.engine import layout

DOT = "digraph { a -> b; a -> c; c -> d }"


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Python's compiled code elsewhere, and written whatever the environment says."""
    monkeypatch.setattr(sys, "pycache_prefix", str(tmp_path))
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    folder = compiled_code._place("x").parent
    folder.mkdir(parents=True)
    return folder


def kept(folder: Path) -> list[Path]:
    return sorted(folder.iterdir())


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


def test_the_engine_lays_out_alike_from_kept_code(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Compiled here; taken from what was kept; and made again where that is whole but not for this machine."""
    found = []
    for spoilt in (False, False, True):
        if spoilt:
            (file,) = kept(place)
            compiled_code.keep(file.name.removesuffix(".compiled"), b"another machine's code")
        engine._engine.cache_clear()
        monkeypatch.setattr(engine, "_kept", {})
        found.append(layout(DOT))
        (file,) = kept(place)
        assert file.stat().st_size > 1_000_000
    engine._engine.cache_clear()
    assert found[0].points.keys() == {"a", "b", "c", "d"}
    assert found == [found[0]] * 3


def test_a_process_that_drew_ends_without_a_word() -> None:
    """The library complains when it is taken apart last."""
    command = [sys.executable, "-c", f"from clutchlight.diagrams.engine import layout; layout({DOT!r})"]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    done = subprocess.run(command, capture_output=True, text=True, check=True, env=environment, timeout=60)
    assert (done.stdout, done.stderr) == ("", "")
