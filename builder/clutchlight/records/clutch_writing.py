"""`laid` and `hatched`: a clutch's own record, written from the log and added to when it hatches.

`laid` names as sire every male that the log puts with the dam since her last clutch, within the window; a male from before
may still count through stored sperm, and is named in a comment. Nothing is decided that the log does not say.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from clutchlight.model import Animal, Clutch, Collection
from clutchlight.model.season import PAIR_EVENTS, LogRow, Private
from clutchlight.plaintext.composing import compose
from clutchlight.plaintext.decoding import split_front_matter
from clutchlight.plaintext.fields import parse_id
from clutchlight.plaintext.findings import Findings, nearest
from clutchlight.plaintext.values import Table, Text
from clutchlight.problems import Place, RecordsError, errors_in
from clutchlight.records.writing import Original, Written, add, create, original, refuse

SIRE_WINDOW_DAYS = (
    270  # common practice, no source: pairings of one season; `season: {sire_window_days: ...}` changes it
)
_TWICE_DAYS = 21

# Pairings that show a male with a female; `parted` shows that he was.
_TOGETHER = PAIR_EVENTS


@dataclass(frozen=True, slots=True)
class Candidate:
    """A male that the log puts with a female: when first and last, and whether a lock was seen."""

    male: str
    first: date
    last: date
    locked: bool


def sires_in_log(
    log: Iterable[LogRow], collection: Collection, dam: str, laid: date, window_days: int = SIRE_WINDOW_DAYS
) -> tuple[tuple[Candidate, ...], tuple[Candidate, ...]]:
    """The males with her in the window before laying, and those only before it; each by first day, then id."""
    begins = laid - timedelta(days=window_days)
    for earlier in _laid_before(collection, dam, laid):
        begins = max(begins, earlier + timedelta(days=1))
    inside: dict[str, list[LogRow]] = {}
    before: dict[str, list[LogRow]] = {}
    for row in log:
        male = row.with_(dam)
        if row.event in _TOGETHER and male is not None and row.day <= laid:
            (inside if row.day >= begins else before).setdefault(male, []).append(row)
    earlier_only = {male: rows for male, rows in before.items() if male not in inside}
    return _candidates(inside), _candidates(earlier_only)


def write_laid(
    folder: Path,
    collection: Collection,
    private: Private,
    dam: str,
    *,
    on: date,
    eggs: int | None = None,
    slugs: int | None = None,
    name: str | None = None,
) -> Written:
    """Makes the record of a clutch that was just laid. Raises RecordsError, and writes nothing, on any doubt."""
    mother = _animal(collection, dam)
    if mother.sex == "male":
        raise refuse("clutches", "parent-sex", f"'{mother.id}' is on record as male; name the dam")
    for clutch in _clutches_of_dam(collection, mother.id):
        if clutch.laid is not None and abs((clutch.laid.last - on).days) <= _TWICE_DAYS:
            raise refuse(
                clutch.place.file,
                "cannot-write",
                f"'{mother.id}' already has a clutch laid {clutch.laid}, {clutch.id}; add to that record, or check the date",
                clutch.place.line,
            )
    key = _new_id(collection, on) if name is None else _checked_id(collection, name)
    window = _window_days(private, mother.species)
    inside, before = sires_in_log(private.log, collection, mother.id, on, window)
    text = "\n".join(_laid_lines(key, mother, on, eggs, slugs, inside, before, window, collection)) + "\n"
    return create(folder, f"clutches/{key}.md", text)


def write_hatched(
    folder: Path,
    collection: Collection,
    clutch: str,
    *,
    on: date,
    young: int | None = None,
    went_bad: int | None = None,
    unseen: int | None = None,
    possible: Sequence[str] = (),
) -> Written:
    """Adds `hatched` and numbered young lines to a clutch's record. `possible`: looks to offer, in words, as comments.

    Without `young` every good egg that did not fail hatched. Raises RecordsError, and writes nothing, on any doubt.
    """
    record = collection.clutches.get(clutch)
    if record is None:
        near = nearest(clutch, collection.clutches)
        remedy = f"the nearest is '{near}'" if near else "`laid DAM` makes the record of a clutch"
        raise refuse("clutches", "unknown-clutch", f"'{clutch}' is no clutch on record; {remedy}")
    file, line = record.place.file, record.place.line
    if record.hatched is not None or record.ended is not None or record.young or record.tally or record.to_sort:
        said = f"hatched {record.hatched}" if record.hatched is not None else "ended or has young on record"
        raise refuse(file, "cannot-write", f"'{clutch}' already {said}; change that record by hand", line)
    if record.laid is not None and on < record.laid.first:
        raise refuse(
            file, "cannot-write", f"{on} is before '{clutch}' was laid ({record.laid}); look at the date", line
        )
    count, lines = _counts(record, young, went_bad, unseen)
    if not count:
        raise refuse(
            file, "cannot-write", f"no young hatched of '{clutch}'; write `ended: {on}` into its record instead", line
        )
    found = original(folder, file)
    if found is None:
        raise refuse(file, "cannot-write", "this file is gone; nothing was written")
    at = _end_of_record(found, record.id)
    text = "\n".join([f"hatched: {on.isoformat()}", *lines, *_young_lines(count, possible)]) + "\n"
    if at and found.text[at - 1] != "\n":
        text = f"\n{text}"
    _check_added(found, at, text, record.id)
    return add(folder, found, len(_to_bytes(found, at)), text)


# ---- laid


def _laid_lines(
    key: str,
    mother: Animal,
    on: date,
    eggs: int | None,
    slugs: int | None,
    inside: Sequence[Candidate],
    before: Sequence[Candidate],
    window: int,
    collection: Collection,
) -> list[str]:
    lines = ["---", f"id: {key}"]
    males = [candidate.male for candidate in inside]
    if not males:
        lines.append(
            f"# The log puts no male with {mother.id} in the {window} days before laying, or since her last clutch."
        )
    for candidate in inside:
        lines.append(f"# {_seen(candidate)}")
    if len(males) > 1:
        lines.append(
            "# One of them sired it. If you know more, give chances, such as {one_of: {M-01: 80%, M-02: 20%}};"
        )
        lines.append("# if each egg may have its own sire, write {mixed: [...]}.")
    for candidate in before:
        lines.append(f"# Earlier: {_seen(candidate)}")
    if before:
        lines.append("# Stored sperm can count: add such a male to `sire`, or `unknown`, where it may.")
        lines.extend(f"# {line}" for line in _stored_sperm(collection, mother.species))
    several = f"[{', '.join(males)}]"
    lines.append(f"sire: {several if len(males) > 1 else males[0] if males else 'unknown'}")
    lines.append(f"dam: {mother.id}")
    lines.append(f"laid: {on.isoformat()}")
    lines.append("# eggs: good eggs; add the line when they are counted" if eggs is None else f"eggs: {eggs}")
    if slugs:
        lines.append(f"slugs: {slugs}")
    return [*lines, "---"]


def _seen(candidate: Candidate) -> str:
    days = candidate.first.isoformat()
    if candidate.last != candidate.first:
        days = f"{days} to {candidate.last.isoformat()}"
    return f"{candidate.male} was with her {days}, {'a lock was seen' if candidate.locked else 'no lock was logged'}."


def _stored_sperm(collection: Collection, species: str) -> list[str]:
    """The species file's own words on it, in lines that fit a screen."""
    known = collection.species.get(species)
    fact = known.facts.get("stored_sperm") if known is not None else None
    note = str(fact["note"]) if isinstance(fact, Mapping) else ""
    return _wrapped(note, 110)


def _wrapped(text: str, width: int) -> list[str]:
    lines: list[str] = []
    for word in text.split():
        if lines and len(lines[-1]) + 1 + len(word) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def _candidates(rows: dict[str, list[LogRow]]) -> tuple[Candidate, ...]:
    found = [
        Candidate(
            male,
            min(row.day for row in seen),
            max(row.day for row in seen),
            any(row.event == "lock" for row in seen),
        )
        for male, seen in rows.items()
    ]
    return tuple(sorted(found, key=lambda candidate: (candidate.first, candidate.male)))


def _laid_before(collection: Collection, dam: str, laid: date) -> list[date]:
    days = [clutch.laid.last for clutch in _clutches_of_dam(collection, dam) if clutch.laid is not None]
    return [day for day in days if day < laid]


def _clutches_of_dam(collection: Collection, dam: str) -> list[Clutch]:
    return [clutch for clutch in collection.clutches.values() if clutch.dam == dam]


def _window_days(private: Private, species: str) -> int:
    for key in (species, ""):
        rules = private.rules.get(key)
        if rules is not None and rules.sire_window_days is not None:
            return rules.sire_window_days
    return SIRE_WINDOW_DAYS


def _animal(collection: Collection, name: str) -> Animal:
    found = collection.animals.get(name) or next(
        (animal for animal in collection.animals.values() if name in animal.was), None
    )
    if found is None or found.nameless:
        near = nearest(name, (key for key in collection.animals if ":" not in key))
        remedy = f"the nearest is '{near}'" if near else "add a record for it in animals/"
        raise refuse("animals", "unknown-animal", f"animal '{name}' has no record; {remedy}")
    return found


def _new_id(collection: Collection, laid: date) -> str:
    """The next free id of the year: C24-04 after C24-03. Other habits are kept to by giving the id."""
    year = f"{laid.year % 100:02d}"
    pattern = re.compile(rf"C{year}-(\d+)", re.IGNORECASE)
    taken = _taken(collection)
    numbers = [int(found[1]) for name in taken if (found := pattern.fullmatch(name))]
    number = max(numbers, default=0) + 1
    while f"c{year}-{number:02d}" in taken:
        number += 1
    return f"C{year}-{number:02d}"


def _checked_id(collection: Collection, name: str) -> str:
    text = Text.at(name, Place("clutches"))
    try:
        parse_id(text)
    except Exception as error:
        raise refuse("clutches", "bad-id", str(error)) from None
    if name.casefold() in _taken(collection):
        raise refuse("clutches", "duplicate-id", f"'{name}' is already taken; choose another id")
    return name


def _taken(collection: Collection) -> frozenset[str]:
    names = [
        *collection.animals,
        *collection.clutches,
        *(old for animal in collection.animals.values() for old in animal.was),
    ]
    return frozenset(name.casefold() for name in names)


# ---- hatched


def _counts(record: Clutch, young: int | None, went_bad: int | None, unseen: int | None) -> tuple[int, list[str]]:
    """How many young lines to write, and the lines for eggs that came to nothing; the eggs must add up."""
    lines: list[str] = []
    lost = 0
    for key, asked, held in (("went_bad", went_bad, record.went_bad), ("unseen", unseen, record.unseen)):
        if asked is not None and held and asked != held:
            raise refuse(
                record.place.file,
                "cannot-write",
                f"`{key}` is already {held} in this record; change it by hand",
                record.place.line,
            )
        if asked and not held:
            lines.append(f"{key}: {asked}")
        lost += asked or held
    eggs = record.eggs
    if eggs is None:
        if young is None:
            raise refuse(
                record.place.file,
                "cannot-write",
                "this record has no `eggs`; add it, or say how many hatched",
                record.place.line,
            )
        return young, [f"eggs: {young + lost}", *lines]
    count = eggs - lost if young is None else young
    if count < 0 or count + lost != eggs:
        raise refuse(
            record.place.file,
            "egg-count",
            f"{count} young and {lost} lost do not add up to {eggs} good eggs; say how many went bad (`went_bad`) or died"
            " before they could be seen (`unseen`)",
            record.place.line,
        )
    return count, lines


def _young_lines(count: int, possible: Sequence[str]) -> list[str]:
    lines = ["# Behind each number: sex (m, f), then every look seen, or normal; for example 1 f normal."]
    if possible:
        lines.append("# Possible looks of this clutch, by the records:")
        lines.extend(f"#   {' '.join(look.split())}" for look in possible)
    return [*lines, "young:", *(f"  - {number} unknown" for number in range(1, count + 1))]


def _end_of_record(found: Original, key: str) -> int:
    """Where new keys go in the plain text: at the end of the record's keys. Only a record alone in its file is added to."""
    findings = Findings()
    if found.file.endswith(".md"):
        front = split_front_matter(found.text, found.file, findings)
        if front is None:
            raise RecordsError(errors_in(findings.problems))
        data, first_line = front.data, front.first_line
    else:
        data, first_line = found.text, 0
    root = compose(data, found.file, findings, first_line)
    if findings.errors:
        raise RecordsError(errors_in(findings.problems))
    if not isinstance(root, Table) or root.get("id") != key:
        raise refuse(found.file, "cannot-write", f"'{key}' stands in a list with others; add to it by hand")
    if any(name in root for name in ("hatched", "ended", "young", "tally", "to_sort")):
        raise refuse(
            found.file, "cannot-write", "this record already has one of the keys of a hatched clutch; change it by hand"
        )
    lines = found.text.split("\n")
    begin = sum(len(line) + 1 for line in lines[:first_line])
    end = begin + len(data)
    if root.mark.place.column != 1 or data.lstrip()[:1] in "{[":
        raise refuse(found.file, "cannot-write", "this record is written inside braces or indented; add to it by hand")
    return min(end, len(found.text))


def _to_bytes(found: Original, at: int) -> bytes:
    """The bytes of the file up to a place in its plain text: with its byte order mark and its own line ends."""
    decoded = found.raw.decode("utf-8")
    index = 1 if decoded.startswith("\ufeff") else 0
    left = at
    while left:
        index += 2 if decoded[index : index + 2] == "\r\n" else 1
        left -= 1
    return decoded[:index].encode("utf-8")


def _check_added(found: Original, at: int, text: str, key: str) -> None:
    """The record as it would be must read as before, with the new keys besides."""
    old, new = _keys(found.text, found.file), _keys(found.text[:at] + text + found.text[at:], found.file)
    if new.get("id") != key or any(new.get(name) != value for name, value in old.items()) or "hatched" not in new:
        raise refuse(
            found.file, "cannot-write", "nothing can be added here without changing what stands there; add it by hand"
        )


def _keys(text: str, file: str) -> Table:
    findings = Findings()
    data = text
    if file.endswith(".md"):
        front = split_front_matter(text, file, findings)
        data = "" if front is None else front.data
    root = compose(data, file, findings)
    if findings.errors or not isinstance(root, Table):
        raise refuse(file, "cannot-write", "this file does not read as one record; add to it by hand")
    return root
