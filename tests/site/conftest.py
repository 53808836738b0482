"""The demo site, built once for all tests here, and a way to build a site from a few lines of records."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from tests import rooms

from clutchlight import shipped
from clutchlight.model import Collection
from clutchlight.pipeline import Book, open_book
from clutchlight.planning.odds import public_plans
from clutchlight.publishing.folders import publish
from clutchlight.publishing.manifest import Wanted
from clutchlight.site.files import site_files, wanted_photos
from clutchlight.site.photos import Photos, prepare
from clutchlight.site.theme import load_theme
from clutchlight.statements.values import Statements

Files = Mapping[str, bytes]


@dataclass(frozen=True)
class Told:
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
        made = site_files(
            self.collection,
            self.statements,
            load_theme(theme, [*([themes] if themes else []), shipped.themes()]),
            photos=self.photos,
            from_private=self.book.from_private,
            past=self.book.past,
            plans=public_plans(self.book.inference, self.book.private.plans),
            previous=self.drawn.get,
        ).made
        self.drawn.update({address: content for address, content in made.items() if "-link." in address})
        return made


def tell(folder: Path) -> Told:
    opened = open_book(folder)
    assert opened.book is not None, opened.problems
    book = opened.book.published
    photos = prepare(folder / "photos", wanted_photos(book.collection))
    assert photos.problems == ()
    return Told(book, photos)


@pytest.fixture(scope="session")
def demo(content_dir: Path) -> Told:
    return tell(content_dir)


@pytest.fixture(scope="session")
def demo_files(demo: Told) -> Files:
    return demo.files()


@pytest.fixture(scope="session")
def demo_site(demo_files: Files, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo site in a folder."""
    out = tmp_path_factory.mktemp("demo") / "site"
    publish(Wanted(demo_files), out)
    return out


SETTINGS = f"{rooms.SETTINGS}contact: {{mail: room@example.org}}\n"


@pytest.fixture
def site_of(tmp_path: Path) -> Callable[[Mapping[str, str]], Files]:
    """Builds the site of a collection given as files; collection.yaml is added to or made."""

    def build(records: Mapping[str, str]) -> Files:
        settings = SETTINGS + records.get("collection.yaml", "")
        return tell(rooms.write(tmp_path, {**records, "collection.yaml": settings})).files()

    return build
