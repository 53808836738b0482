"""How likely a look that is wanted is: at least these traits, whatever else a hatchling shows.

Computes   for several clutches: the chance that an egg, and that at least one of all their hatchlings, shows every wanted look; and how
           many hatchlings do, on average.
Symbols    m = states of all parents; p(m, c) = chance that a hatchling of clutch c shows what is wanted; G(s) = E[s^N], N its hatchlings.
Formula    1 - E[product over clutches of G_c(1 - p(m, c))]: one expectation outside, since clutches share their parents and eggs theirs.
           p = product over loci, each told only if no other look hides it; of both sexes the mean.
Assumes    parents' states and sires in doubt as they stand today.
Cost       loci that hide nothing: the chances of every p by locus, then together. Else a sum over all states; COMBINATIONS at most.
Source     figures#wanted-looks.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from math import prod

from clutchlight.genetics.pairs import Members, Together
from clutchlight.model import NORMAL, Locus, Look, Sex, Species
from clutchlight.planning.crosses import crosses_of, hidden_together, hiding_order, shows
from clutchlight.planning.settling import Brood

COMBINATIONS = 20_000

Shares = tuple[Fraction, ...]
"""Chances for one hatchling: for each clutch, each of its sires and each sex."""


@dataclass(frozen=True, slots=True)
class WantedLook:
    """The looks asked for, and how likely they are: `per_egg` by clutch; `expected` hatchlings of all; `any`, for each supposition of the
    clutches, the chance of at least one."""

    looks: tuple[str, ...]
    per_egg: tuple[Fraction, ...]
    expected: Fraction
    any: tuple[Fraction, ...]


class Wanting:
    """Some wanted looks of the young of several clutches. `together` holds their loci and those that hide them."""

    def __init__(
        self, together: Together, looks: Sequence[str], broods: Sequence[Brood], sex: Sex | None = None
    ) -> None:
        self.together = together
        self.looks = tuple(looks)
        self.broods = tuple(broods)
        self.crosses = crosses_of(together)
        self.good = {
            at: good for at, locus in enumerate(together.loci) if (good := looks_with(locus, looks)) is not None
        }
        linked = any(cross.sexed for cross in self.crosses)
        self.sexes: tuple[Sex | None, ...] = (sex,) if sex else ("male", "female") if linked else (None,)
        self.part = Fraction(1, 2) if sex else Fraction(1)
        self.pairs = [(sire, brood.dam) for brood in broods for sire, _ in brood.sires]

    def answer(self) -> WantedLook | None:
        """None: too many combinations to go through."""
        per_egg = [Fraction(0)] * len(self.broods)
        supposed = range(len(self.broods[0].hatchlings))
        nothing = [Fraction(0)] * len(supposed)
        found = self._shares()
        if found is None:
            return None
        for shares, chance in found.items():
            each = list(self._by_clutch(shares))
            for number, brood in enumerate(self.broods):
                mean = sum(
                    (share * one for (_, share), one in zip(brood.sires, each[number], strict=True)), Fraction(0)
                )
                per_egg[number] += chance * mean
            for at in supposed:
                nothing[at] += chance * prod(
                    (
                        brood.every([1 - share for share in one], at)
                        for brood, one in zip(self.broods, each, strict=True)
                    ),
                    start=Fraction(1),
                )
        expected = sum(
            (brood.hatchlings[0].mean * one for brood, one in zip(self.broods, per_egg, strict=True)), Fraction(0)
        )
        return WantedLook(self.looks, tuple(per_egg), expected, tuple(1 - none for none in nothing))

    def _by_clutch(self, shares: Shares) -> Iterator[list[Fraction]]:
        """For each clutch the chance by sire, sexes put together."""
        sexes = len(self.sexes)
        flat = [self.part * sum(shares[at : at + sexes], Fraction(0)) / sexes for at in range(0, len(shares), sexes)]
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
            here: dict[Shares, Fraction] = {}
            for part in group.parts:
                rows: dict[Shares, Fraction] = {(Fraction(1),) * width: part.chance}
                for at, locus in enumerate(group.loci):
                    rows = _both(rows, self._at_locus(locus, part.tables[at]))
                for shares, chance in rows.items():
                    here[shares] = here.get(shares, Fraction(0)) + chance
            found = _both(found, here)
            if len(found) > COMBINATIONS:
                return None
        return found

    def _at_locus(self, locus: int, table: Sequence[tuple[Members, Fraction]]) -> dict[Shares, Fraction]:
        found: dict[Shares, Fraction] = {}
        for members, chance in table:
            shares = tuple(
                sum(
                    (self.crosses[locus].look(members[sire], members[dam], sex, look) for look in self.good[locus]),
                    Fraction(0),
                )
                for sire, dam in self.pairs
                for sex in self.sexes
            )
            found[shares] = found.get(shares, Fraction(0)) + chance
        return found

    def _walked(self) -> Mapping[Shares, Fraction] | None:
        """The same where looks hide loci: over every combination of states."""
        groups = self.together.groups
        count = prod(sum(prod(len(table) for table in part.tables) for part in group.parts) for group in groups)
        if count > COMBINATIONS:
            return None
        found: dict[Shares, Fraction] = {}
        for parts in product(*(group.parts for group in groups)):
            weight = prod((part.chance for part in parts), start=Fraction(1))
            order = [locus for group in groups for locus in group.loci]
            tables = [table for part in parts for table in part.tables]
            for rows in product(*tables):
                held = {locus: members for locus, (members, _) in zip(order, rows, strict=True)}
                shares = tuple(self._told(held, pair, sex) for pair in self.pairs for sex in self.sexes)
                likely = weight * prod((chance for _, chance in rows), start=Fraction(1))
                found[shares] = found.get(shares, Fraction(0)) + likely
        return found

    def _told(self, held: Mapping[int, Members], pair: tuple[int, int], sex: Sex | None) -> Fraction:
        """The chance that a hatchling of two parents is seen to show all that is wanted."""

        def looks_at(locus: int, hidden: bool) -> Iterator[tuple[Look | None, Fraction]]:
            cross = self.crosses[locus]
            sire, dam = (held[locus][member] for member in pair)
            for look in (None,) if hidden else cross.looks:
                if locus not in self.good or look in self.good[locus]:
                    yield look, Fraction(1) if look is None else cross.look(sire, dam, sex, look)

        found = hidden_together(self.together.loci, hiding_order(self.together.loci), looks_at)
        return sum(found.values(), Fraction(0))


def _both(one: Mapping[Shares, Fraction], other: Mapping[Shares, Fraction]) -> dict[Shares, Fraction]:
    """Chances of products, of two that are independent."""
    found: dict[Shares, Fraction] = {}
    for (shares, chance), (more, likely) in product(one.items(), other.items()):
        both = tuple(a * b for a, b in zip(shares, more, strict=True))
        found[both] = found.get(both, Fraction(0)) + chance * likely
    return found


def looks_with(locus: Locus, names: Sequence[str]) -> frozenset[Look] | None:
    """The looks of a locus that show every one of the names that it has; None where it has none of them."""
    here = [name for name in names if name in locus.look_names]
    if not here:
        return None
    return frozenset(look for look in locus.looks if look != NORMAL and all(_shown(locus, look, name) for name in here))


def _shown(locus: Locus, look: Look, name: str) -> bool:
    return name in look or (name in locus.alleles and shows(locus, look, locus.allele_number(name)))


def loci_wanted(species: Species, names: Sequence[str]) -> tuple[Locus, ...]:
    """The computed loci that have one of these look names."""
    return tuple(locus for locus in species.computed_loci if any(name in locus.look_names for name in names))


def with_hiders(species: Species, loci: Sequence[str]) -> list[str]:
    """Loci, and all that can hide them, straight or by way of another, in the order of the catalogue."""
    found = set(loci)
    while True:
        more = {
            locus.key
            for locus in species.computed_loci
            if locus.key not in found and any(key in found for keys in locus.hides.values() for key in keys)
        }
        if not more:
            return [locus.key for locus in species.computed_loci if locus.key in found]
        found |= more
