"""The bare pedigree of one species: eggs and the families that join them, made from a collection.

An egg is one genotype: an animal, identical twins, a hatchling that was counted but not kept apart, or a parent that no record
names (an unrecorded sire, one per clutch; a missing parent, one per animal). A family is one clutch (or one animal whose clutch is
not on record) with its dam and one branch for each possible sire; under parthenogenesis a branch has no sire. Eggs are numbered
parents first, ties by id, so that every order that follows from them is the same whatever the order of the records.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from datetime import date
from fractions import Fraction
from functools import cached_property
from graphlib import TopologicalSorter
from heapq import heappop, heappush

from msgspec import Struct, field
from msgspec.structs import replace

from clutchlight.model import UNRECORDED, Animal, Clutch, Collection, Recorded, Sex, Sire, Tally, Unrecorded
from clutchlight.model.traits import Key, grouped, reached


class Egg(Struct, frozen=True):
    """One genotype: its animals (none for a parent without record), its sex, the family it hatched from, whether it has young.

    `counted`: the tally row of a hatchling without a record of its own, and its position among its clutch's rows.
    """

    number: int
    name: str
    animals: tuple[str, ...]
    sex: Sex
    family: int | None
    breeds: bool
    counted: Tally | None = None
    row: int = -1


class Branch(Struct, frozen=True):
    """One possible sire of a family: his egg number, or None for parthenogenesis; the prior chance."""

    sire: int | None
    chance: Fraction
    candidate: Sire


class Family(Struct, frozen=True, dict=True):
    """The young of one clutch, those only counted included. `weighs`: whether looks count towards the parents.

    `each_egg`: the sire is drawn egg by egg.
    """

    number: int
    clutch: str | None
    branches: tuple[Branch, ...]
    each_egg: bool
    dam: int
    eggs: tuple[int, ...]
    weighs: bool

    @property
    def in_doubt(self) -> bool:
        return len(self.branches) > 1

    @cached_property
    def choices(self) -> tuple[tuple[tuple[int, int], tuple[int, ...]], ...]:
        """The young that share a sire, with the key of its choice: those of a clutch, or each egg of a mixed one."""
        if self.each_egg:
            return tuple(((self.number, egg), (egg,)) for egg in self.eggs)
        return (((self.number, -1), self.eggs),)

    @property
    def may_lack_sire(self) -> bool:
        """Whether its young may have come about without a male."""
        return any(branch.sire is None for branch in self.branches)

    @property
    def parents(self) -> tuple[int, ...]:
        """Every possible parent: sires in the order of the branches, then the dam."""
        return (*(branch.sire for branch in self.branches if branch.sire is not None), self.dam)

    @property
    def members(self) -> tuple[int, ...]:
        return (*self.parents, *self.eggs)


class Pedigree(Struct, frozen=True, dict=True):
    """All eggs and families of one species.

    `own`: the families of which an egg may be a parent.
    """

    species: str
    eggs: tuple[Egg, ...]
    families: tuple[Family, ...]
    egg_of: Mapping[str, int]
    own: Mapping[int, tuple[int, ...]] = field(default_factory=dict)

    @property
    def may_lack_sire(self) -> bool:
        """Whether any young may have come about without a male."""
        return any(family.may_lack_sire for family in self.families)

    def parents(self, egg: int) -> tuple[int, ...]:
        """Every possible parent of an egg; none of a founder."""
        family = self.eggs[egg].family
        return () if family is None else self.families[family].parents

    @cached_property
    def families_of(self) -> tuple[tuple[int, ...], ...]:
        """For each egg the family that it hatched in, then those of which it may be a parent."""
        return tuple(
            (*(() if egg.family is None else (egg.family,)), *self.own.get(egg.number, ())) for egg in self.eggs
        )

    def animals_of(self, eggs: Iterable[int]) -> frozenset[str]:
        return frozenset(name for egg in eggs for name in self.eggs[egg].animals)

    def beyond(self, egg: int) -> frozenset[int]:
        """An egg and those related to it through its young, and by no way through its parents: else its descendants alone."""
        home = self.eggs[egg].family
        kin = reached(
            [egg],
            lambda one: (member for at in self.families_of[one] if at != home for member in self.families[at].members),
        )
        loop = home is not None and any(member in kin for member in self.families[home].members if member != egg)
        return self.with_descendants([egg]) if loop else kin

    def with_ancestors(self, eggs: Iterable[int]) -> frozenset[int]:
        """These eggs and all that they may come from."""
        return reached(eggs, self.parents)

    def with_descendants(self, eggs: Iterable[int]) -> frozenset[int]:
        """These eggs and all that may come from them."""
        return reached(eggs, self.young)

    def clutch_of(self, egg: Egg) -> str:
        """The id of the clutch that an egg hatched from; "" when none is on record."""
        return (self.families[egg.family].clutch or "") if egg.family is not None else ""

    def young(self, egg: int) -> tuple[int, ...]:
        return tuple(child for family in self.own.get(egg, ()) for child in self.families[family].eggs)


class _Draft(Struct, frozen=True):
    """A family before eggs have numbers: parents by name."""

    key: str
    clutch: Clutch | None
    branches: tuple[tuple[str | None, Fraction, Sire], ...]
    dam: str
    young: tuple[str, ...]
    counted: Mapping[str, tuple[Tally, int]] = field(default_factory=dict)


def pedigree_of(collection: Collection, species: str) -> Pedigree:
    """The pedigree of one species. Expects checked records: known parents, no circles, twins in one clutch."""
    animals = {animal.id: animal for animal in collection.animals.values() if animal.species == species}
    egg_name = {animal.id: (animal.egg or animal.id) for animal in animals.values()}
    drafts = sorted(_drafts(collection, animals, egg_name), key=lambda draft: draft.key)
    members = grouped((egg_name[ident], ident) for ident in sorted(animals))
    parents_of: dict[str, tuple[str, ...]] = {}
    draft_of: dict[str, int] = {}
    sexes: dict[str, Sex] = {name: _sex(animals, ids) for name, ids in members.items()}
    counted = {name: row for draft in drafts for name, row in draft.counted.items()}
    sexes |= {name: row.sex for name, (row, _) in counted.items()}
    breeding: set[str] = set()
    for index, draft in enumerate(drafts):
        sires = tuple(name for name, _, _ in draft.branches if name is not None)
        for sire in sires:
            sexes[sire] = "male"
        sexes[draft.dam] = "female"
        breeding.update((*sires, draft.dam))
        for child in (*draft.young, *draft.counted):
            parents_of[child] = (*sires, draft.dam)
            draft_of[child] = index
    order = _parents_first(sorted(sexes), parents_of)
    number = {name: index for index, name in enumerate(order)}
    eggs = tuple(
        Egg(
            number[name],
            name,
            members.get(name, ()),
            sexes[name],
            draft_of.get(name),
            name in breeding,
            *counted.get(name, ()),
        )
        for name in order
    )
    families = tuple(_numbered(draft, index, number) for index, draft in enumerate(drafts))
    egg_of = {ident: number[egg_name[ident]] for ident in animals}
    return Pedigree(species, eggs, families, egg_of, by_parent(families))


def by_parent(families: Iterable[Family]) -> Mapping[int, tuple[int, ...]]:
    """For each egg the families of which it may be a parent."""
    return grouped((parent, family.number) for family in families for parent in dict.fromkeys(family.parents))


def alike(collection: Collection, pedigree: Pedigree) -> Mapping[int, int]:
    """For each egg that nothing tells from an earlier one of its clutch, the first of them, whose figures are also its own.

    It has no young, no twin and no record but one look with no day of its own: each look that has one is an event by itself.
    """
    linked = any(locus.sex_linked for locus in collection.loci_in_play(pedigree.species))
    first: dict[Hashable, int] = {}
    found: dict[int, int] = {}
    for family in pedigree.families:
        if family.clutch is None:
            continue
        clutch = collection.clutches[family.clutch]
        sexed = linked or family.may_lack_sire
        last = clutch.hatched.last if clutch.hatched else date.min
        for animal in (collection.animals[name] for name in clutch.young):
            egg = pedigree.eggs[pedigree.egg_of[animal.id]]
            told = animal.tests or animal.claims or animal.stated or len(animal.readings) > 1
            late = any(reading.on is not None and reading.on.last > last for reading in animal.readings)
            if not (egg.breeds or told or late or len(egg.animals) > 1):
                looks = tuple(replace(reading, place=clutch.place) for reading in animal.readings)
                key = family.number, animal.hatched, animal.sex if sexed else None, *looks
                found[egg.number] = first.setdefault(key, egg.number)
    return {one: other for one, other in found.items() if one != other}


def parts_of(pedigree: Pedigree) -> tuple[int, ...]:
    """For each egg one that stands for all that are related to it, by blood or through young."""
    eggs = range(len(pedigree.eggs))
    first = joined([*((egg,) for egg in eggs), *(family.members for family in pedigree.families)])
    return tuple(first[egg] for egg in eggs)


def joined(groups: Iterable[Sequence[Key]]) -> Mapping[Key, Key]:
    """For each thing in these groups one that stands for all that it hangs together with, straight or by way of others."""
    up: dict[Key, Key] = {}

    def top(one: Key) -> Key:
        while (above := up.setdefault(one, one)) != one:
            up[one] = one = up[above]
        return one

    for group in groups:
        first = top(group[0])
        for other in group[1:]:
            up[top(other)] = first
    return {one: top(one) for one in list(up)}


def excerpt(pedigree: Pedigree, eggs: frozenset[int]) -> tuple[Pedigree, Mapping[int, int]]:
    """A pedigree of these eggs alone with the families that have all their members among them, and the numbers of the eggs in it."""
    if len(eggs) == len(pedigree.eggs):
        return pedigree, dict(enumerate(range(len(eggs))))
    own_families = {one for egg in eggs for one in pedigree.own.get(egg, ())}
    families = sorted(one for one in own_families if eggs.issuperset(pedigree.families[one].members))
    number = {egg: index for index, egg in enumerate(sorted(eggs))}
    renamed: dict[int | None, int] = {family: index for index, family in enumerate(families)}
    found = tuple(
        replace(
            family,
            number=renamed[family.number],
            dam=number[family.dam],
            eggs=tuple(number[egg] for egg in family.eggs),
            branches=tuple(
                replace(one, sire=None if one.sire is None else number[one.sire]) for one in family.branches
            ),
        )
        for family in (pedigree.families[one] for one in families)
    )
    kept = tuple(
        replace(egg, number=at, family=renamed.get(egg.family))
        for at, egg in enumerate(pedigree.eggs[old] for old in number)
    )
    egg_of = {ident: number[egg] for ident, egg in pedigree.egg_of.items() if egg in number}
    return Pedigree(pedigree.species, kept, found, egg_of, by_parent(found)), number


def _sex(animals: Mapping[str, Animal], ids: Iterable[str]) -> Sex:
    return next((animals[ident].sex for ident in ids if animals[ident].sex != "unknown"), "unknown")


def _drafts(collection: Collection, animals: Mapping[str, Animal], egg_name: Mapping[str, str]) -> list[_Draft]:
    drafts: list[_Draft] = []
    placed: set[str] = set()
    for clutch in collection.clutches.values():
        if clutch.dam not in animals:
            continue
        young = tuple(dict.fromkeys(egg_name[ident] for ident in clutch.young))
        placed.update(clutch.young)
        branches = tuple(
            (_branch_name(clutch, candidate, egg_name), chance, candidate)
            for candidate, chance in clutch.sires.candidates
        )
        counted = {
            f"{clutch.id}:tally:{index}:{each}": (row, index)
            for index, row in enumerate(clutch.tally)
            for each in range(row.count)
        }
        drafts.append(_Draft(clutch.id, clutch, branches, egg_name[clutch.dam], young, counted))
    for animal in animals.values():
        if animal.id in placed or (animal.sire is None and animal.dam is None):
            continue
        sire = egg_name[animal.sire] if animal.sire else f"{animal.id}:sire"
        dam = egg_name[animal.dam] if animal.dam else f"{animal.id}:dam"
        key = f"{animal.id}:parents"
        drafts.append(
            _Draft(
                key,
                None,
                ((sire, Fraction(1), Recorded(animal.sire) if animal.sire else UNRECORDED),),
                dam,
                (egg_name[animal.id],),
            )
        )
    return drafts


def _branch_name(clutch: Clutch, candidate: Sire, egg_name: Mapping[str, str]) -> str | None:
    if isinstance(candidate, Recorded):
        return egg_name[candidate.id]
    return f"{clutch.id}:sire" if isinstance(candidate, Unrecorded) else None


def _numbered(draft: _Draft, index: int, number: Mapping[str, int]) -> Family:
    clutch = draft.clutch
    each_egg = clutch is not None and clutch.sires.kind == "mixed" and len(draft.branches) > 1
    return Family(
        index,
        clutch.id if clutch else None,
        tuple(Branch(number[name] if name else None, chance, candidate) for name, chance, candidate in draft.branches),
        each_egg,
        number[draft.dam],
        tuple(sorted(number[name] for name in (*draft.young, *draft.counted))),
        clutch is not None and clutch.weighs,
    )


def _parents_first(names: list[str], parents_of: Mapping[str, tuple[str, ...]]) -> list[str]:
    """In this order, by name among those whose parents are all there. Raises CycleError."""
    sorter = TopologicalSorter({name: parents_of.get(name, ()) for name in names})
    sorter.prepare()
    ready: list[str] = []
    order: list[str] = []
    while sorter.is_active():
        for name in sorter.get_ready():
            heappush(ready, name)
        order.append(heappop(ready))
        sorter.done(order[-1])
    return order
