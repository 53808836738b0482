"""A clutch on record: who may have sired it, its eggs, and what hatched; and the collection of all records, today and on an earlier day."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from fractions import Fraction
from functools import cached_property
from types import MappingProxyType
from typing import Literal

from msgspec import Struct, field
from msgspec.structs import replace

from clutchlight.model.animals import STATUS_BEFORE, Animal, Correction, Photo, Reading, Sex, When, id_in_words
from clutchlight.model.private import Plan, Private, Sale
from clutchlight.model.traits import Locus, Species, grouped
from clutchlight.problems import Place


class Recorded(Struct, frozen=True):
    """A male with a record, or one that is described in his young's."""

    id: str

    def __str__(self) -> str:
        return self.id


class Unrecorded(Struct, frozen=True):
    """A male of whom there is no record: one for each clutch."""

    def __str__(self) -> str:
        return "unknown"


class Nobody(Struct, frozen=True):
    """No male: the dam bred alone."""

    def __str__(self) -> str:
        return "none"


Sire = Recorded | Unrecorded | Nobody
"""As text the word that stands for him in records, statements and messages."""
UNRECORDED, NOBODY = Unrecorded(), Nobody()


def sire_called(word: str) -> Sire:
    """Whom a record means by an id, `unknown` or `none`."""
    words: Mapping[str, Sire] = {"unknown": UNRECORDED, "none": NOBODY}
    return words.get(word) or Recorded(word)


SireKind = Literal["one", "one of", "mixed"]


class Sires(Struct, frozen=True):
    """Who may have sired a clutch.

    `kind` "one": a single candidate. "one of": one choice for the whole clutch. "mixed": each egg drawn by itself.
    `candidates`: each with his prior chance, in the order written; the chances sum to 1.
    """

    kind: SireKind
    candidates: tuple[tuple[Sire, Fraction], ...]

    @property
    def ids(self) -> tuple[str, ...]:
        """The recorded animals among the candidates."""
        return tuple(sire.id for sire, _ in self.candidates if isinstance(sire, Recorded))

    @property
    def only(self) -> Sire | None:
        """The one candidate, when there is no doubt."""
        return self.candidates[0][0] if len(self.candidates) == 1 else None

    @property
    def certain(self) -> str | None:
        """The id of the one candidate, when there is no doubt and he is on record."""
        return self.only.id if isinstance(self.only, Recorded) else None


class Tally(Struct, frozen=True):
    """Hatchlings of one look counted but not kept apart."""

    count: int
    sex: Sex
    reading: Reading


class Clutch(Struct, frozen=True):
    """One clutch. `not_by`: males that are known not to have sired it. `young`: ids of animals in order.
    `set_aside`: by locus key, why its looks there do not count for now. `heard`: of a clutch that does not count, the young whose looks do
    in what is asked, which is of none whom they leave alone."""

    id: str
    species: str
    place: Place
    sires: Sires
    dam: str
    not_by: tuple[str, ...] = ()
    name: str | None = None
    was: tuple[str, ...] = ()
    laid: When | None = None
    eggs: int | None = None
    slugs: int = 0
    went_bad: int = 0
    unseen: int = 0
    hatched: When | None = None
    ended: When | None = None
    young: tuple[str, ...] = ()
    tally: tuple[Tally, ...] = ()
    to_sort: int = 0
    complete: bool = True
    reported_by: str | None = None
    counts: bool = True
    heard: tuple[str, ...] = ()
    set_aside: Mapping[str, str] = field(default_factory=dict)
    photos: tuple[Photo, ...] = ()
    publish: Literal["page", "no"] = "page"
    corrections: tuple[Correction, ...] = ()
    prose: str = ""
    places: Mapping[str, Place] = field(default_factory=dict)

    def place_of(self, key: str) -> Place:
        """Where the value of a key stands; the record itself when the key was not written."""
        return self.places.get(key, self.place)

    @property
    def parents(self) -> tuple[str, ...]:
        """Its dam and every possible sire."""
        return (self.dam, *self.sires.ids)

    @property
    def called(self) -> str:
        """ "clutch C25-01"."""
        return f"clutch {id_in_words(self.id)}"

    @property
    def over(self) -> bool:
        """Whether it hatched, or came to nothing."""
        return self.hatched is not None or self.ended is not None

    @property
    def good_eggs(self) -> int | None:
        """Those that have not gone bad, by its record; None: eggs were not counted."""
        return None if self.eggs is None else self.eggs - self.went_bad

    def counts_at(self, locus: str) -> bool:
        """Whether the looks of its hatchlings count at a locus."""
        return self.counts and locus not in self.set_aside

    @property
    def hatchlings(self) -> int:
        """How many hatchlings are on record: listed, tallied, or still to be looked at."""
        return len(self.young) + sum(tally.count for tally in self.tally) + self.to_sort

    @property
    def weighs(self) -> bool:
        """Whether its looks weigh the parents: only when all of the clutch is on record and sorted."""
        return (self.complete and self.to_sort == 0) or bool(self.heard)


DatesBegin = Literal["day first", "month first"]

MENTION_FROM, DOUBT_BELOW = Fraction(1, 16), Fraction(1, 20)
UNRECORDED_CARRIERS, CLAIM_TRUST = Fraction(1, 100), Fraction(99, 100)
"""Thresholds of a collection that sets none."""


class Settings(Struct, frozen=True):
    """collection.yaml. Thresholds are fractions and are compared as fractions."""

    name: str
    collection_id: str
    species: tuple[str, ...]
    contact: Mapping[str, str] = field(default_factory=dict)
    web_address: str | None = None
    currency: str | None = None
    theme: str = "paper"
    mention_from: Fraction = MENTION_FROM
    doubt_below: Fraction = DOUBT_BELOW
    unrecorded: Fraction = UNRECORDED_CARRIERS
    claim_trust: Fraction = CLAIM_TRUST
    publish_from_log: tuple[str, ...] = ()
    law: tuple[str, ...] = ()
    advert: tuple[str, ...] = ()
    terms: tuple[str, ...] = ()
    about: str | None = None
    dates: DatesBegin | None = None
    place: Place = field(default_factory=lambda: Place("collection.yaml"))


class FreePage(Struct, frozen=True):
    """A page of the breeder's own: pages/NAME.md."""

    slug: str
    title: str
    prose: str
    place: Place


class Collection(Struct, frozen=True, dict=True):
    """Animals and clutches by id, in order of id; species by key."""

    settings: Settings
    species: Mapping[str, Species]
    animals: Mapping[str, Animal]
    clutches: Mapping[str, Clutch]
    pages: tuple[FreePage, ...] = ()
    until: date | None = None

    @cached_property
    def eggs(self) -> Mapping[str, tuple[str, ...]]:
        """For each egg (named by its first animal) the animals that came of it: one, or identical twins."""
        return grouped((animal.egg or animal.id, name) for name, animal in sorted(self.animals.items()))

    @cached_property
    def by_any_name(self) -> Mapping[str, str]:
        """Every animal and clutch by its id, an earlier id and its name, in small letters; of one name the one that may not be named."""
        every: list[Animal | Clutch] = [*self.animals.values(), *self.clutches.values()]
        records = sorted(every, key=lambda one: one.publish == "no")
        names = [(name, one.id) for one in records for name in (one.name or "", *one.was) if name]
        return {
            " ".join(name.casefold().split()): ident for name, ident in (*names, *((one.id, one.id) for one in records))
        }

    @cached_property
    def clutches_of(self) -> Mapping[str, tuple[str, ...]]:
        """For each animal the clutches that it may be a parent of, in order of id."""
        clutches = self.clutches.values()
        return grouped((parent, clutch.id) for clutch in clutches for parent in dict.fromkeys(clutch.parents))

    def bred_by(self, animal: str) -> tuple[Clutch, ...]:
        """The clutches that an animal may be a parent of, in order of id."""
        return tuple(self.clutches[key] for key in self.clutches_of.get(animal, ()))

    def laid_by(self, dam: str) -> tuple[Clutch, ...]:
        """The clutches of a dam, in order of id."""
        return tuple(clutch for clutch in self.bred_by(dam) if clutch.dam == dam)

    def parents_of(self, animal: str) -> tuple[str, ...]:
        """Every possible parent of an animal that is on record, its dam first."""
        record = self.animals[animal]
        clutch = self.clutches.get(record.clutch or "")
        return clutch.parents if clutch is not None else tuple(name for name in (record.dam, record.sire) if name)

    @cached_property
    def parents_corrected(self) -> tuple[Animal | Clutch, ...]:
        """The records of which a sire or a dam was corrected."""
        every: list[Animal | Clutch] = [*self.animals.values(), *self.clutches.values()]
        return tuple(one for one in every if any(found.key in ("sire", "dam") for found in one.corrections))

    def layings_of(self, dam: str) -> tuple[When, ...]:
        """When a dam laid, as far as the records of her clutches say."""
        return tuple(clutch.laid for clutch in self.laid_by(dam) if clutch.laid is not None)

    def hearing(self, young: Iterable[str]) -> Collection:
        """The same where the looks of these young of clutches that do not count do."""
        found = grouped((self.animals[name].clutch or "", name) for name in young)
        return self.with_clutches(*(replace(self.clutches[key], heard=names) for key, names in found.items()))

    def without_parents(self, young: Iterable[str]) -> Collection:
        """The same where nothing is on record of the parents of these young of clutches."""
        animals, clutches = dict(self.animals), dict(self.clutches)
        for name in young:
            clutch = clutches[animals[name].clutch or ""]
            clutches[clutch.id] = replace(clutch, young=tuple(one for one in clutch.young if one != name))
            animals[name] = replace(animals[name], clutch=None, sire=None, dam=None)
        return replace(self, animals=MappingProxyType(animals), clutches=MappingProxyType(clutches))

    def with_clutches(self, *others: Clutch) -> Collection:
        """The same with other records of some of its clutches."""
        clutches = {**self.clutches, **{clutch.id: clutch for clutch in others}}
        return replace(self, clutches=MappingProxyType(clutches))

    def set_aside(self, animal: Animal) -> Mapping[str, str]:
        """Loci at which an animal's own looks do not count for now, with the breeder's reason."""
        clutch = self.clutches.get(animal.clutch or "")
        return clutch.set_aside if clutch else {}

    def looks_that_count(self, animal: Animal, reading: Reading | None) -> tuple[str, ...] | None:
        """The looks of a reading without those set aside; None where nothing was seen."""
        if reading is None or reading.shows is None:
            return None
        aside, loci = self.set_aside(animal), self.species[animal.species].locus_of_look
        return tuple(name for name in reading.shows if not any(key in aside for key in loci.get(name, ())))

    def loci_in_play(self, species: str) -> tuple[Locus, ...]:
        """The computed loci at which any record of the species shows, tests or claims a mutant allele, or a background is stated."""
        found = self.species[species]
        return tuple(
            locus for locus in found.computed_loci if locus.key in self._spoken_of[species] or locus.background
        )

    @cached_property
    def _spoken_of(self) -> Mapping[str, frozenset[str]]:
        """By species the loci of looks, tests and claims."""
        loci: dict[str, set[str]] = {key: set() for key in self.species}
        readings = [(animal.species, reading) for animal in self.animals.values() for reading in animal.readings]
        readings += [(clutch.species, row.reading) for clutch in self.clutches.values() for row in clutch.tally]
        for species, reading in readings:
            for name in reading.shows or ():
                loci[species].update(self.species[species].locus_of_look.get(name, ()))
        for animal in self.animals.values():
            loci[animal.species].update(claim.locus for claim in animal.claims)
            loci[animal.species].update(test.locus for test in animal.tests)
        return {species: frozenset(found) for species, found in loci.items()}

    def locus(self, animal: str, key: str) -> Locus:
        return self.species[self.animals[animal].species].loci[key]


def as_it_stood(collection: Collection, day: date) -> Collection:
    """The collection with `until` = day, and without what is dated later. A date that is not a full day counts as its last day."""
    clutches = {
        key: _clutch(clutch, day) for key, clutch in collection.clutches.items() if not _later(_begun(clutch), day)
    }
    there = {key: animal for key, animal in collection.animals.items() if not _unborn(collection, animal, day)}
    parents = {parent for clutch in clutches.values() for parent in (*clutch.sires.ids, clutch.dam)}
    parents |= {parent for animal in there.values() for parent in (animal.sire, animal.dam) if parent}
    animals = {
        key: _animal(animal, day) for key, animal in there.items() if key in parents or not _not_here_yet(animal, day)
    }
    return replace(collection, animals=MappingProxyType(animals), clutches=MappingProxyType(clutches), until=day)


def _not_here_yet(animal: Animal, day: date) -> bool:
    """Whether it came from elsewhere later. One that came back was here before."""
    came = animal.came
    return animal.founder and came is not None and came.how != "returned" and _later(came.on, day)


def private_as_it_stood(private: Private, stood: Collection, day: date) -> Private:
    """The private side beside a collection as it stood: nothing that happened or begins later, and no animal not yet there.

    What came of a plan has no day: it is taken as not known while the plan still ran.
    """
    plans = (_plan(plan, stood, day) for plan in private.plans if not _later(plan.start, day))
    sales = (_sale(sale, stood, day) for sale in private.sales if not _later(sale.begun, day))
    return replace(
        private,
        plans=tuple(filter(None, plans)),
        log=tuple(
            row
            for row in private.log
            if row.day <= day
            and row.animal in stood.animals
            and (row.partner is None or row.partner in stood.animals)
            and (row.clutch is None or row.clutch in stood.clutches)
        ),
        sales=tuple(sale for sale in sales if sale.animals),
        holdings=tuple(
            holding
            for holding in private.holdings
            if holding.animal in stood.animals and not _later(holding.since, day)
        ),
    )


def _sale(sale: Sale, stood: Collection, day: date) -> Sale:
    return replace(
        sale,
        animals=tuple(name for name in sale.animals if name in stood.animals),
        payments=tuple(payment for payment in sale.payments if not _later(payment.on, day)),
        handed_over=None if _later(sale.handed_over, day) else sale.handed_over,
        returned=None if _later(sale.returned, day) else sale.returned,
        given_up=None if _later(sale.given_up, day) else sale.given_up,
        refund=None if _later(sale.returned or sale.given_up or sale.handed_over, day) else sale.refund,
        told=tuple(told for told in sale.told if not _later(told.on, day)),
    )


def _plan(plan: Plan, stood: Collection, day: date) -> Plan | None:
    """The plan with the males that were there; None when that leaves no pair."""
    males = tuple(male for male in plan.males if male in stood.animals)
    if not males or plan.female not in stood.animals:
        return None
    backup = plan.backup if plan.backup in stood.animals else None
    return replace(plan, males=males, backup=backup, result=plan.result if plan.last < day else None)


def _later(when: When | None, day: date) -> bool:
    return when is not None and when.last > day


def _begun(clutch: Clutch) -> When | None:
    return clutch.laid or clutch.hatched or clutch.ended


def _unborn(collection: Collection, animal: Animal, day: date) -> bool:
    """Whether it hatched later, or has no day of its own and a parent that did."""
    clutch = collection.clutches.get(animal.clutch or "")
    hatched = clutch.hatched if clutch else animal.hatched
    parents = (collection.animals.get(name) for name in (animal.sire, animal.dam) if name)
    return _later(hatched, day) or (
        hatched is None and any(parent is not None and _unborn(collection, parent, day) for parent in parents)
    )


def _clutch(clutch: Clutch, day: date) -> Clutch:
    photos = tuple(photo for photo in clutch.photos if not _later(photo.on, day))
    clutch = replace(clutch, corrections=tuple(one for one in clutch.corrections if not _later(one.on, day)))
    ended = None if _later(clutch.ended, day) else clutch.ended
    if not _later(clutch.hatched, day):
        return replace(clutch, photos=photos, ended=ended)
    return replace(
        clutch, photos=photos, ended=ended, hatched=None, young=(), tally=(), to_sort=0, unseen=0, went_bad=0, prose=""
    )


def _animal(animal: Animal, day: date) -> Animal:
    left, came, status = animal.left, animal.came, animal.status
    while left is not None and _later(left.on, day):
        left = left.before
    was_here = left is None or (left.back is not None and not _later(left.back, day))
    to_come = animal.left if animal.left is not left else None
    before = to_come is not None and to_come.how in STATUS_BEFORE and status != "sold"
    if to_come is not None and to_come.back is None and was_here and not before:
        status = "not for sale"  # it tells how the animal left, which is to come
    if left is not None and _later(left.back, day):
        left = replace(left, back=None)
    if came is not None and came.how in ("returned", "loan") and _later(came.on, day):
        came = None
    return replace(
        animal,
        readings=tuple(reading for reading in animal.readings if not _later(reading.on, day)),
        tests=tuple(test for test in animal.tests if not _later(test.on, day)),
        claims=tuple(
            replace(claim, withdrawn=None) if _later(claim.withdrawn, day) else claim for claim in animal.claims
        ),
        photos=tuple(photo for photo in animal.photos if not _later(photo.on, day)),
        corrections=tuple(correction for correction in animal.corrections if not _later(correction.on, day)),
        came=came,
        left=left,
        status=status,
    )
