"""Whether anything that a build reads was touched since the site that stands was made, told by times alone.

Computes   the newest time of change of collection.yaml and of everything in the folders of records, in microseconds, and below it how many
           there are, modulo 1000, so that what was taken away shows too. A build notes that number, with the hash of the manifest that it
           left, in a file of the collection's own: in a public file it would tell when something private was changed.
The note   may be deleted at any time, and git does not see it. It only spares work: it counts while the records bear that number and the
           site has that manifest.
Assumes    a clock that is not set back from one edit to the next. A time of change cannot be set by a program, so that a copied-in older
           file counts as touched. Where there is none (Windows), or where the newest is so recent that a next edit might bear the same
           time, nothing is said, and the build does all its work.
"""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from hashlib import sha256
from pathlib import Path

KEPT = ".clutchlight"
"""The folder in a collection's where the program keeps what only spares work."""
NOTES = "built.json"
MOST_NOTES = 8

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


def noted(folder: Path, out: Path) -> tuple[int, str] | None:
    """The records' number and the hash of the manifest, as a build of this collection into `out` noted them last."""
    number, manifest = _notes(folder).get(_name(out), (None, None))
    return (number, manifest) if isinstance(number, int) and isinstance(manifest, str) else None


def note(folder: Path, out: Path, number: int, manifest: str) -> None:
    """Notes them for the next build; no matter if that cannot be done."""
    kept = folder / KEPT
    notes = {key: value for key, value in _notes(folder).items() if key != _name(out)}
    newest = [*list(notes.items())[1 - MOST_NOTES :], (_name(out), [number, manifest])]
    with suppress(OSError):
        if kept.is_symlink():
            return
        kept.mkdir(exist_ok=True)
        (kept / ".gitignore").write_text("*\n", encoding="utf-8")
        (kept / NOTES).unlink(missing_ok=True)  # it might be a link
        (kept / NOTES).write_text(json.dumps(dict(newest)), encoding="utf-8")  # cut short, it is no note


def _notes(folder: Path) -> dict[str, list[object]]:
    try:
        found = json.loads((folder / KEPT / NOTES).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    pairs = found.items() if isinstance(found, dict) else ()
    return {key: value for key, value in pairs if isinstance(value, list) and len(value) == 2}


def _name(out: Path) -> str:
    return sha256(os.fsencode(os.path.realpath(out))).hexdigest()[:20]


def _times(folder: str, names: tuple[str, ...] | None) -> Iterator[os.stat_result]:
    with os.scandir(folder) as entries:
        for entry in entries:
            if names is None or entry.name in names:
                yield entry.stat(follow_symlinks=False)
                if entry.is_symlink():
                    yield entry.stat()
                if entry.is_dir():
                    yield from _times(entry.path, None)
