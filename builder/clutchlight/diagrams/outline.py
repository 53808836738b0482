"""What of a pedigree decides where everything stands: sexes, families, births and twins, without a name, a mark or a link.

Pedigrees with equal outlines are laid out alike, as those of clutch mates are. Ids become numbers, in the order of the ids; births become
numbers, in the order in which young stand.
"""

from collections.abc import Mapping
from dataclasses import replace

from clutchlight.diagrams.pedigree import Pedigree, PedigreeAnimal, PedigreeFamily, Sire, natural


def outline(pedigree: Pedigree) -> tuple[Pedigree, Mapping[str, str]]:
    """The outline, and for each animal its name there. Raises ValueError for what is no pedigree (see `Pedigree.check`)."""
    pedigree.check()
    digits = len(str(len(pedigree.animals)))
    known = pedigree.by_id()
    named = {ident: f"{number:0{digits}}" for number, ident in enumerate(known, 1)}
    twins = [animal for animal in known.values() if animal.twin_group is not None]
    first_twin = {
        animal.twin_group: animal.id for animal in sorted(twins, key=lambda one: natural(one.id), reverse=True)
    }

    def birth(animal: PedigreeAnimal) -> tuple[object, ...]:
        return animal.born, natural(first_twin.get(animal.twin_group, animal.id)), natural(animal.id)

    born = {animal.id: f"{number:0{digits}}" for number, animal in enumerate(sorted(known.values(), key=birth), 1)}
    animals = tuple(
        PedigreeAnimal(
            named[animal.id],
            "",
            animal.sex,
            born[animal.id],
            twin_group=named[first_twin[animal.twin_group]] if animal.twin_group is not None else None,
        )
        for animal in known.values()
    )
    families = tuple(_family(family, named) for family in pedigree.ordered_families())
    return Pedigree("", "", animals, families), named


def _family(family: PedigreeFamily, named: Mapping[str, str]) -> PedigreeFamily:
    return replace(
        family,
        sires=tuple(Sire(named[sire.id], sire.chance) for sire in family.sires),
        dam=named[family.dam] if family.dam is not None else None,
        young=tuple(named[young] for young in family.young),
    )
