"""Claims in doubt: those of certainty that the evidence makes hard to believe are no longer taken for certain.

Computes   at each moment the founders whose claim of certainty is in doubt, each at its locus.
Symbols    t = `claim_trust`, the chance with which a seller is taken to be right where that is in question; d = `doubt_below`.
Formula    all claims of certainty in force are tried with t in the place of 1, together. Those whose chance of being true by all evidence
           so far is then under 1 - d keep t; the others count as 1.
Assumes    the trial is made in the limit, without founders in question. Records that exclude a claim are a conflict, not a doubt.
Bound      a founder that hands on a normal allele to each of n young is told from one without the claim by nothing: so evidence is at most
           2^n times as likely without the claim, n counting the young that can tell anything before one shows two copies. While
           2^n (1 - t) (1 - d) <= t d, nothing can come into doubt, and no trial is made.
Cost       nothing where the bound decides; else a sweep through time for the loci in question.
Source     figures#claims-in-figures; derived.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import cached_property

from clutchlight.genetics.evidence import changing
from clutchlight.genetics.factors import Place
from clutchlight.genetics.history import FigureHistory
from clutchlight.genetics.pedigree import Egg, parts_of
from clutchlight.genetics.solving import Solved, World
from clutchlight.genetics.values import Figure, NotComputed
from clutchlight.model import Claim, Locus


class ClaimsInDoubt:
    """The claims of certainty of one species that are in doubt. `solved`: the species now, every claim taken as true."""

    def __init__(self, world: World, solved: Solved) -> None:
        self.world = world
        self.solved = solved
        self.below = world.collection.settings.doubt_below

    @cached_property
    def candidates(self) -> dict[Place, int]:
        """The founders whose claim can come into doubt, each with the first moment at which it can."""
        found: dict[Place, int] = {}
        for egg in self.world.founders if self.solved.network is not None else ():
            for locus, evidence in enumerate(self.world.evidence):
                if any(claim.of_certainty for claim in evidence.every_claim(egg)):
                    since = self._first_moment(locus, egg)
                    if since is not None:
                        found[locus, egg.number] = since
        return found

    def _first_moment(self, locus: int, egg: Egg) -> int | None:
        """The first moment at which enough young can tell that the claim may be in doubt; None: never."""
        evidence, timeline = self.world.evidence[locus], self.world.timeline
        trust = evidence.trust
        most = trust * self.below / ((1 - trust) * (1 - self.below))
        if most < 1:
            return 0
        if evidence.every_fallible_test(egg) or evidence.states.linked:
            return 0
        pedigree = self.world.pedigree
        if any(claim.of_certainty and claim.two_copies is not None for claim in evidence.every_claim(egg)):
            return min((timeline.born[young] for young in pedigree.young(egg.number)), default=None)
        told = sorted(timeline.born[young] for young in pedigree.young(egg.number) if self._tells(locus, egg, young))
        needed = 1
        while Fraction(2) ** needed <= most:
            needed += 1
        return told[needed - 1] if len(told) >= needed else None

    def _tells(self, locus: int, egg: Egg, young: int) -> bool:
        """Whether a young can tell anything of its parent at any moment: by its young, a test, a look that tells one copy from none, or by
        what it got of the other parent."""
        world, evidence = self.world, self.world.evidence[locus]
        hatched = world.pedigree.eggs[young]
        looks = [mask for ident in hatched.animals for mask in self._looks(locus, ident)]
        if hatched.breeds or len(looks) > 1 or evidence.was_tested(hatched, world.timeline.now):
            return True
        pairs = {evidence.states.pairs[state] for state in evidence.states.members(evidence.every_look(hatched))}
        single = any(sum(map(bool, pair)) == 1 for pair in pairs)
        return (
            not single
            or (0, 0) not in pairs
            or any(
                self.parts[one.number] == self.parts[egg.number]
                and one.number != egg.number
                and self._speaks(locus, one)
                for one in world.pedigree.eggs
            )
        )

    @cached_property
    def parts(self) -> tuple[int, ...]:
        return parts_of(self.world.pedigree)

    def _looks(self, locus: int, animal: str) -> list[int]:
        rows = self.world.timeline.readings.get(animal, ())
        return [self.world.evidence[locus].reading_mask(row.reading) for row in rows]

    def _speaks(self, locus: int, egg: Egg) -> bool:
        """Whether anything on record, at any time, says that an egg may carry a trait of the locus, or shows it."""
        evidence = self.world.evidence[locus]
        if evidence.locus.background or evidence.every_claim(egg) or evidence.was_tested(egg, self.world.timeline.now):
            return True
        looks = [mask for ident in egg.animals for mask in self._looks(locus, ident)]
        if egg.counted is not None:
            looks.append(evidence.reading_mask(egg.counted.reading))
        normal = evidence.states.mask(lambda pair: not any(pair))
        return any(not mask & normal for mask in looks)

    # -- at a moment ---------------------------------------------------------------------------------------------------

    @cached_property
    def _by_moment(self) -> tuple[frozenset[Place], ...]:
        """The claims in doubt at every moment, in one sweep through time for each locus in question; for all where loci hang together."""
        world, now = self.world, self.world.timeline.now
        trial = replace(world, evidence=tuple(one.trusting(lambda egg, moment: True) for one in world.evidence))
        coupled = FigureHistory(world, self.solved).coupled
        found: list[set[Place]] = [set() for _ in range(now + 1)]
        histories: dict[int, FigureHistory] = {}
        for place in self.candidates:
            locus = -1 if coupled else place[0]
            if locus not in histories:
                tried = trial if coupled else trial.only(place[0])
                histories[locus] = FigureHistory(tried, Solved(tried, now))
        for moment in range(now + 1):
            for place, since in self.candidates.items():
                if since <= moment:
                    asked = place if coupled else (0, place[1])
                    if self._doubted(histories[-1 if coupled else place[0]].at(asked, moment), place, moment):
                        found[moment].add(place)
        return tuple(frozenset(places) for places in found)

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
