"""Timelines for pages: what was recorded, before → after, with a step drawing of every figure that moved."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from clutchlight import diagrams
from clutchlight.diagrams import StepPoint
from clutchlight.statements import day_words
from clutchlight.statements.courses import Course
from clutchlight.statements.timelines import TimelineRow
from clutchlight.statements.words import percent, percent_text
from clutchlight.website.context import Context
from clutchlight.website.parts import Drawing, Timeline, TimelineEntry


def animal_timeline(context: Context, page: str, animal: str) -> Timeline | None:
    """None where there is nothing but a hatching without a figure."""
    rows = context.past.animals.get(animal, ())
    if not any(row.figures for row in rows):
        return None
    courses = context.past.changes.courses.get(animal, ())
    drawings = context.of_its_like("steps", page, animal, lambda: tuple(_drawings(courses)))
    return Timeline(_entries(context, page, rows), drawings)


def clutch_timeline(context: Context, page: str, clutch: str) -> Timeline | None:
    """A clutch has no figure of its own, and so no drawing."""
    rows = context.past.clutches.get(clutch, ())
    return Timeline(_entries(context, page, rows), ()) if rows else None


def _entries(context: Context, page: str, rows: Sequence[TimelineRow]) -> tuple[TimelineEntry, ...]:
    return tuple(context.once("entry", page, row, partial(_entry, context, page, row)) for row in rows)


def _entry(context: Context, page: str, row: TimelineRow) -> TimelineEntry:
    return TimelineEntry(
        when=day_words.when(row.on) if row.on else "Before any date",
        what=context.linked(page, row.what),
        figures=context.all_linked(page, row.figures),
    )


def _drawings(courses: Sequence[Course]) -> Iterator[Drawing]:
    moving = [course for course in courses if len({moment.carries for moment in course.moments}) > 1]
    for number, course in enumerate(moving, start=1):
        points = tuple(
            StepPoint(
                date=day_words.short(moment.on) if moment.on else "at first",
                percent=percent(moment.carries),
                words=moment.cause
                or ("at its hatching" if moment.on else "at first, by its look and what was said of it"),
                said=percent_text(moment.carries),
            )
            for moment in course.moments
        )
        yield Drawing(_steps, (points, f"{course.trait}, step by step", f"steps-{number}"))


def _steps(points: tuple[StepPoint, ...], title: str, prefix: str) -> tuple[str, tuple[str, ...]]:
    drawn = diagrams.steps(points, title, prefix)
    return drawn.svg, (drawn.words,)
