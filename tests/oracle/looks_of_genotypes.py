"""Which genotypes a look leaves open: the oracle's own reading of masks, subtle traits and doses.

A genotype here is an unordered pair of alleles, sorted, with `""` for the normal allele. `look_of` gives the look of a
genotype at its locus (`""`: nothing to see, None: it does not live). `open_genotypes` gives, for a look at the whole
animal, the set that stays open at each locus.

>>> pastel = Locus("pastel", "incomplete dominant", ("Pastel",), two_copies=(("Pastel", "Super Pastel"),))
>>> [look_of(pastel, pair) for pair in genotypes(pastel)]
['', 'Pastel', 'Super Pastel']
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import combinations_with_replacement

from tests.oracle.case import NORMAL, Locus, Look

Pair = tuple[str, str]


def pair(one: str, two: str) -> Pair:
    """The unordered genotype of two alleles."""
    return (one, two) if one <= two else (two, one)


def genotypes(locus: Locus) -> tuple[Pair, ...]:
    """Every unordered genotype of the locus, living or not."""
    return tuple(combinations_with_replacement((NORMAL, *sorted(locus.alleles)), 2))


def look_of(locus: Locus, genotype: Pair) -> str | None:
    """The look of a genotype at its own locus; None for a double dose that dies."""
    one, two = genotype
    if one == two:
        if one == NORMAL:
            return ""
        look = dict(locus.two_copies).get(one)
        if look == "dies":
            return None
        return look if look is not None else (f"Super {one}" if locus.inheritance == "incomplete dominant" else one)
    if NORMAL in genotype:
        return "" if locus.inheritance == "recessive" else (one or two)
    for first, second, look in locus.together:
        if pair(first, second) == genotype:
            return look
    raise ValueError(f"the look of {one} with {two} is not said")


def looks_at(locus: Locus) -> frozenset[str]:
    """Every look that living genotypes of the locus can have."""
    return frozenset(look for genotype in genotypes(locus) if (look := look_of(locus, genotype)) is not None)


def super_of(locus: Locus) -> dict[str, str]:
    """The look of two copies to the look of one, where the two differ and both can be seen."""
    return {
        double: single
        for allele in locus.alleles
        if (double := look_of(locus, (allele, allele))) is not None
        and (single := look_of(locus, pair(NORMAL, allele))) not in (None, "", double)
    }


def chance_of_result(genotype: Pair, trait: str, found: int, error: Fraction, left: frozenset[Pair]) -> Fraction:
    """The chance that a test of a trait finds so many copies, of an animal whose look leaves these genotypes.

    An error is spread evenly over the other numbers of copies that the look leaves. What the look decides says nothing.
    """
    numbers = {each.count(trait) for each in left}
    if error and (found not in numbers or numbers == {found}):
        return Fraction(1)
    if genotype.count(trait) == found:
        return 1 - error
    return error / (len(numbers) - 1) if error else Fraction(0)


def open_genotypes(loci: Sequence[Locus], look: Look) -> dict[str, frozenset[Pair]]:
    """The living genotypes at each locus that the look allows."""
    whole = {locus.name: looks_at(locus) for locus in loci}
    if look.shows is None:
        remaining = {name: looks - frozenset(look.without) for name, looks in whole.items()}
    else:
        remaining = {}
        hiding: list[tuple[Locus, frozenset[str]]] = []
        for locus in loci:
            seen = _seen(locus, look)
            remaining[locus.name] = seen
            untold = any(name in looks_at(locus) | frozenset(locus.alleles) for name in look.cannot_tell)
            if untold or seen != {""} | (frozenset(locus.subtle) - frozenset(look.without)):
                hiding.append((locus, seen))
        while hiding:
            locus, seen = hiding.pop()
            for name, hidden in locus.hides:
                if name not in seen:
                    continue
                for other in loci:
                    if other.name in hidden and remaining[other.name] != whole[other.name]:
                        if set(look.shows) & (whole[other.name] - {""}):
                            raise ValueError(f"{other.name} is hidden and shown at once")
                        remaining[other.name] = whole[other.name]
                        hiding.append((other, whole[other.name]))
    return {
        locus.name: frozenset(
            genotype
            for genotype in genotypes(locus)
            if (seen_as := look_of(locus, genotype)) is not None and seen_as in remaining[locus.name]
        )
        for locus in loci
    }


def _seen(locus: Locus, look: Look) -> frozenset[str]:
    """The looks that the record leaves open at one locus, before anything is hidden."""
    doubles = super_of(locus)
    names = looks_at(locus) | frozenset(locus.alleles)
    untold = [name for name in look.cannot_tell if name in names]
    if any(name not in doubles for name in untold):
        told = {look for look, _ in locus.hides if look not in locus.alleles} - set(untold)
        return looks_at(locus) - told
    if untold:
        return frozenset(untold) | {doubles[name] for name in untold}
    shown = [name for name in look.shows or () if name in names]
    if len(shown) > 1:
        raise ValueError(f"two looks of one locus: {shown}")
    if shown:
        return frozenset(shown)
    return frozenset({""}) | (frozenset(locus.subtle) - frozenset(look.without))
