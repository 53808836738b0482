"""What does not fit, and whom nobody can tell: each a sentence that says who, what and when, and names both sides."""

from __future__ import annotations

from collections.abc import Iterator, Set as AbstractSet
from datetime import date

from clutchlight.desk.season import PlannedPairing, Season
from clutchlight.desk.sentences import (
    animals_of,
    apart_words,
    called,
    grams,
    if_he_alone,
    short_day,
    short_on,
    short_when,
    span,
)
from clutchlight.model import Clutch, Collection
from clutchlight.model.animals import SOLD
from clutchlight.model.private import CLUTCH_EVENTS, Private
from clutchlight.model.traits import grouped
from clutchlight.planning.room import (
    FORGOTTEN_AFTER,
    Absence,
    absence,
    absences,
    answer_to,
    eggs_lost,
    has_good_eggs,
    hatching_ends,
    ill_in,
    loans_of_dam,
    may_be_shown,
    other_males,
    planned_absent,
    rows_of,
)
from clutchlight.reading.fields import SEXES
from clutchlight.statements.animals import TypedFigure
from clutchlight.statements.results import hanging_words
from clutchlight.wording import day_words, words

_LEFT = {"died": "died", "loan": "went on loan", "returned": "went back", "escaped": "escaped"}


def notices(season: Season) -> tuple[str, ...]:
    """Everything that does not fit, a sentence each; then what is certain only if no other male sired a clutch."""
    told = {(male.clutch, male.male) for one in season.hanging for male in one.males}
    found = what_does_not_fit(season.collection, season.private, season.day, told=told)
    return (*found, *(hanging_words(season.sources.telling, one) for one in season.hanging))


def of_plan(season: Season, planned: PlannedPairing) -> tuple[str, ...]:
    """Why one of the two is not to be used, and who else was with her."""
    absent = (
        _planned_absent(season.collection, name, mates, away, season.day)
        for name, (mates, away) in season.planned_absent.items()
        if name in (planned.male, planned.plan.female)
    )
    alone = if_he_alone(season, planned.male, planned.plan.female)
    return (*absent, *([f"The figures of this pairing hold {alone}."] if alone else []))


def what_does_not_fit(
    collection: Collection,
    private: Private,
    day: date,
    *,
    rows: bool = True,
    told: AbstractSet[tuple[str, str]] = frozenset(),
) -> tuple[str, ...]:
    """All that does not fit on a day: plans, what is on offer, the log by animal, then the log against each clutch.

    `rows`: whether rows of animals that are gone, ill or not yet here are told; `told`: clutches and other males of whom more is said
    elsewhere.
    """
    absent = planned_absent(collection, private, day).items()
    return (
        *(_planned_absent(collection, name, mates, away, day) for name, (mates, away) in absent),
        *_plans(collection, private, day),
        *_offered(collection, private, day),
        *(_logged_absent(collection, private, day) if rows else ()),
        *_odd_weights(collection, private, day),
        *_sexes(collection, private, day),
        *(said for clutch in collection.clutches.values() for said in _clutch(clutch, collection, private, day)),
        *_other_males(collection, private, day, told),
        *_loans_of_dams(collection, private, day),
    )


def _planned_absent(collection: Collection, name: str, mates: tuple[str, ...], away: Absence, today: date) -> str:
    return f"{called(collection, name)} is planned with {animals_of(collection, mates)}, and {_absent(away, today)}."


def _plans(collection: Collection, private: Private, day: date) -> Iterator[str]:
    """Open plans whose female has laid since they began; and public ones whose last day is over: the site goes by no clock."""
    for plan in private.plans:
        answer = answer_to(plan, collection, private, day)
        past = plan.public and plan.result is None and plan.last < day
        shown = tuple(male for male in plan.males if may_be_shown(collection, plan, male, over=False))
        males = words.join_or([called(collection, male) for male in (plan.males if answer else shown)])
        the_plan = f"The plan of {called(collection, plan.female)} with {males}"
        if answer is not None and (plan.current(day) or (past and answer.clutch is None)):
            by = f", by {words.join_or([called(collection, sire) for sire in answer.sires])}" if answer.sires else ""
            what = f"{'slugs alone ' if answer.slugs else ''}({answer.clutch or 'by the log'}"
            laid = f"{what}, {short_when(answer.laid, day)}{by})"
            yield f"{the_plan} has no result yet, and she has laid {laid}: write its `result`."
        if answer is None and past and shown:
            began = f"began {short_on(plan.start, day)}" if plan.start and not plan.until else ""
            ran = began or f"was until {short_day(plan.last, day)}"
            or_until = ", or `until` if it goes on" if began else ""
            yield f"{the_plan} {ran}, and no laying is on record; the site may still show it as planned: write its `result`{or_until}."


def _offered(collection: Collection, private: Private, day: date) -> Iterator[str]:
    promised = private.promised(day)
    for name, animal in collection.animals.items():
        if name in promised or (animal.away is None and animal.status in ("available", "on hold")):
            away = absence(animal, private.log, day)
            if away is not None and not (name in promised and away.how == "sold"):
                offered = "promised to somebody" if name in promised else "on offer"
                yield f"{called(collection, name)} is {offered}, and {_absent(away, day)}."


def _odd_weights(collection: Collection, private: Private, day: date) -> Iterator[str]:
    """Weights that no snake reaches so fast."""
    for row in private.log:
        if (before := row.odd_after) is not None and row.day <= day:
            weights = (
                f"{grams(row.number)} {short_on(row.on, day)}, after {grams(before.number)} {short_on(before.on, day)}"
            )
            gain = "Until a weight like it follows, it does not count."
            loss = "If they are right, let a reptile veterinarian see the animal."
            said = gain if row.weight is None else loss
            yield f"{called(collection, row.animal)}: the log has {weights}; look at the digits. {said}"


def _logged_absent(collection: Collection, private: Private, day: date) -> Iterator[str]:
    """Rows in the log of an animal after it left, in its quarantine, or before it came."""
    ill = ill_in(private.log)
    known = (row for row in private.log if row.day <= day)
    found = grouped(((one.id, row.event, away), row) for row in known for one, away in absences(row, collection, ill))
    for (name, event, away), rows in sorted(found.items(), key=lambda one: (one[0][0], one[1][0].day, one[0][1])):
        more = f" and {words.plural(len(rows) - 1, 'more row')}" if len(rows) > 1 else ""
        log = f"'{event}' {short_on(rows[0].on, day)}{more}"
        yield f"{called(collection, name)}: the log has {log}, {_then(away, day)}."


def _sexes(collection: Collection, private: Private, day: date) -> Iterator[str]:
    for row in private.log:
        animal = collection.animals[row.animal]
        sex = SEXES.get((row.value or "").casefold()) if row.event == "sexed" and row.day <= day else None
        if sex not in ("male", "female") or sex == animal.sex:
            continue
        if not any(one.key == "sex" and one.on.last >= row.day for one in animal.corrections):
            recorded = "gives no sex" if animal.sex == "unknown" else f"says {animal.sex}"
            yield f"{called(collection, animal.id)}: the log says {sex} {short_on(row.on, day)}; its record {recorded}."


def _clutch(clutch: Clutch, collection: Collection, private: Private, day: date) -> Iterator[str]:
    if clutch.laid is None or clutch.laid.vague or clutch.reported_by is not None:
        return
    rows = rows_of(clutch, collection, private, day)
    of = {event: [row for row in rows if row.event == event] for event in CLUTCH_EVENTS}
    if not clutch.over and has_good_eggs(clutch, collection, private, day):
        seen = next(iter((*reversed(of["hatched"]), *reversed(of["pipped"]))), None)
        ends = hatching_ends(clutch, collection, private)
        late = ends is not None and ends + FORGOTTEN_AFTER < day
        if seen is not None and (late or seen.event == "hatched"):
            said = f"{seen.event} {short_on(seen.on, day)} by the log"
            yield f"{clutch.id}: {said}, and its record says nothing of it; write `hatched`."
        elif late and ends is not None:
            usual = f"such eggs commonly hatch by {short_day(ends, day)}"
            yield (
                f"{clutch.id} was laid {short_on(clutch.laid, day)}; {usual}, and nothing more is on record: write `hatched`, or "
                "`ended` if none did."
            )
    for row in of["laid"][:1]:
        eggs = clutch.eggs
        if eggs is not None and row.number is not None and row.number not in (eggs, eggs + clutch.slugs):
            yield f"{clutch.id}: the log says {row.number} laid; the record has {eggs} good."
        if not clutch.laid.first <= row.day <= clutch.laid.last:
            yield f"{clutch.id}: laid {short_on(row.on, day)} by the log, {short_on(clutch.laid, day)} by the record."
    for row in of["slugs only"][:1]:
        if clutch.eggs:
            yield f"{clutch.id}: the log says slugs only ({row.number or 0}); the record has {clutch.eggs} good."
        elif row.number is not None and row.number != clutch.slugs:
            yield f"{clutch.id}: slugs only: the log counts {row.number}; the record {clutch.slugs}."
    most = max((row.number for row in of["candled"] if row.number is not None), default=0)
    if clutch.eggs is not None and most > clutch.eggs:
        yield f"{clutch.id}: {most} looked good when candled; the record has {clutch.eggs}."
    lost = eggs_lost(of["egg lost"])
    if lost > clutch.went_bad and clutch.ended is None:
        yield f"{clutch.id}: the log says {lost} lost; the record has {clutch.went_bad} gone bad."
    hatched = of["hatched"]
    if clutch.hatched is not None and hatched:
        young = clutch.hatchlings
        logged = sum(row.number for row in hatched if row.number is not None)
        if logged and logged not in (young, young + clutch.unseen) and clutch.complete:
            yield f"{clutch.id}: the log says {logged} hatched; the record has {young}."
        if not any(clutch.hatched.first <= row.day <= clutch.hatched.last for row in hatched):
            on, recorded = short_on(hatched[-1].on, day), short_on(clutch.hatched, day)
            yield f"{clutch.id}: hatched {on} by the log, {recorded} by the record."


def _other_males(
    collection: Collection, private: Private, day: date, told: AbstractSet[tuple[str, str]]
) -> Iterator[str]:
    for one in other_males(collection, private):
        if one.beside and one.seen is not None and (one.clutch, one.male) not in told:
            lock = ", with a lock" if one.seen.locked else ""
            log = f"the log puts {called(collection, one.male)} with {called(collection, one.dam)} too"
            seen = f"({span(one.seen.first, one.seen.last, day)}{lock})"
            yield f"{one.clutch}: {log} {seen}, and `sire` does not name him."


def _loans_of_dams(collection: Collection, private: Private, day: date) -> Iterator[str]:
    for clutch in collection.clutches.values():
        for went, back in loans_of_dam(clutch, collection, private, day):
            away = f"on loan from {short_when(went, day)} to {short_when(back, day)}, before it was laid"
            unknown = "where somebody may have been, add `unknown` to `sire`"
            yield f"{clutch.id}: {called(collection, clutch.dam)} was {away}; who was with her there is not in the log: {unknown}."


def typed_figure(collection: Collection, one: TypedFigure) -> str:
    """ "C25-01-2, sold: 100% was typed for Piebald; the records give 66%."."""
    sold = ", sold" if one.sold else ""
    ours = f"nothing on record speaks for {one.trait}"
    if one.ours is None:
        ours = f"no record speaks of {one.trait}"
    elif one.certain:
        ours = f"the records say that it {one.certain}"
    elif one.ours:
        ours = f"the records give {words.percent_text(one.ours)}"
    return f"{called(collection, one.animal)}{sold}: {words.percent_text(one.typed)} was typed for {one.trait}; {ours}."


def nobody_to_tell(season: Season) -> Iterator[str]:
    """Sold animals that nobody is known to have, holds for nobody, and hand-overs that no dated record stands beside."""
    if season.without_buyer:
        names = animals_of(season.collection, season.without_buyer)
        yield f"{_ways_out(season).capitalize()}, and no sale says to whom: {names}."
    if season.without_hold:
        names = animals_of(season.collection, season.without_hold)
        yield f"Marked on hold, and no sale says for whom or until when: {names}."
    yield from _told_of(season)
    handed = [one for one in season.undated if not one.told]
    if handed:
        latest = reversed(handed)
        gone = [f"{called(season.collection, one.animal)} ({short_when(one.on, season.day)})" for one in latest]
        alone = len(handed) == 1
        says = "its page says" if alone else "their pages say"
        late = animals_of(season.collection, [one.animal for one in handed if one.still])
        still = f" `build` says how to date what was said of {late} all the same." if late else ""
        yield (
            f"Handed over without a dated record of what was said: {words.first_few(gone)}. You need do nothing: what"
            f" {says} of that time is worked out from your records.{still}"
        )


def _told_of(season: Season) -> Iterator[str]:
    """What buyers were told, where no dated record holds it: while it can be dated, and once a correction may bear on it."""
    told = [one for one in season.undated if one.told]
    if told:
        days = [f"{called(season.collection, one.animal)} ({short_when(one.on, season.day)})" for one in told]
        yield f"Told without a dated record of what you said: {words.join_and(days)}. `build` says how to date it."
    for on, animals in season.told_what.items():
        whose, page = ("its buyer", "its page says") if len(animals) == 1 else ("their buyers", "their pages say")
        whom = animals_of(season.collection, animals)
        corrected = f"a record that may bear on it was corrected on {day_words.day(on)}"
        otherwise = f"if that was something else than {page} now, write again"
        yield f"{whom}: what you told {whose} stands in no dated record, and {corrected}; {otherwise}."


def all_told(season: Season) -> str:
    """What is said where nobody is to be told."""
    if season.told_what:
        return "Nobody of whom we know; what some buyers were told stands in no dated record."
    if season.without_buyer:
        return f"Nobody of whom we know; some {_ways_out(season)} animals have no buyer on record."
    return "Nobody: every buyer knows what we know."


def _ways_out(season: Season) -> str:
    """ "sold or traded": how the animals went that no sale names the owner of."""
    ways = {season.collection.animals[name].way_out for name in season.without_buyer}
    return words.join_or([way for way in SOLD if way in ways])


def _absent(absence: Absence, today: date) -> str:
    """ "died on 15 Aug", "is in quarantine until 30 Jan 2027"."""
    since = f" {short_on(absence.since, today)}" if absence.since else ""
    if absence.until is not None:
        return f"is {apart_words(absence.how, absence.until)}"
    if absence.how == "elsewhere":
        return "was never in this room: its status is `elsewhere`"
    return f"{_LEFT.get(absence.how, f'was {absence.how}')}{since}"


def _then(absence: Absence, today: date) -> str:
    """ "after it died on 15 Aug", "before its arrival on 1 May", "in its quarantine, which began on 1 Nov"."""
    since = f" {short_on(absence.since, today)}" if absence.since else ""
    if absence.how == "came":
        return f"before its arrival{since}"
    if absence.until is not None:
        return f"in its {absence.how}, which began{since}"
    return f"after it {_absent(absence, today)}"
