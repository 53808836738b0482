"""The browser that the page tests drive."""

import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from tests import chromium as finding


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


def test_chromium_by_variable(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """CLUTCHLIGHT_CHROMIUM is used as it stands, and named when it leads nowhere."""
    program = tmp_path / "browser"
    program.touch()
    monkeypatch.setenv("CLUTCHLIGHT_CHROMIUM", str(program))
    assert finding.find_chromium() == program
    program.unlink()
    with pytest.raises(FileNotFoundError, match="which is no file"):
        finding.find_chromium()


def test_no_chromium_is_said_for_each_system(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without Chromium none is found, and the message says how to install it on Debian, macOS and Windows."""
    monkeypatch.delenv("CLUTCHLIGHT_CHROMIUM", raising=False)
    monkeypatch.setattr(shutil, "which", lambda name: None)
    assert finding.find_chromium() is None
    for how in ("apt install chromium", "brew install", "winget install", "CLUTCHLIGHT_CHROMIUM"):
        assert how in finding.MISSING
