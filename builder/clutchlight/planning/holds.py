"""Holds that end, money that is open, hand-overs to prepare, young that are not ready to leave. Amounts in the collection's currency."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from typing import Literal

from clutchlight.model import Animal, Collection
from clutchlight.model.private import Holding, LogRow, Private, Sale
from clutchlight.planning.limits import ReadyToLeave, ready_to_leave

NOTICE = timedelta(days=14)
_YOUNG = timedelta(days=365)
_MEALS = ("meal", "first meal")
_SHEDS = ("shed", "first shed")
_BREAKS = ("refused", "assisted")

HoldState = Literal["ended", "ends soon", "held"]


@dataclass(frozen=True, slots=True)
class Hold:
    """One hold. `days_left` below 0: it ended so many days ago; None: no last day was agreed."""

    sale: Sale
    state: HoldState
    days_left: int | None


@dataclass(frozen=True, slots=True)
class Balance:
    """Money still open: `open_` is what is left of `agreed`. `gone`: the animals have been handed over already."""

    sale: Sale
    open_: Fraction
    gone: bool


@dataclass(frozen=True, slots=True)
class Paper:
    """What goes along with an animal; without one, a rule that the species file names."""

    animal: str | None
    text: str

    def __str__(self) -> str:
        return f"{self.animal}: {self.text}" if self.animal else self.text


@dataclass(frozen=True, slots=True)
class HandOver:
    """One hand-over to come. `lacks`: what to settle or to look up before it, in words."""

    sale: Sale
    since: date | None
    lacks: tuple[str, ...]
    papers: tuple[Paper, ...]


@dataclass(frozen=True, slots=True)
class NotReady:
    """A young animal, promised or offered, for which the log does not yet show what the species file asks."""

    animal: str
    meals_in_a_row: int
    sheds: int
    lacks: tuple[str, ...]
    rule: str
    source: str
    promised: bool


@dataclass(frozen=True, slots=True)
class LoanEnding:
    """A shared or lent animal whose term ends within the notice, or has ended."""

    holding: Holding
    days_left: int


def holds(private: Private, day: date) -> tuple[Hold, ...]:
    """Holds without a hand-over, the first to end first."""
    found = []
    for sale in private.sales:
        if sale.handed_over is None and (sale.held is None or sale.held.first <= day):
            left = None if sale.until is None else (sale.until.last - day).days
            state: HoldState = "held" if left is None or left > NOTICE.days else "ended" if left < 0 else "ends soon"
            found.append(Hold(sale, state, left))
    return tuple(sorted(found, key=lambda hold: (hold.days_left is None, hold.days_left or 0, hold.sale.place)))


def balances(private: Private, day: date) -> tuple[Balance, ...]:
    """Sales with something left to pay; animals that are gone already come first."""
    found = []
    for sale in private.sales:
        if sale.returned is None and sale.agreed is not None:
            paid = sum((payment.amount for payment in sale.payments if payment.on.first <= day), Fraction(0))
            if paid < sale.agreed:
                gone = sale.handed_over is not None and sale.handed_over.first <= day
                found.append(Balance(sale, sale.agreed - paid, gone))
    return tuple(sorted(found, key=lambda balance: (not balance.gone, balance.sale.place)))


def hand_overs(collection: Collection, private: Private, day: date) -> tuple[HandOver, ...]:
    """Sales still to be handed over, the longest ready first, with what is missing and which papers go along."""
    found: list[HandOver] = []
    not_ready = {one.animal: one for one in not_ready_to_leave(collection, private, day)}
    for sale in private.sales:
        if sale.handed_over is None:
            ready = sale.ready_to_go
            since = ready.last if ready is not None and ready.last <= day else None
            lacks = list(_lacks(sale, collection, not_ready, day))
            papers = [paper for name in sale.animals for paper in _papers(collection, name)]
            found.append(HandOver(sale, since, tuple(lacks), tuple(dict.fromkeys(papers))))
    return tuple(sorted(found, key=lambda one: (one.since or date.max, one.sale.place)))


def not_ready_to_leave(collection: Collection, private: Private, day: date) -> tuple[NotReady, ...]:
    """Young of the room, on offer or promised, that have not yet shed and fed as the species file asks; by id."""
    found: list[NotReady] = []
    promised = {name for sale in private.sales if sale.handed_over is None for name in sale.animals}
    for animal in collection.animals.values():
        if not animal.here or not (animal.status in ("available", "on hold") or animal.id in promised):
            continue
        if animal.hatched is None or animal.hatched.last > day or day - animal.hatched.first > _YOUNG:
            continue
        species = collection.species.get(animal.species)
        rule = ready_to_leave(species) if species is not None else None
        if rule is not None:
            found.extend(_not_ready(animal, rule, private.log, animal.id in promised, day))
    return tuple(sorted(found, key=lambda one: one.animal))


def loans_ending(private: Private, day: date) -> tuple[LoanEnding, ...]:
    """Shared and lent animals whose term ends within the notice, or has ended; the first to end first."""
    found = [
        LoanEnding(holding, (holding.until.last - day).days)
        for holding in private.holdings
        if holding.until is not None and holding.until.last <= day + NOTICE
    ]
    return tuple(sorted(found, key=lambda one: (one.days_left, one.holding.animal)))


def _not_ready(
    animal: Animal, rule: ReadyToLeave, log: Sequence[LogRow], promised: bool, day: date
) -> Iterator[NotReady]:
    meals = sheds = 0
    for row in log:
        if row.animal == animal.id and row.day <= day:
            meals = meals + 1 if row.event in _MEALS else 0 if row.event in _BREAKS else meals
            sheds += row.event in _SHEDS
    lacks: list[str] = []
    if not any(row.animal == animal.id and row.event in (*_MEALS, *_SHEDS, *_BREAKS) and row.day <= day for row in log):
        lacks.append("no meal or shed is logged")
    elif meals < rule.meals:
        lacks.append(f"{meals} of {rule.meals} meals in a row logged")
    if sheds < rule.sheds and "no meal or shed is logged" not in lacks:
        lacks.append(f"{sheds} of {rule.sheds} sheds logged")
    if lacks:
        yield NotReady(animal.id, meals, sheds, tuple(lacks), rule.text, rule.source, promised)


def _lacks(sale: Sale, collection: Collection, not_ready: dict[str, NotReady], day: date) -> Iterator[str]:
    paid = sum((payment.amount for payment in sale.payments if payment.on.first <= day), Fraction(0))
    if sale.agreed is not None and paid < sale.agreed:
        yield "the balance is open"
    if sale.ready_to_go is not None and sale.ready_to_go.last > day:
        yield f"ready from {sale.ready_to_go}"
    for name in sale.animals:
        animal = collection.animals.get(name)
        if animal is None:
            continue
        if name in not_ready:
            yield f"{name}: {' and '.join(not_ready[name].lacks)}"
        if animal.sex == "unknown":
            yield f"{name}: its sex is not on record"
        if animal.origin is None and animal.clutch is None:
            yield f"{name}: its origin is not on record"
        if animal.hatched is None:
            yield f"{name}: its date of hatching is not on record"


def _papers(collection: Collection, name: str) -> Iterator[Paper]:
    """The records of an animal and the rules that its species file names; the law of the place decides which apply."""
    animal = collection.animals.get(name)
    if animal is None:
        return
    yield Paper(name, "its statement, and its feeding and shedding record")
    species = collection.species.get(animal.species)
    rules = species.facts.get("law") if species is not None else None
    for rule in rules if isinstance(rules, tuple) else ():
        yield Paper(None, f"{rule['name']}: {rule['text']}")
