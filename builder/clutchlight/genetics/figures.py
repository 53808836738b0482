"""From chances of states in a network to the figures that are handed out."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from clutchlight.genetics.factors import Place, Variable
from clutchlight.genetics.network import Network
from clutchlight.genetics.solving import World
from clutchlight.genetics.values import Figure, NotComputed
from clutchlight.model import Genotype


def figure_of(pairs: Sequence[Genotype], chances: Sequence[Fraction]) -> Figure:
    """Chances of states, gathered by genotype."""
    sums: dict[Genotype, Fraction] = {}
    for pair, chance in zip(pairs, chances, strict=True):
        if chance:
            sums[pair] = sums.get(pair, Fraction(0)) + chance
    return Figure(tuple(sorted(sums.items())))


@lru_cache(maxsize=1024)
def _certain(pair: Genotype) -> Figure:
    """The figure of a place with one genotype open: one value for the many animals of whom nothing is to be said."""
    return Figure(((pair, Fraction(1)),))


def too_wide(world: World, variables: Sequence[Variable]) -> NotComputed:
    """What is said of a table over these variables that passed the limit: a test of one of their animals would split it."""
    eggs = dict.fromkeys(variable[2] for variable in variables if variable[0] == "state")
    return NotComputed(tuple(sorted(ident for egg in eggs for ident in world.pedigree.eggs[egg].animals)))


def answer(world: World, network: Network | None, place: Place) -> Figure | NotComputed:
    """The figure of a place in a network, or whose test would split what is too wide."""
    if place in world.untold:
        return NotComputed((), "alone")
    if network is None:
        return NotComputed(())
    state = network.settled(*place)
    if state is not None:
        return _certain(world.grids[place[0]].states.pairs[state])
    wide = network.unanswered(*place)
    if wide is not None:
        return too_wide(world, wide)
    chances = network.marginal(*place)
    return NotComputed(()) if chances is None else figure_of(world.grids[place[0]].states.pairs, chances)
