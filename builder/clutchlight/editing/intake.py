"""A table of the log's own columns, or another breeder's statement.json → one new file of records, or none while anything is wrong.

Lists of animals and clutches, as people keep them in spreadsheets, are taken in by `clutchlight.intake`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import Literal

from clutchlight.editing.statement_intake import animal_from_statement
from clutchlight.editing.writing import WrittenFile, create, item
from clutchlight.model import Collection
from clutchlight.model.private import LogRow
from clutchlight.problems import Problem, errors_in, in_order
from clutchlight.reading import log
from clutchlight.reading.findings import Findings
from clutchlight.reading.ids import Known
from clutchlight.reading.tables import cells_as_line
from clutchlight.reading.text import decode, without_hidden

Kind = Literal["log", "statement"]


@dataclass(frozen=True, slots=True)
class Intake:
    """What was made of a file: where it goes, its text, how many records it holds. `text` is None when there are errors."""

    file: str
    text: str | None
    count: int
    problems: tuple[Problem, ...]


def kind_of_file(raw: bytes, name: str) -> Kind | None:
    """What a file is by its name and first row; None of a list of animals or clutches."""
    if name.casefold().endswith(".json") or raw.lstrip(b"\xef\xbb\xbf \r\n\t").startswith(b"{"):
        return "statement"
    first = raw.decode("utf-8-sig", "replace").lstrip().partition("\n")[0].casefold()
    cells = {cell.strip().strip('"') for cell in re.split(r"[,;\t]", first)}
    return "log" if set(log.NEEDED) <= cells else None


def intake(
    raw: bytes, name: str, kind: Kind, collection: Collection, *, said_by: str | None = None, as_id: str | None = None
) -> Intake:
    """Turns a file into records. `name`: what to call it in problems. `said_by`, `as_id`: for a statement."""
    findings = Findings()
    stem = re.sub(r"[^a-z0-9]+", "-", PurePath(name).stem.casefold()).strip("-") or "rows"
    text = decode(raw, name, findings)
    known = Known(collection)
    made: tuple[str, str, int] | None = None
    if text is not None:
        if kind == "log":
            made = _log(text, name, stem, known, findings)
        else:
            record = animal_from_statement(text, name, known, findings, said_by=said_by, as_id=as_id)
            if record is not None:
                made = (f"animals/{record['id']}.yaml", _head(name) + item(record), 1)
    problems = in_order(findings.problems)
    file, content, count = made or (f"{stem}", "", 0)
    return Intake(file, None if errors_in(problems) or made is None else content, count, problems)


def write(folder: Path, made: Intake) -> WrittenFile:
    """Writes an intake without errors as a new file; refuses a name that is taken."""
    if made.text is None:
        raise ValueError("an intake with errors has no text")
    return create(folder, made.file, made.text)


def _head(name: str) -> str:
    plain = without_hidden(" ".join(PurePath(name).name.split()))
    return f"# From {plain}: 1 record. Check it, then keep or move it as you like.\n"


def _log(text: str, name: str, stem: str, known: Known, findings: Findings) -> tuple[str, str, int]:
    rows = log.in_time(log.read_log(text, name, known, findings))
    log.check_together(rows, findings)
    lines = [",".join(log.COLUMNS), *(cells_as_line(_cells(row), ",") for row in rows)]
    return f"log/from-{stem}.csv", "\n".join(lines) + "\n", len(rows)


def _cells(row: LogRow) -> tuple[str, ...]:
    return (str(row.on), row.clutch or row.animal, row.event, row.partner or "", row.value or "", row.note or "")
