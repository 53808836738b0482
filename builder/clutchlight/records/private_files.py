"""The files of the private folders: season/ and sales/ as YAML, log/ as CSV, found as safely as the public ones."""

from __future__ import annotations

import stat
from collections.abc import Iterator
from pathlib import Path

from clutchlight.plaintext.decoding import decode
from clutchlight.problems import Place, system_says
from clutchlight.records.files import Folder, Source

PRIVATE_FOLDERS = {"season": (".yaml", ".yml"), "log": (".csv",), "sales": (".yaml", ".yml")}
_PASSED_OVER = ("thumbs.db", "desktop.ini", ".~lock")


class PrivateFolder(Folder):
    """A collection's folder, with its private side."""

    def names(self, folder: str) -> Iterator[str]:
        """The files of one private folder, relative to the collection, in order of their names."""
        endings = PRIVATE_FOLDERS[folder]
        for entry in self._entries(folder):
            file = f"{folder}/{entry.name}"
            if entry.name.startswith(".") or entry.name.endswith("~") or entry.name.casefold() in _PASSED_OVER:
                continue
            if not self._reachable(Path(entry.path), file):
                continue
            if not entry.is_file() or Path(entry.name).suffix.casefold() not in endings:
                self.findings.report(
                    Place(file),
                    "stray-file",
                    f"'{entry.name}' counts for nothing: in {folder}/ only {' and '.join(endings)} files are read;"
                    " rename or move it",
                )
                continue
            yield file

    def documents(self, folder: str) -> Iterator[Source]:
        """The YAML files of one private folder that could be composed."""
        for file in self.names(folder):
            source = self.read(file, markdown=False)
            if source is not None and source.root is not None:
                yield source

    def text(self, file: str) -> str | None:
        """The text of one file; None, with a problem, when it cannot be had."""
        path = self.path / file
        if not self._reachable(path, file):
            return None
        try:
            raw = path.read_bytes() if stat.S_ISREG(path.stat().st_mode) else None
        except OSError as error:
            self.findings.report(Place(file), "cannot-read", f"this file cannot be read: {system_says(error)}")
            return None
        if raw is None:
            self.findings.report(Place(file), "cannot-read", "this is not an ordinary file; replace it with one")
            return None
        return decode(raw, file, self.findings)
