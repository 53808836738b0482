"""Digests of page objects: equal for equal values, different for any two values that could be printed differently."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import pytest
from markupsafe import Markup

from clutchlight.drawing import PedigreeAnimal
from clutchlight.site.page_digest import Digests
from clutchlight.site.parts import Drawing, Reason, TimelineEntry


@dataclass(frozen=True)
class One:
    words: object
    more: object = None


@dataclass(frozen=True)
class Other:
    words: object
    more: object = None


def draw(*given: object) -> tuple[str, tuple[str, ...]]:
    return str(given), ()


def draw_again(*given: object) -> tuple[str, tuple[str, ...]]:
    return str(given), ()


DIFFERENT: tuple[object, ...] = (
    "a",
    Markup("a"),
    "",
    None,
    "None",
    True,
    1,
    "1",
    0,
    False,
    (),
    ("a",),
    ("a", "b"),
    ("ab",),
    ("a", ("b",)),
    (("a",), "b"),
    (("a", "b"),),
    ((), ("a", "b")),
    ("a", None, "b"),
    (1, 23),
    (12, 3),
    ("1 a",),
    ("t1 a",),
    One("a"),
    Other("a"),
    One(("a",)),
    One("a", "b"),
    One(None, "a"),
    (One("a"), "b"),
    One(One("a", "b")),
    One(One("a"), "b"),
    Drawing(draw, ("a",)),
    Drawing(draw_again, ("a",)),
    Drawing(draw, ("b",)),
    Drawing(draw, (("a",),)),
    Reason("a", ("b",)),
    Reason("a", (Markup("b"),)),
    Reason("a", ("b", "c")),
    TimelineEntry("a", Markup("b"), ()),
    TimelineEntry("a", Markup("b"), (Markup(""),)),
    PedigreeAnimal("a", "b"),
    PedigreeAnimal("b", "a"),
)


def test_no_two_of_these_have_one_digest() -> None:
    digests = Digests()
    found = [digests.of(value) for value in DIFFERENT]
    for (one, first), (other, second) in combinations(zip(DIFFERENT, found, strict=True), 2):
        assert first != second, (one, other)


def test_equal_values_have_one_digest_whether_they_are_shared_or_not() -> None:
    """A list counts as a tuple; parts met before count by what they hold, and so do values that came and went."""
    shared = Reason("a", ("b",))
    digests = Digests()
    pages = [One((shared, shared), ["c"]), One([Reason("a", ("b",)), shared], ("c",))]
    assert len({digests.of(page) for page in pages} | {Digests().of(page) for page in pages}) == 1
    passing = [digests.of(One(Reason(str(number), ()))) for number in range(200)]
    assert passing == [Digests().of(One(Reason(str(number), ()))) for number in range(200)]
    assert len(set(passing)) == 200


def test_what_cannot_be_written_down_in_one_way_is_refused() -> None:
    with pytest.raises(TypeError, match="holds a set"):
        Digests().of(One({"a", "b"}))
