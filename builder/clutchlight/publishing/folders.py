"""From a mapping of files to a folder that readers see: wholly the old site or wholly the new one, at every moment.

Beside OUT stands `.OUT.next`, built file by file: what has not changed is the same file by a hard link, so that it keeps its time
and takes no space; what has is written and flushed. Then the two names are exchanged in one step and the old site is deleted (`exchange`).

`OUT/.clutchlight.json` names every file with the hash of its content (see `manifest`). It marks the folder as made by this tool. A
folder without it, a file that it does not name, and a file changed by hand are refused by name, so nothing that somebody wrote is
lost.

Paths of single files are text here: a site has thousands of them, each asked about several times.
"""

# ruff: noqa: PTH103, PTH118, PTH123

from __future__ import annotations

import errno
import os
import shutil
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from msgspec import Struct, field

from clutchlight.problems import Place, RecordsError, system_says
from clutchlight.publishing.exchange import (
    LITTER,
    MOST_NAMED,
    Journal,
    beside,
    content_of,
    edited,
    flush,
    foreign,
    is_file,
    refused,
    swap,
    taken,
    walk,
    write,
)
from clutchlight.publishing.manifest import MANIFEST, Manifest, Wanted, content_hash, read_manifest
from clutchlight.reading.files import RECORD_FOLDERS


class Published(Struct, frozen=True):
    """What became of each file, by address."""

    added: tuple[str, ...]
    changed: tuple[str, ...]
    removed: tuple[str, ...]
    same: int


class FoundFolder(Struct, frozen=True):
    """A folder that was looked through: its files, all as listed, with their hashes, and its manifest as it stands."""

    exists: bool
    files: Mapping[str, str] = field(default_factory=dict)
    manifest: bytes = b""


def publish(
    files: Wanted,
    out: Path,
    *,
    desk: Path | None = None,
    collection: Path | None = None,
    kind: str = "site",
) -> Published:
    """Make `out` hold exactly these files. Raises RecordsError, with the old site untouched, when that cannot be done.

    `desk` and `collection` are folders that `out` must stay clear of. `kind` marks what the folder is.
    """
    place = Path(os.path.realpath(out))
    check_place(out, desk=desk, collection=collection)
    manifest = files.manifest(kind)
    with _as_problems(out):
        place.parent.mkdir(parents=True, exist_ok=True)
        with build_lock(place):
            journal = Journal(place)
            journal.finish()
            found = _looked_through(place, kind)
            difference = _difference(manifest, found)
            if found.files == manifest.files and found.manifest == manifest.to_bytes():
                return difference
            try:
                _build(files, manifest, place, found, journal)
                swap(place, journal, stands=found.exists)
            except BaseException:
                journal.give_up()
                raise
            return difference


def planned(files: Wanted, out: Path, kind: str = "site") -> Published:
    """What `publish` would do, without doing it."""
    with _as_problems(out):
        return _difference(files.manifest(kind), _looked_through(Path(os.path.realpath(out)), kind))


def still_whole(out: Path, manifest: Manifest) -> Published | None:
    """Nothing published anew: every file is there, and nothing is left beside of a build that was cut short. None: it is not so.

    Raises RecordsError when the folder holds anything that this tool did not put there as it is.
    """
    left = any(os.path.lexists(beside(out, what)) for what in ("next", "old", "journal", "lock"))
    with _as_problems(out):
        if left or _looked_through(out, manifest.kind).files != manifest.files:
            return None
    return Published((), (), (), len(manifest.files))


@contextmanager
def build_lock(place: Path) -> Iterator[None]:
    """Keeps other builds of the folder out. Raises RecordsError while one is at work. The lock's file goes away at the end."""
    from filelock import FileLock, Timeout  # takes a moment, and a build with nothing to do needs no lock

    lock = beside(place, "lock")
    if os.path.lexists(lock) and not (is_file(lock) and lock.stat().st_size == 0):
        raise taken(lock)
    try:
        with FileLock(lock, timeout=0):
            try:
                yield
            finally:
                if sys.platform != "win32":  # where an open file cannot be deleted
                    lock.unlink(missing_ok=True)
    except Timeout:
        raise refused(place, "busy", "another build is writing this folder; wait until it has finished") from None


def check_place(out: Path, *, desk: Path | None = None, collection: Path | None = None) -> None:
    """Refuse a place for the site that would mix it with the desk or with the records."""
    here = Path(os.path.realpath(out))
    if desk is not None:
        private = Path(os.path.realpath(desk))
        if here == private or here.is_relative_to(private) or private.is_relative_to(here):
            raise refused(
                out,
                "out-and-desk",
                f"the site and the desk ({desk}) must lie apart; choose another folder for one of them",
            )
    if collection is not None:
        records = Path(os.path.realpath(collection))
        inside = any(here.is_relative_to(records / folder) for folder in RECORD_FOLDERS)
        if inside or records.is_relative_to(here):
            raise refused(
                out,
                "out-in-records",
                "the site would be written among the records; choose a folder of its own, such as 'site'",
            )


# What stands


def _looked_through(out: Path, kind: str) -> FoundFolder:
    """Read what `out` holds; RecordsError when it holds anything that this tool did not put there as it is."""
    if not os.path.lexists(out):
        return FoundFolder(False)
    if not out.is_dir():
        raise refused(out, "out-foreign", "this is a file, not a folder; choose another folder for the site")
    found = [name for name in walk(out) if name.rpartition("/")[2] not in LITTER]
    if not found:
        return FoundFolder(True)
    listed = read_manifest(out)
    if listed is None:
        raise refused(
            out, "out-foreign", "this folder was not made by clutchlight; choose another, or empty it yourself"
        )
    if listed.kind != kind:
        raise refused(out, "out-foreign", f"this folder holds a {listed.kind}, not a {kind}; choose another")
    files = listed.files
    problems = [foreign(out, name) for name in found if name not in files and name != MANIFEST]
    problems += [
        edited(out, name) for name in found if name in files and content_hash(content_of(out, name)) != files[name]
    ]
    if problems:
        raise RecordsError(problems[:MOST_NAMED])
    return FoundFolder(True, {name: files[name] for name in found if name in files}, (out / MANIFEST).read_bytes())


def _difference(manifest: Manifest, found: FoundFolder) -> Published:
    hashes, before = manifest.files, found.files
    return Published(
        added=tuple(name for name in sorted(hashes) if name not in before),
        changed=tuple(name for name in sorted(hashes) if name in before and before[name] != hashes[name]),
        removed=tuple(name for name in sorted(before) if name not in hashes),
        same=sum(before.get(name) == content for name, content in hashes.items()),
    )


# Building and swapping


def _build(files: Wanted, manifest: Manifest, out: Path, found: FoundFolder, journal: Journal) -> None:
    journal.begin()
    following = journal.following
    write(following / MANIFEST, manifest.to_bytes())
    for folder in sorted({address.rpartition("/")[0] for address in manifest.files}):
        os.makedirs(os.path.join(following, folder), exist_ok=True)
    written: list[str] = []
    for address, content in manifest.files.items():
        target = os.path.join(following, address)
        if found.files.get(address) == content:
            _same_file(os.path.join(out, address), target)
        elif address in files.kept:
            raise FileNotFoundError(errno.ENOENT, "this file was deleted while the site was being built", out / address)
        else:
            _put(target, files.made[address])
            written.append(target)
    made = [folder for folder, _, _ in os.walk(following, topdown=False)]
    from concurrent.futures import ThreadPoolExecutor  # takes a moment, and most commands write no site

    with ThreadPoolExecutor(max_workers=8) as workers:  # one after the other, each would wait for the disk by itself
        list(workers.map(flush, (*written, *made)))


def _put(target: str, content: bytes) -> None:
    with open(target, "wb") as file:
        file.write(content)


def _same_file(standing: str, target: str) -> None:
    try:
        os.link(standing, target)
    except OSError as cannot:
        if cannot.errno in (errno.ENOSPC, errno.EROFS, errno.EDQUOT):
            raise
        shutil.copy2(standing, target)


# Words


@contextmanager
def _as_problems(out: Path) -> Iterator[None]:
    """What the system refuses, as a problem with a remedy; the site that stood is still there."""
    try:
        yield
    except OSError as trouble:
        file = str(trouble.filename or out)
        reason = {
            errno.EACCES: "you may not write here; choose another folder or change its permissions",
            errno.EPERM: "you may not write here; choose another folder or change its permissions",
            errno.ENOTDIR: "a part of this path is a file; choose another folder",
        }.get(trouble.errno or 0) or system_says(trouble, "the site that stood is untouched")
        raise RecordsError.at(Place(file), "out-unwritable", reason) from trouble
