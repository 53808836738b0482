"""Which ids there are: one namespace for animals, clutches and earlier ids, whatever the case; and names that lead to one.

A name that only one animal or clutch has is understood wherever an id is, in any case; an id goes first. Several are named in one breath
with commas, and in ranges such as `C26-01-1..5` or `F-01..F-05`.
Ids found in files that could not be read count as known, so that one broken file is one problem and not a cascade.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Iterator, Sequence
from typing import Any, Literal, NamedTuple

from msgspec import Struct, field

from clutchlight.model import Animal, Clutch, Collection
from clutchlight.problem_codes import CODES
from clutchlight.problems import COMMAND_LINE, Place, Problem, RecordsError
from clutchlight.reading.fields import MAX_COUNT
from clutchlight.reading.findings import Findings, in_words, or_nearest
from clutchlight.reading.shapes import (
    AnimalFacts,
    AnimalRecord,
    ClutchRecord,
    SeenRecord,
    SireRecord,
    YoungRecord,
)
from clutchlight.reading.text import Items, Mark, Table, WrittenText, one_case

Kind = Literal["animal", "clutch", "earlier id", "broken"]

_WRITTEN_ID = re.compile(r"(?:^|[\s{,])id\s*:\s*[\"']?([A-Za-z0-9._-]{1,64})", re.MULTILINE)
_WRITTEN_NAME = re.compile(r"""(?:^|[\s{,])name\s*:\s*["']?([^"'\n,}]{1,64})""", re.MULTILINE)
_NUMBER = re.compile(r"[0-9]{1,4}(?=\s)")
_NUMBERED = re.compile(r"^\s*-\s+[\"']?([0-9]{1,4})\s", re.MULTILINE)


class KnownId(NamedTuple):
    id: str
    kind: Kind
    place: Place
    now: str


class Register:
    """Every id on record, by its small letters; and every name, with the ids that have it."""

    def __init__(self) -> None:
        self.entries: dict[str, KnownId] = {}
        self.names: dict[str, dict[str, str]] = {}

    @classmethod
    def of(cls, collection: Collection) -> Register:
        """The ids of a collection that was read."""
        found = cls()
        animals = [animal for animal in collection.animals.values() if not animal.nameless]
        earlier = (KnownId(name, "earlier id", one.place, one.id) for one in animals for name in one.was)
        present = (KnownId(one.id, "animal", one.place, one.id) for one in animals)
        clutches = (KnownId(one.id, "clutch", one.place, one.id) for one in collection.clutches.values())
        found.entries = {entry.id.casefold(): entry for entry in (*earlier, *present, *clutches)}
        records: list[Animal | Clutch] = [*animals, *collection.clutches.values()]
        for record in records:
            found.add_name(record.name, record.id)
        return found

    def add(self, name: WrittenText, kind: Kind, findings: Findings, now: str | None = None) -> bool:
        """Enters an id; False, and a problem at the later place, when it is taken."""
        entry = KnownId(str(name), kind, name.place, now or str(name))
        held = self.entries.setdefault(name.casefold(), entry)
        if held is entry:
            return True
        if held.kind == "broken":
            self.entries[name.casefold()] = entry
            return True
        copied = ", or delete the copy" if held.kind == kind != "earlier id" else ""
        case = " (ids that differ only in case are one)" if held.id != name else ""
        earlier = {"earlier id": "an earlier id", "animal": "the id of an animal"}.get(held.kind, "the id of a clutch")
        its_own = kind == "earlier id" and held.now == entry.now
        mend = "leave it out of `was`" if its_own else f"give one of them another id{copied}"
        said = f"'{name}' is already {earlier} in {held.place.file}, line {held.place.line}{case}; {mend}"
        findings.report(name.place, "duplicate-id", said)
        return False

    def add_name(self, name: str | None, of: str) -> None:
        """Enters the name of an animal or a clutch."""
        if name:
            self.names.setdefault(one_case(name), {}).setdefault(of, name)

    def add_broken(self, text: str, file: str) -> None:
        """Enters whatever looks like an id, or a name, in a file that could not be read."""
        found = [match.group(1).strip() for pattern in (_WRITTEN_ID, _WRITTEN_NAME) for match in pattern.finditer(text)]
        if file.startswith("clutches/") and found:
            found += [f"{found[0]}-{match.group(1)}" for match in _NUMBERED.finditer(text)]
        self.add_known(WrittenText.at(name, Place(file)) for name in found)

    def add_known(self, names: Iterable[WrittenText]) -> None:
        """Enters ids of a record that is left out for a mistake told elsewhere."""
        for name in names:
            self.entries.setdefault(name.casefold(), KnownId(str(name), "broken", name.place, str(name)))

    def find(self, name: str) -> KnownId | None:
        """What an id, in any case, or a name that only one has, leads to."""
        held, called = self.entries.get(name.casefold()), self.ids_called(name)
        return self.entries.get(called[0].casefold()) if held is None and len(called) == 1 else held

    def known_animal(self, name: str) -> bool:
        """Whether an animal has, or had, that id, in any case."""
        entry = self.entries.get(name.casefold())
        return entry is not None and entry.kind in ("animal", "earlier id")

    def ids_called(self, name: str) -> tuple[str, ...]:
        """The ids of all that have a name, in any case."""
        return tuple(sorted(self.names.get(one_case(name), ())))

    def of_kind(self, kind: Kind) -> Iterator[str]:
        return (entry.id for entry in self.entries.values() if entry.kind == kind)

    def parent(self, name: WrittenText, role: str, findings: Findings) -> str | None:
        """The present id of an animal named as a parent; None, with a problem, when there is none."""
        entry = self.find(name)
        if entry is None:
            self.report_unknown(role, name, findings)
            return None
        if "clutch" in (entry.kind, self.entries[entry.now.casefold()].kind):
            findings.report(name.place, "not-an-animal", f"{role} '{name}' is a clutch; name one animal of it")
            return None
        return entry.now

    def report_unknown(self, role: str, name: WrittenText, findings: Findings, *, or_clutch: bool = False) -> None:
        if called := self.ids_called(name):
            said = f"{role} '{name}' may be {in_words(called)}, which share that name; write the id"
            findings.report(name.place, "ambiguous-name", said)
        else:
            said = f"{role} '{name}' has no record; {self._remedy(name, findings, or_clutch)}"
            findings.report(name.place, "unknown-animal", said)

    def _remedy(self, name: str, findings: Findings, or_clutch: bool) -> str:
        """What to do about an id that names no animal."""
        clutches, animals = shapes_of(self.of_kind("clutch")), tuple(self.of_kind("animal"))
        if clutch := missing_clutch(name, clutches, self.entries):
            return f"it reads like a young one of clutch {clutch}, which has no record either"
        if shape_of(name) in clutches and shape_of(name) not in shapes_of(animals):
            return "it reads like a clutch, but there is none of that id in clutches/"
        if near := findings.nearest(name, animals):
            return f"the nearest is '{near}'"
        names = {called: of for found in self.names.values() for of, called in found.items() if len(found) == 1}
        if near := findings.nearest(name, names):
            return f"the nearest is '{near}' ({names[near]})"
        return f"add a record for it in animals/{', or of the clutch in clutches/' if or_clutch else ''}"


def ids_in(record: Table, *, clutch: bool) -> Iterator[WrittenText]:
    """The ids, and the name, in a record that was read but does not fit its shape."""
    if isinstance(name := record.get("name"), WrittenText):
        yield name
    own, young = record.get("id"), record.get("young")
    if not isinstance(own, WrittenText):
        return
    yield own
    for item in young if clutch and isinstance(young, Items) else ():
        if isinstance(item, Table) and isinstance(item.get("id"), WrittenText):
            yield item["id"]
        elif isinstance(item, WrittenText) and (number := _NUMBER.match(item)):
            yield own.part(f"{own}-{int(number[0])}", 0)


_JOINED = frozenset(AnimalFacts.fields()) - {"was"}


class AnimalDraft(Struct):
    """Everything written of one animal, before any name in it was looked up."""

    id: str
    place: Place
    own: AnimalRecord | None = None
    prose: str = ""
    young: YoungRecord | None = None
    clutch: ClutchRecord | None = None

    @property
    def records(self) -> tuple[AnimalRecord | YoungRecord, ...]:
        """Its own record, and the one in its clutch."""
        return tuple(record for record in (self.own, self.young) if record is not None)

    @property
    def birth(self) -> AnimalRecord | ClutchRecord | None:
        """The record that says when it hatched, and of whom."""
        return self.clutch or self.own

    @property
    def was(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(str(name) for record in reversed(self.records) for name in record.was))


class ClutchDraft(Struct):
    """Everything written of one clutch: its record, the prose of its file, and its young."""

    record: ClutchRecord
    prose: str
    young: list[AnimalDraft] = field(default_factory=list)


def parents_named(birth: AnimalRecord | ClutchRecord | None) -> tuple[WrittenText, ...]:
    """The parents that a record names, the dam first."""
    if birth is None:
        return ()
    sire = birth.sire
    fathers = [name for name, _ in (*sire.one_of, *sire.mixed)] if isinstance(sire, SireRecord) else [sire and sire.id]
    return tuple(name for name in (birth.dam and birth.dam.id, *fathers) if name is not None)


def with_parents_by_id(record: AnimalRecord | ClutchRecord, register: Register) -> Any:
    """The record with its parents by their ids, where it has them by name or in another case; what leads nowhere stays."""
    found: dict[str, Any] = {}
    for role in ("sire", "dam"):
        parent = getattr(record, role)
        if isinstance(parent, SireRecord):
            several = {
                key: tuple((_id_of(name, register), chance) for name, chance in getattr(parent, key))
                for key in ("one_of", "mixed")
            }
            found[role] = parent.but(**several)
        elif parent is not None and parent.id is not None:
            found[role] = parent.but(id=_id_of(parent.id, register))
    return record.but(**found)


def _id_of(name: WrittenText, register: Register) -> WrittenText:
    entry = register.find(name)
    return name if entry is None or entry.kind == "broken" else name.part(entry.id, 0)


def refuse_shows_and_looks(record: SeenRecord, findings: Findings) -> None:
    if {"shows", "looks"} <= record.written:
        said = "`shows` and `looks` stand side by side; put every reading into `looks`"
        findings.report(record.at.key("looks"), "shows-and-looks", said)


def joined(draft: AnimalDraft, findings: Findings) -> AnimalFacts:
    """What both records say, as one; where they contradict, the clutch's stays and the other is reported."""
    at = Mark(draft.place)
    values: dict[str, Any] = {}
    for record in reversed(draft.records):
        refuse_shows_and_looks(record, findings)
        for key in sorted(record.written & _JOINED):
            value, place = getattr(record, key), record.at.value(key)
            held = at.values.setdefault(key, place)
            if not _same(key, values.setdefault(key, value), value):
                remedy = "write it in one place, or the same in both (`corrections` tells what it was)"
                if key == "shows":
                    remedy = "a later reading goes into `looks:` with its date"
                said = f"`{key}` says something else in {held.file}, line {held.line}; {remedy}"
                findings.report(place, "two-values", said)
    if draft.own is not None and draft.clutch is not None:
        _check_birth(draft.own, draft.clutch, findings)
    return AnimalFacts(at=at, **values)


def _same(key: str, first: Any, second: Any) -> bool:
    if key in ("shows", "without", "cannot_tell"):
        return sorted(map(one_case, first)) == sorted(map(one_case, second))
    return bool(first == second)


def _check_birth(own: AnimalRecord, clutch: ClutchRecord, findings: Findings) -> None:
    """Birth facts of an animal that stands in a clutch belong to the clutch."""
    days = [(day.first, day.last) for day in (own.hatched, clutch.hatched) if day is not None]
    only = clutch.sire.one_of[0][0] if len(clutch.sire.one_of) == 1 else None
    differs = {
        "hatched": len(set(days)) > 1,
        "dam": own.dam is not None and (own.dam.id is None or own.dam.id != clutch.dam.id),
        "sire": own.sire is not None and (own.sire.id is None or own.sire.id != only),
    }
    for key in (key for key in differs if differs[key]):
        place = clutch.at.value(key)
        said = f"`{key}` says something else in {place.file}, line {place.line}; it stands in the clutch, so leave it out here"
        findings.report(own.at.value(key), "two-values", said)


_YOUNG = re.compile(r"(?P<clutch>.+)-[0-9]{1,3}")
_FROM_ELSEWHERE = ("bought", "trade", "loan")


def shape_of(name: str) -> str:
    """'A00-00' of 'C23-01'."""
    return "".join("A" if char.isalpha() else "0" if char.isdigit() else char for char in name)


def shapes_of(names: Iterable[str]) -> frozenset[str]:
    return frozenset(shape for shape in map(shape_of, names) if "0" in shape)


def missing_clutch(name: str, shapes: Container[str], taken: Container[str]) -> str | None:
    """The clutch that `name` reads like a young one of, when there is none of that id.

    `shapes`: those of the clutches on record. `taken`: every id on record, in small letters.
    """
    young = _YOUNG.fullmatch(name)
    if young is None or young["clutch"].casefold() in taken or shape_of(young["clutch"]) not in shapes:
        return None
    return young["clutch"]


def check_missing_clutches(
    drafts: Iterable[AnimalDraft], clutches: Iterable[str], taken: Container[str], findings: Findings
) -> None:
    """Warns of animals without parents on record whose present or earlier id is that of a hatchling of no clutch on record."""
    shapes = shapes_of(clutches)
    for draft in drafts:
        own = draft.own
        if own is None or draft.clutch is not None or own.sire is not None or own.dam is not None:
            continue
        if own.status == "elsewhere" or (own.came is not None and own.came.how in _FROM_ELSEWHERE):
            continue
        for name in (own.id, *own.was):
            if clutch := missing_clutch(name, shapes, taken):
                said = (
                    f"'{name}' reads like a young one of clutch {clutch}, which has no record; if it hatched here, write its `sire`"
                    " and `dam`, or put the clutch's file back if one was lost; if it came from elsewhere, write `came: {how: bought}`"
                )
                findings.report(name.place, "clutch-missing", said)
                break


class Known:
    """What names in the private side, in the log and on the command line are looked up in.

    Without a collection (its own records have errors) ids are looked for in the register only, so that no mistake is told twice.
    Without either every id is taken as it stands.
    """

    def __init__(self, collection: Collection | None, register: Register | None = None) -> None:
        self.collection = collection
        self.unread = collection is None and register is None
        self.register = register or Register() if collection is None else Register.of(collection)

    def animal(self, name: WrittenText, findings: Findings, *, or_clutch: bool = False) -> str | None:
        """The present id of an animal; None, with a problem, when there is none. `or_clutch`: it may be meant as that of a clutch."""
        entry = self.register.find(name)
        if self.unread or (entry is not None and self.collection is None):
            return str(name)
        if entry is not None and entry.kind != "clutch":
            return entry.now
        if entry is not None:
            findings.report(name.place, "not-an-animal", f"'{name}' is a clutch; name one animal of it, or its dam")
        else:
            self.register.report_unknown("animal", name, findings, or_clutch=or_clutch)
        return None

    def as_written(self, name: str) -> str:
        """The id that a record gets for what was typed; the same text where that leads nowhere, to be reported there."""
        entry = self.register.find(name)
        return name if entry is None else entry.now

    def animals(self, names: Iterable[WrittenText], findings: Findings) -> tuple[str, ...]:
        """As `animal`, for several; the unknown ones are left out."""
        found = [self.animal(name, findings) for name in names]
        return tuple(dict.fromkeys(name for name in found if name is not None))

    def names(self, name: str) -> bool:
        """Whether something is called so, by an id or a name."""
        return self.register.find(name) is not None or bool(self.register.ids_called(name))

    def taken(self, name: str) -> bool:
        """Whether an animal or a clutch has, or had, that id, in any case."""
        return name.casefold() in self.register.entries

    def clutch(self, name: str) -> Clutch | None:
        """A clutch by its id or name, whatever the case."""
        entry = self.register.find(name)
        return None if self.collection is None or entry is None else self.collection.clutches.get(entry.now)

    def record(self, animal: str | None) -> Animal | None:
        return None if self.collection is None or animal is None else self.collection.animals.get(animal)


def animals_called(collection: Collection, names: Iterable[str]) -> tuple[str, ...]:
    """The present ids of animals as they were typed. Raises RecordsError, with every one that is not known, or when there is none."""
    findings = Findings()
    found = Known(collection).animals([WrittenText.at(name, COMMAND_LINE) for name in names], findings)
    if findings.problems:
        raise RecordsError(findings.problems)
    if not found:
        raise RecordsError.at(COMMAND_LINE, "missing-key", "no animal is named; write its id or its name")
    return found


def animal_called(collection: Collection, name: str) -> Animal:
    """An animal as it was typed, or by the id that a parent without one has inside. Raises RecordsError when it is not known."""
    inside = collection.animals.get(name)
    return inside if inside is not None else collection.animals[animals_called(collection, [name])[0]]


def clutch_called(collection: Collection, name: str) -> Clutch:
    """A clutch as it was typed. Raises RecordsError when it is not known."""
    found = Known(collection).clutch(name)
    if found is None:
        remedy = or_nearest(name, collection.clutches, "`laid DAM` makes the record of a clutch")
        raise RecordsError.at(COMMAND_LINE, "unknown-clutch", f"'{name}' is no clutch on record{remedy}")
    return found


# ---- several in one breath


_RANGE = re.compile(r"(?P<stem>.*?)(?P<first>[0-9]{1,4})\s*(?:\.{2,3}|…)\s*(?P<again>.*?)(?P<last>[0-9]{1,4})")
MOST_AT_ONCE = 12
"""A range of more animals than this is asked about: a slip of one digit makes it so."""


def each(names: WrittenText, known: Known, findings: Findings) -> list[WrittenText]:
    """What is named, one by one; a range that is none is a problem. An id that reads like a range is an id.

    Between names stand commas, or blanks where the words are no name together and each of them, or each few of them, is one.
    """
    pieces = (one for name in names.pieces(re.compile(",")) for one in _apart(name, known))
    return [one for name in pieces for one in _each(name, known, findings)]


def _apart(name: WrittenText, known: Known) -> list[WrittenText]:
    """The names that blanks part, and the words between them that are none; the whole where there is no name among them."""
    rest, found, any_known = re.sub(r"\s*(\.{2,3}|…)\s*", r"\1", name).split(), [], False
    while rest:
        counts = range(len(rest), 0, -1)
        count = next(
            (n for n in counts if known.names(" ".join(rest[:n])) or (n == 1 and _RANGE.fullmatch(rest[0]))), 0
        )
        any_known |= count > 0
        found.append(name.part(" ".join(rest[: count or 1]), 0))
        rest = rest[count or 1 :]
    return found if any_known and len(found) > 1 else [name]


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
    all_ = [name.part(f"{found['stem']}{number:0{len(found['first'])}d}", 0) for number in range(first, last + 1)]
    strangers = [one for one in all_ if not known.taken(one)]
    clutch = known.clutch(found["stem"].removesuffix("-"))
    if strangers and clutch is not None and clutch.young:
        none = f"{', '.join(strangers)} {'is' if len(strangers) == 1 else 'are'} not among them"
        said = f"{clutch.id} has {len(clutch.young)} young, {clutch.young[0]} to {clutch.young[-1]}; {none}"
        findings.report(name.place, "unknown-animal", said)
        return
    yield from all_


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
