"""A collection as the public may know it: an animal or a clutch that is not listed (`publish: no`) stands for its genes alone.

What is not there cannot be told. Of an unlisted animal are left its species, sex, latest look, claims and tests, and its place in the
family; of an unlisted clutch its parents and what it showed. Ids, names, days, prose, photos and everything else are gone. Those that no
listed animal or clutch is related to, and clutches of which nothing hatched, are left out.

Ids    an unlisted one is called by a number behind UNLISTED, which no written id can begin with. The numbers follow from what is left, so
       that another id would give the same ones: each is told apart by its evidence and, again and again, by what its relatives are.
Days   what the record of an unlisted one says has no day of its own. It counts from the hatching on where a listed relative dates that;
       else from the beginning for ancestors of listed animals and for animals without parents; and for all others it counts last, after
       everything that has a day.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import cached_property
from hashlib import sha256
from types import MappingProxyType

from msgspec.structs import replace

from clutchlight.model.animals import Animal, Reading, When, counting
from clutchlight.model.collection import Clutch, Collection, Recorded, Sires
from clutchlight.model.traits import reached
from clutchlight.problems import Place

UNLISTED = "~"
NOWHERE = Place("")


def is_unlisted(name: str) -> bool:
    """Whether an id of a published collection stands for an animal or a clutch that is not listed."""
    return name.startswith(UNLISTED)


def as_published(collection: Collection) -> Collection:
    """The collection itself where everything in it is listed."""
    return collection if is_published(collection) else _Published(collection).collection


def is_published(collection: Collection) -> bool:
    """Whether the collection holds nothing of unlisted animals and clutches but what may be known of them."""
    records: tuple[Animal | Clutch, ...] = (*collection.animals.values(), *collection.clutches.values())
    return all(
        record.publish != "no" or (isinstance(record, Animal) and record.nameless) or is_unlisted(record.id)
        for record in records
    )


Role = tuple[str, str]
"""What one animal or clutch is to another, and the id of the other."""


class _Published:
    def __init__(self, whole: Collection) -> None:
        self.whole = whole
        self.late = _day(whole.until or date.max)

    @cached_property
    def collection(self) -> Collection:
        whole = self.whole
        animals = {self._name(key): self._animal(one) for key, one in whole.animals.items() if key in self.kept}
        clutches = {self._name(key): self._clutch(one) for key, one in whole.clutches.items() if key in self.kept}
        species = {*whole.settings.species, *(animal.species for animal in animals.values())}
        return replace(
            whole,
            species=MappingProxyType({key: found for key, found in whole.species.items() if key in species}),
            animals=MappingProxyType(dict(sorted(animals.items()))),
            clutches=MappingProxyType(dict(sorted(clutches.items()))),
        )

    # Who is related to whom

    @cached_property
    def unlisted(self) -> frozenset[str]:
        """The ids that are not listed; a nameless parent is what its young is."""
        found = {animal.id for animal in self.whole.animals.values() if animal.publish == "no" and not animal.nameless}
        found |= {clutch.id for clutch in self.whole.clutches.values() if clutch.publish == "no"}
        found |= {key for key, animal in self.whole.animals.items() if animal.described_in in found}
        return frozenset(found)

    @cached_property
    def roles(self) -> Mapping[str, tuple[Role, ...]]:
        found: dict[str, list[Role]] = {key: [] for key in (*self.whole.animals, *self.whole.clutches)}

        def related(one: str, role: str, other: str | None) -> None:
            if other in found and other != one:
                found[one].append((role, other))
                found[other].append((f"{role} of", one))

        for animal in self.whole.animals.values():
            related(animal.id, "sire", animal.sire)
            related(animal.id, "dam", animal.dam)
            related(animal.id, "clutch", animal.clutch)
            related(animal.id, "egg", animal.egg)
        for clutch in self.whole.clutches.values():
            related(clutch.id, "dam", clutch.dam)
            for place, (sire, chance) in enumerate(clutch.sires.candidates):
                related(clutch.id, f"sire {place}, {chance}", sire.id if isinstance(sire, Recorded) else None)
        return found  # type: ignore[return-value]

    @cached_property
    def kept(self) -> frozenset[str]:
        """Everything that is listed, and what is related to it."""
        empty = {clutch.id for clutch in self.whole.clutches.values() if not clutch.young and not clutch.tally}
        return reached(
            (key for key in self.roles if key not in self.unlisted),
            lambda key: (other for _, other in self.roles[key] if other not in empty & self.unlisted),
        )

    @cached_property
    def elders(self) -> frozenset[str]:
        """The unlisted ones that listed ones come from."""
        up = ("sire", "dam", "clutch")
        return reached(
            (key for key in self.roles if key not in self.unlisted),
            lambda key: (other for role, other in self.roles[key] if role.startswith(up) and not role.endswith(" of")),
        )

    @cached_property
    def names(self) -> Mapping[str, str]:
        """The numbers of the unlisted ones that are kept."""
        marks = {key: f"listed {key}" for key in self.roles if key not in self.unlisted}
        hidden = sorted(key for key in self.kept if key in self.unlisted)
        marks |= {key: self._evidence(key) for key in hidden}
        told = {key: [marks[key]] for key in hidden}  # two are ordered by the first that differs
        before, apart = 0, len(set(marks.values()))
        while before < apart:
            marks |= {key: self._mark(key, marks) for key in hidden}
            for key in hidden:
                told[key].append(marks[key])
            before, apart = apart, len(set(marks.values()))
        held_in = {key: self.whole.animals[key].described_in for key in hidden if key in self.whole.animals}
        ordered = sorted((key for key in hidden if not held_in.get(key)), key=lambda key: (told[key], key))
        width = len(str(len(ordered)))
        found = {key: f"{UNLISTED}{number:0{width}}" for number, key in enumerate(ordered, 1)}
        for key in hidden:
            if young := held_in.get(key):
                found[key] = found[young] + key.removeprefix(young)
        return found

    def _mark(self, key: str, marks: Mapping[str, str]) -> str:
        relatives = sorted(f"{role}: {marks[other]}" for role, other in self.roles[key] if other in marks)
        return sha256("\n".join((marks[key], *relatives)).encode()).hexdigest()

    def _evidence(self, key: str) -> str:
        """What is left of it, without a word of who it is."""
        if key in self.whole.clutches:
            return repr(self._clutch_alone(self.whole.clutches[key]))
        return repr(self._animal_alone(self.whole.animals[key]))

    # What is left of them

    def _name(self, key: str) -> str:
        return self.names.get(key, key)

    def _animal(self, animal: Animal) -> Animal:
        return replace(
            self._animal_alone(animal) if animal.id in self.unlisted else animal,
            id=self._name(animal.id),
            sire=animal.sire and self._name(animal.sire),
            dam=animal.dam and self._name(animal.dam),
            clutch=animal.clutch and self._name(animal.clutch),
            egg=self._name(self._egg(animal)),
            described_in=animal.described_in and self._name(animal.described_in),
        )

    def _egg(self, animal: Animal) -> str:
        """The first listed one of twins names their egg."""
        twins = self.whole.eggs.get(animal.egg or animal.id, ())
        return next((twin for twin in twins if twin not in self.unlisted), animal.egg)

    def _animal_alone(self, animal: Animal) -> Animal:
        """An unlisted animal by its genes, its family left out."""
        hatched = self._hatched(animal)
        own = counting(sorted(animal.tests, key=lambda test: test.on.last))  # then laboratories need no names
        tests = (replace(test, on=hatched or _day(date.min), place=NOWHERE, by=None, lab=None) for test in own)
        in_order = sorted(tests, key=lambda test: (test.locus, test.trait, test.copies, test.error))
        claims = (
            replace(claim, place=NOWHERE, said_by=None, on=None) for claim in animal.claims if not claim.withdrawn
        )
        return Animal(
            id="",
            species=animal.species,
            place=NOWHERE,
            sex=animal.sex,
            hatched=hatched,
            readings=tuple(_undated(reading) for reading in animal.readings[-1:]),
            claims=tuple(sorted(claims, key=repr)),
            tests=tuple(replace(test, lab=f"laboratory {number}") for number, test in enumerate(in_order)),
            status="elsewhere",
            publish="no",
        )

    def _hatched(self, animal: Animal) -> When | None:
        """From when on an unlisted animal counts; None: from the beginning."""
        clutch = self.whole.clutches.get(animal.clutch or "")
        if clutch is not None:
            return self._clutch_hatched(clutch)
        return None if animal.founder or animal.id in self.elders else self.late

    def _clutch_hatched(self, clutch: Clutch) -> When | None:
        dated = clutch.id not in self.unlisted or any(name not in self.unlisted for name in clutch.young)
        if dated or clutch.hatched is None:
            return clutch.hatched
        return _day(date.min) if clutch.id in self.elders else self.late

    def _clutch(self, clutch: Clutch) -> Clutch:
        return replace(
            self._clutch_alone(clutch) if clutch.id in self.unlisted else clutch,
            id=self._name(clutch.id),
            sires=Sires(
                clutch.sires.kind,
                tuple(
                    (Recorded(self._name(sire.id)) if isinstance(sire, Recorded) else sire, chance)
                    for sire, chance in clutch.sires.candidates
                ),
            ),
            dam=self._name(clutch.dam),
            young=tuple(self._name(name) for name in clutch.young),
        )

    def _clutch_alone(self, clutch: Clutch) -> Clutch:
        """The same of an unlisted clutch."""
        return Clutch(
            id="",
            species=clutch.species,
            place=NOWHERE,
            sires=Sires(clutch.sires.kind, ()),
            dam="",
            hatched=self._clutch_hatched(clutch),
            tally=tuple(sorted((replace(row, reading=_undated(row.reading)) for row in clutch.tally), key=repr)),
            complete=clutch.weighs,
            counts=clutch.counts,
            set_aside=dict.fromkeys(sorted(clutch.set_aside), ""),
            publish="no",
        )


def _undated(reading: Reading) -> Reading:
    return replace(reading, place=NOWHERE, on=None)


def _day(day: date) -> When:
    return When(day, day, "")
