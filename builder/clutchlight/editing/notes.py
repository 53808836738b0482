"""`log --from`: notes → rows at the end of the log; each once, however often it is handed over.

What stands in the log is counted: of two equal entries in the notes and one row in the log that says the same, one is new. So a file can
be handed over again, grown meanwhile or after a command that was killed: nothing stands twice, nothing is lost, and no trace is kept.
An entry that has no date above it, or only a weekday or `yesterday`, would be another day's tomorrow: where an equal row stands a few days
back, it is held back and told.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from pathlib import Path

from clutchlight.editing.judging import LogSoFar, or_yes, saying
from clutchlight.editing.log import append_rows, file_of, rows_of
from clutchlight.editing.writing import WrittenFile
from clutchlight.model.private import LogRow
from clutchlight.problem_codes import CODES
from clutchlight.problems import Problem, RecordsError, errors_in, in_order
from clutchlight.reading.notes import Said
from clutchlight.reading.several import too_many
from clutchlight.reading.tables import Row

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
        if len(wrong) == before and not yes:
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
