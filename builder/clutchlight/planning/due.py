"""What is due: windows from what was seen (ovulation, pre-lay shed, laid, pipped, hatched) to what commonly comes next; what lies in the
incubator; and who has not eaten since when, and whom to feed.

The window runs from `first` to `last` days after the day of the earlier stage; for a range of days, from its first day + first
to its last day + last; "before" a day opens none. A stage is closed once what it leads to, or anything later, was seen. What is
long past its window (over 30 days) is no longer listed: it was missed in the log, or did not happen. A laying is waited for until the
season ends, or every plan of hers in it has a result, since eggs that do not come are a matter for a veterinarian; once a pre-lay shed
is overdue, the laying after it is expected without one.
In the incubator day 0 is the day of laying; for a range of days the count is from its last. Pipping goes before hatching by the days that
the species file has between the two.

Feeding goes by each animal's own habit, else by its species and age. Offered is a day with a meal, a refusal or feeding by hand in the log;
eaten is a day with a meal. An animal's own interval is the middle one of its last eight gaps between offers on known days, from three gaps
on; else the longest that the species file has for its age. It has not eaten for long after four of its own intervals, or after the
`long_days` of its age, whichever is sooner. A hatchling is first fed once it has shed, or once its first shed should be behind it. One
that was cooled and not offered food since is not fed; once it is warmed its days count from then, and a gap with a cooling in it is
nobody's habit. An animal of which no offer is logged for `LOG_ENDS_AFTER`, and which did not refuse the last, may have eaten without a row:
it is "quiet", and neither long without a meal nor due. Where no offer is logged of anybody for so long, the log has ended.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from itertools import pairwise
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.model import Animal, Clutch, Collection, When
from clutchlight.model.private import LAYINGS, MEALS, OFFERS, SHEDS, STAGES, LogRow, Private
from clutchlight.model.traits import grouped, natural
from clutchlight.planning.readiness import StageWindow, age_in_months, is_recorded, windows
from clutchlight.planning.room import FORGOTTEN_AFTER, good_eggs_left, in_incubator, last_laid, rows_of, season_of
from clutchlight.planning.rotation import refusals_in_a_row
from clutchlight.reading.species_files import FeedingAtAge, FeedingFacts, fact_of

_OF_FEMALES = ("building", "ovulation", "pre-lay shed")
_FIRST = {**dict.fromkeys(SHEDS, "first shed"), **dict.fromkeys(MEALS, "first meal")}

State = Literal["overdue", "this week", "later"]


class Due(Struct, frozen=True):
    """One expectation. `about`: the female, or the clutch when there is one. `young`: those that it is about, else ()."""

    comes: str
    about: str
    dam: str
    first: date
    last: date
    state: State
    after: str
    on: When
    source: str
    young: tuple[str, ...]
    recorded: bool

    @property
    def of_eggs_in_her(self) -> bool:
        """Whether a female is about to lay."""
        return self.comes in ("pre-lay shed", "laid")


def due(collection: Collection, private: Private, day: date) -> tuple[Due, ...]:
    """Everything that is expected on `day`, by first day, then by what it is about.

    "this week": the window touches the day or the six after it. `recorded`: False where a laying stands in the log alone.
    """
    each = (_of_females, _of_clutches, _of_log_alone, _of_young)
    found = [item for items_of in each for item in items_of(collection, private, day)]
    return tuple(sorted(found, key=lambda item: (item.first, item.about, STAGES.index(item.comes), item.last)))


def _of_females(collection: Collection, private: Private, day: date) -> Iterator[Due]:
    """From building, ovulation and pre-lay shed; only the latest stage of each female that leads to something speaks."""
    for animal in collection.animals.values():
        if not animal.here:
            continue
        rows = [row for row in private.log if row.animal == animal.id and row.day <= day]
        leading = [stage for stage in _OF_FEMALES if any(_from(stage, animal.species, collection, private))]
        seen = [row for row in rows if row.event in leading]
        if not seen:
            continue
        row = max(seen, key=lambda row: (row.day, STAGES.index(row.event)))
        laid = [one.day for one in rows if one.event in LAYINGS]
        laid += [_last_laid(one, collection, private, day) for one in collection.laid_by(animal.id)]
        if all(on < row.day for on in laid):
            waits = season_of(row.day) == season_of(day) and not _given_up(animal.id, private, day)
            for window in _on_the_way(row, animal.species, collection, private, day):
                yield from _due(window, row.on, day, about=animal.id, dam=animal.id, waits=waits)


def _last_laid(clutch: Clutch, collection: Collection, private: Private, day: date) -> date:
    """The last day on which a clutch may have been laid: today, of eggs in the incubator since nobody wrote when."""
    if (known := last_laid(clutch, collection, private)) is not None:
        return known
    if clutch.ended is not None:
        return clutch.ended.last
    return day if in_incubator(clutch, collection, private, day) else date.min


def _on_the_way(
    row: LogRow, species: str, collection: Collection, private: Private, day: date
) -> Iterator[StageWindow]:
    """What follows a stage of a female; once the pre-lay shed is overdue, the laying that would follow it, too."""
    found = list(_from(row.event, species, collection, private))
    yield from found
    shed = next((one for one in found if one.comes == "pre-lay shed"), None)
    if shed and not row.on.open and _window(row.on, shed)[1] < day and all(one.comes != "laid" for one in found):
        for laying in _from(shed.comes, species, collection, private):
            first, last = shed.first + laying.first, shed.last + laying.last
            yield replace(laying, after=row.event, first=first, last=last)


def _given_up(female: str, private: Private, day: date) -> bool:
    """Whether every plan of a female that begins in the season of a day has its result."""
    plans = [one for one in private.plans if one.female == female and one.start is not None]
    results = [one.result for one in plans if one.start and season_of(one.start.last) == season_of(day)]
    return bool(results) and None not in results


def _of_clutches(collection: Collection, private: Private, day: date) -> Iterator[Due]:
    for clutch in collection.clutches.values():
        if clutch.laid is None or not in_incubator(clutch, collection, private, day):
            continue
        rows = [row for row in rows_of(clutch, collection, private, day) if row.event in ("pipped", "hatched")]
        stage, on = (rows[-1].event, rows[-1].on) if rows else ("laid", clutch.laid)
        if stage != "hatched":
            for window in _from(stage, clutch.species, collection, private):
                yield from _due(window, on, day, about=clutch.id, dam=clutch.dam)


def _of_log_alone(collection: Collection, private: Private, day: date) -> Iterator[Due]:
    """Layings in the log that have no record of a clutch yet, and have not hatched by the log."""
    for row in private.log:
        if row.event != "laid" or row.day > day:
            continue
        hatched = [other.day for other in private.log if other.animal == row.animal and other.event == "hatched"]
        if is_recorded(row, collection) or any(row.day < on <= day for on in hatched):
            continue
        animal = collection.animals[row.animal]
        for window in _from("laid", animal.species, collection, private):
            yield from _due(window, row.on, day, about=animal.id, dam=animal.id, recorded=False)


def _of_young(collection: Collection, private: Private, day: date) -> Iterator[Due]:
    """First sheds and first meals of hatchlings in the room; those of a clutch that wait for the same are one entry."""
    for clutch in collection.clutches.values():
        if clutch.hatched is None or clutch.hatched.first > day or clutch.reported_by is not None:
            continue
        waiting: dict[tuple[StageWindow, When], list[str]] = {}
        for name in clutch.young:
            if not collection.animals[name].here:
                continue
            stage, on, done = _stage_of_young(name, clutch.hatched, private.log, day)
            for window in _from(stage, clutch.species, collection, private):
                if window.comes not in done:
                    waiting.setdefault((window, on), []).append(name)
        for (window, on), names in waiting.items():
            yield from _due(window, on, day, about=clutch.id, dam=clutch.dam, young=tuple(names))


def _stage_of_young(animal: str, hatched: When, log: Iterable[LogRow], day: date) -> tuple[str, When, frozenset[str]]:
    """The latest stage of a hatchling, its date, and every stage that is behind it: a meal or shed is never its first again."""
    stage, on = "hatched", hatched
    done = {"hatched"}
    for row in log:
        if row.animal == animal and row.day <= day and row.event in _FIRST:
            done.add(_FIRST[row.event])
            if STAGES.index(_FIRST[row.event]) > STAGES.index(stage) and row.event in STAGES:
                stage, on = row.event, row.on
    return stage, on, frozenset(done)


def _from(stage: str, species: str, collection: Collection, private: Private) -> Iterator[StageWindow]:
    steps = windows(collection.species[species], private.rules).values()
    yield from (window for window in steps if window.after == stage)


def _due(
    window: StageWindow,
    on: When,
    day: date,
    *,
    about: str,
    dam: str,
    young: tuple[str, ...] = (),
    recorded: bool = True,
    waits: bool = False,
) -> Iterator[Due]:
    """`waits`: whether a laying is expected however late it is."""
    if on.open:
        return
    first, last = _window(on, window)
    forgotten = last + FORGOTTEN_AFTER < day and not (waits and window.comes == "laid")
    if window.comes not in STAGES or forgotten:
        return
    state: State = "overdue" if last < day else "this week" if first <= day + timedelta(days=6) else "later"
    yield Due(window.comes, about, dam, first, last, state, window.after, on, window.source, young, recorded)


# What lies in the incubator


Days = tuple[date, date]


class Incubating(Struct, frozen=True):
    """One clutch. `laid`: None where nobody wrote the day; `day`: days since then; `usual`: the fewest and the most until hatching;
    `good`: eggs left by record and log. `pip`, `hatch`: the days on which they are expected, as far as the day of laying is known. None of
    what is left once some hatched by the log. `pipped`: when the first egg was slit.
    """

    clutch: str
    dam: str
    laid: When | None
    day: int | None
    usual: tuple[int, int] | None
    pip: Days | None
    hatch: Days | None
    pipped: When | None
    good: int | None
    box: str | None
    temperature: LogRow | None
    notes: tuple[LogRow, ...]


def in_the_box(collection: Collection, private: Private, day: date) -> tuple[Incubating, ...]:
    """The clutches of this room that lie in the incubator, the first to hatch first; not those whose window is long past."""
    lying = (
        _incubating(clutch, clutch.laid, collection, private, day)
        for clutch in collection.clutches.values()
        if in_incubator(clutch, collection, private, day)
    )
    return tuple(
        sorted(lying, key=lambda one: (one.hatch or (one.laid.last if one.laid else date.max,) * 2, one.clutch))
    )


def _incubating(clutch: Clutch, laid: When | None, collection: Collection, private: Private, day: date) -> Incubating:
    rows = rows_of(clutch, collection, private, day)
    steps = windows(collection.species[clutch.species], private.rules)
    hatching = steps.get(("laid", "hatched"))
    known = laid if laid is not None and not laid.open else None
    hatch = None if known is None or hatching is None else _window(known, hatching)
    last_step = steps.get(("pipped", "hatched"))
    pip = steps.get(("laid", "pipped"))
    pipped = next((row.on for row in rows if row.event == "pipped"), None)
    if pipped is not None and last_step is not None:
        hatch = _window(pipped, last_step)
    hatched = any(row.event == "hatched" for row in rows)
    expected = _window(known, pip) if pip is not None and known is not None else None
    if expected is None and hatch and last_step:
        expected = hatch[0] - timedelta(days=last_step.last), hatch[1] - timedelta(days=last_step.first)
    told = ("candled", "egg lost", "hatched")
    seen = [row for row in reversed(rows) if row.event in told or (row.clutch == clutch.id and row.note)]
    return Incubating(
        clutch=clutch.id,
        dam=clutch.dam,
        laid=laid,
        day=None if laid is None else max(0, (day - laid.last).days),
        usual=(hatching.first, hatching.last) if hatching else None,
        pip=expected,
        hatch=None if hatched else hatch,
        pipped=pipped,
        good=None if hatched else good_eggs_left(clutch, collection, private, day),
        box=next((row.value for row in reversed(rows) if row.event == "box" and row.value), None),
        temperature=next((row for row in reversed(rows) if row.event == "temperature" and row.value), None),
        notes=tuple(seen),
    )


def _window(since: When, step: StageWindow) -> Days:
    return since.first + timedelta(days=step.first), since.last + timedelta(days=step.last)


# Whom to feed


LOG_ENDS_AFTER = timedelta(days=45)
LONG_IN_MEALS = 4
_GAPS, _GAPS_NEEDED = 8, 3
_NEWLY = timedelta(days=90)
_FIRST_FEED_DAYS = 14
"""From hatching to the first feeding where the species file has no first shed."""


class Feeding(Struct, frozen=True):
    """One animal on one day. `days`: since its last meal, or, of a young one without any, since it hatched.

    Of an older one without a meal: since its first offer; of one that was elsewhere since: since it came back; of one that was cooled:
    since it was `warmed`.

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
    warmed: bool
    source: str


class FeedingRound(Struct, frozen=True):
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
    rows = grouped((row.animal, row) for row in private.log if row.day <= day)
    offers = [row.on for found in rows.values() for row in found if row.event in OFFERS]
    last_row = max(offers, key=lambda when: when.last, default=None)
    ended = last_row is None or day - last_row.last > LOG_ENDS_AFTER
    found, silent = [], []
    for animal in collection.animals.values():
        if not animal.here or (animal.hatched is not None and animal.hatched.first > day):
            continue
        own = rows.get(animal.id, ())
        if not any(row.event in OFFERS for row in own) and not _newly_hatched(animal, day):
            silent.append(animal.id)
        else:
            found.append(_feeding(animal, own, collection, private, day, ended=ended))
    found.sort(key=lambda one: (-(one.days if one.days is not None else -1), natural(one.animal)))
    return FeedingRound(tuple(found), tuple(sorted(silent, key=natural)), last_row, ended)


def _newly_hatched(animal: Animal, day: date) -> bool:
    """Whether its first meals are to come; of an older one without a row nobody logs meals."""
    return (
        animal.hatched is not None and not animal.hatched.open and timedelta(0) <= day - animal.hatched.last <= _NEWLY
    )


def _here_since(animal: Animal, private: Private, day: date) -> date:
    """The last day on which it came here, from a seller, a loan or a buyer."""
    found = [sale.returned for sale in private.sales if animal.id in sale.animals]
    found += [animal.came.on] if animal.came else []
    found += [animal.left.back] if animal.left else []
    return max((when.last for when in found if when is not None and when.last <= day), default=date.min)


def _feeding(
    animal: Animal, rows: Sequence[LogRow], collection: Collection, private: Private, day: date, *, ended: bool
) -> Feeding:
    meals = [row for row in rows if row.event in MEALS]
    offers = [row for row in rows if row.event in OFFERS]
    last_meal = max((row.on for row in meals), default=None)
    first_offer = min((row.on for row in offers), default=None)
    fed_since = last_meal or (animal.hatched if _newly_hatched(animal, day) else first_offer)
    here = _here_since(animal, private, day)
    home = max(here, *(row.day for row in rows if row.event == "warmed"), date.min)
    days = (day - max(fed_since.last, home)).days if fed_since is not None else None
    usual = usual_feeding(animal, collection, day)
    habit = _middle_gap(offers, rows)
    every = habit or (usual.every_days.last if usual else None)
    after = [LONG_IN_MEALS * habit] if habit else []
    after += [usual.long_days] if usual else []
    cooled = _cooled(rows)
    refused = refusals_in_a_row(rows, animal.id, day)
    logged = max(home, *(row.day for row in offers), date.min)
    quiet = cooled is None and bool(offers) and not refused and day - logged > LOG_ENDS_AFTER
    concluding = cooled is None and not ended and not quiet
    facts = fact_of(collection.species[animal.species], FeedingFacts)
    return Feeding(
        animal=animal.id,
        last_meal=last_meal,
        days=days,
        refused=refused,
        every=every,
        own=habit is not None,
        longest=max(_gaps(meals, rows), default=None),
        due=_next_feeding(animal, rows, every, collection, private) if concluding else None,
        long=concluding and days is not None and bool(after) and days >= min(after),
        quiet=quiet,
        cooled=cooled,
        warmed=fed_since is not None and home > max(here, fed_since.last),
        source=facts.source if facts is not None else "",
    )


def usual_feeding(animal: Animal, collection: Collection, day: date) -> FeedingAtAge | None:
    """What the species file has for its age; for a grown one where its age is not known."""
    facts = fact_of(collection.species[animal.species], FeedingFacts)
    age = age_in_months(animal.hatched, day)
    if facts is None or not facts.by_age:
        return None
    older = (one for one in facts.by_age if age is not None and one.until_months is not None and age < one.until_months)
    return next(older, facts.by_age[-1])


def _gaps(offers: Iterable[LogRow], rows: Iterable[LogRow]) -> list[int]:
    """The days from each offer to the next, but where it was cooled in between."""
    days = sorted({row.day for row in offers if row.on.exact})
    cooled = [row.day for row in rows if row.event == "cooled"]
    return [
        (after - before).days for before, after in pairwise(days) if not any(before <= day <= after for day in cooled)
    ]


def _middle_gap(offers: Iterable[LogRow], rows: Iterable[LogRow]) -> int | None:
    gaps = _gaps(offers, rows)[-_GAPS:]
    return sorted(gaps)[len(gaps) // 2] if len(gaps) >= _GAPS_NEEDED else None


def _cooled(rows: Sequence[LogRow]) -> When | None:
    """Since when it is cooled; None once it was warmed, or offered food again."""
    last = next((row for row in reversed(rows) if row.event in (*OFFERS, "cooled", "warmed")), None)
    return last.on if last is not None and last.event == "cooled" else None


def _next_feeding(
    animal: Animal, rows: Sequence[LogRow], every: int | None, collection: Collection, private: Private
) -> date | None:
    offered = [row.day for row in rows if row.event in OFFERS]
    if offered:
        return max(offered) + timedelta(days=every) if every else None
    shed = [row.day for row in rows if row.event in SHEDS]
    if shed:
        return max(shed)
    shedding = windows(collection.species[animal.species], private.rules).get(("hatched", "first shed"))
    after = timedelta(days=shedding.last if shedding else _FIRST_FEED_DAYS)
    return animal.hatched.last + after if animal.hatched is not None else None
