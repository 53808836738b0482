"""The pages that are the same for every collection but for a few words: method, free pages, moved addresses, not found."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from clutchlight.model import FreePage
from clutchlight.statements.words import in_count, plural
from clutchlight.website import addresses
from clutchlight.website.frames import Framing
from clutchlight.website.pages import MethodPage, MovedPage, NotFoundPage, ProsePage
from clutchlight.website.parts import Fact, Link
from clutchlight.website.prose import without_comments
from clutchlight.website.written import prose_of


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
    description = " ".join(without_comments(own.prose).split()) or own.title
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
