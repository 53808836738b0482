"""Males in rotation: with which females, how often, with what rest, what scale and feeding log say; for how many each is planned, whose
turn is next, and what his seasons so far came to.

Conventions. A lock of two whom the log does not have together is a pairing too: where one was seen, they were. It goes on while a lock is
logged each day, and nothing says that she is with him still. Work is a pairing in which a lock was seen; where none of his is logged in his
season, every pairing is. "In 7 days" means the day itself and the six before it. The season of a male is that of the room, from July to
June, from his first pairing in it; pairings that lead up to it without a gap of more than 90 days are of it, too. It is his first when
nothing was paired before it and no clutch of his is on record from before. Rest is counted in whole days from one parting to the next
pairing (without a `parted` row, from the pairing itself or the last lock seen in it). Days out on loan are no rest, since what he did there
is not in the log: it is counted from his return. The weight is compared with the last one on or before the first pairing of his season,
else with the first one in it. Flags say what was seen and by which limit; they name no cause.

Next is, of the females that a plan puts with him (not as a backup; those whose plan has begun before others), that are with no other male
now and that have not ovulated or laid, the one with fewest locks with him since the season's first of July, then the one he was with
longest ago or never, then by id. Eggs and slugs count where he is the one sire that what hatched leaves; clutches of several possible
sires, and those whose eggs were not counted, are told apart.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence, Set
from datetime import date, timedelta
from fractions import Fraction
from itertools import takewhile
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.model import Animal, Collection, Recorded, Sire, When
from clutchlight.model.private import LAYINGS, MEALS, PAIR_EVENTS, TOGETHER, LogRow, Private
from clutchlight.model.traits import grouped
from clutchlight.planning.readiness import (
    NOBODY_LAID,
    Laid,
    Limit,
    cautions,
    days_laid,
    male_limits,
    weight_on,
)
from clutchlight.planning.room import open_plans, plans_of_winter, season_of
from clutchlight.planning.winter import ComingClutch

GAP_BETWEEN_SEASONS = timedelta(days=90)

PossibleSires = Callable[[str], Sequence[Sire]]
"""Of a clutch."""

FlagKind = Literal["pairings", "in a row", "rest", "weight", "refusals"]


class Flag(Struct, frozen=True):
    """Something to look at, and the limit it goes by. `sooner`: the limit for small and first-season males."""

    kind: FlagKind
    limit: Limit
    sooner: bool


class Visits(Struct, frozen=True):
    """One female of his season: pairings, locks, and the last day she was with him."""

    female: str
    pairings: int
    locks: int
    last: When


class MaleAtWork(Struct, frozen=True):
    """One male on one day. Weights in grams; `change_percent` below 0 is a loss; None: not known. `lent`: from when to when he was out on
    loan, where that reaches into the 30 days."""

    animal: str
    females: tuple[Visits, ...]
    planned: tuple[str, ...]
    with_now: str | None
    with_since: date | None
    pairings_7: int
    pairings_30: int
    worked_7: int
    days_in_a_row: int
    locks_30: int
    no_interest_30: int
    last_paired: When | None
    rested_days: int | None
    shortest_rest_30: int | None
    weight: Fraction | None
    weighed_on: When | None
    weight_before: Fraction | None
    weighed_before_on: When | None
    change_percent: Fraction | None
    refusals_in_a_row: int
    last_meal: When | None
    small: bool
    first_season: bool
    lent: tuple[When, When] | None = None
    flags: tuple[Flag, ...] = ()
    cautions: tuple[str, ...] = ()


def males_in_rotation(collection: Collection, private: Private, day: date) -> tuple[MaleAtWork, ...]:
    """Males paired in the 60 days to `day`, not parted since a pairing of this season, or named in a plan that is current; the most flagged
    first, then by id."""
    since = day - timedelta(days=60)
    plans = [plan for plan in open_plans(collection, private, day) if plan.current(day)]
    planned = grouped((male, plan.female) for plan in plans for male in plan.every_male)
    paired = [row for row in private.log if row.event in TOGETHER and since < row.day <= day]
    names = {*planned, *(name for row in paired for name in (row.animal, row.partner) if name is not None)}
    begun = [row for row in private.log if row.event == "paired" and date(season_of(day), 7, 1) <= row.day <= day]
    perhaps = {*names, *(name for row in begun for name in (row.animal, row.partner) if name is not None)}
    males = [male for name in perhaps if (male := collection.animals[name]).sex == "male" and male.here]
    found = [
        one
        for male in males
        if (one := male_at_work(male, collection, private, tuple(dict.fromkeys(planned.get(male.id, ()))), day))
        and (male.id in names or one.with_now)
    ]
    return tuple(sorted(found, key=lambda male: (-len(male.flags), male.animal)))


def refusals_in_a_row(rows: Sequence[LogRow], animal: str, day: date) -> int:
    """Refused meals since the last one taken."""
    fed = [row.event for row in rows if row.animal == animal and row.day <= day and row.event in ("refused", *MEALS)]
    return sum(1 for _ in takewhile("refused".__eq__, reversed(fed)))


def male_at_work(
    male: Animal, collection: Collection, private: Private, planned: tuple[str, ...], day: date
) -> MaleAtWork:
    """One male on one day. `planned`: the females that plans put with him."""
    rows = tuple(row for row in private.of(male.id) if row.day <= day)
    paired = pairings(rows)
    season = _season(paired, day)
    begins = season[0].day if season else None
    locks = [row for row in rows if row.event == "lock" and begins is not None and row.day >= begins]
    weights = [row for row in rows if row.animal == male.id and row.weight is not None]
    now = weight_on(weights, day)
    before = None if begins is None else weight_on(weights, begins) or next(iter(weights), None)
    change = None
    if now is not None and before is not None and now is not before and now.number and before.number:
        change = (now.number - before.number) / before.number * 100
    lent = [(went, back) for went, back in male.loans if back.last <= day]
    elsewhere = (Stay("", went.first, back.last, open_=False, parted=True) for went, back in lent)
    here = stays(rows, male.id, day, days_laid(collection, private))
    together = sorted((*here, *elsewhere), key=lambda stay: (stay.last, stay.first))
    now_together = together[-1] if together and together[-1].open_ else None
    if now_together:  # another male since ends it for her
        hers = stays(private.of(now_together.female), now_together.female, day)[-1:]
        now_together = now_together if all(stay.female == male.id for stay in hers) else None
    species = collection.species[male.species]
    first_season = begins is not None and len(season) == len(paired) and not _sired_before(collection, male.id, begins)
    weighed = [row.number for row in (before, now) if row is not None and row.number]
    below = male_limits(species, private.rules).get("small_below_g")
    small = below is not None and bool(weighed) and min(weighed) < below.value
    limits = male_limits(species, private.rules, small_or_first=small or first_season)
    all_locks = [row for row in rows if row.event == "lock"]
    by_locks = bool(locks) and not _far_beyond(paired, day, limits)
    worked = [row for row in paired if not by_locks or _locked(row, paired, all_locks, male.id)]
    busy = {(row.with_(male.id), row.day) for row in worked}
    rests = _rests(together, busy, day)
    at_work = MaleAtWork(
        animal=male.id,
        females=_visits(season, locks, rows, male.id),
        planned=planned,
        with_now=now_together.female if now_together else None,
        with_since=now_together.first if now_together else None,
        pairings_7=_within(paired, day, 7),
        pairings_30=_within(paired, day, 30),
        worked_7=_within(worked, day, 7),
        days_in_a_row=_in_a_row({row.day for row in (all_locks if by_locks else paired) if row.on.exact}, day),
        locks_30=_within(locks, day, 30),
        no_interest_30=_within([row for row in rows if row.event == "no interest"], day, 30),
        last_paired=paired[-1].on if paired else None,
        rested_days=0 if now_together else (day - together[-1].last).days if together and together[-1].parted else None,
        shortest_rest_30=min(rests, default=None),
        weight=now.number if now is not None else None,
        weighed_on=now.on if now is not None else None,
        weight_before=before.number if before is not None else None,
        weighed_before_on=before.on if before is not None else None,
        change_percent=change,
        refusals_in_a_row=refusals_in_a_row(rows, male.id, day),
        last_meal=max((row.on for row in rows if row.animal == male.id and row.event in MEALS), default=None),
        small=small,
        first_season=first_season,
        lent=next((loan for loan in lent if (day - loan[1].last).days < 30), None),
    )
    flags = _flags(at_work, limits)
    told = cautions(species, "weight") if any(flag.kind != "rest" for flag in flags) else ()
    return replace(at_work, flags=flags, cautions=told)


def pairings(rows: Sequence[LogRow]) -> list[LogRow]:
    """Each `paired` row, and each lock of two whom the log does not have together then, in order."""
    paired = {(row.on, frozenset((row.animal, row.partner))) for row in rows if row.event == "paired"}
    until: dict[frozenset[str | None], date] = {}
    found: list[LogRow] = []
    for row in rows:
        pair = frozenset((row.animal, row.partner))
        if row.event == "parted":
            until |= {other: min(last, row.day) for other, last in until.items() if pair - {None} <= other}
        if row.event not in TOGETHER:
            continue
        together = row.day <= until.get(pair, date.min) or (row.on, pair) in paired
        if row.event == "paired" or not together:
            found.append(row)
            until |= {other: min(last, row.day) for other, last in until.items() if other & pair - {None}}
        if row.event == "paired":
            until[pair] = date.max
        elif until.get(pair) != date.max:
            until[pair] = row.day + timedelta(days=1)
    return found


def _season(paired: Sequence[LogRow], day: date) -> list[LogRow]:
    """The pairings since the first of July, with those that led up to them, or to the day, without a long gap."""
    run: list[LogRow] = []
    for row in reversed(paired):
        since = run[-1].day if run else day
        if row.day < date(season_of(day), 7, 1) and since - row.day > GAP_BETWEEN_SEASONS:
            break
        run.append(row)
    return run[::-1]


def _sired_before(collection: Collection, male: str, begins: date) -> bool:
    bred = collection.bred_by(male)
    return any(male in clutch.sires.ids and (clutch.laid is None or clutch.laid.last < begins) for clutch in bred)


def _within(rows: Sequence[LogRow], day: date, days: int) -> int:
    return sum(day - timedelta(days=days) < row.day <= day for row in rows)


def _visits(season: Sequence[LogRow], locks: Sequence[LogRow], rows: Sequence[LogRow], male: str) -> tuple[Visits, ...]:
    found = []
    for female in sorted({other for row in season if (other := row.with_(male)) is not None}):
        paired, locked = (sum(row.with_(male) == female for row in some) for some in (season, locks))
        together = (row.on for row in rows if row.event in PAIR_EVENTS and row.with_(male) == female)
        found.append(Visits(female, paired, locked, max(together)))
    return tuple(found)


class Stay(Struct, frozen=True):
    """From pairing to parting with one female. `open_`: she is with him still; `parted`: the log says when she came out."""

    female: str
    first: date
    last: date
    open_: bool
    parted: bool = False


def stays(rows: Sequence[LogRow], male: str, day: date, laid: Laid = NOBODY_LAID) -> tuple[Stay, ...]:
    """His stays up to a day, in order, as far as their days are known.

    Without a `parted` row a stay ends where the next begins or when she lays, else on its own day or that of its last lock.
    """
    found: list[Stay] = []
    begun = set(pairings(rows))
    for row in rows:
        female = row.with_(male)
        if row.day > day or not row.on.exact:
            continue
        if row in begun and female is not None:
            if found and found[-1].open_:
                found[-1] = replace(found[-1], open_=False)
            found.append(Stay(female, row.day, row.day, open_=row.event == "paired"))
        elif row.event == "lock" and found and not found[-1].parted and female == found[-1].female:
            found[-1] = replace(found[-1], last=row.day)
        elif row.event == "parted" and found and not found[-1].parted and female in (None, found[-1].female):
            found[-1] = replace(found[-1], last=row.day, open_=False, parted=True)
    if found and any(found[-1].first <= on <= day for on in laid.get(found[-1].female, ())):
        found[-1] = replace(found[-1], open_=False)
    return tuple(found)


def _locked(pairing: LogRow, paired: Sequence[LogRow], locks: Sequence[LogRow], male: str) -> bool:
    """Whether a lock was seen in a pairing, before he was paired again."""
    female = pairing.with_(male)
    after = min((row.day for row in paired if row.day > pairing.day), default=date.max)
    return any(row.with_(male) == female and pairing.day <= row.day < after for row in locks)


def _in_a_row(days: Set[date], day: date) -> int:
    """The longest run of days of work that reaches into the last seven."""
    longest = 0
    for back in range(7):
        last, run = day - timedelta(days=back), 0
        while last - timedelta(days=run) in days:
            run += 1
        longest = max(longest, run)
    return longest


def _rests(together: Sequence[Stay], busy: Set[tuple[str | None, date]], day: date) -> list[int]:
    """Whole days of rest before each stay with work of the last 30 days, the longest that he was alone since the last of them; after a
    loan, a stay with nobody known, since his return.

    The same female again by the next day is the same stay.
    """
    found: list[int] = []
    before: Stay | None = None
    last: Stay | None = None
    alone = 0
    for stay in together:
        if before is not None:
            alone = max(alone, (stay.first - before.last).days) if stay.female else 0
        before = stay
        if (stay.female, stay.first) not in busy:
            continue
        again = last is not None and last.female == stay.female and (stay.first - last.last).days <= 1
        if last is not None and not again and day - timedelta(days=30) < stay.first <= day:
            found.append(alone)
        last, alone = stay, 0
    return found


def _far_beyond(paired: Sequence[LogRow], day: date, limits: Mapping[str, Limit]) -> bool:
    """Whether he is paired more than twice as much as is pointed out: then every pairing counts, whether a lock was seen or not."""
    often, run = limits.get("pairings_per_7_days"), limits.get("days_in_a_row")
    days = {row.day for row in paired if row.on.exact}
    return (often is not None and _within(paired, day, 7) > 2 * often.value) or (
        run is not None and _in_a_row(days, day) > 2 * run.value
    )


def _flags(male: MaleAtWork, limits: Mapping[str, Limit]) -> tuple[Flag, ...]:
    rested, change = male.shortest_rest_30, male.change_percent
    over: tuple[tuple[FlagKind, str, Callable[[Fraction], bool]], ...] = (
        ("pairings", "pairings_per_7_days", lambda most: male.worked_7 > most),
        ("in a row", "days_in_a_row", lambda most: male.days_in_a_row > most),
        ("rest", "rest_days", lambda least: rested is not None and rested < least),
        ("weight", "weight_loss_percent", lambda loss: change is not None and -change >= loss),
        ("refusals", "refusals", lambda many: male.refusals_in_a_row >= many),
    )
    return tuple(
        Flag(kind, limit, male.small or male.first_season)
        for kind, name, holds in over
        if (limit := limits.get(name)) is not None and holds(limit.value)
    )


# Loads, turns and seasons


_PAST_PAIRING = ("ovulation", "pre-lay shed", *LAYINGS)


class SeasonOfAMale(Struct, frozen=True):
    """One season of a male, named by the year it began in. `uncounted`: clutches of his whose eggs were not counted; `doubtful`: clutches
    that he or another sired."""

    began: int
    locks: int
    clutches: int
    eggs: int
    slugs: int
    uncounted: int
    doubtful: int


class Load(Struct, frozen=True):
    """The females that a male is planned for. `limit`: the most, and `sooner` whether it is that of a small or first-season male;
    `turn`: whose it is next, None where nobody waits; `begun`: whether her plan with him has begun."""

    male: str
    females: tuple[str, ...]
    limit: Limit | None
    sooner: bool
    turn: str | None
    begun: bool
    seasons: tuple[SeasonOfAMale, ...]

    @property
    def over(self) -> bool:
        return self.limit is not None and len(self.females) > self.limit.value


def loads(
    collection: Collection, private: Private, awaited: Sequence[ComingClutch], day: date, possible: PossibleSires
) -> tuple[Load, ...]:
    """The males of the clutches that are planned, those over their limit first, then those with most females, then by id.

    `possible`: who may have sired a clutch, by what hatched.
    """
    plans = plans_of_winter(collection, private, day)
    begun = {(male, plan.female) for plan in plans if plan.current(day) for male in plan.males}
    coming = {(male, one.dam) for one in awaited if one.laid is None for male in one.males}
    sitting = {one.dam for one in awaited if one.laid is not None}
    chosen = {(male, plan.female) for plan in plans if plan.female not in sitting for male in plan.males}
    here = (pair for pair in sorted(chosen) if all(collection.animals[name].here for name in pair))
    found = []
    for male, dams in grouped(here).items():
        animal = collection.animals[male]
        at_work = male_at_work(animal, collection, private, dams, day)
        new = not any(row.event in TOGETHER for row in private.of(male)) and not collection.clutches_of.get(male)
        sooner = at_work.small or at_work.first_season or new
        limits = male_limits(collection.species[animal.species], private.rules, small_or_first=sooner)
        usable = [dam for dam in dams if (male, dam) in coming]
        first = _turn(private, at_work, [dam for dam in usable if (male, dam) in begun], day)
        turn = first or _turn(private, at_work, usable, day)
        seasons = tuple(_seasons(collection, private, male, day, possible))
        found.append(Load(male, dams, limits.get("females"), sooner, turn, first is not None, seasons))
    return tuple(sorted(found, key=lambda load: (not load.over, -len(load.females), load.male)))


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


def _seasons(
    collection: Collection, private: Private, male: str, day: date, possible: PossibleSires
) -> Iterator[SeasonOfAMale]:
    his = [one for one in collection.bred_by(male) if Recorded(male) in possible(one.id)]
    laid = [(season_of(one.laid.last), one) for one in his if one.laid is not None and one.laid.first <= day]
    locks = [season_of(row.day) for row in private.of(male) if row.event == "lock" and row.day <= day]
    for began in sorted({*locks, *(season for season, _ in laid)}):
        own = [one for season, one in laid if season == began and possible(one.id) == (Recorded(male),)]
        doubtful = sum(season == began for season, _ in laid) - len(own)
        eggs, slugs = sum(one.eggs or 0 for one in own), sum(one.slugs for one in own)
        uncounted = sum(one.eggs is None for one in own)
        yield SeasonOfAMale(began, locks.count(began), len(own), eggs, slugs, uncounted, doubtful)
