"""ledger/*.jsonl: read whole and in bounds, added to in one step, never rewritten.

A year of dated records is one file, ledger/YYYY.jsonl, one line for each record. Windows line ends are fine: digests cover a line
without its end.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from clutchlight.editing.writing import Original, Written, add, create, refuse
from clutchlight.ledger.chain import LedgerFile, verified
from clutchlight.model.ledger import Ledger
from clutchlight.problems import Place, Problem, errors_in, in_order, system_says
from clutchlight.reading.files import Folder
from clutchlight.reading.findings import Findings

LEDGER = "ledger"
MAX_YEARS = 200
MAX_BYTES = 64 * 1024 * 1024
MAX_LINE = 1024 * 1024

_YEAR = re.compile(r"(\d{4})\.jsonl")


@dataclass(frozen=True, slots=True)
class LedgerResult:
    """What reading gave: the ledger, or None when it is not as the tool wrote it; and all problems, in order."""

    ledger: Ledger | None
    problems: tuple[Problem, ...]


def read_ledger(folder: Path) -> LedgerResult:
    """Reads and verifies the dated records of a collection. Without a ledger folder there are none."""
    findings = Findings()
    files = tuple(_LedgerFolder(folder, findings).years())
    records = verified(files, findings)
    problems = in_order(findings.problems)
    return LedgerResult(None if errors_in(problems) else Ledger(records), problems)


def append_lines(folder: Path, year: int, lines: Sequence[str]) -> Written | None:
    """Adds lines at the end of a year's file, all of them or none; every earlier byte stays. None: there was nothing to add.

    Raises RecordsError when the file cannot be written; nothing was changed then.
    """
    if not lines:
        return None
    file = f"{LEDGER}/{year:04d}.jsonl"
    text = "".join(f"{line}\n" for line in lines)
    path = folder / file
    if not path.exists() and not path.is_symlink():
        return create(folder, file, text)
    try:
        if path.is_symlink() or not stat.S_ISREG(path.stat().st_mode):
            raise refuse(file, "cannot-write", "this is not an ordinary file; nothing was written")
        raw = path.read_bytes()
    except OSError as error:
        raise refuse(file, "cannot-write", f"this file cannot be read: {system_says(error)}") from None
    end = "\r\n" if raw.endswith(b"\r\n") else "\n"
    start = "" if not raw or raw.endswith(b"\n") else "\n"
    return add(folder, Original(file, path, raw, "", end), len(raw), start + text)


class _LedgerFolder(Folder):
    """A collection's folder, with its ledger."""

    def years(self) -> Iterator[LedgerFile]:
        """The files of the ledger, in order of their years."""
        for count, (year, file) in enumerate(self._names()):
            if count >= MAX_YEARS:
                self.findings.report(
                    Place(file), "too-many-files", f"a ledger holds at most {MAX_YEARS} years; move what is no ledger"
                )
                return
            found = self._lines(file)
            if found is not None:
                lines, ended = found
                yield LedgerFile(file, year, lines, ended)

    def _names(self) -> list[tuple[int, str]]:
        found: list[tuple[int, str]] = []
        for entry in self._entries(LEDGER):
            file = f"{LEDGER}/{entry.name}"
            if entry.name.startswith(".") or entry.name.endswith("~"):
                continue
            named = _YEAR.fullmatch(entry.name)
            if named is None or not entry.is_file():
                self.findings.report(
                    Place(file),
                    "stray-file",
                    f"'{entry.name}' counts for nothing: in {LEDGER}/ only files such as 2026.jsonl are read; move it",
                )
            elif self._reachable(Path(entry.path), file):
                found.append((int(named[1]), file))
        return sorted(found)

    def _lines(self, file: str) -> tuple[tuple[str, ...], bool] | None:
        try:
            size = os.stat(self.path / file).st_size  # noqa: PTH116 - asked before the file is taken into memory
            raw = (self.path / file).read_bytes() if size <= MAX_BYTES else b""
        except OSError as error:
            self.findings.report(Place(file), "cannot-read", f"this file cannot be read: {system_says(error)}")
            return None
        if size > MAX_BYTES:
            self.findings.report(
                Place(file), "file-too-large", f"this file is larger than {MAX_BYTES} bytes; no year of records is"
            )
            return None
        rows = raw.removesuffix(b"\n").split(b"\n") if raw else []
        lines: list[str] = []
        for number, row in enumerate(rows, start=1):
            if len(row) > MAX_LINE:
                self.findings.report(
                    Place(file, number), "file-too-large", f"this line is longer than {MAX_LINE} bytes; no record is"
                )
                return None
            try:
                lines.append(row.removesuffix(b"\r").decode("utf-8"))
            except UnicodeDecodeError:
                self.findings.report(
                    Place(file, number), "not-utf8", "this is not UTF-8 text; put the file back from a copy"
                )
                return None
        return tuple(lines), raw.endswith(b"\n")
