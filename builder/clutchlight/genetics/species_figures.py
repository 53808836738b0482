"""One species solved: what every figure of its animals is asked of, by the numbers of loci and eggs.

Steps      what founders' claims are in doubt, and which founders are in question, is settled in turn; each solves the records anew, where
           there are any. The past is solved when it is asked for.
Source     figures#claims-in-figures, figures#founders.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cached_property

from clutchlight.genetics.certainty import Certainty, Influence
from clutchlight.genetics.claims_in_doubt import ClaimsInDoubt, chance_of
from clutchlight.genetics.factors import Place
from clutchlight.genetics.history import FigureHistory, answer, figure_of, too_wide
from clutchlight.genetics.in_question import Questions
from clutchlight.genetics.network import Network, TooWide
from clutchlight.genetics.pedigree import Family
from clutchlight.genetics.solving import Solved, World
from clutchlight.genetics.terms import coeff_at, order_of
from clutchlight.genetics.tree import LIMIT
from clutchlight.genetics.values import (
    NORMAL_FIGURE,
    Figure,
    NotComputed,
    SireChances,
)
from clutchlight.model import Claim, Collection


class SpeciesFigures:
    """All answers about one species. `world`: its records, where they were put in order before."""

    def __init__(self, collection: Collection, species: str, limit: int = LIMIT, world: World | None = None) -> None:
        self.collection = collection
        self.species = species
        self.recorded = world or World.of(collection, species, limit)
        now = self.recorded.timeline.now
        self.as_recorded = Solved(self.recorded, now)
        self.claims_in_doubt = ClaimsInDoubt(self.recorded, self.as_recorded)
        self.world = self.claims_in_doubt.trusting()
        doubting = self.claims_in_doubt.at(now)
        self.limit = FigureHistory(self.world, self._by_claims_in_doubt(now) if doubting else self.as_recorded)
        self.solved = self.limit.solved
        self.certainty = Certainty(self.world)
        self.questions = Questions(self.limit)
        self.asking = self.world
        if self.solved.network is not None and self.questions.at(self.world.timeline.now):
            self.asking = self.questions.asking()
            self.solved = Solved(self.asking, self.world.timeline.now)
        self._now: dict[Place, Figure | NotComputed] = {}
        self._sires: dict[tuple[int, int], SireChances | NotComputed] = {}

    def _by_claims_in_doubt(self, now: int) -> Solved:
        loci = frozenset(locus for locus, _ in self.claims_in_doubt.at(now))
        known = None if self.claims_in_doubt.coupled or self.as_recorded.spared else (self.as_recorded, loci)
        return Solved(self.world, now, known=known)

    @property
    def network(self) -> Network:
        if self.solved.network is None:
            raise ValueError("the records are in conflict: there are no figures")
        return self.solved.network

    @cached_property
    def history(self) -> FigureHistory:
        moments = range(self.world.timeline.now + 1)
        if self.solved.network is None or not any(self.questions.at(moment) for moment in moments):
            return self.limit
        asking = replace(self.questions.asking(), timeline=self.questions.timeline_asking())
        return FigureHistory(asking, self.solved, self.limit.solved.order)

    @cached_property
    def influence(self) -> Influence:
        return Influence(self.world, self.solved, self.certainty)

    def place(self, animal: str, locus: str) -> Place | None:
        """None: no record says anything at this locus."""
        position = self.world.position.get(locus)
        return None if position is None else (position, self.world.pedigree.egg_of[animal])

    def shared_place(self, animal: str, locus: str) -> Place | None:
        """The place of the first of its like, which answers for all of them in what concerns one animal and one locus."""
        found = self.place(animal, locus)
        return None if found is None else (found[0], self.world.like.get(found[1], found[1]))

    def now(self, place: Place) -> Figure | NotComputed:
        if place not in self._now:
            self._now[place] = answer(self.world, self.solved.network, place)
        return self._now[place]

    def sires(self, family: Family, egg: int) -> SireChances | NotComputed:
        """The candidates of a family, or of an egg whose sire was drawn by itself, with their chances after the evidence."""
        key = (family.number, egg if family.each_egg else -1)
        if key not in self._sires:
            chances = self.network.choice(*key) if family.in_doubt else (Fraction(1),)
            self._sires[key] = (
                too_wide(self.world, chances.variables)
                if isinstance(chances, TooWide)
                else tuple(zip((branch.candidate for branch in family.branches), chances, strict=True))
            )
        return self._sires[key]

    def alone(self, place: Place) -> Figure:
        """A founder by its first reading and its claims alone."""
        evidence, egg = self.world.evidence[place[0]], self.world.pedigree.eggs[place[1]]
        claims = evidence.every_claim(egg)
        tried = self._by_claims(place, [claim.trusted(evidence.trust) for claim in claims])
        doubted = any(
            claim.of_certainty and chance_of(claim, tried, evidence.locus) < 1 - self.collection.settings.doubt_below
            for claim in claims
        )
        return tried if doubted else self._by_claims(place, claims)

    def _by_claims(self, place: Place, claims: Sequence[Claim]) -> Figure:
        """A founder by its first reading and these claims."""
        evidence, egg = self.world.evidence[place[0]], self.world.pedigree.eggs[place[1]]
        prior = evidence.founder_prior(claims)
        looks = evidence.sex_mask(egg)
        for ident in egg.animals:
            rows = self.world.timeline.readings.get(ident, ())
            if rows:
                looks &= evidence.reading_mask(rows[0].reading)
        seen = {state: weight for state, weight in enumerate(prior) if weight and looks >> state & 1}
        least = min((order_of(weight) for weight in seen.values()), default=0)
        weights = {state: coeff_at(weight, least) for state, weight in seen.items()}
        whole = sum(weights.values())
        if not whole:
            return NORMAL_FIGURE
        return figure_of(
            evidence.states.pairs, tuple(Fraction(weights.get(s, 0), whole) for s in range(evidence.states.count))
        )
