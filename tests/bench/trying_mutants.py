"""Runs tests on a changed copy of the tree, and knows which tests reach which lines.

Copy     the tree without what is made from it; each module written out from its syntax tree, so that a mutant differs from the copy
         in its fault alone. The checkout is never changed.
Process  tests run in a copy of this process, made after pytest and the libraries were loaded but before anything of ours: the start
         costs what our own modules cost.
Reach    coverage.py with a context for each test, and for each fixture that several tests share. What a test starts as a program of
         its own counts as well. Kept for each file of tests under a digest of that file, whatever becomes of the program.
Limits   seconds of the processor, so that a busy machine kills no mutant; memory, so that an endless list ends.
"""

from __future__ import annotations

import ast
import compileall
import contextlib
import hashlib
import importlib
import json
import os
import re
import resource
import select
import shutil
import signal
import subprocess
import sys
import time
import traceback
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import astuple, dataclass, field
from importlib.util import cache_from_source
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from tests.bench.mutation_operators import written

LOADED_BEFORE = (
    "bs4",
    "click",
    "coverage",
    "feedparser",
    "graphviz",
    "html5lib",
    "hypothesis",
    "jinja2",
    "jsonschema",
    "lxml.etree",
    "markdown",
    "nh3",
    "PIL.Image",
    "playwright.sync_api",
    "pydantic",
    "rfc8785",
    "rich.console",
    "segno",
    "yaml",
)
"""Libraries that programs and tests load; none that starts a thread or that the program looks for among what is loaded."""
OURS = ("clutchlight", "tests", "conftest")
MEMORY = 4 << 30
SPARE = 10
"""Seconds of the processor that any run may take, besides several times what its tests took."""
TIMES = 5


def copied(root: Path, place: Path, *, as_it_is: bool = False) -> Path:
    """A copy of what git knows or would, modules written out from their syntax trees. What Python compiled there before is kept.

    `as_it_is`: modules as they are, but compiled.
    """
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],  # noqa: S607
        cwd=root,
        check=True,
        capture_output=True,
    )
    names = {name for name in listed.stdout.decode().split("\0") if name and (root / name).is_file()}
    for file in [file for file in place.rglob("*") if file.is_file() or file.is_symlink()]:
        if file.relative_to(place).as_posix() not in names and "__pycache__" not in file.parts:
            file.unlink()
    for name in sorted(names):
        content = (root / name).read_bytes()
        if name.startswith("builder/clutchlight/") and name.endswith(".py") and not as_it_is:
            content = written(ast.parse(content)).encode()
        target = place / name
        if not target.is_file() or target.read_bytes() != content:
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content)
            shutil.copymode(root / name, target)
    if as_it_is:
        compileall.compile_dir(place / "builder" / "clutchlight", quiet=2)
    return place


def warm(tree: Path) -> None:
    """Has everything compiled once that a build compiles, so that no later run has to."""
    with TemporaryDirectory() as folder:
        surroundings = {**os.environ, "PYTHONPATH": str(tree / "builder")}
        command = [sys.executable, "-m", "clutchlight", "build", str(tree / "content"), "--out", f"{folder}/site"]
        subprocess.run(command, cwd=tree, env=surroundings, check=True, capture_output=True)


@contextlib.contextmanager
def replaced(module: Path, text: str) -> Iterator[None]:
    """Another text in a module for a while. What Python compiled of it goes each time: by time and size it could be taken for fresh."""
    before, compiled = module.read_bytes(), Path(cache_from_source(module))
    try:
        compiled.unlink(missing_ok=True)
        module.write_text(text, encoding="utf-8")
        yield
    finally:
        module.write_bytes(before)
        compiled.unlink(missing_ok=True)


# -- one run of pytest in a process of its own -------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Ran:
    """`ended`: "passed", "failed", or "stopped" at a limit. `failed`: the first test that did, where one was reached."""

    ended: str
    failed: str
    seconds: float


def load_libraries() -> None:
    """Once, before the first run."""
    for name in LOADED_BEFORE:
        with contextlib.suppress(ImportError):
            importlib.import_module(name)


def run(tree: Path, tests: Sequence[str], seconds: float, output: Path) -> Ran:
    """Runs these tests in a tree, in this order, until the first that fails. Seconds: what they are known to take."""
    files = list(dict.fromkeys(test.partition("::")[0] for test in tests))
    chosen = _Chosen(tests)
    return _apart(tree, [*files, "-x"], [chosen], SPARE + TIMES * seconds, output, lambda: chosen.failed)


def _apart(
    tree: Path,
    arguments: Sequence[str],
    plugins: Sequence[object],
    seconds: float,
    output: Path,
    told: Callable[[], str],
) -> Ran:
    started = time.monotonic()
    reading, writing = os.pipe()
    process = os.fork()
    if process == 0:
        try:
            os.close(reading)
            os.setsid()
            _enter(tree, seconds, output)
            code = int(
                pytest.main(
                    [*_ARGUMENTS, f"--rootdir={tree}", f"--config-file={tree}/pyproject.toml", *arguments], plugins
                )
            )
            os.write(writing, json.dumps([code, told()]).encode())
        except BaseException:
            traceback.print_exc()
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(0)
    os.close(writing)
    told_by = _read_until(reading, started + 60 + 10 * seconds)
    with contextlib.suppress(OSError):
        os.killpg(process, signal.SIGKILL)
    with contextlib.suppress(OSError):
        os.kill(process, signal.SIGKILL)
    os.waitpid(process, 0)
    took = time.monotonic() - started
    if not told_by:
        return Ran("stopped", "", took)
    code, failed = json.loads(told_by)
    return Ran("passed" if code == 0 else "failed", failed, took)


_ARGUMENTS = (
    "-q",
    "--tb=short",
    "-p",
    "no:xdist",
    "-p",
    "no:cacheprovider",
    "-W",
    "ignore::pytest.PytestAssertRewriteWarning",
)


def _enter(tree: Path, seconds: float, output: Path) -> None:
    """Becomes a process that knows that tree only, with its limits."""
    out = os.open(output, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o644)
    os.dup2(out, 1)
    os.dup2(out, 2)
    resource.setrlimit(resource.RLIMIT_CPU, (int(seconds) + 1, int(seconds) + 2))
    resource.setrlimit(resource.RLIMIT_DATA, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    for name in [name for name in sys.modules if name.partition(".")[0] in OURS]:
        del sys.modules[name]
    os.chdir(tree)
    sys.path[:] = [str(tree / "builder"), str(tree), *(one for one in sys.path if not _holds_ours(one))]
    importlib.invalidate_caches()
    sys.dont_write_bytecode = False
    os.environ.update(CI="1", PYTHONPATH=str(tree / "builder"), PYTHONDONTWRITEBYTECODE="")


def _holds_ours(folder: str) -> bool:
    return any((Path(folder or ".") / name).exists() for name in ("clutchlight", "tests"))


def _read_until(reading: int, end: float) -> bytes:
    found = b""
    with os.fdopen(reading, "rb", buffering=0) as pipe:
        while (left := end - time.monotonic()) > 0 and select.select([pipe], [], [], left)[0]:
            piece = pipe.read(1 << 16)
            if not piece:
                break
            found += piece
    return found


class _Chosen:
    """Keeps the chosen tests only, in their order, and remembers the first that failed."""

    def __init__(self, tests: Sequence[str]) -> None:
        self._rank = {test: number for number, test in enumerate(tests)}
        self.failed = ""

    @pytest.hookimpl(trylast=True)
    def pytest_configure(self) -> None:
        """A failing example need not be made smaller."""
        import hypothesis

        with contextlib.suppress(hypothesis.errors.InvalidArgument):  # where no test of ours has its settings
            usual = hypothesis.settings.get_profile("ci")
            phases = [hypothesis.Phase.explicit, hypothesis.Phase.generate]
            hypothesis.settings.register_profile("mutants", usual, phases=phases)
            hypothesis.settings.load_profile("mutants")

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = sorted(
            (item for item in items if item.nodeid in self._rank), key=lambda item: self._rank[item.nodeid]
        )

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed = self.failed or report.nodeid

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.failed = self.failed or report.nodeid


# -- what reaches what -------------------------------------------------------------------------------------------------

Lines = dict[str, dict[str, dict[str, int]]]
"""Of each context, by module and function, the lines reached: bits of a number, counted from the function's first line."""


@dataclass(slots=True)
class Reach:
    """`seconds`: of each test that passes. `shares`: the contexts of the fixtures that a test shares with others.
    `texts`: a digest of each function, by module, as it was when the lines were noted."""

    seconds: dict[str, float] = field(default_factory=dict)
    shares: dict[str, list[str]] = field(default_factory=dict)
    lines: Lines = field(default_factory=dict)
    texts: dict[str, dict[str, str]] = field(default_factory=dict)


class Known:
    """What each test reaches in a tree, in lines of its modules.

    Of a function that is another by now, all lines are taken as reached by whatever reached it before.
    """

    def __init__(self, tree: Path, noted: Iterable[Reach]) -> None:
        self.seconds: dict[str, float] = {}
        self._shares: dict[str, list[str]] = {}
        self._lines: dict[str, dict[str, int]] = {}
        noted = list(noted)
        now = {name: _functions(text) for name, text in _modules(tree)}
        self._new = {name: set(functions) for name, functions in now.items()}
        for reach in noted:
            for module, texts in reach.texts.items():
                self._new.get(module, set()).difference_update(texts)
            self.seconds.update(reach.seconds)
            self._shares.update(reach.shares)
            for context, modules in reach.lines.items():
                mine = self._lines.setdefault(context, {})
                for module, functions in modules.items():
                    before, here = reach.texts[module], now.get(module, {})
                    for name, bits in functions.items():
                        if name in here:
                            first, last, text = here[name]
                            exact = text == before[name]
                            found = bits << first if exact else (1 << last + 1) - (1 << first)
                            mine[module] = mine.get(module, 0) | found

    def is_new(self, module: str, function: str) -> bool:
        """Whether a function came later than all that was noted."""
        return function in self._new.get(module, ())

    def of(self, test: str, module: str) -> int:
        """The lines of a module that a test reaches, as the bits of a number."""
        found = 0
        for context in (test, *self._shares[test]):
            found |= self._lines.get(context, {}).get(module, 0)
        return found

    def count(self, test: str) -> int:
        """How many lines a test reaches in all: few, where it is about few things."""
        contexts = (test, *self._shares[test])
        return sum(lines.bit_count() for context in contexts for lines in self._lines.get(context, {}).values())


def reach_of(tree: Path, files: Sequence[str], kept: Path, output: Path) -> Reach:
    """What the tests of these files reach: those that pass. Noted once for as long as the files stay as they are."""
    place = kept / f"{Path(files[0]).stem}-{_digest(tree, files)}.json"
    if not place.exists():
        place.parent.mkdir(parents=True, exist_ok=True)
        (tree / ".reach").mkdir(exist_ok=True)
        _apart(tree, files, [_Recording(tree, place)], 3600, output, lambda: "")
    return Reach(*json.loads(place.read_text(encoding="utf-8"))) if place.exists() else Reach()


def _digest(tree: Path, files: Sequence[str]) -> str:
    """Of files of tests, and of the names of the folders beside them, which hold what they are about."""
    found = hashlib.sha256()
    for file in (tree / one for one in files):
        if file.is_file():
            folders = sorted(one.name for one in file.parent.iterdir() if one.is_dir() and one.name != "__pycache__")
            found.update(f"{file.relative_to(tree)}\0{folders}\0".encode() + file.read_bytes())
    return found.hexdigest()[:24]


def _modules(tree: Path) -> Iterator[tuple[str, str]]:
    code = tree / "builder" / "clutchlight"
    for file in sorted(code.rglob("*.py")):
        yield file.relative_to(code).as_posix(), file.read_text(encoding="utf-8")


def _functions(text: str) -> dict[str, tuple[int, int, str]]:
    """First line, last line and digest of each function of a module, by its name with those that it is in."""
    found: dict[str, tuple[int, int, str]] = {}

    def look(node: ast.AST, name: str) -> None:
        for below in ast.iter_child_nodes(node):
            inside = name
            if isinstance(below, ast.FunctionDef | ast.ClassDef):
                inside = f"{name}.{below.name}".strip(".")
                if isinstance(below, ast.FunctionDef):
                    digest = hashlib.sha256(ast.unparse(below).encode()).hexdigest()[:12]
                    found[inside] = (below.lineno, below.end_lineno or below.lineno, digest)
            look(below, inside)

    look(ast.parse(text), "")
    return found


def _by_function(bits: int, functions: Mapping[str, tuple[int, int, str]]) -> dict[str, int]:
    """Lines of a module as lines of the innermost function that each is in; what runs at import is left out."""
    found: dict[str, int] = {}
    for name, (first, last, _) in sorted(functions.items(), key=lambda one: one[1][0], reverse=True):
        inside = bits & ((1 << last + 1) - (1 << first))
        if inside:
            found[name] = inside >> first
            bits &= ~inside
    return found


class _Recording:
    """Has coverage.py note the lines under the test, or the shared fixture, that is running."""

    def __init__(self, tree: Path, place: Path) -> None:
        self._tree, self._place = tree, place
        self._data = tree / ".reach" / f"data.{place.stem}"
        self._reach = Reach()
        self._failed: set[str] = set()
        self._now = ""

    @pytest.hookimpl(tryfirst=True)
    def pytest_configure(self) -> None:
        import coverage

        settings = self._data.with_suffix(".ini")
        settings.write_text(
            f"[run]\nsource = {self._tree}/builder/clutchlight\ndata_file = {self._data}\nparallel = true\n"
            "core = ctrace\ncontext = ${PYTEST_CURRENT_TEST-}\ndisable_warnings = no-data-collected,no-sysmon\n"
        )
        os.environ["COVERAGE_PROCESS_START"] = str(settings)
        self._coverage = coverage.Coverage(data_file=str(self._data), config_file=str(settings))
        self._coverage.start()

    def _switch(self, context: str) -> str:
        before, self._now = self._now, context
        self._coverage.switch_context(context)
        return before

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self._reach.seconds[item.nodeid] = 0.0
        info = getattr(item, "_fixtureinfo", None)
        definitions: Mapping[str, Sequence[Any]] = info.name2fixturedefs if info is not None else {}
        self._reach.shares[item.nodeid] = sorted(
            _context(found[-1]) for found in definitions.values() if found[-1].scope != "function"
        )
        before = self._switch(item.nodeid)
        try:
            return (yield)
        finally:
            self._switch(before)

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: pytest.FixtureDef[object]) -> Iterator[None]:
        if fixturedef.scope == "function":
            return (yield)
        before = self._switch(_context(fixturedef))
        try:
            return (yield)
        finally:
            self._switch(before)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self._reach.seconds[report.nodeid] += report.duration
        if not report.passed:
            self._failed.add(report.nodeid)

    def pytest_unconfigure(self) -> None:
        import coverage

        self._coverage.stop()
        self._coverage.save()
        with contextlib.suppress(coverage.CoverageException):
            self._coverage.combine()
        data = self._coverage.get_data()
        code = self._tree / "builder" / "clutchlight"
        lines: dict[str, dict[str, int]] = {}
        for name in data.measured_files():
            module = Path(name).relative_to(code).as_posix()
            for line, contexts in data.contexts_by_lineno(name).items():
                for context in {_without_phase(context) for context in contexts}:
                    of = lines.setdefault(context, {})
                    of[module] = of.get(module, 0) | 1 << line
        functions = {name: _functions(text) for name, text in _modules(self._tree)}
        for context, modules in lines.items():
            self._reach.lines[context] = {name: _by_function(bits, functions[name]) for name, bits in modules.items()}
        self._reach.texts = {
            module: {name: text for name, (_, _, text) in of.items()} for module, of in functions.items()
        }
        for test in self._failed:
            del self._reach.seconds[test]
        part = self._place.with_suffix(".part")
        part.write_text(json.dumps(astuple(self._reach)), encoding="utf-8")
        part.replace(self._place)


def _context(fixture: Any) -> str:
    return f"fixture {fixture.argname} of {fixture.baseid or 'all'}"


def _without_phase(context: str) -> str:
    """The test of a context that pytest's own variable gave to a program: `tests/x.py::test_y (call)`."""
    return re.sub(r" \((?:setup|call|teardown)\)$", "", context)
