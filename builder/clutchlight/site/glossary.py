"""Trade words in plain ones, each explained on a page where it first stands there."""

from __future__ import annotations

from collections.abc import Iterable

from clutchlight.site.parts import Word
from clutchlight.statements import StatementLine
from clutchlight.wording.words import CARRIES_TWO, HET, POSSIBLE_HET

MEANINGS = {
    "clutch": "The eggs that one female lays at one time, and the young that hatch from them.",
    "slug": "An egg that was never fertile. Nothing hatches from it.",
    "sire and dam": "The father and the mother.",
    "het": "It carries one copy of the trait, from one parent, and does not show it. It hands that copy on to about half of its young.",
    "possible het": "It may carry one copy of the trait without showing it. The percentage says how many snakes with such a record do.",
    "het or visual": "It carries one copy and does not show it, or it is a visual: two copies, which show where no other look hides them.",
    "two copies": "Each snake has two copies of every gene, one from each parent. With two of this one, all of its young get one.",
    "proven": "Its young, or a test, leave no other way: it carries the trait.",
    "proven breeder": "It has bred before, and young hatched. That says nothing of what it carries.",
    "background": "How common the trait is taken to be among snakes without a record. Nothing of its own family speaks of it.",
}
_OF_LEAD = {HET: "het", POSSIBLE_HET: "possible het", CARRIES_TWO: "two copies"}


class Explained:
    """The words that a page has explained so far."""

    def __init__(self) -> None:
        self._met: set[str] = set()

    def first(self, *words: str) -> tuple[Word, ...]:
        """Those that stand here for the first time, with their meaning."""
        new = [word for word in dict.fromkeys(words) if word not in self._met]
        self._met.update(new)
        return tuple(Word(word.replace(" ", "-"), word, MEANINGS[word]) for word in new)


def words_of(line: StatementLine) -> Iterable[str]:
    """The trade words of a line of a statement."""
    first = line.traits[0]
    lead = line.label.lead
    if lead.endswith("visual"):
        yield "het or visual"
    elif lead in _OF_LEAD:
        yield _OF_LEAD[lead]
    if first.double_mentioned:
        yield "two copies"
    if first.grounds.kind == "proven" and not first.shows:
        yield "proven"
    if first.grounds.kind == "background":
        yield "background"
