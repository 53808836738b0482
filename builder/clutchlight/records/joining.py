"""Joins what a clutch's file and a file in animals/ say of one animal.

A clutch holds birth facts, a file in animals/ everything later; a key may stand in both only with equal values.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from clutchlight.model import When
from clutchlight.plaintext.findings import Findings
from clutchlight.plaintext.values import Mark, Text
from clutchlight.problems import Place
from clutchlight.records.evidence import Fact
from clutchlight.records.shapes import AnimalRecord, ClutchRecord, ParentRecord, YoungRecord

# Keys that are handled by themselves, not joined.
_APART = frozenset({"id", "number", "same_egg_as", "species", "sire", "dam", "hatched", "was"})


@dataclass(slots=True)
class Draft:
    """Everything written of one animal, before any name in it was looked up."""

    id: str
    place: Place
    own: AnimalRecord | None = None
    prose: str = ""
    young: YoungRecord | None = None
    clutch: ClutchRecord | None = None

    @property
    def was(self) -> tuple[str, ...]:
        written = (*(self.young.was if self.young else ()), *(self.own.was if self.own else ()))
        return tuple(dict.fromkeys(str(name) for name in written))


def joined(draft: Draft, findings: Findings) -> dict[str, Fact]:
    """The facts of both records, by key; where they contradict, the clutch's stays and the other is reported."""
    facts: dict[str, Fact] = {}
    for record in (draft.young, draft.own):
        if record is None:
            continue
        if {"shows", "looks"} <= record.written:
            findings.report(
                record.at.key("looks"),
                "shows-and-looks",
                "`shows` and `looks` stand side by side; put every reading into `looks`",
            )
        for key in sorted(record.written - _APART):
            fact = Fact(getattr(record, key), record.at.value(key))
            held = facts.setdefault(key, fact)
            if not _same(key, held.value, fact.value):
                remedy = (
                    "; a later reading goes into `looks:` with its date"
                    if key == "shows"
                    else "; write it in one place, or the same in both (`corrections` tells what it was)"
                )
                findings.report(
                    record.at.value(key),
                    "two-values",
                    f"`{key}` says something else in {held.place.file}, line {held.place.line}{remedy}",
                )
    if draft.own is not None and draft.clutch is not None:
        _check_birth(draft.own, draft.clutch, findings)
    return facts


def _same(key: str, first: Any, second: Any) -> bool:
    if key in ("shows", "without", "cannot_tell"):
        return _folded(first) == _folded(second)
    return bool(first == second)


def _folded(names: tuple[Text, ...]) -> list[str]:
    return sorted(" ".join(name.casefold().split()) for name in names)


def _check_birth(own: AnimalRecord, clutch: ClutchRecord, findings: Findings) -> None:
    """Birth facts of an animal that stands in a clutch belong to the clutch."""
    if own.hatched is not None and clutch.hatched is not None and not _same_day(own.hatched, clutch.hatched):
        _differs(own.at, "hatched", clutch, findings)
    if own.dam is not None and not _same_parent(own.dam, clutch.dam.id):
        _differs(own.at, "dam", clutch, findings)
    only = clutch.sire.one_of[0][0] if len(clutch.sire.one_of) == 1 else None
    if own.sire is not None and not _same_parent(own.sire, only):
        _differs(own.at, "sire", clutch, findings)


def _same_day(first: When, second: When) -> bool:
    return (first.first, first.last) == (second.first, second.last)


def _same_parent(parent: ParentRecord, other: Text | None) -> bool:
    return parent.id is not None and parent.id == other


def _differs(at: Mark, key: str, clutch: ClutchRecord, findings: Findings) -> None:
    place = clutch.at.value(key)
    findings.report(
        at.value(key),
        "two-values",
        f"`{key}` says something else in {place.file}, line {place.line}; it stands in the clutch, so leave it out here",
    )
