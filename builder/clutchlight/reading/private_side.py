"""season/, log/, sales/ and what is private in the other records → the private side, or every problem in it at once.

It is read after the collection, because it names its animals. When the collection itself has errors, ids are not looked up.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Annotated, ClassVar, get_args

from msgspec.structs import replace

from clutchlight.model import Animal, Collection, Leaving, When
from clutchlight.model.animals import gone
from clutchlight.model.private import (
    Holding,
    LogRow,
    Payment,
    Plan,
    Private,
    Purpose,
    Sale,
    SeasonRules,
    Told,
    plain_amount,
)
from clutchlight.problems import Place, Problem, errors_in, in_order
from clutchlight.reading import log
from clutchlight.reading.catalogue import built_in_species
from clutchlight.reading.checks import check_future
from clutchlight.reading.collection import ReadResult
from clutchlight.reading.fields import (
    Called,
    Day,
    Names,
    SeveralCalled,
    Words,
    YesNo,
    one_of,
    parse_price,
    text_of,
)
from clutchlight.reading.files import Folder
from clutchlight.reading.findings import Findings, in_words
from clutchlight.reading.ids import Known
from clutchlight.reading.names import Names as NamesOf
from clutchlight.reading.settings import read_rules
from clutchlight.reading.strict import RecordShape, Shape, UnfitError, read_as, tables_in
from clutchlight.reading.text import Table, Written, WrittenText, is_empty


def read_private(
    folder: Path, public: ReadResult, today: date | None = None
) -> tuple[Private | None, tuple[Problem, ...]]:
    """The private side, or None when any problem is an error; and all problems, in order."""
    collection, findings = public.collection, Findings(today)
    known = Known(collection, public.register)
    files = Folder(folder, findings)
    rows = _log(files, known, findings)
    check_future(findings)
    planned = _records(files, "season", PlanRecord, findings)
    plans = tuple(plan for one in planned if (plan := _plan(one, known, findings)) is not None)
    sold = _records(files, "sales", SaleRecord, findings)
    sales = tuple(sale for one in sold if (sale := _sale(one, known, findings)) is not None)
    _check_sales(sales, findings)
    holdings = sorted(_holdings(public.private, known, findings), key=lambda holding: (holding.animal, holding.place))
    rules: Mapping[str, SeasonRules] = {}
    if public.season is not None:
        species = (*built_in_species(), *public.species) if collection is None else tuple(collection.species)
        rules = read_rules(public.season, species, findings)
    if collection is not None:
        log.check_sires(rows, collection, rules, findings)
        _check_offers(collection, sales, findings)
    problems = in_order(findings.problems)
    return None if errors_in(problems) else Private(plans, rows, sales, tuple(holdings), rules), problems


def _log(files: Folder, known: Known, findings: Findings) -> tuple[LogRow, ...]:
    texts = ((file, files.text(file)) for file in files.names("log"))
    ordered = log.in_time(
        row for file, text in texts if text is not None for row in log.read_log(text, file, known, findings)
    )
    log.check_together(ordered, findings)
    odd = {one.row: one.before for one in log.odd_weights(ordered) if not one.borne_out}
    return tuple(replace(row, odd_after=odd[row]) if row in odd else row for row in ordered)


def _records(files: Folder, folder: str, shape: type[Shape], findings: Findings) -> Iterator[Shape]:
    """The records of one folder that fit their shape."""
    wanted = f"write {shape.noun} with its keys, or a list of them"
    for source in files.sources(folder):
        for table in () if source.root is None else tables_in(source.root, findings, wanted):
            if (record := read_as(shape, table, findings)) is not None:
                yield record


# ---- plans


class PlanRecord(RecordShape, noun="a plan"):
    """A planned pairing in season/."""

    hints: ClassVar[Mapping[str, str]] = {
        "male": "write `males: [M-01]`",
        "sire": "write `males: [M-01]`",
        "dam": "write `female`",
        "traits": "write `want: [Piebald]`",
        "to": "write `until`",
    }

    female: Called
    males: SeveralCalled
    backup: Called | None = None
    start: Annotated[Day | None, "from"] = None
    until: Day | None = None
    want: Names = ()
    purpose: Annotated[Purpose, one_of(get_args(Purpose))] = "produce"
    public: YesNo = False
    result: Words | None = None
    note: Words | None = None


def _plan(record: PlanRecord, known: Known, findings: Findings) -> Plan | None:
    before = findings.errors
    female = known.animal(record.female, findings)
    males = known.animals(record.males, findings)
    if not record.males:
        said = "`males` is empty; name at least one, such as `males: [M-01]`"
        findings.report(record.at.value("males"), "missing-key", said)
    backup = None if record.backup is None else known.animal(record.backup, findings)
    _check_sex(female, "female", record.female.place, known, findings)
    for name in filter(None, (*record.males, record.backup)):
        male = known.as_written(name)
        _check_sex(male, "male", name.place, known, findings)
        _check_species(male, female, name.place, known, findings)
    if backup is not None and backup in males and record.backup is not None:
        said = f"'{backup}' is already among the males; leave `backup` out, or name another"
        findings.report(record.backup.place, "plan-twice", said)
    if record.start is not None and record.until is not None and record.until.last < record.start.first:
        said = f"`until` is {record.until}, before `from` ({record.start}); correct one of the dates"
        findings.report(record.at.value("until"), "dates-out-of-order", said)
    want = _want(record.want, female, known, findings)
    if findings.errors > before or female is None:
        return None
    return record.as_value(Plan, female=female, males=males, backup=backup, want=want)


def _want(names: tuple[WrittenText, ...], female: str | None, known: Known, findings: Findings) -> tuple[str, ...]:
    record = known.record(female)
    if record is None or known.collection is None or record.species not in known.collection.species:
        return tuple(str(name) for name in names)
    looks = NamesOf(known.collection.species[record.species])
    return tuple(dict.fromkeys(look for name in names for look in looks.one_look(name, findings)))


def _check_sex(animal: str | None, wanted: str, place: Place, known: Known, findings: Findings) -> None:
    record = known.record(animal)
    if record is not None and record.sex not in ("unknown", wanted):
        said = f"'{animal}' is on record as {record.sex}, not {wanted}; correct the id or its sex"
        findings.report(place, "plan-sex", said)


def _check_species(male: str | None, female: str | None, place: Place, known: Known, findings: Findings) -> None:
    one, other = known.record(male), known.record(female)
    if one is not None and other is not None and one.species != other.species:
        said = f"'{male}' is of the species {one.species}, '{female}' of {other.species}"
        findings.report(place, "plan-sex", f"{said}; name a male of her own species")


# ---- sales


def _amount(value: Written) -> Fraction:
    if (price := parse_price(text_of(value, "one amount"))) == "ask":
        raise UnfitError("bad-price", "'ask' is not an amount; write a number such as 350")
    return Fraction(price)


_ODD_PRICE = 3

Amount = Annotated[Fraction, _amount]


class PaymentRecord(RecordShape, noun="a payment", makes=Payment):
    on: Day
    amount: Amount


class ToldRecord(RecordShape, noun="what the buyer was told"):
    on: Day
    about: Words
    animals: SeveralCalled = ()


class SaleRecord(RecordShape, noun="a sale"):
    """A hold, a sale, a hand-over in sales/."""

    hints: ClassVar[Mapping[str, str]] = {
        "animal": "write `animals: [C24-03-2]`",
        "price": "write `agreed`",
        "paid": "write `payments: [{on: 2024-05-18, amount: 50}]`",
        "sold": "write `handed_over` with its date",
        "notes": "write `note`",
    }

    animals: SeveralCalled
    buyer: Words | None = None
    agreed: Amount | None = None
    held: Day | None = None
    until: Day | None = None
    deposit: Amount | None = None
    payments: tuple[PaymentRecord, ...] = ()
    ready_to_go: Day | None = None
    handed_over: Day | None = None
    how: Words | None = None
    returned: Day | None = None
    given_up: Day | None = None
    refund: Amount | None = None
    terms: Words | None = None
    told: tuple[ToldRecord, ...] = ()
    note: Words | None = None


def _sale(record: SaleRecord, known: Known, findings: Findings) -> Sale | None:
    before = findings.errors
    animals = known.animals(record.animals, findings)
    if not record.animals:
        said = "`animals` is empty; name at least one, such as `animals: [C24-03-2]`"
        findings.report(record.at.value("animals"), "missing-key", said)
    _check_dates(record, findings)
    paid = sum((payment.amount for payment in record.payments), Fraction(0))
    if record.agreed is not None and paid > record.agreed + (record.refund or 0):
        said = f"the payments add up to {plain_amount(paid)}, more than the {plain_amount(record.agreed)} agreed; look at both"
        findings.report(record.at.key("payments"), "paid-over", said)
    if findings.errors > before or not animals:
        return None
    told = tuple(_told(one, animals, known, findings) for one in record.told)
    return None if findings.errors > before else record.as_value(Sale, animals=animals, told=told)


def _told(record: ToldRecord, sold: Sequence[str], known: Known, findings: Findings) -> Told:
    """What the buyer was told, of animals of the sale alone."""
    animals = known.animals(record.animals, findings)
    for name in animals:
        if name not in sold:
            said = f"'{name}' is no animal of this sale; it is about {in_words(sold, 'and')}"
            findings.report(record.at.value("animals"), "unknown-animal", said)
    return record.as_value(Told, animals=animals)


def _check_dates(record: SaleRecord, findings: Findings) -> None:
    if record.returned is not None and record.handed_over is None:
        said = "`returned` stands without `handed_over`; add the day it left, or delete the sale if it never did"
        findings.report(record.at.value("returned"), "returned-unsold", said)
    if record.given_up is not None and record.handed_over is not None:
        said = "`given_up` stands beside `handed_over`; a hold is given up or handed over, and what came back is `returned`"
        findings.report(record.at.value("given_up"), "given-up-sold", said)
    order = (("held", "until"), ("held", "handed_over"), ("held", "given_up"), ("handed_over", "returned"))
    for first, second in order:
        earlier: When | None = getattr(record, first)
        later: When | None = getattr(record, second)
        if earlier is not None and later is not None and later.last < earlier.first:
            said = f"`{second}` is {later}, before `{first}` ({earlier}); correct one of the dates"
            findings.report(record.at.value(second), "dates-out-of-order", said)


def _check_sales(sales: Sequence[Sale], findings: Findings) -> None:
    """An animal handed over while another person still had it; what lies in the future, but for the end of a hold."""
    handed: dict[str, list[tuple[date, Place, Sale]]] = {}
    for sale in sales:
        for key in ("handed_over", "returned", "given_up"):
            when: When | None = getattr(sale, key)
            if findings.in_future(when):
                message = f"`{key}` is {when}, in the future; it counts as written, so look at the year"
                findings.report(sale.place, "future-date", message)
        for told in (told for told in sale.told if findings.in_future(told.on)):
            message = f"`told` is of {told.on}, in the future; the desk goes by it from that day on"
            findings.report(sale.place, "future-date", f"{message}, so look at the year")
        if sale.handed_over is not None:
            gone = sale.handed_over.last
            if sale.returned is not None:
                gone = min(gone, sale.returned.first)
            for animal in sale.animals:
                handed.setdefault(animal, []).append((gone, sale.place, sale))
    for animal, found in sorted(handed.items()):
        for (_, _, first), (day, place, _) in pairwise(sorted(found, key=lambda one: one[:2])):
            if first.returned is None or first.returned.first > day:
                said = (
                    f"'{animal}' is handed over here, but went out before in {first.place.file}, line {first.place.line},"
                    " and was not back by then; correct the id or the day, or write `returned` there"
                )
                findings.report(place, "sold-twice", said)


def _check_offers(collection: Collection, sales: Sequence[Sale], findings: Findings) -> None:
    """A price that is not offered, and sales that say otherwise than the animal's own record."""
    sold = {name for sale in sales for name in sale.animals}
    for animal in collection.animals.values():
        if animal.price and "status" not in animal.places and animal.left is None and animal.id not in sold:
            said = (
                f"'{animal.id}' has a price but no status, so it is not offered; write `status: available` "
                "(on the line of a young: `available`, before the price), or take the price out"
            )
            findings.report(animal.place_of("price"), "price-without-status", said)
    for sale in sales:
        for name in sale.animals:
            hatched = collection.animals[name].hatched
            if sale.handed_over and hatched and not hatched.vague and sale.handed_over.last < hatched.first:
                early = f"'{name}' is handed over here ({sale.handed_over}), before it hatched ({hatched}); correct one of the dates"
                findings.report(sale.place, "dates-out-of-order", early)
            if otherwise := _mismatch(sale, collection.animals[name]):
                findings.report(sale.place, "sale-mismatch", f"{otherwise}; correct the one that is wrong")


def _mismatch(sale: Sale, animal: Animal) -> str | None:
    handed, left = sale.handed_over, gone(animal.left, animal.came)
    if left is not None and sale.sold_before(left):
        left = Leaving("sold", handed)
    if handed is not None and sale.returned is None and not sale.lent_back(animal):
        if left is None and "status" in animal.places and animal.status == "elsewhere":
            return f"'{animal.id}' is handed over here ({handed}), but its own record says '{animal.status}'"
        if left is not None and left.how not in ("sold", "traded"):
            return f"'{animal.id}' is handed over here ({handed}), but its own record says that it left otherwise ({left.how})"
        if left is not None and left.on is not None and not left.on.meets(handed):
            return f"'{animal.id}' is handed over here on {handed}, but its own record says that it left {left.on}"
    asked = Fraction(animal.price) if animal.price and animal.price != "ask" else None
    agreed = sale.agreed if len(sale.animals) == 1 else None
    if agreed and asked and max(agreed, asked) >= _ODD_PRICE * min(agreed, asked):
        return f"{plain_amount(agreed)} is agreed for '{animal.id}', whose price is {plain_amount(asked)}"
    return None


# ---- shared animals


class SharedRecord(RecordShape, noun="a shared animal"):
    """`private: {shared: ...}` of an animal or a clutch."""

    partner: Annotated[Words, "with"]
    split: Annotated[str, lambda value: str(text_of(value, "how it is split, such as 50/50"))] | None = None
    since: Day | None = None
    until: Day | None = None
    then: SharedRecord | None = None


def _holdings(private: Iterable[tuple[WrittenText, Table]], known: Known, findings: Findings) -> Iterator[Holding]:
    for name, table in private:
        shared = table.get("shared")
        record = None if shared is None or is_empty(shared) else read_as(SharedRecord, shared, findings)
        while record is not None:
            if record.split is not None or record.then is None:  # else a loan, and that is over
                yield record.as_value(Holding, animal=str(known.as_written(name)))
            record = record.then
