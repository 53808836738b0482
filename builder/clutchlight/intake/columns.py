"""Bytes of a spreadsheet (.xlsx, .ods, or text with any delimiter and encoding) → rows, and what each column holds.

The place of a cell counts rows and columns as a spreadsheet does, from 1. Dates that a spreadsheet keeps as dates come out as 2024-05-18,
or as 2024-05 where it shows no more of them, numbers without a needless `.0`, with the currency of their format before them. A text file
is UTF-8 if it can be; else the encoding is guessed among those that such lists are saved in.

A column is known by the words people use, else by what stands under them. A guess is shown before anything is read by it: one screen, to
confirm or correct.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date, time
from html import unescape
from itertools import product, repeat
from string import ascii_uppercase

from charset_normalizer import from_bytes
from msgspec import Struct
from msgspec.structs import replace
from python_calamine import CalamineError, CalamineWorkbook

from clutchlight.editing.intake import Kind
from clutchlight.intake.asking import Dialogue
from clutchlight.intake.cells import parents_in, price_in, sex_in, status_in, weight_in
from clutchlight.intake.days import reads_as_day
from clutchlight.intake.words import CODES, SIGNS, one_of
from clutchlight.problems import COMMAND_LINE, RecordsError
from clutchlight.reading.tables import as_typed
from clutchlight.reading.text import WrittenText, by_word, without_hidden

DELIMITERS = (",", ";", "\t", "|")
MAX_BYTES = 40_000_000
MAX_ROWS = 50_000
MAX_COLUMNS = 200
_ENCODINGS = ["cp1252", "cp1250", "cp1251", "mac_roman", "utf_16", "utf_16_le", "utf_16_be"]
_OLE = b"\xd0\xcf\x11\xe0"
_ZIP = b"PK\x03\x04"
_LOOKED_AT = 200
LETTERS = (*ascii_uppercase, *map("".join, product(ascii_uppercase, repeat=2)))
"""What stands over the columns: more than are read."""


Row = tuple[WrittenText, ...]


class Rows(Struct, frozen=True):
    """One sheet: its name, "" of a text file, and its rows that hold anything, each with all its cells."""

    name: str
    rows: tuple[Row, ...]


def unread_in(raw: bytes) -> Iterator[tuple[str, str, str]]:
    """Of a workbook, what stands in it and is not read: the cell, what is written, and what it is."""
    shown = "whether a date in a file such as .xls is shown as a month or a year only (save it as .xlsx)"
    if not zipfile.is_zipfile(io.BytesIO(raw)):
        yield from [("", "", shown)] if raw.startswith(_OLE) else []
        return
    with zipfile.ZipFile(io.BytesIO(raw)) as book:
        yield from [("", "", shown)] if "xl/workbook.bin" in book.namelist() else []
        for name in sorted(one.filename for one in book.infolist() if one.file_size <= MAX_BYTES):
            if not re.fullmatch(r"xl/(?:threaded)?comments.*\.xml|content\.xml|xl/styles\.xml", name, re.IGNORECASE):
                continue
            text = book.read(name).decode("utf-8", "replace")
            comment = rf"<((?:threadedC|c)omment|office:annotation)(?=[\s>]){_ATTRIBUTES}(.*?)</\1>"
            for _, written, said in re.findall(comment, text, re.DOTALL):
                plain_said = unescape(" ".join(re.sub("<[^>]*>", " ", said).split()))
                yield _attributes(written).get("ref", ""), plain_said, "a comment on a cell"
            if re.search(r"<strike(?:\s+val=.(?:1|true).)?\s*/>|text-line-through-style=\"(?!none)", text):
                yield "", "", "cells of this file may be struck out"


def sheets_in(raw: bytes, file: str) -> tuple[Rows, ...]:
    """The sheets of a file that hold anything. Raises RecordsError when none can be read."""
    if len(raw) > MAX_BYTES:
        raise _unreadable(file, f"it is larger than {MAX_BYTES // 1_000_000} MB; save the list of animals by itself")
    if zipfile.is_zipfile(io.BytesIO(raw)) or raw.startswith((_OLE, _ZIP)):
        found = tuple(_workbook(raw, file))
    else:
        text = _decoded(raw, file)
        found = (Rows("", tuple(_kept(_records(text), file))),)
    if some := tuple(one for one in found if one.rows):
        return some
    raise _unreadable(file, "it holds no row; look whether it is the right file")


def _unreadable(file: str, why: str) -> RecordsError:
    return RecordsError.at(COMMAND_LINE, "not-a-sheet", f"'{file}' cannot be taken in: {why}")


def _workbook(raw: bytes, file: str) -> Iterator[Rows]:
    try:
        book, signs = CalamineWorkbook.from_filelike(io.BytesIO(raw)), _signs_in(raw)
        for name in book.sheet_names:
            rows = book.get_sheet_by_name(name).to_python(skip_empty_area=False, nrows=MAX_ROWS + 1)
            sums = signs.get(name, {})
            numbered = (
                (at, [_as_text(value, sums.get((at, column), "")) for column, value in enumerate(row, 1)])
                for at, row in enumerate(rows, 1)
            )
            yield Rows(name, tuple(_kept(numbered, file)))
    except (CalamineError, zipfile.BadZipFile, OSError, ValueError) as error:
        raise _unreadable(file, f"the spreadsheet is damaged or locked ({error}); save it anew, or as .csv") from None


_ATTRIBUTES = r"""((?:[^>"']|"[^"]*"|'[^']*')*)>"""
_FORMAT = re.compile(r'"([^"]*)"|\[\$([^\]-]*)-?([^\]]*)\]|\[[^\]]*\]|[_*].|\\?(.)')
"""Of the code of a format: text in quotes, a currency with the country it is of, what is no text, a character."""
_DOLLARS = {"1009": "CAD", "0c0c": "CAD", "c0c": "CAD", "c09": "AUD", "0c09": "AUD", "1409": "NZD"}
"""Countries whose money has the sign $ too, by their number in a format ([MS-LCID])."""
MONTH, YEAR = "yyyy-mm", "yyyy"
"""What a cell shows of a day, where it does not show all of it."""
_OWN_FORMATS: Mapping[str, str] = {"5": "$", "6": "$", "7": "$", "8": "$", "17": MONTH, "42": "$", "44": "$"}
"""What formats with a number of their own show, whose code a file may leave out; their sign is the one that openpyxl gives them too."""


def _attributes(text: str) -> dict[str, str]:
    """The attributes of an element, by their names without a prefix."""
    found = re.findall(r"""([\w-]+)\s*=\s*(?:"([^"]*)"|'([^']*)')""", text)
    return {key: unescape(one or other) for key, one, other in found}


def _signs_in(raw: bytes) -> Mapping[str, Mapping[tuple[int, int], str]]:
    """The currency in which a workbook shows a number, and how much of a day, by the name of the sheet, then by row and column."""
    if not zipfile.is_zipfile(io.BytesIO(raw)):
        return {}
    with zipfile.ZipFile(io.BytesIO(raw)) as book:
        sizes = {one.filename: one.file_size for one in book.infolist()}

        def read(name: str) -> str:
            return book.read(name).decode("utf-8", "replace") if sizes.get(name, MAX_BYTES + 1) <= MAX_BYTES else ""

        def elements(name: str, text: str) -> list[dict[str, str]]:
            return [_attributes(one) for one in re.findall(rf"<(?:\w+:)?{name}\b{_ATTRIBUTES}", text)]

        if "content.xml" in sizes:
            return _signs_of_open_document(read("content.xml"))
        styles = read("xl/styles.xml")
        own = {one.get("numFmtId", ""): _sign_of(one.get("formatCode", "")) for one in elements("numFmt", styles)}
        codes = {**_OWN_FORMATS, **own}
        cells = re.search(r"<(?:\w+:)?cellXfs\b.*?</(?:\w+:)?cellXfs>", styles, re.DOTALL)
        formats = [one.get("numFmtId", "") for one in elements("xf", cells[0])] if cells else []
        signs = {str(at): codes[key] for at, key in enumerate(formats) if codes.get(key)}
        if not signs:
            return {}
        parts, listed = read("xl/_rels/workbook.xml.rels"), read("xl/workbook.xml")
        files = {one.get("Id"): one.get("Target", "") for one in elements("Relationship", parts)}
        sheets = {one.get("name", ""): files.get(one.get("id"), "") for one in elements("sheet", listed)}
        texts = ((name, read(file[1:] if file[:1] == "/" else f"xl/{file}")) for name, file in sheets.items())
        return {name: _signs_of_cells(text, signs) for name, text in texts}


def _signs_of_cells(text: str, signs: Mapping[str, str]) -> Mapping[tuple[int, int], str]:
    """Those of a sheet of an .xlsx. `signs`: by the style of a cell. A row or a cell that names no place stands behind the last."""
    found: dict[tuple[int, int], str] = {}
    row = column = 0
    for kind, written in re.findall(rf"<(?:\w+:)?(row|c)\b{_ATTRIBUTES}", text):
        said = _attributes(written)
        place = re.fullmatch("([A-Z]*)([0-9]+)", said.get("r", ""))
        if kind == "row":
            row, column = int(place[2]) if place else row + 1, 0
            continue
        column = LETTERS.index(place[1]) + 1 if place and place[1] in LETTERS else column + 1
        if said.get("s") in signs:
            found[row, column] = signs[said["s"]]
    return found


def _signs_of_open_document(text: str) -> Mapping[str, Mapping[tuple[int, int], str]]:
    """Those of an .ods: the currency that a cell names, else what it shows."""
    found: dict[str, dict[tuple[int, int], str]] = {}
    name, row, column, rows = "", 0, 0, 1
    start = rf"<table:(table|table-row|table-cell|covered-table-cell)(?=[\s/>]){_ATTRIBUTES}"
    pieces = re.split(start, text)
    for kind, written, shown in zip(pieces[1::3], pieces[2::3], pieces[3::3], strict=True):
        said = _attributes(written)
        if kind == "table":
            name, row, rows = said.get("name", ""), 0, 1
        elif kind == "table-row":
            row, column, rows = row + rows if row else 1, 0, int(said.get("number-rows-repeated", "1"))
        else:
            several = int(said.get("number-columns-repeated", "1"))
            number = said.get("value-type") in ("currency", "float")
            sign = said.get("currency", "") if number else ""
            shown = re.sub("<office:annotation.*?</office:annotation>", " ", shown, flags=re.DOTALL)
            shown = unescape(re.sub("<[^>]*>", " ", shown.partition("</table:table-cell>")[0]))
            if number and not sign:
                sign = sign_among(shown)
            elif day := re.match("([0-9]{4})-([0-9]{2})-([0-9]{2})", said.get("date-value", "")):
                sign = _part_of_day(shown, *map(int, day.groups()))
            for at in range(row, row + min(rows, MAX_ROWS) if sign else row):
                places = range(column + 1, column + 1 + min(several, MAX_COLUMNS))
                found.setdefault(name, {}).update(dict.fromkeys(((at, place) for place in places), sign))
            column += several
    return found


def _sign_of(code: str) -> str:
    """The currency that the code of a format puts beside a number, such as `[$€-407] #,##0`; what `mmm yyyy` shows of a day; else ""."""
    shown = ""
    found = _FORMAT.findall(code)
    letters = {character.casefold() for *_, character in found}
    if letters & {"y", "m"} and not letters & {*"dhs0#"}:
        return MONTH if "m" in letters else YEAR
    for quoted, sign, country, character in found:
        if sign:
            return str(_DOLLARS.get(country.casefold(), sign) if sign == "$" else sign.strip(" ."))
        shown += quoted or character or " "
    return sign_among(shown)


def _part_of_day(shown: str, year: int, month: int, day: int) -> str:
    """What a cell shows of its day where it does not show all of it: `Jun 2024`, `06/24`, `2024`."""
    numbers, in_words = [int(number) for number in re.findall("[0-9]+", shown)], re.search(r"[^\W\d_]", shown)
    if numbers in ([year], [year % 100]) and not in_words:
        return YEAR
    for one in (year if year in numbers else year % 100, *(() if in_words else (month,))):
        if one in numbers:
            numbers.remove(one)
    return "" if day in numbers or not shown.strip() else MONTH


def sign_among(text: str) -> str:
    """The first sign or code of a currency in what a cell shows, a bare `$` where there is no other; "" without one."""
    words = re.findall(_SIGN.pattern + r"|[^\W\d_]+", text, re.IGNORECASE)
    found = [word for word in words if word.casefold() in SIGNS or word in CODES]
    return next((word for word in found if word != "$"), "".join(found[:1]))


def _as_text(value: object, sign: str) -> str:
    """A value as people type it. `sign`: the currency in which a number is shown, or what is of a day."""
    if isinstance(value, date):
        return value.isoformat()[: len(sign if sign in (MONTH, YEAR) else "yyyy-mm-dd")]
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        number = str(int(value)) if value.is_integer() else repr(value)
        sign = "" if sign in (MONTH, YEAR) else sign
        return f"{sign} {number}" if sign.isalpha() else f"{sign}{number}"
    return value.isoformat() if isinstance(value, time) else str(value)


def _decoded(raw: bytes, file: str) -> str:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        best = from_bytes(raw, cp_isolation=_ENCODINGS, threshold=0.5).best()
    if best is not None:
        return str(best)
    why = "its letters cannot be made out; save it as .xlsx, .ods, or .csv with the encoding UTF-8"
    raise _unreadable(file, why)


def _records(text: str) -> Iterator[tuple[int, list[str]]]:
    """(line, cells) of each record of a text file; the delimiter that parts most lines into the same number of cells."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    delimiter = max(DELIMITERS, key=lambda one: _evenness(lines[:_LOOKED_AT], one))
    return _split("\n".join(lines), delimiter)


def _split(text: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    """(line, cells) of each record. Quotes are about a cell where they end with it, else they are a part of it: `"` alone is a ditto.

    Between tabs no cell in quotes holds a tab: what was copied from a table often has quotes of its own, and none about its cells. A quote
    before the end of its cell opens none that goes on in the next line, or ends behind another such end: each of them is a ditto.
    """
    mark = re.escape(delimiter)
    inside = r'[^"\t]|""' if delimiter == "\t" else r'[^"]|""'
    cell = re.compile(
        rf'(?:"(?!\n|{mark}[^"\n]*\n|{mark}(?:[^"\n]*{mark})?")(?P<quoted>(?:{inside})*+)"|(?P<bare>[^\n{mark}]*))(?P<end>{mark}|\n|\Z)'
    )
    begun, line = 1, 1
    cells: list[str] = []
    for found in cell.finditer(text):
        cells.append(found["bare"] or (found["quoted"] or "").replace('""', '"'))
        line += found[0].count("\n")
        if found["end"] != delimiter:
            yield begun, cells
            begun, cells = line, []


def _evenness(lines: Sequence[str], delimiter: str) -> tuple[int, int]:
    """How many rows have the commonest number of cells, when it is above one; and that number."""
    counts = Counter(len(row) for _, row in _split("\n".join(lines), delimiter) if len(row) > 1)
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


# ---- what each column holds


_PLAIN = re.compile(r"[^\w♂♀†]+|_")
_ID = re.compile(r"[A-Za-z]*[-_ .]?[0-9]+(?:[-_.][0-9]+)*[A-Za-z]?")
_YEAR = re.compile(r"(?:19|20)[0-9]{2}")
_DAY = re.compile(
    r"[0-9]{1,2}\.[0-9]{1,2}\.[0-9]{2,4}|[0-9]{1,2}/[0-9]{1,2}/[0-9]{2,4}|(?:19|20)[0-9]{2}-[0-9]{2}-[0-9]{2}"
)
"""What is a day and no id; `2024-07` may be either."""
_ROW_OF_HEADERS = 20
NEARLY_ALL, MOST, SOME = 0.8, 0.6, 0.4
"""How large a share of a column's cells has to read as one thing for the column to be taken as that."""
PASSED_OVER = "passed over"

_WORDS: Mapping[str, str] = {
    "id": "id|animal|animal id|snake|snake id|tag id|id tag|tag no|tag number|id no|id number|number|no|nr|num|tag|ref|reference|code|"
    "identifier|kennung|nummer|"
    "tier|tiere|tiernr|numero|n",
    "name": "name|snake name|animal name|name tag|rufname|spitzname|kosename|nickname|pet name|nom|surnom|nombre|apodo|naam|"
    "bijnaam|nome|soprannome|called",
    "species": "species|art|espèce|espece|especie|soort|latin name|scientific name",
    "sex": "sex|gender|m f|male female|♂ ♀|♀ ♂|m v|m w|geschlecht|sexe|sexo|geslacht|sesso",
    "genes": "genes|genetics|genotype|morph|morphs|morphe|mutation|mutations|traits|trait|gene|genetik|phase|farbe|"
    "farbform|morph genetics|description of genetics",
    "shows": "shows|look|looks|visual|visuals|visual genes|phenotype|appearance",
    "hets": "hets|het|het for|het ph|hets ph|het genes|carries|träger|trager|claims|stated|100 het|100 hets",
    "possible hets": "possible het|possible hets|pos het|pos hets|poss het|poss hets|ph|poss|possible|possibles|maybe het|may carry",
    **{
        f"{number}% hets": "|".join(
            f"{number} {word}" for word in ("het", "hets", "poss het", "pos het", "possible het", "ph")
        )
        for number in (25, 33, 50, 66, 67, 75)
    },
    "hatched": "hatched|dob|d o b|date of birth|birth date|birthdate|birthday|born|hatch date|hatchdate|date hatched|"
    "hatched on|hatch|hatch year|"
    "year|geburtsdatum|geboren|schlupf|schlupfdatum|schlupftag|geschlüpft|geschlupft|geschlüpft am|geschl|geb|jahrgang|né le|"
    "né e|naissance|date de naissance|éclos|éclos le|éclosion|date d éclosion|nacido|nacimiento|fecha de nacimiento|"
    "geboortedatum|uitgekomen|nascita|data di nascita|nato|nata|born on",
    "parents": "parents|parentage|pairing|pair|sire dam|dam sire|father mother|mother father|"
    "vater mutter|mutter vater|père mère|eltern|elterntiere|lineage|bloodline|verpaarung|parents f m|"
    "mum x dad|dad x mum|mother x father|father x mother|sire x dam|dam x sire|male x female|female x male",
    "sire": "sire|father|dad|male parent|sire id|father id|vater|père|pere|padre|vader",
    "dam": "dam|mother|mum|mom|female parent|dam id|mother id|mutter|mère|mere|madre|moeder",
    "clutch": "clutch|clutch id|clutch no|clutch number|gelege|ponte|nest|legsel",
    "weight": "weight|weight g|wt|wt g|grams|current weight|gewicht|gewicht g|poids|poids g|peso|last weight",
    "weighed": "weighed|weighed on|weight date|date weighed|gewogen|gewogen am",
    "died": "died|died on|date died|date of death|death|deceased|†|gestorben|gestorben am|verstorben|todestag|décès|décédé le",
    "status": "status|availability|state|situation|verfügbarkeit|statut|estado|sale status|where now",
    "price": "price|asking price|ask|asking|preis vk|preis|prix|precio|prijs|prezzo|cost|vk",
    "paid": "paid|sold for|sale price|verkaufspreis|amount paid|price paid",
    "buyer": "buyer|sold to|gone to|to|an|an wen|naar|à qui|customer|client|new owner|käufer|kaufer|acheteur|comprador|koper|"
    "owner now|verkauft an",
    "sold": "date sold|sold on|gone on|sold date|sale date|sold|verkauft am|abgang|date de vente|vendu le|verkocht op|left",
    "seller": "where from|from|von|came from|got from|source|seller|bought from|breeder|origin|herkunft|züchter|zuchter|éleveur|eleveur|"
    "origine|gekauft bei|acquired from|vendor",
    "came": "acquired|bought|bought on|date acquired|purchase date|gekauft am|came|arrived|acquired on|"
    "date bought|zugang",
    "cost": "bought for|purchase price|einkaufspreis|ek|preis ek|cost price",
    "note": "note|notes|comment|comments|remark|remarks|description|bemerkung|bemerkungen|notiz|notizen|remarques|"
    "notas|opmerkingen|info|misc",
    "count": "count|qty|quantity|amount of animals|how many|pcs|pieces|anzahl|stück|stk|nombre|cantidad|aantal|quantità",
    "laid": "laid|lay date|laid on|date laid|laying date|eiablage|gelegt|ponte le",
    "eggs": "eggs|egg count|good eggs|fertile|fertile eggs|eier|oeufs|œufs|huevos",
    "slugs": "slugs|slug|infertile|infertile eggs|duds|wachseier|unbefruchtet",
    "went_bad": "went bad|bad eggs|failed|failed eggs|abgestorben",
}
ROLES: Mapping[str, str] = {
    "id": "the animal's number",
    "name": "its name",
    "species": "its species",
    "sex": "its sex",
    "genes": "what it shows and carries",
    "shows": "what it shows",
    "hets": "what it carries",
    "possible hets": "what it may carry",
    "hatched": "the day it hatched",
    "parents": "both parents",
    "sire": "its father",
    "dam": "its mother",
    "clutch": "its clutch",
    "weight": "its weight",
    "weighed": "the day it was weighed",
    "died": "the day it died",
    "status": "whether it stays, is offered or is sold",
    "price": "its price",
    "paid": "what its buyer paid (private)",
    "buyer": "who bought it (private)",
    "sold": "the day it was sold",
    "seller": "whom or where it came from (private)",
    "came": "the day it came",
    "cost": "what you paid for it (private)",
    "note": "notes (private)",
    "count": "how many animals the row stands for",
    "laid": "the day of laying",
    "eggs": "good eggs",
    "slugs": "eggs that were no good when laid",
    "went_bad": "eggs that failed",
}
_BY_WORD = by_word(_WORDS)
OF_HETS = tuple(role for role in _WORDS if role.endswith("hets"))
OF_GENES = ("genes", "shows", *OF_HETS)
OF_CLUTCHES = frozenset(["laid", "eggs"])
_PARENTS = {"male": "sire", "female": "dam"}
"""What these headings are in a list of clutches."""
_ASKED = ("asking price", "ask", "asking")
"""Headings of a column of prices that can be no other's."""
_PAID_TO_WHOM = ("paid", "amount paid", "price paid", "cost")
"""Headings that do not say whether the breeder or a buyer paid."""
_SIGN = one_of(r"(?:\b(?:us|ca?|au?|nz))?\$|[€£]")


def _without_currency(heading: str) -> str:
    """What a heading such as `Price (CAD)` says besides a currency."""
    words = plain(_SIGN.sub(" ", heading)).split()
    return " ".join(word for word in words if word.upper() not in CODES and word not in SIGNS and word != "in")


def _role_called(heading: str) -> str:
    """The role that a heading names, each part of `Name / tag` one; "" of any other. What is a number and a name is a name."""
    word = _without_currency(heading)
    if word in _BY_WORD:
        return _BY_WORD[word]
    words = filter(None, map(plain, re.split(r"[/&(),+|]|\b(?:or|and|oder|und|ou|et)\b", heading)))
    parts = {_BY_WORD.get(one, "") for one in words}
    return parts.pop() if len(parts) == 1 else "name" if parts == {"id", "name"} else ""


def _roles_called(row: Row) -> list[str]:
    """The roles that the cells of a row name, were it that of the headings; "" of any that names none."""
    named = [_role_called(cell) or ("parents" if first_parent(cell) else "") for cell in row]
    if OF_CLUTCHES.isdisjoint(named):
        return named
    return [role or _PARENTS.get(plain(cell), "") for role, cell in zip(named, row, strict=True)]


def names_notes(label: str) -> bool:
    """Whether a column is called by a word for notes, so that its name says nothing more of them."""
    return _BY_WORD.get(plain(label)) == "note"


def kind_of_file(raw: bytes, name: str) -> Kind | None:
    """What a file is by its name and first row; None of a list: no row of a log says what an animal is."""
    if name.casefold().endswith(".json") or raw.lstrip(b"\xef\xbb\xbf \r\n\t").startswith(b"{"):
        return "statement"
    first = raw.decode("utf-8-sig", "replace").lstrip().partition("\n")[0].casefold()
    cells = {cell.strip().strip('"') for cell in re.split(r"[,;\t]", first)}
    listed = {*map(_role_called, cells)} & {"sex", "hatched", *OF_GENES}
    return "log" if {"date", "event"} <= cells and not listed else None


class Columns(Struct, frozen=True):
    """Where the names of the columns stand, how they are called, and the role of each column by its number; rows above are titles.

    `header` and each of `rows` have a cell for every column. `others`: the rows of other tables below, which have columns of their own.
    `moved`: what an answer made of others.
    """

    header: Row
    titles: tuple[Row, ...]
    roles: Mapping[int, str]
    rows: tuple[Row, ...]
    others: tuple[Row, ...] = ()
    moved: tuple[str, ...] = ()

    def column(self, role: str) -> int | None:
        return next((at for at, one in self.roles.items() if one == role), None)

    def called(self, role: str) -> str:
        """The name of a role's column, as the sheet has it; of prices there may be two."""
        held = [at for at, one in self.roles.items() if one == role]
        named = held[:1] if role == "note" else held
        return " or ".join(str(self.header[at]) for at in named if self.header[at]) or role

    def titled(self, at: int) -> str:
        """A column by its letter, and its heading where it has one."""
        return f"{LETTERS[at]}{f' ({self.header[at]})' if self.header[at] else ''}"


def first_parent(title: str) -> str:
    """Which parent a heading such as `Dam x Sire` or `Parents (0.1 x 1.0)` names first: "sire" or "dam"; "" where it does not name both."""
    counted = {"1.0": "sire", "0.1": "dam", "male": "sire", "female": "dam"}
    words = re.findall(r"[01][.,][01]|[^\W\d_]+", title.casefold())
    named = (counted.get(word.replace(",", "."), _BY_WORD.get(word, "")) for word in words)
    places = [role for role in named if role in ("sire", "dam")]
    return places[0] if sorted(places) == ["dam", "sire"] else ""


def lists_clutches(columns: Columns) -> bool:
    """Whether each row is a clutch: parents, and eggs or a day of laying, but nothing that one animal has."""
    roles = set(columns.roles.values())
    return bool(roles & OF_CLUTCHES) and bool(roles & {"dam", "parents"}) and not roles & {*OF_GENES, "sex"}


def plain(word: str) -> str:
    return " ".join(_PLAIN.sub(" ", word.casefold()).split())


def guess(sheet: Rows) -> Columns:
    """The columns as far as words and contents tell."""
    rows = sheet.rows
    counts = [sum(map(bool, _roles_called(row))) for row in rows[:_ROW_OF_HEADERS]]
    best = max(range(len(counts)), key=lambda at: (counts[at], -at))
    headed = counts[best] >= 2 or (counts[best] == 1 and sum(map(bool, rows[best])) <= 2)
    titles, header, rest = (rows[:best], rows[best], rows[best + 1 :]) if headed else ((), (), rows)
    own, others = _of_one_table(header, rest)
    width = max((len(header), *(at for row in own for at, cell in enumerate(row, 1) if cell)))
    header, *below = (_as_wide_as(width, row) for row in (header, *own))
    roles: dict[int, str] = {}
    named = _roles_called(header)
    for at, cell in enumerate(header):
        role = "cost" if _without_currency(cell) in _PAID_TO_WHOM and _by_a_seller(named, at) else named[at]
        if role and (role not in roles.values() or role == "note"):
            roles[at] = role
    for at in (at for at in range(width) if at not in roles):
        cells = [row[at] for row in below if row[at]]
        role = "" if named[at] else _by_contents(cells, header[at]) or _by_parents(cells, roles, below)
        if role and role not in roles.values():
            roles[at] = role
        elif cells:
            roles[at] = "note" if header[at] else PASSED_OVER
    return _clutches_by_id(Columns(header, titles, dict(sorted(roles.items())), tuple(below), others))


def _as_wide_as(width: int, row: Row) -> Row:
    return (*row[:width], *repeat(WrittenText.put("", "", 0, 0), width - len(row)))


def _clutches_by_id(found: Columns) -> Columns:
    """In a list of clutches their column is that of the ids."""
    if not lists_clutches(found):
        return found
    meant = {"count": "note", **({"clutch": "id"} if found.column("id") is None else {})}
    return replace(found, roles={number: meant.get(role, role) for number, role in found.roles.items()})


def _by_a_seller(named: Sequence[str], at: int) -> bool:
    """Whether a column stands nearer to one that says from whom or when an animal came than to any of its sale."""

    def distance(roles: tuple[str, ...]) -> int:
        return min(
            (abs(number - at) for number, role in enumerate(named) if role in roles and number != at),
            default=len(named),
        )

    return "cost" not in named and distance(("seller", "came")) < distance(("buyer", "sold", "price", "paid"))


def _of_one_table(header: Row, rows: Sequence[Row]) -> tuple[tuple[Row, ...], tuple[Row, ...]]:
    """The rows below these names of columns, and those below other names, until the first come again."""
    own: list[Row] = []
    others: list[Row] = []
    into = own
    for row in rows:
        words = [cell for cell in row if cell]
        known = {*map(_role_called, words)} - {""}
        if len(known) >= 3 and 3 * len(known) >= 2 * len(words):
            into = own if sum(cell in header for cell in row if cell) >= len(words) - 1 else others
        into.append(row)
    return tuple(own), tuple(others)


def _by_contents(cells: Sequence[WrittenText], heading: str) -> str:
    """The role of a column by what stands in it below a heading that names none; "" when it could be anything."""
    if sign_among(heading) and not _without_currency(heading) and all(map(price_in, cells)):
        return "price"
    if len(cells) < 3:
        return ""

    def share(fits: Callable[[str], object]) -> float:
        return sum(bool(fits(cell)) for cell in cells) / len(cells)

    if share(lambda cell: sex_in(cell) in ("male", "female")) > MOST and len({cell.casefold() for cell in cells}) < 12:
        return "sex"
    once = len(set(cells)) == len(cells) and not any(map(_DAY.fullmatch, cells))
    if once and share(_ID.fullmatch) > NEARLY_ALL and share(_YEAR.fullmatch) < MOST:
        return "id"
    tests: tuple[tuple[str, Callable[[str], object], float], ...] = (
        ("parents", lambda cell: " " in cell and parents_in(cell), NEARLY_ALL),
        ("hatched", reads_as_day, NEARLY_ALL),
        ("status", status_in, NEARLY_ALL),
        ("price", lambda cell: (price := price_in(cell)) and price.currency, MOST),
        ("weight", lambda cell: weight_in(cell) and cell[-1:].casefold() == "g", MOST),
        ("genes", lambda cell: re.search(r"\bhet\b|%", cell, re.IGNORECASE), SOME),
    )
    return next((role for role, fits, least in tests if share(fits) > least), "")


def _by_parents(cells: Sequence[WrittenText], roles: Mapping[int, str], rows: Sequence[Row]) -> str:
    """ "name" where most parents in the sheet are called as it stands in this column; else ""."""
    columns = [number for number, role in roles.items() if role in ("sire", "dam")]
    parents = {cell.casefold() for row in rows for cell in (row[number] for number in columns) if cell}
    here = {cell.casefold() for cell in cells}
    return "name" if parents and len(parents & here) > MOST * len(parents) else ""


def confirmed(found: Columns, sheet: str, questions: Dialogue) -> Columns:
    """The columns after one screen to confirm: `yes`, or `C: price, E: note` for those that are not as guessed."""
    names = "/".join(plain(cell) for cell in found.header if cell) or "no names"
    lines = [f"This is how the columns of {sheet} are read:"]
    for number, role in found.roles.items():
        sample = next((row[number] for row in found.rows if row[number]), "")
        means = f"{role}: {ROLES[role]}" if role in ROLES else role
        lines.append(f"  {LETTERS[number]:<3}{found.header[number][:22]:<24}{means:<50}{sample[:28]}".rstrip())
    if found.titles:
        titles = " / ".join(cell for row in found.titles for cell in row if cell)
        counted = "a row" if len(found.titles) == 1 else f"{len(found.titles)} rows"
        lines.append(f"Above them {counted} of title: {titles[:80]}")
    others = "; ".join(f"`{role}`: {means}" for role, means in ROLES.items() if role not in found.roles.values())
    lines.append(f"Words for other columns are {others}; `{PASSED_OVER}`: not read.")
    for at, cell in enumerate(found.header):
        if (named := _lettered(found, cell)) is not None and named != at:
            means = f"'{cell}' in an answer is column {found.titled(named)}"
            lines.append(f"{means}; the one with the heading '{cell}' is {LETTERS[at]}.")
    lines.append("Is that right?")
    answer = questions.put(
        f"columns {names}",
        "\n".join(lines),
        (("yes", "the sheet is read so"), ("no", "nothing is taken in")),
        f"name only the columns that are read wrongly, as `C: price, E: {PASSED_OVER}`",
        unanswered="yes",
        brief=f"Are the columns of {sheet} as they were read?",
        wrong=lambda answer: _corrected(found, answer)[1],
    )
    if answer == "no":
        why = "its columns are not as they were read; run it again and say what is otherwise, such as `C: price`"
        raise _unreadable(sheet, f"{why}. Nothing was written")
    if answer == "yes":
        return found
    meant = _clutches_by_id(replace(found, roles=_corrected(found, answer)[0]))
    return replace(meant, moved=tuple(_moved(found, meant)))


def _moved(found: Columns, meant: Columns) -> Iterator[str]:
    """Which columns an answer takes a word for, beside a column that was guessed to be that."""
    for at, role in found.roles.items():
        said = [other for other, one in meant.roles.items() if one == role != found.roles.get(other)]
        if role in ("note", PASSED_OVER) or not said:
            continue
        both = meant.roles[at] == role
        if both or meant.roles[at] == "note":
            kept = "too, since no row fills both" if both else "is kept as notes"
            yield f"By your answer column {meant.titled(said[0])} is '{role}'; column {meant.titled(at)} {kept}."


def _lettered(found: Columns, word: str) -> int | None:
    """The column whose letter a word is."""
    letters = LETTERS[: len(found.header)]
    return letters.index(word.strip().upper()) if word.strip().upper() in letters else None


def _corrected(found: Columns, answer: str) -> tuple[Mapping[int, str], str]:
    """The roles after `C: price, E: note`, and what is wrong with that answer, "" where nothing is.

    A column is called by its letter, else by its heading; one whose role another gets is kept as a note, but one of prices that are asked
    where no row fills both.
    """
    said: dict[int, str] = {}
    for piece in filter(None, (piece.strip() for piece in re.split("[,;]", answer))):
        column, _, word = (part.strip() for part in piece.partition(":"))
        called = [at for at, cell in enumerate(found.header) if cell and plain(cell) == plain(column)]
        at = _lettered(found, column)
        at = called[0] if at is None and called else at
        role = word.casefold() if word.casefold() in (*ROLES, PASSED_OVER) else _BY_WORD.get(plain(word), "")
        if not word:
            return {}, f"'{piece}' does not say what a column is"
        if at is None:
            return {}, f"'{column}' in '{piece}' is no column: neither its letter nor its heading"
        if not role:
            return {}, f"'{word}' in '{piece}' is none of the words for columns"
        if at in said:
            return {}, f"column {LETTERS[at]} stands twice in it"
        if role in said.values() and role not in ("note", PASSED_OVER):
            return {}, f"'{role}' is said of two columns"
        said[at] = role
    once = set(said.values()) - {"note", PASSED_OVER}
    priced = next((at for at, role in said.items() if role == "price"), None)

    def beside(at: int) -> bool:
        """Whether a column of prices stays one beside that of the answer."""
        asked = found.roles[at] == "price" and _without_currency(found.header[at]) in _ASKED
        return asked and priced is not None and not any(row[at] and row[priced] for row in found.rows)

    kept = {at: "note" if role in once and not beside(at) else role for at, role in found.roles.items()}
    return dict(sorted({**kept, **said}.items())), "" if said else "That names no column"
