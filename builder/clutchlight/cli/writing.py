"""The commands that write records for the breeder: they append or create, and on any doubt write nothing.

`start`, `log`, `laid`, `hatched`, `stamp`, `intake`, and `undo`, which takes back; and `export`, which writes to stdout only.
"""

from __future__ import annotations

import re
import sys
from datetime import date
from functools import partial
from pathlib import Path

import click

from clutchlight.cli import happenings
from clutchlight.cli.happenings import tell_written
from clutchlight.cli.options import (
    COLLECTION,
    ERRORS_IN_RECORDS,
    ON,
    ON_AS_LOGGED,
    OVER_DAYS_AS_LOGGED,
    YES,
    agree,
    as_called,
    at_terminal,
    check_one_line,
    collection_or_default,
    in_folder,
    named,
    not_to_come,
    opened,
    problems_shown,
    say_day,
    show,
    shown_alone,
    today,
    told,
    writing,
)
from clutchlight.cli.remarks import after_log
from clutchlight.editing import export, intake as one_file
from clutchlight.editing.clutches import hatching_in_log, laying_in_log, write_hatched, write_laid
from clutchlight.editing.disk import take_back
from clutchlight.editing.log import LogSoFar, append_rows, file_of, in_columns, odd_among, planned, rows_of, write
from clutchlight.editing.starting import EXAMPLE_NAME, start
from clutchlight.editing.writing import create
from clutchlight.intake.asking import Ask, ToAsk, answers_from
from clutchlight.intake.columns import kind_of_file
from clutchlight.intake.run import take_in
from clutchlight.ledger.dated_records import stamp
from clutchlight.model import When
from clutchlight.model.collection import DatesBegin
from clutchlight.model.private import EVENTS
from clutchlight.pipeline import Book
from clutchlight.problems import COMMAND_LINE, RecordsError, for_shell, in_order, visible
from clutchlight.reading.catalogue import built_in_species
from clutchlight.reading.findings import Findings
from clutchlight.reading.ids import Known, animals_called, each_typed, too_many
from clutchlight.reading.notes import Notes, read_notes
from clutchlight.wording import words


@click.command("start")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--name", default=EXAMPLE_NAME, show_default=True, help="The collection's name, shown on every page.")
@click.option(
    "--species",
    "species",
    multiple=True,
    type=click.Choice(sorted(built_in_species())),
    help="Ball pythons unless said.",
)
@click.option("--empty", is_flag=True, help="Without the worked example, such as before `intake`.")
@writing
def start_command(folder: Path, name: str, species: tuple[str, ...], empty: bool) -> None:
    """Make a new collection with one small worked example, and a short starter of each other kind of file."""
    check_one_line(name, "a name", "--name")
    if species and "ball-python" not in species and not empty:
        raise click.UsageError("the worked example is of ball pythons; add --empty, or --species ball-python")
    for file in start(folder, name, species=species or ("ball-python",), empty=empty):
        click.echo(f"made {folder / file}")
    if empty:
        click.echo(
            f"Next: {as_called()} intake YOUR-LIST.xlsx --collection {for_shell(folder)}, or write down your first animal"
        )
        return
    click.echo(f"Next: {as_called()} build {for_shell(folder)} --out {for_shell(folder / 'site')}")
    click.echo(
        f"Then open {folder / 'site' / 'index.html'} in a browser, and put your animals in the place of the example's."
    )


@click.command("log", epilog=f"Events: {', '.join(EVENTS)}.", context_settings={"ignore_unknown_options": True})
@click.argument("animals", required=False)
@click.argument("event", required=False)
@click.argument("value", required=False)
@click.option("--note", help="A remark; private like the whole log.")
@click.option(
    "--from",
    "notes",
    type=click.Path(exists=True, dir_okay=False, allow_dash=True, path_type=Path),
    help="Take in short lines of notes from a file, or - for what is pasted; each once.",
)
@click.option("--dry-run", is_flag=True, help="Write nothing; show the rows that notes would become.")
@ON
@YES
@COLLECTION
@writing
def log_command(
    animals: str | None,
    event: str | None,
    value: str | None,
    note: str | None,
    notes: Path | None,
    dry_run: bool,
    on: date | None,
    yes: bool,
    folder: Path | None,
) -> None:
    """Write a log row. ANIMALS: one id, several with commas, or a range such as C26-01-1..5.

    A pairing names both animals: `log M-02,F-03 paired`, or `log M-02 paired F-03`. A row that looks odd (a weight of ten times, an animal
    that is gone, the same row twice, a day to come) is asked about, or refused where nobody can be asked.

    With --from, lines such as "goliath 860", "nyx refused", "pip x nettle lock", under lines such as "fri 20 nov";
    a weekday alone is the first after the day above it.
    """
    for typed in (animals, event, value):  # a negative figure is no option, and no weight
        if typed is not None and re.fullmatch(r"-[0-9].*", typed):
            raise click.UsageError(f"'{typed}' is below nothing; write a weight as grams in digits, such as 1215")
        if typed is not None and re.match(r"--?\w", typed):
            raise click.NoSuchOption(typed)
    if notes is not None:
        if animals is not None or note is not None:
            raise click.UsageError("with --from, animals and events stand in the notes; leave them out")
        log_notes(opened(folder), notes, on, yes=yes, dry_run=dry_run)
        return
    if animals is None or event is None or dry_run:
        raise click.UsageError("name the animals and what happened, or the notes to take in with --from FILE")
    book = opened(folder)
    so_far = LogSoFar(book.collection, book.private, today())
    names = each_typed(animals, so_far.known)
    day = on or today()
    rows = rows_of(so_far.known, names, event, value, on=day, note=note)
    wide = too_many(COMMAND_LINE, names) if len(names) > animals.count(",") + 1 else ()
    agree((*wide, *odd_among(rows, so_far)), yes=yes)
    told(append_rows(book.folder, so_far.known, file_of(day), rows))
    for line in after_log(book, so_far.rows, today()):
        click.echo(visible(line))


@click.command("laid")
@click.argument("dam")
@click.option("--eggs", type=click.IntRange(0, 200), help="Good eggs.")
@click.option("--slugs", type=click.IntRange(0, 200), help="Infertile ones.")
@click.option(
    "--by", "--sire", "by", help="The sire; several with commas where nobody knows which. Else those of the log."
)
@click.option("--id", "name", help="The clutch's id; the next of its year, such as C26-04, unless said.")
@ON_AS_LOGGED
@YES
@COLLECTION
@writing
def laid_command(
    dam: str,
    eggs: int | None,
    slugs: int | None,
    by: str | None,
    name: str | None,
    on: date | None,
    yes: bool,
    folder: Path | None,
) -> None:
    """Write the record of a clutch just laid. Unless you name the sire, every male that the log puts with her is a possible one."""
    day = not_to_come(on)
    book = opened(folder)
    sires = () if by is None else each_typed(by, Known(book.collection))
    logged = laying_in_log(book, dam, day) if on is None else None
    if logged is not None:
        day, number = logged.day, None if logged.number is None else int(logged.number)
        if eggs is None and slugs is None:
            eggs, slugs = (0, number) if logged.event == "slugs only" else (number, None)
    mother = animals_called(book.collection, [dam])[0]
    absent = LogSoFar(book.collection, book.private, today()).absent(mother, "laid", day)
    judge = partial(agree, absent, yes=yes)
    tell_written(book, write_laid(book, dam, on=day, eggs=eggs, slugs=slugs, name=name, by=sires, judge=judge))
    if logged is not None:
        click.echo(f"The day is the log's: {day}.")


@click.command("hatched")
@click.argument("clutch")
@click.option(
    "--young",
    type=click.IntRange(0, 200),
    help="How many hatched; if left out, as the log has it, else every good egg.",
)
@click.option("--went-bad", type=click.IntRange(0, 200), help="Good eggs that failed.")
@click.option("--unseen", type=click.IntRange(0, 200), help="Died before the look could be seen.")
@OVER_DAYS_AS_LOGGED
@YES
@COLLECTION
@writing
def hatched_command(
    clutch: str,
    young: int | None,
    went_bad: int | None,
    unseen: int | None,
    on: When | None,
    yes: bool,
    folder: Path | None,
) -> None:
    """Add numbered lines for the young to a clutch's record, with the looks that they can have as comments."""
    from clutchlight.queries import possible_looks

    last = not_to_come(None if on is None else on.last)
    book = opened(folder)
    looks = possible_looks(book, clutch)
    logged, hatchlings, lost = hatching_in_log(book, clutch, last)
    days = on or logged or When.day(last)
    if young is None and went_bad is None and unseen is None:
        young, went_bad = hatchlings, lost
    made = write_hatched(
        book.folder,
        book.collection,
        clutch,
        on=days,
        young=young,
        went_bad=went_bad,
        unseen=unseen,
        possible=looks,
        judge=partial(agree, yes=yes),
    )
    tell_written(book, made)
    if logged is not None and on is None:
        click.echo(f"The {'day is' if logged.exact else 'days are'} the log's: {logged}.")
    click.echo(
        f"Next: put sex and look behind each number in {book.folder / made.file}; until then they count as not looked at."
    )


@click.command("stamp")
@click.option("--only", help="These animals alone: one id or name, or several with commas.")
@ON
@in_folder
@writing
def stamp_command(only: str | None, on: date | None, folder: Path | None) -> None:
    """Date what is said of each animal: whatever changed since the last time goes to the ledger, and stays there."""
    day = on or today()
    book = opened(folder, until=day).published
    names = None if only is None else named(book.collection, only)
    click.echo(str(stamp(book.folder, book.collection, book.statements, day, names)))


@click.command("undo")
@in_folder
@problems_shown
def undo_command(folder: Path | None) -> None:
    """Take back what the last writing command wrote, byte for byte, unless a file was edited since. A dated record always stays."""
    command, files, dated = take_back(collection_or_default(folder))
    for taken in files:
        if taken.new:
            click.echo(f"deleted {taken.file}, which `{command}` had made")
        else:
            click.echo(f"taken out of {taken.file}, where `{command}` had written it:")
            for line in shown_alone(taken.text):
                click.echo(line)
    if dated:
        click.echo("what it dated stays in ledger/: a dated record is never taken back")


@click.command("export")
@click.option("--as", "kind", type=click.Choice(list(export.FORMATS)), required=True, help="The open format.")
@click.option("--all", "everything", is_flag=True, help="What is not published as well: unlisted animals and clutches.")
@in_folder
@problems_shown
def export_command(kind: str, everything: bool, folder: Path | None) -> None:
    """Print the pedigree in an open format. What is not published is left out."""
    collection = opened(folder).collection
    click.echo(export.FORMATS[kind](collection if everything else export.published(collection)), nl=False)


# What is taken in: a list by `intake`, a dialogue with one screen at the end; and notes by `log --from`


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
    kind = kind_of_file(raw, file.name)
    if kind is not None:
        made = one_file.intake(raw, file.name, kind, book.collection, said_by=said_by, as_id=as_id)
        if made.text is None:
            raise RecordsError(made.problems)
        show(made.problems)
        told(create(book.folder, made.file, made.text))
        return
    try:
        taken = take_in(book, raw, file.name, given, asking(), today())
    except (RecordsError, click.Abort) as ended:
        for note in getattr(ended, "__notes__", ()):
            click.echo(visible(note), err=True)
        raise
    for line in taken.as_text():
        click.echo(visible(line))


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise click.BadParameter("this file is not UTF-8 text; save it again as such", param_hint="--answers") from None


def asking() -> Ask:
    """Puts questions at a terminal, until the input ends; None where there is none. Ctrl-C ends the command, and nothing is written."""
    more = at_terminal()

    def asked(question: ToAsk) -> str | None:
        nonlocal more
        if not more:
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
                typed = click.prompt(
                    "Number or answer; ? shows what you can answer; Enter if you do not know",
                    default="",
                    show_default=False,
                )
            except click.Abort as ended:
                if isinstance(ended.__context__, KeyboardInterrupt):
                    click.echo("\nStopped; nothing was written.", err=True)
                    raise
                click.echo("\nNo more answers: this question and those that follow are left open.")
                more = False
                return None
            if not typed.strip() or question.fits(typed) is not None:
                return typed if typed.strip() else None
            click.echo(visible(question.may_be() if typed.strip() == "?" else question.why_not(typed)))

    return asked


def log_notes(book: Book, notes: Path, on: date | None, *, yes: bool, dry_run: bool) -> None:
    """Writes the rows that notes say; what is not understood, or odd, is told line by line, and then the exit code is 1."""
    typed = str(notes) == "-"
    raw = sys.stdin.buffer.read() if typed else notes.read_bytes()
    so_far = LogSoFar(book.collection, book.private, today())
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
    for line in after_log(book, so_far.rows, today()):
        click.echo(visible(line))
    wrote = f"{_counted(len(plan.rows), 'row')} {'would be ' if dry_run else ''}written"
    lines = len({(one.file, one.line) for one in left})
    to_look_at = f"{words.plural(lines, 'line')} left to look at" if left else "nothing left"
    click.echo(f"{wrote}, {_counted(plan.there, 'entry', 'entries')} stood there already, {to_look_at}")
    if left:
        sys.exit(ERRORS_IN_RECORDS)


def _counted(number: int, one: str, many: str | None = None) -> str:
    return words.plural(number, one, many) if number else f"no {one}"


def _what_comes_first() -> DatesBegin | None:
    """Asked once, where somebody sits at the terminal."""
    if not at_terminal():
        return None
    typed = click.prompt(
        "Do dates such as 12/11 begin with the day or the month?", type=click.Choice(["day", "month"]), err=True
    )
    return "day first" if typed == "day" else "month first"


COMMANDS = (
    *happenings.COMMANDS,
    start_command,
    log_command,
    laid_command,
    hatched_command,
    undo_command,
    stamp_command,
    intake_command,
    export_command,
)
