"""A pedigree as the drawing takes it: who, with which mates and young, which marks, on which level; and the same in sentences.

Frozen values, made by the caller from records that hold no mistake. Nothing here knows about records, genetics or pages.

Marks       An animal's `marks` say what is drawn in the parts of its symbol, one part for each trait of the drawing. `none` and a missing
            mark are both drawn plain: not carrying, or nothing said.
Generation  0 for a founder, else 1 + the greatest among all possible parents: the longest path down from a founder.
Level       An animal's generation; but a founder stands on the level of the uppermost of its matings, beside its mate, where a mating
            has the level of the youngest of the possible parents. So no young stands level with or above a parent, real or possible.

>>> animals = tuple(PedigreeAnimal(name, name) for name in ("sire", "dam", "daughter", "mate", "young"))
>>> families = (PedigreeFamily((Sire("sire"),), "dam", ("daughter",)), PedigreeFamily((Sire("mate"),), "daughter", ("young",)))
>>> pedigree = PedigreeChart("", "", animals, families)
>>> pedigree.generations
{'dam': 0, 'daughter': 1, 'mate': 0, 'sire': 0, 'young': 2}
>>> pedigree.levels
{'dam': 0, 'daughter': 1, 'mate': 1, 'sire': 0, 'young': 2}
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from graphlib import TopologicalSorter
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.model import Sex
from clutchlight.model.traits import Natural, grouped, natural

State = Literal["shows", "carries", "one of", "may carry", "none"]
"""`one of`: it carries exactly one of the traits so marked; drawn as `may carry`."""

MOST_TRAITS = 4


class TraitMark(Struct, frozen=True):
    """What is said of one animal at one trait.

    `of`: what alleles of one locus have in common, of `one of`, of several that it may carry, and of a look that takes one copy of each.
    `look`: that in which it shows the trait. `twice`: whether it has two copies, of what it only `carries`.
    """

    trait: str
    state: State
    of: str = ""
    look: str = ""
    twice: bool = False

    @property
    def in_words(self) -> str:
        """The trait, or two copies of it."""
        return f"two copies of {self.trait}" if self.twice else self.trait


class PedigreeAnimal(Struct, frozen=True):
    """One symbol: an animal, or `count` animals that are drawn alike.

    `born` is a sort key (an ISO date or nothing); `looks`: all that it shows, where that is named; `description`: the names of several,
    or what came of eggs.
    """

    id: str
    label: str
    sex: Sex = "unknown"
    born: str = ""
    href: str | None = None
    marks: tuple[TraitMark, ...] = ()
    count: int = 1
    dead: bool = False
    nameless: bool = False
    focus: bool = False
    twin_group: str | None = None
    looks: tuple[str, ...] = ()
    description: str = ""

    def state(self, trait: str) -> State:
        """What is said of this animal at `trait`; `none` when nothing is."""
        return next((mark.state for mark in self.marks if mark.trait == trait), "none")


class Sire(Struct, frozen=True):
    """A father. `how_likely`, in ready words: of one of several the chance (`80%`, `1 in 2`), of one alone `probably` or nothing."""

    id: str
    how_likely: str | None = None


class PedigreeFamily(Struct, frozen=True):
    """The young of one dam by one sire, by one of several sires, or of the dam alone.

    `related`: they have an ancestor in common, or one descends from the other. `perhaps_related`: only the sire or an ancestor in doubt
    makes them related. `perhaps_alone`: the chance, in ready words, that she bred without any of the males; None where she did not.
    """

    sires: tuple[Sire, ...] = ()
    dam: str | None = None
    young: tuple[str, ...] = ()
    related: bool = False
    parthenogenesis: bool = False
    perhaps_related: bool = False
    perhaps_alone: str | None = None

    @property
    def parents(self) -> tuple[str, ...]:
        """Every possible parent: sires first, then the dam."""
        return tuple(sire.id for sire in self.sires) + ((self.dam,) if self.dam is not None else ())

    @property
    def in_doubt(self) -> bool:
        """True when a male is drawn who is only a possible sire."""
        return bool(self.sires) and self.only_sire is None

    @property
    def only_sire(self) -> Sire | None:
        """The one male that is on record as the sire, where she did not perhaps breed alone."""
        return self.sires[0] if len(self.sires) == 1 and self.perhaps_alone is None else None


class PedigreeChart(Struct, frozen=True, dict=True):
    """All that one drawing shows. `traits` orders the parts of a symbol and the key; at most four.

    `to_follow`: an animal that is pointed at shows its lines to its parents and young; its name alone is its link.
    """

    title: str
    description: str
    animals: tuple[PedigreeAnimal, ...]
    families: tuple[PedigreeFamily, ...] = ()
    traits: tuple[str, ...] = ()
    to_follow: bool = False

    @cached_property
    def by_id(self) -> Mapping[str, PedigreeAnimal]:
        """The animals by id, in the order of their ids."""
        return {animal.id: animal for animal in sorted(self.animals, key=lambda animal: animal.id)}

    @cached_property
    def sibships(self) -> tuple[PedigreeFamily, ...]:
        """One family for each set of parents, by its eldest young, each with its young in birth order.

        Several clutches of one pair are one sibship in a drawing. The order in which families came does not matter.
        """
        known = self.by_id
        merged: dict[tuple[object, ...], list[PedigreeFamily]] = {}
        for family in self.families:
            sires = tuple(sorted((sire.id, sire.how_likely or "") for sire in family.sires))
            merged.setdefault((sires, family.dam, family.parthenogenesis, family.perhaps_alone), []).append(family)
        youngest_first = sorted(known.values(), key=lambda animal: natural(animal.id), reverse=True)
        eldest_twin = {animal.twin_group: animal.id for animal in youngest_first}

        def birth(young: str) -> tuple[str, Natural, Natural]:
            """Born together, twins stand together."""
            animal = known[young]
            first = young if animal.twin_group is None else eldest_twin[animal.twin_group]
            return (animal.born, natural(first), natural(young))

        families = [
            replace(
                same[0],
                sires=tuple(sorted(same[0].sires, key=lambda sire: sire.id)),
                young=tuple(sorted((young for family in same for young in family.young), key=birth)),
                related=any(family.related for family in same),
            )
            for same in merged.values()
        ]
        return tuple(sorted(families, key=lambda family: (known[family.young[0]].born, natural(family.young[0]))))

    @cached_property
    def generations(self) -> Mapping[str, int]:
        """The generation of every animal, in the order of ids."""
        parents = {young: family.parents for family in self.families for young in family.young}
        found: dict[str, int] = {}
        for animal in TopologicalSorter({key: parents.get(key, ()) for key in self.by_id}).static_order():
            found[animal] = 1 + max((found[parent] for parent in parents.get(animal, ())), default=-1)
        return dict(sorted(found.items()))

    @cached_property
    def levels(self) -> Mapping[str, int]:
        """The level of every animal, 0 at the top, in the order of ids."""
        found = self.generations
        young = {animal for family in self.families for animal in family.young}
        matings = grouped(
            (parent, max(found[mate] for mate in family.parents))
            for family in self.families
            for parent in family.parents
        )
        return {one: level if one in young else min(matings.get(one, [level])) for one, level in found.items()}


_VERBS: Mapping[State, tuple[str, str]] = {
    "shows": ("shows", "show"),
    "carries": ("carries", "carry"),
    "one of": ("carries", "carry"),
    "may carry": ("may carry", "may carry"),
}
"""What one of them does, and several."""


def listed(names: tuple[str, ...], last: str = "and") -> str:
    """`a`, `a and b`, `a, b and c`."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {last} {names[-1]}"


def described(animal: PedigreeAnimal, traits: tuple[str, ...]) -> str:
    """One animal without its relatives: `C24-03-2, male, Pastel, may carry Piebald`."""
    return ", ".join((animal.label, *told(animal, traits)))


def told(animal: PedigreeAnimal, traits: tuple[str, ...]) -> tuple[str, ...]:
    """What is said of it after its label, in pieces."""
    sex = "sex unknown" if animal.sex == "unknown" else animal.sex
    says = [*([sex] if animal.count == 1 else []), *([animal.description] if animal.description else [])]
    says += [f"shows {listed(animal.looks)}"] if animal.looks else []
    for state, verbs in _VERBS.items():
        marks = (mark for mark in animal.marks if mark.state == state and mark.trait in traits)
        once_first = sorted((mark for mark in marks if mark.look not in animal.looks), key=lambda mark: mark.twice)
        groups = grouped((mark.of, mark.in_words) for mark in once_first)
        for of, found in groups.items():
            names = listed(found, "or" if of and state != "shows" else "and")
            copies = f"one copy{' each' if len(found) > 1 else ''} of {names}"
            if of and state == "shows":
                says.append(copies)
            else:
                says.append(f"{'has' if state == 'shows' and animal.looks else verbs[animal.count > 1]} {names}")
    if animal.dead:
        says.append("dead")
    return tuple(says)


class Selection(Struct, frozen=True):
    """Ids in natural order, and the families that join them."""

    ids: tuple[str, ...]
    families: tuple[PedigreeFamily, ...]


def ancestors(focus: Sequence[str], lookup: Callable[[str], PedigreeFamily | None], generations: int = 3) -> Selection:
    """The animals of `focus` and their ancestors, each once, `generations` steps up (3 = to great-grandparents).

    `lookup` gives an animal's parents as a family without young, or None when none is recorded. At the upper edge a family is kept only
    when all of its parents are in the selection anyway: no animal is shown as a founder beside its own parents, and none is added.
    """
    recorded: dict[str, PedigreeFamily] = {}
    steps = dict.fromkeys(focus, generations)
    waiting = list(steps)
    while waiting:
        animal = waiting.pop(0)
        parents = lookup(animal)
        if parents is None or not parents.parents:
            continue
        recorded[animal] = parents
        for parent in parents.parents if steps[animal] > 0 else ():
            if steps.get(parent, -1) < steps[animal] - 1:
                steps[parent] = steps[animal] - 1
                waiting.append(parent)
    complete = (
        one for one in sorted(recorded, key=natural) if all(parent in steps for parent in recorded[one].parents)
    )
    families = grouped((recorded[animal], animal) for animal in complete)
    return Selection(
        tuple(sorted(steps, key=natural)),
        tuple(replace(parents, young=young) for parents, young in families.items()),
    )


PLURALS: dict[Sex, str] = {"male": "males", "female": "females", "unknown": "unsexed"}


def in_few_symbols(young: Sequence[PedigreeAnimal], at_most: int = 8) -> tuple[PedigreeAnimal, ...]:
    """The young one by one when there are `at_most` or fewer; else those of one sex and one look in one symbol.

    A focus animal, a twin and a dead animal always keep a symbol of their own. A symbol for several has the eldest's id and
    date, no link, and says how many it stands for; `count` of what comes in is added up.
    """
    in_order = sorted(young, key=lambda animal: (animal.born, natural(animal.id)))
    if sum(animal.count for animal in in_order) <= at_most:
        return tuple(in_order)

    def look(animal: PedigreeAnimal) -> tuple[object, ...]:
        alone = animal.id if animal.focus or animal.dead or animal.twin_group is not None else ""
        return alone, animal.sex, tuple(sorted((mark.trait, mark.state) for mark in animal.marks))

    return tuple(map(_as_one, grouped((look(animal), animal) for animal in in_order).values()))


def _as_one(members: Sequence[PedigreeAnimal]) -> PedigreeAnimal:
    eldest = members[0]
    if len(members) == 1:
        return eldest
    count = sum(animal.count for animal in members)
    names = listed(tuple(animal.label for animal in members))
    return replace(
        eldest,
        label=f"{count} {PLURALS[eldest.sex]}",
        href=None,
        count=count,
        nameless=False,
        looks=(),
        description=names,
    )
