"""From domains and evidence to trees of cliques: one network for all loci of a species that hang together.

Variables  the state of an egg at a locus where more than one state is open and the egg has young (others are folded into a factor on
           their parents); the choice among the open sires of a clutch, or of an egg of a mixed clutch, where they differ at some locus;
           the sex of an unsexed egg when two sex-linked loci need it.
Factors    a founder's prior with its looks and tests; T(c | s, d) for each young that is a variable, one factor for each possible sire,
           silent when the choice is another; the product over folded young of the chance of their looks and tests given s and d;
           the prior of each choice.
Formula    folded young y: sum over c of T(c | s, d) look(c) test(c). In a clutch whose looks do not weigh, the same divided by
           sum over c of T(c | s, d) look(c): 1 where the look is possible and 0 where it is not, times what tests add.
Time       `set_moment(m)` puts in force the evidence up to moment m. What has not hatched by then is pinned to its first open state with
           weight 1, which sums to 1 over it and says nothing to its parents; its own figure is then not to be asked for. A network made
           for one moment needs no pins: there the unborn stand as their parents make them.
Assumes    domains that hold every state with chance above 0 at every moment that will be asked about.
Source     figures, sections 1, 2 and 6.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from math import lcm

from clutchlight.genetics.evidence import LocusEvidence, Timeline
from clutchlight.genetics.families import Branch, Family, Pedigree
from clutchlight.genetics.grids import Grids, Pair
from clutchlight.genetics.possible import ChoiceKey, Domains
from clutchlight.genetics.states import HALF
from clutchlight.genetics.terms import KEPT, Term, Weight, coeff_at, leading, order_of, weight_of
from clutchlight.genetics.tree import LIMIT, Factor, Table, TooWideError, Tree

Variable = tuple[str, int, int]
"""("state", locus position, egg), ("choice", family, egg or -1), ("sex", egg, 0)."""

Place = tuple[int, int]
"""(locus position, egg number)."""


@dataclass(frozen=True, slots=True)
class Way:
    """One possible sire of a family at a locus: which position of the choice stands for him (None: no doubt here)."""

    sire: int | None
    choice: Variable | None
    position: int


@dataclass(frozen=True, slots=True)
class TooWide:
    """The variables of a table that passed the limit."""

    variables: tuple[Variable, ...]


@dataclass(frozen=True, slots=True)
class Rule:
    """A factor before numbers: what it is about and over which variables."""

    kind: str
    scope: tuple[Variable, ...]
    locus: int = -1
    family: int = -1
    egg: int = -1
    way: Way | None = None


class Network:
    """All trees of one species. `freed`: places of founders whose prior keeps its orders in e (others have their least order only)."""

    def __init__(
        self,
        pedigree: Pedigree,
        timeline: Timeline,
        evidence: Sequence[LocusEvidence],
        grids: Sequence[Grids],
        domains: Domains,
        *,
        moment: int | None = None,
        freed: frozenset[Place] = frozenset(),
        limit: int = LIMIT,
    ) -> None:
        self.pedigree = pedigree
        self.timeline = timeline
        self.evidence = tuple(evidence)
        self.grids = tuple(grids)
        self.freed = freed
        self.limit = limit
        self.fixed = moment is not None
        self.moment = timeline.now if moment is None else moment
        self.open = [
            [grid.states.members(mask) for mask in row] for grid, row in zip(grids, domains.masks, strict=True)
        ]
        self.choices = dict(domains.choices)
        self.linked = domains.linked
        self.pins: dict[Place, int] = {}
        self._tables: dict[tuple[object, ...], Table | None] = {}
        self._folded: dict[tuple[object, ...], tuple[Fraction, ...] | None] = {}
        self._size: dict[Variable, int] = {}
        self._branches: dict[ChoiceKey, list[int]] = {}
        self._eggs_in: dict[tuple[int, int], list[int]] = {}
        self.rules = list(self._rules())
        self._picked: dict[int, list[Rule]] = {}
        for rule in self.rules:
            if rule.kind == "picked":
                self._picked.setdefault(rule.egg, []).append(rule)
        self._build()

    # -- structure -----------------------------------------------------------------------------------------------------

    def is_variable(self, locus: int, egg: int) -> bool:
        """Whether the egg is a variable of its own at the locus: undecided, and not folded into its parents."""
        return len(self.open[locus][egg]) > 1 and not self.is_folded(locus, egg)

    def is_folded(self, locus: int, egg: int) -> bool:
        """Whether all that is known of the egg is its own looks and tests, so that it is a factor on its parents."""
        value = self.pedigree.eggs[egg]
        return value.family is not None and not value.breeds and not self._sex_bound(locus, egg)

    def _sex_bound(self, locus: int, egg: int) -> bool:
        return len(self.linked) > 1 and locus in self.linked and self.pedigree.eggs[egg].sex == "unknown"

    def _sex_told_elsewhere(self, locus: int, egg: int) -> bool:
        """Whether another locus weighs the sex of this unsexed egg: the chance of a sex counts once, however many loci depend on it."""
        return self._sex_bound(locus, egg) and locus != self.linked[0]

    def _state(self, locus: int, egg: int | None) -> tuple[Variable, ...]:
        if egg is None or not self.is_variable(locus, egg):
            return ()
        variable = ("state", locus, egg)
        self._size[variable] = len(self.open[locus][egg])
        return (variable,)

    def ways(self, locus: int, family: Family, egg: int) -> tuple[Way, ...]:
        """The possible sires of an egg of a family as they matter at a locus."""
        if not family.in_doubt:
            return (Way(family.branches[0].sire, None, 0),)
        key = (family.number, egg if family.each_egg else -1)
        sires = [family.branches[branch].sire for branch in self._left(key)]
        if len(sires) == 1 or self._alike(locus, family.dam, sires):
            return (Way(sires[0], None, 0),)
        return self._each_way(key)

    def _left(self, key: ChoiceKey) -> list[int]:
        """The branches of a choice that are still open."""
        if key not in self._branches:
            mask = self.choices[key]
            self._branches[key] = [branch for branch in range(mask.bit_length()) if mask >> branch & 1]
        return self._branches[key]

    def _each_way(self, key: ChoiceKey) -> tuple[Way, ...]:
        """One way for each open branch of a choice, which becomes a variable."""
        choice, left = ("choice", *key), self._left(key)
        self._size[choice] = len(left)
        branches = self.pedigree.families[key[0]].branches
        return tuple(Way(branches[branch].sire, choice, position) for position, branch in enumerate(left))

    def _alike(self, locus: int, dam: int, sires: Sequence[int | None]) -> bool:
        row = self.open[locus]
        if any(sire is not None and len(row[sire]) > 1 for sire in sires):
            return False
        states = self.grids[locus].states
        rows = {tuple(states.young(None if sire is None else row[sire][0], d) for d in row[dam]) for sire in sires}
        return len(rows) == 1

    def _rules(self) -> Iterator[Rule]:
        for locus in range(len(self.grids)):
            for egg in self.pedigree.eggs:
                if egg.family is None and self.is_variable(locus, egg.number):
                    yield Rule("founder", self._state(locus, egg.number), locus, -1, egg.number)
            for family in self.pedigree.families:
                yield from self._family_rules(locus, family)
        for family in self.pedigree.families:
            for number in family.eggs if not family.weighs else ():
                yield from self._picked_rules(family, number)
        for variable in list(self._size):
            if variable[0] == "choice":
                yield Rule("choice", (variable,), family=variable[1], egg=variable[2])
        for locus in self.linked if len(self.linked) > 1 else ():
            for egg in self.pedigree.eggs:
                if self._sex_bound(locus, egg.number) and any(self.is_variable(one, egg.number) for one in self.linked):
                    sex = ("sex", egg.number, 0)
                    self._size[sex] = 2
                    yield Rule("sex", (sex, *self._state(locus, egg.number)), locus, -1, egg.number)

    def _family_rules(self, locus: int, family: Family) -> Iterator[Rule]:
        row = self.open[locus]
        sires = [branch.sire for branch in family.branches]
        members = (family.dam, *family.eggs, *(sire for sire in sires if sire is not None))
        if all(len(row[member]) == 1 for member in members) and self._alike(locus, family.dam, sires):
            return
        for egg in family.eggs:
            if not self.is_folded(locus, egg):
                if self.is_variable(locus, egg):
                    yield Rule("looks", self._state(locus, egg), locus, family.number, egg)
                for way in self.ways(locus, family, egg):
                    if scope := self._scope(locus, family, way, egg):
                        yield Rule("young", scope, locus, family.number, egg, way)
            elif family.each_egg:
                yield from self._folding(locus, family, egg)
        if not family.each_egg:
            yield from self._folding(locus, family, -1)

    def _picked_rules(self, family: Family, egg: int) -> Iterator[Rule]:
        """What an egg, picked by its look, takes back of what its look weighs: where several loci tell of its own sire or sex."""
        loci = [locus for locus in range(len(self.grids)) if self._tied(locus, family, egg)]
        if not loci:
            return
        if family.each_egg:
            sires = [branch.sire for branch in self._born_branches(family, egg)]
            if scope := self._parents(loci, sires, family.dam):
                yield Rule("picked", scope, family=family.number, egg=egg)
            return
        ways = next(
            (ways for locus in loci if len(ways := self.ways(locus, family, egg)) > 1), self.ways(loci[0], family, egg)
        )
        for way in ways:
            choice = (way.choice,) if way.choice else ()
            if scope := (*choice, *self._parents(loci, [way.sire], family.dam)):
                yield Rule("picked", scope, -1, family.number, egg, way)

    def _parents(self, loci: Sequence[int], sires: Sequence[int | None], dam: int) -> tuple[Variable, ...]:
        found = [variable for locus in loci for one in (*sires, dam) for variable in self._state(locus, one)]
        return tuple(dict.fromkeys(found))

    def _born_branches(self, family: Family, egg: int) -> tuple[Branch, ...]:
        """The branches that an egg can come from by its sex alone."""
        barred = self.pedigree.eggs[egg].sex == self.grids[0].states.heterogametic
        return tuple(branch for branch in family.branches if branch.sire is not None or not barred)

    def _tied(self, locus: int, family: Family, egg: int) -> bool:
        """Whether an egg that was picked by its look is in doubt here of something that other loci tell of too: its sire or its sex."""
        if family.weighs:
            return False
        if self._sex_bound(locus, egg):
            return True
        return family.each_egg and not self._alike(
            locus, family.dam, [branch.sire for branch in self._born_branches(family, egg)]
        )

    def _folding(self, locus: int, family: Family, egg: int) -> Iterator[Rule]:
        for way in self.ways(locus, family, egg):
            scope = self._scope(locus, family, way, None)
            if scope:
                yield Rule("folded", scope, locus, family.number, egg, way)

    def _scope(self, locus: int, family: Family, way: Way, egg: int | None) -> tuple[Variable, ...]:
        choice = (way.choice,) if way.choice else ()
        return (*choice, *self._state(locus, way.sire), *self._state(locus, family.dam), *self._state(locus, egg))

    def _build(self) -> None:
        """Splits the rules into connected parts, each a tree; a part too wide keeps its variables in `too_wide`."""
        part = _Parts()
        for rule in self.rules:
            part.join(rule.scope)
        grouped: dict[Variable, list[int]] = {}
        for number, rule in enumerate(self.rules):
            grouped.setdefault(part.top(rule.scope[0]), []).append(number)
        self.trees: list[Tree] = []
        self.tree_of: dict[Variable, int] = {}
        self.too_wide: dict[Variable, tuple[Variable, ...]] = {}
        self.number_in: dict[Variable, int] = {}
        self.factor_at: dict[int, tuple[int, int]] = {}
        self.touching: dict[Place, list[int]] = {}
        self.folding_of: dict[tuple[int, int, int], list[int]] = {}
        for numbers in grouped.values():
            variables = list(dict.fromkeys(variable for number in numbers for variable in self.rules[number].scope))
            self.number_in.update({variable: index for index, variable in enumerate(variables)})
            factors = [
                Factor(
                    self._numbers(self.rules[number].scope), self.table(self.rules[number]), self._never_changes(number)
                )
                for number in numbers
            ]
            try:
                tree = Tree([self._size[variable] for variable in variables], factors, self.limit)
            except TooWideError as wide:
                widest = tuple(variables[index] for index in wide.variables)
                self.too_wide.update(dict.fromkeys(variables, widest))
                continue
            self.tree_of.update(dict.fromkeys(variables, len(self.trees)))
            self.factor_at.update({number: (len(self.trees), index) for index, number in enumerate(numbers)})
            self.trees.append(tree)
        for number, rule in enumerate(self.rules):
            if rule.kind in ("founder", "looks", "young", "sex"):
                self.touching.setdefault((rule.locus, rule.egg), []).append(number)
            elif rule.kind == "picked":
                for locus in range(len(self.grids)):
                    self.touching.setdefault((locus, rule.egg), []).append(number)
            elif rule.kind == "folded":
                self.folding_of.setdefault((rule.locus, rule.family, rule.egg), []).append(number)

    def _never_changes(self, number: int) -> bool:
        rule = self.rules[number]
        return self.fixed and rule.kind == "young"

    def _numbers(self, scope: tuple[Variable, ...]) -> tuple[int, ...]:
        return tuple(self.number_in[variable] for variable in scope)

    # -- tables --------------------------------------------------------------------------------------------------------

    def table(self, rule: Rule) -> Table | None:
        """The numbers of a factor at the present moment, with the present pins."""
        if rule.kind == "choice":
            return self._choice_table(rule)
        if rule.kind == "sex":
            if not self.fixed and not self._born(rule.egg):
                return None
            states = self.grids[rule.locus].states
            sexes = [states.all[state][0] for state in self.open[rule.locus][rule.egg]]
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
        if not self._born(rule.egg):
            return None
        here, *others = [self._chances_picked(one) for one in (rule, *self._picked[rule.egg])]
        scale = lcm(*(leading(chance) for chances in others for chance in chances if chance))
        cells: Table = [scale // leading(chance) if chance else 0 for chance in here]
        return cells if rule.way is None else self._in_choice(rule.way, cells)

    def _chances_picked(self, rule: Rule) -> list[Weight]:
        """The chance of the look of a picked egg, over all that is its own, for each combination of its parents' states; scaled."""
        family, egg = self.pedigree.families[rule.family], self.pedigree.eggs[rule.egg]
        if rule.way is None:
            sires = [(branch.sire, branch.chance) for branch in self._born_branches(family, rule.egg)]
        else:
            sires = [(rule.way.sire, Fraction(1))]
        loci = [locus for locus in range(len(self.grids)) if self._tied(locus, family, rule.egg)]
        looks = {locus: self.evidence[locus].looks(egg, self.moment) for locus in loci}
        chances = [
            (sire, chance * share, sex) for sire, chance in sires for sex, share in self._sexes(loci, rule.egg, sire)
        ]
        scale = lcm(2, *(branch.chance.denominator * 2 for branch in family.branches))
        own = [(sire, int(chance * scale), sex) for sire, chance, sex in chances]
        parents = [variable for variable in rule.scope if variable[0] == "state"]
        found: list[Weight] = []
        for states in product(*(self.open[variable[1]][variable[2]] for variable in parents)):
            state = {(variable[1], variable[2]): value for variable, value in zip(parents, states, strict=True)}
            seen: Weight = 0
            for sire, share, sex in own:
                weight: Weight = share
                for locus in loci:
                    grid, row = self.grids[locus], self.open[locus]
                    s = None if sire is None else state.get((locus, sire), row[sire][0])
                    d = state.get((locus, family.dam), row[family.dam][0])
                    mask = looks[locus] & (grid.states.sex_masks[sex] if sex and grid.states.linked else -1)
                    weight *= grid.seen(mask, None, True)[s, d]
                seen += weight
            found.append(seen)
        return found

    def _sexes(self, loci: Sequence[int], egg: int, sire: int | None) -> tuple[tuple[str, Fraction], ...]:
        """The sexes of an unsexed egg that several of these loci tell of, with their chances; one nameless sex otherwise."""
        if not any(self._sex_bound(locus, egg) for locus in loci):
            return (("", Fraction(1)),)
        if sire is None:
            return (("female" if self.grids[0].states.heterogametic == "male" else "male", Fraction(1)),)
        return (("male", HALF), ("female", HALF))

    def _choice_table(self, rule: Rule) -> Table:
        family = self.pedigree.families[rule.family]
        chances = [family.branches[branch].chance for branch in self._branches[rule.family, rule.egg]]
        scale = lcm(*(chance.denominator for chance in chances))
        return [int(chance * scale) for chance in chances]

    def _founder_table(self, rule: Rule) -> Table:
        egg, evidence = self.pedigree.eggs[rule.egg], self.evidence[rule.locus]
        looks = evidence.looks(egg, self.moment)
        prior = evidence.prior(egg, self.moment)
        seen = [w for state, w in enumerate(prior) if w and looks >> state & 1]
        own_least = min((order_of(weight) for weight in seen), default=0)
        tested = evidence.tested(egg, self.moment)
        pin = self.pins.get((rule.locus, rule.egg), -1)
        weights: list[Weight] = [
            prior[state] * (looks >> state & 1) * (tested[state] if tested else 1) * (pin >> state & 1)
            for state in self.open[rule.locus][rule.egg]
        ]
        if (rule.locus, rule.egg) in self.freed:
            return [_lowered(weight, own_least) for weight in weights]
        least = min((order_of(weight) for weight in weights if weight), default=0) if self.fixed else own_least
        return [coeff_at(weight, least) if weight else 0 for weight in weights]

    def _born(self, egg: int) -> bool:
        return self.timeline.born[egg] <= self.moment

    def _looks_table(self, rule: Rule) -> Table | None:
        """Looks (where they weigh) and tests of a young that is a variable."""
        evidence, egg = self.evidence[rule.locus], self.pedigree.eggs[rule.egg]
        pin = self.pins.get((rule.locus, rule.egg), -1)
        looks = evidence.looks(egg, self.moment) if self._born(rule.egg) else -1
        tested = evidence.tested(egg, self.moment) if self._born(rule.egg) else None
        mask = looks & pin
        states = self.open[rule.locus][rule.egg]
        if tested is None and all(mask >> state & 1 for state in states):
            return None
        return [(mask >> state & 1) * (tested[state] if tested else 1) for state in states]

    def _young_table(self, rule: Rule) -> Table:
        family, way = self.pedigree.families[rule.family], rule.way
        assert way is not None  # noqa: S101 - a rule of this kind always has one
        row, born = self.open[rule.locus], self.fixed or self._born(rule.egg)
        looks = (
            self.evidence[rule.locus].looks(self.pedigree.eggs[rule.egg], self.moment)
            if born and not family.weighs and not self._tied(rule.locus, family, rule.egg)
            else None
        )
        sires = (None,) if way.sire is None else row[way.sire]
        sexed = self.pedigree.eggs[rule.egg].sex != "unknown" or self._sex_told_elsewhere(rule.locus, rule.egg)
        key = ("young", rule.locus, sires, row[family.dam], row[rule.egg], self._shape(rule, way), born, looks, sexed)
        if key not in self._tables:
            grid = self.grids[rule.locus]
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
        return kinds, self._size[way.choice] if way.choice else 0, way.position

    def _in_choice(self, way: Way, cells: Table) -> Table:
        if way.choice is None:
            return cells
        silent: Table = [1] * len(cells)
        return [
            w for position in range(self._size[way.choice]) for w in (cells if position == way.position else silent)
        ]

    def _folded_table(self, rule: Rule) -> Table | None:
        family, way = self.pedigree.families[rule.family], rule.way
        assert way is not None  # noqa: S101 - a rule of this kind always has one
        groups = self._groups(rule.locus, family, rule.egg)
        if not groups:
            return None
        row = self.open[rule.locus]
        sires = (None,) if way.sire is None else row[way.sire]
        weighs = family.weighs or (family.each_egg and self._tied(rule.locus, family, rule.egg))
        key = ("folded", rule.locus, sires, row[family.dam], self._shape(rule, way), weighs, groups)
        if key not in self._tables:
            grid = self.grids[rule.locus]
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
            if self.is_folded(locus, member) and self._born(member):
                said = self._said(locus, member)
                counted[said] = counted.get(said, 0) + 1
        full = evidence.states.full
        return tuple(sorted(((said, count) for said, count in counted.items() if said != (full, None)), key=repr))

    def _said(self, locus: int, egg: int) -> tuple[int, tuple[int, ...] | None]:
        evidence, value = self.evidence[locus], self.pedigree.eggs[egg]
        tested = evidence.tested(value, self.moment)
        pin = self.pins.get((locus, egg))
        if pin is not None:
            tested = tuple(
                weight * (pin >> state & 1) for state, weight in enumerate(tested or (1,) * evidence.states.count)
            )
        return evidence.looks(value, self.moment), tested

    # -- change --------------------------------------------------------------------------------------------------------

    def set_moment(self, moment: int) -> frozenset[int]:
        """Puts in force the evidence up to a moment, making again only what changed since the last one; gives the trees touched."""
        first, last = min(self.moment, moment), max(self.moment, moment)
        self.moment = moment
        changed: dict[int, None] = {}
        for event in range(first, last):
            for egg in self.timeline.touched[event]:
                changed.update(dict.fromkeys(self._factors_of(egg)))
        self._remake(changed)
        return frozenset(self.factor_at[number][0] for number in changed if number in self.factor_at)

    def _factors_of(self, egg: int) -> Iterator[int]:
        for locus in range(len(self.grids)):
            yield from self._factors_at((locus, egg))

    def _factors_at(self, place: Place) -> Iterator[int]:
        locus, egg = place
        yield from self.touching.get(place, ())
        family = self.pedigree.eggs[egg].family
        if family is not None and self.is_folded(locus, egg):
            yield from self.folding_of.get((locus, family, egg if self.pedigree.families[family].each_egg else -1), ())

    def _remake(self, numbers: Mapping[int, None]) -> None:
        for number in numbers:
            if number in self.factor_at:
                self.give(number, self.table(self.rules[number]))

    def give(self, number: int, table: Table | None) -> None:
        """Puts a table in the place of a factor's own."""
        self._folded.clear()
        tree, factor = self.factor_at[number]
        self.trees[tree].change(factor, table)

    def pin(self, place: Place, mask: int | None) -> None:
        """Adds the knowledge that an egg has one of these states, as a sure test would; None takes it back."""
        if mask is None:
            self.pins.pop(place, None)
        else:
            self.pins[place] = mask
        self._remake(dict.fromkeys(self._factors_at(place)))

    # -- answers -------------------------------------------------------------------------------------------------------

    def needs(self, locus: int, egg: int) -> tuple[Variable, ...]:
        """The variables that the figure of a place is read off."""
        own = self._state(locus, egg)
        family = self.pedigree.eggs[egg].family
        if own or family is None or len(self.open[locus][egg]) == 1:
            return own
        found = self.pedigree.families[family]
        ways = self.ways(locus, found, egg)
        return tuple(dict.fromkeys(variable for way in ways for variable in self._scope(locus, found, way, None)))

    def unanswered(self, locus: int, egg: int) -> tuple[Variable, ...] | None:
        """The variables of the table that passed the limit, when the figure of this place needs it; else None."""
        if not self.too_wide:
            return None
        return next((self.too_wide[variable] for variable in self.needs(locus, egg) if variable in self.too_wide), None)

    def trees_of(self, locus: int, egg: int) -> tuple[int, ...]:
        """The trees that the figure of a place is read off; none when parents are settled."""
        return tuple(dict.fromkeys(self.tree_of[variable] for variable in self.needs(locus, egg)))

    def eggs_in(self, tree: int, locus: int) -> tuple[int, ...]:
        """The eggs whose figure at a locus is read off a tree."""
        if not self._eggs_in:
            for position in range(len(self.grids)):
                for egg in range(len(self.pedigree.eggs)):
                    for one in self.trees_of(position, egg) if not self.unanswered(position, egg) else ():
                        self._eggs_in.setdefault((one, position), []).append(egg)
        return tuple(self._eggs_in.get((tree, locus), ()))

    def belief(self, scope: tuple[Variable, ...]) -> list[int]:
        """The weights of a scope at the lowest order that has any, whole numbers."""
        if not scope:
            return [1]
        table = self.trees[self.tree_of[scope[0]]].belief(self._numbers(scope))
        least = min((order_of(weight) for weight in table if weight), default=0)
        return [coeff_at(weight, least) if weight else 0 for weight in table]

    def marginal(self, locus: int, egg: int) -> tuple[Fraction, ...] | None:
        """The chance of each state of the locus; None when the evidence has no weight (nothing fits at the orders allowed)."""
        states = self.open[locus][egg]
        count = self.grids[locus].states.count
        if len(states) == 1 and (locus, egg) not in self.pins:
            return tuple(Fraction(int(state == states[0])) for state in range(count))
        if self.is_folded(locus, egg):
            return self._folded_marginal(locus, egg)
        weights = self.belief(self._state(locus, egg))
        whole = sum(weights)
        if not whole:
            return None
        shares = dict(zip(states, weights, strict=True))
        return tuple(Fraction(shares.get(state, 0), whole) for state in range(count))

    def settled(self, locus: int, egg: int) -> int | None:
        """The one state that is open to an egg, unless it is pinned or several are."""
        states = self.open[locus][egg]
        return states[0] if len(states) == 1 and (locus, egg) not in self.pins else None

    def _folded_marginal(self, locus: int, egg: int) -> tuple[Fraction, ...] | None:
        """The distribution of an egg without a variable of its own; sibs of whom the same is said share it until evidence changes."""
        number = self.pedigree.eggs[egg].family
        row, grid = self.open[locus], self.grids[locus]
        if number is None:
            return tuple(Fraction(int(state == row[egg][0])) for state in range(grid.states.count))
        family = self.pedigree.families[number]
        unborn = (self.evidence[locus].sex_mask(self.pedigree.eggs[egg]), None)
        looks, tested = self._said(locus, egg) if self._born(egg) else unborn
        key = (locus, number, egg if family.each_egg else -1, looks, tested)
        if key not in self._folded:
            self._folded[key] = self._worked_out(locus, family, egg, grid.young_given(looks, tested))
        return self._folded[key]

    def from_parents(self, locus: int, egg: int) -> tuple[Fraction, ...] | None:
        """The chance of each state of a young by what is in force of its parents alone; None: not told, or a table is too wide.

        Asked of a moment before it hatched, at a locus off the sex chromosomes.
        """
        number, grid = self.pedigree.eggs[egg].family, self.grids[locus]
        if number is None or grid.states.linked:
            return None
        family = self.pedigree.families[number]
        ways = self.ways(locus, family, egg)
        if any(variable in self.too_wide for way in ways for variable in self._scope(locus, family, way, None)):
            return None
        return self._worked_out(locus, family, egg, grid.young_given(grid.states.full, None))

    def _worked_out(
        self, locus: int, family: Family, egg: int, shares: Mapping[Pair, Sequence[tuple[int, Fraction]]]
    ) -> tuple[Fraction, ...] | None:
        row = self.open[locus]
        sums = [Fraction(0)] * self.grids[locus].states.count
        for way in self.ways(locus, family, egg):
            weights = self.belief(self._scope(locus, family, way, None))
            whole = sum(weights)
            if not whole:
                return None
            if way.choice is not None:
                length = len(weights) // self._size[way.choice]
                weights = weights[way.position * length : (way.position + 1) * length]
            sires = (None,) if way.sire is None else row[way.sire]
            pairs = [(s, d) for s in sires for d in row[family.dam]]
            for weight, pair in zip(weights, pairs, strict=True):
                if weight:
                    for state, share in shares[pair]:
                        sums[state] += Fraction(weight, whole) * share
        return tuple(sums) if any(sums) else None

    def choice(self, family: int, egg: int = -1) -> tuple[Fraction, ...] | TooWide:
        """The chance of each branch of a family's (or egg's) choice of sire, or the variables of the table that passed the limit."""
        found = self.pedigree.families[family]
        key = (family, egg if found.each_egg else -1)
        if ("choice", *key) in self.too_wide:
            return TooWide(self.too_wide["choice", *key])
        mask = self.choices.get(key, 1)
        left = [branch for branch in range(len(found.branches)) if mask >> branch & 1]
        variable = ("choice", *key)
        if variable in self.tree_of:
            weights: list[Fraction] = [Fraction(weight) for weight in self.belief((variable,))]
        else:
            weights = [found.branches[branch].chance for branch in left]
        shares = dict(zip(left, weights, strict=True))
        whole = sum(weights)
        return tuple(shares.get(branch, Fraction(0)) / whole for branch in range(len(found.branches)))

    @property
    def totals(self) -> tuple[Weight, ...]:
        """The weight of the evidence in each tree, up to a positive factor."""
        return tuple(tree.total for tree in self.trees)

    def copies_in(self, tree: int) -> dict[int, int]:
        """For each locus, the most unrecorded copies there in the assignments of least order of a tree.

        A copy at the locus asked about is counted a little cheaper than elsewhere: how much cheaper the sum comes out tells how many.
        """
        founders = {
            number: rule
            for number, rule in enumerate(self.rules)
            if rule.kind == "founder"
            and (rule.locus, rule.egg) in self.freed
            and number in self.factor_at
            and self.factor_at[number][0] == tree
        }
        order = order_of(self.trees[tree].total) % KEPT
        loci = sorted({rule.locus for rule in founders.values()})
        if len(loci) == 1:
            return {loci[0]: order}
        tables = {number: self.table(rule) or [] for number, rule in founders.items()}
        found: dict[int, int] = {}
        for locus in loci:
            for number, rule in founders.items():
                price = _DEAR - (rule.locus == locus)
                self.give(number, [weight_of(order_of(w) * price, leading(w)) if w else 0 for w in tables[number]])
            found[locus] = order * _DEAR - order_of(self.trees[tree].total) % KEPT
        for number, table in tables.items():
            self.give(number, table)
        return found


_DEAR = 64
"""The price of a copy, more than there are copies in any surprise."""


def _lowered(weight: Weight, by: int) -> Weight:
    if isinstance(weight, int):
        return weight
    return Term(weight.order - by, weight.coeff) if weight.order > by else weight.coeff


class _Parts:
    """Which variables hang together."""

    def __init__(self) -> None:
        self._up: dict[Variable, Variable] = {}

    def top(self, variable: Variable) -> Variable:
        path = [variable]
        while (above := self._up.setdefault(path[-1], path[-1])) != path[-1]:
            path.append(above)
        for step in path:
            self._up[step] = path[-1]
        return path[-1]

    def join(self, scope: Sequence[Variable]) -> None:
        first = self.top(scope[0])
        for other in scope[1:]:
            self._up[self.top(other)] = first
            first = self.top(first)
