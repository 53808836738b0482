"""The one composition: records are read, figures inferred, statements made, pages and desk written.

`open_book` reads and infers; every problem of every stage comes back at once. `Book` holds what all outputs are made from;
the commands, the watcher and the tests go through it and through nothing else.

What makes pages, plans and the desk is imported where it is first needed, so that a build with nothing to do, and a command that only
reads, end at once.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from clutchlight import __version__, shipped
from clutchlight.editing.writing import clear_leftovers
from clutchlight.genetics.inference import Inference, infer
from clutchlight.genetics.kinship import inbreeding, kinship_of_pair
from clutchlight.genetics.values import NotComputed
from clutchlight.ledger.dated_records import Past, past_of
from clutchlight.model import Animal, Collection, Locus, Species
from clutchlight.model.as_published import as_published
from clutchlight.model.collection import as_it_stood, private_as_it_stood
from clutchlight.model.ledger import Ledger
from clutchlight.model.private import Private
from clutchlight.problems import COMMAND_LINE, Problem, RecordsError, errors_in, in_order
from clutchlight.publishing.folders import RECORD_FOLDERS, Published, Standing, check_place, planned, publish
from clutchlight.publishing.manifest import Wanted, content_hash
from clutchlight.publishing.untouched import note, noted, touched
from clutchlight.reading.collection import SETTINGS_FILE
from clutchlight.reading.findings import nearest
from clutchlight.reading.public_side import apply_sales, log_facts, standings
from clutchlight.records import read_everything
from clutchlight.site import addresses
from clutchlight.site.theme import Theme, load_theme, rendering_digest
from clutchlight.statements import Statements, problems_in, state_all
from clutchlight.statements.answers import Telling
from clutchlight.statements.why import Why, why

if TYPE_CHECKING:
    from clutchlight.desk import Season
    from clutchlight.planning.odds_values import Odds
    from clutchlight.site.context import FromPrivate
    from clutchlight.site.page_digest import FigureChange


@dataclass(frozen=True)
class Book:
    """A checked collection with its figures. `collection` already has the status that sales give each animal."""

    folder: Path
    collection: Collection
    private: Private
    inference: Inference
    inbreeding: Mapping[str, Fraction]
    until: date | None
    ledger: Ledger
    touched: int | None = None
    """When the records were last touched, as `website.untouched` tells it; asked before they were read."""
    whole: Inference | None = None
    """Of a book as published: the inference of the whole one."""

    @cached_property
    def published(self) -> Book:
        """The book that everything public is made from; itself where everything in it is listed."""
        seen = self.collection if self.whole else as_published(self.collection)
        if seen is self.collection:
            return self
        return replace(self, collection=seen, inference=infer(seen), inbreeding=inbreeding(seen), whole=self.inference)

    @cached_property
    def telling(self) -> Telling:
        """The inference being put into words; it keeps what several pages say alike."""
        return Telling(self.inference, self.inbreeding)

    @cached_property
    def statements(self) -> Statements:
        return state_all(self.inference, self.inbreeding, self.telling)

    @cached_property
    def past(self) -> Past:
        """Changes of figures, timelines, and dated records as they read today."""
        return past_of(self.inference, self.statements, self.ledger, __version__, self.telling, self.whole)

    @cached_property
    def from_private(self) -> Mapping[str, FromPrivate]:
        """The little that leaves the private side: opted-in log facts, and the end of a hold."""
        from clutchlight.site.context import FromPrivate
        from clutchlight.site.files import facts_in_words

        facts = log_facts(self.private.log, self.collection.settings.publish_from_log, self.until)
        holds = standings(self.collection, self.private.sales, self.until)
        return {
            name: FromPrivate(
                facts_in_words(facts[name]) if name in facts else (), holds[name].until if name in holds else None
            )
            for name in sorted({*facts, *holds})
            if name in self.collection.animals
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


@contextmanager
def _looking_for_no_circles() -> Iterator[None]:
    """The values of a build refer to each other by the hundred thousand and never in circles; looking for some would take long."""
    looked_before = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if looked_before:
            gc.enable()


@_looking_for_no_circles()
def open_book(folder: Path, *, until: date | None = None, today: date | None = None) -> Opened:
    """Reads a collection and infers. `until`: evidence after that day does not count. `today`: later dates are warned of."""
    since = touched(folder, (SETTINGS_FILE, *RECORD_FOLDERS))
    everything = read_everything(folder, until, today)
    if everything.collection is None or everything.private is None or everything.ledger is None:
        return Opened(None, everything.problems)
    stood, private = everything.collection, everything.private
    if until is not None:
        stood = as_it_stood(stood, until)
        private = private_as_it_stood(private, stood, until)
    collection = apply_sales(stood, private.sales, until)
    inference = infer(collection)
    problems = in_order((*everything.problems, *problems_in(inference)))
    if errors_in(problems):
        return Opened(None, problems)
    return Opened(
        Book(folder, collection, private, inference, inbreeding(collection), until, everything.ledger, since),
        problems,
    )


def derivations(book: Book, animal: str, trait: str | None) -> tuple[Why, ...]:
    """How the figures of an animal came about: of one trait by any of its names, or of all that are above nothing.

    Raises RecordsError when the animal or the trait is not known, or when there is no figure.
    """
    record = asked_for(book.collection, animal)
    species = book.collection.species[record.species]
    found: list[Why] = []
    named = {alias.casefold(): (locus, name) for locus, name, alias in trait_names(species)}
    if trait is not None and trait.casefold() not in named:
        near = nearest(trait, named)
        hint = f"; the nearest is '{named[near][1]}'" if near else ""
        raise RecordsError(
            [Problem.at(COMMAND_LINE, "unknown-trait", f"'{trait}' is no computed trait of {species.name}{hint}")]
        )
    for locus in book.inference.loci_in_play(record.species) if trait is None else [named[trait.casefold()][0]]:
        for allele, name in enumerate(locus.alleles, 1):
            if trait is None or named[trait.casefold()][1] == name:
                derived = why(book.telling, record, locus, allele)
                if isinstance(derived, Why) and (trait is not None or derived.carries):
                    found.append(derived)
                elif isinstance(derived, NotComputed) and trait is not None:
                    raise RecordsError(
                        [Problem.at(COMMAND_LINE, "not-computed", f"the figure of '{name}' is not computed")]
                    )
    return tuple(found)


def pair_odds(book: Book, sire: str, dam: str, young: int | None) -> str:
    """The odds of a pairing in the lines that a terminal shows. Raises RecordsError when the two cannot be a pair."""
    from clutchlight.planning import odds_words

    return odds_words.as_text(_odds(book, sire, dam, young), book.collection)


def pair_odds_json(book: Book, sire: str, dam: str, young: int | None) -> dict[str, object]:
    """The same as the document of `odds --json`."""
    from clutchlight.planning import odds_values

    return odds_values.to_json(_odds(book, sire, dam, young))


def _odds(book: Book, sire: str, dam: str, young: int | None) -> Odds:
    from clutchlight.planning.odds import odds

    one, other = asked_for(book.collection, sire).id, asked_for(book.collection, dam).id
    return odds(book.inference, kinship_of_pair(book.collection, one, other), one, other, young)


def possible_looks(book: Book, clutch: str) -> tuple[str, ...]:
    """The looks that the young of a clutch can have by present figures, most likely first, as `hatched` offers them."""
    found: dict[str, None] = {}
    record = book.collection.clutches[clutch]
    for sire in record.sires.ids:
        for outcome in _odds(book, sire, record.dam, None).outcomes:
            found[" ".join(outcome.looks) or "normal"] = None
    return tuple(found)


def asked_for(collection: Collection, ident: str) -> Animal:
    """The animal that a command names, by id or earlier id in any case. Raises RecordsError with the nearest."""
    known = {name.casefold(): animal for animal in collection.animals.values() for name in (*animal.was, animal.id)}
    if ident.casefold() in known:
        return known[ident.casefold()]
    near = nearest(ident, known)
    hint = f"; the nearest is '{known[near].id}'" if near else ""
    raise RecordsError([Problem.at(COMMAND_LINE, "unknown-animal", f"there is no animal '{ident}'{hint}")])


def trait_names(species: Species) -> Iterator[tuple[Locus, str, str]]:
    """(locus, allele, one of its names) for every computed locus."""
    for locus in species.computed_loci:
        for allele in locus.alleles:
            for name in (allele, *locus.also_called.get(allele, ())):
                yield locus, allele, name


def public_files(
    book: Book,
    standing: Standing,
    theme: Theme | None = None,
    stage: Callable[[], None] = lambda: None,
) -> tuple[Wanted, tuple[Problem, ...]]:
    """Every file of the public site; photos and pages that stand already as they would be made are taken from there."""
    from clutchlight.planning.public_plans import expected_of, public_plans
    from clutchlight.site.files import site_files, wanted_photos
    from clutchlight.site.photos import prepare

    book = book.published
    look = theme or _theme(book, None)
    photos = prepare(book.folder / "photos", wanted_photos(book.collection), standing.read)
    if errors_in(photos.problems):
        raise RecordsError(photos.problems)
    stage()
    files = site_files(
        book.collection,
        book.statements,
        look,
        photos=photos,
        from_private=book.from_private,
        past=book.past,
        plans=public_plans(book.inference, book.private.plans),
        expected=expected_of(book.inference),
        standing=standing.page,
        asked=_asked(book, look),
    )
    return files, photos.problems


def _theme(book: Book, name: str | None) -> Theme:
    return load_theme(name or book.collection.settings.theme, [book.folder / "themes", shipped.themes()])


def _asked(book: Book, theme: Theme) -> str:
    return f"{theme.name}, as of {book.until}" if book.until else theme.name


def _stands_already(book: Book, out: Path, standing: Standing, theme: Theme) -> Published | None:
    """What a build with nothing to do gives: no record, nothing of the program or the theme was touched since the last."""
    manifest = standing.manifest
    if book.touched is None or manifest.asked != _asked(book, theme):
        return None
    if noted(book.folder, out) != (book.touched, standing.manifest_hash):
        return None
    style = {addresses.style(name): content_hash(content) for name, content in theme.style.items()}
    if any(manifest.files.get(address) != content for address, content in style.items()):
        return None
    return standing.whole() if manifest.rendering == rendering_digest(theme.templates) else None


STAGES = (
    "reading the records and inferring",
    "putting figures into words",
    "preparing photos",
    "drawing and writing pages",
    "publishing",
)
"""What a build goes through, for a progress bar."""


@_looking_for_no_circles()
def build(
    book: Book,
    out: Path,
    *,
    theme: str | None = None,
    desk: Path | None = None,
    dry_run: bool = False,
    stage: Callable[[], None] = lambda: None,
) -> Built:
    """Writes the site in one exchange, or with `dry_run` only says what would change. Raises RecordsError.

    `stage` is called after each of STAGES but the first, which is reading.
    """
    check_place(out, desk=desk, collection=book.folder)
    if not dry_run:
        clear_leftovers(book.folder)
    standing = Standing(out)
    look = _theme(book, theme)
    same = _stands_already(book, out, standing, look)
    if same is not None:
        return Built(same, (), _pages(standing.manifest.pages))
    from clutchlight.site.page_digest import changes_against

    book.published.statements  # noqa: B018 - the first of the stages that take long
    stage()
    files, problems = public_files(book, standing, look, stage)
    figures = changes_against(standing.read, files.made)
    stage()
    published = planned(files, out) if dry_run else publish(files, out, desk=desk, collection=book.folder)
    if book.touched is not None and not dry_run:
        note(book.folder, out, book.touched, content_hash(files.manifest("site").to_bytes()))
    stage()
    return Built(published, figures, _pages(files.pages), problems)


def _pages(addresses: Iterable[str]) -> int:
    return sum(address.endswith("index.html") for address in addresses)


@_looking_for_no_circles()
def build_desk(book: Book, desk: Path, out: Path, day: date, *, theme: str | None = None) -> Published:
    """Writes the private desk of a day into a folder of its own, clear of the site at `out`. Raises RecordsError."""
    from clutchlight.desk import desk_files

    return publish(
        Wanted(desk_files(book, _theme(book, theme), day)), desk, desk=out, collection=book.folder, kind="desk"
    )


def season(book: Book, day: date) -> Season:
    """The season's lists as of a day, for the desk and the command `season`."""
    from clutchlight.desk import season_lists

    return season_lists(book, day)
