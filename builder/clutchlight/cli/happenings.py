"""What happens to an animal outside a clutch: `hold`, `sold`, `paid`, `returned`, `died`, `moved`.

Each writes the record of it. What is missing is asked at a terminal; elsewhere it stays open, and what to write is told.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import date, timedelta
from fractions import Fraction
from functools import partial, wraps
from pathlib import Path
from typing import Any, TypeVar

import click

from clutchlight.cli.options import (
    COLLECTION,
    ON,
    YES,
    Day,
    agree,
    at_terminal,
    check_one_line,
    named,
    not_to_come,
    opened,
    today,
    told,
    typed,
    writing,
)
from clutchlight.desk.sentences import balance, due_what, due_when, not_seen
from clutchlight.editing import sales
from clutchlight.editing.disk import WrittenFile, take_back
from clutchlight.editing.log import kept_apart, logged_after
from clutchlight.editing.writing import flow
from clutchlight.ledger.dated_records import stamp
from clutchlight.model import Animal, Clutch, Collection, When
from clutchlight.model.private import Private
from clutchlight.pipeline import Book, read_everything
from clutchlight.planning.due import due
from clutchlight.planning.room import open_plans
from clutchlight.planning.sales import balances, not_ready_to_leave
from clutchlight.problems import COMMAND_LINE, Problem, RecordsError, errors_in, visible
from clutchlight.reading.ids import Known, each_typed
from clutchlight.wording import day_words

T = TypeVar("T")
Writing = Callable[..., Any]


class Money(click.ParamType[Fraction]):
    """An amount in the collection's currency."""

    name = "amount"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> Fraction:
        if isinstance(value, Fraction):
            return value
        said = str(value).strip()
        if not re.fullmatch(r"[0-9]{1,9}(?:[.,][0-9]{1,2})?", said):
            self.fail(f"'{said}' is no amount; write the number alone, such as 350 or 350.50", param, ctx)
        return Fraction(said.replace(",", "."))


class OneLine(click.ParamType[str]):
    """A name or a few words."""

    name = "text"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> str:
        check_one_line(str(value), "this", (param.opts[0] if param is not None else ""))
        if not str(value).strip():
            what = "the name" if param is not None and param.name in ("buyer", "keeper") else "this"
            self.fail(f"{what} is empty; write {'one' if what == 'the name' else 'it'}, or leave it out", param, ctx)
        return " ".join(str(value).split())


class Asking:
    """Asks at a terminal for what was not said, and keeps what stays open."""

    def __init__(self) -> None:
        self.open: list[tuple[str, str]] = []

    def for_(self, said: T | None, kind: click.ParamType[T], question: str, option: str) -> T | None:
        """`option`: what is typed where it is told later."""
        if said is not None:
            return said
        while at_terminal():
            typed = click.prompt(f"{question} (Enter to leave it open)", default="", show_default=False, err=True)
            if not typed.strip():
                break
            try:
                return kind.convert(typed.strip(), None, None)
            except click.UsageError as wrong:
                click.echo(wrong.message, err=True)
        self.open.append((question, option))
        return None

    def tell(self, command: str, names: Sequence[str]) -> None:
        """What stays open, with the command that fills it in."""
        for question, option in self.open:
            rest = typed(" ".join((command, ",".join(names), option)))
            click.echo(f"left open: {question.rstrip('?').lower()}; `{rest}` writes it")


BUYER = click.option("--to", "--buyer", "buyer", type=OneLine(), help="Who it is; private.")
AGREED = click.option("--for", "--price", "agreed", type=Money(), help="The price agreed, for all of them together.")

COMMANDS: list[click.Command] = []


def _to_promise(done: str, collection: Collection, names: str) -> list[str]:
    """The animals that were typed, which are to be `done`: held or sold. Raises RecordsError, also for a clutch without young on record."""
    known = Known(collection)
    for clutch in map(known.clutch, each_typed(names, known)):
        if clutch is not None and not clutch.young:
            only = f"'{clutch.id}' has no young on record, and only animals can be {done}"
            raise RecordsError.at(COMMAND_LINE, "not-an-animal", f"{only}; {_without_young(clutch)}")
    return named(collection, names)


def _without_young(clutch: Clutch) -> str:
    """Why no young of a clutch is on record, and what to do for whoever waits for one."""
    if clutch.ended is not None:
        return f"it was given up {day_words.on(clutch.ended)}, so no animal will come of it"
    if clutch.hatched is not None or clutch.hatchlings:
        return f"it hatched: give its young numbers first, under `young` in {clutch.place.file}"
    return f"until they hatch, note who waits for one: `log {clutch.id} note --note NAME`"


def _planned(book: Book, names: Sequence[str], day: date) -> tuple[Problem, ...]:
    """Which of the animals that are to be held for somebody are in a plan that is open."""
    plans = open_plans(book.collection, book.private, day)
    pairs = [(name, plan) for name in names for plan in plans if name in (plan.female, *plan.every_male)]
    return tuple(
        Problem.at(
            COMMAND_LINE,
            "planned-too",
            f"'{name}' is in an open plan ({' or '.join(plan.every_male)} with {plan.female}); look at the animal",
            "warning",
        )
        for name, plan in pairs
    )


def _about_to_lay(book: Book, names: Sequence[str], day: date) -> tuple[Problem, ...]:
    """Which of the females that are to be promised, or to leave, form eggs by the log."""
    return tuple(
        Problem.at(
            COMMAND_LINE,
            "about-to-lay",
            f"{due_what(book.collection, item)} is expected, {due_when(item, day)}; look at the animal",
            "warning",
        )
        for item in due(book.collection, book.private, day)
        if item.of_eggs_in_her and item.about in names
    )


SO_YOUNG = timedelta(days=42)
"""How old a hatchling is before which the question of sheds and meals is asked also where none are logged; common practice, no source."""


def _unready(book: Book, names: Sequence[str], day: date) -> tuple[Problem, ...]:
    """Which of the young that are to be handed over have not shed and fed yet, by the log; an older one of which neither is logged may
    be one of whom nobody logs it."""
    hatched = {name: book.collection.animals[name].hatched for name in names}
    return tuple(
        Problem.at(
            COMMAND_LINE,
            "not-ready",
            f"'{one.animal}' is not ready to leave: {' and '.join(not_seen(one))}; log what is not written yet, or wait",
            "warning",
        )
        for one in not_ready_to_leave(book.collection, book.private, day, names)
        if (born := hatched.get(one.animal)) is not None and (one.logged or day - born.last < SO_YOUNG)
    )


def happening(
    name: str, *parameters: Callable[[Writing], Writing], finds: Callable[[Collection, str], list[str]] = named
) -> Callable[[Writing], Writing]:
    """Makes a command of what writes that something happened to the animals of a book, by name, on a day.

    The command takes ANIMALS, `parameters`, and the day and the collection, and asks for a day that has come and animals that are known.
    `finds`: the animals by what was typed.
    """

    def made(writes: Writing) -> Writing:
        @wraps(writes)
        def run(animals: tuple[str, ...], on: date | None, folder: Path | None, **said: Any) -> None:
            day = not_to_come(on)
            book = opened(folder)
            writes(book, finds(book.collection, " ".join(animals)), day, **said)

        command: Writing = COLLECTION(writing(run))
        for parameter in reversed(parameters):
            command = parameter(command)
        COMMANDS.append(click.command(name)(click.argument("animals", nargs=-1, required=True)(command)))
        return writes

    return made


@happening(
    "hold",
    BUYER,
    click.option("--until", type=Day(ahead=True), help="The last day of the hold; public."),
    AGREED,
    click.option("--deposit", type=Money(), help="What was paid as a deposit that day."),
    click.option("--over", is_flag=True, help="The hold came to nothing."),
    click.option("--refund", type=Money(), help="With --over: what went back of the money; 0 where all of it is kept."),
    ON,
    YES,
    finds=partial(_to_promise, "held"),
)
def hold(
    book: Book,
    names: Sequence[str],
    day: date,
    buyer: str | None,
    until: date | None,
    agreed: Fraction | None,
    deposit: Fraction | None,
    over: bool,
    refund: Fraction | None,
    yes: bool,
) -> None:
    """Write that animals are held for somebody, or with --over that nothing came of it. ANIMALS: one id or name, or several with commas."""
    if over:
        if any(said is not None for said in (buyer, until, agreed, deposit)):
            raise click.UsageError("--over says that nothing came of it; leave --to, --until, --for and --deposit out")
        _tell_money(names, *tell_written(book, sales.write_given_up(book, names, on=day, refund=refund)))
        return
    if refund is not None:
        raise click.UsageError("--refund goes with --over; what is paid as a deposit is --deposit")
    asking = Asking()
    term = When.day(until) if until else None
    if deposit is None and _filled_in(book, names, sold=False, buyer=buyer, until=term, agreed=agreed):
        return
    sales.all_here(book.collection, names, day)
    over_it = sales.over_price(book.collection, names, deposit or Fraction(0), agreed)
    apart = kept_apart(book.collection, book.private.log, names, day)
    agree((*over_it, *apart, *_planned(book, names, day), *_about_to_lay(book, names, day)), yes=yes)
    buyer = asking.for_(buyer, OneLine(), "For whom?", "--to NAME")
    until = asking.for_(until, Day(ahead=True), "Until which day?", "--until DAY")
    agreed = asking.for_(agreed, Money(), "At which price?", "--for PRICE")
    tell_written(book, sales.write_hold(book, names, on=day, buyer=buyer, until=until, agreed=agreed, deposit=deposit))
    asking.tell("hold", names)


def _filled_in(book: Book, names: Sequence[str], *, sold: bool, **asked: object) -> bool:
    """Whether this was the rest of a hold or a sale that stands already; then it is written there."""
    made = sales.write_open(book, names, on=click.get_current_context().params["on"], sold=sold, **asked)
    if made is not None:
        _tell_money(names, *tell_written(book, made))
    return made is not None


@happening(
    "sold",
    BUYER,
    AGREED,
    click.option("--how", type=OneLine(), help="How they went, such as collected."),
    ON,
    YES,
    finds=partial(_to_promise, "sold"),
)
def sold(
    book: Book, names: Sequence[str], day: date, buyer: str | None, agreed: Fraction | None, how: str | None, yes: bool
) -> None:
    """Write that animals were handed over, and date what was said of them that day. ANIMALS: one id, or several with commas.

    A hold of these animals becomes the sale; else the sale gets a record of its own.
    """
    if _filled_in(book, names, sold=True, buyer=buyer, agreed=agreed, how=how):
        return
    sales.all_here(book.collection, names, day)
    asking = Asking()
    log = book.private.log
    later, apart = logged_after(book.collection, log, names, "sold", day), kept_apart(book.collection, log, names, day)
    agree((*later, *apart, *_unready(book, names, day), *_about_to_lay(book, names, day)), yes=yes)
    held = [sale for sale in book.private.sales if set(sale.animals) == set(names) and sale.handed_over is None]
    if not any(sale.buyer for sale in held):
        buyer = asking.for_(buyer, OneLine(), "Who has it now?", "--to NAME")
    if not any(sale.agreed is not None for sale in held):
        agreed = asking.for_(agreed, Money(), "At which price?", "--for PRICE")
    now = tell_written(book, sales.write_sold(book, names, on=day, buyer=buyer, agreed=agreed, how=how))
    asking.tell("sold", names)
    _date(book.folder, names, day)
    _tell_money(names, *now)


def _date(folder: Path, names: Sequence[str], day: date) -> None:
    """Dates what was said of these animals on a day. Whatever hinders that is told: the sale stands all the same."""
    try:
        seen = opened(folder, until=day).published
        animals = seen.collection.animals
        shown = [name for name in names if name in animals and animals[name].publish == "page"]
        for name in names:
            if name not in shown:
                click.echo(f"{name} has no page, so no statement of it was published that could be dated")
        if not shown:
            return
        done = stamp(seen.folder, seen.collection, seen.statements, day, only=shown)
    except RecordsError as refused:
        for problem in errors_in(refused.problems):
            as_of = f"as your records stood on {day}, " if problem.code == "records-conflict" else ""
            click.echo(f"the sale is written, but not dated: {as_of}{problem.message}")
            if problem.code == "stamp-earlier":
                click.echo(
                    "what is lost: a dated record of what was said on the day of the sale; its page still has the figures"
                    " of that day, from your records. `stamp` dates what is said today"
                )
        return
    if done.file is not None:
        click.echo(str(done))
        return
    for name in shown:
        if seen.ledger.of(*seen.collection.animals[name].was, name):
            click.echo(f"what is said of {name} on {day} was dated that day already")


@happening(
    "paid",
    click.argument("amount", type=Money()),
    click.option(
        "--back",
        is_flag=True,
        help="What you paid back of a sale that came to nothing, 0 where all of it is kept; or of what was paid beyond the price.",
    ),
    ON,
    YES,
)
def paid(book: Book, names: Sequence[str], day: date, amount: Fraction, back: bool, yes: bool) -> None:
    """Write a payment into the sale or hold of ANIMALS. More than the price is asked about."""
    if back:
        said = click.get_current_context().params["on"] is not None
        tell_written(book, sales.write_refund(book, names, amount, on=day, said=said))
        return
    if not amount:
        raise click.BadParameter("nothing was paid; write how much", param_hint="AMOUNT")
    now = tell_written(book, sales.write_paid(book, names, amount, on=day, judge=partial(agree, yes=yes)))
    _tell_money(names, *now)
    for sale in (one for one in now[1].sales if one.returned is None and one.given_up is None):
        if set(names) <= set(sale.animals) and sale.agreed and sale.paid() == sale.agreed:
            click.echo(f"all of {day_words.money(sale.agreed, book.collection.settings.currency)} is paid")


@happening(
    "returned",
    click.option("--refund", type=Money(), help="What the buyer got back; 0 where all of it is kept."),
    click.option("--offer", is_flag=True, help="It is for sale again, at the price in its record; also said later."),
    ON,
)
def returned(book: Book, names: Sequence[str], day: date, refund: Fraction | None, offer: bool) -> None:
    """Write that what was sold came back. It is here again, and not for sale unless you --offer it."""
    back = sales.came_back(book.private, names)
    when = When.day(day)
    settled = offer and refund is None and all(back.values())
    sale = [] if settled else [sales.write_returned(book, names, on=when, refund=refund)]
    recorded, private = _read_again(book)
    here = {name: _here_again(recorded.animals[name], back[name] or when, offer=offer) for name in names}
    came = {name: back[name] or when for name, (_, writes) in here.items() if writes}
    try:
        own = sales.write_here_again(book.folder, [(recorded.animals[name], on) for name, on in came.items()])
    except RecordsError:
        if sale:
            take_back(book.folder)
        raise
    _read_again(book)
    for one in sale:
        told(one)
        _tell_money(names, recorded, private)
    records = dict(zip(came, own, strict=True))
    for name, (said, _) in here.items():
        for line in said:
            click.echo(line)
        if name in records:
            told(records[name])


def _here_again(animal: Animal, on: When, *, offer: bool) -> tuple[list[str], bool]:
    """What to say of an animal that came back; and whether that goes into its own record: where that has it gone, or where it is offered
    again; never of a dead one."""
    name, gone = animal.id, animal.away is not None
    offered = animal.status in ("available", "on hold")
    if animal.dead:
        return [f"{name} died, by {animal.place_of('left').file}, so it is not offered"] if offer else [], False
    said = []
    if offer and not offered:
        file = animal.place_of("status").file
        said.append(f"{name} has the status {animal.status} by {file}; to offer it, write `status: available` there")
    if not gone and not offer:
        if offered:
            rest = typed(f"returned {name} --offer")
            said.append(f"{name} is not for sale now, though it was before it was sold; to offer it again: `{rest}`")
        return said, False
    if sales.has_own_record(animal) and animal.came is not None:
        came = flow({"how": "returned", "on": str(on)})
        if animal.came.how == "returned" and animal.came.on == on:
            return [*said, f"{animal.place.file} says already that {name} came back {on}"], False
        said.append(
            f"{name} {'is still gone by its own record' if gone else 'is not for sale yet'}; to change that, write in {animal.place.file}"
            f" `came: {came}` in the place of the `came` there"
        )
        return said, False
    return said, True


@happening("died", ON, YES)
def died(book: Book, names: Sequence[str], day: date, yes: bool) -> None:
    """Write that animals died: into their own records, or one that is made for young of a clutch. Their pages stay."""
    agree(logged_after(book.collection, book.private.log, names, "died", day), yes=yes)
    now = tell_written(book, *sales.write_died(book, names, on=day))
    for name in names:
        if (away := book.collection.animals[name].away) is not None:
            click.echo(
                f"{name} had left already: {away.how}{f' ({away.on})' if away.on else ''}; this says that it died there"
            )
    for sale in book.private.sales:
        if set(names) & set(sale.animals) and sale.held_on(day):
            click.echo(
                f"it was held for {visible(sale.buyer or 'somebody')}: tell them ({sale.place.file}, line {sale.place.line})"
            )
    _tell_money(names, *now)


@happening(
    "moved",
    click.option("--to", "keeper", type=OneLine(), help="Who has it on loan; private."),
    click.option("--until", type=Day(ahead=True), help="When it is to come back; public."),
    click.option("--back", is_flag=True, help="It came back from a loan, or went home to its owner from one."),
    ON,
    YES,
)
def moved(
    book: Book, names: Sequence[str], day: date, keeper: str | None, until: date | None, back: bool, yes: bool
) -> None:
    """Write that animals went out on loan, or with --back that the loan is over."""
    if back and (keeper or until):
        raise click.UsageError("--back says that the loan is over; leave --to and --until out")
    later = () if back else logged_after(book.collection, book.private.log, names, "loan", day)
    agree((*later, *_about_to_lay(book, names, day)), yes=yes)
    asking = Asking()
    if back:
        done = sales.write_back(book, names, on=day)
    else:
        written = until is not None and all(sales.keeping_of(book, name) for name in names)
        if not written:
            keeper = asking.for_(keeper, OneLine(), "To whom?", "--to NAME")
        away = [book.collection.animals[name].away for name in names if not sales.keeping_of(book, name)]
        if keeper is None or len(away) < len(names) or not all(loan and loan.until for loan in away):
            until = asking.for_(until, Day(ahead=True), "Until which day?", "--until DAY")
        said = click.get_current_context().params["on"] is not None
        done = sales.write_lent(book, names, on=day, said=said, keeper=keeper, until=until)
    tell_written(book, *done)
    asking.tell("moved", names)


def tell_written(book: Book, *made: WrittenFile) -> tuple[Collection, Private]:
    """Says what was written, and gives the records as they stand with it. Where those would not hold together, it is taken back."""
    now = _read_again(book)
    for one in made:
        told(one)
    return now


def _read_again(book: Book) -> tuple[Collection, Private]:
    """The records as they stand with what was written. Where they would not hold together, all that the command wrote is taken back."""
    now = read_everything(book.folder)
    if now.collection is None or now.private is None:
        take_back(book.folder)
        wrong = errors_in(now.problems)
        raise RecordsError(
            Problem.at(COMMAND_LINE, one.code, f"with this {one.message} ({one.file}, line {one.line})")
            for one in wrong
        )
    return now.collection, now.private


def _tell_money(names: Sequence[str], collection: Collection, private: Private) -> None:
    """What is open of the sales of these animals as they stand now, to pay or to pay back."""
    for one in balances(collection, private, today()):
        if set(names) & set(one.sale.animals):
            click.echo(visible(balance(one, collection.settings.currency)))
