"""How far figures are off where what they assume does not hold: `python -m tests.calibration.assumptions 400 --write`.

Worlds     collections of 150 animals at four loci with known truth, each kind of world breaking one assumption; the same seeds in all.
Computes   of all present figures strictly between 0 and 1 the mean, the share that is true and the clustered standard error of the
           difference (see `keeping_score`); the judged band that is furthest off; of those stated at 1, and at 0, how many are false; how
           many collections have records that contradict each other (no figures then), and how many an unexpected result.
Source     none but this run: what it finds stands in `clutchlight/reference/assumptions_tried.json`, which the method page and the table in
           DEVELOPERS.md are made from; `--write` writes both.
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from msgspec import Struct
from msgspec.structs import asdict, replace
from tests.bench.generating import SPECIES, Shape, generate
from tests.calibration.keeping_score import NARROW, Score, now

from clutchlight.genetics.inference import infer
from clutchlight.genetics.values import Figure
from clutchlight.site.other_pages import ASSUMPTIONS_TRIED as FILE

FIRST_SEED = 2_000_000
BASE = Shape(animals=150, loci=4, kinds="rrri", unseen=0.05, borrowed=0.05)
WORLDS: Mapping[str, tuple[str, Shape]] = {
    "holds": ("every assumption holds", BASE),
    "unrecorded-1": ("1 in 100 founders carries a recessive unrecorded", replace(BASE, unrecorded=0.01)),
    "unrecorded-3": ("3 in 100 founders carry a recessive unrecorded", replace(BASE, unrecorded=0.03)),
    "misread": ("1 in 100 looks is misread", replace(BASE, misread=0.01)),
    "wrong-sires": ("2 in 100 clutches have another sire", replace(BASE, wrong_sires=0.02)),
    "false-claims": ("5 in 100 claims of certainty are false", replace(BASE, false_claims=0.05)),
    "visuals-lost": ("1 in 5 eggs with two copies of a recessive fails", replace(BASE, visuals_lost=0.2)),
}
DOCUMENT = Path(__file__).parents[2] / "DEVELOPERS.md"
MARKS = "<!-- assumptions tried: made by tests.calibration.assumptions -->"


class Tried(Struct, frozen=True):
    """What one world came to. Shares are in percent; `error` and `off` are percentage points."""

    world: str
    words: str
    collections: int
    contradicting: int
    unexpected: int
    statements: int
    stated: float
    true: float
    error: float
    band: str
    band_stated: float
    band_true: float
    at_one: int
    false_at_one: int
    at_zero: int
    false_at_zero: int


def tried(world: str, collections: int) -> Tried:
    words, shape = WORLDS[world]
    score = Score()
    certain = {0: [0, 0], 1: [0, 0]}
    contradicting = unexpected = 0
    for seed in range(FIRST_SEED, FIRST_SEED + collections):
        made = generate(shape, seed)
        ours = infer(made.collection, NARROW)
        if ours.conflicts:
            contradicting += 1
            continue
        unexpected += bool(ours.surprises)
        score.add((shape, seed), now(made, ours))
        for ident in made.collection.animals:
            for locus in ours.loci_in_play(SPECIES):
                figure = ours.now(ident, locus.key)
                chance = figure.carries(1) if isinstance(figure, Figure) else None
                if chance is not None and chance.denominator == 1:
                    certain[int(chance)][0] += 1
                    certain[int(chance)][1] += made.carries(ident, locus.key, 1) != (chance == 1)
    *bands, every = score.rows()
    worst = max((row for row in bands if row.judged), key=lambda row: abs(row.true - row.stated))
    return Tried(
        world,
        words,
        collections,
        contradicting,
        unexpected,
        every.count,
        _points(every.stated),
        _points(every.true),
        _points(every.error),
        f"{float(worst.low):.0%} to {float(worst.high):.0%}",
        _points(worst.stated),
        _points(worst.true),
        certain[1][0],
        certain[1][1],
        certain[0][0],
        certain[0][1],
    )


def _points(value: float) -> float:
    return round(100 * value, 2)


def table(rows: list[dict[str, Any]]) -> str:
    """The rows as a table in Markdown."""
    head = (
        "where",
        "collections",
        "contradict",
        "unexpected",
        "statements",
        "stated",
        "came true",
        "standard error",
        "furthest band",
        "false of those at 100 %",
        "false of those at 0 %",
    )
    lines = [f"| {' | '.join(head)} |", "|---" * len(head) + "|"]
    for row in rows:
        cells = (
            row["words"],
            f"{row['collections']:,}",
            row["contradicting"],
            row["unexpected"],
            f"{row['statements']:,}",
            f"{row['stated']:.2f} %",
            f"{row['true']:.2f} %",
            f"{row['error']:.2f}",
            f"{row['band']}: {row['band_stated']:.1f} stated, {row['band_true']:.1f} true",
            f"{row['false_at_one']:,} of {row['at_one']:,}",
            f"{row['false_at_zero']:,} of {row['at_zero']:,}",
        )
        lines.append(f"| {' | '.join(map(str, cells))} |")
    return "\n".join(lines)


def in_document(text: str, rows: list[dict[str, Any]]) -> str:
    """The developers' document with the table between its marks."""
    pattern = re.compile(f"{re.escape(MARKS)}.*?{re.escape(MARKS)}", re.DOTALL)
    return pattern.sub(lambda _: f"{MARKS}\n{table(rows)}\n{MARKS}", text)


def main(collections: int, write: bool) -> None:
    rows = []
    for world in WORLDS:
        rows.append(asdict(tried(world, collections)))
        sys.stdout.write(f"{json.dumps(rows[-1])}\n")
        sys.stdout.flush()
    if write:
        FILE.write_text(json.dumps(rows, indent=1) + "\n", encoding="utf-8")
        DOCUMENT.write_text(in_document(DOCUMENT.read_text(encoding="utf-8"), rows), encoding="utf-8")
    sys.stdout.write(table(rows) + "\n")


if __name__ == "__main__":
    main(int(next((word for word in sys.argv[1:] if word.isdigit()), "400")), "--write" in sys.argv)
