"""The private side is read whole: every bad row is named at its line and column, none is dropped, nothing of it gets out."""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, strategies as st
from msgspec.structs import replace
from tests.rooms import FAMILY, HEADER, log
from tests.unit.test_statements import DAM

from clutchlight.model.animals import Coming, When
from clutchlight.model.private import EVENTS, Sale, times_logged
from clutchlight.pipeline import read_everything
from clutchlight.problems import Place
from clutchlight.reading.findings import Findings
from clutchlight.reading.ids import Known
from clutchlight.reading.log import read_log
from clutchlight.reading.public_side import apply_sales, log_facts, newest, reached, standings
from clutchlight.reading.tables import COLUMNS, cells_as_line, read_sheet

# ---- the log


def test_the_demo_log_is_read_row_for_row(content_dir: Path) -> None:
    """The demo's three log files give as many rows as they have lines below their headers."""
    lines = sum(len(path.read_text(encoding="utf-8").splitlines()) - 1 for path in (content_dir / "log").glob("*.csv"))
    private = read_everything(content_dir).private
    assert private is not None
    assert len(private.log) == lines


def test_a_row_becomes_what_it_says(tmp_path: Path) -> None:
    """Date, animals, event, number and note arrive in their fields."""
    _, private = FAMILY.both(tmp_path, log('2026-11-22,M-01,weight,,1613,"after a meal, so a little over"\n'))
    row = private.log[0]
    assert (row.day, row.animal, row.event, row.number, row.note) == (
        date(2026, 11, 22),
        "M-01",
        "weight",
        Fraction(1613),
        "after a meal, so a little over",
    )


@pytest.mark.parametrize(
    ("raw", "why"),
    [
        (
            b"\xef\xbb\xbfdate,animal,event,with,value\r\n2026-11-22,M-01,weight,,1613\r\n",
            "byte order mark, Windows line ends",
        ),
        (b"date;animal;event;with;value;note\n2026-11-22;M-01;weight;;1613;a, b\n", "semicolons"),
        (b"date\tanimal\tevent\twith\tvalue\n2026-11-22\tM-01\tweight\t\t1613\n", "tabs"),
        (b"event,value,date,animal\nweight,1613 g,2026-11-22,M-01\n", "columns in another order"),
        (
            b"\n,,,,,\n# week 47\ndate,animal,event,with,value,note\n\n,,,,,\n2026-11-22,M-01,weight,,1613\n",
            "blank rows",
        ),
        (b"Date, Animal, Event, With, Value, Note\n2026-11-22, m-01, Weighed, , 1613,\n", "capitals and spaces"),
    ],
)
def test_a_log_is_read_however_it_was_saved(tmp_path: Path, raw: bytes, why: str) -> None:
    """What spreadsheets and phones make of a file changes nothing in it."""
    _, private = FAMILY.both(tmp_path, {"log/2026.csv": raw})
    assert [(row.animal, row.event, row.number) for row in private.log] == [("M-01", "weight", Fraction(1613))], why


def test_every_bad_row_is_named_and_the_good_ones_are_still_read(tmp_path: Path) -> None:
    """One file with nine mistakes gives nine problems, each at its cell."""
    rows = (
        "18/11/2026,M-01,meal,,rat,\n"  # 2: a date in another form
        "2026-11-18,M-09,meal,,rat,\n"  # 3: no such animal
        "2026-11-18,M-01,meel,,rat,\n"  # 4: no such event
        "2026-11-18,M-01,weight,,heavy,\n"  # 5: no number
        "2026-11-18,M-01,weight,,,\n"  # 6: no figure
        "2026-11-18,M-01,paired,,,\n"  # 7: with whom?
        "2026-11-18,M-01,paired,M-02,,\n"  # 8: two males
        "2026-11-18,M-01,ovulation,,,\n"  # 9: a male ovulates
        "2026-11-18,M-01,meal,,a,b,c\n"  # 10: a cell too many
        ",M-01,meal,,rat,\n"  # 11: no date
    )
    assert FAMILY.problems(tmp_path, log(rows)) == [
        ("log/2026.csv", 2, 1, "bad-date"),
        ("log/2026.csv", 3, 12, "unknown-animal"),
        ("log/2026.csv", 4, 17, "unknown-word"),
        ("log/2026.csv", 5, 25, "log-value"),
        ("log/2026.csv", 6, 1, "log-value"),
        ("log/2026.csv", 7, 1, "log-pair"),
        ("log/2026.csv", 8, 24, "log-pair"),
        ("log/2026.csv", 9, 12, "log-sex"),
        ("log/2026.csv", 10, 27, "csv-cells"),
        ("log/2026.csv", 11, 1, "missing-key"),
    ]


def test_an_open_quotation_mark_does_not_swallow_the_rows_after_it(tmp_path: Path) -> None:
    """The open mark is named at its place, and the mistake three rows below is still found."""
    rows = '2026-11-18,M-01,note,,,"never closed\n2026-11-18,M-02,meal,,rat,\n2026-11-19,M-09,meal,,rat,\n'
    assert FAMILY.problems(tmp_path, log(rows)) == [
        ("log/2026.csv", 2, 24, "csv-quote"),
        ("log/2026.csv", 4, 12, "unknown-animal"),
    ]


def test_a_cell_may_run_over_lines_and_later_lines_keep_their_numbers(tmp_path: Path) -> None:
    """A quoted note over two lines is one cell; the row after it is still on its own line."""
    rows = '2026-11-18,M-01,note,,,"one\n\ntwo ""three"""\n2026-11-19,M-09,meal,,rat,\n'
    assert FAMILY.problems(tmp_path, log(rows)) == [("log/2026.csv", 5, 12, "unknown-animal")]


def test_a_quotation_mark_inside_a_plain_cell_is_just_a_character(tmp_path: Path) -> None:
    """5" rat is a size, not an open quotation."""
    _, private = FAMILY.both(tmp_path, log('2026-11-18,M-01,meal,,5" rat,\n2026-11-18,M-02,meal,,rat,\n'))
    assert [row.value for row in private.log] == ['5" rat', "rat"]


def test_a_header_that_is_not_ours_is_named(tmp_path: Path) -> None:
    """A misspelt column is one problem with the nearest name, and a missing header another."""
    found = FAMILY.read(tmp_path, {"log/2026.csv": "date,animl,event\n2026-11-18,M-01,meal\n"})
    assert [str(problem) for problem in found.problems] == [
        "log/2026.csv:1:6: error: 'animl' is no column of a log; the nearest is 'animal' [csv-header]"
    ]


def test_a_column_that_stands_twice_is_named_and_no_row_is_read(tmp_path: Path) -> None:
    """Which of the two cells counts is for the breeder to say; columns without a name may be as many as there are."""
    found = FAMILY.read(tmp_path / "a", {"log/2026.csv": "date,animal,event,date\n2026-11-18,ZZ,mael,2026-11-19\n"})
    assert [str(problem) for problem in found.problems] == [
        "log/2026.csv:1:19: error: the column 'date' stands twice; keep one [csv-header]"
    ]
    FAMILY.both(tmp_path / "b", {"log/2026.csv": "date,animal,event,,\n2026-11-18,M-01,shed,,\n"})


def test_earlier_ids_and_clutches_are_understood(tmp_path: Path) -> None:
    """An animal may be named by the id it had, eggs by their clutch: the row then belongs to the dam."""
    _, private = FAMILY.both(tmp_path, log("2026-05-20,OLD-2,meal,,rat,\n2026-05-30,C26-01,candled,,4,\n"))
    assert [(row.animal, row.clutch) for row in private.log] == [("M-02", None), ("F-01", "C26-01")]


def test_a_row_twice_and_an_odd_weight_are_warned_of(tmp_path: Path) -> None:
    """A pasted row and 163 g for 1,613 g are pointed out, and still read."""
    rows = "2026-11-01,M-01,weight,,1613,\n2026-11-01,M-01,weight,,1613,\n2026-11-08,M-01,weight,,163,\n"
    result = FAMILY.read(tmp_path, log(rows))
    assert [(found.line, found.code, found.level) for found in result.problems] == [
        (3, "log-twice", "warning"),
        (4, "weight-odd", "warning"),
    ]
    assert result.private is not None


def test_a_grown_snake_never_weighs_ten_times_as_much(tmp_path: Path) -> None:
    """However long ago it was weighed; a hatchling may, by the next year."""
    rows = "2025-11-05,F-01,weight,,60,\n2026-01-05,M-01,weight,,585,\n2026-11-05,F-01,weight,,600,\n2026-11-05,M-01,weight,,5850,\n"
    assert [(found.line, found.code) for found in FAMILY.read(tmp_path, log(rows)).problems] == [(5, "weight-odd")]


def test_a_grown_snake_never_weighs_a_third_of_what_it_did(tmp_path: Path) -> None:
    rows = "2025-01-05,M-01,weight,,450,\n2026-11-05,M-01,weight,,46,\n"
    assert [(found.line, found.code) for found in FAMILY.read(tmp_path, log(rows)).problems] == [(3, "weight-odd")]


@pytest.mark.parametrize(("weights", "line"), [((860, 8500, 868), 3), ((86, 860, 868), 3)])
def test_of_one_wrong_weight_one_line_is_told(tmp_path: Path, weights: tuple[int, ...], line: int) -> None:
    """The weight after it is not held against it, be the second wrong or the first."""
    rows = "".join(f"2026-11-0{day},M-01,weight,,{grams},\n" for day, grams in enumerate(weights, 1))
    assert [(found.line, found.code) for found in FAMILY.read(tmp_path, log(rows)).problems] == [(line, "weight-odd")]


@pytest.mark.parametrize(
    ("weights", "counted"),
    [
        ((860, 8500), [860, None]),
        ((860, 8500, 868), [860, None, 868]),
        ((860, 8500, 868, 8600), [860, None, 868, None]),
        ((86, 860, 868), [86, 860, 868]),
        ((1700, 170), [1700, 170]),
    ],
)
def test_a_weight_gained_too_fast_counts_once_another_bears_it_out(
    tmp_path: Path, weights: tuple[int, ...], counted: list[int | None]
) -> None:
    """A slip of the pen makes no female ready to breed, nor her next weighing a loss; what may be a loss is not passed over."""
    rows = "".join(f"2026-11-0{day},F-01,weight,,{grams},\n" for day, grams in enumerate(weights, 1))
    private = FAMILY.read(tmp_path, log(rows)).private
    assert private is not None
    assert [row.weight for row in private.log] == counted


@pytest.mark.parametrize(
    ("written", "remedy"),
    [
        ("1,613", "1613"),
        ("1.613", "1613"),
        ("1 613 g", "1613"),
        ("15,5", "15.5"),
        ("heavy", "grams in digits, such as 1215"),
    ],
)
def test_a_weight_of_thousands_is_never_read_as_one_of_grams(tmp_path: Path, written: str, remedy: str) -> None:
    """1,613 and 1.613 are a kilo and a half as people type it; three decimals of a gram are nobody's scale."""
    result = FAMILY.read(tmp_path, {"log/2026.csv": f"date;animal;event;value\n2026-11-01;M-01;weight;{written}\n"})
    assert [found.message for found in result.problems] == [
        f"'{written}' is not a weight in plain grams; write {remedy}"
    ]


CELL = st.text(alphabet=st.sampled_from(list("ab ,;\"\t#'-=")), max_size=12).map(lambda text: " ".join(text.split()))


@given(st.lists(CELL, min_size=2, max_size=5), st.sampled_from([",", ";", "\t"]))
def test_a_cell_comes_back_as_it_was_written(cells: list[str], delimiter: str) -> None:
    """Whatever a note holds, writing it as a row and reading the row gives the note."""
    columns = COLUMNS[: len(cells) + 1]
    text = f"{delimiter.join(columns)}\n{cells_as_line(['x', *cells], delimiter)}\n"
    findings = Findings()
    sheet = read_sheet(text, "t.csv", findings)
    assert findings.problems == []
    assert sheet is not None
    assert [sheet.rows[0].cells.get(name, "") for name in columns] == ["x", *cells]


@given(st.lists(st.text(alphabet=st.sampled_from(list('2026-1,;"\nM0xmeal')), max_size=25), max_size=8))
def test_no_row_is_dropped_in_silence(lines: list[str]) -> None:
    """Of any lines below the header, each that holds anything is a row, a part of a quoted cell, or a problem."""
    findings = Findings()
    text = HEADER + "\n".join(lines)
    rows = read_log(text, "t.csv", Known(None), findings)
    spoken_for = {row.place.line for row in rows} | {problem.line for problem in findings.problems}
    quoted = False
    for number, line in enumerate(text.split("\n")[1:], start=2):
        if line.strip(" \t,;") and not quoted and '"' not in text:
            assert number in spoken_for
        quoted = quoted or '"' in line


@given(st.text(max_size=300))
def test_any_text_at_all_gives_problems_and_never_a_traceback(text: str) -> None:
    """A log file may hold anything; the reader answers with rows and problems."""
    findings = Findings()
    read_log(text, "t.csv", Known(None), findings)
    read_log(HEADER + text, "t.csv", Known(None), findings)


def test_every_event_of_the_format_can_be_logged(tmp_path: Path) -> None:
    """The 26 events of the record format are taken by their names."""
    value = {"weight": "1500", "sexed": "female"}
    mate = {"paired": "M-01", "lock": "M-01", "parted": "M-01"}
    rows = "".join(f"2026-11-01,F-01,{event},{mate.get(event, '')},{value.get(event, '')},\n" for event in EVENTS)
    _, private = FAMILY.both(tmp_path, log(rows))
    assert [row.event for row in private.log] == list(EVENTS)


# ---- plans, sales, the rest


@pytest.mark.parametrize(
    ("dates", "wrong"),
    [
        ("from: 2026-10-01, until: 2026-10-01", False),
        ("from: 2026-10-01, until: 2026-09-30", True),
        ("from: 2026-10, until: 2026-10-01", False),
        ("from: 2026-10-02", False),
        ("until: 2020-01-01", False),
    ],
)
def test_a_plan_ends_on_the_day_on_which_it_begins_or_later(tmp_path: Path, dates: str, wrong: bool) -> None:
    """One day is enough; a plan with one end has no order."""
    files = {"season/plans.yaml": f"- {{female: F-01, males: [M-02], {dates}}}\n"}
    assert bool(FAMILY.problems(tmp_path, files)) is wrong


def test_a_plan_is_held_against_the_animals_it_names(tmp_path: Path) -> None:
    """A male as female, a female among the males, another species, a backup named twice, a look that is none."""
    plans = """- {female: M-01, males: [M-02]}
- {female: F-01, males: [F-02]}
- {female: F-01, males: [M-21]}
- {female: F-01, males: [M-01], backup: M-01}
- {female: F-01, males: [M-01], want: [Piebld]}
- {female: F-01, males: [M-01], from: 2026-10-01, until: 2026-09-01}
"""
    assert FAMILY.problems(tmp_path, {"season/plans.yaml": plans}) == [
        ("season/plans.yaml", 1, 12, "plan-sex"),
        ("season/plans.yaml", 2, 26, "plan-sex"),
        ("season/plans.yaml", 3, 26, "plan-sex"),
        ("season/plans.yaml", 4, 41, "plan-twice"),
        ("season/plans.yaml", 5, 40, "unknown-look"),
        ("season/plans.yaml", 6, 58, "dates-out-of-order"),
    ]


def test_looks_in_one_breath_are_told_to_stand_apart(tmp_path: Path) -> None:
    """It was told that the nearest look is Piebald; who wrote that lost the Clown."""
    result = read_everything(
        FAMILY.write(tmp_path, {"season/p.yaml": "female: F-01\nmales: M-01\nwant: [Piebald Clown]\n"})
    )
    (said,) = [problem.message for problem in result.problems]
    assert said == "'Piebald Clown' names several looks; write them apart: Piebald, Clown"


def test_other_names_of_looks_are_wanted_under_their_own(tmp_path: Path) -> None:
    """`want: [Pied]` and `want: [piebald]` both mean Piebald."""
    _, private = FAMILY.both(
        tmp_path, {"season/p.yaml": "female: F-01\nmales: M-01\nwant: [Pied, piebald]\npublic: yes\n"}
    )
    assert (private.plans[0].want, private.plans[0].public) == (("Piebald",), True)


def test_an_animal_cannot_be_handed_to_two_people(tmp_path: Path) -> None:
    """A second hand-over without a return is an error; with one it is not."""
    first = "- {animals: [C26-01-1], buyer: A, handed_over: 2026-09-01%s}\n"
    second = "- {animals: [C26-01-1], buyer: B, handed_over: 2026-10-01}\n"
    assert FAMILY.problems(tmp_path / "a", {"sales/s.yaml": first % "" + second}) == [
        ("sales/s.yaml", 2, 3, "sold-twice")
    ]
    FAMILY.both(tmp_path / "b", {"sales/s.yaml": first % ", returned: 2026-09-20" + second})
    month = first.replace("2026-09-01", "2026-10") % ", returned: 2026-10-10" + second.replace("10-01", "10-20")
    FAMILY.both(tmp_path / "c", {"sales/s.yaml": month})


def test_shared_animals_and_own_limits_are_read(tmp_path: Path) -> None:
    """`private: {shared: ...}` and `season:` of collection.yaml arrive with their dates and numbers."""
    animal = "---\nid: M-05\nsex: male\nprivate: {shared: {with: Someone, split: 50/50, until: 2027-01-31}}\n---\n"
    settings = (
        "format: 1\nname: T\ncollection_id: 3f6c2f0e-8b1d-4c52-9d4e-0a7b1c2d3e4f\nspecies: [ball-python]\ncurrency: EUR\n"
        "season:\n  male: {rest_days: 4}\n  ball-python: {male: {rest_days: 5}, sire_window_days: 200}\n"
    )
    corn = "- {id: M-01, sex: male, shows: Piebald}\n- {id: F-01, sex: female, shows: normal, claims: {Piebald: 66%}}\n"
    _, private = FAMILY.both(
        tmp_path, {"collection.yaml": settings, "animals/M-05.md": animal, "animals/all.yaml": corn}
    )
    assert [(one.animal, one.partner, one.split) for one in private.holdings] == [("M-05", "Someone", "50/50")]
    assert private.rules[""].male == {"rest_days": Fraction(4)}
    assert private.rules["ball-python"].male == {"rest_days": Fraction(5)}
    assert private.rules["ball-python"].sire_window_days == 200


def test_broken_public_records_do_not_make_every_private_id_unknown(tmp_path: Path) -> None:
    """With one mistake in the animals, the log gives no cascade of unknown ids."""
    files = {**log("2026-11-01,M-01,meal,,rat,\n"), "animals/bad.md": "---\nid: X-1\nsire: Q-9\n---\n"}
    assert FAMILY.problems(tmp_path, files) == [("animals/bad.md", 3, 7, "unknown-animal")]


# ---- what gets out

SALES = """- {animals: [C26-01-1], buyer: SECRET-NAME, agreed: 100, held: 2026-09-01, until: 2026-09-30}
- {animals: [C26-01-2], buyer: SECRET-NAME, agreed: 120, payments: [{on: 2026-09-05, amount: 120}], terms: SECRET-TERMS}
- {animals: [C26-01-3], buyer: SECRET-NAME, agreed: 777, handed_over: 2026-10-03, deposit: 776, note: SECRET-NOTE}
- {animals: [C26-01-4], buyer: SECRET-NAME, handed_over: 2026-10-03, returned: 2026-10-20}
"""


def test_a_status_follows_from_the_sales(tmp_path: Path) -> None:
    """Held: on hold until its day. Paid: sold. Handed over: sold that day. Returned: as the record says."""
    collection, private = FAMILY.both(tmp_path, {"sales/s.yaml": SALES})
    found = {
        name: (one.status, str(one.on or ""), str(one.until or ""))
        for name, one in standings(collection, private.sales).items()
    }
    assert found == {
        "C26-01-1": ("on hold", "", "2026-09-30"),
        "C26-01-2": ("sold", "", ""),
        "C26-01-3": ("sold", "2026-10-03", ""),
        "C26-01-4": ("holdback", "", ""),
    }


@pytest.mark.parametrize("later", ["2026-09-30", "2026-09", "2026-10-01"])
@pytest.mark.parametrize("told", ["weight", "refused", "sale", "clutch"])
def test_without_a_day_a_hold_ends_by_the_newest_thing_that_is_public(tmp_path: Path, later: str, told: str) -> None:
    """Of whatever a page tells; no clock is read, and no row of the log that is private moves it."""
    held = SALES.splitlines(keepends=True)[0]
    more = {
        "weight": log(f"{later},F-01,weight,,1500,\n"),
        "refused": log(f"{later},F-01,refused,,,\n"),
        "sale": {"sales/t.yaml": f"- {{animals: [C26-01-3], handed_over: {later}}}\n"},
        "clutch": {"clutches/n.md": f"---\nid: C26-09\nsire: M-02\ndam: F-02\nlaid: {later}\neggs: 4\n---\n"},
    }[told]
    collection, private = FAMILY.both(tmp_path, {"sales/s.yaml": held, **more})
    over = later == "2026-10-01" and told != "refused"
    assert apply_sales(collection, private).animals["C26-01-1"].status == ("available" if over else "on hold")


@pytest.mark.parametrize(
    ("day", "status"),
    [
        (date(2026, 8, 31), "available"),
        (date(2026, 9, 1), "on hold"),
        (date(2026, 9, 30), "on hold"),
        (date(2026, 10, 1), "available"),
    ],
)
def test_a_hold_lasts_from_its_first_to_its_last_day(tmp_path: Path, day: date, status: str) -> None:
    """With a day given, a hold counts on both its ends and no day longer."""
    collection, private = FAMILY.both(tmp_path, {"sales/s.yaml": SALES})
    assert standings(collection, private.sales, day)["C26-01-1"].status == status


def test_sales_count_in_the_order_of_their_days(tmp_path: Path) -> None:
    """Not of the file: one that came back in August is on hold again, though the hold is written first."""
    rows = (
        "- {animals: [C26-01-2], buyer: B, held: 2026-09-01}\n"
        "- {animals: [C26-01-2], buyer: A, handed_over: 2026-07-20, returned: 2026-08-01}\n"
    )
    collection, private = FAMILY.both(tmp_path, {"sales/s.yaml": rows})
    for day, status in ((date(2026, 7, 25), "sold"), (date(2026, 8, 2), "not for sale"), (date(2026, 9, 1), "on hold")):
        assert standings(collection, private.sales, day)["C26-01-2"].status == status


def test_a_first_meal_that_stands_as_a_meal_too_is_one(tmp_path: Path) -> None:
    """Meals and sheds are counted by days."""
    rows = "".join(
        f"2026-09-0{day},C26-01-1,{event},,,\n" for day, event in ((1, "first meal"), (1, "meal"), (2, "meal"))
    )
    _, private = FAMILY.both(tmp_path, log(rows))
    assert times_logged(private.log) == 2


def test_nothing_private_reaches_the_collection(tmp_path: Path) -> None:
    """Buyer, amounts, terms and notes are nowhere in the collection that the site is made from."""
    collection, private = FAMILY.both(
        tmp_path, {"sales/s.yaml": SALES, **log("2026-11-01,C26-01-1,weight,,80,SECRET-LOG\n")}
    )
    public = repr(apply_sales(collection, private))
    left = apply_sales(collection, private).animals["C26-01-3"].left
    assert left is not None
    assert (left.how, str(left.on)) == ("sold", "2026-10-03")
    assert re.search(r"SECRET|\b77[67]\b", public) is None
    assert "SECRET" not in repr(log_facts(private.log, ("weight", "meals", "sheds")))


def test_only_opted_in_facts_leave_the_log(tmp_path: Path) -> None:
    """The latest weight, the last meal and the last shed, each only when it is opted in; a day ends what counts."""
    rows = (
        "2026-08-01,C26-01-1,first shed,,,\n2026-08-09,C26-01-1,first meal,,hopper,\n2026-09-01,C26-01-1,weight,,90,\n"
        "2026-09-05,C26-01-1,meal,,hopper,\n2026-09-12,C26-01-1,refused,,hopper,\n2026-10-01,C26-01-1,weight,,101,\n"
    )
    _, private = FAMILY.both(tmp_path, log(rows))
    facts = log_facts(private.log, ("weight", "meals", "sheds"))["C26-01-1"]
    assert (facts.weight_g, str(facts.last_meal), str(facts.last_shed)) == (Fraction(101), "2026-09-05", "2026-08-01")
    weight_only = log_facts(private.log, ("weight",), until=date(2026, 9, 30))["C26-01-1"]
    assert (weight_only.weight_g, weight_only.last_meal, weight_only.last_shed) == (Fraction(90), None, None)
    assert log_facts(private.log, ()) == {}


@pytest.mark.parametrize(
    ("how", "note", "weight"), [("died", "a slip", 800), ("loan", "", 800), ("loan", "its keeper", 810)]
)
def test_the_log_says_nothing_in_public_of_an_animal_that_was_gone(
    tmp_path: Path, how: str, note: str, weight: int
) -> None:
    """After its death nothing; of one that lives elsewhere what a note explains."""
    files = {"animals/X-1.md": f"---\nid: X-1\nleft: {{how: {how}, on: 2026-03-01}}\n---\n"}
    rows = f"2026-02-01,X-1,weight,,800,\n2026-04-01,X-1,weight,,810,{note}\n"
    collection, private = FAMILY.both(tmp_path, {**log(rows), **files})
    assert log_facts(private.log, ("weight",), animals=collection.animals)["X-1"].weight_g == weight


def clutch_and_log(sire: str, rows: str, laid: str = "2027-03-01", more: str = "") -> dict[str, str]:
    record = f"---\nid: C27-01\nsire: {sire}\ndam: F-02\nlaid: {laid}\n{more}---\n"
    return {"clutches/C27-01.md": record, **log(rows)}


WINTER = "2026-10-10,M-01,paired,F-02,,\n2026-10-24,M-01,lock,F-02,,\n"


@pytest.mark.parametrize(
    ("sire", "rows", "laid", "more", "warned"),
    [
        ("M-02", WINTER, "2027-03-01", "", True),
        ("M-01", WINTER, "2027-03-01", "", False),
        ("[M-01, M-02]", WINTER, "2027-03-01", "", False),
        ("{one_of: {M-02: 50%, unknown: 50%}}", WINTER, "2027-03-01", "", True),
        ("unknown", WINTER, "2027-03-01", "", False),
        ("none", WINTER, "2027-03-01", "", False),
        ("M-02", "", "2027-03-01", "", False),
        ("M-02", "2026-10-10,M-01,paired,F-01,,\n", "2027-03-01", "", False),
        ("M-02", "2025-10-10,M-01,paired,F-02,,\n", "2027-03-01", "", False),
        ("M-02", WINTER, "2027-03-01", "reported_by: a buyer\n", False),
        ("M-02", WINTER, "about 2027-03", "", False),
        ("M-02", WINTER, "2027", "", False),
        ("M-02", WINTER, "2027-03", "", True),
        ("M-01", "2026-06-10,M-01,paired,F-02,,\n2026-10-10,M-02,paired,F-02,,\n", "2027-03", "", False),
    ],
)
def test_a_clutch_whose_sires_the_log_does_not_name_is_warned_of(
    tmp_path: Path, sire: str, rows: str, laid: str, more: str, warned: bool
) -> None:
    """Only where the log surely puts another male with the dam in the window before laying, and no recorded sire perhaps."""
    result = FAMILY.read(tmp_path, clutch_and_log(sire, rows, laid, more))
    expected = [("clutches/C27-01.md", 3, "sire-not-in-log")] if warned else []
    assert [(found.file, found.line, found.code) for found in result.problems] == expected


def test_the_warning_says_whom_the_log_names(tmp_path: Path) -> None:
    """Males with their days; a sire who was with her only before the window is said to have been."""
    rows = "2025-10-10,M-02,paired,F-02,,\n" + WINTER + "2026-11-01,M-03,paired,F-02,,\n"
    (problem,) = FAMILY.read(tmp_path, clutch_and_log("M-02", rows)).problems
    assert problem.message == (
        "before this clutch was laid (2027-03-01) the log puts 'M-01' (between 2026-10-10 and 2026-10-24) and 'M-03' (2026-11-01)"
        " with 'F-02', and none of the sires written here ('M-02' was with her 2025-10-10, before that);"
        " correct the sire or the log, or name them all"
    )


@pytest.mark.parametrize(
    ("name", "remedy"),
    [
        ("C25-01", "it reads like a clutch, but there is none of that id in clutches/"),
        ("C25-01-2", "it reads like a young one of clutch C25-01, which has no record either"),
        ("C26-01-9", "the nearest is 'C26-01-1'"),
        ("F-05", "the nearest is 'F-01'"),
    ],
)
def test_a_row_of_a_clutch_that_is_gone_gets_no_far_fetched_nearest(tmp_path: Path, name: str, remedy: str) -> None:
    """An id that reads like a clutch's or a hatchling's is not taken for a slip in another animal's."""
    result = FAMILY.read(tmp_path, log(f"2026-11-01,{name},laid,,5,\n"))
    assert [found.message for found in result.problems] == [f"animal '{name}' has no record; {remedy}"]


@pytest.mark.parametrize(
    ("line", "warned"),
    [
        ("{id: C25-01-2}", True),
        ("{id: c25-01-2}", True),
        ("{id: F-05, was: C25-01-2}", True),
        ("{id: C25-01-2, came: hatched here}", True),
        ("{id: C25-01-2, came: bought}", False),
        ("{id: C25-01-2, status: elsewhere}", False),
        ("{id: C25-01-2, dam: F-01}", False),
        ("{id: C25-1-2}", False),
        ("{id: F-01-2}", False),
        ("{id: C26-01-9}", False),
    ],
)
def test_an_animal_left_behind_by_its_clutch_is_warned_of(tmp_path: Path, line: str, warned: bool) -> None:
    """Its id has the shape of a hatchling's, no clutch of that id is on record, and nothing says that it came from elsewhere."""
    result = FAMILY.read(tmp_path, {"animals/more.yaml": f"- {line}\n"})
    assert [found.code for found in result.problems] == (["clutch-missing"] if warned else [])


def test_clutches_called_by_a_letter_make_no_animal_a_hatchling(tmp_path: Path) -> None:
    """With a clutch A on record, F-01 and M-01 are not read as young of clutches F and M."""
    assert FAMILY.read(tmp_path, {"clutches/a.md": "---\nid: A\nsire: M-01\ndam: F-02\n---\n"}).problems == ()


def test_a_clutch_file_that_cannot_be_read_is_not_missing(tmp_path: Path) -> None:
    """The one mistake is the file's."""
    files = {"clutches/C25-01.md": "---\nid: C25-01\nsire: [M-01\n---\n", "animals/more.yaml": "- {id: C25-01-2}\n"}
    assert [code for *_, code in FAMILY.problems(tmp_path, files)] == ["not-yaml"]


def test_a_month_is_the_newest_where_it_may_be() -> None:
    """A clutch of August may have hatched after the 2nd; that the 2nd has come is sure."""
    second, month = When.day(date(2026, 8, 2)), When(date(2026, 8, 31), date(2026, 8, 1), "2026-08")
    before = When(date(2026, 9, 30), date.min, "before 2026-10")
    assert newest([[second, None], [month, before]]) == month
    assert reached([[second, None], [month, before]]) == date(2026, 8, 2)
    assert newest([[When.day(date(2026, 9, 1))], [month]]) == When.day(date(2026, 9, 1))


@pytest.mark.parametrize(("came", "lent"), [(1, False), (2, True)])
def test_what_comes_on_loan_after_the_day_of_its_sale_is_lent_back(came: int, lent: bool) -> None:
    sale = Sale(("F-01",), Place(""), handed_over=When.day(date(2025, 3, 1)))
    assert sale.lent_back(replace(DAM, came=Coming("loan", When.day(date(2025, 3, came))))) is lent
