"""What was taken → the text of new files; and where in them each key of each animal stands, so that a problem leads back to its row."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import PurePath
from typing import NamedTuple

from clutchlight.editing.writing import Value, flow, scalar
from clutchlight.intake.taking import Entry, Taken
from clutchlight.reading.log import COLUMNS
from clutchlight.reading.tables import cells_as_line


class Origin(NamedTuple):
    """Whose key stands in a line: of an animal, a clutch, a sale or a row of the log."""

    kind: str
    id: str
    key: str


@dataclass(slots=True)
class NewFiles:
    """Texts by file, and the origin of each line by (file, line)."""

    texts: dict[str, str] = field(default_factory=dict)
    origins: dict[tuple[str, int], Origin] = field(default_factory=dict)


def stem_of(name: str) -> str:
    """What the files made from a sheet are called after it."""
    return re.sub(r"[^a-z0-9]+", "-", PurePath(name).stem.casefold()).strip("-")[:40].strip("-") or "sheet"


def free_name(file: str, taken: Iterable[str]) -> str:
    """`file`, or with the first number that makes it a name that no file has."""
    held = {name.casefold() for name in taken}
    path, number, found = PurePath(file), 1, file
    while found.casefold() in held:
        number += 1
        found = f"{path.parent.as_posix()}/{path.stem}-{number}{path.suffix}"
    return found


def files_of(taken: Taken, name: str, existing: Iterable[str]) -> NewFiles:
    """The new files; none has a name that is taken."""
    made, stem, held = NewFiles(), stem_of(name), tuple(existing)
    head = f"# From {PurePath(name).name}.\n"
    for species, lines in taken.traits.items():
        file = free_name(
            f"traits/words-of-{stem}.yaml" if len(taken.traits) == 1 else f"traits/words-of-{stem}-{species}.yaml", held
        )
        made.texts[file] = head + "".join(f"{line}\n" for line in lines)
    if taken.animals:
        _listed(made, free_name(f"animals/from-{stem}.yaml", held), head, "animal", taken.animals)
    for clutch, (entry, young) in taken.clutches.items():
        _clutch(made, free_name(f"clutches/{clutch}.md", held), clutch, entry, young)
    if taken.sales:
        _listed(made, free_name(f"sales/from-{stem}.yaml", held), head, "sale", taken.sales)
    if taken.log:
        file = free_name(f"log/from-{stem}.csv", held)
        rows = [",".join(COLUMNS)]
        for on, animal, grams in sorted(taken.log):
            rows.append(cells_as_line((on, animal, "weight", "", grams, ""), ","))
            made.origins[file, len(rows)] = Origin("log", animal, "weight")
        made.texts[file] = "\n".join(rows) + "\n"
    return made


def _listed(made: NewFiles, file: str, head: str, kind: str, entries: Mapping[str, Entry]) -> None:
    lines = head.splitlines()
    for name, entry in entries.items():
        _put(made, file, lines, kind, name, entry, "")
    made.texts[file] = "\n".join(lines) + "\n"


def _put(
    made: NewFiles, file: str, lines: list[str], kind: str, name: str, entry: Mapping[str, Value], indent: str
) -> None:
    """One record as an item of a list, a line for each key."""
    for number, (key, value) in enumerate(entry.items()):
        lines.append(f"{indent}{'  ' if number else '- '}{scalar(key)}: {flow(value)}")
        made.origins[file, len(lines)] = Origin(kind, name, key)


def _clutch(made: NewFiles, file: str, name: str, entry: Entry, young: list[Entry]) -> None:
    lines = ["---"]
    for key, value in entry.items():
        lines.append(f"{key}: {flow(value)}")
        made.origins[file, len(lines)] = Origin("clutch", name, key)
    if young:
        lines.append("young:")
        made.origins[file, len(lines)] = Origin("clutch", name, "young")
    for one in young:
        _put(made, file, lines, "animal", str(one["id"]), one, "  ")
    made.texts[file] = "\n".join([*lines, "---"]) + "\n"
