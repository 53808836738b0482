"""season/*.yaml → planned pairings, checked against the animals they name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

from clutchlight.model import When
from clutchlight.model.private import Holding, Payment, Plan, Sale, Told, plain_number
from clutchlight.problems import Place
from clutchlight.reading.files import Folder
from clutchlight.reading.findings import Findings
from clutchlight.reading.ids import Known
from clutchlight.reading.names import Names
from clutchlight.reading.private_shapes import PlanRecord, SaleRecord, SharedRecord
from clutchlight.reading.strict import read_as
from clutchlight.reading.text import Items, Table, Text


def read_plans(tables: Iterable[Table], known: Known, findings: Findings) -> Iterator[Plan]:
    """The plans that hold together; every problem is reported."""
    for table in tables:
        record = read_as(PlanRecord, table, findings)
        plan = None if record is None else _plan(record, known, findings)
        if plan is not None:
            yield plan


def _plan(record: PlanRecord, known: Known, findings: Findings) -> Plan | None:
    before = findings.errors
    female = known.animal(record.female, findings)
    males = known.animals(record.males, findings)
    backup = None if record.backup is None else known.animal(record.backup, findings)
    _check_sex(female, "female", record.female.place, known, findings)
    for name in (*record.males, *((record.backup,) if record.backup is not None else ())):
        _check_sex(str(name), "male", name.place, known, findings)
        _check_species(str(name), female, name.place, known, findings)
    if backup is not None and backup in males and record.backup is not None:
        findings.report(
            record.backup.place,
            "plan-twice",
            f"'{backup}' is already among the males; leave `backup` out, or name another",
        )
    if record.start is not None and record.until is not None and record.until.last < record.start.first:
        findings.report(
            record.at.value("until"),
            "dates-out-of-order",
            f"`until` is {record.until}, before `from` ({record.start}); correct one of the dates",
        )
    want = _want(record.want, female, known, findings)
    if findings.errors > before or female is None:
        return None
    return Plan(
        female=female,
        males=males,
        place=record.at.place,
        backup=backup,
        start=record.start,
        until=record.until,
        want=want,
        purpose=record.purpose,
        public=record.public,
        result=record.result,
        note=record.note,
    )


def _want(names: tuple[Text, ...], female: str | None, known: Known, findings: Findings) -> tuple[str, ...]:
    record = known.record(female)
    if record is None or known.collection is None or record.species not in known.collection.species:
        return tuple(str(name) for name in names)
    looks = Names(known.collection.species[record.species])
    return tuple(dict.fromkeys(look for name in names for look in looks.one_look(name, findings)))


def _check_sex(animal: str | None, wanted: str, place: Place, known: Known, findings: Findings) -> None:
    record = known.record(animal)
    if record is not None and record.sex not in ("unknown", wanted):
        findings.report(
            place, "plan-sex", f"'{animal}' is on record as {record.sex}, not {wanted}; correct the id or its sex"
        )


def _check_species(male: str, female: str | None, place: Place, known: Known, findings: Findings) -> None:
    one, other = known.record(male), known.record(female)
    if one is not None and other is not None and one.species != other.species:
        findings.report(
            place,
            "plan-sex",
            f"'{male}' is of the species {one.species}, '{female}' of {other.species}; name a male of her own species",
        )


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
        buyer=record.buyer,
        agreed=record.agreed,
        held=record.held,
        until=record.until,
        deposit=record.deposit,
        payments=payments,
        ready_to_go=record.ready_to_go,
        handed_over=record.handed_over,
        how=record.how,
        returned=record.returned,
        terms=record.terms,
        told=tuple(Told(told.on, told.about) for told in record.told),
        note=record.note,
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


def read_holdings(folder: Path, known: Known, findings: Findings) -> Iterator[Holding]:
    """The shared animals of the public files' private parts. What is wrong with those files otherwise is told elsewhere."""
    quiet = Folder(folder, Findings())
    for name in ("animals", "clutches"):
        for source in quiet.sources(name):
            for table in _animals(source.root):
                holding = _holding(table, known, findings)
                if holding is not None:
                    yield holding


def _animals(root: object) -> Iterator[Table]:
    for table in root if isinstance(root, Items) else [root]:
        if isinstance(table, Table):
            yield table
            young = table.get("young")
            if isinstance(young, Items):
                yield from (item for item in young if isinstance(item, Table))


def _holding(table: Table, known: Known, findings: Findings) -> Holding | None:
    private, own = table.get("private"), table.get("id")
    shared = private.get("shared") if isinstance(private, Table) else None
    if shared is None or (isinstance(shared, Text) and shared.empty) or not isinstance(own, Text):
        return None
    record = read_as(SharedRecord, shared, findings)
    if record is None:
        return None
    animal = own if known.clutch(own) is not None else known.animal(own, Findings())
    return Holding(
        animal=str(animal or own),
        partner=record.partner,
        place=record.at.place,
        split=record.split,
        since=record.since,
        until=record.until,
    )
