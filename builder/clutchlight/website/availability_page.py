"""The first page: every animal that is available or on hold, as labels, and a sentence that narrows them down."""

from __future__ import annotations

from clutchlight.model import Animal
from clutchlight.statements.words import counted
from clutchlight.website import addresses, cards
from clutchlight.website.context import Context, for_sale
from clutchlight.website.frames import Framing
from clutchlight.website.pages import AvailabilityPage
from clutchlight.website.parts import Ask, Card, Choice, Group, Link

ENOUGH_TO_FILTER = 5
_RECENT = 4


def availability_page(framing: Framing) -> AvailabilityPage:
    context = framing.context
    page = addresses.HOME
    settings = context.collection.settings
    offered = [animal for animal in context.animals if for_sale(animal)]
    groups = tuple(
        _group(context, page, key, [animal for animal in offered if animal.species == key])
        for key in context.collection.species
        if any(animal.species == key for animal in offered)
    )
    return AvailabilityPage(
        frame=framing.frame(
            page, "Available now", settings.about or f"Snakes available from {settings.name}.", script=True
        ),
        lead=settings.about,
        groups=groups,
        count=counted(len(offered), "snake"),
        filterable=len(offered) >= ENOUGH_TO_FILTER,
        species=(
            Choice("", "every snake"),
            *(
                Choice(group.key, f"every {context.species(group.key).name.lower()}")
                for group in groups
                if len(groups) > 1
            ),
        ),
        sexes=(Choice("", "of either sex"), Choice("male", "male"), Choice("female", "female")),
        ways=(
            Choice("shows certain possible", "shows or may carry"),
            Choice("shows certain", "shows or certainly carries"),
            Choice("shows", "shows"),
            Choice("certain", "certainly carries"),
            Choice("possible", "may carry"),
        ),
        traits=(Choice("", "any trait"), *_trait_choices(context, offered)),
        empty="Nothing is looking for a home at the moment. The clutches below are the latest; "
        "write to us if you are waiting for something in particular.",
        recent=_recent(context, page),
        ask=Ask(
            heading="Write to us",
            mail=context.mail(settings.contact.get("mail", "")),
            telephone=context.telephone,
            text="Name the animal by its number, and ask whatever helps you to decide.",
            terms=settings.advert,
        ),
    )


def _group(context: Context, page: str, key: str, animals: list[Animal]) -> Group:
    species = context.species(key)
    labels = sorted((cards.card(context, page, animal) for animal in _newest_first(animals)), key=_without_photo)
    return Group(key, species.name, counted(len(animals), "animal").capitalize() + ".", tuple(labels))


def _without_photo(card: Card) -> bool:
    return card.picture is None


def _newest_first(animals: list[Animal]) -> list[Animal]:
    """By day of hatching, the latest first, then by id; available before on hold within one day."""
    return sorted(
        animals, key=lambda a: (-(a.hatched.last.toordinal() if a.hatched else 0), a.status != "available", a.id)
    )


def _trait_choices(context: Context, offered: list[Animal]) -> tuple[Choice, ...]:
    names = {trait.trait for animal in offered for trait in context.statement(animal.id).traits if trait.mentioned}
    return tuple(Choice(cards.slug(name), name) for name in sorted(names))


def _recent(context: Context, page: str) -> tuple[Link, ...]:
    dated = [clutch for clutch in context.clutches if clutch.hatched or clutch.laid]
    newest = sorted(dated, key=lambda c: (-(c.hatched or c.laid).last.toordinal(), c.id))  # type: ignore[union-attr]
    return tuple(context.clutch_link(page, clutch.id) for clutch in newest[:_RECENT])
