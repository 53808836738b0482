"""The room on one day, by plans, log and records: which animals are not to be used; which plans are open; what lies in the incubator,
and what the log says of its eggs; and who else may have sired a clutch: males that the log puts with the dam in time, and the sires of
her clutch before, whose sperm she may have kept.

Nothing is decided here: what does not fit is told, and the breeder knows which of the two is right. No other male is a sire on record, and
no figure counts him; one that the record's `not_by` names is none.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from types import MappingProxyType

from msgspec import Struct

from clutchlight.genetics.certainty import Others, letting_in
from clutchlight.genetics.values import OtherSire
from clutchlight.model import Animal, Clutch, Collection, Recorded, When
from clutchlight.model.private import (
    BOX_EVENTS,
    CLUTCH_EVENTS,
    FEMALE_EVENTS,
    LAYINGS,
    PAIR_EVENTS,
    TOGETHER,
    LogRow,
    Plan,
    Private,
)
from clutchlight.model.traits import grouped, reached
from clutchlight.planning.readiness import A_YEAR, KEPT_FOR, NEAR_LAYING, spells_of, windows
from clutchlight.reading.log import SIRE_WINDOW_DAYS, Candidate, loans_before, males_in_log, sire_window_days

_DONE_WITH_IT = ("weight", "meal", "first meal", "refused", "shed", *TOGETHER, "building", "ovulation", *LAYINGS)
KEPT_SPERM = timedelta(days=731)
"""How long after her clutch before a dam's eggs may be by its sire: two years, with a leap day; a careful choice of ours."""

UNTIL_LAYING = timedelta(days=60)
"""How long after she was with a male, or formed eggs, a female is waited for: common practice, no source."""
EGGS_LIE = timedelta(days=150)
"""How long after a laying a row about eggs may be of them."""

FORGOTTEN_AFTER = timedelta(days=30)
"""How long after its window what was expected is no longer due: it was missed in the records, or did not happen."""


class Absence(Struct, frozen=True):
    """Why an animal is not to be used. `how`: as it left, "elsewhere", or the row in the log; `until`: the last day of that."""

    how: str
    since: When | None = None
    until: date | None = None


class PlanAnswered(Struct, frozen=True):
    """An open plan whose female has laid since it began. `clutch`: None where only the log tells; `slugs`: it tells of slugs alone."""

    clutch: str | None
    sires: tuple[str, ...]
    laid: When
    slugs: bool = False


class OtherMale(Struct, frozen=True):
    """A male that may have sired a clutch and is no sire on record of it.

    `seen`: when the log puts him with the dam; `earlier`: her clutch before, of which he is a sire on record. One of the two is there.
    `beside`: whether the log puts a sire on record with her as well; where it puts none, `check` warns.
    """

    clutch: str
    dam: str
    male: str
    seen: Candidate | None
    earlier: str | None
    beside: bool = False


def absence(animal: Animal, log: Sequence[LogRow], day: date, begins: When | None = None) -> Absence | None:
    """Why an animal is not to be used on a day; None when nothing speaks against it. `log`: every row, or its own.

    `begins`: when it is to be used; a loan that is to end before is in no way.
    """
    away = animal.away
    back = away.until if away is not None and away.how == "loan" else None
    if away is not None and not (begins and back and day <= back.last <= begins.last):
        return Absence(away.how, away.on)
    if animal.status in ("elsewhere", "sold"):
        return Absence(animal.status)
    spells = spells_of(animal.id, [row for row in log if row.day <= day])
    return next((Absence(one.how, one.since, one.until) for one in reversed(spells) if one.covers(day)), None)


def may_be_shown(collection: Collection, plan: Plan, male: str, *, over: bool) -> bool:
    """Whether a plan with a male may be public: both are on record and may be named and, unless it is over, both are here.

    A male that went home or on loan since it began may have done his work; whether he did stands in the log, which no public page tells.
    """
    both = (collection.animals.get(name) for name in (plan.female, male))
    return all(one and one.publish != "no" and (over or one.here or _gone_since(one, plan)) for one in both)


def _gone_since(animal: Animal, plan: Plan) -> bool:
    left, start = animal.away, plan.start
    went = left.on if left is not None and left.how in ("loan", "returned") else None
    return animal.id in plan.males and bool(start and went and start.first <= went.first)


def open_plans(collection: Collection, private: Private, day: date) -> tuple[Plan, ...]:
    """Plans that are current on a day, still to come, or over with eggs awaited, without those whose female has laid since they began."""
    open_ = [
        plan
        for plan in private.plans
        if plan.result is None and (plan.until is None or day <= plan.until.last or _may_lay(plan, private, day))
    ]
    return tuple(plan for plan in open_ if answer_to(plan, collection, private, day) is None)


def _may_lay(plan: Plan, private: Private, day: date) -> bool:
    """Whether its female may still lay after its last day: not long ago she was with one of its males, or formed eggs since she was."""
    if plan.start is None:
        return False
    paired = (row for male in plan.every_male for row in of_the_two(private, plan, male, day))
    together = [row.day for row in paired if row.event in TOGETHER]
    rows = (row for row in private.of(plan.female) if plan.start.first <= row.day <= day)
    formed = [row.day for row in rows if row.animal == plan.female and row.event in FEMALE_EVENTS]
    return bool(together) and day - max(together + formed) <= UNTIL_LAYING


def of_the_two(private: Private, plan: Plan, male: str, day: date) -> list[LogRow]:
    """The pairings, locks and partings of a plan's female with a male up to a day, since July before it begins: some pair early."""
    since = date.min if plan.start is None else date(season_of(plan.start.first), 7, 1)
    rows = (row for row in private.of(male) if row.event in PAIR_EVENTS and since <= row.day <= day)
    return [row for row in rows if row.with_(male) == plan.female]


def males_with(collection: Collection, private: Private, female: str, day: date) -> tuple[str, ...]:
    """The males that the log puts with a female, and that may sire what she lays next."""
    window = sire_window_days(private.rules, collection.animals[female].species)
    return tuple(found.male for found in males_in_log(private.log, collection, female, day, window)[0])


def season_of(day: date) -> int:
    """The year in which the season of a day began: it runs from July to June."""
    return day.year if day.month >= 7 else day.year - 1


def plans_of_winter(collection: Collection, private: Private, day: date) -> tuple[Plan, ...]:
    """The open plans of the season of a day; where it has none and no eggs lie in the incubator, those of the next that has some."""
    season = season_of(day)
    plans = grouped(
        (season if plan.start is None else max(season, season_of(plan.start.last)), plan)
        for plan in open_plans(collection, private, day)
    )
    eggs = any(in_incubator(clutch, collection, private, day) for clutch in collection.clutches.values())
    return tuple(plans.get(season if eggs else min(plans, default=season), ()))


def answer_to(plan: Plan, collection: Collection, private: Private, day: date) -> PlanAnswered | None:
    """The first laying that a plan came to, of one season a clutch before what the log alone knows; None while she has not laid."""
    if plan.start is None:
        return None
    clutches = collection.laid_by(plan.female)
    found = [PlanAnswered(one.id, one.sires.ids, one.laid) for one in clutches if one.laid is not None]
    rows = (row for row in private.log if row.animal == plan.female and row.event in LAYINGS)
    found += [PlanAnswered(None, (), row.on, row.event == "slugs only") for row in rows]
    own = [one for one in found if one.laid.last <= day and may_come_of(plan, one.laid.last)]
    return min(own, key=lambda one: (season_of(one.laid.last), one.clutch is None, one.laid), default=None)


def may_come_of(plan: Plan, laid: date) -> bool:
    """Whether what was laid on a day may be of a plan: since it began, and of its own season where it is over, with a result."""
    if plan.start is None:
        return True
    ends = plan.until.last + timedelta(days=SIRE_WINDOW_DAYS) if plan.until else plan.start.first + A_YEAR
    return plan.start.first <= laid and (plan.result is None or laid <= ends)


def planned_absent(
    collection: Collection, private: Private, day: date
) -> Mapping[str, tuple[tuple[str, ...], Absence]]:
    """The animals of open plans that are not to be used, by id: with whom they are planned, and why not.

    A male that left after he was with her is not waited for.
    """
    why: dict[str, Absence] = {}
    mates: list[tuple[str, str]] = []
    for plan in open_plans(collection, private, day):
        for pair in ((plan.female, male) for male in plan.every_male):
            for name, mate in (pair, pair[::-1]):
                away = absence(collection.animals[name], private.log, day, plan.start)
                if away is not None and not _left_after_work(plan, name, away, private):
                    why[name] = away
                    mates.append((name, mate))
    return {name: (tuple(dict.fromkeys(found)), why[name]) for name, found in sorted(grouped(mates).items())}


def _left_after_work(plan: Plan, male: str, away: Absence, private: Private) -> bool:
    """Whether a male of a plan left on a known day, and the log puts him with her before."""
    if away.since is None or away.until is not None or male == plan.female:
        return False
    return any(row.event in TOGETHER for row in of_the_two(private, plan, male, away.since.last))


def ill_in(log: Iterable[LogRow]) -> list[LogRow]:
    """The rows that keep animals from being used for a while."""
    return [row for row in log if row.event in KEPT_FOR]


def absences(
    row: LogRow, collection: Collection, ill: Sequence[LogRow], today: date | None = None
) -> Iterator[tuple[Animal, Absence]]:
    """The animals of a row that it cannot be of on its day, or should not be. `ill`: as `ill_in` the log.

    `today`: the day on which the row is written; one that is gone, nobody wrote when, is gone on that day.
    """
    for name in (row.animal, row.partner) if row.event in _DONE_WITH_IT else ():
        animal = collection.animals.get(name or "")
        if animal is None:
            continue
        away = _absent_on(animal, row, ill)
        if away is None and today is not None and row.day >= today and row.note is None:
            gone = absence(animal, (), today)
            away = gone if gone is not None and gone.since is None else None
        if away is not None:
            yield animal, away


def _absent_on(animal: Animal, row: LogRow, ill: Sequence[LogRow]) -> Absence | None:
    """Why a row cannot be of that animal on its day, or should not be. `ill`: the rows that keep animals from being used.

    A note explains a weight or a meal of an animal that lives elsewhere: its keeper may have told.
    """
    left, came = animal.left, animal.came
    returned = left is not None and animal.away is None
    while left is not None and left.before is not None and left.on is not None and row.day <= left.on.last:
        left, returned = left.before, True
    if left is not None and left.on is not None and row.day > left.on.last:
        again = left.back if left.back is not None else came.on if came is not None else None
        here_again = returned and again is not None and row.day >= again.first
        told = row.note is not None and left.how != "died" and row.event not in TOGETHER
        return None if here_again or told else Absence(left.how, left.on)
    bought = came is not None and came.how in ("bought", "trade", "loan") and not returned
    if bought and came is not None and came.on is not None and row.day < came.on.first:
        return Absence("came", came.on)
    if row.event in TOGETHER:
        for spell in spells_of(animal.id, ill):
            if spell.covers(row.day):
                return Absence(spell.how, spell.since, spell.until)
    return None


# What the log says of the eggs of a clutch


def hatching_ends(clutch: Clutch, collection: Collection, private: Private) -> date | None:
    """The last day on which its eggs commonly hatch; None where that is not known."""
    window = windows(collection.species[clutch.species], private.rules).get(("laid", "hatched"))
    return clutch.laid.last + timedelta(days=window.last) if window and clutch.laid is not None else None


def in_incubator(clutch: Clutch, collection: Collection, private: Private, day: date) -> bool:
    """Whether its eggs lie in the incubator of this room on a day: a good one may be left, and they are not forgotten.

    Eggs of which nobody wrote the day of laying do, once they are counted.
    """
    if clutch.over or clutch.reported_by is not None:
        return False
    lying = clutch.laid.by(day) if clutch.laid is not None else bool(clutch.eggs)
    ends = hatching_ends(clutch, collection, private)
    forgotten = ends is not None and ends + FORGOTTEN_AFTER < day
    return lying and not forgotten and has_good_eggs(clutch, collection, private, day)


def has_good_eggs(clutch: Clutch, collection: Collection, private: Private, day: date) -> bool:
    """Whether a good egg may be left: not of slugs alone, and not once the log has lost them all."""
    left = good_eggs_left(clutch, collection, private, day)
    return left is None or left > 0


def good_eggs_left(clutch: Clutch, collection: Collection, private: Private, day: date) -> int | None:
    """How many good eggs are left on a day by its record and by the log, whichever has fewer; None: eggs were not counted."""
    if clutch.eggs is None:
        return None
    rows = rows_of(clutch, collection, private, day)
    good = [clutch.eggs - max(clutch.went_bad, eggs_lost(rows))]
    good += [
        int(row.number) - eggs_lost(rows[at:])
        for at, row in enumerate(rows)
        if row.event == "candled" and row.number is not None
    ][-1:]
    return max(0, min(good))


def rows_of(clutch: Clutch, collection: Collection, private: Private, day: date) -> tuple[LogRow, ...]:
    """The rows of a clutch up to a day: those that name it, and those of its dam about eggs, from the day it was laid to her next.

    A laying may be logged up to NEAR_LAYING before the day on record; so may what is seen of eggs that are not hatching, where no earlier
    eggs of hers can be meant.
    """
    log = [row for row in private.log if row.day <= day]
    if clutch.laid is None:
        return tuple(row for row in log if row.clutch == clutch.id)
    first, layings = clutch.laid.first, collection.layings_of(clutch.dam)
    last = min([clutch.laid.last + EGGS_LIE, *(when.first for when in layings if when > clutch.laid)])
    earlier = max((when.last for when in layings if when < clutch.laid), default=None)

    def is_own(row: LogRow) -> bool:
        if row.clutch is not None or row.animal != clutch.dam or row.event not in (*CLUTCH_EVENTS, *BOX_EVENTS):
            return row.clutch == clutch.id
        # The days before are added to the row's: "before" a day has no first day to take them from.
        late = NEAR_LAYING if row.event in LAYINGS else timedelta()
        of_earlier = earlier is not None and row.day - earlier <= EGGS_LIE
        soon = late if of_earlier or row.event in ("pipped", "hatched") else NEAR_LAYING
        return first <= row.day + soon and row.day + late < last

    return tuple(filter(is_own, log))


def eggs_lost(rows: Sequence[LogRow]) -> int:
    """How many eggs the rows "egg lost" come to; a row without a number is one egg."""
    return sum(int(row.number) if row.number is not None else 1 for row in rows if row.event == "egg lost")


# Who else may have sired a clutch


def other_males(collection: Collection, private: Private) -> tuple[OtherMale, ...]:
    """All of them, clutch by clutch: those of the log first. One that descends from the clutch is none."""
    found: list[OtherMale] = []
    pedigree = collection
    for clutch in collection.clutches.values():
        for one in _others_of(clutch, collection, private):
            if clutch.id not in _clutches_above(pedigree, one.male):
                found.append(one)
                pedigree = letting_in(pedigree, {clutch.id: {one.male: OtherSire(clutch.id, one.male)}})
    return tuple(found)


def by_clutch(others: tuple[OtherMale, ...]) -> Others:
    """The same as the inference takes them."""
    found: dict[str, dict[str, OtherSire]] = {}
    for one in others:
        sire = OtherSire(one.clutch, one.male, one.earlier, logged=one.seen is not None)
        found.setdefault(one.clutch, {})[one.male] = sire
    return MappingProxyType(found)


def _others_of(clutch: Clutch, collection: Collection, private: Private) -> Iterator[OtherMale]:
    before = _clutch_before(clutch, collection, private)
    earlier = dict.fromkeys(before.sires.ids, before.id) if before is not None else {}
    seen: tuple[Candidate, ...] = ()
    if clutch.laid is not None and not clutch.laid.vague and clutch.reported_by is None:
        window = sire_window_days(private.rules, clutch.species)
        seen, _ = males_in_log(private.log, collection, clutch.dam, clutch.laid.last, window)
    with_her = {one.male: one for one in seen}
    beside = any(male in clutch.sires.ids for male in with_her)
    for male in dict.fromkeys((*with_her, *earlier)):
        if male not in (*clutch.sires.ids, *clutch.not_by):
            by_log = with_her.get(male)
            yield OtherMale(clutch.id, clutch.dam, male, by_log, earlier.get(male), beside and by_log is not None)


def males_before(clutch: Clutch, collection: Collection, private: Private) -> tuple[str, ...]:
    """Other males than its sires on record whom the log puts with its dam too long before it was laid to count."""
    if clutch.laid is None or clutch.laid.vague or clutch.reported_by is not None:
        return ()
    window = sire_window_days(private.rules, clutch.species)
    _, before = males_in_log(private.log, collection, clutch.dam, clutch.laid.last, window)
    return tuple(one.male for one in before if one.male not in (*clutch.sires.ids, *clutch.not_by))


def loans_of_dam(clutch: Clutch, collection: Collection, private: Private, day: date) -> tuple[tuple[When, When], ...]:
    """The loans of its dam before it was laid, for a year, where its record names nobody but males that the log puts with her."""
    laid, window = clutch.laid, sire_window_days(private.rules, clutch.species)
    if laid is None or laid.vague or clutch.reported_by is not None or not laid.by(day) or day - laid.last > A_YEAR:
        return ()
    seen, _ = males_in_log(private.log, collection, clutch.dam, laid.last, window)
    sires = {sire.id if isinstance(sire, Recorded) else None for sire, _ in clutch.sires.candidates}
    return loans_before(collection, clutch.dam, laid.last, window) if sires <= {one.male for one in seen} else ()


def _clutch_before(clutch: Clutch, collection: Collection, private: Private) -> Clutch | None:
    """The dam's last clutch before this one, unless it was laid too long before."""
    laid = last_laid(clutch, collection, private)
    days = ((last_laid(one, collection, private), one.id) for one in collection.laid_by(clutch.dam))
    before = max(((day, name) for day, name in days if laid and day and day < laid), default=None)
    return collection.clutches[before[1]] if before and laid and laid - before[0] <= KEPT_SPERM else None


def last_laid(clutch: Clutch, collection: Collection, private: Private) -> date | None:
    """The last day on which it may have been laid; where the record does not name it, by the day of hatching."""
    if clutch.laid is not None or clutch.hatched is None:
        return clutch.laid.last if clutch.laid is not None else None
    hatching = windows(collection.species[clutch.species], private.rules).get(("laid", "hatched"))
    return clutch.hatched.last - timedelta(days=hatching.first if hatching else 0)


def _clutches_above(collection: Collection, animal: str) -> frozenset[str]:
    """The clutches from which an animal or an ancestor of it hatched, through any possible parent."""
    hatched_from = (collection.animals[name].clutch for name in reached((animal,), collection.parents_of))
    return frozenset(clutch for clutch in hatched_from if clutch)
