"""Invented collections the size of a breeder's life, with the truth kept beside: for benchmarks, a peer and calibration.

Makes      a `Collection` (values only, no files) and the true genotype of every animal in it.
Life       projects start with founders and buy in more. Each season females of three years and males of eighteen months are paired, the
           clutches hatch, some young are held back, the rest are sold. Daughters go back to their sires, sibs to each other.
Choices    pairings and holdbacks look at what the breeder can see: looks, what sellers said and a rough running estimate made of both.
           They never look at a true genotype, so that figures made from the records should come true as often as they say.
Truth      founders are drawn from what is stated of them: one copy with the chance that is claimed; two copies where a recessive shows;
           else nothing, or each allele by the background frequency where the locus has one. Young are drawn by Mendel's rules, written
           here anew: no code is shared with what is checked.
Picked     of an incomplete clutch a fixed number is recorded, each for a look decided beforehand among those that its parents can surely
           give by the records: eggs are drawn until one has it. So its look tells of the young and, as the method says, not of its parents.
Clutches   about 7 eggs, of which 81 % hatch: Morrill et al. 2011, Herpetol Rev 42:226-231 (ball python).
Cost       about a second for 5,000 animals at twelve loci. The same seed gives the same collection.

>>> one = generate(Shape(animals=40, loci=2), seed=1)
>>> len(one.collection.animals), one.collection == generate(Shape(animals=40, loci=2), seed=1).collection
(40, True)
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from random import Random
from typing import Literal

from msgspec import Struct, field

from clutchlight.model import (
    Animal,
    Claim,
    Clutch,
    Collection,
    Genotype,
    Inheritance,
    LabTest,
    Locus,
    Look,
    Reading,
    Recorded,
    Settings,
    Sex,
    SexLinkage,
    Sires,
    Species,
    When,
)
from clutchlight.problems import Place

Regime = Literal["separate projects", "mated at random"]
Gene = tuple[int, int]
"""(position of the locus, allele number)."""

SPECIES = "ball-python"
HERE = Place("generated")
FIRST_YEAR = 2008
SEASONS = 12
HATCH_RATE = 0.81
EGGS = (4, 5, 6, 6, 7, 7, 7, 8, 8, 9, 10)
TOLD = (Fraction(1), Fraction(1), Fraction(2, 3), Fraction(1, 2), Fraction(1, 3), Fraction(1, 4))
"""What sellers say of a possible het: certain, 66 %, 50 % and less."""


class Shape(Struct, frozen=True):
    """What a collection is like. Shares are of clutches, or of young for `unsexed`, `unseen` and `tested`.

    `kinds` of locus, taken in turn: "r" recessive, "i" incomplete dominant, "a" two recessive alleles that meet, "x" recessive on
    the sex chromosomes. `borrowed`: clutches sired by a male of another project. `error`: of the lab tests. `background`: frequency of
    the allele at each recessive locus among founders of whom nothing is claimed there.

    Where the method's assumptions do not hold: shares of claims of certainty that are `false_claims`; of founders that carry a recessive
    of which nothing is on record, for each allele, `unrecorded`; of looks that are `misread`, where a parent or clutch mate has another at
    the locus, for that one; of clutches by another male than recorded, `wrong_sires`; of eggs with two copies of a recessive
    that fail besides, `visuals_lost`.
    """

    animals: int = 5000
    loci: int = 12
    regime: Regime = "separate projects"
    kinds: str = "rrrrirrrrria"
    in_doubt: float = 0.0
    mixed: float = 0.0
    incomplete: float = 0.0
    unsexed: float = 0.2
    unseen: float = 0.02
    tested: float = 0.0
    error: Fraction = Fraction(0)
    borrowed: float = 0.03
    crossover: Fraction = Fraction(1, 20)
    background: Fraction = Fraction(0)
    project_animals: int = 500
    false_claims: float = 0.0
    unrecorded: float = 0.0
    misread: float = 0.0
    wrong_sires: float = 0.0
    visuals_lost: float = 0.0


class Generated(Struct, frozen=True):
    """A collection and what is true of it: `truth[animal][locus key]` where it is not normal, `sired_by[animal]` for the young."""

    collection: Collection
    truth: Mapping[str, Mapping[str, Genotype]]
    sired_by: Mapping[str, str]

    def genotype(self, animal: str, locus: str) -> Genotype:
        return self.truth[animal].get(locus, (0, 0))

    def carries(self, animal: str, locus: str, allele: int) -> bool:
        return allele in self.genotype(animal, locus)


class Snake(Struct):
    """An animal while the collection is being made. `pairs`: by locus position, (X or sire's allele, Y or dam's allele)."""

    id: str
    sex: Literal["male", "female"]
    year: int
    pairs: dict[int, tuple[int, int]]
    shares: dict[Gene, float]
    sire: str | None = None
    dam: str | None = None
    clutch: str | None = None
    told: tuple[tuple[Gene, Fraction], ...] = ()
    sexed: bool = True
    seen: bool = True
    tests: list[LabTest] = field(default_factory=list)
    clutches: int = 0
    misread: dict[int, Look] = field(default_factory=dict)


class Project(Struct):
    """The animals kept together for some genes."""

    goals: tuple[Gene, ...]
    males: list[Snake] = field(default_factory=list)
    females: list[Snake] = field(default_factory=list)


def loci_of(shape: Shape) -> tuple[Locus, ...]:
    """The loci of the invented species, named by number and kind."""
    found = []
    for number in range(shape.loci):
        kind = shape.kinds[number % len(shape.kinds)]
        name = f"Trait {number + 1}"
        inheritance = Inheritance.INCOMPLETE_DOMINANT if kind == "i" else Inheritance.RECESSIVE
        alleles = (f"{name} One", f"{name} Two") if kind == "a" else (name,)
        linked = SexLinkage(shape.crossover) if kind == "x" else None
        background = {name: shape.background} if shape.background and kind in "rx" else {}
        key = f"trait-{number + 1:02d}"
        found.append(Locus(SPECIES, key, inheritance, alleles, sex_linked=linked, background=background))
    return tuple(found)


def generate(shape: Shape, seed: int) -> Generated:
    """An invented collection of exactly `shape.animals` animals."""
    return _Breeder(shape, seed).collection()


class _Breeder:
    def __init__(self, shape: Shape, seed: int) -> None:
        self.shape = shape
        self.random = Random(seed)
        self.loci = loci_of(shape)
        self.genes = [(n, a + 1) for n, locus in enumerate(self.loci) for a in range(len(locus.alleles))]
        self.snakes: list[Snake] = []
        self.clutches: list[Clutch] = []
        self.sired_by: dict[str, str] = {}
        at_random = shape.regime == "mated at random"
        count = 1 if at_random else max(1, round(shape.animals / shape.project_animals))
        self.each_season = max(3, round(shape.animals / (5.4 * SEASONS * count)))
        goals = [tuple(self.genes) if at_random else self._goals(index) for index in range(count)]
        self.projects = [Project(one) for one in goals]

    def _goals(self, index: int) -> tuple[Gene, ...]:
        loci = tuple((3 * index + step) % len(self.loci) for step in range(min(3, len(self.loci))))
        return tuple(gene for gene in self.genes if gene[0] in loci)

    # -- the years -----------------------------------------------------------------------------------------------------

    def collection(self) -> Generated:
        for project in self.projects:
            for _ in range(max(8, 3 * self.each_season // 2)):
                self._buy(project, FIRST_YEAR - 3)
        year = FIRST_YEAR
        while self.room:
            for project in self.projects:
                self._season(project, year)
            year += 1
        return self._recorded()

    @property
    def room(self) -> int:
        return self.shape.animals - len(self.snakes)

    def _season(self, project: Project, year: int) -> None:
        for _ in range(1 + self.each_season // 12):
            if self.random.random() < 0.6:
                self._buy(project, year - 3)
        ready = [f for f in project.females if f.year <= year - 3 and self.random.random() < 0.75]
        males = [m for m in project.males if m.year <= year - 2]
        ready.sort(key=lambda f: (-self._worth(f, project), f.id))
        young: list[Snake] = []
        for dam in ready[: self.each_season]:
            if not males or not self.room:
                break
            mates = self._mates(project, dam, males, year)
            young += self._clutch(mates, dam, year, [male for male in males if male not in mates])
        self._hold_back(project, young, year)

    def _mates(self, project: Project, dam: Snake, males: list[Snake], year: int) -> list[Snake]:
        """The male chosen for a female, and a second one where the breeder used two."""
        if self.shape.regime == "mated at random":
            order = self.random.sample(males, min(2, len(males)))
        else:
            visiting = [m for p in self.projects if p is not project for m in p.males if m.year <= year - 2]
            if visiting and self.random.random() < self.shape.borrowed:
                return [self.random.choice(visiting)]
            scored = [(self._promise(m, dam, project) + 0.3 * self.random.random(), m.id, m) for m in males]
            order = [m for _, _, m in sorted(scored, reverse=True)]
        return order[:2]

    def _promise(self, sire: Snake, dam: Snake, project: Project) -> float:
        return sum(
            a * b + 0.1 * (a + b)
            for a, b in ((sire.shares.get(gene, 0.0), dam.shares.get(gene, 0.0)) for gene in project.goals)
        )

    def _worth(self, snake: Snake, project: Project) -> float:
        return sum(snake.shares.get(gene, 0.0) for gene in project.goals)

    def _hold_back(self, project: Project, young: list[Snake], year: int) -> None:
        """Keeps the most promising of the year's sexed young and some at a whim, and lets the oldest and least promising go."""
        whim = 2.0 if self.shape.regime == "mated at random" else 0.6
        scored = [(self._worth(s, project) + whim * self.random.random(), s.id, s) for s in young if s.sexed and s.seen]
        best = [s for _, _, s in sorted(scored, reverse=True)]
        females = [s for s in best if s.sex == "female"][: max(2, self.each_season // 3)]
        males = [s for s in best if s.sex == "male"][: max(1, self.each_season // 8)]
        project.females = self._kept(project, project.females + females, max(5, 2 * self.each_season), year)
        project.males = self._kept(project, project.males + males, max(3, self.each_season // 2), year)

    def _kept(self, project: Project, snakes: list[Snake], most: int, year: int) -> list[Snake]:
        def order(snake: Snake) -> tuple[float, str]:
            return self._worth(snake, project) - 0.12 * max(0, year - snake.year - 4) - 0.1 * snake.clutches, snake.id

        return sorted(snakes, key=order, reverse=True)[:most]

    # -- founders ------------------------------------------------------------------------------------------------------

    def _buy(self, project: Project, year: int) -> None:
        """A founder: a visual of one of the project's genes, a het on somebody's word, or a normal animal."""
        if not self.room:
            return
        sex: Literal["male", "female"] = "male" if self.random.random() < 0.35 else "female"
        if not project.males:
            sex = "male"
        gene = self.random.choice(project.goals)
        told: list[tuple[Gene, Fraction]] = []
        pairs: dict[int, tuple[int, int]] = {}
        draw = self.random.random()
        incomplete = self.loci[gene[0]].inheritance is Inheritance.INCOMPLETE_DOMINANT
        if draw < 0.25 and incomplete:
            pairs[gene[0]] = self.random.choice(((0, gene[1]), (gene[1], 0)))
        elif draw < 0.25:
            pairs[gene[0]] = (gene[1], gene[1])
        elif draw < 0.85 and not incomplete:
            told.append((gene, self.random.choice(TOLD)))
        while self.random.random() < 0.5:
            other = self.random.choice(project.goals if self.random.random() < 0.8 else self.genes)
            spoken_of = {gene[0], *(locus for (locus, _), _ in told)}
            if other[0] not in spoken_of and self.loci[other[0]].inheritance is Inheritance.RECESSIVE:
                told.append((other, self.random.choice(TOLD)))
        shares: dict[Gene, float] = {}
        for (locus, allele), chance in told:
            wrong = chance == 1 and self._happens(self.shape.false_claims)
            if not wrong and self.random.randrange(chance.denominator) < chance.numerator:
                pairs[locus] = self.random.choice(((0, allele), (allele, 0)))
            shares[locus, allele] = float(chance) / 2
        self._add_background(pairs, {locus for (locus, _), _ in told})
        self._add_unrecorded(pairs, {locus for (locus, _), _ in told})
        number = len(self.snakes) + 1
        snake = Snake(f"F{number:05d}", sex, year, pairs, shares, told=tuple(told))
        self._look_at(snake)
        self.snakes.append(snake)
        (project.males if sex == "male" else project.females).append(snake)

    def _add_background(self, pairs: dict[int, tuple[int, int]], claimed: set[int]) -> None:
        """What a founder carries where nothing is said of it, at loci with a background frequency."""
        for number, locus in enumerate(self.loci):
            if number not in pairs and number not in claimed:
                for frequency in locus.background.values():
                    own = (int(self.random.random() < frequency), int(self.random.random() < frequency))
                    if any(own):
                        pairs[number] = own

    def _add_unrecorded(self, pairs: dict[int, tuple[int, int]], claimed: set[int]) -> None:
        for locus, allele in self.genes:
            recessive = self.loci[locus].inheritance is Inheritance.RECESSIVE
            if recessive and locus not in pairs and locus not in claimed and self._happens(self.shape.unrecorded):
                pairs[locus] = self.random.choice(((0, allele), (allele, 0)))

    def _happens(self, share: float) -> bool:
        """Draws nothing where it never happens, so that other worlds stay as they are."""
        return share > 0 and self.random.random() < share

    # -- clutches ------------------------------------------------------------------------------------------------------

    def _clutch(self, used: list[Snake], dam: Snake, year: int, others: Sequence[Snake] = ()) -> list[Snake]:
        number = f"C{year}-{len(self.clutches) + 1:05d}"
        eggs = self.random.choice(EGGS)
        hatched = min(sum(self.random.random() < HATCH_RATE for _ in range(eggs)), self.room)
        draw = self.random.random()
        sires = Sires("one", ((Recorded(used[0].id), Fraction(1)),))
        if len(used) > 1 and draw < self.shape.in_doubt + self.shape.mixed:
            weight = self.random.choice((Fraction(1, 2), Fraction(2, 3), Fraction(4, 5)))
            kind: Literal["one of", "mixed"] = "one of" if draw < self.shape.in_doubt else "mixed"
            sires = Sires(kind, ((Recorded(used[0].id), weight), (Recorded(used[1].id), 1 - weight)))
        chosen = self._drawn(used, sires)
        if others and self._happens(self.shape.wrong_sires):
            chosen = self.random.choice(others)

        def father() -> Snake:
            return self._drawn(used, sires) if sires.kind == "mixed" else chosen

        candidates = used[: len(sires.candidates)]
        picked_for = self._sure_looks(candidates, dam) if self.random.random() < self.shape.incomplete else None
        complete = picked_for is None
        day = When.day(date(year, 7, 1 + len(self.clutches) % 28))
        young: list[Snake] = []
        for place in range(hatched):
            sire = father()
            snake = self._young(f"Y{len(self.snakes) + 1:05d}", sire, dam, year)
            if picked_for is not None and snake.seen:
                sire, snake = self._picked(snake, sire, picked_for, father, dam)
            if any(self._doubled(snake)) and self._happens(self.shape.visuals_lost):
                continue
            snake.clutch = number
            snake.sire = sires.certain
            if complete or place % 2 == 0:
                self.snakes.append(snake)
                self.sired_by[snake.id] = sire.id
                self._misread(snake, [*candidates, dam, *young])
                young.append(snake)
                self._estimate(snake, used[0] if sires.kind == "one" else None, dam, sires, used)
                self._test(snake, year)
        dam.clutches += 1
        for sire in used[: len(sires.candidates)]:
            sire.clutches += 1
        if sires.kind == "one" and complete:
            self._learn(used[0], dam, young)
        self.clutches.append(
            Clutch(
                number,
                SPECIES,
                HERE,
                sires,
                dam.id,
                eggs=eggs if complete else None,
                went_bad=eggs - len(young) if complete else 0,
                hatched=day,
                young=tuple(snake.id for snake in young),
                complete=complete,
            )
        )
        return young

    def _doubled(self, snake: Snake) -> Iterator[int]:
        """The recessive loci at which it has two mutant alleles."""
        for locus, pair in snake.pairs.items():
            if all(pair) and self.loci[locus].inheritance is Inheritance.RECESSIVE:
                yield locus

    def _drawn(self, used: list[Snake], sires: Sires) -> Snake:
        draw = self.random.random()
        return used[1] if len(sires.candidates) > 1 and draw >= float(sires.candidates[0][1]) else used[0]

    def _young(self, ident: str, sire: Snake, dam: Snake, year: int) -> Snake:
        sex: Literal["male", "female"] = "male" if self.random.random() < 0.5 else "female"
        pairs: dict[int, tuple[int, int]] = {}
        for locus in dict.fromkeys((*sire.pairs, *dam.pairs)):
            own = (self._from_sire(sire, locus, sex), self.random.choice(dam.pairs.get(locus, (0, 0))))
            if own != (0, 0):
                linked_son = self.loci[locus].sex_linked is not None and sex == "male"
                pairs[locus] = (own[1], own[0]) if linked_son else own
        return Snake(
            ident,
            sex,
            year,
            pairs,
            {},
            dam=dam.id,
            sexed=self.random.random() >= self.shape.unsexed,
            seen=self.random.random() >= self.shape.unseen,
        )

    def _sure_looks(self, sires: list[Snake], dam: Snake) -> list[list[tuple[str, ...]]] | None:
        """For each locus the looks that a young can have whichever candidate is its sire, as far as is sure; None: at some locus none."""
        found = []
        for number, locus in enumerate(self.loci):
            of_each = [
                {
                    tuple(sorted(locus.look_of[min(a, b), max(a, b)]))
                    for a in self._surely_passes(sire, number)
                    for b in self._surely_passes(dam, number)
                }
                for sire in sires
            ]
            found.append(sorted(set.intersection(*of_each)))
        return found if all(found) else None

    def _surely_passes(self, parent: Snake, locus: int) -> set[int]:
        """The alleles that a parent can pass on as its look and what is proven of it say; parents have been seen."""
        pair = parent.pairs.get(locus, (0, 0))
        if self.loci[locus].look_of[min(pair), max(pair)]:
            return set(pair)
        return {0, *(allele for (at, allele), share in parent.shares.items() if at == locus and share == 0.5)}

    def _picked(
        self,
        first: Snake,
        sire: Snake,
        looks: list[list[tuple[str, ...]]],
        father: Callable[[], Snake],
        dam: Snake,
    ) -> tuple[Snake, Snake]:
        """An egg with a look decided beforehand, of the first one's sex where that was told, and its sire."""
        wanted = tuple(name for at_locus in looks for name in self.random.choice(at_locus))
        snake = first
        for _ in range(100_000):
            if self._shows(snake) == wanted and (snake.sex == first.sex or not first.sexed):
                snake.sexed, snake.seen = first.sexed, True
                return sire, snake
            sire = father()
            snake = self._young(first.id, sire, dam, first.year)
        raise ValueError(f"{first.id}: no egg looks {wanted}")

    def _from_sire(self, sire: Snake, locus: int, to: Sex) -> int:
        """A male's allele; on the sex chromosomes a son gets what stands on the Y but for crossing over, a daughter the other."""
        pair = sire.pairs.get(locus, (0, 0))
        linkage = self.loci[locus].sex_linked
        if linkage is None or linkage.crossover is None:
            return self.random.choice(pair)
        crossed = self.random.random() < float(linkage.crossover)
        return pair[1] if (to == "male") != crossed else pair[0]

    # -- what the breeder makes of it ----------------------------------------------------------------------------------

    def _shows(self, snake: Snake) -> tuple[str, ...]:
        return tuple(name for locus in range(len(self.loci)) for name in sorted(self._look(snake, locus)))

    def _look(self, snake: Snake, locus: int) -> Look:
        """What is read at a locus."""
        pair = snake.pairs.get(locus, (0, 0))
        return snake.misread.get(locus, self.loci[locus].look_of[min(pair), max(pair)])

    def _misread(self, snake: Snake, family: list[Snake]) -> None:
        """Takes some looks for others of the family."""
        for locus in range(len(self.loci)) if self.shape.misread and snake.seen else ():
            others = {self._look(one, locus) for one in family if one.seen} - {self._look(snake, locus)}
            if others and self._happens(self.shape.misread):
                snake.misread[locus] = self.random.choice(sorted(others, key=sorted))

    def _look_at(self, snake: Snake) -> None:
        """What a look settles: both copies of a recessive that shows, the copies of an incomplete dominant."""
        if not snake.seen:
            return
        for locus, pair in snake.pairs.items():
            if locus not in snake.misread and self.loci[locus].look_of[min(pair), max(pair)]:
                for allele in pair:
                    if allele:
                        snake.shares[locus, allele] = pair.count(allele) / 2

    def _estimate(self, snake: Snake, sire: Snake | None, dam: Snake, sires: Sires, used: list[Snake]) -> None:
        """A rough chance that the animal passes each gene on: the parents' multiplied, as one does in one's head."""
        genes = dict.fromkeys(gene for parent in (*used, dam) for gene in parent.shares)
        for gene in genes:
            if sire is not None:
                a = sire.shares.get(gene, 0.0)
            else:
                a = sum(float(c) * m.shares.get(gene, 0.0) for (_, c), m in zip(sires.candidates, used, strict=True))
            b = dam.shares.get(gene, 0.0)
            both = a * b
            if both < 1 and (a or b):
                snake.shares[gene] = (a + b - 2 * both) / (1 - both) / 2
        if snake.seen:
            for gene in [gene for gene in snake.shares if self.loci[gene[0]].inheritance is not Inheritance.RECESSIVE]:
                del snake.shares[gene]
        self._look_at(snake)

    def _learn(self, sire: Snake, dam: Snake, young: list[Snake]) -> None:
        """A visual proves both parents; many young without one lower what was thought of either."""
        seen = [snake for snake in young if snake.seen]
        for gene in [gene for gene in self.genes if sire.shares.get(gene) and dam.shares.get(gene)]:
            visuals = sum(snake.shares.get(gene, 0.0) == 1 for snake in seen)
            for parent, mate in ((sire, dam.shares[gene]), (dam, sire.shares[gene])):
                chance = 2 * parent.shares[gene]
                if chance >= 1:
                    continue
                left = chance * (1 - mate / 2) ** len(seen)
                parent.shares[gene] = 0.5 if visuals else left / (1 - chance + left) / 2

    def _test(self, snake: Snake, year: int) -> None:
        if self.random.random() >= self.shape.tested:
            return
        open_genes = [gene for gene, share in sorted(snake.shares.items()) if 0 < share < 0.5]
        if not open_genes:
            return
        locus, allele = self.random.choice(open_genes)
        copies = snake.pairs.get(locus, (0, 0)).count(allele)
        wrong = self._other_numbers(snake, locus, allele, copies)
        if self.random.random() < float(self.shape.error) and wrong:
            copies = self.random.choice(wrong)
        trait = self.loci[locus].alleles[allele - 1]
        on = When.day(date(year, 10, 1))
        snake.tests.append(LabTest(self.loci[locus].key, trait, copies, on, HERE, self.shape.error))
        if not self.shape.error:
            snake.shares[locus, allele] = copies / 2

    def _other_numbers(self, snake: Snake, locus: int, allele: int, copies: int) -> list[int]:
        """The wrong results of a test: the other numbers of copies that the snake's look leaves, or any where it was not looked at."""
        found = self.loci[locus]
        one, other = sorted(snake.pairs.get(locus, (0, 0)))
        look = found.look_of[one, other]
        left = {pair.count(allele) for pair in found.genotypes if not snake.seen or found.look_of[pair] == look}
        return sorted(left - {copies})

    # -- records -------------------------------------------------------------------------------------------------------

    def _recorded(self) -> Generated:
        species = Species(SPECIES, "Ball python", "Python regius", "XY", {locus.key: locus for locus in self.loci})
        animals = {snake.id: self._animal(snake) for snake in sorted(self.snakes, key=lambda snake: snake.id)}
        clutches = {clutch.id: clutch for clutch in sorted(self.clutches, key=lambda clutch: clutch.id)}
        truth = {
            snake.id: {self.loci[n].key: (min(pair), max(pair)) for n, pair in sorted(snake.pairs.items())}
            for snake in self.snakes
        }
        settings = Settings("An invented collection", "generated", (SPECIES,))
        return Generated(Collection(settings, {SPECIES: species}, animals, clutches), truth, self.sired_by)

    def _animal(self, snake: Snake) -> Animal:
        used = snake.clutch is not None
        return Animal(
            snake.id,
            SPECIES,
            HERE,
            sex=snake.sex if snake.sexed else "unknown",
            sire=snake.sire,
            dam=snake.dam,
            clutch=snake.clutch,
            egg=snake.id if used else "",
            readings=(Reading(self._shows(snake), HERE),) if snake.seen else (),
            claims=tuple(
                Claim(self.loci[locus].key, self.loci[locus].alleles[allele - 1], chance, HERE)
                for (locus, allele), chance in snake.told
            ),
            tests=tuple(snake.tests),
        )
