"""One network for a span of time, or one for each moment: the same figures, as fractions.

Collections here are too small to need more than one span, so the price of a second one is set to nothing: that gives every moment the
most networks there can be, to hold against the single one.
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from tests.bench.generating import Shape, generate
from tests.exact.both_ways import enumerated, shares
from tests.oracle.as_collection import as_collection
from tests.oracle.case import Animal, Case, LabTest, Locus, Look, Reading
from tests.oracle.enumerate_genotypes import Enumeration

from clutchlight.genetics import history
from clutchlight.genetics.inference import infer
from clutchlight.genetics.values import Event, Figure, NotComputed
from clutchlight.model import Collection

Told = dict[tuple[str, str], tuple[tuple[tuple[Event | None, Figure | NotComputed], ...], object, object]]

SHAPES = {
    "one of two sires": Shape(animals=70, loci=3, in_doubt=0.5, kinds="rri"),
    "each egg of two sires": Shape(animals=60, loci=2, mixed=0.5, kinds="ra"),
    "sex-linked, unsexed": Shape(animals=60, loci=3, in_doubt=0.3, unsexed=0.5, kinds="rxx"),
    "incomplete clutches": Shape(animals=70, loci=2, in_doubt=0.4, incomplete=0.5, kinds="rr"),
    "tests that can be wrong": Shape(animals=70, loci=2, in_doubt=0.4, tested=0.3, error=Fraction(1, 50), kinds="rr"),
    "backgrounds": Shape(animals=60, loci=2, in_doubt=0.4, background=Fraction(1, 50), kinds="rr"),
    "sires on record": Shape(animals=80, loci=3, kinds="ria"),
}


def told(collection: Collection) -> Told:
    inference = infer(collection)
    return {
        (ident, locus.key): (
            inference.history(ident, locus.key),
            inference.when_hatched(ident, locus.key),
            inference.before_hatching(ident, locus.key),
        )
        for ident, animal in collection.animals.items()
        for locus in inference.loci_in_play(animal.species)
    }


@pytest.mark.parametrize("name", SHAPES)
def test_spans_change_no_figure(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    collection = generate(SHAPES[name], seed=1).collection
    networks = {}
    found = {}
    for price in (0, 1 << 40):
        monkeypatch.setattr(history, "SPLIT", price)
        found[price] = told(collection)
        inference = infer(collection)
        networks[price] = len(inference.figures_of(next(iter(collection.animals))).history.spans)
    assert found[0] == found[1 << 40]
    assert networks[1 << 40] == 1 < networks[0]


def test_a_sure_test_counts_from_its_day_though_the_look_comes_in_a_later_span(monkeypatch: pytest.MonkeyPatch) -> None:
    """Until it was looked at, a founder tested for a trait had it unrecorded; a span that ends before the look does not know it."""
    monkeypatch.setattr(history, "SPLIT", 0)
    locus = Locus("plain", "dominant", ("Cone",))
    tested, looked = date(2010, 1, 1), date(2015, 1, 1)
    rows = (Reading(Look(("Cone",)), looked), Reading(Look(("Cone",)), date(2016, 1, 1)))
    case = Case((locus,), (Animal("A", "male", rows, tests=(LabTest("Cone", 1, tested),)),))
    inference = infer(as_collection(case))
    for day in (date(2009, 1, 1), tested, looked):
        assert shares(locus, inference.at("A", "plain", day)) == enumerated(
            Enumeration(case, day).genotypes("A", "plain")
        )
