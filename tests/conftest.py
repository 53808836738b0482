"""What every test may use: the demo collection, Chromium, and one way of drawing random examples per occasion."""

import gc
import importlib.util
import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import HealthCheck, settings
from playwright.sync_api import Browser, sync_playwright
from tests.chromium import MISSING, find_chromium
from tests.compiled import keep_compiled

from clutchlight import shipped
from clutchlight.desk import desk_files
from clutchlight.pipeline import Book, open_book
from clutchlight.site.theme import load_theme

ROOT = Path(__file__).resolve().parent.parent

keep_compiled()

# Files of tests lie in memory where there is room: else the tests wait for the disk half of the time that they write.
MEMORY = Path("/dev/shm")  # noqa: S108 - made by the system; each test makes a folder of its own in it
if "TMPDIR" not in os.environ and os.access(MEMORY, os.W_OK) and shutil.disk_usage(MEMORY).free > 2 << 30:
    tempfile.tempdir = os.environ["TMPDIR"] = str(MEMORY)

# On the project's own machine the same examples every time, and no clock: a slow moment is not a defect.
settings.register_profile("ci", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("desk", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") else "desk")

CHROMIUM_OPTIONS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-site-isolation-trials",  # one process for a page and the next: a fifth less for each context
)


@pytest.fixture(scope="session")
def repository() -> Path:
    """The top of the repository."""
    return ROOT


@pytest.fixture(scope="session")
def content_dir() -> Path:
    """The demo collection. Read only: a test that writes copies it first."""
    return ROOT / "content"


@pytest.fixture(scope="session")
def demo_book(content_dir: Path) -> Book:
    """The demo collection, opened once: what is worked out of it for one test serves the others."""
    opened = open_book(content_dir)
    assert opened.book is not None, opened.problems
    return opened.book


@pytest.fixture(scope="session")
def demo_desk(demo_book: Book) -> Mapping[str, bytes]:
    """The demo's desk of 25 November 2026."""
    return desk_files(demo_book, load_theme("paper", [shipped.themes()]), date(2026, 11, 25))


@pytest.fixture(scope="session")
def bootstrap() -> ModuleType:
    """`builder/__main__.py` as a module; it stands outside the package because it runs before anything is installed."""
    spec = importlib.util.spec_from_file_location("builder_main", ROOT / "builder" / "__main__.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """One Chromium for the session; a test opens its own `chromium.new_context()`. Without Chromium the test fails."""
    found = find_chromium()
    if found is None:
        pytest.fail(MISSING, pytrace=False)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=CHROMIUM_OPTIONS)
        yield browser
        browser.close()


def pytest_collection() -> None:
    """What is collected stays to the end: looking through it for what may go takes a quarter of the time, again in every later test."""
    gc.disable()


def pytest_collection_finish() -> None:
    gc.freeze()
    gc.set_threshold(100_000)  # looking through what a test makes took a fourteenth of the time
    gc.enable()


LONGEST = ("site", "golden", "said", "calibration", "exact")
"""Folders whose tests take longest. They come first, so that no worker ends on one of them; one worker has the browser and the demo."""


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Unit tests are `fast` unless they say that they are slow. Without Chromium one test fails for all that need it."""
    places = [ROOT / "tests" / name for name in LONGEST]
    files = {item.path for item in items}
    turn = {file: next((n for n, place in enumerate(places) if place in file.parents), len(places)) for file in files}
    unit = {file for file in files if file.is_relative_to(ROOT / "tests/unit")}
    items.sort(key=lambda item: turn[item.path])
    for item in items:
        if item.path in unit and not item.get_closest_marker("slow"):
            item.add_marker("fast")
    if find_chromium() is None:
        needing = [item for item in items if "chromium" in getattr(item, "fixturenames", ())][1:]
        config.hook.pytest_deselected(items=needing)
        items[:] = [item for item in items if item not in needing]
