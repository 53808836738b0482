"""Which records cannot all be true: irreducible sets, found near where propagation wiped out.

Computes   sets of records (a look, a sure test, a claim of certainty, a sire or dam line) that no assignment fits, though each of them left
           out the others can be true.
Steps      start at the family that was wiped out and widen the circle of relatives until their records alone conflict; then divide and
           conquer over those records in file order; take the set's evidence out and go on until what is left can be true.
Assumes    a sire or dam line that is left out stands for an unknown parent of that sex.
Cost       about (records in the set) x log(records in the circle) propagations over the circle.
Source     QuickXplain: Junker 2004, AAAI-04, 167-172 (algorithm from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.genetics.pedigree import Branch, Egg, Family, Pedigree, by_parent
from clutchlight.genetics.possible import Domains, WipedOutError
from clutchlight.genetics.solving import Solved
from clutchlight.genetics.values import Conflict, EvidenceRecord
from clutchlight.genetics.world import World
from clutchlight.model import UNRECORDED, Animal, Claim, Clutch
from clutchlight.model.traits import grouped

_MOST = 20
"""How many conflicts of one locus are reported at once."""


class _Record(Struct, frozen=True):
    """A record that can be left out: a mask on an egg (or on all eggs of a tally row) at one locus, or one line of parentage."""

    written: EvidenceRecord
    locus: int = -1
    eggs: tuple[int, ...] = ()
    mask: int = -1
    family: int = -1
    claim: Claim | None = None


def conflicts_of(world: World, solved: Solved) -> tuple[Conflict, ...]:
    """The conflicts of a species now; () when the records can all be true."""
    if solved.conflict is None and solved.network is not None:
        return ()
    found: list[Conflict] = []
    for locus in range(len(world.loci)):
        found += _at_loci(world.only(locus), 0)
    if not found:
        found += _at_loci(world, None)
    return tuple(found)


def _at_loci(world: World, named: int | None) -> Iterator[Conflict]:
    evidence = sorted(_evidence(world), key=lambda record: record.written.place)
    lines = sorted(_lines(world), key=lambda record: record.written.place)
    for _ in range(_MOST):
        pool = sorted([*evidence, *lines], key=lambda record: (record.written.place, record.written.kind))
        start = _wiped(world, pool)
        if start is None:
            return
        near = _near(world, pool, start)
        core = _smallest(world, near)
        locus = next((record.locus for record in core if record.locus >= 0), named or 0)
        yield Conflict(world.pedigree.species, world.loci[locus].key, tuple(record.written for record in core))
        taken = {id(record) for record in core if record.family < 0}
        if not taken:
            return
        evidence = [record for record in evidence if id(record) not in taken]


def _evidence(world: World) -> Iterator[_Record]:
    now = world.timeline.now
    for locus, evidence in enumerate(world.evidence):
        for egg in world.pedigree.eggs:
            for ident in egg.animals:
                for _, reading in world.timeline.readings.get(ident, ())[-1:] if evidence.counts(egg) else ():
                    mask = evidence.reading_mask(reading)
                    if mask != evidence.states.full:
                        seen = EvidenceRecord("look", ident, reading.place, reading.shows or ())
                        yield _Record(seen, locus, (egg.number,), mask)
                for _, test in world.timeline.tests.get(ident, ()):
                    if test.locus == evidence.locus.key and test.error == 0:
                        written = EvidenceRecord("test", ident, test.place, (test.trait,), test.copies)
                        yield _Record(written, locus, (egg.number,), evidence.test_mask(test))
            claims = evidence.claims(egg, now)
            if evidence.claim_mask(claims) != evidence.states.full:
                for claim in claims:
                    written = EvidenceRecord("claim", egg.animals[0], claim.place, (claim.trait,))
                    yield _Record(written, locus, (egg.number,), claim=claim)
        for family in world.pedigree.families:
            for eggs in _tally_rows(world, family):
                first = world.pedigree.eggs[eggs[0]]
                mask = evidence.looks(first, now)
                if first.counted and mask != evidence.states.full:
                    reading = first.counted.reading
                    counted = EvidenceRecord("look", family.clutch or "", reading.place, reading.shows or ())
                    yield _Record(counted, locus, eggs, mask)


def _tally_rows(world: World, family: Family) -> tuple[tuple[int, ...], ...]:
    """The eggs of a clutch that were only counted, row by row."""
    rows = grouped((row, egg) for egg in family.eggs if (row := world.pedigree.eggs[egg].row) >= 0)
    return tuple(rows[row] for row in sorted(rows))


def _lines(world: World) -> Iterator[_Record]:
    for family in world.pedigree.families:
        record: Animal | Clutch
        if family.clutch:
            record = clutch = world.collection.clutches[family.clutch]
            sires, dam = tuple(str(sire) for sire, _ in clutch.sires.candidates), clutch.dam
        else:
            record = animal = world.collection.animals[world.pedigree.eggs[family.eggs[0]].animals[0]]
            sires, dam = (animal.sire,) if animal.sire else (), animal.dam or ""
        if sires:
            yield _Record(EvidenceRecord("sire", record.id, record.place_of("sire"), sires), family=family.number)
        if dam:
            yield _Record(EvidenceRecord("dam", record.id, record.place_of("dam"), (dam,)), family=family.number)


def _wiped(world: World, records: Sequence[_Record], keep: frozenset[int] | None = None) -> int | None:
    """The family where these records alone wipe out; None: they can all be true. `keep`: the only families to look at."""
    pedigree = _reduced(world.pedigree, records, keep)
    rows = [
        [states.of_sex(egg.sex) if states.linked else states.full for egg in pedigree.eggs]
        for states in world.sure_states
    ]
    claims: dict[tuple[int, int], list[Claim]] = {}
    for record in records:
        for number in record.eggs:
            mask = record.mask
            if record.claim is not None:
                # Claims at two alleles exclude each other: together they may say more than each by itself.
                together = claims.setdefault((record.locus, number), [])
                together.append(record.claim)
                mask = world.evidence[record.locus].claim_mask(together)
            rows[record.locus][number] &= mask
            if not rows[record.locus][number]:
                egg = pedigree.eggs[number]
                own = world.pedigree.own.get(number)
                return egg.family if egg.family is not None else own[0] if own else 0
    domains = Domains(pedigree, world.sure_states, rows)
    world.close_births(domains)
    domains.wake(
        (locus, family.number)
        for locus in range(len(rows))
        for family in pedigree.families
        if keep is None or family.number in keep
    )
    try:
        domains.propagate()
    except WipedOutError as wiped:
        return max(wiped.family, 0)
    if domains.satisfiable():
        return None
    return next(iter(keep)) if keep else 0


def _reduced(pedigree: Pedigree, records: Sequence[_Record], keep: frozenset[int] | None) -> Pedigree:
    """The pedigree with fresh parents where a line is not among the records, and without the families outside `keep`."""
    kept = {(record.family, record.written.kind) for record in records if record.family >= 0}
    eggs = list(pedigree.eggs)
    families: list[Family] = []
    for family in pedigree.families:
        inside = keep is None or family.number in keep
        changed = family
        if inside and (family.number, "sire") not in kept:
            number = len(eggs)
            eggs.append(Egg(number, f"?{number}", (), "male", None, True))
            changed = replace(changed, branches=(Branch(number, Fraction(1), UNRECORDED),), each_egg=False)
        if inside and (family.number, "dam") not in kept:
            number = len(eggs)
            eggs.append(Egg(number, f"?{number}", (), "female", None, True))
            changed = replace(changed, dam=number)
        if not inside:
            for egg in family.eggs:
                eggs[egg] = replace(eggs[egg], family=None)
            changed = replace(family, eggs=(), branches=family.branches[:1], each_egg=False)
        families.append(changed)
    own = by_parent(family for family in families if keep is None or family.number in keep)
    return replace(pedigree, eggs=tuple(eggs), families=tuple(families), own=own)


def _near(world: World, records: Sequence[_Record], start: int) -> list[_Record]:
    """The records of the smallest circle of families around the start that conflict by themselves."""
    if not world.pedigree.families:
        return list(records)
    circle = {start}
    while True:
        keep = frozenset(circle)
        members = {egg for number in circle for egg in world.pedigree.families[number].members}
        inside = [
            record for record in records if (record.eggs and record.eggs[0] in members) or record.family in circle
        ]
        if _wiped(world, inside, keep) is not None:
            return inside
        wider = set(circle)
        for egg in sorted(members):
            own = world.pedigree.eggs[egg].family
            wider.update(world.pedigree.own.get(egg, ()))
            if own is not None:
                wider.add(own)
        if wider == circle:
            return list(records)
        circle = wider


def _smallest(world: World, records: list[_Record]) -> list[_Record]:
    """An irreducible conflicting subset, by divide and conquer."""

    def clashes(some: Sequence[_Record]) -> bool:
        families = frozenset(record.family for record in records if record.family >= 0)
        return _wiped(world, some, families) is not None

    def needed(background: list[_Record], added: bool, candidates: list[_Record]) -> list[_Record]:
        if added and clashes(background):
            return []
        if len(candidates) == 1:
            return candidates
        middle = len(candidates) // 2
        first, second = candidates[:middle], candidates[middle:]
        from_second = needed([*background, *first], bool(first), second)
        from_first = needed([*background, *from_second], bool(from_second), first)
        return [*from_first, *from_second]

    core = needed([], False, records) if records else []
    return sorted(core, key=lambda record: (record.written.place, record.written.kind))
