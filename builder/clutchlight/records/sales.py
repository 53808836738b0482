"""sales/*.yaml → holds, sales and hand-overs, checked against each other and against the animals they name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from fractions import Fraction
from itertools import pairwise

from clutchlight.model import When
from clutchlight.model.season import Payment, Sale, Told, plain_number
from clutchlight.plaintext.findings import Findings
from clutchlight.plaintext.strict import read_as
from clutchlight.plaintext.values import Table, Text
from clutchlight.records.known import Known
from clutchlight.records.private_shapes import SaleRecord


def read_sales(tables: Iterable[Table], known: Known, findings: Findings) -> Iterator[Sale]:
    """The sales that hold together; every problem is reported."""
    for table in tables:
        record = read_as(SaleRecord, table, findings)
        sale = None if record is None else _sale(record, known, findings)
        if sale is not None:
            yield sale


def check_together(sales: Sequence[Sale], findings: Findings) -> None:
    """Reports an animal that was handed to one person while another still had it."""
    by_animal: dict[str, list[Sale]] = {}
    for sale in sales:
        for animal in sale.animals:
            by_animal.setdefault(animal, []).append(sale)
    for animal, found in sorted(by_animal.items()):
        handed = sorted((sale for sale in found if sale.handed_over), key=lambda sale: (_day(sale), sale.place))
        for first, second in pairwise(handed):
            if first.returned is None or first.returned.first > _day(second):
                findings.report(
                    second.place,
                    "sold-twice",
                    f"'{animal}' is handed over here, but went out before in {first.place.file}, line {first.place.line},"
                    " and did not come back; correct the id, or write `returned` there",
                )


def check_future(sales: Sequence[Sale], today: date, findings: Findings) -> None:
    """Warns of a hand-over or a return after `today`; the last day of a hold lies ahead by nature."""
    for sale in sales:
        for key, when in (("handed_over", sale.handed_over), ("returned", sale.returned)):
            if when is not None and when.first > today:
                findings.report(
                    sale.place,
                    "future-date",
                    f"`{key}` is {when}, in the future; it counts as written, so look at the year",
                )


def _day(sale: Sale) -> date:
    return sale.handed_over.last if sale.handed_over is not None else date.max


def _sale(record: SaleRecord, known: Known, findings: Findings) -> Sale | None:
    before = findings.errors
    animals = known.animals(record.animals, findings)
    _check_dates(record, findings)
    payments = tuple(Payment(payment.on, payment.amount) for payment in record.payments)
    paid = sum((payment.amount for payment in payments), Fraction(0))
    if record.agreed is not None and paid > record.agreed:
        findings.report(
            record.at.key("payments"),
            "paid-over",
            f"the payments add up to {plain_number(paid)}, more than the {plain_number(record.agreed)} agreed; look at both",
        )
    if findings.errors > before or not animals:
        return None
    return Sale(
        animals=animals,
        place=record.at.place,
        buyer=_plain(record.buyer),
        agreed=record.agreed,
        held=record.held,
        until=record.until,
        deposit=record.deposit,
        payments=payments,
        ready_to_go=record.ready_to_go,
        handed_over=record.handed_over,
        how=_plain(record.how),
        returned=record.returned,
        terms=_plain(record.terms),
        told=tuple(Told(told.on, str(told.about)) for told in record.told),
        note=_plain(record.note),
    )


def _check_dates(record: SaleRecord, findings: Findings) -> None:
    if record.returned is not None and record.handed_over is None:
        findings.report(
            record.at.value("returned"),
            "returned-unsold",
            "`returned` stands without `handed_over`; add the day it left, or delete the sale if it never did",
        )
    pairs: tuple[tuple[str, When | None, str, When | None], ...] = (
        ("held", record.held, "until", record.until),
        ("held", record.held, "handed_over", record.handed_over),
        ("handed_over", record.handed_over, "returned", record.returned),
    )
    for first, earlier, second, later in pairs:
        if earlier is not None and later is not None and later.last < earlier.first:
            findings.report(
                record.at.value(second),
                "dates-out-of-order",
                f"`{second}` is {later}, before `{first}` ({earlier}); correct one of the dates",
            )


def _plain(text: Text | None) -> str | None:
    return None if text is None else str(text)
