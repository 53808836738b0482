"""Who there is, and what is known of each at a moment: founders and eggs with the evidence in force.

A *founder* is a recorded animal without parents, a parent written in place, a missing parent (one for each animal) or
an unknown sire (one for each clutch). An *egg* is everything that hatched: one animal, identical twins, or one
hatchling of a tally.

Events sort by date, then hatching before looks read again, before tests, before withdrawals, then id. A moment is the
number of events that have happened, so that `0` is the beginning: founders' undated looks and all claims.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from functools import cache

from msgspec import Struct
from tests.oracle.case import NONE, UNKNOWN, Animal, Case, Claim, Clutch, LabTest, Locus, Look, Parent, Sex
from tests.oracle.looks_of_genotypes import Pair, open_genotypes

HATCHING, LOOK, TEST, WITHDRAWAL = range(4)


class Event(Struct, frozen=True, order=True):
    """Something dated: `id` is the clutch or the animal, `number` the look, test or claim of that animal."""

    on: date
    kind: int
    id: str
    number: int = 0


class Founder(Struct, frozen=True):
    """An animal without parents; `allowed` are the genotypes at each locus that its own look leaves."""

    key: str
    sex: Sex | None
    allowed: tuple[frozenset[Pair], ...]
    claims: tuple[Claim, ...]
    tests: tuple[LabTest, ...]


class Egg(Struct, frozen=True):
    """A hatched egg. `sires` are its alternatives with their chances (a key of `Population`, or `none`); `clutch` is
    set where one of several was drawn for the whole clutch. `allowed` are the genotypes that its looks leave."""

    key: str
    members: tuple[str, ...]
    sex: Sex | None
    sires: tuple[tuple[str, Fraction], ...]
    clutch: str
    mixed: bool
    dam: str
    complete: bool
    allowed: tuple[frozenset[Pair], ...]
    tests: tuple[LabTest, ...]


def parents_of(egg: Egg) -> tuple[str, ...]:
    """Everyone who may be a parent of the egg."""
    return (*(name for name, _ in egg.sires if name != NONE), egg.dam)


def events(case: Case) -> tuple[Event, ...]:
    """All dated evidence, in order."""
    found = [Event(clutch.hatched, HATCHING, clutch.id) for clutch in case.clutches]
    for animal in case.animals:
        if animal.clutch is None and not animal.founder and animal.hatched is not None:
            found.append(Event(animal.hatched, HATCHING, animal.id))
        found += [Event(look.on, LOOK, animal.id, n) for n, look in enumerate(animal.readings) if look.on is not None]
        found += [Event(test.on, TEST, animal.id, n) for n, test in enumerate(animal.tests)]
        found += [
            Event(claim.withdrawn, WITHDRAWAL, animal.id, n)
            for n, claim in enumerate(animal.claims)
            if claim.withdrawn is not None
        ]
    return tuple(sorted(found))


def moment(case: Case, day: date) -> int:
    """The number of events dated on or before the day."""
    return sum(event.on <= day for event in events(case))


class Population:
    """Founders and eggs of a case at a moment (default: now); every parent stands before its young."""

    def __init__(self, case: Case, upto: int | None = None) -> None:
        happened = events(case) if upto is None else events(case)[:upto]
        self.case = case
        self._happened = frozenset((event.kind, event.id, event.number) for event in happened)
        self._sexes = _sexes_by_role(case)
        self.founders: dict[str, Founder] = {}
        self.eggs: dict[str, Egg] = {}
        self.unit_of: dict[str, str] = {}
        pending: list[Egg] = []
        for animal in case.animals:
            if animal.founder:
                self.founders[animal.id] = self._founder(animal)
                self.unit_of[animal.id] = animal.id
            elif animal.clutch is None:
                pending.append(self._single(animal))
        for clutch in case.clutches:
            if any(name == UNKNOWN for name, _ in clutch.sires):
                self._unseen(f"{clutch.id}:sire", "male")
            pending += self._clutch_eggs(clutch)
        for egg in pending:
            self.unit_of |= dict.fromkeys(egg.members, egg.key)
        for egg in _parents_first(pending, self.unit_of, frozenset(self.founders)):
            self.eggs[egg.key] = egg

    def sex_of(self, animal: str) -> Sex | None:
        """Recorded, or fixed by being a parent."""
        return self._sexes.get(animal)

    def _founder(self, animal: Animal) -> Founder:
        claims = tuple(
            claim for number, claim in enumerate(animal.claims) if (WITHDRAWAL, animal.id, number) not in self._happened
        )
        return Founder(animal.id, self.sex_of(animal.id), self._open(self._look(animal)), claims, self._tests(animal))

    def _unseen(self, key: str, sex: Sex, parent: Parent | None = None) -> str:
        given = parent or Parent()
        self.founders[key] = Founder(key, sex, self._open(given.look), given.claims, ())
        return key

    def _single(self, animal: Animal) -> Egg:
        """A young whose clutch is not on record: looks rule out, they do not weigh."""
        parents: list[str] = []
        roles: tuple[tuple[str, str | Parent | None, Sex], ...] = (
            ("sire", animal.sire, "male"),
            ("dam", animal.dam, "female"),
        )
        for role, parent, sex in roles:
            if isinstance(parent, str):
                parents.append(parent)
            else:
                parents.append(self._unseen(f"{animal.id}:{role}", sex, parent))
        return Egg(
            animal.id,
            (animal.id,),
            self.sex_of(animal.id),
            ((parents[0], Fraction(1)),),
            "",
            False,
            parents[1],
            False,
            self._open(self._look(animal)),
            self._tests(animal),
        )

    def _clutch_eggs(self, clutch: Clutch) -> Iterator[Egg]:
        sires = tuple((f"{clutch.id}:sire" if name == UNKNOWN else name, chance) for name, chance in clutch.sires)
        complete = clutch.complete and clutch.to_sort == 0
        aside = frozenset(clutch.set_aside)
        doubtful = clutch.id if len(sires) > 1 and not clutch.mixed else ""

        def egg(key: str, members: list[Animal], sex: Sex | None, looks: list[Look]) -> Egg:
            allowed = [self._open(look, aside) for look in looks] or [self._open(Look())]
            common = tuple(frozenset.intersection(*sets) for sets in zip(*allowed, strict=True))
            tests = self._tests(*members)
            names = tuple(animal.id for animal in members)
            return Egg(key, names, sex, sires, doubtful, clutch.mixed, clutch.dam, complete, common, tests)

        young = [animal for animal in self.case.animals if animal.clutch == clutch.id]
        for first in young:
            if first.same_egg_as is not None:
                continue
            members = [first, *(animal for animal in young if animal.same_egg_as == first.id)]
            sex = next((found for animal in members if (found := self.sex_of(animal.id)) is not None), None)
            yield egg(first.id, members, sex, [self._look(animal) for animal in members])
        hatched = (HATCHING, clutch.id, 0) in self._happened
        for number, tally in enumerate(clutch.tally):
            for each in range(tally.count):
                looks = [tally.look] if hatched else []
                yield egg(f"{clutch.id}:tally:{number}:{each}", [], tally.sex, looks)

    def _look(self, animal: Animal) -> Look:
        """The last reading in force: an undated one holds from the hatching, a founder's from the beginning."""
        current = Look()
        born = animal.founder or (HATCHING, animal.clutch or animal.id, 0) in self._happened
        if animal.clutch is None and not animal.founder and animal.hatched is None:
            born = True
        for number, reading in enumerate(animal.readings):
            if born if reading.on is None else (LOOK, animal.id, number) in self._happened:
                current = reading.look
        return current

    def _tests(self, *animals: Animal) -> tuple[LabTest, ...]:
        """The tests of an egg's animals so far that count: of those that may err, the last of a trait by a laboratory."""
        dated = sorted(
            (Event(test.on, TEST, animal.id, number), test)
            for animal in animals
            for number, test in enumerate(animal.tests)
            if (TEST, animal.id, number) in self._happened
        )
        last = {(test.trait, test.lab): event for event, test in dated if test.error}
        return tuple(test for event, test in dated if not test.error or last[test.trait, test.lab] == event)

    def _open(self, look: Look, aside: frozenset[str] = frozenset()) -> tuple[frozenset[Pair], ...]:
        loci = self.case.loci
        given, unseen = _open_sets(loci, look), _open_sets(loci, Look())
        return tuple((unseen if locus.name in aside else given)[locus.name] for locus in loci)


@cache
def _open_sets(loci: tuple[Locus, ...], look: Look) -> dict[str, frozenset[Pair]]:
    return open_genotypes(loci, look)


def _sexes_by_role(case: Case) -> dict[str, Sex]:
    sexes: dict[str, Sex] = {animal.id: animal.sex for animal in case.animals if animal.sex is not None}
    for clutch in case.clutches:
        sexes[clutch.dam] = "female"
        sexes |= {name: "male" for name, _ in clutch.sires}
    for animal in case.animals:
        if isinstance(animal.sire, str):
            sexes[animal.sire] = "male"
        if isinstance(animal.dam, str):
            sexes[animal.dam] = "female"
    return sexes


def _parents_first(eggs: list[Egg], unit_of: dict[str, str], founders: frozenset[str]) -> Iterator[Egg]:
    done = set(founders)
    waiting = list(eggs)
    while waiting:
        ready = [egg for egg in waiting if all(unit_of.get(name, name) in done for name in parents_of(egg))]
        if not ready:
            raise ValueError("an animal is its own ancestor")
        for egg in ready:
            done.add(egg.key)
            yield egg
        waiting = [egg for egg in waiting if egg.key not in done]
