"""From the figures of its family to the statement of a clutch: who sired it, what hatched, what it proved and what it did not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from types import MappingProxyType

from msgspec.structs import replace

from clutchlight.genetics.values import NotComputed
from clutchlight.model import NOBODY, Clutch, Recorded
from clutchlight.model.traits import grouped
from clutchlight.statements.animals import reviews_of, sire_chances, state_animal
from clutchlight.statements.answers import Answers
from clutchlight.statements.family import claimed_of
from clutchlight.statements.kinship import Relation, kinship_told
from clutchlight.statements.results import surprise_notes
from clutchlight.statements.values import AnimalStatement, ClutchState, ClutchStatement, Note, Statements
from clutchlight.wording import words
from clutchlight.wording.text import NO_WORDS, Text, phrase

FOR_SALE = ("available", "on hold", "growing on")
CLUTCH_KINDS = ("proven", "open", "unlikely", "which-parent", "withdrawn")


def state_clutch(
    answers: Answers,
    clutch: Clutch,
    animals: Mapping[str, AnimalStatement],
    caused: Mapping[str | None, Sequence[Note]],
    surprises: Sequence[Note],
) -> ClutchStatement:
    """Everything that is said of one clutch. `animals`: every statement; `caused`: their notes by the record that caused them."""
    left = answers.sires_of_clutch(clutch)
    said = claimed_of(answers, clutch, left)
    sires = sire_chances(answers, left, by_claim=bool(said))
    notes = (*_notes(answers, clutch, caused), *surprises)
    young = tuple(animals[name] for name in clutch.young if answers.collection.animals[name].publish == "page")
    related = _relation(answers, clutch, by_claim=bool(said))
    dates = (animals[name].since for name in (*clutch.young, *clutch.parents) if name in animals)
    return ClutchStatement(
        clutch=clutch,
        state=state_of(answers, clutch),
        since=max(filter(None, dates), default=None),
        sires=sires,
        sires_words=_sires_words(answers, clutch, len(sires), said),
        by_others=answers.inferred.others_may_have_sired(clutch.id),
        dam=clutch.dam if answers.listed(clutch.dam) else None,
        relation=related.clause,
        kinship=related.brief,
        young=young,
        notes=notes,
        reviews=tuple(reviews_of(answers, clutch)),
        facts=tuple(_facts(answers, clutch)),
    )


def state_of(answers: Answers, clutch: Clutch) -> ClutchState:
    """Where a clutch stands, from its record alone; no clock is read."""
    if clutch.hatched or clutch.young or clutch.tally:
        if clutch.to_sort:
            return "still being sorted"
        statuses = [answers.collection.animals[name].status for name in clutch.young]
        each_listed = clutch.complete and not clutch.tally  # of the others nobody knows where they are
        sold_out = each_listed and "sold" in statuses and not any(status in FOR_SALE for status in statuses)
        return "sold out" if sold_out else "hatched"
    lost = clutch.laid and clutch.eggs is not None and clutch.eggs <= clutch.went_bad  # nothing but slugs, too
    if clutch.ended or lost:
        return "did not hatch"
    return "incubating" if clutch.laid else "planned"


def _notes(answers: Answers, clutch: Clutch, caused: Mapping[str | None, Sequence[Note]]) -> tuple[Note, ...]:
    """What this clutch did to its parents' figures, then what it proved of other animals; each text once.

    Nothing of a male who turned out to be none of its sires. Of a parent that a record of its young proved later, or on which it took
    something back, that, and not what its hatching left open.
    """
    left = {sire for sire, _ in answers.sires_of_clutch(clutch)}
    parents = [name for name in dict.fromkeys(clutch.parents) if name == clutch.dam or Recorded(name) in left]
    own = caused.get(clutch.id, ())
    later = [note for name in clutch.young for note in caused.get(name, ()) if note.kind in ("proven", "withdrawn")]
    anew = {(note.animal, note.trait) for note in later}
    stands = [note for note in own if note.kind == "proven" or (note.animal, note.trait) not in anew]
    of_parents = [
        note for name in parents for note in (*stands, *later) if note.animal == name and note.kind in CLUTCH_KINDS
    ]
    of_others = [note for note in own if note.animal not in parents and note.kind == "proven"]
    found: dict[str, Note] = {}
    for note in (*of_parents, *of_others):
        if answers.listed(note.animal):
            told = note.text if note.kind == "which-parent" else note.named(answers.named(note.animal))
            found.setdefault(told, replace(note, lead=told, rest=NO_WORDS, figures=NO_WORDS))
    return tuple(found.values())


def _sires_words(answers: Answers, clutch: Clutch, sires_count: int, said: Text) -> Text:
    """Who may have sired it, where several are on record."""
    males = answers.males(clutch)
    if len(males) == 1:
        return phrase("The sire is {}.", words.join_or(males))
    if clutch.sires.kind == "mixed":
        return phrase("Each egg is by {}.", words.join_or(males))
    possible = answers.inferred.possible_sires(clutch.id)
    named = tuple(dict(clutch.sires.candidates)) if sires_count == 1 else possible
    others = tuple(dict.fromkeys(answers.male(sire) for sire in named if sire != NOBODY))
    alone = ", or she bred without a male" if NOBODY in named else ""
    if sires_count == 1:
        only = answers.sires_of_clutch(clutch)[0][0]
        sure = possible == (only,)
        were = "was" if len(others) == 1 else "were"
        clause = phrase("{} {} with {}", words.join_and(others), were, answers.named(clutch.dam))
        if only == NOBODY:
            clause = Text(clause, ", but ", "what hatched shows that " if sure else "", "she bred without a male")
        else:
            if not sure:
                sired = "what hatched is by {}"
            elif answers.inferred.perhaps_by_several(clutch.id):
                sired = "of these only {} can have sired the whole clutch, and we take it that one male did"
            else:
                sired = "of these only {} can have sired what hatched"
            clause = Text(clause, alone, "; ", phrase(sired, answers.male(only)))
        if not sure:
            unless = phrase("if what was said of {} is true", said) if said else "as far as anything is recorded"
            clause = Text(clause, ", ", unless)
        return words.sentence(clause)
    doubt = "which is in doubt" if alone else "which one is in doubt"
    share, taking = answers.inferred.sires_by_unrecorded(clutch.id), ""
    if share is not None:
        of = f"{share.numerator} in {share.denominator} snakes"
        taking = f" For the chances of the sires we take {of} to carry something unrecorded."
    rest = Text(taking, _not_computed(answers, clutch))
    return phrase("The sire is {}{}; {}.{}", words.join_or(others), alone, doubt, rest)


def _not_computed(answers: Answers, clutch: Clutch) -> Text:
    """That the chances of the sires are not computed, and which test would help; "" where they are."""
    found = answers.inferred.sires(clutch.id)
    if not isinstance(found, NotComputed):
        return NO_WORDS
    names = words.join_or([answers.named(name) for name in found.animals if answers.listed(name)])
    ask = phrase(" A test of {} would make it possible.", names) if names else ""
    return Text(f" The chances of the sires are {words.NOT_COMPUTED}: its family is too entangled.", ask)


def _relation(answers: Answers, clutch: Clutch, *, by_claim: bool) -> Relation:
    left = answers.sires_of_clutch(clutch)
    if clutch.sires.kind == "mixed" or len(left) > 1 or not clutch.young:
        return Relation("")
    of_young = answers.inferred.kinship.inbreeding.get(
        clutch.young[0], Fraction(0)
    )  # the same of all: they have both parents in common
    return kinship_told(answers, left[0][0], clutch.dam, of_young, by_claim=by_claim, of="the")


def _facts(answers: Answers, clutch: Clutch) -> Iterator[str]:
    if not clutch.complete:
        yield "Only some of the young of this clutch are on record."
    if not clutch.complete and clutch.counts:
        yield (
            "A young that shows a trait still proves what its parents carry; how many of the young show it changes no percentage, since the"
            " others may look different."
        )
    if clutch.to_sort:
        left = words.counted(clutch.to_sort, "hatchling").capitalize()
        yield f"{left} {words.are(clutch.to_sort)} still to be looked at."
    if clutch.unseen:
        whose = "its" if clutch.unseen == 1 else "their"
        yield f"{words.number(clutch.unseen).capitalize()} more died before {whose} look could be seen."
    if clutch.reported_by:
        yield "This clutch was bred elsewhere, and is reported by its keeper."
    if not clutch.counts:
        yield (
            "What hatched is left out of the figures of its parents and their relatives. Each of the young goes by its own look, which"
            " counts for its own young too."
        )
    eggs = grouped(
        (answers.collection.animals[name].egg or name, name) for name in clutch.young if answers.listed(name)
    )
    for twins in eggs.values():
        if len(twins) > 1:
            names = words.join_and([answers.named(name) for name in twins])
            yield phrase("{} hatched from one egg: identical twins share one set of genes, and count once.", names)


def state_all(answers: Answers) -> Statements:
    """Every animal and clutch on record, by id, in the collection's order. Figures must exist: there are no conflicts."""
    unexpected = grouped(surprise_notes(answers))
    animals = {animal.id: state_animal(answers, animal, unexpected) for animal in answers.collection.animals.values()}
    caused = grouped((note.cause, note) for statement in animals.values() for note in statement.notes)
    clutches = {
        clutch.id: state_clutch(answers, clutch, animals, caused, unexpected.get(clutch.id, ()))
        for clutch in answers.collection.clutches.values()
    }
    return Statements(MappingProxyType(animals), MappingProxyType(clutches))
