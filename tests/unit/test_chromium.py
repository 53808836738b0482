"""The browser that the page tests drive."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser


@pytest.mark.browser
def test_chromium_draws_text_from_a_file(chromium: Browser, tmp_path: Path) -> None:
    """A page opened from a folder is laid out with a font: text has a height and a width."""
    page = tmp_path / "page.html"
    page.write_text("<!doctype html><title>t</title><span>Bramble</span>", encoding="utf-8")
    with chromium.new_context() as context:
        tab = context.new_page()
        tab.goto(page.as_uri())
        box = tab.locator("span").bounding_box()
    assert box is not None
    assert box["width"] > 20
    assert box["height"] > 5
