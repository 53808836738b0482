"""The feeds: Atom (RFC 4287) of every change on the site, and of what happens to one clutch and its young.

Ids are `urn:uuid` of version 5 (RFC 9562) under the collection's fixed id, made of what never changes: the earliest id of an animal, its
locus and trait, the day, and a count where one figure changed twice on a day. Dates are those of the records, at midnight UTC; no clock is
read. A feed of a collection without any dated record says 1970-01-01, since `updated` must stand; what has no day in public is no entry.
Links are written only when there is a web address: a relative one would be lost once a reader keeps the feed elsewhere. RFC 4287 asks for
none where an entry has its content with it, and each has.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID, uuid5
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from clutchlight.model import Animal, Clutch, Settings
from clutchlight.model.private import plain_amount
from clutchlight.site import addresses
from clutchlight.site.context import Context, Corrected, for_sale
from clutchlight.statements.changes import Change
from clutchlight.wording import day_words
from clutchlight.wording.words import counted, sentence

ATOM = "http://www.w3.org/2005/Atom"
NEWEST = 100
"""The most entries of the site's feed; the page of changes has them all."""
NEVER = date(1970, 1, 1)


@dataclass(frozen=True, slots=True)
class FeedEntry:
    """`key`: what the id is made of. `page`: the address that it leads to."""

    key: str
    on: date
    title: str
    text: str
    page: str


def changes_feed(context: Context) -> bytes:
    """Every change of a published figure, newest first."""
    dated = [change for change in context.past.changes.newest_first if change.dated]
    entries = [_of_change(context, change) for change in dated]
    entries += [_of_correction(context, row) for row in context.corrections]
    entries = sorted(entries, key=lambda entry: entry.on, reverse=True)[:NEWEST]
    title = f"{context.collection.settings.name}: what changed"
    return _feed(context, "changes", title, addresses.CHANGES, addresses.CHANGES_FEED, entries)


def clutch_feed(context: Context, clutch: Clutch) -> bytes:
    """A clutch from its eggs on: what it proved, and every change of its young, newest first."""
    page, feed = addresses.clutch(clutch.id), addresses.clutch_feed(clutch.id)
    entries = sorted(_of_clutch(context, clutch), key=lambda entry: entry.on, reverse=True)
    name = f"{clutch.name} ({clutch.id})" if clutch.name else f"clutch {clutch.id}"
    return _feed(context, f"clutch:{clutch.id}", f"{context.collection.settings.name}: {name}", page, feed, entries)


def _of_clutch(context: Context, clutch: Clutch) -> Iterator[FeedEntry]:
    changes = context.past.changes
    entries = (
        _of_change(context, change)
        for change in (*changes.caused_by.get(clutch.id, ()), *changes.of_young.get(clutch.id, ()))
        if change.dated
    )
    yield from {entry.key: entry for entry in entries}.values()
    ours = {clutch.id, *clutch.young}
    yield from (_of_correction(context, row) for row in context.corrections if row.record.id in ours)
    page = addresses.clutch(clutch.id)
    pairing = context.clutch_statement(clutch.id).title
    happened = (
        ("ended", clutch.ended, "ended", "ended without a hatchling"),
        ("hatched", clutch.hatched, "hatched", f"has hatched{_counted(clutch.hatchlings, 'hatchling', ' on record')}"),
        ("laid", clutch.laid, "was laid", f"was laid{_counted(clutch.eggs or 0, 'good egg')}"),
    )
    for key, when, short, words in happened:
        if when is not None:
            text = sentence(f"Clutch {clutch.id} ({pairing}) {words}")
            yield FeedEntry(f"clutch:{clutch.id}:{key}", when.last, f"Clutch {clutch.id} {short}", text, page)


def _counted(count: int, noun: str, which: str = "") -> str:
    return f": {counted(count, noun)}{which}" if count else ""


def _of_change(context: Context, change: Change) -> FeedEntry:
    record = context.collection.animals[change.animal]
    first = (record.was or (record.id,))[0]
    key = f"change:{first}:{change.locus}:{change.trait}:{change.on}:{change.place}"
    page = addresses.animal(record.id) if context.has_page(record.id) else addresses.CHANGES
    title = f"{context.title(record)}: {change.figures}, {change.cause}"
    return FeedEntry(key, change.on, title, change.why, page)


def _of_correction(context: Context, row: Corrected) -> FeedEntry:
    record = row.record
    if isinstance(record, Clutch):
        first, page, title = record.id, addresses.clutch(record.id), f"Clutch {record.id}"
    else:
        first, title = (record.was or (record.id,))[0], context.title(record)
        page = addresses.animal(record.id) if context.has_page(record.id) else addresses.CHANGES
    key = f"correction:{first}:{row.key}:{row.on}"
    return FeedEntry(key, row.on.last, f"{title}: {row.before} → {row.after}, corrected", sentence(row.because), page)


def _feed(context: Context, key: str, title: str, page: str, feed: str, entries: Iterable[FeedEntry]) -> bytes:
    settings = context.collection.settings
    rows = list(entries)
    root = _element("feed", {"xmlns": ATOM, "xml:lang": "en"})
    newest = max((row.on for row in rows), default=context.past.last_day or NEVER)
    root.extend((_id(settings, key), _element("title", text=title), _element("updated", text=_moment(newest))))
    SubElement(SubElement(root, "author"), "name").text = settings.name
    root.extend(_links(settings, ("self", "application/atom+xml", feed), ("alternate", "text/html", page)))
    for row in rows:
        entry = SubElement(root, "entry")
        entry.extend(
            (_id(settings, row.key), _element("title", text=row.title), _element("updated", text=_moment(row.on)))
        )
        entry.extend(_links(settings, ("alternate", "text/html", row.page)))
        entry.append(_element("content", {"type": "text"}, row.text))
    indent(root, " ")
    return b'<?xml version="1.0" encoding="utf-8"?>\n' + tostring(root, "unicode").encode() + b"\n"


def _element(name: str, attributes: Mapping[str, str] | None = None, text: str | None = None) -> Element:
    made = Element(name, dict(attributes or {}))
    made.text = text
    return made


def _id(settings: Settings, key: str) -> Element:
    return _element("id", text=uuid5(UUID(settings.collection_id), key).urn)


def _links(settings: Settings, *links: tuple[str, str, str]) -> Iterator[Element]:
    """(relation, type, page); none without a web address."""
    web = settings.web_address
    for rel, kind, page in links if web else ():
        yield _element("link", {"rel": rel, "type": kind, "href": addresses.absolute(web or "", page)})


def _moment(day: date) -> str:
    return f"{day.isoformat()}T00:00:00Z"


AVAILABILITY = "clutchlight/availability/1"
_SEX = {"male": "1", "female": "2", "unknown": "0"}


def to_bytes(document: Mapping[str, object]) -> bytes:
    """JSON as people can read it, always the same bytes: a line for each key, and for each entry of a list of objects."""
    lines = ",\n".join(f" {_dumped(key)}: {_on_lines(value)}" for key, value in document.items())
    return f"{{\n{lines}\n}}\n".encode()


def _on_lines(value: object) -> str:
    if isinstance(value, list) and value and isinstance(value[0], dict):
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
    lines = ["#FID IID PAT MAT SEX PHENOTYPE", *_rows(context)]
    return ("\n".join(lines) + "\n").encode("ascii")


def _rows(context: Context) -> Iterator[str]:
    for key, animal in context.collection.animals.items():
        if context.may_name(key):
            parents = context.statement(key).parents
            sire = parents.sires[0].id if len(parents.sires) == 1 else None
            yield " ".join(
                (animal.species, key, _known(context, sire), _known(context, parents.dam), _SEX[animal.sex], "-9")
            )


def _known(context: Context, parent: str | None) -> str:
    return parent if parent is not None and context.may_name(parent) else "0"
