"""The backup question: what a second male in rotation would cost the proof.

Computes   for each parent and trait not certain already, what a clutch would prove: with the first male alone; with a backup, when
           either male may have sired all of it; and when either may have sired each egg.
Symbols    members: 0 the male, 1 the female, 2 the backup; kind = (sex, look) at each locus looked at; box as in `proofs`.
Formula    one of: `proofs` with two sires, equally likely. Mixed: an egg is of a kind with (p(kind | male) + p(kind | backup)) / 2, and
           some assignment gives a clutch just when each of its kinds can be an egg of one of the two; so a box is, for members'
           states that are possible together, all kinds that either male can give.
           if_none = E[carries G(q)] / E[G(q)], the mean over sires taken outside G (one of) or inside (mixed).
Assumes    both males equally likely, as `sire: [M, B]` and `sire: {mixed: [M, B]}` are read. Other loci help as far as their looks
           tell the two males' young apart; those beyond COMBINATIONS are left out, then a mixed chance is a little too low, never
           too high.
Source     figures#backup-male, figures#what-a-clutch-proves, figures#sires-in-doubt.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from math import prod

from clutchlight.genetics.inference import Inference
from clutchlight.genetics.pairs import Members, TooManyPartsError
from clutchlight.planning.crosses import Kind, crosses_of
from clutchlight.planning.hatchlings import Hatchlings, hatchlings_of
from clutchlight.planning.odds import checked_backup, pair_together, too_much_doubt
from clutchlight.planning.proofs import BOXES, Hypothesis, Proofs, largest, signed_union

COMBINATIONS = 4000
"""The most combinations of members' states, and of kinds, over the loci that tell two males' young apart."""

_SIRES = (0, 2)


@dataclass(frozen=True, slots=True)
class Answer:
    """The chance that the clutch forces the trait (None: not computed), and the trait's chance after a clutch without it."""

    chance: Fraction | None
    if_none: Fraction | None


@dataclass(frozen=True, slots=True)
class Compared:
    """One trait of one parent: with the first male alone (None for the backup himself), and with both in the two ways."""

    animal: str
    locus: str
    trait: str
    now: Fraction
    alone: Answer | None
    one_of: Answer
    mixed: Answer

    @property
    def no_longer(self) -> bool:
        """Whether the backup takes away every chance of the proof that the first male alone would have given."""
        return bool(self.alone and self.alone.chance and self.one_of.chance == 0 and self.mixed.chance == 0)


@dataclass(frozen=True, slots=True)
class Backup:
    """What a clutch would prove, side by side: female's traits first, then the male's, then the backup's."""

    female: str
    male: str
    backup: str
    hatchlings: Hatchlings
    compared: tuple[Compared, ...]

    @property
    def young(self) -> int | None:
        """How many hatchlings are asked about; None where it is a spread."""
        return self.hatchlings.fixed


def backup(inference: Inference, female: str, male: str, second: str, young: int | None = None) -> Backup:
    """The same pairing with and without a second male. Raises RecordsError as `odds` does."""
    dam, sire, other = checked_backup(inference.collection, female, male, second)
    number = hatchlings_of(inference.collection.species[dam.species], young)
    together = pair_together(inference, sire, dam, other)
    crosses = crosses_of(together)
    try:
        together.groups  # noqa: B018 - asked for here, so that its refusal has the names of the pair
    except TooManyPartsError as many:
        raise too_much_doubt(sire, dam, many) from many
    alone = Proofs(together, crosses, number)
    either = Proofs(together, crosses, number, _SIRES)
    mixed = _Mixed(either)
    compared = []
    for member in (1, 0, 2):
        for now, position, allele in alone.open_traits(member):
            locus, at = together.loci[position], (member, position, allele)
            compared.append(
                Compared(
                    together.members[member],
                    locus.key,
                    locus.alleles[allele - 1],
                    now,
                    None if member == 2 else _answer(alone, *at),
                    _answer(either, *at),
                    _answer(mixed, *at),
                )
            )
    return Backup(dam.id, sire.id, other.id, number, tuple(compared))


def _answer(proofs: Proofs | _Mixed, member: int, locus: int, allele: int) -> Answer:
    return Answer(proofs.forced(member, locus, allele), proofs.if_none(member, locus, allele))


class _Mixed:
    """A clutch in which each egg is by itself the one male's or the other's."""

    def __init__(self, proofs: Proofs) -> None:
        self.proofs = proofs

    def if_none(self, member: int, locus: int, allele: int) -> Fraction | None:
        return self.proofs.if_none(member, locus, allele, mixed=True)

    def forced(self, member: int, locus: int, allele: int) -> Fraction | None:
        if self.proofs.hiders(locus):
            return None
        loci = [locus]
        for other in self._informative(locus):
            if self._size([*loci, other]) <= COMBINATIONS:
                loci.append(other)
        while True:
            kinds = tuple(product(*(self.proofs.kinds(at) for at in loci)))
            signed = signed_union(((box,) for box in self._boxes(member, loci, allele, kinds)), BOXES)
            if signed is not None:
                break
            if len(loci) == 1:
                return None
            loci.pop()
        unforced = Fraction(0)
        for _, rows, chance in self.proofs.together.combinations(loci):
            each = [self._egg(loci, rows, kind) for kind in kinds]
            for (box,), sign in signed.items():
                inside = sum((share for number, share in enumerate(each) if box >> number & 1), Fraction(0))
                unforced += sign * chance * self.proofs.hatchlings.every(inside)
        return 1 - unforced

    def _informative(self, locus: int) -> Iterator[int]:
        """The other loci whose looks can tell the two males' young apart. Of sex-linked ones one at most, sexes being one thing."""
        sexed = self.proofs.crosses[locus].sexed
        for other, cross in enumerate(self.proofs.crosses):
            if other == locus or len(self.proofs.kinds(other)) == 1 or self.proofs.hiders(other) or self._silent(other):
                continue
            if cross.sexed and sexed:
                continue
            sexed = sexed or cross.sexed
            yield other

    def _silent(self, locus: int) -> bool:
        """Whether, whatever is seen there, either male may have sired every egg."""
        whole = (1 << len(self.proofs.kinds(locus))) - 1
        for way in self.proofs.together.ways:
            able = [dict(self.proofs.able(locus, Hypothesis(way, sire))) for sire in _SIRES]
            if not any(able[0][members] & able[1][members] == whole for members in able[0]):
                return False
        return True

    def _size(self, loci: Sequence[int]) -> int:
        states = max(
            prod(len(self.proofs.able(at, Hypothesis(way, 0))) for at in loci) for way in self.proofs.together.ways
        )
        figures = prod(len(self.proofs.at(at)) for at in loci)
        return max(states, figures) * prod(len(self.proofs.kinds(at)) for at in loci)

    def _boxes(
        self, member: int, loci: Sequence[int], allele: int, kinds: Sequence[tuple[Kind, ...]]
    ) -> tuple[int, ...]:
        """The sets of kinds, as masks, that either male can give while the member lacks the allele."""
        found: dict[int, None] = {}
        for way in self.proofs.together.ways:
            able = [[dict(self.proofs.able(at, Hypothesis(way, sire))) for at in loci] for sire in _SIRES]
            for rows in product(*able[0]):
                if self.proofs.has(loci[0], rows[0][member], allele):
                    continue
                mask = 0
                for number, kind in enumerate(kinds):
                    if any(
                        all(
                            masks[members] >> self.proofs.kinds(at).index(one) & 1
                            for at, masks, members, one in zip(loci, able[index], rows, kind, strict=True)
                        )
                        for index in range(len(_SIRES))
                    ):
                        mask |= 1 << number
                found[mask] = None
        return largest(found)

    def _egg(self, loci: Sequence[int], rows: Sequence[Members], kind: Sequence[Kind]) -> Fraction:
        """The chance that an egg is of a kind at each of the loci."""
        total = Fraction(0)
        for sire in _SIRES:
            shares = (
                self.proofs.of(at, members, sire).get(one, Fraction(0))
                for at, members, one in zip(loci, rows, kind, strict=True)
            )
            total += prod(shares, start=Fraction(1))
        return total / len(_SIRES)
