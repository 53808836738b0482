"""What a clutch would prove of its parents, whatever anybody claimed of them.

Computes   forced: the chance that the looks of n hatchlings leave no possible assignment in which a parent lacks the allele;
           if_none: P(parent carries it | n hatchlings, none of whose looks shows the trait).
Symbols    kind = (sex, look) of a hatchling at a locus; m = states of all members (sire, dam, perhaps a second sire) at a locus;
           hypothesis = how the sires in doubt among ancestors, and who sired this clutch, fell; R(locus, hypothesis) = the members'
           states that are possible at all; box = a set of kinds at each locus; h = chance that another look hides the locus.
Formula    The clutch does not force the allele just when its kinds lie within one of these boxes: for a hypothesis, the kinds that
           some m in R without the allele can have, and at each other locus those that some m in R can have. The chance of lying within
           one of several boxes is the signed sum over their intersections; within one box it is
           E[(h + (1 - h) p(box | m))^n], multiplied over loci given a part of the figures.
           if_none = E[carries q^n] / E[q^n], q = chance that one hatchling does not show the trait.
Assumes    the clutch is complete, on record, and hatches after everything else. For `if_none` all its hatchlings can be told.
           Other loci matter only where a sire is in doubt. They are left out where looks hide loci as well, where they always
           look alike, and beyond BOXES boxes: then the chance is a little too low, never too high.
Cost       a sum over the members' states at a locus for each intersection of boxes.
Source     inclusion and exclusion (any combinatorics text); figures#forced,
           figures#what-a-clutch-proves.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property
from itertools import product

from clutchlight.genetics.pairs import Members, Together, Way
from clutchlight.planning.crosses import Cross, Kind, hides, hiding_order, shows

BOXES = 2048
"""The most intersections of boxes that are summed."""

HIDING_STATES = 20_000
"""The most combinations of states at the loci that hide another one that are gone through."""

Box = tuple[int, ...]
"""A set of kinds, as a mask, at each of several loci."""


@dataclass(frozen=True, slots=True)
class Proof:
    """What a clutch says about one trait of one parent that is not certain whatever anybody claimed.

    `chance`: that its hatchlings force the trait; None: not computed. `now`: the parent's chance of carrying it before the clutch.
    `if_none`: after the clutch, all seen, none showing the trait; None where such a clutch cannot be.
    """

    animal: str
    locus: str
    trait: str
    now: Fraction
    chance: Fraction | None
    if_none: Fraction | None


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One way the sires in doubt may have fallen; `sire`: the member who sired the clutch in question."""

    way: Way
    sire: int


class Proofs:
    """What a clutch of `young` would prove. `sires`: the members of whom one sired all of it, equally likely; the dam is member 1."""

    def __init__(self, together: Together, crosses: Sequence[Cross], young: int, sires: Sequence[int] = (0,)) -> None:
        self.together = together
        self.crosses = tuple(crosses)
        self.young = young
        self.sires = tuple(sires)
        self.kinds, self.able = cache(self._kinds), cache(self._able)
        self.hiders, self.at = cache(self._hiders), cache(self._at)

    # -- the chance of a proof -----------------------------------------------------------------------------------------

    def is_forced(self, member: int, locus: int, allele: int) -> bool:
        """Whether it is certain already."""
        return all(
            self.has(locus, members[member], allele)
            for way in self.together.ways
            for members in self.together.possible(locus, way)
        )

    def forced(self, member: int, locus: int, allele: int) -> Fraction | None:
        """The chance that the clutch makes it certain that a member carries an allele; None: too much to go through."""
        loci = (locus, *self._informative(locus))
        signed = signed_union(self._boxes(member, loci, allele), BOXES)
        if signed is None and len(loci) > 1:
            loci = (locus,)
            signed = signed_union(self._boxes(member, loci, allele), BOXES)
        if signed is None:
            return None
        unforced = Fraction(0)
        for sire in self.sires:
            blanks = self._blanks(locus, sire)
            if blanks is None:
                return None
            for box, sign in signed.items():
                unforced += sign * self._within(dict(zip(loci, box, strict=True)), locus, sire, blanks)
        return 1 - unforced / len(self.sires)

    @cached_property
    def hypotheses(self) -> tuple[Hypothesis, ...]:
        return tuple(Hypothesis(way, sire) for way in self.together.ways for sire in self.sires)

    def _informative(self, locus: int) -> tuple[int, ...]:
        """The other loci whose looks can rule out a hypothesis."""
        if len(self.hypotheses) == 1 or self._hiding:
            return ()
        return tuple(
            other
            for other in range(len(self.crosses))
            if other != locus and len(self.kinds(other)) > 1 and not self._silent(other)
        )

    def _silent(self, locus: int) -> bool:
        whole = (1 << len(self.kinds(locus))) - 1
        return all(any(kinds == whole for _, kinds in self.able(locus, each)) for each in self.hypotheses)

    def _boxes(self, member: int, loci: Sequence[int], allele: int) -> tuple[Box, ...]:
        """The boxes in which a member without the allele remains possible."""
        found: dict[Box, None] = {}
        for each in self.hypotheses:
            lacking = [
                kinds for members, kinds in self.able(loci[0], each) if not self.has(loci[0], members[member], allele)
            ]
            rows = [largest(lacking)]
            rows += [largest(kinds for _, kinds in self.able(other, each)) for other in loci[1:]]
            found.update(dict.fromkeys(product(*rows)))
        return tuple(found)

    def _within(
        self, box: Mapping[int, int], locus: int, sire: int, blanks: Mapping[tuple[int, Fraction], Fraction]
    ) -> Fraction:
        """The chance that all hatchlings of a clutch of this sire are of kinds in a box."""
        chance = Fraction(1)
        for group in self.together.groups:
            inside = [(at, position) for at, position in enumerate(group.loci) if position in box]
            rows = (
                [(number, blank, weight) for (number, blank), weight in blanks.items()]
                if locus in group.loci
                else [(number, Fraction(0), part.chance) for number, part in enumerate(group.parts)]
            )
            total = Fraction(0)
            for number, blank, weight in rows:
                term = weight
                for at, position in inside:
                    hidden = blank if position == locus else Fraction(0)
                    term *= self._locus_within(position, group.parts[number].tables[at], sire, box[position], hidden)
                total += term
            chance *= total
        return chance

    def _locus_within(
        self, locus: int, table: Sequence[tuple[Members, Fraction]], sire: int, mask: int, hidden: Fraction
    ) -> Fraction:
        kinds = self.kinds(locus)
        found = Fraction(0)
        for members, chance in table:
            inside = sum(
                (share for kind, share in self.of(locus, members, sire).items() if mask >> kinds.index(kind) & 1),
                Fraction(0),
            )
            found += chance * (hidden + (1 - hidden) * inside) ** self.young
        return found

    # -- kinds of hatchlings -------------------------------------------------------------------------------------------

    def _kinds(self, locus: int) -> tuple[Kind, ...]:
        """The kinds of hatchling that the figures give a chance at a locus."""
        found = (kind for members, _ in self.at(locus) for sire in self.sires for kind in self.of(locus, members, sire))
        return tuple(dict.fromkeys(found))

    def of(self, locus: int, members: Members, sire: int) -> Mapping[Kind, Fraction]:
        """The chance of each kind of hatchling of the dam and one of the sires."""
        return self.crosses[locus].kinds(members[sire], members[1])

    def _able(self, locus: int, hypothesis: Hypothesis) -> tuple[tuple[Members, int], ...]:
        """The members' states that are possible under a hypothesis, with the kinds, as a mask, that their young can be."""
        kinds = self.kinds(locus)
        rows = {}
        for members in sorted(self.together.possible(locus, hypothesis.way)):
            able = self.of(locus, members, hypothesis.sire)
            rows[members] = sum(1 << number for number, kind in enumerate(kinds) if kind in able)
        return tuple(rows.items())

    def has(self, locus: int, state: int, allele: int) -> bool:
        return allele in self.crosses[locus].states.pairs[state]

    # -- loci that hide others -----------------------------------------------------------------------------------------

    @cached_property
    def _looks_possible(self) -> tuple[tuple[frozenset[str], ...], ...]:
        return tuple(tuple(dict.fromkeys(look for _, look in self.kinds(n))) for n in range(len(self.crosses)))

    def _hiders(self, locus: int) -> tuple[int, ...]:
        """The loci that can hide this one, straight or by way of another, in the order of hiding."""
        loci, order = self.together.loci, hiding_order(self.together.loci)
        found = {locus}
        for index in reversed(order):
            keys = {loci[other].key for other in found}
            straight = any(keys & hides(loci[index], look) for look in self._looks_possible[index])
            if straight or (keys & hides(loci[index], None) and self.hiders(index)):
                found.add(index)
        return tuple(index for index in order if index in found and index != locus)

    @cached_property
    def _hiding(self) -> bool:
        return any(self.hiders(locus) for locus in range(len(self.crosses)))

    def _blanks(self, locus: int, sire: int) -> Mapping[tuple[int, Fraction], Fraction] | None:
        """How likely it is that a hatchling cannot be told at a locus: (part of the locus's group, that chance) with their own chance.

        None: too many combinations to go through.
        """
        groups = self.together.groups
        home = self._group_of(locus)
        hiders = self.hiders(locus)
        if not hiders:
            return {(number, Fraction(0)): part.chance for number, part in enumerate(groups[home].parts)}
        numbers = list(dict.fromkeys((home, *(self._group_of(hider) for hider in hiders))))
        found: dict[tuple[int, Fraction], Fraction] = {}
        count = 0
        for choice in product(*(range(len(groups[number].parts)) for number in numbers)):
            weight = Fraction(1)
            tables: dict[int, tuple[tuple[Members, Fraction], ...]] = {}
            for number, pick in zip(numbers, choice, strict=True):
                part = groups[number].parts[pick]
                weight *= part.chance
                tables.update(zip(groups[number].loci, part.tables, strict=True))
            for rows in product(*(tables[hider] for hider in hiders)):
                count += 1
                if count > HIDING_STATES:
                    return None
                likely = weight
                for _, chance in rows:
                    likely *= chance
                held = {hider: members for hider, (members, _) in zip(hiders, rows, strict=True)}
                key = (choice[0], self._hidden(locus, hiders, held, sire))
                found[key] = found.get(key, Fraction(0)) + likely
        return found

    def _group_of(self, locus: int) -> int:
        return next(number for number, group in enumerate(self.together.groups) if locus in group.loci)

    def _hidden(self, locus: int, hiders: Sequence[int], held: Mapping[int, Members], sire: int) -> Fraction:
        """The chance that the looks at the hiding loci leave a locus untold, for parents of these states."""
        closings: dict[frozenset[str], Fraction] = {frozenset(): Fraction(1)}
        for hider in hiders:
            value = self.together.loci[hider]
            further: dict[frozenset[str], Fraction] = {}
            for closed, chance in closings.items():
                if value.key in closed:
                    rows: dict[frozenset[str], Fraction] = {hides(value, None): Fraction(1)}
                else:
                    rows = {}
                    for (_, look), likely in self.of(hider, held[hider], sire).items():
                        shut = hides(value, look)
                        rows[shut] = rows.get(shut, Fraction(0)) + likely
                for shut, likely in rows.items():
                    further[closed | shut] = further.get(closed | shut, Fraction(0)) + chance * likely
            closings = further
        key = self.together.loci[locus].key
        return sum((chance for closed, chance in closings.items() if key in closed), Fraction(0))

    # -- a clutch that shows nothing -----------------------------------------------------------------------------------

    def open_traits(self, member: int) -> Iterator[tuple[Fraction, int, int]]:
        """What a member may carry and what is not certain whatever anybody claimed: the chance, the locus and the allele."""
        for position, locus in enumerate(self.together.loci):
            for allele in range(1, len(locus.alleles) + 1):
                now = self.now(member, position, allele)
                if now and not self.is_forced(member, position, allele):
                    yield now, position, allele

    def now(self, member: int, locus: int, allele: int) -> Fraction:
        """The chance that a member carries an allele, before the clutch."""
        return sum((c for members, c in self.at(locus) if self.has(locus, members[member], allele)), Fraction(0))

    def if_none(self, member: int, locus: int, allele: int, young: int | None = None) -> Fraction | None:
        """Its chance after a clutch (of another size, if given) in which no hatchling shows the trait; None: there is no such clutch."""
        carries, whole = self.none_shown(member, locus, allele, self.young if young is None else young)
        return carries / whole if whole else None

    def none_shown(self, member: int, locus: int, allele: int, young: int) -> tuple[Fraction, Fraction]:
        """The chances that no hatchling shows the trait while the member carries it, and that none shows it at all."""
        carries = whole = Fraction(0)
        for members, chance in self.at(locus):
            silent = sum((self.not_showing(locus, members, allele, sire) ** young for sire in self.sires), Fraction(0))
            whole += chance * silent / len(self.sires)
            if self.has(locus, members[member], allele):
                carries += chance * silent / len(self.sires)
        return carries, whole

    def not_showing(self, locus: int, members: Members, allele: int, sire: int) -> Fraction:
        """The chance that one hatchling does not show the trait."""
        value = self.together.loci[locus]
        kinds = self.of(locus, members, sire).items()
        return sum((chance for (_, look), chance in kinds if not shows(value, look, allele)), Fraction(0))

    def _at(self, locus: int) -> tuple[tuple[Members, Fraction], ...]:
        """The members' states at one locus by itself."""
        group = self.together.groups[self._group_of(locus)]
        found: dict[Members, Fraction] = {}
        for part in group.parts:
            for members, chance in part.tables[group.loci.index(locus)]:
                found[members] = found.get(members, Fraction(0)) + part.chance * chance
        return tuple(found.items())


def largest(masks: Iterable[int]) -> tuple[int, ...]:
    """The masks that lie in no other one."""
    found = tuple(dict.fromkeys(masks))
    return tuple(mask for mask in found if not any(mask & ~other == 0 for other in found if other != mask))


def signed_union(boxes: Iterable[Box], limit: int) -> Mapping[Box, int] | None:
    """Signed intersections whose sum is the chance of lying in at least one of the boxes; None beyond `limit` of them."""
    found: dict[Box, int] = {}
    for box in boxes:
        further = dict(found)
        further[box] = further.get(box, 0) + 1
        for other, sign in found.items():
            both = tuple(one & two for one, two in zip(box, other, strict=True))
            further[both] = further.get(both, 0) - sign
        found = {each: sign for each, sign in further.items() if sign}
        if len(found) > limit:
            return None
    return found
