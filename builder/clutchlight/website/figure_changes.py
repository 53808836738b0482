"""Which published figures differ from those of the site that stands: read from its statement.json files, not from pages."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from clutchlight.website import addresses


@dataclass(frozen=True, slots=True)
class FigureChange:
    """One trait of one animal: the label before and after; None where nothing was, or is, said."""

    animal: str
    trait: str
    before: str | None
    after: str | None

    def __str__(self) -> str:
        return f"{self.animal}: {self.before or f'nothing said of {self.trait}'} → {self.after or f'nothing said of {self.trait}'}"


def changes_against(previous: Callable[[str], bytes | None], made: Mapping[str, bytes]) -> tuple[FigureChange, ...]:
    """The changes since the site that stands, by animal and trait; animals without a page then or now are left out.

    `made`: the files of the new site, by address.
    """
    found: list[FigureChange] = []
    for address, content in made.items():
        ident = addresses.animal_of_statement(address)
        standing = previous(address) if ident else None
        if ident is None or standing is None or standing == content:
            continue
        before = _labels(json.loads(standing))
        after = _labels(json.loads(content))
        for trait in sorted({*before, *after}):
            if before.get(trait) != after.get(trait):
                found.append(FigureChange(ident, trait, *_said(before.get(trait), after.get(trait))))
    return tuple(found)


Said = tuple[str | None, str | None]


def _labels(statement: Mapping[str, object]) -> dict[str, Said]:
    """By trait, the exact chance and the label."""
    traits = statement.get("traits")
    found: dict[str, Said] = {}
    for entry in traits if isinstance(traits, list) else []:
        found[str(entry["trait"])] = (entry["carries"], entry["label"])
    return found


def _said(before: Said | None, after: Said | None) -> tuple[str | None, str | None]:
    """Both labels; where they read alike, with the exact chances, which then differ."""
    if before and after and before[1] == after[1]:
        return f"{before[1]} (exactly {before[0]})", f"{after[1]} (exactly {after[0]})"
    return before[1] if before else None, after[1] if after else None
