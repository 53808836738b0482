"""`start`: a new collection with one small worked example, complete and without a mistake, and a short starter of each other kind of file.

In a starter, lines that begin with a # and no space after it are records: without that # they are read without a mistake. `empty` leaves
the example out; then animals and clutches have starters too.

A new folder is made beside its place and takes its name in one step. An empty one is filled, collection.yaml last, since it is
what makes a collection. A folder that holds anything is refused; what a `start` left that was killed, the next one clears, if it is
as it was left.
"""

from __future__ import annotations

import re
import shutil
import sys
import tempfile
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from uuid import uuid4

from clutchlight.editing.disk import WrittenFile, held, is_left
from clutchlight.editing.writing import cannot_write, composed, put_in, quoted, standing
from clutchlight.problems import Place, RecordsError, system_says
from clutchlight.reading.collection import SETTINGS_FILE
from clutchlight.reading.text import Table

CURRENCY = "EUR"
"""What a new collection counts in until somebody says otherwise."""
_COLLECTION = """\
# Your collection. Lines that begin with # are notes to yourself; the program passes over them.
format: 1
name: {name}
# This names your collection for good, so that people who follow its news keep getting them. Never change it.
collection_id: {collection_id}
species: [{species}]
contact: {{mail: {mail}}}
# web_address: https://example.org/snakes/
currency: {currency}
theme: paper
# What the public pages may take from your log (never a note): weight, meals, sheds.
publish_from_log: [weight, meals, sheds]
law:
  - Keeping or selling a snake may need a permit where you live, or where the buyer lives. Ask the local authority.
"""

_FILES: Mapping[str, str] = {
    "animals/M-01.md": """\
---
id: M-01
name: Alder
sex: male
hatched: 2020-07
shows: Piebald
status: breeder
came: {how: bought, on: 2021-03-06}
---
What you write down here, below the second line of dashes, is printed on the animal's page.
""",
    "animals/F-01.md": """\
---
id: F-01
name: Bryony
sex: female
hatched: 2020-08
shows: normal
# What the seller said of her. A claim is for animals whose parents you have no record of.
claims: {Piebald: 66%}
status: breeder
came: {how: bought, on: 2021-03-06}
---
Sold to us as a 66% possible het. Her first clutch settles it.
""",
    "clutches/C24-01.md": """\
---
id: C24-01
sire: M-01
dam: F-01
laid: 2024-05-20
eggs: 5
went_bad: 1
hatched: 2024-07-16
# A line for each hatchling: its number, its sex (m, f), every look seen, or normal; status and price behind a semicolon.
young:
  - 1 f Piebald; holdback
  - 2 m normal; available 120
  - 3 f normal; available 150
  - 4 m Piebald; available 320
---
The first Piebald to leave its egg proved that Bryony carries it.
""",
    "log/2024.csv": """\
date,animal,event,with,value,note
2024-01-13,M-01,paired,F-01,,
2024-01-14,M-01,lock,F-01,,seen at night
2024-04-18,F-01,pre-lay shed,,,
2024-05-20,F-01,laid,,5,C24-01
2024-07-16,F-01,hatched,,4,C24-01
2024-07-27,C24-01-2,first shed,,,
2024-08-03,C24-01-2,first meal,,hopper,"took it on the second evening"
""",
    ".gitignore": """\
# What the program makes. The desk is private: never put it on the web.
/site/
/desk/
/.clutchlight/
""",
}


_TAKE_AWAY = "# Take the # away from the lines without a space behind it, and put your own in their place."
_NEEDED = "# The animals and clutches that they name have to be on record."
_STARTERS: Mapping[str, str] = {
    "season/next.yaml": f"""\
# Planned pairings: private, unless you write `public: yes`. `clutchlight explain plan` lists every key.
{_TAKE_AWAY}
{_NEEDED}
#- female: F-01
#  males: [M-01]
#  from: 2027-01
#  until: 2027-03
#  want: [Piebald]
#  purpose: produce
#  note: her second clutch
""",
    "traits/ball-python.yaml": f"""\
# Traits of your own, and other names for the built-in ones. `clutchlight explain locus` lists every key.
{_TAKE_AWAY}
#species: ball-python
#loci:
#  - {{locus: my-line, inheritance: recessive, alleles: [My Line]}}
#  - {{locus: piebald, also_called: {{Piebald: [Pie]}}}}
#combos: {{My Combo: [Pastel, My Line]}}
""",
    "sales/sales.yaml": f"""\
# Holds, sales and hand-overs: private. An animal's public status follows from them. `clutchlight explain sale` lists every key.
{_TAKE_AWAY}
{_NEEDED}
#- animals: [C24-01-4]
#  buyer: the buyer's name
#  agreed: 320
#  held: 2024-09-01
#  until: 2024-09-30
#  payments: [{{on: 2024-09-01, amount: 60}}]
""",
}
_STARTERS_WITHOUT_EXAMPLE: Mapping[str, str] = {
    "animals/animals.yaml": f"""\
# Your animals, as a list; or one in each file, NAME.md, with prose below. `clutchlight explain animal` lists every key.
# A spreadsheet goes in as it is: `clutchlight intake FILE`.
{_TAKE_AWAY}
#- {{id: M-01, name: Alder, sex: male, hatched: 2020-07, shows: normal, status: breeder}}
#- {{id: F-01, name: Bryony, sex: female, hatched: 2020-08, shows: normal, status: breeder}}
""",
    "clutches/clutches.yaml": f"""\
# Your clutches, as a list; or one in each file, ID.md. `clutchlight explain clutch` lists every key.
{_TAKE_AWAY}
{_NEEDED}
#- id: C24-01
#  sire: M-01
#  dam: F-01
#  laid: 2024-05-20
#  eggs: 5
#  went_bad: 1
#  hatched: 2024-07-16
#  young: [1 f normal; holdback, 2 m normal; available 120, 3 f normal, 4 m normal; available 320]
""",
}
_EXAMPLE = {**_FILES, **_STARTERS}
_WITHOUT_EXAMPLE = {".gitignore": _FILES[".gitignore"], **_STARTERS, **_STARTERS_WITHOUT_EXAMPLE}
_EMPTY = ("photos", "pages", "log")
_TOP = {*_EMPTY, *(file.partition("/")[0] for file in (*_EXAMPLE, *_WITHOUT_EXAMPLE))}
EXAMPLE_NAME, EXAMPLE_MAIL = "My snakes", "you@example.org"
EXAMPLE_ANIMALS: Mapping[str, str] = {"M-01": "Alder", "F-01": "Bryony"}
"""What a new collection has until its owner writes over it."""

_MARK = ".clutchlight-starting.part"
"""A file in a folder that is being made: its number in the file system, and whether it fills the one that it lies in.

Left in a folder that was made whole, it is one of those that `clear_leftovers` deletes.
"""


def start(
    folder: Path,
    name: str = EXAMPLE_NAME,
    collection_id: str | None = None,
    *,
    species: Sequence[str] = ("ball-python",),
    empty: bool = False,
) -> tuple[str, ...]:
    """Makes the collection; returns its files in order. Raises RecordsError, and makes nothing, when the place is taken.

    `empty`: without the worked example, which is of ball pythons. The collection's id is the one thing drawn at random (UUID version 4),
    unless it is given.
    """
    if folder.parent.is_dir():
        _clear_leftovers(folder if folder.is_dir() and not folder.is_symlink() else folder.parent)
    named = Place(folder.name or folder.resolve().name or str(folder), 0, 0)
    if (clone := _clone_around(folder)) is not None:
        raise RecordsError.at(
            named,
            "inside-program",
            f"this lies in {clone.name}, the folder of the program itself, where an update would meet your records;"
            f" name a folder outside it, such as {Path('..') / folder.name}",
        )
    if folder.is_symlink() or (folder.exists() and (not folder.is_dir() or any(folder.iterdir()))):
        raise RecordsError.at(
            named, "folder-taken", "something is in this folder already; name one that is new or empty"
        )
    files = {
        "collection.yaml": _COLLECTION.format(
            name=quoted(name),
            collection_id=collection_id or uuid4(),
            species=", ".join(species),
            mail=EXAMPLE_MAIL,
            currency=CURRENCY,
        ),
        **(_WITHOUT_EXAMPLE if empty else _EXAMPLE),
    }
    try:
        stands = folder.is_dir()
        beside = folder if stands else folder.parent
        beside.mkdir(parents=True, exist_ok=True)
        made = Path(tempfile.mkdtemp(prefix=".clutchlight-", dir=beside))
        mark = (made / _MARK).open("w", encoding="ascii")
    except OSError as error:
        raise RecordsError.at(named, "cannot-write", f"nothing can be made here: {system_says(error)}") from None
    try:
        held(mark.fileno())
        mark.write(_marked(made, fills=stands))
        mark.flush()
        for file, text in files.items():
            path = made / file
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(text.encode("utf-8"))
        for place in _EMPTY:
            (made / place).mkdir(exist_ok=True)
        if stands:
            _fill(folder, made)
        else:
            made.chmod(0o755)
            if sys.platform == "win32":
                mark.close()  # there no folder with an open file in it is renamed
            made.rename(folder)
            (folder / _MARK).unlink()
    except OSError as error:
        raise RecordsError.at(
            named, "cannot-write", f"the collection cannot be made here: {system_says(error)}"
        ) from None
    finally:
        with suppress(OSError):
            mark.close()
        if made.exists():
            with suppress(OSError):
                shutil.rmtree(made)
    return tuple(sorted(files))


def _clone_around(folder: Path) -> Path | None:
    """The folder of the program's own source that a folder lies in."""
    inside = folder.resolve()
    return next((up for up in inside.parents if (up / "builder" / "clutchlight" / "editing").is_dir()), None)


def _fill(folder: Path, made: Path) -> None:
    """Moves everything made into an empty folder; what cannot be finished is taken away again."""
    moved: list[Path] = []
    try:
        for entry in sorted(
            (e for e in made.iterdir() if e.name != _MARK),
            key=lambda entry: (entry.name == "collection.yaml", entry.name),
        ):
            moved.append(entry.rename(folder / entry.name))
    except OSError:
        for entry in moved:
            entry.rename(made / entry.name)
        raise


def _marked(made: Path, *, fills: bool) -> str:
    found = made.stat()
    return f"{found.st_dev}:{found.st_ino} {'fills' if fills else 'is renamed'}\n"


def _clear_leftovers(place: Path) -> None:
    """Deletes what a `start` left here that was killed, known by its mark; nothing that anybody has touched since."""
    with suppress(OSError):
        for made in place.glob(".clutchlight-????????"):
            mark = made / _MARK
            if made.is_symlink() or mark.is_symlink() or not mark.is_file() or not is_left(mark):
                continue
            said = mark.read_text(encoding="ascii", errors="replace")
            moved = [entry for entry in place.iterdir() if entry != made] if said == _marked(made, fills=True) else []
            if said not in (_marked(made, fills=True), _marked(made, fills=False)) or not _is_example(made):
                continue
            if any(entry.name == "collection.yaml" for entry in moved):  # it was killed after its work
                shutil.rmtree(made)
            elif all(entry.name in _TOP and _is_example(entry, place) for entry in moved):
                for entry in moved:
                    shutil.rmtree(entry) if entry.is_dir() else entry.unlink()
                shutil.rmtree(made)


def set_currency(folder: Path, currency: str) -> WrittenFile:
    """Writes another currency into collection.yaml; what stood there stays behind it, as a comment.

    Raises RecordsError, and writes nothing, where that cannot be done.
    """
    found = standing(folder, SETTINGS_FILE)
    key = re.search(r"^currency:[ \t]*", found.text, re.MULTILINE)
    at, text = (0, f"currency: {currency}\n") if key is None else (key.end(), f"{currency} # was ")
    before = composed(found.text, found.file)[0]
    with suppress(RecordsError):
        after = composed(found.text[:at] + text + found.text[at:], found.file)[0]
        if isinstance(before, Table) and {**before, "currency": currency} == after:
            return put_in(folder, found, at, text)
    raise cannot_write(found.file, f"write `currency: {currency}` into it by hand, then run the same line again")


def _is_example(top: Path, root: Path | None = None) -> bool:
    """Whether everything in it is a beginning of the example's, by its name in `root`."""
    for path in (top, *top.rglob("*")):
        if path.is_symlink():
            return False
        if path.is_dir():
            continue
        name = path.relative_to(root or top).as_posix()
        text = path.read_bytes()
        whole = (_EXAMPLE.get(name) or _WITHOUT_EXAMPLE.get(name, "")).encode("utf-8")
        head = _COLLECTION.partition("{")[0].encode("utf-8")
        known = text.startswith(head) or head.startswith(text) if name == "collection.yaml" else whole.startswith(text)
        if name != _MARK and not known:
            return False
    return True
