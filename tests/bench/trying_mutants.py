"""Runs tests on a changed copy of the tree, and knows which tests reach which statements.

Copy     the tree without what is made from it; each module written out from its syntax tree, so that a mutant differs from the copy
         in its fault alone. The checkout is never changed.
Session  pytest collects all tests once. Each mutant is tried in a copy of that process, in which the code of the function is exchanged.
         What runs while modules are imported is tried in a process that imports them anew.
Reach    noted in another copy, where every statement in a function sets a byte. Of a test, and of each fixture that several tests
         share. Programs that a test starts are not followed.
Limits   seconds of the processor, so that a busy machine kills no mutant; memory, so that an endless list ends.
"""

from __future__ import annotations

import ast
import compileall
import contextlib
import gc
import hashlib
import importlib
import inspect
import json
import os
import resource
import select
import shutil
import signal
import subprocess
import sys
import time
import traceback
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from importlib.util import cache_from_source
from pathlib import Path
from tempfile import TemporaryDirectory
from types import CodeType, FunctionType
from typing import Any

import pytest
from msgspec import Struct, field
from tests.bench.mutation_operators import written

LOADED_BEFORE = (
    "bs4",
    "click",
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
    "rfc8785",
    "segno",
    "yaml",
)
"""Libraries that programs and tests load; none that starts a thread or that the program looks for among what is loaded."""
OURS = ("clutchlight", "tests", "conftest")
MEMORY = 4 << 30
SPARE = 10
"""Seconds of the processor that any test may take, besides several times what it took before."""
TIMES = 5
ASLEEP = 600.0
"""Seconds by the clock for all tests of a mutant: for one that waits for ever, so long that none on a busy machine is taken for it."""
LONGEST = 6.0
"""A test that takes longer is not tried."""


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
    before, compiled = module.read_bytes(), Path(cache_from_source(str(module)))
    try:
        compiled.unlink(missing_ok=True)
        module.write_text(text, encoding="utf-8")
        yield
    finally:
        module.write_bytes(before)
        compiled.unlink(missing_ok=True)


# -- processes ---------------------------------------------------------------------------------------------------------


def load_libraries() -> None:
    """Once, before the first run."""
    for name in LOADED_BEFORE:
        with contextlib.suppress(ImportError):
            importlib.import_module(name)


def _forked(work: Callable[[Callable[[object], object]], object], seconds: float) -> list[Any]:
    """What the work told, one value after the other, in a copy of this process that ends with it or after those seconds."""
    reading, writing = os.pipe()
    process = os.fork()
    if process == 0:
        try:
            os.close(reading)
            os.setsid()
            work(lambda value: os.write(writing, json.dumps(value).encode() + b"\n"))
        except BaseException:
            traceback.print_exc()
        finally:
            sys.stdout.flush()
            os._exit(0)
    os.close(writing)
    told = _read_until(reading, time.monotonic() + seconds)
    for kill in (os.killpg, os.kill):
        with contextlib.suppress(OSError):
            kill(process, signal.SIGKILL)
    os.waitpid(process, 0)
    return [json.loads(line) for line in told.decode().splitlines()]


def _read_until(reading: int, end: float) -> bytes:
    found = b""
    with os.fdopen(reading, "rb", buffering=0) as pipe:
        while (left := end - time.monotonic()) > 0 and select.select([pipe], [], [], left)[0]:
            piece = pipe.read(1 << 16)
            if not piece:
                break
            found += piece
    return found


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


def _pytest(tree: Path, files: Sequence[str], plugin: object, output: Path) -> int:
    """Becomes a process that knows that tree only, and runs pytest in it."""
    out = os.open(output, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o644)
    os.dup2(out, 1)
    os.dup2(out, 2)
    resource.setrlimit(resource.RLIMIT_DATA, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    for name in [name for name in sys.modules if name.partition(".")[0] in OURS]:
        del sys.modules[name]
    os.chdir(tree)
    sys.path[:] = [str(tree / "builder"), str(tree), *(one for one in sys.path if not _holds_ours(one))]
    importlib.invalidate_caches()
    sys.dont_write_bytecode = False
    os.environ.update(CI="1", PYTHONPATH=str(tree / "builder"), PYTHONDONTWRITEBYTECODE="")
    places = [f"--rootdir={tree}", f"--config-file={tree}/pyproject.toml", f"--basetemp={output}.tmp"]
    return int(pytest.main([*_ARGUMENTS, *places, *files], [_Examples(), plugin]))


def _holds_ours(folder: str) -> bool:
    return any((Path(folder or ".") / name).exists() for name in ("clutchlight", "tests"))


class _Examples:
    """A failing example need not be made smaller."""

    @pytest.hookimpl(trylast=True)
    def pytest_configure(self) -> None:
        import hypothesis

        with contextlib.suppress(hypothesis.errors.InvalidArgument):  # where no test of ours has its settings
            usual = hypothesis.settings.get_profile("ci")
            phases = [hypothesis.Phase.explicit, hypothesis.Phase.generate]
            hypothesis.settings.register_profile("mutants", usual, phases=phases)
            hypothesis.settings.load_profile("mutants")


# -- trying tests ------------------------------------------------------------------------------------------------------


class Ran(Struct, frozen=True):
    """`ended`: "passed", "failed", "stopped" at a limit, or "imported" where the fault would have to be imported.
    `by`: the test that did not pass. `tried`: how many tests; none where not even the first could begin."""

    ended: str
    by: str = ""
    tried: int = 0


class _Chosen:
    """Runs the chosen tests in their order until one fails, and tells each before it starts."""

    def __init__(self, seconds: Mapping[str, float], tell: Callable[[object], object]) -> None:
        self._seconds, self._tell = seconds, tell
        self._failed = False

    def run(self, session: pytest.Session, items: Sequence[pytest.Item]) -> None:
        for item, following in zip(items, [*items[1:], None], strict=True):
            self._tell(item.nodeid)
            signal.setitimer(signal.ITIMER_PROF, SPARE + TIMES * self._seconds[item.nodeid])
            session.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if self._failed:
                self._tell("failed")
                return
        self._tell("passed")

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Where pytest itself was started for these tests alone."""
        if session.testsfailed:
            for _ in range(2):
                self._tell("failed")
        else:
            found = {item.nodeid: item for item in session.items}
            self.run(session, [found[test] for test in self._seconds if test in found])
        return True

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self._failed = self._failed or report.failed


def _judged(told: Sequence[str]) -> Ran:
    if told and told[-1] == "passed":
        return Ran("passed", "", len(told) - 1)
    if told and told[-1] == "failed":
        return Ran("failed", told[-2], len(told) - 1)
    return Ran("stopped", told[-1] if told else "", len(told))


def run(tree: Path, seconds: Mapping[str, float], output: Path) -> Ran:
    """Imports everything anew and runs these tests, which are known to take so long, in this order until the first that fails."""
    files = list(dict.fromkeys(test.partition("::")[0] for test in seconds))

    def work(tell: Callable[[object], object]) -> None:
        if (
            _pytest(tree, files, _Chosen(seconds, tell), output) == pytest.ExitCode.INTERRUPTED
        ):  # could not be collected
            tell("collecting")
            tell("failed")

    return _judged(_forked(work, ASLEEP))


class Session:
    """Tests collected once. Has to be entered in a process of its own: `in_session`."""

    def __init__(self, session: pytest.Session) -> None:
        self._session = session
        self._items = {item.nodeid: item for item in session.items}
        gc.unfreeze()  # what the tests put aside after collecting
        self._functions = [one for one in gc.get_objects() if isinstance(one, FunctionType)]
        gc.collect()
        gc.freeze()  # what was collected is looked through once here, and not in every copy of this process

    def run(self, module: Path, text: str, seconds: Mapping[str, float]) -> Ran:
        """Runs these tests with another text of a module. "imported" where that text differs in what only an import runs."""
        before = module.read_text(encoding="utf-8")

        def work(tell: Callable[[object], object]) -> None:
            if _exchanged(module, before, text, self._functions):
                chosen = _Chosen(seconds, tell)
                self._session.config.pluginmanager.register(chosen)
                chosen.run(self._session, [self._items[test] for test in seconds])
            else:
                tell("imported")

        with replaced(module, text):
            told = _forked(work, ASLEEP)
        return Ran("imported") if told == ["imported"] else _judged(told)


class _Loop:
    """Does something else with what was collected than to run it."""

    def __init__(self, work: Callable[[pytest.Session], None]) -> None:
        self._work = work

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        self._work(session)
        return True


def in_session(tree: Path, files: Sequence[str], work: Callable[[Session], None], output: Path) -> None:
    """Collects the tests of these files in a process of its own and does the work there. Raises RuntimeError where that did not end."""

    def begin(tell: Callable[[object], object]) -> None:
        def loop(session: pytest.Session) -> None:
            work(Session(session))
            tell("done")

        _pytest(tree, files, _Loop(loop), output)

    if not _forked(begin, float(1 << 30)):
        raise RuntimeError(f"the tests in {tree} could not be run: {output}")


def _exchanged(module: Path, before: str, after: str, functions: Iterable[FunctionType]) -> bool:
    """Exchanges the code of the functions that differ. False, where more differs or a function cannot be told from another."""
    old, new = (_codes(compile(text, str(module), "exec")) for text in (before, after))
    if old.keys() != new.keys():
        return False
    differing = {key for key in old if old[key] != new[key]}
    if any(len(old[key]) > 1 or not old[key][0].co_flags & inspect.CO_OPTIMIZED for key in differing):
        return False
    count = 0
    for one in functions:
        if one.__code__.co_filename == str(module):
            key = (one.__code__.co_qualname, one.__code__.co_firstlineno)
            if key in differing:
                try:
                    one.__code__ = new[key][0]
                except ValueError:
                    return False
                count += 1
    return count > 0


def _codes(code: CodeType) -> dict[tuple[str, int], list[CodeType]]:
    """The code of a module, of its classes and of its functions, by name and line. What is inside of a function belongs to it."""
    found: dict[tuple[str, int], list[CodeType]] = {}

    def look(one: CodeType) -> None:
        inside = [const for const in one.co_consts if isinstance(const, CodeType)]
        if not one.co_flags & inspect.CO_OPTIMIZED:
            for const in inside:
                look(const)
            plain = tuple(None if isinstance(const, CodeType) else const for const in one.co_consts)
            one = one.replace(co_consts=plain, co_linetable=b"")  # which tells where what is inside ends, too
        found.setdefault((one.co_qualname, one.co_firstlineno), []).append(one)

    look(code)
    return found


# -- what reaches what -------------------------------------------------------------------------------------------------


class Reach(Struct):
    """What each test reaches. `statements`: module and line of each bit. `reached`: by test and by fixture. `fixtures`: of each test
    those that it shares. `seconds`: of each test that passes, and of each shared fixture."""

    statements: list[tuple[str, int]] = field(default_factory=list)
    reached: dict[str, int] = field(default_factory=dict)
    fixtures: dict[str, list[str]] = field(default_factory=dict)
    seconds: dict[str, float] = field(default_factory=dict)

    def bits(self, wanted: Callable[[str, int], bool]) -> int:
        return sum(1 << bit for bit, (module, line) in enumerate(self.statements) if wanted(module, line))

    def of(self, test: str) -> int:
        found = 0
        for one in (test, *self.fixtures[test]):
            found |= self.reached.get(one, 0)
        return found

    def cost(self, test: str, ready: Iterable[str] = ()) -> float:
        """Seconds of a test with those of its fixtures that are not ready."""
        return self.seconds[test] + sum(self.seconds[one] for one in set(self.fixtures[test]) - set(ready))


EXAMPLES = "builder/clutchlight"
IMPORTING = "importing"
_FIXTURE = "fixture "
_NOTES = "reached_here"


def reach_of(tree: Path, place: Path, files: Sequence[str], kept: Path, output: Path) -> Reach:
    """What the tests of these files reach in a tree: noted in another copy, at `place`, and kept for as long as no code changes."""
    statements: list[tuple[str, int]] = []
    digest = hashlib.sha256()
    for file in sorted((place / "builder" / "clutchlight").rglob("*.py")):
        name = file.relative_to(place / "builder" / "clutchlight").as_posix()
        text = file.read_text(encoding="utf-8")
        digest.update(name.encode() + text.encode())
        file.write_text(_noting(text, name, statements), encoding="utf-8")
    (place / "builder" / f"{_NOTES}.py").write_text(f"NOTES = bytearray({len(statements)})\n", encoding="utf-8")
    folder = kept / f"reach-{digest.hexdigest()[:12]}"
    folder.mkdir(parents=True, exist_ok=True)
    lacking = [file for file in files if not _noted_of(tree, file, folder).exists()]
    if lacking:
        _forked(lambda _: _pytest(place, lacking, _Recording(statements, tree, folder), output), float(1 << 30))
    found = Reach(statements)
    for noted in sorted(folder.glob("*.json")):
        fields = json.loads(noted.read_text(encoding="utf-8"))
        if noted == _noted_of(tree, fields["file"], folder):
            for context, bits in fields["reached"].items():
                found.reached[context] = found.reached.get(context, 0) | int(bits, 16)
            found.fixtures.update(fields["fixtures"])
            found.seconds.update(fields["seconds"])
    return found


def _noted_of(tree: Path, file: str, folder: Path) -> Path:
    """Where the reach of a file of tests is kept, as it now is, or of all examples in docstrings."""
    text = (tree / file).read_bytes() if (tree / file).is_file() else b""
    return folder / f"{Path(file).stem}-{hashlib.sha256(file.encode() + text).hexdigest()[:12]}.json"


def _noting(text: str, name: str, statements: list[tuple[str, int]]) -> str:
    """A module where each statement in a function sets its byte first. The head of a `match` stands for its cases too."""
    tree = ast.parse(text)

    def noted(body: list[ast.stmt]) -> list[ast.stmt]:
        found: list[ast.stmt] = []
        for number, one in enumerate(body):
            lines = [one.lineno]
            if isinstance(one, ast.Match):
                lines += [case.pattern.lineno for case in one.cases]
            if not (number == 0 and isinstance(one, ast.Expr) and isinstance(one.value, ast.Constant)):
                for line in lines:
                    found += ast.parse(f"{_NOTES}[{len(statements)}] = 1").body
                    statements.append((name, line))
            found.append(one)
        return found

    def look(node: ast.AST, inside: bool) -> None:
        for below in ast.iter_child_nodes(node):
            look(below, inside or isinstance(below, ast.FunctionDef))
        if inside:
            for part in ("body", "orelse", "finalbody"):
                body = getattr(node, part, None)
                if isinstance(body, list) and not isinstance(node, ast.ClassDef):
                    setattr(node, part, noted(body))

    look(tree, inside=False)
    head = sum(
        isinstance(one, ast.Expr) or (isinstance(one, ast.ImportFrom) and one.module == "__future__")
        for one in tree.body[:2]
    )
    tree.body[head:head] = ast.parse(f"from {_NOTES} import NOTES as {_NOTES}").body
    return written(tree)


class _Recording:
    """Notes the statements under the test, or the shared fixture, that is running; writes them down after each file of tests."""

    def __init__(self, statements: list[tuple[str, int]], tree: Path, folder: Path) -> None:
        self._statements, self._tree, self._folder = statements, tree, folder
        self._reach = Reach()
        self._failed: set[str] = set()
        self._now, self._apart = IMPORTING, 0.0
        self._may_stop = False

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self) -> None:
        self._notes: bytearray = importlib.import_module(_NOTES).NOTES
        self._take(IMPORTING)

        def too_long(*_: object) -> None:
            if self._may_stop:
                raise TimeoutError

        signal.signal(signal.SIGPROF, too_long)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self) -> Iterator[None]:
        self._may_stop = True
        try:
            return (yield)
        finally:
            self._may_stop = False

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_makereport(self, item: pytest.Item, call: pytest.CallInfo[None]) -> pytest.TestReport | None:
        """Of a test that was stopped: pytest itself would look for the line where, and there may be none."""
        if call.when != "collect" and call.excinfo is not None and call.excinfo.errisinstance(TimeoutError):
            return pytest.TestReport(item.nodeid, item.location, {}, "failed", "too long", call.when)
        return None

    def _take(self, context: str) -> None:
        digits = self._notes[::-1].translate(bytes.maketrans(b"\0\1", b"01"))
        self._reach.reached[context] = self._reach.reached.get(context, 0) | int(digits, 2)
        self._notes[:] = bytes(len(self._notes))

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item, nextitem: pytest.Item | None) -> Iterator[None]:
        info = getattr(item, "_fixtureinfo", None)
        definitions: Mapping[str, Sequence[Any]] = info.name2fixturedefs if info is not None else {}
        shared = [_context(found[-1]) for found in definitions.values() if found[-1].scope != "function"]
        self._reach.fixtures[item.nodeid] = sorted(shared)
        started, self._now, self._apart = _used(), item.nodeid, 0.0
        signal.setitimer(signal.ITIMER_PROF, LONGEST)
        try:
            return (yield)
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
            self._take(item.nodeid)
            self._reach.seconds[item.nodeid] = round(_used() - started - self._apart, 4)
            if nextitem is None or _file(item) != _file(nextitem):
                self._write(_file(item))

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: pytest.FixtureDef[object]) -> Iterator[None]:
        if fixturedef.scope == "function":
            return (yield)
        self._take(self._now)
        started = _used()
        try:
            return (yield)
        finally:
            self._take(_context(fixturedef))
            self._reach.seconds[_context(fixturedef)] = took = round(_used() - started, 4)
            self._apart += took

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if not report.passed:
            self._failed.add(report.nodeid)

    def _write(self, file: str) -> None:
        reached = {context: f"{bits:x}" for context, bits in self._reach.reached.items()}
        fixtures = {test: found for test, found in self._reach.fixtures.items() if test not in self._failed}
        fields = {"file": file, "reached": reached, "fixtures": fixtures, "seconds": self._reach.seconds}
        place = _noted_of(self._tree, file, self._folder)
        part = place.with_suffix(".part")
        part.write_text(json.dumps(fields), encoding="utf-8")
        part.replace(place)
        shared = {
            name: bits for name, bits in self._reach.reached.items() if name == IMPORTING or name.startswith(_FIXTURE)
        }
        seconds = {name: took for name, took in self._reach.seconds.items() if name.startswith(_FIXTURE)}
        self._reach = Reach(reached=shared, seconds=seconds)


def _file(item: pytest.Item) -> str:
    """Of a test; all examples in docstrings are of one."""
    file = item.nodeid.partition("::")[0]
    return EXAMPLES if file.startswith(EXAMPLES) else file


def _used() -> float:
    """Seconds of the processor until now, those of ended programs included."""
    return sum(os.times()[:4])


def _context(fixture: Any) -> str:
    return f"{_FIXTURE}{fixture.argname} of {fixture.baseid or 'all'}"
