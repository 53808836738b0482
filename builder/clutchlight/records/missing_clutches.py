"""Ids that read like a clutch's, or like those of its young, although no clutch has that id: its file may be gone.

An id reads like a clutch's when it has the shape of one on record, letters for letters and digits for digits: C23-01 like C24-03.
Clutches called by letters alone have no such shape: beside a clutch A, the animal F-01 is no young one of a clutch F.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Iterable

from clutchlight.plaintext.findings import Findings
from clutchlight.records.joining import Draft

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


def as_missing_clutch(name: str, clutches: Iterable[str], animals: Iterable[str], taken: Container[str]) -> str | None:
    """What to say of an unknown id that reads like a clutch's or a hatchling's; None when it does not."""
    shapes = shapes_of(clutches)
    clutch = missing_clutch(name, shapes, taken)
    if clutch is not None:
        return f"it reads like a young one of clutch {clutch}, which has no record either"
    if shape_of(name) in shapes and shape_of(name) not in shapes_of(animals):
        return "it reads like a clutch, but there is none of that id in clutches/"
    return None


def remedy_for_unknown(
    name: str,
    clutches: Iterable[str],
    animals: Iterable[str],
    taken: Container[str],
    nearest: Callable[[str, Iterable[str]], str | None],
) -> str:
    """What to do about an id that names no animal. `nearest`: how the one that looks most like it is found."""
    known = tuple(animals)
    missing = as_missing_clutch(name, clutches, known, taken)
    if missing is not None:
        return missing
    near = nearest(name, known)
    return f"the nearest is '{near}'" if near else "add a record for it in animals/"


def check_missing_clutches(
    drafts: Iterable[Draft], clutches: Iterable[str], taken: Container[str], findings: Findings
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
            clutch = missing_clutch(name, shapes, taken)
            if clutch is not None:
                findings.report(
                    name.place,
                    "clutch-missing",
                    f"'{name}' reads like a young one of clutch {clutch}, which has no record; put that file back,"
                    " or say with `came` where the animal is from",
                )
                break
