"""The page of people: whom to tell, holds, balances, hand-overs and loans; and a paper for each sale, to print and sign: who, which
animals, what is said of them, what they ate and weighed, the money, the terms.

The paper goes to the buyer: no other buyer, no note of the log or the sale, and no parent that is not listed stands on it. A sale that
was over for a year has none any more, unless money is open.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from urllib.parse import quote

from msgspec import Struct

from clutchlight.desk import sentences
from clutchlight.desk.buyers import ToldChange, ToTell, changed_since_hand_over, with_names
from clutchlight.desk.notices import all_told, nobody_to_tell
from clutchlight.desk.pages import MOVING, PEOPLE, DeskFraming, DeskLine, DeskPage, cautions
from clutchlight.desk.season import Season
from clutchlight.model import Animal
from clutchlight.model.private import MEALS, OFFERS, SHEDS, LogRow, Sale, plain_number
from clutchlight.planning.keeping import worth_a_look
from clutchlight.planning.sales import HandOver, lost_all
from clutchlight.reading.species_files import Rule, facts_of
from clutchlight.site import addresses
from clutchlight.site.parts import Fact, NavLink
from clutchlight.statements import keeping
from clutchlight.statements.animals import parents_of
from clutchlight.wording import day_words, words

KEPT_FOR = timedelta(days=365)
MOST_ROWS = 12
"""So many weights and so many lines of the feeding record are printed of one animal, the newest."""


class TellView(Struct, frozen=True):
    """A buyer to tell. `mail`: opens a mail with the message in it, without an address. `apart`: its id, where the sale has others."""

    buyer: str
    animal: str
    since: str
    changes: tuple[ToldChange, ...]
    message: str
    mail: str
    apart: str


class SaleView(Struct, frozen=True):
    """One line about a sale: which animals, whose, what there is to say, and what else to know."""

    animals: str
    buyer: str
    text: str
    strong: bool
    more: tuple[str, ...] = ()


class PaperAnimal(Struct, frozen=True):
    """An animal on the paper of its sale: `said`: its line of an advert; `in_all`: its feeding and sheds counted.

    `then`: what was said otherwise when it was handed over, and `code`, that of the record dated that day; () and "" where nothing was.
    """

    name: str
    said: str
    then: tuple[str, ...]
    code: str
    facts: tuple[Fact, ...]
    weights: tuple[str, ...]
    eaten: tuple[str, ...]
    in_all: str


# The papers


def papers(season: Season) -> Mapping[str, Sale]:
    """The sales that have a paper, by its address, the newest first."""
    found: dict[str, Sale] = {}
    begun = [sale for sale in season.private.sales if sale.begun_on(season.day)]
    for sale in sorted(begun, key=lambda one: (one.begun.last if one.begun else date.min, one.place)):
        address, number = f"sale-{sale.animals[0]}.html", 1
        while address in found:
            number += 1
            address = f"sale-{sale.animals[0]}.{number}.html"
        found[address] = sale
    recent, unpaid = season.day - KEPT_FOR, [one.sale for one in season.balances]
    return {
        address: sale
        for address, sale in reversed(found.items())
        if (over := sale.returned or sale.handed_over or sale.given_up) is None or over.last >= recent or sale in unpaid
        if not sale.over_on(season.day) or sale.payments or sale.deposit
    }


def paper_page(framing: DeskFraming, address: str, sale: Sale) -> DeskPage:
    season = framing.season
    settings = season.collection.settings
    animals = [season.collection.animals[name] for name in sale.animals]
    called = sentences.animals_of(season.collection, sale.animals)
    species = (season.collection.species[animal.species] for animal in animals)
    rules = (f"{rule.name}: {rule.text}" for one in species for rule in facts_of(one, Rule))
    over = sale.over_on(season.day) or sale.back_on(season.day)
    lost = over or (sale.handed_over is None and lost_all(season.collection, sale))
    return framing.page(
        address,
        f"Receipt: {called}" if lost else f"Receipt and hand-over paper: {called}",
        template="sale_paper.html",
        under=PEOPLE,
        seller=(settings.name, *(text for _, text in sorted(settings.contact.items()))),
        buyer=sale.buyer or "",
        day=sentences.long_day(season.day),
        animals=tuple(_animal(season, sale, animal) for animal in animals),
        money=tuple(_money(season, sale)),
        receipt=_receipt(season, sale),
        dates=tuple(_dates(sale)),
        terms=tuple(words.sentence(text) for text in (*((sale.terms,) if sale.terms else ()), *settings.terms)),
        rules=tuple(dict.fromkeys(rules)),
        cautions=cautions(season.collection, ("hygiene",)),
        handing="paid back by" if lost else "handed over by",
        signing="at the hand-over" if not lost else "" if sale.refund == 0 else "if money is paid back",
    )


def _animal(season: Season, sale: Sale, animal: Animal) -> PaperAnimal:
    said = season.sources.statements.animals[animal.id]
    ledger, handed = season.sources.ledger, sale.handed_over
    then = changed_since_hand_over(season.sources.telling, ledger, sale, animal, season.day)
    dated = [one for one in ledger.of(*animal.was, animal.id) if handed and one.on == handed.last]
    rows = [row for row in season.private.log if row.animal == animal.id and row.day <= season.day]
    eaten = [row for row in rows if row.event in (*OFFERS, *SHEDS)]
    weights = [
        f"{day_words.short_when(row.on)}: {plain_number(row.weight)} g"
        for row in reversed(rows)
        if row.weight is not None
    ]
    return PaperAnimal(
        sentences.called(season.collection, animal.id),
        said.advert,
        tuple(_read_then(then)),
        dated[-1].short_code if then and dated else "",
        tuple(_facts(season, animal)),
        tuple(weights[:MOST_ROWS]),
        tuple(
            f"{day_words.short_when(row.on)}: {row.event}{f', {row.value}' if row.value else ''}"
            for row in reversed(eaten[-MOST_ROWS:])
        ),
        _in_all(eaten),
    )


def _read_then(changes: Sequence[ToldChange]) -> Iterator[str]:
    """What was said before each change; a trait that the look tells is left to the look."""
    about = {one.about for one in changes}
    for one in changes:
        if one.before != one.about or "look" not in about:
            yield one.before if one.about in one.before else f"{one.about}: {one.before}"


def _in_all(rows: list[LogRow]) -> str:
    """ "On record: 14 meals, 3 sheds and 1 refusal."."""
    counts = (
        (sum(row.event in MEALS for row in rows), "meal"),
        (sum(row.event == "assisted" for row in rows), "assisted meal"),
        (sum(row.event in SHEDS for row in rows), "shed"),
        (sum(row.event == "refused" for row in rows), "refusal"),
    )
    found = [words.plural(number, word) for number, word in counts if number]
    if not found:
        return "No meal and no shed is on record."
    return words.sentence(f"on record: {words.join_and(found)}")


def _facts(season: Season, animal: Animal) -> Iterator[Fact]:
    telling, settings = season.sources.telling, season.collection.settings
    species = season.collection.species[animal.species]
    yield Fact("Species", f"{species.heading} ({species.scientific_name})")
    if animal.name:
        yield Fact("Id", animal.id)
    sexed = f", {animal.sexed.how}" if animal.sexed else ""
    yield Fact("Sex", f"{'not known' if animal.sex == 'unknown' else animal.sex}{sexed}")
    yield Fact("Hatched", day_words.when(animal.hatched) if animal.hatched else "not on record")
    if animal.dead and animal.left is not None:
        yield Fact("Died", day_words.when(animal.left.on) if animal.left.on else "day not on record")
    yield Fact("Look", season.sources.statements.animals[animal.id].looks_words)
    clutch = season.collection.clutches.get(animal.clutch or "")
    parents, dam = parents_of(telling, animal), telling.dam_of(animal)
    if parents.sires or dam:
        male = (
            words.join_or([f"{sire.probably}{with_names(telling, sire.name)}" for sire in parents.sires])
            or "not on record"
        )
        female = with_names(telling, telling.named(dam)) if dam else "a female not on record"
        said = [parents.if_one, with_names(telling, parents.by_said)]
        yield Fact("Parents", ", ".join(filter(None, (f"{male} with {female}", *said))))
    bred = "not on record" if clutch is None else "bred elsewhere" if clutch.reported_by else "bred here"
    yield Fact("Origin", animal.origin or bred)
    if settings.web_address and animal.publish == "page":
        yield Fact("Page", addresses.absolute(settings.web_address, addresses.animal(animal.id)))


def _money(season: Season, sale: Sale) -> Iterator[Fact]:
    """The price, each payment, and what they come to."""
    day, currency = season.day, season.collection.settings.currency
    if sale.agreed is not None:
        yield Fact("Price", f"{day_words.money(sale.agreed, currency)}{sentences.for_all(sale)}")
    payments = sorted((one for one in sale.payments if one.on.by(day)), key=lambda one: one.on)
    first = next((one for one in payments if one.amount == sale.deposit), None)
    if sale.deposit is not None and first is None:
        yield Fact("Deposit asked for", day_words.money(sale.deposit, currency))
    for one in payments:
        kind = "Deposit" if one is first else "Payment"
        yield Fact(f"{kind}, {day_words.when(one.on)}", day_words.money(one.amount, currency))
    if len(payments) > 1:
        yield Fact("Paid in all", day_words.money(sale.paid(day), currency))


def _receipt(season: Season, sale: Sale) -> str:
    """What was received, and what is open, to pay or to pay back."""
    paid, currency = sale.paid(season.day), season.collection.settings.currency
    received = [f"received {day_words.money(paid, currency)}"] if paid else []
    if sale.refund is not None:
        back = f"paid back {day_words.money(sale.refund, currency)}" if sale.refund else "nothing paid back"
        received = [", ".join([*received, back])]
        if not sale.paid_beyond:
            return words.sentence(received[0])
    open_ = next((one for one in season.balances if one.sale == sale), None)
    if open_ is None:
        if not received:
            return "No payment is on record."
        return words.sentence(", ".join([*received, *(["the whole price"] if sale.agreed is not None else [])]))
    money = day_words.money(abs(open_.open_), currency)
    if open_.back:
        rest = "what goes back is still to be agreed"
    elif open_.open_ < 0:
        rest = f"{money} to be paid back" if paid else f"a deposit of {money} to be paid back, if it was paid"
    else:
        rest = "to be agreed anew" if open_.lost else f"{money} still to be paid"
    return words.sentence("; ".join([*received, rest]))


def _dates(sale: Sale) -> Iterator[Fact]:
    for term, when in (
        ("Held since", sale.held),
        ("Held until", sale.until if sale.handed_over is None else None),
        ("May leave from", sale.ready_to_go if sale.handed_over is None else None),
        ("Handed over", sale.handed_over),
        ("Returned", sale.returned),
        ("Hold given up", sale.given_up),
    ):
        if when is not None:
            how = f", {sale.how}" if term == "Handed over" and sale.how else ""
            yield Fact(term, f"{day_words.when(when)}{how}")
    if sale.handed_over is None and sale.given_up is None and sale.refund is not None:
        yield Fact("Hold given up", "the day is not on record")


# The page


def people_page(framing: DeskFraming) -> DeskPage:
    season = framing.season
    collection, today, currency = season.collection, season.day, season.collection.settings.currency
    holds = []
    for one in season.holds:
        until = f"{sentences.hold(one, today)}{sentences.agreed_otherwise(collection, one.sale)}"
        holds.append(_sale(season, one.sale, until, strong=one.ended))
    worth_keeping = worth_a_look(season.sources.inference, season.private, today)
    return framing.page(
        PEOPLE,
        "People",
        "No buyer and no sum of money is in the file for the phone or on the room sheet.",
        tell=tuple(_tell(season, one) for one in season.tell),
        tell_nobody=all_told(season),
        not_known=tuple(nobody_to_tell(season)),
        holds=tuple(holds),
        balances=tuple(
            _sale(season, one.sale, sentences.balance(one, currency), strong=one.gone or one.open_ < 0, paid=True)
            for one in season.balances
        ),
        hand_overs=tuple(_hand_over(season, one) for one in season.hand_overs),
        papers=tuple(dict.fromkeys(rule for one in season.hand_overs for rule in sentences.law(one))),
        sheets=tuple(
            NavLink(f"{sentences.animals_of(collection, sale.animals)}, {sentences.buyer(sale)}", address)
            for address, sale in papers(season).items()
        ),
        loans=(
            *(DeskLine(sentences.loan(collection, one), strong=one.days_left < 0) for one in season.loans),
            *(DeskLine(sentences.shared(collection, one)) for one in season.shared),
        ),
        young_note=keeping.YOURS,
        young=tuple(keeping.in_words(side, season.sources.telling, today) for side in worth_keeping),
        cautions=(MOVING,),
    )


def _hand_over(season: Season, one: HandOver) -> SaleView:
    when = "the day of the hand-over is not set yet"
    if one.since and one.sale.ready_to_go:
        when = f"ready since {day_words.when(one.sale.ready_to_go)}"
    elif one.sale.handed_over:
        when = f"leaves {day_words.on(one.sale.handed_over)}"
    more = [f"To settle first: {text}." for text in sentences.to_settle(one)]
    more += [f"Goes along: {paper}." for paper in sentences.papers(one) if paper not in sentences.law(one)]
    return _sale(season, one.sale, when, strong=False, more=more)


def _sale(
    season: Season, sale: Sale, text: str, *, strong: bool, more: Iterable[str] = (), paid: bool = False
) -> SaleView:
    currency = season.collection.settings.currency
    notes = [*more]
    if paid and sale.payments:
        payments = sorted(sale.payments, key=lambda one: one.on)
        amounts = [f"{day_words.money(one.amount, currency)} {day_words.on(one.on)}" for one in payments]
        notes.append(f"Paid: {words.join_and(amounts)}.")
    if sale.terms:
        notes.append(f"Terms: {words.sentence(sale.terms)}")
    if sale.note:
        notes.append(f"Note: {words.sentence(sale.note)}")
    animals = sentences.animals_of(season.collection, sale.animals)
    return SaleView(animals, sentences.buyer(sale), text, strong, tuple(notes))


def _tell(season: Season, one: ToTell) -> TellView:
    subject = f"{sentences.called(season.collection, one.animal)}: news from our records"
    told = next((told.on for told in one.sale.told_of(one.animal) if told.on.last == one.since), None)
    since = told or one.sale.handed_over or one.sale.paid_on
    return TellView(
        sentences.buyer(one.sale),
        sentences.called_dead(season.collection, one.animal),
        f"{'last told' if told else 'handed over' if one.sale.handed_over else 'paid for'} {day_words.when(since) if since else ''}",
        one.changes,
        one.message,
        f"mailto:?subject={quote(subject)}&body={quote(one.message)}",
        one.animal if len(one.sale.animals) > 1 else "",
    )
