"""Finds the Chromium that the browser tests drive: the program that CLUTCHLIGHT_CHROMIUM names, else the first one found."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge")
MISSING = (
    "the tests that look at pages need Chromium and were not run. Debian: sudo apt install chromium libatomic1; macOS: brew install "
    "--cask chromium; Windows: winget install Google.Chrome; or set CLUTCHLIGHT_CHROMIUM to the program"
)


def find_chromium() -> Path | None:
    """None when there is none. Raises FileNotFoundError when the variable names no file."""
    named = os.environ.get("CLUTCHLIGHT_CHROMIUM")
    if named:
        if not Path(named).is_file():
            raise FileNotFoundError(
                f"CLUTCHLIGHT_CHROMIUM names '{named}', which is no file; name the program or unset it"
            )
        return Path(named)
    on_path = (Path(place) for place in map(shutil.which, NAMES) if place)
    return next((place for place in (*on_path, *_elsewhere()) if place.is_file()), None)


def _elsewhere() -> Iterator[Path]:
    """Where a browser stands that is not on PATH."""
    if sys.platform == "darwin":
        for name in ("Chromium", "Google Chrome", "Microsoft Edge"):
            for folder in (Path("/Applications"), Path.home() / "Applications"):
                yield folder / f"{name}.app/Contents/MacOS/{name}"
    if os.name == "nt":
        for variable in ("PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA"):
            for end in (
                "Chromium/Application/chrome.exe",
                "Google/Chrome/Application/chrome.exe",
                "Microsoft/Edge/Application/msedge.exe",
            ):
                if folder := os.environ.get(variable):
                    yield Path(folder) / end
