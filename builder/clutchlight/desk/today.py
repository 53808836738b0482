"""The first page of the desk: what to do this evening, then four answers that the terminal gives too: who is overworked, what is due, what
proves most, who is ready. Then the room in cards, the males, what is due, the plans and who is ready; and the page of people."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from urllib.parse import quote

from clutchlight.desk import sentences
from clutchlight.desk.buyers import ToTell
from clutchlight.desk.charts import work_chart
from clutchlight.desk.evening import evening, room_cards
from clutchlight.desk.flag_words import flags_in_words
from clutchlight.desk.framing import LARGE, MOVING, PAIRINGS, PEOPLE, TODAY, DeskFraming, anchor_of, cautions
from clutchlight.desk.notices import all_told, nobody_to_tell, notices, typed_figure
from clutchlight.desk.page_parts import DeskLine, DueView, FlagView, RoomCard
from clutchlight.desk.pages import MaleView, PeoplePage, PlanRow, ReadyGroup, ReadyView, SaleView, TellView, TodayPage
from clutchlight.desk.papers import paper_links
from clutchlight.desk.season import PlannedPairing, Season
from clutchlight.model import Collection
from clutchlight.model.private import Sale
from clutchlight.model.traits import natural
from clutchlight.planning.keeping import worth_a_look
from clutchlight.planning.readiness import BreedingReadiness
from clutchlight.planning.rotation import Laid, MaleAtWork, days_laid
from clutchlight.site.parts import Fact
from clutchlight.statements import keeping
from clutchlight.wording import day_words, words

CHART_KEY = "A bar: with a female. A dot in it: a lock. A cross: a meal refused. A long stroke marks each week."


def glance(season: Season, *, people: bool = True) -> tuple[RoomCard, ...]:
    """The four answers that the desk gives first. `people`: whether they may name somebody."""
    return (
        RoomCard("overworked", "Overworked or losing weight", overworked(season), "Nobody, by what is logged."),
        RoomCard("due", "Due this week", due_this_week(season, people=people), "Nothing."),
        RoomCard(
            "proves",
            "Proves most",
            proves_most(season),
            "No planned pairing settles an open question.",
        ),
        RoomCard("ready", "Ready", who_is_ready(season), _nobody_ready(season)),
    )


def _nobody_ready(season: Season) -> str:
    """Nobody is old and heavy enough; or it is not known of somebody, for want of a weight or an age."""
    unknown = [one for one in season.ready if one.verdict == "not known"]
    if not unknown:
        return "Nobody on record is old and heavy enough."
    lacking = {short.what for one in unknown for short in one.lacks if short.has is None}
    what = "no weight" if lacking == {"weight"} else "no age" if lacking == {"age"} else "no weight or no age"
    return f"Nobody is known to be ready: {what} is on record of {words.plural(len(unknown), 'grown animal')}."


def overworked(season: Season) -> tuple[DeskLine, ...]:
    """The flagged males, the most flagged first."""
    return tuple(
        DeskLine(
            sentences.called(season.collection, male.animal),
            "; ".join(flag.short for flag in flags_in_words(male, season.day)),
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
            and name not in flagged | season.unfit
            and collection.animals[name].sex == sex
        ]
        if ready:
            lines.append(
                DeskLine(
                    f"{title} of the plans: {words.number(len(ready))} ready",
                    ", ".join(_call(collection, name) + _old(verdicts[name]) for name in ready),
                )
            )
    used.update(dict.fromkeys(one.plan.backup for one in season.planned if one.plan.backup))
    free = [
        one for one in season.ready if one.verdict == "ready" and one.animal not in {*used, *flagged, *season.unfit}
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


# The page


def today_page(framing: DeskFraming) -> TodayPage:
    season = framing.season
    laid = days_laid(season.collection, season.private)
    return TodayPage(
        frame=framing.frame(TODAY, "Today"),
        evening=evening(season),
        cards=room_cards(season),
        glance=glance(season),
        males=tuple(_male(season, male, number, laid) for number, male in enumerate(season.males, 1)),
        differing=notices(season),
        typed=tuple(typed_figure(season.collection, one) for one in season.typed),
        chart_key=CHART_KEY,
        due=due_views(season),
        plans=tuple(_plan(season, planned) for planned in season.planned),
        ready=tuple(_ready(season)),
        not_ready=_not_ready(season),
        all_ready=_all_ready(season),
        not_ready_rules=tuple(dict.fromkeys(f"{one.rule.text} ({one.rule.source})" for one in season.not_ready)),
        cautions=cautions(season.collection, ("hygiene", "egg binding", "sexing", "bites"), (LARGE, MOVING)),
    )


def _all_ready(season: Season) -> str:
    """What is said where no young animal lacks anything: whether any was asked about."""
    promised = {name for one in season.holds for name in one.sale.animals}
    asked = any(
        animal.here
        and (animal.status in ("available", "on hold") or name in promised)
        and animal.hatched is not None
        and (season.day - animal.hatched.first).days <= 365
        for name, animal in season.collection.animals.items()
        if not (animal.hatched is not None and animal.hatched.open)
    )
    if asked:
        return "Every young animal on offer or promised has shed and fed, by what is logged."
    return "No animal known to be under a year old is on offer or promised."


def _not_ready(season: Season) -> tuple[DeskLine, ...]:
    """Animals that lack the same in one line; promised ones first, since somebody waits for them."""
    alike: dict[tuple[bool, str], list[str]] = {}
    for one in season.not_ready:
        alike.setdefault((one.promised, " and ".join(sentences.not_seen(one))), []).append(one.animal)
    return tuple(
        DeskLine(
            sentences.animals_of(season.collection, sorted(names, key=natural)),
            f"{'promised; ' if promised else ''}{lacks}",
            promised,
        )
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
        )
        for item in season.due
    )


def male_facts(season: Season, male: MaleAtWork) -> tuple[Fact, ...]:
    collection, today = season.collection, season.day
    return (
        Fact("Pairings", sentences.work(male)),
        Fact("Rest", sentences.rest(collection, male, today)),
        Fact("Weight", sentences.weight(male, today)),
        Fact("Food", sentences.feeding(male, today)),
    )


def _male(season: Season, male: MaleAtWork, number: int, laid: Laid) -> MaleView:
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
    flags = flags_in_words(male, today)
    return MaleView(
        key=male.animal,
        name=f"{name}, {' and in his '.join(kinds)}" if kinds else name,
        flags=tuple(FlagView(words.sentence(flag.seen), f"{flag.rule}.", flag.commonly) for flag in flags),
        sources=tuple(dict.fromkeys(f"Source of the rules: {flag.source}." for flag in flags)),
        chart=work_chart(season.private.of(male.animal), male.animal, name, today, f"work-{number}", laid),
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
    for verdict, heading in (
        ("ready", "Ready"),
        ("not now", "Not now"),
        ("not yet", "Not yet"),
        ("not known", "Not known"),
    ):
        found = [one for one in season.ready if one.verdict == verdict]
        if found:
            yield ReadyGroup(
                heading,
                tuple(_ready_row(season, one) for one in found),
                tuple(dict.fromkeys(_ready_rule(season, one) for one in found)),
            )


def _ready_rule(season: Season, one: BreedingReadiness) -> str:
    animal = season.collection.animals[one.animal]
    kind = f"{season.collection.species[animal.species].name}, {animal.sex}"
    return f"{kind}: {sentences.ready_rule(one)} ({sentences.ready_source(one)})."


def _ready_row(season: Season, one: BreedingReadiness) -> ReadyView:
    laid = f"last laid {sentences.last_seen(one.laid, season.day)}" if one.laid else ""
    notes = [note for note in (sentences.weight_note(one, season.day), laid) if note]
    return ReadyView(sentences.called(season.collection, one.animal), sentences.ready_words(one), "; ".join(notes))


def grams_now(season: Season, name: str) -> str | None:
    """ "1081 g on 22 Nov", the last weighing."""
    run = next((run for run in season.weights if run.animal == name), None)
    return sentences.weighing(run.points[-1], season.day) if run else None


# Buyers


def people_page(framing: DeskFraming) -> PeoplePage:
    season = framing.season
    collection, today, currency = season.collection, season.day, season.collection.settings.currency
    return PeoplePage(
        framing.frame(
            PEOPLE,
            "People",
            "Names and money stand here and on Today; neither is in the file for the phone nor on the room sheet.",
        ),
        tell=tuple(_tell(season, one) for one in season.tell),
        tell_nobody=all_told(season),
        not_known=tuple(nobody_to_tell(season)),
        holds=tuple(
            _sale(
                season,
                one.sale,
                f"{sentences.hold(one, today)}{sentences.agreed_otherwise(collection, one.sale)}",
                strong=one.state == "ended",
            )
            for one in season.holds
        ),
        balances=tuple(
            _sale(season, one.sale, sentences.balance(one, currency), strong=one.gone or one.open_ < 0, paid=True)
            for one in season.balances
        ),
        hand_overs=tuple(
            _sale(
                season,
                one.sale,
                f"ready since {day_words.when(one.sale.ready_to_go)}"
                if one.since and one.sale.ready_to_go
                else "not ready to go yet",
                strong=False,
                more=(
                    *(f"To settle first: {text}." for text in sentences.to_settle(one)),
                    *(f"Goes along: {paper}." for paper in sentences.papers(one) if paper not in sentences.law(one)),
                ),
            )
            for one in season.hand_overs
        ),
        papers=tuple(dict.fromkeys(rule for one in season.hand_overs for rule in sentences.law(one))),
        sheets=paper_links(season),
        loans=tuple(DeskLine(sentences.loan(collection, one), strong=one.days_left < 0) for one in season.loans),
        young_note=keeping.YOURS,
        young=tuple(
            keeping.in_words(side, season.sources.telling, today)
            for side in worth_a_look(season.sources.inference, season.private, today)
        ),
        cautions=(MOVING,),
    )


def _sale(
    season: Season, sale: Sale, text: str, *, strong: bool, more: Iterable[str] = (), paid: bool = False
) -> SaleView:
    currency = season.collection.settings.currency
    notes = [*more]
    if paid and sale.payments:
        amounts = [f"{day_words.money(one.amount, currency)} {day_words.on(one.on)}" for one in sale.payments]
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
    told = next((told.on for told in one.sale.told if told.on.last == one.since), None)
    since = told or one.sale.handed_over
    return TellView(
        one.sale.buyer or "no name is recorded",
        sentences.called(season.collection, one.animal),
        f"{'last told' if told else 'handed over'} {day_words.when(since) if since else ''}",
        one.changes,
        one.message,
        f"mailto:?subject={quote(subject)}&body={quote(one.message)}",
    )
