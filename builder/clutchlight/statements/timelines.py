"""What was recorded of an animal or a clutch, day by day, and what each record did to the figures. Oldest first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from clutchlight.genetics.values import Event
from clutchlight.model import Animal, Clutch, LabTest, When
from clutchlight.model.as_published import is_unlisted
from clutchlight.statements.answers import Answers
from clutchlight.statements.changes import Change, Changes, Course
from clutchlight.statements.family import ITSELF, NOT_LISTED, read_words, test_words
from clutchlight.statements.notes import is_birth
from clutchlight.wording import words
from clutchlight.wording.text import NO_WORDS, Name, Text, joined, phrase

UNCHANGED = Text("no figure changed")

_CAME = {"bought": "Came here", "trade": "Came here in a trade", "loan": "Came here on loan", "returned": "Came back"}
_LEFT = {
    "sold": "Sold",
    "traded": "Traded",
    "died": "Died",
    "loan": "Went out on loan",
    "returned": "Went back to its owner",
    "re-homed": "Re-homed",
    "escaped": "Escaped",
}


@dataclass(frozen=True, slots=True)
class TimelineRow:
    """`on`: as recorded, None for what has no date. `what`: a sentence. `figures`: what was said then, or each change, in words.

    `dated`: False where the day only puts the row in its place, since what happened is not listed.
    """

    on: When | None
    what: Text
    figures: tuple[Text, ...] = ()
    dated: bool = True


def animal_timeline(answers: Answers, animal: Animal, changes: Changes) -> tuple[TimelineRow, ...]:
    """From its hatching to the last record that changed a figure, its own clutches and tests in between whatever they changed."""
    courses = changes.courses.get(animal.id, ())
    own = changes.of_animal.get(animal.id, ())
    first, events = answers.once(
        ("timeline", answers.like(animal).id),
        lambda: (_start(answers, animal, courses), tuple(_events(answers, animal, courses, own))),
    )
    rows = [*_life(animal), *events]
    rows.sort(key=lambda row: row.on.last.toordinal() if row.on else 0)
    return (first, *rows) if first.figures or first.on else tuple(rows)


def clutch_timeline(answers: Answers, clutch: Clutch, changes: Changes) -> tuple[TimelineRow, ...]:
    """Laid, hatched, what that changed, and every later change of a figure of its young."""
    rows: list[TimelineRow] = []
    if clutch.laid:
        eggs = f": {words.counted(clutch.eggs, 'good egg')}" if clutch.eggs else ""
        rows.append(TimelineRow(clutch.laid, words.sentence(f"Laid{eggs}")))
    caused = changes.caused_by.get(clutch.id, ())
    if clutch.hatched:
        hatched = words.sentence(f"Hatched{_hatchlings(clutch)}")
        rows.append(TimelineRow(clutch.hatched, hatched, tuple(_of_clutch(change) for change in caused)))
    if clutch.ended:
        rows.append(TimelineRow(clutch.ended, Text("Ended without a hatchling.")))
    later: dict[Event, list[Change]] = {}
    for change in changes.of_young.get(clutch.id, ()):
        if not _is_hatching(change.event, clutch.id):
            later.setdefault(change.event, []).append(change)
    for event, found in sorted(later.items()):
        figures = tuple(
            _of_clutch(change) for change in sorted(found, key=lambda change: (change.animal, change.locus))
        )
        rows.append(_row(answers, event, event_words(answers, event), figures))
    return tuple(rows)


def _row(answers: Answers, event: Event, what: Text, figures: tuple[Text, ...]) -> TimelineRow:
    return TimelineRow(answers.when_of(event), what, figures, dated=not is_unlisted(event.subject))


def event_words(answers: Answers, event: Event) -> Text:
    """What happened, as a sentence: "Clutch C26-01 hatched.", "A test of F-08."."""
    if is_unlisted(event.subject):
        return words.sentence(NOT_LISTED)
    who = answers.named(event.subject)
    match event.kind:
        case "hatching":
            clutch = event.subject in answers.collection.clutches
            return words.sentence(Text(answers.clutch(event.subject) if clutch else who, " hatched"))
        case "test":
            return phrase("A test of {}.", who)
        case "look":
            return phrase("The look of {} was {}.", who, read_words(answers, event))
        case "withdrawn":
            return phrase("What was said of {} was withdrawn.", who)


def _of_clutch(change: Change) -> Text:
    """The row says what happened; only a proof is named again."""
    return Text(Name(change.animal), ": ", change.proven)


def _is_hatching(event: Event, clutch: str) -> bool:
    return event.kind == "hatching" and event.subject == clutch


def _start(answers: Answers, animal: Animal, courses: Iterable[Course]) -> TimelineRow:
    said = tuple(
        dict.fromkeys(
            course.moments[0].label for course in courses if course.moments[0].label and begins_with(animal, course)
        )
    )
    clutch = answers.collection.clutches.get(animal.clutch or "")
    if clutch is not None:
        return TimelineRow(clutch.hatched, phrase("Hatched in {}.", answers.clutch(clutch.id)), said)
    if animal.hatched:
        return TimelineRow(animal.hatched, Text("Hatched."), said)
    return TimelineRow(None, Text("At first, by its look and by what was said of it."), said)


def begins_with(animal: Animal, course: Course) -> bool:
    """Whether a course begins with the animal and not with a later record that first gave a figure."""
    event = course.moments[0].event
    return event is None or is_birth(event, animal)


def _life(animal: Animal) -> Iterator[TimelineRow]:
    if animal.came and animal.came.on and animal.came.how in _CAME:
        yield TimelineRow(animal.came.on, Text(_CAME[animal.came.how], "."))
    if animal.left and animal.left.on:
        yield TimelineRow(animal.left.on, Text(_LEFT.get(animal.left.how, animal.left.how.capitalize()), "."))


def _events(
    answers: Answers, animal: Animal, courses: Iterable[Course], own: Iterable[Change]
) -> Iterator[TimelineRow]:
    moved: dict[Event, list[Change]] = {}
    for change in own:
        moved.setdefault(change.event, []).append(change)
    causes: dict[Event, dict[Text, None]] = {}
    for course in courses:
        for moment in course.moments[1:]:
            if moment.event and moment.cause:
                causes.setdefault(moment.event, {})[moment.cause] = None
    begun = {course.moments[0].event for course in courses}
    for event in sorted({*moved, *answers.events_near(animal.id)}):
        if event in moved:
            told = tuple(causes.get(event, ()))
            said = told[0] if len(told) == 1 else event_words(answers, event)
            yield _row(answers, event, words.sentence(said), tuple(change.proven for change in moved[event]))
        elif event not in begun and (what := _own_record(answers, animal, event)):
            yield _row(answers, event, words.sentence(what), (UNCHANGED,))


def nothing_proved(rows: Iterable[TimelineRow], hatched: When) -> str:
    """Of a clutch that proved nothing and left nothing open: whether its hatching moved any figure at all. `rows`: its timeline."""
    if any(row.figures for row in rows if row.on == hatched):
        return "Nothing is settled by it. The figures that it moved stand below, record by record."
    return "It told nothing new of its parents or their relatives."


def _hatchlings(clutch: Clutch) -> str:
    known = "" if clutch.complete else " on record"
    return f": {words.counted(clutch.hatchlings, 'hatchling')}{known}" if clutch.hatchlings else ""


def _own_record(answers: Answers, animal: Animal, event: Event) -> Text:
    """A record of the animal itself that changed nothing: a clutch that it bred, a test, a look read again; "" for any other."""
    clutch = answers.collection.clutches.get(event.subject)
    if clutch is not None and not answers.listed(clutch.id):
        return NO_WORDS
    if event.kind == "hatching" and clutch is not None and answers.as_parent(clutch, animal.id):
        return phrase("clutch {} hatched{}", Name(clutch.id), _hatchlings(clutch))
    if event.subject != animal.id:
        return NO_WORDS
    if event.kind == "test":
        tests = [test for test in animal.tests if test.on.last == event.on]
        return joined("; ", [_test_that_changed_nothing(answers, animal, test) for test in tests])
    return Text("its look was ", read_words(answers, event)) if event.kind == "look" else NO_WORDS


def _test_that_changed_nothing(answers: Answers, animal: Animal, test: LabTest) -> Text:
    """The test, and why it counts for nothing where that is so."""
    said = phrase("{} of {}", test_words(test, ITSELF), test.trait)
    if (animal.id, test) in answers.inferred.tests_against_looks:
        return Text(said, ", which its look rules out: the test says nothing")
    earlier = any(
        (other.trait, other.laboratory) == (test.trait, test.laboratory) and other.on < test.on and other.error
        for other in animal.tests
    )
    return Text(said, "; of several by one laboratory only the last counts") if test.error and earlier else said
