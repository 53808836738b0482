"""The load of each male in a winter: for how many females he is planned, whose turn is next, and what his seasons so far came to.

Conventions. Next is, of the females that he is planned for, that are with no other male now and that have not ovulated or laid, the one
with fewest locks with him since
the season's first of July, then the one he was with longest ago or never, then by id. A season runs from July to June. Eggs and slugs
count where he is the one recorded sire; clutches of several possible sires, and those whose eggs were not counted, are told apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from clutchlight.model import Collection
from clutchlight.model.private import Private
from clutchlight.planning.coming import Awaited
from clutchlight.planning.limits import Limit, male_limits
from clutchlight.planning.rotation import MaleAtWork, male_at_work, stays

_PAST_PAIRING = ("ovulation", "pre-lay shed", "laid", "slugs only")


@dataclass(frozen=True, slots=True)
class SeasonOfAMale:
    """One season of a male, named by the year it began in. `uncounted`: clutches of his whose eggs were not counted; `doubtful`: clutches
    that he or another sired."""

    began: int
    locks: int
    clutches: int
    eggs: int
    slugs: int
    uncounted: int
    doubtful: int


@dataclass(frozen=True, slots=True)
class Load:
    """The females that a male is planned for. `limit`: the most, and `sooner` whether it is that of a small or first-season male;
    `turn`: whose it is next, None where nobody waits."""

    male: str
    females: tuple[str, ...]
    limit: Limit | None
    sooner: bool
    turn: str | None
    seasons: tuple[SeasonOfAMale, ...]

    @property
    def over(self) -> bool:
        return self.limit is not None and len(self.females) > self.limit.value


def loads(collection: Collection, private: Private, awaited: Sequence[Awaited], day: date) -> tuple[Load, ...]:
    """The males of the clutches that are planned, those over their limit first, then those with most females, then by id."""
    females: dict[str, list[str]] = {}
    for one in awaited:
        for male in one.clutch.males if one.laid is None else ():
            females.setdefault(male, []).append(one.clutch.dam)
    found = [_load(collection, private, male, dams, day) for male, dams in females.items()]
    return tuple(sorted(found, key=lambda load: (not load.over, -len(load.females), load.male)))


def _load(collection: Collection, private: Private, male: str, dams: Sequence[str], day: date) -> Load:
    animal = collection.animals[male]
    at_work = male_at_work(animal, collection, private, tuple(dams), day)
    new = not any(row.event == "paired" for row in private.of(male)) and not collection.clutches_of.get(male)
    sooner = at_work.small or at_work.first_season or new
    limit = male_limits(collection.species[animal.species], private.rules).limit("females", sooner)
    return Load(
        male,
        tuple(dams),
        limit,
        sooner,
        _turn(private, at_work, dams, day),
        tuple(_seasons(collection, private, male, day)),
    )


def _turn(private: Private, male: MaleAtWork, dams: Sequence[str], day: date) -> str | None:
    since = date(season_of(day), 7, 1)
    rows = [row for row in private.of(male.animal) if since <= row.day <= day]
    waiting = []
    for dam in dams:
        own = (row for row in private.of(dam) if row.animal == dam and since <= row.day <= day)
        now = stays(private.of(dam), dam, day)[-1:]
        away = any(stay.open_ and stay.female != male.animal and since <= stay.first for stay in now)
        if dam == male.with_now or away or any(row.event in _PAST_PAIRING for row in own):
            continue
        locks = sum(row.event == "lock" and row.with_(male.animal) == dam for row in rows)
        last = max((row.day for row in rows if row.with_(male.animal) == dam), default=day - timedelta(days=10_000))
        waiting.append((locks, last, dam))
    return min(waiting)[2] if waiting else None


def season_of(day: date) -> int:
    """The year in which the season of a day began: it runs from July to June."""
    return day.year if day.month >= 7 else day.year - 1


def _seasons(collection: Collection, private: Private, male: str, day: date) -> Iterator[SeasonOfAMale]:
    clutches = [collection.clutches[name] for name in collection.clutches_of.get(male, ())]
    laid = [(season_of(one.laid.last), one) for one in clutches if one.laid is not None and one.laid.first <= day]
    locks = [season_of(row.day) for row in private.of(male) if row.event == "lock" and row.day <= day]
    for began in sorted({*locks, *(season for season, _ in laid)}):
        own = [one for season, one in laid if season == began and one.sires.certain == male]
        doubtful = sum(season == began for season, _ in laid) - len(own)
        yield SeasonOfAMale(
            began,
            locks.count(began),
            len(own),
            sum(one.eggs or 0 for one in own),
            sum(one.slugs for one in own),
            sum(one.eggs is None for one in own),
            doubtful,
        )
