"""From records and statements to every file of the public site: a mapping from address to bytes, and nothing else.

Pure: reads no file, no clock and no setting but its arguments; the same arguments give the same bytes, whatever stands already. A page
that would be made in the same way from an equal page object is not made again: `kept` names it.

Feeds are Atom (RFC 4287): of every change of a figure and every correction, and of what happens to one clutch and its young. Ids are
`urn:uuid` of version 5 (RFC 9562) under the collection's fixed id, made of what never changes: the earliest id of an animal or a clutch,
the locus and trait, the day, and a count where one figure changed twice on a day. Feeds and statements stand at the addresses of earlier
ids too. Dates are those of the records, at midnight UTC; no clock is read. A feed of a collection without any dated record says
1970-01-01, since `updated` must stand; what has no day in public is no entry. Links are written only when there is a web address: a
relative one would be lost once a reader keeps the feed elsewhere. RFC 4287 asks for none where an entry has its content with it, and each
has.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from html import escape
from typing import Any
from uuid import UUID, uuid5
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from msgspec import Struct

from clutchlight.editing.export import ped_row
from clutchlight.model import Animal, Clutch, Settings
from clutchlight.model.as_published import is_published
from clutchlight.model.private import plain_amount
from clutchlight.publishing.building_again import digest_of, rendering_digest
from clutchlight.publishing.manifest import Wanted
from clutchlight.shipped import SCHEMAS, schema
from clutchlight.site import addresses
from clutchlight.site.animal_page import animal_page, clutch_cards, own_card, own_cards
from clutchlight.site.availability_page import availability_page, lineage_page
from clutchlight.site.clutch_page import clutch_page, parents_in_brief, plan_page, plans_page
from clutchlight.site.context import Context, Framing, for_sale
from clutchlight.site.corrections import Corrected, Reviewed, corrections_of, every_correction, every_review, told_of
from clutchlight.site.other_pages import changes_page, method_page, moved_pages, not_found_page, prose_page, trait_page
from clutchlight.site.pages import MovedPage, Page
from clutchlight.site.photos import Previous, link_picture
from clutchlight.site.rendering import printed, template_of, templates_of
from clutchlight.site.theme import Theme
from clutchlight.statements.changes import Change
from clutchlight.statements.family import GENES
from clutchlight.statements.values import to_json
from clutchlight.wording import day_words
from clutchlight.wording.words import counted, join_and, sentence

StandingPage = Callable[[str, str, str], str | None]
"""(address, rendering digest, page digest) to the hash of an equally made page that stands already, if there is one."""


def site_files(
    context: Context,
    theme: Theme,
    *,
    standing: StandingPage = lambda address, rendering, page: None,
    previous: Previous = lambda address: None,
    asked: str = "",
) -> Wanted:
    """Every file of the site, by address, in order of address.

    `standing`: knows the pages that stand already, `previous` the bytes of any file that does. `asked`: what the build was asked for, for
    the manifest. Raises RecordsError when a theme of the collection's own has a mistake, and ValueError where what is unlisted is in it.
    """
    collection, photos = context.collection, context.photos
    if not is_published(collection):
        raise ValueError("a site is made of a collection as published")
    framing = Framing(context, theme)
    made = dict(photos.files)
    made |= {addresses.style(name): content for name, content in theme.published.items()}
    rendering = rendering_digest(theme.templates)
    templates, folder = templates_of(theme, "templates"), f"themes/{theme.name}/templates"
    kept: dict[str, str] = {}
    digests: dict[str, str] = {}
    listed: list[str] = []
    for address, page in pages_of(framing):
        digests[address] = digest_of(page)
        same = standing(address, rendering, digests[address])
        if same is None:
            made[address] = printed(templates, folder, template_of(type(page)), page)
        else:
            kept[address] = same
        drawn = page.frame.drawn
        if drawn is not None and (picture := drawn.address) not in made:
            made[picture] = previous(picture) or link_picture(drawn, photos.files.get(drawn.photo or ""))
        if address.endswith("index.html") and not isinstance(page, MovedPage):
            listed.append(address)
    made |= dict(_data(context))
    if collection.settings.web_address:
        made |= dict(_for_robots(collection.settings.web_address, sorted(listed)))
    return Wanted(dict(sorted(made.items())), kept, asked, rendering, digests)


def pages_of(framing: Framing) -> Iterator[tuple[str, Page]]:
    """Every page object of the site, with the address of its page."""
    context = framing.context
    yield addresses.HOME, availability_page(framing)
    yield addresses.LINEAGE, lineage_page(framing)
    if context.plans:
        yield addresses.PLANS, plans_page(framing)
    for plan in context.plans:
        yield addresses.plan(plan.female, plan.male), plan_page(framing, plan)
    yield addresses.CHANGES, changes_page(framing)
    yield addresses.METHOD, method_page(framing)
    yield addresses.NOT_FOUND, not_found_page(framing)
    for locus in context.trait_pages:
        yield addresses.trait(locus.species, locus.key), trait_page(framing, locus)
    for clutch in context.clutches:
        yield addresses.clutch(clutch.id), clutch_page(framing, clutch)
        cards = clutch_cards(framing, clutch)
        if cards is not None:
            yield addresses.clutch_cards(clutch.id), cards
    yield from moved_pages(framing)
    for animal in context.animals:
        yield addresses.animal(animal.id), animal_page(framing, animal)
    for animal in own_cards(context):
        yield addresses.animal_card(animal.id), own_card(framing, animal)
    for own in context.collection.pages:
        yield addresses.free_page(own.slug), prose_page(framing, own)


def _data(context: Context) -> Iterator[tuple[str, bytes]]:
    made = {animal.id: to_json(context.statement(animal.id)) for animal in context.animals}
    for animal in context.animals:
        said = to_bytes(made[animal.id])
        for name in (animal.id, *context.earlier_ids(animal)):
            yield addresses.animal_statement(name), said
    for clutch in context.clutches:
        told, feed = to_bytes(to_json(context.clutch_statement(clutch.id), made)), clutch_feed(context, clutch)
        for name in (clutch.id, *context.earlier_ids(clutch)):
            yield addresses.clutch_statement(name), told
            yield addresses.clutch_feed(name), feed
    yield addresses.CHANGES_FEED, changes_feed(context)
    yield addresses.AVAILABILITY_JSON, to_bytes(availability(context))
    yield addresses.PEDIGREE_PED, pedigree(context)
    for name in SCHEMAS:
        yield addresses.schema(f"{name}.json"), schema(name).encode("utf-8")


def _for_robots(web_address: str, pages: Iterable[str]) -> Iterator[tuple[str, bytes]]:
    urls = "".join(f"<url><loc>{escape(addresses.absolute(web_address, page))}</loc></url>\n" for page in pages)
    xml = '<?xml version="1.0" encoding="UTF-8"?>\n<urlset xmlns="http://www.sitemaps.org/schemas/sitemap/0.9">\n'
    yield addresses.SITEMAP, f"{xml}{urls}</urlset>\n".encode()
    sitemap = addresses.absolute(web_address, addresses.SITEMAP)
    yield addresses.ROBOTS, f"User-agent: *\nAllow: /\nSitemap: {sitemap}\n".encode()


# What a build changes


class FigureChange(Struct, frozen=True):
    """One trait of one animal: the label before and after; None where nothing was, or is, said."""

    animal: str
    trait: str
    before: str | None
    after: str | None

    def __str__(self) -> str:
        before = self.before or f"nothing said of {self.trait}"
        return f"{self.animal}: {before} → {self.after or f'nothing that counts speaks for {self.trait} any more'}"


def changes_against(previous: Callable[[str], bytes | None], made: Mapping[str, bytes]) -> tuple[FigureChange, ...]:
    """The changes since the site that stands, by animal and trait; animals without a page then or now are left out.

    `made`: the files of the new site, by address.
    """
    found: list[FigureChange] = []
    for address, content in made.items():
        ident = addresses.animal_of_statement(address)
        standing = previous(address) if ident else None
        if ident is None or standing is None or standing == content:
            continue
        stated = json.loads(content)
        if stated.get("id", ident) != ident:  # at an earlier address
            continue
        before, after = _labels(json.loads(standing)), _labels(stated)
        for trait in sorted({*before, *after}):
            then, now = before.get(trait), after.get(trait)
            if then != now:
                found.append(FigureChange(ident, trait, *_said(then, now)))
    return tuple(found)


Said = tuple[str | None, str | None]


def _labels(statement: Mapping[str, Any]) -> dict[str, Said]:
    """By trait, the exact chance and the label."""
    return {entry["trait"]: (entry["carries"], entry["label"]) for entry in statement.get("traits", ())}


def _said(before: Said | None, after: Said | None) -> tuple[str | None, str | None]:
    """Both labels; where they read alike, with the exact chances, which then differ."""
    if before and after and before[1] == after[1]:
        return f"{before[1]} (exactly {before[0]})", f"{after[1]} (exactly {after[0]})"
    return before[1] if before else None, after[1] if after else None


# Feeds

ATOM = "http://www.w3.org/2005/Atom"
NEWEST = 100
"""The most entries of the site's feed; the page of changes has them all."""
NEVER = date(1970, 1, 1)


class FeedEntry(Struct, frozen=True):
    """`key`: what the id is made of. `page`: the address that it leads to. `on`: the day on which it last changed, by a correction too."""

    key: str
    on: date
    title: str
    text: str
    page: str


def changes_feed(context: Context) -> bytes:
    """Every change of a published figure and every correction, newest first."""
    entries = [_of_change(context, change) for change in context.past.changes.newest_first if change.dated]
    entries += [_of_correction(context, row) for row in every_correction(context)]
    entries += [_of_review(context, row) for row in every_review(context)]
    entries = sorted(entries, key=lambda entry: entry.on, reverse=True)[:NEWEST]
    return _feed(context, "changes", "what changed", addresses.CHANGES, addresses.CHANGES_FEED, entries)


def clutch_feed(context: Context, clutch: Clutch) -> bytes:
    """A clutch from its eggs on: what it proved, and every change of its young or by a record of them, newest first."""
    page, feed = addresses.clutch(clutch.id), addresses.clutch_feed(clutch.id)
    entries = sorted(_of_clutch(context, clutch), key=lambda entry: entry.on, reverse=True)
    name = f"{clutch.name} ({clutch.id})" if clutch.name else f"clutch {clutch.id}"
    return _feed(context, f"clutch:{_first_id(clutch)}", name, page, feed, entries)


def _of_clutch(context: Context, clutch: Clutch) -> Iterator[FeedEntry]:
    changes = context.past.changes
    entries = (
        _of_change(context, change)
        for change in (*changes.caused_by.get(clutch.id, ()), *changes.later_of(clutch))
        if change.dated
    )
    yield from {entry.key: entry for entry in entries}.values()
    yield from _corrections_of_clutch(context, clutch)
    yield from (_of_review(context, row) for row in every_review(context) if row.animal in clutch.young)
    page = addresses.clutch(clutch.id)
    pairing = " × ".join(link.text for link in parents_in_brief(context, page, context.clutch_statement(clutch.id)))
    more = " on record" if clutch.hatchlings and not clutch.complete else ""
    happened = (
        ("ended", clutch.ended, "ended", "ended without a hatchling"),
        ("hatched", clutch.hatched, "hatched", f"has hatched{_counted((clutch.hatchlings, 'hatchling'))}{more}"),
        (
            "laid",
            clutch.laid,
            "was laid",
            f"was laid{_counted((clutch.eggs or 0, 'good egg'), (clutch.slugs, 'slug'))}",
        ),
    )
    for key, when, short, words in happened:
        if when is not None:
            text = sentence(f"Clutch {clutch.id}, {pairing}, {words}")
            yield FeedEntry(f"clutch:{_first_id(clutch)}:{key}", when.last, f"Clutch {clutch.id} {short}", text, page)


def _corrections_of_clutch(context: Context, clutch: Clutch) -> Iterator[FeedEntry]:
    """What was corrected of a clutch, of its young, and elsewhere that may bear on them."""
    young = [context.collection.animals[name] for name in sorted(clutch.young) if context.may_name(name)]
    records: list[Animal | Clutch] = [*young, clutch]
    of_it = [row for one in records for row in corrections_of(context, one)]
    yield from (_of_correction(context, row) for row in of_it)
    bears = f"It may bear on what is said of young of {clutch.called}."
    yield from (_of_correction(context, row, bears) for _, row in told_of(context, clutch) if row not in of_it)


def _counted(*counts: tuple[int, str]) -> str:
    said = [counted(count, noun) for count, noun in counts if count]
    return f": {join_and(said)}" if said else ""


def _of_change(context: Context, change: Change) -> FeedEntry:
    record = context.collection.animals[change.animal]
    key = f"change:{_first_id(record)}:{change.locus}:{change.trait}:{change.on}:{change.place}"
    page = addresses.animal(record.id) if context.has_page(record.id) else addresses.CHANGES
    title = f"{record.called}: {change.with_cause}"
    told = told_of(context, record, {change.locus}) if context.corrected_kin.get(record.id) else ()
    later = [(whose, row) for whose, row in told if row.key in GENES and row.on.last > change.on]
    corrected = [
        sentence(f"{whose} was corrected on {day_words.day(row.on.last)}: from {row.before} to {row.after}")
        for whose, row in later
    ]
    on = max((row.on.last for _, row in later), default=change.on)
    return FeedEntry(key, on, title, " ".join((change.why, *corrected)), page)


def _first_id(record: Animal | Clutch) -> str:
    return (record.was or (record.id,))[0]


def _of_correction(context: Context, row: Corrected, bears: str = "") -> FeedEntry:
    record = row.record
    if isinstance(record, Clutch):
        page, title = addresses.clutch(record.id), f"Clutch {record.id}"
    else:
        title = record.called
        page = addresses.animal(record.id) if context.has_page(record.id) else addresses.CHANGES
    key = f"correction:{_first_id(record)}:{row.key}:{row.on}"
    text = " ".join(filter(None, (sentence(row.because), bears)))
    return FeedEntry(key, row.on.last, f"{title}: {row.before} → {row.after}, corrected", text, page)


def _of_review(context: Context, row: Reviewed) -> FeedEntry:
    record = context.collection.animals[row.animal]
    page = addresses.animal(record.id) if context.has_page(record.id) else addresses.CHANGES
    key = f"review:{_first_id(record)}:{row.heading}:{row.on}:{row.before}"
    text = sentence(f"{row.heading} ({join_and(row.reviewed)}), by its dated record of that day")
    return FeedEntry(key, row.on, f"{record.called}: {row.before} → {row.after}", text, page)


def _feed(context: Context, key: str, title: str, page: str, feed: str, rows: Sequence[FeedEntry]) -> bytes:
    settings = context.collection.settings
    root = Element("feed", {"xmlns": ATOM, "xml:lang": "en"})
    updated = max((row.on for row in rows), default=context.past.last_day or NEVER)
    _begun(root, settings, key, f"{settings.name}: {title}", updated)
    SubElement(SubElement(root, "author"), "name").text = settings.name
    _link(root, settings, "self", "application/atom+xml", feed)
    _link(root, settings, "alternate", "text/html", page)
    for row in rows:
        entry = SubElement(root, "entry")
        _begun(entry, settings, row.key, row.title, row.on)
        _link(entry, settings, "alternate", "text/html", row.page)
        SubElement(entry, "content", type="text").text = row.text
    indent(root, " ")
    return b'<?xml version="1.0" encoding="utf-8"?>\n' + tostring(root, "unicode").encode() + b"\n"


def _begun(inside: Element, settings: Settings, key: str, title: str, day: date) -> None:
    """What a feed begins with, and each of its entries."""
    ident = uuid5(UUID(settings.collection_id), key).urn
    for name, text in (("id", ident), ("title", title), ("updated", f"{day.isoformat()}T00:00:00Z")):
        SubElement(inside, name).text = text


def _link(inside: Element, settings: Settings, rel: str, kind: str, page: str) -> None:
    """None without a web address."""
    if settings.web_address:
        SubElement(inside, "link", rel=rel, type=kind, href=addresses.absolute(settings.web_address, page))


# Files for other programs

AVAILABILITY = "clutchlight/availability/1"


def to_bytes(document: Mapping[str, object]) -> bytes:
    """JSON as people can read it, always the same bytes: a line for each key, and for each entry of a list of objects."""
    lines = ",\n".join(f" {_dumped(key)}: {_on_lines(value)}" for key, value in document.items())
    return f"{{\n{lines}\n}}\n".encode()


def _on_lines(value: object) -> str:
    if isinstance(value, list) and any(isinstance(entry, dict) for entry in value):
        entries = ",\n".join(f"  {_dumped(entry)}" for entry in value)
        return f"[\n{entries}\n ]"
    return _dumped(value)


_dumped = json.JSONEncoder(ensure_ascii=False).encode


def availability(context: Context) -> Mapping[str, object]:
    settings = context.collection.settings
    return {
        "schema": AVAILABILITY,
        "collection": settings.name,
        "collection_id": settings.collection_id,
        "animals": [_offer(context, animal) for animal in context.animals if for_sale(animal)],
    }


def _offer(context: Context, animal: Animal) -> Mapping[str, object]:
    stated = context.statement(animal.id)
    amount = day_words.amount(animal.price)
    currency = context.collection.settings.currency
    return {
        "id": animal.id,
        "name": animal.name,
        "page": addresses.animal(animal.id),
        "statement": addresses.animal_statement(animal.id),
        "species": animal.species,
        "scientific_name": context.species(animal.species).scientific_name,
        "sex": animal.sex,
        "hatched": str(animal.hatched) if animal.hatched else None,
        "status": animal.status,
        "price": {"amount": plain_amount(amount), "currency": currency} if amount is not None else None,
        "looks": None if stated.looks is None else list(stated.looks),
        "shows": [trait.trait for trait in stated.traits if trait.shows and trait.advertised],
        "certain": [trait.trait for trait in stated.certain],
        "taken_as_certain": [trait.trait for trait in stated.taken],
        "possible": [
            {"trait": trait.trait, "carries": str(trait.carries), "percent": trait.percent} for trait in stated.possible
        ],
        "advert": stated.advert,
    }


def pedigree(context: Context) -> bytes:
    lines = ["#FID IID PAT MAT SEX PHENOTYPE"]
    for key, animal in context.collection.animals.items():
        if context.may_name(key):
            parents = context.statement(key).parents
            sire = parents.sires[0].id if len(parents.sires) == 1 else None
            lines.append(ped_row(animal, *(one if context.may_name(one) else None for one in (sire, parents.dam))))
    return "".join(f"{line}\n" for line in lines).encode("ascii")
