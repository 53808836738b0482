"""Dated records for pages: when a statement was frozen, under which code, how it reads today, and where its card is."""

from __future__ import annotations

from clutchlight.model import Animal
from clutchlight.model.ledger import DatedRecord
from clutchlight.statements.dated_records import said_words
from clutchlight.website import addresses, day_words
from clutchlight.website.context import Context, for_sale
from clutchlight.website.parts import DatedLine, Link

_TODAY = {
    "as stated": "Our records give the same for that day today.",
    "records": "Records added or edited since: for that day they give something else today.",
    "rules": "Rules changed: this tool or its species file is another today, and gives something else for that day.",
}


def dated_lines(context: Context, animal: str) -> tuple[DatedLine, ...]:
    """The dated records of an animal, newest first."""
    return tuple(
        DatedLine(
            when=day_words.day(row.record.on),
            code=row.record.short_code,
            said=said_words(row.record),
            today=_TODAY[row.verdict],
            differs=row.verdict != "as stated",
        )
        for row in reversed(context.past.dated.get(animal, ()))
    )


def standing_record(context: Context, animal: str) -> DatedRecord | None:
    """The dated record of what is said of an animal now; None when that has not been dated."""
    rows = context.past.dated.get(animal, ())
    if rows and rows[-1].record.digest == context.statement(animal).digest:
        return rows[-1].record
    return None


def has_own_card(animal: Animal) -> bool:
    """An animal from no recorded clutch gets a card of its own once it may change hands."""
    gone = animal.left is not None and animal.left.how in ("sold", "traded", "re-homed")
    return animal.clutch is None and (for_sale(animal) or gone)


def card_link(context: Context, page: str, animal: Animal) -> Link | None:
    """The card of an animal that hatched in a clutch here, or of one that may change hands."""
    if animal.clutch and animal.clutch in context.collection.clutches:
        return Link("The card to print", addresses.link(page, f"{addresses.clutch_cards(animal.clutch)}#{animal.id}"))
    return (
        Link("The card to print", addresses.link(page, addresses.animal_card(animal.id)))
        if has_own_card(animal)
        else None
    )
