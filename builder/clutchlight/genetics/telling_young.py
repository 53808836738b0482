"""How far young can tell that what was claimed of a parent is wrong: a bound, without any inference.

Computes   for a founder claimed to have one copy of an allele, the span of moments in which the evidence can be more than so many times
           as likely without the copy; None where it never can.
Symbols    A = the normal allele, a = the one claimed. l(A | m), l(a | m): the chance of a young's looks where the founder handed on A or a
           and the other parent has the genotype m. M = the genotypes that the other parents may have.
Formula    at most the product over young, where the number for one is:
           its looks are all there is of it            max over M of 2 l(A | m) / (l(A | m) + l(a | m)), at least 1
           it was tested, read twice, or has young     2, since a half of all it may have got is A
           picked (its clutch is incomplete)           1, and (l(A | m) + l(a | m)) / l(A | m) once it has young or was tested
           no sire, or picked with a sire in doubt     no bound
           The span ends with a young whose looks nothing but a explains.
Assumes    a locus off the sex chromosomes. Where no record needs an unrecorded carrier, other parents have alleles from founders of whom
           something is on record alone.
Cost       a pass over the young of each founder with such a claim.
Source     derived: what is left open but the alleles that the founder handed on is summed over on both sides alike.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import cached_property

from clutchlight.genetics.evidence import LocusEvidence
from clutchlight.genetics.pedigree import Egg, Family, Pedigree
from clutchlight.model import Genotype

Span = tuple[int, int]
"""From a moment up to, and without, another."""


class TellingYoung:
    """What young can tell at one locus. `is_calm`: asks whether no record at any time needs an unrecorded carrier there."""

    def __init__(self, evidence: LocusEvidence, pedigree: Pedigree, is_calm: Callable[[], bool]) -> None:
        self.evidence = evidence
        self.pedigree = pedigree
        self.born = evidence.timeline.born
        self.now = evidence.timeline.now
        self._is_calm = is_calm
        self._may_carry: dict[int, bool] = {}
        self._near: dict[int, frozenset[int]] = {}

    def near(self, egg: int) -> frozenset[int]:
        """The eggs whose records can bear on a founder's figures at the locus, itself among them."""
        if egg not in self._near:
            found, waiting = {egg}, [egg]
            while waiting:
                one = waiting.pop()
                born_of = self.pedigree.eggs[one].family
                for family in (*self.pedigree.own.get(one, ()), *(() if born_of is None else (born_of,))):
                    new = {other for other in self.pedigree.families[family].members if other not in found}
                    waiting += (other for other in sorted(new) if not self._calm or self.may_carry(other))
                    found |= new
            self._near.update(dict.fromkeys(found, frozenset(found)))
        return self._near[egg]

    @cached_property
    def _calm(self) -> bool:
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
        if any(branch.sire is None for branch in family.branches) or (family.in_doubt and not family.weighs):
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
            len({self.evidence.reading_mask(row.reading) for row in readings.get(ident, ())}) > 1
            for ident in egg.animals
        )

    def _genotypes(self, mate: Egg) -> set[Genotype]:
        if self._calm and not self.may_carry(mate.number):
            return {(0, 0)}
        states = self.evidence.states
        return {states.pairs[state] for state in states.members(self.evidence.every_look(mate))}

    def may_carry(self, egg: int) -> bool:
        """Whether an egg may have a mutant allele from a founder of whom something is on record."""
        if egg not in self._may_carry:
            parents = self.pedigree.parents(egg)
            self._may_carry[egg] = (
                any(self.may_carry(parent) for parent in parents)
                if parents
                else self.evidence.speaks(self.pedigree.eggs[egg])
            )
        return self._may_carry[egg]


def _handed(allele: int, mate: Genotype, looks: set[Genotype]) -> int:
    """In how many of two ways a young that got an allele looks as it does."""
    return sum((min(allele, other), max(allele, other)) in looks for other in mate)
