"""Every look that the young of a pairing can have, with its chance for an egg and for a clutch; and what is known to harm them.

Computes   for each look v (one look at every locus that can be told): P(egg looks v), P(a clutch has at least one),
           and what such young carry unseen.
Symbols    g = states of both parents at all loci; p(v | g) = product over loci of p(look at the locus | g there); moment k of v =
           E[p(v | g)^k]; a locus hidden by another look of v is left out of the product.
Formula    at least one of N = 1 - E[(1 - p)^N] = sum over k >= 1 of (-1)^(k+1) E[C(N, k)] E[p^k], N the number of hatchlings. The eggs
           of a clutch share their parents, so this is not 1 - (1 - E p)^N. With the sexes told apart each egg is of either sex with 1/2.
           E[p^k] = product over groups of loci, sum over parts, product over loci of E[p(look | g)^k | part]: see `genetics.pairs`.
Assumes    parents' states and sires in doubt as they stand today; every hatchling alive.
Invariant  the chances sum to exactly 1, since each look at a locus that can be told goes one way and hidden loci none.
Cost       one vector of whole numbers, as long as the largest clutch, for each step of the walk over looks; LIMIT looks at most.
Source     figures#outcomes, figures#a-clutch-of-eggs; the sum is the binomial theorem.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set as AbstractSet
from fractions import Fraction
from functools import cache
from itertools import combinations
from math import lcm, prod
from operator import itemgetter, mul

from msgspec import Struct

from clutchlight.genetics.inference import Inference
from clutchlight.genetics.pairs import LocusGroup, Members, Part, Together, TooManyPartsError
from clutchlight.genetics.states import States
from clutchlight.genetics.terms import gathered
from clutchlight.model import Animal, Genotype, Locus, Look, Sex, Species
from clutchlight.planning.hatchlings import Hatchlings
from clutchlight.planning.hiding import AnyOf, each_of, hides, hiding_order, steps


class Carried(Struct, frozen=True):
    """A trait that a hatchling does not show, with the chance that it carries it, and that it has a disorder that its look hides."""

    locus: str
    trait: str
    carries: Fraction
    affected: Fraction = Fraction(0)


class Harm(Struct, frozen=True):
    """Harm that a double dose, a pair of alleles or several looks are known to do: which, in what words, how likely in this outcome."""

    traits: tuple[str, ...]
    text: str
    source: str | None
    chance: Fraction


class Outcome(Struct, frozen=True):
    """One look of a hatchling, exactly as it would be recorded, traits in the order of the catalogue; () is a normal look.

    `at_least_one`: the chance that a clutch holds one or more; `expected`: how many on average.
    `hidden`: loci (keys) that this look conceals. `unseen`: traits not shown that may be carried, certain ones too.
    `all_possible`, `none_possible`: the chances that it carries all, and none, of those that are possible (not certain). `double`: shown
    traits of which a second copy is open, and unseen ones that are certain and of which it can have two, with that chance.
    """

    looks: tuple[str, ...]
    sex: Sex | None
    per_egg: Fraction
    at_least_one: Fraction
    expected: Fraction
    unseen: tuple[Carried, ...]
    all_possible: Fraction
    none_possible: Fraction
    double: tuple[Carried, ...] = ()
    hidden: tuple[str, ...] = ()
    combos: tuple[str, ...] = ()
    harm: tuple[Harm, ...] = ()


LIMIT = 1 << 14
"""The most looks that are told apart; beyond it a pairing has too many to list."""

Looks = tuple[Look | AnyOf, ...]
"""The look at each locus of a group, or all that it may be where it is hidden."""


class TooManyLooksError(Exception):
    """The young of a pairing can look in more than LIMIT ways."""


Rows = tuple[tuple[int, Carried], ...]
"""Traits with the position of their locus."""


class LookMoments(Struct, frozen=True):
    """What looks at some groups' loci come to: their moments (whole numbers, see `scale`) and what is behind them, by locus.

    `veiled`: looks that may be there and are hidden, with their chance, of those that harm together with others.
    `every`, `none`: the chances that all, and none, of the traits that are possible are carried.
    """

    moments: tuple[int, ...]
    unseen: Rows = ()
    double: Rows = ()
    harm: tuple[tuple[int, Harm], ...] = ()
    veiled: tuple[tuple[str, Fraction], ...] = ()
    every: Fraction = Fraction(1)
    none: Fraction = Fraction(1)

    def __mul__(self, other: LookMoments) -> LookMoments:
        """Both together, of groups that are independent."""
        return LookMoments(
            tuple(map(mul, self.moments, other.moments)),
            self.unseen + other.unseen,
            self.double + other.double,
            self.harm + other.harm,
            self.veiled + other.veiled,
            self.every * other.every,
            self.none * other.none,
        )


class Outcomes:
    """The looks of the young of two animals, sire first."""

    def __init__(self, together: Together, hatchlings: Hatchlings) -> None:
        self.together = together
        self.hatchlings = hatchlings
        self.most = max(1, hatchlings.most)
        self.states = together.states
        self.groups = together.groups
        self.group_of = {locus: index for index, group in enumerate(self.groups) for locus in group.loci}
        self.steps = steps(together.loci, hiding_order(together.loci))
        self.by_sex = any(states.linked for states in self.states)
        self.harmful_together = {look for harm in together.species.harm_together for look in harm.looks}
        self._locus_moments = cache(self._moments_at)
        self._group_looks = cache(self._worked_out)
        self.denominators = tuple(map(self._denominators, range(len(self.groups))))
        self.scale = tuple(self._scale(index) for index in range(len(self.groups)))
        share = 2 if self.by_sex else 1
        bases = [prod(scale[k] for scale in self.scale) * share ** (k + 1) for k in range(self.most)]
        picked = [hatchlings.choices(k + 1) for k in range(self.most)]
        self.whole = lcm(*bases) * lcm(*(ways.denominator for ways in picked))
        self.first, self.mean = bases[0], hatchlings.mean
        self.factors = [
            (-1) ** k * ways.numerator * (self.whole // (bases[k] * ways.denominator)) for k, ways in enumerate(picked)
        ]
        self.species = together.species
        self.combos = tuple((name, frozenset(parts)) for name, parts in self.species.combos.items())

    def all(self) -> tuple[Outcome, ...]:
        """Every outcome, most likely first. Raises TooManyLooksError."""
        found: list[tuple[int, Outcome]] = []
        for sex in ("male", "female") if self.by_sex else (None,):
            start = LookMoments((1,) * self.most)
            for looks, running in self._walk(sex, 0, frozenset(), {}, start):
                if len(found) == LIMIT:
                    raise TooManyLooksError
                found.append((running.moments[0], self._outcome(sex, looks, running)))
        rank = {None: 0, "male": 1, "female": 2}
        found.sort(key=lambda row: (-row[0], len(row[1].looks), row[1].looks, rank[row[1].sex]))
        return tuple(outcome for _, outcome in found)

    # -- the walk over looks -------------------------------------------------------------------------------------------

    def _walk(
        self, sex: Sex | None, step: int, closed: frozenset[str], looks: dict[int, Look | AnyOf], running: LookMoments
    ) -> Iterator[tuple[dict[int, Look | AnyOf], LookMoments]]:
        """Each possible combination of looks, loci in the order of hiding, with the products over its groups."""
        if step == len(self.steps):
            yield looks, running
            return
        locus, told, again = self.steps[step]
        if locus in looks:
            yield from self._walk(sex, step + 1, closed, looks, running)
            return
        value = self.together.loci[locus]
        group = self.group_of[locus]
        members = self.groups[group].loci
        untold = value.key in closed
        options: Sequence[Look | AnyOf] = (told + again,) if untold else told
        for look in options:
            looks[locus] = look
            further = running
            if all(member in looks for member in members):
                found = self._group_looks(group, sex, tuple(looks[member] for member in members))
                if found is None:
                    continue
                further = running * found
            yield from self._walk(sex, step + 1, closed | hides(value, look), looks, further)
        looks.pop(locus, None)
        if again and not untold:
            yield from self._walk(sex, step + 1, closed, looks, running)

    # -- one group of loci ---------------------------------------------------------------------------------------------

    def _denominators(self, index: int) -> tuple[int, tuple[int, ...]]:
        """Common denominators of the chances of a group's parts, and of its tables at each of its loci."""
        group = self.groups[index]
        tables = zip(*(part.tables for part in group.parts), strict=True)
        return (
            lcm(*(part.chance.denominator for part in group.parts)),
            tuple(lcm(*(chance.denominator for table in at for _, chance in table)) for at in tables),
        )

    def _scale(self, index: int) -> tuple[int, ...]:
        """For each moment a common denominator of every combination of looks at a group's loci."""
        chances, tables = self.denominators[index]
        scale = prod(self.states[locus].scale for locus in self.groups[index].loci)
        return tuple(chances * prod(tables) * scale**k for k in range(1, self.most + 1))

    def _worked_out(self, index: int, sex: Sex | None, looks: Looks) -> LookMoments | None:
        group = self.groups[index]
        scale, _ = self.denominators[index]
        terms = []
        for number, part in enumerate(group.parts):
            vectors = (self._locus_moments(index, number, at, sex, look) for at, look in enumerate(looks))
            chance = part.chance.numerator * (scale // part.chance.denominator)
            terms.append([chance * prod(each) for each in zip(*vectors, strict=True)])
        moments = tuple(map(sum, zip(*terms, strict=True)))
        if not moments[0]:
            return None
        return self._carried(group, sex, looks, moments, [Fraction(term[0], moments[0]) for term in terms])

    def _moments_at(self, index: int, part: int, at: int, sex: Sex | None, look: Look | AnyOf) -> tuple[int, ...]:
        """The moments of a look at a locus of a group, out of its share of the group's scale, or of all that it may be."""
        group, table_scale = self.groups[index], self.denominators[index][1][at]
        states = self.states[group.loci[at]]
        sums = [0] * self.most
        for (sire, dam), chance in group.parts[part].tables[at]:
            seen = sum(int(states.look(sire, dam, sex, one) * states.scale) for one in each_of(look))
            term = chance.numerator * (table_scale // chance.denominator)
            for k in range(self.most):
                term *= seen
                sums[k] += term
        return tuple(sums)

    # -- what is behind the looks --------------------------------------------------------------------------------------

    def _carried(
        self, group: LocusGroup, sex: Sex | None, looks: Looks, moments: tuple[int, ...], weights: Sequence[Fraction]
    ) -> LookMoments:
        behind = [
            [self._behind(part, at, self.states[locus], sex, looks[at]) for at, locus in enumerate(group.loci)]
            for part in group.parts
        ]
        live = [number for number, weight in enumerate(weights) if weight]
        unseen: list[tuple[int, Carried]] = []
        double: list[tuple[int, Carried]] = []
        harm: list[tuple[int, Harm]] = []
        veiled: list[tuple[str, Fraction]] = []
        wanted: list[frozenset[int]] = []
        for at, position in enumerate(group.loci):
            locus = self.together.loci[position]
            joined = gathered(
                (pair, weights[number] * chance) for number in live for pair, chance in behind[number][at].items()
            )
            look = looks[at]
            open_alleles = []
            for allele, trait in enumerate(locus.alleles, 1):
                two = joined.get((allele, allele), Fraction(0))
                if not isinstance(look, tuple) and locus.tells(look, allele):
                    if 0 < two < 1:
                        double.append((position, Carried(locus.key, trait, two)))
                    continue
                if carries := sum((chance for pair, chance in joined.items() if allele in pair), Fraction(0)):
                    if two and carries == 1:
                        double.append((position, Carried(locus.key, trait, two)))
                    ill = joined.items() if locus.affects else ()
                    affected = sum((chance for pair, chance in ill if locus.shows_allele(pair, allele)), Fraction(0))
                    unseen.append((position, Carried(locus.key, trait, carries, affected)))
                    if carries < 1:
                        open_alleles.append(allele)
            wanted.append(frozenset(open_alleles))
            harm += [(position, one) for one in harms_of(locus, joined)]
            for name in self.harmful_together.intersection(locus.look_names) if isinstance(look, tuple) else ():
                if there := sum(
                    (chance for pair, chance in joined.items() if locus.shows_look(pair, name)), Fraction(0)
                ):
                    veiled.append((name, there))
        every = none = Fraction(0)
        for number in live:
            all_here = none_here = weights[number]
            for at, alleles in enumerate(wanted):
                pairs = behind[number][at].items()
                all_here *= sum((chance for pair, chance in pairs if alleles.issubset(pair)), Fraction(0))
                none_here *= sum((chance for pair, chance in pairs if alleles.isdisjoint(pair)), Fraction(0))
            every += all_here
            none += none_here
        return LookMoments(moments, tuple(unseen), tuple(double), tuple(harm), tuple(veiled), every, none)

    def _behind(
        self, part: Part, at: int, states: States, sex: Sex | None, look: Look | AnyOf
    ) -> Mapping[Genotype, Fraction]:
        """The genotypes of young with this look at one locus; empty where no such young can be."""
        found = gathered(
            (pair, chance * share)
            for (sire, dam), chance in part.tables[at]
            for pair, share in states.genotypes(sire, dam, sex).items()
            if states.locus.look_of[pair] in each_of(look)
        )
        whole = sum(found.values(), Fraction(0))
        return {pair: chance / whole for pair, chance in found.items()}

    # -- one outcome ---------------------------------------------------------------------------------------------------

    def _outcome(self, sex: Sex | None, looks: Mapping[int, Look | AnyOf], running: LookMoments) -> Outcome:
        per_egg = Fraction(running.moments[0], self.first)
        names: list[str] = []
        hidden: list[str] = []
        for locus, value in enumerate(self.together.loci):
            look = looks[locus]
            if isinstance(look, tuple):
                hidden.append(value.key)
            elif look:
                names += look
        return Outcome(
            self.species.in_order(names),
            sex,
            per_egg,
            Fraction(sum(map(mul, self.factors, running.moments)), self.whole),
            per_egg * self.mean,
            _in_order(running.unseen),
            running.every,
            running.none,
            _in_order(running.double),
            tuple(hidden),
            self._combos(frozenset(names)) if self.combos else (),
            (
                *(harm for _, harm in sorted(running.harm, key=itemgetter(0))),
                *self._harm_together(names, dict(running.veiled)),
            ),
        )

    def _harm_together(self, names: Sequence[str], veiled: Mapping[str, Fraction]) -> Iterator[Harm]:
        """The harm of the looks with each other and with hidden ones; of several hidden ones no more often than of each."""
        for one in self.species.harms_of((*names, *veiled)):
            chances = [veiled[look] for look in one.looks if look in veiled and look not in names]
            yield Harm(one.looks, one.text, one.source, min(chances, default=Fraction(1)))

    def _combos(self, looks: frozenset[str]) -> tuple[str, ...]:
        """The names of the combos that the look holds, without those that a larger one of them holds."""
        whole = [(name, parts) for name, parts in self.combos if parts <= looks]
        return tuple(name for name, parts in whole if not any(parts < other for _, other in whole))


def harms_of(locus: Locus, chances: Mapping[Genotype, Fraction]) -> Iterator[Harm]:
    """The harm that is known of the genotypes in a distribution, with its chance."""
    for allele, trait in enumerate(locus.alleles, 1):
        two = chances.get((allele, allele))
        if two and trait in locus.two_copies_harm:
            yield Harm((trait, trait), locus.two_copies_harm[trait], locus.welfare_source, two)
    for (low, one), (high, other) in combinations(enumerate(locus.alleles, 1), 2):
        both = chances.get((low, high))
        text = locus.together_harm.get(frozenset({one, other}))
        if both and text:
            yield Harm((one, other), text, locus.welfare_source, both)


def harms_all(species: Species, looks: AbstractSet[str]) -> bool:
    """Whether harm is known of every animal of these looks: of one by itself, of the two alleles behind it, or of several together."""
    behind = (
        pairs
        for locus in species.computed_loci
        for look, pairs in locus.looks.items()
        if look and look <= looks
        if all(any(harms_of(locus, {pair: Fraction(1)})) for pair in pairs)
    )
    return species.is_harm(looks) or bool(species.harms_of(looks)) or any(behind)


def _in_order(rows: Rows) -> tuple[Carried, ...]:
    return tuple(carried for _, carried in sorted(rows, key=itemgetter(0)))


# Harm to the young of two


class PairHarm(Struct, frozen=True):
    """`traits`: one for a look that is harm, the same twice for two copies, several for two alleles or looks. `text`: what it does."""

    traits: tuple[str, ...]
    text: str
    per_egg: Fraction


def harm_of_pair(inference: Inference, sire: Animal, dam: Animal) -> tuple[PairHarm, ...]:
    """All that is known to harm young of the two, in the order of the catalogue, with its chance for one egg, whether it hatches or not."""
    loci = {locus.key: locus for locus in inference.loci_in_play(sire.species)}
    harmful = [key for key, one in loci.items() if one.dies or one.two_copies_harm or one.together_harm or one.affects]
    together = _of_two(inference, sire.id, dam.id, harmful)
    found = [harm for position in range(len(together.loci)) for harm in _harms_at(together, position)]
    species = inference.collection.species[sire.species]
    for several in species.harm_together:
        keys = [key for look in several.looks for key in species.locus_of_look[look] if key in loci]
        together = _of_two(inference, sire.id, dam.id, keys)
        if len(together.loci) == len(several.looks) and (per_egg := _with_all(together, several.looks)):
            found.append(PairHarm(several.looks, several.text, per_egg))
    return tuple(found)


def _of_two(inference: Inference, sire: str, dam: str, keys: Sequence[str]) -> Together:
    return Together(inference.figures_of(sire, dam), (sire, dam), ("male", "female"), keys)


def _with_all(together: Together, looks: Sequence[str]) -> Fraction:
    """The chance that an egg has all of these looks, each at its own locus, with one copy or with two; nothing where it is not computed."""
    sexes: Sequence[Sex | None] = ("male", "female") if any(states.linked for states in together.states) else (None,)

    def share(sex: Sex | None, position: int, members: Members) -> Fraction:
        (sire, dam), locus = members, together.loci[position]
        pairs, lives = together.states[position].genotypes(sire, dam, sex).items(), _lives(together, position, members)
        return sum((lives * chance for pair, chance in pairs if locus.shows_look(pair, looks[position])), Fraction(0))

    try:
        return sum(
            (
                chance * prod(share(sex, *at) for at in enumerate(states)) / len(sexes)
                for _, states, chance in together.combinations(range(len(looks)))
                for sex in sexes
            ),
            Fraction(0),
        )
    except TooManyPartsError:
        return Fraction(0)


def _harms_at(together: Together, position: int) -> Iterator[PairHarm]:
    locus, states = together.loci[position], together.states[position]
    chances = gathered(
        (pair, chance * _lives(together, position, (sire, dam)) * share)
        for (sire, dam), chance in together.rows_at(position)
        for pair, share in states.genotypes(sire, dam, None).items()
    )
    for trait, death in deaths(together, position):
        yield PairHarm((trait, trait), "such an egg dies", death)
    if locus.affects:
        affected = sum((chance for pair, chance in chances.items() if locus.look_of[pair]), Fraction(0))
        if affected:
            yield PairHarm(locus.alleles[:1], locus.affects, affected)
        return
    for harm in harms_of(locus, chances):
        yield PairHarm(harm.traits, harm.text, harm.chance)


def deaths(together: Together, position: int) -> Iterator[tuple[str, Fraction]]:
    """The double doses at a locus that die, with the chance for one egg: half of the copies on either side come together."""
    locus = together.loci[position]
    for allele, trait in enumerate(locus.alleles, 1):
        rows = together.rows_at(position) if trait in locus.dies else ()
        chance = sum((likely * _dies(together, position, members, allele) for members, likely in rows), Fraction(0))
        if chance:
            yield trait, chance


def _dies(together: Together, position: int, members: Members, allele: int) -> Fraction:
    sire, dam = (together.states[position].pairs[state].count(allele) for state in members)
    return Fraction(sire * dam, 4)


def hatching(
    inference: Inference, sires: Sequence[tuple[str, Fraction]], dam: str, hatchlings: Hatchlings
) -> Hatchlings:
    """Hatchlings of a clutch of one of these sires, as likely as each is, without the double doses that die."""
    loci = [locus for locus in inference.loci_in_play(inference.collection.animals[dam].species) if locus.dies]
    if not loci or hatchlings.fixed is not None:
        return hatchlings.settled
    keys = [locus.key for locus in loci]
    deaths = gathered(
        (death, share * chance)
        for sire, share in sires
        for death, chance in _deaths_together(_of_two(inference, sire, dam, keys))
    )
    return hatchlings.survivors(deaths).settled


def _deaths_together(together: Together) -> Iterator[tuple[Fraction, Fraction]]:
    """The chances that an egg dies of any double dose, each with its own chance over the parents' states."""
    positions = range(len(together.loci))
    if not positions:
        yield Fraction(0), Fraction(1)
        return
    for _, states, chance in together.combinations(positions):
        lives = (_lives(together, *at) for at in zip(positions, states, strict=True))
        yield 1 - prod(lives, start=Fraction(1)), chance


def _lives(together: Together, position: int, members: Members) -> Fraction:
    """The chance that an egg of these two has no double dose at a locus that dies."""
    locus = together.loci[position]
    lethal = (allele for allele, trait in enumerate(locus.alleles, 1) if trait in locus.dies)
    return 1 - sum((_dies(together, position, members, allele) for allele in lethal), Fraction(0))
