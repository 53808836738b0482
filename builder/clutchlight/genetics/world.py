"""Everything about one species that does not change with the moment asked about: its pedigree, its timeline, and at each locus the
evidence and the tables of inheritance; for young without sire a second set of tables, in which any heterozygosity may be kept.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.genetics.evidence import AsksOfEgg, LocusEvidence
from clutchlight.genetics.pedigree import Egg, Pedigree, alike, excerpt, parts_of, pedigree_of
from clutchlight.genetics.possible import Domains, Place
from clutchlight.genetics.states import HALF, States
from clutchlight.genetics.timeline import EvidenceTimeline, timeline_of
from clutchlight.genetics.tree import LIMIT
from clutchlight.model import Collection, Locus

AsksOfPlace = Callable[[Place, int], bool]


class World(Struct, frozen=True, dict=True):
    """One species. `sure_states`: the tables in which any heterozygosity may be kept. `limit`: the most entries of one table."""

    collection: Collection
    pedigree: Pedigree
    timeline: EvidenceTimeline
    evidence: tuple[LocusEvidence, ...]
    states: tuple[States, ...]
    sure_states: tuple[States, ...]
    limit: int = LIMIT

    @classmethod
    def of(cls, collection: Collection, species: str, limit: int = LIMIT, like: World | None = None) -> World:
        """`like`: one of the same loci, whose tables serve here too."""
        pedigree = pedigree_of(collection, species)
        timeline = timeline_of(collection, pedigree)
        system = collection.species[species].sex_system
        states = like.states if like else tuple(States(locus, system) for locus in collection.loci_in_play(species))
        alone = pedigree.may_lack_sire
        sure = tuple(
            States(one.locus, system, HALF) if alone and not one.locus.kept_in_parthenogenesis else one
            for one in states
        )
        evidence = tuple(LocusEvidence(collection, pedigree, timeline, one.locus, one) for one in states)
        return cls(collection, pedigree, timeline, evidence, states, sure, limit)

    @cached_property
    def loci(self) -> tuple[Locus, ...]:
        return tuple(one.locus for one in self.evidence)

    @cached_property
    def like(self) -> Mapping[int, int]:
        """Eggs whose figures are those of another one, which is told from them by nothing."""
        return alike(self.collection, self.pedigree)

    def now_by(self, collection: Collection, pedigree: Pedigree, loci: Sequence[int]) -> World:
        """The records of now alone, as another collection has them of the eggs of a pedigree, at some of the loci."""
        return self._over(collection, pedigree, timeline_of(collection, pedigree).of_now(), loci)

    def _over(
        self, collection: Collection, pedigree: Pedigree, timeline: EvidenceTimeline, loci: Sequence[int]
    ) -> World:
        world = self.only(*loci)
        evidence = tuple(one.of_others(collection, pedigree, timeline) for one in world.evidence)
        return replace(world, collection=collection, pedigree=pedigree, timeline=timeline, evidence=evidence)

    def only(self, *loci: int) -> World:
        """The same world with these loci in it, mostly a single one."""
        return replace(
            self,
            evidence=tuple(self.evidence[locus] for locus in loci),
            states=tuple(self.states[locus] for locus in loci),
            sure_states=tuple(self.sure_states[locus] for locus in loci),
        )

    def where(self, *, in_doubt: AsksOfPlace | None = None, in_question: AsksOfPlace | None = None) -> World:
        """The same with claims in doubt, or founders in question: each says of a founder's place and a moment whether it is."""

        def at(locus: int, asks: AsksOfPlace | None) -> AsksOfEgg | None:
            return None if asks is None else lambda egg, moment: asks((locus, egg), moment)

        evidence = (one.where(at(locus, in_doubt), at(locus, in_question)) for locus, one in enumerate(self.evidence))
        return replace(self, evidence=tuple(evidence))

    def ignoring(self, eggs: frozenset[int], loci: Sequence[int]) -> World:
        """The same without the looks and tests of these eggs at these loci."""
        evidence = (one.ignoring(eggs) if locus in loci else one for locus, one in enumerate(self.evidence))
        return replace(self, evidence=tuple(evidence))

    @cached_property
    def part(self) -> tuple[int, ...]:
        """For each egg one that stands for all that are related to it, by blood or through young."""
        return parts_of(self.pedigree)

    def around(self, locus: int, eggs: frozenset[int]) -> tuple[World, Mapping[int, int]]:
        """A single locus with these eggs and their families alone, and the numbers that they have there."""
        pedigree, number = excerpt(self.pedigree, eggs)
        return self._over(self.collection, pedigree, self.timeline.of(number), (locus,)), number

    @cached_property
    def linked(self) -> tuple[int, ...]:
        """The sex-linked loci."""
        return tuple(at for at, states in enumerate(self.states) if states.linked)

    @cached_property
    def founders(self) -> tuple[Egg, ...]:
        return tuple(egg for egg in self.pedigree.eggs if egg.family is None)

    @cached_property
    def not_computed(self) -> frozenset[Place]:
        """Places without a figure: the young of families that a locus is not computed for, and all their descendants."""
        return frozenset(
            (locus, egg) for locus, evidence in enumerate(self.evidence) for egg in evidence.without_figure
        )

    @cached_property
    def spared(self) -> World | None:
        """The world in which young without sire may keep a heterozygosity that is said never to be kept; None where that is no question."""
        system = self.collection.species[self.pedigree.species].sex_system
        alone = self.pedigree.may_lack_sire
        states = tuple(
            States(one.locus, system, spared=True) if alone and not one.kept and not one.spared else one
            for one in self.states
        )
        return None if states == self.states else replace(self, states=states)

    @cached_property
    def position(self) -> dict[str, int]:
        return {locus.key: index for index, locus in enumerate(self.loci)}

    def evidence_mask(self, locus: int, egg: Egg, moment: int, *, standing: bool = False) -> int:
        """What looks and sure tests leave open; a founder's prior apart."""
        evidence = self.evidence[locus]
        return evidence.looks(egg, moment, standing=standing) & evidence.sure_tests(egg, moment)

    def domains(self, masks: Sequence[Sequence[int]], *, sure: bool = False) -> Domains:
        """Domains over the whole pedigree, with impossible kinds of birth already closed."""
        domains = Domains(self.pedigree, self.sure_states if sure else self.states, masks)
        self.close_births(domains)
        domains.wake()
        return domains

    def close_births(self, domains: Domains) -> None:
        """Parthenogenesis gives young of the homogametic sex only (all-female in XY species, all-male in ZW ones)."""
        impossible = self.collection.species[self.pedigree.species].heterogametic
        for (family, egg), mask in list(domains.choices.items()):
            found = self.pedigree.families[family]
            eggs = (egg,) if egg >= 0 else found.eggs
            if impossible in (self.pedigree.eggs[one].sex for one in eggs):
                alone = sum(1 << index for index, branch in enumerate(found.branches) if branch.sire is None)
                domains.choices[family, egg] = mask & ~alone
