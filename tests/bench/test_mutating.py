"""The faults that `tests.bench.mutating` puts into the code, and a few of them, each with the test that notices it."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest
from tests.bench.mutating import CODE, modules
from tests.bench.mutation_operators import OPERATORS, mutants, mutated, names, written


def changed(tmp_path: Path, text: str, operator: str = "") -> list[str]:
    """The texts that a module becomes, by one operator or by all."""
    module = tmp_path / "module.py"
    module.write_text(text)
    return [mutated(text, one) for one in mutants(module, tmp_path) if operator in ("", one.operator)]


@pytest.mark.parametrize(
    ("operator", "before", "after"),
    [
        ("boundary", "x = a < b <= c", ["x = a <= b <= c", "x = a < b < c"]),
        ("boundary", "x = a >= b", ["x = a > b"]),
        ("equality", "x = a == b", ["x = a != b"]),
        ("equality", "x = a is None", ["x = a is not None"]),
        ("equality", "x = a not in b", ["x = a in b"]),
        ("and/or", "x = a and b", ["x = a or b"]),
        ("operand", "x = a or b", ["x = b", "x = a"]),
        ("not", "x = not a", ["x = a"]),
        ("not", "x = -a", ["x = a"]),
        (
            "number",
            "x = Fraction(1, 2)",
            ["x = Fraction(2, 2)", "x = Fraction(0, 2)", "x = Fraction(1, 3)", "x = Fraction(1, 1)"],
        ),
        ("truth", "x = f(True)", ["x = f(False)"]),
        ("condition", "x = a if b else c", ["x = a", "x = c"]),
        ("condition", "if a:\n    b()", ["if True:\n    b()", "if False:\n    b()"]),
        ("condition", "while a:\n    b()", ["while False:\n    b()"]),
        ("condition", "x = [a for a in b if c if d]", ["x = [a for a in b if d]", "x = [a for a in b if c]"]),
        (
            "condition",
            "match a:\n    case 1 if b:\n        c()",
            ["match a:\n    case 1:\n        c()", "match a:\n    case 1 if False:\n        c()"],
        ),
        ("arithmetic", "x = a + b", ["x = a - b"]),
        ("arithmetic", "x -= a", ["x += a"]),
        ("counterpart", "x = max(a)", ["x = min(a)"]),
        ("counterpart", "x = any(a)", ["x = all(a)"]),
        ("order", "x = sorted(a)", ["x = list(a)"]),
        ("order", "x = reversed(a)", ["x = iter(a)"]),
        ("order", "x = min(a, key=b)", ["x = min(a)"]),
        ("returned", "def f() -> tuple[int, ...]:\n    return a", ["def f() -> tuple[int, ...]:\n    return ()"]),
        ("returned", "def f() -> Animal:\n    return a", ["def f() -> Animal:\n    return None"]),
        ("escape", "x = html.escape(a, quote=False)", ["x = a"]),
        ("trim", "x = a.strip()", ["x = a"]),
        ("default", "x = a.get(b, 0)", ["x = a.get(b)"]),
        ("slice", "x = a[b:]", ["x = a"]),
        ("dropped", "for a in b:\n    continue", ["for a in b:\n    pass"]),
        ("dropped", "found.append(a)", ["pass"]),
        ("dropped", "raise Error(a)", ["pass"]),
    ],
)
def test_what_an_operator_makes_of_a_line(tmp_path: Path, operator: str, before: str, after: list[str]) -> None:
    """One change at a time."""
    assert changed(tmp_path, before, operator) == [f"{text}\n" for text in after]


def test_every_operator_is_shown_above() -> None:
    """None is missing among the examples."""
    shown = test_what_an_operator_makes_of_a_line.pytestmark[0].args[1]  # type: ignore[attr-defined]
    assert {operator for operator, _, _ in shown} == set(OPERATORS)


@pytest.mark.parametrize(
    "text",
    [
        "x: Literal[1] | None = a",
        "def f(a: int | None = b) -> A | B:\n    '''1 < 2'''",
        "@final\nclass A(B, order=True):\n    '''None.'''",
        "if TYPE_CHECKING:\n    a = 1",
        "assert a == 1",
        "Many = One | Two",
        "import a",
        "x = zip(a, b, strict=True)",
    ],
)
def test_what_no_run_can_tell_is_left_alone(tmp_path: Path, text: str) -> None:
    """Types, decorators, docstrings, assertions, imports."""
    assert changed(tmp_path, text) == []


def test_every_mutant_of_a_module_is_another_text(tmp_path: Path) -> None:
    """And no two have the same name."""
    text = "def f(a: int) -> int:\n    return a + 1 if a < 1 else a - 1\n"
    texts = changed(tmp_path, text)
    assert written(ast.parse(text)) not in texts
    assert len(set(texts)) == len(texts)
    module = tmp_path / "module.py"
    told = names(text, mutants(module, tmp_path))
    assert len(set(told)) == len(told)
    assert told[0] == "module:f | returned | return a + 1 if a < 1 else a - 1 -> return 0"


def test_a_fault_names_the_lines_that_have_to_run(tmp_path: Path) -> None:
    """The statement's own, the head of a block, the body for a default; none for what runs at import."""
    module = tmp_path / "module.py"
    module.write_text("A = 1\ndef f(b=2):\n    if b > 3:\n        return 4\n    return [\n        5]\n")
    found = {(one.line, one.lines) for one in mutants(module, tmp_path)}
    assert found == {(1, None), (2, (3, 6)), (3, (3, 3)), (4, (4, 4)), (5, (5, 6)), (6, (5, 6))}


def test_all_code_that_is_named_is_there() -> None:
    """Each name in CODE is of a package or a module."""
    root = Path(__file__).resolve().parents[2]
    assert all(modules(root, part) for part in CODE)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork there")
def test_a_few_faults_are_noticed_by_the_tests_that_guard_those_lines(tmp_path: Path) -> None:
    """The short form, of `mutants_killed.txt`. A line that was rewritten is replaced there by one that the new code has."""
    command = [sys.executable, "-m", "tests.bench.mutating", "--killed", "--work", str(tmp_path)]
    root = Path(__file__).resolve().parents[2]
    surroundings = {**os.environ, "PYTHONPATH": os.pathsep.join([str(root / "builder"), str(root)])}
    done = subprocess.run(command, cwd=root, env=surroundings, capture_output=True, text=True, check=False)
    assert (done.stdout, done.returncode) == ("", 0), done.stderr
