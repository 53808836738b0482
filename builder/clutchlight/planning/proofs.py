"""What a clutch would prove of its parents, whatever anybody claimed of them: by one sire or one of two, or each egg by either.

Computes   forced: the chance that the looks of the hatchlings leave no possible assignment in which a parent lacks the allele;
           if_none: P(parent carries it | no hatchling shows the trait).
Symbols    kind = (sex, look) of a hatchling at a locus; m = states of all members (sire, dam, perhaps a second sire) at a locus;
           hypothesis = how the sires in doubt among ancestors, and who sired this clutch, fell; R(locus, hypothesis) = the members'
           states that are possible at all; box = a set of kinds at each locus; h = chance that another look hides the locus;
           G(s) = E[s^N], N the number of hatchlings.
Formula    The clutch does not force the allele just when its kinds lie within one of these boxes: for a hypothesis, the kinds that
           some m in R without the allele can have, and at each other locus those that some m in R can have. The chance of lying within
           one of several boxes is the signed sum over their intersections; within one box it is
           E[G(h + (1 - h) p(box | m))]; of several loci the mean over N of E[p(box | m)^N], multiplied over loci given a part.
           if_none = E[carries G(q)] / E[G(q)], q = h + (1 - h) times the chance that a hatchling that can be told does not show it.
Assumes    the clutch is complete, on record, and hatches after everything else.
           Other loci matter only where a sire is in doubt. They are left out where looks hide them or the trait's own, where they always
           look alike, and beyond BOXES boxes: then the chance is a little too low, never too high, and none is given where it would be 0.
Cost       a sum over the members' states at a locus for each intersection of boxes.
Source     inclusion and exclusion (any combinatorics text); figures#forced,
           figures#what-a-clutch-proves.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import cache, cached_property
from itertools import product
from math import prod

from msgspec import Struct

from clutchlight.genetics.pairs import Members, Together, Way
from clutchlight.genetics.states import Kind
from clutchlight.genetics.terms import gathered
from clutchlight.planning.hatchlings import Hatchlings
from clutchlight.planning.hiding import Hiding
from clutchlight.planning.settling import AtOneLocus, Brood

TWO_SIRES = (0, 2)
"""A male and a backup, by their number among the members."""

COMBINATIONS = 4000
"""The most combinations of members' states, and of kinds, over the loci that tell two males' young apart."""

BOXES = 2048
"""The most intersections of boxes that are summed."""

Hypothesis = tuple[Way, int]
"""One way the sires in doubt may have fallen, and the member who sired the clutch in question."""

Box = tuple[int, ...]
"""A set of kinds, as a mask, at each of several loci."""


class Proof(Struct, frozen=True):
    """What a clutch says about one trait of one parent that is not certain whatever anybody claimed.

    `chance`: that its hatchlings force the trait; None: not computed. `now`: the parent's chance of carrying it before the clutch.
    `if_none`: after the clutch, all seen, none of the looks `shown`; None where such a clutch cannot be, or `chance` is not computed.
    `shown`: the looks in which hatchlings can show it, and those that rule it out.
    """

    animal: str
    locus: str
    trait: str
    now: Fraction
    chance: Fraction | None
    if_none: Fraction | None
    shown: tuple[str, ...] = ()

    @property
    def says_something(self) -> bool:
        return self.chance != 0 or self.if_none != self.now


class Proofs:
    """What a clutch would prove. `sires`: the members of whom one sired all of it, equally likely; the dam is member 1."""

    mixed = False

    def __init__(self, together: Together, hatchlings: Hatchlings, sires: Sequence[int] = (0,)) -> None:
        self.together = together
        self.states = together.states
        self.hatchlings = hatchlings
        self.sires = tuple(sires)
        self.at = together.rows_at
        self.kinds, self.able, self.before = cache(self._kinds), cache(self._able), cache(self._before)
        self.hiding = Hiding(together, [(sire, 1) for sire in self.sires])
        self.hiders = self.hiding.hiders

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
        others = tuple(self._informative(locus))
        told = () if self.hiders(locus) else tuple(self._told_beside(locus, others))
        for loci in ((locus, *told), (locus,)):
            signed = signed_union(self._boxes(member, loci, allele), BOXES)
            if signed is not None:
                break
        else:
            return None
        unforced = Fraction(0)
        hidden = self.hiding.blanks(locus)
        if hidden is None:
            return None
        for number, sire in enumerate(self.sires):
            blanks = gathered(((part, blank[number]), chance) for (part, blank), chance in hidden.items())
            for box, sign in signed.items():
                inside = dict(zip(loci, box, strict=True))
                for hatchlings, likely in self._counted(loci):
                    unforced += sign * likely * self._within(inside, locus, sire, blanks, hatchlings)
        return None if unforced == len(self.sires) and len(loci) <= len(others) else 1 - unforced / len(self.sires)

    def _counted(self, loci: Sequence[int]) -> Iterator[tuple[Hatchlings, Fraction]]:
        """The hatchlings; number by number where several loci are seen of the same ones."""
        if len(loci) == 1:
            yield self.hatchlings, Fraction(1)
        else:
            yield from ((Hatchlings.exactly(number), chance) for number, chance in self.hatchlings.chances)

    @cached_property
    def hypotheses(self) -> tuple[Hypothesis, ...]:
        return tuple(product(self.together.ways, self.sires))

    def _informative(self, locus: int) -> Iterator[int]:
        """The other loci whose looks can rule out a hypothesis."""
        for other in range(len(self.states)) if len(self.hypotheses) > 1 else ():
            if other != locus and len(self.kinds(other)) > 1 and not self._silent(other):
                yield other

    def _told_beside(self, locus: int, others: Iterable[int]) -> Iterator[int]:
        """Those that nothing hides; of sex-linked ones, the locus itself among them, the first alone, since eggs have one sex."""
        sexed = self.states[locus].linked
        for other in others:
            linked = self.states[other].linked
            if not self.hiders(other) and not (sexed and linked):
                sexed = sexed or linked
                yield other

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
        self,
        box: Mapping[int, int],
        locus: int,
        sire: int,
        blanks: Mapping[tuple[int, Fraction], Fraction],
        hatchlings: Hatchlings,
    ) -> Fraction:
        """The chance that all hatchlings of a clutch of this sire are of kinds in a box."""
        chance = Fraction(1)
        for group in self.together.groups:
            rows = (
                [(number, blank, weight) for (number, blank), weight in blanks.items()]
                if locus in group.loci
                else [(number, Fraction(0), part.chance) for number, part in enumerate(group.parts)]
            )
            total = Fraction(0)
            for number, blank, term in rows:
                for position, table in zip(group.loci, group.parts[number].tables, strict=True):
                    if position in box:
                        hidden = blank if position == locus else Fraction(0)
                        shares = ((self._inside(position, members, sire, box[position]), c) for members, c in table)
                        term *= sum(
                            (c * hatchlings.every(hidden + (1 - hidden) * one) for one, c in shares), Fraction(0)
                        )
                total += term
            chance *= total
        return chance

    def _inside(self, locus: int, members: Members, sire: int, mask: int) -> Fraction:
        """The chance that a hatchling is of one of the kinds of a mask."""
        kinds = self.of(locus, members, sire).items()
        return sum((share for kind, share in kinds if mask >> self.kinds(locus).index(kind) & 1), Fraction(0))

    # -- kinds of hatchlings -------------------------------------------------------------------------------------------

    def _kinds(self, locus: int) -> tuple[Kind, ...]:
        """The kinds of hatchling that the figures give a chance at a locus."""
        found = (kind for members, _ in self.at(locus) for sire in self.sires for kind in self.of(locus, members, sire))
        return tuple(dict.fromkeys(found))

    def of(self, locus: int, members: Members, sire: int) -> Mapping[Kind, Fraction]:
        """The chance of each kind of hatchling of the dam and one of the sires."""
        return self.states[locus].kinds(members[sire], members[1])

    def _able(self, locus: int, hypothesis: Hypothesis) -> tuple[tuple[Members, int], ...]:
        """The members' states that are possible under a hypothesis, with the kinds, as a mask, that their young can be."""
        kinds, (way, sire) = self.kinds(locus), hypothesis
        rows = {}
        for members in sorted(self.together.possible(locus, way)):
            able = self.of(locus, members, sire)
            rows[members] = sum(1 << number for number, kind in enumerate(kinds) if kind in able)
        return tuple(rows.items())

    def has(self, locus: int, state: int, allele: int) -> bool:
        return allele in self.states[locus].pairs[state]

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

    def if_none(self, member: int, locus: int, allele: int) -> Fraction | None:
        """Its chance after a clutch in which no hatchling shows the trait; None: there is no such clutch, or it is not computed."""
        at = self.before(locus)
        return at.if_none(member, allele) if at is not None else None

    def shown(self, member: int, locus: int, allele: int) -> tuple[str, ...]:
        """The looks in which hatchlings can show the trait, and those that rule it out."""
        at = self.before(locus)
        return at.shown(member, allele) if at is not None else ()

    def _before(self, locus: int) -> AtOneLocus | None:
        """A locus before the clutch; None: too much hides it to go through."""
        sires = tuple((sire, Fraction(1, len(self.sires))) for sire in self.sires)
        return AtOneLocus.of(self.hiding, locus, (Brood(sires, 1, self.mixed, (self.hatchlings,)),))


class MixedProofs(Proofs):
    """What a clutch would prove of which each egg is by itself of the one male or the other, members 0 and 2, equally likely.

    Some assignment gives a clutch just when each of its kinds can be an egg of one of the two; so a box is, for members' states that are
    possible together, all kinds that either male can give. Other loci help as far as their looks tell the two males' young apart. Hidden
    ones, and those beyond COMBINATIONS, are left out: then the chance is a little too low, never too high, and none is given where it
    would be 0. Source: figures#backup-male.
    """

    mixed = True

    def forced(self, member: int, locus: int, allele: int) -> Fraction | None:
        """The chance that the clutch makes it certain that a member carries an allele; None: too much to go through."""
        if self.hiders(locus):
            return None
        others = tuple(self._informative(locus))
        loci = [locus]
        for other in self._told_beside(locus, others):
            if self._size([*loci, other]) <= COMBINATIONS:
                loci.append(other)
        while loci:
            kinds = tuple(product(*(self.kinds(at) for at in loci)))
            signed = signed_union(((box,) for box in self._joint_boxes(member, loci, allele, kinds)), BOXES)
            if signed is not None:
                break
            loci.pop()
        else:
            return None
        unforced = Fraction(0)
        for _, rows, chance in self.together.combinations(loci):
            eggs = [self._egg(loci, rows, kind) for kind in kinds]
            for (box,), sign in signed.items():
                inside = sum((share for number, share in enumerate(eggs) if box >> number & 1), Fraction(0))
                unforced += sign * chance * self.hatchlings.every(inside)
        return None if unforced == 1 and len(loci) <= len(others) else 1 - unforced

    def _silent(self, locus: int) -> bool:
        """Whether, whatever is seen there, either male may have sired every egg."""
        whole = (1 << len(self.kinds(locus))) - 1
        for way in self.together.ways:
            able = [dict(self.able(locus, (way, sire))) for sire in TWO_SIRES]
            if not any(able[0][members] & able[1][members] == whole for members in able[0]):
                return False
        return True

    def _size(self, loci: Sequence[int]) -> int:
        states = max(prod(len(self.able(at, (way, 0))) for at in loci) for way in self.together.ways)
        figures = prod(len(self.at(at)) for at in loci)
        return max(states, figures) * prod(len(self.kinds(at)) for at in loci)

    def _joint_boxes(
        self, member: int, loci: Sequence[int], allele: int, kinds: Sequence[tuple[Kind, ...]]
    ) -> tuple[int, ...]:
        """The sets of kinds, as masks, that the males can give while the member lacks the allele."""
        found: dict[int, None] = {}
        for way in self.together.ways:
            able = [[dict(self.able(at, (way, sire))) for at in loci] for sire in TWO_SIRES]
            for rows in product(*able[0]):
                if self.has(loci[0], rows[0][member], allele):
                    continue
                given = 0
                for (number, kind), his in product(enumerate(kinds), able):
                    each = zip(loci, his, rows, kind, strict=True)
                    if all(can[members] >> self.kinds(at).index(one) & 1 for at, can, members, one in each):
                        given |= 1 << number
                found[given] = None
        return largest(found)

    def _egg(self, loci: Sequence[int], rows: Sequence[Members], kind: Sequence[Kind]) -> Fraction:
        """The chance that an egg is of a kind at each of the loci."""
        found = Fraction(0)
        for sire in TWO_SIRES:
            each = zip(loci, rows, kind, strict=True)
            shares = (self.of(at, members, sire).get(one, Fraction(0)) for at, members, one in each)
            found += prod(shares, start=Fraction(1, len(TWO_SIRES)))
        return found


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
