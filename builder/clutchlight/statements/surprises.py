"""Results that need an unrecorded carrier: the note in public words, and the list of explanations for the desk."""

from __future__ import annotations

from collections.abc import Iterable

from clutchlight.genetics.values import Surprise
from clutchlight.statements import words
from clutchlight.statements.telling import Telling
from clutchlight.statements.values import Note, Unexpected


def surprise_notes(telling: Telling) -> tuple[tuple[str, Note], ...]:
    """For each surprise its note, under the id of every animal and clutch that it concerns."""
    found: list[tuple[str, Note]] = []
    for surprise in telling.inferred.surprises:
        for trait in surprise_traits(telling, surprise):
            text = _surprise_text(telling, surprise, trait)
            concerned = (*(name for name, _ in surprise.founders), *surprise.shown_by, *surprise.clutches)
            for name in dict.fromkeys(concerned):
                cause = surprise.clutches[0] if surprise.clutches else None
                found.append((name, Note("surprise", name, surprise.locus, trait, text, cause, surprise.since)))
    return tuple(found)


def surprise_traits(telling: Telling, surprise: Surprise) -> tuple[str, ...]:
    """The traits that a surprise is about: those its animals show, else every trait of the locus."""
    locus = telling.collection.species[surprise.species].loci[surprise.locus]
    shown = [
        trait
        for allele, trait in enumerate(locus.alleles, start=1)
        if any(telling.shows(name, locus, allele) for name in surprise.shown_by if name in telling.collection.animals)
    ]
    return tuple(shown or locus.alleles)


def results(telling: Telling) -> tuple[str, ...]:
    """What turned up, in a sentence each without its full stop, and nothing of what may explain it."""
    found = (
        words.sentence(_result(telling, surprise, trait)).rstrip(".")
        for surprise in telling.inferred.surprises
        for trait in surprise_traits(telling, surprise)
    )
    return tuple(dict.fromkeys(found))


def _result(telling: Telling, surprise: Surprise, trait: str) -> str:
    shown = [telling.named(name) for name in surprise.shown_by]
    clutches = words.join_and([f"clutch {name}" for name in surprise.clutches])
    where = f" in {clutches}" if clutches else ""
    who = f" ({words.join_and(shown)})" if shown else ""
    return f"{trait} turned up{where}{who}, though nothing recorded before says where it came from"


def _surprise_text(telling: Telling, surprise: Surprise, trait: str) -> str:
    may = [
        f"{telling.named(name)}{', for certain' if chance == 1 else f' ({words.note_count(chance)})'}"
        for name, chance in surprise.founders
        if chance
    ]
    carriers = f" If the parentage is right, it came from {words.join_or(may)}." if may else ""
    return f"{words.sentence(_result(telling, surprise, trait))} {words.sentence(words.UNEXPECTED)}{carriers}"


def unexpected(notes: Iterable[Note]) -> tuple[Unexpected, ...]:
    return tuple(Unexpected(note.locus, note.trait, note.text) for note in notes if note.kind == "surprise")


def explanations(telling: Telling, surprise: Surprise) -> tuple[str, ...]:
    """For the desk only: what a breeder would think of, most checkable first."""
    names = words.join_or([telling.named(name) for name, _ in surprise.founders]) or "a founder"
    clutches = words.join_and([f"clutch {name}" for name in surprise.clutches]) or "the clutch"
    return (
        f"The look was misread: look again at {words.join_and(list(surprise.shown_by)) or 'the animal that shows it'}.",
        f"An unrecorded carrier: {names} carries more than was said when it came.",
        f"Another sire: {clutches} may be by a male that is not written down.",
        "Stored sperm: an earlier male may still have counted.",
        "Eggs or hatchlings were mixed up between clutches.",
    )
