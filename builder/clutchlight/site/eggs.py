"""The odds of a pairing as eggs: for each look a clutch drawn with the eggs to expect of it, and the same in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from markupsafe import Markup

from clutchlight import drawing
from clutchlight.drawing import CountPart
from clutchlight.drawing.chances import MOST
from clutchlight.planning.odds import Odds
from clutchlight.planning.outcomes import Outcome
from clutchlight.site.context import Context
from clutchlight.site.parts import Drawing
from clutchlight.statements.odds import OddsWords, in_words
from clutchlight.wording.text import Name, parts_of


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
    return drawing.eggs(young, parts, title, prefix).svg, (caption,)


MOST_LOOKS = 16
INTRO = (
    "Filled eggs are to be expected, a striped one comes at times. The counts follow from what both parents are known to carry "
    "and may carry, taken together; every clutch falls out in its own way."
)


def expected(context: Context, page: str, odds: Odds | None) -> Expected:
    """The odds in words and drawings; NOTHING where there are none."""
    if odds is None:
        return NOTHING
    said = in_words(odds, context.collection, MOST_LOOKS)
    return Expected(
        INTRO,
        looks_in_eggs(odds, said, "eggs"),
        said.rarer and f"{said.rarer}.",
        tuple(_fit(context, page, said.notes)),
        next(_fit(context, page, (said.kinship,)), None),
    )


def _fit(context: Context, page: str, texts: Iterable[str]) -> Iterator[Markup]:
    """The sentences as links, without any that names an animal that may not be named."""
    for text in texts:
        if all(context.may_name(part) for part in parts_of(text) if isinstance(part, Name)):
            yield context.linked(page, text)
