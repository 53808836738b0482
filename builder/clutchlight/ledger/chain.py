"""Whether a ledger is as the tool wrote it, and if not, what was done to it.

Checked of each line: it is a dated record in canonical form, its digest fits its figures, its date lies in the year of its file. Checked
of the chain: numbers run 1, 2, 3 ..., each line holds the digest of the line before (a year's first line that of the last line of the year
before), and days do not go back. Each break is told once, under the name of what explains it: a line that cannot be read or is missing
(`ledger-broken`), moved (`ledger-reordered`), changed (`ledger-edited`), cut off at an end (`ledger-truncated`), or a year that does not
go on from the one before (`ledger-year`).

It shows a change against the lines that follow, not against nothing: whoever rewrites a whole ledger, or takes away its newest lines, can
be found out only by a copy, a card or a printed page that somebody else holds.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Annotated, Any

import msgspec
import rfc8785
from msgspec import Struct

from clutchlight.editing.disk import WrittenFile, content_of
from clutchlight.editing.writing import Original, add, cannot_write, create
from clutchlight.model.ledger import DatedFigures, DatedRecord, Ledger
from clutchlight.problems import Place, Problem, errors_in, in_order
from clutchlight.reading.files import Folder
from clutchlight.reading.findings import Findings
from clutchlight.reading.text import hidden_in
from clutchlight.statements.values import canonical

RESTORE = "put the file back from a copy that is older than the change"


class LedgerFile(Struct, frozen=True):
    """One year's lines as they stand. `ended`: the last one has its line end."""

    file: str
    year: int
    lines: tuple[str, ...]
    ended: bool


class _Link(Struct, frozen=True):
    """A line in its place in the chain; `record` is None for one that cannot be read."""

    year: int
    place: Place
    digest: str
    record: DatedRecord | None


def _links(file: LedgerFile, findings: Findings) -> Iterator[_Link]:
    for number, line in enumerate(file.lines, start=1):
        place = Place(file.file, number)
        record: DatedRecord | None = None
        try:
            record = record_of(line, place)
            _check_line(record, line, file, findings)
        except (NoDatedRecordError, RecursionError) as fault:
            why = fault if isinstance(fault, NoDatedRecordError) else "it is nested too deep"
            if number == len(file.lines) and not file.ended:
                said = f"the file breaks off in the middle of this line ({why})"
                findings.report(place, "ledger-truncated", f"{said}; {RESTORE}")
            else:
                findings.report(place, "ledger-broken", f"this line is no dated record: {why}; {RESTORE}")
        yield _Link(file.year, place, digest_of_text(line), record)


def _check_line(record: DatedRecord, line: str, file: LedgerFile, findings: Findings) -> None:
    written = json.loads(line)
    if digest_of_text(canonical(written["figures"])) != record.digest or record.figures.id != record.animal:
        said = f"the figures of {record.animal} do not fit the digest in their own line: one of the two was edited"
        findings.report(record.place, "ledger-edited", f"{said}; {RESTORE}")
    elif canonical(written) != line:
        said = "this line does not stand as it was written (spaces, order of keys or a key twice)"
        findings.report(record.place, "ledger-edited", f"{said}; {RESTORE}")
    if record.on.year != file.year:
        said = f"this record is dated {record.on} and stands in {file.file}; each year has its own file"
        findings.report(record.place, "ledger-year", f"{said}; {RESTORE}")


class _Chain:
    """The links of all years in order, and what is known of their numbers."""

    def __init__(self, links: Sequence[_Link], findings: Findings) -> None:
        self.links, self.findings = links, findings
        self.records = tuple(link.record for link in links if link.record is not None)
        self.numbers = {record.number for record in self.records}
        self.told = {(problem.file, problem.line) for problem in findings.problems}
        self.moved: set[str] = set()

    def check(self) -> None:
        number = 0
        for position, link in enumerate(self.links):
            if link.record is None:
                number += 1
            else:
                self._check(position, number, link, link.record)
                number = link.record.number

    def _check(self, position: int, number: int, link: _Link, record: DatedRecord) -> None:
        before = self.links[position - 1] if position else None
        follows, moved = record.number == number + 1, record.number <= number or record.number - 1 in self.numbers
        if follows and record.before == (before.digest if before else None):
            if before and before.record and record.on < before.record.on and not self._stands_alone(position):
                self._report(link, "ledger-broken", f"it is dated {record.on}, before the line above it")
        elif before is None or before.place.file != link.place.file:
            self._year(before, number, link, record, moved)
        elif follows:
            edited = link if self._stands_alone(position) else before
            said = "this line and those beside it do not fit together any more: it was edited"
            self._report(edited, "ledger-edited", said)
        elif not moved:
            self._report(link, "ledger-broken", f"{_missing(number, record)} before this line")
        elif record.number == number:
            self._report(link, "ledger-broken", f"the number {number} stands twice")
        elif link.place.file not in self.moved:
            self.moved.add(link.place.file)
            said = f"line number {record.number} follows number {number}: lines were moved"
            self._report(link, "ledger-reordered", said)

    def _stands_alone(self, position: int) -> bool:
        """Whether the next line does not fit this one either: then it is this one that was edited."""
        after = self.links[position + 1] if position + 1 < len(self.links) else None
        return after is not None and after.record is not None and after.record.before != self.links[position].digest

    def _year(self, before: _Link | None, number: int, link: _Link, record: DatedRecord, moved: bool) -> None:
        """The first line of a year does not go on from the last line of the year before."""
        where, code, remedy = link, "ledger-year", RESTORE
        if before is None:
            said = (
                f"the ledger begins here with number {record.number}, chained to a line that is not there: "
                "the file of an earlier year, or its beginning, is missing"
            )
            remedy = "put it back from a copy"
        elif moved and record.number == number + 1:
            said = (
                f"the year does not go on from the last line of {before.place.file}: that line, or this one, was edited"
            )
        elif moved:
            said = (
                f"the year begins with number {record.number}, but {before.place.file} ends with number {number}: "
                "lines were moved from year to year"
            )
        elif link.year - before.year > 1:
            said = f"{_missing(number, record)} between {before.place.file} and this file: the file of a year between them is gone"
            remedy = "put it back from a copy"
        else:
            where, code = before, "ledger-truncated"
            said = f"{_missing(number, record)} behind this line, the last of {before.place.file}, but {link.place.file} goes on after that"
        self._report(where, code, said, remedy)

    def _report(self, link: _Link, code: str, message: str, remedy: str = RESTORE) -> None:
        """A line that was told of already has its explanation."""
        if (link.place.file, link.place.line) not in self.told:
            self.told.add((link.place.file, link.place.line))
            self.findings.report(link.place, code, f"{message}; {remedy}")


def _missing(number: int, record: DatedRecord) -> str:
    first, last = number + 1, record.number - 1
    return f"line number {first} is missing" if first == last else f"the lines numbered {first} to {last} are missing"


SCHEMA = "clutchlight/dated-record/1"
_Digest = Annotated[str, msgspec.Meta(pattern=r"^sha256:[0-9a-f]{64}\Z")]
_KEYS: Mapping[str, tuple[Any, str]] = {
    "number": (Annotated[int, msgspec.Meta(ge=1)], "is no whole number from 1 on"),
    "date": (date, "is no day such as 2026-07-20"),
    "animal": (str, "is no text"),
    "figures": (DatedFigures, "are no statement"),
    "digest": (_Digest, "is no SHA-256 digest"),
    "before": (_Digest | None, "is no SHA-256 digest"),
    "version": (str, "is no text"),
    "species_file": (str, "is no text"),
    "if_sired": (tuple[str, ...], "is no list of texts"),
}
"""What each key of a line holds beside its schema, and what is said of one that does not."""
_LATER = {"if_sired"}
"""The keys that lines of earlier programs lack."""

_CHANCE = re.compile(r"[0-9]+(?:/0*[1-9][0-9]*)?")
_CODE = re.compile(r"(?<!\\)(?:\\\\)*\\u")
"""A character written as a code; the canonical form does so with control characters alone."""


class NoDatedRecordError(ValueError):
    """A line is no dated record; the text says why."""


def digest_of_text(text: str) -> str:
    """ "sha256:" and 64 hexadecimal digits of the UTF-8 bytes."""
    return f"sha256:{hashlib.sha256(text.encode('utf-8', 'surrogatepass')).hexdigest()}"


def line_of(
    number: int,
    on: date,
    figures: Mapping[str, Any],
    before: str | None,
    version: str,
    species_file: str,
    if_sired: Sequence[str] = (),
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
            "if_sired": list(if_sired),
        }
    ).decode("utf-8")


def record_of(line: str, place: Place) -> DatedRecord:
    """The dated record that a line holds. Raises NoDatedRecordError; whether its digests are right is not looked at."""
    try:
        found = json.loads(line, parse_constant=_refused, parse_float=_refused)
    except (ValueError, RecursionError):
        raise NoDatedRecordError("it is not JSON, or holds a number that is not whole") from None
    if not isinstance(found, dict):
        raise NoDatedRecordError("it is no JSON object")
    if hidden_in(line) or _CODE.search(line):
        raise NoDatedRecordError("it holds a character that nobody sees, or one that is written as a code")
    if found.get("schema") != SCHEMA:
        raise NoDatedRecordError(f"its `schema` is not {SCHEMA}")
    if odd := sorted((found.keys() ^ {"schema", *_KEYS}) - (_LATER - found.keys())):
        raise NoDatedRecordError(f"the key `{odd[0]}` is {'unknown' if odd[0] in found else 'missing'}")
    held: dict[str, Any] = {}
    for key in sorted(found.keys() - {"schema"}):
        kind, fault = _KEYS[key]
        try:
            held[key] = msgspec.convert(found[key], kind, dec_hook=_chance)
        except msgspec.ValidationError:
            raise NoDatedRecordError(f"its `{key}` {fault}") from None
    return DatedRecord(on=held.pop("date"), **held, line=digest_of_text(line), place=place)


def _chance(kind: type[Fraction], value: object) -> Fraction:
    """A chance in figures, such as 2/3: nothing else that Python would read as a fraction, since `1e999999999` takes it for ever."""
    if not isinstance(value, str) or not _CHANCE.fullmatch(value):
        raise ValueError(value)
    return kind(value)


def _refused(name: str) -> None:
    raise ValueError(name)


LEDGER = "ledger"
MAX_YEARS = 200
MAX_BYTES = 64 * 1024 * 1024
MAX_LINE = 1024 * 1024

_YEAR = re.compile(r"(\d{4})\.jsonl")


def read_ledger(folder: Path) -> tuple[Ledger | None, tuple[Problem, ...]]:
    """The dated records of a collection, None when they are not as the tool wrote them; and all problems, in order."""
    findings = Findings()
    files = tuple(_LedgerFolder(folder, findings).years())
    chain = _Chain([link for file in files for link in _links(file, findings)], findings)
    chain.check()
    problems = in_order(findings.problems)
    return None if errors_in(problems) else Ledger(chain.records), problems


def append_lines(folder: Path, year: int, lines: Sequence[str]) -> WrittenFile:
    """Adds lines at the end of a year's file, all of them or none; every earlier byte stays.

    Raises RecordsError when the file cannot be written; nothing was changed then.
    """
    file = f"{LEDGER}/{year:04d}.jsonl"
    text = "".join(f"{line}\n" for line in lines)
    if (folder / file).is_symlink():
        raise cannot_write(file, "this is not an ordinary file; nothing was written")
    content = content_of(folder, file)
    if content is None:
        return create(folder, file, text, dated=True)
    path, raw = content
    end = "\r\n" if raw.endswith(b"\r\n") else "\n"
    start = "" if not raw or raw.endswith(b"\n") else "\n"
    return add(folder, Original(file, path, raw, "", end), len(raw), start + text, dated=True)


class _LedgerFolder(Folder):
    """A collection's folder, with its ledger."""

    def years(self) -> Iterator[LedgerFile]:
        """The files of the ledger, in order of their years."""
        for count, (year, file) in enumerate(sorted(self._names())):
            if count >= MAX_YEARS:
                self.findings.report(
                    Place(file), "too-many-files", f"a ledger holds at most {MAX_YEARS} years; move what is no ledger"
                )
                return
            found = self._read(file, year)
            if found is not None:
                yield found

    def _names(self) -> Iterator[tuple[int, str]]:
        for entry in self._entries(LEDGER):
            file = f"{LEDGER}/{entry.name}"
            if entry.name.startswith(".") or entry.name.endswith("~"):
                continue
            named = _YEAR.fullmatch(entry.name)
            if named is None or not entry.is_file():
                self.findings.report(
                    Place(file),
                    "stray-file",
                    f"'{entry.name}' counts for nothing: in {LEDGER}/ only files such as 2026.jsonl are read; move it",
                )
            elif self._reachable(Path(entry.path), file):
                yield int(named[1]), file

    def _read(self, file: str, year: int) -> LedgerFile | None:
        """A year's file; None where it cannot be taken in."""
        try:
            size = (self.path / file).stat().st_size
        except OSError:
            size = 0  # what is wrong is told by `_bytes`
        if size > MAX_BYTES:
            said = f"this file is larger than {MAX_BYTES} bytes; no year of records is"
            self.findings.report(Place(file), "file-too-large", said)
            return None
        raw = self._bytes(file)
        if raw is None:
            return None
        lines: list[str] = []
        for number, row in enumerate(raw.removesuffix(b"\n").split(b"\n") if raw else (), start=1):
            if len(row) > MAX_LINE:
                said = f"this line is longer than {MAX_LINE} bytes; no record is"
                self.findings.report(Place(file, number), "file-too-large", said)
                return None
            try:
                lines.append(row.removesuffix(b"\r").decode("utf-8"))
            except UnicodeDecodeError:
                said = "this is not UTF-8 text; put the file back from a copy"
                self.findings.report(Place(file, number), "not-utf8", said)
                return None
        return LedgerFile(file, year, tuple(lines), raw.endswith(b"\n"))
