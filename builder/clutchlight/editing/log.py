"""`log`: one happening → rows at the end of the log of its year.

The row goes to log/YEAR.csv, in that file's own columns, separator and line ends. It is written only when the file as it
would be then reads without a mistake and says the same as before, with the new rows after it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

from clutchlight.editing.writing import Original, WrittenFile, add, cannot_write, create, original
from clutchlight.model.private import WITH_EVENTS, LogRow
from clutchlight.problems import COMMAND_LINE, Place, Problem, RecordsError, errors_in
from clutchlight.reading.findings import Findings
from clutchlight.reading.ids import Known
from clutchlight.reading.log import ALSO, COLUMNS, NEEDED, read_log
from clutchlight.reading.tables import Row, cells_as_line, read_sheet
from clutchlight.reading.text import WrittenText, decode


def log_event(
    folder: Path,
    known: Known,
    animals: Sequence[str],
    event: str,
    value: str | None = None,
    *,
    on: date,
    note: str | None = None,
    judge: Callable[[Sequence[Row]], None] = lambda rows: None,
) -> WrittenFile:
    """Writes a row for each animal; for a pairing, one row with both, the male first.

    Raises RecordsError, and writes nothing, when any row would not hold, or when `judge` raises it of rows that are odd.
    """
    rows = rows_of(known, animals, event, value, on=on, note=note)
    judge(rows)
    return append_rows(folder, known, file_of(on), rows)


def rows_of(
    known: Known,
    animals: Sequence[str],
    event: str,
    value: str | None = None,
    *,
    on: date,
    note: str | None = None,
    place: Place = COMMAND_LINE,
) -> list[Row]:
    """The rows that say what happened: one for each animal, or one for a pair. Raises RecordsError of COMMAND_LINE."""
    word = " ".join(event.casefold().split())
    word = ALSO.get(word, word)
    if word == "note":
        note, value = " ".join(text for text in (value, note) if text) or None, None
    if not animals:
        raise RecordsError.at(COMMAND_LINE, "missing-key", "no animal is named; write its id or its name")
    animals = [known.as_written(name) for name in animals]
    if word in WITH_EVENTS and len(animals) == 1 and (value or word in ("paired", "lock")):
        animals, value = (*animals, _other(animals[0], event, value, known)), None
    subjects = (
        _pair(animals, word, known) if word in WITH_EVENTS and len(animals) > 1 else [(name, "") for name in animals]
    )
    return [
        row_of(place, (on.isoformat(), animal, word, partner, value or "", note or "")) for animal, partner in subjects
    ]


def file_of(day: date) -> str:
    """The file that a new row of a day goes to."""
    return f"log/{day.year:04d}.csv"


def row_of(place: Place, cells: Sequence[str]) -> Row:
    """A row that stands in no table, its cells in the order of COLUMNS."""
    named = zip(COLUMNS, cells, strict=True)
    at = ((name, cell, cell.place if isinstance(cell, WrittenText) else place) for name, cell in named if cell)
    return Row(place, {name: WrittenText.at(cell, where) for name, cell, where in at})


def in_columns(row: Row) -> str:
    """A row as a line of a new log."""
    return _line(row, COLUMNS, ",")


def append_rows(folder: Path, known: Known, file: str, rows: Sequence[Row]) -> WrittenFile:
    """Adds rows, by column, to a log file, or begins the file with them."""
    found = original(folder, file)
    if found is None:
        text = "\n".join([",".join(COLUMNS), *map(in_columns, rows)]) + "\n"
        _check(text, file, known, (), rows)
        return create(folder, file, text)
    findings = Findings()
    sheet = read_sheet(found.text, file, COLUMNS, NEEDED, "a log", findings)
    if sheet is None or findings.errors:
        raise _unread(found, findings)
    for row in rows:
        lacking = [name for name in row.cells if name not in sheet.columns]
        if lacking:
            raise cannot_write(file, f"this file has no column '{lacking[0]}'; add it to the first row, then log again")
    before = read_log(found.text, file, known, findings)
    if findings.errors:
        raise _unread(found, findings)
    lines = "".join(f"{_line(row, sheet.columns, sheet.delimiter)}\n" for row in rows)
    begun = "" if not found.text or found.text.endswith("\n") else "\n"
    _check(found.text + begun + lines, file, known, before, rows)
    return add(folder, found, len(found.raw), begun + lines)


def _unread(found: Original, findings: Findings) -> RecordsError:
    """A file with mistakes in it is not added to: the mistakes are told instead."""
    refused = cannot_write(found.file, "this file has mistakes, so nothing was added to it; mend it first")
    return RecordsError((*refused.problems, *errors_in(findings.problems)))


def _other(animal: str, event: str, value: str | None, known: Known) -> str:
    """The other animal of a pairing, when it is named behind the event: `log M-01 paired F-01`."""
    if not value:
        raise RecordsError.at(
            COMMAND_LINE, "log-pair", f"'{event}' does not say with whom; name both: `log {animal},OTHER {event}`"
        )
    findings = Findings()
    other = known.animal(WrittenText.at(value, COMMAND_LINE), findings)
    if other is None:
        said = findings.problems[0]
        words = "; words about a pairing go behind --note"
        raise RecordsError.at(COMMAND_LINE, said.code, f"{said.message}{words}")
    return other


def _pair(animals: Sequence[str], event: str, known: Known) -> list[tuple[str, str]]:
    if len(animals) != 2:
        raise RecordsError.at(
            COMMAND_LINE, "log-pair", f"'{event}' takes two animals, a male and a female; {len(animals)} are named"
        )
    first, second = animals
    one = known.record(first)
    return [(second, first)] if one is not None and one.sex == "female" else [(first, second)]


def _line(row: Row, columns: Sequence[str], delimiter: str) -> str:
    return cells_as_line([str(row.cells.get(name, "")) for name in columns], delimiter)


def _check(text: str, file: str, known: Known, before: Sequence[LogRow], rows: Sequence[Row]) -> None:
    """The file as it would be must read well, with the old rows first and unchanged and the new ones after them.

    What is wrong then was typed on the command line: the old rows were read before.
    """
    findings = Findings()
    safe = decode(text.encode("utf-8", "surrogatepass"), file, findings)
    after = () if safe is None else read_log(safe, file, known, findings)
    if findings.errors:
        raise RecordsError(
            Problem.at(COMMAND_LINE, problem.code, problem.message) for problem in errors_in(findings.problems)
        )
    if tuple(after[: len(before)]) != tuple(before) or len(after) != len(before) + len(rows):
        raise cannot_write(file, "the rows cannot be added so that the file reads the same as before; add them by hand")
