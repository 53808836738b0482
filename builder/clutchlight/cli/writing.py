"""The commands that write records for the breeder: they append or create, and on any doubt write nothing.

`start`, `log`, `laid`, `hatched`, `stamp`, `intake`, and `undo`, which takes back; and `export`, which writes to stdout only.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from pathlib import Path

import click

from clutchlight.cli import happenings
from clutchlight.cli.options import (
    COLLECTION,
    FOLDER,
    ON,
    YES,
    agree,
    as_called,
    check_one_line,
    collection_or_default,
    opened,
    problems_shown,
    quoted,
    shown_alone,
    today,
    told,
    writing,
)
from clutchlight.cli.taking_in import intake_command, log_notes
from clutchlight.editing import export
from clutchlight.editing.clutches import write_hatched, write_laid
from clutchlight.editing.judging import LogSoFar, odd_among
from clutchlight.editing.log import log_event
from clutchlight.editing.starting import EXAMPLE_NAME, start
from clutchlight.editing.undo import take_back
from clutchlight.ledger.dated_records import stamp
from clutchlight.model.private import EVENTS
from clutchlight.problems import COMMAND_LINE
from clutchlight.reading.catalogue import built_in_species
from clutchlight.reading.ids import each_typed, too_many
from clutchlight.reading.tables import Row


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
            f"Next: {as_called()} intake YOUR-LIST.xlsx --collection {quoted(folder)}, or write down your first animal"
        )
        return
    click.echo(f"Next: {as_called()} build {quoted(folder)} --out {quoted(folder / 'site')}")
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
    so_far = LogSoFar(book.collection, book.private.log, today())
    names = each_typed(animals, so_far.known)

    def judge(rows: Sequence[Row]) -> None:
        wide = too_many(COMMAND_LINE, names) if len(names) > animals.count(",") + 1 else ()
        agree((*wide, *odd_among(rows, so_far)), yes=yes)

    told(log_event(book.folder, so_far.known, names, event, value, on=on or today(), note=note, judge=judge))


@click.command("laid")
@click.argument("dam")
@click.option("--eggs", type=click.IntRange(0, 200), help="Good eggs.")
@click.option("--slugs", type=click.IntRange(0, 200), help="Infertile ones.")
@click.option("--id", "name", help="The clutch's id; the next free one unless said.")
@ON
@COLLECTION
@writing
def laid_command(
    dam: str, eggs: int | None, slugs: int | None, name: str | None, on: date | None, folder: Path | None
) -> None:
    """Write the record of a clutch just laid, with every male that the log puts with her as a possible sire."""
    book = opened(folder)
    made = write_laid(
        book.folder, book.collection, book.private, dam, on=on or today(), eggs=eggs, slugs=slugs, name=name
    )
    told(made)


@click.command("hatched")
@click.argument("clutch")
@click.option("--young", type=click.IntRange(0, 200), help="How many hatched; every good egg unless said.")
@click.option("--went-bad", type=click.IntRange(0, 200), help="Good eggs that failed.")
@click.option("--unseen", type=click.IntRange(0, 200), help="Died before the look could be seen.")
@ON
@COLLECTION
@writing
def hatched_command(
    clutch: str, young: int | None, went_bad: int | None, unseen: int | None, on: date | None, folder: Path | None
) -> None:
    """Add numbered lines for the young to a clutch's record, with the looks that they can have as comments."""
    from clutchlight.queries import possible_looks

    book = opened(folder)
    looks = possible_looks(book, clutch)
    made = write_hatched(
        book.folder,
        book.collection,
        clutch,
        on=on or today(),
        young=young,
        went_bad=went_bad,
        unseen=unseen,
        possible=looks,
    )
    told(made)
    click.echo(
        f"Next: put sex and look behind each number in {book.folder / made.file}; until then they count as not looked at."
    )


@click.command("stamp")
@click.argument("collection", required=False, type=FOLDER)
@ON
@writing
def stamp_command(collection: Path | None, on: date | None) -> None:
    """Append what changed since the last time to the ledger of dated records."""
    day = on or today()
    book = opened(collection, until=day).published
    click.echo(str(stamp(book.folder, book.collection, book.statements, day)))


@click.command("undo")
@COLLECTION
@problems_shown
def undo_command(folder: Path | None) -> None:
    """Take back what the last writing command wrote, byte for byte, unless a file was edited since. A dated record always stays."""
    last = take_back(collection_or_default(folder))
    for taken in last.files:
        if taken.whole:
            click.echo(f"deleted {taken.file}, which `{last.command}` had made")
        else:
            click.echo(f"taken out of {taken.file}, where `{last.command}` had written it:")
            for line in shown_alone(taken.text):
                click.echo(line)
    if last.dated:
        click.echo("what it dated stays in ledger/: a dated record is never taken back")


@click.command("export")
@click.option("--as", "kind", type=click.Choice(list(export.FORMATS)), required=True, help="The open format.")
@click.option("--all", "everything", is_flag=True, help="What is not published as well: unlisted animals and clutches.")
@COLLECTION
@problems_shown
def export_command(kind: str, everything: bool, folder: Path | None) -> None:
    """Print the pedigree in an open format. What is not published is left out."""
    collection = opened(folder).collection
    click.echo(export.FORMATS[kind](collection if everything else export.published(collection)), nl=False)


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
