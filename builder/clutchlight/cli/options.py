"""What the commands share: how a folder is found, a day is read, problems are shown, and which exit code they mean.

Exit codes: 0 good (warnings included); 1 errors in the records, or the machine refused something; 2 wrong usage, which is whatever
is mended in what was typed after the program's name. Problems go to stderr, results to stdout.
"""

from __future__ import annotations

import errno
import json
import os
import re
import shutil
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, date, datetime
from functools import wraps
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

import click
from msgspec.structs import replace

from clutchlight.editing.disk import WrittenFile, one_command
from clutchlight.model import Collection, When
from clutchlight.pipeline import Book, open_book
from clutchlight.problem_codes import OF_WHAT_WAS_TYPED
from clutchlight.problems import COMMAND_LINE, Place, Problem, RecordsError, errors_in, for_shell, system_says, visible
from clutchlight.reading.collection import SETTINGS_FILE
from clutchlight.reading.dates import NoDay, day_said, read_date
from clutchlight.reading.ids import Known, animals_called, each_typed
from clutchlight.reading.text import hidden_in
from clutchlight.wording import words

ERRORS_IN_RECORDS = 1
WRONG_USAGE = 2

P = ParamSpec("P")
R = TypeVar("R")


class Day(click.ParamType[date]):
    """A day, as YYYY-MM-DD or as people say it, of a year in which snakes may have been on record. `ahead`: one that is to come."""

    name = "date"

    def __init__(self, *, ahead: bool = False) -> None:
        self._ahead = ahead

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> date:
        if isinstance(value, date):
            return value
        typed = str(value)
        day = day_said(typed, today(), ahead=self._ahead)
        if day is None:
            usual = "20 dec" if self._ahead else "yesterday"
            self.fail(f"{value!r} is not a day; write it as 2026-07-20, {usual} or fri", param, ctx)
        if isinstance(day, NoDay):
            self.fail(day.says, param, ctx)
        if typed != day.isoformat():
            say_day(typed, day)
        return day


class Days(click.ParamType[When]):
    """A day, or the days from one to another: 2026-07-14..16."""

    name = "date"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> When:
        if ".." not in str(value):
            return When.day(Day().convert(value, param, ctx))
        days = read_date(str(value), spans=True)
        return days if isinstance(days, When) else self.fail(days, param, ctx)


def say_day(typed: str, day: date) -> None:
    """Says which day was understood."""
    click.echo(f"{visible(typed)}: {day:%A} {day}", err=True)


class Program(click.Group):
    """The group of all commands. What the system refuses (a file, room, memory) is a problem like others."""

    def main(self, *args: Any, **kwargs: Any) -> Any:
        typed_words = list(kwargs.pop("args", args[0] if args else sys.argv[1:]))
        if typed_words[:1] == ["help"]:
            typed_words = [*typed_words[1:2], "--help"]
        try:
            ended = super().main(typed_words, **{**kwargs, "standalone_mode": False})
            if kwargs.get("standalone_mode", True):
                sys.exit(ended if isinstance(ended, int) else 0)
            return ended
        except click.UsageError as wrong:
            click.echo(f"{COMMAND_LINE.file}: error: {as_typed(_in_plain_words(wrong))}", err=True)
            command = wrong.ctx.info_name if wrong.ctx is not None and wrong.ctx.parent is not None else None
            click.echo(f"`{as_called()}{f' {command}' if command else ''} --help` shows how it is written", err=True)
            sys.exit(WRONG_USAGE)
        except click.Abort:
            click.echo("stopped", err=True)
            sys.exit(ERRORS_IN_RECORDS)
        except (ImportError, MemoryError, OSError, RuntimeError) as trouble:
            refused = _refused(trouble)
            if refused is None:
                raise
            show([refused])
            sys.exit(ERRORS_IN_RECORDS)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args[0].startswith("-") or self.get_command(ctx, args[0]) is not None:
            return super().resolve_command(ctx, args)
        from clutchlight import reference

        leads = (args[0], *reference.slips(args[0]))
        known = self.list_commands(ctx)
        meant = dict.fromkeys(
            one.name for word in leads for one in reference.find(word) if one.name in known and "command" in one.of
        )
        remedy = (
            f"{words.join_or([f'`{name}`' for name in meant])} is meant"
            if meant
            else f"`{as_called()} help` lists them all"
        )
        raise click.UsageError(f"there is no command `{args[0]}`; {remedy}", ctx)


def _in_plain_words(wrong: click.UsageError) -> str:
    """What was typed wrongly, without the words of those who program."""
    if isinstance(wrong, click.NoSuchOption):
        ways = () if wrong.ctx is None else (one for one in wrong.ctx.command.params if isinstance(one, click.Option))
        known = words.join_and([f"`{one.opts[0]}`" for one in ways])
        return f"there is no `{wrong.option_name}` here" + (f"; there are {known}" if known else "")
    if (more := re.fullmatch(r"Got unexpected extra arguments? \((.*)\)", wrong.format_message())) is not None:
        return (
            f"`{more[1]}` is too much; names of several words stand in quotation marks, and between names stand commas"
        )
    if not isinstance(wrong, click.BadParameter):
        return wrong.format_message()
    param, said = wrong.param, wrong.message.rstrip(".")
    option = isinstance(param, click.Option)
    name = (
        (param.opts[0] if option else param.human_readable_name.strip("[]")) if param is not None else wrong.param_hint
    )
    if isinstance(wrong, click.MissingParameter):
        choices = getattr(getattr(param, "type", None), "choices", ())
        return f"{name} is missing; add it{f' with {words.join_or(list(choices))}' if choices else ''}"
    if param is not None and isinstance(param.type, click.IntRange):
        said = f"write a whole number from {param.type.min} to {param.type.max}"
    said = re.sub("Directory (.*) is a file", r"\1 is a file, not a folder", said)
    said = re.sub(
        r"(?:(Directory)|Path|File) (.*) does not exist",
        lambda found: f"there is no {'folder' if found[1] else 'file'} {found[2]}",
        said,
    )
    return f"{name}: {said}" if option or not said.startswith("there is no") else said


def _refused(trouble: Exception) -> Problem | None:
    """What the system refused, as what it is; None for a mistake of the program."""
    said = str(trouble)
    no_room = isinstance(trouble, MemoryError) or getattr(trouble, "errno", 0) == errno.ENOMEM
    no_room |= any(
        sign in said for sign in ("can't start new thread", "failed to map segment", "Cannot allocate memory")
    )
    if no_room:
        what = said if isinstance(trouble, MemoryError) and said else "no memory is left"
        remedy = "close other programs, raise the limit (`ulimit -a` shows it), or use a computer with more"
        return Problem.at(COMMAND_LINE, "out-of-memory", f"{what}; {remedy}")
    if not isinstance(trouble, OSError):
        return None
    if not _arrived() or (
        trouble.filename is None and trouble.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO)
    ):
        message = f"what was printed did not arrive: {system_says(trouble, 'send it elsewhere')}"
        return Problem.at(COMMAND_LINE, "cannot-use", message)
    if trouble.filename is None:
        return Problem.at(COMMAND_LINE, "cannot-use", system_says(trouble, "the system refused this; try again"))
    return Problem.at(Place(str(trouble.filename), 0, 0), "cannot-use", system_says(trouble))


def _arrived() -> bool:
    """Whether all that was printed could be written; if not, no more of it is tried."""
    try:
        sys.stdout.flush()
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return False
    return True


FOLDER = click.Path(exists=True, file_okay=False, path_type=Path)


COLLECTION = click.option("--collection", "folder", type=FOLDER, help="The collection's folder.")


def in_folder(command: Callable[P, R]) -> Callable[P, R]:
    """The collection's folder as --collection, as every command takes it, or by itself, as those do that name no animal."""

    @wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> R:
        alone = kwargs.pop("alone")
        if alone is not None and kwargs["folder"] is not None:
            raise click.UsageError("name your collection's folder once")
        kwargs["folder"] = kwargs["folder"] or alone
        return command(*args, **kwargs)

    return click.argument("alone", required=False, metavar="[FOLDER]", type=FOLDER)(COLLECTION(run))


_DAY = "The day it happened, such as 2026-07-20, yesterday or fri;"
ON = click.option("--on", type=Day(), help=f"{_DAY} today unless said.")
OVER_DAYS_AS_LOGGED = click.option(
    "--on", type=Days(), help=f"{_DAY} if left out, as the log has it, else today. Of several days, 2026-07-14..16."
)
ON_AS_LOGGED = click.option("--on", type=Day(), help=f"{_DAY} if left out, as the log has it, else today.")
YES = click.option("--yes", is_flag=True, help="Write what looks odd as well, without asking.")


def problems_shown(command: Callable[P, R], last: str = "") -> Callable[P, R]:
    """Problems that stop a command are shown one a line, then `last`, and end it with their exit code."""

    @wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            return command(*args, **kwargs)
        except RecordsError as rejected:
            show(rejected.problems)
            click.echo(last, nl=bool(last), err=True)
            sys.exit(exit_code(rejected.problems))

    return run


def writing(command: Callable[P, R]) -> Callable[P, R]:
    """The same for a command that writes records: it says that it wrote nothing, since the problems may lie in other records.

    What it writes is noted as one, for `undo`.
    """

    @wraps(command)
    def noted(*args: P.args, **kwargs: P.kwargs) -> R:
        with one_command(click.get_current_context().info_name or ""):
            return command(*args, **kwargs)

    return problems_shown(noted, "nothing was written")


def exit_code(problems: Iterable[Problem]) -> int:
    """Wrong usage where every error is mended in what was typed."""
    typed = (problem.file == COMMAND_LINE.file or problem.code in OF_WHAT_WAS_TYPED for problem in errors_in(problems))
    return WRONG_USAGE if all(typed) else ERRORS_IN_RECORDS


def opened(folder: Path | None, *, until: date | None = None) -> Book:
    """The book of a folder as `collection_or_default` finds it. Raises RecordsError; warnings are for `check` and `build` to show."""
    result = open_book(collection_or_default(folder), until=until, today=today())
    if result.book is None:
        raise RecordsError(result.problems)
    return result.book


def at_terminal() -> bool:
    """Whether somebody sits there to be asked."""
    return sys.stdin.isatty()


def agree(odd: Sequence[Problem], *, yes: bool) -> None:
    """Has somebody agree to what is odd: with `--yes`, or at the terminal. Raises RecordsError where nobody does."""
    if yes or not odd:
        return
    if at_terminal():
        show(odd)
        try:
            agreed = click.confirm("Write it all the same?", default=False, err=True)
        except click.Abort:
            click.echo(err=True)
            agreed = False
        if agreed:
            return
        raise RecordsError(())
    from clutchlight.editing.log import or_yes

    raise RecordsError(replace(or_yes(one), level="error") for one in odd)


@contextmanager
def progress(stages: Sequence[str]) -> Iterator[Callable[[], None]]:
    """A bar on a terminal while stages are worked through; nothing elsewhere. Call what it gives after each stage."""
    if not sys.stderr.isatty():
        yield lambda: None
        return
    later = iter(stages[1:])
    with click.progressbar(length=len(stages), label=stages[0], show_eta=False, file=sys.stderr) as bar:

        def done() -> None:
            bar.label = next(later, stages[-1])
            bar.update(1)

        yield done


def named(collection: Collection, typed: str) -> list[str]:
    """The animals that were typed: one id or name, several with commas, or a range."""
    return list(animals_called(collection, each_typed(typed, Known(collection))))


def size_of(book: Book) -> str:
    animals = sum(not animal.nameless for animal in book.collection.animals.values())
    clutches = words.plural(len(book.collection.clutches), "clutch", "clutches")
    return f"{words.plural(animals, 'animal')}, {clutches}"


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


def not_to_come(on: date | None) -> date:
    """The day on which something happened, today unless said. Refuses one that is still to come."""
    if on is not None and on > today():
        raise click.BadParameter(f"{on} has not come yet; name the day it happened", param_hint="--on")
    return on or today()


def show(problems: Iterable[Problem]) -> None:
    """Prints problems to stderr, a line each."""
    for problem in problems:
        click.echo(as_typed(str(problem)), err=True)


def typed(command: str) -> str:
    """A command as it can be typed where its reader stands: with the program's name, and the folder where one was named."""
    context = click.get_current_context(silent=True)
    said = {} if context is None else context.params
    folder = said.get("folder") or said.get("alone")
    return f"{as_called()} {command}" + (f" --collection {for_shell(folder)}" if folder else "")


def as_typed(said: str) -> str:
    """A sentence with each command that it advises as `typed`; what only names one, such as `sold` or `moved --back`, stays."""
    return _ADVISED.sub(lambda found: f"`{typed(found[1])}`", said)


_ADVISED = re.compile(
    "`(?:clutchlight )?((?:hold|sold|paid|returned|died|moved|log|laid|hatched|stamp|intake|keep) [^`: -][^`]*)`"
)


def show_json(document: object) -> None:
    click.echo(json.dumps(document, indent=2, ensure_ascii=False))


def as_called() -> str:
    """The program's name as the person called it: its bare name only where that finds this very program."""
    called = Path(sys.argv[0])
    if called.name == "__main__.py" and called.parent.name == "clutchlight":
        return f"{for_shell(sys.orig_argv[0])} -m clutchlight"
    if called.stem != "clutchlight":
        return "clutchlight"
    found = shutil.which("clutchlight")
    if found is not None and Path(found).resolve() == called.resolve():
        return "clutchlight"
    return for_shell(str(called))


def check_one_line(text: str, what: str, option: str) -> None:
    """Refuses a character that no record may hold, before a record is made that nobody can read."""
    if hidden_in(text) or any(letter in "\t\n" for letter in text):
        raise click.BadParameter(f"{what} is one line of text; type it anew", param_hint=option)


def told(written: WrittenFile) -> None:
    """Says which file was made or added to, and shows the new lines."""
    click.echo(f"{'made' if written.new else 'added to'} {written.file}:")
    for line in shown_alone(written.text):
        click.echo(line)


def shown_alone(text: str) -> list[str]:
    """The lines of what was added, without the comma or the spaces that join it to what stands behind it."""
    indent = text[text.rfind("\n") + 1 :]  # of what stands behind, which each line after the first has too
    lines = text.removesuffix(", ").strip(" \n").split("\n")
    return [visible(line.removeprefix(indent) if indent.isspace() else line) for line in lines]
