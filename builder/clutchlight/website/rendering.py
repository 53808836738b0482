"""From page objects to bytes: a theme's templates, its style and its script.

A theme is a folder with `theme.yaml` (`name`, `needs`: the number of the contract it was written for, and perhaps `extends`:
the theme that fills in the files it does not have), `templates/`, and `style/`, which is published as it stands. A theme of
the collection's own, in themes/NAME, goes before a shipped one of the same name and may extend it.

Templates get one name, `page`; a name that does not exist is an error, and everything printed is escaped unless it is
`Markup` made by this program.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import MappingProxyType

import yaml
from jinja2 import Environment, FileSystemLoader, StrictUndefined, TemplateError

from clutchlight.problems import Place, Problem, RecordsError
from clutchlight.website import pages

TEMPLATE_OF: Mapping[type[object], str] = MappingProxyType(
    {
        pages.AvailabilityPage: "availability.html",
        pages.AnimalPage: "animal.html",
        pages.ClutchPage: "clutch.html",
        pages.LineagePage: "lineage.html",
        pages.PlanPage: "plan.html",
        pages.PlansPage: "plans.html",
        pages.ChangesPage: "changes.html",
        pages.CardPage: "card.html",
        pages.TraitPage: "trait.html",
        pages.MethodPage: "method.html",
        pages.ProsePage: "prose.html",
        pages.MovedPage: "moved.html",
        pages.NotFoundPage: "not_found.html",
    }
)

# Style sheets of single kinds of page: not linked by the others.
APART = ("card.css",)

STYLE_KINDS = (".css", ".js", ".svg", ".png", ".webp", ".woff2")


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
                if file.is_file() and file.suffix in STYLE_KINDS:
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

    @cached_property
    def _environment(self) -> Environment:
        return Environment(
            loader=FileSystemLoader([folder / "templates" for folder in self.folders]),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
            keep_trailing_newline=True,
            auto_reload=False,
        )

    def render(self, page: object) -> bytes:
        """The page as UTF-8. RecordsError when a theme of the collection's own has a mistake in a template."""
        name = TEMPLATE_OF[type(page)]
        try:
            return self._environment.get_template(name).render(page=page).encode("utf-8")
        except TemplateError as mistake:
            raise RecordsError([self._problem(name, mistake)]) from mistake

    def _problem(self, name: str, mistake: TemplateError) -> Problem:
        line = getattr(mistake, "lineno", None) or _line_in_template(mistake)
        place = Place(f"themes/{self.name}/templates/{getattr(mistake, 'name', None) or name}", line or 1, 1)
        return Problem.at(place, "theme", f"the template cannot be used: {mistake.message}; see the page contract")


def _line_in_template(mistake: TemplateError) -> int | None:
    """The line of a template in which a mistake arose while it ran: the innermost frame that belongs to a template."""
    line = None
    trace = mistake.__traceback__
    while trace is not None:
        if trace.tb_frame.f_code.co_filename.endswith(".html"):
            line = trace.tb_lineno
        trace = trace.tb_next
    return line


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
    if needs != str(pages.CONTRACT):
        message = f"theme '{name}' needs page contract {needs}, this version offers {pages.CONTRACT}; write `needs: {pages.CONTRACT}`"
        raise RecordsError([Problem.at(place, "theme", message)])
    extends = settings.get("extends")
    return extends if isinstance(extends, str) else None


def _no_theme(name: str, places: Iterable[Path]) -> Problem:
    known = sorted({file.parent.name for place in places for file in place.glob("*/theme.yaml")})
    message = f"there is no theme '{name}'; choose one of {', '.join(known)}, or make themes/{name}/theme.yaml"
    return Problem.at(Place("collection.yaml"), "theme", message)
