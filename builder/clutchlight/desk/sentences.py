"""The desk's lists in words, the same on every page, in the terminal and in JSON: short, with days as a keeper says them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from fractions import Fraction

from msgspec import Struct

from clutchlight.desk.season import Pair, PlannedPairing, Question, Season, Weighing
from clutchlight.model import Animal, Collection, When
from clutchlight.model.private import Holding, Sale, plain_number
from clutchlight.planning.due import Due
from clutchlight.planning.odds import Backup
from clutchlight.planning.readiness import OWN, BreedingReadiness, Loss, Shortfall, Spell
from clutchlight.planning.room import FORGOTTEN_AFTER, season_of
from clutchlight.planning.rotation import Flag, Load, MaleAtWork, SeasonOfAMale, Visits
from clutchlight.planning.sales import Balance, HandOver, Hold, LoanEnding, NotReady, Unsettled
from clutchlight.planning.who_needs_proving import ToProve
from clutchlight.statements.asked import figure_of
from clutchlight.statements.odds import (
    kinship_sentences,
    of_hundred,
    pair_harm_sentence,
    proof_sentence,
    times_in_hundred,
    young_words,
)
from clutchlight.statements.winter import WinterWords, how_many, in_words
from clutchlight.wording import day_words, words

_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_COMES = {"laid": "laying", "hatched": "hatching", "pipped": "pipping"}
_SEEN = ("building", "ovulation")


# Names and days


def called(collection: Collection, name: str) -> str:
    """ "Rook (M-05)", or the id alone, as of a clutch; the desk names every animal."""
    return collection.animals[name].called if name in collection.animals else name


def called_dead(collection: Collection, name: str) -> str:
    """The same, and that it died: "C26-01-3, which died on 20 June 2026"."""
    animal = collection.animals[name]
    if not animal.dead or animal.left is None:
        return animal.called
    return f"{animal.called}, which died{f' {day_words.on(animal.left.on)}' if animal.left.on else ''}"


def short_name(collection: Collection, name: str) -> str:
    """ "Rook M-05", for narrow columns."""
    animal = collection.animals[name]
    return f"{animal.name} {animal.id}" if animal.name else name


def long_day(day: date) -> str:
    """ "Wednesday 25 November 2026"."""
    return f"{_WEEKDAYS[day.weekday()]} {day_words.day(day)}"


def short_day(day: date, today: date) -> str:
    """ "24 Nov", with the year where it is not the one of today or lies half a year off."""
    dated = day_words.short(day)
    return dated if abs((day - today).days) > 182 else dated.rpartition(" ")[0]


def short_when(when: When, today: date) -> str:
    """ "24 Nov"; as it was recorded where that is no day: "September 2026"."""
    return short_day(when.last, today) if when.exact else day_words.when(when)


def short_on(when: When, today: date) -> str:
    """The same with its preposition: "on 24 Nov", "in September 2026"."""
    return f"on {short_day(when.last, today)}" if when.exact else day_words.on(when)


def last_seen(when: When, today: date) -> str:
    """After "last paired": "24 Nov", "in September 2026", "14 to 16 July 2024"."""
    return short_on(when, today).removeprefix("on ").removeprefix("from ")


def span(first: date, last: date, today: date) -> str:
    """ "29 Nov to 4 Dec", "7 to 14 Dec", or one day."""
    if first == last:
        return short_day(first, today)
    same = (first.year, first.month) == (last.year, last.month)
    return f"{first.day if same else short_day(first, today)} to {short_day(last, today)}"


def grams(number: Fraction | None) -> str:
    return "not weighed" if number is None else f"{plain_number(number)} g"


def weighing(one: Weighing, today: date) -> str:
    """ "1081 g on 22 Nov"."""
    return f"{grams(one.grams)} {short_on(one.on, today)}"


def lost(loss: Fraction, before: Weighing, today: date, limit: Fraction = Fraction(1)) -> str:
    """ "down 12% from 644 g on 11 Oct"; `loss` in grams."""
    return f"down {loss_percent(loss / before.grams * 100, limit)} from {weighing(before, today)}"


def lost_since(loss: Loss, today: date) -> str:
    return lost(loss.grams, Weighing(loss.since.on, loss.since.number or Fraction(0)), today)


def days(count: int) -> str:
    return words.plural(count, "day")


# Males


def work(male: MaleAtWork) -> str:
    """ "4 pairings in 7 days, 8 in 30; 7 locks in 30"."""
    locks = f"; {words.plural(male.locks_30, 'lock')} in 30" if male.pairings_30 or male.locks_30 else ""
    locks += f"; no interest {words.plural(male.no_interest_30, 'time')} in 30" if male.no_interest_30 else ""
    return f"{words.plural(male.pairings_7, 'pairing')}{_here(male)} in 7 days, {male.pairings_30} in 30{locks}"


def _here(male: MaleAtWork) -> str:
    return " here" if male.lent else ""


def rest(collection: Collection, male: MaleAtWork, today: date) -> str:
    """ "alone for 9 days; shortest rest in 30 days: 2 days"; where he was out on loan, that what he did there is not known."""
    rested = _rest(collection, male, today)
    if male.lent is None:
        return rested
    went, back = (short_when(one, today) for one in male.lent)
    return f"{rested}; on loan from {went} to {back}, and what he did there is not in the log"


def _rest(collection: Collection, male: MaleAtWork, today: date) -> str:
    if male.with_now and male.with_since:
        return f"with {called(collection, male.with_now)} since {short_day(male.with_since, today)}"
    if male.last_paired is None:
        return f"not paired{_here(male)} yet"
    if male.rested_days is None:
        since = f"last paired {last_seen(male.last_paired, today)}"
    else:
        came = "back" if male.lent and male.lent[1].last == today else "away"
        since = f"came {came} today" if male.rested_days == 0 else f"alone for {days(male.rested_days)}"
    shortest = male.shortest_rest_30
    return since if shortest is None else f"{since}; shortest rest in 30 days: {days(shortest) if shortest else 'none'}"


def loss_percent(loss: Fraction, limit: Fraction) -> str:
    """A loss as it is printed, rounded down: "6%"; "2.8%" where the limit is not whole."""
    return f"{int(loss)}%" if limit.denominator == 1 else f"{plain_number(Fraction(int(loss * 10), 10))}%"


def weight(male: MaleAtWork, today: date) -> str:
    """ "1081 g on 22 Nov, down 6% from 1153 g"; the share is rounded down, a loss that is pointed out as there."""
    if male.weight is None or male.weighed_on is None:
        return "no weight is logged"
    now = weighing(Weighing(male.weighed_on, male.weight), today)
    if male.change_percent is None or male.weight_before is None:
        return f"{now}; no other weight of this season to compare with" if male.weight_before is not None else now
    share = abs(male.change_percent)
    lost = (loss_percent(share, flag.limit.value) for flag in male.flags if flag.kind == "weight")
    percent = next(lost, words.percent_text(share / 100))
    if not share:
        return f"{now}, as at the start of his season"
    return f"{now}, {'down' if male.change_percent < 0 else 'up'} {percent} from {grams(male.weight_before)}"


def feeding(male: MaleAtWork, today: date) -> str:
    refused = words.plural(male.refusals_in_a_row, "refusal")
    if male.last_meal is None:
        return f"no meal is logged; {refused}" if male.refusals_in_a_row else "no meal is logged"
    since = f"{refused} since" if male.refusals_in_a_row else "none refused since"
    return f"last meal {last_seen(male.last_meal, today)}; {since}"


def visits(collection: Collection, visit: Visits, today: date) -> str:
    """ "Juniper (F-09): 3 pairings, 3 locks, last 25 Nov"."""
    locks = words.plural(visit.locks, "lock") if visit.locks else "no lock"
    return (
        f"{called(collection, visit.female)}: {words.plural(visit.pairings, 'pairing')}, {locks}, "
        f"last {last_seen(visit.last, today)}"
    )


# What asks for attention in a male's work


class FlagWords(Struct, frozen=True):
    """What was seen (in full, and in the fewest words), the rule it goes by, its source, and what people commonly do."""

    kind: str
    seen: str
    short: str
    rule: str
    source: str
    commonly: str


_COMMONLY = {
    "in a row": "People commonly give him some days alone, with food offered.",
    "pairings": "People commonly give him a week alone, with food offered.",
    "rest": "People commonly space the next pairings out.",
    "weight": "People commonly take him out of use and weigh him weekly; a reptile veterinarian can look for the cause.",
    "refusals": "Males often eat little while in use; with weight loss, people commonly rest him and ask a veterinarian.",
}


def flags_in_words(male: MaleAtWork) -> tuple[FlagWords, ...]:
    found = []
    for flag in male.flags:
        seen, short = _seen(flag, male)
        own = f" (your limit: {_figure(flag)})" if flag.limit.source == OWN else ""
        found.append(FlagWords(flag.kind, seen, f"{short}{own}", _rule(flag), flag.limit.source, _COMMONLY[flag.kind]))
    return tuple(found)


def _figure(flag: Flag) -> str:
    return f"{plain_number(flag.limit.value) if flag.limit.value else 'none'}{'%' * (flag.kind == 'weight')}"


def _seen(flag: Flag, male: MaleAtWork) -> tuple[str, str]:
    """In full, and in the fewest words. A loss is rounded down."""
    if flag.kind == "weight":
        loss = loss_percent(-(male.change_percent or Fraction(0)), flag.limit.value)
        taken = (
            f" in {days((male.weighed_on.last - male.weighed_before_on.last).days)}"
            if male.weighed_on and male.weighed_before_on and male.weighed_on.exact and male.weighed_before_on.exact
            else ""
        )
        full = f"down {loss}{taken}, from {grams(male.weight_before)} to {grams(male.weight)}"
        return full, f"down {loss} from {grams(male.weight_before)}"
    if flag.kind == "rest":
        rested = male.shortest_rest_30 or 0
        when = "before a pairing" if male.lent else "between two pairings"
        full = f"rested {days(rested)} {when} of the last 30 days"
        return full, f"{f'rested {days(rested)}' if rested else 'no rest'} {when}"
    if flag.kind == "in a row":
        run = f"at work on {days(male.days_in_a_row)} in a row"
        return run, run
    often = {1: "once", 2: "twice"}.get(male.worked_7, f"{male.worked_7} times")
    locked = " with a lock" if male.worked_7 < male.pairings_7 else ""
    paired = f"paired {often}{locked} in 7 days"
    refused = (
        f"refused {words.plural(male.refusals_in_a_row, 'meal')}{' in a row' if male.refusals_in_a_row > 1 else ''}"
    )
    return (paired, paired) if flag.kind == "pairings" else (refused, refused)


def _rule(flag: Flag) -> str:
    number = plain_number(flag.limit.value)
    rule = {
        "pairings": f"at most {number} pairings in 7 days" if flag.limit.value else "no pairing in 7 days",
        "in a row": f"at most {number} {'day' if flag.limit.value == 1 else 'days'} in a row",
        "rest": f"at least {number} {'day' if flag.limit.value == 1 else 'days'} of rest between pairings",
        "weight": f"a loss of {number}% or more",
        "refusals": f"{number} or more refusals in a row",
    }[flag.kind]
    return f"{rule} for a small or first-season male" if flag.sooner else rule


MOST_SEASONS = 3


class LoadWords(Struct, frozen=True):
    """Whom a male is planned for and who is next; what speaks against it; his last seasons."""

    planned: str
    against: tuple[str, ...]
    seasons: tuple[str, ...]


def load_words(season: Season, load: Load) -> LoadWords:
    """ "Rook (M-05) is planned for four females: … Next: Plum (F-03)."."""
    collection = season.collection
    who, dams = called(collection, load.male), animals_of(collection, load.females)
    turn = f" Next: {called(collection, load.turn)}." if load.turn and len(load.females) > 1 else ""
    said = against(season, load.male)
    cautions = [f"Not ready: {said}."] if said else []
    if load.over and load.limit is not None:
        number = f"at most {words.plural(int(load.limit.value), 'female')} in a winter"
        kind = " for a small or first-season male" if load.sooner else ""
        cautions.append(
            f"That is many (rule: {number}{kind}; {load.limit.source}). People commonly plan another male for some of them."
        )
    return LoadWords(
        f"{who} is planned for {words.counted(len(load.females), 'female')}: {dams}.{turn}",
        tuple(cautions),
        tuple(map(season_words, load.seasons[-MOST_SEASONS:])),
    )


def season_words(season: SeasonOfAMale) -> str:
    """ "2025/26: 7 locks; 2 clutches, 13 good eggs and 1 slug"; nothing of what it lacks: the lock may be of June and the eggs of July."""
    parts = [words.plural(season.locks, "lock")] if season.locks else []
    if season.clutches:
        parts.append(f"{words.plural(season.clutches, 'clutch', 'clutches')}, {_eggs_of(season)}")
    if season.doubtful:
        parts.append(f"{words.plural(season.doubtful, 'clutch', 'clutches')} that he or another sired")
    return f"{day_words.season(season.began)}: {'; '.join(parts)}"


def _eggs_of(season: SeasonOfAMale) -> str:
    """ "13 good eggs and 1 slug"; nothing is made of what was not counted."""
    parts = [words.plural(season.eggs, "good egg")] if season.uncounted < season.clutches else []
    parts += [words.plural(season.slugs, "slug")] if season.slugs else []
    several = f" in {season.uncounted} of them" if season.uncounted < season.clutches else ""
    counted = [words.join_and(parts)] if parts else []
    return ", ".join([*counted, *([f"eggs not counted{several}"] if season.uncounted else [])])


# What is due, and who is ready


def due_what(collection: Collection, item: Due) -> str:
    """ "hatching of C26-06 (Fennel F-07)", "pre-lay shed of Burdock (F-05)"."""
    comes = _COMES.get(item.comes, item.comes)
    if item.young:
        who = words.plural(len(item.young), "hatchling")
        waiting = collection.clutches[item.about].to_sort
        more = f", and of {waiting} not told apart yet" if waiting else ""
        return f"{comes} of {who} of {item.about}{more}"
    if item.about in collection.clutches:
        return f"{comes} of {item.about} ({short_name(collection, item.dam)})"
    if not item.recorded:
        return f"{comes} of the eggs of {called(collection, item.about)}, which have no clutch record yet"
    return f"{comes} of {called(collection, item.about)}"


def due_when(item: Due, today: date) -> str:
    about = day_words.about(item.on)
    when = about + span(item.first, item.last, today)
    return f"{when}, overdue by {about}{days((today - item.last).days)}" if item.state == "overdue" else when


def due_why(item: Due, today: date) -> str:
    """ "laid 5 Oct; commonly 55 to 60 days later"."""
    first, last = (item.first - item.on.first).days, (item.last - item.on.last).days
    seen = f"{item.after} seen" if item.after in _SEEN else item.after
    late = item.comes == "laid" and item.last + FORGOTTEN_AFTER < today
    ends = "; `slugs only` in the log, or the `result` of a plan of hers, ends the waiting" if late else ""
    usual = "" if item.source == OWN else "commonly "
    return f"{seen} {short_when(item.on, today)}; {usual}{first} to {last} days later{ends}"


def apart_words(how: str, until: date) -> str:
    """ "in quarantine until 30 Jan 2027", "under treatment until 15 Dec 2026"."""
    return f"{'in quarantine' if how == 'quarantine' else 'under treatment'} until {day_words.short(until)}"


def away(animal: Animal) -> str:
    """ "out on loan until 30 January 2027", "not here"."""
    if animal.away is None or animal.away.how != "loan":
        return "not here"
    return f"out on loan until {day_words.when(animal.away.until)}" if animal.away.until else "out on loan"


def against(season: Season, name: str) -> str:
    """What speaks against pairing an animal now: "under treatment until 20 Dec 2026; 655 g, commonly from 700 g"; else ""."""
    animal = season.collection.animals[name]
    if not animal.here:
        return away(animal)
    found = next((one for one in season.ready if one.animal == name), None)
    flags = [flag for male in season.males if male.animal == name for flag in flags_in_words(male)]
    said = [apart_words(one.how, one.until) for one in season.set_apart if one.animal == name]
    if name in season.losing and all(flag.kind != "weight" for flag in flags):
        said.append(lost_since(season.losing[name], season.day))
    said += [flag.short for flag in flags]
    if name in season.about_to_lay:
        said.append("about to lay")
    elif name in season.have_laid:
        on = season.have_laid[name]
        said.append(f"laid {short_on(on, season.day)}" if on else "her eggs lie in the incubator")
    if found is not None:
        said += [_shortfall(short, found) for short in found.lacks if not short.open]
    elif name not in season.grown:
        said.append("too young")
    if name in season.newly_come:
        said.append(f"came {short_on(season.newly_come[name], season.day)}, and no quarantine is in the log")
    return "; ".join(said)


def unready(season: Season, name: str) -> str:
    """ "not ready: 655 g, commonly from 700 g", "not known to be ready"; "" of an animal that is."""
    if said := against(season, name):
        return f"not ready: {said}"
    known = any(one.animal == name and one.verdict == "ready" for one in season.ready)
    return "" if known else "not known to be ready"


def proposed(season: Season, planned: PlannedPairing) -> str:
    """What a plan settles or can prove, and what speaks against it: "…; Tallow (M-1) not now: under treatment until 20 Dec 2026"."""
    settles = telling_most(season, planned.pair) if planned.pair else " ".join(proves_besides(season, planned))
    pair = (planned.male, planned.plan.female)
    alone = if_he_alone(season, *pair)
    said = [f"this holds {alone}"] if alone else []
    said += [f"{called(season.collection, name)} not now: {why}" for name in pair if (why := against(season, name))]
    start = planned.plan.start
    if start is not None and season_of(start.last) > season_of(season.day):
        said.append(f"planned for the winter {day_words.season(season_of(start.last))}")
    return "; ".join((settles.removesuffix("."), *said)) if settles and said else settles


def if_he_alone(season: Season, male: str, female: str) -> str:
    """ "if Flint (M-1) alone sires the clutch: Chert (M-2) was with Marl (F-1) too", or "already"; "" where he alone was."""
    collection, there = season.collection, season.males_with(female)
    others = [one for one in there if one != male]
    if not others:
        return ""
    were, too = "was" if len(others) == 1 else "were", "too" if male in there else "already"
    his, hers = called(collection, male), called(collection, female)
    return f"if {his} alone sires the clutch: {animals_of(collection, others)} {were} with {hers} {too}"


def winter_heading(season: Season) -> str:
    """ "This winter, all clutches together"; "The winter 2027/28, all clutches together" where nothing of this one is open."""
    now = season_of(season.day)
    begins = max((season_of(plan.start.last) for plan in season.winter_plans if plan.start), default=now)
    which = "This winter" if begins <= now else f"The winter {day_words.season(begins)}"
    return f"{which}, all clutches together"


def winter_counts(season: Season) -> str:
    """How many clutches a winter counts, and the plans that it leaves out: "… Left out is the plan of Candle (F-1).".

    A plan without a day may be what the eggs in the incubator came of.
    """
    laid = {one.dam: one.laid for one in season.awaited}
    plans_out = (
        plan.female
        for plan in season.winter_plans
        if plan.female not in laid or (plan.start is not None and laid[plan.female] is not None)
    )
    out = list(dict.fromkeys(plans_out))
    plans = "is the plan" if len(out) == 1 else "are the plans"
    left = f" Left out {plans} of {animals_of(season.collection, out)}." if out else ""
    return f"{how_many(season.awaited, season.without_figures, season.by_log_alone)}{left}".strip()


def winter_words(season: Season) -> WinterWords:
    return in_words(season.winter, season.winter_pairs, season.sources.telling_its_owner)


def not_to_be_paired(collection: Collection, one: Spell) -> str:
    """Of an animal that is in quarantine or under treatment."""
    return f"{called(collection, one.animal)} is {apart_words(one.how, one.until)}, and not to be paired until then."


def ready_words(one: BreedingReadiness) -> str:
    """ "28 months, 1591 g", or what it lacks."""
    if one.verdict != "ready":
        return lacks(one)[0] if one.apart is not None else "; ".join(lacks(one))
    age = f"{_how_exact(one)}{one.age_months} months" if one.age_months is not None else "age not known"
    return f"{age}, {grams(one.weight)}"


def _how_exact(one: BreedingReadiness) -> str:
    """Where only about a day is known, the months are counted from the last that it commonly means."""
    return {"exact": "", "about": "at least about "}.get(one.age_is, f"{one.age_is} ")


def lacks(one: BreedingReadiness) -> tuple[str, ...]:
    apart = (apart_words(one.apart.how, one.apart.until),) if one.apart is not None else ()
    return (*apart, *(_shortfall(short, one) for short in one.lacks))


def _shortfall(one: Shortfall, of: BreedingReadiness) -> str:
    """ "at least 12 months old, commonly from 24", "no weight is logged", "900 g, by your limit from 1200 g"."""
    since = f"{'by your limit' if one.limit.source == OWN else 'commonly'} from {plain_number(one.limit.value)}"
    if one.has is None:
        return "its age is not known" if one.what == "age" else f"no weight is logged{_since_eggs(of)}"
    if one.what == "age":
        return f"{_how_exact(of)}{one.has} months old, {since}"
    return f"{plain_number(Fraction(one.has))} g, {since} g"


def _since_eggs(of: BreedingReadiness) -> str:
    """Since when no weight is logged of a female that was weighed before."""
    if of.weighed_on is None:
        return ""
    laid = of.laid is not None and of.weighed_on.last < of.laid.last
    return " since she laid" if laid else " since her clutch hatched (the day she laid is not on record)"


def ready_rule(one: BreedingReadiness) -> str:
    """ "from 24 months (many wait for 36 months) and 1500 g (many wait for 2000 g)"."""
    parts = []
    for name, unit in (("age_months", " months"), ("weight_g", " g")):
        if limit := one.rule.get(name):
            better = limit.better if limit.better is not None and limit.better > limit.value else None
            wait = f" (many wait for {plain_number(better)}{unit})" if better else ""
            parts.append(f"{plain_number(limit.value)}{unit}{wait}")
    return f"from {' and '.join(parts)}"


def ready_source(one: BreedingReadiness) -> str:
    limits = (one.rule[name] for name in ("age_months", "weight_g") if name in one.rule)
    return "; ".join(dict.fromkeys(limit.source for limit in limits))


def weight_note(one: BreedingReadiness, today: date) -> str:
    """Says that a weight is old, or how old it is."""
    if one.weighed_on is None:
        return ""
    on = last_seen(one.weighed_on, today)
    return f"weighed {on}: weigh again" if one.weight_is_old else f"weighed {on}"


# Pairings and proofs


def pair_name(collection: Collection, male: str, female: str) -> str:
    return f"{called(collection, male)} with {called(collection, female)}"


def standing_now(season: Season, one: ToProve | Question) -> str:
    """ "2 in 3 now", with all that it hangs on."""
    asked = figure_of(season.sources.telling_its_owner, one.animal, one.trait)
    gene = asked.if_of_another_gene(asked.figure)
    return ", ".join((f"{words.in_count(one.now)} now", *([gene] if gene else []), *asked.hangs_on))


def question(season: Season, one: Question) -> str:
    """ "Piebald of Bracken (M-03), about 66 in 100 now: a clutch settles it 81 times in 100"."""
    young = one.mating.young
    settles = f"{young_words(young)} {'settle' if isinstance(young, int) and young > 1 else 'settles'} it"
    whose = f"{one.trait} of {called(season.collection, one.animal)}"
    return f"{whose}, {standing_now(season, one)}: {settles} {times_in_hundred(one.mating.settles)}"


def to_look_at(one: ToProve) -> str:
    """What to do where its own look would tell: "Look at it: its look is not on record"."""
    if one.look == "look":
        return f"Look at it: its look is not on record, and would tell whether it has {one.trait}"
    if one.look == "check":
        return f"Check it for {one.trait} before it breeds: it may be affected"
    return f"Look at it again, for {one.trait}"


def without_a_mate(animal: Animal) -> str:
    """Why no mating is told that would prove something of it."""
    known = animal.sex != "unknown"
    return "no suitable mate is kept for breeding here" if known else "its sex is not known: sex it first"


def settles(pair: Pair) -> str:
    """How much of what is open a usual clutch settles, of several questions: "of 3 open questions, about 1 settled on average"."""
    whole = int(pair.settled)
    about = f"about {whole}" if pair.settled == whole else f"{whole} or {whole + 1}" if whole else "fewer than one"
    return f"of {len(pair.questions)} open questions, {about} settled on average"


def telling_most(season: Season, pair: Pair) -> str:
    """What the clutch of a pair settles: its one question, or how many and the likeliest of them."""
    first = question(season, pair.questions[0])
    return first if len(pair.questions) == 1 else f"{settles(pair)}; {first}"


def proves_besides(season: Season, planned: PlannedPairing) -> tuple[str, ...]:
    """What a clutch can prove that no question of its pair asks; of what is taken as certain, where the plan is there to prove."""
    if planned.odds is None:
        return ()
    asked = {(one.animal, one.trait) for one in planned.pair.questions} if planned.pair else set()
    still_open = (one for one in planned.odds.proves if one.now < 1 and one.says_something)
    found = [one for one in still_open if (one.animal, one.trait) not in asked]
    found += planned.odds.proves_taken if planned.plan.purpose == "prove" else ()
    return tuple(proof_sentence(one, planned.odds.hatchlings, season.collection) for one in found)


def hangs_on_it(season: Season, one: ToProve) -> str:
    """ "what is planned with Dapple (F-11); what was promised of C26-01-6; the price of C26-01-2 and 3 more"; "" where nothing does."""
    stake = season.stake_of(one)
    if stake is None:
        return ""
    mates = words.join_or([called(season.collection, name) for name in stake.plans])
    plans = [f"what is planned with {mates}"] if mates else []
    sales = [f"what was promised of {_some(season, stake.promised)}"] if stake.promised else []
    prices = [f"the price of {_some(season, stake.offered)}"] if stake.offered else []
    return "; ".join((*plans, *sales, *prices))


def _some(season: Season, names: Sequence[str]) -> str:
    return words.first_few([called(season.collection, name) for name in names])


def proved(one: Question) -> str:
    """The same split: "65 of 100 clutches prove it; in the others it falls to just under 3 in 100"."""
    mating = one.mating
    parts = []
    if mating.proves:
        parts.append(f"{of_hundred(mating.proves)} of 100 clutches prove it")
    if mating.falls_to is not None and mating.falls_to != one.now:
        parts.append(f"a clutch without {words.join_or(mating.shown)} leaves {words.note_count(mating.falls_to)}")
    return "; ".join(parts)


def progress(planned: PlannedPairing, today: date) -> str:
    if not planned.pairings:
        return "not paired yet"
    locks = words.plural(planned.locks, "lock") if planned.locks else "no lock seen"
    last = f", last {last_seen(planned.last, today)}" if planned.last else ""
    return f"{words.plural(planned.pairings, 'pairing')}, {locks}{last}"


# Buyers


def buyer(sale: Sale) -> str:
    return sale.buyer or "a buyer without a name"


def hold(one: Hold, today: date) -> str:
    until = one.sale.until
    if one.to_come and one.sale.held is not None:
        return f"from {short_when(one.sale.held, today)}{f' to {short_when(until, today)}' if until else ' on'}"
    if one.days_left is None or until is None:
        if one.sale.handed_over is not None:
            return f"to be handed over {short_on(one.sale.handed_over, today)}"
        return "paid for, not handed over yet" if one.paid else "no last day was agreed"
    on = short_when(until, today)
    if not until.exact:
        return f"{'ended' if one.days_left < 0 else 'ends'} {short_on(until, today)}"
    if one.days_left < 0:
        return f"ended {on}, {days(-one.days_left)} ago"
    return f"ends {on}, {days(one.days_left)} left" if one.days_left else "ends today"


def agreed_otherwise(collection: Collection, sale: Sale) -> str:
    """ "; €4,711 agreed, listed at €130", "; €80 agreed for both, listed at €120 together", where what was agreed is not what the public
    list asks for; else ""."""
    animals = [collection.animals[name] for name in sale.animals]
    listed = [day_words.amount(one.price) for one in animals if one.away is None]
    prices = [price for price in listed if price is not None]
    if sale.agreed is None or len(prices) < len(sale.animals) or sum(prices) == sale.agreed:
        return ""
    currency = collection.settings.currency
    listed_at = day_words.money(sum(prices, Fraction(0)), currency)
    together = " together" if len(animals) > 1 else ""
    return f"; {day_words.money(sale.agreed, currency)} agreed{for_all(sale)}, listed at {listed_at}{together}"


def for_all(sale: Sale) -> str:
    """What a price of the sale is for, where it is for several animals: " for both", " for all of them"."""
    return "" if len(sale.animals) == 1 else " for both" if len(sale.animals) == 2 else " for all of them"


def balance(one: Balance, currency: str | None) -> str:
    open_, agreed = day_words.money(abs(one.open_), currency), day_words.money(one.sale.agreed or Fraction(0), currency)
    several = len(one.sale.animals) > 1
    if one.back:
        returned, given_up = one.sale.returned, one.sale.given_up
        came = f"returned {day_words.on(returned)}" if returned else "the hold was given up"
        came += f" {day_words.on(given_up)}" if given_up else ""
        return f"{came}; {open_} had been paid: agree what goes back, and write it as `refund`"
    if one.lost and not one.gone:
        died = f"{words.join_and(one.lost)} died before the hand-over"
        if len(one.lost) == len(one.sale.animals):
            paid = f"{open_} to pay back" if one.sale.payments else f"a deposit of {open_}: to pay back if it was paid"
            return f"{paid}, since {died}"
        left = f"{open_} paid beyond {agreed}" if one.open_ < 0 else f"{open_} of {agreed} open"
        return f"{died}: agree anew on the rest; {left}"
    if one.open_ < 0:
        return f"{open_} paid beyond the {agreed} agreed: to pay back, or one of the two is wrong"
    gone = f"; the {'animals have' if several else 'animal has'} been handed over" if one.gone else ""
    gone += f"; {words.join_and(one.lost)} died" if one.lost else ""
    return f"{open_} of {agreed} open{gone}"


def loan(collection: Collection, one: LoanEnding, *, people: bool = True) -> str:
    until = one.holding.until
    if until is not None and not until.exact:
        when = f"{'ended' if one.days_left < 0 else 'ends'} {day_words.on(until)}"
    else:
        when = f"ends in {days(one.days_left)}" if one.days_left >= 0 else f"ended {days(-one.days_left)} ago"
    what, of = _HELD[_held_how(collection, one.holding)]
    whose = f" {of} {one.holding.partner}" if people else ""
    return f"{called(collection, one.holding.animal)}: {what}{whose} {when}"


_HELD = {"lent to": ("the loan", "to"), "on loan from": ("the loan", "from"), "shared with": ("the share", "of")}


def _held_how(collection: Collection, one: Holding) -> str:
    """ "lent to", "on loan from", "shared with"."""
    animal = collection.animals.get(one.animal)
    if animal is None:
        return "shared with"  # a clutch
    lent, borrowed = (moved is not None and moved.how == "loan" for moved in (animal.away, animal.came))
    begun = animal.away.on if animal.away is not None else None
    if one.split and not (one.since and begun and begun.first <= one.since.last):
        lent = False  # shared before it was lent, perhaps to another
    return "lent to" if lent else "on loan from" if borrowed else "shared with"


def shared(collection: Collection, one: Holding) -> str:
    """ "Isthmus (F-1): shared with Ada Thackeray, 60/40, until January 2027"."""
    parts = [f"{_held_how(collection, one)} {one.partner}", *([one.split] if one.split else [])]
    parts += [f"until {day_words.when(one.until)}"] if one.until else []
    return f"{called(collection, one.animal)}: {', '.join(parts)}"


def not_ready(collection: Collection, one: NotReady) -> str:
    promised = ", promised" if one.promised else ""
    return f"{called(collection, one.animal)}{promised}: {' and '.join(not_seen(one))}"


def not_seen(one: NotReady) -> tuple[str, ...]:
    """What the log does not show yet: "1 of 3 meals in a row logged"."""
    if not one.logged:
        return ("no meal or shed is logged",)
    meals = _short_of(one.meals_in_a_row, one.rule.meals, "meal", " in a row", _SINCE[one.broken_by])
    return (*meals, *_short_of(one.sheds, one.rule.sheds, "shed"))


_SINCE = {"": "", "refused": " since it last refused", "assisted": " since it was last fed by hand"}


def _short_of(has: int, asked: int, what: str, how: str = "", since: str = "") -> Iterator[str]:
    if has < asked:
        in_all = f" ({asked} {what}s{how} are needed)" if asked > 1 else ""
        yield f"{has} of {asked} {what}s{how} logged" if has else f"no {what} logged{since}{in_all}"


def to_settle(one: HandOver) -> tuple[str, ...]:
    return tuple(_unsettled(each, one.sale) for each in one.unsettled)


def _unsettled(one: Unsettled, sale: Sale) -> str:
    """What to settle or to look up before a hand-over: "the balance is open", "C26-01-2: its sex is not on record"."""
    if isinstance(one.what, NotReady):
        return f"{one.animal}: {' and '.join(not_seen(one.what))}"
    if isinstance(one.what, Spell):
        return f"{one.animal} is {apart_words(one.what.how, one.what.until)}"
    if one.what == "balance":
        return "the balance is open"
    if one.animal is None:
        return f"not ready before {day_words.when(sale.ready_to_go) if sale.ready_to_go else 'a day not named'}"
    return f"{one.animal}: its {'date of hatching' if one.what == 'hatched' else one.what} is not on record"


def papers(one: HandOver) -> tuple[str, ...]:
    """What goes along with the animals, and the rules of the law that may apply."""
    first, *others = (f"{name}: its statement, and its feeding and shedding record" for name in one.sale.animals)
    return (first, *law(one), *others)


def law(one: HandOver) -> tuple[str, ...]:
    return tuple(f"{name}: {text}" for name, text in one.rules)


def animals_of(collection: Collection, names: Sequence[str]) -> str:
    return words.join_and([called(collection, name) for name in names])


# The backup question


AS_MANY = "With both males as many eggs are taken to hatch whoever sires them, though more die by one of the two."


def of_the_backup(season: Season, female: str, he: Backup) -> tuple[str, ...]:
    """How he and the female are related, what is known to harm their young, and what the figures with both males do not tell apart."""
    kinship = kinship_sentences(season.sources.telling_its_owner, he.backup, female, he.inbreeding)
    return (kinship, *map(pair_harm_sentence, he.harm), *(() if he.as_many else (AS_MANY,)))


def backup_verdict(collection: Collection, backup: Backup) -> str:
    """What a backup costs the proof that the first male alone would give: "65 of 100 clutches prove it alone, 32 with the backup"."""
    second = called(collection, backup.backup)
    costs = []
    for row in backup.compared:
        if row.alone is None or not row.alone.chance:
            continue
        if row.one_of.chance is None:
            costs.append(f"how often {row.trait} of {called(collection, row.animal)} is proved is not computed")
        elif row.no_longer:
            costs.append(f"{row.trait} of {called(collection, row.animal)} could no longer be proved")
        elif row.one_of.chance < row.alone.chance:
            alone, both = (of_hundred(chance) for chance in (row.alone.chance, row.one_of.chance))
            costs.append(
                f"{row.trait} of {called(collection, row.animal)} proved in {both} of 100 clutches, not {alone}"
            )
    if not costs:
        return f"{second} as the backup costs no proof"
    return f"{second} as the backup: {'; '.join(costs)}"
