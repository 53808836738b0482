"""A table of the log's own columns, or another breeder's statement.json → one new file of records, or none while anything is wrong.

Of a statement only what it says is taken: sex, look, date of hatching, species, and for each trait that is carried but not shown
the chance as they state it, with the day of their last evidence. Their reasons stay theirs: an exact joint chance of several
traits is lost, since claims about one animal count each by itself.

Lists of animals and clutches, as people keep them in spreadsheets, are taken in by `clutchlight.intake`.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path, PurePath
from typing import Literal

from msgspec import Struct

from clutchlight.editing.writing import Value, WrittenFile, create, item
from clutchlight.model import Collection
from clutchlight.model.private import LogRow
from clutchlight.problems import Place, Problem, errors_in, in_order
from clutchlight.reading import log
from clutchlight.reading.dates import read_date
from clutchlight.reading.findings import Findings, in_words
from clutchlight.reading.ids import Known
from clutchlight.reading.names import Names
from clutchlight.reading.tables import COLUMNS, NEEDED, cells_as_line
from clutchlight.reading.text import WrittenText, decode, slug_of, without_hidden

SCHEMA = "clutchlight/statement/1"
_ID = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9._-]{0,62}[A-Za-z0-9])?")


class _StatementError(Exception):
    """What keeps a file from being taken as a statement."""


def animal_from_statement(
    text: str, name: str, known: Known, findings: Findings, *, said_by: str | None, as_id: str | None
) -> dict[str, Value] | None:
    """The record of the animal; None, with problems reported, when the file is no statement that we can take."""
    place = Place(name)
    try:
        said = _statement(text)
        return _record(said, place, known, findings, said_by, as_id)
    except json.JSONDecodeError as error:
        findings.report(
            Place(name, error.lineno, error.colno),
            "not-a-statement",
            "this is not JSON; save the breeder's file again as it is",
        )
    except RecursionError:
        findings.report(place, "not-a-statement", "this is nested too deep to be a statement")
    except ValueError:
        findings.report(
            place, "not-a-statement", "this holds a number too long to be read; ask the breeder for the file again"
        )
    except _StatementError as error:
        findings.report(place, "not-a-statement", str(error))
    return None


def _statement(text: str) -> Mapping[str, object]:
    said = json.loads(text, parse_constant=lambda word: None)
    if not isinstance(said, dict) or not isinstance(said.get("schema"), str):
        raise _StatementError("this is no statement; ask the breeder for the animal's statement.json")
    if said["schema"] != SCHEMA:
        raise _StatementError(
            f"this statement is in the form {said['schema']}, but {SCHEMA} is read here; update Clutchlight"
        )
    if said.get("kind") != "animal":
        raise _StatementError("this is the statement of a clutch; take the statement.json on the page of one animal")
    return said


def _record(
    said: Mapping[str, object], place: Place, known: Known, findings: Findings, said_by: str | None, as_id: str | None
) -> dict[str, Value] | None:
    before = findings.errors
    key = as_id or _text(said, "id") or ""
    if not _ID.fullmatch(key):
        raise _StatementError("its id cannot be an id of ours; give it one of your own")
    collection = known.collection
    if known.taken(key):
        findings.report(place, "duplicate-id", f"'{key}' is already taken here; give it an id of your own")
    species = _text(said, "species") or ""
    if collection is not None and species not in collection.species:
        findings.report(
            place,
            "unknown-species",
            f"it is of the species '{species}', which this collection does not have"
            f" ({in_words(collection.species, 'and')}); add it to `species` in collection.yaml",
        )
        return None
    names = None if collection is None else Names(collection.species[species])
    record: dict[str, Value] = {"id": key, "species": species}
    if title := _text(said, "name"):
        record["name"] = title
    sex = _text(said, "sex")
    if sex in ("male", "female", "unknown"):
        record["sex"] = sex
    hatched = _text(said, "hatched")
    if hatched is not None:
        record["hatched"] = _last_day(hatched)
    looks = said.get("looks")
    if isinstance(looks, list):
        shown = [_plain(str(look)) for look in looks]
        record["shows"] = shown or "normal"
        if names is not None and shown:
            names.shown([WrittenText.at(look, place) for look in shown], findings)
    claims = _claims(said, said_by, place, names, findings)
    if claims:
        record["claims"] = claims
    record["status"] = "elsewhere"
    digest = _text(said, "digest")
    record["private"] = {
        "statement": {"schema": SCHEMA, "their_id": _text(said, "id") or key, "digest": digest or "none"}
    }
    return None if findings.errors > before else record


def _claims(
    said: Mapping[str, object], said_by: str | None, place: Place, names: Names | None, findings: Findings
) -> dict[str, Value]:
    traits = said.get("traits")
    since = _text(said, "since")
    claims: dict[str, Value] = {}
    for trait in traits if isinstance(traits, list) else []:
        if not isinstance(trait, dict) or trait.get("shows") is True or not isinstance(trait.get("trait"), str):
            continue
        chance = _chance(trait.get("carries"))
        if chance is None or chance == 0:
            continue
        title = _plain(str(trait["trait"]))
        if names is not None:
            names.trait(WrittenText.at(title, place), findings)
        claim: dict[str, Value] = {"chance": _fraction(chance)}
        claim["from"] = said_by or "the breeder's statement"
        if since is not None and not isinstance(read_date(since), str):
            claim["on"] = since
        claims[title] = claim
    return claims


def _chance(value: object) -> Fraction | None:
    if not isinstance(value, str) or not re.fullmatch(r"[0-9]{1,400}(?:/[0-9]{1,400})?", value):
        return None
    top, _, bottom = value.partition("/")
    if bottom and int(bottom) == 0:
        return None
    chance = Fraction(int(top), int(bottom or "1"))
    if chance > 1:
        raise _StatementError(f"it states a chance of {value}, which is more than certain; ask the breeder")
    return chance


def _fraction(chance: Fraction) -> str:
    """A chance as our records take it; whole ones as percentages."""
    if chance == 1:
        return "100%"
    if chance.denominator >= 10**9:
        raise _StatementError("it states a chance with too many digits to write down; ask the breeder for a plain one")
    return f"{chance.numerator}/{chance.denominator}"


def _last_day(text: str) -> str:
    """A date as an animal's record takes it: a range of days counts as its last."""
    when = read_date(text, spans=True)
    if isinstance(when, str):
        raise _StatementError(f"its date of hatching cannot be read: {when}")
    return when.last.isoformat() if ".." in when.text else when.text


def _text(said: Mapping[str, object], key: str) -> str | None:
    value = said.get(key)
    return _plain(value) if isinstance(value, str) and value.strip() else None


def _plain(text: str) -> str:
    """A text that can stand in a record: JSON can spell characters that no file can hold, or that nobody can see."""
    if decode(text.encode("utf-8", "surrogatepass"), "statement", Findings()) is None:
        raise _StatementError(f"it holds a character that cannot be written down, in {text!a}; ask the breeder")
    return text


# ---- either of them, as a file


Kind = Literal["log", "statement"]


class Intake(Struct, frozen=True):
    """What was made of a file: where it goes, its text, how many records it holds. `text` is None when there are errors."""

    file: str
    text: str | None
    count: int
    problems: tuple[Problem, ...]


def kind_of_file(raw: bytes, name: str) -> Kind | None:
    """What a file is by its name and first row; None of a list of animals or clutches."""
    if name.casefold().endswith(".json") or raw.lstrip(b"\xef\xbb\xbf \r\n\t").startswith(b"{"):
        return "statement"
    first = raw.decode("utf-8-sig", "replace").lstrip().partition("\n")[0].casefold()
    cells = {cell.strip().strip('"') for cell in re.split(r"[,;\t]", first)}
    return "log" if set(NEEDED) <= cells else None


def intake(
    raw: bytes, name: str, kind: Kind, collection: Collection, *, said_by: str | None = None, as_id: str | None = None
) -> Intake:
    """Turns a file into records. `name`: what to call it in problems. `said_by`, `as_id`: for a statement."""
    findings = Findings()
    stem = slug_of(PurePath(name).stem) or "rows"
    text = decode(raw, name, findings)
    known = Known(collection)
    made: tuple[str, str, int] | None = None
    if text is not None:
        if kind == "log":
            made = _log(text, name, stem, known, findings)
        else:
            record = animal_from_statement(text, name, known, findings, said_by=said_by, as_id=as_id)
            if record is not None:
                made = (f"animals/{record['id']}.yaml", _head(name) + item(record), 1)
    problems = in_order(findings.problems)
    file, content, count = made or (stem, "", 0)
    return Intake(file, None if errors_in(problems) or made is None else content, count, problems)


def write(folder: Path, made: Intake) -> WrittenFile:
    """Writes an intake without errors as a new file; refuses a name that is taken."""
    if made.text is None:
        raise ValueError("an intake with errors has no text")
    return create(folder, made.file, made.text)


def _head(name: str) -> str:
    plain = without_hidden(" ".join(PurePath(name).name.split()))
    return f"# From {plain}: 1 record. Check it, then keep or move it as you like.\n"


def _log(text: str, name: str, stem: str, known: Known, findings: Findings) -> tuple[str, str, int]:
    rows = log.in_time(log.read_log(text, name, known, findings))
    log.check_together(rows, findings)
    lines = [",".join(COLUMNS), *(cells_as_line(_cells(row), ",") for row in rows)]
    return f"log/from-{stem}.csv", "\n".join(lines) + "\n", len(rows)


def _cells(row: LogRow) -> tuple[str, ...]:
    return (str(row.on), row.clutch or row.animal, row.event, row.partner or "", row.value or "", row.note or "")
