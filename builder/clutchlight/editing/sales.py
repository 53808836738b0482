"""What happens to animals → their records: `died` and `moved` into `left`, `hold`, `sold`, `paid` and `returned` into sales/.

A young one that stands only in the file of its clutch, which holds birth facts, gets a file of its own in animals/. A loan is written with
its last day, which the site may tell, and under `private` with whom, which it may not. Coming back adds `back` to what stands there.

A sale is begun at the end of a year's file, then added to. A hold of exactly these animals gets `handed_over` or `given_up`; a payment goes
into the one sale that its animal stands in. What is in doubt (one of several, promised to somebody else, gone already, never sold) is
refused, and then nothing was written.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

from msgspec.structs import replace

from clutchlight.editing.disk import WrittenFile
from clutchlight.editing.writing import (
    BY_HAND,
    Original,
    Records,
    Value,
    append_item,
    cannot_write,
    composed,
    create,
    flow,
    item,
    items_into,
    keys_into,
    original,
    put_in,
    record_in,
    refusal,
    standing,
    table_at,
)
from clutchlight.model import Animal, Collection, Leaving, When
from clutchlight.model.animals import TO_STAY
from clutchlight.model.private import Holding, Payment, Private, Sale, plain_amount
from clutchlight.problems import COMMAND_LINE, Place, Problem, RecordsError
from clutchlight.reading.text import Items, Table
from clutchlight.wording.day_words import amount as amount_of
from clutchlight.wording.words import join_and

_BACK = {"loan": "moved {} --back", "sold": "returned {}"}
"""By how it left, the command that says that it came back."""


def refuse_absent(collection: Collection, name: str, on: date) -> Animal:
    """The animal, where it can leave on a day. Raises RecordsError of one that is gone, was never here, or is not hatched yet."""
    animal = collection.animals[name]
    if animal.away is not None:
        gone = (animal.dead and animal.left) or animal.away
        since = f" ({gone.on})" if gone.on else ""
        remedy = _BACK.get(gone.how)
        back = f"; if it is here again, write `{remedy.format(name)}` first" if remedy else ""
        raise refusal(f"'{name}' left already: {gone.how}{since}{back}")
    if animal.status == "elsewhere":
        raise refusal(f"'{name}' was never here: its status is `elsewhere`")
    _refuse_before(on, f"'{name}' hatched", animal.hatched)
    if (left := animal.left) is not None:
        _refuse_before(on, f"'{name}' was back from its {'loan' if left.how == 'loan' else 'sale'}", left.back)
    return animal


def _refuse_before(on: date, what: str, when: When | None) -> None:
    """Refuses a day before that of what must have happened first."""
    if when is not None and on < when.first:
        said = f"{on} is before {what} ({when}); say another day with --on"
        raise refusal(said, "dates-out-of-order")


def all_here(collection: Collection, animals: Sequence[str], on: date) -> list[Animal]:
    """The animals, where each of them can leave on a day. Raises RecordsError of all that cannot."""
    problems: list[Problem] = []
    for name in animals:
        try:
            refuse_absent(collection, name, on)
        except RecordsError as refused:
            problems += refused.problems
    if problems:
        raise RecordsError(problems)
    return [collection.animals[name] for name in animals]


def write_died(records: Records, animals: Sequence[str], *, on: date) -> list[WrittenFile]:
    """Writes that animals died. Raises RecordsError, and writes nothing, on any doubt."""
    left: Mapping[str, Value] = {"left": {"how": "died", "on": on.isoformat()}}
    elsewhere = [name for name in animals if _with_somebody(records.collection.animals[name])]
    here = all_here(records.collection, [name for name in animals if name not in elsewhere], on)
    sold = [records.collection.animals[name] for name in elsewhere]
    for animal in sold:
        _refuse_before(on, f"'{animal.id}' left", animal.away.on if animal.away else None)
    return _write(records.folder, [_leaving(animal, left) for animal in (*here, *sold)])


def _with_somebody(animal: Animal) -> bool:
    """Whether somebody else has it, as far as is known alive; what stands of that in a clutch's record is left alone."""
    gone = animal.left is not None and animal.away is animal.left and animal.left.how in (*TO_STAY, "loan")
    return gone and ("left" not in animal.places or has_own_record(animal))


def _leaving(animal: Animal, left: Mapping[str, Value]) -> _Step:
    """`left`, or what it was `then` where a leaving stands there."""
    over = animal.left is not None and "left" in animal.places and has_own_record(animal)
    return _Step(animal, {"then": left["left"]}, inside=("left",)) if over else _Step(animal, left)


def write_lent(
    records: Records, animals: Sequence[str], *, on: date, said: bool, keeper: str | None, until: date | None
) -> list[WrittenFile]:
    """Writes that animals went out on loan; from one keeper to the next, the first loan ends that day.

    Of a loan begun that day, or of any where the day was not `said`, what was left open is filled in.
    """
    if until is not None and until < on:
        raise refusal(f"{until} is before {on}; correct one of the days", "dates-out-of-order")
    term = {"until": until.isoformat()} if until else {}
    left: Mapping[str, Value] = {"left": {"how": "loan", "on": on.isoformat(), **term}}
    shared: Mapping[str, Value] = {"shared": {"with": keeper, "since": on.isoformat(), **term}} if keeper else {}
    steps: list[_Step] = []
    for name in animals:
        loan = _loan(records.collection.animals[name], on)
        animal = records.collection.animals[name] if loan else refuse_absent(records.collection, name, on)
        owners = [one.partner for one in records.private.holdings if one.animal == name and one.split is None]
        if keeper and _borrowed(animal) and keeper.casefold() in map(str.casefold, owners):
            raise refusal(f"'{name}' is on loan from {keeper}; `moved {name} --back` writes that it went home")
        if not has_own_record(animal):
            steps.append(_Step(animal, {**left, "private": shared} if shared else left))
            continue
        record = _record_of(standing(records.folder, animal.place.file), animal)
        keeping = keeping_of(records, name)
        same_loan = loan is not None and (not said or loan.on == When.day(on))
        more = _into_loan(record, animal, loan, keeping, keeper, until) if loan and same_loan else []
        if more:
            steps += more
            continue
        if loan and (_same(keeper, keeping) or (same_loan and keeper is None)):
            where = f"with {keeping.partner}" if keeping else "out on loan"
            since = f"has been {where} since {loan.on}" if loan.on else f"is {where} already"
            term_ = f" and stays until {loan.until}" if loan.until else ""
            raise refusal(f"'{name}' {since}{term_}; to change a day, edit {animal.place.file}")
        back = {"back": on.isoformat(), "then": left["left"]}
        steps.append(_Step(animal, back, inside=("left",)) if loan else _leaving(animal, left))
        steps += [_kept_by(animal, record, shared)] if shared else []
    return _write(records.folder, steps)


def keeping_of(records: Records, name: str) -> Holding | None:
    """With whom an animal is on the loan that it is out on, where that is written down."""
    loan = records.collection.animals[name].away
    if loan is None or loan.how != "loan":
        return None
    own = [one for one in records.private.holdings if one.animal == name and one.split is None]
    return next((one for one in own if one.since == loan.on or not (one.since and loan.before)), None)


def _borrowed(animal: Animal) -> bool:
    """Whether it is here on loan from its owner."""
    return animal.away is None and animal.came is not None and animal.came.how == "loan"


def _same(keeper: str | None, keeping: Holding | None) -> bool:
    return bool(keeper and keeping and keeper.casefold() == keeping.partner.casefold())


def _into_loan(
    record: Table, animal: Animal, loan: Leaving, keeping: Holding | None, keeper: str | None, until: date | None
) -> list[_Step]:
    """What was left open of the loan that it is out on, to be added; none where nothing was, or another keeper stands there."""
    if keeper is None and until is None:
        raise refusal(
            f"'{animal.id}' is out on loan already; say with whom, or until when, or `moved {animal.id} --back`"
        )
    if _same(keeper, keeping):
        keeper = None
    term = {"until": until.isoformat()} if until else {}
    if not isinstance(record.get("left"), Table) or (keeper and keeping) or (until and loan.until):
        return []
    steps = [_Step(animal, term, inside=("left",))] if term else []
    if keeper:
        begun = {"since": str(loan.on)} if loan.on else {}
        steps.append(_kept_by(animal, record, {"shared": {"with": keeper, **begun, **term}}))
    elif term and keeping and keeping.until is None:
        steps.append(_Step(animal, term, inside=("private", "shared")))
    return steps


def _kept_by(animal: Animal, record: Table, shared: Mapping[str, Value]) -> _Step:
    """`shared`, or what holds `then` where a keeper or a share stands there."""
    private = record.get("private")
    if isinstance(private, Table) and private.get("shared") is not None:
        return _Step(animal, {"then": shared["shared"]}, inside=("private", "shared"))
    return _Step(animal, {"private": shared}) if private is None else _Step(animal, shared, inside=("private",))


def _loan(animal: Animal, on: date) -> Leaving | None:
    """The loan that it is out on by its own record. Raises RecordsError where that began after a day."""
    left = animal.left
    if left is None or animal.away is not left or left.how != "loan" or not has_own_record(animal):
        return None
    _refuse_before(on, f"'{animal.id}' left", left.on)
    return left


def write_back(records: Records, animals: Sequence[str], *, on: date) -> list[WrittenFile]:
    """Writes that animals came back from a loan, or went home from one."""
    steps: list[_Step] = []
    for name in animals:
        animal = records.collection.animals[name]
        if _borrowed(animal):
            steps.append(_leaving(animal, {"left": {"how": "returned", "on": on.isoformat()}}))
            continue
        if not _loan(animal, on):
            raise refusal(_no_loan(animal))
        steps.append(_Step(animal, {"back": on.isoformat()}, inside=("left",)))
    return _write(records.folder, steps)


def _no_loan(animal: Animal) -> str:
    left = animal.left
    if left is not None and left.how == "loan" and left.back is not None:
        return f"'{animal.id}' is back from its loan already ({left.back})"
    if left is not None and left.how == "returned":
        return f"'{animal.id}' went home already{f' ({left.on})' if left.on else ''}"
    return f"'{animal.id}' is not out on loan by its record in animals/; `returned` is for what was sold"


class _Step(NamedTuple):
    """Keys to add to an animal's record, or to what stands `inside` one of its keys, of one of those, below each `then` there."""

    animal: Animal
    keys: Mapping[str, Value]
    inside: tuple[str, ...] = ()


def _write(folder: Path, steps: Sequence[_Step]) -> list[WrittenFile]:
    """All of it is tried before any of it is written; each step goes by the file as the one before left it."""
    for step in steps:
        if has_own_record(step.animal):
            _planned(standing(folder, step.animal.place.file), step)
    made: list[WrittenFile] = []
    for step in steps:
        if has_own_record(step.animal):
            found = standing(folder, step.animal.place.file)
            made.append(put_in(folder, found, *_planned(found, step)))
        else:
            made.append(create(folder, f"animals/{step.animal.id}.yaml", item({"id": step.animal.id, **step.keys})))
    return made


def _planned(found: Original, step: _Step) -> tuple[int, str]:
    record, file = _record_of(found, step.animal), found.file
    table: object = record
    for key in step.inside:
        table = table.get(key) if isinstance(table, Table) else None
    while isinstance(table, Table) and "then" in table:
        table = table["then"]
    if not isinstance(table, Table):
        said = f"`{step.inside[-1]}` of '{step.animal.id}' is no group of keys in braces; write `{flow(step.keys)}` there by hand"
        raise cannot_write(file, said, step.animal.place.line)
    for key in step.keys:
        if key in table:
            said = f"`{key}` of '{step.animal.id}' says something already; write `{key}: {flow(step.keys[key])}` in its place by hand"
            raise cannot_write(file, said, table.mark.values[key].line)
    return keys_into(found, table.mark.place, step.keys)


def has_own_record(animal: Animal) -> bool:
    """Whether it has a record in animals/; else it stands in the file of its clutch alone."""
    return animal.place.file.startswith("animals/")


def _record_of(found: Original, animal: Animal) -> Table:
    record = record_in(found, animal.id)
    if record is None:
        raise cannot_write(found.file, f"'{animal.id}' does not stand here any more")
    return record


# ---- sales


def write_hold(
    records: Records,
    animals: Sequence[str],
    *,
    on: date,
    buyer: str | None = None,
    until: date | None = None,
    agreed: Fraction | None = None,
    deposit: Fraction | None = None,
) -> WrittenFile:
    """Writes that animals are held for somebody. `deposit`: what was paid that day. On any doubt it raises RecordsError."""
    for animal in all_here(records.collection, animals, on):
        if animal.status == "sold":
            raise refusal(f"'{animal.id}' is sold by its record")
    if until is not None and until < on:
        raise refusal(f"{until} is before {on}; correct one of the days", "dates-out-of-order")
    for sale in _open_with(records, animals, on):
        name = next(name for name in sale.animals if name in animals)
        whom = f" for {sale.buyer}" if sale.buyer else ""
        term, longer = (f" until {sale.until}", "to hold it longer, change that day; ") if sale.until else ("", "")
        over = f"if it came to nothing, write `hold {name} --over` first"
        rest = [one for one in sale.animals if one not in animals]
        died = [one for one in rest if records.collection.animals[one].dead]
        if died:
            over = (
                f"with {join_and(died)}, which died; what is agreed anew is written there by hand: `animals`, `agreed`, and in `payments`"
                f" what stays paid; {over}"
            )
        theirs = deposit is not None and set(animals) <= set(sale.animals) and (buyer is None or buyer == sale.buyer)
        pay = f"`paid {','.join(animals)} {plain_amount(deposit or Fraction(0))} --on {on}` writes a deposit into it; "
        said = f"'{name}' is held{whom}{term} here; {pay if theirs else ''}{longer}{over}"
        raise cannot_write(sale.place.file, said, sale.place.line)
    payments = () if deposit is None else (Payment(When.day(on), deposit),)
    last = When.day(until) if until else None
    made = Sale(tuple(animals), Place(""), buyer, agreed, When.day(on), last, deposit, payments)
    return _appended(records, on, made)


def write_paid(
    records: Records, animals: Sequence[str], amount: Fraction, *, on: date, judge: Callable[[Sequence[Problem]], None]
) -> WrittenFile:
    """Writes a payment into the sale of these animals. `judge` raises RecordsError when more than the price would be paid."""
    current = [one for one in _with_all(records, animals) if one.returned is None and not one.over_on()]
    sale = _one(animals, current, "`hold` or `sold` begins one")
    judge(over_price(records.collection, sale.animals, sale.paid() + amount, sale.agreed))
    payment = Payment(When.day(on), amount)
    found = standing(records.folder, sale.place.file)
    table = table_at(composed(found.text, found.file)[0], sale.place)
    written = None if table is None else table.get("payments")
    if isinstance(written, Items) and written:
        added = items_into(found, sale.place, "payments", written, [_written(payment)])
    elif written is None:
        added = keys_into(found, sale.place, {"payments": [_written(payment)]})
    else:
        raise cannot_write(found.file, f"`payments` is no list of payments here; {BY_HAND}", sale.place.line)
    return put_in(records.folder, found, *added)


def over_price(
    collection: Collection, animals: Sequence[str], paid: Fraction, agreed: Fraction | None
) -> tuple[Problem, ...]:
    """What is odd where more is paid than was agreed, or, where nothing was, than the animals' records ask."""
    asked = [price for name in animals if (price := amount_of(collection.animals[name].price)) is not None]
    if agreed is None and len(asked) < len(animals):
        return ()
    price, how = (agreed, "agreed") if agreed is not None else (sum(asked, Fraction(0)), "asked in the records")
    if paid <= price:
        return ()
    said = f"the payments would add up to {plain_amount(paid)}, more than the {plain_amount(price)} {how}; look at both"
    return (Problem.at(COMMAND_LINE, "paid-over", said, "warning"),)


def write_open(
    records: Records, animals: Sequence[str], *, on: date | None, sold: bool, **asked: object
) -> WrittenFile | None:
    """Adds to a hold, or a sale that is handed over, what was left open of it; None where nothing is asked that is open there.

    `asked`: fields of a Sale. `on`: the day, where it was said: of another one, another happening is meant.
    """
    given = {key: value for key, value in asked.items() if value is not None}
    for sale in _with_all(records, animals):
        begun = sale.handed_over or sale.held
        same = len(sale.animals) == len(animals) and (sale.handed_over is not None) == sold and not sale.over_on()
        same &= sale.returned is None and (on is None or begun == When.day(on))
        if given and same and all(getattr(sale, key) is None for key in given):
            return _with_keys(records, sale, replace(sale, **given))
    return None


def write_returned(records: Records, animals: Sequence[str], *, on: When, refund: Fraction | None) -> WrittenFile:
    """Writes that what was sold came back. `refund`: what the buyer got back of the money."""
    sold = [sale for sale in _with_all(records, animals) if sale.handed_over is not None and sale.returned is None]
    sale = _one(
        animals, sold, "only what was handed over comes back; `moved --back` is for a loan, `paid --back` for a hold"
    )
    wanted = replace(sale, returned=on, refund=sale.refund if refund is None else refund)
    _refuse_part(sale, animals, wanted)
    _refuse_before(on.last, "it was handed over", sale.handed_over)
    _refuse_refund(sale, refund)
    return _with_keys(records, sale, wanted)


def came_back(private: Private, animals: Sequence[str]) -> Mapping[str, When | None]:
    """When each of them came back from its last sale; None of one that was not sold, or did not come back."""
    last = {name: sale for sale in private.sales if sale.handed_over for name in sale.animals}
    return {name: last[name].returned if name in last else None for name in animals}


def write_here_again(folder: Path, back: Iterable[tuple[Animal, When]]) -> list[WrittenFile]:
    """Writes into the own record of each animal that it came back from a sale on its day: what else stands there then holds again."""
    return _write(folder, [_Step(animal, {"came": {"how": "returned", "on": str(on)}}) for animal, on in back])


def write_given_up(records: Records, animals: Sequence[str], *, on: date, refund: Fraction | None) -> WrittenFile:
    """Writes that a hold came to nothing. `refund`: what went back of the money."""
    sales = _with_all(records, animals)
    gone = [str(sale.handed_over) for sale in sales if sale.handed_over and not sale.returned]
    held = [sale for sale in sales if _open(sale)]
    if gone and not held:
        raise refusal(f"{', '.join(animals)}: not on hold, but handed over on {gone[-1]}")
    return _over(records, _one(animals, held, "`hold` begins one"), animals, on, refund)


def write_refund(records: Records, animals: Sequence[str], refund: Fraction, *, on: date, said: bool) -> WrittenFile:
    """Writes what the buyer of a sale that came to nothing got back, or of what was paid beyond the price; a hold is given up with it.

    `said`: whether that day was named.
    """
    settled = [
        sale
        for sale in _with_all(records, animals)
        if sale.returned is not None or sale.handed_over is None or 0 < refund <= sale.paid_beyond
    ]
    settled = [sale for sale in settled if sale.refund is None] or settled
    sale = _one(
        animals,
        settled,
        "only a hold, a sale that came back, or what was paid beyond a price is settled so",
    )
    if _open(sale):
        if sale.until is not None and sale.until.last >= on and refund < sale.paid():
            whose = ", ".join(animals)
            raise refusal(
                f"the hold lasts until {sale.until}; if it came to nothing, write `hold {whose} --over --refund {plain_amount(refund)}`;"
                " where too much was paid and went back, lower the payment by hand"
            )
        return _over(records, sale, animals, on, refund)
    if said:
        message = "of what came back, was given up or was paid beyond the price, the refund is written without a day; leave --on out"
        raise refusal(message)
    _refuse_refund(sale, refund)
    return _with_keys(records, sale, replace(sale, refund=refund))


def _over(records: Records, sale: Sale, animals: Sequence[str], on: date, refund: Fraction | None) -> WrittenFile:
    wanted = replace(sale, given_up=When.day(on), refund=refund)
    _refuse_part(sale, animals, wanted)
    _refuse_before(on, "it was held", sale.held)
    _refuse_refund(sale, refund)
    return _with_keys(records, sale, wanted)


def _refuse_part(sale: Sale, animals: Sequence[str], wanted: Sale) -> None:
    """Refuses what is to be written of some animals of a sale alone: the money is for all of them, and only people know its parts.

    `wanted`: the sale as it would be written of all. The lines that make two of it are told.
    """
    others = [name for name in sale.animals if name not in animals]
    if not others:
        return
    money = {"agreed": sale.agreed, "deposit": sale.deposit, "payments": sale.payments or None, "refund": sale.refund}
    parts = [f"`{key}`" for key, written in money.items() if written is not None]
    alone = replace(wanted, animals=tuple(animals), agreed=None, deposit=None, payments=(), refund=None)
    are = "is" if len(animals) == 1 else "are"
    said = (
        f"{', '.join(animals)} {are} in this sale together with {', '.join(others)}; make two of it by hand: here"
        f" `animals: {flow(others)}`, and as another sale `- {flow(_record(alone))}`"
    )
    if parts:
        said += f"; part {join_and(parts)} between the two, as only you know how"
    raise cannot_write(sale.place.file, said, sale.place.line)


def _refuse_refund(sale: Sale, refund: Fraction | None) -> None:
    if refund is None:
        return
    before, paid = sale.refund, sale.paid()
    total = plain_amount(refund + (before or 0))
    if refund + (before or 0) > paid:
        said = f"{plain_amount(paid)} was paid by this sale, less than {total}; look at its `payments`"
    elif before is not None:
        more = plain_amount(refund)
        said = (
            f"`refund` is {plain_amount(before)} in this sale; if {more} more went back, write `refund: {total}` there"
        )
    else:
        return
    raise cannot_write(sale.place.file, said, sale.place.line)


def _with_all(records: Records, animals: Sequence[str]) -> list[Sale]:
    return [sale for sale in records.private.sales if set(animals) <= set(sale.animals)]


def _one(animals: Sequence[str], found: Sequence[Sale], otherwise: str) -> Sale:
    """The one sale that is meant."""
    if len(found) == 1:
        return found[0]
    names = ", ".join(animals)
    if not found:
        raise refusal(f"sales/ has no sale of {names} that this fits; {otherwise}")
    places = ", ".join(f"{sale.place.file} line {sale.place.line}" for sale in found)
    raise refusal(f"several sales of {names} may be meant ({places}); write it there by hand")


def write_sold(
    records: Records,
    animals: Sequence[str],
    *,
    on: date,
    buyer: str | None = None,
    agreed: Fraction | None = None,
    how: str | None = None,
) -> WrittenFile:
    """Writes that animals, by their present ids, were handed over on a day. Raises RecordsError, and writes nothing, on any doubt."""
    all_here(records.collection, animals, on)
    held = _open_with(records, animals)
    if len(held) > 1:
        held = _open_with(records, animals, on) or held
    made = Sale(tuple(animals), Place(""), buyer, agreed, handed_over=When.day(on), how=how)
    return _into_hold(records, held, made) if held else _appended(records, on, made)


def _open(sale: Sale) -> bool:
    return sale.handed_over is None and sale.returned is None and not sale.over_on()


def _open_with(records: Records, animals: Sequence[str], on: date = date.min) -> list[Sale]:
    """The holds that any of these animals stand in, but for those that ended before a day with nothing paid."""
    held = [sale for sale in records.private.sales if set(sale.animals) & set(animals) and _open(sale)]
    return [sale for sale in held if sale.until is None or sale.until.last >= on or sale.paid() > 0]


def _into_hold(records: Records, held: Sequence[Sale], made: Sale) -> WrittenFile:
    """Adds the hand-over to the one sale that holds the animals of the sale that is `made`, and no others."""
    sale, animals = held[0], made.animals
    place = sale.place
    if len(held) > 1:
        places = " and ".join(f"{one.place.file}, line {one.place.line}" for one in held)
        remedy = BY_HAND if len(animals) == 1 else "write `sold` of the animals of each by themselves"
        raise cannot_write(place.file, f"several sales hold these animals: {places}; {remedy}", place.line)
    if not set(animals) <= set(sale.animals):
        alone = ", ".join(name for name in animals if name not in sale.animals)
        said = f"this hold is not of {alone}; write `sold` of the one and of the other by themselves"
        raise cannot_write(place.file, said, place.line)
    if made.handed_over is not None:
        _refuse_before(made.handed_over.last, "it was held", sale.held)
    asked = {key: getattr(made, key) for key in ("handed_over", "buyer", "agreed", "how")}
    over = replace(sale, **{key: value for key, value in asked.items() if value is not None})
    _refuse_part(sale, animals, over)
    for key, value in asked.items():
        written = getattr(sale, key)
        if value is not None and written is not None and value != written:
            shown = plain_amount(written) if isinstance(written, Fraction) else written
            over_first = f"if the hold came to nothing, write `hold {', '.join(animals)} --over` first"
            said = f"`{key}` is '{shown}' in this hold; leave it out, or correct it there; {over_first}"
            raise cannot_write(place.file, said, place.line)
    return _with_keys(records, sale, over)


_KEYS = (
    *("animals", "buyer", "agreed", "held", "until", "deposit", "payments"),
    *("handed_over", "how", "returned", "given_up", "refund"),
)
"""The keys of a sale that these commands write."""


def _record(sale: Sale) -> dict[str, Value]:
    """A sale as these commands write it."""
    written = ((key, _written(getattr(sale, key))) for key in _KEYS)
    return {key: value for key, value in written if value}


def _written(value: object) -> Value:
    if isinstance(value, tuple):
        return [_written(one) for one in value]
    if isinstance(value, Payment):
        return {"on": str(value.on), "amount": plain_amount(value.amount)}
    return plain_amount(value) if isinstance(value, Fraction) else "" if value is None else str(value)


def _with_keys(records: Records, sale: Sale, wanted: Sale) -> WrittenFile:
    """Adds to a sale what is `wanted` of it besides, the hand-over first."""
    found, before, after = standing(records.folder, sale.place.file), _record(sale), _record(wanted)
    keys = {key: after[key] for key in ("handed_over", *after) if key in after and key not in before}
    return put_in(records.folder, found, *keys_into(found, sale.place, keys))


def _appended(records: Records, on: date, made: Sale) -> WrittenFile:
    file, record = f"sales/{on.year:04d}.yaml", _record(made)
    found = original(records.folder, file)
    if found is None:
        return create(records.folder, file, item(record))
    return append_item(records.folder, found, record, "sale")
