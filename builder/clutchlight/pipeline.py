"""The pipeline: read the records, infer the figures, state them, write pages and desk.

`open_book` reads and infers; every problem of every stage comes back at once. `Book` holds what all outputs are made from. The
questions that commands ask of a book stand in `queries`.

What makes pages, plans and the desk is imported where it is first needed, so that a build with nothing to do, and a command that only
reads, end at once.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from clutchlight import shipped
from clutchlight.editing.disk import clear_leftovers
from clutchlight.genetics.inference import Inference, infer
from clutchlight.ledger.chain import read_ledger
from clutchlight.ledger.dated_records import Past, of_nobody, of_nothing, past_of
from clutchlight.model import Collection, When
from clutchlight.model.as_published import as_published
from clutchlight.model.collection import as_it_stood, private_as_it_stood
from clutchlight.model.ledger import Ledger
from clutchlight.model.private import Private
from clutchlight.planning.room import by_clutch, other_males
from clutchlight.problems import COMMAND_LINE, Place, Problem, RecordsError, errors_in, in_order
from clutchlight.publishing.building_again import (
    BuildMessages,
    LastBuild,
    contents,
    digest_of,
    rendering_digest,
    touched,
)
from clutchlight.publishing.folders import Published, check_place, planned, publish
from clutchlight.publishing.manifest import Wanted
from clutchlight.reading.collection import SETTINGS_FILE, read_collection
from clutchlight.reading.files import PRIVATE_FOLDERS, RECORD_FOLDERS
from clutchlight.reading.private_side import read_private
from clutchlight.reading.public_side import LogFacts, apply_sales, log_facts, standings
from clutchlight.site import addresses
from clutchlight.site.theme import Theme, load_theme
from clutchlight.statements.answers import Answers
from clutchlight.statements.clutches import state_all
from clutchlight.statements.results import UnexpectedFamily, problems_in, unexpected_families
from clutchlight.statements.values import Statements

if TYPE_CHECKING:
    from clutchlight.site.files import FigureChange, StandingPage
    from clutchlight.site.photos import Photos, Previous


class Book(Struct, frozen=True, dict=True):
    """A checked collection with its figures. `collection` already has the status that sales give each animal."""

    folder: Path
    collection: Collection
    private: Private
    inference: Inference
    until: date | None
    ledger: Ledger
    touched: int | None = None
    """When the records were last touched, as `building_again` tells it; asked before they were read."""
    whole: Inference | None = None
    """Of a book as published: the inference of the whole one."""

    @cached_property
    def published(self) -> Book:
        """The book that everything public is made from; itself where everything in it is listed."""
        seen = self.collection if self.whole else as_published(self.collection)
        if seen is self.collection:
            return self
        inference = infer(seen, whole=self.inference)
        return replace(self, collection=seen, inference=inference, whole=self.inference)

    @cached_property
    def telling(self) -> Answers:
        """The inference being put into words; it keeps what several pages say alike."""
        return Answers(self.inference, self.ledger)

    @cached_property
    def telling_its_owner(self) -> Answers:
        """The same with the names of what is unlisted."""
        return Answers(self.inference, self.ledger, own=True)

    @cached_property
    def statements(self) -> Statements:
        return state_all(self.telling)

    @cached_property
    def past(self) -> Past:
        """Changes of figures, timelines, and dated records as they read today."""
        return past_of(self.telling, self.statements, self.whole)

    @cached_property
    def logged(self) -> Mapping[str, LogFacts]:
        """By animal, the facts of the log that are opted in."""
        animals = self.collection.animals
        facts = log_facts(self.private.log, self.collection.settings.publish_from_log, self.until, animals)
        return {name: found for name, found in sorted(facts.items()) if name in animals}

    @cached_property
    def holds(self) -> Mapping[str, When]:
        """By animal, the end of its hold. This and `logged` are the little that leaves the private side."""
        found = sorted(standings(self.collection, self.private.sales, self.until).items())
        return {name: standing.until for name, standing in found if standing.until}


class Opened(Struct, frozen=True, dict=True):
    """A book, or None when there are errors. `found`: what reading found; `inference`: None where records cannot be read."""

    book: Book | None
    found: tuple[Problem, ...]
    inference: Inference | None = None

    @cached_property
    def problems(self) -> tuple[Problem, ...]:
        """Every problem, in order: what only the inference can see as well, which not every command asks for."""
        return self.found if self.inference is None else in_order((*self.found, *problems_in(self.inference)))


class Built(Struct, frozen=True):
    """What a build made. `figures`: the published figures that differ from those of the site that stood; `new`: the unexpected results
    that it did not tell."""

    published: Published
    figures: tuple[FigureChange, ...]
    pages: int
    problems: tuple[Problem, ...] = ()
    new: tuple[UnexpectedFamily, ...] = ()


class WholeFolder(Struct, frozen=True):
    """A whole folder: collection, private side and ledger (None where one has errors), and the problems of all, in order."""

    collection: Collection | None
    private: Private | None
    ledger: Ledger | None
    problems: tuple[Problem, ...]


def read_everything(folder: Path, until: date | None = None, today: date | None = None) -> WholeFolder:
    """Reads the public records, the private ones and the ledger. `today`: dates after it, hold dates excepted, are warned of."""
    public = read_collection(folder, until, today)
    private, found = read_private(folder, public, today)
    ledger, wrong = read_ledger(folder)
    gone: tuple[Problem, ...] = ()
    if public.collection and ledger:
        ledger = ledger.as_called_now(public.collection.species)
        gone = (*of_nobody(public.collection, ledger), *of_nothing(public.collection, ledger))
    problems = in_order((*public.problems, *found, *wrong, *gone))
    return WholeFolder(public.collection, private, ledger, problems)


def open_book(folder: Path, *, until: date | None = None, today: date | None = None) -> Opened:
    """Reads a collection and infers. `until`: evidence after that day does not count. `today`: later dates are warned of."""
    since = _touched(folder)
    everything = read_everything(folder, until, today)
    if everything.collection is None or everything.private is None or everything.ledger is None:
        return Opened(None, everything.problems)
    stood, private = everything.collection, everything.private
    if until is not None:
        stood = as_it_stood(stood, until)
        private = private_as_it_stood(private, stood, until)
    collection = apply_sales(stood, private, until)
    inference = infer(collection, others=by_clutch(other_males(collection, private)))
    book = Book(folder, collection, private, inference, until, everything.ledger, since)
    wrong = errors_in(everything.problems) or inference.conflicts
    return Opened(None if wrong else book, everything.problems, inference)


def public_files(
    book: Book,
    last: LastBuild,
    theme: Theme | None = None,
    stage: Callable[[], None] = lambda: None,
) -> tuple[Wanted, tuple[Problem, ...]]:
    """Every file of the public site; photos and pages that stand already as they would be made are taken from there."""
    from clutchlight.site.photos import prepare
    from clutchlight.site.prose import wanted_photos

    book = book.published
    look = theme or _theme(book, None)
    photos = prepare(book.folder / "photos", wanted_photos(book.collection), last.read)
    lost = _lost_links(book, photos)
    if errors_in(photos.problems):
        raise RecordsError((*photos.problems, *lost))
    stage()
    return _files(book, look, photos, last.page, last.read), in_order((*photos.problems, *lost))


def _files(
    book: Book,
    look: Theme,
    photos: Photos,
    standing: StandingPage = lambda address, rendering, page: None,
    previous: Previous = lambda address: None,
) -> Wanted:
    from clutchlight.planning.odds import expected_of, public_plans
    from clutchlight.site.context import Context
    from clutchlight.site.files import site_files

    context = Context(
        book.collection,
        book.statements,
        photos,
        book.logged,
        book.holds,
        book.past,
        public_plans(book.inference, book.private.plans),
        expected_of(book.inference),
        book.telling,
    )
    return site_files(context, look, standing=standing, previous=previous, asked=_asked(book, look))


def _lost_links(book: Book, photos: Photos) -> tuple[Problem, ...]:
    """Statements, which tell what traits have a page, are made only where a link leads to no animal, clutch or own page."""
    from clutchlight.planning.odds import public_plans
    from clutchlight.site.context import Context
    from clutchlight.site.prose import lost_links

    if not lost_links(Context(book.collection, Statements({}, {}), photos)):
        return ()
    plans = public_plans(book.inference, book.private.plans)
    return lost_links(Context(book.collection, book.statements, photos, planned=plans))


def unpublishable(book: Book, day: date) -> tuple[Problem, ...]:
    """What would be wrong with photos, prose and theme if site and desk were built; nothing is written.

    Templates of the breeder's own are tried out on every page.
    """
    from clutchlight.site.photos import prepare
    from clutchlight.site.prose import wanted_photos

    public = book.published
    photos = prepare(book.folder / "photos", wanted_photos(public.collection), encode=False)
    found = [*photos.problems, *_lost_links(public, photos)]
    try:
        look = _theme(book, None)
        if _own_templates(look):
            from clutchlight.desk import desk_files

            _files(public, look, photos)
            desk_files(book, look, day)
    except RecordsError as mistake:
        found += mistake.problems
    return in_order(found)


def _own_templates(theme: Theme) -> bool:
    own = (file for layer in theme.layers if not layer.ours for file in layer.files)
    return any(file.startswith(("templates/", "desk/")) for file in own)


def _theme(book: Book, name: str | None) -> Theme:
    named = COMMAND_LINE if name else Place(SETTINGS_FILE)
    theme = load_theme(name or book.collection.settings.theme, _theme_places(book.folder), named)
    if theme.ours:
        return theme
    from clutchlight.site.theme_check import checked

    return checked(theme)


def _asked(book: Book, theme: Theme) -> str:
    return f"{theme.name}, as of {book.until}" if book.until else theme.name


STAGES = (
    "reading the records and inferring",
    "putting figures into words",
    "preparing photos",
    "drawing and writing pages",
    "publishing",
)
"""What a build goes through, for a progress bar."""


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
    last = LastBuild(book.folder, out)
    look = _theme(book, theme)
    made_of = _made_of(book, look)
    same = _standing(last, look, _asked(book, look), book.touched, made_of)
    if same is not None:
        if not dry_run and last.noted[:1] != [book.touched]:
            last.note(book.touched, last.manifest, made_of)
        return same
    from clutchlight.site.files import changes_against

    new = tuple(family for family in unexpected_families(book.telling) if not _told(family, last.read))
    book.published.statements  # noqa: B018 - the first of the stages that take long
    stage()
    files, problems = public_files(book, last, look, stage)
    figures = changes_against(last.read, files.made)
    stage()
    published = planned(files, out) if dry_run else publish(files, out, desk=desk, collection=book.folder)
    if not dry_run:  # what was read is what was digested only where nothing was touched since
        known = made_of if not problems and _touched(book.folder) == book.touched else None
        last.note(book.touched, files.manifest("site"), known)
    stage()
    return Built(published, figures, _pages(files.pages), problems, new)


def again(folder: Path, out: Path, command: str) -> tuple[Built, BuildMessages] | None:
    """A build that has nothing to do, and what it says; None where it is another command, or records or site were touched since."""
    last = LastBuild(folder, out)
    said = last.said
    if said is None or said.command != command:
        return None
    with suppress(RecordsError):
        look = load_theme(said.theme, _theme_places(folder), COMMAND_LINE)
        same = _standing(last, look, last.manifest.asked, _touched(folder))
        if same is not None:
            clear_leftovers(folder)
            return same, said
    return None


def _standing(last: LastBuild, look: Theme, asked: str, number: int | None, made_of: str | None = None) -> Built | None:
    """What a build gives that has nothing to do; None where there is something. `number`: how the records are touched."""
    style = {addresses.style(name): content for name, content in look.published.items()}
    standing = last.nothing_to_do(number, asked, rendering_digest(look.templates), style, made_of)
    return None if standing is None else Built(standing, (), _pages(last.manifest.pages))


def _made_of(book: Book, look: Theme) -> str | None:
    """The digest of all that a public site is made of but the program: every file of public records, the theme, and what public pages
    know of the private side."""
    public = contents(book.folder, (SETTINGS_FILE, *(name for name in RECORD_FOLDERS if name not in PRIVATE_FOLDERS)))
    standings = [(animal.status, animal.left) for animal in book.collection.animals.values()]
    private = (book.logged, book.holds, book.private.plans, book.inference.others, standings)
    return None if public is None else digest_of((public, rendering_digest(look.files), private))


def _touched(folder: Path) -> int | None:
    return touched(folder, (SETTINGS_FILE, *RECORD_FOLDERS))


def _theme_places(folder: Path) -> list[Path]:
    return [folder / "themes", shipped.themes()]


def _told(family: UnexpectedFamily, read: Callable[[str], bytes | None]) -> bool:
    """Whether the site that stands tells an unexpected result."""
    files = [addresses.animal_statement(name) for name in family.shown_by]
    files += [addresses.clutch_statement(name) for name in family.clutches]
    said = (json.loads(content) for file in files if (content := read(file)))
    return any(one.get("trait") == family.trait for statement in said for one in statement.get("surprises", ()))


def _pages(addresses: Iterable[str]) -> int:
    return sum(address.endswith("index.html") for address in addresses)


def build_desk(book: Book, desk: Path, out: Path, day: date, *, theme: str | None = None) -> Published:
    """Writes the private desk of a day into a folder of its own, clear of the site at `out`. Raises RecordsError."""
    check_place(desk, desk=out, collection=book.folder)
    last, look = LastBuild(book.folder, desk), _theme(book, theme)
    asked, rendering = f"{_asked(book, look)}, for {day}", rendering_digest(look.files)
    same = last.nothing_to_do(book.touched, asked, rendering)
    if same is not None:
        return same
    from clutchlight.desk import desk_files

    files = Wanted(desk_files(book, look, day), asked=asked, rendering=rendering)
    published = publish(files, desk, desk=out, collection=book.folder, kind="desk")
    last.note(book.touched, files.manifest("desk"))
    return published
