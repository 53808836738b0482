"""On that very day, and at exactly that limit: what the season's lists say at their edges.

Windows and limits are the species file's: common practice, no source. The ball python's: ovulation to pre-lay shed 14 to 21 days, laid to
hatched 55 to 60, hatched to first shed 7 to 14.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path
from shutil import copytree
from types import SimpleNamespace
from typing import Any

import pytest
from msgspec.structs import replace
from tests.rooms import (
    BARE,
    FAMILY,
    FAMILY_ANIMALS,
    FAMILY_SETTINGS,
    GALLERY,
    SETTINGS,
    Room,
    book_of,
    log,
    page_of,
    site_of,
)
from tests.said.reading_aloud import lines_of_page

from clutchlight.cli.remarks import after_build
from clutchlight.cli.season_list import season_text
from clutchlight.desk import Season, sentences
from clutchlight.desk.buyers import (
    ToldAnimal,
    ToldChange,
    ToTell,
    buyers_to_tell,
    changes_between,
    message_to,
    not_known,
    told_line,
)
from clutchlight.desk.evening import balance_card, proves_most, tell_card
from clutchlight.desk.pages import DeskFraming, DeskTheme
from clutchlight.desk.people import paper_page, people_page
from clutchlight.desk.sentences import flags_in_words
from clutchlight.desk.today import today_page
from clutchlight.ledger.dated_records import edited, stamp
from clutchlight.model import Collection, When
from clutchlight.model.collection import as_it_stood
from clutchlight.model.private import Payment, Private, SeasonRules, Told
from clutchlight.pipeline import Book
from clutchlight.planning.due import due
from clutchlight.planning.readiness import OWN, Limit, cautions, grown, male_limits, readiness, windows
from clutchlight.planning.rotation import MaleAtWork, males_in_rotation
from clutchlight.planning.sales import balances, hand_overs, holdings, holds, loans_ending, not_ready_to_leave, undated
from clutchlight.reading.species_files import ReadyWhen, fact_of
from clutchlight.shipped import themes
from clutchlight.site.theme import load_theme
from clutchlight.statements.values import to_json

DAY = date(2026, 11, 25)
NEXT, BEFORE = DAY + timedelta(days=1), DAY - timedelta(days=1)
LAID = "---\nid: C26-02\nsire: M-01\ndam: F-02\nlaid: %s\neggs: 5\n%s---\n"


def awaited(folder: Path, rows: str, more: Mapping[str, str] | None = None, day: date = DAY) -> list[str]:
    """What is due: what comes, of whom, and from when."""
    collection, private = FAMILY.both(folder, {**log(rows), **(more or {})})
    return [f"{one.comes} {one.about} {one.first}" for one in due(collection, private, day) if one.about != "C26-01"]


def clutch(laid: str, more: str = "") -> dict[str, str]:
    return {"clutches/C26-02.md": LAID % (laid, more)}


# ---- what is due


def test_what_is_seen_on_the_day_itself_counts_and_what_follows_does_not(tmp_path: Path) -> None:
    """An ovulation of the 25th speaks on the 25th, not on the 24th."""
    rows = "2026-11-25,F-02,ovulation,,,\n"
    assert awaited(tmp_path / "a", rows) == ["pre-lay shed F-02 2026-12-09"]
    assert awaited(tmp_path / "b", rows, day=BEFORE) == []


def test_of_two_stages_on_one_day_the_later_stage_speaks(tmp_path: Path) -> None:
    """Building and ovulation written down on one day, in either order."""
    rows = ["2026-11-20,F-02,ovulation,,,\n", "2026-11-20,F-02,building,,,\n"]
    assert awaited(tmp_path / "a", "".join(rows)) == ["pre-lay shed F-02 2026-12-04"]
    assert awaited(tmp_path / "b", "".join(reversed(rows))) == ["pre-lay shed F-02 2026-12-04"]


@pytest.mark.parametrize("event", ["laid", "slugs only"])
def test_what_was_laid_on_the_day_of_her_shed_ends_the_waiting(tmp_path: Path, event: str) -> None:
    """On that very day, by the log; what was laid the day before was of something else."""
    shed = "2026-11-05,F-02,pre-lay shed,,,\n"
    assert not any(one.startswith("laid ") for one in awaited(tmp_path / "a", f"{shed}2026-11-05,F-02,{event},,,\n"))
    assert "laid F-02 2026-11-30" in awaited(tmp_path / "b", f"2026-11-04,F-02,{event},,,\n{shed}")


def test_a_clutch_laid_on_the_day_of_her_shed_ends_the_waiting(tmp_path: Path) -> None:
    """The same by the record of a clutch, whose last possible day counts."""
    shed = "2026-11-05,F-02,pre-lay shed,,,\n"
    assert awaited(tmp_path / "a", shed, clutch("2026-11-05")) == ["hatched C26-02 2026-12-30"]
    assert awaited(tmp_path / "b", shed, clutch("2026-11-03..05")) == ["hatched C26-02 2026-12-28"]
    assert "laid F-02 2026-11-30" in awaited(tmp_path / "c", shed, clutch("2026-11-04"))


def test_a_clutch_is_awaited_from_the_day_on_which_it_was_laid(tmp_path: Path) -> None:
    """Not before; and not one that was ended."""
    assert awaited(tmp_path / "a", "", clutch("2026-11-25")) == ["hatched C26-02 2027-01-19"]
    assert awaited(tmp_path / "b", "", clutch("2026-11-25"), BEFORE) == []
    assert awaited(tmp_path / "c", "", clutch("2026-10-25", "ended: 2026-11-20\n")) == []


def test_only_a_pip_of_this_clutch_narrows_its_window(tmp_path: Path) -> None:
    """Written under the dam it counts from the day of laying on; one of another clutch, or of before, does not."""
    wide, pipped = ["hatched C26-02 2026-11-25"], ["hatched C26-02 2026-11-24"]
    laid = clutch("2026-10-01")
    assert awaited(tmp_path / "a", "", laid) == wide
    assert awaited(tmp_path / "b", "2026-11-23,F-02,pipped,,1,\n", laid) == pipped
    assert awaited(tmp_path / "c", "2026-11-23,F-01,pipped,,1,\n", laid) == wide
    assert awaited(tmp_path / "d", "2026-09-30,F-02,pipped,,1,\n", laid) == wide
    assert awaited(tmp_path / "e", "2026-11-26,F-02,pipped,,1,\n", laid) == wide


def test_a_clutch_that_hatched_by_the_log_is_awaited_no_more(tmp_path: Path) -> None:
    """On the day itself; the day before it still was."""
    rows, laid = "2026-11-25,C26-02,hatched,,5,\n", clutch("2026-10-01")
    assert awaited(tmp_path / "a", rows, laid) == []
    assert awaited(tmp_path / "b", rows, laid, BEFORE) == ["hatched C26-02 2026-11-25"]


@pytest.mark.parametrize(("days", "same"), [(14, True), (15, False), (-14, True), (-15, False)])
def test_a_laying_in_the_log_within_a_fortnight_of_a_clutch_is_that_clutch(
    tmp_path: Path, days: int, same: bool
) -> None:
    """Up to fourteen days either way."""
    seen = date(2026, 10, 20)
    found = awaited(tmp_path, f"{seen + timedelta(days=days)},F-02,laid,,5,\n", clutch(str(seen)))
    assert any(" F-02 " in one for one in found) != same


def test_a_laying_in_the_log_alone_is_awaited_until_it_hatched(tmp_path: Path) -> None:
    """After its day, and by the day asked about; of that female."""
    rows = "2026-10-01,F-02,laid,,5,\n"
    expected = ["hatched F-02 2026-11-25"]
    assert awaited(tmp_path / "a", rows) == expected
    assert awaited(tmp_path / "b", f"{rows}2026-11-25,F-02,hatched,,5,\n") == []
    assert awaited(tmp_path / "c", f"{rows}2026-11-25,F-02,hatched,,5,\n", day=BEFORE) == expected
    assert awaited(tmp_path / "d", f"{rows}2026-11-25,F-01,hatched,,5,\n") == expected


def test_of_a_female_that_left_nothing_is_awaited(tmp_path: Path) -> None:
    """Whatever the log saw of her before."""
    gone = {"animals/F-09.md": "---\nid: F-09\nsex: female\nhatched: 2019\nleft: {on: 2026-11-21, how: sold}\n---\n"}
    assert awaited(tmp_path, "2026-11-20,F-09,ovulation,,,\n", gone) == []


def test_eggs_at_somebody_else_s_are_not_awaited_here(tmp_path: Path) -> None:
    """A clutch that its keeper reported, in the egg and hatched."""
    here = clutch("2026-10-01", "reported_by: Wilma Test\n")
    assert awaited(tmp_path / "a", "", here) == []
    young = clutch("2026-09-20", "reported_by: Wilma Test\nhatched: 2026-11-18\ncomplete: no\nyoung:\n  - 1 f normal\n")
    assert awaited(tmp_path / "b", "", young) == []


def test_first_sheds_are_awaited_from_the_day_of_hatching_on(tmp_path: Path) -> None:
    """On that day, not before; a shed of the day asked about is seen."""
    young = clutch("2026-09-28", "hatched: 2026-11-25\ncomplete: no\nyoung:\n  - 1 f normal\n  - 2 m normal\n")
    assert awaited(tmp_path / "a", "", young) == ["first shed C26-02 2026-12-02"]
    assert awaited(tmp_path / "b", "", young, BEFORE) == []
    older = clutch("2026-09-20", "hatched: 2026-11-18\ncomplete: no\nyoung:\n  - 1 f normal\n")
    shed = "2026-11-25,C26-02-1,first shed,,,\n"
    assert not any(one.startswith("first shed") for one in awaited(tmp_path / "c", shed, older))
    assert any(one.startswith("first shed") for one in awaited(tmp_path / "d", shed, older, BEFORE))


def test_only_what_the_log_alone_knows_is_marked_as_not_recorded(tmp_path: Path) -> None:
    """A clutch on record and an ovulation are recorded as far as they go."""
    rows = "2026-11-20,F-03,ovulation,,,\n2026-10-05,F-01,laid,,5,\n"
    collection, private = FAMILY.both(tmp_path, {**log(rows), **clutch("2026-10-01")})
    found = {(one.comes, one.about): one.recorded for one in due(collection, private, DAY)}
    assert found["pre-lay shed", "F-03"]
    assert found["hatched", "C26-02"]
    assert not found["hatched", "F-01"]


def test_what_is_due_comes_in_order_of_its_first_day(tmp_path: Path) -> None:
    """Then by what it is about."""
    found = awaited(
        tmp_path,
        "2026-11-20,F-02,ovulation,,,\n2026-11-20,F-01,ovulation,,,\n2026-11-10,F-03,ovulation,,,\n",
    )
    assert found == ["pre-lay shed F-03 2026-11-24", "pre-lay shed F-01 2026-12-04", "pre-lay shed F-02 2026-12-04"]


# ---- holds and money


def sales(folder: Path, text: str, rows: str = "") -> tuple[Collection, Private]:
    return FAMILY.both(folder, {"sales/s.yaml": text, **log(rows)})


@pytest.mark.parametrize(
    ("until", "ended", "left"),
    [
        ("2026-11-24", True, -1),
        ("2026-11-25", False, 0),
    ],
)
def test_a_hold_ends_after_its_last_day(tmp_path: Path, until: str, ended: bool, left: int) -> None:
    """On its last day it holds."""
    collection, private = sales(tmp_path, f"- {{animals: [C26-01-1], held: 2026-11-01, until: {until}}}\n")
    assert [(one.ended, one.days_left) for one in holds(collection, private, DAY)] == [(ended, left)]


def test_a_hold_begins_on_its_day_and_one_without_an_end_comes_last(tmp_path: Path) -> None:
    """Held from the 25th on; without a last day it is held."""
    text = "- {animals: [C26-01-1], held: 2026-11-25}\n- {animals: [C26-01-2], held: 2026-11-25, until: 2027-11-25}\n"
    collection, private = sales(tmp_path, text)
    found = [(one.sale.animals[0], one.to_come, one.days_left) for one in holds(collection, private, DAY)]
    assert found == [("C26-01-2", False, 365), ("C26-01-1", False, None)]
    assert all(one.to_come for one in holds(collection, private, BEFORE))
    assert [sentences.hold(one, BEFORE) for one in holds(collection, private, BEFORE)] == [
        "from 25 Nov to 25 Nov 2027",
        "from 25 Nov on",
    ]


def test_a_hold_says_on_which_day_to_come_it_is_to_be_handed_over(tmp_path: Path) -> None:
    """The day stands in its record, though no last day of the hold does."""
    collection, private = sales(tmp_path, "- {animals: [C26-01-1], held: 2026-11-25, handed_over: 2026-11-29}\n")
    assert [sentences.hold(one, DAY) for one in holds(collection, private, DAY)] == ["to be handed over on 29 Nov"]


def test_a_returned_sale_holds_nothing_and_owes_nothing(tmp_path: Path) -> None:
    """Neither a hold, nor money that is open, nor a hand-over to come."""
    text = "- {animals: [C26-01-1], agreed: 100, held: 2026-07-20, handed_over: 2026-08-01, returned: 2026-09-01}\n"
    collection, private = sales(tmp_path, text)
    assert (
        holds(collection, private, DAY),
        balances(collection, private, DAY),
        hand_overs(collection, private, DAY),
    ) == (
        (),
        (),
        (),
    )


@pytest.mark.parametrize(("amount", "open_"), [("99.99", [Fraction(1, 100)]), ("100", []), ("99", [Fraction(1)])])
def test_money_is_open_until_the_last_cent(tmp_path: Path, amount: str, open_: list[Fraction]) -> None:
    """Of 100."""
    text = (
        f"- {{animals: [C26-01-1], agreed: 100, held: 2026-11-01, payments: [{{on: 2026-11-25, amount: {amount}}}]}}\n"
    )
    collection, private = sales(tmp_path, text)
    assert [one.open_ for one in balances(collection, private, DAY)] == open_
    assert ["the balance is open" in sentences.to_settle(one) for one in hand_overs(collection, private, DAY)] == [
        bool(open_)
    ]


def test_a_payment_counts_from_its_day_on(tmp_path: Path) -> None:
    """What is paid on the 25th is open on the 24th."""
    text = "- {animals: [C26-01-1], agreed: 100, held: 2026-11-01, payments: [{on: 2026-11-25, amount: 100}]}\n"
    collection, private = sales(tmp_path, text)
    assert [one.open_ for one in balances(collection, private, BEFORE)] == [Fraction(100)]
    assert "the balance is open" in sentences.to_settle(hand_overs(collection, private, BEFORE)[0])
    assert balances(collection, private, DAY) == ()


def test_an_animal_is_gone_from_the_day_of_its_hand_over_on(tmp_path: Path) -> None:
    """The day before, nothing of a sale is known that has no earlier day."""
    collection, private = sales(tmp_path, "- {animals: [C26-01-1], agreed: 100, handed_over: 2026-11-25}\n")
    assert [one.gone for one in balances(collection, private, DAY)] == [True]
    assert balances(collection, private, BEFORE) == (), "nothing of the sale is known before its first day"


@pytest.mark.parametrize(
    ("sale", "said"),
    [
        ("agreed: 100, payments: [{on: 2026-11-01, amount: 20.5}]", "€20.50 to pay back, since C26-01-4 died"),
        ("held: 2026-11-01, deposit: 30", "a deposit of €30: to pay back if it was paid, since C26-01-4 died"),
        ("agreed: 100, held: 2026-11-01", None),
        ("agreed: 100, payments: [{on: 2026-11-01, amount: 20}], handed_over: 2026-11-02", "€80 of €100 open"),
    ],
)
def test_what_was_paid_for_an_animal_that_died_is_owed_back(tmp_path: Path, sale: str, said: str | None) -> None:
    """Nothing is left of what was agreed; after the hand-over the loss is the buyer's, and for the two of them to settle."""
    died = "- {id: C26-01-4, left: {on: 2026-11-20, how: died}}\n"
    files = {"animals/gone.yaml": died, "sales/s.yaml": f"- {{animals: [C26-01-4], {sale}}}\n"}
    opened = FAMILY.read(tmp_path, files)
    assert opened.collection is not None
    assert opened.private is not None
    found = [sentences.balance(one, "EUR") for one in balances(opened.collection, opened.private, DAY)]
    assert [text.partition(" before")[0].partition(";")[0] for text in found] == ([said] if said else [])


def test_the_desk_says_of_a_sold_animal_that_it_died(tmp_path: Path) -> None:
    """Wherever its buyer is to be written to or has still to pay, and on its receipt."""
    corrected = "corrections: [{on: 2026-11-01, key: sex, was: female, because: probed}]"
    died = f"- {{id: C26-01-4, sex: male, left: {{on: 2026-10-20, how: died}}, {corrected}}}\n"
    sale = "- {animals: [C26-01-4], buyer: Ada, agreed: 100, handed_over: 2026-10-01}\n"
    clutch = str(FAMILY.base["clutches/C26-01.md"]).replace("4 f", "4 m")
    files = {"clutches/C26-01.md": clutch, "animals/gone.yaml": died, "sales/s.yaml": sale}
    season = Season(FAMILY.book(tmp_path, files), DAY)
    said = "C26-01-4, which died on 20 October 2026"
    assert [(line.text, line.detail) for line in tell_card(season).lines] == [("Ada", f"{said}: now male")]
    (balance,) = balance_card(season).lines
    assert balance.detail == "C26-01-4: €100 of €100 open; the animal has been handed over; C26-01-4 died"
    framing = DeskFraming(season, DeskTheme(load_theme("paper", [themes()])))
    assert [one.animal for one in people_page(framing).shown["tell"]] == [said]
    (paper,) = paper_page(framing, "sale.html", season.private.sales[0]).shown["animals"]
    assert ("Died", "20 October 2026") in [(fact.term, fact.value) for fact in paper.facts]


def test_a_hand_over_is_ready_from_its_day_on(tmp_path: Path) -> None:
    """Until then it says from when; those without a day come last."""
    text = "- {animals: [C26-01-1], held: 2026-11-01}\n- {animals: [C26-01-2], held: 2026-11-01, ready_to_go: 2026-11-25}\n"
    collection, private = sales(tmp_path, text)
    found = hand_overs(collection, private, DAY)
    assert [(one.sale.animals[0], one.since) for one in found] == [("C26-01-2", DAY), ("C26-01-1", None)]
    assert not any(lack.startswith("ready from") for lack in sentences.to_settle(found[0]))
    early = {one.sale.animals[0]: one for one in hand_overs(collection, private, BEFORE)}
    assert early["C26-01-2"].since is None
    assert "not ready before 25 November 2026" in sentences.to_settle(early["C26-01-2"])


def test_a_hand_over_lacks_what_its_papers_need(tmp_path: Path) -> None:
    """Sex, origin and date of hatching; what is on record is not asked for."""
    bare = "---\nid: X-1\nsex: unknown\n---\n"
    whole = "---\nid: X-2\nsex: male\nhatched: 2024-06-01\norigin: captive bred\n---\n"
    text = "- {animals: [X-1], held: 2026-11-01}\n- {animals: [X-2], held: 2026-11-02}\n"
    collection, private = FAMILY.both(tmp_path, {"animals/X-1.md": bare, "animals/X-2.md": whole, "sales/s.yaml": text})
    first, second = hand_overs(collection, private, DAY)
    assert sentences.to_settle(first) == (
        "X-1: its sex is not on record",
        "X-1: its origin is not on record",
        "X-1: its date of hatching is not on record",
    )
    assert sentences.to_settle(second) == ()
    assert sentences.papers(second)[0] == "X-2: its statement, and its feeding and shedding record"


def test_the_papers_of_several_animals_name_each_rule_once(tmp_path: Path) -> None:
    """Each animal's own record, and the rules of its species one time."""
    collection, private = sales(tmp_path, "- {animals: [C26-01-1, C26-01-2], held: 2026-11-01}\n")
    papers = sentences.papers(hand_overs(collection, private, DAY)[0])
    assert len(set(papers)) == len(papers)
    assert [paper.partition(":")[0] for paper in papers if "its statement" in paper] == ["C26-01-1", "C26-01-2"]


# ---- young that are not ready


def fed(*events: tuple[int, str]) -> str:
    return "".join(f"2026-08-{day:02d},C26-01-1,{event},,hopper,\n" for day, event in events)


THREE = ((1, "first meal"), (8, "meal"), (15, "meal"))


def lacking(folder: Path, rows: str, day: date = DAY) -> tuple[str, ...] | None:
    collection, private = FAMILY.both(folder, log(rows))
    return next(
        (sentences.not_seen(one) for one in not_ready_to_leave(collection, private, day) if one.animal == "C26-01-1"),
        None,
    )


def test_a_hatchling_is_ready_at_exactly_what_the_rule_asks(tmp_path: Path) -> None:
    """Three meals in a row and one shed; each is counted up to the day itself."""
    shed = "2026-07-23,C26-01-1,first shed,,,\n"
    assert lacking(tmp_path / "a", shed + fed(*THREE)) is None
    assert lacking(tmp_path / "b", shed + fed(*THREE), date(2026, 8, 15)) is None
    assert lacking(tmp_path / "c", shed + fed(*THREE), date(2026, 8, 14)) == ("2 of 3 meals in a row logged",)
    assert lacking(tmp_path / "d", fed(*THREE)) == ("no shed logged",)
    assert lacking(tmp_path / "e", shed, date(2026, 7, 22)) == ("no meal or shed is logged",)
    assert lacking(tmp_path / "f", shed, date(2026, 7, 23)) == ("no meal logged (3 meals in a row are needed)",)


@pytest.mark.parametrize(("event", "what"), [("refused", "it last refused"), ("assisted", "it was last fed by hand")])
def test_a_meal_that_was_refused_or_helped_along_begins_the_row_anew(tmp_path: Path, event: str, what: str) -> None:
    """Other things in the log do not. The meals before are not denied."""
    shed = "2026-07-23,C26-01-1,first shed,,,\n"
    since = f"no meal logged since {what} (3 meals in a row are needed)"
    assert lacking(tmp_path / "a", shed + fed(*THREE, (22, event))) == (since,)
    assert lacking(tmp_path / "b", shed + fed(*THREE) + "2026-08-22,C26-01-1,shed,,,\n") is None


def test_only_young_of_a_year_that_are_offered_or_promised_are_looked_at(tmp_path: Path) -> None:
    """A year after hatching to the day; C26-01-4 is held back and nobody was promised it."""
    collection, private = FAMILY.both(tmp_path, {})
    assert [one.animal for one in not_ready_to_leave(collection, private, DAY)] == ["C26-01-1", "C26-01-2", "C26-01-3"]
    assert len(not_ready_to_leave(collection, private, date(2026, 7, 13))) == 3
    assert not_ready_to_leave(collection, private, date(2026, 7, 12)) == ()
    assert len(not_ready_to_leave(collection, private, date(2027, 7, 13))) == 3
    assert not_ready_to_leave(collection, private, date(2027, 7, 14)) == ()


def test_the_term_of_a_loan_is_told_a_fortnight_before(tmp_path: Path) -> None:
    """On the fourteenth day before, not on the fifteenth; one that has ended stays listed, first."""
    lent = "- {id: X-%d, sex: male, private: {shared: {with: Someone, until: %s}}}\n"
    dates = ("2026-12-09", "2026-12-10", "2026-11-01")
    animals = FAMILY_ANIMALS + "".join(lent % pair for pair in enumerate(dates, 1))
    collection, private = FAMILY.both(tmp_path, {"animals/all.yaml": animals})
    ending = loans_ending(collection, private, DAY)
    assert [(one.holding.animal, one.days_left) for one in ending] == [("X-3", -24), ("X-1", 14)]


def test_a_loan_is_open_until_it_came_back_or_left_otherwise(tmp_path: Path) -> None:
    """Back from the loan and dead since, or dead while out, it is with nobody; a second loan is open; a share ends with a death."""
    out = "how: loan, on: 2026-11-01"
    animals = (
        "- {id: X-1, sex: male, left: {%s, back: 2026-11-20, then: {how: died, on: 2026-11-25}}, private: {shared: {with: A}}}\n"
        "- {id: X-2, sex: male, left: {%s, then: {how: died, on: 2026-11-25}}, private: {shared: {with: B}}}\n"
        "- {id: X-3, sex: male, left: {%s, back: 2026-11-20, then: {how: loan, on: 2026-11-25}}, private: {shared: {with: C}}}\n"
        "- {id: X-4, sex: male, left: {how: died, on: 2026-11-25}, private: {shared: {with: D}}}\n"
    )
    files = {"animals/all.yaml": FAMILY_ANIMALS + animals % (out, out, out)}
    collection, private = FAMILY.both(tmp_path, files)
    assert [one.animal for one in holdings(collection, private)] == ["X-3"]
    stood = as_it_stood(collection, date(2026, 11, 10))
    assert [one.animal for one in holdings(stood, private)] == ["X-1", "X-2", "X-3", "X-4"]


# ---- people to tell


def test_a_buyer_knows_from_the_day_of_the_hand_over_until_the_day_of_the_return(tmp_path: Path) -> None:
    """On the day of the hand-over they know; on that of the return no more; what they were told on a day they know on it."""
    text = (
        "- {animals: [C26-01-1], handed_over: 2026-09-01, returned: 2026-10-01}\n"
        "- {animals: [C26-01-2], handed_over: 2026-09-01, told: [{on: 2026-11-25, about: Piebald}]}\n"
        "- {animals: [C26-01-3], handed_over: 2026-09-01, told: [{on: 2026-10-01, about: Piebald}, {on: 2026-11-01, about: sex}]}\n"
    )
    _, private = sales(tmp_path, text)
    back, told, twice = private.sales
    sold = date(2026, 9, 1)
    assert back.knows_since(date(2026, 8, 31)) is None
    assert back.knows_since(sold) == sold
    assert back.knows_since(date(2026, 9, 30)) == sold
    assert back.knows_since(date(2026, 10, 1)) is None
    assert (told.knows_since(BEFORE), told.knows_since(DAY)) == (sold, DAY)
    assert twice.knows_since(DAY) == date(2026, 11, 1)
    assert [sale.knows_since(BEFORE) for sale in private.sales] == [None, sold, date(2026, 11, 1)]


def test_what_was_told_of_one_animal_of_a_sale_leaves_the_others_to_tell(tmp_path: Path) -> None:
    """It names the animal; without a name it is of all. Another sale's animal is an error at its line."""
    day = date(2026, 10, 1)
    text = "- {{animals: [C26-01-1, C26-01-2], handed_over: 2026-09-01, told: [{{on: 2026-10-01, about: x{}}}]}}\n"
    for of, left in ((", animals: C26-01-1", date(2026, 9, 1)), ("", day)):
        _, private = sales(tmp_path, text.format(of))
        assert [private.sales[0].knows_since(DAY, name) for name in ("C26-01-1", "C26-01-2")] == [day, left]
    one = ToTell(private.sales[0], "C26-01-2", day, (), "")
    assert told_line(one, DAY).endswith(f"add {{on: {DAY}, about: ..., animals: [C26-01-2]}} to its list `told`")
    wrong = {"sales/s.yaml": text.format(", animals: [C26-01-3]")}
    found = FAMILY.read(tmp_path, wrong).problems
    assert [(one.code, one.message) for one in found] == [
        ("unknown-animal", "'C26-01-3' is no animal of this sale; it is about 'C26-01-1' and 'C26-01-2'")
    ]


def test_a_day_to_come_on_which_a_buyer_was_told_is_asked_about(tmp_path: Path) -> None:
    """A slip of the year would leave them on the list for good. What was told today is no slip."""
    text = f"- {{animals: [C26-01-1], handed_over: 2026-09-01, told: [{{on: {DAY}, about: x}}, {{on: 2062-10-01, about: x}}]}}\n"
    found = FAMILY.read(tmp_path, {"sales/s.yaml": text}, today=DAY).problems
    assert [(one.level, one.code, one.message) for one in found] == [
        (
            "warning",
            "future-date",
            "`told` is of 2062-10-01, in the future; the desk goes by it from that day on, so look at the year",
        )
    ]


def test_a_message_says_what_was_said_and_what_is(tmp_path: Path) -> None:
    """Sex and look by their words; "we last wrote" only where we did."""
    text = (
        "- {animals: [C26-01-1], buyer: Wim Test, handed_over: 2026-09-01, told: [{on: 2026-10-01, about: Piebald}]}\n"
    )
    collection, private = sales(tmp_path, text)
    changes = changes_between(ToldAnimal("unknown", None, {}), ToldAnimal("male", (), {}))

    def message(since: date, told: tuple[ToldChange, ...] = changes) -> list[str]:
        return message_to(collection, private.sales[0], collection.animals["C26-01-1"], since, told, "").splitlines()

    lines = message(date(2026, 10, 1))
    assert lines[:5] == [
        "Hello Wim Test,",
        "",
        "you took over C26-01-1, a ball python, from us on 1 September 2026.",
        "What we say of it has changed since we last wrote:",
        "",
    ]
    assert lines[5:7] == ["- sex: we said not known; it is male.", "- look: we said not looked at; it is normal."]
    assert "What we say of it has changed since then:" in message(date(2026, 9, 1))
    doubted = changes_between(ToldAnimal("male", (), {}), ToldAnimal("unknown", (), {}))
    assert message(date(2026, 9, 1), doubted)[5] == "- sex: we said male; it is not known."
    early = replace(private.sales[0], handed_over=When(date(2026, 9, 1), date.min, "before 2026-09-01"))
    undated = message_to(collection, early, collection.animals["C26-01-1"], date(2026, 9, 1), changes, "")
    assert "you took over C26-01-1, a ball python, from us.\n" in undated
    paid = replace(
        early, handed_over=None, agreed=Fraction(9), payments=(Payment(When.day(date(2026, 9, 1)), Fraction(9)),)
    )
    unmoved = message_to(collection, paid, collection.animals["C26-01-1"], date(2026, 9, 1), changes, "")
    assert "you paid us for C26-01-1, a ball python, on 1 September 2026.\n" in unmoved
    assert "bred" not in unmoved


def test_buyers_are_told_in_the_order_of_what_they_know(tmp_path: Path) -> None:
    """The one who has known longest first, then by animal; nobody whose animal reads as it did."""
    mended = "corrections: [{on: 2026-11-01, key: sex, was: unknown, because: probed}]"
    text = (
        "- {animals: [C26-01-1], handed_over: 2026-09-02}\n- {animals: [C26-01-3, C26-01-2], handed_over: 2026-09-01}\n"
        "- {animals: [C26-01-4], handed_over: 2026-09-01}\n"
    )
    young = "".join(f"- {{id: C26-01-{number}, {mended}}}\n" for number in (1, 2, 3))
    book = FAMILY.book(tmp_path, {"sales/s.yaml": text, "animals/young.yaml": young})
    found = buyers_to_tell(book.telling, book.private, book.ledger, DAY)
    assert [one.animal for one in found] == ["C26-01-2", "C26-01-3", "C26-01-1"]


def test_a_buyer_is_told_of_the_sire_of_the_dated_record_until_told() -> None:
    """The record names another sire than the dated one, and no correction does: told once, the buyer leaves the list."""
    book = book_of(GALLERY / "dated-records-then-correction")
    found = buyers_to_tell(book.telling, book.private, book.ledger, DAY)
    assert [(one.animal, [change.about for change in one.changes]) for one in found] == [
        ("C23-01-1", ["sire", "Piebald"]),
        ("C23-01-2", ["sire", "Piebald"]),
    ]
    assert "- sire: we said Stilt (M-1); it is Dunlin (M-2)." in found[0].message
    assert "\nThe reason: our records, or the rules by which we reckon, have changed since.\n" in found[0].message
    told = replace(book.private.sales[0], told=(Told(When.day(date(2026, 11, 20)), "all"),))
    assert buyers_to_tell(book.telling, replace(book.private, sales=(told,)), book.ledger, DAY) == ()


def test_a_buyer_is_told_of_a_look_that_was_corrected() -> None:
    """With a dated record, also of what it shows no longer and still carries; without one, of the look."""
    book = book_of(GALLERY / "a-look-corrected-after-its-sale")
    found = buyers_to_tell(book.telling, book.private, book.ledger, DAY)
    assert [(one.animal, [(it.about, it.before, it.now) for it in one.changes]) for one in found] == [
        ("C25-01-1", [("look", "Pastel", "normal")]),
        ("C25-01-2", [("look", "Pastel Piebald", "Pastel"), ("Piebald", "Piebald", "het Piebald")]),
    ]


@pytest.mark.parametrize(("day", "told_by_it"), [(7, True), (8, False)])
def test_a_dated_record_of_the_day_of_the_last_word_is_that_word(day: int, told_by_it: bool) -> None:
    """The record is of 7 October 2023, the animals left on the 6th; what was written a day later may have told of the edit."""
    book = book_of(GALLERY / "dated-records-then-correction")
    told = (Told(When.day(date(2023, 10, day)), "all"),)
    sale = replace(book.private.sales[0], handed_over=When.day(date(2023, 10, 6)), told=told)
    found = buyers_to_tell(book.telling, replace(book.private, sales=(sale,)), book.ledger, DAY)
    assert any("sire: we said Stilt (M-1); it is Dunlin (M-2)." in one.message for one in found) == told_by_it


def test_what_was_typed_at_a_sale_stands_beside_what_the_records_gave(tmp_path: Path) -> None:
    """Reasons speak of our figure, not of the one that was typed."""
    sale = "- {animals: [C26-01-1], buyer: Ada, agreed: 100, handed_over: 2026-08-01}\n"
    young = "- {id: C26-01-1, stated: {Piebald: 50%}}\n"
    book = FAMILY.book(tmp_path, {"sales/s.yaml": sale, "animals/young.yaml": young})
    (found,) = buyers_to_tell(book.telling, book.private, book.ledger, DAY)
    assert [change.before for change in found.changes] == ["50%, as typed for it where our records gave 100%"]


def test_a_buyer_is_told_that_a_figure_rests_on_an_unexpected_result() -> None:
    """So is who looks at the page of its clutch: half of what is said there hangs on it."""
    book = book_of(GALLERY / "a-brother-for-sale")
    (found,) = buyers_to_tell(book.telling, book.private, book.ledger, DAY)
    rests = "an unexpected result: a parent carries more than was recorded, or the parentage needs checking."
    assert f"one of them Piebald. This rests on {rests}" in found.message
    page = page_of(book, "clutches/C24-01/index.html")
    assert any(rests in line.replace("An unexpected", "an unexpected") for line in page)


def test_what_changed_of_another_trait_rests_on_no_unexpected_result(tmp_path: Path) -> None:
    """The buyer heard of the Piebald on 1 August; in September her sire proved het Clown."""
    folder = tmp_path / "collection"
    copytree(GALLERY / "a-brother-for-sale", folder)
    (folder / "animals/more.yaml").write_text("- {id: F-9, sex: female, hatched: 2021, shows: [Clown]}\n")
    clutch = "- {id: C26-09, sire: M-1, dam: F-9, eggs: 1, hatched: 2026-09-01, young: [1 f Clown]}\n"
    (folder / "clutches/more.yaml").write_text(clutch)
    animals = folder / "animals/all.yaml"
    animals.write_text(animals.read_text().replace("shows: [Cinnamon]", "shows: [Cinnamon], claims: {Clown: 66%}"))
    book = book_of(folder)
    told = replace(book.private.sales[0], told=(Told(When.day(date(2026, 8, 1)), "all"),))
    (found,) = buyers_to_tell(book.telling, replace(book.private, sales=(told,)), book.ledger, DAY)
    assert [change.about for change in found.changes] == ["Clown"]
    assert "unexpected" not in found.message


PARENT = "{id: %s, sex: %s, hatched: 2020, shows: normal, claims: {Piebald: 66%%, Clown: 50%%}}"
TWO_SOLD = Room(
    {
        "collection.yaml": SETTINGS,
        "animals/all.yaml": f"[{PARENT % ('F-1', 'female')}, {PARENT % ('M-1', 'male')}]\n",
        "sales/s.yaml": "[{animals: [C25-01-2], handed_over: 2025-09-01}, {animals: [C25-01-3], handed_over: 2025-10-10}]\n",
    }
)


REVIEW = 'set_aside: {Piebald: "two photos disagree"}, '


def two_and(first: str, more: str) -> dict[str, str]:
    """The clutch of two young that were sold, and of a third with a look."""
    young = f"{more}young: [1 f {first}, 2 m normal, 3 f normal]"
    clutch = f"{{id: C25-01, sire: M-1, dam: F-1, eggs: 3, hatched: 2025-07-30, {young}}}\n"
    return {"clutches/C25-01.yaml": clutch}


def stamped(folder: Path, on: date, first: str = "Piebald", more: str = "") -> Book:
    """The book after a stamp."""
    then = TWO_SOLD.book(folder, two_and(first, more), until=on)
    stamp(folder, then.collection, then.statements, on)
    return TWO_SOLD.book(folder, {})


def test_no_figure_gets_out_of_what_was_under_review(tmp_path: Path) -> None:
    """Not in the message of those days, nor in the dated record, nor later as what was said when it was sold."""
    stamped(tmp_path, date(2025, 8, 5))
    during = stamped(tmp_path, date(2025, 10, 1), more=REVIEW)
    ann, *_ = buyers_to_tell(during.telling, during.private, during.ledger, date(2025, 10, 2))
    told = [(it.about, it.before, it.now) for it in ann.changes]
    assert told == [("Piebald", "66% possible het Piebald (2 in 3)", "records under review")]
    assert "The reason: two photos disagree." in ann.message
    data = to_json(during.statements.animals["C25-01-2"])
    assert "Piebald: records under review" in str(data)
    assert "'carries': '2/3'" not in str(data)
    page = TWO_SOLD.page(tmp_path, {}, "animals/C25-01-1/index.html")
    assert any("Piebald under review; " in line and "% possible het Clown" in line for line in page)
    after = stamped(tmp_path, date(2025, 11, 1))
    bob = buyers_to_tell(after.telling, after.private, after.ledger, date(2025, 11, 2))[-1]
    told = [(it.about, it.before, it.now) for it in bob.changes]
    assert told == [("Piebald", "records under review", "66% possible het Piebald (2 in 3)")]
    page = TWO_SOLD.page(tmp_path, {}, "animals/C25-01-3/index.html")
    assert any(line.startswith("Piebald | ") and " | no figure | " in line for line in page)


def test_what_was_said_before_a_review_is_what_was_seen_then(tmp_path: Path) -> None:
    """Not what the records give without the look: that it carries Piebald, maybe in two copies."""
    parents = (
        "[{id: F-1, sex: female, shows: normal, claims: {Piebald: 50%}}, {id: M-1, sex: male, shows: [Piebald]}]\n"
    )
    sale = "- {animals: [C25-01-1], handed_over: 2025-09-01}\n"
    room = Room({**TWO_SOLD.base, "animals/all.yaml": parents, "sales/s.yaml": sale})
    then = room.book(tmp_path, two_and("Piebald", ""), until=date(2025, 8, 5))
    stamp(tmp_path, then.collection, then.statements, date(2025, 8, 5))
    book = room.book(tmp_path, two_and("Piebald", REVIEW))
    (told,) = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 10, 2))
    assert [(one.before, one.now) for one in told.changes] == [("Piebald", "records under review")]


def test_what_was_said_has_the_conditions_on_which_it_was_said(tmp_path: Path) -> None:
    """To the buyer whose seller took his word back, on the page of one that another male may have sired, and in their dated records."""
    said = "- {id: F-9, sex: female, shows: normal, claims: [{trait: Piebald%s}]}\n"
    files = {
        "animals/all.yaml": said % ", chance: 100%"
        + "- {id: M-2, sex: male, shows: [Clown]}\n- {id: M-5, sex: male, shows: normal}\n- {id: F-2, sex: female, shows: normal}\n",
        "clutches/C25-02.yaml": "{id: C25-02, sire: M-2, dam: F-2, laid: 2025-05-01, eggs: 1, hatched: 2025-07-01, young: [1 m normal]}\n",
        "log/2025.csv": "date,animal,event,with,value,note\n2025-03-01,M-5,paired,F-2,,\n",
        "sales/s.yaml": "- {animals: [F-9], handed_over: 2025-09-01}\n- {animals: [C25-02-1], handed_over: 2025-09-01}\n",
    }
    then = BARE.book(tmp_path, files, until=date(2025, 9, 1))
    stamp(tmp_path, then.collection, then.statements, date(2025, 9, 1))
    withdrawn = {
        "animals/all.yaml": files["animals/all.yaml"].replace("chance: 100%", "chance: 100%, withdrawn: 2025-10-01")
    }
    book = BARE.book(tmp_path, withdrawn)
    (told,) = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 10, 2))
    assert told.changes[0].before == "het Piebald, on the seller's word"
    page = page_of(book, "animals/F-9/index.html")
    assert any(line.endswith("normal; het Piebald, on the seller's word.") for line in page)
    page = page_of(book, "animals/C25-02-1/index.html")
    assert any(line.startswith("What we say of its genes is the same now as when it hatched") for line in page)
    assert any(line.endswith("normal; het Clown, if no other male sired it.") for line in page)


SIRE = "{on: %s, key: sire, was: %s, because: another tub}"


@pytest.mark.parametrize(
    ("sire", "sex", "corrections", "told"),
    [
        ("M-1", "male", [SIRE % ("2025-10-01", "M-2")], ["sire", "Clown", "Piebald"]),
        ("M-2", "female", [], ["sex"]),
    ],
)
def test_who_was_told_of_a_correction_hears_what_changed_since(
    tmp_path: Path, sire: str, sex: str, corrections: list[str], told: list[str]
) -> None:
    """All of the next one, and of the first no more: the dated record of the sale is older than what they know."""
    clutch = (
        "{id: C24-01, sire: %s, dam: F-1, eggs: 1, hatched: 2024-07-16, corrections: [%s],"
        " young: [{id: C24-01-1, sex: %s, shows: normal%s}]}\n"
    )
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, shows: normal}\n- {id: M-1, sex: male, shows: [Piebald]}\n"
        "- {id: M-2, sex: male, shows: [Clown]}\n",
        "sales/s.yaml": "- {animals: [C24-01-1], handed_over: 2024-10-05, told: [{on: 2025-02-10, about: its sire}]}\n",
    }
    first, at = SIRE % ("2025-02-01", "M-1"), "clutches/C24-01.yaml"
    for day, written in (
        ("2024-10-05", clutch % ("M-1", "", "male", "")),
        ("2025-02-12", clutch % ("M-2", first, "male", "")),
    ):
        on = date.fromisoformat(day)
        then = BARE.book(tmp_path, {**files, at: written}, until=on)
        stamp(tmp_path, then.collection, then.statements, on)
    probed = ", corrections: [{on: 2025-10-01, key: sex, was: male, because: probed}]" if sex == "female" else ""
    book = BARE.book(tmp_path, {at: clutch % (sire, ", ".join([first, *corrections]), sex, probed)})
    (found,) = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 10, 4))
    assert [one.about for one in found.changes] == told


def test_what_was_said_before_a_test_was_corrected_stands_in_the_dated_record(tmp_path: Path) -> None:
    """The test was her brother's; she was told of what it left of her, and hears what is left now, and why."""
    tested = "- {id: C24-01-2, tests: [{trait: Clown, copies: %s, on: 2025-02-05, by: a test}]%s}\n"
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, shows: normal, claims: {Clown: 50%}}\n- {id: M-1, sex: male, shows: normal}\n",
        "animals/young.yaml": tested % (1, ""),
        "clutches/C24-01.yaml": "{id: C24-01, sire: M-1, dam: F-1, eggs: 2, hatched: 2024-07-16, young: [1 f normal, 2 f normal]}\n",
        "sales/s.yaml": "- {animals: [C24-01-1], handed_over: 2024-10-05, told: [{on: 2025-03-02, about: Clown}]}\n",
    }
    then = BARE.book(tmp_path, files, until=date(2025, 3, 1))
    stamp(tmp_path, then.collection, then.statements, date(2025, 3, 1))
    mended = ", corrections: [{on: 2025-09-01, key: tests, was: one copy of Clown, because: they wrote again}]"
    book = BARE.book(tmp_path, {"animals/young.yaml": tested % (0, mended)})
    (found,) = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 10, 4))
    assert [one.before for one in found.changes] == ["50% possible het Clown (1 in 2)"]
    assert "we corrected the tests of C24-01-2 from one copy of Clown: they wrote again." in found.message


@pytest.mark.parametrize("of_a_mate", [False, True])
def test_a_corrected_look_of_a_sibling_is_named_to_the_buyer_on_the_page_and_in_the_feed(
    tmp_path: Path, of_a_mate: bool
) -> None:
    """Of a half-sibling at the locus, and of a clutch mate at another, which decides between two sires."""
    misread = "{id: %s, sex: female, shows: %s, corrections: [{on: 2025-09-01, key: shows, was: %s, because: misread}]}"
    mate, half = misread % ("C24-01-2", "[Banana]", "normal"), misread % ("C25-01-1", "normal", "Piebald")
    clutch = "{id: C24-01, sire: [M-2, M-3], dam: F-1, eggs: 2, hatched: 2024-07-16, young: [1 f normal, %s]}\n"
    other = "- {id: C25-01, sire: M-2, dam: F-1, eggs: 1, hatched: 2025-07-10, young: [%s]}\n"
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, shows: normal, claims: {Piebald: 66%}}\n"
        "- {id: M-2, sex: male, shows: [Piebald]}\n- {id: M-3, sex: male, shows: [Banana]}\n",
        "clutches/C24-01.yaml": clutch % "2 f normal",
        "clutches/C25-01.yaml": other % "1 f Piebald",
        "sales/s.yaml": "- {animals: [C24-01-1], handed_over: 2025-08-05}\n",
    }
    then = BARE.book(tmp_path, files, until=date(2025, 8, 5))
    stamp(tmp_path, then.collection, then.statements, date(2025, 8, 5))
    mended = {"clutches/C24-01.yaml": clutch % mate} if of_a_mate else {"clutches/C25-01.yaml": other % half}
    book = BARE.book(tmp_path, {**files, **mended})
    name = "C24-01-2" if of_a_mate else "C25-01-1"
    before, after = ("normal", "Banana") if of_a_mate else ("Piebald", "normal")
    (found,) = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 10, 4))
    assert f"\nOn 1 September 2025 we corrected the look of {name} from {before}: misread.\n" in found.message
    said = f"record of {name} was corrected"
    assert f"The {said}: from look {before} to look {after}." in page_of(book, "animals/C24-01-1/index.html")
    assert "Misread. It may bear on what is said of C24-01-1" in " ".join(page_of(book, "changes/index.html"))
    feed = site_of(book)["clutches/C24-01/feed.xml"].decode()
    moved = next(entry for entry in feed.split("<entry>")[1:] if "<title>C24-01-1: " in entry)
    assert "<updated>2025-09-01T00:00:00Z</updated>" in moved
    assert f"The {said} on 1 September 2025: from look {before} to look {after}." in moved


@pytest.mark.parametrize("key", ["sire", "dam"])
def test_a_corrected_parent_is_named_to_whoever_was_kin_by_the_old_one(tmp_path: Path, key: str) -> None:
    """The Piebald of C25-01 said that M-1 is het, so that C24-01-1 may be; it is another pair's."""
    clutch = "{id: C25-01, %s, eggs: 1, hatched: 2025-07-10, young: [1 f Piebald]%s}\n"
    old, new = {"sire": ("M-1", "M-9"), "dam": ("F-2", "F-3")}[key]
    pair = {"sire": "sire: %s, dam: F-2", "dam": "sire: M-1, dam: %s"}[key]
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, shows: normal}\n- {id: F-2, sex: female, shows: [Piebald]}\n"
        "- {id: F-3, sex: female, shows: normal, claims: {Piebald: 50%}}\n"
        "- {id: M-1, sex: male, shows: normal, claims: {Piebald: 66%}}\n"
        "- {id: M-9, sex: male, shows: normal, claims: {Piebald: 50%}}\n",
        "clutches/C24-01.yaml": "{id: C24-01, sire: M-1, dam: F-1, eggs: 1, hatched: 2024-07-16, young: [1 f normal]}\n",
        "clutches/C25-01.yaml": clutch % (pair % old, ""),
        "sales/s.yaml": "- {animals: [C24-01-1], handed_over: 2025-08-05}\n",
    }
    then = BARE.book(tmp_path, files, until=date(2025, 8, 5))
    stamp(tmp_path, then.collection, then.statements, date(2025, 8, 5))
    mended = f", corrections: [{{on: 2025-09-01, key: {key}, was: {old}, because: boxes swapped}}]"
    book = BARE.book(tmp_path, {"clutches/C25-01.yaml": clutch % (pair % new, mended)})
    told = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 10, 4))
    if key == "sire":
        assert (
            f"\nOn 1 September 2025 we corrected the sire of clutch C25-01 from {old}: boxes swapped.\n"
            in told[0].message
        )
        assert any(
            "C24-01-1" in line for line in after_build(book, date(2025, 10, 4), ()) if "correction of clutch" in line
        )
    site, said = site_of(book), f"The record of clutch C25-01 was corrected: from {key} {old} to {key} {new}."
    for name in ("animals/M-1", f"animals/{new}", "animals/C24-01-1", "clutches/C24-01"):
        assert said in [*lines_of_page(site[f"{name}/index.html"].decode("utf-8"))], name
    (entry,) = (one for one in site["clutches/C24-01/feed.xml"].decode().split("<entry>") if "boxes" in one.casefold())
    assert "It may bear on what is said of young of clutch C24-01." in entry


@pytest.mark.parametrize(
    ("sire", "corrected", "told"),
    [("M-1", "2025-09-01", True), ("M-1", "2024-07-15", False), ("M-9", "2025-09-01", False)],
)
def test_a_corrected_sire_is_told_to_listed_kin_that_had_hatched(
    tmp_path: Path, sire: str, corrected: str, told: bool
) -> None:
    """Young of another clutch of the old one; nobody reads by it that an unlisted male sired both. And each feed tells it once."""
    other = f"corrections: [{{on: {corrected}, key: sire, was: {sire}, because: boxes swapped}}]"
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, shows: normal}\n- {id: F-2, sex: female, shows: [Piebald]}\n"
        "- {id: M-1, sex: male, shows: normal, claims: {Piebald: 66%}}\n- {id: M-2, sex: male, shows: normal}\n"
        "- {id: M-9, sex: male, shows: normal, claims: {Piebald: 66%}, publish: no}\n",
        "clutches/a.yaml": f"{{id: C24-01, sire: {sire}, dam: F-1, eggs: 1, hatched: 2024-07-16, young: [1 f normal]}}\n",
        "clutches/b.yaml": f"{{id: C23-01, sire: M-2, dam: F-2, eggs: 1, hatched: 2023-07-10, young: [1 f normal], {other}}}\n",
    }
    site = site_of(BARE.book(tmp_path, files))
    lines = " ".join(lines_of_page(site["animals/C24-01-1/index.html"].decode("utf-8")))
    assert ("The record of clutch C23-01 was corrected" in lines) is told
    assert (b"boxes" in site["clutches/C24-01/feed.xml"].lower()) is told
    assert site["clutches/C23-01/feed.xml"].lower().count(b"boxes swapped") == 1


@pytest.mark.parametrize("listed", [True, False])
def test_no_message_tells_that_an_unlisted_male_sired_two_clutches(tmp_path: Path, listed: bool) -> None:
    clutch = "{id: C25-01, sire: %s, dam: F-2, eggs: 1, hatched: 2025-07-10, young: [1 f Piebald]%s}\n"
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, shows: normal}\n- {id: F-2, sex: female, shows: [Piebald]}\n"
        "- {id: M-1, sex: male, shows: normal, claims: {Piebald: 50%}}\n"
        f"- {{id: M-9, sex: male, shows: normal, claims: {{Piebald: 66%}}{'' if listed else ', publish: no'}}}\n",
        "clutches/C24-01.yaml": "{id: C24-01, sire: M-9, dam: F-1, eggs: 1, hatched: 2024-07-16, young: [1 f normal]}\n",
        "clutches/C25-01.yaml": clutch % ("M-9", ""),
        "sales/s.yaml": "- {animals: [C24-01-1], handed_over: 2025-08-05}\n",
    }
    then = BARE.book(tmp_path, files, until=date(2025, 8, 5))
    stamp(tmp_path, then.collection, then.statements, date(2025, 8, 5))
    mended = ", corrections: [{on: 2025-09-01, key: sire, was: M-9, because: boxes swapped}]"
    book = BARE.book(tmp_path, {"clutches/C25-01.yaml": clutch % ("M-1", mended)})
    (found,) = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 10, 4))
    assert [change.now for change in found.changes] == ["33% possible het Piebald (1 in 3)"]
    assert ("clutch C25-01" in found.message) is listed


def test_a_corrected_day_of_hatching_reads_as_the_new_one_does(tmp_path: Path) -> None:
    corrected = "corrections: [{on: 2025-09-01, key: hatched, was: 2024-07-01, because: the log}]"
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, shows: normal}\n- {id: M-1, sex: male, shows: normal}\n",
        "clutches/all.yaml": f"{{id: C24-01, sire: M-1, dam: F-1, eggs: 1, hatched: 2024-07-16, young: [1 f normal], {corrected}}}\n",
        "sales/s.yaml": "- {animals: [C24-01-1], handed_over: 2025-08-05}\n",
    }
    book = BARE.book(tmp_path, files)
    (found,) = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 10, 4))
    assert "hatched: we said 1 July 2024; it is 16 July 2024." in found.message


@pytest.mark.parametrize("was", ["M-9", "m-9", "Secret Sam"])
def test_a_buyer_hears_no_name_of_an_unlisted_male_that_a_record_had_before(tmp_path: Path, was: str) -> None:
    corrected = f"corrections: [{{on: 2025-09-01, key: sire, was: {was}, because: the log}}]"
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, shows: normal}\n- {id: M-1, sex: male, shows: normal}\n"
        "- {id: M-9, name: Secret Sam, sex: male, shows: normal, publish: no}\n",
        "clutches/all.yaml": f"{{id: C24-01, sire: M-1, dam: F-1, eggs: 1, hatched: 2024-07-16, young: [1 f normal], {corrected}}}\n",
        "sales/s.yaml": "- {animals: [C24-01-1], handed_over: 2025-08-05}\n",
    }
    book = BARE.book(tmp_path, files)
    (found,) = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 10, 4))
    assert "sire: we said an unlisted male; it is M-1" in found.message
    assert not {"secret", "m-9"} & {word.strip(".,;:").casefold() for word in found.message.split()}


def test_a_correction_at_another_locus_leaves_an_entry_of_the_feed(tmp_path: Path) -> None:
    """She was proven het Piebald before her Pastel look was corrected."""
    corrected = "corrections: [{on: 2025-09-01, key: shows, was: Pastel, because: misread}]"
    files = {
        "animals/all.yaml": f"- {{id: F-1, sex: female, hatched: 2020, shows: normal, claims: {{Piebald: 50%}}, {corrected}}}\n"
        "- {id: M-1, sex: male, hatched: 2020, shows: [Piebald]}\n",
        "clutches/all.yaml": "{id: C25-01, sire: M-1, dam: F-1, eggs: 1, hatched: 2025-07-16, young: [1 f Piebald]}\n",
    }
    feed = site_of(BARE.book(tmp_path, files))["changes/feed.xml"].decode()
    proven = next(entry for entry in feed.split("<entry>")[1:] if "proven by C25-01" in entry)
    assert "<updated>2025-07-16T00:00:00Z</updated>" in proven
    assert "Pastel" not in proven


def test_a_review_in_another_clutch_of_its_dam_is_told_to_a_buyer_and_on_the_page(tmp_path: Path) -> None:
    """It is what the figure hangs on; the other possible trait, and one without a review, hear nothing of it."""
    aside = "- {id: C25-01, sire: M-2, dam: F-1, eggs: 1, hatched: 2025-07-10, %syoung: [1 f Piebald]}\n"
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, shows: normal, claims: {Piebald: 66%, Clown: 50%}}\n"
        "- {id: M-1, sex: male, shows: normal}\n- {id: M-2, sex: male, shows: [Piebald]}\n",
        "clutches/C24-01.yaml": "{id: C24-01, sire: M-1, dam: F-1, eggs: 1, hatched: 2024-07-16, young: [1 f normal]}\n",
        "clutches/C25-01.yaml": aside % "",
        "sales/s.yaml": "- {animals: [C24-01-1], handed_over: 2025-08-05}\n",
    }
    then = BARE.book(tmp_path, files, until=date(2025, 8, 5))
    stamp(tmp_path, then.collection, then.statements, date(2025, 8, 5))
    book = BARE.book(tmp_path, {**files, "clutches/C25-01.yaml": aside % "set_aside: {Piebald: mixed tubs}, "})
    (found,) = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 10, 4))
    review = "Piebald, clutch C25-01: records under review (mixed tubs)."
    assert f"\n{review}\n" in found.message
    assert any(review in line for line in page_of(book, "animals/C24-01-1/index.html"))
    assert not any(review in line for line in page_of(book, "animals/M-1/index.html"))


def test_only_what_changed_a_thing_that_is_told_is_its_reason(tmp_path: Path) -> None:
    """Clown went from 1 in 2 to nothing and back, so nothing is told of it; a look of its own is told for itself."""
    looks = "{shows: [Pastel], cannot_tell: [Super Pastel]}, {on: 2025-08-02, shows: [Super Pastel]}"
    young = f"young: [{{id: C24-01-1, sex: male, looks: [{looks}]}}]"
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, shows: [Pastel], claims: {Piebald: 66%}}\n"
        "- {id: M-1, sex: male, shows: [Pastel], claims: [{trait: Clown, chance: 100%, withdrawn: 2025-06-01}]}\n"
        "- {id: M-2, sex: male, shows: [Piebald]}\n- {id: F-2, sex: female, shows: [Clown]}\n",
        "clutches/all.yaml": f"- {{id: C24-01, sire: M-1, dam: F-1, eggs: 1, hatched: 2024-07-16, {young}}}\n"
        "- {id: C25-01, sire: M-2, dam: F-1, eggs: 1, hatched: 2025-07-10, young: [1 f Piebald]}\n"
        "- {id: C25-02, sire: M-1, dam: F-2, eggs: 1, hatched: 2025-07-12, young: [1 f Clown]}\n",
        "sales/s.yaml": "- {animals: [C24-01-1], handed_over: 2024-10-05}\n",
    }
    book = BARE.book(tmp_path, files)
    (found,) = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 10, 4))
    assert [one.about for one in found.changes] == ["look", "Piebald"]
    assert "The reason: clutch C25-01" in found.message
    assert "its look was read again as Super Pastel" in found.message
    assert "Clown" not in found.message


@pytest.mark.parametrize(
    ("clutch", "reason"),
    [
        (
            "{id: C25-01, sire: M-2, dam: F-1, hatched: 2025-07-10, eggs: 2, young: [1 f Piebald Clown, 2 m normal]}",
            "clutch C25-01 of its dam F-1 had two hatchlings, one of them Piebald and one Clown.",
        ),
        (
            "{id: C25-01, sire: M-2, dam: C24-01-1, hatched: 2025-07-10, eggs: 2, reported_by: Ann, young: [1 f Piebald, 2 f Clown]}",
            "clutch C25-01 had two hatchlings, one of them Piebald and one Clown (as you told us).",
        ),
    ],
    ids=["of its dam", "of its own"],
)
def test_a_clutch_that_moved_two_traits_is_one_reason(tmp_path: Path, clutch: str, reason: str) -> None:
    """It is named once, with what it showed of each."""
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, shows: normal, claims: {Piebald: 50%, Clown: 50%}}\n"
        "- {id: M-1, sex: male, shows: normal}\n- {id: M-2, sex: male, shows: [Piebald, Clown]}\n",
        "clutches/a.yaml": "{id: C24-01, sire: M-1, dam: F-1, hatched: 2024-07-16, eggs: 1, young: [1 f normal]}\n",
        "clutches/b.yaml": clutch,
        "sales/s.yaml": "- {animals: [C24-01-1], buyer: Ann, handed_over: 2024-10-05}\n",
    }
    book = BARE.book(tmp_path, files)
    (found,) = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 10, 4))
    assert {one.about for one in found.changes} == {"Piebald", "Clown"}
    assert f"\nThe reason: {reason}\n" in found.message


BESIDES = "Besides, our records of that time, or the rules by which we reckon, have changed since."


@pytest.mark.parametrize("edited", [True, False])
def test_an_edit_of_an_older_record_stands_beside_what_happened_since(tmp_path: Path, edited: bool) -> None:
    """The clutch alone moved it to an even chance; that his sire is claimed to be het makes it two thirds."""
    animals = (
        "- {id: F-1, sex: female, shows: normal, claims: {Piebald: 66%%}}\n- {id: M-1, sex: male, shows: normal%s}\n"
    )
    files = {
        "animals/all.yaml": animals % "" + "- {id: M-2, sex: male, shows: [Piebald]}\n",
        "clutches/a.yaml": "{id: C24-01, sire: M-1, dam: F-1, hatched: 2024-07-16, eggs: 1, young: [1 m normal]}\n",
        "sales/s.yaml": "- {animals: [C24-01-1], handed_over: 2024-10-05}\n",
    }
    sold = date(2024, 10, 5)
    then = BARE.book(tmp_path, files, until=sold)
    stamp(tmp_path, then.collection, then.statements, sold)
    later = {
        "animals/all.yaml": animals % (", claims: {Piebald: 100%}" if edited else "")
        + "- {id: M-2, sex: male, shows: [Piebald]}\n",
        "clutches/b.yaml": "{id: C25-01, sire: M-2, dam: F-1, hatched: 2025-07-16, eggs: 2, young: [1 m Piebald, 2 f normal]}\n",
    }
    book = BARE.book(tmp_path, later)
    (found,) = buyers_to_tell(book.telling, book.private, book.ledger, DAY)
    (change,) = found.changes
    assert change.now == ("66% possible het Piebald (2 in 3)" if edited else "50% possible het Piebald (1 in 2)")
    (reason,) = (line for line in found.message.splitlines() if line.startswith("The reason: clutch C25-01 of its dam"))
    assert reason.endswith(BESIDES) is edited


MISREAD = "corrections: [{on: 2025-10-20, key: shows, was: Piebald, because: misread}]"
TOLD = "[{animals: [C25-01-2], handed_over: 2025-09-01, told: [{on: 2025-09-20, about: all}]}]\n"


def test_a_hand_over_without_a_dated_record_is_asked_for_once(tmp_path: Path) -> None:
    """A buyer who was told nothing since is not told of besides, though the day can be dated still."""
    book = FAMILY.book(tmp_path, {"sales/s.yaml": "[{animals: [C26-01-1], handed_over: 2026-11-01}]\n"})
    (one,) = undated(book.collection, book.private, book.ledger, date(2026, 11, 25))
    assert (one.animal, one.still, one.told) == ("C26-01-1", True, False)


def test_what_a_buyer_was_told_is_asked_for_while_it_can_be_dated(tmp_path: Path) -> None:
    """A record of the sale holds it no more than none: records of that day that are typed later change what we take it for."""
    sold, told = date(2025, 9, 1), date(2025, 9, 20)
    stamped(tmp_path, sold)
    book = TWO_SOLD.book(tmp_path, {"sales/s.yaml": TOLD})
    asked = list(after_build(book, date(2025, 9, 25), ()))
    assert any("C25-01-2: its buyer was told on 20 September 2025 without a dated record" in line for line in asked)
    assert any("stamp --only C25-01-2 --on 2025-09-20`" in line for line in asked)
    (one,) = undated(book.collection, book.private, book.ledger, date(2025, 9, 25))
    assert (one.animal, one.still, one.told) == ("C25-01-2", True, True)
    assert undated(book.collection, book.private, book.ledger, date(2025, 11, 25)) == ()
    then = TWO_SOLD.book(tmp_path, {"sales/s.yaml": TOLD}, until=told)
    stamp(tmp_path, then.collection, then.statements, told, ["C25-01-2"])
    book = book_of(tmp_path)
    assert undated(book.collection, book.private, book.ledger, date(2025, 9, 25)) == ()


@pytest.mark.parametrize("dated", [True, False])
def test_a_correction_of_kin_after_what_no_dated_record_holds_is_named(tmp_path: Path, dated: bool) -> None:
    """With a dated record the buyer is told; without one nobody knows what was told, and the desk says so."""
    day = date(2025, 11, 1)
    then = TWO_SOLD.book(tmp_path, {**two_and("Piebald", ""), "sales/s.yaml": TOLD}, until=date(2025, 9, 20))
    if dated:
        stamp(tmp_path, then.collection, then.statements, date(2025, 9, 20), ["C25-01-2"])
    young = f"young: [{{id: C25-01-1, sex: female, shows: normal, {MISREAD}}}, 2 m normal, 3 f normal]"
    clutch = f"{{id: C25-01, sire: M-1, dam: F-1, eggs: 3, hatched: 2025-07-30, {young}}}\n"
    book = TWO_SOLD.book(tmp_path, {"clutches/C25-01.yaml": clutch, "sales/s.yaml": TOLD})
    tell = buyers_to_tell(book.telling, book.private, book.ledger, day)
    unknown = not_known(book.telling, book.private, book.ledger, day, tell)
    assert [one.animal for one in tell] == (["C25-01-2"] if dated else [])
    assert list(unknown) == ([] if dated else [(date(2025, 10, 20), "C25-01-2")])
    (sale,) = book.private.sales
    written_to: Any = [SimpleNamespace(sale=sale, animal="C25-01-2")]
    assert list(not_known(book.telling, book.private, book.ledger, day, written_to)) == []
    page = " ".join(page_of(book, "animals/C25-01-2/index.html"))
    assert "is the same now as when it hatched" not in page
    assert "y today's records, what we say of its genes now is what we would have said when it hatched" in page


def test_a_buyer_of_one_that_died_before_its_hand_over_is_not_written_to_again(tmp_path: Path) -> None:
    """It was paid for and they were told of its death; what was corrected since moves nothing of theirs."""
    paid = "agreed: 200, payments: [{on: 2025-09-01, amount: 200}], told: [{on: 2025-09-20, about: it died}]"
    died = "{id: C25-01-2, sex: male, shows: normal%s}"
    young = f"[{{id: C25-01-1, sex: female, shows: normal, {MISREAD}}}, {died}, 3 f normal]"
    clutch = f"{{id: C25-01, sire: M-1, dam: F-1, eggs: 3, hatched: 2025-07-30, young: {young}}}\n"

    def unknown(more: str) -> list[str]:
        files = {"clutches/C25-01.yaml": clutch % more, "sales/s.yaml": f"- {{animals: [C25-01-2], {paid}}}\n"}
        book = TWO_SOLD.book(tmp_path, files)
        return [name for _, name in not_known(book.telling, book.private, book.ledger, date(2025, 11, 1), ())]

    assert unknown("") == ["C25-01-2"]
    assert unknown(", left: {how: died, on: 2025-09-19}") == []


@pytest.mark.parametrize(("on", "until"), [("2024-09-15", "still"), ("2024-10-15", "Until")])
def test_a_sex_that_a_dated_record_has_is_what_the_buyer_was_told(tmp_path: Path, on: str, until: str) -> None:
    """Also where the correction is dated before it: then it was made later than it says."""
    young = "- {id: X-1, hatched: 2023-07-01, sex: %s, shows: normal, status: sold%s}\n"
    files = {"sales/s.yaml": "- {animals: [X-1], handed_over: 2024-10-05}\n", "animals/x.yaml": young % ("female", "")}
    sold = date(2024, 10, 5)
    then = BARE.book(tmp_path, files, until=sold)
    stamp(tmp_path, then.collection, then.statements, sold)
    corrected = f", corrections: [{{on: {on}, key: sex, was: female, because: probed}}]"
    book = BARE.book(tmp_path, {"animals/x.yaml": young % ("male", corrected)})
    (found,) = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 10, 4))
    assert [(one.about, one.before, one.now) for one in found.changes] == [("sex", "female", "male")]
    assert "corrected its sex from female: probed." in found.message
    (line,) = (one for one in BARE.page(tmp_path, {}, "animals/X-1/index.html") if "said “sex female”" in one)
    if until == "still":
        assert line == "- Our record said “sex female”, on 5 October 2024 still. Why we corrected it: probed."
        assert "We have since corrected" in found.message
    else:
        assert line.startswith("- Until 15 October 2024 our record said")


@pytest.mark.parametrize("told", [False, True])
def test_a_second_dated_record_of_the_day_of_the_hand_over_is_not_what_the_buyer_got(
    tmp_path: Path, told: bool
) -> None:
    young = "- {id: X-1, hatched: 2023-07-01, sex: %s, shows: normal, status: sold}\n"
    say = ", told: [{on: 2024-10-05, about: its sex}]" if told else ""
    sold = date(2024, 10, 5)
    for sex in ("male", "female"):
        files = {"animals/x.yaml": young % sex, "sales/s.yaml": f"- {{animals: [X-1], handed_over: {sold}{say}}}\n"}
        book = BARE.book(tmp_path, files, until=sold)
        stamp(tmp_path, book.collection, book.statements, sold)
    book = book_of(tmp_path)
    assert len(book.ledger.records) == 2
    found = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 10, 4))
    changes = [(change.about, change.before, change.now) for one in found for change in one.changes]
    assert changes == ([] if told else [("sex", "male", "female")])


def test_a_review_without_a_reason_is_put_down_to_nothing_else(tmp_path: Path) -> None:
    stamped(tmp_path, date(2025, 8, 5))
    book = TWO_SOLD.book(tmp_path, two_and("Piebald", "set_aside: {Piebald: }, "))
    ann, *_ = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 10, 2))
    assert "now records under review." in ann.message
    assert "The reason" not in ann.message


@pytest.mark.parametrize(("then", "now", "told"), [(REVIEW, "", []), ("", REVIEW, []), ("", "", ["shows"])])
def test_a_look_that_is_under_review_then_or_now_was_not_edited(
    tmp_path: Path, then: str, now: str, told: list[str]
) -> None:
    stamped(tmp_path, date(2025, 8, 5), more=then)
    book = TWO_SOLD.book(tmp_path, two_and("Piebald" if then or now else "normal", now))
    assert book.ledger is not None
    assert [one.key for one in edited(book.inference, book.ledger)] == told


def test_of_a_correction_to_a_look_under_review_no_word_is_told(tmp_path: Path) -> None:
    """Super Mojave, as it was written, is two words and one look."""
    young = "{id: C25-01-2, sex: male, shows: %s, corrections: [{on: 2025-12-01, key: shows, was: Super Mojave, because: no smudge}]}"
    files = two_and("normal", 'set_aside: {Mojave: "too dark to tell"}, ')
    files["clutches/C25-01.yaml"] = files["clutches/C25-01.yaml"].replace("2 m normal", young % "Blue-eyed Leucistic")
    book = TWO_SOLD.book(tmp_path, files)
    assert buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 12, 2)) == ()


def test_a_look_whose_line_is_not_known_stays_in_what_a_buyer_is_told(tmp_path: Path) -> None:
    """It showed that before another look was added, and shows it still."""
    said, fixed = "Axanthic (line not known)", "{on: 2025-12-01, key: shows, was: %s, because: a better photo}"
    young = f"{{id: C24-01-1, sex: male, shows: [Pastel, {said}], corrections: [{fixed % said}]}}"
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, shows: normal}\n- {id: M-1, sex: male, shows: [Pastel]}\n",
        "clutches/all.yaml": f"- {{id: C24-01, sire: M-1, dam: F-1, eggs: 1, hatched: 2024-07-16, young: [{young}]}}\n",
        "sales/s.yaml": "- {animals: [C24-01-1], handed_over: 2024-10-05}\n",
    }
    book = BARE.book(tmp_path, files)
    (found,) = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 12, 4))
    assert [(one.before, one.now) for one in found.changes] == [(said, f"Pastel {said}")]


def test_a_buyer_and_a_page_are_told_which_of_two_traits_a_test_all_but_decides(tmp_path: Path) -> None:
    """That it has one of the two stands as it was; the chance of each is another."""
    files = {
        "animals/all.yaml": "- {id: M-1, sex: male, shows: [Candino]}\n- {id: F-1, sex: female, shows: normal}\n"
        "- {id: C24-01-1, tests: [{trait: Candy, copies: 1, on: 2025-09-01, lab: Nord, error: 2%}]}\n",
        "clutches/all.yaml": "{id: C24-01, sire: M-1, dam: F-1, eggs: 1, hatched: 2024-07-16, young: [1 f normal; sold]}\n",
        "sales/s.yaml": "- {animals: [C24-01-1], handed_over: 2025-08-05}\n",
    }
    book = BARE.book(tmp_path, files)
    (found,) = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 10, 4))
    either = "het Albino or Candy (one of the two)"
    assert f"- Candy: then {either}, 50% Candy; now {either}, 98% Candy." in found.message
    page = page_of(book, "animals/C24-01-1/index.html")
    assert f"Candy | {either}, 50% Candy | {either}, 50% Candy | {either}, 98% Candy" in page


def test_what_a_dated_record_has_of_one_of_two_traits_is_told_as_one_of_the_two(tmp_path: Path) -> None:
    """A test of before that day was written down after it: the chance of each is another, and so it was said."""
    young = "{id: C24-01, sire: M-1, dam: F-1, eggs: 1, hatched: 2024-07-16, young: [1 f normal; sold]}\n"
    files = {
        "animals/all.yaml": "- {id: M-1, sex: male, shows: [Candino]}\n- {id: F-1, sex: female, shows: normal}\n",
        "clutches/all.yaml": young,
        "sales/s.yaml": "- {animals: [C24-01-1], handed_over: 2025-08-05}\n",
    }
    sold = date(2025, 8, 5)
    then = BARE.book(tmp_path, files, until=sold)
    stamp(tmp_path, then.collection, then.statements, sold)
    test = "{id: C24-01-1, tests: [{trait: Candy, copies: 1, on: 2025-07-01, lab: Nord, error: 2%}]}\n"
    book = BARE.book(tmp_path, {**files, "animals/C24-01-1.yaml": test})
    (found,) = buyers_to_tell(book.telling, book.private, book.ledger, DAY)
    either = "het Albino or Candy (one of the two)"
    assert f"- Candy: then {either}, 50% Candy; now {either}, 98% Candy." in found.message
    page = page_of(book, "animals/C24-01-1/index.html")
    assert any(
        line.startswith("- 5 August 2025, short code") and line.endswith(f": normal; {either}.") for line in page
    )


def test_a_buyer_is_told_why_where_the_look_of_a_clutch_mate_was_corrected(tmp_path: Path) -> None:
    """It is on record with its reason."""
    stamped(tmp_path, date(2025, 8, 5))
    corrected = "- {id: C25-01-1, corrections: [{on: 2025-11-20, key: shows, was: Piebald, because: another snake}]}\n"
    (tmp_path / "animals/young.yaml").write_text(corrected)
    book = stamped(tmp_path, date(2025, 11, 20), first="normal")
    ann, *_ = buyers_to_tell(book.telling, book.private, book.ledger, date(2025, 11, 21))
    assert "we corrected the look of C25-01-1 from Piebald: another snake." in ann.message


def test_a_buyer_and_a_page_are_told_that_the_sire_of_a_parent_was_corrected_in_its_clutch(tmp_path: Path) -> None:
    """Nell was said to be of a normal male; of the Clown one she is het, and each of her young with 1/2."""
    clutch = "{id: %s, dam: %s, eggs: 1, %s, young: [1 f normal]}\n"
    mended = "sire: M-2, hatched: 2023-07-12, corrections: [{on: 2025-09-01, key: sire, was: M-1, because: a test}]"
    files = {
        "collection.yaml": SETTINGS,
        "animals/all.yaml": "- {id: M-1, sex: male, shows: normal}\n- {id: M-2, sex: male, shows: [Clown]}\n"
        "- {id: F-1, sex: female, shows: normal}\n- {id: C23-01-1, name: Nell}\n",
        "clutches/C23-01.yaml": clutch % ("C23-01", "F-1", mended),
        "clutches/C25-01.yaml": clutch % ("C25-01", "C23-01-1", "sire: M-1, hatched: 2025-07-10"),
        "sales/s.yaml": "- {animals: [C25-01-1], handed_over: 2025-08-20}\n",
    }
    when = date(2025, 8, 20)
    then = BARE.book(
        tmp_path, {**files, "clutches/C23-01.yaml": clutch % ("C23-01", "F-1", "sire: M-1, hatched: 2023-07-12")}
    )
    stamp(tmp_path, then.collection, then.statements, when)
    book = BARE.book(tmp_path, files)
    (told,) = buyers_to_tell(book.telling, book.private, book.ledger, DAY)
    assert "On 1 September 2025 we corrected the sire of Nell (C23-01-1) from M-1: a test." in told.message
    assert "The reason: our records" not in told.message
    page = page_of(book, "animals/C25-01-1/index.html")
    assert any(
        "the record of the clutch of Nell (C23-01-1) said “sire M-1”. Why we corrected it: a test." in line
        for line in page
    )
    assert "The record of the clutch of Nell (C23-01-1) was corrected: from sire M-1 to sire M-2." in page


def test_a_buyer_is_told_no_id_of_a_parent_that_is_not_listed(tmp_path: Path) -> None:
    files = {
        "animals/more.yaml": "- {id: F-97, name: Moss, sex: female, shows: normal, publish: no}\n"
        "- {id: F-98, name: Fern, sex: female, shows: normal}\n",
        "animals/X-1.yaml": "id: X-1\nsex: male\nshows: normal\ndam: F-98\nleft: {how: sold, on: 2026-09-01}\n"
        "corrections: [{on: 2026-10-01, key: dam, was: F-97, because: mixed up}]\n",
        "sales/s.yaml": "- {animals: [X-1], handed_over: 2026-09-01}\n",
    }
    book = FAMILY.book(tmp_path, files)
    (found,) = buyers_to_tell(book.telling, book.private, book.ledger, DAY)
    assert "dam: we said an unlisted female; it is Fern (F-98)." in found.message
    assert "F-97" not in found.message


# ---- males at work


def at_work(folder: Path, rows: str, more: Mapping[str, str] | None = None, day: date = DAY) -> dict[str, MaleAtWork]:
    collection, private = FAMILY.both(folder, {**log(rows), **(more or {})})
    return {male.animal: male for male in males_in_rotation(collection, private, day)}


RESTED = {"collection.yaml": FAMILY_SETTINGS + "season: {male: {rest_days: 2}}\n"}
EARLIER = "2025-01-01,M-01,paired,F-02,,\n"


def test_a_male_is_in_rotation_for_sixty_days(tmp_path: Path) -> None:
    """Paired 59 days before the day he is, 60 days before no more."""
    rows = "2026-09-26,M-01,paired,F-01,,\n2026-09-27,M-02,paired,F-01,,\n"
    assert list(at_work(tmp_path / "a", rows)) == ["M-02"]
    assert list(at_work(tmp_path / "b", "2026-11-25,M-01,paired,F-01,,\n")) == ["M-01"]
    assert list(at_work(tmp_path / "c", "2026-11-26,M-01,paired,F-01,,\n")) == []


@pytest.mark.parametrize(
    ("before", "paired", "own"),
    [
        ("2026-06-30", "2026-09-28", True),
        ("2026-06-30", "2026-09-29", False),
        ("2026-07-01", "2026-11-20", True),
    ],
)
def test_a_gap_of_ninety_days_is_within_a_season(tmp_path: Path, before: str, paired: str, own: bool) -> None:
    """91 days to the first pairing since July begin a new one, which locks of before are not of; within it a gap begins none."""
    earlier = f"{EARLIER}{before},M-01,paired,F-02,,\n{before},M-01,lock,F-02,,\n"
    (male,) = at_work(tmp_path, f"{earlier}{paired},M-01,paired,F-01,,\n").values()
    season = {one.female: (one.pairings, one.locks) for one in male.females}
    assert season == {"F-01": (1, 0), **({"F-02": (1, 1)} if own else {})}


def test_a_male_not_paired_this_winter_is_not_told_by_the_last(tmp_path: Path) -> None:
    """M-02 gained from the winter before last to this one and has lost since; his one season is over, and the next is not his first."""
    rows = (
        "2025-10-20,M-02,weight,,800,\n2025-11-03,M-02,paired,F-02,,\n2025-11-05,M-02,parted,F-02,,\n"
        "2026-10-20,M-02,weight,,1010,\n2026-11-20,M-02,weight,,930,\n"
    )
    plan = {"season/p.yaml": "[{female: F-02, males: [M-02], from: 2026-11-01}]"}
    (male,) = at_work(tmp_path, rows, plan).values()
    assert (male.females, male.first_season) == ((), False)
    assert sentences.weight(male, DAY) == "930 g on 20 Nov"


def test_one_more_pairing_ends_no_warning(tmp_path: Path) -> None:
    """In his first season a loss of 5% is pointed out, before and after a pairing more than 90 days after the one before."""
    rows = "2026-08-01,M-02,weight,,1005,\n2026-08-03,M-02,lock,F-01,,\n2026-11-15,M-02,weight,,925,\n"
    plan = {"season/p.yaml": "[{female: F-02, males: [M-02], from: 2026-08-01}]"}
    for name, more in (("a", ""), ("b", "2026-11-20,M-02,lock,F-02,,\n")):
        (male,) = at_work(tmp_path / name, rows + more, plan).values()
        assert (male.first_season, [flag.short for flag in flags_in_words(male)]) == (True, ["down 7% from 1005 g"])


def test_a_lock_on_the_first_day_of_a_season_counts(tmp_path: Path) -> None:
    """As do those of thirty days: the day itself and the 29 before it."""
    rows = "2026-10-26,M-01,paired,F-01,,\n2026-10-26,M-01,lock,F-01,,\n2026-10-27,M-01,lock,F-01,,\n2026-11-25,M-01,lock,F-01,,\n"
    male = at_work(tmp_path, rows)["M-01"]
    assert (male.females[0].locks, male.locks_30, str(male.females[0].last)) == (3, 2, "2026-11-25")


@pytest.mark.parametrize(("grams", "small"), [(799, True), (800, False)])
def test_a_male_at_the_limit_is_not_small(tmp_path: Path, grams: int, small: bool) -> None:
    """Under 800 g, by the lower of his weight at the season's beginning and his weight now."""
    start = "2026-11-01,M-01,weight,,%d,\n2026-11-02,M-01,paired,F-01,,\n2026-11-20,M-01,weight,,%d,\n"
    assert at_work(tmp_path / "a", start % (grams, 900))["M-01"].small == small
    assert at_work(tmp_path / "b", start % (900, grams))["M-01"].small == small
    unweighed = "2026-11-02,M-01,paired,F-01,,\n"
    assert at_work(tmp_path / "c", unweighed)["M-01"].small is False


def test_a_season_without_a_weighing_before_begins_with_the_first_in_it(tmp_path: Path) -> None:
    """On the day of the first pairing is before; one weighing alone is no change."""
    after = "2026-11-02,M-01,paired,F-01,,\n2026-11-05,M-01,weight,,1000,\n2026-11-20,M-01,weight,,950,\n"
    male = at_work(tmp_path / "a", after)["M-01"]
    assert (male.weight_before, male.weight, male.change_percent) == (Fraction(1000), Fraction(950), Fraction(-5))
    on_it = "2026-11-01,M-01,weight,,1100,\n2026-11-02,M-01,weight,,1000,\n2026-11-02,M-01,paired,F-01,,\n"
    male = at_work(tmp_path / "b", on_it)["M-01"]
    assert (male.weight_before, male.weight, male.change_percent, str(male.weighed_on)) == (
        Fraction(1000),
        Fraction(1000),
        None,
        "2026-11-02",
    )


def test_refusals_are_counted_from_none_to_the_day_itself(tmp_path: Path) -> None:
    """Nothing refused is 0; one refused today is 1."""
    paired = "2026-11-20,M-01,paired,F-01,,\n"
    assert at_work(tmp_path / "a", paired)["M-01"].refusals_in_a_row == 0
    assert at_work(tmp_path / "b", f"{paired}2026-11-25,M-01,refused,,rat,\n")["M-01"].refusals_in_a_row == 1
    assert at_work(tmp_path / "c", f"{paired}2026-11-26,M-01,refused,,rat,\n")["M-01"].refusals_in_a_row == 0
    fed = f"{paired}2026-11-23,M-01,refused,,rat,\n2026-11-24,M-01,first meal,,rat,\n"
    assert at_work(tmp_path / "d", fed)["M-01"].refusals_in_a_row == 0


@pytest.mark.parametrize(("refused", "flagged"), [(3, False), (4, True)])
def test_refusals_are_flagged_from_the_limit_on(tmp_path: Path, refused: int, flagged: bool) -> None:
    """Four in a row, for a male that is neither small nor in his first season."""
    rows = f"{EARLIER}2026-11-01,M-01,paired,F-01,,\n" + "".join(
        f"2026-11-{day + 2:02d},M-01,refused,,rat,\n" for day in range(refused)
    )
    male = at_work(tmp_path, rows)["M-01"]
    assert [flag.kind for flag in male.flags] == (["refusals"] if flagged else [])
    assert bool(male.cautions) == flagged


def test_short_rest_alone_is_no_matter_for_a_caution_about_weight(tmp_path: Path) -> None:
    """The cautions about weight go with the other flags."""
    rows = f"{EARLIER}2026-11-10,M-01,paired,F-01,,\n2026-11-11,M-01,paired,F-02,,\n"
    male = at_work(tmp_path, rows, RESTED)["M-01"]
    assert ([flag.kind for flag in male.flags], male.cautions, male.shortest_rest_30) == (["rest"], (), 1)


def test_rests_are_looked_at_for_thirty_days(tmp_path: Path) -> None:
    """Before each pairing of the day itself and of the 29 before it; a rest of a day is told as one."""
    rows = f"{EARLIER}2026-10-%d,M-01,paired,F-01,,\n2026-10-%d,M-01,paired,F-02,,\n"
    assert at_work(tmp_path / "a", rows % (25, 26), RESTED)["M-01"].shortest_rest_30 is None
    male = at_work(tmp_path / "b", rows % (26, 27), RESTED)["M-01"]
    assert (male.shortest_rest_30, flags_in_words(male)[0].seen) == (
        1,
        "rested 1 day between two pairings of the last 30 days",
    )
    rows = f"{EARLIER}2026-11-24,M-01,paired,F-01,,\n2026-11-25,M-01,paired,F-02,,\n"
    assert at_work(tmp_path / "c", rows, RESTED)["M-01"].shortest_rest_30 == 1
    rows = f"{EARLIER}2026-11-20,M-01,paired,F-01,,\n2026-11-20,M-01,paired,F-02,,\n"
    assert flags_in_words(at_work(tmp_path / "d", rows, RESTED)["M-01"])[0].seen.startswith("rested 0 days")


def test_what_a_male_lost_and_ate_is_told_with_its_days(tmp_path: Path) -> None:
    """From one weighing to the other; the last of several meals."""
    rows = (
        f"{EARLIER}2026-10-01,M-01,weight,,1000,\n2026-10-02,M-01,paired,F-01,,\n2026-10-03,M-01,meal,,rat,\n"
        "2026-10-10,M-01,meal,,rat,\n2026-11-20,M-01,weight,,876.5,\n"
    )
    male = at_work(tmp_path, rows)["M-01"]
    assert flags_in_words(male)[0].seen == "down 12% in 50 days, from 1000 g to 876.5 g"
    assert str(male.last_meal) == "2026-10-10"


def test_a_male_is_with_her_until_they_were_parted(tmp_path: Path) -> None:
    """A parting from another female ends nothing; his rest begins with the parting."""
    paired = f"{EARLIER}2026-11-20,M-01,paired,F-01,,\n"
    male = at_work(tmp_path / "a", paired)["M-01"]
    assert (male.with_now, male.rested_days) == ("F-01", 0)
    male = at_work(tmp_path / "b", f"{paired}2026-11-22,M-01,parted,F-01,,\n")["M-01"]
    assert (male.with_now, male.rested_days) == (None, 3)
    first = "2026-11-01,M-02,paired,F-01,,\n2026-11-10,M-02,parted,F-01,,\n2026-11-12,M-02,paired,F-02,,\n"
    male = at_work(tmp_path / "d", f"{first}2026-11-24,M-02,parted,F-02,,\n")["M-02"]
    assert male.rested_days == 1
    male = at_work(tmp_path / "c", f"{paired}2026-11-22,M-01,parted,F-02,,\n")["M-01"]
    assert male.with_now == "F-01"


def test_a_first_season_has_nothing_before_it(tmp_path: Path) -> None:
    """Neither a pairing more than ninety days back, nor a clutch laid before it; one laid on its first day is of it."""
    paired = "2026-11-20,M-02,paired,F-02,,\n"
    sired = "---\nid: C20-09\nsire: M-02\ndam: F-02\nlaid: %s\neggs: 5\n---\n"
    assert at_work(tmp_path / "a", paired)["M-02"].first_season
    assert not at_work(tmp_path / "b", f"2025-01-01,M-02,paired,F-02,,\n{paired}")["M-02"].first_season
    assert not at_work(tmp_path / "c", paired, {"clutches/C20-09.md": sired % "2026-11-19"})["M-02"].first_season
    assert at_work(tmp_path / "d", paired, {"clutches/C20-09.md": sired % "2026-11-20"})["M-02"].first_season


def test_the_most_flagged_male_comes_first(tmp_path: Path) -> None:
    """Then by id."""
    rows = "2025-01-01,M-02,paired,F-02,,\n" + "".join(
        f"2026-11-{day},{male},paired,F-01,,\n"
        for male, days in (("M-01", (20,)), ("M-02", (20, 21, 22, 23)), ("M-03", (20,)))
        for day in days
    )
    assert list(at_work(tmp_path, rows)) == ["M-02", "M-01", "M-03"]


# ---- ready to breed


def test_readiness_at_its_edges(tmp_path: Path) -> None:
    """A weight of sixty days ago is not old; half the usual age is looked at; a yes comes before a no."""
    rows = "2026-09-26,F-01,weight,,1500,\n2026-09-25,F-02,weight,,1500,\n2026-11-26,F-03,weight,,1500,\n"
    young = (
        "- {id: F-04, sex: female, hatched: 2025-11-25, status: holdback}\n"
        "- {id: F-05, sex: female, hatched: 2025-11-26, status: holdback}\n"
    )
    collection, private = FAMILY.both(tmp_path, {**log(rows), "animals/young.yaml": young})
    found = readiness(collection, private, DAY)
    assert [one.verdict for one in found] == sorted(
        (one.verdict for one in found), key=["ready", "not yet", "not known"].index
    )
    by_id = {one.animal: one for one in found}
    assert (by_id["F-01"].weight_is_old, by_id["F-02"].weight_is_old) == (False, True)
    assert by_id["F-03"].weight is None
    assert "F-04" in by_id
    assert "F-05" not in by_id
    assert sentences.lacks(by_id["F-04"]) == ("12 months old, commonly from 24", "no weight is logged")
    assert (
        sentences.ready_rule(by_id["F-01"])
        == "from 24 months (many wait for 36 months) and 1500 g (many wait for 2000 g)"
    )


# ---- ages from a month alone


def test_a_month_that_leaves_open_whether_it_is_old_enough_is_not_known(tmp_path: Path) -> None:
    """On 25 November one of November 2024 is 23 or 24 months old, of October 24 or 25, of about 2023 perhaps 24, perhaps 35."""
    months = {"F-04": "2024-11", "F-05": "2024-12", "F-06": "2024-10", "F-07": "about 2023"}
    records = "".join(
        f"- {{id: {name}, sex: female, hatched: {when}, status: holdback}}\n" for name, when in months.items()
    )
    rows = "".join(f"2026-11-25,{name},weight,,1600,\n" for name in months)
    collection, private = FAMILY.both(tmp_path, {**log(rows), "animals/young.yaml": records})
    found = {one.animal: (one.verdict, sentences.ready_words(one)) for one in readiness(collection, private, DAY)}
    assert found["F-04"] == ("not known", "at least 23 months old, commonly from 24")
    assert found["F-05"] == ("not yet", "at least 22 months old, commonly from 24")
    assert found["F-06"] == ("ready", "at least 24 months, 1600 g")
    assert found["F-07"] == ("ready", "at least about 34 months, 1600 g")


# ---- limits


def test_limits_of_one_s_own_leave_the_rest_as_it_is(tmp_path: Path) -> None:
    """For small males too; a limit for the other species counts for that one only."""
    settings = FAMILY_SETTINGS + (
        "season:\n  male: {small_below_g: 650, small_or_first_season: {refusals: 3}}\n  corn-snake: {male: {rest_days: 8}}\n"
    )
    collection, private = FAMILY.both(tmp_path, {"collection.yaml": settings})
    python = male_limits(collection.species["ball-python"], private.rules)
    small = male_limits(collection.species["ball-python"], private.rules, small_or_first=True)
    corn = male_limits(collection.species["corn-snake"], private.rules)
    assert python["small_below_g"] == Limit(Fraction(650), OWN)
    assert (small["refusals"], python["days_in_a_row"].source == OWN) == (Limit(Fraction(3), OWN), False)
    assert corn["rest_days"] == Limit(Fraction(8), OWN)


def test_a_species_of_one_s_own_may_say_little(tmp_path: Path) -> None:
    """What its file does not say is not known, and what it says without source or text stands without."""
    collection, _ = FAMILY.both(tmp_path, {})
    python = collection.species["ball-python"]
    silent = replace(python, facts={})
    assert (grown(silent, "female", {}), windows(silent, {}), cautions(silent, "weight")) == ({}, {}, ())
    assert male_limits(silent, {}) == {}


def test_who_has_no_rule_is_not_among_those_that_are_ready(tmp_path: Path) -> None:
    """A species that says nothing, and an animal of which no age is known: not a guess."""
    ageless = "- {id: F-06, sex: female, status: holdback}\n"
    collection, private = FAMILY.both(
        tmp_path, {"animals/more.yaml": ageless, **log("2026-11-01,F-06,weight,,1800,\n")}
    )
    (found,) = (one for one in readiness(collection, private, DAY) if one.animal == "F-06")
    assert (found.verdict, found.age_months, sentences.lacks(found)) == ("not known", None, ("its age is not known",))
    silent = {key: replace(species, facts={}) for key, species in collection.species.items()}
    assert readiness(replace(collection, species=silent), private, DAY) == ()
    by_weight = replace(private, rules={"": SeasonRules(readiness={("female", "weight_g"): Fraction(1500)})})
    found_by_weight = readiness(replace(collection, species=silent), by_weight, DAY)
    assert next((one.animal, one.verdict, sentences.ready_rule(one)) for one in found_by_weight) == (
        "F-06",
        "ready",
        "from 1500 g",
    )


def test_the_last_clutch_is_one_that_was_laid_by_that_day(tmp_path: Path) -> None:
    """And hers: F-01 laid on 16 May 2026, and F-02 on the day asked about."""
    collection, private = FAMILY.both(tmp_path, clutch("2026-11-25"))

    def laid(day: date) -> dict[str, str]:
        return {one.animal: str(one.laid) for one in readiness(collection, private, day) if one.laid is not None}

    assert laid(DAY) == {"F-01": "2026-05-16", "F-02": "2026-11-25"}
    assert laid(BEFORE) == {"F-01": "2026-05-16"}


@pytest.mark.parametrize(
    ("laid", "weighed", "verdict", "said"),
    [
        ("by the log", "05-25", "not known", "no weight is logged since she laid"),
        ("by the log", "07-25", "ready", None),
        ("laid: 2026-06-20\n", "05-25", "not known", "no weight is logged since she laid"),
        ("laid: 2026-06-20\n", "07-25", "ready", None),
        ("", "05-25", "not known", "no weight is logged since her clutch hatched (the day she laid is not on record)"),
        ("", "07-25", "not known", "no weight is logged since her clutch hatched (the day she laid is not on record)"),
        ("", "08-20", "ready", None),
    ],
)
def test_a_weight_from_before_her_clutch_makes_no_female_ready(
    tmp_path: Path, laid: str, weighed: str, verdict: str, said: str | None
) -> None:
    """Of a clutch whose laying is not on record, from before it hatched: nobody knows whether she had laid."""
    record = f"---\nid: C26-02\nsire: M-01\ndam: F-02\n{laid}eggs: 1\nhatched: 2026-08-20\nyoung: [1 f normal]\n---\n"
    logged = "2026-06-20,F-02,laid,,,\n" if laid == "by the log" else ""
    record = record.replace("by the log", "")
    rows = log(f"2026-{weighed},F-02,weight,,1800,\n{logged}")
    collection, private = FAMILY.both(tmp_path, {"clutches/C26-02.md": record, **rows})
    (found,) = (one for one in readiness(collection, private, DAY) if one.animal == "F-02")
    assert (found.verdict, list(sentences.lacks(found))) == (verdict, [said] if said else [])


def test_the_species_file_says_when_young_may_leave_and_what_to_be_careful_of(tmp_path: Path) -> None:
    """Each with its source, and each caution where it belongs."""
    collection, private = FAMILY.both(tmp_path, {})
    python = collection.species["ball-python"]
    rule = fact_of(python, ReadyWhen)
    assert rule is not None
    assert (rule.meals, rule.sheds) == (3, 1)
    assert "common practice" in rule.source
    assert cautions(python, "weight") != cautions(python, "hygiene")
    assert all(window.first <= window.last and window.source for window in windows(python, private.rules).values())


def test_what_a_plan_would_prove_is_told_while_the_mate_is_out_on_loan(tmp_path: Path) -> None:
    """He comes back before it begins, so that no question here names him as a mate; the first page and the command say it alike."""
    animals = """- {id: X-1, sex: male, hatched: 2020, shows: Piebald, left: {how: loan, on: 2026-05-01, until: 2026-12-01}}
- {id: Y-1, sex: female, hatched: 2020, status: breeder, shows: normal, claims: {Piebald: 66%}}
"""
    plan = "- {female: Y-1, males: [X-1], from: 2026-12-05, until: 2027-03-01, want: [Piebald], purpose: prove}\n"
    season = Season(FAMILY.book(tmp_path, {"animals/more.yaml": animals, "season/plan.yaml": plan}), DAY)
    told = (
        "Y-1 may carry Piebald (2 in 3); this clutch would prove it 62 times in 100. If none of its young shows Piebald, a chance"
        " of just under 10 in 100 is left."
    )
    (planned,) = season.planned
    assert planned.pair is None
    assert sentences.proves_besides(season, planned) == (told,)
    assert f" {told}\n" in season_text(season)
    away = f"{told[:-1]}; X-1 not now: out on loan until 1 December 2026"
    assert [("X-1 with Y-1", away)] == [(line.text, line.detail) for line in proves_most(season)]


def test_what_speaks_against_a_plan_stands_beside_what_it_would_prove(tmp_path: Path) -> None:
    """She is under treatment and loses weight, he comes back before it begins; the second died, and is proposed on no page."""
    males = "".join(
        f"- {{id: X-{key}, sex: male, hatched: 2020, shows: Piebald, left: {{{left}}}}}\n"
        for key, left in (("1", "how: loan, on: 2026-05-01, until: 2026-12-01"), ("2", "how: died, on: 2026-11-01"))
    )
    female = "- {id: Y-1, sex: female, hatched: 2020, status: breeder, shows: normal, claims: {Piebald: 66%}}\n"
    plan = "- {{female: Y-1, males: [{}], from: 2027-12-05, want: [Piebald], purpose: prove}}\n"
    rows = (
        "2026-09-20,Y-1,weight,,1900,\n2026-11-20,Y-1,treatment,,until 2026-12-30,mites\n2026-11-24,Y-1,weight,,900,\n"
    )
    her = "under treatment until 30 Dec 2026; down 52% from 1900 g on 20 Sep; 900 g, commonly from 1500 g"
    for male, his, proposed in (("X-1", "out on loan until 1 December 2026", 1), ("X-2", "not here", 0)):
        against = f"{male} not now: {his}; Y-1 not now: {her}; planned for the winter 2027/28"
        files = {**log(rows), "animals/more.yaml": males + female, "season/plan.yaml": plan.format(male)}
        season = Season(BARE.book(tmp_path / male, files), DAY)
        (row,) = today_page(DeskFraming(season, DeskTheme(load_theme("paper", [themes()])))).shown["plans"]
        assert [line.detail.partition(" is left; ")[2] for line in proves_most(season)] == [against] * proposed
        assert row.settles.partition(" is left; ")[2] == against


@pytest.mark.parametrize(("claim", "idle"), [("", True), (", claims: {Stargazer: 100%}", False)])
def test_a_pairing_that_says_nothing_is_idle_though_one_is_to_be_looked_at_first(
    tmp_path: Path, claim: str, idle: bool
) -> None:
    """He may be affected, so he is to be checked; of a mate that carries none no clutch of his tells anything."""
    files = {
        "animals/all.yaml": "- {id: M-1, species: corn-snake, sex: male, sire: M-2, dam: F-2, status: breeder, shows: normal}\n"
        f"- {{id: F-1, species: corn-snake, sex: female, hatched: 2022, shows: normal, status: breeder{claim}}}\n"
        "- {id: M-2, species: corn-snake, sex: male, hatched: 2020, shows: normal, claims: {Stargazer: 100%}}\n"
        "- {id: F-2, species: corn-snake, sex: female, hatched: 2020, shows: normal, claims: {Stargazer: 100%}}\n",
        "season/plans.yaml": "- {female: F-1, males: [M-1], from: 2026-10-01}\n",
    }
    season = Season(BARE.book(tmp_path, files), DAY)
    assert [(one.animal, one.look) for one in season.asked if one.look] == [("M-1", "check")]
    assert [one.idle for one in season.planned] == [idle]
