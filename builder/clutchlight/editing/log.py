"""`log`: what happened → rows at the end of the log of its year; one happening, or with `--from` all that notes tell of.

The row goes to log/YEAR.csv, in that file's own columns, separator and line ends. It is written only when the file as it
would be then reads without a mistake and says the same as before, with the new rows after it.

A new row is judged before it is written, by the same rules that judge the log as it stands. What is said of it is what the row causes: an
old row that is odd by itself is told by `check`.

Of notes, what stands in the log is counted: of two equal entries in the notes and one row in the log that says the same, one is new. So a
file can be handed over again, grown meanwhile or after a command that was killed: nothing stands twice, nothing is lost, and no trace is
kept. An entry that has no date above it, or only a weekday or `yesterday`, would be another day's tomorrow: where an equal row stands a few
days back, it is held back and told.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from itertools import groupby
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.editing.clutches import odd_hatching
from clutchlight.editing.disk import WrittenFile
from clutchlight.editing.writing import Original, add, cannot_write, create, original
from clutchlight.model import Collection, Leaving, When
from clutchlight.model.private import TOGETHER, WITH_EVENTS, LogRow, Private, plain_number
from clutchlight.model.traits import grouped
from clutchlight.planning.readiness import newly_come, set_apart
from clutchlight.planning.room import Absence, absences, ill_in
from clutchlight.planning.sales import with_paid_ones_here
from clutchlight.problem_codes import CODES
from clutchlight.problems import COMMAND_LINE, Place, Problem, RecordsError, errors_in, in_order
from clutchlight.reading.checks import check_future
from clutchlight.reading.findings import Findings
from clutchlight.reading.ids import Known, too_many
from clutchlight.reading.log import ALSO, check_together, in_time, read_log, row_from
from clutchlight.reading.notes import Said
from clutchlight.reading.tables import COLUMNS, Row, cells_as_line, read_sheet
from clutchlight.reading.text import WrittenText, decode, one_case


class LogSoFar:
    """The log as it stands, for new rows to be judged by one after the other. `today`: no row lies behind it."""

    def __init__(self, collection: Collection, private: Private, today: date) -> None:
        self.known = Known(collection)
        self._collection, self._today = with_paid_ones_here(collection, private, today), today
        self._of: dict[str, list[LogRow]] = {}
        self._ill = list(ill_in(private.log))
        for row in private.log:
            self._of.setdefault(row.animal, []).append(row)

    def judged(self, row: Row) -> tuple[LogRow | None, tuple[Problem, ...]]:
        """The row as it would be read, None where it does not hold; and what is wrong with it, or odd about it."""
        findings = Findings(self._today)
        read = row_from(row, self.known, findings)
        check_future(findings)
        if read is not None:
            self._beside_others(read, findings)
            self._absent(read, findings)
            self._beside_clutch(read, findings)
        return (None if findings.errors else read), in_order(findings.problems)

    def absent(self, animal: str, event: str, day: date) -> tuple[Problem, ...]:
        """Why something cannot be of an animal on a day, or should not be."""
        findings = Findings()
        self._absent(LogRow(When.day(day), animal, event, COMMAND_LINE), findings)
        return in_order(findings.problems)

    @property
    def rows(self) -> tuple[LogRow, ...]:
        """The rows by day, those that were taken among them."""
        return tuple(in_time(row for rows in self._of.values() for row in rows))

    def take(self, row: LogRow) -> None:
        """Counts a row among those that the next are judged by."""
        self._of.setdefault(row.animal, []).append(row)
        self._ill += ill_in([row])

    def leave(self, rows: Sequence[LogRow]) -> None:
        """Takes back rows that were taken last."""
        for row in rows:
            self._of[row.animal].remove(row)
        self._ill = [row for row in self._ill if row not in rows]

    def like(self, row: LogRow) -> tuple[LogRow, ...]:
        """The rows that say the same of the same animal, on whatever day and with whatever note."""
        return tuple(other for other in self._of.get(row.animal, ()) if saying(other) == saying(row))

    def _beside_others(self, row: LogRow, findings: Findings) -> None:
        others = self._of.get(row.animal, [])
        caused = Counter(_together([*others, row])) - Counter(_together(others))
        for problem in sorted(caused):
            what, _, _ = problem.message.partition(";")
            doubled = problem.code == "log-twice"  # here nothing is to be deleted yet
            if doubled and any(other.place == COMMAND_LINE and saying(other) == saying(row) for other in others):
                what = f"{row.animal} is named twice"
            findings.report(
                row.place,
                problem.code,
                f"{what}; leave this one out if it happened once" if doubled else problem.message,
            )
        for other in others:
            same_day = row.event == other.event == "weight" and row.on == other.on and row.number != other.number
            if same_day and other.number is not None and not any(one.code == "weight-odd" for one in caused):
                findings.report(
                    row.place,
                    "log-twice",
                    f"{_line_of(other)} has {plain_number(other.number)} g for {row.animal} on that day already; correct it there"
                    " if it was a slip",
                )

    def _beside_clutch(self, row: LogRow, findings: Findings) -> None:
        """A hatching is measured by the clutch's own record: how many good eggs there were, and when they were laid."""
        laid = [one for one in self._collection.laid_by(row.animal) if row.clutch in (None, one.id) and not one.over]
        if row.event != "hatched" or len(laid) != 1:
            return
        (clutch,) = laid
        if row.number is not None and clutch.eggs is not None and row.number > clutch.eggs:
            said = f"{plain_number(row.number)} hatched are more than the {clutch.eggs} good eggs of '{clutch.id}'"
            findings.report(row.place, "eggs-odd", f"{said} ({clutch.place.file}); look at the number")
        if odd := odd_hatching(clutch, self._collection, row.on):
            findings.report(row.place, "incubation-odd", odd)

    def _absent(self, row: LogRow, findings: Findings) -> None:
        for animal, away in absences(row, self._collection, self._ill, self._today):
            findings.report(
                row.place, "log-absent", f"'{animal.id}' {_why(away)}; look at the animal and the day ({row.on})"
            )
        came = newly_come(self._collection, Private(log=tuple(self._ill)), row.day) if row.event in TOGETHER else {}
        for name in came.keys() & {row.animal, row.partner}:
            said = f"'{name}' came {came[name]} and no quarantine is in the log; where it was in one, log `{name} quarantine over` first"
            findings.report(row.place, "log-absent", said)


def odd_among(rows: Iterable[Row], so_far: LogSoFar) -> tuple[Problem, ...]:
    """What is odd about rows, each beside those before it. Raises RecordsError where one does not hold."""
    found: list[Problem] = []
    for row in rows:
        read, problems = so_far.judged(row)
        found += problems
        if read is not None:
            so_far.take(read)
    if errors_in(found):
        raise RecordsError(errors_in(found))
    return in_order(found)


def logged_after(
    collection: Collection, log: Sequence[LogRow], animals: Sequence[str], how: str, on: date
) -> tuple[Problem, ...]:
    """What could not be of animals, had they left on a day: the first row of each, as one would be told after it, or else a clutch."""
    gone = {name: replace(collection.animals[name], left=Leaving(how, When.day(on))) for name in animals}
    after = replace(collection, animals={**collection.animals, **gone})
    left = f"it {_LEFT.get(how, how)} ({on})"
    found: dict[str, Problem] = {}
    for row in in_time(log):
        for animal, away in absences(row, after, ()):
            if animal.id in gone and away.how == how and animal.id not in found:
                said = (
                    f"the log has {row.event} of {animal.id} after {left}: {_line_of(row)} {row.on}; look at both days"
                )
                found[animal.id] = Problem.at(COMMAND_LINE, "log-absent", said, "warning")
    for clutch in collection.clutches.values():
        laid, born = clutch.laid, collection.animals[clutch.dam].hatched
        if clutch.dam not in gone or clutch.dam in found or clutch.reported_by is not None or laid is None:
            continue
        if on < laid.first and (born is None or born.first <= on):
            said = f"'{clutch.id}' of {clutch.dam} was laid ({laid}) after {left}; look at both days"
            found[clutch.dam] = Problem.at(COMMAND_LINE, "log-absent", said, "warning")
    return tuple(found.values())


_LEFT = {"sold": "was sold", "loan": "went on loan"}


def kept_apart(collection: Collection, log: Sequence[LogRow], animals: Sequence[str], on: date) -> tuple[Problem, ...]:
    """Quarantines and treatments that animals are in on a day on which they are to be promised or to leave."""
    return tuple(
        Problem.at(
            COMMAND_LINE,
            "log-absent",
            f"{spell.animal} has a {spell.how} in the log (since {spell.since}, until {spell.until}); wait until it is over",
            "warning",
        )
        for spell in set_apart(collection, Private(log=tuple(in_time(log))), on)
        if spell.animal in animals
    )


def _together(rows: Sequence[LogRow]) -> Iterator[Problem]:
    findings = Findings()
    check_together(in_time(rows), findings)
    yield from findings.problems


def saying(row: LogRow) -> tuple[object, ...]:
    """What a row says, but for its day and its note."""
    value = None if row.number is not None or row.value is None else row.value.casefold()
    return row.animal, row.event, row.partner, row.clutch, row.number, value


def or_yes(odd: Problem) -> Problem:
    """What is said of an odd row where nobody is asked."""
    return replace(odd, message=f"{odd.message}, or add --yes if it is right")


def _line_of(row: LogRow) -> str:
    return f"{row.place.file}, line {row.place.line}," if row.place.line else "what was just written"


def _why(away: Absence) -> str:
    since = f" ({away.since})" if away.since else ""
    if away.how == "came":
        return f"came later{since}"
    if away.how in ("quarantine", "treatment"):
        return f"has a {away.how} in the log{since}"
    if away.how == "elsewhere":
        return "was never here: its status is `elsewhere`"
    return f"is no longer here: {away.how}{since}"


# ---- one happening


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
    if word in WITH_EVENTS and len(animals) == 1 and (value or word in TOGETHER):
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


# ---- all that notes tell of


SAME_WITHIN = timedelta(days=31)


class Planned(Struct, frozen=True):
    """What is to be written, in the order of the notes; how many entries stand in the log already; and what is left, told line by line."""

    rows: tuple[Row, ...]
    there: int
    left: tuple[Problem, ...]


class _Entry(Struct, frozen=True):
    """A row that an entry becomes, and how it will be read."""

    said: Said
    row: Row
    read: LogRow


def planned(said: Sequence[Said], so_far: LogSoFar, *, yes: bool = False) -> Planned:
    """Judges every entry; a line goes in as a whole or not at all. `yes`: what is odd goes in as well."""
    problems: list[Problem] = []
    entries: list[_Entry] = []
    for one in said:
        rows, wrong = _read(one, so_far, yes=yes)
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


def _read(said: Said, so_far: LogSoFar, *, yes: bool) -> tuple[list[_Entry], list[Problem]]:
    """The rows of one line, and what is wrong with them whatever the log says."""
    try:
        rows = rows_of(so_far.known, said.names, said.event, said.value, on=said.day, note=said.note, place=said.place)
    except RecordsError as refused:
        return [], [Problem.at(said.place, problem.code, problem.message) for problem in refused.problems]
    found: list[_Entry] = []
    for row in rows:
        read, problems = so_far.judged(row)
        if read is None:  # of a range one is enough
            return [], list(errors_in(problems))
        found.append(_Entry(said, row, read))
    in_a_range = len({name.column for name in said.names}) < len(said.names)
    return found, list(map(or_yes, too_many(said.place, said.names))) if in_a_range and not yes else []


def write(folder: Path, so_far: LogSoFar, rows: Sequence[Row]) -> Iterator[WrittenFile]:
    """Adds the rows, one file after the other; each file in one step."""
    for file, own in grouped((file_of(date.fromisoformat(row.cells["date"])), row) for row in rows).items():
        yield append_rows(folder, so_far.known, file, own)


def _there(rows: Sequence[LogRow], so_far: LogSoFar) -> frozenset[int]:
    """Which of the rows stand in the log already, each row of the log counted once: those that say all the same first, then those of
    which the log has a note besides."""
    left = {(row.on, *saying(row)): [other.note for other in so_far.like(row) if other.on == row.on] for row in rows}
    found: set[int] = set()
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
            f"no full date stands above this, and {earlier[-1].place.file} has the same entry for {earlier[-1].on}; if it happened again,"
            f" write the date above it, such as {day}"
        )
        yield Problem.at(entry.said.place, "note-undated", what, CODES["note-undated"].level)
