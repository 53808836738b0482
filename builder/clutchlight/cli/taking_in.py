"""What is taken in: a list by `intake`, a dialogue with one screen at the end; and notes by `log --from`.

Where nobody sits at the terminal, answers come from a file or stay open.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path

import click

from clutchlight.cli.options import (
    COLLECTION,
    ERRORS_IN_RECORDS,
    at_terminal,
    check_one_line,
    counted,
    opened,
    say_day,
    show,
    today,
    told,
    writing,
)
from clutchlight.editing import intake as one_file
from clutchlight.editing.judging import LogSoFar
from clutchlight.editing.log import in_columns, planned, write
from clutchlight.intake.asking import ToAsk, answers_from
from clutchlight.intake.run import take_in
from clutchlight.model.collection import DatesBegin
from clutchlight.pipeline import Book
from clutchlight.problems import Problem, RecordsError, errors_in, in_order, visible
from clutchlight.reading.findings import Findings
from clutchlight.reading.notes import Notes, read_notes


@click.command("intake")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--answers",
    "answers",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="A file of answers, as each run keeps one in intake/; what it answers is not asked.",
)
@click.option("--from", "said_by", help="Whose statement it is, of a statement.json.")
@click.option("--id", "as_id", help="The id that the animal gets here, of a statement.json.")
@COLLECTION
@writing
def intake_command(
    file: Path, answers: Path | None, said_by: str | None, as_id: str | None, folder: Path | None
) -> None:
    """Take in a spreadsheet as it is, a log, or another breeder's statement.json.

    A list of animals is read whatever its columns are called; what cannot be known is asked. What is not understood stands in
    intake/, row by row, with the reason. Nothing that stands in your records is changed.
    """
    check_one_line(said_by or "", "a source", "--from")
    given = {} if answers is None else answers_from(_text(answers), answers.name)
    book = opened(folder)
    raw = file.read_bytes()
    kind = one_file.kind_of_file(raw, file.name)
    if kind is not None:
        made = one_file.intake(raw, file.name, kind, book.collection, said_by=said_by, as_id=as_id)
        if made.text is None or errors_in(made.problems):
            raise RecordsError(made.problems)
        show(made.problems)
        told(one_file.write(book.folder, made))
        return
    for line in take_in(book, raw, file.name, given, asked, today()).as_text():
        click.echo(visible(line))


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise click.BadParameter("this file is not UTF-8 text; save it again as such", param_hint="--answers") from None


def asked(question: ToAsk) -> str | None:
    """The answer typed at a terminal; None where there is none, or where it ends."""
    if not at_terminal():
        return None
    click.echo()
    for line in question.text.split("\n"):
        click.echo(visible(line))
    for number, (choice, means) in enumerate(question.choices, 1):
        click.echo(f"  {number}  {visible(choice)}" + (f": {visible(means)}" if means else ""))
    if question.free:
        click.echo(f"     or {question.free}")
    while True:
        try:
            typed = click.prompt("Number or answer; Enter if you do not know", default="", show_default=False)
        except click.Abort:
            return None
        if not typed.strip() or question.fits(typed) is not None:
            return typed if typed.strip() else None
        click.echo(f"That is none of the answers; type a number from 1 to {len(question.choices)}.")


def log_notes(book: Book, notes: Path, on: date | None, *, yes: bool, dry_run: bool) -> None:
    """Writes the rows that notes say; what is not understood, or odd, is told line by line, and then the exit code is 1."""
    typed = str(notes) == "-"
    raw = sys.stdin.buffer.read() if typed else notes.read_bytes()
    so_far = LogSoFar(book.collection, book.private.log, today())
    findings = Findings()

    def read(first: DatesBegin | None) -> Notes:
        return read_notes(
            raw, "notes" if typed else notes.name, so_far.known, findings, today=today(), on=on, first=first
        )

    found = read(book.collection.settings.dates)
    if found.unsure and not typed and (first := _what_comes_first()) is not None:
        findings.problems.clear()
        found = read(first)
    plan = planned(found.said, so_far, yes=yes)
    for said, day in found.days:
        say_day(said, day)
    left = in_order((*findings.problems, *plan.left))
    show(left)
    if dry_run:
        for row in plan.rows:
            click.echo(in_columns(row))
    else:
        for made in write(book.folder, so_far, plan.rows):
            told(made)
    click.echo(
        f"{_counted(len(plan.rows), 'row')} {'would be ' if dry_run else ''}written, {_stand(plan.there)}, {_left(left)}"
    )
    if left:
        sys.exit(ERRORS_IN_RECORDS)


def _counted(number: int, word: str) -> str:
    return counted(number, word) if number else f"no {word}"


def _stand(there: int) -> str:
    return f"{_counted(there, 'entry') if there < 2 else f'{there} entries'} stood there already"


def _left(left: Sequence[Problem]) -> str:
    lines = len({(one.file, one.line) for one in left})
    return f"{counted(lines, 'line')} left to look at" if left else "nothing left"


def _what_comes_first() -> DatesBegin | None:
    """Asked once, where somebody sits at the terminal."""
    if not at_terminal():
        return None
    typed = click.prompt(
        "Do dates such as 12/11 begin with the day or the month?", type=click.Choice(["day", "month"]), err=True
    )
    return "day first" if typed == "day" else "month first"
