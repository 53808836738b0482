"""Which records a figure depends on: founders' claims that took part, background-only chances, and surprises.

A figure hangs on what can be reached from it through parents, mates and young whose genotype is not certain whatever anybody
claimed, leaving out animals that cannot carry anything and young of whom nothing is known.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import cached_property

from clutchlight.genetics.certainty import Certainty
from clutchlight.genetics.factors import Place
from clutchlight.genetics.history import History, answer
from clutchlight.genetics.narrowing import several
from clutchlight.genetics.solving import Solved, World
from clutchlight.genetics.terms import order_of
from clutchlight.genetics.values import NotComputed, Surprise


class Influence:
    """Dependence of figures on records, for one species as it is now."""

    def __init__(self, world: World, solved: Solved, certainty: Certainty) -> None:
        self.world = world
        self.solved = solved
        self.certainty = certainty
        self._reached: dict[Place, tuple[str, ...]] = {}
        self._beside: dict[Place, tuple[int, ...]] = {}

    @cached_property
    def _known(self) -> tuple[tuple[bool, ...], ...]:
        """For each locus and egg: whether anything is known of it or of a descendant."""
        rows = []
        now = self.world.timeline.now
        for evidence in self.world.evidence:
            row = [evidence.has_evidence(egg, now) for egg in self.world.pedigree.eggs]
            for egg in reversed(self.world.pedigree.eggs):
                if row[egg.number]:
                    for parent in self.world.pedigree.parents(egg.number):
                        row[parent] = True
            rows.append(tuple(row))
        return tuple(rows)

    def claimants(self, place: Place) -> tuple[str, ...]:
        """The founders whose claims took part in the figure of a place."""
        if place not in self._reached:
            self._reached[place] = tuple(sorted(self._claimants(*place)))
        return self._reached[place]

    def _claimants(self, locus: int, start: int) -> Iterator[str]:
        world, now, open_there = self.world, self.world.timeline.now, self._open[locus]
        if not open_there[start]:
            return
        seen = {start}
        waiting = [start]
        while waiting:
            number = waiting.pop()
            egg = world.pedigree.eggs[number]
            if egg.family is None and world.evidence[locus].claims(egg, now):
                yield from egg.animals
            for other in self._near(locus, number):
                if other not in seen and open_there[other]:
                    seen.add(other)
                    waiting.append(other)

    @cached_property
    def _open(self) -> tuple[tuple[bool, ...], ...]:
        """For each locus and egg: whether it may carry anything, and what it is does not follow from possibility alone."""
        rows = []
        for locus, masks in enumerate(self.solved.domains.masks):
            certain = self.certainty.domains_now.masks[locus]
            normal = self.world.grids[locus].states.mask(lambda pair: pair == (0, 0))
            rows.append(
                tuple(bool(mask & ~normal) and several(sure) for mask, sure in zip(masks, certain, strict=True))
            )
        return tuple(rows)

    def _near(self, locus: int, number: int) -> tuple[int, ...]:
        """Its parents; its mates and young, where anything is known of the young."""
        key = (locus, number)
        if key not in self._beside:
            pedigree, known = self.world.pedigree, self._known[locus]
            found = list(pedigree.parents(number))
            for index in pedigree.own.get(number, ()):
                family = pedigree.families[index]
                young = [child for child in family.eggs if known[child]]
                if young:
                    found += [branch.sire for branch in family.branches if branch.sire is not None]
                    found += [family.dam, *young]
            self._beside[key] = tuple(found)
        return self._beside[key]

    @cached_property
    def _off_background(self) -> tuple[frozenset[int], ...]:
        """For each locus: the eggs of which an animal, an ancestor or a descendant shows, was tested for or has a claim there."""
        rows = []
        for locus, evidence in enumerate(self.world.evidence):
            own = {egg.number for egg in self.world.pedigree.eggs if self._marked(locus, egg.number)}
            down, up = set(own), set(own)
            for egg in self.world.pedigree.eggs:
                if any(parent in down for parent in self.world.pedigree.parents(egg.number)):
                    down.add(egg.number)
            for egg in reversed(self.world.pedigree.eggs):
                if egg.number in up:
                    up.update(self.world.pedigree.parents(egg.number))
            rows.append(frozenset(down | up))
            del evidence
        return tuple(rows)

    def _marked(self, locus: int, number: int) -> bool:
        evidence, egg, now = self.world.evidence[locus], self.world.pedigree.eggs[number], self.world.timeline.now
        shows = not evidence.looks(egg, now) & evidence.states.mask(lambda pair: pair == (0, 0)) and evidence.counts(
            egg
        )
        return shows or evidence.tested(egg, now) is not None or bool(evidence.claims(egg, now))

    def background_only(self, place: Place) -> bool:
        return bool(self.world.loci[place[0]].background) and place[1] not in self._off_background[place[0]]

    def surprises(self, history: History) -> Iterator[Surprise]:
        for locus, order in enumerate(self.solved.order):
            if order:
                yield self._surprise(locus, order, history)

    def _surprise(self, locus: int, order: int, history: History) -> Surprise:
        world = self.world
        moments = sorted({self._first_at(locus, k, history) for k in range(1, order + 1)})
        shown: dict[str, None] = {}
        clutches: dict[str, None] = {}
        for moment in moments:
            touched = world.timeline.touched[moment - 1] if moment else tuple(egg.number for egg in world.pedigree.eggs)
            for number in touched:
                egg = world.pedigree.eggs[number]
                if self._marked(locus, number) and egg.family is not None:
                    shown.update(dict.fromkeys(egg.animals))
                    clutch = world.pedigree.families[egg.family].clutch
                    if clutch:
                        clutches[clutch] = None
            event = world.timeline.events[moment - 1] if moment else None
            if event and event.kind == "hatching" and event.subject in world.collection.clutches:
                clutches[event.subject] = None
        first = moments[0]
        since = world.timeline.events[first - 1].on if first else None
        return Surprise(
            world.pedigree.species,
            world.loci[locus].key,
            order,
            tuple(self._unrecorded(locus)),
            tuple(sorted(shown)),
            tuple(sorted(clutches)),
            since,
        )

    def _first_at(self, locus: int, order: int, history: History) -> int:
        """The first moment at which the evidence needed that many unrecorded copies."""
        low, high = -1, self.world.timeline.now
        while high - low > 1:
            middle = (low + high) // 2
            solved, position = history.solved_at(locus, middle)
            if solved.order[position] >= order:
                high = middle
            else:
                low = middle
        return high

    def _unrecorded(self, locus: int) -> Iterator[tuple[str, Fraction]]:
        """The founders that may carry more than their record needs, with the chance that they do."""
        world, evidence = self.world, self.world.evidence[locus]
        for egg in world.founders:
            figure = answer(world, self.solved.network, (locus, egg.number))
            if isinstance(figure, NotComputed):
                continue
            prior = evidence.prior(egg, world.timeline.now)
            looks = evidence.looks(egg, world.timeline.now)
            orders = {evidence.states.pairs[s]: order_of(w) for s, w in enumerate(prior) if w}
            least = min((order_of(w) for s, w in enumerate(prior) if w and looks >> s & 1), default=0)
            chance = figure.chance(lambda pair, by=orders, own=least: by.get(pair, 0) > own)  # type: ignore[misc]
            if chance:
                yield (egg.animals[0] if egg.animals else egg.name), chance
