"""The demo site as it is committed, which the golden test holds to be the one that is built; and sites of a few lines of records."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

import pytest
from msgspec import Struct, field
from playwright.sync_api import Browser, BrowserContext, Page
from tests import rooms
from tests.conftest import ROOT
from tests.site.rounds import DESKTOP, open_context

from clutchlight import shipped
from clutchlight.model import Collection
from clutchlight.pipeline import Book, open_book
from clutchlight.planning.odds import public_plans
from clutchlight.publishing.manifest import MANIFEST
from clutchlight.site.context import Context
from clutchlight.site.files import site_files
from clutchlight.site.photos import Photos, prepare
from clutchlight.site.prose import wanted_photos
from clutchlight.site.theme import load_theme
from clutchlight.statements.values import Statements

Files = Mapping[str, bytes]


class Told(Struct, frozen=True):
    """A collection with all that is said of it. `book`: as published."""

    book: Book
    photos: Photos
    drawn: dict[str, bytes] = field(default_factory=dict)

    @property
    def collection(self) -> Collection:
        return self.book.collection

    @property
    def statements(self) -> Statements:
        return self.book.statements

    def files(self, theme: str = "paper", themes: Path | None = None) -> Files:
        plans = public_plans(self.book.inference, self.book.private.plans)
        private = self.book.logged, self.book.holds
        context = Context(self.collection, self.statements, self.photos, *private, self.book.past, plans)
        look = load_theme(theme, [*([themes] if themes else []), shipped.themes()])
        made = site_files(context, look, previous=self.drawn.get).made
        self.drawn.update({address: content for address, content in made.items() if "-link." in address})
        return made


def tell(folder: Path) -> Told:
    opened = open_book(folder)
    assert opened.book is not None, opened.problems
    return told(opened.book.published, folder)


def told(book: Book, folder: Path) -> Told:
    photos = prepare(folder / "photos", wanted_photos(book.collection))
    assert photos.problems == ()
    return Told(book, photos)


@pytest.fixture(scope="module")
def at_a_desk(chromium: Browser) -> Iterator[BrowserContext]:
    """For pages that keep nothing; each test opens a page of its own in it."""
    context = open_context(chromium, DESKTOP)
    yield context
    context.close()


@pytest.fixture
def page(at_a_desk: BrowserContext) -> Iterator[Page]:
    opened = at_a_desk.new_page()
    yield opened
    opened.close()


@pytest.fixture(scope="session")
def demo(demo_book: Book, content_dir: Path) -> Told:
    return told(demo_book.published, content_dir)


@pytest.fixture(scope="session")
def demo_site() -> Path:
    """In its folder; read only."""
    return ROOT / "site_demo"


@pytest.fixture(scope="session")
def demo_files(demo_site: Path) -> Files:
    found = (file for file in demo_site.rglob("*") if file.is_file() and file.name != MANIFEST)
    return {file.relative_to(demo_site).as_posix(): file.read_bytes() for file in sorted(found)}


@pytest.fixture(scope="session")
def family(tmp_path_factory: pytest.TempPathFactory) -> Told:
    """A few pythons with pages of every kind, for what is not of the demo alone."""
    records = {
        "collection.yaml": f"{rooms.FAMILY_SETTINGS}web_address: https://example.org/\n",
        "pages/about.md": "---\ntitle: About us\n---\nWe keep few.\n",
        "season/2026.yaml": "- {female: F-01, males: [M-01], from: 2026-10-01, until: 2027-03-31, public: yes}\n",
    }
    return tell(rooms.FAMILY.write(tmp_path_factory.mktemp("family"), records))


@pytest.fixture(scope="session")
def family_files(family: Told) -> Files:
    return family.files()


SETTINGS = f"{rooms.SETTINGS}contact: {{mail: room@example.org}}\n"


@pytest.fixture
def site_of(tmp_path: Path) -> Callable[[Mapping[str, str]], Files]:
    """Builds the site of a collection given as files; collection.yaml is added to or made."""

    def build(records: Mapping[str, str]) -> Files:
        settings = SETTINGS + records.get("collection.yaml", "")
        return tell(rooms.write(tmp_path, {**records, "collection.yaml": settings})).files()

    return build
