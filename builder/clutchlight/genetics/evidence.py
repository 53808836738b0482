"""What the records say of each egg at each locus at a moment: priors of founders, looks, tests.

Computes   for an egg and a moment: a prior weight (a leading term in e), a set of states its looks leave open, and a weight for its tests.
Symbols    a moment counts the events that have happened: see `timeline`.
           e = vanishing frequency of every allele without claim or background; c = chance of a claim; p = background frequency;
           w(x) = weight of one allele: 1 for normal (1 - sum of p where there are backgrounds), p with a background, else e;
           u = `unrecorded`, the share of snakes taken to carry an allele that no record speaks of;
           r = the number of copies of its allele that a test found; f = the chance that it is wrong; L = the numbers of copies that
           the looks in force leave at the locus (all of them where nobody looked, or could tell).
Priors     without claim: w(a) w(b) for each ordered pair. Claim of A: each ordered pair that holds A with c/2 w(other); no copy of
           A with 1 - c, both alleles weighing w. Claims at several alleles exclude each other. A claim of two copies of a shown
           trait: two with c, one with 1 - c. A claim is made of the founder as it looks: where its look leaves states with an allele
           claimed and states with none, these have c (the sum of all c) and 1 - c between them, shared as their leading terms are.
           A founder in question: its states, by claims, look and sure tests, in groups of rising order: 1 - u, u (1 - u), u^2, the
           last takes the rest; within a group as the limit shares them.
Tests      f = 0: 1 for the states with r copies, 0 for the others. f > 0: 1 - f for r copies, f / (|L| - 1) for the others.
           A fallible test says nothing where r is all of L, for then the look decides, or not in L, for then it is wrong.
           Of the fallible tests of one allele by one laboratory the last counts; every error-free one does.
Apart      young of a clutch that does not count (`counts: no`): their looks and tests say nothing of their parents, nor of others by way of
           these, and weigh their own states once all other evidence is in (`own`). In what is asked of others they count (`Clutch.heard`).
Assumes    a background frequency describes the founders without a claim of that allele; laboratories err independently of each other;
           parentage does not count in L.
Cost       a prior and a mask each time that one is asked for.
Source     figures#evidence, figures#founders, figures#claims-in-figures, figures#unrecorded-carriers, figures#tests-as-evidence; derived;
           Hardy 1908, Weinberg 1908 for w(a) w(b).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from copy import copy
from fractions import Fraction
from functools import cached_property
from operator import itemgetter

from clutchlight.genetics.pedigree import Egg, Pedigree
from clutchlight.genetics.states import States
from clutchlight.genetics.terms import Weight, leading, least_order, lowest, order_of, proportioned, weighed
from clutchlight.genetics.timeline import EvidenceTimeline
from clutchlight.model import Claim, Collection, LabTest, Locus, Reading
from clutchlight.model.animals import counting, genotypes_left, trusted

AsksOfEgg = Callable[[int, int], bool]


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
        self._read: dict[str, tuple[tuple[int, int], ...]] = {}
        # by egg, what its looks leave open and from which moment on, the latest first; and the same of those that stand today
        self._looks: dict[int, tuple[tuple[int, int], ...]] = {}
        self._standing: dict[int, tuple[tuple[int, int], ...]] = {}
        self._priors: dict[tuple[object, ...], tuple[Weight, ...]] = {}
        self._in_question: AsksOfEgg | None = None
        self._in_doubt: AsksOfEgg | None = None

    def of_others(self, collection: Collection, pedigree: Pedigree, timeline: EvidenceTimeline) -> LocusEvidence:
        """The same locus, of other eggs or other records; what a look leaves and what a claim weighs it still knows."""
        found = LocusEvidence(collection, pedigree, timeline, self.locus, self.states)
        found._masks, found._priors = self._masks, self._priors
        return found

    def ignoring(self, eggs: frozenset[int]) -> LocusEvidence:
        """The same without the looks and tests of these eggs."""
        found = self.of_others(self.collection, self.pedigree, self.timeline)
        found._in_question, found._in_doubt = self._in_question, self._in_doubt
        found.ignored = self.ignored | eggs
        return found

    def reading_mask(self, reading: Reading) -> int:
        """The states that a reading leaves open."""
        key = (reading.shows, reading.without, reading.cannot_tell)
        if key not in self._masks:
            left = genotypes_left(reading, self.locus, self.species)
            self._masks[key] = self.states.full if left is None else self.states.mask(frozenset(left).__contains__)
        return self._masks[key]

    @cached_property
    def not_computed(self) -> frozenset[int]:
        """The eggs whose looks and tests do not count: at a sex-linked locus, a ZW dam may have had them, or an ancestor, with no sire."""
        if not self.states.linked or self.states.heterogametic == "male":
            return frozenset()
        alone = (family for family in self.pedigree.families if family.may_lack_sire)
        return self.pedigree.with_descendants(egg for family in alone for egg in family.eggs)

    @cached_property
    def without_figure(self) -> frozenset[int]:
        """Those of them of whose ancestors, or of which or of whose young, anything is on record here: the others carry nothing."""
        if not self.not_computed:
            return frozenset()
        spoken = [egg.number for egg in self.pedigree.eggs if self.speaks(egg)]
        return self.not_computed & (self.pedigree.with_ancestors(spoken) | self.pedigree.with_descendants(spoken))

    def speaks(self, egg: Egg) -> bool:
        """Whether anything on record of an egg, at any time, says that it may carry a trait of the locus, or that it shows one."""
        if (
            (egg.family is None and self.locus.background)
            or self.every_claim(egg)
            or self.was_tested(egg, self.timeline.now)
        ):
            return True
        normal = self.states.normal
        rows = [reading for ident in egg.animals for _, reading in self.timeline.readings.get(ident, ())]
        rows += [egg.counted.reading] if egg.counted is not None else []
        return any(not self.reading_mask(reading) & normal for reading in rows)

    @cached_property
    def apart(self) -> frozenset[int]:
        """The eggs whose looks and tests tell of themselves alone: their clutch leaves its parents alone."""
        return self._left_out - self._heard - self.not_computed - self.ignored

    @cached_property
    def _left_out(self) -> frozenset[int]:
        """The eggs of clutches that do not count, where their looks at this locus are not set aside."""
        aside = {
            key
            for key, one in self.collection.clutches.items()
            if not one.counts and self.locus.key not in one.set_aside
        }
        eggs = self.pedigree.eggs if aside else ()
        return frozenset(egg.number for egg in eggs if self.pedigree.clutch_of(egg) in aside)

    @cached_property
    def _heard(self) -> frozenset[int]:
        """Those of them that count all the same in what is asked."""
        heard = {name for clutch in self.collection.clutches.values() for name in clutch.heard}
        return frozenset(
            number for number in self._left_out if not heard.isdisjoint(self.pedigree.eggs[number].animals)
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

    def own_states(self, egg: Egg, moment: int) -> int | None:
        """The states to which these give weight, as a bit mask."""
        own = self.own(egg, moment)
        return None if own is None else sum(1 << state for state, weight in enumerate(own) if weight)

    def given_own(self, chances: Sequence[Fraction], own: Sequence[int]) -> tuple[Fraction, ...]:
        """The chances of the states of an egg that stands apart, once its own looks and tests weigh them.

        Where its recorded parents cannot have it so: as of a founder with these looks and tests.
        """
        shares = [chance * weight for chance, weight in zip(chances, own, strict=True)]
        if not any(shares):
            seen = [weight * part for weight, part in zip(self.founder_prior(()), own, strict=True)]
            shares = [Fraction(weight) for weight in lowest(seen)]
        whole = sum(shares) or 1
        return tuple(share / whole for share in shares)

    def counts(self, egg: Egg) -> bool:
        """Whether the looks of an egg count at this locus."""
        counted = egg.family not in self._set_aside or egg.number in self._heard
        return counted and egg.number not in self.not_computed and egg.number not in self.ignored

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
        """The states that the looks in force at a moment leave open, twins together.

        `standing`: as far as what is read today says the same.
        """
        known = self._standing if standing else self._looks
        if egg.number not in known:
            self._look_at(egg)
        since, mask = known[egg.number][0]
        return mask if since <= moment else next(mask for since, mask in known[egg.number] if since <= moment)

    def _look_at(self, egg: Egg) -> None:
        """Notes what its looks leave open through time; what stands today is the same unless it was read again."""
        found = tuple(self._looks_through_time(egg, standing=False))
        read_again = any(len(self._masks_of(ident)) > 1 for ident in egg.animals)
        self._looks[egg.number] = found
        self._standing[egg.number] = tuple(self._looks_through_time(egg, standing=True)) if read_again else found

    def masks(self, moment: int, *, standing: bool = False) -> list[int]:
        """What looks and sure tests leave open of every egg at a moment; a founder's prior apart."""
        eggs = self.pedigree.eggs
        row = [self.looks(egg, moment, standing=standing) for egg in eggs]
        for number in self.with_tests:
            row[number] &= self.sure_tests(eggs[number], moment)
        return row

    def _looks_through_time(self, egg: Egg, *, standing: bool) -> Iterator[tuple[int, int]]:
        """What its looks leave open, with the moment from which they do, the latest first."""
        mask = self.sex_mask(egg)
        if self.counts(egg):
            since = {row[0] for ident in egg.animals for row in self._masks_of(ident)}
            since |= {self.timeline.born[egg.number]} if egg.counted is not None else set()
            for moment in sorted(since - {0}, reverse=True):
                yield moment, mask & self._seen(egg, moment, standing=standing)
            mask &= self._seen(egg, 0, standing=standing)
        yield 0, mask

    def looks_of_its_own(self, egg: Egg, moment: int) -> int:
        """The same for what is said of the egg itself: with its look where it stands apart, too."""
        if egg.number not in self.apart:
            return self.looks(egg, moment)
        return self.sex_mask(egg) & self._seen(egg, moment, standing=False)

    def _seen(self, egg: Egg, moment: int, *, standing: bool) -> int:
        mask = self.states.full
        for ident in egg.animals:
            rows = self._masks_of(ident)
            read = [left for since, left in rows if since <= moment]
            if not standing:
                mask &= read[-1] if read else mask
                continue
            for left in read:
                mask &= left | rows[-1][1]
        return mask & self._counted(egg, moment)

    def _masks_of(self, ident: str) -> tuple[tuple[int, int], ...]:
        """What each reading of an animal leaves open, with the moment from which it counts."""
        if ident not in self._read:
            rows = self.timeline.readings.get(ident, ())
            self._read[ident] = tuple((since, self.reading_mask(reading)) for since, reading in rows)
        return self._read[ident]

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
            if rows and rows[0][0] <= self.timeline.born[egg.number]:
                joined = 0
                for _, reading in rows:
                    joined |= self.reading_mask(reading)
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
        so_far = sorted((row for row in self._tests_of(egg) if row[0] <= moment), key=itemgetter(0))
        return [test for test in counting(test for _, test in so_far) if says_something(test, self.states, looks)]

    def _tests_of(self, egg: Egg) -> Iterator[tuple[int, LabTest]]:
        """Every test of an egg at this locus, with the moment from which it counts."""
        for ident in egg.animals:
            yield from (row for row in self.timeline.tests.get(ident, ()) if row[1].locus == self.locus.key)

    @cached_property
    def with_tests(self) -> frozenset[int]:
        """The eggs with a test at this locus on record."""
        return frozenset(egg.number for egg in self.pedigree.eggs if any(self._tests_of(egg)))

    def every_fallible_test(self, egg: Egg) -> list[LabTest]:
        """The tests of an egg at this locus, at any time, that may be wrong."""
        return [test for _, test in self._tests_of(egg) if test.error]

    def was_tested(self, egg: Egg, moment: int) -> bool:
        """Whether a test of it at this locus is on record by then, whatever it says."""
        return any(since <= moment for since, _ in self._tests_of(egg))

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
        rows = (row for ident in egg.animals for row in self.timeline.claims.get(ident, ()))
        standing = (claim for claim, gone in rows if gone is None or moment < gone)
        found = [claim for claim in standing if claim.locus == self.locus.key]
        if self._in_doubt is None or not found or not self._in_doubt(egg.number, moment):
            return found
        return trusted(found, self.trust)

    @property
    def trust(self) -> Fraction:
        """The chance with which a claim of certainty is taken to be true where that is in doubt."""
        return self.locus.claim_trust or self.collection.settings.claim_trust

    def where(self, in_doubt: AsksOfEgg | None, in_question: AsksOfEgg | None) -> LocusEvidence:
        """The same with claims in doubt, or founders in question: each says of an egg and a moment whether it is."""
        found = copy(self)
        found._in_doubt, found._in_question = in_doubt or self._in_doubt, in_question or self._in_question
        return found

    def prior(self, egg: Egg, moment: int) -> tuple[Weight, ...]:
        """The weight of each state of a founder before any look or test, as leading terms in e.

        One in question is weighed by the stated frequency, which takes its look and sure tests into account.
        """
        if egg.family is not None:
            return ()
        prior = self.founder_prior(self.claims(egg, moment), self.looks(egg, moment))
        if self._in_question is None or not self._in_question(egg.number, moment):
            return prior
        return stated_weights(prior, self.looks(egg, moment) & self.sure_tests(egg, moment), self.unrecorded)

    @property
    def unrecorded(self) -> Fraction:
        """The share of snakes taken to carry an allele here that no record speaks of, where somebody may."""
        return self.locus.unrecorded or self.collection.settings.unrecorded

    def founder_prior(self, claims: Sequence[Claim], looks: int = -1) -> tuple[Weight, ...]:
        """The prior of a founder of whom this is claimed, looking like this; of like claims one answers for all."""
        said = tuple((claim.trait, claim.chance, claim.two_copies, claim.came_from) for claim in claims)
        key = said, looks if claims else -1
        if key not in self._priors:
            found = founder_weights(self.states, claims, self.locus.background)
            self._priors[key] = as_claimed(self.states, found, claims, looks)
        return self._priors[key]

    def claim_mask(self, claims: Sequence[Claim]) -> int:
        """The states that are possible, at some order, if these are claimed of a founder."""
        return sum(1 << state for state, weight in enumerate(self.founder_prior(claims)) if weight)

    def has_evidence(self, egg: Egg, moment: int) -> bool:
        """Whether any look or test of this egg says something here, of itself and of others."""
        return self.looks(egg, moment) != self.sex_mask(egg) or self.tested(egg, moment) is not None


def founder_weights(states: States, claims: Sequence[Claim], background: Mapping[str, Fraction]) -> tuple[Weight, ...]:
    """The prior weights of a founder's states, scaled to whole numbers, as leading terms in the vanishing frequency e."""
    locus = states.locus
    one: list[tuple[int, Fraction]] = [(0, Fraction(1))] + [(1, Fraction(1)) for _ in locus.alleles]
    claimed_traits = {claim.trait for claim in claims if claim.chance is not None or claim.two_copies is not None}
    known = {trait: p for trait, p in background.items() if trait not in claimed_traits}
    for trait, frequency in known.items():
        one[locus.allele_number(trait)] = (0, frequency)
    one[0] = (0, 1 - sum(known.values(), Fraction(0)))
    claimed = [(locus.allele_number(claim.trait), claim) for claim in claims]
    chances = [(allele, claim.chance) for allele, claim in claimed if claim.chance is not None]
    doubled = [(allele, claim.two_copies) for allele, claim in claimed if claim.two_copies is not None]
    weights: list[tuple[int, Fraction]] = []
    for state in states.all:
        weights.append(_founder_weight(states, state, one, chances, doubled))
    for allele, claim in claimed:
        if claim.came_from is not None and states.linked:
            _fix_phase(states, weights, allele, claim.came_from)
    return weighed(weights)


def _founder_weight(
    states: States,
    state: tuple[str, int, int],
    one: list[tuple[int, Fraction]],
    chances: list[tuple[int, Fraction]],
    doubled: list[tuple[int, Fraction]],
) -> tuple[int, Fraction]:
    """(order, coefficient) of one state; terms of different order are never added: the lower one stays."""
    sex, a, b = state
    placed = states.linked and sex == states.heterogametic
    ordered = ((a, b),) if placed or a == b else ((a, b), (b, a))
    if doubled:
        allele, chance = doubled[0]
        if a == b == allele:
            return 0, chance
        other = b if a == allele else a
        return (
            (one[other][0], (1 - chance) * one[other][1] / (2 if placed else 1))
            if allele in (a, b)
            else (0, Fraction(0))
        )
    named = {allele for allele, _ in chances}
    none_true = 1 - sum((chance for _, chance in chances), Fraction(0))
    terms: list[tuple[int, Fraction]] = []
    if not named & {a, b}:
        terms += [(one[x][0] + one[y][0], none_true * one[x][1] * one[y][1]) for x, y in ordered]
    for allele, chance in chances:
        for x, y in dict.fromkeys(((a, b), (b, a))):
            if x == allele:
                split = 2 if placed or a == b else 1  # A/A is one ordered pair, A/x two
                terms.append((one[y][0], chance * one[y][1] / split))
    terms = [term for term in terms if term[1]]
    if not terms:
        return 0, Fraction(0)
    least = min(order for order, _ in terms)
    return least, sum((weight for order, weight in terms if order == least), Fraction(0))


def _fix_phase(states: States, weights: list[tuple[int, Fraction]], allele: int, parent: str) -> None:
    """Moves, in the heterogametic sex, the weight of a copy on the other parent's chromosome to this parent's."""
    from_parent = 2 if (parent == "sire") == (states.heterogametic == "male") else 1
    for index, (sex, first, second) in enumerate(states.all):
        if sex == states.heterogametic and allele in (first, second) and (sex, first, second)[from_parent] != allele:
            other = states.number[sex, second, first]
            weights[other] = (weights[other][0], weights[other][1] + weights[index][1])
            weights[index] = (0, Fraction(0))


def as_claimed(states: States, prior: Sequence[Weight], claims: Sequence[Claim], looks: int) -> tuple[Weight, ...]:
    """The weights of a founder's states with the chances that were claimed for those that its look leaves."""
    chances = {states.locus.allele_number(claim.trait): claim.chance for claim in claims if claim.chance is not None}
    claimed = sum(chances.values(), Fraction(0))
    seen = [state for state in states.members(looks & states.full) if prior[state]]
    held = [state for state in seen if chances.keys() & set(states.pairs[state])]
    others = [state for state in seen if state not in held]
    if not (held and others):
        return tuple(prior)
    shares: dict[int, tuple[int, Fraction]] = {}
    for group, chance in ((held, claimed), (others, 1 - claimed)):
        least = least_order(prior[state] for state in group)
        whole = sum(leading(prior[state]) for state in group if order_of(prior[state]) == least)
        shares |= {s: (order_of(prior[s]) - least, leading(prior[s]) * chance / whole) for s in group}
    return weighed([shares.get(state, (0, Fraction(0))) for state in range(states.count)])


def stated_weights(prior: Sequence[Weight], left: int, unrecorded: Fraction) -> tuple[Weight, ...]:
    """The weights of a founder in question, whole numbers; `left`: the states that its look and sure tests leave."""
    groups: dict[int, dict[int, int]] = {}
    for state, weight in enumerate(prior):
        if weight and left >> state & 1:
            groups.setdefault(order_of(weight), {})[state] = leading(weight)
    shares: dict[int, Fraction] = {}
    rest = Fraction(1)
    for place, order in enumerate(sorted(groups), 1):
        share = rest if place == len(groups) else rest * (1 - unrecorded)
        rest -= share
        whole = sum(groups[order].values())
        shares |= {state: share * weight / whole for state, weight in groups[order].items()}
    return proportioned([shares.get(state, Fraction(0)) for state in range(len(prior))])


def numbers_left(states: States, looks: int, trait: str) -> frozenset[int]:
    """How many copies of an allele an egg may have by its looks."""
    allele = states.locus.allele_number(trait)
    return frozenset(states.pairs[state].count(allele) for state in states.members(looks))


def against(test: LabTest, states: States, looks: int) -> bool:
    """Whether a fallible test found a number of copies that the looks do not leave."""
    return bool(test.error) and test.copies not in numbers_left(states, looks, test.trait)


def says_something(test: LabTest, states: States, looks: int) -> bool:
    left = numbers_left(states, looks, test.trait)
    return not test.error or (test.copies in left and len(left) > 1)


def weights(tests: Sequence[LabTest], states: States, looks: int) -> tuple[int, ...]:
    """The weight of each state by tests that say something; whole numbers, up to a factor."""
    found = [Fraction(1)] * states.count
    for test in tests:
        others = len(numbers_left(states, looks, test.trait)) - 1 if test.error else 1
        allele = states.locus.allele_number(test.trait)
        for index, pair in enumerate(states.pairs):
            found[index] *= 1 - test.error if pair.count(allele) == test.copies else test.error / others
    return proportioned(found)
