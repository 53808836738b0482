"""What every test may use: the demo collection, Chromium, and one way of drawing random examples per occasion."""

import importlib.util
import os
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import HealthCheck, settings
from playwright.sync_api import Browser, sync_playwright
from tests.chromium import MISSING, find_chromium
from tests.compiled import keep_compiled

ROOT = Path(__file__).resolve().parent.parent

keep_compiled()

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


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Unit tests are `fast` unless they say that they are slow. Without Chromium one test fails for all that need it."""
    for item in items:
        if item.path.is_relative_to(ROOT / "tests/unit") and not item.get_closest_marker("slow"):
            item.add_marker("fast")
    if find_chromium() is None:
        needing = [item for item in items if "chromium" in getattr(item, "fixturenames", ())][1:]
        config.hook.pytest_deselected(items=needing)
        items[:] = [item for item in items if item not in needing]
