"""Another breeder's statement.json → an animal known from paperwork, with what they say of it as claims at their figures.

Only what the statement says is taken: sex, look, date of hatching, species, and for each trait that is carried but not shown
the chance as they state it, with the day of their last evidence. Their reasons stay theirs: an exact joint chance of several
traits is lost, since claims about one animal count each by itself.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from fractions import Fraction

from clutchlight.editing.writing import Value
from clutchlight.problems import Place
from clutchlight.reading.dates import read_date
from clutchlight.reading.findings import Findings, in_words
from clutchlight.reading.ids import Known
from clutchlight.reading.names import Names
from clutchlight.reading.text import WrittenText, decode

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
