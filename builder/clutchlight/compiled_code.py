"""Compiled code that is not Python's own, kept where Python keeps its own: in `__pycache__`, beside this file.

The layout engine and the templates take longer to compile than all figures to compute. What is kept follows from the program and the themes
that come with it, never from what a user wrote. As with Python's own: nothing is written with PYTHONDONTWRITEBYTECODE, nor where the folder
cannot be written, and whatever is missing, damaged or of another version is compiled again.
"""

from __future__ import annotations

import hashlib
import sys
from contextlib import suppress
from importlib.util import cache_from_source
from pathlib import Path

_DIGEST = hashlib.sha256().digest_size


def read(name: str) -> bytes | None:
    """What was kept under a name, if it is whole. The name says all that the code depends on."""
    try:
        content = _place(name).read_bytes()
    except (OSError, NotImplementedError):
        return None
    digest, code = content[:_DIGEST], content[_DIGEST:]
    return code if hashlib.sha256(code).digest() == digest else None


def keep(name: str, code: bytes) -> None:
    """Keeps it for later processes; no matter if it cannot. What is cut short, or being written, does not fit its digest."""
    if sys.dont_write_bytecode:
        return
    with suppress(OSError, NotImplementedError):
        place = _place(name)
        place.parent.mkdir(exist_ok=True)
        try:
            place.write_bytes(hashlib.sha256(code).digest() + code)
        except OSError:
            place.unlink(missing_ok=True)


def _place(name: str) -> Path:
    return Path(cache_from_source(__file__)).with_name(f"{name}.compiled")
