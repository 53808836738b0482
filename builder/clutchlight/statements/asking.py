"""What statements ask of the inference, as a type: the real engine and the hand-made ones in tests both fit it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Protocol

from clutchlight.genetics.values import (
    Conflict,
    Event,
    Figure,
    Grounds,
    JointFigure,
    NotComputed,
    SireChances,
    Surprise,
)
from clutchlight.model import Collection, LabTest, Locus


class Inferred(Protocol):
    """The answers of the engine about one collection. Every chance is exact; every answer is the same however often it is asked."""

    @property
    def collection(self) -> Collection: ...

    @property
    def conflicts(self) -> tuple[Conflict, ...]: ...

    @property
    def surprises(self) -> tuple[Surprise, ...]: ...

    @property
    def needless_tests(self) -> tuple[tuple[str, LabTest], ...]: ...

    @property
    def events(self) -> tuple[Event, ...]: ...

    def loci_in_play(self, species: str) -> tuple[Locus, ...]: ...

    def now(self, animal: str, locus: str) -> Figure | NotComputed: ...

    def when_hatched(self, animal: str, locus: str) -> Figure | NotComputed: ...

    def before_hatching(self, animal: str, locus: str) -> Figure | NotComputed | None: ...

    def at(self, animal: str, locus: str, day: date) -> Figure | NotComputed: ...

    def history(self, animal: str, locus: str) -> tuple[tuple[Event | None, Figure | NotComputed], ...]: ...

    def grounds(self, animal: str, locus: str, allele: int) -> Grounds: ...

    def ruled_out(self, animal: str, locus: str, allele: int) -> bool: ...

    def rests_on(self, animal: str, locus: str) -> tuple[str, ...]: ...

    def background_only(self, animal: str, locus: str, allele: int) -> bool: ...

    def joint(self, questions: Sequence[tuple[str, str]]) -> JointFigure | NotComputed: ...

    def sires(self, clutch: str) -> SireChances | NotComputed: ...

    def sires_of(self, animal: str) -> SireChances | NotComputed: ...

    def changed_last(self, animal: str) -> date | None: ...
