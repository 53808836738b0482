"""The public page of a planned pairing: the parents, and what a clutch can bring, in eggs. And the list of these pages."""

from __future__ import annotations

from clutchlight.planning.odds import PublicPlan
from clutchlight.site import addresses
from clutchlight.site.clutch_page import parent_of
from clutchlight.site.context import Context
from clutchlight.site.eggs import expected
from clutchlight.site.frames import Framing
from clutchlight.site.pages import PlanPage, PlansPage
from clutchlight.site.parts import Ask, Link
from clutchlight.wording.words import counted


def plan_page(framing: Framing, plan: PublicPlan) -> PlanPage:
    """`plan` is one of `context.plans`: both animals may be named."""
    context = framing.context
    page = addresses.plan(plan.female, plan.male)
    name = _name(context, plan)
    species = context.species(context.collection.animals[plan.female].species)
    brings = expected(context, page, plan.odds)
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
        kinship=brings.kinship,
        looks=brings.looks,
        looks_intro=brings.intro,
        more=brings.more,
        notes=brings.notes,
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
