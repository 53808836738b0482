"""`private: {shared: {with, split, since, until}}` of animals and hatchlings → animals shared with or lent between people."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from clutchlight.model.season import Holding
from clutchlight.plaintext.findings import Findings
from clutchlight.plaintext.strict import read_as
from clutchlight.plaintext.values import Items, Table, Text
from clutchlight.records.files import Folder
from clutchlight.records.known import Known
from clutchlight.records.private_shapes import SharedRecord


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
        partner=str(record.partner),
        place=record.at.place,
        split=record.split,
        since=record.since,
        until=record.until,
    )
