"""Questions about a pairing, checked: known animals, of one species, of two sexes; and the size of a usual clutch."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from clutchlight.model import Animal, Collection, Sex, Species
from clutchlight.plaintext.findings import or_nearest
from clutchlight.problems import COMMAND_LINE, Place, Problem, RecordsError

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
