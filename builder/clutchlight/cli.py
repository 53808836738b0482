"""The command line: arguments in, exit codes out. No rule of the domain lives here.

Exit codes: 0 good (warnings included), 1 errors in the records, 2 wrong usage. Problems go to stderr, results to stdout.
"""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from functools import wraps
from pathlib import Path
from typing import ParamSpec, TypeVar

import click

from clutchlight.problems import Problem, RecordsError
from clutchlight.records.reading import SETTINGS_FILE
from clutchlight.season_book import Book, Built, build, derivations, open_book
from clutchlight.statements.why import in_lines
from clutchlight.statements.why import to_json as why_json

ERRORS_IN_RECORDS = 1

P = ParamSpec("P")
R = TypeVar("R")


class Day(click.ParamType[date]):
    """A day, as YYYY-MM-DD."""

    name = "date"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> date:
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(str(value))
        except ValueError:
            self.fail(f"{value!r} is not a day; write it as 2026-07-20", param, ctx)


FOLDER = click.Path(exists=True, file_okay=False, path_type=Path)


def problems_shown(command: Callable[P, R]) -> Callable[P, R]:
    """Problems that stop a command are shown one a line, and end it with exit code 1."""

    @wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            return command(*args, **kwargs)
        except RecordsError as rejected:
            show(rejected.problems)
            sys.exit(ERRORS_IN_RECORDS)

    return run


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="clutchlight")
def main() -> None:
    """From plain-text records of snakes and clutches to a site whose het percentages are computed, never typed."""


@main.command()
@click.argument("collection", required=False, type=FOLDER)
@click.option("--json", "as_json", is_flag=True, help="Print the problems as JSON on stdout.")
def check(collection: Path | None, as_json: bool) -> None:
    """Read every record and report every problem at once."""
    result = open_book(collection_or_default(collection), today=today())
    if as_json:
        click.echo(json.dumps({"problems": [problem.as_json() for problem in result.problems]}, indent=2))
    else:
        show(result.problems)
    if result.book is None:
        sys.exit(ERRORS_IN_RECORDS)
    if not as_json:
        click.echo(f"{size_of(result.book)}: no errors")


@main.command("build")
@click.argument("collection", required=False, type=FOLDER)
@click.option(
    "--out", type=click.Path(path_type=Path), default=Path("site"), show_default=True, help="The public site's folder."
)
@click.option("--desk", type=click.Path(path_type=Path), help="Also write the private desk, into this folder.")
@click.option("--as-of", "as_of", type=Day(), help="The site as it would have stood on that day.")
@click.option("--on", "on", type=Day(), help="The day that the desk is made for; today unless said.")
@click.option("--theme", help="A theme by name, in place of the collection's.")
@click.option("--dry-run", is_flag=True, help="Write nothing; list the figures that would change.")
@problems_shown
def build_command(
    collection: Path | None,
    out: Path,
    desk: Path | None,
    as_of: date | None,
    on: date | None,
    theme: str | None,
    dry_run: bool,
) -> None:
    """Write the public site, and the desk if asked for."""
    started = time.perf_counter()
    with step("reading the records and inferring"):
        book = opened(collection_or_default(collection), until=as_of)
    with step("writing the site"):
        built = build(book, out, theme=theme, desk=desk, dry_run=dry_run)
    show(built.problems)
    for change in built.figures:
        click.echo(str(change))
    click.echo(summary(book, built, out, time.perf_counter() - started, dry_run=dry_run))


@main.command("why")
@click.argument("animal")
@click.argument("trait", required=False)
@click.option("--collection", "folder", type=FOLDER, help="The collection's folder.")
@click.option("--json", "as_json", is_flag=True, help="Print the derivation as JSON on stdout.")
@problems_shown
def why_command(animal: str, trait: str | None, folder: Path | None, as_json: bool) -> None:
    """How a figure came about, record by record. Without TRAIT: every trait of the animal that has a figure."""
    book = opened(collection_or_default(folder))
    found = derivations(book, animal, trait)
    if as_json:
        shown = [why_json(one) for one in found]
        click.echo(json.dumps(shown[0] if trait else shown, indent=2, ensure_ascii=False))
        return
    click.echo("\n\n".join("\n".join(in_lines(one)) for one in found))


def summary(book: Book, built: Built, out: Path, seconds: float, *, dry_run: bool) -> str:
    """'98 animals, 21 clutches, 150 pages (3 written anew) in site: 1.4 s'."""
    fresh = len(built.published.added) + len(built.published.changed)
    wrote = f"{counted(fresh, 'file')} {'would be ' if dry_run else ''}written, {len(built.published.removed)} removed"
    changed = f"{counted(len(built.figures), 'figure')} changed" if built.figures else "no figure changed"
    return f"{size_of(book)}, {counted(built.pages, 'page')} in {out}: {wrote}; {changed}; {seconds:.1f} s"


def opened(folder: Path, *, until: date | None = None) -> Book:
    """The book of a folder, its warnings shown; on errors they are shown and the program ends."""
    result = open_book(folder, until=until, today=today())
    if result.book is None:
        raise RecordsError(result.problems)
    show(result.problems)
    return result.book


@contextmanager
def step(what: str) -> Iterator[None]:
    """A moving line on a terminal while something is done; nothing elsewhere."""
    if not sys.stderr.isatty():
        yield
        return
    from rich.console import Console

    with Console(stderr=True).status(what):
        yield


def size_of(book: Book) -> str:
    animals = sum(not animal.nameless for animal in book.collection.animals.values())
    return f"{counted(animals, 'animal')}, {counted(len(book.collection.clutches), 'clutch')}"


def collection_or_default(collection: Path | None) -> Path:
    """COLLECTION as given; else the current folder if it is one, else ./content."""
    if collection is not None:
        return collection
    for folder in (Path(), Path("content")):
        if (folder / SETTINGS_FILE).is_file():
            return folder
    raise click.UsageError(
        f"there is no {SETTINGS_FILE} here or in ./content; name your collection's folder,"
        " or make one with `clutchlight start FOLDER`"
    )


def today() -> date:
    """The day that private commands and warnings go by: SOURCE_DATE_EPOCH where it is set, else the clock."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    if epoch.isascii() and epoch.isdigit() and len(epoch) < 12:
        return datetime.fromtimestamp(int(epoch), UTC).date()
    return datetime.now().astimezone().date()


def show(problems: Iterable[Problem]) -> None:
    """Prints problems to stderr, a line each."""
    for problem in problems:
        click.echo(str(problem), err=True)


def counted(number: int, word: str) -> str:
    """'1 animal', '3 clutches'."""
    if number == 1:
        return f"1 {word}"
    return f"{number} {word}es" if word.endswith("ch") else f"{number} {word}s"
