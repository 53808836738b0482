"""Clutch mates that nothing tells apart answer for each other: the same figures and words as when each is worked out by itself.

One collection of each shape; CLUTCHLIGHT_LONG=20 in the environment draws twenty.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import date
from fractions import Fraction

import pytest
from msgspec.structs import replace
from tests.bench.generating import Shape, generate
from tests.exact.both_ways import ALL_KINDS, drawn

from clutchlight.genetics.inference import Inference, infer
from clutchlight.ledger.dated_records import Past, past_of
from clutchlight.model import Animal, Claim, Collection, LabTest, When
from clutchlight.problems import Place
from clutchlight.statements.answers import Answers
from clutchlight.statements.clutches import state_all
from clutchlight.statements.values import Statements

SHAPES = {
    "plain": Shape(animals=60, loci=4, kinds="rri"),
    "sex-linked": Shape(animals=60, loci=4, kinds="rx"),
    "one sire of two": Shape(animals=60, loci=3, kinds="rri", in_doubt=0.5),
    "mixed": Shape(animals=60, loci=3, kinds="rrx", mixed=0.4, project_animals=60),
    "picked": Shape(animals=60, loci=4, kinds="rra", incomplete=0.5),
    "tested": Shape(animals=60, loci=4, kinds="rra", tested=0.2, error=Fraction(1, 50), unseen=0.1),
    "background": Shape(animals=60, loci=3, kinds="rra", background=Fraction(1, 20)),
}
HERE = Place("a file", 1, 1)
TIMES = int(os.environ.get("CLUTCHLIGHT_LONG", "1"))


def each_by_itself(collection: Collection) -> Inference:
    """The inference of a collection in which nobody answers for another."""
    apart = infer(collection)
    for animal in collection.animals:
        figures = apart.figures_of(animal)
        worlds = [figures.world, figures.asking]
        if figures.solved.network is not None:
            worlds.append(figures.history.world)
        for world in worlds:
            world.__dict__["like"] = {}
    return apart


def answers(inference: Inference) -> dict[object, object]:
    collection = inference.collection
    days = sorted({event.on for event in inference.events})[::3]
    found: dict[object, object] = {}
    for animal in collection.animals.values():
        found[animal.id] = inference.sires_of(animal.id)
        for locus in inference.loci_in_play(animal.species):
            key = (animal.id, locus.key)
            found[key] = (
                inference.now(*key),
                inference.when_hatched(*key),
                inference.before_hatching(*key),
                inference.history(*key),
                inference.rests_on(*key),
                tuple(inference.at(*key, day) for day in days),
            )
            for allele, _ in enumerate(locus.alleles, 1):
                found[*key, allele] = (
                    inference.grounds(*key, allele),
                    inference.ruled_out(*key, allele),
                    inference.background_only(*key, allele),
                )
    return found


def told(inference: Inference) -> tuple[Statements, Past]:
    answers = Answers(inference)
    statements = state_all(answers)
    return statements, past_of(answers, statements)


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
@pytest.mark.parametrize("seed", range(1, 1 + TIMES))
def test_answers_and_words_are_those_of_each_by_itself(shape: Shape, seed: int) -> None:
    """No outside source: the inference and the statements against themselves without the shortcut."""
    collection = generate(shape, seed).collection
    together, apart = infer(collection), each_by_itself(collection)
    assert len(together.like) > len(collection.animals) // 20
    assert not together.conflicts
    assert answers(together) == answers(apart)
    (statements, past), (expected, expected_past) = told(together), told(apart)
    assert statements.animals == expected.animals
    assert statements.clutches == expected.clutches
    assert past == expected_past


@pytest.mark.parametrize("kind", ALL_KINDS)
def test_answers_to_small_cases_of_every_kind(kind: str) -> None:
    found = 0
    for both in drawn(kind, range(5000, 5000 + 16 * TIMES), 9, 2):
        collection = both.inference.collection
        if both.inference.like and not both.inference.conflicts:
            found += 1
            assert (both.name, answers(both.inference)) == (both.name, answers(each_by_itself(collection)))
    assert found


def pair() -> tuple[Collection, Animal, Animal]:
    """A collection, and two of one clutch that are alike."""
    collection = generate(Shape(animals=60, loci=4, kinds="rrx"), 1).collection
    like, first = next(iter(infer(collection).like.items()))
    return collection, collection.animals[like], collection.animals[first]


def with_change(collection: Collection, *animals: Animal) -> Collection:
    return replace(collection, animals={**collection.animals, **{animal.id: animal for animal in animals}})


def a_test(animal: Animal) -> Animal:
    return replace(animal, tests=(LabTest("r0", "R0", 0, When.day(date(2019, 1, 1)), HERE),))


def a_claim(animal: Animal) -> Animal:
    return replace(animal, claims=(Claim("r0", "R0", Fraction(1, 2), HERE),))


def another_look(animal: Animal) -> Animal:
    return replace(animal, readings=(replace(animal.readings[0], without=("R0",)),))


def a_later_look(animal: Animal) -> Animal:
    return replace(animal, readings=(replace(animal.readings[0], on=When.day(date(2030, 1, 1))),))


def two_looks(animal: Animal) -> Animal:
    return replace(animal, readings=animal.readings * 2)


def another_sex(animal: Animal) -> Animal:
    return replace(animal, sex="male" if animal.sex == "female" else "female")


@pytest.mark.parametrize("change", [a_test, a_claim, another_look, a_later_look, two_looks, another_sex])
def test_what_bears_on_an_animal_sets_it_apart(change: Callable[[Animal], Animal]) -> None:
    collection, like, first = pair()
    assert infer(with_change(collection, change(like))).like.get(like.id) != first.id


def test_two_that_were_looked_at_later_are_told_apart_by_when() -> None:
    """Each look is an event of its own, one after the other, even on one day."""
    collection, like, first = pair()
    later = with_change(collection, a_later_look(like), a_later_look(first))
    assert infer(later).like.get(like.id) != first.id
    assert answers(infer(later)) == answers(each_by_itself(later))


def test_twins_and_parents_are_set_apart() -> None:
    collection, like, first = pair()
    other = next(one for one in collection.animals.values() if one.founder)
    assert like.id not in infer(with_change(collection, replace(like, egg=first.id))).like
    assert like.id not in infer(with_change(collection, replace(other, dam=like.id))).like


def test_what_does_not_bear_on_its_genes_does_not() -> None:
    """Its name, its price, where it is; and its sex, unless a locus in play is sex-linked."""
    collection, like, first = pair()
    sold = replace(like, name="Moth", price="100", status="sold", readings=(replace(like.readings[0], place=HERE),))
    assert infer(with_change(collection, sold)).like[like.id] == first.id
    plain = generate(Shape(animals=60, loci=4, kinds="rri"), 1).collection
    assert any(plain.animals[one].sex != plain.animals[other].sex for one, other in infer(plain).like.items())
