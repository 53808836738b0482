"""What the odds of a pairing are, as values: exact fractions, no words for readers.

Conventions: `per_egg` is for one egg that hatches, among survivors where a double dose kills. All chances of one pairing are taken
over what its parents may carry, together. Outcomes are a partition: their `per_egg` sum to exactly 1.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from clutchlight.model import Sex
from clutchlight.problems import Problem


@dataclass(frozen=True, slots=True)
class Carried:
    """A trait that a hatchling does not show, with the chance that it carries it."""

    locus: str
    trait: str
    carries: Fraction


@dataclass(frozen=True, slots=True)
class Harm:
    """Harm that a double dose or a pair of alleles is known to do: to which genotype, in what words, how likely in this outcome."""

    locus: str
    traits: tuple[str, ...]
    text: str
    source: str | None
    chance: Fraction


@dataclass(frozen=True, slots=True)
class Outcome:
    """One look of a hatchling, exactly as it would be recorded, traits in the order of the catalogue; () is a normal look.

    `at_least_one`: the chance that a clutch of the asked size holds one or more; `expected`: how many on average.
    `hidden`: loci (keys) that this look conceals. `unseen`: traits not shown that may be carried, certain ones too.
    `all_possible`, `none_possible`: the chances that it carries all, and none, of those that are possible (not certain). `double`: shown
    traits of which a second copy is open, with its chance.
    """

    looks: tuple[str, ...]
    sex: Sex | None
    per_egg: Fraction
    at_least_one: Fraction
    expected: Fraction
    unseen: tuple[Carried, ...]
    all_possible: Fraction
    none_possible: Fraction
    double: tuple[Carried, ...] = ()
    hidden: tuple[str, ...] = ()
    combos: tuple[str, ...] = ()
    harm: tuple[Harm, ...] = ()


@dataclass(frozen=True, slots=True)
class Proof:
    """What a clutch says about one trait of one parent that is not certain whatever anybody claimed.

    `chance`: that its hatchlings force the trait; None: not computed. `now`: the parent's chance of carrying it before the clutch.
    `if_none`: after the clutch, all seen, none showing the trait; None where such a clutch cannot be.
    """

    animal: str
    locus: str
    trait: str
    now: Fraction
    chance: Fraction | None
    if_none: Fraction | None


@dataclass(frozen=True, slots=True)
class Lethal:
    """A double dose that dies in the egg: the chance for one egg."""

    locus: str
    trait: str
    per_egg: Fraction


@dataclass(frozen=True, slots=True)
class LocusWelfare:
    """What is known of the welfare of animals with a trait that the young can have."""

    locus: str
    text: str
    source: str | None


@dataclass(frozen=True, slots=True)
class Odds:
    """One pairing, a clutch of `young` hatchlings. Outcomes most likely first.

    `by_sex`: whether outcomes are told apart by sex. `sex_not_told`: loci (keys) known to be sex-linked for which no crossover is
    known, so that nothing is said by sex. `not_computed`: loci whose figures were too wide, with the animals whose test would split
    them; they take no part. `problems`: warnings, such as too many looks to list (then `outcomes` is empty).
    """

    species: str
    sire: str
    dam: str
    young: int
    inbreeding: Fraction
    outcomes: tuple[Outcome, ...]
    proves: tuple[Proof, ...]
    by_sex: bool = False
    sex_not_told: tuple[str, ...] = ()
    lethal: tuple[Lethal, ...] = ()
    welfare: tuple[LocusWelfare, ...] = ()
    not_computed: tuple[tuple[str, tuple[str, ...]], ...] = ()
    problems: tuple[Problem, ...] = ()
