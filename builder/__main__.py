"""`python3 builder demo` and `python3 builder test`: make the environment, then run. Standard library only.

The environment is `.venv` beside this folder. It holds what `locked.txt` names, each file checked against its hash, and
this project itself as an editable install. A stamp inside it says what it was made from; while that is unchanged nothing
is installed and nothing is asked of the network. The stamp is written last, so an interrupted run is seen and made anew.

This file must parse on older Pythons, so that they get one line of advice instead of a syntax error.
"""

import errno
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

try:
    import fcntl
except ImportError:  # Windows: two runs at once are not kept apart there
    fcntl = None  # type: ignore[assignment]

ROOT = Path(__file__).resolve().parent.parent
LOCKED = "builder/locked.txt"
TESTS_BEGIN = "# For the tests only"
USAGE = """\
usage: python3 builder demo            build the demo collection into site/
       python3 builder demo --renew    build it into site_demo/, the committed copy
       python3 builder test            every check, as the project's own machine runs them
       python3 builder test ARGS...    pytest alone, with these arguments
       python3 builder lock            choose the newest versions anew and write builder/locked.txt"""
CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge")


class BuilderError(Exception):
    """Something the person at the keyboard can mend; its text is one line that says how."""


# --- the environment


def environment_python(environment: Path) -> Path:
    """Where a virtual environment keeps its interpreter on this system."""
    return environment / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def stamp_for(root: Path, with_tests: bool) -> dict[str, str]:
    """What an environment is made from. Its place counts: a moved environment still points at the old folder."""

    def digest(name: str) -> str:
        return hashlib.sha256((root / name).read_bytes()).hexdigest()

    return {
        "python": sys.version.split()[0],
        "root": str(root),
        "locked": digest(LOCKED),
        "project": digest("pyproject.toml"),
        "for": "tests" if with_tests else "demo",
    }


def read_stamp(environment: Path) -> dict[str, str]:
    """The stamp left by a finished run; empty when there is none or it cannot be read."""
    try:
        stamp = json.loads((environment / "made_from.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) else {}


def is_ready(found: dict[str, str], wanted: dict[str, str]) -> bool:
    """Whether an environment with this stamp can be used as it is. One made for the tests serves the demo too."""
    return found == wanted or found == {**wanted, "for": "tests"}


def can_be_updated(found: dict[str, str], wanted: dict[str, str]) -> bool:
    """Whether installing on top is enough: it was finished once, here, by this Python."""
    return bool(found) and all(found.get(key) == wanted[key] for key in ("python", "root"))


def is_ours(environment: Path) -> bool:
    """Whether `.venv` may be cleared: it is a virtual environment, or the first empty folders of one."""
    if environment.is_symlink() or not environment.is_dir():
        return not environment.is_symlink() and not environment.exists()
    if (environment / "pyvenv.cfg").is_file():
        return True
    return all(path.is_dir() or path.is_symlink() for path in environment.rglob("*"))


def requirements(locked: str, with_tests: bool) -> str:
    """The part of locked.txt to install: all of it, or only what stands above the tests' part."""
    return locked if with_tests else locked.partition(TESTS_BEGIN)[0]


def run(command: list[str], trouble: str) -> None:
    """Run a step of the installation; its own output is shown only as far as it explains a failure."""
    if subprocess.run(command, check=False).returncode != 0:
        raise BuilderError(trouble)


def install(root: Path, environment: Path, wanted: dict[str, str], fresh: bool) -> None:
    """Make or update the environment. Without its stamp until the very end."""
    if fresh:
        if not is_ours(environment):
            raise BuilderError(f"{environment} is not a Python environment; move it away, then run this again")
        if importlib.util.find_spec("ensurepip") is None:
            raise BuilderError(
                "this Python cannot make environments; on Debian or Ubuntu: sudo apt install python3-venv, then run this again"
            )
        # Not sys.executable: that may be the very environment to be cleared, when it is activated.
        base: str = getattr(sys, "_base_executable", sys.executable)
        if environment.exists():
            shutil.rmtree(environment)
        environment.mkdir()  # before venv does, so that a folder one may not write to is refused in our words
        say(f"making {environment} (takes about a minute, and the network)")
        run(
            [base, "-m", "venv", str(environment)],
            f"could not make {environment}; what Python says about it stands above",
        )
    else:
        say(f"updating {environment}")
    (environment / "made_from.json").unlink(missing_ok=True)
    with_tests = wanted["for"] == "tests"
    pip = [str(environment_python(environment)), "-m", "pip", "--disable-pip-version-check", "-qq", "install"]
    with tempfile.TemporaryDirectory() as folder:
        listed = Path(folder) / "locked.txt"
        listed.write_text(requirements((root / LOCKED).read_text(encoding="utf-8"), with_tests), encoding="utf-8")
        run(
            [*pip, "--require-hashes", "--no-deps", "--only-binary", ":all:", "-r", str(listed)],
            "could not install the libraries; pip's reason stands above. Check the network and the free disk space, "
            "then run this again",
        )
    run(
        [*pip, "--no-deps", "--no-build-isolation", "--editable", str(root)],
        "could not install Clutchlight itself; pip's reason stands above",
    )
    part = environment / "made_from.json.part"
    part.write_text(json.dumps(wanted, indent=1, sort_keys=True), encoding="utf-8")
    part.replace(environment / "made_from.json")


def prepare(root: Path, with_tests: bool) -> Path:
    """The environment's interpreter, after making or updating the environment where its stamp asks for it."""
    environment = root / ".venv"
    python = environment_python(environment)
    if is_ready(read_stamp(environment), stamp_for(root, with_tests)) and python.exists():
        return python
    with (root / LOCKED).open(encoding="utf-8") as one_at_a_time:
        if fcntl is not None:
            fcntl.flock(one_at_a_time, fcntl.LOCK_EX)  # given back when this process ends, however it ends
        found, wanted = read_stamp(environment), stamp_for(root, with_tests)
        if not (is_ready(found, wanted) and python.exists()):
            fresh = not (can_be_updated(found, wanted) and python.exists())
            if not fresh and found.get("for") == "tests":
                wanted["for"] = "tests"
            install(root, environment, wanted, fresh)
    return python


# --- Chromium, for the tests that look at pages


def chromium_places() -> list[Path]:
    """Where Chromium or a browser made of it stands when it is not on PATH."""
    if sys.platform == "darwin":
        inside = "{0}.app/Contents/MacOS/{0}"
        names = ("Chromium", "Google Chrome", "Microsoft Edge")
        return [folder / inside.format(name) for folder in (Path("/Applications"), Path.home()) for name in names]
    if os.name == "nt":
        folders = [os.environ.get(name) for name in ("PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA")]
        ends = (
            "Chromium/Application/chrome.exe",
            "Google/Chrome/Application/chrome.exe",
            "Microsoft/Edge/Application/msedge.exe",
        )
        return [Path(folder) / end for folder in folders if folder for end in ends]
    return []


def find_chromium() -> Path:
    """The Chromium to drive: CLUTCHLIGHT_CHROMIUM if set, else the first found. Raises BuilderError when there is none."""
    named = os.environ.get("CLUTCHLIGHT_CHROMIUM")
    if named:
        if not Path(named).is_file():
            raise BuilderError(
                f"CLUTCHLIGHT_CHROMIUM names '{named}', which is no file; name the browser's program or unset it"
            )
        return Path(named)
    on_path = [Path(place) for place in map(shutil.which, CHROMIUM_NAMES) if place]
    for place in on_path + chromium_places():
        if place.is_file():
            return place
    raise BuilderError(
        "the tests look at pages with Chromium and found none; Debian: sudo apt install chromium libatomic1; macOS: brew install --cask "
        "chromium; Windows: winget install Google.Chrome; or set CLUTCHLIGHT_CHROMIUM to the program"
    )


# --- the commands


def say(text: str) -> None:
    """One line to the person at the keyboard, in order with what the commands print."""
    print(f"builder: {text}", file=sys.stderr, flush=True)


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
    if arguments:
        checks = [[python, "-m", "pytest", *arguments]]
    else:
        os.environ["CLUTCHLIGHT_CHROMIUM"] = str(find_chromium())
        checks = [
            [python, "-m", "ruff", "check"],
            [python, "-m", "ruff", "format", "--check"],
            [python, "-m", "mypy"],
            [python, "-c", "import sys; from importlinter.cli import lint_imports_command as c; sys.exit(c())"],
            [python, "-m", "pytest", "-n", "2", "--dist", "loadfile"],
        ]
    failed = []
    for check in checks:
        name = "lint-imports" if check[1] == "-c" else " ".join(check[2:])
        if not arguments:
            say(name)
        status = subprocess.run(check, cwd=ROOT, check=False).returncode
        if status != 0:
            failed.append((name, status))
    if failed and not arguments:
        say(f"failed: {', '.join(name for name, status in failed)}")
    return failed[0][1] if failed else 0


def blocks(listing: str) -> list[str]:
    """A requirements file taken apart: one text for each requirement with its hashes, in order."""
    found: list[str] = []
    for line in listing.splitlines(keepends=True):
        if line[:1].isalnum():
            found.append(line)
        elif found:
            found[-1] += line
    return found


def lock(arguments: list[str]) -> int:
    """Write locked.txt anew: for every system at once, wheels only, what the program needs first."""
    if arguments:
        raise BuilderError("lock takes no arguments")
    import tomllib  # not on Pythons before 3.11, which stop above

    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    runtime = [*project["project"]["dependencies"], *project["build-system"]["requires"], "editables"]
    tests = project["dependency-groups"]["test"]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        run([sys.executable, "-m", "venv", str(folder / "tool")], "could not make an environment for the resolver")
        python = str(environment_python(folder / "tool"))
        run(
            [python, "-m", "pip", "--disable-pip-version-check", "-qq", "install", "uv"],
            "could not install the resolver, uv",
        )

        def resolve(wanted: list[str], *options: str) -> list[str]:
            (folder / "wanted.in").write_text("\n".join(wanted), encoding="utf-8")
            out = folder / "resolved.txt"
            out.unlink(missing_ok=True)
            choices = ["--universal", "--generate-hashes", "--no-header", "--no-annotate", "--no-config", "-q"]
            choices += ["--python-version", "3.11", "--only-binary", ":all:", "--output-file", str(out), *options]
            run(
                [python, "-m", "uv", "pip", "compile", str(folder / "wanted.in"), *choices],
                "no set of versions fits; uv says why above",
            )
            return blocks(out.read_text(encoding="utf-8"))

        needed = resolve(runtime)
        (folder / "needed.txt").write_text("".join(needed), encoding="utf-8")
        everything = resolve(runtime + tests, "--constraint", str(folder / "needed.txt"))
    only_tests = [block for block in everything if block not in needed]
    head = "# Exact versions with their hashes; `python3 builder lock` writes this file. What the program needs:\n"
    text = head + "".join(needed) + f"\n{TESTS_BEGIN}:\n" + "".join(only_tests)
    part = ROOT / (LOCKED + ".part")
    part.write_text(text, encoding="utf-8", newline="\n")
    part.replace(ROOT / LOCKED)
    say(f"{LOCKED}: {len(needed)} libraries for the program, {len(only_tests)} more for its tests")
    return 0


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
    except OSError as error:
        where = error.filename or ROOT
        if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
            say(f"may not write {where}; copy the whole folder to a place of your own, then run this there")
        else:
            say(f"{where}: {error.strerror}; mend that, then run this again")
    except KeyboardInterrupt:
        say("stopped; the next run picks up from here")
    return 2


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
