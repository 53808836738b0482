"""`log`: what happened → rows at the end of the log of its year; one happening, or with `--from` all that notes tell of.

The row goes to log/YEAR.csv, in that file's own columns, separator and line ends. It is written only when the file as it
would be then reads without a mistake and says the same as before, with the new rows after it.

Of notes, what stands in the log is counted: of two equal entries in the notes and one row in the log that says the same, one is new. So a
file can be handed over again, grown meanwhile or after a command that was killed: nothing stands twice, nothing is lost, and no trace is
kept. An entry that has no date above it, or only a weekday or `yesterday`, would be another day's tomorrow: where an equal row stands a few
days back, it is held back and told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from pathlib import Path

from clutchlight.editing.judging import LogSoFar, or_yes, saying
from clutchlight.editing.writing import Original, WrittenFile, add, cannot_write, create, original
from clutchlight.model.private import WITH_EVENTS, LogRow
from clutchlight.problem_codes import CODES
from clutchlight.problems import COMMAND_LINE, Place, Problem, RecordsError, errors_in, in_order
from clutchlight.reading.findings import Findings
from clutchlight.reading.ids import Known, too_many
from clutchlight.reading.log import ALSO, read_log
from clutchlight.reading.notes import Said
from clutchlight.reading.tables import COLUMNS, Row, cells_as_line, read_sheet
from clutchlight.reading.text import WrittenText, decode, one_case


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
    word = one_case(event)
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
    sheet = read_sheet(found.text, file, findings)
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


SAME_WITHIN = timedelta(days=31)


@dataclass(frozen=True, slots=True)
class Planned:
    """What is to be written, in the order of the notes; how many entries stand in the log already; and what is left, told line by line."""

    rows: tuple[Row, ...]
    there: int
    left: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class _Entry:
    """A row that an entry becomes, and how it will be read."""

    said: Said
    row: Row
    read: LogRow


def planned(said: Sequence[Said], so_far: LogSoFar, *, yes: bool = False) -> Planned:
    """Judges every entry; a line goes in as a whole or not at all. `yes`: what is odd goes in as well."""
    problems: list[Problem] = []
    entries: list[_Entry] = []
    for _, line in groupby(said, lambda one: one.place):
        rows, wrong = _read(tuple(line), so_far, yes=yes)
        problems += wrong
        entries += () if wrong else rows
    there = _there([entry.read for entry in entries], so_far)
    new: list[Row] = []
    fresh = (entry for at, entry in enumerate(entries) if at not in there)
    for _, together in groupby(fresh, lambda entry: entry.said.place):
        taken = list(together)
        odd: list[Problem] = []
        for entry in taken:
            if not yes:
                odd += (*_undated(entry, so_far), *map(or_yes, so_far.judged(entry.row)[1]))
            so_far.take(entry.read)
        problems += odd
        if odd:
            so_far.leave([entry.read for entry in taken])
        else:
            new += (entry.row for entry in taken)
    return Planned(tuple(new), len(there), in_order(problems))


def _read(said: Sequence[Said], so_far: LogSoFar, *, yes: bool) -> tuple[list[_Entry], list[Problem]]:
    """The rows of one line, and what is wrong with them whatever the log says."""
    found: list[_Entry] = []
    wrong: list[Problem] = []
    for one in said:
        before = len(wrong)
        try:
            rows = rows_of(so_far.known, one.names, one.event, one.value, on=one.day, note=one.note, place=one.place)
        except RecordsError as refused:
            wrong += (Problem.at(one.place, problem.code, problem.message) for problem in refused.problems)
            continue
        for row in rows:
            read, problems = so_far.judged(row)
            if read is None:  # of a range one is enough
                wrong += errors_in(problems)
                break
            found.append(_Entry(one, row, read))
        in_a_range = len({name.column for name in one.names}) < len(one.names)
        if len(wrong) == before and in_a_range and not yes:
            wrong += map(or_yes, too_many(one.place, one.names))
    return found, wrong


def write(folder: Path, so_far: LogSoFar, rows: Sequence[Row]) -> Iterator[WrittenFile]:
    """Adds the rows, one file after the other; each file in one step."""
    files: dict[str, list[Row]] = {}
    for row in rows:
        files.setdefault(file_of(date.fromisoformat(row.cells["date"])), []).append(row)
    for file, own in files.items():
        yield append_rows(folder, so_far.known, file, own)


def _there(rows: Sequence[LogRow], so_far: LogSoFar) -> frozenset[int]:
    """Which of the rows stand in the log already, each row of the log counted once: those that say all the same first, then those of
    which the log has a note besides."""
    left: dict[tuple[object, ...], list[str | None]] = {}
    found: set[int] = set()
    for row in rows:
        key = (row.on, *saying(row))
        if key not in left:
            left[key] = [other.note for other in so_far.like(row) if other.on == row.on]
    for at, row in enumerate(rows):
        notes = left[row.on, *saying(row)]
        if row.note in notes:
            notes.remove(row.note)
            found.add(at)
    for at, row in enumerate(rows):
        notes = left[row.on, *saying(row)]
        if at not in found and row.note is None and notes:
            notes.pop(0)
            found.add(at)
    return frozenset(found)


def _undated(entry: _Entry, so_far: LogSoFar) -> Iterator[Problem]:
    """What is said of an entry without a date that a row of the days before says already."""
    if entry.said.dated:
        return
    day = entry.read.day
    earlier = [
        other
        for other in so_far.like(entry.read)
        if timedelta(0) < day - other.day <= SAME_WITHIN and other.place.file != entry.said.place.file
    ]
    if earlier:
        what = (
            f"no date stands above this, and {earlier[-1].place.file} has the same of {earlier[-1].on}; if it happened again,"
            f" write the date above it, such as {day}"
        )
        yield Problem.at(entry.said.place, "note-undated", what, CODES["note-undated"].level)
