"""The page objects of the desk. A page object is all that its template sees; everything in it is finished words."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from clutchlight.desk.buyers import ToldChange
from clutchlight.desk.page_parts import CautionView, DeskFrame, DeskLine, DueView, FlagView, RoomCard
from clutchlight.desk.season import UnexpectedResult
from clutchlight.site.parts import Fact, LookInEggs, NavLink
from clutchlight.statements.keeping import SideBySideWords
from clutchlight.statements.winter import QuestionWords


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
class ReadyView:
    name: str
    words: str
    note: str


@dataclass(frozen=True, slots=True)
class ReadyGroup:
    heading: str
    rows: tuple[ReadyView, ...]
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
class TodayPage:
    frame: DeskFrame
    evening: RoomCard
    cards: tuple[RoomCard, ...]
    glance: tuple[RoomCard, ...]
    differing: tuple[str, ...]
    typed: tuple[str, ...]
    males: tuple[MaleView, ...]
    chart_key: str
    due: tuple[DueView, ...]
    plans: tuple[PlanRow, ...]
    ready: tuple[ReadyGroup, ...]
    not_ready: tuple[DeskLine, ...]
    not_ready_rules: tuple[str, ...]
    all_ready: str
    cautions: tuple[CautionView, ...]


@dataclass(frozen=True, slots=True)
class Cell:
    figure: str
    below: str


@dataclass(frozen=True, slots=True)
class BackupRow:
    who: str
    cells: tuple[Cell, ...]
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
class WinterView:
    """All clutches of the winter as one question."""

    many: str
    questions: tuple[QuestionWords, ...]
    stay_open: tuple[str, ...]
    counts_most: str
    loads: tuple[str, ...]
    wishes: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PairingsPage:
    frame: DeskFrame
    winter: WinterView | None
    pairings: tuple[PairingView, ...]
    nothing: str


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
class ProvingPage:
    """`hangs`: records by how many printed figures hang on them, each with some of these; `hangs_more`: what is not listed."""

    frame: DeskFrame
    basis: tuple[str, ...]
    pairs: tuple[PairView, ...]
    groups: tuple[ProvingGroup, ...]
    unexpected: tuple[UnexpectedResult, ...]
    hangs: tuple[tuple[str, tuple[str, ...]], ...]
    hangs_more: str


@dataclass(frozen=True, slots=True)
class WeighView:
    name: str
    now: str
    change: str
    chart: Markup | None
    rows: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WeighGroup:
    heading: str
    animals: tuple[WeighView, ...]


@dataclass(frozen=True, slots=True)
class WeightsPage:
    frame: DeskFrame
    groups: tuple[WeighGroup, ...]
    cautions: tuple[CautionView, ...]


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
class PaperPage:
    """The receipt and hand-over paper of a sale. It goes to the buyer."""

    frame: DeskFrame
    seller: tuple[str, ...]
    buyer: str
    day: str
    animals: tuple[PaperAnimal, ...]
    money: tuple[Fact, ...]
    receipt: str
    dates: tuple[Fact, ...]
    terms: tuple[str, ...]
    rules: tuple[str, ...]
    cautions: tuple[CautionView, ...]


@dataclass(frozen=True, slots=True)
class PeoplePage:
    """`young`: those of hatched clutches, side by side."""

    frame: DeskFrame
    tell: tuple[TellView, ...]
    tell_nobody: str
    not_known: tuple[str, ...]
    holds: tuple[SaleView, ...]
    balances: tuple[SaleView, ...]
    hand_overs: tuple[SaleView, ...]
    papers: tuple[str, ...]
    sheets: tuple[NavLink, ...]
    loans: tuple[DeskLine, ...]
    young_note: str
    young: tuple[SideBySideWords, ...]
    cautions: tuple[CautionView, ...]


@dataclass(frozen=True, slots=True)
class YearView:
    heading: str
    facts: tuple[Fact, ...]
    asked: tuple[DeskLine, ...]
    told: tuple[DeskLine, ...]


@dataclass(frozen=True, slots=True)
class YearPage:
    """`owed`: who is still owed an answer, a card for each kind; `years`: the newest first."""

    frame: DeskFrame
    owed: tuple[RoomCard, ...]
    years: tuple[YearView, ...]


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
class PhonePage:
    frame: DeskFrame
    glance: tuple[RoomCard, ...]
    due: tuple[DueView, ...]
    groups: tuple[RackGroup, ...]
    cautions: tuple[CautionView, ...]
    entering: Entering


@dataclass(frozen=True, slots=True)
class SheetRow:
    name: str
    note: str
    last: str


@dataclass(frozen=True, slots=True)
class SheetGroup:
    """Animals with the same boxes to fill in. `boxes`: their headings; `wide`: the one that takes the rest of the line."""

    heading: str
    boxes: tuple[str, ...]
    wide: str
    rows: tuple[SheetRow, ...]


@dataclass(frozen=True, slots=True)
class SheetPage:
    frame: DeskFrame
    due: tuple[DueView, ...]
    groups: tuple[SheetGroup, ...]
    cautions: tuple[CautionView, ...]


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


@dataclass(frozen=True, slots=True)
class GuidePage:
    """`hosting`: how the site is put on a host."""

    frame: DeskFrame
    sections: tuple[GuideSection, ...]
    hosting: tuple[GuideEntry, ...]


DeskPage = (
    TodayPage
    | PairingsPage
    | ProvingPage
    | WeightsPage
    | PeoplePage
    | YearPage
    | PhonePage
    | SheetPage
    | GuidePage
    | PaperPage
)
