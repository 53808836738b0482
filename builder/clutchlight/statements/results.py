"""Results that need an unrecorded carrier: the note in public words, and the list of explanations for the desk."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from clutchlight.genetics.values import Conflict, EvidenceRecord, Figure, Surprise
from clutchlight.model import Collection, Inheritance, Locus
from clutchlight.problems import Place, Problem, in_order
from clutchlight.statements.answers import Answers
from clutchlight.statements.asked import Asked, hatch_of
from clutchlight.statements.inferred import Inferred
from clutchlight.statements.other_sires import explaining, warnings
from clutchlight.statements.values import Note
from clutchlight.wording import words
from clutchlight.wording.text import NO_WORDS, Text, joined, phrase


@dataclass(frozen=True, slots=True)
class UnexpectedFamily:
    """A trait that turned up in one family where nothing recorded explains it.

    `founders`: who may carry it unrecorded, with their chances; `shown_by`: the young that show it or were tested to carry it, of
    `clutches`. `second`: one copy is explained, and where a second one came from is not. `moved`: whose figures rest on it.
    """

    locus: Locus
    allele: int
    founders: tuple[tuple[str, Fraction], ...]
    shown_by: tuple[str, ...]
    clutches: tuple[str, ...]
    since: date | None
    second: bool
    moved: tuple[str, ...]

    @property
    def trait(self) -> str:
        return self.locus.alleles[self.allele - 1]


def unexpected_families(answers: Answers) -> tuple[UnexpectedFamily, ...]:
    """The unexpected results, each told of the family that needs it. A founder's own test is its ground and none of them."""
    return answers.once("unexpected", lambda: tuple(_unexpected_families(answers)))


def _unexpected_families(answers: Answers) -> Iterator[UnexpectedFamily]:
    for surprise in answers.inferred.surprises:
        locus = answers.collection.species[surprise.species].loci[surprise.locus]
        for allele in _turned_up(answers, locus, (*surprise.shown_by, *surprise.clutches)):
            yield _family(answers, surprise, locus, allele)


def _turned_up(answers: Answers, locus: Locus, where: tuple[str, ...]) -> tuple[int, ...]:
    """The alleles that the young show or were tested to carry, else every one of the locus."""
    every = tuple(range(1, len(locus.alleles) + 1))
    return tuple(allele for allele in every if any(_has(answers, locus, allele, one) for one in where)) or every


def _has(answers: Answers, locus: Locus, allele: int, name: str) -> bool:
    """Whether a young, or what hatched of a clutch, shows an allele or was tested to carry it."""
    clutch = answers.collection.clutches.get(name)
    asked = Asked(answers, answers.collection.animals[clutch.dam if clutch else name], locus, allele)
    if clutch is not None:
        return hatch_of(asked, clutch).showing > 0
    return asked.shows or any(test.copies for test in asked.tests)


def _family(answers: Answers, surprise: Surprise, locus: Locus, allele: int) -> UnexpectedFamily:
    animals, young = answers.collection.animals, surprise.shown_by
    founders = {name for name, _ in surprise.founders}
    elders = {elder for name in (young or surprise.clutches) for elder in answers.forebears(name)} - founders
    second = any(
        animals[elder].founder and answers.carries(elder, locus.key, allele) for elder in elders & set(animals)
    )
    if second:
        figures = {name: answers.now(name, locus.key) for name in young}
        double = (name for name, one in figures.items() if isinstance(one, Figure) and one.copies(allele)[2] == 1)
        young = tuple(double) or young
    return UnexpectedFamily(
        locus, allele, surprise.founders, young, surprise.clutches, surprise.since, second, surprise.moved
    )


def surprise_notes(answers: Answers) -> tuple[tuple[str, Note], ...]:
    """For each unexpected result its note, under the id of every animal and clutch that it concerns.

    That are its founders and young, its clutches, and every animal whose figure is another without it.
    """
    found: list[tuple[str, Note]] = []
    for family in unexpected_families(answers):
        text = unexpected_text(answers, family)
        cause = family.clutches[0] if family.clutches else None
        founders = tuple(name for name, _ in family.founders)
        for name in dict.fromkeys((*founders, *family.shown_by, *family.clutches, *family.moved)):
            note = Note("surprise", name, family.locus.key, family.trait, text, cause=cause, on=family.since)
            found.append((name, note))
    return tuple(found)


def results(answers: Answers) -> tuple[str, ...]:
    """What turned up, in a sentence each without its full stop, and nothing of what may explain it."""
    return tuple(dict.fromkeys(words.clause(result_of(answers, family)) for family in unexpected_families(answers)))


def result_of(answers: Answers, family: UnexpectedFamily) -> Text:
    """What turned up, where, and that nothing says where it came from."""
    clutches = words.join_and(tuple(dict.fromkeys(answers.clutch(name) for name in family.clutches)))
    double = family.second and family.locus.inheritance is not Inheritance.RECESSIVE
    return phrase(
        "{}{} turned up{}{}, though nothing recorded before says where {} came from",
        "two copies of " if double else "",
        family.trait,
        Text(" in ", clutches) if clutches else "",
        Text(" (", words.join_and(answers.all_named(family.shown_by)), ")") if family.shown_by else "",
        "the second one" if double else "the second copy" if family.second else "it",
    )


def unexpected_text(answers: Answers, family: UnexpectedFamily) -> Text:
    """The result in public words, with who may carry the trait."""
    certain = answers.all_named(name for name, chance in family.founders if chance == 1)
    perhaps = tuple(
        dict.fromkeys(
            Text(answers.named(name), f", {words.note_count(chance)}")
            for name, chance in family.founders
            if 0 < chance < 1
        )
    )
    who = NO_WORDS
    if certain:
        both, carry = ("both ", "carry") if len(certain) == 2 else ("", "carries" if len(certain) == 1 else "carry")
        rest = Text("; so may ", joined(", or ", perhaps)) if perhaps else ""
        who = phrase("{}{} {} it{}", both, words.join_and(certain), carry, rest)
    elif perhaps:
        who = phrase("it came from {}", joined(", or ", perhaps))
    carriers = phrase(" If the parentage is right, {}.", who) if who else ""
    return phrase("{} {}{}", words.sentence(result_of(answers, family)), words.sentence(words.UNEXPECTED), carriers)


def explanations(answers: Answers, family: UnexpectedFamily) -> tuple[str, ...]:
    """For the desk only: what a breeder would think of, most checkable first."""
    certain = [answers.named(name) for name, chance in family.founders if chance == 1]
    listed = certain or [answers.named(name) for name, _ in family.founders]
    names = (words.join_and if certain else words.join_or)(listed) or "a founder"
    verb = "carry" if len(certain) > 1 else "carries"
    clutches = words.join_and([f"clutch {name}" for name in family.clutches]) or "the clutch"
    return (
        f"The look was misread: look again at {words.join_and(list(family.shown_by)) or 'what shows it'}.",
        f"An unrecorded carrier: {names} {verb} more than is on record.",
        *(
            explaining(answers, family.clutches)
            or (f"Another sire: {clutches} may be by a male that is not written down.",)
        ),
        "Stored sperm: an earlier male may still have counted.",
        "Eggs or hatchlings were mixed up between clutches.",
    )


def problems_of(conflict: Conflict, collection: Collection | None = None) -> tuple[Problem, ...]:
    """One problem for each record of an irreducible set, each naming the others. `collection` gives the locus its trait names."""
    traits = _traits(conflict, collection)
    return in_order(
        Problem.at(
            record.place,
            "records-conflict",
            _message(record, [r for r in conflict.records if r is not record], traits, collection),
        )
        for record in conflict.records
    )


def problems_in(inferred: Inferred) -> tuple[Problem, ...]:
    """Every problem that only the inference can see; nothing may be built while there is one."""
    found = [problem for conflict in inferred.conflicts for problem in problems_of(conflict, inferred.collection)]
    for animal, test in inferred.tests_against_looks:
        copies = words.counted(test.copies, "copy", "copies")
        message = (
            f"this test found {copies} of {test.trait}, which the look of {animal} rules out, so it says nothing; look at {animal} "
            f"again, and at the sheet of the test"
        )
        found.append(Problem.at(test.place, "test-against-look", message, "warning"))
    return in_order((*found, *warnings(inferred)))


def _traits(conflict: Conflict, collection: Collection | None) -> str:
    if collection is None or conflict.species not in collection.species:
        return conflict.locus
    return " / ".join(collection.species[conflict.species].loci[conflict.locus].alleles)


def _message(record: EvidenceRecord, others: list[EvidenceRecord], traits: str, collection: Collection | None) -> str:
    if not others:
        return f"at {traits}, {_record(record)} cannot be true by itself; {_remedy([record], collection)}"
    listed = words.join_and([f"{_record(other)} ({_at(other.place)})" for other in others])
    remedy = _remedy([record, *others], collection)
    return f"at {traits}, {_record(record)} cannot be true together with {listed}; one of them is wrong: {remedy}"


def _record(record: EvidenceRecord) -> str:
    detail = f" ({record.detail})" if record.detail else ""
    return f"the {record.kind} of {record.subject}{detail}"


def _at(place: Place) -> str:
    return f"{place.file}:{place.line}"


def _remedy(records: list[EvidenceRecord], collection: Collection | None) -> str:
    """`set_aside` is offered where one of the records is of a clutch."""
    kinds = {record.kind for record in records}
    ideas = [
        idea
        for kind, idea in (
            ("look", "a misread look"),
            ("sire", "another sire or stored sperm"),
            ("dam", "mixed-up eggs"),
            ("test", "a test that was wrong (give it an `error`)"),
            ("claim", "a claim that was wrong (give it `withdrawn`)"),
        )
        if kind in kinds
    ]
    if collection is not None and not any(_of_clutch(record, collection) for record in records):
        return f"look for {words.join_or(ideas)}"
    return f"look for {words.join_or(ideas)}, or put the clutch's looks there under `set_aside` until you know"


def _of_clutch(record: EvidenceRecord, collection: Collection) -> bool:
    animal = collection.animals.get(record.subject)
    return record.subject in collection.clutches or (animal is not None and animal.clutch is not None)
