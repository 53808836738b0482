"""Every figure of generated collections against a general library of Bayesian networks (pyagrum), to 1e-12.

The library works in floating point and knows nothing of pedigrees; `general_network` gives it the model anew.
"""

from __future__ import annotations

from fractions import Fraction
from math import isclose

import pytest
from msgspec.structs import replace
from tests.bench.generating import SPECIES, Shape, generate
from tests.peer.general_network import GeneralNetwork, general_network, variable

from clutchlight.genetics.inference import infer
from clutchlight.genetics.values import Figure, NotComputed
from clutchlight.model import Collection, Genotype, Locus

SHAPES = {
    "recessive": (Shape(animals=300, loci=1, kinds="r", tested=0.02), range(4)),
    "incomplete dominant": (Shape(animals=300, loci=1, kinds="i", unseen=0.3), range(2)),
    "allelic": (Shape(animals=200, loci=1, kinds="a"), range(3)),
    "mated at random": (Shape(animals=250, loci=1, kinds="r", regime="mated at random", unseen=0.1), range(3)),
    "doubtful sires": (Shape(animals=110, loci=3, kinds="rra", in_doubt=0.15), range(4)),
    "doubtful tests": (Shape(animals=200, loci=2, kinds="r", tested=0.1, error=Fraction(1, 20)), range(2)),
}


def cases() -> list[tuple[str, int]]:
    return [(name, seed) for name, (_, seeds) in SHAPES.items() for seed in seeds]


def peers(collection: Collection) -> list[GeneralNetwork]:
    """One network for each locus; one for all where a sire in doubt ties loci together."""
    loci = collection.species[SPECIES].computed_loci
    if any(len(clutch.sires.candidates) > 1 for clutch in collection.clutches.values()):
        return [general_network(collection, loci)]
    return [general_network(collection, [locus]) for locus in loci]


def agrees(ours: Figure | NotComputed, theirs: dict[Genotype, float], locus: Locus) -> bool:
    assert isinstance(ours, Figure)
    exact = dict(ours.genotypes)
    return all(
        isclose(float(exact.get(pair, 0)), theirs[pair], rel_tol=1e-12, abs_tol=1e-12) for pair in locus.genotypes
    )


@pytest.mark.parametrize(("name", "seed"), cases())
def test_present_figures_agree(name: str, seed: int) -> None:
    """Every figure of every animal, now, is the library's to 1e-12."""
    collection = generate(SHAPES[name][0], seed).collection
    ours = infer(collection)
    assert not ours.conflicts
    assert not ours.surprises
    for peer in peers(collection):
        engine = peer.asked()
        engine.makeInference()
        differing = [
            (ident, locus.key)
            for locus in peer.loci
            for ident in collection.animals
            if not agrees(ours.now(ident, locus.key), peer.chances(engine, ident, locus), locus)
        ]
        assert differing == []


@pytest.mark.parametrize(("name", "seed"), [(name, seed) for name, seed in cases() if seed == 1])
def test_figures_when_hatched_agree(name: str, seed: int) -> None:
    """The figures of every seventh clutch on its day are the library's, given the evidence up to that day."""
    collection = generate(SHAPES[name][0], seed).collection
    ours = infer(collection)
    everyone = peers(collection)
    for clutch in list(collection.clutches.values())[::7]:
        assert clutch.hatched is not None
        for peer in everyone:
            engine = peer.asked(clutch.hatched.last)
            for locus in peer.loci:
                for ident in clutch.young:
                    engine.addTarget(variable(ident, locus))
            engine.makeInference()
            differing = [
                (ident, locus.key)
                for locus in peer.loci
                for ident in clutch.young
                if not agrees(ours.when_hatched(ident, locus.key), peer.chances(engine, ident, locus), locus)
            ]
            assert differing == []


def test_a_wrong_model_is_noticed() -> None:
    """The comparison can fail: one clutch more with a visual in it changes figures that the library was not told of."""
    collection = generate(SHAPES["recessive"][0], 1).collection
    without = replace(
        collection,
        animals={ident: replace(a, readings=()) if a.clutch else a for ident, a in collection.animals.items()},
    )
    ours = infer(without)
    (peer,) = peers(collection)
    engine = peer.asked()
    engine.makeInference()
    (locus,) = peer.loci
    assert not all(
        agrees(ours.now(ident, locus.key), peer.chances(engine, ident, locus), locus) for ident in collection.animals
    )
