"""Rows of a sheet → those that are of one animal, each animal once, with its cells by role; the others are left, with the reason.

Left are headings, the names of the columns over again, other tables, totals, animals that the breeder only wishes for, and rows that stand
for several animals. A sign for "as above" is read as what stands above. A row that repeats another says nothing new. Where two rows of one
id contradict each other, nobody knows which is right: what differs is taken from neither.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct, field

from clutchlight.intake.cells import Price, sex_in, status_in
from clutchlight.intake.columns import OF_GENES, PASSED_OVER, Columns, Row, lists_clutches, names_notes
from clutchlight.intake.genes import Genes
from clutchlight.intake.words import DITTO, EGGS_COUNTED, NOTHING, YES, one_of
from clutchlight.model import Sex
from clutchlight.reading.fields import fault_of_id
from clutchlight.reading.ids import Register
from clutchlight.reading.text import one_case

_DITTO = one_of(rf"[\"'`´″〃”“„’‘,]{{1,2}}|(?:{DITTO}|do|dto|as above)\.?|s\.\s*o\.")
_TOTAL = one_of(
    r"(?:grand total|sub-?total|totals?|ttl|sum|summe|gesamt|insgesamt|zwischensumme|somme)\b[\s:=]*(?:[0-9].*)?"
)
_HEADS = one_of(
    "total|ttl|sum|average|avg|count|season|males|females|boys|girls|babies|hatchlings|juveniles|snakes|animals"
)
"""A word of a row that adds up others, or heads them; and what may stand beside it."""
_BESIDE_HEADS = one_of(rf"{_HEADS.pattern}|price|sold|sales|paid|here|left|available|in|of|for|all|the")
_SEASON = re.compile(r"\W*(?P<year>(?:19|20)[0-9]{2}|['’][0-9]{2})(?:\s*[-/–]\s*['’]?(?P<next>(?:19|20)?[0-9]{2}))?\W*")
_SPAN = one_of(
    r"(?P<stem>.*?)(?P<first>[0-9]{1,6})(?P<mark>\s*[-–—]\s*|\s+(?:to|bis)\s+|\.{2,3})(?P=stem)(?P<last>[0-9]{1,6})"
    r"|.*\s(?P<low>[0-9]|1[0-4])\s*(?:[-–—]|to|bis|thru|t/m)\s*(?P<high>[0-9]{1,2})"
)
"""`K11-K14`, `11 to 14`; and `Elm 4-6`, where no year can be meant."""
_UNTAKEN = one_of(
    r"(?:wish ?list|want(?:ed|s)?|to buy|iso|wunschliste|gesucht|liste d'envies|recherche"
    r"|.*\b(?:not mine|not ours|boarding|nicht meine?))\b"
)
"""A heading over animals that are none of the breeder's."""
_SAYS_WHICH = {"price", "paid", "cost", "weight", "count", "note"}
"""Roles that say of no row which animal it is."""
_TIMES = one_of(r"(?:[2-9]|[1-9][0-9])\s*[x×*]\s*\D.*|\D.*\s[x×*]\s*(?:[2-9]|[1-9][0-9])")
"""`3x normal`, `normal x 3`."""
_COUNT_OF = one_of(
    r"(?:[2-9]|[1-9][0-9])\s+(?:brothers|sisters|siblings|bab(?:y|ies)|young|hatchlings?|juveniles?|snakes|animals"
    r"|males?|females?|boys|girls|geschwister|brüder|schwestern|jungtiere|tiere|babys|böcke|weibchen|männchen)\b.*"
    r"|(?:(?:the|all(?: the)?) )?(?:rest|remaining|remainder|others)(?: (?:of|from)\b.*)?"
)
"""A count of animals in place of a name."""
_CLUTCH = one_of(r"(?:[0-9]{1,4}\s+)?(?:eggs?|clutch|gelege|eier|œufs|ponte)(?:\s+[^\s0-9]*[0-9]\S*)?")
"""In place of an id: eggs of a year or of a female, or a clutch."""
_OF_ONE = {"clutch", "weight", "price", "buyer", "died"}
"""Roles of cells that are of an animal, whatever its row counts of the clutch it came from."""
_TWO = one_of(r"(?:♂\s*[/+,&.]?\s*♀|♀\s*[/+,&.]?\s*♂|[♂♀]{2,}|pairs?|paar|couple|trio)\W*")
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

    `disputed`: the roles in which another row of the animal says otherwise.
    """

    line: int
    cells: dict[str, str]
    heading: str
    remarks: list[tuple[str, str]]
    disputed: set[str] = field(default_factory=set)


class Draft(Struct):
    """What one animal's row says, as our records have it. `said_in`: in which column each trait that it carries is named;
    `coming`: the cell that says that its sale is still to come.
    """

    id: str
    line: int
    species: str
    cells: dict[str, str]
    name: str = ""
    sex: Sex | None = None
    genes: Genes = field(default_factory=Genes)
    said_in: dict[str, str] = field(default_factory=dict)
    hatched: str = ""
    laid: str = ""
    parents: tuple[str, str] | None = None
    sire: str = ""
    dam: str = ""
    status: str = ""
    died: str = ""
    price: Price | None = None
    paid: str = ""
    coming: str = ""
    buyer: str = ""
    sold: str = ""
    seller: str = ""
    origin: str = ""
    came: str = ""
    weight: str = ""
    weighed: str = ""
    returned: bool = False
    notes: dict[str, str] = field(default_factory=dict)
    remarks: list[tuple[str, str]] = field(default_factory=list)
    disputed: set[str] = field(default_factory=set)

    @property
    def parents_lost(self) -> bool:
        """Whether parents are written, of which none could be taken."""
        return bool({"parents", "sire", "dam"} & self.cells.keys()) and not (self.sire or self.dam)

    @property
    def asked(self) -> str:
        """The amount that its price names; "" where it names none."""
        return self.price.amount if self.price is not None and self.price.amount != "ask" else ""

    @property
    def paid_unread(self) -> bool:
        """Whether a cell says what was paid, and no amount is read in it; then a price beside it is not that of the sale."""
        return "paid" in self.cells and not self.paid and not YES.fullmatch(self.cells["paid"])

    def command_died(self) -> str:
        """The command that writes its death, with its day; where none is read, one that does not run until a day is put in."""
        exact = self.died.count("-") == 2 and " " not in self.died
        return f"`clutchlight died {self.id} --on {self.died if exact else 'DAY'}`"


class Leftovers:
    """Gathers what of a sheet goes into no record. `rows`: in the order in which it was found."""

    def __init__(self, columns: Columns) -> None:
        self.columns = columns
        self.rows: list[Left] = []

    def keep(self, draft: Draft, role: str, why: str) -> None:
        """A cell that is not taken stays as a private note; a parent may stand in the cell of both, or of the other."""
        role = next(one for one in (role, "parents", "sire", "dam") if one in draft.cells)
        draft.notes.setdefault(f"{role}_as_written".replace(" ", "_"), draft.cells[role])
        self.leave(draft, role, draft.cells[role], why)

    def leave(self, draft: Draft, role: str, written: str, why: str) -> None:
        """Something of an animal that goes into no record."""
        self.row(draft.line, written, f"{draft.id}: {why}", role)

    def row(self, line: int, written: str, why: str, role: str = "") -> None:
        """A whole row, or the cell of a role."""
        self.rows.append(Left(line, role and self.columns.called(role), written, why))


def animal_rows(columns: Columns, register: Register, left: Leftovers) -> Iterator[AnimalRow]:
    """The rows that are of one animal; the others go to `left`."""
    for row in columns.others:
        _leave(left, row, "another table, with columns of its own; save it as a file by itself, and take that in too")
    above: dict[str, str] = {}
    heading = ""
    again = {cell.casefold() for cell in columns.header if cell}
    for row in columns.rows:
        filled = [cell for cell in row if cell]
        cells = _by_role(columns, row)
        same = [role for role, cell in cells.items() if role not in ("id", "name", "note") and _DITTO.fullmatch(cell)]
        lost = [role for role in same if role in ("parents", "sire", "dam") and role not in above]
        cells.update({role: above[role] for role in same if role in above})
        above = cells
        single = len(filled) == 1 and (not _is_id(filled[0]) or _is_season(filled[0]))
        alone = single or (len(filled) == 2 and status_in(filled[0]) is not None)
        heading = " ".join(filled) if alone else heading
        if sum(cell.casefold() in again for cell in filled) >= max(2, len(filled) - 1):
            why = "the names of the columns again"
        elif alone:
            why = "a heading, or a remark by itself: no animal"
        elif _TOTAL.fullmatch(cells.get("id", filled[0])) or _adds_up(filled):
            why = "a row of totals: no animal"
        elif _UNTAKEN.match(heading):
            why = f"it stands below '{heading}', so it is no animal of yours"
        elif not cells.keys() - _SAYS_WHICH:
            why = "nothing in it says which animal it is: a row of totals, or a remark"
        elif several := _several(cells, register):
            why = f"'{several}' does not stand for one animal; give each a row of its own, with its id"
        elif clutch := _of_clutch(columns, row, cells, register):
            why = clutch
        elif lost:
            above, why = {}, "its parents are those of the row above, which has none"
        else:
            said = {role: cell for role, cell in cells.items() if not NOTHING.fullmatch(cell)}
            yield AnimalRow(filled[0].line, said, heading, list(_remarks(columns, row)))
            continue
        _leave(left, row, why)


def _leave(left: Leftovers, row: Row, why: str) -> None:
    filled = [cell for cell in row if cell]
    left.row(filled[0].line, " | ".join(filled), why)


def _by_role(columns: Columns, row: Row) -> dict[str, str]:
    roles = {at: role for at, role in columns.roles.items() if role not in ("note", PASSED_OVER)}
    cells = {role: str(row[at]) for at, role in roles.items() if row[at]}
    for label, cell in _remarks(columns, row):
        told = cell if not label or names_notes(label) else f"{label}: {cell}"
        cells["note"] = f"{cells['note']}; {told}" if "note" in cells else told
    return cells


def _remarks(columns: Columns, row: Row) -> Iterator[tuple[str, str]]:
    for at in (at for at, role in columns.roles.items() if role == "note" and row[at]):
        yield str(columns.header[at]), str(row[at])


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


def _of_clutch(columns: Columns, row: Row, cells: Mapping[str, str], register: Register) -> str:
    """Why a row of a list of animals that is of a clutch is left, with the line that writes it; "" of any other."""
    said = {role for role, cell in cells.items() if not NOTHING.fullmatch(cell)}
    if lists_clutches(columns) or {*OF_GENES, "sex"} & said:
        return ""
    remarks = [cell for _, cell in _remarks(columns, row)]
    words = [cells[role] for role in ("id", "name") if role in cells] or remarks
    called = any(_CLUTCH.fullmatch(word) and register.find(word) is None for word in words)
    one = {"id", "name"} <= said or _OF_ONE & said or _on_record(cells, register)
    counts = any(cells.get(role, "").strip("0").isdecimal() for role in ("eggs", "slugs"))
    told = not one and (counts or any(re.match(r"[0-9]+\s*(?:egg|slug)s?\b", cell, re.IGNORECASE) for cell in remarks))
    if not (called or told or EGGS_COUNTED.match(cells.get("status", ""))):
        return ""
    return (
        "this reads as a clutch, and no animal; write it with `clutchlight laid DAM --by SIRE --eggs NUMBER --on DAY`"
    )


def _is_range(word: str) -> bool:
    span = _SPAN.fullmatch(word)
    if span is None:
        return False
    if span["low"]:
        return int(span["low"]) < int(span["high"])
    return int(span["first"]) < int(span["last"]) and (span["stem"] or span["mark"]) != "-"


def _adds_up(cells: Sequence[str]) -> bool:
    """Whether a row has nothing but a word such as `total`, words beside it, and numbers."""
    words = re.findall(r"[^\W\d_]+", " ".join(cells))
    return all(map(_BESIDE_HEADS.fullmatch, words)) and any(map(_HEADS.fullmatch, words))


def _is_season(cell: str) -> bool:
    """`2025`, `'25`, `2025-26` and `2024-2026`, which alone in a row are no id."""
    said = _SEASON.fullmatch(cell)
    first, second = ("", "") if said is None else (said["year"][-2:], said["next"] or "")
    return bool(first) and (len(second) != len("26") or int(second) == (int(first) + 1) % 100)


def _is_id(cell: str) -> bool:
    return any(char.isdigit() for char in cell) and " " not in cell and len(cell) <= 20


# ---- each animal once


_TWICE = one_of(r"\b(?:twice|double|duplicate|doppelt|en double|again)\b")
"""In a remark: that an animal stands in the sheet before."""


def once(rows: Sequence[AnimalRow], register: Register, left: Leftovers) -> Mapping[str, AnimalRow]:
    """Each animal once, by its id: what two rows of one id say otherwise is taken from neither."""
    first: dict[str, tuple[str, AnimalRow]] = {}
    for row in rows:
        line, cells = row.line, row.cells
        called = _on_record(cells, register)
        if len(called) > 1:
            word = cells.get("id") or cells["name"]
            why = f"'{word}' may be {' or '.join(called)}, which share that name; write the id into the sheet"
            left.row(line, word, why)
            continue
        if twice := _written_twice(row, first):
            kept = first[twice][1]
            why = f"it may be {kept.cells['name']} in line {kept.line}, written twice; if it is another animal, give it a name of its own"
            left.row(line, " | ".join(cells.values()), why)
            continue
        name = called[0] if called else _id_of(line, cells, first)
        _, kept = first.setdefault(name.casefold(), (name, row))
        if kept is row:
            continue
        held = kept.cells
        differing = [role for role in dict.fromkeys((*held, *cells)) if role != "id" and _differ(held, cells, role)]
        for role in (role for role in differing if role in cells):
            if role == "note":
                held["note"] = f"{held['note']}; {cells['note']}" if "note" in held else cells["note"]
                kept.remarks += row.remarks
            elif role not in held:
                held[role] = cells[role]
            else:
                kept.disputed.add(role)
                said = f"{held.pop(role)} (line {kept.line}); {cells[role]} (line {line})"
                held["note"] = f"{held.get('note', '')}; two rows differ: {said}".lstrip("; ")
                why = "two rows of this animal differ here, so neither is taken; correct the record if you know"
                left.row(line, said, why, role)
        second = f"a second row of the animal in line {kept.line}; what both say was taken once"
        left.row(line, name, second if differing else f"the same row stands in line {kept.line}")
    return dict(first.values())


def _written_twice(row: AnimalRow, first: Mapping[str, tuple[str, AnimalRow]]) -> str:
    """The key of an earlier row of which this may be another: one with its name and more in brackets, or a remark that says so."""
    written = row.cells.get("name", "")
    bare = one_case(" ".join(re.sub(r"[(\[].*?[)\]]", " ", written).split()))
    note = row.cells.get("note", "")
    if "id" in row.cells or not bare or (bare == one_case(written) and not _TWICE.search(note)):
        return ""
    return next((key for key, (_, kept) in first.items() if one_case(kept.cells.get("name", "")) == bare), "")


def _on_record(cells: Mapping[str, str], register: Register) -> tuple[str, ...]:
    """The ids of the animals on record that a row may be: by its id, or by its name where it has no id."""
    word = cells.get("id") or cells.get("name", "")
    found = register.find(word)
    if found is not None:
        return (found.now,) if found.kind in ("animal", "earlier id") else ()
    return register.ids_called(word)


def _id_of(line: int, cells: Mapping[str, str], taken: Mapping[str, object]) -> str:
    """Its id as written, made fit to be one; without one its name; else its line."""
    for role in ("id", "name"):
        written = cells.get(role, "").replace("†", "")
        fit = re.sub(r"[^A-Za-z0-9._-]+(?:-[^A-Za-z0-9._-]+)*", "-", written).strip("-._")[:60]
        if fit and fault_of_id(fit) is None and (role == "id" or fit.casefold() not in taken):
            return fit
    return f"row-{line}"


def _differ(one: Mapping[str, str], other: Mapping[str, str], role: str) -> bool:
    words = one.get(role, ""), other.get(role, "")
    read = {"status": status_in, "sex": sex_in}.get(role, str)
    return len({(read(word) or word).casefold() for word in words}) > 1
