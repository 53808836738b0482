"""What is due, holds, hand-overs and people to tell, on worked dates. Windows are the species file's: common practice, no source."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from tests.rooms import FAMILY, FAMILY_ANIMALS, log

from clutchlight.desk import Season, sentences
from clutchlight.desk.buyers import (
    ToldAnimal,
    ToldFigure,
    changes_between,
    message_to,
    sex_on,
)
from clutchlight.desk.evening import due_this_week, who_is_ready
from clutchlight.pipeline import read_everything
from clutchlight.planning.due import due
from clutchlight.planning.sales import balances, hand_overs, holds, loans_ending, not_ready_to_leave
from clutchlight.reading.public_side import apply_sales

DAY = date(2026, 11, 25)
LAID = "---\nid: C26-02\nsire: M-01\ndam: F-02\nlaid: %s\neggs: 5\n---\n"


def expected(
    folder: Path, rows: str, more: dict[str, str] | None = None, day: date = DAY
) -> list[tuple[str, str, str, str, str]]:
    collection, private = FAMILY.both(folder, {**log(rows), **(more or {})})
    return [
        (item.comes, item.about, item.first.isoformat(), item.last.isoformat(), item.state)
        for item in due(collection, private, day)
        if item.about != "C26-01"
    ]


def test_the_demo_week(content_dir: Path) -> None:
    """C26-06, laid on 5 October, hatches from day 55 to 60: 29 November to 4 December; Burdock's shed comes 14 to 21 days after
    her ovulation of 23 November."""
    both = read_everything(content_dir)
    assert both.collection is not None
    assert both.private is not None
    found = [
        (item.comes, item.about, str(item.first), str(item.last), item.state)
        for item in due(both.collection, both.private, DAY)
    ]
    assert found == [
        ("hatched", "C26-06", "2026-11-29", "2026-12-04", "this week"),
        ("pre-lay shed", "F-05", "2026-12-07", "2026-12-14", "later"),
    ]


@pytest.mark.parametrize(
    ("day", "state"),
    [
        (date(2026, 11, 22), "later"),
        (date(2026, 11, 23), "this week"),
        (date(2026, 12, 4), "this week"),
        (date(2026, 12, 5), "overdue"),
        (date(2027, 1, 3), "overdue"),
    ],
)
def test_this_week_is_the_day_and_the_six_after_it(tmp_path: Path, day: date, state: str) -> None:
    """A window from 29 November to 4 December, seen from several days; 30 days past it, it is still shown."""
    found = expected(tmp_path, "", {"clutches/C26-02.md": LAID % "2026-10-05"}, day)
    assert found == [("hatched", "C26-02", "2026-11-29", "2026-12-04", state)]


def test_what_is_long_past_is_no_longer_expected(tmp_path: Path) -> None:
    """31 days after its window a clutch is not listed any more."""
    assert expected(tmp_path, "", {"clutches/C26-02.md": LAID % "2026-10-05"}, date(2027, 1, 4)) == []


def test_a_range_of_laying_days_widens_the_window(tmp_path: Path) -> None:
    """Laid on the 5th to the 7th: the first day from the 5th, the last from the 7th."""
    found = expected(tmp_path, "", {"clutches/C26-02.md": LAID % "2026-10-05..07"})
    assert found == [("hatched", "C26-02", "2026-11-29", "2026-12-06", "this week")]


def test_only_the_latest_stage_of_a_female_speaks(tmp_path: Path) -> None:
    """After her pre-lay shed the laying is awaited (25 to 35 days), the shed no more; after laying, the hatching alone."""
    ovulated = "2026-10-20,F-02,ovulation,,,\n"
    shed = f"{ovulated}2026-11-05,F-02,pre-lay shed,,,\n"
    assert expected(tmp_path / "a", ovulated, day=date(2026, 11, 10)) == [
        ("pre-lay shed", "F-02", "2026-11-03", "2026-11-10", "this week")
    ]
    assert expected(tmp_path / "b", shed) == [("laid", "F-02", "2026-11-30", "2026-12-10", "this week")]
    laid = expected(tmp_path / "c", shed, {"clutches/C26-02.md": LAID % "2026-11-24"})
    assert laid == [("hatched", "C26-02", "2027-01-18", "2027-01-23", "later")]
    assert expected(tmp_path / "d", f"{shed}2026-11-20,F-02,slugs only,,,\n") == []


@pytest.mark.parametrize(
    ("day", "result", "late"),
    [
        (date(2027, 1, 14), "", True),
        (date(2027, 1, 14), "never laid", True),
        (date(2027, 1, 15), "", True),
        (date(2027, 1, 15), "never laid", False),
        (date(2027, 6, 30), "", True),
        (date(2027, 7, 1), "", False),
    ],
)
def test_eggs_that_do_not_come_are_a_matter_for_a_veterinarian(
    tmp_path: Path, day: date, result: str, late: bool
) -> None:
    """Ovulated on 20 October; a shed that nobody saw from 3 to 10 November leaves the laying expected until 15 December. She is not ready
    until the season ends, or her plan's result has come and 30 days are over."""
    plan = f"[{{female: F-02, males: [M-01], from: 2026-10-01{f', result: {result}' if result else ''}}}]"
    rows = "2026-10-20,F-02,ovulation,,,\n2027-01-10,F-02,weight,,2000,\n"
    season = Season(FAMILY.book(tmp_path, {**log(rows), "season/2026.yaml": plan}), day)
    told = [line.detail for line in due_this_week(season)]
    overdue = f"overdue by {(day - date(2026, 12, 15)).days} days; look at her, and ask a reptile veterinarian"
    assert [line.partition(", ")[2] for line in told] == ([overdue] if late else [])
    assert ("F-02" in season.about_to_lay) == late
    assert any("F-02" in line.detail for line in who_is_ready(season) if line.text.startswith("Ready")) != late


@pytest.mark.parametrize(("other", "waits"), [("", True), (", result: never laid", False)])
def test_she_is_waited_for_while_any_plan_of_hers_is_open(tmp_path: Path, other: str, waits: bool) -> None:
    """Two plans of one season: the result of the first alone ends nothing."""
    plan = "{female: F-02, males: [%s], from: 2026-10-01%s}"
    plans = f"[{plan % ('M-01', ', result: never laid')}, {plan % ('M-02', other)}]"
    found = expected(tmp_path, "2026-10-20,F-02,ovulation,,,\n", {"season/2026.yaml": plans}, date(2027, 1, 15))
    assert [row[0] for row in found] == (["laid"] if waits else [])


def test_a_building_that_is_logged_later_ends_no_waiting(tmp_path: Path) -> None:
    """Nothing is commonly awaited from a building: the shed before it still speaks, and she is not ready."""
    rows = "2026-10-15,F-02,ovulation,,,\n2026-11-05,F-02,pre-lay shed,,,\n2026-11-22,F-02,building,,,\n"
    assert expected(tmp_path, rows) == [("laid", "F-02", "2026-11-30", "2026-12-10", "this week")]


@pytest.mark.parametrize(
    ("clutch", "waits"),
    [
        ("eggs: 1, hatched: 2026-12-28, young: [1 f normal]", False),
        ("eggs: 1, hatched: 2026-12-13, young: [1 f normal]", True),
        ("eggs: 0, slugs: 5, ended: 2026-11-20", False),
        ("eggs: 4, went_bad: 4, ended: 2026-10-10", True),
        ("eggs: 4", False),
        ("eggs: 0, slugs: 5", True),
    ],
)
def test_a_clutch_whose_laying_nobody_dated_ends_the_waiting(tmp_path: Path, clutch: str, waits: bool) -> None:
    """It was laid 55 days before it hatched at the latest, and before it ended; eggs in the incubator were laid. One that was laid before
    she ovulated, on 20 October, or nobody knows when, may be of an earlier year."""
    files = {
        **log("2026-10-20,F-02,ovulation,,,\n"),
        "clutches/more.yaml": f"[{{id: C26-02, sire: M-01, dam: F-02, {clutch}}}]",
    }
    collection, private = FAMILY.both(tmp_path, files)
    found = due(collection, private, date(2026, 12, 29))
    assert [one.about for one in found if one.comes == "laid"] == ["F-02"] * waits


def test_a_pip_narrows_the_window(tmp_path: Path) -> None:
    """Once pipped, hatching is a matter of one to three days."""
    found = expected(tmp_path, "2026-11-24,C26-02,pipped,,1,\n", {"clutches/C26-02.md": LAID % "2026-10-01"})
    assert found == [("hatched", "C26-02", "2026-11-25", "2026-11-27", "this week")]


def test_a_laying_in_the_log_alone_is_awaited_and_said_to_have_no_record(tmp_path: Path) -> None:
    """The window stands under the female, marked as not recorded."""
    collection, private = FAMILY.both(tmp_path, log("2026-10-05,F-02,laid,,5,\n"))
    items = [item for item in due(collection, private, DAY) if item.about == "F-02"]
    assert [(item.comes, str(item.first), item.recorded) for item in items] == [("hatched", "2026-11-29", False)]


def test_the_corn_snake_has_windows_of_its_own(tmp_path: Path) -> None:
    """Laid to hatched 55 to 65 days, pre-lay shed to laid 7 to 14 (species file; common practice, no source)."""
    corn = {"animals/F-21.md": "---\nid: F-21\nspecies: corn-snake\nsex: female\nhatched: 2020\n---\n"}
    found = expected(tmp_path, "2026-11-20,F-21,pre-lay shed,,,\n", corn)
    assert found == [("laid", "F-21", "2026-11-27", "2026-12-04", "this week")]


def test_first_sheds_are_awaited_of_the_young_that_are_here(tmp_path: Path) -> None:
    """Hatched on 13 July, first sheds from day 7 to 14; those that shed, ate or left are no longer among them."""
    rows = "2026-07-21,C26-01-1,first shed,,,\n2026-07-22,C26-01-2,meal,,hopper,\n"
    sale = "- {animals: [C26-01-3], handed_over: 2026-07-20}\n"
    collection, private = FAMILY.both(tmp_path, {**log(rows), "sales/s.yaml": sale})
    items = due(apply_sales(collection, private), private, date(2026, 7, 22))
    assert [(item.comes, item.about, str(item.first), str(item.last), item.young) for item in items] == [
        ("first shed", "C26-01", "2026-07-20", "2026-07-27", ("C26-01-2", "C26-01-4"))
    ]


# ---- holds


SALES = """- {animals: [C26-01-1], buyer: A, agreed: 100, held: 2026-11-01, until: 2026-11-29, payments: [{on: 2026-11-01, amount: 20}]}
- {animals: [C26-01-2], buyer: B, agreed: 120, held: 2026-10-01, until: 2026-11-20, ready_to_go: 2026-10-30}
- {animals: [C26-01-3], buyer: C, agreed: 300, handed_over: 2026-11-14, payments: [{on: 2026-11-14, amount: 250.50}]}
- {animals: [C26-01-4], buyer: D, agreed: 90, held: 2026-11-20, until: 2026-12-20, payments: [{on: 2026-11-20, amount: 90}]}
"""


def test_holds_end_soonest_first(tmp_path: Path) -> None:
    """Ended five days ago, four days left; what is paid for does not end; a hand-over is no hold."""
    collection, private = FAMILY.both(tmp_path, {"sales/s.yaml": SALES})
    found = [(hold.sale.animals[0], hold.ended, hold.days_left) for hold in holds(collection, private, DAY)]
    assert found == [("C26-01-2", True, -5), ("C26-01-1", False, 4), ("C26-01-4", False, None)]


def test_open_money_is_exact_and_animals_that_are_gone_come_first(tmp_path: Path) -> None:
    """300 agreed, 250.50 paid: 49.50 open, and the animal has left."""
    collection, private = FAMILY.both(tmp_path, {"sales/s.yaml": SALES})
    found = [(one.sale.animals[0], one.open_, one.gone) for one in balances(collection, private, DAY)]
    assert found == [
        ("C26-01-3", Fraction(99, 2), True),
        ("C26-01-1", Fraction(80), False),
        ("C26-01-2", Fraction(120), False),
    ]


def test_young_are_not_ready_until_the_log_shows_it(tmp_path: Path) -> None:
    """Three meals in a row and a shed (species file; common practice); a refusal begins the row anew. Two rows of a day are one meal."""
    rows = "2026-07-23,C26-01-1,first shed,,,\n2026-07-23,C26-01-2,first shed,,,\n" + "".join(
        f"2026-08-{day:02d},{animal},{event},,hopper,\n"
        for animal, events in (
            ("C26-01-1", ("first meal", "meal", "meal")),
            ("C26-01-2", ("first meal", "meal", "refused", "meal")),
        )
        for day, event in zip((1, 8, 15, 22), events, strict=False)
    )
    rows += "2026-08-22,C26-01-2,first meal,,hopper,\n"
    collection, private = FAMILY.both(tmp_path, {**log(rows), "sales/s.yaml": SALES})
    found = {
        one.animal: (sentences.not_seen(one), one.promised) for one in not_ready_to_leave(collection, private, DAY)
    }
    assert found == {
        "C26-01-2": (("1 of 3 meals in a row logged",), True),
        "C26-01-4": (("no meal or shed is logged",), True),
    } | ({"C26-01-3": (("no meal or shed is logged",), False)})


def test_a_hand_over_lists_what_is_missing_and_what_goes_along(tmp_path: Path) -> None:
    """The balance, the meals, and the rules that the species file names; the longest ready first."""
    collection, private = FAMILY.both(tmp_path, {"sales/s.yaml": SALES})
    found = hand_overs(collection, private, DAY)
    assert [one.sale.animals[0] for one in found] == ["C26-01-2", "C26-01-1", "C26-01-4"]
    assert sentences.to_settle(found[0]) == ("the balance is open", "C26-01-2: no meal or shed is logged")
    assert str(found[0].since) == "2026-10-30"
    assert any("CITES" in rule for rule in sentences.law(found[0]))


def test_what_died_before_a_hand_over_does_not_go_along(tmp_path: Path) -> None:
    sale = "- {animals: [C26-01-1, C26-01-3], buyer: Bo, held: 2026-10-01}\n"
    dead = "- {id: C26-01-1, left: {how: died, on: 2026-11-01}}\n"
    (found,) = hand_overs(*FAMILY.both(tmp_path, {"sales/s.yaml": sale, "animals/y.yaml": dead}), DAY)
    assert found.sale.animals == ("C26-01-3",)
    assert not any("C26-01-1" in said for said in (*sentences.papers(found), *sentences.to_settle(found)))


def test_a_loan_that_ends_is_told_in_time(tmp_path: Path) -> None:
    """Ten days left is within the fortnight's notice, twenty are not."""
    lent = "- {id: X-%d, sex: male, private: {shared: {with: Someone, until: %s}}}\n"
    animals = FAMILY_ANIMALS + lent % (1, "2026-12-05") + lent % (2, "2026-12-15")
    collection, private = FAMILY.both(tmp_path, {"animals/all.yaml": animals})
    assert [(one.holding.animal, one.days_left) for one in loans_ending(collection, private, DAY)] == [("X-1", 10)]


# ---- people to tell

THIRD, HALF = (
    ToldFigure(Fraction(1, 3), "33% possible het Piebald"),
    ToldFigure(Fraction(1, 2), "50% possible het Piebald"),
)


def test_a_buyer_is_told_what_changed_since_the_sale(content_dir: Path) -> None:
    """C22-02-2 went out at 1/3 and is at 1/2 now, and its buyer never heard."""
    both = read_everything(content_dir)
    assert both.collection is not None
    assert both.private is not None
    sale = next(sale for sale in both.private.sales if sale.animals == ("C22-02-2",))
    since = sale.knows_since(DAY)
    assert since is not None
    changes = changes_between(ToldAnimal("male", (), {"Piebald": THIRD}), ToldAnimal("male", (), {"Piebald": HALF}))
    animal = both.collection.animals["C22-02-2"]
    message = message_to(both.collection, sale, animal, since, changes, "Juniper proved to carry it.")
    assert "- Piebald: then 33% possible het Piebald; now 50% possible het Piebald." in message
    assert message.startswith("Hello Jory Pellwright,\n")
    assert "Juniper proved to carry it." in message


def test_sex_and_look_are_compared_as_they_were_on_record(tmp_path: Path) -> None:
    """Until the day of its correction the old sex was known; a look read again later was not known before."""
    animal = (
        "---\nid: X-1\nsex: male\nlooks:\n  - {on: 2021-10-01, shows: normal}\n  - {on: 2021-12-05, shows: [Pastel]}\n"
        "corrections:\n  - {on: 2024-01-09, key: sex, was: unknown, because: probed}\n"
        "  - {on: 2025-01-09, key: sex, was: female, because: probed again}\n---\n"
    )
    collection, _ = FAMILY.both(tmp_path, {"animals/X-1.md": animal})
    record = collection.animals["X-1"]
    days = (date(2024, 1, 8), date(2024, 1, 9), date(2025, 1, 8), date(2025, 1, 9))
    assert [sex_on(record, day) for day in days] == ["unknown", "female", "female", "male"]
    seen = (date(2021, 9, 30), date(2021, 10, 1), date(2021, 12, 4), date(2021, 12, 5))
    assert [(read := record.reading_on(day)) and read.shows for day in seen] == [None, (), (), ("Pastel",)]


def test_looks_in_another_order_are_the_same_and_what_a_look_shows_is_told_once() -> None:
    seen, before = ToldAnimal("female", ("Pastel", "Enchi"), {}), ToldAnimal("female", ("Enchi", "Pastel"), {})
    assert changes_between(before, seen) == ()
    now = ToldAnimal("female", ("Enchi", "Pastel", "Mojave"), {"Mojave": ToldFigure(Fraction(1), "Mojave")})
    assert [change.about for change in changes_between(before, now)] == ["look"]


def test_nobody_is_told_of_what_came_back_or_has_not_left(tmp_path: Path) -> None:
    """A hold, and a sale that was returned or given up, have no buyer who needs to know."""
    sales = "- {animals: [C26-01-1], held: 2026-11-01}\n- {animals: [C26-01-2], handed_over: 2026-09-01, returned: 2026-10-01}\n"
    sales += "- {animals: [C26-01-1], agreed: 100, payments: [{on: 2026-09-01, amount: 100}], given_up: 2026-10-01}\n"
    _, private = FAMILY.both(tmp_path, {"sales/s.yaml": sales})
    assert [sale.knows_since(DAY) for sale in private.sales] == [None] * 3
    assert [sale.knows_since(date(2026, 9, 15)) for sale in private.sales[1:]] == [date(2026, 9, 1)] * 2


def test_the_same_figure_in_other_words_is_no_change() -> None:
    """Chances are compared, not their words; a figure that appeared or went to nothing is a change."""

    def told(before: dict[str, ToldFigure], now: dict[str, ToldFigure]) -> list[str]:
        changes = changes_between(ToldAnimal("female", (), before), ToldAnimal("female", (), now))
        return [f"{change.before} > {change.now}" for change in changes]

    assert told({"Piebald": HALF}, {"Piebald": ToldFigure(Fraction(1, 2), "even chance")}) == []
    two = (ToldFigure(Fraction(share, 1000), "66% possible het Piebald") for share in (661, 662))
    assert told({"Piebald": next(two)}, {"Piebald": next(two)}) == []
    quarter = ToldFigure(Fraction(1, 4), "25% possible het Piebald", count=" (1 in 4)")
    assert told({"Piebald": quarter}, {"Piebald": ToldFigure(Fraction(251, 1000), quarter.words)}) == []
    third, two_thirds = (
        ToldFigure(Fraction(1), f"Pinstripe, {percent} chance of two copies", shown=True, twice=twice)
        for percent, twice in (("33%", Fraction(1, 3)), ("66%", Fraction(2, 3)))
    )
    assert told({"Pinstripe": third}, {"Pinstripe": two_thirds}) == [f"{third.words} > {two_thirds.words}"]
    assert told({}, {"Piebald": HALF}) == ["nothing said of it > 50% possible het Piebald"]
    nothing = ToldFigure(Fraction(0), "nothing speaks for it")
    assert told({"Piebald": HALF}, {"Piebald": nothing}) == ["50% possible het Piebald > nothing speaks for it"]
