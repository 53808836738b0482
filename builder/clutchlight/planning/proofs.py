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
           E[G(h + (1 - h) p(box | m))], multiplied over loci given a part of the figures.
           if_none = E[carries G(q)] / E[G(q)], q = h + (1 - h) times the chance that a hatchling that can be told does not show it.
Assumes    the clutch is complete, on record, and hatches after everything else.
           Other loci matter only where a sire is in doubt. They are left out where looks hide loci as well, where they always
           look alike, and beyond BOXES boxes: then the chance is a little too low, never too high.
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
from clutchlight.planning.hatchlings import Hatchlings
from clutchlight.planning.hiding import Hiding
from clutchlight.planning.settling import AtOneLocus, Brood

TWO_SIRES = (0, 2)
"""A male and a backup, by their number among the members."""

COMBINATIONS = 4000
"""The most combinations of members' states, and of kinds, over the loci that tell two males' young apart."""

BOXES = 2048
"""The most intersections of boxes that are summed."""

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


class Hypothesis(Struct, frozen=True):
    """One way the sires in doubt may have fallen; `sire`: the member who sired the clutch in question."""

    way: Way
    sire: int


class Proofs:
    """What a clutch would prove. `sires`: the members of whom one sired all of it, equally likely; the dam is member 1."""

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
        for loci in ((locus, *self._informative(locus)), (locus,)):
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
            blanks = {(part, blank[number]): Fraction(0) for part, blank in hidden}
            for (part, blank), chance in hidden.items():
                blanks[part, blank[number]] += chance
            for box, sign in signed.items():
                unforced += sign * self._within(dict(zip(loci, box, strict=True)), locus, sire, blanks)
        return 1 - unforced / len(self.sires)

    @cached_property
    def hypotheses(self) -> tuple[Hypothesis, ...]:
        return tuple(Hypothesis(way, sire) for way in self.together.ways for sire in self.sires)

    def _informative(self, locus: int) -> tuple[int, ...]:
        """The other loci whose looks can rule out a hypothesis."""
        if len(self.hypotheses) == 1 or any(self.hiders(other) for other in range(len(self.states))):
            return ()
        return tuple(
            other
            for other in range(len(self.states))
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
            found += chance * self.hatchlings.every(hidden + (1 - hidden) * inside)
        return found

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
        kinds = self.kinds(locus)
        rows = {}
        for members in sorted(self.together.possible(locus, hypothesis.way)):
            able = self.of(locus, members, hypothesis.sire)
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

    def if_none(self, member: int, locus: int, allele: int, *, mixed: bool = False) -> Fraction | None:
        """Its chance after a clutch in which no hatchling shows the trait; None: there is no such clutch, or it is not computed.

        `mixed`: as if each egg were by itself of one of the sires.
        """
        at = self.before(locus, mixed)
        return at.if_none(member, allele) if at is not None else None

    def shown(self, member: int, locus: int, allele: int) -> tuple[str, ...]:
        """The looks in which hatchlings can show the trait, and those that rule it out."""
        at = self.before(locus, False)
        return at.shown(member, allele) if at is not None else ()

    def _before(self, locus: int, mixed: bool) -> AtOneLocus | None:
        """A locus before the clutch; None: too much hides it to go through."""
        sires = tuple((sire, Fraction(1, len(self.sires))) for sire in self.sires)
        return AtOneLocus.of(self.hiding, locus, (Brood(sires, 1, mixed, (self.hatchlings,)),))


class ProofsOfTwo:
    """What a clutch would prove of which either the one male or the other, members 0 and 2, sired all; `mixed`: or each egg by itself.

    Both are equally likely. Some assignment gives a clutch just when all its kinds can be eggs of one male, `mixed`: each of one of the
    two; so a box is, for members' states that are possible together, all kinds that the male, `mixed`: either male, can give. Other loci
    help as far as their looks tell the two males' young apart. Hidden ones, and those beyond COMBINATIONS, are left out: then the chance is
    a little too low, never too high, and none is given where it would be 0. Source: figures#backup-male.
    """

    def __init__(self, proofs: Proofs, *, mixed: bool) -> None:
        self.proofs = proofs
        self.brood = Brood(tuple((sire, Fraction(1, 2)) for sire in TWO_SIRES), 1, mixed, (proofs.hatchlings,))

    def if_none(self, member: int, locus: int, allele: int) -> Fraction | None:
        return self.proofs.if_none(member, locus, allele, mixed=self.brood.mixed)

    def forced(self, member: int, locus: int, allele: int) -> Fraction | None:
        """The chance that the clutch makes it certain that a member carries an allele; None: too much to go through."""
        others = tuple(self._informative(locus))
        if self.proofs.hiders(locus):
            found = None if self.brood.mixed else self.proofs.forced(member, locus, allele)
            return None if others and not found else found
        loci = [locus]
        sexed = self.proofs.states[locus].linked
        for other in others:
            apart = self.proofs.hiders(other) or (sexed and self.proofs.states[other].linked)
            if not apart and self._size([*loci, other]) <= COMBINATIONS:
                loci.append(other)
                sexed = sexed or self.proofs.states[other].linked
        while loci:
            kinds = tuple(product(*(self.proofs.kinds(at) for at in loci)))
            signed = signed_union(((box,) for box in self._boxes(member, loci, allele, kinds)), BOXES)
            if signed is not None:
                break
            loci.pop()
        else:
            return None
        unforced = Fraction(0)
        for _, rows, chance in self.proofs.together.combinations(loci):
            each = [[self._egg(loci, rows, kind, sire) for kind in kinds] for sire in TWO_SIRES]
            for (box,), sign in signed.items():
                inside = [
                    sum((share for number, share in enumerate(shares) if box >> number & 1), Fraction(0))
                    for shares in each
                ]
                unforced += sign * chance * self.brood.every(inside)
        return None if unforced == 1 and len(loci) <= len(others) else 1 - unforced

    def _informative(self, locus: int) -> Iterator[int]:
        """The other loci whose looks can tell the two males' young apart."""
        for other in range(len(self.proofs.states)):
            if other != locus and len(self.proofs.kinds(other)) > 1 and not self._silent(other):
                yield other

    def _silent(self, locus: int) -> bool:
        """Whether, whatever is seen there, either male may have sired every egg."""
        whole = (1 << len(self.proofs.kinds(locus))) - 1
        for way in self.proofs.together.ways:
            able = [dict(self.proofs.able(locus, Hypothesis(way, sire))) for sire in TWO_SIRES]
            if not any(able[0][members] & able[1][members] == whole for members in able[0]):
                return False
        return True

    def _size(self, loci: Sequence[int]) -> int:
        states = max(
            prod(len(self.proofs.able(at, Hypothesis(way, 0))) for at in loci) for way in self.proofs.together.ways
        )
        figures = prod(len(self.proofs.at(at)) for at in loci)
        return max(states, figures) * prod(len(self.proofs.kinds(at)) for at in loci)

    def _boxes(
        self, member: int, loci: Sequence[int], allele: int, kinds: Sequence[tuple[Kind, ...]]
    ) -> tuple[int, ...]:
        """The sets of kinds, as masks, that the males can give while the member lacks the allele."""
        found: dict[int, None] = {}
        for way in self.proofs.together.ways:
            able = [[dict(self.proofs.able(at, Hypothesis(way, sire))) for at in loci] for sire in TWO_SIRES]
            for rows in product(*able[0]):
                if self.proofs.has(loci[0], rows[0][member], allele):
                    continue
                masks = [
                    sum(
                        1 << number
                        for number, kind in enumerate(kinds)
                        if all(
                            by_members[members] >> self.proofs.kinds(at).index(one) & 1
                            for at, by_members, members, one in zip(loci, his, rows, kind, strict=True)
                        )
                    )
                    for his in able
                ]
                found.update(dict.fromkeys([masks[0] | masks[1]] if self.brood.mixed else masks))
        return largest(found)

    def _egg(self, loci: Sequence[int], rows: Sequence[Members], kind: Sequence[Kind], sire: int) -> Fraction:
        """The chance that an egg of a sire is of a kind at each of the loci."""
        shares = (
            self.proofs.of(at, members, sire).get(one, Fraction(0))
            for at, members, one in zip(loci, rows, kind, strict=True)
        )
        return prod(shares, start=Fraction(1))


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
