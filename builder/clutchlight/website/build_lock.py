"""A lock against two builds into one folder at once. The system frees it when the process ends, however it ends."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class LockedError(Exception):
    """Another build holds the lock."""


@contextmanager
def build_lock(file: Path) -> Iterator[None]:
    """Hold the lock that `file` stands for. Raises LockedError when somebody else holds it. The file goes away at the end."""
    handle = _acquire(file)
    try:
        yield
    finally:
        if sys.platform != "win32":
            file.unlink(missing_ok=True)
        os.close(handle)


def _acquire(file: Path) -> int:
    while True:
        handle = os.open(file, os.O_RDWR | os.O_CREAT, 0o644)
        try:
            _lock(handle)
        except OSError as taken:
            os.close(handle)
            raise LockedError(str(file)) from taken
        if _still_there(handle, file):
            return handle
        os.close(handle)  # its holder removed it between our opening and our locking: take the new one


def _still_there(handle: int, file: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(handle), file.stat())
    except FileNotFoundError:
        return False


if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
