"""What the inference hands out: figures, grounds, events, surprises, conflicts. Frozen and exact; no words for readers.

Chances are `Fraction`s. Genotypes are unordered pairs of allele numbers, 0 = normal (see `clutchlight.model.traits`).
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from clutchlight.model import Genotype, Sire
from clutchlight.problems import Place

GroundsKind = Literal["look", "parentage", "test", "proven", "claim", "assumption", "background", "chance"]
EventKind = Literal["hatching", "look", "test", "withdrawn"]
SireChances = tuple[tuple[Sire, Fraction], ...]
"""Who may be a sire, each with his chance."""

EvidenceKind = Literal["look", "test", "claim", "sire", "dam"]

_NONE, _ONE = Fraction(0), Fraction(1)


class Figure(Struct, frozen=True):
    """The exact distribution over the genotypes of one animal at one locus: chances above 0, summing to 1, in order."""

    genotypes: tuple[tuple[Genotype, Fraction], ...]

    def chance(self, holds: Callable[[Genotype], bool]) -> Fraction:
        return self._sum([chance for pair, chance in self.genotypes if holds(pair)])

    def _sum(self, chances: list[Fraction]) -> Fraction:
        """Of some of the chances, which are 1 all together: adding fractions is what takes time."""
        if len(chances) in (0, len(self.genotypes)):
            return _ONE if chances else _NONE
        return chances[0] if len(chances) == 1 else sum(chances[1:], chances[0])

    def copies(self, allele: int) -> tuple[Fraction, Fraction, Fraction]:
        """The chances of 0, 1 and 2 copies of an allele."""
        found: tuple[list[Fraction], list[Fraction], list[Fraction]] = ([], [], [])
        for pair, chance in self.genotypes:
            found[pair.count(allele)].append(chance)
        return self._sum(found[0]), self._sum(found[1]), self._sum(found[2])

    def carries(self, allele: int) -> Fraction:
        """The chance of at least one copy of an allele."""
        return self._sum([chance for pair, chance in self.genotypes if allele in pair])


NORMAL_FIGURE = Figure((((0, 0), _ONE),))
"""That of an animal at a locus at which no record says anything."""


class NotComputed(Struct, frozen=True):
    """There is no exact figure.

    `because`: "width", it would need tables over the stated limit, and a test of one of `animals` would split the question; or "alone",
    the locus is sex-linked and a ZW dam in the line may have bred without a male.
    """

    animals: tuple[str, ...]
    because: Literal["width", "alone"] = "width"


class Grounds(Struct, frozen=True):
    """Why an animal is said to carry an allele. `proven_by`: the clutch, or the animal whose look or test did it."""

    kind: GroundsKind
    proven_by: str | None = None

    @property
    def on_trust(self) -> bool:
        """Whether it is certain only by a claim, or by founders that carry nothing unrecorded."""
        return self.kind in ("claim", "assumption")


class Event(Struct, frozen=True, order=True):
    """Something recorded on a day: a clutch hatched, a look read again, a test, a claim withdrawn. Sorts as figures are made.

    `subject`: the clutch for a hatching of a recorded clutch, else the animal. `rank`: hatchings, then looks, then tests.
    """

    on: date
    rank: int
    subject: str
    kind: EventKind


class Moved(Struct, frozen=True):
    """An animal whose figure at a locus, or what proves it there, would be another without some records, from a day on.

    `locus`: "" where it is the chances of its sires. `since`: None where that was so from the beginning.
    """

    animal: str
    locus: str
    since: date | None


class Surprise(Struct, frozen=True):
    """Evidence in one family that needs more copies of an allele than its founders' own looks and sure tests do.

    `founders`: the animals (ids; nameless and unrecorded parents included) that may carry one, with their chances now.
    `shown_by`: the young that show it or were tested to carry it; `clutches`: theirs; `since`: the day from which it was needed.
    `moved`: every animal of which something would be another without the unexpected results of the family at the locus.
    """

    species: str
    locus: str
    allele: int
    founders: tuple[tuple[str, Fraction], ...]
    shown_by: tuple[str, ...]
    clutches: tuple[str, ...]
    since: date | None
    moved: tuple[Moved, ...] = ()


class OtherSire(Struct, frozen=True):
    """A male that is no sire on record of a clutch and may have sired it.

    `earlier`: the clutch before of the same dam, of which he is a sire on record; None: the log alone puts him with her. `logged`: it does.
    """

    clutch: str
    male: str
    earlier: str | None = None
    logged: bool = False


class EvidenceRecord(Struct, frozen=True):
    """One record that takes part in a conflict: what kind, of which animal (or clutch), where it is written.

    `says`: the looks, the trait that was tested or claimed, or the parents. `copies`: what the test found.
    """

    kind: EvidenceKind
    subject: str
    place: Place
    says: tuple[str, ...] = ()
    copies: int = 0


class Conflict(Struct, frozen=True):
    """Records that cannot all be true, at one locus; without any one of them the others can (an irreducible set)."""

    species: str
    locus: str
    records: tuple[EvidenceRecord, ...]


class JointFigure(Struct, frozen=True):
    """A joint distribution: each outcome is a tuple of genotypes, one per question in the order asked, with its chance."""

    questions: tuple[tuple[str, str], ...]
    outcomes: tuple[tuple[tuple[Genotype, ...], Fraction], ...]

    def chance(self, holds: Callable[[tuple[Genotype, ...]], bool]) -> Fraction:
        return sum((chance for pairs, chance in self.outcomes if holds(pairs)), Fraction(0))
