"""The four answers that the desk gives first, in the terminal too: who is overworked, what is due, what proves most, who is ready."""

from __future__ import annotations

from fractions import Fraction

from clutchlight.desk import sentences
from clutchlight.desk.pages import DeskLine, Glance
from clutchlight.desk.season import Season
from clutchlight.model import Collection
from clutchlight.planning.readiness import BreedingReadiness
from clutchlight.wording import words


def glance(season: Season, *, people: bool = True) -> tuple[Glance, ...]:
    """The four answers that the desk gives first. `people`: whether they may name somebody."""
    return (
        Glance("overworked", "Overworked or losing weight", overworked(season), "Nobody, by what is logged."),
        Glance("due", "Due this week", due_this_week(season, people=people), "Nothing."),
        Glance(
            "proves",
            "Proves most",
            proves_most(season),
            "No planned pairing settles an open question.",
        ),
        Glance("ready", "Ready", who_is_ready(season), "Nobody on record is old and heavy enough."),
    )


def overworked(season: Season) -> tuple[DeskLine, ...]:
    """The flagged males, the most flagged first."""
    return tuple(
        DeskLine(
            sentences.called(season.collection, male.animal),
            "; ".join(flag.short for flag in sentences.flags(male, season.day)),
            strong=True,
        )
        for male in season.males
        if male.flags
    )


def who_is_ready(season: Season) -> tuple[DeskLine, ...]:
    """Planned animals that are not ready, then the ready ones of the plans by sex, then ready ones without a plan."""
    collection = season.collection
    verdicts = {one.animal: one for one in season.ready}
    flagged = {male.animal for male in season.males if male.flags}
    used = dict.fromkeys(name for one in season.planned for name in (one.plan.female, one.male))
    lines = [
        DeskLine(
            f"Not yet: {sentences.called(collection, name)}",
            f"in a plan; {sentences.ready_words(verdicts[name])}",
            strong=True,
        )
        for name in sorted(used)
        if name in verdicts and verdicts[name].verdict != "ready"
    ]
    for sex, title in (("female", "Females"), ("male", "Males")):
        ready = [
            name
            for name in sorted(used)
            if name in verdicts
            and verdicts[name].verdict == "ready"
            and name not in flagged
            and collection.animals[name].sex == sex
        ]
        if ready:
            lines.append(
                DeskLine(
                    f"{title} of the plans: {words.number(len(ready))} ready",
                    ", ".join(_call(collection, name) for name in ready),
                )
            )
    free = [
        one for one in season.ready if one.verdict == "ready" and one.animal not in used and one.animal not in flagged
    ]
    if free:
        lines.append(
            DeskLine("Ready, in no plan", ", ".join(_call(collection, one.animal) + _old(one) for one in free))
        )
    return tuple(lines)


def _call(collection: Collection, name: str) -> str:
    animal = collection.animals[name]
    return animal.name or name


def _old(one: BreedingReadiness) -> str:
    return " (weigh again)" if one.weight_is_old else ""


def due_this_week(season: Season, *, people: bool = True) -> tuple[DeskLine, ...]:
    """Overdue and this week's windows, holds and loans that end."""
    collection, today = season.collection, season.day
    lines = [
        DeskLine(sentences.due_what(collection, item), sentences.due_when(item, today), strong=item.state == "overdue")
        for item in season.due
        if item.state != "later"
    ]
    lines += [
        DeskLine(
            f"Hold on {sentences.animals_of(collection, one.sale.animals)}",
            sentences.hold(one, today),
            strong=one.days_left < 0,
        )
        for one in season.holds
        if one.days_left is not None and one.days_left <= 6
    ]
    lines += [
        DeskLine(sentences.loan(collection, one, people=people), strong=one.days_left < 0)
        for one in season.loans
        if one.days_left <= 6
    ]
    return tuple(lines)


def proves_most(season: Season) -> tuple[DeskLine, ...]:
    """The planned pairing that settles most, and the best pair of ready animals that nobody planned, if it settles more."""
    collection = season.collection
    lines = []
    best = next((one for one in season.planned if one.pair is not None and one.pair.settled), None)
    if best is not None and best.pair is not None:
        lines.append(
            DeskLine(
                sentences.pair_name(collection, best.male, best.plan.female),
                sentences.telling_most(collection, best.pair),
                strong=True,
            )
        )
    free = next((pair for pair in season.pairs if pair.ready and not pair.planned), None)
    if free is not None and (best is None or best.pair is None or free.settled > best.pair.settled):
        lines.append(
            DeskLine(
                f"Not planned: {sentences.pair_name(collection, free.male, free.female)}",
                f"{sentences.telling_most(collection, free)}{related(free.inbreeding)}",
            )
        )
    return tuple(lines)


def related(inbreeding: Fraction) -> str:
    """Said beside a pair whose young would be inbred."""
    return f"; related: their young would have an inbreeding coefficient of {inbreeding}" if inbreeding else ""
