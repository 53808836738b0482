"""The numbers of each factor at a moment: priors, looks, tests and inheritance as tables over the open states.

Formula    folded young y: sum over c of T(c | s, d) look(c) test(c). In a clutch whose looks do not weigh, the same divided by
           sum over c of T(c | s, d) look(c): 1 where the look is possible and 0 where it is not, times what tests add.
           A picked egg with doubts of its own: the same with both sums over them too, their loci multiplied within each sum.
Time       the evidence up to `moment` is in force. What has not hatched by then is pinned to its first open state with weight 1, which
           sums to 1 over it and says nothing to its parents; its own figure is then not to be asked for. Tables made for one moment
           (`fixed`) need no pins: there the unborn stand as their parents make them.
Cost       a table of a kind is made once; families look alike.
Source     figures#variables-and-factors, figures#tests-as-evidence, figures#incomplete-records.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import product
from math import lcm

from clutchlight.genetics.evidence import LocusEvidence, Timeline
from clutchlight.genetics.factors import Factors, Place, Rule, Way
from clutchlight.genetics.families import Family
from clutchlight.genetics.states import HALF
from clutchlight.genetics.terms import Weight, coeff_at, leading, order_of, weight_of
from clutchlight.genetics.tree import Table


class FactorTables:
    """Tables of the factors of one species. `moment` may be set; `pins` hold states taken as known for a while."""

    def __init__(
        self,
        factors: Factors,
        timeline: Timeline,
        evidence: Sequence[LocusEvidence],
        moment: int,
        freed: frozenset[Place],
        fixed: bool,
    ) -> None:
        self.factors = factors
        self.timeline = timeline
        self.evidence = tuple(evidence)
        self.fixed = fixed
        self.moment = moment
        self.freed = freed
        self.pins: dict[Place, int] = {}
        self._tables: dict[tuple[object, ...], Table | None] = {}

    def table(self, rule: Rule) -> Table | None:
        """The numbers of a factor at the present moment, with the present pins."""
        if rule.kind == "choice":
            return self._choice_table(rule)
        if rule.kind == "sex":
            if not self.fixed and not self.born(rule.egg):
                return None
            states = self.factors.grids[rule.locus].states
            sexes = [states.all[state][0] for state in self.factors.open[rule.locus][rule.egg]]
            return [int(sex == own) for sex in ("male", "female") for own in sexes]
        if rule.kind == "founder":
            return self._founder_table(rule)
        if rule.kind == "looks":
            return self._looks_table(rule)
        if rule.kind == "picked":
            return self._picked_table(rule)
        return self._young_table(rule) if rule.kind == "young" else self._folded_table(rule)

    def _picked_table(self, rule: Rule) -> Table | None:
        """1 / (the chance, over all that is the egg's own, of the look by which it was picked), for the parents' states."""
        if not self.born(rule.egg):
            return None
        here, *others = [self._chances_picked(one) for one in (rule, *self.factors.picked[rule.egg])]
        scale = lcm(*(leading(chance) for chances in others for chance in chances if chance))
        cells: Table = [scale // leading(chance) if chance else 0 for chance in here]
        return cells if rule.way is None else self._in_choice(rule.way, cells)

    def _chances_picked(self, rule: Rule) -> list[Weight]:
        """The chance of the look of a picked egg, over all that is its own, for each combination of its parents' states; scaled."""
        family, egg = self.factors.pedigree.families[rule.family], self.factors.pedigree.eggs[rule.egg]
        if rule.way is None:
            sires = [(branch.sire, branch.chance) for branch in self.factors.born_branches(family, rule.egg)]
        else:
            sires = [(rule.way.sire, Fraction(1))]
        loci = [locus for locus in range(len(self.factors.grids)) if self.factors.tied(locus, family, rule.egg)]
        looks = {locus: self.evidence[locus].looks(egg, self.moment) for locus in loci}
        chances = [
            (sire, chance * share, sex) for sire, chance in sires for sex, share in self._sexes(loci, rule.egg, sire)
        ]
        scale = lcm(2, *(branch.chance.denominator * 2 for branch in family.branches))
        own = [(sire, int(chance * scale), sex) for sire, chance, sex in chances]
        parents = [variable for variable in rule.scope if variable[0] == "state"]
        found: list[Weight] = []
        for states in product(*(self.factors.open[variable[1]][variable[2]] for variable in parents)):
            state = {(variable[1], variable[2]): value for variable, value in zip(parents, states, strict=True)}
            seen: Weight = 0
            for sire, share, sex in own:
                weight: Weight = share
                for locus in loci:
                    grid, row = self.factors.grids[locus], self.factors.open[locus]
                    s = None if sire is None else state.get((locus, sire), row[sire][0])
                    d = state.get((locus, family.dam), row[family.dam][0])
                    mask = looks[locus] & (grid.states.sex_masks[sex] if sex and grid.states.linked else -1)
                    weight *= grid.seen(mask, None, True)[s, d]
                seen += weight
            found.append(seen)
        return found

    def _sexes(self, loci: Sequence[int], egg: int, sire: int | None) -> tuple[tuple[str, Fraction], ...]:
        """The sexes of an unsexed egg that several of these loci tell of, with their chances; one nameless sex otherwise."""
        if not any(self.factors.sex_bound(locus, egg) for locus in loci):
            return (("", Fraction(1)),)
        if sire is None:
            return (("female" if self.factors.grids[0].states.heterogametic == "male" else "male", Fraction(1)),)
        return (("male", HALF), ("female", HALF))

    def _choice_table(self, rule: Rule) -> Table:
        family = self.factors.pedigree.families[rule.family]
        chances = [family.branches[branch].chance for branch in self.factors.left((rule.family, rule.egg))]
        scale = lcm(*(chance.denominator for chance in chances))
        return [int(chance * scale) for chance in chances]

    def _founder_table(self, rule: Rule) -> Table:
        egg, evidence = self.factors.pedigree.eggs[rule.egg], self.evidence[rule.locus]
        looks = evidence.looks(egg, self.moment)
        prior = evidence.prior(egg, self.moment)
        seen = [w for state, w in enumerate(prior) if w and looks >> state & 1]
        own_least = min((order_of(weight) for weight in seen), default=0)
        tested = evidence.tested(egg, self.moment)
        pin = self.pins.get((rule.locus, rule.egg), -1)
        weights: list[Weight] = [
            prior[state] * (looks >> state & 1) * (tested[state] if tested else 1) * (pin >> state & 1)
            for state in self.factors.open[rule.locus][rule.egg]
        ]
        if (rule.locus, rule.egg) in self.freed:
            return [_lowered(weight, own_least) for weight in weights]
        least = min((order_of(weight) for weight in weights if weight), default=0) if self.fixed else own_least
        return [coeff_at(weight, least) if weight else 0 for weight in weights]

    def born(self, egg: int) -> bool:
        """Whether an egg has hatched by the present moment."""
        return self.timeline.born[egg] <= self.moment

    def _looks_table(self, rule: Rule) -> Table | None:
        """Looks (where they weigh) and tests of a young that is a variable."""
        evidence, egg = self.evidence[rule.locus], self.factors.pedigree.eggs[rule.egg]
        pin = self.pins.get((rule.locus, rule.egg), -1)
        looks = evidence.looks(egg, self.moment) if self.born(rule.egg) else -1
        tested = evidence.tested(egg, self.moment) if self.born(rule.egg) else None
        mask = looks & pin
        states = self.factors.open[rule.locus][rule.egg]
        if tested is None and all(mask >> state & 1 for state in states):
            return None
        return [(mask >> state & 1) * (tested[state] if tested else 1) for state in states]

    def _young_table(self, rule: Rule) -> Table:
        family, way = self.factors.pedigree.families[rule.family], rule.way
        assert way is not None  # noqa: S101 - a rule of this kind always has one
        row, born = self.factors.open[rule.locus], self.fixed or self.born(rule.egg)
        looks = (
            self.evidence[rule.locus].looks(self.factors.pedigree.eggs[rule.egg], self.moment)
            if born and not family.weighs and not self.factors.tied(rule.locus, family, rule.egg)
            else None
        )
        sires = (None,) if way.sire is None else row[way.sire]
        sexed = self.factors.pedigree.eggs[rule.egg].sex != "unknown" or self.factors.sex_told_elsewhere(
            rule.locus, rule.egg
        )
        key = ("young", rule.locus, sires, row[family.dam], row[rule.egg], self._shape(rule, way), born, looks, sexed)
        if key not in self._tables:
            grid = self.factors.grids[rule.locus]
            if not born:
                cells: Table = [
                    int(index == 0) for _ in sires for _ in row[family.dam] for index in range(len(row[rule.egg]))
                ]
            elif looks is None:
                cells = [grid.young((s, d), sexed)[c] for s in sires for d in row[family.dam] for c in row[rule.egg]]
            else:
                shares = grid.given_look(looks)
                cells = [shares[s, d][c] for s in sires for d in row[family.dam] for c in row[rule.egg]]
            self._tables[key] = self._in_choice(way, cells)
        found = self._tables[key]
        assert found is not None  # noqa: S101
        return found

    def _shape(self, rule: Rule, way: Way) -> tuple[int, int, int]:
        """What of a scope a table depends on besides the open states: who is a variable, and the place in the choice."""
        kinds = sum(1 << index for index, variable in enumerate(rule.scope) if variable[0] == "choice")
        return kinds, self.factors.size[way.choice] if way.choice else 0, way.position

    def _in_choice(self, way: Way, cells: Table) -> Table:
        if way.choice is None:
            return cells
        silent: Table = [1] * len(cells)
        return [
            w
            for position in range(self.factors.size[way.choice])
            for w in (cells if position == way.position else silent)
        ]

    def _folded_table(self, rule: Rule) -> Table | None:
        family, way = self.factors.pedigree.families[rule.family], rule.way
        assert way is not None  # noqa: S101 - a rule of this kind always has one
        groups = self._groups(rule.locus, family, rule.egg)
        if not groups:
            return None
        row = self.factors.open[rule.locus]
        sires = (None,) if way.sire is None else row[way.sire]
        weighs = family.weighs or (family.each_egg and self.factors.tied(rule.locus, family, rule.egg))
        key = ("folded", rule.locus, sires, row[family.dam], self._shape(rule, way), weighs, groups)
        if key not in self._tables:
            grid = self.factors.grids[rule.locus]
            cells: Table = [1] * (len(sires) * len(row[family.dam]))
            for (looks, tested), count in groups:
                chances = grid.seen(looks, tested, weighs)
                pairs = [(s, d) for s in sires for d in row[family.dam]]
                cells = [cell * chances[pair] ** count for cell, pair in zip(cells, pairs, strict=True)]
            self._tables[key] = self._in_choice(way, cells)
        return self._tables[key]

    def _groups(
        self, locus: int, family: Family, egg: int
    ) -> tuple[tuple[tuple[int, tuple[int, ...] | None], int], ...]:
        """The folded young that say something: (looks, tests) with how many say the same."""
        evidence = self.evidence[locus]
        counted: dict[tuple[int, tuple[int, ...] | None], int] = {}
        for member in family.eggs if egg == -1 else (egg,) if egg >= 0 else ():
            if self.factors.is_folded(locus, member) and self.born(member):
                said = self.said(locus, member)
                counted[said] = counted.get(said, 0) + 1
        full = evidence.states.full
        return tuple(sorted(((said, count) for said, count in counted.items() if said != (full, None)), key=repr))

    def said(self, locus: int, egg: int) -> tuple[int, tuple[int, ...] | None]:
        """What a young's looks leave open and how its tests, and what it is pinned to, weigh."""
        evidence, value = self.evidence[locus], self.factors.pedigree.eggs[egg]
        tested = evidence.tested(value, self.moment)
        pin = self.pins.get((locus, egg))
        if pin is not None:
            tested = tuple(
                weight * (pin >> state & 1) for state, weight in enumerate(tested or (1,) * evidence.states.count)
            )
        return evidence.looks(value, self.moment), tested


def _lowered(weight: Weight, by: int) -> Weight:
    return weight_of(max(0, order_of(weight) - by), leading(weight))
