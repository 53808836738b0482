"""The wheel and the repository hold what they should, and nothing else."""

import os
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from pathlib import Path

import pytest

import clutchlight

pytestmark = pytest.mark.slow

TOP_LEVEL = {
    "CHANGELOG.md",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "builder",
    "content",
    "pyproject.toml",
    "site_demo",
    "tests",
    "themes",
}
HIDDEN = {".ci", ".gitattributes", ".gitignore"}
SHIPPED = {
    "builder/clutchlight/": "clutchlight/",
    "themes/": "clutchlight/_shipped/themes/",
    "content/": "clutchlight/_shipped/content/",
}
IGNORED = (
    ".venv/lib/leak.py",
    "builder/clutchlight/__pycache__/leak.cpython-311.pyc",
    "builder/clutchlight/.mypy_cache/leak.json",
    "content/.DS_Store",
    "content/.clutchlight/built.json",
    "site/index.html",
    "desk/index.html",
)


def git(root: Path, *arguments: str) -> str:
    """What git prints; the tests of packaging need a clone, not an unpacked archive."""
    return subprocess.run(["git", "-C", root, *arguments], check=True, capture_output=True, text=True).stdout  # noqa: S607


@pytest.fixture(scope="module")
def files(repository: Path) -> list[str]:
    """Every file of the repository that is not ignored, committed or not."""
    listed = git(repository, "ls-files", "-z", "--cached", "--others", "--exclude-standard").split("\0")
    return sorted({name for name in listed if name and (repository / name).is_file()})


@pytest.fixture(scope="module")
def copy(repository: Path, files: list[str], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the repository in which the ignored files lie about, too."""
    root = tmp_path_factory.mktemp("copy")
    for name in files:
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_bytes((repository / name).read_bytes())
    for name in IGNORED:
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text("a leak", encoding="utf-8")
    return root


def build_wheel(root: Path, out: Path, hash_seed: str) -> Path:
    """Build the wheel as pip would, with the build library of the environment."""
    environment = {**os.environ, "PYTHONHASHSEED": hash_seed}
    environment.pop("SOURCE_DATE_EPOCH", None)
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(out)]
    subprocess.run(command, cwd=root, env=environment, check=True, capture_output=True)
    (wheel,) = out.glob("*.whl")
    return wheel


@pytest.fixture(scope="module")
def wheel(copy: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build_wheel(copy, tmp_path_factory.mktemp("wheel"), "1")


def test_wheel_holds_what_is_shipped_and_no_more(wheel: Path, files: list[str]) -> None:
    """Code, themes and the demo collection are in the wheel, every file of them; nothing that git ignores is."""
    expected = {
        inside + name.removeprefix(outside)
        for name in files
        for outside, inside in SHIPPED.items()
        if name.startswith(outside)
    }
    held = {name for name in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in name}
    assert held == expected


def test_the_source_archive_holds_the_whole_repository(copy: Path, files: list[str], tmp_path: Path) -> None:
    """Tests included, so that it can be checked where there is no clone; nothing that git ignores is."""
    command = [sys.executable, "-m", "hatchling", "build", "-t", "sdist", "-d", str(tmp_path)]
    subprocess.run(command, cwd=copy, check=True, capture_output=True)
    (archive,) = tmp_path.glob("*.tar.gz")
    with tarfile.open(archive) as opened:
        held = {name.partition("/")[2] for name in opened.getnames()}
    assert held == {"PKG-INFO", *files}


def test_wheel_bytes_reproduce(copy: Path, wheel: Path, tmp_path: Path) -> None:
    """The same source gives the same wheel, whatever the files' times and the hash seed."""
    for path in copy.rglob("*.py"):
        os.utime(path, (1_000_000_000, 1_000_000_000))
    again = build_wheel(copy, tmp_path, "2")
    assert again.read_bytes() == wheel.read_bytes()


def test_wheel_finds_its_own(wheel: Path, tmp_path: Path) -> None:
    """Unpacked away from any clone, the package finds its themes and its demo collection inside itself."""
    zipfile.ZipFile(wheel).extractall(tmp_path)  # noqa: S202 - made here
    ask = "from clutchlight import shipped; print(shipped.themes(), shipped.demo(), shipped.species(), sep='\\n')"
    command = [sys.executable, "-P", "-c", ask]
    environment = {**os.environ, "PYTHONPATH": str(tmp_path)}
    printed = subprocess.run(
        command, cwd=tmp_path, env=environment, check=True, capture_output=True, text=True
    ).stdout.splitlines()
    package = tmp_path / "clutchlight"
    assert printed == [
        str(package / "_shipped" / "themes"),
        str(package / "_shipped" / "content"),
        str(package / "reading" / "species"),
    ]
    assert all(Path(line).is_dir() for line in printed)


def test_the_version_has_a_heading(repository: Path) -> None:
    """The package names its version; the wheel takes it from there, and the changelog tells of it."""
    project = tomllib.loads((repository / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["dynamic"] == ["version"]
    assert f"## {clutchlight.__version__}" in (repository / "CHANGELOG.md").read_text(encoding="utf-8")


def test_top_level_is_kept_tidy(repository: Path) -> None:
    """The top of the repository holds only the names that the project has agreed on."""
    committed = {name.split("/")[0] for name in git(repository, "ls-files", "-z").split("\0") if name}
    assert committed - TOP_LEVEL - HIDDEN == set()


def test_only_the_package_is_importable(files: list[str]) -> None:
    """The source root holds the package and the bootstrap, nothing else that `import` could find."""
    found = {"/".join(name.split("/")[:2]) for name in files if name.startswith("builder/") and name.endswith(".py")}
    assert found == {"builder/__main__.py", "builder/clutchlight"}


def test_no_address_of_one_machine(repository: Path, files: list[str]) -> None:
    """No file names the folder that this clone stands in."""
    here = str(repository).encode()
    assert [name for name in files if here in (repository / name).read_bytes()] == []


def test_installed_libraries_agree() -> None:
    """The locked versions satisfy one another's requirements; the installer does not ask, so this does."""
    done = subprocess.run([sys.executable, "-m", "pip", "check"], check=False, capture_output=True, text=True)
    assert done.stdout.strip() == "No broken requirements found."
