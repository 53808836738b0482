"""The figures that somebody typed for an animal, beside those that the records give."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from clutchlight.genetics.values import Figure
from clutchlight.model import Animal
from clutchlight.statements.answers import Answers


@dataclass(frozen=True, slots=True)
class TypedFigure:
    """A figure that somebody typed for an animal (`stated`) and that does not follow from the records.

    `ours`: what they give; None where no record speaks of the trait, or the figure is not computed.
    """

    animal: str
    trait: str
    typed: Fraction
    ours: Fraction | None
    sold: bool


def typed_figures(answers: Answers) -> tuple[TypedFigure, ...]:
    """The typed figures that do not follow from the records, those of sold animals first, then by id."""
    found = []
    for animal in answers.collection.animals.values():
        in_play = {locus.key: locus for locus in answers.loci(animal.species)} if animal.stated else {}
        for one in animal.stated:
            locus = in_play.get(one.locus)
            allele = locus.allele_number(one.trait) if locus else 0
            ours = answers.carries(animal.id, one.locus, allele) if locus else None
            if one.chance not in (ours, _when_typed(answers, animal, one.locus, allele) if locus else None):
                found.append(TypedFigure(animal.id, one.trait, one.chance, ours, animal.sold))
    return tuple(sorted(found, key=lambda one: (not one.sold, one.animal, one.trait)))


def _when_typed(answers: Answers, animal: Animal, locus: str, allele: int) -> Fraction | None:
    """The chance by what was on record when the animal changed hands; None where that day is not known."""
    moved = animal.away or animal.came
    figure = (
        answers.inferred.at(animal.id, locus, moved.on.last) if moved is not None and moved.on is not None else None
    )
    return figure.carries(allele) if isinstance(figure, Figure) else None
