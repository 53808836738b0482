"""What was taken → new files, read beside the collection, in a copy, before one is written; what does not hold there is left out, and why.

Where in them each key of each animal stands is kept, so that a problem leads back to its row. A mistake takes out the key that it stands
at, else the record. Where records cannot all be true, the looks of the clutch in question are set aside at that trait, since nobody knows
which is wrong. Nothing in the collection itself is touched or judged.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path, PurePath
from typing import NamedTuple

from msgspec import Struct, field

from clutchlight.editing.clutches import add_young
from clutchlight.editing.disk import clear_leftovers
from clutchlight.editing.starting import set_currency
from clutchlight.editing.writing import flow, scalar
from clutchlight.genetics.inference import Inference
from clutchlight.intake.taking import Entry, Taken, add_under
from clutchlight.pipeline import Book, open_book
from clutchlight.problems import Place, Problem, RecordsError, errors_in
from clutchlight.reading.collection import SETTINGS_FILE
from clutchlight.reading.files import RECORD_FOLDERS
from clutchlight.reading.tables import COLUMNS, cells_as_line
from clutchlight.reading.text import slug_of
from clutchlight.statements.results import in_conflict


class Origin(NamedTuple):
    """Whose key stands in a line: of an animal, a clutch, a sale or a row of the log."""

    kind: str
    id: str
    key: str


Line = tuple[str, Origin | None]


class NewFiles(Struct):
    """Texts by file, and the origin of each line by (file, line)."""

    texts: dict[str, str] = field(default_factory=dict)
    origins: dict[tuple[str, int], Origin] = field(default_factory=dict)

    def put(self, file: str, lines: Iterable[Line]) -> None:
        """A file of these lines."""
        text, origins = zip(*lines, strict=True)
        self.texts[file] = "".join(f"{line}\n" for line in text)
        self.origins.update({(file, at): origin for at, origin in enumerate(origins, 1) if origin is not None})


def stem_of(name: str) -> str:
    """What the files made from a sheet are called after it."""
    return slug_of(PurePath(name).stem)[:40].strip("-") or "sheet"


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
    head: Line = (f"# From {PurePath(name).name}.", None)
    for species, lines in taken.traits.items():
        stem_of_words = f"{stem}-{species}" if len(taken.traits) > 1 else stem
        made.put(free_name(f"traits/words-of-{stem_of_words}.yaml", held), [head, *((line, None) for line in lines)])
    for folder, kind, entries in (("animals", "animal", taken.animals), ("sales", "sale", taken.sales)):
        if entries:
            items = (line for key, entry in entries.items() for line in _item(kind, key, entry))
            made.put(free_name(f"{folder}/from-{stem}.yaml", held), [head, *items])
    for clutch, (entry, young) in taken.clutches.items():
        made.put(free_name(f"clutches/{clutch}.md", held), _clutch(clutch, entry, young))
    if taken.log:
        rows = [
            (cells_as_line((on, animal, "weight", "", grams, ""), ","), Origin("log", animal, "weight"))
            for on, animal, grams in sorted(taken.log)
        ]
        made.put(free_name(f"log/from-{stem}.csv", held), [(",".join(COLUMNS), None), *rows])
    return made


def _item(kind: str, name: str, entry: Entry, indent: str = "") -> Iterator[Line]:
    """One record as an item of a list, a line for each key."""
    for number, (key, value) in enumerate(entry.items()):
        yield f"{indent}{'  ' if number else '- '}{scalar(key)}: {flow(value)}", Origin(kind, name, key)


def _clutch(name: str, entry: Entry, young: Sequence[Entry]) -> Iterator[Line]:
    yield "---", None
    yield from ((f"{key}: {flow(value)}", Origin("clutch", name, key)) for key, value in entry.items())
    if young:
        yield "young:", Origin("clutch", name, "young")
    for one in young:
        yield from _item("animal", str(one["id"]), one, "  ")
    yield "---", None


# ---- trying them


MAX_ROUNDS = 60
_RECORD = ("id", "young", "animals")
_PAIR = ("sire", "dam", "hatched", "eggs", "complete", "reported_by")


def tried(folder: Path, taken: Taken, name: str, today: date) -> tuple[NewFiles, Book]:
    """The files of what holds, and the book of the collection with them. What does not hold moves to `taken.left`."""
    for _ in range(MAX_ROUNDS):
        made = files_of(taken, name, files_in(folder))
        with _copied(folder, made) as copy:
            if taken.currency:
                set_currency(copy, taken.currency)
            if _not_added(copy, taken):
                continue
            result = open_book(copy, today=today)
        errors = errors_in(result.problems)
        if result.book is not None and not errors:
            return made, result.book
        added = [(name, joining.clutch.place.file) for name, joining in taken.joined.items()]
        misfits = {name: problem.message for problem in errors for name, file in added if file == problem.file}
        if _apart(misfits, taken):
            continue
        others = [problem for problem in errors if problem.code != "records-conflict"]
        changed = [_leave_out(problem, made, taken) for problem in others]
        changed = changed or [_set_aside(result.inference, made, taken)]
        if not any(changed) and not _apart(dict.fromkeys(taken.joined, errors[0].message), taken):
            raise RecordsError(errors)
    raise RecordsError(errors)


def _not_added(copy: Path, taken: Taken) -> bool:
    """Adds young to clutches on record, in a copy of them; whether any could not be added, which then stand by themselves."""
    misfits = {}
    for name, joining in taken.joined.items():
        try:
            add_young(copy, joining.clutch, joining.keys, joining.young)
        except RecordsError as refused:
            misfits[name] = refused.problems[0].message
    return _apart(misfits, taken)


def _apart(misfits: Mapping[str, str], taken: Taken) -> bool:
    """Keeps young that were to be added to a clutch by themselves, with its parents and day; whether there were any."""
    for name, why in misfits.items():
        joining = taken.joined.pop(name)
        clutch = joining.clutch
        born = {"sire": clutch.sires.certain or "", "dam": clutch.dam, "hatched": str(clutch.hatched or "")}
        for one in joining.young:
            young = str(one["id"])
            taken.animals[young] = {**one, **{key: value for key, value in (born | joining.keys).items() if value}}
            said = f"{young}: kept in animals/ with its parents, not in clutch {name}, since there: {why}"
            taken.leave(young, "clutch", said, written=name)
    return bool(misfits)


def files_in(folder: Path) -> tuple[str, ...]:
    """Every file of the records, relative to the collection."""
    places = (folder / name for name in RECORD_FOLDERS)
    return tuple(
        path.relative_to(folder).as_posix() for place in places if place.is_dir() for path in sorted(place.rglob("*"))
    )


@contextmanager
def _copied(folder: Path, made: NewFiles) -> Iterator[Path]:
    """The records of a collection and the new files in a folder of their own; of photos the names only."""
    clear_leftovers(folder)
    with tempfile.TemporaryDirectory(prefix="clutchlight-intake-") as name:
        copy = Path(name) / "collection"
        copy.mkdir()
        shutil.copyfile(folder / SETTINGS_FILE, copy / SETTINGS_FILE)
        held = [file for file in files_in(folder) if (folder / file).is_file()]
        for file in (*held, *made.texts):
            target = copy / file
            target.parent.mkdir(parents=True, exist_ok=True)
            if file in made.texts:
                target.write_text(made.texts[file], encoding="utf-8", newline="")
            elif file.startswith("photos/"):
                target.touch()
            else:
                shutil.copyfile(folder / file, target)
        yield copy


def _leave_out(problem: Problem, made: NewFiles, taken: Taken) -> bool:
    """Takes out what a problem stands at; whether there was anything of ours."""
    origin = _origin(Place(problem.file, problem.line), made)
    if origin is None:
        return False
    kind, name, key = origin
    if kind == "sale":
        entry = taken.sales.pop(name, None)
        if entry is None:
            return False
        _keep(taken, name, "sale", entry)
    elif kind == "log":
        taken.log = [row for row in taken.log if row[1] != name]
        _keep(taken, name, "weight", {"weight": "see the sheet"})
    elif kind == "clutch" and not _of_clutch(name, key, taken):
        taken.leave(name, "", f"{name}: {problem.message}", written=name)
        return True
    elif kind == "animal" and not _of_animal(name, key, taken):
        return False
    taken.leave(name, key, f"{name}: {problem.message}")
    return True


def _set_aside(inference: Inference | None, made: NewFiles, taken: Taken) -> bool:
    """The looks of a new clutch that contradicts other records at a trait do not count there; without a clutch those of animals do not."""
    if inference is None:
        return False
    changed = False
    alone: dict[tuple[str, tuple[str, ...]], str] = {}
    for conflict in inference.conflicts:
        locus = inference.collection.species[conflict.species].loci[conflict.locus]
        trait = locus.alleles[0]
        said = f"not all of this can be true: {in_conflict(conflict, inference.collection)}"
        for kind, name, _ in filter(None, (_origin(record.place, made) for record in conflict.records)):
            home = taken.clutch_of(name)
            if home is None:
                if kind == "animal":
                    alone[name, (trait, *locus.look_names)] = said
                continue
            entry = taken.clutches[home][0]
            if trait not in dict(entry.get("set_aside", {})):  # type: ignore[arg-type]
                add_under(entry, "set_aside", trait, "our list says two things here; we look at these animals again")
                changed = True
            why = (
                f"{name}: kept, but {trait} counts for nothing in clutch {home}, since {said}. Look at these animals again, correct what is"
                " wrong, and then delete the line `set_aside` in that clutch's file"
            )
            taken.leave(name, "shows", why)
    if changed:
        return True
    for (name, (trait, *looks)), said in alone.items():
        changed |= _not_decided(taken, name, trait, looks)
        why = (
            f"{name}: whether it shows {trait} counts as not decided, since {said}. Look again, and then correct `shows` and"
            " `cannot_tell` in its record"
        )
        taken.leave(name, "shows", why)
    return changed


def _not_decided(taken: Taken, name: str, trait: str, looks: Sequence[str]) -> bool:
    """Leaves out what an animal shows of one gene; whether that changed anything. The rest of its look stays."""
    entry = taken.entry(name)
    shown = None if entry is None else entry.get("shows")
    if entry is None or shown is None:
        return False
    untold = entry.get("cannot_tell", [])
    if trait in untold:
        return _of_animal(name, "shows", taken)
    rest = [look for look in shown if look not in looks] if isinstance(shown, list) else []
    if isinstance(shown, list) and len(rest) < len(shown):
        _keep(taken, name, "shows", entry)
    entry["shows"] = rest or "normal"
    entry["cannot_tell"] = [*untold, trait]
    return True


def _origin(place: Place, made: NewFiles) -> Origin | None:
    """Whose key stands at a place: that of its line, else the last one above it in the file."""
    for line in range(place.line, 0, -1):
        if found := made.origins.get((place.file, line)):
            return found
    return None


def _of_clutch(name: str, key: str, taken: Taken) -> bool:
    """A number that does not hold goes, and the sire of a clutch without young; one whose parents or day do not hold falls apart into
    its young. Whether any of it stays."""
    entry, young = taken.clutches[name]
    if key not in (*_RECORD, *_PAIR) and key in entry:
        del entry[key]
        return True
    if key == "sire" and not young and entry[key] != "unknown":
        add_under(entry, "private", "sire_not_taken", flow(entry[key]))
        entry[key] = "unknown"
        return True
    del taken.clutches[name]
    born = {key: entry[key] for key in ("sire", "dam", "hatched") if isinstance(entry.get(key), str)}
    facts: Entry = {key: value for key, value in born.items() if value != "unknown"}
    for one in young:
        taken.animals[str(one["id"])] = {"id": one["id"], **facts, **one}
    return bool(young)


def _of_animal(name: str, key: str, taken: Taken) -> bool:
    entry, home = taken.entry(name), taken.clutch_of(name)
    if entry is None:
        return False
    if key in entry and key not in _RECORD and key != "private":
        _keep(taken, name, key, entry)
        del entry[key]
        if key == "shows":
            entry.pop("cannot_tell", None)
        if key in ("sire", "dam") and "stated" in entry:
            _keep(taken, name, "stated", entry)
            del entry["stated"]
        return True
    if home is not None:
        taken.clutches[home][1].remove(entry)
    elif taken.animals.pop(name, None) is None:
        return False
    taken.sales.pop(name, None)
    taken.log = [row for row in taken.log if row[1] != name]
    return True


def _keep(taken: Taken, name: str, key: str, entry: Entry) -> None:
    """What was taken out stays as a private note of the animal."""
    taken.keep(name, f"{key}_not_taken", flow(entry if key == "sale" else entry.get(key, "")))
