"""What DEVELOPERS.md says of the house, where the import contract does not hold it."""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Iterator
from graphlib import TopologicalSorter
from pathlib import Path

ROOM = Path(__file__).resolve().parents[2] / "builder"
MODULES = {
    file.relative_to(ROOM).with_suffix("").as_posix().replace("/", ".").removesuffix(".__init__"): ast.parse(
        file.read_text(encoding="utf-8")
    )
    for file in sorted((ROOM / "clutchlight").rglob("*.py"))
}


def imported(tree: ast.Module) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            for name in node.names:
                inner = f"{node.module}.{name.name}"
                yield inner if inner in MODULES else node.module
        elif isinstance(node, ast.Import):
            yield from (name.name for name in node.names)


def test_no_class_name_is_used_twice() -> None:
    names = Counter(node.name for tree in MODULES.values() for node in tree.body if isinstance(node, ast.ClassDef))
    assert [name for name, times in names.items() if times > 1] == []


def test_no_module_imports_itself_by_way_of_others() -> None:
    """Those within functions included. `prepare` raises CycleError with the circle."""
    graph = {
        name: {used for used in imported(tree) if used in MODULES and used != name} for name, tree in MODULES.items()
    }
    TopologicalSorter(graph).prepare()
    assert len(graph) > 50
