"""How many small faults in the code the tests would not notice.

Drawn    by seed: each part of CODE as likely as any other, in it each operator of `mutation_operators`, of that each mutant.
Tried    in a copy of the tree (`trying_mutants`), with the tests that reach the fault: first those that are quick and about little else,
         until one fails, or until the seconds of BUDGETS are spent; then those alive with more tests and TIMES as many seconds.
Killed   a test fails, or does not end. Alive: everything that was tried passes. One that no test reaches is alive.
Results  one line of JSON for each mutant; a run that was broken off goes on where it was.
Run      python -m tests.bench.mutating --count 400 --seed 2611 --results /tmp/mutants.jsonl
         python -m tests.bench.mutating --results /tmp/mutants.jsonl --again alive    those alive, after tests were written
         python -m tests.bench.mutating --only planning.due --count 50                one module
Explained  in `mutants_alive.md`, by their names; the report names those that are not.
"""

from __future__ import annotations

import argparse
import ast
import json
import random
import re
import sys
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence
from operator import attrgetter
from pathlib import Path
from tempfile import gettempdir

from msgspec import Struct
from msgspec.structs import asdict
from tests.bench.mutation_operators import Mutant, module_of, mutants, mutated, names
from tests.bench.trying_mutants import (
    EXAMPLES,
    IMPORTING,
    LONGEST,
    Ran,
    Reach,
    Session,
    copied,
    in_session,
    load_libraries,
    reach_of,
    replaced,
    run,
    warm,
)

ROOT = Path(__file__).resolve().parents[2]
CODE: Mapping[str, tuple[str, ...]] = {
    "genetics": ("genetics",),
    "statements": ("statements", "wording"),
    "planning": ("planning",),
    "records": ("reading", "editing", "ledger"),
    "publishing": ("publishing", "site/files"),
}
"""What is mutated: the parts, each with its packages and modules below `builder/clutchlight`."""

NOT_TRIED = (
    "tests/bench/test_mutating.py",
    "tests/calibration/test_calibration.py",
    "tests/oracle/test_oracle.py",
    "tests/oracle/test_written_cases.py",
    "tests/peer/test_pyagrum.py",
    "tests/unit/test_bootstrap.py",
    "tests/unit/test_packaging.py",
    "tests/unit/test_chromium.py",
    "tests/unit/test_docs.py",
    "tests/unit/test_drawing_engine.py",
    "tests/unit/test_drawing_figures.py",
    "tests/unit/test_drawing_pedigree.py",
    "tests/unit/test_outside.py",
    "tests/unit/test_theme_bounds.py",
    "tests/site/test_browser.py",
    "tests/site/test_desk_browser.py",
    "tests/site/test_hostile_strings.py",
    "tests/site/test_privacy.py",
)
"""Files of tests that install, drive a browser, are about nothing that is mutated, or take long to find what others find at once."""

ALIVE = Path(__file__).with_name("mutants_alive.md")
KILLED = Path(__file__).with_name("mutants_killed.txt")
"""Lines `TEST kills MUTANT`, for the short form."""

BUDGETS = (2.0, 6.0)
"""Seconds of tests in each round. Tests of one file run after each other in a round."""
TIMES = 5
"""For those that lived until then, and with `--again`."""
TELLING = {"tests/said": 5, "tests/golden": 5, "tests/exact": 5}
"""Tests that compare so much that they come so many times sooner than their seconds would have it."""


class Result(Struct, frozen=True):
    """`outcome`: "failed", "stopped", "alive" or "not reached". `left`: how many tests that reach it were not tried."""

    name: str
    part: str
    operator: str
    outcome: str
    by: str = ""
    tried: int = 0
    left: int = 0

    @property
    def killed(self) -> bool:
        return self.outcome in ("failed", "stopped")


def code(tree: Path) -> Path:
    return tree / "builder" / "clutchlight"


def modules(tree: Path, part: str) -> list[Path]:
    """All modules of a part. A name in CODE that is of nothing any more is a mistake there."""
    found: list[Path] = []
    for name in CODE[part]:
        here = sorted((code(tree) / name).rglob("*.py")) or [code(tree) / f"{name}.py"]
        assert here[0].is_file(), f"CODE names {name}, which is gone"
        found += here
    return found


def drawn(tree: Path, count: int, seed: int, only: str = "") -> list[tuple[str, Mutant]]:
    """That many mutants with their parts, the same for the same code and seed; fewer where there are no more."""
    chance = random.Random(seed)
    left: dict[str, dict[str, list[Mutant]]] = {}
    for part in CODE:
        for module in modules(tree, part):
            if only in module_of(module.relative_to(code(tree)).as_posix()):
                for mutant in mutants(module, code(tree)):
                    left.setdefault(part, {}).setdefault(mutant.operator, []).append(mutant)
    found: list[tuple[str, Mutant]] = []
    while left and len(found) < count:
        part = chance.choice(sorted(left))
        operator = chance.choice(sorted(left[part]))
        these = left[part][operator]
        found.append((part, these.pop(chance.randrange(len(these)))))
        if not these:
            del left[part][operator]
        if not left[part]:
            del left[part]
    return found


# -- the tests of a mutant ---------------------------------------------------------------------------------------------


def test_files(tree: Path) -> list[str]:
    """Files of tests, and the folder whose docstrings hold examples."""
    found = [path.relative_to(tree).as_posix() for path in sorted((tree / "tests").rglob("test_*.py"))]
    return [name for name in found if name not in NOT_TRIED] + [EXAMPLES]


class Aim:
    """Which tests to try on a mutant, the likeliest first: quick ones, and ones that do little besides reaching its lines."""

    def __init__(self, tree: Path, reach: Reach, times: int) -> None:
        self._reach, self._times = reach, times
        self._users = _users(code(tree))
        self._reached = {test: reach.of(test) for test in reach.fixtures}
        self.files = sorted({test.partition("::")[0] for test in reach.fixtures})

    def is_imported(self, mutant: Mutant) -> bool:
        """Whether the fault matters while modules are imported."""
        return mutant.lines is None or bool(self._bits(mutant) & self._reach.reached[IMPORTING])

    def at(self, mutant: Mutant) -> tuple[dict[str, float], int]:
        """The tests with their seconds, in order, and how many more reach it."""
        tests = self._in_order(self._bits(mutant))
        found: dict[str, float] = {}
        for budget in BUDGETS:
            taken, spent, ready = dict[str, float](), 0.0, set[str]()
            for test in tests:
                cost = self._reach.cost(test, ready)
                if test not in found and spent + cost <= budget * self._times:
                    taken[test] = self._reach.cost(test)
                    spent += cost
                    ready.update(self._reach.fixtures[test])
            files = list(dict.fromkeys(test.partition("::")[0] for test in taken))
            found.update(sorted(taken.items(), key=lambda one: files.index(one[0].partition("::")[0])))
        return found, len(tests) - len(found)

    def _bits(self, mutant: Mutant) -> int:
        if mutant.lines is not None:
            first, last = mutant.lines
            return self._reach.bits(lambda module, line: module == mutant.path and first <= line <= last)
        own = self._reach.bits(lambda module, _: module == mutant.path)
        users = self._users.get(mutant.path, ())
        return own or self._reach.bits(lambda module, _: module in users)

    def _in_order(self, wanted: int) -> list[str]:
        found = []
        for test, bits in self._reached.items():
            here = (bits & wanted).bit_count()
            if here and self._reach.cost(test) <= LONGEST:
                telling = TELLING.get("/".join(test.split("/")[:2]), 1)
                found.append(((self._reach.cost(test) + 0.02) * bits.bit_count() / here / telling, test))
        return [test for _, test in sorted(found)]


def _users(folder: Path) -> dict[str, set[str]]:
    """The modules that import each module."""
    found: dict[str, set[str]] = defaultdict(set)
    for path in sorted(folder.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("clutchlight"):
                base = node.module.removeprefix("clutchlight").strip(".").replace(".", "/")
                for name in (f"{base}.py", *(f"{base}/{alias.name}.py".lstrip("/") for alias in node.names)):
                    found[name].add(path.relative_to(folder).as_posix())
    return found


# -- trying ------------------------------------------------------------------------------------------------------------


def try_all(tree: Path, chosen: Sequence[tuple[str, str, Mutant]], reach: Reach, asked: argparse.Namespace) -> None:
    """Adds a line to the results for each mutant: of each that has none, then of each that is alive and has tests left."""
    if not asked.again:
        known = recorded(asked.results)
        _try(tree, [one for one in chosen if one[0] not in known], Aim(tree, reach, 1), asked)
    known = recorded(asked.results)
    if asked.again:
        wanted = [one for one in chosen if one[0] in known and asked.again in one[0] + known[one[0]].outcome]
    else:
        wanted = [one for one in chosen if known[one[0]].left]
    _try(tree, wanted, Aim(tree, reach, TIMES), asked)


def _try(tree: Path, wanted: Sequence[tuple[str, str, Mutant]], aim: Aim, asked: argparse.Namespace) -> None:
    def judge(name: str, part: str, mutant: Mutant, tried: Callable[[Path, str, Mapping[str, float]], Ran]) -> None:
        module = code(tree) / mutant.path
        tests, left = aim.at(mutant)
        ran = Ran("not reached")
        if tests:
            ran = tried(module, mutated(module.read_text(encoding="utf-8"), mutant), tests)
        if ran.ended == "imported":
            return
        outcome = "alive" if ran.ended == "passed" else ran.ended
        with asked.results.open("a", encoding="utf-8") as out:
            result = Result(name, part, mutant.operator, outcome, ran.by, ran.tried, left if outcome == "alive" else 0)
            out.write(json.dumps(asdict(result)) + "\n")

    def together(session: Session) -> None:
        for one in wanted:
            if not aim.is_imported(one[2]):
                judge(*one, session.run)

    def apart(module: Path, text: str, tests: Mapping[str, float]) -> Ran:
        with replaced(module, text):
            ran = run(tree, tests, asked.work / "output-anew")
        if not ran.tried and not run(tree, tests, asked.work / "output-anew").tried:
            raise RuntimeError(f"without the fault no test begins either: delete {tree} and go on")
        return ran

    asked.results.touch()
    before = len(asked.results.read_text(encoding="utf-8").splitlines())
    in_session(tree, aim.files, together, asked.work / "output")
    judged = {json.loads(line)["name"] for line in asked.results.read_text(encoding="utf-8").splitlines()[before:]}
    for one in wanted:
        if one[0] not in judged:
            judge(*one, apart)


def recorded(results: Path) -> dict[str, Result]:
    """What is known of mutants by name; the last line about each counts."""
    if not results.exists():
        return {}
    lines = results.read_text(encoding="utf-8").splitlines()
    return {one.name: one for one in (Result(**json.loads(line)) for line in lines)}


def report(results: Sequence[Result]) -> None:
    """Counts by part and by operator, and those alive, each with whether it is explained."""
    explained = ALIVE.read_text(encoding="utf-8") if ALIVE.exists() else ""
    for title, of in (("part", attrgetter("part")), ("operator", attrgetter("operator"))):
        tried, alive = Counter(map(of, results)), Counter(of(one) for one in results if not one.killed)
        print(f"\n{title:<12}  tried  alive")
        for name in sorted(tried):
            print(f"{name:<12}  {tried[name]:>5}  {alive[name]:>5}")
    living = [one for one in results if not one.killed]
    unexplained = [one for one in living if one.name not in explained]
    print(f"\n{len(results)} mutants, {len(living)} alive, {len(unexplained)} of them not explained")
    for one in unexplained:
        print(f"  {one.outcome}, {one.tried} tests tried, {one.left} left: {one.name}")


def killed_again(work: Path) -> bool:
    """The short form: each mutant of KILLED with the one test that stands there."""
    tree = copied(ROOT, work / "short", as_it_is=True)
    whole = True
    for line in KILLED.read_text(encoding="utf-8").splitlines():
        test, _, name = line.partition(" kills ")
        module = code(tree) / f"{name.partition(':')[0].replace('.', '/')}.py"
        source = module.read_text(encoding="utf-8") if module.is_file() else ""
        found = mutants(module, code(tree)) if source else []
        mutant = dict(zip(names(source, found), found, strict=True)).get(name)
        if mutant is None:
            print(f"no such mutant any more: {name}")
            whole = False
            continue
        with replaced(module, mutated(source, mutant)):
            ran = run(tree, {test: 5.0}, work / "output")
        if ran.by != test:
            print(f"{test} does not kill {name}")
            whole = False
    return whole


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=400)
    parser.add_argument("--seed", type=int, default=2611)
    parser.add_argument("--only", default="", help="modules whose name has this in it")
    parser.add_argument("--tests", default="", help="files of tests whose name has this pattern in it")
    parser.add_argument("--again", default="", help="tries again those whose outcome or name has this in it")
    parser.add_argument("--killed", action="store_true", help="the short form: only the mutants of mutants_killed.txt")
    parser.add_argument("--results", type=Path, default=Path(gettempdir(), "clutchlight-mutants.jsonl"))
    parser.add_argument("--work", type=Path, default=Path(gettempdir(), "clutchlight-mutants"))
    asked = parser.parse_args()
    load_libraries()
    if asked.killed:
        sys.exit(0 if killed_again(asked.work) else 1)
    tree, other = copied(ROOT, asked.work / "tree"), copied(ROOT, asked.work / "other")
    warm(tree)
    files = [name for name in test_files(ROOT) if re.search(asked.tests, name)]
    reach = reach_of(tree, other, files, asked.work, asked.work / "output-reach")
    print(f"{len(reach.fixtures)} tests, {sum(reach.seconds.values()):.0f} seconds", flush=True)
    for file in files:
        if not any(test.startswith(file) for test in reach.fixtures):
            print(f"no test of it passes in time: {file}", flush=True)
    chosen = _named(tree, drawn(tree, asked.count, asked.seed, asked.only))
    try_all(tree, chosen, reach, asked)
    known = recorded(asked.results)
    report([known[name] for name, _, _ in chosen if name in known])


def _named(tree: Path, chosen: Sequence[tuple[str, Mutant]]) -> list[tuple[str, str, Mutant]]:
    by_module: dict[str, list[Mutant]] = defaultdict(list)
    for _, mutant in chosen:
        by_module[mutant.path].append(mutant)
    found: dict[Mutant, str] = {}
    for path, these in by_module.items():
        found.update(zip(these, names((code(tree) / path).read_text(encoding="utf-8"), these), strict=True))
    return [(found[mutant], part, mutant) for part, mutant in chosen]


if __name__ == "__main__":
    main()
