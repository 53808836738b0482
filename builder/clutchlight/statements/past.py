"""All that pages tell of the past: changes of figures, timelines, and dated records as they read today."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from clutchlight.model.ledger import Ledger
from clutchlight.statements.asking import Inferred
from clutchlight.statements.changes import Changes, changes_of
from clutchlight.statements.dated_records import Reread, reread
from clutchlight.statements.telling import Telling
from clutchlight.statements.timelines import TimelineRow, animal_timeline, clutch_timeline
from clutchlight.statements.values import Statements


@dataclass(frozen=True)
class Past:
    """By id of animal or clutch. `last_day`: of the newest evidence. `records`: how many dated ones; `head`: of their chain."""

    changes: Changes = field(default_factory=lambda: Changes({}, ()))
    animals: Mapping[str, tuple[TimelineRow, ...]] = field(default_factory=dict)
    clutches: Mapping[str, tuple[TimelineRow, ...]] = field(default_factory=dict)
    dated: Mapping[str, tuple[Reread, ...]] = field(default_factory=dict)
    last_day: date | None = None
    records: int = 0
    head: str | None = None


NO_PAST = Past()


def past_of(
    inferred: Inferred, statements: Statements, ledger: Ledger, version: str, telling: Telling | None = None
) -> Past:
    """The past of a collection as its present records tell it; dated records after `collection.until` are left out.

    `telling`: of the same inference, when it has been asked already.
    """
    until = inferred.collection.until
    standing = ledger if until is None else Ledger(tuple(row for row in ledger.records if row.on <= until))
    telling = telling or Telling(inferred, {})
    changes = changes_of(inferred, statements, telling)
    collection = inferred.collection
    return Past(
        changes=changes,
        animals={
            animal.id: animal_timeline(telling, animal, changes)
            for animal in collection.animals.values()
            if animal.publish == "page" and not animal.nameless
        },
        clutches={clutch.id: clutch_timeline(telling, clutch, changes) for clutch in collection.clutches.values()},
        dated=reread(inferred, standing, version),
        last_day=inferred.events[-1].on if inferred.events else None,
        records=len(standing.records),
        head=standing.head,
    )
