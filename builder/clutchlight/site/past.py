"""Dated records for pages: when a statement was frozen, under which code, how it reads today, and where its card is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from clutchlight import drawing
from clutchlight.drawing import StepPoint
from clutchlight.ledger.dated_records import said_words
from clutchlight.model import Animal, Clutch
from clutchlight.model.as_published import is_unlisted
from clutchlight.model.ledger import DatedRecord
from clutchlight.site import addresses
from clutchlight.site.context import Context
from clutchlight.site.parts import DatedLine, Drawing, Link, Timeline, TimelineEntry
from clutchlight.statements.changes import Course, Moment
from clutchlight.statements.timelines import TimelineRow
from clutchlight.wording import day_words
from clutchlight.wording.words import percent, percent_text

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
    if animal.away is not None or animal.status in ("breeder", "holdback", "elsewhere"):
        return False
    return animal.clutch is not None or animal.status in ("available", "on hold", "sold")


def young_with_cards(context: Context, clutch: Clutch) -> list[Animal]:
    """The young of a clutch that have a page and a card."""
    young = [context.collection.animals[key] for key in clutch.young if context.has_page(key)]
    return [animal for animal in young if has_card(animal)]


def card_link(context: Context, page: str, animal: Animal) -> Link | None:
    """The card with its clutch, or its own for one from no clutch with a page."""
    if not has_card(animal):
        return None
    if animal.clutch and context.has_clutch_page(animal.clutch):
        card = f"{addresses.clutch_cards(animal.clutch)}#{animal.id}"
    else:
        card = addresses.animal_card(animal.id)
    return Link("The card to print", addresses.link(page, card))


def timeline_of_animal(context: Context, page: str, animal: str) -> Timeline | None:
    """None where there is nothing but a hatching without a figure."""
    rows = context.past.animals.get(animal, ())
    if not any(row.figures for row in rows):
        return None
    courses = context.past.changes.courses.get(animal, ())
    drawings = context.of_its_like("steps", page, animal, lambda: tuple(_drawings(courses)))
    return Timeline(_entries(context, page, rows), drawings)


def timeline_of_clutch(context: Context, page: str, clutch: str) -> Timeline | None:
    """A clutch has no figure of its own, and so no drawing."""
    rows = context.past.clutches.get(clutch, ())
    return Timeline(_entries(context, page, rows), ()) if rows else None


def _entries(context: Context, page: str, rows: Sequence[TimelineRow]) -> tuple[TimelineEntry, ...]:
    return tuple(context.once("entry", page, row, partial(_entry, context, page, row)) for row in rows)


def _entry(context: Context, page: str, row: TimelineRow) -> TimelineEntry:
    return TimelineEntry(
        when=(day_words.when(row.on) if row.dated else "Without a day") if row.on else "Before any date",
        what=context.linked(page, row.what),
        figures=context.all_linked(page, row.figures),
    )


def _drawings(courses: Sequence[Course]) -> Iterator[Drawing]:
    moving = [course for course in courses if len({moment.carries for moment in course.moments}) > 1]
    for number, course in enumerate(moving, start=1):
        points = tuple(
            StepPoint(
                date=_when(moment),
                percent=percent(moment.carries),
                words=moment.cause
                or ("at its hatching" if moment.when else "at first, by its look and what was said of it"),
                said=percent_text(moment.carries) if moment.carries else "nothing said",
            )
            for moment in course.moments
        )
        yield Drawing(drawing.steps, (points, f"{course.trait}, step by step", f"steps-{number}"))


def _when(moment: Moment) -> str:
    if moment.event is None or moment.when is None:
        return "at first"
    return "without a day" if is_unlisted(moment.event.subject) else day_words.short_when(moment.when)
