"""Bytes of a spreadsheet → rows of texts that know their row and column; .xlsx and .ods, or text with any delimiter and encoding.

The place of a cell counts rows and columns as a spreadsheet does, from 1. Dates that a spreadsheet keeps as dates come out as 2024-05-18,
numbers without a needless `.0`. A text file is UTF-8 if it can be; else the encoding is guessed among those that such lists are saved in.
"""

from __future__ import annotations

import csv
import io
import zipfile
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from charset_normalizer import from_bytes
from python_calamine import CalamineError, CalamineWorkbook

from clutchlight.problems import COMMAND_LINE, RecordsError
from clutchlight.reading.tables import as_typed
from clutchlight.reading.text import WrittenText, without_hidden

DELIMITERS = (",", ";", "\t", "|")
MAX_BYTES = 40_000_000
MAX_ROWS = 50_000
MAX_COLUMNS = 200
_ENCODINGS = ["cp1252", "cp1250", "cp1251", "mac_roman", "utf_16", "utf_16_le", "utf_16_be"]
_OLE = b"\xd0\xcf\x11\xe0"
_LOOKED_AT = 200


@dataclass(frozen=True, slots=True)
class Rows:
    """One sheet: its name, "" of a text file, and its rows that hold anything, each with all its cells."""

    name: str
    rows: tuple[tuple[WrittenText, ...], ...]


def sheets_in(raw: bytes, file: str) -> tuple[Rows, ...]:
    """The sheets of a file that hold anything. Raises RecordsError when none can be read."""
    if len(raw) > MAX_BYTES:
        raise _unreadable(file, f"it is larger than {MAX_BYTES // 1_000_000} MB; save the list of animals by itself")
    if zipfile.is_zipfile(io.BytesIO(raw)) or raw.startswith(_OLE):
        found = tuple(_workbook(raw, file))
    else:
        text = _decoded(raw, file)
        found = (Rows("", tuple(_kept(_records(text), file))),)
    found = tuple(one for one in found if one.rows)
    if not found:
        raise _unreadable(file, "it holds no row; look whether it is the right file")
    return found


def _unreadable(file: str, why: str) -> RecordsError:
    return RecordsError.at(COMMAND_LINE, "not-a-sheet", f"'{file}' cannot be taken in: {why}")


def _workbook(raw: bytes, file: str) -> Iterator[Rows]:
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(raw))
        for name in book.sheet_names:
            rows = book.get_sheet_by_name(name).to_python(skip_empty_area=False, nrows=MAX_ROWS + 1)
            numbered = ((number, [_as_text(value) for value in row]) for number, row in enumerate(rows, 1))
            yield Rows(name, tuple(_kept(numbered, file)))
    except (CalamineError, zipfile.BadZipFile, OSError, ValueError) as error:
        raise _unreadable(file, f"the spreadsheet is damaged or locked ({error}); save it anew, or as .csv") from None


def _as_text(value: object) -> str:
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() else repr(value)
    return value.isoformat() if isinstance(value, time) else str(value)


def _decoded(raw: bytes, file: str) -> str:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        best = from_bytes(raw, cp_isolation=_ENCODINGS, threshold=0.5).best()
    if best is None:
        raise _unreadable(
            file, "its letters cannot be made out; save it as .xlsx, .ods, or .csv with the encoding UTF-8"
        )
    return str(best)


def _records(text: str) -> Iterator[tuple[int, list[str]]]:
    """(line, cells) of each record of a text file; the delimiter that parts most lines into the same number of cells."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    delimiter = max(DELIMITERS, key=lambda one: _evenness(lines[:_LOOKED_AT], one))
    csv.field_size_limit(MAX_BYTES)
    reader = csv.reader(lines, delimiter=delimiter)
    begun = 1
    for cells in reader:
        yield begun, cells
        begun = reader.line_num + 1


def _evenness(lines: Sequence[str], delimiter: str) -> tuple[int, int]:
    """How many rows have the commonest number of cells, when it is above one; and that number."""
    counts = Counter(len(row) for row in csv.reader(lines, delimiter=delimiter) if len(row) > 1)
    width, rows = max(counts.items(), key=lambda found: (found[1], found[0]), default=(0, 0))
    return rows, width


def _kept(rows: Iterable[tuple[int, list[str]]], file: str) -> Iterator[tuple[WrittenText, ...]]:
    """The rows that hold anything, in plain text: one line, no character that nobody sees."""
    for count, (number, row) in enumerate(rows):
        if count >= MAX_ROWS or len(row) > MAX_COLUMNS:
            raise _unreadable(file, f"it has over {MAX_ROWS:,} rows or {MAX_COLUMNS} columns; split it")
        written = (" ".join(without_hidden(cell).split()) for cell in row)
        cells = tuple(as_typed(WrittenText.put(cell, file, number, column)) for column, cell in enumerate(written, 1))
        if any(cells):
            yield cells
