"""A hand-made inference for tests of the words: figures, grounds and events are what the test says they are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from fractions import Fraction
from itertools import product
from typing import Literal, TypeAlias, cast

from msgspec import Struct, field

from clutchlight.genetics.inference import Inference
from clutchlight.genetics.kinship import CollectionKinship
from clutchlight.genetics.values import (
    Conflict,
    Event,
    Figure,
    Grounds,
    GroundsKind,
    JointFigure,
    NotComputed,
    OtherSire,
    Surprise,
)
from clutchlight.model import (
    Animal,
    Clutch,
    Collection,
    Genotype,
    Inheritance,
    LabTest,
    Locus,
    Reading,
    Recorded,
    Settings,
    Sire,
    Sires,
    Species,
    When,
    sire_called,
)
from clutchlight.problems import Place
from clutchlight.statements.answers import Answers
from clutchlight.statements.clutches import state_all
from clutchlight.statements.values import Statements

HERE = Place("animals/here.md", 3, 1)

PIEBALD = Locus("ball-python", "piebald", Inheritance.RECESSIVE, ("Piebald",))
CLOWN = Locus("ball-python", "clown", Inheritance.RECESSIVE, ("Clown",))
ALBINO = Locus(
    "ball-python",
    "albino",
    Inheritance.RECESSIVE,
    ("Albino", "Candy"),
    together={frozenset({"Albino", "Candy"}): "Candino"},
)
PASTEL = Locus("ball-python", "pastel", Inheritance.INCOMPLETE_DOMINANT, ("Pastel",))
PINSTRIPE = Locus("ball-python", "pinstripe", Inheritance.DOMINANT, ("Pinstripe",))
DIMMING = Locus("ball-python", "dimming", Inheritance.INCOMPLETE_DOMINANT, ("Dimming",), subtle=frozenset({"Dimming"}))

PYTHONS = Species(
    "ball-python",
    "Ball python",
    "Python regius",
    "XY",
    {locus.key: locus for locus in (PASTEL, PINSTRIPE, DIMMING, PIEBALD, CLOWN, ALBINO)},
    combos={"Killer Clown": ("Super Pastel", "Clown")},
)

Key: TypeAlias = tuple[str, str]


def figure(*chances: tuple[Genotype, Fraction | str]) -> Figure:
    return Figure(tuple((pair, Fraction(chance)) for pair, chance in chances))


def het(chance: Fraction | str) -> Figure:
    """One copy with this chance, else none."""
    wanted = Fraction(chance)
    parts = (((0, 0), 1 - wanted), ((0, 1), wanted))
    return Figure(tuple((pair, part) for pair, part in parts if part))


VISUAL = figure(((1, 1), "1"))


def day(text: str) -> When:
    return When.day(date.fromisoformat(text))


def reading(*shows: str, without: tuple[str, ...] = (), cannot_tell: tuple[str, ...] = ()) -> Reading:
    return Reading(shows, HERE, without=without, cannot_tell=cannot_tell)


def sire(*names: str) -> Sires:
    return Sires(
        "one" if len(names) == 1 else "one of", tuple((sire_called(name), Fraction(1, len(names))) for name in names)
    )


class Fake(Struct):
    """Answers as an inference does.

    `figures`: history by animal and locus, the first without an event; a missing one is "carries nothing".
    """

    collection: Collection
    figures: Mapping[Key, Sequence[tuple[Event | None, Figure]] | NotComputed] = field(default_factory=dict)
    why: Mapping[tuple[str, str, int], Grounds] = field(default_factory=dict)
    claimed_by: Mapping[Key, tuple[str, ...]] = field(default_factory=dict)
    background: frozenset[tuple[str, str, int]] = frozenset()
    joints: Mapping[tuple[Key, ...], JointFigure] = field(default_factory=dict)
    conflicts: tuple[Conflict, ...] = ()
    surprises: tuple[Surprise, ...] = ()
    tests_against_looks: tuple[tuple[str, LabTest], ...] = ()
    in_doubt: frozenset[tuple[str, str]] = frozenset()
    events: tuple[Event, ...] = ()
    like: Mapping[str, str] = field(default_factory=dict)
    inbred: Mapping[str, Fraction] = field(default_factory=dict)

    @property
    def as_inference(self) -> Inference:
        return cast("Inference", self)

    @property
    def kinship(self) -> CollectionKinship:
        found = CollectionKinship(self.collection)
        found.inbreeding = self.inbred
        return found

    def loci_in_play(self, species: str) -> tuple[Locus, ...]:
        return self.collection.species[species].computed_loci

    def now(self, animal: str, locus: str) -> Figure | NotComputed:
        found = self.figures.get((animal, locus), ())
        return found if isinstance(found, NotComputed) else found[-1][1] if found else het("0")

    def when_hatched(self, animal: str, locus: str) -> Figure | NotComputed:
        found = self.figures.get((animal, locus), ())
        return found if isinstance(found, NotComputed) else found[0][1] if found else het("0")

    def before_hatching(self, animal: str, locus: str) -> Figure | NotComputed | None:
        return None

    def at(self, animal: str, locus: str, day: date) -> Figure | NotComputed:
        found = self.figures.get((animal, locus), ())
        if isinstance(found, NotComputed):
            return found
        past = [value for event, value in found if event is None or event.on <= day]
        return past[-1] if past else het("0")

    def history(self, animal: str, locus: str) -> tuple[tuple[Event | None, Figure | NotComputed], ...]:
        found = self.figures.get((animal, locus), ())
        return ((None, found),) if isinstance(found, NotComputed) else tuple(found) or ((None, het("0")),)

    def grounds(self, animal: str, locus: str, allele: int) -> Grounds:
        return self.why.get((animal, locus, allele), Grounds("chance"))

    def proven_at(self, animal: str, locus: str, allele: int) -> Event | None:
        """The first event of what proves it: made-up records have no other."""
        by = self.grounds(animal, locus, allele).proven_by
        return next((event for event in self.events if event.subject == by), None)

    def certain_by(self, animal: str, locus: str, allele: int, event: Event | None) -> GroundsKind:
        return self.grounds(animal, locus, allele).kind

    def may_show(self, animal: str, locus: str, look: str) -> bool:
        return True

    def ruled_out(self, animal: str, locus: str, allele: int, *, two: bool = False) -> bool:
        return False

    def rests_on(self, animal: str, locus: str) -> tuple[str, ...]:
        return self.claimed_by.get((animal, locus), ())

    def background_only(self, animal: str, locus: str, allele: int) -> bool:
        return (animal, locus, allele) in self.background

    def joint(self, questions: Sequence[tuple[str, str]]) -> JointFigure | NotComputed:
        asked = tuple(questions)
        if asked in self.joints:
            return self.joints[asked]
        parts = [self.now(*question) for question in asked]
        pairs = [part.genotypes for part in parts if isinstance(part, Figure)]
        outcomes = []
        for combination in product(*pairs):
            chance = Fraction(1)
            for _, part in combination:
                chance *= part
            outcomes.append((tuple(pair for pair, _ in combination), chance))
        return JointFigure(asked, tuple(outcomes))

    def sires(self, clutch: str) -> tuple[tuple[Sire, Fraction], ...]:
        return self.collection.clutches[clutch].sires.candidates

    def possible_sires(self, clutch: str) -> tuple[Sire, ...]:
        return tuple(sire for sire, chance in self.sires(clutch) if chance)

    def sires_left_by_claims(self, clutch: str, young: str | None = None) -> tuple[str, ...]:
        return ()

    def unrecorded(self, animal: str, locus: str, allele: int, moment: object) -> Fraction | None:
        return None

    def one_of_several(self, animal: str, locus: str) -> Grounds:
        return Grounds("parentage")

    def beside_assumption(self, animal: str, locus: str, allele: int) -> tuple[Fraction, Fraction] | None:
        return None

    def claim_in_doubt(self, animal: str, locus: str) -> bool:
        return (animal, locus) in self.in_doubt

    def unrecorded_founders(self, animal: str, locus: str) -> tuple[str, ...]:
        return ()

    def sires_by_unrecorded(self, clutch: str) -> Fraction | None:
        return None

    def sires_of(self, animal: str) -> tuple[tuple[Sire, Fraction], ...]:
        record = self.collection.animals[animal]
        if record.clutch in self.collection.clutches:
            return self.sires(record.clutch or "")
        return ((Recorded(record.sire), Fraction(1)),) if record.sire else ()

    @property
    def others(self) -> Mapping[str, Mapping[str, str | None]]:
        return {}

    def if_one_sire(self, animal: str, locus: str, allele: int | None, *, two: bool = False) -> tuple[str, ...]:
        return ()

    def other_sires(
        self, animal: str, locus: str, allele: int | None, *, two: bool = False, kind: object = None
    ) -> tuple[OtherSire, ...]:
        return ()

    def others_may_have_sired(self, clutch: str) -> bool:
        return False

    def may_have_sired_all(self, clutch: str, male: str) -> bool:
        return False

    def two_copies_by(self, animal: str, locus: str, allele: int) -> Literal["look", "proven", "claim", "assumption"]:
        return "look"

    def copies_spared(self, clutch: str, male: str) -> int | None:
        return None


def stated(fake: Fake) -> Statements:
    return state_all(Answers(fake.as_inference))


def collection(
    animals: Sequence[Animal], clutches: Sequence[Clutch] = (), mention_from: Fraction = Fraction(1, 16)
) -> Collection:
    return Collection(
        Settings("Test room", "0b9e0e4e-0000-4000-8000-000000000000", ("ball-python",), mention_from=mention_from),
        {"ball-python": PYTHONS},
        {animal.id: animal for animal in animals},
        {clutch.id: clutch for clutch in clutches},
    )
