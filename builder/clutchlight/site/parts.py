"""The pieces that pages are made of: finished words, links, numbers and drawings. Templates read them and compute nothing.

Conventions: every `href` is relative to the page it stands on; `Markup` is HTML or SVG made here and safe to print as it is;
all other text is plain and is escaped by the template. `str` covers both: a sentence in which the animals are links is
`Markup`, which is a kind of `str`. An empty tuple or None means: there is nothing to show.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from markupsafe import Markup
from msgspec import Struct

from clutchlight.site import addresses

if TYPE_CHECKING:
    from clutchlight.drawing.markup import Drawn

_RECIPE = "4: photo in its mount on the left, label on the right"
State = Literal["available", "on-hold", "sold", "other"]


class Link(Struct, frozen=True):
    """Words, and where they lead; None for something that is named but has no page."""

    text: str
    href: str | None = None


class NavLink(Struct, frozen=True):
    text: str
    href: str
    current: bool = False


class LinkPicture(Struct, frozen=True, dict=True):
    """What the picture that stands for a page shows, and its address.

    It is named for what is on it and for the recipe by which it is drawn, so that one that stands already need not be drawn again.
    `said`: heading and words of each line; `foot`: what stands large below; `photo`: the address of the photo, if there is one.
    """

    site: str
    heading: str
    said: tuple[tuple[str, str], ...]
    foot: str
    photo: str | None
    colours: tuple[tuple[str, str], ...]

    @cached_property
    def address(self) -> str:
        shown = (_RECIPE, self.site, self.heading, self.said, self.foot, self.photo, self.colours)
        digest = hashlib.sha256(repr(shown).encode("utf-8")).hexdigest()[:20]
        return addresses.photo(f"{digest}-link.{'jpg' if self.photo else 'png'}")


class Frame(Struct, frozen=True):
    """What stands round every page: title, navigation, style sheets, addresses for machines.

    `canonical` and `image` are absolute and exist only when the collection has a web address. `records_to` says the day of the
    newest record that the page rests on. `drawn`: what `image` shows. `grounds`: the colour of the page in the scheme `light` and `dark`.
    """

    title: str
    heading: str
    description: str
    site_name: str
    home: str
    nav: tuple[NavLink, ...]
    styles: tuple[str, ...]
    script: str | None
    mail: Link | None
    telephone: Link | None
    law: tuple[str, ...]
    open_data: tuple[Link, ...]
    feed: str | None = None
    canonical: str | None = None
    image: str | None = None
    noindex: bool = False
    go_to: str | None = None
    records_to: str | None = None
    drawn: LinkPicture | None = None
    icon: str | None = None
    grounds: tuple[tuple[str, str], ...] = ()


class PictureSize(Struct, frozen=True):
    """One size of a picture: its address as WebP, and its width and height in pixels."""

    webp: str
    width: int
    height: int


class Picture(Struct, frozen=True):
    """A published photo: `sizes` from small to large as WebP; `jpeg` for old browsers; `width` and `height` are of the largest.

    `large`: the address of the largest, to look at by itself.
    """

    sizes: tuple[PictureSize, ...]
    jpeg: str
    large: str
    width: int
    height: int
    alt: str
    caption: str


class Drawing(Struct, frozen=True, dict=True):
    """A drawing, printed by itself or by its `svg`, and the same in `words`, which stand beside it or in a list to unfold.

    It is drawn when a template asks for it, by a function at the top of a module from what it is given, which stand for it until
    then: two drawings by one function from equal values are equal.
    """

    draw: Callable[..., Drawn]
    given: tuple[object, ...]

    def __repr__(self) -> str:
        return f"Drawing({self.draw.__module__}.{self.draw.__qualname__}, {self.given!r})"

    @cached_property
    def _drawn(self) -> Drawn:
        return self.draw(*self.given)

    @property
    def svg(self) -> Markup:
        return Markup(self._drawn.svg)  # noqa: S704 - drawn by this program

    @property
    def words(self) -> tuple[str, ...]:
        return self._drawn.words

    @property
    def key(self) -> tuple[tuple[Markup, str], ...]:
        """Each mark with what it means."""
        return tuple((Markup(swatch), meaning) for swatch, meaning in self._drawn.key)  # noqa: S704 - drawn by this program

    @property
    def width(self) -> int:
        return self._drawn.size[0]

    def __html__(self) -> str:
        return self._drawn.svg

    def again(self, look: str) -> Drawing:
        """The same, where it stands on the page already. `look`: its class."""
        return Drawing(_again, (self, look))


def _again(drawing: Drawing, look: str) -> Drawn:
    return drawing._drawn.again(look)


class Word(Struct, frozen=True):
    """A trade word and what it means, for where it first stands on a page."""

    key: str
    word: str
    meaning: str


class Fact(Struct, frozen=True):
    """One line of a label: what it is about, and what there is to say."""

    term: str
    value: str
    words: tuple[Word, ...] = ()


class TraitLine(Struct, frozen=True):
    """One trait of a statement. `figure` is the percentage set large ("66%"), `rest` the words after it.

    `beside`: what the chance is without an assumption that makes it certain; `grounds`: why, in a few words; `counted`: the chance as
    snakes.
    """

    label: str
    figure: str | None
    rest: str
    href: str | None
    beside: str | None
    grounds: str | None
    drawing: Drawing | None = None
    counted: str | None = None
    words: tuple[Word, ...] = ()


class Statement(Struct, frozen=True):
    """What is said of an animal: shown, certain, taken as certain, possible, small chances, and under review; then nothing more.

    `overlooked`: on traits that are hard to see, for a list to unfold.
    """

    shows: tuple[TraitLine, ...]
    certain: tuple[TraitLine, ...]
    taken: tuple[TraitLine, ...]
    possible: tuple[TraitLine, ...]
    small: tuple[TraitLine, ...]
    together: tuple[str, ...]
    review: tuple[str, ...]
    nothing_more: str
    overlooked: tuple[str, ...]
    since: str | None


class Reason(Struct, frozen=True):
    """Why one thing of the statement is believed: its label, sentences, and the exact figures record by record."""

    label: str
    sentences: tuple[str, ...]
    derived: tuple[str, ...] = ()


class HistoryRow(Struct, frozen=True):
    """One trait through time: what it was when hatched, when sold, and now, with the mark for a changed figure."""

    trait: Link
    cells: tuple[str, ...]
    changed: bool


class History(Struct, frozen=True):
    """`rows`: () where every figure is the same in all columns. `said`: that it is, or was something else."""

    columns: tuple[str, ...]
    rows: tuple[HistoryRow, ...]
    said: str


class TimelineEntry(Struct, frozen=True):
    """One row of a timeline: when, what was recorded, and what was said then or each change, before → after."""

    when: str
    what: str
    figures: tuple[str, ...]


class Timeline(Struct, frozen=True):
    """What was recorded, oldest first; `drawings` show every figure that moved, each saying the same as the rows."""

    entries: tuple[TimelineEntry, ...]
    drawings: tuple[Drawing, ...]


class ChangeItem(Struct, frozen=True):
    """One changed figure: whose, before and after, a clause on what caused it with the condition behind it, and a sentence on how.

    `condition`: the same by itself, for where no cause is told; "" where it stands in `after`, or there is none."""

    animal: Link
    before: str
    after: str
    cause: str
    why: str
    condition: str = ""


class ChangeEvent(Struct, frozen=True):
    """What one record changed: "A test of Heather (F-22)", and each figure that it moved."""

    heading: str
    items: tuple[ChangeItem, ...]

    @property
    def moved(self) -> tuple[tuple[str, str], ...]:
        """Whose figures moved, and how, each once: one record may move two figures of an animal alike."""
        return tuple(dict.fromkeys((item.animal.text, item.why or item.cause) for item in self.items))


class ChangeDay(Struct, frozen=True):
    """The changes by records of one day; `small`: of figures too small for titles."""

    heading: str
    small: tuple[ChangeItem, ...]
    events: tuple[ChangeEvent, ...]


class DatedLine(Struct, frozen=True):
    """A statement frozen on a day: its short code, what was said, and how it reads today. `differs`: not as stated."""

    when: str
    code: str
    said: str
    today: str
    differs: bool


class CardSheet(Struct, frozen=True):
    """The printed card of one animal, on one page: a label to keep with it.

    `more`: said where the grounds were cut short. `code` and `chain` are those of its dated record, None where there is none; `dated` says
    which. `qr`: the drawing of `link`, only with a web address. `many`: lines of the statement, for two columns. `crowded`: so much
    text that it needs smaller type to stay on its page.
    """

    key: str
    name: str | None
    scientific_name: str
    facts: tuple[Fact, ...]
    shows: str
    certain: tuple[str, ...]
    taken: tuple[str, ...]
    possible: tuple[str, ...]
    together: tuple[str, ...]
    nothing_more: str
    grounds: tuple[Reason, ...]
    more: str | None
    pedigree: Drawing | None
    dated: str
    code: str | None
    chain: str | None
    link: Link | None
    qr: Drawing | None
    welfare: tuple[str, ...]
    cautions: tuple[str, ...]
    many: bool = False
    crowded: bool = False
    picture: Picture | None = None
    what: str = ""


class Welfare(Struct, frozen=True):
    """What is known to trouble animals of a trait, with its source, in the words of the species file."""

    trait: Link
    text: str
    source: str | None


class SaidOnCard(Struct, frozen=True):
    """What stands under one heading of a label, with the trade words that stand there for the first time."""

    heading: str
    items: tuple[str, ...]
    words: tuple[Word, ...] = ()


class Card(Struct, frozen=True):
    """The museum label of one animal: as on the availability page and in a clutch's list of young.

    `what`: what can be seen, without its species: "Pastel male". `apart`: where it stands, if that is not what the list says of all.
    `words`: names of looks and traits that stand there for the first time. `to_page`: what its page offers, where it is for sale.
    """

    key: str
    name: str | None
    href: str | None
    picture: Picture | None
    hatched: str | None
    state: State
    price: str | None
    said: tuple[SaidOnCard, ...]
    filter_keys: tuple[tuple[str, str], ...] = ()
    what: str = ""
    apart: str | None = None
    words: tuple[Word, ...] = ()
    to_page: str = ""


class Choice(Struct, frozen=True):
    value: str
    text: str


class Group(Struct, frozen=True):
    """A heading, a sentence under it, and the labels that stand there."""

    key: str
    heading: str
    intro: str | None
    cards: tuple[Card, ...]


class Ask(Struct, frozen=True):
    """How to ask about an animal: a mail with the id filled in, a telephone number, and what to expect."""

    heading: str
    mail: Link | None
    telephone: Link | None
    text: str
    advert: str | None = None
    terms: tuple[str, ...] = ()

    @property
    def reachable(self) -> bool:
        """Whether there is a way to ask."""
        return bool(self.mail or self.telephone)


class Ancestor(Struct, frozen=True):
    """A line of a pedigree as an outline: an animal, what is said of it, and its parents."""

    name: Link
    said: str
    symbol: Drawing
    parents: tuple[Ancestor, ...] = ()


class PedigreeView(Struct, frozen=True):
    """`outline`: the same for a narrow screen. `unshown`: a sentence on traits that have no room in a symbol. `words`: names of looks that
    stand here for the first time."""

    drawing: Drawing
    heading: str
    intro: str
    kinship: str | None = None
    coefficient: str | None = None
    outline: tuple[Ancestor, ...] = ()
    unshown: str | None = None
    words: tuple[Word, ...] = ()


class Parent(Struct, frozen=True):
    """A parent of a clutch: what it shows and carries, and on what grounds; not shown when it has no page and no name.

    `names`: of looks and traits that stand here for the first time.
    """

    role: str
    name: Link
    chance: str | None
    picture: Picture | None
    look: str
    lines: tuple[TraitLine, ...] = ()
    words: tuple[Word, ...] = ()
    names: tuple[Word, ...] = ()


class LookInEggs(Struct, frozen=True):
    """One look that a clutch can bring: how many eggs, drawn and said, and what such young carry unseen."""

    look: str
    eggs: str
    drawing: Drawing | None
    carries: tuple[str, ...]
    harm: tuple[str, ...]
    words: tuple[Word, ...] = ()


class Expected(Struct, frozen=True):
    """`looks`: most likely first. `more`: the looks beyond those, in a sentence, or "". `kinship`: of the parents, where it may be said."""

    intro: str = ""
    looks: tuple[LookInEggs, ...] = ()
    more: str = ""
    notes: tuple[Markup, ...] = ()
    kinship: Markup | None = None
