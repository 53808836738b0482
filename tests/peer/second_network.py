"""Small cases as networks for a second general library (pgmpy): what the first leaves out, with tables written here anew.

Covers     sex linkage in both systems, sires drawn egg by egg, one sire of several for a clutch, no sire, identical twins, sexes in doubt.
Variables  the states of each founder and egg at each locus; who sired a clutch, or an egg; the sex of an unsexed young; what was seen
           of each animal at each locus, as a child of its states. A state is (sex or "", one allele, other allele): on the sex
           chromosomes of the sex that has two kinds, the first stands on the one that both sexes have; elsewhere the lower one first.
Founders   by what is claimed of them or what they show, so that no record needs an unrecorded carrier.
Truth      drawn from the same tables, forwards, and then looked at: so that what is seen can always be.
Assumes    alleles 0 and 1; complete clutches.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from fractions import Fraction
from importlib import import_module
from itertools import product
from random import Random
from typing import Any

from msgspec import Struct, field
from msgspec.structs import replace
from tests.oracle.case import NONE, Animal, Case, Claim, Clutch, Locus, Look, Reading, Sex

State = tuple[str, int, int]
Shares = dict[Any, float]


class Node(Struct):
    """A variable with its values, its parents, and its chances for each combination of theirs."""

    name: str
    values: list[Any]
    parents: list[str] = field(default_factory=list)
    given: dict[tuple[Any, ...], Shares] = field(default_factory=dict)


class Network(Struct):
    """The nodes of a case, parents first, and what was seen."""

    case: Case
    nodes: dict[str, Node]
    seen: dict[str, str]

    def drawn(self, random: Random) -> dict[str, Any]:
        """One way that everything can be."""
        found: dict[str, Any] = {}
        for node in self.nodes.values():
            shares = node.given[tuple(found[parent] for parent in node.parents)]
            found[node.name] = random.choices(list(shares), list(shares.values()))[0]
        return found

    def genotype(self, values: list[Any], chances: list[float]) -> Mapping[tuple[int, int], float]:
        """Chances of states, gathered by genotype."""
        found: dict[tuple[int, int], float] = {}
        for (_, a, b), chance in zip(values, chances, strict=True):
            pair = (min(a, b), max(a, b))
            found[pair] = found.get(pair, 0.0) + chance
        return found


def unit(case: Case, animal: Animal) -> str:
    return animal.same_egg_as or animal.id


def two_kinds(case: Case) -> str:
    return "male" if case.system == "XY" else "female"


def states_of(case: Case, locus: Locus, sex: str) -> list[State]:
    if locus.crossover is None:
        return [("", 0, 0), ("", 0, 1), ("", 1, 1)]
    if sex == two_kinds(case):
        return [(sex, a, b) for a, b in product((0, 1), repeat=2)]
    return [(sex, 0, 0), (sex, 0, 1), (sex, 1, 1)]


def network_of(case: Case) -> Network:
    """The network of a case, and its looks as evidence."""
    nodes: dict[str, Node] = {}
    seen: dict[str, str] = {}
    for animal in case.animals:
        if animal.founder:
            assert animal.sex is not None
            for locus in case.loci:
                name = f"{animal.id}@{locus.name}"
                nodes[name] = Node(name, states_of(case, locus, animal.sex), [], {(): _founder(case, locus, animal)})
    clutches = {clutch.id: clutch for clutch in case.clutches}
    for clutch in case.clutches:
        if len(clutch.sires) > 1 and not clutch.mixed:
            nodes[clutch.id] = _choice(clutch.id, clutch)
    for animal in case.animals:
        if animal.clutch and animal.same_egg_as is None:
            for node in _egg(case, clutches[animal.clutch], animal):
                nodes[node.name] = node
    for animal in case.animals:
        for locus in case.loci:
            parent = nodes[f"{unit(case, animal)}@{locus.name}"]
            name = f"{animal.id}:look@{locus.name}"
            nodes[name] = Node(
                name,
                [
                    "normal",
                    *dict.fromkeys(_look(locus, state) for state in parent.values if _look(locus, state) != "normal"),
                ],
                [parent.name],
                {(state,): {_look(locus, state): 1.0} for state in parent.values},
            )
            look = animal.readings[0].look.shows if animal.readings else None
            if look is not None:
                own = [name for name in look if name in (locus.alleles[0], f"Super {locus.alleles[0]}")]
                seen[name] = own[0] if own else "normal"
    return Network(case, nodes, seen)


def _look(locus: Locus, state: State) -> str:
    copies = state[1] + state[2]
    if locus.inheritance == "recessive":
        return locus.alleles[0] if copies == 2 else "normal"
    return ("normal", locus.alleles[0], f"Super {locus.alleles[0]}")[copies]


def _founder(case: Case, locus: Locus, animal: Animal) -> Shares:
    """Its copies by look and claim; one copy of the sex with two kinds stands on either with a half."""
    shows = [name for name in animal.readings[0].look.shows or () if name.removeprefix("Super ") == locus.alleles[0]]
    claimed = [claim.chance for claim in animal.claims if claim.trait == locus.alleles[0]]
    if shows:
        copies = 2 if locus.inheritance == "recessive" or shows[0].startswith("Super ") else 1
        shares = {copies: 1.0}
    else:
        chance = float(claimed[0] or 0) if claimed else 0.0
        shares = {0: 1 - chance, 1: chance}
    states = states_of(case, locus, animal.sex or "")
    return {
        state: shares[state[1] + state[2]] / sum(other[1] + other[2] == state[1] + state[2] for other in states)
        for state in states
        if shares.get(state[1] + state[2])
    }


def _choice(name: str, clutch: Clutch) -> Node:
    return Node(
        name, [sire for sire, _ in clutch.sires], [], {(): {sire: float(chance) for sire, chance in clutch.sires}}
    )


def _egg(case: Case, clutch: Clutch, animal: Animal) -> Iterator[Node]:
    chooser = ""
    if len(clutch.sires) > 1:
        chooser = f"{animal.id}:sire" if clutch.mixed else clutch.id
        if clutch.mixed:
            yield _choice(chooser, clutch)
    sexes = [animal.sex] if animal.sex else ["female", "male"]
    yield Node(f"{animal.id}:sex", sexes, [], {(): dict.fromkeys(sexes, 1 / len(sexes))})
    recorded = [sire for sire, _ in clutch.sires if sire != NONE]
    for locus in case.loci:
        names = [f"{animal.id}:sex", *([chooser] if chooser else []), f"{clutch.dam}@{locus.name}"]
        names += [f"{sire}@{locus.name}" for sire in recorded]
        values = list(dict.fromkeys(state for sex in sexes for state in states_of(case, locus, sex or "")))
        node = Node(f"{animal.id}@{locus.name}", values, names)
        ways = [sire for sire, _ in clutch.sires] if chooser else [clutch.sires[0][0]]
        for sex, sire, dam in product(sexes, ways, states_of(case, locus, "female")):
            for fathers in product(*(states_of(case, locus, "male") for _ in recorded)):
                shares = (
                    _alone(locus, dam)
                    if sire == NONE
                    else _young(case, locus, fathers[recorded.index(sire)], dam, sex or "")
                )
                node.given[sex, *([sire] if chooser else []), dam, *fathers] = shares
        yield node


def _alone(locus: Locus, dam: State) -> Shares:
    """Terminal fusion: two copies of either of her alleles, or both of them in the share that is kept."""
    sex, a, b = dam
    kept = float(locus.kept)
    found: Shares = {}
    for state, share in (((sex, a, a), (1 - kept) / 2), ((sex, b, b), (1 - kept) / 2), ((sex, a, b), kept)):
        found[state] = found.get(state, 0.0) + share
    return found


def _handed(case: Case, locus: Locus, parent: State, to: str) -> dict[int, float]:
    """The allele that a parent hands to a young of that sex."""
    _, a, b = parent
    crossed = 0.5
    if locus.crossover is not None and parent[0] == two_kinds(case):
        crossed = float(locus.crossover)
        if to == two_kinds(case):  # it gets the chromosome that only its sex has
            a, b = b, a
    found = {a: 1 - crossed}
    found[b] = found.get(b, 0.0) + crossed
    return found


def _young(case: Case, locus: Locus, sire: State, dam: State, sex: str) -> Shares:
    found: Shares = {}
    for (one, first), (other, second) in product(
        _handed(case, locus, sire, sex).items(), _handed(case, locus, dam, sex).items()
    ):
        pair = (min(one, other), max(one, other))
        if locus.crossover is None:
            state = ("", *pair)
        elif sex == two_kinds(case):
            state = (sex, other, one) if sex == "male" else (sex, one, other)
        else:
            state = (sex, *pair)
        found[state] = found.get(state, 0.0) + first * second
    return found


# -- random cases ------------------------------------------------------------------------------------------------------

FOUNDERS: tuple[tuple[str, Sex], ...] = (("D1", "female"), ("D2", "female"), ("S1", "male"), ("S2", "male"))
SEXES: tuple[Sex | None, ...] = ("female", "male", None)
CHANCES = (Fraction(2, 3), Fraction(1, 2), Fraction(1, 3), Fraction(1, 4))


def random_case(kind: str, seed: int) -> Network:
    """A small case of a kind, its looks drawn; what nobody saw is left out."""
    random = Random(f"{kind} {seed}")
    system = random.choice(("XY", "ZW")) if "linked" in kind and "none" not in kind else "XY"
    loci = [Locus("first", random.choice(("recessive", "incomplete dominant")), ("First",))]
    if "linked" in kind:
        crossover = random.choice((Fraction(1, 10), Fraction(1, 3), Fraction(1, 2)))
        loci[0] = replace(loci[0], crossover=crossover)
    if "two" in kind:
        loci.append(Locus("second", "recessive", ("Second",)))
    if "none" in kind:
        loci = [replace(locus, kept=random.choice((Fraction(0), Fraction(1, 4)))) for locus in loci]
    founders: list[Animal] = []
    sex: Sex | None
    for name, sex in FOUNDERS:
        shows, claims = [], []
        for locus in loci:
            if random.random() < 0.3:
                shows.append(locus.alleles[0])
            elif locus.inheritance == "recessive":
                claims.append(Claim(locus.alleles[0], random.choice(CHANCES)))
        founders.append(Animal(name, sex, (Reading(Look(tuple(shows))),), tuple(claims)))
    first = {
        "mixed": (("S1", Fraction(2, 3)), ("S2", Fraction(1, 3))),
        "one of": (("S1", Fraction(3, 4)), ("S2", Fraction(1, 4))),
        "none": ((NONE, Fraction(1)),),
        "perhaps": (("S1", Fraction(1, 2)), (NONE, Fraction(1, 2))),
    }
    sires = next((alternatives for word, alternatives in first.items() if word in kind), (("S1", Fraction(1)),))
    if "perhaps none" in kind:
        sires = first["perhaps"]
    clutches = (
        Clutch("C1", sires, "D1", date(2020, 7, 1), mixed="mixed" in kind),
        Clutch("C2", (("S2", Fraction(1)),), "Y1", date(2023, 7, 1)),
        Clutch("C3", (("S1" if "none" in kind else "Y2", Fraction(1)),), "D2", date(2023, 7, 2)),
    )
    young = [Animal("Y1", "female", clutch="C1"), Animal("Y2", "female" if "none" in kind else "male", clutch="C1")]
    for number in range(3, 6):
        sex = "female" if "none" in kind else random.choice(SEXES)
        young.append(Animal(f"Y{number}", sex, clutch="C1"))
    if "twins" in kind:
        young.append(Animal("Y6", young[-1].sex, clutch="C1", same_egg_as="Y5"))
    for clutch in ("C2", "C3"):
        young += [Animal(f"{clutch}-{number}", random.choice(SEXES), clutch=clutch) for number in range(2)]
    case = Case(tuple(loci), (*founders, *young), clutches, system=system)  # type: ignore[arg-type]
    drawn = network_of(case).drawn(random)

    def looked_at(animal: Animal) -> Animal:
        if random.random() < 0.35 and animal.same_egg_as is None:
            return animal
        names = (str(drawn[f"{animal.id}:look@{locus.name}"]) for locus in loci)
        return replace(animal, readings=(Reading(Look(tuple(name for name in names if name != "normal"))),))

    animals = tuple(animal if animal.founder else looked_at(animal) for animal in case.animals)
    return network_of(replace(case, animals=animals))


def as_pgmpy(network: Network) -> Any:
    """The library's network of the same nodes."""
    tabular: Any = import_module(
        "pgmpy.factors.discrete"
    ).TabularCPD  # takes seconds to load, so not before it is needed
    model: Any = import_module("pgmpy.models").DiscreteBayesianNetwork()
    model.add_nodes_from(list(network.nodes))
    model.add_edges_from([(parent, node.name) for node in network.nodes.values() for parent in node.parents])
    for node in network.nodes.values():
        held = [network.nodes[parent].values for parent in node.parents]
        columns = [node.given.get(key, {node.values[0]: 1.0}) for key in product(*held)]
        table = [[column.get(value, 0.0) for column in columns] for value in node.values]
        model.add_cpds(tabular(node.name, len(node.values), table, node.parents, [len(one) for one in held]))
    return model
