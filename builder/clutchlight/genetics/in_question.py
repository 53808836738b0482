"""Founders in question: those who take a stated frequency, so that the limit never outweighs a recorded number.

Computes   the founders in question at each locus at each moment, and the weights of their states.
Symbols    u = `unrecorded`, the share of snakes taken to carry an allele that no record speaks of. A doubt = who sired a clutch or an
           egg, the sex of an unsexed young, the copies of which a fallible test found so many; its alternatives are the ways it can
           fall. Order of a state = the unrecorded copies in it, as elsewhere.
Formula    a doubt is open where the limit gives no chance to one of its alternatives (of a test: to the number found), though some
           assignment with it has weight at some order. Of each alternative of an open doubt, alone: the assignments of least order, summed
           over loci. A founder who holds more in any of them than its own look and sure tests need is in question there.
           What it takes there: see `evidence`.
Assumes    all doubts are taken together, each found by the limit alone. Only relatives of a doubt's animals are in question for it.
           What is found by weights alone, and needs a table beyond the limit, leaves nobody in question.
Invariant  u -> 0 gives the figures of the limit.
Cost       nothing without doubts; else a look at each after every event among its relatives, and for an open one a search for each of
           its alternatives: assignments of least order need no weights where one copy more at each locus that needs one will do.
           Elsewhere a network.
Source     figures#unrecorded-carriers; derived.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress
from fractions import Fraction
from functools import cached_property

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.genetics.history import FigureHistory, answer
from clutchlight.genetics.network import Network
from clutchlight.genetics.possible import ChoiceKey, Place, WipedOutError
from clutchlight.genetics.solving import LeastOrders, Priors, Solved, Supposed
from clutchlight.genetics.timeline import changing
from clutchlight.genetics.values import Figure, NotComputed
from clutchlight.genetics.world import World


class OpenDoubt(Struct, frozen=True):
    """Who sired (a choice), or what one egg is at a locus: its sex, or the copies of an allele.

    `eggs`: those whose hatching opens it. `found`: the number of copies that a test found.
    """

    eggs: tuple[int, ...]
    choice: ChoiceKey | None = None
    place: Place = (-1, -1)
    allele: int = 0
    found: int | None = None


class Alternative(Struct, frozen=True):
    """One way that a doubt can fall, with its chance by the limit; `weighed`: no chance for it is what opens the doubt."""

    supposed: Supposed
    chance: Fraction
    weighed: bool = True


class Questions:
    """The founders in question in one species. `limit`: figures by the limit alone."""

    def __init__(self, limit: FigureHistory) -> None:
        self.limit = limit
        self.world = limit.world

    @cached_property
    def doubts(self) -> tuple[OpenDoubt, ...]:
        return tuple(self._doubts()) if self.world.loci else ()

    def _doubts(self) -> Iterator[OpenDoubt]:
        pedigree = self.world.pedigree
        for family in pedigree.families:
            if family.in_doubt:
                if family.each_egg:
                    yield from (OpenDoubt((egg,), (family.number, egg)) for egg in family.eggs if self._tells_more(egg))
                elif family.eggs:  # nothing can speak of the sire of a clutch without young
                    yield OpenDoubt(family.eggs, (family.number, -1))
        linked = self.world.linked
        for egg in pedigree.eggs:
            unsexed = bool(linked) and egg.family is not None and egg.sex == "unknown"
            if unsexed and self._may_tell_sex(egg.family or 0) and self._tells_more(egg.number):
                yield OpenDoubt((egg.number,), place=(linked[0], egg.number))
        for locus, evidence in enumerate(self.world.evidence):
            for egg in (pedigree.eggs[number] for number in sorted(evidence.with_tests)):
                for trait, copies in dict.fromkeys((t.trait, t.copies) for t in evidence.every_fallible_test(egg)):
                    allele = evidence.locus.allele_number(trait)
                    yield OpenDoubt((egg.number,), place=(locus, egg.number), allele=allele, found=copies)

    def _tells_more(self, egg: int) -> bool:
        """Whether its doubt is not that of another egg too, from which nothing tells it at any moment."""
        return egg not in self.world.like

    def _may_tell_sex(self, family: int) -> bool:
        """Whether a sex can be left without a chance: where crossing over is never, or there may be no sire."""
        alone = self.world.pedigree.families[family].may_lack_sire
        return alone or any(self.world.states[locus].crossover in (0, 1) for locus in self.world.linked)

    # -- at a moment ---------------------------------------------------------------------------------------------------

    def at(self, moment: int) -> frozenset[Place]:
        """The founders in question at a moment, each with its locus."""
        if not self.doubts:
            return frozenset()
        if moment != self.world.timeline.now:
            return self._by_moment[moment]
        return self._now

    @cached_property
    def _now(self) -> frozenset[Place]:
        return frozenset().union(*(self._of(doubt, self.world.timeline.now) for doubt in self.doubts))

    @cached_property
    def _by_moment(self) -> tuple[frozenset[Place], ...]:
        """The same at every moment but the last, in one sweep through time; a doubt is looked at when something happens near it."""
        timeline, part = self.world.timeline, self.world.part
        known: dict[OpenDoubt, frozenset[Place]] = {}
        found: list[frozenset[Place]] = []
        for moment in range(timeline.now):
            near = {part[egg] for egg in timeline.touched[moment - 1]} if moment else set(part)
            for doubt in self.doubts:
                if part[doubt.eggs[0]] in near:
                    known[doubt] = self._of(doubt, moment)
            found.append(frozenset().union(*known.values()))
        return tuple(found)

    def related(self, one: int, other: int) -> bool:
        return self.world.part[one] == self.world.part[other]

    def _of(self, doubt: OpenDoubt, moment: int) -> frozenset[Place]:
        """The founders in question for the sake of one doubt."""
        born = self.world.timeline.born
        if all(born[egg] > moment for egg in doubt.eggs):
            return frozenset()
        alternatives = self._alternatives(doubt, moment)
        if all(one.chance or not one.weighed for one in alternatives):
            return frozenset()
        kept = self._kept(moment)
        found: set[Place] = set()
        is_open = False
        for one in sorted(alternatives, key=lambda one: bool(one.chance or not one.weighed)):
            opening = one.weighed and not one.chance
            if not opening and not is_open:
                break
            held = self._holding_more(moment, one.supposed, doubt.eggs[0], kept)
            if held is not None:
                is_open = is_open or opening
                found.update(held)
        return frozenset(found)

    def _kept(self, moment: int) -> tuple[bool, int]:
        """How many young must have kept a heterozygosity that is said never to be kept: no alternative may need more."""
        solved = self.limit.solved
        if solved.spared and moment != solved.moment:
            solved, _ = self.limit.solved_at(0, moment)
        return solved.spared, solved.kept

    def _network(self, place: Place, moment: int) -> tuple[Network | None, int]:
        """The network that answers for a place at a moment, and the position of its locus in it."""
        now = self.limit.solved
        return (now.network, place[0]) if moment == now.moment else self.limit.network_for(place, moment)

    def _alternatives(self, doubt: OpenDoubt, moment: int) -> list[Alternative]:
        """The ways that a doubt can fall; none where the limit's figure is not computed, or tests say nothing."""
        world = self.world
        if doubt.choice is not None:
            network, _ = self._network((0, doubt.eggs[0]), moment)
            chances = network.choice(*doubt.choice) if network else ()
            if isinstance(chances, NotComputed):
                return []
            return [
                Alternative(Supposed(choices=((doubt.choice, 1 << branch),)), chance)
                for branch, chance in enumerate(chances)
            ]
        locus, number = doubt.place
        evidence, egg = world.evidence[locus], world.pedigree.eggs[number]
        network, position = self._network(doubt.place, moment)
        if doubt.place in world.not_computed or network is None or network.unanswered(position, number):
            return []
        if not (marginal := network.marginal(position, number)):
            return []
        states = evidence.states
        if doubt.found is None:
            return [
                Alternative(
                    Supposed(
                        masks=tuple(((at, number), world.evidence[at].states.sex_masks[sex]) for at in world.linked)
                    ),
                    sum((marginal[state] for state in states.members(mask)), Fraction(0)),
                )
                for sex, mask in states.sex_masks.items()
            ]
        tests = evidence.tests(egg, moment)
        trait = evidence.locus.alleles[doubt.allele - 1]
        if not any(test.error and test.trait == trait and test.copies == doubt.found for test in tests):
            return []
        looks = evidence.looks(egg, moment)
        found: list[Alternative] = []
        for copies in range(3):
            mask = looks & states.mask(lambda pair, copies=copies: pair.count(doubt.allele) == copies)  # type: ignore[misc]
            if mask:
                chance = sum((marginal[state] for state in states.members(mask)), Fraction(0))
                found.append(Alternative(Supposed(masks=((doubt.place, mask),)), chance, copies == doubt.found))
        return found

    def _holding_more(
        self, moment: int, supposed: Supposed, egg: int, kept: tuple[bool, int] | None = None
    ) -> frozenset[Place] | None:
        """The relatives of an egg that hold more, in some assignment of least order, than their own looks and sure tests need.

        None where nothing fits, or other than so many young (`kept`) must have kept a heterozygosity that never is.
        """
        held: Iterable[Place] | None = None
        world = self.limit.world_for(egg, moment)
        if kept is None or not kept[0]:
            with suppress(WipedOutError):
                held = LeastOrders(world, Priors(world, moment), supposed).holding_more()
        if held is None:
            solved = Solved(world, moment, supposed)
            if solved.network is None or kept not in (None, (solved.spared, solved.kept)):
                return None
            held = self._holding_by_weight(solved, solved.network)
        return frozenset(place for place in held if self.related(place[1], egg))

    @staticmethod
    def _holding_by_weight(solved: Solved, network: Network) -> Iterator[Place]:
        """The same read off the weights of all assignments of least order, where no table passes the limit."""
        for egg in solved.world.founders:
            for locus in range(len(solved.world.loci)):
                more = solved.priors.more(locus, egg)
                if not solved.domains.masks[locus][egg.number] & more or network.unanswered(locus, egg.number):
                    continue
                chances = network.marginal(locus, egg.number) or ()
                if any(chance and more >> state & 1 for state, chance in enumerate(chances)):
                    yield locus, egg.number

    # -- the world in which they take the stated frequency -------------------------------------------------------------

    def asking(self) -> World:
        """The world in which the founders in question take the stated frequency, moment by moment."""
        return self.world.where(in_question=lambda place, moment: place in self.at(moment))

    def asking_through_time(self) -> World:
        """The same with the events by which founders come into question, or out of it."""
        by_moment = [self.at(moment) for moment in range(self.world.timeline.now + 1)]
        return replace(self.asking(), timeline=changing(self.world.timeline, by_moment))

    def beside(self, place: Place, without: int) -> Figure | NotComputed:
        """The figure of a place once the founders of least order that would leave it in the states `without` take that frequency too."""
        now = self.world.timeline.now
        found = self.at(now).union(self._holding_more(now, Supposed(masks=((place, without),)), place[1]) or ())
        asking = self.world.where(in_question=lambda other, _: other in found)
        return answer(self.world, Solved(asking, now).network, place)
