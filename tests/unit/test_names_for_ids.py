"""A name stands for an id wherever an id does, in any case, as long as only one has it."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.rooms import HEADER, SETTINGS, Room

from clutchlight.cli import main

ROOM = Room(
    {
        "collection.yaml": SETTINGS,
        "animals/all.yaml": "- {id: M-01, name: Big Rowan, sex: male, hatched: 2020-07-01, shows: Piebald}\n"
        "- {id: M-02, name: Hazel, sex: male, hatched: 2020-07-01, shows: normal}\n"
        "- {id: F-01, name: Fern, sex: female, hatched: 2019-07-01, shows: normal}\n"
        "- {id: F-02, name: hazel, sex: female, hatched: 2019-07-01, shows: normal}\n"
        "- {id: Y-01, hatched: 2022-05-01, sire: big  rowan, dam: f-01, shows: normal}\n",
        "clutches/C26-01.md": "---\nid: C26-01\nname: First\nsire: [BIG ROWAN, m-02]\ndam: fern\nlaid: 2026-05-16\neggs: 1\n---\n",
    }
)


def test_sire_and_dam_are_understood_by_name(tmp_path: Path) -> None:
    """Of an animal and of a clutch, one sire or several, whatever the case; what is kept are ids."""
    collection = ROOM.collection(tmp_path, {})
    young, clutch = collection.animals["Y-01"], collection.clutches["C26-01"]
    assert (young.sire, young.dam) == ("M-01", "F-01")
    assert (clutch.sires.ids, clutch.dam) == (("M-01", "M-02"), "F-01")


def test_a_sire_by_name_is_the_one_that_the_clutch_names_by_id(tmp_path: Path) -> None:
    """A young with a file of its own says the same as its clutch, in other words."""
    files = {
        "animals/one.md": "---\nid: C26-02-1\nsire: Big Rowan\ndam: Fern\n---\n",
        "clutches/C26-02.md": "---\nid: C26-02\nsire: M-01\ndam: F-01\nhatched: 2025-07-01\neggs: 1\nyoung: [1 m normal]\n---\n",
    }
    assert ROOM.collection(tmp_path, files).animals["C26-02-1"].sire == "M-01"


def test_plans_sales_and_the_log_understand_names(tmp_path: Path) -> None:
    files = {
        "season/all.yaml": "female: fern\nmales: [big rowan]\n",
        "sales/all.yaml": "- {animals: [FERN], buyer: Ada Quill, handed_over: 2026-01-02}\n",
        "log/2026.csv": HEADER + "2026-01-02,Big Rowan,paired,Fern,,\n2026-06-01,first,candled,,,\n",
    }
    _, private = ROOM.both(tmp_path, files)
    assert (private.plans[0].female, private.plans[0].males) == ("F-01", ("M-01",))
    assert private.sales[0].animals == ("F-01",)
    assert [(row.animal, row.partner, row.clutch) for row in private.log] == [
        ("M-01", "F-01", None),
        ("F-01", None, "C26-01"),
    ]


def test_an_id_goes_before_a_name_and_two_of_one_name_are_refused_with_both_ids(tmp_path: Path) -> None:
    """A name that is the id of another is warned of."""
    found = ROOM.read(tmp_path, {"animals/F-03.yaml": "- {id: F-03, name: M-02, sex: female, shows: normal}\n"})
    assert found.collection is not None
    assert [problem.code for problem in found.problems] == ["name-is-id"]
    assert CliRunner().invoke(main, ["why", "m-02", "--collection", str(tmp_path)]).stdout.startswith("m-02")
    assert found.collection.animals["F-03"].name == "M-02"
    refused = CliRunner().invoke(main, ["why", "HAZEL", "--collection", str(tmp_path)])
    assert (refused.exit_code, refused.stderr) == (
        2,
        "what you typed: error: animal 'HAZEL' may be 'F-02' or 'M-02', which share that name; write the id [ambiguous-name]\n",
    )


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        (["log", "fern", "meal", "rat"], "2026-11-28,F-01,meal,,rat,"),
        (["log", "Fern,big rowan", "paired"], "2026-11-28,M-01,paired,F-01,,"),
        (["log", "Fern", "paired", "BIG ROWAN"], "2026-11-28,M-01,paired,F-01,,"),
        (["laid", "fern", "--id", "C26-09"], "dam: F-01"),
        (["hatched", "first", "--young", "1", "--yes"], "hatched: 2026-11-28"),
        (["sold", "fern", "--to", "Ada Quill"], "animals: [F-01]"),
        (["odds", "big rowan", "FERN"], "Big Rowan (M-01)"),
    ],
)
def test_commands_understand_names_and_write_ids(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, typed: list[str], written: str
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1795867200")
    ROOM.write(tmp_path, {})
    done = CliRunner().invoke(main, [*typed, "--collection", str(tmp_path)])
    assert (done.exit_code, done.stderr) == (0, "")
    assert written in done.stdout


def test_a_slip_in_a_name_is_answered_with_the_name_and_its_id(tmp_path: Path) -> None:
    ROOM.write(tmp_path, {})
    refused = CliRunner().invoke(main, ["why", "Big Rovan", "--collection", str(tmp_path)])
    assert "the nearest is 'Big Rowan' (M-01)" in refused.stderr


def test_a_name_in_a_file_that_cannot_be_read_is_no_second_mistake(tmp_path: Path) -> None:
    files = {
        "animals/broken.md": "---\nid: X-01\nname: Old Oak\nshows: [\n---\n",
        "animals/y.md": "---\nid: Y-02\nsire: old oak\n---\n",
    }
    assert [code for *_, code in ROOM.problems(tmp_path, files)] == ["not-yaml"]
