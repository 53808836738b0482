"""Whether anything that a build reads was touched since the site that stands was made, told by times alone.

Computes   the newest time of change of collection.yaml and of everything in the folders of records, in microseconds, and below it how many
           there are, modulo 1000, so that what was taken away shows too. A build leaves that number as its manifest's time.
Why times  a digest of records in a public file would let anybody test guesses at what is private in them.
Assumes    a clock that is not set back from one edit to the next. A time of change cannot be set by a program, so that a copied-in older
           file counts as touched. Where there is none (Windows), or where the newest is so recent that a next edit might bear the same
           time, nothing is said, and the build does all its work.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

SETTLED = 2_500_000_000
"""Nanoseconds: longer than the coarsest clock of a file system in use (FAT: two seconds)."""


def touched(folder: Path, names: tuple[str, ...]) -> int | None:
    """The number for the entries `names` of a collection's folder, in nanoseconds; None where times cannot tell."""
    if sys.platform == "win32":
        return None
    count = newest = 0
    try:
        for found in _times(os.fspath(folder), names):
            count += 1
            newest = max(newest, found.st_ctime_ns)
    except OSError:
        return None
    if not 0 < newest < time.time_ns() - SETTLED:
        return None
    return newest // 1000 * 1000 + count % 1000


def _times(folder: str, names: tuple[str, ...] | None) -> Iterator[os.stat_result]:
    with os.scandir(folder) as entries:
        for entry in entries:
            if names is None or entry.name in names:
                yield entry.stat(follow_symlinks=False)
                if entry.is_symlink():
                    yield entry.stat()
                if entry.is_dir():
                    yield from _times(entry.path, None)
