"""What hangs on each record, in words: the record, then what would be printed without it, sold animals first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from clutchlight.genetics.values import Grounds
from clutchlight.model import Collection
from clutchlight.model.animals import id_in_words
from clutchlight.planning.doubt import Doubted, LeftOut, MovedFigure
from clutchlight.statements.answers import Answers, looked
from clutchlight.statements.asked import how_taken
from clutchlight.wording import day_words, words

MOST_ALIKE = 4
"""So many looks alike are not told one by one."""

SHOWN = 3
"""How many figures are told of each record where all records are listed."""


def not_told(collection: Collection) -> str:
    """Whose figures are not asked about; "" where there is nobody of the kind."""
    left_out = {name for clutch in collection.clutches.values() if not clutch.counts for name in clutch.young}
    if left_out.isdisjoint(parent for name in collection.animals for parent in collection.parents_of(name)):
        return ""
    return "Figures of young whose parent hatched in a clutch with `counts: no` are not listed here."


def record_words(record: LeftOut, collection: Collection) -> str:
    """ "the claim of 66% Piebald for F-01", "the look of C25-01-2 (normal), and likewise of C25-01-3".

    Of several alike the first is left out, and what moves is told of it.
    """
    if record.kind == "sire":
        return f"the sire line of {record.subject}"
    animal = collection.animals[record.subject]
    if record.kind == "claim":
        claim = animal.claims[record.number]
        share = claim.chance or claim.two_copies or 1
        chance = f"{words.percent_text(Fraction(share))} " if share != 1 else ""
        two = "two copies of " if claim.chance is None and claim.two_copies else ""
        return f"the claim of {chance}{two}{claim.trait} for {id_in_words(animal.id)}"
    if record.kind == "test":
        test = animal.tests[record.number]
        return f"the test of {id_in_words(animal.id)} for {test.trait}, {day_words.when(test.on)}"
    reading = animal.readings[-1]
    looks = "not seen" if reading.shows is None else words.looks_words(reading.shows)
    others = [id_in_words(name) for name in record.alike if name != record.subject]
    alike = f"any one of {len(others)} like it" if len(others) >= MOST_ALIKE else words.join_or(others)
    return f"the look of {id_in_words(animal.id)} ({looks}){alike and f', and likewise of {alike}'}"


def moved_words(one: MovedFigure, answers: Answers) -> str:
    """ "M-05, Piebald: certain, proven by C25-01; without it, 66%". Of what is left without it, whose carrying is not asked."""
    collection = answers.collection
    sold = " (sold)" if one.sold else ""
    if one.sired:
        before = f"taken as certain, {words.no_other_male(one.sired)}"
    else:
        rests = how_taken(answers, one.animal, one.trait, one.grounds.kind)
        before = "ruled out" if one.ruled_out else _standing(one, one.before, one.grounds, collection, rests)
    left = "on a seller's word" if one.grounds_after.kind == "claim" else words.nothing_unrecorded(())
    after = _standing(one, one.after, one.grounds_after, collection, left)
    return f"{id_in_words(one.animal)}{sold}, {one.trait}: {before}; without it, {after}"


def _standing(one: MovedFigure, chance: Fraction, grounds: Grounds, collection: Collection, rests: str) -> str:
    if chance == 0:
        return "nothing said"
    if chance != 1:
        return words.harm_percent_text(chance) if one.harmful else words.percent_text(chance)
    of_its_own = looked(collection.animals[one.animal]) is not None
    by = f" by {grounds.proven_by}" if grounds.proven_by else ""
    if grounds.proven_by in collection.animals:
        by = f" by what is recorded of {grounds.proven_by}"
    return {
        "look": "certain, by its look" if of_its_own else "certain, by the look of its twin",
        "parentage": "certain, by its parents",
        "test": "certain, by a test",
        "proven": f"certain, proven{by}",
    }.get(grounds.kind, f"taken as certain, {rests}")


def heading(one: Doubted, collection: Collection) -> str:
    """ "The look of C26-01-1 (Piebald): 6 printed figures, 2 of sold animals"."""
    count, sold = len(one.moved), len(one.sold)
    of_sold = "of a sold animal" if len({moved.animal for moved in one.sold}) == 1 else "of sold animals"
    whose = "" if not sold else f" {of_sold}" if sold == count else f", {sold} {of_sold}"
    return f"{words.clause(record_words(one.record, collection))}: {words.plural(count, 'printed figure')}{whose}"


def first_few(one: Doubted, answers: Answers, most: int | None = SHOWN) -> Iterator[str]:
    """Its figures, sold animals first; `most`: how many are told, and how many are left."""
    listed = (*one.sold, *one.others)
    yield from (moved_words(moved, answers) for moved in listed[:most])
    if most is not None and len(listed) > most:
        yield f"and {len(listed) - most} more"


def in_lines(found: Sequence[Doubted], answers: Answers, *, every: bool) -> Iterator[str]:
    """For a terminal. `every`: each figure that would move; else the first few of each record."""
    for number, one in enumerate(found):
        if number:
            yield ""
        yield f"{heading(one, answers.collection)}    {one.record.place.file}:{one.record.place.line}"
        yield from (f"  {text}" for text in first_few(one, answers, None if every else SHOWN))


def to_json(own: Sequence[Doubted], beneath: Sequence[Doubted], collection: Collection) -> dict[str, object]:
    """What `doubt --json` prints: fractions as strings in lowest terms."""
    return {"records": _records(own, collection), "hangs_on": _records(beneath, collection)}


def _records(found: Sequence[Doubted], collection: Collection) -> list[dict[str, object]]:
    return [
        {
            "record": one.record.kind,
            "of": one.record.subject,
            "alike": list(one.record.alike),
            "file": one.record.place.file,
            "line": one.record.place.line,
            "says": record_words(one.record, collection),
            "moves": [
                {
                    "animal": moved.animal,
                    "sold": moved.sold,
                    "trait": moved.trait,
                    "before": str(moved.before),
                    "after": str(moved.after),
                    "grounds": moved.grounds.kind,
                    "grounds_after": moved.grounds_after.kind,
                    "proven_by": moved.grounds.proven_by,
                    "proven_by_after": moved.grounds_after.proven_by,
                }
                for moved in (*one.sold, *one.others)
            ],
        }
        for one in found
    ]
