"""The young of known parents at one locus: which looks they can have and what they carry.

Computes   for the parents' states (s, d): P(look of an egg's hatchling), in one sex or in both together, and P(genotype and look).
Symbols    kind = (sex or None, look) of a hatchling at one locus; sex is None where the sexes are not told apart there.
Formula    sums of T(c | s, d) over the states c behind a look.
Assumes    a subtle look is counted as the look it is: somebody searched for it.
Cost       one pass over the states for each pair of parents' states, once.
Source     figures#inheritance-by-mendel, figures#outcomes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction
from functools import cache, cached_property

from clutchlight.genetics.pairs import Together
from clutchlight.genetics.states import States
from clutchlight.genetics.terms import over
from clutchlight.model import NORMAL, Genotype, Locus, Look, Sex

Kind = tuple[Sex | None, Look]


class Cross:
    """The tables of one locus."""

    def __init__(self, locus: Locus, states: States) -> None:
        self.locus = locus
        self.states = states
        self.kinds = cache(self._kinds)
        self._behind: dict[tuple[int, int, Sex | None], Mapping[Genotype, Fraction]] = {}

    @property
    def sexed(self) -> bool:
        """Whether the sexes differ at this locus."""
        return self.states.linked

    @cached_property
    def looks(self) -> tuple[Look, ...]:
        """Every look of the locus, normal first, in the order of its genotypes."""
        return tuple(self.locus.looks)

    def _kinds(self, sire: int, dam: int) -> Mapping[Kind, Fraction]:
        """The chance of each kind of hatchling of these parents; they sum to 1."""
        found: dict[Kind, Fraction] = {}
        for state, share in enumerate(self.states.young(sire, dam)):
            if share:
                kind = self._kind(state)
                found[kind] = found.get(kind, Fraction(0)) + over(share, self.states.scale)
        return found

    def genotypes(self, sire: int, dam: int, sex: Sex | None) -> Mapping[Genotype, Fraction]:
        """The chance of each genotype of a hatchling, of one sex or of either; they sum to 1."""
        key = (sire, dam, sex if self.sexed else None)
        if key not in self._behind:
            found: dict[Genotype, Fraction] = {}
            for state, share in enumerate(self.states.young(sire, dam)):
                if share and (key[2] is None or self.states.all[state][0] == key[2]):
                    pair = self.states.pairs[state]
                    found[pair] = found.get(pair, Fraction(0)) + over(share, self.states.scale)
            whole = sum(found.values(), Fraction(0))
            self._behind[key] = {pair: chance / whole for pair, chance in found.items()}
        return self._behind[key]

    def look(self, sire: int, dam: int, sex: Sex | None, look: Look) -> Fraction:
        """The chance of a look among hatchlings of one sex, or of either."""
        look_of = self.locus.look_of
        return sum(
            (chance for pair, chance in self.genotypes(sire, dam, sex).items() if look_of[pair] == look), Fraction(0)
        )

    def not_showing(self, sire: int, dam: int, allele: int) -> Fraction:
        """The chance that one hatchling that can be told does not show the trait."""
        kinds = self.kinds(sire, dam).items()
        return sum((chance for (_, look), chance in kinds if not shows(self.locus, look, allele)), Fraction(0))

    def _kind(self, state: int) -> Kind:
        sex = self.states.all[state][0]
        told: Sex | None = "male" if sex == "male" else "female" if sex == "female" else None
        return told, self.locus.look_of[self.states.pairs[state]]


def crosses_of(together: Together) -> tuple[Cross, ...]:
    return tuple(Cross(locus, states) for locus, states in zip(together.loci, together.states, strict=True))


def shows(locus: Locus, look: Look, allele: int) -> bool:
    """Whether a look tells that the allele is there: every genotype behind it has it."""
    return look != NORMAL and all(allele in pair for pair in locus.looks.get(look, ()))


def hiding_order(loci: Sequence[Locus]) -> tuple[int, ...]:
    """The positions of the loci, those that hide others before what they hide; a circle is cut at its first locus."""
    position = {locus.key: index for index, locus in enumerate(loci)}
    hiders: dict[int, list[int]] = {index: [] for index in range(len(loci))}
    for index, locus in enumerate(loci):
        for keys in locus.hides.values():
            for key in keys:
                if key in position and position[key] != index:
                    hiders[position[key]].append(index)
    order: list[int] = []
    under_way: set[int] = set()

    def place(index: int) -> None:
        if index in under_way or index in order:
            return
        under_way.add(index)
        for hider in hiders[index]:
            place(hider)
        order.append(index)

    for index in range(len(loci)):
        place(index)
    return tuple(order)


def hides(locus: Locus, look: Look | None) -> frozenset[str]:
    """The keys of the loci that cannot be told beside this look; beside a look that is itself hidden (None): all it might hide."""
    if look is None:
        return frozenset(key for keys in locus.hides.values() for key in keys)
    return frozenset(key for name in look for key in locus.hides.get(name, ()))


def hidden_together(
    loci: Sequence[Locus], order: Iterable[int], looks_at: Callable[[int, bool], Iterable[tuple[Look | None, Fraction]]]
) -> Mapping[frozenset[str], Fraction]:
    """The chances of what the looks at loci, gone through in the order of hiding, hide of one hatchling, by keys.

    `looks_at`: the looks of a locus that count, with their chances, where it is hidden (True) and where it is told.
    """
    found: dict[frozenset[str], Fraction] = {frozenset(): Fraction(1)}
    for at in order:
        further: dict[frozenset[str], Fraction] = {}
        for closed, chance in found.items():
            for look, share in looks_at(at, loci[at].key in closed):
                shut = closed | hides(loci[at], look)
                if share:
                    further[shut] = further.get(shut, Fraction(0)) + chance * share
        found = further
    return found
