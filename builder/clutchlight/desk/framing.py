"""What stands round every page of the desk: its addresses, its navigation, and the words that say it is private."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from markupsafe import Markup

from clutchlight.desk import pages
from clutchlight.desk.page_parts import CautionView, DeskFrame, Inline
from clutchlight.desk.pages import DeskPage
from clutchlight.desk.season import Season
from clutchlight.desk.sentences import long_day
from clutchlight.model import Collection
from clutchlight.reading.species_files import Caution, facts_of
from clutchlight.site.parts import NavLink

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


@dataclass(frozen=True)
class DeskFraming:
    """Makes frames for one desk with one theme. All pages lie in one folder."""

    season: Season
    theme: DeskTheme

    def frame(self, page: str, heading: str, lead: str = "", *, alone: bool = False) -> DeskFrame:
        """`alone`: the page holds its style itself and links to nothing."""
        name = self.season.collection.settings.name
        return DeskFrame(
            title=f"{heading} · Private desk · {name}",
            heading=heading,
            site_name=name,
            day=long_day(self.season.day),
            lead=lead,
            nav=() if alone else tuple(NavLink(text, target, current=target == page) for text, target in _NAV),
            styles=() if alone else tuple(f"style/{sheet}" for sheet in self.theme.sheets),
            inline=self.theme.inline if alone else None,
        )


def anchor_of(female: str, male: str) -> str:
    """The fragment of a planned pairing on its page."""
    return f"{female}-with-{male}"


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
    """Those of the collection's species on the wanted matters, in that order, then `more`; a text that two species share once."""
    found: dict[str, CautionView] = {}
    for about in wanted:
        for species in collection.species.values():
            for item in facts_of(species, Caution):
                if item.about == about:
                    found.setdefault(item.text, CautionView(about, item.text, item.source))
    return (*found.values(), *more)


TEMPLATE_OF: Mapping[type[object], str] = MappingProxyType(
    {
        pages.TodayPage: "today.html",
        pages.PairingsPage: "pairings.html",
        pages.ProvingPage: "proving.html",
        pages.WeightsPage: "weights.html",
        pages.PeoplePage: "people.html",
        pages.YearPage: "year.html",
        pages.PhonePage: "phone.html",
        pages.SheetPage: "room_sheet.html",
        pages.GuidePage: "guide.html",
        pages.PaperPage: "sale_paper.html",
    }
)


@dataclass(frozen=True)
class DeskTheme:
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

        return printed(self._templates, f"themes/{self.theme.name}/desk", TEMPLATE_OF[type(page)], page)


def _digest(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")
