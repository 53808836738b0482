"""The command line: arguments in, exit codes out. No rule of the domain lives here.

Exit codes: 0 good (warnings included), 1 errors in the records, 2 wrong usage. Problems go to stderr, results to stdout.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable
from datetime import UTC, date, datetime
from pathlib import Path

import click

from clutchlight.problems import Problem, errors_in
from clutchlight.records.private_side import read_everything
from clutchlight.records.reading import SETTINGS_FILE

ERRORS_IN_RECORDS = 1


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="clutchlight")
def main() -> None:
    """From plain-text records of snakes and clutches to a site whose het percentages are computed, never typed."""


@main.command()
@click.argument("collection", required=False, type=click.Path(exists=True, file_okay=False, path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the problems as JSON on stdout.")
def check(collection: Path | None, as_json: bool) -> None:
    """Read every record and report every problem at once."""
    result = read_everything(collection_or_default(collection), today=today())
    if as_json:
        click.echo(json.dumps({"problems": [problem.as_json() for problem in result.problems]}, indent=2))
    else:
        show(result.problems)
    if errors_in(result.problems):
        sys.exit(ERRORS_IN_RECORDS)
    if not as_json and result.collection is not None:
        animals = sum(not animal.nameless for animal in result.collection.animals.values())
        click.echo(f"{counted(animals, 'animal')} and {counted(len(result.collection.clutches), 'clutch')}: no errors")


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
