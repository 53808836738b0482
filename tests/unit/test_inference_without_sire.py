"""A sex-linked locus of a ZW dam whose young may have no sire is not computed, and nothing else suffers by it."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

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
