"""A species and its loci, as values: which alleles there are and what each pair of them looks like. Before them stand `grouped`, `reached`
and `natural`, with which every room puts things in groups, follows them and orders them.

Convention: allele 0 is the normal one, 1..n the mutant ones in the order of `alleles`. A genotype is an unordered pair
`(low, high)` of allele numbers. A look is the set of names that a pair of alleles shows; the empty set is normal.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Hashable, Iterable, Mapping
from enum import Enum
from fractions import Fraction
from functools import cached_property, lru_cache
from itertools import combinations_with_replacement
from types import MappingProxyType
from typing import Literal, TypeVar

from msgspec import Struct, field

from clutchlight.problems import Place

Genotype = tuple[int, int]
Look = frozenset[str]
SexSystem = Literal["XY", "ZW"]

NORMAL: Look = frozenset()

Key = TypeVar("Key", bound=Hashable)
Each = TypeVar("Each")


def grouped(pairs: Iterable[tuple[Key, Each]]) -> Mapping[Key, tuple[Each, ...]]:
    """What belongs to each key, keys and values in the order in which they come."""
    found: dict[Key, list[Each]] = {}
    for key, one in pairs:
        found.setdefault(key, []).append(one)
    return MappingProxyType({key: tuple(several) for key, several in found.items()})


def reached(start: Iterable[Key], step: Callable[[Key], Iterable[Key]]) -> frozenset[Key]:
    """Where one gets from these, themselves among it, going on from each to what a step leads to."""
    found = set(start)
    waiting = list(found)
    while waiting:
        for one in step(waiting.pop()):
            if one not in found:
                found.add(one)
                waiting.append(one)
    return frozenset(found)


Natural = tuple[tuple[int, int, str], ...]
"""A sort key of ids."""


@lru_cache(maxsize=4096)
def natural(name: str) -> Natural:
    """The order in which people list ids: a sort key by which `C24-03-2` comes before `C24-03-10`."""
    pieces = re.findall(r"[0-9]+|[^0-9]+", name)
    return tuple((0, int(piece), piece) if piece[0] in "0123456789" else (1, 0, piece) for piece in pieces)


class Inheritance(Enum):
    """How a trait is inherited; the values are the words used in records."""

    RECESSIVE = "recessive"
    INCOMPLETE_DOMINANT = "incomplete dominant"
    DOMINANT = "dominant"
    LINE_BRED = "line-bred"
    NOT_KNOWN = "not known"

    @property
    def computed(self) -> bool:
        """Whether figures are made for it at all; the others are described in words only."""
        return self not in (Inheritance.LINE_BRED, Inheritance.NOT_KNOWN)


class SexLinkage(Struct, frozen=True):
    """On the sex chromosomes. `crossover`: recombination fraction with the sex-determining region, or None: not known."""

    crossover: Fraction | None = None
    source: str | None = None


class Locus(Struct, frozen=True, dict=True):
    """One locus of one species. Names are canonical trait names; `key` is its address part and id.

    `affects`: what its looks are, where they are no looks but harm; it is spoken of as a risk then. `may_be_alleles`: the keys of loci
    of which nobody knows whether they are this one.
    """

    species: str
    key: str
    inheritance: Inheritance
    alleles: tuple[str, ...]
    two_copies: Mapping[str, str] = field(default_factory=dict)
    together: Mapping[frozenset[str], str] = field(default_factory=dict)
    also_called: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    dies: frozenset[str] = frozenset()
    subtle: frozenset[str] = frozenset()
    hides: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    background: Mapping[str, Fraction] = field(default_factory=dict)
    unrecorded: Fraction | None = None
    claim_trust: Fraction | None = None
    sex_linked: SexLinkage | None = None
    kept_in_parthenogenesis: Fraction = Fraction(0)
    two_copies_harm: Mapping[str, str] = field(default_factory=dict)
    together_harm: Mapping[frozenset[str], str] = field(default_factory=dict)
    affects: str | None = None
    may_be_alleles: tuple[str, ...] = ()
    welfare: str | None = None
    welfare_source: str | None = None
    what: str | None = None
    gene: str | None = None
    source: str | None = None
    built_in: bool = False
    place: Place | None = None

    @cached_property
    def genotypes(self) -> tuple[Genotype, ...]:
        """Every genotype that can live, normal first: a double dose that dies is left out."""
        pairs = combinations_with_replacement(range(len(self.alleles) + 1), 2)
        return tuple(pair for pair in pairs if not self.lethal(pair))

    @cached_property
    def look_of(self) -> Mapping[Genotype, Look]:
        """What each living genotype shows."""
        return MappingProxyType({pair: self._look(pair) for pair in self.genotypes})

    @cached_property
    def looks(self) -> Mapping[Look, tuple[Genotype, ...]]:
        """The genotypes behind each look."""
        return grouped((look, pair) for pair, look in self.look_of.items())

    @cached_property
    def look_names(self) -> tuple[str, ...]:
        """Every name that can stand in a look of this locus: alleles first, then double-dose and compound names."""
        names = dict.fromkeys(self.alleles)
        for look in self.looks:
            names.update(dict.fromkeys(sorted(look)))
        return tuple(names)

    @property
    def called_het(self) -> bool:
        """Whether one with one copy is called het: not where two are harm."""
        return self.inheritance is Inheritance.RECESSIVE and not self.affects

    @cached_property
    def troubled(self) -> tuple[str, ...]:
        """The alleles that its welfare speaks of: those of which harm by two copies is on record, else all."""
        harmful = {*self.two_copies_harm, *(trait for pair in self.together_harm for trait in pair)}
        return tuple(trait for trait in self.alleles if trait in harmful) or self.alleles

    def may_trouble(self, looks: Container[str]) -> bool:
        """Whether an animal of these looks shows one at this locus behind which an allele that its welfare speaks of may be."""
        here = frozenset(name for name in self.look_names if name in looks)
        troubled = {self.allele_number(trait) for trait in self.troubled}
        return any(not troubled.isdisjoint(pair) for pair in self.looks.get(here, ()) if here)

    def of_several_pairs(self, look: str) -> bool:
        """Whether several pairs of alleles look so, and the look is named after none of them."""
        return look not in self.alleles and sum(look in seen for seen in self.look_of.values()) > 1

    def lethal(self, pair: Genotype) -> bool:
        return pair[0] == pair[1] != 0 and self.alleles[pair[0] - 1] in self.dies

    def allele_number(self, trait: str) -> int:
        """The number of a mutant allele by its canonical trait name; ValueError when it is not one of this locus."""
        return self.alleles.index(trait) + 1

    def tells(self, look: Look, allele: int) -> bool:
        """Whether a look tells that an allele is there: every genotype behind it has it."""
        return look != NORMAL and all(allele in pair for pair in self.looks.get(look, ()))

    def shows_allele(self, pair: Genotype, allele: int) -> bool:
        """Whether an animal of this genotype shows the trait of that allele, alone, doubled or in a named compound.

        A copy that is hidden beside another allele is not shown: one of each of two alleles may look like two of the other.
        """
        others = {self.alleles[other - 1] for other in pair if other not in (0, allele)}
        return allele in pair and bool(self.look_of[pair] - others)

    def shows_look(self, pair: Genotype, look: str) -> bool:
        """Whether an animal of this genotype has a look, or that of two copies in its place."""
        return not self.look_of[pair].isdisjoint((look, self.two_copies.get(look, look)))

    def _look(self, pair: Genotype) -> Look:
        low, high = pair
        if not self.inheritance.computed or high == 0:
            return NORMAL
        name_high = self.alleles[high - 1]
        if low == 0:
            return NORMAL if self.inheritance is Inheritance.RECESSIVE else frozenset({name_high})
        name_low = self.alleles[low - 1]
        if low == high:
            return frozenset({self._doubled(name_high)})
        named = self.together.get(frozenset({name_low, name_high}))
        return frozenset({named}) if named else frozenset({name_low, name_high})

    def _doubled(self, name: str) -> str:
        if self.inheritance is Inheritance.INCOMPLETE_DOMINANT:
            return self.two_copies.get(name, f"Super {name}")
        return self.two_copies.get(name, name)


class HarmTogether(Struct, frozen=True):
    """Harm that looks of several loci are known to do together, each with one copy or with two."""

    looks: tuple[str, ...]
    text: str
    source: str | None


class Species(Struct, frozen=True, dict=True):
    """A species: names, sex chromosomes, loci by key (in catalogue order), combos, and the sourced facts of its file.

    `name`: as it stands within a sentence.
    """

    key: str
    name: str
    scientific_name: str
    sex_system: SexSystem
    loci: Mapping[str, Locus]
    combos: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    harm_together: tuple[HarmTogether, ...] = ()
    facts: Mapping[str, object] = field(default_factory=dict)
    digest: str = ""

    @property
    def heading(self) -> str:
        """Its name where a sentence begins, or alone."""
        return self.name[:1].upper() + self.name[1:]

    @cached_property
    def locus_of_look(self) -> Mapping[str, tuple[str, ...]]:
        """For each look name, in canonical spelling, the keys of its loci (several when lines look alike)."""
        return grouped((name, key) for key, locus in self.loci.items() for name in locus.look_names)

    @cached_property
    def called_now(self) -> Mapping[str, str]:
        """For each other name of a look, in small letters, the look, where no look is called so."""
        return {
            name.casefold(): look
            for locus in self.loci.values()
            for look, names in locus.also_called.items()
            for name in names
            if name not in self.locus_of_look
        }

    @cached_property
    def _place_of_look(self) -> Mapping[str, tuple[bool, int, str]]:
        places = {key: place for place, key in enumerate(self.loci)}
        return {
            name: (
                any(self.loci[key].inheritance is Inheritance.RECESSIVE for key in keys),
                min(places[key] for key in keys),
                name,
            )
            for name, keys in self.locus_of_look.items()
        }

    def in_order(self, looks: Iterable[str]) -> tuple[str, ...]:
        """Looks as everything here says them: visible genes first, then recessive visuals, each in catalogue order."""
        last = (False, len(self.loci))
        return tuple(sorted(looks, key=lambda name: self._place_of_look.get(name, (*last, name))))

    def loci_of_looks(self, names: Iterable[str]) -> set[str]:
        """The keys of the loci of these looks."""
        return {key for name in names for key in self.locus_of_look.get(name, ())}

    @cached_property
    def harmful_looks(self) -> frozenset[str]:
        """The looks that are harm."""
        return frozenset(name for locus in self.loci.values() if locus.affects for name in locus.look_names)

    def is_harm(self, looks: Iterable[str]) -> bool:
        """Whether some of these looks is harm."""
        return not self.harmful_looks.isdisjoint(looks)

    def harms_of(self, looks: Iterable[str]) -> tuple[HarmTogether, ...]:
        """What is known of an animal that shows these looks, or the look of two copies in place of one."""
        shown = {name for look in looks for name in (look, self._one_copy.get(look, look))}
        return tuple(harm for harm in self.harm_together if shown.issuperset(harm.looks))

    @cached_property
    def _one_copy(self) -> Mapping[str, str]:
        """For the look of two copies that of one."""
        return {doubled: one for locus in self.loci.values() for one, doubled in locus.two_copies.items()}

    @cached_property
    def computed_loci(self) -> tuple[Locus, ...]:
        return tuple(locus for locus in self.loci.values() if locus.inheritance.computed)

    @property
    def heterogametic(self) -> Literal["male", "female"]:
        """The sex with two different sex chromosomes."""
        return "male" if self.sex_system == "XY" else "female"
