"""What does not fit, told at the desk, in the terminal and after a build: each case a record that a breeder may well write."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.rooms import BARE, FAMILY, FAMILY_ANIMALS, log

from clutchlight.cli import main
from clutchlight.desk.notices import what_does_not_fit
from clutchlight.planning.due import due
from clutchlight.planning.readiness import is_grown
from clutchlight.planning.room import answer_to, may_come_of, open_plans, other_males, planned_absent, plans_of_winter
from clutchlight.planning.winter import awaited

DAY = date(2026, 11, 25)
PLAN = {"season/s.yaml": "- {female: F-02, males: [M-02], from: 2026-11-01, until: 2027-03-01}\n"}


def told(folder: Path, more: dict[str, str], day: date = DAY) -> list[str]:
    collection, private = FAMILY.both(folder, more)
    return list(what_does_not_fit(collection, private, day))


def clutch(keys: str) -> dict[str, str]:
    return {"clutches/C26-09.md": f"---\nid: C26-09\nsire: M-02\ndam: F-02\n{keys}\n---\n"}


@pytest.mark.parametrize(
    ("rows", "on", "awaited_"),
    [
        ("2026-11-10,M-02,lock,F-02,,\n", date(2027, 1, 9), True),
        ("2026-11-10,M-02,lock,F-02,,\n", date(2027, 1, 10), False),
        ("2026-11-10,M-02,paired,F-02,,\n2026-12-20,F-02,ovulation,,,\n", date(2027, 2, 18), True),
        ("2026-12-20,F-02,ovulation,,,\n", date(2026, 12, 21), False),
        ("2026-11-10,M-01,lock,F-02,,\n", date(2026, 12, 2), False),
        ("2026-11-10,M-02,lock,F-02,,\n2026-12-20,F-02,laid,,5,\n", date(2026, 12, 21), False),
    ],
)
def test_a_plan_is_open_while_its_eggs_are_awaited(tmp_path: Path, rows: str, on: date, awaited_: bool) -> None:
    """The day after its males came out, the clutches about to come were planned no more."""
    plan = {"season/s.yaml": PLAN["season/s.yaml"].replace("2027-03-01", "2026-12-01")}
    collection, private = FAMILY.both(tmp_path, {**plan, **log(rows)})
    assert bool(open_plans(collection, private, on)) == awaited_


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


@pytest.mark.parametrize(
    ("sire", "on", "back", "day", "said"),
    [
        ("M-02", "2026-03-01", "2026-05-01", DAY, True),
        ("M-02", "2026-03-01", "2026-05-01", date(2027, 6, 2), False),
        ("M-02", "2025-08-01", "2025-09-04", DAY, True),
        ("M-02", "2025-08-01", "2025-09-03", DAY, False),
        ("M-02", "2026-06-01", "2026-06-05", DAY, True),
        ("M-02", "2026-06-02", "2026-06-05", DAY, False),
        ("[M-02, unknown]", "2026-03-01", "2026-05-01", DAY, False),
    ],
)
def test_a_dam_on_loan_before_she_laid_is_told(
    tmp_path: Path, sire: str, on: str, back: str, day: date, said: bool
) -> None:
    """Laid on 1 June, within 270 days of which she was away; for a year, and not where the record names somebody whom the log does not."""
    loan = FAMILY_ANIMALS.replace("{id: F-02,", f"{{id: F-02, left: {{how: loan, on: {on}, back: {back}}},")
    keys = {
        "clutches/C26-09.md": f"---\nid: C26-09\nsire: {sire}\ndam: F-02\nlaid: 2026-06-01\nended: 2026-08-01\n---\n"
    }
    rows = log("2025-10-02,M-02,lock,F-02,,\n")
    found = [text for text in told(tmp_path, {"animals/all.yaml": loan, **rows, **keys}, day) if "on loan" in text]
    assert [text.partition(": where")[2] for text in found] == [
        " somebody may have been, add `unknown` to `sire`."
    ] * said


def test_the_words_of_a_dam_on_loan_name_her_days(tmp_path: Path) -> None:
    loan = FAMILY_ANIMALS.replace("{id: F-02,", "{id: F-02, left: {how: loan, on: 2026-03-01, back: 2026-05},")
    files = {
        "animals/all.yaml": loan,
        **log("2026-02-02,M-02,lock,F-02,,\n"),
        **clutch("laid: 2026-06-01\nended: 2026-08"),
    }
    away = "F-02 was on loan from 1 Mar 2026 to May 2026, before it was laid; who was with her there is not in the log"
    assert told(tmp_path, files) == [f"C26-09: {away}: where somebody may have been, add `unknown` to `sire`."]
    assert told(tmp_path, {**files, **log("2026-02-02,F-02,meal,,,\n")}) == [], "the record names whom the log does not"


@pytest.mark.parametrize("gone", ["died", "loan"])
def test_what_left_is_offered_no_more_and_is_told_where_it_is_promised(tmp_path: Path, gone: str) -> None:
    """Its record may say what held until then; the site offers it no more."""
    files = {"animals/m.yaml": f"- {{id: M-30, sex: male, status: available, left: {{on: 2026-08-15, how: {gone}}}}}\n"}
    assert told(tmp_path / "a", files) == []
    how = "died" if gone == "died" else "went on loan"
    held = {**files, "sales/s.yaml": "- {animals: [M-30], held: 2026-08-01}\n"}
    assert told(tmp_path / "b", held) == [f"M-30 is promised to somebody, and {how} on 15 Aug."]


@pytest.mark.parametrize(
    ("until", "day", "said"),
    [
        ("2026-12-31", DAY, []),
        ("2026-12-31", date(2027, 1, 1), ["M-30 is planned with F-02, and went on loan on 1 Sep."]),
        ("2027-01-02", DAY, ["M-30 is planned with F-02, and went on loan on 1 Sep."]),
    ],
)
def test_a_loan_that_ends_before_a_plan_begins_is_in_no_way(
    tmp_path: Path, until: str, day: date, said: list[str]
) -> None:
    """The plan is reckoned with, until the loan has ended and the animal is not back."""
    male = f"- {{id: M-30, sex: male, hatched: 2020-07-01, left: {{on: 2026-09-01, how: loan, until: {until}}}}}\n"
    plan = "- {female: F-02, males: [M-30], from: 2027-01-01}\n"
    files = {"animals/m.yaml": male, "season/s.yaml": plan}
    assert told(tmp_path, files, day) == said
    assert len(awaited(*FAMILY.both(tmp_path, files), day)) == (not said)


def test_quarantine_keeps_an_animal_out_of_plans_for_a_while(tmp_path: Path) -> None:
    """Ninety days after its row in the log, where no row says that it is over."""
    rows = log("2026-09-01,F-02,quarantine,,,\n")
    assert told(tmp_path / "a", {**PLAN, **rows}) == [
        "F-02 is planned with M-02, and is in quarantine until 30 Nov 2026."
    ]
    assert told(tmp_path / "b", {**PLAN, **rows}, date(2026, 12, 15)) == []


def test_a_public_plan_whose_time_is_over_is_told(tmp_path: Path) -> None:
    """One without a last day is for a year. A plan with a result, a private one and one of a sold male are shown no more."""
    plan = "- {female: F-02, males: [M-02], from: 2026-01-01, until: 2026-10-31, public: yes}\n"
    assert told(tmp_path / "a", {"season/s.yaml": plan}, date(2026, 10, 31)) == []
    assert told(tmp_path / "b", {"season/s.yaml": plan}) == [
        (
            "The plan of F-02 with M-02 was until 31 Oct, and no laying is on record; the site may still show it as planned: write its "
            "`result`."
        )
    ]
    of_a_year = {"season/s.yaml": plan.replace("2026-01-01, until: 2026-10-31", "2025-11-01")}
    assert told(tmp_path / "f", of_a_year, date(2026, 11, 1)) == []
    assert told(tmp_path / "g", of_a_year, date(2026, 11, 2)) == [
        (
            "The plan of F-02 with M-02 began on 1 Nov 2025, and no laying is on record; the site may still show it as planned: write its "
            "`result`, or `until` if it goes on."
        )
    ]
    laid = log("2026-05-20,F-02,laid,,5,\n")
    assert told(tmp_path / "c", {"season/s.yaml": plan, **laid})[0].startswith(
        "The plan of F-02 with M-02 has no result yet, and she has laid"
    )
    for name, other in (("d", ", result: no eggs}"), ("e", ", public: no}")):
        assert told(tmp_path / name, {"season/s.yaml": plan.replace(", public: yes}", other)}) == []


def test_a_plan_is_answered_by_her_laying(tmp_path: Path) -> None:
    """It is no longer among the open ones, and asks for its result."""
    more = {**PLAN, **log("2026-11-20,F-02,slugs only,,5,\n")}
    assert told(tmp_path, more) == [
        "The plan of F-02 with M-02 has no result yet, and she has laid slugs alone (by the log, 20 Nov): write its `result`."
    ]
    collection, private = FAMILY.both(tmp_path, more)
    assert open_plans(collection, private, DAY) == ()
    assert len(open_plans(collection, private, date(2026, 11, 19))) == 1


@pytest.mark.parametrize(
    ("years", "eggs", "planned"),
    [
        ((2026, 2027), False, ["F-02"]),
        ((2025, 2026), False, ["F-01", "F-02"]),
        ((2028, 2027), False, ["F-01"]),
        ((2028, 2027), True, []),
    ],
)
def test_the_plans_of_a_winter_are_of_this_season_or_of_the_next_that_has_some(
    tmp_path: Path, years: tuple[int, int], eggs: bool, planned: list[str]
) -> None:
    """One that is still open from before is of this season; while eggs lie in the incubator it is not over."""
    plan = "- {{female: {}, males: [M-02], from: {}-11-01}}\n".format
    plans = "".join(map(plan, ("F-02", "F-01"), years))
    lies = {"clutches/C26-08.md": "---\nid: C26-08\nsire: M-02\ndam: F-02\nlaid: 2026-11-10\neggs: 5\n---\n"}
    collection, private = FAMILY.both(tmp_path, {"season/s.yaml": plans, **(lies if eggs else {})})
    assert sorted(one.female for one in plans_of_winter(collection, private, DAY)) == planned


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("2026-09-01,F-02,laid,,7,\n", "C26-09: the log says 7 laid; the record has 6 good."),
        ("2026-09-03,F-02,laid,,6,\n", "C26-09: laid on 3 Sep by the log, on 1 Sep by the record."),
        (
            "2026-09-10,C26-09,egg lost,,1,\n2026-09-12,C26-09,egg lost,,,\n",
            "C26-09: the log says 2 lost; the record has 1 gone bad.",
        ),
        ("2026-09-10,C26-09,candled,,7,\n", "C26-09: 7 looked good when candled; the record has 6."),
        ("2026-09-01,F-02,slugs only,,6,\n", "C26-09: the log says slugs only (6); the record has 6 good."),
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
    """The first build says which sold figures rest on it and the line to write; the next one, which tells it already, does not."""
    young = "laid: 2026-05-01\neggs: 2\nhatched: 2026-07-01\nyoung: [1 f Piebald, 2 m normal; sold]"
    folder = FAMILY.write(tmp_path / "room", clutch(young))
    words = ["build", str(folder), "--out", str(tmp_path / "site"), "--on", "2026-11-25"]
    first = CliRunner().invoke(main, words).stdout
    assert "new unexpected result: Piebald turned up in clutch C26-09 (C26-09-1)" in first
    assert "printed figures of sold animals that rest on it: Piebald of C26-09-2" in first
    assert 'write under C26-09 in clutches/C26-09.md: set_aside: {Piebald: "we look at this clutch again"}' in first
    assert "unexpected result" not in CliRunner().invoke(main, words).stdout


def test_the_season_of_a_past_day_knows_nothing_later(tmp_path: Path) -> None:
    """A clutch of the day after is not there, and its eggs are not due."""
    folder = FAMILY.write(tmp_path, clutch("laid: 2026-10-01\neggs: 6"))
    for day, known in (("2026-09-30", False), ("2026-10-02", True)):
        assert ("C26-09" in CliRunner().invoke(main, ["season", str(folder), "--on", day]).stdout) is known


GONE = {
    "died": "left: {on: 2026-08-15, how: died}",
    "lent": "left: {on: 2026-08-15, how: loan}",
    "back": "left: {on: 2026-08-15, how: loan}, came: {on: 2026-10-01, how: returned}",
    "bought": "came: {on: 2026-05-01, how: bought}",
    "here": "status: breeder",
}


@pytest.mark.parametrize(
    ("male", "rows", "said"),
    [
        ("died", "2026-08-15,M-30,weight,,800,\n", ""),
        ("died", "2026-08-16,M-30,weight,,800,\n", "'weight' on 16 Aug, after it died"),
        ("died", "2026-08-16,M-30,weight,,800,by its keeper\n", "'weight' on 16 Aug, after it died"),
        (
            "lent",
            "2026-08-16,M-30,weight,,800,\n2026-08-18,M-30,weight,,801,\n",
            "'weight' on 16 Aug and 1 more row, after it went on loan",
        ),
        ("lent", "2026-08-16,M-30,weight,,800,by its keeper\n", ""),
        ("lent", "2026-08-16,M-30,paired,F-02,,by its keeper\n", "'paired' on 16 Aug, after it went on loan"),
        ("lent", "2026-08-16,F-02,lock,M-30,,by its keeper\n", "'lock' on 16 Aug, after it went on loan"),
        ("back", "2026-09-30,M-30,weight,,800,\n", "'weight' on 30 Sep, after it went on loan"),
        ("back", "2026-10-01,M-30,weight,,800,\n", ""),
        ("bought", "2026-04-30,M-30,weight,,800,\n", "'weight' on 30 Apr 2026, before its arrival on 1 May 2026"),
        ("bought", "2026-05-01,M-30,weight,,800,\n", ""),
        (
            "here",
            "2026-08-15,M-30,quarantine,,,\n2026-08-15,M-30,paired,F-02,,\n",
            "'paired' on 15 Aug, in its quarantine",
        ),
        ("here", "2026-08-15,M-30,quarantine,,,\n2026-08-14,M-30,paired,F-02,,\n", ""),
        (
            "here",
            "2026-08-15,M-30,quarantine,,,\n2026-11-13,M-30,lock,F-02,,\n",
            "'lock' on 13 Nov, in its quarantine",
        ),
        ("here", "2026-08-15,M-30,quarantine,,,\n2026-11-14,M-30,lock,F-02,,\n", ""),
        (
            "here",
            "2026-08-15,M-30,treatment,,,\n2026-09-14,M-30,paired,F-02,,\n",
            "'paired' on 14 Sep, in its treatment",
        ),
        ("here", "2026-08-15,M-30,treatment,,,\n2026-09-15,M-30,paired,F-02,,\n", ""),
        ("here", "2026-08-15,M-30,quarantine,,,\n2026-08-16,M-30,meal,,,\n", ""),
        ("died", "2026-11-26,M-30,weight,,800,\n", ""),
    ],
)
def test_a_row_of_an_animal_on_a_day_when_it_was_not_there(tmp_path: Path, male: str, rows: str, said: str) -> None:
    """It still counts on the day it left, and counts again on the day it came back; a keeper may tell a weight, not a pairing.
    Of an animal in quarantine only pairings are told, for ninety days, and in treatment for thirty; of a day to come nothing."""
    animal = {"animals/m.yaml": f"- {{id: M-30, sex: male, hatched: 2020-07-01, {GONE[male]}}}\n"}
    found = [one for one in told(tmp_path, {**animal, **log(rows)}) if ": the log has " in one]
    assert len(found) == bool(said)
    assert all(one.startswith(f"M-30: the log has {said}") for one in found)


@pytest.mark.parametrize(
    ("corrections", "rows", "told_of"),
    [
        ("", "2026-08-15,M-30,sexed,,Female,\n", "female"),
        ("", "2026-08-15,M-30,sexed,,male,\n", ""),
        ("", "2026-08-15,M-30,sexed,,unknown,\n", ""),
        ("", "2026-11-26,M-30,sexed,,female,\n", ""),
        ("sex 2026-08-15", "2026-08-15,M-30,sexed,,female,\n", ""),
        ("sex 2026-08-14", "2026-08-15,M-30,sexed,,female,\n", "female"),
        ("hatched 2026-08-15", "2026-08-15,M-30,sexed,,female,\n", "female"),
        ("hatched 2026-08-16, sex 2026-08-16", "2026-08-15,M-30,sexed,,female,\n", ""),
    ],
)
def test_a_sex_in_the_log_that_the_record_does_not_have(
    tmp_path: Path, corrections: str, rows: str, told_of: str
) -> None:
    """Unless the record was corrected since, on that very day at the earliest; in any case, capitals or not."""
    was = {"sex": "female", "hatched": "2019"}
    listed = [one.split() for one in corrections.split(", ") if one]
    fields = ", ".join(f"{{on: {on}, key: {key}, was: {was[key]}, because: looked again}}" for key, on in listed)
    record = f"- {{id: M-30, sex: male, hatched: 2020-07-01{f', corrections: [{fields}]' if fields else ''}}}\n"
    found = [one for one in told(tmp_path, {"animals/m.yaml": record, **log(rows)}) if "its record" in one]
    assert found == ([f"M-30: the log says {told_of} on 15 Aug; its record says male."] if told_of else [])


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("2026-09-01,F-02,slugs only,,4,\n", ["slugs only: the log counts 4; the record 3."]),
        ("2026-09-01,F-02,slugs only,,3,\n", []),
        ("2026-08-18,F-02,egg lost,,1,\n", ["the log says 1 lost; the record has 0 gone bad."]),
        ("2026-08-17,F-02,egg lost,,1,\n", []),
        ("2026-11-25,C26-09,egg lost,,1,\n", ["the log says 1 lost; the record has 0 gone bad."]),
        ("2026-11-26,C26-09,egg lost,,1,\n", []),
    ],
)
def test_slugs_and_lost_eggs_in_the_log(tmp_path: Path, rows: str, said: list[str]) -> None:
    """A dam's row is of this clutch from a fortnight before it was laid; a row of a day to come is none."""
    found = told(tmp_path, {**clutch("laid: 2026-09-01\neggs: 0\nslugs: 3"), **log(rows)})
    assert found == [f"C26-09: {one}" for one in said]


@pytest.mark.parametrize(
    ("earlier", "row", "said"),
    [
        ("2025-09-01", "egg lost,,1", "C26-09: the log says 1 lost; the record has 0 gone bad."),
        ("2026-06-01", "egg lost,,1", "C26-08: the log says 1 lost; the record has 0 gone bad."),
        ("2026-06-01", "laid,,5", "C26-09: the log says 5 laid; the record has 6 good."),
    ],
)
def test_what_is_seen_before_a_laying_is_of_one_clutch(tmp_path: Path, earlier: str, row: str, said: str) -> None:
    """A week before the day on record: of those eggs, unless they may be of eggs that lay there already."""
    other = {"clutches/C26-08.yaml": f"{{id: C26-08, sire: M-02, dam: F-02, laid: {earlier}, eggs: 6}}\n"}
    rows = log(f"2026-08-25,F-02,{row},\n")
    found = told(tmp_path, {**other, **clutch("laid: 2026-09-01\neggs: 6"), **rows})
    assert [one for one in found if "log says" in one] == [said]


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("2026-10-30,C26-09,hatched,,2,\n", ["the log says 2 hatched; the record has 3."]),
        ("2026-10-30,C26-09,hatched,,1,\n2026-10-31,C26-09,hatched,,2,\n", []),
        ("2026-10-31,C26-09,hatched,,3,\n", []),
        ("2026-11-01,C26-09,hatched,,3,\n", ["hatched on 1 Nov by the log, from 30 to 31 October 2026 by the record."]),
        ("2026-10-29,C26-09,hatched,,4,\n2026-10-30,C26-09,hatched,,0,\n", []),
    ],
)
def test_young_in_the_log(tmp_path: Path, rows: str, said: list[str]) -> None:
    """Those that died in the egg may be counted or not; the rows of several days are added up, and one of them in time is enough."""
    keys = "laid: 2026-09-01\neggs: 4\nhatched: 2026-10-30..2026-10-31\nunseen: 1\nyoung: [1 f normal, 2 m normal, 3 m normal]"
    assert told(tmp_path, {**clutch(keys), **log(rows)}) == [f"C26-09: {one}" for one in said]


def test_a_male_in_the_log_whom_the_record_does_not_name(tmp_path: Path) -> None:
    """Beside one whom it does name; where it names none of them, the warning of the records says so already."""
    rows = "2026-07-01,M-02,paired,F-02,,\n2026-07-05,M-01,paired,F-02,,\n2026-07-09,M-01,lock,F-02,,\n"
    found = told(tmp_path / "a", {**clutch("laid: 2026-09-01\neggs: 4"), **log(rows)})
    assert found == ["C26-09: the log puts M-01 with F-02 too (5 to 9 Jul, with a lock), and `sire` does not name him."]
    assert told(tmp_path / "b", {**clutch("laid: 2026-09-01\neggs: 4"), **log(rows.splitlines(keepends=True)[0])}) == []


def test_a_plan_came_to_the_clutch_that_was_laid_first(tmp_path: Path) -> None:
    """Whatever the two are called."""
    later = {"clutches/C26-08.md": "---\nid: C26-08\nsire: M-02\ndam: F-02\nlaid: 2026-11-20\neggs: 3\n---\n"}
    plan = {"season/2026.yaml": "[{female: F-02, males: [M-02], from: 2026-07-01}]"}
    collection, private = FAMILY.both(tmp_path, {**clutch("laid: 2026-09-01\neggs: 4"), **later, **plan})
    answer = answer_to(private.plans[0], collection, private, DAY)
    assert answer is not None
    assert answer.clutch == "C26-09"


@pytest.mark.parametrize(("result", "until"), [("", date(2028, 1, 1)), (", result: never laid", date(2027, 12, 1))])
def test_a_clutch_long_after_a_plan_is_of_it_only_while_it_has_no_result(
    tmp_path: Path, result: str, until: date
) -> None:
    """Without a last day a plan with a result is over a year after it began."""
    plan = {"season/s.yaml": f"- {{female: F-02, males: [M-02], from: 2026-11-01{result}}}\n"}
    _, private = FAMILY.both(tmp_path, plan)
    laid = [date(2026, 10, 31), date(2026, 11, 1), date(2027, 10, 1), date(2028, 1, 1)]
    assert [on for on in laid if may_come_of(private.plans[0], on)] == [on for on in laid[1:] if on <= until]


def test_a_male_under_treatment_is_waited_for_though_he_was_with_her(tmp_path: Path) -> None:
    """He comes back to her, as one that left does not."""
    rows = "2026-11-10,M-02,lock,F-02,,\n2026-11-20,M-02,treatment,,,\n"
    collection, private = FAMILY.both(tmp_path, {**PLAN, **log(rows)})
    assert list(planned_absent(collection, private, DAY)) == ["M-02"]


@pytest.mark.parametrize(("day", "with_her"), [("2026-09-02", True), ("2026-09-04", False)])
def test_a_male_with_her_by_the_last_day_of_laying_may_have_sired_it(tmp_path: Path, day: str, with_her: bool) -> None:
    """What does not fit and what is certain only without him go by the same males."""
    rows = f"2026-07-01,M-02,paired,F-02,,\n{day},M-01,lock,F-02,,\n"
    collection, private = FAMILY.both(tmp_path, {**clutch("laid: 2026-09-01..2026-09-03\neggs: 4"), **log(rows)})
    males = [one.male for one in other_males(collection, private) if one.clutch == "C26-09" and one.seen]
    listed = any("the log puts M-01 with" in one for one in what_does_not_fit(collection, private, DAY))
    assert males == (["M-01"] if with_her else [])
    assert listed == with_her


@pytest.mark.parametrize(("day", "said"), [(date(2026, 9, 28), False), (date(2026, 9, 29), True)])
def test_a_clutch_is_forgotten_once_thirty_days_after_the_last_usual_one_are_over(
    tmp_path: Path, day: date, said: bool
) -> None:
    """Laid on 30 June; 60 days on, by the species file, is 29 August, and the thirtieth day after it 28 September."""
    found = told(tmp_path, clutch("laid: 2026-06-30\neggs: 6"), day)
    assert any("C26-09" in one for one in found) is said


def test_stored_sperm_names_the_earlier_males_who_may_bring_what_turned_up(tmp_path: Path) -> None:
    """M-1 was with her two winters before and shows it; M-3, of whom nothing speaks, would explain nothing."""
    animals = "".join(
        f"- {{id: {one}, sex: {sex}, shows: {shows}}}\n"
        for one, sex, shows in (
            ("M-1", "male", "Piebald"),
            ("M-2", "male", "normal"),
            ("M-3", "male", "normal"),
            ("F-1", "female", "Piebald"),
        )
    )
    clutch = "- {id: C25, sire: M-2, dam: F-1, laid: 2025-02-24, eggs: 2, hatched: 2025-04-20, young: [1 m Piebald, 2 f normal]}\n"
    rows = "2023-11-20,M-3,lock,F-1,,\n2023-11-25,M-1,lock,F-1,,\n2024-11-12,M-2,lock,F-1,,\n"
    BARE.write(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch, **log(rows)})
    text = CliRunner().invoke(main, ["season", "--on", "2025-05-01", "--collection", str(tmp_path)]).output
    assert "  Stored sperm: M-1 may have sired clutch C25.\n" in text
