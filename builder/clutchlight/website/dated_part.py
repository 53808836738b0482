"""Dated records for pages: when a statement was frozen, under which code, how it reads today, and where its card is."""

from __future__ import annotations

from clutchlight.model import Animal, Clutch
from clutchlight.model.ledger import DatedRecord
from clutchlight.statements import day_words
from clutchlight.statements.dated_records import said_words
from clutchlight.website import addresses
from clutchlight.website.context import Context
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


def has_card(animal: Animal) -> bool:
    """A card goes with an animal at hand-over: those that left have theirs, and those that stay or were never here need none."""
    if animal.left is not None or animal.status in ("breeder", "holdback", "elsewhere"):
        return False
    return animal.clutch is not None or animal.status in ("available", "on hold", "sold")


def young_with_cards(context: Context, clutch: Clutch) -> list[Animal]:
    """The young of a clutch that have a page and a card."""
    young = [context.collection.animals[key] for key in clutch.young if context.has_page(key)]
    return [animal for animal in young if has_card(animal)]


def card_link(context: Context, page: str, animal: Animal) -> Link | None:
    """The card with its clutch, or its own for one from no recorded clutch."""
    if not has_card(animal):
        return None
    card = f"{addresses.clutch_cards(animal.clutch)}#{animal.id}" if animal.clutch else addresses.animal_card(animal.id)
    return Link("The card to print", addresses.link(page, card))
