"""Publishing under violence: killed at random moments, stopped or failing at every file operation, read while it goes on.

Claim      after each, the site is wholly the old or wholly the new one, and the next run finishes cleanly and leaves nothing beside it.
           Where names cannot be exchanged (`--renames`), the site may be missing after a kill, until the next run finishes the journal.
Operation  what Python's audit events tell of: opening, making, linking, renaming, deleting, listing; and the exchange itself. A fault
           takes the place of the operation.
Run        in a tree that nobody works on, since every byte counts, and the manifest tells by which sources pages were printed
           python -m tests.bench.breaking kills --count 100 --seed 7 [--renames]
           python -m tests.bench.breaking operations [--renames]
           python -m tests.bench.breaking reader --count 500
"""

from __future__ import annotations

import argparse
import errno
import hashlib
import os
import random
import shutil
import signal
import sys
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from click.testing import CliRunner
from tests.rooms import md, write

from clutchlight.cli import main
from clutchlight.problems import RecordsError
from clutchlight.publishing import folders
from clutchlight.publishing.folders import exchanged, publish
from clutchlight.publishing.manifest import MANIFEST, Wanted

OLD: Mapping[str, bytes] = {"index.html": b"old", "a/x/index.html": b"same", "gone/index.html": b"gone"}
NEW: Mapping[str, bytes] = {"index.html": b"new", "a/x/index.html": b"same", "b/y/index.html": b"added"}
OPERATIONS = (
    "open",
    "os.mkdir",
    "os.link",
    "os.rename",
    "os.remove",
    "os.rmdir",
    "os.scandir",
    "os.listdir",
    "fcntl.flock",
)


class BrokenError(Exception):
    """The claim does not hold."""


def tree(folder: Path) -> str:
    """A digest of every file of a folder, by name; of a missing folder another one."""
    found = hashlib.sha256(b"there" if folder.is_dir() else b"missing")
    for file in sorted(folder.rglob("*")):
        if file.is_file():
            found.update(f"{file.relative_to(folder)}\0{hashlib.sha256(file.read_bytes()).hexdigest()}\n".encode())
    return found.hexdigest()


def beside(out: Path) -> list[str]:
    """What lies beside the site and belongs to publishing."""
    return sorted(file.name for file in out.parent.iterdir() if file.name.startswith(f".{out.name}."))


def must(holds: bool, claim: str) -> None:
    if not holds:
        raise BrokenError(claim)


# -- killed at random moments ------------------------------------------------------------------------------------------


def records(folder: Path, season: int) -> Path:
    """A small collection in one of two states, which differ in a clutch and a name."""
    files = {}
    for name, sex, shows in (("M-01", "male", "Piebald"), ("F-01", "female", "normal"), ("F-02", "female", "normal")):
        called = "New" if season else "Old"
        files[f"animals/{name}.md"] = md(f"id: {name}\nname: {called} {name}\nsex: {sex}\nshows: {shows}")
    for number in range(1 + season):
        young = "".join(f"  - {{id: C2{number}-01-{one}, shows: normal}}\n" for one in range(1, 6))
        text = f"id: C2{number}-01\nsire: M-01\ndam: F-01\nhatched: 202{number}-07-01\neggs: 5\nyoung:\n{young}"
        files[f"clutches/C2{number}-01.md"] = md(text)
    return write(folder, files)


def kills(count: int, seed: int, *, renames: bool) -> dict[str, int]:
    """Kills that many builds of a small collection, half of them near their end; counts what stood afterwards."""
    chance = random.Random(seed)
    found = {"old": 0, "new": 0, "missing": 0, "after the end": 0}
    if renames:
        folders.exchanged = lambda one, other: False
    with tempfile.TemporaryDirectory() as place:
        out, (old, new) = (
            Path(place) / "site",
            [records(Path(place) / f"records-{season}", season) for season in range(2)],
        )
        whole = {}
        for folder in (old, new):
            must(_build(folder, Path(place) / "whole"), "the first build failed")
            whole[folder] = tree(Path(place) / "whole")
        seconds = []
        for folder in (old, new) * 3:
            started = sum(os.times()[2:4])
            must(_forked(folder, out), "the first build failed")
            seconds.append(sum(os.times()[2:4]) - started)
        lasts = min(seconds[1:])  # the first one makes the whole site
        for _ in range(count):
            old, new = new, old
            start = 0.85 if chance.random() < 0.5 else 0.0
            ended = _forked(new, out, killed_after=chance.uniform(start, 1.05) * lasts)
            stands = {whole[old]: "old", whole[new]: "new", tree(Path(place) / "nothing"): "missing"}.get(tree(out))
            must(stands is not None, "the site is neither the old nor the new one")
            must(stands != "missing" or renames, "the site is missing")
            found["after the end" if ended else str(stands)] += 1
            must(_forked(new, out), "the next build failed")
            must(tree(out) == whole[new], "the next build gave another site")
            must(beside(out) == [], f"the next build left {beside(out)}")
    return found


def _build(folder: Path, out: Path) -> bool:
    return CliRunner().invoke(main, ["build", str(folder), "--out", str(out)]).exit_code == 0


def _forked(folder: Path, out: Path, *, killed_after: float = 0.0) -> bool:
    """The whole command in a fork of this process, which has loaded the program: so a kill finds it at work. Whether it ended well.

    `killed_after` that many seconds of the processor the system ends it, as SIGKILL would; 0 is never.
    """
    child = os.fork()
    if child == 0:
        signal.setitimer(signal.ITIMER_PROF, killed_after)
        os._exit(0 if _build(folder, out) else 6)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    must(code in (0, -signal.SIGPROF if killed_after else 0), f"a build ended with {code}")
    return code == 0


# -- a fault at every operation ----------------------------------------------------------------------------------------

_left = -1
_fault: Callable[[str], None] | None = None


def _hook(event: str, arguments: tuple[object, ...]) -> None:
    if _fault is not None and event in OPERATIONS:
        _count(f"{event} {arguments[0] if arguments else ''}")


def _count(what: str) -> None:
    global _left
    _left -= 1
    if _left == 0 and _fault is not None:
        _fault(what)


def _raise(what: str) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), what)


def _exit(what: str) -> None:
    os._exit(9)


def operations(*, renames: bool) -> dict[str, int]:
    """A disk that is full at each operation of publishing in turn, and a process that ends there. Counts the operations of each."""
    sys.addaudithook(_hook)
    real_fsync = os.fsync

    def fsync(fd: Any) -> None:
        if _fault is not None:
            _count("fsync")
        real_fsync(fd)

    def counted(one: Path, other: Path) -> bool:
        if _fault is not None:
            _count("exchange")
        return False if renames else exchanged(one, other)

    os.fsync = fsync
    folders.exchanged = counted
    found = {}
    with tempfile.TemporaryDirectory() as place:
        whole = {}
        for name, files in (("old", OLD), ("new", NEW)):
            publish(Wanted(files), Path(place) / name)
            whole[tree(Path(place) / name)] = name
        for kind, fault in (("errors", _raise), ("ends", _exit)):
            number = 0
            while _one_fault(Path(place) / "site", number + 1, fault, whole, renames=renames):
                number += 1
            found[kind] = number
    return found


def _one_fault(
    out: Path, number: int, fault: Callable[[str], None], whole: Mapping[str, str], *, renames: bool
) -> bool:
    """False when publishing has fewer operations than `number`."""
    shutil.rmtree(out, ignore_errors=True)
    publish(Wanted(OLD), out)
    child = os.fork()
    if child == 0:
        global _left, _fault
        _left, _fault = number, fault
        try:
            publish(Wanted(NEW), out)
        except RecordsError as refused:
            _fault = None
            os._exit(8 if all(problem.code in ("out-unwritable", "busy") for problem in refused.problems) else 7)
        except BaseException:
            os._exit(6)
        reached = _left <= 0
        _fault = None
        os._exit(5 if reached else 0)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    must(code in (0, 5, 8, 9), f"operation {number}: a traceback, or another problem than one of the disk ({code})")
    stands = whole.get(tree(out))
    must(stands is not None or (renames and not out.exists()), f"operation {number}: the site is neither old nor new")
    publish(Wanted(NEW), out)
    must(whole.get(tree(out)) == "new", f"operation {number}: the next run did not finish")
    must(beside(out) == [], f"operation {number}: the next run left {beside(out)}")
    return code != 0


# -- read while it goes on ---------------------------------------------------------------------------------------------


def reader(count: int) -> int:
    """Reads two pages again and again while the site is exchanged that many times; gives how often."""
    with tempfile.TemporaryDirectory() as place:
        out = Path(place) / "site"
        publish(Wanted(OLD), out)
        child = os.fork()
        if child == 0:
            for turn in range(count):
                publish(Wanted(OLD if turn % 2 else NEW), out)
            os._exit(0)
        reads = 0
        try:
            while os.waitpid(child, os.WNOHANG)[0] == 0:
                must((out / "index.html").read_bytes() in (b"old", b"new"), "a page is half written")
                must((out / "a/x/index.html").read_bytes() == b"same", "an unchanged page changed")
                must((out / MANIFEST).is_file(), "the manifest is missing")
                reads += 1
        except FileNotFoundError as missing:
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            raise BrokenError(f"{missing.filename} was missing for a moment") from missing
    return reads


def run() -> None:
    options = argparse.ArgumentParser(description="Breaks publishing in every way and looks at what is left.")
    options.add_argument("what", choices=["kills", "operations", "reader"])
    options.add_argument("--count", type=int, default=100)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--renames", action="store_true", help="as where names cannot be exchanged")
    asked = options.parse_args()
    if asked.what == "kills":
        counts: Mapping[str, int] = kills(asked.count, asked.seed, renames=asked.renames)
    elif asked.what == "operations":
        counts = operations(renames=asked.renames)
    else:
        counts = {"reads": reader(asked.count)}
    sys.stdout.write(", ".join(f"{name}: {number}" for name, number in counts.items()) + "\n")


if __name__ == "__main__":
    run()
