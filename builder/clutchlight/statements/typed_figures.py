"""The figures that somebody typed of an animal (`stated`), beside those that its records give."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct

from clutchlight.genetics.values import Figure
from clutchlight.model import Animal
from clutchlight.model.animals import Coming, Leaving
from clutchlight.statements.answers import Answers
from clutchlight.statements.asked import Asked, claim_words, computed
from clutchlight.statements.values import Comparison, TraitStatement
from clutchlight.wording import words
from clutchlight.wording.text import Text

BOUGHT = ("bought", "trade")


def compared(answers: Answers, animal: Animal, traits: Sequence[TraitStatement]) -> tuple[Comparison, ...]:
    """What was stated of it beside our figures. What is certain is said as its label has it: on a condition, or that it shows it."""
    found = []
    mine = {(trait.locus, trait.trait): trait for trait in traits}
    loci = answers.species_of(animal).loci
    in_play = {locus.key for locus in answers.loci(animal.species)}
    for stated in animal.stated:
        trait = mine.get((stated.locus, stated.trait))
        if trait is not None and trait.under_review:
            continue
        asked = Asked(answers, animal, loci[stated.locus], loci[stated.locus].allele_number(stated.trait))
        ours = asked.carries if stated.locus in in_play else Fraction(0)
        bought = animal.came is not None and animal.came.how in BOUGHT
        label = claim_words(stated, asked.locus)
        said = f"{'Sold to us' if bought else 'Stated'} as {label}"
        certain = trait.label if trait is not None and ours == 1 else None
        now = Text("say that it ", certain.as_verb) if certain else f"give {words.percent_text(ours or Fraction(0))}"
        if ours is None:
            text = f"{said}; ours is not computed."
        elif ours == 0:
            out = stated.locus in in_play and asked.ruled_out
            text = f"{said}; our records {'rule it out' if out else 'say nothing of it'}."
        elif certain == label if certain else ours == stated.chance:
            text = f"{said}; our records give the same."
        elif (then := _given_on(asked, animal.came)) is not None and then != ours:
            text = Text(said, "; our records gave ", words.percent_text(then), " then, and now ", now, ".")
        else:
            text = Text(said, "; our records ", now, ".")
        found.append(Comparison(f"{stated.trait}: what {'the seller said' if bought else 'was stated'}", text))
    return tuple(found)


class TypedFigure(Struct, frozen=True):
    """A figure that somebody typed for an animal (`stated`) and that does not follow from the records.

    `ours`: what they give; None where no record speaks of the trait, or the figure is not computed. `certain`: how that is said where it
    is certain, with its condition: "is het Piebald, if no other male sired it".
    """

    animal: str
    trait: str
    typed: Fraction
    ours: Fraction | None
    sold: bool
    certain: str = ""


def typed_figures(answers: Answers) -> tuple[TypedFigure, ...]:
    """The typed figures that do not follow from the records, those of sold animals first, then by id."""
    found = []
    for animal in answers.collection.animals.values():
        in_play = {asked.trait: asked for asked in computed(answers, animal)} if animal.stated else {}
        for one in animal.stated:
            asked = in_play.get(one.trait)
            ours = asked.carries if asked else None
            then = _given_on(asked, animal.away or animal.came) if asked else None
            if one.chance not in (ours, then):
                certain = str(asked.label_now.as_verb) if asked and ours == 1 else ""
                found.append(TypedFigure(animal.id, one.trait, one.chance, ours, animal.sold, certain))
    return tuple(sorted(found, key=lambda one: (not one.sold, one.animal, one.trait)))


def _given_on(asked: Asked, moved: Coming | Leaving | None) -> Fraction | None:
    """The chance by what was on record when the animal came or left; None where that day is not known."""
    if moved is None or moved.on is None:
        return None
    figure = asked.answers.inferred.at(asked.animal.id, asked.locus.key, moved.on.last)
    return figure.carries(asked.allele) if isinstance(figure, Figure) else None
