"""How closely two animals are related: inbreeding and kinship, over every sire that may be one."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from functools import cache, cached_property, partial

from msgspec.structs import replace

from clutchlight.genetics.pedigree import Branch, Family, Pedigree, pedigree_of
from clutchlight.genetics.values import NotComputed, SireChances
from clutchlight.model import Collection

_NONE = Fraction(0)
SiresOf = Callable[[str], SireChances | NotComputed]
"""Of an animal: who may be its sire, those that the records leave no chance at 0."""


class Kinship:
    """Inbreeding and kinship within the pedigree of one species; eggs by number.

    `sires_of`: without it every sire that was written down may be one. `least`: in place of the expectation over the sires of each egg the
    least of them, which no way of siring falls below.

    Computes   Wright's coefficient of inbreeding F and the coefficient of kinship f, as fractions.
    Formula    f(a, b) = (f(sire of a, b) + f(dam of a, b)) / 2 for a of the later generation; f(a, a) = (1 + F(a)) / 2;
               F(a) = f(sire of a, dam of a); founders and unrecorded parents are related to nobody: f = 0, F = 0.
               Sires in doubt: the expectation over the recorded chances of those that the records leave. Sibs of a clutch with one sire
               in doubt share him:
               f = sum over k of p(k) (f(k, k) + 2 f(k, dam) + f(dam, dam)) / 4.
               Parthenogenesis by terminal fusion: F = 1 - u, u = the share that keep heterozygosity (0); f with others as its dam's.
    Assumes    the pedigree is complete as recorded; identical twins are one animal.
    Cost       each pair of animals that is met once.
    Source     Wright 1922, Am Nat 56:330-338; the recursion: Malecot 1948 (from memory). Automixis: Booth et al. 2014.

    >>> from clutchlight.genetics.pedigree import Egg
    >>> eggs = (Egg(0, "A", ("A",), "male", None, True), Egg(1, "B", ("B",), "female", None, True),
    ...         Egg(2, "C", ("C",), "male", 0, True), Egg(3, "D", ("D",), "female", 0, True), Egg(4, "E", ("E",), "male", 1, False))
    >>> one = Fraction(1)
    >>> families = (Family(0, "x", (Branch(0, one, "A"),), False, 1, (2, 3), True),
    ...             Family(1, "y", (Branch(2, one, "C"),), False, 3, (4,), True))
    >>> Kinship(Pedigree("s", eggs, families, {}, {})).inbreeding(4)   # young of full sibs
    Fraction(1, 4)
    """

    def __init__(self, pedigree: Pedigree, sires_of: SiresOf | None = None, *, least: bool = False) -> None:
        self.pedigree = pedigree
        self.least = least
        self._sires_of = sires_of
        self._left: dict[int, tuple[Branch, ...]] = {}
        self._generation: list[int] = []
        for egg in pedigree.eggs:
            parents = pedigree.parents(egg.number)
            self._generation.append(1 + max((self._generation[parent] for parent in parents), default=-1))
        self._met: dict[tuple[int, int], Fraction] = {}

    def inbreeding(self, egg: int) -> Fraction:
        """F of an egg."""
        family = self._family(egg)
        if family is None:
            return _NONE
        return self._over(self._branches(egg, family), lambda branch: self._of_pair(branch, family.dam))

    def _over(self, branches: Iterable[Branch], value: Callable[[Branch], Fraction]) -> Fraction:
        if self.least:
            return min(map(value, branches))
        return sum((branch.chance * value(branch) for branch in branches), _NONE)

    def _branches(self, egg: int, family: Family) -> tuple[Branch, ...]:
        """The sires of an egg that the records leave, with their recorded chances among these."""
        animals = self.pedigree.eggs[egg].animals
        if self._sires_of is None or not family.in_doubt or not animals:
            return family.branches
        if egg not in self._left:
            found = self._sires_of(animals[0])
            out = set() if isinstance(found, NotComputed) else {sire for sire, chance in found if not chance}
            left = [branch for branch in family.branches if branch.candidate not in out]
            whole = sum((branch.chance for branch in left), _NONE)
            self._left[egg] = tuple(replace(branch, chance=branch.chance / whole) for branch in left)
        return self._left[egg]

    def _family(self, egg: int) -> Family | None:
        number = self.pedigree.eggs[egg].family
        return None if number is None else self.pedigree.families[number]

    def _of_pair(self, branch: Branch, dam: int) -> Fraction:
        return Fraction(1) if branch.sire is None else self.kinship(branch.sire, dam)

    def kinship(self, one: int, other: int) -> Fraction:
        """f of two eggs: the chance that an allele drawn from each is the same by descent."""
        if one == other:
            return (1 + self.inbreeding(one)) / 2
        older, younger = sorted((one, other), key=lambda egg: (self._generation[egg], egg))
        key = (older, younger)
        if key not in self._met:
            self._met[key] = self._worked_out(older, younger)
        return self._met[key]

    def _worked_out(self, older: int, younger: int) -> Fraction:
        family = self._family(younger)
        if family is None:
            return _NONE
        branches = self._branches(younger, family)
        if self.pedigree.eggs[older].family == family.number and not family.each_egg:
            return self._over(branches, lambda branch: self._sibs(branch, family.dam))
        by_dam = self.kinship(family.dam, older)
        by_sire = self._over(branches, lambda one: by_dam if one.sire is None else self.kinship(one.sire, older))
        return (by_sire + by_dam) / 2

    def _sibs(self, branch: Branch, dam: int) -> Fraction:
        own = self.kinship(dam, dam)
        if branch.sire is None:
            return own
        return (self.kinship(branch.sire, branch.sire) + 2 * self.kinship(branch.sire, dam) + own) / 4


class CollectionKinship:
    """The same of the animals of a collection, by id: the pedigree of each species is put in order once."""

    def __init__(self, collection: Collection, sires_of: SiresOf | None = None) -> None:
        self.collection = collection
        pedigree = cache(partial(pedigree_of, collection))
        self._within = cache(lambda species, least: Kinship(pedigree(species), sires_of, least=least))

    @cached_property
    def inbreeding(self) -> Mapping[str, Fraction]:
        """Wright's F of every animal, by id."""
        found: dict[str, Fraction] = {}
        for species in self.collection.species:
            kinship = self._within(species, False)
            egg_of = kinship.pedigree.egg_of
            of_egg = {number: kinship.inbreeding(number) for number in sorted(set(egg_of.values()))}
            found.update({animal: of_egg[number] for animal, number in egg_of.items()})
        return found

    def of_pair(self, sire: str, dam: str, *, least: bool = False) -> Fraction:
        """F that the young of two animals would have; 0 for animals of different species. `least`: see Kinship."""
        species = self.collection.animals[sire].species
        if self.collection.animals[dam].species != species:
            return _NONE
        kinship = self._within(species, least)
        return kinship.kinship(kinship.pedigree.egg_of[sire], kinship.pedigree.egg_of[dam])
