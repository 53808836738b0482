"""Possible genotypes: which states each egg can have in any assignment at all, by elimination.

Computes   for each egg and locus the states that survive, and for each sire in doubt the candidates that survive, when every family is
           made consistent with the evidence again and again until nothing changes (generalised arc consistency over families).
Symbols    a domain is a bit mask over the states of a locus; a family joins a sire's, the dam's and all the young's domains. A choice
           is the set of branches (possible sires) still open, for a whole clutch or for one egg; it is shared by all loci.
Decides    a wipe-out (an empty domain) proves that nothing fits. For two alleles off the sex chromosomes with known sires the converse
           holds too, loops included: genotypes are closed under the join of two solutions. With three alleles, sex linkage or a sire
           in doubt a value too many can stay, so `satisfiable` goes on by search (branch on an open choice, else on an open
           egg, parents first, undo by trail).
Invariant  domains only ever shrink; the fixed point does not depend on the order of work.
Cost       a family step is a table look-up after its first time; a change wakes only the families of the changed egg.
Source     genotype elimination: Lange & Goradia 1987, Am J Hum Genet 40:250-256; arc consistency: Mackworth 1977, Artif Intell 8:99-118.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from clutchlight.genetics.families import Family, Pedigree
from clutchlight.genetics.states import States

Item = tuple[int, int]
"""A place of work: (locus position, family number)."""

ChoiceKey = tuple[int, int]
"""A choice of sire: (family, -1) for a clutch, (family, egg) for an egg."""


class WipedOutError(Exception):
    """Nothing fits. `locus` and `family` say where that was noticed."""

    def __init__(self, locus: int, family: int) -> None:
        self.locus = locus
        self.family = family
        super().__init__(f"locus {locus}, family {family}")


class FamilyRules:
    """What one family step does to the domains of one locus; answers are remembered, since families look alike."""

    def __init__(self, states: States) -> None:
        self.states = states
        self._known: dict[tuple[int, int, tuple[int, ...]], tuple[int, int, dict[int, int]] | None] = {}

    def step(self, sires: int, dams: int, young: tuple[int, ...]) -> tuple[int, int, dict[int, int]] | None:
        """Domains of sire (0: parthenogenesis), dam, and each distinct young's domain, after one step; None: nothing fits."""
        key = (sires, dams, young)
        if key not in self._known:
            self._known[key] = self._worked_out(sires, dams, young)
        return self._known[key]

    def _worked_out(self, sires: int, dams: int, young: tuple[int, ...]) -> tuple[int, int, dict[int, int]] | None:
        left_sires = left_dams = 0
        left_young = dict.fromkeys(young, 0)
        candidates: tuple[int | None, ...] = self.states.members(sires) if sires else (None,)
        for dam in self.states.members(dams):
            for sire in candidates:
                open_to = self.states.open_to(sire, dam)
                if not open_to or not all(open_to & mask for mask in young):
                    continue
                left_dams |= 1 << dam
                left_sires |= 0 if sire is None else 1 << sire
                for mask in young:
                    left_young[mask] |= open_to & mask
        return (left_sires, left_dams, left_young) if left_dams else None


@dataclass(frozen=True, slots=True)
class Mark:
    """A point of the trail to go back to."""

    length: int


class Domains:
    """The domains of all eggs at several loci of one species, with their choices of sire; a trail makes every change undoable."""

    def __init__(
        self,
        pedigree: Pedigree,
        rules: Sequence[FamilyRules],
        masks: Sequence[Sequence[int]],
    ) -> None:
        self.pedigree = pedigree
        self.rules = tuple(rules)
        self.masks = [list(row) for row in masks]
        self.choices: dict[ChoiceKey, int] = {}
        for family in pedigree.families:
            if family.in_doubt:
                for key in self._choice_keys(family):
                    self.choices[key] = (1 << len(family.branches)) - 1
        self._trail: list[tuple[int, int, int] | tuple[ChoiceKey, int]] = []
        self._waiting: dict[Item, None] = {}
        self._regions: dict[Item, Region] = {}
        self._regions_at = -1
        self._empty = next(
            ((at, egg) for at, row in enumerate(self.masks) for egg, mask in enumerate(row) if not mask), None
        )
        self.linked = [position for position, rule in enumerate(self.rules) if rule.states.linked]
        self._exact = tuple(not self.choices and plain(rule.states) for rule in self.rules)

    def _choice_keys(self, family: Family) -> list[ChoiceKey]:
        if not family.each_egg:
            return [(family.number, -1)]
        return [(family.number, egg) for egg in family.eggs]

    # -- changes -------------------------------------------------------------------------------------------------------

    def mark(self) -> Mark:
        return Mark(len(self._trail))

    def undo(self, mark: Mark) -> None:
        while len(self._trail) > mark.length:
            entry = self._trail.pop()
            if len(entry) == 3:
                locus, egg, old = entry
                self.masks[locus][egg] = old
            else:
                key, old_choice = entry
                self.choices[key] = old_choice
        self._waiting.clear()

    def narrow(self, locus: int, egg: int, mask: int) -> None:
        """Keeps only the states in `mask`; wakes the families of the egg. Raises WipedOutError when none is left."""
        old = self.masks[locus][egg]
        new = old & mask
        if new == old:
            return
        self._trail.append((locus, egg, old))
        self.masks[locus][egg] = new
        own = self.pedigree.eggs[egg].family
        if not new:
            raise self._wiped_out(locus, egg)
        if own is not None:
            self._waiting[locus, own] = None
        for family in self.pedigree.own.get(egg, ()):
            self._waiting[locus, family] = None
        if self._sex_bound(locus, egg):
            self._share_sex(locus, egg, new)

    def _sex_bound(self, locus: int, egg: int) -> bool:
        """Whether what is known of the egg here tells of its sex, and so of another locus."""
        return len(self.linked) > 1 and locus in self.linked and self.pedigree.eggs[egg].sex == "unknown"

    def _wiped_out(self, locus: int, egg: int) -> WipedOutError:
        own = self.pedigree.eggs[egg].family
        return WipedOutError(locus, own if own is not None else next(iter(self.pedigree.own.get(egg, ())), -1))

    def _share_sex(self, locus: int, egg: int, mask: int) -> None:
        sexes = [sex for sex, of_sex in self.rules[locus].states.sex_masks.items() if of_sex & mask]
        if len(sexes) == 1:
            for other in self.linked:
                if other != locus:
                    self.narrow(other, egg, self.rules[other].states.sex_masks[sexes[0]])

    def _choose(self, key: ChoiceKey, kept: int, locus: int) -> None:
        old = self.choices[key]
        if kept == old:
            return
        self._trail.append((key, old))
        self.choices[key] = kept
        if not kept:
            raise WipedOutError(locus, key[0])
        for position in range(len(self.rules)):
            self._waiting[position, key[0]] = None

    def choose(self, key: ChoiceKey, branch: int) -> None:
        """Keeps only one branch of a choice of sire; wakes its family. Raises WipedOutError when it was closed already."""
        self._choose(key, self.choices[key] & 1 << branch, 0)

    def narrowed_since(self, length: int) -> list[tuple[int, int, int]]:
        """(locus, egg, present domain) for every egg narrowed since the trail was that long."""
        found = {(entry[0], entry[1]): None for entry in self._trail[length:] if len(entry) == 3}
        return [(locus, egg, self.masks[locus][egg]) for locus, egg in found]

    def wake(self, items: Iterable[Item] | None = None) -> None:
        """Puts families on the list of work: the given ones, or all."""
        if items is None:
            items = ((locus, family.number) for locus in range(len(self.rules)) for family in self.pedigree.families)
        self._waiting.update(dict.fromkeys(items))

    def propagate(self) -> None:
        """Works until nothing changes. Raises WipedOutError when nothing fits."""
        if self._empty is not None:  # an animal's own records exclude everything; a family must not take it for no sire
            raise self._wiped_out(*self._empty)
        while self._waiting:
            item = next(iter(self._waiting))
            del self._waiting[item]
            self._work(*item)

    # -- one family ----------------------------------------------------------------------------------------------------

    def _work(self, locus: int, number: int) -> None:
        family = self.pedigree.families[number]
        if not family.in_doubt:
            self._work_known(locus, family)
        elif family.each_egg:
            self._work_each(locus, family)
        else:
            self._work_one_of(locus, family)

    def _young_masks(self, locus: int, family: Family) -> tuple[int, ...]:
        row = self.masks[locus]
        return tuple(sorted({row[egg] for egg in family.eggs}))

    def _sire_mask(self, locus: int, family: Family, branch: int) -> int:
        sire = family.branches[branch].sire
        return 0 if sire is None else self.masks[locus][sire]

    def _work_known(self, locus: int, family: Family) -> None:
        row = self.masks[locus]
        young = self._young_masks(locus, family)
        left = self.rules[locus].step(self._sire_mask(locus, family, 0), row[family.dam], young)
        if left is None:
            raise WipedOutError(locus, family.number)
        sire = family.branches[0].sire
        if sire is not None:
            self.narrow(locus, sire, left[0])
        self.narrow(locus, family.dam, left[1])
        for egg in family.eggs:
            if egg_left := left[2].get(row[egg]):
                self.narrow(locus, egg, egg_left)

    def _work_one_of(self, locus: int, family: Family) -> None:
        row = self.masks[locus]
        young = self._young_masks(locus, family)
        key = (family.number, -1)
        kept = dams = sires = 0
        joined = dict.fromkeys(young, 0)
        for branch in self._open(key):
            left = self.rules[locus].step(self._sire_mask(locus, family, branch), row[family.dam], young)
            if left is None:
                continue
            kept |= 1 << branch
            sires, dams = left[0], dams | left[1]
            for mask, mask_left in left[2].items():
                joined[mask] |= mask_left
        self._choose(key, kept, locus)
        if kept & (kept - 1) == 0:
            sire = family.branches[kept.bit_length() - 1].sire
            if sire is not None:
                self.narrow(locus, sire, sires)
        self.narrow(locus, family.dam, dams)
        for egg in family.eggs:
            if egg_left := joined.get(row[egg]):
                self.narrow(locus, egg, egg_left)

    def _work_each(self, locus: int, family: Family) -> None:
        for egg in family.eggs:
            self._work_egg(locus, family, egg)

    def _work_egg(self, locus: int, family: Family, egg: int) -> None:
        key, row = (family.number, egg), self.masks[locus]
        mask = row[egg]
        kept = dams = sires = young = 0
        for branch in self._open(key):
            left = self.rules[locus].step(self._sire_mask(locus, family, branch), row[family.dam], (mask,))
            if left is None:
                continue
            kept |= 1 << branch
            sires, dams, young = left[0], dams | left[1], young | left[2][mask]
        self._choose(key, kept, locus)
        if kept & (kept - 1) == 0:
            sire = family.branches[kept.bit_length() - 1].sire
            if sire is not None:
                self.narrow(locus, sire, sires)
        self.narrow(locus, family.dam, dams)
        self.narrow(locus, egg, young)

    def _open(self, key: ChoiceKey) -> list[int]:
        mask = self.choices[key]
        return [branch for branch in range(mask.bit_length()) if mask >> branch & 1]

    # -- questions -----------------------------------------------------------------------------------------------------

    def fits(self, locus: int, egg: int, mask: int) -> bool:
        """Whether some assignment has this egg in one of these states, given that some assignment fits at all."""
        mark = self.mark()
        try:
            region = None if self._exact[locus] else self._region(locus, egg)
            self.narrow(locus, egg, mask)
            self.propagate()
            return region is None or self._search(region)
        except WipedOutError:
            return False
        finally:
            self.undo(mark)

    def fits_at_locus(self, locus: int, egg: int, mask: int) -> bool:
        """As `fits`, but a doubt about a sire is tried at this locus alone, as if other loci could take it otherwise.

        May say yes too often, never no; much faster where sires are in doubt. Two alleles off the sex chromosomes need no search beyond
        the doubts.
        """
        mark = self.mark()
        try:
            region = None if self._exact[locus] else self._region_at(locus, egg)
            self.narrow(locus, egg, mask)
            self.propagate()
            return region is None or self._search(region)
        except WipedOutError:
            return False
        finally:
            self.undo(mark)

    def _region_at(self, locus: int, egg: int) -> Region:
        """Everything undecided that hangs together with an egg at one locus."""
        row = self.masks[locus]
        seen: dict[int, None] = {egg: None}
        choices: dict[ChoiceKey, None] = {}
        families: dict[int, None] = {}
        waiting = [egg]
        while waiting:
            for number in self._families_of(waiting.pop()):
                if number in families:
                    continue
                families[number] = None
                family = self.pedigree.families[number]
                if family.in_doubt:
                    choices.update(
                        dict.fromkeys(key for key in self._choice_keys(family) if several(self.choices[key]))
                    )
                for other in self._members(family):
                    if other not in seen and several(row[other]):
                        seen[other] = None
                        waiting.append(other)
        return region_of(choices, () if plain(self.rules[locus].states) else ((locus, other) for other in seen))

    @property
    def exact(self) -> bool:
        """Whether propagation alone decides at every locus."""
        return all(self._exact)

    def satisfiable(self) -> bool:
        """Whether any assignment fits, from a fixed point. Leaves the domains as they were."""
        loci = [locus for locus, exact in enumerate(self._exact) if not exact]
        mark = self.mark()
        eggs = ((locus, egg) for locus in loci for egg in range(len(self.pedigree.eggs)))
        found = self._search(region_of(self.choices, eggs))
        self.undo(mark)
        return found

    def _region(self, locus: int, egg: int) -> Region:
        """Everything undecided that hangs together with an egg; its undecided members all have the same, until a domain narrows."""
        if self._regions_at != len(self._trail):
            self._regions, self._regions_at = {}, len(self._trail)
        start = (locus, egg)
        if start not in self._regions:
            seen, choices = self._hanging_together(start)
            region = region_of(choices, seen)
            self._regions.update(dict.fromkeys(seen if several(self.masks[locus][egg]) else (start,), region))
        return self._regions[start]

    def _hanging_together(self, start: Item) -> tuple[dict[Item, None], dict[ChoiceKey, None]]:
        seen: dict[Item, None] = {start: None}
        choices: dict[ChoiceKey, None] = {}
        waiting: list[Item] = [start]
        while waiting:
            position, member = waiting.pop()
            for number in self._families_of(member):
                family = self.pedigree.families[number]
                near = [(position, other) for other in self._members(family)]
                near += [(other, one) for _, one in near if self._sex_bound(position, one) for other in self.linked]
                keys = self._choice_keys(family) if family.in_doubt else []
                if any(several(self.choices[key]) for key in keys):
                    choices.update(dict.fromkeys(keys))
                    near = [(other, relative) for other in range(len(self.rules)) for _, relative in near]
                for item in near:
                    if item not in seen and several(self.masks[item[0]][item[1]]):
                        seen[item] = None
                        waiting.append(item)
        return seen, choices

    def _families_of(self, egg: int) -> tuple[int, ...]:
        own = self.pedigree.eggs[egg].family
        return self.pedigree.own.get(egg, ()) if own is None else (own, *self.pedigree.own.get(egg, ()))

    def _members(self, family: Family) -> tuple[int, ...]:
        sires = (branch.sire for branch in family.branches if branch.sire is not None)
        return (*sires, family.dam, *family.eggs)

    def _search(self, region: Region) -> bool:
        """Depth-first search over a region, choices before eggs; stops at the first assignment that fits."""
        tried: list[Tried] = []
        at = self._next(region, 0)
        while at < len(region):
            mask = self._mask_of(region[at])
            tried.append((self.mark(), at, [bit for bit in range(mask.bit_length()) if mask >> bit & 1][::-1]))
            if not self._go_on(region, tried):
                return False
            at = self._next(region, tried[-1][1])
        return True

    def _go_on(self, region: Region, tried: list[Tried]) -> bool:
        """Makes the next decision that does not wipe out, going back where it must; False when all have been tried."""
        while tried:
            mark, at, options = tried[-1]
            self.undo(mark)
            if not options:
                tried.pop()
                continue
            try:
                kind, place = region[at]
                if kind == "choice":
                    self._choose(place, 1 << options.pop(), 0)
                else:
                    self.narrow(*place, 1 << options.pop())
                self.propagate()
            except WipedOutError:
                continue
            return True
        return False

    def _mask_of(self, decision: Decision) -> int:
        kind, place = decision
        return self.choices[place] if kind == "choice" else self.masks[place[0]][place[1]]

    def _next(self, region: Region, start: int) -> int:
        """Where the first open decision stands, at or after `start`; those before it are closed, and stay so going down."""
        while start < len(region) and not several(self._mask_of(region[start])):
            start += 1
        return start


Decision = tuple[Literal["choice", "egg"], tuple[int, int]]

Region = tuple[Decision, ...]
"""What a search may have to decide, in order: choices of sire, then (locus, egg) pairs."""

Tried = tuple[Mark, int, list[int]]
"""A decision on the way down: the trail before it, where it stands in the region, and the values not yet tried."""


def region_of(choices: Iterable[ChoiceKey], eggs: Iterable[Item]) -> Region:
    """Choices before eggs, each in order."""
    first: list[Decision] = [("choice", key) for key in sorted(choices)]
    return (*first, *(("egg", item) for item in sorted(eggs)))


def plain(states: States) -> bool:
    """Whether a locus has two alleles and does not go with sex: then propagation alone decides where no sire is in doubt."""
    return len(states.locus.alleles) == 1 and not states.linked


def several(mask: int) -> bool:
    """Whether a domain leaves more than one value."""
    return bool(mask & (mask - 1))
