"""A table of the log's own columns, or another breeder's statement.json → one new file of records, or none while anything is wrong.

Of a statement only what it says is taken: sex, look, date of hatching, species, and for each trait that is carried but not shown
the chance as they state it, with the day of their last evidence. Their reasons stay theirs: an exact joint chance of several
traits is lost, since claims about one animal count each by itself. So is a chance of two copies of what it does not show, since a claim
is of one copy: that is said in words.

Lists of animals and clutches, as people keep them in spreadsheets, are taken in by `clutchlight.intake`.
"""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import PurePath
from typing import Literal

from msgspec import DecodeError, Struct, ValidationError
from msgspec.json import decode as from_json

from clutchlight.editing.writing import Value, item
from clutchlight.model import Collection, Locus, Species
from clutchlight.model.animals import Reading, genotypes_left
from clutchlight.model.private import LogRow
from clutchlight.problems import Place, Problem, errors_in, in_order
from clutchlight.reading import log
from clutchlight.reading.dates import read_date
from clutchlight.reading.findings import Findings, in_words
from clutchlight.reading.ids import Known, Register
from clutchlight.reading.names import Names
from clutchlight.reading.tables import COLUMNS, cells_as_line
from clutchlight.reading.text import WrittenText, decode, slug_of, without_hidden
from clutchlight.wording import words

SCHEMA = "clutchlight/statement/1"
_ID = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9._-]{0,62}[A-Za-z0-9])?")
MOST_DIGITS = 10**8
_CHANCE = re.compile(r"([0-9]{1,400})(?:/0*([1-9][0-9]{0,399}))?")


class _StatementError(Exception):
    """What keeps a file from being taken as a statement."""


class _Form(Struct, frozen=True):
    """By what a file is known to be a statement of ours."""

    schema: str
    kind: str = ""


class _Trait(Struct, frozen=True):
    """What a statement says of one trait."""

    trait: str
    shows: bool | None = None
    carries: str | None = None
    copies: dict[str, str] | None = None


class _Said(Struct, frozen=True):
    """What a statement says of an animal, as far as it is taken."""

    id: str = ""
    species: str = ""
    name: str | None = None
    sex: str | None = None
    hatched: str | None = None
    since: str | None = None
    digest: str | None = None
    looks: tuple[str, ...] | None = None
    traits: tuple[_Trait, ...] = ()


def _said(text: str) -> _Said:
    try:
        form = from_json(text, type=_Form)
        if form.schema != SCHEMA:
            raise _StatementError(
                f"this statement is in the form {form.schema}, but {SCHEMA} is read here; update Clutchlight"
            )
        if form.kind != "animal":
            raise _StatementError(
                "this is the statement of a clutch; take the statement.json on the page of one animal"
            )
        return from_json(text, type=_Said)
    except ValidationError:
        raise _StatementError("this is no statement; ask the breeder for the animal's statement.json") from None
    except (DecodeError, RecursionError):
        raise _StatementError("this cannot be read as JSON; save the breeder's file again as it is") from None


def animal_from_statement(
    text: str,
    place: Place,
    collection: Collection,
    findings: Findings,
    said_by: str | None,
    as_id: str | None,
) -> dict[str, Value] | None:
    """The record of the animal; None, with problems reported, when not all of it can be taken. Raises _StatementError: no statement."""
    said = _said(text)
    before = findings.errors
    key = as_id or said.id
    if not _ID.fullmatch(key):
        raise _StatementError("its id cannot be an id of ours; give it one of your own")
    if key.casefold() in Register.of(collection).entries:
        mend = "if it is the same animal, write what is newer into its record; if not, give it an id of your own"
        findings.report(place, "duplicate-id", f"'{key}' is already taken here; {mend}")
    species = _plain(said.species)
    if species not in collection.species:
        findings.report(
            place,
            "unknown-species",
            f"it is of the species '{species}', which this collection does not have"
            f" ({in_words(collection.species, 'and')}); add it to `species` in collection.yaml",
        )
        return None
    names = Names(collection.species[species])
    record: dict[str, Value] = {"id": key, "species": species}
    if said.name and said.name.strip():
        record["name"] = _plain(said.name)
    if said.sex in ("male", "female", "unknown"):
        record["sex"] = said.sex
    if said.hatched:
        record["hatched"] = _last_day(said.hatched)
    reading = Reading(None, place)
    if said.looks is not None:
        record["shows"] = [_plain(look) for look in said.looks] or "normal"
        reading = Reading(names.shown([WrittenText.at(look, place) for look in said.looks], findings).looks, place)
    claims: dict[str, Value] = {}
    left_out: list[Value] = []
    on = {"on": said.since} if said.since and not isinstance(read_date(said.since), str) else {}
    for one in said.traits:
        two = _chance((one.copies or {}).get("2", ""))
        chance = two if one.shows else _chance(one.carries or "")
        named = names.trait(WrittenText.at(_plain(one.trait), place), findings) if chance else None
        if named is None or (one.shows and not _copies_open(reading, *named, names.species)):
            continue
        counted = _in_few_digits(chance, named[0])
        source = (said_by or "the breeder's statement") + ("" if counted == chance else ", rounded")
        written = "100%" if counted == 1 else str(counted)
        claims[named[1]] = {"two_copies" if one.shows else "chance": written, "from": source, **on}
        if two and not one.shows:
            share = words.harm_percent_text(two) if named[0].affects else words.percent_text(two)
            left_out.append(f"The statement that came with it says: {share} chance of two copies of {named[1]}.")
            message = f"it gives {share} to two copies of {named[1]}, and a claim is of one: no figure counts that; `impressions` says it"
            findings.report(place, "two-copies-left-out", message)
    if claims:
        record["claims"] = claims
    if left_out:
        record["impressions"] = left_out
    record["status"] = "elsewhere"
    digest = _plain(said.digest or "none")
    record["private"] = {"statement": {"schema": SCHEMA, "their_id": _plain(said.id or key), "digest": digest}}
    return None if findings.errors > before else record


def _copies_open(reading: Reading, locus: Locus, trait: str, species: Species) -> bool:
    """Whether a look leaves it open how many copies of a trait there are."""
    allele = locus.allele_number(trait)
    return len({pair.count(allele) for pair in genotypes_left(reading, locus, species) or ()}) > 1


def _chance(written: str) -> Fraction:
    """A chance that is stated; 0 of none, and of what is no chance."""
    found = _CHANCE.fullmatch(written)
    chance = Fraction(int(found[1]), int(found[2] or 1)) if found else Fraction(0)
    if chance > 1:
        raise _StatementError(f"it states a chance of {written}, which is more than certain; ask the breeder")
    return chance


def _in_few_digits(chance: Fraction, locus: Locus) -> Fraction:
    """A chance as a record holds it: one of very many digits rounded down, of what is harm up, but never to nothing or certainty."""
    if chance.denominator < MOST_DIGITS:
        return chance
    down = int(chance * MOST_DIGITS)
    return Fraction(min(max(1, down + bool(locus.affects)), MOST_DIGITS - 1), MOST_DIGITS)


def _last_day(text: str) -> str:
    """A date as an animal's record takes it: a range of days counts as its last."""
    when = read_date(text, spans=True)
    if isinstance(when, str):
        raise _StatementError(f"its date of hatching cannot be read: {when}")
    return when.last.isoformat() if ".." in when.text else when.text


def _plain(text: str) -> str:
    """A text that can stand in a record: JSON can spell characters that no file can hold, or that nobody can see."""
    if decode(text.encode("utf-8", "surrogatepass"), "statement", Findings()) is None:
        raise _StatementError(f"it holds a character that cannot be written down, in {text!a}; ask the breeder")
    return text


# ---- either of them, as a file


Kind = Literal["log", "statement"]


class Intake(Struct, frozen=True):
    """What was made of a file: where it goes, and its text, None when there are errors."""

    file: str
    text: str | None
    problems: tuple[Problem, ...]


def intake(
    raw: bytes,
    name: str,
    kind: Kind,
    collection: Collection,
    *,
    said_by: str | None = None,
    as_id: str | None = None,
) -> Intake:
    """Turns a file into records. `name`: what to call it in problems. Of a statement: `said_by`, `as_id`."""
    findings = Findings()
    text = decode(raw, name, findings)
    file, content = "", None
    if text is not None and kind == "log":
        rows = log.in_time(log.read_log(text, name, Known(collection), findings))
        log.check_together(rows, findings)
        file = f"log/from-{slug_of(PurePath(name).stem) or 'rows'}.csv"
        content = "".join(f"{line}\n" for line in (",".join(COLUMNS), *map(_line, rows)))
    elif text is not None:
        try:
            record = animal_from_statement(text, Place(name), collection, findings, said_by, as_id)
        except _StatementError as error:
            findings.report(Place(name), "not-a-statement", str(error))
            record = None
        if record is not None:
            plain = without_hidden(" ".join(PurePath(name).name.split()))
            file = f"animals/{record['id']}.yaml"
            content = f"# From {plain}: 1 record. Check it, then keep or move it as you like.\n{item(record)}"
    problems = in_order(findings.problems)
    return Intake(file, None if errors_in(problems) else content, problems)


def _line(row: LogRow) -> str:
    """A row as a line of a new log."""
    cells = (str(row.on), row.clutch or row.animal, row.event, row.partner or "", row.value or "", row.note or "")
    return cells_as_line(cells, ",")
