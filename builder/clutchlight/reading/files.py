"""Finds the files of a collection and reads them: nothing outside the folder, nothing too large, nothing twice.

A link that leads out of the collection is refused. What lies in a records folder and is not read is pointed out, since a
record that silently counts for nothing is worse than one with a mistake.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from clutchlight.problems import Place, system_says
from clutchlight.reading.findings import Findings, nearest
from clutchlight.reading.text import (
    Written,
    decode,
    hidden_reference,
    place_in,
    split_front_matter,
    without_comments,
)
from clutchlight.reading.yaml_records import compose

MAX_FILES = 20_000

# Folder → the endings that are read there.
ENDINGS = {
    "animals": (".md", ".yaml", ".yml"),
    "clutches": (".md", ".yaml", ".yml"),
    "traits": (".yaml", ".yml"),
    "pages": (".md",),
    "season": (".yaml", ".yml"),
    "log": (".csv",),
    "sales": (".yaml", ".yml"),
}
RECORD_FOLDERS = (*ENDINGS, "photos", "ledger", "themes", "intake")
PRIVATE_FOLDERS = ("season", "log", "sales", "intake")
_IF_EMPTY = {
    "collection.yaml": "put back what stood here, or begin again with `name: YOUR NAME`; never delete it: it makes the collection"
}
_COMMENTS = re.compile(r"\s*(?:#[^\n]*(?:\n\s*|$))+")
_PASSED_OVER = ("thumbs.db", "desktop.ini")


class RecordFile(NamedTuple):
    """One readable file: its name inside the collection, what it holds, its text as a whole when it could not be parsed."""

    file: str
    root: Written | None
    prose: str
    text: str
    markdown: bool


def _only_comments(source: RecordFile) -> bool:
    """A file of notes, such as a starter nobody has filled in: it holds no record, and is not meant to."""
    return source.root is None and not source.markdown and _COMMENTS.fullmatch(source.text) is not None


class Folder:
    """A collection's folder, safe to read from."""

    def __init__(self, path: Path, findings: Findings) -> None:
        self.path = path
        self.inside = path.resolve()
        self.findings = findings
        self.files = 0

    def names(self, folder: str) -> Iterator[str]:
        """The files of one records folder, relative to the collection, in order of their names."""
        endings = ENDINGS[folder]
        for entry in self._entries(folder):
            file = f"{folder}/{entry.name}"
            passed_over = (
                entry.name.startswith(".") or entry.name.endswith("~") or entry.name.casefold() in _PASSED_OVER
            )
            if passed_over or not self._reachable(Path(entry.path), file):
                continue
            if not entry.is_file() or Path(entry.name).suffix.casefold() not in endings:
                read = "folders inside it are not" if entry.is_dir() else f"only {' and '.join(endings)} files are"
                said = f"'{entry.name}' counts for nothing: in {folder}/ {read} read; rename or move it"
                self.findings.report(Place(file), "stray-file", said)
                continue
            self.files += 1
            if self.files > MAX_FILES:
                said = f"a collection holds at most {MAX_FILES} record files; put several records into one file"
                self.findings.report(Place(file), "too-many-files", said)
                return
            yield file

    def sources(self, folder: str) -> Iterator[RecordFile]:
        """The same, read."""
        for source in map(self.read, self.names(folder)):
            if source is not None and not _only_comments(source):
                yield source

    def text(self, file: str) -> str | None:
        """The text of one file; None, with a problem, when it cannot be had."""
        raw = self._bytes(file)
        return None if raw is None else decode(raw, file, self.findings)

    def read(self, file: str) -> RecordFile | None:
        """One file of the collection; None when not even its text could be had."""
        raw, markdown = self._bytes(file), file.casefold().endswith(".md")
        if raw is None:
            return None
        text = decode(raw, file, self.findings)
        if text is None:
            return RecordFile(file, None, "", raw.decode("utf-8", errors="replace"), markdown)
        if not markdown:
            return RecordFile(file, self._compose(text, file, 0), "", text, markdown)
        parts = split_front_matter(text, file, self.findings)
        if parts is None:
            return RecordFile(file, None, "", text, markdown)
        prose = self._prose(parts.prose, text, file)
        return RecordFile(file, self._compose(parts.data, file, parts.first_line), prose, text, markdown)

    def _bytes(self, file: str) -> bytes | None:
        path = self.path / file
        if not self._reachable(path, file):
            return None
        try:
            if stat.S_ISREG(path.stat().st_mode):
                return path.read_bytes()
            said = "this is not an ordinary file; replace it with one"
        except OSError as error:
            said = f"this file cannot be read: {system_says(error)}"
        self.findings.report(Place(file), "cannot-read", said)
        return None

    def _prose(self, prose: str, text: str, file: str) -> str:
        """What is read of the prose, which ends the text of a file: all but its comments."""
        if hidden := hidden_reference(prose):
            place = place_in(text, text.rindex(prose) + hidden.at, file)
            self.findings.report(place, hidden.code, hidden.message)
        return without_comments(prose)

    def look_for_strays(self) -> None:
        """Points out folders that look like records folders under another name, and what stands in the place of one."""
        for entry in self._entries("."):
            if entry.name in RECORD_FOLDERS and not entry.is_dir() and not entry.is_symlink():
                said = "this is no folder; make one of this name, and put the records in it"
                self.findings.report(Place(entry.name), "cannot-read", said)
            if entry.name.startswith(".") or not entry.is_dir() or entry.name in RECORD_FOLDERS:
                continue
            if meant := nearest(entry.name, RECORD_FOLDERS):
                said = f"the folder '{entry.name}' counts for nothing; is '{meant}' meant?"
                self.findings.report(Place(entry.name), "stray-file", said)

    def photos(self) -> frozenset[str]:
        """Names of the files in photos/, relative to it, with '/' between folders; links that lead out are not among them."""
        root = self.path / "photos"
        if root.is_dir() and self._within(root):
            paths = (Path(base) / name for base, _, names in os.walk(root) for name in names)
            files = (path for path in paths if path.is_file() and (not path.is_symlink() or self._within(path)))
            return frozenset(path.relative_to(root).as_posix() for path in files)
        return frozenset()

    def _compose(self, text: str, file: str, first_line: int) -> Written | None:
        before = len(self.findings.problems)
        root = compose(text, file, self.findings, first_line)
        notes = not first_line and file not in _IF_EMPTY and _COMMENTS.fullmatch(text)
        if root is None and len(self.findings.problems) == before and not notes:
            said = f"there is no record here; {_IF_EMPTY.get(file, 'write one or delete the file')}"
            self.findings.report(Place(file, first_line + 1), "empty-file", said)
        return root

    def _entries(self, name: str) -> list[os.DirEntry[str]]:
        path = self.path / name
        if not path.is_dir() or not self._reachable(path, name):
            return []
        try:
            with os.scandir(path) as entries:
                return sorted(entries, key=lambda entry: entry.name)
        except OSError as error:
            self.findings.report(Place(name), "cannot-read", f"this folder cannot be read: {system_says(error)}")
            return []

    def _reachable(self, path: Path, file: str) -> bool:
        if not path.is_symlink() or self._within(path):
            return True
        said = "this is a link that leads out of the collection or nowhere; copy the file here"
        self.findings.report(Place(file), "outside-collection", said)
        return False

    def _within(self, path: Path) -> bool:
        try:
            return path.resolve(strict=True).is_relative_to(self.inside)
        except (OSError, RuntimeError):
            return False
