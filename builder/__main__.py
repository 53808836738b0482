"""`python3 builder demo` and `python3 builder test`: make the environment, then run. Standard library only.

The environment is `.venv` beside this folder. It holds what `locked.txt` names, each file checked against its hash, and
this project itself as an editable install; uv makes it where there is one, else venv and pip. A stamp inside it says what it
was made from and is written last: while it is unchanged nothing is installed, and an interrupted run is made anew.

This file must parse on older Pythons, so that they get one line of advice instead of a syntax error.
"""

import hashlib
import importlib.util
import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

if sys.version_info < (3, 11):  # noqa: UP036 - the advice for those who have an older one
    sys.exit(
        "builder: this is Python %d.%d and Clutchlight needs 3.11 or newer; install it from python.org or your "  # noqa: UP031
        "system's packages, then run this again with it, for instance `python3.11 builder demo`" % sys.version_info[:2]
    )

ROOT = Path(__file__).resolve().parent.parent
LOCKED = "builder/locked.txt"
TWO_WORKERS = ["-n", "2", "--dist", "worksteal"]
TESTS_BEGIN = "# For the tests only"
USAGE = """\
usage: python3 builder demo            build the demo collection into site/
       python3 builder demo --renew    build it into site_demo/, the committed copy
       python3 builder test            every check, as the project's own machine runs them
       python3 builder test -m fast    the unit tests that are not slow
       python3 builder test ARGS...    pytest alone, with these arguments
       python3 builder lock            choose the newest versions anew and write builder/locked.txt"""


class BuilderError(Exception):
    """Something the person at the keyboard can mend; its text is one line that says how."""


def say(text: str) -> None:
    """One line to the person at the keyboard, in order with what the commands print."""
    print(f"builder: {text}", file=sys.stderr, flush=True)


def run(command: list[str], trouble: str) -> None:
    """Run a step; what it prints explains a failure."""
    if subprocess.run(command, check=False).returncode != 0:
        raise BuilderError(trouble)


# --- the environment


def environment_python(environment: Path) -> Path:
    """Where a virtual environment keeps its interpreter on this system."""
    return environment / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def stamp_for(root: Path, with_tests: bool) -> dict[str, str]:
    """What an environment is made from. Its place counts: a moved environment still points at the old folder."""
    made_from = b"".join((root / name).read_bytes() for name in (LOCKED, "pyproject.toml"))
    return {
        "python": sys.version.split()[0],
        "root": str(root),
        "files": hashlib.sha256(made_from).hexdigest(),
        "for": "tests" if with_tests else "demo",
    }


def read_stamp(environment: Path) -> dict[str, str]:
    """The stamp left by a finished run; empty when there is none or it cannot be read."""
    try:
        stamp = json.loads((environment / "made_from.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) else {}


def prepare(root: Path, with_tests: bool) -> Path:
    """The environment's interpreter. It is made anew when half made, moved or of another Python, and added to when a file changed."""
    environment = root / ".venv"
    python, found, wanted = environment_python(environment), read_stamp(environment), stamp_for(root, with_tests)
    whole = python.exists() and all(found.get(key) == wanted[key] for key in ("python", "root"))
    if whole and found.get("for") == "tests":
        wanted["for"] = "tests"  # an environment made for the tests serves the demo too
    if not whole or found != wanted:
        install(root, environment, wanted, fresh=not whole)
    return python


def install(root: Path, environment: Path, wanted: dict[str, str], fresh: bool) -> None:
    """Make or update the environment; without its stamp until the very end."""
    uv, python = shutil.which("uv"), str(environment_python(environment))
    if fresh:
        clear(environment)
        if not uv and importlib.util.find_spec("ensurepip") is None:
            raise BuilderError(
                "this Python cannot make environments; on Debian or Ubuntu: sudo apt install python3-venv, then run this again"
            )
        # Not sys.executable: that may be the very environment that was cleared, when it is activated.
        base = getattr(sys, "_base_executable", sys.executable)
        say(f"making {environment} (takes about a minute, and the network)")
        make = [uv, "venv", "-q", "--seed", "--python", base] if uv else [base, "-m", "venv"]
        run([*make, str(environment)], f"could not make {environment}; the reason stands above")
    else:
        say(f"updating {environment}")
    (environment / "made_from.json").unlink(missing_ok=True)
    pip = [uv, "pip", "install", "-q", "--python", python] if uv else [python, "-m", "pip", "-qq", "install"]
    with tempfile.TemporaryDirectory() as folder:
        listed = Path(folder) / "locked.txt"
        locked = (root / LOCKED).read_text(encoding="utf-8")
        listed.write_text(locked if wanted["for"] == "tests" else locked.partition(TESTS_BEGIN)[0], encoding="utf-8")
        run(
            [*pip, "--require-hashes", "--no-deps", "--only-binary", ":all:", "-r", str(listed)],
            "could not install the libraries; the reason stands above. Check the network and the free disk space, then run this again",
        )
    run(
        [*pip, "--no-deps", "--no-build-isolation", "--editable", str(root)],
        "could not install Clutchlight itself; the reason stands above",
    )
    part = environment / "made_from.json.part"
    part.write_text(json.dumps(wanted, indent=1, sort_keys=True), encoding="utf-8")
    part.replace(environment / "made_from.json")


def clear(environment: Path) -> None:
    """Remove a half-made environment, and nothing else: a folder with anything of the user's own is refused."""
    if environment.is_dir() and not environment.is_symlink():
        if not (environment / "pyvenv.cfg").is_file() and any(path.is_file() for path in environment.rglob("*")):
            raise BuilderError(f"{environment} is not a Python environment; move it away, then run this again")
        shutil.rmtree(environment)
    elif environment.is_symlink() or environment.exists():
        raise BuilderError(f"{environment} is not a Python environment; move it away, then run this again")
    environment.mkdir()  # here, so that a folder one may not write to is refused in our words


# --- the commands


def demo(arguments: list[str]) -> int:
    """Build the demo collection; with --renew into the committed copy."""
    if arguments not in ([], ["--renew"]):
        raise BuilderError("demo takes only --renew; `python3 builder` lists the commands")
    out = "site_demo" if arguments else "site"
    python = prepare(ROOT, with_tests=False)
    status = subprocess.run([str(python), "-m", "clutchlight", "build", "content", "--out", out], cwd=ROOT, check=False)
    if status.returncode == 0:
        say(f"open {ROOT / out / 'index.html'} in a browser")
    return status.returncode


def test(arguments: list[str]) -> int:
    """Run every check, or pytest alone when it is given arguments. The first failing check's status is returned."""
    python = str(prepare(ROOT, with_tests=True))
    lint_imports = (
        "import sys; from importlinter.cli import lint_imports_command as lint_imports; sys.exit(lint_imports())"
    )
    checks = {
        "ruff check": ["-m", "ruff", "check"],
        "ruff format --check": ["-m", "ruff", "format", "--check"],
        "mypy": ["-m", "mypy"],
        "lint-imports": ["-c", lint_imports],
        "pytest": ["-m", "pytest", *TWO_WORKERS, "--durations", "12"],
    }
    if arguments:
        checks = {"pytest": ["-m", "pytest", *(TWO_WORKERS if "-m" in arguments else []), *arguments]}
    # The tests start the program some hundred times: let Python keep its compiled code, whatever the machine is set to.
    surroundings = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    failed = {}
    for name, check in checks.items():
        if not arguments:
            say(name)
        status = subprocess.run([python, *check], cwd=ROOT, env=surroundings, check=False).returncode
        if status != 0:
            failed[name] = status
    if failed and not arguments:
        say(f"failed: {', '.join(failed)}")
    return next(iter(failed.values()), 0)


def lock(arguments: list[str]) -> int:
    """Write locked.txt anew: for every system at once, wheels only, what the program needs first."""
    if arguments:
        raise BuilderError("lock takes no arguments")
    import tomllib  # not on Pythons before 3.11, which stop above

    python = str(prepare(ROOT, with_tests=True))
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    runtime = [*project["project"]["dependencies"], *project["build-system"]["requires"], "editables"]
    with tempfile.TemporaryDirectory() as folder:

        def resolve(wanted: list[str], *options: str) -> list[str]:
            """One text for each requirement with its hashes."""
            asked, out = Path(folder) / "wanted.in", Path(folder) / "resolved.txt"
            asked.write_text("\n".join(wanted), encoding="utf-8")
            choices = "--universal --generate-hashes --no-header --no-annotate --no-config -q --python-version 3.11"
            choices += f" --only-binary :all: --output-file {out}"
            command = [python, "-m", "uv", "pip", "compile", str(asked), *choices.split(), *options]
            run(command, "no set of versions fits; uv says why above")
            return blocks(out.read_text(encoding="utf-8"))

        needed = resolve(runtime)
        kept = Path(folder) / "needed.txt"
        kept.write_text("".join(needed), encoding="utf-8")
        everything = resolve(runtime + project["dependency-groups"]["test"], "--constraint", str(kept))
    only_tests = [block for block in everything if block not in needed]
    head = "# Exact versions with their hashes; `python3 builder lock` writes this file. What the program needs:\n"
    text = head + "".join(needed) + f"\n{TESTS_BEGIN}:\n" + "".join(only_tests)
    part = ROOT / f"{LOCKED}.part"
    part.write_text(text, encoding="utf-8", newline="\n")
    part.replace(ROOT / LOCKED)
    say(f"{LOCKED}: {len(needed)} libraries for the program, {len(only_tests)} more for its tests")
    return 0


def blocks(listing: str) -> list[str]:
    """A requirements file taken apart: one text for each requirement with its hashes, in order."""
    found = []  # type: list[str]
    for line in listing.splitlines(keepends=True):
        if line[:1].isalnum():
            found.append(line)
        elif found:
            found[-1] += line
    return found


def main(arguments: list[str]) -> int:
    """Run one command; what a person can mend is said in one line and ends with status 2."""
    commands = {"demo": demo, "test": test, "lock": lock}
    if not arguments or arguments[0] not in commands:
        print(USAGE, file=sys.stderr)
        return 0 if arguments in (["-h"], ["--help"]) else 2
    try:
        return commands[arguments[0]](arguments[1:])
    except BuilderError as trouble:
        say(str(trouble))
    except PermissionError as error:
        say(f"may not write {error.filename}; copy the whole folder to a place of your own, then run this there")
    except OSError as error:
        say(f"{error.filename or ROOT}: {error.strerror}; mend that, then run this again")
    except KeyboardInterrupt:
        say("stopped; the next run picks up from here")
    return 2


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
