"""Spreadsheet rows and other breeders' statements → records of our own, in one new file; what does not fit is named.

Nothing that exists is touched: the caller writes `Intake.text` with `write`, which refuses a name that is taken. Rows of
animals: id, name, species, sex, hatched, sire, dam, clutch, shows, hets, claims, stated, status, price, origin, came, left, publish,
note; the table that `export` makes is one. Rows of clutches: id, name, sire, dam, laid, eggs, slugs, went_bad, unseen, hatched, ended,
to_sort, tally, complete, publish, note.
Rows of a log are those of log/*.csv. Several values in a cell are parted by `;` or `,`. A note becomes private; so do a clutch and a sire
in doubt, for which a record in animals/ has no place.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePath
from typing import Literal

from clutchlight.editing.statement_intake import animal_from_statement
from clutchlight.editing.writing import Value, WrittenFile, create, item
from clutchlight.model import Collection
from clutchlight.model.private import LogRow
from clutchlight.problems import Place, Problem, errors_in, in_order
from clutchlight.reading import log
from clutchlight.reading.clutches import check_counts
from clutchlight.reading.fields import read_chance, read_date
from clutchlight.reading.findings import Findings, or_nearest
from clutchlight.reading.ids import Known
from clutchlight.reading.names import Names
from clutchlight.reading.shapes import AnimalRecord, ClutchRecord
from clutchlight.reading.strict import read_as
from clutchlight.reading.tables import (
    OTHER_ANIMAL_COLUMNS,
    OTHER_CLUTCH_COLUMNS,
    Row,
    Sheet,
    as_typed,
    cells_as_line,
    read_sheet,
)
from clutchlight.reading.text import Items, Mark, Table, WrittenText, decode, without_hidden
from clutchlight.reading.yaml_records import compose

Kind = Literal["animals", "clutches", "log", "statement"]

ANIMAL_COLUMNS = (
    "id",
    "name",
    "species",
    "sex",
    "hatched",
    "sire",
    "dam",
    "clutch",
    "shows",
    "hets",
    "claims",
    "stated",
    "status",
    "price",
    "origin",
    "came",
    "left",
    "publish",
    "note",
)
CLUTCH_COLUMNS = (
    "id",
    "name",
    "sire",
    "dam",
    "laid",
    "eggs",
    "slugs",
    "went_bad",
    "unseen",
    "hatched",
    "ended",
    "to_sort",
    "tally",
    "complete",
    "publish",
    "note",
)
_APART = re.compile(r"\s*[;,]\s*")
_SIRES_APART = re.compile(r"\s*[;,/]\s*")
_CHANCE = r"[0-9]+(?:\.[0-9]+)?\s*%|[0-9]+\s*/\s*[0-9]+"
_HET = re.compile(
    rf"(?:pos(?:s|sible)?\.?\s+)?(?:(?P<before>{_CHANCE})\s+)?(?:pos(?:s|sible)?\.?\s+)?(?P<het>het\.?\s+)?(?P<name>.+?)(?:[\s:]+(?P<after>{_CHANCE}))?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Intake:
    """What was made of a file: where it goes, its text, how many records it holds. `text` is None when there are errors."""

    file: str
    text: str | None
    count: int
    problems: tuple[Problem, ...]


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
        if kind == "animals":
            made = _animals(text, name, stem, known, findings)
        elif kind == "clutches":
            made = _clutches(text, name, stem, known, findings)
        elif kind == "log":
            made = _log(text, name, stem, known, findings)
        else:
            record = animal_from_statement(text, name, known, findings, said_by=said_by, as_id=as_id)
            if record is not None:
                made = (f"animals/{record['id']}.yaml", _head(name, 1) + item(record), 1)
    problems = in_order(findings.problems)
    file, content, count = made or (f"{stem}", "", 0)
    return Intake(file, None if errors_in(problems) or made is None else content, count, problems)


def write(folder: Path, made: Intake) -> WrittenFile:
    """Writes an intake without errors as a new file; refuses a name that is taken."""
    if made.text is None:
        raise ValueError("an intake with errors has no text")
    return create(folder, made.file, made.text)


def _head(name: str, count: int) -> str:
    plain = without_hidden(" ".join(PurePath(name).name.split()))
    return f"# From {plain}: {count} {'record' if count == 1 else 'records'}. Check them, then keep or move them as you like.\n"


def _animals(text: str, name: str, stem: str, known: Known, findings: Findings) -> tuple[str, str, int]:
    sheet = read_sheet(text, name, ANIMAL_COLUMNS, ("id",), "a list of animals", findings, OTHER_ANIMAL_COLUMNS)
    rows = _as_typed(sheet)
    ids = _new_ids(rows, known, findings)
    found: list[dict[str, Value]] = []
    for row in rows:
        several = {"hatched": _last_day, "shows": _listed, "claims": _chances, "stated": _chances}
        table = _table(row, several, findings, ("hets", *_for_private(row, findings)))
        _hets(row, table, findings)
        read_as(AnimalRecord, table, findings)
        for parent in ("sire", "dam"):
            if parent in table and row.cells[parent].casefold() not in ids:
                known.animal(row.cells[parent], findings)
        _check_names(table, known, findings)
        if "price" in row.cells and "status" not in row.cells:
            findings.report(
                row.cells["price"].place,
                "price-without-status",
                "there is a price but no status, so it would not be offered; write available in a column `status`",
            )
        found.append(_record(table, row))
    return _made(f"animals/from-{stem}.yaml", name, found, findings)


def _clutches(text: str, name: str, stem: str, known: Known, findings: Findings) -> tuple[str, str, int]:
    sheet = read_sheet(
        text, name, CLUTCH_COLUMNS, ("id", "sire", "dam"), "a list of clutches", findings, OTHER_CLUTCH_COLUMNS
    )
    rows = _as_typed(sheet)
    _new_ids(rows, known, findings)
    found: list[dict[str, Value]] = []
    for row in rows:
        table = _table(row, {"sire": _sires, "tally": _listed}, findings, ("note",))
        record = read_as(ClutchRecord, table, findings)
        if record is not None:
            check_counts(record, 0, findings)
        sires = table.get("sire")
        for parent in (*(sires if isinstance(sires, Items) else [sires]), table.get("dam")):
            if isinstance(parent, WrittenText) and parent not in ("unknown", "none"):
                known.animal(parent, findings)
        found.append(_record(table, row))
    return _made(f"clutches/from-{stem}.yaml", name, found, findings)


def _log(text: str, name: str, stem: str, known: Known, findings: Findings) -> tuple[str, str, int]:
    rows = log.in_time(log.read_log(text, name, known, findings))
    log.check_together(rows, findings)
    lines = [",".join(log.COLUMNS), *(cells_as_line(_cells(row), ",") for row in rows)]
    return f"log/from-{stem}.csv", "\n".join(lines) + "\n", len(rows)


def _cells(row: LogRow) -> tuple[str, ...]:
    return (str(row.on), row.clutch or row.animal, row.event, row.partner or "", row.value or "", row.note or "")


# ---- rows to records


def _as_typed(sheet: Sheet | None) -> tuple[Row, ...]:
    """The rows of a table, without what keeps a spreadsheet from taking a cell for a formula."""
    rows = sheet.rows if sheet is not None else ()
    return tuple(replace(row, cells={name: as_typed(cell) for name, cell in row.cells.items()}) for row in rows)


def _for_private(row: Row, findings: Findings) -> tuple[str, ...]:
    """The cells for which a record in animals/ has no place, so that they are kept as private notes."""
    sire = row.cells.get("sire")
    if sire is None or ";" not in sire:
        return ("note", "clutch")
    findings.report(
        sire.place,
        "sire-in-doubt",
        f"'{sire}' are several males, which only a clutch's record can say; they are kept as a private note,"
        " so take the clutch in first, with --as clutches",
    )
    return ("note", "clutch", "sire")


def _last_day(cell: WrittenText, findings: Findings) -> WrittenText:
    """A range of days counts as its last, as a statement of an animal has it."""
    when = read_date(" ".join(cell.split()), spans=True)
    return cell if isinstance(when, str) or ".." not in when.text else cell.part(when.last.isoformat(), 0)


def _new_ids(rows: tuple[Row, ...], known: Known, findings: Findings) -> frozenset[str]:
    """The ids of the rows; one that is taken, here or in the collection, is reported."""
    found: dict[str, int] = {}
    for row in rows:
        if "id" not in row.cells:
            findings.report(row.place, "missing-key", "this row has no id; fill in the cell")
            continue
        cell = row.cells["id"]
        held = found.get(cell.casefold())
        if known.taken(cell):
            findings.report(cell.place, "duplicate-id", f"'{cell}' is already in the collection; take the row out")
        elif held is not None:
            findings.report(cell.place, "duplicate-id", f"'{cell}' already stands in line {held}; keep one of the rows")
        found.setdefault(cell.casefold(), cell.line)
    return frozenset(found)


def _table(
    row: Row, several: Mapping[str, Callable[[WrittenText, Findings], object]], findings: Findings, left: Sequence[str]
) -> Table:
    """The row as our records have it; the columns in `left` are left for later."""
    table = Table()
    table.mark = Mark(row.place)
    for key, cell in row.cells.items():
        if key not in left:
            table[key] = several[key](cell, findings) if key in several else cell
            table.mark.keys[key] = WrittenText.at(key, cell.place)
            table.mark.values[key] = cell.place
    return table


def _record(table: Table, row: Row) -> dict[str, Value]:
    record: dict[str, Value] = {key: _plain(value) for key, value in table.items()}
    private = {key: str(cell) for key, cell in row.cells.items() if key not in (*record, "hets")}
    return {**record, "private": private} if private else record


def _plain(value: object) -> Value:
    if isinstance(value, Table):
        return {str(key): _plain(one) for key, one in value.items()}
    if isinstance(value, Items):
        return [_plain(one) for one in value]
    return str(value)


def _listed(cell: WrittenText, findings: Findings) -> object:
    return cell.pieces(_APART)


def _sires(cell: WrittenText, findings: Findings) -> object:
    males = cell.pieces(_SIRES_APART)
    return males[0] if len(males) == 1 else males


def _chances(cell: WrittenText, findings: Findings) -> Table:
    """`66% het Piebald; het Clown` → {Piebald: 66%, Clown: 100%}."""
    table = Table()
    table.mark = Mark(cell.place)
    for piece in cell.pieces(_APART):
        found = _HET.fullmatch(piece)
        chance = (found["before"] or found["after"]) if found is not None else None
        possible = re.match(r"(?:[0-9%/. ]+)?pos", piece, re.IGNORECASE) is not None
        if chance is None and found is not None and found["het"] and not possible:
            chance = "100%"
        if found is None or chance is None:
            findings.report(
                piece.place, "bad-chance", f"'{piece}' names no chance; write it like 66% het Piebald, or het Piebald"
            )
            continue
        chance = "".join(chance.split())
        wrong = read_chance(chance)
        if isinstance(wrong, str):
            findings.report(piece.place, "bad-chance", wrong)
            continue
        trait = piece.part(found["name"], found.start("name"))
        if trait in table:
            findings.report(piece.place, "claim-twice", f"'{trait}' stands twice in this cell; keep one")
            continue
        table[trait] = piece.part(chance, 0)
        table.mark.keys[trait] = trait
        table.mark.values[trait] = piece.place
    return table


def _hets(row: Row, table: Table, findings: Findings) -> None:
    """The trade's word covers both: claims of a founder, the seller's figures of an animal with recorded parents."""
    cell = row.cells.get("hets")
    if cell is None:
        return
    key = "stated" if "sire" in row.cells or "dam" in row.cells else "claims"
    if key in table:
        findings.report(cell.place, "two-values", f"`hets` and `{key}` stand side by side; keep one of them")
        return
    table[key] = _chances(cell, findings)
    table.mark.keys[key] = WrittenText.at(key, cell.place)
    table.mark.values[key] = cell.place


def _check_names(table: Table, known: Known, findings: Findings) -> None:
    """Looks and traits by the names of the species; a species that is not on record is reported."""
    collection = known.collection
    if collection is None:
        return
    species = table.get("species")
    key = str(species) if isinstance(species, WrittenText) else collection.settings.species[0]
    if key not in collection.species:
        if isinstance(species, WrittenText):
            remedy = or_nearest(species, collection.species, "add it to `species` in collection.yaml")
            findings.report(species.place, "unknown-species", f"'{species}' is no species of this collection{remedy}")
        return
    names = Names(collection.species[key])
    shows = table.get("shows")
    if isinstance(shows, Items):
        names.shown(list(shows), findings)
    for field in ("claims", "stated"):
        claims = table.get(field)
        if isinstance(claims, Table):
            for trait in claims:
                names.trait(claims.mark.keys[trait], findings)


def _made(file: str, name: str, records: list[dict[str, Value]], findings: Findings) -> tuple[str, str, int]:
    """The text of the new file, read back to be sure that it says what the rows said."""
    text = _head(name, len(records)) + "".join(item(record) for record in records)
    if not findings.errors:
        check = Findings()
        root = compose(text, file, check)
        same = isinstance(root, Items) and [_plain(one) for one in root] == records
        if check.errors or not same:
            findings.report(Place(name), "cannot-write", "these rows cannot be written as records; copy them by hand")
    return file, text, len(records)
