"""Relatives, and what was recorded of them, in words as seen from one animal."""

from __future__ import annotations

import re
from collections.abc import Collection as Collected, Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import pairwise

from msgspec.structs import replace

from clutchlight.genetics.values import Event, Figure
from clutchlight.model import Animal, Claim, Clutch, Collection, LabTest, Locus, Recorded, Sire, Species
from clutchlight.model.animals import Correction, counting
from clutchlight.model.as_published import is_unlisted
from clutchlight.model.ledger import DatedRecord
from clutchlight.model.traits import grouped, reached
from clutchlight.statements.answers import Answers, Sires, kept, looked
from clutchlight.statements.asked import Asked, word_of
from clutchlight.statements.hatched import (
    hatch_of,
    hatchlings_words,
    mate_in,
    mate_words,
    telling,
    telling_of_others,
)
from clutchlight.wording import day_words, words
from clutchlight.wording.text import NO_WORDS, Text, phrase

ITSELF = Text("it")
SIBLINGS = ("sibling", "half-sibling")
MANY = 3
"""So many traits that were looked for are not told one by one."""


def relative_words(answers: Answers, other: str, animal: str, whose: str = "its", *, near: bool = False) -> Text:
    """Another animal as seen from this one: "its dam F-03", "its sire's dam F-01", "its young C24-03-1", "F-09"; "it" for itself.

    `near`: a grandparent by its name alone.
    """
    if other == animal:
        return ITSELF
    role = _role(answers, other, animal) or ("" if near else _grandparent(answers, other, animal))
    if role in SIBLINGS and other in _mates(answers, animal):
        role = f"{role} and mate"
    return answers.related(other, role, whose) if role else answers.named(other)


def _mates(answers: Answers, animal: str) -> set[str | None]:
    """Those with whom it has clutches that are listed."""
    bred = answers.collection.bred_by(animal)
    return {mate_in(clutch, animal) for clutch in bred if answers.listed(clutch.id)}


def _role(answers: Answers, other: str, animal: str) -> str:
    """What another is to an animal: "dam", "sire" or "probable sire", "young", "identical twin", "sibling" or "half-sibling"; or ""."""
    record, found = answers.collection.animals[animal], answers.collection.animals[other]
    if other == answers.dam_of(record):
        return "dam"
    if [Recorded(other)] == _sires(answers, record):
        return sire_words(answers, record)
    if answers.dam_of(found) == animal or [Recorded(animal)] == _sires(answers, found):
        return "young"
    if other in twins_of(answers, record):
        return "identical twin"
    return "sibling" if record.clutch and found.clutch == record.clutch else _of_other_clutches(answers, record, found)


def _of_other_clutches(answers: Answers, one: Animal, other: Animal) -> str:
    """ "sibling" or "half-sibling" by listed parents that are all beyond doubt; else ""."""
    parents = [(answers.dam_of(each), sole_sire(answers, each)) for each in (one, other)]
    if any(name is None for pair in parents for name in pair):
        return ""
    shared = [name for name, same in zip(*parents, strict=True) if name == same and name and answers.listed(name)]
    return ("", "half-sibling", "sibling")[len(shared)]


def _grandparent(answers: Answers, other: str, animal: str) -> str:
    """Which grandparent another is, "sire's dam", by parents that are beyond doubt and listed; "" for none."""
    record = answers.collection.animals[animal]
    if answers.collection.animals[other].nameless or not answers.listed(other):
        return ""
    above = [("dam", answers.dam_of(record)), ("sire", sole_sire(answers, record))]
    for role, parent in above:
        if parent and answers.listed(parent) and not answers.collection.animals[parent].nameless:
            elder = answers.collection.animals[parent]
            if other == answers.dam_of(elder):
                return f"{role}'s dam"
            if other == sole_sire(answers, elder):
                return f"{role}'s sire"
    return ""


def sole_sire(answers: Answers, animal: Animal) -> str | None:
    """Its sire on record, where no other is left by more than claims."""
    left = _sires(answers, animal)
    sire = left[0] if len(left) == 1 and sire_words(answers, animal) == "sire" else None
    return sire.id if isinstance(sire, Recorded) else None


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
    parent, role = _parent_seen_from(answers, clutch.id, animal)
    whose = answers.related(parent, role) if role else answers.named(parent)
    left = answers.sires_of_clutch(clutch) if not role else ()
    for sire, _ in left if len(left) > 1 else ():  # by such a male alone a clutch may bear on it
        if isinstance(sire, Recorded) and (its := _role(answers, sire.id, animal)) in ("sire", "probable sire"):
            perhaps = answers.related(sire.id, its)
            return phrase("{} of {} and perhaps of {}", answers.clutch(clutch.id), whose, perhaps)
    return phrase("{} of {}", answers.clutch(clutch.id), whose)


@kept
def _parent_seen_from(answers: Answers, name: str, animal: str) -> tuple[str, str]:
    """The parent of a clutch that is nearest to an animal, and what it is to it; "" where that is nothing."""
    clutch = answers.collection.clutches[name]
    last = clutch.hatched.last if clutch.hatched else date.max
    bred = (one for one in answers.collection.bred_by(animal) if one.hatched and one.hatched.last <= last)
    mates = {parent for one in bred for parent in one.parents}
    order = (
        ("dam",),
        ("sire",) if clutch.sires.only else (),
        ("young", "identical twin"),
        ("mate",),
        SIBLINGS[:1],
        SIBLINGS[1:],
    )
    roles = {parent: _role(answers, parent, animal) for parent in clutch.parents}
    for parent, role in roles.items():
        if parent in mates and role in ("", *SIBLINGS):
            roles[parent] = "mate"
    for nearest in order:
        for parent, role in roles.items():
            if role in nearest:
                return parent, role
    return clutch.dam, ""


def test_words(test: LabTest, whose: Text) -> Text:
    """ "a test of its dam F-03 on 1 February 2024 (shed test) found one copy"; of an unlisted animal, what it found alone."""
    of = NO_WORDS if whose == ITSELF else Text(" of ", whose)
    found = words.counted(test.copies, "copy", "copies")
    if not test.place.file:
        return phrase("a test{} found {}", of, found)
    errs = f"errs {words.times(test.error)}" if test.error else ""
    told = [part for part in (test.by, test.lab, errs) if part]
    how = f" ({', '.join(told)})" if told else ""
    return phrase("a test{} {}{} found {}", of, day_words.on(test.on), how, found)


def event_clutch(answers: Answers, event: Event) -> Clutch | None:
    return answers.collection.clutches.get(event.subject) if event.kind == "hatching" else None


def is_birth(event: Event, animal: Animal) -> bool:
    """Whether the event is the hatching of the animal."""
    return event.kind == "hatching" and event.subject in (animal.clutch, animal.id)


def looked_by(animal: Animal, event: Event | None) -> date:
    """The day of its last look that counts after an event: one of the same day comes after what else hatched then."""
    if event is None:
        return date.min
    before = event.kind == "hatching" and not is_birth(event, animal)
    return event.on - timedelta(days=1) if before else event.on


NOT_LISTED = Text("records that are not listed here")


def cause_words(asked: Asked, event: Event, others: Sequence[Asked] = ()) -> Text:
    """What was recorded, as it bears on an animal: "clutch C25-01 had six hatchlings with a Piebald mate, none of them Piebald".

    `others`: more traits of the animal that a clutch bears on.
    """
    return Text(*cause_in_two(asked, event, others))


def cause_in_two(asked: Asked, event: Event, others: Sequence[Asked] = ()) -> tuple[Text, Text]:
    """The clutch or record, and what it showed; `others`: as above."""
    answers, animal = asked.answers, asked.animal.id
    if is_unlisted(event.subject):
        return NOT_LISTED, NO_WORDS
    clutch = event_clutch(answers, event)
    if clutch is None:
        return _cause_apart(asked, event), NO_WORDS
    which = answers.clutch(clutch.id) if animal in clutch.parents else clutch_words(answers, clutch, animal)
    if not answers.listed(clutch.id):
        return which, NO_WORDS
    found = [_told_by(one, clutch, event) for one in (asked, *others)]
    tells = {one.about: one for told, _ in found for one in told}.values()
    bears = next((whose for _, whose in found if whose), NO_WORDS)
    hatch, *beside = (hatch_of(one, clutch, event.on) for one in tells)
    if not hatch.hatched and not clutch.counts_at(asked.locus.key):
        if not clutch.counts:
            own = _what_counts(answers, asked.animal, event.on) if animal in clutch.young else ""
            return which, Text(f", left out of the figures{own}")
        return which, Text(f", where looks for {words.join_or(asked.locus.alleles)} are set aside")
    if animal in clutch.parents:
        mate = mate_in(clutch, animal)
        mates = [one.of(mate) for one in tells if mate]
        each = [mate_words(one, one.figure_before(event), looked_by(one.animal, event)) for one in mates]
        described = "" if others and len(set(each)) > 1 else _of_one_mate(each)
        paired = f"with {described} " if described else "without a male " if answers.without_a_male(clutch) else ""
        return which, Text(f" {hatchlings_words(hatch, paired, beside)}", bears)
    told = (
        f" {hatchlings_words(hatch, beside=beside)}"
        if hatch.read
        else " hatched"
        if hatch.whole
        else " hatched, and not all of it is on record"
    )
    by_mate = _parent_seen_from(answers, clutch.id, animal)[1] == "mate"
    if by_mate and not bears and moved_with(asked, event):
        bears = Text(", which bears on what the young of the two tell")
    return which, Text(told, bears)


def _of_one_mate(each: Iterable[str]) -> str:
    """What is told of a mate by the words for each allele: all that it may be het for, else the first."""
    seen = tuple(dict.fromkeys(filter(None, each)))
    perhaps = [said for said in seen if isinstance(said, words.Label)]
    if perhaps and len(perhaps) == len(seen):
        return words.Label("", perhaps[0].lead, words.join_or([said.name for said in perhaps]))
    return "".join(seen[:1])


def _what_counts(answers: Answers, animal: Animal, day: date) -> str:
    """Of a clutch that is left out: what counts all the same for one of its young, of the looks by a day."""
    if looked(animal, day):
        return " but for this look"
    twins = (answers.collection.animals[name] for name in twins_of(answers, animal))
    return " but for the look of its twin" if any(looked(twin, day) for twin in twins) else ""


def _told_by(asked: Asked, clutch: Clutch, event: Event) -> tuple[tuple[Asked, ...], Text]:
    """The alleles by which what hatched bears on the trait: those that moved with it, or what tells of a sire in doubt, and of which."""
    answers = asked.answers
    if tells := telling(asked, clutch, event.on):
        return tells, NO_WORDS
    moved = moved_with(asked, event)
    prior = answers.inferred.before_hatching(*asked.about[:2]) if is_birth(event, asked.animal) else None
    if moved or (isinstance(prior, Figure) and prior.carries(asked.allele) != asked.carried_after(event)):
        tells, homes = telling_of_others(asked, clutch, event)
        whose = Text("who sired ", answers.clutch(homes[0])) if len(homes) == 1 else "a sire in doubt"
        if tells:
            return tells, Text(", which bears on ", whose)
    return moved or (asked,), NO_WORDS


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
        hatches = (hatch_of(one, clutch, event.on) for one in _told_by(asked, clutch, event)[0])
        told = {look for hatch in hatches for look in hatch.named}
        return asked.answers.listed(clutch.id) and len(told) == 1 and asked.trait in min(told)
    return _shown_at(asked, event) or {test.trait for test in _tests_at(asked, event)} == {asked.trait}


def _shown_at(asked: Asked, event: Event) -> bool:
    """Whether the animal whose hatching an event is was seen that day to show the trait."""
    hatched = asked.of(event.subject)
    figure = hatched.figure_after(event)
    return event.kind == "hatching" and figure is not None and hatched.showed(figure, event.on)


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
    what = "" if looks is None else f" as {words.looks_words(looks, (), answers.species_of(animal).harmful_looks)}"
    if what and len(found[-1].without) < MANY:
        what += "".join(f", without {name}" for name in found[-1].without)
    doubt = f", {words.join_or(found[-1].cannot_tell)} in doubt" if what and found[-1].cannot_tell else ""
    return f"{'read again' if is_second_reading(answers, event) else 'read'}{what}{doubt}"


def _tests_at(asked: Asked, event: Event) -> list[LabTest]:
    """The tests at its locus that an event is, those of the trait first; none beside which a sure one tells all."""
    tests = asked.of(event.subject).animal.tests if event.kind == "test" else ()
    found = counting(test for test in tests if (test.locus, test.on.last) == (asked.locus.key, event.on))
    sure = {test.trait for test in found if not test.error}
    found = [test for test in found if not test.error or test.trait not in sure]
    if event.subject == asked.animal.id and asked.trait in sure:
        found = [test for test in found if test.trait == asked.trait]
    return sorted(found, key=lambda test: (test.trait != asked.trait, asked.locus.allele_number(test.trait)))


def replaced_by(animal: Animal, test: LabTest) -> LabTest | None:
    """The test that no longer counts beside this one: of the fallible ones of a trait by one laboratory the last does."""
    tests = sorted(animal.tests, key=lambda one: one.on.last)
    alike = [one for one in tests if one.error and one.repeats == test.repeats]
    return next((before for before, one in pairwise(alike) if one is test), None)


def test_that_counts(animal: Animal, test: LabTest, whose: Text, of_what: str) -> Text:
    """The test, and which earlier one counts no longer."""
    if (before := replaced_by(animal, test)) is None:
        return Text(test_words(test, whose), of_what)
    which = "another of that day" if before.on == test.on else f"the one {day_words.on(before.on)}"
    return Text(test_words(test, whose), of_what, f", and counts in place of {which}")


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
            claims = "the claim that {} {} was withdrawn" if len(gone) == 1 else "the claims that {} {} were withdrawn"
            return phrase(claims, who, said)


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
    answers, animal = asked.answers, asked.animal.id
    whose = relative_words(answers, event.subject, animal)
    if event.subject in _mates(answers, animal) and whose == answers.named(event.subject):
        whose = answers.related(event.subject, "mate")
    if event.kind == "test":
        tested = asked.of(event.subject).animal
        if found := _tests_at(asked, event):
            several = len(asked.locus.alleles) > 1
            each = (test_that_counts(tested, test, whose, f" of {test.trait}" if several else "") for test in found)
            return words.join_and([*each])
        of = NO_WORDS if whose == ITSELF else Text(" of ", whose)
        sought = list(dict.fromkeys(test.trait for test in tested.tests if test.on.last == event.on))
        return phrase("a test{} for {}", of, words.join_and(sought) or "another trait")
    if event.kind != "hatching":
        return happening(asked.answers, event, whose)
    if _shown_at(asked, event):
        return phrase("{} shows {}", whose, asked.trait)
    return Text(whose, " hatched")


# What was corrected

GENES = ("sire", "dam", "shows", "looks", "tests", "claims")
"""Keys whose correction may change what is said of genes."""
PARENTAGE = ("sire", "dam", "hatched")
"""Keys of which the record of a clutch tells for its young."""
LOOKS = ("shows", "looks")
"""Keys of what was seen of it."""
OF_OTHERS = ("sire", "dam", "clutch", "not_by")
"""Keys whose value names other animals, or a clutch."""


def named_before(collection: Collection, one: Correction) -> tuple[tuple[str, str | None], ...]:
    """Whom a record named before a correction, as it was written, each with its id if it is one of ours: one, or all of "M-1 or M-2"."""
    known, whole = collection.by_any_name, " ".join(one.was.split())
    apart = re.split(r"\s*(?:,|/|\+|\bor\b|\band\b)\s*", whole.strip("[]"))
    each = [whole] if whole.casefold() in known else filter(None, apart)
    return tuple((name, known.get(name.casefold())) for name in each)


def corrections_of(collection: Collection, animal: Animal) -> list[Correction]:
    """Of its own record and of its clutch, in order of time."""
    clutch = collection.clutches.get(animal.clutch or "")
    return sorted((*animal.corrections, *(clutch.corrections if clutch else ())), key=lambda one: one.on)


def in_force(answers: Answers, animal: Animal, locus: str, record: DatedRecord, day: date) -> bool:
    """Whether a dated record holds what was said of a locus on a day: nothing that was recorded or corrected in between moved it."""
    corrected = (one.on.last for one in corrections_of(answers.collection, animal) if one.key in GENES)
    if any(record.on < on <= day for on in corrected):
        return False
    return answers.inferred.at(animal.id, locus, record.on) == answers.inferred.at(animal.id, locus, day)


def corrected_words(key: str) -> str:
    """What was corrected, in a word."""
    said = {**dict.fromkeys(LOOKS, "look"), "not_by": "excluded male"}
    return said.get(key, key.replace("_", " "))


def corrected_kin(collection: Collection, records: Iterable[Animal | Clutch]) -> Mapping[str, tuple[Correction, ...]]:
    """By animal, what was corrected in some records of genes of whatever shares an ancestor with it, as it is or was on record."""
    parents, animals = collection.parents_of, collection.animals
    young = grouped((parent, name) for name in animals for parent in parents(name))
    found: list[tuple[str, Correction]] = []
    for record in records:
        for one in record.corrections:
            if one.key in GENES:
                names = record.young if isinstance(record, Clutch) else (record.id,)
                before = named_before(collection, one) if one.key in OF_OTHERS else ()
                above = reached((*names, *(ident for _, ident in before if ident and ident in animals)), parents)
                found += [(name, one) for name in reached(above, lambda name: young.get(name, ()))]
    return grouped(found)


def corrected_near(
    collection: Collection, animal: Animal, loci: Collected[str]
) -> Iterator[tuple[Animal | Clutch, Animal | Clutch, Correction]]:
    """The corrections of its parents and theirs, of full and half siblings and of its young that may move what is said of it at some
    loci: of whom, in whose record.

    A look of a clutch mate may decide between sires in doubt, whatever its locus. A parent's own parents may be corrected in the record of
    the clutch that it hatched in; and of what it or a parent bred, or did until then, sire and dam may be. Those of its own record and of
    its clutch are not among them, nor those from before it hatched or of whoever may not be named.
    """
    clutch, born = collection.clutches.get(animal.clutch or ""), animal.hatched
    species = collection.species[animal.species]
    parents = collection.parents_of(animal.id)
    mates = clutch.young if clutch and len(clutch.sires.candidates) > 1 else ()
    grandparents = [name for parent in parents for name in collection.parents_of(parent)]
    bred = [one for name in (*parents, animal.id) for one in collection.bred_by(name)]
    young = [name for one in (clutch, *bred) if one for name in one.young]
    nearest = dict.fromkeys((*parents, *grandparents, *young))
    # Each record once: both parents may have hatched in one clutch.
    records: dict[tuple[bool, str], tuple[Animal, Animal | Clutch]] = {}
    for near in (collection.animals[name] for name in nearest if name != animal.id):
        if near.publish != "no" and not near.nameless:
            hatched_in = collection.clutches.get(near.clutch or "") if near.id in parents else None
            for record in (near, hatched_in) if hatched_in and hatched_in.publish != "no" else (near,):
                records.setdefault((record is near, record.id), (near, record))
    for near, record in records.values():
        seen = " ".join(look for reading in near.readings for look in reading.shows or ())
        for one in record.corrections:
            parentage = one.key in ("sire", "dam")
            bears = (
                near.id in parents if parentage else near.id in mates or tells_of(species, f"{one.was} {seen}", loci)
            )
            if one.key in GENES and bears and (born is None or one.on.last > born.last):
                yield near, record, one
    concerned = {animal.id, *(name for name in parents if collection.animals[name].publish != "no")}
    for record in collection.parents_corrected if loci else ():
        told = record.id in (animal.id, animal.clutch, *parents) or (False, record.id) in records
        if told or record.publish == "no":
            continue
        now = record.parents if isinstance(record, Clutch) else collection.parents_of(record.id)
        for one in record.corrections:
            if one.key in ("sire", "dam") and (born is None or one.on.last > born.last):
                before = (ident for _, ident in named_before(collection, one))
                if not concerned.isdisjoint((*before, *now)):
                    yield record, record, one


def tells_of(species: Species, looks: str, loci: Collected[str]) -> bool:
    """Whether looks, as they are written, tell of some loci."""
    return any(look in looks and not {*loci}.isdisjoint(found) for look, found in species.locus_of_look.items())
