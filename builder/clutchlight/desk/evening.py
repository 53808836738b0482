"""The room on one day, as cards: what to do this evening, the four answers that desk and terminal give first, who has not eaten, whom
to feed, who is set apart, what lies in the incubator, what turned out otherwise, whom to tell and what is open. Short lines: the
first card is read standing, on a phone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta

from clutchlight.desk import sentences
from clutchlight.desk.buyers import now_words
from clutchlight.desk.pages import PEOPLE, PROVING, DeskLine, DueView, RoomCard
from clutchlight.desk.season import Season
from clutchlight.model.private import LogRow, plain_number
from clutchlight.model.traits import grouped, natural
from clutchlight.planning.due import LOG_ENDS_AFTER, Due, Feeding, Incubating, usual_feeding
from clutchlight.planning.readiness import CONSIDERED, KEPT_FOR, BreedingReadiness, Spell
from clutchlight.planning.sales import Hold
from clutchlight.site.parts import NavLink
from clutchlight.statements.odds import inbreeding_words
from clutchlight.wording import day_words, words

NOT_EATING = (
    "A snake that has not eaten for long is weighed, and handled as little as can be. Ask a reptile veterinarian, soon where it "
    "loses weight or is a hatchling: a log cannot tell why an animal does not eat."
)
UNTIL_THEN = (
    "Until that day an animal is in no pairing proposed here, and not ready to leave. When it is over, log the same event with the value "
    "`over`; to set its last day, log it with `until` and the day. Treatment is a reptile veterinarian's affair."
)
FIT_TO_BREED = (
    "Age and weight are figures of the trade. A reptile veterinarian can tell whether an animal is fit to breed; local law decides what "
    "may be bred."
)
LONG_TOGETHER = 14
"""Days of one pair after which the desk asks whether it was parted and nobody wrote it; common practice, no source."""
MOST_NOTES = 4


def evening(season: Season) -> RoomCard:
    """What to do this evening, what lasts least first."""
    lines = (*_at_once(season), *_at_the_tubs(season), *_at_the_table(season))
    return RoomCard("evening", "This evening", lines, "Nothing, by what is logged.")


def _at_once(season: Season) -> Iterable[DeskLine]:
    """Eggs and windows that are open, pairs that are together, animals that do not eat."""
    today = season.day
    expected = {one.clutch for one in season.incubating if one.pip and one.pip[0] <= today}
    for one in season.incubating:
        if one.clutch in expected and one.hatch is not None:
            what = "pipped; hatching" if one.pipped else "pipping"
            window = one.hatch if one.pipped or one.pip is None else one.pip
            when = day_words.about(one.pipped or one.laid) + sentences.span(*window, today)
            was = "was " if window[1] < today else ""
            yield DeskLine(f"Look at {_clutch(season, one)}", f"{what} {was}expected {when}", strong=True)
    for item in season.due:
        if item.state != "later" and item.first <= today and item.about not in expected:
            yield _due_line(season, item)
    hungry = [f"{_short(season, one.animal)} ({sentences.days(one.days or 0)})" for one in _long(season)]
    if hungry:
        yield DeskLine("Not eaten for long", words.first_few(hungry), strong=True)
    if season.feeding.quiet:
        count = words.plural(len(season.feeding.quiet), "animal")
        yield DeskLine("Nothing logged for long", f"meals of {count}; see below")
    now = [(male.animal, male.with_now, male.with_since) for male in season.males if male.with_now and male.with_since]
    parting = [pair for pair in now if not season.unfit.isdisjoint(pair[:2])]
    if parting:
        names = [f"{_short(season, male)} from {_short(season, female)}" for male, female, _ in parting]
        yield DeskLine("Separate", f"{words.first_few_pairs(names)}: quarantine or treatment; see below", strong=True)
    pairs, long = [], False
    for male, female, since in (pair for pair in now if pair not in parting):
        asked = (today - since).days >= LONG_TOGETHER
        how_long = f" since {sentences.short_day(since, today)} (parted?)" if asked else ""
        pairs.append(f"{_short(season, male)} with {_short(season, female)}{how_long}")
        long |= asked
    if pairs:
        yield DeskLine("Together now", words.first_few_pairs(pairs), strong=long)
    rested = {
        male.animal for male in season.males if not male.with_now and (male.rested_days is None or male.rested_days > 0)
    }
    turns: dict[str, str] = {}
    for load in season.loads:
        fit = load.turn and not any(sentences.against(season, name) for name in (load.male, load.turn))
        if load.turn and fit and load.begun and load.male in rested:
            turns.setdefault(load.turn, f"{_short(season, load.male)} with {_short(season, load.turn)}")
    if turns:
        yield DeskLine("Next in turn", words.first_few_pairs(tuple(turns.values())))


def _at_the_tubs(season: Season) -> Iterable[DeskLine]:
    due = season.feeding.due_by(season.day)
    if due:
        yield DeskLine(f"Feed {len(due)}", words.first_few([_short(season, one.animal) for one in due]))
    treated = [one for one in season.set_apart if one.how == "treatment"]
    if treated:
        yield DeskLine("Under treatment", words.first_few([_short(season, one.animal) for one in treated]), strong=True)
    planned = {name for one in season.planned for name in (one.plan.female, one.male)}
    old = [one.animal for one in season.ready if one.animal in planned and one.weight_is_old]
    if old:
        yield DeskLine(f"Weigh {len(old)}", words.first_few([_short(season, name) for name in old]))


def _at_the_table(season: Season) -> Iterable[DeskLine]:
    """What is written rather than done, without anybody's name."""
    for one in season.holds:
        if one.days_left is not None and one.days_left <= 0:
            yield _hold_line(season, one, strong=True)
    parts = []
    if season.tell:
        count = len({one.sale.buyer or one.animal for one in season.tell})
        parts.append(f"{words.number(count)} {'person' if count == 1 else 'people'} to tell")
    if season.balances:
        parts.append(words.counted(len(season.balances), "balance"))
    if parts:
        yield DeskLine("Still open", words.join_and(parts))


# The four answers


def glance(season: Season, *, people: bool = True) -> tuple[RoomCard, ...]:
    """The four answers that the desk gives first. `people`: whether they may name somebody."""
    ready, unflagged = who_is_ready(season), "None is flagged, by what is logged."
    unsettled = "No planned pairing of two that are here settles an open question."
    return (
        RoomCard("overworked", "Overworked or losing weight", overworked(season), unflagged),
        RoomCard("due", "Due this week", due_this_week(season, people=people), "Nothing."),
        RoomCard("proves", "Proves most", proves_most(season), unsettled),
        RoomCard("ready", "Ready", ready, _nobody_ready(season), notes=(FIT_TO_BREED,) if ready else ()),
    )


def _nobody_ready(season: Season) -> str:
    """What keeps the animals that are kept for breeding, those alike together."""
    alike = grouped((why, sentences.called(season.collection, name)) for name, why in _unready(season).items())
    each = [f"{words.first_few(names)}: {why}." for why, names in alike.items()]
    if not any(animal.here and animal.status in CONSIDERED for animal in season.collection.animals.values()):
        return f"No animal here has the status {words.join_or(CONSIDERED)}."
    why = "each is under half the usual age, of unknown sex or of a species whose trait file has no `readiness`"
    nobody = "No animal kept for breeding is known to be ready"
    return " ".join((f"{nobody}.", *each)) if each else f"{nobody}: {why}."


def _unready(season: Season) -> Mapping[str, str]:
    """What speaks against the animals that are not ready, and what is not known of them."""
    found = {}
    for one in season.ready:
        unknown = sentences.lacks(one) if one.verdict == "not known" else ()
        why = [said for said in (sentences.against(season, one.animal), *unknown) if said]
        if why:
            found[one.animal] = "; ".join(why)
    return found


def overworked(season: Season) -> tuple[DeskLine, ...]:
    """The flagged males, the most flagged first; then others that lose weight."""
    flagged = {
        male.animal: "; ".join(flag.short for flag in sentences.flags_in_words(male))
        for male in season.males
        if male.flags
    }
    losing = {name: sentences.lost_since(loss, season.day) for name, loss in season.losing.items()}
    return tuple(
        DeskLine(sentences.called(season.collection, name), what, strong=True)
        for name, what in {**losing, **flagged}.items()
    )


def who_is_ready(season: Season) -> tuple[DeskLine, ...]:
    """Planned animals that are not ready, then the ready ones of the plans by sex, then ready ones without a plan."""
    collection = season.collection
    unready = _unready(season)
    ready = {one.animal: one for one in season.ready if one.animal not in unready}
    used = dict.fromkeys(
        name for one in season.planned for name in (one.plan.female, one.male, one.plan.backup) if name
    )
    lines = []
    for name in sorted(used.keys() & unready):
        verdict = "Not ready" if sentences.against(season, name) else "Not known"
        said = f"in a plan; {unready[name]}"
        lines.append(DeskLine(f"{verdict}: {sentences.called(collection, name)}", said, strong=True))
    for sex, title in (("female", "females"), ("male", "males")):
        planned = [ready[name] for name in sorted(used) if name in ready and collection.animals[name].sex == sex]
        if planned:
            lines.append(DeskLine(f"Ready {title} of the plans", _names_to_breed(season, planned)))
    free = [one for name, one in ready.items() if name not in used]
    if free:
        lines.append(DeskLine("Ready, in no plan", _names_to_breed(season, free)))
    return tuple(lines)


def _names_to_breed(season: Season, found: Iterable[BreedingReadiness]) -> str:
    """ "Candle (not eaten for 32 days), Wick (weigh again)"."""
    hungry = {one.animal: f"not eaten for {sentences.days(one.days or 0)}" for one in season.feeding.long}

    def name(one: BreedingReadiness) -> str:
        notes = "; ".join(filter(None, (hungry.get(one.animal), "weigh again" if one.weight_is_old else "")))
        return _short(season, one.animal) + (f" ({notes})" if notes else "")

    return ", ".join(map(name, found))


def due_this_week(season: Season, *, people: bool = True) -> tuple[DeskLine, ...]:
    """Overdue and this week's windows, holds and loans that end."""
    lines = [_due_line(season, item) for item in season.due if item.state != "later"]
    lines += [
        _hold_line(season, one, strong=one.days_left < 0)
        for one in season.holds
        if one.days_left is not None and one.days_left <= 6
    ]
    lines += [
        DeskLine(sentences.loan(season.collection, one, people=people), strong=one.days_left < 0)
        for one in season.loans
        if one.days_left <= 6
    ]
    return tuple(lines)


def _due_line(season: Season, item: Due) -> DeskLine:
    late = item.state == "overdue"
    look = "; look at her, and ask a reptile veterinarian" if late and item.comes == "laid" else ""
    when = f"{sentences.due_when(item, season.day)}{look}"
    return DeskLine(words.clause(sentences.due_what(season.collection, item)), when, strong=late)


def _hold_line(season: Season, one: Hold, *, strong: bool) -> DeskLine:
    animals = sentences.animals_of(season.collection, one.sale.animals)
    return DeskLine(f"Hold on {animals}", sentences.hold(one, season.day), strong)


def due_views(season: Season) -> tuple[DueView, ...]:
    told = ((item, words.clause(sentences.due_what(season.collection, item))) for item in season.due)
    return tuple(
        DueView(
            what, sentences.due_when(item, season.day), sentences.due_why(item, season.day), item.source, item.state
        )
        for item, what in told
    )


def proves_most(season: Season) -> tuple[DeskLine, ...]:
    """The planned pairing that settles most, and the best pair of ready animals that nobody planned, if it settles more."""
    collection = season.collection
    gone = {name for name in season.planned_absent if not collection.animals[name].here}
    waited = (one for one in season.planned if not one.idle and gone.isdisjoint((one.male, one.plan.female)))
    told = ((one, sentences.proposed(season, one)) for one in waited)
    best, said = next(((one, said) for one, said in told if said), (None, ""))
    lines = []
    if best is not None:
        name = sentences.pair_name(collection, best.male, best.plan.female)
        lines.append(DeskLine(name, said, strong=best.settled > 0))
    unplanned = (pair for pair in season.pairs if pair.ready and not pair.planned)
    free = next((pair for pair in unplanned if not season.waits(pair.male, pair.female)), None)
    if free is not None and (best is None or free.settled > best.settled):
        coefficient = inbreeding_words(season.sources.telling_its_owner, free.male, free.female, free.inbreeding)
        kin = f"; related: their young would have an inbreeding coefficient of {coefficient}" if free.inbreeding else ""
        name = sentences.pair_name(collection, free.male, free.female)
        lines.append(DeskLine(f"Not planned: {name}", f"{sentences.telling_most(season, free)}{kin}"))
    return tuple(lines)


# The room


def room_cards(season: Season) -> tuple[RoomCard, ...]:
    """The cards of the room, without those that have nothing to say."""
    made = (not_eaten, feeds, quarantine, incubator, _unexpected, tell_card, balance_card)
    cards = (make(season) for make in made)
    return tuple(card for card in cards if card.lines or card.more)


# Eating


def not_eaten(season: Season) -> RoomCard:
    """Every animal of the room: those without a meal for long, the others folded, the longest first; those that lose weight before them."""
    round_ = season.feeding
    if round_.last_row is None:
        return RoomCard("not-eaten", "Not eaten since", ())
    quiet = round_.quiet
    others = [one for one in round_.animals if not one.long and one not in quiet]
    last_row = sentences.short_when(round_.last_row, season.day)
    behind = (
        f"By the log no animal has been offered food since {last_row}. The log may be behind, so nothing is concluded."
    )
    eaten = any(one.last_meal for one in round_.animals)
    none_long = (
        "No animal whose meals are logged has gone long without one, by its own habit or that of its species."
        if eaten
        else "No meal is logged."
    )
    return RoomCard(
        "not-eaten",
        "Not eaten since",
        (*(_eaten(season, one, strong=True) for one in _long(season)), *([_quiet(season, quiet)] if quiet else [])),
        "" if round_.ended else none_long,
        (*([behind] if round_.ended else _by_habit_alone(season)), *([NOT_EATING] if round_.long else [])),
        f"{'The other ' if round_.long or quiet else ''}{words.plural(len(others) + len(round_.silent), 'animal')}",
        (*(_eaten(season, one) for one in others), *([_silent(season, round_.silent)] if round_.silent else [])),
        sources=tuple(dict.fromkeys(f"Source: {one.source}." for one in round_.long if one.source)),
    )


def _long(season: Season) -> Sequence[Feeding]:
    return sorted(season.feeding.long, key=lambda one: one.animal not in season.losing)


def _by_habit_alone(season: Season) -> Iterable[str]:
    """A sentence on each species fed here whose trait file does not say what a long time without a meal is."""
    collection = season.collection
    fed = (collection.animals[one.animal] for one in season.feeding.animals)
    for key in dict.fromkeys(one.species for one in fed if usual_feeding(one, collection, season.day) is None):
        name = collection.species[key].heading
        yield f"{name}: its trait file has no `feeding`, so only an animal's own habit in the log tells how long without a meal is long."


def _eaten(season: Season, one: Feeding, *, strong: bool = False) -> DeskLine:
    return DeskLine(sentences.called(season.collection, one.animal), since(one, season), strong)


def _quiet(season: Season, found: Sequence[Feeding]) -> DeskLine:
    names = [
        f"{_short(season, one.animal)} (last meal {sentences.last_seen(one.last_meal, season.day)})"
        if one.last_meal is not None
        else _short(season, one.animal)
        for one in found
    ]
    return DeskLine(
        f"Nothing logged for more than {LOG_ENDS_AFTER.days} days: {words.plural(len(found), 'animal')}",
        f"{', '.join(names)}. Either the log is behind, or they have not eaten: look.",
        strong=True,
    )


def _silent(season: Season, found: Sequence[str]) -> DeskLine:
    count = words.plural(len(found), "animal")
    return DeskLine(f"No meal is logged of {count}:", f"{sentences.animals_of(season.collection, found)}.")


def since(one: Feeding, season: Season) -> str:
    """ "49 days; last meal 7 Oct; 3 refusals since; fed every 14 days; once 70 days before"."""
    if one.cooled is not None:
        return f"cooled since {sentences.last_seen(one.cooled, season.day)}, and not offered food since"
    if one.last_meal is None:
        parts = [_never_fed(one, season)]
    elif one.last_meal.last == season.day:
        parts = ["ate today"]
    else:
        back = (season.day - one.last_meal.last).days != one.days
        least = "warm for " if one.warmed else "here for " if back else "" if one.last_meal.exact else "at least "
        parts = [f"{least}{sentences.days(one.days or 0)}; last meal {sentences.last_seen(one.last_meal, season.day)}"]
    if one.refused and one.last_meal is not None:
        parts.append(f"{words.plural(one.refused, 'refusal')} since")
    if one.every is not None:
        parts.append(f"{'offered food' if one.own else 'at its age commonly fed'} every {sentences.days(one.every)}")
    if one.longest is not None and one.days is not None and one.long:
        parts.append(f"its longest time between meals before: {sentences.days(one.longest)}")
    if one.animal in season.losing:
        parts.append(sentences.lost_since(season.losing[one.animal], season.day))
    return "; ".join(parts)


def _never_fed(one: Feeding, season: Season) -> str:
    """ "no meal is logged since it hatched 20 days ago; 2 refusals", "no meal is logged; 3 refusals, the first 39 days ago"."""
    hatched, refused = season.collection.animals[one.animal].hatched, words.plural(one.refused, "refusal")
    if hatched is not None and (season.day - hatched.last).days == one.days:
        return f"no meal is logged since it hatched {_ago(one.days)}{f'; {refused}' if one.refused else ''}"
    if not one.refused:
        return "no meal is logged"
    first = min(row.day for row in season.private.of(one.animal) if row.event == "refused")
    return f"no meal is logged; {refused}{', the first' if one.refused > 1 else ''} {_ago((season.day - first).days)}"


def _ago(days: int) -> str:
    return f"{sentences.days(days)} ago" if days else "today"


def feeds(season: Season) -> RoomCard:
    """Whom to feed today, and in the six days after, day by day."""
    today = season.day
    now = season.feeding.due_by(today)
    lines = []
    if now:
        lines.append(DeskLine(f"Today: {len(now)}", _names(season, now), strong=True))
    for ahead in range(1, 7):
        day = today + timedelta(days=ahead)
        then = [one for one in season.feeding.animals if one.due == day]
        if then:
            lines.append(DeskLine(f"{sentences.short_day(day, today)}: {len(then)}", _names(season, then)))
    counted = "Counted from the last day on which food was offered, by its own habit, else by its species and age."
    return RoomCard("feeds", "Feeds due", tuple(lines), notes=(counted,))


def _names(season: Season, found: Sequence[Feeding]) -> str:
    return ", ".join(_short(season, one.animal) for one in sorted(found, key=lambda one: natural(one.animal)))


# Set apart, and in the incubator


def quarantine(season: Season) -> RoomCard:
    lines = tuple(_apart(season, one) for one in season.set_apart)
    return RoomCard("apart", "Quarantine and treatment", lines, notes=(UNTIL_THEN,) if lines else ())


def _apart(season: Season, one: Spell) -> DeskLine:
    usual = "" if one.said else f", {KEPT_FOR[one.how].days} days, as the log names no end"
    note = f": {one.note}" if one.note else ""
    since_ = sentences.last_seen(one.since, season.day)
    return DeskLine(
        sentences.called(season.collection, one.animal),
        f"{sentences.apart_words(one.how, one.until)} (since {since_}{usual}){note}",
        strong=True,
    )


def incubator(season: Season) -> RoomCard:
    return RoomCard("incubator", "In the incubator", tuple(_egg_line(season, one) for one in season.incubating))


def _egg_line(season: Season, one: Incubating) -> DeskLine:
    today = season.day
    usual = f" of about {one.usual[0]} to {one.usual[1]}" if one.usual else ""
    about = day_words.about(one.pipped or one.laid)
    parts = [f"box {one.box}"] if one.box else []
    parts.append("the day of laying is not on record" if one.day is None else f"{_days_since(one, today)}{usual}")
    if one.pipped is not None:
        parts.append(f"pipped {sentences.last_seen(one.pipped, today)}")
    elif one.pip is not None:
        parts.append(f"pipping expected {about}{sentences.span(*one.pip, today)}")
    if one.hatch is not None:
        parts.append(f"hatching {about}{sentences.span(*one.hatch, today)}")
    if one.good is not None:
        parts.append(words.plural(one.good, "good egg"))
    if one.temperature is not None:
        parts.append(f"{one.temperature.value} {sentences.short_on(one.temperature.on, today)}")
    notes = [_noted(season, row) for row in one.notes[:MOST_NOTES]]
    noted = f". Noted: {'; '.join(notes)}" if notes else ""
    soon = one.pip is not None and one.pip[0] <= today
    return DeskLine(_clutch(season, one), f"{'; '.join(parts)}{noted}", strong=soon)


def _days_since(one: Incubating, today: date) -> str:
    """Days since the eggs were laid: "day 47 to 49" where that was between two days, "day 47 or later" where it was before one."""
    if one.laid is None or one.laid.open:
        return f"day {one.day} or later"
    earliest = (today - one.laid.first).days
    return f"{day_words.about(one.laid)}day {one.day}" + (f" to {earliest}" if earliest != one.day else "")


def _noted(season: Season, row: LogRow) -> str:
    """ "20 Oct: candled 6 (one is small)"."""
    event = "" if row.event == "note" else f" {row.event}"
    value = plain_number(row.number) if row.number is not None else row.value
    value = f" {value}" if value else ""
    note = (f" {row.note}" if row.event == "note" else f" ({row.note})") if row.note else ""
    return f"{sentences.short_when(row.on, season.day)}:{event}{value}{note}"


def _clutch(season: Season, one: Incubating) -> str:
    return f"{one.clutch} ({sentences.short_name(season.collection, one.dam)})"


# Results, people and money


def _unexpected(season: Season) -> RoomCard:
    lines = tuple(DeskLine(one.text, strong=True) for one in season.unexpected)
    link = NavLink("What it could be", f"{PROVING}#unexpected")
    return RoomCard("unexpected", "Unexpected results", lines, link=link)


def tell_card(season: Season) -> RoomCard:
    lines = []
    for one in season.tell:
        changes = f"{sentences.called_dead(season.collection, one.animal)}: {'; '.join(map(now_words, one.changes))}"
        lines.append(DeskLine(sentences.buyer(one.sale), changes))
    return RoomCard("to-tell", "People to tell", tuple(lines), link=NavLink("Messages to paste", f"{PEOPLE}#tell"))


def balance_card(season: Season) -> RoomCard:
    currency = season.collection.settings.currency
    lines = []
    for one in season.balances:
        said = f"{sentences.animals_of(season.collection, one.sale.animals)}: {sentences.balance(one, currency)}"
        lines.append(DeskLine(sentences.buyer(one.sale), said, strong=one.gone or one.open_ < 0))
    link = NavLink("Payments and terms", f"{PEOPLE}#balances")
    return RoomCard("open-balances", "Open balances", tuple(lines), link=link)


def _short(season: Season, name: str) -> str:
    """Its name alone, with the id where another has the same."""
    animal = season.collection.animals[name]
    return animal.called if animal.name in season.shared_names else animal.name or name
