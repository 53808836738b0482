"""The command `stamp`: from a collection's statements of a day to new lines in its ledger."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from clutchlight import __version__
from clutchlight.model import Collection
from clutchlight.model.ledger import short
from clutchlight.problems import RecordsError
from clutchlight.records.ledger_files import append_lines, read_ledger
from clutchlight.records.ledger_lines import digest_of_text
from clutchlight.statements.dated_records import lines_to_add
from clutchlight.statements.values import Statements


@dataclass(frozen=True, slots=True)
class Stamped:
    """What a stamp did: how many records it added, to which file (None: nothing had changed), and the chain's head after it."""

    added: int
    file: str | None
    head: str | None

    def __str__(self) -> str:
        head = f"; the chain's head is {short(self.head)} ({self.head})" if self.head else ""
        if self.file is None:
            return f"nothing changed since the last time; nothing was written{head}"
        return f"{self.added} dated {'record' if self.added == 1 else 'records'} added to {self.file}{head}"


def stamp(folder: Path, collection: Collection, statements: Statements, on: date) -> Stamped:
    """Appends every statement that changed since it was last dated. `collection` and `statements`: as of `on`.

    Raises RecordsError: the ledger is not as the tool wrote it, a clutch is still to be sorted, a later day is stamped already, or the file
    cannot be written. Nothing was written then.
    """
    found = read_ledger(folder)
    if found.ledger is None:
        raise RecordsError(found.problems)
    lines = lines_to_add(collection, statements, found.ledger, on, __version__)
    written = append_lines(folder, on.year, lines)
    if written is None:
        return Stamped(0, None, found.ledger.head)
    return Stamped(len(lines), written.file, digest_of_text(lines[-1]))
