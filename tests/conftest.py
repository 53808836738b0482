"""What every test may use: the demo collection, Chromium, and one way of drawing random examples per occasion."""

import importlib.util
import os
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import HealthCheck, settings
from playwright.sync_api import Browser, sync_playwright

ROOT = Path(__file__).resolve().parent.parent

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
def chromium(bootstrap: ModuleType) -> Iterator[Browser]:
    """One Chromium for the session; a test opens its own `chromium.new_context()`. Without Chromium the test fails."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=bootstrap.find_chromium(), args=CHROMIUM_OPTIONS)
        yield browser
        browser.close()
