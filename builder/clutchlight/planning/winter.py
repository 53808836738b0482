"""Several clutches to come as one question: which are awaited, what they would settle together, and how likely what is wanted of them is.

Computes   for every open question about a parent: how often all clutches together prove it, how often they clear it (bring it under
           `doubt_below`), what is left if nothing shows, and both with one clutch less; for every wish (looks, whatever else a hatchling
           shows) the chance that an egg, and that at least one of all hatchlings, shows them, and how many do on average.
Symbols    m = states of all parents; p(m, c) = chance that a hatchling of clutch c shows what is wanted; G(s) = E[s^N], N its hatchlings.
Formula    `settling`, over all clutches that hang together through their parents. Left if nothing shows:
           E[carries product of G_c(q_c)] / E[product of G_c(q_c)] over the clutches of that animal alone, q = chance that a hatchling is
           not seen to show the trait, as another look hides it or as it does not: over all clutches of the locus it would be nonsense
           where another dam shows it.
           Wishes: 1 - E[product over clutches of G_c(1 - p(m, c))]: one expectation outside, since clutches share their parents and eggs
           theirs. p = product over loci, each told only if no other look hides it; of both sexes the mean.
Assumes    parents' states, founders in question and claims in doubt as they stand today: a supposed result changes neither.
           Clutches that share no parent are taken apart, be their parents related or not.
Cost       wishes at loci that hide nothing: the chances of every p by locus, then together. Else a sum over all states; COMBINATIONS at
           most.
Source     figures#a-winter, figures#wanted-looks.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from itertools import product
from math import prod
from operator import itemgetter, mul

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.genetics.inference import Inference
from clutchlight.genetics.network import sharing
from clutchlight.genetics.pairs import Members, Together, TooManyPartsError
from clutchlight.genetics.terms import gathered
from clutchlight.genetics.values import Figure, GroundsKind
from clutchlight.model import NORMAL, Clutch, Collection, Locus, Look, Recorded, Sex, Species
from clutchlight.model.private import Plan, Private, Purpose
from clutchlight.model.traits import grouped, reached
from clutchlight.planning.hatchlings import ALL_LAY, Hatchlings, hatchlings_of, hatchlings_of_eggs, usual_clutch
from clutchlight.planning.hiding import AnyOf, Hiding, each_of, hidden_together, hiding_order, steps
from clutchlight.planning.outcomes import hatching
from clutchlight.planning.room import (
    absence,
    answer_to,
    good_eggs_left,
    in_incubator,
    males_with,
    may_come_of,
    plans_of_winter,
)
from clutchlight.planning.settling import AtOneLocus, Brood, Settled, TooManyOutcomesError

COMBINATIONS = 20_000

Shares = tuple[Fraction, ...]
"""Chances for one hatchling: for each clutch, each of its sires and each sex."""

MOST_STATES = 4096
"""The most states of all parents together, at one locus, that are gone through."""


class ComingClutch(Struct, frozen=True):
    """A clutch that is planned, or laid. `sires`: who may be its sire, with their chances; one of them sired all of it, or with `mixed`
    each egg by itself. `hatchlings`: if she lays, which she does with the chance `lays`. `laid`: the id of its record where it is laid;
    `want`: the looks wanted of it, and `purpose`: as planned."""

    sires: tuple[tuple[str, Fraction], ...]
    dam: str
    hatchlings: Hatchlings
    lays: Fraction = ALL_LAY
    mixed: bool = False
    laid: str | None = None
    want: tuple[str, ...] = ()
    purpose: Purpose | None = None

    @classmethod
    def of(
        cls, sire: str, dam: str, hatchlings: Hatchlings, lays: Fraction = ALL_LAY, want: tuple[str, ...] = ()
    ) -> ComingClutch:
        return cls(((sire, Fraction(1)),), dam, hatchlings, lays, want=want)

    @property
    def males(self) -> tuple[str, ...]:
        return tuple(sire for sire, _ in self.sires)

    @property
    def parents(self) -> tuple[str, ...]:
        return (*self.males, self.dam)


class OpenQuestion(Struct, frozen=True):
    """One trait of one parent that may be there and may not. `clutches`: those of its clutches that can tell, by number.

    `if_all_lay`, `as_they_lay`: how often it is settled; None where it is not computed. `without`: how often if one clutch does not come,
    all others laid. `left`: its chance if its clutches come and no hatchling of them is seen to show the trait; `shown`: the looks in which
    they can.
    """

    animal: str
    locus: str
    trait: str
    now: Fraction
    clutches: tuple[int, ...]
    if_all_lay: Settled | None
    as_they_lay: Settled | None
    without: tuple[tuple[int, Settled], ...]
    left: Fraction | None
    shown: tuple[str, ...] = ()


class Wish(Struct, frozen=True):
    """Looks that some clutches are wanted to give. `any`: the chance of at least one such hatchling if all lay; `any_as_they_lay`: as they
    lay. `expected`: how many if all lay. None: not computed."""

    looks: tuple[str, ...]
    clutches: tuple[int, ...]
    per_egg: tuple[Fraction, ...]
    expected: Fraction
    any: Fraction
    any_as_they_lay: Fraction


class Winter(Struct, frozen=True):
    """What clutches to come would settle, what they settle most often first. `wishes_not_computed`: looks wanted that have no figure."""

    clutches: tuple[ComingClutch, ...]
    questions: tuple[OpenQuestion, ...]
    wishes: tuple[Wish, ...]
    wishes_not_computed: tuple[tuple[str, ...], ...] = ()


def winter(inference: Inference, clutches: Sequence[ComingClutch]) -> Winter:
    """What the clutches would settle and give.

    All parents are known animals, those of one clutch of one species, each named in one role. `inference.conflicts` must be empty.
    The double doses that die are taken off the hatchlings of each clutch.
    """
    clutches = [replace(one, hatchlings=hatching(inference, one.sires, one.dam, one.hatchlings)) for one in clutches]
    animals = inference.collection.animals
    questions: list[OpenQuestion] = []
    parents = {number: clutch.parents for number, clutch in enumerate(clutches)}
    for numbers in sorted(sorted(numbers) for _, numbers in sharing(parents)):
        questions += _Parents(inference, clutches, numbers).questions()
    wishes, refused = [], []
    for looks, asked in grouped((one.want, number) for number, one in enumerate(clutches) if one.want).items():
        for same in grouped((animals[clutches[number].dam].species, number) for number in asked).values():
            wish = wish_of(inference, clutches, same, looks)
            if wish is None:
                refused.append(looks)
            else:
                wishes.append(wish)
    return Winter(tuple(clutches), tuple(sorted(questions, key=_rank)), tuple(wishes), tuple(dict.fromkeys(refused)))


def _rank(one: OpenQuestion) -> tuple[Fraction, str, str]:
    return -(one.as_they_lay.in_all if one.as_they_lay else Fraction(0)), one.animal, one.trait


class _Parents:
    """All parents of clutches that hang together."""

    def __init__(self, inference: Inference, clutches: Sequence[ComingClutch], numbers: Sequence[int]) -> None:
        self.inference = inference
        self.numbers = tuple(numbers)
        self.clutches = [clutches[number] for number in numbers]
        males = dict.fromkeys(name for clutch in self.clutches for name in clutch.males)
        females = dict.fromkeys(clutch.dam for clutch in self.clutches)
        self.members = (*males, *females)
        self.roles: list[Sex] = ["male" for _ in males]
        self.roles += ["female" for _ in females]
        self.species = inference.collection.species[inference.collection.animals[self.members[0]].species]
        self.figures = inference.figures_of(*self.members)

    def together(self, loci: Sequence[str], heard: Sequence[str] | None = None) -> Together:
        """The parents as the figures of their young will take them; those `heard` as they are themselves; None: all of them."""
        return Together(self.figures, self.members, self.roles, with_hiders(self.species, loci), heard)

    def broods(self) -> list[Brood]:
        """By each supposition: all lay, each as she lays, and in turn all but one."""
        found = []
        for number, clutch in enumerate(self.clutches):
            spreads = [clutch.hatchlings, clutch.hatchlings.laying(clutch.lays)]
            if len(self.clutches) > 1:
                others = range(len(self.clutches))
                spreads += [Hatchlings.exactly(0) if number == other else clutch.hatchlings for other in others]
            sires = tuple((self.members.index(sire), share) for sire, share in clutch.sires)
            found.append(Brood(sires, self.members.index(clutch.dam), clutch.mixed, tuple(spreads)))
        return found

    def questions(self) -> Iterator[OpenQuestion]:
        for locus in self.inference.loci_in_play(self.species.key):
            asked = [
                (number, allele, now)
                for number, member in enumerate(self.members)
                for allele, now in open_alleles(self.inference, member, locus)
            ]
            if asked:
                yield from self._at(locus, asked)

    def _at_one(self, locus: Locus, heard: Sequence[str]) -> AtOneLocus | None:
        """The parents at a locus; None where it cannot be computed."""
        together, broods = self.together([locus.key], heard), self.broods()
        position = next((at for at, one in enumerate(together.loci) if one.key == locus.key), None)
        if position is None:
            return None
        try:
            groups = together.groups
        except TooManyPartsError:
            return None
        if max(len(table) for group in groups for part in group.parts for table in part.tables) > MOST_STATES:
            return None
        pairs = [(sire, brood.dam) for brood in broods for sire, _ in brood.sires]
        return AtOneLocus.of(Hiding(together, pairs), position, broods)

    def _at(self, locus: Locus, asked: Sequence[tuple[int, int, Fraction]]) -> Iterator[OpenQuestion]:
        below = self.inference.collection.settings.doubt_below
        plain = self._at_one(locus, ())
        for member, allele, now in asked:
            name = self.members[member]
            at = self._at_one(locus, [name]) if self.figures.stands_apart(name) else plain
            asked_of = name, locus.key, locus.alleles[allele - 1], now
            if at is None:
                yield OpenQuestion(*asked_of, (), None, None, (), None)
                continue
            try:
                all_lay, as_they_lay, *without = at.settled(member, allele, below)
            except TooManyOutcomesError:
                all_lay, as_they_lay, without = None, None, []
            mine = at.asking(member)
            clutches = tuple(self.numbers[number] for number in mine)
            lost = tuple(zip(self.numbers, without, strict=False))
            left = at.if_none(member, allele, mine) if mine else None
            yield OpenQuestion(*asked_of, clutches, all_lay, as_they_lay, lost, left, at.shown(member, allele, mine))


def open_alleles(inference: Inference, animal: str, locus: Locus) -> Iterator[tuple[int, Fraction]]:
    """The alleles that an animal may have and may not, with their chances: not under `doubt_below`, on more than a background."""
    below = inference.collection.settings.doubt_below
    figure = inference.now(animal, locus.key)
    if isinstance(figure, Figure):
        for allele in range(1, len(locus.alleles) + 1):
            now = figure.carries(allele)
            if 0 < now < 1 and below <= now and not inference.background_only(animal, locus.key, allele):
                yield allele, now


def on_condition(
    inference: Inference, animal: str, locus: Locus, allele: int
) -> tuple[GroundsKind, tuple[str, ...]] | None:
    """How an allele is certain that is only taken to be: its grounds, and which clutches no other male may have sired; else None."""
    figure = inference.now(animal, locus.key)
    if not isinstance(figure, Figure) or figure.carries(allele) != 1:
        return None
    kind = inference.grounds(animal, locus.key, allele).kind
    clutches = inference.if_sired(animal, locus.key, allele)
    if clutches and inference.said_for_certain(animal, locus.key, locus.alleles[allele - 1]):
        return "claim", ()
    return (kind, clutches) if clutches or kind in ("claim", "assumption") else None


def wish_of(
    inference: Inference,
    clutches: Sequence[ComingClutch],
    numbers: Sequence[int],
    looks: tuple[str, ...],
) -> Wish | None:
    """How likely some looks are of some of the clutches; None where that cannot be computed."""
    parents = _Parents(inference, clutches, numbers)
    if not all(loci_wanted(parents.species, [look]) for look in looks):
        return None
    needed = [locus.key for locus in loci_wanted(parents.species, looks)]
    in_play = {locus.key for locus in inference.loci_in_play(parents.species.key)}
    if not in_play.issuperset(needed):
        none = (Fraction(0),) * len(numbers)
        return Wish(looks, tuple(numbers), none, Fraction(0), Fraction(0), Fraction(0))
    together = parents.together(needed)
    if together.not_computed:
        return None
    try:
        return Wanting(together, looks, parents.broods()).answer(numbers)
    except TooManyPartsError:
        return None


# The clutches of a winter, from plans and from the incubator


def awaited(collection: Collection, private: Private, day: date) -> tuple[ComingClutch, ...]:
    """The clutches planned for the winter of a day or laid, by female.

    A female lays once in a winter: its plans of one female are one clutch, of whichever of their males. A backup, or any other male, is
    among its possible sires from the day that the log puts him with her, wherever he is since. Eggs in the incubator count as they were
    laid, by the sires of their record, without those that the log has lost since; what is wanted of them is what the plan wanted that they
    came of. Left out are plans and eggs of which no figures can be made.
    """
    laid = list(_in_the_incubator(collection, private, day))
    sitting = {one.dam for one in laid}
    still_open = plans_of_winter(collection, private, day)
    plans = grouped((plan.female, plan) for plan in still_open if plan.female not in sitting)
    planned = (_planned(collection, private, day, female, several) for female, several in plans.items())
    found = [*laid, *(one for one in planned if one is not None)]
    return tuple(sorted(found, key=lambda one: one.dam))


def _planned(
    collection: Collection, private: Private, day: date, female: str, plans: Sequence[Plan]
) -> ComingClutch | None:
    with_her = males_with(collection, private, female, day)
    males = dict.fromkeys((*(male for plan in plans for male in plan.males), *with_her))
    usable = [male for male in males if male in with_her or _is_fit(collection, private, male, day, plans)]
    if not usable or not _is_fit(collection, private, female, day, plans):
        return None
    species = collection.species[collection.animals[female].species]
    sires = tuple((male, Fraction(1, len(usable))) for male in usable)
    want = tuple(dict.fromkeys(look for plan in plans for look in plan.want))
    purpose: Purpose = "prove" if any(plan.purpose == "prove" for plan in plans) else "produce"
    lays = usual_clutch(species).lays
    return ComingClutch(sires, female, hatchlings_of(species), lays, want=want, purpose=purpose)


def _is_fit(collection: Collection, private: Private, name: str, day: date, plans: Sequence[Plan]) -> bool:
    """Whether nothing keeps an animal from one of the plans that it stands in."""
    its_own = [plan for plan in plans if name in (plan.female, *plan.males)]
    return any(absence(collection.animals[name], private.log, day, plan.start) is None for plan in its_own)


def _in_the_incubator(collection: Collection, private: Private, day: date) -> Iterator[ComingClutch]:
    for clutch in collection.clutches.values():
        sires, left = _sires(clutch), good_eggs_left(clutch, collection, private, day)
        if sires is None or not clutch.counts or not in_incubator(clutch, collection, private, day):
            continue
        species = collection.species[clutch.species]
        hatchlings = hatchlings_of(species) if left is None else hatchlings_of_eggs(species, left)
        plan = plan_of(clutch, collection, private)
        want, purpose = (plan.want, plan.purpose) if plan is not None else ((), None)
        mixed = clutch.sires.kind == "mixed"
        yield ComingClutch(sires, clutch.dam, hatchlings, ALL_LAY, mixed, clutch.id, want, purpose)


def plan_of(clutch: Clutch, collection: Collection, private: Private) -> Plan | None:
    """The plan that a clutch came of: of those that she had not laid for before, one with its male before others, the latest begun.

    A plan with a result is over: it counts for a clutch of its own season alone.
    """
    if clutch.laid is None:
        return None
    found, laid = [], clutch.laid.last
    for plan in private.plans:
        begun = plan.start.first if plan.start is not None else laid
        undated = plan.start is None and plan.result is not None
        if plan.female == clutch.dam and may_come_of(plan, laid) and not undated:
            answer = answer_to(plan, collection, private, laid)
            if answer is None or answer.clutch == clutch.id:
                found.append((not set(clutch.sires.ids).isdisjoint(plan.males), begun, plan))
    return max(found, key=itemgetter(0, 1))[2] if found else None


def _sires(clutch: Clutch) -> tuple[tuple[str, Fraction], ...] | None:
    """Who may have sired it; None where somebody who is not on record may have, or nobody."""
    found = tuple((sire.id, chance) for sire, chance in clutch.sires.candidates if isinstance(sire, Recorded))
    return found if found and len(found) == len(clutch.sires.candidates) else None


# Looks that are wanted


class Wanting:
    """Some wanted looks of the young of several clutches. `together` holds their loci and those that hide them."""

    def __init__(self, together: Together, looks: Sequence[str], broods: Sequence[Brood]) -> None:
        self.together = together
        self.looks = tuple(looks)
        self.broods = tuple(broods)
        self.good = {
            at: good for at, locus in enumerate(together.loci) if (good := looks_with(locus, looks)) is not None
        }
        linked = any(states.linked for states in together.states)
        self.sexes: tuple[Sex | None, ...] = ("male", "female") if linked else (None,)
        self.steps = steps(together.loci, hiding_order(together.loci))
        self.pairs = [(sire, brood.dam) for brood in broods for sire, _ in brood.sires]

    def answer(self, clutches: Sequence[int]) -> Wish | None:
        """None: too many combinations to go through."""
        per_egg = [Fraction(0)] * len(self.broods)
        nothing = [Fraction(0)] * 2  # if all lay, and as they lay
        found = self._shares()
        if found is None:
            return None
        for shares, chance in found.items():
            each = list(self._by_clutch(shares))
            for number, brood in enumerate(self.broods):
                by_sire = zip(brood.sires, each[number], strict=True)
                per_egg[number] += chance * sum((share * one for (_, share), one in by_sire), Fraction(0))
            for at in range(2):
                both = zip(self.broods, each, strict=True)
                none = (brood.every([1 - share for share in one], at) for brood, one in both)
                nothing[at] += prod(none, start=chance)
        expected = sum(
            (brood.hatchlings[0].mean * one for brood, one in zip(self.broods, per_egg, strict=True)), Fraction(0)
        )
        return Wish(self.looks, tuple(clutches), tuple(per_egg), expected, 1 - nothing[0], 1 - nothing[1])

    def _by_clutch(self, shares: Shares) -> Iterator[list[Fraction]]:
        """For each clutch the chance by sire, sexes put together."""
        sexes = len(self.sexes)
        flat = [sum(shares[at : at + sexes], Fraction(0)) / sexes for at in range(0, len(shares), sexes)]
        for brood in self.broods:
            yield flat[: len(brood.sires)]
            flat = flat[len(brood.sires) :]

    def _shares(self) -> Mapping[Shares, Fraction] | None:
        """The chances of one hatchling's chances, over parents' states."""
        loci = self.together.loci
        if any(key in {locus.key for locus in loci} for locus in loci for keys in locus.hides.values() for key in keys):
            return self._walked()
        width = len(self.pairs) * len(self.sexes)
        found: dict[Shares, Fraction] = {(Fraction(1),) * width: Fraction(1)}
        for group in self.together.groups:
            here: list[tuple[Shares, Fraction]] = []
            for part in group.parts:
                rows: dict[Shares, Fraction] = {(Fraction(1),) * width: part.chance}
                for at, locus in enumerate(group.loci):
                    rows = _both(rows, self._at_locus(locus, part.tables[at]))
                here += rows.items()
            found = _both(found, gathered(here))
            if len(found) > COMBINATIONS:
                return None
        return found

    def _at_locus(self, locus: int, table: Sequence[tuple[Members, Fraction]]) -> dict[Shares, Fraction]:
        return gathered(
            (tuple(self._share_at(locus, members, *pair, sex) for pair in self.pairs for sex in self.sexes), chance)
            for members, chance in table
        )

    def _share_at(self, locus: int, members: Members, sire: int, dam: int, sex: Sex | None) -> Fraction:
        """The chance that a hatchling of two parents shows what is wanted at a locus."""
        looks = (self.together.states[locus].look(members[sire], members[dam], sex, look) for look in self.good[locus])
        return sum(looks, Fraction(0))

    def _walked(self) -> Mapping[Shares, Fraction] | None:
        """The same where looks hide loci: over every combination of states."""
        groups = self.together.groups
        count = prod(sum(prod(len(table) for table in part.tables) for part in group.parts) for group in groups)
        if count > COMBINATIONS:
            return None
        return gathered(
            (tuple(self._told(states, pair, sex) for pair in self.pairs for sex in self.sexes), chance)
            for _, states, chance in self.together.combinations(range(len(self.together.loci)))
        )

    def _told(self, held: Sequence[Members], pair: tuple[int, int], sex: Sex | None) -> Fraction:
        """The chance that a hatchling of two parents is seen to show all that is wanted."""

        def share(locus: int, look: Look | AnyOf) -> Fraction:
            if locus in self.good and look not in self.good[locus]:
                return Fraction(0)
            states = self.together.states[locus]
            sire, dam = (held[locus][member] for member in pair)
            return sum((states.look(sire, dam, sex, one) for one in each_of(look)), Fraction(0))

        found = hidden_together(self.together.loci, self.steps, share)
        return sum(found.values(), Fraction(0))


def _both(one: Mapping[Shares, Fraction], other: Mapping[Shares, Fraction]) -> dict[Shares, Fraction]:
    """Chances of products, of two that are independent."""
    return gathered(
        (tuple(map(mul, shares, more)), chance * likely)
        for (shares, chance), (more, likely) in product(one.items(), other.items())
    )


def looks_with(locus: Locus, names: Sequence[str]) -> frozenset[Look] | None:
    """The looks of a locus that show every one of the names that it has; None where it has none of them."""
    here = [name for name in names if name in locus.look_names]
    if not here:
        return None
    return frozenset(look for look in locus.looks if look != NORMAL and all(_shown(locus, look, name) for name in here))


def _shown(locus: Locus, look: Look, name: str) -> bool:
    """Whether a look is that of a name, or of two copies of it; "Ultramel" is not Amelanistic, though it tells that a copy is there."""
    double = (locus.allele_number(name),) * 2 if name in locus.alleles else None
    return name in look or (double is not None and set(locus.looks[look]) == {double})


def loci_wanted(species: Species, names: Sequence[str]) -> tuple[Locus, ...]:
    """The computed loci that have one of these look names."""
    return tuple(locus for locus in species.computed_loci if any(name in locus.look_names for name in names))


def with_hiders(species: Species, loci: Sequence[str]) -> list[str]:
    """Loci, and all that can hide them, straight or by way of another, in the order of the catalogue."""
    computed = species.computed_loci
    found = reached(loci, lambda key: (one.key for one in computed if any(key in keys for keys in one.hides.values())))
    return [locus.key for locus in computed if locus.key in found]
