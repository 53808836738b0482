"""Questions about a pairing, checked: known animals, of one species, of two sexes; and the size of a usual clutch."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from clutchlight.genetics.inference import Inference
from clutchlight.genetics.pairs import Together, TooManyPartsError
from clutchlight.genetics.values import Figure
from clutchlight.model import Animal, Collection, Locus, Sex, Species
from clutchlight.planning.odds_values import Lethal, LocusWelfare, Odds, Outcome, Proof
from clutchlight.planning.outcomes import LIMIT, Outcomes, TooManyLooksError
from clutchlight.planning.proofs import Proofs
from clutchlight.problems import COMMAND_LINE, Place, Problem, RecordsError
from clutchlight.reading.findings import or_nearest

MOST_YOUNG = 100
"""The largest clutch that odds are given for: more than any snake in the catalogue lays."""

USUAL_WITHOUT_FACTS = 7
"""Hatchlings of a usual clutch where the species file says nothing; common practice, no source."""


@dataclass(frozen=True, slots=True)
class UsualClutch:
    """How many hatch of a usual clutch: `eggs` times `rate`, rounded; `source` as the species file gives it, or how it was assumed."""

    hatchlings: int
    eggs: int | None
    rate: Fraction | None
    source: str


def usual_clutch(species: Species) -> UsualClutch:
    """The usual clutch of a species by its file. Without a hatch rate every egg is taken to hatch."""
    facts = species.facts.get("clutch")
    if not isinstance(facts, Mapping) or "usual" not in facts:
        return UsualClutch(USUAL_WITHOUT_FACTS, None, None, "assumed: the species file gives no clutch size")
    eggs = int(str(facts["usual"]))
    rate = _chance(str(facts["hatch_rate"])) if facts.get("hatch_rate") else None
    hatchlings = max(1, int(eggs * (1 if rate is None else rate) + Fraction(1, 2)))
    return UsualClutch(hatchlings, eggs, rate, str(facts.get("source", "common practice, no source")))


def _chance(text: str) -> Fraction:
    return Fraction(text.rstrip("%").strip()) / 100 if text.endswith("%") else Fraction(text)


def known_animal(collection: Collection, name: str, position: int) -> Animal:
    """An animal by id, or by an id that it once had. `position`: which argument it is, for the message. Raises RecordsError."""
    found = collection.animals.get(name) or next((one for one in collection.animals.values() if name in one.was), None)
    if found is None:
        known = [ident for ident, animal in collection.animals.items() if not animal.nameless]
        raise _refused(position, "unknown-animal", f"there is no animal '{name}'{or_nearest(name, known)}")
    return found


def checked_pair(collection: Collection, one: str, other: str) -> tuple[Animal, Animal]:
    """The sire and the dam among two animals, in whichever order they are named. Raises RecordsError when they cannot be a pair.

    An animal that was never sexed is taken for the role it is named in.
    """
    sire, dam = known_animal(collection, one, 1), known_animal(collection, other, 2)
    if sire.sex == "female" or dam.sex == "male":
        sire, dam = dam, sire
    if sire.species != dam.species:
        names = [collection.species[animal.species].name for animal in (sire, dam)]
        raise _refused(
            2,
            "two-species-pair",
            f"'{sire.id}' is of the species {names[0]}, '{dam.id}' of {names[1]}; name two of one species",
        )
    if sire.id == dam.id:
        raise _refused(2, "same-sex-pair", f"'{sire.id}' is named as both sire and dam; name two animals")
    for animal, role in ((sire, "female"), (dam, "male")):
        if animal.sex == role:
            raise _refused(2, "same-sex-pair", f"'{sire.id}' and '{dam.id}' are both {role}; name a male and a female")
    return sire, dam


def checked_backup(collection: Collection, female: str, male: str, backup: str) -> tuple[Animal, Animal, Animal]:
    """The female, the male and the backup. Raises RecordsError as `checked_pair` does, and when the backup is the same male."""
    sire, dam = checked_pair(collection, male, female)
    second, again = checked_pair(collection, backup, dam.id)
    if again.id != dam.id:
        raise _refused(3, "same-sex-pair", f"'{backup}' and '{dam.id}' are both female; name a male as the backup")
    if second.id == sire.id:
        raise _refused(3, "same-male-twice", f"'{backup}' is the first male already; name another as the backup")
    return dam, sire, second


def checked_young(young: int) -> int:
    """The number of hatchlings asked about. Raises RecordsError."""
    if not 1 <= young <= MOST_YOUNG:
        raise _refused(3, "young-out-of-range", f"a clutch of {young} hatchlings; ask about 1 to {MOST_YOUNG}")
    return young


def opposite(sex: Sex) -> Sex:
    """The sex of a mate."""
    return "female" if sex == "male" else "male"


def asked_of(position: int) -> Place:
    """The place of a problem with what was asked on the command line: its column is the argument."""
    return Place(COMMAND_LINE.file, COMMAND_LINE.line, position)


def _refused(position: int, code: str, message: str) -> RecordsError:
    return RecordsError([Problem.at(asked_of(position), code, message)])


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
        raise too_much_doubt(father, mother, many) from many
    outcomes, problems = _listed(table)
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
            LocusWelfare(locus.key, locus.welfare, locus.welfare_source)
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


def too_much_doubt(sire: Animal, dam: Animal, many: TooManyPartsError) -> RecordsError:
    """What is said when the loci of a pair hang together in too many ways: it is mended in the records."""
    message = (
        f"the odds of '{sire.id}' and '{dam.id}' are not computed: doubts about sires make {', '.join(many.loci)} hang together in too "
        "many ways; name the sire of a clutch in doubt, or test one of the two"
    )
    return RecordsError([Problem.at(sire.place, "too-much-doubt", message)])


def _listed(table: Outcomes) -> tuple[tuple[Outcome, ...], tuple[Problem, ...]]:
    try:
        return table.all(), ()
    except TooManyLooksError:
        message = (
            f"the young of this pair can look in more than {LIMIT:,} ways, too many to list; what the clutch would prove is given all "
            "the same"
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
