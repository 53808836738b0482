"""What was typed of an animal beside what its records give."""

from __future__ import annotations

from fractions import Fraction

from clutchlight.genetics.values import Figure
from clutchlight.model import Animal
from clutchlight.statements.answers import Answers
from clutchlight.statements.values import Comparison
from clutchlight.wording import words

BOUGHT = ("bought", "trade")


def compared(answers: Answers, animal: Animal) -> tuple[Comparison, ...]:
    found = []
    loci = answers.species_of(animal).loci
    in_play = {locus.key for locus in answers.loci(animal.species)}
    for stated in animal.stated:
        allele = loci[stated.locus].allele_number(stated.trait)
        ours = answers.carries(animal.id, stated.locus, allele) if stated.locus in in_play else Fraction(0)
        bought = animal.came is not None and animal.came.how in BOUGHT
        said = f"{'Sold to us' if bought else 'Stated'} as {words.percent_text(stated.chance)} for {stated.trait}"
        if ours is None:
            text = f"{said}; ours is not computed."
        elif ours == 0:
            out = stated.locus in in_play and answers.rules_out(animal.id, loci[stated.locus], allele)
            text = f"{said}; our records {'rule it out' if out else 'say nothing of it'}."
        elif ours == stated.chance:
            text = f"{said}; our records give the same."
        elif (then := _when_it_came(answers, animal, stated.locus, allele)) is not None and then != ours:
            text = f"{said}; our records gave {words.percent_text(then)} then and give {words.percent_text(ours)} now."
        else:
            text = f"{said}; our records give {words.percent_text(ours)}."
        found.append(Comparison(stated.locus, stated.trait, stated.chance, ours, text, bought))
    return tuple(found)


def _when_it_came(answers: Answers, animal: Animal, locus: str, allele: int) -> Fraction | None:
    """The chance by what was on record when the animal came; None where that day is not known."""
    if animal.came is None or animal.came.on is None:
        return None
    figure = answers.inferred.at(animal.id, locus, animal.came.on.last)
    return figure.carries(allele) if isinstance(figure, Figure) else None
