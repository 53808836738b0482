"""Small drawings for the desk: how a male worked in 30 days, and how an animal's weight went; and the page of weights.

The drawings are SVG by classes, without inline style.

Classes: `work` and `weigh` (the svg); `work-day` (ticks), `work-week` (week lines), `work-stay` (days with a female), `work-lock`
(a lock seen), `work-refused` (a meal refused), `chart-text`; `weigh-line`, `weigh-point`, `weigh-base`.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from fractions import Fraction

from markupsafe import Markup
from msgspec import Struct

from clutchlight.desk.pages import LARGE, WEIGHTS, DeskFraming, DeskPage, cautions
from clutchlight.desk.season import Season, Weighing, Weights, groups
from clutchlight.desk.sentences import called, lost, short_day, short_on, short_when, span, weighing
from clutchlight.drawing.markup import element, picture, words
from clutchlight.model.private import LogRow, plain_number
from clutchlight.planning.readiness import NOBODY_LAID, Laid
from clutchlight.planning.rotation import Stay, stays
from clutchlight.wording.words import plural

DAYS = 30
CELL = 11
LANE = 18
SIZE = 11


class WeighView(Struct, frozen=True):
    name: str
    now: str
    change: str
    chart: Markup | None
    rows: tuple[str, ...]


def work_chart(
    rows: Sequence[LogRow], male: str, name: str, day: date, prefix: str, laid: Laid = NOBODY_LAID
) -> Markup:
    """The 30 days to `day`: a bar for each stay with a female, a dot for each lock, a cross for each meal refused."""
    first = day - timedelta(days=DAYS - 1)
    seen = [stay for stay in stays(rows, male, day, laid) if stay.open_ or stay.last >= first]
    shown = [row for row in rows if row.on.exact and first <= row.day <= day]
    locks = [row for row in shown if row.event == "lock"]
    refused = [row for row in shown if row.event == "refused" and row.animal == male]

    def at(on: date) -> int:
        return max(0, (on - first).days) * CELL + 1

    drawn: list[str] = []
    for number in range(DAYS):
        on = first + timedelta(days=number)
        week = (day - on).days % 7 == 0
        tick = f"M{at(on) + CELL // 2} {LANE - 5}v{5 if week else 3}"
        drawn.append(_shape("path", "work-week" if week else "work-day", d=tick, stroke="currentColor"))
        if week and (day - on).days:
            drawn.append(_text(short_day(on, day), at(on) + CELL // 2, LANE * 2 + 3, "middle"))
    drawn.append(_text("today", at(day) + CELL - 1, LANE * 2 + 3, "end"))
    for stay in seen:
        start = at(stay.first)
        width = max(CELL - 1, at(_last_day(stay, day)) + CELL - 1 - start)
        drawn.append(_shape("rect", "work-stay", x=start, y=3, width=width, height=9, rx=2, fill="currentColor"))
    for row in locks:
        drawn.append(_shape("circle", "work-lock", cx=at(row.day) + CELL // 2, cy="7.5", r="2.4", fill="Canvas"))
    for row in refused:
        cross = f"M{at(row.day) + 2} {LANE + 1}l6 6m0 -6l-6 6"
        drawn.append(_shape("path", "work-refused", d=cross, stroke="currentColor", stroke_width="1.6"))
    said = [*_stays_in_words(seen, locks, first, day)]
    if refused:
        said.append(f"refused a meal {', '.join(short_day(row.day, day) for row in refused)}")
    size, title = (DAYS * CELL + 2, LANE * 2 + 7), f"{name}, the {DAYS} days to {short_day(day, day)}"
    drawing = picture(prefix, "work", "img", size, title, "; ".join(said) or "not paired", (), *drawn)
    return Markup(drawing.svg)  # noqa: S704 - drawn here, texts escaped


def _stays_in_words(seen: Sequence[Stay], locks: Sequence[LogRow], first: date, day: date) -> Iterator[str]:
    for stay in seen:
        last = _last_day(stay, day)
        locked = sum(max(stay.first, first) <= row.day <= last for row in locks)
        ending = f", {plural(locked, 'lock')}" if locked else ""
        yield f"with {stay.female} {span(stay.first, last, day)}{ending}"


def _last_day(stay: Stay, day: date) -> date:
    """The last day of a stay; today where she is with him still."""
    return day if stay.open_ else stay.last


WIDTH, HEIGHT = 300, 66
LEFT, RIGHT, TOP, BOTTOM = 8, 52, 20, 18
SEASON = timedelta(days=200)


def weight_chart(points: Sequence[Weighing], name: str, today: date, prefix: str) -> Markup:
    """The weighings as a line over the calendar, the least and the greatest filling the height; first and last with their figure.

    Those of the last 200 days where there are two or more, so that a season is not squeezed into a corner; else all.
    """
    recent = [point for point in points if today - point.on.last <= SEASON]
    points = recent if len(recent) > 1 else points
    days = [on.last for on, _ in points]
    numbers = [number for _, number in points]
    low, high = min(numbers), max(numbers)
    whole = max(1, (days[-1] - days[0]).days)

    def x(on: date) -> int:
        return LEFT + round((WIDTH - LEFT - RIGHT) * (on - days[0]).days / whole)

    def y(number: Fraction) -> int:
        share = Fraction(1, 2) if high == low else Fraction(number - low, high - low)
        return round(TOP + (HEIGHT - TOP - BOTTOM) * (1 - share))

    places = [(x(on.last), y(number)) for on, number in points]
    line = "M" + "L".join(f"{left} {top}" for left, top in places)
    base = f"M{LEFT} {HEIGHT - BOTTOM + 4}H{WIDTH - RIGHT}"
    said = "; ".join(f"{short_when(on, today)}: {plain_number(number)} g" for on, number in points)
    drawing = picture(
        prefix,
        "weigh",
        "img",
        (WIDTH, HEIGHT),
        f"Weight of {name}",
        said,
        (),
        _shape("path", "weigh-base", d=base, stroke="currentColor", stroke_opacity="0.3"),
        _shape("path", "weigh-line", d=line, stroke="currentColor", stroke_width="2"),
        *(_shape("circle", "weigh-point", cx=left, cy=top, r="2.6", fill="currentColor") for left, top in places),
        _text(f"{plain_number(numbers[0])} g", LEFT - 4, places[0][1] - 7, "start"),
        _text(f"{plain_number(numbers[-1])} g", WIDTH - RIGHT + 7, places[-1][1] + 4, "start"),
        _text(short_when(points[0].on, today), LEFT - 4, HEIGHT - 3, "start"),
        _text(short_when(points[-1].on, today), WIDTH - RIGHT + 7, HEIGHT - 3, "end"),
    )
    return Markup(drawing.svg)  # noqa: S704 - drawn here, texts escaped


def _shape(name: str, kind: str, **attributes: str | int) -> str:
    return element(name, {"class": kind, **{key.replace("_", "-"): value for key, value in attributes.items()}})


def _text(text: str, x: int, y: int, anchor: str) -> str:
    return element(
        "text",
        {"class": "chart-text", "x": x, "y": y, "font-size": SIZE, "text-anchor": anchor, "fill": "currentColor"},
        words(text),
    )


def weights_page(framing: DeskFraming) -> DeskPage:
    season = framing.season
    runs = {run.animal: run for run in season.weights}
    numbers = itertools.count(1)
    shown = []
    for heading, animals in groups(season):
        names = sorted(animal.id for animal in animals if animal.id in runs)
        shown.append((heading, tuple(_weights(season, runs[name], f"weight-{next(numbers)}") for name in names)))
    return framing.page(
        WEIGHTS,
        "Weights",
        "Every line is drawn to its own height, from the animal's least weight to its greatest: compare the figures, not the slopes.",
        groups=tuple((heading, animals) for heading, animals in shown if animals),
        cautions=cautions(season.collection, ("weight", "feeding"), (LARGE,)),
    )


def _weights(season: Season, run: Weights, prefix: str) -> WeighView:
    name = called(season.collection, run.animal)
    return WeighView(
        name,
        weighing(run.points[-1], season.day),
        _change(season, run),
        weight_chart(run.points, name, season.day, prefix) if len(run.points) > 1 else None,
        tuple(f"{short_when(on, season.day)}: {plain_number(number)} g" for on, number in reversed(run.points)),
    )


def _change(season: Season, run: Weights) -> str:
    """Against the greatest weight since she last laid; where that is the last, against the first: "down 12% from 644 g on 11 Oct"."""
    begun, last = run.points[0].on.first, run.points[-1].on.first
    laid = [on for on in season.laid.get(run.animal, ()) if begun <= on < last]
    points = [point for point in run.points if not laid or point.on.first > max(laid)]
    since = f"since she laid on {short_day(max(laid), season.day)}: " if laid else ""
    if len(points) < 2:
        return f"{since}the first weighing"
    first, now = points[0], points[-1].grams
    top = max(points, key=lambda point: (point.grams, point.on))
    if now == top.grams == first.grams:
        return f"{since}the same as {short_on(first.on, season.day)}"
    if now == top.grams:
        return f"{since}up from {weighing(first, season.day)}"
    flags = (flag for male in season.males if male.animal == run.animal for flag in male.flags if flag.kind == "weight")
    limit = next((flag.limit.value for flag in flags), Fraction(1))
    return f"{since}{lost(top.grams - now, top, season.day, limit)}"
