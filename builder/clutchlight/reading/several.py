"""Several animals in one breath: with commas, and in ranges of ids such as `C26-01-1..5` or `F-01..F-05`."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from clutchlight.problem_codes import CODES
from clutchlight.problems import COMMAND_LINE, Place, Problem, RecordsError
from clutchlight.reading.fields import MAX_COUNT
from clutchlight.reading.findings import Findings
from clutchlight.reading.ids import Known
from clutchlight.reading.text import WrittenText

_RANGE = re.compile(r"(?P<stem>.*?)(?P<first>[0-9]{1,4})\s*(?:\.{2,3}|…)\s*(?P<again>.*?)(?P<last>[0-9]{1,4})")
MOST_AT_ONCE = 12
"""A range of more animals than this is asked about: a slip of one digit makes it so."""


def each(names: WrittenText, known: Known, findings: Findings) -> list[WrittenText]:
    """What is named, one by one; a range that is none is a problem. An id that reads like a range is an id."""
    return [one for name in names.pieces(re.compile(",")) for one in _each(name, known, findings)]


def _each(name: WrittenText, known: Known, findings: Findings) -> Iterator[WrittenText]:
    found = _RANGE.fullmatch(name)
    if known.taken(name) or found is None or found["again"].casefold() not in ("", found["stem"].casefold()):
        yield name
        return
    first, last = int(found["first"]), int(found["last"])
    if last <= first or last - first >= MAX_COUNT:
        why = "ends before it begins" if last <= first else f"has more than {MAX_COUNT} animals"
        findings.report(name.place, "bad-id", f"the range '{name}' {why}; look at its numbers")
        return
    for number in range(first, last + 1):
        yield name.part(f"{found['stem']}{number:0{len(found['first'])}d}", 0)


def each_typed(names: str, known: Known) -> tuple[str, ...]:
    """As `each`, of what was typed on the command line. Raises RecordsError."""
    findings = Findings()
    found = each(WrittenText.at(names, COMMAND_LINE), known, findings)
    if findings.problems:
        raise RecordsError(findings.problems)
    return tuple(str(name) for name in found)


def too_many(place: Place, names: Sequence[str]) -> tuple[Problem, ...]:
    """What is odd about a range that is wide."""
    if len(names) <= MOST_AT_ONCE:
        return ()
    said = f"these are {len(names)} animals, {names[0]} to {names[-1]}; look at the range"
    return (Problem.at(place, "log-wide", said, CODES["log-wide"].level),)
