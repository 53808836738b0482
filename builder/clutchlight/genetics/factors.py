"""The factors of one species: the variables that they join, and their numbers at a moment.

Variables  the state of an egg at a locus where more than one state is open and the egg has young (others are folded into a factor on
           their parents); the choice among the open sires of a clutch, or of an egg of a mixed clutch, where they differ at some locus;
           the sex of an unsexed egg when two sex-linked loci need it.
Factors    a founder's prior with its looks and tests; T(c | s, d) for each young that is a variable, one factor for each possible sire,
           silent when the choice is another; the product over folded young of the chance of their looks and tests given s and d;
           the prior of each choice; a sex, the same at every sex-linked locus; for an egg that was picked by its look and is in doubt
           of something of its own that several loci tell of (its sire in a mixed clutch, its sex), what its look takes back.
Formula    folded young y: sum over c of T(c | s, d) look(c) test(c). In a clutch whose looks do not weigh, the same divided by
           sum over c of T(c | s, d) look(c): 1 where the look is possible and 0 where it is not, times what tests add.
           A picked egg with doubts of its own: the same with both sums over them too, their loci multiplied within each sum.
Time       the evidence up to `moment` is in force. What has not hatched by then is pinned to its first open state with weight 1, which
           sums to 1 over it and says nothing to its parents; its own figure is then not to be asked for. Tables made for one moment
           (`fixed`) need no pins: there the unborn stand as their parents make them.
Assumes    domains that hold every state with chance above 0 at every moment that will be asked about.
Cost       a table of a kind is made once; families look alike.
Source     figures#variables-and-factors, figures#sires-in-doubt, figures#tests-as-evidence, figures#incomplete-records.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import reduce
from math import lcm, prod
from operator import add, mul
from typing import Literal, NamedTuple

from msgspec import Struct

from clutchlight.genetics.pedigree import Branch, Family
from clutchlight.genetics.possible import ChoiceKey, Domains, Place, sex_bound
from clutchlight.genetics.states import HALF, bits
from clutchlight.genetics.terms import KEPT, Weight, coeff_at, leading, least_order, order_of, proportioned, weight_of
from clutchlight.genetics.tree import Table, spreading
from clutchlight.genetics.world import World
from clutchlight.model.traits import grouped


class StateVariable(NamedTuple):
    """The state of an egg at a locus. `kind` keeps variables of different kinds apart where they are compared."""

    locus: int
    egg: int
    kind: Literal["state"] = "state"


class ChoiceVariable(NamedTuple):
    """Who sired a clutch (egg -1), or an egg of a mixed one."""

    family: int
    egg: int
    kind: Literal["choice"] = "choice"


class SexVariable(NamedTuple):
    """The sex of an egg."""

    egg: int
    kind: Literal["sex"] = "sex"


Variable = StateVariable | ChoiceVariable | SexVariable


class Way(Struct, frozen=True):
    """One possible sire of a family at a locus: which position of the choice stands for him (None: no doubt here)."""

    sire: int | None
    choice: ChoiceVariable | None
    position: int


class FactorRule(Struct, frozen=True):
    """A factor before numbers: what it is about and over which variables."""

    kind: str
    scope: tuple[Variable, ...]
    locus: int
    family: int
    egg: int
    way: Way | None = None


class Factors:
    """The variables and factors of one species.

    `open`: the states open to each egg, by locus; `size`: the positions of each variable. `left_out`: families that no question is
    about, which have no factor. `moment` may be set; `pins` hold states taken as known for a while.
    """

    def __init__(
        self,
        world: World,
        domains: Domains,
        *,
        moment: int,
        fixed: bool,
        freed: frozenset[Place],
        left_out: frozenset[int],
    ) -> None:
        self.pedigree = world.pedigree
        self.timeline = world.timeline
        self.evidence = world.evidence
        self.states = world.states
        self.moment = moment
        self.fixed = fixed
        self.freed = freed
        self.left_out = left_out
        self.pins: dict[Place, int] = {}
        self._tables: dict[tuple[object, ...], Table | None] = {}
        self.open = [
            [states.members(mask) for mask in row] for states, row in zip(world.states, domains.masks, strict=True)
        ]
        self.choices = dict(domains.choices)
        self.linked = domains.linked
        self.size: dict[Variable, int] = {}
        self.rules = tuple(self._rules())
        self.picked = grouped((rule.egg, rule) for rule in self.rules if rule.kind == "picked")

    def is_variable(self, locus: int, egg: int) -> bool:
        """Whether the egg is a variable of its own at the locus: undecided, and not folded into its parents."""
        return len(self.open[locus][egg]) > 1 and not self.is_folded(locus, egg)

    def is_folded(self, locus: int, egg: int) -> bool:
        """Whether all that is known of the egg is its own looks and tests, so that it is a factor on its parents."""
        value = self.pedigree.eggs[egg]
        return value.family is not None and not value.breeds and not self.sex_bound(locus, egg)

    def sex_bound(self, locus: int, egg: int) -> bool:
        """Whether the egg's sex is unknown and the locus tells of it, and so of another sex-linked locus."""
        return sex_bound(self.pedigree, self.linked, locus, egg)

    def sex_weighed_elsewhere(self, locus: int, egg: int) -> bool:
        """Whether another locus weighs the sex of this unsexed egg: the chance of a sex counts once, however many loci depend on it."""
        return self.sex_bound(locus, egg) and locus != self.linked[0]

    def state(self, locus: int, egg: int | None) -> tuple[StateVariable, ...]:
        """The variable of an egg's state as a scope; empty where it has none."""
        if egg is None or not self.is_variable(locus, egg):
            return ()
        variable = StateVariable(locus, egg)
        self.size[variable] = len(self.open[locus][egg])
        return (variable,)

    def ways(self, locus: int, family: Family, egg: int) -> tuple[Way, ...]:
        """The possible sires of an egg of a family as they matter at a locus: each by a choice, a variable then, or all as one."""
        if not family.in_doubt:
            return (Way(family.branches[0].sire, None, 0),)
        key = (family.number, egg if family.each_egg else -1)
        sires = [family.branches[branch].sire for branch in self.left(key)]
        if len(sires) == 1 or self.sires_alike(locus, family.dam, sires):
            return (Way(sires[0], None, 0),)
        choice = ChoiceVariable(*key)
        self.size[choice] = len(sires)
        return tuple(Way(sire, choice, position) for position, sire in enumerate(sires))

    def left(self, key: ChoiceKey) -> tuple[int, ...]:
        """The branches of a choice that are still open."""
        return bits(self.choices[key])

    def sires_alike(self, locus: int, dam: int, sires: Sequence[int | None]) -> bool:
        """Whether these possible sires are settled at a locus and would have young alike, so that nothing here tells them apart."""
        row = self.open[locus]
        if any(sire is not None and len(row[sire]) > 1 for sire in sires):
            return False
        states = self.states[locus]
        rows = {tuple(states.young(None if sire is None else row[sire][0], d) for d in row[dam]) for sire in sires}
        return len(rows) == 1

    def _rules(self) -> Iterator[FactorRule]:
        for locus in range(len(self.states)):
            for egg in self.pedigree.eggs:
                if egg.family is None and self.is_variable(locus, egg.number):
                    yield FactorRule("founder", self.state(locus, egg.number), locus, -1, egg.number)
            for family in self._families():
                yield from self._family_rules(locus, family)
        for family in self._families():
            for number in family.eggs if not family.weighs else ():
                yield from self._picked_rules(family, number)
        for variable in list(self.size):
            if variable.kind == "choice":
                yield FactorRule("choice", (variable,), -1, variable.family, variable.egg)
        for locus in self.linked if len(self.linked) > 1 else ():
            for egg in self.pedigree.eggs:
                if egg.family in self.left_out:
                    continue
                if self.sex_bound(locus, egg.number) and any(self.is_variable(one, egg.number) for one in self.linked):
                    sex = SexVariable(egg.number)
                    self.size[sex] = 2
                    yield FactorRule("sex", (sex, *self.state(locus, egg.number)), locus, -1, egg.number)

    def _families(self) -> Iterator[Family]:
        return (family for family in self.pedigree.families if family.number not in self.left_out)

    def _family_rules(self, locus: int, family: Family) -> Iterator[FactorRule]:
        row = self.open[locus]
        sires = [branch.sire for branch in family.branches]
        members = (family.dam, *family.eggs, *(sire for sire in sires if sire is not None))
        if all(len(row[member]) == 1 for member in members) and self.sires_alike(locus, family.dam, sires):
            return
        for egg in family.eggs:
            if not self.is_folded(locus, egg):
                if self.is_variable(locus, egg):
                    yield FactorRule("looks", self.state(locus, egg), locus, family.number, egg)
                for way in self.ways(locus, family, egg):
                    if scope := self.scope(locus, family, way, egg):
                        yield FactorRule("young", scope, locus, family.number, egg, way)
            elif family.each_egg:
                yield from self._folding(locus, family, egg)
        if not family.each_egg:
            yield from self._folding(locus, family, -1)

    def _picked_rules(self, family: Family, egg: int) -> Iterator[FactorRule]:
        """What an egg, picked by its look, takes back of what its look weighs: where several loci tell of its own sire or sex."""
        loci = [locus for locus in range(len(self.states)) if self.tied(locus, family, egg)]
        if not loci:
            return
        if family.each_egg:
            sires = [branch.sire for branch in self.born_branches(family, egg)]
            if scope := self._parents(loci, sires, family.dam):
                yield FactorRule("picked", scope, -1, family.number, egg)
            return
        ways = next(
            (ways for locus in loci if len(ways := self.ways(locus, family, egg)) > 1), self.ways(loci[0], family, egg)
        )
        for way in ways:
            choice = (way.choice,) if way.choice else ()
            if scope := (*choice, *self._parents(loci, [way.sire], family.dam)):
                yield FactorRule("picked", scope, -1, family.number, egg, way)

    def _parents(self, loci: Sequence[int], sires: Sequence[int | None], dam: int) -> tuple[StateVariable, ...]:
        found = [variable for locus in loci for one in (*sires, dam) for variable in self.state(locus, one)]
        return tuple(dict.fromkeys(found))

    def born_branches(self, family: Family, egg: int) -> tuple[Branch, ...]:
        """The branches that an egg can come from by its sex alone."""
        barred = self.pedigree.eggs[egg].sex == self.states[0].heterogametic
        return tuple(branch for branch in family.branches if branch.sire is not None or not barred)

    def tied(self, locus: int, family: Family, egg: int) -> bool:
        """Whether an egg that was picked by its look is in doubt here of something that other loci tell of too: its sire or its sex."""
        if family.weighs:
            return False
        if self.sex_bound(locus, egg):
            return True
        return family.each_egg and not self.sires_alike(
            locus, family.dam, [branch.sire for branch in self.born_branches(family, egg)]
        )

    def _folding(self, locus: int, family: Family, egg: int) -> Iterator[FactorRule]:
        for way in self.ways(locus, family, egg):
            scope = self.scope(locus, family, way, None)
            if scope:
                yield FactorRule("folded", scope, locus, family.number, egg, way)

    def scope(self, locus: int, family: Family, way: Way, egg: int | None) -> tuple[Variable, ...]:
        """The variables of a family's factor for one possible sire: the choice, the sire's, the dam's and the young's states."""
        choice = (way.choice,) if way.choice else ()
        return (*choice, *self.state(locus, way.sire), *self.state(locus, family.dam), *self.state(locus, egg))

    # -- numbers -----------------------------------------------------------------------------------------------------

    def table(self, rule: FactorRule) -> Table | None:
        """The numbers of a factor at the present moment, with the present pins."""
        if rule.kind == "choice":
            branches = self.pedigree.families[rule.family].branches
            return [*proportioned([branches[branch].chance for branch in self.left((rule.family, rule.egg))])]
        if rule.kind == "sex":
            if not self.fixed and not self.born(rule.egg):
                return None
            states = self.states[rule.locus]
            sexes = [states.all[state][0] for state in self.open[rule.locus][rule.egg]]
            return [int(sex == own) for sex in ("male", "female") for own in sexes]
        if rule.kind == "founder":
            return self._founder_table(rule)
        if rule.kind == "looks":
            return self._looks_table(rule)
        if rule.kind == "picked":
            return self._picked_table(rule)
        return self._young_table(rule) if rule.kind == "young" else self._folded_table(rule)

    def _picked_table(self, rule: FactorRule) -> Table | None:
        """1 / (the chance, over all that is the egg's own, of the look by which it was picked), for the parents' states."""
        if not self.born(rule.egg):
            return None
        own, *others = [self._chances_picked(one) for one in (rule, *self.picked[rule.egg])]
        scale = lcm(*{leading(chance) for chances in others for chance in set(chances) if chance})
        inverse = {chance: scale // leading(chance) if chance else 0 for chance in set(own)}
        cells: Table = [inverse[chance] for chance in own]
        return cells if rule.way is None else self._in_choice(rule.way, cells)

    def _chances_picked(self, rule: FactorRule) -> list[Weight]:
        """The chance of the look of a picked egg, over all that is its own, for each combination of its parents' states; scaled."""
        family, egg = self.pedigree.families[rule.family], self.pedigree.eggs[rule.egg]
        if rule.way is None:
            sires = [(branch.sire, branch.chance) for branch in self.born_branches(family, rule.egg)]
        else:
            sires = [(rule.way.sire, Fraction(1))]
        loci = [locus for locus in range(len(self.states)) if self.tied(locus, family, rule.egg)]
        looks = {locus: self.evidence[locus].looks(egg, self.moment) for locus in loci}
        chances = [
            (sire, chance * share, sex) for sire, chance in sires for sex, share in self._sexes(loci, rule.egg, sire)
        ]
        scale = lcm(2, *(branch.chance.denominator * 2 for branch in family.branches))
        parents = [variable for variable in rule.scope if variable.kind == "state"]
        sizes = tuple(self.size[variable] for variable in parents)
        parts: list[Sequence[Weight]] = []
        for sire, chance, sex in chances:
            places = [place for place, variable in enumerate(parents) if variable.egg in (sire, family.dam)]
            own_sizes = tuple(sizes[place] for place in places)
            part: Sequence[Weight] = [int(chance * scale)] * prod(own_sizes)
            for locus in loci:
                here, row = self.states[locus], self.open[locus]
                mask = looks[locus] & (here.sex_masks[sex] if sex and here.linked else -1)
                seen = here.seen(mask, None, True)
                cells = [seen[s, d] for s in ((None,) if sire is None else row[sire]) for d in row[family.dam]]
                at = tuple(index for index, place in enumerate(places) if parents[place].locus == locus)
                part = list(map(mul, part, spreading(own_sizes, at)(cells)))
            parts.append(spreading(sizes, tuple(places))(part))
        return list(reduce(lambda some, more: list(map(add, some, more)), parts))

    def _sexes(self, loci: Sequence[int], egg: int, sire: int | None) -> tuple[tuple[str, Fraction], ...]:
        """The sexes of an unsexed egg that several of these loci tell of, with their chances; one nameless sex otherwise."""
        if not any(self.sex_bound(locus, egg) for locus in loci):
            return (("", Fraction(1)),)
        if sire is None:
            return (("female" if self.states[0].heterogametic == "male" else "male", Fraction(1)),)
        return (("male", HALF), ("female", HALF))

    def _founder_table(self, rule: FactorRule) -> Table:
        egg, evidence = self.pedigree.eggs[rule.egg], self.evidence[rule.locus]
        looks = evidence.looks(egg, self.moment)
        prior = evidence.prior(egg, self.moment)
        own_least = least_order(w for state, w in enumerate(prior) if looks >> state & 1)
        tested = evidence.tested(egg, self.moment)
        pin = self.pins.get((rule.locus, rule.egg), -1)
        weights: list[Weight] = [
            prior[state] * (looks >> state & 1) * (tested[state] if tested else 1) * (pin >> state & 1)
            for state in self.open[rule.locus][rule.egg]
        ]
        if (rule.locus, rule.egg) in self.freed:
            return [weight_of(max(0, order_of(weight) - own_least), leading(weight)) for weight in weights]
        least = least_order(weights) if self.fixed else own_least
        return [coeff_at(weight, least) if weight else 0 for weight in weights]

    def born(self, egg: int) -> bool:
        """Whether an egg has hatched by the present moment."""
        return self.timeline.born[egg] <= self.moment

    def _looks_table(self, rule: FactorRule) -> Table | None:
        """Looks (where they weigh) and tests of a young that is a variable."""
        evidence, egg = self.evidence[rule.locus], self.pedigree.eggs[rule.egg]
        pin = self.pins.get((rule.locus, rule.egg), -1)
        looks = evidence.looks(egg, self.moment) if self.born(rule.egg) else -1
        tested = evidence.tested(egg, self.moment) if self.born(rule.egg) else None
        mask = looks & pin
        states = self.open[rule.locus][rule.egg]
        if tested is None and all(mask >> state & 1 for state in states):
            return None
        return [(mask >> state & 1) * (tested[state] if tested else 1) for state in states]

    def _young_table(self, rule: FactorRule) -> Table:
        family, way = self.pedigree.families[rule.family], rule.way
        assert way is not None  # noqa: S101 - a rule of this kind always has one
        row, born = self.open[rule.locus], self.fixed or self.born(rule.egg)
        looks = (
            self.evidence[rule.locus].looks(self.pedigree.eggs[rule.egg], self.moment)
            if born and not family.weighs and not self.tied(rule.locus, family, rule.egg)
            else None
        )
        sires = (None,) if way.sire is None else row[way.sire]
        sexed = self.pedigree.eggs[rule.egg].sex != "unknown" or self.sex_weighed_elsewhere(rule.locus, rule.egg)
        key = ("young", rule.locus, sires, row[family.dam], row[rule.egg], self._shape(rule, way), born, looks, sexed)
        if key not in self._tables:
            states = self.states[rule.locus]
            if not born:
                cells: Table = [
                    int(index == 0) for _ in sires for _ in row[family.dam] for index in range(len(row[rule.egg]))
                ]
            elif looks is None:
                cells = [
                    states.young_of_sex((s, d), sexed)[c] for s in sires for d in row[family.dam] for c in row[rule.egg]
                ]
            else:
                shares = states.given_look(looks)
                cells = [shares[s, d][c] for s in sires for d in row[family.dam] for c in row[rule.egg]]
            self._tables[key] = self._in_choice(way, cells)
        found = self._tables[key]
        assert found is not None  # noqa: S101
        return found

    def _shape(self, rule: FactorRule, way: Way) -> tuple[int, int, int]:
        """What of a scope a table depends on besides the open states: who is a variable, and the place in the choice."""
        kinds = sum(1 << index for index, variable in enumerate(rule.scope) if variable.kind == "choice")
        return kinds, self.size[way.choice] if way.choice else 0, way.position

    def _in_choice(self, way: Way, cells: Table) -> Table:
        if way.choice is None:
            return cells
        silent: Table = [1] * len(cells)
        return [w for position in range(self.size[way.choice]) for w in (cells if position == way.position else silent)]

    def _folded_table(self, rule: FactorRule) -> Table | None:
        family, way = self.pedigree.families[rule.family], rule.way
        assert way is not None  # noqa: S101 - a rule of this kind always has one
        groups = self._groups(rule.locus, family, rule.egg)
        if not groups:
            return None
        row = self.open[rule.locus]
        sires = (None,) if way.sire is None else row[way.sire]
        weighs = family.weighs or (family.each_egg and self.tied(rule.locus, family, rule.egg))
        key = ("folded", rule.locus, sires, row[family.dam], self._shape(rule, way), weighs, groups)
        if key not in self._tables:
            states = self.states[rule.locus]
            cells: Table = [1] * (len(sires) * len(row[family.dam]))
            for (looks, tested), count in groups:
                chances = states.seen(looks, tested, weighs)
                pairs = [(s, d) for s in sires for d in row[family.dam]]
                cells = [cell * chances[pair] ** count for cell, pair in zip(cells, pairs, strict=True)]
            self._tables[key] = self._in_choice(way, cells)
        return self._tables[key]

    def _groups(
        self, locus: int, family: Family, egg: int
    ) -> tuple[tuple[tuple[int, tuple[int, ...] | None], int], ...]:
        """The folded young that say something, be it that they live: (looks, tests) with how many say the same."""
        evidence, members = self.evidence[locus], family.eggs if egg == -1 else (egg,)
        folded = (member for member in members if self.is_folded(locus, member) and self.born(member))
        counted = Counter(self.evidence_of(locus, member) for member in folded)
        silent = None if evidence.states.barren else (evidence.states.full, None)
        return tuple(sorted(((own, count) for own, count in counted.items() if own != silent), key=repr))

    def kept_apart(self) -> int:
        """The young that must have kept a heterozygosity said never to be kept, of which no table tells: their dam is settled."""
        found = 0
        for locus, states in enumerate(self.states if any(states.spared for states in self.states) else ()):
            for family in self._families():
                for egg in filter(self.born, family.eggs):
                    way, *others = self.ways(locus, family, egg)
                    folded = self.is_folded(locus, egg)
                    if way.sire is None and not others and not self.scope(locus, family, way, None if folded else egg):
                        dam = self.open[locus][family.dam][0]
                        looks, tested = self.evidence_of(locus, egg)
                        looks &= -1 if folded else 1 << self.open[locus][egg][0]
                        found += order_of(states.seen(looks, tested, weighs=True)[None, dam]) // KEPT
        return found

    def evidence_of(self, locus: int, egg: int) -> tuple[int, tuple[int, ...] | None]:
        """What a young's looks leave open and how its tests, and what it is pinned to, weigh."""
        evidence, value = self.evidence[locus], self.pedigree.eggs[egg]
        tested = evidence.tested(value, self.moment)
        pin = self.pins.get((locus, egg))
        if pin is not None:
            tested = tuple(
                weight * (pin >> state & 1) for state, weight in enumerate(tested or (1,) * evidence.states.count)
            )
        return evidence.looks(value, self.moment), tested
