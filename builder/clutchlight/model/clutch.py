"""A clutch as it stands on record: who may have sired it, its eggs, and what hatched."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from clutchlight.model.animal import Photo, Reading, Sex
from clutchlight.model.dates import When
from clutchlight.problems import Place

SireKind = Literal["one", "one of", "mixed"]

UNKNOWN_SIRE = "unknown"
NO_SIRE = "none"


@dataclass(frozen=True, slots=True)
class Sires:
    """Who may have sired a clutch.

    `kind` "one": a single candidate. "one of": one choice for the whole clutch. "mixed": each egg drawn by itself.
    `candidates`: (animal id, UNKNOWN_SIRE or NO_SIRE) with prior chances that sum to 1, in the order written.
    UNKNOWN_SIRE is an unrecorded male, one per clutch; NO_SIRE is parthenogenesis.
    """

    kind: SireKind
    candidates: tuple[tuple[str, Fraction], ...]

    @property
    def ids(self) -> tuple[str, ...]:
        """The recorded animals among the candidates."""
        return tuple(name for name, _ in self.candidates if name not in (UNKNOWN_SIRE, NO_SIRE))

    @property
    def only(self) -> str | None:
        """The one candidate, when there is no doubt."""
        return self.candidates[0][0] if len(self.candidates) == 1 else None


@dataclass(frozen=True, slots=True)
class Tally:
    """Hatchlings of one look counted but not kept apart."""

    count: int
    sex: Sex
    reading: Reading


@dataclass(frozen=True)
class Clutch:
    """One clutch. `young`: ids of animals in order. `set_aside`: by locus key, why its looks there do not count for now."""

    id: str
    species: str
    place: Place
    sires: Sires
    dam: str
    name: str | None = None
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
    set_aside: Mapping[str, str] = field(default_factory=dict)
    photos: tuple[Photo, ...] = ()
    prose: str = ""
    sire_place: Place | None = None
    dam_place: Place | None = None
    places: Mapping[str, Place] = field(default_factory=dict)

    @property
    def weighs(self) -> bool:
        """Whether its looks weigh the parents: only when all of the clutch is on record and sorted."""
        return self.complete and self.to_sort == 0
