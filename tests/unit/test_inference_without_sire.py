"""A sex-linked locus of a ZW dam whose young may have no sire is not computed, and nothing else suffers by it."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from tests.oracle.as_collection import as_collection
from tests.oracle.case import NONE, Animal, Case, Claim, Clutch, LabTest, Locus, Look, Reading

from clutchlight.genetics.inference import infer
from clutchlight.genetics.values import Figure, NotComputed

LOCUS = Locus("linked", "recessive", ("Linked",), crossover=Fraction(1, 5))


def case(system: str) -> Case:
    normal = Reading(Look(()))
    animals = (
        Animal("D", "female", (normal,), claims=(Claim("Linked", Fraction(1, 2)),)),
        Animal("Y", None, (normal,), clutch="C-1"),
    )
    clutch = Clutch("C-1", ((NONE, Fraction(1)),), "D", date(2024, 7, 1))
    return Case((LOCUS,), animals, (clutch,), system="ZW" if system == "ZW" else "XY")


def test_the_young_of_a_zw_dam_alone_has_no_figure_there() -> None:
    """Source: figures#parthenogenesis: a sex-linked locus of a ZW dam is not computed under `none`, and says so."""
    figures = infer(as_collection(case("ZW")))
    assert figures.now("Y", "linked") == NotComputed((), "alone")
    assert figures.when_hatched("Y", "linked") == NotComputed((), "alone")


def test_its_look_then_says_nothing_of_the_dam() -> None:
    """The dam keeps what was said of her."""
    figure = infer(as_collection(case("ZW"))).now("D", "linked")
    assert isinstance(figure, Figure)
    assert figure.carries(1) == Fraction(1, 2)


@pytest.mark.parametrize("sires", [((NONE, Fraction(1)),), ((NONE, Fraction(1, 2)), ("S", Fraction(1, 2)))])
def test_young_whose_family_has_no_record_there_carry_nothing(sires: tuple[tuple[str, Fraction], ...]) -> None:
    """The locus is in play by somebody else; the sires keep their chances, and her son's young by a mate with a record have no figure."""
    normal, seen = (Reading(Look(())),), (Reading(Look(("Linked",))),)
    animals = (
        Animal("D", "female", normal),
        Animal("S", "male", normal),
        Animal("E", "female", seen),
        Animal("Y", "male", normal, clutch="C-1"),
        Animal("K", None, normal, clutch="C-2"),
    )
    clutches = (
        Clutch("C-1", sires, "D", date(2020, 7, 1)),
        Clutch("C-2", (("Y", Fraction(1)),), "E", date(2024, 7, 1)),
    )
    figures = infer(as_collection(Case((LOCUS,), animals, clutches, system="ZW")))
    nothing = Figure((((0, 0), Fraction(1)),))
    assert figures.now("Y", "linked") == figures.when_hatched("Y", "linked") == figures.now("D", "linked") == nothing
    assert figures.now("K", "linked") == NotComputed((), "alone")
    chances = figures.sires("C-1")
    assert not isinstance(chances, NotComputed)
    assert [chance for _, chance in chances] == [chance for _, chance in sires]


def test_young_that_show_it_leave_no_figure_where_no_ancestor_has_a_record() -> None:
    """Nor has her son whose young shows it."""
    normal, seen = (Reading(Look(())),), (Reading(Look(("Linked",))),)
    animals = (
        Animal("D", "female", normal),
        Animal("E", "female", normal),
        Animal("Y", "male", normal, clutch="C-1"),
        Animal("Z", "male", normal, clutch="C-1"),
        Animal("K", None, seen, clutch="C-2"),
    )
    clutches = (
        Clutch("C-1", ((NONE, Fraction(1)),), "D", date(2020, 7, 1)),
        Clutch("C-2", (("Y", Fraction(1)),), "E", date(2024, 7, 1)),
    )
    figures = infer(as_collection(Case((LOCUS,), animals, clutches, system="ZW")))
    assert figures.now("K", "linked") == figures.now("Y", "linked") == NotComputed((), "alone")
    assert isinstance(figures.now("Z", "linked"), Figure)


def test_under_xy_it_is_computed() -> None:
    """There the dam has two of one chromosome, and terminal fusion makes half her young Linked: one normal young, 1/3."""
    figure = infer(as_collection(case("XY"))).now("D", "linked")
    assert isinstance(figure, Figure)
    assert figure.carries(1) == Fraction(1, 3)


def test_a_heterozygosity_said_never_to_be_kept_is_kept_at_the_one_locus_that_shows_it() -> None:
    """A young without sire that was tested to have one copy; at another locus of the room the share that is kept is known."""
    loci = (Locus("first", "recessive", ("First",)), Locus("second", "recessive", ("Second",), kept=Fraction(1, 2)))
    normal = Reading(Look(()))
    tested = (LabTest("First", 1, date(2025, 1, 1)),)
    for order in (loci, loci[::-1]):
        dam = Animal("D", "female", (normal,), claims=(Claim("Second", Fraction(1, 2)),))
        animals = (dam, Animal("Y", "female", (normal,), tests=tested, clutch="C-1"))
        clutch = Clutch("C-1", ((NONE, Fraction(1)),), "D", date(2024, 7, 1))
        figures = infer(as_collection(Case(order, animals, (clutch,))))
        assert figures.conflicts == ()
        figure = figures.now("D", "first")
        assert isinstance(figure, Figure)
        assert figure.carries(1) == 1


def test_a_male_young_of_an_xy_dam_has_a_sire() -> None:
    """Young without sire are all female there: of a son the male is the sire for certain, of a daughter either may be."""
    plain = Locus("plain", "recessive", ("Plain",))
    sires = ((NONE, Fraction(1, 2)), ("S", Fraction(1, 2)))
    for sex, chances in (("male", [0, 1]), ("female", [Fraction(1, 2), Fraction(1, 2)])):
        animals = (
            Animal("D", "female", (Reading(Look(())),), claims=(Claim("Plain", Fraction(1, 2)),)),
            Animal("S", "male", (Reading(Look(())),)),
            Animal("Y", "male" if sex == "male" else "female", clutch="C-1"),
        )
        found = infer(as_collection(Case((plain,), animals, (Clutch("C-1", sires, "D", date(2024, 7, 1)),)))).sires(
            "C-1"
        )
        assert not isinstance(found, NotComputed)
        assert [chance for _, chance in found] == chances
