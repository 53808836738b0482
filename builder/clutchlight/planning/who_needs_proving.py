"""Who needs proving, and which mating here proves most.

Computes   for each animal here that may, and may not, carry a trait, and each mate here: the chance that one usual clutch settles it.
           Settled: the clutch forces the trait (certain whatever anybody claimed), or the chance falls under `doubt_below`.
Formula    a winter of one clutch: see `settling`.
           needed = the fewest hatchlings, all seen, none showing the trait, that bring the chance under `doubt_below`.
           misleads = P(it carries the trait and no hatchling shows it).
Assumes    the looks at the trait's own locus alone, all of them told; hatchlings as the species file spreads them.
Cost       that of `settling`; where a clutch can come out in too many ways, what it would clear is left out.
Source     Bayes' theorem; published test-mating numbers: tests/published/test_test_matings.py.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product

from clutchlight.genetics.inference import Inference
from clutchlight.genetics.pairs import Together
from clutchlight.genetics.pedigree import Kinship
from clutchlight.genetics.values import Figure
from clutchlight.model import Animal, Inheritance, Locus, Sex, Status
from clutchlight.planning.crosses import Cross
from clutchlight.planning.hatchlings import Hatchlings, UsualClutch, hatchlings_of, usual_clutch
from clutchlight.planning.hiding import Untold
from clutchlight.planning.proofs import Proofs
from clutchlight.planning.settling import Brood, Settling, State, TooManyOutcomesError
from clutchlight.planning.winter import possible_at

BREEDING: tuple[Status, ...] = ("breeder", "holdback", "not for sale")
"""Statuses of animals that may be mated: not those for sale, promised, or still growing on."""

MOST_NEEDED = 1000
"""The most hatchlings that are tried."""


@dataclass(frozen=True, slots=True)
class TestMating:
    """A mate, and what one usual clutch with it would settle.

    `settles` = `proves` (forced) + `clears` (falls under `doubt_below` without being forced). `falls_to`: the chance after a usual
    clutch without the trait. `needed`: hatchlings without the trait that bring it under `doubt_below`; None: no number does.
    `mate_carries`: the mate's own chance; where it is under 1, two possible carriers are together and `misleads` matters most: how
    often such a clutch shows nothing though the animal carries the trait. `inbreeding`: Wright's F of the young.
    """

    __test__ = False  # not a test case, whatever its name begins with

    mate: str
    mate_carries: Fraction
    settles: Fraction
    proves: Fraction
    clears: Fraction
    falls_to: Fraction | None
    needed: int | None
    misleads: Fraction
    inbreeding: Fraction


@dataclass(frozen=True, slots=True)
class ToProve:
    """An animal here that may carry a trait, and the matings that would tell, the best first.

    `by_a_visual`: how often a clutch with a mate that shows the trait, bought or borrowed, would settle it; None: not asked.
    """

    animal: str
    locus: str
    trait: str
    now: Fraction
    clutch: UsualClutch
    matings: tuple[TestMating, ...]
    by_a_visual: Fraction | None = None


def proving(inference: Inference) -> tuple[ToProve, ...]:
    """Every animal and trait in question, that with the best mating first; ties by fewest hatchlings needed, then id.

    Of mates that settle as much in as many hatchlings, one that breeds already goes before one that is held back to.

    In question: a chance under 1 and not under `doubt_below`, resting on more than a background frequency. `inference.conflicts`
    must be empty.
    """
    collection = inference.collection
    here = [animal for animal in collection.animals.values() if animal.here]
    matings = _Matings(inference)
    found: list[ToProve] = []
    for animal in here:
        mates = [
            other
            for other in here
            if other.species == animal.species
            and animal.sex != "unknown"
            and other.sex == ("female" if animal.sex == "male" else "male")
            and other.status in BREEDING
            and not _affected(inference, other)
        ]
        for locus, allele, now in _open_traits(inference, animal):
            tested = (matings.test(animal, mate, locus, allele) for mate in mates)
            telling = sorted(
                (mating for mating in tested if mating is not None),
                key=lambda mating: (*_rank(mating), collection.animals[mating.mate].status != "breeder", mating.mate),
            )
            clutch = usual_clutch(collection.species[animal.species])
            trait, visual = locus.alleles[allele - 1], matings.with_a_visual(animal, locus, allele)
            found.append(ToProve(animal.id, locus.key, trait, now, clutch, tuple(telling), visual))
    return tuple(
        sorted(found, key=lambda one: (*(_rank(one.matings[0]) if one.matings else _LAST), one.animal, one.locus))
    )


_LAST = (Fraction(1), MOST_NEEDED + 2)


def _rank(mating: TestMating) -> tuple[Fraction, int]:
    return -mating.settles, MOST_NEEDED + 1 if mating.needed is None else mating.needed


def _affected(inference: Inference, animal: Animal) -> bool:
    """Whether it shows a trait that is harm: such an animal is not put to anybody to find something out."""
    shown = animal.reading.shows if animal.reading is not None else None
    return not inference.collection.species[animal.species].harmful_looks.isdisjoint(shown or ())


def _open_traits(inference: Inference, animal: Animal) -> Iterator[tuple[Locus, int, Fraction]]:
    below = inference.collection.settings.doubt_below
    for locus in inference.loci_in_play(animal.species):
        figure = inference.now(animal.id, locus.key)
        if not isinstance(figure, Figure):
            continue
        for allele in range(1, len(locus.alleles) + 1):
            now = figure.carries(allele)
            if below <= now < 1 and not inference.background_only(animal.id, locus.key, allele):
                yield locus, allele, now


class _Matings:
    """Test matings of one collection. A room holds many pairs of like figures: their sums are gone through once."""

    def __init__(self, inference: Inference) -> None:
        self.inference = inference
        self._kinship: dict[str, Kinship] = {}
        self._crosses: dict[tuple[str, str], Cross] = {}
        self._states: dict[tuple[str, str], tuple[int, ...]] = {}
        self._answers: dict[Hashable, TestMating] = {}

    def test(self, animal: Animal, mate: Animal, locus: Locus, allele: int) -> TestMating | None:
        """What a clutch of the two would say; None where it can say nothing, or a figure of theirs is not computed."""
        sire, dam = (animal, mate) if animal.sex == "male" else (mate, animal)
        together = Together(self.inference.figures_of(animal.id), (sire.id, dam.id), ("male", "female"), [locus.key])
        if together.not_computed:
            return None
        cross = self._cross(animal.species, locus, together)
        pairs = product(self._may_have(sire, "male", locus), self._may_have(dam, "female", locus))
        if len({kind for pair in pairs for kind in cross.kinds(*pair)}) == 1:
            return None
        answer = self._answer(Proofs(together, (cross,), self._young(animal)), int(animal.sex == "female"), allele)
        if answer is None:
            return None
        return replace(answer, mate=mate.id, inbreeding=self._related(sire, dam))

    def with_a_visual(self, animal: Animal, locus: Locus, allele: int) -> Fraction | None:
        """How often a clutch with a mate that shows a recessive trait would settle it; None where that is no plain question."""
        if (
            locus.inheritance is not Inheritance.RECESSIVE
            or locus.sex_linked
            or locus.affects
            or (allele, allele) not in locus.look_of
        ):
            return None
        if animal.sex == "unknown":
            return None
        alone = Together(self.inference.figures_of(animal.id), (animal.id,), (animal.sex,), [locus.key])
        if alone.not_computed:
            return None
        states = alone.states[0]
        (visual,) = states.members(states.mask(lambda pair: pair == (allele, allele)))
        sire, dam = (0, 1) if animal.sex == "male" else (1, 0)
        told: tuple[Untold, ...] = ((Fraction(0),),)
        brood = Brood(((sire, Fraction(1)),), dam, False, (self._young(animal),))
        rows: dict[State, Fraction] = {
            ((own, visual), told): chance
            for group in alone.groups
            for part in group.parts
            for (own,), chance in part.tables[0]
        }
        possible = [(own, visual) for (own,) in possible_at(alone, 0)]
        cross = self._cross(animal.species, locus, alone)
        below = self.inference.collection.settings.doubt_below
        try:
            settling = Settling(rows, possible, cross.kinds, (brood,))
        except TooManyOutcomesError:
            return None
        (found,) = settling.settled(0, lambda state: allele in states.pairs[state], below)
        return found.in_all

    def _answer(self, proofs: Proofs, member: int, allele: int) -> TestMating | None:
        """As `test`, of nobody in particular: the same for all pairs of the same figures."""
        if len(proofs.kinds(0)) == 1:
            return None
        possible = frozenset(proofs.together.possible(0, way) for way in proofs.together.ways)
        key = (
            proofs.together.species.key,
            proofs.crosses[0].locus.key,
            member,
            allele,
            frozenset(proofs.at(0)),
            possible,
        )
        if key not in self._answers:
            test = OneTrait(proofs, member, 0, allele)
            below = self.inference.collection.settings.doubt_below
            proves, clears = test.settled(below)
            self._answers[key] = TestMating(
                mate="",
                mate_carries=proofs.now(1 - member, 0, allele),
                settles=proves + clears,
                proves=proves,
                clears=clears,
                falls_to=proofs.if_none(member, 0, allele),
                needed=test.needed(below),
                misleads=proofs.none_shown(member, 0, allele)[0],
                inbreeding=Fraction(0),
            )
        return self._answers[key]

    def _may_have(self, animal: Animal, role: Sex, locus: Locus) -> tuple[int, ...]:
        """The states that its own figure gives a chance: all that a pair with it can have, and perhaps more."""
        key = (animal.id, locus.key)
        if key not in self._states:
            alone = Together(self.inference.figures_of(animal.id), (animal.id,), (role,), [locus.key])
            tables = (table for group in alone.groups for part in group.parts for table in part.tables)
            self._states[key] = tuple(state for table in tables for (state,), _ in table)
        return self._states[key]

    def _young(self, animal: Animal) -> Hatchlings:
        return hatchlings_of(self.inference.collection.species[animal.species])

    def _related(self, sire: Animal, dam: Animal) -> Fraction:
        """Wright's F of their young."""
        pedigree = self.inference.figures_of(sire.id).world.pedigree
        if sire.species not in self._kinship:
            self._kinship[sire.species] = Kinship(pedigree)
        return self._kinship[sire.species].kinship(pedigree.egg_of[sire.id], pedigree.egg_of[dam.id])

    def _cross(self, species: str, locus: Locus, together: Together) -> Cross:
        if (species, locus.key) not in self._crosses:
            self._crosses[species, locus.key] = Cross(locus, together.states[0])
        return self._crosses[species, locus.key]


class OneTrait:
    """One trait of one of two parents, before a clutch of theirs."""

    def __init__(self, proofs: Proofs, member: int, locus: int, allele: int) -> None:
        self.proofs = proofs
        self.member = member
        self.locus = locus
        self.allele = allele
        self.rows = proofs.at(locus)

    def settled(self, below: Fraction) -> tuple[Fraction, Fraction]:
        """The chances that a clutch forces the trait, and that it brings its chance under `below` without forcing it."""
        told: tuple[Untold, ...] = ((Fraction(0),),)
        brood = Brood(((0, Fraction(1)),), 1, False, (self.proofs.hatchlings,))
        rows = {(members, told): chance for members, chance in self.rows}
        young = self.proofs.crosses[self.locus].kinds
        try:
            possible = possible_at(self.proofs.together, self.locus)
            (found,) = Settling(rows, possible, young, (brood,)).settled(self.member, self._has, below)
        except TooManyOutcomesError:
            return self.proofs.forced(self.member, self.locus, self.allele) or Fraction(0), Fraction(0)
        return found.proves, found.clears

    def _has(self, state: int) -> bool:
        return self.proofs.has(self.locus, state, self.allele)

    def needed(self, below: Fraction) -> int | None:
        """The fewest hatchlings without the trait that bring its chance under `below`; None: no number up to MOST_NEEDED does."""
        silent = [
            (
                chance,
                self.proofs.not_showing(self.locus, members, self.allele, 0),
                self.proofs.has(self.locus, members[self.member], self.allele),
            )
            for members, chance in self.rows
        ]
        highest = max(share for _, share, _ in silent)
        lasting = [(chance, carries) for chance, share, carries in silent if share == highest]
        if sum(c for c, carries in lasting if carries) >= below * sum(c for c, _ in lasting):
            return self._first_under(silent, below, 60)
        return self._first_under(silent, below, MOST_NEEDED)

    def _first_under(self, silent: list[tuple[Fraction, Fraction, bool]], below: Fraction, most: int) -> int | None:
        weights = [chance for chance, _, _ in silent]
        for young in range(most + 1):
            carries = sum((w for w, (_, _, has) in zip(weights, silent, strict=True) if has), Fraction(0))
            whole = sum(weights, Fraction(0))
            if not whole:
                return None
            if carries < below * whole:
                return young
            weights = [w * share for w, (_, share, _) in zip(weights, silent, strict=True)]
        return None
