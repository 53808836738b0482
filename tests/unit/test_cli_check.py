"""`clutchlight check`: exit codes, streams, JSON, and the collection that is meant when none is named."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.rooms import md, write

from clutchlight.cli import main


def test_good_records_exit_0_with_a_line_on_stdout(tmp_path: Path) -> None:
    """The demo of a result: what was read, and that nothing is wrong."""
    folder = write(tmp_path, {"animals/F-01.md": md("id: F-01")})
    result = CliRunner().invoke(main, ["check", str(folder)])
    assert (result.exit_code, result.stdout, result.stderr) == (0, "1 animal, 0 clutches: no errors\n", "")


def test_errors_exit_1_and_go_to_stderr(tmp_path: Path) -> None:
    """Problems are for stderr; stdout stays empty."""
    folder = write(tmp_path, {"animals/F-01.md": md("id: F-01\ndam: F-09")})
    result = CliRunner().invoke(main, ["check", str(folder)])
    assert (result.exit_code, result.stdout) == (1, "")
    assert result.stderr == (
        "animals/F-01.md:3:6: error: dam 'F-09' has no record; the nearest is 'F-01' [unknown-animal]\n"
    )


def test_warnings_exit_0(tmp_path: Path) -> None:
    """A warning is shown and stops nothing."""
    folder = write(tmp_path, {"animals/F-01.md": md("id: F-01\nclaims: {Piebald: 66.6%}")})
    result = CliRunner().invoke(main, ["check", str(folder)])
    assert result.exit_code == 0
    assert "[near-third]" in result.stderr


def test_json_lists_the_problems_on_stdout(tmp_path: Path) -> None:
    """The JSON has the keys of its schema, in plain ASCII."""
    folder = write(tmp_path, {"animals/F-01.md": md("id: F-01\nsex: ♀")})
    result = CliRunner().invoke(main, ["check", str(folder), "--json"])
    assert (result.exit_code, result.stderr) == (1, "")
    assert result.stdout.isascii()
    (problem,) = json.loads(result.stdout)["problems"]
    assert problem == {
        "file": "animals/F-01.md",
        "line": 3,
        "column": 6,
        "level": "error",
        "code": "unknown-word",
        "message": "'♀' is no sex; write male, female or unknown (or m, f, 1.0, 0.1, 0.0.1)",
    }


@pytest.mark.parametrize("inside", [".", "content"])
def test_the_collection_is_here_or_in_content(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, inside: str) -> None:
    """Without COLLECTION it is the current folder if it holds collection.yaml, else ./content."""
    write(tmp_path / inside, {"animals/F-01.md": md("id: F-01")})
    monkeypatch.chdir(tmp_path)
    assert CliRunner().invoke(main, ["check"]).exit_code == 0


def test_no_collection_anywhere_is_wrong_usage(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Exit code 2, with what to do."""
    monkeypatch.chdir(tmp_path)
    result = CliRunner().invoke(main, ["check"])
    assert result.exit_code == 2
    assert "clutchlight start" in result.stderr


def test_the_future_is_told_by_source_date_epoch(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The day of a warning can be set, so that a check can be repeated."""
    folder = write(tmp_path, {"animals/F-01.md": md("id: F-01\ncame: {on: 2024-06-01, how: bought}")})
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1704067200")  # 2024-01-01
    assert "[future-date]" in CliRunner().invoke(main, ["check", str(folder)]).stderr
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1735689600")  # 2025-01-01
    assert CliRunner().invoke(main, ["check", str(folder)]).stderr == ""


@pytest.mark.slow
def test_unexpected_results_are_told_after_the_summary(tmp_path: Path, content_dir: Path) -> None:
    """A clutch by the wrong sire may break no rule: what it needs that no record gives is said, a line each."""
    own = Path(shutil.copytree(content_dir, tmp_path / "own"))
    lines = CliRunner().invoke(main, ["check", str(own)]).stdout.splitlines()
    assert len(lines) == 3
    assert lines[2] == "Comfrey (F-10): 66% was typed for Lavender Albino; the records give 24%."
    assert lines[1].startswith("1 unexpected result: Desert Ghost turned up in clutch C25-03 ")
    assert lines[1].endswith(f"; see `clutchlight season --collection {own}`")
    record = own / "clutches/C24-03.md"
    record.write_text(record.read_text(encoding="utf-8").replace("sire: M-06", "sire: M-05"), encoding="utf-8")
    result = CliRunner().invoke(main, ["check", str(own)])
    assert result.exit_code == 0
    assert "[sire-not-in-log]" in result.stderr
    lines = result.stdout.splitlines()
    assert lines[1] == f"2 unexpected results; see `clutchlight season --collection {own}`:"
    assert [line.partition(" (")[0] for line in lines[2:4]] == [
        "  Desert Ghost turned up in clutch C25-03",
        "  Yellow Belly turned up in clutch C24-03",
    ]


def test_young_without_a_look_are_reminded_of(tmp_path: Path) -> None:
    """One line for each clutch with hatchlings in the room that nobody has read yet; those that left are not looked for."""
    young = "young: [1 unknown, 2 f, 3 m normal, {id: C24-01-4, left: died}]\nto_sort: 1"
    folder = write(
        tmp_path,
        {
            "animals/all.yaml": "- {id: F-01, sex: f}\n- {id: M-01, sex: m}\n",
            "clutches/C24-01.md": md(f"id: C24-01\nsire: M-01\ndam: F-01\neggs: 5\nhatched: 2024-07-16\n{young}"),
        },
    )
    result = CliRunner().invoke(main, ["check", str(folder)])
    assert (result.stdout, result.stderr) == (
        "6 animals, 1 clutch: no errors\nC24-01: three young without a look yet\n",
        "",
    )
