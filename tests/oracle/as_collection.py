"""The same case as a collection of the product's model, without going through records."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from tests.oracle.case import NONE, UNKNOWN, Animal, Case, Claim, Clutch, Locus, Look, Parent, Reading

import clutchlight.model as model
from clutchlight.problems import Place

HERE = Place("case")
KEY = "snake"


def as_collection(case: Case) -> model.Collection:
    """The collection that a reader would make of the case."""
    loci = {locus.name: _locus(locus) for locus in case.loci}
    key_of = {allele: locus.name for locus in case.loci for allele in locus.alleles}
    species = model.Species(KEY, "Snake", "Serpens exempli", case.system, loci)
    young: dict[str, list[str]] = {}
    for animal in case.animals:
        if animal.clutch:
            young.setdefault(animal.clutch, []).append(animal.id)
    clutches = {clutch.id: _clutch(clutch, young.get(clutch.id, ())) for clutch in case.clutches}
    animals: dict[str, model.Animal] = {}
    for animal in case.animals:
        for one in _animals(animal, clutches, key_of):
            animals[one.id] = one
    return model.Collection(
        model.Settings("A case", "case", (KEY,)),
        {KEY: species},
        {ident: animals[ident] for ident in sorted(animals)},
        {ident: clutches[ident] for ident in sorted(clutches)},
    )


def _locus(locus: Locus) -> model.Locus:
    return model.Locus(
        KEY,
        locus.name,
        model.Inheritance(locus.inheritance),
        locus.alleles,
        two_copies={allele: look for allele, look in locus.two_copies if look != "dies"},
        together={frozenset({one, two}): look for one, two, look in locus.together},
        dies=frozenset(allele for allele, look in locus.two_copies if look == "dies"),
        subtle=frozenset(locus.subtle),
        hides=dict(locus.hides),
        background=dict(locus.background),
        sex_linked=None if locus.crossover is None else model.SexLinkage(locus.crossover),
        kept_in_parthenogenesis=locus.kept,
    )


def _clutch(clutch: Clutch, young: Iterable[str]) -> model.Clutch:
    kind: model.collection.SireKind = "one" if len(clutch.sires) == 1 else "mixed" if clutch.mixed else "one of"
    words: dict[str, model.Sire] = {UNKNOWN: model.UNRECORDED, NONE: model.NOBODY}
    return model.Clutch(
        clutch.id,
        KEY,
        HERE,
        model.Sires(kind, tuple((words.get(name) or model.Recorded(name), chance) for name, chance in clutch.sires)),
        clutch.dam,
        hatched=model.When.day(clutch.hatched),
        young=tuple(young),
        tally=tuple(model.Tally(row.count, row.sex or "unknown", _look(row.look)) for row in clutch.tally),
        unseen=clutch.unseen,
        went_bad=clutch.went_bad,
        to_sort=clutch.to_sort,
        complete=clutch.complete,
        set_aside=dict.fromkeys(clutch.set_aside, "to be read again"),
    )


def _look(look: Look, on: model.When | None = None) -> model.Reading:
    return model.Reading(look.shows, HERE, on, without=look.without, cannot_tell=look.cannot_tell)


def _readings(readings: tuple[Reading, ...]) -> tuple[model.Reading, ...]:
    found = [_look(reading.look, model.When.day(reading.on) if reading.on else None) for reading in readings]
    return tuple(sorted(found, key=lambda reading: (reading.on is not None, reading.on and reading.on.last)))


def _claims(claims: tuple[Claim, ...], key_of: dict[str, str]) -> tuple[model.Claim, ...]:
    return tuple(
        model.Claim(
            key_of[claim.trait],
            claim.trait,
            claim.chance,
            HERE,
            withdrawn=model.When.day(claim.withdrawn) if claim.withdrawn else None,
            two_copies=claim.two_copies,
            came_from=claim.came_from,
        )
        for claim in claims
    )


def _animals(animal: Animal, clutches: dict[str, model.Clutch], key_of: dict[str, str]) -> Iterable[model.Animal]:
    parents: dict[str, str | None] = {}
    for role, parent in (("sire", animal.sire), ("dam", animal.dam)):
        if isinstance(parent, Parent):
            ident = f"{animal.id}:{role}"
            sex: model.Sex = "male" if role == "sire" else "female"
            yield model.Animal(
                ident,
                KEY,
                HERE,
                sex=sex,
                egg=ident,
                described_in=animal.id,
                readings=(_look(parent.look),),
                claims=_claims(parent.claims, key_of),
            )
            parents[role] = ident
        else:
            parents[role] = parent
    if animal.clutch:
        clutch = clutches[animal.clutch]
        parents = {"sire": clutch.sires.certain, "dam": clutch.dam}
    yield model.Animal(
        animal.id,
        KEY,
        HERE,
        sex=animal.sex or "unknown",
        hatched=model.When.day(animal.hatched) if animal.hatched else None,
        sire=parents["sire"],
        dam=parents["dam"],
        clutch=animal.clutch,
        egg=animal.same_egg_as or animal.id,
        readings=_readings(animal.readings),
        claims=_claims(animal.claims, key_of),
        tests=tuple(
            model.LabTest(
                key_of[test.trait],
                test.trait,
                test.copies,
                model.When.day(test.on),
                HERE,
                Fraction(test.error),
                lab=test.lab or None,
            )
            for test in animal.tests
        ),
    )
