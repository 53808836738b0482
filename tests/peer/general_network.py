"""A collection as a network for a general library of Bayesian networks (pyagrum): the same model, written anew.

Variables  one for each animal at each locus, over its genotypes; one for each clutch with a sire in doubt, over the candidates.
Factors    founders by what is claimed of them; young by Mendel's rules given both parents and, in doubt, given the choice.
Evidence   a weight for each genotype of an animal: 0 where its looks or a sure test rule it out, the test's error elsewhere.
Limit      a founder of whom nothing is claimed has the genotype that its look needs and no copy more. That is the limit of a vanishing
           frequency as long as no record needs an unrecorded carrier, which holds for generated collections.
Assumes    loci off the sex chromosomes; `one of` or known sires; complete clutches.
"""

from __future__ import annotations

import warnings
from collections.abc import Mapping, Sequence
from datetime import date
from importlib import import_module
from itertools import product
from typing import Any

from msgspec import Struct

from clutchlight.model import Animal, Collection, Genotype, Inheritance, Locus

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # its module dies of a warning turned into an error while it is being loaded
    pyagrum: Any = import_module("pyagrum")


class GeneralNetwork(Struct, frozen=True):
    """The library's network and, by variable name, the evidence with the day from which it counts (None: always)."""

    collection: Collection
    loci: tuple[Locus, ...]
    net: Any
    evidence: Mapping[str, tuple[tuple[date | None, tuple[float, ...]], ...]]

    def asked(self, day: date | None = None) -> Any:
        """An inference with the evidence up to a day (None: all of it) put in, nothing computed yet."""
        engine = pyagrum.LazyPropagation(self.net)
        for name, rows in self.evidence.items():
            counting = [weights for since, weights in rows if day is None or since is None or since <= day]
            if counting:
                engine.addEvidence(name, _multiplied(counting))
        return engine

    def chances(self, engine: Any, animal: str, locus: Locus) -> dict[Genotype, float]:
        found = engine.posterior(variable(animal, locus)).tolist()
        return dict(zip(locus.genotypes, found, strict=True))


def variable(animal: str, locus: Locus) -> str:
    return f"{animal}@{locus.key}"


def general_network(collection: Collection, loci: Sequence[Locus]) -> GeneralNetwork:
    net = pyagrum.BayesNet()
    evidence: dict[str, tuple[tuple[date | None, tuple[float, ...]], ...]] = {}
    for clutch in collection.clutches.values():
        if len(clutch.sires.candidates) > 1:
            assert clutch.sires.kind == "one of"
            net.add(pyagrum.LabelizedVariable(clutch.id, "", len(clutch.sires.candidates)))
            net.cpt(clutch.id).fillWith([float(chance) for _, chance in clutch.sires.candidates])
    for locus in loci:
        for ident in collection.animals:
            net.add(pyagrum.LabelizedVariable(variable(ident, locus), "", len(locus.genotypes)))
        for animal in collection.animals.values():
            _fill(net, collection, locus, animal)
            if rows := _evidence(collection, locus, animal):
                evidence[variable(animal.id, locus)] = rows
    return GeneralNetwork(collection, tuple(loci), net, evidence)


def _fill(net: Any, collection: Collection, locus: Locus, animal: Animal) -> None:
    name = variable(animal.id, locus)
    if animal.founder:
        net.cpt(name).fillWith(_founder(locus, animal))
        return
    assert animal.dam is not None
    clutch = collection.clutches[animal.clutch or ""]
    sires = clutch.sires.ids
    if len(sires) > 1:
        net.addArc(clutch.id, name)
    for parent in (*sires, animal.dam):
        net.addArc(variable(parent, locus), name)
    pairs = locus.genotypes
    cells: list[float] = []
    for dam in pairs:
        for fathers in product(pairs, repeat=len(sires)):  # the library's order: the first of several runs fastest
            for father in reversed(fathers):
                cells += _young(locus, father, dam)
    net.cpt(name).fillWith(cells)


def _young(locus: Locus, sire: Genotype, dam: Genotype) -> list[float]:
    drawn = [(min(a, b), max(a, b)) for a in sire for b in dam]
    alive = [pair for pair in drawn if not locus.lethal(pair)]
    return [alive.count(pair) / len(alive) for pair in locus.genotypes]


def _shown(locus: Locus, animal: Animal) -> frozenset[str] | None:
    if animal.reading is None or animal.reading.shows is None:
        return None
    return frozenset(name for name in animal.reading.shows if name in locus.look_names)


def _founder(locus: Locus, animal: Animal) -> list[float]:
    claimed = {claim.trait: claim.chance for claim in animal.claims if claim.locus == locus.key and claim.chance}
    weights = dict.fromkeys(locus.genotypes, 0.0)
    if shown := _shown(locus, animal):
        assert not claimed
        copies = 1 if locus.inheritance is Inheritance.INCOMPLETE_DOMINANT else 2
        fitting = [pair for pair in locus.genotypes if locus.look_of[pair] == shown]
        least = min(fitting, key=lambda pair: sum(map(bool, pair)))
        assert sum(map(bool, least)) == copies
        weights[least] = 1.0
        return list(weights.values())
    weights[0, 0] = 1 - float(sum(claimed.values()))
    for trait, chance in claimed.items():
        weights[0, locus.alleles.index(trait) + 1] = float(chance)
    return list(weights.values())


def _evidence(
    collection: Collection, locus: Locus, animal: Animal
) -> tuple[tuple[date | None, tuple[float, ...]], ...]:
    clutch = collection.clutches.get(animal.clutch or "")
    rows: list[tuple[date | None, tuple[float, ...]]] = []
    shown = _shown(locus, animal)
    if shown is not None:
        born = clutch.hatched.last if clutch and clutch.hatched else None
        rows.append((born, tuple(float(locus.look_of[pair] == shown) for pair in locus.genotypes)))
    for test in animal.tests:
        if test.locus == locus.key:
            allele, error = locus.alleles.index(test.trait) + 1, float(test.error)
            left = {pair.count(allele) for pair in locus.genotypes if shown is None or locus.look_of[pair] == shown}
            if error and (test.copies not in left or len(left) == 1):
                continue
            wrong = error / (len(left) - 1) if error else 0.0
            found = (1 - error if pair.count(allele) == test.copies else wrong for pair in locus.genotypes)
            rows.append((test.on.last, tuple(found)))
    return tuple(rows)


def _multiplied(rows: Sequence[tuple[float, ...]]) -> list[float]:
    found = [1.0] * len(rows[0])
    for row in rows:
        found = [a * b for a, b in zip(found, row, strict=True)]
    return found
