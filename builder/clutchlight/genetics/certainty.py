"""What is certain whatever anybody claimed or assumed: forced genotypes, and the event that first forced them; what was certain at moments
gone by (`CertainThen`), which claims took part in what is not forced (`Influence`), which other males would undo what is (`OtherSires`).

Computes   forced(x, A, m): every assignment that looks, tests without error and parentage up to moment m allow gives x a copy of A;
           with every claim and every assumption about founders allowed to be wrong.
Steps      one pass through the events, narrowing domains; the moment at which an egg's domain loses its last state without A is noted.
           Where the pass leaves such a state, x is set to no copy of A and the rest is searched: nothing left means forced, and since
           forced can only become true with time, the first moment is found by bisection.
Assumes    a reading that was replaced counts, in its time, as far as the last one says the same: the rest the breeder took back.
Cost       the pass costs one propagation in all; a question that the pass leaves open costs one local search.
Source     figures#forced, figures#grounds.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from fractions import Fraction
from functools import cache, cached_property

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.genetics.pedigree import Egg, Family
from clutchlight.genetics.possible import ChoiceKey, Domains, Place, WipedOutError, several
from clutchlight.genetics.solving import Priors, Solved
from clutchlight.genetics.values import GroundsKind, OtherSire
from clutchlight.genetics.world import World
from clutchlight.model import Claim, Collection, Recorded, Sires
from clutchlight.model.traits import grouped, reached


class Noticed(Struct, frozen=True):
    """What one pass through the events leaves: domains after the last, and how long their trail was after each.

    `since`: for (locus, egg, allele), the first moment at which propagation leaves only states with the allele; `at`: those of a moment.
    """

    domains: Domains
    marks: tuple[int, ...]
    since: Mapping[tuple[int, int, int], int]
    at: Mapping[int, Sequence[tuple[int, int, int]]]


class Certainty:
    """Forced genotypes of one species."""

    def __init__(self, world: World) -> None:
        self.world = world
        self._domains = cache(self._domains_at)
        self._late_at = cache(self._late)
        self.forced_since = cache(self._forced_since)

    def _domains_at(self, moment: int) -> Domains:
        """The fixed point at a moment, from scratch."""
        masks = [evidence.masks(moment, standing=True) for evidence in self.world.evidence]
        domains = self.world.domains(masks, sure=True)
        domains.propagate()
        return domains

    @property
    def domains_now(self) -> Domains:
        """What is possible by the evidence of today alone."""
        return self._domains(self.world.timeline.now)

    def _without(self, locus: int, allele: int) -> int:
        """The states without a copy of an allele; 0: of any mutant allele."""
        return self.world.states[locus].without(allele)

    def _alleles(self, locus: int) -> range:
        return range(1, len(self.world.loci[locus].alleles) + 1)

    def _through_time(self) -> Iterator[tuple[int, Domains]]:
        """The fixed point after each moment in turn; always the same object, narrowed further."""
        world, timeline, domains = self.world, self.world.timeline, self._domains_at(0)
        yield 0, domains
        for moment in range(1, timeline.now + 1):
            for number in timeline.touched[moment - 1]:
                egg = world.pedigree.eggs[number]
                for locus in range(len(world.loci)):
                    domains.narrow(locus, number, world.evidence_mask(locus, egg, moment, standing=True))
            domains.propagate()
            yield moment, domains

    @cached_property
    def _noticed(self) -> Noticed:
        """One pass through the events, narrowing domains."""
        found: dict[tuple[int, int, int], int] = {}
        marks: list[int] = []
        without = [
            [self._without(locus, allele) for allele in self._alleles(locus)] for locus in range(len(self.world.loci))
        ]
        for moment, domains in self._through_time():
            changed = domains.narrowed_since(marks[-1]) if moment else domains.every
            for locus, number, mask in changed:
                for allele, others in enumerate(without[locus], 1):
                    if not mask & others:
                        found.setdefault((locus, number, allele), moment)
            marks.append(domains.mark())
        return Noticed(domains, tuple(marks), found, grouped((moment, key) for key, moment in found.items()))

    def _may_be_late(self, locus: int, number: int, allele: int, moment: int) -> bool:
        """Whether a search could have forced at an earlier moment what propagation forces at this one."""
        own_look = self.world.evidence[locus].looks(self.world.pedigree.eggs[number], moment, standing=True)
        return bool(own_look & self._without(locus, allele)) and number not in self.world.like

    def _forced_since(self, locus: int, egg: int, allele: int) -> int | None:
        """The first moment from which the egg is forced to carry the allele (0: one of them, whichever); None: it never is.

        As propagation noticed it, a search sooner where propagation was a step behind.
        """
        moment = self._noticed.since.get((locus, egg, allele))
        if moment is None:
            forced = self.forced_now(locus, egg, allele)
            return self._bisected(locus, egg, allele, self.world.timeline.now) if forced else None
        if (locus, egg, allele) in self._late_at(moment):
            return self._bisected(locus, egg, allele, moment - 1)
        return moment

    def _late(self, moment: int) -> frozenset[tuple[int, int, int]]:
        """What propagation noticed at a moment though it was forced the moment before."""
        noticed = self._noticed
        keys = [key for key in noticed.at[moment] if self._may_be_late(*key, moment)] if moment else []
        with noticed.domains.as_at(noticed.marks[max(0, moment - 1)]):
            late = (key for key in keys if not noticed.domains.fits(*key[:2], self._without(key[0], key[2])))
            return frozenset(late)

    def forced_now(self, locus: int, egg: int, allele: int) -> bool:
        """Whether the egg is forced to carry the allele, whenever that began."""
        return not self.domains_now.fits(locus, egg, self._without(locus, allele))

    def _bisected(self, locus: int, egg: int, allele: int, forced: int) -> int:
        """The first moment at which the egg is forced, given one at which it is."""
        without = self._without(locus, allele)
        return bisect_left(range(forced), True, key=lambda moment: not self._domains(moment).fits(locus, egg, without))

    def fits_at(self, locus: int, egg: int, mask: int, moment: int) -> bool:
        """Whether some assignment has the egg in one of these states, by what stands today of the evidence up to a moment."""
        if moment == self.world.timeline.now:
            return self.domains_now.fits(locus, egg, mask)
        with self._noticed.domains.as_at(self._noticed.marks[moment]):
            return self._noticed.domains.fits(locus, egg, mask)

    def forced_by_claims(self, locus: int, egg: int, allele: int) -> bool:
        """Whether the egg is forced to carry the allele once claims of certainty are taken as true."""
        domains = self.claimed_now
        if domains is None:
            return False
        return not domains.fits(locus, egg, self._without(locus, allele))

    def claimants_against(self, family: Family, egg: int = -1) -> tuple[str, ...]:
        """The founders whose claims of certainty exclude a sire of a clutch, or of an egg, that possible genotypes leave."""
        claimed, key = self.claimed_now, (family.number, egg)
        if claimed is None:
            return ()
        lost = [
            branch
            for branch in range(len(family.branches))
            if self.domains_now.allows(family, key, branch) and not claimed.allows(family, key, branch)
        ]
        sure = [egg for egg in self.world.founders if egg.animals and self._surely_claimed(egg)]
        needed: list[Egg] = []
        for one in sure if lost else ():
            without = self._with_claims(one.number)
            if without is not None and any(without.allows(family, key, branch) for branch in lost):
                needed.append(one)
        return tuple(sorted(ident for egg in (needed or (sure if lost else ())) for ident in egg.animals))

    def _surely_claimed(self, egg: Egg) -> bool:
        now = self.world.timeline.now
        return any(any(_sure(evidence.claims(egg, now))) for evidence in self.world.evidence)

    @cached_property
    def claimed_now(self) -> Domains | None:
        """The same if claims of certainty are true; None: they cannot all be."""
        return self._with_claims(None)

    def _with_claims(self, but: int | None) -> Domains | None:
        """What is possible if claims of certainty are true, of all founders but one."""
        masks = [list(row) for row in self.domains_now.masks]
        _hold_true(self.world, masks, self.world.timeline.now, but)
        return _possible(self.world, masks)


def _hold_true(world: World, masks: list[list[int]], moment: int, but: int | None = None) -> None:
    """Takes claims of certainty in force at a moment as true, of all founders but one."""
    for row, evidence in zip(masks, world.evidence, strict=True):
        for egg in world.founders:
            for claims in _sure(evidence.claims(egg, moment)) if egg.number != but else ():
                row[egg.number] &= evidence.claim_mask(claims)


def _possible(world: World, masks: list[list[int]]) -> Domains | None:
    """What these masks leave possible; None: nothing fits."""
    domains = world.domains(masks, sure=True)
    try:
        domains.propagate()
    except WipedOutError:
        return None
    return domains


def _sure(claims: Sequence[Claim]) -> Iterator[Sequence[Claim]]:
    """What claims at one locus say with certainty: a copy of one allele or of one of several, whom it came from, that a look has a copy."""
    chances = [claim for claim in claims if claim.chance is not None]
    if sum(claim.chance or 0 for claim in chances) == 1:
        yield chances
    yield from ([claim] for claim in claims if claim.chance is None)


class CertainThen:
    """What was certain at moments gone by, by the looks, tests and claims in force then, those taken back since included.

    `coupled`: whether loci hang together.
    Cost       a propagation for each moment asked about at which what stands today forces nothing; two before the last look read again.
    """

    def __init__(self, certainty: Certainty, *, coupled: bool) -> None:
        self.certainty = certainty
        self.coupled = coupled
        self._possible = cache(self._domains)

    def kind(self, locus: int, egg: int, without: int, moment: int) -> GroundsKind:
        """Why an egg was certain at a moment to be in none of these states: "proven", "claim" or "assumption"."""
        if not self.certainty.fits_at(locus, egg, without, moment):
            return "proven"
        loci = None if self.coupled else locus
        place = locus if self.coupled else 0, egg
        if moment < self._read_again:
            looks = self._possible(loci, moment, claimed=False)
            if looks is not None and not looks.fits(*place, without):
                return "proven"
        said = self._possible(loci, moment, claimed=True)
        return "claim" if said is not None and not said.fits(*place, without) else "assumption"

    def _domains(self, locus: int | None, moment: int, *, claimed: bool) -> Domains | None:
        """What the evidence in force at a moment leaves possible, at one locus or all; `claimed`: if claims of certainty are true."""
        world = self.certainty.world if locus is None else self.certainty.world.only(locus)
        masks = [evidence.masks(moment) for evidence in world.evidence]
        if claimed:
            _hold_true(world, masks, moment)
        return _possible(world, masks)

    @cached_property
    def _read_again(self) -> int:
        """The last moment at which a look was read again: from then on the looks in force are those of today."""
        readings = self.certainty.world.timeline.readings.values()
        return max((rows[-1][0] for rows in readings if len(rows) > 1), default=0)


class Influence:
    """Which claims took part in a figure, and which figures are of the background alone, for one species as it is now.

    A figure hangs on what can be reached from it through parents, mates and young whose genotype is not certain whatever anybody
    claimed, leaving out animals that cannot carry anything and young of whom nothing is known.
    """

    def __init__(self, world: World, solved: Solved, certainty: Certainty) -> None:
        self.world = world
        self.solved = solved
        self.certainty = certainty
        self._near = cache(self._beside)
        self.claimants = cache(self._claimants)

    @cached_property
    def _known(self) -> tuple[frozenset[int], ...]:
        """For each locus the eggs of which, or of a descendant of which, anything is known."""
        pedigree, now = self.world.pedigree, self.world.timeline.now
        return tuple(
            pedigree.with_ancestors(egg.number for egg in pedigree.eggs if evidence.has_evidence(egg, now))
            for evidence in self.world.evidence
        )

    def _claimants(self, place: Place) -> tuple[str, ...]:
        """The founders whose claims took part in the figure of a place."""
        (locus, start), world, now = place, self.world, self.world.timeline.now
        open_there = self._open[locus]
        near = reached(
            (start,) if open_there[start] else (),
            lambda egg: (other for other in self._near(locus, egg) if open_there[other]),
        )
        eggs = (world.pedigree.eggs[number] for number in near)
        claimed = (egg for egg in eggs if egg.family is None and world.evidence[locus].claims(egg, now))
        return tuple(sorted(animal for egg in claimed for animal in egg.animals))

    @cached_property
    def _open(self) -> tuple[tuple[bool, ...], ...]:
        """For each locus and egg: whether it may carry anything, and what it is does not follow from possibility alone."""
        rows = []
        for locus, masks in enumerate(self.solved.domains.masks):
            certain = self.certainty.domains_now.masks[locus]
            normal = self.world.states[locus].normal
            rows.append(
                tuple(bool(mask & ~normal) and several(sure) for mask, sure in zip(masks, certain, strict=True))
            )
        return tuple(rows)

    def _beside(self, locus: int, number: int) -> tuple[int, ...]:
        """Its parents; its mates and young, where anything is known of the young."""
        pedigree, known = self.world.pedigree, self._known[locus]
        found = list(pedigree.parents(number))
        for family in (pedigree.families[index] for index in pedigree.own.get(number, ())):
            if young := [child for child in family.eggs if child in known]:
                found += [*family.parents, *young]
        return tuple(found)

    @cached_property
    def _off_background(self) -> tuple[frozenset[int], ...]:
        """For each locus: the eggs of which an animal, an ancestor or a descendant shows, was tested for or has a claim there, or
        of which an ancestor is proven."""
        rows, pedigree = [], self.world.pedigree
        for locus in range(len(self.world.loci)):
            own = {egg.number for egg in self.world.pedigree.eggs if self._marked(locus, egg.number)}
            normal = self.world.states[locus].normal
            proven = {egg for egg, mask in enumerate(self.certainty.domains_now.masks[locus]) if not mask & normal}
            rows.append(pedigree.with_descendants(own | proven) | pedigree.with_ancestors(own))
        return tuple(rows)

    def _marked(self, locus: int, number: int) -> bool:
        evidence, egg, now = self.world.evidence[locus], self.world.pedigree.eggs[number], self.world.timeline.now
        looks = evidence.looks_of_its_own(egg, now)
        told = evidence.counts(egg) or egg.number in evidence.apart
        shows = told and not looks & evidence.states.normal
        return shows or evidence.was_tested(egg, now) or bool(evidence.claims(egg, now))

    def background_only(self, place: Place) -> bool:
        return bool(self.world.loci[place[0]].background) and place[1] not in self._off_background[place[0]]


# If another male sired a clutch


Others = Mapping[str, Mapping[str, OtherSire]]


def letting_in(collection: Collection, others: Others) -> Collection:
    """The collection with every other male among the sires of his clutch, each egg drawn by itself."""
    clutches = []
    for name, males in others.items():
        clutch = collection.clutches[name]
        every = (*(sire for sire, _ in clutch.sires.candidates), *map(Recorded, males))
        sires = Sires("mixed", tuple((sire, Fraction(1, len(every))) for sire in every))
        clutches.append(replace(clutch, sires=sires))
    return collection.with_clutches(*clutches)


def copies_with(world: World, clutch: str, male: str) -> int | None:
    """The unrecorded copies that all records need if this male alone sired a clutch; None: he cannot have."""
    his = replace(world.collection.clutches[clutch], sires=Sires("one", ((Recorded(male), Fraction(1)),)))
    world = World.of(world.collection.with_clutches(his), his.species, like=world)
    solved = Solved(world, world.timeline.now)
    return None if solved.network is None else solved.copies


class _Asked(Struct, frozen=True):
    """Whether an egg is forced to have another state than these: those without the allele asked about, or two, or with none at all."""

    locus: int
    egg: int
    without: int

    @classmethod
    def of(cls, world: World, animal: str, locus: str, allele: int | None, *, two: bool = False) -> _Asked:
        position = world.position[locus]
        return cls(position, world.pedigree.egg_of[animal], world.states[position].without(allele, two=two))

    def forced(self, domains: Domains, *, alone: bool = False) -> bool:
        """`alone`: a no may be wrong (see `Domains.fits`)."""
        return not domains.fits(self.locus, self.egg, self.without, alone=alone)


class OtherSires:
    """What is certain only if no other male sired a clutch: one species with other males let in, egg by egg.

    Computes   undoing(x, A): the males with whom x is no longer forced to carry A, no longer forced once claims are taken as true, or no
               longer certain in the limit, when each egg of a clutch may be by any sire on record for it or by any other male that may have
               been with the dam. They are those of the clutches that each undo it by themselves; where it takes several, of all.
    Steps      the other males become branches of their clutches, and each egg its own choice; narrowing these choices closes a clutch to
               them, or opens it to one alone, and the question is asked of what is left.
    Symbols    others: by clutch, each other male, and why he may have sired it.
    Assumes    the records are in no conflict; letting males in can only make more possible. No other male descends from his clutch.
    Cost       one propagation over the species, then a search near each animal that is asked about.
    Source     figures#other-males.
    """

    def __init__(self, world: World, others: Others) -> None:
        self.others = others
        self.world = World.of(letting_in(world.collection, others), world.pedigree.species, like=world)
        self.certainty = Certainty(self.world)
        self.recorded = {name: len(world.collection.clutches[name].sires.candidates) for name in self.others}
        self.by_one = {name for name in others if world.collection.clutches[name].sires.kind == "one of"}
        self.family_of = {family.clutch: family for family in self.world.pedigree.families}
        self._only = cache(self._with_one)
        self._only_recorded = cache(self._with_none)
        self._undoing = cache(self._undone)
        self.may_have_sired = cache(self._may_have_sired)

    def undoing(
        self, animal: str, locus: str, allele: int | None, kind: GroundsKind, *, two: bool = False
    ) -> tuple[OtherSire, ...]:
        """The other males with whom what is certain on these grounds no longer is; () where it stands."""
        asked = _Asked.of(self.world, animal, locus, allele, two=two)
        if kind in ("parentage", "test", "proven", "claim"):
            return self._undoing(animal, asked, kind == "claim")
        if kind == "assumption" and not asked.forced(self._least_order):
            return self.near(animal)
        return ()

    def near(self, animal: str) -> tuple[OtherSire, ...]:
        """Every other male of a clutch that the animal is related to."""
        return tuple(one for name in self._near(animal) for one in self.others[name].values())

    @cached_property
    def _least_order(self) -> Domains:
        """What is possible if founders carry as little as will do; where that does not fit all records, whatever they carry."""
        world, priors = self.world, Priors(self.world, self.world.timeline.now)
        domains = world.domains(priors.masks({}))
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

    def _undone(self, animal: str, asked: _Asked, claims: bool) -> tuple[OtherSire, ...]:
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
            males = self.others[name]
            found += [
                other for male, other in males.items() if len(males) == 1 or self._lets_go(one, name, male, asked)
            ]
            closed[name] = ()
            with self._kept(every, closed):
                if asked.forced(every, alone=True):
                    return tuple(found)
        return () if not found and asked.forced(every) else self.near(animal)

    def _with_one(self, clutch: str, claims: bool) -> Domains | None:
        """What is possible if only this clutch may be by another male: less than if all may be, more than if none may be."""
        every, none = self.certainty.claimed_now if claims else self.certainty.domains_now, self._only_recorded(claims)
        return None if every is None or none is None else every.closed(self._closing(every, clutch), none)

    def _with_none(self, claims: bool) -> Domains | None:
        """What is possible if no clutch may be by another male."""
        every = self.certainty.claimed_now if claims else self.certainty.domains_now
        return None if every is None else every.closed(self._closing(every))

    def _closing(self, every: Domains, but: str = "") -> dict[ChoiceKey, int]:
        """The choices of every clutch but one, closed to its other males."""
        families = ((self.family_of[name], self._on_record(every, name)) for name in self.others if name != but)
        return {key: every.choices[key] & kept for family, kept in families for key, _ in family.choices}

    def _on_record(self, domains: Domains, clutch: str) -> int:
        """The choices of a clutch closed to its other males; where one of several sired it, those who may have sired every egg."""
        kept, family = (1 << self.recorded[clutch]) - 1, self.family_of[clutch]
        all_by = kept
        for egg in family.eggs if clutch in self.by_one else ():
            all_by &= domains.choices[family.number, egg]
        return all_by or kept

    def _lets_go(self, domains: Domains, clutch: str, male: str, asked: _Asked) -> bool:
        with self._kept(domains, {clutch: (male,)}):
            return not asked.forced(domains)

    def _near(self, animal: str) -> tuple[str, ...]:
        """The clutches with other males that it is related to: its own, those that it bred, then the rest."""
        pedigree, egg = self.world.pedigree, self.world.pedigree.egg_of[animal]
        first = [pedigree.families[number].clutch for number in pedigree.families_of[egg]]
        part = self.world.part
        rest = [name for name in self.others if part[self.family_of[name].dam] == part[egg]]
        return tuple(dict.fromkeys(name for name in (*first, *rest) if name and name in self.others))

    def by_several(self, clutch: str, animal: str | None = None) -> bool:
        """Whether more than one of the sires on record may have sired some of a clutch, or an animal of it, if each egg has its own."""
        family, domains = self.family_of[clutch], self.certainty.domains_now
        eggs = [self.world.pedigree.egg_of[animal]] if animal else family.eggs
        keys = [key for key, of in family.choices if not {*of}.isdisjoint(eggs)]
        return (
            len({one for key in keys for one in range(self.recorded[clutch]) if domains.allows(family, key, one)}) > 1
        )

    def _may_have_sired(self, clutch: str) -> bool:
        """Whether every egg of a clutch may be by another male than those on record for it."""
        try:
            with self._kept(self.certainty.domains_now, {clutch: tuple(self.others[clutch])}, recorded=False):
                return True
        except WipedOutError:
            return False

    def may_have_sired_all(self, clutch: str, male: str) -> bool:
        """Whether he alone may have sired a clutch, if claims of certainty are true and every other clutch is by its sires on record."""
        every = self.certainty.claimed_now or self.certainty.domains_now
        closed: dict[str, tuple[str, ...]] = {name: () for name in self.others if name != clutch}
        try:
            with self._kept(every, closed), self._kept(every, {clutch: (male,)}, recorded=False):
                return every.satisfiable()
        except WipedOutError:
            return False

    @contextmanager
    def _kept(
        self, domains: Domains, clutches: Mapping[str, tuple[str, ...]], *, recorded: bool = True
    ) -> Iterator[None]:
        """These clutches open to these of their other males alone, and to the sires `recorded`; afterwards as before."""
        with domains.for_now():
            self._keep(domains, clutches, recorded=recorded)
            yield

    def _keep(self, domains: Domains, clutches: Mapping[str, tuple[str, ...]], *, recorded: bool = True) -> None:
        for name, males in clutches.items():
            family, count = self.family_of[name], self.recorded[name]
            kept = (self._on_record(domains, name) if not males else (1 << count) - 1) if recorded else 0
            kept |= sum(1 << count + at for at, male in enumerate(self.others[name]) if male in males)
            for egg in family.eggs:
                domains.keep((family.number, egg), domains.choices[family.number, egg] & kept)
        domains.propagate()
