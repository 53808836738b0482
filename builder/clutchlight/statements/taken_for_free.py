"""Which founders are taken to carry nothing where a certainty rests on that.

Founders without a claim behind the animal's nearest descendants that carry for certain, by another way than through the animal; without
such descendants, founders among its own ancestors.
"""

from __future__ import annotations

from collections.abc import Callable

from clutchlight.model import Locus
from clutchlight.statements.answers import Answers
from clutchlight.wording.text import Text


def taken_for_free(answers: Answers, animal: str, locus: Locus, allele: int) -> tuple[Text, ...]:
    """The founders in words."""
    carriers = _nearest_carriers(answers, animal, locus, allele)
    found: dict[str, None] = {}
    for start in carriers or (animal,):
        found.update(dict.fromkeys(_founders_above(answers, start, animal if carriers else None)))
    return answers.all_named(name for name in sorted(found) if _unclaimed(answers, name, locus, allele))


def _nearest_carriers(answers: Answers, animal: str, locus: Locus, allele: int) -> tuple[str, ...]:
    collection = answers.collection

    def sure(name: str) -> bool:
        clutch = collection.clutches.get(collection.animals[name].clutch or "")
        told = name == animal or clutch is None or clutch.counts
        return told and answers.carries(name, locus.key, allele) == 1

    below = _reach(animal, lambda name: () if name != animal and sure(name) else answers.children.get(name, ()))
    return tuple(name for name in below if sure(name))


def _founders_above(answers: Answers, animal: str, without: str | None) -> tuple[str, ...]:
    def up(name: str) -> tuple[str, ...]:
        return tuple(parent for parent in answers.parents(name) if parent != without)

    reached = (animal, *_reach(animal, up)) if without is None else _reach(animal, up)
    return tuple(name for name in reached if answers.collection.animals[name].founder)


def _unclaimed(answers: Answers, animal: str, locus: Locus, allele: int) -> bool:
    about = (locus.key, locus.alleles[allele - 1])
    claims = answers.collection.animals[animal].claims
    claimed = any((claim.locus, claim.trait) == about and not claim.withdrawn for claim in claims)
    return not claimed and answers.carries(animal, locus.key, allele) != 1


def _reach(start: str, step: Callable[[str], tuple[str, ...]]) -> tuple[str, ...]:
    seen: dict[str, None] = {}
    waiting = list(step(start))
    while waiting:
        name = waiting.pop()
        if name not in seen and name != start:
            seen[name] = None
            waiting.extend(step(name))
    return tuple(seen)
