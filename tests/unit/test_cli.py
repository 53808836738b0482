"""The commands as a newcomer meets them: exit codes, remedies, and nothing lost."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator
from tests.rooms import FAMILY, log, write

from clutchlight.cli import main
from clutchlight.shipped import schema

pytestmark = pytest.mark.slow

PROVING_CLUTCH = """id: C26-90
sire: M-01
dam: F-01
hatched: 2026-07-01
eggs: 1
young: [{id: C26-90-1, shows: Piebald}]
"""


SEXES = {"F-01": "female", "M-01": "male"}


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


LAID = "---\nid: C26-06\nsire: M-02\ndam: F-02\nlaid: 2026-10-05\neggs: 5\n---\n"


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A few pythons, with a log, a folder of photos and eggs in the incubator."""
    files = {"clutches/C26-06.md": LAID, "photos/note.txt": "", **log("2026-01-03,M-01,meal,,rat,\n")}
    return FAMILY.write(tmp_path / "own", files)


def test_a_new_collection_checks_and_builds(tmp_path: Path) -> None:
    """start, check, build: the three commands of the first minute."""
    room = tmp_path / "room"
    first_minute: list[list[str | Path]] = [
        ["start", room],
        ["check", room],
        ["build", room, "--out", tmp_path / "site"],
    ]
    for arguments in first_minute:
        result = run(*arguments)
        assert result.exit_code == 0, result.output
    assert (tmp_path / "site" / "index.html").is_file()
    assert run("start", room).exit_code == 2


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (["build", "nowhere"], 2),
        (["build", "--as-of", "soon"], 2),
        (["season", "--on", "0001-01-01"], 2),
        (["odds", "M-01"], 2),
        (["odds", "M-01", "M-03"], 2),
        (["odds", "M-21", "F-01"], 2),
        (["why", "F-01", "Unicorn"], 2),
        (["laid", "M-01"], 2),
        (["log", "F-03", "danced"], 2),
        (["hatched", "C99-01"], 2),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else str(value),
)
def test_a_mistake_ends_in_words(own: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str], code: int) -> None:
    """2 for whatever is mended in what was typed; stdout stays empty, and there is no traceback."""
    monkeypatch.chdir(own)
    result = run(*arguments)
    assert (result.exit_code, result.stdout) == (code, "")
    assert result.stderr
    assert result.exception is None or isinstance(result.exception, SystemExit)


def test_the_site_never_goes_where_records_or_others_work_is(tmp_path: Path) -> None:
    """Among the records, or into a folder that this tool did not make: refused, and left as it was."""
    own = write(tmp_path / "own", {"animals/F-01.yaml": "id: F-01"})
    other = tmp_path / "other"
    other.mkdir()
    (other / "novel.txt").write_text("mine", encoding="utf-8")
    for out in (own / "animals", other):
        result = run("build", own, "--out", out)
        assert result.exit_code == 2
        assert result.stderr.count("error:") >= 1
    assert (other / "novel.txt").read_text(encoding="utf-8") == "mine"


def test_a_dry_run_says_what_a_build_would_and_writes_nothing(tmp_path: Path) -> None:
    """The figures that a new clutch changes, named by both."""
    hets = {name: f"id: {name}\nsex: {sex}\nshows: normal\nclaims: {{Piebald: 50%}}\n" for name, sex in SEXES.items()}
    room, site = (
        write(tmp_path / "room", {f"animals/{name}.yaml": text for name, text in hets.items()}),
        tmp_path / "site",
    )
    assert run("build", room, "--out", site).exit_code == 0
    (room / "clutches").mkdir()
    (room / "clutches/C26-90.yaml").write_text(PROVING_CLUTCH, encoding="utf-8")
    manifest = (site / ".clutchlight.json").read_bytes()
    printed = [run("build", room, "--out", site, "--dry-run").stdout]
    assert (site / ".clutchlight.json").read_bytes() == manifest
    printed.append(run("build", room, "--out", site).stdout)
    moved = [[line for line in lines.splitlines() if " → " in line] for lines in printed]
    assert moved == [[f"{name}: 50% possible het Piebald → het Piebald" for name in sorted(SEXES)]] * 2


@pytest.mark.parametrize(
    ("name", "arguments"),
    [
        ("problems", ["check", "--json"]),
        ("odds", ["odds", "M-01", "F-01", "--json"]),
        ("winter", ["odds", "M-01", "F-01", "F-02", "--json"]),
        ("keep", ["keep", "C26-01", "--json"]),
        ("doubt", ["doubt", "F-01", "--json"]),
        ("season", ["season", "--on", "2026-11-25", "--json"]),
        ("why", ["why", "F-01", "Piebald", "--json"]),
        ("why", ["why", "F-01", "--json"]),
    ],
)
def test_what_is_printed_as_json_fits_its_schema(
    own: Path, monkeypatch: pytest.MonkeyPatch, name: str, arguments: list[str]
) -> None:
    """Each command that prints JSON, against the schema that the site publishes."""
    monkeypatch.chdir(own)
    result = run(*arguments)
    assert result.exit_code == 0, result.stderr
    Draft202012Validator(json.loads(schema(name))).validate(json.loads(result.stdout))


def test_every_line_of_the_ledger_fits_its_schema(content_dir: Path) -> None:
    """The demo's dated records."""
    lines = [line for file in sorted((content_dir / "ledger").iterdir()) for line in file.read_text().splitlines()]
    assert len(lines) > 50
    validator = Draft202012Validator(json.loads(schema("dated-record")))
    assert [number for number, line in enumerate(lines) if not validator.is_valid(json.loads(line))] == []


def test_a_log_row_is_added_and_nothing_before_it_is_touched(own: Path) -> None:
    """The bytes of the file stay a prefix."""
    file = own / "log" / "2026.csv"
    before = file.read_bytes()
    result = run("log", "F-03", "weight", "1800", "--on", "2026-11-25", "--collection", own)
    assert result.exit_code == 0, result.output
    assert file.read_bytes().startswith(before)
    assert len(file.read_bytes()) > len(before)
    assert run("check", own).exit_code == 0


def test_stamping_twice_adds_nothing_the_second_time(tmp_path: Path) -> None:
    """The second run says so and leaves the ledger as it was."""
    own = write(
        tmp_path / "own", {"animals/F-01.yaml": "id: F-01\nshows: normal\nclaims: {Piebald: 50%}\nhatched: 2020-07-01"}
    )
    assert run("stamp", own, "--on", "2026-11-25").exit_code == 0
    ledger = (own / "ledger" / "2026.jsonl").read_bytes()
    again = run("stamp", own, "--on", "2026-11-25")
    assert again.exit_code == 0
    assert "nothing was written" in again.stdout
    assert (own / "ledger" / "2026.jsonl").read_bytes() == ledger


@pytest.mark.parametrize(
    ("argv", "on_path", "called"),
    [
        ([".venv/bin/clutchlight"], False, ".venv/bin/clutchlight"),
        (["/my tools/clutchlight"], False, "'/my tools/clutchlight'"),
        (["PATH/clutchlight"], True, "clutchlight"),
        (["/x/clutchlight/__main__.py"], False, "python3 -m clutchlight"),
        (["/usr/bin/pytest"], False, "clutchlight"),
    ],
)
def test_the_next_command_is_shown_as_it_can_be_typed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, argv: list[str], on_path: bool, called: str
) -> None:
    """The program is named as it was called; by its bare name only where the shell finds it so."""
    program = tmp_path / "clutchlight"
    program.write_text("")
    program.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path) if on_path else "")
    monkeypatch.setattr(sys, "argv", [argument.replace("PATH", str(tmp_path)) for argument in argv])
    monkeypatch.setattr(sys, "orig_argv", ["python3", "-m", "clutchlight"])
    room = tmp_path / "a room"
    printed = run("start", room).stdout.splitlines()
    assert printed[-2] == f"Next: {called} build '{room}' --out '{room / 'site'}'"


def test_hatching_says_what_comes_next(own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The lines that `hatched` writes stand for young nobody has looked at, until somebody fills them in."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1796212800")
    result = run("hatched", "C26-06", "--on", "2026-12-02", "--collection", own)
    assert result.exit_code == 0, result.stderr
    assert result.stdout.splitlines()[-1] == (
        f"Next: put sex and look behind each number in {own / 'clutches/C26-06.md'};"
        " until then they count as not looked at."
    )


@pytest.mark.parametrize("typed", [(), ("--on", "2026-11-30..12-01"), ("--on", "2026-11-30..2026-12-01")])
def test_a_clutch_may_hatch_over_two_days(own: Path, monkeypatch: pytest.MonkeyPatch, typed: tuple[str, ...]) -> None:
    """As the log has it, or as it is typed; the record has both days."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1796212800")
    for day, young in (("2026-11-30", "4"), ("2026-12-01", "1")) if not typed else ():
        logged = run("log", "C26-06", "hatched", young, "--on", day, "--yes", "--collection", own)
        assert logged.exit_code == 0, logged.stderr
    result = run("hatched", "C26-06", *typed, "--yes", "--collection", own)
    assert result.exit_code == 0, result.stderr
    record = (own / "clutches/C26-06.md").read_text(encoding="utf-8")
    assert re.search(r"^hatched: 2026-11-30\.\.", record, re.MULTILINE), record
    assert ("The days are the log's: 2026-11-30..2026-12-01." in result.stdout) == (not typed)


def test_an_animal_that_is_not_there_is_told_of_the_command_line(own: Path) -> None:
    """`why` and `odds` name no file for what was typed."""
    for command in (["why", "M-99"], ["odds", "M-99", "F-01"], ["laid", "F-99"], ["odds", "M-01", "M-02"]):
        result = run(*command, "--collection", own)
        assert (result.exit_code, result.stderr.partition(":")[0]) == (2, "what you typed")
        assert result.stderr.startswith("what you typed: error: ")


def test_nothing_is_laid_before_its_dam_hatched(own: Path) -> None:
    """A wrong year would make a record that stops every command."""
    before = sorted(file.name for file in (own / "clutches").iterdir())
    result = run("laid", "F-01", "--on", "1999-01-01", "--collection", own)
    assert result.exit_code == 2
    assert "is before 'F-01' hatched (2019-07-01); look at the year" in result.stderr
    assert sorted(file.name for file in (own / "clutches").iterdir()) == before


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no full device here")
@pytest.mark.parametrize("command", [("season",), ("check", "--json"), ("build", "--dry-run")])
def test_output_that_finds_no_room_is_a_problem(tmp_path: Path, command: tuple[str, ...]) -> None:
    """A full disk behind a `>`; not a traceback, and said once."""
    own = write(tmp_path / "own", {"animals/F-01.yaml": "id: F-01"})
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    called = [sys.executable, "-m", "clutchlight", command[0], str(own), *command[1:]]
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(called, stdout=full, stderr=subprocess.PIPE, text=True, env=environment, cwd=tmp_path)
    told = [line for line in done.stderr.splitlines() if ": error: " in line]
    assert (done.returncode, len(told), "Traceback" in done.stderr) == (1, 1, False)
    assert told[0].startswith("what you typed: error: what was printed did not arrive: the disk is full; ")
    assert told[0].endswith("[cannot-use]")


@pytest.mark.parametrize("name", ["two\nlines", "\udcff", "a\u2028b", "a\u202eb", "a\x07b", "a\u200bb"])
def test_a_collection_has_a_name_in_one_line_of_text(tmp_path: Path, name: str) -> None:
    result = run("start", tmp_path / "room", "--name", name)
    assert (result.exit_code, (tmp_path / "room").exists()) == (2, False)
    assert "a name is one line of text; type it anew" in result.stderr


def test_a_source_is_one_line_of_text(own: Path, tmp_path: Path) -> None:
    """What a command takes from its own line it could not read again from a record either."""
    file = tmp_path / "statement.json"
    file.write_text("{}", encoding="utf-8")
    result = run("intake", file, "--from", "A\u202eB", "--collection", own)
    assert (result.exit_code, "a source is one line of text" in result.stderr) == (2, True)


@pytest.mark.parametrize("name", ["clutches", "log", "photos"])
def test_a_file_in_the_place_of_a_folder_does_not_go_unseen(own: Path, name: str) -> None:
    """Else everything that should be in it would silently count for nothing."""
    shutil.rmtree(own / name)
    (own / name).write_text("M-01", encoding="utf-8")
    result = run("check", own)
    assert result.exit_code == 1
    assert f"{name}:1:1: error: this is no folder; make one of this name, and put the records in it [cannot-read]" in (
        result.stderr.splitlines()
    )


def test_a_command_that_writes_says_when_it_wrote_nothing(own: Path) -> None:
    """The mistake may stand in a record that has nothing to do with what was asked."""
    rows = own / "rows.csv"
    rows.write_text("date,animal,event\n2026-01-01,M-99,meal\n", encoding="utf-8")
    commands = (["log", "M-99", "fed"], 2), (["laid", "F-99"], 2), (["intake", rows], 1)
    for command, code in commands:
        result = run(*command, "--collection", own)
        assert (result.exit_code, result.stderr.splitlines()[-1]) == (code, "nothing was written"), command
    (own / "animals/X-77.md").write_text("---\nid: X-77\nsex: mael\n---\n", encoding="utf-8")
    result = run("log", "M-01", "fed", "--collection", own)
    assert (result.exit_code, result.stderr.splitlines()[-1]) == (1, "nothing was written")
    assert "animals/X-77.md:3:6: error: " in result.stderr


DRAWS = ("jinja2", "PIL", "markdown", "nh3", "segno", "wasmtime", "python_calamine")
"""What only pages, pictures and sheets need."""


def test_a_command_that_prints_to_the_terminal_loads_nothing_that_makes_pages(tmp_path: Path) -> None:
    """Loading it would take longer than the answer."""
    FAMILY.write(tmp_path, {})
    asked = f"""
import sys
from clutchlight.cli import main
for command in ["season"], ["why", "F-01"], ["odds", "M-01", "F-01"]:
    main(command, standalone_mode=False)
print([name for name in {DRAWS!r} if name in sys.modules])
"""
    done = subprocess.run([sys.executable, "-c", asked], check=True, capture_output=True, text=True, cwd=tmp_path)
    assert done.stdout.splitlines()[-1] == "[]"


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("sell F-01", "there is no command `sell`; `sold` is meant"),
        ("chek", "there is no command `chek`; `check` is meant"),
        ("dance", "there is no command `dance`; `clutchlight help` lists them all"),
        ("check nowhere", "there is no folder 'nowhere'"),
        ("laid F-01 --eggs 900", "--eggs: write a whole number from 0 to 200"),
        ("why", "ANIMAL is missing; add it"),
        ("export", "--as is missing; add it with ped, ga4gh, csv, json or dot"),
        ("build --as-of soon", "--as-of: 'soon' is not a day; write it as 2026-07-20, yesterday or fri"),
    ],
)
def test_what_was_typed_wrongly_is_told_in_plain_words(typed: str, said: str) -> None:
    """First what is wrong, then where to look, and nothing else; with another word for a command, the command."""
    told = run(*typed.split())
    assert (told.exit_code, told.stdout, told.stderr.splitlines()[0]) == (2, "", f"what you typed: error: {said}")
    assert "Usage" not in told.stderr
    assert run("help", "sold").stdout == run("sold", "--help").stdout
