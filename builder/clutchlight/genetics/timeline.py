"""When the records of one species began to count: its events in order, and what counts of each animal from which of them on.

Symbols    a moment m counts the events that have happened: 0 is before everything, `len(events)` is now.
Order      undated looks and all claims stand before everything; then by date, hatchings, looks read again, tests, claims
           withdrawn; then by id. A look read again replaces the earlier one.
Cost       a pass over the records.
Source     figures#evidence.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from operator import itemgetter
from typing import TypeVar

from msgspec import Struct, field
from msgspec.structs import replace

from clutchlight.genetics.pedigree import Pedigree
from clutchlight.genetics.values import Event, EventKind
from clutchlight.model import Animal, Claim, Collection, LabTest, Reading, When
from clutchlight.model.traits import grouped

_RANK: dict[EventKind, int] = {"hatching": 0, "look": 1, "test": 2, "withdrawn": 3}


Record = TypeVar("Record")
Dated = tuple[int, Record]
"""A record of an animal with the moment from which it counts."""


class EvidenceTimeline(Struct, frozen=True):
    """The events of a species in order, and for each animal what counts from which moment.

    `touched[m]`: the eggs whose evidence changes at event m. `born[egg]`: the moment from which its birth counts.
    """

    events: tuple[Event, ...]
    readings: Mapping[str, tuple[Dated[Reading], ...]]
    tests: Mapping[str, tuple[Dated[LabTest], ...]]
    claims: Mapping[str, tuple[tuple[Claim, int | None], ...]]
    born: tuple[int, ...]
    touched: tuple[tuple[int, ...], ...]
    moment_of: Mapping[Event, int] = field(default_factory=dict)

    @property
    def now(self) -> int:
        return len(self.events)

    def of(self, number: Mapping[int, int]) -> EvidenceTimeline:
        """The same events for the eggs that are numbered, by these numbers."""
        touched = tuple(tuple(number[egg] for egg in eggs if egg in number) for eggs in self.touched)
        return replace(self, born=tuple(self.born[egg] for egg in number), touched=touched)

    def of_now(self) -> EvidenceTimeline:
        """What counts now, as if it had from the beginning: no event."""
        now = self.now
        return EvidenceTimeline(
            (),
            {ident: ((0, rows[-1][1]),) for ident, rows in self.readings.items()},
            {ident: tuple((0, test) for _, test in rows) for ident, rows in self.tests.items()},
            {ident: tuple(one for one in rows if one[1] is None) for ident, rows in self.claims.items()},
            tuple(0 if born <= now else 1 for born in self.born),
            (),
        )

    def moment(self, day: date) -> int:
        """The moment after every event dated on or before `day`."""
        return bisect_right(self.events, day, key=lambda event: event.on)

    def hatched(self, egg: int) -> int:
        """The moment after every event dated on or before the day of an egg's hatching; the beginning when no day is known."""
        born = min(self.born[egg], self.now)
        return self.moment(self.events[born - 1].on) if born else 0


def timeline_of(collection: Collection, pedigree: Pedigree) -> EvidenceTimeline:
    """Puts the dated evidence of one species in order. Evidence after `collection.until` is left out."""
    last = collection.until or date.max
    found: dict[Event, dict[int, None]] = {}

    def noted(kind: EventKind, on: date, subject: str, egg: int) -> Event | None:
        if on > last:
            return None
        event = Event(on, _RANK[kind], subject, kind)
        found.setdefault(event, {})[egg] = None
        return event

    readings: list[tuple[str, Event | None, Reading]] = []
    tests: list[tuple[str, Event, LabTest]] = []
    claims: list[tuple[str, Event | None, Claim]] = []
    births: dict[int, Event | None] = {}
    never: set[int] = set()
    for egg in pedigree.eggs:
        if egg.counted is not None:
            clutch = collection.clutches[pedigree.clutch_of(egg)]
            birth = noted("hatching", clutch.hatched.last, clutch.id, egg.number) if clutch.hatched else None
            births[egg.number] = birth
            if birth is None:
                never.add(egg.number)
        for ident in egg.animals:
            animal = collection.animals[ident]
            when = _when_hatched(collection, animal)
            birth = noted("hatching", when.last, animal.clutch or ident, egg.number) if when is not None else None
            births[egg.number] = birth
            if birth is None and when is not None:
                never.add(egg.number)
                continue
            for reading in animal.readings:
                if reading.on is None or (birth is not None and reading.on.last <= birth.on):
                    readings.append((ident, birth, reading))
                elif event := noted("look", reading.on.last, ident, egg.number):
                    readings.append((ident, event, reading))
            for test in animal.tests:
                if event := noted("test", test.on.last, ident, egg.number):
                    tests.append((ident, event, test))
            for claim in animal.claims:
                gone = noted("withdrawn", claim.withdrawn.last, ident, egg.number) if claim.withdrawn else None
                claims.append((ident, gone, claim))
    events = tuple(sorted(found))
    moment_of = {event: index + 1 for index, event in enumerate(events)}
    later = len(events) + 1

    def in_order(drafts: Iterable[tuple[str, Event | None, Record]]) -> Mapping[str, tuple[Dated[Record], ...]]:
        rows = ((ident, (moment_of[event] if event else 0, record)) for ident, event, record in drafts)
        return {ident: tuple(sorted(own, key=itemgetter(0))) for ident, own in grouped(rows).items()}

    return EvidenceTimeline(
        events,
        in_order(readings),
        in_order(tests),
        grouped((ident, (claim, moment_of[gone] if gone else None)) for ident, gone, claim in claims),
        tuple(
            later if egg.number in never else moment_of[event] if (event := births.get(egg.number)) else 0
            for egg in pedigree.eggs
        ),
        tuple(tuple(found[event]) for event in events),
        moment_of,
    )


def _when_hatched(collection: Collection, animal: Animal) -> When | None:
    """None where no day is known, or where its hatching tells nothing, it being a founder."""
    if animal.founder:
        return None
    return collection.clutches[animal.clutch].hatched if animal.clutch else animal.hatched


def changing(timeline: EvidenceTimeline, by_moment: Sequence[frozenset[tuple[int, int]]]) -> EvidenceTimeline:
    """The events with the founders whose weights each changes besides; `by_moment`: at which places they are others than usual."""
    touched = [
        tuple(dict.fromkeys((*own, *sorted({egg for _, egg in by_moment[event] ^ by_moment[event + 1]}))))
        for event, own in enumerate(timeline.touched)
    ]
    return replace(timeline, touched=tuple(touched))
