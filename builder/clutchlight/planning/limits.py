"""The limits that flags and windows go by: the species file's, with the breeder's own from collection.yaml over them.

Each limit knows where it comes from, so that a flag can say so. Limits are opinions of the trade, not measurements.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from clutchlight.model import Sex, Species
from clutchlight.model.private import LIMITS, SeasonRules

OWN = "set in collection.yaml"


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit and where it comes from."""

    value: Fraction
    source: str


@dataclass(frozen=True, slots=True)
class RotationLimits:
    """How hard a male is used before it is pointed out. `usual` and `small`: by name; `small_below_g` in grams."""

    usual: Mapping[str, Limit]
    small: Mapping[str, Limit]
    small_below_g: Limit | None

    def limit(self, name: str, small_or_first: bool) -> Limit | None:
        """The limit that holds; for small and first-season males the stricter of the two sets."""
        found = [each[name] for each in (self.usual, self.small if small_or_first else {}) if name in each]
        strictest = max if name == "rest_days" else min
        return strictest(reversed(found), key=lambda limit: limit.value, default=None)


@dataclass(frozen=True, slots=True)
class Grown:
    """When an adult is commonly bred: from age and weight `at_least`; many wait for `better`."""

    age_months: Limit | None
    weight_g: Limit | None
    age_better: Fraction | None = None
    weight_better: Fraction | None = None
    text: str = ""


@dataclass(frozen=True, slots=True)
class StageWindow:
    """Days from one stage to the next."""

    after: str
    comes: str
    first: int
    last: int
    source: str


def male_limits(species: Species, rules: Mapping[str, SeasonRules]) -> RotationLimits:
    """The limits for males of a species."""
    fact = _table(_table(species.facts.get("season")).get("male"))
    small_fact = _table(fact.get("small_or_first_season"))
    source = str(fact.get("source", ""))
    usual = _limits(fact, LIMITS, source)
    small = _limits(small_fact, LIMITS, source)
    below = _limits(fact, ("small_below_g",), source)
    for own in _own(species, rules):
        usual.update({name: Limit(value, OWN) for name, value in own.male.items() if name in LIMITS})
        small.update({name: Limit(value, OWN) for name, value in own.small_male.items()})
        below.update({name: Limit(value, OWN) for name, value in own.male.items() if name == "small_below_g"})
    return RotationLimits(usual, small, below.get("small_below_g"))


def grown(species: Species, sex: Sex, rules: Mapping[str, SeasonRules]) -> Grown | None:
    """When a male or a female of a species is commonly bred; None where nothing is known."""
    fact = _table(_table(species.facts.get("readiness")).get(sex))
    source = str(fact.get("source", ""))
    age, weight = _table(fact.get("age_months")), _table(fact.get("weight_g"))
    found = {
        name: Limit(number, source)
        for name, span in (("age_months", age), ("weight_g", weight))
        if (number := _number(span.get("from"))) is not None
    }
    better = {"age_months": _number(age.get("to")), "weight_g": _number(weight.get("to"))}
    for own in _own(species, rules):
        for name in ("age_months", "weight_g"):
            value = own.readiness.get((sex, name))
            if value is not None:
                found[name], better[name] = Limit(value, OWN), None
    if not found:
        return None
    return Grown(
        found.get("age_months"),
        found.get("weight_g"),
        better["age_months"],
        better["weight_g"],
        str(fact.get("text", "")),
    )


def windows(species: Species, rules: Mapping[str, SeasonRules]) -> tuple[StageWindow, ...]:
    """The windows of a species, in the species file's order, the breeder's own further ones after them."""
    found: dict[tuple[str, str], StageWindow] = {}
    listed = _table(species.facts.get("season")).get("windows")
    for item in listed if isinstance(listed, tuple) else ():
        fact = _table(item)
        days = _table(fact.get("days"))
        first, last = _number(days.get("from")), _number(days.get("to"))
        if first is not None and last is not None:
            key = (str(fact.get("after")), str(fact.get("comes")))
            found[key] = StageWindow(*key, int(first), int(last), str(fact.get("source", "")))
    for own in _own(species, rules):
        for key, (start, end) in own.windows.items():
            found[key] = StageWindow(*key, start, end, OWN)
    return tuple(found.values())


@dataclass(frozen=True, slots=True)
class ReadyToLeave:
    """When a hatchling is commonly let go."""

    meals: int
    sheds: int
    text: str
    source: str


def ready_to_leave(species: Species) -> ReadyToLeave | None:
    """The species file's rule; None where it has none."""
    fact = _table(species.facts.get("ready_when"))
    meals, sheds = _number(fact.get("meals")), _number(fact.get("sheds"))
    if meals is None or sheds is None:
        return None
    return ReadyToLeave(int(meals), int(sheds), str(fact.get("text", "")), str(fact.get("source", "")))


def cautions(species: Species, about: str) -> tuple[str, ...]:
    """The species file's cautions on one matter: weight, sexing, egg binding, hygiene."""
    listed = species.facts.get("cautions")
    items = [_table(item) for item in listed] if isinstance(listed, tuple) else []
    return tuple(str(item.get("text", "")) for item in items if item.get("about") == about)


def _own(species: Species, rules: Mapping[str, SeasonRules]) -> Iterable[SeasonRules]:
    """The breeder's rules for all species, then those for this one, which stand above them."""
    return (rules[key] for key in ("", species.key) if key in rules)


def _limits(fact: Mapping[str, object], names: Iterable[str], source: str) -> dict[str, Limit]:
    return {name: Limit(number, source) for name in names if (number := _number(fact.get(name))) is not None}


def _table(value: object) -> Mapping[str, object]:
    return value if isinstance(value, Mapping) else {}


def _number(value: object) -> Fraction | None:
    if isinstance(value, (int, Fraction)):
        return Fraction(value)
    try:
        return Fraction(value) if isinstance(value, str) else None
    except ValueError:
        return None
