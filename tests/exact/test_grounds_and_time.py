"""What is said of the past, of proof and of claims, against the enumeration asked at each moment, or with a claim changed."""

from __future__ import annotations

import os
from collections import Counter
from datetime import date, timedelta
from fractions import Fraction
from functools import cache, lru_cache, partial
from itertools import count, product
from random import Random

from msgspec.structs import replace
from tests.exact.both_ways import BothWays, enumerated, shares
from tests.oracle.as_collection import as_collection
from tests.oracle.case import NORMAL, Animal, Case, Claim, Clutch, LabTest, Locus, Look, Reading
from tests.oracle.enumerate_genotypes import Enumeration
from tests.oracle.looks_of_genotypes import Pair
from tests.oracle.population import HATCHING, TEST, Event, events
from tests.oracle.random_cases import EVERYTHING, random_case

from clutchlight.genetics.inference import infer
from clutchlight.genetics.values import Figure, NotComputed, OtherSire

TIMES = int(os.environ.get("CLUTCHLIGHT_LONG", "1"))
MIXED = replace(EVERYTHING, triple=True, mistakes=True)


@lru_cache(maxsize=1)
def mixed() -> tuple[BothWays, ...]:
    """Cases of every kind, mistakes and three mutant alleles included, that are not in conflict."""
    small = (
        BothWays(f"seed {n}", random_case(Random(n), replace(MIXED, animals=5, loci=1))) for n in range(32 * TIMES)
    )
    large = (
        BothWays(f"seed {n}", random_case(Random(n), replace(MIXED, animals=5, loci=2))) for n in range(10 * TIMES)
    )
    return tuple(both for both in (*small, *large) if both.has_figures)


def hatched(case: Case, animal: Animal) -> date | None:
    return next((clutch.hatched for clutch in case.clutches if clutch.id == animal.clutch), animal.hatched)


def test_figures_at_each_day() -> None:
    """By the evidence dated on or before a day, for whoever had hatched by then; and the history's rows say the same."""
    asked = 0
    for both in mixed()[::3]:
        days = sorted({event.on for event in events(both.case)})
        for day in (days[0] - timedelta(days=1), *days) if days else ():
            then = Enumeration(both.case, day)
            for animal in both.case.animals if not then.conflict else ():
                if (hatched(both.case, animal) or day) > day:
                    continue
                for locus in both.case.loci:
                    figure = both.inference.at(animal.id, locus.name, day)
                    expected = enumerated(then.genotypes(animal.id, locus.name))
                    assert (both.name, day, animal.id, shares(locus, figure)) == (both.name, day, animal.id, expected)
                    rows = both.inference.history(animal.id, locus.name)
                    assert [row for event, row in rows if event is None or event.on <= day][-1] == figure
                    asked += 1
    assert asked > 50


def test_figures_just_before_hatching() -> None:
    """What the parents' records alone made of a young: its sex, where it is on record, is its own."""
    for both in mixed():
        for number, event in enumerate(events(both.case)):
            then = Enumeration(both.case, number) if event.kind == HATCHING else None
            for animal in both.case.animals if then and not then.conflict else ():
                if animal.clutch != event.id:
                    continue
                for locus in both.case.loci:
                    figure = both.inference.before_hatching(animal.id, locus.name)
                    assert isinstance(figure, Figure)
                    assert then is not None
                    expected = enumerated(then.genotypes(animal.id, locus.name))
                    assert (both.name, animal.id, shares(locus, figure)) == (both.name, animal.id, expected)


def test_what_proved_it() -> None:
    """The first event from which every assignment has the allele: its clutch or animal; at hatching, parentage."""
    proofs = 0
    features = replace(MIXED, reread=False, animals=6, loci=1)  # a reading that was taken back is no proof at any time
    cases = (BothWays(f"seed {n}", random_case(Random(n), features)) for n in range(60 * TIMES))
    for both in cases:
        if not both.has_figures:
            continue
        then = cache(partial(Enumeration, both.case, doubted=frozenset()))  # what is possible does not go by claims
        for ident, locus, number in both.certain():
            grounds = both.inference.grounds(ident, locus.name, number)
            if grounds.kind in ("parentage", "test", "proven"):
                allele = locus.alleles[number - 1]
                first = next(n for n in count() if surely(then(n).possible(ident, locus.name), allele))
                expected = first_proof(both.case, ident, first)
                assert (both.name, ident, allele, grounds.kind, grounds.proven_by) == (
                    both.name,
                    ident,
                    allele,
                    *expected,
                )
                event = both.inference.proven_at(ident, locus.name, number)
                there = None if expected == ("parentage", None) or not first else events(both.case)[first - 1]
                assert (event and (event.on, event.rank, event.subject)) == (there and (there.on, there.kind, there.id))
                proofs += 1
    assert proofs > 12


def test_what_proved_one_of_several() -> None:
    """The first event from which no assignment leaves an animal without a mutant allele of a locus that has two."""
    proofs = Counter[str]()
    features = replace(MIXED, reread=False, animals=6, loci=1)
    cases = (BothWays(f"seed {n}", random_case(Random(n), features)) for n in range(60 * TIMES))
    for both in (one for one in cases if one.has_figures and len(one.case.loci[0].alleles) > 1):
        locus = both.case.loci[0].name
        then = cache(partial(Enumeration, both.case, doubted=frozenset()))
        for ident in (animal.id for animal in both.case.animals):
            if mutant(both.enumeration.possible(ident, locus)):
                found = both.inference.one_of_several(ident, locus)
                first = next(n for n in count() if mutant(then(n).possible(ident, locus)))
                expected = first_proof(both.case, ident, first)
                assert (both.name, ident, found.kind, found.proven_by) == (both.name, ident, *expected)
                proofs[found.kind] += 1
    assert proofs["proven"] > 3, proofs


def mutant(possible: frozenset[Pair]) -> bool:
    return bool(possible) and (NORMAL, NORMAL) not in possible


def surely(possible: frozenset[Pair], allele: str) -> bool:
    return bool(possible) and all(allele in pair for pair in possible)


def first_proof(case: Case, ident: str, first: int) -> tuple[str, str | None]:
    animal = next(one for one in case.animals if one.id == ident)
    event: Event | None = events(case)[first - 1] if first else None
    born = hatched(case, animal)
    if not animal.founder and (event is None or (born is not None and event.on <= born)):
        return "parentage", None
    if event is None:
        return "proven", None
    egg = animal.same_egg_as or animal.id
    own = {one.id for one in case.animals if (one.same_egg_as or one.id) == egg}
    return ("test" if event.kind == TEST and event.id in own else "proven"), event.id


def test_what_was_certain_or_ruled_out_on_each_day() -> None:
    """By the looks, tests and claims in force then; ruled out is nothing by a look that was taken back since."""
    kinds: Counter[str] = Counter()
    for both in mixed():
        read_again = any(len(animal.readings) > 1 for animal in both.case.animals)
        for day, event in {event.on: event for event in both.inference.events}.items():
            then = Enumeration(both.case, day)
            born = [one for one in both.case.animals if (hatched(both.case, one) or day) <= day]
            for animal, locus in product(() if then.conflict else born, both.case.loci):
                for allele, trait in enumerate(locus.alleles, start=1):
                    about, asked = (animal.id, locus.name, trait), (animal.id, locus.name, allele)
                    found, expected = "", ""
                    if then.carries(*about) == 1:
                        found = both.inference.certain_by(*asked, event)
                        said = "claim" if then.forced(*about, claims=True) else "assumption"
                        expected = "proven" if then.forced(*about) else said
                    elif not read_again and not then.carries(*about):
                        found = "ruled out" if both.inference.ruled_out(*asked, event) else "open"
                        open_still = any(trait in pair for pair in then.possible(*about[:2]))
                        expected = "open" if open_still else "ruled out"
                    assert (both.name, day, *about, found) == (both.name, day, *about, expected)
                    kinds[found] += 1
    assert all(kinds[kind] > 3 for kind in ("proven", "claim", "ruled out", "open")), kinds


def test_a_look_proved_in_its_time_what_it_proves_no_longer() -> None:
    """A young was taken for a Piebald, and read again as normal a year later: until then both its parents were proven."""
    taken_back = (Reading(Look(("Piebald",))), Reading(Look(()), date(2021, 7, 1)))
    young = Animal("Y", None, taken_back, clutch="C")
    clutch = Clutch("C", (("S", Fraction(1)),), "D", date(2020, 7, 1))
    piebald = Locus("piebald", "recessive", ("Piebald",))
    both = BothWays("taken back", Case((piebald,), (Animal("S", "male"), Animal("D", "female"), young), (clutch,)))
    about = "D", "piebald"
    assert [Enumeration(both.case, event.on).forced(*about, "Piebald") for event in both.inference.events] == [
        True,
        False,
    ]
    assert both.inference.certain_by(*about, 1, both.inference.events[0]) == "proven"
    assert both.inference.proven_at(*about, 1) is None


def test_what_was_proven_of_a_sire_at_one_locus_was_proven_of_his_young_at_another() -> None:
    """A Clown is not by the male who was tested free of it, so the other one sired the clutch: he was taken for a Piebald then."""
    loci = tuple(Locus(trait.lower(), "recessive", (trait,)) for trait in ("Clown", "Piebald"))
    taken_back = (Reading(Look(("Piebald",))), Reading(Look(()), date(2021, 7, 1)))
    free = Animal("B", "male", tests=(LabTest("Clown", 0, date(2019, 7, 1)),))
    young = (Animal("Y", None, (Reading(Look(("Clown",))),), clutch="C"), Animal("Z", None, clutch="C"))
    clutch = Clutch("C", (("A", Fraction(1, 2)), ("B", Fraction(1, 2))), "D", date(2020, 7, 1))
    animals = (Animal("A", "male", taken_back), free, Animal("D", "female"), *young)
    both = BothWays("two loci", Case(loci, animals, (clutch,)))
    about = "Z", "piebald"
    _, hatching, _ = both.inference.events
    assert Enumeration(both.case, hatching.on).forced(*about, "Piebald")
    assert both.inference.certain_by(*about, 1, hatching) == "proven"


def test_claims_of_two_alleles_that_come_to_one_are_a_claim_of_certainty() -> None:
    """Half Aone, half Atwo is one of the two by that word alone, whoever sired her clutches; tested clear of one, the other by it too."""
    locus = Locus("pair", "recessive", ("Aone", "Atwo"), together=(("Aone", "Atwo", "Apair"),))
    claims = tuple(Claim(trait, Fraction(1, 2)) for trait in locus.alleles)
    said = Animal("D", "female", (Reading(Look(())),), claims)
    clear = replace(said, id="E", tests=(LabTest("Atwo", 0, date(2019, 7, 1)),))
    clutches = tuple(Clutch(f"C{dam}", (("S", Fraction(1)),), dam, date(2020, 7, 1)) for dam in "DE")
    young = tuple(Animal(f"Y{dam}", None, clutch=f"C{dam}") for dam in "DE")
    animals = (said, clear, Animal("S", "male"), Animal("O", "male"), *young)
    both = BothWays("one of two", Case((locus,), animals, clutches))
    assert both.enumeration.forced("E", "pair", "Aone", claims=True)
    assert not both.enumeration.forced("E", "pair", "Aone")
    assert all(pair != (NORMAL, NORMAL) for pair in both.enumeration.possible("D", "pair", claims=True))
    inference = infer(
        as_collection(both.case), others={one.id: {"O": OtherSire(one.id, "O", one.id)} for one in clutches}
    )
    assert inference.grounds("E", "pair", 1).kind == "claim"
    assert (inference.one_of_several("D", "pair").kind, inference.certain_by("D", "pair", None, None)) == (
        "claim",
        "claim",
    )
    assert (inference.other_sires("D", "pair", None), inference.other_sires("E", "pair", 1)) == ((), ())


def test_a_claim_that_a_figure_does_not_rest_on_does_not_move_it() -> None:
    """Another chance in the place of the claimed one: the figures that do not name the founder stay as they are."""
    for both in mixed():
        for founder in both.case.animals:
            for place, claim in enumerate(founder.claims if founder.founder else ()):
                locus = next(locus for locus in both.case.loci if claim.trait in locus.alleles)
                if (changed := otherwise(both.case, founder, place, locus)) is None:
                    continue
                for animal in both.case.animals:
                    if founder.id not in both.inference.rests_on(animal.id, locus.name):
                        assert both.now(animal.id, locus) == enumerated(changed.genotypes(animal.id, locus.name))


def otherwise(case: Case, founder: Animal, place: int, locus: Locus) -> Enumeration | None:
    """The case with one uncertain claim of another chance; None where that is no other chance of the same kind."""
    claim, chance = founder.claims[place], Fraction(1, 7)
    others = sum(
        (one.chance or 0 for one in founder.claims if one.trait in locus.alleles and one is not claim), Fraction(0)
    )
    if claim.chance in (None, 1) or claim.withdrawn or others + chance >= 1 or others + (claim.chance or 0) == 1:
        return None
    claims = tuple(replace(one, chance=chance) if one is claim else one for one in founder.claims)
    animals = tuple(replace(one, claims=claims) if one is founder else one for one in case.animals)
    return Enumeration(replace(case, animals=animals))


def test_no_figure_is_left_out() -> None:
    """None of these small cases is too wide."""
    for both in mixed():
        for animal in both.case.animals:
            for locus in both.case.loci:
                assert not isinstance(both.inference.now(animal.id, locus.name), NotComputed)
