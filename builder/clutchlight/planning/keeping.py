"""The young of a hatched clutch side by side: what each would bring to the plans, and what speaks of its price. Figures alone, no advice.

Computes   for each young that is here, and for each set of looks that a plan wants: the chance that it carries all that they need.
Formula    sum of the joint distribution over its genotypes at the wanted loci: never a product, since loci share doubts.
Conventions. A look that is a trait needs one copy of its allele; one that takes two copies or two alleles (`Super Pastel`, a named
           compound) needs one copy of either, since the mate gives the other.
           Plans: those that are open and want something, of the same species; and the one that the clutch came of.
           Its kind, at a wanted locus: the look that it shows there, or whether it carries the trait for certain,
           in at least 1 in 2, in `mention_from` or more, or less.
           Sold before: animals of the species that were handed over alone for an agreed price (a gift has none), and were of its kind then.
Source     figures#young-side-by-side.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from fractions import Fraction

from msgspec import Struct

from clutchlight.genetics.inference import Inference
from clutchlight.genetics.values import Figure, JointFigure, NotComputed
from clutchlight.model import Animal, Clutch, Collection, Genotype, Locus, Species, When
from clutchlight.model.private import LogRow, Plan, Private, Sale
from clutchlight.model.traits import grouped
from clutchlight.planning.outcomes import Harm, harms_of
from clutchlight.planning.readiness import weight_on
from clutchlight.planning.room import open_plans
from clutchlight.planning.sales import with_paid_ones_here
from clutchlight.planning.winter import loci_wanted, on_condition, plan_of

LIKELY_FROM = Fraction(1, 2)


class Goal(Struct, frozen=True):
    """Looks that some plans want together, or one without figures, such as a line-bred one, which stands by itself."""

    looks: tuple[str, ...]
    plans: tuple[Plan, ...]


class SoldBefore(Struct, frozen=True):
    """An animal of the same kind that was handed over alone, for what was agreed. `looks`: what it showed then; None: not looked at."""

    animal: str
    looks: tuple[str, ...] | None
    agreed: Fraction
    on: When


class TowardsGoal(Struct, frozen=True):
    """One young and one goal. `carries`: the chance that it carries all that the goal needs; None: not computed.

    `shows`: it shows all of it. `taken`: some of it is certain only on somebody's word or on a condition.
    """

    carries: Fraction | None
    shows: bool
    taken: bool
    sold: tuple[SoldBefore, ...]


class YoungHere(Struct, frozen=True):
    """One young that is here. `towards`: by goal. `held`: the sale that holds it. `harm`: what is known that may hurt it or its young.

    A disorder that it can only carry is none of these: see the statement of the animal."""

    animal: Animal
    weight: LogRow | None
    towards: tuple[TowardsGoal, ...]
    held: Sale | None
    harm: tuple[Harm, ...]


class SideBySide(Struct, frozen=True):
    """The young of a clutch that are here, in the order of its record; `gone`: how many are not."""

    clutch: Clutch
    goals: tuple[Goal, ...]
    young: tuple[YoungHere, ...]
    gone: int


def side_by_side(inference: Inference, private: Private, clutch: Clutch, day: date) -> SideBySide:
    """The young of a clutch on a day, by today's figures. `inference.conflicts` must be empty."""
    collection = inference.collection
    goals = goals_of(collection, private, clutch, day)
    standing = with_paid_ones_here(collection, private, day).animals
    here = [animal for name in clutch.young if (animal := standing[name]).here]
    young = tuple(_young(inference, private, animal, goals, day) for animal in here)
    return SideBySide(clutch, goals, young, len(clutch.young) - len(here))


def worth_a_look(inference: Inference, private: Private, day: date) -> tuple[SideBySide, ...]:
    """Every clutch with young here that may carry all that some plan wants, the latest hatched first."""
    clutches = inference.collection.clutches.values()
    hatched = [(one.hatched.last, one) for one in clutches if one.hatched is not None and one.hatched.last <= day]
    standing = with_paid_ones_here(inference.collection, private, day).animals
    found = []
    for _, clutch in sorted(hatched, key=lambda row: (-row[0].toordinal(), row[1].id)):
        if any(standing[name].here for name in clutch.young):
            shown = side_by_side(inference, private, clutch, day)
            if any(one.carries != 0 for young in shown.young for one in young.towards):
                found.append(shown)
    return tuple(found)


def goals_of(collection: Collection, private: Private, clutch: Clutch, day: date) -> tuple[Goal, ...]:
    """What plans want that young of a clutch could be a parent for: open ones, then the one that it came of."""
    plans = [plan for plan in open_plans(collection, private, day) if collection.animals[plan.female].here]
    own = plan_of(clutch, collection, private)
    if own is not None and own not in plans:
        plans.append(own)
    of_species = (plan for plan in plans if collection.animals[plan.female].species == clutch.species)
    wanted = ((looks, plan) for plan in of_species for looks in _goals(collection.species[clutch.species], plan.want))
    return tuple(Goal(looks, of) for looks, of in grouped(wanted).items())


def _goals(species: Species, looks: Sequence[str]) -> Iterator[tuple[str, ...]]:
    """Those with figures as one, which they have together; each other by itself."""
    if computed := tuple(name for name in looks if loci_wanted(species, (name,))):
        yield computed
    yield from ((name,) for name in looks if name not in computed)


def carries_all(inference: Inference, animal: Animal, looks: Sequence[str]) -> Fraction | None:
    """The chance that an animal carries all that these looks need; None: not computed."""
    species = inference.collection.species[animal.species]
    if not loci_wanted(species, looks):
        return None
    needed = [(locus, _alleles(locus, looks)) for locus in loci_wanted(species, looks)]
    joint = inference.joint([(animal.id, locus.key) for locus, _ in needed])
    if isinstance(joint, NotComputed):
        return None
    return joint.chance(lambda pairs: all(_has(pair, of) for pair, (_, of) in zip(pairs, needed, strict=True)))


def _alleles(locus: Locus, looks: Sequence[str]) -> tuple[frozenset[int], ...]:
    """For each look of the locus the alleles of which one is needed."""
    found = []
    for name in looks:
        if name in locus.alleles:
            found.append(frozenset({locus.allele_number(name)}))
        elif name in locus.look_names:
            pairs = (pair for look, pairs in locus.looks.items() if name in look for pair in pairs)
            found.append(frozenset(allele for pair in pairs for allele in pair if allele))
    return tuple(found)


def needed_of(species: Species, looks: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    """For each of these looks the traits of which a young must carry one: Pastel of Super Pastel."""
    return tuple(
        tuple(locus.alleles[allele - 1] for allele in sorted(alleles))
        for name in looks
        for locus in loci_wanted(species, (name,))
        for alleles in _alleles(locus, (name,))
    )


def _has(pair: Genotype, needed: Sequence[frozenset[int]]) -> bool:
    return all(not alleles.isdisjoint(pair) for alleles in needed)


def _young(inference: Inference, private: Private, animal: Animal, goals: Sequence[Goal], day: date) -> YoungHere:
    shown = set((animal.reading.shows if animal.reading is not None else None) or ())
    towards = tuple(
        TowardsGoal(
            carries_all(inference, animal, goal.looks),
            shown.issuperset(goal.looks),
            _taken(inference, animal, goal.looks),
            tuple(_sold(inference, private, animal, goal.looks, day)),
        )
        for goal in goals
    )
    held = next((sale for sale in private.sales if animal.id in sale.animals and sale.held_on(day)), None)
    return YoungHere(animal, weight_on(private.of(animal.id), day), towards, held, tuple(_harm(inference, animal)))


def _taken(inference: Inference, animal: Animal, looks: Sequence[str]) -> bool:
    """Whether it is certain of some allele that the looks need, and only on a condition."""
    return any(
        on_condition(inference, animal.id, locus, allele) is not None
        for locus in loci_wanted(inference.collection.species[animal.species], looks)
        for allele in frozenset[int]().union(*_alleles(locus, looks))
    )


# What its kind was sold for

Kind = tuple[str, ...]


def _sold(
    inference: Inference, private: Private, animal: Animal, looks: Sequence[str], day: date
) -> Iterator[SoldBefore]:
    """The latest first."""
    kind = _kind(inference, animal, looks, None)
    sold = [
        (sale.handed_over, sale.agreed, sale.animals[0])
        for sale in private.sales
        if len(sale.animals) == 1 and sale.agreed and sale.handed_over is not None
        if sale.gone_on(day) and not sale.back_on(day)
    ]
    for on, agreed, name in sorted(sold, key=lambda row: (-row[0].last.toordinal(), row[2])):
        other = inference.collection.animals[name]
        if other.species != animal.species or name == animal.id or kind is None:
            continue
        if _kind(inference, other, looks, on.last) == kind:
            yield SoldBefore(name, reading.shows if (reading := other.reading_on(on.last)) else None, agreed, on)


def _kind(inference: Inference, animal: Animal, looks: Sequence[str], day: date | None) -> Kind | None:
    """What it is of the wanted looks, today or as it stood on a day; None where a figure is not computed."""
    species = inference.collection.species[animal.species]
    shown = reading.shows if (reading := animal.reading_on(day or date.max)) else None
    found = []
    for locus in loci_wanted(species, looks):
        figure = inference.now(animal.id, locus.key) if day is None else inference.at(animal.id, locus.key, day)
        if not isinstance(figure, Figure):
            return None
        needed = _alleles(locus, looks)
        here = [name for name in shown or () if name in locus.look_names]
        found.append(
            " ".join(here) or _how_likely(figure.chance(lambda pair, of=needed: _has(pair, of)), inference)  # type: ignore[misc]
        )
    return tuple(found) or None


def _how_likely(chance: Fraction, inference: Inference) -> str:
    if chance == 1:
        return "certain"
    if chance >= LIKELY_FROM:
        return "likely"
    return "possible" if chance >= inference.collection.settings.mention_from else "none"


# Harm


def _harm(inference: Inference, animal: Animal) -> Iterator[Harm]:
    """What is known to harm an animal that shows or has what it may have, in the order of the catalogue; then of looks together."""
    shown = (animal.reading.shows if animal.reading is not None else None) or ()
    species = inference.collection.species[animal.species]
    for locus in inference.loci_in_play(animal.species):
        figure = inference.now(animal.id, locus.key)
        if not isinstance(figure, Figure):
            continue
        if locus.affects:
            for number, trait in enumerate(locus.alleles, 1):
                if affected := figure.chance(lambda pair, at=locus, of=number: at.shows_allele(pair, of)):  # type: ignore[misc]
                    yield Harm((trait,), locus.affects, locus.welfare_source, affected)
            continue
        yield from harms_of(locus, dict(figure.genotypes))
        if locus.welfare and (seen := tuple(name for name in shown if locus.may_trouble((name,)))):
            yield Harm(seen, locus.welfare, locus.welfare_source, Fraction(1))
    told = species.harms_of(shown)
    for one in species.harm_together:
        if chance := Fraction(1) if one in told else _with_all(inference, animal, one.looks):
            yield Harm(one.looks, one.text, one.source, chance)


def _with_all(inference: Inference, animal: Animal, looks: Sequence[str]) -> Fraction:
    """The chance that an animal has all of these looks, seen or not; nothing where it is not computed."""
    keys = inference.collection.species[animal.species].locus_of_look
    loci = inference.loci_in_play(animal.species)
    at = [(look, locus) for look in looks for locus in loci if locus.key in keys[look]]
    joint = inference.joint([(animal.id, locus.key) for _, locus in at]) if len(at) == len(looks) else None
    if not isinstance(joint, JointFigure):
        return Fraction(0)
    return joint.chance(
        lambda pairs: all(of.shows_look(pair, look) for pair, (look, of) in zip(pairs, at, strict=True))
    )
