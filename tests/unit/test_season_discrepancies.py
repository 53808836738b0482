"""What does not fit, told at the desk, in the terminal and after a build: each case a record that a breeder may well write."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.rooms import FAMILY, log

from clutchlight.cli import main
from clutchlight.desk.notices import discrepancy
from clutchlight.planning.breeders import is_grown
from clutchlight.planning.discrepancies import discrepancies, open_plans
from clutchlight.planning.due import due

DAY = date(2026, 11, 25)
PLAN = {"season/s.yaml": "- {female: F-02, males: [M-02], from: 2026-11-01, until: 2027-03-01}\n"}


def told(folder: Path, more: dict[str, str], day: date = DAY) -> list[str]:
    collection, private = FAMILY.both(folder, more)
    return [discrepancy(collection, one, day) for one in discrepancies(collection, private, day)]


def clutch(keys: str) -> dict[str, str]:
    return {"clutches/C26-09.md": f"---\nid: C26-09\nsire: M-02\ndam: F-02\n{keys}\n---\n"}


@pytest.mark.parametrize(
    ("gone", "said"),
    [
        ("left: {on: 2026-08-15, how: died}", "died on 15 Aug"),
        ("left: {on: 2026-09-01, how: loan}", "went on loan on 1 Sep"),
        ("status: elsewhere", "was never in this room: its status is `elsewhere`"),
    ],
)
def test_a_plan_with_an_animal_that_is_gone_is_told(tmp_path: Path, gone: str, said: str) -> None:
    """Of a male that is dead, away or never was here; and not of one that came back."""
    male = "{id: M-30, sex: male, hatched: 2020-07-01, %s}\n"
    plan = "- {female: F-02, males: [M-30], from: 2026-11-01}\n"
    found = told(tmp_path / "a", {"animals/m.yaml": "- " + male % gone, "season/s.yaml": plan})
    assert found == [f"M-30 is planned with F-02, and {said}."]
    back = "left: {on: 2026-08-15, how: loan}, came: {on: 2026-10-01, how: returned}"
    assert told(tmp_path / "b", {"animals/m.yaml": "- " + male % back, "season/s.yaml": plan}) == []


def test_quarantine_keeps_an_animal_out_of_plans_for_a_while(tmp_path: Path) -> None:
    """Ninety days after its row in the log, since no row says that it is over."""
    rows = log("2026-09-01,F-02,quarantine,,,\n")
    assert told(tmp_path / "a", {**PLAN, **rows}) == [
        "F-02 is planned with M-02, and its quarantine was logged on 1 Sep."
    ]
    assert told(tmp_path / "b", {**PLAN, **rows}, date(2026, 12, 15)) == []


def test_a_plan_is_answered_by_her_laying(tmp_path: Path) -> None:
    """It is no longer among the open ones, and asks for its result."""
    more = {**PLAN, **log("2026-11-20,F-02,slugs only,,5,\n")}
    assert told(tmp_path, more) == [
        "The plan of F-02 with M-02 is still open, and she has laid (by the log, 20 Nov): write its `result`."
    ]
    collection, private = FAMILY.both(tmp_path, more)
    assert open_plans(collection, private, DAY) == ()
    assert len(open_plans(collection, private, date(2026, 11, 19))) == 1


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("2026-09-01,F-02,laid,,7,\n", "C26-09: the log says 7 laid, the record has 6 good."),
        ("2026-09-03,F-02,laid,,6,\n", "C26-09: laid on 3 Sep by the log, on 1 Sep by the record."),
        (
            "2026-09-10,C26-09,egg lost,,1,\n2026-09-12,C26-09,egg lost,,,\n",
            "C26-09: the log loses 2, `went_bad` says 1.",
        ),
        ("2026-09-10,C26-09,candled,,7,\n", "C26-09: 7 looked good when candled, the record has 6."),
        ("2026-09-01,F-02,slugs only,,6,\n", "C26-09: the log says slugs only (6), the record has 6 good."),
    ],
)
def test_the_log_is_compared_with_the_clutch(tmp_path: Path, rows: str, said: str) -> None:
    """Eggs, days and eggs lost: each number is told with the other."""
    more = clutch("laid: 2026-09-01\neggs: 6\nslugs: 0\nwent_bad: 1")
    assert told(tmp_path / "a", {**more, **log(rows)}) == [said]
    assert told(tmp_path / "b", {**more, **log("2026-09-01,F-02,laid,,6,\n2026-09-10,C26-09,egg lost,,1,\n")}) == []


def test_slugs_are_not_due(tmp_path: Path) -> None:
    """Neither a clutch of slugs, nor one whose eggs are all lost by the log."""
    for eggs, rows, expected in (("0", "", []), ("2", "2026-10-10,C26-09,egg lost,,2,\n", []), ("2", "", ["hatched"])):
        folder = tmp_path / f"{eggs}{len(rows)}"
        collection, private = FAMILY.both(folder, {**clutch(f"laid: 2026-10-01\neggs: {eggs}\nslugs: 3"), **log(rows)})
        assert [one.comes for one in due(collection, private, DAY) if one.about == "C26-09"] == expected


def test_young_or_grown_goes_by_age(tmp_path: Path) -> None:
    """By the age at which the species commonly breeds, whatever the status; by status where no age is known."""
    more = "- {id: F-07, sex: female, hatched: 2020, status: available}\n- {id: F-08, sex: female, status: breeder}\n"
    collection, _ = FAMILY.both(tmp_path, {"animals/more.yaml": more})
    grown = {name for name, animal in collection.animals.items() if is_grown(animal, collection, DAY)}
    assert {"F-07", "F-08", "M-01", "F-01"} <= grown
    assert not {"C26-01-1", "C26-01-2"} & grown


def test_a_hold_that_ended_is_told_at_every_build(tmp_path: Path) -> None:
    """In a line without the buyer's name, since a build's lines may be kept anywhere."""
    sales = {"sales/s.yaml": "- {animals: [C26-01-1], buyer: Ann Cassel, held: 2026-10-01, until: 2026-11-01}\n"}
    folder = FAMILY.write(tmp_path / "room", sales)
    for _ in range(2):
        words = ["build", str(folder), "--out", str(tmp_path / "site"), "--on", "2026-11-25"]
        found = [line for line in CliRunner().invoke(main, words).stdout.splitlines() if line.startswith("the hold")]
        assert found == [
            "the hold on C26-01-1 ended on 1 November 2026; hand over, write a later `until`, or delete it"
        ]


def test_an_unexpected_result_is_new_once(tmp_path: Path) -> None:
    """The first build says which sold figures it moves and the line to write; the next one, which tells it already, does not."""
    young = "laid: 2026-05-01\neggs: 2\nhatched: 2026-07-01\nyoung: [1 f Piebald, 2 m normal; sold]"
    folder = FAMILY.write(tmp_path / "room", clutch(young))
    words = ["build", str(folder), "--out", str(tmp_path / "site"), "--on", "2026-11-25"]
    first = CliRunner().invoke(main, words).stdout
    assert "new unexpected result: Piebald turned up in clutch C26-09 (C26-09-1)" in first
    assert "it moves 1 printed figure of sold animals: C26-09-2 (Piebald)" in first
    assert 'in clutches/C26-09.md, at C26-09: set_aside: {Piebald: "to look at again"}' in first
    assert "unexpected result" not in CliRunner().invoke(main, words).stdout


def test_the_season_of_a_past_day_knows_nothing_later(tmp_path: Path) -> None:
    """A clutch of the day after is not there, and its eggs are not due."""
    folder = FAMILY.write(tmp_path, clutch("laid: 2026-10-01\neggs: 6"))
    for day, known in (("2026-09-30", False), ("2026-10-02", True)):
        assert ("C26-09" in CliRunner().invoke(main, ["season", str(folder), "--on", day]).stdout) is known
