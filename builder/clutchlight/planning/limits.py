"""The limits that flags and windows go by: the species file's, with the breeder's own from collection.yaml over them.

Each limit knows where it comes from, so that a flag can say so. Limits are opinions of the trade, not measurements.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from clutchlight.model import Sex, Species
from clutchlight.model.private import SeasonRules
from clutchlight.reading.species_files import Caution, Readiness, SeasonFacts, fact_of, facts_of

OWN = "set in collection.yaml"


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit and where it comes from."""

    value: Fraction
    source: str


@dataclass(frozen=True, slots=True)
class RotationLimits:
    """How hard a male is used before it is pointed out. `usual` and `small`: by name."""

    usual: Mapping[str, Limit]
    small: Mapping[str, Limit]

    @property
    def small_below_g(self) -> Limit | None:
        return self.usual.get("small_below_g")

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
    usual: dict[str, Limit] = {}
    small: dict[str, Limit] = {}
    if season := fact_of(species, SeasonFacts):
        usual |= _limits(season.male.numbers, season.male.source)
        small |= _limits(season.male.small_or_first_season.numbers, season.male.source)
    for own in _own(species, rules):
        usual |= _limits(own.male, OWN)
        small |= _limits(own.small_male, OWN)
    return RotationLimits(usual, small)


def grown(species: Species, sex: Sex, rules: Mapping[str, SeasonRules]) -> Grown | None:
    """When a male or a female of a species is commonly bred; None where nothing is known."""
    readiness = fact_of(species, Readiness)
    fact = {"male": readiness.male, "female": readiness.female}.get(sex) if readiness else None
    spans = {"age_months": fact.age_months, "weight_g": fact.weight_g} if fact else {}
    found = {name: Limit(Fraction(span.first), fact.source) for name, span in spans.items() if fact}
    better: dict[str, Fraction | None] = {name: Fraction(span.last) for name, span in spans.items()}
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
        better.get("age_months"),
        better.get("weight_g"),
        fact.text if fact else "",
    )


def windows(species: Species, rules: Mapping[str, SeasonRules]) -> tuple[StageWindow, ...]:
    """The windows of a species, in the species file's order, the breeder's own further ones after them."""
    season = fact_of(species, SeasonFacts)
    found = {
        (one.after, one.comes): StageWindow(one.after, one.comes, one.days.first, one.days.last, one.source)
        for one in (season.windows if season else ())
    }
    for own in _own(species, rules):
        found |= {key: StageWindow(*key, *days, OWN) for key, days in own.windows.items()}
    return tuple(found.values())


def cautions(species: Species, about: str) -> tuple[str, ...]:
    """The species file's cautions on one matter: weight, sexing, egg binding, hygiene."""
    return tuple(one.text for one in facts_of(species, Caution) if one.about == about)


def _own(species: Species, rules: Mapping[str, SeasonRules]) -> Iterable[SeasonRules]:
    """The breeder's rules for all species, then those for this one, which stand above them."""
    return (rules[key] for key in ("", species.key) if key in rules)


def _limits(numbers: Mapping[str, Fraction], source: str) -> dict[str, Limit]:
    return {name: Limit(number, source) for name, number in numbers.items()}
