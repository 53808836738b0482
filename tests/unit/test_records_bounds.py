"""Dates and numbers at the edge of what a record may hold: outside they are refused where they stand, inside everything builds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

import pytest
from tests.rooms import write
from tests.unit.running_all import DAY, Commands, Run
from tests.unit.whole_room import ROOM

from clutchlight.desk import Season
from clutchlight.pipeline import open_book
from clutchlight.problems import Place
from clutchlight.reading.dates import FIRST_YEAR, LAST_YEAR
from clutchlight.reading.findings import MAX_MESSAGE, Findings

Change = tuple[str, str, str]
VIPER, OWN = "traits/sand-viper.yaml", "traits/own.yaml"

# One date of each kind of record: file, and the text before the date and the date.
DATED: tuple[tuple[str, str, str], ...] = (
    ("animals/M-01.md", "hatched: ", "2019-08"),
    ("animals/M-01.md", "how: probed, on: ", "2019-10-01"),
    ("animals/M-01.md", "from: a seller, on: ", "2019-11-01"),
    ("animals/M-01.md", "file: far/side.png, on: ", "2020-05-01"),
    ("animals/M-01.md", "until: ", "2030-01-01"),
    ("animals/F-01.md", "withdrawn: ", "2024-12-01"),
    ("animals/F-01.md", "copies: 0, on: ", "2025-02-01"),
    ("animals/F-01.md", "corrections: [{on: ", "2022-01-09"),
    ("animals/F-02.md", "- {on: ", "2021-10-01"),
    ("animals/C24-01-4.md", "left: {on: ", "2025-03-01"),
    ("clutches/C26-01.md", "laid: ", "2026-10-20"),
    ("clutches/C25-02.md", "hatched: ", "2025-08-01"),
    ("clutches/C26-02.yaml", "ended: ", "2026-06-01"),
    ("log/2026.csv", "", "2026-01-03"),
    ("season/2026.yaml", "from: ", "2026-10-01"),
    ("sales/2025.yaml", "held: ", "2024-12-01"),
    ("sales/2025.yaml", "payments: [{on: ", "2024-12-01"),
    ("sales/2025.yaml", "told: [{on: ", "2025-03-02"),
)
OUTSIDE = (
    "0001-01-01",
    f"{FIRST_YEAR - 1}-12-31",
    f"{LAST_YEAR + 1}-01-01",
    "about 9999",
    "before 0001",
)


def changed(*changes: Change) -> dict[str, str | bytes]:
    """The room with pieces of its texts exchanged, each of which stands there."""
    files: dict[str, str | bytes] = dict(ROOM)
    for name, old, new in changes:
        text = files[name]
        assert isinstance(text, str)
        assert old in text, (name, old)
        files[name] = text.replace(old, new, 1)
    return files


def errors(folder: Path, files: Mapping[str, str | bytes]) -> list[tuple[str, str]]:
    """File and code of every error, without repeats."""
    found = open_book(write(folder, files), today=date(2026, 11, 25)).problems
    return list(dict.fromkeys((problem.file, problem.code) for problem in found if problem.level == "error"))


@pytest.mark.parametrize(("name", "before", "day"), DATED, ids=lambda value: value.strip() or "-")
def test_a_year_of_no_snake_is_refused_in_every_kind_of_record(
    tmp_path: Path, name: str, before: str, day: str
) -> None:
    """Such a year is a slip, and arithmetic with it would leave the calendar."""
    for number, other in enumerate(OUTSIDE):
        files = changed((name, before + day, before + other))
        assert errors(tmp_path / str(number), files) == [(name, "bad-date")], other


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ((VIPER, "incubation_days: {from: 40", "incubation_days: {from: 0.5"), "bad-number"),
        ((VIPER, "incubation_days: {from: 40, to: 60", "incubation_days: {from: 60, to: 40"), "bad-number"),
        ((VIPER, "incubation_days: {from: 40, to: 60", "incubation_days: {from: 40, to: 501"), "bad-number"),
        ((VIPER, "incubation_days: {from: 40, to: 60", "incubation_days: {from: 40, to: " + "9" * 5000), "bad-number"),
        ((VIPER, "comes: pipped, days: {from: 40, to: 60", "comes: pipped, days: {from: 60, to: 40"), "bad-number"),
        ((VIPER, "comes: pipped, days: {from: 40, to: 60", "comes: pipped, days: {from: 40, to: 60.5"), "bad-number"),
        ((VIPER, "age_months: {from: 18, to: 24", "age_months: {from: 24, to: 18"), "bad-number"),
        ((VIPER, "usual: 8", "usual: 501"), "bad-number"),
        (
            (OWN, "species: ball-python\n", "species: ball-python\nincubation_days: {from: 1e1, to: 60, source: x}\n"),
            "bad-number",
        ),
    ],
    ids=lambda value: value[2][-40:] if isinstance(value, tuple) else value,
)
def test_a_number_that_cannot_be_right_is_told_where_it_stands(tmp_path: Path, change: Change, code: str) -> None:
    """Half a day of incubation, a range turned round: one mistake, and nothing else is said of the species."""
    assert errors(tmp_path, changed(change)) == [(change[0], code)]


AT_THE_EDGE: Mapping[str, tuple[Change, ...]] = {
    "before": (
        ("clutches/C26-01.md", "laid: 2026-10-20", "laid: before 2026-10-25"),
        ("animals/F-01.md", "hatched: about 2019", f"hatched: before {FIRST_YEAR}"),
        ("log/2026.csv", "2026-03-20,F-01,ovulation", "before 2026-03-20,F-01,ovulation"),
    ),
    "last day, as wide and as large as can be": (
        ("clutches/C26-01.md", "laid: 2026-10-20", f"laid: {LAST_YEAR}-12-31"),
        ("log/2026.csv", "2026-10-20,C26-01,laid", "2026-10-20,F-02,laid"),
        ("sales/2025.yaml", "until: 2026-12-01", f"until: {LAST_YEAR}"),
        ("season/2026.yaml", "from: 2026-10-01", f"from: {FIRST_YEAR}"),
        ("season/2026.yaml", "until: 2027-03-31", f"until: {LAST_YEAR}"),
        ("log/2026.csv", "2026-01-03,M-01", f"{LAST_YEAR},M-01"),
        (VIPER, "incubation_days: {from: 40, to: 60", "incubation_days: {from: 0, to: 500"),
        (VIPER, "usual: 8, hatch_rate: 80%", "usual: 500, hatch_rate: 0%"),
        ("collection.yaml", "weight_loss_percent: 10", "weight_loss_percent: 999999999.999999"),
        ("collection.yaml", "age_months: 24", "age_months: 999999999"),
        ("sales/2025.yaml", "agreed: 400", "agreed: 999999999.99"),
        ("log/2026.csv", "weight,,980", "weight,,999999.99"),
        ("log/2026.csv", "weight,,860.5", "weight,,0.01"),
    ),
}


@pytest.mark.slow
@pytest.mark.parametrize("changes", AT_THE_EDGE.values(), ids=AT_THE_EDGE)
def test_what_check_accepts_at_the_edge_builds(tmp_path: Path, changes: Sequence[Change]) -> None:
    """Site and desk, and what is written after; weights, prices and limits as large as they may be written."""
    folder = write(tmp_path / "room", changed(*changes))
    run = Commands(folder, Run())
    run.must("check", folder)
    run.must("build", folder, "--out", tmp_path / "site", "--desk", tmp_path / "desk", "--on", DAY)
    run.must("log", "F-02", "meal", "--on", DAY, "--collection", folder)
    run.must("export", "--as", "json", "--collection", folder)
    assert run.run.wrong == []


@pytest.mark.slow
def test_before_a_day_opens_no_window(tmp_path: Path) -> None:
    """No first day is known, so none is named; neither on the clutch's page nor among what is due."""
    files = changed(("clutches/C26-01.md", "laid: 2026-10-20", "laid: before 2026-10-21"))
    book = open_book(write(tmp_path / "room", files)).book
    assert book is not None
    due = Season(book, date(2026, 11, 25)).due
    assert [item for item in due if item.about == "C26-01"] == []
    built = open_book(write(tmp_path / "other", ROOM)).book
    assert built is not None
    assert [item.about for item in Season(built, date(2026, 11, 25)).due if item.about == "C26-01"] == ["C26-01"]


def test_a_message_that_is_too_long_keeps_its_ends() -> None:
    """What is wrong stands at its beginning, and what to do at its end."""
    findings, middle = Findings(), "x" * (2 * MAX_MESSAGE)
    findings.report(Place("a.md", 1), "bad-id", f"begins {middle} ends")
    (said,) = (problem.message for problem in findings.problems)
    assert (said.startswith("begins x"), said.endswith("x ends")) == (True, True)
    assert len(said) == MAX_MESSAGE + 3
    findings.report(Place("a.md", 1), "bad-id", "y" * MAX_MESSAGE)
    assert findings.problems[1].message == "y" * MAX_MESSAGE
