"""Enumeration of every genotype of every animal: slow, exact and obvious; the check on the product's arithmetic.

Computes, for a case at a moment, P(genotypes, sires | looks, tests, claims) as the limit ε → 0, where ε is the
frequency of every mutant allele without claim or background among founders:

    weight = Π founders prior(ε) · Π doubts chance · Π eggs P(genotype | sire, dam, sex) · Π looks 0 or 1 · Π tests

Each weight is a polynomial in ε with `Fraction` coefficients; the lowest power that does not vanish in the sum over
all assignments, k, carries every figure. Each founder's polynomial is divided by the power that its own look needs,
so that k is the surprise. Founders in question (`in_question`) have stated weights in place of powers of ε.

How it is summed, and what picked young (incomplete records) mean, is told in `sum_assignments`.

Certainty asks which assignments are possible, not how likely they are: `possible` and `forced` let every founder have
any genotype, every fallible test be wrong and parthenogenesis keep a heterozygote.
Cost: exponential in everything; meant for nine animals and two loci.
"""

from __future__ import annotations

from collections import defaultdict
from datetime import date, timedelta
from fractions import Fraction
from functools import cached_property, lru_cache
from itertools import product

from msgspec.structs import replace
from tests.oracle.case import NONE, UNKNOWN, Animal, Case, Clutch, Look, Reading, Sex
from tests.oracle.claims_in_doubt import Doubted, in_doubt, trusting
from tests.oracle.in_question import in_question
from tests.oracle.inheritance import heterogametic, inherit
from tests.oracle.looks_of_genotypes import Pair, genotypes, look_of, looks_at, pair
from tests.oracle.population import Population, moment
from tests.oracle.sum_assignments import KEPT, Genotypes, Mode, NoFigure, Sum

MODES: tuple[Mode, ...] = ("figures", "evidence", "looks", "claims")
Outcome = tuple[Sex | None, tuple[str | None, ...]]  # the look at each locus, None where hidden


class Enumeration:
    """Every figure of a case at a moment: a day, a number of events, or (the default) now."""

    def __init__(
        self,
        case: Case,
        upto: int | date | None = None,
        questioned: frozenset[tuple[str, int]] | None = None,
        doubted: Doubted | None = None,
    ) -> None:
        self.case = case
        recorded = Population(case, moment(case, upto) if isinstance(upto, date) else upto)
        self._recorded = Sum(recorded, "evidence")
        self.doubted = in_doubt(recorded) if doubted is None and self._recorded.possible else doubted or frozenset()
        self.people = trusting(recorded, lambda founder, claim: (founder.key, claim.trait) in self.doubted)
        self._sums = {mode: Sum(self.people, mode) for mode in MODES}
        self._questioned = questioned

    @cached_property
    def questioned(self) -> frozenset[tuple[str, int]]:
        """The founders in question, each with the number of a locus."""
        return in_question(self.people, self._sums["figures"]) if self._questioned is None else self._questioned

    @cached_property
    def _figures(self) -> Sum:
        """The sum that figures are read off: the limit, but for founders in question."""
        return Sum(self.people, "figures", self.questioned) if self.questioned else self._sums["figures"]

    @property
    def conflict(self) -> bool:
        """No assignment fits at any order, claims of certainty held to be true and tests with an error set apart."""
        return not self._recorded.possible

    @property
    def kept(self) -> int:
        """The young that must have kept a heterozygosity which is said never to be kept."""
        return self._sums["figures"].order.power // KEPT

    @property
    def surprise(self) -> int:
        """k: the unrecorded allele copies that the evidence needs, above what founders' own looks need."""
        return self._sums["figures"].order.power % KEPT

    def surprise_at(self, locus: str) -> tuple[int, ...]:
        """The powers of ε at one locus in the assignments that carry the figures; several if the sire is in doubt."""
        return self._sums["figures"].powers_at(self._index(locus))

    @property
    def apart(self) -> bool:
        """Whether each locus is summed by itself, so that its powers are its own."""
        return all(len(group) == 1 for group in self._sums["figures"].groups)

    def genotypes(self, animal: str, locus: str) -> dict[Pair, Fraction]:
        """The chance of each genotype of an animal at a locus."""
        return {key[0]: chance for key, chance in self.joint(animal, (locus,)).items()}

    def joint(self, animal: str, loci: tuple[str, ...] | None = None) -> dict[tuple[Pair, ...], Fraction]:
        """The joint chance of an animal's genotypes at several loci (all of them by default)."""
        wanted = tuple(locus.name for locus in self.case.loci) if loci is None else loci
        indices = tuple(self._index(name) for name in wanted)
        unit = self.people.unit_of[animal]
        result: defaultdict[tuple[Pair, ...], Fraction] = defaultdict(Fraction)
        for ((_, _, found),), chance in self._figures.chances((unit,), indices).items():
            result[tuple(pair(*genotype) for genotype in found)] += chance
        return dict(result)

    def copies(self, animal: str, locus: str, allele: str) -> tuple[Fraction, Fraction, Fraction]:
        """The chances of no, one and two copies of an allele."""
        counts = [Fraction(0)] * 3
        for genotype, chance in self.genotypes(animal, locus).items():
            counts[genotype.count(allele)] += chance
        return counts[0], counts[1], counts[2]

    def carries(self, animal: str, locus: str, allele: str) -> Fraction:
        """The chance of at least one copy."""
        return 1 - self.copies(animal, locus, allele)[0]

    def sires(self, clutch: str) -> dict[str, Fraction]:
        """The chances of the sires of a clutch with one sire, after the evidence; `unknown` and `none` by name."""
        found = self._figures.doubts((clutch,))
        return {_sire_name(sire): chance for (sire,), chance in found.items() if chance}

    def egg_sires(self, animal: str) -> dict[str, Fraction]:
        """The chances of one hatchling's sires in a mixed clutch."""
        unit = self.people.unit_of[animal]
        found: defaultdict[str, Fraction] = defaultdict(Fraction)
        for ((sire, _, _),), chance in self._figures.chances((unit,), (), hidden=True).items():
            found[_sire_name(sire)] += chance
        return dict(found)

    def possible(self, animal: str, locus: str, *, claims: bool = False) -> frozenset[Pair]:
        """The genotypes in any assignment that looks, error-free tests and parentage allow; with `claims`, those of
        certainty are true as well. Empty if there is no such assignment."""
        unit = self.people.unit_of[animal]
        found = self._sums["claims" if claims else "looks"].support(unit, self._index(locus))
        return frozenset(pair(*genotype) for genotype in found)

    def forced(self, animal: str, locus: str, allele: str, *, claims: bool = False) -> bool:
        """True when every possible genotype has the allele."""
        found = self.possible(animal, locus, claims=claims)
        if not found:
            raise NoFigure("no assignment fits")
        return all(allele in genotype for genotype in found)

    def next_clutch(self, sire: str, dam: str, young: int) -> dict[tuple[Outcome, ...], Fraction]:
        """The chance of each set of looks (sorted) of the next clutch of so many hatchlings; `none` may be the sire."""
        units = tuple(self.people.unit_of[name] for name in (sire, dam) if name != NONE)
        loci = tuple(range(len(self.case.loci)))
        result: defaultdict[tuple[Outcome, ...], Fraction] = defaultdict(Fraction)
        for states, chance in self._figures.chances(units, loci).items():
            parents = [state[2] for state in states]
            one = self._one_egg(parents[0] if sire != NONE else None, parents[-1])
            clutch: dict[tuple[Outcome, ...], Fraction] = {(): chance}
            for _ in range(young):
                longer: defaultdict[tuple[Outcome, ...], Fraction] = defaultdict(Fraction)
                for (so_far, weight), (outcome, share) in product(clutch.items(), one.items()):
                    longer[tuple(sorted((*so_far, outcome), key=repr))] += weight * share
                clutch = dict(longer)
            for outcomes, weight in clutch.items():
                result[outcomes] += weight
        return dict(result)

    def _one_egg(self, sire: Genotypes | None, dam: Genotypes) -> dict[Outcome, Fraction]:
        """The looks of one egg of given parents, as they would be recorded."""
        linked = any(locus.crossover is not None for locus in self.case.loci)
        sexes: tuple[Sex | None, ...] = ("male", "female") if linked else (None,)
        if linked and sire is None:
            sexes = ("female" if heterogametic(self.case.system) == "male" else "male",)
        result: defaultdict[Outcome, Fraction] = defaultdict(Fraction)
        for sex in sexes:
            each = [
                inherit(locus, self.case.system, sire[n] if sire else None, dam[n], sex)
                for n, locus in enumerate(self.case.loci)
            ]
            for found in product(*(chances.items() for chances in each)):
                weight = Fraction(1, len(sexes))
                for _, share in found:
                    weight *= share
                looks = [look_of(locus, pair(*g)) for locus, (g, _) in zip(self.case.loci, found, strict=True)]
                result[sex, self._as_recorded([look or "" for look in looks])] += weight
        return dict(result)

    def _as_recorded(self, looks: list[str]) -> tuple[str | None, ...]:
        hidden: set[str] = set()
        waiting = [(locus, {look}) for locus, look in zip(self.case.loci, looks, strict=True)]
        while waiting:
            locus, open_looks = waiting.pop()
            for look, names in locus.hides:
                if look in open_looks:
                    for other in self.case.loci:
                        if other.name in names and other.name not in hidden:
                            hidden.add(other.name)
                            waiting.append((other, set(looks_at(other))))
        return tuple(None if locus.name in hidden else look for locus, look in zip(self.case.loci, looks, strict=True))

    def _index(self, name: str) -> int:
        return next(n for n, locus in enumerate(self.case.loci) if locus.name == name)


def with_clutch(case: Case, sire: str, dam: str, outcomes: tuple[Outcome, ...]) -> Case:
    """The case with one more complete clutch, hatched after everything else, that turned out so."""
    days = [clutch.hatched for clutch in case.clutches]
    days += [test.on for animal in case.animals for test in animal.tests]
    days += [reading.on for animal in case.animals for reading in animal.readings if reading.on]
    clutch = Clutch("C-next", ((sire, Fraction(1)),), dam, max(days, default=date(2020, 1, 1)) + timedelta(days=365))
    young = []
    for number, (sex, looks) in enumerate(outcomes):
        shows = tuple(look for look in looks if look)
        young.append(Animal(f"C-next-{number}", sex, (Reading(Look(shows)),), clutch="C-next"))
    return Case(case.loci, (*case.animals, *young), (*case.clutches, clutch), case.system)


def proves(
    case: Case, sire: str, dam: str, young: int, animal: str, locus: str, allele: str
) -> tuple[Fraction, Fraction | None]:
    """The chance that the next clutch forces the allele in the animal, and the chance that the animal carries it after
    a clutch in which no young shows the trait, or what none can while the animal has it (None where such a clutch cannot be)."""
    proved = none_shown = carried = Fraction(0)
    shown = {
        look
        for found in case.loci
        if found.name == locus
        for genotype in genotypes(found)
        if allele in genotype and (look := look_of(found, genotype))
    }
    before = Enumeration(case)

    def hatched(outcomes: tuple[Outcome, ...]) -> Enumeration:
        return Enumeration(with_clutch(case, sire, dam, outcomes), questioned=before.questioned, doubted=before.doubted)

    at = next(number for number, found in enumerate(case.loci) if found.name == locus)
    carried_with: dict[str, Fraction] = {}
    for (one,), chance in before.next_clutch(sire, dam, 1).items():
        if look := one[1][at]:
            carries = chance * hatched((one,)).carries(animal, locus, allele)
            carried_with[look] = carried_with.get(look, Fraction(0)) + carries
    shown |= {look for look, carries in carried_with.items() if not carries}
    for outcomes, chance in before.next_clutch(sire, dam, young).items():
        after = hatched(outcomes)
        if after.forced(animal, locus, allele):
            proved += chance
        if not any(look in shown for _, looks in outcomes for look in looks):
            none_shown += chance
            carried += chance * after.carries(animal, locus, allele)
    return proved, carried / none_shown if none_shown else None


def when_hatched(case: Case, animal: str) -> Enumeration:
    """The moment of an animal's hatching; for a founder, a case of its first look and its claims alone."""
    found = next(each for each in case.animals if each.id == animal)
    if found.founder:
        sex = Population(case).sex_of(animal)
        readings = tuple(Reading(reading.look) for reading in found.readings[:1])
        return Enumeration(Case(case.loci, (Animal(animal, sex, readings, found.claims),), (), case.system), 0)
    clutch = next((each for each in case.clutches if each.id == found.clutch), None)
    day = clutch.hatched if clutch else found.hatched
    if day is None:
        raise ValueError(f"{animal} has no day of hatching")
    return on_day(case, day)


@lru_cache(maxsize=16)
def on_day(case: Case, day: date) -> Enumeration:
    """The enumeration of what had happened up to a day, once for all that hatched on it; what hatched later is not in it."""
    people = Population(case)
    clutches = tuple(clutch for clutch in case.clutches if clutch.hatched <= day)
    laid = {clutch.id for clutch in clutches}
    animals = tuple(
        replace(animal, sex=people.sex_of(animal.id))
        for animal in case.animals
        if animal.founder or (animal.clutch in laid if animal.clutch else not animal.hatched or animal.hatched <= day)
    )
    return Enumeration(replace(case, animals=animals, clutches=clutches), day)


def _sire_name(key: str) -> str:
    return UNKNOWN if key.endswith(":sire") else key
