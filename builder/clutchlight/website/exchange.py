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
