"""The first page of the desk: four answers at a glance, then the males, what is due, the plans and who is ready."""

from __future__ import annotations

from collections.abc import Iterable
from urllib.parse import quote

from clutchlight.desk import sentences
from clutchlight.desk.at_a_glance import glance
from clutchlight.desk.buyers import ToTell
from clutchlight.desk.charts import weight_chart, work_chart
from clutchlight.desk.framing import LARGE, MOVING, PAIRINGS, PEOPLE, TODAY, WEIGHTS, DeskFraming, anchor_of, cautions
from clutchlight.desk.pages import (
    ChangeView,
    DeskLine,
    DueView,
    FlagView,
    MaleView,
    PeoplePage,
    PlanRow,
    ReadyGroup,
    ReadyView,
    SaleView,
    TellView,
    TodayPage,
    WeighGroup,
    WeightsPage,
    WeighView,
)
from clutchlight.desk.season import PlannedPairing, Season, Weights
from clutchlight.model.private import Sale, plain_number
from clutchlight.planning.readiness import BreedingReadiness
from clutchlight.planning.rotation import MaleAtWork
from clutchlight.site.parts import Fact
from clutchlight.wording import day_words, words

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


def _not_ready(season: Season) -> tuple[DeskLine, ...]:
    """Animals that lack the same in one line; promised ones first, since somebody waits for them."""
    alike: dict[tuple[bool, str], list[str]] = {}
    for one in season.not_ready:
        alike.setdefault((one.promised, " and ".join(one.lacks)), []).append(one.animal)
    return tuple(
        DeskLine(sentences.animals_of(season.collection, names), f"{'promised; ' if promised else ''}{lacks}", promised)
        for (promised, lacks), names in sorted(alike.items(), key=lambda item: (not item[0][0], item[1]))
    )


def due_views(season: Season) -> tuple[DueView, ...]:
    return tuple(
        DueView(
            sentences.due_what(season.collection, item),
            sentences.due_when(item, season.day),
            sentences.due_why(item, season.day),
            item.source,
            item.state,
            item.state == "overdue",
        )
        for item in season.due
    )


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
    flags = sentences.flags(male, today)
    return MaleView(
        key=male.animal,
        name=f"{name}, {' and in his '.join(kinds)}" if kinds else name,
        flags=tuple(FlagView(words.sentence(flag.seen), f"{flag.rule}.", flag.commonly) for flag in flags),
        sources=tuple(dict.fromkeys(f"Source of the rules: {flag.source}." for flag in flags)),
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


def _kind(season: Season, one: BreedingReadiness) -> str:
    animal = season.collection.animals[one.animal]
    return f"{season.collection.species[animal.species].name}, {animal.sex}"


def _ready_row(season: Season, one: BreedingReadiness) -> ReadyView:
    laid = f"last laid {sentences.short_day(one.laid.last, season.day)}" if one.laid else ""
    notes = [note for note in (sentences.weight_note(one, season.day), laid) if note]
    return ReadyView(sentences.called(season.collection, one.animal), sentences.ready_words(one), "; ".join(notes))


def grams_now(season: Season, name: str) -> str | None:
    """ "1081 g on 22 Nov", the last weighing."""
    run = next((run for run in season.weights if run.animal == name), None)
    return sentences.weighing(run.points[-1], season.day) if run else None


def weights_page(framing: DeskFraming) -> WeightsPage:
    season = framing.season
    groups: dict[str, list[WeighView]] = {}
    for number, run in enumerate(season.weights, 1):
        groups.setdefault(run.group, []).append(_weights(season, run, f"weight-{number}"))
    return WeightsPage(
        framing.frame(
            WEIGHTS,
            "Weights",
            "Every line is drawn to its own height, from the animal's least weight to its greatest: compare the figures, not the slopes.",
        ),
        tuple(WeighGroup(heading, tuple(animals)) for heading, animals in groups.items()),
        cautions(season.collection, ("weight", "feeding"), (LARGE,)),
    )


def _weights(season: Season, run: Weights, prefix: str) -> WeighView:
    name = sentences.called(season.collection, run.animal)
    return WeighView(
        name,
        sentences.weighing(run.points[-1], season.day),
        _change(season, run),
        weight_chart(run.points, name, season.day, prefix) if len(run.points) > 1 else None,
        tuple(
            f"{sentences.short_day(day, season.day)}: {plain_number(number)} g" for day, number in reversed(run.points)
        ),
    )


def _change(season: Season, run: Weights) -> str:
    """Against the weighing before, and against the greatest of all where that is another: "down 12% from 644 g on 11 Oct"."""
    if len(run.points) < 2:
        return "the first weighing"
    now = run.points[-1].grams
    top = max(run.points, key=lambda point: (point.grams, point.on))
    if now >= top.grams or not top.grams:
        return f"up from {sentences.weighing(run.points[0], season.day)}"
    share = words.percent_text((top.grams - now) / top.grams)
    return f"down {share} from {sentences.weighing(top, season.day)}"


# Buyers


def people_page(framing: DeskFraming) -> PeoplePage:
    season = framing.season
    collection, today, currency = season.collection, season.day, season.collection.settings.currency
    return PeoplePage(
        framing.frame(
            PEOPLE,
            "People",
            "Names and money stay on this page; neither is in the file for the phone nor on the room sheet.",
        ),
        tell=tuple(_tell(season, one) for one in season.tell),
        holds=tuple(
            _sale(season, one.sale, sentences.hold(one, today), strong=one.state == "ended") for one in season.holds
        ),
        balances=tuple(
            _sale(season, one.sale, sentences.balance(one, currency), strong=one.gone, paid=True)
            for one in season.balances
        ),
        hand_overs=tuple(
            _sale(
                season,
                one.sale,
                f"ready since {day_words.day(one.since)}" if one.since else "not ready to go yet",
                strong=False,
                more=(
                    *(f"To settle first: {text}." for text in one.lacks),
                    *(f"Goes along: {paper}." for paper in one.papers if paper.animal),
                ),
            )
            for one in season.hand_overs
        ),
        papers=tuple(
            dict.fromkeys(paper.text for one in season.hand_overs for paper in one.papers if not paper.animal)
        ),
        loans=tuple(DeskLine(sentences.loan(collection, one), strong=one.days_left < 0) for one in season.loans),
        cautions=(MOVING,),
    )


def _sale(
    season: Season, sale: Sale, text: str, *, strong: bool, more: Iterable[str] = (), paid: bool = False
) -> SaleView:
    currency = season.collection.settings.currency
    notes = [*more]
    if paid and sale.payments:
        amounts = [f"{sentences.amount(one.amount, currency)} on {day_words.when(one.on)}" for one in sale.payments]
        notes.append(f"Paid: {words.join_and(amounts)}.")
    if sale.terms:
        notes.append(f"Terms: {words.sentence(sale.terms)}")
    if sale.note:
        notes.append(f"Note: {words.sentence(sale.note)}")
    return SaleView(
        sentences.animals_of(season.collection, sale.animals),
        sale.buyer or "no name is recorded",
        text,
        strong,
        tuple(notes),
    )


def _tell(season: Season, one: ToTell) -> TellView:
    subject = f"{sentences.called(season.collection, one.animal)}: news from our records"
    told = any(told.on.last == one.since for told in one.sale.told)
    return TellView(
        one.sale.buyer or "no name is recorded",
        sentences.called(season.collection, one.animal),
        f"{'last told' if told else 'handed over'} {day_words.day(one.since)}",
        tuple(ChangeView(change.about, change.before, change.now) for change in one.changes),
        one.message,
        f"mailto:?subject={quote(subject)}&body={quote(one.message)}",
    )
