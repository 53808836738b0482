"""`start`: a new collection with one small worked example, complete and without a mistake, and a short starter of each other kind of file.

In a starter, lines that begin with a # and no space after it are records: without that # they are read without a mistake. `empty` leaves
the example out; then animals and clutches have starters too.

It goes into a folder that is new or empty, collection.yaml last, since that is what makes a collection. A folder is refused that holds
anything else than a `start` left there that was killed.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from uuid import uuid4

from clutchlight.editing.disk import WrittenFile
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
EXAMPLE_NAME, EXAMPLE_MAIL = "My snakes", "you@example.org"
EXAMPLE_ANIMALS: Mapping[str, str] = {"M-01": "Alder", "F-01": "Bryony"}
"""What a new collection has until its owner writes over it."""


def start(
    folder: Path,
    name: str = EXAMPLE_NAME,
    *,
    species: Sequence[str] = ("ball-python",),
    empty: bool = False,
) -> tuple[str, ...]:
    """Makes the collection; returns its files in order. Raises RecordsError, and makes nothing, when the place is taken.

    `empty`: without the worked example, which is of ball pythons. The collection's id is the one thing drawn at random (UUID version 4).
    """
    named = Place(folder.name or folder.resolve().name or str(folder), 0, 0)
    if (clone := _clone_around(folder)) is not None:
        raise RecordsError.at(
            named,
            "inside-program",
            f"this lies in {clone.name}, the folder of the program itself, where an update would meet your records;"
            f" name a folder outside it, such as {Path('..') / folder.name}",
        )
    if folder.is_symlink() or (folder.exists() and not (folder.is_dir() and _is_begun(folder))):
        raise RecordsError.at(
            named, "folder-taken", "something is in this folder already; name one that is new or empty"
        )
    files = {
        **(_WITHOUT_EXAMPLE if empty else _EXAMPLE),
        SETTINGS_FILE: _COLLECTION.format(
            name=quoted(name),
            collection_id=uuid4(),
            species=", ".join(species),
            mail=EXAMPLE_MAIL,
            currency=CURRENCY,
        ),
    }
    stands = folder.is_dir()
    try:
        for place in _EMPTY:
            (folder / place).mkdir(parents=True, exist_ok=True)
        for file, text in files.items():
            (folder / file).parent.mkdir(exist_ok=True)
            (folder / file).write_bytes(text.encode("utf-8"))
    except OSError as error:
        if not stands:
            shutil.rmtree(folder, ignore_errors=True)
        raise RecordsError.at(named, "cannot-write", f"nothing can be made here: {system_says(error)}") from None
    return tuple(sorted(files))


def _is_begun(folder: Path) -> bool:
    """Whether all that it holds is the beginning of what a `start` makes before collection.yaml."""
    whole = {**_EXAMPLE, **_WITHOUT_EXAMPLE}
    folders = {*_EMPTY, *(file.partition("/")[0] for file in whole)}
    for path in folder.rglob("*"):
        name = path.relative_to(folder).as_posix()
        known = (
            name in folders if path.is_dir() else name in whole and whole[name].encode().startswith(path.read_bytes())
        )
        if path.is_symlink() or not known:
            return False
    return True


def _clone_around(folder: Path) -> Path | None:
    """The folder of the program's own source that a folder lies in."""
    inside = folder.resolve()
    return next((up for up in inside.parents if (up / "builder" / "clutchlight" / "editing").is_dir()), None)


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
