"""From the Markdown that a breeder wrote to HTML that is safe to publish.

In this order: HTML comments are dropped, wherever they stand, so that a note to oneself is never published (the reader of records
has dropped them already); Markdown is read with raw HTML switched off, so that a tag appears as it was typed; relative links and
pictures are pointed at pages and photos of this site or lose their target; headings are fitted under the page's own; what is left
passes a list of allowed elements, and loses any character that nobody sees.

A link in prose may name an animal or a clutch (`[her clutch](C24-03)`), a page of the breeder's own (`[terms](pages/terms.md)`), any
other page of the site by its address (`[Piebald](traits/ball-python/piebald/)`), or an address that begins with http:, https:, mailto:
or tel:. A picture names a file in photos/.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import cache
from xml.etree.ElementTree import Element

import nh3
from markdown import Markdown
from markdown.treeprocessors import Treeprocessor
from markupsafe import Markup
from msgspec.structs import replace

from clutchlight.model import Animal, Clutch, Collection, FreePage
from clutchlight.problems import Place, Problem
from clutchlight.reading.text import without_comments, without_hidden
from clutchlight.site import addresses
from clutchlight.site.context import Context
from clutchlight.site.labels import card_page
from clutchlight.site.parts import PictureSize

_PICTURE = re.compile(r"!\[[^\]]*\]\(\s*<?([^)>\s]+)")
_WEB = ("http:", "https:", "mailto:", "tel:")
_TAGS = {
    *("p", "br", "hr", "em", "strong", "code", "pre", "blockquote", "ul", "ol", "li", "a", "img", "picture", "source"),
    *("h2", "h3", "h4", "h5", "h6", "table", "thead", "tbody", "tr", "th", "td", "del", "sup", "sub"),
}
_ATTRIBUTES = {
    "a": {"href", "title"},
    "img": {"src", "alt", "width", "height", "loading", "decoding"},
    "ol": {"start"},
    "th": {"scope"},
}


FindPage = Callable[[str], str | None]
FindImage = Callable[[str], PictureSize | None]
"""The picture of that name, with its address as seen from the page."""


def pictures_in(text: str) -> tuple[str, ...]:
    """The names of the photos that the prose shows."""
    names = dict.fromkeys(_PICTURE.findall(without_comments(text)))
    return tuple(name for name in names if ":" not in name and not name.startswith("/"))


def wanted_photos(collection: Collection) -> Iterator[tuple[str, Place]]:
    """The photos that the site will show, with the places where they are named: those of pages, not of unlisted animals."""
    shown: tuple[Animal | Clutch | FreePage, ...] = (
        *(animal for animal in collection.animals.values() if animal.publish == "page"),
        *(clutch for clutch in collection.clutches.values() if clutch.publish != "no"),
        *collection.pages,
    )
    for record in shown:
        photos = () if isinstance(record, FreePage) else record.photos
        yield from ((photo.file, photo.place) for photo in photos)
        yield from ((_bare(name), record.place) for name in pictures_in(record.prose))


def _bare(name: str) -> str:
    return name.removeprefix("../").removeprefix("photos/")


def to_html(text: str, page: FindPage, image: FindImage, first_heading: int = 3, *, tables: bool = True) -> Markup:
    """The prose as HTML, with its tables or without; empty for prose that is empty once its comments are gone.

    `page` and `image` give what a relative link or a picture leads to, or None: then the words stay and the link goes.
    """
    bare = without_comments(text).strip()
    if not bare:
        return Markup()
    reader = _reader().reset()
    reader.treeprocessors.register(_Fit(reader, page, image, first_heading, tables), "fit", 1)
    html = reader.convert(bare)
    clean = nh3.clean(
        html,
        tags=_TAGS,
        attributes=_ATTRIBUTES,
        url_schemes={"http", "https", "mailto", "tel"},
        link_rel="noopener noreferrer",
        strip_comments=True,
    )
    return Markup(without_hidden(clean))  # noqa: S704 - what nh3 returns holds allowed elements only


@cache
def _reader() -> Markdown:
    """Made once: that takes longer than most of what it reads."""
    reader = Markdown(extensions=["tables", "sane_lists"], output_format="html")
    reader.preprocessors.deregister("html_block")
    reader.inlinePatterns.deregister("html")
    return reader


class _Fit(Treeprocessor):
    """Points links and pictures into the site, and fits headings under the page's own without leaving a level out.

    `tables`: whether they stay.
    """

    def __init__(self, reader: Markdown, page: FindPage, image: FindImage, first_heading: int, tables: bool) -> None:
        super().__init__(reader)
        self.page = page
        self.image = image
        self.first_heading = first_heading
        self.tables = tables

    def run(self, root: Element) -> None:
        levels: list[int] = []
        for element in () if self.tables else [*root.iter()]:
            for table in element.findall("table"):
                element.remove(table)
        for element in root.iter():
            if re.fullmatch(r"h[1-6]", element.tag):
                element.tag = f"h{self._level(int(element.tag[1]), levels)}"
            elif element.tag == "a":
                self._point(element)
            elif element.tag == "img":
                self._picture(element)
            elif element.tag in ("th", "td"):
                element.attrib.pop("style", None)
                if element.tag == "th":
                    element.set("scope", "col")

    def _level(self, written: int, above: list[int]) -> int:
        while above and above[-1] >= written:
            above.pop()
        above.append(written)
        return min(6, self.first_heading + len(above) - 1)

    def _point(self, link: Element) -> None:
        target = link.get("href", "")
        if target.lower().startswith(_WEB):
            return
        href = self.page(target)
        if href is None:
            link.tag = "span"
            link.attrib.clear()
        else:
            link.set("href", href)

    def _picture(self, picture: Element) -> None:
        found = self.image(picture.get("src", ""))
        alt = picture.get("alt", "")
        tail = picture.tail
        picture.attrib.clear()
        if found is None:
            picture.tag = "span"
            picture.text = alt
        else:
            sizes = {"width": str(found.width), "height": str(found.height)}
            picture.attrib.update({"src": found.webp, "alt": alt, **sizes, "loading": "lazy", "decoding": "async"})
        picture.tail = tail


def prose_of(context: Context, page: str, text: str, first_heading: int = 3, *, tables: bool = True) -> Markup:
    return to_html(
        text,
        lambda target: _page(context, page, target),
        lambda name: _image(context, page, name),
        first_heading,
        tables=tables,
    )


def lost_links(context: Context) -> tuple[Problem, ...]:
    """What the prose of the site's pages points at that is not there: a reader finds words in its place, and no link."""
    records: tuple[Animal | Clutch | FreePage, ...] = (*context.animals, *context.clutches, *context.collection.pages)
    return tuple(
        Problem.at(
            record.place,
            "link-nowhere",
            f"the {kind} '{target}' in the prose leads to nothing on the site, so only its words are shown; {remedy}",
            "warning",
        )
        for record in records
        if "[" in record.prose
        for kind, target, remedy in _lost(context, record.prose)
    )


def _lost(context: Context, text: str) -> list[tuple[str, str, str]]:
    found: dict[tuple[str, str, str], None] = {}

    def page(target: str) -> str | None:
        address = _page(context, addresses.HOME, target)
        if address is None:
            found["link", target, "write the id of an animal or clutch that has a page, or a whole web address"] = None
        return address

    def image(name: str) -> PictureSize | None:
        picture = _image(context, addresses.HOME, name)
        if picture is None:
            found["picture", name, "write the name of a file in photos/"] = None
        return picture

    to_html(text, page, image)
    return list(found)


def _page(context: Context, page: str, target: str) -> str | None:
    """A relative link in prose: an id (an earlier one too) or a page of the breeder's own, alone or in its folder; or an address."""
    path, mark, fragment = target.partition("#")
    if not path:
        return target
    parts = [part for part in path.split("/") if part not in ("", ".", "..", addresses.HOME)]
    named = len(parts) == 1 or _FOLDERS & {*parts[:-1]}
    name = parts[-1].removesuffix(".md").removesuffix(".yaml") if named else ""
    written = ("/".join(parts), "/".join((*parts, addresses.HOME)))
    address = context.pages_by_name.get(name) or next((one for one in _addresses(context) if one in written), None)
    return addresses.link(page, address + mark + fragment) if address else None


_FOLDERS = {"animals", "clutches", "pages"}


def _addresses(context: Context) -> Iterator[str]:
    """What a link may lead to besides, as `site_files` makes it."""
    yield from (addresses.HOME, addresses.LINEAGE, addresses.METHOD, addresses.CHANGES, addresses.CHANGES_FEED)
    yield from (addresses.AVAILABILITY_JSON, addresses.PEDIGREE_PED)
    if context.plans:
        yield addresses.PLANS
    yield from (addresses.plan(one.female, one.male) for one in context.plans)
    yield from (addresses.trait(one.species, one.key) for one in context.trait_pages)
    for animal in context.animals:
        yield addresses.animal_statement(animal.id)
        if card := card_page(context, animal):
            yield card
    for clutch in context.clutches:
        yield from (addresses.clutch_statement(clutch.id), addresses.clutch_feed(clutch.id))


def _image(context: Context, page: str, name: str) -> PictureSize | None:
    published = context.photos.published.get(_bare(name))
    if published is None:
        return None
    return replace(published.large, webp=addresses.link(page, published.large.webp))
