"""Unexpected results are told family by family: each names only animals whose records are needed, by the enumeration."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from random import Random

import pytest
from msgspec.structs import replace
from tests.exact.both_ways import BothWays, features_of, founds
from tests.oracle.case import NONE, UNKNOWN, Animal, Case, Claim, Clutch, LabTest, Locus, Look, Reading
from tests.oracle.enumerate_genotypes import Enumeration, on_day
from tests.oracle.random_cases import random_case

from clutchlight.genetics.values import Moved, Surprise

PIED = Locus("piebald", "recessive", ("Piebald",))
NORMAL, VISUAL, UNSEEN = Reading(Look(())), Reading(Look(("Piebald",))), Reading(Look())
ONE = Fraction(1)


def with_mistakes(kind: str, *, alleles: int = 1) -> list[BothWays]:
    """`alleles`: the locus has at least so many."""
    features = replace(features_of(kind), mistakes=True, animals=9, loci=1, in_place=False, triple=alleles > 1)
    cases = (
        (f"{kind}, seed {seed}", random_case(Random(seed), features))
        for seed in range(7000, 7030 if alleles == 1 else 7200)
    )
    found = (BothWays(name, case) for name, case in cases if len(case.loci[0].alleles) >= alleles)
    return [both for both in found if not both.enumeration.conflict]


def forebears(case: Case, animal: str) -> set[str]:
    by_id, clutches = {one.id: one for one in case.animals}, {one.id: one for one in case.clutches}
    found, waiting = set(), [animal]
    while waiting:
        one = by_id[waiting.pop()]
        home = clutches.get(one.clutch or "")
        parents = (*(name for name, _ in home.sires), home.dam) if home else (one.sire, one.dam)
        for parent in parents:
            if isinstance(parent, str) and parent in by_id and parent not in found:
                found.add(parent)
                waiting.append(parent)
    return found


def unseen(case: Case, animals: tuple[str, ...]) -> Case:
    """The case without the looks and tests of these animals."""
    return replace(
        case, animals=tuple(replace(a, readings=(), tests=()) if a.id in animals else a for a in case.animals)
    )


@pytest.mark.parametrize("kind", ["basic", "tests", "one of several sires", "mixed sires"])
def test_an_explanation_names_only_animals_whose_records_are_needed(kind: str) -> None:
    """Founders are forebears of the young; without the looks and tests of the young fewer copies are needed; no two share an animal."""
    told = 0
    for both in with_mistakes(kind):
        surprises: tuple[Surprise, ...] = both.inference.surprises
        assert (both.name, both.told()) == (both.name, both.enumerated_loci())
        named = [name for one in surprises for name in (*dict(one.founders), *one.shown_by)]
        assert (both.name, len(named)) == (both.name, len(set(named)))
        animals = {animal.id for animal in both.case.animals}
        for one in surprises:
            above = {name for young in one.shown_by for name in forebears(both.case, young)}
            assert (both.name, {name for name, _ in one.founders} & animals - above) == (both.name, set())
            alone = [event.on for event in both.inference.events].count(one.since) == 1  # type: ignore[arg-type]
            if one.since and alone:
                told += 1
                needed = Enumeration(both.case, one.since).surprise
                assert (both.name, Enumeration(unseen(both.case, one.shown_by), one.since).surprise < needed) == (
                    both.name,
                    True,
                )
    assert told > 3


@pytest.mark.parametrize("kind", ["basic", "one of several sires", "everything"])
def test_each_allele_names_only_founders_that_may_carry_it(kind: str) -> None:
    """By the enumeration a founder has the allele at least with its chance; and each founder that has an allele only by these looks and
    tests is named for it."""
    told = several = checked = 0
    for both in with_mistakes(kind, alleles=2):
        by_id = {animal.id: animal for animal in both.case.animals}
        (locus,) = both.case.loci
        of = both.enumeration
        named = [(locus.alleles[one.allele - 1], *each) for one in both.inference.surprises for each in one.founders]
        for trait, name, chance in named:
            if name in by_id:
                told += 1
                assert 0 < chance <= of.carries(name, locus.name, trait), (both.name, trait, name)
        several += len({one.allele for one in both.inference.surprises}) > 1
        if of.questioned or not named:
            continue
        without = Enumeration(unseen(both.case, tuple(n for one in both.inference.surprises for n in one.shown_by)))
        for animal in (animal for animal in by_id.values() if founds(animal) and not animal.tests):
            for trait in locus.alleles:
                if of.carries(animal.id, locus.name, trait) and not without.carries(animal.id, locus.name, trait):
                    checked += 1
                    assert (trait, animal.id) in {each[:2] for each in named}, (both.name, trait, animal.id)
    assert told > 3
    assert several > 1
    assert checked > 3


def founder(name: str, sex: str, *tests: LabTest) -> Animal:
    return Animal(name, sex, (NORMAL,), tests=tests)  # type: ignore[arg-type]


def hatched(name: str, clutch: str, look: Reading = NORMAL) -> Animal:
    return Animal(name, None, (look,), clutch=clutch)


def of_pair(clutch: str, sire: str, dam: str, year: int) -> Clutch:
    return Clutch(clutch, ((sire, ONE),), dam, date(year, 7, 1))


def test_unrelated_pairs_have_a_result_each() -> None:
    """On one day, in one collection, at one locus."""
    pairs = [(f"S{n}", f"D{n}", f"C{n}", f"Y{n}") for n in range(3)]
    animals = [founder(sire, "male") for sire, _, _, _ in pairs] + [founder(dam, "female") for _, dam, _, _ in pairs]
    young = [hatched(name, clutch, VISUAL) for _, _, clutch, name in pairs]
    clutches = tuple(of_pair(clutch, sire, dam, 2020) for sire, dam, clutch, _ in pairs)
    both = BothWays("three pairs", Case((PIED,), (*animals, *young), clutches))
    told = [(dict(one.founders), one.shown_by, one.clutches) for one in both.inference.surprises]
    assert told == [({dam: ONE, sire: ONE}, (name,), (clutch,)) for sire, dam, clutch, name in pairs]


def test_a_founders_own_test_is_its_ground() -> None:
    """Tested one copy: no unexpected result. With a visual young, what is left to explain is the other parent."""
    tested = LabTest("Piebald", 1, date(2019, 5, 1))
    alone = Case((PIED,), (founder("S", "male", tested), founder("D", "female")))
    assert BothWays("tested", alone).inference.surprises == ()
    case = replace(alone, animals=(*alone.animals, hatched("Y", "C", VISUAL)), clutches=(of_pair("C", "S", "D", 2020),))
    (told,) = BothWays("tested", case).inference.surprises
    assert told.founders == (("D", ONE),)
    later = replace(case.animals[0], tests=(replace(tested, on=date(2021, 5, 1)),))
    (told,) = BothWays("tested later", replace(case, animals=(later, *case.animals[1:]))).inference.surprises
    assert (told.founders, told.shown_by) == ((("D", ONE),), ("Y",))


def test_whose_figure_rests_on_it() -> None:
    """The brother, the young of a brother, a later clutch that would need the same carriers; not the other pair."""
    case = Case(
        (PIED,),
        (
            *(founder(name, "male") for name in ("S", "T")),
            *(founder(name, "female") for name in ("D", "E", "F")),
            hatched("Y", "C", VISUAL),
            hatched("B", "C"),
            hatched("Y2", "C2", VISUAL),
            hatched("B2", "C2"),
            hatched("K", "C3"),
            hatched("Z", "C4"),
        ),
        (
            of_pair("C", "S", "D", 2020),
            of_pair("C2", "S", "D", 2021),
            of_pair("C3", "B", "E", 2022),
            of_pair("C4", "T", "F", 2022),
        ),
    )
    (told,) = BothWays("two clutches", case).inference.surprises
    assert (told.shown_by, told.clutches, told.since) == (("Y",), ("C",), date(2020, 7, 1))
    assert [one.animal for one in told.moved] == ["B", "B2", "D", "K", "S", "Y", "Y2"]
    assert {one.since for one in told.moved} == {date(2020, 7, 1), date(2021, 7, 1), date(2022, 7, 1)}


def test_what_it_proves_rests_on_it() -> None:
    """The dam was said to be het, and is proven by the look of the young that nobody expected: her figure is 1 with and without it,
    and by the enumeration she is forced to carry it only with it."""
    said = replace(founder("D", "female"), claims=(Claim("Piebald", ONE),))
    case = Case((PIED,), (founder("S", "male"), said, hatched("Y", "C", VISUAL)), (of_pair("C", "S", "D", 2020),))
    both, without = BothWays("said of the dam", case), Enumeration(unseen(case, ("Y",)))
    assert both.enumeration.carries("D", "piebald", "Piebald") == without.carries("D", "piebald", "Piebald") == ONE
    assert both.enumeration.forced("D", "piebald", "Piebald")
    assert not without.forced("D", "piebald", "Piebald")
    (told,) = both.inference.surprises
    assert dict(told.founders) == {"S": ONE}
    assert Moved("D", "piebald", date(2020, 7, 1)) in told.moved


def test_what_is_proven_without_it_does_not_rest_on_it() -> None:
    """The same dam, who had a visual young with a visual male the year before."""
    said = replace(founder("D", "female"), claims=(Claim("Piebald", ONE),))
    animals = (
        founder("S", "male"),
        Animal("V", "male", (VISUAL,)),
        said,
        hatched("Z", "B", VISUAL),
        hatched("Y", "C", VISUAL),
    )
    case = Case((PIED,), animals, (of_pair("B", "V", "D", 2019), of_pair("C", "S", "D", 2020)))
    assert Enumeration(unseen(case, ("Y",))).forced("D", "piebald", "Piebald")
    (told,) = BothWays("proven before", case).inference.surprises
    assert [one.animal for one in told.moved] == ["S", "Y"]


def test_it_bears_on_a_figure_from_the_record_on_that_joins_them() -> None:
    """T, said to be het with 1/2, has a normal clutch after the result and a clutch with the brother of that young later: what the first of
    these did stands without the result, by the enumeration of each day. A test of a stranger, the last record of all, changes nothing."""
    maybe = replace(founder("T", "female"), claims=(Claim("Piebald", Fraction(1, 2)),))
    case = Case(
        (PIED,),
        (
            *(founder("S", "male"), founder("D", "female"), maybe, Animal("V", "male", (VISUAL,))),
            founder("X", "male", LabTest("Piebald", 0, date(2023, 7, 1))),
            *(
                hatched("Y", "C", VISUAL),
                replace(hatched("B", "C"), sex="male"),
                hatched("Z", "C2"),
                hatched("K", "C3"),
            ),
        ),
        (of_pair("C", "S", "D", 2020), of_pair("C2", "V", "T", 2021), of_pair("C3", "B", "T", 2022)),
    )
    (told,) = BothWays("joined later", case).inference.surprises
    days = [date(year, 7, 1) for year in (2020, 2021, 2022)]
    figures = [
        [on_day(one, day).carries("T", "piebald", "Piebald") for day in days] for one in (case, unseen(case, ("Y",)))
    ]
    assert [one == other for one, other in zip(*figures, strict=True)] == [True, True, False]
    assert Moved("T", "piebald", days[2]) in told.moved


def said_of(one: Enumeration, animal: str, locus: Locus) -> tuple[object, ...]:
    """The figure of an animal, and which of its chances of 1 are forced."""
    sure = [trait for trait in locus.alleles if one.carries(animal, locus.name, trait) == 1]
    return one.genotypes(animal, locus.name), [trait for trait in sure if one.forced(animal, locus.name, trait)]


def sires_of(one: Enumeration, animal: Animal, case: Case) -> dict[str, Fraction]:
    clutch = next((each for each in case.clutches if each.id == animal.clutch and len(each.sires) > 1), None)
    if clutch is None:
        return {}
    return one.egg_sires(animal.id) if clutch.mixed else one.sires(clutch.id)


@pytest.mark.parametrize("kind", ["basic", "tests", "claims", "one of several sires", "mixed sires"])
def test_everything_that_is_another_without_it_rests_on_it(kind: str) -> None:
    """Figures, what is forced and the chances of sires, by the enumeration, where without that young nothing unrecorded is needed."""
    moved = 0
    for both in with_mistakes(kind):
        for told in both.inference.surprises if len(both.inference.surprises) == 1 else ():
            every = (both.enumeration, Enumeration(unseen(both.case, told.shown_by)))
            if every[1].surprise or any(one.questioned for one in every):
                continue
            places = {(one.animal, one.locus) for one in told.moved}
            for animal in both.case.animals:
                for locus in both.case.loci:
                    with_it, without = (said_of(one, animal.id, locus) for one in every)
                    moved += with_it != without
                    assert (animal.id, locus.name) in places or with_it == without, (both.name, animal.id)
                mine, without_it = (sires_of(one, animal, both.case) for one in every)
                assert ((animal.id, "") in places) == (mine != without_it), (both.name, animal.id)
    assert moved > 3


def test_twins_show_it_together() -> None:
    """They are one egg: both are named."""
    case = Case(
        (PIED,),
        (
            founder("S", "male"),
            founder("D", "female"),
            hatched("Y", "C", VISUAL),
            replace(hatched("Z", "C", UNSEEN), same_egg_as="Y"),
        ),
        (of_pair("C", "S", "D", 2020),),
    )
    (told,) = BothWays("twins", case).inference.surprises
    assert told.shown_by == ("Y", "Z")


def test_a_young_whom_its_dam_alone_explains_is_not_named() -> None:
    """Each egg by a male whom nobody saw or by none, of a Pastel dam: without a male a daughter has both copies from her, a son never.

    The enumeration needs a copy with the look of the son, and none without it.
    """
    pastel = Locus("pastel", "incomplete dominant", ("Pastel",), two_copies=(("Pastel", "Super Pastel"),))
    shows, both_copies = Reading(Look(("Pastel",))), Reading(Look(("Super Pastel",)))
    clutch = Clutch("C", (("S", Fraction(9, 10)), (NONE, Fraction(1, 10))), "D", date(2020, 7, 1), mixed=True)
    young = (Animal("Y1", "female", (both_copies,), clutch="C"), Animal("Y2", "male", (both_copies,), clutch="C"))
    case = Case((pastel,), (Animal("S", "male"), Animal("D", "female", (shows,)), *young), (clutch,))
    assert [Enumeration(unseen(case, one)).surprise for one in ((), ("Y1",), ("Y2",), ("Y1", "Y2"))] == [1, 1, 0, 0]
    (told,) = BothWays("of her dam alone", case).inference.surprises
    assert (told.shown_by, dict(told.founders)) == (("Y2",), {"S": ONE})


def test_a_sire_in_doubt_carries_it_to_other_loci() -> None:
    """Each egg by a visual Piebald, a stranger or none, of a Pastel dam. The stranger must be het Pastel only since a son is Super Pastel;
    whose chance of Piebald is another for it, by the enumeration, is told of it: 4 in 5 is 2 in 3 without, 12 in 17 is 3 in 5."""
    pastel = Locus("pastel", "incomplete dominant", ("Pastel",), two_copies=(("Pastel", "Super Pastel"),))
    shows, both_copies = Reading(Look(("Pastel",))), Reading(Look(("Super Pastel",)))
    sires = (("S", Fraction(6, 10)), (UNKNOWN, Fraction(3, 10)), (NONE, Fraction(1, 10)))
    young = (
        Animal("Y1", "female", (shows,), clutch="C"),
        Animal("Y2", "male", (NORMAL,), clutch="C"),
        Animal("Y3", "female", (NORMAL,), clutch="C"),
        Animal("Y4", "male", (both_copies,), clutch="C"),
    )
    parents = (Animal("S", "male", (VISUAL,)), Animal("D", "female", (shows,)))
    case = Case((PIED, pastel), (*parents, *young), (Clutch("C", sires, "D", date(2020, 7, 1), mixed=True),))
    both, without = BothWays("a stranger", case), Enumeration(unseen(case, ("Y4",)))
    chances = [
        (one.carries("Y2", "piebald", "Piebald"), one.carries("Y3", "piebald", "Piebald"))
        for one in (both.enumeration, without)
    ]
    assert chances == [(Fraction(4, 5), Fraction(12, 17)), (Fraction(2, 3), Fraction(3, 5))]
    (told,) = both.inference.surprises
    assert tuple(dict.fromkeys(one.animal for one in told.moved if one.locus)) == tuple(
        one.id
        for one in sorted(case.animals, key=lambda animal: animal.id)
        if any(
            both.enumeration.genotypes(one.id, locus.name) != without.genotypes(one.id, locus.name)
            for locus in case.loci
        )
    )
    assert {"Y2", "Y3"} < {one.animal for one in told.moved}


ALBINO = Locus("albino", "recessive", ("Albino", "Candy"), together=(("Albino", "Candy", "Candino"),))
CANDY, CANDINO = Reading(Look(("Candy",))), Reading(Look(("Candino",)))


@pytest.mark.parametrize(("said", "expected"), [("Candy", "Albino"), ("Albino", "Candy")])
def test_an_allele_that_was_expected_is_no_part_of_it(said: str, expected: str) -> None:
    """A Candino of a dam who was said to carry one of the two: by the enumeration the sire carries the other for certain, and not it."""
    dam = replace(founder("D", "female"), claims=(Claim(said, ONE),))
    case = Case((ALBINO,), (founder("S", "male"), dam, hatched("Y", "C", CANDINO)), (of_pair("C", "S", "D", 2020),))
    both = BothWays("a Candino", case)
    assert [both.enumeration.carries("S", "albino", trait) for trait in (said, expected)] == [0, 1]
    told = [(ALBINO.alleles[one.allele - 1], dict(one.founders), one.shown_by) for one in both.inference.surprises]
    assert told == [(expected, {"S": ONE}, ("Y",))]


def test_each_parent_is_named_for_its_own_allele() -> None:
    """A Candino of two snakes of which nothing was said; her sire has a Candy with a Candy: he carries Candy, so her dam carries Albino."""
    young = (hatched("Y", "C", CANDINO), hatched("Z", "C2", CANDY))
    parents = (founder("S", "male"), founder("D", "female"), Animal("E", "female", (CANDY,)))
    case = Case((ALBINO,), (*parents, *young), (of_pair("C", "S", "D", 2020), of_pair("C2", "S", "E", 2021)))
    both = BothWays("a Candino and a Candy", case)
    carries = [both.enumeration.carries(name, "albino", trait) for trait in ALBINO.alleles for name in ("S", "D")]
    assert carries == [0, 1, 1, 0]
    told = [(dict(one.founders), one.shown_by, one.clutches) for one in both.inference.surprises]
    assert told == [({"D": ONE}, ("Y",), ("C",)), ({"S": ONE}, ("Y",), ("C",))]


def test_each_allele_is_told_from_its_own_day_on() -> None:
    """An Albino of two snakes of which nothing was said; then a test finds Candy in a young of her sire, which it has of its dam."""
    tested = replace(hatched("Z", "C2"), tests=(LabTest("Candy", 1, date(2021, 8, 1)),))
    parents = (founder("S", "male"), founder("D", "female"), founder("E", "female"))
    clutches = (of_pair("C", "S", "D", 2020), of_pair("C2", "S", "E", 2021))
    case = Case((ALBINO,), (*parents, hatched("Y", "C", Reading(Look(("Albino",)))), tested), clutches)
    both = BothWays("an Albino and a test", case)
    carries = [both.enumeration.carries(name, "albino", trait) for trait in ALBINO.alleles for name in ("S", "D", "E")]
    assert carries == [1, 1, 0, 0, 0, 1]
    told = [(dict(one.founders), one.shown_by, one.since) for one in both.inference.surprises]
    assert told == [({"D": ONE, "S": ONE}, ("Y",), date(2020, 7, 1)), ({"E": ONE}, ("Z",), date(2021, 8, 1))]
