"""Claims in doubt: those of certainty that the evidence makes hard to believe are no longer taken for certain.

Computes   at each moment the founders whose claim of certainty is in doubt, each at its locus.
Symbols    t = `claim_trust`, the chance with which a seller is taken to be right where that is in question; d = `doubt_below`.
Formula    all claims of certainty in force are tried with t in the place of 1, together. Those whose chance of being true by all evidence
           so far is then under 1 - d keep t; the others count as 1.
Assumes    the trial is made in the limit, without founders in question. Records that exclude a claim are a conflict, not a doubt.
Bound      while evidence can be no more than t d / ((1 - t) (1 - d)) times as likely without the claim, nothing comes into doubt, and no
           trial is made (`TellingYoung`).
Cost       nothing where the bound decides; else a sweep through time for the loci in question.
Source     figures#claims-in-figures; derived.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction
from functools import cached_property, partial

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.genetics.evidence import LocusEvidence
from clutchlight.genetics.history import FigureHistory
from clutchlight.genetics.pedigree import Egg, Family, Pedigree
from clutchlight.genetics.possible import Place
from clutchlight.genetics.solving import Solved
from clutchlight.genetics.timeline import changing
from clutchlight.genetics.values import Figure, NotComputed
from clutchlight.genetics.world import World
from clutchlight.model import Genotype, Locus
from clutchlight.model.animals import Word, words_of_certainty
from clutchlight.model.traits import reached


class ClaimsInDoubt:
    """The claims of certainty of one species that are in doubt. `solved`: the species now, every claim taken as true."""

    def __init__(self, world: World, solved: Solved) -> None:
        self.world = world
        self.solved = solved
        self.history = FigureHistory(world, solved)
        self.below = world.collection.settings.doubt_below

    @cached_property
    def candidates(self) -> dict[Place, Span]:
        """The founders whose claim can come into doubt, each with the moments at which it can."""
        found: dict[Place, Span] = {}
        for locus, evidence in enumerate(self.world.evidence if self.solved.network is not None else ()):
            telling = self._telling[locus]
            for egg in self.world.founders:
                said = tuple(words_of_certainty(evidence.every_claim(egg)))
                span = self._span(telling, egg, said) if said else None
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

    def _span(self, telling: TellingYoung, egg: Egg, said: tuple[Word, ...]) -> Span | None:
        """The moments at which enough young can tell that a claim may be in doubt; None: never."""
        evidence, end = telling.evidence, self.world.timeline.now + 1
        trust = evidence.trust
        most = trust * self.below / ((1 - trust) * (1 - self.below))
        shows = not evidence.every_look(egg) & evidence.states.normal
        others = len(evidence.locus.alleles) > 1 and (bool(evidence.locus.background) or not telling.calm)
        claims = [claim for word in said for claim in word]
        more = len(claims) > 1 or claims[0].two_copies is not None
        if most < 1 or shows or others or more or evidence.every_fallible_test(egg) or evidence.states.linked:
            return 0, end
        return telling.span(egg, evidence.locus.allele_number(claims[0].trait), most)

    def _calm(self, locus: int) -> bool:
        """Whether no record at any time needs an unrecorded carrier at a locus."""
        return not (self.solved.spared or self.solved.order[locus] or self.history.taken_back(locus))

    # -- at a moment ---------------------------------------------------------------------------------------------------

    @cached_property
    def _by_moment(self) -> tuple[frozenset[Place], ...]:
        """The claims in doubt at every moment, in one sweep through time; asked again when something happens near."""
        timeline = self.world.timeline
        trials: dict[tuple[int, frozenset[int]], _Trial] = {}
        found: list[frozenset[Place]] = []
        doubted: set[Place] = set()
        for moment in range(timeline.now + 1):
            for place, (since, until) in self.candidates.items():
                if moment == until:
                    doubted.discard(place)
                elif moment == since or (
                    since < moment < until and not self._near(place).isdisjoint(timeline.touched[moment - 1])
                ):
                    key = -1 if self.history.coupled else place[0], self._near(place)
                    trial = trials[key] = trials.get(key) or self._trial(place)
                    (doubted.add if self._doubted(trial.at(place, moment), place, moment) else doubted.discard)(place)
            found.append(frozenset(at for at in doubted if not self.history.in_conflict(at, moment)))
        return tuple(found)

    def _near(self, place: Place) -> frozenset[int]:
        """The eggs whose records can bear on a founder's figures; all where loci hang together."""
        return self._everyone if self.history.coupled else self._telling[place[0]].near(place[1])

    @cached_property
    def _everyone(self) -> frozenset[int]:
        return frozenset(range(len(self.world.pedigree.eggs)))

    def _trial(self, place: Place) -> _Trial:
        """All claims of certainty on trial: at one locus among those who bear on each other, or of everybody where loci hang together."""
        world, number, loci = self.world, None, range(len(self.world.loci))
        if not self.history.coupled:
            world, number = self.world.around(place[0], self._near(place))
            loci = range(place[0], place[0] + 1)
        trial = world.where(in_doubt=lambda place, moment: True)
        calm = all(map(self._calm, loci))  # what needs no unrecorded carrier, needs none on trial
        return _Trial(FigureHistory(trial, self.solved, calm=calm), number)

    def _doubted(self, figure: Figure | NotComputed, place: Place, moment: int) -> bool:
        """Whether a claim in force is hard to believe by the trial's figure."""
        evidence = self.world.evidence[place[0]]
        said = words_of_certainty(evidence.claims(self.world.pedigree.eggs[place[1]], moment))
        return isinstance(figure, Figure) and any(
            chance_of(word, figure, evidence.locus) < 1 - self.below for word in said
        )

    def at(self, moment: int) -> frozenset[Place]:
        return self._by_moment[moment] if self.candidates else frozenset()

    def trusting(self) -> World:
        """The world in which claims in doubt have the chance of trust, moment by moment; the same one where there are none."""
        if not self.candidates or not any(self._by_moment):
            return self.world
        world = self.world.where(in_doubt=lambda place, moment: place in self._by_moment[moment])
        return replace(world, timeline=changing(world.timeline, self._by_moment))


def chance_of(word: Word, figure: Figure, locus: Locus) -> Fraction:
    """The chance that what was claimed for certain is true."""
    alleles = {locus.allele_number(claim.trait) for claim in word}
    least = 1 if word[0].two_copies is None else 2
    return figure.chance(lambda pair: sum(allele in alleles for allele in pair) >= least)


class _Trial(Struct, frozen=True):
    """Figures with claims on trial; `number`: of the eggs of a single locus, None of all at all loci."""

    history: FigureHistory
    number: Mapping[int, int] | None

    def at(self, place: Place, moment: int) -> Figure | NotComputed:
        return self.history.at(place if self.number is None else (0, self.number[place[1]]), moment)


# How far young can tell


Span = tuple[int, int]
"""From a moment up to, and without, another."""


class TellingYoung:
    """How far young can tell at one locus that what was claimed of a parent is wrong: a bound, without any inference.

    Computes   for a founder claimed to have one copy of an allele, the span of moments in which the evidence can be more than so many times
               as likely without the copy; None where it never can.
    Symbols    A = the normal allele, a = the one claimed. l(A | m), l(a | m): the chance of a young's looks where the founder handed on A
               or a and the other parent has the genotype m. M = the genotypes that the other parents may have.
    Formula    at most the product over young, where the number for one is:
               its looks are all there is of it         max over M of 2 l(A | m) / (l(A | m) + l(a | m)), at least 1
               it was tested, read twice, or has young  2, since a half of all it may have got is A
               picked (its clutch is incomplete)        1, and (l(A | m) + l(a | m)) / l(A | m) once it has young or was tested
               no sire, or picked with a sire in doubt  no bound
               The span ends with a young whose looks nothing but a explains.
    Assumes    a locus off the sex chromosomes. Where no record needs an unrecorded carrier, other parents have alleles from founders of
               whom something is on record alone; `is_calm` asks whether that is so at all times.
    Cost       a pass over the young of each founder with such a claim.
    Source     derived: what is left open but the alleles that the founder handed on is summed over on both sides alike.
    """

    def __init__(self, evidence: LocusEvidence, pedigree: Pedigree, is_calm: Callable[[], bool]) -> None:
        self.evidence = evidence
        self.pedigree = pedigree
        self.born = evidence.timeline.born
        self.now = evidence.timeline.now
        self._is_calm = is_calm
        self._near: dict[int, frozenset[int]] = {}

    def near(self, egg: int) -> frozenset[int]:
        """The eggs whose records can bear on a founder's figures at the locus, itself among them."""
        if egg not in self._near:
            found = reached((egg,), lambda one: self._beside(one) if one == egg or self._passes(one) else ())
            self._near.update(dict.fromkeys(found, found))
        return self._near[egg]

    def _beside(self, egg: int) -> Iterator[int]:
        """The members of its families."""
        for family in self.pedigree.families_of[egg]:
            yield from self.pedigree.families[family].members

    def _passes(self, egg: int) -> bool:
        """Whether what is known of others can bear on a founder by way of this egg."""
        return not self.calm or egg in self._may_carry

    @cached_property
    def calm(self) -> bool:
        return self._is_calm()

    def span(self, egg: Egg, allele: int, most: Fraction) -> Span | None:
        """When evidence can be more than `most` times as likely if a founder has no copy of an allele."""
        steps: dict[int, Fraction | None] = {}
        proven = self.now + 1
        for family in (self.pedigree.families[number] for number in self.pedigree.own.get(egg.number, ())):
            for young in family.eggs:
                if self.born[young] > self.now:
                    continue
                for moment, times in self._steps(egg, allele, family, self.pedigree.eggs[young]):
                    if times == 0:
                        proven = min(proven, moment)
                    else:
                        before = steps.get(moment, Fraction(1))
                        steps[moment] = None if before is None or times is None else before * times
        product = Fraction(1)
        for moment in sorted(steps):
            times = steps[moment]
            if times is not None:
                product *= times
            if times is None or product > most:
                return (moment, proven) if moment < proven else None
        return None

    def _steps(self, egg: Egg, allele: int, family: Family, young: Egg) -> Iterator[tuple[int, Fraction | None]]:
        """The moments from which a young tells (more), and how many times as much; 0: it proves the copy; None: no bound."""
        born = self.born[young.number]
        if family.may_lack_sire or (family.in_doubt and not family.weighs):
            yield born, None
            return
        mates = [one for one in family.parents if one != egg.number]
        genotypes = {pair for mate in mates for pair in self._genotypes(self.pedigree.eggs[mate])}
        open_ = {self.evidence.states.pairs[s] for s in self.evidence.states.members(self.evidence.every_look(young))}
        chances = [(_handed(0, pair, open_), _handed(allele, pair, open_)) for pair in genotypes]
        if not family.in_doubt and not any(normal for normal, _ in chances):
            yield born, Fraction(0)
            return
        weighed = self._read_twice(young) or self.evidence.was_tested(young, self.now)
        if self.evidence.locus.dies or (weighed and family.weighs):
            yield born, Fraction(2)
            return
        if self._read_twice(young):
            yield born, None
            return
        alone = Fraction(1)
        if family.weighs:
            alone = max([alone, *(Fraction(2 * normal, normal + mutant) for normal, mutant in chances if normal)])
        bred = Fraction(2)
        if not family.weighs:
            bred = max([Fraction(1), *(Fraction(normal + mutant, normal) for normal, mutant in chances if normal)])
        if weighed:
            yield born, bred
            return
        yield born, alone
        first = min((self.born[one] for one in self.pedigree.young(young.number)), default=self.now + 1)
        if first <= self.now:
            yield max(born, first), bred / alone

    def _read_twice(self, egg: Egg) -> bool:
        """Whether a later look of it left something else open."""
        readings = self.evidence.timeline.readings
        return any(
            len({self.evidence.reading_mask(reading) for _, reading in readings.get(ident, ())}) > 1
            for ident in egg.animals
        )

    def _genotypes(self, mate: Egg) -> set[Genotype]:
        if not self._passes(mate.number):
            return {(0, 0)}
        states = self.evidence.states
        return {states.pairs[state] for state in states.members(self.evidence.every_look(mate))}

    @cached_property
    def _may_carry(self) -> frozenset[int]:
        """The eggs that may have a mutant allele from a founder of whom something is on record."""
        founders = (egg for egg in self.pedigree.eggs if egg.family is None)
        return self.pedigree.with_descendants(egg.number for egg in founders if self.evidence.speaks(egg))


def _handed(allele: int, mate: Genotype, looks: set[Genotype]) -> int:
    """In how many of two ways a young that got an allele looks as it does."""
    return sum((min(allele, other), max(allele, other)) in looks for other in mate)
