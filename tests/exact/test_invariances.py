"""What must not change a figure, and what must hold of every figure, on random cases of every kind.

Set CLUTCHLIGHT_LONG=20 in the environment to draw twenty times as many.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from random import Random

import pytest
from msgspec.structs import replace
from tests.exact.both_ways import ALL_KINDS, BothWays, drawn
from tests.exact.changed_cases import contradicting, one_clutch_each, other_names, other_order, saying_nothing
from tests.oracle.as_collection import as_collection
from tests.oracle.case import Case
from tests.oracle.random_cases import EVERYTHING, random_case

from clutchlight.genetics import tree
from clutchlight.genetics.inference import Inference, infer
from clutchlight.genetics.values import Figure, NotComputed
from clutchlight.model import Collection, Genotype, Recorded

TIMES = int(os.environ.get("CLUTCHLIGHT_LONG", "1"))
every_kind = pytest.mark.parametrize("kind", ALL_KINDS, scope="module")

Answers = dict[tuple[str, str], tuple[Figure | NotComputed, Figure | NotComputed]]


@lru_cache(maxsize=2)
def without_conflict(kind: str) -> tuple[BothWays, ...]:
    found = drawn(kind, range(1000, 1000 + 7 * TIMES), 9, 2)
    return tuple(both for both in found if not both.inference.conflicts and not not_computed(both.inference))


def not_computed(inference: Inference) -> bool:
    return any(isinstance(figure, NotComputed) for pair in answers(inference).values() for figure in pair)


def answers(inference: Inference, new: Mapping[str, str] | None = None) -> Answers:
    """Both figures of every animal at every locus in play; `new`: only these animals, under their old names."""
    names = {ident: ident for ident in inference.collection.animals} if new is None else new
    return {
        (old, locus.key): (inference.now(ident, locus.key), inference.when_hatched(ident, locus.key))
        for old, ident in names.items()
        for locus in inference.loci_in_play(inference.collection.animals[ident].species)
    }


def told(inference: Inference) -> Sequence[tuple[str, tuple[Fraction, ...], int]]:
    """The surprises without names."""
    found = (
        (one.locus, tuple(sorted(chance for _, chance in one.founders)), len(one.moved)) for one in inference.surprises
    )
    return sorted(found)


@every_kind
def test_names_change_nothing(kind: str) -> None:
    """Animals and clutches by other names, which sort the other way round, have the same figures."""
    for both in without_conflict(kind):
        renamed, new = other_names(both.case)
        inference = infer(as_collection(renamed))
        in_place = {ident: ident for ident in both.inference.collection.animals if ident not in new}
        old_names = {old: new[old] for old in both.inference.collection.animals if old not in in_place}
        expected = {key: value for key, value in answers(both.inference).items() if key[0] in old_names}
        assert (both.name, answers(inference, old_names)) == (both.name, expected)
        assert told(inference) == told(both.inference)


@every_kind
def test_the_order_of_records_changes_nothing(kind: str) -> None:
    """Animals, clutches, hatchlings, candidates, claims, tests and loci may be written in any order."""
    for number, both in enumerate(without_conflict(kind)):
        shuffled = infer(other_order(both.inference.collection, Random(number)))
        assert (both.name, answers(shuffled)) == (both.name, answers(both.inference))
        assert sorted(told(shuffled)) == sorted(told(both.inference))


@every_kind
def test_records_that_say_nothing_change_nothing(kind: str) -> None:
    """Unseen animals and eggs, a clutch with an unseen mate, and looks that could not be told move no figure."""
    for both in without_conflict(kind):
        more = infer(as_collection(saying_nothing(both.case)))
        own = {ident: ident for ident in both.inference.collection.animals}
        assert (both.name, answers(more, own)) == (both.name, answers(both.inference))


@every_kind
def test_what_contradicts_itself_elsewhere_changes_no_figure_of_any_day(kind: str) -> None:
    """A stranger's claim, denied by a test and withdrawn later, keeps back no figure of those who are not related to it."""
    for both in without_conflict(kind)[:12]:
        if days := days_of(both.inference):
            more = infer(as_collection(contradicting(both.case, days[0], days[-1] + timedelta(days=1))))
            assert isinstance(more.at("X-5", both.case.loci[0].name, days[-1]), NotComputed)
            for day in days:
                for animal in living(both.case, day):
                    for locus in both.case.loci:
                        own, there = (one.at(animal, locus.name, day) for one in (both.inference, more))
                        assert (both.name, day, animal, there) == (both.name, day, animal, own)


@every_kind
def test_a_family_may_be_told_in_parts(kind: str) -> None:
    """All hatchlings of a pair at once, or each as a clutch of its own: the same figures."""
    for both in without_conflict(kind):
        parts = infer(as_collection(one_clutch_each(both.case)))
        assert (both.name, answers(parts)) == (both.name, answers(both.inference))


@every_kind
def test_the_figures_at_a_day_are_those_of_the_records_up_to_it(kind: str) -> None:
    """Asked of the whole history or computed from scratch with the later records left out: the same, exactly.

    Where a look that was read again did not fit at the time: the same as from the records of its relatives alone.
    """
    for both in without_conflict(kind)[:12]:
        for day in days_of(both.inference):
            whole = replace(both.inference.collection, until=day)
            scratch = infer(whole)
            for animal in living(both.case, day):
                own = infer(relatives_alone(whole, animal)) if scratch.conflicts else scratch
                misfit = {conflict.locus for conflict in own.conflicts}
                for locus in both.case.loci:
                    then = both.inference.at(animal, locus.name, day)
                    if locus.name in misfit:
                        assert isinstance(then, NotComputed)
                    elif not misfit:
                        expected = own.now(animal, locus.name)
                        assert (both.name, day, animal, then) == (both.name, day, animal, expected)


@every_kind
def test_a_history_leaves_out_no_change(kind: str) -> None:
    """On every day of an animal's life, the last row of its history up to that day is its figure on that day."""
    for both in without_conflict(kind):
        for day in days_of(both.inference):
            for animal in living(both.case, day):
                for locus in both.case.loci:
                    rows = both.inference.history(animal, locus.name)
                    last = [figure for event, figure in rows if event is None or event.on <= day][-1]
                    assert (both.name, day, last) == (both.name, day, both.inference.at(animal, locus.name, day))


def relatives_alone(collection: Collection, animal: str) -> Collection:
    """The records of an animal and of all that are related to it, by blood or through young."""
    kin: set[str] = {animal}
    families = [
        {clutch.dam, *clutch.young, *(sire.id for sire, _ in clutch.sires.candidates if isinstance(sire, Recorded))}
        for clutch in collection.clutches.values()
    ]
    families += [{name, *collection.parents_of(name)} for name in collection.animals]
    families += [set(twins) for twins in collection.eggs.values()]
    while more := set().union(*(family for family in families if family & kin)) - kin:
        kin |= more
    return replace(
        collection,
        animals={name: one for name, one in collection.animals.items() if name in kin},
        clutches={name: one for name, one in collection.clutches.items() if one.dam in kin},
    )


def days_of(inference: Inference) -> list[date]:
    """The days on which something happened, and the one before all."""
    days = sorted({event.on for event in inference.events})
    return [days[0] - timedelta(days=1), *days] if days else []


def living(case: Case, day: date) -> list[str]:
    hatched = {clutch.id: clutch.hatched for clutch in case.clutches}
    return [animal.id for animal in case.animals if (hatched.get(animal.clutch or "") or animal.hatched or day) <= day]


@every_kind
def test_a_history_ends_with_the_figure_now(kind: str) -> None:
    """It begins at hatching (a founder's at the beginning), names an event for each change, and ends with the present figure."""
    for both in without_conflict(kind):
        for animal in both.case.animals:
            for locus in both.case.loci:
                rows = both.inference.history(animal.id, locus.name)
                assert (both.name, rows[-1][1]) == (both.name, both.inference.now(animal.id, locus.name))
                assert all(one[1] != other[1] for one, other in pairwise(rows))
                events = [event for event, _ in rows[1:]]
                assert all(event is not None for event in events)
                assert sorted(event for event in events if event) == events


@every_kind
def test_chances_sum_to_one(kind: str) -> None:
    """Exactly, for figures now, when hatched and joint; none is 0 or less; every genotype can live."""
    for both in without_conflict(kind):
        for (animal, locus), pair in answers(both.inference).items():
            living = both.inference.collection.locus(animal, locus).genotypes
            for figure in pair:
                assert isinstance(figure, Figure)
                assert sum((chance for _, chance in figure.genotypes), Fraction(0)) == 1
                assert all(chance > 0 for _, chance in figure.genotypes)
                assert {genotype for genotype, _ in figure.genotypes} <= set(living)
        for animal in both.inference.collection.animals:
            assert sum(both.joint(animal).values(), Fraction(0)) == 1


@every_kind
def test_forced_implies_certain(kind: str) -> None:
    """What the evidence forces has chance 1, whatever was claimed; and it stays forced."""
    for both in without_conflict(kind):
        for animal in both.inference.collection.animals.values():
            figures = both.inference.figures_of(animal.id)
            for locus in both.inference.loci_in_play(animal.species):
                place = figures.place(animal.id, locus.key)
                assert place is not None
                for number in range(1, len(locus.alleles) + 1):
                    if figures.certainty.forced_since(*place, number) is not None:
                        now = both.inference.now(animal.id, locus.key)
                        assert isinstance(now, Figure)
                        assert (both.name, now.carries(number)) == (both.name, Fraction(1))


def _by_number(variable: int, graph: tree.Graph, sizes: Sequence[int]) -> int:
    return variable


def _backwards(variable: int, graph: tree.Graph, sizes: Sequence[int]) -> int:
    return -variable


def test_the_order_of_elimination_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Plans made by other rules than the greedy ones give the same figures, though they cost more."""
    cases = [random_case(Random(seed), replace(EVERYTHING, animals=10)) for seed in range(100, 100 + 6 * TIMES)]
    collections = [as_collection(case) for case in cases]
    expected = [now_of(collection) for collection in collections]
    for cost in (_by_number, _backwards):
        monkeypatch.setattr(tree, "_new_entries", cost)
        monkeypatch.setattr(tree, "_new_pairs", cost)
        assert (cost.__name__, [now_of(collection) for collection in collections]) == (cost.__name__, expected)


def now_of(collection: Collection) -> dict[tuple[str, str], Figure | NotComputed] | None:
    inference = infer(collection, limit=2**30)
    if inference.conflicts:
        return None
    return {key: pair[0] for key, pair in answers(inference).items()}


def test_the_joint_figure_gives_back_its_parts() -> None:
    """Any animals at any loci: summing the others out of a joint figure leaves the single ones, in whatever order they were asked."""
    for both in drawn("everything", range(2000, 2000 + 12 * TIMES), 7, 2):
        if both.inference.conflicts or not_computed(both.inference):
            continue
        questions = [(animal.id, locus.name) for animal in both.case.animals[-2:] for locus in both.case.loci]
        joint, turned = both.inference.joint(questions), both.inference.joint(questions[::-1])
        assert not isinstance(joint, NotComputed)
        assert not isinstance(turned, NotComputed)
        assert {pairs[::-1]: chance for pairs, chance in turned.outcomes} == dict(joint.outcomes)
        for position, (animal, locus) in enumerate(questions):
            sums: dict[Genotype, Fraction] = {}
            for pairs, chance in joint.outcomes:
                sums[pairs[position]] = sums.get(pairs[position], Fraction(0)) + chance
            assert (both.name, Figure(tuple(sorted(sums.items())))) == (both.name, both.inference.now(animal, locus))
