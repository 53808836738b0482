"""Sex linkage: Morgan's counts, and derived shares with crossing over, by the engine. No recombination fraction of snakes was found.

The setting: Mallery & Carrillo 2016, Phyllomedusa 15:29-42 (abstract read): a male that had a partly sex-linked colour from his sire
gives mostly coloured sons, one that had it from his dam mostly coloured daughters.
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from itertools import product
from typing import Literal

import pytest
from msgspec.structs import replace
from tests.oracle.case import Animal, Case, Claim, Clutch, Locus, Look, Reading, Sex
from tests.published.families import figure

F = Fraction
GLOW = Locus("glow", "incomplete dominant", ("Glow",), two_copies=(("Glow", "Super Glow"),), crossover=F(1, 15))
SHOWS, PLAIN = Reading(Look(("Glow",))), Reading(Look(()))
RATES = (F(0), F(1, 15), F(1, 4), F(1, 2))
SEXES: tuple[Sex, Sex] = ("male", "female")


def put_to_a_plain_mate(locus: Locus, system: Literal["XY", "ZW"], origin: Literal["sire", "dam"]) -> Case:
    """A heterogametic animal with one copy of known origin, and an unseen son and daughter."""
    own, other = ("male", "female") if system == "XY" else ("female", "male")
    sexes: tuple[Sex, Sex] = (own, other)  # type: ignore[assignment]
    shown = Animal("A", sexes[0], (SHOWS,), (Claim("Glow", came_from=origin),))
    mate = Animal("B", sexes[1], (PLAIN,))
    sire, dam = ("A", "B") if system == "XY" else ("B", "A")
    young = tuple(Animal(sex, sex, clutch="C") for sex in SEXES)
    clutch = Clutch("C", ((sire, F(1)),), dam, date(2020, 7, 1))
    return Case((locus,), (shown, mate, *young), (clutch,), system)


@pytest.mark.parametrize("rate", RATES)
def test_a_male_gives_it_as_he_had_it(rate: Fraction) -> None:
    """XY (derived): on the Y, sons carry with 1 - r and daughters with r; on the X, sons with r and daughters with 1 - r."""
    locus = replace(GLOW, crossover=rate)
    from_sire, from_dam = (put_to_a_plain_mate(locus, "XY", origin) for origin in ("sire", "dam"))
    assert [figure(from_sire, sex, "glow").carries(1) for sex in SEXES] == [1 - rate, rate]
    assert [figure(from_dam, sex, "glow").carries(1) for sex in SEXES] == [rate, 1 - rate]


@pytest.mark.parametrize("rate", RATES)
def test_a_female_of_a_zw_species_gives_it_as_she_had_it(rate: Fraction) -> None:
    """ZW (derived): from her dam it stands on the W, and daughters carry with 1 - r; from her sire on the Z, and sons do."""
    locus = replace(GLOW, crossover=rate)
    from_dam, from_sire = (put_to_a_plain_mate(locus, "ZW", origin) for origin in ("dam", "sire"))
    assert [figure(from_dam, sex, "glow").carries(1) for sex in SEXES] == [rate, 1 - rate]
    assert [figure(from_sire, sex, "glow").carries(1) for sex in SEXES] == [1 - rate, rate]


def test_sons_tell_where_it_stands() -> None:
    """Phase not known (derived): after n coloured sons and m plain daughters of a male, a next son is coloured with
    (a (1-r) + b r) / (a + b), a = (1-r)^(n+m) for the Y and b = r^(n+m) for the X."""
    rate = F(1, 15)
    sons = tuple(Animal(f"S{number}", "male", (SHOWS,), clutch="C") for number in range(3))
    daughters = tuple(Animal(f"D{number}", "female", (PLAIN,), clutch="C") for number in range(2))
    animals = (Animal("A", "male", (SHOWS,)), Animal("B", "female", (PLAIN,)), *sons, *daughters)
    case = Case(
        (GLOW,), (*animals, Animal("N", "male", clutch="C")), (Clutch("C", (("A", F(1)),), "B", date(2020, 7, 1)),)
    )
    on_y, on_x = (1 - rate) ** 5, rate**5
    assert figure(case, "N", "glow").carries(1) == (on_y * (1 - rate) + on_x * rate) / (on_y + on_x)


RED = Locus("eye", "dominant", ("Red",), crossover=F(0))
RED_EYED, WHITE_EYED = Reading(Look(("Red",))), Reading(Look(()))


def test_morgans_white_eyes() -> None:
    """A white-eyed male by red-eyed females, and their young among themselves: 2,459 red-eyed females, 1,011 red-eyed and 782 white-eyed
    males, no white-eyed female. By white-eyed males again F1 females gave 129 red-eyed females, 132 red-eyed males, 88 and 86 white-eyed.

    T.H. Morgan 1910, Science 32:120-122 (counts from memory). The red that the wild flies have is the mutant allele here, on the X alone.
    So an F2 daughter is red-eyed for certain and a son with 1/2; of the test cross, either with 1/2. White-eyed flies die more, as he says:
    what is compared is the class of which there was none, and that there are all four.
    """
    animals = (
        Animal("W", "male", (WHITE_EYED,)),
        Animal("P", "female", (RED_EYED,), (Claim("Red", two_copies=F(1)),)),
        Animal("F1m", "male", clutch="F1"),
        Animal("F1f", "female", clutch="F1"),
        *(Animal(f"F2-{sex}", sex, clutch="F2") for sex in SEXES),
        *(Animal(f"T-{sex}", sex, clutch="T") for sex in SEXES),
    )
    clutches = (
        Clutch("F1", (("W", F(1)),), "P", date(1910, 1, 1)),
        Clutch("F2", (("F1m", F(1)),), "F1f", date(1910, 2, 1)),
        Clutch("T", (("W", F(1)),), "F1f", date(1910, 3, 1)),
    )
    case = Case((RED,), animals, clutches)
    red = {
        name: figure(case, name, "eye").carries(1)
        for name in ("F1f", "F1m", "F2-female", "F2-male", "T-female", "T-male")
    }
    assert red == {"F1f": 1, "F1m": 1, "F2-female": 1, "F2-male": F(1, 2), "T-female": F(1, 2), "T-male": F(1, 2)}


@pytest.mark.parametrize(("system", "looks"), tuple(product(("XY", "ZW"), product((SHOWS, PLAIN), repeat=3))))
def test_one_half_equals_an_ordinary_locus(system: Literal["XY", "ZW"], looks: tuple[Reading, ...]) -> None:
    """r = 1/2 gives the figures of a locus off the sex chromosomes, whatever the young look like (derived)."""
    young = tuple(Animal(f"Y{number}", SEXES[number % 2], (look,), clutch="C") for number, look in enumerate(looks))
    animals = (
        Animal("A", "male", (), (Claim("Glow", F(2, 3)),)),
        Animal("B", "female", (), (Claim("Glow", F(1, 3)),)),
        *young,
    )
    last = Animal("N", "female", clutch="C")
    case = Case(
        (replace(GLOW, crossover=F(1, 2)),),
        (*animals, last),
        (Clutch("C", (("A", F(1)),), "B", date(2020, 7, 1)),),
        system,
    )
    plain = replace(case, loci=(replace(GLOW, crossover=None),))
    for animal in case.animals:
        assert figure(case, animal.id, "glow") == figure(plain, animal.id, "glow")
