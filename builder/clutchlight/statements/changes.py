"""Every change of a published figure, with its cause: "C24-03-2: 66% possible het Piebald → het Piebald, proven by C26-01".

All animals that are named in public, sold ones included. What stands at a hatching is a beginning and no change.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from functools import cached_property
from types import MappingProxyType

from clutchlight.genetics.values import Event
from clutchlight.statements import words
from clutchlight.statements.asking import Inferred
from clutchlight.statements.courses import Course, Moment, courses_of
from clutchlight.statements.telling import Telling
from clutchlight.statements.values import Statements


@dataclass(frozen=True, slots=True)
class Change:
    """One figure of one animal, before and after.

    `before_words` and `after_words` are never empty. `cause`: a clause after a comma; `why`: a whole sentence. `clutch`: the one that it
    hatched in. `place`: counts the changes of the same figure on the same day, from 0.
    """

    on: date
    event: Event
    animal: str
    clutch: str | None
    locus: str
    trait: str
    before: Fraction
    after: Fraction
    before_words: str
    after_words: str
    cause: str
    why: str
    small: bool
    proof: bool = False
    place: int = 0

    @property
    def figures(self) -> str:
        """ "66% possible het Piebald → het Piebald"."""
        return f"{self.before_words} → {self.after_words}"

    @property
    def proven(self) -> str:
        """The figures with what proved them, where something did; what else caused the change stands beside."""
        return f"{self.figures}, {self.cause}" if self.proof else self.figures

    @property
    def text(self) -> str:
        return f"{self.animal}: {self.figures}, {self.cause}"


@dataclass(frozen=True)
class Changes:
    """All courses by animal, and all changes, newest first."""

    courses: Mapping[str, tuple[Course, ...]]
    newest_first: tuple[Change, ...]

    @cached_property
    def of_animal(self) -> Mapping[str, tuple[Change, ...]]:
        return _grouped(self.newest_first, lambda change: change.animal)

    @cached_property
    def of_young(self) -> Mapping[str, tuple[Change, ...]]:
        """By the clutch that the animal hatched in."""
        return _grouped(self.newest_first, lambda change: change.clutch or "")

    @cached_property
    def caused_by(self) -> Mapping[str, tuple[Change, ...]]:
        """By the clutch whose hatching did it."""
        return _grouped(self.newest_first, lambda change: change.event.subject if change.event.rank == 0 else "")


def _grouped(changes: Iterable[Change], key: Callable[[Change], str]) -> Mapping[str, tuple[Change, ...]]:
    found: dict[str, list[Change]] = {}
    for change in changes:
        found.setdefault(key(change), []).append(change)
    return MappingProxyType({name: tuple(rows) for name, rows in found.items() if name})


def changes_of(inferred: Inferred, statements: Statements, telling: Telling | None = None) -> Changes:
    """The courses and changes of every animal that is named in public. `telling`: of the same inference, when it has been asked."""
    telling = telling or Telling(inferred, {})
    courses = {
        animal.id: rows
        for animal in telling.collection.animals.values()
        if animal.publish != "no" and not animal.nameless
        if (rows := courses_of(telling, animal, statements.animals[animal.id]))
    }
    found = [change for animal, rows in courses.items() for change in _changes_of(telling, animal, rows)]
    found.sort(key=lambda change: (change.animal, change.locus, change.trait))
    found.sort(key=lambda change: change.event, reverse=True)
    return Changes(MappingProxyType(courses), tuple(found))


def _changes_of(telling: Telling, animal: str, courses: tuple[Course, ...]) -> Iterable[Change]:
    like = telling.like(telling.collection.animals[animal]).id
    found = telling.once(
        ("changes", like), lambda: tuple(change for course in courses for change in _changes(telling, course))
    )
    return (change if change.animal == animal else replace(change, animal=animal) for change in found)


def _changes(telling: Telling, course: Course) -> Iterable[Change]:
    clutch = telling.collection.animals[course.animal].clutch
    days: dict[date, int] = {}
    for before, after in course.changes:
        if after.event is None:
            continue
        day = after.event.on
        days[day] = place = days.get(day, -1) + 1
        yield Change(
            on=day,
            event=after.event,
            animal=course.animal,
            clutch=clutch,
            locus=course.locus,
            trait=course.trait,
            before=before.carries,
            after=after.carries,
            before_words=_said(telling, course, before, after),
            after_words=_said(telling, course, after, before),
            cause=_cause(telling, course, after, after.event),
            why=after.why or words.sentence(after.cause),
            small=course.small,
            proof=after.proof,
            place=place,
        )


def _said(telling: Telling, course: Course, moment: Moment, other: Moment) -> str:
    """The label; where both sides read alike, with the exact chance, since that is what changed."""
    if not moment.label:
        locus = telling.collection.locus(course.animal, course.locus)
        last = moment is course.moments[-1]
        out = last and telling.rules_out(course.animal, locus, locus.allele_number(course.trait))
        return f"{course.trait} ruled out" if out else f"nothing said of {course.trait}"
    if moment.label != other.label:
        return moment.label
    two = moment.carries == other.carries
    return f"{moment.label} (exactly {moment.copies[2] if two else moment.carries})"


def _cause(telling: Telling, course: Course, moment: Moment, event: Event) -> str:
    """ "proven by C26-01", "after clutch C24-01 hatched", "by a test of F-08"."""
    if moment.proof:
        return (
            "proven by its own test" if event.subject == course.animal else f"proven by {telling.named(event.subject)}"
        )
    own = event.subject == course.animal
    who = "it" if own else telling.named(event.subject)
    if event.kind == "hatching":
        return f"after {'clutch ' if event.subject in telling.collection.clutches else ''}{who} hatched"
    if event.kind == "test":
        return "by its own test" if own else f"by a test of {who}"
    if event.kind == "look":
        return f"after {'its look' if own else f'the look of {who}'} was read again"
    return f"after what was said of {who} was withdrawn"
