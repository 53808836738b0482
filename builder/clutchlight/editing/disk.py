"""How bytes reach the disk: into a temporary file beside their place, which then takes the name in one step.

So a file is the old one or the new one whenever a command is killed, and never half of it. What a killed command left, the next one clears.
"""

from __future__ import annotations

import errno
import os
import re
import stat
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from clutchlight.problems import Place, RecordsError, system_says

KEPT = ".clutchlight"
"""The folder in a collection's where the program keeps notes of its own, which may be deleted at any time."""


def kept_in(folder: Path) -> Path:
    """That folder, made if need be, and out of git's sight. Raises OSError where it cannot be had."""
    kept = folder / KEPT
    if kept.is_symlink():
        raise OSError(errno.ELOOP, "a link stands in its place", str(kept))
    kept.mkdir(exist_ok=True)
    ignored = kept / ".gitignore"
    if not ignored.exists():
        ignored.write_text("*\n", encoding="utf-8")
    return kept


def put(path: Path, content: bytes, mode: int) -> None:
    """Gives a file new content in one step."""
    with temporary(path.parent, content, mode) as made:
        os.replace(made, path)  # noqa: PTH105 - says that the name is taken over in one step
    settle(path.parent)


def take_name(made: Path, path: Path) -> None:
    """A link fails where the name is taken, which renaming would not; on file systems without links the name is taken first."""
    try:
        os.link(made, path)
    except FileExistsError:
        raise
    except OSError:
        path.open("xb").close()
        try:
            os.replace(made, path)  # noqa: PTH105
        except OSError:
            path.unlink(missing_ok=True)
            raise


_PART = re.compile(r"\.clutchlight-[a-z0-9_]{8}\.part")


@contextmanager
def temporary(folder: Path, content: bytes, mode: int) -> Iterator[Path]:
    """A file beside the real one whose bytes have reached the disk; its name begins with a dot, so that nothing reads it."""
    descriptor, name = tempfile.mkstemp(prefix=".clutchlight-", suffix=".part", dir=folder)
    path = Path(name)
    try:
        with os.fdopen(descriptor, "wb") as handle:
            held(descriptor)
            handle.write(content)
            handle.flush()
            os.fsync(descriptor)
            path.chmod(mode)
            if sys.platform == "win32":
                handle.close()  # there an open file keeps its name
            yield path
    finally:
        with suppress(OSError):
            path.unlink()


def clear_leftovers(folder: Path) -> None:
    """Deletes the temporary files of commands that were killed, wherever records lie; not those of a command that still runs."""
    with suppress(OSError):
        places = [folder, *(entry for entry in folder.iterdir() if entry.is_dir() and not entry.is_symlink())]
        for file in (file for place in places for file in place.glob(".clutchlight-*.part")):
            if _PART.fullmatch(file.name) and file.is_file() and not file.is_symlink() and is_left(file):
                file.unlink(missing_ok=True)


def held(descriptor: int) -> bool:
    """Keeps an open file from counting as left over, until it is closed. False: another command keeps it, or nobody can tell."""
    if sys.platform == "win32":
        return False
    import fcntl

    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def is_left(file: Path) -> bool:
    """Whether no command that runs keeps a file."""
    with file.open("rb") as handle:
        return held(handle.fileno())


def inside(folder: Path, path: Path, file: str) -> Path:
    """The real path, which must lie in the collection."""
    real = path.resolve()
    if not real.is_relative_to(folder.resolve()):
        message = "this is a link that leads out of the collection; nothing was written"
        raise RecordsError.at(Place(file), "cannot-write", message)
    return real


def content_of(folder: Path, file: str, undone: str = "written") -> tuple[Path, bytes] | None:
    """The real path and the bytes of an ordinary file of the collection; None where there is none.

    Raises RecordsError of any other, and says what was left `undone`.
    """
    path = folder / file
    if not path.exists() and not path.is_symlink():
        return None
    path = inside(folder, path, file)
    try:
        if stat.S_ISREG(path.stat().st_mode):
            return path, path.read_bytes()
        said = f"this is not an ordinary file; nothing was {undone}"
    except OSError as error:
        said = f"this file cannot be read: {system_says(error)}"
    raise RecordsError.at(Place(file), "cannot-write", said)


def mode_of_new() -> int:
    """The mode that the system gives a new file."""
    current = os.umask(0o022)
    os.umask(current)
    return 0o666 & ~current


def settle(folder: Path) -> None:
    """Asks the system to keep the new name through a power cut, where it can be asked."""
    with suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
