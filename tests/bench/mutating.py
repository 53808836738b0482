"""How many small faults in the code the tests would not notice.

Drawn    by seed: each part of CODE as likely as any other, in it each operator of `mutation_operators`, of that each mutant.
Tried    in a copy of the tree (`trying_mutants`), with the tests that reach the fault: first those that are quick and about little else,
         until one fails, until all have passed, or until the budget is spent.
Killed   a test fails, or does not end. Alive: everything that was tried passes. One that no test reaches is alive.
Results  one line of JSON for each mutant; a run that was broken off goes on where it was.
Run      python -m tests.bench.mutating --count 400 --seed 2611 --results /tmp/mutants.jsonl
         python -m tests.bench.mutating --results /tmp/mutants.jsonl --again alive    those alive, with no budget
         python -m tests.bench.mutating --only planning.season.due --count 50         one module
Explained  in `mutants_alive.md`, by their names; the report names those that are not.
"""

from __future__ import annotations

import argparse
import ast
import json
import os
import random
import sys
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from operator import attrgetter
from pathlib import Path
from tempfile import gettempdir

from tests.bench.mutation_operators import Mutant, module_of, mutants, mutated, names
from tests.bench.trying_mutants import Known, Reach, copied, load_libraries, reach_of, replaced, run, warm

ROOT = Path(__file__).resolve().parents[2]
CODE: Mapping[str, tuple[str, ...]] = {
    "genetics": ("genetics",),
    "statements": ("statements", "wording"),
    "planning": ("planning",),
    "records": ("reading", "editing", "ledger"),
    "publishing": ("publishing", "site/feeds"),
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
    "tests/site/test_browser.py",
    "tests/site/test_desk_browser.py",
    "tests/site/test_privacy.py",
)
"""Files of tests that install, drive a browser, use nothing of the program, or take long to find what tests/exact finds at once."""

ALIVE = Path(__file__).with_name("mutants_alive.md")
KILLED = Path(__file__).with_name("mutants_killed.txt")
"""Lines `TEST kills MUTANT`, for the short form."""

BUDGETS = (5.0, 30.0, 120.0)
"""Seconds of tests in each round; a round starts when all tests of those before have passed."""
LONGEST = 60.0
"""A test that takes longer is left to `--again`."""


@dataclass(frozen=True, slots=True)
class Result:
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


def test_files(tree: Path) -> list[list[str]]:
    """Files of tests, each by itself; the examples in docstrings all together."""
    found = [path.relative_to(tree).as_posix() for path in sorted((tree / "tests").rglob("test_*.py"))]
    return [[name] for name in found if name not in NOT_TRIED] + [["builder/clutchlight"]]


class Aim:
    """Which tests to try on a mutant, the likeliest first: quick ones, and ones that do little besides reaching its module."""

    def __init__(self, tree: Path, reach: Known) -> None:
        self._reach = reach
        self._users = _users(code(tree))

    def at(self, mutant: Mutant) -> list[str]:
        if mutant.lines is None:
            return self._in_order(dict.fromkeys((mutant.path, *self._users.get(mutant.path, ())), -1))
        if self._reach.is_new(mutant.path, mutant.function):
            tests = self._in_order({mutant.path: -1})
            return tests or self._in_order(dict.fromkeys(self._users.get(mutant.path, ()), -1))
        first, last = mutant.lines
        return self._in_order({mutant.path: (1 << last + 1) - (1 << first)})

    def _in_order(self, wanted: Mapping[str, int]) -> list[str]:
        found = []
        for test, seconds in self._reach.seconds.items():
            of = {module: self._reach.of(test, module) for module in wanted}
            if any(of[module] & lines for module, lines in wanted.items()):
                about = sum(lines.bit_count() for lines in of.values()) / max(1, self._reach.count(test))
                found.append(((seconds + 0.02) / about, test))
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


def rounds(tests: Sequence[str], reach: Known, budgets: Sequence[float], longest: float) -> Iterator[list[str]]:
    """The tests in rounds of those seconds, tests of one file after each other."""
    waiting = [test for test in tests if reach.seconds[test] <= longest]
    for budget in budgets:
        taken: list[str] = []
        while waiting and (
            not taken or sum(reach.seconds[test] for test in taken) + reach.seconds[waiting[0]] <= budget
        ):
            taken.append(waiting.pop(0))
        if taken:
            files = list(dict.fromkeys(test.partition("::")[0] for test in taken))
            yield sorted(taken, key=lambda test: files.index(test.partition("::")[0]))


# -- trying ------------------------------------------------------------------------------------------------------------


class Trying:
    """Mutants in one copy of the tree, one after the other."""

    def __init__(self, tree: Path, reach: Known, *, patient: bool) -> None:
        self._tree, self._reach, self._aim = tree, reach, Aim(tree, reach)
        self._budgets = (*BUDGETS, float("inf")) if patient else BUDGETS
        self._longest = float("inf") if patient else LONGEST

    def judge(self, name: str, part: str, mutant: Mutant) -> Result:
        module = code(self._tree) / mutant.path
        source = module.read_text(encoding="utf-8")
        tests = self._aim.at(mutant)
        if not tests:
            return Result(name, part, mutant.operator, "not reached")
        tried = 0
        with replaced(module, mutated(source, mutant)):
            for some in rounds(tests, self._reach, self._budgets, self._longest):
                tried += len(some)
                ran = run(self._tree, some, sum(map(self._reach.seconds.__getitem__, some)), self._tree / ".output")
                if ran.ended != "passed":
                    return Result(name, part, mutant.operator, ran.ended, ran.failed, tried)
        return Result(name, part, mutant.operator, "alive", "", tried, len(tests) - tried)


def recorded(results: Path) -> dict[str, Result]:
    """What is known of mutants by name; the last line about each counts."""
    if not results.exists():
        return {}
    lines = results.read_text(encoding="utf-8").splitlines()
    return {one.name: one for one in (Result(**json.loads(line)) for line in lines)}


def in_processes(count: int, work: Callable[[int], object]) -> None:
    """Does the work of each number in a process of its own, of number 0 in this one, and waits for all."""
    others = []
    for number in range(1, count):
        process = os.fork()
        if process == 0:
            try:
                work(number)
            finally:
                sys.stdout.flush()
                os._exit(0)
        others.append(process)
    work(0)
    for process in others:
        os.waitpid(process, 0)


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
            ran = run(tree, [test], 5, work / "output")
        if ran.failed != test:
            print(f"{test} does not kill {name}")
            whole = False
    return whole


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=400)
    parser.add_argument("--seed", type=int, default=2611)
    parser.add_argument("--only", default="", help="modules whose name has this in it")
    parser.add_argument("--tests", default="", help="files of tests whose name has this in it")
    parser.add_argument("--again", default="", help="tries again those whose outcome or name has this in it")
    parser.add_argument("--killed", action="store_true", help="the short form: only the mutants of mutants_killed.txt")
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--results", type=Path, default=Path(gettempdir(), "clutchlight-mutants.jsonl"))
    parser.add_argument("--work", type=Path, default=Path(gettempdir(), "clutchlight-mutants"))
    asked = parser.parse_args()
    load_libraries()
    if asked.killed:
        sys.exit(0 if killed_again(asked.work) else 1)
    trees = [copied(ROOT, asked.work / str(number)) for number in range(asked.workers)]
    for tree in trees:
        warm(tree)
    files = [one for one in test_files(ROOT) if any(asked.tests in name for name in one)]

    def noted(number: int, these: Sequence[Sequence[str]]) -> list[Reach]:
        return [reach_of(trees[number], one, asked.work / "reach", asked.work / f"output-{number}") for one in these]

    in_processes(asked.workers, lambda number: noted(number, files[number :: asked.workers]))
    reach = Known(trees[0], noted(0, files))
    print(f"{len(reach.seconds)} tests, {sum(reach.seconds.values()):.0f} seconds", flush=True)
    known = recorded(asked.results)
    chosen = _named(trees[0], drawn(trees[0], asked.count, asked.seed, asked.only))

    def tried(number: int) -> None:
        trying = Trying(trees[number], reach, patient=bool(asked.again))
        for name, part, mutant in chosen[number :: asked.workers]:
            again = asked.again and name in known and (asked.again in name or asked.again in known[name].outcome)
            if name not in known or again:
                result = trying.judge(name, part, mutant)
                with asked.results.open("a", encoding="utf-8") as out:
                    out.write(json.dumps(asdict(result)) + "\n")
                print(f"{result.outcome:<12} {result.tried:>4}  {name}", flush=True)

    in_processes(asked.workers, tried)
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
