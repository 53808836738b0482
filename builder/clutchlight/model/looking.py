"""From a reading of an animal's looks to the genotypes it leaves open, locus by locus.

A reading shows a set of names. At each locus the names that belong to it are the look there; no name there means a
normal look, unless the locus cannot be told: named in `cannot_tell`, hidden by a look that is shown, or hidden by what a
locus that cannot be told might hold. Looks called subtle are evidence when shown or when listed in `without`, never by
their mere absence.
"""

from __future__ import annotations

from clutchlight.model.animal import Reading
from clutchlight.model.traits import Genotype, Locus, Species


def hidden_loci(reading: Reading, species: Species) -> frozenset[str]:
    """Keys of the loci that this reading cannot speak of, unless a look is shown there."""
    shown = reading.shows or ()
    untold = [key for name in reading.cannot_tell for key in _covered(name, species)]
    certain = [key for name in (*shown, *reading.cannot_tell) for key in _hides(name, species)]
    closed: dict[str, None] = dict.fromkeys((*untold, *certain))
    shown_at = {key for name in shown for key in species.locus_of_look.get(name, ())}
    waiting = list(closed)
    while waiting:
        key = waiting.pop()
        if key in shown_at:
            continue
        for other in (key for keys in species.loci[key].hides.values() for key in keys):
            if other in species.loci and other not in closed:
                closed[other] = None
                waiting.append(other)
    return frozenset(closed)


def surely_hidden(reading: Reading, species: Species) -> frozenset[str]:
    """Keys of the loci hidden by a look that is shown: showing a look there as well is a mistake."""
    return frozenset(key for name in reading.shows or () for key in _hides(name, species))


def genotypes_left(reading: Reading | None, locus: Locus, species: Species) -> tuple[Genotype, ...] | None:
    """The genotypes of `locus` that the reading leaves open; None: it says nothing; (): no genotype looks so."""
    if reading is None or reading.shows is None:
        return None
    here = frozenset(name for name in reading.shows if locus.key in species.locus_of_look.get(name, ()))
    if not here and locus.key in hidden_loci(reading, species):
        return None
    without, doubled = frozenset(reading.without), frozenset[str]()
    for name in reading.cannot_tell:
        if name in locus.look_names and name not in locus.alleles:
            single = {
                locus.alleles[pair[0] - 1] for pair in locus.looks.get(frozenset({name}), ()) if pair[0] == pair[1]
            }
            here, doubled = here | single, doubled | {name}
    left = tuple(
        pair
        for pair, look in locus.look_of.items()
        if not look & without and (_fits(look, here, locus) or bool(look & doubled))
    )
    return None if len(left) == len(locus.genotypes) else left


def _fits(look: frozenset[str], here: frozenset[str], locus: Locus) -> bool:
    return here <= look and look - here <= locus.subtle


def _covered(name: str, species: Species) -> tuple[str, ...]:
    """The loci that a cannot-tell name closes; the name of a double dose closes none, it only leaves the dose open."""
    return tuple(key for key in species.locus_of_look.get(name, ()) if name in species.loci[key].alleles)


def _hides(name: str, species: Species) -> tuple[str, ...]:
    return tuple(
        other
        for key in species.locus_of_look.get(name, ())
        for other in species.loci[key].hides.get(name, ())
        if other in species.loci
    )
