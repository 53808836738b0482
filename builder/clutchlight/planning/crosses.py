"""The young of known parents: which looks they can have at a locus, what they carry, and which loci their looks hide.

Computes   for the parents' states (s, d): P(look of an egg's hatchling), in one sex or in both together, and P(genotype and look);
           for each clutch of known parents the chance h that the looks at other loci leave a locus untold.
Symbols    kind = (sex or None, look) of a hatchling at one locus; sex is None where the sexes are not told apart there.
Formula    sums of T(c | s, d) over the states c behind a look. The hiding loci in turn, each by the looks that its parents' states give;
           behind a locus that is itself hidden, all that it might hide is untold too.
Assumes    a subtle look is counted as the look it is: somebody searched for it.
Cost       one pass over the states for each pair of parents' states, once; for hiding one for each combination of parents' states at the
           hiding loci, HIDING_STATES of them at most.
Source     figures#inheritance-by-mendel, figures#outcomes, figures#hidden-loci.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction
from functools import cache, cached_property

from clutchlight.genetics.pairs import Members, Together
from clutchlight.genetics.states import States
from clutchlight.genetics.terms import gathered, over
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
        return gathered(
            (self._kind(state), over(share, self.states.scale))
            for state, share in enumerate(self.states.young(sire, dam))
            if share
        )

    def genotypes(self, sire: int, dam: int, sex: Sex | None) -> Mapping[Genotype, Fraction]:
        """The chance of each genotype of a hatchling, of one sex or of either; they sum to 1."""
        key = (sire, dam, sex if self.sexed else None)
        if key not in self._behind:
            found = gathered(
                (self.states.pairs[state], over(share, self.states.scale))
                for state, share in enumerate(self.states.young(sire, dam))
                if share and (key[2] is None or self.states.all[state][0] == key[2])
            )
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
        found = gathered(
            (closed | hides(loci[at], look), chance * share)
            for closed, chance in found.items()
            for look, share in looks_at(at, loci[at].key in closed)
            if share
        )
    return found


# What hides a locus


HIDING_STATES = 20_000
"""The most combinations of states at the loci that hide another one that are gone through."""

Untold = tuple[Fraction, ...]
"""For each pair the chance that a hatchling of theirs cannot be told."""


class Hiding:
    """What hides what in the young of several pairs, each a sire and a dam by their number among the members."""

    def __init__(self, together: Together, crosses: Sequence[Cross], pairs: Sequence[tuple[int, int]]) -> None:
        self.together = together
        self.crosses = crosses
        self.pairs = tuple(pairs)
        self.hiders, self.rows = cache(self._hiders), cache(self._rows)

    @cached_property
    def _looks_possible(self) -> tuple[tuple[frozenset[str], ...], ...]:
        return tuple(tuple(dict.fromkeys(self._looks_at(locus))) for locus in range(len(self.crosses)))

    def _looks_at(self, locus: int) -> list[frozenset[str]]:
        group = self.together.group_of(locus)
        at = group.loci.index(locus)
        tables = (row for part in group.parts for row in part.tables[at])
        pairs = dict.fromkeys((members[sire], members[dam]) for members, _ in tables for sire, dam in self.pairs)
        return [look for pair in pairs for _, look in self.crosses[locus].kinds(*pair)]

    @cached_property
    def _hidable(self) -> frozenset[int]:
        """The loci that some look may hide, straight or by way of another."""
        loci = self.together.loci
        keys = {
            key
            for index, looks in enumerate(self._looks_possible)
            for look in looks
            for key in hides(loci[index], look)
        }
        while True:
            found = frozenset(index for index, locus in enumerate(loci) if locus.key in keys)
            more = {key for index in found for key in hides(loci[index], None)} - keys
            if not more:
                return found
            keys |= more

    def _hiders(self, locus: int) -> tuple[int, ...]:
        """The loci that can hide this one, straight or by way of another, in the order of hiding."""
        loci, order = self.together.loci, hiding_order(self.together.loci)
        found = {locus}
        for index in reversed(order):
            keys = {loci[other].key for other in found}
            straight = any(keys & hides(loci[index], look) for look in self._looks_possible[index])
            if straight or (keys & hides(loci[index], None) and index in self._hidable):
                found.add(index)
        return tuple(index for index in order if index in found and index != locus)

    def blanks(self, locus: int) -> Mapping[tuple[int, Untold], Fraction] | None:
        """(Part of the locus's group, for each pair the chance that a hatchling cannot be told there), with their own chance.

        None: too many combinations to go through.
        """
        hiders = self.hiders(locus)
        if not hiders:
            nothing = (Fraction(0),) * len(self.pairs)
            return {(number, nothing): part.chance for number, part in enumerate(self.together.group_of(locus).parts)}
        found: dict[tuple[int, Untold], Fraction] = {}
        for count, (part, states, likely) in enumerate(self.together.combinations(hiders, beside=locus)):
            if count == HIDING_STATES:
                return None
            held = dict(zip(hiders, states, strict=True))
            key = (part, tuple(self._hidden(locus, hiders, held, pair) for pair in self.pairs))
            found[key] = found.get(key, Fraction(0)) + likely
        return found

    def _rows(self, locus: int) -> Mapping[tuple[Members, Untold], Fraction] | None:
        """The members' states at a locus with what hides it in their young, and their chances; None: too many to go through."""
        hidden = self.blanks(locus)
        if hidden is None:
            return None
        group = self.together.group_of(locus)
        at = group.loci.index(locus)
        return gathered(
            ((members, untold), weight * chance)
            for (part, untold), weight in hidden.items()
            for members, chance in group.parts[part].tables[at]
        )

    def _hidden(
        self, locus: int, hiders: Sequence[int], held: Mapping[int, Members], pair: tuple[int, int]
    ) -> Fraction:
        """The chance that the looks at the hiding loci leave a locus untold, for parents of these states."""

        def looks_at(hider: int, hidden: bool) -> Iterable[tuple[Look | None, Fraction]]:
            if hidden:
                return ((None, Fraction(1)),)
            kinds = self.crosses[hider].kinds(*(held[hider][member] for member in pair))
            return ((look, chance) for (_, look), chance in kinds.items())

        found = hidden_together(self.together.loci, hiders, looks_at)
        key = self.together.loci[locus].key
        return sum((chance for closed, chance in found.items() if key in closed), Fraction(0))
