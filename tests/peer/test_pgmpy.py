"""Figures of small random cases against a second general library of Bayesian networks (pgmpy), to 1e-9: what the first leaves out."""

from __future__ import annotations

import os
import warnings
from collections.abc import Mapping
from fractions import Fraction
from importlib import import_module
from math import isclose
from typing import Any

import pytest
from msgspec.structs import replace
from tests.oracle.as_collection import as_collection
from tests.oracle.case import NONE
from tests.peer.second_network import Network, as_pgmpy, random_case

from clutchlight.genetics.inference import Inference, infer
from clutchlight.genetics.values import Figure, NotComputed
from clutchlight.model import Nobody, Recorded

KINDS = (
    "linked",
    "linked twins",
    "linked mixed",
    "linked one of two",
    "mixed two twins",
    "one of two twins",
    "none",
    "none linked twins",
    "perhaps none two",
)
SEEDS = range(2 * int(os.environ.get("CLUTCHLIGHT_LONG", "1")))


class Peer:
    """What the library says of a case."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.engine: Any = import_module("pgmpy.inference").VariableElimination(as_pgmpy(network))
        known = {name: network.nodes[name].values.index(value) for name, value in network.seen.items()}
        wanted = [name for name in network.nodes if ":look@" not in name and not name.endswith(":sex")]
        self.found: dict[str, list[float]] = {
            name: self.engine.query([name], evidence=known, show_progress=False).values.tolist() for name in wanted
        }

    def genotypes(self, animal: str, locus: str) -> Mapping[tuple[int, int], float]:
        name = f"{animal}@{locus}"
        return self.network.genotype(self.network.nodes[name].values, self.found[name])

    def sires(self, chooser: str) -> Mapping[str, float]:
        return dict(zip(self.network.nodes[chooser].values, self.found[chooser], strict=True))


def differing(ours: Inference, peer: Peer) -> list[str]:
    case = peer.network.case
    found = []
    for animal in case.animals:
        for locus in case.loci:
            figure = ours.now(animal.id, locus.name)
            assert isinstance(figure, Figure)
            theirs = peer.genotypes(animal.same_egg_as or animal.id, locus.name)
            exact = dict(figure.genotypes)
            if not all(isclose(float(exact.get(pair, 0)), chance, abs_tol=1e-9) for pair, chance in theirs.items()):
                found.append(f"{animal.id} at {locus.name}")
    for clutch in case.clutches:
        if len(clutch.sires) > 1:
            for animal in [one for one in case.animals if one.clutch == clutch.id and one.same_egg_as is None]:
                theirs_of = peer.sires(f"{animal.id}:sire" if clutch.mixed else clutch.id)
                chances = ours.sires_of(animal.id)
                assert not isinstance(chances, NotComputed)
                for sire, chance in chances:
                    name = sire.id if isinstance(sire, Recorded) else NONE if isinstance(sire, Nobody) else ""
                    if not isclose(float(chance), theirs_of[name], abs_tol=1e-9):
                        found.append(f"the sire of {animal.id}")
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_present_figures_and_sires_agree(kind: str) -> None:
    """Every figure of every animal, and who sired each, on cases in which no founder has to carry more than was recorded."""
    compared = 0
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for seed in SEEDS:
            network = random_case(kind, seed)
            ours = infer(as_collection(network.case))
            assert not ours.conflicts
            figures = ours.figures_of("D1")
            if ours.surprises or figures.questions.at(figures.world.timeline.now):
                continue
            compared += 1
            assert differing(ours, Peer(network)) == []
    assert 3 * compared >= 2 * len(SEEDS)


def test_a_wrong_table_is_noticed() -> None:
    """The comparison can fail: with another crossover than the one the library was told, some figure differs."""
    noticed = 0
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for seed in range(8):
            network = random_case("linked", seed)
            wrong = tuple(replace(locus, crossover=Fraction(1, 7)) for locus in network.case.loci)
            noticed += bool(differing(infer(as_collection(replace(network.case, loci=wrong))), Peer(network)))
    assert noticed > 1
