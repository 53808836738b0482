"""From page objects to bytes, with the templates of a theme.

Templates get one name, `page`; a name that does not exist is an error, and everything printed is escaped unless it is
`Markup` made by this program.
"""

from __future__ import annotations

import os
import pickle
import sys
import threading
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from clutchlight.problems import Place, Problem, RecordsError
from clutchlight.website import pages
from clutchlight.website.theme import Theme

MANY = 200
MOST_AT_ONCE = 4
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


def templates_of(theme: Theme, folder: str) -> Environment:
    """The templates in one folder of a theme and of those it extends."""
    return Environment(
        loader=FileSystemLoader([place / folder for place in theme.folders]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        auto_reload=False,
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
        name = TEMPLATE_OF[type(page)]
        try:
            return self._environment.get_template(name).render(page=page).encode("utf-8")
        except Exception as mistake:  # a template of somebody's own can do anything that an expression can
            raise RecordsError([self._problem(name, mistake)]) from mistake

    def _problem(self, name: str, mistake: Exception) -> Problem:
        line = getattr(mistake, "lineno", None) or _line_in_template(mistake)
        said = getattr(mistake, "message", None) or f"{type(mistake).__name__}: {mistake}"
        place = Place(f"themes/{self.theme.name}/templates/{getattr(mistake, 'name', None) or name}", line or 1, 1)
        return Problem.at(place, "theme", f"the template cannot be used: {said}; see the page contract")


def print_all(theme: Theme, pages: Sequence[tuple[str, object]]) -> dict[str, bytes]:
    """The pages by address, printed one after the other; where there are very many, by several processes at once, to the same bytes.

    A process is split only as long as it has no threads, those of the layout engine included, which a copy would not have. What a copy
    does not hand back, for whatever reason, is printed here.
    """
    helpers = 0
    alone = threading.active_count() == 1 and "wasmtime" not in sys.modules
    if len(pages) >= MANY and sys.platform == "linux" and alone:
        helpers = min(len(os.sched_getaffinity(0)), MOST_AT_ONCE) - 1
    parts = [pages[start :: helpers + 1] for start in range(helpers + 1)]
    printer = Printer(theme)
    waiting = [_apart(printer, part) for part in parts[1:]]
    try:
        printed = dict(_printed(printer, parts[0]))
    finally:
        answers = [_answer(*one) for one in waiting]
    for part, answer in zip(parts[1:], answers, strict=True):
        printed.update(_printed(printer, part) if answer is None else answer)
    return {address: printed[address] for address, _ in pages}


def _printed(printer: Printer, pages: Iterable[tuple[str, object]]) -> Iterator[tuple[str, bytes]]:
    return ((address, printer.render(page)) for address, page in pages)


def _apart(printer: Printer, pages: Sequence[tuple[str, object]]) -> tuple[int, int]:
    """A copy of this process that prints pages and ends: its number, and where to read what it printed."""
    reading, writing = os.pipe()
    process = os.fork()
    if process:
        os.close(writing)
        return process, reading
    try:
        os.close(reading)
        content = pickle.dumps(dict(_printed(printer, pages)))
        with os.fdopen(writing, "wb") as answer:
            answer.write(content)
    finally:
        os._exit(0)


def _answer(process: int, reading: int) -> dict[str, bytes] | None:
    with os.fdopen(reading, "rb") as answer:
        content = answer.read()
    os.waitpid(process, 0)
    try:
        printed: dict[str, bytes] = pickle.loads(content)  # noqa: S301 - from a copy of this very process
    except (EOFError, pickle.UnpicklingError):
        return None
    return printed


def _line_in_template(mistake: Exception) -> int | None:
    """The line of a template in which a mistake arose while it ran: the innermost frame that belongs to a template."""
    line = None
    trace = mistake.__traceback__
    while trace is not None:
        if trace.tb_frame.f_code.co_filename.endswith(".html"):
            line = trace.tb_lineno
        trace = trace.tb_next
    return line
