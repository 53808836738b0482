"""Square codes: the same modules, and the same SVG, as the library makes by itself."""

from collections.abc import Sequence

import pytest
import segno
from segno.encoder import evaluate_mask

from clutchlight.drawing.square_code import GAP, modules, penalty, square_code

LINKS = [
    f"https://example.org/{'ferns-and-pythons/' * times}animals/{name}/{'?a=1&b=<2>' * (times % 2)}"
    for times in range(12)
    for name in ("M-01", "C24-03-1", "F-09")
]


@pytest.mark.parametrize("link", LINKS)
def test_a_code_is_that_of_the_library(link: str) -> None:
    """The library tries every mask itself; these links fill codes of versions 2 to 11."""
    code = segno.make(link, error="m", micro=False)
    assert modules(link) == ["".join(map(str, row)) for row in code.matrix]
    svg = code.svg_inline(
        dark="#000",
        light="#fff",
        svgid="code-M-01",
        svgclass="qr",
        lineclass=None,
        omitsize=True,
        title=f"Square code of {link}",
        border=4,
    )
    drawn = square_code(link, "code-M-01")
    assert (drawn.svg, drawn.size) == (svg, code.symbol_size(border=4))


@pytest.mark.parametrize("mask", range(8))
def test_points_against_a_mask_are_those_of_the_library(mask: int) -> None:
    for link in LINKS[::3]:
        rows = segno.make(link, error="m", micro=False, mask=mask).matrix
        number = int("".join("".join(map(str, row)) + "0" * GAP for row in rows), 2)
        assert penalty(number, len(rows)) == points_of_the_library(rows)


def points_of_the_library(rows: Sequence[bytearray]) -> int:
    """ISO/IEC 18004, 7.8.3, as the library counts them."""
    points: int = evaluate_mask(rows, len(rows), len(rows))  # type: ignore[no-untyped-call]
    return points


def test_of_two_finders_that_overlap_one_counts() -> None:
    """Light before the first and after the second; no other line of the code looks like a finder."""
    line = bytearray([*[0] * 5, 1, 0, 1, 1, 1, 0, 1, 1, 1, 0, 1, *[0] * 5])
    rows = [bytearray(21) for _ in range(10)] + [line] + [bytearray(21) for _ in range(10)]
    number = int("".join("".join(map(str, row)) + "0" * GAP for row in rows), 2)
    assert penalty(number, 21) == points_of_the_library(rows)
