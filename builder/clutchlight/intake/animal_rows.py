"""Rows of a sheet → those that are of one animal, each with its cells by role; the others are left, with the reason.

Left are headings, the names of the columns over again, other tables, totals, animals that the breeder only wishes for, and rows that stand
for several animals. A sign for "as above" is read as what stands above.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from msgspec import Struct, field

from clutchlight.intake.cells import status_in
from clutchlight.intake.columns import PASSED_OVER, Columns, Row
from clutchlight.intake.species import species_below
from clutchlight.reading.ids import Register

_DITTO = re.compile(
    r"[\"'`´″〃”“„’‘,]{1,2}|(?:ditto|do|dto|idem|same|same as above|as above)\.?|s\.\s*o\.", re.IGNORECASE
)
_TOTAL = re.compile(
    r"(?:grand total|sub-?total|totals?|sum|summe|gesamt|insgesamt|zwischensumme|somme)\b[\s:=]*(?:[0-9].*)?",
    re.IGNORECASE,
)
_SPAN = re.compile(
    r"(?P<stem>.*?)(?P<first>[0-9]{1,6})(?P<mark>\s*[-–—]\s*|\s+(?:to|bis)\s+|\.{2,3})(?P=stem)(?P<last>[0-9]{1,6})"
    r"|.*\s(?P<low>[0-9]|1[0-4])\s*(?:[-–—]|to|bis|thru|t/m)\s*(?P<high>[0-9]{1,2})",
    re.IGNORECASE,
)
"""`K11-K14`, `11 to 14`; and `Elm 4-6`, where no year can be meant."""
_UNTAKEN = re.compile(
    r"(?:wish ?list|want(?:ed|s)?|to buy|iso|wunschliste|gesucht|liste d'envies|recherche)\b", re.IGNORECASE
)
"""A heading over animals that are none of the breeder's."""
_NOTHING = re.compile(r"[-–—]+|n\.?/a\.?", re.IGNORECASE)
_SAYS_WHICH = {"price", "paid", "cost", "weight", "count", "note"}
"""Roles that say of no row which animal it is."""
_TIMES = re.compile(r"(?:[2-9]|[1-9][0-9])\s*[x×*]\s*\D.*|\D.*\s[x×*]\s*(?:[2-9]|[1-9][0-9])", re.IGNORECASE)
"""`3x normal`, `normal x 3`."""
_COUNT_OF = re.compile(
    r"(?:[2-9]|[1-9][0-9])\s+(?:brothers|sisters|siblings|bab(?:y|ies)|young|hatchlings?|juveniles?|snakes|animals|males?|females?|boys|girls"
    r"|geschwister|brüder|schwestern|jungtiere|tiere|babys|böcke|weibchen|männchen)\b.*",
    re.IGNORECASE,
)
"""A count of animals in place of a name. Common practice, no source."""
_CLUTCH = re.compile(r"(?:[0-9]{1,4}\s+)?(?:eggs?|clutch|gelege|eier|œufs|ponte)(?:\s+[0-9]{1,4})?", re.IGNORECASE)
"""In place of an id: eggs of a year, or a clutch."""
_EGGS = re.compile(r"\b(?P<number>[0-9]{1,2})\s+(?P<what>good|fertile|eggs?|slugs?)\b", re.IGNORECASE)
_TWO = re.compile(r"(?:♂\s*[/+,&.]?\s*♀|♀\s*[/+,&.]?\s*♂|[♂♀]{2,}|pairs?|paar|couple|trio)\W*", re.IGNORECASE)
"""More than one animal in a column of sexes."""
_COUNTED = re.compile(r"[0-9]{1,2}[.,/][0-9]{1,2}(?:[.,/][0-9]{1,2})?")


class Left(Struct, frozen=True):
    """A row, or one cell of it, that was not taken, and why. `what`: the name of the cell's column; "" of a whole row."""

    line: int
    what: str
    written: str
    why: str


class AnimalRow(Struct):
    """The row of one animal. `heading`: the last one above it; `remarks`: (name of the column, cell) of what is kept as notes.

    `section`: the last heading above it that calls a species.
    `disputed`: the roles in which another row of the animal says otherwise.
    """

    line: int
    cells: dict[str, str]
    heading: str
    section: str
    remarks: list[tuple[str, str]]
    disputed: set[str] = field(default_factory=set)


def animal_rows(columns: Columns, register: Register, left: list[Left]) -> Iterator[AnimalRow]:
    """The rows that are of one animal; the others go to `left`."""
    for row in columns.others:
        why = "another table, with columns of its own; save it as a file by itself, and take that in too"
        left.append(_left(row, why))
    above: dict[str, str] = {}
    heading = section = ""
    again = {cell.casefold() for cell in columns.header if cell}
    for row in columns.rows:
        filled = [cell for cell in row if cell]
        cells = _by_role(columns, row)
        same = [role for role, cell in cells.items() if role not in ("id", "name", "note") and _DITTO.fullmatch(cell)]
        lost = [role for role in same if role in ("parents", "sire", "dam") and role not in above]
        cells.update({role: above[role] for role in same if role in above})
        above = cells
        alone = (len(filled) == 1 and not _is_id(filled[0])) or (len(filled) == 2 and status_in(filled[0]) is not None)
        heading = " ".join(filled) if alone else heading
        section = heading if alone and species_below(heading) else section
        if sum(cell.casefold() in again for cell in filled) >= max(2, len(filled) - 1):
            why = "the names of the columns again"
        elif alone:
            why = "a heading, or a remark by itself: no animal"
        elif _TOTAL.fullmatch(cells.get("id", filled[0])):
            why = "a row of totals: no animal"
        elif _UNTAKEN.match(heading):
            why = f"it stands below '{heading}', so it is no animal of yours"
        elif not cells.keys() - {"note"}:
            why = "no column of it is read"
        elif not cells.keys() - _SAYS_WHICH:
            why = "nothing in it says which animal it is: a row of totals, or a remark"
        elif several := _several(cells, register):
            why = f"'{several}' does not stand for one animal; give each a row of its own, with its id"
        elif clutch := _of_clutch(columns, cells, register):
            why = clutch
        elif lost:
            above, why = {}, "its parents are those of the row above, which has none"
        else:
            said = {role: cell for role, cell in cells.items() if not _NOTHING.fullmatch(cell)}
            yield AnimalRow(filled[0].line, said, heading, section, list(_remarks(columns, row)))
            continue
        left.append(_left(row, why))


def _left(row: Row, why: str) -> Left:
    filled = [cell for cell in row if cell]
    return Left(filled[0].line, "", " | ".join(filled), why)


def _by_role(columns: Columns, row: Row) -> dict[str, str]:
    roles = ((columns.roles.get(at, PASSED_OVER), cell) for at, cell in enumerate(row) if cell)
    cells = {role: str(cell) for role, cell in roles if role not in ("note", PASSED_OVER)}
    for label, cell in _remarks(columns, row):
        cells["note"] = f"{cells['note']}; {label}: {cell}" if "note" in cells else cell
    return cells


def _remarks(columns: Columns, row: Row) -> Iterator[tuple[str, str]]:
    for at, cell in enumerate(row):
        if cell and columns.roles.get(at) == "note":
            yield str(columns.header[at]) if at < len(columns.header) else "", str(cell)


def _several(cells: Mapping[str, str], register: Register) -> str:
    """The cell that says a row is not of one animal: a range of ids that is no id on record, a count, or a sex such as 2.2."""
    sex, count = cells.get("sex", ""), re.fullmatch(r"([0-9]+)\s*x?", cells.get("count", ""))
    if count is not None and int(count[1]) != 1:
        return cells["count"]
    if _TWO.fullmatch(sex) or (_COUNTED.fullmatch(sex) and sum(map(int, re.findall("[0-9]+", sex))) > 1):
        return sex
    for role in ("id", "name", "genes", "shows"):
        word = cells.get(role, "")
        counted = role in ("id", "name") and _COUNT_OF.fullmatch(word)
        several = _is_range(word) if role == "id" else _TIMES.fullmatch(word)
        if (counted or several) and register.find(word) is None:
            return word
    return ""


def _of_clutch(columns: Columns, cells: Mapping[str, str], register: Register) -> str:
    """Why a row of a list of animals that is of a clutch is left, with the line that writes it; "" of any other."""
    if {"eggs", "slugs", "laid"} & {*columns.roles.values()} or {"genes", "shows", "hets", "sex"} & cells.keys():
        return ""
    remarks = cells.get("note", "").split("; ")
    words = [cells[role] for role in ("id", "name") if role in cells] or remarks
    called = next((word for word in words if _CLUTCH.fullmatch(word)), "")
    told = " ".join((cells.get("status", ""), *(word for word in remarks if word != called)))
    counted = {found["what"].casefold(): found["number"] for found in _EGGS.finditer(told)}
    if not (called and register.find(called) is None) and not _EGGS.match(cells.get("status", "")):
        return ""
    kinds = (("eggs", ("good", "fertile", "egg", "eggs")), ("slugs", ("slug", "slugs")))
    counts = "".join(
        f" --{key} {number}" for key, words in kinds if (number := next(filter(None, map(counted.get, words)), ""))
    )
    write = f"`clutchlight laid DAM --by SIRE{counts} --on DAY`"
    return f"this reads as a clutch, and no animal; write it with {write}, with its dam, sire and day put in"


def _is_range(word: str) -> bool:
    span = _SPAN.fullmatch(word)
    if span is None:
        return False
    if span["low"]:
        return int(span["low"]) < int(span["high"])
    return int(span["first"]) < int(span["last"]) and (span["stem"] or span["mark"]) != "-"


def _is_id(cell: str) -> bool:
    return any(char.isdigit() for char in cell) and " " not in cell and len(cell) <= 20
