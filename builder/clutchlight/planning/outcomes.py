"""Every look that the young of a pairing can have, with its chance for an egg and for a clutch.

Computes   for each look v (one look at every locus that can be told): P(egg looks v), P(a clutch of n has at least one),
           and what such young carry unseen.
Symbols    g = states of both parents at all loci; p(v | g) = product over loci of p(look at the locus | g there); moment k of v =
           E[p(v | g)^k]; a locus hidden by another look of v is left out of the product.
Formula    at least one of n = 1 - E[(1 - p)^n] = sum over k = 1..n of (-1)^(k+1) C(n, k) E[p^k]. The eggs of a clutch share their
           parents, so this is not 1 - (1 - E p)^n. With the sexes told apart each egg is of either sex with 1/2.
           E[p^k] = product over groups of loci, sum over parts, product over loci of E[p(look | g)^k | part]: see `genetics.pairs`.
Assumes    parents' states and sires in doubt as they stand today; every hatchling alive.
Invariant  the chances sum to exactly 1, since each look at a locus that can be told goes one way and hidden loci none.
Cost       one vector of n whole numbers for each step of the walk over looks; LIMIT looks at most.
Source     figures, section 5; the sum is the binomial theorem.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import comb, lcm, prod

from clutchlight.genetics.pairs import Group, Part, Together
from clutchlight.model import Genotype, Locus, Look, Sex
from clutchlight.planning.odds_values import Carried, Harm, Outcome
from clutchlight.planning.young import Cross, hides, hiding_order, shows

LIMIT = 1 << 16
"""The most looks that are told apart; beyond it a pairing has too many to list."""

Looks = tuple[Look | None, ...]
"""The look at each locus of a group, None where it is hidden."""


class TooManyLooksError(Exception):
    """The young of a pairing can look in more than LIMIT ways."""


@dataclass(frozen=True, slots=True)
class GroupLooks:
    """What one combination of looks at a group's loci contributes: its moments (whole numbers, see `scale`) and what is behind it."""

    moments: tuple[int, ...]
    unseen: tuple[tuple[int, Carried], ...]
    double: tuple[tuple[int, Carried], ...]
    harm: tuple[tuple[int, Harm], ...]
    every: Fraction
    none: Fraction


class Outcomes:
    """The looks of the young of two animals, sire first."""

    def __init__(self, together: Together, young: int) -> None:
        self.together = together
        self.young = young
        self.crosses = tuple(Cross(locus, states) for locus, states in zip(together.loci, together.states, strict=True))
        self.groups = together.groups
        self.group_of = {locus: index for index, group in enumerate(self.groups) for locus in group.loci}
        self.order = hiding_order(together.loci)
        self.by_sex = any(cross.sexed for cross in self.crosses)
        self._moments: dict[tuple[int, int, int, Sex | None, Look], tuple[Fraction, ...]] = {}
        self._found: dict[tuple[int, Sex | None, Looks], GroupLooks | None] = {}
        self.scale = tuple(self._scale(index) for index in range(len(self.groups)))

    def all(self) -> tuple[Outcome, ...]:
        """Every outcome, most likely first. Raises TooManyLooksError."""
        found: list[Outcome] = []
        for sex in ("male", "female") if self.by_sex else (None,):
            leaf = self._leaf_of(sex)
            for looks, picked in self._walk(sex, 0, frozenset(), {}):
                if len(found) == LIMIT:
                    raise TooManyLooksError
                found.append(leaf.outcome(looks, picked))
        rank = {None: 0, "male": 1, "female": 2}
        return tuple(sorted(found, key=lambda one: (-one.per_egg, len(one.looks), one.looks, rank[one.sex])))

    # -- the walk over looks -------------------------------------------------------------------------------------------

    def _walk(
        self, sex: Sex | None, step: int, closed: frozenset[str], looks: dict[int, Look | None]
    ) -> Iterator[tuple[dict[int, Look | None], tuple[GroupLooks, ...]]]:
        """Each possible combination of looks, loci in the order of hiding, with its contributions group by group."""
        picked: list[GroupLooks] = []
        yield from self._deeper(sex, step, closed, looks, picked)

    def _deeper(
        self,
        sex: Sex | None,
        step: int,
        closed: frozenset[str],
        looks: dict[int, Look | None],
        picked: list[GroupLooks],
    ) -> Iterator[tuple[dict[int, Look | None], tuple[GroupLooks, ...]]]:
        if step == len(self.order):
            yield looks, tuple(picked)
            return
        locus = self.order[step]
        value = self.together.loci[locus]
        options: Sequence[Look | None] = (None,) if value.key in closed else self.crosses[locus].looks
        for look in options:
            looks[locus] = look
            group = self.group_of[locus]
            complete = all(member in looks for member in self.groups[group].loci)
            if complete:
                found = self._group_looks(group, sex, tuple(looks[member] for member in self.groups[group].loci))
                if found is None:
                    continue
                picked.append(found)
            yield from self._deeper(sex, step + 1, closed | hides(value, look), looks, picked)
            if complete:
                picked.pop()
        del looks[locus]

    def _leaf_of(self, sex: Sex | None) -> _Leaf:
        return _Leaf(self, sex)

    # -- one group of loci ---------------------------------------------------------------------------------------------

    def _scale(self, index: int) -> tuple[int, ...]:
        """For each moment a common denominator of every combination of looks at a group's loci."""
        group = self.groups[index]
        chances = lcm(*(part.chance.denominator for part in group.parts))
        tables = [
            lcm(*(c.denominator for part in group.parts for _, c in part.tables[at])) for at in range(len(group.loci))
        ]
        scales = [self.crosses[locus].states.scale for locus in group.loci]
        return tuple(chances * prod(tables) * prod(scales) ** k for k in range(1, self.young + 1))

    def _group_looks(self, index: int, sex: Sex | None, looks: Looks) -> GroupLooks | None:
        key = (index, sex, looks)
        if key not in self._found:
            self._found[key] = self._worked_out(index, sex, looks)
        return self._found[key]

    def _worked_out(self, index: int, sex: Sex | None, looks: Looks) -> GroupLooks | None:
        group = self.groups[index]
        weights = [Fraction(0)] * len(group.parts)
        sums = [Fraction(0)] * self.young
        for number, part in enumerate(group.parts):
            vectors = [
                self._locus_moments(index, number, at, sex, look) for at, look in enumerate(looks) if look is not None
            ]
            for k in range(self.young):
                term = part.chance
                for vector in vectors:
                    term *= vector[k]
                sums[k] += term
                if k == 0:
                    weights[number] = term
        if not sums[0]:
            return None
        moments = tuple(int(value * scale) for value, scale in zip(sums, self.scale[index], strict=True))
        return self._carried(group, sex, looks, moments, [weight / sums[0] for weight in weights])

    def _locus_moments(self, index: int, part: int, at: int, sex: Sex | None, look: Look) -> tuple[Fraction, ...]:
        key = (index, part, at, sex, look)
        if key not in self._moments:
            group = self.groups[index]
            cross = self.crosses[group.loci[at]]
            sums = [Fraction(0)] * self.young
            for (sire, dam), chance in group.parts[part].tables[at]:
                seen = cross.look(sire, dam, sex, look)
                term = chance
                for k in range(self.young):
                    term *= seen
                    sums[k] += term
            self._moments[key] = tuple(sums)
        return self._moments[key]

    # -- what is behind the looks --------------------------------------------------------------------------------------

    def _carried(
        self, group: Group, sex: Sex | None, looks: Looks, moments: tuple[int, ...], weights: Sequence[Fraction]
    ) -> GroupLooks:
        behind = [
            [self._behind(part, at, self.crosses[locus], sex, looks[at]) for at, locus in enumerate(group.loci)]
            for part in group.parts
        ]
        live = [number for number, weight in enumerate(weights) if weight]
        unseen: list[tuple[int, Carried]] = []
        double: list[tuple[int, Carried]] = []
        harm: list[tuple[int, Harm]] = []
        wanted: list[tuple[int, ...]] = []
        for at, position in enumerate(group.loci):
            locus = self.together.loci[position]
            joined: dict[Genotype, Fraction] = {}
            for number in live:
                for pair, chance in behind[number][at].items():
                    joined[pair] = joined.get(pair, Fraction(0)) + weights[number] * chance
            look = looks[at]
            open_alleles = []
            for allele, trait in enumerate(locus.alleles, 1):
                if look is not None and shows(locus, look, allele):
                    two = _sum(joined, lambda pair, a=allele: pair == (a, a))  # type: ignore[misc]
                    if 0 < two < 1:
                        double.append((position, Carried(locus.key, trait, two)))
                    continue
                carries = _sum(joined, lambda pair, a=allele: a in pair)  # type: ignore[misc]
                if carries:
                    unseen.append((position, Carried(locus.key, trait, carries)))
                    open_alleles.append(allele)
            wanted.append(tuple(open_alleles))
            harm += [(position, one) for one in harms_of(locus, joined)]
        every = none = Fraction(0)
        for number in live:
            all_here = none_here = weights[number]
            for at, alleles in enumerate(wanted):
                pairs = behind[number][at]
                all_here *= _sum(pairs, lambda pair, need=alleles: all(allele in pair for allele in need))  # type: ignore[misc]
                none_here *= _sum(pairs, lambda pair, need=alleles: not any(allele in pair for allele in need))  # type: ignore[misc]
            every += all_here
            none += none_here
        return GroupLooks(moments, tuple(unseen), tuple(double), tuple(harm), every, none)

    def _behind(
        self, part: Part, at: int, cross: Cross, sex: Sex | None, look: Look | None
    ) -> Mapping[Genotype, Fraction]:
        """The genotypes of young with this look at one locus; empty where no such young can be."""
        found: dict[Genotype, Fraction] = {}
        for (sire, dam), chance in part.tables[at]:
            for pair, share in cross.genotypes(sire, dam, sex).items():
                if look is None or cross.locus.look_of[pair] == look:
                    found[pair] = found.get(pair, Fraction(0)) + chance * share
        whole = sum(found.values(), Fraction(0))
        return {pair: chance / whole for pair, chance in found.items()}


class _Leaf:
    """Makes outcomes of one sex from the contributions of the groups."""

    def __init__(self, outcomes: Outcomes, sex: Sex | None) -> None:
        self.of = outcomes
        self.sex = sex
        young = outcomes.young
        share = 1 if sex is None else 2
        bases = [prod(scale[k] for scale in outcomes.scale) * share ** (k + 1) for k in range(young)]
        self.whole = lcm(*bases)
        self.first = bases[0]
        self.factors = [
            (comb(young, k + 1) if k % 2 == 0 else -comb(young, k + 1)) * (self.whole // bases[k]) for k in range(young)
        ]
        species = outcomes.together.species
        self.combos = tuple((name, frozenset(parts)) for name, parts in species.combos.items())

    def outcome(self, looks: Mapping[int, Look | None], picked: Sequence[GroupLooks]) -> Outcome:
        of = self.of
        moments = [prod(column) for column in zip(*(one.moments for one in picked), strict=True)] if picked else [1]
        per_egg = Fraction(moments[0], self.first) if picked else Fraction(1)
        some = sum(factor * moment for factor, moment in zip(self.factors, moments, strict=False))
        names: list[str] = []
        hidden: list[str] = []
        for locus in range(len(of.together.loci)):
            look = looks[locus]
            if look is None:
                hidden.append(of.together.loci[locus].key)
            else:
                names += sorted(look)
        every = none = Fraction(1)
        for one in picked:
            every *= one.every
            none *= one.none
        return Outcome(
            tuple(names),
            self.sex,
            per_egg,
            Fraction(some, self.whole) if picked else Fraction(1),
            per_egg * of.young,
            _in_order(one.unseen for one in picked),
            every,
            none,
            _in_order(one.double for one in picked),
            tuple(hidden),
            self._combos(frozenset(names)),
            tuple(harm for _, harm in sorted((row for one in picked for row in one.harm), key=lambda row: row[0])),
        )

    def _combos(self, looks: frozenset[str]) -> tuple[str, ...]:
        """The names of the combos that the look holds, without those that a larger one of them holds."""
        whole = [(name, parts) for name, parts in self.combos if parts <= looks]
        return tuple(name for name, parts in whole if not any(parts < other for _, other in whole))


def harms_of(locus: Locus, chances: Mapping[Genotype, Fraction]) -> Iterator[Harm]:
    """The harm that is known of the genotypes in a distribution, with its chance."""
    for allele, trait in enumerate(locus.alleles, 1):
        two = chances.get((allele, allele), Fraction(0))
        if two and trait in locus.two_copies_harm:
            yield Harm(locus.key, (trait, trait), locus.two_copies_harm[trait], locus.welfare_source, two)
    for low, one in enumerate(locus.alleles, 1):
        for high, other in enumerate(locus.alleles[low:], low + 1):
            both = chances.get((low, high), Fraction(0))
            text = locus.together_harm.get(frozenset({one, other}))
            if both and text:
                yield Harm(locus.key, (one, other), text, locus.welfare_source, both)


def _in_order(rows: Iterator[tuple[tuple[int, Carried], ...]]) -> tuple[Carried, ...]:
    return tuple(carried for _, carried in sorted((row for some in rows for row in some), key=lambda row: row[0]))


def _sum(chances: Mapping[Genotype, Fraction], holds: Callable[[Genotype], bool]) -> Fraction:
    return sum((chance for pair, chance in chances.items() if holds(pair)), Fraction(0))
