"""Which ids there are: one namespace for animals, clutches and earlier ids, whatever the case.

Ids found in files that could not be read count as known, so that one broken file is one problem and not a cascade.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Literal, NamedTuple

from clutchlight.plaintext.findings import Findings
from clutchlight.plaintext.values import Items, Table, Text
from clutchlight.problems import Place
from clutchlight.records.missing_clutches import remedy_for_unknown

Kind = Literal["animal", "clutch", "earlier id", "broken"]

_WRITTEN_ID = re.compile(r"(?:^|[\s{,])id\s*:\s*[\"']?([A-Za-z0-9._-]{1,64})", re.MULTILINE)
_NUMBER = re.compile(r"[0-9]{1,4}(?=\s)")
_NUMBERED = re.compile(r"^\s*-\s+[\"']?([0-9]{1,4})\s", re.MULTILINE)


class Entry(NamedTuple):
    id: str
    kind: Kind
    place: Place
    now: str


class Register:
    def __init__(self) -> None:
        self.entries: dict[str, Entry] = {}

    def add(self, name: Text, kind: Kind, findings: Findings, now: str | None = None) -> bool:
        """Enters an id; False, and a problem at the later place, when it is taken."""
        entry = Entry(str(name), kind, name.place, now or str(name))
        held = self.entries.setdefault(name.casefold(), entry)
        if held is entry:
            return True
        if held.kind == "broken":
            self.entries[name.casefold()] = entry
            return True
        copied = ", or delete the copy" if held.kind == kind != "earlier id" else ""
        case = " (ids that differ only in case are one)" if held.id != name else ""
        earlier = (
            "an earlier id"
            if held.kind == "earlier id"
            else f"the id of {'an' if held.kind == 'animal' else 'a'} {held.kind}"
        )
        findings.report(
            name.place,
            "duplicate-id",
            f"'{name}' is already {earlier} in {held.place.file}, line {held.place.line}{case}; give one of them another id{copied}",
        )
        return False

    def add_broken(self, text: str, file: str) -> None:
        """Enters whatever looks like an id in a file that could not be read."""
        found = [match.group(1) for match in _WRITTEN_ID.finditer(text)]
        if file.startswith("clutches/") and found:
            found += [f"{found[0]}-{match.group(1)}" for match in _NUMBERED.finditer(text)]
        for name in found:
            self.entries.setdefault(name.casefold(), Entry(name, "broken", Place(file), name))

    def add_known(self, names: Iterable[Text]) -> None:
        """Enters ids of a record that is left out for a mistake told elsewhere."""
        for name in names:
            self.entries.setdefault(name.casefold(), Entry(str(name), "broken", name.place, str(name)))

    def add_unshaped(self, tables: Iterable[Table], clutch: bool) -> None:
        """Enters the ids of records that were read but do not fit their shape."""
        self.add_known(_ids_in(tables, clutch))

    def known(self, name: str) -> Entry | None:
        found = self.entries.get(name.casefold())
        return found if found is not None and (found.id == name or found.kind == "broken") else None

    def of_kind(self, kind: Kind) -> Iterator[str]:
        return (entry.id for entry in self.entries.values() if entry.kind == kind)

    def parent(self, name: Text, role: str, findings: Findings) -> str | None:
        """The present id of an animal named as a parent; None, with a problem, when there is none."""
        entry = self.known(name)
        if entry is None:
            clutches, animals = self.of_kind("clutch"), self.of_kind("animal")
            remedy = remedy_for_unknown(name, clutches, animals, self.entries, findings.nearest)
            findings.report(name.place, "unknown-animal", f"{role} '{name}' has no record; {remedy}")
            return None
        if entry.kind == "clutch":
            findings.report(name.place, "not-an-animal", f"{role} '{name}' is a clutch; name one animal of it")
            return None
        now = self.entries.get(entry.now.casefold())
        if now is not None and now.kind == "clutch":
            findings.report(name.place, "not-an-animal", f"{role} '{name}' is a clutch; name one animal of it")
            return None
        return entry.now


def _ids_in(tables: Iterable[Table], clutch: bool) -> Iterator[Text]:
    for table in tables:
        own = table.get("id")
        if not isinstance(own, Text):
            continue
        yield own
        young = table.get("young")
        if not clutch or not isinstance(young, Items):
            continue
        for item in young:
            if isinstance(item, Table) and isinstance(item.get("id"), Text):
                yield item["id"]
            elif isinstance(item, Text) and (number := _NUMBER.match(item)):
                yield own.part(f"{own}-{int(number[0])}", 0)
