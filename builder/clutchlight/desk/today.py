"""The first page of the desk: what to do this evening, four answers, the room in cards, the males, what is due, the plans and who is
ready. And the page of the year's end: each season in figures, what was asked, what the clutches told, and who is still owed an answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from markupsafe import Markup
from msgspec import Struct

from clutchlight.desk import sentences
from clutchlight.desk.charts import work_chart
from clutchlight.desk.evening import balance_card, due_views, evening, glance, room_cards, tell_card
from clutchlight.desk.notices import notices, typed_figure
from clutchlight.desk.pages import (
    LARGE,
    MOVING,
    PAIRINGS,
    TODAY,
    YEAR,
    DeskFraming,
    DeskLine,
    DeskPage,
    RoomCard,
    cautions,
)
from clutchlight.desk.season import PlannedPairing, Season
from clutchlight.model import Clutch, Collection
from clutchlight.model.traits import grouped, natural
from clutchlight.planning.readiness import BreedingReadiness
from clutchlight.planning.room import season_of
from clutchlight.planning.rotation import MaleAtWork
from clutchlight.planning.sales import NotReady, leaving_young
from clutchlight.planning.years_end import AnswerOfClutch, AskedByPlan, SeasonOfTheRoom, in_no_season, years
from clutchlight.site.parts import Fact
from clutchlight.statements.asked import figure_of
from clutchlight.wording import day_words, words

CHART_KEY = "A bar: with a female. A dot in it: a lock. A cross: a meal refused. A long stroke marks each week."


class MaleView(Struct, frozen=True):
    """A male in rotation. `sources`: where the rules of his flags come from; `chart`: his work of 30 days."""

    key: str
    name: str
    flags: tuple[DeskLine, ...]
    sources: tuple[str, ...]
    chart: Markup
    facts: tuple[Fact, ...]
    females: tuple[str, ...]
    cautions: tuple[str, ...]


class PlanRow(Struct, frozen=True):
    """One planned pairing in the short table; `href` leads to its full account."""

    name: str
    href: str
    progress: str
    settles: str
    backup: str | None


class YearView(Struct, frozen=True):
    heading: str
    facts: tuple[Fact, ...]
    asked: tuple[DeskLine, ...]
    told: tuple[DeskLine, ...]


def today_page(framing: DeskFraming) -> DeskPage:
    season = framing.season
    return framing.page(
        TODAY,
        "Today",
        template="today.html",
        evening=evening(season),
        cards=room_cards(season),
        glance=glance(season),
        males=tuple(_male(season, male, number) for number, male in enumerate(season.males, 1)),
        differing=notices(season),
        typed=tuple(typed_figure(season.collection, one) for one in season.typed),
        chart_key=CHART_KEY,
        due=due_views(season),
        plans=tuple(_plan(season, planned) for planned in season.planned),
        ready=tuple(_ready(season)),
        not_ready=_not_ready(season),
        not_ready_rules=tuple(dict.fromkeys(_rule(season.collection, one) for one in season.not_ready)),
        not_ready_else=tuple(not_ready_else(season)),
        cautions=cautions(season.collection, ("hygiene", "egg binding", "sexing", "bites"), (LARGE, MOVING)),
    )


def not_ready_else(season: Season) -> Iterator[str]:
    """What is said besides those that lack something: that none does, or that a species has no rule."""
    young = list(leaving_young(season.collection, season.private, season.day))
    if not young:
        yield "No animal known to be under a year old is on offer or promised."
    unasked = dict.fromkeys(animal.species for animal, rule in young if rule is None)
    for key in unasked:
        species = season.collection.species[key]
        yield f"{species.heading}: its trait file has no `ready_when`, so nothing is checked of its young."
    if not season.not_ready and any(rule for _, rule in young):
        yield f"Every {'other ' if unasked else ''}young animal on offer or promised has shed and fed, by what is logged."


def _rule(collection: Collection, one: NotReady) -> str:
    """What its species asks of young that leave; whose rule it is, where there are several species."""
    several = len(collection.species) > 1
    whose = f"{collection.species[collection.animals[one.animal].species].heading}, ready" if several else "Ready"
    return f"{whose} when: {one.rule.text} ({one.rule.source})"


def _not_ready(season: Season) -> tuple[DeskLine, ...]:
    """Animals that lack the same in one line; promised ones first, since somebody waits for them."""
    alike = grouped(((one.promised, " and ".join(sentences.not_seen(one))), one.animal) for one in season.not_ready)
    lines = []
    for (promised, lacks), names in sorted(alike.items(), key=lambda item: (not item[0][0], item[1])):
        animals = sentences.animals_of(season.collection, sorted(names, key=natural))
        lines.append(DeskLine(animals, f"{'promised; ' if promised else ''}{lacks}", promised))
    return tuple(lines)


def male_facts(season: Season, male: MaleAtWork) -> tuple[Fact, ...]:
    collection, today = season.collection, season.day
    return (
        Fact("Pairings", sentences.work(male)),
        Fact("Rest", sentences.rest(collection, male, today)),
        Fact("Weight", sentences.weight(male, today)),
        Fact("Food", sentences.feeding(male, today)),
    )


def _male(season: Season, male: MaleAtWork, number: int) -> MaleView:
    collection, today = season.collection, season.day
    met = {visit.female for visit in male.females}
    chosen = {one.plan.female for one in season.planned if one.male == male.animal}
    planned_here = [name for name in male.planned if collection.animals[name].here]
    waiting = [name for name in planned_here if name not in met and name in chosen]
    second = [name for name in planned_here if name not in chosen]
    planned = [
        *([f"Planned, not yet with: {sentences.animals_of(collection, waiting)}."] if waiting else []),
        *([f"Written down as the backup for: {sentences.animals_of(collection, second)}."] if second else []),
    ]
    kinds = [*(["small"] if male.small else []), *(["first season"] if male.first_season else [])]
    name = sentences.called(collection, male.animal)
    flags = sentences.flags_in_words(male)
    return MaleView(
        key=male.animal,
        name=f"{name}, {' and in his '.join(kinds)}" if kinds else name,
        flags=tuple(DeskLine(words.sentence(flag.seen), flag.commonly, note=f"Rule: {flag.rule}.") for flag in flags),
        sources=tuple(dict.fromkeys(f"Source of the rules: {flag.source}." for flag in flags)),
        chart=work_chart(season.private.of(male.animal), male.animal, name, today, f"work-{number}", season.laid),
        facts=male_facts(season, male),
        females=(*(sentences.visits(collection, visit, today) for visit in male.females), *planned),
        cautions=male.cautions,
    )


def _plan(season: Season, planned: PlannedPairing) -> PlanRow:
    settles = "settles no open question" if planned.idle else sentences.proposed(season, planned)
    cost = sentences.backup_verdict(season.collection, planned.backup) if planned.backup is not None else None
    name = sentences.pair_name(season.collection, planned.male, planned.plan.female)
    return PlanRow(name, f"{PAIRINGS}#{planned.key}", sentences.progress(planned, season.day), settles, cost)


def _ready(season: Season) -> Iterator[tuple[str, tuple[DeskLine, ...], tuple[str, ...]]]:
    """Whether they are old and heavy enough, the animals of whom that is so, and the figures that they go by."""
    for verdict, found in grouped((one.verdict, one) for one in season.ready).items():
        rules = dict.fromkeys(_ready_rule(season, one) for one in found)
        rows = tuple(_ready_row(season, one) for one in found)
        yield "Yes" if verdict == "ready" else verdict.capitalize(), rows, tuple(rules)


def _ready_rule(season: Season, one: BreedingReadiness) -> str:
    animal = season.collection.animals[one.animal]
    kind = f"{season.collection.species[animal.species].heading}, {animal.sex}"
    return f"{kind}: {sentences.ready_rule(one)} ({sentences.ready_source(one)})."


def _ready_row(season: Season, one: BreedingReadiness) -> DeskLine:
    laid = f"last laid {sentences.last_seen(one.laid, season.day)}" if one.laid else ""
    notes = [note for note in (sentences.weight_note(one, season.day), laid) if note]
    return DeskLine(sentences.called(season.collection, one.animal), sentences.ready_words(one), note="; ".join(notes))


# The year


def year_page(framing: DeskFraming) -> DeskPage:
    season = framing.season
    without = words.join_and(in_no_season(season.collection))
    none = f" One whose record gives no laying day is in none: {without}." if without else ""
    return framing.page(
        YEAR,
        "The year",
        f"A season runs from July to June; a clutch belongs to that in which it was laid.{none}",
        owed=tuple(card for card in _owed(season) if card.lines),
        years=tuple(_year(season, one) for one in years(season.sources.inference, season.private, season.day)),
    )


def _owed(season: Season) -> Iterator[RoomCard]:
    """Who is still owed an answer: buyers to tell, promises that are open, money, and looks that nobody has read."""
    yield tell_card(season)
    promises = []
    for one in season.holds:
        held = f"{sentences.animals_of(season.collection, one.sale.animals)}: {sentences.hold(one, season.day)}"
        promises.append(DeskLine(sentences.buyer(one.sale), held, strong=one.ended))
    yield RoomCard("promises", "Open promises", tuple(promises))
    yield balance_card(season)
    clutches = [one for one in season.collection.clutches.values() if one.to_sort and one.reported_by is None]
    to_read = tuple(DeskLine(one.id, words.plural(one.to_sort, "hatchling")) for one in clutches)
    yield RoomCard("to-read", "Looks not read yet", to_read)


def _year(season: Season, one: SeasonOfTheRoom) -> YearView:
    collection = season.collection
    return YearView(
        day_words.season(one.began),
        tuple(_facts(one, running=one.began == season_of(season.day))),
        tuple(_asked(collection, each) for each in one.asked),
        tuple(_told(season, each) for each in one.told),
    )


def _facts(one: SeasonOfTheRoom, *, running: bool) -> Iterator[Fact]:
    if one.paired or one.locks:
        pairs = words.plural(one.pairs, "pair")
        paired = f"{words.plural(len(one.paired), 'pairing')} of {pairs}; " if one.paired else ""
        yield Fact("Pairings", f"{paired}{words.plural(one.locks, 'lock') if one.locks else 'no lock is logged'}")
    if one.plans:
        none = "no laying yet" if running else "no laying"
        laid = f"{one.plans_laid} led to a laying" if one.plans_laid else none
        results = [f"result: “{result}”" for result in one.results]
        told = [laid] if one.plans_laid or not results else []
        yield Fact("Plans", "; ".join([words.plural(one.plans, "plan"), *told, *results]))
    yield Fact("Clutches", _clutches(one))
    yield Fact("Good eggs", _eggs(one))
    yield Fact("Slugs", _slugs(one))
    yield Fact("Hatched", _rate(one))
    lost = [f"{words.plural(one.went_bad, 'good egg')} went bad"] if one.went_bad else []
    lost += [f"{one.unseen} died before the look could be seen"] if one.unseen else []
    if lost:
        yield Fact("Lost", "; ".join(lost))
    if one.young:
        yield Fact("Young", f"{one.young} on record")


def _clutches(one: SeasonOfTheRoom) -> str:
    parts = [words.plural(len(one.clutches), "clutch", "clutches") + " on record" if one.clutches else "none on record"]
    if one.slugs:
        parts.append(f"{words.plural(len(one.slugs), 'laying')} of slugs alone in the log")
    if one.unrecorded:
        parts.append(f"{words.plural(one.unrecorded, 'laying')} in the log without a record of the clutch")
    return "; ".join(parts)


_NOT_RECKONED = "not reckoned without a record of the clutch"


def _eggs(one: SeasonOfTheRoom) -> str:
    uncounted = [clutch.id for clutch in one.clutches if clutch.eggs is None]
    if len(uncounted) == len(one.clutches):
        return "not counted" if one.clutches else _NOT_RECKONED if one.unrecorded else "none"
    unknown = f"; not counted in {words.join_and(uncounted)}" if uncounted else ""
    return f"{one.eggs}{' in the clutches on record' if one.unrecorded else ''}{unknown}"


def _slugs(one: SeasonOfTheRoom) -> str:
    uncounted = sum(row.number is None for row in one.slugs)
    unknown = f"; not counted in {words.plural(uncounted, 'laying')}" if uncounted else ""
    return f"{one.slugs_counted or 'none on record'}{unknown}"


def _rate(one: SeasonOfTheRoom) -> str:
    rate = one.hatch_rate
    parts = []
    if rate is not None:
        eggs = words.plural(one.eggs_counted, "good egg")
        count = words.plural(sum(clutch.eggs != 0 for clutch in one.counted), "clutch", "clutches")
        parts.append(f"{one.eggs_hatched} of {eggs} in {count}, {words.percent_text(rate)}")
    left_out = grouped((_why_left_out(clutch), clutch.id) for clutch in one.over if clutch not in one.counted)
    for why, names in left_out.items():
        listed = words.join_and(names)
        parts.append(f"without {listed}, {why}" if rate is not None else f"not known of {listed}: {why}")
    if waiting := [clutch.id for clutch in one.clutches if clutch not in one.over]:
        parts.append(f"no outcome on record yet: {words.join_and(waiting)}")
    return "; ".join(parts) or (_NOT_RECKONED if one.unrecorded else "no eggs to hatch")


def _why_left_out(clutch: Clutch) -> str:
    """Why one that is over is not in the hatch rate."""
    part = clutch.hatched is not None and not clutch.complete
    why = ((clutch.eggs is None, "eggs not counted"), (part, "not all young on record"))
    return words.join_and([reason for holds, reason in why if holds])


def _asked(collection: Collection, one: AskedByPlan) -> DeskLine:
    """ "Bracken with Dapple, for Piebald": what came of it."""
    males = words.join_or([sentences.called(collection, male) for male in one.plan.males])
    want = f", for {words.join_and(one.plan.want)}" if one.plan.want else ""
    settled = [each for each in one.told if each.settled]
    laid = one.answer
    sires = words.join_or([sentences.called(collection, sire) for sire in one.by])
    clutch = f"{laid.clutch if laid else ''}{f', by {sires}' if sires else ''}"
    if settled:
        answer = f"settled by {clutch}: {_what(collection, settled)}"
    elif one.told:
        answer = f"not settled; {clutch} moved {_what(collection, one.told)}"
    elif one.by:
        answer = f"she laid {clutch}"
    elif laid is None:
        answer = one.plan.result or ("no clutch yet" if one.open else "no clutch")
    elif laid.clutch is None:
        answer = "she laid slugs alone" if laid.slugs else "she laid, and no clutch is on record"
    elif one.over:
        answer = f"{laid.clutch} told nothing of its parents"
    else:
        answer = f"{laid.clutch} is laid; no outcome is on record yet"
    return DeskLine(f"{males} with {sentences.called(collection, one.plan.female)}{want}", answer, strong=not settled)


def _what(collection: Collection, found: Sequence[AnswerOfClutch]) -> str:
    return words.join_and([f"{one.trait} of {sentences.called(collection, one.animal)}" for one in found])


def _told(season: Season, one: AnswerOfClutch) -> DeskLine:
    """What a clutch told of a parent, with what that hangs on."""
    collection, hatched = season.collection, season.collection.clutches[one.clutch].hatched
    asked = figure_of(season.sources.telling, one.animal, one.trait)
    on = hatched.last if hatched and not one.since else season.day
    taking = "" if one.after in (0, 1) else asked.taking(on)
    unexpected = asked.unexpected(on) if one.after else ""
    hangs = "".join(f", {condition}" for condition in (unexpected, taking) if condition)
    before = "taken as certain" if one.before == 1 else words.note_count(one.before) if one.before else "nothing said"
    now = words.note_count(one.after) if one.after else "no chance left"
    if one.after == 1 and not one.settled:
        now = "taken as certain"
    elif one.before == one.after:
        now = "proven"
    elif one.after == 1:
        now = "certain"
    by = "by what is known since" if one.since else "after it"
    condition = asked.if_sired(None if one.since else one.clutch) if one.after == 1 else ""
    unless = f", {condition}" if condition else ""
    settled = "settled" if one.settled else "put in doubt" if one.after < one.before == 1 else "left open"
    return DeskLine(
        f"{one.trait} of {sentences.called(collection, one.animal)}",
        f"{before} before {one.clutch}, {now} {by}{hangs}{unless}: {settled}",
    )
