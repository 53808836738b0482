"""A breeder's prose on a page of the site: what its links and pictures lead to."""

from __future__ import annotations

from posixpath import basename

from markupsafe import Markup

from clutchlight.website import addresses
from clutchlight.website.context import Context
from clutchlight.website.prose import Image, to_html


def prose_of(context: Context, page: str, text: str, first_heading: int = 3) -> Markup:
    return to_html(
        text,
        lambda target: _page(context, page, target),
        lambda name: _image(context, page, name),
        first_heading,
    )


def _page(context: Context, page: str, target: str) -> str | None:
    """A relative link in prose: an id, `animals/ID`, `clutches/ID`, or a page of the breeder's own by its file or its name."""
    path, mark, fragment = target.partition("#")
    name = basename(path.rstrip("/")).removesuffix(".md").removesuffix(".yaml")
    if not path:
        return target
    known = {animal.id: addresses.animal(animal.id) for animal in context.animals}
    known |= {clutch.id: addresses.clutch(clutch.id) for clutch in context.clutches}
    if name not in known:
        known = {own.slug: addresses.free_page(own.slug) for own in context.collection.pages}
    address = known.get(name)
    return addresses.link(page, address + mark + fragment) if address else None


def _image(context: Context, page: str, name: str) -> Image | None:
    published = context.photos.published.get(name.removeprefix("photos/").removeprefix("../photos/"))
    if published is None:
        return None
    large = published.large
    return Image(addresses.link(page, large.webp), large.width, large.height)
