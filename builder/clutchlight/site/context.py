"""What every page builder needs: the records, the statements, who may be named, the links from one page to others, and the frame round it.

Who is shown how is decided here, once. An animal with `publish: page` has a page and is linked; with `name only` it is named; with
`no`, or as a parent without a record of its own, it is neither, and the words for it are those of the statements. A clutch is named and
linked unless it is unlisted. The collection is one as published (`model.as_published`): of what is unlisted, it holds nothing to tell.
"""

from __future__ import annotations

import re
from collections.abc import Collection as Collected, Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from fractions import Fraction
from functools import cached_property
from urllib.parse import quote

from markupsafe import Markup, escape
from msgspec import Struct, field
from msgspec.structs import replace

from clutchlight.ledger.dated_records import NO_PAST, Past
from clutchlight.model import Animal, Clutch, Collection, Correction, Locus, Photo, Settings, Sex, Species, When
from clutchlight.planning.odds import Odds, PublicPlan
from clutchlight.reading.public_side import LogFacts, days_of, newest, reached
from clutchlight.site import addresses
from clutchlight.site.parts import Ask, Frame, Link, LinkPicture, NavLink, Picture
from clutchlight.site.photos import NO_PHOTOS, Photos
from clutchlight.site.theme import SHEET, Theme
from clutchlight.statements.answers import Answers
from clutchlight.statements.changes import UNCHANGED
from clutchlight.statements.family import corrected_kin
from clutchlight.statements.values import AnimalStatement, ClutchStatement, SireChance, Statements
from clutchlight.wording import day_words
from clutchlight.wording.text import Name, html
from clutchlight.wording.words import clause, join_and

FOR_SALE = ("available", "on hold")
CRLF = "\r\n"  # RFC 6068, 5
SHOWN_FOR = timedelta(days=30)
"""For how long a meal or a shed is told; common practice, no source (young snakes are offered food every week or two)."""
SEX_SIGNS: Mapping[str, str] = {
    "male": "♂\N{VARIATION SELECTOR-15}",
    "female": "♀\N{VARIATION SELECTOR-15}",
    "unknown": "◇",
}


class Context(Struct, frozen=True, dict=True):
    """`logged` and `holds`: the little that the private side hands over, by animal: opted-in facts of its log, the end of a hold."""

    collection: Collection
    statements: Statements
    photos: Photos = NO_PHOTOS
    logged: Mapping[str, LogFacts] = field(default_factory=dict)
    holds: Mapping[str, When] = field(default_factory=dict)
    past: Past = NO_PAST
    planned: tuple[PublicPlan, ...] = ()
    expected: Mapping[str, Odds] = field(default_factory=dict)
    answers: Answers | None = None

    # Who and what is public

    def has_page(self, animal: str | None) -> bool:
        record = self.collection.animals.get(animal or "")
        return record is not None and record.publish == "page"

    def may_name(self, animal: str | None) -> bool:
        record = self.collection.animals.get(animal or "")
        return record is not None and record.publish != "no" and not record.nameless

    @cached_property
    def animals(self) -> tuple[Animal, ...]:
        """The animals that have a page, in order of id."""
        return tuple(record for key, record in self.collection.animals.items() if self.has_page(key))

    def has_clutch_page(self, clutch: str | None) -> bool:
        record = self.collection.clutches.get(clutch or "")
        return record is not None and record.publish != "no"

    @cached_property
    def clutches(self) -> tuple[Clutch, ...]:
        """The clutches that have a page, in order of id."""
        return tuple(record for key, record in sorted(self.collection.clutches.items()) if self.has_clutch_page(key))

    @cached_property
    def plans(self) -> tuple[PublicPlan, ...]:
        """The planned pairings that have a page: both animals may be named."""
        return tuple(plan for plan in self.planned if self.may_name(plan.female) and self.may_name(plan.male))

    @cached_property
    def trait_pages(self) -> tuple[Locus, ...]:
        """The loci that have a page: those that a published statement or look speaks of, in catalogue order."""
        spoken: set[tuple[str, str]] = set()
        for said in (said for name, said in self.statements.animals.items() if self.may_name(name)):
            spoken |= {(said.species, trait.locus) for trait in (*said.traits, *said.ruled_out)}
            spoken |= {(said.species, key) for key in self.species(said.species).loci_of_looks(said.looks or ())}
        return tuple(
            locus
            for species in self.collection.species.values()
            for locus in species.loci.values()
            if (species.key, locus.key) in spoken
        )

    @cached_property
    def newest_record(self) -> When | None:
        """The day of the newest thing that a page says has happened to an animal or a clutch; a part of a day as it was written."""
        return newest(self._days)

    @cached_property
    def _days(self) -> tuple[tuple[When | None, ...], ...]:
        of_animals = ((*days_of(one), *self.logged.get(one.id, LogFacts()).days) for one in self.animals)
        return (*of_animals, *map(days_of, self.clutches))

    @cached_property
    def _reached(self) -> date:
        return reached(self._days)

    def rests_on(self, animals: Iterable[str], clutches: Iterable[str] = (), bred: Iterable[str] = ()) -> When | None:
        """The same of what a page says of some animals and clutches: their own records, and those that changed a figure of theirs.

        `bred`: clutches of which the page says no figure.
        """
        pages = [self.collection.animals[name] for name in animals if self.has_page(name)]
        eggs = [self.collection.clutches[name] for name in clutches if self.has_clutch_page(name)]
        named = [self.collection.clutches[name] for name in bred if self.has_clutch_page(name)]
        rows = [
            *(self.past.animals.get(one.id, ()) for one in pages),
            *(self.past.clutches.get(one.id, ()) for one in eggs),
        ]
        changes = ((row.on for row in found if row.dated and row.figures != (UNCHANGED,)) for found in rows)
        logged = (self.told_of_log(one.id).days for one in pages)
        corrected = ([row.on for row in self.corrected_kin.get(one.id, ())] for one in pages)
        return newest((*map(days_of, pages), *logged, *map(days_of, (*eggs, *named)), *corrected, *changes))

    def told_of_log(self, animal: str) -> LogFacts:
        """Without a meal or a shed long before the newest record: it would read as if there had been none since."""
        log = self.logged.get(animal, LogFacts())
        days = {"last_meal": log.last_meal, "last_shed": log.last_shed}
        old = {what: None for what, day in days.items() if day and self.has_passed(day.last + SHOWN_FOR)}
        return replace(log, **old)

    def has_passed(self, last: date) -> bool:
        """Whether a day lies before the newest record: what was to come by then is over, or was not written on."""
        return last < self._reached

    @cached_property
    def _has_trait_page(self) -> frozenset[tuple[str, str]]:
        return frozenset((locus.species, locus.key) for locus in self.trait_pages)

    @cached_property
    def corrected_kin(self) -> Mapping[str, tuple[Correction, ...]]:
        """By animal, the corrections of whatever shares an ancestor with it and may be named."""
        records = (one for one in self.collection.animals.values() if self.may_name(one.id))
        return corrected_kin(self.collection, (*records, *self.clutches))

    # Values

    def kept_alone(self, species: Collected[str]) -> Iterator[tuple[Fraction, str]]:
        """The traits with a page of which some young without a male keep one copy, with the share that does."""
        for locus in self.trait_pages:
            if locus.species in species and locus.kept_in_parthenogenesis:
                yield from ((locus.kept_in_parthenogenesis, trait) for trait in locus.alleles)

    def statement(self, animal: str) -> AnimalStatement:
        return self.statements.animals[animal]

    def clutch_statement(self, clutch: str) -> ClutchStatement:
        return self.statements.clutches[clutch]

    def species(self, key: str) -> Species:
        return self.collection.species[key]

    def bred(self, animal: str) -> tuple[str, ...]:
        """The clutches of which it is the dam, or is or may be the sire; not those that what hatched has shown to be by another male."""
        return tuple(
            key
            for key in self.collection.clutches_of.get(animal, ())
            if self.has_clutch_page(key)
            and (
                self.collection.clutches[key].dam == animal
                or any(sire.id == animal for sire in self.clutch_statement(key).sires)
            )
        )

    def price(self, animal: Animal) -> str | None:
        settings = self.collection.settings
        nobody_to_ask = animal.price == "ask" and not settings.contact
        return day_words.price(animal.price, settings.currency) if for_sale(animal) and not nobody_to_ask else None

    # Names and links

    def name(self, page: str, animal: str | None, *, short: bool = False, sex: Sex = "unknown") -> Link:
        """An animal by name, linked when it has a page; in the statements' words when it may not be named.

        None is an animal that the statement does not name; `sex` is then what its part in the family says.
        """
        record = self.collection.animals.get(animal or "")
        if animal is None or record is None or not self.may_name(animal):
            known = sex if record is None or record.sex == "unknown" else record.sex
            kind = "animal" if known == "unknown" else known
            return Link(f"{'an unnamed' if record is not None and record.nameless else 'an unlisted'} {kind}")
        text = record.shown_name if short else record.called
        return Link(text, addresses.link(page, addresses.animal(animal)) if self.has_page(animal) else None)

    def sire(self, page: str, stated: SireChance, *, short: bool = False) -> Link:
        """A possible sire by name; one without a record in the statement's words."""
        if stated.sire is not None and stated.id is None:
            return Link(stated.name)
        return self.name(page, stated.id, short=short, sex="male")

    def clutch_link(self, page: str, clutch: str) -> Link:
        if not self.has_clutch_page(clutch):
            return Link("an unlisted clutch")
        record = self.collection.clutches[clutch]
        text = f"{record.name} ({record.id})" if record.name else record.id
        return Link(text, addresses.link(page, addresses.clutch(clutch)))

    def trait_href(self, page: str, species: str, locus: str) -> str | None:
        known = (species, locus) in self._has_trait_page
        return addresses.link(page, addresses.trait(species, locus)) if known else None

    def linked(self, page: str, text: str) -> Markup:
        """The sentence with each animal and clutch in it that has a page of its own as a link by name."""
        return html(text, lambda name: self._link_of(page, name))

    def all_linked(self, page: str, texts: Iterable[str]) -> tuple[Markup, ...]:
        return tuple(self.linked(page, text) for text in texts)

    def _link_of(self, page: str, name: Name) -> Markup:
        called = self.collection.animals[name].called if self.may_name(name) else name
        target = self._pages_by_id.get(name)
        return anchor(Link(called, None if target is None or target == page else addresses.link(page, target)))

    @cached_property
    def _pages_by_id(self) -> Mapping[str, str]:
        animals = {record.id: addresses.animal(record.id) for record in self.animals}
        return animals | {clutch.id: addresses.clutch(clutch.id) for clutch in self.clutches}

    @cached_property
    def pages_by_name(self) -> Mapping[str, str]:
        """The pages of animals and clutches by their ids, earlier ones too, and the breeder's own by their names."""
        own = {page.slug: addresses.free_page(page.slug) for page in self.collection.pages}
        records: list[Animal | Clutch] = [*self.animals, *self.clutches]
        earlier = {old: self._pages_by_id[one.id] for one in records for old in one.was}
        return {**own, **earlier, **self._pages_by_id}

    def earlier_ids(self, record: Animal | Clutch) -> Iterator[str]:
        """Its earlier ids that no other record has now: what stood at their addresses is found there still."""
        known = self.collection.clutches if isinstance(record, Clutch) else self.collection.animals
        return (old for old in record.was if old not in known)

    def joined(self, links: Sequence[Link], between: str = ", ") -> Markup:
        """Links in a row, as one value of a fact."""
        return escape(between).join(anchor(link) for link in links)

    # Pictures

    def pictures(self, page: str, photos: Sequence[Photo], what: str) -> tuple[Picture, ...]:
        found = ((photo, self.photos.published.get(photo.file)) for photo in photos)
        return tuple(
            Picture(
                sizes=tuple(replace(size, webp=addresses.link(page, size.webp)) for size in published.sizes),
                jpeg=addresses.link(page, published.jpeg),
                large=addresses.link(page, published.large.webp),
                width=published.large.width,
                height=published.large.height,
                alt=photo.alt or f"Photo of {what}",
                caption=f"How it looked {day_words.on(photo.on)}"
                if photo.on
                else "The day of this picture is not known.",
            )
            for photo, published in found
            if published is not None
        )

    def pictured_first(self, page: str, animals: Sequence[Animal]) -> list[Animal]:
        """Animals in the order in which cards stand: those with a photo on their page first."""
        return sorted(animals, key=lambda one: not self.has_page(one.id) or self.first_picture(page, one) is None)

    def first_picture(self, page: str, animal: Animal) -> Picture | None:
        return next(iter(self.pictures(page, latest_first(animal.photos), animal.called)), None)

    # Contact

    def mail(self, text: str, subject: str | None = None, letter: Sequence[str] = ()) -> Link | None:
        """A link that begins a letter. `letter`: its paragraphs."""
        address = self.collection.settings.contact.get("mail")
        if address is None:
            return None
        about = f"?subject={quote(subject)}" if subject else ""
        about += f"&body={quote(chr(10).join(letter).replace(chr(10), CRLF))}" if letter else ""
        return Link(text, f"mailto:{quote(address, safe='@+')}{about}")

    def ask(self, heading: str, text: str, mail: Link | None, advert: str | None = None) -> Ask:
        """How to ask about something on offer, with what holds for every offer."""
        return Ask(heading, mail, self.telephone, text, advert, self.collection.settings.advert)

    @property
    def telephone(self) -> Link | None:
        number = self.collection.settings.contact.get("telephone") or self.collection.settings.contact.get("phone")
        return Link(number, "tel:" + re.sub(r"[^0-9+]", "", number)) if number else None


def for_sale(animal: Animal) -> bool:
    return animal.status in FOR_SALE and animal.away is None


def latest_first(photos: Sequence[Photo]) -> tuple[Photo, ...]:
    """Dated photos newest first, then the others as they were written."""
    return tuple(sorted(photos, key=lambda photo: photo.on.last if photo.on else date.min, reverse=True))


def anchor(link: Link) -> Markup:
    words = escape(link.text)
    return Markup(f'<a href="{escape(link.href)}">{words}</a>') if link.href else words  # noqa: S704 - both are escaped


# The frame

ICON = "icon.svg"
_SHORT = 200


class Framing(Struct, frozen=True, dict=True):
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
        """`picture`: what stands for the page elsewhere; that of the whole site unless said. `go_to`: the address that it points on to.

        `feed`: the address of its feed. `same_as`: of the page that says the same. `sheets`: style sheets of this kind of page.
        `rests_on`: the day of the newest record that it rests on. `key`: what tells its title from others of the same heading.
        """
        site = self.settings
        web = site.web_address

        def link(target: str) -> str:
            """From 404.html, which a host shows at any depth, links start at the site's root."""
            return addresses.rooted(web, target) if page == addresses.NOT_FOUND else addresses.link(page, target)

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
            styles=tuple(link(addresses.style(name)) for name in (SHEET, *sheets)),
            script=link(addresses.style(self.theme.scripts[0])) if script and self.theme.scripts else None,
            mail=self.context.mail(site.contact.get("mail", "")),
            telephone=self.context.telephone,
            law=site.law,
            open_data=(Link("Open data", link(addresses.AVAILABILITY_JSON)), Link("Method", link(addresses.METHOD))),
            feed=link(feed) if feed else None,
            canonical=addresses.absolute(web, go_to or same_as or page) if web and not noindex else None,
            image=addresses.absolute(web, drawn.address) if web else None,
            drawn=drawn if web else None,
            icon=link(addresses.style(ICON)) if ICON in self.theme.style else None,
            grounds=self.theme.grounds,
            noindex=noindex,
            go_to=link(go_to) if go_to else None,
            records_to=f"The newest record behind this page is of {day_words.when(rests_on)}."
            if rests_on and not rests_on.vague
            else None,
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
        names = [f"{self.context.species(key).name}s" for key in dict.fromkeys(one.species for one in offered)]
        about = self.settings.about or ""
        return self.picture(
            self.settings.name,
            [("", about)] if about else [],
            clause(join_and(names)) if names else "",
            next((photo for photo in photos if photo), None),
        )

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


def shortened(text: str) -> str:
    """A description for search results and link previews: whole words, at most 200 characters."""
    plain = " ".join(text.split())
    if len(plain) <= _SHORT:
        return plain
    return plain[: plain.rfind(" ", 0, _SHORT)].rstrip(",;:") + " …"
