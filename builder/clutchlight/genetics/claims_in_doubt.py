"""Claims in doubt: those of certainty that the evidence makes hard to believe are no longer taken for certain.

Computes   at each moment the founders whose claim of certainty is in doubt, each at its locus.
Symbols    t = `claim_trust`, the chance with which a seller is taken to be right where that is in question; d = `doubt_below`.
Formula    all claims of certainty in force are tried with t in the place of 1, together. Those whose chance of being true by all evidence
           so far is then under 1 - d keep t; the others count as 1.
Assumes    the trial is made in the limit, without founders in question. Records that exclude a claim are a conflict, not a doubt.
Bound      while evidence can be no more than t d / ((1 - t) (1 - d)) times as likely without the claim, nothing comes into doubt, and no
           trial is made (`telling_young`).
Cost       nothing where the bound decides; else a sweep through time for the loci in question.
Source     figures#claims-in-figures; derived.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property, partial

from clutchlight.genetics.factors import Place
from clutchlight.genetics.history import FigureHistory
from clutchlight.genetics.pedigree import Egg
from clutchlight.genetics.solving import Solved, World
from clutchlight.genetics.telling_young import Span, TellingYoung
from clutchlight.genetics.timeline import changing
from clutchlight.genetics.values import Figure, NotComputed
from clutchlight.model import Claim, Locus


class ClaimsInDoubt:
    """The claims of certainty of one species that are in doubt. `solved`: the species now, every claim taken as true."""

    def __init__(self, world: World, solved: Solved) -> None:
        self.world = world
        self.solved = solved
        self.below = world.collection.settings.doubt_below

    @cached_property
    def candidates(self) -> dict[Place, Span]:
        """The founders whose claim can come into doubt, each with the moments at which it can."""
        found: dict[Place, Span] = {}
        claimed = [
            egg for egg in self.world.founders if any(ident in self.world.timeline.claims for ident in egg.animals)
        ]
        for locus, evidence in enumerate(self.world.evidence if self.solved.network is not None else ()):
            telling = self._telling[locus]
            for egg in claimed:
                claims = [claim for claim in evidence.every_claim(egg) if claim.of_certainty]
                span = self._span(telling, egg, claims) if claims else None
                if span is not None:
                    found[locus, egg.number] = span
        return found

    @cached_property
    def _telling(self) -> tuple[TellingYoung, ...]:
        pedigree = self.world.pedigree
        return tuple(
            TellingYoung(evidence, pedigree, partial(self._calm, locus))
            for locus, evidence in enumerate(self.world.evidence)
        )

    def _span(self, telling: TellingYoung, egg: Egg, claims: list[Claim]) -> Span | None:
        """The moments at which enough young can tell that a claim may be in doubt; None: never."""
        evidence, end = telling.evidence, self.world.timeline.now + 1
        trust = evidence.trust
        most = trust * self.below / ((1 - trust) * (1 - self.below))
        if most < 1 or evidence.every_fallible_test(egg) or evidence.states.linked:
            return 0, end
        if any(claim.two_copies is not None for claim in claims):
            born = self.world.timeline.born
            first = min((born[young] for young in self.world.pedigree.young(egg.number)), default=end)
            return (first, end) if first < end else None
        spans = [telling.span(egg, evidence.locus.allele_number(claim.trait), most) for claim in claims]
        found = [span for span in spans if span is not None]
        return (min(since for since, _ in found), max(until for _, until in found)) if found else None

    def _calm(self, locus: int) -> bool:
        """Whether no record at any time needs an unrecorded carrier at a locus."""
        if self.solved.spared or self.solved.order[locus]:
            return False
        return not FigureHistory(self.world, self.solved).taken_back(locus)

    # -- at a moment ---------------------------------------------------------------------------------------------------

    @cached_property
    def _by_moment(self) -> tuple[frozenset[Place], ...]:
        """The claims in doubt at every moment, in one sweep through time; asked again when something happens near."""
        timeline = self.world.timeline
        trials: dict[tuple[int, frozenset[int]], _Trial] = {}
        found: list[frozenset[Place]] = []
        for moment in range(timeline.now + 1):
            doubted = set(found[-1]) if found else set()
            for place, (since, until) in self.candidates.items():
                if moment == until:
                    doubted.discard(place)
                elif moment == since or (
                    since < moment < until and not self._near(place).isdisjoint(timeline.touched[moment - 1])
                ):
                    key = -1 if self.coupled else place[0], self._near(place)
                    trial = trials[key] = trials.get(key) or self._trial(place)
                    (doubted.add if self._doubted(trial.at(place, moment), place, moment) else doubted.discard)(place)
            found.append(frozenset(doubted))
        return tuple(found)

    @cached_property
    def coupled(self) -> bool:
        return FigureHistory(self.world, self.solved).coupled

    def _near(self, place: Place) -> frozenset[int]:
        """The eggs whose records can bear on a founder's figures; all where loci hang together."""
        return self._everyone if self.coupled else self._telling[place[0]].near(place[1])

    @cached_property
    def _everyone(self) -> frozenset[int]:
        return frozenset(egg.number for egg in self.world.pedigree.eggs)

    def _trial(self, place: Place) -> _Trial:
        """All claims of certainty on trial: at one locus among those who bear on each other, or of everybody where loci hang together."""
        world, number, order = self.world, None, self.solved.order
        if not self.coupled:
            world, number = self.world.around(place[0], self._near(place))
            order = [order[place[0]]]
        trial = replace(world, evidence=tuple(one.trusting(lambda egg, moment: True) for one in world.evidence))
        if self.solved.spared or any(order):
            return _Trial(FigureHistory(trial, Solved(trial, trial.timeline.now)), number)
        return _Trial(
            FigureHistory(trial, self.solved, order), number
        )  # what needs no unrecorded carrier, needs none on trial

    def _doubted(self, figure: Figure | NotComputed, place: Place, moment: int) -> bool:
        """Whether a claim in force is hard to believe by the trial's figure."""
        evidence = self.world.evidence[place[0]]
        claims = [one for one in evidence.claims(self.world.pedigree.eggs[place[1]], moment) if one.of_certainty]
        return isinstance(figure, Figure) and any(
            chance_of(one, figure, evidence.locus) < 1 - self.below for one in claims
        )

    def at(self, moment: int) -> frozenset[Place]:
        return self._by_moment[moment] if self.candidates else frozenset()

    def trusting(self) -> World:
        """The world in which claims in doubt have the chance of trust, moment by moment; the same one where there are none."""
        if not self.candidates or not any(self._by_moment):
            return self.world
        evidence = tuple(one.trusting(self._asker(locus)) for locus, one in enumerate(self.world.evidence))
        return replace(self.world, evidence=evidence, timeline=changing(self.world.timeline, self._by_moment))

    def _asker(self, locus: int) -> Callable[[int, int], bool]:
        return lambda egg, moment: (locus, egg) in self._by_moment[moment]


def chance_of(claim: Claim, figure: Figure, locus: Locus) -> Fraction:
    """The chance that a claim of certainty is true."""
    allele = locus.allele_number(claim.trait)
    return figure.carries(allele) if claim.two_copies is None else figure.copies(allele)[2]


@dataclass(frozen=True, slots=True)
class _Trial:
    """Figures with claims on trial; `number`: of the eggs of a single locus, None of all at all loci."""

    history: FigureHistory
    number: Mapping[int, int] | None

    def at(self, place: Place, moment: int) -> Figure | NotComputed:
        return self.history.at(place if self.number is None else (0, self.number[place[1]]), moment)
