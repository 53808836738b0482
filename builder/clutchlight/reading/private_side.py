"""season/, log/, sales/ and what is private in the other records → the private side, or every problem in it at once.

It is read after the collection, because it names its animals. When the collection itself has errors, ids are not looked up.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path

from clutchlight.model import Collection
from clutchlight.model.private import LogRow, Private, SeasonRules
from clutchlight.problems import Place, Problem, errors_in, in_order
from clutchlight.reading import log, private_records
from clutchlight.reading.catalogue import built_in_species
from clutchlight.reading.checks import check_future
from clutchlight.reading.collection import SETTINGS_FILE, species_in
from clutchlight.reading.files import Folder, PrivateFolder, Source
from clutchlight.reading.findings import Findings
from clutchlight.reading.ids import Known
from clutchlight.reading.log import check_sires
from clutchlight.reading.private_records import read_holdings, read_plans
from clutchlight.reading.settings import read_rules
from clutchlight.reading.text import Items, Table, kind_of, place_of


def read_private(
    folder: Path, collection: Collection | None, today: date | None = None
) -> tuple[Private | None, tuple[Problem, ...]]:
    """The private side, or None when any problem is an error; and all problems, in order."""
    findings = Findings(today)
    known = Known(collection)
    files = PrivateFolder(folder, findings)
    log = _log(files, known, findings)
    check_future(findings)
    plans = tuple(read_plans(_tables(files, "season", "a plan", findings), known, findings))
    sold = tuple(private_records.read_sales(_tables(files, "sales", "a sale", findings), known, findings))
    private_records.check_together(sold, findings)
    if today is not None:
        private_records.check_future(sold, today, findings)
    holdings = tuple(
        sorted(read_holdings(folder, known, findings), key=lambda holding: (holding.animal, holding.place))
    )
    rules = _rules(folder, collection, findings)
    if collection is not None:
        check_sires(log, collection, rules, findings)
    problems = in_order(findings.problems)
    return None if errors_in(problems) else Private(plans, log, sold, holdings, rules), problems


def _log(files: PrivateFolder, known: Known, findings: Findings) -> tuple[LogRow, ...]:
    rows: list[LogRow] = []
    for file in files.names("log"):
        text = files.text(file)
        if text is not None:
            rows.extend(log.read_log(text, file, known, findings))
    ordered = log.in_time(rows)
    log.check_together(ordered, findings)
    return ordered


def _tables(files: PrivateFolder, folder: str, noun: str, findings: Findings) -> Iterator[Table]:
    for source in files.documents(folder):
        yield from _tables_of(source, noun, findings)


def _tables_of(source: Source, noun: str, findings: Findings) -> Iterator[Table]:
    for item in source.root if isinstance(source.root, Items) else [source.root]:
        if isinstance(item, Table):
            yield item
        else:
            place = place_of(item) or Place(source.file)
            findings.report(
                place, "wrong-shape", f"this is {kind_of(item)}; write {noun} with its keys, or a list of them"
            )


def _rules(folder: Path, collection: Collection | None, findings: Findings) -> Mapping[str, SeasonRules]:
    """The limits in collection.yaml, whose other parts are checked with the public records."""
    source = Folder(folder, Findings()).read(SETTINGS_FILE, markdown=False)
    root = source.root if source is not None else None
    table = root.get("season") if isinstance(root, Table) else None
    if not isinstance(table, Table):
        return {}
    return read_rules(
        table, (*built_in_species(), *species_in(root)) if collection is None else tuple(collection.species), findings
    )
