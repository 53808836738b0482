"""Documented codes, codes that the program can raise and bad collections in tests/bad/ are one and the same set."""

from __future__ import annotations

import ast
import importlib
from datetime import date
from pathlib import Path

import pytest

from clutchlight import problem_codes
from clutchlight.pipeline import open_book
from clutchlight.problem_codes import CODES

BAD = Path(__file__).resolve().parent.parent / "bad"
PACKAGE = Path(problem_codes.__file__).parent
NOT_OF_RECORDS = ("Building", "Commands that write", "Questions about a pairing", "Before the site goes public")
TODAY = date(2026, 11, 25)

# Calls whose text arguments in the form of a code are codes.
RAISING = frozenset(
    {
        "report",
        "_report",
        "UnfitError",
        "_refused",
        "refused",
        "Hidden",
        "Problem.at",
        "RecordsError.at",
    }
)


def bad_collections() -> list[Path]:
    return sorted(path for path in BAD.iterdir() if path.is_dir())


def codes_in_the_program() -> set[str]:
    """Every documented-looking code that stands as a literal where problems are made."""
    found: set[str] = set()
    for file in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                found.update(codes_raised_by(node))
    return found


def codes_raised_by(call: ast.Call) -> list[str]:
    """The second argument of `report` and its like, the first of `UnfitError`."""
    name = ast.unparse(call.func)
    name = name if name in RAISING else name.rpartition(".")[2]
    if name not in RAISING:
        return []
    places = (0, 1) if name == "_refused" else (0 if name == "UnfitError" else 1,)
    found = [call.args[at] for at in places if len(call.args) > at]
    texts = [one.value for one in found if isinstance(one, ast.Constant) and isinstance(one.value, str)]
    return texts[:1]


@pytest.mark.parametrize("folder", bad_collections(), ids=lambda folder: folder.name)
def test_each_bad_collection_gives_exactly_the_problems_written_beside_it(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its code, at its line, and nothing else; with an error among them there is no collection, with warnings alone there is one."""
    limits = folder / "limits.txt"
    if limits.exists():
        for line in limits.read_text(encoding="utf-8").splitlines():
            module, name, value = line.split()
            monkeypatch.setattr(importlib.import_module(module), name, int(value))
    result = open_book(folder, today=TODAY)
    printed = "".join(f"{problem}\n" for problem in result.problems)
    assert printed == (folder / "expected.txt").read_text(encoding="utf-8")
    assert folder.name in {problem.code for problem in result.problems}
    assert (result.book is not None) == all(problem.level != "error" for problem in result.problems)


def test_documented_codes_and_bad_collections_are_the_same_set() -> None:
    """Every code that records can have has a bad collection; those of building and of commands are shown where they arise."""
    of_records = {name for name, code in CODES.items() if code.about not in NOT_OF_RECORDS}
    assert {folder.name for folder in bad_collections()} == of_records


def test_documented_codes_and_raised_codes_are_the_same_set() -> None:
    """No code is raised that is not documented, and none documented that the program cannot raise."""
    named_by_mapping = {"missing-key", "unknown-key"}
    assert codes_in_the_program() | named_by_mapping == set(CODES)


def test_every_code_says_what_is_wrong_and_what_to_do() -> None:
    """The documentation of a code is two whole sentences, and codes are written in one way."""
    for code in CODES.values():
        assert code.wrong.endswith(".")
        assert code.remedy.endswith(".")
        assert code.name == code.name.lower().replace(" ", "-")
