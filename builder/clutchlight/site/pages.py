"""The page objects, one class for each kind of page. A page object is all that its template sees.

This is half of the theme contract: a theme that `needs: 1` may rely on every name here and in `parts`. Names are added
within a contract; one is renamed or removed only with a new contract number.
"""

from __future__ import annotations

from markupsafe import Markup
from msgspec import Struct

from clutchlight.site.parts import (
    Ask,
    Card,
    CardSheet,
    ChangeDay,
    ChangeItem,
    Choice,
    DatedLine,
    Drawing,
    Expected,
    Fact,
    Frame,
    Group,
    History,
    Link,
    LookInEggs,
    Parent,
    PedigreeView,
    Picture,
    Reason,
    State,
    Statement,
    Timeline,
    Welfare,
    Word,
)


class Page(Struct, frozen=True):
    """What every kind of page has. Its template is named for the kind: `not_found.html` prints a NotFoundPage."""

    frame: Frame


class AvailabilityPage(Page, frozen=True):
    """Every animal available or on hold. The lists of choices complete the sentence of the filter; one without a choice is empty.

    `believe`: why the figures can be believed, in a line. `expected`: clutches and pairings to come. `lately`: the newest changes.
    """

    lead: str | None
    groups: tuple[Group, ...]
    filterable: bool
    species: tuple[Choice, ...]
    sexes: tuple[Choice, ...]
    ways: tuple[Choice, ...]
    traits: tuple[Choice, ...]
    states: tuple[Choice, ...]
    prices: tuple[Choice, ...]
    orders: tuple[Choice, ...]
    empty: str
    recent: tuple[Link, ...]
    ask: Ask
    records_to: str | None = None
    believe: str = ""
    expected: tuple[tuple[Link, str], ...] = ()
    lately: tuple[ChangeItem, ...] = ()
    all_changes: Link | None = None


class Product(Struct, frozen=True):
    """The few facts of an offer that machines read as schema.org microdata; `price` is a plain number."""

    price: str
    currency: str
    availability: str


class AnimalPage(Page, frozen=True):
    """`kind`: what can be seen of it: "Pastel male ball python"; `words`: the names in it that not every keeper knows."""

    key: str
    name: str | None
    scientific_name: str
    pictures: tuple[Picture, ...]
    state: State
    status: str
    price: str | None
    product: Product | None
    facts: tuple[Fact, ...]
    statement: Statement
    reasons: tuple[Reason, ...]
    notes: tuple[Reason, ...]
    unexpected: tuple[str, ...]
    ask: Ask | None
    history: History | None
    pedigree: PedigreeView | None
    origin: tuple[Fact, ...]
    impressions: tuple[str, ...]
    corrections: tuple[str, ...]
    welfare: tuple[Welfare, ...]
    clutches: tuple[Link, ...]
    clutches_intro: str
    prose: Markup
    statement_json: Link
    timeline: Timeline | None = None
    dated: tuple[DatedLine, ...] = ()
    card: Link | None = None
    kind: str = ""
    words: tuple[Word, ...] = ()


class ClutchPage(Page, frozen=True):
    """`young`: those for sale, or all where none is; `staying`: the others here. `kind`: "Ball python clutch". `offer`: "four available,
    €130 to €340". `in_brief`: what it proved, one clause for the animals of whom it is the same."""

    key: str
    name: str | None
    scientific_name: str
    state: str
    pictures: tuple[Picture, ...]
    facts: tuple[Fact, ...]
    intro: str
    corrections: tuple[str, ...]
    young: tuple[Card, ...]
    on_hold: tuple[Card, ...]
    staying: tuple[Card, ...]
    young_intro: str
    reasons: tuple[Reason, ...]
    others: tuple[Link, ...]
    others_intro: str | None
    tally: tuple[str, ...]
    parents: tuple[Parent, ...]
    proved: tuple[str, ...]
    not_proved: tuple[str, ...]
    unexpected: tuple[str, ...]
    expected: Expected
    welfare: tuple[Welfare, ...]
    pedigree: PedigreeView | None
    kinship: str
    prose: Markup
    ask: Ask | None
    statement_json: Link
    timeline: Timeline | None = None
    feed: Link | None = None
    cards: Link | None = None
    kind: str = ""
    offer: str = ""
    in_brief: tuple[str, ...] = ()


class ChangesPage(Page, frozen=True):
    """Every change of a published figure, newest first."""

    days: tuple[ChangeDay, ...]
    feed: Link


class CardPage(Page, frozen=True):
    """The cards of the young of a clutch, or of one animal, each to be printed on a page of its own.

    `back`: where they came from. `drawing`: the family behind them, drawn once and shown again on each.
    """

    intro: str
    back: Link
    drawing: Drawing | None
    sheets: tuple[CardSheet, ...]


class LineageEntry(Struct, frozen=True):
    """One breeding animal: what it shows, what is certain and possible, and what it has bred."""

    name: Link
    key: str
    sex_sign: str
    picture: Picture | None
    look: str
    certain: tuple[str, ...]
    taken: tuple[str, ...]
    possible: tuple[str, ...]
    bred: str | None
    parents: tuple[Link, ...]
    clutches: tuple[Link, ...]
    clutches_intro: str
    words: tuple[Word, ...] = ()


class ClutchEntry(Struct, frozen=True):
    name: Link
    when: str
    parents: tuple[Link, ...]
    young: str


class SpeciesLine(Struct, frozen=True):
    """The breeding animals, clutches and traits of one species."""

    key: str
    species: str
    scientific_name: str
    pedigree: PedigreeView | None
    females: tuple[LineageEntry, ...]
    males: tuple[LineageEntry, ...]
    earlier: tuple[LineageEntry, ...]
    clutches: tuple[ClutchEntry, ...]
    traits: tuple[Link, ...]


class LineagePage(Page, frozen=True):
    intro: str
    lines: tuple[SpeciesLine, ...]


class PlanPage(Page, frozen=True):
    """A planned pairing: its state, its parents, and each look that a clutch can bring, in eggs."""

    name: str
    species: str
    scientific_name: str
    state: str
    intro: str
    clutches: tuple[Link, ...]
    parents: tuple[Parent, ...]
    expected: Expected
    ask: Ask | None


class PlansPage(Page, frozen=True):
    """The planned pairings, each with its state."""

    intro: str
    plans: tuple[tuple[Link, str], ...]


class Bearer(Struct, frozen=True):
    """An animal that shows or carries a trait, in the list on the trait's page."""

    name: Link
    words: str
    key: str


class Bearers(Struct, frozen=True):
    heading: str
    intro: str
    animals: tuple[Bearer, ...]


class TraitPage(Page, frozen=True):
    name: str
    species: str
    scientific_name: str
    what: str | None
    facts: tuple[Fact, ...]
    inheritance: str
    inheritance_text: tuple[str, ...]
    welfare: tuple[Welfare, ...]
    no_welfare: str | None
    sources: tuple[str, ...]
    bearers: tuple[Bearers, ...]
    nobody: str | None
    pairs: tuple[LookInEggs, ...] = ()
    tested_by: str | None = None


class MethodPage(Page, frozen=True):
    """The page on method: its text is the theme's; these are the words that depend on the collection."""

    mention_from: str
    doubt_below: str
    unrecorded: str
    claim_trust: str
    alone: str
    tried: tuple[str, ...]
    species_sources: tuple[Fact, ...]
    open_data: tuple[Link, ...]
    sex_linked: tuple[Link, ...]
    words_only: tuple[Link, ...]
    dated: str | None = None
    chain: str | None = None


class ProsePage(Page, frozen=True):
    """A free page of the breeder's."""

    prose: Markup


class MovedPage(Page, frozen=True):
    """Stands at an earlier address and points on."""

    to: Link


class NotFoundPage(Page, frozen=True):
    links: tuple[Link, ...]
