"""Results that need an unrecorded carrier: the note in public words, and the list of explanations for the desk."""

from __future__ import annotations

from collections.abc import Iterable

from clutchlight.genetics.values import Conflict, EvidenceRecord, Surprise
from clutchlight.model import Collection
from clutchlight.problems import Place, Problem, in_order
from clutchlight.statements.answers import Answers, Inferred
from clutchlight.statements.values import Note, Unexpected
from clutchlight.wording import words
from clutchlight.wording.text import Text, phrase


def surprise_notes(answers: Answers) -> tuple[tuple[str, Note], ...]:
    """For each surprise its note, under the id of every animal and clutch that it concerns."""
    found: list[tuple[str, Note]] = []
    for surprise in answers.inferred.surprises:
        for trait in surprise_traits(answers, surprise):
            text = surprise_text(answers, surprise, trait)
            concerned = (*(name for name, _ in surprise.founders), *surprise.shown_by, *surprise.clutches)
            for name in dict.fromkeys(concerned):
                cause = surprise.clutches[0] if surprise.clutches else None
                found.append(
                    (name, Note("surprise", name, surprise.locus, trait, text, cause=cause, on=surprise.since))
                )
    return tuple(found)


def surprise_traits(answers: Answers, surprise: Surprise) -> tuple[str, ...]:
    """The traits that a surprise is about: those its animals show, else every trait of the locus."""
    locus = answers.collection.species[surprise.species].loci[surprise.locus]
    shown = [
        trait
        for allele, trait in enumerate(locus.alleles, start=1)
        if any(answers.shows(name, locus, allele) for name in surprise.shown_by if name in answers.collection.animals)
    ]
    return tuple(shown or locus.alleles)


def results(answers: Answers) -> tuple[str, ...]:
    """What turned up, in a sentence each without its full stop, and nothing of what may explain it."""
    found = (
        words.clause(result_of(answers, surprise, trait))
        for surprise in answers.inferred.surprises
        for trait in surprise_traits(answers, surprise)
    )
    return tuple(dict.fromkeys(found))


def result_of(answers: Answers, surprise: Surprise, trait: str) -> Text:
    shown = answers.all_named(surprise.shown_by)
    clutches = words.join_and(tuple(dict.fromkeys(answers.clutch(name) for name in surprise.clutches)))
    where = Text(" in ", clutches) if clutches else ""
    who = Text(" (", words.join_and(shown), ")") if shown else ""
    return phrase("{} turned up{}{}, though nothing recorded before says where it came from", trait, where, who)


def surprise_text(answers: Answers, surprise: Surprise, trait: str) -> Text:
    may = dict.fromkeys(
        Text(answers.named(name), ", for certain" if chance == 1 else f" ({words.note_count(chance)})")
        for name, chance in surprise.founders
        if chance
    )
    carriers = phrase(" If the parentage is right, it came from {}.", words.join_or(tuple(may))) if may else ""
    return phrase(
        "{} {}{}", words.sentence(result_of(answers, surprise, trait)), words.sentence(words.UNEXPECTED), carriers
    )


def unexpected(notes: Iterable[Note]) -> tuple[Unexpected, ...]:
    return tuple(Unexpected(note.locus, note.trait, note.text) for note in notes if note.kind == "surprise")


def explanations(answers: Answers, surprise: Surprise) -> tuple[str, ...]:
    """For the desk only: what a breeder would think of, most checkable first."""
    names = words.join_or([answers.named(name) for name, _ in surprise.founders]) or "a founder"
    clutches = words.join_and([f"clutch {name}" for name in surprise.clutches]) or "the clutch"
    return (
        f"The look was misread: look again at {words.join_and(list(surprise.shown_by)) or 'the animal that shows it'}.",
        f"An unrecorded carrier: {names} carries more than was said when it came.",
        f"Another sire: {clutches} may be by a male that is not written down.",
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
    for animal, test in inferred.needless_tests:
        message = (
            f"this test of {animal} for {test.trait} may be wrong ({words.harm_percent_text(test.error)}), and without it nothing "
            f"says that {animal} may carry {test.trait}, so it cannot move the figure; add the claim or parent that gives a chance, "
            f"or leave `error` out if the test is taken as sure"
        )
        found.append(Problem.at(test.place, "test-needs-chance", message))
    return in_order(found)


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
