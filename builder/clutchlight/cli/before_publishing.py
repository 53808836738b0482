"""What is missing before a site goes public: what keeps it from working or tells an untruth is an error, what readers miss a warning."""

from __future__ import annotations

from collections.abc import Iterator

from clutchlight.editing.starting import EXAMPLE_ANIMALS, EXAMPLE_MAIL, EXAMPLE_NAME
from clutchlight.model import Collection
from clutchlight.pipeline import Book
from clutchlight.problems import Place, Problem

MOST_NAMED = 5


def missing_before_publishing(book: Book) -> tuple[Problem, ...]:
    """Everything of the collection as published, and of the folder that holds it."""
    collection = book.published.collection
    return (*_settings(collection), *_example(collection), *_on_offer(collection), *_repository(book))


def _must(place: Place, message: str) -> Problem:
    return Problem.at(place, "not-ready-to-publish", message)


def _should(place: Place, message: str) -> Problem:
    return Problem.at(place, "better-before-publishing", message, "warning")


def _settings(collection: Collection) -> Iterator[Problem]:
    settings = collection.settings
    if settings.web_address is None:
        said = "`web_address` is missing, so feeds, cards and codes to scan have no address"
        yield _must(
            settings.place, f"{said}; write the one that the site will have: `web_address: https://example.org/snakes/`"
        )
    if not settings.contact:
        yield _must(
            settings.place,
            "`contact` is missing, so nobody can ask for an animal; add your own, under `contact: {mail: …}`",
        )
    elif EXAMPLE_MAIL in settings.contact.values():
        yield _must(settings.place, f"`contact` is still {EXAMPLE_MAIL}, which is nobody's; write your own")
    if settings.name == EXAMPLE_NAME:
        yield _should(settings.place, f"the collection is still called '{EXAMPLE_NAME}'; give it your name")
    if not settings.law:
        yield _should(settings.place, "`law` is missing; say what buyers need to know of permits where you are")


def _example(collection: Collection) -> Iterator[Problem]:
    for name, title in EXAMPLE_ANIMALS.items():
        animal = collection.animals.get(name)
        if animal is not None and animal.name == title:
            said = f"{animal.called} is an animal of the worked example"
            yield _must(animal.place, f"{said}; delete its file, its clutch and its rows in the log before you publish")


def _on_offer(collection: Collection) -> Iterator[Problem]:
    """What those who look at an animal on offer would miss."""
    offered = [one for one in collection.animals.values() if one.status == "available" and one.publish == "page"]
    for what, lacking, remedy in (
        ("no photo", [one for one in offered if not one.photos], "add `photos`"),
        ("no price", [one for one in offered if not one.price], "add `price`, or `price: ask`"),
        ("no sex on record", [one for one in offered if one.sex == "unknown"], "add `sex` once it is known"),
        ("no day of hatching", [one for one in offered if one.hatched is None], "add `hatched`"),
    ):
        if lacking:
            names = ", ".join(one.id for one in lacking[:MOST_NAMED])
            more = f" and {len(lacking) - MOST_NAMED} more" if len(lacking) > MOST_NAMED else ""
            verb = "has" if len(lacking) == 1 else "have"
            yield _should(lacking[0].place, f"{names}{more}, on offer, {verb} {what}; {remedy}")


def _repository(book: Book) -> Iterator[Problem]:
    """A collection in a git repository must not lie in a public one."""
    folder = book.folder.resolve()
    if any((place / ".git").exists() for place in (folder, *folder.parents)):
        said = "this folder is in a git repository, which must be a private one, as it holds your sales, log and notes"
        yield _should(Place("collection.yaml"), f"{said}; `explain hosting` says how the site alone is put on a host")
