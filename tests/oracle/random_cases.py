"""Random small collections whose evidence is usually possible: true genotypes are drawn first, then shown or hidden.

`random_case(rng, features)` draws one case from any `random.Random`, so that a seed repeats it; `cases(features)` is the
same as a hypothesis strategy that shrinks. `Features` says what may occur: `BASIC` is known sires with claims, missing
looks, incomplete clutches and loops; `KINDS` adds one further kind each; `EVERYTHING` mixes them.

The cases keep to what the record format accepts: no claim on a shown trait, no look at a locus that another look hides.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from fractions import Fraction
from itertools import combinations
from random import Random
from typing import Literal, TypeVar

from hypothesis import strategies as st
from msgspec import Struct, field
from msgspec.structs import replace
from tests.oracle.case import (
    NONE,
    NORMAL,
    UNKNOWN,
    Animal,
    Case,
    Claim,
    Clutch,
    Inheritance,
    LabTest,
    Locus,
    Look,
    Parent,
    Reading,
    Sex,
    Tally,
)
from tests.oracle.inheritance import Ordered, heterogametic, inherit, lives
from tests.oracle.looks_of_genotypes import look_of, looks_at, pair, super_of

T = TypeVar("T")
ONE = Fraction(1)
CHANCES = (ONE, Fraction(2, 3), Fraction(1, 2), Fraction(1, 3))


class Features(Struct, frozen=True):
    """What a random case may contain. Each flag adds something that may occur, and need not."""

    animals: int = 8
    loci: int = 2
    inheritance: tuple[Inheritance, ...] = ("recessive", "incomplete dominant", "dominant")
    series: bool = True  # two alleles at a locus
    triple: bool = False  # or three
    lethal: bool = True
    claims: bool = True
    missing_looks: bool = True
    incomplete: bool = True
    unrecorded_clutches: bool = True  # with one parent missing or both known
    in_place: bool = False
    exclusive_claims: bool = False
    two_copies_claims: bool = False
    withdrawn: bool = False
    reread: bool = False
    tests: bool = False
    fallible_tests: bool = False
    background: bool = False
    unknown_sire: bool = False
    one_of: bool = False
    mixed: bool = False
    parthenogenesis: bool = False
    twins: bool = False
    tally: bool = False
    cannot_tell: bool = False
    subtle: bool = False
    hides: bool = False
    set_aside: bool = False
    sex_linked: bool = False
    came_from: bool = False
    unsexed: bool = True
    system: Literal["XY", "ZW", "either"] = "XY"
    mistakes: bool = False  # a look that is not the true one: conflicts and surprises


BASIC = Features()
KINDS: dict[str, Features] = {
    "basic": BASIC,
    "mistakes": replace(BASIC, mistakes=True),
    "parents in place": replace(BASIC, in_place=True),
    "claims": replace(BASIC, exclusive_claims=True, two_copies_claims=True, withdrawn=True),
    "looks": replace(BASIC, cannot_tell=True, subtle=True, hides=True, set_aside=True),
    "looks read again": replace(BASIC, reread=True),
    "tests": replace(BASIC, tests=True),
    "fallible tests": replace(BASIC, tests=True, fallible_tests=True),
    "background": replace(BASIC, background=True),
    "twins and tallies": replace(BASIC, twins=True, tally=True),
    "unknown sires": replace(BASIC, unknown_sire=True),
    "one of several sires": replace(BASIC, one_of=True, unknown_sire=True),
    "mixed sires": replace(BASIC, mixed=True, unknown_sire=True),
    "parthenogenesis": replace(BASIC, parthenogenesis=True, one_of=True, mixed=True),
    "sex-linked XY": replace(BASIC, sex_linked=True, came_from=True),
    "sex-linked ZW": replace(BASIC, sex_linked=True, came_from=True, system="ZW"),
    "sex-linked, sires in doubt": replace(BASIC, sex_linked=True, one_of=True, mixed=True, twins=True, system="either"),
}
EVERYTHING = Features(
    in_place=True,
    exclusive_claims=True,
    two_copies_claims=True,
    withdrawn=True,
    reread=True,
    tests=True,
    fallible_tests=True,
    background=True,
    unknown_sire=True,
    one_of=True,
    mixed=True,
    parthenogenesis=True,
    twins=True,
    tally=True,
    cannot_tell=True,
    subtle=True,
    hides=True,
    set_aside=True,
    sex_linked=True,
    came_from=True,
    system="either",
)


def cases(features: Features = BASIC) -> st.SearchStrategy[Case]:
    """Random cases as a hypothesis strategy."""
    return st.randoms(use_true_random=False).map(lambda rng: random_case(rng, features))


def random_case(rng: Random, features: Features = BASIC) -> Case:
    """One random case; the same generator state gives the same case."""
    return _Draw(rng, features).case()


class _Draw(Struct):
    """A collection that grows animal by animal, with the true genotypes beside it."""

    rng: Random
    features: Features
    system: Literal["XY", "ZW"] = "XY"
    loci: tuple[Locus, ...] = ()
    animals: list[Animal] = field(default_factory=list)
    clutches: list[Clutch] = field(default_factory=list)
    truth: dict[str, tuple[Ordered, ...]] = field(default_factory=dict)
    sexes: dict[str, Sex] = field(default_factory=dict)
    born: dict[str, date] = field(default_factory=dict)

    def case(self) -> Case:
        features = self.features
        self.system = self.pick(("XY", "ZW")) if features.system == "either" else features.system
        names = ("loc-a", "loc-b", "loc-c")[: self.rng.randint(1, features.loci)]
        self.loci = tuple(self.locus(name, names) for name in names)
        for number in range(self.rng.randint(2, 4)):
            self.founder(f"F-{number}", ("male", "female")[number] if number < 2 else self.pick(("male", "female")))
        day = date(2012, 7, 1)
        for number in range(self.rng.randint(1, 3)):
            if len(self.animals) < features.animals:
                self.family(number, day)
            day += timedelta(days=self.pick((366, 730, 731)))
        return self.hide()

    def chance(self, probability: float, *, allowed: bool = True) -> bool:
        return allowed and self.rng.randint(1, 100) <= 100 * probability

    def pick(self, items: Sequence[T]) -> T:
        return items[self.rng.randint(0, len(items) - 1)]

    def locus(self, name: str, names: Sequence[str]) -> Locus:
        features, letter = self.features, name[-1].upper()
        inheritance = self.pick(features.inheritance)
        alleles: tuple[str, ...] = (f"{letter}one",)
        if self.chance(0.35, allowed=features.series):
            alleles += (f"{letter}two",)
            if self.chance(0.5, allowed=features.triple):
                alleles += (f"{letter}three",)
        two_copies: list[tuple[str, str]] = []
        for allele in alleles:
            if inheritance != "recessive" and self.chance(0.2, allowed=features.lethal):
                two_copies.append((allele, "dies"))
            elif inheritance == "incomplete dominant":
                two_copies.append((allele, f"Super {allele}"))
        pair = alleles[0] if inheritance == "recessive" and letter == "B" else f"{letter}pair"
        together = tuple(
            (one, two, pair if len(alleles) == 2 else f"{one} {two}") for one, two in combinations(alleles, 2)
        )
        crossover = None
        if self.chance(0.7, allowed=features.sex_linked):
            crossover = self.pick((Fraction(1, 10), Fraction(1, 2), Fraction(0), Fraction(1, 3)))
        subtle: tuple[str, ...] = ()
        if inheritance != "recessive" and self.chance(0.4, allowed=features.subtle):
            subtle = (alleles[0],)
        hides: tuple[tuple[str, tuple[str, ...]], ...] = ()
        if name == "loc-a" and len(names) > 1 and self.chance(0.4, allowed=features.hides):
            visible = alleles[0] if inheritance != "incomplete dominant" else two_copies[0][1]
            hides = ((alleles[0] if visible == "dies" else visible, ("loc-b",)),)
        background: tuple[tuple[str, Fraction], ...] = ()
        if len(alleles) == 1 and self.chance(0.6, allowed=features.background):
            background = ((alleles[0], self.pick((Fraction(1, 20), Fraction(1, 5)))),)
        kept = self.pick((Fraction(1, 3), Fraction(1, 10), Fraction(0))) if features.parthenogenesis else Fraction(0)
        rare = self.pick((Fraction(1, 100), Fraction(1, 3)))
        trust = self.pick((Fraction(99, 100), Fraction(99, 100), Fraction(19, 20), Fraction(3, 5)))
        return Locus(
            name,
            inheritance,
            alleles,
            tuple(two_copies),
            together,
            crossover,
            subtle,
            hides,
            background,
            kept,
            rare,
            trust,
        )

    def grow(self, name: str, sex: Sex, genotypes: tuple[Ordered, ...], day: date) -> None:
        self.truth[name], self.sexes[name], self.born[name] = genotypes, sex, day

    def wild(self) -> tuple[Ordered, ...]:
        """The true genotypes of a founder, drawn with alleles common enough to meet."""
        found = []
        for locus in self.loci:
            genotype = (NORMAL, NORMAL)
            for _ in range(5):
                one, two = (self.pick((NORMAL, *locus.alleles)) for _ in range(2))
                if lives(locus, (one, two)):
                    genotype = (one, two)
                    break
            found.append(genotype)
        return tuple(found)

    def founder(self, name: str, sex: Sex) -> None:
        self.grow(name, sex, self.wild(), date(2000, 1, 1))
        look = self.look(name, seen=0.75)
        self.animals.append(Animal(name, sex, self.readings(look, None), self.claims(name, look)))

    def claims(self, name: str, look: Look) -> tuple[Claim, ...]:
        features, claims = self.features, []
        for n, locus in enumerate(self.loci):
            genotype, shown = self.truth[name][n], set(look.shows or ()) & looks_at(locus)
            seen = next((allele for allele in locus.alleles if allele in shown), "")
            dominant = locus.inheritance == "dominant" and seen
            phased = locus.crossover is not None and self.sexes[name] == heterogametic(self.system)
            came_from: Literal["sire", "dam"] | None = None
            held = [allele for allele in genotype if allele]
            if phased and len(held) == 1 and self.chance(0.5, allowed=features.came_from):
                came_from = "sire" if genotype[0] else "dam"
            if dominant and lives(locus, (seen, seen)) and self.chance(0.5, allowed=features.two_copies_claims):
                share = ONE if genotype == (seen, seen) and self.chance(0.3) else self.pick(CHANCES[1:])
                claims.append(Claim(seen, two_copies=share, withdrawn=self.withdrawal()))
            elif shown or not self.chance(0.6, allowed=features.claims):
                if came_from and held == [seen]:
                    claims.append(Claim(seen, came_from=came_from))
            elif len(locus.alleles) > 1 and self.chance(0.5, allowed=features.exclusive_claims):
                shares = self.pick(((1, 2, 1, 2), (1, 2, 1, 3), (1, 4, 1, 4)))
                one, two = Fraction(shares[0], shares[1]), Fraction(shares[2], shares[3])
                if one + two < 1 or any(genotype):
                    claims += [Claim(locus.alleles[0], one), Claim(locus.alleles[1], two)]
            else:
                allele = self.pick(held or locus.alleles)
                certain = allele in genotype and self.chance(0.5)
                share = ONE if certain else self.pick(CHANCES[1:])
                fits = came_from if held == [allele] else None
                claims.append(Claim(allele, share, came_from=fits, withdrawn=self.withdrawal()))
        return tuple(claims)

    def withdrawal(self) -> date | None:
        return date(2011 + self.rng.randint(0, 8), 3, 1) if self.chance(0.3, allowed=self.features.withdrawn) else None

    def look(self, name: str, seen: float) -> Look:
        """What a careful eye writes down of an animal: true, but perhaps not everything."""
        features = self.features
        if not self.chance(seen) and features.missing_looks:
            return Look()
        true = [look_of(locus, pair(*g)) or "" for locus, g in zip(self.loci, self.truth[name], strict=True)]
        if features.mistakes and self.chance(0.25):
            n = self.rng.randint(0, len(self.loci) - 1)
            true[n] = self.pick(sorted(looks_at(self.loci[n])))
        shows, without, untold = [], [], []
        hidden: set[str] = set()
        for locus, look in zip(self.loci, true, strict=True):
            if locus.name in hidden:
                continue
            double = next((two for two, one in super_of(locus).items() if look in (one, two)), None)
            if self.chance(0.15, allowed=features.cannot_tell):
                if double and (self.chance(0.6) or look in dict(locus.hides)):
                    shows.append(super_of(locus)[double])
                    untold.append(double)
                    hidden |= {name for seen_as, names in locus.hides if seen_as in (look, double) for name in names}
                else:
                    untold.append(locus.alleles[0])
                    hidden |= {name for seen_as, names in locus.hides if seen_as in locus.alleles for name in names}
                continue
            if look in locus.subtle and self.chance(0.4):
                continue
            if look:
                shows.append(look)
            elif locus.subtle and self.chance(0.4):
                without.append(locus.subtle[0])
            hidden |= {name for seen_as, names in locus.hides if seen_as == look for name in names}
        return Look(tuple(shows), tuple(without), tuple(untold))

    def readings(self, look: Look, born: date | None) -> tuple[Reading, ...]:
        """One undated reading, or an earlier one that was read again."""
        if look.shows is None:
            return ()
        if self.chance(0.3, allowed=self.features.reread):
            first = self.pick([Look(()), Look(()), look])
            day = (born or date(2010, 1, 1)) + timedelta(days=self.pick((0, 0, 400)))
            return Reading(first, day), Reading(look, day + timedelta(days=self.pick((30, 800, 1600))))
        return (Reading(look),)

    def family(self, number: int, day: date) -> None:
        grown = [name for name, born in self.born.items() if born < day and name in {a.id for a in self.animals}]
        males = [name for name in grown if self.sexes[name] == "male"]
        females = [name for name in grown if self.sexes[name] == "female"]
        room = self.features.animals - len(self.animals)
        if self.chance(0.25, allowed=self.features.unrecorded_clutches):
            self.single(f"S-{number}", males, females, day)
            return
        # The newest animals are preferred now and then, so that backcrosses and sib matings are common.
        dam = females[-1] if self.chance(0.5) else self.pick(females)
        sires, mixed = self.sires(males)
        dead_end = sires == ((NONE, ONE),)
        clutch = Clutch(f"C-{number}", sires, dam, day, mixed)
        if not self.chance(0.7) and self.features.incomplete:
            clutch = replace(clutch, complete=self.chance(0.5))
            if clutch.complete:
                clutch = replace(clutch, to_sort=self.rng.randint(1, 2))
        if self.chance(0.15, allowed=self.features.set_aside):
            clutch = replace(clutch, set_aside=(self.pick(self.loci).name,))
        self.hatch(clutch, min(room, self.rng.randint(1, 3 if dead_end or mixed else 4)))

    def sires(self, males: list[str]) -> tuple[tuple[tuple[str, Fraction], ...], bool]:
        features = self.features
        newest = males[-1] if self.chance(0.5) else self.pick(males)
        names: list[str] = [newest]
        few = sum(len(clutch.sires) > 1 for clutch in self.clutches) < 2
        doubt = self.chance(0.7, allowed=few and (features.one_of or features.mixed))
        others = [name for name in males if name != newest]
        if features.unknown_sire:
            others.append(UNKNOWN)
        parthenogenetic = features.parthenogenesis and not (
            self.system == "ZW" and any(locus.crossover is not None for locus in self.loci)
        )
        if parthenogenetic:
            others.append(NONE)
        if doubt and others:
            names.append(self.pick(others))
            share = self.pick((Fraction(1, 2), Fraction(4, 5), Fraction(1, 3)))
            mixed = features.mixed and (not features.one_of or self.chance(0.5))
            return ((names[0], share), (names[1], 1 - share)), mixed
        if self.chance(0.3, allowed=features.unknown_sire):
            names = [UNKNOWN]
        elif self.chance(0.4, allowed=parthenogenetic):
            names = [NONE]
        return ((names[0], ONE),), False

    def hatch(self, clutch: Clutch, young: int) -> None:
        unknown = self.wild()
        shared = self.draw(clutch.sires)
        tallies: list[Tally] = []
        for number in range(young):
            name = f"{clutch.id}-{number}"
            sire = self.draw(clutch.sires) if clutch.mixed else shared
            sex: Sex = self.pick(("male", "female"))
            if sire == NONE:
                sex = "female" if self.system == "XY" else "male"
            self.grow(
                name,
                sex,
                self.child(unknown if sire == UNKNOWN else self.truth.get(sire), clutch.dam, sex),
                clutch.hatched,
            )
            look = self.look(name, seen=0.85)
            if look.shows is not None and self.chance(0.25, allowed=self.features.tally):
                tallies.append(Tally(self.rng.randint(1, 2) if not clutch.mixed else 1, look, sex))
                continue
            self.animals.append(Animal(name, sex, self.readings(look, clutch.hatched), clutch=clutch.id))
            if self.chance(0.2, allowed=self.features.twins) and len(self.animals) < self.features.animals:
                twin = f"{name}T"
                self.grow(twin, sex, self.truth[name], clutch.hatched)
                readings = self.readings(self.look(twin, seen=0.5), clutch.hatched)
                self.animals.append(Animal(twin, sex, readings, clutch=clutch.id, same_egg_as=name))
        self.clutches.append(replace(clutch, tally=tuple(tallies)))

    def child(self, sire: tuple[Ordered, ...] | None, dam: str, sex: Sex) -> tuple[Ordered, ...]:
        found = []
        for n, locus in enumerate(self.loci):
            kept = locus.kept or Fraction(1, 5)  # what is said never to be kept may be kept all the same
            chances = inherit(locus, self.system, sire[n] if sire else None, self.truth[dam][n], sex, kept)
            found.append(self.draw(tuple(chances.items())))
        return tuple(found)

    def draw(self, shares: Sequence[tuple[T, Fraction]]) -> T:
        """One of several with its chance."""
        point = Fraction(self.rng.randint(0, 999), 1000)
        for item, share in shares:
            if point < share:
                return item
            point -= share
        return shares[-1][0]

    def single(self, name: str, males: list[str], females: list[str], day: date) -> None:
        """A young whose clutch is not on record, with a parent missing or written in place now and then."""
        sex: Sex = self.pick(("male", "female"))
        parents: list[str | Parent | None] = []
        for role, known in (("sire", males), ("dam", females)):
            if self.chance(0.7):
                parents.append(self.pick(known))
            elif self.chance(0.6, allowed=self.features.in_place):
                key = f"{name}:{role}"
                self.grow(key, "male" if role == "sire" else "female", self.wild(), date(2000, 1, 1))
                look = self.look(key, seen=0.7)
                claims = tuple(replace(claim, withdrawn=None) for claim in self.claims(key, look))
                parents.append(Parent(look, claims))
            else:
                parents.append(None)
        if not any(parents):
            parents[0] = self.pick(males)
        truth = [
            self.truth[parent] if isinstance(parent, str) else self.truth.get(f"{name}:{role}") or self.wild()
            for parent, role in zip(parents, ("sire", "dam"), strict=True)
        ]
        self.truth[f"{name}:its dam"] = truth[1]
        self.grow(name, sex, self.child(truth[0], f"{name}:its dam", sex), day)
        readings = self.readings(self.look(name, seen=0.85), day)
        self.animals.append(Animal(name, sex, readings, sire=parents[0], dam=parents[1], hatched=day))

    def hide(self) -> Case:
        """The case with its tests, and with the sex untold of some animals that never bred."""
        parents = {name for clutch in self.clutches for name, _ in clutch.sires} | {c.dam for c in self.clutches}
        parents |= {
            parent for animal in self.animals for parent in (animal.sire, animal.dam) if isinstance(parent, str)
        }
        linked = sum(locus.crossover is not None for locus in self.loci)
        untold = 3 if linked > 1 else len(self.animals)
        shown = []
        for animal in self.animals:
            tests: list[LabTest] = []
            for n, locus in enumerate(self.loci):
                while self.chance(0.15 if not tests else 0.3, allowed=self.features.tests and len(tests) < 3):
                    tests.append(self.test(animal.id, n, locus))
            sex = animal.sex
            if animal.id not in parents and self.chance(0.5, allowed=self.features.unsexed and untold > 0):
                sex = None
                untold -= 1
            shown.append(replace(animal, sex=sex, tests=tuple(tests)))
        clutches = []
        for clutch in self.clutches:
            rows = list(clutch.tally)
            for place, row in enumerate(rows if self.features.unsexed else ()):
                if linked < 2 or untold >= row.count:
                    rows[place] = replace(row, sex=None)
                    untold -= row.count
            clutches.append(replace(clutch, tally=tuple(rows)))
        return Case(self.loci, tuple(_twins_agree(shown)), tuple(clutches), self.system)

    def test(self, name: str, n: int, locus: Locus) -> LabTest:
        allele = self.pick(locus.alleles)
        copies = self.truth[name][n].count(allele)
        error = Fraction(0)
        if self.chance(0.7, allowed=self.features.fallible_tests):
            error = self.pick((Fraction(1, 10), Fraction(1, 100)))
            copies = self.rng.randint(0, 2) if self.chance(0.2) else copies
        on = self.born[name] + timedelta(days=self.pick((10, 700, 1500)))
        return LabTest(allele, copies, on, error, self.pick(("", "", "Lab A")))


def _twins_agree(animals: list[Animal]) -> list[Animal]:
    """Identical twins are of one sex: both told or both untold."""
    told = {animal.id: animal.sex for animal in animals}
    for animal in animals:
        if animal.same_egg_as is not None and (told[animal.id] or told[animal.same_egg_as]):
            told[animal.same_egg_as] = told[animal.id] = told[animal.id] or told[animal.same_egg_as]
    return [replace(animal, sex=told[animal.id]) for animal in animals]
