"""What is certain only if no other male sired a clutch: possible genotypes asked again with other males let in, egg by egg.

Computes   undoing(x, A): the males with whom x is no longer forced to carry A, no longer forced once claims are taken as true, or no longer
           certain in the limit, when each egg of a clutch may be by any sire on record for it or by any other male that may have been
           with the dam. They are those of the clutches that each undo it by themselves; where it takes several, of all.
Steps      the other males become branches of their clutches, and each egg its own choice; narrowing these choices closes a clutch to
           them, or opens it to one alone, and the question is asked of what is left.
Symbols    others: by clutch, each other male with the earlier clutch of the dam that he sired, or None where the log alone puts him there.
Assumes    the records are in no conflict; letting males in can only make more possible. No other male descends from his clutch.
Cost       one propagation over the species, then a search near each animal that is asked about.
Source     figures#other-males.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property

from clutchlight.genetics.certainty import Certainty
from clutchlight.genetics.pedigree import parts_of
from clutchlight.genetics.possible import Domains, WipedOutError
from clutchlight.genetics.solving import Priors, Solved, World
from clutchlight.genetics.values import GroundsKind, OtherSire
from clutchlight.model import Collection, Recorded, Sires

Others = Mapping[str, Mapping[str, str | None]]


def letting_in(collection: Collection, others: Others) -> Collection:
    """The collection with every other male among the sires of his clutch, each egg drawn by itself."""
    clutches = []
    for name, males in others.items():
        clutch = collection.clutches[name]
        every = (*(sire for sire, _ in clutch.sires.candidates), *map(Recorded, males))
        sires = Sires("mixed", tuple((sire, Fraction(1, len(every))) for sire in every))
        clutches.append(replace(clutch, sires=sires))
    return collection.with_clutches(*clutches)


def copies_with(collection: Collection, clutch: str, male: str) -> int | None:
    """The unrecorded copies that all records need if this male alone sired a clutch; None: he cannot have."""
    his = replace(collection.clutches[clutch], sires=Sires("one", ((Recorded(male), Fraction(1)),)))
    world = World.of(collection.with_clutches(his), his.species)
    solved = Solved(world, world.timeline.now)
    return None if solved.network is None else solved.copies


@dataclass(frozen=True, slots=True)
class _Asked:
    """Whether an egg is forced to have another state than these: those without the allele asked about, or with none at all."""

    locus: int
    egg: int
    without: int

    @classmethod
    def of(cls, world: World, animal: str, locus: str, allele: int | None) -> _Asked:
        position = world.position[locus]
        states = world.grids[position].states
        without = states.without(allele) if allele else states.normal
        return cls(position, world.pedigree.egg_of[animal], without)

    def forced(self, domains: Domains, *, alone: bool = False) -> bool:
        """`alone`: a no may be wrong (see `Domains.fits`)."""
        return not domains.fits(self.locus, self.egg, self.without, alone=alone)


class OtherSires:
    """One species with other males let in."""

    def __init__(self, collection: Collection, species: str, others: Others) -> None:
        self.others = {name: males for name, males in others.items() if collection.clutches[name].species == species}
        self.world = World.of(letting_in(collection, self.others), species)
        self.certainty = Certainty(self.world)
        self.recorded = {name: len(collection.clutches[name].sires.candidates) for name in self.others}
        self.family_of = {family.clutch: family for family in self.world.pedigree.families}
        self._part = parts_of(self.world.pedigree)
        self._with_one: dict[tuple[str, bool], Domains | None] = {}

    def undoing(self, animal: str, locus: str, allele: int | None, kind: GroundsKind) -> tuple[OtherSire, ...]:
        """The other males with whom what is certain on these grounds no longer is; () where it stands."""
        if kind in ("parentage", "test", "proven", "claim"):
            return self._undoing(animal, _Asked.of(self.world, animal, locus, allele), claims=kind == "claim")
        if kind == "assumption" and not _Asked.of(self.world, animal, locus, allele).forced(self._least_order):
            return self.near(animal)
        return ()

    def near(self, animal: str) -> tuple[OtherSire, ...]:
        """Every other male of a clutch that the animal is related to."""
        return tuple(self._sire(name, male) for name in self._near(animal) for male in self.others[name])

    @cached_property
    def _least_order(self) -> Domains:
        """What is possible if founders carry as little as will do; where that does not fit all records, whatever they carry."""
        world, priors = self.world, Priors(self.world, self.world.timeline.now)
        free = [
            [world.evidence_mask(at, egg, priors.moment) & priors.possible(at, egg) for egg in world.pedigree.eggs]
            for at in range(len(world.loci))
        ]
        domains = world.domains(free)
        domains.propagate()
        masks = [list(row) for row in domains.masks]
        for at, row in enumerate(masks):
            for egg in world.founders:
                row[egg.number] = priors.up_to(at, egg.number, row[egg.number])
        least = world.domains(masks)
        try:
            least.propagate()
        except WipedOutError:
            return domains
        return least

    def _undoing(self, animal: str, asked: _Asked, *, claims: bool) -> tuple[OtherSire, ...]:
        """The males of the clutches each of which, if it alone may be by one, undoes it; all that are near where it takes several."""
        every = self.certainty.claimed_now if claims else self.certainty.domains_now
        if every is None or asked.forced(every, alone=True):
            return ()
        found: list[OtherSire] = []
        closed: dict[str, tuple[str, ...]] = {}
        for name in self._near(animal):
            one = self._only(name, claims)
            if one is None or asked.forced(one):
                continue
            found += [self._sire(name, male) for male in self.others[name] if self._lets_go(one, name, male, asked)]
            closed[name] = ()
            with self._kept(every, closed):
                if asked.forced(every, alone=True):
                    return tuple(found)
        return () if not found and asked.forced(every) else self.near(animal)

    def _only(self, clutch: str, claims: bool) -> Domains | None:
        """What is possible if only this clutch may be by another male."""
        key = clutch, claims
        if key not in self._with_one:
            every = self.certainty.claimed_now if claims else self.certainty.domains_now
            self._with_one[key] = None if every is None else self.world.domains(every.masks, sure=True)
            if (found := self._with_one[key]) is not None:
                self._keep(found, {name: () for name in self.others if name != clutch})
        return self._with_one[key]

    def _lets_go(self, domains: Domains, clutch: str, male: str, asked: _Asked) -> bool:
        with self._kept(domains, {clutch: (male,)}):
            return not asked.forced(domains)

    def _sire(self, clutch: str, male: str) -> OtherSire:
        return OtherSire(clutch, male, self.others[clutch][male])

    def _near(self, animal: str) -> tuple[str, ...]:
        """The clutches with other males that it is related to: its own, those that it bred, then the rest."""
        pedigree, egg = self.world.pedigree, self.world.pedigree.egg_of[animal]
        own = pedigree.eggs[egg].family
        first = [
            pedigree.families[number].clutch
            for number in (*(() if own is None else (own,)), *pedigree.own.get(egg, ()))
        ]
        part = self._part[egg]
        rest = [name for name in self.others if self._part[self.family_of[name].dam] == part]
        return tuple(dict.fromkeys(name for name in (*first, *rest) if name in self.others))

    @contextmanager
    def _kept(self, domains: Domains, clutches: Mapping[str, tuple[str, ...]]) -> Iterator[None]:
        """These clutches open to these of their other males alone; afterwards as before."""
        mark = domains.mark()
        try:
            self._keep(domains, clutches)
            yield
        finally:
            domains.undo(mark)

    def _keep(self, domains: Domains, clutches: Mapping[str, tuple[str, ...]]) -> None:
        for name, males in clutches.items():
            family, count = self.family_of[name], self.recorded[name]
            kept = (1 << count) - 1
            kept |= sum(1 << count + at for at, male in enumerate(self.others[name]) if male in males)
            for egg in family.eggs:
                domains.keep((family.number, egg), domains.choices[family.number, egg] & kept, 0)
        domains.propagate()
