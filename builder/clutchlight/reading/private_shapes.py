"""What a plan, a sale, a shared animal and the breeder's own limits may say: keys, and the kind of each value."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Annotated, ClassVar, get_args

from pydantic import BeforeValidator, Field, PlainValidator

from clutchlight.model.private import Purpose
from clutchlight.reading.fields import (
    Count,
    Day,
    Id,
    Ids,
    Names,
    Number,
    Placed,
    Words,
    YesNo,
    listed,
    one_of,
    parse_price,
    text_of,
)
from clutchlight.reading.ranges import DayRange
from clutchlight.reading.strict import Written, unfit
from clutchlight.reading.text import Table


def _amount(value: object) -> Fraction:
    text = text_of(value, "one amount")
    if text.casefold() == "ask":
        raise unfit("bad-price", "'ask' is not an amount; write a number such as 350")
    return Fraction(parse_price(text))


def _share(value: object) -> str:
    """How something is split, as people say it: 50/50, two thirds, alternate clutches."""
    return str(text_of(value, "how it is split, such as 50/50"))


Amount = Annotated[Fraction, PlainValidator(_amount)]


class PlanRecord(Written):
    """A planned pairing in season/."""

    noun: ClassVar[str] = "a plan"
    hints: ClassVar[Mapping[str, str]] = {
        "male": "write `males: [M-01]`",
        "sire": "write `males: [M-01]`",
        "dam": "write `female`",
        "traits": "write `want: [Piebald]`",
        "to": "write `until`",
    }

    female: Id
    males: Ids
    backup: Id | None = None
    start: Day | None = Field(default=None, alias="from")
    until: Day | None = None
    want: Names = ()
    purpose: Annotated[Purpose, PlainValidator(one_of(get_args(Purpose)))] = "produce"
    public: YesNo = False
    result: Words | None = None
    note: Words | None = None


class PaymentRecord(Written):
    noun: ClassVar[str] = "a payment"
    on: Day
    amount: Amount


class ToldRecord(Written):
    noun: ClassVar[str] = "what the buyer was told"
    on: Day
    about: Words


class SaleRecord(Written):
    """A hold, a sale, a hand-over in sales/."""

    noun: ClassVar[str] = "a sale"
    hints: ClassVar[Mapping[str, str]] = {
        "animal": "write `animals: [C24-03-2]`",
        "price": "write `agreed`",
        "paid": "write `payments: [{on: 2024-05-18, amount: 50}]`",
        "sold": "write `handed_over` with its date",
        "notes": "write `note`",
    }

    animals: Ids
    buyer: Words | None = None
    agreed: Amount | None = None
    held: Day | None = None
    until: Day | None = None
    deposit: Amount | None = None
    payments: Annotated[tuple[PaymentRecord, ...], BeforeValidator(listed)] = ()
    ready_to_go: Day | None = None
    handed_over: Day | None = None
    how: Words | None = None
    returned: Day | None = None
    terms: Words | None = None
    told: Annotated[tuple[ToldRecord, ...], BeforeValidator(listed)] = ()
    note: Words | None = None


class SharedRecord(Written):
    """`private: {shared: ...}` of an animal."""

    noun: ClassVar[str] = "a shared animal"
    partner: Words = Field(alias="with")
    split: Annotated[str, PlainValidator(_share)] | None = None
    since: Day | None = None
    until: Day | None = None


class WindowRecord(Written):
    noun: ClassVar[str] = "a window"
    after: Placed
    comes: Placed
    days: DayRange


class LimitsRecord(Written):
    """Limits of a male in use; every one may be left out."""

    noun: ClassVar[str] = "the limits of a male in use"
    pairings_per_7_days: Number | None = None
    rest_days: Number | None = None
    weight_loss_percent: Number | None = None
    refusals: Number | None = None


class MaleRecord(LimitsRecord):
    small_below_g: Number | None = None
    small_or_first_season: LimitsRecord | None = None


class GrownRecord(Written):
    noun: ClassVar[str] = "readiness"
    age_months: Number | None = None
    weight_g: Number | None = None


class ReadinessRecord(Written):
    noun: ClassVar[str] = "readiness"
    male: GrownRecord | None = None
    female: GrownRecord | None = None


class RulesRecord(Written):
    """`season:` in collection.yaml, for all species or, under a species' key, for one."""

    noun: ClassVar[str] = "season"
    male: MaleRecord | None = None
    readiness: ReadinessRecord | None = None
    windows: Annotated[tuple[WindowRecord, ...], BeforeValidator(listed)] = ()
    sire_window_days: Count | None = None


def rules_by_species(table: Table, species: tuple[str, ...]) -> dict[str, Table]:
    """Takes `season:` apart: "" for what holds for all species, and a table for each species that is named."""
    apart = {key: table[key] for key in species if isinstance(table.get(key), Table)}
    general = Table({key: value for key, value in table.items() if key not in apart})
    general.mark = table.mark
    return {"": general, **apart}
