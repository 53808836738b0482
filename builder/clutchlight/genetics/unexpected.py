"""Unexpected results: young or tests that need an allele copy of which no record speaks, family by family and allele by allele.

Computes   at each locus the events at which the order k rises, k counting the unrecorded copies that the evidence needs above what
           each founder's own looks and sure tests need; the young of these events that show the trait or were tested to carry it and
           by themselves need a copy, or all of them where none does; and the founders among their ancestors, through any possible
           sire, that may hold more copies than they need. Each allele is told with the founders that may hold more of it.
Symbols    a carrier is such a founder; its chances are those, by all evidence, that it holds more of each allele. Young that share a
           carrier are one result; those that share none are apart.
           moved: the animals of which something changes if the looks and tests of these young are left out, with those of any young
           that would then need the same carriers: a figure, the record that proves a figure of 1, or the chances of the sires.
Assumes    k rises with time; where a founder's test takes over what its young showed before, the rise is found from what is left.
Cost       a bisection over moments for each copy, and one for each time that evidence is taken out; of young that show it together
           a solution for each kind of them.
Source     figures#surprise.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction

from msgspec import Struct

from clutchlight.genetics.certainty import Certainty
from clutchlight.genetics.history import FigureHistory, answer
from clutchlight.genetics.pedigree import Egg
from clutchlight.genetics.possible import Place
from clutchlight.genetics.solving import Priors, Solved
from clutchlight.genetics.values import Figure, Moved, Surprise
from clutchlight.genetics.world import World
from clutchlight.model import Genotype


def surprises_of(history: FigureHistory, figures: Solved, certainty: Certainty) -> Iterator[Surprise]:
    """The unexpected results of a species, locus by locus, in order of time: found by the limit, told with these figures."""
    for locus, order in enumerate(history.solved.order):
        if order:
            here = _AtLocus(history, locus)
            for needed in here.results():
                yield from here.surprises(needed, figures, certainty)


Chances = tuple[Fraction, ...]
"""Of one founder, allele by allele."""


class _Result(Struct, frozen=True):
    """Young that show it, each from a moment on, with the founders that may have brought it."""

    young: Mapping[int, int]
    carriers: frozenset[int]

    @property
    def moment(self) -> int:
        return min(self.young.values())

    def shares_with(self, other: _Result) -> bool:
        return bool(self.carriers & other.carriers or self.young.keys() & other.young.keys())


class _AtLocus:
    """The unexpected results at one locus, by the evidence of a history. `chance`: the carriers, each with its chances."""

    def __init__(self, history: FigureHistory, locus: int) -> None:
        self.history = history
        self.locus = locus
        self.world = history.world
        self.evidence = self.world.evidence[locus]
        self.pedigree = self.world.pedigree
        self.computed = True
        self.chance = self._chances(history.solved)

    def _chances(self, solved: Solved) -> dict[int, Chances]:
        """The chances of each founder of holding more of an allele than it needs, where there are any."""
        found: dict[int, Chances] = {}
        priors = Priors(self.world.only(self.locus), self.world.timeline.now)
        for egg in self.world.founders:
            figure = answer(self.world, solved.network, (self.locus, egg.number))
            self.computed = self.computed and isinstance(figure, Figure)
            if isinstance(figure, Figure):
                chances = tuple(figure.chance(more.__contains__) for more in self._more(priors, egg))
                if any(chances):
                    found[egg.number] = chances
        return found

    def _more(self, priors: Priors, egg: Egg) -> list[set[Genotype]]:
        """For each allele the genotypes that add a copy of it to the nearest genotype that a founder can make do with."""
        states, mask = self.evidence.states, self.world.evidence_mask(self.locus, egg, self.world.timeline.now)
        least = [Counter(states.pairs[state]) for state in states.members(priors.up_to(0, egg.number, mask))]
        found: list[set[Genotype]] = [set() for _ in self.world.loci[self.locus].alleles]
        for pair in {states.pairs[state] for state in states.members(priors.more(0, egg))}:
            beyond = [Counter(pair) - one for one in least]
            fewest = min(one.total() for one in beyond)
            for allele in {allele for one in beyond if one.total() == fewest for allele in one if allele}:
                found[allele - 1].add(pair)
        return found

    def results(self) -> list[_Result]:
        now = self.world.timeline.now
        moments = {self._rise(k) for k in range(1, self._order(now) + 1)}
        found = [
            _Result({number: moment}, self._carriers_above(number))
            for moment in sorted(moments)
            for number in self._needing(moment)
        ]
        if moments and not found:  # what makes it unexpected is not that they show it
            first = min(moments)
            found = [_Result({number: first}, self._carriers_above(number)) for number in self._showing(now)]
        parted: list[_Result] = []
        for joined in found:
            for other in [one for one in parted if one.shares_with(joined)]:
                parted.remove(other)
                joined = _Result(
                    {**joined.young, **other.young}, joined.carriers | other.carriers
                )  # the other is earlier
            parted.append(joined)
        return sorted(parted, key=lambda result: (result.moment, sorted(result.young)))

    def surprises(self, result: _Result, figures: Solved, certainty: Certainty) -> Iterator[Surprise]:
        """What is told of a result, allele by allele."""
        eggs, chances = self.pedigree.eggs, self._chances(figures)
        moved = tuple(sorted(self._moved(result, certainty), key=lambda one: (one.animal, one.locus)))
        for allele, carriers, young in self._by_allele(result):
            clutches = {self.pedigree.clutch_of(eggs[number]) for number in young} - {""}
            founders = (
                (
                    eggs[number].animals[0] if eggs[number].animals else eggs[number].name,
                    chances[number][allele - 1] if number in chances else Fraction(0),
                )
                for number in sorted(carriers)
            )
            yield Surprise(
                self.pedigree.species,
                self.world.loci[self.locus].key,
                allele,
                tuple(founders),
                tuple(sorted(self.pedigree.animals_of(young))),
                tuple(sorted(clutches)),
                self._day(min(result.young.get(number, result.moment) for number in young)),
                moved,
            )

    def _by_allele(self, result: _Result) -> list[tuple[int, frozenset[int], list[int]]]:
        """Each allele of which carriers may hold more, with these carriers and their young that hold it or an allele that is not told.

        The young are those of the result; where none of them holds any of these alleles, all that show the trait. Where the carriers are
        not computed: every allele of the young.
        """
        alleles = range(1, len(self.world.loci[self.locus].alleles) + 1)
        of = {
            allele: frozenset(number for number in result.carriers if self.chance[number][allele - 1])
            for allele in alleles
        }
        for young in (result.young, self._showing(self.world.timeline.now)) if self.computed else ():
            below = {
                allele: [number for number in self._having(allele, young) if self._carriers_above(number) & of[allele]]
                for allele in alleles
            }
            if any(below.values()):
                return [(allele, of[allele], found) for allele, found in below.items() if found]
        return [(allele, result.carriers, found) for allele in alleles if (found := self._having(allele, result.young))]

    def _order(self, moment: int) -> int:
        """The copies that are needed at a moment above what founders' own looks and sure tests need."""
        if self.history.explained(self.locus, moment):
            return 0
        solved, position = self.history.solved_at(self.locus, moment)
        own = sum(
            solved.priors.forced(position, egg.number, self.world.evidence_mask(self.locus, egg, moment))
            for egg in self.world.founders
        )
        return solved.order[position] - own

    def _rise(self, order: int) -> int:
        """A moment at which the evidence began to need that many copies."""
        low, high = -1, self.world.timeline.now
        while high - low > 1:
            middle = (low + high) // 2
            if self._order(middle) >= order:
                high = middle
            else:
                low = middle
        return high

    def _carriers_above(self, young: int) -> frozenset[int]:
        return self.pedigree.with_ancestors((young,)) & self.chance.keys()

    def _showing(self, moment: int) -> list[int]:
        """The young that show it by then and may have it from a carrier; where who may be one is not computed, all that show it."""
        showing = [egg.number for egg in self.pedigree.eggs if egg.family is not None and self._shows(egg, moment)]
        return [number for number in showing if self._carriers_above(number)] if self.computed else showing

    def _needing(self, moment: int) -> list[int]:
        """The young of its event that need a copy by themselves; all that show it where only several of them do together."""
        touched = self.world.timeline.touched
        showing = [number for number in self._showing(moment) if not moment or number in touched[moment - 1]]
        return (self._by_themselves(showing, moment) or showing) if len(showing) > 1 else showing

    def _by_themselves(self, showing: Sequence[int], moment: int) -> list[int]:
        """Those of the young for whom another copy is needed even without the others."""
        every, like = frozenset(showing), self.world.like
        without, position = self._solved_without(every, moment)
        needing: dict[int, bool] = {}
        for number in showing:
            kind = like.get(number, number)
            if kind in needing:
                continue
            if without.network is not None and not without.order[position]:  # nobody carries anything unrecorded there
                seen = self.world.evidence_mask(self.locus, self.pedigree.eggs[number], moment)
                needing[kind] = not without.domains.fits(position, number, seen)
            else:
                alone, _ = self._solved_without(every - {number}, moment)
                needing[kind] = alone.order[position] > without.order[position]
        return [number for number in showing if needing[like.get(number, number)]]

    def _solved_without(self, eggs: frozenset[int], moment: int) -> tuple[Solved, int]:
        """The species at a moment without the looks and tests of these young, and the position of the locus."""
        return FigureHistory(self._ignoring(eggs), self.history.solved).solved_at(self.locus, moment)

    def _shows(self, egg: Egg, moment: int) -> bool:
        """Whether it was seen or tested to hold a mutant allele, whichever."""
        born = self.world.timeline.born[egg.number] <= moment
        normal = self.evidence.states.normal
        tested = any(test.copies for test in self.evidence.tests(egg, moment))
        return born and (tested or not self.evidence.looks(egg, moment) & normal)

    def _having(self, allele: int, young: Iterable[int]) -> list[int]:
        """Those that were seen or tested to hold an allele, and those of which nothing tells which they hold."""
        held = {number: self._held(self.pedigree.eggs[number]) for number in young}
        return [number for number, alleles in held.items() if allele in alleles or not alleles]

    def _held(self, egg: Egg) -> frozenset[int]:
        """The alleles that it was seen or tested to hold."""
        now, without = self.world.timeline.now, self.evidence.states.without
        tested = {test.trait for test in self.evidence.tests(egg, now) if test.copies}
        return frozenset(
            allele
            for allele, trait in enumerate(self.world.loci[self.locus].alleles, 1)
            if trait in tested or not self.evidence.looks(egg, now) & without(allele)
        )

    def _day(self, moment: int) -> date | None:
        return self.world.timeline.events[moment - 1].on if moment else None

    def _moved(self, result: _Result, certainty: Certainty) -> Iterator[Moved]:
        """Animals whose figure, or else what proves it, or whose sires' chances are others without this result."""
        without, aside = self.history, frozenset(result.young)
        while True:
            without = FigureHistory(world := self._ignoring(aside), Solved(world, world.timeline.now))
            there = _AtLocus(without, self.locus).results() if without.solved.order[self.locus] else []
            more = frozenset(egg for other in there if other.carriers & result.carriers for egg in other.young)
            if not more - aside:
                break
            aside |= more
        less = Certainty(without.world)
        loci = range(len(self.world.loci)) if self.history.coupled else (self.locus,)
        born = self.world.timeline.born
        for egg in sorted((egg for egg in self.pedigree.eggs if egg.animals), key=lambda egg: born[egg.number]):
            for locus in loci:
                begun = self._begun((locus, egg.number), without, result.moment)
                begun = self._proven(certainty, less, (locus, egg.number), result.moment) if begun is None else begun
                if begun is not None:
                    yield from (Moved(name, self.world.loci[locus].key, self._day(begun)) for name in egg.animals)
            if self._sires_move(egg, without):
                yield from (Moved(name, "", self._day(result.moment)) for name in egg.animals)

    def _begun(self, place: Place, without: FigureHistory, moment: int) -> int | None:
        """The moment, that of the result or later, from which a figure is another without it; None: it is the same today."""
        now = self.world.timeline.now
        before, after = (answer(self.world, one.solved.network, place) for one in (self.history, without))
        if before == after:
            return None

        def differs(moment: int) -> bool:
            return self.history.at(place, moment) != without.at(place, moment)

        first = max(moment, self.world.timeline.born[place[1]])
        if differs(first):  # mostly: and a moment soon after the one asked about before costs little
            return first
        return first + bisect_left(range(first, now), True, key=differs)

    def _proven(self, certainty: Certainty, less: Certainty, place: Place, moment: int) -> int | None:
        """The moment, that of the result or later, since which an allele that is certain, and not seen, is proven; None: as without it."""
        figure, evidence = answer(self.world, self.history.solved.network, place), self.world.evidence[place[0]]
        seen = evidence.looks_of_its_own(self.pedigree.eggs[place[1]], self.world.timeline.now)
        for allele in range(1, len(evidence.locus.alleles) + 1):
            if isinstance(figure, Figure) and figure.carries(allele) == 1 and seen & evidence.states.without(allele):
                since = certainty.forced_since(*place, allele)
                if since is not None and since != less.forced_since(*place, allele):
                    return max(since, moment)
        return None

    def _sires_move(self, egg: Egg, without: FigureHistory) -> bool:
        family = None if egg.family is None else self.pedigree.families[egg.family]
        networks = self.history.solved.network, without.solved.network
        if family is None or not family.in_doubt or None in networks:
            return False
        before, after = (network.choice(family.number, egg.number) for network in networks if network is not None)
        return before != after

    def _ignoring(self, eggs: frozenset[int]) -> World:
        return self.world.ignoring(eggs, (self.locus,))
