"""SVG as text: elements with escaped attributes and escaped words, and nothing that a strict content-security policy forbids."""

import html
import re
from collections.abc import Mapping

Attributes = Mapping[str, str | int | None]
_UNFIT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
PREFIX = re.compile(r"[a-z][a-z0-9-]*")


def words(text: str) -> str:
    """`text` escaped for XML and HTML; characters that neither allows are dropped."""
    return html.escape(_UNFIT.sub("", text))


def element(name: str, attributes: Attributes, *children: str) -> str:
    """One element. `children` are markup already; an attribute that is None is left out."""
    given = "".join(f' {key}="{words(str(value))}"' for key, value in attributes.items() if value is not None)
    if not children:
        return f"<{name}{given}/>"
    return f"<{name}{given}>{''.join(children)}</{name}>"


def checked_prefix(prefix: str) -> str:
    """`prefix`, when it can begin an id. Raises ValueError otherwise."""
    if not PREFIX.fullmatch(prefix):
        raise ValueError(f"'{prefix}' cannot begin an id: a small letter, then small letters, digits and hyphens")
    return prefix


def picture(
    prefix: str, css_class: str, role: str, size: tuple[int, int], title: str, description: str, *children: str
) -> str:
    """The root of a drawing with its title and description. `size` is width and height in points."""
    checked_prefix(prefix)
    width, height = size
    return element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
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
