"""The clutch link: what the clutch is, its young, its parents, and what it proved and did not.

And planned pairings, with what a clutch can bring, in eggs.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from fractions import Fraction
from functools import partial
from itertools import pairwise

from markupsafe import Markup

from clutchlight.drawing import chances
from clutchlight.drawing.chances import MOST, CountPart
from clutchlight.drawing.markup import Drawn
from clutchlight.model import Animal, Clutch, Nobody, Tally, Unrecorded
from clutchlight.model.traits import grouped
from clutchlight.planning.odds import Odds, PublicPlan
from clutchlight.planning.outcomes import Outcome
from clutchlight.reading.species_files import SourcedDays, fact_of
from clutchlight.site import addresses, labels
from clutchlight.site.context import FOR_SALE, Context, Framing, for_sale, latest_first
from clutchlight.site.corrections import corrections_in_words
from clutchlight.site.drawings import clutch_pedigree, outline, unshown
from clutchlight.site.labels import parent_of, welfare_of, young_with_cards
from clutchlight.site.pages import ClutchPage, PlanPage, PlansPage
from clutchlight.site.parts import (
    Ask,
    Card,
    Drawing,
    Expected,
    Fact,
    Link,
    LookInEggs,
    Parent,
    PedigreeView,
    Reason,
    Word,
)
from clutchlight.site.prose import prose_of
from clutchlight.site.statement_part import Explained, grounds, timeline_of_clutch, unexpected
from clutchlight.statements.odds import LookWords, OddsWords, in_words
from clutchlight.statements.values import ClutchStatement
from clutchlight.wording import day_words
from clutchlight.wording.text import Name, parts_of, phrase
from clutchlight.wording.words import (
    CARRIES,
    NOT_COMPUTED,
    ONE_PERCENT,
    Label,
    clause,
    counted,
    in_count,
    join_and,
    number,
    percent_text,
    sentence,
)

_STATE = {"incubating": "Eggs in the incubator", "still being sorted": "Hatched, still being sorted"}


def clutch_page(framing: Framing, clutch: Clutch) -> ClutchPage:
    context = framing.context
    page = addresses.clutch(clutch.id)
    stated = context.clutch_statement(clutch.id)
    species = context.species(clutch.species)
    kind = f"{species.heading} clutch"
    parents = parents_in_brief(context, page, stated)
    title = f"{kind}, {' × '.join(link.text for link in parents)}"
    heading = f"{clutch.name} ({clutch.id})" if clutch.name else f"Clutch {clutch.id}"
    pictures = context.pictures(page, latest_first(clutch.photos), heading)
    explained = Explained()
    young = [context.collection.animals[key] for key in clutch.young if context.may_name(key)]
    gone = [animal for animal in young if _standing(animal) in _GONE]
    here = [animal for animal in young if _standing(animal) not in _GONE]
    offered = [animal for animal in here if for_sale(animal)]
    available = [animal for animal in offered if animal.status == "available"]
    offer = offer_words(context, offered)
    proved = dict(_proved_in_brief(context, page, stated))
    in_brief = tuple(said.striptags() for said in proved)
    drawn = clutch_pedigree(context, clutch)
    return ClutchPage(
        frame=framing.frame(
            page,
            title,
            " ".join(map(sentence, (state_words(context, clutch, stated), offer, *in_brief))),
            key=heading,
            picture=framing.picture(
                title,
                [("Proved" if not place else "", one) for place, one in enumerate(in_brief)],
                clause(offer) if offered else state_words(context, clutch, stated),
                pictures[0] if pictures else None,
            ),
            feed=addresses.clutch_feed(clutch.id),
            rests_on=context.rests_on((*clutch.parents, *clutch.young), (clutch.id,)),
        ),
        key=clutch.id,
        name=clutch.name,
        scientific_name=species.scientific_name,
        state=state_words(context, clutch, stated),
        pictures=pictures,
        facts=tuple(_facts(context, clutch, stated, parents, explained)),
        intro=context.linked(page, stated.sires_words) if len(clutch.sires.candidates) > 1 else Markup(),
        corrections=corrections_in_words(context, clutch),
        young=_in_order(context, page, available or offered or here, explained),
        on_hold=_in_order(
            context, page, [one for one in offered if one not in available] if available else [], explained
        ),
        staying=_in_order(context, page, [one for one in here if not for_sale(one)] if offered else [], explained),
        young_intro=_young_words(clutch, stated, young),
        reasons=(*_unexpected_elsewhere(context, page, clutch, stated), *_reasons(context, page, offered)),
        others=tuple(context.name(page, animal.id) for animal in gone),
        others_intro=_gone_words(gone),
        tally=(
            *(_tally_words(tally, more=bool(young), aside=bool(clutch.set_aside)) for tally in clutch.tally),
            *context.all_linked(page, stated.facts),
        ),
        parents=tuple(_parents(context, page, stated, explained)),
        proved=context.all_linked(page, dict.fromkeys(note.text for note in stated.proved)),
        not_proved=context.all_linked(page, dict.fromkeys(note.text for note in stated.did_not)),
        unexpected=(
            *context.all_linked(page, (sentence(surprise.text) for surprise in stated.surprises)),
            *context.all_linked(page, stated.reviews),
        ),
        expected=expected(
            context, page, None if is_overdue(context, clutch) else context.expected.get(clutch.id), explained
        ),
        welfare=welfare_of(context, page, *(context.statement(one.id) for one in young)),
        pedigree=PedigreeView(
            drawing=drawn,
            outline=outline(drawn),
            words=explained.in_pedigree(context, drawn),
            heading=f"Pedigree of {heading}",
            intro="Young of this clutch, their parents and what stands behind those.",
            unshown=unshown(context, drawn, [one.id for one in young]),
        ),
        kinship=" ".join(
            filter(None, (sentence(stated.relation) if stated.relation else "", _nothing_new(context, clutch, stated)))
        ),
        prose=prose_of(context, page, clutch.prose),
        ask=_ask(context, heading, stated),
        statement_json=Link("statement.json", addresses.link(page, addresses.clutch_statement(clutch.id))),
        timeline=timeline_of_clutch(context, page, clutch.id),
        feed=Link("feed.xml", addresses.link(page, addresses.clutch_feed(clutch.id))),
        cards=Link("The cards to print", addresses.link(page, addresses.clutch_cards(clutch.id)))
        if young_with_cards(context, clutch)
        else None,
        kind=kind,
        offer=offer,
        in_brief=tuple(_with_what_showed(proved)),
    )


def offer_words(context: Context, offered: Sequence[Animal]) -> str:
    """ "four available, €130 to €340, and one on hold"; "none for sale now". `offered`: animals for sale."""
    counts = {state: [animal for animal in offered if animal.status == state] for state in FOR_SALE}
    currency = context.collection.settings.currency

    def with_prices(state: str, found: Sequence[Animal]) -> str:
        prices = sorted(amount for one in found if (amount := day_words.amount(one.price)) is not None)
        if not prices:
            return f"{number(len(found))} {state}"
        between = " to ".join(day_words.money(price, currency) for price in dict.fromkeys((prices[0], prices[-1])))
        whose = "" if len(prices) == len(found) else f"{number(len(prices))} of them at "
        return f"{number(len(found))} {state}, {whose}{between}"

    said = [with_prices(state, found) for state, found in counts.items() if found]
    return ", and ".join(said) or "none for sale now"


def parents_in_brief(context: Context, page: str, stated: ClutchStatement) -> tuple[Link, ...]:
    clutch = stated.clutch
    males = [one for one in stated.sires if not isinstance(one.sire, Nobody)]
    several = clutch.sires.kind == "mixed" and len(males) > 1
    in_doubt = "several possible sires" if several else "a sire in doubt" if len(stated.sires) > 2 else ""
    return labels.pair(context, page, stated.sires, clutch.sires.certain, clutch.dam, in_doubt)


def _proved_in_brief(context: Context, page: str, stated: ClutchStatement) -> Iterator[tuple[Markup, str]]:
    """ "Juniper and Flint are het Piebald", and what their young showed: "one of the six hatchlings is Piebald".

    Not what nobody expected: that needs checking.
    """
    unproved = {note.trait for note in stated.surprises}
    found: list[tuple[tuple[Label, str], Name]] = []
    for note in stated.proved:
        said = context.statement(note.animal) if context.may_name(note.animal) else None
        labels_of = grouped(
            (
                ((CARRIES, ""), trait.trait)
                if trait.shows
                else (
                    (trait.label.lead, "" if 0 < trait.copies[2] < 1 else trait.label.condition),
                    trait.label.name,
                )
            )
            for trait in filter(None, map(said.trait, (note.trait, *note.beside)) if said else ())
            if trait.of_its_line == "certain" and trait.trait not in unproved
        )
        for (lead, condition), names in labels_of.items():
            each = tuple(dict.fromkeys(names))
            proved = Label(lead=lead, name=join_and(each), condition=condition)
            shown = note.shown if note.trait in each[0] and len(each) == 1 else ""
            found.append(((proved, shown), Name(note.animal)))
    for (proved, shown), animals in grouped(found).items():
        verb = proved.of_several if len(animals) > 1 else proved.as_verb
        yield context.linked(page, phrase("{} {}", join_and(animals), verb)), shown


def _with_what_showed(proved: Mapping[Markup, str]) -> Iterator[Markup]:
    """Each clause, the last of those with the same grounds with them."""
    for (said, shown), (_, then) in pairwise((*proved.items(), (Markup(), ""))):
        yield said + f", since {shown}" if shown and shown != then else said


def _nothing_new(context: Context, clutch: Clutch, stated: ClutchStatement) -> str | None:
    """In so many words that what hatched proved nothing new, if so; not where a sire is in doubt, a parent is not told of, or looks do not
    count.

    A later record of the family, such as the first look of a young, may have moved what is said of a parent.
    """
    told = stated.proved or stated.did_not or stated.surprises or stated.reviews or len(clutch.sires.candidates) > 1
    if told or clutch.hatched is None or not all(map(context.may_name, clutch.parents)):
        return None
    told_of = (trait for name in clutch.parents for trait in context.statement(name).traits)
    if any(trait.stands_on.proven_by == clutch.id for trait in told_of):
        return None
    if any(change.animal in clutch.parents for change in context.past.changes.later_of(clutch)):
        return None
    readings = (context.collection.animals[name].reading for name in (*clutch.parents, *clutch.young))
    if not clutch.counts or any(reading is not None and reading.loose for reading in readings):
        return None
    return "What hatched proved nothing new of a parent's hidden genes."


def _gone_words(gone: Sequence[Animal]) -> str | None:
    how = sorted(set(map(_standing, gone)), key=_STANDINGS.index)
    return f"{', or '.join(how).capitalize()}:" if how else None


def state_words(context: Context, clutch: Clutch, stated: ClutchStatement) -> str:
    window = hatching_window(context, clutch) if stated.state == "incubating" else None
    if stated.state == "hatched" and clutch.hatched:
        return f"Hatched {day_words.month_or_less(clutch.hatched)}"
    if window is None:
        return _STATE.get(stated.state, stated.state.capitalize())
    when = day_words.about(clutch.laid) + day_words.window(*window)
    if is_overdue(context, clutch):
        return f"Laid; eggs commonly hatch {when}, and nothing more is on record"
    return f"{_STATE['incubating']}; may hatch {when}"


def is_overdue(context: Context, clutch: Clutch) -> bool:
    """Whether eggs should have hatched by the newest record."""
    window = hatching_window(context, clutch)
    return window is not None and context.has_passed(window[1])


def hatching_window(context: Context, clutch: Clutch) -> tuple[date, date] | None:
    """From when to when eggs of the species usually hatch after they were laid, by its file."""
    days = fact_of(context.species(clutch.species), SourcedDays)
    if clutch.laid is None or clutch.laid.open or days is None:
        return None
    return clutch.laid.first + timedelta(days=days.first), clutch.laid.last + timedelta(days=days.last)


def _facts(
    context: Context, clutch: Clutch, stated: ClutchStatement, parents: Sequence[Link], explained: Explained
) -> Iterator[Fact]:
    yield Fact("Parents", context.joined(parents, " × ") + (f", {stated.kinship}" if stated.kinship else ""))
    if clutch.laid:
        yield Fact("Laid", day_words.when(clutch.laid))
    if clutch.hatched:
        yield Fact("Hatched", day_words.when(clutch.hatched))
    if clutch.ended:
        yield Fact("Ended", day_words.when(clutch.ended))
    if clutch.eggs is not None:
        slugs = [counted(clutch.slugs, "slug")] if clutch.slugs else []
        came = _came_of(context, clutch, clutch.eggs)
        good = f"{number(clutch.eggs)}{' good' if clutch.slugs or not came else ''}{came}"
        eggs = good if clutch.eggs else "no good egg"
        yield Fact("Eggs", "; ".join((eggs, *slugs)), explained.first("slug") if clutch.slugs else ())
    elif clutch.went_bad:
        yield Fact("Went bad", number(clutch.went_bad))
    yield from labels.earlier_ids(clutch)


def _came_of(context: Context, clutch: Clutch, good: int) -> str:
    """What stands after the number of good eggs: ": eight hatched, one went bad", ", all hatched", how many went bad, or nothing."""
    eggs = Counter(context.collection.animals[key].egg or key for key in clutch.young if context.may_name(key))
    twins = sum(many > 1 for many in eggs.values())
    bad, hatched = clutch.went_bad, clutch.hatchlings - eggs.total() + len(eggs)
    if clutch.complete and hatched and hatched + bad + clutch.unseen == good:
        every = {1: "which hatched", 2: "both hatched"}.get(good, "all hatched")
        lost = [
            (bad, "went bad"),
            (clutch.unseen, "more died before its look was seen" if clutch.unseen == 1 else "more died unseen"),
        ]
        with_twins = f"{'' if twins == hatched else f', {number(twins)} of them'} with twins" if twins else ""
        said = [f"{number(hatched)} hatched{with_twins}", *(f"{number(many)} {how}" for many, how in lost if many)]
        return f": {', '.join(said)}" if len(said) > 1 else f", {every}{with_twins}"
    if not bad:
        return ""
    every = {1: ", which", 2: ", both of which"}.get(good, ", all of which")
    return f"{every if bad == good else f', {number(bad)} of which'} went bad"


def _young_words(clutch: Clutch, stated: ClutchStatement, young: Sequence[Animal]) -> str:
    """ "Of the eight that hatched: four for sale, three not for sale, one sold." `young`: those that may be named."""
    if stated.state == "planned":
        return "Nothing is laid yet."
    if stated.state == "incubating":
        return "No hatching is on record yet. Young will appear here, at this same address."
    if stated.state == "did not hatch":
        return "No young came of it. It is here because an empty result is a result."
    if not young:
        return "None of the young is listed one by one."
    hatched = clutch.hatchlings
    counts = Counter({"without a page": hatched - len(young)}) + Counter(map(_standing, young))
    first, *others = sorted(counts, key=_STANDINGS.index)
    if others:
        parts = ", ".join(f"{number(counts[how])} {how}" for how in (first, *others))
        return f"Of the {number(hatched)} {'that hatched' if clutch.complete else 'on record'}: {parts}."
    on_record = "" if clutch.complete else " on record"
    if first == "not for sale" and hatched > 1:
        return f"None{on_record or ' of them'} is for sale."
    every = {1: "The one" if on_record else "It", 2: "Both"}.get(hatched, f"All {number(hatched)}")
    return f"{every}{on_record} {'is' if hatched == 1 else 'are'} {first}."


_GONE = ("sold", "no longer here")
_STANDINGS = ("for sale", "on hold", "not for sale", *_GONE, "without a page")
_STANDS = {"available": "for sale", "on hold": "on hold", "sold": "sold"}


def _standing(animal: Animal) -> str:
    """Where one of the young is, for those who look at its clutch: one of `_STANDINGS`."""
    if animal.away is None:
        return _STANDS.get(animal.status, "not for sale")
    return "sold" if animal.away.how == "sold" else "no longer here"


def _in_order(context: Context, page: str, animals: Sequence[Animal], explained: Explained) -> tuple[Card, ...]:
    """Those with a photo first; within each as numbered."""
    return tuple(labels.card(context, page, animal, explained) for animal in context.pictured_first(page, animals))


def _reasons(context: Context, page: str, young: Sequence[Animal]) -> Iterator[Reason]:
    """Why each line about the young for sale is believed, once, each under those of whom it is said."""
    said = grouped(
        ((reason.label, reason.sentences), animal)
        for animal in young
        for reason in grounds(context, page, context.statement(animal.id))
        if reason.sentences
    )
    each = f"Each of the young for sale{' or on hold' if any(one.status == 'on hold' for one in young) else ''}"
    for (label, sentences), found in said.items():
        whom: str = join_and([Name(one.id) for one in found])
        whom = each if len(found) == len(young) else phrase("Each of {}", whom) if len(found) > 1 else whom
        yield Reason(context.linked(page, phrase("{}: {}", whom, label)) if len(young) > 1 else label, sentences)


def _unexpected_elsewhere(context: Context, page: str, clutch: Clutch, stated: ClutchStatement) -> tuple[Reason, ...]:
    """Unexpected results of other clutches on which a figure of the young or of a parent rests."""
    family = [context.statement(name) for name in (*clutch.young, *clutch.parents) if context.may_name(name)]
    own = {note.text for note in stated.surprises}
    notes = {note.text: note for one in family for note in one.surprises if note.text not in own}
    return unexpected(context, page, notes.values())


def _tally_words(tally: Tally, *, more: bool, aside: bool) -> str:
    """ "Two more hatchlings, normal: counted here, ..."; without a look where looks of the clutch are set aside."""
    look = "" if aside else f", {' '.join(tally.reading.shows or ()) or 'normal'}"
    sex = "" if tally.sex == "unknown" else f"{tally.sex} "
    hatchlings = counted(tally.count, f"{'more ' if more else ''}{sex}hatchling")
    return sentence(
        f"{hatchlings}{look}: counted here, without {'a page of its' if tally.count == 1 else 'pages of their'} own"
    )


def _parents(context: Context, page: str, stated: ClutchStatement, explained: Explained) -> Iterator[Parent]:
    several = len(stated.sires) > 1
    clutch = stated.clutch
    each_egg = several and clutch.sires.kind == "mixed"
    of_young = [context.statement(key).parents.sires for key in clutch.young] if each_egg else []
    sure = [own[0].sire for own in of_young if len(own) == 1 and not own[0].by_claim]
    certain = clutch.sires.certain
    nameless = certain is not None and context.collection.animals[certain].nameless
    if nameless:
        yield parent_of(context, page, certain, "Sire", None, explained)
    for sire in stated.sires:
        if not several and (nameless or isinstance(sire.sire, Nobody)):
            continue
        role, chance = "Probable sire" if sire.by_claim else "Sire", None
        if each_egg:
            role = f"{'Sire' if sire.sire in sure else 'Possible sire'} of some eggs"
        elif several:
            role, chance = "Possible sire", _chance(sire.chance)
        if isinstance(sire.sire, Nobody):
            yield Parent("No sire", Link("The dam alone"), chance, None, "She may have bred without a male.")
        elif isinstance(sire.sire, Unrecorded):
            name = Link(clause(context.sire(page, sire).text))
            words = explained.first("sire and dam")
            yield Parent(role, name, chance, None, "Nothing is on record of him.", words=words)
        else:
            yield parent_of(context, page, sire.id, role, chance, explained, context.sire(page, sire))
    dam = clutch.dam if context.collection.animals[clutch.dam].nameless else stated.dam
    yield parent_of(context, page, dam, "Dam", None, explained)


def _chance(chance: Fraction | None) -> str:
    if chance is None:
        return f"chance {NOT_COMPUTED}"
    return percent_text(chance) if chance < ONE_PERCENT else f"{percent_text(chance)} ({in_count(chance)})"


def _ask(context: Context, heading: str, stated: ClutchStatement) -> Ask | None:
    if stated.state in ("sold out", "did not hatch"):
        return None
    hoped = "Tell us what you hope for, and we write if there are young."
    here = "Name the animal by its number, and ask whatever helps you to decide."
    text = hoped if stated.state in ("planned", "incubating") else here
    return context.ask("Ask about this clutch", text, context.mail("Write to us about this clutch", heading))


# Planned pairings, and what a clutch can bring


def plan_page(framing: Framing, plan: PublicPlan) -> PlanPage:
    """`plan` is one of `context.plans`: both animals may be named."""
    context = framing.context
    page = addresses.plan(plan.female, plan.male)
    name = _name(context, plan)
    species = context.species(context.collection.animals[plan.female].species)
    explained = Explained()
    return PlanPage(
        frame=framing.frame(
            page,
            f"{'Planned' if is_to_come(context, plan) else 'Pairing'}: {name}",
            f"{species.heading}. {_intro(context, plan)}",
            rests_on=context.rests_on((plan.male, plan.female), (*plan.clutches, *plan.instead)),
        ),
        name=name,
        species=species.heading,
        scientific_name=species.scientific_name,
        state=f"{_state(context, plan)}{f', {plan.season}' if plan.season else ''}",
        intro=_intro(context, plan),
        clutches=tuple(context.clutch_link(page, key) for key in (*plan.clutches, *plan.instead)),
        parents=(
            parent_of(context, page, plan.male, "Sire", None, explained),
            parent_of(context, page, plan.female, "Dam", None, explained),
        ),
        expected=expected(context, page, plan.odds, explained),
        ask=context.ask(
            "Ask about this pairing",
            "Tell us what you hope for, and we write when there are eggs. A plan can change; nothing is promised yet.",
            context.mail(f"Write to us about {name}", f"Planned: {name}"),
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
        tuple((plan_link(context, page, plan), _state(context, plan)) for plan in context.plans),
    )


def plan_link(context: Context, page: str, plan: PublicPlan) -> Link:
    return Link(_name(context, plan), addresses.link(page, addresses.plan(plan.female, plan.male)))


def is_to_come(context: Context, plan: PublicPlan) -> bool:
    return not (plan.clutches or plan.over or _too_late(context, plan))


def _name(context: Context, plan: PublicPlan) -> str:
    animals = context.collection.animals
    return f"{animals[plan.male].called} with {animals[plan.female].called}"


def _state(context: Context, plan: PublicPlan) -> str:
    if plan.clutches:
        states = {context.clutch_statement(key).state for key in plan.clutches}
        if "incubating" in states:
            return "There are eggs"
        return "Laid, and nothing hatched" if states == {"did not hatch"} else "Hatched"
    if _too_late(context, plan):
        return "No clutch on record"
    if plan.instead:
        return "She has laid since"
    return "Over, without a clutch on record" if plan.over else "Planned"


def _too_late(context: Context, plan: PublicPlan) -> bool:
    """Whether the time planned for it has passed without a clutch or a result on record."""
    return not plan.over and context.has_passed(plan.last)


def _intro(context: Context, plan: PublicPlan) -> str:
    female = context.collection.animals[plan.female].called
    if plan.clutches:
        return f"{female} has laid; the page of the clutch says what came of it."
    if plan.instead:
        return f"{female} has laid since; the page of the clutch says by whom, as far as we know, and what came of it."
    if plan.over:
        return "This pairing is over, without a clutch on record."
    if _too_late(context, plan):
        return "The time planned for it has passed, without a clutch on record. Below is what a usual clutch of the two can bring."
    animals = context.collection.animals
    beside = (one.male for one in context.plans if _beside(context, one, plan))
    names = dict.fromkeys((*beside, *filter(context.may_name, plan.away)))
    others = [animals[name].called for name in names]
    too = f" {join_and(others)} {'is' if len(others) == 1 else 'are'} planned with {female} too." if others else ""
    if plan.odds is None:
        return f"The odds of this pairing are not computed.{too}"
    alone = f", if {animals[plan.male].called} alone sires it" if others else ""
    what, but = ("egg", " of which some may die") if plan.odds.hatchlings.some_die else ("hatchling", "")
    return f"What a usual clutch of the two, {counted(plan.odds.drawn, what)}{but}, can bring{alone}.{too}"


def _beside(context: Context, other: PublicPlan, plan: PublicPlan) -> bool:
    """Whether another plan to come is of the same female in the same season."""
    return (
        other is not plan and (other.female, other.season) == (plan.female, plan.season) and is_to_come(context, other)
    )


def looks_in_eggs(
    odds: Odds, said: OddsWords, prefix: str, named: Callable[..., tuple[Word, ...]] = lambda *_: ()
) -> tuple[LookInEggs, ...]:
    """The looks that the words list, each with its eggs; `prefix` begins the ids of the drawings; `named` explains names of looks."""
    return tuple(
        LookInEggs(
            look.look,
            look.eggs[:1].upper() + look.eggs[1:],
            _drawn(outcome, look, odds.drawn, f"{prefix}-{number}"),
            look.carries,
            look.harm,
            named(*outcome.combos, *outcome.looks),
        )
        for number, (outcome, look) in enumerate(zip(odds.outcomes, said.looks, strict=False), 1)
    )


def _drawn(outcome: Outcome, said: LookWords, young: int, prefix: str) -> Drawing | None:
    """Filled: eggs to expect; striped: one more, at times."""
    if not 1 <= young <= MOST:
        return None
    whole, rest = divmod(outcome.expected, 1)
    title = f"{said.look}: {said.eggs}"
    return Drawing(_eggs, (young, int(whole), int(rest > 0), title, said.eggs, prefix))


def _eggs(young: int, whole: int, part: int, title: str, caption: str, prefix: str) -> Drawn:
    parts = (CountPart("shows", whole, "to expect"), CountPart("part", part, "one, at times"))
    return chances.counts("egg", young, parts, title, prefix)._replace(words=(caption,))


MOST_LOOKS = 16
INTRO = (
    "A filled egg is one to expect; a striped egg, if there is one, may come or not. The counts hold if every egg hatches that can. "
    "They follow from what both parents carry, are taken to carry or may carry; every clutch turns out its own way."
)


def expected(context: Context, page: str, odds: Odds | None, explained: Explained) -> Expected:
    """The odds in words and drawings; nothing where there are none."""
    if odds is None or context.answers is None:
        return Expected()
    said = in_words(odds, context.answers, MOST_LOOKS)
    species = context.collection.animals[odds.dam].species
    return Expected(
        INTRO,
        looks_in_eggs(odds, said, "eggs", partial(explained.names, context.species(species))),
        said.rarer and f"{said.rarer}.",
        tuple(_fit(context, page, said.notes)),
        next(_fit(context, page, (said.kinship,)), None),
    )


def _fit(context: Context, page: str, texts: Iterable[str]) -> Iterator[Markup]:
    """The sentences as links, without any that names an animal or a clutch that may not be named."""
    for text in texts:
        names = [part for part in parts_of(text) if isinstance(part, Name)]
        if all(context.may_name(name) or context.has_clutch_page(name) for name in names):
            yield context.linked(page, text)
