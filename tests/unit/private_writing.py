"""A small collection with a private side for the tests: written as text, read back as a whole."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from clutchlight.model import Collection
from clutchlight.model.private import Private
from clutchlight.pipeline import Everything, read_everything

SETTINGS = """format: 1
name: Test Room
collection_id: 3f6c2f0e-8b1d-4c52-9d4e-0a7b1c2d3e4f
species: [ball-python, corn-snake]
currency: EUR
publish_from_log: [weight, meals, sheds]
"""

ANIMALS = """- {id: M-01, sex: male, hatched: 2020-07-01, shows: Piebald, status: breeder}
- {id: M-02, sex: male, hatched: 2020-07-01, shows: normal, status: breeder, was: OLD-2}
- {id: M-03, sex: male, hatched: 2025-05-10, shows: normal, status: breeder}
- {id: M-21, species: corn-snake, sex: male, hatched: 2020-07-01, shows: normal, status: breeder}
- {id: F-01, sex: female, hatched: 2019-07-01, shows: normal, status: breeder, claims: {Piebald: 66%}}
- {id: F-02, sex: female, hatched: 2019-07-01, shows: normal, status: breeder}
- {id: F-03, sex: female, hatched: 2024-06, shows: normal, status: holdback}
"""

CLUTCH = """---
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

HEADER = "date,animal,event,with,value,note\n"


def write(folder: Path, files: Mapping[str, str | bytes]) -> Path:
    """The small collection with these files added, or put in place of its own."""
    base = {"collection.yaml": SETTINGS, "animals/all.yaml": ANIMALS, "clutches/C26-01.md": CLUTCH}
    for name, content in {**base, **files}.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
    return folder


def read(folder: Path, files: Mapping[str, str | bytes], today: date | None = None) -> Everything:
    return read_everything(write(folder, files), today=today)


def good(folder: Path, files: Mapping[str, str | bytes]) -> tuple[Collection, Private]:
    """Both sides of these files, which hold no mistake."""
    result = read(folder, files)
    assert [str(problem) for problem in result.problems] == []
    assert result.collection is not None
    assert result.private is not None
    return result.collection, result.private


def problems(folder: Path, files: Mapping[str, str | bytes]) -> list[tuple[str, int, int, str]]:
    """File, line, column and code of every problem."""
    return [(found.file, found.line, found.column, found.code) for found in read(folder, files).problems]


def log(rows: str) -> dict[str, str]:
    return {"log/2026.csv": HEADER + rows}
