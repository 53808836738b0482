"""What hangs on a record, against the enumeration of the same case without it."""

from __future__ import annotations

import os
from fractions import Fraction
from random import Random

import pytest
from msgspec.structs import replace
from tests.exact.both_ways import features_of
from tests.oracle.as_collection import as_collection
from tests.oracle.case import NONE, UNKNOWN, Animal, Case
from tests.oracle.enumerate_genotypes import Enumeration
from tests.oracle.random_cases import random_case

from clutchlight.genetics.inference import infer
from clutchlight.planning.doubt import Doubted, LeftOut, doubts
from clutchlight.wording.words import percent_text

TIMES = int(os.environ.get("CLUTCHLIGHT_LONG", "1"))


def without(case: Case) -> list[tuple[tuple[str, str, int], Case]]:
    """Each record by (kind, of whom, which), with the case that lacks it."""
    found: list[tuple[tuple[str, str, int], Case]] = []
    for place, animal in enumerate(case.animals):

        def changed(other: Animal, place: int = place) -> Case:
            return replace(case, animals=(*case.animals[:place], other, *case.animals[place + 1 :]))

        for at, claim in enumerate(animal.claims):
            if not claim.withdrawn:
                rest = (*animal.claims[:at], *animal.claims[at + 1 :])
                found.append((("claim", animal.id, at), changed(replace(animal, claims=rest))))
        for at in range(len(animal.tests)):
            rest_of = (*animal.tests[:at], *animal.tests[at + 1 :])
            found.append((("test", animal.id, at), changed(replace(animal, tests=rest_of))))
        if animal.readings:
            found.append((("look", animal.id, 0), changed(replace(animal, readings=()))))
    for place, clutch in enumerate(case.clutches):
        if clutch.sires != ((UNKNOWN, Fraction(1)),) and any(name != NONE for name, _ in clutch.sires):
            other = replace(clutch, sires=((UNKNOWN, Fraction(1)),), mixed=False)
            clutches = (*case.clutches[:place], other, *case.clutches[place + 1 :])
            found.append((("sire", clutch.id, 0), replace(case, clutches=clutches)))
    return found


@pytest.mark.parametrize(
    "kind", ["basic", "mistakes", "claims", "fallible tests", "one of several sires", "mixed sires", "sex-linked XY"]
)
def test_a_record_left_out(kind: str) -> None:
    """Just the figures that the enumeration without the record prints otherwise, with its very chances."""
    moved = still = 0
    features = replace(features_of(kind), animals=5, loci=2)
    for seed in (*range(3100, 3100 + 6 * TIMES), 3115):  # the last: a look that a fallible test is read by
        case = random_case(Random(seed), features)
        whole = Enumeration(case)
        if whole.conflict:
            continue
        inference = infer(as_collection(case))
        if not inference.loci_in_play("snake"):
            continue
        found: dict[tuple[str, str, int], Doubted] = {}
        for one in doubts(inference):
            found[one.record.kind, one.record.subject, one.record.number] = one
        for mate in inference.like:
            for one in doubts(inference, mate):
                found[one.record.kind, mate, one.record.number] = one
        for key, rest in without(case):
            less = Enumeration(rest)
            printed = {
                (animal.id, allele): (before, after)
                for animal in case.animals
                for locus in case.loci
                for allele in locus.alleles
                if (before := whole.carries(animal.id, locus.name, allele)) is not None
                and (after := less.carries(animal.id, locus.name, allele)) is not None
                and percent_text(before) != percent_text(after)
            }
            doubted = found.get(key)
            told = {
                (one.animal, one.trait): (one.before, one.after)
                for one in (doubted.moved if doubted else ())
                if percent_text(one.before) != percent_text(one.after)
            }
            assert (seed, key, told) == (seed, key, printed)
            moved, still = moved + len(printed), still + (not printed)
    assert moved > 20
    assert still > 3


def test_a_record_is_named_by_its_kind_and_place() -> None:
    """Two claims of one founder are two records."""
    case = random_case(Random(3100), replace(features_of("claims"), animals=5, loci=2))
    records = [one.record for one in doubts(infer(as_collection(case)))]
    assert len({(one.kind, one.subject, one.number) for one in records}) == len(records)
    assert all(isinstance(one, LeftOut) for one in records)
