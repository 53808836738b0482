"""Writes small collections for the tests of the reader, and reads them back."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from clutchlight.model import Animal, Clutch, Collection
from clutchlight.reading.collection import ReadResult, read_collection

SETTINGS = """format: 1
name: Test Room
collection_id: 3f6c2f0e-8b1d-4c52-9d4e-0a7b1c2d3e4f
species: [ball-python, corn-snake]
currency: EUR
"""


def md(body: str, prose: str = "") -> str:
    """A record with front matter."""
    return f"---\n{body.strip()}\n---\n{prose}"


def write(folder: Path, files: Mapping[str, str | bytes]) -> Path:
    """A collection of these files, with a collection.yaml unless they hold one."""
    for name, content in {"collection.yaml": SETTINGS, **files}.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
    return folder


def read(folder: Path, files: Mapping[str, str | bytes]) -> ReadResult:
    return read_collection(write(folder, files))


def good(folder: Path, files: Mapping[str, str | bytes]) -> Collection:
    """The collection of these files, which hold no mistake."""
    result = read(folder, files)
    assert [str(problem) for problem in result.problems] == []
    assert result.collection is not None
    return result.collection


def problems(folder: Path, files: Mapping[str, str | bytes]) -> list[tuple[str, int, int, str]]:
    """File, line, column and code of every problem."""
    return [(found.file, found.line, found.column, found.code) for found in read(folder, files).problems]


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
