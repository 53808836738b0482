"""Notes: what happened to a figure and why, cause first, then the arithmetic in natural counts.

One note for each event after its birth that changed an animal's chance of carrying a trait, plus proofs that changed no figure (a
claim come true), claims in doubt, and what would settle a question. The likelihood in a note ("a het would do that 1 time in 32")
is said only when the exact change of odds confirms it: Bayes' rule, odds after = odds before x likelihood ratio.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from fractions import Fraction
from itertools import pairwise

from clutchlight.genetics.values import Event, Figure, NotComputed
from clutchlight.model import Animal, Clutch, Inheritance, Locus
from clutchlight.model.as_published import is_unlisted
from clutchlight.statements.answers import Answers
from clutchlight.statements.family import (
    ITSELF,
    Hatch,
    clutch_words,
    event_clutch,
    hatch_of,
    hatched_words,
    mate_words,
    relative_words,
    showing_words,
    test_words,
    tests_of,
)
from clutchlight.statements.settling import chance_of_a_miss, computed, open_questions, plain
from clutchlight.statements.values import Note, NoteKind
from clutchlight.wording import words
from clutchlight.wording.text import NO_WORDS, Name, Text, joined, phrase

NOT_LISTED = Text("records that are not listed here")


def notes_of(answers: Answers, animal: Animal, surprises: Mapping[str, tuple[Note, ...]]) -> tuple[Note, ...]:
    """Every note on an animal, in order of date; what is still to do comes last."""
    like = answers.like(animal)
    found = answers.once(("notes", like.id), lambda: tuple(_of_figures(answers, like)))
    changes = [note if note.animal == animal.id else replace(note, animal=animal.id) for note in found]
    changes += surprises.get(animal.id, ())
    return (*sorted(changes, key=lambda note: note.on or date.min), *open_questions(answers, animal))


def _of_figures(answers: Answers, animal: Animal) -> Iterator[Note]:
    """What happened to its figures, and what is doubted: the same for all of its like."""
    for locus, figure in computed(answers, animal):
        for allele, _ in enumerate(locus.alleles, start=1):
            made = tuple(_changes(answers, animal, locus, allele))
            yield from made
            if not any(note.kind == "proven" for note in made):
                yield from _proof_without_change(answers, animal, locus, allele, figure)
            yield from _claim_in_doubt(answers, animal, locus, allele)


# Changes


def _changes(answers: Answers, animal: Animal, locus: Locus, allele: int) -> Iterator[Note]:
    history = answers.history(animal.id, locus.key)
    born = animal.hatched.last if animal.hatched and not animal.founder else None
    last = history[-1][0] if history else None
    for (_, earlier), (event, later) in pairwise(history):
        before, after = earlier.carries(allele), later.carries(allele)
        if event is None or before == after or _is_birth(event, animal) or (born and event.on <= born):
            continue
        yield _change(answers, animal, locus, allele, event, earlier, later, "now" if event == last else "after it")


def _is_birth(event: Event, animal: Animal) -> bool:
    return event.kind == "hatching" and event.subject in (animal.clutch, animal.id)


def _change(
    answers: Answers, animal: Animal, locus: Locus, allele: int, event: Event, earlier: Figure, later: Figure, when: str
) -> Note:
    before, after = earlier.carries(allele), later.carries(allele)
    clutch = event_clutch(answers, event)
    clutch = clutch if clutch and answers.listed(clutch.id) else None
    mate = _mate(clutch, animal.id) if clutch else None
    doubted = _figure_before(answers, mate, locus, event) if mate else None
    kind = _kind(answers, animal, locus, allele, before, after)
    if clutch and mate and kind in ("open", "unlikely") and doubted and 0 < doubted.carries(allele) < 1:
        note = _which_parent(answers, animal, clutch, mate, locus, allele, event)
        if note:
            return note
    lead, recorded = _cause(answers, animal, event, locus, allele)
    likelihood = _likelihood(answers, clutch, mate, locus, allele, doubted, before, after)
    out = after == 0 and answers.rules_out(animal.id, locus, allele)
    figures = (
        Text(f"{_start(before)} before, ruled out {when}")
        if out
        else _figures(answers, animal, locus, allele, before, after, when)
    )
    return Note(
        kind,
        animal.id,
        locus.key,
        locus.alleles[allele - 1],
        lead,
        phrase("{}: {}{}", recorded, likelihood, figures),
        "" if clutch and animal.id in clutch.parents else None,
        event.subject,
        event.on,
        before,
        after,
        out,
    )


def _kind(answers: Answers, animal: Animal, locus: Locus, allele: int, before: Fraction, after: Fraction) -> NoteKind:
    if after == 1 and answers.grounds(animal.id, locus.key, allele).kind not in ("claim", "assumption"):
        return "proven"
    return "unlikely" if after < before and after < answers.collection.settings.doubt_below else "open"


def _figures(
    answers: Answers, animal: Animal, locus: Locus, allele: int, before: Fraction, after: Fraction, when: str
) -> Text:
    text = Text(f"{_start(before)} before, {words.note_count(after)} {when}")
    if after != 1:
        return text
    grounds = answers.grounds(animal.id, locus.key, allele)
    if grounds.kind == "claim":
        return Text(text, ", on the seller's word")
    if grounds.kind == "assumption":
        return Text(text, ", ", words.nothing_unrecorded(answers.unrecorded_for(animal.id, locus, allele)))
    if locus.inheritance is Inheritance.RECESSIVE and grounds.kind in ("proven", "test") and grounds.proven_by:
        by = "its own test" if grounds.proven_by == animal.id else answers.named(grounds.proven_by)
        return Text(text, "; ", words.proven_words(locus.alleles[allele - 1], by))
    return text


def _start(before: Fraction) -> str:
    return "no record of it" if before == 0 else words.note_count(before)


def _mate(clutch: Clutch, animal: str) -> str | None:
    """The other parent, when both parents are known for certain and this animal is one of them."""
    sire = clutch.sires.certain
    if sire is None:
        return None
    return {clutch.dam: sire, sire: clutch.dam}.get(animal)


def _figure_before(answers: Answers, animal: str, locus: Locus, event: Event) -> Figure | None:
    """The figure of another animal as it stood before an event."""
    found: Figure | None = None
    for when, figure in answers.history(animal, locus.key):
        if when is not None and not when < event:
            break
        found = figure
    return found


def cause_words(answers: Answers, animal: Animal, event: Event, locus: Locus, allele: int) -> Text:
    """What was recorded, as it bears on an animal: "clutch C25-01, six hatchlings with a Piebald mate, none Piebald"."""
    return Text(*_cause(answers, animal, event, locus, allele))


def _cause(answers: Answers, animal: Animal, event: Event, locus: Locus, allele: int) -> tuple[Text, Text]:
    """In two: the clutch or record, and what it showed."""
    if is_unlisted(event.subject):
        return NOT_LISTED, NO_WORDS
    clutch = event_clutch(answers, event)
    mate = _mate(clutch, animal.id) if clutch else None
    doubted = _figure_before(answers, mate, locus, event) if mate else None
    if clutch is None:
        return _cause_apart(answers, animal, event, locus, allele), NO_WORDS
    if not answers.listed(clutch.id):
        own = animal.id in (clutch.dam, *clutch.sires.ids)
        return answers.clutch(clutch.id) if own else clutch_words(answers, clutch, animal.id), NO_WORDS
    hatch = hatch_of(answers, clutch, locus, allele)
    whole = "" if clutch.weighs else " (not all of this clutch is on record)"
    showing = f", {showing_words(hatch)}" if hatch.seen else ""
    counted = words.counted(hatch.seen, "hatchling") if hatch.seen else "what hatched"
    if animal.id in clutch.parents:
        described = mate_words(answers, mate, locus, allele, doubted) if mate else ""
        paired = f" with {described}" if described else ""
        return Text("clutch ", Name(clutch.id)), Text(f", {counted}{paired}{showing}{whole}")
    inside = f" ({counted}{showing})" if hatch.seen else ""
    return clutch_words(answers, clutch, animal.id), Text(inside, whole)


def _cause_apart(answers: Answers, animal: Animal, event: Event, locus: Locus, allele: int) -> Text:
    whose = relative_words(answers, event.subject, animal.id)
    if event.kind == "test":
        others = (other for other in range(1, len(locus.alleles) + 1) if other != allele)
        tests = (test for one in (allele, *others) for test in tests_of(answers, event.subject, locus, one))
        found = next((test for test in tests if test.on.last == event.on), None)
        if found:
            said = test_words(found, whose)
            return said if len(locus.alleles) == 1 else Text(said, " of ", found.trait)
        return Text("a test") if whose == ITSELF else Text("a test of ", whose)
    if event.kind == "withdrawn":
        return phrase("what was said of {} was withdrawn", whose)
    if event.kind == "look":
        return Text("its look was read again") if whose == ITSELF else phrase("the look of {} was read again", whose)
    return Text("the hatching of ", whose)


def _likelihood(
    answers: Answers,
    clutch: Clutch | None,
    mate: str | None,
    locus: Locus,
    allele: int,
    doubted: Figure | None,
    before: Fraction,
    after: Fraction,
) -> str:
    """ "a het would do that 1 time in 32; ", when the change of odds is just that."""
    if not (clutch and mate and doubted and 0 < before < 1 and 0 < after < 1) or not plain(locus):
        return ""
    miss = chance_of_a_miss(doubted, allele)
    hatch = hatch_of(answers, clutch, locus, allele)
    if miss is None or hatch.showing:
        return ""
    ratio = (after / (1 - after)) / (before / (1 - before))
    return f"a het would do that {words.times(ratio)}; " if ratio == miss**hatch.seen else ""


def _which_parent(
    answers: Answers, animal: Animal, clutch: Clutch, mate: str, locus: Locus, allele: int, event: Event
) -> Note | None:
    """Two possible hets and no visual among their young: the joint chances now, the dam named first."""
    hatch = hatch_of(answers, clutch, locus, allele)
    pair = (clutch.dam, mate if animal.id == clutch.dam else animal.id)
    joint = answers.inferred.joint([(name, locus.key) for name in pair])
    if hatch.showing or not hatch.seen or isinstance(joint, NotComputed):
        return None
    trait = locus.alleles[allele - 1]

    def carried(dam: bool, sire: bool) -> Fraction:
        return joint.chance(lambda genotypes: (allele in genotypes[0], allele in genotypes[1]) == (dam, sire))

    one, other = (answers.named(name) for name in pair)
    parts = [
        phrase("{} {}", who, words.note_count(chance))
        for who, chance in (
            ("both", carried(True, True)),
            (Text("only ", one), carried(True, False)),
            (Text("only ", other), carried(False, True)),
            ("neither", carried(False, False)),
        )
        if chance
    ]
    lead = phrase(
        "clutch {}, {} of two possible hets, {}: this cannot say which of {} and {} carries it, if either does",
        Name(clutch.id),
        words.counted(hatch.seen, "hatchling"),
        showing_words(hatch),
        one,
        other,
    )
    return Note(
        "which-parent",
        animal.id,
        locus.key,
        trait,
        lead,
        Text("; now ", joined(", ", parts)),
        cause=clutch.id,
        on=event.on,
        then=words.sentence(lead),
    )


def _proof_without_change(
    answers: Answers, animal: Animal, locus: Locus, allele: int, figure: Figure
) -> Iterator[Note]:
    """A proof of what was already taken as certain, such as a claim that came true."""
    if figure.carries(allele) != 1 or answers.shows(animal.id, locus, allele):
        return
    grounds = answers.grounds(animal.id, locus.key, allele)
    clutch = answers.collection.clutches.get(grounds.proven_by or "")
    if grounds.kind != "proven" or clutch is None:
        return
    trait = locus.alleles[allele - 1]
    hatch = hatch_of(answers, clutch, locus, allele)
    shown = f": {hatched_words(hatch)}" if hatch.showing and answers.listed(clutch.id) else ""
    said = any(claim.locus == locus.key and claim.trait == trait for claim in animal.claims)
    before = "; until then it was the seller's word" if said else ""
    lead = phrase("{} proved it", answers.clutch(clutch.id))
    rest = phrase("{}{}; {}", shown, before, words.proven_words(trait, answers.named(clutch.id)))
    on = clutch.hatched.last if clutch.hatched else None
    yield Note("proven", animal.id, locus.key, trait, lead, rest, " is proven", clutch.id, on)


# Claims in doubt


def _claim_in_doubt(answers: Answers, animal: Animal, locus: Locus, allele: int) -> Iterator[Note]:
    """A claim of certainty of one copy, with young by certain carriers and none showing it.

    Only clutches count that are listed and whole, and whose mate is certain by more than a claim: leaving the others out can only
    make the looks seem likelier.
    """
    trait = locus.alleles[allele - 1]
    claimed = any(
        claim.locus == locus.key and claim.trait == trait and claim.chance == 1 and not claim.withdrawn
        for claim in animal.claims
    )
    if not claimed or not plain(locus):
        return
    groups: dict[str, int] = {}
    empty = Fraction(1)
    for name in answers.collection.clutches_of.get(animal.id, ()):
        clutch = answers.collection.clutches[name]
        mate = _mate(clutch, animal.id)
        if mate is None or not clutch.weighs:
            continue
        figure = answers.now(mate, locus.key)
        miss = chance_of_a_miss(figure, allele) if isinstance(figure, Figure) else None
        hatch = hatch_of(answers, clutch, locus, allele)
        if hatch.showing:
            return
        if (
            miss is None
            or not hatch.seen
            or not answers.listed(clutch.id)
            or answers.grounds(mate, locus.key, allele).kind in ("claim", "assumption")
        ):
            continue
        described = mate_words(answers, mate, locus, allele, figure if isinstance(figure, Figure) else None)
        groups[described] = groups.get(described, 0) + hatch.seen
        empty *= miss**hatch.seen
    if groups and empty < answers.collection.settings.doubt_below:
        seen = words.join_and([f"{words.counted(count, 'hatchling')} with {mate}" for mate, count in groups.items()])
        text = (
            f"{seen}, {showing_words(Hatch(sum(groups.values()), 0, trait))}: if it is het {trait}, as was said when it came, "
            f"that happens {words.times(empty)}; we doubt what was said"
        )
        yield Note("claim-in-doubt", animal.id, locus.key, trait, Text(text))
