"""One line of the ledger as text and back: RFC 8785 canonical JSON, digests by SHA-256 (FIPS 180-4).

A line is one JSON object: `schema`, `number` (1, 2, 3 ... through all years), `date`, `animal`, `figures`, `digest` (of the canonical
form of `figures`), `before` (digest of the bytes of the line before, without its line end; null for the first), `version` of the tool and
`species_file`, the digest of the species file. So everything can be checked again with nothing but a JSON library and SHA-256.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from datetime import date
from typing import Any

import rfc8785

from clutchlight.model.ledger import DatedRecord
from clutchlight.problems import Place

SCHEMA = "clutchlight/dated-record/1"
KEYS = frozenset({"schema", "number", "date", "animal", "figures", "digest", "before", "version", "species_file"})

_DIGEST = re.compile(r"sha256:[0-9a-f]{64}")


class NoDatedRecordError(ValueError):
    """A line is no dated record; the text says why."""


def digest_of_text(text: str) -> str:
    """ "sha256:" and 64 hexadecimal digits of the UTF-8 bytes."""
    return f"sha256:{hashlib.sha256(text.encode('utf-8', 'surrogatepass')).hexdigest()}"


def line_of(
    number: int, on: date, figures: Mapping[str, Any], before: str | None, version: str, species_file: str
) -> str:
    """The line for one statement, without a line end. `figures`: what the digest covers."""
    return rfc8785.dumps(
        {
            "schema": SCHEMA,
            "number": number,
            "date": on.isoformat(),
            "animal": str(figures["id"]),
            "figures": dict(figures),
            "digest": f"sha256:{hashlib.sha256(rfc8785.dumps(dict(figures))).hexdigest()}",
            "before": before,
            "version": version,
            "species_file": species_file,
        }
    ).decode("utf-8")


def record_of(line: str, place: Place) -> DatedRecord:
    """The dated record that a line holds. Raises NoDatedRecordError; whether its digests are right is not looked at."""
    try:
        found = json.loads(line, parse_constant=_refused)
    except (ValueError, RecursionError):
        raise NoDatedRecordError("it is not JSON") from None
    if not isinstance(found, dict):
        raise NoDatedRecordError("it is no JSON object")
    if found.get("schema") != SCHEMA:
        raise NoDatedRecordError(f"its `schema` is not {SCHEMA}")
    if odd := sorted(KEYS ^ set(found)):
        raise NoDatedRecordError(f"the key `{odd[0]}` is {'missing' if odd[0] in KEYS else 'unknown'}")
    number, figures, before = found["number"], found["figures"], found["before"]
    if not isinstance(number, int) or isinstance(number, bool) or number < 1:
        raise NoDatedRecordError("its `number` is no whole number from 1 on")
    if not isinstance(figures, dict):
        raise NoDatedRecordError("its `figures` are no JSON object")
    for key in ("animal", "version", "species_file"):
        if not isinstance(found[key], str):
            raise NoDatedRecordError(f"its `{key}` is no text")
    for key, value in (("digest", found["digest"]), *([("before", before)] if before is not None else [])):
        if not isinstance(value, str) or not _DIGEST.fullmatch(value):
            raise NoDatedRecordError(f"its `{key}` is no SHA-256 digest")
    return DatedRecord(
        number=number,
        on=_day(found["date"]),
        animal=found["animal"],
        figures=figures,
        digest=found["digest"],
        before=before,
        version=found["version"],
        species_file=found["species_file"],
        line=digest_of_text(line),
        place=place,
    )


def canonical(value: object) -> str:
    """RFC 8785 for what a ledger holds: objects, lists, text, small whole numbers, true, false and null, under ASCII keys.

    For these, Python's own writer gives the same bytes as a full RFC 8785 one, many times quicker; a test holds the two together.
    """
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def _day(value: object) -> date:
    try:
        if isinstance(value, str) and len(value) == len("2026-07-20"):
            return date.fromisoformat(value)
    except ValueError:
        pass
    raise NoDatedRecordError("its `date` is no day such as 2026-07-20")


def _refused(name: str) -> None:
    raise ValueError(name)
