"""A link as a square code (QR, ISO/IEC 18004), error correction M or better, as SVG without a style.

The library places the modules. Which of the eight masks serves best is found here, by the same penalties (7.8.3), but for all modules at
once: module by module that took three quarters of the time of a code, and a fifth of that of a whole build. Two codes of one size that
differ in their masks alone differ in the same modules, those of the format included, whatever they say.

Symbols    a code is one number with a bit for each module, 1 for dark, row by row, and `GAP` light ones after each row; `>> 1` moves
           every module to the right, `>> row` down.
Penalties  runs of n >= 5 modules of one colour in a row or column: n - 2; squares of 2 x 2 of one colour: 3; 1011101 (the finder's) with 4
           light ones before or after it: 40, of two that overlap one; each full 5 % by which dark ones are more or less than half: 10.
           What tells the format is not there yet, and counts as light.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import cache

from clutchlight.drawing.markup import Drawn, element

BORDER = 4
"""Light modules all round: 6.3.8."""
GAP = 4
MASKS = range(8)
_DARK = re.compile("1+")
_DIGITS = bytes.maketrans(b"\0\1", b"01")


def square_code(link: str, ident: str) -> Drawn:
    """The code of a link, dark on light in every scheme."""
    rows, title = modules(link), f"Square code of {link}"
    width = len(rows) + 2 * BORDER
    light = element("path", {"fill": "#fff", "d": f"M0 0h{width}v{width}h-{width}z"})
    dark = element("path", {"stroke": "#000", "d": _path(rows)})
    said = title.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    root = {"viewBox": f"0 0 {width} {width}", "id": ident, "class": "qr"}
    return Drawn(element("svg", root, element("title", {}, said), light, dark), (title,), ident, (width, width), title)


def _path(rows: list[str]) -> str:
    """A stroke along each run of dark modules, beginning where the last one ended."""
    found: list[str] = []
    x = y = 0
    for line, row in enumerate(rows, BORDER):
        for run in _DARK.finditer(row):
            start, end = run.start() + BORDER, run.end() + BORDER
            found.append(f"m{start - x} {line - y}h{end - start}" if found else f"M{start} {line}.5h{end - start}")
            x, y = end, line
    return "".join(found)


def modules(text: str) -> list[str]:
    """The rows of a code, "1" for dark."""
    code, width = _code(text, 0)
    differing, outside = _differences(width), _outside_format(width)
    best = min(MASKS, key=lambda mask: penalty((code ^ differing[mask]) & outside, width))
    row = width + GAP
    bits = f"{code ^ differing[best]:0{width * row}b}"
    return [bits[start : start + width] for start in range(0, len(bits), row)]


def _code(text: str, mask: int, version: int | None = None) -> tuple[int, int]:
    """A code with a mask, and its width."""
    import segno  # takes a moment, and most builds draw no code

    rows = segno.make(text, error="m", micro=False, mask=mask, version=version).matrix
    return _number(rows), len(rows)


def _number(rows: Iterable[Sequence[int]]) -> int:
    return int(bytes(GAP).join([*map(bytes, rows), b""]).translate(_DIGITS), 2)


@cache
def _differences(width: int) -> tuple[int, ...]:
    """In which modules a code with each mask differs from the same with the first."""
    codes = [_code("0", mask, (width - 17) // 4)[0] for mask in MASKS]
    return tuple(code ^ codes[0] for code in codes)


@cache
def _outside_format(width: int) -> int:
    """Every module but those that tell mask, error correction and version."""
    beside = [at for at in (*range(9), *range(width - 8, width)) if at != 6]
    told = {(8, at) for at in beside} | {(at, 8) for at in beside}
    if width > 41:  # from version 7 on it is told, too
        corner = {(near, far) for near in range(6) for far in range(width - 11, width - 8)}
        told |= corner | {(far, near) for near, far in corner}
    return _number([[int((row, column) not in told) for column in range(width)] for row in range(width)])


@cache
def _after_another(width: int) -> tuple[int, int]:
    """The modules with one to the left, and those with one above."""
    every = [[1] * width] * width
    return _number([[0, *row[1:]] for row in every]), _number([[0] * width, *every[1:]])


def penalty(code: int, width: int) -> int:
    """The points against a mask."""
    row, points = width + GAP, 0
    right, below = _after_another(width)
    like_left, like_above = ~(code ^ code >> 1) & right, ~(code ^ code >> row) & below
    for step, same in (1, like_left), (row, like_above):
        fifth = same & same >> step & same >> 2 * step & same >> 3 * step
        points += fifth.bit_count() + 2 * (fifth & ~(fifth >> step)).bit_count()
        points += 40 * _finders(code, step)
    points += 3 * (like_left & like_above & like_left >> row).bit_count()
    return points + 10 * int(abs(code.bit_count() / width**2 * 100 - 50) / 5)


def _finders(code: int, step: int) -> int:
    """How often a row (`step` 1) or a column looks like the finder."""
    one, two, three, four, five, six = (code >> at * step for at in range(1, 7))
    ends = code & ~one & two & three & four & ~five & six
    light_after = ends & ~(code << step | code << 2 * step | code << 3 * step | code << 4 * step)
    light_before = ends & ~(six >> step | six >> 2 * step | six >> 3 * step | six >> 4 * step)
    overlapping = light_before >> 4 * step | light_before >> 6 * step
    return (light_before | light_after & ~overlapping).bit_count()
