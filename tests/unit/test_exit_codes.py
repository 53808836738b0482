"""One meaning of an exit code in every command: 1 the records (or the machine), 2 what was typed; and no traceback in either."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from tests.rooms import md, write
from tests.unit.whole_room import write_room

from clutchlight.cli import main
from clutchlight.problem_codes import CODES, OF_WHAT_WAS_TYPED

DAY = "2026-11-25"

# Every command that opens a collection, as it is typed when all is well; FOLDER, OUT and FILE are put in.
COMMANDS: tuple[Sequence[str], ...] = (
    ("check", "FOLDER"),
    ("check", "FOLDER", "--json"),
    ("build", "FOLDER", "--out", "OUT"),
    ("why", "F-01", "--collection", "FOLDER"),
    ("odds", "M-01", "F-01", "--collection", "FOLDER"),
    ("season", "FOLDER", "--on", DAY),
    ("keep", "C26-01", "--on", DAY, "--collection", "FOLDER"),
    ("log", "F-01", "meal", "--on", DAY, "--collection", "FOLDER"),
    ("laid", "F-01", "--on", DAY, "--collection", "FOLDER"),
    ("hatched", "C26-01", "--on", DAY, "--collection", "FOLDER"),
    ("intake", "FILE", "--collection", "FOLDER"),
    ("stamp", "FOLDER", "--on", DAY),
    ("export", "--as", "ped", "--collection", "FOLDER"),
)
MISTYPED: tuple[Sequence[str], ...] = (
    ("check", "NOWHERE"),
    ("check", "EMPTY"),
    ("check", "FILE"),
    ("check", "FOLDER", "--jsn"),
    ("build", "FOLDER", "--out", "FOLDER/animals"),
    ("build", "FOLDER", "--out", "FOREIGN"),
    ("build", "FOLDER", "--out", "OUT", "--desk", "OUT/desk"),
    ("build", "FOLDER", "--out", "OUT", "--theme", "nowhere"),
    ("build", "FOLDER", "--out", "OUT", "--theme", "../own"),
    ("build", "FOLDER", "--out", "OUT", "--as-of", "2026-13-01"),
    ("build", "EMPTY", "--out", "OUT"),
    ("why", "--collection", "FOLDER"),
    ("why", "F-99", "--collection", "FOLDER"),
    ("why", "F-01", "Unicorn", "--collection", "FOLDER"),
    ("odds", "M-01", "--collection", "FOLDER"),
    ("odds", "M-01", "M-02", "--collection", "FOLDER"),
    ("odds", "M-01", "CS-02", "--collection", "FOLDER"),
    ("odds", "M-01", "M-01", "--collection", "FOLDER"),
    ("odds", "M-01", "F-01", "--young", "0", "--collection", "FOLDER"),
    ("odds", "M-01", "F-01", "--young", "x", "--collection", "FOLDER"),
    ("season", "FOLDER", "--on", "0001-01-01"),
    ("season", "FOLDER", "--on", "9999-12-31"),
    ("season", "EMPTY"),
    ("log", "F-99", "meal", "--collection", "FOLDER"),
    ("log", "F-01", "danced", "--collection", "FOLDER"),
    ("log", ",", "meal", "--collection", "FOLDER"),
    ("log", "F-01", "weight", "much", "--collection", "FOLDER"),
    ("log", "F-01,F-02", "paired", "--collection", "FOLDER"),
    ("log", "M-01", "meal", "--on", "1999-01-01", "--collection", "FOLDER"),
    ("laid", "M-01", "--collection", "FOLDER"),
    ("laid", "F-01", "--id", "C24-01", "--collection", "FOLDER"),
    ("laid", "F-01", "--id", "no id", "--collection", "FOLDER"),
    ("laid", "F-01", "--eggs", "1000", "--collection", "FOLDER"),
    ("hatched", "C99-01", "--collection", "FOLDER"),
    ("hatched", "C26-01", "--young", "7", "--on", DAY, "--collection", "FOLDER"),
    ("hatched", "C26-01", "--on", "2026-01-01", "--collection", "FOLDER"),
    ("intake", "NOWHERE", "--collection", "FOLDER"),
    ("intake", "FILE", "--answers", "NOWHERE", "--collection", "FOLDER"),
    ("stamp", "FOLDER", "--on", "2020-01-01"),
    ("export", "--collection", "FOLDER"),
    ("start", "FOLDER"),
    ("start", "OUT", "--name", "two\nlines"),
    ("watch", "NOWHERE"),
    ("watch", "FOLDER", "--out", "FOLDER/animals"),
    ("fly",),
)


@pytest.fixture(scope="module")
def places(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """A good collection, stamped once; a folder of somebody else's; rows to take in; and what is not there."""
    home = tmp_path_factory.mktemp("typed")
    folder = write_room(home / "room")
    clutch = folder / "clutches/C25-01.md"
    clutch.write_text(clutch.read_text(encoding="utf-8").replace("to_sort: 1", "to_sort: 0"), encoding="utf-8")
    assert run("stamp", folder, "--on", "2026-01-01").exit_code == 0
    write(home / "broken", {"animals/F-01.md": md("id: F-01\nsex: mael"), "animals/M-01.md": md("id: M-01")})
    (home / "empty").mkdir()
    (home / "foreign").mkdir()
    (home / "foreign/novel.txt").write_text("mine", encoding="utf-8")
    (home / "rows.csv").write_text("id,sex\nNEW-1,f\n", encoding="utf-8")
    return {
        "FOLDER": folder,
        "OUT": home / "site",
        "FILE": home / "rows.csv",
        "FOREIGN": home / "foreign",
        "NOWHERE": home / "nowhere",
        "EMPTY": home / "empty",
        "BROKEN": home / "broken",
    }


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


def typed(command: Sequence[str], places: dict[str, Path]) -> list[str]:
    made = []
    for word in command:
        first, slash, rest = word.partition("/")
        made.append(f"{places[first]}{slash}{rest}" if first in places else word)
    return made


@pytest.mark.slow
@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_a_command_on_good_records_ends_well(command: Sequence[str], places: dict[str, Path], tmp_path: Path) -> None:
    """Nothing below is refused for another reason than the one it shows."""
    own = {**places, "FOLDER": Path(shutil.copytree(places["FOLDER"], tmp_path / "own")), "OUT": tmp_path / "site"}
    result = run(*typed(command, own))
    assert result.exit_code == 0, result.stderr


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_an_error_in_the_records_ends_every_command_with_1(command: Sequence[str], places: dict[str, Path]) -> None:
    """The problem is told at its line; nothing is written."""
    before = sorted(places["BROKEN"].rglob("*"))
    result = run(*typed(command, {**places, "FOLDER": places["BROKEN"]}))
    assert result.exit_code == 1
    assert isinstance(result.exception, SystemExit)
    assert "unknown-word" in result.stderr + result.stdout
    assert sorted(places["BROKEN"].rglob("*")) == before
    assert not places["OUT"].exists()


@pytest.mark.parametrize("command", MISTYPED, ids=" ".join)
def test_wrong_usage_ends_every_command_with_2(command: Sequence[str], places: dict[str, Path]) -> None:
    """What was typed is what is to be mended; the records are good."""
    result = run(*typed(command, places))
    assert (result.exit_code, result.stdout) == (2, "")
    assert isinstance(result.exception, SystemExit)
    assert "rror" in result.stderr
    assert "Traceback" not in result.stderr


def test_an_error_in_the_records_weighs_more_than_wrong_usage(places: dict[str, Path]) -> None:
    """With both, the records are to be mended first."""
    result = run("laid", "X-99", "--collection", places["BROKEN"])
    assert result.exit_code == 1


def test_what_is_mended_on_the_command_line_is_documented() -> None:
    assert set(CODES) >= OF_WHAT_WAS_TYPED
