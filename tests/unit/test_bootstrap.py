"""`python3 builder …`: when it installs, when it does not, and the one line it says when it cannot."""

import ast
import errno
import json
import subprocess
import sys
import tomllib
from pathlib import Path
from types import ModuleType

import pytest


@pytest.fixture
def clone(tmp_path: Path) -> Path:
    """A folder with the three files that the bootstrap reads, and a library list with nothing in it."""
    root = tmp_path / "clone with a space"
    (root / "builder").mkdir(parents=True)
    (root / "builder" / "locked.txt").write_text("# For the tests only:\n", encoding="utf-8")
    (root / "pyproject.toml").write_text("[project]\n", encoding="utf-8")
    return root


@pytest.fixture
def installs(bootstrap: ModuleType, monkeypatch: pytest.MonkeyPatch) -> list[bool]:
    """Notes each installation (True: from nothing) instead of doing it; leaves what a finished one leaves."""
    seen: list[bool] = []

    def install(root: Path, environment: Path, wanted: dict[str, str], fresh: bool) -> None:
        seen.append(fresh)
        python = bootstrap.environment_python(environment)
        python.parent.mkdir(parents=True, exist_ok=True)
        python.touch()
        (environment / "made_from.json").write_text(json.dumps(wanted), encoding="utf-8")

    monkeypatch.setattr(bootstrap, "install", install)
    return seen


def test_installs_once(bootstrap: ModuleType, clone: Path, installs: list[bool]) -> None:
    """A second run with nothing changed installs nothing."""
    bootstrap.prepare(clone, with_tests=True)
    bootstrap.prepare(clone, with_tests=True)
    assert installs == [True]


def test_tests_serve_the_demo(bootstrap: ModuleType, clone: Path, installs: list[bool]) -> None:
    """An environment made for the tests is enough for the demo."""
    bootstrap.prepare(clone, with_tests=True)
    bootstrap.prepare(clone, with_tests=False)
    assert installs == [True]


def test_demo_is_extended_for_tests(bootstrap: ModuleType, clone: Path, installs: list[bool]) -> None:
    """An environment made for the demo is added to for the tests, not made anew."""
    bootstrap.prepare(clone, with_tests=False)
    bootstrap.prepare(clone, with_tests=True)
    assert installs == [True, False]


@pytest.mark.parametrize("name", ["builder/locked.txt", "pyproject.toml"])
def test_changed_file_updates(bootstrap: ModuleType, clone: Path, installs: list[bool], name: str) -> None:
    """A change of either file that says what to install brings the environment up to date, once."""
    bootstrap.prepare(clone, with_tests=True)
    with (clone / name).open("a", encoding="utf-8") as file:
        file.write("# changed\n")
    bootstrap.prepare(clone, with_tests=False)
    bootstrap.prepare(clone, with_tests=True)
    assert installs == [True, False]


def test_moved_folder_is_made_anew(bootstrap: ModuleType, clone: Path, installs: list[bool]) -> None:
    """A moved clone gets a new environment: the old one's scripts point at the old place."""
    bootstrap.prepare(clone, with_tests=True)
    moved = clone.rename(clone.with_name("moved"))
    bootstrap.prepare(moved, with_tests=True)
    assert installs == [True, True]


def test_another_python_makes_it_anew(
    bootstrap: ModuleType, clone: Path, installs: list[bool], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another Python gets a new environment."""
    bootstrap.prepare(clone, with_tests=True)
    monkeypatch.setattr(sys, "version", "3.99.0 (elsewhere)")
    bootstrap.prepare(clone, with_tests=True)
    assert installs == [True, True]


@pytest.mark.parametrize("stamp", [None, "", "{", "[]", "{}"])
def test_interrupted_run_is_made_anew(
    bootstrap: ModuleType, clone: Path, installs: list[bool], stamp: str | None
) -> None:
    """Without a whole stamp an environment counts as half made, whatever else it holds."""
    bootstrap.prepare(clone, with_tests=True)
    path = clone / ".venv" / "made_from.json"
    if stamp is None:
        path.unlink()
    else:
        path.write_text(stamp, encoding="utf-8")
    bootstrap.prepare(clone, with_tests=True)
    assert installs == [True, True]


def test_lost_interpreter_is_made_anew(bootstrap: ModuleType, clone: Path, installs: list[bool]) -> None:
    """An environment whose Python was removed from the system is made anew, though its stamp is whole."""
    bootstrap.prepare(clone, with_tests=True)
    bootstrap.environment_python(clone / ".venv").unlink()
    bootstrap.prepare(clone, with_tests=True)
    assert installs == [True, True]


def test_real_environment(bootstrap: ModuleType, clone: Path) -> None:
    """A half-made environment is cleared, the new one runs, and its stamp stands only once it is whole."""
    (clone / ".venv" / "bin").mkdir(parents=True)
    steps: list[list[str]] = []
    ordinary = bootstrap.run

    def run(command: list[str], trouble: str) -> None:
        steps.append(command)
        assert not (clone / ".venv" / "made_from.json").exists()
        if "pip" not in command:
            ordinary([*command, "--without-pip"], trouble)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(bootstrap, "run", run)
        python = bootstrap.prepare(clone, with_tests=True)
    assert subprocess.run([python, "-c", "print(1)"], check=True, capture_output=True, text=True).stdout == "1\n"
    assert bootstrap.read_stamp(clone / ".venv") == bootstrap.stamp_for(clone, with_tests=True)
    assert [step for step in steps if "--require-hashes" in step] == [steps[1]]
    assert len(steps) == 3


def test_failed_step_leaves_no_stamp(bootstrap: ModuleType, clone: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When a step fails the environment is not taken for whole, and the message is the step's own."""

    def run(command: list[str], trouble: str) -> None:
        raise bootstrap.BuilderError(trouble)

    monkeypatch.setattr(bootstrap, "run", run)
    with pytest.raises(bootstrap.BuilderError, match="could not make"):
        bootstrap.prepare(clone, with_tests=True)
    assert bootstrap.read_stamp(clone / ".venv") == {}


def test_a_folder_of_the_users_own_is_left_alone(bootstrap: ModuleType, clone: Path) -> None:
    """A `.venv` that is no Python environment is never cleared; the message says what to do."""
    kept = clone / ".venv" / "notes.txt"
    kept.parent.mkdir()
    kept.write_text("mine", encoding="utf-8")
    with pytest.raises(bootstrap.BuilderError, match="is not a Python environment; move it away"):
        bootstrap.prepare(clone, with_tests=True)
    assert kept.read_text(encoding="utf-8") == "mine"


def test_missing_venv_module(bootstrap: ModuleType, clone: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a Debian without python3-venv the message names the package."""
    monkeypatch.setattr(bootstrap.importlib.util, "find_spec", lambda name: None)
    with pytest.raises(bootstrap.BuilderError, match="sudo apt install python3-venv"):
        bootstrap.prepare(clone, with_tests=True)


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (
            PermissionError(errno.EACCES, "Permission denied", "/there/.venv"),
            "may not write /there/.venv; copy the whole folder",
        ),
        (
            OSError(errno.EROFS, "Read-only file system", "/there/.venv"),
            "/there/.venv: Read-only file system; mend",
        ),
        (
            OSError(errno.ENOSPC, "No space left on device", "/there/.venv"),
            "/there/.venv: No space left on device; mend",
        ),
        (KeyboardInterrupt(), "stopped; the next run picks up from here"),
    ],
)
def test_trouble_is_one_line(
    bootstrap: ModuleType,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    error: BaseException,
    said: str,
) -> None:
    """A read-only folder, a full disk or Ctrl-C end in one line and status 2, without a traceback."""

    def prepare(root: Path, with_tests: bool) -> Path:
        raise error

    monkeypatch.setattr(bootstrap, "prepare", prepare)
    assert bootstrap.main(["demo"]) == 2
    printed = capsys.readouterr().err
    assert printed.startswith(f"builder: {said}")
    assert printed.count("\n") == 1


@pytest.mark.parametrize("arguments", [[], ["demos"], ["demo", "--again"], ["lock", "now"]])
def test_wrong_usage(bootstrap: ModuleType, arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """An unknown command or option is refused with status 2 before anything is made."""
    assert bootstrap.main(arguments) == 2
    assert "builder" in capsys.readouterr().err


def test_older_python_can_read_the_file(repository: Path) -> None:
    """Pythons back to 3.7 parse the file, so that they can say which one is needed."""
    ast.parse((repository / "builder" / "__main__.py").read_text(encoding="utf-8"), feature_version=(3, 7))


def test_older_python_is_told(repository: Path) -> None:
    """A Python before 3.11 gets one line that names the version it needs."""
    pretend = "import runpy, sys; sys.version_info = (3, 9, 2); runpy.run_path(sys.argv[1], run_name='__main__')"
    command = [sys.executable, "-c", pretend, str(repository / "builder" / "__main__.py")]
    done = subprocess.run(command, check=False, capture_output=True, text=True)
    assert done.returncode == 1
    assert done.stderr.startswith("builder: this is Python 3.9 and Clutchlight needs 3.11 or newer")
    assert done.stderr.count("\n") == 1


def test_first_failure_is_the_status(
    bootstrap: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every check runs even after one failed; the status is the first failure's and the last line names them."""
    ran: list[list[str]] = []

    def pretend(command: list[str], **_: object) -> subprocess.CompletedProcess[str]:
        ran.append(command)
        return subprocess.CompletedProcess(command, {"mypy": 7, "pytest": 1}.get(command[2], 0))

    monkeypatch.setattr(bootstrap, "prepare", lambda root, with_tests: Path(sys.executable))
    monkeypatch.setattr(bootstrap.subprocess, "run", pretend)
    assert bootstrap.main(["test"]) == 7
    assert len(ran) == 5
    assert capsys.readouterr().err.splitlines()[-1] == "builder: failed: mypy, pytest"
    assert ran[-1][1:] == ["-m", "pytest", *bootstrap.TWO_WORKERS, "--durations", "12"]


@pytest.mark.parametrize(("arguments", "workers"), [(["-m", "fast"], True), (["tests/unit", "-k", "stamp"], False)])
def test_arguments_are_pytests(
    bootstrap: ModuleType, monkeypatch: pytest.MonkeyPatch, arguments: list[str], workers: bool
) -> None:
    """Nothing else runs; many tests are shared by two workers, a few run faster in one process."""
    ran: list[list[str]] = []

    def pretend(command: list[str], **_: object) -> subprocess.CompletedProcess[str]:
        ran.append(command)
        return subprocess.CompletedProcess(command, 3)

    monkeypatch.setattr(bootstrap, "prepare", lambda root, with_tests: Path(sys.executable))
    monkeypatch.setattr(bootstrap.subprocess, "run", pretend)
    assert bootstrap.main(["test", *arguments]) == 3
    assert [command[1:] for command in ran] == [
        ["-m", "pytest", *(bootstrap.TWO_WORKERS if workers else []), *arguments]
    ]


def test_demo_needs_no_test_library(bootstrap: ModuleType, repository: Path) -> None:
    """The demo installs the upper part of the list, which has all that the program asks for; no library stands in both parts."""
    locked = (repository / "builder" / "locked.txt").read_text(encoding="utf-8")
    upper = {block.split("==")[0] for block in bootstrap.blocks(locked.partition(bootstrap.TESTS_BEGIN)[0])}
    whole = [block.split("==")[0] for block in bootstrap.blocks(locked)]
    lower = set(whole[len(bootstrap.blocks(locked.partition(bootstrap.TESTS_BEGIN)[0])) :])
    asked = tomllib.loads((repository / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    assert {one.partition(">=")[0] for one in asked} <= upper
    assert "pytest" in lower
    assert upper & lower == set()


def test_every_library_is_pinned_with_a_hash(bootstrap: ModuleType, repository: Path) -> None:
    """The list holds exact versions with hashes, and no address or path of anybody's machine."""
    locked = (repository / "builder" / "locked.txt").read_text(encoding="utf-8")
    for block in bootstrap.blocks(locked):
        name, *hashes = block.split("\\\n")
        assert "==" in name
        assert hashes
        assert all(line.strip().startswith("--hash=sha256:") for line in hashes)
    assert "://" not in locked
    assert "--index" not in locked
