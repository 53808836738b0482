"""One network for a span of time, or one for each moment: the same figures, as fractions.

Collections here are too small to need more than one span, so the price of a second one is set to nothing: that gives every moment the
most networks there can be, to hold against the single one.
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from msgspec.structs import replace
from tests.bench.generating import Shape, generate
from tests.exact.both_ways import BothWays, enumerated, shares
from tests.oracle import claims_in_doubt
from tests.oracle.as_collection import as_collection
from tests.oracle.case import Animal, Case, Claim, Clutch, LabTest, Locus, Look, Reading
from tests.oracle.enumerate_genotypes import Enumeration

from clutchlight.genetics import history
from clutchlight.genetics.inference import infer
from clutchlight.genetics.tree import LIMIT
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


def told(collection: Collection, limit: int = LIMIT) -> Told:
    inference = infer(collection, limit)
    return {
        (ident, locus.key): (
            inference.history(ident, locus.key),
            inference.when_hatched(ident, locus.key),
            inference.before_hatching(ident, locus.key),
        )
        for ident, animal in collection.animals.items()
        for locus in inference.loci_in_play(animal.species)
    }


def one_a_moment(monkeypatch: pytest.MonkeyPatch, price: int = 0) -> None:
    """Has a span parted wherever going through it costs more than this: where it is nothing, into its moments."""
    monkeypatch.setattr(history, "SPLIT", price)
    monkeypatch.setattr(history, "FILL", 0)


@pytest.mark.parametrize("name", SHAPES)
def test_spans_change_no_figure(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    collection = generate(SHAPES[name], seed=1).collection
    networks = {}
    found = {}
    for price in (0, 1 << 40):
        one_a_moment(monkeypatch, price)
        found[price] = told(collection)
        inference = infer(collection)
        networks[price] = len(inference.figures_of(next(iter(collection.animals))).history.spans)
    assert found[0] == found[1 << 40]
    assert networks[1 << 40] == 1 < networks[0]


def test_a_span_whose_tables_are_too_wide_is_parted() -> None:
    """One network would need a table of 16 entries; those of its parts need 8, and tell the same."""
    collection = generate(SHAPES["incomplete clutches"], seed=1).collection
    whole, parted = (
        infer(collection, limit).figures_of(next(iter(collection.animals))).history for limit in (LIMIT, 8)
    )
    assert [max(tree.plan.widest for tree in network.trees) for _, network in whole.spans] == [16]
    assert not any(network.too_wide for _, network in parted.spans)
    assert told(collection, 8) == told(collection)


def test_a_sure_test_counts_from_its_day_though_the_look_comes_in_a_later_span(monkeypatch: pytest.MonkeyPatch) -> None:
    """Until it was looked at, a founder tested for a trait had it unrecorded; a span that ends before the look does not know it."""
    one_a_moment(monkeypatch)
    locus = Locus("plain", "dominant", ("Cone",))
    tested, looked = date(2010, 1, 1), date(2015, 1, 1)
    rows = (Reading(Look(("Cone",)), looked), Reading(Look(("Cone",)), date(2016, 1, 1)))
    case = Case((locus,), (Animal("A", "male", rows, tests=(LabTest("Cone", 1, tested),)),))
    inference = infer(as_collection(case))
    for day in (date(2009, 1, 1), tested, looked):
        assert shares(locus, inference.at("A", "plain", day)) == enumerated(
            Enumeration(case, day).genotypes("A", "plain")
        )


def test_what_a_third_reading_leaves_open_again_is_open_in_its_span(monkeypatch: pytest.MonkeyPatch) -> None:
    """Read as normal, once more as normal, and then as one that cannot be told: it may be visual, as its normal young leaves open."""
    one_a_moment(monkeypatch)
    locus = Locus("plain", "recessive", ("Cone",))
    normal, unsure = Look(()), Look((), cannot_tell=("Cone",))
    het = (Claim("Cone", Fraction(1)),)
    days = (date(2020, 7, 1), date(2023, 7, 1), date(2023, 8, 1), date(2023, 9, 1))
    readings = (Reading(normal), Reading(normal, days[2]), Reading(unsure, days[3]))
    animals = (
        Animal("S", "male", (Reading(normal),), het),
        Animal("D", "female", (Reading(normal),), het),
        Animal("M", "female", (Reading(normal),)),
        Animal("Y", "male", readings, clutch="C"),
        Animal("Z", None, (Reading(normal),), clutch="K"),
    )
    clutches = (Clutch("C", (("S", Fraction(1)),), "D", days[0]), Clutch("K", (("Y", Fraction(1)),), "M", days[1]))
    case = Case((locus,), animals, clutches)
    inference = infer(as_collection(case))
    for day in days:
        found = shares(locus, inference.at("Y", "plain", day))
        assert found == enumerated(Enumeration(case, day).genotypes("Y", "plain"))
    assert found["Cone", "Cone"] == Fraction(1, 4)


def test_twins_read_on_one_day_are_one_mate_of_a_claimed_founder(monkeypatch: pytest.MonkeyPatch) -> None:
    """While her claim is tried among those alone who bear on it, such a mate is without its parents, as a founder is."""
    one_a_moment(monkeypatch)
    locus = Locus("plain", "recessive", ("Cone",))
    normal, unsure = (Reading(Look(())),), (Reading(Look((), cannot_tell=("Cone",))),)
    founders = (
        Animal("F", "female", normal, (Claim("Cone", Fraction(1)),)),
        Animal("M", "male", (Reading(Look(("Cone",))),)),
        Animal("S", "male", normal),
        Animal("D", "female", normal),
    )
    twins = (Animal("T", "male", normal, clutch="G"), Animal("U", "male", unsure, clutch="G", same_egg_as="T"))
    sires = (("G", "S"), *((f"C{year}", "M") for year in range(3)), ("K", "T"))
    clutches = tuple(
        Clutch(name, ((sire, Fraction(1)),), "D" if name == "G" else "F", date(2000 + year, 7, 1))
        for year, (name, sire) in enumerate(sires)
    )
    young = (Animal(f"Y{clutch.id}", None, normal, clutch=clutch.id) for clutch in clutches[1:])
    case = Case((locus,), (*founders, *twins, *young), clutches)
    both = BothWays("twins", case)
    for name in ("F", "YK"):
        assert both.now(name, locus) == enumerated(both.enumeration.genotypes(name, "plain"))
    assert both.now("F", locus)["", "Cone"] == Fraction(99, 107)


@pytest.mark.parametrize("count", [0, 10])
def test_while_a_claim_and_a_sure_test_contradict_each_other_nothing_is_told_of_relatives(count: int) -> None:
    """At that locus, from the day of the test until the claim is withdrawn; of strangers all the while. Then all is told again.

    So it is where young had put the claim in doubt before.
    """
    locus = Locus("plain", "recessive", ("Cone",))
    normal, tested, withdrawn = (Reading(Look(())),), date(2010, 1, 1), date(2015, 1, 1)
    claims = (Claim("Cone", Fraction(1), withdrawn=withdrawn),)
    other = Animal("B", "female", normal, (Claim("Cone", Fraction(1, 2)),))
    mate = Animal("F", "female", (Reading(Look(("Cone",))),))
    young = tuple(Animal(f"Y{at}", None, normal, clutch="C") for at in range(count))
    clutches = (Clutch("C", (("A", Fraction(1)),), "F", date(2005, 7, 1)),) if young else ()
    animals = (Animal("A", "male", normal, claims, (LabTest("Cone", 0, tested),)), other, mate, *young)
    case = Case((locus,), animals, clutches)
    inference = infer(as_collection(case))
    for day, conflict in ((date(2009, 1, 1), False), (tested, True), (date(2014, 12, 31), True), (withdrawn, False)):
        then = Enumeration(case, day)
        assert then.conflict is conflict
        found = inference.at("A", "plain", day)
        assert isinstance(found, NotComputed) is conflict
        assert conflict or shares(locus, found) == enumerated(then.genotypes("A", "plain"))
        alone = Enumeration(replace(case, animals=(other,), clutches=()), day)
        assert shares(locus, inference.at("B", "plain", day)) == enumerated(alone.genotypes("B", "plain"))


def test_a_claim_that_comes_into_doubt_leaves_more_possible_than_before(monkeypatch: pytest.MonkeyPatch) -> None:
    """One of four males claimed to have two copies of Aone has not, or another one carries Bone unrecorded: believed is the latter
    until young of K put one claim in doubt. By the end nothing needs an unrecorded carrier; on the days before something did."""
    monkeypatch.setattr(claims_in_doubt, "BELIEVED", Fraction(7, 10))
    loci = (Locus("a", "dominant", ("Aone",)), Locus("b", "recessive", ("Bone",)))
    said = (Claim("Aone", two_copies=Fraction(1)), Claim("Bone", Fraction(1)))
    shown, normal, bone = ((Reading(Look(one)),) for one in (("Aone",), (), ("Bone",)))
    animals = (
        *(Animal(f"M{at}", "male", shown, said) for at in range(4)),
        Animal("T", "male", normal),
        Animal("S", "male", shown),
        Animal("D", "female", bone),
        Animal("E", "female", normal),
        Animal("Y", None, bone, clutch="C"),
        Animal("Z", None, normal, clutch="K"),
    )
    days = (date(2010, 7, 1), date(2012, 7, 1))
    clutches = (
        Clutch("C", tuple((name, Fraction(1, 5)) for name in ("M0", "M1", "M2", "M3", "T")), "D", days[0]),
        Clutch("K", (("M0", Fraction(1, 2)), ("S", Fraction(1, 2))), "E", days[1]),
    )
    case = Case(loci, animals, clutches)
    collection = as_collection(case)
    inference = infer(replace(collection, settings=replace(collection.settings, doubt_below=Fraction(3, 10))))
    surprises = []
    for day in days:
        then = Enumeration(case, day)
        surprises.append(then.surprise)
        for name in ("M0", "M1", "T", "S", "Y"):
            for locus in loci:
                found = shares(locus, inference.at(name, locus.name, day))
                assert (day, name, found) == (day, name, enumerated(then.genotypes(name, locus.name)))
    assert surprises == [1, 0]
