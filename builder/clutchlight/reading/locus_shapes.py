"""What a species file and a breeder's own trait file may say: keys, and the kind of each value.

One shape serves both. A built-in file says everything about a species; a breeder's file usually only names the species
and gives a locus or two, of which every key given replaces the built-in one.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Annotated, ClassVar

from pydantic import BeforeValidator, PlainValidator, ValidationInfo

from clutchlight.model import Inheritance
from clutchlight.reading.fields import (
    EMPTY,
    Chance,
    Count,
    Names,
    NamesByName,
    Number,
    Slug,
    TextsByName,
    Words,
    entries,
    listed,
    one_of,
    parse_chance,
)
from clutchlight.reading.ranges import DayRange, Range
from clutchlight.reading.strict import Written, unfit
from clutchlight.reading.text import Table, Text

INHERITANCE = one_of(
    [kind.value for kind in Inheritance],
    also={
        "codominant": Inheritance.INCOMPLETE_DOMINANT.value,
        "co-dominant": Inheritance.INCOMPLETE_DOMINANT.value,
        "incomplete-dominant": Inheritance.INCOMPLETE_DOMINANT.value,
        "line bred": Inheritance.LINE_BRED.value,
        "not-known": Inheritance.NOT_KNOWN.value,
        "unknown": Inheritance.NOT_KNOWN.value,
    },
)
MIN_CROSSOVER, MAX_CROSSOVER = Fraction(0), Fraction(1, 2)


def _crossover(value: object, info: ValidationInfo) -> Fraction:
    chance = parse_chance(value, info)
    if chance > MAX_CROSSOVER:
        raise unfit(
            "crossover-over-half",
            f"a crossover of {chance} is over 1/2, which no locus can have; 1/2 means not linked to sex at all",
        )
    return chance


def _background(value: object, info: ValidationInfo) -> Fraction | dict[Text, Fraction]:
    if isinstance(value, Table):
        return {key: parse_chance(item, info) for key, item in entries(value)}
    return parse_chance(value, info)


class SourcedDays(DayRange):
    source: Words


class SexDetermination(Written):
    noun: ClassVar[str] = "sex_determination"
    system: Annotated[str, PlainValidator(one_of(["XY", "ZW"]))]
    source: Words


class ClutchFacts(Written):
    noun: ClassVar[str] = "clutch"
    usual: Count
    hatch_rate: Chance | None = None
    source: Words


class ReadyWhen(Written):
    noun: ClassVar[str] = "ready_when"
    meals: Count
    sheds: Count
    text: Words
    source: Words


class AdultReadiness(Written):
    noun: ClassVar[str] = "readiness"
    age_months: Range
    weight_g: Range
    text: Words
    source: Words


class Readiness(Written):
    noun: ClassVar[str] = "readiness"
    male: AdultReadiness
    female: AdultReadiness


class MaleLimits(Written):
    noun: ClassVar[str] = "the limits of a male in use"
    pairings_per_7_days: Number
    rest_days: Number
    weight_loss_percent: Number
    refusals: Number


class MaleSeason(MaleLimits):
    small_below_g: Number
    small_or_first_season: MaleLimits
    source: Words


class Window(Written):
    noun: ClassVar[str] = "a window"
    after: Words
    comes: Words
    days: DayRange
    source: Words


class SeasonFacts(Written):
    noun: ClassVar[str] = "season"
    male: MaleSeason
    windows: Annotated[tuple[Window, ...], BeforeValidator(listed)] = ()


class SourcedNote(Written):
    noun: ClassVar[str] = "a note"
    note: Words
    source: Words


class Caution(Written):
    noun: ClassVar[str] = "a caution"
    about: Words
    text: Words
    source: Words


class Rule(Written):
    noun: ClassVar[str] = "a rule"
    name: Words
    text: Words
    source: Words


class SexLinked(Written):
    noun: ClassVar[str] = "sex_linked"
    crossover: Annotated[Fraction, PlainValidator(_crossover)] | None = None
    source: Words | None = None


class LocusRecord(Written):
    noun: ClassVar[str] = "a locus"
    hints: ClassVar[Mapping[str, str]] = {
        "name": "a locus has `locus`, its key, and `alleles`, the names of its traits",
        "type": "write `inheritance: recessive`",
        "super": "write `two_copies: {Pastel: Super Pastel}`",
    }

    locus: Slug
    inheritance: Annotated[str, PlainValidator(INHERITANCE)] | None = None
    alleles: Names | None = None
    also_called: NamesByName = EMPTY
    two_copies: TextsByName = EMPTY
    together: TextsByName = EMPTY
    hides: NamesByName = EMPTY
    subtle: Names = ()
    background: Annotated[Fraction | dict[Text, Fraction], PlainValidator(_background)] | None = None
    sex_linked: SexLinked | None = None
    kept_in_parthenogenesis: Chance | None = None
    two_copies_harm: TextsByName = EMPTY
    together_harm: TextsByName = EMPTY
    welfare: Words | None = None
    welfare_source: Words | None = None
    what: Words | None = None
    gene: Words | None = None
    gene_source: Words | None = None
    source: Words | None = None


class SpeciesRecord(Written):
    """A species file: built in, or a breeder's own."""

    noun: ClassVar[str] = "a traits file"
    species: Slug
    name: Words | None = None
    scientific_name: Words | None = None
    also_called: Names = ()
    sex_determination: SexDetermination | None = None
    clutch: ClutchFacts | None = None
    incubation_days: SourcedDays | None = None
    ready_when: ReadyWhen | None = None
    readiness: Readiness | None = None
    season: SeasonFacts | None = None
    stored_sperm: SourcedNote | None = None
    parthenogenesis: SourcedNote | None = None
    cautions: Annotated[tuple[Caution, ...], BeforeValidator(listed)] = ()
    law: Annotated[tuple[Rule, ...], BeforeValidator(listed)] = ()
    looks_source: Words | None = None
    loci: Annotated[tuple[LocusRecord, ...], BeforeValidator(listed)] = ()
    combos: NamesByName = EMPTY
