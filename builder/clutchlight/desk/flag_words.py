"""What asks for attention in a male's work, in words: what was seen, the rule it goes by, and what people commonly do."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from clutchlight.desk.sentences import days, grams, lost_percent, weight
from clutchlight.model.private import plain_number
from clutchlight.planning.rotation import Flag, MaleAtWork
from clutchlight.wording import words


@dataclass(frozen=True, slots=True)
class FlagWords:
    """What was seen (in full, and in the fewest words), the rule it goes by, its source, and what people commonly do."""

    kind: str
    seen: str
    short: str
    rule: str
    source: str
    commonly: str


_COMMONLY = {
    "in a row": "People commonly give him some days alone, with food offered.",
    "pairings": "People commonly give him a week alone, with food offered.",
    "rest": "People commonly space the next pairings out.",
    "weight": "People commonly take him out of use and weigh him weekly; a reptile veterinarian can look for the cause.",
    "refusals": "Males often eat little while in use; with weight loss, people commonly rest him and ask a veterinarian.",
}


def flags_in_words(male: MaleAtWork, today: date) -> tuple[FlagWords, ...]:
    return tuple(
        FlagWords(flag.kind, *_seen(flag, male, today), _rule(flag), flag.limit.source, _COMMONLY[flag.kind])
        for flag in male.flags
    )


def _seen(flag: Flag, male: MaleAtWork, today: date) -> tuple[str, str]:
    """In full, and in the fewest words. A loss is rounded down."""
    if flag.kind == "weight":
        loss = lost_percent(male, flag.limit.value)
        taken = (
            f" in {days((male.weighed_on.last - male.weighed_before_on.last).days)}"
            if male.weighed_on and male.weighed_before_on and male.weighed_on.exact and male.weighed_before_on.exact
            else ""
        )
        full = f"down {loss}{taken}, from {grams(male.weight_before)} to {grams(male.weight)}"
        return full, weight(male, today, loss)
    if flag.kind == "rest":
        rested = male.shortest_rest_30 or 0
        full = f"rested {days(rested)} between two pairings of the last 30 days"
        return full, f"{f'rested {days(rested)}' if rested else 'no rest'} between two pairings"
    if flag.kind == "in a row":
        run = f"at work on {days(male.days_in_a_row)} in a row"
        return run, run
    often = {1: "once", 2: "twice"}.get(male.worked_7, f"{male.worked_7} times")
    locked = " with a lock" if male.worked_7 < male.pairings_7 else ""
    paired = f"paired {often}{locked} in 7 days"
    refused = (
        f"refused {words.plural(male.refusals_in_a_row, 'meal')}{' in a row' if male.refusals_in_a_row > 1 else ''}"
    )
    return (paired, paired) if flag.kind == "pairings" else (refused, refused)


def _rule(flag: Flag) -> str:
    number = plain_number(flag.limit.value)
    rule = {
        "pairings": f"at most {number} pairings in 7 days",
        "in a row": f"at most {number} {'day' if flag.limit.value == 1 else 'days'} in a row",
        "rest": f"at least {number} {'day' if flag.limit.value == 1 else 'days'} of rest between pairings",
        "weight": f"a loss of {number}% or more",
        "refusals": f"{number} or more refusals in a row",
    }[flag.kind]
    return f"{rule} for a small or first-season male" if flag.sooner else rule
