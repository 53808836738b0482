"""The page of the year's end: each season in figures, what was asked, what the clutches told, and who is still owed an answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from clutchlight.desk import sentences
from clutchlight.desk.evening import balance_card, tell_card
from clutchlight.desk.framing import YEAR, DeskFraming
from clutchlight.desk.page_parts import DeskLine, RoomCard
from clutchlight.desk.pages import YearPage, YearView
from clutchlight.desk.season import Season
from clutchlight.model import Collection
from clutchlight.planning.years_end import AnswerOfClutch, AskedByPlan, SeasonOfTheRoom, years
from clutchlight.site.parts import Fact
from clutchlight.wording import words


def year_page(framing: DeskFraming) -> YearPage:
    season = framing.season
    found = years(season.sources.inference, season.private, season.day)
    return YearPage(
        framing.frame(
            YEAR, "The year", "A season runs from July to June; a clutch belongs to that in which it was laid."
        ),
        tuple(card for card in _owed(season) if card.lines),
        tuple(_view(season.collection, one) for one in found),
    )


def _owed(season: Season) -> Iterator[RoomCard]:
    """Who is still owed an answer: buyers to tell, promises that are open, money, and looks that nobody has read."""
    yield tell_card(season)
    yield RoomCard(
        "promises",
        "Open promises",
        tuple(
            DeskLine(
                one.sale.buyer or "no name is recorded",
                f"{sentences.animals_of(season.collection, one.sale.animals)}: {sentences.hold(one, season.day)}",
                strong=one.state == "ended",
            )
            for one in season.holds
        ),
    )
    yield balance_card(season)
    to_read = [one for one in season.collection.clutches.values() if one.to_sort and one.reported_by is None]
    yield RoomCard(
        "to-read",
        "Looks not read yet",
        tuple(DeskLine(one.id, words.plural(one.to_sort, "hatchling")) for one in to_read),
    )


def _view(collection: Collection, one: SeasonOfTheRoom) -> YearView:
    return YearView(
        f"{one.began}/{(one.began + 1) % 100:02d}",
        tuple(_facts(one)),
        tuple(_asked(collection, each) for each in one.asked),
        tuple(_told(collection, each) for each in one.told),
    )


def _facts(one: SeasonOfTheRoom) -> Iterator[Fact]:
    pairs = f"{words.plural(one.pairings, 'pairing')} of {words.plural(one.pairs, 'pair')}; " if one.pairings else ""
    locks = words.plural(one.locks, "lock") if one.locks else "no lock is logged"
    yield Fact("Pairings", f"{pairs}{locks}" if one.pairings or one.locks else "none is logged")
    if one.plans:
        yield Fact("Plans", f"{words.plural(one.plans, 'plan')}; {one.plans_laid or 'none'} came to a laying")
    yield Fact("Clutches", _clutches(one))
    yield Fact("Good eggs", _eggs(one))
    yield Fact("Slugs", _slugs(one))
    yield Fact("Hatched", _rate(one))
    lost = [
        *([f"{words.plural(one.went_bad, 'good egg')} went bad"] if one.went_bad else []),
        *([f"{one.unseen} died before the look could be seen"] if one.unseen else []),
    ]
    if lost:
        yield Fact("Lost", "; ".join(lost))
    if one.young:
        yield Fact("Young", f"{one.young} on record")


def _clutches(one: SeasonOfTheRoom) -> str:
    parts = [words.plural(len(one.clutches), "clutch", "clutches") + " on record" if one.clutches else "none on record"]
    if one.slug_layings:
        parts.append(f"{words.plural(one.slug_layings, 'laying')} of slugs alone in the log")
    if one.unrecorded:
        parts.append(f"{words.plural(one.unrecorded, 'laying')} in the log without a record of the clutch")
    return "; ".join(parts)


def _eggs(one: SeasonOfTheRoom) -> str:
    if len(one.uncounted) == len(one.clutches):
        return "not counted" if one.clutches else "none"
    unknown = f"; not counted in {words.join_and(one.uncounted)}" if one.uncounted else ""
    return f"{one.eggs}{unknown}"


def _slugs(one: SeasonOfTheRoom) -> str:
    unknown = f"; not counted in {words.plural(one.slugs_unknown, 'laying')}" if one.slugs_unknown else ""
    return f"{one.slugs or 'none on record'}{unknown}"


def _rate(one: SeasonOfTheRoom) -> str:
    parts = []
    if one.eggs_over:
        rate = words.percent_text(Fraction(one.eggs_hatched, one.eggs_over))
        count = words.plural(one.clutches_over, "clutch", "clutches")
        parts.append(f"{one.eggs_hatched} of {words.plural(one.eggs_over, 'good egg')} in {count}, {rate}")
    if one.left_out:
        parts.append(
            f"left out, since not all of it is on record or its eggs were not counted: {words.join_and(one.left_out)}"
        )
    if one.waiting:
        parts.append(f"not over yet: {words.join_and(one.waiting)}")
    return "; ".join(parts) or "nothing is over"


def _asked(collection: Collection, one: AskedByPlan) -> DeskLine:
    """ "Bracken with Dapple, for Piebald": what came of it."""
    males = words.join_or([sentences.called(collection, male) for male in one.plan.males])
    want = f", for {words.join_and(one.plan.want)}" if one.plan.want else ""
    settled = [each for each in one.told if each.settled]
    if settled:
        answer = f"settled by {one.clutch}: {_what(collection, settled)}"
    elif one.told:
        answer = f"not settled; {one.clutch} moved {_what(collection, one.told)}"
    elif one.clutch is not None:
        answer = f"{one.clutch} told nothing of its parents" if one.over else f"{one.clutch} is laid and not over yet"
    elif one.laid:
        answer = "she laid, and no clutch is on record"
    else:
        answer = one.plan.result or ("no clutch yet" if one.open else "no clutch")
    return DeskLine(f"{males} with {sentences.called(collection, one.plan.female)}{want}", answer, strong=not settled)


def _what(collection: Collection, found: Sequence[AnswerOfClutch]) -> str:
    return words.join_and([f"{one.trait} of {sentences.called(collection, one.animal)}" for one in found])


def _told(collection: Collection, one: AnswerOfClutch) -> DeskLine:
    now = "certain" if one.after == 1 else words.in_count(one.after) if one.after else "0"
    settled = "settled" if one.settled else "still open"
    return DeskLine(
        f"{one.trait} of {sentences.called(collection, one.animal)}",
        f"{words.in_count(one.before)} before {one.clutch}, {now} after it: {settled}",
    )
