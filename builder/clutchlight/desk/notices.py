"""What does not fit, and whom nobody can tell: each a sentence that says who, what and when, and names both sides."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from clutchlight.desk.season import PlannedPairing, Season
from clutchlight.desk.sentences import (
    animals_of,
    apart_words,
    called,
    if_he_alone,
    short_day,
    short_on,
    short_when,
    span,
)
from clutchlight.model import Collection
from clutchlight.model.traits import grouped
from clutchlight.planning.discrepancies import (
    Absence,
    CountDiffers,
    DayDiffers,
    Discrepancy,
    Forgotten,
    LoggedAbsent,
    OfferedAbsent,
    OtherMale,
    PlanAnswered,
    PlannedAbsent,
    PlanPast,
    SexDiffers,
)
from clutchlight.statements.animals import TypedFigure
from clutchlight.statements.results import hanging_words
from clutchlight.wording import day_words, words

_MOST_NAMED = 5

_LEFT = {
    "died": "died",
    "sold": "was sold",
    "traded": "was traded",
    "loan": "went on loan",
    "returned": "went back",
    "re-homed": "was re-homed",
    "escaped": "escaped",
}
_COUNTED = {
    "eggs": "the log says {} laid; the record has {} good",
    "slugs only": "the log says slugs only ({}); the record has {} good",
    "slugs": "slugs only: the log counts {}; the record {}",
    "lost": "the log says {} lost; the record has {} gone bad",
    "candled": "{} looked good when candled; the record has {}",
    "young": "the log says {} hatched; the record has {}",
}


def notices(season: Season) -> tuple[str, ...]:
    """Everything that does not fit, a sentence each; then what is certain only if no other male sired a clutch."""
    told = {(male.clutch, male.male) for one in season.hanging for male in one.males}
    found = tuple(
        discrepancy(season.collection, one, season.day)
        for one in season.differing
        if not (isinstance(one, OtherMale) and (one.clutch, one.male) in told)
    )
    return (*found, *(hanging_words(season.sources.telling, one) for one in season.hanging))


def of_plan(season: Season, planned: PlannedPairing) -> tuple[str, ...]:
    """Why one of the two is not to be used, and who else was with her."""
    absent = (
        discrepancy(season.collection, one, season.day)
        for one in season.differing
        if isinstance(one, PlannedAbsent) and one.animal in (planned.male, planned.plan.female)
    )
    alone = if_he_alone(season, planned.male, planned.plan.female)
    return (*absent, *([f"The figures of this pairing hold {alone}."] if alone else []))


def discrepancy(collection: Collection, one: Discrepancy, today: date) -> str:
    match one:
        case PlannedAbsent():
            mates = animals_of(collection, one.mates)
            return f"{called(collection, one.animal)} is planned with {mates}, and {_absent(one.absence, today)}."
        case OfferedAbsent():
            offered = "promised to somebody" if one.promised else "on offer"
            return f"{called(collection, one.animal)} is {offered}, and {_absent(one.absence, today)}."
        case LoggedAbsent():
            more = f" and {words.plural(one.rows - 1, 'more row')}" if one.rows > 1 else ""
            rows = f"'{one.event}' {short_on(one.on, today)}{more}"
            return f"{called(collection, one.animal)}: the log has {rows}, {_then(one.absence, today)}."
        case PlanAnswered():
            males = words.join_or([called(collection, male) for male in one.plan.males])
            what = one.clutch or "by the log"
            by = f", by {words.join_or([called(collection, sire) for sire in one.sires])}" if one.sires else ""
            slugs = "slugs alone " if one.slugs else ""
            return (
                f"The plan of {called(collection, one.plan.female)} with {males} has no result yet, and she has laid {slugs}({what}, "
                f"{short_when(one.laid, today)}{by}): write its `result`."
            )
        case PlanPast():
            males, until = words.join_or([called(collection, male) for male in one.males]), short_when(one.until, today)
            return (
                f"The plan of {called(collection, one.plan.female)} with {males} was until {until}, and no laying is on record; the site "
                "still shows it as planned: write its `result`."
            )
        case CountDiffers():
            return f"{one.clutch}: {_COUNTED[one.what].format(one.logged, one.recorded)}."
        case DayDiffers():
            logged, recorded = short_on(one.logged, today), short_on(one.recorded, today)
            return f"{one.clutch}: {one.what} {logged} by the log, {recorded} by the record."
        case Forgotten():
            if one.seen is not None:
                event, on = one.seen
                return f"{one.clutch}: {event} {short_on(on, today)} by the log, and its record says nothing of it; write `hatched`."
            usual = f"such eggs commonly hatch by {short_day(one.last, today)}"
            return (
                f"{one.clutch} was laid {short_on(one.laid, today)}; {usual}, and nothing more is on record: write `hatched`, or "
                "`ended` if none did."
            )
        case OtherMale():
            lock = ", with a lock" if one.seen and one.seen.locked else ""
            days = span(one.seen.first, one.seen.last, today) if one.seen else ""
            return (
                f"{one.clutch}: the log puts {called(collection, one.male)} with {called(collection, one.dam)} too "
                f"({days}{lock}), and `sire` does not name him."
            )
        case SexDiffers():
            recorded = "gives no sex" if one.recorded == "unknown" else f"says {one.recorded}"
            said = f"the log says {one.logged} {short_on(one.on, today)}"
            return f"{called(collection, one.animal)}: {said}; its record {recorded}."


def typed_figure(collection: Collection, one: TypedFigure) -> str:
    """ "C25-01-2, sold: 100% was typed for Piebald; the records give 66%."."""
    sold = ", sold" if one.sold else ""
    ours = (
        f"no record speaks of {one.trait}"
        if one.ours is None
        else f"the records say that it {one.certain}"
        if one.certain
        else f"the records give {words.percent_text(one.ours)}"
        if one.ours
        else f"nothing on record speaks for {one.trait}"
    )
    return f"{called(collection, one.animal)}{sold}: {words.percent_text(one.typed)} was typed for {one.trait}; {ours}."


def nobody_to_tell(season: Season) -> Iterator[str]:
    """Sold animals that nobody is known to have, holds for nobody, and hand-overs that no dated record stands beside."""
    if season.without_buyer:
        names = animals_of(season.collection, season.without_buyer)
        animals = [season.collection.animals[name] for name in season.without_buyer]
        traded = any(one.away is not None and one.away.how == "traded" for one in animals)
        yield f"Sold{' or traded' if traded else ''}, and no sale says to whom: {names}."
    if season.without_hold:
        names = animals_of(season.collection, season.without_hold)
        yield f"Marked on hold, and no sale says for whom or until when: {names}."
    yield from _told_of(season)
    handed = [one for one in season.undated if not one.told]
    if handed:
        gone = [
            f"{called(season.collection, one.animal)} ({short_when(one.on, season.day)})"
            for one in handed[-_MOST_NAMED:]
        ]
        earlier = len(handed) - len(gone)
        alone = len(handed) == 1
        says = "its page says" if alone else "their pages say"
        more = f", and {words.plural(earlier, 'animal')} before" if earlier else ""
        late = animals_of(season.collection, [one.animal for one in handed if one.still])
        still = f" `build` says how to date what was said of {late} all the same." if late else ""
        yield (
            f"Handed over without a dated record of what was said: {words.join_and(gone)}{more}. You need do nothing: what {says} of"
            f" that time is worked out from your records.{still}"
        )


def _told_of(season: Season) -> Iterator[str]:
    """What buyers were told, where no dated record holds it: while it can be dated, and once a correction may bear on it."""
    told = [one for one in season.undated if one.told]
    if told:
        days = [f"{called(season.collection, one.animal)} ({short_when(one.on, season.day)})" for one in told]
        yield f"Told without a dated record of what you said: {words.join_and(days)}. `build` says how to date it."
    for on, animals in grouped((one.corrected, one.animal) for one in season.told_what).items():
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
        return "Nobody of whom we know; some sold animals have no buyer on record."
    return "Nobody: every buyer knows what we know."


def _absent(absence: Absence, today: date) -> str:
    """ "died on 15 Aug", "is in quarantine until 30 Jan 2027"."""
    since = f" {short_on(absence.since, today)}" if absence.since else ""
    if absence.until is not None:
        return f"is {apart_words(absence.how, absence.until)}"
    if absence.how == "elsewhere":
        return "was never in this room: its status is `elsewhere`"
    return f"{_LEFT[absence.how]}{since}"


def _then(absence: Absence, today: date) -> str:
    """ "after it died on 15 Aug", "before its arrival on 1 May", "in its quarantine, which began on 1 Nov"."""
    since = f" {short_on(absence.since, today)}" if absence.since else ""
    if absence.how == "came":
        return f"before its arrival{since}"
    return (
        f"after it {_absent(absence, today)}" if absence.how in _LEFT else f"in its {absence.how}, which began{since}"
    )
