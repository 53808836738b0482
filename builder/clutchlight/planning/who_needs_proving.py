"""Who needs proving, which mating here proves most, and what hangs on it now.

Computes   for each animal here that may, and may not, carry a trait, and each mate here: the chance that one usual clutch settles it.
           Settled: the clutch forces the trait (certain whatever anybody claimed), or the chance falls under `doubt_below`.
Formula    a winter of one clutch: see `settling`.
           needed = the fewest hatchlings, all seen, none showing the trait, that bring the chance under `doubt_below`.
           misleads = P(it carries the trait and no hatchling shows it).
Assumes    the looks at the trait's own locus alone, as far as other looks do not hide it; hatchlings as the species file spreads them.
           Where one has only to look at the animal, no mating is asked about.
Cost       that of `settling`; where a clutch can come out in too many ways, what it would clear is left out.
Source     Bayes' theorem; published test-mating numbers: tests/published/test_test_matings.py.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence, Set
from fractions import Fraction
from functools import cache
from itertools import product
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.genetics.inference import Inference
from clutchlight.genetics.pairs import Together, TooManyPartsError
from clutchlight.genetics.states import Kind
from clutchlight.genetics.values import Figure, JointFigure
from clutchlight.model import Animal, Collection, Inheritance, Locus, Sex, Status
from clutchlight.model.animals import loci_undecided, surely_hidden
from clutchlight.model.private import Plan
from clutchlight.model.traits import Each, grouped
from clutchlight.planning.hatchlings import Hatchlings, hatchlings_of
from clutchlight.planning.hiding import Untold, hides
from clutchlight.planning.outcomes import PairHarm, harm_of_pair, hatching
from clutchlight.planning.proofs import Proofs
from clutchlight.planning.settling import MOST_NEEDED, AtOneLocus, Brood, Settled, State, TooManyOutcomesError
from clutchlight.planning.winter import open_alleles, with_hiders

BREEDING: tuple[Status, ...] = ("breeder", "holdback", "not for sale")
"""Statuses of animals that may be mated: not those for sale, promised, or still growing on."""


class TestMating(Struct, frozen=True):
    """A mate, and what one usual clutch with it would settle. `young`: how many hatchlings that is, as documents say it.

    `settles` = `proves` (forced) + `clears` (falls under `doubt_below` without being forced). `falls_to`: the chance after a usual
    clutch without the looks `shown`. `needed`: hatchlings without them that bring it under `doubt_below`, whichever looks they have; None:
    no number does. `hides`: some hatchlings cannot be told, and do not count among these.
    `mate_carries`: the mate's own chance; where it is under 1, two possible carriers are together and `misleads` matters most: how
    often such a clutch shows nothing though the animal carries the trait. `inbreeding`: Wright's F of the young. `harm`: what is known to
    harm young that the two can have. `shown`: the looks in which their young can show the trait, and those that rule it out; () where
    none can show it. `unheard`: what is seen of the mate counts for nothing in what is said of the animal.
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
    young: int | Literal["spread"]
    harm: tuple[PairHarm, ...] = ()
    shown: tuple[str, ...] = ()
    hides: bool = False
    unheard: bool = False


ToLook = Literal["look", "look again", "check"]
"""Look for the first time, or again; or see whether it has a trait that is harm, which it may."""


class ToProve(Struct, frozen=True):
    """An animal here that may carry a trait, and the matings that would tell, the best first, those that can harm young last.

    `by_a_visual`: how often a clutch with a bought or borrowed mate that shows the trait and carries nothing else would settle it; None:
    not asked. `young`: how many hatchlings that is, as documents say it.
    `look`: it is to be looked at first; no matings then.
    """

    animal: str
    locus: str
    trait: str
    now: Fraction
    young: int | Literal["spread"]
    matings: tuple[TestMating, ...]
    by_a_visual: Fraction | None = None
    look: ToLook | None = None


def proving(
    inference: Inference,
    only: Callable[[Animal, ToLook | None], bool] = lambda animal, look: True,
    planned: Set[tuple[str, str]] = frozenset(),
) -> tuple[ToProve, ...]:
    """Every animal and trait in question, the best first; or some of them, by the animal and whether it has only to be looked at.

    `planned`: males with females that are mates of each other whatever their status.
    Of mates that settle as much in as many hatchlings, one that breeds already goes before one that is held back to. What a mating
    settles counts for less by twice the inbreeding coefficient of its young: for half with a parent, a young or a full sibling.

    In question: a chance under 1 and not under `doubt_below`, resting on more than a background frequency. `inference.conflicts`
    must be empty.
    """
    collection = inference.collection
    here = [animal for animal in collection.animals.values() if animal.here]
    matings = Matings(inference)
    found: list[ToProve] = []
    fit = {one.id for one in here if one.status in BREEDING and not _affected(inference, one)}
    for animal in asked_of(here):
        opposite = {"male": "female", "female": "male"}.get(animal.sex)
        mates = [
            other
            for other in here
            if other.species == animal.species
            and other.sex == opposite
            and (other.id in fit or pair_of(animal.sex, animal.id, other.id) in planned)
        ]
        for locus, allele, now in open_questions(inference, animal):
            look = _look(inference, animal, locus, allele)
            if not only(animal, look):
                continue
            tested = (matings.test(animal, mate, locus, allele) for mate in (() if look else mates))
            telling = sorted(
                (mating for mating in tested if mating is not None),
                key=lambda mating: (*_rank(mating), collection.animals[mating.mate].status != "breeder", mating.mate),
            )
            young = hatchlings_of(collection.species[animal.species]).settled.told
            trait, visual = locus.alleles[allele - 1], None if look else matings.with_a_visual(animal, locus, allele)
            found.append(ToProve(animal.id, locus.key, trait, now, young, tuple(telling), visual, look))
    return best_first(found)


def pair_of(sex: Sex, one: Each, mate: Each) -> tuple[Each, Each]:
    """One of this sex and its mate: the male, then the female."""
    return (one, mate) if sex == "male" else (mate, one)


def asked_of(animals: Iterable[Animal]) -> Iterator[Animal]:
    """Those to ask about: of identical twins, of which one answer holds, those that breed, or else one."""
    for twins in grouped((animal.egg or animal.id, animal) for animal in animals).values():
        yield from [animal for animal in twins if animal.status in BREEDING] or twins[:1]


def best_first(found: Iterable[ToProve]) -> tuple[ToProve, ...]:
    """That with the best mating first; ties by fewest hatchlings needed, then id."""
    return tuple(
        sorted(found, key=lambda one: (*(_rank(one.matings[0]) if one.matings else _LAST), one.animal, one.locus))
    )


def open_questions(inference: Inference, animal: Animal) -> Iterator[tuple[Locus, int, Fraction]]:
    """The traits of an animal that are in question, with their chances."""
    for locus in inference.loci_in_play(animal.species):
        for allele, now in open_alleles(inference, animal.id, locus):
            yield locus, allele, now


_LAST = (True, Fraction(1), MOST_NEEDED + 2)


def _rank(mating: TestMating) -> tuple[bool, Fraction, int]:
    needed = MOST_NEEDED + 1 if mating.needed is None else mating.needed
    return bool(mating.harm), mating.settles * (2 * mating.inbreeding - 1), needed


def _look(inference: Inference, animal: Animal, locus: Locus, allele: int) -> ToLook | None:
    """Whether its own look would tell, which is not on record, or not of this locus; None where it cannot, or did not when asked again."""
    figure, reading = inference.now(animal.id, locus.key), animal.reading
    species = inference.collection.species[animal.species]
    if not isinstance(figure, Figure):
        return None
    if reading is not None and locus.key in surely_hidden(reading, species):
        return None
    if len(animal.readings) > 1 and locus.key in loci_undecided(animal.readings[-1], species):
        return None
    if locus.affects and figure.chance(lambda pair: bool(locus.look_of[pair])):
        return "check"
    if any(locus.tells(locus.look_of[pair], allele) != (allele in pair) for pair, _ in figure.genotypes):
        return None
    return "look" if reading is None or reading.shows is None else "look again"


def _affected(inference: Inference, animal: Animal) -> bool:
    """Whether it shows a trait that is harm: such an animal is not put to anybody to find something out."""
    shown = animal.reading.shows if animal.reading is not None else None
    return inference.collection.species[animal.species].is_harm(shown or ())


class Matings:
    """Test matings of one collection. A room holds many pairs of like figures: their sums are gone through once."""

    def __init__(self, inference: Inference) -> None:
        self.inference = inference
        self._animals = inference.collection.animals
        self._states = cache(self._states_of)
        self._harm, self._hatchlings = cache(self._harm_of), cache(self._hatching)
        self._answers: dict[Hashable, TestMating] = {}

    def test(self, animal: Animal, mate: Animal, locus: Locus, allele: int) -> TestMating | None:
        """What a clutch of the two would say; None where it can say nothing, or a figure of theirs is not computed."""
        sire, dam = pair_of(animal.sex, animal, mate)
        if len({look for _, look in self._looks(sire, dam, locus)}) == 1:
            return None
        proofs, member = self._proofs(sire, dam, locus, (animal.id,)), int(animal.sex == "female")
        if proofs is None:
            return None
        answer = self._answer(*proofs, member, allele)
        if answer is None:
            return None
        harm = self._harm(sire.id, dam.id)
        unheard = self.inference.figures_of(sire.id, dam.id).stands_apart(mate.id)
        if unheard and (as_they_are := self._proofs(sire, dam, locus, None)):
            at = as_they_are[0].before(as_they_are[1])
            misleads = at.none_shown(member, allele)[0] if at else Fraction(0)
            carries = as_they_are[0].now(1 - member, as_they_are[1], allele)
            answer = replace(answer, mate_carries=carries, misleads=misleads)
        return replace(
            answer, mate=mate.id, inbreeding=self.inference.kinship.of_pair(sire.id, dam.id), harm=harm, unheard=unheard
        )

    def may_hide(self, animal: Animal, mate: Animal, locus: Locus) -> bool:
        """Whether young of the two may show a look that hides the locus."""
        return len(self._with_hiders(*pair_of(animal.sex, animal, mate), locus)) > 1

    def needed(self, animal: Animal, mate: Animal, locus: Locus, allele: int) -> int | None:
        """As in `TestMating`, without the rest of it."""
        proofs = self._proofs(*pair_of(animal.sex, animal, mate), locus, (animal.id,))
        at = proofs and proofs[0].before(proofs[1])
        below = self.inference.collection.settings.doubt_below
        return at.needed(int(animal.sex == "female"), allele, below) if at else None

    def _proofs(
        self, sire: Animal, dam: Animal, locus: Locus, heard: Sequence[str] | None
    ) -> tuple[Proofs, int] | None:
        """What a clutch of the two would prove, and where in it the locus is; None where it is not computed. `heard`: as in `Together`."""
        loci = self._with_hiders(sire, dam, locus)
        figures = self.inference.figures_of(sire.id, dam.id)
        together = Together(figures, (sire.id, dam.id), ("male", "female"), loci, heard)
        position = next((at for at, one in enumerate(together.loci) if one.key == locus.key), None)
        try:
            if position is None or not together.groups:
                return None
            return Proofs(together, self._hatchlings(sire.id, dam.id)), position
        except TooManyPartsError:
            return None

    def with_a_visual(self, animal: Animal, locus: Locus, allele: int) -> Fraction | None:
        """How often a clutch with a mate that shows a recessive trait and carries nothing else would settle it; None where that is no
        plain question."""
        if (
            locus.inheritance is not Inheritance.RECESSIVE
            or locus.sex_linked
            or locus.affects
            or (allele, allele) not in locus.look_of
        ):
            return None
        if animal.sex == "unknown" or self._may_hide(animal, locus):
            return None
        alone = Together(self.inference.figures_of(animal.id), (animal.id,), (animal.sex,), [locus.key])
        if alone.not_computed:
            return None
        states = alone.states[0]
        (visual,) = states.members(states.mask(lambda pair: pair == (allele, allele)))
        sire, dam = pair_of(animal.sex, 0, 1)
        told: tuple[Untold, ...] = ((Fraction(0),),)
        young = hatchlings_of(self.inference.collection.species[animal.species])
        brood = Brood(((sire, Fraction(1)),), dam, False, (young,))
        rows: dict[State, Fraction] = {((own, visual), told): chance for (own,), chance in alone.rows_at(0)}
        possible = [(own, visual) for (own,) in alone.possible_at(0)]
        at = AtOneLocus(states, rows, possible, (brood,))
        try:
            return at.settled(0, allele, self.inference.collection.settings.doubt_below)[0].in_all
        except TooManyOutcomesError:
            return None

    def _looks(self, sire: Animal, dam: Animal, locus: Locus) -> Iterator[Kind]:
        """The kinds of young that the figures of the two, each by itself, give a chance."""
        world = self.inference.figures_of(sire.id).world
        states = world.states[world.position[locus.key]]
        for pair in product(self._states(sire.id, "male", locus.key), self._states(dam.id, "female", locus.key)):
            yield from states.kinds(*pair)

    def _may_hide(self, animal: Animal, locus: Locus) -> bool:
        """Whether the animal may hand on something that hides this locus in young with one copy of it."""
        in_play = {one.key for one in self.inference.loci_in_play(animal.species)}
        species = self.inference.collection.species[animal.species]
        for key in in_play.intersection(with_hiders(species, [locus.key])) - {locus.key}:
            figure, hider = self.inference.now(animal.id, key), species.loci[key]
            if not isinstance(figure, Figure):
                return True
            handed_on = {allele for pair, _ in figure.genotypes for allele in pair if allele}
            looks = (hider.look_of.get((0, allele), tuple(hider.looks)) for allele in handed_on)
            if any(hider.sex_linked or hides(hider, look) for look in looks):
                return True
        return False

    def _with_hiders(self, sire: Animal, dam: Animal, locus: Locus) -> list[str]:
        """The locus, and those at which the young of the two may show a look that hides something."""
        species = self.inference.collection.species[sire.species]
        in_play = {one.key for one in self.inference.loci_in_play(sire.species)}

        def may_hide(other: Locus) -> bool:
            return other.key in in_play and any(hides(other, look) for _, look in self._looks(sire, dam, other))

        found = with_hiders(species, [locus.key])
        return [key for key in found if key == locus.key or may_hide(species.loci[key])]

    def _answer(self, proofs: Proofs, locus: int, member: int, allele: int) -> TestMating | None:
        """As `test`, of nobody in particular: the same for all pairs of the same figures."""
        at = proofs.before(locus)
        if at is None:
            return None
        hidden = {row: untold for row in at.rows for untold in row[1][0]}
        seen = {kind for row, untold in hidden.items() if untold < 1 for kind in proofs.of(locus, row[0], 0)}
        if not seen or (len(seen) == 1 and not any(hidden.values())):
            return None
        together = proofs.together
        possible = frozenset(together.possible(locus, way) for way in together.ways)
        asked_of = together.species.key, together.loci[locus].key, member, allele
        key = asked_of, frozenset(at.rows.items()), possible, at.broods
        if key not in self._answers:
            below = self.inference.collection.settings.doubt_below
            try:
                (settled,) = at.settled(member, allele, below)
            except TooManyOutcomesError:
                settled = Settled(proofs.forced(member, locus, allele) or Fraction(0), Fraction(0))
            self._answers[key] = TestMating(
                mate="",
                mate_carries=proofs.now(1 - member, locus, allele),
                settles=settled.in_all,
                proves=settled.proves,
                clears=settled.clears,
                falls_to=at.if_none(member, allele),
                needed=at.needed(member, allele, below),
                misleads=at.none_shown(member, allele)[0],
                inbreeding=Fraction(0),
                young=proofs.hatchlings.told,
                shown=at.shown(member, allele),
                hides=at.hidden(),
            )
        return self._answers[key]

    def _states_of(self, animal: str, role: Sex, locus: str) -> tuple[int, ...]:
        """The states that its own figure gives a chance, or its young's: all that a pair with it can have, and perhaps more."""
        figures, found = self.inference.figures_of(animal), dict[int, None]()
        for heard in ((animal,), ()) if figures.stands_apart(animal) else ((animal,),):
            alone = Together(figures, (animal,), (role,), [locus], heard)
            found.update(dict.fromkeys(state for (state,), _ in alone.rows_at(0)) if alone.loci else {})
        return tuple(found)

    def _hatching(self, sire: str, dam: str) -> Hatchlings:
        species = self.inference.collection.species[self._animals[dam].species]
        return hatching(self.inference, [(sire, Fraction(1))], dam, hatchlings_of(species))

    def _harm_of(self, sire: str, dam: str) -> tuple[PairHarm, ...]:
        return harm_of_pair(self.inference, self._animals[sire], self._animals[dam])


# What hangs on a question


About = tuple[str, str]
"""An animal and a trait of it."""


class Stake(Struct, frozen=True):
    """What hangs on a question. `plans`: mates it is planned with; `promised`, `offered`: animals whose figure it moves, by id."""

    plans: tuple[str, ...] = ()
    promised: tuple[str, ...] = ()
    offered: tuple[str, ...] = ()


def at_stake(
    inference: Inference, to_prove: Sequence[ToProve], plans: Iterable[Plan], promised: Iterable[str]
) -> Mapping[About, Stake]:
    """By animal and trait, the questions that something hangs on now: an open plan, an animal that is promised, a price.

    A plan hangs on a question about one of its animals when it wants that trait, or is there to prove and a clutch of the two would tell. A
    promised or offered animal hangs on a question about itself, about its recorded parents and about the founders whose claims its figure
    rests on, where the answer moves its own chance; a question about one of identical twins is about the other as well.
    """
    collection, held = inference.collection, frozenset(promised)
    hangs: list[tuple[About, tuple[str, str]]] = []
    telling = {(one.animal, one.trait): {mating.mate for mating in one.matings} for one in to_prove}
    for plan in plans:
        for animal, mates in ((plan.female, plan.every_male), *((male, (plan.female,)) for male in plan.every_male)):
            for (name, trait), tell in telling.items():
                asks = trait in plan.want or (plan.purpose == "prove" and not tell.isdisjoint(mates))
                if name in _twins(collection, animal) and asks:
                    hangs += [((name, trait), ("plans", mate)) for mate in mates]
    by_locus = grouped(((collection.animals[one.animal].species, one.locus), one) for one in to_prove)
    for animal_, record in collection.animals.items():
        if not record.here or not (animal_ in held or record.status in ("available", "on hold")):
            continue
        for (species, locus), questions in by_locus.items():
            if species != record.species:
                continue
            about = _hangs_on(inference, collection, animal_, locus)
            for one in questions:
                if one.animal in about and _moves(inference, animal_, one):
                    hangs.append(((one.animal, one.trait), ("promised" if animal_ in held else "offered", animal_)))
    return {about: Stake(**grouped(dict.fromkeys(found))) for about, found in grouped(hangs).items()}


def _hangs_on(inference: Inference, collection: Collection, animal: str, locus: str) -> frozenset[str]:
    about = (animal, *collection.parents_of(animal), *inference.rests_on(animal, locus))
    return frozenset(twin for name in about for twin in _twins(collection, name))


def _twins(collection: Collection, animal: str) -> tuple[str, ...]:
    """The animal and its identical twins; itself alone where no record has it."""
    record = collection.animals.get(animal)
    return (animal,) if record is None else collection.eggs[record.egg or animal]


def _moves(inference: Inference, animal: str, one: ToProve) -> bool:
    """Whether the animal's own chance is another one if what is asked is so than if it is not."""
    joint = inference.joint(((animal, one.locus), (one.animal, one.locus)))
    if not isinstance(joint, JointFigure):
        return False
    locus = inference.collection.species[inference.collection.animals[animal].species].loci[one.locus]
    allele = locus.allele_number(one.trait)
    asked = joint.chance(lambda pairs: allele in pairs[1])

    def moves(own: int) -> bool:
        both = joint.chance(lambda pairs: own in pairs[0] and allele in pairs[1])
        return both != asked * joint.chance(lambda pairs: own in pairs[0])

    return any(map(moves, range(1, len(locus.alleles) + 1)))
