"""The one composition: records are read, figures inferred, statements made, pages and desk written.

`open_book` reads and infers; every problem of every stage comes back at once. `Book` holds what all outputs are made from; the commands, the
watcher and the tests go through it and through nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import cached_property
from pathlib import Path

from clutchlight import shipped
from clutchlight.genetics.inference import Inference, infer
from clutchlight.genetics.kinship import inbreeding
from clutchlight.model import Collection
from clutchlight.model.season import Private
from clutchlight.problems import Problem, RecordsError, errors_in, in_order
from clutchlight.records.private_side import read_everything
from clutchlight.records.public_side import apply_sales, log_facts, standings
from clutchlight.statements import Statements, problems_in, state_all
from clutchlight.website.context import FromPrivate
from clutchlight.website.figure_changes import FigureChange, changes_against
from clutchlight.website.log_words import facts_in_words
from clutchlight.website.photos import prepare
from clutchlight.website.publishing import Published, check_place, planned, previous_files, publish
from clutchlight.website.rendering import load_theme
from clutchlight.website.site import site_files, wanted_photos


@dataclass(frozen=True)
class Book:
    """A checked collection with its figures. `collection` already has the status that sales give each animal."""

    folder: Path
    collection: Collection
    private: Private
    inference: Inference
    inbreeding: Mapping[str, Fraction]
    until: date | None

    @cached_property
    def statements(self) -> Statements:
        return state_all(self.inference, self.inbreeding)

    @cached_property
    def from_private(self) -> Mapping[str, FromPrivate]:
        """The little that leaves the private side: opted-in log facts, and the end of a hold."""
        facts = log_facts(self.private.log, self.collection.settings.publish_from_log, self.until)
        holds = standings(self.collection, self.private.sales, self.until)
        return {
            name: FromPrivate(
                facts_in_words(facts[name]) if name in facts else (), holds[name].until if name in holds else None
            )
            for name in sorted({*facts, *holds})
        }


@dataclass(frozen=True, slots=True)
class Opened:
    """A book, or None when there are errors; and every problem, in order."""

    book: Book | None
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Built:
    """What a build made. `figures`: the published figures that differ from those of the site that stood."""

    published: Published
    figures: tuple[FigureChange, ...]
    pages: int
    problems: tuple[Problem, ...] = ()


def open_book(folder: Path, *, until: date | None = None, today: date | None = None) -> Opened:
    """Reads a collection and infers. `until`: evidence after that day does not count. `today`: later dates are warned of."""
    everything = read_everything(folder, until, today)
    if everything.collection is None or everything.private is None:
        return Opened(None, everything.problems)
    collection = apply_sales(everything.collection, everything.private.sales, until)
    inference = infer(collection)
    problems = in_order((*everything.problems, *problems_in(inference)))
    if errors_in(problems):
        return Opened(None, problems)
    return Opened(Book(folder, collection, everything.private, inference, inbreeding(collection), until), problems)


def public_files(book: Book, out: Path, theme: str | None = None) -> tuple[dict[str, bytes], tuple[Problem, ...]]:
    """Every file of the public site; photos already encoded in the site that stands at `out` are taken from there."""
    name = theme or book.collection.settings.theme
    photos = prepare(book.folder / "photos", wanted_photos(book.collection), previous_files(out))
    if errors_in(photos.problems):
        raise RecordsError(photos.problems)
    files = site_files(
        book.collection,
        book.statements,
        load_theme(name, [book.folder / "themes", shipped.themes()]),
        photos=photos,
        from_private=book.from_private,
    )
    return files, photos.problems


def build(book: Book, out: Path, *, theme: str | None = None, desk: Path | None = None, dry_run: bool = False) -> Built:
    """Writes the site in one exchange, or with `dry_run` only says what would change. Raises RecordsError."""
    check_place(out, desk=desk, collection=book.folder)
    before = previous_files(out)
    files, problems = public_files(book, out, theme)
    figures = changes_against(before, book.statements)
    pages = sum(1 for address in files if address.endswith("index.html"))
    published = planned(files, out) if dry_run else publish(files, out, desk=desk, collection=book.folder)
    return Built(published, figures, pages, problems)
