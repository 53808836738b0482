"""The states of one animal at one locus, and the chance of each state of a young given its parents'.

Computes   T(c | s, d), the chance that a young of sire state s and dam state d has state c, and the same under parthenogenesis.
           From it, what is seen of a young: how likely that is for each pair of parents, which states it leaves, which looks known parents'
           young can have; and what one step of elimination leaves of a family.
Symbols    state = (sex, first, second): an unordered pair of alleles (first <= second, sex ""), or, at a sex-linked locus, the sex
           with the pair: unordered in the homogametic sex; in the heterogametic sex `first` stands on the shared sex
           chromosome (X or Z) and `second` on the sex-limited one (Y or W).
           r = recombination fraction between the locus and the sex-determining region; u = share of young that keep the
           dam's heterozygosity under terminal-fusion automixis.
Formula    each allele of a pair is passed on with 1/2. From a heterogametic parent at a sex-linked locus the allele on the
           sex-limited chromosome goes to a young of that sex with 1 - r and to one of the other sex with r, and the other
           allele the other way round; r = 1/2 is an ordinary locus. Automixis: a dam a/b has young a/a and b/b with (1 - u)/2
           each and a/b with u. A young of either sex has chance 1/2. Genotypes that die are left out and the rest, within
           each sex, scaled to 1: shares are among survivors.
           Where u is 0 though nothing but a young that kept a/b fits the records (`spared`), u is read as a share that vanishes: a/b
           weighs u over the share of survivors, u being counted by orders of KEPT.
Assumes    no mutation, no selection but by the lethal double dose, no distortion.
Invariant  T(. | s, d) sums to `scale` for every pair that can have living young, to 0 where all young die. All whole numbers.
Cost       n(n+1)/2 states for n alleles (normal included), about twice as many when sex-linked; tables are made once a locus.
Source     Mendel 1866 (segregation); partial sex linkage: figures#sex-linkage, derived, r = 1/2 equal to an autosomal locus;
           terminal fusion: Booth et al. 2014, Biol J Linn Soc 112:461-468.

>>> from clutchlight.model import Inheritance, Locus
>>> states = States(Locus("ball-python", "piebald", Inheritance.RECESSIVE, ("Piebald",)), "XY")
>>> [pair for _, *pair in states.all], states.scale
([[0, 0], [0, 1], [1, 1]], 4)
>>> states.young(1, 1)   # het x het, out of 4
(1, 2, 1)
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from functools import cache, cached_property, lru_cache
from itertools import combinations_with_replacement, product
from math import gcd, lcm
from typing import NamedTuple

from msgspec import Struct

from clutchlight.genetics.terms import KEPT, Weight, gathered, leading, order_of, over, total, weighed, weight_of
from clutchlight.model import Genotype, Locus, Look, Sex, SexSystem

State = tuple[str, int, int]

HALF = Fraction(1, 2)

Pair = tuple[int | None, int]
"""A sire's state, None where there is none, and a dam's."""

Shares = dict[State, tuple[int, int]]
"""The share of each state among young, as a part of a whole."""

YoungShares = dict[Pair, tuple[tuple[int, int], ...]]
"""For each pair of parents' states: the states that a young can have, each with its share as a whole number of a common scale."""

Kind = tuple[Sex | None, Look]
"""The look of a hatchling at a locus, with its sex where the sexes differ there."""


class FamilyStep(NamedTuple):
    """What one step of elimination leaves of the domains of a sire, a dam and each distinct young, and whether that is less than before."""

    sires: int
    dams: int
    young: Mapping[int, int]
    changed: bool


class Shape(Struct, frozen=True):
    """All that a locus's tables of inheritance depend on; loci of one shape share them."""

    all: tuple[State, ...]
    linked: bool
    crossover: Fraction
    heterogametic: Sex
    kept: Fraction
    spared: bool


class Tables:
    """The whole-number tables of inheritance of loci of one shape."""

    def __init__(self, shape: Shape) -> None:
        self.shape = shape
        self.all = shape.all
        self.number = {state: index for index, state in enumerate(self.all)}
        self.step = cache(self._step)

    def _of_sex(self, sex: Sex) -> list[int]:
        """The numbers of the states that an animal of a sex can have."""
        return [number for number, state in enumerate(self.all) if not self.shape.linked or state[0] == sex]

    @cached_property
    def _shares(self) -> dict[tuple[int, int], Shares]:
        """For each pair of a possible sire's and a possible dam's state: the shares among living young (absent: all die)."""
        sires = self._of_sex("male")
        dams = self._of_sex("female")
        return {(s, d): self._cross(self.all[s], self.all[d]) for s in sires for d in dams}

    @cached_property
    def _alone(self) -> dict[int, Shares]:
        fused = {d: self._fuse(self.all[d]) for d in self._of_sex("female")}
        return {d: {state: share.as_integer_ratio() for state, share in table.items()} for d, table in fused.items()}

    @cached_property
    def scale(self) -> int:
        """The common denominator of every table of this locus."""
        shares = {share for table in (*self._shares.values(), *self._alone.values()) for share in table.values()}
        return lcm(*(whole // gcd(part, whole) for part, whole in shares))

    @cached_property
    def _young(self) -> dict[tuple[int, int], tuple[Weight, ...]]:
        return {key: self._scaled(table) for key, table in self._shares.items()}

    @cached_property
    def _young_alone(self) -> dict[int, tuple[Weight, ...]]:
        order = [KEPT if self.shape.spared and a != b else 0 for _, a, b in self.all]
        scaled = {key: self._scaled(table) for key, table in self._alone.items()}
        return {key: tuple(map(weight_of, order, row)) for key, row in scaled.items()}

    def _scaled(self, table: Shares) -> tuple[int, ...]:
        found = [0] * len(self.all)
        for state, (part, whole) in table.items():
            found[self.number[state]] = part * self.scale // whole
        return tuple(found)

    def young(self, sire: int | None, dam: int) -> tuple[Weight, ...]:
        """Weights of the young's states out of `scale`, for parents' state numbers; sire None: parthenogenesis."""
        return self._young_alone[dam] if sire is None else self._young[sire, dam]

    @cached_property
    def _open(self) -> dict[Pair, int]:
        found: dict[Pair, int] = {}
        for (s, d), weights in self._young.items():
            found[s, d] = sum(1 << c for c, weight in enumerate(weights) if weight)
        for d, weights in self._young_alone.items():
            found[None, d] = sum(1 << c for c, weight in enumerate(weights) if weight)
        return found

    @cached_property
    def barren(self) -> bool:
        """Whether there are parents whose young all die."""
        return not all(self._open.values())

    def open_to(self, sire: int | None, dam: int) -> int:
        """The states, as a mask, that a young of these parents can have."""
        return self._open[sire, dam]

    def _step(self, sires: int, dams: int, young: frozenset[int]) -> FamilyStep | None:
        """One step of elimination for these domains (no sires: parthenogenesis); None: nothing fits."""
        left_sires = left_dams = 0
        left_young = dict.fromkeys(young, 0)
        candidates: tuple[int | None, ...] = bits(sires) if sires else (None,)
        for dam in bits(dams):
            for sire in candidates:
                open_to = self.open_to(sire, dam)
                if not open_to or not all(open_to & mask for mask in young):
                    continue
                left_dams |= 1 << dam
                left_sires |= 0 if sire is None else 1 << sire
                for mask in young:
                    left_young[mask] |= open_to & mask
        changed = left_sires != sires or left_dams != dams or any(left != mask for mask, left in left_young.items())
        return FamilyStep(left_sires, left_dams, left_young, changed) if left_dams else None

    def _gametes(self, state: State, to: str) -> dict[int, int]:
        """Of how many gametes for a young of sex `to` each allele is passed on by a parent in `state`; 2, or as many as r needs."""
        sex, first, second = state
        share = HALF
        if self.shape.linked and sex == self.shape.heterogametic:
            share = self.shape.crossover if to == self.shape.heterogametic else 1 - self.shape.crossover
        found: dict[int, int] = {}
        for allele, count in ((first, share.numerator), (second, share.denominator - share.numerator)):
            if count:
                found[allele] = found.get(allele, 0) + count
        return found

    def _cross(self, sire: State, dam: State) -> Shares:
        sexes = ("male", "female") if self.shape.linked else ("",)
        found: Shares = {}
        for sex in sexes:
            counts: dict[State, int] = {}
            from_sire, from_dam = self._gametes(sire, sex), self._gametes(dam, sex)
            for (a, of_sire), (b, of_dam) in product(from_sire.items(), from_dam.items()):
                child = self._placed(sex, a, b)
                if child in self.number:
                    counts[child] = counts.get(child, 0) + of_sire * of_dam
            alive = sum(counts.values()) * len(sexes)
            found |= {child: (count, alive) for child, count in counts.items()}
        return found

    def _placed(self, sex: str, from_sire: int, from_dam: int) -> State:
        if self.shape.linked and sex == self.shape.heterogametic:
            return (sex, from_dam, from_sire) if sex == "male" else (sex, from_sire, from_dam)
        return (sex, min(from_sire, from_dam), max(from_sire, from_dam))

    def _fuse(self, dam: State) -> dict[State, Fraction]:
        sex, a, b = dam
        if self.shape.linked and sex == self.shape.heterogametic:
            return self._normal_male() if (a, b) == (0, 0) else self._uninformative()
        lost = (1 - self.shape.kept) / 2
        young = (((sex, a, a), lost), ((sex, a, b), self.shape.kept), ((sex, b, b), lost))
        shares = gathered((child, share) for child, share in young if share and child in self.number)
        if self.shape.spared and a != b:
            return _to_one(shares) | {(sex, a, b): 1 / (sum(shares.values()) or Fraction(1))}
        return _to_one(shares)

    def _normal_male(self) -> dict[State, Fraction]:
        """What a ZW dam without a mutant allele has without a sire, however her young come about."""
        return {
            (sex, a, b): Fraction(1) for sex, a, b in self.all if sex != self.shape.heterogametic and (a, b) == (0, 0)
        }

    def _uninformative(self) -> dict[State, Fraction]:
        """What says nothing: a ZW dam's young without sire are males, of which a sex-linked locus is not computed."""
        males = self._of_sex("male")
        return {self.all[state]: Fraction(1, len(males)) for state in males}


@lru_cache(maxsize=4096)
def bits(mask: int) -> tuple[int, ...]:
    """The positions that a mask holds, ascending."""
    return tuple(position for position in range(mask.bit_length()) if mask >> position & 1)


@lru_cache(maxsize=256)
def tables_of(shape: Shape) -> Tables:
    """The tables of a shape, made once."""
    return Tables(shape)


class States:
    """The living states of a locus in a fixed order (normal first) and its whole-number tables of inheritance."""

    def __init__(self, locus: Locus, system: SexSystem, kept: Fraction | None = None, *, spared: bool = False) -> None:
        self.locus = locus
        self.spared = spared
        self.kept = locus.kept_in_parthenogenesis if kept is None else kept
        crossover = locus.sex_linked.crossover if locus.sex_linked else None
        self.linked = crossover is not None
        self.crossover = crossover if crossover is not None else HALF
        self.heterogametic: Sex = "male" if system == "XY" else "female"
        self.all: tuple[State, ...] = tuple(self._living())
        self.number = {state: index for index, state in enumerate(self.all)}
        self.pairs: tuple[Genotype, ...] = tuple((min(a, b), max(a, b)) for _, a, b in self.all)
        self.count = len(self.all)
        self.full = (1 << self.count) - 1
        shape = Shape(self.all, self.linked, self.crossover, self.heterogametic, self.kept, spared)
        tables = tables_of(shape)
        self.scale, self.barren = tables.scale, tables.barren
        self.step, self.open_to, self.young = tables.step, tables.open_to, tables.young
        self.seen = cache(self._seen)
        self.given_look = cache(self._given_look)
        self.young_given = cache(self._young_given)
        self.kinds, self._genotypes = cache(self._kinds), cache(self._genotypes_of)
        self.without, self.of_sex = cache(self._without), cache(self._of_sex)

    def _living(self) -> list[State]:
        alleles = range(len(self.locus.alleles) + 1)
        unordered = list(combinations_with_replacement(alleles, 2))
        if not self.linked:
            return [("", *pair) for pair in unordered if not self.locus.lethal(pair)]
        found: list[State] = []
        for sex in ("male", "female"):
            pairs = product(alleles, repeat=2) if sex == self.heterogametic else unordered
            found += [(sex, a, b) for a, b in pairs if not self.locus.lethal((min(a, b), max(a, b)))]
        return found

    def mask(self, holds: Callable[[Genotype], bool], sex: Sex = "unknown") -> int:
        """The states, as a bit mask, whose genotype satisfies a condition and whose sex can be `sex`."""
        return sum(
            1 << index
            for index, (state, pair) in enumerate(zip(self.all, self.pairs, strict=True))
            if holds(pair) and (not self.linked or sex == "unknown" or state[0] == sex)
        )

    @cached_property
    def normal(self) -> int:
        """The states without a mutant allele."""
        return self.mask(lambda pair: not any(pair))

    def _without(self, allele: int | None, *, two: bool = False) -> int:
        """The states without an allele; None or 0: without any mutant one. `two`: without two copies of it."""
        if two:
            return self.mask(lambda pair: pair != (allele, allele))
        return self.mask(lambda pair: allele not in pair) if allele else self.normal

    def _of_sex(self, sex: Sex) -> int:
        return self.mask(lambda _: True, sex)

    @cached_property
    def sex_masks(self) -> dict[str, int]:
        return {"male": self.of_sex("male"), "female": self.of_sex("female")}

    def members(self, mask: int) -> tuple[int, ...]:
        """The state numbers in a mask, ascending."""
        return bits(mask & self.full)

    @cached_property
    def parents(self) -> tuple[Pair, ...]:
        """Every pair of parents' states; no sire first."""
        males, females = self.members(self.of_sex("male")), self.members(self.of_sex("female"))
        return tuple((sire, dam) for sire in (None, *males) for dam in females)

    @property
    def plain(self) -> bool:
        """Whether the locus has two alleles and does not go with sex: then elimination decides where no sire is in doubt."""
        return len(self.locus.alleles) == 1 and not self.linked

    # -- what is seen of a young --------------------------------------------------------------------------------------

    def young_of_sex(self, pair: Pair, sexed: bool) -> tuple[Weight, ...]:
        """T for a pair. Sex is no evidence: where it is recorded, young of two parents weigh twice (parthenogenesis has one sex only)."""
        weights = self.young(*pair)
        if sexed and self.linked and pair[0] is not None:
            return tuple(2 * weight for weight in weights)
        return weights

    def _weights(self, pair: Pair, looks: int, tested: tuple[int, ...] | None) -> list[Weight]:
        sexed = self.linked and any(not looks & ~mask & self.full for mask in self.sex_masks.values())
        young = self.young_of_sex(pair, sexed)
        return [w * (looks >> c & 1) * (tested[c] if tested else 1) for c, w in enumerate(young)]

    def _seen(self, looks: int, tested: tuple[int, ...] | None, weighs: bool) -> dict[Pair, Weight]:
        """The chance, up to one factor, of what was seen of one young, for each pair of parents' states."""
        joint = {pair: total(self._weights(pair, looks, tested)) for pair in self.parents}
        if weighs:
            return joint
        look = {pair: total(self._weights(pair, looks, None)) for pair in self.parents}
        parts = [(order_of(joint[pair]), over(joint[pair], look[pair])) for pair in self.parents]
        return dict(zip(self.parents, weighed(parts), strict=True))

    def _given_look(self, looks: int) -> dict[Pair, tuple[Weight, ...]]:
        """The shares of a young's states given its look, up to one factor for the whole table."""
        rows = {pair: self._weights(pair, looks, None) for pair in self.parents}
        whole = {pair: leading(total(row)) for pair, row in rows.items()}
        scale = lcm(*(weight for weight in whole.values() if weight))
        return {
            pair: tuple(weight * (scale // whole[pair]) if weight else 0 for weight in row)
            for pair, row in rows.items()
        }

    def _young_given(self, looks: int, tested: tuple[int, ...] | None) -> tuple[int, YoungShares]:
        """The distribution of a young's own state given its parents' states, its looks and its tests: a scale, and shares of it.

        Where its looks are impossible there are none.
        """
        rows = {pair: self._weights(pair, looks, tested) for pair in self.parents}
        whole = {pair: total(row) for pair, row in rows.items()}
        scale = lcm(*(leading(weight) for weight in whole.values() if weight))
        return scale, {
            pair: tuple(
                (c, leading(weight) * (scale // leading(whole[pair])))
                for c, weight in enumerate(row)
                if weight and order_of(weight) == order_of(whole[pair])
            )
            for pair, row in rows.items()
        }

    # -- the young of known parents ------------------------------------------------------------------------------------

    def _kinds(self, sire: int, dam: int) -> Mapping[Kind, Fraction]:
        """The chance of each kind of hatchling of these parents; they sum to 1. A subtle look counts: somebody searched for it."""
        return gathered(
            (self._kind(state), over(share, self.scale)) for state, share in enumerate(self.young(sire, dam)) if share
        )

    def _kind(self, state: int) -> Kind:
        sex = self.all[state][0]
        told: Sex | None = "male" if sex == "male" else "female" if sex == "female" else None
        return told, self.locus.look_of[self.pairs[state]]

    def genotypes(self, sire: int, dam: int, sex: Sex | None) -> Mapping[Genotype, Fraction]:
        """The chance of each genotype of a hatchling, of one sex or of either; they sum to 1."""
        return self._genotypes(sire, dam, sex if self.linked else None)

    def _genotypes_of(self, sire: int, dam: int, sex: Sex | None) -> Mapping[Genotype, Fraction]:
        found = gathered(
            (self.pairs[state], over(share, self.scale))
            for state, share in enumerate(self.young(sire, dam))
            if share and (sex is None or self.all[state][0] == sex)
        )
        whole = sum(found.values(), Fraction(0))
        return {pair: chance / whole for pair, chance in found.items()}

    def look(self, sire: int, dam: int, sex: Sex | None, look: Look) -> Fraction:
        """The chance of a look among hatchlings of one sex, or of either."""
        look_of = self.locus.look_of
        return sum(
            (chance for pair, chance in self.genotypes(sire, dam, sex).items() if look_of[pair] == look), Fraction(0)
        )


def _to_one(shares: Mapping[State, Fraction]) -> dict[State, Fraction]:
    """The shares among survivors; {} where all die."""
    alive = sum(shares.values())
    return {state: share / alive for state, share in shares.items()} if alive else {}
