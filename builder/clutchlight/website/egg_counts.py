"""The odds of a pairing as eggs: for each look a clutch drawn with the eggs to expect of it, and the same in words."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from clutchlight import diagrams
from clutchlight.diagrams import CountPart
from clutchlight.diagrams.counts import MOST
from clutchlight.planning.odds_values import Odds, Outcome
from clutchlight.planning.odds_words import OddsWords
from clutchlight.website.parts import Drawing


@dataclass(frozen=True, slots=True)
class LookInEggs:
    """One look that a clutch can bring: how many eggs, drawn and said, and what such young carry unseen."""

    look: str
    eggs: str
    drawing: Drawing | None
    carries: tuple[str, ...]
    harm: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Expected:
    """`looks`: most likely first. `more`: the looks beyond those, in a sentence, or "". `kinship`: of the parents, where it may be said."""

    intro: str = ""
    looks: tuple[LookInEggs, ...] = ()
    more: str = ""
    notes: tuple[Markup, ...] = ()
    kinship: Markup | None = None


NOTHING = Expected()


def looks_in_eggs(odds: Odds, said: OddsWords, prefix: str) -> tuple[LookInEggs, ...]:
    """The looks that the words list, each with its eggs; `prefix` begins the ids of the drawings."""
    return tuple(
        LookInEggs(
            look.look,
            look.eggs[:1].upper() + look.eggs[1:],
            _drawn(outcome, odds.young, look.eggs, f"{prefix}-{number}"),
            look.carries,
            look.harm,
        )
        for number, (outcome, look) in enumerate(zip(odds.outcomes, said.looks, strict=False), 1)
    )


def _drawn(outcome: Outcome, young: int, caption: str, prefix: str) -> Drawing | None:
    """Filled: eggs to expect; striped: one more, at times."""
    if not 1 <= young <= MOST:
        return None
    whole, rest = divmod(outcome.expected, 1)
    title = f"{' '.join(outcome.looks) or 'Normal-looking'}: {caption}"
    return Drawing(_eggs, (young, int(whole), int(rest > 0), title, caption, prefix))


def _eggs(young: int, whole: int, part: int, title: str, caption: str, prefix: str) -> tuple[str, tuple[str, ...]]:
    parts = (CountPart("shows", whole, "to expect"), CountPart("part", part, "one, at times"))
    return diagrams.eggs(young, parts, title, prefix).svg, (caption,)
