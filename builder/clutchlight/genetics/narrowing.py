"""Domains and what families do to them: elimination until nothing changes, with a trail that makes every step undoable.

Computes   for each egg and locus the states that survive, and for each sire in doubt the candidates that survive, when every family is
           made consistent with the evidence again and again until nothing changes (generalised arc consistency over families).
Symbols    a domain is a bit mask over the states of a locus; a family joins a sire's, the dam's and all the young's domains. A choice
           is the set of branches (possible sires) still open, for a whole clutch or for one egg; it is shared by all loci.
Decides    a wipe-out (an empty domain) proves that nothing fits. The converse needs a search in some cases, see `possible`.
Invariant  domains only ever shrink; the fixed point does not depend on the order of work.
Cost       a family step is a table look-up after its first time; a change wakes only the families of the changed egg.
Source     genotype elimination: Lange & Goradia 1987, Am J Hum Genet 40:250-256; arc consistency: Mackworth 1977, Artif Intell 8:99-118.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

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


class Narrowing:
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
                for key in self.choice_keys(family):
                    self.choices[key] = (1 << len(family.branches)) - 1
        self._trail: list[tuple[int, int, int] | tuple[ChoiceKey, int]] = []
        self._waiting: dict[Item, None] = {}
        self._empty = next(
            ((at, egg) for at, row in enumerate(self.masks) for egg, mask in enumerate(row) if not mask), None
        )
        self.linked = [position for position, rule in enumerate(self.rules) if rule.states.linked]

    def choice_keys(self, family: Family) -> list[ChoiceKey]:
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
        if self.sex_bound(locus, egg):
            self._share_sex(locus, egg, new)

    def sex_bound(self, locus: int, egg: int) -> bool:
        """Whether what is known of the egg here tells of its sex, and so of another locus."""
        return sex_bound(self.pedigree, self.linked, locus, egg)

    def _wiped_out(self, locus: int, egg: int) -> WipedOutError:
        own = self.pedigree.eggs[egg].family
        return WipedOutError(locus, own if own is not None else next(iter(self.pedigree.own.get(egg, ())), -1))

    def _share_sex(self, locus: int, egg: int, mask: int) -> None:
        sexes = [sex for sex, of_sex in self.rules[locus].states.sex_masks.items() if of_sex & mask]
        if len(sexes) == 1:
            for other in self.linked:
                if other != locus:
                    self.narrow(other, egg, self.rules[other].states.sex_masks[sexes[0]])

    def keep(self, key: ChoiceKey, kept: int, locus: int) -> None:
        """Sets the branches of a choice of sire to those in `kept`; wakes its family. Raises WipedOutError when none is left."""
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
        self.keep(key, self.choices[key] & 1 << branch, 0)

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
        for branch in bits(self.choices[key]):
            left = self.rules[locus].step(self._sire_mask(locus, family, branch), row[family.dam], young)
            if left is None:
                continue
            kept |= 1 << branch
            sires, dams = left[0], dams | left[1]
            for mask, mask_left in left[2].items():
                joined[mask] |= mask_left
        self._narrow_parents(locus, family, key, kept, sires, dams)
        for egg in family.eggs:
            if egg_left := joined.get(row[egg]):
                self.narrow(locus, egg, egg_left)

    def _narrow_parents(self, locus: int, family: Family, key: ChoiceKey, kept: int, sires: int, dams: int) -> None:
        """Keeps these branches, and what they leave of the dam and, where one branch is left, of its sire."""
        self.keep(key, kept, locus)
        sire = None if several(kept) else family.branches[kept.bit_length() - 1].sire
        if sire is not None:
            self.narrow(locus, sire, sires)
        self.narrow(locus, family.dam, dams)

    def _work_each(self, locus: int, family: Family) -> None:
        for egg in family.eggs:
            self._work_egg(locus, family, egg)

    def _work_egg(self, locus: int, family: Family, egg: int) -> None:
        key, row = (family.number, egg), self.masks[locus]
        mask = row[egg]
        kept = dams = sires = young = 0
        for branch in bits(self.choices[key]):
            left = self.rules[locus].step(self._sire_mask(locus, family, branch), row[family.dam], (mask,))
            if left is None:
                continue
            kept |= 1 << branch
            sires, dams, young = left[0], dams | left[1], young | left[2][mask]
        self._narrow_parents(locus, family, key, kept, sires, dams)
        self.narrow(locus, egg, young)


def sex_bound(pedigree: Pedigree, linked: Sequence[int], locus: int, egg: int) -> bool:
    """Whether the egg's sex is unknown and this locus tells of it, and so of another sex-linked locus. `linked`: those loci."""
    return len(linked) > 1 and locus in linked and pedigree.eggs[egg].sex == "unknown"


def several(mask: int) -> bool:
    """Whether a domain leaves more than one value."""
    return bool(mask & (mask - 1))


def bits(mask: int) -> list[int]:
    """The positions that a mask holds, ascending."""
    return [position for position in range(mask.bit_length()) if mask >> position & 1]
