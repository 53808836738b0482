"""Publishing under violence: see `tests/bench/breaking.py`, of which these are the short forms."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from tests.bench.breaking import beside, records, tree

from clutchlight.cli import main
from clutchlight.publishing.folders import build_lock
from clutchlight.publishing.manifest import MANIFEST

pytestmark = pytest.mark.slow

needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork there")


def broken(*what: str) -> str:
    """Runs a form of it in a process of its own; a claim that does not hold fails the test."""
    command = [sys.executable, "-m", "tests.bench.breaking", *what]
    paths = os.pathsep.join(sys.path)
    done = subprocess.run(
        command, capture_output=True, text=True, check=False, env={**os.environ, "PYTHONPATH": paths}, timeout=600
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@needs_fork
@pytest.mark.parametrize("way", [(), ("--renames",)], ids=["exchange", "renames"])
def test_a_fault_at_every_operation_leaves_a_whole_site(way: tuple[str, ...]) -> None:
    """Each operation of publishing in turn fails as on a full disk, or is the last one of the process."""
    counts = broken("operations", *way)
    assert all(int(count.split(":")[1]) > 40 for count in counts.split(","))


@needs_fork
@pytest.mark.parametrize(("way", "count"), [((), 4), (("--renames",), 3)], ids=["exchange", "renames"])
def test_a_build_killed_at_random_moments_leaves_a_whole_site(way: tuple[str, ...], count: int) -> None:
    """The whole command, killed; what stands is one of the two sites, and the next run finishes and leaves nothing beside."""
    broken("kills", "--count", str(count), "--seed", "4", *way)


@needs_fork
@pytest.mark.skipif(sys.platform != "linux", reason="the exchange in one step")
def test_a_reader_never_finds_the_site_missing() -> None:
    """Two pages are read again and again while the site is exchanged thirty times."""
    assert int(broken("reader", "--count", "30").split(":")[1]) > 30


def build(folder: Path, out: Path) -> Result:
    return CliRunner().invoke(main, ["build", str(folder), "--out", str(out)])


@pytest.fixture
def standing(tmp_path: Path) -> tuple[Path, Path]:
    """A site that stands, and records that would make another."""
    out = tmp_path / "site"
    assert build(records(tmp_path / "before", 0), out).exit_code == 0
    return records(tmp_path / "after", 1), out


def refused(result: Result, words: str) -> bool:
    """Whether a command ended with a problem of that wording, and no traceback."""
    return result.exit_code == 1 and words in result.stderr and isinstance(result.exception, SystemExit)


@pytest.mark.parametrize(("number", "words"), [(errno.ENOSPC, "the disk is full"), (errno.EROFS, "can only be read")])
def test_a_full_or_read_only_disk_is_a_problem_with_a_remedy(
    standing: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch, number: int, words: str
) -> None:
    """One line; the site stands as it was, and nothing is left beside it."""
    folder, out = standing
    before = tree(out)

    def fails(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync", fails)
    assert refused(build(folder, out), words)
    monkeypatch.undo()
    assert (tree(out), beside(out)) == (before, [])
    assert build(folder, out).exit_code == 0
    assert tree(out) != before


def test_a_second_build_is_told_to_wait(standing: tuple[Path, Path]) -> None:
    """While another holds the lock; the site stands as it was."""
    folder, out = standing
    before = tree(out)
    with build_lock(out):
        assert refused(build(folder, out), "another build is writing this folder")
    assert tree(out) == before


@pytest.mark.skipif(not Path("/proc/self").is_dir(), reason="a folder where nobody may write")
def test_a_folder_where_nobody_may_write_is_a_problem_with_a_remedy(tmp_path: Path) -> None:
    """Not a traceback, whoever runs it."""
    assert refused(build(records(tmp_path / "records", 0), Path("/proc/clutchlight/site")), "out-unwritable")


def test_a_manifest_that_cannot_be_read_is_no_foreign_folder(
    standing: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that fails is told from a folder that somebody else made."""
    folder, out = standing
    read_text = Path.read_text

    def fails(file: Path, *arguments: object, **more: object) -> str:
        if file.name == MANIFEST:
            raise OSError(errno.EIO, os.strerror(errno.EIO), str(file))
        return read_text(file, *arguments, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(Path, "read_text", fails)
    assert refused(build(folder, out), "out-unwritable")
