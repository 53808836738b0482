"""The sum over all assignments of genotypes, sires and sexes: the arithmetic under `enumerate_genotypes`.

Computes Σ weight(assignment) as a polynomial in ε up to its lowest power, kept apart by the states of chosen units.

How: people are taken parents first; a partial assignment keeps only the people who are still needed, and equal ones
are added up. Powers above k cannot matter, so the sum is tried with powers up to 0, then 1, and so on. Given the sires
and the sexes in doubt, loci are independent: each group of loci is summed alone for each way the doubts can fall, and
the products are added. A group has one locus, but for young that were picked by look while their own sire (`mixed`)
or their own sex is in doubt: those tie loci together.

Picked young (incomplete records): what is the egg's own (its genotype, its sex, its sire in a mixed clutch) is
conditioned on its looks; the parents are not: the sum over what is its own is 1 where the looks are possible, else 0.

A heterozygosity that parthenogenesis is said never to keep (share 0) is kept only where nothing else fits: u, a share that
vanishes before ε does, stands for it, so that the assignments with fewest such young carry everything. The power of u is
counted in thousands beside the power of ε; picked young count like any other.

Cost: the product of the states of the units alive at once, for each way of the doubts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from functools import cached_property, lru_cache
from itertools import product
from typing import Literal

from gmpy2 import mpq
from msgspec import Struct
from msgspec.structs import replace
from tests.oracle.case import NONE, Claim, Locus, Sex
from tests.oracle.inheritance import (
    HALF,
    ONE,
    Ordered,
    Polynomial,
    System,
    as_seen,
    founder_prior,
    heterogametic,
    inherit,
    lives,
    times,
)
from tests.oracle.looks_of_genotypes import Pair, chance_of_result, genotypes, pair
from tests.oracle.population import Egg, Founder, Population, parents_of

KEPT = 1000  # the power of u, beside that of ε
Group = tuple[int, ...]
Genotypes = tuple[Ordered, ...]  # one for each locus of a group
State = tuple[str, Sex | None, Genotypes]  # sire ("" when not asked for), sex, genotypes
Fixed = tuple[tuple[str, str], ...]  # a doubt (clutch or egg key, `key/sex`) and how it fell
Terms = Callable[[tuple[State, ...]], list[tuple[int, State, Fraction]]]  # (power of ε, state, coefficient)
Founders = dict[tuple[Founder, Group, Group], list[tuple[int, Genotypes, Fraction]]]
Eggs = dict[tuple[object, ...], dict[tuple[Genotypes, ...], list[tuple[int, State, Fraction]]]]
Inherited = dict[tuple[object, ...], list[tuple[int, Ordered, Fraction]]]
Mode = Literal["figures", "evidence", "looks", "claims"]


class NoFigure(ValueError):  # noqa: N818 - it is an answer, not a failure of the program
    """The records exclude every assignment, or leave none that has a chance."""


class Order(Struct, frozen=True):
    """The total weight: its lowest power of ε and the coefficient there."""

    power: int
    coefficient: Fraction


class Sum:
    """The sum over all assignments, in one of four modes.

    `figures` has the true weights. The others have 1 for whatever is possible: `evidence` where a founder's genotype
    has a weight of any order, `looks` where its look and error-free tests allow it, `claims` where a claim of certainty
    does too. `questioned`: the founders, each with a locus, who take the frequency `unrecorded` in place of the limit.
    """

    def __init__(self, people: Population, mode: Mode, questioned: frozenset[tuple[str, int]] = frozenset()) -> None:
        self.people, self.mode, self.questioned = people, mode, questioned
        self.loci, self.system = people.case.loci, people.case.system
        self.groups = _groups(people)
        self.limit = 0
        self.schedule = _schedule(people)
        self._founders, self._eggs, self._inherited = _shared(self.loci, self.system, mode)
        self._tables: dict[tuple[object, ...], dict[tuple[State, ...], Polynomial]] = {}
        self._tested: dict[tuple[str, int, Ordered], Fraction] = {}
        self._hatched: dict[tuple[object, ...], list[tuple[int, Genotypes, Fraction]]] = {}

    @cached_property
    def total(self) -> Order | None:
        """The leading term of the sum; None when there is none."""
        highest = 2 * len(self.people.founders) * len(self.loci) if self.mode == "figures" else 0
        for power in (KEPT * kept + copies for kept in range(self._most_kept + 1) for copies in range(highest + 1)):
            if power == 2 and not Sum(self.people, "evidence").possible:
                return None
            self.limit = power
            self._tables.clear()
            found = mpq()
            for fixed, weight in self._doubts():
                found += weight * self._add_up(fixed, (), (), False).get((), {}).get(power, mpq())
            if found:
                return Order(power, found)
        return None

    @property
    def _most_kept(self) -> int:
        """The most that can be kept though the share is 0: each egg that may have no sire, at each such locus."""
        never = sum(not locus.kept for locus in self.loci) if self.mode == "figures" else 0
        return never * sum(any(sire == NONE for sire, _ in egg.sires) for egg in self.people.eggs.values())

    @cached_property
    def possible(self) -> bool:
        if self.mode == "figures":
            return self.total is not None
        return any(self._add_up(fixed, (), (), False).get(()) for fixed, _ in self._doubts())

    @property
    def order(self) -> Order:
        if self.total is None:
            raise NoFigure("the records exclude every assignment")
        return self.total

    def chances(
        self, keep: tuple[str, ...], loci: tuple[int, ...], *, hidden: bool = False
    ) -> dict[tuple[State, ...], Fraction]:
        """The joint chance of the kept units' states at some loci; with `hidden`, of their sires and sexes too."""
        order = self.order
        found: defaultdict[tuple[State, ...], Fraction] = defaultdict(mpq)
        for fixed, weight in self._doubts():
            for states, polynomial in self._add_up(fixed, keep, loci, hidden).items():
                if coefficient := polynomial.get(order.power):
                    found[states] += weight * coefficient / order.coefficient
        return {states: _fraction(chance) for states, chance in found.items() if chance}

    def doubts(self, keys: tuple[str, ...]) -> dict[tuple[str, ...], Fraction]:
        """The joint chance of how some doubts fell."""
        order = self.order
        found: defaultdict[tuple[str, ...], Fraction] = defaultdict(mpq)
        for fixed, weight in self._doubts():
            total = self._add_up(fixed, (), (), False).get((), {}).get(order.power, mpq())
            found[tuple(dict(fixed)[key] for key in keys)] += weight * total / order.coefficient
        return {fell: _fraction(chance) for fell, chance in found.items()}

    def powers_at(self, locus: int) -> tuple[int, ...]:
        """The powers of ε that the group of a locus contributes to the leading term."""
        order, powers = self.order, set()
        group = next(group for group in self.groups if locus in group)
        for fixed, _ in self._doubts():
            if self._add_up(fixed, (), (), False).get((), {}).get(order.power):
                powers.add(min(self._table(group, fixed, ())[()]) % KEPT)
        return tuple(sorted(powers))

    def support(self, unit: str, locus: int) -> frozenset[Ordered]:
        """The ordered genotypes of one unit in any assignment of the sum."""
        if not self.possible:
            return frozenset()
        return frozenset(state[2][0] for (state,) in self.chances((unit,), (locus,)))

    def _doubts(self) -> Iterator[tuple[Fixed, Fraction]]:
        """Every way the doubts that tie groups together can fall, with its prior chance."""
        several = len(self.groups) > 1
        linked = sum(any(self.loci[n].crossover is not None for n in group) for group in self.groups) > 1
        ways: list[tuple[dict[str, str], Fraction]] = [({}, ONE)]
        for egg in self.people.eggs.values():
            doubt = egg.clutch or (egg.key if several and len(egg.sires) > 1 else "")
            if doubt and doubt not in ways[0][0]:
                ways = [(way | {doubt: sire}, weight * chance) for way, weight in ways for sire, chance in egg.sires]
            if linked and egg.sex is None:
                ways = [
                    (way | {f"{egg.key}/sex": sex}, weight * share)
                    for way, weight in ways
                    for sex, share in self._sexes(egg, way.get(doubt, egg.sires[0][0]))
                ]
        yield from ((tuple(sorted(way.items())), weight) for way, weight in ways)

    def _sexes(self, egg: Egg, sire: str) -> list[tuple[Sex, Fraction]]:
        """The sexes that an egg can have: a recorded one is not weighed, an unrecorded one is either."""
        sexes: list[tuple[Sex, Fraction]] = [("male", HALF), ("female", HALF)]
        if sire == NONE:
            sexes = [(sex, ONE) for sex, _ in sexes if sex != heterogametic(self.system)]
        if egg.sex is not None:
            sexes = [(sex, ONE) for sex, _ in sexes if sex == egg.sex]
        return sexes

    def _add_up(
        self, fixed: Fixed, keep: tuple[str, ...], loci: tuple[int, ...], hidden: bool
    ) -> dict[tuple[State, ...], Polynomial]:
        """The product over groups for one way of the doubts, powers up to the limit."""
        partial: dict[tuple[State, ...], Polynomial] = {self._start(dict(fixed), keep, hidden): {0: ONE}}
        order: list[int] = []
        for group in self.groups:
            asked = [place for place, n in enumerate(group) if n in loci]
            order += [group[place] for place in asked]
            table = self._table(group, fixed, keep if asked or hidden else ())
            longer: defaultdict[tuple[State, ...], Polynomial] = defaultdict(dict)
            for (states, weight), (found, polynomial) in product(partial.items(), table.items()):
                merged = list(states)
                for number, (sire, sex, more) in enumerate(found):
                    before = states[number]
                    named = (before[0] or sire, before[1] or sex) if hidden else ("", None)
                    merged[number] = (*named, (*before[2], *(more[place] for place in asked)))
                grown = {power: c for power, c in times(weight, polynomial).items() if power <= self.limit}
                longer[tuple(merged)] = _plus(longer[tuple(merged)], grown)
            partial = dict(longer)
        return {
            tuple((sire, sex, tuple(found[order.index(n)] for n in loci)) for sire, sex, found in states): weight
            for states, weight in partial.items()
        }

    def _start(self, fell: dict[str, str], keep: tuple[str, ...], hidden: bool) -> tuple[State, ...]:
        """The kept units before any locus: with `hidden`, what the doubts already say of their sires and sexes."""
        if not hidden:
            return (("", None, ()),) * len(keep)
        sexes: dict[str | None, Sex] = {"male": "male", "female": "female"}
        eggs = self.people.eggs
        doubts = {key: (eggs[key].clutch or key if key in eggs else key) for key in keep}
        return tuple((fell.get(doubts[key], ""), sexes.get(fell.get(f"{key}/sex")), ()) for key in keep)

    def _table(self, group: Group, fixed: Fixed, keep: tuple[str, ...]) -> dict[tuple[State, ...], Polynomial]:
        """The sum for one group of loci, kept apart by the states of the units in `keep`."""
        known = (group, fixed, keep)
        if known in self._tables:
            return self._tables[known]
        live: list[str] = []
        fell = dict(fixed)
        last_use = _last_use(self.people, self.schedule, fell)
        partial: dict[tuple[int, tuple[State, ...]], Fraction] = {(0, ()): ONE}
        for step, key in enumerate(self.schedule):
            longer: defaultdict[tuple[int, tuple[State, ...]], Fraction] = defaultdict(mpq)
            stays = [n for n, name in enumerate(live) if name in keep or last_use[name] > step]
            self_stays = key in keep or last_use[key] > step
            terms = self._terms(key, group, fell, live, named=key in keep)
            for (power, states), weight in partial.items():
                left = tuple([states[n] for n in stays])
                for more, state, share in terms(states):
                    if power + more <= self.limit:
                        longer[power + more, (*left, state) if self_stays else left] += weight * share
            live = [live[n] for n in stays] + ([key] if self_stays else [])
            partial = {states: weight for states, weight in longer.items() if weight}
        result: defaultdict[tuple[State, ...], Polynomial] = defaultdict(dict)
        places = [live.index(key) for key in keep]
        for (power, states), weight in partial.items():
            kept = tuple(states[n] for n in places)
            result[kept] = _plus(result[kept], {power: weight})
        self._tables[known] = dict(result)
        return self._tables[known]

    def _terms(self, key: str, group: Group, fell: dict[str, str], live: list[str], *, named: bool) -> Terms:
        """What one more unit can be, by the states of those alive; its sire and sex only if `named`."""
        if key in self.people.founders:
            founder: list[tuple[int, State, Fraction]] = [
                (power, ("", None, found), share)
                for power, found, share in self._founder(self.people.founders[key], group)
            ]
            return lambda states: founder
        egg = self.people.eggs[key]
        names = _needed(egg, fell)
        places = [live.index(self.people.unit_of.get(name, name)) for name in names]
        sire, sex = fell.get(egg.clutch or egg.key), fell.get(f"{egg.key}/sex")
        # Eggs of one clutch of which the same is known have the same states.
        alike = replace(egg, key="", members=())
        known = self._eggs.setdefault((alike, group, sire, sex, named), {})

        def of(states: tuple[State, ...]) -> list[tuple[int, State, Fraction]]:
            parents = tuple([states[place][2] for place in places])
            if parents not in known:
                rows = self._egg_states(egg, group, sire, sex, dict(zip(names, parents, strict=True)))
                known[parents] = rows if named else _unnamed(rows)
            return known[parents]

        return of

    def _founder(self, founder: Founder, group: Group) -> list[tuple[int, Genotypes, Fraction]]:
        stated = tuple(n for n in group if (founder.key, n) in self.questioned)
        known = (replace(founder, key=""), group, stated)
        if known not in self._founders:
            each = [self._founder_at(founder, n) for n in group]
            rows = []
            for found in product(*(weights.items() for weights in each)):
                weight: Polynomial = {0: ONE}
                for _, polynomial in found:
                    weight = times(weight, polynomial)
                ordered = tuple(genotype for genotype, _ in found)
                rows += [(power, ordered, share) for power, share in weight.items()]
            self._founders[known] = rows
        return self._founders[known]

    def _founder_at(self, founder: Founder, n: int) -> dict[Ordered, Polynomial]:
        """A founder's weights at one locus with its look and tests, divided by the power that its own look needs."""
        locus = self.loci[n]
        prior = founder_prior(locus, founder.claims, self.system, founder.sex)
        left = [genotype for genotype in prior if pair(*genotype) in founder.allowed[n]]
        seen = as_seen(prior, founder.claims, founder.allowed[n])
        if self.mode == "looks":
            seen = {genotype: {0: ONE} for genotype in left}
        elif self.mode == "claims":
            seen = {g: {0: ONE} for g in left if self._claimed(founder, locus, g)}
        elif self.mode == "evidence":
            seen = {genotype: {0: ONE} for genotype in seen}
        else:
            needs = min((min(weight) for weight in seen.values()), default=0)
            seen = {genotype: {p - needs: c for p, c in weight.items()} for genotype, weight in seen.items()}
        if (founder.key, n) in self.questioned:
            seen = self._stated(founder, n, seen)
        tested = {genotype: times(weight, {0: self._tests(founder, n, genotype)}) for genotype, weight in seen.items()}
        return {genotype: weight for genotype, weight in tested.items() if weight}

    def orders_of(self, founder: Founder, n: int) -> dict[Ordered, int]:
        """The power of ε of each genotype that a founder's claims, look and error-free tests leave."""
        prior = founder_prior(self.loci[n], founder.claims, self.system, founder.sex)
        return {
            genotype: min(weight)
            for genotype, weight in as_seen(prior, founder.claims, founder.allowed[n]).items()
            if self._surely(founder, n, genotype)
        }

    def _surely(self, founder: Founder, n: int, genotype: Ordered) -> bool:
        tests = (test for test in founder.tests if test.trait in self.loci[n].alleles and not test.error)
        return all(genotype.count(test.trait) == test.copies for test in tests)

    def _stated(self, founder: Founder, n: int, seen: dict[Ordered, Polynomial]) -> dict[Ordered, Polynomial]:
        """Groups of one power get 1 - u, u (1 - u) and u², the last the rest, each shared by coefficients."""
        u = mpq(self.loci[n].unrecorded)
        groups: defaultdict[int, dict[Ordered, Fraction]] = defaultdict(dict)
        for genotype, weight in seen.items():
            if self._surely(founder, n, genotype):
                groups[min(weight)][genotype] = weight[min(weight)]
        shares = [1 - u, u * (1 - u), u * u][: len(groups)]
        shares[-1] = 1 - sum(shares[:-1], mpq())
        return {
            genotype: {0: share * coefficient / sum(group.values())}
            for share, (_, group) in zip(shares, sorted(groups.items()), strict=True)
            for genotype, coefficient in group.items()
        }

    def _claimed(self, founder: Founder, locus: Locus, genotype: Ordered) -> bool:
        """Whether a genotype agrees with all that is claimed for certain, of one allele or of several together."""
        shares = {
            claim.trait: claim.chance for claim in founder.claims if claim.chance and claim.trait in locus.alleles
        }
        one_of = sum(shares.values()) != 1 or not shares.keys().isdisjoint(genotype)
        return one_of and all(self._fits(founder, claim, locus, genotype) for claim in founder.claims)

    def _fits(self, founder: Founder, claim: Claim, locus: Locus, genotype: Ordered) -> bool:
        """Whether a genotype agrees with a claim, if the claim is one of certainty."""
        copies = genotype.count(claim.trait)
        if claim.trait not in locus.alleles:
            return True
        least = 2 if claim.two_copies == 1 else 1 if claim.chance == 1 or claim.two_copies is not None else 0
        if copies < least:
            return False
        phased = locus.crossover is not None and founder.sex == heterogametic(self.system)
        if phased and copies == 1 and claim.came_from is not None and claim.chance in (None, 1):
            return genotype[0 if claim.came_from == "sire" else 1] == claim.trait
        return True

    def _tests(self, unit: Founder | Egg, n: int, genotype: Ordered) -> Fraction:
        """The chance of the results of the tests at one locus; only an error-free one counts in what is possible."""
        known = (unit.key, n, genotype)
        if known not in self._tested:
            chance = mpq(1)
            for test in unit.tests:
                if test.trait in self.loci[n].alleles and (self.mode == "figures" or not test.error):
                    chance *= mpq(
                        chance_of_result(pair(*genotype), test.trait, test.copies, test.error, unit.allowed[n])
                    )
            self._tested[known] = chance
        return self._tested[known]

    def _egg_states(
        self, egg: Egg, group: Group, fixed_sire: str | None, fixed_sex: str | None, parents: dict[str, Genotypes]
    ) -> list[tuple[int, State, Fraction]]:
        linked = any(self.loci[n].crossover is not None for n in group)
        rows: defaultdict[tuple[int, State], Fraction] = defaultdict(mpq)
        for sire, chance in egg.sires:
            if fixed_sire not in (None, sire):
                continue
            sexes: Sequence[tuple[Sex | None, Fraction]] = self._sexes(egg, sire)
            sexes = [(sex, share) for sex, share in sexes if fixed_sex in (None, sex)]
            if sexes and not linked:
                sexes = [(None, ONE)]  # of which sex it is, is nothing to these loci
            for sex, share in sexes:
                weight = (chance if fixed_sire is None else 1) * (share if fixed_sex is None else 1)
                mates = None if sire == NONE else parents[sire]
                for power, found, passed in self._young(egg, group, mates, parents[egg.dam], sex):
                    rows[power, (sire, sex, found)] += weight * passed
        lowest = min((power for power, _ in rows), default=0)
        total = sum(weight for (power, _), weight in rows.items() if power == lowest)
        result = []
        for (power, (sire, its_sex, found)), weight in rows.items():
            if not egg.complete:
                weight /= total
            for n, genotype in zip(group, found, strict=True) if egg.tests else ():
                weight *= self._tests(egg, n, genotype)
            if weight:
                result.append((power, (sire, its_sex, found), weight))
        return result

    def _young(
        self, egg: Egg, group: Group, sire: Genotypes | None, dam: Genotypes, sex: Sex | None
    ) -> list[tuple[int, Genotypes, Fraction]]:
        """What the egg can be of given parents, as far as its looks leave it open."""
        known = (egg.allowed, group, sire, dam, sex)
        if known not in self._hatched:
            self._hatched[known] = list(self._hatching(egg, group, sire, dam, sex))
        return self._hatched[known]

    def _hatching(
        self, egg: Egg, group: Group, sire: Genotypes | None, dam: Genotypes, sex: Sex | None
    ) -> Iterator[tuple[int, Genotypes, Fraction]]:
        each = []
        for place, n in enumerate(group):
            young = self._young_at(n, sire[place] if sire else None, dam[place], sex)
            each.append([(power, found, share) for power, found, share in young if pair(*found) in egg.allowed[n]])
        for found in product(*each):
            weight = ONE
            for _, _, share in found:
                weight *= share
            yield sum(power for power, _, _ in found), tuple(genotype for _, genotype, _ in found), weight

    def _young_at(
        self, n: int, sire: Ordered | None, dam: Ordered, sex: Sex | None
    ) -> list[tuple[int, Ordered, Fraction]]:
        known = (n, sire, dam, sex)
        if known not in self._inherited:
            locus = self.loci[n]
            kept = HALF if self.mode != "figures" and not locus.kept else None
            chances = inherit(locus, self.system, sire, dam, sex, kept)
            found = [(0, genotype, share) for genotype, share in chances.items()]
            if sire is None and not locus.kept and self.mode == "figures" and dam[0] != dam[1]:
                found += _kept_after_all(locus, dam)
            self._inherited[known] = found
        return self._inherited[known]


@lru_cache(maxsize=16)
def _shared(loci: tuple[Locus, ...], system: System, mode: Mode) -> tuple[Founders, Eggs, Inherited]:
    """What founders and eggs can be, kept for all sums over these loci: at other moments most of them are as they were."""
    return {}, {}, {}


def _unnamed(rows: list[tuple[int, State, Fraction]]) -> list[tuple[int, State, Fraction]]:
    """The states without sire and sex, equal ones added up."""
    found: defaultdict[tuple[int, State], Fraction] = defaultdict(mpq)
    for power, (_, _, its), weight in rows:
        found[power, ("", None, its)] += weight
    return [(power, state, weight) for (power, state), weight in found.items()]


def _kept_after_all(locus: Locus, dam: Ordered) -> list[tuple[int, Ordered, Fraction]]:
    """What u → 0 leaves of u / (share of survivors), for either order of the pair."""
    one, two = dam
    living = sum((HALF for allele in dam if lives(locus, (allele, allele))), mpq())
    return [(KEPT, genotype, HALF / (living or 1)) for genotype in ((one, two), (two, one))]


def _fraction(share: Fraction) -> Fraction:
    return Fraction(int(share.numerator), int(share.denominator))


def _plus(one: Polynomial, two: Polynomial) -> Polynomial:
    total = {power: one.get(power, mpq()) + two.get(power, mpq()) for power in (one | two)}
    return {power: coefficient for power, coefficient in total.items() if coefficient}


def _groups(people: Population) -> tuple[Group, ...]:
    """Loci that must be summed together; see the module's notes on picked young."""
    loci = people.case.loci
    picked = [
        egg
        for egg in people.eggs.values()
        if not egg.complete and any(_informative(loci[n], egg.allowed[n]) for n in range(len(loci)))
    ]
    if any(egg.mixed and len(egg.sires) > 1 for egg in picked):
        return (tuple(range(len(loci))),)
    linked = tuple(n for n, locus in enumerate(loci) if locus.crossover is not None)
    single = tuple((n,) for n in range(len(loci)) if n not in linked)
    if any(egg.sex is None for egg in picked):
        return (*single, linked) if linked else single
    return tuple((n,) for n in range(len(loci)))


def _informative(locus: Locus, allowed: frozenset[Pair]) -> bool:
    return allowed != frozenset(genotype for genotype in genotypes(locus) if lives(locus, genotype))


def _schedule(people: Population) -> list[str]:
    """Founders just before their first use, eggs parents first."""
    order: list[str] = []
    for egg in people.eggs.values():
        order += [name for name in parents_of(egg) if name in people.founders and name not in order]
        order.append(egg.key)
    return order + [name for name in people.founders if name not in order]


def _needed(egg: Egg, fell: dict[str, str]) -> tuple[str, ...]:
    """Everyone who may be a parent of the egg as the doubts fell."""
    sire = fell.get(egg.clutch or egg.key)
    return parents_of(egg) if sire is None else tuple(name for name in parents_of(egg) if name in (sire, egg.dam))


def _last_use(people: Population, schedule: list[str], fell: dict[str, str]) -> dict[str, int]:
    """The step of the last egg that may need a unit as a parent; -1 where none does."""
    last = dict.fromkeys(schedule, -1)
    for egg in people.eggs.values():
        for name in _needed(egg, fell):
            unit = people.unit_of.get(name, name)
            last[unit] = max(last[unit], schedule.index(egg.key))
    return last
