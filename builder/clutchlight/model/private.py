"""The private side, as values: plans for pairings, the log, sales, shared animals, the breeder's own limits. Frozen.

Nothing here ever reaches a public page: the only ways out are `reading.public_side`, which hands over a status, a date
and the log facts that collection.yaml opts in.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from fractions import Fraction
from typing import Literal

from msgspec import Struct, field

from clutchlight.model.animals import Animal, Leaving, When
from clutchlight.problems import Place

EVENTS = (
    "weight",
    "meal",
    "refused",
    "shed",
    "paired",
    "lock",
    "parted",
    "no interest",
    "plug",
    "cooled",
    "warmed",
    "building",
    "ovulation",
    "pre-lay shed",
    "laid",
    "slugs only",
    "candled",
    "egg lost",
    "pipped",
    "hatched",
    "box",
    "temperature",
    "sexed",
    "first shed",
    "first meal",
    "assisted",
    "treatment",
    "quarantine",
    "note",
)
TOGETHER = ("paired", "lock")
PAIR_EVENTS = (*TOGETHER, "parted")
WITH_EVENTS = (*PAIR_EVENTS, "no interest")
"""Events that name another animal beside the one they are of."""
LAYINGS = ("laid", "slugs only")
FEMALE_EVENTS = ("building", "ovulation", "pre-lay shed", *LAYINGS)
CLUTCH_EVENTS = (*LAYINGS, "candled", "egg lost", "pipped", "hatched")
"""Events around eggs; their value is a number."""
MEALS = ("meal", "first meal")
OFFERS = (*MEALS, "refused", "assisted")
"""Events of food, eaten or not."""
SHEDS = ("shed", "first shed")
BOX_EVENTS = ("box", "temperature")
"""Events of the box in which the eggs of a clutch lie; their value is text."""

STAGES = ("building", "ovulation", "pre-lay shed", "laid", "pipped", "hatched", "first shed", "first meal")
"""What a window can lead from and to, as the log names it."""

Purpose = Literal["prove", "produce"]


class Plan(Struct, frozen=True):
    """A planned pairing. `want`: look names in canonical spelling. `backup`: the male that is used if the others fail."""

    female: str
    males: tuple[str, ...]
    place: Place
    backup: str | None = None
    start: When | None = None
    until: When | None = None
    want: tuple[str, ...] = ()
    purpose: Purpose = "produce"
    public: bool = False
    result: str | None = None
    note: str | None = None

    @property
    def every_male(self) -> tuple[str, ...]:
        """Its males, the backup among them."""
        return self.males if self.backup is None else (*self.males, self.backup)

    @property
    def last(self) -> date:
        """The last day planned for; of one that names none what is shown of it is over after a year."""
        if self.until is not None:
            return self.until.last
        return date.max if self.start is None else self.start.last + timedelta(days=365)

    def current(self, day: date) -> bool:
        """Whether `day` lies in its span; a plan with a result is over."""
        begun = self.start is None or self.start.by(day)
        return begun and (self.until is None or day <= self.until.last) and self.result is None


class LogRow(Struct, frozen=True):
    """One happening. `number`: grams for a weight, a count for eggs and hatchlings.

    `partner` is the other animal of a pairing. `clutch` is set where the row names a clutch; `animal` is then its dam.
    `odd_after`: of a weight, the weighing before it from which no snake gets to it so fast, while none after it bears it out.
    """

    on: When
    animal: str
    event: str
    place: Place
    partner: str | None = None
    value: str | None = None
    number: Fraction | None = None
    note: str | None = None
    clutch: str | None = None
    odd_after: LogRow | None = None

    @property
    def day(self) -> date:
        return self.on.last

    @property
    def weight(self) -> Fraction | None:
        """The grams of a weighing; None of a gain too fast for a snake. A loss as fast counts, for it may be one."""
        if self.event != "weight" or self.number is None:
            return None
        before = self.odd_after.number if self.odd_after is not None else None
        return None if before is not None and self.number > before else self.number

    @property
    def says(self) -> tuple[str, ...]:
        """What it says besides: its value and its note; () where it has neither."""
        return tuple(text for text in (self.value, self.note) if text)

    def with_(self, animal: str) -> str | None:
        """The other animal of a row that `animal` stands in on either side; None when it does not, or stands alone."""
        if animal == self.animal:
            return self.partner
        return self.animal if animal == self.partner else None


def times_logged(rows: Iterable[LogRow]) -> int:
    """How often something happened: rows of one known day are one, such as a first meal that stands as a meal too."""
    listed = list(rows)
    return len({row.on for row in listed if row.on.exact}) + sum(not row.on.exact for row in listed)


def once(rows: Iterable[LogRow]) -> tuple[LogRow, ...]:
    """Of what two did on a day the rows of one side, where it was logged of both and one of them says no more than the other."""
    listed = tuple(rows)
    waiting: dict[tuple[When, str, str | None, str | None], list[LogRow]] = {}
    second: set[LogRow] = set()
    for row in listed:
        others = waiting.get((row.on, row.event, row.partner, row.animal), [])
        twin = next((one for one in others if not one.says or not row.says or one.says == row.says), None)
        if twin is None:
            waiting.setdefault((row.on, row.event, row.animal, row.partner), []).append(row)
        else:
            others.remove(twin)
            second.add(row if twin.says else twin)
    return tuple(row for row in listed if row not in second)


class Payment(Struct, frozen=True):
    on: When
    amount: Fraction


class Told(Struct, frozen=True):
    """That the buyer was told of something, and when. `animals`: of which of the sale; () for all."""

    on: When
    about: str
    animals: tuple[str, ...] = ()


class Sale(Struct, frozen=True):
    """A hold, a sale, a hand-over, of one or several animals to one person. Amounts are in the collection's currency.

    `given_up`: when a hold came to nothing; one with a `refund` did so on a day that nobody wrote down. `refund`: what the buyer got back
    of a sale that came to nothing, where the rest is kept by agreement, or of what was paid beyond the price.
    """

    animals: tuple[str, ...]
    place: Place
    buyer: str | None = None
    agreed: Fraction | None = None
    held: When | None = None
    until: When | None = None
    deposit: Fraction | None = None
    payments: tuple[Payment, ...] = ()
    ready_to_go: When | None = None
    handed_over: When | None = None
    how: str | None = None
    returned: When | None = None
    given_up: When | None = None
    refund: Fraction | None = None
    terms: str | None = None
    told: tuple[Told, ...] = ()
    note: str | None = None

    def paid(self, day: date = date.max) -> Fraction:
        """What was paid by a day."""
        return sum((payment.amount for payment in self.payments if payment.on.by(day)), Fraction(0))

    @property
    def paid_beyond(self) -> Fraction:
        """What was paid beyond the price of what was handed over, whether it went back or not."""
        gone = self.handed_over is not None and self.returned is None
        return max(self.paid() - self.agreed, Fraction(0)) if gone and self.agreed is not None else Fraction(0)

    @property
    def paid_on(self) -> When | None:
        """The day of the payment that made up the agreed price; None while something is open."""
        if self.agreed is None or self.paid() < self.agreed or not self.payments:
            return None
        return max(payment.on for payment in self.payments)

    def told_of(self, animal: str) -> tuple[Told, ...]:
        """What the buyer was told of one of its animals."""
        return tuple(told for told in self.told if not told.animals or animal in told.animals)

    def knows_since(self, day: date, animal: str | None = None) -> date | None:
        """The day up to which the buyer was told, of one animal or of any; None where nothing was handed over or paid for, or it came to
        nothing."""
        sold = next((when for when in (self.handed_over, self.paid_on) if when is not None and when.last <= day), None)
        if sold is None or self.back_on(day) or self.over_on(day):
            return None
        told = self.told if animal is None else self.told_of(animal)
        return max((one.on.last for one in told if one.on.last <= day), default=sold.last)

    def held_on(self, day: date) -> bool:
        """Whether its animals are promised to somebody on a day, and still here."""
        return self.begun_on(day) and not self.gone_on(day) and not self.back_on(day) and not self.over_on(day)

    def over_on(self, day: date = date.max) -> bool:
        """Whether it came to nothing, without a hand-over, by a day."""
        if self.handed_over is not None:
            return False
        return self.refund is not None if self.given_up is None else self.given_up.by(day)

    def begun_on(self, day: date) -> bool:
        return self.begun is None or self.begun.by(day)

    def gone_on(self, day: date) -> bool:
        return self.handed_over is not None and self.handed_over.by(day)

    def sold_before(self, left: Leaving) -> bool:
        """Whether an animal that died, or went back to its owner, had been handed over before, to stay with its buyer."""
        gone = self.handed_over is not None and self.returned is None
        return gone and left.how in ("died", "returned") and (left.on is None or self.gone_on(left.on.last))

    def lent_back(self, animal: Animal) -> bool:
        """Whether an animal that was handed over came here again since, on loan from its buyer."""
        came, handed = animal.came, self.handed_over
        return bool(came and came.how == "loan" and came.on and handed and handed.last < came.on.first)

    def back_on(self, day: date) -> bool:
        return self.returned is not None and self.returned.by(day)

    @property
    def begun(self) -> When | None:
        """The earliest date in it, by which sales of one animal are put in order."""
        dates = (self.held, *(payment.on for payment in self.payments), self.handed_over)
        return min((when for when in dates if when is not None), default=None)


class Holding(Struct, frozen=True):
    """An animal shared with or lent between people: `private: {shared: {with, split, since, until}}`."""

    animal: str
    partner: str
    place: Place
    split: str | None = None
    since: When | None = None
    until: When | None = None


class SeasonRules(Struct, frozen=True):
    """Limits of the breeder's own, from `season:` in collection.yaml; what is missing comes from the species file.

    `male` and `small_male`: by limit name. `readiness`: by (sex, "age_months" or "weight_g"). `windows`: days (from, to) by
    (after, comes). `sire_window_days`: how far back a pairing counts when a clutch is written down.
    """

    male: Mapping[str, Fraction] = field(default_factory=dict)
    small_male: Mapping[str, Fraction] = field(default_factory=dict)
    readiness: Mapping[tuple[str, str], Fraction] = field(default_factory=dict)
    windows: Mapping[tuple[str, str], tuple[int, int]] = field(default_factory=dict)
    sire_window_days: int | None = None


class Private(Struct, frozen=True):
    """Everything private. `log` is in order of date, then as written. `rules`: by species key; "" holds for all."""

    plans: tuple[Plan, ...] = ()
    log: tuple[LogRow, ...] = ()
    sales: tuple[Sale, ...] = ()
    holdings: tuple[Holding, ...] = ()
    rules: Mapping[str, SeasonRules] = field(default_factory=dict)

    def promised(self, day: date) -> frozenset[str]:
        """The animals that somebody is promised on a day."""
        return frozenset(name for sale in self.sales if sale.held_on(day) for name in sale.animals)

    def still_to_leave(self, day: date) -> frozenset[str]:
        """The sold animals whose hand-over is written down and to come on a day."""
        to_come = (sale for sale in self.sales if sale.handed_over and not sale.gone_on(day))
        return frozenset(name for sale in to_come for name in sale.animals)

    def of(self, animal: str) -> tuple[LogRow, ...]:
        """The rows that an animal stands in, on either side."""
        return once(row for row in self.log if animal in (row.animal, row.partner))


def plain_number(number: Fraction) -> str:
    """A weight as people write it: 1215, 18.5; without a point when it is whole."""
    return str(number.numerator) if number.denominator == 1 else f"{float(number):.10g}"


def plain_amount(amount: Fraction, thousands: str = "") -> str:
    """An amount of money in digits: 350, 800.50; with two decimals or none. `thousands`: what parts them.

    >>> plain_amount(Fraction("1200.5")), plain_amount(Fraction(1200), ",")
    ('1200.50', '1,200')
    """
    whole, cents = divmod(round(amount * 100), 100)
    return f"{whole:,}".replace(",", thousands) + (f".{cents:02d}" if cents else "")
