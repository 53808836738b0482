"""The facts of the log that a collection publishes, in words."""

from __future__ import annotations

from clutchlight.records.public_side import LogFacts
from clutchlight.statements.day_words import when
from clutchlight.website.parts import Fact


def facts_in_words(facts: LogFacts) -> tuple[Fact, ...]:
    """One line each for weight, meals and sheds, as far as they are published."""
    found: list[Fact] = []
    if facts.weight_g is not None and facts.weighed_on is not None:
        found.append(Fact("Weight", f"{int(facts.weight_g)} g on {when(facts.weighed_on)}"))
    if facts.meals is not None:
        last = f", the last on {when(facts.last_meal)}" if facts.last_meal else ""
        found.append(Fact("Meals on record", f"{facts.meals}{last}"))
    if facts.sheds is not None:
        last = f", the last on {when(facts.last_shed)}" if facts.last_shed else ""
        found.append(Fact("Sheds on record", f"{facts.sheds}{last}"))
    return tuple(found)
