"""Clutches and relatives in words: what hatched, which mate, how one animal is related to another."""

from __future__ import annotations

from collections.abc import Collection as Collected, Iterator, Sequence
from datetime import date, timedelta
from fractions import Fraction
from functools import partial
from itertools import pairwise
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.genetics.pedigree import KinLink, SiresOf, hangs_on_sires, kinship_by, kinship_of_pair, ways_sired
from clutchlight.genetics.values import Event
from clutchlight.model import (
    NOBODY,
    Animal,
    Claim,
    Clutch,
    Collection,
    LabTest,
    Locus,
    Nobody,
    Recorded,
    Sire,
    Unrecorded,
)
from clutchlight.model.animals import Correction
from clutchlight.model.as_published import is_unlisted
from clutchlight.model.traits import reached
from clutchlight.statements.adverts import looks_words
from clutchlight.statements.answers import Answers, Sires, looked
from clutchlight.statements.asked import (
    MAY_BE_HET,
    Asked,
    Hatch,
    figure_before,
    hatch_of,
    mate_in,
    mate_words,
    telling,
    word_of,
)
from clutchlight.wording import day_words, words
from clutchlight.wording.text import NO_WORDS, Text, phrase
from clutchlight.wording.words import counted

ITSELF = Text("it")
MANY = 3
"""So many traits that were looked for are not told one by one."""


def showing_words(hatch: Hatch, of: str = "") -> str:
    """ "none Piebald", "two Piebald", "both Piebald", after the number of hatchlings; "Piebald" for the only one.

    `of`: " of them" after their number.
    """
    look, showing = hatch.told
    if len(hatch.looks) > 1:
        return each_look(hatch, of)
    if hatch.read == 1:
        return look if showing else f"not {look}"
    if showing == hatch.read:
        return f"{'both' if showing == 2 else 'all'}{of} {look}"
    none = "neither" if hatch.read == 2 else "none"
    return f"{words.number(showing) if showing else none}{of} {look}"


def each_look(hatch: Hatch, of: str = "") -> str:
    """ "one Amelanistic and two Ultramel"."""
    numbered = enumerate(hatch.looks)
    return words.join_and([f"{words.number(count)}{'' if place else of} {look}" for place, (look, count) in numbered])


def hatchlings_words(hatch: Hatch, paired: str = "", beside: Sequence[Hatch] = ()) -> str:
    """After a parent or a clutch: "with a Piebald mate had six hatchlings, none of them Piebald".

    `paired`: "with" and the mate and a blank, or "". `beside`: what the same clutch showed of other traits. Where twins came of one egg,
    eggs are counted.
    """
    noun = hatch.noun if hatch.whole else f"recorded {hatch.noun}"
    hatchlings = f"{paired}had {words.counted(hatch.hatched, noun)}"
    lead = ", which is " if hatch.hatched == 1 else ", "
    read = [one for one in (hatch, *beside) if one.read]
    if not read:
        return f"{hatchlings} (none {_judged(hatch, 1)})"
    if beside:
        _, *more = dict.fromkeys(_of_those_told(one) for one in read)
        return f"{hatchlings}{lead}{words.join_and([_of_those_told(read[0], ' of them'), *more])}"
    if hatch.others:
        it_is = "it is " if hatch.read == 1 else ""
        return f"{hatchlings} ({words.number(hatch.read)} {_judged(hatch, hatch.read)}: {it_is}{showing_words(hatch)})"
    if hatch.twins:
        gave = hatch.looks if len(hatch.looks) > 1 else (hatch.told,)
        if hatch.hatched == 1:
            return f"{hatchlings}, which gave {'' if hatch.showing else 'no '}{hatch.told[0]} young"
        each = [f"{words.number(count) if count else 'none'} gave {look} young" for look, count in gave]
        return f"{hatchlings}, of which {words.join_and(each)}"
    return f"{hatchlings}{lead}{showing_words(hatch, ' of them')}"


def _judged(hatch: Hatch, count: int) -> str:
    """Why the words are about `count` of its hatchlings alone: at the others nobody has looked, or their look does not tell."""
    if hatch.unread != hatch.others:
        return "could be judged"
    return f"{'had' if hatch.read_since else 'has' if count == 1 else 'have'} been looked at"


def _of_those_told(hatch: Hatch, of: str = "") -> str:
    """ "none of them Piebald", "one Piebald of the three that could be judged"."""
    if not hatch.others:
        return showing_words(hatch, of)
    told = "the one" if hatch.read == 1 else f"the {words.number(hatch.read)}"
    count = words.number(hatch.showing) if hatch.showing else "none"
    said = each_look(hatch) if hatch.looks else f"{count} {hatch.look}"
    return f"{said} of {told} that {_judged(hatch, hatch.read)}"


def hatched_words(hatch: Hatch) -> str:
    """ "two of the six hatchlings are Piebald", "the only hatchling is Piebald"."""
    look, showing = hatch.told
    many = words.number(showing) if showing else "none"
    recorded = "" if hatch.whole else " on record"
    hatchlings = f"{hatch.noun}s{recorded}"
    if len(hatch.looks) > 1:
        (first, count), *rest = hatch.looks
        each = [f"{words.number(count)} {words.are(count)} {first}"]
        each += [f"{words.number(others)} {other}" for other, others in rest]
        judged = f", of which {words.number(hatch.read)} {_judged(hatch, hatch.read)}" if hatch.others else ""
        return f"of the {words.number(hatch.hatched)} {hatchlings}{judged}, {words.join_and(each)}"
    if hatch.others:
        read = f"{words.number(hatch.read)} of the {words.number(hatch.hatched)} {hatchlings}"
        return f"{read} {_judged(hatch, hatch.read)}; {many} {words.are(showing or 1)} {look}"
    if hatch.read == 1:
        return f"the only {hatch.noun}{recorded} is {'' if showing else 'not '}{look}"
    if showing == hatch.read == 2:
        return f"both {hatchlings} are {look}"
    of = f"{many} of the {words.number(hatch.read)} {hatchlings}"
    return f"{of} gave {look} young" if hatch.twins else f"{of} {words.are(showing or 2)} {look}"


def relative_words(answers: Answers, other: str, animal: str, whose: str = "its", *, near: bool = False) -> Text:
    """Another animal as seen from this one: "its dam F-03", "its sire's dam F-01", "its young C24-03-1", "F-09"; "it" for itself.

    `near`: a grandparent by its name alone.
    """
    if other == animal:
        return ITSELF
    role = _role(answers, other, animal) or ("" if near else _grandparent(answers, other, animal))
    return answers.related(other, role, whose) if role else answers.named(other)


def _role(answers: Answers, other: str, animal: str) -> str:
    """What another is to an animal: "dam", "sire" or "probable sire", "young" or "sibling"; "" for none of these."""
    record, found = answers.collection.animals[animal], answers.collection.animals[other]
    if other == answers.dam_of(record):
        return "dam"
    if [Recorded(other)] == _sires(answers, record):
        return sire_words(answers, record)
    if answers.dam_of(found) == animal or [Recorded(animal)] == _sires(answers, found):
        return "young"
    return "sibling" if record.clutch and found.clutch == record.clutch else ""


def _grandparent(answers: Answers, other: str, animal: str) -> str:
    """Which grandparent another is, "sire's dam", by parents that are beyond doubt and listed; "" for none."""
    record = answers.collection.animals[animal]
    if answers.collection.animals[other].nameless or not answers.listed(other):
        return ""
    above = [("dam", answers.dam_of(record)), *(("sire", one.id) for one in _sole_sire(answers, record))]
    for role, parent in above:
        if parent and answers.listed(parent) and not answers.collection.animals[parent].nameless:
            elder = answers.collection.animals[parent]
            if other == answers.dam_of(elder):
                return f"{role}'s dam"
            if Recorded(other) in _sole_sire(answers, elder):
                return f"{role}'s sire"
    return ""


def _sole_sire(answers: Answers, animal: Animal) -> list[Recorded]:
    """Its recorded sire, where it is he by more than a claim."""
    sires = [sire for sire in _sires(answers, animal) if isinstance(sire, Recorded)]
    return sires if len(_sires(answers, animal)) == 1 and sire_words(answers, animal) == "sire" else []


def claimed_of(answers: Answers, clutch: Clutch, sires: Sires, young: str | None = None) -> Text:
    """Of whom was said what alone leaves one sire of several; nobody where possible genotypes leave no other."""
    if len(sires) != 1 or len(clutch.sires.candidates) < 2:
        return NO_WORDS
    return Text(words.join_and(answers.all_named(answers.inferred.sires_left_by_claims(clutch.id, young))))


def sire_words(answers: Answers, animal: Animal) -> str:
    """What its only sire left is to it: "sire", or "probable sire" where claims alone leave him."""
    clutch = answers.collection.clutches.get(animal.clutch or "")
    by_claim = clutch is not None and claimed_of(answers, clutch, answers.sires_of(animal), animal.id)
    return "probable sire" if by_claim else "sire"


def _sires(answers: Answers, animal: Animal) -> list[Sire]:
    return [sire for sire, _ in answers.sires_of(animal)]


def single_parents(asked: Asked) -> tuple[tuple[str, Asked], ...]:
    """Its dam, and its sire where there is one recorded sire only, with their part."""
    answers = asked.answers
    dam, sires = answers.dam_of(asked.animal), answers.sires_of(asked.animal)
    found = [("dam", asked.of(dam))] if dam else []
    if len(sires) == 1 and isinstance(sire := sires[0][0], Recorded):
        found.append(("sire", asked.of(sire.id)))
    return tuple(found)


def parent_named(asked: Asked, role: str, parent: Asked) -> Text:
    return asked.answers.related(parent.animal.id, sire_words(asked.answers, asked.animal) if role == "sire" else role)


def twins_of(answers: Answers, animal: Animal) -> tuple[str, ...]:
    """The others that hatched from its egg."""
    return tuple(name for name in answers.collection.eggs.get(animal.egg or animal.id, ()) if name != animal.id)


def clutch_words(answers: Answers, clutch: Clutch, animal: str) -> Text:
    """A clutch as seen from an animal that is not its parent: "clutch C25-01 of its dam F-03", "clutch C25-01 of F-11"."""
    parent, role = _parent_seen_from(answers, clutch, animal)
    whose = answers.related(parent, role) if role else answers.named(parent)
    return phrase("{} of {}", answers.clutch(clutch.id), whose)


def _parent_seen_from(answers: Answers, clutch: Clutch, animal: str) -> tuple[str, str]:
    """The parent that is nearest to an animal, and what it is to it; "" where that is nothing."""
    roles = {parent: _role(answers, parent, animal) for parent in clutch.parents}
    for nearest in (("dam",), ("sire",) if clutch.sires.only else (), ("young", "sibling")):
        for parent, role in roles.items():
            if role in nearest:
                return parent, role
    bred = (answers.collection.clutches[key] for key in answers.collection.clutches_of.get(animal, ()))
    mates = {name for one in bred for name in one.parents}
    mate = next((parent for parent in roles if parent in mates), None)
    return (clutch.dam, "") if mate is None else (mate, "mate")


def test_words(test: LabTest, whose: Text) -> Text:
    """ "a test of its dam F-03 on 1 February 2024 (shed test) found one copy"."""
    of = NO_WORDS if whose == ITSELF else Text(" of ", whose)
    errs = f"errs {words.times(test.error)}" if test.error else ""
    told = [part for part in (test.by, test.lab, errs) if part]
    how = f" ({', '.join(told)})" if told else ""
    found = words.counted(test.copies, "copy", "copies")
    return phrase("a test{} {}{} found {}", of, day_words.on(test.on), how, found)


def event_clutch(answers: Answers, event: Event) -> Clutch | None:
    return answers.collection.clutches.get(event.subject) if event.kind == "hatching" else None


NOT_LISTED = Text("records that are not listed here")


def cause_words(asked: Asked, event: Event) -> Text:
    """What was recorded, as it bears on an animal: "clutch C25-01 had six hatchlings with a Piebald mate, none of them Piebald"."""
    return Text(*cause_in_two(asked, event))


def cause_in_two(asked: Asked, event: Event) -> tuple[Text, Text]:
    """The clutch or record, and what it showed."""
    answers, animal = asked.answers, asked.animal.id
    if is_unlisted(event.subject):
        return NOT_LISTED, NO_WORDS
    clutch = event_clutch(answers, event)
    if clutch is None:
        return _cause_apart(asked, event), NO_WORDS
    which = answers.clutch(clutch.id) if animal in clutch.parents else clutch_words(answers, clutch, animal)
    if not answers.listed(clutch.id):
        return which, NO_WORDS
    hatch, *beside = _hatches(asked, clutch, event)
    if not hatch.hatched and not clutch.counts_at(asked.locus.key):
        if not clutch.counts:
            own = _what_counts(answers, asked.animal, event.on) if animal in clutch.young else ""
            return which, Text(f", left out of the figures{own}")
        return which, Text(f", where looks for {words.join_or(asked.locus.alleles)} are set aside")
    if animal in clutch.parents:
        mate = mate_in(clutch, animal)
        mates = [one.of(mate) for one in (moved_with(asked, event) or (asked,)) if mate]
        day = event.on - timedelta(days=1)  # a look read that day came after the hatching
        seen = tuple(dict.fromkeys(said for one in mates if (said := mate_words(one, figure_before(one, event), day))))
        perhaps = [said.removeprefix(MAY_BE_HET) for said in seen if said.startswith(MAY_BE_HET)]
        described = MAY_BE_HET + words.join_or(perhaps) if seen and len(perhaps) == len(seen) else "".join(seen[:1])
        paired = f"with {described} " if described else "without a male " if answers.without_a_male(clutch) else ""
        return which, Text(f" {hatchlings_words(hatch, paired, beside)}")
    told = (
        f" {hatchlings_words(hatch, beside=beside)}"
        if hatch.read
        else " hatched"
        if hatch.whole
        else " hatched, and not all of it is on record"
    )
    by_mate = _parent_seen_from(answers, clutch, animal)[1] == "mate"
    bears = ", which bears on what the young of the two tell" if by_mate and moved_with(asked, event) else ""
    return which, Text(told, bears)


def _what_counts(answers: Answers, animal: Animal, day: date) -> str:
    """Of a clutch that is left out: what counts all the same for one of its young, of the looks by a day."""
    if looked(animal, day):
        return " but for this look"
    twins = (answers.collection.animals[name] for name in twins_of(answers, animal))
    return " but for the look of its twin" if any(looked(twin, day) for twin in twins) else ""


def _hatches(asked: Asked, clutch: Clutch, event: Event) -> tuple[Hatch, ...]:
    """What hatched as far as it bears on the trait and on those that moved with it: of a sire in doubt, whatever tells who it was."""
    told = telling(asked, clutch, event.on) or moved_with(asked, event) or (asked,)
    return tuple(hatch_of(one, clutch, event.on) for one in told)


def moved_with(asked: Asked, event: Event) -> tuple[Asked, ...]:
    """The alleles of its locus whose chances an event changed, which is one thing that happened; the trait among them, or none."""
    steps = (pair for pair in pairwise(asked.history) if pair[1][0] == event)
    (_, before), (_, after) = next(steps, ((None, None), (None, None)))
    if before is None or after is None:
        return ()
    every = range(1, len(asked.locus.alleles) + 1)
    moved = [allele for allele in every if before.carries(allele) != after.carries(allele)]
    return tuple(replace(asked, allele=allele) for allele in moved) if asked.allele in moved else ()


def names_trait(asked: Asked, event: Event) -> bool:
    """Whether the words for what was recorded name the trait, and no other beside it."""
    if is_unlisted(event.subject):
        return False
    clutch = event_clutch(asked.answers, event)
    if clutch is not None:
        told = {look for hatch in _hatches(asked, clutch, event) for look in hatch.named}
        return asked.answers.listed(clutch.id) and len(told) == 1 and asked.trait in min(told)
    found = _test_at(asked, event)
    return _shown_at(asked, event) or (found is not None and found.trait == asked.trait)


def _shown_at(asked: Asked, event: Event) -> bool:
    """Whether the animal whose hatching an event is was seen that day to show the trait."""
    hatched = asked.of(event.subject)
    by_then = [figure for when, figure in hatched.history if when is None or when <= event]
    return event.kind == "hatching" and bool(by_then) and hatched.showed(by_then[-1], event.on)


def is_second_reading(answers: Answers, event: Event) -> bool:
    """Whether a look was read when another was on record before."""
    if event.kind != "look":
        return False
    first = answers.collection.animals[event.subject].readings[0].on
    return first is None or first.last < event.on


def read_words(answers: Answers, event: Event) -> str:
    """How a look came on record: "read as normal", and "read again as Pastel, Enchi in doubt" where another look was on record before."""
    animal = answers.collection.animals[event.subject]
    found = [reading for reading in animal.readings if reading.on and reading.on.last == event.on]
    looks = answers.collection.looks_that_count(animal, found[-1]) if found else None
    what = "" if looks is None else f" as {looks_words(looks, (), answers.species_of(animal).harmful_looks)}"
    if what and len(found[-1].without) < MANY:
        what += "".join(f", without {name}" for name in found[-1].without)
    doubt = f", {words.join_or(found[-1].cannot_tell)} in doubt" if what and found[-1].cannot_tell else ""
    return f"{'read again' if is_second_reading(answers, event) else 'read'}{what}{doubt}"


def _test_at(asked: Asked, event: Event) -> LabTest | None:
    """The test that an event is, the one of the trait first."""
    tests = asked.of(event.subject).animal.tests if event.kind == "test" else ()
    found = [test for test in tests if (test.locus, test.on.last) == (asked.locus.key, event.on)]
    return min(found, key=lambda test: (test.trait != asked.trait, asked.locus.allele_number(test.trait)), default=None)


def replaced_by(animal: Animal, test: LabTest) -> LabTest | None:
    """The test that no longer counts beside this one: of the fallible ones of a trait by one laboratory the last does."""
    before = [one for one in animal.tests if one.error and one.repeats == test.repeats and one.on.last < test.on.last]
    return max(before, key=lambda one: one.on.last, default=None) if test.error else None


def test_that_counts(animal: Animal, test: LabTest, whose: Text, of_what: str) -> Text:
    """The test, and which earlier one counts no longer."""
    before = replaced_by(animal, test)
    in_place = f", and counts in place of the one {day_words.on(before.on)}" if before else ""
    return Text(test_words(test, whose), of_what, in_place)


def happening(answers: Answers, event: Event, who: Text) -> Text:
    """What happened to an animal or a clutch, as a clause: "clutch C26-01 hatched", "a test of F-08", "its look was read as normal"."""
    match event.kind:
        case "hatching":
            return Text(
                answers.clutch(event.subject) if event.subject in answers.collection.clutches else who, " hatched"
            )
        case "test":
            return Text("its own test") if who == ITSELF else Text("a test of ", who)
        case "look":
            whose = "its look" if who == ITSELF else Text("the look of ", who)
            return Text(whose, " was ", read_words(answers, event))
        case "withdrawn":
            animal = answers.collection.animals[event.subject]
            loci = answers.species_of(animal).loci
            gone = [claim for claim in animal.claims if claim.withdrawn and claim.withdrawn.last == event.on]
            said = words.join_and([f"{_claimed(claim, loci[claim.locus])}{_denied(animal, claim)}" for claim in gone])
            return phrase("the claim that {} {} was withdrawn", who, said)


def _claimed(claim: Claim, locus: Locus) -> str:
    """ "is het Piebald", "has two copies of Pinstripe"."""
    return f"{'has' if claim.chance is None else 'is'} {word_of(claim, locus)}"


def _denied(animal: Animal, claim: Claim) -> str:
    """ " (denied by a test on 10 January 2025)": it, and not the withdrawal, rules out what was claimed for certain; else ""."""
    tests = [test.on for test in animal.tests if against(animal, test) == claim]
    first = min(tests, key=lambda on: on.last, default=None)
    return f" (denied by a test {day_words.on(first)})" if first else ""


def against(animal: Animal, test: LabTest) -> Claim | None:
    """The claim, withdrawn since, that a test denies for certain: while both stood, no figure could be told."""
    certain = (one for one in animal.claims if one.chance == 1 and (one.locus, one.trait) == (test.locus, test.trait))
    sure = not test.copies and not test.error
    return next((one for one in certain if sure and one.withdrawn and test.on.last <= one.withdrawn.last), None)


def _cause_apart(asked: Asked, event: Event) -> Text:
    whose = relative_words(asked.answers, event.subject, asked.animal.id)
    if event.kind == "test":
        found = _test_at(asked, event)
        if found:
            of_what = "" if len(asked.locus.alleles) == 1 else f" of {found.trait}"
            return test_that_counts(asked.of(event.subject).animal, found, whose, of_what)
        of = NO_WORDS if whose == ITSELF else Text(" of ", whose)
        tests = asked.of(event.subject).animal.tests
        sought = list(dict.fromkeys(test.trait for test in tests if test.on.last == event.on))
        return phrase("a test{} for {}", of, words.join_and(sought) or "another trait")
    if event.kind != "hatching":
        return happening(asked.answers, event, whose)
    if _shown_at(asked, event):
        return phrase("{} shows {}", whose, asked.trait)
    return Text(whose, " hatched")


_ELDERS = {1: "", 2: "grand", 3: "great-grand"}


PERHAPS_RELATED = "perhaps related"
AS_WRITTEN = ", by the chances before hatching of what is still possible"
"""The condition of a coefficient that hangs on a sire in doubt."""


class Relation(NamedTuple):
    """How two parents are related: in a clause, and in brief after their names, "" where they are no kin as far as is known.

    `by_chances`: the coefficient of their young hangs on a sire in doubt.
    """

    clause: str
    brief: str = ""
    by_chances: bool = False


def kinship_of(
    collection: Collection,
    sire: Sire,
    dam: str,
    inbreeding: Fraction,
    of: str = "its",
    sires_of: SiresOf | None = None,
) -> Relation:
    """Of two animals as parents. `inbreeding`: the exact coefficient of their young. `of`: "its" or "the"."""
    if isinstance(sire, Nobody):
        return Relation(f"{of} dam bred without a male")
    if isinstance(sire, Unrecorded):
        return Relation(f"{of} sire is not recorded")
    if inbreeding == 0:
        return Relation(f"{of} parents are not related, as far as is recorded")
    if found := _named_relation(collection, sire.id, dam):
        hangs = found.alone != inbreeding and hangs_on_sires(collection, sire.id, dam, sires_of)
        besides = _besides(collection, sire.id, dam, inbreeding, found, hangs, sires_of)
        return Relation(f"{of} parents {found.said or f'are {found.brief}'}{besides}", found.brief, hangs)
    shared = _shared(collection, sire.id, dam)
    named = [name for name in shared if not is_unlisted(name)]
    how = f"have {counted(len(named), 'ancestor')} in common"
    if not named:
        how = "may be related, depending on a sire that is in doubt"
    hangs = hangs_on_sires(collection, sire.id, dam, sires_of)
    return Relation(f"{of} parents {how}", "related" if shared else PERHAPS_RELATED, hangs)


def kinship_told(
    answers: Answers, sire: Sire, dam: str, inbreeding: Fraction, *, by_claim: bool, of: str = "its"
) -> Relation:
    """The same where claims may leave this sire alone (`by_claim`)."""
    found = kinship_of(answers.settled, sire, dam, inbreeding, of, answers.inferred.sires_of)
    if by_claim and inbreeding:
        return found._replace(clause=phrase("{}, if {} is the sire", found.clause, answers.male(sire)))
    return found


def _besides(
    collection: Collection,
    sire: str,
    dam: str,
    inbreeding: Fraction,
    found: _Kin,
    hangs: bool,
    sires_of: SiresOf | None,
) -> str:
    """What more is to be said of two related as `found`: that they are related in other ways too, or may be; or nothing."""
    if found.link is None or found.alone == inbreeding:
        return ""
    ways = ways_sired(collection, sire, dam, sires_of) or (() if hangs else (collection,))
    others = {
        (kinship_of_pair(way, sire, dam) if len(ways) > 1 else inbreeding) > kinship_by(way, found.link) for way in ways
    }
    if others == {False}:
        return ""
    if others == {True}:
        return ", and are related in other ways too"
    return ", and may be related in other ways too, depending on a sire that is in doubt"


class _Kin(Struct, frozen=True):
    """How two parents are related. `brief`: what they are, sire first; `alone`: the coefficient of their young if they are related in no
    other way, and those through whom they are not inbred; None: not known. `said`: what a sentence has in place of "are" and `brief`."""

    brief: str
    alone: Fraction | None
    link: KinLink | None
    said: str = ""


def _known(collection: Collection, animal: str) -> tuple[str, ...]:
    """The parents that are known for certain, sire first."""
    record = collection.animals[animal]
    clutch = collection.clutches.get(record.clutch or "")
    parents = (clutch.sires.certain or record.sire, clutch.dam) if clutch else (record.sire, record.dam)
    return tuple(parent for parent in parents if parent is not None)


def _named_relation(collection: Collection, sire: str, dam: str) -> _Kin | None:
    return (
        _line_of_descent(collection, sire, dam)
        or _clutchmates(collection, sire, dam)
        or _side_by_side(collection, sire, dam)
    )


def _line_of_descent(collection: Collection, sire: str, dam: str) -> _Kin | None:
    for steps, grand in _ELDERS.items():
        value = Fraction(1, 2 ** (steps + 1))
        if sire in _ancestors(collection, dam, steps):
            return _Kin(f"{grand}father and {grand}daughter", value, KinLink(sire, sire, steps))
        if dam in _ancestors(collection, sire, steps):
            return _Kin(f"{grand}son and {grand}mother", value, KinLink(dam, dam, steps))
    return None


def _ancestors(collection: Collection, animal: str, steps: int) -> tuple[str, ...]:
    level: tuple[str, ...] = (animal,)
    for _ in range(steps):
        level = tuple(parent for one in level for parent in _known(collection, one))
    return level


def _clutchmates(collection: Collection, sire: str, dam: str) -> _Kin | None:
    """Young of one clutch whose sire is not a single recorded male: an unrecorded one is the same for all of them."""
    home = collection.animals[sire].clutch
    clutch = collection.clutches.get(home or "")
    if clutch is None or collection.animals[dam].clutch != home or clutch.sires.certain:
        return None
    if collection.animals[sire].sire and collection.animals[dam].sire:
        return None
    if isinstance(clutch.sires.only, Unrecorded):
        return _Kin("full siblings", Fraction(1, 4), KinLink(sire, dam, 0))
    return _Kin("from one clutch", None, None, "hatched from one clutch")


_BESIDE = (
    (0, 0, ("half-siblings", "full siblings")),
    (0, 1, ("half-uncle and half-niece", "uncle and niece")),
    (1, 0, ("half-nephew and half-aunt", "nephew and aunt")),
    (1, 1, ("half first cousins", "first cousins")),
)
"""What a sire and a dam are by siblings of whom they come in so many steps: by half-siblings, and by full ones."""


def _side_by_side(collection: Collection, sire: str, dam: str) -> _Kin | None:
    """The closest relation through siblings among them and their parents; siblings have young of 1/4, half-siblings of 1/8."""
    found = [
        kin
        for up, beside, names in _BESIDE
        for one in _ancestors(collection, sire, up)
        for other in _ancestors(collection, dam, beside)
        if one != other and (kin := _through(collection, one, other, up + beside, names)) is not None
    ]
    return max(found, key=lambda kin: kin.alone or 0, default=None)


def _through(collection: Collection, one: str, other: str, steps: int, names: tuple[str, str]) -> _Kin | None:
    """The relation of two who come of these in so many steps; None if these are no siblings. Those of one clutch share a sire in doubt."""
    half, full = names
    first, second = collection.animals[one], collection.animals[other]
    if (first.egg or one) == (second.egg or other):
        return _Kin(f"{full} through identical twins", Fraction(1, 2 ** (steps + 1)), KinLink(one, other, steps))
    home = collection.clutches.get(first.clutch or "")
    by_one = home is not None and home.sires.kind != "mixed" and NOBODY not in dict(home.sires.candidates)
    together = by_one and second.clutch == first.clutch
    shared = {*_known(collection, one)} & {*_known(collection, other)}
    if len(shared) > 1 or (shared and together and not (first.sire and second.sire)):
        return _Kin(full, Fraction(1, 4 * 2**steps), KinLink(one, other, steps))
    return _Kin(half, Fraction(1, 8 * 2**steps), KinLink(one, other, steps, min(shared))) if shared else None


def _shared(collection: Collection, sire: str, dam: str) -> frozenset[str]:
    known = partial(_known, collection)
    return reached([sire], known) & reached([dam], known)


# What was corrected

GENES = ("sire", "dam", "shows", "looks")
"""Keys whose correction may change what is said of genes."""


def corrected_near(collection: Collection, animal: Animal, loci: Collected[str]) -> Iterator[tuple[Animal, Correction]]:
    """The corrections of its parents, clutch mates and young that may move what is said of it at some loci, each with whose record it is.

    Those of its own record and of its clutch are not among them, nor those from before it hatched or of whoever may not be named.
    """
    clutch, born = collection.clutches.get(animal.clutch or ""), animal.hatched
    at = collection.species[animal.species].locus_of_look
    parents, bred = collection.parents_of(animal.id), collection.clutches_of.get(animal.id, ())
    young = [name for one in (clutch, *map(collection.clutches.__getitem__, bred)) if one for name in one.young]
    for record in (collection.animals[name] for name in dict.fromkeys((*parents, *young)) if name != animal.id):
        seen = " ".join(look for reading in record.readings for look in reading.shows or ())
        for one in () if record.publish == "no" or record.nameless else record.corrections:
            looks = f"{one.was} {seen}"
            bears = (
                record.id in parents
                if one.key in ("sire", "dam")
                else any(look in looks and not {*loci}.isdisjoint(found) for look, found in at.items())
            )
            if one.key in GENES and bears and (born is None or one.on.last > born.last):
                yield record, one
