"""The pages that are the same for every collection but for a few words: method, free pages, moved addresses, not found."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import groupby

from clutchlight.model import FreePage
from clutchlight.site import addresses
from clutchlight.site.context import Context
from clutchlight.site.frames import Framing
from clutchlight.site.pages import ChangesPage, MethodPage, MovedPage, NotFoundPage, ProsePage
from clutchlight.site.parts import ChangeDay, ChangeItem, Fact, Link
from clutchlight.site.prose import prose_of
from clutchlight.statements.changes import Change
from clutchlight.wording import day_words
from clutchlight.wording.words import in_count, plural


def method_page(framing: Framing) -> MethodPage:
    context = framing.context
    page = addresses.METHOD
    settings = context.collection.settings

    def trait_links(wanted: str) -> tuple[Link, ...]:
        return tuple(
            Link(locus.alleles[0], context.trait_href(page, locus.species, locus.key))
            for locus in context.trait_pages
            if (wanted == "sex" and locus.sex_linked) or (wanted == "words" and not locus.inheritance.computed)
        )

    return MethodPage(
        frame=framing.frame(
            page,
            "How the figures are made",
            "What certain and possible mean here, how every figure is made, and what it does not say.",
        ),
        mention_from=_chance(settings.mention_from),
        doubt_below=_chance(settings.doubt_below),
        species_sources=tuple(
            Fact(species.name, source)
            for species in context.collection.species.values()
            if (source := _sex_source(species.sex_system, species.facts.get("sex_determination"))) is not None
        ),
        open_data=(
            Link("availability.json", addresses.link(page, addresses.AVAILABILITY_JSON)),
            Link("pedigree.ped", addresses.link(page, addresses.PEDIGREE_PED)),
        ),
        sex_linked=trait_links("sex"),
        words_only=trait_links("words"),
        dated=plural(context.past.records, "dated record") if context.past.records else None,
        chain=context.past.head,
    )


def _chance(chance: Fraction) -> str:
    return in_count(chance)


def _sex_source(system: str, said: object) -> str | None:
    source = said.get("source") if isinstance(said, Mapping) else None
    return f"sex chromosomes {system}: {source}" if source else None


def prose_page(framing: Framing, own: FreePage) -> ProsePage:
    page = addresses.free_page(own.slug)
    description = " ".join(own.prose.split()) or own.title
    return ProsePage(
        framing.frame(page, own.title, description), prose_of(framing.context, page, own.prose, first_heading=2)
    )


def moved_page(framing: Framing, old: str, target: str, name: str) -> MovedPage:
    frame = framing.frame(old, f"{name}, once {_id_of(old)}", f"{name} has a new address.", go_to=target)
    return MovedPage(frame, Link(name, addresses.link(old, target)))


def _id_of(address: str) -> str:
    return address.split("/")[1]


def not_found_page(framing: Framing) -> NotFoundPage:
    web = framing.settings.web_address
    frame = framing.frame(addresses.NOT_FOUND, "Not found", "Nothing stands at this address.", noindex=True)
    places = (("What is available", addresses.HOME), ("The breeding animals and all clutches", addresses.LINEAGE))
    return NotFoundPage(frame, tuple(Link(text, addresses.rooted(web, target)) for text, target in places))


def changes_page(framing: Framing) -> ChangesPage:
    context = framing.context
    page = addresses.CHANGES
    changes = context.past.changes.newest_first
    dated = groupby((change for change in changes if change.dated), key=lambda change: day_words.when(change.when))
    days = [(day, list(found)) for day, found in dated]
    if others := [change for change in changes if not change.dated]:
        days.append(("Without a day", others))
    return ChangesPage(
        frame=framing.frame(
            page,
            "What changed",
            "Every figure on this site that a later record changed, newest first, with what changed it.",
            feed=addresses.CHANGES_FEED,
        ),
        days=tuple(_day(context, page, heading, found) for heading, found in days),
        feed=Link("As a feed for a news reader (Atom)", addresses.link(page, addresses.CHANGES_FEED)),
    )


def _day(context: Context, page: str, heading: str, changes: list[Change]) -> ChangeDay:
    return ChangeDay(
        heading,
        tuple(_item(context, page, change) for change in changes if not change.small),
        tuple(_item(context, page, change) for change in changes if change.small),
    )


def _item(context: Context, page: str, change: Change) -> ChangeItem:
    return ChangeItem(
        animal=context.name(page, change.animal),
        before=change.before_words,
        after=context.linked(page, change.after_words),
        cause=context.linked(page, change.cause),
        why=context.linked(page, change.why),
    )
