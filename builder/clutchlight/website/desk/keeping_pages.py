"""Two pages of the desk: weights as charts, and what concerns buyers: whom to tell, holds, money, hand-overs."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from urllib.parse import quote

from clutchlight.model.season import Sale, plain_number
from clutchlight.planning.season.tell import ToTell
from clutchlight.statements import day_words, words
from clutchlight.website.desk import sentences
from clutchlight.website.desk.cautions import LARGE, MOVING, cautions
from clutchlight.website.desk.charts import weight_chart
from clutchlight.website.desk.framing import PEOPLE, WEIGHTS, DeskFraming
from clutchlight.website.desk.gathering import Season, Weights
from clutchlight.website.desk.pages import (
    ChangeView,
    Line,
    PeoplePage,
    SaleView,
    TellView,
    WeighGroup,
    WeightsPage,
    WeighView,
)


def weights_page(framing: DeskFraming) -> WeightsPage:
    season = framing.season
    groups: dict[str, list[WeighView]] = {}
    for number, run in enumerate(season.weights, 1):
        groups.setdefault(run.group, []).append(_weights(season, run, f"weight-{number}"))
    return WeightsPage(
        framing.frame(
            WEIGHTS,
            "Weights",
            "Every line is drawn to its own height, from the animal's least weight to its greatest: compare the figures, not the slopes.",
        ),
        tuple(WeighGroup(heading, tuple(animals)) for heading, animals in groups.items()),
        cautions(season.collection, ("weight", "feeding"), (LARGE,)),
    )


def _weights(season: Season, run: Weights, prefix: str) -> WeighView:
    name = sentences.called(season.collection, run.animal)
    on, now = run.points[-1]
    return WeighView(
        name,
        f"{plain_number(now)} g on {sentences.short_day(on, season.day)}",
        _change(season, run),
        weight_chart(run.points, name, season.day, prefix) if len(run.points) > 1 else None,
        tuple(
            f"{sentences.short_day(day, season.day)}: {plain_number(number)} g" for day, number in reversed(run.points)
        ),
    )


def _change(season: Season, run: Weights) -> str:
    """Against the weighing before, and against the greatest of all where that is another: "down 12% from 644 g on 11 Oct"."""
    if len(run.points) < 2:
        return "the first weighing"
    now = run.points[-1][1]
    top_on, top = max(run.points, key=lambda point: (point[1], point[0]))
    if now >= top or not top:
        return f"up from {plain_number(run.points[0][1])} g on {sentences.short_day(run.points[0][0], season.day)}"
    share = words.percent_text(Fraction(top - now) / top)
    return f"down {share} from {plain_number(top)} g on {sentences.short_day(top_on, season.day)}"


# Buyers


def people_page(framing: DeskFraming) -> PeoplePage:
    season = framing.season
    collection, today, currency = season.collection, season.day, season.collection.settings.currency
    papers = [text for one in season.hand_overs for text in one.papers]
    own = [text for text in papers if not text.startswith(tuple(f"{name}: " for name in collection.animals))]
    return PeoplePage(
        framing.frame(
            PEOPLE,
            "People",
            "Names and money stay on this page; neither is in the file for the phone nor on the room sheet.",
        ),
        tell=tuple(_tell(season, one) for one in season.tell),
        holds=tuple(
            _sale(season, one.sale, sentences.hold(one, today), strong=one.state == "ended") for one in season.holds
        ),
        balances=tuple(
            _sale(season, one.sale, sentences.balance(one, currency), strong=one.gone, paid=True)
            for one in season.balances
        ),
        hand_overs=tuple(
            _sale(
                season,
                one.sale,
                f"ready since {day_words.day(one.since)}" if one.since else "not ready to go yet",
                strong=False,
                more=(
                    *(f"To settle first: {text}." for text in one.lacks),
                    *(f"Goes along: {text}." for text in one.papers if text not in own),
                ),
            )
            for one in season.hand_overs
        ),
        papers=tuple(dict.fromkeys(own)),
        loans=tuple(Line(sentences.loan(collection, one), strong=one.days_left < 0) for one in season.loans),
        cautions=(MOVING,),
    )


def _sale(
    season: Season, sale: Sale, text: str, *, strong: bool, more: Iterable[str] = (), paid: bool = False
) -> SaleView:
    currency = season.collection.settings.currency
    notes = [*more]
    if paid and sale.payments:
        amounts = [f"{sentences.amount(one.amount, currency)} on {day_words.when(one.on)}" for one in sale.payments]
        notes.append(f"Paid: {words.join_and(amounts)}.")
    if sale.terms:
        notes.append(f"Terms: {words.sentence(sale.terms)}")
    if sale.note:
        notes.append(f"Note: {words.sentence(sale.note)}")
    return SaleView(
        sentences.animals_of(season.collection, sale.animals),
        sale.buyer or "no name is recorded",
        text,
        strong,
        tuple(notes),
    )


def _tell(season: Season, one: ToTell) -> TellView:
    subject = f"{sentences.called(season.collection, one.animal)}: news from our records"
    told = any(told.on.last == one.since for told in one.sale.told)
    return TellView(
        one.sale.buyer or "no name is recorded",
        sentences.called(season.collection, one.animal),
        f"{'last told' if told else 'handed over'} {day_words.day(one.since)}",
        tuple(ChangeView(change.about, change.before, change.now) for change in one.changes),
        one.message,
        f"mailto:?subject={quote(subject)}&body={quote(one.message)}",
    )
