"""Males in rotation and readiness, on worked dates. Thresholds are the species file's: common practice, no source."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from tests.rooms import FAMILY, FAMILY_ANIMALS, FAMILY_SETTINGS, log

from clutchlight.desk import sentences
from clutchlight.desk.evening import evening, proves_most, who_is_ready
from clutchlight.desk.season import Season
from clutchlight.desk.sentences import flags_in_words, load_words, season_words
from clutchlight.genetics.inference import infer
from clutchlight.model import Collection, When
from clutchlight.model.private import LogRow, Private
from clutchlight.pipeline import read_everything
from clutchlight.planning.readiness import (
    OWN,
    age_in_months,
    grown,
    losing_weight,
    male_limits,
    readiness,
    weight_on,
    windows,
)
from clutchlight.planning.rotation import Load, MaleAtWork, loads, males_in_rotation, stays
from clutchlight.planning.winter import awaited
from clutchlight.planning.years_end import years
from clutchlight.problems import Place
from clutchlight.reading.dates import read_date

DAY = date(2026, 11, 25)
TWO = ("M-01", "F-01")


def at_work(folder: Path, rows: str, more: dict[str, str] | None = None, day: date = DAY) -> dict[str, MaleAtWork]:
    collection, private = FAMILY.both(folder, {**log(rows), **(more or {})})
    return {male.animal: male for male in males_in_rotation(collection, private, day)}


def loads_of(collection: Collection, private: Private) -> tuple[Load, ...]:
    return loads(collection, private, awaited(collection, private, DAY), DAY, infer(collection).possible_sires)


def flags(male: MaleAtWork) -> list[str]:
    return [flag.kind for flag in male.flags]


def test_the_demo_shows_who_is_overworked_and_who_loses_weight(content_dir: Path) -> None:
    """Rook: four pairings in seven days, three with a lock: no alarm. Mote, small, in his first season: 644 g to 561 g, four refusals."""
    both = read_everything(content_dir)
    assert both.collection is not None
    assert both.private is not None
    males = {male.animal: male for male in males_in_rotation(both.collection, both.private, DAY)}
    assert list(males) == ["M-08", "M-01", "M-03", "M-05"]
    assert (males["M-05"].pairings_7, males["M-05"].worked_7, flags(males["M-05"])) == (4, 3, [])
    assert (males["M-08"].small, males["M-08"].first_season, flags(males["M-08"])) == (
        True,
        True,
        ["weight", "refusals"],
    )
    assert males["M-08"].change_percent == Fraction(561 - 644, 644) * 100
    assert "down 12%" in flags_in_words(males["M-08"])[0].seen
    assert (flags(males["M-01"]), flags(males["M-03"])) == ([], [])


def test_seven_days_are_the_day_and_the_six_before(tmp_path: Path) -> None:
    """On the 25th the 19th counts and the 18th does not; of 30 days the 27th of October is the first."""
    rows = "".join(f"{day},M-01,paired,F-01,,\n" for day in ("2026-10-26", "2026-10-27", "2026-11-18", "2026-11-19"))
    male = at_work(tmp_path, rows)["M-01"]
    assert (male.pairings_7, male.pairings_30) == (1, 3)


@pytest.mark.parametrize(("count", "flagged"), [(3, False), (4, True)])
def test_the_limit_itself_is_not_flagged(tmp_path: Path, count: int, flagged: bool) -> None:
    """At most three pairings in seven days: three are within the rule, four are not."""
    rows = "2025-01-01,M-01,paired,F-02,,\n" + "".join(
        f"2026-11-{25 - day},M-01,paired,F-01,,\n" for day in range(count)
    )
    assert ("pairings" in flags(at_work(tmp_path, rows)["M-01"])) == flagged


def test_a_lock_alone_is_a_pairing(tmp_path: Path) -> None:
    """Who logs locks and no pairing works his males all the same; a lock while he is with her, or on the next day again, is no new one."""

    def worked(name: str, *rows: str) -> tuple[int, int, str | None]:
        male = at_work(
            tmp_path / name, "".join(f"2026-11-{row.replace(' ', ',', 1).replace(' ', ',', 2)},,\n" for row in rows)
        )["M-01"]
        return male.pairings_30, male.locks_30, male.with_now

    assert worked("alone", "20 M-01 lock F-01") == (1, 1, None)
    assert worked("each day", *(f"{day} M-01 lock F-01" for day in (20, 21, 22))) == (1, 3, None)
    assert worked("again", "16 M-01 lock F-01", "20 M-01 lock F-01") == (2, 2, None)
    assert worked("another", "20 M-01 lock F-01", "21 M-01 lock F-02", "22 M-01 lock F-01") == (3, 3, None)
    assert worked("with her", "16 M-01 paired F-01", "20 M-01 lock F-01") == (1, 1, "F-01")
    assert worked("that day", "20 M-01 lock F-01", "20 M-01 paired F-01") == (1, 1, "F-01")
    assert worked("parted", "16 M-01 paired F-01", "17 M-01 parted F-01", "20 M-01 lock F-01") == (2, 1, None)
    assert worked("parted from whom he was with", "16 M-01 paired F-01", "17 M-01 parted ") == (1, 0, None)
    assert worked("parted so, then a lock", "16 M-01 paired F-01", "17 M-01 parted ", "20 M-01 lock F-01") == (
        2,
        1,
        None,
    )
    assert worked("from her", "16 F-01 paired M-01", "18 F-02 lock M-01") == (2, 1, None)


def test_locks_alone_overwork_a_male(tmp_path: Path) -> None:
    """Four in seven days are over his rule of three; when she came out he is alone since."""
    rows = "2025-01-01,M-01,lock,F-02,,\n" + "".join(
        f"2026-11-{day},M-01,lock,{female},,\n"
        for day, female in ((19, "F-01"), (20, "F-02"), (22, "F-01"), (24, "F-02"))
    )
    male = at_work(tmp_path / "a", rows)["M-01"]
    assert ("pairings" in flags(male), male.first_season, male.rested_days) == (True, False, None)
    assert at_work(tmp_path / "b", f"{rows}2026-11-25,M-01,parted,F-02,,\n")["M-01"].rested_days == 0


def test_rest_is_counted_from_the_parting(tmp_path: Path) -> None:
    """Parted on the 12th and paired on the 14th is two days of rest, which is enough; on the 13th it is one."""
    own = {"collection.yaml": FAMILY_SETTINGS + "season: {male: {rest_days: 2}}\n"}
    first = "2025-01-01,M-01,paired,F-02,,\n2026-11-10,M-01,paired,F-01,,\n2026-11-12,M-01,parted,F-01,,\n"
    enough = at_work(tmp_path / "a", f"{first}2026-11-14,M-01,paired,F-02,,\n", own)["M-01"]
    short = at_work(tmp_path / "b", f"{first}2026-11-13,M-01,paired,F-02,,\n", own)["M-01"]
    assert (enough.shortest_rest_30, flags(enough)) == (2, [])
    assert (short.shortest_rest_30, flags(short)) == (1, ["rest"])
    assert (short.with_now, short.rested_days) == ("F-02", 0)
    locked = first.replace("12,M-01,parted", "12,M-01,lock")
    again = "2026-11-13,M-01,paired,F-02,,\n2026-11-13,M-01,lock,F-02,,\n"
    assert at_work(tmp_path / "c", locked + again, own)["M-01"].shortest_rest_30 == 1


def test_days_out_on_loan_are_no_rest(tmp_path: Path) -> None:
    """What he did there is not in the log: that is said, until 30 days after his return, from which his rest is counted."""
    loan = "{id: M-01, left: {how: loan, on: 2026-11-08, back: 2026-11-24},"
    own = {"animals/all.yaml": FAMILY_ANIMALS.replace("{id: M-01,", loan)}
    rows = "2026-11-05,M-01,lock,F-02,,\n2026-11-06,M-01,parted,F-02,,\n"
    collection, private = FAMILY.both(tmp_path, {**log(rows), **own})

    def told(day: date) -> tuple[str, str]:
        (male,) = (one for one in males_in_rotation(collection, private, day) if one.animal == "M-01")
        return sentences.work(male), sentences.rest(collection, male, day)

    away = "on loan from 8 Nov to 24 Nov, and what he did there is not in the log"
    assert told(DAY) == ("0 pairings here in 7 days, 1 in 30; 1 lock in 30", f"alone for 1 day; {away}")
    assert told(date(2026, 11, 24))[1] == f"came back today; {away}"
    assert told(date(2026, 12, 23))[1] == f"alone for 29 days; {away}"
    assert told(date(2026, 12, 24)) == ("0 pairings in 7 days, 0 in 30", "alone for 30 days")
    again = at_work(tmp_path, f"{rows}2026-11-25,M-01,lock,F-01,,\n", own)["M-01"]
    assert again.shortest_rest_30 == 1
    few = {**own, "collection.yaml": FAMILY_SETTINGS + "season: {male: {rest_days: 2}}\n"}
    (flag,) = flags_in_words(at_work(tmp_path, f"{rows}2026-11-25,M-01,lock,F-01,,\n", few)["M-01"])
    assert flag.seen == "rested 1 day before a pairing of the last 30 days"


def test_a_pairing_that_is_logged_of_both_counts_once(tmp_path: Path) -> None:
    """On the day, in the visits, and in the pairings of the year; `check` warns of it."""
    rows = log("".join(f"2026-11-20,{a},{event},{b},,\n" for event in ("paired", "lock") for a, b in (TWO, TWO[::-1])))
    found = FAMILY.read(tmp_path, rows)
    assert [(problem.line, problem.code) for problem in found.problems] == [(3, "log-twice"), (5, "log-twice")]
    assert found.collection is not None
    assert found.private is not None
    (male,) = males_in_rotation(found.collection, found.private, DAY)
    assert (male.pairings_7, male.locks_30) == (1, 1)
    assert [(visit.pairings, visit.locks) for visit in male.females] == [(1, 1)]
    year = years(infer(found.collection), found.private, DAY)[0]
    assert (len(year.paired), year.locks) == (1, 1)


@pytest.mark.parametrize(
    ("his", "hers", "shown", "locks"),
    [
        ("", "bitten; vet on Monday", ["bitten; vet on Monday"], 1),
        ("bitten", "", ["bitten"], 1),
        ("morning", "evening", ["morning", "evening"], 2),
    ],
)
def test_no_note_is_lost_of_a_lock_that_is_logged_of_both(
    tmp_path: Path, his: str, hers: str, shown: list[str], locks: int
) -> None:
    """Two that are told apart are two."""
    rows = f"2026-11-20,M-01,lock,F-01,,{his}\n2026-11-20,F-01,lock,M-01,,{hers}\n"
    collection, private = FAMILY.both(tmp_path, log(rows))
    assert [[row.note for row in private.of(name)] for name in TWO] == [shown, shown]
    (male,) = males_in_rotation(collection, private, DAY)
    assert male.locks_30 == locks


def test_a_male_in_his_first_season_is_flagged_sooner(tmp_path: Path) -> None:
    """5% is enough for him, where 10% is the rule for M-01, who sired a clutch before; and two refusals, not four."""
    rows = "".join(
        f"2026-10-01,{male},weight,,1000,\n2026-10-02,{male},paired,F-02,,\n"
        f"2026-11-01,{male},refused,,rat,\n2026-11-08,{male},refused,,rat,\n2026-11-20,{male},weight,,945,\n"
        for male in ("M-01", "M-02")
    )
    males = at_work(tmp_path, rows)
    assert (males["M-01"].first_season, flags(males["M-01"])) == (False, [])
    assert (males["M-02"].first_season, flags(males["M-02"])) == (True, ["weight", "refusals"])
    assert "small or first-season" in flags_in_words(males["M-02"])[0].rule
    assert any("veterinarian" in text for text in males["M-02"].cautions)


@pytest.mark.parametrize(("now", "flagged"), [(901, False), (900, True)])
def test_a_loss_is_flagged_from_the_limit_on(tmp_path: Path, now: int, flagged: bool) -> None:
    """1,000 g to 900 g is the 10% of the rule, 901 g is not yet; the weight before is the one at the season's beginning."""
    rows = (
        "2025-01-01,M-01,paired,F-02,,\n2026-08-01,M-01,weight,,1100,\n2026-10-01,M-01,weight,,1000,\n"
        f"2026-10-02,M-01,paired,F-02,,\n2026-11-20,M-01,weight,,{now},\n"
    )
    male = at_work(tmp_path, rows)["M-01"]
    assert male.weight_before == Fraction(1000)
    assert ("weight" in flags(male)) == flagged


def test_a_small_male_is_flagged_sooner_in_any_season(tmp_path: Path) -> None:
    """Under 800 g, three pairings in a week are over his rule of two."""
    rows = "2025-01-01,M-01,paired,F-02,,\n2026-11-01,M-01,weight,,780,\n" + "".join(
        f"2026-11-{day},M-01,paired,F-01,,\n2026-11-{day},M-01,parted,F-01,,\n" for day in (19, 22, 25)
    )
    male = at_work(tmp_path, rows)["M-01"]
    assert (male.small, male.first_season, flags(male)) == (True, False, ["pairings"])


def test_a_meal_ends_a_run_of_refusals(tmp_path: Path) -> None:
    """Three refusals, a meal, one refusal: one in a row."""
    rows = "2026-11-20,M-01,paired,F-01,,\n" + "".join(
        f"2026-11-{day:02d},M-01,{event},,rat,\n"
        for day, event in ((1, "refused"), (5, "refused"), (9, "refused"), (13, "meal"), (17, "refused"))
    )
    male = at_work(tmp_path, rows)["M-01"]
    assert (male.refusals_in_a_row, str(male.last_meal)) == (1, "2026-11-13")


def test_what_lies_after_the_day_does_not_count(tmp_path: Path) -> None:
    """Asked about the 10th, the pairings and weights of the 20th are not known yet."""
    rows = "2026-11-09,M-01,paired,F-01,,\n2026-11-20,M-01,paired,F-01,,\n2026-11-20,M-01,weight,,900,\n"
    male = at_work(tmp_path, rows, day=date(2026, 11, 10))["M-01"]
    assert (male.pairings_30, male.weight) == (1, None)


def test_a_pair_put_together_before_its_plan_begins_is_paired(tmp_path: Path) -> None:
    """Paired on the 10th by a plan from the 15th, locked on the 11th; on the 20th she showed no interest. What was in June is not of it."""
    rows = "2026-06-20,M-01,lock,F-02,,\n2026-11-10,M-01,paired,F-02,,\n2026-11-11,M-01,lock,F-02,,\n2026-11-20,M-01,no interest,F-02,,\n"
    plan = {"season/p.yaml": "[{female: F-02, males: [M-01], from: 2026-11-15}]"}
    season = Season(FAMILY.book(tmp_path, {**log(rows), **plan}), DAY)
    (planned,), (male,) = season.planned, season.males
    assert sentences.progress(planned, DAY) == "1 pairing, 1 lock, last 11 Nov"
    assert [sentences.visits(season.collection, one, DAY) for one in male.females] == [
        "F-02: 1 pairing, 1 lock, last 11 Nov"
    ]


def test_a_planned_male_is_in_rotation_before_his_first_pairing(tmp_path: Path) -> None:
    """Named in a current plan, as a first choice or as backup; a plan that is over names nobody."""
    plans = (
        "- {female: F-01, males: [M-01], backup: M-02, from: 2026-11-01, until: 2027-03-31}\n"
        "- {female: F-02, males: [M-03], until: 2026-11-24}\n"
    )
    males = at_work(tmp_path, "", {"season/p.yaml": plans})
    assert {name: male.planned for name, male in males.items()} == {"M-01": ("F-01",), "M-02": ("F-01",)}
    assert all(flags(male) == [] for male in males.values())


def test_own_limits_stand_above_the_species_file(tmp_path: Path) -> None:
    """collection.yaml for all species, then for one; the flag says where its limit comes from."""
    settings = FAMILY_SETTINGS + (
        "season:\n  male: {pairings_per_7_days: 1, rest_days: 9}\n  readiness: {female: {weight_g: 1700}}\n"
        "  windows: [{after: ovulation, comes: pre-lay shed, days: {from: 10, to: 30}}]\n"
        "  ball-python: {male: {rest_days: 1}}\n"
    )
    collection, private = FAMILY.both(tmp_path, {"collection.yaml": settings})
    python, corn = collection.species["ball-python"], collection.species["corn-snake"]
    limits = male_limits(python, private.rules)
    assert (limits["pairings_per_7_days"].value, limits["pairings_per_7_days"].source) == (Fraction(1), OWN)
    assert (limits["rest_days"].value, male_limits(corn, private.rules)["rest_days"].value) == (
        Fraction(1),
        Fraction(9),
    )
    assert limits["refusals"].value == 4
    assert "common practice" in limits["refusals"].source
    rule = grown(python, "female", private.rules)
    assert (rule["weight_g"].value, rule["weight_g"].better) == (Fraction(1700), None)
    found = {stages: (window.first, window.last) for stages, window in windows(python, private.rules).items()}
    assert found["ovulation", "pre-lay shed"] == (10, 30)
    assert found["laid", "hatched"] == (55, 60)


# ---- readiness


def dated(text: str) -> When:
    found = read_date(text)
    assert isinstance(found, When)
    return found


@pytest.mark.parametrize(
    ("hatched", "months"),
    [("2024-11-25", 24), ("2024-11-26", 23), ("2024-11", 23), ("2024", 22), ("2026-11-25", 0), ("2026-12-01", None)],
)
def test_an_age_is_never_overstated(hatched: str, months: int | None) -> None:
    """Whole months to 2026-11-25 from the last day that the record allows."""
    assert age_in_months(dated(hatched), DAY) == months


def test_ready_needs_age_and_weight_and_says_what_is_lacking(tmp_path: Path) -> None:
    """From 24 months and 1,500 g for a female, 12 months and 700 g for a male (species file; common practice, no source)."""
    rows = "2026-11-01,F-01,weight,,1500,\n2026-11-01,F-02,weight,,1499,\n2026-11-01,F-03,weight,,1600,\n2026-08-01,M-03,weight,,750,\n"
    collection, private = FAMILY.both(tmp_path, log(rows))
    found = {one.animal: one for one in readiness(collection, private, DAY)}
    assert (found["F-01"].verdict, str(found["F-01"].laid)) == ("ready", "2026-05-16")
    assert (found["F-02"].verdict, sentences.lacks(found["F-02"])) == ("not yet", ("1499 g, commonly from 1500 g",))
    assert (found["F-03"].verdict, found["F-03"].age_months) == ("ready", 28)
    assert (found["M-01"].verdict, sentences.lacks(found["M-01"])) == ("not known", ("no weight is logged",))
    assert (found["M-03"].verdict, found["M-03"].weight_is_old) == ("ready", True)
    assert "common practice" in sentences.ready_source(found["F-01"])


@pytest.mark.parametrize(
    ("came", "rows", "told"),
    [
        ("2026-08-28", "", True),
        ("2026-08-27", "", False),
        ("2026-08-27}, left: {how: loan, on: 2026-09-01, back: 2026-11-20", "", True),
        (
            "2026-08-27}, left: {how: loan, on: 2026-09-01, back: 2026-11-20",
            "2026-11-24,X-1,quarantine,,over,\n",
            False,
        ),
        ("2026-10", "", True),
        ("2026-11-20", "2026-11-20,X-1,quarantine,,,\n", False),
        ("2026-11-20", "2026-11-24,X-1,quarantine,,over,\n", False),
        ("2026-11-20", "2026-01-24,X-1,quarantine,,,\n", True),
    ],
)
def test_who_came_within_the_time_of_a_quarantine_that_nobody_logged_is_not_next(
    tmp_path: Path, came: str, rows: str, told: bool
) -> None:
    """Ninety days, as a quarantine in the log: common practice, no source."""
    files = {
        "animals/x.yaml": f"- {{id: X-1, sex: male, hatched: 2021-07, shows: normal, came: {{how: bought, on: {came}}}}}\n",
        "season/2026.yaml": "[{female: F-02, males: [X-1], from: 2026-10-01}]",
    }
    season = Season(FAMILY.book(tmp_path, {**files, **log(f"{rows}2026-11-25,X-1,weight,,1500,\n")}), DAY)
    lines = {line.text: line.detail for line in (*evening(season).lines, *who_is_ready(season))}
    new = list(season.newly_come) == ["X-1"]
    noted = "no quarantine is in the log" in lines.get("Not ready: X-1", "")
    assert (new, noted) == (told, told)
    assert not told or "Next in turn" not in lines


def test_of_two_weighings_on_one_day_the_one_written_last_counts() -> None:
    """Everywhere: the lists, the charts and the public page say the same."""
    days = (date(2026, 11, 1), date(2026, 11, 25), date(2026, 11, 25))
    first, second, third = (
        LogRow(When.day(day), "M-01", "weight", Place("log.csv", line), number=Fraction(grams))
        for line, (day, grams) in enumerate(zip(days, (1700, 1750, 1820), strict=True), 2)
    )
    assert weight_on([first, second, third], date(2026, 11, 25)) == third
    assert weight_on([first, second, third], date(2026, 11, 24)) == first


@pytest.mark.parametrize(("last", "flagged"), [(24, False), (25, True)])
def test_three_days_in_a_row_of_a_grown_male_are_no_alarm(tmp_path: Path, last: int, flagged: bool) -> None:
    """With a lock on each of three days he is within his rule, on a fourth he is not; a small male is beyond his on the second."""
    rows = "2025-01-01,M-01,paired,F-02,,\n" + "".join(
        f"2026-11-{day},M-01,paired,F-01,,\n2026-11-{day},M-01,lock,F-01,,\n" for day in range(22, last + 1)
    )
    male = at_work(tmp_path / "grown", rows)["M-01"]
    assert male.days_in_a_row == last - 21
    assert ("in a row" in flags(male)) == flagged
    small = at_work(tmp_path / "small", f"{rows}2026-11-01,M-01,weight,,780,\n")["M-01"]
    assert "in a row" in flags(small)


def test_an_attempt_without_a_lock_is_no_work(tmp_path: Path) -> None:
    """Five pairings, two of them with a lock: two count. Where none of his is logged every pairing does; no interest counts as neither."""
    paired = "2025-01-01,M-01,paired,F-02,,\n" + "".join(f"2026-11-{day},M-01,paired,F-01,,\n" for day in range(20, 25))
    locks = "2026-11-20,M-01,lock,F-01,,\n2026-11-23,M-01,lock,F-01,,\n2026-11-24,M-01,no interest,F-01,,\n"
    male = at_work(tmp_path / "locks", paired + locks)["M-01"]
    assert (male.pairings_7, male.worked_7, male.no_interest_30, flags(male)) == (5, 2, 1, [])
    assert at_work(tmp_path / "none", paired)["M-01"].worked_7 == 5
    assert at_work(tmp_path / "another", f"{paired}2024-12-01,M-02,lock,F-01,,\n")["M-01"].worked_7 == 5
    assert "no interest 1 time in 30" in sentences.work(male)


def test_a_small_male_planned_for_many_is_told_before_the_season(tmp_path: Path) -> None:
    """Two females are his rule; of three that wait it is the turn of one that he was never with."""
    females = "".join(
        f"- {{id: X-{n}, sex: female, hatched: 2021-07, shows: normal, status: breeder}}\n" for n in (1, 2, 3)
    )
    plans = "".join(f"- {{female: X-{n}, males: [M-01], from: 2026-12-01, until: 2027-05-31}}\n" for n in (1, 2, 3))
    rows = "2026-11-01,M-01,weight,,780,\n2026-11-02,M-01,paired,X-1,,\n2026-11-03,M-01,parted,X-1,,\n"
    files = {"animals/more.yaml": females, "season/p.yaml": plans}
    collection, private = FAMILY.both(tmp_path, {**log(rows), **files})
    (load,) = loads_of(collection, private)
    assert (load.over, load.sooner, load.females, load.turn) == (True, True, ("X-1", "X-2", "X-3"), "X-2")
    said = load_words(Season(FAMILY.book(tmp_path, {**log(rows), **files}), DAY), load)
    assert said.planned == "M-01 is planned for three females: X-1, X-2 and X-3. Next: X-2."
    assert len(said.against) == 1
    assert "at most 2 females in a winter for a small or first-season male" in said.against[0]


def test_a_female_that_is_with_another_male_now_is_not_next(tmp_path: Path) -> None:
    """Until she is parted from him; F-01 stays planned for M-01 all the while."""
    plans = "[{female: F-01, males: [M-01], from: 2026-10-01}, {female: F-02, males: [M-01], from: 2026-10-01}]"
    rows = "2026-11-01,M-01,paired,F-02,,\n2026-11-03,M-01,parted,F-02,,\n2026-11-20,M-02,paired,F-01,,\n"
    turns = []
    for folder, more in (("with", ""), ("parted", "2026-11-22,M-02,parted,F-01,,\n")):
        collection, private = FAMILY.both(tmp_path / folder, {**log(rows + more), "season/p.yaml": plans})
        turns += [load.turn for load in loads_of(collection, private)]
    assert turns == ["F-02", "F-01"]


def test_a_male_is_planned_for_those_whose_plan_waits_for_a_treatment_too(tmp_path: Path) -> None:
    """F-02 is under treatment, so her plan counts in no winter; she is not the next, though she never was with him."""
    plans = "[{female: F-01, males: [M-01], from: 2026-11-01}, {female: F-02, males: [M-01], from: 2026-11-01}]"
    rows = "2026-11-10,M-01,lock,F-01,,\n2026-11-20,F-02,treatment,,until 2026-12-20,mites\n"
    season = Season(FAMILY.book(tmp_path, {**log(rows), "season/p.yaml": plans}), DAY)
    (load,) = season.loads
    assert load_words(season, load).planned == "M-01 is planned for two females: F-01 and F-02. Next: F-01."


def test_a_plan_that_has_begun_comes_before_one_to_come_whatever_is_planned_later(tmp_path: Path) -> None:
    """M-01 was with F-01 and never with F-02, whose plan begins in December; that F-01 has a plan for next winter too changes nothing."""
    now, later = "{female: F-01, males: [M-01], from: 2026-10-01}", "{female: F-01, males: [M-01], from: 2027-10-01}"
    rows = "2026-11-01,M-01,paired,F-01,,\n2026-11-03,M-01,parted,F-01,,\n"
    found = []
    for number, plans in enumerate((now, f"{now}, {later}", f"{later}, {now}", later)):
        files = {**log(rows), "season/p.yaml": f"[{plans}, {{female: F-02, males: [M-01], from: 2026-12-01}}]"}
        collection, private = FAMILY.both(tmp_path / str(number), files)
        (load,) = loads_of(collection, private)
        lines = evening(Season(FAMILY.book(tmp_path / str(number), files), DAY)).lines
        found.append((load.turn, load.begun, [line.detail for line in lines if line.text == "Next in turn"]))
    assert found == [("F-01", True, ["M-01 with F-01"])] * 3 + [("F-02", False, [])]


@pytest.mark.parametrize(
    ("eggs", "said"),
    [
        ("eggs: 6\nslugs: 1", "2025/26: 2 clutches, 10 good eggs and 1 slug"),
        ("slugs: 2", "2025/26: 2 clutches, 4 good eggs and 2 slugs, eggs not counted in 1 of them"),
        ("complete: no", "2025/26: 2 clutches, 4 good eggs, eggs not counted in 1 of them"),
    ],
)
def test_a_season_of_a_male_counts_no_eggs_that_nobody_counted(tmp_path: Path, eggs: str, said: str) -> None:
    """C26-01 of his had four eggs; what another had is added, or said not to be known."""
    other = f"---\nid: C26-02\nsire: M-01\ndam: F-02\nlaid: 2026-05-30\n{eggs}\nended: 2026-07-01\n---\n"
    plans = "[{female: F-01, males: [M-01], from: 2026-10-01}]"
    collection, private = FAMILY.both(tmp_path, {"clutches/C26-02.md": other, "season/p.yaml": plans})
    (load,) = loads_of(collection, private)
    assert [season_words(season) for season in load.seasons] == [said]


@pytest.mark.parametrize(
    ("young", "his", "others"),
    [
        ("normal", ["1 clutch that he or another sired"], "1 clutch that he or another sired"),
        ("Pastel", [], "1 clutch, 5 good eggs"),
    ],
)
def test_a_clutch_is_his_whom_what_hatched_leaves(tmp_path: Path, young: str, his: list[str], others: str) -> None:
    """Of a normal male and a Pastel one with a normal female, a Pastel young is the latter's, and with it the clutch."""
    files = {
        "animals/more.yaml": "- {id: X-1, sex: male, hatched: 2020-07-01, shows: normal, status: breeder}\n"
        "- {id: X-2, sex: male, hatched: 2020-07-01, shows: Pastel, status: breeder}\n"
        "- {id: Y-1, sex: female, hatched: 2020-07-01, shows: normal, status: breeder}\n",
        "clutches/C25-09.yaml": "{id: C25-09, sire: [X-1, X-2], dam: Y-1, laid: 2025-05-20, eggs: 5, hatched: 2025-07-16, "
        f"complete: no, young: [1 f {young}]}}\n",
        "season/p.yaml": "[{female: F-02, males: [X-1]}, {female: F-01, males: [X-2]}]",
    }
    found = loads_of(*FAMILY.both(tmp_path, files))
    said = {load.male: [season_words(season) for season in load.seasons] for load in found}
    assert said["X-1"] == [f"2024/25: {one}" for one in his]
    assert said["X-2"] == [f"2024/25: {others}"]


@pytest.mark.parametrize(
    ("laid", "still"),
    [("2026-11-08", True), ("2026-11-09", False), ("2026-11-25", False), ("2026-11-26", True)],
)
def test_a_stay_ends_when_she_lays(tmp_path: Path, laid: str, still: bool) -> None:
    """From the day on which she came in to the day that is looked at; the same by him and by her."""
    _, private = FAMILY.both(tmp_path, log("2026-11-09,M-01,paired,F-01,,\n"))
    on = {"F-01": (date.fromisoformat(laid),)}
    (found,) = stays(private.of("M-01"), "M-01", date(2026, 11, 25), on)
    assert (found.female, found.first, found.last, found.open_) == ("F-01", date(2026, 11, 9), date(2026, 11, 9), still)
    (found,) = stays(private.of("M-01"), "M-01", date(2026, 11, 25), {"F-02": on["F-01"]})
    assert found.open_


@pytest.mark.parametrize(
    ("rows", "lost"),
    [
        ("2026-06-01,M-02,weight,,1000,\n2026-11-01,M-02,weight,,900,\n", {"M-02": 100}),
        ("2026-06-01,M-02,weight,,1000,\n2026-11-01,M-02,weight,,901,\n", {}),
        ("2026-06-01,M-02,weight,,1000,\n2026-10-01,M-02,weight,,800,\n2026-11-01,M-02,weight,,900,\n", {}),
        ("2025-11-25,M-02,weight,,1000,\n2026-11-01,M-02,weight,,800,\n", {}),
        ("2026-10-01,F-02,weight,,1000,\n2026-11-10,F-02,laid,,5,\n2026-11-20,F-02,weight,,700,\n", {}),
        ("2026-07-27,C26-01-1,weight,,60,\n2026-09-20,C26-01-1,weight,,50,\n", {}),
        ("2026-07-28,C26-01-1,weight,,60,\n2026-10-20,C26-01-1,weight,,50,\n", {"C26-01-1": 10}),
    ],
    ids=["a tenth", "less", "gains again", "a year ago", "eggs", "first fortnight", "after it"],
)
def test_whoever_lost_a_tenth_in_a_year_is_known(tmp_path: Path, rows: str, lost: dict[str, int]) -> None:
    """A tenth is the limit for males in use; C26-01-1 hatched on 13 July."""
    found = losing_weight(*FAMILY.both(tmp_path, log(rows)), date(2026, 11, 25))
    assert {name: loss.grams for name, loss in found.items()} == lost


def test_days_with_another_female_are_no_rest(tmp_path: Path) -> None:
    """With a lock on the 12th and on the 18th, and another female between them: never alone for more than a day, and that is flagged."""
    rows = (
        "2025-01-01,M-01,paired,F-02,,\n2026-11-12,M-01,paired,F-01,,\n2026-11-12,M-01,lock,F-01,,\n2026-11-13,M-01,parted,F-01,,\n"
        "{}2026-11-18,M-01,paired,F-01,,\n2026-11-18,M-01,lock,F-01,,\n"
    )
    another = "2026-11-14,M-01,paired,F-02,,\n2026-11-17,M-01,parted,F-02,,\n"
    own = {"collection.yaml": FAMILY_SETTINGS + "season: {male: {rest_days: 3}}\n"}
    alone, busy = (at_work(tmp_path / str(len(more)), rows.format(more), own)["M-01"] for more in ("", another))
    assert (alone.shortest_rest_30, "rest" in flags(alone)) == (5, False)
    assert (busy.shortest_rest_30, "rest" in flags(busy)) == (1, True)


@pytest.mark.parametrize("lock", ["", "2026-11-20,M-01,lock,F-01,,\n"])
def test_one_lock_on_record_takes_no_warning_from_a_male_paired_every_day(tmp_path: Path, lock: str) -> None:
    paired = "".join(f"2026-11-{day},M-01,paired,F-0{1 + day % 2},,\n" for day in range(19, 26))
    male = at_work(tmp_path, f"2025-01-01,M-01,paired,F-02,,\n{paired}{lock}")["M-01"]
    assert (male.worked_7, flags(male)[:2]) == (7, ["pairings", "in a row"])


@pytest.mark.parametrize(
    ("weights", "hatched", "against"),
    [
        (
            (640, 560, 585),
            "2024-07",
            "M-09 not now: down 8% from 640 g; 585 g, commonly from 700 g; F-09 not now: 1180 g, commonly from 1500 g",
        ),
        ((900, 900, 900), "2024-07", "F-09 not now: 1180 g, commonly from 1500 g"),
        (
            (900, 900, 900),
            "2026-06",
            "M-09 not now: at least 4 months old, commonly from 12; F-09 not now: 1180 g, commonly from 1500 g",
        ),
    ],
)
def test_what_speaks_against_a_pair_stands_where_it_is_proposed(
    tmp_path: Path, weights: tuple[int, int, int], hatched: str, against: str
) -> None:
    """He weighs as much as before again, and little of what he lost is back."""
    days = zip(("2026-11-01", "2026-11-12", "2026-11-24"), weights, strict=True)
    rows = "".join(f"{day},M-09,weight,,{grams},\n" for day, grams in days)
    rows += "2026-11-03,M-09,paired,F-09,,\n2026-11-04,M-09,parted,F-09,,\n2026-11-24,F-09,weight,,1180,\n"
    animals = (
        f"- {{id: M-09, sex: male, hatched: {hatched}, shows: normal, claims: {{Piebald: 66%}}, status: breeder}}\n"
        "- {id: F-09, sex: female, hatched: 2021-07, shows: Piebald, status: breeder}\n"
    )
    plan = "- {female: F-09, males: [M-09], from: 2026-11-01, until: 2027-04-15, want: [Piebald], purpose: prove}\n"
    files = {**log(rows), "animals/more.yaml": animals, "season/p.yaml": plan}
    told = [line.detail for line in proves_most(Season(FAMILY.book(tmp_path, files), DAY)) if "M-09" in line.text]
    assert [detail.partition("; ")[2] for detail in told[:1]] == [against]
