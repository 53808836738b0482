"""How a figure came about, as a person would tell it: what was taken for granted, then each record that moved it, before and after.

Every number is exact, and the last one is the statement's. Records of parents, young and clutch mates that changed nothing are
named as well, with the same figure before and after; what happened before a hatching is in its parents' figures.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from msgspec import Struct

from clutchlight.genetics.values import Event, Figure, NotComputed
from clutchlight.model import NOBODY, Claim, Locus
from clutchlight.model.animals import genotypes_left
from clutchlight.problems import Place
from clutchlight.statements.answers import looked, looks_in_order
from clutchlight.statements.asked import Asked, shown_by, source_words, word_of
from clutchlight.statements.family import cause_words, event_clutch, is_birth, twins_of
from clutchlight.statements.hatched import HALF, telling
from clutchlight.statements.results import reasons_of_ones_own
from clutchlight.wording import words
from clutchlight.wording.text import Text, phrase


class Chances(NamedTuple):
    """Of carrying a trait, and of carrying two copies."""

    carries: Fraction
    two: Fraction


class Step(Struct, frozen=True):
    """One record, an animal or a clutch, and what it did to the chances; `before` is None where there was no figure yet.

    `proves`: it is the proof of what the label calls certain, or what rules it out.
    """

    record: str
    place: Place
    says: Text
    before: Chances | None
    after: Chances
    proves: bool = False

    @property
    def moved(self) -> bool:
        return self.before != self.after

    def figures(self, text: Callable[[Fraction], str] = str) -> str:
        """ "1/3 → 1", each chance as `text` has it; of two copies where nothing else changed."""
        if self.before is None:
            return text(self.after.carries)
        two = self.before.carries == self.after.carries and self.moved
        before, after = (self.before.two, self.after.two) if two else (self.before.carries, self.after.carries)
        same = text(before) == text(after)
        return f"{'two copies: ' if two else ''}{'' if same else f'{text(before)} → '}{text(after)}"


class Why(Struct, frozen=True):
    """The derivation of one figure.

    `assumed`: what was taken for granted, in sentences. `two`: the chance of two copies. `excluded`: it cannot carry the trait.
    """

    animal: str
    trait: str
    label: words.Label
    assumed: tuple[str, ...]
    steps: tuple[Step, ...]
    carries: Fraction
    two: Fraction
    excluded: bool


def why(asked: Asked) -> Why | NotComputed:
    """The derivation of an animal's chance of carrying a trait."""
    now = asked.figure
    if isinstance(now, NotComputed):
        return now
    carries = now.carries(asked.allele)
    untold = "" if carries else words.join_and(asked.lines_not_known)
    label = asked.label_now
    if asked.under_review:
        label = words.Label(name=words.UNDER_REVIEW)
    elif untold:
        label = words.Label(name=f"no figure, since the line of its {untold} is not known")
    two = now.copies(asked.allele)[2]
    steps = () if untold else tuple(_steps(asked))
    return Why(asked.animal.id, asked.trait, label, tuple(_assumed(asked)), steps, carries, two, asked.ruled_out)


def moves(asked: Asked, label: words.Label) -> tuple[str, ...]:
    """Each record that moved its figure, with the exact chances: "Clutch C25-02, six hatchlings ...: 1/3 → 1"."""
    trait = _left_unnamed(asked.trait, label)
    return tuple(
        f"{step.says}: {trait and f'{trait} '}{step.figures(words.fraction_text)}"
        for step in _steps(asked, moved_alone=True)
    )


def _left_unnamed(trait: str, label: words.Label) -> str:
    """The trait, where its label is not about it alone; else ""."""
    return "" if label.name in ("", trait) else trait


def _assumed(asked: Asked) -> Iterator[str]:
    """What the figure takes for granted: claims that it rests on, and founders without a claim."""
    answers, locus, trait = asked.answers, asked.locus, asked.trait
    for founder, key in dict.fromkeys(_rests_on(asked)):
        at = answers.species_of(asked.animal).loci[key]
        for claim in answers.collection.animals[founder].claims:
            if claim.locus != key or claim.withdrawn:
                continue
            one = Asked(answers, answers.collection.animals[founder], at, at.allele_number(claim.trait))
            if one.claim_in_doubt:
                either = f"to {'be het' if at.called_het else 'carry'} {words.join_or(one.word)}"
                said = Text(either if len(one.word) > 1 else _said_to(claim, at), source_words(claim))
                doubted = "{} was said {}. That is in doubt: it counts as likely, {} before anything was seen."
                if claim.trait == one.word[0]:
                    yield phrase(doubted, answers.named(founder), said, words.note_count(one.trust))
                continue
            word = Text(word_of(claim, at), source_words(claim))
            yield words.sentence(phrase("{} is taken at the seller's word: {}", answers.named(founder), word))
    frequency = locus.background.get(trait)
    if frequency is not None:
        copies = f"{frequency.numerator} in {frequency.denominator} copies of the gene"
        yield f"Of animals without parents or a claim on record we take {copies} to be {trait}."
    else:
        yield f"Animals without parents or a claim on record are taken to carry no {trait} unless a record needs it."
    if share := asked.unrecorded_share("now"):
        yield _in_question(asked, share)
    yield from reasons_of_ones_own(asked)
    yield from _inheritance(asked)


def _rests_on(asked: Asked) -> Iterator[tuple[str, str]]:
    """The founders whose claims the figure rests on, and at which locus: at another one too where that bears on who its sire is."""
    yield from ((founder, asked.locus.key) for founder in asked.rests_on)
    answers, figure = asked.answers, asked.figure
    clutch = answers.collection.clutches.get(asked.animal.clutch or "")
    settled = isinstance(figure, Figure) and figure.copies(asked.allele)[2] in (0, 1)
    if clutch is None or (settled and asked.grounds.kind in ("look", "parentage", "proven", "test")):
        return
    if len(answers.sires_of(asked.animal)) > 1 or answers.inferred.sires_left_by_claims(clutch.id, asked.animal.id):
        for one in telling(asked, clutch):
            yield from ((founder, one.locus.key) for parent in clutch.parents for founder in one.of(parent).rests_on)


def _said_to(claim: Claim, locus: Locus) -> str:
    return f"to {'be' if claim.chance is not None else 'have'} {word_of(claim, locus)}"


def _in_question(asked: Asked, share: Fraction) -> str:
    """Who takes the share of unrecorded carriers, and why."""
    answers = asked.answers
    locus, founders = asked.in_question
    who = words.join_and(answers.all_named(founders)) or "a parent that no record names"
    records, species = answers.collection, asked.animal.species
    doubted = [one.id for one in records.clutches.values() if one.species == species and len(one.sires.candidates) > 1]
    tested = any(test.error and test.locus == locus.key for one in records.animals.values() for test in one.tests)
    of = doubted[0] if len(doubted) == 1 else "a clutch"
    sires = records.clutches[of].sires.ids if len(doubted) == len(founders) == 1 else ()
    stakes = [f"a male that may have sired young of {of} would be ruled out"] if doubted else []
    if founders and founders[0] in sires:
        some = "some" if records.clutches[of].sires.kind == "mixed" else "any"
        stakes = [f"{who} would be ruled out as sire of {some} young of {of}"]
    stakes += ["a test that may err would not count"] if tested else []
    without = words.join_or(stakes) or "what is on record would have no chance at all"
    what = words.join_or(locus.alleles)
    return f"We take {share.numerator} in {share.denominator} snakes to carry {what} unrecorded, {who} too: otherwise {without}."


def _inheritance(asked: Asked) -> Iterator[str]:
    """How its parents are taken to hand the trait on."""
    answers, locus = asked.answers, asked.locus
    sires = [sire for sire, _ in answers.sires_of(asked.animal)]
    alone = [answers.without_a_male(clutch) for clutch in answers.collection.bred_by(asked.animal.id)]
    if NOBODY in sires or any(alone):
        kept = locus.kept_in_parthenogenesis
        both = f"; {kept} of them get one copy of each" if kept else ""
        yield (
            f"{asked.trait} is sex-linked: what a dam without a male hands on of it is not worked out."
            if locus.sex_linked is not None
            else f"Without a male, a young gets two copies of one of its dam's two alleles, either with the same chance{both}."
        )
        if sires in ([NOBODY], []) and all(alone):
            return
    if locus.sex_linked is None or locus.sex_linked.crossover == HALF:
        yield "Each parent passes on one of its two alleles, either with the same chance."
    elif locus.sex_linked.crossover is not None:
        female = asked.answers.species_of(asked.animal).heterogametic == "female"
        parent, other, whose = ("female", "male", "his") if female else ("male", "female", "her")
        few, most = (words.in_count(chance) for chance in (locus.sex_linked.crossover, 1 - locus.sex_linked.crossover))
        young = f"{'her' if female else 'his'} young of one sex"
        to = f"{most} of {young} and to {few} of the other" if few != "none" else f"{young} alone"
        hands = f"a {parent} with one copy hands it to {to}; to which sex depends on the chromosome that has the copy"
        alike = f"a {other} hands on either of {whose} two alleles with the same chance"
        yield f"{asked.trait} lies on the sex chromosomes: {hands}; {alike}."
    else:
        yield f"{asked.trait} is sex-linked and no crossover figure is known, so sex is left out of account."


def _steps(asked: Asked, *, moved_alone: bool = False) -> Iterator[Step]:
    """`moved_alone`: without the records that changed nothing."""
    animal, rows = asked.animal, asked.history
    before = _from_parents(asked)
    if before is not None:
        yield before
    figure = before.after if before else None
    changed = {event: _carried(asked, chance) for event, chance in rows if event is not None}
    start = next((_carried(asked, chance) for event, chance in rows if event is None), None)
    if start is not None:
        first = animal.reading_on(None)
        yield Step(animal.id, first.place if first else animal.place, _at_first(asked), None, start)
        figure = start
    near = asked.answers.events_near(animal.id)
    if moved_alone:
        near = tuple(event for event in near if is_birth(event, animal))
    waiting = before is not None
    for event in sorted({*near, *changed}):
        waiting = waiting and not is_birth(event, animal)
        if waiting or (figure is None and event not in changed):
            continue
        after = changed.get(event, figure or Chances(Fraction(0), Fraction(0)))
        if figure != after or (not moved_alone and event in near and _may_tell(asked, event)):
            place = asked.answers.place_of(event)
            settles = event == (asked.proof if after.carries else asked.ruled_out_at)
            yield Step(event.subject, place, _said(asked, event), figure, after, settles)
        figure = after


def _may_tell(asked: Asked, event: Event) -> bool:
    """Whether an event that changed nothing is about the locus at all."""
    animal = asked.answers.collection.animals.get(event.subject)
    if animal is None or event.kind not in ("test", "withdrawn"):
        return True
    tests = (test.locus for test in animal.tests if test.on.last == event.on)
    claims = (claim.locus for claim in animal.claims if claim.withdrawn and claim.withdrawn.last == event.on)
    return asked.locus.key in (tests if event.kind == "test" else claims)


def _carried(asked: Asked, figure: Figure) -> Chances:
    return Chances(figure.carries(asked.allele), figure.copies(asked.allele)[2])


def _from_parents(asked: Asked) -> Step | None:
    answers, animal = asked.answers, asked.animal
    prior = answers.inferred.before_hatching(animal.id, asked.locus.key)
    if animal.founder or not isinstance(prior, Figure):
        return None
    clutch = answers.collection.clutches.get(animal.clutch or "")
    record, place = (clutch.id, clutch.place) if clutch else (animal.id, animal.place)
    alone = clutch is not None and any(sire == NOBODY for sire, _ in clutch.sires.candidates)
    seen = "anything but its sex" if alone and animal.sex != "unknown" else "anything"
    says = phrase("Before {} was seen of it, by what was then known of {}", seen, _parents_in_words(asked))
    return Step(record, place, says, None, _carried(asked, prior))


def _parents_in_words(asked: Asked) -> Text:
    """ "F-1 and M-1", "F-1 and of M-1 or M-2"."""
    answers, animal = asked.answers, asked.animal
    clutch = answers.collection.clutches.get(animal.clutch or "")
    if clutch is None or len(clutch.sires.candidates) == 1:
        parents = sorted(answers.parents(animal.id), key=lambda name: answers.collection.animals[name].nameless)
        return words.join_and(answers.all_named(parents)) or Text("its parents")
    return phrase("{} and of {}", answers.named(clutch.dam), words.join_or(answers.males(clutch)))


def _at_first(asked: Asked) -> Text:
    """What stands on record of a founder at first, or of a young without a day of hatching."""
    claim = min(asked.every_claim, key=lambda one: one.chance is None, default=None)
    came = (
        f"; it {'was' if claim.withdrawn else 'is'} said {_said_to(claim, asked.locus)}"
        if claim
        else f"; nothing was said of its {asked.trait}"
    )
    kin = (
        Text("Its parents are not on record")
        if asked.animal.founder
        else phrase("It is a young of {}", _parents_in_words(asked))
    )
    reading = asked.animal.reading_on(None)
    if reading is None or reading.shows is None:
        return Text(kin, f"{came}; its look {'is not' if looked(asked.animal) is None else 'was not yet'} on record")
    look = words.looks_words(looks_in_order(reading.shows, reading.loose, asked.answers.species_of(asked.animal)))
    return Text(kin, f"{came}; it looks {look}")


def _said(asked: Asked, event: Event) -> Text:
    own = _own_looks(asked, event.on) if is_birth(event, asked.animal) else ""
    if own and event.subject == asked.animal.id:
        return words.clause(own)
    return words.clause(Text(own and f"{own}; ", cause_words(asked, event), _of_its_sire(asked, event)))


def _of_its_sire(asked: Asked, event: Event) -> str:
    """Why a clutch that showed nothing of the trait tells of it."""
    clutch = event_clutch(asked.answers, event)
    tells = telling(asked, clutch, event.on) if clutch and asked.answers.listed(clutch.id) else ()
    if clutch is None or not tells or asked in tells:
        return ""
    alone = any(sire == NOBODY for sire, _ in clutch.sires.candidates)
    return f", which bears on who sired it{', or whether any male did' if alone else ''}"


def _own_looks(asked: Asked, day: date) -> str:
    """What its look of a day says of the trait and of a sire in doubt, if anything: "it shows Enchi and no Albino"."""
    clutch = asked.answers.collection.clutches.get(asked.animal.clutch or "")
    tells = telling(asked, clutch, day) or (asked,)
    mixed = clutch is not None and clutch.sires.kind == "mixed"
    looks = dict.fromkeys(_own_look(one, day) for one in tells if mixed or one == asked)
    shown = sorted((look for look, _ in looks if look), key=lambda look: look.startswith("no "))
    silent = [why for _, why in looks if why]
    return "; ".join([*([f"it shows {words.join_and(shown)}"] if shown else []), *silent])


def _own_look(asked: Asked, day: date) -> tuple[str, str]:
    """What it shows of the trait by its look of a day, or why that says nothing of it."""
    answers, animal, locus = asked.answers, asked.animal, asked.locus
    species, reading = answers.species_of(animal), animal.reading_on(day)
    looks = answers.looks_in(reading, animal, locus)
    if asked.under_review:
        return "", f"whether it shows {words.join_or(locus.alleles)} is being checked"
    if reading is None or reading.shows is None:
        twins = words.join_and(answers.all_named(twins_of(answers, animal)))
        beside = f"; it shares an egg with {twins}, whose look counts for both" if twins else ""
        return "", f"its look {'is not' if looked(animal) is None else 'was not yet'} on record{beside}"
    if loose := asked.lines_not_known:
        return f"{words.join_and(loose)} of a line that is not known", ""
    if not looks and shown_by(genotypes_left(reading, locus, species), locus, asked.allele) is None:
        return "", f"its look does not tell whether it has {asked.trait}"
    return " ".join(looks) or f"no {asked.trait}", ""


def to_json(found: Why) -> dict[str, object]:
    """The derivation as `why --json` prints it."""
    return {
        "animal": found.animal,
        "trait": found.trait,
        "steps": [
            {
                "record": step.record,
                "file": step.place.file,
                "line": step.place.line,
                "says": step.says,
                "before": None if step.before is None else str(step.before.carries),
                "after": str(step.after.carries),
            }
            for step in found.steps
        ],
        "carries": str(found.carries),
    }


def in_lines(found: Why) -> tuple[str, ...]:
    """The derivation for a terminal: what was assumed, then a step a paragraph, records without influence last."""
    trait = _left_unnamed(found.trait, found.label)
    label = found.label or (f"{found.trait} ruled out" if found.excluded else f"taken to carry no {found.trait}")
    exactly = f"{found.carries}, two copies {found.two}" if 0 < found.two < 1 else f"{found.carries}"
    beside = "" if exactly in ("0", "1") else f" ({trait and f'{trait}, '}exactly {exactly})"
    lines = [f"{found.animal}{trait and f', {trait}'}: {label}{beside}"]
    if not found.steps:
        return tuple(lines)
    lines += ["", "Taken for granted:", *(f"  {text}" for text in found.assumed), "", "What the records did, in order:"]
    for step in found.steps:
        if step.moved or step.proves:
            figures = (
                step.figures() if step.moved else f"{step.figures()}, now {'ruled out' if found.excluded else 'proven'}"
            )
            lines += [f"  {step.says}.", f"      {figures}    {step.place.file}:{step.place.line}"]
    idle = [step for step in found.steps if not (step.moved or step.proves)]
    if idle:
        lines += ["", "Looked at, and changed nothing:"]
        lines += [f"  {step.says}.    {step.place.file}:{step.place.line}" for step in idle]
    return tuple(lines)
