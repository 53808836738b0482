"""The states of several animals together, at every locus, kept factored: what the odds of a pairing are computed from.

Computes   P(states of all members at all loci | all evidence), as a product over groups of loci of a sum over parts of a product over
           loci: loci in different groups are independent, and within one part of a group too.
           possible(locus, way): the states of all members together in any assignment at all, founders and claims free.
Symbols    member = one of the animals asked about; its states hold the phase at a sex-linked locus. part = one way that the doubts which
           several loci share can fall (who sired a clutch or an egg, the sex of a young). way = one choice of the sires in doubt among
           the members and their ancestors.
Formula    chain rule: each doubt, then each member's state, in turn, given those before it.
Assumes    loci hang together through doubts only, but where young were picked by their looks: there, through their parents' states too,
           and only the members' states part the loci. A member's role fixes its sex.
Invariant  the chances of a group's parts, and within a part those at each locus, sum to 1.
Cost       a belief for each part, locus and state. Whichever of the two is smaller is summed over: the shared doubts, or the members'
           states at the group's loci; beyond PARTS of both, TooManyPartsError.
           In `possible`, doubts about the sires of other relatives, and of ancestors beyond WAYS combinations, are taken locus by locus:
           it may then hold a state too many, never one too few, so that what seems forced is forced.
Source     figures#odds, figures#sires-in-doubt, figures#forced.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from fractions import Fraction
from functools import cached_property, partial
from itertools import product
from math import prod

from msgspec import Struct

from clutchlight.genetics.factors import Variable
from clutchlight.genetics.inference import SpeciesFigures
from clutchlight.genetics.network import Network, sharing
from clutchlight.genetics.possible import ChoiceKey, Domains, Place, WipedOutError, several
from clutchlight.genetics.states import States, bits
from clutchlight.genetics.terms import gathered
from clutchlight.genetics.tree import Table
from clutchlight.genetics.values import NotComputed
from clutchlight.model import Locus, Sex, Species

PARTS = 4096
WAYS = 16

Members = tuple[int, ...]
"""The state numbers of all members at one locus."""

Way = tuple[tuple[ChoiceKey, int], ...]


class TooManyPartsError(Exception):
    """The loci of these animals hang together in more ways than are summed over. `loci`: their keys."""

    def __init__(self, loci: tuple[str, ...]) -> None:
        self.loci = loci
        super().__init__(", ".join(loci))


class Part(Struct, frozen=True):
    """One way that shared doubts fall: its chance, and at each locus of the group the chances of the members' states."""

    chance: Fraction
    tables: tuple[tuple[tuple[Members, Fraction], ...], ...]


class LocusGroup(Struct, frozen=True):
    """Loci, by position, that share a doubt; or one locus alone."""

    loci: tuple[int, ...]
    parts: tuple[Part, ...]


class Together:
    """Several animals of one species at the loci in play, or at some of them. `roles`: the sex that each acts in.

    `heard`: whose own look counts where its clutch leaves others alone (`counts: no`); of the others what their young will go by. Such a
    member comes first, so that its figure is its own. None: all of them.
    """

    def __init__(
        self,
        figures: SpeciesFigures,
        members: Sequence[str],
        roles: Sequence[Sex],
        loci: Sequence[str] | None = None,
        heard: Sequence[str] | None = None,
    ) -> None:
        self._figures = figures
        self.members = tuple(members)
        world = figures.world
        self._eggs = tuple(world.pedigree.egg_of[member] for member in members)
        apart = frozenset().union(*(one.apart for one in world.evidence))  # given the others, whom they leave alone
        self._heard = None if heard is None else frozenset(world.pedigree.egg_of[member] for member in heard)
        last = apart if self._heard is None else frozenset(self._eggs) - self._heard
        self._egg_set = tuple(sorted(dict.fromkeys(self._eggs), key=last.__contains__))
        roles_of = dict(zip(self._eggs, roles, strict=True))
        self._roles = tuple(roles_of[egg] for egg in self._egg_set)
        asked = (
            range(len(world.loci)) if loci is None else [world.position[key] for key in loci if key in world.position]
        )
        self.not_computed: dict[str, NotComputed] = {}
        self._at: list[int] = []
        for position in asked:
            unknown = next(
                (found for egg in self._egg_set if isinstance(found := figures.now((position, egg)), NotComputed)), None
            )
            if unknown is None:
                self._at.append(position)
            else:
                self.not_computed[world.loci[position].key] = unknown
        self.loci: tuple[Locus, ...] = tuple(world.loci[position] for position in self._at)
        self.states: tuple[States, ...] = tuple(world.states[position] for position in self._at)
        self._possible: dict[tuple[int, Way], frozenset[Members]] = {}
        self._alone: dict[int, tuple[tuple[Members, Fraction], ...]] = {}

    @property
    def species(self) -> Species:
        return self._figures.collection.species[self._figures.species]

    # -- how likely ----------------------------------------------------------------------------------------------------

    @cached_property
    def groups(self) -> tuple[LocusGroup, ...]:
        """The groups of loci in order of their first locus. Raises TooManyPartsError."""
        network = self._figures.network
        needed = {
            locus: [tree for egg in self._egg_set for tree in network.trees_of(position, egg)]
            for locus, position in enumerate(self._at)
        }
        found = [(trees, tuple(sorted(loci))) for trees, loci in sharing(needed)]
        return tuple(self._group(network, trees, loci) for trees, loci in sorted(found, key=lambda one: one[1]))

    def group_of(self, locus: int) -> LocusGroup:
        """The group that a locus is in."""
        return self.groups[self._number_of[locus]]

    @cached_property
    def _number_of(self) -> dict[int, int]:
        return {locus: number for number, group in enumerate(self.groups) for locus in group.loci}

    def combinations(
        self, loci: Sequence[int], beside: int | None = None
    ) -> Iterator[tuple[int, tuple[Members, ...], Fraction]]:
        """The members' states at several loci together, with their chances, by the parts of the group of another locus (first: which)."""
        home = loci[0] if beside is None else beside
        groups = [self.groups[number] for number in dict.fromkeys(self._number_of[one] for one in (home, *loci))]
        for picks in product(*(enumerate(group.parts) for group in groups)):
            weight = prod((part.chance for _, part in picks), start=Fraction(1))
            tables = {
                locus: table
                for group, (_, part) in zip(groups, picks, strict=True)
                for locus, table in zip(group.loci, part.tables, strict=True)
            }
            for rows in product(*(tables[locus] for locus in loci)):
                chance = weight * prod((chance for _, chance in rows), start=Fraction(1))
                yield picks[0][0], tuple(members for members, _ in rows), chance

    def rows_at(self, locus: int) -> tuple[tuple[Members, Fraction], ...]:
        """The members' states at one locus by itself, with their chances."""
        if locus not in self._alone:
            group = self.group_of(locus)
            at = group.loci.index(locus)
            found = gathered(
                (members, part.chance * chance) for part in group.parts for members, chance in part.tables[at]
            )
            self._alone[locus] = tuple(found.items())
        return self._alone[locus]

    def _group(self, network: Network, trees: set[int], loci: tuple[int, ...]) -> LocusGroup:
        tied = len(loci) > 1 and self._tied(network, trees)
        doubts = self._shared_doubts(network, trees) if len(loci) > 1 else ()
        if not doubts and not tied:
            tables = [self._rows(locus) for locus in loci]
            return LocusGroup(loci, (Part(Fraction(1), tuple(_to_one(table)[0] for table in tables)),))
        falls = PARTS + 1 if tied else prod(_size(network, doubt) for doubt in doubts)
        leaves = prod(self._open(network, locus, egg) for locus in loci for egg in self._egg_set)
        if min(falls, leaves) > PARTS:
            raise TooManyPartsError(tuple(self.loci[locus].key for locus in loci))
        of = partial(self._by_doubts, network, loci, doubts) if falls <= leaves else partial(self._by_states, loci)
        parts = [*of(self._egg_set[0])] or [*of(None)]
        chances = gathered((part.tables, part.chance) for part in parts)
        whole = sum(chances.values(), Fraction(0))
        return LocusGroup(loci, tuple(Part(chance / whole, tables) for tables, chance in chances.items()))

    def _tied(self, network: Network, trees: set[int]) -> bool:
        """Whether states at several loci stand in one factor of these trees (young picked by look): no doubt that falls parts them."""
        return any(
            network.tree_of.get(rule.scope[0]) in trees
            and len({variable.locus for variable in rule.scope if variable.kind == "state"}) > 1
            for rule in network.factors.rules
        )

    def _shared_doubts(self, network: Network, trees: set[int]) -> tuple[Variable, ...]:
        """The choices and sexes in these trees that more than one locus depends on."""
        touched: dict[Variable, set[int]] = {}
        for rule in network.factors.rules:
            for variable in rule.scope:
                if variable.kind != "state" and rule.locus >= 0 and network.tree_of.get(variable) in trees:
                    touched.setdefault(variable, set()).add(rule.locus)
        shared = (variable for variable, loci in touched.items() if len(loci) > 1)
        return tuple(sorted(shared, key=lambda variable: (variable.kind, variable)))

    def _open(self, network: Network, locus: int, egg: int) -> int:
        chances = network.marginal(self._at[locus], egg)
        return sum(1 for chance in chances or () if chance)

    def _by_doubts(
        self, network: Network, loci: tuple[int, ...], doubts: tuple[Variable, ...], weighed: int | None
    ) -> Iterator[Part]:
        for chance in _fallen(network, doubts):
            scaled = [_to_one(self._rows(locus, weighed)) for locus in loci]
            weight = chance * prod((mass for _, mass in scaled), start=Fraction(1))
            if weight:
                yield Part(weight, tuple(table for table, _ in scaled))

    def _by_states(self, loci: tuple[int, ...], weighed: int | None) -> Iterator[Part]:
        asked = [one for locus in loci for one in self._asked(locus)]
        for states, chance in self._figures.together(asked, self._heard, weighed):
            size = len(self._egg_set)
            each = (self._of_members(states[at : at + size]) for at in range(0, len(states), size))
            yield Part(chance, tuple(((members, Fraction(1)),) for members in each))

    def _rows(self, locus: int, weighed: int | None = None) -> tuple[tuple[Members, Fraction], ...]:
        """The members' states at a locus, of the sexes of their roles, with their joint chances."""
        found = self._figures.together(self._asked(locus), self._heard, weighed)
        return tuple((self._of_members(states), chance) for states, chance in found)

    def _asked(self, locus: int) -> list[tuple[Place, int]]:
        """Each egg at a locus, with the states in which it can act in its role."""
        position = self._at[locus]
        roles = zip(self._egg_set, self._roles, strict=True)
        return [((position, egg), self.states[locus].of_sex(role)) for egg, role in roles]

    def _of_members(self, states: Sequence[int]) -> Members:
        """The states of the eggs as those of the members; of twins one egg answers."""
        of_egg = dict(zip(self._egg_set, states, strict=True))
        return tuple(of_egg[egg] for egg in self._eggs)

    # -- what is possible at all ---------------------------------------------------------------------------------------

    @property
    def _domains(self) -> Domains:
        return self._figures.certainty.domains_now

    @cached_property
    def ways(self) -> tuple[Way, ...]:
        """The choices of the sires in doubt among the members and their ancestors; one empty way where there is no doubt."""
        pedigree, domains = self._figures.world.pedigree, self._domains
        keys: set[ChoiceKey] = set()
        for egg in (pedigree.eggs[number] for number in pedigree.with_ancestors(self._egg_set)):
            if egg.family is None:
                continue
            family = pedigree.families[egg.family]
            key = (family.number, egg.number if family.each_egg else -1)
            if family.in_doubt and several(domains.choices[key]):
                keys.add(key)
        options = [[(key, branch) for branch in bits(domains.choices[key])] for key in sorted(keys)]
        if prod(len(option) for option in options) > WAYS:
            return ((),)
        return tuple(product(*options))

    def possible(self, locus: int, way: Way) -> frozenset[Members]:
        """Every combination of the members' states in some assignment that looks, sure tests and parentage allow."""
        if (locus, way) not in self._possible:
            domains = self._domains
            distinct: tuple[Members, ...] = ()
            with domains.for_now(), suppress(WipedOutError):
                for key, branch in way:
                    domains.keep(key, domains.choices[key] & 1 << branch)
                domains.propagate()
                distinct = tuple(self._fitting(domains, locus, 0))
            self._possible[locus, way] = frozenset(map(self._of_members, distinct))
        return self._possible[locus, way]

    def possible_at(self, locus: int) -> tuple[Members, ...]:
        """The same however the sires in doubt fell."""
        return tuple(dict.fromkeys(members for way in self.ways for members in sorted(self.possible(locus, way))))

    def _fitting(self, domains: Domains, locus: int, index: int) -> Iterator[Members]:
        (position, egg), mask = self._asked(locus)[index]
        for state in self.states[locus].members(domains.masks[position][egg] & mask):
            if not domains.fits(position, egg, 1 << state, alone=True):
                continue
            if index + 1 == len(self._egg_set):
                yield (state,)
                continue
            rest: tuple[Members, ...] = ()
            with domains.for_now(), suppress(WipedOutError):
                domains.narrow(position, egg, 1 << state)
                domains.propagate()
                rest = tuple(self._fitting(domains, locus, index + 1))
            for states in rest:
                yield (state, *states)


def _fallen(network: Network, doubts: tuple[Variable, ...]) -> Iterator[Fraction]:
    """Makes the doubts fall in every way that has a chance, one after the other, giving each chance while it is in force."""
    if not doubts:
        yield Fraction(1)
        return
    weights = network.belief((doubts[0],))
    whole = sum(weights)
    for position, weight in enumerate(weights):
        if weight:
            with network.supposing(_settled(network, doubts[0], position)):
                for chance in _fallen(network, doubts[1:]):
                    yield Fraction(weight, whole) * chance


def _size(network: Network, doubt: Variable) -> int:
    return network.trees[network.tree_of[doubt]].sizes[network.number_in[doubt]]


def _settled(network: Network, doubt: Variable, position: int) -> dict[int, Table]:
    """The factor that says of a choice of sire or a sex how it turned out, as one of its positions."""
    rules = network.factors.rules
    number = next(n for n, rule in enumerate(rules) if rule.kind in ("choice", "sex") and rule.scope[0] == doubt)
    table = network.factors.table(rules[number])
    if table is None:
        return {}
    length = len(table) // _size(network, doubt)
    return {number: [weight * (index // length == position) for index, weight in enumerate(table)]}


def _to_one(table: Sequence[tuple[Members, Fraction]]) -> tuple[tuple[tuple[Members, Fraction], ...], Fraction]:
    mass = sum((chance for _, chance in table), Fraction(0))
    return (tuple((members, chance / mass) for members, chance in table), mass) if mass else ((), mass)
