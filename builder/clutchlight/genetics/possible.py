"""Possible genotypes: which states each egg can have in any assignment at all, by elimination and, where that is not enough, search.

Decides    for two alleles off the sex chromosomes with known sires elimination alone decides, loops included: genotypes are closed under
           the join of two solutions. With three alleles, sex linkage or a sire in doubt a value too many can stay, so a question goes on
           by search (branch on an open choice, else on an open egg, parents first, undo by trail).
Cost       elimination as in `narrowing`; a search goes through what is undecided and hangs together with the egg asked about.
Source     genotype elimination: Lange & Goradia 1987, Am J Hum Genet 40:250-256; depth-first search with undo: any textbook.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Literal

from clutchlight.genetics.families import Family, Pedigree
from clutchlight.genetics.narrowing import ChoiceKey, FamilyRules, Item, Mark, Narrowing, WipedOutError, bits, several
from clutchlight.genetics.states import States

Decision = tuple[Literal["choice", "egg"], tuple[int, int]]

Region = tuple[Decision, ...]
"""What a search may have to decide, in order: choices of sire, then (locus, egg) pairs."""

Tried = tuple[Mark, int, list[int]]
"""A decision on the way down: the trail before it, where it stands in the region, and the values not yet tried."""


class Domains(Narrowing):
    """Domains that answer what is possible. Every question leaves them as they were."""

    def __init__(self, pedigree: Pedigree, rules: Sequence[FamilyRules], masks: Sequence[Sequence[int]]) -> None:
        super().__init__(pedigree, rules, masks)
        self._regions: dict[Item, Region] = {}
        self._regions_at = -1
        self._exact = tuple(not self.choices and plain(rule.states) for rule in self.rules)

    def fits(self, locus: int, egg: int, mask: int) -> bool:
        """Whether some assignment has this egg in one of these states, given that some assignment fits at all."""
        return self._tried(locus, egg, mask, self._region)

    def fits_at_locus(self, locus: int, egg: int, mask: int) -> bool:
        """As `fits`, but a doubt about a sire is tried at this locus alone, as if other loci could take it otherwise.

        May say yes too often, never no; much faster where sires are in doubt. Two alleles off the sex chromosomes need no search beyond
        the doubts.
        """
        return self._tried(locus, egg, mask, self._region_at)

    def _tried(self, locus: int, egg: int, mask: int, hanging: Callable[[int, int], Region]) -> bool:
        here = self.masks[locus][egg]
        if not here & mask or not here & ~mask:
            return bool(here & mask)
        mark = self.mark()
        try:
            region = None if self._exact[locus] else hanging(locus, egg)
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
                    choices.update(dict.fromkeys(key for key in self.choice_keys(family) if several(self.choices[key])))
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
        loci = [locus for locus, rule in enumerate(self.rules) if not plain(rule.states)]
        mark = self.mark()
        eggs = ((locus, egg) for locus in loci for egg in range(len(self.pedigree.eggs)))
        found = self._search(region_of(self.choices, eggs))
        self.undo(mark)
        return found

    def _region(self, locus: int, egg: int) -> Region:
        """What a search must decide of all that hangs together with an egg; its undecided members have the same, until a domain narrows.

        Where every sire is decided, elimination decides the loci of two alleles off the sex chromosomes.
        """
        if self._regions_at != len(self._trail):
            self._regions, self._regions_at = {}, len(self._trail)
        start = (locus, egg)
        if start not in self._regions:
            seen, choices = self._hanging_together(start)
            region = region_of(choices, (item for item in seen if not plain(self.rules[item[0]].states)))
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
                near += [(other, one) for _, one in near if self.sex_bound(position, one) for other in self.linked]
                keys = self.choice_keys(family) if family.in_doubt else []
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
            tried.append((self.mark(), at, bits(mask)[::-1]))
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
                    self.keep(place, 1 << options.pop(), 0)
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


def region_of(choices: Iterable[ChoiceKey], eggs: Iterable[Item]) -> Region:
    """Choices before eggs, each in order."""
    first: list[Decision] = [("choice", key) for key in sorted(choices)]
    return (*first, *(("egg", item) for item in sorted(eggs)))


def plain(states: States) -> bool:
    """Whether a locus has two alleles and does not go with sex: then propagation alone decides where no sire is in doubt."""
    return len(states.locus.alleles) == 1 and not states.linked
