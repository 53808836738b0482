"""Proving plans and the backup question in sentences."""

from __future__ import annotations

from fractions import Fraction

from clutchlight.model import Collection
from clutchlight.planning.asking import UsualClutch
from clutchlight.planning.backup import Answer, Backup, Compared
from clutchlight.planning.odds_words import in_hundred, times_in_hundred
from clutchlight.planning.proving import TestMating, ToProve
from clutchlight.statements import words


def clutch_basis(clutch: UsualClutch) -> str:
    """How a usual clutch was come by: "a usual clutch: 7 eggs, 81% hatch, so 6 hatchlings (source)"."""
    if clutch.eggs is None:
        return f"a usual clutch: {words.plural(clutch.hatchlings, 'hatchling')} ({clutch.source})"
    hatch = f"{words.percent_text(clutch.rate)} hatch" if clutch.rate is not None else "taken to hatch all"
    return (
        f"a usual clutch: {words.plural(clutch.eggs, 'egg')}, {hatch}, so "
        f"{words.plural(clutch.hatchlings, 'hatchling')} ({clutch.source})"
    )


def mating_sentence(plan: ToProve, mating: TestMating, below: Fraction) -> str:
    """What one mate would settle. `below`: the collection's `doubt_below`."""
    count = words.plural(plan.clutch.hatchlings, "hatchling")
    parts = [f"{mating.mate}: a usual clutch settles it {times_in_hundred(mating.settles)}"]
    if mating.falls_to is None:
        parts.append(f"there is no clutch without {plan.trait}")
    elif mating.falls_to == plan.now:
        parts.append(f"{count} without {plan.trait} would say nothing")
    else:
        parts.append(f"{count} without {plan.trait} leave {words.note_count(mating.falls_to)}")
    if mating.needed is None:
        parts.append(f"no number of them brings it under {words.percent_text(below)}")
    else:
        parts.append(f"{mating.needed} would bring it under {words.percent_text(below)}")
    text = words.sentence("; ".join(parts))
    if 0 < mating.mate_carries < 1 and mating.misleads:
        often = _up_to(mating.misleads)
        text += (
            f" Two possible carriers together: in {often} such clutches none shows it, though {plan.animal} carries it."
        )
    return text


def _up_to(chance: Fraction) -> str:
    return f"up to {words.harm_percent(chance)} of 100"


def backup_sentence(compared: Compared, asked: Backup, collection: Collection) -> str:
    """One trait side by side: alone, either male for the whole clutch, either male for each egg."""
    name = collection.animals[compared.animal].name
    who = f"{name} ({compared.animal})" if name else compared.animal
    rows = [
        *([f"{asked.male} alone: {_answer(compared.alone)}"] if compared.alone else []),
        f"one of the two: {_answer(compared.one_of)}",
        f"eggs of both: {_answer(compared.mixed)}",
    ]
    lost = " With the backup this clutch can no longer prove it." if compared.no_longer else ""
    return f"{who}, {compared.trait} ({words.in_count(compared.now)} now). Proved, of 100 clutches: {'; '.join(rows)}.{lost}"


def _answer(answer: Answer) -> str:
    proved = "not computed" if answer.chance is None else in_hundred(answer.chance).removesuffix(" in 100")
    left = "" if answer.if_none is None else f" (if none shows it: {words.note_count(answer.if_none)})"
    return f"{proved}{left}"
