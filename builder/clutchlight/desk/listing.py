"""The season's lists as the command `season` gives them: lines for a terminal, and a JSON document (schemas/season.json)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from fractions import Fraction

from clutchlight.desk import sentences
from clutchlight.desk.at_a_glance import glance
from clutchlight.desk.gathering import PlannedPairing, Season
from clutchlight.desk.pages import Glance
from clutchlight.desk.sentences import called
from clutchlight.model import When
from clutchlight.model.private import Sale
from clutchlight.planning import odds_words
from clutchlight.planning.backup import Answer, Backup
from clutchlight.planning.odds_values import to_json as odds_to_json
from clutchlight.planning.odds_words import times_in_hundred
from clutchlight.planning.proving import BREEDING
from clutchlight.planning.rotation import MaleAtWork
from clutchlight.wording import words

MOST_TO_PROVE = 12
"""The most animals to prove that the terminal lists; the desk and `--json` have them all."""


def season_text(season: Season) -> str:
    """The lines that a terminal shows, with a line end at the end."""
    lines = [f"{season.collection.settings.name}, {sentences.long_day(season.day)}. Private."]
    for heading, found in _sections(season):
        body = list(found)
        if body:
            lines += ["", heading, *(f"  {line}" for line in body)]
    return "\n".join(lines) + "\n"


def _sections(season: Season) -> Iterator[tuple[str, Iterable[str]]]:
    collection, today, currency = season.collection, season.day, season.collection.settings.currency
    for answer in glance(season):
        yield answer.heading, _at_a_glance(answer)
    yield "Males in rotation", (line for male in season.males for line in _male(season, male))
    yield (
        "Due",
        (
            f"{sentences.due_when(item, today)}: {sentences.due_what(collection, item)} ({sentences.due_why(item, today)})"
            for item in season.due
        ),
    )
    settled = f"(settled: proved, or brought under {words.in_count(collection.settings.doubt_below)})"
    lines = [line for planned in season.planned for line in _planned(season, planned)]
    yield "Planned pairings", ([settled, *lines] if lines else lines)
    yield "Who needs proving", _to_prove(season)
    yield "Not ready to leave", (sentences.not_ready(collection, one) for one in season.not_ready)
    yield (
        "Holds",
        (
            f"{sentences.animals_of(collection, one.sale.animals)} for {_who(one.sale)}: {sentences.hold(one, today)}"
            for one in season.holds
        ),
    )
    yield (
        "Balances",
        (
            f"{_who(one.sale)}, {sentences.animals_of(collection, one.sale.animals)}: {sentences.balance(one, currency)}"
            for one in season.balances
        ),
    )
    yield "Shared animals", (sentences.loan(collection, one) for one in season.loans)
    yield (
        "People to tell",
        (
            f"{_who(one.sale)}, {called(collection, one.animal)}: "
            + "; ".join(f"{change.about}: then {change.before}, now {change.now}" for change in one.changes)
            for one in season.tell
        ),
    )
    yield (
        "Unexpected results",
        (line for one in season.unexpected for line in (one.text, *(f"  {text}" for text in one.explanations))),
    )


def _at_a_glance(answer: Glance) -> Iterator[str]:
    if not answer.lines:
        yield answer.nothing
    yield from (f"{line.text}: {line.detail}" if line.detail else line.text for line in answer.lines)


def _male(season: Season, male: MaleAtWork) -> Iterator[str]:
    collection, today = season.collection, season.day
    yield f"{called(collection, male.animal)}: {sentences.work(male)}; {sentences.rest(collection, male)}"
    yield f"  {sentences.weight(male, today)}; {sentences.feeding(male, today)}"
    for visit in male.females:
        yield f"  {sentences.visits(collection, visit, today)}"
    for flag in male.flags:
        yield f"  ! {flag.seen} (rule: {flag.rule}). {flag.commonly}"
    yield from dict.fromkeys(f"  Source of the rules: {flag.source}." for flag in male.flags)
    for caution in male.cautions:
        yield f"  {caution}"


def _planned(season: Season, planned: PlannedPairing) -> Iterator[str]:
    collection = season.collection
    name = sentences.pair_name(collection, planned.male, planned.plan.female)
    yield f"{name}: {sentences.progress(collection, planned, season.day)}"
    if planned.pair is None:
        yield "  settles no open question"
    else:
        yield from (
            f"  {sentences.question(collection, one)}; {sentences.proved(one)}" for one in planned.pair.questions
        )
    if planned.backup is not None:
        yield f"  with {called(collection, planned.backup.backup)} as the backup:"
        yield from (
            f"    {odds_words.backup_sentence(row, planned.backup, collection)}" for row in planned.backup.compared
        )
    yield from (f"  {text}" for text in planned.trouble)


def _to_prove(season: Season) -> Iterator[str]:
    """Animals that breed here, best first; the rest are counted."""
    collection = season.collection
    breeding = [one for one in season.to_prove if collection.animals[one.animal].status in BREEDING]
    for one in breeding[:MOST_TO_PROVE]:
        best = one.matings[0] if one.matings else None
        how = (
            f"{called(collection, best.mate)} settles it {times_in_hundred(best.settles)}"
            if best
            else "no mate here can tell"
        )
        yield f"{called(collection, one.animal)}, {one.trait} ({words.in_count(one.now)}): {how}"
    more = len(season.to_prove) - len(breeding[:MOST_TO_PROVE])
    if more:
        yield f"and {more} more; the desk and --json list them all"


def _who(sale: Sale) -> str:
    return sale.buyer or "somebody"


# JSON


def season_json(season: Season) -> dict[str, object]:
    """The document of `season --json`. Chances and amounts are strings in lowest terms, days are YYYY-MM-DD."""
    return {
        "on": season.day.isoformat(),
        "males": [
            {
                "animal": male.animal,
                "females": [
                    {
                        "female": visit.female,
                        "pairings": visit.pairings,
                        "locks": visit.locks,
                        "last": visit.last.isoformat(),
                    }
                    for visit in male.females
                ],
                "planned": list(male.planned),
                "with_now": male.with_now,
                "pairings_7": male.pairings_7,
                "pairings_30": male.pairings_30,
                "locks_30": male.locks_30,
                "rested_days": male.rested_days,
                "shortest_rest_30": male.shortest_rest_30,
                "weight": _text(male.weight),
                "weighed_on": _text(male.weighed_on),
                "change_percent": _text(male.change_percent),
                "refusals_in_a_row": male.refusals_in_a_row,
                "last_meal": _text(male.last_meal),
                "flags": [
                    {"kind": flag.kind, "seen": flag.seen, "rule": flag.rule, "source": flag.source}
                    for flag in male.flags
                ],
            }
            for male in season.males
        ],
        "ready": [
            {
                "animal": one.animal,
                "verdict": one.verdict,
                "age_months": one.age_months,
                "weight": _text(one.weight),
                "weighed_on": _text(one.weighed_on),
                "lacks": list(one.lacks),
                "rule": one.rule,
                "source": one.source,
            }
            for one in season.ready
        ],
        "due": [
            {
                "comes": item.comes,
                "about": item.about,
                "dam": item.dam,
                "young": list(item.young),
                "first": item.first.isoformat(),
                "last": item.last.isoformat(),
                "state": item.state,
                "after": item.after,
                "on": str(item.on),
                "source": item.source,
            }
            for item in season.due
        ],
        "planned": [_planned_json(planned) for planned in season.planned],
        "pairs": [
            {
                "male": pair.male,
                "female": pair.female,
                "planned": pair.planned,
                "ready": pair.ready,
                "inbreeding": str(pair.inbreeding),
                "settled": str(pair.settled),
                "questions": [
                    {"animal": one.animal, "trait": one.trait, "settles": str(one.mating.settles)}
                    for one in pair.questions
                ],
            }
            for pair in season.pairs
        ],
        "to_prove": [
            {
                "animal": one.animal,
                "trait": one.trait,
                "now": str(one.now),
                "hatchlings": one.clutch.hatchlings,
                "matings": [
                    {
                        "mate": mating.mate,
                        "settles": str(mating.settles),
                        "proves": str(mating.proves),
                        "clears": str(mating.clears),
                        "falls_to": _text(mating.falls_to),
                        "needed": mating.needed,
                        "misleads": str(mating.misleads),
                        "inbreeding": str(mating.inbreeding),
                    }
                    for mating in one.matings
                ],
            }
            for one in season.to_prove
        ],
        "weights": [
            {
                "animal": run.animal,
                "points": [{"on": on.isoformat(), "grams": str(number)} for on, number in run.points],
            }
            for run in season.weights
        ],
        "not_ready": [
            {
                "animal": one.animal,
                "promised": one.promised,
                "lacks": list(one.lacks),
                "rule": one.rule,
                "source": one.source,
            }
            for one in season.not_ready
        ],
        "holds": [
            {**_sale(one.sale), "until": _text(one.sale.until), "days_left": one.days_left} for one in season.holds
        ],
        "balances": [{**_sale(one.sale), "open": str(one.open_), "gone": one.gone} for one in season.balances],
        "hand_overs": [
            {**_sale(one.sale), "ready_since": _text(one.since), "lacks": list(one.lacks), "papers": list(one.papers)}
            for one in season.hand_overs
        ],
        "loans": [
            {"animal": one.holding.animal, "with": one.holding.partner, "days_left": one.days_left}
            for one in season.loans
        ],
        "tell": [
            {
                **_sale(one.sale),
                "animal": one.animal,
                "since": one.since.isoformat(),
                "changes": [{"about": c.about, "before": c.before, "now": c.now} for c in one.changes],
                "message": one.message,
            }
            for one in season.tell
        ],
        "unexpected": [{"text": one.text, "explanations": list(one.explanations)} for one in season.unexpected],
    }


def _planned_json(planned: PlannedPairing) -> dict[str, object]:
    plan = planned.plan
    return {
        "male": planned.male,
        "female": plan.female,
        "purpose": plan.purpose,
        "want": list(plan.want),
        "public": plan.public,
        "pairings": planned.pairings,
        "locks": planned.locks,
        "last": _text(planned.last),
        "settled": str(planned.pair.settled) if planned.pair else "0",
        "odds": odds_to_json(planned.odds) if planned.odds else None,
        "backup": _backup_json(planned.backup) if planned.backup else None,
        "trouble": list(planned.trouble),
    }


def _backup_json(backup: Backup) -> dict[str, object]:
    return {
        "backup": backup.backup,
        "young": backup.young,
        "compared": [
            {
                "animal": row.animal,
                "trait": row.trait,
                "now": str(row.now),
                "alone": _answer(row.alone),
                "one_of": _answer(row.one_of),
                "mixed": _answer(row.mixed),
            }
            for row in backup.compared
        ],
    }


def _answer(answer: Answer | None) -> dict[str, object] | None:
    return None if answer is None else {"chance": _text(answer.chance), "if_none": _text(answer.if_none)}


def _sale(sale: Sale) -> dict[str, object]:
    return {"animals": list(sale.animals), "buyer": sale.buyer}


def _text(value: Fraction | date | When | None) -> str | None:
    if value is None:
        return None
    return value.isoformat() if isinstance(value, date) else str(value)
