"""The public page of a planned pairing: the parents, and what a clutch can bring, in eggs. And the list of these pages."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from clutchlight.planning.odds_words import in_words
from clutchlight.statements.words import counted
from clutchlight.website import addresses
from clutchlight.website.clutch_page import parent_of
from clutchlight.website.context import Context
from clutchlight.website.egg_counts import looks_in_eggs
from clutchlight.website.frames import Framing
from clutchlight.website.pages import PlanPage, PlansPage
from clutchlight.website.parts import Ask, Link
from clutchlight.website.public_plans import PublicPlan

MOST_LOOKS = 16


def plan_page(framing: Framing, plan: PublicPlan) -> PlanPage:
    """`plan` is one of `context.plans`: both animals may be named."""
    context = framing.context
    page = addresses.plan(plan.female, plan.male)
    name = _name(context, plan)
    species = context.species(context.collection.animals[plan.female].species)
    said = in_words(plan.odds, context.collection, MOST_LOOKS) if plan.odds else None
    looks = looks_in_eggs(plan.odds, said, "eggs") if plan.odds and said else ()
    return PlanPage(
        frame=framing.frame(page, f"Planned: {name}", f"{species.name}. {_intro(plan)}"),
        name=name,
        species=species.name,
        scientific_name=species.scientific_name,
        state=f"{_state(plan)}{f', {plan.season}' if plan.season else ''}",
        intro=_intro(plan),
        clutches=tuple(context.clutch_link(page, key) for key in plan.clutches),
        parents=(
            parent_of(context, page, plan.male, "Sire", None),
            parent_of(context, page, plan.female, "Dam", None),
        ),
        kinship=_first(_fit(context, page, (said.kinship,))) if said else None,
        looks=looks,
        looks_intro=_looks_intro(plan),
        more=said.more.replace("; --json lists them all", "") if said else "",
        notes=tuple(_fit(context, page, said.notes)) if said else (),
        ask=Ask(
            heading="Ask about this pairing",
            mail=context.mail(f"Write to us about {name}", f"Planned: {name}"),
            telephone=context.telephone,
            text="Tell us what you hope for, and we write when there are eggs. A plan can change; nothing is promised yet.",
            terms=context.collection.settings.advert,
        )
        if not plan.over
        else None,
    )


def plans_page(framing: Framing) -> PlansPage:
    context = framing.context
    page = addresses.PLANS
    return PlansPage(
        framing.frame(page, "Planned pairings", "Which animals are to be paired, and what their clutches can bring."),
        "What we mean to pair, and what a clutch can bring. A plan can change, and a pairing can come to nothing.",
        tuple(
            (Link(_name(context, plan), addresses.link(page, addresses.plan(plan.female, plan.male))), _state(plan))
            for plan in context.plans
        ),
    )


def _name(context: Context, plan: PublicPlan) -> str:
    animals = context.collection.animals
    return f"{context.title(animals[plan.male])} with {context.title(animals[plan.female])}"


def _state(plan: PublicPlan) -> str:
    if plan.clutches:
        return "There are eggs" if len(plan.clutches) == 1 else "There are clutches"
    return "Not going ahead" if plan.over else "Planned"


def _intro(plan: PublicPlan) -> str:
    if plan.clutches:
        return "The pairing has laid; the page of the clutch says what came of it."
    if plan.over:
        return "This pairing is over, without a clutch on record."
    if plan.odds is None:
        return "The odds of this pairing are not computed."
    return f"Nothing is laid yet. Below is what a usual clutch, {counted(plan.odds.young, 'hatchling')}, can bring."


def _looks_intro(plan: PublicPlan) -> str:
    if plan.odds is None:
        return ""
    return (
        "Filled eggs are to be expected, a striped one comes at times. The counts follow from what both parents are known to carry "
        "and may carry, taken together; every clutch falls out in its own way."
    )


def _fit(context: Context, page: str, texts: Iterable[str]) -> Iterator[str]:
    """The sentences as links, without any that names an animal that may not be named."""
    hidden = [
        word
        for animal in context.collection.animals.values()
        if not context.may_name(animal.id)
        for word in (animal.id, animal.name)
        if word
    ]
    for text in texts:
        if not any(word in text for word in hidden):
            yield context.linked(page, text)


def _first(texts: Iterator[str]) -> str | None:
    return next(texts, None)
