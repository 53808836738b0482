"""season/*.yaml → planned pairings, checked against the animals they name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import cast

from clutchlight.model.season import Plan, Purpose
from clutchlight.plaintext.findings import Findings
from clutchlight.plaintext.strict import read_as
from clutchlight.plaintext.values import Table, Text
from clutchlight.problems import Place
from clutchlight.records.known import Known
from clutchlight.records.naming import Names
from clutchlight.records.private_shapes import PlanRecord


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
        purpose=cast(Purpose, record.purpose),
        public=record.public,
        result=None if record.result is None else str(record.result),
        note=None if record.note is None else str(record.note),
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
