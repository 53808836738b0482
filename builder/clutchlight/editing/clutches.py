"""`laid` and `hatched`: a clutch's own record, written from the log and added to when it hatches; and young that come later.

`laid` names as sire every male that the log puts with the dam since her last clutch, within the window; a male from before
may still count through stored sperm, and is named in a comment. Nothing is decided that the log does not say.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path

from clutchlight.editing.disk import WrittenFile
from clutchlight.editing.writing import (
    BY_HAND,
    Original,
    Records,
    Value,
    cannot_write,
    check_keys,
    composed,
    create,
    end_of_keys,
    items_into,
    keys_into,
    put_in,
    record_in,
    standing,
)
from clutchlight.model import Animal, Clutch, Collection, When
from clutchlight.model.private import LAYINGS, LogRow, Private
from clutchlight.planning.readiness import is_recorded
from clutchlight.planning.room import EGGS_LIE, eggs_lost, rows_of
from clutchlight.problems import COMMAND_LINE, Problem, RecordsError
from clutchlight.reading.checks import odd_incubation
from clutchlight.reading.fields import parse_id
from clutchlight.reading.findings import Findings
from clutchlight.reading.ids import Register, animals_called, clutch_called
from clutchlight.reading.log import Candidate, loans_before, males_in_log, sire_window_days
from clutchlight.reading.species_files import SourcedDays, fact_of
from clutchlight.reading.strict import parsed
from clutchlight.reading.text import Items, Table, WrittenText
from clutchlight.wording.words import plural

_TWICE_DAYS = 21


def write_laid(
    records: Records,
    dam: str,
    *,
    on: date,
    eggs: int | None = None,
    slugs: int | None = None,
    name: str | None = None,
    by: Sequence[str] = (),
    judge: Callable[[], None] = lambda: None,
) -> WrittenFile:
    """Makes the record of a clutch that was just laid. `by`: its sires, as typed, in place of the males that the log has.

    Raises RecordsError of all that is in doubt, and then writes nothing; so does `judge`, of what somebody may agree to.
    """
    collection, private = records.collection, records.private
    mother = collection.animals[animals_called(collection, [dam])[0]]
    sires = [collection.animals[one] for one in animals_called(collection, by)] if by else []
    key = _new_id(collection, on) if name is None else name
    wrong = [*_no_parents(mother, sires, on), *_with_a_female(collection, private, mother)]
    for clutch in collection.laid_by(mother.id):
        if clutch.laid is not None and abs((clutch.laid.last - on).days) <= _TWICE_DAYS:
            said = f"'{mother.id}' already has a clutch laid {clutch.laid}, {clutch.id}; add to that record, or check the date"
            wrong += cannot_write(clutch.place.file, said, clutch.place.line).problems
    if name is not None:
        wrong += _wrong_id(collection, name)
    if wrong:
        raise RecordsError(wrong)
    judge()
    window = sire_window_days(private.rules, mother.species)
    inside, before = males_in_log(private.log, collection, mother.id, on, window)
    away = loans_before(collection, mother.id, on, window)
    text = "\n".join(_laid_lines(key, mother, on, eggs, slugs, inside, before, away, window, sires)) + "\n"
    return create(records.folder, f"clutches/{key}.md", text)


def laying_in_log(records: Records, dam: str, day: date) -> LogRow | None:
    """The last laying of a dam that the log has by a day, within the months of a clutch, and that is not on record; None without one."""
    mother = animals_called(records.collection, [dam])[0]
    rows = (row for row in records.private.log if row.animal == mother and row.event in LAYINGS and row.day <= day)
    last = max((row for row in rows if not is_recorded(row, records.collection)), key=lambda row: row.day, default=None)
    return last if last is not None and last.day + EGGS_LIE >= day else None


def hatching_in_log(records: Records, clutch: str, day: date) -> tuple[When | None, int | None, int | None]:
    """The day or days on which the log has a clutch hatched, how many young, and how many eggs lost; None of each that it does not say."""
    record = clutch_called(records.collection, clutch)
    rows = rows_of(record, records.collection, records.private, day)
    hatched = [row for row in rows if row.event == "hatched"]
    counted = [int(row.number) for row in hatched if row.number is not None]
    young = sum(counted) if hatched and len(counted) == len(hatched) else None
    lost = None if record.went_bad else eggs_lost(rows) or None
    days = sorted(row.day for row in hatched)
    return When.span(days[0], days[-1]) if days else None, young, lost


def _no_parents(mother: Animal, sires: Sequence[Animal], on: date) -> Iterator[Problem]:
    """Why animals cannot be the parents of a clutch laid on a day."""
    for one, role, wrong in ((mother, "dam", "male"), *((sire, "sire", "female") for sire in sires)):
        if one.sex == wrong:
            yield Problem.at(COMMAND_LINE, "parent-sex", f"'{one.id}' is on record as {wrong}; name the {role}")
        if one.species != mother.species:
            said = f"'{one.id}' is of another species than '{mother.id}'; look at the two ids"
            yield Problem.at(COMMAND_LINE, "parent-species", said)
        if one.hatched is not None and on <= one.hatched.last:
            said = f"{on} is before '{one.id}' hatched ({one.hatched}); look at the year"
            yield Problem.at(COMMAND_LINE, "dates-out-of-order", said)
    left = mother.left
    if left is not None and left.how == "died" and left.on is not None and not left.on.vague and left.on.last < on:
        said = f"'{mother.id}' died {left.on}, before {on}; look at the animal and the day"
        yield Problem.at(COMMAND_LINE, "dates-out-of-order", said)


def _with_a_female(collection: Collection, private: Private, mother: Animal) -> Iterator[Problem]:
    """One of unknown sex becomes a female by laying; a row that has it with another would no longer hold."""
    for row in private.log if mother.sex == "unknown" else ():
        mate = collection.animals.get(row.with_(mother.id) or "")
        if mate is not None and mate.sex == "female":
            said = (
                f"this row has '{mother.id}' with '{mate.id}', a female, so it cannot be a dam; correct one of the two"
            )
            yield from cannot_write(row.place.file, said, row.place.line).problems


def write_hatched(
    folder: Path,
    collection: Collection,
    clutch: str,
    *,
    on: When,
    young: int | None = None,
    went_bad: int | None = None,
    unseen: int | None = None,
    possible: Sequence[str] = (),
    judge: Callable[[Sequence[Problem]], None] = lambda odd: None,
) -> WrittenFile:
    """Adds `hatched` and numbered young lines to a clutch's record. `possible`: looks to offer, in words, as comments.

    Without `young` every good egg that did not fail hatched. `judge` raises RecordsError where an incubation that is odd is no slip.
    On any doubt RecordsError is raised, and nothing is written.
    """
    record = clutch_called(collection, clutch)
    clutch, file, line = record.id, record.place.file, record.place.line
    if record.hatched is not None or record.ended is not None:
        said = f"hatched {record.hatched}" if record.hatched is not None else f"ended {record.ended}"
        raise cannot_write(file, f"'{clutch}' already {said}; change that record by hand", line)
    wrong: list[Problem] = []
    if record.laid is not None and on.first <= record.laid.first:
        said = f"'{clutch}' was laid {'that very day' if on.first == record.laid.first else 'later'} ({record.laid}: {file})"
        said = f"{said}, so it cannot have hatched on {on}; say another day with --on"
        wrong.append(Problem.at(COMMAND_LINE, "cannot-write", said))
    counted = _counts(record, young, went_bad, unseen)
    count, counts = counted if isinstance(counted, tuple) else (0, {})
    if isinstance(counted, Problem):
        wrong.append(counted)
    elif not count:
        said = f"no young hatched of '{clutch}'; write `ended: {on}` into its record instead"
        wrong += cannot_write(file, said, line).problems
    if wrong:
        raise RecordsError(wrong)
    if odd := odd_hatching(record, collection, on):
        judge([Problem.at(COMMAND_LINE, "incubation-odd", odd, "warning")])
    found = standing(folder, file)
    at = _end_of_record(found, record.id)
    keys = {"hatched": str(on), **counts}
    each = [f"{number} unknown" for number in range(1, count + 1)]
    rows = [f"{key}: {value}" for key, value in keys.items()]
    text = "\n".join([*rows, *_about_young(possible), "young:", *(f"  - {one}" for one in each)]) + "\n"
    if at and found.text[at - 1] != "\n":
        text = f"\n{text}"
    check_keys(found, at, text, record.place, {**keys, "young": each})
    return put_in(folder, found, at, text)


def add_young(
    folder: Path, clutch: Clutch, keys: Mapping[str, Value], young: Sequence[Mapping[str, Value]]
) -> WrittenFile:
    """Adds young, and keys that it lacks, to a clutch's record. Raises RecordsError, and writes nothing, on any doubt."""
    file, line = clutch.place.file, clutch.place.line
    found = standing(folder, file)
    table = record_in(found, clutch.id)
    held = None if table is None else table.get("young")
    if table is None or (young and held is not None and (keys or not isinstance(held, Items))):
        raise cannot_write(file, BY_HAND, line)
    if young and isinstance(held, Items):
        return put_in(folder, found, *items_into(found, table.mark.place, "young", held, young))
    wanted = {**keys, "young": list(young)} if young else keys
    return put_in(folder, found, *keys_into(found, table.mark.place, wanted))


# ---- laid


def _laid_lines(
    key: str,
    mother: Animal,
    on: date,
    eggs: int | None,
    slugs: int | None,
    inside: Sequence[Candidate],
    before: Sequence[Candidate],
    away: Sequence[tuple[When, When]],
    window: int,
    sires: Sequence[Animal],
) -> list[str]:
    lines = ["---", f"id: {key}"]
    males = [sire.id for sire in sires] or [candidate.male for candidate in inside]
    if not males:
        near = any(candidate.last >= on - timedelta(days=window) for candidate in before)
        since = "since her last clutch" if near else f"in the {window} days before laying"
        lines.append(f"# The log puts no male with {mother.id} {since}.")
    for candidate in inside:
        other = "" if candidate.male in males else " He is not among the sires that you named."
        lines.append(f"# {_seen(candidate)}{other}")
    if len(males) > 1:
        lines.append(
            "# One of them sired it. If you know more, give chances, such as {one_of: {M-01: 80%, M-02: 20%}};"
        )
        lines.append("# if each egg may have its own sire, write {mixed: [...]}.")
    for candidate in before:
        lines.append(f"# Earlier: {_seen(candidate)}")
    if {candidate.male for candidate in before} - set(males):
        lines.append("# A female can store sperm for months, in some snakes for years: an earlier male may count.")
        lines.append("# Add such a male to `sire`, or `unknown`, where he may.")
    for went, back in away:
        lines.append(f"# She was on loan from {went} to {back}: who was with her there is not in the log.")
    if away and males:
        lines.append("# Where somebody may have been, add `unknown` to `sire`.")
    several = f"[{', '.join(males)}]"
    lines.append(f"sire: {several if len(males) > 1 else males[0] if males else 'unknown'}")
    lines.append(f"dam: {mother.id}")
    lines.append(f"laid: {on.isoformat()}")
    lines.append("# eggs: good eggs; add the line when they are counted" if eggs is None else f"eggs: {eggs}")
    if slugs:
        lines.append(f"slugs: {slugs}")
    return [*lines, "---"]


def _seen(candidate: Candidate) -> str:
    lock = "a lock was seen" if candidate.locked else "no lock was logged"
    return f"{candidate.male} was with her {candidate.days}, {lock}."


def _new_id(collection: Collection, laid: date) -> str:
    """The next id of the year: C24-04 after C24-03."""
    start = f"C{laid:%y}-"
    taken = Register.of(collection).entries
    numbers = [int(name[len(start) :]) for name in taken if re.fullmatch(rf"{start.casefold()}[0-9]+", name)]
    return f"{start}{max(numbers, default=0) + 1:02d}"


def _wrong_id(collection: Collection, name: str) -> Sequence[Problem]:
    findings = Findings()
    if parsed(parse_id, WrittenText.at(name, COMMAND_LINE), findings) is None:
        return findings.problems
    if name.casefold() in Register.of(collection).entries:
        return (Problem.at(COMMAND_LINE, "duplicate-id", f"'{name}' is already taken; choose another id"),)
    return ()


# ---- hatched


def _counts(
    record: Clutch, young: int | None, went_bad: int | None, unseen: int | None
) -> tuple[int, dict[str, str]] | Problem:
    """How many young there are, and the keys for eggs that came to nothing; or what is wrong, since the eggs must add up."""
    counts: dict[str, str] = {}
    lost = 0
    for key, asked, held in (("went_bad", went_bad, record.went_bad), ("unseen", unseen, record.unseen)):
        if asked is not None and held and asked != held:
            said = f"`{key}` is already {held} in this record; change it by hand"
            return cannot_write(record.place.file, said, record.place_of(key).line).problems[0]
        if asked and not held:
            counts[key] = str(asked)
        lost += asked or held
    eggs = record.eggs
    if eggs is None:
        if young is None:
            said = "this record has no `eggs`; add the line, or say how many hatched with --young"
            return cannot_write(record.place.file, said, record.place.line).problems[0]
        return young, {"eggs": str(young + lost), **counts}
    count = eggs - lost if young is None else young
    if count >= 0 and count + lost == eggs:
        return count, counts
    eggs_there = f"the {eggs} good eggs of '{record.id}' ({record.place.file}, line {record.place_of('eggs').line})"
    if lost > eggs:
        said = f"{lost} that failed are more than {eggs_there}; look at the numbers"
    elif lost + count > eggs:
        said = f"{count} young{f' and {lost} that failed' if lost else ''} are more than {eggs_there}; look at the number, or correct"
        said += " `eggs` there if more were laid; twins of one egg are written by hand (`explain twins`)"
    else:
        said = f"{count} young{f' and {lost} that failed' if lost else ''} leave {eggs - count - lost} of {eggs_there} unsaid; say what"
        said += " became of them: --went-bad, or --unseen for young that died before you saw their look"
    return Problem.at(COMMAND_LINE, "egg-count", said)


def odd_hatching(clutch: Clutch, collection: Collection, on: When) -> str:
    """What is odd about a day on which a clutch is said to have hatched: "2026-09-20 is no day after ..."; "" where nothing is."""
    usual = fact_of(collection.species.get(clutch.species), SourcedDays)
    days = odd_incubation(usual, clutch.laid, on)
    if usual is None or days is None:
        return ""
    after = f"{plural(days, 'day')} after" if days > 0 else "no day after"
    return f"{on} is {after} '{clutch.id}' was laid, where {usual.first} to {usual.last} are usual; look at the day"


def _about_young(possible: Sequence[str]) -> list[str]:
    lines = ["# Behind each number: sex (m, f), then every look seen, or normal; for example 1 f normal."]
    if possible:
        lines.append("# Possible looks of this clutch, by the records:")
        lines.extend(f"#   {' '.join(look.split())}" for look in possible)
    return lines


def _end_of_record(found: Original, key: str) -> int:
    """Where new keys go in the plain text: at the end of the record's keys. Only a record alone in its file is added to."""
    root, data, _ = composed(found.text, found.file)
    if not isinstance(root, Table) or root.get("id") != key:
        raise cannot_write(found.file, f"'{key}' stands in a list with others; add to it by hand")
    if any(name in root for name in ("hatched", "ended", "young", "tally", "to_sort")):
        raise cannot_write(found.file, "this record already has one of the keys of a hatched clutch; change it by hand")
    if root.mark.place.column != 1 or data.lstrip()[:1] in "{[":
        raise cannot_write(found.file, "this record is written inside braces or indented; add to it by hand")
    return end_of_keys(found)
