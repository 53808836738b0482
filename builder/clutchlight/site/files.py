"""From records and statements to every file of the public site: a mapping from address to bytes, and nothing else.

Pure: reads no file, no clock and no setting but its arguments; the same arguments give the same bytes, whatever stands already. A page
that would be made in the same way from an equal page object is not made again: `kept` names it.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from html import escape

from clutchlight.ledger.dated_records import NO_PAST, Past
from clutchlight.model import Collection, When
from clutchlight.model.as_published import is_published
from clutchlight.planning.odds import Odds, PublicPlan
from clutchlight.problems import Place
from clutchlight.publishing.building_again import digest_of, rendering_digest
from clutchlight.publishing.manifest import Wanted
from clutchlight.reading.public_side import LogFacts
from clutchlight.shipped import SCHEMAS, schema
from clutchlight.site import addresses, feeds
from clutchlight.site.animal_page import animal_page, moved
from clutchlight.site.availability_page import availability_page, lineage_page
from clutchlight.site.card_page import clutch_cards, own_card, own_cards
from clutchlight.site.clutch_page import clutch_page
from clutchlight.site.context import Context, FromPrivate
from clutchlight.site.feeds import changes_feed, clutch_feed
from clutchlight.site.framing import Framing
from clutchlight.site.link_pictures import draw
from clutchlight.site.other_pages import changes_page, method_page, moved_page, not_found_page, prose_page, trait_page
from clutchlight.site.pages import MovedPage, Page
from clutchlight.site.parts import Fact
from clutchlight.site.photos import NO_PHOTOS, Photos, Previous
from clutchlight.site.plans import plan_page, plans_page
from clutchlight.site.prose import pictures_in
from clutchlight.site.rendering import Printer
from clutchlight.site.theme import Theme
from clutchlight.statements import Statements, to_json
from clutchlight.wording.day_words import on


def wanted_photos(collection: Collection) -> tuple[tuple[str, Place], ...]:
    """The photos that the site will show, with the places where they are named: those of pages, not of unlisted animals."""
    found: list[tuple[str, Place]] = []
    for animal in collection.animals.values():
        if animal.publish == "page":
            found += [(photo.file, photo.place) for photo in animal.photos]
            found += [(_bare(name), animal.place) for name in pictures_in(animal.prose)]
    for clutch in collection.clutches.values():
        if clutch.publish != "no":
            found += [(photo.file, photo.place) for photo in clutch.photos]
            found += [(_bare(name), clutch.place) for name in pictures_in(clutch.prose)]
    for page in collection.pages:
        found += [(_bare(name), page.place) for name in pictures_in(page.prose)]
    return tuple(found)


def _bare(name: str) -> str:
    return name.removeprefix("../").removeprefix("photos/")


StandingPage = Callable[[str, str, str], str | None]
"""(address, rendering digest, page digest) to the hash of an equally made page that stands already, if there is one."""


def site_files(
    collection: Collection,
    statements: Statements,
    theme: Theme,
    *,
    photos: Photos = NO_PHOTOS,
    from_private: Mapping[str, FromPrivate] | None = None,
    past: Past = NO_PAST,
    plans: tuple[PublicPlan, ...] = (),
    expected: Mapping[str, Odds] | None = None,
    standing: StandingPage = lambda address, rendering, page: None,
    previous: Previous = lambda address: None,
    asked: str = "",
) -> Wanted:
    """Every file of the site, by address, in order of address. `collection`: as published.

    `from_private`: what the private side hands over for an animal by id. `past`: changes, timelines and dated records.
    `plans`: planned pairings that are public. `expected`: the odds of clutches in the incubator. `standing`: knows the pages that stand
    already, `previous` the bytes of any file that does. `asked`: what the build was asked for, for the manifest.
    Raises RecordsError when a theme of the collection's own has a mistake, and ValueError for a collection that holds what is unlisted.
    """
    if not is_published(collection):
        raise ValueError("a site is made of a collection as published")
    context = Context(collection, statements, photos, from_private or {}, past, plans, expected or {})
    framing = Framing(context, theme)
    made = dict(photos.files)
    made |= {addresses.style(name): content for name, content in theme.style.items()}
    rendering = rendering_digest(theme.templates)
    printer = Printer(theme)
    kept: dict[str, str] = {}
    digests: dict[str, str] = {}
    listed: list[str] = []
    for address, page in pages_of(framing):
        digests[address] = digest_of(page)
        same = standing(address, rendering, digests[address])
        if same is None:
            made[address] = printer.render(page)
        else:
            kept[address] = same
        drawn = page.frame.drawn
        if drawn is not None and drawn.address not in made:
            made[drawn.address] = previous(drawn.address) or draw(drawn, photos.files.get(drawn.photo or ""))
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
    for animal in context.animals:
        for old in moved(context, animal):
            yield old, moved_page(framing, old, addresses.animal(animal.id), context.title(animal))
    for animal in context.animals:
        yield addresses.animal(animal.id), animal_page(framing, animal)
    for animal in own_cards(context):
        yield addresses.animal_card(animal.id), own_card(framing, animal)
    for own in context.collection.pages:
        yield addresses.free_page(own.slug), prose_page(framing, own)


def _data(context: Context) -> Iterator[tuple[str, bytes]]:
    for animal in context.animals:
        yield addresses.animal_statement(animal.id), feeds.to_bytes(to_json(context.statement(animal.id)))
    for clutch in context.clutches:
        yield addresses.clutch_statement(clutch.id), feeds.to_bytes(to_json(context.clutch_statement(clutch.id)))
        yield addresses.clutch_feed(clutch.id), clutch_feed(context, clutch)
    yield addresses.CHANGES_FEED, changes_feed(context)
    yield addresses.AVAILABILITY_JSON, feeds.to_bytes(feeds.availability(context))
    yield addresses.PEDIGREE_PED, feeds.pedigree(context)
    for name in SCHEMAS:
        yield addresses.schema(f"{name}.json"), schema(name).encode("utf-8")


def _for_robots(web_address: str, pages: Iterable[str]) -> Iterator[tuple[str, bytes]]:
    urls = "".join(f"<url><loc>{escape(addresses.absolute(web_address, page))}</loc></url>\n" for page in pages)
    xml = '<?xml version="1.0" encoding="UTF-8"?>\n<urlset xmlns="http://www.sitemaps.org/schemas/sitemap/0.9">\n'
    yield addresses.SITEMAP, f"{xml}{urls}</urlset>\n".encode()
    sitemap = addresses.absolute(web_address, addresses.SITEMAP)
    yield addresses.ROBOTS, f"User-agent: *\nAllow: /\nSitemap: {sitemap}\n".encode()


def facts_in_words(facts: LogFacts) -> tuple[Fact, ...]:
    """One line each for weight, meals and sheds, as far as they are published."""
    found: list[Fact] = []
    if facts.weight_g is not None and facts.weighed_on is not None:
        found.append(Fact("Weight", f"{int(facts.weight_g)} g {on(facts.weighed_on)}"))
    if facts.meals is not None:
        found.append(Fact("Meals written down", _times(facts.meals, facts.last_meal)))
    if facts.sheds is not None:
        found.append(Fact("Sheds written down", _times(facts.sheds, facts.last_shed)))
    return tuple(found)


def _times(times: int, last: When | None) -> str:
    """ "4, the last on 3 October 2026"."""
    when = f", {'the last ' if times > 1 else ''}{on(last)}" if last else ""
    return f"{times}{when}"


@dataclass(frozen=True, slots=True)
class FigureChange:
    """One trait of one animal: the label before and after; None where nothing was, or is, said."""

    animal: str
    trait: str
    before: str | None
    after: str | None

    def __str__(self) -> str:
        before = self.before or f"nothing said of {self.trait}"
        return f"{self.animal}: {before} → {self.after or f'nothing speaks for {self.trait} any more'}"


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
        before = _labels(json.loads(standing))
        after = _labels(json.loads(content))
        for trait in sorted({*before, *after}):
            if before.get(trait) != after.get(trait):
                found.append(FigureChange(ident, trait, *_said(before.get(trait), after.get(trait))))
    return tuple(found)


Said = tuple[str | None, str | None]


def _labels(statement: Mapping[str, object]) -> dict[str, Said]:
    """By trait, the exact chance and the label."""
    traits = statement.get("traits")
    found: dict[str, Said] = {}
    for entry in traits if isinstance(traits, list) else []:
        found[str(entry["trait"])] = (entry["carries"], entry["label"])
    return found


def _said(before: Said | None, after: Said | None) -> tuple[str | None, str | None]:
    """Both labels; where they read alike, with the exact chances, which then differ."""
    if before and after and before[1] == after[1]:
        return f"{before[1]} (exactly {before[0]})", f"{after[1]} (exactly {after[0]})"
    return before[1] if before else None, after[1] if after else None
