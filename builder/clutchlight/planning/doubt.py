"""What hangs on each record: the figures without a claim, a test, a look or a sire line, one record left out at a time.

Computes   for each record the printed figures that would be others if it were not there, the animal's chance of carrying before and after,
           and what would still be 1, but no longer certain. What other records prove as well has not moved.
Steps      at its own loci, unless a sire in doubt joins others, a record moves only animals that hang together with its own by relatives
           who may carry something there, with founders carrying as little as their own looks, tests and claims need and every other look
           as it is: these alone are inferred anew. Where that fits no longer, or brings founders into question, all relatives are. A look
           that such founders explain says nothing; there nothing is asked. Young that nothing tells apart are left out once, for all.
           What the few leave certain is certain by all; what they do not is asked of all relatives.
Assumes    records in no conflict. Leaving one out can only make more possible, so there is a figure without it.
Source     figures#what-hangs-on-a-record.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import cache, cached_property, lru_cache
from types import MappingProxyType
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.genetics.certainty import Certainty
from clutchlight.genetics.inference import Inference, SpeciesFigures
from clutchlight.genetics.pedigree import Pedigree, excerpt, pedigree_of
from clutchlight.genetics.possible import several
from clutchlight.genetics.solving import Priors
from clutchlight.genetics.values import NORMAL_FIGURE, Figure, Grounds
from clutchlight.genetics.world import World
from clutchlight.model import UNRECORDED, Animal, Collection, Sires
from clutchlight.model.traits import grouped, reached
from clutchlight.problems import Place

RecordKind = Literal["claim", "test", "look", "sire"]
_UNKNOWN = Sires("one", ((UNRECORDED, Fraction(1)),))


class LeftOut(Struct, frozen=True):
    """A record that is left out: of an animal, or the sire line of a clutch. `number`: which of its claims or tests.

    `alike`: the clutch mates, sold or kept as it is, of which the same record says the same, the animal itself among them.
    """

    kind: RecordKind
    subject: str
    place: Place
    number: int = 0
    alike: tuple[str, ...] = ()


class MovedFigure(Struct, frozen=True):
    """A printed figure that would be another: the chance of carrying a trait, and on what grounds, with the record and without it.

    `harmful`: it is spoken of as a risk. `sired`: the clutches that no other male may have sired for it to be certain.
    `ruled_out`: it cannot carry it, with the record.
    """

    animal: str
    locus: str
    trait: str
    before: Fraction
    after: Fraction
    grounds: Grounds
    grounds_after: Grounds
    sold: bool
    harmful: bool
    sired: tuple[str, ...]
    ruled_out: bool

    @property
    def by(self) -> Fraction:
        return abs(self.after - self.before)

    @property
    def rank(self) -> tuple[bool, Fraction, str, str, str]:
        """Those of which "proven by" falls away first, then by how far they move."""
        proof_gone = self.grounds.kind == "proven" and self.grounds_after.kind != "proven"
        return not proof_gone, -self.by, self.animal, self.locus, self.trait


class Doubted(Struct, frozen=True):
    """A record with what hangs on it: proofs that fall away first, then by how far they move."""

    record: LeftOut
    moved: tuple[MovedFigure, ...]

    @property
    def sold(self) -> tuple[MovedFigure, ...]:
        return tuple(one for one in self.moved if one.sold)

    @property
    def others(self) -> tuple[MovedFigure, ...]:
        return tuple(one for one in self.moved if not one.sold)


def doubts(
    inference: Inference, *about: str, moving: str | None = None, to_leave: Container[str] = ()
) -> tuple[Doubted, ...]:
    """Every record on which a printed figure hangs, those with most figures of sold animals first, then with most figures.

    `about`: animals or clutches: their own records alone. `moving`: of one animal: the records that move its figures, and these alone.
    An animal that is asked about by itself stands apart from mates like it. `to_leave`: the animals whose hand-over is to come, not sold
    yet.
    """
    apart = about[0] if len(about) == 1 else moving
    found = []
    for species in inference.collection.species:
        if inference.loci_in_play(species):
            leaving = _Leaving(inference, species, to_leave)
            for record in leaving.records(apart):
                if (not about or record.subject in about) and leaving.related(record, moving):
                    moved = leaving.moved(record)
                    kept = tuple(one for one in moved if moving in (None, one.animal))
                    found += [Doubted(record, kept)] if kept else []
    return tuple(sorted(found, key=_most_first))


def _most_first(one: Doubted) -> tuple[int, int, Fraction, str, str, int]:
    return -len(one.sold), -len(one.moved), -one.moved[0].by, one.record.subject, one.record.kind, one.record.number


class _Leaving:
    """One species, its records left out one at a time."""

    def __init__(self, inference: Inference, species: str, to_leave: Container[str] = ()) -> None:
        self.inference = inference
        self.to_leave = to_leave
        self.collection = inference.collection
        self.species = species
        self.animals = [animal for animal in self.collection.animals.values() if animal.species == species]
        self.figures: SpeciesFigures = inference.of_species(species)
        self.world = self.figures.world
        self._tops = self.world.part
        self._other_records = lru_cache(maxsize=1)(self._all_but)
        self._joined = cache(lambda top: frozenset(self._joined_by_sires(top)))
        self._alike = grouped((self._likeness(animal), animal.id) for animal in self.animals)

    def _sold(self, animal: Animal) -> bool:
        return animal.sold and animal.id not in self.to_leave

    def _likeness(self, animal: Animal) -> tuple[str, bool]:
        return self.inference.like.get(animal.id, animal.id), self._sold(animal)

    def records(self, apart: str | None = None) -> Iterator[LeftOut]:
        """`apart`: the animal that is not told with mates like it."""
        for animal in self.animals:
            for number, claim in enumerate(animal.claims):
                if not claim.withdrawn:
                    yield LeftOut("claim", animal.id, claim.place, number)
            for number, test in enumerate(animal.tests):
                yield LeftOut("test", animal.id, test.place, number)
            mates = self._alike[self._likeness(animal)]
            alike = [animal.id] if animal.id == apart else [mate for mate in mates if mate != apart]
            if animal.readings and animal.id == alike[0]:
                yield LeftOut("look", animal.id, animal.readings[-1].place, alike=tuple(alike) if alike[1:] else ())
            if animal.sire and animal.clutch is None:
                yield LeftOut("sire", animal.id, animal.place_of("sire"))
        for clutch in self.collection.clutches.values():
            if clutch.species == self.species and clutch.sires != _UNKNOWN and (clutch.young or clutch.tally):
                yield LeftOut("sire", clutch.id, clutch.place_of("sire"))

    def related(self, record: LeftOut, animal: str | None) -> bool:
        """Whether a record can move an animal at all; None: some animal."""
        return animal is None or (
            self.collection.animals[animal].species == self.species
            and self._tops[self.world.pedigree.egg_of[animal]] == self._tops[self._own_eggs(record)[0]]
        )

    def moved(self, record: LeftOut) -> tuple[MovedFigure, ...]:
        """The printed figures that the record moves."""
        loci = self._loci_moved(record)
        joined = [at for at in loci if any(at in one for one in self._joining(record))]
        found: list[MovedFigure] = []
        for group in ([at] for at in loci if at not in joined):
            found += self._moved_at(record, group)
        found += self._moved_at(record, joined) if joined else ()
        return tuple(sorted(found, key=lambda one: one.rank))

    def _moved_at(self, record: LeftOut, loci: list[int]) -> Iterator[MovedFigure]:
        """The same at one locus, or at some that hang together."""
        near = self.near(record, loci, least=True)
        if not near:
            return
        left = _Left(self, record, loci, near)
        for ident in left.figures.world.pedigree.egg_of:
            animal = self.collection.animals[ident]
            keys = () if animal.nameless else [self.world.loci[at].key for at in loci]
            for key in keys:
                if key not in self.collection.set_aside(animal):  # nothing is printed there
                    yield from self._compared(left, animal, key, record.subject)

    def without(self, record: LeftOut, loci: Sequence[int], eggs: frozenset[int]) -> World:
        """What all other records say of these eggs at some loci."""
        collection, pedigree = self._other_records(record)
        if record.kind == "sire":
            names = {self.world.pedigree.eggs[egg].name for egg in eggs} | {f"{record.subject}:sire"}
            eggs = frozenset(egg.number for egg in pedigree.eggs if egg.name in names)
        return self.world.now_by(collection, excerpt(pedigree, eggs)[0], loci)

    def _own_eggs(self, record: LeftOut) -> tuple[int, ...]:
        """The eggs that a record speaks of; of a sire line the whole family."""
        pedigree, clutch = self.world.pedigree, self.collection.clutches.get(record.subject)
        own = pedigree.egg_of[clutch.dam if clutch else record.subject]
        if record.kind != "sire":
            return (own,)
        number = pedigree.eggs[own].family
        families = [one for one in pedigree.families if one.clutch == clutch.id] if clutch else []
        return (families or [pedigree.families[number or 0]])[0].members

    def near(self, record: LeftOut, loci: Sequence[int], *, least: bool) -> frozenset[int]:
        """The eggs with which a record's own hang together at these loci: by those whose looks leave several genotypes.

        `least`: by those of them alone who may carry anything as it is; none where none of its own may, for then it says nothing.
        """
        own, families = self._own_eggs(record), self.world.pedigree.families
        if least and not any(self._may_carry(at, egg) for at in loci for egg in own):
            return frozenset()

        def beside(egg: int) -> Iterator[int]:
            if egg in own or any(self._passes(at, egg, least) for at in loci):
                for family in self.world.pedigree.families_of[egg]:
                    yield from families[family].members

        return reached(own, beside)

    def all_related(self, record: LeftOut) -> frozenset[int]:
        """The eggs that are related to a record's own, by blood or through young."""
        top = self._tops[self._own_eggs(record)[0]]
        return frozenset(egg for egg, other in enumerate(self._tops) if other == top)

    def _may_carry(self, locus: int, egg: int) -> bool:
        """Whether an egg may carry anything at a locus by what its relatives' looks do not need; all may where they need more."""
        return not self._calm(locus) or bool(self._least[locus][egg] & ~self.world.states[locus].normal)

    def _passes(self, locus: int, egg: int, least: bool) -> bool:
        """Whether what is known of some relatives of an egg can tell of others by way of its genotype."""
        one, now = self.world.pedigree.eggs[egg], self.world.timeline.now
        if not several(self.world.evidence[locus].looks(one, now)):
            return False
        if not least or not self._calm(locus):
            return True
        seen = self.world.evidence_mask(locus, one, now) & self._least[locus][egg]
        return bool(seen & ~self.world.states[locus].normal)

    def _quiet(self, locus: int) -> bool:
        """Whether nothing on record at a locus needs an unrecorded carrier or brings founders into question."""
        return not self.figures.limit.solved.order[locus] and self.figures.asking is self.world

    def _calm(self, locus: int) -> bool:
        """Whether besides no chromosome of a founder's is fixed by what was claimed, which the least that it carries would hide."""
        return self._quiet(locus) and not self.world.states[locus].linked

    def _loci_moved(self, record: LeftOut) -> list[int]:
        """The loci at which a record can move anything."""
        record_of = self.collection.animals.get(record.subject)
        position = self.world.position
        loci = set(position.values())
        if record.kind == "look" and record_of is not None:
            loci = {at for at in loci if not self._says_nothing(at, record_of)}
        elif record.kind != "sire" and record_of is not None:
            of_kind = record_of.claims if record.kind == "claim" else record_of.tests
            loci = {position[of_kind[record.number].locus]}
        for joined in self._joining(record):
            loci |= joined if loci & joined else set()
        return sorted(loci)

    def _joining(self, record: LeftOut) -> tuple[frozenset[int], ...]:
        """The loci that a sire in doubt may join among a record's relatives, and those that a sex may."""
        return self._joined(self._tops[self._own_eggs(record)[0]]), frozenset(self.world.linked)

    def _joined_by_sires(self, top: int) -> Iterator[int]:
        """The loci of a part at which a sire in doubt may bring anything, whatever single record is left out."""
        for family in self.world.pedigree.families:
            if family.in_doubt and self._tops[family.dam] == top:
                alone = family.may_lack_sire
                for at in range(len(self.world.loci)):
                    if alone or any(self._may_carry(at, sire) for sire in family.parents[:-1]):
                        yield at

    def _says_nothing(self, at: int, animal: Animal) -> bool:
        """Whether what an animal looks like follows from founders that carry as little as will do, without any look of a young.

        What a fallible test says depends on the look.
        """
        evidence, egg = self.world.evidence[at], self.world.pedigree.eggs[self.world.pedigree.egg_of[animal.id]]
        if evidence.every_fallible_test(egg) or not self._quiet(at):
            return False
        return not self._least[at][egg.number] & ~evidence.reading_mask(animal.readings[-1])

    @cached_property
    def _least(self) -> tuple[tuple[int, ...], ...]:
        """What is possible at each locus if founders carry as little as claims and sure tests need, and no look counts but what founders
        show that carry more."""
        world, now = self.world, self.world.timeline.now
        priors = Priors(world, now)
        rows = []
        for at, evidence in enumerate(world.evidence):
            row = []
            for egg in world.pedigree.eggs:
                if egg.family is not None:
                    row.append(evidence.sex_mask(egg))
                    continue
                free = priors.up_to(at, egg.number, evidence.sex_mask(egg))
                seen = priors.up_to(at, egg.number, world.evidence_mask(at, egg, now) & priors.possible(at, egg))
                normal = evidence.states.normal & evidence.sex_mask(egg)
                row.append(free | seen | normal)
            domains = world.only(at).domains([row])
            domains.propagate()  # never wiped out: that everybody is normal stays possible
            rows.append(tuple(domains.masks[0]))
        return tuple(rows)

    def _compared(self, left: _Left, animal: Animal, key: str, subject: str) -> Iterator[MovedFigure]:
        if self.inference.hears(animal.id):
            return  # what a clutch that does not count tells of it is no part of these figures
        place = left.figures.place(animal.id, key)
        before = self.inference.now(animal.id, key)
        after = NORMAL_FIGURE if place is None else left.figures.now(place)
        if not (isinstance(before, Figure) and isinstance(after, Figure)):
            return
        if before == after and before.genotypes[0][0] == (0, 0):
            return  # nothing was certain
        locus = self.collection.species[self.species].loci[key]
        for allele, trait in enumerate(locus.alleles, 1):
            one = before.carries(allele)
            other = one if before == after else after.carries(allele)
            printed = _printed(one) != _printed(other)
            if not printed and one != 1:
                continue
            grounds = self.inference.grounds(animal.id, key, allele) if one == 1 else Grounds("chance")
            if not printed and grounds.kind == "look" and animal.id != subject:
                continue  # its own look stands
            still = left.grounds(animal.id, key, allele, grounds) if other == 1 else Grounds("chance")
            if printed or grounds != still:
                sired = self.inference.if_sired(animal.id, key, allele) if one == 1 else ()
                harmful = locus.affects is not None
                out = one == 0 and self.inference.ruled_out(animal.id, key, allele)
                sold = self._sold(animal)
                yield MovedFigure(animal.id, key, trait, one, other, grounds, still, sold, harmful, sired, out)

    def _all_but(self, record: LeftOut) -> tuple[Collection, Pedigree]:
        """The collection without a record, and its pedigree."""
        collection = _without(self.collection, record)
        return collection, pedigree_of(collection, self.species) if record.kind == "sire" else self.world.pedigree


def _printed(chance: Fraction) -> tuple[bool, int]:
    """Two chances that are printed alike have the same: whether it is nothing, and the whole percentage."""
    return chance > 0, int(chance * 100)


class _Left:
    """What is left without a record, at some loci: the figures of those near it, and what of them is certain by all their relatives."""

    def __init__(self, leaving: _Leaving, record: LeftOut, loci: Sequence[int], near: frozenset[int]) -> None:
        self._asked = leaving, record, loci
        self.figures = self._figures(near)
        if any(self.figures.limit.solved.order):
            self.figures = self._figures(leaving.near(record, loci, least=False))
        if self.figures.limit.solved.spared or self.figures.asking is not self.figures.world:
            self.figures = self._figures(leaving.all_related(record))

    def _figures(self, eggs: frozenset[int]) -> SpeciesFigures:
        leaving, record, loci = self._asked
        return SpeciesFigures(leaving.collection, leaving.species, world=leaving.without(record, loci, eggs))

    @cached_property
    def _of_all(self) -> Certainty:
        leaving, record, loci = self._asked
        return Certainty(leaving.without(record, loci, leaving.all_related(record)))

    def grounds(self, animal: str, locus: str, allele: int, before: Grounds) -> Grounds:
        """On what it is still certain; what is forced by other records too is said on the grounds that it has."""
        sure = before.kind in ("look", "parentage", "test", "proven")
        if sure and any(one.forced_now(*_place(one, animal, locus), allele) for one in self._certainties()):
            return before
        claimed = any(one.forced_by_claims(*_place(one, animal, locus), allele) for one in self._certainties())
        return Grounds("claim" if claimed else "assumption")

    def _certainties(self) -> Iterator[Certainty]:
        """Of those near, which may say too little, then of all."""
        yield self.figures.certainty
        yield self._of_all


def _place(certainty: Certainty, animal: str, locus: str) -> tuple[int, int]:
    return certainty.world.position[locus], certainty.world.pedigree.egg_of[animal]


def _without(collection: Collection, record: LeftOut) -> Collection:
    """The collection without a record."""
    clutch = collection.clutches.get(record.subject)
    if clutch is not None:
        return collection.with_clutches(replace(clutch, sires=_UNKNOWN))
    animal = collection.animals[record.subject]
    match record.kind:
        case "claim":
            animal = replace(animal, claims=tuple(one for at, one in enumerate(animal.claims) if at != record.number))
        case "test":
            animal = replace(animal, tests=tuple(one for at, one in enumerate(animal.tests) if at != record.number))
        case "look":
            animal = replace(animal, readings=())
        case "sire":
            animal = replace(animal, sire=None)
    animals: Mapping[str, Animal] = {**collection.animals, animal.id: animal}
    return replace(collection, animals=MappingProxyType(animals))
