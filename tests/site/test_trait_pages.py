"""A trait's page: the kinds of pair as eggs, by the rule of a recessive trait."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

from bs4 import BeautifulSoup
from tests.site.conftest import Files

COPIES = {"Shows it": 2, "shows it": 2, "Het": 1, "het": 1, "carries nothing": 0}
DRAWN = {"count-shows": "shows", "count-carries": "het", "count-part": "may be het"}


def young_of(pair: str) -> tuple[str, ...]:
    """What 4 eggs of a pair are, enumerated: each parent hands on either of its two copies."""
    sire, dam = ((1,) * COPIES[one] + (0,) * (2 - COPIES[one]) for one in pair.split(" × "))
    copies = sorted((one + other for one, other in product(sire, dam)), reverse=True)
    unseen = {count for count in copies if count < 2}
    return tuple("shows" if count == 2 else "het" if unseen == {1} else "may be het" for count in copies)


def test_a_pair_is_drawn_as_the_eggs_that_it_brings(demo_files: Files) -> None:
    """Filled, dotted and striped eggs of each of the four, beside the words for them."""
    page = BeautifulSoup(demo_files["traits/ball-python/piebald/index.html"], "lxml")
    pairs = page.select("section[aria-labelledby=pairs] .in-eggs > li")
    assert len(pairs) == 4
    for pair in pairs:
        assert pair.h3 is not None
        drawn = tuple(DRAWN[str(egg["class"][1])] for egg in pair.select("use"))
        assert drawn == young_of(pair.h3.get_text())
    assert Fraction(1, 2) ** 5 == Fraction(1, 32)
    assert Fraction(3, 4) ** 13 < Fraction(1, 32) < Fraction(3, 4) ** 12 < Fraction(1, 31)


def test_traits_of_another_kind_have_no_pairs_of_hets(demo_files: Files) -> None:
    """Neither one that shows with one copy, nor one of several forms of a gene."""
    for key in ("pastel", "albino"):
        page = demo_files[f"traits/ball-python/{key}/index.html"]
        assert b'id="pairs"' not in page
