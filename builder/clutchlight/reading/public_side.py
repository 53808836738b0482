"""What leaves the private side, and nothing else does: a status with its date, the past sales of an animal that came back, with the
days on which it went and came, and the log facts that are opted in.

An animal's public status follows from its sales. It is sold from its hand-over on, or once the agreed price is paid; before
that it is on hold, until the hold's last day: no clock is read, so that day is over once something later is said in public. One
that came back is not for sale, whatever its record offered, until `came` there says that it returned on that day or later; a
hold that is over ends an `on hold` of the record as well.
What the record says of how an animal left (`left`) stands above any sale. No name, amount, term or note is handed over.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from fractions import Fraction
from types import MappingProxyType

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.model import Animal, Clutch, Collection, Leaving, Status, When
from clutchlight.model.private import MEALS, SHEDS, LogRow, Private, Sale
from clutchlight.model.traits import grouped


class PublicStanding(Struct, frozen=True):
    """Where an animal stands in public. `on`: the day it was handed over. `until`: the last day of its hold. `earlier`: the sales that it
    came back from before, the oldest first."""

    status: Status
    on: When | None = None
    until: When | None = None
    earlier: tuple[Leaving, ...] = ()


class LogFacts(Struct, frozen=True):
    """What the log may say of an animal in public; None where a fact is not opted in, or nothing is known of it."""

    weight_g: Fraction | None = None
    weighed_on: When | None = None
    last_meal: When | None = None
    last_shed: When | None = None

    @property
    def days(self) -> tuple[When | None, ...]:
        return self.weighed_on, self.last_meal, self.last_shed


def _stands(animal: Animal, its_own: Sequence[Sale], day: date | None, newest: date) -> PublicStanding:
    if animal.away is not None and not any(sale.sold_before(animal.away) for sale in its_own):
        return PublicStanding(animal.status, animal.away.on if animal.away.how == "sold" else None)
    over = animal.status == "on hold" and any(_hold_over(sale, day or newest) for sale in its_own)
    standing = PublicStanding("available" if over else animal.status)
    for sale in its_own:
        if _past(sale.returned, day) and _said_back(animal, sale):
            standing = PublicStanding(animal.status)
        elif sale.lent_back(animal):
            standing = PublicStanding(animal.status, on=sale.handed_over)
        else:
            standing = _after(sale, standing, day, newest)
    return standing


def _earlier(animal: Animal, its_own: Sequence[Sale], day: date | None) -> tuple[Leaving, ...]:
    """The sales that it came back from, where another is told after them, or its own record says that it came back."""
    found: list[Leaving] = []
    told = animal.passed_on is not None
    for sale in (sale for sale in reversed(its_own) if _past(sale.handed_over, day)):
        back = _past(sale.returned, day)
        told |= not back or _said_back(animal, sale)
        if back and told:
            found.insert(0, Leaving("sold", sale.handed_over, back=sale.returned))
    return tuple(found)


def standings(
    collection: Collection, sales: Iterable[Sale], day: date | None = None, newest: date = date.min
) -> Mapping[str, PublicStanding]:
    """The standing of every animal that stands in a sale. Without `day` every date counts, and holds end by the `newest`."""
    its_own = grouped((name, sale) for sale in sorted(sales, key=_begun) for name in sale.animals)
    found = {
        name: replace(_stands(animal, own, day, newest), earlier=_earlier(animal, own, day))
        for name, own in its_own.items()
        if (animal := collection.animals.get(name)) is not None
    }
    return MappingProxyType(found)


def apply_sales(collection: Collection, private: Private, day: date | None = None) -> Collection:
    """The collection with the status of each animal as its sales have it, and the day it left for a new owner."""
    sold = _standing(collection, standings(collection, private.sales, day))
    if day is not None or not any(sale.until for sale in private.sales):
        return sold
    facts = log_facts(private.log, collection.settings.publish_from_log, animals=sold.animals)
    public = {name: one for name, one in sold.animals.items() if one.publish == "page"}
    days = [days_of(one) for one in public.values()]
    days += [days_of(one) for one in sold.clutches.values() if one.publish != "no"]
    days += [one.days for name, one in facts.items() if name in public]
    return _standing(collection, standings(collection, private.sales, newest=reached(days)))


def _standing(collection: Collection, found: Mapping[str, PublicStanding]) -> Collection:
    animals = dict(collection.animals)
    for name, standing in found.items():
        animal = animals[name]
        left, came = animal.left, animal.came
        if standing.on is not None and animal.away is None:
            left = Leaving("sold", standing.on, before=left)
            if came is not None and came.how == "returned" and came.on and came.on.last == standing.on.last:
                came = None  # sold again on the day on which it was back
        elif standing.on is not None and left is not None and animal.away is left and left.how in ("died", "returned"):
            told = left.before is not None and left.before.back is None  # by its own record, that it was sold
            left = left if told else replace(left, before=Leaving("sold", standing.on, before=left.before))
        for one in standing.earlier:
            left = _in_its_place(left, one)
        animals[name] = replace(animal, status=standing.status, left=left, came=came)
    return replace(collection, animals=MappingProxyType(animals))


def _in_its_place(left: Leaving | None, one: Leaving) -> Leaving:
    """The leavings with one more in order of time, unless the record tells of it already."""
    if left is None or (left.on is not None and one.on is not None and left.on.last < one.on.first):
        return replace(one, before=left)
    if left.on is not None and one.on is not None and left.on.meets(one.on):
        return left
    return replace(left, before=_in_its_place(left.before, one))


def days_of(record: Animal | Clutch) -> tuple[When | None, ...]:
    """The days on which a page says that something happened to an animal or a clutch."""
    corrected = [one.on for one in record.corrections if one.told]
    if isinstance(record, Clutch):
        return record.laid, record.hatched, record.ended, *corrected
    return (
        record.hatched,
        *(event.on for event in (record.came, record.away, record.left, record.sexed) if event is not None),
        record.left.back if record.left is not None and record.left.how != "sold" else None,
        *(test.on for test in record.tests),
        *(claim.withdrawn for claim in record.claims),
        *(reading.on for reading in record.readings),
        *corrected,
    )


def newest(days: Iterable[Iterable[When | None]]) -> When | None:
    """The newest of some days; a month or a year as it was written, where it may be newer than the newest day."""
    dated = [when for some in days for when in some if when is not None]
    return max(dated, key=lambda when: (not when.open, when.last, when.first), default=None)


def reached(days: Iterable[Iterable[When | None]]) -> date:
    """The newest of some days that has surely come: of a month its first."""
    return max((when.first for some in days for when in some if when is not None), default=date.min)


def log_facts(
    log: Iterable[LogRow],
    opted: Sequence[str],
    until: date | None = None,
    animals: Mapping[str, Animal] = MappingProxyType({}),
) -> Mapping[str, LogFacts]:
    """By animal, the facts named in `opted` (weight, meals, sheds) up to `until`; nothing for an empty list.

    Rows of `animals` that were gone by then do not count.
    """
    rows = [row for row in log if (until is None or row.day <= until) and not _was_gone(animals.get(row.animal), row)]
    by_animal = {
        fact: grouped((row.animal, row) for row in rows if row.event in events) if fact in opted else {}
        for fact, events in (("weight", ("weight",)), ("meals", MEALS), ("sheds", (*SHEDS, "pre-lay shed")))
    }
    found: dict[str, LogFacts] = {}
    for name in dict.fromkeys(name for rows in by_animal.values() for name in rows):
        weights, meals, sheds = (rows.get(name, ()) for rows in by_animal.values())
        weight = max((row for row in reversed(weights) if not row.odd_after), key=lambda row: row.day, default=None)
        found[name] = LogFacts(
            weight_g=weight.number if weight is not None else None,
            weighed_on=weight.on if weight is not None else None,
            last_meal=_last(meals),
            last_shed=_last(sheds),
        )
    return MappingProxyType(found)


def _was_gone(animal: Animal | None, row: LogRow) -> bool:
    """Whether an animal had died by the day of a row, or had left and no note explains who told of it."""
    away = animal.away if animal is not None else None
    if away is None or away.on is None or row.day <= away.on.last:
        return False
    return away.how == "died" or row.note is None


def _begun(sale: Sale) -> tuple[date, str, int]:
    begun = sale.begun
    return (begun.last if begun is not None else date.max, sale.place.file, sale.place.line)


def _after(sale: Sale, before: PublicStanding, day: date | None, newest: date) -> PublicStanding:
    """The standing once this sale is taken into account."""
    if _past(sale.returned, day):
        return PublicStanding("not for sale") if before.status in ("sold", "on hold", "available") else before
    if sale.over_on():
        return before
    if _past(sale.handed_over, day):
        return PublicStanding("sold", on=sale.handed_over)
    if _past(sale.paid_on, day):
        return PublicStanding("sold")
    if day is not None and sale.begun is not None and sale.begun.first > day:
        return before
    if _hold_over(sale, day or newest):
        return before
    return PublicStanding("on hold", until=sale.until)


def _hold_over(sale: Sale, day: date) -> bool:
    """Whether it never was more than a hold, and that is over: given up, or past its last day."""
    if sale.over_on():
        return True
    if sale.handed_over is not None or sale.paid_on is not None:
        return False
    return sale.until is not None and sale.until.last < day


def _said_back(animal: Animal, sale: Sale) -> bool:
    """Whether the animal's own record says that it came back from this sale, so that its status is of a later day."""
    came = animal.came
    if came is None or came.how != "returned" or came.on is None or sale.returned is None:
        return False
    return came.on.last >= sale.returned.first


def _past(when: When | None, day: date | None) -> bool:
    return when is not None and (day is None or when.last <= day)


def _last(rows: Sequence[LogRow]) -> When | None:
    return max((row.on for row in rows), default=None)
