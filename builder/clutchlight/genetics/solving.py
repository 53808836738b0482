"""The exact figures of one species at one moment: from evidence to a network whose weight is above 0.

Computes   the leading term in e (the vanishing frequency of every allele that nobody recorded) of the weight of all evidence,
           and with it every distribution given the evidence.
Steps      1. propagate with founders free: what survives is possible at some order; nothing surviving is a conflict.
           2. put each founder at its surviving states of least order and propagate again. If anything has weight, its sum is the exact
              leading term: every other assignment has at least one unrecorded copy more.
           3. else free founders: those of whom one copy more would do, or, if no single copy does, all that could, and keep powers of e.
           4. where nothing has weight at any order, though records may say so: let young without sire keep a heterozygosity that is said
              never to be kept, as few of them as will do, and go back to 1. The share 0 is then the limit of a vanishing one, taken
              before e -> 0: it comes in only where the records leave no other way, and changes no other figure.
Symbols    order k = unrecorded allele copies needed above what founders' own looks need.
Invariant  the answer does not depend on the order of animals, loci or records.
Cost       two propagations and one tree; step 3 only where records are a surprise.
Source     figures#founders, figures#surprise, figures#least-orders.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from itertools import product

from msgspec import Struct

from clutchlight.genetics.factors import StateVariable
from clutchlight.genetics.network import Network
from clutchlight.genetics.pedigree import Egg
from clutchlight.genetics.possible import ChoiceKey, Domains, Place, WipedOutError, several
from clutchlight.genetics.terms import KEPT, Weight, order_of
from clutchlight.genetics.world import World


class Supposed(Struct, frozen=True):
    """What is taken as true for a question: the branches left of choices of sire, the states left of eggs."""

    choices: tuple[tuple[ChoiceKey, int], ...] = ()
    masks: tuple[tuple[Place, int], ...] = ()


class Priors:
    """The founders' prior weights at one moment, and what of a domain is of least order."""

    def __init__(self, world: World, moment: int) -> None:
        self.world = world
        self.moment = moment
        self.levels = [
            {egg.number: _levels(evidence.prior(egg, moment)) for egg in world.founders} for evidence in world.evidence
        ]

    def possible(self, locus: int, egg: Egg) -> int:
        """The states that a founder's claims allow at some order; everything for a young."""
        return -1 if egg.family is not None else self.up_to(locus, egg.number, -1, KEPT)

    def masks(self, known: Mapping[int, Sequence[int]]) -> list[list[int]]:
        """What claims, looks and sure tests leave of each egg at each locus, at some order; at some loci that is `known`."""
        found: list[list[int]] = []
        for locus, evidence in enumerate(self.world.evidence):
            row = list(known[locus]) if locus in known else evidence.masks(self.moment)
            for egg in self.world.founders if locus not in known else ():
                row[egg.number] &= self.possible(locus, egg)
            found.append(row)
        return found

    def least_order(self, locus: int, egg: int, mask: int) -> int:
        return next((order for order, states in self.levels[locus][egg] if states & mask), 0)

    def up_to(self, locus: int, egg: int, mask: int, above: int = 0) -> int:
        """The states of a founder in `mask` whose order is at most the least one plus `above`."""
        most = self.least_order(locus, egg, mask) + above
        return sum(states & mask for order, states in self.levels[locus][egg] if order <= most)

    def more(self, locus: int, egg: Egg) -> int:
        """The states of a founder that hold more unrecorded copies than its own looks and sure tests need."""
        least = self.least_order(locus, egg.number, self.world.evidence_mask(locus, egg, self.moment))
        return sum(states for order, states in self.levels[locus][egg.number] if order > least)

    def forced(self, locus: int, egg: int, mask: int) -> int:
        """The unrecorded copies that a founder cannot do without, above those that its own look needs."""
        looks = self.world.evidence[locus].looks(self.world.pedigree.eggs[egg], self.moment)
        return self.least_order(locus, egg, mask) - self.least_order(locus, egg, looks)


@lru_cache(maxsize=1024)
def _levels(prior: tuple[Weight, ...]) -> tuple[tuple[int, int], ...]:
    """The orders that occur in a prior, ascending, each with the states of it."""
    found: dict[int, int] = {}
    for state, weight in enumerate(prior):
        if weight:
            found[order_of(weight)] = found.get(order_of(weight), 0) | 1 << state
    return tuple(sorted(found.items()))


class LeastOrders:
    """What the evidence of a moment leaves possible, and founders put at their states of least order in it.

    `free`: what is possible at any order. `supposed`: what is taken as true besides. `like`: the same solved before, with the loci at
    which weights are others now; loci must not hang together. Raises WipedOutError where nothing fits.
    """

    def __init__(
        self,
        world: World,
        priors: Priors,
        supposed: Supposed | None = None,
        like: tuple[Solved, frozenset[int]] | None = None,
    ) -> None:
        self.world = world
        self.priors = priors
        self._like = like
        masks = priors.masks(self._known(lambda like: like.free))
        for (locus, egg), mask in supposed.masks if supposed else ():
            masks[locus][egg] &= mask
        self.free = world.domains(masks)
        for key, kept in supposed.choices if supposed else ():
            self.free.keep(key, self.free.choices[key] & kept)
        self.free.propagate()

    def _known(self, domains: Callable[[Solved], Domains]) -> Mapping[int, Sequence[int]]:
        """What is known to be possible at the loci where nothing is another than when it was solved before."""
        if self._like is None:
            return {}
        like, others = self._like
        return {locus: row for locus, row in enumerate(domains(like).masks) if locus not in others}

    def placed(self, freed: Mapping[Place, int], only: int | None = None) -> Domains | None:
        """Domains with founders at their least order but for the freed ones, up to the order given with each; None: nothing fits.

        `only`: the one locus to look at, as if the others did not exist.
        """
        world = self.world if only is None else self.world.only(only)
        loci = range(len(self.world.loci)) if only is None else (only,)
        known = {} if freed else self._known(lambda like: like.domains)
        rows = [known[locus] if locus in known else self.free.masks[locus] for locus in loci]
        domains = Domains(world.pedigree, world.states, rows)
        domains.choices.update(self.free.choices)
        try:
            for position, locus in enumerate(loci):
                row = self.free.masks[locus]
                for number in (egg.number for egg in self.world.founders if several(row[egg.number])):
                    above = freed.get((locus, number), 0)
                    domains.narrow(position, number, self.priors.up_to(locus, number, row[number], above))
            domains.propagate()
        except WipedOutError:
            return None
        return domains

    def several(self, locus: int) -> list[Place]:
        """The founders that may be of more than one order at a locus."""
        row = self.free.masks[locus]
        numbers = (egg.number for egg in self.world.founders)
        return [(locus, egg) for egg in numbers if self.priors.up_to(locus, egg, row[egg]) != row[egg]]

    def singles(self) -> list[list[Place]]:
        """The founders of whom one unrecorded copy more would make all fit: at each locus that does not fit alone, else at any."""
        every = range(len(self.world.loci))
        if troubled := [locus for locus in every if self.placed({}, locus) is None]:
            return [self._singles(self.several(locus), locus) for locus in troubled]
        return [self._singles([place for locus in every for place in self.several(locus)], None)]

    def _singles(self, places: Sequence[Place], only: int | None) -> list[Place]:
        return [place for place in places if self.placed({place: 1}, only) is not None]

    @property
    def need_nothing(self) -> bool:
        """Whether some assignment needs no unrecorded copy above those that the founders' own looks need."""
        every = [(locus, egg.number) for locus in range(len(self.world.loci)) for egg in self.world.founders]
        if any(self.priors.forced(locus, egg, self.free.masks[locus][egg]) for locus, egg in every):
            return False
        placed = self.placed({})
        return placed is not None and placed.satisfiable()

    def holding_more(self) -> frozenset[Place] | None:
        """The founders that hold more, in some assignment of least order, than their own looks and sure tests need.

        None where that order is not known without weights: where one copy more at each locus that needs one does not do.
        """
        placed = self.placed({})
        if placed is not None and placed.satisfiable():
            ways: list[tuple[Place, ...]] = [()]
        else:
            found = product(*self.singles())
            ways = [
                one for one in found if (fit := self.placed(dict.fromkeys(one, 1))) is not None and fit.satisfiable()
            ]
        if not ways:
            return None
        anyway = {
            (locus, egg.number)
            for locus in range(len(self.world.loci))
            for egg in self.world.founders
            if self.priors.up_to(locus, egg.number, self.free.masks[locus][egg.number]) & self.priors.more(locus, egg)
        }
        return frozenset(anyway.union(*ways))


class Solved:
    """The network of a species at a moment, what is possible, and how many unrecorded copies the evidence needs.

    `copies`: how many in all. `order`: how many may stand at each locus; where a doubt joins loci, each is counted at all of them.
    `conflict`: noticed when nothing is possible at all; there is no network then. `spared`: whether a young must have kept a
    heterozygosity which is said never to be kept, and `kept`: how many young. `supposed`, `like`: as in `LeastOrders`.
    """

    def __init__(
        self,
        world: World,
        moment: int,
        supposed: Supposed | None = None,
        like: tuple[Solved, frozenset[int]] | None = None,
    ) -> None:
        self.world = world
        self.moment = moment
        self.supposed = supposed or Supposed()
        self.priors = Priors(world, moment)
        self.conflict: WipedOutError | None = None
        self.network: Network | None = None
        self.freed: frozenset[Place] = frozenset()
        self.spared = False
        self._like = like if like and like[0].network and not (like[0].freed or like[0].spared) else None
        self._try(world)
        if self.network is None and world.spared is not None:
            self.spared, self._like = True, None
            self._try(world.spared)

    def _try(self, world: World) -> None:
        self.world = world
        self.conflict = None
        self.order = [0] * len(world.loci)
        self.copies = self.kept = 0
        try:
            self.orders = LeastOrders(world, self.priors, self.supposed, self._like)
        except WipedOutError as wiped:
            self.conflict = wiped
            return
        self.domains = self.free = self.orders.free
        for locus in range(len(world.loci)):
            for egg in world.founders:
                self.order[locus] += self.priors.forced(locus, egg.number, self.free.masks[locus][egg.number])
        if self.spared or not self._settled_soon():
            everyone = {place: 4 for locus in range(len(self.world.loci)) for place in self.orders.several(locus)}
            self._settled(everyone, None)

    def _settled_soon(self) -> bool:
        """Whether founders at their least orders will do, or with one copy more here and there."""
        if self._settled({}, 0):
            return True
        groups = self.orders.singles()
        singles = {place: 1 for group in groups for place in group}
        return bool(singles) and self._settled(singles, len(groups))

    def _settled(self, freed: Mapping[Place, int], most: int | None) -> bool:
        """Takes the network with these founders freed, if its evidence has weight at an order of at most `most` above the forced one."""
        domains = self.orders.placed(freed)
        if domains is None:
            return False
        world = self.world
        network = Network(world, domains, moment=self.moment, freed=frozenset(freed), pins=dict(self.supposed.masks))
        totals = [tree.total for tree in network.trees]
        if not all(totals):
            return False
        base = [0] * len(world.loci)
        settled = [0] * len(world.loci)
        for locus, egg in freed:
            base[locus] += self.priors.forced(locus, egg, self.free.masks[locus][egg])
            if not several(domains.masks[locus][egg]):
                settled[locus] += self.priors.forced(locus, egg, domains.masks[locus][egg])
        if most is not None and sum(order_of(weight) for weight in totals) + sum(settled) - sum(base) > most:
            return False
        self.network, self.domains, self.freed = network, domains, frozenset(freed)
        for locus in range(len(world.loci)):
            self.order[locus] += settled[locus] - base[locus]
        self.copies = sum(self.order)
        self.kept += network.factors.kept_apart()
        for tree, weight in enumerate(totals):
            self.kept += order_of(weight) // KEPT
            if order := order_of(weight) % KEPT:
                self.copies += order
                for locus in {place[0] for place in freed if network.tree_of.get(StateVariable(*place)) == tree}:
                    self.order[locus] += order
        return True
