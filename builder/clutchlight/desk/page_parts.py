"""What several pages of the desk are made of: their frame, lines, cards and cautions, all finished words."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from clutchlight.site.parts import NavLink


@dataclass(frozen=True, slots=True)
class Inline:
    """All that a page holds itself that must stand alone: its style and its script, a whole element.

    `policy`: its content-security policy, which admits these two by their hashes.
    """

    css: Markup
    script: Markup
    policy: str


@dataclass(frozen=True, slots=True)
class DeskFrame:
    """What stands round every page of the desk."""

    title: str
    heading: str
    site_name: str
    day: str
    lead: str
    nav: tuple[NavLink, ...]
    styles: tuple[str, ...]
    inline: Inline | None = None


@dataclass(frozen=True, slots=True)
class DeskLine:
    """One thing to know at a glance. `strong`: it asks for attention."""

    text: str
    detail: str = ""
    strong: bool = False


@dataclass(frozen=True, slots=True)
class RoomCard:
    """One list of the room, or one of the four answers at the head of the desk.

    `more`: the rest of it, folded under `summary`; `nothing`: said without lines.
    """

    key: str
    heading: str
    lines: tuple[DeskLine, ...]
    nothing: str = ""
    notes: tuple[str, ...] = ()
    summary: str = ""
    more: tuple[DeskLine, ...] = ()
    link: NavLink | None = None
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CautionView:
    about: str
    text: str
    source: str | None


@dataclass(frozen=True, slots=True)
class FlagView:
    """What was seen, the rule it goes by, and what people commonly do."""

    seen: str
    rule: str
    commonly: str


@dataclass(frozen=True, slots=True)
class DueView:
    what: str
    when: str
    why: str
    source: str
    state: str
