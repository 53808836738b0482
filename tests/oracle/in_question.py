"""Who takes the frequency `unrecorded` in place of the limit: the founders in question, found by trying each alternative of a doubt.

A doubt is who sired a clutch or an egg, the sex of an unsexed hatchling, or the copies of which a test that may be wrong found
some number. Where the limit gives no chance to an alternative (of a test: to the number it found) though some assignment with it
has weight, each alternative is made true by itself, and the sum over all assignments says which founders hold, at the lowest
power of the sum over all loci, more copies than their own look and error-free tests need. They are in question there. Only
relatives of the doubt's animals are.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from copy import copy

from msgspec import Struct
from msgspec.structs import replace
from tests.oracle.case import NONE
from tests.oracle.population import Egg, Founder, Population, parents_of
from tests.oracle.sum_assignments import KEPT, Sum

Questioned = frozenset[tuple[str, int]]  # (founder, number of the locus)


class Alternative(Struct, frozen=True):
    """The population in which it is true, whether the limit gives it no chance, and whether that opens the doubt."""

    people: Population
    chanceless: bool
    opens: bool = True


def in_question(people: Population, limit: Sum) -> Questioned:
    """Every founder in question, for all doubts together, each found by the limit alone."""
    if not limit.possible:
        return frozenset()
    family = _relatives(people)
    found: set[tuple[str, int]] = set()
    for unit, alternatives in _doubts(people, limit):
        if not any(one.chanceless and one.opens for one in alternatives):
            continue
        sums = [(one, Sum(one.people, "figures")) for one in alternatives]
        kept = limit.order.power // KEPT
        fits = [(one, total) for one, total in sums if total.possible and total.order.power // KEPT == kept]
        if any(one.chanceless and one.opens for one, _ in fits):
            for _, total in fits:
                found.update(place for place in _holding_more(people, total) if family[place[0]] == family[unit])
    return frozenset(found)


def _doubts(people: Population, limit: Sum) -> Iterator[tuple[str, list[Alternative]]]:
    """Each doubt with one of its animals."""
    clutches = dict.fromkeys(egg.clutch for egg in people.eggs.values() if egg.clutch)
    for clutch in clutches:
        chances = {sires[0]: chance for sires, chance in limit.doubts((clutch,)).items()}
        eggs = [egg for egg in people.eggs.values() if egg.clutch == clutch]
        yield (
            eggs[0].key,
            [
                Alternative(_with(people, [replace(egg, sires=(one,)) for egg in eggs]), not chances.get(one[0]))
                for one in eggs[0].sires
            ],
        )
    for egg in people.eggs.values():
        if egg.mixed and len(egg.sires) > 1:
            states = limit.chances((egg.key,), (), hidden=True)
            sires = {state[0] for (state,) in states}
            yield (
                egg.key,
                [Alternative(_with(people, [replace(egg, sires=(one,))]), one[0] not in sires) for one in egg.sires],
            )
        linked = tuple(n for n, locus in enumerate(people.case.loci) if locus.crossover is not None)
        if egg.sex is None and linked:
            sexes = {state[1] for (state,) in limit.chances((egg.key,), linked, hidden=True)}
            yield (
                egg.key,
                [Alternative(_with(people, [replace(egg, sex=sex)]), sex not in sexes) for sex in ("male", "female")],
            )
    units: list[Founder | Egg] = [*people.founders.values(), *people.eggs.values()]
    for unit in units:
        yield from _tested(people, limit, unit)


def _tested(people: Population, limit: Sum, unit: Founder | Egg) -> Iterator[tuple[str, list[Alternative]]]:
    for test in unit.tests:
        n = next(n for n, locus in enumerate(people.case.loci) if test.trait in locus.alleles)
        numbers = sorted({genotype.count(test.trait) for genotype in unit.allowed[n]})
        if not test.error or test.copies not in numbers or len(numbers) == 1:
            continue
        held = {state[2][0].count(test.trait) for (state,) in limit.chances((unit.key,), (n,))}
        alternatives = []
        for number in numbers:
            left = frozenset(genotype for genotype in unit.allowed[n] if genotype.count(test.trait) == number)
            allowed = (*unit.allowed[:n], left, *unit.allowed[n + 1 :])
            changed = _with(people, [replace(unit, allowed=allowed)])
            alternatives.append(Alternative(changed, number not in held, number == test.copies))
        yield unit.key, alternatives


def _with(people: Population, units: Iterable[Founder | Egg]) -> Population:
    """The same population with some units in other terms."""
    found = copy(people)
    found.founders = people.founders | {unit.key: unit for unit in units if isinstance(unit, Founder)}
    found.eggs = people.eggs | {unit.key: unit for unit in units if isinstance(unit, Egg)}
    return found


def _holding_more(people: Population, total: Sum) -> Iterator[tuple[str, int]]:
    """The founders that hold more, in some assignment at the lowest power, than their own look and error-free tests need."""
    for key, founder in people.founders.items():
        for n in range(len(people.case.loci)):
            orders = total.orders_of(founder, n)
            needed = min(orders.values(), default=0)
            for ((_, _, (genotype,)),) in total.chances((key,), (n,)):
                if orders.get(genotype, 0) > needed:
                    yield key, n
                    break


def _relatives(people: Population) -> dict[str, str]:
    """One name for all that are related to each other, by blood or through young."""
    name = {key: key for key in (*people.founders, *people.eggs)}
    for egg in people.eggs.values():
        parents = [people.unit_of.get(parent, parent) for parent in parents_of(egg) if parent != NONE]
        old = {name[key] for key in (egg.key, *parents)}
        name = {key: egg.key if one in old else one for key, one in name.items()}
    return name
