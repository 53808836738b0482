"""A small collection, described apart from the product, that can also be written as records.

The enumeration in `enumerate_genotypes` reads a `Case`; `Case.as_records` writes the same case in the record format,
so that the product can be run on it through its real reader. Nothing here imports the product.

Conventions: an allele is named by its trait (`Aone`), the normal allele is `""`. A chance is a `Fraction`. A sex is
`male`, `female` or None. What the fields mean is said by the design's pages on records and on figures.
"""

from __future__ import annotations

import json
import re
from datetime import date
from fractions import Fraction
from typing import Literal

from msgspec import Struct

Sex = Literal["male", "female"]
Inheritance = Literal["recessive", "incomplete dominant", "dominant"]

NORMAL = ""
UNKNOWN = "unknown"  # an unrecorded sire, one for each clutch
NONE = "none"  # no sire: parthenogenesis
SPECIES = {"XY": "ball-python", "ZW": "corn-snake"}

COLLECTION = """\
format: 1
name: A case
collection_id: 00000000-0000-4000-8000-000000000000
species: [{species}]
contact: {{mail: nobody@example.org}}
"""


class Locus(Struct, frozen=True):
    """One locus. `kept` is the share of parthenogenetic young that stay heterozygous; `crossover` makes it sex-linked.

    `two_copies` names the look of two copies of an allele (`dies`: a lethal double dose), `together` the look of two
    different ones, `hides` what a look conceals, `background` an allele's frequency among founders without a claim,
    `unrecorded` that of a carrier without record where the limit would outweigh a recorded number, `trust` the chance with
    which a claim of certainty is true where that is in doubt.
    """

    name: str
    inheritance: Inheritance
    alleles: tuple[str, ...]
    two_copies: tuple[tuple[str, str], ...] = ()
    together: tuple[tuple[str, str, str], ...] = ()
    crossover: Fraction | None = None
    subtle: tuple[str, ...] = ()
    hides: tuple[tuple[str, tuple[str, ...]], ...] = ()
    background: tuple[tuple[str, Fraction], ...] = ()
    kept: Fraction = Fraction(0)
    unrecorded: Fraction = Fraction(1, 100)
    trust: Fraction = Fraction(99, 100)


class Look(Struct, frozen=True):
    """One reading: `shows` is None when nobody looked and `()` for a normal look."""

    shows: tuple[str, ...] | None = None
    without: tuple[str, ...] = ()
    cannot_tell: tuple[str, ...] = ()


class Reading(Struct, frozen=True):
    """A look and its date; without a date it stands at the hatching, and for a founder before everything."""

    look: Look
    on: date | None = None


class Claim(Struct, frozen=True):
    """What somebody said of a founder: a `chance` of one copy, or of `two_copies`, or only whom it `came_from`."""

    trait: str
    chance: Fraction | None = None
    two_copies: Fraction | None = None
    came_from: Literal["sire", "dam"] | None = None
    withdrawn: date | None = None


class LabTest(Struct, frozen=True):
    """A test that found `copies` of the named allele and errs with chance `error`; one laboratory has one name."""

    trait: str
    copies: int
    on: date
    error: Fraction = Fraction(0)
    lab: str = ""


class Parent(Struct, frozen=True):
    """A nameless parent written in place on its young."""

    look: Look = Look()
    claims: tuple[Claim, ...] = ()


class Animal(Struct, frozen=True):
    """A founder (no sire, dam or clutch), a hatchling of a recorded clutch, or a young whose clutch is not recorded."""

    id: str
    sex: Sex | None = None
    readings: tuple[Reading, ...] = ()
    claims: tuple[Claim, ...] = ()
    tests: tuple[LabTest, ...] = ()
    sire: str | Parent | None = None
    dam: str | Parent | None = None
    hatched: date | None = None
    clutch: str | None = None
    same_egg_as: str | None = None

    @property
    def founder(self) -> bool:
        """True without any recorded parent."""
        return self.clutch is None and self.sire is None and self.dam is None


class Tally(Struct, frozen=True):
    """Hatchlings counted but not kept apart."""

    count: int
    look: Look
    sex: Sex | None = None


class Clutch(Struct, frozen=True):
    """`sires` are the alternatives with their chances: one for the clutch, or with `mixed` one for each egg."""

    id: str
    sires: tuple[tuple[str, Fraction], ...]
    dam: str
    hatched: date
    mixed: bool = False
    complete: bool = True
    to_sort: int = 0
    tally: tuple[Tally, ...] = ()
    unseen: int = 0
    went_bad: int = 0
    set_aside: tuple[str, ...] = ()


class Case(Struct, frozen=True):
    """Everything that a figure may depend on."""

    loci: tuple[Locus, ...]
    animals: tuple[Animal, ...]
    clutches: tuple[Clutch, ...] = ()
    system: Literal["XY", "ZW"] = "XY"

    def as_records(self) -> dict[str, str]:
        """The same case in the record format: relative path to text."""
        records = {
            "collection.yaml": COLLECTION.format(species=SPECIES[self.system]),
            "traits/own.yaml": "\n".join(
                [
                    f"species: {SPECIES[self.system]}",
                    "loci:",
                    *(f"  - {_flow(_locus(locus))}" for locus in self.loci),
                    "",
                ]
            ),
        }
        animals = [entry for animal in self.animals if len(entry := _animal(animal)) > 1]
        if animals:
            records["animals/all.yaml"] = "".join(f"- {_flow(entry)}\n" for entry in animals)
        if self.clutches:
            records["clutches/all.yaml"] = "".join(f"- {_flow(self._clutch(clutch))}\n" for clutch in self.clutches)
        return records

    def _clutch(self, clutch: Clutch) -> dict[str, object]:
        young = [animal for animal in self.animals if animal.clutch == clutch.id]
        eggs = sum(animal.same_egg_as is None for animal in young) + sum(tally.count for tally in clutch.tally)
        entry: dict[str, object] = {
            "id": clutch.id,
            "sire": _sires(clutch),
            "dam": clutch.dam,
            "eggs": str(eggs + clutch.to_sort + clutch.unseen + clutch.went_bad),
            "hatched": clutch.hatched.isoformat(),
            "young": [_hatchling(animal) for animal in young],
        }
        if clutch.tally:
            entry["tally"] = [
                {"count": str(tally.count)} | ({"sex": tally.sex} if tally.sex else {}) | _look(tally.look)
                for tally in clutch.tally
            ]
        for key, count in (("to_sort", clutch.to_sort), ("unseen", clutch.unseen), ("went_bad", clutch.went_bad)):
            if count:
                entry[key] = str(count)
        if not clutch.complete:
            entry["complete"] = "no"
        if clutch.set_aside:
            first = {locus.name: locus.alleles[0] for locus in self.loci}
            entry["set_aside"] = {first[name]: "looks to be read again" for name in clutch.set_aside}
        return entry


def chance_text(chance: Fraction) -> str:
    """A chance as a breeder may type it: exact."""
    return f"{chance * 100}%" if chance in (0, 1) else f"{chance.numerator}/{chance.denominator}"


def _sires(clutch: Clutch) -> object:
    if len(clutch.sires) == 1:
        return clutch.sires[0][0]
    return {"mixed" if clutch.mixed else "one_of": {name: chance_text(chance) for name, chance in clutch.sires}}


def _locus(locus: Locus) -> dict[str, object]:
    entry: dict[str, object] = {
        "locus": locus.name,
        "inheritance": locus.inheritance,
        "alleles": list(locus.alleles),
        "source": "common practice",
    }
    if locus.two_copies:
        entry["two_copies"] = dict(locus.two_copies)
    if locus.together:
        entry["together"] = {f"{one} + {two}": look for one, two, look in locus.together}
    if locus.crossover is not None:
        entry["sex_linked"] = {"crossover": chance_text(locus.crossover), "source": "common practice"}
    if locus.subtle:
        entry["subtle"] = list(locus.subtle)
    if locus.hides:
        entry["hides"] = {look: list(loci) for look, loci in locus.hides}
    if locus.background:
        ((_, frequency),) = locus.background
        entry["background"] = chance_text(frequency)
    if locus.unrecorded != Fraction(1, 100):
        entry["unrecorded"] = chance_text(locus.unrecorded)
    if locus.trust != Fraction(99, 100):
        entry["claim_trust"] = chance_text(locus.trust)
    if locus.kept:
        entry["kept_in_parthenogenesis"] = chance_text(locus.kept)
    return entry


def _look(look: Look) -> dict[str, object]:
    entry: dict[str, object] = {}
    if look.shows is not None:
        entry["shows"] = list(look.shows) or "normal"
    if look.without:
        entry["without"] = list(look.without)
    if look.cannot_tell:
        entry["cannot_tell"] = list(look.cannot_tell)
    return entry


def _claim(claim: Claim) -> dict[str, object]:
    entry: dict[str, object] = {"trait": claim.trait}
    if claim.chance is not None:
        entry["chance"] = chance_text(claim.chance)
    if claim.two_copies is not None:
        entry["two_copies"] = chance_text(claim.two_copies)
    if claim.came_from is not None:
        entry["came_from"] = claim.came_from
    if claim.withdrawn is not None:
        entry["withdrawn"] = claim.withdrawn.isoformat()
    return entry


def _parent(parent: str | Parent) -> object:
    if isinstance(parent, str):
        return parent
    entry = _look(parent.look)
    if parent.claims:
        entry["claims"] = [_claim(claim) for claim in parent.claims]
    return entry


def _readings(readings: tuple[Reading, ...]) -> dict[str, object]:
    if len(readings) == 1 and readings[0].on is None:
        return _look(readings[0].look)
    return {"looks": [{"on": _on(reading)} | _look(reading.look) for reading in readings]} if readings else {}


def _on(reading: Reading) -> str:
    if reading.on is None:
        raise ValueError("a look that was read again needs the date of each reading")
    return reading.on.isoformat()


def _hatchling(animal: Animal) -> dict[str, object]:
    """The facts at birth; what came later stands in the animals file."""
    entry: dict[str, object] = {"id": animal.id}
    if animal.sex:
        entry["sex"] = animal.sex
    if len(animal.readings) == 1 and animal.readings[0].on is None:
        entry |= _look(animal.readings[0].look)
    if animal.same_egg_as:
        entry["same_egg_as"] = animal.same_egg_as
    return entry


def _animal(animal: Animal) -> dict[str, object]:
    entry: dict[str, object] = {"id": animal.id}
    if animal.clutch is None:
        entry["sex"] = animal.sex or "unknown"
        if animal.hatched:
            entry["hatched"] = animal.hatched.isoformat()
        for key, parent in (("sire", animal.sire), ("dam", animal.dam)):
            if parent is not None:
                entry[key] = _parent(parent)
        entry |= _readings(animal.readings)
        if animal.claims:
            entry["claims"] = [_claim(claim) for claim in animal.claims]
    elif len(animal.readings) > 1 or any(reading.on for reading in animal.readings):
        entry |= _readings(animal.readings)
    if animal.tests:
        entry["tests"] = [
            {
                "trait": test.trait,
                "copies": str(test.copies),
                "on": test.on.isoformat(),
                "error": chance_text(test.error),
            }
            | ({"lab": test.lab} if test.lab else {})
            for test in animal.tests
        ]
    return entry


def _flow(value: object) -> str:
    """Flow-style YAML, every scalar either plain and harmless or quoted."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_flow(key)}: {_flow(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_flow(item) for item in value) + "]"
    text = str(value)
    return text if re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9 ./%_-]*", text) else json.dumps(text)
