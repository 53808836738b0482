"""The same pedigree in sentences: for readers who do not see the drawing, and for text alternatives inside it."""

from clutchlight.drawing.pedigree import PedigreeAnimal, PedigreeChart, PedigreeFamily, State, natural

STATES: dict[State, str] = {
    "shows": "shows",
    "carries": "carries",
    "may carry": "may carry",
    "none": "",
    "unknown": "not known for",
}
PLURAL: dict[State, str] = {**STATES, "shows": "show", "carries": "carry"}


def listed(names: tuple[str, ...], last: str = "and") -> str:
    """`a`, `a and b`, `a, b and c`."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {last} {names[-1]}"


def described(animal: PedigreeAnimal, traits: tuple[str, ...]) -> str:
    """One animal without its relatives: `C24-03-2, male, may carry Piebald`."""
    several = animal.count > 1
    sexes = {"male": "males", "female": "females", "unknown": "of unknown sex"} if several else {}
    sex = sexes.get(animal.sex, "sex unknown" if animal.sex == "unknown" else animal.sex)
    says = [animal.label, f"{animal.count} {sex}" if several else sex]
    verbs = PLURAL if several else STATES
    for state in ("shows", "carries", "may carry", "unknown"):
        having = tuple(trait for trait in traits if animal.state(trait) == state)
        if having:
            says.append(f"{verbs[state]} {listed(having)}")
    if animal.dead:
        says.append("dead")
    if animal.description:
        says.append(animal.description)
    return ", ".join(says)


def in_words(pedigree: PedigreeChart) -> tuple[str, ...]:
    """One sentence for each symbol, eldest generation first."""
    generation = pedigree.generations
    family_of = {young: family for family in pedigree.sibships for young in family.young}
    order = sorted(pedigree.animals, key=lambda one: (generation[one.id], one.born, natural(one.label), one.id))
    return tuple(_sentence(animal, family_of.get(animal.id), pedigree) for animal in order)


def _sentence(animal: PedigreeAnimal, family: PedigreeFamily | None, pedigree: PedigreeChart) -> str:
    parts = [described(animal, pedigree.traits)]
    if family is not None:
        parts.append(_parents(family, pedigree))
    if animal.twin_group is not None:
        twins = tuple(
            other.label
            for other in sorted(pedigree.animals, key=lambda other: natural(other.id))
            if other.twin_group == animal.twin_group and other.id != animal.id
        )
        if twins:
            parts.append(f"identical twin of {listed(twins)}")
    return "; ".join(parts) + "."


def _parents(family: PedigreeFamily, pedigree: PedigreeChart) -> str:
    label = {animal.id: animal.label for animal in pedigree.animals}
    says = []
    if family.in_doubt:
        one_of = tuple(label[sire.id] + (f" ({sire.chance})" if sire.chance else "") for sire in family.sires)
        says.append(f"sire {listed(one_of, 'or')}")
    elif family.sires:
        says.append(f"sire {label[family.sires[0].id]}")
    elif family.parthenogenesis:
        says.append("no sire")
    if family.dam is not None:
        says.append(f"dam {label[family.dam]}")
    if family.related:
        says.append("the parents are related")
    return ", ".join(says)
