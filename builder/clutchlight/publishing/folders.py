"""From a mapping of files to a folder that readers see: wholly the old site or wholly the new one, at every moment.

Beside OUT stands `.OUT.next`, built file by file: what has not changed is the same file by a hard link, so that it keeps its time
and takes no space; what has is written and flushed. Then the two names are exchanged in one step where the system can, so that both
exist under one or the other name at every moment, and the old site is deleted. Linux: renameat2 with RENAME_EXCHANGE (rename(2), since
Linux 3.15 and glibc 2.28). macOS: renamex_np with RENAME_SWAP. Elsewhere, and on file systems that cannot do it, OUT is renamed to
`.OUT.old` and `.OUT.next` to OUT. A journal, `.OUT.journal`, names both folders by their numbers in the file system: by it the next run
finishes what was cut short, clears what was left, and knows it from a folder of that name which somebody else made.

`OUT/.clutchlight.json` names every file with the hash of its content (see `manifest`). It marks the folder as made by this tool. A
folder without it, a file that it does not name, and a file changed by hand are refused by name, so nothing that somebody wrote is
lost.

Paths of single files are text here: a site has thousands of them, each asked about several times.
"""

# ruff: noqa: PTH103, PTH106, PTH108, PTH114, PTH118, PTH123

from __future__ import annotations

import errno
import os
import shutil
import stat
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from msgspec import Struct, field

from clutchlight.editing.disk import flush
from clutchlight.problems import Place, Problem, RecordsError, system_says
from clutchlight.publishing.manifest import MANIFEST, Manifest, Wanted, content_hash, read_manifest
from clutchlight.reading.files import RECORD_FOLDERS

LITTER = (".DS_Store", "Thumbs.db", "desktop.ini")
MOST_NAMED = 12

_AT_FDCWD = -100
_RENAME_EXCHANGE = 2
_RENAME_SWAP = 2
_CANNOT = (errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP)


class Published(Struct, frozen=True):
    """What became of each file, by address."""

    added: tuple[str, ...]
    changed: tuple[str, ...]
    removed: tuple[str, ...]


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
    return Published((), (), ())


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
    problems = [_in_the_way(out, name, FOREIGN) for name in found if name not in files and name != MANIFEST]
    ours = [name for name in found if name in files]
    problems += [
        _in_the_way(out, name, EDITED) for name in ours if content_hash((out / name).read_bytes()) != files[name]
    ]
    if problems:
        raise RecordsError(problems[:MOST_NAMED])
    return FoundFolder(True, {name: files[name] for name in ours}, (out / MANIFEST).read_bytes())


def _difference(manifest: Manifest, found: FoundFolder) -> Published:
    hashes, before = manifest.files, found.files
    return Published(
        added=tuple(name for name in sorted(hashes) if name not in before),
        changed=tuple(name for name in sorted(hashes) if name in before and before[name] != hashes[name]),
        removed=tuple(name for name in sorted(before) if name not in hashes),
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


def exchanged(one: Path, other: Path) -> bool:
    """Exchanges the two names. False: cannot be done here, nothing has changed. Raises OSError for any other failure."""
    if sys.platform == "win32":
        return False
    import ctypes  # takes a moment, and most commands write no site

    library = ctypes.CDLL(None, use_errno=True)
    names = os.fsencode(one), os.fsencode(other)
    if sys.platform == "darwin":
        call = getattr(library, "renamex_np", None)
        arguments: tuple[object, ...] = (*names, ctypes.c_uint(_RENAME_SWAP))
    else:
        call = getattr(library, "renameat2", None)
        here = ctypes.c_int(_AT_FDCWD)
        arguments = (here, names[0], here, names[1], ctypes.c_uint(_RENAME_EXCHANGE))
    if call is None or call(*arguments) == 0:
        return call is not None
    number = ctypes.get_errno()
    if number in _CANNOT:
        return False
    raise OSError(number, os.strerror(number), str(one))


def beside(out: Path, what: str) -> Path:
    return out.parent / f".{out.name}.{what}"


class Journal:
    """`.OUT.journal`: there while a site is built and taken live.

    A line says whose it is, one has the number of `.OUT.next`, and one, once that is complete, the number of OUT. What a line that was cut
    short would have said counts as not said.
    """

    HEAD = "made by clutchlight\n"

    def __init__(self, out: Path) -> None:
        self.out, self.following, self.old = out, beside(out, "next"), beside(out, "old")
        self.file = beside(out, "journal")

    def begin(self) -> None:
        """A build begins: the next site's folder, known by its number."""
        write(self.file, self.HEAD.encode("ascii"))
        self.following.mkdir()
        self.note(self.following)

    def note(self, folder: Path) -> None:
        with open(self.file, "ab") as file:
            file.write(f"{_number(folder)}\n".encode("ascii"))
            file.flush()
            os.fsync(file.fileno())
        flush(self.file.parent)

    def finish(self) -> None:
        """Finish what an earlier build did not, and clear away what it left; refused when somebody else made it."""
        begun, ours = self._read()
        if len(ours) > 1 and not os.path.lexists(self.out):  # cut short between two renames
            left = next((folder for folder in (self.following, self.old) if _number(folder) in ours), None)
            if left is not None:
                left.rename(self.out)
                flush(self.out.parent)
        for folder in (self.old, self.following):
            if _number(folder) in ours or (begun and not ours and _is_empty(folder)):
                _clear(folder)
            elif os.path.lexists(folder):
                raise taken(folder)
        self.end()

    def give_up(self) -> None:
        """After a failure: the old site back under its name where it was already moved aside, and no half-built one left."""
        with suppress(OSError, RecordsError):
            if not os.path.lexists(self.out) and _number(self.old) in self._read()[1]:
                self.old.rename(self.out)
            self.finish()

    def end(self) -> None:
        self.file.unlink(missing_ok=True)

    def _read(self) -> tuple[bool, list[str]]:
        """Whether a build begun, and the numbers of the folders that it made. Refused when the file is somebody else's."""
        if not os.path.lexists(self.file):
            return False, []
        text = self.file.read_text(encoding="utf-8", errors="replace") if is_file(self.file) else None
        if text is None or not (text.startswith(self.HEAD) or self.HEAD.startswith(text)):
            raise taken(self.file)
        *whole, _ = text.removeprefix(self.HEAD).split("\n")
        return text.startswith(self.HEAD), whole


def _number(folder: Path) -> str:
    """By which the file system knows a folder, whatever its name; nothing for what is no folder."""
    try:
        found = os.lstat(folder)
    except OSError:
        return ""
    return f"{found.st_dev}:{found.st_ino}" if stat.S_ISDIR(found.st_mode) else ""


def _is_empty(folder: Path) -> bool:
    return _number(folder) != "" and not any(folder.iterdir())


def is_file(place: Path) -> bool:
    return place.is_file() and not place.is_symlink()


def taken(place: Path) -> RecordsError:
    message = "building needs this name, and what is there was made by somebody else, as far as can be told; move it elsewhere"
    return refused(place, "out-foreign", message)


def swap(out: Path, journal: Journal, *, stands: bool) -> None:
    """`.OUT.next` becomes OUT; what `stands` there is cleared away."""
    if not stands:
        journal.following.rename(out)
        flush(out.parent)
        journal.end()
        return
    journal.note(out)
    if exchanged(journal.following, out):
        flush(out.parent)
        with suppress(OSError):  # the new site stands; what is left of the old one is cleared away by the next build
            _clear(journal.following)
            journal.end()
        return
    out.rename(journal.old)
    journal.following.rename(out)
    flush(out.parent)
    _clear(journal.old)
    journal.end()


def _clear(folder: Path) -> None:
    """Delete a half-built or replaced site beside OUT; refused when it holds something else.

    The manifest goes last: cut short, what is left still says what is the site's.
    """
    listed = read_manifest(folder)
    known = {MANIFEST, *(listed.files if listed else ())}
    others = [name for name in walk(folder) if name not in known and name.rpartition("/")[2] not in LITTER]
    if others:
        raise RecordsError([_in_the_way(folder, name, FOREIGN) for name in others[:MOST_NAMED]])
    for root, folders, names in os.walk(folder, topdown=False, onerror=_give_back):
        for name in names:
            if name != MANIFEST or root != str(folder):
                os.unlink(os.path.join(root, name))
        for name in folders:
            os.rmdir(os.path.join(root, name))
    (folder / MANIFEST).unlink(missing_ok=True)
    folder.rmdir()


# Files and words


def write(file: Path, content: bytes) -> None:
    with file.open("xb") as target:
        target.write(content)
        target.flush()
        os.fsync(target.fileno())


def walk(folder: Path) -> Iterator[str]:
    """Every file and link in a folder, relative, with forward slashes, in order. Raises OSError for a part that cannot be read."""
    for root, folders, names in os.walk(folder, onerror=_give_back):
        links = [name for name in folders if os.path.islink(os.path.join(root, name))]
        folders.sort()
        inside = os.path.relpath(root, folder).replace(os.sep, "/")
        for name in sorted([*names, *links]):
            yield name if inside == "." else f"{inside}/{name}"


def _give_back(error: OSError) -> None:
    """Without this a walk passes over what it cannot read."""
    raise error


def refused(folder: Path, code: str, message: str) -> RecordsError:
    return RecordsError.at(Place(str(folder)), code, message)


FOREIGN = "this file is not part of the site, and building would delete it; move it elsewhere"
EDITED = "this file was changed by hand since it was built; move your change into the records, then delete the file"


def _in_the_way(folder: Path, name: str, message: str) -> Problem:
    return Problem.at(Place(str(folder / name)), "out-foreign", message)


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
