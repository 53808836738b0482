"""Which variables there are and which factors join them, before any number.

Variables  the state of an egg at a locus where more than one state is open and the egg has young (others are folded into a factor on
           their parents); the choice among the open sires of a clutch, or of an egg of a mixed clutch, where they differ at some locus;
           the sex of an unsexed egg when two sex-linked loci need it.
Factors    a founder's prior with its looks and tests; T(c | s, d) for each young that is a variable, one factor for each possible sire,
           silent when the choice is another; the product over folded young of the chance of their looks and tests given s and d;
           the prior of each choice; a sex, the same at every sex-linked locus; for an egg that was picked by its look and is in doubt
           of something of its own that several loci tell of (its sire in a mixed clutch, its sex), what its look takes back.
Assumes    domains that hold every state with chance above 0 at every moment that will be asked about.
Source     figures#variables-and-factors, figures#sires-in-doubt, figures#incomplete-records.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from clutchlight.genetics.families import Branch, Family, Pedigree
from clutchlight.genetics.narrowing import ChoiceKey, bits, sex_bound
from clutchlight.genetics.possible import Domains
from clutchlight.genetics.states import Grids

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
class Rule:
    """A factor before numbers: what it is about and over which variables."""

    kind: str
    scope: tuple[Variable, ...]
    locus: int = -1
    family: int = -1
    egg: int = -1
    way: Way | None = None


class Factors:
    """The variables and factors of one species.

    `open`: the states open to each egg, by locus; `size`: the positions of each variable. `left_out`: families that no question is
    about, which have no factor.
    """

    def __init__(
        self,
        pedigree: Pedigree,
        grids: Sequence[Grids],
        domains: Domains,
        left_out: frozenset[int] = frozenset(),
    ) -> None:
        self.pedigree = pedigree
        self.left_out = left_out
        self.grids = tuple(grids)
        self.open = [
            [grid.states.members(mask) for mask in row] for grid, row in zip(grids, domains.masks, strict=True)
        ]
        self.choices = dict(domains.choices)
        self.linked = domains.linked
        self.size: dict[Variable, int] = {}
        self._branches: dict[ChoiceKey, list[int]] = {}
        self.rules = tuple(self._rules())
        self.picked: dict[int, list[Rule]] = {}
        for rule in self.rules:
            if rule.kind == "picked":
                self.picked.setdefault(rule.egg, []).append(rule)

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

    def sex_told_elsewhere(self, locus: int, egg: int) -> bool:
        """Whether another locus weighs the sex of this unsexed egg: the chance of a sex counts once, however many loci depend on it."""
        return self.sex_bound(locus, egg) and locus != self.linked[0]

    def state(self, locus: int, egg: int | None) -> tuple[Variable, ...]:
        """The variable of an egg's state as a scope; empty where it has none."""
        if egg is None or not self.is_variable(locus, egg):
            return ()
        variable = ("state", locus, egg)
        self.size[variable] = len(self.open[locus][egg])
        return (variable,)

    def ways(self, locus: int, family: Family, egg: int) -> tuple[Way, ...]:
        """The possible sires of an egg of a family as they matter at a locus."""
        if not family.in_doubt:
            return (Way(family.branches[0].sire, None, 0),)
        key = (family.number, egg if family.each_egg else -1)
        sires = [family.branches[branch].sire for branch in self.left(key)]
        if len(sires) == 1 or self.alike(locus, family.dam, sires):
            return (Way(sires[0], None, 0),)
        return self._each_way(key)

    def left(self, key: ChoiceKey) -> list[int]:
        """The branches of a choice that are still open."""
        if key not in self._branches:
            self._branches[key] = bits(self.choices[key])
        return self._branches[key]

    def _each_way(self, key: ChoiceKey) -> tuple[Way, ...]:
        """One way for each open branch of a choice, which becomes a variable."""
        choice, left = ("choice", *key), self.left(key)
        self.size[choice] = len(left)
        branches = self.pedigree.families[key[0]].branches
        return tuple(Way(branches[branch].sire, choice, position) for position, branch in enumerate(left))

    def alike(self, locus: int, dam: int, sires: Sequence[int | None]) -> bool:
        """Whether these possible sires are settled at a locus and would have young alike, so that nothing here tells them apart."""
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
                    yield Rule("founder", self.state(locus, egg.number), locus, -1, egg.number)
            for family in self._families():
                yield from self._family_rules(locus, family)
        for family in self._families():
            for number in family.eggs if not family.weighs else ():
                yield from self._picked_rules(family, number)
        for variable in list(self.size):
            if variable[0] == "choice":
                yield Rule("choice", (variable,), family=variable[1], egg=variable[2])
        for locus in self.linked if len(self.linked) > 1 else ():
            for egg in self.pedigree.eggs:
                if egg.family in self.left_out:
                    continue
                if self.sex_bound(locus, egg.number) and any(self.is_variable(one, egg.number) for one in self.linked):
                    sex = ("sex", egg.number, 0)
                    self.size[sex] = 2
                    yield Rule("sex", (sex, *self.state(locus, egg.number)), locus, -1, egg.number)

    def _families(self) -> Iterator[Family]:
        return (family for family in self.pedigree.families if family.number not in self.left_out)

    def _family_rules(self, locus: int, family: Family) -> Iterator[Rule]:
        row = self.open[locus]
        sires = [branch.sire for branch in family.branches]
        members = (family.dam, *family.eggs, *(sire for sire in sires if sire is not None))
        if all(len(row[member]) == 1 for member in members) and self.alike(locus, family.dam, sires):
            return
        for egg in family.eggs:
            if not self.is_folded(locus, egg):
                if self.is_variable(locus, egg):
                    yield Rule("looks", self.state(locus, egg), locus, family.number, egg)
                for way in self.ways(locus, family, egg):
                    if scope := self.scope(locus, family, way, egg):
                        yield Rule("young", scope, locus, family.number, egg, way)
            elif family.each_egg:
                yield from self._folding(locus, family, egg)
        if not family.each_egg:
            yield from self._folding(locus, family, -1)

    def _picked_rules(self, family: Family, egg: int) -> Iterator[Rule]:
        """What an egg, picked by its look, takes back of what its look weighs: where several loci tell of its own sire or sex."""
        loci = [locus for locus in range(len(self.grids)) if self.tied(locus, family, egg)]
        if not loci:
            return
        if family.each_egg:
            sires = [branch.sire for branch in self.born_branches(family, egg)]
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
        found = [variable for locus in loci for one in (*sires, dam) for variable in self.state(locus, one)]
        return tuple(dict.fromkeys(found))

    def born_branches(self, family: Family, egg: int) -> tuple[Branch, ...]:
        """The branches that an egg can come from by its sex alone."""
        barred = self.pedigree.eggs[egg].sex == self.grids[0].states.heterogametic
        return tuple(branch for branch in family.branches if branch.sire is not None or not barred)

    def tied(self, locus: int, family: Family, egg: int) -> bool:
        """Whether an egg that was picked by its look is in doubt here of something that other loci tell of too: its sire or its sex."""
        if family.weighs:
            return False
        if self.sex_bound(locus, egg):
            return True
        return family.each_egg and not self.alike(
            locus, family.dam, [branch.sire for branch in self.born_branches(family, egg)]
        )

    def _folding(self, locus: int, family: Family, egg: int) -> Iterator[Rule]:
        for way in self.ways(locus, family, egg):
            scope = self.scope(locus, family, way, None)
            if scope:
                yield Rule("folded", scope, locus, family.number, egg, way)

    def scope(self, locus: int, family: Family, way: Way, egg: int | None) -> tuple[Variable, ...]:
        """The variables of a family's factor for one possible sire: the choice, the sire's, the dam's and the young's states."""
        choice = (way.choice,) if way.choice else ()
        return (*choice, *self.state(locus, way.sire), *self.state(locus, family.dam), *self.state(locus, egg))
