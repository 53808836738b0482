"""From page objects to bytes, with the templates of a theme.

Templates get one name, `page`; a name that does not exist is an error, and everything printed is escaped unless it is
`Markup` made by this program. They run in a sandbox; what a theme of somebody's own prints is looked through besides.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Generator
from contextlib import suppress
from functools import lru_cache
from importlib.metadata import version
from importlib.util import cache_from_source
from pathlib import Path
from traceback import walk_tb
from typing import cast

from jinja2 import (
    FileSystemBytecodeCache,
    FileSystemLoader,
    FunctionLoader,
    StrictUndefined,
    TemplateNotFound,
    TemplateSyntaxError,
)
from jinja2.bccache import Bucket

from clutchlight import shipped
from clutchlight.problems import Place, Problem, RecordsError
from clutchlight.site.pages import Page
from clutchlight.site.sandbox import OPTIONS, BoundedSandbox, BudgetError, Sandbox
from clutchlight.site.theme import Theme


def template_of(kind: type[Page]) -> str:
    """ "not_found.html" for a NotFoundPage."""
    return re.sub("(?<=[a-z])(?=[A-Z])", "_", kind.__name__.removesuffix("Page")).lower() + ".html"


class _Kept(FileSystemBytecodeCache):
    """Templates as they were compiled, which takes a fifth of a second; no matter if they cannot be kept."""

    def dump_bytecode(self, bucket: Bucket) -> None:
        with suppress(OSError):
            super().dump_bytecode(bucket)


def _kept() -> _Kept | None:
    """Beside the code that Python compiles, and only where Python keeps that."""
    if sys.dont_write_bytecode:
        return None
    options = "".join(f"{value:d}" for value in OPTIONS.values())
    try:
        place = Path(cache_from_source(__file__)).with_name(f"jinja2-{version('jinja2')}-{options}")
        place.mkdir(parents=True, exist_ok=True)
    except (OSError, NotImplementedError):
        return None
    return _Kept(str(place))


def templates_of(theme: Theme, part: str) -> Sandbox:
    """The templates in one folder of a theme and of those it extends: bounded, unless all of them came with this program."""
    sources = theme.sources(part)
    if not theme.ours:

        def text_of(name: str) -> tuple[str, str, None] | None:
            layer, file = sources.get(name), f"{part}/{name}"
            return (layer.files[file].decode("utf-8-sig"), layer.place(file).file, None) if layer else None

        return BoundedSandbox(loader=FunctionLoader(text_of), undefined=StrictUndefined, auto_reload=False, **OPTIONS)
    texts = frozenset((name, layer.files[f"{part}/{name}"]) for name, layer in sources.items())
    return _ours(tuple(layer.folder / part for layer in theme.layers), texts)


@lru_cache(maxsize=4)
def _ours(folders: tuple[Path, ...], texts: frozenset[tuple[str, bytes]]) -> Sandbox:
    """The templates that came with the program, loaded once in a process for as long as their texts stay."""
    return Sandbox(
        loader=FileSystemLoader(folders),
        undefined=StrictUndefined,
        auto_reload=False,
        bytecode_cache=_kept(),
        **OPTIONS,
    )


def printed(environment: Sandbox, folder: str, name: str, page: object) -> bytes:
    """A page printed with a template, as UTF-8. RecordsError for whatever a template of somebody's own does; `folder`: where it stands."""
    try:
        if not isinstance(environment, BoundedSandbox):
            return environment.get_template(name).render(page=page).encode("utf-8")
        return _looked_through(environment, name, page).encode("utf-8")
    except MemoryError:
        raise
    except Exception as mistake:  # a template of somebody's own can do anything that an expression can
        if isinstance(mistake, OSError) and not isinstance(mistake, TemplateNotFound):
            raise
        place = _where(mistake) or Place(f"{folder}/{name}")
        raise RecordsError([_problem(mistake, place)]) from mistake


def _looked_through(environment: BoundedSandbox, name: str, page: object) -> str:
    """The page. Where it would load anything from elsewhere, the template is asked once more, to say where it prints that."""
    from clutchlight.site.theme_check import page_faults

    environment.begin()
    text = environment.get_template(name).render(page=page)
    inline = getattr(getattr(page, "frame", None), "inline", None)
    fault = next(page_faults(text, getattr(inline, "script", "")), None)
    if fault is None:
        return text
    environment.begin()
    pieces = environment.get_template(name).generate(page=page)
    end = 0
    for piece in pieces:
        end += len(piece)
        if end > fault.at:
            cast("Generator[str]", pieces).throw(_OutsideError(fault.words))
    raise _OutsideError(fault.words)


class _OutsideError(Exception):
    """A page would load or run something; raised where the template prints it."""


def _problem(mistake: Exception, place: Place) -> Problem:
    """What went wrong in a template."""
    if isinstance(mistake, _OutsideError):
        return Problem.at(place, "theme-outside", str(mistake))
    if isinstance(mistake, (BudgetError, RecursionError)):
        endless = "it calls itself without end; look for what makes it stop"
        said = mistake.message if isinstance(mistake, BudgetError) else endless
        return Problem.at(place, "theme-endless", f"the template cannot be printed: {said}")
    if isinstance(mistake, TemplateNotFound):
        said = f"there is no template '{mistake.message}' in this theme"
    else:
        said = getattr(mistake, "message", None) or f"{type(mistake).__name__}: {mistake}"
    return Problem.at(place, "theme", f"the template cannot be used: {said}; see the page contract")


def _where(mistake: Exception) -> Place | None:
    """The line of the template in which a mistake arose: where it was written, or the innermost one that ran."""
    if isinstance(mistake, TemplateSyntaxError) and mistake.filename:
        return Place(_named(mistake.filename), mistake.lineno)
    ran = [(frame.f_code.co_filename, line) for frame, line in walk_tb(mistake.__traceback__)]
    return next((Place(_named(file), line) for file, line in reversed(ran) if file.endswith(".html")), None)


def _named(file: str) -> str:
    """A template's file as a problem names it."""
    path = Path(file)
    return f"themes/{path.relative_to(shipped.themes()).as_posix()}" if path.is_relative_to(shipped.themes()) else file
