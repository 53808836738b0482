"""From page objects to bytes, with the templates of a theme.

Templates get one name, `page`; a name that does not exist is an error, and everything printed is escaped unless it is
`Markup` made by this program.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from importlib.metadata import version
from types import MappingProxyType

from jinja2 import BytecodeCache, Environment, FileSystemLoader, StrictUndefined
from jinja2.bccache import Bucket

from clutchlight import compiled_code, shipped
from clutchlight.problems import Place, Problem, RecordsError
from clutchlight.site import pages
from clutchlight.site.theme import Theme

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


_OPTIONS = {"autoescape": True, "trim_blocks": True, "lstrip_blocks": True, "keep_trailing_newline": True}


class _Kept(BytecodeCache):
    """Templates as Python compiles them, for later processes. The name says version and options; the library looks at the text."""

    def load_bytecode(self, bucket: Bucket) -> None:
        kept = compiled_code.read(self._name(bucket))
        if kept is not None:
            bucket.bytecode_from_string(kept)

    def dump_bytecode(self, bucket: Bucket) -> None:
        compiled_code.keep(self._name(bucket), bucket.bytecode_to_string())

    @staticmethod
    def _name(bucket: Bucket) -> str:
        options = "".join(f"{option}{value:d}" for option, value in _OPTIONS.items())
        return f"template-{version('jinja2')}-{hashlib.sha256(options.encode()).hexdigest()[:8]}-{bucket.key}"


def templates_of(theme: Theme, folder: str) -> Environment:
    """The templates in one folder of a theme and of those it extends."""
    ours = all(place.is_relative_to(shipped.themes()) for place in theme.folders)
    return Environment(  # noqa: S701 - autoescape is among the options
        loader=FileSystemLoader([place / folder for place in theme.folders]),
        undefined=StrictUndefined,
        auto_reload=False,
        bytecode_cache=_Kept() if ours else None,
        **_OPTIONS,  # type: ignore[arg-type]
    )


@dataclass(frozen=True)
class Printer:
    """Prints page objects with a theme."""

    theme: Theme

    @cached_property
    def _environment(self) -> Environment:
        return templates_of(self.theme, "templates")

    def render(self, page: object) -> bytes:
        """The page as UTF-8. RecordsError when a theme of the collection's own has a mistake in a template."""
        return printed(self._environment, f"themes/{self.theme.name}/templates", TEMPLATE_OF[type(page)], page)


def printed(environment: Environment, folder: str, name: str, page: object) -> bytes:
    """A page printed with a template. RecordsError for whatever a template of somebody's own does; `folder`: where to look for it."""
    try:
        return environment.get_template(name).render(page=page).encode("utf-8")
    except Exception as mistake:  # a template of somebody's own can do anything that an expression can
        line = getattr(mistake, "lineno", None) or _line_in_template(mistake)
        said = getattr(mistake, "message", None) or f"{type(mistake).__name__}: {mistake}"
        place = Place(f"{folder}/{getattr(mistake, 'name', None) or name}", line or 1, 1)
        message = f"the template cannot be used: {said}; see the page contract"
        raise RecordsError([Problem.at(place, "theme", message)]) from mistake


def _line_in_template(mistake: Exception) -> int | None:
    """The line of a template in which a mistake arose while it ran: the innermost frame that belongs to a template."""
    line = None
    trace = mistake.__traceback__
    while trace is not None:
        if trace.tb_frame.f_code.co_filename.endswith(".html"):
            line = trace.tb_lineno
        trace = trace.tb_next
    return line
