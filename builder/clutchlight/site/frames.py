"""What stands round every page: titles, navigation, and the addresses that need a web address."""

from __future__ import annotations

from dataclasses import dataclass

from clutchlight.model import Settings
from clutchlight.site import addresses
from clutchlight.site.context import Context
from clutchlight.site.parts import Frame, Link, NavLink, Picture
from clutchlight.site.theme import Theme

_SHORT = 200


@dataclass(frozen=True)
class Framing:
    """Makes frames for one site with one theme."""

    context: Context
    theme: Theme

    @property
    def settings(self) -> Settings:
        return self.context.collection.settings

    def frame(
        self,
        page: str,
        heading: str,
        description: str,
        *,
        picture: str | None = None,
        script: bool = False,
        noindex: bool = False,
        go_to: str | None = None,
        feed: str | None = None,
        same_as: str | None = None,
        sheets: tuple[str, ...] = (),
    ) -> Frame:
        """`feed`: the address of its feed. `same_as`: of the page that says the same. `sheets`: style sheets of this kind of page.

        `picture`: the address of the photo that stands for the page elsewhere. `go_to`: the address that it points on to."""
        site = self.settings
        web = site.web_address
        link = self._link(page)
        return Frame(
            title=f"{heading} · {site.name}" if page != addresses.HOME else f"{site.name}: {heading.lower()}",
            heading=heading,
            description=shortened(description),
            site_name=site.name,
            home=link(addresses.HOME),
            nav=tuple(NavLink(text, link(target), current=target == page) for text, target in self._nav()),
            styles=tuple(link(addresses.style(name)) for name in (*self.theme.sheets, *sheets)),
            script=link(addresses.style(self.theme.scripts[0])) if script and self.theme.scripts else None,
            mail=self.context.mail(site.contact.get("mail", "")),
            telephone=self.context.telephone,
            law=site.law,
            open_data=(Link("Open data", link(addresses.AVAILABILITY_JSON)), Link("Method", link(addresses.METHOD))),
            feed=link(feed) if feed else None,
            canonical=addresses.absolute(web, go_to or same_as or page) if web and not noindex else None,
            image=addresses.absolute(web, picture) if web and picture else None,
            noindex=noindex,
            go_to=link(go_to) if go_to else None,
        )

    def _link(self, page: str) -> _Linker:
        return _Linker(page, self.settings.web_address)

    def _nav(self) -> tuple[tuple[str, str], ...]:
        own = ((page.title, addresses.free_page(page.slug)) for page in self.context.collection.pages)
        return (
            ("Available", addresses.HOME),
            ("Lineage", addresses.LINEAGE),
            *((("Planned", addresses.PLANS),) if self.context.plans else ()),
            ("Changes", addresses.CHANGES),
            ("How we know", addresses.METHOD),
            *own,
        )


@dataclass(frozen=True, slots=True)
class _Linker:
    """Links from one page; from 404.html, which a host shows at any depth, they start at the site's root."""

    page: str
    web_address: str | None

    def __call__(self, target: str) -> str:
        if self.page == addresses.NOT_FOUND:
            return addresses.rooted(self.web_address, target)
        return addresses.link(self.page, target)


def shortened(text: str) -> str:
    """A description for search results and link previews: whole words, at most 200 characters."""
    plain = " ".join(text.split())
    if len(plain) <= _SHORT:
        return plain
    return plain[: plain.rfind(" ", 0, _SHORT)].rstrip(",;:") + " …"


def picture_address(picture: Picture | None) -> str | None:
    """The site address of a picture's JPEG, from the relative link on its page."""
    return addresses.photo(picture.jpeg.rsplit("/", 1)[-1]) if picture else None
