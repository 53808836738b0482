"""The first page: every animal that is available or on hold, as labels, and a sentence that narrows them down.

And lineage: the animals and clutches behind them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from markupsafe import Markup

from clutchlight.model import Animal, Clutch
from clutchlight.model.traits import grouped, reached
from clutchlight.site import addresses, labels, statement_part
from clutchlight.site.clutch_page import is_overdue, is_to_come, offer_words, parents_in_brief, plan_link, state_words
from clutchlight.site.context import SEX_SIGNS, Context, Framing, anchor, for_sale
from clutchlight.site.drawings import breeding_pedigree, chart_of, unshown
from clutchlight.site.labels import parent_links
from clutchlight.site.other_pages import change_item
from clutchlight.site.pages import AvailabilityPage, ClutchEntry, LineageEntry, LineagePage, SpeciesLine
from clutchlight.site.parts import Choice, Group, Link, PedigreeView
from clutchlight.site.statement_part import Explained
from clutchlight.statements.changes import Change
from clutchlight.wording import day_words
from clutchlight.wording.words import clause, counted, join_and, plural, sentence

ENOUGH_TO_FILTER = 5
_RECENT = 4
LATELY = 3


def availability_page(framing: Framing) -> AvailabilityPage:
    context = framing.context
    page = addresses.HOME
    settings = context.collection.settings
    offered = [animal for animal in context.animals if for_sale(animal)]
    recent, newest, explained = _recent(context, page), context.newest_record, Explained()
    taken = any(context.statement(animal.id).taken for animal in offered)
    groups = tuple(
        _group(context, page, key, [animal for animal in offered if animal.species == key], explained)
        for key in context.collection.species
        if any(animal.species == key for animal in offered)
    )
    latest = f"the {'clutch below is' if len(recent) == 1 else 'clutches below are'} the latest; " if recent else ""
    return AvailabilityPage(
        frame=framing.frame(
            page,
            _heading({animal.status for animal in offered}),
            f"{sentence(offer_words(context, offered))} {settings.about or f'Snakes from {settings.name}.'}",
            script=True,
            feed=addresses.CHANGES_FEED,
        ),
        lead=settings.about,
        groups=groups,
        filterable=len(offered) >= ENOUGH_TO_FILTER,
        species=(
            Choice("", "every snake"),
            *(Choice(group.key, f"every {context.species(group.key).name}") for group in groups if len(groups) > 1),
        ),
        sexes=(Choice("", "of either sex"), Choice("male", "male"), Choice("female", "female")),
        ways=(
            Choice("shows certain taken possible", "shows or may carry"),
            Choice("shows certain", "shows or certainly carries"),
            Choice("shows", "shows"),
            Choice("certain", "certainly carries"),
            *([Choice("taken", "is taken to carry")] if taken else []),
            Choice("possible", "may carry"),
            *(Choice(f"possible={least}", f"may carry, with {least}% or more,") for least in (50, 66)),
        ),
        traits=(Choice("", "any trait"), *_trait_choices(context, offered)),
        states=_states(offered),
        prices=_prices(context, offered),
        orders=(
            Choice(
                "",
                "pictured ones first, then the newest"
                if any(len({card.picture is None for card in group.cards}) > 1 for group in groups)
                else "the newest first",
            ),
            *([Choice("price", "the lowest price first")] if _prices(context, offered) else []),
            Choice("clutch", "clutch by clutch"),
        ),
        empty="Nothing is looking for a home at the moment. "
        + sentence(f"{latest}write to us if you are waiting for something in particular"),
        recent=recent,
        believe=Markup("Each percentage here is computed from what is on record, and changes when a record does. ")
        + anchor(Link("How we know", addresses.link(page, addresses.METHOD)))
        + ".",
        expected=tuple(_expected(context, page)),
        lately=tuple(change_item(context, page, change) for change in _newest_changes(context)),
        all_changes=Link("Every change", addresses.link(page, addresses.CHANGES)),
        records_to=f"Our newest public record is of {day_words.when(newest)}." if newest else None,
        ask=context.ask(
            "Write to us",
            "Name the animal by its number, and ask whatever helps you to decide.",
            context.mail(settings.contact.get("mail", "")),
        ),
    )


def _heading(statuses: set[str]) -> str:
    if "on hold" not in statuses:
        return "Available now"
    return "Available now and on hold" if len(statuses) > 1 else "On hold"


def _group(context: Context, page: str, key: str, animals: list[Animal], explained: Explained) -> Group:
    in_order = context.pictured_first(page, _in_order(animals))
    cards = tuple(labels.card(context, page, animal, explained, offered=True) for animal in in_order)
    return Group(key, context.species(key).heading, plural(len(cards), "snake"), cards)


def _in_order(animals: list[Animal]) -> list[Animal]:
    """Available before on hold; by day of hatching, the latest first; then by id."""
    return sorted(
        animals,
        key=lambda one: (
            one.status != "available",
            -(one.hatched.last.toordinal() if one.hatched else 0),
            one.id,
        ),
    )


def _states(offered: list[Animal]) -> tuple[Choice, ...]:
    if len({animal.status for animal in offered}) < 2:
        return ()
    return Choice("", "available or on hold"), Choice("available", "available"), Choice("on-hold", "on hold")


def _prices(context: Context, offered: list[Animal]) -> tuple[Choice, ...]:
    """Round limits that some prices keep and some do not."""
    prices = [amount for animal in offered if (amount := day_words.amount(animal.price)) is not None]
    limits = [
        one * ten
        for ten in (10, 100, 1000, 10_000)
        for one in (1, 2, 3, 5)
        if prices and min(prices) <= one * ten < max(prices)
    ]
    currency = context.collection.settings.currency
    found = [Choice(str(limit), f"for up to {day_words.money(Fraction(limit), currency)}") for limit in limits]
    return (Choice("", "at any price"), *found) if found else ()


def _trait_choices(context: Context, offered: list[Animal]) -> tuple[Choice, ...]:
    names = {trait.trait for animal in offered for trait in context.statement(animal.id).traits if trait.advertised}
    return tuple(Choice(labels.slug(name), name) for name in sorted(names))


def _expected(context: Context, page: str) -> Iterator[tuple[Link, str]]:
    """Clutches in the incubator whose time has not passed, then pairings that are planned."""
    for clutch in context.clutches:
        stated = context.clutch_statement(clutch.id)
        if stated.state == "incubating" and not is_overdue(context, clutch):
            words = state_words(context, clutch, stated)
            parents = " × ".join(link.text for link in parents_in_brief(context, page, stated))
            yield (
                Link(parents, context.clutch_link(page, clutch.id).href),
                words[:1].lower() + words[1:],
            )
    for plan in context.plans:
        if is_to_come(context, plan):
            yield plan_link(context, page, plan), f"planned{f', {plan.season}' if plan.season else ''}"


def _newest_changes(context: Context) -> Sequence[Change]:
    """One for each of the latest records that moved a figure."""
    told = (change for change in context.past.changes.newest_first if change.dated and not change.small)
    return tuple(same[0] for same in grouped((change.event, change) for change in told).values())[:LATELY]


def _recent(context: Context, page: str) -> tuple[Link, ...]:
    """The newest clutches bred here, since nothing of anybody else's will be for sale."""
    dated = [one for one in context.clutches if (one.hatched or one.laid) and one.reported_by is None]
    return tuple(context.clutch_link(page, clutch.id) for clutch in sorted(dated, key=_newest_first)[:_RECENT])


def _newest_first(clutch: Clutch) -> tuple[int, str]:
    """By day of hatching or laying; what is only planned before all others."""
    day = clutch.hatched or clutch.laid
    return -(day.last.toordinal() if day else 10**7), clutch.id


# Lineage

INTRO = "The animals behind the young: what each shows, what is certain, what is still open, and which clutches say so."
PEDIGREE = (
    "Who comes from whom. Tap a symbol, or go to its name with the keyboard: its parents and young get a ring, and the lines to them "
    "stand out. The name leads to the page. An animal without a parent or young among these is in the lists below, and not drawn."
)


def lineage_page(framing: Framing) -> LineagePage:
    context = framing.context
    explained = Explained()
    breeding = {key: found for key in context.collection.species if (found := _breeding(context, key))}
    rests_on = context.rests_on(
        (animal.id for found in breeding.values() for animal in found), (clutch.id for clutch in context.clutches)
    )
    frame = framing.frame(addresses.LINEAGE, "Lineage", INTRO, rests_on=rests_on)
    lines = tuple(
        _line(context, key, animals, explained, f"l{number}") for number, (key, animals) in enumerate(breeding.items())
    )
    return LineagePage(frame, INTRO, lines)


def _breeding(context: Context, species: str) -> list[Animal]:
    """Animals that breed here or are behind those that do: breeders, and those that a listed animal or clutch comes from."""
    parents = _behind(context)
    return [
        animal
        for key, animal in context.collection.animals.items()
        if animal.species == species and context.may_name(key) and (animal.status == "breeder" or key in parents)
    ]


def _behind(context: Context) -> frozenset[str]:
    """The recorded parents of whatever is listed, and theirs where they are not."""
    animals, clutches = context.collection.animals, context.collection.clutches

    def parents(key: str) -> tuple[str, ...]:
        if key in clutches:
            return clutches[key].parents
        return context.collection.parents_of(key) if key in animals else ()

    listed = [*filter(context.may_name, animals), *(clutch.id for clutch in context.clutches)]
    young = reached(listed, lambda key: (parent for parent in parents(key) if not context.may_name(parent)))
    return frozenset(parent for key in young for parent in parents(key))


def _line(context: Context, key: str, animals: list[Animal], explained: Explained, prefix: str) -> SpeciesLine:
    page = addresses.LINEAGE
    species = context.species(key)
    here = [animal for animal in animals if animal.here]
    clutches = [clutch for clutch in context.clutches if clutch.species == key]
    named = [one.id for one in context.collection.animals.values() if one.species == key and context.may_name(one.id)]
    spoken = {trait.trait for name in named for trait in context.statement(name).traits}
    heading = f"Pedigree of the {species.name} lines"
    drawing = breeding_pedigree(context, animals, heading, prefix)
    return SpeciesLine(
        key=key,
        species=species.heading,
        scientific_name=species.scientific_name,
        pedigree=PedigreeView(drawing, heading, PEDIGREE, unshown=unshown(context, drawing, chart_of(drawing)[0].by_id))
        if drawing
        else None,
        females=tuple(_entry(context, page, animal, explained) for animal in here if animal.sex == "female"),
        males=tuple(_entry(context, page, animal, explained) for animal in here if animal.sex != "female"),
        earlier=tuple(_entry(context, page, animal, explained) for animal in animals if not animal.here),
        clutches=tuple(_clutch(context, page, clutch) for clutch in sorted(clutches, key=_newest_first)),
        traits=tuple(
            Link(
                join_and([name for name in locus.alleles if name in spoken] or locus.alleles[:1]),
                context.trait_href(page, key, locus.key),
            )
            for locus in context.trait_pages
            if locus.species == key
        ),
    )


def _entry(context: Context, page: str, animal: Animal, explained: Explained) -> LineageEntry:
    stated = context.statement(animal.id)
    name = context.name(page, animal.id, short=True)
    return LineageEntry(
        name=name,
        key=animal.id if animal.name else "",
        sex_sign=SEX_SIGNS[animal.sex],
        picture=context.first_picture(page, animal) if context.has_page(animal.id) else None,
        look=clause(stated.look_sentence),
        certain=statement_part.certain_with_grounds(context, page, stated),
        taken=context.all_linked(page, statement_part.words_under("taken as certain", stated)),
        possible=statement_part.words_under("possible", stated),
        bred=sentence(stated.proven_breeder) if stated.proven_breeder else None,
        parents=parent_links(context, page, animal),
        clutches=tuple(context.clutch_link(page, key) for key in context.bred(animal.id)),
        clutches_intro=labels.clutches_intro(context, animal),
        words=(
            *labels.label_words(stated, explained, *labels.HEADINGS),
            *explained.looks(context, stated),
            *(explained.first("proven breeder") if stated.proven_breeder else ()),
        ),
    )


def _clutch(context: Context, page: str, clutch: Clutch) -> ClutchEntry:
    stated = context.clutch_statement(clutch.id)
    day = clutch.hatched or clutch.laid
    return ClutchEntry(
        name=context.clutch_link(page, clutch.id),
        when=day_words.month_or_less(day) if day else "planned",
        parents=parents_in_brief(context, page, stated),
        young=_young_words(context, clutch, stated.state),
    )


def _young_words(context: Context, clutch: Clutch, state: str) -> str:
    if state == "incubating" and is_overdue(context, clutch):
        return "Laid; nothing more is on record."
    if state == "incubating":
        left = (clutch.eggs or 0) - clutch.went_bad
        return f"{counted(left, 'egg').capitalize()} in the incubator." if left > 0 else "In the incubator."
    if state in ("planned", "did not hatch"):
        return "Planned." if state == "planned" else "Did not hatch."
    return f"{counted(clutch.hatchlings, 'young', 'young').capitalize()}{'' if clutch.complete else ' on record'}."
