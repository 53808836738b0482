"""What stands round every page of the desk: its addresses, its navigation, and the words that say it is private."""

from __future__ import annotations

from dataclasses import dataclass

from clutchlight.website.desk.gathering import Season
from clutchlight.website.desk.pages import DeskFrame
from clutchlight.website.desk.rendering import DeskTheme
from clutchlight.website.desk.sentences import long_day
from clutchlight.website.parts import NavLink

TODAY = "index.html"
PAIRINGS = "pairings.html"
PROVING = "proving.html"
WEIGHTS = "weights.html"
PEOPLE = "people.html"
PHONE = "phone.html"
SHEET = "room-sheet.html"

_NAV = (
    ("Today", TODAY),
    ("Pairings", PAIRINGS),
    ("Proving", PROVING),
    ("Weights", WEIGHTS),
    ("People", PEOPLE),
    ("For the phone", PHONE),
    ("Room sheet", SHEET),
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
