"""Which animals a drawing shows: some generations of ancestors, and a clutch's young.

An ancestor that is reached by several ways is one animal in the selection, and so one symbol in the drawing.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from clutchlight.drawing.pedigree import PedigreeAnimal, PedigreeFamily, Sex, Sire, natural


@dataclass(frozen=True, slots=True)
class RecordedParents:
    """The parents of an animal, as recorded. `related`: they have an ancestor in common, or one descends from the other."""

    sires: tuple[Sire, ...] = ()
    dam: str | None = None
    parthenogenesis: bool = False
    related: bool = False

    @property
    def ids(self) -> tuple[str, ...]:
        """Every possible parent."""
        return tuple(sire.id for sire in self.sires) + ((self.dam,) if self.dam is not None else ())


@dataclass(frozen=True, slots=True)
class Selection:
    """Ids in natural order, and the families that join them."""

    ids: tuple[str, ...]
    families: tuple[PedigreeFamily, ...]


def ancestors(focus: Sequence[str], lookup: Callable[[str], RecordedParents | None], generations: int = 3) -> Selection:
    """The animals of `focus` and their ancestors, `generations` steps up (3 = to great-grandparents).

    `lookup` gives an animal's parents, or None when none is recorded. At the upper edge a family is kept only when all of its
    parents are in the selection anyway: no animal is shown as a founder beside its own parents, and none is added.
    """
    recorded: dict[str, RecordedParents] = {}
    steps = dict.fromkeys(focus, generations)
    waiting = list(steps)
    while waiting:
        animal = waiting.pop(0)
        parents = lookup(animal)
        if parents is None or not parents.ids:
            continue
        recorded[animal] = parents
        for parent in parents.ids if steps[animal] > 0 else ():
            if steps.get(parent, -1) < steps[animal] - 1:
                steps[parent] = steps[animal] - 1
                waiting.append(parent)
    families: dict[RecordedParents, list[str]] = {}
    for animal in sorted(recorded, key=natural):
        if all(parent in steps for parent in recorded[animal].ids):
            families.setdefault(recorded[animal], []).append(animal)
    return Selection(
        tuple(sorted(steps, key=natural)),
        tuple(
            PedigreeFamily(parents.sires, parents.dam, tuple(young), parents.related, parents.parthenogenesis)
            for parents, young in families.items()
        ),
    )


PLURALS: dict[Sex, str] = {"male": "males", "female": "females", "unknown": "unsexed"}


def grouped(young: Sequence[PedigreeAnimal], at_most: int = 8) -> tuple[PedigreeAnimal, ...]:
    """The young one by one when there are `at_most` or fewer; else those of one sex and one look in one symbol.

    A focus animal, a twin and a dead animal always keep a symbol of their own. A symbol for several has the eldest's id and
    date, no link, and says how many it stands for; `count` of what comes in is added up.
    """
    in_order = sorted(young, key=lambda animal: (animal.born, natural(animal.id)))
    if sum(animal.count for animal in in_order) <= at_most:
        return tuple(in_order)
    alike: dict[tuple[object, ...], list[PedigreeAnimal]] = {}
    for animal in in_order:
        alone = animal.id if animal.focus or animal.dead or animal.twin_group is not None else ""
        marks = tuple(sorted((mark.trait, mark.state) for mark in animal.marks))
        alike.setdefault((alone, animal.sex, marks), []).append(animal)
    return tuple(_as_one(members) for members in alike.values())


def _as_one(members: Sequence[PedigreeAnimal]) -> PedigreeAnimal:
    eldest = members[0]
    if len(members) == 1:
        return eldest
    count = sum(animal.count for animal in members)
    names = ", ".join(animal.label for animal in members)
    return replace(
        eldest, label=f"{count} {PLURALS[eldest.sex]}", href=None, count=count, nameless=False, description=names
    )
