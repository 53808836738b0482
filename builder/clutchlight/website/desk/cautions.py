"""The cautions that stand where the work can hurt an animal or a person: those of the species files, and two for every species."""

from __future__ import annotations

from collections.abc import Iterable

from clutchlight.model import Collection
from clutchlight.website.desk.pages import Caution

LARGE = Caution(
    "handling large snakes",
    "A snake that is long or strong enough to overpower you is handled by two people, and never while you smell of food.",
    "common practice, no source",
)
MOVING = Caution(
    "selling and moving animals",
    "Local law decides what may be kept, bred, sold, sent and shown. Some animals need papers (CITES), some sellers and carriers a "
    "licence. Ask your authority before an animal leaves; what stands here names rules and is no advice.",
    None,
)


def cautions(collection: Collection, wanted: Iterable[str], more: Iterable[Caution] = ()) -> tuple[Caution, ...]:
    """Those of the collection's species on the wanted matters, in that order, then `more`; a text that two species share once."""
    found: dict[str, Caution] = {}
    for about in wanted:
        for species in collection.species.values():
            listed = species.facts.get("cautions")
            for item in listed if isinstance(listed, tuple) else ():
                if item.get("about") == about:
                    found.setdefault(str(item["text"]), Caution(about, str(item["text"]), item.get("source")))
    return (*found.values(), *more)
