"""The room on one day: who has not eaten, whom to feed, who is set apart, what lies in the incubator; on worked dates.

How often a species is fed is the species file's: common practice, no source. The own interval is the middle gap of the animal's own log."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator
from tests.rooms import FAMILY, Room, log

from clutchlight import shipped
from clutchlight.cli import main
from clutchlight.cli.season_list import as_json
from clutchlight.desk import sentences
from clutchlight.desk.evening import (
    evening,
    feeds,
    glance,
    incubator,
    not_eaten,
    proves_most,
    quarantine,
    since,
    who_is_ready,
)
from clutchlight.desk.notices import notices
from clutchlight.desk.pages import DeskFraming, DeskTheme
from clutchlight.desk.pairings import pairings_page, proving_page
from clutchlight.desk.rack import phone_page, sheet_page
from clutchlight.desk.season import Season, room
from clutchlight.desk.sentences import hangs_on_it
from clutchlight.desk.today import not_ready_else
from clutchlight.planning import due as due_, sales
from clutchlight.planning.due import Feeding, FeedingRound, feeding_round, in_the_box
from clutchlight.planning.readiness import set_apart, spells_of
from clutchlight.shipped import themes
from clutchlight.site.theme import load_theme

DAY = date(2026, 11, 25)
_EGGS = {"clutches/C26-02.md": "---\nid: C26-02\nsire: M-01\ndam: F-02\nlaid: 2026-10-05\neggs: 5\n---\n"}


def round_of(folder: Path, rows: str, day: date = DAY) -> FeedingRound:
    collection, private = FAMILY.both(folder, log(rows))
    return feeding_round(collection, private, day)


def feeding(folder: Path, rows: str, animal: str, day: date = DAY) -> Feeding:
    return next(one for one in round_of(folder, rows, day).animals if one.animal == animal)


def season_of(folder: Path, rows: str, more: dict[str, str] | None = None) -> Season:
    return Season(FAMILY.book(folder, {**log(rows), **(more or {})}), DAY)


def test_its_own_interval_is_the_middle_gap_between_offers(tmp_path: Path) -> None:
    """Gaps of 10, 10 and 12 days: it is fed every 10, next on 5 December, ten days after the last refusal."""
    found = feeding(
        tmp_path,
        "2026-10-24,F-01,meal,,rat,\n2026-11-03,F-01,meal,,rat,\n2026-11-13,F-01,refused,,,\n2026-11-25,F-01,refused,,,",
        "F-01",
    )
    assert (found.every, found.own, found.days, found.refused) == (10, True, 22, 2)
    assert found.due == date(2026, 12, 5)
    assert not found.long


def test_two_gaps_are_no_habit(tmp_path: Path) -> None:
    """Then the species file speaks: a grown ball python at least every 14 days."""
    found = feeding(tmp_path, "2026-11-03,F-01,meal,,,\n2026-11-10,F-01,meal,,,\n2026-11-17,F-01,meal,,,", "F-01")
    assert (found.every, found.own, found.due) == (14, False, date(2026, 12, 1))


@pytest.mark.parametrize(("day", "long"), [(date(2026, 11, 23), False), (date(2026, 11, 24), True)])
def test_four_of_its_own_intervals_are_long(tmp_path: Path, day: date, long: bool) -> None:
    """Fed every 7 days and last on 27 October: long from 24 November, day 28, though a grown one has 60 days."""
    meals = "".join(f"{on},F-01,meal,,,\n" for on in ("2026-10-06", "2026-10-13", "2026-10-20", "2026-10-27"))
    refused = "".join(f"{on},F-01,refused,,,\n" for on in ("2026-11-03", "2026-11-10", "2026-11-17"))
    assert feeding(tmp_path, meals + refused, "F-01", day).long is long


@pytest.mark.parametrize(
    ("animal", "day", "long"), [("C26-01-4", 20, False), ("C26-01-4", 21, True), ("F-02", 21, False)]
)
def test_a_young_one_is_pointed_out_sooner(tmp_path: Path, animal: str, day: int, long: bool) -> None:
    """Under six months 28 days without a meal are long, of a grown one 60: last meal 24 October."""
    rows = "".join(f"2026-10-24,{name},meal,,,\n2026-11-20,{name},refused,,,\n" for name in ("C26-01-4", "F-02"))
    assert feeding(tmp_path, rows, animal, date(2026, 11, day)).long is long


def test_refusals_alone_count_from_the_first(tmp_path: Path) -> None:
    """Of a grown animal with refusals alone no hunger since it hatched is concluded: it counts from 1 November."""
    rows = "2026-11-01,F-01,refused,,,\n2026-11-15,F-01,refused,,,"
    assert (feeding(tmp_path, rows, "F-01").days, feeding(tmp_path, rows, "F-01").long) == (24, False)


def test_days_without_a_meal_say_since_when(tmp_path: Path) -> None:
    """The first refusal is no meal, nor is an assisted meal a refusal; a newborn counts from its hatching, 13 July."""
    rows = "2026-11-01,F-01,refused,,,\n2026-11-15,F-01,refused,,,\n2026-11-17,F-02,refused,,,\n2026-07-20,C26-01-4,refused,,,\n"
    rows += "2026-10-01,M-01,assisted,,,\n2026-10-01,M-02,assisted,,,\n2026-11-15,M-02,refused,,,\n"
    season = Season(FAMILY.book(tmp_path, log(rows)), date(2026, 11, 25))
    said = {one.animal: since(one, season).partition("; at its age")[0] for one in season.feeding.animals}
    assert said["F-01"] == "no meal is logged; 2 refusals, the first 24 days ago"
    assert said["F-02"] == "no meal is logged; 1 refusal 8 days ago"
    assert said["C26-01-4"] == "no meal is logged; 1 refusal 128 days ago"
    assert (said["M-01"], said["M-02"]) == ("no meal is logged", "no meal is logged; 1 refusal 10 days ago")
    young = Season(FAMILY.book(tmp_path, log(rows)), date(2026, 8, 2))
    said = {one.animal: since(one, young).partition("; at its age")[0] for one in young.feeding.animals}
    assert said["C26-01-4"] == "no meal is logged since it hatched 20 days ago; 1 refusal"


def test_eggs_long_past_their_window_are_not_in_the_incubator(tmp_path: Path) -> None:
    """Laid on 5 October, commonly hatched by 4 December: thirty days later the record lacks its end, and `notices` says so."""
    collection, private = FAMILY.both(tmp_path, _EGGS)
    assert [one.clutch for one in in_the_box(collection, private, date(2027, 1, 3))] == ["C26-02"]
    assert in_the_box(collection, private, date(2027, 1, 4)) == ()


def test_a_cooled_animal_is_not_fed_until_it_is_warmed(tmp_path: Path) -> None:
    """Without an offer since it was cooled it is neither due nor long without a meal; a refusal after it makes it one of the others."""
    rows = "2026-08-01,M-21,meal,,,\n2026-09-15,M-21,cooled,,,\n2026-11-20,F-01,meal,,,"
    cold = feeding(tmp_path / "cold", rows, "M-21")
    assert (cold.due, cold.long, cold.quiet) == (None, False, False)
    assert cold.cooled is not None
    offered = feeding(tmp_path / "offered", f"{rows}\n2026-11-18,M-21,refused,,,", "M-21")
    assert (offered.cooled, offered.long) == (None, True)


def test_a_warmed_animal_begins_anew_and_its_cooling_is_no_gap_between_meals(tmp_path: Path) -> None:
    rows = (
        "2026-06-01,M-21,meal,,,\n2026-06-11,M-21,meal,,,\n2026-06-20,M-21,cooled,,,\n2026-11-15,M-21,warmed,,,\n"
        "2026-11-20,F-01,meal,,,\n"
    )
    warm = feeding(tmp_path / "warm", rows, "M-21")
    assert (warm.days, warm.warmed, warm.long, warm.quiet, warm.cooled) == (10, True, False, False, None)
    season = season_of(tmp_path / "said", rows)
    assert since(warm, season).startswith("warm for 10 days; last meal 11 Jun")
    fed = feeding(tmp_path / "fed", f"{rows}2026-11-24,M-21,meal,,,", "M-21")
    assert (fed.longest, fed.warmed, fed.days) == (10, False, 1)


def test_who_refused_last_goes_on_being_told_of_though_nothing_more_is_logged(tmp_path: Path) -> None:
    """One that ate last may have eaten since without a row; that one has not, by the log."""
    rows = "2026-07-01,F-01,meal,,,\n2026-09-15,F-01,refused,,,\n2026-11-20,F-02,meal,,,"
    found = feeding(tmp_path, rows, "F-01")
    assert (found.quiet, found.long, found.days) == (False, True, 147)


def test_a_silent_log_is_no_hunger(tmp_path: Path) -> None:
    """Of an animal without an offer for more than 45 days the log may be behind; of a room without one nothing is concluded."""
    rows = "2026-09-01,F-01,meal,,,\n2026-11-20,F-02,meal,,,"
    round_ = round_of(tmp_path / "one", rows)
    assert [one.animal for one in round_.quiet] == ["F-01"]
    assert round_.long == ()
    assert "M-01" in round_.silent
    behind = round_of(tmp_path / "all", "2026-09-01,F-01,meal,,,")
    assert behind.ended
    assert (behind.long, behind.quiet, behind.due_by(DAY)) == ((), (), ())


def test_what_it_ate_at_somebody_elses_is_not_in_the_log(tmp_path: Path) -> None:
    """Without food counts from the day on which it is here again; what is due is due."""
    lent = "- {id: X-1, sex: female, hatched: 2020, left: {how: loan, on: 2026-06-02, back: 2026-11-20}}\n"
    rows = "2026-06-01,X-1,meal,,,\n2026-11-20,F-02,meal,,,"
    season = season_of(tmp_path, rows, {"animals/x.yaml": lent})
    one = next(one for one in season.feeding.animals if one.animal == "X-1")
    assert (one.days, one.quiet, one.long) == (5, False, False)
    assert since(one, season).startswith("here for 5 days; last meal 1 Jun")


def test_a_hatchling_is_first_fed_once_it_has_shed(tmp_path: Path) -> None:
    """Hatched on 13 July; the first shed commonly comes until day 14, so 27 July, or on the day on which it was seen."""
    day = date(2026, 8, 1)
    rows = "2026-07-30,F-01,meal,,,\n2026-07-22,C26-01-1,first shed,,,"
    due = {one.animal: one.due for one in round_of(tmp_path, rows, day).animals}
    assert (due["C26-01-1"], due["C26-01-2"]) == (date(2026, 7, 22), date(2026, 7, 27))


def test_every_animal_of_the_room_stands_on_the_card(tmp_path: Path) -> None:
    """Young of a clutch too; what is not shown at once is folded, complete."""
    season = season_of(tmp_path, "2026-11-20,F-01,meal,,,\n2026-09-20,F-02,meal,,,\n2026-11-20,F-02,refused,,,")
    card = not_eaten(season)
    said = " ".join(f"{line.text} {line.detail}" for line in (*card.lines, *card.more))
    assert [line.text for line in card.lines] == ["F-02"]
    assert "veterinarian" in card.notes[0]
    for animal in season.collection.animals.values():
        assert not animal.here or animal.id in said
    assert any(line.text == "Not eaten for long" for line in evening(season).lines)


def test_what_has_no_figure_of_feeding_is_said_to_go_by_habit_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A species whose file has no `feeding`: of an animal with one meal in the log nothing tells what is long."""
    season = season_of(tmp_path, "2026-10-20,F-01,meal,,,")
    assert not any("habit" in note for note in not_eaten(season).notes)
    monkeypatch.setattr(due_, "fact_of", lambda species, kind: None)
    card = not_eaten(Season(season.sources, DAY))
    assert card.lines == ()
    assert card.notes == (
        "Ball python: its trait file has no `feeding`, so only an animal's own habit in the log tells how long without a meal is long.",
    )


def test_feeds_stand_day_by_day(tmp_path: Path) -> None:
    season = season_of(tmp_path, "2026-11-11,F-01,meal,,,\n2026-11-13,F-02,meal,,,")
    assert [(line.text, line.detail) for line in feeds(season).lines] == [("Today: 1", "F-01"), ("27 Nov: 1", "F-02")]


# Set apart


@pytest.mark.parametrize(
    "value",
    ["until 24.12.2026", "until 2026-11-19", "until 2026-11-31", "3 months", "for a while", "over soon", "24.12.2026"],
)
def test_what_may_be_the_end_of_a_quarantine_and_is_not_read_so_is_refused(tmp_path: Path, value: str) -> None:
    """Not taken for a note beside which ninety days are counted."""
    assert [code for *_, code in FAMILY.problems(tmp_path, log(f"2026-11-20,F-01,quarantine,,{value},\n"))] == [
        "log-value"
    ]


@pytest.mark.parametrize(
    ("rows", "until"),
    [
        ("2026-11-10,F-01,quarantine,,,", date(2027, 2, 8)),
        ("2026-11-10,F-01,quarantine,,30 days,", date(2026, 12, 10)),
        ("2026-11-10,F-01,quarantine,,until 2026-12-01,", date(2026, 12, 1)),
        ("2026-11-10,F-01,treatment,,,drops", date(2026, 12, 10)),
        ("2026-11-10,F-01,treatment,,drops,", date(2026, 12, 10)),
        ("2026-11-01,F-01,treatment,,10 days,\n2026-11-10,F-01,treatment,,20 days,", date(2026, 11, 30)),
        ("2026-11-10,F-01,treatment,,,\n2026-11-20,F-01,treatment,,over,", None),
        ("2026-11-10,F-01,treatment,,,\n2026-11-20,F-01,treatment,,Over,", None),
        ('2026-11-10,F-01,treatment,,,\n2026-11-20,F-01,treatment,," done ",', None),
        ("2026-11-24,F-01,treatment,,1 day,", DAY),
        ("2026-11-10,F-01,treatment,,For 20 Days,", date(2026, 11, 30)),
        ("2026-11-10,F-01,treatment,,Until 2026-12-01,", date(2026, 12, 1)),
        ("2026-11-23,F-01,treatment,,1 day,", None),
        ("2026-11-25,F-01,treatment,,until 2026-11-25,", DAY),
        ("2026-11-11,F-01,treatment,,2 weeks,", DAY),
        ("2026-11-11,F-01,quarantine,,14d,", DAY),
        ("2026-11-20,F-01,treatment,,0.2 ml,", date(2026, 12, 20)),
        ("2026-11-10,F-01,treatment,,10 days,\n2026-11-20,F-01,treatment,,10 days,", date(2026, 11, 30)),
        ("2026-08-01,F-01,quarantine,,,", None),
    ],
)
def test_a_quarantine_lasts_as_long_as_the_log_says(tmp_path: Path, rows: str, until: date | None) -> None:
    """90 days, and 30 of a treatment, where it does not say; `over` ends it on its day."""
    collection, private = FAMILY.both(tmp_path, log(rows))
    assert [one.until for one in set_apart(collection, private, DAY)] == ([until] if until else [])


@pytest.mark.parametrize(
    ("second", "spells"),
    [
        ("2026-11-11,F-01,treatment,,20 days,", [(date(2026, 11, 1), date(2026, 12, 1), True)]),
        (
            "2026-11-12,F-01,treatment,,20 days,",
            [(date(2026, 11, 1), date(2026, 11, 11), True), (date(2026, 11, 12), date(2026, 12, 2), True)],
        ),
        ("2026-11-11,F-01,treatment,,over,", [(date(2026, 11, 1), date(2026, 11, 10), True)]),
        ("2026-11-12,F-01,treatment,,over,", [(date(2026, 11, 1), date(2026, 11, 11), True)]),
        ("2026-11-05,F-01,treatment,,,", [(date(2026, 11, 1), date(2026, 12, 5), False)]),
        ("2026-11-05,F-02,treatment,,over,", [(date(2026, 11, 1), date(2026, 11, 11), True)]),
    ],
)
def test_a_further_row_while_it_lasts_sets_its_end_anew(
    tmp_path: Path, second: str, spells: list[tuple[date, date, bool]]
) -> None:
    """Ten days from 1 November: the eleventh is the last of them, and what begins on the twelfth is another."""
    _, private = FAMILY.both(tmp_path, log(f"2026-11-01,F-01,treatment,,10 days,\n{second}\n"))
    assert [(one.since.first, one.until, one.said) for one in spells_of("F-01", private.log)] == spells


def test_who_is_set_apart_is_not_ready_and_told_when_planned_or_sold(tmp_path: Path) -> None:
    """In no pairing proposed, "not now" among the ready, pointed out in a plan and on offer, and to settle before a hand-over."""
    season = season_of(
        tmp_path,
        "2026-11-20,F-01,weight,,1900,\n2026-11-20,M-02,weight,,900,\n2026-11-10,F-01,treatment,,until 2026-12-01,\n"
        "2026-11-12,C26-01-1,quarantine,,,\n2026-11-12,C26-01-2,quarantine,,20 days,",
        {
            "season/plans.yaml": "- {female: F-01, males: [M-02], from: 2026-10-01, purpose: prove}\n",
            "sales/all.yaml": "- {animals: [C26-01-2], buyer: Somebody, held: 2026-11-01, until: 2026-12-20}\n",
        },
    )
    ready = {one.animal: one for one in season.ready}
    assert ready["F-01"].verdict == "not now"
    assert sentences.ready_words(ready["F-01"]) == "under treatment until 1 Dec 2026"
    assert not any(pair.ready for pair in season.pairs if pair.female == "F-01")
    told = " ".join(sentences.to_settle(season.hand_overs[0]))
    assert "C26-01-2 is in quarantine until 2 Dec 2026" in told
    said = notices(season)
    assert "F-01 is planned with M-02, and is under treatment until 1 Dec 2026." in said
    assert "C26-01-1 is on offer, and is in quarantine until 10 Feb 2027." in said
    lines = {line.text: line.detail for line in quarantine(season).lines}
    assert lines["C26-01-1"] == "in quarantine until 10 Feb 2027 (since 12 Nov, 90 days, as the log names no end)"


def test_pairs_that_are_together_are_parted_by_semicolons(tmp_path: Path) -> None:
    """Else the day of one would be taken for that of both."""
    season = season_of(tmp_path, "2026-09-02,M-02,paired,F-02,,\n2026-11-20,M-01,paired,F-01,,\n")
    found = {line.text: line.detail for line in evening(season).lines}
    assert found["Together now"] == "M-01 with F-01; M-02 with F-02 since 2 Sep (parted?)"


def test_it_is_nobodys_turn_where_the_only_plan_is_left_out(tmp_path: Path) -> None:
    """F-02 is in quarantine, and no clutch of hers is counted."""
    plans = {"season/2026.yaml": "- {female: F-02, males: [M-01], from: 2026-10-01}\n"}
    assert [load.male for load in season_of(tmp_path / "well", "", plans).loads] == ["M-01"]
    assert season_of(tmp_path / "ill", "2026-11-20,F-02,quarantine,,,", plans).loads == ()


def test_a_pair_is_taken_apart_when_one_of_it_falls_ill(tmp_path: Path) -> None:
    season = season_of(tmp_path, "2026-11-20,M-02,paired,F-02,,\n2026-11-24,F-02,treatment,,,")
    said = {line.text: line.detail for line in evening(season).lines}
    assert said["Separate"] == "M-02 from F-02: quarantine or treatment; see below"
    assert "Together now" not in said


@pytest.mark.parametrize(
    ("paired", "said"), [("2026-11-12", ""), ("2026-09-02", " since 2 Sep (parted?)"), ("2026-06-02", None)]
)
def test_a_pair_that_nobody_parted_is_asked_after_until_its_season_is_over(
    tmp_path: Path, paired: str, said: str | None
) -> None:
    season = season_of(tmp_path, f"{paired},M-02,paired,F-02,,\n{paired},M-02,lock,F-02,,")
    found = {line.text: line.detail for line in evening(season).lines}
    assert found.get("Together now") == (None if said is None else f"M-02 with F-02{said}")


def test_odds_say_who_is_not_to_be_paired(tmp_path: Path) -> None:
    """After the odds, until when; on a day after it nothing."""
    FAMILY.write(tmp_path, log("2026-11-10,F-01,treatment,,until 2026-12-01,"))
    asked = ["odds", "M-02", "F-01", "--collection", str(tmp_path), "--on"]
    told = "F-01 is under treatment until 1 Dec 2026, and not to be paired until then."
    assert CliRunner().invoke(main, [*asked, "2026-11-25"]).stdout.splitlines()[-1] == told
    assert told not in CliRunner().invoke(main, [*asked, "2026-12-02"]).stdout
    both = [*asked[:3], "F-02", *asked[3:], "2026-11-25"]
    assert told in CliRunner().invoke(main, both).stdout
    for command in ([*asked, "2026-11-25"], both):
        (apart,) = json.loads(CliRunner().invoke(main, [*command, "--json"]).stdout)["set_apart"]
        assert (apart["animal"], apart["how"], apart["until"], apart["said"]) == (
            "F-01",
            "treatment",
            "2026-12-01",
            True,
        )
    assert json.loads(CliRunner().invoke(main, [*asked, "2026-12-02", "--json"]).stdout)["set_apart"] == []


def test_lists_count_as_people_do(tmp_path: Path) -> None:
    """-2 before -10."""
    more = {"animals/more.yaml": "".join(f"- {{id: Z-{number}, hatched: 2020-07-01}}\n" for number in (1, 10, 2))}
    collection = FAMILY.book(tmp_path, more).collection
    assert [animal.id for animal in room(collection) if animal.id.startswith("Z")] == ["Z-1", "Z-2", "Z-10"]


# The incubator


def test_a_clutch_in_the_incubator_has_its_box_day_window_and_notes(tmp_path: Path) -> None:
    """Laid on 5 October: on 25 November day 51; hatching from day 55 to 60, pipping one to three days before."""
    rows = (
        "2026-10-05,C26-02,box,,B2,\n2026-10-20,C26-02,candled,,5,one is small\n2026-11-01,C26-02,egg lost,,1,\n"
        "2026-11-02,C26-02,temperature,,31.5 °C,\n2026-11-03,C26-02,note,,,a dent in the lowest egg\n2026-11-04,F-02,note,,,calm"
    )
    collection, private = FAMILY.both(tmp_path, {**log(rows), **_EGGS})
    (found,) = in_the_box(collection, private, DAY)
    assert (found.box, found.day, found.usual, found.good) == ("B2", 51, (55, 60), 4)
    assert found.pip == (date(2026, 11, 26), date(2026, 12, 3))
    assert found.hatch == (date(2026, 11, 29), date(2026, 12, 4))
    (line,) = incubator(season_of(tmp_path / "season", rows, _EGGS)).lines
    assert line.detail == (
        "box B2; day 51 of about 55 to 60; pipping expected 26 Nov to 3 Dec; hatching 29 Nov to 4 Dec; 4 good eggs; "
        "31.5 °C on 2 Nov. Noted: 3 Nov: a dent in the lowest egg; 1 Nov: egg lost 1; 20 Oct: candled 5 (one is small)"
    )


@pytest.mark.parametrize(
    ("rows", "good"),
    [
        ("2026-10-20,C26-02,candled,,4,\n", 4),
        ("2026-10-20,C26-02,candled,,4,\n2026-11-20,C26-02,candled,,3,\n", 3),
        ("2026-10-20,C26-02,candled,,,\n", 5),
        ("2026-10-10,C26-02,egg lost,,2,\n2026-10-20,C26-02,candled,,3,\n2026-11-01,C26-02,egg lost,,1,\n", 2),
        ("2026-10-20,C26-02,candled,,7,\n2026-11-01,C26-02,egg lost,,1,\n", 4),
    ],
)
def test_good_eggs_are_those_of_the_last_candling_without_what_was_lost_since(
    tmp_path: Path, rows: str, good: int
) -> None:
    collection, private = FAMILY.both(tmp_path, {**log(rows), **_EGGS})
    assert [one.good for one in in_the_box(collection, private, DAY)] == [good]


@pytest.mark.parametrize(
    ("row", "first", "second"), [("2026-11-15,F-02,pipped,,", True, False), ("2026-11-21,F-02,pipped,,", False, True)]
)
def test_eggs_of_a_dam_that_laid_again_are_of_the_clutch_that_lay_then(
    tmp_path: Path, row: str, first: bool, second: bool
) -> None:
    """Laid on 5 October and, a few days after those pipped, on 20 November; what is due goes by the same rows."""
    again = {"clutches/C26-03.md": "---\nid: C26-03\nsire: M-01\ndam: F-02\nlaid: 2026-11-20\neggs: 4\n---\n"}
    collection, private = FAMILY.both(tmp_path, {**log(row), **_EGGS, **again})
    found = in_the_box(collection, private, DAY)
    assert {one.clutch: one.pipped is not None for one in found} == {"C26-02": first, "C26-03": second}
    after = {one.about: one.after for one in due_.due(collection, private, DAY) if one.comes == "hatched"}
    assert after == {name: "pipped" if pipped else "laid" for name, pipped in (("C26-02", first), ("C26-03", second))}


def test_of_eggs_that_hatched_by_the_log_no_window_is_told(tmp_path: Path) -> None:
    """And what does not fit says from that day on that the record lacks it."""
    rows = "2026-11-20,C26-02,pipped,,,\n2026-11-22,C26-02,hatched,,3,"
    season = season_of(tmp_path, rows, _EGGS)
    (line,) = incubator(season).lines
    assert line.detail.endswith("; pipped 20 Nov. Noted: 22 Nov: hatched 3")
    assert not any(one.text.startswith("Look at") for one in evening(season).lines)
    assert "C26-02: hatched on 22 Nov by the log, and its record says nothing of it; write `hatched`." in notices(
        season
    )


def test_eggs_that_nobody_wrote_the_laying_of_lie_in_the_incubator_too(tmp_path: Path) -> None:
    """Behind those with a day, without a window; a record that counts no eggs yet is no clutch in a box."""
    undated = "---\nid: C26-03\nsire: M-02\ndam: F-01\n{}---\n"
    files = {**_EGGS, "clutches/C26-03.md": undated.format("eggs: 6\n")}
    season = season_of(tmp_path / "eggs", "2026-11-02,C26-03,box,,B4,", files)
    assert [one.clutch for one in season.incubating] == ["C26-02", "C26-03"]
    last = incubator(season).lines[-1]
    assert (last.text, last.detail) == ("C26-03 (F-01)", "box B4; the day of laying is not on record; 6 good eggs")
    Draft202012Validator(json.loads(shipped.schema("season"))).validate(json.loads(json.dumps(as_json(season))))
    none = season_of(tmp_path / "none", "2026-11-02,F-01,meal,,,", {"clutches/C26-03.md": undated.format("")})
    assert none.incubating == ()


@pytest.mark.parametrize(
    ("laid", "told"),
    [
        ("2026-10-05", "day 51 of about 55 to 60; pipping expected 26 Nov to 3 Dec; hatching 29 Nov to 4 Dec"),
        (
            "2026-10-05..07",
            "day 49 to 51 of about 55 to 60; pipping expected 26 Nov to 5 Dec; hatching 29 Nov to 6 Dec",
        ),
        (
            "about 2026-10-05",
            "about day 51 of about 55 to 60; pipping expected about 26 Nov to 3 Dec; hatching about 29 Nov to 4 Dec",
        ),
        ("before 2026-10-05", "day 52 or later of about 55 to 60"),
    ],
)
def test_days_are_counted_as_exactly_as_the_laying_is_known(tmp_path: Path, laid: str, told: str) -> None:
    eggs = {"clutches/C26-02.md": f"---\nid: C26-02\nsire: M-02\ndam: F-02\nlaid: {laid}\neggs: 5\n---\n"}
    (line,) = incubator(season_of(tmp_path, "", eggs)).lines
    assert line.detail == f"{told}; 5 good eggs"


def test_eggs_whose_window_is_open_are_for_this_evening(tmp_path: Path) -> None:
    season = Season(FAMILY.book(tmp_path, _EGGS), date(2026, 11, 27))
    assert evening(season).lines[0].text == "Look at C26-02 (F-02)"


# What something hangs on


def test_proving_begins_with_what_plans_sales_and_prices_hang_on(tmp_path: Path) -> None:
    """F-01's Piebald moves what her offered young of a normal male are sold as; nothing hangs on F-02's claim."""
    more = {
        "animals/more.yaml": "- {id: F-09, sex: female, hatched: 2020-07-01, shows: normal, status: breeder, claims: {Clown: 50%}}\n"
        "- {id: F-08, sex: female, hatched: 2020-07-01, shows: normal, status: breeder, claims: {Clown: 50%}}\n"
        "- {id: M-09, sex: male, hatched: 2020-07-01, shows: Clown, status: breeder}\n"
        "- {id: C24-01-1, sex: male, hatched: 2024-07-01, shows: normal, dam: F-09, status: available, price: 90}\n"
    }
    first, others, _ = season_of(tmp_path, "", more).proving_groups
    assert [one.animal for one in first] == ["F-09"]
    assert "F-08" in {one.animal for one in others}
    season = season_of(tmp_path / "again", "", more)
    assert hangs_on_it(season, first[0]) == "the price of C24-01-1"


def test_a_backup_makes_no_second_plan(tmp_path: Path) -> None:
    more = {
        "animals/more.yaml": "- {id: F-09, sex: female, hatched: 2020-07-01, shows: normal, status: breeder, claims: {Clown: 50%}}\n"
        "- {id: M-09, sex: male, hatched: 2020-07-01, shows: Clown, status: breeder}\n",
        "season/2027.yaml": "- {female: F-09, males: [M-09], backup: M-02, want: [Clown]}\n",
    }
    season = season_of(tmp_path, "", more)
    one = next(one for one in season.proving_groups[0] if one.animal == "F-09")
    assert hangs_on_it(season, one) == "what is planned with M-09 or M-02"


# Who is still in the room, and who is fit for what is proposed


@pytest.mark.parametrize("keys", ["payments: [{on: 2026-11-20, amount: 300}]", "handed_over: 2026-11-26"])
def test_what_is_paid_for_is_fed_until_it_is_handed_over(tmp_path: Path, keys: str) -> None:
    """In the room and in its lists on the 25th, though it is marked sold in public; gone once it was handed over."""
    sale = {"sales/all.yaml": f"- {{animals: [C26-01-3], buyer: Somebody, agreed: 300, held: 2026-11-01, {keys}}}\n"}
    season = season_of(tmp_path / "here", "", sale)
    assert season.sources.collection.animals["C26-01-3"].sold
    assert "C26-01-3" in {one.id for one in room(season.collection)}
    assert "C26-01-3" in {one.animal for one in season.not_ready}
    gone = {"sales/all.yaml": sale["sales/all.yaml"].replace("handed_over: 2026-11-26", "handed_over: 2026-11-25")}
    late = Season(FAMILY.book(tmp_path / "gone", gone), DAY)
    assert ("C26-01-3" in {one.id for one in room(late.collection)}) == ("payments" in keys)


def test_one_set_apart_is_marked_where_it_is_handled(tmp_path: Path) -> None:
    """On the phone and on the room sheet, whatever else speaks against it."""
    season = season_of(tmp_path, "2026-11-20,C26-01-1,quarantine,,until 2026-12-20,")
    framing = DeskFraming(season, DeskTheme(load_theme("paper", [themes()])))
    until = "in quarantine until 20 Dec 2026"
    entries = [entry for _, _, found in phone_page(framing).shown["groups"] for entry in found]
    assert [entry.mark for entry in entries if entry.subject.id == "C26-01-1"] == [until]
    rows = [row for group in sheet_page(framing).shown["groups"] for row in group.rows]
    assert [row.note for row in rows if row.text == "C26-01-1"] == [until]


def test_a_hatchling_that_refuses_and_loses_weight_stands_first_among_those_not_eating(tmp_path: Path) -> None:
    """Before a sister of which nothing is logged for longer; the loss, since the fortnight in which it lived on its yolk, stands beside."""
    rows = "2026-08-10,C26-01-3,meal,,,\n2026-08-12,C26-01-3,weight,,62,\n"
    rows += "".join(f"2026-{day},C26-01-3,refused,,,\n" for day in ("08-17", "08-24", "08-31"))
    season = season_of(tmp_path, f"{rows}2026-09-28,C26-01-3,weight,,48,\n")
    told = Season(season.sources, date(2026, 9, 30))
    (first, *others) = not_eaten(told).lines
    assert first.text == "C26-01-3"
    assert first.detail.startswith("51 days; last meal 10 Aug; 3 refusals since; ")
    assert first.detail.endswith("; down 22% from 62 g on 12 Aug")
    assert "C26-01-1" in [line.text for line in others], "not eaten for longer"
    hungry = next(line.detail for line in evening(told).lines if line.text == "Not eaten for long")
    assert hungry.startswith("C26-01-3 (51 days), ")


@pytest.mark.parametrize(
    ("days", "said"),
    [
        ("held: 2026-11-01, until: 2026-11-25", "on hold"),
        ("held: 2026-11-01, until: 2026-11-20", "hold ended 20 Nov, 5 days ago"),
        ("held: 2026-11-26", "hold from 26 Nov on"),
    ],
)
def test_a_hold_at_the_rack_is_one_of_today(tmp_path: Path, days: str, said: str) -> None:
    season = season_of(tmp_path, "", {"sales/all.yaml": f"- {{animals: [C26-01-2], buyer: Ada, {days}}}\n"})
    groups = phone_page(DeskFraming(season, DeskTheme(load_theme("paper", [themes()])))).shown["groups"]
    kinds = {entry.subject.id: entry.kind for _, _, found in groups for entry in found}
    assert kinds["C26-01-2"] == f"male, {said}"


def test_a_hold_that_the_public_list_no_longer_has_is_still_told_at_the_rack(tmp_path: Path) -> None:
    """By a newer record the animal is offered again; the sale was not given up, and money may have been paid."""
    files = {
        "sales/all.yaml": "- {animals: [C26-01-2], buyer: Ada, held: 2026-10-01, until: 2026-11-01}\n",
        "animals/new.yaml": "- {id: F-09, sex: female, hatched: 2020-07-01, shows: normal, came: {on: 2026-11-20, how: bought}}\n",
    }
    season = season_of(tmp_path, "", files)
    assert season.sources.collection.animals["C26-01-2"].status == "available"
    groups = phone_page(DeskFraming(season, DeskTheme(load_theme("paper", [themes()])))).shown["groups"]
    kinds = {entry.subject.id: entry.kind for _, _, found in groups for entry in found}
    assert kinds["C26-01-2"] == "male, hold ended 1 Nov, 24 days ago"


def test_what_is_paid_for_waits_for_its_hand_over_and_not_for_a_last_day(tmp_path: Path) -> None:
    """Half of the price leaves the hold as it was; what is left to pay is still open."""
    sale = "- {{animals: [C26-01-2], held: 2026-11-01, until: 2026-11-20, agreed: 90, payments: [{{on: 2026-11-02, amount: {}}}]}}\n"
    for amount, said, still in (
        (45, "ended 20 Nov, 5 days ago", ["one balance"]),
        (90, "paid for, not handed over yet", []),
    ):
        season = season_of(tmp_path / str(amount), "", {"sales/all.yaml": sale.format(amount)})
        (held,) = season.holds
        assert sentences.hold(held, DAY) == said
        assert held.ended is (amount < 90)
        assert [line.detail for line in evening(season).lines if line.text == "Still open"] == still


def test_a_pairing_is_not_proposed_while_one_of_the_two_is_treated(tmp_path: Path) -> None:
    plan = {
        "animals/more.yaml": "- {id: F-09, sex: female, hatched: 2020-07-01, shows: normal, status: breeder, claims: {Piebald: 50%}}\n",
        "season/2026.yaml": "- {female: F-09, males: [M-01], from: 2026-11-01, purpose: prove}\n",
    }
    free = proves_most(season_of(tmp_path / "free", "", plan))[0]
    treated = proves_most(season_of(tmp_path / "treated", "2026-11-20,M-01,treatment,,until 2026-12-20,", plan))[0]
    assert treated.detail == f"{free.detail}; M-01 not now: under treatment until 20 Dec 2026"


def test_a_female_about_to_lay_is_not_ready_to_be_paired(tmp_path: Path) -> None:
    heavy = "2026-11-01,F-02,weight,,2200,\n2026-11-01,F-01,weight,,2200,\n"
    before = season_of(tmp_path / "before", heavy)
    after = season_of(tmp_path / "after", f"{heavy}2026-11-05,F-02,ovulation,,,")
    assert [line.detail for line in who_is_ready(before)] == ["F-01, F-02"]
    assert [line.detail for line in who_is_ready(after)] == ["F-01"]
    assert after.about_to_lay == {"F-02"}


def test_a_female_that_laid_by_the_log_is_not_ready_to_be_paired(tmp_path: Path) -> None:
    heavy = "2026-11-01,F-02,weight,,2200,\n2026-11-01,F-01,weight,,2200,\n"
    season = season_of(tmp_path, f"{heavy}2026-11-20,F-02,laid,,6,\n")
    assert [line.detail for line in who_is_ready(season)] == ["F-01"]


def test_what_a_male_in_use_lost_is_told_once(tmp_path: Path) -> None:
    """He loses weight, and more than a male at work may: one of the two sentences is enough."""
    rows = "2026-11-01,M-01,weight,,1000,\n2026-11-20,M-01,paired,F-01,,\n2026-11-23,M-01,weight,,800,\n"
    season = season_of(tmp_path, rows)
    assert "M-01" in season.losing
    assert sentences.against(season, "M-01") == "down 20% from 1000 g"


def test_of_a_young_animal_the_desk_says_that_it_is_too_young(tmp_path: Path) -> None:
    """C26-01-4 hatched in July, and is under half the age at which any readiness is told."""
    season = season_of(tmp_path, "")
    assert sentences.against(season, "C26-01-4") == "too young"
    assert sentences.against(season, "M-01") != "too young"


def test_of_a_female_that_laid_the_desk_says_when_and_that_no_weight_is_logged(tmp_path: Path) -> None:
    season = season_of(tmp_path, "2026-11-20,F-02,laid,,6,\n")
    (ready,) = [card for card in glance(season) if card.key == "ready"]
    assert "F-02: laid on 20 Nov; no weight is logged." in ready.nothing


@pytest.mark.parametrize("state", ["lying", "forgotten", "lost", "reported"])
def test_the_incubator_holds_the_same_clutches_on_every_list(tmp_path: Path, state: str) -> None:
    """Eggs forgotten in the records, lost by the log, or bred by somebody else lie in none."""
    record = _EGGS["clutches/C26-02.md"]
    changed = {
        "forgotten": record.replace("2026-10-05", "2026-06-05"),
        "reported": record.replace("eggs:", "reported_by: Ada\neggs:"),
    }
    rows = "2026-10-20,C26-02,egg lost,,5,\n" if state == "lost" else ""
    season = season_of(tmp_path, rows, {"clutches/C26-02.md": changed.get(state, record)})
    phone = phone_page(DeskFraming(season, DeskTheme(load_theme("paper", [themes()]))))
    lying = ["C26-02"] if state == "lying" else []
    assert [one.clutch for one in season.incubating] == lying
    assert [one.laid for one in season.awaited] == lying
    assert [one.id for one in phone.shown["entering"].clutches] == lying
    assert ("F-02" in season.have_laid) == bool(lying)
    assert any("write `hatched`" in text for text in notices(season)) == (state == "forgotten")


def test_a_ready_animal_that_does_not_eat_is_said_to(tmp_path: Path) -> None:
    """F-01 is fed every week, and has refused since 20 October."""
    meals = "".join(f"2026-{day},F-01,meal,,rat,\n" for day in ("09-22", "09-29", "10-06", "10-13", "10-20"))
    rows = f"{meals}2026-11-01,F-01,weight,,2200,\n2026-11-03,F-01,refused,,,\n2026-11-17,F-01,refused,,,\n"
    (line,) = who_is_ready(season_of(tmp_path, rows))
    assert line.detail == "F-01 (not eaten for 36 days)"


def test_whoever_is_ready_and_not_to_be_used_is_not_called_too_light(tmp_path: Path) -> None:
    """F-02 is old and heavy enough, and about to lay; of the others no weight is known. A weight of May needs another."""
    season = season_of(tmp_path, "2026-05-01,F-02,weight,,2200,\n2026-11-05,F-02,ovulation,,,")
    assert who_is_ready(season) == ()
    (ready,) = [card for card in glance(season) if card.key == "ready"]
    assert ready.nothing == (
        "No animal kept for breeding is known to be ready. F-02: about to lay. F-01, F-03, M-01, M-02 and 2 more: no"
        " weight is logged."
    )
    groups = phone_page(DeskFraming(season, DeskTheme(load_theme("paper", [themes()])))).shown["groups"]
    facts = [fact for _, _, found in groups for entry in found if entry.subject.id == "F-02" for fact in entry.facts]
    assert [fact.value for fact in facts if fact.term == "To breed"] == ["old and heavy enough; weigh again"]


def test_of_animals_that_are_all_too_young_no_trait_file_is_blamed(tmp_path: Path) -> None:
    """The only animal of the room has four months, and its species a `readiness`."""
    young = "- {id: Z-1, sex: female, hatched: 2026-08-01, shows: normal, status: holdback}\n"
    room = Room({"collection.yaml": FAMILY.base["collection.yaml"]})
    (ready,) = [
        card for card in glance(Season(room.book(tmp_path, {"animals/young.yaml": young}), DAY)) if card.key == "ready"
    ]
    assert "under half the usual age" in ready.nothing


def test_a_backup_that_is_ready_stands_among_those_of_the_plans(tmp_path: Path) -> None:
    plans = {"season/2026.yaml": "- {female: F-02, males: [M-02], backup: M-01, from: 2026-10-01}\n"}
    season = season_of(tmp_path, "2026-11-01,M-01,weight,,1500,\n", plans)
    assert ("Ready males of the plans", "M-01") in [(line.text, line.detail) for line in who_is_ready(season)]


def test_two_plans_of_one_pair_have_an_account_each(tmp_path: Path) -> None:
    plans = "- {female: F-02, males: [M-01], from: 2026-10-01}\n- {female: F-02, males: [M-01], from: 2027-10-01}\n"
    season = season_of(tmp_path, "", {"season/2026.yaml": plans})
    assert len({one.key for one in season.planned}) == 2


def test_an_age_of_a_partial_date_is_the_least_it_can_be(tmp_path: Path) -> None:
    """F-03 hatched in June 2024: 28 or 29 months; F-01 on 1 July 2019."""
    season = season_of(tmp_path, "2026-11-01,F-01,weight,,2200,\n2026-11-01,F-03,weight,,2200,")
    said = {one.animal: sentences.ready_words(one) for one in season.ready}
    assert (said["F-01"], said["F-03"]) == ("88 months, 2200 g", "at least 28 months, 2200 g")


def test_nothing_is_said_to_have_fed_that_no_rule_asks_about(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A species whose file has no `ready_when`: nobody checked."""
    season = season_of(tmp_path, "")
    assert season.not_ready
    assert list(not_ready_else(season)) == []
    monkeypatch.setattr(sales, "fact_of", lambda species, kind: None)
    unasked = Season(season.sources, DAY)
    assert unasked.not_ready == ()
    assert list(not_ready_else(unasked)) == [
        "Ball python: its trait file has no `ready_when`, so nothing is checked of its young."
    ]


@pytest.mark.parametrize(
    ("female", "grams", "turns"),
    [("F-02", 2200, ["M-01 with F-02"]), ("F-02", 900, []), ("F-03", 900, ["M-01 with F-02"])],
)
def test_a_female_is_next_in_turn_once_and_not_while_she_is_too_light(
    tmp_path: Path, female: str, grams: int, turns: list[str]
) -> None:
    """Two males are planned for F-02; she is the next of both."""
    plans = {"season/2026.yaml": "- {female: F-02, males: [M-01, M-02], from: 2026-10-01}\n"}
    season = season_of(tmp_path, f"2026-11-01,{female},weight,,{grams},\n", plans)
    assert [line.detail for line in evening(season).lines if line.text == "Next in turn"] == turns


def test_next_in_turn_stands_no_backup_and_no_plan_to_come(tmp_path: Path) -> None:
    """M-02 was with F-02 as the backup of M-01; M-01 has F-02 now, and F-01 from December."""
    plans = {
        "season/2026.yaml": "- {female: F-02, males: [M-01], backup: M-02, from: 2026-10-01}\n"
        "- {female: F-01, males: [M-01], from: 2026-12-01}\n"
    }
    rows = "2026-11-01,M-02,paired,F-02,,\n2026-11-02,M-02,parted,F-02,,\n"
    season = season_of(tmp_path, rows, plans)
    (turn,) = [line.detail for line in evening(season).lines if line.text == "Next in turn"]
    assert turn == "M-01 with F-02"
    assert [load.male for load in season.loads] == ["M-01"]


def test_a_plan_says_who_else_was_with_her(tmp_path: Path) -> None:
    """What a clutch of M-01 alone would settle is not said without that."""
    files = {
        "animals/more.yaml": "- {id: F-09, sex: female, hatched: 2020-07-01, shows: normal, status: breeder, claims: {Piebald: 50%}}\n",
        "season/2026.yaml": "- {female: F-09, males: [M-01], backup: M-02, from: 2026-10-01, purpose: prove}\n",
    }
    rows = "2026-11-01,M-02,paired,F-09,,\n2026-11-02,M-02,parted,F-09,,\n"
    alone = "this holds if M-01 alone sires the clutch: M-02 was with F-09 already"
    assert proves_most(season_of(tmp_path / "he", rows, files))[0].detail.endswith(f"; {alone}")
    both = proves_most(season_of(tmp_path / "both", f"{rows}2026-11-03,M-01,paired,F-09,,\n", files))[0].detail
    assert both.endswith("; this holds if M-01 alone sires the clutch: M-02 was with F-09 too")
    proving = proving_page(
        DeskFraming(season_of(tmp_path / "page", rows, files), DeskTheme(load_theme("paper", [themes()])))
    )
    assert [alone in pair.note for pair in proving.shown["pairs"] if pair.name == "M-01 with F-09"] == [True]
    (asked,) = [one for one in proving.shown["groups"][0].rows if one.name == "F-09"]
    assert [line.endswith(f" T{alone[1:]}.") for line in asked.lines if line.startswith("M-01:")] == [True]
    assert alone not in proves_most(season_of(tmp_path / "one", "", files))[0].detail
    treated = proves_most(season_of(tmp_path / "treated", f"{rows}2026-11-20,M-01,treatment,,,\n", files))[0].detail
    assert f"; {alone}; M-01 not now: under treatment until " in treated


def test_a_pair_of_whom_another_may_have_sired_the_clutch_stands_last(tmp_path: Path) -> None:
    """Though it would settle more: on all pages in one order, of which the first is what proves most."""
    animals = "".join(
        f"- {{id: F-{key}, sex: female, hatched: 2020-07-01, shows: normal, status: breeder, claims: {{Piebald: {claim}}}}}\n"
        for key, claim in (("08", "90%"), ("09", "50%"))
    )
    plans = "".join(f"- {{female: F-{key}, males: [M-01, M-02], from: 2026-10-01}}\n" for key in ("08", "09"))

    def pairs(name: str, rows: str) -> list[str]:
        season = season_of(tmp_path / name, rows, {"animals/more.yaml": animals, "season/2026.yaml": plans})
        framing = DeskFraming(season, DeskTheme(load_theme("paper", [themes()])))
        found = [pair.name for pair in proving_page(framing).shown["pairs"] if "planned" in pair.note.split("; ")]
        assert [one.name for one in pairings_page(framing).shown["pairings"]][: len(found)] == found
        assert proves_most(season)[0].text == found[0]
        return found

    first = pairs("before", "")[0]
    rows = "".join(f"2026-11-01,{male},paired,{first[-4:]},,\n" for male in ("M-01", "M-02"))
    assert pairs("after", rows)[0] != first
