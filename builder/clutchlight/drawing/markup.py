"""SVG as text: elements with escaped attributes and escaped words, and nothing that a strict content-security policy forbids.

How wide a text can be is told without knowing the reader's font. The figures are generous, in hundredths of the font size: no common sans
or serif face sets these letters wider. Labels are shortened by them, so that neighbours never meet.
"""

from __future__ import annotations

import html
import re
from bisect import bisect_right
from collections.abc import Mapping
from typing import NamedTuple

SVG = "http://www.w3.org/2000/svg"
Attributes = Mapping[str, str | int | None]
_NEITHER = "\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff"
_UNFIT, _SPECIAL = re.compile(f"[{_NEITHER}]"), re.compile(f"[&<>\"'{_NEITHER}]")

NARROW = frozenset("ijlI.,:;'|!()[]·’ ")
MIDDLING = frozenset("cfrstz-J")
WIDE = frozenset("mwMWOQ@%—…")


class Drawn(NamedTuple):
    """A drawing ready for a page, and the same in sentences; its id, its size and its title, for whoever shows it again.

    `key`: each mark of it, as a small drawing of its own, with what it means; it uses the drawing's own patterns.
    """

    svg: str
    words: tuple[str, ...]
    id: str
    size: tuple[int, int]
    title: str
    key: tuple[tuple[str, str], ...] = ()

    def again(self, css_class: str) -> Drawn:
        """A drawing that stands on the page already, shown once more."""
        width, height = self.size
        root: dict[str, str | int | None] = {"xmlns": SVG, "class": css_class, "width": width, "height": height}
        root |= {"viewBox": f"0 0 {width} {height}", "role": "img"}
        title = element("title", {}, words(self.title))
        return self._replace(svg=element("svg", root, title, element("use", {"href": f"#{self.id}"})))


def words(text: str) -> str:
    """`text` escaped for XML and HTML; characters that neither allows are dropped."""
    return html.escape(_UNFIT.sub("", text)) if _SPECIAL.search(text) else text


def element(name: str, attributes: Attributes, *children: str) -> str:
    """One element. `children` are markup already; an attribute that is None is left out."""
    given = "".join(
        f' {key}="{words(value) if isinstance(value, str) else value}"'
        for key, value in attributes.items()
        if value is not None
    )
    if not children:
        return f"<{name}{given}/>"
    return f"<{name}{given}>{''.join(children)}</{name}>"


def picture(
    prefix: str,
    css_class: str,
    role: str,
    size: tuple[int, int],
    title: str,
    description: str,
    said: tuple[str, ...],
    *children: str,
) -> Drawn:
    """A drawing with its title and description, `said` beside it. `prefix` begins its ids; `size`: width and height in points."""
    width, height = size
    svg = element(
        "svg",
        {
            "xmlns": SVG,
            "id": f"{prefix}-drawing",
            "class": css_class,
            "width": width,
            "height": height,
            "viewBox": f"0 0 {width} {height}",
            "role": role,
            "aria-labelledby": f"{prefix}-title" + (f" {prefix}-desc" if description else ""),
            "font-size": 13,
            "fill": "none",
            "stroke": "none",
        },
        element("title", {"id": f"{prefix}-title"}, words(title)),
        element("desc", {"id": f"{prefix}-desc"}, words(description)) if description else "",
        *children,
    )
    return Drawn(svg, said, f"{prefix}-drawing", size, title)


_PATTERNS: Mapping[str, tuple[Attributes, Attributes]] = {
    "dots": ({"width": 8, "height": 8}, {"d": "M2 2h0M6 6h0", "stroke-width": "3.4", "stroke-linecap": "round"}),
    "stripes": ({"width": 6, "height": 6, "patternTransform": "rotate(45)"}, {"d": "M1.5 0V6", "stroke-width": "2.4"}),
}


def pattern(prefix: str, name: str, css_class: str, *ground: str, corner: Attributes | None = None) -> str:
    """The `dots` of what is carried or the `stripes` of what may be, on their ground. `corner`: where their first square begins."""
    square, look = _PATTERNS[name]
    tile: Attributes = {"id": f"{prefix}-{name}", "patternUnits": "userSpaceOnUse", **(corner or {}), **square}
    ink: Attributes = {"class": css_class, "stroke": "currentColor", **look}
    return element("pattern", tile, *ground, element("path", ink))


def text_width(text: str, size: int) -> int:
    """The greatest width of `text`, in points, rounded up."""
    hundredths = 0
    for character in text:
        if character in NARROW:
            hundredths += 40
        elif character in MIDDLING:
            hundredths += 56
        elif character in WIDE:
            hundredths += 98
        elif character.isascii() and (character.islower() or character.isdecimal() or character in "_?"):
            hundredths += 64
        elif character.isascii():
            hundredths += 78
        else:
            hundredths += 105
    return -(-hundredths * size // 100)


def shortened(text: str, size: int, most: int) -> str:
    """`text`, or as much of it as fits into `most` points with an ellipsis."""
    if text_width(text, size) <= most:
        return text
    end = bisect_right(range(len(text)), most, key=lambda end: text_width(text[:end] + "…", size)) - 1
    return text[: max(0, end)].rstrip() + "…"
