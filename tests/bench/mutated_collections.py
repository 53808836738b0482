"""Mutated collections through every command: check, build with its desk, odds, why, season, export, and those that write records.

Claim      no traceback, no hang, bounded memory, whatever stands in the records; what `check` accepts builds; what a command wrote,
           `check` accepts; a command that refuses says why.
Drawn      `tests.unit.mutating.mutated_part`: a part of a room that uses nearly every key, with one mutation to four. The same number is
           the same collection on every machine.
Measured   one process goes through the numbers; another watches it. Memory is the highest resident set while one collection was worked
           on. A collection hangs when it took over HANG seconds of processor time; the process is then ended, and the next number begun.
Kept       a line of JSON for each number in DIR/results.jsonl: a run that was broken off goes on where it ended.
Run        nice python -m tests.bench.mutated_collections --at DIR [--count 10000] [--first 0]
           python -m tests.bench.mutated_collections --at DIR --table
           python -m tests.bench.mutated_collections --at DIR --one 4711      (left in DIR/one for a look)
"""

from __future__ import annotations

import argparse
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Any

HANG = 120.0
MOST_MB = 512
RESULTS = "results.jsonl"
WATCHED_EVERY = 5.0


def work(at: Path, first: int, last: int) -> None:
    """Goes through the numbers that have no result yet; says which one it begins."""
    sys.dont_write_bytecode = False  # else every build compiles its templates anew
    done = {line["number"] for line in results(at)}
    with tempfile.TemporaryDirectory(prefix="clutchlight-mutated-") as home:
        for number in range(first, last):
            if number not in done:
                (at / "begun").write_text(str(number), encoding="ascii")
                keep(at, one(number, Path(home) / "one"))


def one(number: int, home: Path) -> dict[str, Any]:
    """One collection through the commands."""
    from tests.unit.mutating import mutated_part
    from tests.unit.running_all import run_all

    shutil.rmtree(home, ignore_errors=True)
    part, files = mutated_part(number)
    for name, content in files.items():
        path = home / "room" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    (home / "made").mkdir()
    Path("/proc/self/clear_refs").write_text("5", encoding="ascii")  # the peak of the resident set begins anew
    started = time.process_time()
    run = run_all(home / "room", home / "made", random.Random(number), thorough=number % 10 == 0)
    return {
        "number": number,
        "part": part,
        "accepted": run.accepted,
        "ran": run.ran,
        "seconds": round(time.process_time() - started, 2),
        "peak_mb": peak_mb(),
        "wrong": run.wrong,
    }


def peak_mb() -> int:
    lines = Path("/proc/self/status").read_text(encoding="ascii").splitlines()
    return next(int(line.split()[1]) // 1024 for line in lines if line.startswith("VmHWM"))


def keep(at: Path, result: dict[str, Any]) -> None:
    with (at / RESULTS).open("a", encoding="utf-8") as file:
        file.write(json.dumps(result) + "\n")


def results(at: Path) -> list[dict[str, Any]]:
    file = at / RESULTS
    lines = file.read_text(encoding="utf-8").splitlines() if file.exists() else []
    return [json.loads(line) for line in lines if line.endswith("}")]


def watched(at: Path, first: int, last: int) -> None:
    """Runs the working process, again after each number that it did not come out of."""
    while True:
        command = [sys.executable, "-m", "tests.bench.mutated_collections", "--at", str(at), "--work"]
        process = subprocess.Popen([*command, "--first", str(first), "--count", str(last - first)])
        why = _watch(at, process)
        if not why:
            return
        number = int((at / "begun").read_text(encoding="ascii"))
        result = {
            "number": number,
            "part": "",
            "accepted": False,
            "ran": {},
            "seconds": HANG,
            "peak_mb": 0,
            "wrong": [why],
        }
        keep(at, result)


def _watch(at: Path, process: subprocess.Popen[bytes]) -> str:
    """Why it did not end well; empty when it did."""
    number, since = "", 0.0
    while process.poll() is None:
        time.sleep(WATCHED_EVERY)
        begun = (at / "begun").read_text(encoding="ascii") if (at / "begun").exists() else ""
        used = _processor_time(process.pid)
        if begun != number:
            number, since = begun, used
        elif used - since > HANG:
            process.send_signal(signal.SIGKILL)
            process.wait()
            return f"hangs: over {HANG:.0f} s of processor time"
    return "" if process.returncode == 0 else f"the process ended with {process.returncode}"


def _processor_time(process: int) -> float:
    try:
        fields = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    except OSError:
        return 0.0
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def table(found: Iterable[dict[str, Any]]) -> list[str]:
    """The figures of a run, and whatever went wrong."""
    lines = sorted(found, key=lambda line: line["number"])
    accepted = [line for line in lines if line["accepted"]]
    ran: Counter[str] = Counter()
    for line in lines:
        ran.update(line["ran"])
    wrong = [line for line in lines if line["wrong"]]
    large = [line for line in lines if line["peak_mb"] > MOST_MB]
    commands = ", ".join(f"{name} {count}" for name, count in sorted(ran.items()))
    most = max((line["peak_mb"] for line in lines), default=0)
    longest = max((line["seconds"] for line in lines), default=0)
    told = [
        f"{len(lines)} collections, {len(accepted)} of them accepted by check; commands run: {commands}",
        f"wrong: {len(wrong)}; most memory {most} MB, {len(large)} over {MOST_MB}; longest {longest} s of processor time",
    ]
    for line in wrong:
        told += [f"{line['number']}: {said}" for said in line["wrong"]]
    return told


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--at", type=Path, required=True)
    options.add_argument("--first", type=int, default=0)
    options.add_argument("--count", type=int, default=10_000)
    options.add_argument("--one", type=int)
    options.add_argument("--table", action="store_true")
    options.add_argument("--work", action="store_true", help=argparse.SUPPRESS)
    asked = options.parse_args()
    asked.at.mkdir(parents=True, exist_ok=True)
    if asked.one is not None:
        sys.stdout.write(json.dumps(one(asked.one, asked.at / "one"), indent=2) + "\n")
    elif asked.work:
        work(asked.at, asked.first, asked.first + asked.count)
    else:
        if not asked.table:
            watched(asked.at, asked.first, asked.first + asked.count)
        sys.stdout.write("\n".join(table(results(asked.at))) + "\n")


if __name__ == "__main__":
    main()
