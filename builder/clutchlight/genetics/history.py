"""From chances of states in a network to the figures that are handed out, at every moment of a collection's history.

Time       one sweep from the first event to the last. One network serves a span of time, over what the evidence of its start leaves
           possible; the span is parted where a table is too wide, or going through its moments costs more than making two. What it
           cannot tell is solved for the moment alone: while records need an unrecorded carrier, and where a table is still too wide or
           its sets turn out too narrow.
Invariant  the figures depend neither on how time is parted nor on which moments are solved alone.
Cost       for each event the tables that it changes, a network for each span, and a solution for each moment that is solved alone.
Source     figures#history, figures#trees-of-cliques.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from functools import cached_property, lru_cache, partial

from clutchlight.genetics.evidence import LocusEvidence
from clutchlight.genetics.network import Network
from clutchlight.genetics.pedigree import Egg
from clutchlight.genetics.possible import Domains, Place, WipedOutError
from clutchlight.genetics.solving import LeastOrders, Priors, Solved
from clutchlight.genetics.terms import gathered, least_order, order_of
from clutchlight.genetics.values import Event, Figure, NotComputed
from clutchlight.genetics.world import World
from clutchlight.model import Genotype
from clutchlight.model.traits import grouped


def figure_of(pairs: Sequence[Genotype], chances: Sequence[Fraction]) -> Figure:
    """Chances of states, gathered by genotype."""
    sums = gathered((pair, chance) for pair, chance in zip(pairs, chances, strict=True) if chance)
    return Figure(tuple(sorted(sums.items())))


@lru_cache(maxsize=1024)
def _certain(pair: Genotype) -> Figure:
    """The figure of a place with one genotype open: one value for the many animals of whom nothing is known."""
    return Figure(((pair, Fraction(1)),))


def answer(world: World, network: Network | None, place: Place) -> Figure | NotComputed:
    """The figure of a place in a network, or whose test would split what is too wide."""
    if place in world.not_computed:
        return NotComputed((), "alone")
    if network is None:
        return NotComputed(())
    evidence, states = world.evidence[place[0]], world.states[place[0]]
    own = evidence.own(world.pedigree.eggs[place[1]], network.factors.moment) if evidence.apart else None
    state = network.settled(*place)
    if state is not None and own is None:
        return _certain(states.pairs[state])
    wide = network.unanswered(*place)
    if wide is not None:
        return wide
    chances = network.marginal(*place)
    if chances is None:
        return NotComputed(())
    return figure_of(states.pairs, chances if own is None else evidence.given_own(chances, own))


SPLIT = 160
FILL = 4
"""A second network costs about as much as changing so many table entries for each place (egg and locus), and so many times its own."""

Row = tuple[Event | None, Figure | NotComputed]


class FigureHistory:
    """Figures of one species through time; of young that nothing tells apart, of the first (see `World.like`).

    `limit`: the history by the limit, which says from when on evidence needs unrecorded carriers, where `solved` counts fewer.
    `recorded`: the one with every claim taken as true, where claims are in doubt in this one. `calm`: whether it is known that none
    ever does.
    """

    def __init__(
        self,
        world: World,
        solved: Solved,
        limit: FigureHistory | None = None,
        *,
        recorded: FigureHistory | None = None,
        calm: bool = False,
    ) -> None:
        self.world = world
        self.solved = solved
        self.limit = limit or self
        self.recorded = recorded
        self.calm = calm
        self._solved: dict[tuple[int, int], Solved] = {}
        self._solved_apart: dict[tuple[int, int, int], Solved] = {}
        # by the first locus of a group and the period: the moment from which its evidence is not explained
        self._until: dict[tuple[int, int], int] = {}

    @cached_property
    def coupled(self) -> bool:
        """Whether loci hang together, through a sire or a sex in doubt."""
        return any(family.in_doubt for family in self.world.pedigree.families) or len(self.solved.domains.linked) > 1

    # -- one network for each span of time -------------------------------------------------------------------------------

    def network_at(self, moment: int) -> Network:
        """The network of the span that a moment lies in, wherever in that span it stands."""
        return self.spans[bisect_left(self.spans, moment, key=lambda span: span[0])][1]

    @cached_property
    def spans(self) -> tuple[tuple[int, Network], ...]:
        """The last moment of each span of time, in order, with the network that serves it."""
        return tuple(self._spanned(0, self.world.timeline.now))

    def _spanned(self, start: int, end: int) -> Iterator[tuple[int, Network]]:
        """One network, or those of either half of the span, while a table is too wide or its moments cost more than making two."""
        network = self._network(start, end)
        places = len(self.world.pedigree.eggs) * len(self.world.loci)
        another = SPLIT * places + FILL * sum(tree.plan.entries for tree in network.trees)
        if end - start > 1 and (network.too_wide or network.work(range(start + 1, end + 1)) > another):
            middle = (start + end) // 2
            yield from self._spanned(start, middle)
            yield from self._spanned(middle, end)
        else:
            yield end, network

    def _network(self, start: int, end: int) -> Network:
        """Serves the moments after `start` up to `end`. A family counts from the moment before its first young hatch."""
        world, born = self.world, self.world.timeline.born
        later = frozenset(
            family.number for family in world.pedigree.families if all(born[egg] > end + 1 for egg in family.eggs)
        )
        return Network(world, self._domains_of(start, end), moment=start, fixed=False, left_out=later)

    def _domains_of(self, start: int, end: int) -> Domains:
        """What is possible at some moment of a span, by the evidence of its start; of what hatches in it, by every look."""
        world, born = self.world, self.world.timeline.born
        founders = [
            {egg.number: self._founder_in(locus, egg, start, end) for egg in world.founders}
            for locus in range(len(world.loci))
        ]
        known = self._known_by(start, end, founders)
        masks: list[list[int]] = []
        for locus, evidence in enumerate(world.evidence):
            row = [0] * len(world.pedigree.eggs)
            for egg in world.pedigree.eggs:
                if egg.family is None:
                    row[egg.number] = founders[locus][egg.number]
                else:
                    looks = evidence.every_look(egg)
                    reach, own_sex = self._reach(locus, egg, row), evidence.sex_mask(egg)
                    row[egg.number] = (looks & reach) or (reach & own_sex) or own_sex
                if known is not None and born[egg.number] <= start:
                    row[egg.number] = known.masks[locus][egg.number]
            masks.append(row)
        domains = world.domains(masks)
        if known is not None:
            domains.choices.update(known.choices)
        return domains

    def _known_by(self, start: int, end: int, founders: Sequence[Mapping[int, int]]) -> Domains | None:
        """What the evidence up to a moment leaves possible to these states of founders; None where it is not used, or leaves nothing."""
        world, born = self.world, self.world.timeline.born
        if not start or any(start < turn <= end for _, turns in self._periods for turn in turns):
            return None
        masks = [
            [
                (evidence.sex_mask(egg) if born[egg.number] > start else world.evidence_mask(locus, egg, start))
                & founders[locus].get(egg.number, -1)
                for egg in world.pedigree.eggs
            ]
            for locus, evidence in enumerate(world.evidence)
        ]
        domains = world.domains(masks)
        try:
            domains.propagate()
        except WipedOutError:
            return None
        return domains

    def _reach(self, locus: int, egg: Egg, row: Sequence[int]) -> int:
        """The states that parents in these domains can give an egg."""
        states = self.world.states[locus]
        family = self.world.pedigree.families[egg.family or 0]
        found = 0
        for branch in family.branches:
            sires = (None,) if branch.sire is None else states.members(row[branch.sire])
            for sire in sires:
                for dam in states.members(row[family.dam] & states.of_sex("female")):
                    found |= states.open_to(sire, dam)
        return found

    def _founder_in(self, locus: int, egg: Egg, start: int, end: int) -> int:
        """A founder's states of least order at some moment of a span."""
        evidence = self.world.evidence[locus]
        joined = 0
        for moment in (start, *(moment for moment in self._own_moments.get(egg.number, ()) if start < moment <= end)):
            prior = evidence.prior(egg, moment)
            looks = evidence.looks(egg, moment)
            seen = [(state, weight) for state, weight in enumerate(prior) if weight and looks >> state & 1]
            least = least_order(weight for _, weight in seen)
            joined |= sum(1 << state for state, weight in seen if order_of(weight) == least)
        return joined or evidence.sex_mask(egg)

    @cached_property
    def _own_moments(self) -> Mapping[int, tuple[int, ...]]:
        return grouped((egg, moment) for moment, eggs in enumerate(self.world.timeline.touched, 1) for egg in eggs)

    def at(self, place: Place, moment: int) -> Figure | NotComputed:
        """The figure of a place by the evidence up to a moment: solved for it alone where the network of its span does not tell."""
        if self.world.timeline.born[place[1]] <= moment and (network := self._shared(place[0], moment)) is not None:
            found = answer(self.world, network, place)
            if isinstance(found, Figure):
                return found
        solved, position = self.solved_for(place, moment)
        return answer(solved.world, solved.network, (position, place[1]))

    def taken_back(self, locus: int) -> tuple[int, ...]:
        """The moments at which evidence at a locus did not only grow, in order: a look or a claim held no longer, or a founder was first
        seen to carry what a test or its young had shown before."""
        evidence, timeline, own = self.world.evidence[locus], self.world.timeline, self.world.pedigree.egg_of
        found: set[int] = set()
        for ident, rows in timeline.readings.items():
            if ident in own and len({evidence.reading_mask(reading) for _, reading in rows}) > 1:
                found.update(moment for moment, _ in rows[1:])
        for ident, claims in timeline.claims.items():
            if ident in own:
                found.update(gone for claim, gone in claims if gone is not None and claim.locus == evidence.locus.key)
        return tuple(sorted(found | set(self._seen_late(evidence))))

    def _seen_late(self, evidence: LocusEvidence) -> Iterator[int]:
        """The moments at which founders were first seen to carry something, after they were tested or young of theirs hatched."""
        timeline, pedigree = self.world.timeline, self.world.pedigree
        for egg in self.world.founders:
            first = min((timeline.readings[one][0][0] for one in egg.animals if one in timeline.readings), default=0)
            if first and not evidence.looks(egg, first) & evidence.states.normal:
                bred = any(timeline.born[one] < first for one in pedigree.young(egg.number))
                if bred or evidence.was_tested(egg, first - 1):
                    yield first

    def _shared(self, locus: int, moment: int) -> Network | None:
        """The network of a span, with the evidence up to a moment in force; None where it cannot serve the locus then."""
        if not self.limit.explained(locus, moment):
            return None
        network = self.network_at(moment)
        network.set_moment(moment)
        return network

    def explained(self, locus: int, moment: int) -> bool:
        """Whether the evidence up to a moment has weight with founders at their least orders.

        Within a period evidence only grows, so what is not explained stays so: the end is tried first, then the turn is sought. A claim
        that comes into doubt leaves more possible than before: what needs a carrier by the records as they stand is asked moment by moment.
        """
        if self.calm:
            return True
        loci, turns = self._periods[locus]
        if self.recorded is not None:
            return self.recorded.explained(locus, moment) or not self._strained(loci, moment)
        key = loci[0], bisect_right(turns, moment)
        if key not in self._until:
            start, end = (0, *turns)[key[1]], (*turns, self.world.timeline.now + 1)[key[1]]
            if self._strained(loci, end - 1):
                # from the end, not from the middle: whoever asks about moments that need one asks about the last
                strained, back = end - 1, 1
                while start < strained and self._strained(loci, max(start, end - 1 - back)):
                    strained, back = max(start, end - 1 - back), 2 * back
                calm = max(start, end - 1 - back)
                end = calm + bisect_left(range(calm, strained), True, key=partial(self._strained, loci))
            self._until[key] = end
        return moment < self._until[key]

    @cached_property
    def _periods(self) -> tuple[tuple[Sequence[int], Sequence[int]], ...]:
        """For each locus those that hang together with it, and the moments at which evidence at any of them was taken back.

        Those moments part time into the periods within which evidence only grows.
        """
        every = range(len(self.world.loci))
        groups = [every] * len(every) if self.coupled else [range(locus, locus + 1) for locus in every]
        turns = [self.taken_back(locus) for locus in every]
        return tuple((loci, sorted({turn for locus in loci for turn in turns[locus]})) for loci in groups)

    def in_conflict(self, place: Place, moment: int) -> bool:
        """Whether nothing fits what is known of an egg's relatives at a moment, at this locus or those that hang together with it."""
        return not self.explained(place[0], moment) and self.solved_for(place, moment)[0].network is None

    def _strained(self, loci: Sequence[int], moment: int) -> bool:
        """Whether evidence needs an unrecorded carrier at a moment, a heterozygosity kept that never is, or is in conflict."""
        if moment == self.solved.moment and self.solved.world is self.world:
            return self.solved.network is None or any(self.solved.order[locus] for locus in loci)
        worlds = [self.world] if self.coupled else [self.world.only(locus) for locus in loci]
        try:
            return not all(LeastOrders(world, Priors(world, moment)).need_nothing for world in worlds)
        except WipedOutError:
            return True

    def network_for(self, place: Place, moment: int) -> tuple[Network | None, int]:
        """The network that answers for a place at a moment, with its evidence in force, and the position of its locus in it."""
        if (network := self._shared(place[0], moment)) is not None:
            return network, place[0]
        solved, position = self.solved_for(place, moment)
        return solved.network, position

    def solved_for(self, place: Place, moment: int) -> tuple[Solved, int]:
        """The species solved for a place at a moment, and the position of its locus in it.

        Where nothing fits, without the evidence of strangers: what contradicts itself among them keeps back none of its figures.
        """
        solved, position = self.solved_at(place[0], moment)
        part = self.world.part
        if solved.network is None and len(set(part)) > 1:
            key = (-1 if self.coupled else place[0], moment, part[place[1]])
            if key not in self._solved_apart:
                self._solved_apart[key] = Solved(self._without_strangers(self._world_at(place[0]), place[1]), moment)
            solved = self._solved_apart[key]
        return solved, position

    def world_for(self, egg: int, moment: int) -> World:
        """The world as far as it bears on an egg: without the evidence of strangers where that contradicts itself at a moment."""
        loci = range(len(self.world.loci))
        apart = any(not self.explained(at, moment) and self.solved_at(at, moment)[0].network is None for at in loci)
        return self._without_strangers(self.world, egg) if apart else self.world

    def _without_strangers(self, world: World, egg: int) -> World:
        """A world without the looks and tests of those who are not related to an egg."""
        part = self.world.part
        strangers = frozenset(other for other, one in enumerate(part) if one != part[egg])
        return world.ignoring(strangers, range(len(world.loci)))

    def solved_at(self, locus: int, moment: int) -> tuple[Solved, int]:
        """The species solved at a moment, and the position of the locus in it."""
        if moment == self.solved.moment and self.solved.world is self.world:
            return self.solved, locus
        key = (-1 if self.coupled else locus, moment)
        if key not in self._solved:
            self._solved[key] = Solved(self._world_at(locus), moment)
        return self._solved[key], locus if self.coupled else 0

    def _world_at(self, locus: int) -> World:
        """A locus with those that hang together with it."""
        return self.world if self.coupled else self.world.only(locus)

    @cached_property
    def _at_birth(self) -> dict[Place, Figure | NotComputed]:
        """The figure of every young at the end of the day of its hatching, in one sweep through time."""
        timeline, eggs = self.world.timeline, self.world.pedigree.eggs
        young = sorted(
            (egg for egg in eggs if egg.family is not None and self._has_history(egg)),
            key=lambda egg: timeline.born[egg.number],
        )
        found: dict[Place, Figure | NotComputed] = {}
        for egg in young:
            moment = timeline.hatched(egg.number)
            for locus in range(len(self.world.loci)):
                found[locus, egg.number] = self.at((locus, egg.number), moment)
        return found

    @cached_property
    def _before_births(self) -> dict[Place, Figure]:
        """What its parents' records made of each young, in one sweep through time, by the first of its kind; not at all loci."""
        timeline, eggs = self.world.timeline, self.world.pedigree.eggs
        young = (egg for egg in eggs if egg.family is not None and egg.animals and timeline.born[egg.number])
        found: dict[Place, Figure] = {}
        for egg in sorted(young, key=lambda egg: timeline.born[egg.number]):
            for locus, states in enumerate(self.world.states):
                first = (locus, self._first_of_its_kind(egg))
                network = None if first in found else self._shared(locus, timeline.born[egg.number] - 1)
                if network is not None and (chances := network.from_parents(locus, egg.number)):
                    found[first] = figure_of(states.pairs, chances)
        return found

    def _first_of_its_kind(self, egg: Egg) -> int:
        """The first young of which the same parents tell the same: of its clutch, unless each egg may have another sire."""
        if egg.family is None or self.world.pedigree.families[egg.family].each_egg:
            return egg.number
        return self.world.pedigree.families[egg.family].eggs[0]

    def before_hatching(self, place: Place) -> Figure | NotComputed | None:
        """A young by its parents' records alone, just before it hatched; None for a founder or an undated hatching."""
        locus, number = place
        born = self.world.timeline.born[number]
        if not born:
            return None
        if place in self.world.not_computed:
            return NotComputed((), "alone")
        known = self._before_births.get((locus, self._first_of_its_kind(self.world.pedigree.eggs[number])))
        return known if known is not None else self.at(place, born - 1)

    def when_hatched(self, place: Place) -> Figure | NotComputed:
        return self._at_birth[place]

    def of(self, place: Place) -> tuple[Row, ...]:
        return tuple(self._all.get(place, ()))

    def standing(self, place: Place, moment: int) -> Figure | NotComputed:
        """The same as `at`, looked up where every change is known anyway."""
        moment_of = self.world.timeline.moment_of
        rows = (figure for event, figure in reversed(self.of(place)) if event is None or moment_of[event] <= moment)
        found = next(rows, None)
        return self.at(place, moment) if found is None else found

    def _has_history(self, egg: Egg) -> bool:
        """Whether somebody may ask for it, and no other answers for it."""
        return bool(egg.animals) and egg.number not in self.world.like

    @cached_property
    def _all(self) -> dict[Place, list[Row]]:
        """Every change of every figure, in order of time."""
        world, timeline = self.world, self.world.timeline
        found: dict[Place, list[Row]] = {}
        for moment in range(timeline.now + 1):
            event = timeline.events[moment - 1] if moment else None
            for place in self._may_change(moment):
                self._note(found, place, event, self.at(place, moment))
            for egg in world.pedigree.eggs:
                if timeline.born[egg.number] == moment and self._has_history(egg):
                    for locus in range(len(world.loci)):
                        if (locus, egg.number) not in found:
                            self._note(found, (locus, egg.number), event, self.at((locus, egg.number), moment))
        return found

    @staticmethod
    def _note(found: dict[Place, list[Row]], place: Place, event: Event | None, figure: Figure | NotComputed) -> None:
        rows = found.setdefault(place, [])
        if not rows or rows[-1][1] != figure:
            rows.append((event, figure))

    def _may_change(self, moment: int) -> Iterator[Place]:
        """The places, of animals born by then, whose figure an event can have changed."""
        if not moment:
            return
        world, timeline = self.world, self.world.timeline
        born = timeline.born
        network = self.network_at(moment)
        network.set_moment(moment - 1)
        trees = network.set_moment(moment)
        own = world.timeline.touched[moment - 1]  # their figures hang on no tree where both parents are settled
        loci = [locus for locus in range(len(world.loci)) if self._says_something(locus, moment)]
        for locus in loci:
            explained = all(self.limit.explained(locus, one) for one in (moment - 1, moment))
            if network.too_wide or not explained:
                places = [egg.number for egg in world.pedigree.eggs]
            else:
                places = sorted({*own, *(egg for tree in trees for egg in network.eggs_in(tree, locus))})
            for egg in places:
                if born[egg] <= moment and self._has_history(world.pedigree.eggs[egg]):
                    yield locus, egg

    def _says_something(self, locus: int, moment: int) -> bool:
        evidence, timeline = self.world.evidence[locus], self.world.timeline
        event = timeline.events[moment - 1]
        if event.kind == "withdrawn" or self.coupled:
            return True
        eggs = [self.world.pedigree.eggs[number] for number in timeline.touched[moment - 1]]
        if any(egg.number in evidence.apart for egg in eggs):
            return True
        return any(evidence.has_evidence(egg, moment) or evidence.has_evidence(egg, moment - 1) for egg in eggs)
