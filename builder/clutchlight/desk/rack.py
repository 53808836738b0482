"""For the hand and for the wall: the file for the phone at the rack, and the room sheet to fill in by pen. No person and no money.

A phone gets lost and a sheet hangs on a wall. What somebody wrote in the log and that names a buyer, a partner or whoever reported a
clutch is left to the desk.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from msgspec import Struct

from clutchlight.desk import sentences
from clutchlight.desk.evening import due_views, glance
from clutchlight.desk.pages import LARGE, PHONE, SHEET, DeskFraming, DeskLine, DeskPage, cautions
from clutchlight.desk.season import Season, groups, room
from clutchlight.desk.today import male_facts
from clutchlight.model import Animal
from clutchlight.model.private import BOX_EVENTS, CLUTCH_EVENTS, EVENTS, MEALS, WITH_EVENTS, LogRow, plain_number
from clutchlight.planning.due import Due
from clutchlight.planning.rotation import MaleAtWork
from clutchlight.reading.log import ODD_DAYS, ODD_FACTOR
from clutchlight.site import statement_part
from clutchlight.site.labels import HEADINGS
from clutchlight.site.parts import Fact
from clutchlight.wording import words

LAST_ROWS = 8
_HAVE_BUTTONS = ("weight", "meal", "refused", "shed", *WITH_EVENTS)
SPARE_LINES = 4


class Subject(Struct, frozen=True):
    """Of whom or what a line can be written at the rack, with what stands beside it there. `mates`: ids of those that plans put with it.

    `grams` and `weighed`: the last weight and its day, to compare a new one with.
    """

    id: str
    name: str
    sex: str
    species: str
    last: str
    grams: str = ""
    weighed: str = ""
    prey: str = ""
    mates: str = ""


class Entering(Struct, frozen=True):
    """What the phone needs to know to write lines for the log. `room`: what its browser keeps them under.

    `factor` and `days`: a weight of so many times the last of so many days is pointed out. `of_clutches`: events of eggs.
    """

    room: str
    factor: int
    days: int
    events: tuple[str, ...]
    of_clutches: tuple[str, ...]
    clutches: tuple[Subject, ...]


class RackEntry(Struct, frozen=True):
    """One animal for the phone at the rack: what one wants to know with the tub in hand. No buyer and no money.

    `mark`: one word beside the name where something asks for attention.
    """

    name: str
    kind: str
    mark: str | None
    flags: tuple[str, ...]
    facts: tuple[Fact, ...]
    log: tuple[str, ...]
    subject: Subject


class SheetGroup(Struct, frozen=True):
    """Animals with the same boxes to fill in. `boxes`: their headings; `wide`: the one that takes the rest of the line."""

    heading: str
    boxes: tuple[str, ...]
    wide: str
    rows: tuple[DeskLine, ...]


# The file for the phone


def phone_page(framing: DeskFraming) -> DeskPage:
    season = framing.season
    people = _people(season)
    return framing.page(
        PHONE,
        "At the rack",
        "Works without a network; names no person and no price.",
        alone=True,
        glance=glance(season, people=False),
        due=due_views(season),
        groups=tuple(
            (key, heading, tuple(_entry(season, animal, people) for animal in found))
            for key, heading, found in _groups(season)
            if found
        ),
        cautions=cautions(season.collection, ("hygiene", "weight", "egg binding", "sexing", "bites"), (LARGE,)),
        entering=Entering(
            season.collection.settings.collection_id,
            ODD_FACTOR,
            ODD_DAYS,
            ("note", *(event for event in EVENTS if event not in ("note", *_HAVE_BUTTONS))),
            ("note", *CLUTCH_EVENTS, *BOX_EVENTS),
            tuple(_eggs(season)),
        ),
    )


def _eggs(season: Season) -> Iterator[Subject]:
    """The clutches in the incubator."""
    for one in season.incubating:
        clutch = season.collection.clutches[one.clutch]
        laid = f", laid {sentences.short_when(one.laid, season.day)}" if one.laid is not None else ""
        eggs = f"eggs of {sentences.called(season.collection, one.dam)}{laid}"
        yield Subject(clutch.id, clutch.name or "", "clutch", clutch.species, eggs)


def _subject(season: Season, animal: Animal, rows: Sequence[LogRow], people: re.Pattern[str]) -> Subject:
    weights = [row for row in rows if row.weight is not None]
    preys = [row.value for row in rows if row.event in MEALS and row.value and not people.search(row.value)]
    weight = weights[-1] if weights else None
    fed = [row for row in rows if row.event in (*MEALS, "refused")][-1:]
    last = [
        f"{'refused' if row.event == 'refused' else 'ate'} {sentences.short_when(row.on, season.day)}" for row in fed
    ]
    return Subject(
        animal.id,
        animal.name or "",
        animal.sex,
        animal.species,
        "; ".join(filter(None, (_grams_now(season, animal.id), *last))),
        plain_number(weight.number) if weight is not None and weight.number is not None else "",
        weight.day.isoformat() if weight is not None else "",
        preys[-1] if preys else "",
        " ".join(_mates(season, animal.id)),
    )


def _grams_now(season: Season, name: str) -> str | None:
    """ "1081 g on 22 Nov", the last weighing."""
    run = next((run for run in season.weights if run.animal == name), None)
    return sentences.weighing(run.points[-1], season.day) if run else None


def _groups(season: Season) -> Iterator[tuple[str, str, list[Animal]]]:
    animals = list(room(season.collection))
    young = [animal for animal in animals if animal.id not in season.grown]
    for sex, heading in (("male", "Males"), ("female", "Females"), ("unknown", "Sex not known")):
        yield f"{sex}s", heading, [a for a in animals if a.sex == sex and a not in young]
    yield "young", "Young and others", young


def _people(season: Season) -> re.Pattern[str]:
    """Finds the name of anybody in the private records, or a word of it that has a capital there, however it is written."""
    private = season.private
    names = [sale.buyer for sale in private.sales] + [holding.partner for holding in private.holdings]
    names += [clutch.reported_by for clutch in season.collection.clutches.values()]
    wholes = {name for name in names if name}
    words_of = {word for name in wholes for word in re.findall(r"[^\W\d_]{3,}", name) if word[0].isupper()}
    found = "|".join(re.escape(name) for name in sorted(wholes | words_of))
    return re.compile(rf"\b(?:{found})\b" if found else r"(?!)", re.IGNORECASE)


def _entry(season: Season, animal: Animal, people: re.Pattern[str]) -> RackEntry:
    collection = season.collection
    at_work = next((male for male in season.males if male.animal == animal.id), None)
    rows = [row for row in season.private.of(animal.id) if row.day <= season.day]
    apart = _apart(season, animal.id)
    worked = [flag.seen for flag in sentences.flags_in_words(at_work)] if at_work else []
    lacks = [sentences.not_seen(one) for one in season.not_ready if one.animal == animal.id]
    stays = [f"not ready to leave: {' and '.join(one)}" for one in lacks]
    return RackEntry(
        sentences.called(collection, animal.id),
        f"{words.sex_words(animal.sex)}, {_status(season, animal)}",
        apart[0] if apart else "flagged" if worked else "not ready to leave" if stays else None,
        tuple(words.sentence(flag) for flag in (*apart[1:], *worked, *stays)),
        tuple(_facts(season, animal, at_work)),
        tuple(_row(season, animal.id, row, people) for row in rows[-LAST_ROWS:][::-1]),
        _subject(season, animal, rows, people),
    )


def _status(season: Season, animal: Animal) -> str:
    """ "holdback"; of a hold that is over or that begins later: "hold ended 1 Nov, 27 days ago"."""
    holds = [one for one in season.holds if animal.id in one.sale.animals]
    stands = any(not one.ended and not one.to_come for one in holds)
    if not holds or stands or animal.status not in ("available", "on hold"):
        return animal.status
    return f"hold {sentences.hold(holds[0], season.day)}"


def _facts(season: Season, animal: Animal, at_work: MaleAtWork | None) -> Iterator[Fact]:
    collection = season.collection
    if at_work is not None:
        yield from male_facts(season, at_work)
    elif weighed := _grams_now(season, animal.id):
        yield Fact("Weight", weighed)
    if mates := _mates(season, animal.id):
        yield Fact("Planned with", sentences.animals_of(collection, mates))
    due = [_due(season, item) for item in season.due if animal.id in (item.about, item.dam) or animal.id in item.young]
    if due:
        yield Fact("Due", words.clause("; ".join(due)))
    ready = next((one for one in season.ready if one.animal == animal.id), None)
    if ready is not None:
        enough = f"old and heavy enough{'; weigh again' if ready.weight_is_old else ''}"
        yield Fact("To breed", enough if ready.verdict == "ready" else sentences.ready_words(ready))
    statement = season.sources.statements.animals[animal.id]
    yield Fact("Shows", statement.looks_words)
    carried = [label for heading in HEADINGS for label in statement_part.words_under(heading, statement)]
    if carried:
        yield Fact("Carries", "; ".join(label.removeprefix("carries ") for label in carried))


def _row(season: Season, name: str, row: LogRow, people: re.Pattern[str]) -> str:
    """ "22 Nov: weight 1081"."""
    partner = row.with_(name)
    value, note = (text if text and not people.search(text) else "" for text in (row.value, row.note))
    parts = [
        row.event,
        *([f"{plain_number(row.number)} g"] if row.event == "weight" and row.number is not None else []),
        *([value] if value and row.event != "weight" else []),
        *([f"with {sentences.called(season.collection, partner)}"] if partner else []),
    ]
    more = "more in the log" if (value, note) != (row.value or "", row.note or "") else ""
    beside = "; ".join(text for text in (note, more) if text)
    return f"{sentences.short_when(row.on, season.day)}: {' '.join(parts)}{f' ({beside})' if beside else ''}"


# The room sheet


def sheet_page(framing: DeskFraming) -> DeskPage:
    season = framing.season
    kept = ("weight, g", "fed", "refused", "shed")
    more = {"Males in rotation": ("in with", "lock", "out"), "Females with a plan": ("building", "ovulation")}
    sheets = [
        _group(season, heading, (*kept, *more.get(heading, ())), animals, plans=heading in more)
        for heading, animals in groups(season)
    ]
    spare = (DeskLine(""),) * SPARE_LINES
    eggs = SheetGroup("Eggs and anything else", ("date", "clutch or animal"), "what was seen", spare)
    due = [_due(season, item) for item in season.due if item.state != "later"]
    return framing.page(
        SHEET,
        "Room sheet",
        "Fill it in by pen; each entry becomes one row of the log: date, animal, event, with, value, note.",
        template="room_sheet.html",
        due=words.sentence("; ".join(due)) if due else "",
        groups=tuple(group for group in (*sheets, eggs) if group.rows),
        cautions=cautions(season.collection, ("hygiene", "sexing"), (LARGE,)),
    )


def _group(
    season: Season, heading: str, boxes: tuple[str, ...], animals: Sequence[Animal], *, plans: bool = False
) -> SheetGroup:
    rows = []
    for name in (animal.id for animal in animals):
        weighed, note = _grams_now(season, name) or "", _beside(season, name, plans=plans)
        rows.append(DeskLine(sentences.short_name(season.collection, name), weighed, note=note))
    return SheetGroup(heading, boxes, "note", tuple(rows))


def _beside(season: Season, name: str, *, plans: bool) -> str:
    """ "in quarantine until 8 Feb 2027", "plan: M-03, M-01; flagged", so that nobody has to look it up."""
    notes = _apart(season, name)
    if plans and (mates := _mates(season, name)):
        notes.append(f"plan: {', '.join(mates)}")
    if plans and any(male.animal == name and male.flags for male in season.males):
        notes.append("flagged")
    return "; ".join(notes)


def _due(season: Season, item: Due) -> str:
    return f"{sentences.due_what(season.collection, item)}, {sentences.due_when(item, season.day)}"


def _apart(season: Season, name: str) -> list[str]:
    return [sentences.apart_words(one.how, one.until) for one in season.set_apart if one.animal == name]


def _mates(season: Season, name: str) -> list[str]:
    """The animals that plans put with one and that are here, each once."""
    pairs = [(one.male, one.plan.female) for one in season.planned if name in (one.male, one.plan.female)]
    mates = dict.fromkeys(male if female == name else female for male, female in pairs)
    return [mate for mate in mates if season.collection.animals[mate].here]
