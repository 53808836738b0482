"""Notes: what happened to a figure and why, cause first, then the arithmetic in natural counts.

One note for each event after its birth that changed an animal's chance of carrying a trait, plus proofs that changed no figure (a
claim come true), claims in doubt, and what would settle a question. The likelihood in a note ("a het would do that 1 time in 32")
is said only when the exact change of odds confirms it: Bayes' rule, odds after = odds before x likelihood ratio.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from itertools import pairwise

from msgspec.structs import replace

from clutchlight.genetics.values import Event, Figure, NotComputed
from clutchlight.model import Animal, Clutch
from clutchlight.model.animals import counting
from clutchlight.model.traits import grouped
from clutchlight.planning.settling import hatchlings_needed
from clutchlight.planning.who_needs_proving import Matings
from clutchlight.statements.answers import Answers
from clutchlight.statements.asked import Asked, told
from clutchlight.statements.family import (
    cause_in_two,
    cause_words,
    event_clutch,
    is_birth,
    is_second_reading,
    moved_with,
    names_trait,
)
from clutchlight.statements.hatched import (
    THREE_QUARTERS,
    Hatch,
    chance_of_a_miss,
    hatch_of,
    hatched_words,
    hatchlings_words,
    mate_in,
    mate_words,
    proof_of,
)
from clutchlight.statements.values import Note, NoteKind, certainty_on
from clutchlight.wording import words
from clutchlight.wording.text import NO_WORDS, Text, joined, phrase

MOST_HATCHLINGS = 100
"""A question that this many hatchlings would not settle is not called one that a pairing settles."""


def notes_of(answers: Answers, animal: Animal, surprises: Mapping[str, tuple[Note, ...]]) -> tuple[Note, ...]:
    """Every note on an animal, in order of date; what is still to do comes last."""
    like = answers.like(animal)
    found = answers.once(("notes", like.id), lambda: tuple(_of_figures(answers, like)))
    changes = [note if note.animal == animal.id else replace(note, animal=animal.id) for note in found]
    changes += surprises.get(animal.id, ())
    questions = told(answers, animal) if animal.id in answers.breeders else ()
    settling = (note for asked in questions for note in _settle(asked))
    return (*sorted(changes, key=lambda note: note.on or date.min), *settling)


def _of_figures(answers: Answers, animal: Animal) -> Iterator[Note]:
    """What happened to its figures, and what is doubted: the same for all of its like."""
    changes: list[Note] = []
    for asked in told(answers, animal):
        made = () if asked.background_only else tuple(_changes(asked))
        changes += made
        if not any(note.kind == "proven" for note in made):
            yield from _proof_without_change(asked)
        yield from _claim_in_doubt(asked)
    for of_one in grouped(((note.locus, note.on, note.cause, note.how), note) for note in changes).values():
        yield _as_one(of_one)


# Changes


def _as_one(notes: Sequence[Note]) -> Note:
    """What one record did to several alleles of one locus, under that which it proved, else under all of them."""
    first = min(notes, key=lambda note: (note.kind != "proven", note.kind == "unlikely", note.ruled_out))
    alike = [note.trait for note in notes if (note.kind, note.ruled_out) == (first.kind, first.ruled_out)]
    return replace(
        first,
        beside=tuple(one for one in alike if one != first.trait),
        figures=joined("; ", [note.figures for note in notes]),
    )


def _changes(asked: Asked) -> Iterator[Note]:
    animal, history = asked.animal, asked.history
    born = animal.hatched.last if animal.hatched and not animal.founder else None
    last = history[-1][0] if history else None
    counted = {test.on.last for test in counting(asked.tests)}
    replaced = {(animal.id, test.on.last) for test in asked.tests if test.on.last not in counted}
    for (_, earlier), (event, later) in pairwise(history):
        before, after = earlier.carries(asked.allele), later.carries(asked.allele)
        if event is None or before == after or words.note_count(before) == words.note_count(after):
            continue
        if not is_birth(event, animal) and not (born and event.on <= born):
            counts = event == last and (event.subject, event.on) not in replaced and not asked.proven_since(event)
            yield _change(asked, event, earlier, later, "now" if counts else "after it")
    since = asked.ruled_out_at
    stood = asked.figure_before(since) if since and not (born and since.on <= born) else None
    if since and stood and not stood.carries(asked.allele):
        yield _change(asked, since, stood, stood, "now")  # nothing spoke for it any more before


def _change(asked: Asked, event: Event, earlier: Figure, later: Figure, when: str) -> Note:
    before, after = earlier.carries(asked.allele), later.carries(asked.allele)
    clutch = event_clutch(asked.answers, event)
    clutch = clutch if clutch and asked.answers.listed(clutch.id) else None
    mate = mate_in(clutch, asked.animal.id)
    doubted = asked.of(mate).figure_before(event) if mate else None
    taken_back = event.kind == "withdrawn" or (after < before and is_second_reading(asked.answers, event))
    kind: NoteKind = "withdrawn" if taken_back else _kind(asked, event, before, after)
    if clutch and mate and kind in ("open", "unlikely") and doubted and 0 < doubted.carries(asked.allele) < 1:
        note = _which_parent(asked, clutch, mate, event)
        if note:
            return note
    lead, recorded = cause_in_two(asked, event)
    out = after == 0 and asked.ruled_out_by(event)
    alone = names_trait(asked, event) and len(moved_with(asked, event)) < 2
    start = _before(
        before, "" if alone else asked.trait, seen=is_second_reading(asked.answers, event) and asked.reads(event)
    )
    figures = f"{start} before, ruled out {when}" if out else _figures(asked, event, start, after, when)
    males = asked.answers.males(clutch) if clutch and asked.animal.id in clutch.parents else ()
    bred_all = clutch is not None and (asked.animal.id == clutch.dam or len(males) == 1)  # else others are in question
    hatch = hatch_of(asked, clutch, event.on) if clutch else None
    likelihood = _likelihood(asked, hatch, doubted, before, after)
    return Note(
        kind,
        *asked.about,
        lead,
        recorded,
        figures=Text(likelihood and f"{likelihood}; ", figures),
        how=words.sentence(Text(lead, recorded, likelihood and f": {likelihood}")),
        named_lead="" if bred_all else None,
        cause=event.subject,
        on=event.on,
        before=before,
        after=after,
        ruled_out=out,
        shown=_shown(asked, clutch),
    )


def _shown(asked: Asked, clutch: Clutch | None) -> str:
    """ "one of the young is Piebald", of a parent; "" where none shows it."""
    if clutch is None or asked.animal.id not in clutch.parents or not asked.answers.listed(clutch.id):
        return ""
    hatch = proof_of(asked, clutch)
    if not hatch.showing:
        return ""
    several, noun = len(hatch.looks) > 1, "egg" if hatch.twins else "young"
    look = asked.trait if several else hatch.told[0]
    if several and dict(hatch.looks).get(look) != hatch.showing:
        return ""
    many = f"{words.number(hatch.showing)} of the {'eggs' if hatch.twins else 'young'}"
    some = f"the only {noun}" if hatch.hatched == 1 else many
    return f"{some} gave {look} young" if hatch.twins else f"{some} {words.are(hatch.showing)} {look}"


def _kind(asked: Asked, event: Event, before: Fraction, after: Fraction) -> NoteKind:
    certain = (after == asked.carries == 1 and not asked.on_trust) or (asked.one_of_several and asked.proof == event)
    if certain and not (asked.if_sired() or asked.proven_since(event)):
        return "proven"
    return "unlikely" if after < before and after < asked.answers.collection.settings.doubt_below else "open"


def _figures(asked: Asked, event: Event, start: str, after: Fraction, when: str) -> Text:
    if after == 0:
        return Text(f"{start} before, nothing {'speaks for it now' if when == 'now' else 'spoke for it after that'}")
    if after != 1:
        gone = f"{asked.trait} is ruled out" if asked.ruled_out else f"nothing speaks for {asked.trait}"
        since = f"; {gone} now" if asked.carries == 0 else ""
        return Text(f"{start} before, {words.note_count(after)} {when}{since}")
    condition = asked.if_sired()
    by = asked.answers.inferred.certain_by(*asked.key, event)
    taken = "taken as " if condition or certainty_on(by) != "certain" else ""
    return Text(
        f"{start} before, {taken}certain {when}",
        _how_certain(asked, event),
        *(Text(", ", one) for one in (condition, asked.unexpected(event.on)) if one),
    )


def _how_certain(asked: Asked, event: Event) -> Text:
    grounds = asked.grounds
    if grounds.kind == "claim":
        return Text(", ", asked.on_claims())
    if grounds.kind == "assumption":
        return Text(", ", words.nothing_unrecorded(asked.unrecorded()))
    if asked.het and grounds.kind in ("proven", "test") and grounds.proven_by not in (None, event.subject):
        own = "test" if grounds.kind == "test" or (asked.proof and asked.proof.kind == "test") else "look"
        by = f"its own {own}" if grounds.proven_by == asked.animal.id else asked.answers.named(grounds.proven_by or "")
        return phrase("; proven het {} by {}", asked.trait, by)
    return NO_WORDS


def _before(chance: Fraction, trait: str, *, seen: bool) -> str:
    """The chance before; `trait`: named where what was recorded does not name it; `seen`: another look was on record before."""
    if chance == 0:
        return f"nothing was said of {trait}" if trait else "nothing said"
    said = words.note_count(chance) if seen or chance < 1 else "taken as certain"
    return f"{trait} was {said}" if trait else said


def _likelihood(asked: Asked, hatch: Hatch | None, mate: Figure | None, before: Fraction, after: Fraction) -> str:
    """ "a het would do that 1 time in 32", when the change of odds is just that."""
    if not (hatch and mate and 0 < before < 1 and 0 < after < 1) or not asked.plain:
        return ""
    miss = chance_of_a_miss(mate, asked.allele)
    if miss is None or hatch.showing or hatch.looks:
        return ""
    ratio = (after / (1 - after)) / (before / (1 - before))
    return f"a het would do that {words.times(ratio)}" if ratio == miss**hatch.seen else ""


def _which_parent(asked: Asked, clutch: Clutch, mate: str, event: Event) -> Note | None:
    """Two possible hets and no visual among their young: the joint chances now, the dam named first; None once one of them is settled."""
    answers, allele = asked.answers, asked.allele
    hatch = hatch_of(asked, clutch, event.on)
    pair = (clutch.dam, mate if asked.animal.id == clutch.dam else asked.animal.id)
    if hatch.showing or not hatch.seen or any(asked.of(name).carries in (0, 1) for name in pair):
        return None
    joint = answers.inferred.joint([(name, asked.locus.key) for name in pair])
    if isinstance(joint, NotComputed):
        return None

    def carried(dam: bool, sire: bool) -> Fraction:
        return joint.chance(lambda genotypes: (allele in genotypes[0], allele in genotypes[1]) == (dam, sire))

    one, other = (answers.named(name) for name in pair)
    nothing_said = any(asked.of(name).background_only for name in pair)
    chances = {
        Text("both"): carried(True, True),
        Text("only ", one): carried(True, False),
        Text("only ", other): carried(False, True),
        Text("neither"): carried(False, False),
    }
    parts = [phrase("{}: {}", who, words.note_count(chance)) for who, chance in chances.items() if chance]
    lead = phrase(
        "{} {}: that does not say which of {} and {} carries {}, if either does",
        answers.clutch(clutch.id),
        hatchlings_words(hatch, "" if nothing_said else "of two possible hets "),
        one,
        other,
        asked.trait,
    )
    now = Text("; now ", joined(", ", parts))
    return Note("which-parent", *asked.about, lead, now, cause=clutch.id, on=event.on, how=words.sentence(lead))


def _proof_without_change(asked: Asked) -> Iterator[Note]:
    """A proof of what was already taken as certain, such as a claim that came true."""
    answers = asked.answers
    if asked.carries != 1 or asked.shows or asked.if_sired() or asked.grounds.kind != "proven":
        return
    if (proof := asked.proof) is None:
        return
    clutch = event_clutch(answers, proof)
    hatch = proof_of(asked, clutch) if clutch and answers.listed(clutch.id) else None
    before = "; until then it was the seller's word" if asked.every_claim else ""
    shown = f": {hatched_words(hatch)}" if hatch and hatch.showing else ""
    lead = cause_words(asked, proof)
    if clutch:
        lead = phrase("{} proved {}", answers.clutch(clutch.id), "it" if shown else asked.trait)
    yield Note(
        "proven",
        *asked.about,
        lead,
        Text(shown, before),
        named_lead=f" is proven {'het' if asked.het else 'to carry'} {asked.trait}" if clutch else None,
        cause=proof.subject,
        on=proof.on,
        how=words.sentence(Text(lead, shown)),
        shown=_shown(asked, clutch),
    )


# Claims in doubt


def _claim_in_doubt(asked: Asked) -> Iterator[Note]:
    if not asked.claim_in_doubt or asked.trait != asked.word[0]:
        return
    trust = words.note_count(asked.trust)
    mates, chance, both = _seen_against_it(asked)
    text = f"by what is on record, what was said of it counts as likely, {trust} before anything was seen, and no longer as certain"
    seen = words.join_and([f"{words.counted(count, 'hatchling')} with {mate}" for mate, count in mates.items()])
    none = "which is not" if sum(mates.values()) == 1 else "none of them"
    hets = "two hets do" if both else "a het does"
    if mates:
        text = (
            f"it had {seen}, {none} {asked.trait}: {hets} that {words.times(chance)}. So we count what was said of it as likely, "
            f"{trust} before these hatched, and no longer as certain"
        )
    yield Note("claim-in-doubt", *asked.about, Text(text), beside=asked.word[1:])


def _seen_against_it(asked: Asked) -> tuple[Mapping[str, int], Fraction, bool]:
    """The hatchlings that speak against a claim of certainty, by what their other parent is in words; none where something else does.

    Then the chance of looks at least as empty if the claim is true, and whether another parent, too, was certain only by what was said.
    Only clutches are told of that are listed and whole: leaving the others out can only make the looks seem likelier.
    """
    answers = asked.answers
    proven, said = Counter[str](), Counter[str]()
    chance = beside = Fraction(1)
    by_looks = asked.plain and any(claim.chance == 1 for claim in asked.claims)
    for clutch in answers.collection.bred_by(asked.animal.id) if by_looks else ():
        mate = mate_in(clutch, asked.animal.id)
        if mate is None or not clutch.weighs or not answers.listed(clutch.id):
            continue
        other, seen = asked.of(mate), hatch_of(asked, clutch).seen
        figure = other.figure
        said_too = other.claim_in_doubt or (other.carries == 1 and other.grounds.kind == "claim")
        miss = THREE_QUARTERS if said_too else chance_of_a_miss(figure, asked.allele)
        if miss is None or not isinstance(figure, Figure) or not seen:
            continue
        if said_too:
            said[f"a mate that was said to be het {other.trait}"] += seen
            beside *= miss**seen
        else:
            proven[mate_words(other, figure)] += seen
            chance *= miss**seen
    if proven and (chance < answers.collection.settings.doubt_below or not said):
        return proven, chance, False
    return proven + said, chance * beside, bool(said)


# What would settle an open question


def _settle(asked: Asked) -> Iterator[Note]:
    """The mate here that answers in fewest hatchlings, and how many without a visual bring the chance under `doubt_below`.

    One that breeds already goes before one that is only held back to. Parents, young and siblings are never proposed as mates.
    """
    answers, animal, figure = asked.answers, asked.animal, asked.figure
    doubt = answers.collection.settings.doubt_below
    if not asked.plain or not isinstance(figure, Figure) or figure.copies(asked.allele)[2]:
        return
    carries = figure.carries(asked.allele)
    if not (doubt <= carries < 1) or asked.background_only:
        return
    best: tuple[bool, int, str, Figure, bool] | None = None
    key = ("mates that answer", asked.locus.species, asked.locus.key, asked.allele)
    matings = answers.once(("matings",), lambda: Matings(answers.inferred))
    for mate, other, miss in answers.once(key, lambda: tuple(_mates_that_answer(asked))):
        if {mate.sex, animal.sex} != {"male", "female"} or answers.close_kin(mate.id, animal.id):
            continue
        needed = hatchlings_needed((1 - carries, carries), (Fraction(1), miss), (False, True), doubt)
        waits = mate.status != "breeder"
        if needed is None or (best is not None and (waits, needed, mate.id) >= best[:3]):
            continue
        hides = matings.may_hide(animal, mate, asked.locus)
        if hides or len(asked.locus.alleles) > 1:
            needed = matings.needed(animal, mate, asked.locus, asked.allele)
        if needed is not None and needed <= MOST_HATCHLINGS and (best is None or (waits, needed, mate.id) < best[:3]):
            best = waits, needed, mate.id, other, hides
    if best is None:
        return
    _, needed, name, other, hides = best
    text = phrase(
        "with {}, {}, one {} hatchling would prove it; {}{} {} {} would bring it under {}",
        answers.named(name),
        mate_words(asked.of(name), other),
        asked.trait,
        words.counted(needed, "hatchling"),
        " that can be judged" if hides else "",
        "that is not" if needed == 1 else "and none",
        asked.trait,
        words.in_count(doubt),
    )
    yield Note("settle", *asked.about, text, cause=name)


def _mates_that_answer(asked: Asked) -> Iterator[tuple[Animal, Figure, Fraction]]:
    """The breeders of its species that carry the trait for certain, by more than somebody's word, with the chance of a miss."""
    for name, animal in asked.answers.breeders.items():
        mate = asked.of(name)
        figure = mate.figure if animal.species == asked.locus.species else None
        miss = chance_of_a_miss(figure, asked.allele) if isinstance(figure, Figure) else None
        if isinstance(figure, Figure) and miss is not None and (mate.shows or not mate.on_trust):
            yield animal, figure, miss
