"""Which open questions something hangs on now: an open plan, an animal that is promised, a price.

Conventions. A plan hangs on a question about one of its animals when it wants that trait, or is there to prove and a clutch of the two
would tell. A promised or offered animal hangs on a question about itself, about its recorded parents and about the founders whose claims
its figure rests on, where its own figure at that locus is open.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from clutchlight.genetics.inference import Inference
from clutchlight.genetics.values import Figure
from clutchlight.model import Collection
from clutchlight.model.private import Plan
from clutchlight.planning.who_needs_proving import ToProve

About = tuple[str, str]
"""An animal and a trait of it."""


@dataclass(frozen=True, slots=True)
class Stake:
    """What hangs on a question. `plans`: mates it is planned with; `promised`, `offered`: animals whose figure it moves, by id."""

    plans: tuple[str, ...] = ()
    promised: tuple[str, ...] = ()
    offered: tuple[str, ...] = ()


def at_stake(
    inference: Inference, to_prove: Sequence[ToProve], plans: Iterable[Plan], promised: Iterable[str]
) -> Mapping[About, Stake]:
    """By animal and trait, the questions that something hangs on."""
    collection, held = inference.collection, frozenset(promised)
    found: dict[About, Stake] = {}
    telling = {(one.animal, one.trait): {mating.mate for mating in one.matings} for one in to_prove}
    for plan in plans:
        males = (*plan.males, *((plan.backup,) if plan.backup else ()))
        for animal, mates in ((plan.female, males), *((male, (plan.female,)) for male in males)):
            for (name, trait), tell in telling.items():
                hangs = trait in plan.want or (plan.purpose == "prove" and not tell.isdisjoint(mates))
                if name == animal and hangs:
                    stake = found.get((name, trait), Stake())
                    found[name, trait] = replace(stake, plans=tuple(dict.fromkeys((*stake.plans, *mates))))
    by_locus: dict[tuple[str, str], list[ToProve]] = {}
    for one in to_prove:
        by_locus.setdefault((collection.animals[one.animal].species, one.locus), []).append(one)
    for animal_, record in sorted(collection.animals.items()):
        if not record.here or not (animal_ in held or record.status in ("available", "on hold")):
            continue
        for (species, locus), questions in by_locus.items():
            if species != record.species:
                continue
            about = _hangs_on(inference, collection, animal_, locus)
            for one in questions:
                if one.animal in about and _open(inference, animal_, one):
                    stake = found.get((one.animal, one.trait), Stake())
                    if animal_ in held:
                        stake = replace(stake, promised=(*stake.promised, animal_))
                    else:
                        stake = replace(stake, offered=(*stake.offered, animal_))
                    found[one.animal, one.trait] = stake
    return found


def _hangs_on(inference: Inference, collection: Collection, animal: str, locus: str) -> frozenset[str]:
    record = collection.animals[animal]
    clutch = collection.clutches.get(record.clutch or "")
    parents = clutch.parents if clutch is not None else tuple(name for name in (record.sire, record.dam) if name)
    return frozenset((animal, *parents, *inference.rests_on(animal, locus)))


def _open(inference: Inference, animal: str, one: ToProve) -> bool:
    """Whether the animal may, and may not, carry what is asked."""
    figure = inference.now(animal, one.locus)
    if not isinstance(figure, Figure):
        return False
    locus = inference.collection.species[inference.collection.animals[animal].species].loci[one.locus]
    return 0 < figure.carries(locus.allele_number(one.trait)) < 1
