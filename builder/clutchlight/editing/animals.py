"""`died` and `moved`: how an animal left and came back → `left` in its own record.

A young one that stands only in the file of its clutch, which holds birth facts, gets a file of its own in animals/. A loan is written with
its last day, which the site may tell, and under `private` with whom, which it may not. Coming back adds `back` to what stands there.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import NamedTuple

from clutchlight.editing.adding import check_keys, composed, keys_into, put_in, standing
from clutchlight.editing.writing import Original, Value, WrittenFile, cannot_write, create, flow, item
from clutchlight.model import Animal, Collection
from clutchlight.problems import COMMAND_LINE, RecordsError
from clutchlight.reading.text import Items, Table

_BACK = {"loan": "moved {} --back", "sold": "returned {}"}
"""By how it left, the command that says that it came back."""


def refuse_absent(collection: Collection, name: str, on: date) -> Animal:
    """The animal, where it can leave on a day. Raises RecordsError of one that is gone, was never here, or is not hatched yet."""
    animal = collection.animals[name]
    if animal.away is not None:
        since = f" ({animal.away.on})" if animal.away.on else ""
        remedy = _BACK.get(animal.away.how)
        back = f"; if it is here again, write `{remedy.format(name)}` first" if remedy else ""
        said = f"'{name}' left already: {animal.away.how}{since}{back}"
        raise RecordsError.at(COMMAND_LINE, "cannot-write", said)
    if animal.status == "elsewhere":
        said = f"'{name}' was never here: its status is `elsewhere`"
        raise RecordsError.at(COMMAND_LINE, "cannot-write", said)
    if animal.hatched is not None and on < animal.hatched.first:
        raise RecordsError.at(
            COMMAND_LINE,
            "dates-out-of-order",
            f"{on} is before '{name}' hatched ({animal.hatched}); say another day with --on",
        )
    return animal


def write_died(folder: Path, collection: Collection, animals: Sequence[str], *, on: date) -> list[WrittenFile]:
    """Writes that animals died. Raises RecordsError, and writes nothing, on any doubt."""
    left: Mapping[str, Value] = {"left": {"how": "died", "on": on.isoformat()}}
    return _write(folder, [_leaving(refuse_absent(collection, name, on), left) for name in animals])


def _leaving(animal: Animal, left: Mapping[str, Value]) -> _Step:
    """`left`, or what it was `then` where a loan that is over stands there."""
    over = animal.left is not None and animal.left.back is not None and has_own_record(animal)
    return _Step(animal, {"then": left["left"]}, inside="left") if over else _Step(animal, left)


def write_lent(
    folder: Path, collection: Collection, animals: Sequence[str], *, on: date, keeper: str | None, until: date | None
) -> list[WrittenFile]:
    """Writes that animals went out on loan."""
    if until is not None and until < on:
        raise RecordsError.at(COMMAND_LINE, "dates-out-of-order", f"{until} is before {on}; correct one of the days")
    term = {"until": until.isoformat()} if until else {}
    left: Mapping[str, Value] = {"left": {"how": "loan", "on": on.isoformat(), **term}}
    shared: Mapping[str, Value] = {"shared": {"with": keeper, "since": on.isoformat(), **term}} if keeper else {}
    steps: list[_Step] = []
    for name in animals:
        animal = refuse_absent(collection, name, on)
        if not has_own_record(animal):
            steps.append(_Step(animal, {**left, "private": shared} if shared else left))
            continue
        steps.append(_leaving(animal, left))
        if shared:
            private = "private" in _record(standing(folder, animal.place.file), animal)
            steps.append(_Step(animal, shared, inside="private") if private else _Step(animal, {"private": shared}))
    return _write(folder, steps)


def write_back(folder: Path, collection: Collection, animals: Sequence[str], *, on: date) -> list[WrittenFile]:
    """Writes that animals came back from a loan."""
    steps: list[_Step] = []
    for name in animals:
        animal, left = collection.animals[name], collection.animals[name].left
        if left is None or animal.away is not left or left.how != "loan" or not has_own_record(animal):
            said = f"'{name}' is not out on loan by its record in animals/; `returned` is for what was sold"
            raise RecordsError.at(COMMAND_LINE, "cannot-write", said)
        if left.on is not None and on < left.on.first:
            said = f"{on} is before '{name}' left ({left.on}); say another day with --on"
            raise RecordsError.at(COMMAND_LINE, "dates-out-of-order", said)
        steps.append(_Step(animal, {"back": on.isoformat()}, inside="left"))
    return _write(folder, steps)


class _Step(NamedTuple):
    """Keys to add to an animal's record, or to what stands `inside` one of its keys, below each `then` there."""

    animal: Animal
    keys: Mapping[str, Value]
    inside: str | None = None


def _write(folder: Path, steps: Sequence[_Step]) -> list[WrittenFile]:
    """All of it is tried before any of it is written; each step goes by the file as the one before left it."""
    for step in steps:
        if has_own_record(step.animal):
            _planned(standing(folder, step.animal.place.file), step)
    made: list[WrittenFile] = []
    for step in steps:
        if has_own_record(step.animal):
            found = standing(folder, step.animal.place.file)
            made.append(put_in(folder, found, *_planned(found, step)))
        else:
            made.append(create(folder, f"animals/{step.animal.id}.yaml", item({"id": step.animal.id, **step.keys})))
    return made


def _planned(found: Original, step: _Step) -> tuple[int, str]:
    record, file = _record(found, step.animal), found.file
    table = record if step.inside is None else record.get(step.inside)
    while isinstance(table, Table) and "then" in table:
        table = table["then"]
    if not isinstance(table, Table):
        said = f"`{step.inside}` of '{step.animal.id}' is no group of keys in braces; write `{flow(step.keys)}` there by hand"
        raise cannot_write(file, said, step.animal.place.line)
    for key in step.keys:
        if key in table:
            said = f"`{key}` of '{step.animal.id}' says something already; write `{key}: {flow(step.keys[key])}` in its place by hand"
            raise cannot_write(file, said, table.mark.values[key].line)
    at, text = keys_into(found, table.mark.place, step.keys)
    check_keys(found, at, text, table.mark.place, step.keys)
    return at, text


def has_own_record(animal: Animal) -> bool:
    """Whether it has a record in animals/; else it stands in the file of its clutch alone."""
    return animal.place.file.startswith("animals/")


def _record(found: Original, animal: Animal) -> Table:
    root, _, _ = composed(found.text, found.file)
    records = root if isinstance(root, Items) else [root]
    for record in records:
        if isinstance(record, Table) and record.get("id") == animal.id:
            return record
    raise cannot_write(found.file, f"'{animal.id}' does not stand here any more")
