"""The ledger: statements frozen on a date, one line each, every line holding the digest of the line before. Frozen; no I/O."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from functools import cached_property
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.model.traits import Species, grouped
from clutchlight.problems import Place

SHORT = 8
"""How many characters of a digest make a short code."""


class DatedSire(Struct, frozen=True):
    """Who may be the sire; `id` None: one who was not to be named."""

    id: str | None
    chance: Fraction | None


class DatedParents(Struct, frozen=True):
    sires: tuple[DatedSire, ...]
    dam: str | None
    clutch: str | None


class DatedTrait(Struct, frozen=True):
    """What was stated of one trait. `copies`: the chances of 0, 1 and 2."""

    locus: str
    trait: str
    copies: Mapping[Literal["0", "1", "2"], Fraction]
    carries: Fraction
    grounds: str


class DatedFigures(Struct, frozen=True):
    """A statement as it was dated. `under_review`: the loci at which its look was set aside and nothing was said."""

    id: str
    species: str
    sex: str
    hatched: str | None
    looks: tuple[str, ...] | None
    parents: DatedParents
    traits: tuple[DatedTrait, ...]
    under_review: tuple[str, ...] = ()


class DatedRecord(Struct, frozen=True):
    """One line of the ledger.

    `figures`: what the digest covers. `digest`: of `figures`. `before`: the digest of the line before, None for the very
    first. `line`: the digest of this line, which the next line holds. `version`: of the tool. `species_file`: digest of the species file.
    `if_sired`: the traits of which the certainty hung on who sired a clutch; None where the line does not tell.
    """

    number: int
    on: date
    animal: str
    figures: DatedFigures
    digest: str
    before: str | None
    version: str
    species_file: str
    line: str
    place: Place
    if_sired: tuple[str, ...] | None = None

    @property
    def short_code(self) -> str:
        return short(self.digest)


class Ledger(Struct, frozen=True, dict=True):
    """All dated records, oldest first."""

    records: tuple[DatedRecord, ...] = ()

    @property
    def head(self) -> str | None:
        """The digest of the last line: it stands for the whole chain."""
        return self.records[-1].line if self.records else None

    @cached_property
    def by_animal(self) -> Mapping[str, tuple[DatedRecord, ...]]:
        return grouped((record.animal, record) for record in self.records)

    def of(self, *ids: str) -> tuple[DatedRecord, ...]:
        """The dated records of an animal under its present id and its earlier ones, oldest first."""
        rows = [record for name in dict.fromkeys(ids) for record in self.by_animal.get(name, ())]
        return tuple(sorted(rows, key=lambda record: record.number))

    def as_called_now(self, species: Mapping[str, Species]) -> Ledger:
        """The same with looks, traits and loci that have another name since under that of today; the digests stay."""
        return Ledger(tuple(_as_called_now(record, species.get(record.figures.species)) for record in self.records))


def _as_called_now(record: DatedRecord, species: Species | None) -> DatedRecord:
    if species is None:
        return record
    figures, now = record.figures, species.called_now
    traits = list[DatedTrait]()
    for row in figures.traits:
        trait = now.get(row.trait.casefold(), row.trait)
        keys = species.locus_of_look.get(trait, ())
        moved = trait != row.trait or row.locus not in species.loci
        traits.append(
            replace(row, trait=trait, locus=keys[0] if keys and moved and row.locus not in keys else row.locus)
        )
    looks = figures.looks and tuple(now.get(look.casefold(), look) for look in figures.looks)
    if_sired = record.if_sired and tuple(now.get(trait.casefold(), trait) for trait in record.if_sired)
    return replace(record, figures=replace(figures, looks=looks, traits=tuple(traits)), if_sired=if_sired)


def short(digest: str) -> str:
    """The first characters of a digest, without its "sha256:"."""
    return digest.removeprefix("sha256:")[:SHORT]
