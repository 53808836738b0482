"""The public page of a planned pairing: the parents, and what a clutch can bring, in eggs. And the list of these pages."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from markupsafe import Markup

from clutchlight import drawing
from clutchlight.drawing import CountPart, Drawn
from clutchlight.drawing.chances import MOST
from clutchlight.planning.odds import Odds, PublicPlan
from clutchlight.planning.outcomes import Outcome
from clutchlight.site import addresses
from clutchlight.site.context import Context
from clutchlight.site.framing import Framing
from clutchlight.site.glossary import Explained
from clutchlight.site.labels import parent_of
from clutchlight.site.pages import PlanPage, PlansPage
from clutchlight.site.parts import Ask, Drawing, Expected, Link, LookInEggs
from clutchlight.statements.odds import OddsWords, in_words
from clutchlight.wording.text import Name, parts_of
from clutchlight.wording.words import counted


def plan_page(framing: Framing, plan: PublicPlan) -> PlanPage:
    """`plan` is one of `context.plans`: both animals may be named."""
    context = framing.context
    page = addresses.plan(plan.female, plan.male)
    name = _name(context, plan)
    species = context.species(context.collection.animals[plan.female].species)
    brings = expected(context, page, plan.odds)
    explained = Explained()
    return PlanPage(
        frame=framing.frame(
            page,
            f"{'Planned' if is_to_come(context, plan) else 'Pairing'}: {name}",
            f"{species.name}. {_intro(context, plan)}",
            rests_on=context.rests_on((plan.male, plan.female), plan.clutches),
        ),
        name=name,
        species=species.name,
        scientific_name=species.scientific_name,
        state=f"{_state(context, plan)}{f', {plan.season}' if plan.season else ''}",
        intro=_intro(context, plan),
        clutches=tuple(context.clutch_link(page, key) for key in (*plan.clutches, *plan.instead)),
        parents=(
            parent_of(context, page, plan.male, "Sire", None, explained),
            parent_of(context, page, plan.female, "Dam", None, explained),
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
        if not (plan.over or _too_late(context, plan))
        else None,
    )


def plans_page(framing: Framing) -> PlansPage:
    context = framing.context
    page = addresses.PLANS
    return PlansPage(
        framing.frame(page, "Planned pairings", "Which animals are to be paired, and what their clutches can bring."),
        "What we mean to pair, and what a clutch can bring. A plan can change, and a pairing can come to nothing.",
        tuple(
            (
                plan_link(context, page, plan),
                _state(context, plan),
            )
            for plan in context.plans
        ),
    )


def plan_link(context: Context, page: str, plan: PublicPlan) -> Link:
    return Link(_name(context, plan), addresses.link(page, addresses.plan(plan.female, plan.male)))


def is_to_come(context: Context, plan: PublicPlan) -> bool:
    return not (plan.clutches or plan.over or _too_late(context, plan))


def _name(context: Context, plan: PublicPlan) -> str:
    animals = context.collection.animals
    return f"{context.title(animals[plan.male])} with {context.title(animals[plan.female])}"


def _state(context: Context, plan: PublicPlan) -> str:
    if plan.clutches:
        states = {context.clutch_statement(key).state for key in plan.clutches}
        if "incubating" in states:
            return "There are eggs"
        return "Laid, and nothing hatched" if states == {"did not hatch"} else "Hatched"
    if _too_late(context, plan):
        return "No clutch on record"
    if plan.instead:
        return "Laid with another male"
    return "Over, without a clutch on record" if plan.over else "Planned"


def _too_late(context: Context, plan: PublicPlan) -> bool:
    """Whether the time planned for it has passed without a clutch or a result on record."""
    return not plan.over and plan.until is not None and context.has_passed(plan.until.last)


def _intro(context: Context, plan: PublicPlan) -> str:
    if plan.clutches:
        return "The pairing has laid; the page of the clutch says what came of it."
    if plan.instead:
        return "She has laid since, and not by this male; the page of the clutch says what came of it."
    if plan.over:
        return "This pairing is over, without a clutch on record."
    if _too_late(context, plan):
        return "The time planned for it has passed, without a clutch on record. Below is what a usual clutch of the two can bring."
    if plan.odds is None:
        return "The odds of this pairing are not computed."
    return f"No clutch of the two is on record yet. Below is what a usual clutch, {counted(plan.odds.drawn, 'hatchling')}, can bring."


NOTHING = Expected()


def looks_in_eggs(odds: Odds, said: OddsWords, prefix: str) -> tuple[LookInEggs, ...]:
    """The looks that the words list, each with its eggs; `prefix` begins the ids of the drawings."""
    return tuple(
        LookInEggs(
            look.look,
            look.eggs[:1].upper() + look.eggs[1:],
            _drawn(outcome, odds.drawn, look.eggs, f"{prefix}-{number}"),
            look.carries,
            look.harm,
        )
        for number, (outcome, look) in enumerate(zip(odds.outcomes, said.looks, strict=False), 1)
    )


def _drawn(outcome: Outcome, young: int, caption: str, prefix: str) -> Drawing | None:
    """Filled: eggs to expect; striped: one more, at times."""
    if not 1 <= young <= MOST:
        return None
    whole, rest = divmod(outcome.expected, 1)
    title = f"{' '.join(outcome.looks) or 'Normal-looking'}: {caption}"
    return Drawing(_eggs, (young, int(whole), int(rest > 0), title, caption, prefix))


def _eggs(young: int, whole: int, part: int, title: str, caption: str, prefix: str) -> Drawn:
    parts = (CountPart("shows", whole, "to expect"), CountPart("part", part, "one, at times"))
    return drawing.eggs(young, parts, title, prefix)._replace(words=(caption,))


MOST_LOOKS = 16
INTRO = (
    "Filled eggs are to be expected, a striped one comes at times. The counts follow from what both parents are known to carry "
    "and may carry, taken together; every clutch falls out in its own way."
)


def expected(context: Context, page: str, odds: Odds | None) -> Expected:
    """The odds in words and drawings; NOTHING where there are none."""
    if odds is None:
        return NOTHING
    said = in_words(odds, context.collection, MOST_LOOKS)
    return Expected(
        INTRO,
        looks_in_eggs(odds, said, "eggs"),
        said.rarer and f"{said.rarer}.",
        tuple(_fit(context, page, said.notes)),
        next(_fit(context, page, (said.kinship,)), None),
    )


def _fit(context: Context, page: str, texts: Iterable[str]) -> Iterator[Markup]:
    """The sentences as links, without any that names an animal that may not be named."""
    for text in texts:
        if all(context.may_name(part) for part in parts_of(text) if isinstance(part, Name)):
            yield context.linked(page, text)
