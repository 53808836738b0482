"""The first page of the desk: four answers at a glance, then the males, what is due, the plans and who is ready."""

from __future__ import annotations

from collections.abc import Iterable

from clutchlight.model.season import plain_number
from clutchlight.planning.season.readiness import Readiness
from clutchlight.planning.season.rotation import Flag, MaleAtWork
from clutchlight.statements import words
from clutchlight.website.desk import sentences
from clutchlight.website.desk.at_a_glance import glance
from clutchlight.website.desk.cautions import LARGE, MOVING, cautions
from clutchlight.website.desk.charts import work_chart
from clutchlight.website.desk.framing import PAIRINGS, TODAY, DeskFraming, anchor_of
from clutchlight.website.desk.gathering import PlannedPairing, Season
from clutchlight.website.desk.pages import (
    DueView,
    FlagView,
    Line,
    MaleView,
    PlanRow,
    ReadyGroup,
    ReadyView,
    TodayPage,
)
from clutchlight.website.parts import Fact

CHART_KEY = "A bar: with a female. A dot in it: a lock. A cross: a meal refused. A long stroke marks each week."


def today_page(framing: DeskFraming) -> TodayPage:
    season = framing.season
    return TodayPage(
        frame=framing.frame(TODAY, "Today"),
        glance=glance(season),
        males=tuple(_male(season, male, number) for number, male in enumerate(season.males, 1)),
        chart_key=CHART_KEY,
        due=due_views(season),
        plans=tuple(_plan(season, planned) for planned in season.planned),
        ready=tuple(_ready(season)),
        not_ready=_not_ready(season),
        not_ready_rules=tuple(dict.fromkeys(f"{one.rule} ({one.source})" for one in season.not_ready)),
        cautions=cautions(season.collection, ("hygiene", "egg binding", "sexing", "bites"), (LARGE, MOVING)),
    )


def _not_ready(season: Season) -> tuple[Line, ...]:
    """Animals that lack the same in one line; promised ones first, since somebody waits for them."""
    alike: dict[tuple[bool, str], list[str]] = {}
    for one in season.not_ready:
        alike.setdefault((one.promised, " and ".join(one.lacks)), []).append(one.animal)
    return tuple(
        Line(sentences.animals_of(season.collection, names), f"{'promised; ' if promised else ''}{lacks}", promised)
        for (promised, lacks), names in sorted(alike.items(), key=lambda item: (not item[0][0], item[1]))
    )


def due_views(season: Season) -> tuple[DueView, ...]:
    states = {"overdue": "overdue", "this week": "this week", "later": "later"}
    return tuple(
        DueView(
            sentences.due_what(season.collection, item),
            sentences.due_when(item, season.day),
            sentences.due_why(item, season.day),
            item.source,
            states[item.state],
            item.state == "overdue",
        )
        for item in season.due
    )


def flag_view(flag: Flag) -> FlagView:
    return FlagView(words.sentence(flag.seen), f"{flag.rule}.", flag.commonly)


def male_facts(season: Season, male: MaleAtWork) -> tuple[Fact, ...]:
    collection, today = season.collection, season.day
    return (
        Fact("Pairings", sentences.work(male)),
        Fact("Rest", sentences.rest(collection, male)),
        Fact("Weight", sentences.weight(male, today)),
        Fact("Food", sentences.feeding(male, today)),
    )


def _male(season: Season, male: MaleAtWork, number: int) -> MaleView:
    collection, today = season.collection, season.day
    met = {visit.female for visit in male.females}
    chosen = {one.plan.female for one in season.planned if one.male == male.animal}
    waiting = [name for name in male.planned if name not in met and name in chosen]
    second = [name for name in male.planned if name not in chosen]
    planned = [
        *([f"Planned, not yet with: {sentences.animals_of(collection, waiting)}."] if waiting else []),
        *([f"Written down as the backup for: {sentences.animals_of(collection, second)}."] if second else []),
    ]
    kinds = [*(["small"] if male.small else []), *(["first season"] if male.first_season else [])]
    name = sentences.called(collection, male.animal)
    return MaleView(
        key=male.animal,
        name=f"{name}, {' and in his '.join(kinds)}" if kinds else name,
        flags=tuple(flag_view(flag) for flag in male.flags),
        sources=tuple(dict.fromkeys(f"Source of the rules: {flag.source}." for flag in male.flags)),
        chart=work_chart(season.private.of(male.animal), male.animal, name, today, f"work-{number}"),
        facts=male_facts(season, male),
        visits=tuple(sentences.visits(collection, visit, today) for visit in male.females),
        planned=tuple(planned),
        cautions=male.cautions,
    )


def _plan(season: Season, planned: PlannedPairing) -> PlanRow:
    settles = sentences.telling_most(season.collection, planned.pair) if planned.pair else "settles no open question"
    cost = None
    if planned.backup is not None:
        cost = sentences.backup_verdict(season.collection, planned.backup)
    return PlanRow(
        sentences.pair_name(season.collection, planned.male, planned.plan.female),
        f"{PAIRINGS}#{anchor_of(planned.plan.female, planned.male)}",
        sentences.progress(season.collection, planned, season.day),
        settles,
        cost,
    )


def _ready(season: Season) -> Iterable[ReadyGroup]:
    for verdict, heading in (("ready", "Ready"), ("not yet", "Not yet"), ("not known", "Not known")):
        found = [one for one in season.ready if one.verdict == verdict]
        if found:
            yield ReadyGroup(
                heading,
                tuple(_ready_row(season, one) for one in found),
                tuple(dict.fromkeys(f"{_kind(season, one)}: {one.rule} ({one.source})." for one in found)),
            )


def _kind(season: Season, one: Readiness) -> str:
    animal = season.collection.animals[one.animal]
    return f"{season.collection.species[animal.species].name}, {animal.sex}"


def _ready_row(season: Season, one: Readiness) -> ReadyView:
    laid = f"last laid {sentences.short_day(one.laid.last, season.day)}" if one.laid else ""
    notes = [note for note in (sentences.weight_note(one, season.day), laid) if note]
    return ReadyView(sentences.called(season.collection, one.animal), sentences.ready_words(one), "; ".join(notes))


def grams_now(season: Season, name: str) -> str | None:
    """ "1081 g on 22 Nov", the last weighing."""
    run = next((run for run in season.weights if run.animal == name), None)
    if run is None:
        return None
    on, number = run.points[-1]
    return f"{plain_number(number)} g on {sentences.short_day(on, season.day)}"
