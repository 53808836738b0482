"""Taking a finished folder live under the name of the one that stands, and clearing up after a build that was cut short.

`.OUT.next` and OUT exchange their names in one step where the system can, so that both exist under one or the other name at every moment.
Linux: renameat2 with RENAME_EXCHANGE (rename(2), since Linux 3.15 and glibc 2.28). macOS: renamex_np with RENAME_SWAP. Elsewhere, and on
file systems that cannot do it, OUT is renamed to `.OUT.old` and `.OUT.next` to OUT. A journal, `.OUT.journal`, names both folders by their
numbers in the file system: by it the next run finishes what was cut short, clears what was left, and knows it from a folder of that name
which somebody else made.
"""

# ruff: noqa: PTH106, PTH108, PTH114, PTH118, PTH123

from __future__ import annotations

import errno
import os
import stat
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from clutchlight.problems import Place, Problem, RecordsError
from clutchlight.publishing.manifest import MANIFEST, read_manifest

LITTER = (".DS_Store", "Thumbs.db", "desktop.ini")
MOST_NAMED = 12

_AT_FDCWD = -100
_RENAME_EXCHANGE = 2
_RENAME_SWAP = 2
_CANNOT = (errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP)


def exchanged(one: Path, other: Path) -> bool:
    """Exchanges the two names. False: cannot be done here, nothing has changed. Raises OSError for any other failure."""
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
    import ctypes  # takes a moment, and most commands write no site

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
        raise RecordsError([foreign(folder, name) for name in others[:MOST_NAMED]])
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


def flush(path: Path | str) -> None:
    """Have a file or the entries of a folder on the disk before going on."""
    if os.name == "nt":
        return
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def walk(folder: Path) -> Iterator[str]:
    """Every file and link in a folder, relative, with forward slashes, in order. Raises OSError for a part that cannot be read."""
    for root, folders, names in os.walk(folder, onerror=_give_back):
        links = [name for name in folders if os.path.islink(os.path.join(root, name))]
        folders.sort()
        inside = os.path.relpath(root, folder).replace(os.sep, "/")
        for name in sorted([*names, *links]):
            yield name if inside == "." else f"{inside}/{name}"


def content_of(folder: Path, name: str) -> bytes:
    with open(os.path.join(folder, name), "rb") as file:
        return file.read()


def _give_back(error: OSError) -> None:
    """Without this a walk passes over what it cannot read."""
    raise error


def refused(folder: Path, code: str, message: str) -> RecordsError:
    return RecordsError.at(Place(str(folder)), code, message)


def foreign(folder: Path, name: str) -> Problem:
    message = "this file is not part of the site, and building would delete it; move it elsewhere"
    return Problem.at(Place(str(folder / name)), "out-foreign", message)


def edited(folder: Path, name: str) -> Problem:
    message = (
        "this file was changed by hand since it was built; move your change into the records, then delete the file"
    )
    return Problem.at(Place(str(folder / name)), "out-foreign", message)
