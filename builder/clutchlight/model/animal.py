"""An animal as it stands on record: birth, parents, readings of its looks, claims, tests, whereabouts. Frozen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from clutchlight.model.dates import When
from clutchlight.problems import Place

Sex = Literal["male", "female", "unknown"]
Status = Literal["breeder", "holdback", "growing on", "available", "on hold", "sold", "not for sale", "elsewhere"]
Publish = Literal["page", "name only", "no"]


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading of an animal's looks.

    `shows`: canonical look names (combos already taken apart), () for a normal look, None for never looked at.
    `loose`: looks shown whose line is not known ("Axanthic"); shown to the reader, evidence at no locus.
    `without`: subtle looks searched for and not seen. `cannot_tell`: look names whose locus or double dose is undecided.
    """

    shows: tuple[str, ...] | None
    place: Place
    on: When | None = None
    loose: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    cannot_tell: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Claim:
    """What somebody else said of a founder: it carries one copy of `trait` with this chance (1 = certain).

    `two_copies`: the claim is about a second copy of a trait that the founder shows.
    `came_from`: which parent gave a sex-linked copy.
    """

    locus: str
    trait: str
    chance: Fraction | None
    place: Place
    said_by: str | None = None
    on: When | None = None
    withdrawn: When | None = None
    two_copies: Fraction | None = None
    came_from: Literal["sire", "dam"] | None = None


@dataclass(frozen=True, slots=True)
class Stated:
    """A seller's figure for an animal with recorded parents: compared and shown, never counted."""

    locus: str
    trait: str
    chance: Fraction
    place: Place


@dataclass(frozen=True, slots=True)
class LabTest:
    """A test result: the number of copies of `trait`; `error`: the chance that the result is wrong (0 = taken as sure)."""

    locus: str
    trait: str
    copies: int
    on: When
    place: Place
    error: Fraction = Fraction(0)
    by: str | None = None


@dataclass(frozen=True, slots=True)
class Photo:
    file: str
    place: Place
    on: When | None = None
    alt: str | None = None


@dataclass(frozen=True, slots=True)
class Coming:
    """How and when an animal came or left."""

    how: str
    on: When | None = None


@dataclass(frozen=True, slots=True)
class Sexed:
    how: str
    on: When | None = None


@dataclass(frozen=True, slots=True)
class Correction:
    on: When
    key: str
    was: str
    because: str


@dataclass(frozen=True)
class Animal:
    """One animal.

    `sire` and `dam` are ids of animals; for young of a clutch with sires in doubt `sire` is None: `clutch` says more.
    A nameless parent written in place is an Animal whose id holds a colon ("F-03:dam"), which no written id can.
    `readings` are in order of date, undated first. `egg`: the id of the twin whose egg it shared, else its own id.
    """

    id: str
    species: str
    place: Place
    sex: Sex = "unknown"
    name: str | None = None
    was: tuple[str, ...] = ()
    sexed: Sexed | None = None
    hatched: When | None = None
    sire: str | None = None
    dam: str | None = None
    clutch: str | None = None
    egg: str = ""
    readings: tuple[Reading, ...] = ()
    claims: tuple[Claim, ...] = ()
    stated: tuple[Stated, ...] = ()
    tests: tuple[LabTest, ...] = ()
    impressions: tuple[str, ...] = ()
    status: Status = "not for sale"
    came: Coming | None = None
    left: Coming | None = None
    origin: str | None = None
    price: str | None = None
    photos: tuple[Photo, ...] = ()
    publish: Publish = "page"
    corrections: tuple[Correction, ...] = ()
    prose: str = ""
    sire_place: Place | None = None
    dam_place: Place | None = None
    places: Mapping[str, Place] = field(default_factory=dict)

    @property
    def founder(self) -> bool:
        """No recorded parent: neither a sire, nor a dam, nor a clutch."""
        return self.sire is None and self.dam is None and self.clutch is None

    @property
    def nameless(self) -> bool:
        return ":" in self.id

    @property
    def shown_name(self) -> str:
        return self.name or self.id

    @property
    def called(self) -> str:
        """ "Rook (M-05)", or the id alone."""
        return f"{self.name} ({self.id})" if self.name else self.id

    @property
    def reading(self) -> Reading | None:
        """The latest reading of its looks."""
        return self.readings[-1] if self.readings else None

    @property
    def here(self) -> bool:
        """In the breeder's room: not sold, not gone, not known from paperwork only."""
        return self.left is None and self.status not in ("sold", "elsewhere") and not self.nameless
