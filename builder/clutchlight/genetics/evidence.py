"""What the records say of each egg at each locus at a moment: priors of founders, looks, tests.

Computes   for an egg and a moment: a prior weight, a set of states its looks leave open, and a weight for its tests.
Symbols    a moment counts the events that have happened: see `timeline`.
Formula    priors: see `founders`; tests: see `lab_results`.
Apart      young of a clutch that does not count (`counts: no`): their looks and tests say nothing of anybody else, parents included, and
           weigh their own states once all other evidence is in (`own`).
Cost       a prior and a mask each time that one is asked for.
Source     figures#evidence.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from copy import copy
from fractions import Fraction
from functools import cached_property

from clutchlight.genetics.founders import founder_weights, stated_weights
from clutchlight.genetics.lab_results import counting, says_something, weights
from clutchlight.genetics.pedigree import Egg, Pedigree
from clutchlight.genetics.states import States
from clutchlight.genetics.terms import Weight, coeff_at, order_of
from clutchlight.genetics.timeline import EvidenceTimeline
from clutchlight.model import Claim, Collection, LabTest, Locus, Reading
from clutchlight.model.animals import genotypes_left


class LocusEvidence:
    """What is known of each egg at one locus at a given moment."""

    def __init__(
        self, collection: Collection, pedigree: Pedigree, timeline: EvidenceTimeline, locus: Locus, states: States
    ) -> None:
        self.collection = collection
        self.pedigree = pedigree
        self.timeline = timeline
        self.locus = locus
        self.states = states
        self.ignored: frozenset[int] = frozenset()  # eggs whose looks and tests are left out for a question
        self.species = collection.species[pedigree.species]
        self._masks: dict[tuple[object, ...], int] = {}
        self._looks_at: dict[int, dict[int, int]] = {}  # now, and at the moment that was asked about last
        self._priors: dict[tuple[object, ...], tuple[Weight, ...]] = {}
        self._in_question: Callable[[int, int], bool] | None = None
        self._in_doubt: Callable[[int, int], bool] | None = None

    def ignoring(self, eggs: frozenset[int]) -> LocusEvidence:
        """The same without the looks and tests of these eggs."""
        found = LocusEvidence(self.collection, self.pedigree, self.timeline, self.locus, self.states)
        found._in_question, found._in_doubt = self._in_question, self._in_doubt
        found.ignored = self.ignored | eggs
        return found

    def reading_mask(self, reading: Reading | None) -> int:
        """The states that a reading leaves open."""
        if reading is None or reading.shows is None:
            return self.states.full
        key = (reading.shows, reading.without, reading.cannot_tell)
        if key not in self._masks:
            left = genotypes_left(reading, self.locus, self.species)
            self._masks[key] = self.states.full if left is None else self.states.mask(frozenset(left).__contains__)
        return self._masks[key]

    @cached_property
    def not_computed(self) -> frozenset[int]:
        """The eggs whose looks and tests do not count: at a sex-linked locus, a ZW dam may have had them, or an ancestor, with no sire."""
        found: set[int] = set()
        if self.states.linked and self.states.heterogametic == "female":
            for egg in self.pedigree.eggs:
                branches = self.pedigree.families[egg.family].branches if egg.family is not None else ()
                alone = any(branch.sire is None for branch in branches)
                if alone or any(parent in found for parent in self.pedigree.parents(egg.number)):
                    found.add(egg.number)
        return frozenset(found)

    @cached_property
    def without_figure(self) -> frozenset[int]:
        """Those of them of whose ancestors, or of which or of whose young, anything is on record here: the others carry nothing."""
        pedigree = self.pedigree
        spoken = {egg.number for egg in pedigree.eggs if self.not_computed and self.speaks(egg)}
        above, below = set(spoken), set(spoken)
        for egg in pedigree.eggs if self.not_computed else ():
            if not above.isdisjoint(pedigree.parents(egg.number)):
                above.add(egg.number)
        for egg in reversed(pedigree.eggs if self.not_computed else ()):
            if egg.number in below:
                below.update(pedigree.parents(egg.number))
        return self.not_computed & (above | below)

    def speaks(self, egg: Egg) -> bool:
        """Whether anything on record of an egg, at any time, says that it may carry a trait of the locus, or that it shows one."""
        if (
            (egg.family is None and self.locus.background)
            or self.every_claim(egg)
            or self.was_tested(egg, self.timeline.now)
        ):
            return True
        normal = self.states.normal
        rows = [row.reading for ident in egg.animals for row in self.timeline.readings.get(ident, ())]
        rows += [egg.counted.reading] if egg.counted is not None else []
        return any(not self.reading_mask(reading) & normal for reading in rows)

    @cached_property
    def apart(self) -> frozenset[int]:
        """The eggs whose looks and tests tell of themselves alone: their clutch leaves its parents alone."""
        aside = {
            key
            for key, one in self.collection.clutches.items()
            if not one.counts and self.locus.key not in one.set_aside
        }
        silent = self.not_computed | self.ignored
        return frozenset(
            egg.number
            for egg in (self.pedigree.eggs if aside else ())
            if self.pedigree.clutch_of(egg) in aside and egg.number not in silent
        )

    def own(self, egg: Egg, moment: int) -> tuple[int, ...] | None:
        """The weight of each state by the looks and tests of an egg that stands apart; None: they say nothing, or it does not."""
        if egg.number not in self.apart:
            return None
        looks = self.looks_of_its_own(egg, moment)
        tests = self._tests(egg, moment, looks)
        if not tests and looks == self.sex_mask(egg):
            return None
        tested = weights(tests, self.states, looks) if tests else (1,) * self.states.count
        return tuple((looks >> state & 1) * tested[state] for state in range(self.states.count))

    def given_own(self, chances: Sequence[Fraction], own: Sequence[int]) -> tuple[Fraction, ...]:
        """The chances of the states of an egg that stands apart, once its own looks and tests weigh them.

        Where its recorded parents cannot have it so: as of a founder with these looks and tests.
        """
        shares = [chance * weight for chance, weight in zip(chances, own, strict=True)]
        if not any(shares):
            seen = [weight * part for weight, part in zip(self.founder_prior(()), own, strict=True)]
            least = min((order_of(weight) for weight in seen if weight), default=0)
            shares = [Fraction(coeff_at(weight, least) if weight else 0) for weight in seen]
        whole = sum(shares) or 1
        return tuple(share / whole for share in shares)

    def counts(self, egg: Egg) -> bool:
        """Whether the looks of an egg count at this locus."""
        return (
            egg.family not in self._set_aside and egg.number not in self.not_computed and egg.number not in self.ignored
        )

    @cached_property
    def _set_aside(self) -> frozenset[int]:
        """The families whose looks do not count at this locus."""
        aside = {key for key, clutch in self.collection.clutches.items() if not clutch.counts_at(self.locus.key)}
        return frozenset(family.number for family in self.pedigree.families if family.clutch in aside)

    def sex_mask(self, egg: Egg) -> int:
        if not self.states.linked or egg.sex == "unknown":
            return self.states.full
        return self.states.sex_masks[egg.sex]

    def looks(self, egg: Egg, moment: int, *, standing: bool = False) -> int:
        """The states that the looks in force at a moment leave open, twins together; `standing`: those of them that stand today."""
        known = {} if standing else self._looks_at.get(moment)
        if known is None:
            kept = {self.timeline.now: self._looks_at.get(self.timeline.now, {})}
            known = kept.setdefault(moment, {})
            self._looks_at = kept
        if egg.number not in known:
            mask = self.sex_mask(egg)
            known[egg.number] = mask & self._seen(egg, moment, standing=standing) if self.counts(egg) else mask
        return known[egg.number]

    def looks_of_its_own(self, egg: Egg, moment: int) -> int:
        """The same for what is said of the egg itself: with its look where it stands apart, too."""
        return self.sex_mask(egg) & self._seen(egg, moment) if egg.number in self.apart else self.looks(egg, moment)

    def _seen(self, egg: Egg, moment: int, *, standing: bool = False) -> int:
        mask = self.states.full
        for ident in egg.animals:
            rows = self.timeline.readings.get(ident, ())
            in_force = [row for row in rows if row.since <= moment][-1:]
            if in_force and not (standing and in_force[0] is not rows[-1]):
                mask &= self.reading_mask(in_force[0].reading)
        return mask & self._counted(egg, moment)

    def _counted(self, egg: Egg, moment: int) -> int:
        """What the tally row of a hatchling without a record leaves open, from its hatching on."""
        if egg.counted is None or self.timeline.born[egg.number] > moment:
            return self.states.full
        return self.reading_mask(egg.counted.reading)

    def every_look(self, egg: Egg) -> int:
        """The states that at least one reading of each animal leaves open: what can be asked about at any moment since birth."""
        mask = self.sex_mask(egg)
        if not self.counts(egg):
            return mask
        for ident in egg.animals:
            rows = self.timeline.readings.get(ident, ())
            if rows and rows[0].since <= self.timeline.born[egg.number]:
                joined = 0
                for row in rows:
                    joined |= self.reading_mask(row.reading)
                mask &= joined
        return mask & self._counted(egg, self.timeline.now)

    def tests(self, egg: Egg, moment: int) -> list[LabTest]:
        """The tests of an egg at this locus that count at a moment and say something, of itself and of others."""
        if egg.number not in self.with_tests or egg.number in self.apart:
            return []
        return self._tests(egg, moment, self.looks(egg, moment))

    def _tests(self, egg: Egg, moment: int, looks: int) -> list[LabTest]:
        if egg.number in self.not_computed or egg.number in self.ignored:
            return []
        rows = [
            (row.since, row.test)
            for ident in egg.animals
            for row in self.timeline.tests.get(ident, ())
            if row.since <= moment and row.test is not None and row.test.locus == self.locus.key
        ]
        so_far = (test for _, test in sorted(rows, key=lambda row: row[0]))
        return [test for test in counting(so_far) if says_something(test, self.states, looks)]

    @cached_property
    def with_tests(self) -> frozenset[int]:
        """The eggs with a test at this locus on record."""
        return frozenset(
            self.pedigree.egg_of[ident]
            for ident, rows in self.timeline.tests.items()
            if ident in self.pedigree.egg_of and any(row.test and row.test.locus == self.locus.key for row in rows)
        )

    def every_fallible_test(self, egg: Egg) -> list[LabTest]:
        """The tests of an egg at this locus, at any time, that may be wrong."""
        rows = (row.test for ident in egg.animals for row in self.timeline.tests.get(ident, ()))
        return [test for test in rows if test is not None and test.error and test.locus == self.locus.key]

    def was_tested(self, egg: Egg, moment: int) -> bool:
        """Whether a test of it at this locus is on record by then, whatever it says."""
        return any(
            row.since <= moment and row.test is not None and row.test.locus == self.locus.key
            for ident in egg.animals
            for row in self.timeline.tests.get(ident, ())
        )

    def sure_tests(self, egg: Egg, moment: int) -> int:
        """The states that tests without error leave open."""
        mask = self.states.full
        for test in self.tests(egg, moment) if egg.number in self.with_tests else ():
            if test.error == 0:
                mask &= self.test_mask(test)
        return mask

    def test_mask(self, test: LabTest) -> int:
        allele = self.locus.allele_number(test.trait)
        return self.states.mask(lambda pair: pair.count(allele) == test.copies)

    def tested(self, egg: Egg, moment: int) -> tuple[int, ...] | None:
        """The weight of each state by the tests so far, whole numbers; None: no test says anything."""
        tests = self.tests(egg, moment)
        return weights(tests, self.states, self.looks(egg, moment)) if tests else None

    def every_claim(self, egg: Egg) -> list[Claim]:
        """The claims of an egg at this locus, withdrawn ones included."""
        rows = (row for ident in egg.animals for row in self.timeline.claims.get(ident, ()))
        return [claim for claim, _ in rows if claim.locus == self.locus.key]

    def claims(self, egg: Egg, moment: int) -> list[Claim]:
        """The claims in force at this locus; those of certainty that are in doubt with the chance of trust."""
        found = self._claims(egg, moment)
        if self._in_doubt is None or not found or not self._in_doubt(egg.number, moment):
            return found
        return [claim.trusted(self.trust) for claim in found]

    @property
    def trust(self) -> Fraction:
        """The chance with which a claim of certainty is taken to be true where that is in doubt."""
        return self.locus.claim_trust or self.collection.settings.claim_trust

    def trusting(self, in_doubt: Callable[[int, int], bool]) -> LocusEvidence:
        """The same with claims in doubt: `in_doubt` says of an egg and a moment whether its claim is."""
        found = copy(self)
        found._in_doubt = in_doubt
        return found

    def _claims(self, egg: Egg, moment: int) -> list[Claim]:
        return [
            claim
            for ident in egg.animals
            for claim, gone in self.timeline.claims.get(ident, ())
            if claim.locus == self.locus.key and (gone is None or moment < gone)
        ]

    def prior(self, egg: Egg, moment: int) -> tuple[Weight, ...]:
        """The weight of each state of a founder before any look or test, as leading terms in e.

        One in question is weighed by the stated frequency, which takes its look and sure tests into account.
        """
        if egg.family is not None:
            return ()
        prior = self.founder_prior(self.claims(egg, moment))
        if self._in_question is None or not self._in_question(egg.number, moment):
            return prior
        return stated_weights(prior, self.looks(egg, moment) & self.sure_tests(egg, moment), self.unrecorded)

    @property
    def unrecorded(self) -> Fraction:
        """The share of snakes taken to carry an allele here that no record speaks of, where somebody may."""
        return self.locus.unrecorded or self.collection.settings.unrecorded

    def asking(self, in_question: Callable[[int, int], bool]) -> LocusEvidence:
        """The same with founders in question: `in_question` says of an egg and a moment whether it is."""
        found = copy(self)
        found._in_question = in_question
        return found

    def founder_prior(self, claims: Sequence[Claim]) -> tuple[Weight, ...]:
        """The prior of a founder of whom this is claimed; of like claims one answers for all."""
        key = tuple((claim.trait, claim.chance, claim.two_copies, claim.came_from) for claim in claims)
        if key not in self._priors:
            self._priors[key] = founder_weights(self.states, claims, self.locus.background)
        return self._priors[key]

    def claim_mask(self, claims: Sequence[Claim]) -> int:
        """The states that are possible, at some order, if these are claimed of a founder."""
        return sum(1 << state for state, weight in enumerate(self.founder_prior(claims)) if weight)

    def has_evidence(self, egg: Egg, moment: int) -> bool:
        """Whether any look or test of this egg says something here, of itself and of others."""
        return self.looks(egg, moment) != self.sex_mask(egg) or self.tested(egg, moment) is not None
