"""The course of each figure: what was said of one trait of one animal at first, and after every record that changed it.

A label of a past moment has the grounds of that moment: looks that were read again and claims that were withdrawn since counted then. What
changes the label and not the figure, such as the proof of a certainty, is a moment of its own.

A timeline tells what was recorded of an animal or a clutch, day by day, and what each record did to the figures, oldest first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from fractions import Fraction
from functools import cached_property
from itertools import pairwise
from types import MappingProxyType

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.genetics.values import Event, Figure
from clutchlight.model import Animal, Clutch, Collection, LabTest, Species, When
from clutchlight.model.animals import Leaving
from clutchlight.model.as_published import is_unlisted
from clutchlight.model.ledger import DatedRecord, DatedTrait
from clutchlight.model.traits import grouped, reached
from clutchlight.statements.answers import Answers, looked
from clutchlight.statements.asked import Asked, asked_at, stated_in, stated_traits
from clutchlight.statements.family import (
    ITSELF,
    NOT_LISTED,
    against,
    cause_words,
    happening,
    is_birth,
    looked_by,
    replaced_by,
    test_words,
)
from clutchlight.statements.values import AnimalStatement, Statements
from clutchlight.wording import words
from clutchlight.wording.text import NO_WORDS, Name, Text, joined, phrase


class Moment(Struct, frozen=True):
    """From `event` on (None: from the beginning) this was said. `label` is "" where nothing was.

    `proof`: the event proved it. `excluded`: the animal cannot carry it, by what stands today of the evidence up to it.
    `cause`: what happened, in words ("clutch C25-01 had three hatchlings, none of them Piebald").
    `why`: the note on it as a sentence, or "".
    """

    event: Event | None
    copies: tuple[Fraction, Fraction, Fraction]
    label: Text
    proof: bool = False
    cause: Text = NO_WORDS
    why: Text = NO_WORDS
    when: When | None = None
    excluded: bool = False

    @property
    def carries(self) -> Fraction:
        return self.copies[1] + self.copies[2]


class Course(Struct, frozen=True):
    """What was said of one trait of one animal through time; the last moment is what is said now.

    `small`: it never reached what is mentioned in titles.
    """

    animal: str
    locus: str
    trait: str
    moments: tuple[Moment, ...]
    small: bool


def courses_of(answers: Answers, animal: Animal, said: AnimalStatement) -> tuple[Course, ...]:
    """The courses of every trait that was ever said to be possible or certain, in catalogue order.

    Left out: traits whose looks are under review, and those of which nothing recorded speaks (background only).
    """
    found = answers.once(("courses", answers.like(animal).id), lambda: tuple(_courses(answers, animal, said)))
    return tuple(replace(course, animal=animal.id) for course in found)


def _courses(answers: Answers, animal: Animal, said: AnimalStatement) -> Iterator[Course]:
    quiet = {trait.trait for trait in said.traits if trait.background_only}
    for locus in answers.loci(animal.species):
        if locus.key in said.under_review:
            continue
        rows = answers.history(animal.id, locus.key)
        for allele, trait in enumerate(locus.alleles, start=1):
            if trait not in quiet and any(figure.carries(allele) for _, figure in rows):
                yield _course(Asked(answers, animal, locus, allele), said)


def _course(asked: Asked, said: AnimalStatement) -> Course:
    moments: list[Moment] = []
    animal, proof = asked.animal, None if asked.shows else asked.proof
    born = animal.hatched.last if animal.hatched and not animal.founder else None
    rows = _rows(asked, proof)
    for event, figure in rows:
        now, was = (event, figure) == rows[-1], moments[-1] if moments else None
        copies, label = figure.copies(asked.allele), _label(asked, figure, event, now=now)
        excluded = not label and asked.ruled_out_by(event)
        if was and event and born and event.on <= born:
            moments[-1] = replace(
                was, copies=copies, label=label, excluded=excluded
            )  # all of that day is "when hatched"
            continue
        if was and _reads_alike(asked, was, figure, label) and was.excluded == excluded:
            moments[-1] = replace(was, copies=copies)  # what no reader can see is no change
            continue
        cause = cause_words(asked, event) if event and was else NO_WORDS
        proves = (
            event is not None
            and not asked.if_sired()
            and (event == proof or (not now and _proved(asked, was, figure, event)))
        )
        note = _note(said, asked.trait, event) if event and was else NO_WORDS
        when = asked.answers.when_of(event) if event else None
        moments.append(Moment(event, copies, label, proves, cause, note, when, excluded))
    threshold = asked.answers.collection.settings.mention_from
    small = all(moment.carries < threshold for moment in moments)
    return Course(*asked.about, tuple(moments), small)


def _rows(asked: Asked, proof: Event | None) -> list[tuple[Event | None, Figure]]:
    """The history, and a row more at each other event from which more may be said, or less, of the same figure."""
    found = dict(asked.history)
    computed = asked.answers.inferred.history(*asked.about[:2])
    for event in {*_others(asked, proof)} - found.keys():
        standing = next((figure for one, figure in reversed(computed) if one is None or one <= event), None)
        if isinstance(standing, Figure):
            found[event] = standing
    return sorted(found.items(), key=lambda row: (row[0] is not None, row[0]))


def _others(asked: Asked, proof: Event | None) -> Iterator[Event]:
    """What proved it or ruled it out, its own looks, and the claims withdrawn that its figure may have rested on."""
    answers, animals = asked.answers, asked.answers.collection.animals
    yield from filter(None, (proof, asked.ruled_out_at))
    yield from (event for event in answers.events_of(asked.animal.id) if event.kind == "look")
    for name in reached([asked.animal.id], answers.parents):
        if any(claim.locus == asked.locus.key and claim.withdrawn for claim in animals[name].claims):
            yield from (event for event in answers.events_of(name) if event.kind == "withdrawn")


def _reads_alike(asked: Asked, before: Moment, figure: Figure, label: Text) -> bool:
    """Whether the same is said, of one of several that it carries with the same chance."""
    joint = asked.trait in words.one_of_these(asked.locus, figure)
    chances = (before.carries, figure.carries(asked.allele)) if joint else ()
    return before.label == label and len(set(map(words.percent_text, chances))) < 2


def _proved(asked: Asked, before: Moment | None, figure: Figure, event: Event) -> bool:
    """Whether an event proved what was not certain before, by what counted then."""
    if before is None or before.carries == 1 or figure.carries(asked.allele) < 1 or asked.reads(event):
        return False
    by = asked.answers.inferred.certain_by(*asked.key, event)
    return by in ("proven", "test") and not asked.showed(figure, looked_by(asked.animal, event))


def label_on(asked: Asked, figure: Figure, day: date) -> words.Label:
    """What was said of the figure of a day, on the conditions of that day."""
    rows = _rows(asked, None if asked.shows else asked.proof)
    event = [one for one, _ in rows if one is None or one.on <= day][-1:]
    now = bool(rows) and event == [rows[-1][0]] and figure == rows[-1][1]
    return _label(asked, figure, event[0] if event else None, now=now)


def said_in(record: DatedRecord, asked: Asked, day: date) -> tuple[Figure, words.Label]:
    """What was said on a day by the dated record in force: on the conditions of that day, where the records give the same for it and
    for the other traits of its locus, with which it may share its words ("one of the two"); but not on who sired a clutch, where the
    record knows nothing of that."""
    figure, grounds, shows = stated_in(record, asked)
    ours = asked.answers.inferred.at(asked.animal.id, asked.locus.key, day)
    if isinstance(ours, Figure) and asked.showed(ours, day) == shows:
        every = asked_at(asked.answers, asked.animal, asked.locus)
        if all(stated_in(record, one)[0].copies(one.allele) == ours.copies(one.allele) for one in every):
            label = label_on(asked, ours, day)
            return figure, label.only_on() if surer_in(record, asked) else label
    by = grounds if grounds.on_trust else None
    return figure, words.label_of(asked.locus, asked.trait, figure, shows=shows, grounds=by)


def of_no_trait(record: DatedRecord, species: Species) -> Iterator[tuple[DatedTrait, words.Label]]:
    """What a dated record states of unseen traits that no file describes any more, with what was said of them."""
    for row in record.figures.traits:
        locus, seen = species.loci.get(row.locus), row.trait in (record.figures.looks or ())
        if row.carries and not seen and (locus is None or row.trait not in locus.alleles):
            share = "" if row.carries == 1 else words.percent_text(row.carries)
            yield row, words.Label(share, "possible" if share else words.CARRIES, row.trait)


def surer_in(record: DatedRecord, asked: Asked) -> bool:
    """Whether a dated record has for certain what by today's records hung on that day on who sired a clutch."""
    ours = asked.answers.inferred.at(asked.animal.id, asked.locus.key, record.on)
    if record.if_sired is None or asked.trait in record.if_sired or not isinstance(ours, Figure):
        return False
    if stated_in(record, asked)[1].on_trust:
        return False
    sure = ours.carries(asked.allele) == 1 or asked.trait in words.one_of_these(asked.locus, ours)
    return sure and bool(asked.if_sired())


def stated_surer(record: DatedRecord, answers: Answers, animal: Animal) -> bool:
    """Whether that is so of any trait in a dated record."""
    return any(surer_in(record, asked) for asked in stated_traits(record, answers, animal))


def _label(asked: Asked, figure: Figure, event: Event | None, *, now: bool) -> words.Label:
    unexpected = asked.unexpected(event.on if event else date.min)
    if not now:
        return asked.label_after(figure, event, looked_by(asked.animal, event), unexpected)
    certain = (asked.carries == 1 or asked.one_of_several) and not asked.shows
    return asked.label(figure, asked.certain_by if certain else None, unexpected)


def _note(said: AnimalStatement, trait: str, event: Event) -> Text:
    """How this change came about, by the note that tells it, if there is one."""
    fits = (
        note.how or note.text
        for note in said.notes
        if (note.trait, note.on, note.cause) == (trait, event.on, event.subject) and note.kind != "surprise"
    )
    return next(fits, NO_WORDS)


class Change(Struct, frozen=True):
    """The figures of one animal at one locus, before and after; `trait`, `before` and `after` are of the first that changed.

    `before_words` and `after_words` are never empty. `cause`: a clause after a comma; `why`: a whole sentence. `clutch`: the one that it
    hatched in. `place`: counts the changes of the same figure on the same day, from 0.
    """

    on: date
    when: When
    event: Event
    animal: str
    clutch: str | None
    locus: str
    trait: str
    before: Fraction
    after: Fraction
    before_words: Text
    after_words: Text
    cause: Text
    why: Text
    small: bool
    proof: bool = False
    place: int = 0

    @property
    def figures(self) -> Text:
        """ "66% possible het Piebald → het Piebald"."""
        return phrase("{} → {}", self.before_words, self.after_words)

    @property
    def proven(self) -> Text:
        """The figures with what proved them, where something did; what else caused the change stands beside."""
        return self.with_cause if self.proof else self.figures

    @property
    def after_apart(self) -> tuple[Text, str]:
        """What is said after, and the condition that stands behind the cause, or "": that of a proof, or on who sired what caused it."""
        after = self.after_words
        if isinstance(after, words.Label) and (self.proof or self._once_named(after.condition) != after.condition):
            return after.only_on(), after.condition
        return after, ""

    @property
    def caused(self) -> Text:
        """What caused the change, and the condition behind it, which names no clutch that the cause names."""
        return joined(", ", [*filter(None, (self.cause, self._once_named(self.after_apart[1])))])

    @property
    def with_cause(self) -> Text:
        """The figures with what caused the change."""
        return phrase("{} → {}, {}", self.before_words, self.after_apart[0], self.caused)

    def _once_named(self, condition: str) -> str:
        return words.sired_it(condition, self.event.subject)

    @property
    def dated(self) -> bool:
        """Whether its day may be told: not of what records of unlisted ones did."""
        return not is_unlisted(self.event.subject)


class Changes(Struct, frozen=True, dict=True):
    """All courses by animal, and all changes, newest first."""

    courses: Mapping[str, tuple[Course, ...]]
    newest_first: tuple[Change, ...]

    @cached_property
    def of_animal(self) -> Mapping[str, tuple[Change, ...]]:
        return grouped((change.animal, change) for change in self.newest_first)

    @cached_property
    def of_young(self) -> Mapping[str, tuple[Change, ...]]:
        """By the clutch that the animal hatched in."""
        return grouped((change.clutch, change) for change in self.newest_first if change.clutch)

    def later_of(self, clutch: Clutch) -> tuple[Change, ...]:
        """The changes of its young, and those of its parents by a record of its young, or by one of their mate since it hatched."""
        hatched = clutch.hatched.last if clutch.hatched else date.max
        of_parents = (change for name in clutch.parents for change in self.of_animal.get(name, ()))
        by_family = (
            change
            for change in of_parents
            if change.event.subject in clutch.young
            or (
                change.event.subject in clutch.parents and change.event.subject != change.animal and hatched < change.on
            )
        )
        return (*self.of_young.get(clutch.id, ()), *by_family)

    @cached_property
    def caused_by(self) -> Mapping[str, tuple[Change, ...]]:
        """By the clutch whose hatching did it."""
        return grouped((change.event.subject, change) for change in self.newest_first if change.event.rank == 0)


def changes_of(answers: Answers, statements: Statements) -> Changes:
    """The courses and changes of every animal that is named in public."""
    courses = {
        animal.id: rows
        for animal in answers.collection.animals.values()
        if animal.publish != "no" and not animal.nameless
        if (rows := courses_of(answers, animal, statements.animals[animal.id]))
    }
    found = [
        change
        for rows in courses.values()
        for change in _of_a_locus(change for course in rows for change in _changes(answers, course))
    ]
    found.sort(key=lambda change: (change.animal, change.locus, change.trait))
    found.sort(key=lambda change: change.event, reverse=True)
    return Changes(MappingProxyType(courses), tuple(found))


def _of_a_locus(changes: Iterable[Change]) -> Iterator[Change]:
    """What one record did to several alleles of one locus is one change: it happened to one pair of copies."""
    for found in grouped(((change.event, change.locus), change) for change in changes).values():
        if len(found) == 1:
            yield found[0]
            continue
        settled = all(change.after in (0, 1) for change in found)
        first = next((change for change in found if change.proof == settled), found[0])
        yield replace(
            found[0],
            before_words=_each_once(change.before_words for change in found),
            after_words=_each_once(change.after_words for change in found),
            cause=first.cause,
            why=max((change.why for change in found), key=len),
            small=all(change.small for change in found),
            proof=first.proof,
        )


def _each_once(parts: Iterable[Text]) -> Text:
    found = tuple(dict.fromkeys(parts))
    return found[0] if len(found) == 1 else joined("; ", found)


def _changes(answers: Answers, course: Course) -> Iterable[Change]:
    clutch = answers.collection.animals[course.animal].clutch
    days: dict[date, int] = {}
    for before, after in pairwise(course.moments):
        if after.event is None:
            continue
        day = after.event.on
        days[day] = place = days.get(day, -1) + 1
        before_words, after_words = _in_words(answers, course, before, after)
        yield Change(
            on=day,
            when=answers.when_of(after.event),
            event=after.event,
            animal=course.animal,
            clutch=clutch,
            locus=course.locus,
            trait=course.trait,
            before=before.carries,
            after=after.carries,
            before_words=before_words,
            after_words=after_words,
            cause=_cause(answers, course, after, after.event),
            why=after.why or words.sentence(after.cause),
            small=course.small,
            proof=after.proof,
            place=place,
        )


def _in_words(answers: Answers, course: Course, before: Moment, after: Moment) -> tuple[Text, Text]:
    """What was said before and after; of a trait that shows, where only its second copy was in question, that it cannot have one."""
    trait = course.trait
    if after.label and before.label == after.label:  # one of several, of which the chances are others
        was, now = (Text(f"{words.percent_text(one.carries)} {trait}") for one in (before, after))
        return was, now
    said = before.label or Text(f"nothing said of {trait}")
    if after.label == trait and after.copies[1] == 1 and before.copies[2] and before.carries == 1:
        locus = answers.species_of(answers.collection.animals[course.animal]).loci[course.locus]
        if answers.inferred.ruled_out(course.animal, course.locus, locus.allele_number(trait), after.event, two=True):
            return said, Text(trait, ", one copy")
    gone = f"{trait} ruled out" if after.excluded else f"nothing speaks for {trait} any more"
    return said, after.label or Text(gone)


def _cause(answers: Answers, course: Course, moment: Moment, event: Event) -> Text:
    """ "proven by C26-01", "after clutch C24-01 hatched", "by a test of F-08"."""
    if moment.proof:
        tested = event.kind == "test"
        if event.subject == course.animal:
            return Text("proven by its own ", "test" if tested else "look")
        return Text("proven by ", "a test of " if tested else "", answers.named(event.subject))
    if is_unlisted(event.subject):
        return Text("by ", NOT_LISTED)
    who = ITSELF if event.subject == course.animal else answers.named(event.subject)
    return Text("by " if event.kind == "test" else "after ", happening(answers, event, who))


# Day by day


UNCHANGED = Text("no figure changed")

_CAME = {"bought": "Came here", "trade": "Came here in a trade", "loan": "Came here on loan", "returned": "Came back"}
_LEFT = {"loan": "Went out on loan", "returned": "Went back to its owner"}


class TimelineRow(Struct, frozen=True):
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
    first = _start(answers, animal, courses)
    rows = sorted(
        (*_life(animal), *_events(answers, animal, courses, own)),
        key=lambda row: row.on.last.toordinal() if row.on else 0,
    )
    return (first, *rows) if first.figures or first.on else tuple(rows)


def clutch_timeline(answers: Answers, clutch: Clutch, changes: Changes) -> tuple[TimelineRow, ...]:
    """Laid, hatched, what that changed, and every later change by a record of its family."""
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
    born = ("hatching", clutch.id)
    later = grouped((one.event, one) for one in changes.later_of(clutch) if (one.event.kind, one.event.subject) != born)
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
    unlisted = is_unlisted(event.subject)
    return words.sentence(NOT_LISTED if unlisted else happening(answers, event, answers.named(event.subject)))


def _of_clutch(change: Change) -> Text:
    """The row says what happened; only a proof is named again."""
    return Text(Name(change.animal), ": ", change.proven)


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
    loci = {course.locus for course in courses}
    claimed = any(claim.locus in loci for claim in animal.claims)
    return TimelineRow(None, Text(f"At first, by its look{' and by what was said of it' if claimed else ''}."), said)


def before_any(collection: Collection, course: Course) -> str:
    """By what a course begins, before any record changed its figure: "by its look and what was said of it"."""
    first, animal = course.moments[0], collection.animals[course.animal]
    if first.when:
        return "at its hatching"
    if not first.carries:
        return "no record spoke of it"
    background = collection.species[animal.species].loci[course.locus].background
    claimed = any(claim.locus == course.locus for claim in animal.claims)
    parts = {
        "its parents": not animal.founder,
        "its look": looked(animal, date.min) is not None,
        "what was said of it": claimed,
        "how common the trait is": course.trait in background and not claimed,
    }
    return f"by {words.join_and([part for part, counts in parts.items() if counts]) or 'what is on record'}"


def begins_with(animal: Animal, course: Course) -> bool:
    """Whether a course begins with the animal and not with a later record that first gave a figure."""
    event = course.moments[0].event
    return event is None or is_birth(event, animal)


def _life(animal: Animal) -> Iterator[TimelineRow]:
    if animal.came and animal.came.on and animal.came.how in _CAME:
        yield TimelineRow(animal.came.on, Text(_CAME[animal.came.how], "."))
    yield from _away(animal.left)


def _away(left: Leaving | None, on: When | None = None) -> Iterator[TimelineRow]:
    """Each leaving and return, the oldest first; no return of one that went on to another keeper (`on` that day), nor of one that was
    sold: when that came back is the breeder's to tell, in `came`."""
    if left is None:
        return
    yield from _away(left.before, left.on)
    if left.on:
        yield TimelineRow(left.on, Text(_LEFT.get(left.how, left.how.capitalize()), "."))
    if left.back and left.back != on and left.how != "sold":
        yield TimelineRow(left.back, Text("Came back."))


def _events(
    answers: Answers, animal: Animal, courses: Iterable[Course], own: Iterable[Change]
) -> Iterator[TimelineRow]:
    moved = grouped((change.event, change) for change in own)
    causes = grouped((moment.event, moment.cause) for course in courses for moment in course.moments[1:])
    begun = {course.moments[0].event for course in courses}
    for event in sorted({*moved, *answers.events_near(animal.id)}):
        if event in moved:
            told = set(causes[event])
            said = told.pop() if len(told) == 1 else event_words(answers, event)
            yield _row(answers, event, words.sentence(said), tuple(change.proven for change in moved[event]))
        elif event not in begun and (what := _own_record(answers, animal, event)):
            yield _row(answers, event, words.sentence(what), (UNCHANGED,))


def _hatchlings(clutch: Clutch) -> str:
    known = "" if clutch.complete else " on record"
    return f": {words.counted(clutch.hatchlings, 'hatchling')}{known}" if clutch.hatchlings else ""


def _own_record(answers: Answers, animal: Animal, event: Event) -> Text:
    """A record of the animal itself that changed nothing: a clutch that it bred, a test, a look read again; "" for any other."""
    clutch = answers.collection.clutches.get(event.subject)
    if clutch is not None and not answers.listed(clutch.id):
        return NO_WORDS
    if event.kind == "hatching" and clutch is not None and answers.as_parent(clutch, animal.id):
        left_out = "" if clutch.counts else "; it is left out of the figures"
        return phrase("clutch {} hatched{}", Name(clutch.id), f"{_hatchlings(clutch)}{left_out}")
    if event.subject != animal.id:
        return NO_WORDS
    if event.kind == "test":
        tests = [test for test in animal.tests if test.on.last == event.on]
        return joined("; ", [_test_that_changed_nothing(answers, animal, test) for test in tests])
    return happening(answers, event, ITSELF) if event.kind == "look" else NO_WORDS


def _test_that_changed_nothing(answers: Answers, animal: Animal, test: LabTest) -> Text:
    """The test, and why it counts for nothing where that is so."""
    said = phrase("{} of {}", test_words(test, ITSELF), test.trait)
    if (animal.id, test) in answers.inferred.tests_against_looks:
        return Text(said, ", which its look rules out: the test says nothing")
    if against(animal, test):
        return Text(said, ", against what was said of it; there was no figure until that was withdrawn")
    return Text(said, "; of several by one laboratory only the last counts") if replaced_by(animal, test) else said
