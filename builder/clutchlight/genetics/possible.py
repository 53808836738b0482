"""Possible genotypes: which states each egg can have in any assignment at all, and which sires each clutch can have.

Computes   domains, by elimination: every family is made consistent with the evidence again and again until nothing changes (generalised
           arc consistency over families). A question that this leaves open goes on by search: branch on an open choice of sire, else
           on an open egg, parents first; a trail undoes every step.
Symbols    a domain is a bit mask over the states of a locus; a family joins a sire's, the dam's and all the young's domains. A choice
           is the set of branches (possible sires) still open, for a whole clutch or for one egg; it is shared by all loci.
Decides    an empty domain proves that nothing fits. For two alleles off the sex chromosomes with known sires the converse holds too,
           loops included: genotypes are closed under the join of two solutions. Elsewhere a value too many can stay without a search.
Invariant  domains only ever shrink; the fixed point does not depend on the order of work. Every question leaves them as they were.
Cost       a family step is a table look-up after its first time; a change wakes only the families of the changed egg; a search goes
           through what is undecided and hangs together with the egg asked about. The assignment that it finds answers for every egg
           in it, until a domain narrows; so each egg there is given, if it can be, what was asked of the one.
Source     genotype elimination: Lange & Goradia 1987, Am J Hum Genet 40:250-256; arc consistency: Mackworth 1977, Artif Intell 8:99-118.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from typing import Literal

from clutchlight.genetics.pedigree import Family, Pedigree
from clutchlight.genetics.states import FamilyStep, States, bits

Place = tuple[int, int]
"""A locus position with the number of an egg."""

ChoiceKey = tuple[int, int]
"""A choice of sire: (family, -1) for a clutch, (family, egg) for an egg."""

Decision = tuple[Literal["choice", "egg"], tuple[int, int]]

Region = tuple[Decision, ...]
"""What a search may have to decide, in order: choices of sire, then (locus, egg) pairs."""


class WipedOutError(Exception):
    """Nothing fits. `locus` and `family` say where that was noticed."""

    def __init__(self, locus: int, family: int) -> None:
        self.locus = locus
        self.family = family
        super().__init__(f"locus {locus}, family {family}")


class _Part:
    """Undecided eggs and choices that hang together, and what a search must decide of them, by the locus of the egg asked about."""

    def __init__(self, seen: dict[Place, None], choices: dict[ChoiceKey, None]) -> None:
        self.seen = seen
        self.choices = choices
        self.regions: dict[int, Region] = {}


class Domains:
    """The domains of all eggs at several loci of one species, with their choices of sire."""

    def __init__(self, pedigree: Pedigree, states: Sequence[States], masks: Sequence[Sequence[int]]) -> None:
        self.pedigree = pedigree
        self.states = tuple(states)
        self.masks = [list(row) for row in masks]
        self.choices: dict[ChoiceKey, int] = {
            key: (1 << len(family.branches)) - 1
            for family in pedigree.families
            if family.in_doubt
            for key, _ in family.choices
        }
        self.linked = [position for position, one in enumerate(self.states) if one.linked]
        self._trail: list[tuple[int, int, int] | tuple[ChoiceKey, int]] = []
        self._waiting: dict[Place, None] = {}
        self._empty = next(
            ((at, egg) for at, row in enumerate(self.masks) for egg, mask in enumerate(row) if not mask), None
        )
        self._parts: dict[tuple[Place, bool], _Part] = {}
        self._met: dict[Decision, int] = {}
        self._regions_at = -1
        self._exact = tuple(not self.choices and one.plain for one in self.states)
        self._searched = frozenset(locus for locus, one in enumerate(self.states) if not one.plain)

    # -- changes -------------------------------------------------------------------------------------------------------

    def mark(self) -> int:
        """A point of the trail to go back to."""
        return len(self._trail)

    def undo(self, mark: int) -> None:
        if mark < self._regions_at:  # the trail may grow as long again by other steps
            self._regions_at = -1
        for entry in reversed(self._trail[mark:]):
            if len(entry) == 3:
                locus, egg, old = entry
                self.masks[locus][egg] = old
            else:
                key, old_choice = entry
                self.choices[key] = old_choice
        del self._trail[mark:]
        self._waiting.clear()

    @contextmanager
    def for_now(self) -> Iterator[None]:
        """The domains may be narrowed within it; afterwards they are as before."""
        mark = self.mark()
        try:
            yield
        finally:
            self.undo(mark)

    def narrow(self, locus: int, egg: int, mask: int) -> None:
        """Keeps only the states in `mask`; wakes the families of the egg. Raises WipedOutError when none is left."""
        old = self.masks[locus][egg]
        new = old & mask
        if new == old:
            return
        self._trail.append((locus, egg, old))
        self.masks[locus][egg] = new
        if not new:
            raise self._wiped_out(locus, egg)
        for family in self.pedigree.families_of[egg]:
            self._waiting[locus, family] = None
        if len(self.linked) > 1 and sex_bound(self.pedigree, self.linked, locus, egg):
            self._share_sex(locus, egg, new)

    def _wiped_out(self, locus: int, egg: int) -> WipedOutError:
        return WipedOutError(locus, next(iter(self.pedigree.families_of[egg]), -1))

    def _share_sex(self, locus: int, egg: int, mask: int) -> None:
        sexes = [sex for sex, of_sex in self.states[locus].sex_masks.items() if of_sex & mask]
        if len(sexes) == 1:
            for other in self.linked:
                if other != locus:
                    self.narrow(other, egg, self.states[other].sex_masks[sexes[0]])

    def keep(self, key: ChoiceKey, kept: int) -> None:
        """Sets the branches of a choice of sire to those in `kept`; wakes its family, at which nothing fits when none is left."""
        old = self.choices[key]
        if kept == old:
            return
        self._trail.append((key, old))
        self.choices[key] = kept
        for position in range(len(self.states)):
            self._waiting[position, key[0]] = None

    @contextmanager
    def as_at(self, mark: int) -> Iterator[None]:
        """The domains as they were when the trail was that long; afterwards as they are now."""
        trail, masks, choices = self._trail[mark:], self.narrowed_since(mark), dict(self.choices)
        self.undo(mark)
        yield
        for locus, egg, mask in masks:
            self.masks[locus][egg] = mask
        self.choices.update(choices)
        self._trail += trail

    def narrowed_since(self, mark: int) -> list[tuple[int, int, int]]:
        """(locus, egg, present domain) for every egg narrowed since the trail was that long."""
        found = {(entry[0], entry[1]): None for entry in self._trail[mark:] if len(entry) == 3}
        return [(locus, egg, self.masks[locus][egg]) for locus, egg in found]

    @property
    def every(self) -> list[tuple[int, int, int]]:
        """(locus, egg, domain) for every egg."""
        return [(locus, egg, mask) for locus, row in enumerate(self.masks) for egg, mask in enumerate(row)]

    def wake(self, items: Iterable[Place] | None = None) -> None:
        """Puts families on the list of work: the given ones, or all."""
        if items is None:
            items = ((locus, family.number) for locus in range(len(self.states)) for family in self.pedigree.families)
        self._waiting.update(dict.fromkeys(items))

    def closed(self, choices: Mapping[ChoiceKey, int], least: Domains | None = None) -> Domains:
        """The fixed point below this one with these choices; WipedOutError where nothing fits.

        `least`: one that lies below it. A family of which both leave every member the same loses nothing in between.
        """
        found = Domains(self.pedigree, self.states, self.masks)
        found.choices = {**self.choices, **choices}
        near = (
            (locus, family)
            for locus, row in enumerate(self.masks)
            for egg, mask in enumerate(row)
            if least is not None and mask != least.masks[locus][egg]
            for family in self.pedigree.families_of[egg]
        )
        found.wake(None if least is None else near)
        found.propagate()
        return found

    def propagate(self) -> None:
        """Works until nothing changes. Raises WipedOutError when nothing fits."""
        if self._empty is not None:  # an animal's own records exclude everything; a family must not take it for no sire
            raise self._wiped_out(*self._empty)
        while self._waiting:
            item = next(iter(self._waiting))
            del self._waiting[item]
            self._work(item[0], self.pedigree.families[item[1]])

    def _work(self, locus: int, family: Family) -> None:
        """One family, or each egg of a mixed clutch by itself: every open branch is tried, and what none of them leaves is lost."""
        row, step, branches = self.masks[locus], self.states[locus].step, family.branches
        for key, eggs in family.choices:
            young = frozenset([row[egg] for egg in eggs])
            if len(branches) == 1:
                sire = branches[0].sire
                left = step(0 if sire is None else row[sire], row[family.dam], young)
                if left is None:
                    raise WipedOutError(locus, family.number)
                if left.changed:
                    self._narrow_all(locus, family, sire, eggs, left)
                continue
            kept = dams = sires = 0
            joined = dict.fromkeys(young, 0)
            for branch in bits(self.choices[key]):
                sire = branches[branch].sire
                left = step(0 if sire is None else row[sire], row[family.dam], young)
                if left is None:
                    continue
                kept |= 1 << branch
                sires, dams = left.sires, dams | left.dams
                for mask, mask_left in left.young.items():
                    joined[mask] |= mask_left
            if not kept:
                raise WipedOutError(locus, family.number)
            self.keep(key, kept)
            sire = None if several(kept) else branches[kept.bit_length() - 1].sire
            self._narrow_all(locus, family, sire, eggs, FamilyStep(sires, dams, joined, changed=True))

    def _narrow_all(self, locus: int, family: Family, sire: int | None, eggs: Sequence[int], left: FamilyStep) -> None:
        """Keeps what a step leaves of a sire that is certain, the dam and these young."""
        row = self.masks[locus]
        if sire is not None:
            self.narrow(locus, sire, left.sires)
        self.narrow(locus, family.dam, left.dams)
        for egg in eggs:
            egg_left = left.young.get(row[egg])
            if egg_left and egg_left != row[egg]:
                self.narrow(locus, egg, egg_left)

    # -- questions -----------------------------------------------------------------------------------------------------

    def fits(self, locus: int, egg: int, mask: int, *, alone: bool = False) -> bool:
        """Whether some assignment has this egg in one of these states, given that some assignment fits at all.

        `alone`: a doubt about a sire is tried at this locus alone, as if other loci could take it otherwise. That may say yes too
        often, never no, and is much faster.
        """
        here = self.masks[locus][egg]
        if not here & mask or not here & ~mask:
            return bool(here & mask)
        region = () if self._exact[locus] else self._region((locus, egg), alone)
        decision: Decision = "egg", (locus, egg)
        return bool(self._met.get(decision, 0) & mask) or self._goes(decision, mask, region, noted=not alone)

    def allows(self, family: Family, key: ChoiceKey, branch: int) -> bool:
        """Whether some assignment has this branch as the sire, given that some assignment fits at all."""
        if not self.choices[key] >> branch & 1 or not several(self.choices[key]):
            return bool(self.choices[key] >> branch & 1)
        undecided = [
            (locus, egg) for locus, row in enumerate(self.masks) for egg in family.members if several(row[egg])
        ]
        regions = {id(region): region for region in (self._region(item, alone=False) for item in undecided)}
        if regions and self._met.get(("choice", key), 0) >> branch & 1:
            return True
        region = tuple(sorted({decision for one in regions.values() for decision in one}))
        return self._goes(("choice", key), 1 << branch, region)

    def _goes(self, decision: Decision, left: int, region: Region, *, noted: bool = True) -> bool:
        """Whether some assignment has this left; what one that was found has is noted. Leaves the domains as they were."""
        mark = self.mark()
        try:
            self._decide(decision, left)
            self.propagate()
            found = self._search(region, decision[1][0], left) if decision[0] == "egg" else self._search(region)
            if found and noted:
                for one in region:
                    self._met[one] = self._met.get(one, 0) | self._mask_of(one)
            return found
        except WipedOutError:
            return False
        finally:
            self.undo(mark)

    def satisfiable(self) -> bool:
        """Whether any assignment fits, from a fixed point. Leaves the domains as they were."""
        every = range(len(self.pedigree.eggs))
        with self.for_now():
            return self._search(_in_order(self.choices, ((locus, egg) for locus in self._searched for egg in every)))

    def _region(self, start: Place, alone: bool) -> Region:
        """What a search must decide of all that hangs together with an egg; its undecided members at that locus have the same, until a
        domain narrows. A locus where search is not needed is decided too where what is found is noted, to answer for them."""
        if self._regions_at != len(self._trail):
            self._parts, self._met, self._regions_at = {}, {}, len(self._trail)
        if (start, alone) not in self._parts:
            part = _Part(*self._hanging_together(start, alone))
            self._parts.update({(item, alone): part for item in part.seen})
        part, own = self._parts[start, alone], start[0]
        if own not in part.regions:
            loci = self._searched if alone else self._searched | {own}
            part.regions[own] = _in_order(part.choices, (item for item in part.seen if item[0] in loci))
        return part.regions[own]

    def _hanging_together(self, start: Place, alone: bool) -> tuple[dict[Place, None], dict[ChoiceKey, None]]:
        """The undecided eggs and choices that an undecided egg depends on; `alone`: at its own locus."""
        seen: dict[Place, None] = {start: None}
        choices: dict[ChoiceKey, None] = {}
        waiting: list[Place] = [start]
        gone_through: set[Place] = set()
        while waiting:
            position, member = waiting.pop()
            for number in self.pedigree.families_of[member]:
                if (position, number) in gone_through:
                    continue
                family = self.pedigree.families[number]
                still_open = [key for key, _ in family.choices if several(self.choices.get(key, 0))]
                choices.update(dict.fromkeys(still_open))
                loci = range(len(self.states)) if still_open and not alone else (position,)
                gone_through.update((locus, number) for locus in loci)
                near = [(locus, other) for locus in loci for other in family.members]
                if not still_open and len(self.linked) > 1 and not alone:
                    bound = (one for _, one in near if sex_bound(self.pedigree, self.linked, position, one))
                    near += [(other, one) for one in bound for other in self.linked]
                for item in near:
                    if item not in seen and several(self.masks[item[0]][item[1]]):
                        seen[item] = None
                        waiting.append(item)
        return seen, choices

    def _search(self, region: Region, asked: int = -1, wish: int = 0) -> bool:
        """Whether an assignment fits. First every choice of sire is made at once, each for the first that is left, then all else: where
        that fits, which it mostly does, two propagations stand for one of each. `wish`: states to take at the locus `asked`."""
        mark = self.mark()
        with suppress(WipedOutError):
            for decision in region:
                if decision[0] == "choice":
                    self._decide_first(decision)
            self.propagate()
            chosen = self.mark()
            with suppress(WipedOutError):
                for decision in region:
                    self._decide_first(decision, wish if decision[1][0] == asked else 0)
                self.propagate()
                return True
            self.undo(chosen)
            if self._in_turn(region):
                return True
        self.undo(mark)
        return self._in_turn(region)

    def _decide_first(self, decision: Decision, wish: int = 0) -> None:
        left = self._mask_of(decision)
        left = left & wish or left
        self._decide(decision, left & -left)

    def _in_turn(self, region: Region) -> bool:
        """Depth-first search over a region; stops at the first assignment that fits."""
        tried: list[
            tuple[int, int, list[int]]
        ] = []  # the trail before each decision, its place, the values not yet tried
        at = self._next(region, 0)
        while at < len(region):
            tried.append((self.mark(), at, [*bits(self._mask_of(region[at]))][::-1]))
            if not self._go_on(region, tried):
                return False
            at = self._next(region, tried[-1][1])
        return True

    def _go_on(self, region: Region, tried: list[tuple[int, int, list[int]]]) -> bool:
        """Makes the next decision that does not wipe out, going back where it must; False when all have been tried."""
        while tried:
            mark, at, options = tried[-1]
            self.undo(mark)
            if not options:
                tried.pop()
                continue
            try:
                self._decide(region[at], 1 << options.pop())
                self.propagate()
            except WipedOutError:
                continue
            return True
        return False

    def _decide(self, decision: Decision, left: int) -> None:
        kind, place = decision
        if kind == "choice":
            self.keep(place, left)
        else:
            self.narrow(*place, left)

    def _mask_of(self, decision: Decision) -> int:
        kind, place = decision
        return self.choices[place] if kind == "choice" else self.masks[place[0]][place[1]]

    def _next(self, region: Region, start: int) -> int:
        """Where the first open decision stands, at or after `start`; those before it are closed, and stay so going down."""
        while start < len(region) and not several(self._mask_of(region[start])):
            start += 1
        return start


def _in_order(choices: Iterable[ChoiceKey], eggs: Iterable[Place]) -> Region:
    """Choices before eggs, each in order."""
    first: list[Decision] = [("choice", key) for key in sorted(choices)]
    return (*first, *(("egg", item) for item in sorted(eggs)))


def sex_bound(pedigree: Pedigree, linked: Sequence[int], locus: int, egg: int) -> bool:
    """Whether the egg's sex is unknown and this locus tells of it, and so of another sex-linked locus. `linked`: those loci."""
    return len(linked) > 1 and locus in linked and pedigree.eggs[egg].sex == "unknown"


def several(mask: int) -> bool:
    """Whether a domain leaves more than one value."""
    return bool(mask & (mask - 1))
