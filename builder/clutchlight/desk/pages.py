"""What pages of the desk are made of: their addresses and frame, how a theme prints them, and the pieces that several of them show, all
finished words."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Mapping
from functools import cached_property
from pathlib import Path
from types import MappingProxyType, SimpleNamespace
from typing import TYPE_CHECKING, Any

from markupsafe import Markup
from msgspec import Struct

from clutchlight.desk.season import Season
from clutchlight.desk.sentences import long_day
from clutchlight.model import Collection
from clutchlight.model.traits import grouped
from clutchlight.reading.species_files import Caution, facts_of
from clutchlight.site.parts import NavLink
from clutchlight.wording.words import join_and

if TYPE_CHECKING:
    from clutchlight.site.sandbox import Sandbox
    from clutchlight.site.theme import Theme

RACK_SCRIPT = Path(__file__).with_name("rack.js")
"""What writes lines at the rack, in the file for the phone."""

TODAY = "index.html"
PAIRINGS = "pairings.html"
PROVING = "proving.html"
WEIGHTS = "weights.html"
PEOPLE = "people.html"
YEAR = "year.html"
PHONE = "phone.html"
SHEET = "room-sheet.html"
GUIDE = "guide.html"

_NAV = (
    ("Today", TODAY),
    ("Pairings", PAIRINGS),
    ("Proving", PROVING),
    ("Weights", WEIGHTS),
    ("People", PEOPLE),
    ("The year", YEAR),
    ("For the phone", PHONE),
    ("Room sheet", SHEET),
    ("Guide", GUIDE),
)


class Inline(Struct, frozen=True):
    """All that a page holds itself that must stand alone: its style and its script, a whole element.

    `policy`: its content-security policy, which admits these two by their hashes.
    """

    css: Markup
    script: Markup
    policy: str


class DeskFrame(Struct, frozen=True):
    """What stands round every page of the desk."""

    title: str
    heading: str
    site_name: str
    day: str
    lead: str
    nav: tuple[NavLink, ...]
    styles: tuple[str, ...]
    inline: Inline | None = None


class DeskPage(Struct, frozen=True):
    """A page: its address, its template, and what that sees of `page`, by name: its frame and finished words."""

    address: str
    template: str
    shown: Mapping[str, Any]


class DeskFraming(Struct, frozen=True):
    """Makes the pages of one desk with one theme. All lie in one folder."""

    season: Season
    theme: DeskTheme

    def page(
        self,
        address: str,
        heading: str,
        lead: str = "",
        *,
        template: str = "",
        under: str = "",
        alone: bool = False,
        **shown: object,
    ) -> DeskPage:
        """`template`: named as the address unless said. `under`: the page of the navigation that it belongs to, unless that is itself.

        `alone`: the page holds its style itself and links to nothing.
        """
        name = self.season.collection.settings.name
        frame = DeskFrame(
            title=f"{heading} · Private desk · {name}",
            heading=heading,
            site_name=name,
            day=long_day(self.season.day),
            lead=lead,
            nav=()
            if alone
            else tuple(NavLink(text, target, current=target == (under or address)) for text, target in _NAV),
            styles=() if alone else tuple(f"style/{sheet}" for sheet in self.theme.sheets),
            inline=self.theme.inline if alone else None,
        )
        return DeskPage(address, template or address, MappingProxyType({"frame": frame, **shown}))


class DeskTheme(Struct, frozen=True, dict=True):
    """A theme as the desk uses it: its colours, its sheet, and the desk's own sheet after them."""

    theme: Theme

    @cached_property
    def sheets(self) -> Mapping[str, bytes]:
        """The style sheets by name, in the order in which pages link them."""
        found = {name: self.theme.style[name] for name in self.theme.sheets}
        found.update(self.theme.desk_style)
        return MappingProxyType(found)

    @cached_property
    def inline(self) -> Inline:
        """All sheets in one, and the script, for a page that must stand alone."""
        css = "".join(sheet.decode("utf-8") for sheet in self.sheets.values()).replace("</", "<\\/")
        script = RACK_SCRIPT.read_text(encoding="utf-8")
        policy = (
            f"default-src 'none'; style-src 'sha256-{_digest(css)}'; script-src 'sha256-{_digest(script)}'; base-uri 'none';"
            " form-action 'none'"
        )
        element = Markup("<script>{}</script>").format(Markup(script))  # noqa: S704 - the program's own, which holds no closing tag
        return Inline(Markup(css), element, policy)  # noqa: S704 - the theme's own sheets, which cannot close the element

    @cached_property
    def _templates(self) -> Sandbox:
        from clutchlight.site.rendering import templates_of

        return templates_of(self.theme, "desk")

    def render(self, page: DeskPage) -> bytes:
        """The page as UTF-8. RecordsError when a theme of the collection's own has a mistake in a template."""
        from clutchlight.site.rendering import printed

        return printed(self._templates, f"themes/{self.theme.name}/desk", page.template, SimpleNamespace(**page.shown))


def _digest(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")


# The pieces


class DeskLine(Struct, frozen=True):
    """One thing to know at a glance. `strong`: it asks for attention; `note`: in smaller letters."""

    text: str
    detail: str = ""
    strong: bool = False
    note: str = ""


class RoomCard(Struct, frozen=True):
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


class CautionView(Struct, frozen=True):
    about: str
    text: str
    source: str | None


class DueView(Struct, frozen=True):
    what: str
    when: str
    why: str
    source: str
    state: str


LARGE = CautionView(
    "handling large snakes",
    "A snake that is long or strong enough to overpower you is handled by two people, and never while you smell of food.",
    "common practice, no source",
)
MOVING = CautionView(
    "selling and moving animals",
    "Local law decides what may be kept, bred, sold, sent and shown. Some animals need papers (CITES), some sellers and carriers a "
    "licence. Ask your authority before an animal leaves; what stands here names rules and is no advice.",
    None,
)


def cautions(
    collection: Collection, wanted: Iterable[str], more: Iterable[CautionView] = ()
) -> tuple[CautionView, ...]:
    """Those of the collection's species on the wanted matters, in that order, then `more`; where species differ, each says whose it is."""
    found: list[CautionView] = []
    for about in wanted:
        items = grouped(
            ((item.text, item.source), species.heading)
            for species in collection.species.values()
            for item in facts_of(species, Caution)
            if item.about == about
        )
        for (text, source), whose in items.items():
            found.append(CautionView(about, text if len(items) == 1 else f"{join_and(whose)}: {text}", source))
    return (*found, *more)
