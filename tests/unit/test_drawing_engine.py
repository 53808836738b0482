"""The layout engine: what it answers, and the compiled code that it keeps: taken when whole, made again when not, never needed."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from clutchlight.drawing import graphviz_layout as engine
from clutchlight.drawing.graphviz_layout import rendered

pytestmark = pytest.mark.slow

DOT = "digraph { a -> b; a -> c; c -> d }"


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Where the code is kept, in an empty folder, and an engine that is not loaded yet."""
    monkeypatch.setattr(sys, "pycache_prefix", str(tmp_path))
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    engine._graphviz.cache_clear()
    yield engine._code()
    engine._graphviz.cache_clear()


def test_text_that_is_not_dot_is_refused() -> None:
    """The engine's own error becomes one of ours, and it goes on working."""
    with pytest.raises(ValueError, match="refused the DOT: Failed to parse"):
        rendered("digraph {")
    assert '"name": "a"' in rendered(DOT)


def test_names_of_any_letters_come_back() -> None:
    """What goes in and out is UTF-8, of any length."""
    name = "Ωmega ü 蛇 " * 500
    assert name in rendered(f'digraph {{ "{name}" }}', "dot").replace("\\\n", "")


def test_kept_code_is_taken_when_whole_and_made_again_when_damaged(kept: Path) -> None:
    """Running damaged code could end the process, so a file that is not as it was left is not taken."""
    first = rendered(DOT)
    left = kept.read_bytes()
    assert len(left) > 500_000

    engine._graphviz.cache_clear()
    written = kept.stat().st_mtime_ns
    assert rendered(DOT) == first
    assert (kept.stat().st_mtime_ns, kept.read_bytes()) == (written, left)

    engine._graphviz.cache_clear()
    kept.write_bytes(left[:5000] + bytes(5000) + left[10_000:])
    assert rendered(DOT) == first
    assert kept.read_bytes() == left


def test_nothing_is_kept_where_python_keeps_nothing(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    assert '"name": "a"' in rendered(DOT)
    assert not kept.exists()


def test_code_that_cannot_be_kept_does_not_matter(kept: Path) -> None:
    kept.mkdir(parents=True)
    assert '"name": "a"' in rendered(DOT)


def test_a_process_that_drew_ends_without_a_word() -> None:
    """The library complains when it is taken apart last."""
    command = [sys.executable, "-c", f"from clutchlight.drawing.graphviz_layout import rendered; rendered({DOT!r})"]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    done = subprocess.run(command, capture_output=True, text=True, check=True, env=environment, timeout=60)
    assert (done.stdout, done.stderr) == ("", "")
