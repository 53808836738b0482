"""The frame round a page: title, navigation, style sheets, and what machines read of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from clutchlight.model import Settings, When
from clutchlight.site import addresses
from clutchlight.site.context import Context, for_sale
from clutchlight.site.link_picture import LinkPicture
from clutchlight.site.parts import Frame, Link, NavLink, Picture
from clutchlight.site.theme import Theme
from clutchlight.wording import day_words
from clutchlight.wording.words import clause, join_and

ICON = "icon.svg"
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
        picture: LinkPicture | None = None,
        script: bool = False,
        noindex: bool = False,
        go_to: str | None = None,
        feed: str | None = None,
        same_as: str | None = None,
        sheets: tuple[str, ...] = (),
        rests_on: When | None = None,
        key: str | None = None,
    ) -> Frame:
        """`key`: what tells its title from others of the same heading.
        `feed`: the address of its feed. `same_as`: of the page that says the same. `sheets`: style sheets of this kind of page.
        `rests_on`: the day of the newest record that it rests on.

        `picture`: what stands for the page elsewhere; that of the whole site unless said. `go_to`: the address that it points on to."""
        site = self.settings
        web = site.web_address
        link = self._link(page)
        drawn = picture or self._of_the_site
        return Frame(
            title=f"{heading}{f', {key}' if key else ''} · {site.name}"
            if page != addresses.HOME
            else f"{site.name}: {heading.lower()}",
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
            image=addresses.absolute(web, drawn.address) if web and drawn else None,
            drawn=drawn if web else None,
            icon=link(addresses.style(ICON)) if ICON in self.theme.style else None,
            grounds=self.theme.grounds,
            noindex=noindex,
            go_to=link(go_to) if go_to else None,
            records_to=f"The newest record behind this page is of {day_words.when(rests_on)}." if rests_on else None,
        )

    def picture(
        self, heading: str, said: Iterable[tuple[str, str]], foot: str = "", photo: Picture | None = None
    ) -> LinkPicture:
        """The picture of a page for link previews, in the colours of the theme."""
        large = addresses.photo(photo.large.rsplit("/", 1)[-1]) if photo else None
        site = self.settings.name if heading != self.settings.name else ""
        return LinkPicture(site, heading, tuple(said), foot, large, tuple(self.theme.colours.items()))

    @cached_property
    def _of_the_site(self) -> LinkPicture:
        """With the first photo of what is available."""
        offered = [animal for animal in self.context.animals if for_sale(animal)]
        photos = (self.context.first_picture(addresses.HOME, animal) for animal in offered)
        names = [f"{self.context.species(key).name.lower()}s" for key in dict.fromkeys(one.species for one in offered)]
        about = self.settings.about or ""
        return self.picture(
            self.settings.name,
            [("", about)] if about else [],
            clause(join_and(names)) if names else "",
            next((photo for photo in photos if photo), None),
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
