"""The page of changes: every change of a published figure, newest first, under the day of the record that caused it."""

from __future__ import annotations

from itertools import groupby

from clutchlight.statements import day_words
from clutchlight.statements.changes import Change
from clutchlight.website import addresses
from clutchlight.website.context import Context
from clutchlight.website.frames import Framing
from clutchlight.website.pages import ChangesPage
from clutchlight.website.parts import ChangeDay, ChangeItem, Link


def changes_page(framing: Framing) -> ChangesPage:
    context = framing.context
    page = addresses.CHANGES
    days = groupby(context.past.changes.newest_first, key=lambda change: change.on)
    return ChangesPage(
        frame=framing.frame(
            page,
            "What changed",
            "Every figure on this site that a later record changed, newest first, with what changed it.",
            feed=addresses.CHANGES_FEED,
        ),
        days=tuple(_day(context, page, day_words.day(day), list(changes)) for day, changes in days),
        feed=Link("As a feed for a news reader (Atom)", addresses.link(page, addresses.CHANGES_FEED)),
    )


def _day(context: Context, page: str, heading: str, changes: list[Change]) -> ChangeDay:
    return ChangeDay(
        heading,
        tuple(_item(context, page, change) for change in changes if not change.small),
        tuple(_item(context, page, change) for change in changes if change.small),
    )


def _item(context: Context, page: str, change: Change) -> ChangeItem:
    return ChangeItem(
        animal=context.name(page, change.animal),
        before=change.before_words,
        after=context.linked(page, change.after_words),
        cause=context.linked(page, change.cause),
        why=context.linked(page, change.why),
    )
