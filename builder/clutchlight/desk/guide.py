"""The guide: every key of every file with its meaning, an example and where it shows, from the reference that `explain` prints.

Its tests hold those entries against the keys that the reader takes, so that the page leaves none out. What it says is the same in every
collection.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import groupby

from msgspec import Struct

from clutchlight import reference
from clutchlight.desk.pages import GUIDE, DeskFraming, DeskPage
from clutchlight.reading.text import slug_of
from clutchlight.reference import Explanation

TOPIC = "records"
HOSTING = "hosting"


class GuideEntry(Struct, frozen=True):
    """One key; or a section, with its `entries`. `inside`: the anchor of the section with the keys that a key holds in turn, if any."""

    anchor: str
    name: str
    says: tuple[str, ...]
    example: str = ""
    shows: str = ""
    inside: str = ""
    entries: tuple[GuideEntry, ...] = ()


def guide_page(framing: DeskFraming) -> DeskPage:
    lead = "Every key that a record can have: what it means, an example, where it shows. `clutchlight explain KEY` says the same."
    hosting = tuple(_entry(entry, HOSTING) for entry in reference.find(HOSTING))
    return framing.page(GUIDE, "Guide", lead, sections=_sections(), hosting=hosting)


@cache
def _sections() -> tuple[GuideEntry, ...]:
    entries = [entry for entry in reference.entries() if entry.topic == TOPIC]
    first = {entry.holds: entry for entry in reversed(entries) if entry.holds}
    found = []
    for group in (entry for entry in entries if entry in first.values()):
        keys = tuple(_entry(entry, group.holds) for entry in entries if group.holds in entry.of)
        title = "Files" if group.holds == TOPIC else group.name
        found.append(GuideEntry(_anchor(group.holds), title, tuple(_paragraphs(group.says)), entries=keys))
    return tuple(found)


def _entry(entry: Explanation, group: str) -> GuideEntry:
    anchor, inside = _anchor(f"key {group}-{entry.name}"), _anchor(entry.holds) if entry.holds else ""
    says = tuple(_paragraphs(entry.says))
    return GuideEntry(anchor, entry.name, says, entry.example.rstrip(), entry.shows.strip(), inside)


def _anchor(name: str) -> str:
    return f"guide-{slug_of(name)}"


def _paragraphs(text: str) -> Iterator[str]:
    """Paragraphs filled anew; a line that is indented stands by itself."""
    for alone, together in groupby(text.splitlines(), lambda line: not line.strip() or line.startswith(" ")):
        lines = [line.strip() for line in together]
        yield from filter(None, lines) if alone else (" ".join(lines),)
