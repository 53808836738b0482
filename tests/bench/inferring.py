"""What inference costs: against a general library on the same networks, and from 500 to 20,000 animals.

Measures   ours    inference of a whole collection, from records in memory to every figure of every animal and locus now (and, told apart,
                   when hatched): seconds of one core, most memory, widest table, table entries, share of figures not computed
           theirs  pyagrum's lazy propagation on the same model, one network a locus: every posterior. Putting the network together is
                   not counted against it, ours is.
           Each in a process of its own, one after the other, in the same run; what passes the limit of time or memory is said to have.
           claims  now and when hatched, where 3 in 10 claims of certainty are false beside one of the same size and seed where none is:
                   processor seconds
           doubt   statements and derivations of a collection that hangs together tightly, two possible sires in a third of its
                   clutches, beside one of the same size and seed without doubt: processor seconds
Run        python -m tests.bench.inferring [--against] [--growth] [--claims] [--doubt] [--largest 20000] [--seconds 120]
Gates      tests/bench/test_counts.py holds the counts, which no machine changes.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import resource
import subprocess
import sys
import time

from msgspec import Struct
from tests.bench.generating import SPECIES, Regime, Shape, generate

from clutchlight.genetics.inference import Inference, infer
from clutchlight.genetics.values import NotComputed
from clutchlight.model import Collection
from clutchlight.statements.answers import Answers
from clutchlight.statements.asked import Asked
from clutchlight.statements.clutches import state_all
from clutchlight.statements.why import why

REGIMES: tuple[Regime, ...] = ("separate projects", "mated at random")
AGAINST = (125, 250, 500, 1000, 2000, 4000)
GROWTH: dict[Regime, tuple[int, ...]] = {
    "separate projects": (500, 1000, 2000, 5000, 10000, 20000),
    "mated at random": (500, 1000, 2000),
}
LOCI = 12
MEMORY = 8 << 30


class Counts(Struct, frozen=True):
    """What does not depend on the machine: the widest table, entries of all tables, figures, and those of them not computed."""

    widest: int
    entries: int
    figures: int
    not_computed: int


def counts_of(inference: Inference, *, when_hatched: bool) -> Counts:
    """Asks for every figure of every animal, now or when hatched."""
    collection = inference.collection
    ask = inference.when_hatched if when_hatched else inference.now
    found = [
        isinstance(ask(ident, locus.key), NotComputed)
        for ident, animal in collection.animals.items()
        for locus in inference.loci_in_play(animal.species)
    ]
    figures = inference.figures_of(next(iter(collection.animals)))
    networks = [network for _, network in figures.history.spans] if when_hatched else [figures.network]
    trees = [tree for network in networks for tree in network.trees]
    return Counts(
        max((tree.plan.widest for tree in trees), default=0),
        sum(tree.plan.entries for tree in trees),
        len(found),
        sum(found),
    )


def collection_of(regime: Regime, animals: int, loci: int, seed: int = 1) -> Collection:
    return generate(Shape(animals=animals, loci=loci, regime=regime), seed).collection


def ours(regime: Regime, animals: int, loci: int) -> dict[str, float]:
    collection = collection_of(regime, animals, loci)
    begun = time.process_time()
    inference = infer(collection)
    now = counts_of(inference, when_hatched=False)
    midway = time.process_time()
    then = counts_of(inference, when_hatched=True)
    return {
        "seconds": midway - begun,
        "when_hatched": time.process_time() - midway,
        "megabytes": _megabytes(),
        "clutches": len(collection.clutches),
        "widest": max(now.widest, then.widest),
        "entries": now.entries,
        "figures": now.figures + then.figures,
        "not_computed": now.not_computed + then.not_computed,
    }


def theirs(regime: Regime, animals: int, loci: int) -> dict[str, float]:
    from tests.peer.general_network import general_network

    collection = collection_of(regime, animals, loci)
    networks = [general_network(collection, [locus]) for locus in collection.species[SPECIES].computed_loci]
    begun = time.process_time()
    for network in networks:
        engine = network.asked()
        engine.makeInference()
        for locus in network.loci:
            for ident in collection.animals:
                network.chances(engine, ident, locus)
    return {"seconds": time.process_time() - begun, "megabytes": _megabytes()}


def _megabytes() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def apart(which: str, regime: Regime, animals: int, loci: int, seconds: float) -> dict[str, float] | None:
    """One measurement in a process of its own; None where it passed the limit of time or memory."""
    command = [sys.executable, "-m", "tests.bench.inferring", "--one", which, regime, str(animals), str(loci)]
    try:
        done = subprocess.run(command, capture_output=True, timeout=seconds, check=False)
    except subprocess.TimeoutExpired:
        return None
    found: dict[str, float] | None = json.loads(done.stdout) if done.returncode == 0 else None
    return found


def against(seconds: float, loci: int = 3) -> None:
    """Both on growing collections, until theirs no longer ends."""
    print(f"Against pyagrum: every figure now, {loci} loci, at most {seconds:g} s and {MEMORY >> 30} GB each\n")
    print(f"{'regime':<20}{'animals':>8}{'ours s':>9}{'theirs s':>10}{'theirs / ours':>15}")
    for regime in REGIMES:
        for animals in AGAINST:
            mine, other = (apart(which, regime, animals, loci, seconds) for which in ("ours", "theirs"))
            if mine is None:
                print(f"{regime:<20}{animals:>8}     ours did not end")
                break
            if other is None:
                print(f"{regime:<20}{animals:>8}{mine['seconds']:>9.2f}   did not end")
                break
            ratio = other["seconds"] / mine["seconds"]
            print(f"{regime:<20}{animals:>8}{mine['seconds']:>9.2f}{other['seconds']:>10.2f}{ratio:>15.1f}")


def growth(largest: int, seconds: float) -> None:
    """Ours alone, each size beside the smallest."""
    print(f"\nGrowth: every figure now and when hatched, {LOCI} loci\n")
    heads = ("animals", "clutches", "now s", "hatched s", "per figure", "MB", "widest", "entries", "not computed")
    print(f"{'regime':<20}" + "".join(f"{head:>13}" for head in heads))
    for regime in REGIMES:
        first = 0.0
        for animals in GROWTH[regime]:
            if animals > largest:
                break
            found = apart("ours", regime, animals, LOCI, seconds)
            if found is None:
                print(f"{regime:<20}{animals:>13}   did not end in {seconds:g} s")
                break
            each = (found["seconds"] + found["when_hatched"]) / found["figures"]
            first = first or each
            row = (
                *(f"{found[key]:.2f}" for key in ("seconds", "when_hatched")),
                f"x {each / first:.2f}",
                *(f"{found[key]:.0f}" for key in ("megabytes", "widest", "entries")),
                f"{found['not_computed']:.0f} of {found['figures']:.0f}",
            )
            print(f"{regime:<20}{animals:>13}{found['clutches']:>13.0f}" + "".join(f"{cell:>13}" for cell in row))


def stated(animals: int, loci: int, seed: int, in_doubt: float) -> dict[str, float]:
    """Everything that is said of a collection, and every derivation."""
    collection = generate(
        Shape(animals=animals, loci=loci, regime="mated at random", in_doubt=in_doubt), seed
    ).collection
    begun = time.process_time()
    telling = Answers(infer(collection))
    state_all(telling)
    for animal in collection.animals.values():
        for locus in telling.loci(animal.species):
            for allele in range(1, len(locus.alleles) + 1):
                if telling.ever(animal.id, locus.key, allele):
                    why(Asked(telling, animal, locus, allele))
    doubts = sum(len(clutch.sires.candidates) > 1 for clutch in collection.clutches.values())
    return {"seconds": time.process_time() - begun, "clutches": len(collection.clutches), "doubts": doubts}


def doubt(animals: int = 542, loci: int = 3, seeds: tuple[int, ...] = (1, 3)) -> None:
    """Sires in doubt against sires on record."""
    print(f"\nSires in doubt: everything said of {animals} animals, {loci} loci, processor seconds\n")
    print(f"{'seed':>4}{'clutches':>10}{'in doubt':>10}{'s':>8}{'without':>10}{'ratio':>8}")
    for seed in seeds:
        told, plain = stated(animals, loci, seed, 0.33), stated(animals, loci, seed, 0.0)
        ratio = told["seconds"] / plain["seconds"]
        row = f"{told['clutches']:>10.0f}{told['doubts']:>10.0f}{told['seconds']:>8.2f}{plain['seconds']:>10.2f}{ratio:>8.1f}"
        print(f"{seed:>4}{row}", flush=True)


def claims(animals: int = 1500, loci: int = LOCI, seeds: tuple[int, ...] = (1, 2, 3)) -> None:
    """Claims that what hatched makes hard to believe against claims that hold."""
    print(
        f"\nClaims in doubt: every figure now and when hatched of {animals} animals, {loci} loci, processor seconds\n"
    )
    print(f"{'seed':>4}{'claims':>10}{'in doubt':>10}{'s':>8}{'all hold':>10}{'ratio':>8}")
    for seed in seeds:
        seconds: list[float] = []
        for share in (0.3, 0.0):
            collection = generate(Shape(animals=animals, loci=loci, false_claims=share), seed).collection
            begun = time.process_time()
            inference = infer(collection)
            counts_of(inference, when_hatched=False)
            counts_of(inference, when_hatched=True)
            seconds.append(time.process_time() - begun)
            if share:
                sure = [
                    (one.id, claim.locus)
                    for one in collection.animals.values()
                    for claim in one.claims
                    if 1 in (claim.chance, claim.two_copies)
                ]
                doubted = sum(inference.claim_in_doubt(*one) for one in sure)
        row = f"{len(sure):>10}{doubted:>10}{seconds[0]:>8.2f}{seconds[1]:>10.2f}{seconds[0] / seconds[1]:>8.1f}"
        print(f"{seed:>4}{row}", flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--against", action="store_true")
    parser.add_argument("--growth", action="store_true")
    parser.add_argument("--claims", action="store_true")
    parser.add_argument("--doubt", action="store_true")
    parser.add_argument("--largest", type=int, default=20000)
    parser.add_argument("--seconds", type=float, default=120)
    parser.add_argument("--one", nargs=4, metavar=("WHICH", "REGIME", "ANIMALS", "LOCI"), help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.one:
        which, regime, animals, loci = given.one
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        measure = {"ours": ours, "theirs": theirs}[which]
        print(json.dumps(measure(regime, int(animals), int(loci))))
        return
    every = not (given.against or given.growth or given.claims or given.doubt)
    print(f"Python {platform.python_version()}, {platform.machine()}, {os.cpu_count()} cores\n", flush=True)
    if given.against or every:
        against(given.seconds)
    if given.growth or every:
        growth(given.largest, given.seconds)
    if given.claims or every:
        claims()
    if given.doubt or every:
        doubt()


if __name__ == "__main__":
    main()
