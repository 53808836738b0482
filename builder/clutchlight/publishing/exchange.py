"""Exchanging the names of two folders in one step, where the system can.

Linux: renameat2 with RENAME_EXCHANGE (rename(2), since Linux 3.15 and glibc 2.28). macOS: renamex_np with RENAME_SWAP. Both folders
exist under one or the other name at every moment. Elsewhere, and on file systems that cannot do it, `exchanged` says False and
has changed nothing.
"""

from __future__ import annotations

import ctypes
import errno
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_AT_FDCWD = -100
_RENAME_EXCHANGE = 2
_RENAME_SWAP = 2
_CANNOT = (errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP)


def exchanged(one: Path, other: Path) -> bool:
    """Exchange the two names. False: cannot be done here, nothing has changed. Raises OSError for any other failure."""
    result = _exchange(os.fsencode(one), os.fsencode(other))
    if result is None:
        return False
    if result == 0:
        return True
    if result in _CANNOT:
        return False
    raise OSError(result, os.strerror(result), str(one))


def _exchange(one: bytes, other: bytes) -> int | None:
    """0 for done, else the error number; None when the system has no such call."""
    if sys.platform == "win32":
        return None
    library = ctypes.CDLL(None, use_errno=True)
    if sys.platform == "darwin":
        call = getattr(library, "renamex_np", None)
        arguments: tuple[object, ...] = (one, other, ctypes.c_uint(_RENAME_SWAP))
    else:
        call = getattr(library, "renameat2", None)
        here = ctypes.c_int(_AT_FDCWD)
        arguments = (here, one, here, other, ctypes.c_uint(_RENAME_EXCHANGE))
    if call is None:
        return None
    return 0 if call(*arguments) == 0 else ctypes.get_errno()


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
