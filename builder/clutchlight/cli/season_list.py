"""The season's lists as the command `season` gives them, lines for a terminal; and as JSON documents, with odds and young side by side."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from fractions import Fraction
from operator import attrgetter

from clutchlight.desk import sentences
from clutchlight.desk.evening import due_views, evening, glance, incubator, not_eaten, quarantine
from clutchlight.desk.notices import nobody_to_tell, notices, of_plan, typed_figure
from clutchlight.desk.pages import RoomCard
from clutchlight.desk.season import PlannedPairing, Season
from clutchlight.desk.sentences import called, flags_in_words
from clutchlight.model import When
from clutchlight.planning.readiness import BreedingReadiness
from clutchlight.planning.rotation import MaleAtWork
from clutchlight.planning.sales import HandOver, NotReady
from clutchlight.planning.who_needs_proving import ToProve, pair_of
from clutchlight.statements.odds import (
    backup_sentence,
    bought_mate,
    inbreeding_words,
    pair_harm_sentence,
    times_in_hundred,
    young_words,
)
from clutchlight.statements.winter import to_no_purpose
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
    yield "This evening", _card(evening(season))
    for card in (*glance(season), not_eaten(season), quarantine(season), incubator(season)):
        yield card.heading, _card(card)
    yield sentences.winter_heading(season), _winter(season)
    yield "What does not fit", notices(season)
    yield "Typed figures that the records do not give", (typed_figure(collection, one) for one in season.typed)
    yield "Males in rotation", (line for male in season.males for line in _male(season, male))
    yield "Due", (f"{item.when}: {item.what} ({item.why})" for item in due_views(season))
    settled = f"(settled: proved, or brought under {words.in_count(collection.settings.doubt_below)})"
    lines = [line for planned in season.planned for line in _planned(season, planned)]
    yield "Planned pairings", ([settled, *lines] if lines else lines)
    yield "Who needs proving", _to_prove(season)
    yield "Not ready to leave", (sentences.not_ready(collection, one) for one in season.not_ready)
    yield (
        "Holds",
        (
            f"{sentences.animals_of(collection, one.sale.animals)} for {sentences.buyer(one.sale)}: {sentences.hold(one, today)}"
            + sentences.agreed_otherwise(collection, one.sale)
            for one in season.holds
        ),
    )
    yield (
        "Balances",
        (
            f"{sentences.buyer(one.sale)}, {sentences.animals_of(collection, one.sale.animals)}: {sentences.balance(one, currency)}"
            for one in season.balances
        ),
    )
    shared = (sentences.shared(collection, one) for one in season.shared)
    yield "Shared and lent animals", (*(sentences.loan(collection, one) for one in season.loans), *shared)
    yield (
        "People to tell",
        (
            f"{sentences.buyer(one.sale)}, {sentences.called_dead(collection, one.animal)}: "
            + "; ".join(f"{change.about}: then {change.before}, now {change.now}" for change in one.changes)
            for one in season.tell
        ),
    )
    yield "What sales lack", nobody_to_tell(season)
    yield (
        "Unexpected results",
        (line for one in season.unexpected for line in (one.text, *(f"  {text}" for text in one.explanations))),
    )


def _winter(season: Season) -> Iterator[str]:
    counts = sentences.winter_counts(season)
    if not counts:
        return
    said = sentences.winter_words(season)
    yield counts
    for load in season.loads:
        found = sentences.load_words(season, load)
        yield from (found.planned, *(f"  ! {text}" for text in found.against), *(f"  {text}" for text in found.seasons))
    for one in said.questions:
        yield f"{one.asked}:"
        yield from (f"  {line}" for line in one.lines)
    yield from said.stay_open
    yield from to_no_purpose(season.awaited, season.winter, season.winter_pairs, season.collection)
    if said.wishes:
        yield "Wanted:"
        yield from (f"  {wish}" for wish in said.wishes)
    yield from (*said.young, *said.notes)


def _card(card: RoomCard) -> Iterator[str]:
    """The lines of a card; those that are folded on the desk are counted."""
    if not card.lines and card.nothing:
        yield card.nothing
    yield from (f"{line.text}: {line.detail}" if line.detail else line.text for line in card.lines)
    if card.lines and card.more:
        yield f"{card.summary}: the desk and --json list them"
    yield from card.notes


def _male(season: Season, male: MaleAtWork) -> Iterator[str]:
    collection, today = season.collection, season.day
    yield f"{called(collection, male.animal)}: {sentences.work(male)}; {sentences.rest(collection, male, today)}"
    yield f"  {sentences.weight(male, today)}; {sentences.feeding(male, today)}"
    for visit in male.females:
        yield f"  {sentences.visits(collection, visit, today)}"
    flags = flags_in_words(male)
    for flag in flags:
        yield f"  ! {flag.seen} (rule: {flag.rule}). {flag.commonly}"
    yield from dict.fromkeys(f"  Source of the rules: {flag.source}." for flag in flags)
    for caution in male.cautions:
        yield f"  {caution}"


def _planned(season: Season, planned: PlannedPairing) -> Iterator[str]:
    collection = season.collection
    name = sentences.pair_name(collection, planned.male, planned.plan.female)
    yield f"{name}: {sentences.progress(planned, season.day)}"
    if planned.idle:
        yield "  settles no open question"
    for one in planned.pair.questions if planned.pair else ():
        yield f"  {'; '.join(filter(None, (sentences.question(season, one), sentences.proved(one))))}"
    said = (*sentences.proves_besides(season, planned), *planned.trouble, *of_plan(season, planned))
    yield from (f"  {text}" for text in said)
    if planned.backup is not None:
        yield f"  with {called(collection, planned.backup.backup)} as the backup:"
        yield from (f"    {text}" for text in sentences.of_the_backup(season, planned.plan.female, planned.backup))
        yield from (f"    {backup_sentence(row, planned.backup, collection)}" for row in planned.backup.compared)


def _to_prove(season: Season) -> Iterator[str]:
    """What plans, sales and prices hang on; the rest are counted."""
    collection = season.collection
    first, breeding = season.asked_now
    others = season.open_in_all - len(first) - len(breeding)
    for one in first[:MOST_TO_PROVE]:
        standing = sentences.standing_now(season, one)
        yield f"{called(collection, one.animal)}, {one.trait} ({standing}): {_telling(season, one)}"
        yield f"  hangs on it: {sentences.hangs_on_it(season, one)}"
    more = len(first[MOST_TO_PROVE:])
    if more:
        yield f"and {more} more that something hangs on; the desk and --json list them all"
    for found, which in (
        (len(breeding), "on which nothing hangs now"),
        (others, "about animals that do not breed here yet"),
    ):
        if found:
            them = "it" if found == 1 else "them"
            yield f"{words.plural(found, 'open question')} {which}: the desk and --json list {them}"


def _telling(season: Season, one: ToProve) -> str:
    """What would settle a question: a look at the animal, or its best mate, here or bought."""
    animal = season.collection.animals[one.animal]
    if one.look == "check":
        how = "check it before it breeds: it may be affected"
    elif one.look:
        how = "look at it again" if one.look == "look again" else "look at it: its look is not on record"
    elif not one.matings:
        how = sentences.without_a_mate(animal)
    else:
        best = one.matings[0]
        often = f"{times_in_hundred(best.settles)} with {young_words(best.young)}"
        of_two = pair_of(animal.sex, animal.id, best.mate)
        alone = sentences.if_he_alone(season, *of_two)
        kin = inbreeding_words(season.sources.telling_its_owner, *of_two, best.inbreeding)
        related = f"their young would have an inbreeding coefficient of {kin}" if best.inbreeding else ""
        later = "; ".join(filter(None, (related, sentences.unready(season, best.mate), alone)))
        how = f"{called(season.collection, best.mate)} settles it {often}{f' ({later})' if later else ''}"
    if bought := bought_mate(one, animal.sex):
        how += f"; {bought}"
    harm = [] if one.look or not one.matings else [*map(pair_harm_sentence, one.matings[0].harm)]
    return f"{how}. {' '.join(harm)}" if harm else how


# JSON

_SALE = "animals=sale.animals buyer=sale.buyer "
_FORMS: Mapping[str, str] = {
    "Season": (
        "on=day winter males ready due planned pairs to_prove weights not_ready holds balances hand_overs loans tell unexpected "
        "differing typed without_buyer without_hold undated feeding set_apart incubating"
    ),
    "MaleAtWork": (
        "animal females planned with_now pairings_7 pairings_30 locks_30 rested_days shortest_rest_30 weight weighed_on "
        "change_percent refusals_in_a_row last_meal flags"
    ),
    "Visits": "female pairings locks last",
    "FlagWords": "kind seen rule source",
    "BreedingReadiness": "animal verdict age_months weight weighed_on lacks rule source",
    "Due": "comes about dam young first last state after on source",
    "PlannedPairing": (
        "male female=plan.female purpose=plan.purpose want=plan.want public=plan.public pairings locks last settled odds "
        "backup trouble"
    ),
    "Backup": "backup young=hatchlings.told inbreeding harm compared",
    "Compared": "animal trait now alone one_of mixed",
    "Answer": "chance if_none",
    "Pair": "male female planned ready inbreeding settled questions",
    "Question": "animal trait settles=mating.settles",
    "ToProve": "animal trait now hatchlings=young by_a_visual matings look",
    "TestMating": "mate settles proves clears falls_to needed misleads inbreeding harm",
    "PairHarm": "traits text per_egg",
    "Weights": "animal points",
    "Weighing": "on grams",
    "NotReady": "animal promised lacks rule source",
    "Hold": f"{_SALE} until=sale.until days_left",
    "Balance": f"{_SALE} open=open_ gone died=lost returned=back",
    "HandOver": f"{_SALE} ready_since=since lacks papers",
    "LoanEnding": "animal=holding.animal with=holding.partner days_left",
    "ToTell": f"{_SALE} animal since changes message",
    "ToldChange": "about before now",
    "UnexpectedResult": "text explanations",
    "TypedFigure": "animal trait typed ours sold",
    "FeedingRound": "animals silent last_row ended",
    "Feeding": "animal last_meal days refused every own longest due long quiet cooled",
    "Spell": "animal how since until said note",
    "Incubating": "clutch dam laid day usual pip hatch pipped good box",
    "Undated": "animal handed_over=on",
    "Winter": "clutches questions wishes",
    "ComingClutch": "sires dam young=hatchlings.told lays mixed",
    "OpenQuestion": "animal trait now clutches if_all_lay as_they_lay without left",
    "Settled": "proves clears exact",
    "Wish": "looks clutches per_egg expected any any_as_they_lay",
    "Odds": "sire dam young=hatchlings.told inbreeding outcomes sums proves",
    "Outcome": "looks sex per_egg at_least_one traits=unseen",
    "Carried": "trait carries",
    "Proof": "animal trait chance if_none",
    "Stake": "plans sales=promised prices=offered",
    "SideBySide": "clutch=clutch.id hatched=clutch.hatched gone goals young",
    "Goal": "looks plans",
    "Plan": "female males",
    "YoungHere": "animal=animal.id sex=animal.sex price=animal.price weight towards held harm",
    "LogRow": "on grams=number",
    "TowardsGoal": "carries sold",
    "SoldBefore": "animal looks agreed on",
    "Sale": "buyer until",
    "Harm": "traits text source chance",
}
"""What of each value its document holds, in this order; `key=path` where the key has another name than the attribute."""


def _in_words(value: object) -> Mapping[str, object]:
    """The keys of a value's document that hold finished words."""
    match value:
        case Season():
            proving = tuple({**as_json(one), "hangs_on": _json(value.stake_of(one))} for one in value.to_prove)
            return {"differing": notices(value), "to_prove": proving}
        case MaleAtWork():
            return {"flags": flags_in_words(value)}
        case BreedingReadiness():
            return {
                "lacks": sentences.lacks(value),
                "rule": sentences.ready_rule(value),
                "source": sentences.ready_source(value),
            }
        case NotReady():
            return {"lacks": sentences.not_seen(value), "rule": value.rule.text, "source": value.rule.source}
        case HandOver():
            return {"lacks": sentences.to_settle(value), "papers": sentences.papers(value)}
        case _:
            return {}


def as_json(value: object) -> dict[str, object]:
    """The document of a season (`season --json`), of odds or of a winter (`odds --json`), of young side by side (`keep --json`).

    Chances and amounts are strings in lowest terms, days are YYYY-MM-DD; null where a chance is not computed or there is no such clutch.
    """
    said = _in_words(value)
    fields = (field.partition("=") for field in _FORMS[type(value).__name__].split())
    return {key: _json(said[key] if key in said else attrgetter(path or key)(value)) for key, _, path in fields}


def _json(value: object) -> object:
    if type(value).__name__ in _FORMS:
        return as_json(value)
    if isinstance(value, tuple):
        return [_json(one) for one in value]
    return str(value) if isinstance(value, (Fraction, date, When)) else value
