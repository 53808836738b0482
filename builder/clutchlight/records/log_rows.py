"""log/*.csv → dated happenings. Every row is either taken or named with what is wrong in it; none is dropped in silence.

Columns: date,animal,event,with,value,note, in any order; the last three may be missing. The animal of a happening around eggs
may also be named by its clutch: the row then belongs to the dam.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import timedelta
from fractions import Fraction

from clutchlight.model import When
from clutchlight.model.season import (
    CLUTCH_EVENTS,
    COUNT_EVENTS,
    EVENTS,
    FEMALE_EVENTS,
    PAIR_EVENTS,
    LogRow,
    plain_number,
)
from clutchlight.plaintext.fields import MAX_COUNT, SEXES, read_date
from clutchlight.plaintext.findings import Findings, in_words, nearest
from clutchlight.plaintext.values import Text
from clutchlight.records.column_names import OTHER_LOG_COLUMNS
from clutchlight.records.known import Known
from clutchlight.records.spreadsheet import Row, read_sheet

COLUMNS = ("date", "animal", "event", "with", "value", "note")
NEEDED = ("date", "animal", "event")

# Other words of the trade for the same happenings.
ALSO: Mapping[str, str] = {
    "fed": "meal",
    "ate": "meal",
    "refusal": "refused",
    "weighed": "weight",
    "pairing": "paired",
    "locked": "lock",
    "separated": "parted",
    "ovulated": "ovulation",
    "pre lay shed": "pre-lay shed",
    "prelay shed": "pre-lay shed",
    "pls": "pre-lay shed",
    "slugs": "slugs only",
    "pip": "pipped",
}
_GRAMS = re.compile(r"([0-9]{1,6}(?:\.[0-9]{1,2})?)\s*g?", re.IGNORECASE)
_THOUSANDS = re.compile(r"([0-9]{1,3})[.,' ]([0-9]{3})\s*g?", re.IGNORECASE)
_COMMA_GRAMS = re.compile(r"([0-9]{1,6}),([0-9]{1,2})\s*g?", re.IGNORECASE)
_ODD_FACTOR, _ODD_DAYS = 3, 90


def read_log(text: str, file: str, known: Known, findings: Findings) -> tuple[LogRow, ...]:
    """The rows of one file, in the order written."""
    sheet = read_sheet(text, file, COLUMNS, NEEDED, "a log", findings, OTHER_LOG_COLUMNS)
    if sheet is None:
        return ()
    rows = (row_from(row, known, findings) for row in sheet.rows)
    return tuple(row for row in rows if row is not None)


def in_time(rows: Iterable[LogRow]) -> tuple[LogRow, ...]:
    """Rows by date; those of one day stay as they were written."""
    return tuple(sorted(rows, key=lambda row: row.day))


def row_from(row: Row, known: Known, findings: Findings) -> LogRow | None:
    """One row of the log; None, with every problem in it reported, when it does not hold."""
    before = findings.errors
    cells = row.cells
    for name in NEEDED:
        if name not in cells:
            findings.report(row.place, "missing-key", f"this row has no {name}; fill in the cell")
    on = _date(cells["date"], findings) if "date" in cells else None
    event = _event(cells["event"], findings) if "event" in cells else None
    animal, clutch = _subject(cells.get("animal"), event, known, findings)
    partner = known.animal(cells["with"], findings) if "with" in cells else None
    value = cells.get("value")
    number = _number(event, value, row, findings)
    if event is not None and animal is not None:
        _check_pair(event, animal, partner, row, known, findings)
        _check_female(event, animal, row, known, findings)
    if findings.errors > before or on is None or event is None or animal is None:
        return None
    _check_hatched(on, animal, row, known, findings)
    if findings.errors > before:
        return None
    note = cells.get("note")
    return LogRow(
        on=on,
        animal=animal,
        event=event,
        place=row.place,
        partner=partner,
        value=None if value is None else str(value),
        number=number,
        note=None if note is None else str(note),
        clutch=clutch,
    )


def check_together(rows: Sequence[LogRow], findings: Findings) -> None:
    """Warns of a row that stands twice, and of a weight that no snake reaches so fast."""
    seen: dict[object, LogRow] = {}
    last: dict[str, LogRow] = {}
    for row in rows:
        key = (row.on, row.animal, row.event, row.partner, row.value, row.note)
        held = seen.setdefault(key, row)
        if held is not row:
            findings.report(
                row.place,
                "log-twice",
                f"the same row already stands in {held.place.file}, line {held.place.line};"
                " delete one of them if it happened once",
            )
        if row.event == "weight" and row.number is not None:
            _check_weight(row, last.get(row.animal), findings)
            last[row.animal] = row


def _check_weight(row: LogRow, before: LogRow | None, findings: Findings) -> None:
    if (
        before is None
        or before.number is None
        or row.number is None
        or row.day - before.day > timedelta(days=_ODD_DAYS)
    ):
        return
    if max(row.number, before.number) > _ODD_FACTOR * min(row.number, before.number):
        findings.report(
            row.place,
            "weight-odd",
            f"{plain_number(row.number)} g for {row.animal}, after {plain_number(before.number)} g on {before.on}; look at the digits",
        )


def _date(cell: Text, findings: Findings) -> When | None:
    when = read_date(cell)
    if isinstance(when, str):
        findings.report(cell.place, "bad-date", when)
        return None
    findings.dates.append((cell.place, when))
    return when


def _event(cell: Text, findings: Findings) -> str | None:
    word = " ".join(cell.casefold().split())
    word = ALSO.get(word, word)
    if word in EVENTS:
        return word
    near = nearest(word, (*EVENTS, *ALSO))
    remedy = f"the nearest is '{ALSO.get(near, near)}'" if near else f"write {in_words(EVENTS)}"
    findings.report(cell.place, "unknown-word", f"'{cell}' is no event of the log; {remedy}")
    return None


def _subject(cell: Text | None, event: str | None, known: Known, findings: Findings) -> tuple[str | None, str | None]:
    if cell is None:
        return None, None
    clutch = known.clutch(cell)
    if clutch is not None and (event in CLUTCH_EVENTS or event is None):
        return clutch.dam, clutch.id
    return known.animal(cell, findings), None


def _number(event: str | None, value: Text | None, row: Row, findings: Findings) -> Fraction | None:
    if event == "weight":
        if value is None:
            findings.report(
                row.place, "log-value", "a weight has no figure; write the grams as its value, such as 1215"
            )
            return None
        return _weight(value, findings)
    if value is None:
        return None
    if event in COUNT_EVENTS:
        if value.isascii() and value.isdigit() and len(value) < 7 and int(value) <= MAX_COUNT:
            return Fraction(int(value))
        findings.report(
            value.place,
            "log-value",
            f"'{value}' is not a number of eggs or young; write digits only, and words into the note",
        )
    elif event == "sexed" and value.casefold() not in SEXES:
        findings.report(value.place, "log-value", f"'{value}' is no sex; write male, female or unknown")
    return None


def _weight(value: Text, findings: Findings) -> Fraction | None:
    found = _GRAMS.fullmatch(value)
    if found is not None and Fraction(found[1]) > 0:
        return Fraction(found[1])
    if thousands := _THOUSANDS.fullmatch(value):
        remedy = f"write {int(thousands[1] + thousands[2])}"
    elif comma := _COMMA_GRAMS.fullmatch(value):
        remedy = f"write {comma[1]}.{comma[2]}"
    else:
        remedy = "write grams in digits, such as 1215"
    findings.report(value.place, "log-value", f"'{value}' is not a weight in plain grams; {remedy}")
    return None


def _check_pair(event: str, animal: str, partner: str | None, row: Row, known: Known, findings: Findings) -> None:
    """A pairing joins a male and a female of one species."""
    if event not in PAIR_EVENTS:
        return
    if partner is None:
        if "with" not in row.cells and event != "parted":
            findings.report(
                row.place, "log-pair", f"'{event}' does not say with whom; name the other animal under `with`"
            )
        return
    one, other = known.record(animal), known.record(partner)
    if one is None or other is None:
        return
    place = row.cells["with"].place
    if animal == partner:
        findings.report(place, "log-pair", f"'{animal}' stands with itself; name the other animal")
    elif one.sex == other.sex and one.sex != "unknown":
        findings.report(
            place, "log-pair", f"'{animal}' and '{partner}' are both on record as {one.sex}; correct the id or the sex"
        )
    elif one.species != other.species:
        findings.report(
            place,
            "log-pair",
            f"'{animal}' is of the species {one.species}, '{partner}' of {other.species}; correct the id",
        )


def _check_female(event: str, animal: str, row: Row, known: Known, findings: Findings) -> None:
    record = known.record(animal)
    if event in FEMALE_EVENTS and record is not None and record.sex == "male":
        findings.report(
            row.cells["animal"].place,
            "log-sex",
            f"'{event}' is said of '{animal}', who is on record as male; correct the id, the event or the sex",
        )


def _check_hatched(on: When, animal: str, row: Row, known: Known, findings: Findings) -> None:
    record = known.record(animal)
    hatched = record.hatched if record is not None else None
    if record is None or hatched is None or hatched.vague or on.last >= hatched.first:
        return
    place = row.cells["date"].place
    if findings.in_future(hatched):
        findings.deny(hatched, record.places.get("hatched", record.place), place)
        return
    findings.report(
        place,
        "dates-out-of-order",
        f"this is dated {on}, before '{animal}' hatched ({hatched}); correct one of the dates",
    )
