"""What the system refuses is told as what it is: memory, room in files, open files, each with its own remedy."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.bench.breaking import records

from clutchlight.editing import starting
from clutchlight.pipeline import open_book
from clutchlight.problems import system_says

pytestmark = pytest.mark.slow
needs_limits = pytest.mark.skipif(sys.platform != "linux", reason="limits as Linux has them")

LIMITED = """
import resource, sys
which, most = sys.argv.pop(1), int(sys.argv.pop(1))
resource.setrlimit(getattr(resource, which), (most, most))
from clutchlight.cli import main
main()
"""


def limited(which: str, most: int, *command: object) -> tuple[int, list[str], str]:
    """A command under a limit: its exit code, the errors that it told, and all that it said on stderr."""
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    called = [sys.executable, "-c", LIMITED, which, str(most), *map(str, command)]
    done = subprocess.run(called, capture_output=True, text=True, env=environment, timeout=300)
    return done.returncode, [line for line in done.stderr.splitlines() if ": error: " in line], done.stderr


@needs_limits
@pytest.mark.parametrize(
    ("which", "most", "words"),
    [
        ("RLIMIT_AS", 2_000_000_000, "sets aside 4 GB of addresses"),
        ("RLIMIT_FSIZE", 1000, "raise the limit (`ulimit -f`)"),
        ("RLIMIT_NOFILE", 5, "raise the limit (`ulimit -n`)"),
    ],
)
def test_a_limit_that_stops_a_build_is_told(tmp_path: Path, which: str, most: int, words: str) -> None:
    """Once, whatever met it; nothing is left behind."""
    folder = records(tmp_path / "room", 1)
    code, told, said = limited(which, most, "build", folder, "--out", tmp_path / "site")
    assert (code, len(told), "Traceback" in said) == (1, 1, False), said
    assert words in told[0]
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["room"]


@needs_limits
def test_a_file_that_may_not_grow_stays_as_it_is(tmp_path: Path) -> None:
    """And so does the folder that it lies in."""
    starting.start(tmp_path / "room")
    file = tmp_path / "room/log/2024.csv"
    before = file.read_bytes()
    code, told, said = limited(
        "RLIMIT_FSIZE",
        len(before),
        "log",
        "M-01",
        "weight",
        "1200",
        "--on",
        "2024-08-11",
        "--collection",
        tmp_path / "room",
    )
    assert (code, len(told), "Traceback" in said) == (1, 1, False), said
    assert "would be larger than this process, or this disk, may write" in told[0]
    assert file.read_bytes() == before
    assert [entry.name for entry in file.parent.iterdir()] == ["2024.csv"]


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.EMFILE, "`ulimit -n`"),
        (errno.ENOMEM, "no memory is left"),
        (errno.EIO, "copy what is on it"),
        (errno.EACCES, "permission denied; look at its permissions"),
    ],
)
def test_a_record_that_cannot_be_read_says_why(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, words: str
) -> None:
    """Permissions are one reason among others."""
    folder = records(tmp_path / "room", 0)
    read: Callable[[Path], bytes] = Path.read_bytes

    def refused(path: Path) -> bytes:
        if path.name == "F-01.md":
            raise OSError(number, os.strerror(number), str(path))
        return read(path)

    monkeypatch.setattr(Path, "read_bytes", refused)
    told = [problem for problem in open_book(folder).problems if problem.code == "cannot-read"]
    assert [problem.file for problem in told] == ["animals/F-01.md"]
    assert words in told[0].message


def test_each_refusal_has_a_remedy_of_its_own() -> None:
    """No two reasons that a breeder can do something about are told alike."""
    numbers = (
        errno.ENOSPC,
        errno.EDQUOT,
        errno.EFBIG,
        errno.EMFILE,
        errno.ENFILE,
        errno.ENOMEM,
        errno.EROFS,
        errno.EIO,
    )
    said = [system_says(OSError(number, os.strerror(number))) for number in numbers]
    assert len(set(said)) == len(numbers)
    assert all(";" in words and "permissions" not in words for words in said)
