"""Digests of page objects: equal for equal values, different for any two values that could be printed differently."""

from __future__ import annotations

from itertools import combinations
from types import UnionType
from typing import Literal, Union, get_args, get_origin, get_type_hints

import pytest
from markupsafe import Markup
from msgspec import Struct

from clutchlight.drawing.chances import CountPart, StepPoint
from clutchlight.drawing.markup import Drawn
from clutchlight.drawing.pedigree import PedigreeAnimal, PedigreeChart
from clutchlight.publishing.building_again import digest_of
from clutchlight.site.pages import Page
from clutchlight.site.parts import Drawing, Reason, TimelineEntry


class One(Struct, frozen=True):
    words: object
    more: object = None


class Other(Struct, frozen=True):
    words: object
    more: object = None


def draw(*given: object) -> Drawn:
    return Drawn(str(given), (), "d", (1, 1), "")


def draw_again(*given: object) -> Drawn:
    return draw(*given)


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
    found = [digest_of(value) for value in DIFFERENT]
    for (one, first), (other, second) in combinations(zip(DIFFERENT, found, strict=True), 2):
        assert first != second, (one, other)


def test_equal_values_have_one_digest() -> None:
    shared = Reason("a", ("b",))
    assert digest_of(One((shared, shared), ("c",))) == digest_of(One((Reason("a", ("b",)), shared), ("c",)))
    assert digest_of(Drawing(draw, (shared,))) == digest_of(Drawing(draw, (Reason("a", ("b",)),)))


@pytest.mark.parametrize("kind", [*Page.__subclasses__(), PedigreeAnimal, PedigreeChart, StepPoint, CountPart])
def test_what_a_page_holds_can_be_written_down_in_one_way(kind: type) -> None:
    """A set would be written in any order, a mapping in that of its making, a function with its place in memory."""
    waiting, seen = [kind], set()
    while waiting:
        one = waiting.pop()
        if one in seen or one is Drawing:
            continue
        seen.add(one)
        if isinstance(one, type) and issubclass(one, Struct):
            waiting += get_type_hints(one).values()
        elif get_origin(one) is not None:
            assert get_origin(one) in (tuple, Union, UnionType, Literal), (kind, one)
            waiting += [part for part in get_args(one) if isinstance(part, type) or get_origin(part)]
        else:
            assert one in (str, int, bool, Markup, type(None)), (kind, one)
