"""How unexpected results are parted: by the carriers that they share, each young from its own moment on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import SimpleNamespace
from typing import Any

from clutchlight.genetics.unexpected import _AtLocus, _Result


class Told(_AtLocus):
    """What a history would say: the young that show it by each moment, what each may have it from, and when another copy is needed."""

    def __init__(
        self,
        rises: Mapping[int, int],
        showing: Mapping[int, int],
        carriers: Mapping[int, set[int]],
        touched: Mapping[int, set[int]],
    ) -> None:
        now = 9
        self.rises, self.since, self.above = rises, showing, carriers
        timeline: Any = SimpleNamespace(now=now, touched=[touched.get(at, set()) for at in range(1, now + 1)])
        world: Any = SimpleNamespace(timeline=timeline)
        self.world = world

    def _order(self, moment: int) -> int:
        return len(self.rises)

    def _rise(self, order: int) -> int:
        return self.rises[order]

    def _showing(self, moment: int) -> list[int]:
        return [number for number, since in self.since.items() if since <= moment]

    def _by_themselves(self, showing: Sequence[int], moment: int) -> list[int]:
        return list(showing)

    def _carriers_above(self, young: int) -> frozenset[int]:
        return frozenset(self.above[young])


def result(young: Mapping[int, int], carriers: set[int]) -> _Result:
    """`young`: each with its moment."""
    return _Result(young, frozenset(carriers))


def test_results_that_share_no_carrier_are_apart_in_order_of_time_and_of_young() -> None:
    """The first copy is needed later than the second here; two of one moment come by their young."""
    told = {1: {21, 20}, 8: {30}}
    found = Told({1: 8, 2: 1}, {30: 8, 21: 1, 20: 1}, {30: {1}, 20: {2}, 21: {3}}, told).results()
    assert found == [result({20: 1}, {2}), result({21: 1}, {3}), result({30: 8}, {1})]


def test_two_that_share_a_carrier_with_a_third_are_one_from_the_first_on() -> None:
    told = {3: {20}, 4: {21}, 5: {30}}
    found = Told({1: 3, 2: 4, 3: 5}, {20: 3, 21: 4, 30: 5}, {20: {1, 2}, 21: {3}, 30: {2, 3}}, told).results()
    assert found == [result({20: 3, 21: 4, 30: 5}, {1, 2, 3})]


def test_one_that_two_moments_tell_of_is_one() -> None:
    """Without a carrier too: who may be one is not always computed."""
    found = Told({1: 3, 2: 5}, {20: 3}, {20: set()}, {3: {20}, 5: {20}}).results()
    assert found == [result({20: 3}, set())]


def test_what_was_not_told_of_at_that_moment_is_no_result_of_it() -> None:
    """Before the first event all that show it are."""
    shown, carriers = {20: 0, 21: 0}, {20: {1}, 21: {2}}
    assert Told({1: 5}, shown, carriers, {5: {21}}).results() == [result({21: 5}, {2})]
    both = [result({20: 0}, {1}), result({21: 0}, {2})]
    assert Told({1: 0}, shown, carriers, {}).results() == both
    later = Told({1: 0, 2: 5}, {**shown, 22: 5}, {**carriers, 22: {3}}, {5: {22}})
    assert later.results() == [*both, result({22: 5}, {3})]


def test_where_no_young_of_the_moment_shows_it_all_that_show_it_now_count_from_the_first() -> None:
    """A sire line can be what makes it unexpected."""
    assert Told({1: 7, 2: 4}, {20: 2, 21: 9}, {20: {1}, 21: {2}}, {4: {33}}).results() == [
        result({20: 4}, {1}),
        result({21: 4}, {2}),
    ]
    assert Told({}, {20: 2}, {20: {1}}, {}).results() == []
