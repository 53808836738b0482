"""What a clutch can bring, for a page: each look as eggs, what is counted together, and what must be noted."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from markupsafe import Markup

from clutchlight.planning.odds_values import Odds
from clutchlight.planning.odds_words import in_words
from clutchlight.website.context import Context
from clutchlight.website.egg_counts import NOTHING, Expected, looks_in_eggs

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
        said.rarer,
        tuple(_fit(context, page, said.notes)),
        next(_fit(context, page, (said.kinship,)), None),
    )


def _fit(context: Context, page: str, texts: Iterable[str]) -> Iterator[Markup]:
    """The sentences as links, without any that names an animal that may not be named."""
    hidden = [
        word
        for animal in context.collection.animals.values()
        if not context.may_name(animal.id)
        for word in (animal.id, animal.name)
        if word
    ]
    for text in texts:
        if not any(word in text for word in hidden):
            yield context.linked(page, text)
