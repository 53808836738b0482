"""What is certain only if no other male sired a clutch, against the enumeration of the same records with that male let in."""

from __future__ import annotations

import os
from datetime import date
from fractions import Fraction
from random import Random

import pytest
from msgspec.structs import replace
from tests.exact.both_ways import features_of
from tests.oracle.as_collection import as_collection
from tests.oracle.case import Animal, Case, Clutch, LabTest, Locus, Look, Reading
from tests.oracle.enumerate_genotypes import Enumeration
from tests.oracle.random_cases import random_case

from clutchlight.genetics.certainty import Certainty, Others, letting_in as let_in
from clutchlight.genetics.inference import infer
from clutchlight.genetics.possible import WipedOutError
from clutchlight.genetics.values import Figure, OtherSire
from clutchlight.genetics.world import World

TIMES = int(os.environ.get("CLUTCHLIGHT_LONG", "1"))


def with_others(case: Case, rng: Random) -> tuple[Case, dict[str, dict[str, OtherSire]]]:
    """The case with another male for one or two clutches: one on record, or a new one, of whom nothing is known."""
    stranger = Animal("X", "male")
    case = replace(case, animals=(*case.animals, stranger))
    above = {one.id: _ancestors(case, one.id) for one in case.animals}
    males = [one.id for one in case.animals if one.sex == "male"]
    others: dict[str, dict[str, OtherSire]] = {}
    for clutch in sorted(case.clutches, key=lambda one: one.id)[:2]:
        young = {one.id for one in case.animals if one.clutch == clutch.id}
        free = [
            male
            for male in males
            if male not in {name for name, _ in clutch.sires} and male not in young and not above[male] & young
        ]
        if free and not (others and rng.random() < 0.5):
            male = rng.choice(free)
            others[clutch.id] = {male: OtherSire(clutch.id, male)}
            break
    return case, others


def _ancestors(case: Case, name: str) -> set[str]:
    animals, clutches = {one.id: one for one in case.animals}, {one.id: one for one in case.clutches}
    found: set[str] = set()
    waiting = [name]
    while waiting:
        animal = animals.get(waiting.pop())
        if animal is None:
            continue
        clutch = clutches.get(animal.clutch or "")
        parents = [*(sire for sire, _ in clutch.sires), clutch.dam] if clutch else [animal.sire, animal.dam]
        for parent in parents:
            if isinstance(parent, str) and parent not in found:
                found.add(parent)
                waiting.append(parent)
    return found


def letting_in(case: Case, others: Others) -> Case:
    """Each egg by any of the sires on record or by another male."""
    return replace(case, clutches=tuple(_let_in(clutch, others.get(clutch.id, {})) for clutch in case.clutches))


def _let_in(clutch: Clutch, males: object) -> Clutch:
    names = [*(name for name, _ in clutch.sires), *(males if isinstance(males, dict) else ())]
    if len(names) == len(clutch.sires):
        return clutch
    return replace(clutch, mixed=True, sires=tuple((name, Fraction(1, len(names))) for name in names))


@pytest.mark.parametrize("kind", ["basic", "tests", "mistakes", "one of several sires", "mixed sires", "sex-linked XY"])
def test_what_is_forced_with_other_males_let_in(kind: str) -> None:
    """A proof or a parentage has no condition just when every possible genotype has the allele with the other male let in too.

    An allele, or two copies of it, is ruled out just when none has it.
    """
    stands = undone = excluded = open_ = doubled = 0
    features = replace(features_of(kind), animals=6, loci=1)
    for seed in range(2200, 2200 + 30 * TIMES):
        rng = Random(seed)
        case, others = with_others(random_case(rng, features), rng)
        if not others or (alone := Enumeration(case)).conflict:
            continue
        inference = infer(as_collection(case), others=others)
        every = Enumeration(letting_in(case, others))
        for animal in case.animals:
            for locus in case.loci if inference.loci_in_play("snake") else ():
                for number, allele in enumerate(locus.alleles, 1):
                    if inference.grounds(animal.id, locus.name, number).kind in ("parentage", "proven", "test"):
                        held = every.forced(animal.id, locus.name, allele)
                        found = inference.other_sires(animal.id, locus.name, number)
                        assert (seed, animal.id, allele, not found) == (seed, animal.id, allele, held)
                        stands, undone = stands + held, undone + (not held)
                    possible = every.possible(animal.id, locus.name)
                    recorded = alone.possible(animal.id, locus.name)
                    if (now := inference.now(animal.id, locus.name)) and isinstance(now, Figure):
                        double = now.copies(number)[2] == 1
                        by = inference.two_copies_by(animal.id, locus.name, number) if double else ""
                        if by in ("look", "proven"):
                            held = all(pair == (allele, allele) for pair in possible)
                            found = inference.other_sires(animal.id, locus.name, number, two=True)
                            assert (seed, animal.id, allele, not found) == (seed, animal.id, allele, held)
                            doubled += held
                    for two in (False, True):
                        left, before = (
                            any(pair.count(allele) > two for pair in pairs) for pairs in (possible, recorded)
                        )
                        ruled_out = inference.ruled_out(animal.id, locus.name, number, two=two)
                        assert (seed, animal.id, allele, two, ruled_out) == (seed, animal.id, allele, two, not left)
                        excluded, open_ = excluded + ruled_out, open_ + (left and not before)
    assert stands > 3
    assert undone > 0
    assert min(excluded, open_, doubled) > 0


def test_records_with_another_male_alone_as_the_sire_need_so_many_copies_fewer() -> None:
    """The copies that the enumeration counts with him in the place of the sires on record."""
    asked = 0
    features = replace(features_of("mistakes"), animals=6, loci=1)
    for seed in range(2600, 2600 + 30 * TIMES):
        rng = Random(seed)
        case, others = with_others(random_case(rng, features), rng)
        recorded = Enumeration(case)
        if recorded.conflict:
            continue
        inference = infer(as_collection(case), others=others)
        for name, males in others.items():
            for male in males:
                clutches = tuple(
                    replace(one, sires=((male, Fraction(1)),), mixed=False) if one.id == name else one
                    for one in case.clutches
                )
                his = Enumeration(replace(case, clutches=clutches))
                spared = None if his.conflict else recorded.surprise - his.surprise
                assert (seed, inference.copies_spared(name, male)) == (seed, spared)
                assert (seed, inference.may_have_sired_all(name, male)) == (seed, spared is not None)
                asked += 1
    assert asked > 10


def test_a_male_whose_own_clutch_leaves_him_clear_cannot_have_sired_a_visual() -> None:
    """He could if his own clutch were by its other male too; a clutch is asked about with the rest by their sires on record."""
    locus = Locus("plain", "recessive", ("Cone",))
    normal, visual = (Reading(Look(())),), (Reading(Look(("Cone",))),)
    clear = (LabTest("Cone", 0, date(2010, 1, 1)),)
    animals = (
        Animal("S", "male", normal, tests=clear),
        Animal("G", "female", normal, tests=clear),
        Animal("O", "male", visual),
        Animal("M", "male", normal, clutch="B"),
        Animal("R", "male", visual),
        Animal("F", "female", visual),
        Animal("Y", None, visual, clutch="C"),
    )
    clutches = (
        Clutch("B", (("S", Fraction(1)),), "G", date(2015, 7, 1)),
        Clutch("C", (("R", Fraction(1)),), "F", date(2020, 7, 1)),
    )
    inference = infer(
        as_collection(Case((locus,), animals, clutches)),
        others={"B": {"O": OtherSire("B", "O")}, "C": {"M": OtherSire("C", "M")}},
    )
    assert not inference.may_have_sired_all("C", "M")
    assert inference.copies_spared("C", "M") is None
    assert inference.others_may_have_sired("C")


@pytest.mark.parametrize("kind", ["basic", "mixed sires", "sex-linked XY"])
def test_with_one_clutch_open_the_same_is_left_whether_work_began_everywhere_or_near_it(kind: str) -> None:
    """The fixed point does not depend on which families were looked at in vain."""
    compared = wider = 0
    for seed in range(2700, 2700 + 40 * TIMES):
        case = random_case(Random(seed), replace(features_of(kind), animals=12))
        collection = as_collection(case)
        males = [name for name, animal in collection.animals.items() if animal.founder and animal.sex == "male"]
        others: Others = (
            {name: {male: OtherSire(name, male) for male in males} for name in collection.clutches} if males else {}
        )
        if not others or not infer(collection).loci_in_play("snake") or infer(collection).conflicts:
            continue
        world = World.of(let_in(collection, others), "snake")
        every = Certainty(world).domains_now
        closing = {key: every.choices[key] & 1 for key in every.choices if every.choices[key] & 1}
        try:
            none = every.closed(closing)
        except WipedOutError:
            continue
        for family in world.pedigree.families:
            but = {key: kept for key, kept in closing.items() if key[0] != family.number}
            near, everywhere = every.closed(but, none), every.closed(but)
            assert (seed, near.masks, near.choices) == (seed, everywhere.masks, everywhere.choices)
            compared, wider = compared + 1, wider + (near.masks != none.masks)
    assert compared > 20
    assert wider > 0
