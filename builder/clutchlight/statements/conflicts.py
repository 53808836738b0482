"""Records that cannot all be true, and tests that can say nothing, as problems at the lines where they are written."""

from __future__ import annotations

from clutchlight.genetics.values import Conflict, EvidenceRecord
from clutchlight.model import Collection
from clutchlight.problems import Place, Problem, in_order
from clutchlight.statements import words
from clutchlight.statements.asking import Inferred


def problems_of(conflict: Conflict, collection: Collection | None = None) -> tuple[Problem, ...]:
    """One problem for each record of an irreducible set, each naming the others. `collection` gives the locus its trait names."""
    traits = _traits(conflict, collection)
    return in_order(
        Problem.at(
            record.place, "records-conflict", _message(record, [r for r in conflict.records if r is not record], traits)
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


def _message(record: EvidenceRecord, others: list[EvidenceRecord], traits: str) -> str:
    if not others:
        return f"at {traits}, {_record(record)} cannot be true by itself; {_remedy([record])}"
    listed = words.join_and([f"{_record(other)} ({_at(other.place)})" for other in others])
    return f"at {traits}, {_record(record)} cannot be true together with {listed}; one of them is wrong: {_remedy([record, *others])}"


def _record(record: EvidenceRecord) -> str:
    detail = f" ({record.detail})" if record.detail else ""
    return f"the {record.kind} of {record.subject}{detail}"


def _at(place: Place) -> str:
    return f"{place.file}:{place.line}"


def _remedy(records: list[EvidenceRecord]) -> str:
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
    return f"look for {words.join_or(ideas)}, or put the clutch's looks there under `set_aside` until you know"
