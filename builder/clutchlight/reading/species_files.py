"""What a species file may say of a species: its facts, each with its source, its loci and its combos. Built in, or a breeder's own.

One shape serves both. A built-in file says everything about a species; a breeder's file usually only names the species and gives a
locus or two, of which every key given replaces the built-in one.
"""

from __future__ import annotations

from typing import Annotated, Self, get_args

from pydantic import BeforeValidator, Field, PlainValidator, model_validator

from clutchlight.model import SexSystem, Species
from clutchlight.reading.fields import (
    Chance,
    Count,
    CountRange,
    Names,
    Number,
    Range,
    Slug,
    Words,
    by_name,
    listed,
    one_of,
)
from clutchlight.reading.loci import LocusRecord
from clutchlight.reading.strict import RecordShape, Shape, unfit
from clutchlight.reading.text import Items, Table, WrittenText

MOST_EGGS = 40
"""The largest clutch that a spread may reach to."""


class SourcedDays(CountRange):
    source: Words


class SexDetermination(RecordShape, noun="sex_determination"):
    system: Annotated[SexSystem, PlainValidator(one_of(get_args(SexSystem)))]
    source: Words


class ClutchFacts(RecordShape, noun="clutch"):
    """`eggs`: the fewest and the most; `like_fate`: how far the eggs of a clutch hatch or fail together; `lays`: how many females lay."""

    usual: Count
    hatch_rate: Chance | None = None
    source: Words
    eggs: CountRange | None = None
    like_fate: Chance | None = None
    lays: Chance | None = None
    spread_source: Words | None = None

    @model_validator(mode="after")
    def _usual_within(self) -> Self:
        if self.eggs is not None and not self.eggs.first <= self.usual <= self.eggs.last:
            raise unfit(
                "bad-number",
                f"a usual clutch of {self.usual} does not lie in {self.eggs.first} to {self.eggs.last}; correct `usual` or `eggs`",
                self.at.value("eggs"),
            )
        if self.eggs is not None and self.eggs.last > MOST_EGGS:
            raise unfit(
                "bad-number", f"a clutch of {self.eggs.last} eggs; write at most {MOST_EGGS}", self.at.value("eggs")
            )
        return self


class ReadyWhen(RecordShape, noun="ready_when"):
    meals: Count
    sheds: Count
    text: Words
    source: Words


class FeedingAtAge(RecordShape, noun="feeding at an age"):
    """`until_months`: the age up to which it holds; None for all that are older. `long_days`: so long without a meal is pointed out."""

    until_months: Count | None = None
    every_days: CountRange
    long_days: Count


class FeedingFacts(RecordShape, noun="feeding"):
    """How often a species is commonly fed, the youngest first."""

    by_age: Annotated[tuple[FeedingAtAge, ...], BeforeValidator(listed)]
    source: Words


class AdultReadiness(RecordShape, noun="readiness"):
    age_months: Range
    weight_g: Range
    text: Words
    source: Words


class Readiness(RecordShape, noun="readiness"):
    male: AdultReadiness
    female: AdultReadiness


class MaleLimits(RecordShape, noun="the limits of a male in use"):
    pairings_per_7_days: Number
    days_in_a_row: Number | None = None
    rest_days: Number | None = None
    females: Number | None = None
    weight_loss_percent: Number
    refusals: Number


class MaleSeason(MaleLimits):
    small_below_g: Number
    small_or_first_season: MaleLimits
    source: Words


class Window(RecordShape, noun="a window"):
    after: Words
    comes: Words
    days: CountRange
    source: Words


class SeasonFacts(RecordShape, noun="season"):
    male: MaleSeason
    windows: Annotated[tuple[Window, ...], BeforeValidator(listed)] = ()


class SourcedNote(RecordShape, noun="a note"):
    note: Words
    source: Words


class Caution(RecordShape, noun="a caution"):
    about: Words
    text: Words
    source: Words


class Rule(RecordShape, noun="a rule"):
    name: Words
    text: Words
    source: Words


class ComboRecord(RecordShape, noun="a combo"):
    looks: Names
    harm: Words | None = None
    source: Words | None = None

    @classmethod
    def from_short(cls, value: object) -> Table | None:
        return Table.of(value.place, looks=value) if isinstance(value, (WrittenText, Items)) else None


class SpeciesRecord(RecordShape, noun="a traits file"):
    """A species file: built in, or a breeder's own."""

    species: Slug
    name: Words | None = None
    scientific_name: Words | None = None
    also_called: Names = ()
    sex_determination: SexDetermination | None = None
    clutch: ClutchFacts | None = None
    incubation_days: SourcedDays | None = None
    ready_when: ReadyWhen | None = None
    feeding: FeedingFacts | None = None
    readiness: Readiness | None = None
    season: SeasonFacts | None = None
    stored_sperm: SourcedNote | None = None
    parthenogenesis: SourcedNote | None = None
    cautions: Annotated[tuple[Caution, ...], BeforeValidator(listed)] = ()
    law: Annotated[tuple[Rule, ...], BeforeValidator(listed)] = ()
    looks_source: Words | None = None
    loci: Annotated[tuple[LocusRecord, ...], BeforeValidator(listed)] = ()
    combos: Annotated[dict[WrittenText, ComboRecord], BeforeValidator(by_name(lambda record: record))] = Field(
        default_factory=dict
    )


def facts_of(species: Species | None, kind: type[Shape]) -> tuple[Shape, ...]:
    """What the species file says of that kind: nothing, one thing or several."""
    values = species.facts.values() if species is not None else ()
    found = (one for value in values for one in (value if isinstance(value, tuple) else (value,)))
    return tuple(one for one in found if isinstance(one, kind))


def fact_of(species: Species | None, kind: type[Shape]) -> Shape | None:
    return next(iter(facts_of(species, kind)), None)
