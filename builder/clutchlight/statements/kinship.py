"""How two parents are related, in words."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import partial
from typing import NamedTuple

from msgspec import Struct

from clutchlight.genetics.kinship import CollectionKinship
from clutchlight.model import NOBODY, Collection, Nobody, Sire, Unrecorded
from clutchlight.model.as_published import is_unlisted
from clutchlight.model.traits import reached
from clutchlight.statements.answers import Answers
from clutchlight.wording.text import phrase
from clutchlight.wording.words import counted

_ELDERS = {1: "", 2: "grand", 3: "great-grand"}


PERHAPS_RELATED = "perhaps related"
AS_WRITTEN = ", by the chances before hatching of what is still possible"
"""The condition of a coefficient that hangs on a sire in doubt."""


class Relation(NamedTuple):
    """How two parents are related: in a clause, and in brief after their names, "" where they are no kin as far as is known.

    `by_chances`: the coefficient of their young hangs on a sire in doubt.
    """

    clause: str
    brief: str = ""
    by_chances: bool = False


def kinship_of(kinship: CollectionKinship, sire: Sire, dam: str, inbreeding: Fraction, of: str = "its") -> Relation:
    """Of two animals as parents. `inbreeding`: the exact coefficient of their young. `of`: "its" or "the"."""
    if isinstance(sire, Nobody):
        return Relation(f"{of} dam bred without a male")
    if isinstance(sire, Unrecorded):
        return Relation(f"{of} sire is not recorded")
    if inbreeding == 0:
        return Relation(f"{of} parents are not related, as far as is recorded")
    collection = kinship.collection
    of_two = collection, sire.id, dam
    if found := _line_of_descent(*of_two) or _clutchmates(*of_two) or _side_by_side(*of_two):
        alone = found.alone and found.alone * _if_inbred(kinship, found.through)
        if alone == inbreeding:
            return Relation(f"{of} parents are {found.brief}", found.brief)
        least, closer = _least(kinship, sire.id, dam, inbreeding), ""
        if alone is not None:
            closer = f", and {'perhaps ' * (least <= alone)}more closely related than that usually means"
        return Relation(f"{of} parents are {found.brief}{closer}", found.brief, least != inbreeding)
    known = partial(_known, collection)
    shared = reached([sire.id], known) & reached([dam], known)
    named = [name for name in shared if not is_unlisted(name)]
    how = f"have {counted(len(named), 'ancestor')} in common"
    if not named:
        how = "may be related, depending on a sire that is in doubt"
    hangs = _least(kinship, sire.id, dam, inbreeding) != inbreeding
    return Relation(f"{of} parents {how}", "related" if shared else PERHAPS_RELATED, hangs)


def kinship_told(
    answers: Answers, sire: Sire, dam: str, inbreeding: Fraction, *, by_claim: bool = False, of: str = "its"
) -> Relation:
    """The same by all that is on record; `by_claim`: claims alone leave this sire."""
    found = answers.once(
        ("kinship", sire, dam, inbreeding, of),
        lambda: kinship_of(answers.kinship, sire, dam, inbreeding, of),
    )
    if by_claim and inbreeding:
        return found._replace(clause=phrase("{}, if {} is the sire", found.clause, answers.male(sire)))
    return found


def _least(kinship: CollectionKinship, sire: str, dam: str, inbreeding: Fraction) -> Fraction:
    """The least coefficient that the sires in doubt among their kin leave."""
    collection = kinship.collection
    homes = {collection.animals[name].clutch or "" for name in reached([sire, dam], collection.parents_of)}
    if all(len(collection.clutches[home].sires.candidates) == 1 for home in homes & {*collection.clutches}):
        return inbreeding
    return kinship.of_pair(sire, dam, least=True)


def _if_inbred(kinship: CollectionKinship, through: Sequence[str | None]) -> Fraction:
    """How many times the usual coefficient the inbreeding of these makes: the mean of 1 + F; None: one that is not recorded."""
    times = [1 if name is None else 1 + kinship.inbreeding[name] for name in through]
    return Fraction(sum(times), len(times))


class _Kin(Struct, frozen=True):
    """How two parents are related. `brief`: what they are, sire first; `alone`: the coefficient of their young if they are related in no
    other way, and those `through` whom they are not inbred; None: not known."""

    brief: str
    alone: Fraction | None
    through: tuple[str | None, ...]


def _known(collection: Collection, animal: str) -> tuple[str, ...]:
    """The parents that are known for certain, sire first."""
    record = collection.animals[animal]
    clutch = collection.clutches.get(record.clutch or "")
    parents = (clutch.sires.certain or record.sire, clutch.dam) if clutch else (record.sire, record.dam)
    return tuple(parent for parent in parents if parent is not None)


def _line_of_descent(collection: Collection, sire: str, dam: str) -> _Kin | None:
    for steps, grand in _ELDERS.items():
        value = Fraction(1, 2 ** (steps + 1))
        if sire in _ancestors(collection, dam, steps):
            return _Kin(f"{grand}father and {grand}daughter", value, (sire,))
        if dam in _ancestors(collection, sire, steps):
            return _Kin(f"{grand}son and {grand}mother", value, (dam,))
    return None


def _ancestors(collection: Collection, animal: str, steps: int) -> tuple[str, ...]:
    level: tuple[str, ...] = (animal,)
    for _ in range(steps):
        level = tuple(parent for one in level for parent in _known(collection, one))
    return level


def _clutchmates(collection: Collection, sire: str, dam: str) -> _Kin | None:
    """Young of one clutch whose sire is not a single recorded male: an unrecorded one is the same for all of them."""
    home = collection.animals[sire].clutch
    clutch = collection.clutches.get(home or "")
    if clutch is None or collection.animals[dam].clutch != home or clutch.sires.certain:
        return None
    if collection.animals[sire].sire and collection.animals[dam].sire:
        return None
    if isinstance(clutch.sires.only, Unrecorded):
        return _Kin("full siblings", Fraction(1, 4), (clutch.dam, None))
    return _Kin("from one clutch", None, ())


_BESIDE = (
    (0, 0, ("half-siblings", "full siblings")),
    (0, 1, ("half-uncle and half-niece", "uncle and niece")),
    (1, 0, ("half-nephew and half-aunt", "nephew and aunt")),
    (1, 1, ("half first cousins", "first cousins")),
)
"""What a sire and a dam are by siblings of whom they come in so many steps: by half-siblings, and by full ones."""


def _side_by_side(collection: Collection, sire: str, dam: str) -> _Kin | None:
    """The closest relation through siblings among them and their parents; siblings have young of 1/4, half-siblings of 1/8."""
    found = [
        kin
        for up, beside, names in _BESIDE
        for one in _ancestors(collection, sire, up)
        for other in _ancestors(collection, dam, beside)
        if one != other and (kin := _through(collection, one, other, up + beside, names)) is not None
    ]
    return max(found, key=lambda kin: kin.alone or 0, default=None)


def _through(collection: Collection, one: str, other: str, steps: int, names: tuple[str, str]) -> _Kin | None:
    """The relation of two who come of these in so many steps; None if these are no siblings. Those of one clutch share a sire in doubt."""
    half, full = names
    first, second = collection.animals[one], collection.animals[other]
    if (first.egg or one) == (second.egg or other):
        return _Kin(f"{full} through identical twins", Fraction(1, 2 ** (steps + 1)), (one,))
    home = collection.clutches.get(first.clutch or "")
    by_one = home is not None and home.sires.kind != "mixed" and NOBODY not in dict(home.sires.candidates)
    together = by_one and second.clutch == first.clutch
    shared = {*_known(collection, one)} & {*_known(collection, other)}
    if len(shared) > 1 or (shared and together and not (first.sire and second.sire)):
        return _Kin(full, Fraction(1, 4 * 2**steps), (*sorted(shared), None)[:2])
    return _Kin(half, Fraction(1, 8 * 2**steps), tuple(shared)) if shared else None
