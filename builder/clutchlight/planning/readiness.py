"""What an animal may be used for: the limits of its species or the breeder's own, quarantine and treatment, who is ready to breed, and
who loses weight.

Conventions. Limits are opinions of the trade, not measurements; each knows where it comes from, so that a flag can say so. The breeder's
own, from collection.yaml, stand above the species file's.
A quarantine or treatment begins with its row in the log and lasts as long as the row's value says, `14 days`, `2 weeks` or `until
2026-12-20`, else as long as `KEPT_FOR` has for it; its last day is one of its days. A row whose value is `over` ends it on that day. A
further row while it lasts is the same state, with its end set anew.
A weight from before a female laid, or before a clutch hatched of which no laying is on record, is hers no longer.
For readiness a partial date of hatching counts as its last day, so that an age is never overstated; a missing date or weight, or a date
that leaves open whether it is old enough, gives "not known", never a yes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set as AbstractSet
from datetime import date, timedelta
from fractions import Fraction
from types import MappingProxyType
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.model import Animal, Collection, Sex, Species, When
from clutchlight.model.private import LAYINGS, LogRow, Private, SeasonRules
from clutchlight.model.traits import grouped
from clutchlight.reading.log import OVER, last_day
from clutchlight.reading.species_files import Caution, Readiness, SeasonFacts, fact_of, facts_of

OWN = "set in collection.yaml"
INCUBATED = timedelta(days=120)
"""Within how long after it was laid a clutch hatches, with room to spare: the species files have 50 to 90 days or so."""
NEAR_LAYING = timedelta(days=14)
"""How far a laying in the log and the record of its clutch may lie apart."""

Laid = Mapping[str, tuple[date, ...]]
"""The days on which each female laid."""

NOBODY_LAID: Laid = MappingProxyType({})

A_YEAR = timedelta(days=365)
FIRST_WEEKS = timedelta(days=14)
"""In which a hatchling lives on its yolk, until about its first shed; common practice, no source."""


class Limit(Struct, frozen=True):
    """One limit and where it comes from. `better`: what many wait for."""

    value: Fraction
    source: str
    better: Fraction | None = None


class StageWindow(Struct, frozen=True):
    """Days from one stage to the next."""

    after: str
    comes: str
    first: int
    last: int
    source: str


def male_limits(
    species: Species, rules: Mapping[str, SeasonRules], *, small_or_first: bool = False
) -> Mapping[str, Limit]:
    """How hard a male of a species is used before it is pointed out, by name; for a small or first-season one the stricter of two sets."""
    usual: dict[str, Limit] = {}
    small: dict[str, Limit] = {}
    if season := fact_of(species, SeasonFacts):
        usual |= _limits(season.male.numbers, season.male.source)
        small |= _limits(season.male.small_or_first_season.numbers, season.male.source)
    for own in _own_rules(species, rules):
        usual |= _limits(own.male, OWN)
        small |= _limits(own.small_male, OWN)
    for name, limit in small.items() if small_or_first else ():
        strictest = max if name == "rest_days" else min
        usual[name] = strictest((limit, usual.get(name, limit)), key=lambda limit: limit.value)
    return usual


def grown(species: Species, sex: Sex, rules: Mapping[str, SeasonRules]) -> Mapping[str, Limit]:
    """From what `age_months` and `weight_g` a male or a female of a species is commonly bred, as far as something is known."""
    readiness = fact_of(species, Readiness)
    fact = {"male": readiness.male, "female": readiness.female}.get(sex) if readiness else None
    spans = {"age_months": fact.age_months, "weight_g": fact.weight_g} if fact else {}
    found = {
        name: Limit(Fraction(span.first), fact.source, Fraction(span.last)) for name, span in spans.items() if fact
    }
    for own in _own_rules(species, rules):
        found |= {name: Limit(value, OWN) for (of, name), value in own.readiness.items() if of == sex}
    return found


def windows(species: Species, rules: Mapping[str, SeasonRules]) -> Mapping[tuple[str, str], StageWindow]:
    """The windows of a species by both stages, in the species file's order, the breeder's own further ones after them."""
    season = fact_of(species, SeasonFacts)
    found = {
        (one.after, one.comes): StageWindow(one.after, one.comes, one.days.first, one.days.last, one.source)
        for one in (season.windows if season else ())
    }
    for own in _own_rules(species, rules):
        found |= {key: StageWindow(*key, *days, OWN) for key, days in own.windows.items()}
    return found


def cautions(species: Species, about: str) -> tuple[str, ...]:
    """The species file's cautions on one matter: weight, sexing, egg binding, hygiene."""
    return tuple(one.text for one in facts_of(species, Caution) if one.about == about)


def _own_rules(species: Species, rules: Mapping[str, SeasonRules]) -> Iterable[SeasonRules]:
    """The breeder's rules for all species, then those for this one, which stand above them."""
    return (rules[key] for key in ("", species.key) if key in rules)


def _limits(numbers: Mapping[str, Fraction], source: str) -> dict[str, Limit]:
    return {name: Limit(number, source) for name, number in numbers.items()}


# Quarantine and treatment


KEPT_FOR: Mapping[str, timedelta] = MappingProxyType(
    {"quarantine": timedelta(days=90), "treatment": timedelta(days=30)}
)
"""How long a row in the log keeps an animal from being used where it does not say; common practice, no source."""


class Spell(Struct, frozen=True):
    """One quarantine or treatment. `until`: its last day; `said`: whether the log says so. `note`: that of its last row."""

    animal: str
    how: str
    since: When
    until: date
    said: bool
    note: str

    def covers(self, day: date) -> bool:
        return self.since.last <= day <= self.until


def spells_of(animal: str, log: Iterable[LogRow]) -> tuple[Spell, ...]:
    """The quarantines and treatments of an animal, in order of their last row. `log`: in order of date."""
    done: list[Spell] = []
    running: dict[str, Spell] = {}
    for row in log:
        if row.animal != animal or row.event not in KEPT_FOR:
            continue
        before = running.pop(row.event, None)
        if before is not None and before.until < row.day:
            done.append(before)
            before = None
        value = row.value or ""
        if value.casefold() in OVER:
            if before is not None:
                done.append(replace(before, until=row.day - timedelta(days=1), said=True))
            continue
        until = last_day(value, row.day)
        note = "; ".join(text for text in (value if until is None else "", row.note or "") if text)
        since = before.since if before is not None else row.on
        last = until or row.day + KEPT_FOR[row.event]
        running[row.event] = Spell(animal, row.event, since, last, until is not None, note)
    return (*done, *running.values())


def set_apart(collection: Collection, private: Private, day: date) -> tuple[Spell, ...]:
    """The animals of the room that are in quarantine or under treatment on a day, the first to end first."""
    rows = [row for row in private.log if row.event in KEPT_FOR and row.day <= day]
    here = {row.animal for row in rows if collection.animals[row.animal].here}
    found = [spell for name in here for spell in spells_of(name, rows) if spell.covers(day)]
    return tuple(sorted(found, key=lambda one: (one.until, one.animal, one.how)))


def newly_come(collection: Collection, private: Private, day: date) -> Mapping[str, When]:
    """When animals of the room came from elsewhere, or back from a loan, that would still be in quarantine and had none since."""
    found: dict[str, When] = {}
    quarantines = grouped((row.animal, row.day) for row in private.log if row.event == "quarantine" and row.day <= day)
    for animal in collection.animals.values():
        came, back = animal.came, animal.left.back if animal.left is not None else None
        days = (came.on if came is not None and came.how != "hatched here" else None, back)
        on = max((when for when in days if when is not None), default=None)
        if not animal.here or on is None:
            continue
        logged = any(on.first <= begun for begun in quarantines.get(animal.id, ()))
        if not logged and timedelta() <= day - on.first < KEPT_FOR["quarantine"]:
            found[animal.id] = on
    return found


# Who is ready to breed


OLD_WEIGHT = timedelta(days=60)
CONSIDERED = ("breeder", "holdback", "growing on")

Verdict = Literal["ready", "not now", "not yet", "not known"]
AgeIs = Literal["exact", "at least", "about"]


class Shortfall(Struct, frozen=True):
    """A figure that keeps an animal from being ready: months or grams. `has`: None when it is not known. `open`: it may be enough."""

    what: Literal["age", "weight"]
    has: int | Fraction | None
    limit: Limit
    open: bool


class BreedingReadiness(Struct, frozen=True):
    """One animal on one day. `lacks`: what keeps it from being ready, figures that are not known last. `laid`: when she last laid.
    `age_is`: how exactly the age is known; "at least" and "about" by the last day of a partial date.

    `apart`: its quarantine or treatment, with which it is "not now", whatever its age and weight.
    """

    animal: str
    verdict: Verdict
    age_months: int | None
    weight: Fraction | None
    weighed_on: When | None
    weight_is_old: bool
    age_is: AgeIs
    lacks: tuple[Shortfall, ...]
    laid: When | None
    rule: Mapping[str, Limit]
    apart: Spell | None = None


def readiness(
    collection: Collection, private: Private, day: date, planned: AbstractSet[str] = frozenset()
) -> tuple[BreedingReadiness, ...]:
    """The males and females of the room, ready ones first, then by id.

    Animals under half the usual age are left out unless they are `planned`; so are those whose species says nothing.
    """
    found = []
    apart = {one.animal: one for one in set_apart(collection, private, day)}
    for animal in collection.animals.values():
        if animal.here and animal.sex != "unknown" and (animal.status in CONSIDERED or animal.id in planned):
            rule = grown(collection.species[animal.species], animal.sex, private.rules)
            age = age_in_months(animal.hatched, day)
            too_young = age is not None and "age_months" in rule and 2 * age < rule["age_months"].value
            if rule and (animal.id in planned or not too_young):
                own = _readiness_of(animal, rule, age, collection, private, day)
                spell = apart.get(animal.id)
                found.append(own if spell is None else replace(own, verdict="not now", apart=spell))
    order = {"ready": 0, "not now": 1, "not yet": 2, "not known": 3}
    return tuple(sorted(found, key=lambda one: (order[one.verdict], one.animal)))


def weight_on(rows: Sequence[LogRow], day: date) -> LogRow | None:
    """The latest weighing on or before a day; of several on one day the one written last."""
    weighed = (row for row in reversed(rows) if row.weight is not None and row.day <= day)
    return max(weighed, key=lambda row: row.day, default=None)


class Loss(Struct, frozen=True):
    """What an animal lost: its greatest weighing of the last year, and how many grams less the last one says."""

    since: LogRow
    grams: Fraction


def losing_weight(collection: Collection, private: Private, day: date) -> Mapping[str, Loss]:
    """Animals of the room that lost as much in a year as is pointed out of a male, by id; those that gained since the weighing before not.

    Weighings from before a female laid, and from a hatchling's first weeks, do not count; of a clutch without a day of laying, those from
    before it hatched.
    """
    laid, found = days_laid(collection, private), {}
    rows = (row for row in private.log if row.weight is not None and row.day <= day)
    for name, weighings in sorted(grouped((row.animal, row) for row in rows).items()):
        animal = collection.animals[name]
        limit = male_limits(collection.species[animal.species], private.rules).get("weight_loss_percent")
        born = [animal.hatched.last + FIRST_WEEKS] if animal.hatched is not None else []
        bred = (*laid.get(name, ()), *hatched_alone(collection, private, name))
        since = max([day - A_YEAR, *born, *(on for on in bred if on <= day)])
        known = [(row.weight or Fraction(0), row) for row in weighings if row.on.first > since]
        known.sort(key=lambda one: (one[1].on, one[0]))
        if not (animal.here and limit and known):
            continue
        top, heaviest = max(known, key=lambda one: (one[0], one[1].on))
        now, gains = known[-1][0], len(known) > 1 and known[-1][0] > known[-2][0]
        if not gains and (top - now) * 100 >= limit.value * top > 0:
            found[name] = Loss(heaviest, top - now)
    return found


def hatched_alone(collection: Collection, private: Private, dam: str) -> list[date]:
    """The days on which clutches of hers hatched of which neither record nor log says when they were laid: she laid before."""
    logged = [row.day for row in private.log if row.animal == dam and row.event in LAYINGS]
    hatched = [one.hatched.last for one in collection.laid_by(dam) if one.laid is None and one.hatched is not None]
    return [day for day in hatched if not any(day - INCUBATED <= on <= day for on in logged)]


def days_laid(collection: Collection, private: Private) -> Laid:
    """By the records of clutches and by the log, slugs included."""
    clutches = collection.clutches.values()
    recorded = ((clutch.dam, clutch.laid.last) for clutch in clutches if clutch.laid is not None)
    logged = ((row.animal, row.day) for row in private.log if row.event in LAYINGS)
    return grouped((*recorded, *logged))


def is_recorded(row: LogRow, collection: Collection) -> bool:
    """Whether a laying in the log is that of a clutch on record."""
    return any(abs(when.last - row.day) <= NEAR_LAYING for when in collection.layings_of(row.animal))


def age_in_months(hatched: When | None, day: date) -> int | None:
    """Whole months from the last day that `hatched` can mean; None when it is not known or lies ahead."""
    return _months(hatched.last, day) if hatched is not None and hatched.last <= day else None


def _months(born: date, day: date) -> int:
    return (day.year - born.year) * 12 + day.month - born.month - (day.day < born.day)


def _readiness_of(
    animal: Animal, rule: Mapping[str, Limit], age: int | None, collection: Collection, private: Private, day: date
) -> BreedingReadiness:
    rows = [row for row in private.log if row.animal == animal.id and row.day <= day]
    weighed = weight_on(rows, day)
    logged = (row.on for row in rows if row.event in LAYINGS and not is_recorded(row, collection))
    laid = [*collection.layings_of(animal.id), *logged]
    last_laid = max((when for when in laid if when.first <= day), default=None)
    eggs = (*([last_laid.last] if last_laid is not None else []), *hatched_alone(collection, private, animal.id))
    before_eggs = weighed is not None and any(weighed.day < on <= day for on in eggs)
    weight = weighed.number if weighed is not None and not before_eggs else None
    hatched = animal.hatched
    oldest = _months(hatched.first, day) if hatched is not None and age is not None else None
    asked: tuple[tuple[Literal["age", "weight"], int | Fraction | None, int | Fraction | None, Limit | None], ...] = (
        ("age", age, oldest, rule.get("age_months")),
        ("weight", weight, weight, rule.get("weight_g")),
    )
    short = [
        Shortfall(what, has, limit, most is None or most >= limit.value)
        for what, has, most, limit in asked
        if limit is not None and (has is None or has < limit.value)
    ]
    short.sort(key=lambda one: one.open)
    return BreedingReadiness(
        animal=animal.id,
        verdict="ready" if not short else "not known" if short[0].open else "not yet",
        age_months=age,
        weight=weight,
        weighed_on=weighed.on if weighed is not None else None,
        weight_is_old=weighed is not None and (before_eggs or day - weighed.day > OLD_WEIGHT),
        age_is="about" if hatched is not None and hatched.vague else "exact" if oldest == age else "at least",
        lacks=tuple(short),
        laid=last_laid,
        rule=rule,
    )


def is_grown(animal: Animal, collection: Collection, day: date) -> bool:
    """Whether it is as old as its species commonly breeds; where its age is not known, whether it is kept as a breeder."""
    age, species = age_in_months(animal.hatched, day), collection.species[animal.species]
    if age is None:
        return animal.status == "breeder"
    sexes: tuple[Sex, ...] = ("male", "female") if animal.sex == "unknown" else (animal.sex,)
    rules = (grown(species, sex, {}) for sex in sexes)
    months = (rule["age_months"].value for rule in rules if "age_months" in rule)
    return age >= min(months, default=Fraction(12))
