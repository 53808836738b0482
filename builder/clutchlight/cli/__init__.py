"""The command line: arguments in, exit codes out. No rule of the domain lives here.

Commands that read stand here; those that write records stand in `writing`. What only some commands need is imported where they do.
"""

from __future__ import annotations

import gc
import json
import sys
import time
from collections.abc import Mapping
from datetime import date
from functools import cached_property
from io import TextIOWrapper
from pathlib import Path

import click
from msgspec.structs import replace

from clutchlight.cli.options import (
    COLLECTION,
    Day,
    Program,
    as_called,
    as_typed,
    collection_or_default,
    exit_code,
    in_folder,
    opened,
    problems_shown,
    progress,
    show,
    show_json,
    size_of,
    today,
)
from clutchlight.pipeline import STAGES, Book, Built, again, build, build_desk, open_book, unpublishable
from clutchlight.problems import RecordsError, errors_in, in_order
from clutchlight.publishing.building_again import BuildMessages, LastBuild
from clutchlight.reading.findings import in_words
from clutchlight.statements.why import in_lines, to_json as why_json
from clutchlight.wording import words

OUT = click.option(
    "--out", type=click.Path(path_type=Path), default=Path("site"), show_default=True, help="The public site's folder."
)


class AllCommands(Program):
    """The commands here, and those of `writing`, which is imported once one of them is called, or all are listed."""

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        return self.commands.get(cmd_name) or self.every.get(cmd_name)

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(self.every)

    @cached_property
    def every(self) -> Mapping[str, click.Command]:
        from clutchlight.cli import writing

        for command in writing.COMMANDS:
            self.add_command(command)
        return self.commands


_BEGIN = """Clutchlight makes a website and a private season desk from your records of snakes and clutches.

Begin: a folder for your records, your list taken into it (what it cannot know, it asks), and the website from it:
  {0} start ../my-snakes --empty
  {0} intake ../my-list.xlsx --collection ../my-snakes
  {0} build ../my-snakes --out ../my-site

Then: what is wrong in the records and what to do; who is due, ready or overworked; and what happened this evening:
  {0} check ../my-snakes
  {0} season ../my-snakes
  {0} log "Goliath, Nyx" meal rat --collection ../my-snakes
  so too laid, hatched, hold, sold, paid, returned, died, moved; undo takes the last of them back

All commands: {0} help
How one is written: {0} help sold
What a word means: {0} explain het"""


@click.group(cls=AllCommands, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="clutchlight")
@click.pass_context
def main(called: click.Context) -> None:
    """From plain-text records of snakes and clutches to a site whose het percentages are computed, never typed."""
    if called.invoked_subcommand is None:
        click.echo(_BEGIN.format(as_called()))
    gc.set_threshold(1_000_000)  # what a command makes lasts as long as it; looking through it took a tenth of the time
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper) and not stream.isatty():
            stream.reconfigure(encoding="utf-8")  # whatever a pipe on this machine would take, records hold any letter


@main.command()
@in_folder
@click.option("--publish", "publish", is_flag=True, help="Say as well what is missing before the site goes public.")
@click.option("--json", "as_json", is_flag=True, help="Print the problems as JSON on stdout.")
def check(folder: Path | None, publish: bool, as_json: bool) -> None:
    """Read every record, photo and text as a build does, and report every problem at once."""
    from clutchlight.cli.remarks import after_check, missing_before_publishing

    result = open_book(collection_or_default(folder), today=today())
    problems = result.problems
    if result.book is not None:
        missing = missing_before_publishing(result.book) if publish else ()
        problems = in_order((*problems, *unpublishable(result.book, today()), *missing))
    if as_json:
        click.echo(json.dumps({"problems": [problem.as_json() for problem in problems]}, indent=2))
    else:
        show(problems)
    if result.book is None or errors_in(problems):
        sys.exit(exit_code(problems))
    if not as_json:
        click.echo(f"{size_of(result.book)}: no errors")
        for line in after_check(result.book, today()):
            click.echo(line)


@main.command("build")
@in_folder
@OUT
@click.option("--desk", type=click.Path(path_type=Path), help="Also write the private desk, into this folder.")
@click.option("--as-of", "as_of", type=Day(), help="The site as it would have stood on that day.")
@click.option("--on", "on", type=Day(), help="The day that the desk is made for; today unless said.")
@click.option("--theme", help="A theme by name, in place of the collection's.")
@click.option("--dry-run", is_flag=True, help="Write nothing; list the figures that would change.")
@problems_shown
def build_command(
    folder: Path | None,
    out: Path,
    desk: Path | None,
    as_of: date | None,
    on: date | None,
    theme: str | None,
    dry_run: bool,
) -> None:
    """Write the public site, and the desk if asked for."""
    started, where = time.perf_counter(), collection_or_default(folder)
    typed = click.get_current_context().params
    command = repr((as_called(), Path.cwd(), today(), sorted(typed.items())))
    if not (desk or dry_run) and (found := again(where, out, command)) is not None:
        built, said = found
        click.echo("".join(f"{problem}\n" for problem in said.problems), nl=False, err=True)
        click.echo("\n".join((summary(said.size, built, out, started), *said.lines)))
        return
    from clutchlight.cli.remarks import after_build, new_result

    with progress(STAGES) as stage:
        result = open_book(where, until=as_of, today=today())
        if result.book is None:
            raise RecordsError(result.problems)
        book = result.book
        stage()
        try:
            built = build(book, out, theme=theme, desk=desk, dry_run=dry_run, stage=stage)
        except RecordsError as refused:
            raise RecordsError(in_order((*result.problems, *refused.problems))) from None
    show(in_order((*result.problems, *built.problems)))
    for change in built.figures:
        click.echo(str(change))
    if desk is not None and not dry_run:
        written = build_desk(_as_of(book, on), desk, out, on or today(), theme=theme)
        fresh = len(written.added) + len(written.changed)
        click.echo(f"the private desk is in {desk} ({words.plural(fresh, 'file')} written); never put it on the web")
    click.echo(summary(size_of(book), built, out, started, dry_run=dry_run))
    new = [line for family in built.new for line in new_result(book, family)]
    lines = list(after_build(book, min(on or today(), as_of or date.max), new))
    for line in lines:
        click.echo(line)
    if not (desk or dry_run):
        problems = tuple(as_typed(str(problem)) for problem in result.problems)
        lasting = tuple(line for line in lines if line not in new)
        name = theme or book.collection.settings.theme
        LastBuild(where, out).remember(BuildMessages(command, name, size_of(book), problems, lasting))


def _as_of(book: Book, on: date | None) -> Book:
    """The book that the desk of a day goes by: of a day that is past, what was known then."""
    if on is None or on >= today() or (book.until is not None and book.until <= on):
        return book
    return open_book(book.folder, until=on).book or book


@main.command("why")
@click.argument("animal")
@click.argument("trait", required=False)
@COLLECTION
@click.option("--json", "as_json", is_flag=True, help="Print the derivation as JSON on stdout.")
@problems_shown
def why_command(animal: str, trait: str | None, folder: Path | None, as_json: bool) -> None:
    """How a figure came about, record by record. Without TRAIT: every trait of the animal that has a figure, or had one."""
    from clutchlight.queries import derivations, no_figure

    book = opened(folder)
    found = derivations(book, animal, trait)
    if as_json:
        shown = [why_json(one) for one in found]
        show_json(shown[0] if trait else shown)
        return
    click.echo("\n\n".join("\n".join(in_lines(one)) for one in found) or no_figure(book, animal))


@main.command("doubt")
@click.argument("record", required=False, metavar="[RECORD|ANIMAL]")
@COLLECTION
@click.option("--json", "as_json", is_flag=True, help="Print what hangs on each record as JSON on stdout.")
@problems_shown
def doubt_command(record: str | None, folder: Path | None, as_json: bool) -> None:
    """What would be printed if one record were wrong: each left out by itself. Alone: the whole collection."""
    from clutchlight.queries import doubted
    from clutchlight.statements.doubt import in_lines as doubt_lines, not_told, to_json as doubt_json

    book = opened(folder)
    own, beneath = doubted(book, record, today())
    if as_json:
        show_json(doubt_json(own, beneath, book.collection))
        return
    heading = f"What hangs on the records of {record}" if record else "What everything hangs on"
    how = "Each is left out by itself, the most printed figures of sold animals first. Chances of two copies are not counted."
    click.echo(f"{' '.join(filter(None, (f'{heading}.', how, not_told(book.collection))))}\n")
    click.echo("\n".join(doubt_lines(own, book.telling_its_owner, every=bool(record))) or "  No printed figure.")
    if record and beneath:
        click.echo(f"\nWhat the figures of {record} hang on\n")
        click.echo("\n".join(doubt_lines(beneath, book.telling_its_owner, every=True)))


def summary(size: str, built: Built, out: Path, started: float, *, dry_run: bool = False) -> str:
    """'98 animals, 21 clutches, 150 pages in site: 3 files written, 0 removed; no figure changed; 1.4 s'."""
    seconds = time.perf_counter() - started
    fresh = len(built.published.added) + len(built.published.changed)
    wrote = (
        f"{words.plural(fresh, 'file')} {'would be ' if dry_run else ''}written, {len(built.published.removed)} removed"
    )
    changed = f"{words.plural(len(built.figures), 'figure')} changed" if built.figures else "no figure changed"
    return f"{size}, {words.plural(built.pages, 'page')} in {out}: {wrote}; {changed}; {seconds:.1f} s"


@main.command("odds")
@click.argument("sire")
@click.argument("dams", nargs=-1, required=True, metavar="DAM...")
@click.option("--young", type=int, help="Exactly so many hatchlings in each clutch, 1 to 100; a spread unless said.")
@click.option("--want", help="Looks that a hatchling should show at least, such as 'Piebald Clown'.")
@click.option("--on", "on", type=Day(), help="The day by which quarantine and treatment are told; today unless said.")
@COLLECTION
@click.option("--json", "as_json", is_flag=True, help="Print the odds as JSON on stdout.")
@problems_shown
def odds_command(
    sire: str,
    dams: tuple[str, ...],
    young: int | None,
    want: str | None,
    on: date | None,
    folder: Path | None,
    as_json: bool,
) -> None:
    """What a pairing can give, and what it would prove; of one male with several females, what all their clutches would settle.

    An animal that is not yours can be described in place of an id: "male, Piebald, 66% het Clown".
    """
    from clutchlight.planning.odds import odds
    from clutchlight.planning.readiness import set_apart
    from clutchlight.queries import odds_of_each, winter_of, with_descriptions
    from clutchlight.reading.ids import animal_called
    from clutchlight.statements import odds as odds_words, winter as winter_words

    book, names = with_descriptions(opened(folder), (sire, *dams))
    sire, *several = names
    winter = winter_of(book, sire, several, young, want) if len(several) > 1 or want else None
    if winter is not None and len(several) > 1:
        found: object = winter
        pairs = list(odds_of_each(book, winter, young))
        said = winter_words.as_text(winter, pairs, book.telling_its_owner)
    else:
        pair = odds(book.inference, sire, several[0], young)
        if winter is not None:
            pair = replace(pair, sums=winter.wishes)
        found = pair
        said = odds_words.as_text(pair, book.telling_its_owner)
        said += "".join(f"{line}\n" for line in winter_words.wanted_without_figure(winter)) if winter else ""
    asked = {animal_called(book.collection, name).id for name in names}
    apart = [one for one in set_apart(book.collection, book.private, on or today()) if one.animal in asked]
    if as_json:
        from clutchlight.cli.season_list import as_json as document

        show_json({**document(found), "set_apart": [document(one) for one in apart]})
        return
    from clutchlight.desk.sentences import not_to_be_paired

    click.echo(said, nl=False)
    for one in apart:
        click.echo(not_to_be_paired(book.collection, one))


@main.command("season")
@in_folder
@click.option("--on", "on", type=Day(), help="The day to look at; today unless said.")
@click.option("--json", "as_json", is_flag=True, help="Print the lists as JSON on stdout.")
@problems_shown
def season_command(folder: Path | None, on: date | None, as_json: bool) -> None:
    """The season's lists: who is overworked, who is ready, what is due, what would prove most."""
    from clutchlight.cli.season_list import as_json as document, season_text
    from clutchlight.desk import Season

    lists = Season(_as_of(opened(folder), on), on or today())
    if as_json:
        show_json(document(lists))
    else:
        click.echo(season_text(lists), nl=False)


@main.command("keep")
@click.argument("clutch")
@COLLECTION
@click.option("--on", "on", type=Day(), help="The day to look at; today unless said.")
@click.option("--json", "as_json", is_flag=True, help="Print the young as JSON on stdout.")
@problems_shown
def keep_command(clutch: str, folder: Path | None, on: date | None, as_json: bool) -> None:
    """The young of a clutch side by side: what each would bring to your plans, its price, and what its kind was sold for."""
    from clutchlight.planning.keeping import side_by_side
    from clutchlight.reading.ids import clutch_called
    from clutchlight.statements.keeping import as_text

    book, day = _as_of(opened(folder), on), on or today()
    side = side_by_side(book.inference, book.private, clutch_called(book.collection, clutch), day)
    if as_json:
        from clutchlight.cli.season_list import as_json as document

        show_json(document(side))
    else:
        click.echo(as_text(side, book.telling, day), nl=False)


@main.command("watch")
@in_folder
@OUT
@click.option("--port", type=click.IntRange(0, 65535), default=8000, show_default=True, help="0 takes any free one.")
@problems_shown
def watch_command(folder: Path | None, out: Path, port: int) -> None:
    """Build, serve on this computer only, and build again whenever a record is saved."""
    from clutchlight.cli.watching import watch

    watch(collection_or_default(folder), out, port, today)


@main.command("explain")
@click.argument("word", nargs=-1, metavar="[KEY|CODE|WORD]")
def explain_command(word: tuple[str, ...]) -> None:
    """What a key, a problem's code, a command or a word means, with an example. Alone: the topics."""
    from clutchlight import reference

    asked = " ".join(word)
    if not asked:
        click.echo(f"{reference.overview()}\n\n`{as_called()} explain` and one of these lists what it holds.")
        return
    found = reference.find(asked)
    if not found:
        near = in_words(reference.slips(asked))
        remedy = f"the nearest is {near}" if near else f"`{as_called()} explain` lists the topics"
        raise click.UsageError(f"'{asked}' is not in the reference; {remedy}")
    click.echo(reference.in_text(found))
