"""What pages of the desk are made of: their addresses and frame, how a theme prints them, and the pieces that templates show, all
finished words."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import MappingProxyType, SimpleNamespace
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from clutchlight.desk.buyers import ToldChange
from clutchlight.desk.season import Season
from clutchlight.desk.sentences import long_day
from clutchlight.model import Collection
from clutchlight.reading.species_files import Caution, facts_of
from clutchlight.site.parts import Fact, LookInEggs, NavLink

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
class DeskPage:
    """A page: its address, its template, and what that sees of `page`, by name: its frame and finished words."""

    address: str
    template: str
    shown: Mapping[str, Any]


@dataclass(frozen=True)
class DeskFraming:
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

        return printed(self._templates, f"themes/{self.theme.name}/desk", page.template, SimpleNamespace(**page.shown))


def _digest(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")


# The pieces


@dataclass(frozen=True, slots=True)
class DeskLine:
    """One thing to know at a glance. `strong`: it asks for attention; `note`: in smaller letters."""

    text: str
    detail: str = ""
    strong: bool = False
    note: str = ""


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


@dataclass(frozen=True, slots=True)
class MaleView:
    """A male in rotation. `sources`: where the rules of his flags come from; `chart`: his work of 30 days."""

    key: str
    name: str
    flags: tuple[FlagView, ...]
    sources: tuple[str, ...]
    chart: Markup
    facts: tuple[Fact, ...]
    visits: tuple[str, ...]
    planned: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReadyGroup:
    heading: str
    rows: tuple[DeskLine, ...]
    rules: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlanRow:
    """One planned pairing in the short table; `href` leads to its full account."""

    name: str
    href: str
    progress: str
    settles: str
    backup: str | None


@dataclass(frozen=True, slots=True)
class BackupRow:
    who: str
    cells: tuple[DeskLine, ...]
    lost: str | None


@dataclass(frozen=True, slots=True)
class BackupView:
    """What a second male would cost: the same proofs side by side."""

    heading: str
    columns: tuple[str, ...]
    rows: tuple[BackupRow, ...]
    verdict: str


@dataclass(frozen=True, slots=True)
class PairingView:
    key: str
    name: str
    facts: tuple[Fact, ...]
    questions: tuple[DeskLine, ...]
    backup: BackupView | None
    outcomes: tuple[LookInEggs, ...]
    sums: tuple[str, ...]
    more: str
    notes: tuple[str, ...]
    trouble: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PairView:
    name: str
    settled: str
    questions: tuple[str, ...]
    note: str


@dataclass(frozen=True, slots=True)
class ProvingView:
    name: str
    question: str
    matings: tuple[str, ...]
    more: str


@dataclass(frozen=True, slots=True)
class ProvingGroup:
    """`folded`: the words to unfold it by; None where it stands open."""

    heading: str
    intro: str
    rows: tuple[ProvingView, ...]
    folded: str | None = None


@dataclass(frozen=True, slots=True)
class WeighView:
    name: str
    now: str
    change: str
    chart: Markup | None
    rows: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TellView:
    """A buyer to tell. `mail`: opens a mail with the message in it, without an address."""

    buyer: str
    animal: str
    since: str
    changes: tuple[ToldChange, ...]
    message: str
    mail: str


@dataclass(frozen=True, slots=True)
class SaleView:
    """One line about a sale: which animals, whose, what there is to say, and what else to know."""

    animals: str
    buyer: str
    text: str
    strong: bool
    more: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PaperAnimal:
    """An animal on the paper of its sale: `said`: its line of an advert; `in_all`: its feeding and sheds counted."""

    name: str
    said: str
    facts: tuple[Fact, ...]
    weights: tuple[str, ...]
    eaten: tuple[str, ...]
    in_all: str


@dataclass(frozen=True, slots=True)
class YearView:
    heading: str
    facts: tuple[Fact, ...]
    asked: tuple[DeskLine, ...]
    told: tuple[DeskLine, ...]


@dataclass(frozen=True, slots=True)
class Subject:
    """Of whom or what a line can be written at the rack, with what stands beside it there. `mates`: ids of those that plans put with it.

    `grams` and `weighed`: the last weight and its day, to compare a new one with.
    """

    id: str
    name: str
    sex: str
    species: str
    last: str
    grams: str = ""
    weighed: str = ""
    prey: str = ""
    mates: str = ""


@dataclass(frozen=True, slots=True)
class Entering:
    """What the phone needs to know to write lines for the log. `room`: what its browser keeps them under.

    `factor` and `days`: a weight of so many times the last of so many days is pointed out. `of_clutches`: events of eggs.
    """

    room: str
    factor: int
    days: int
    events: tuple[str, ...]
    of_clutches: tuple[str, ...]
    clutches: tuple[Subject, ...]


@dataclass(frozen=True, slots=True)
class RackEntry:
    """One animal for the phone at the rack: what one wants to know with the tub in hand. No buyer and no money.

    `mark`: one word beside the name where something asks for attention.
    """

    key: str
    name: str
    kind: str
    mark: str | None
    flags: tuple[str, ...]
    facts: tuple[Fact, ...]
    log: tuple[str, ...]
    subject: Subject


@dataclass(frozen=True, slots=True)
class RackGroup:
    key: str
    heading: str
    animals: tuple[RackEntry, ...]


@dataclass(frozen=True, slots=True)
class SheetGroup:
    """Animals with the same boxes to fill in. `boxes`: their headings; `wide`: the one that takes the rest of the line."""

    heading: str
    boxes: tuple[str, ...]
    wide: str
    rows: tuple[DeskLine, ...]


@dataclass(frozen=True, slots=True)
class GuideEntry:
    """One key. `inside`: the anchor of the section with the keys that it holds in turn; "" when it holds none."""

    anchor: str
    name: str
    says: tuple[str, ...]
    example: str
    shows: str
    inside: str


@dataclass(frozen=True, slots=True)
class GuideSection:
    anchor: str
    heading: str
    intro: tuple[str, ...]
    entries: tuple[GuideEntry, ...]
