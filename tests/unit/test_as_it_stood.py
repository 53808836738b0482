"""A collection on an earlier day holds what was known then, and gives the figures of then."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path

import pytest
from msgspec.structs import replace
from tests import rooms
from tests.rooms import BARE, SETTINGS

from clutchlight.model import Animal, When
from clutchlight.model.animals import Coming, Leaving
from clutchlight.model.collection import as_it_stood
from clutchlight.problems import COMMAND_LINE

pytestmark = pytest.mark.slow
DAYS = (date(2022, 12, 31), date(2024, 8, 1), date(2025, 7, 20))
book_of = cache(rooms.book_of)


@pytest.mark.parametrize("day", DAYS)
def test_figures_on_a_day_are_the_history_of_today(content_dir: Path, day: date) -> None:
    """What stood on a day, inferred from scratch, equals what today's history says of that day, exactly."""
    then, now = book_of(content_dir, day), book_of(content_dir)
    compared = 0
    for animal in then.collection.animals.values():
        for locus in then.inference.loci_in_play(animal.species):
            if animal.id in now.collection.animals:
                assert then.inference.now(animal.id, locus.key) == now.inference.at(animal.id, locus.key, day)
                compared += 1
    assert compared > 50


@pytest.mark.parametrize("day", DAYS)
def test_nothing_later_is_left(content_dir: Path, day: date) -> None:
    """No hatching, photo, test or departure after the day remains."""
    book = book_of(content_dir, day)
    animals = book.collection.animals.values()
    dates = [test.on for animal in animals for test in animal.tests]
    dates += [photo.on for animal in animals for photo in animal.photos if photo.on]
    dates += [animal.left.on for animal in animals if animal.left and animal.left.on]
    dates += [clutch.hatched for clutch in book.collection.clutches.values() if clutch.hatched]
    assert dates
    assert [when for when in dates if when.last > day] == []


def test_a_clutch_between_laying_and_hatching_is_incubating(content_dir: Path) -> None:
    """Its young are not there yet, its eggs are."""
    book = book_of(content_dir, date(2026, 7, 1))
    clutch = book.collection.clutches["C26-04"]
    assert (clutch.hatched, clutch.young) == (None, ())
    assert book.statements.clutches["C26-04"].state == "incubating"


@pytest.mark.parametrize("day", [*DAYS, date(2025, 11, 20)])
def test_the_private_side_stands_on_that_day_too(content_dir: Path, day: date) -> None:
    """No plan that began later, no later row of the log, and no animal or clutch that was not there yet."""
    book = book_of(content_dir, day)
    animals, private = book.collection.animals, book.private
    assert [plan for plan in private.plans if plan.start is not None and plan.start.last > day] == []
    assert [row for row in private.log if row.day > day] == []
    happened = [payment.on for sale in private.sales for payment in sale.payments]
    happened += [told.on for sale in private.sales for told in sale.told]
    happened += [on for sale in private.sales for on in (sale.handed_over, sale.returned) if on]
    assert [on for on in happened if on.last > day] == []
    assert [plan for plan in private.plans if plan.result and (plan.until is None or plan.until.last >= day)] == []
    named = [name for plan in private.plans for name in (plan.female, *plan.males)]
    named += [name for sale in private.sales for name in sale.animals]
    named += [row.animal for row in private.log] + [row.partner for row in private.log if row.partner]
    assert [name for name in named if name not in animals] == []
    assert {row.clutch for row in private.log if row.clutch} <= set(book.collection.clutches)


def test_a_day_of_now_leaves_the_private_side_whole(content_dir: Path) -> None:
    """With a day after every record, plans, log and sales are those of today."""
    then, now = book_of(content_dir, date(2027, 1, 1)), book_of(content_dir)
    assert now.private.plans
    assert now.private.log
    assert then.private == now.private


def on(text: str) -> When:
    day = date.fromisoformat(text)
    return When(day, day, text)


def stood(content_dir: Path, animal: Animal, day: str) -> Animal:
    """An animal alone, as it stood on a day."""
    collection = replace(book_of(content_dir).collection, animals={animal.id: animal}, clutches={})
    return as_it_stood(collection, date.fromisoformat(day)).animals[animal.id]


@pytest.mark.parametrize(
    ("day", "here", "sold"),
    [
        ("2024-03-01", True, False),
        ("2024-05-01", False, True),
        ("2024-08-01", True, False),
        ("2025-05-01", False, True),
    ],
)
def test_one_that_left_twice_is_sold_only_while_it_is_away(content_dir: Path, day: str, here: bool, sold: bool) -> None:
    """Sold, back, and sold again: before each leaving it is here, and its status does not tell what is to come."""
    first = Leaving("sold", on("2024-04-01"), back=on("2024-06-01"))
    again = Leaving("sold", on("2025-04-01"), before=first)
    animal = Animal("X-1", "ball-python", COMMAND_LINE, status="sold", left=again)
    found = stood(content_dir, animal, day)
    assert (found.here, found.sold) == (here, sold)


def test_one_that_has_not_come_back_yet_is_away(content_dir: Path) -> None:
    """Between the day it left and the day it was returned, nothing tells of its return."""
    left, came = Leaving("sold", on("2024-04-01")), Coming("returned", on("2024-06-01"))
    animal = Animal("X-1", "ball-python", COMMAND_LINE, status="breeder", came=came, left=left)
    there = [stood(content_dir, animal, day) for day in ("2024-03-01", "2024-05-01", "2024-06-01")]
    assert [(one.here, one.came) for one in there] == [(True, None), (False, None), (True, came)]


def test_who_has_no_day_was_not_there_before_its_parents(tmp_path: Path) -> None:
    animals = (
        "- {id: A-1, hatched: 2024-05-01, sex: female}\n- {id: B-1, dam: A-1}\n- {id: C-1, sire: B-1}\n- {id: D-1}\n"
    )
    BARE.write(tmp_path, {"collection.yaml": SETTINGS, "animals/all.yaml": animals})
    assert set(book_of(tmp_path, date(2024, 4, 30)).collection.animals) == {"D-1"}
    assert set(book_of(tmp_path, date(2024, 5, 1)).collection.animals) == {"A-1", "B-1", "C-1", "D-1"}


@pytest.mark.parametrize(("how", "status"), [("loan", "breeder"), ("died", "breeder"), ("sold", "not for sale")])
def test_until_it_leaves_a_breeder_is_one(content_dir: Path, how: str, status: str) -> None:
    """But the status of one that is to be sold tells how it left."""
    animal = Animal("X-1", "ball-python", COMMAND_LINE, status="breeder", left=Leaving(how, on("2024-04-01")))
    there = stood(content_dir, animal, "2024-03-01")
    assert (there.status, there.left) == (status, None)
