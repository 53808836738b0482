"""Pages in a browser: one round through all of them for each size of window, of which several tests ask."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from msgspec import Struct
from playwright.sync_api import Browser, BrowserContext, Request
from tests.site.accessibility import violations

Size = tuple[int, int]

DESKTOP: Size = (1280, 900)

SHIFTS = """
window.shifted = 0;
new PerformanceObserver((list) => { for (const one of list.getEntries()) { window.shifted += one.value; } })
  .observe({ type: "layout-shift", buffered: true });
"""


class Round(Struct, frozen=True):
    """By page: how far it was scrolled and what had shifted when it stood, how much wider than the window it is, what axe-core finds on it.

    And what was `said` on the console and of requests that failed, and every address `asked` for.
    """

    opened: dict[str, list[float]]
    wider: dict[str, int]
    violations: dict[str, list[tuple[str, str, str, str]]]
    said: list[str]
    asked: list[str]


def open_context(chromium: Browser, size: Size, *, script: bool = True) -> BrowserContext:
    return chromium.new_context(
        viewport={"width": size[0], "height": size[1]},
        color_scheme="light",
        java_script_enabled=script,
        reduced_motion="reduce",
    )


def gone_through(chromium: Browser, folder: Path, pages: Sequence[str], size: Size, *, prepare: str = "1") -> Round:
    """Opens every page once. `prepare`: a script that runs when it stands, before it is measured."""
    found = Round({}, {}, {}, [], [])

    def failed(request: Request) -> None:
        if request.failure != "net::ERR_ABORTED":  # cut short by going on, that is
            found.said.append(f"{request.url} {request.failure}")

    context = open_context(chromium, size)
    page = context.new_page()
    page.add_init_script(SHIFTS)
    page.on("console", lambda message: found.said.append(message.text))
    page.on("pageerror", lambda mistake: found.said.append(str(mistake)))
    page.on("request", lambda request: found.asked.append(request.url))
    page.on("requestfailed", failed)
    for address in pages:
        page.goto((folder / address).as_uri())
        found.opened[address] = page.evaluate("[window.scrollY, window.shifted]")
        page.evaluate(prepare)
        found.wider[address] = page.evaluate(
            "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        )
        found.violations[address] = violations(page, whole=size != DESKTOP)
    context.close()
    return found
