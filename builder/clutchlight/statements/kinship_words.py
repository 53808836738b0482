"""How the two parents of an animal are related, in words: "its parents are half-siblings".

Reads the recorded pedigree alone; where a sire is in doubt he counts as unknown. The closest relation that has a name is said;
when the inbreeding coefficient is not the one that this relation alone would give, the sentence adds that they are related in
other ways too. Values of the coefficient by relation: Wright 1922, American Naturalist 56:330-338.
"""

from __future__ import annotations

from fractions import Fraction

from clutchlight.model import NO_SIRE, UNKNOWN_SIRE, Collection
from clutchlight.statements.words import counted

UNRELATED = "its parents are not related, as far as is recorded"
_UPWARD = {1: ("daughter", "son"), 2: ("granddaughter", "grandson"), 3: ("great-granddaughter", "great-grandson")}


def relation_of_parents(collection: Collection, sire: str, dam: str, inbreeding: Fraction, of: str = "its") -> str:
    """The relation of two animals as parents. `inbreeding`: the exact coefficient of their young. `of`: "its" or "their"."""
    if sire == NO_SIRE:
        return f"{'it has' if of == 'its' else 'they have'} no sire: the dam bred without a male"
    if sire == UNKNOWN_SIRE:
        return f"{of} sire is not recorded"
    if inbreeding == 0:
        return UNRELATED.replace("its", of, 1)
    found = _named_relation(collection, sire, dam, of)
    if found is None:
        shared = _shared(collection, sire, dam)
        if not shared:
            return f"{of} parents are related"
        return f"{of} parents have {counted(len(shared), 'ancestor')} in common"
    text, alone = found
    return text if alone in (None, inbreeding) else f"{text}, and are related in other ways too"


def _parents(collection: Collection, animal: str) -> tuple[str | None, str | None]:
    record = collection.animals.get(animal)
    if record is None:
        return None, None
    clutch = collection.clutches.get(record.clutch or "")
    sire = clutch.sires.only if clutch else record.sire
    dam = clutch.dam if clutch else record.dam
    return (sire if sire in collection.animals else None), dam


def _known(collection: Collection, animal: str) -> tuple[str, ...]:
    return tuple(parent for parent in _parents(collection, animal) if parent is not None)


def _sibship(collection: Collection, one: str, other: str) -> Fraction | None:
    """1/4 for full siblings, 1/8 for half-siblings: the coefficient of their young."""
    if one == other:
        return None
    shared = set(_known(collection, one)) & set(_known(collection, other))
    return Fraction(len(shared), 8) if shared else None


def _named_relation(collection: Collection, sire: str, dam: str, of: str) -> tuple[str, Fraction | None] | None:
    return (
        _line_of_descent(collection, sire, dam, of)
        or _clutchmates(collection, sire, dam, of)
        or _siblings(collection, sire, dam, of)
        or _uncle_or_aunt(collection, sire, dam, of)
        or _cousins(collection, sire, dam, of)
    )


def _line_of_descent(collection: Collection, sire: str, dam: str, of: str) -> tuple[str, Fraction] | None:
    for steps, (daughter, son) in _UPWARD.items():
        value = Fraction(1, 2 ** (steps + 1))
        if sire in _ancestors(collection, dam, steps):
            return f"{of} dam is a {daughter} of {of} sire", value
        if dam in _ancestors(collection, sire, steps):
            return f"{of} sire is a {son} of {of} dam", value
    return None


def _ancestors(collection: Collection, animal: str, steps: int) -> tuple[str, ...]:
    level: tuple[str, ...] = (animal,)
    for _ in range(steps):
        level = tuple(parent for one in level for parent in _known(collection, one))
    return level


def _clutchmates(collection: Collection, sire: str, dam: str, of: str) -> tuple[str, Fraction | None] | None:
    """Young of one clutch whose sire is not a single recorded male: an unrecorded one is the same for all of them."""
    home = collection.animals[sire].clutch
    clutch = collection.clutches.get(home or "")
    if clutch is None or collection.animals[dam].clutch != home or clutch.sires.only in collection.animals:
        return None
    if clutch.sires.only == UNKNOWN_SIRE:
        return f"{of} parents are full siblings", Fraction(1, 4)
    return f"{of} parents hatched from one clutch", None


def _siblings(collection: Collection, sire: str, dam: str, of: str) -> tuple[str, Fraction] | None:
    value = _sibship(collection, sire, dam)
    if value is None:
        return None
    return f"{of} parents are {'full siblings' if value == Fraction(1, 4) else 'half-siblings'}", value


def _uncle_or_aunt(collection: Collection, sire: str, dam: str, of: str) -> tuple[str, Fraction] | None:
    best: tuple[Fraction, str] | None = None
    for elder, younger, words in ((sire, dam, ("uncle", "niece")), (dam, sire, ("aunt", "nephew"))):
        for parent in _known(collection, younger):
            value = _sibship(collection, elder, parent)
            if value is not None and (best is None or value / 2 > best[0]):
                half = "half-" if value == Fraction(1, 8) else ""
                best = value / 2, f"{of} parents are {half}{words[0]} and {half}{words[1]}"
    return (best[1], best[0]) if best else None


def _cousins(collection: Collection, sire: str, dam: str, of: str) -> tuple[str, Fraction] | None:
    values = [
        value
        for one in _known(collection, sire)
        for other in _known(collection, dam)
        if (value := _sibship(collection, one, other)) is not None
    ]
    if not values:
        return None
    first = max(values)
    return f"{of} parents are {'first cousins' if first == Fraction(1, 4) else 'half first cousins'}", first / 4


def _shared(collection: Collection, sire: str, dam: str) -> set[str]:
    return _all_ancestors(collection, sire) & _all_ancestors(collection, dam)


def _all_ancestors(collection: Collection, animal: str) -> set[str]:
    found: set[str] = set()
    waiting = [animal]
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting.extend(_known(collection, name))
    return found
