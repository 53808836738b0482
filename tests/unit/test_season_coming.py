"""The clutches of a winter, from plans, the log and the incubator: which they are, of whom, how many hatch, and what is wanted of them."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from tests.rooms import FAMILY, log

from clutchlight.desk import Season
from clutchlight.desk.sentences import winter_heading
from clutchlight.planning.hatchlings import hatchlings_of_eggs
from clutchlight.planning.winter import ComingClutch, awaited
from clutchlight.reading.catalogue import load

DAY = date(2026, 11, 25)
F = Fraction


def coming(
    folder: Path, plans: str = "[]", rows: str = "", clutch: str = "", day: date = DAY
) -> tuple[ComingClutch, ...]:
    """What is awaited in the family's room; `clutch`: what the record of C26-02, of M-01 and F-02, says besides."""
    files = {"season/2026.yaml": plans, **log(rows)}
    if clutch:
        files["clutches/C26-02.md"] = f"---\nid: C26-02\nsire: M-01\ndam: F-02\n{clutch}\n---\n"
    return awaited(*FAMILY.both(folder, files), day)


def males(found: ComingClutch) -> list[tuple[str, Fraction]]:
    return list(found.sires)


def test_two_plans_of_one_female_are_one_clutch_of_whichever_male(tmp_path: Path) -> None:
    plans = """- {female: F-02, males: [M-01], from: 2026-10-01, want: [Piebald]}
- {female: F-02, males: [M-02], from: 2026-10-15, want: [Clown], purpose: prove}
"""
    (found,) = coming(tmp_path, plans)
    assert (males(found), found.mixed) == ([("M-01", F(1, 2)), ("M-02", F(1, 2))], False)
    assert (found.want, found.purpose, found.laid) == (("Piebald", "Clown"), "prove", None)


def test_plans_of_the_next_winter_are_not_of_this_one(tmp_path: Path) -> None:
    """Of one winter until nothing of it is open, and no eggs lie; then of the next that has a plan."""
    plans = """- {female: F-02, males: [M-01], from: 2026-10-01, until: 2027-05-31, want: [Piebald]}
- {female: F-02, males: [M-02], from: 2027-10-01, until: 2028-05-31, want: [Clown]}
- {female: F-01, males: [M-01], from: 2027-10-01, until: 2028-05-31}
- {female: F-01, males: [M-02], from: 2028-10-01, until: 2029-05-31}
"""
    for folder, day, dams in (
        ("summer", date(2026, 8, 1), [("F-02", "M-01")]),
        ("now", DAY, [("F-02", "M-01")]),
        ("over", date(2027, 6, 1), [("F-01", "M-01"), ("F-02", "M-02")]),
    ):
        found = coming(tmp_path / folder, plans, day=day)
        assert [(one.dam, *one.males) for one in found] == dams
        season = Season(FAMILY.book(tmp_path / folder, {"season/2026.yaml": plans}), day)
        which = "The winter 2027/28" if folder == "over" else "This winter"
        assert winter_heading(season) == f"{which}, all clutches together"
    laid = coming(tmp_path / "laid", plans, clutch="laid: 2027-05-10\neggs: 5", day=date(2027, 6, 1))
    assert [one.laid for one in laid] == ["C26-02"]


def test_a_backup_counts_from_the_day_that_the_log_puts_him_with_her(tmp_path: Path) -> None:
    plans = "[{female: F-02, males: [M-01], backup: M-02, from: 2026-10-01}]"
    rows = "2026-01-20,M-02,paired,F-02,,\n2026-11-20,F-02,lock,M-02,,\n"
    assert males(coming(tmp_path, plans, rows, day=date(2026, 11, 19))[0]) == [("M-01", F(1))]
    assert males(coming(tmp_path, plans, rows, day=date(2026, 11, 20))[0]) == [("M-01", F(1, 2)), ("M-02", F(1, 2))]


def test_a_male_that_no_plan_names_counts_from_that_day_too(tmp_path: Path) -> None:
    """What `laid` would then write of her sires."""
    plans = "[{female: F-02, males: [M-01], from: 2026-11-01}]"
    found = coming(tmp_path, plans, "2026-10-20,M-02,lock,F-02,,\n")
    assert males(found[0]) == [("M-01", F(1, 2)), ("M-02", F(1, 2))]


@pytest.mark.parametrize("gone", ["escaped, on: 2026-11-20", "loan, on: 2026-11-20, until: 2027-01-05"])
def test_a_male_that_was_with_her_counts_wherever_he_is_since(tmp_path: Path, gone: str) -> None:
    """What she lays next may be his; of one that was never with her nothing is awaited."""
    files = {
        "animals/x.yaml": f"- {{id: X-1, sex: male, hatched: 2021-07, shows: normal, left: {{how: {gone}}}}}\n",
        "season/2026.yaml": "[{female: F-02, males: [X-1], from: 2026-10-01}]",
    }
    found = awaited(*FAMILY.both(tmp_path / "a", {**files, **log("2026-10-20,X-1,lock,F-02,,\n")}), DAY)
    assert [males(one) for one in found] == [[("X-1", F(1))]]
    assert awaited(*FAMILY.both(tmp_path / "b", files), DAY) == ()


@pytest.mark.parametrize(
    ("plan", "rows"),
    [
        ("{female: F-02, males: [M-01]}", "2026-11-01,F-02,quarantine,,,\n"),
        ("{female: F-02, males: [M-01]}", "2026-11-01,M-01,treatment,,,\n"),
        ("{female: F-02, males: [M-01], result: no eggs}", ""),
        ("{female: F-02, males: [M-01], until: 2026-11-24}", ""),
    ],
)
def test_no_clutch_is_awaited_of_an_ill_parent_or_of_a_plan_that_is_over(tmp_path: Path, plan: str, rows: str) -> None:
    assert coming(tmp_path, f"[{plan}]", rows) == ()
    assert len(coming(tmp_path, "[{female: F-02, males: [M-01], until: 2026-11-25}]")) == 1


def test_of_two_males_one_of_whom_is_treated_the_other_is_the_sire(tmp_path: Path) -> None:
    plan = "[{female: F-02, males: [M-01, M-02]}]"
    (found,) = coming(tmp_path, plan, "2026-11-01,M-01,treatment,,,\n")
    assert males(found) == [("M-02", F(1))]


LAID = "laid: 2026-11-10"
PLANNED = "{female: F-02, males: [M-01], from: 2026-10-01, want: [Piebald], purpose: prove}"


def test_a_clutch_in_the_incubator_takes_the_place_of_its_plan_and_keeps_its_wish(tmp_path: Path) -> None:
    before, after = (
        coming(tmp_path, f"[{PLANNED}]", clutch=f"{LAID}\neggs: 5", day=date(2026, 11, d)) for d in (9, 10)
    )
    assert [(one.laid, one.want, one.purpose) for one in before] == [(None, ("Piebald",), "prove")]
    assert [(one.laid, one.want, one.purpose) for one in after] == [("C26-02", ("Piebald",), "prove")]
    assert after[0].lays == 1


def hatching(found: ComingClutch) -> int:
    """Of how many eggs a clutch is reckoned."""
    python = load("ball-python")
    assert python is not None
    return next(eggs for eggs in range(1, 10) if hatchlings_of_eggs(python, eggs) == found.hatchlings)


def test_eggs_that_the_log_has_lost_do_not_hatch(tmp_path: Path) -> None:
    """Six good eggs, one of them written off in the record; the log has lost one and two more by the 20th."""
    record, rows = f"{LAID}\neggs: 6\nwent_bad: 1", "2026-11-12,C26-02,egg lost,,,\n2026-11-20,F-02,egg lost,,2,\n"
    counts = [coming(tmp_path, rows=rows, clutch=record, day=date(2026, 11, day)) for day in (11, 12, 19, 20)]
    assert [hatching(found) for (found,) in counts] == [5, 5, 5, 3]


def test_no_clutch_is_awaited_once_all_its_eggs_are_lost(tmp_path: Path) -> None:
    rows = "2026-11-20,C26-02,egg lost,,5,\n"
    assert len(coming(tmp_path, rows=rows, clutch=f"{LAID}\neggs: 5", day=date(2026, 11, 19))) == 1
    assert coming(tmp_path, rows=rows, clutch=f"{LAID}\neggs: 5") == ()
    assert coming(tmp_path, clutch=f"{LAID}\neggs: 5\nended: 2026-11-22") == ()


@pytest.mark.parametrize(
    ("plans", "want"),
    [
        ("{female: F-02, males: [M-01], from: 2024-10-01, result: no eggs, want: [Clown]}, " + PLANNED, ("Piebald",)),
        ("{female: F-02, males: [M-01], from: 2024-10-01, result: no eggs, want: [Clown]}", ()),
        ("{female: F-02, males: [M-01], from: 2026-09-01, result: C26-02, want: [Clown]}", ("Clown",)),
        ("{female: F-02, males: [M-01], from: 2025-11-10, result: C26-02, want: [Clown]}", ("Clown",)),
        ("{female: F-02, males: [M-01], from: 2025-11-09, result: C26-02, want: [Clown]}", ()),
        ("{female: F-02, males: [M-01], result: no eggs, want: [Clown]}, " + PLANNED, ("Piebald",)),
        (PLANNED + ", {female: F-02, males: [M-02], from: 2026-10-20, want: [Clown]}", ("Piebald",)),
        (PLANNED + ", {female: F-02, males: [M-01], from: 2026-11-20, want: [Clown]}", ("Piebald",)),
        ("{female: F-02, males: [M-01], want: [Piebald]}", ("Piebald",)),
    ],
)
def test_a_clutch_came_of_the_plan_of_its_own_season_and_male(
    tmp_path: Path, plans: str, want: tuple[str, ...]
) -> None:
    """Not of an old one that came to nothing, of one with another male, or of one that began when it was laid."""
    found = [one for one in coming(tmp_path, f"[{plans}]", clutch=f"{LAID}\neggs: 5") if one.laid]
    assert [one.want for one in found] == [want]


def test_a_plan_that_she_has_laid_for_is_not_that_of_her_next_clutch(tmp_path: Path) -> None:
    """C26-01 of F-01 answered the plan of 2025; C26-09, later, came of none."""
    later = "---\nid: C26-09\nsire: M-01\ndam: F-01\nlaid: 2026-11-10\neggs: 4\n---\n"
    plans = "[{female: F-01, males: [M-01], from: 2025-11-01, want: [Piebald]}]"
    files = {"season/2026.yaml": plans, "clutches/C26-09.md": later}
    (found,) = awaited(*FAMILY.both(tmp_path, files), DAY)
    assert (found.laid, found.want, found.purpose) == ("C26-09", (), None)


@pytest.mark.parametrize(
    ("sire", "found"),
    [
        ("[M-01, M-02]", [("M-01", F(1, 2)), ("M-02", F(1, 2))]),
        ("{mixed: [M-01, M-02]}", [("M-01", F(1, 2)), ("M-02", F(1, 2))]),
        ("[M-01, unknown]", None),
        ("none", None),
    ],
)
def test_eggs_are_awaited_of_sires_on_record(
    tmp_path: Path, sire: str, found: list[tuple[str, Fraction]] | None
) -> None:
    """A stranger among them, or no sire at all: no figures can be made, and it is left out."""
    record = f"---\nid: C26-02\nsire: {sire}\ndam: F-02\n{LAID}\n---\n"
    clutches = awaited(*FAMILY.both(tmp_path, {"clutches/C26-02.md": record}), DAY)
    assert [males(one) for one in clutches] == ([found] if found else [])
    assert [one.mixed for one in clutches] == (["mixed" in sire] if found else [])
