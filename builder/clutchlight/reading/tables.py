"""Text of a log, a table as spreadsheets save it → rows of cells that know their line and column.

Taken as people save them: commas, semicolons or tabs between cells (the first row decides), quotation marks around a cell
that holds the separator, blank rows, rows of nothing but separators, columns in any order. A line that begins with `#` is a
comment. A row that cannot be taken apart is reported; the rows after it are still read.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from clutchlight.problems import Place
from clutchlight.reading.findings import Findings, in_words, or_nearest
from clutchlight.reading.text import WrittenText, by_word, place_in

COLUMNS = ("date", "animal", "event", "with", "value", "note")
NEEDED = ("date", "animal", "event")
_MEANT = by_word(
    {
        "date": "day|when|on",
        "animal": "id|animal id|snake|snake id|name|female|male",
        "event": "type|activity|what|action|happening|category",
        "with": "partner|mate|paired with|other",
        "value": "amount|grams|weight|weight g|prey|food|result|quantity",
        "note": "notes|comment|comments|remark|remarks|details",
    }
)
"""What people call columns, in small letters, to our name."""
DELIMITERS = (",", ";", "\t")
COMMENT = "#"
MAX_LINES_OF_A_CELL = 40
_WORDS = re.compile(r"[^a-z0-9]+")
_FORMULA = re.compile(r"'*[=+\-@\uff1d\uff0b\uff0d\uff20]")
_QUOTED = re.compile(r'"([^"]*(?:""[^"]*)*)"(?!")')
_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?")


class Sheet(Struct, frozen=True):
    """A file's columns, in the order written, its rows by column, and what stands between its cells."""

    delimiter: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]


class Row(Struct, frozen=True):
    """One row: its cells that hold something, by column, and where it begins."""

    place: Place
    cells: Mapping[str, WrittenText]


def read_sheet(text: str, file: str, findings: Findings) -> Sheet | None:
    """The rows under the known columns; None when the first row does not name them, which is reported."""
    lines = text.split("\n")
    first = next((number for number, line in enumerate(lines) if not _passed_over(line)), None)
    if first is None:
        findings.report(Place(file), "empty-file", f"no row stands here; begin with the line {','.join(COLUMNS)}")
        return None
    delimiter = max(DELIMITERS, key=lines[first].count)
    records = _records(lines, first, delimiter, file, findings)
    header = next(records, None)
    names = None if header is None else _header(header[1], findings)
    if names is None:
        return None
    rows = [row for place, cells in records if (row := _row(place, cells, names, findings)) is not None]
    return Sheet(delimiter, names, tuple(rows))


def cells_as_line(cells: Sequence[str], delimiter: str) -> str:
    """One row as text, without its line end; cells are quoted where they need it."""
    return delimiter.join(_quoted(cell, delimiter) for cell in cells)


def without_formula(cell: str) -> str:
    """A cell for a table that others open: what a spreadsheet would take for a formula has an apostrophe before it; numbers stay numbers.

    OWASP, "CSV Injection": cells that begin with =, +, - or @, also in their wide forms, with a tab or with the end of a line; those two
    become a space, or nothing, as in any table that is read here. `as_typed` takes the apostrophe away again.

    >>> [without_formula(cell) for cell in ("=1+1", "-5", "Plum", "'=1", "\\t@x")]
    ["'=1+1", '-5', 'Plum', "''=1", "'@x"]
    """
    plain = " ".join(cell.split())
    return f"'{plain}" if _FORMULA.match(plain) and not _NUMBER.fullmatch(plain) else plain


def as_typed(cell: WrittenText) -> WrittenText:
    """A cell of a table that was written with `without_formula`."""
    return cell.part(cell[1:], 1) if cell.startswith("'") and _FORMULA.match(cell[1:]) else cell


def _quoted(cell: str, delimiter: str) -> str:
    plain = delimiter not in cell and not any(char in cell for char in '"\r\n') and cell == cell.strip()
    if plain and not cell.startswith(COMMENT):
        return cell
    return '"' + cell.replace('"', '""') + '"'


def _passed_over(line: str) -> bool:
    return not line.strip(" \t,;") or line.lstrip().startswith(COMMENT)


def _records(
    lines: list[str], first: int, delimiter: str, file: str, findings: Findings
) -> Iterator[tuple[Place, list[WrittenText]]]:
    """The records of the file; a quoted cell may run over several lines."""
    number = first
    while number < len(lines):
        if _passed_over(lines[number]):
            number += 1
            continue
        raw, used = lines[number], 1
        cells, stuck = _cells(raw, delimiter)
        while stuck is not None and used < MAX_LINES_OF_A_CELL and number + used < len(lines):
            raw = f"{raw}\n{lines[number + used]}"
            used += 1
            cells, stuck = _cells(raw, delimiter)
        place = Place(file, number + 1)
        if stuck is not None:
            said = "the quotation mark opened here is not closed; add the closing one at the end of the cell"
            findings.report(place_in(raw, stuck, file, number), "csv-quote", said)
            used = 1
        elif cells is None:
            said = 'text follows a closing quotation mark in this row; write a quotation mark inside a quoted cell twice, ""'
            findings.report(place, "csv-quote", said)
        else:
            found = ((" ".join(cell.split()), place_in(raw, start, file, number)) for cell, start in cells)
            yield place, [WrittenText.at(cell, at) for cell, at in found]
        number += used


def _cells(raw: str, delimiter: str) -> tuple[list[tuple[str, int]] | None, int | None]:
    """Each cell with where it begins, after its spaces; and where a quotation mark stands that is not closed.

    No cells: text follows a closing quotation mark.
    """
    found: list[tuple[str, int]] = []
    at, sound = 0, True
    while True:
        while raw[at : at + 1] == " ":
            at += 1
        quoted = _QUOTED.match(raw, at)
        if quoted is None and raw[at : at + 1] == '"':
            return found, at
        behind = quoted.end() if quoted is not None else at
        end = raw.find(delimiter, behind)
        rest = raw[behind:end] if end >= 0 else raw[behind:]
        sound = sound and not (quoted and rest)
        found.append((quoted[1].replace('""', '"') if quoted is not None else rest, at))
        if end < 0:
            return found if sound else None, None
        at = end + 1


def _header(cells: Sequence[WrittenText], findings: Findings) -> tuple[str, ...] | None:
    before = findings.errors
    names: list[str] = []
    for cell in cells:
        name = cell.casefold()
        if name and name not in COLUMNS:
            remedy = or_nearest(cell, COLUMNS, f"a log takes {in_words(COLUMNS, 'and')}")
            if meant := _MEANT.get(_WORDS.sub(" ", name).strip()):
                remedy = f"; call it '{meant}'"
            findings.report(cell.place, "csv-header", f"'{cell}' is no column of a log{remedy}")
        elif name and name in names:
            findings.report(cell.place, "csv-header", f"the column '{cell}' stands twice; keep one")
        names.append(name)
    lacking = [name for name in NEEDED if name not in names]
    if lacking and findings.errors == before:
        said = f"the first row does not name the column {in_words(lacking, 'and')}; begin with {','.join(COLUMNS)}"
        findings.report(cells[0].place, "csv-header", said)
    return tuple(names) if findings.errors == before else None


def _row(place: Place, cells: Sequence[WrittenText], names: Sequence[str], findings: Findings) -> Row | None:
    under = (*names, *("" for _ in cells))
    stray = next((cell for cell, name in zip(cells, under, strict=False) if cell and not name), None)
    if stray is not None:
        said = f"'{stray}' stands under no column; put a cell that holds a comma in quotation marks"
        findings.report(stray.place, "csv-cells", said)
        return None
    return Row(place, {name: cell for cell, name in zip(cells, names, strict=False) if cell})
