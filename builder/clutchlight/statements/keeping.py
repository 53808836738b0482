"""The young of a clutch side by side, in words; for the breeder alone, since buyers and prices are named."""

from __future__ import annotations

from datetime import date

from msgspec import Struct

from clutchlight.model import Collection, Species
from clutchlight.model.private import Sale, plain_number
from clutchlight.planning.keeping import Goal, SideBySide, SoldBefore, TowardsGoal, YoungHere, needed_of
from clutchlight.planning.outcomes import Harm
from clutchlight.statements.animals import state_animal
from clutchlight.statements.answers import Answers
from clutchlight.statements.odds import wrapped
from clutchlight.wording import day_words, words

YOURS = "By today's figures, each young by itself. Which to keep is yours to decide."
MOST_SOLD = 3


class YoungWords(Struct, frozen=True):
    """One young: who it is, and by column what there is to say, in the order of `SideBySideWords.columns`."""

    name: str
    about: str
    cells: tuple[str, ...]
    notes: tuple[str, ...]


class SideBySideWords(Struct, frozen=True):
    """`wanted`: what the plans want, and which plans. `columns`: the headings of what is said of each young."""

    heading: str
    wanted: tuple[str, ...]
    columns: tuple[str, ...]
    young: tuple[YoungWords, ...]


def in_words(side: SideBySide, answers: Answers, day: date) -> SideBySideWords:
    collection, clutch = answers.collection, side.clutch
    species = collection.species[clutch.species]
    hatched = f", hatched {day_words.on(clutch.hatched)}" if clutch.hatched else ""
    needed = [_needed(goal, species) for goal in side.goals]
    gone = f"; {words.number(side.gone)} no longer" if side.gone else ""
    return SideBySideWords(
        f"{clutch.id}{hatched}: {words.plural(len(side.young), 'young', 'young')} here{gone}",
        tuple(_goal(goal, collection) for goal in side.goals)
        or ("No plan wants anything that young of this clutch could be a parent for.",),
        (
            "Weight",
            "Asked",
            *(text for one in needed for text in (f"Carries {one}", f"Others alike in {one} were sold for")),
        ),
        tuple(_young(one, answers, day) for one in side.young),
    )


def as_text(side: SideBySide, answers: Answers, day: date) -> str:
    """As the command prints it."""
    said = in_words(side, answers, day)
    lines = [f"{said.heading}. Private.", *wrapped(YOURS, 0), "", "Wanted:"]
    lines += [line for text in said.wanted for line in wrapped(text, 2)]
    for one in said.young:
        lines += ["", *wrapped(f"{one.name}, {one.about}", 0)]
        cells = zip(said.columns, one.cells, strict=True)
        lines += [line for column, cell in cells for line in wrapped(f"{column}: {cell}", 2)]
        lines += [line for note in one.notes for line in wrapped(note, 2)]
    return "\n".join(lines) + "\n"


def _goal(goal: Goal, collection: Collection) -> str:
    pairs = dict.fromkeys(
        f"{collection.animals[plan.female].called} with {words.join_or([collection.animals[male].called for male in plan.males])}"
        for plan in goal.plans
    )
    return f"{words.join_and(goal.looks)} {words.are(len(goal.looks))} wanted of {', and of '.join(pairs)}."


def _needed(goal: Goal, species: Species) -> str:
    """The traits that it needs; a look of no trait as it is written."""
    found = dict.fromkeys(map(words.join_or, needed_of(species, goal.looks)))
    return words.join_and(tuple(found) or goal.looks)


def _young(one: YoungHere, answers: Answers, day: date) -> YoungWords:
    collection, animal = answers.collection, one.animal
    weight = "not weighed"
    if one.weight is not None and one.weight.number is not None:
        weight = f"{plain_number(one.weight.number)} g {day_words.on(one.weight.on)}"
    towards = [text for each in one.towards for text in (_chance(each), _sold(each, collection))]
    stated = state_animal(answers, animal, {})
    disorders = (str(trait.label.in_brackets) for trait in stated.traits if trait.harmful and not trait.shows)
    return YoungWords(
        animal.called,
        ", ".join([words.sex_words(animal.sex), str(stated.title), *disorders]),
        (weight, day_words.price(animal.price, collection.settings.currency) or "no price", *towards),
        (*((_held(one.held, day),) if one.held is not None else ()), *map(_harm, one.harm)),
    )


def _chance(one: TowardsGoal) -> str:
    if one.carries is None:
        return "shows it" if one.shows else words.NOT_COMPUTED
    if one.carries == 1:
        return "shows it" if one.shows else "taken as certain" if one.taken else "certain"
    return words.in_count(one.carries) if one.carries else "nothing speaks for it"


def _sold(one: TowardsGoal, collection: Collection) -> str:
    if not one.sold:
        return "no such price on record"
    more = len(one.sold) - MOST_SOLD
    said = [_one_sale(each, collection) for each in one.sold[:MOST_SOLD]]
    return "; ".join(said) + (f"; and {words.plural(more, 'earlier sale')}" if more > 0 else "")


def _one_sale(one: SoldBefore, collection: Collection) -> str:
    sex = collection.animals[one.animal].sex
    looks = "not looked at" if one.looks is None else " ".join(one.looks) or "normal"
    who = f"{one.animal}, {'' if sex == 'unknown' else f'{sex}, '}{looks}"
    return f"{day_words.money(one.agreed, collection.settings.currency)} {day_words.on(one.on)} ({who})"


def _held(sale: Sale, day: date) -> str:
    who, until = sale.buyer or "somebody", sale.until
    if until is not None and until.last < day:
        return f"Held for {who}; the hold ended {day_words.on(until)}."
    return f"Held{f' until {day_words.when(until)}' if until is not None else ''} for {who}."


def _harm(harm: Harm) -> str:
    risk = "" if harm.chance == 1 else f", up to {words.harm_percent(harm.chance)} in 100"
    source = f" [{harm.source}]" if harm.source else ""
    return f"Welfare, {words.harmful_together(harm.traits)}{risk}: {words.sentence(harm.text)}{source}"
