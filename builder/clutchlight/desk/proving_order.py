"""Which open questions come first: those that plans, sales and prices hang on, with what hangs on each."""

from __future__ import annotations

from collections.abc import Sequence

from clutchlight.desk import sentences
from clutchlight.desk.season import Season
from clutchlight.planning.who_needs_proving import BREEDING, ToProve
from clutchlight.wording import words


def asked_now(season: Season) -> tuple[list[ToProve], list[ToProve]]:
    """What something hangs on now, and other animals that breed; an animal that only has to be looked at is of the first, too."""
    first = [one for one in season.asked_first if (one.animal, one.trait) in season.asked_at_stake]
    return first, [one for one in season.asked_first if _breeds(season, one) and one not in first]


def proving_groups(season: Season) -> tuple[list[ToProve], list[ToProve], list[ToProve]]:
    """The same, and the rest."""
    first, breeding = asked_now(season)
    return first, breeding, [one for one in season.to_prove if not _breeds(season, one) and one not in first]


def _breeds(season: Season, one: ToProve) -> bool:
    return season.collection.animals[one.animal].status in BREEDING


def hangs_on_it(season: Season, one: ToProve) -> str:
    """ "the plan with Dapple (F-11); the sale of C26-01-6; the price of C26-01-2 and 3 more"; "" where nothing does."""
    about = one.animal, one.trait
    stake = season.asked_at_stake.get(about) or season.at_stake.get(about)
    if stake is None:
        return ""
    plans = (
        [f"the plan{'s' if len(stake.plans) > 1 else ''} with {sentences.animals_of(season.collection, stake.plans)}"]
        if stake.plans
        else []
    )
    sales = [f"the sale of {_some(season, stake.promised)}"] if stake.promised else []
    prices = [f"the price of {_some(season, stake.offered)}"] if stake.offered else []
    return "; ".join((*plans, *sales, *prices))


def _some(season: Season, names: Sequence[str]) -> str:
    more = len(names) - 3
    named = [sentences.called(season.collection, name) for name in (names if more <= 1 else names[:3])]
    return words.join_and(named) if more <= 1 else f"{', '.join(named)} and {more} more"
