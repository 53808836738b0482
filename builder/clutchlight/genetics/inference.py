"""The answers: every figure of a collection, exact, now and at any moment of its history.

Each species is solved by itself (`SpeciesFigures`): what founders' claims are in doubt, and which founders are in question, is settled in
turn; each solves the records anew, where there are any. Questions about the past put the evidence of that moment in force in one tree built
for the whole history (`history`); certainty is asked of `certainty`. Nothing here reads a file, a clock or a random number; the same
collection gives the same answers in any order of asking. Source: figures#claims-in-figures, figures#founders.

>>> from clutchlight.genetics.inference import infer   # the three-animal example stands in tests/unit/test_inference.py
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from contextlib import nullcontext
from datetime import date
from fractions import Fraction
from functools import cache, cached_property, partial
from itertools import product
from math import prod
from operator import mul
from typing import Literal

from clutchlight.genetics.certainty import CertainThen, Certainty, Influence, Others, OtherSires, copies_with
from clutchlight.genetics.claims_in_doubt import ClaimsInDoubt, chance_of
from clutchlight.genetics.conflicts import conflicts_of
from clutchlight.genetics.evidence import against
from clutchlight.genetics.history import FigureHistory, answer, figure_of
from clutchlight.genetics.in_question import Questions
from clutchlight.genetics.kinship import CollectionKinship
from clutchlight.genetics.network import Network, sharing
from clutchlight.genetics.pedigree import Family
from clutchlight.genetics.possible import Place
from clutchlight.genetics.solving import Solved
from clutchlight.genetics.terms import lowest
from clutchlight.genetics.tree import LIMIT
from clutchlight.genetics.unexpected import surprises_of
from clutchlight.genetics.values import (
    NORMAL_FIGURE,
    Conflict,
    Event,
    Figure,
    Grounds,
    GroundsKind,
    JointFigure,
    NotComputed,
    OtherSire,
    SireChances,
    Surprise,
)
from clutchlight.genetics.world import World
from clutchlight.model import NOBODY, Claim, Collection, Genotype, LabTest, Locus, Recorded, Sire
from clutchlight.model.animals import trusted, words_of_certainty
from clutchlight.model.as_published import is_unlisted


class SpeciesFigures:
    """All answers about one species. `world`: its records, where they were put in order before."""

    def __init__(self, collection: Collection, species: str, limit: int = LIMIT, world: World | None = None) -> None:
        self.collection = collection
        self.species = species
        self.recorded = world or World.of(collection, species, limit)
        now = self.recorded.timeline.now
        self.as_recorded = Solved(self.recorded, now)
        self.copies_with = cache(partial(copies_with, self.recorded))
        self.claims_in_doubt = ClaimsInDoubt(self.recorded, self.as_recorded)
        self.world = self.claims_in_doubt.trusting()
        doubting = self.claims_in_doubt.at(now)
        alone = bool(doubting) and not self.claims_in_doubt.history.coupled
        like = (self.as_recorded, frozenset(at for at, _ in doubting)) if alone else None
        self.limit = as_recorded = self.claims_in_doubt.history
        if self.world is not self.recorded:
            solved = Solved(self.world, now, like=like) if doubting else self.as_recorded
            self.limit = FigureHistory(self.world, solved, recorded=as_recorded)
        self.solved = self.limit.solved
        self.certainty = Certainty(self.world)
        self.questions = Questions(self.limit)
        self.asking = self.world
        if self.solved.network is not None and self.questions.at(self.world.timeline.now):
            self.asking = self.questions.asking()
            self.solved = Solved(self.asking, self.world.timeline.now)
        self.now = cache(partial(answer, self.world, self.solved.network))

    @property
    def network(self) -> Network:
        if self.solved.network is None:
            raise ValueError("the records are in conflict: there are no figures")
        return self.solved.network

    @cached_property
    def history(self) -> FigureHistory:
        moments = range(self.world.timeline.now + 1)
        if self.solved.network is None or not any(self.questions.at(moment) for moment in moments):
            return self.limit
        return FigureHistory(self.questions.asking_through_time(), self.solved, self.limit)

    @cached_property
    def past(self) -> CertainThen:
        return CertainThen(self.certainty, coupled=self.limit.coupled)

    @cached_property
    def influence(self) -> Influence:
        return Influence(self.world, self.solved, self.certainty)

    def place(self, animal: str, locus: str) -> Place | None:
        """None: no record says anything at this locus."""
        position = self.world.position.get(locus)
        return None if position is None else (position, self.world.pedigree.egg_of[animal])

    def stands_apart(self, animal: str) -> bool:
        """Whether something was seen of it, or a test told, that counts for nothing in what is said of another one asked about."""
        egg, now = self.world.pedigree.egg_of[animal], self.world.timeline.now
        return any(one.own(self.world.pedigree.eggs[egg], now) is not None for one in self.world.evidence)

    def together(
        self, asked: Sequence[tuple[Place, int]], heard: frozenset[int] | None = None, weighed: int | None = None
    ) -> list[tuple[tuple[int, ...], Fraction]]:
        """The states of places, of those in a mask each, with their chances: each place in turn, given those before it.

        `heard`: the eggs whose own looks and tests count where they stand apart; None: all. Where its parents cannot have an egg as it
        looks, its chances are those of a founder, whatever the others are. `weighed`: an egg whose own looks and tests weigh what is
        found, which then sums to no 1, to be held against what is found if a doubt falls otherwise; nothing where its parents cannot
        have it so. Raises ValueError where nothing fits.
        """
        (place, mask), rest = asked[0], asked[1:]
        chances = self.network.marginal(*place)
        if chances is None:
            raise ValueError("nothing fits, or the figure is not computed")
        evidence = self.world.evidence[place[0]]
        own = evidence.own(self.world.pedigree.eggs[place[1]], self.world.timeline.now)
        fits = True
        if own is not None and (heard is None or place[1] in heard):
            shares = tuple(map(mul, chances, own))
            fits = any(shares)
            chances = shares if place[1] == weighed else evidence.given_own(chances, own)
        found: list[tuple[tuple[int, ...], Fraction]] = []
        for state, chance in enumerate(chances):
            if not chance or not mask >> state & 1:
                continue
            if not rest:
                found.append(((state,), chance))
                continue
            with self.network.pinned(place, 1 << state) if fits else nullcontext():
                found += [((state, *states), chance * part) for states, part in self.together(rest, heard, weighed)]
        return found

    def sires(self, family: Family, egg: int) -> SireChances | NotComputed:
        """The candidates of a family, or of an egg whose sire was drawn by itself, with their chances after the evidence."""
        chances = self.network.choice(family.number, egg) if family.in_doubt else (Fraction(1),)
        if isinstance(chances, NotComputed):
            return chances
        return tuple(zip((branch.candidate for branch in family.branches), chances, strict=True))

    def alone(self, place: Place) -> Figure:
        """A founder by its first reading and its claims alone."""
        evidence, egg = self.world.evidence[place[0]], self.world.pedigree.eggs[place[1]]
        claims = evidence.every_claim(egg)
        tried = self._by_claims(place, trusted(claims, evidence.trust))
        doubted = any(
            chance_of(word, tried, evidence.locus) < 1 - self.collection.settings.doubt_below
            for word in words_of_certainty(claims)
        )
        return tried if doubted else self._by_claims(place, claims)

    def _by_claims(self, place: Place, claims: Sequence[Claim]) -> Figure:
        """A founder by its first reading and these claims."""
        evidence, egg = self.world.evidence[place[0]], self.world.pedigree.eggs[place[1]]
        looks = evidence.sex_mask(egg)
        for ident in egg.animals:
            rows = self.world.timeline.readings.get(ident, ())
            if rows:
                looks &= evidence.reading_mask(rows[0][1])
        prior = evidence.founder_prior(claims, looks)
        weights = lowest([weight * (looks >> state & 1) for state, weight in enumerate(prior)])
        whole = sum(weights)
        return figure_of(evidence.states.pairs, [Fraction(one, whole) for one in weights]) if whole else NORMAL_FIGURE


class Inference:
    """The figures of a collection. If `conflicts` is not empty, no figure may be asked for."""

    def __init__(
        self,
        collection: Collection,
        limit: int = LIMIT,
        others: Others | None = None,
        whole: Inference | None = None,
    ) -> None:
        self.collection = collection
        self.others: Others = (whole.others if whole else others) or {}
        self.whole = whole
        species = dict.fromkeys(animal.species for animal in collection.animals.values())
        self._of = {key: SpeciesFigures(collection, key, limit) for key in collection.species if key in species}
        self._limit = limit
        self._hearing = cache(self._that_hear)
        self._letting_in = cache(self._with_others)
        self._letting_all = cache(self._with_all_recorded)
        self._jointly = cache(self._joint)

    @cached_property
    def like(self) -> Mapping[str, str]:
        """For each animal that nothing tells from an earlier one of its clutch, the first of them, whose figures are also its own."""
        worlds = [one.world for one in self._of.values()]
        found = ((world.pedigree.eggs, pair) for world in worlds for pair in world.like.items())
        return {eggs[one].animals[0]: eggs[other].animals[0] for eggs, (one, other) in found}

    @cached_property
    def kinship(self) -> CollectionKinship:
        """How closely animals are related, over the sires that the records leave."""
        return CollectionKinship(self.collection, self.sires_of)

    def of_species(self, species: str) -> SpeciesFigures:
        """The answers about a species in which no young of a clutch that does not count is heard."""
        return self._of[species]

    def figures_of(self, *animals: str) -> SpeciesFigures:
        """The answers about some animals of a species, for what is computed from them (see `pairs`).

        Young of a clutch that does not count leave their parents alone; their looks and tests count in what is asked of their own young, of
        their mates, and of whoever is related to them by these and not by way of their parents.
        """
        species, heard = self.collection.animals[animals[0]].species, self.hears(*animals) if self._left_out else None
        return self._hearing(species, heard) if heard else self._of[species]

    def hears(self, *animals: str) -> frozenset[str]:
        """The young of clutches that do not count whose looks and tests count in what is asked of these."""
        found = set()
        for name, (kin, spared) in self._left_out.items():
            others = [one for one in animals if self._egg(one) != self._egg(name)]
            itself = len(others) < len(animals)
            if others and (spared.isdisjoint(others) if itself else not kin.isdisjoint(others)):
                found.add(name)
        return frozenset(found)

    def _egg(self, animal: str) -> str:
        return self.collection.animals[animal].egg or animal

    @cached_property
    def _left_out(self) -> Mapping[str, tuple[frozenset[str], frozenset[str]]]:
        """The young of clutches that do not count, each with those of its kin for whom it counts, and those whom it leaves alone."""
        found = {}
        for clutch in self.collection.clutches.values():
            for name in clutch.young if not clutch.counts else ():
                world = self._of[clutch.species].world
                pedigree, part, egg = world.pedigree, world.part, world.pedigree.egg_of[name]
                kin = pedigree.beyond(egg)
                spared = [other for other in range(len(part)) if part[other] == part[egg] and other not in kin]
                found[name] = pedigree.animals_of(kin), pedigree.animals_of(spared)
        return found

    def _that_hear(self, species: str, heard: frozenset[str]) -> SpeciesFigures:
        """The answers where these count; where their parents cannot have had them so, as if nothing were known of these."""
        found = self._of[species]
        for without in (frozenset[str](), heard) if heard and found.solved.network is not None else ():
            collection = self.collection.without_parents(without).hearing(heard - without)
            found = SpeciesFigures(collection, species, self._limit)
            if found.solved.network is not None:
                return found
        return self._of[species]

    def _shared(self, animal: str, locus: str) -> tuple[SpeciesFigures, Place | None]:
        """Its species, and where its figure at a locus stands, that of the first of its like; None: no record says anything there."""
        one = self.figures_of(animal)
        place = one.place(animal, locus)
        return one, place and (place[0], one.world.like.get(place[1], place[1]))

    @cached_property
    def conflicts(self) -> tuple[Conflict, ...]:
        """Irreducible sets of records that cannot all be true."""
        return tuple(conflict for one in self._of.values() for conflict in conflicts_of(one.recorded, one.as_recorded))

    @cached_property
    def events(self) -> tuple[Event, ...]:
        """All dated evidence in order, over all species."""
        return tuple(sorted(event for one in self._of.values() for event in one.world.timeline.events))

    def loci_in_play(self, species: str) -> tuple[Locus, ...]:
        """The loci of a species at which any record shows, tests or claims a mutant allele."""
        return self._of[species].world.loci if species in self._of else ()

    def now(self, animal: str, locus: str) -> Figure | NotComputed:
        one, place = self._shared(animal, locus)
        return NORMAL_FIGURE if place is None else one.now(place)

    def when_hatched(self, animal: str, locus: str) -> Figure | NotComputed:
        """By every event dated on or before the day of hatching; for a founder by its first look and its claims alone."""
        one, place = self._shared(animal, locus)
        if place is None:
            return NORMAL_FIGURE
        if one.world.pedigree.eggs[place[1]].family is None:
            return one.alone(place)
        return one.history.when_hatched(place)

    def before_hatching(self, animal: str, locus: str) -> Figure | NotComputed | None:
        """What its parents' records alone made of it, just before its clutch hatched; None for a founder or an undated hatching."""
        one, place = self._shared(animal, locus)
        return NORMAL_FIGURE if place is None else one.history.before_hatching(place)

    def at(self, animal: str, locus: str, day: date) -> Figure | NotComputed:
        """By every event dated on or before a day."""
        one, place = self._shared(animal, locus)
        return NORMAL_FIGURE if place is None else one.history.standing(place, one.world.timeline.moment(day))

    def history(self, animal: str, locus: str) -> tuple[tuple[Event | None, Figure | NotComputed], ...]:
        """The figure from the animal's hatching on (for a founder: from the beginning), and after each event that changed it."""
        one, place = self._shared(animal, locus)
        return ((None, NORMAL_FIGURE),) if place is None else one.history.of(place)

    def grounds(self, animal: str, locus: str, allele: int) -> Grounds:
        """Why the animal is said to carry an allele; asked of alleles with a chance above 0."""
        one, place = self._shared(animal, locus)
        if place is None:
            return Grounds("chance")
        world = one.world
        egg = world.pedigree.eggs[place[1]]
        evidence = world.evidence[place[0]]
        without = evidence.states.without(allele)
        if not evidence.looks_of_its_own(egg, world.timeline.now) & without:
            return Grounds("look")
        own = evidence.own_states(egg, world.timeline.now)
        if own is not None and not own & without:
            return Grounds("test", egg.animals[0])
        figure = one.now(place)
        if isinstance(figure, NotComputed) or figure.carries(allele) != 1:
            return Grounds("background" if self.background_only(animal, locus, allele) else "chance")
        return self._certain(one, place, allele)

    def _certain(self, one: SpeciesFigures, place: Place, allele: int) -> Grounds:
        since = one.certainty.forced_since(*place, allele)
        if since is not None:
            return self._forced(one, place, since)
        return Grounds("claim" if one.certainty.forced_by_claims(*place, allele) else "assumption")

    def proven_at(self, animal: str, locus: str, allele: int) -> Event | None:
        """The event since which it must carry an allele (0: one of them), whatever anybody said; None where nothing forces that, or its
        birth did."""
        one, place = self._shared(animal, locus)
        since = one.certainty.forced_since(*place, allele) if place else None
        return None if place is None or since is None else _event_since(one, place, since)

    def one_of_several(self, animal: str, locus: str) -> Grounds:
        """Why an animal is said to carry one of several alleles, whichever."""
        one, place = self._shared(animal, locus)
        return Grounds("parentage") if place is None else self._certain(one, place, 0)

    def beside_assumption(self, animal: str, locus: str, allele: int) -> tuple[Fraction, Fraction] | None:
        """The chance of what only an assumption makes certain, once founders may carry it unrecorded, and the share of snakes that do."""
        one, place = self._shared(animal, locus)
        if place is None:
            return None
        evidence = one.world.evidence[place[0]]
        figure = one.questions.beside(place, evidence.states.without(allele))
        return None if isinstance(figure, NotComputed) else (figure.carries(allele), evidence.unrecorded)

    def unrecorded(
        self, animal: str, locus: str, allele: int, moment: Literal["now", "hatched"] | date
    ) -> Fraction | None:
        """The share of snakes taken to carry an allele unrecorded, if founders in question move the figure of a moment; else None."""
        one, place = self._shared(animal, locus)
        if place is None or not one.questions.doubts or (moment == "now" and one.asking is one.world):
            return None
        by_limit: Figure | NotComputed
        if moment == "now":
            by_limit, figure = answer(one.limit.world, one.limit.solved.network, place), one.now(place)
        elif one.history is one.limit:
            return None
        elif moment == "hatched":
            if one.world.pedigree.eggs[place[1]].family is None:
                return None
            by_limit, figure = one.limit.when_hatched(place), one.history.when_hatched(place)
        else:
            then = one.world.timeline.moment(moment)
            by_limit, figure = one.limit.standing(place, then), one.history.standing(place, then)
        if isinstance(by_limit, NotComputed) or isinstance(figure, NotComputed):
            return None
        return one.world.evidence[place[0]].unrecorded if by_limit.copies(allele) != figure.copies(allele) else None

    def unrecorded_founders(self, animal: str, locus: str) -> tuple[str, ...]:
        """The founders of its family in question now at a locus, by id; those that no record names are left out."""
        one = self.figures_of(animal)
        place = one.place(animal, locus)
        if place is None:
            return ()
        eggs = one.world.pedigree.eggs
        found = sorted(egg for at, egg in one.questions.at(one.world.timeline.now) if at == place[0])
        return tuple(ident for egg in found for ident in eggs[egg].animals if one.questions.related(egg, place[1]))

    def sires_by_unrecorded(self, clutch: str) -> Fraction | None:
        """The share of snakes taken to carry something unrecorded, if that moves the chances of a clutch's sires; else None."""
        one, family = self._family(clutch)
        if not family.in_doubt or family.each_egg or one.asking is one.world or one.limit.solved.network is None:
            return None
        if one.limit.solved.network.choice(family.number) == one.network.choice(family.number):
            return None
        asked = one.questions.at(one.world.timeline.now)
        return max(one.world.evidence[at].unrecorded for at, egg in asked if one.questions.related(egg, family.dam))

    def claim_in_doubt(self, animal: str, locus: str) -> bool:
        """Whether a claim of certainty about the animal at a locus is in doubt now."""
        one = self.figures_of(animal)
        place = one.place(animal, locus)
        return place is not None and place in one.claims_in_doubt.at(one.world.timeline.now)

    def said_for_certain(self, animal: str, locus: str, trait: str) -> bool:
        """Whether a word that the animal carries a trait stands and is not doubted, so that it is taken to without a proof."""
        claims = [one for one in self.collection.animals[animal].claims if one.trait == trait and not one.withdrawn]
        return any(words_of_certainty(claims)) and not self.claim_in_doubt(animal, locus)

    def two_copies_by(self, animal: str, locus: str, allele: int) -> Literal["look", "proven", "claim", "assumption"]:
        """Why the animal is said to have two copies of an allele: by its look alone, by records, or only by what was claimed or assumed."""
        one, place = self._shared(animal, locus)
        if place is None:
            return "assumption"
        now, evidence, egg = one.world.timeline.now, one.world.evidence[place[0]], one.world.pedigree.eggs[place[1]]
        others = evidence.states.without(allele, two=True)
        if not evidence.looks_of_its_own(egg, now) & others:
            return "look"
        own = evidence.own_states(egg, now)
        tested = own is not None and not own & others
        if tested or not one.certainty.domains_now.fits(*place, others):
            return "proven"
        claimed = one.certainty.claimed_now
        return "claim" if claimed is not None and not claimed.fits(*place, others) else "assumption"

    def may_show(self, animal: str, locus: str, look: str) -> bool:
        """Whether the records leave the animal a look, or that of a compound, whatever was said or assumed and whoever sired a clutch."""
        whole = self._whole_of(animal)
        if whole is not None and whole.may_show(animal, locus, look):
            return True
        one, place = self._whoever_sired(animal, locus)
        if place is None:
            return True
        found = one.world.loci[place[0]]
        allele = found.allele_number(look) if look in found.alleles else -1
        return one.certainty.domains_now.fits(
            *place,
            one.world.states[place[0]].mask(
                lambda pair: look in found.look_of[pair] or found.shows_allele(pair, allele)
            ),
        )

    def ruled_out(self, animal: str, locus: str, allele: int, by: Event | None = None, *, two: bool = False) -> bool:
        """Whether the animal cannot carry an allele, whatever was claimed or assumed and whoever sired a clutch.

        `by`: by what stands today of the evidence up to this event. `two`: it cannot have two copies of it.
        """
        whole = self._whole_of(animal)
        if whole is not None and not whole.ruled_out(animal, locus, allele, two=two):
            return False
        one, place = self._whoever_sired(animal, locus)
        timeline = one.world.timeline
        moment = timeline.moment_of[by] if by else timeline.now
        return place is not None and _excluded(one, place, allele, moment, two=two)

    def ruled_out_at(self, animal: str, locus: str, allele: int) -> Event | None:
        """The event since which the animal, which cannot carry an allele, could not; None where that was so from the beginning."""
        one, place = self._whoever_sired(animal, locus)
        if place is None:
            return None
        moments = range(one.world.timeline.now)
        since = bisect_left(moments, True, key=lambda moment: _excluded(one, place, allele, moment))
        return _event_since(one, place, since)

    def _whoever_sired(self, animal: str, locus: str) -> tuple[SpeciesFigures | OtherSires, Place | None]:
        """What is possible of an animal, and where its figure at a locus stands, with the other males of clutches near it let in."""
        asked = None if self.whole else self._letting_in(self.collection.animals[animal].species, self.hears(animal))
        if asked is None or not asked.near(animal):
            return self._shared(animal, locus)
        world = asked.world
        return asked, (world.position[locus], world.pedigree.egg_of[animal]) if locus in world.position else None

    def _whole_of(self, animal: str) -> Inference | None:
        """The inference of all records, where another male that these leave out may have sired a clutch."""
        whole = self.whole
        return whole if whole is not None and self.others and animal in whole.collection.animals else None

    def certain_by(
        self, animal: str, locus: str, allele: int | None, event: Event | None, *, two: bool = False
    ) -> GroundsKind:
        """Why the animal was certain to carry an allele after an event (None: at first), by all that counted then.

        "proven", "test", "claim" or "assumption". `allele` None: one of several, whichever; `two`: two copies of it.
        """
        one, place = self._shared(animal, locus)
        if place is None:
            return "assumption"
        moment = one.world.timeline.moment_of[event] if event else 0
        without = one.world.states[place[0]].without(allele, two=two)
        own = one.world.evidence[place[0]].own_states(one.world.pedigree.eggs[place[1]], moment)
        if own is not None and not own & without:
            return "test"
        return one.past.kind(*place, without, moment)

    def _forced(self, one: SpeciesFigures, place: Place, since: int) -> Grounds:
        egg, event = one.world.pedigree.eggs[place[1]], _event_since(one, place, since)
        if event is None:  # a test without a place is that of an unlisted twin, of which no day is told
            key, animals = one.world.loci[place[0]].key, self.collection.animals
            unlisted = (
                name
                for name in egg.animals
                for test in animals[name].tests
                if test.locus == key and not test.error and not test.place.file
            )
            twin = next(unlisted, None)
            if egg.family is not None and twin is not None:
                return Grounds("test", twin)
            return Grounds("parentage") if egg.family is not None else Grounds("proven")
        kind = "test" if event.kind == "test" and event.subject in egg.animals else "proven"
        return Grounds(kind, event.subject)  # type: ignore[arg-type]

    def rests_on(self, animal: str, locus: str) -> tuple[str, ...]:
        """The founders whose claims took part in the figure, by id."""
        one, place = self._shared(animal, locus)
        return () if place is None else one.influence.claimants(place)

    def if_sired(self, animal: str, locus: str, allele: int) -> tuple[str, ...]:
        """The clutches that no other male may have sired for it to be certain of an allele."""
        return tuple(dict.fromkeys(one.clutch for one in self.other_sires(animal, locus, allele)))

    def other_sires(
        self, animal: str, locus: str, allele: int | None, *, two: bool = False, kind: GroundsKind | None = None
    ) -> tuple[OtherSire, ...]:
        """The other males with whom the animal would no longer be certain to carry an allele; () where that stands, or is not certain.

        `allele` None: any allele of the locus, for an animal that carries one of several. `two`: two copies of it.
        `kind`: if it were certain on these grounds; else on those of now.
        """
        return self._undoing(animal, locus, allele, kind, two=two, recorded=False)

    def if_one_sire(self, animal: str, locus: str, allele: int | None, *, two: bool = False) -> tuple[str, ...]:
        """The clutches of which one of several sires on record has to have sired every egg for the animal to be certain of an allele."""
        males = self._undoing(animal, locus, allele, None, two=two, recorded=True)
        return tuple(dict.fromkeys(one.clutch for one in males))

    def _undoing(
        self, animal: str, locus: str, allele: int | None, kind: GroundsKind | None, *, two: bool, recorded: bool
    ) -> tuple[OtherSire, ...]:
        """The males with whom it would no longer be certain: `recorded` ones for single eggs, or the others."""
        if self.whole is not None:
            known = animal in self.whole.collection.animals
            return self.whole._undoing(animal, locus, allele, kind, two=two, recorded=recorded) if known else ()
        letting = self._letting_all if recorded else self._letting_in
        asked = letting(self.collection.animals[animal].species, self.hears(animal))
        if asked is None or not asked.near(animal):
            return ()
        if kind is None and two and allele:
            kind = self.two_copies_by(animal, locus, allele)
        elif kind is None:
            kind = (self.grounds(animal, locus, allele) if allele else self.one_of_several(animal, locus)).kind
        return asked.undoing(animal, locus, allele, kind, two=two)

    def perhaps_by_several(self, clutch: str, animal: str | None = None) -> bool:
        """Whether a clutch of which one of several sired all, or an animal of it, may be by more of them, if each egg has its own."""
        if self.whole is not None and not any(is_unlisted(name) for name in (clutch, animal) if name):
            return self.whole.perhaps_by_several(clutch, animal)
        asked = self._letting_all(self.collection.clutches[clutch].species)
        return asked is not None and clutch in asked.others and asked.by_several(clutch, animal)

    def others_may_have_sired(self, clutch: str) -> bool:
        """Whether all of a clutch may be by males that are no sires on record."""
        if self.whole is not None and not is_unlisted(clutch):
            return self.whole.others_may_have_sired(clutch)
        asked = self._letting_in(self.collection.clutches[clutch].species) if clutch in self.others else None
        return asked is not None and asked.may_have_sired(clutch)

    def may_have_sired_all(self, clutch: str, male: str) -> bool:
        """Whether this other male alone may have sired a clutch."""
        asked = self._letting_in(self.collection.clutches[clutch].species)
        return asked is not None and asked.may_have_sired_all(clutch, male)

    def _with_others(self, species: str, heard: frozenset[str] = frozenset()) -> OtherSires | None:
        """The species with the other males of its clutches let in; None where there are none."""
        clutches = self.collection.clutches
        others = {name: males for name, males in self.others.items() if clutches[name].species == species}
        return OtherSires(self._hearing(species, heard).recorded, others) if others else None

    def _with_all_recorded(self, species: str, heard: frozenset[str] = frozenset()) -> OtherSires | None:
        """The species with every sire in doubt of a clutch let in for each of its eggs; None where one male alone could not be told so."""
        found = {
            clutch.id: {sire.id: OtherSire(clutch.id, sire.id) for sire in males if isinstance(sire, Recorded)}
            for clutch in self.collection.clutches.values()
            if clutch.species == species and clutch.sires.kind == "one of" and clutch.counts and len(clutch.young) > 1
            for males in [[sire for sire, _ in clutch.sires.candidates]]
            if len(males) > 1 and NOBODY not in males
        }
        others = {name: males for name, males in found.items() if males}
        return OtherSires(self._hearing(species, heard).recorded, others) if others else None

    def copies_spared(self, clutch: str, male: str) -> int | None:
        """How many unrecorded copies fewer all records need if this male alone sired a clutch; None: he cannot have."""
        one = self._of[self.collection.clutches[clutch].species]
        needed = one.copies_with(clutch, male)
        return None if needed is None else one.as_recorded.copies - needed

    def background_only(self, animal: str, locus: str, allele: int) -> bool:
        """Whether neither the animal nor any ancestor or descendant shows, was tested for or has a claim at the locus."""
        one, place = self._shared(animal, locus)
        return place is not None and one.influence.background_only(place)

    def joint(self, questions: Sequence[tuple[str, str]]) -> JointFigure | NotComputed:
        """The joint distribution over the genotypes of animals of one species at several loci (animal, locus), shared doubts kept."""
        return self._jointly(tuple(questions))

    def _joint(self, questions: tuple[tuple[str, str], ...]) -> JointFigure | NotComputed:
        one = self.figures_of(*dict.fromkeys(animal for animal, _ in questions))
        places = [one.place(*question) for question in questions]
        asked = list(dict.fromkeys(place for place in places if place is not None))
        for place in asked:
            if isinstance(figure := one.now(place), NotComputed):
                return figure
        groups = [group for _, group in sharing({place: one.network.trees_of(*place) for place in asked})]
        found: dict[tuple[Genotype, ...], Fraction] = {}
        try:
            parts = [one.together([(place, -1) for place in group]) for group in groups]
        except ValueError:  # young that do not count look as their parents cannot make them
            return NotComputed(())
        for combination in product(*parts):
            known: dict[Place | None, Genotype] = {None: (0, 0)}
            for group, (states, _) in zip(groups, combination, strict=True):
                at = zip(group, states, strict=True)
                known |= {place: one.world.states[place[0]].pairs[state] for place, state in at}
            key = tuple(known[place] for place in places)
            found[key] = found.get(key, Fraction(0)) + prod((part for _, part in combination), start=Fraction(1))
        return JointFigure(questions, tuple(sorted(found.items())))

    def sires(self, clutch: str) -> SireChances | NotComputed:
        """The candidates of a clutch with their chances after the evidence, those left at 0 included; for a mixed clutch the prior ones."""
        one, family = self._family(clutch)
        if family.each_egg or not family.in_doubt or one.solved.network is None:
            return self.collection.clutches[clutch].sires.candidates
        return one.sires(family, -1)

    def sires_of(self, animal: str) -> SireChances | NotComputed:
        """The candidates for the sire of one animal with their chances after the evidence; () for a founder."""
        one = self.figures_of(animal)
        egg = one.world.pedigree.eggs[one.world.pedigree.egg_of[animal]]
        if egg.family is None:
            return ()
        return one.sires(one.world.pedigree.families[egg.family], egg.number)

    def possible_sires(self, clutch: str) -> tuple[Sire, ...]:
        """The candidates that possible genotypes leave, whatever anybody claimed; of a mixed clutch all."""
        one, family = self._family(clutch)
        if family.each_egg or not family.in_doubt:
            return tuple(branch.candidate for branch in family.branches)
        domains = one.certainty.domains_now
        return tuple(
            branch.candidate
            for number, branch in enumerate(family.branches)
            if domains.allows(family, (family.number, -1), number)
        )

    def sires_left_by_claims(self, clutch: str, young: str | None = None) -> tuple[str, ...]:
        """The founders whose claims of certainty exclude candidates of a clutch, or of a young, that possible genotypes leave."""
        one, family = self._family(clutch)
        if not family.in_doubt or (family.each_egg and young is None):
            return ()
        egg = one.world.pedigree.egg_of[young] if family.each_egg and young else -1
        return one.certainty.claimants_against(family, egg)

    def _family(self, clutch: str) -> tuple[SpeciesFigures, Family]:
        """The species of a clutch, and the clutch as a family."""
        record = self.collection.clutches[clutch]
        one = self.figures_of(*(record.young[:1] or record.parents))
        return one, next(family for family in one.world.pedigree.families if family.clutch == clutch)

    @cached_property
    def surprises(self) -> tuple[Surprise, ...]:
        """Evidence that needs more allele copies than founders' own looks and sure tests do, family by family."""
        return tuple(
            surprise for one in self._of.values() for surprise in surprises_of(one.limit, one.solved, one.certainty)
        )

    @cached_property
    def tests_against_looks(self) -> tuple[tuple[str, LabTest], ...]:
        """Fallible tests that found a number of copies which the look rules out: they say nothing."""
        found: list[tuple[str, LabTest]] = []
        for animal in self.collection.animals.values():
            for test in animal.tests if any(test.error for test in animal.tests) else ():
                one = self.figures_of(animal.id)
                locus, egg = one.world.position[test.locus], one.world.pedigree.egg_of[animal.id]
                evidence = one.world.evidence[locus]
                if against(test, evidence.states, evidence.looks(one.world.pedigree.eggs[egg], one.world.timeline.now)):
                    found.append((animal.id, test))
        return tuple(found)


def _excluded(one: SpeciesFigures | OtherSires, place: Place, allele: int, moment: int, *, two: bool = False) -> bool:
    """Whether an egg could not carry an allele, or `two` copies, by what stands today of the evidence up to a moment."""
    evidence, egg = one.world.evidence[place[0]], one.world.pedigree.eggs[place[1]]
    with_it = evidence.states.mask(lambda pair: pair == (allele, allele) if two else allele in pair)
    own = evidence.own_states(egg, moment)
    if own and not (own & with_it and own & ~with_it):
        return not own & with_it
    return not one.certainty.fits_at(*place, with_it, moment)


def _event_since(one: SpeciesFigures | OtherSires, place: Place, since: int) -> Event | None:
    """The event that forced something of an egg; None where that was so from the beginning, or when it hatched."""
    timeline = one.world.timeline
    return timeline.events[since - 1] if since > timeline.hatched(place[1]) else None


def infer(
    collection: Collection, limit: int = LIMIT, others: Others | None = None, whole: Inference | None = None
) -> Inference:
    """The inference of a checked collection. Evidence dated after `collection.until` does not count.

    `limit`: the most entries that a table may have; figures that need more are not computed. `others`: by clutch, the males that may have
    sired it and are no sires on record. `whole`: the inference of all records, which answers for them where these are the published ones.
    """
    return Inference(collection, limit, others, whole)
