"""Every command on one collection, in this process: what went wrong that never may.

What `check` accepts builds, desk included. No command ends in a traceback, whatever stands in the records. A command that wrote
leaves records that `check` accepts.
"""

from __future__ import annotations

import json
import shutil
import time
import traceback
from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random
from xml.etree import ElementTree

import wasmtime  # noqa: F401 - loaded before any build, so that none starts a second process
from click.testing import CliRunner, Result
from msgspec import Struct, field

from clutchlight.cli import main
from clutchlight.problem_codes import CODES

DAY = "2026-11-25"

# What a command may refuse of records that `check` accepts.
MAY_REFUSE = {"odds": {"same-sex-pair", "two-species-pair", "too-much-doubt"}}


class Run(Struct):
    """How a collection went through the commands."""

    accepted: bool = False
    wrong: list[str] = field(default_factory=list)
    seconds: dict[str, float] = field(default_factory=dict)
    ran: dict[str, int] = field(default_factory=dict)


class Commands:
    """The commands, as typed, on one folder."""

    def __init__(self, folder: Path, run: Run) -> None:
        self.folder, self.run = folder, run

    def __call__(self, *words: str | Path) -> Result:
        started = time.perf_counter()
        result = CliRunner().invoke(main, [str(word) for word in words])
        name = str(words[0])
        self.run.seconds[name] = self.run.seconds.get(name, 0.0) + time.perf_counter() - started
        self.run.ran[name] = self.run.ran.get(name, 0) + 1
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            said = "".join(traceback.format_exception(*result.exc_info)) if result.exc_info else repr(result.exception)
            self.run.wrong.append(f"{' '.join(map(str, words))}: {said}")
        elif result.exit_code not in (0, 1, 2):
            self.run.wrong.append(f"{' '.join(map(str, words))}: exit code {result.exit_code}")
        return result

    def must(self, *words: str | Path) -> Result:
        """The command ends well, or refuses for one of the reasons it may have."""
        result = self(*words)
        if isinstance(result.exception, SystemExit):
            codes = _codes(result)
            if not codes or codes - MAY_REFUSE.get(str(words[0]), set()):
                self.run.wrong.append(f"{' '.join(map(str, words))}: refused\n{result.stderr}")
        return result


def run_all(folder: Path, beside: Path, draw: Random, *, thorough: bool = True) -> Run:
    """Sends a collection through the commands. `beside`: an empty folder for what they make."""
    run = Run()
    call = Commands(folder, run)
    checked = call("check", folder)
    run.accepted = checked.exit_code == 0
    if not run.accepted:
        words = draw.choice(_ANY)(folder, beside)
        refused = call(*words)
        unread = words[0] != "build" and all(CODES[code].about == "Building" for code in _codes(checked))
        if refused.exit_code == 0 and not unread:  # a theme or a photo is nothing to a command that shows none
            run.wrong.append(f"{' '.join(map(str, words))}: went through, though check refuses\n{checked.stderr}")
        return run
    told = _shown(checked)
    site, desk = beside / "site", beside / "desk"
    built = call.must("build", folder, "--out", site, "--desk", desk, "--on", DAY)
    if _shown(built) != told:
        run.wrong.append(f"check and build do not say the same:\n{told}\n{_shown(built)}")
    run.wrong += _unreadable(site)
    ids = _ids(folder)
    for one, other in _pairs(ids, draw, 3 if thorough else 1):
        call.must("odds", one, other, "--collection", folder, *draw.choice([(), ("--json",), ("--young", "7")]))
    for name in draw.sample(ids, min(len(ids), 2)):
        call.must("why", name, "--collection", folder, *draw.choice([(), ("--json",)]))
    call.must("season", folder, "--on", DAY, *draw.choice([(), ("--json",)]))
    for kind in ("ped", "ga4gh", "csv", "json") if thorough else (draw.choice(["ped", "ga4gh", "csv", "json"]),):
        call.must("export", "--as", kind, "--collection", folder)
    if thorough or draw.random() < 0.3:
        call.must("build", folder, "--out", site, "--as-of", "2025-06-30")
    _write(call, folder, ids, draw)
    return run


_ANY = (
    lambda folder, beside: ("build", folder, "--out", beside / "site", "--desk", beside / "desk"),
    lambda folder, beside: ("season", folder, "--on", DAY),
    lambda folder, beside: ("odds", "M-01", "F-01", "--collection", folder),
    lambda folder, beside: ("why", "F-01", "--collection", folder),
    lambda folder, beside: ("export", "--as", "ped", "--collection", folder),
    lambda folder, beside: ("stamp", folder, "--on", DAY),
    lambda folder, beside: ("laid", "F-01", "--on", DAY, "--collection", folder),
    lambda folder, beside: ("log", "F-01", "meal", "--on", DAY, "--collection", folder),
)


def _write(call: Commands, folder: Path, ids: Sequence[str], draw: Random) -> None:
    """One writing command after another, each on a copy; what was written is accepted."""
    clutches = sorted(path.stem for path in (folder / "clutches").glob("*"))
    rows = folder.parent / "rows.csv"
    rows.write_text("id,sex,hatched,status,price\nNEW-1,f,2024-05-01,available,120\n", encoding="utf-8")
    one, other = draw.choice(ids), draw.choice(ids)
    commands = [
        ("log", one, draw.choice(["meal", "shed", "refused"]), "--on", DAY),
        ("log", one, "weight", draw.choice(["900", "0.5", "999999"]), "--on", DAY),
        ("log", f"{one},{other}", "paired", "--on", DAY),
        ("laid", one, "--eggs", "5", "--on", DAY),
        ("hatched", draw.choice(clutches) if clutches else "C-1", "--on", DAY),
        ("intake", rows),
        ("stamp", "--on", DAY),
    ]
    for words in draw.sample(commands, 2):
        copy = folder.parent / "copy"
        shutil.rmtree(copy, ignore_errors=True)
        shutil.copytree(folder, copy)
        where = (copy,) if words[0] == "stamp" else ("--collection", copy)
        result = call(words[0], *words[1:], *where)
        again = call("check", copy)
        if again.exit_code != 0 and result.exit_code == 0:
            call.run.wrong.append(
                f"{' '.join(map(str, words))}: wrote what check refuses\n{result.stdout}{again.stderr}"
            )
        shutil.rmtree(copy)


def _codes(result: Result) -> set[str]:
    return {line.rpartition("[")[2].rstrip("]") for line in result.stderr.splitlines() if ": error: " in line}


def _shown(result: Result) -> list[str]:
    return [line for line in result.stderr.splitlines() if ": error: " in line or ": warning: " in line]


def _ids(folder: Path) -> list[str]:
    from clutchlight.pipeline import open_book

    book = open_book(folder).book
    assert book is not None
    return [name for name, animal in book.collection.animals.items() if not animal.nameless] or ["F-01"]


def _pairs(ids: Sequence[str], draw: Random, count: int) -> Iterator[tuple[str, str]]:
    for _ in range(count):
        yield draw.choice(ids), draw.choice(ids)


def _unreadable(site: Path) -> list[str]:
    """Feeds, site maps and JSON of a site that do not parse."""
    wrong = []
    for path in sorted(site.rglob("*")):
        try:
            if path.suffix == ".json":
                json.loads(path.read_text(encoding="utf-8"))
            elif path.suffix == ".xml":
                ElementTree.parse(path)  # noqa: S314 - made by this program
        except (ValueError, ElementTree.ParseError) as mistake:
            wrong.append(f"{path.name} does not parse: {mistake}")
    return wrong
