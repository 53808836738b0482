"""The private desk in a browser, opened from a folder: four answers on the first screen, width, contrast, print, the phone's file."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Mapping
from functools import cache, partial
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, Page
from tests.site.rounds import DESKTOP, Round, Size, gone_through, open_context

from clutchlight.publishing.folders import publish
from clutchlight.publishing.manifest import Wanted

pytestmark = pytest.mark.browser

PAGES = (
    "index.html",
    "pairings.html",
    "people.html",
    "phone.html",
    "proving.html",
    "room-sheet.html",
    "guide.html",
    "weights.html",
    "year.html",
)
PHONE = (390, 844)


@pytest.fixture(scope="module")
def desk(demo_desk: Mapping[str, bytes], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's desk in a folder."""
    out = tmp_path_factory.mktemp("demo") / "desk"
    publish(Wanted(demo_desk), out, kind="desk")
    return out


@pytest.fixture(params=[PHONE, DESKTOP], ids=["phone", "desktop"])
def size(request: pytest.FixtureRequest) -> tuple[int, int]:
    found: tuple[int, int] = request.param
    return found


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_what_to_do_this_evening_is_on_the_first_screen(
    chromium: Browser, desk: Path, scheme: Literal["light", "dark"]
) -> None:
    """On a phone the whole block lies above the fold, with something in it, in both schemes."""
    context = chromium.new_context(viewport={"width": PHONE[0], "height": PHONE[1]}, color_scheme=scheme)
    page = context.new_page()
    page.goto((desk / "index.html").as_uri())
    block = page.locator(".card-evening")
    box = block.bounding_box()
    assert box is not None
    assert box["y"] + box["height"] <= PHONE[1]
    assert len(block.locator("li").all()) >= 3
    assert "Mote (47 days)" in block.inner_text()
    assert all((one.bounding_box() or {"width": 999})["width"] <= PHONE[0] for one in block.locator("li").all())
    context.close()


@pytest.mark.parametrize(("size", "address"), [(DESKTOP, "index.html"), (DESKTOP, "phone.html"), (PHONE, "phone.html")])
def test_the_four_answers_begin_on_the_first_screen(
    chromium: Browser, desk: Path, size: tuple[int, int], address: str
) -> None:
    """Who is overworked, what is due, what proves most, who is ready: all begin without scrolling, above what is written with; on a
    phone, in the phone's file."""
    context = open_context(chromium, size)
    page = context.new_page()
    page.goto((desk / address).as_uri())
    tops = [heading.bounding_box() for heading in page.locator(".glance h2").all()]
    assert len(tops) == 4
    bar = page.locator(".enter-bar").bounding_box() if address == "phone.html" else None
    end = bar["y"] if bar is not None else size[1]
    assert end > size[1] - 80
    assert all(box is not None and box["y"] + box["height"] < end for box in tops)
    context.close()


@pytest.fixture(scope="module")
def rounds(chromium: Browser, desk: Path) -> Callable[[Size], Round]:
    """With everything unfolded."""
    unfold = "document.querySelectorAll('details').forEach(one => { one.open = true })"
    return cache(partial(gone_through, chromium, desk, PAGES, prepare=unfold))


Rounds = Callable[[Size], Round]


def test_no_page_scrolls_sideways_and_nothing_is_refused(rounds: Rounds, desk: Path, size: tuple[int, int]) -> None:
    """Wide tables scroll in boxes of their own; the policy refuses nothing, and every request stays in the folder."""
    found = rounds(size)
    assert found.wider == dict.fromkeys(PAGES, 0)
    assert found.said == []
    assert [url for url in found.asked if not url.startswith(desk.as_uri())] == []


def test_axe_finds_nothing(rounds: Rounds, size: tuple[int, int]) -> None:
    """The same as of the public pages, with everything unfolded."""
    assert rounds(size).violations == {address: [] for address in PAGES}


def test_the_phone_file_looks_the_same_by_itself(chromium: Browser, desk: Path, tmp_path: Path) -> None:
    """Carried away from its folder it still has its style, and asks for nothing."""
    alone = tmp_path / "alone" / "phone.html"
    alone.parent.mkdir()
    shutil.copy(desk / "phone.html", alone)
    context = open_context(chromium, PHONE)
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(alone.as_uri())
    band = "getComputedStyle(document.querySelector('.band')).backgroundColor"
    assert page.evaluate(band) == "rgb(26, 33, 30)"
    assert asked == [alone.as_uri()]
    rook = page.locator("details", has=page.locator("b", has_text="Rook (M-05)"))
    rook.locator("summary").click()
    assert "4 pairings in 7 days, 8 in 30" in rook.inner_text()
    assert all((one.bounding_box() or {"height": 0})["height"] >= 24 for one in page.locator("summary").all())
    context.close()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_room_sheet_prints_on_a_few_sheets(page: Page, desk: Path, paper: str) -> None:
    """Every animal and the free lines on at most three sheets, without navigation, nothing cut off at the side."""
    page.goto((desk / "room-sheet.html").as_uri())
    pages = len(re.findall(rb"/Type\s*/Page\b", page.pdf(format=paper)))
    assert 1 <= pages <= 3
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 710, "height": 1000})
    assert page.locator("nav").is_hidden()
    assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") == 0
    boxes = page.locator(".sheet td")
    assert min((box.bounding_box() or {"height": 0})["height"] for box in boxes.all()[:40]) >= 20


def test_a_message_is_selected_as_a_whole(page: Page, desk: Path) -> None:
    """One click on it takes all of it, ready to be pasted."""
    page.goto((desk / "people.html").as_uri())
    page.locator("summary").first.click()
    message = page.locator(".message").first
    message.click()
    selected = page.evaluate("getSelection().toString()")
    assert str(selected).strip() == message.inner_text().strip()
    assert "Jory Pellwright" in str(selected)
