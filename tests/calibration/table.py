"""The long form of calibration as tables: `python -m tests.calibration.table 20` (20 times the collections of the short form).

First every kind by itself, now and when hatched; then the present figures of all kinds together, band by band. Columns:
stated, true   mean chance and the share that is true, in percent
z              their difference in clustered standard errors
detects        the bias, in percentage points, that would be noticed nine times in ten
"""

from __future__ import annotations

import sys

from tests.calibration.keeping_score import COLLECTIONS, SHAPES, Row, Score, kept, now, seeds_of, when_hatched


def main(times: int) -> int:
    present, hatched = Score(), Score()
    _print(f"{COLLECTIONS * times} collections of each kind")
    _print("| kind | | between 0 and 1 | stated | true | z | detects | worst band z (limit) | not computed |")
    _print("|---|---|---|---|---|---|---|---|---|")
    fine = True
    for kind, shape in SHAPES.items():
        scores = kept(shape, seeds_of(kind, times), [now, when_hatched])
        for when, score in zip(("now", "hatched"), scores, strict=True):
            fine &= score.calibrated
            _print(f"| {kind} | {when} {_row(score, score.rows()[-1])} {_worst(score)}")
        present, hatched = present + scores[0], hatched + scores[1]
    for when, score in (("now", present), ("hatched", hatched)):
        fine &= score.calibrated
        _print(f"| all | {when} {_row(score, score.rows()[-1])} {_worst(score)}")
    _print("")
    _print("| stated at | statements | stated | true | z | detects |")
    _print("|---|---|---|---|---|---|")
    for row in present.rows()[:-1]:
        _print(f"| over {float(row.low):.0%} to {float(row.high):.0%} {_row(present, row)}")
    _print("")
    sure, false = (
        sum(getattr(score, name) for score in (present, hatched)) for name in ("certainties", "false_certainties")
    )
    _print(f"stated at 0 or 1 besides: {sure}, {false} of them false")
    return 0 if fine else 1


def _row(score: Score, row: Row) -> str:
    judged = f"{row.z:+.2f} | {100 * score.detects(row):.2f}" if row.judged else "too few | "
    return f"| {row.count:,} | {row.stated:.2%} | {row.true:.2%} | {judged} |"


def _worst(score: Score) -> str:
    return f"{score.worst():.2f} ({score.limit:.2f}) | {score.not_computed:,} |"


def _print(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 1))
