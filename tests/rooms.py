"""Collections for tests, from records to a sentence on a page: files as a user writes them, and what the program makes of them.

`write`, `read`, `problems` and `good` begin with settings alone; `FAMILY` has the same for a few pythons with a private side.
The gallery (`tests/said`) reads small collections aloud; `tests/oracle` and `tests/bench/generating` make theirs without records.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from msgspec import Struct
from tests.said.reading_aloud import HERE, lines_of_page

from clutchlight.model import Animal, Clutch, Collection
from clutchlight.model.private import Private
from clutchlight.pipeline import Book, WholeFolder, open_book, public_files, read_everything
from clutchlight.publishing.building_again import LastBuild

Files = Mapping[str, str | bytes]
GALLERY = HERE

SETTINGS = """format: 1
name: Test Room
collection_id: 3f6c2f0e-8b1d-4c52-9d4e-0a7b1c2d3e4f
species: [ball-python, corn-snake]
currency: EUR
"""


def book_of(folder: Path, until: date | None = None) -> Book:
    """The book of the records in a folder, which hold no error."""
    opened = open_book(folder, until=until)
    assert opened.book is not None, [str(problem) for problem in opened.problems]
    return opened.book


def site_of(book: Book) -> Mapping[str, bytes]:
    """The public files by their address."""
    return public_files(book, LastBuild(book.folder, book.folder / "nowhere"))[0].made


def page_of(book: Book, address: str) -> list[str]:
    """The lines that a reader of one public page sees."""
    return list(lines_of_page(site_of(book)[address].decode("utf-8")))


class Room(Struct, frozen=True):
    """The files that tests begin with; each test adds some, or puts some in the place of these."""

    base: Files

    def write(self, folder: Path, files: Files) -> Path:
        for name, content in {**self.base, **files}.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
        return folder

    def read(self, folder: Path, files: Files, today: date | None = None) -> WholeFolder:
        return read_everything(self.write(folder, files), today=today)

    def problems(self, folder: Path, files: Files) -> list[tuple[str, int, int, str]]:
        """File, line, column and code of every problem."""
        return [(found.file, found.line, found.column, found.code) for found in self.read(folder, files).problems]

    def both(self, folder: Path, files: Files) -> tuple[Collection, Private]:
        """Both sides of records that hold no mistake."""
        found = self.read(folder, files)
        assert [str(problem) for problem in found.problems] == []
        assert found.collection is not None
        assert found.private is not None
        return found.collection, found.private

    def collection(self, folder: Path, files: Files) -> Collection:
        return self.both(folder, files)[0]

    def book(self, folder: Path, files: Files, until: date | None = None) -> Book:
        return book_of(self.write(folder, files), until)

    def site(self, folder: Path, files: Files) -> Mapping[str, bytes]:
        return site_of(self.book(folder, files))

    def page(self, folder: Path, files: Files, address: str) -> list[str]:
        return page_of(self.book(folder, files), address)


BARE = Room({"collection.yaml": SETTINGS})
write, read, problems, good = BARE.write, BARE.read, BARE.problems, BARE.collection


def md(body: str, prose: str = "") -> str:
    """A record with front matter."""
    return f"---\n{body.strip()}\n---\n{prose}"


def animal(folder: Path, body: str, name: str = "F-01") -> Animal:
    """One animal read without a mistake."""
    return good(folder, {f"animals/{name}.md": md(body)}).animals[name]


PARENTS: Mapping[str, str] = {
    "animals/F-01.md": md("id: F-01\nsex: female\nhatched: 2020-07-01\nshows: normal"),
    "animals/M-01.md": md("id: M-01\nsex: male\nhatched: 2020-08\nshows: normal"),
    "animals/M-02.md": md("id: M-02\nsex: male\nhatched: 2019\nshows: Pastel"),
}


def clutch_of(folder: Path, body: str, more: Mapping[str, str] | None = None) -> tuple[Collection, Clutch]:
    """The clutch C24-01 of F-01, written without a mistake."""
    files = {**PARENTS, "clutches/C24-01.md": md(f"id: C24-01\ndam: F-01\nlaid: 2024-05-20\n{body}"), **(more or {})}
    collection = good(folder, files)
    return collection, collection.clutches["C24-01"]


# A few pythons with a private side

FAMILY_SETTINGS = f"{SETTINGS}publish_from_log: [weight, meals, sheds]\n"
FAMILY_ANIMALS = """- {id: M-01, sex: male, hatched: 2020-07-01, shows: Piebald, status: breeder}
- {id: M-02, sex: male, hatched: 2020-07-01, shows: normal, status: breeder, was: OLD-2}
- {id: M-03, sex: male, hatched: 2025-05-10, shows: normal, status: breeder}
- {id: M-21, species: corn-snake, sex: male, hatched: 2020-07-01, shows: normal, status: breeder}
- {id: F-01, sex: female, hatched: 2019-07-01, shows: normal, status: breeder, claims: {Piebald: 66%}}
- {id: F-02, sex: female, hatched: 2019-07-01, shows: normal, status: breeder}
- {id: F-03, sex: female, hatched: 2024-06, shows: normal, status: holdback}
"""
_CLUTCH = """---
id: C26-01
sire: M-01
dam: F-01
laid: 2026-05-16
eggs: 4
hatched: 2026-07-13
young:
  - 1 f normal; available 100
  - 2 m normal; on hold 120
  - 3 m Piebald; available 300
  - 4 f normal; holdback
---
"""
FAMILY = Room({"collection.yaml": FAMILY_SETTINGS, "animals/all.yaml": FAMILY_ANIMALS, "clutches/C26-01.md": _CLUTCH})
HEADER = "date,animal,event,with,value,note\n"


def log(rows: str) -> dict[str, str]:
    return {"log/2026.csv": HEADER + rows}
