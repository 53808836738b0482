"""The odds of a pairing: what its young can look like and carry, and what a clutch would prove of its parents.

Everything is taken from the present figures of both parents together (`genetics.pairs`): what they may carry at loci that share a
doubt is never treated as independent, and the eggs of one clutch share their parents. Nothing here reads a file or prints.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from clutchlight.genetics.inference import Inference
from clutchlight.genetics.pairs import Together, TooManyPartsError
from clutchlight.genetics.values import Figure
from clutchlight.model import Animal, Locus, Sex
from clutchlight.planning.asking import asked_of, checked_pair, checked_young, usual_clutch
from clutchlight.planning.odds_values import Lethal, Odds, Outcome, Proof, Welfare
from clutchlight.planning.outcomes import LIMIT, Outcomes, TooManyLooksError
from clutchlight.planning.proofs import Proofs
from clutchlight.problems import Problem, RecordsError


def odds(inference: Inference, inbreeding: Fraction, sire: str, dam: str, young: int | None = None) -> Odds:
    """The odds of two animals for a clutch of `young` hatchlings (left out: a usual clutch of the species).

    `inbreeding`: Wright's F of their young. `inference.conflicts` must be empty. Raises RecordsError when the two cannot be a
    pair (`unknown-animal`, `same-sex-pair`, `two-species-pair`), the clutch is of no size (`young-out-of-range`), or more doubts hang
    together than can be summed (`too-much-doubt`).
    """
    father, mother = checked_pair(inference.collection, sire, dam)
    species = inference.collection.species[father.species]
    number = usual_clutch(species).hatchlings if young is None else checked_young(young)
    together = pair_together(inference, father, mother)
    try:
        table = Outcomes(together, number)
    except TooManyPartsError as many:
        raise too_much_doubt(father.id, mother.id, many) from many
    outcomes, problems = _listed(table, father.id, mother.id)
    proofs = Proofs(together, table.crosses, number)
    return Odds(
        species.key,
        father.id,
        mother.id,
        number,
        inbreeding,
        outcomes,
        tuple(proof for member in (0, 1) for proof in proofs_of(proofs, member)),
        table.by_sex,
        tuple(
            locus.key
            for locus in together.loci
            if locus.sex_linked and locus.sex_linked.crossover is None and _can_matter(proofs, locus)
        ),
        tuple(_lethal(proofs)),
        tuple(
            Welfare(locus.key, locus.welfare, locus.welfare_source)
            for locus in together.loci
            if locus.welfare and _can_matter(proofs, locus)
        ),
        tuple((key, missing.animals) for key, missing in together.not_computed.items()),
        problems,
    )


def pair_together(inference: Inference, sire: Animal, dam: Animal, *others: Animal) -> Together:
    """The animals at the loci in play, without those of which only background frequencies speak. Other animals are further sires."""
    members = (sire, dam, *others)
    loci = [
        locus.key
        for locus in inference.loci_in_play(sire.species)
        if not all(_only_background(inference, member, locus) for member in members)
    ]
    figures = inference.figures_of(sire.id)
    roles: list[Sex] = ["male", "female"]
    roles += ["male" for _ in others]
    return Together(figures, [member.id for member in members], roles, loci)


def too_much_doubt(sire: str, dam: str, many: TooManyPartsError) -> RecordsError:
    """What is said when the loci of a pair hang together in too many ways."""
    message = (
        f"the odds of '{sire}' and '{dam}' are not computed: doubts about sires make {', '.join(many.loci)} hang together in too many "
        "ways; name the sire of a clutch in doubt, or test one of the two"
    )
    return RecordsError([Problem.at(asked_of(1), "too-much-doubt", message)])


def _listed(table: Outcomes, sire: str, dam: str) -> tuple[tuple[Outcome, ...], tuple[Problem, ...]]:
    try:
        return table.all(), ()
    except TooManyLooksError:
        message = (
            f"the young of '{sire}' and '{dam}' can look in more than {LIMIT:,} ways, too many to list; what the clutch would prove is "
            "given all the same"
        )
        return (), (Problem.at(asked_of(1), "too-many-looks", message, "warning"),)


def _only_background(inference: Inference, animal: Animal, locus: Locus) -> bool:
    figure = inference.now(animal.id, locus.key)
    if not isinstance(figure, Figure):
        return False
    carried = [allele for allele in range(1, len(locus.alleles) + 1) if figure.carries(allele)]
    return all(inference.background_only(animal.id, locus.key, allele) for allele in carried)


def proofs_of(proofs: Proofs, member: int) -> Iterator[Proof]:
    """What the clutch says of each trait that a member may carry and that is not certain whatever anybody claimed."""
    for position, locus in enumerate(proofs.together.loci):
        for allele, trait in enumerate(locus.alleles, 1):
            now = proofs.now(member, position, allele)
            if now and not proofs.is_forced(member, position, allele):
                yield Proof(
                    proofs.together.members[member],
                    locus.key,
                    trait,
                    now,
                    proofs.forced(member, position, allele),
                    proofs.if_none(member, position, allele),
                )


def _can_matter(proofs: Proofs, locus: Locus) -> bool:
    """Whether a parent may carry anything at the locus."""
    position = proofs.together.loci.index(locus)
    return any(proofs.now(member, position, allele) for member in (0, 1) for allele in range(1, len(locus.alleles) + 1))


def _lethal(proofs: Proofs) -> Iterator[Lethal]:
    """The chance for one egg of each double dose that dies: half of the copies on either side come together."""
    for position, locus in enumerate(proofs.together.loci):
        pairs = proofs.together.states[position].pairs
        for allele, trait in enumerate(locus.alleles, 1):
            if trait not in locus.dies:
                continue
            chance = Fraction(0)
            for (sire, dam), likely in proofs.at(position):
                chance += likely * Fraction(pairs[sire].count(allele) * pairs[dam].count(allele), 4)
            if chance:
                yield Lethal(locus.key, trait, chance)
