"""From page objects to bytes, with the templates of a theme.

Templates get one name, `page`; a name that does not exist is an error, and everything printed is escaped unless it is
`Markup` made by this program.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

from jinja2 import Environment, FileSystemLoader, StrictUndefined, TemplateError

from clutchlight.problems import Place, Problem, RecordsError
from clutchlight.website import pages
from clutchlight.website.theme import Theme

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


@dataclass(frozen=True)
class Printer:
    """Prints page objects with a theme."""

    theme: Theme

    @cached_property
    def _environment(self) -> Environment:
        return Environment(
            loader=FileSystemLoader([folder / "templates" for folder in self.theme.folders]),
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
        place = Place(f"themes/{self.theme.name}/templates/{getattr(mistake, 'name', None) or name}", line or 1, 1)
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
