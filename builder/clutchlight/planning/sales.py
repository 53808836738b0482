"""Holds that end, money that is open, hand-overs to prepare, young that are not ready to leave. Amounts in the collection's currency."""

from __future__ import annotations

from collections.abc import Collection as Collected, Iterator, Mapping, Sequence
from datetime import date, timedelta
from fractions import Fraction
from types import MappingProxyType
from typing import Literal, NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.model import Animal, Collection, When
from clutchlight.model.ledger import Ledger
from clutchlight.model.private import MEALS, SHEDS, Holding, Private, Sale, times_logged
from clutchlight.planning.readiness import Spell, set_apart
from clutchlight.reading.species_files import ReadyWhen, Rule, fact_of, facts_of

NOTICE = timedelta(days=14)
_LATELY = timedelta(days=30)
"""How long after a hand-over a build asks for its dated record: what was said then is still remembered."""
_YOUNG = timedelta(days=365)
_BREAKS = ("refused", "assisted")


class Hold(Struct, frozen=True):
    """One hold. `days_left` below 0: it ended so many days ago; None: it has no last day, or none any more since
    it is `paid` for. `to_come`: it begins later."""

    sale: Sale
    to_come: bool
    days_left: int | None
    paid: bool

    @property
    def ended(self) -> bool:
        return self.days_left is not None and self.days_left < 0


class Balance(Struct, frozen=True):
    """Money still open: `open_` is what is left of `agreed`; below 0: to pay back. `gone`: the animals have been handed over.

    `lost`: those that died; where all did before the hand-over, nothing is left of `agreed`. `back`: it came to nothing: the animals were
    returned, or the hold was given up.
    """

    sale: Sale
    open_: Fraction
    gone: bool
    lost: tuple[str, ...] = ()
    back: bool = False


class NotReady(Struct, frozen=True):
    """A young animal, promised or offered, for which the log does not yet show what the species file asks (`rule`).

    `logged`: whether any meal, refusal or shed of it is in the log. `broken_by`: the last event after which meals are counted anew, or "".
    """

    animal: str
    meals_in_a_row: int
    broken_by: str
    sheds: int
    logged: bool
    rule: ReadyWhen
    promised: bool


Missing = Literal["balance", "ready", "sex", "origin", "hatched"]


class Unsettled(Struct, frozen=True):
    """One thing to settle before a hand-over: of the sale, or of one of its animals."""

    what: Missing | NotReady | Spell
    animal: str | None = None


class HandOver(Struct, frozen=True):
    """One hand-over to come. `rules`: those of the law that the species files of its animals name, by name and text; the law of the place
    decides which apply."""

    sale: Sale
    since: date | None
    unsettled: tuple[Unsettled, ...]
    rules: tuple[tuple[str, str], ...]


class LoanEnding(Struct, frozen=True):
    """A shared or lent animal whose term ends within the notice, or has ended."""

    holding: Holding
    days_left: int


class Undated(NamedTuple):
    """An animal that was handed over, or of which its buyer was `told`, without a dated record of what was said of it. `still`: one can be
    made yet, for that day."""

    animal: str
    on: When
    still: bool
    told: bool = False


def with_paid_ones_here(collection: Collection, private: Private, day: date) -> Collection:
    """The collection with those on hold that are marked sold, being paid for, and are still here on a day to be fed."""
    animals = dict(collection.animals)
    for sale in private.sales:
        for name in sale.animals if sale.held_on(day) else ():
            animal = animals[name]
            left = animal.away
            to_come = left is not None and left.how == "sold" and left.on is not None and left.on == sale.handed_over
            if animal.status == "sold" and (left is None or to_come):
                animals[name] = replace(animal, status="on hold", left=left.before if left is not None else animal.left)
    return replace(collection, animals=MappingProxyType(animals))


def holds(collection: Collection, private: Private, day: date) -> tuple[Hold, ...]:
    """Holds without a hand-over of animals that live, those that begin later among them; the first to end first."""
    found = []
    for sale in private.sales:
        to_come = sale.held is not None and not sale.begun_on(day)
        if (to_come or sale.held_on(day)) and not lost_all(collection, sale):
            paid = sale.paid_on is not None and sale.paid_on.by(day)
            days_left = None if sale.until is None or paid else (sale.until.last - day).days
            found.append(Hold(sale, to_come, days_left, paid))
    return tuple(sorted(found, key=lambda hold: (hold.days_left is None, hold.days_left or 0, hold.sale.place)))


def balances(collection: Collection, private: Private, day: date) -> tuple[Balance, ...]:
    """Sales with something left to pay, or to pay back; animals that are gone already come first."""
    found = []
    for sale in private.sales:
        if not sale.begun_on(day):
            continue
        if sale.back_on(day) or sale.over_on(day):
            if sale.refund is None and sale.paid(day):
                found.append(Balance(sale, -sale.paid(day), gone=False, back=True))
            continue
        gone, paid = sale.gone_on(day), sale.paid(day)
        lost = tuple(name for name in sale.animals if collection.animals[name].dead)
        agreed = Fraction(0) if not gone and len(lost) == len(sale.animals) else sale.agreed
        if agreed == 0 and not sale.payments:
            paid = sale.deposit or paid  # its payment is not written down
        if agreed is not None and paid > agreed:
            paid = max(agreed, paid - (sale.refund or 0))
        if agreed is not None and paid != agreed:
            found.append(Balance(sale, agreed - paid, gone, lost))
    return tuple(sorted(found, key=lambda balance: (not balance.gone, balance.sale.place)))


def lost_all(collection: Collection, sale: Sale) -> bool:
    """Whether every animal of a sale died: nothing is left to hold, and money may be to pay back."""
    return all(collection.animals[name].dead for name in sale.animals)


def hand_overs(collection: Collection, private: Private, day: date) -> tuple[HandOver, ...]:
    """Sales still to be handed over, of what is here, the longest ready first, with what is missing and which papers go along."""
    found: list[HandOver] = []
    not_ready = {one.animal: one for one in not_ready_to_leave(collection, private, day)}
    apart = set_apart(collection, private, day)
    for sale in private.sales:
        here = tuple(name for name in sale.animals if collection.animals[name].away is None)
        if here and sale.held_on(day):
            sale, ready = replace(sale, animals=here), sale.ready_to_go
            since = ready.last if ready is not None and ready.last <= day else None
            species = (collection.species[collection.animals[name].species] for name in sale.animals)
            rules = ((rule.name, rule.text) for one in species for rule in facts_of(one, Rule))
            unsettled = tuple(_unsettled(sale, collection, not_ready, apart, day))
            found.append(HandOver(sale, since, unsettled, tuple(dict.fromkeys(rules))))
    return tuple(sorted(found, key=lambda one: (one.since or date.max, one.sale.place)))


def not_ready_to_leave(
    collection: Collection, private: Private, day: date, leaving: Collected[str] = ()
) -> tuple[NotReady, ...]:
    """Young of the room, on offer, promised or about to leave, that have not yet shed and fed as the species file asks; by id."""
    promised = private.promised(day)
    found = []
    for animal, rule in leaving_young(collection, private, day, leaving):
        events = (*MEALS, *SHEDS, *_BREAKS)
        rows = [row for row in private.log if row.animal == animal.id and row.event in events and row.day <= day]
        broken = max((number for number, row in enumerate(rows, 1) if row.event in _BREAKS), default=0)
        broken_by = rows[broken - 1].event if broken else ""
        meals = times_logged(row for row in rows[broken:] if row.event in MEALS)
        sheds = times_logged(row for row in rows if row.event in SHEDS)
        if rule is not None and (meals < rule.meals or sheds < rule.sheds):
            found.append(NotReady(animal.id, meals, broken_by, sheds, bool(rows), rule, animal.id in promised))
    return tuple(found)


def leaving_young(
    collection: Collection, private: Private, day: date, leaving: Collected[str] = ()
) -> Iterator[tuple[Animal, ReadyWhen | None]]:
    """Young of the room, on offer, promised or about to leave, by id; and what the species file asks of each before it leaves."""
    promised = private.promised(day).union(leaving)
    for animal in collection.animals.values():
        if not animal.here or not (animal.status in ("available", "on hold") or animal.id in promised):
            continue
        if animal.hatched is not None and animal.hatched.last <= day and day - animal.hatched.first <= _YOUNG:
            yield animal, fact_of(collection.species[animal.species], ReadyWhen)


def without_buyer(collection: Collection, private: Private) -> tuple[str, ...]:
    """Animals that went to a new owner, by their record, and stand in no sale that names whose they are; by id."""
    known = {name for sale in private.sales if sale.returned is None and sale.buyer for name in sale.animals}
    return tuple(name for name, animal in collection.animals.items() if name not in known and animal.way_out)


def without_hold(collection: Collection, private: Private, day: date) -> tuple[str, ...]:
    """Animals that are marked on hold, by their record, and stand in no sale that says for whom and until when; by id.

    A hold that begins later says it, too.
    """
    promised = (sale for sale in private.sales if sale.held_on(day) or not sale.begun_on(day))
    held = {name for sale in promised for name in sale.animals}
    return tuple(
        name
        for name, animal in sorted(collection.animals.items())
        if animal.status == "on hold" and animal.away is None and name not in held
    )


def undated(collection: Collection, private: Private, ledger: Ledger, day: date) -> tuple[Undated, ...]:
    """Hand-overs of animals with a page of which no dated record of that day or before stands in the ledger, oldest first.

    And what buyers were told last, while it can be dated still: no record of another day holds that.
    """
    found = []
    since = max(ledger.records[-1].on if ledger.records else date.min, day - _LATELY)
    for sale in private.sales:
        on = sale.handed_over
        if on is None or not on.by(day) or sale.back_on(day):
            continue
        for name in sale.animals:
            animal = collection.animals[name]
            if animal.publish != "page":
                continue
            dated = [one.on for one in ledger.of(*animal.was, name)]
            if not any(one <= on.last for one in dated):
                found.append(Undated(name, on, on.exact and since <= on.last))
            told = max((one.on for one in sale.told_of(name) if one.on.by(day)), default=on)
            if told.exact and since <= told.last and told.last > on.last and told.last not in dated:
                found.append(Undated(name, told, still=True, told=True))
    return tuple(sorted(found, key=lambda one: (one.on, one.animal)))


def holdings(collection: Collection, private: Private) -> Iterator[Holding]:
    """What is shared with somebody or lent, without what is over: a loan that came back, and what left otherwise since."""
    for one in private.holdings:
        animal = collection.animals.get(one.animal)  # None: a clutch
        if animal is not None and animal.away is not None and animal.away.how != "loan":
            continue
        latest = left = animal.left if animal is not None else None
        while left is not None and left.how != "loan":
            left = left.before
        if one.split is not None or left is None or (left is latest and left.back is None):
            yield one


def loans_ending(collection: Collection, private: Private, day: date) -> tuple[LoanEnding, ...]:
    """Shared and lent animals whose term ends within the notice, or has ended; the first to end first."""
    terms = ((one, one.until.last - day) for one in holdings(collection, private) if one.until is not None)
    found = (LoanEnding(one, left.days) for one, left in terms if left <= NOTICE)
    return tuple(sorted(found, key=lambda one: (one.days_left, one.holding.animal)))


def _unsettled(
    sale: Sale, collection: Collection, not_ready: Mapping[str, NotReady], apart: Sequence[Spell], day: date
) -> Iterator[Unsettled]:
    if sale.agreed is not None and sale.paid(day) < sale.agreed:
        yield Unsettled("balance")
    if sale.ready_to_go is not None and sale.ready_to_go.last > day:
        yield Unsettled("ready")
    for name in sale.animals:
        animal = collection.animals[name]
        yield from (Unsettled(spell, name) for spell in apart if spell.animal == name)
        if name in not_ready:
            yield Unsettled(not_ready[name], name)
        if animal.sex == "unknown":
            yield Unsettled("sex", name)
        if animal.origin is None and animal.clutch is None:
            yield Unsettled("origin", name)
        if animal.hatched is None:
            yield Unsettled("hatched", name)
