"""The level that each animal is drawn on.

Computes: level(a) = 0 for a founder, else 1 + the greatest level among all of a's possible parents; that is the length of
the longest path from a founder down to a. Mates therefore share a level only when they are of one generation, and no
young stands level with or above a parent, real or possible.

Assumes: nobody is its own ancestor (ValueError otherwise). Cost: linear in animals and families.

>>> from clutchlight.diagrams.pedigree import Pedigree, PedigreeAnimal, PedigreeFamily, Sire
>>> animals = tuple(PedigreeAnimal(name, name) for name in ("sire", "dam", "daughter", "young"))
>>> families = (PedigreeFamily((Sire("sire"),), "dam", ("daughter",)),
...             PedigreeFamily((Sire("sire"),), "daughter", ("young",), related=True))
>>> levels(Pedigree("father x daughter", "", animals, families))
{'dam': 0, 'daughter': 1, 'sire': 0, 'young': 2}
"""

from clutchlight.diagrams.pedigree import Pedigree


def levels(pedigree: Pedigree) -> dict[str, int]:
    """The level of every animal, 0 at the top, in the order of ids."""
    pedigree.check()
    ids = list(pedigree.by_id())
    parents = {young: family.parents for family in pedigree.families for young in family.young}
    young_of: dict[str, list[str]] = {animal: [] for animal in ids}
    for young, above in parents.items():
        for parent in above:
            young_of[parent].append(young)
    waiting = {animal: len(parents.get(animal, ())) for animal in ids}
    level = dict.fromkeys(ids, 0)
    ready = [animal for animal in ids if waiting[animal] == 0]
    placed = 0
    while ready:
        animal = ready.pop()
        placed += 1
        for young in young_of[animal]:
            level[young] = max(level[young], level[animal] + 1)
            waiting[young] -= 1
            if waiting[young] == 0:
                ready.append(young)
    if placed < len(ids):
        stuck = ", ".join(sorted(animal for animal in ids if waiting[animal] > 0))
        raise ValueError(f"an animal is its own ancestor, among: {stuck}")
    return level
