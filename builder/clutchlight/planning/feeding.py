"""Who has not eaten since when, and whom to feed: every animal of the room by its own habit, else by its species and age.

Conventions. Offered is a day with a meal, a refusal or feeding by hand in the log; eaten is a day with a meal. An animal's own interval is
the middle one of its last eight gaps between offers on known days, from three gaps on; else the longest that the species file has for its
age. It has not eaten for long after four of its own intervals, or after the `long_days` of its age, whichever is sooner. A hatchling is
first fed once it has shed, or once its first shed should be behind it. An animal that was cooled and not offered food since is not fed.
An animal of which no offer is logged for `LOG_ENDS_AFTER` may have eaten without a row: it is "quiet", and neither long without a meal nor
due. Where that holds of everybody, the log has ended.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from clutchlight.model import Animal, Collection, When
from clutchlight.model.private import LogRow, Private
from clutchlight.model.traits import natural
from clutchlight.planning.readiness import age_in_months, windows
from clutchlight.planning.rotation import MEALS, refusals_in_a_row
from clutchlight.reading.species_files import FeedingAtAge, FeedingFacts, fact_of

LOG_ENDS_AFTER = timedelta(days=45)
LONG_IN_MEALS = 4
_OFFERS = (*MEALS, "refused", "assisted")
_GAPS, _GAPS_NEEDED = 8, 3
_NEWLY = timedelta(days=60)
_FIRST_FEED_DAYS = 14
"""From hatching to the first feeding where the species file has no first shed."""


@dataclass(frozen=True, slots=True)
class Feeding:
    """One animal on one day. `days`: since its last meal, or, of a young one without any, since it hatched.

    Of an older one without a meal: since its first offer.

    `every`: days between feedings, by its own log (`own`) or by its species and age; None: not known. `longest`: its longest time
    between two meals before. `due`: the day of its next feeding. `long`: it has not eaten for long. `quiet`: nothing was logged for long.
    """

    animal: str
    last_meal: When | None
    days: int | None
    refused: int
    every: int | None
    own: bool
    longest: int | None
    due: date | None
    long: bool
    quiet: bool
    cooled: When | None
    source: str


@dataclass(frozen=True, slots=True)
class FeedingRound:
    """The room on one day. `last_row`: the last day on which anybody was offered food; `ended`: whether that is long ago.

    `silent`: animals of which no meal and no refusal is logged.
    """

    animals: tuple[Feeding, ...]
    silent: tuple[str, ...]
    last_row: When | None
    ended: bool

    @property
    def quiet(self) -> tuple[Feeding, ...]:
        """Those whose own log has ended though that of the room has not."""
        return tuple(one for one in self.animals if one.quiet and not self.ended)

    @property
    def long(self) -> tuple[Feeding, ...]:
        return tuple(one for one in self.animals if one.long)

    def due_by(self, day: date) -> tuple[Feeding, ...]:
        """Those to feed by a day, the longest due first."""
        found = [one for one in self.animals if one.due is not None and one.due <= day]
        return tuple(sorted(found, key=lambda one: (one.due or day, natural(one.animal))))


def feeding_round(collection: Collection, private: Private, day: date) -> FeedingRound:
    """Every animal of the room, the longest without a meal first, then by id."""
    rows: dict[str, list[LogRow]] = {}
    for row in private.log:
        if row.day <= day and row.event in (*_OFFERS, "cooled", "warmed", "first shed", "shed"):
            rows.setdefault(row.animal, []).append(row)
    offers = [row.on for found in rows.values() for row in found if row.event in _OFFERS]
    last_row = max(offers, key=lambda when: when.last, default=None)
    ended = last_row is None or day - last_row.last > LOG_ENDS_AFTER
    found, silent = [], []
    for animal in collection.animals.values():
        if not animal.here or (animal.hatched is not None and animal.hatched.first > day):
            continue
        own = rows.get(animal.id, [])
        if not any(row.event in _OFFERS for row in own) and not _newly_hatched(animal, day):
            silent.append(animal.id)
        else:
            found.append(_of(animal, own, collection, private, day, ended=ended))
    found.sort(key=lambda one: (-(one.days if one.days is not None else -1), natural(one.animal)))
    return FeedingRound(tuple(found), tuple(sorted(silent, key=natural)), last_row, ended)


def _newly_hatched(animal: Animal, day: date) -> bool:
    """Whether its first meals are to come; of an older one without a row nobody logs meals."""
    return animal.hatched is not None and animal.hatched.exact and timedelta(0) <= day - animal.hatched.last <= _NEWLY


def _of(
    animal: Animal, rows: Sequence[LogRow], collection: Collection, private: Private, day: date, *, ended: bool
) -> Feeding:
    meals = [row for row in rows if row.event in MEALS]
    offers = [row for row in rows if row.event in _OFFERS]
    last_meal = max((row.on for row in meals), default=None)
    first_offer = min((row.on for row in offers), default=None)
    fed_since = last_meal or (animal.hatched if _newly_hatched(animal, day) else first_offer)
    days = (day - fed_since.last).days if fed_since is not None else None
    usual = usual_feeding(animal, collection, day)
    habit = _middle_gap(offers)
    every = habit or (usual.every_days.last if usual else None)
    after = [LONG_IN_MEALS * habit] if habit else []
    after += [usual.long_days] if usual else []
    cooled = _cooled(rows)
    quiet = cooled is None and bool(offers) and day - max(row.day for row in offers) > LOG_ENDS_AFTER
    concluding = cooled is None and not ended and not quiet
    facts = fact_of(collection.species.get(animal.species), FeedingFacts)
    return Feeding(
        animal=animal.id,
        last_meal=last_meal,
        days=days,
        refused=refusals_in_a_row(rows, animal.id, day),
        every=every,
        own=habit is not None,
        longest=max((gap for gap in _gaps(meals)), default=None),
        due=_next(animal, offers, rows, every, collection, private) if concluding else None,
        long=concluding and days is not None and bool(after) and days >= min(after),
        quiet=quiet,
        cooled=cooled,
        source=facts.source if facts is not None else "",
    )


def usual_feeding(animal: Animal, collection: Collection, day: date) -> FeedingAtAge | None:
    """What the species file has for its age; for a grown one where its age is not known."""
    facts = fact_of(collection.species.get(animal.species), FeedingFacts)
    age = age_in_months(animal.hatched, day)
    if facts is None or not facts.by_age:
        return None
    if age is not None:
        for one in facts.by_age:
            if one.until_months is not None and age < one.until_months:
                return one
    return facts.by_age[-1]


def _gaps(rows: Iterable[LogRow]) -> list[int]:
    days = sorted({row.day for row in rows if row.on.exact})
    return [(after - before).days for before, after in pairwise(days)]


def _middle_gap(offers: Iterable[LogRow]) -> int | None:
    gaps = _gaps(offers)[-_GAPS:]
    return sorted(gaps)[len(gaps) // 2] if len(gaps) >= _GAPS_NEEDED else None


def _cooled(rows: Sequence[LogRow]) -> When | None:
    """Since when it is cooled; None once it was warmed, or offered food again."""
    last = next((row for row in reversed(rows) if row.event in (*_OFFERS, "cooled", "warmed")), None)
    return last.on if last is not None and last.event == "cooled" else None


def _next(
    animal: Animal,
    offers: Sequence[LogRow],
    rows: Sequence[LogRow],
    every: int | None,
    collection: Collection,
    private: Private,
) -> date | None:
    if offers:
        return max(row.day for row in offers) + timedelta(days=every) if every else None
    if animal.hatched is None:
        return None
    shed = [row.day for row in rows if row.event in ("first shed", "shed")]
    if shed:
        return max(shed)
    species = collection.species.get(animal.species)
    steps = [
        one.last
        for one in (windows(species, private.rules) if species else ())
        if (one.after, one.comes) == ("hatched", "first shed")
    ]
    return animal.hatched.last + timedelta(days=max(steps, default=_FIRST_FEED_DAYS))
