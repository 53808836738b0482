"""The demo site in a browser, opened from a folder: width, contrast, names, the sentence, and no request that leaves it."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from contextlib import suppress
from functools import cache, partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page
from tests.site.accessibility import violations
from tests.site.rounds import DESKTOP, SHIFTS, Round, Size, gone_through, open_context

pytestmark = pytest.mark.browser

PAGES = (
    "index.html",
    "animals/C26-01-5/index.html",
    "animals/F-09/index.html",
    "animals/C26-01-8/index.html",
    "clutches/C26-01/index.html",
    "clutches/C26-06/index.html",
    "clutches/C24-05/index.html",
    "clutches/C26-01/card.html",
    "lineage/index.html",
    "traits/ball-python/piebald/index.html",
    "plans/F-14/M-05/index.html",
    "method/index.html",
    "pages/terms/index.html",
)
PHONE = (360, 740)


@pytest.fixture(params=[PHONE, DESKTOP], ids=["phone", "desktop"])
def size(request: pytest.FixtureRequest) -> tuple[int, int]:
    found: tuple[int, int] = request.param
    return found


@pytest.fixture(scope="module")
def rounds(chromium: Browser, demo_site: Path) -> Callable[[Size], Round]:
    return cache(partial(gone_through, chromium, demo_site, PAGES))


Rounds = Callable[[Size], Round]


def test_no_page_scrolls_sideways_and_nothing_is_refused(
    rounds: Rounds, demo_site: Path, size: tuple[int, int]
) -> None:
    """Wide things scroll in boxes of their own; the policy refuses nothing, and every request stays in the folder."""
    found = rounds(size)
    assert found.wider == dict.fromkeys(PAGES, 0)
    assert found.said == []
    assert [url for url in found.asked if not url.startswith(demo_site.as_uri())] == []


def test_axe_finds_nothing(rounds: Rounds, size: tuple[int, int]) -> None:
    """No violation of WCAG 2.2 A and AA that axe-core can see on a phone, in both schemes; on a desk none of what the width decides."""
    assert rounds(size).violations == {address: [] for address in PAGES}


def test_every_page_opens_at_its_head_and_stays(rounds: Rounds, size: tuple[int, int]) -> None:
    """Nothing further down draws the window to itself, and nothing shifts while the rest arrives."""
    assert rounds(size).opened == {address: [0, 0] for address in PAGES}


def test_a_colour_that_one_line_of_several_has_is_found(page: Page) -> None:
    """Of lines that look alike axe is shown one; the pale one is of a kind of its own."""
    lines = "<p>one</p><p>two</p><p style='color: #ccc'>three</p><p>four</p>"
    page.set_content(f"<!doctype html><html lang='en'><title>A</title><main><h1>A</h1>{lines}</main></html>")
    found = [(scheme, rule, element) for scheme, rule, element, _ in violations(page)]
    assert found == [(scheme, "color-contrast", '<p style="color: #ccc">three</p>') for scheme in ("light", "dark")]


def shown(page: Page) -> list[str]:
    return page.locator(".card:visible .id").all_inner_texts()


def test_the_sentence_shows_the_animals_that_fit_it(page: Page, demo_site: Path) -> None:
    """The choices narrow the labels down as the sentence says, the result is said, and the address keeps the sentence."""
    page.goto((demo_site / "index.html").as_uri())
    everything = shown(page)
    assert page.locator("#filter-result").inner_text() == f"All {len(everything)} of them."
    page.select_option("select[name=way]", "certain")
    page.select_option("select[name=trait]", "piebald")
    certain = shown(page)
    assert certain
    assert all("het Piebald" in card.inner_text() for card in page.locator(".card:visible").all())
    assert all("Certain" in card.inner_text() for card in page.locator(".card:visible").all())
    assert page.locator("#filter-result").inner_text() == f"{len(certain)} of {len(everything)}."
    page.select_option("select[name=way]", "possible")
    assert not set(shown(page)) & set(certain)
    address = page.url
    kept = shown(page)
    page.goto("about:blank")
    page.goto(address)
    assert shown(page) == kept
    page.select_option("select[name=sex]", "male")
    assert 0 < len(shown(page)) < len(kept)
    assert all("female" not in card.inner_text() for card in page.locator(".card:visible").all())
    page.go_back()
    assert shown(page) == kept


def test_the_sentence_knows_chances_prices_states_and_orders(page: Page, demo_site: Path) -> None:
    """Every choice of it narrows the list or sorts it, and each shelf counts what is left."""
    page.goto((demo_site / "index.html").as_uri() + "#way=possible%3D66&trait=piebald")
    likely = shown(page)
    assert likely
    assert all("66% possible het Piebald" in card.inner_text() for card in page.locator(".card:visible").all())
    assert page.locator(".shelf-intro:visible").inner_text() == f"{len(likely)} of 21 snakes"
    page.goto((demo_site / "index.html").as_uri() + "#price=100&status=available&order=price")
    prices = [
        int(text.removeprefix("€")) for text in page.locator(".rows .card:visible .label-price").all_inner_texts()
    ]
    assert prices == sorted(prices)
    assert max(prices) <= 100
    assert page.locator(".card:visible .status").count() == 0
    page.goto((demo_site / "index.html").as_uri() + "#order=clutch")
    assert page.locator(".rows .id").first.inner_text() < page.locator(".rows .id").last.inner_text()


def test_a_sentence_that_nothing_fits_says_so(page: Page, demo_site: Path) -> None:
    """An empty result is said in words, and its shelves go with their animals."""
    page.goto((demo_site / "index.html").as_uri() + "#species=corn-snake&trait=piebald")
    assert shown(page) == []
    assert page.locator(".shelf:visible").count() == 0
    assert page.locator("#filter-result").inner_text().startswith("None here now.")


def test_without_script_every_animal_is_shown(chromium: Browser, demo_site: Path) -> None:
    """The sentence, which could do nothing, is not there; the labels are."""
    context = open_context(chromium, PHONE, script=False)
    page = context.new_page()
    page.goto((demo_site / "index.html").as_uri())
    assert page.locator("#filter").is_hidden()
    assert page.locator(".card").count() == page.locator(".card:visible").count() > 5
    context.close()


class SlowServer(SimpleHTTPRequestHandler):
    """A page in small pieces and each photo late, as over a bad telephone line."""

    def __init__(self, *arguments: object, directory: Path) -> None:
        super().__init__(*arguments, directory=directory)  # type: ignore[arg-type]

    def log_message(self, *_: object) -> None:
        """Nothing on the terminal."""

    def copyfile(self, source: object, outputfile: object) -> None:
        if "/photos/" in self.path:
            time.sleep(0.5)
        with suppress(BrokenPipeError):  # the browser has gone on to the next page
            while piece := source.read(4096):  # type: ignore[attr-defined]
                outputfile.write(piece)  # type: ignore[attr-defined]
                if self.path.endswith(".html"):
                    time.sleep(0.05)


def test_nothing_shifts_while_a_page_arrives_in_pieces(
    chromium: Browser, demo_site: Path, size: tuple[int, int]
) -> None:
    """The navigation, and what stands below a photo, stay where they are first seen."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(SlowServer, directory=demo_site))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    context = open_context(chromium, size)
    page = context.new_page()
    page.add_init_script(SHIFTS)
    for address in (
        "index.html",
        "animals/F-09/index.html",
        "animals/C26-01-8/index.html",
        "clutches/C26-01/index.html",
    ):
        page.goto(f"http://127.0.0.1:{server.server_port}/{address}")
        assert (address, page.evaluate("window.shifted")) == (address, 0)
    context.close()
    server.shutdown()
    server.server_close()


def test_a_keyboard_reaches_the_content_and_sees_where_it_is(page: Page, demo_site: Path) -> None:
    """The first stop skips to the content; every stop after it is outlined."""
    page.goto((demo_site / "animals/C26-01-5/index.html").as_uri())
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"
    for _ in range(12):
        page.keyboard.press("Tab")
        assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") != "none"


def test_targets_are_large_enough_to_touch(chromium: Browser, demo_site: Path) -> None:
    """WCAG 2.2, 2.5.8: buttons, choices and navigation are at least 24 by 24 pixels on a phone."""
    context = open_context(chromium, PHONE)
    page = context.new_page()
    for address in ("index.html", "animals/C26-01-5/index.html"):
        page.goto((demo_site / address).as_uri())
        for target in page.locator("nav a, select, summary, .ask-mail, .to-ask a").all():
            box = target.bounding_box()
            assert box is not None
            assert min(box["width"], box["height"]) >= 24, target.inner_text()
    context.close()


def test_a_printed_page_holds_the_statement_and_no_navigation(page: Page, demo_site: Path) -> None:
    """Paper has no use for links to press."""
    page.emulate_media(media="print")
    page.goto((demo_site / "animals/C26-01-5/index.html").as_uri())
    assert page.locator("nav").is_hidden()
    assert page.locator(".said").is_visible()


COLONS = """() => [...document.querySelectorAll('.reason h3 a')].filter(link => {
    const text = link.nextSibling;
    if (!text || !text.data || !text.data.startsWith(':')) return false;
    const colon = document.createRange();
    colon.setStart(text, 0);
    colon.setEnd(text, 1);
    const name = [...link.getClientRects()].at(-1);
    return colon.getBoundingClientRect().top > name.top + name.height / 2;
}).map(link => link.textContent)"""


def test_no_line_of_a_heading_begins_with_a_colon(page: Page, demo_site: Path) -> None:
    """It stays with the name before it, however narrow the screen."""
    page.goto((demo_site / "clutches/C26-01/index.html").as_uri())
    for width in range(280, 480, 8):
        page.set_viewport_size({"width": width, "height": 740})
        assert page.evaluate(COLONS) == [], width


def test_paper_shows_an_unfolded_pedigree_in_words(page: Page, demo_site: Path) -> None:
    """The outline below the drawing, which a phone shows unasked, is left out; the one that the reader unfolded is not."""
    page.goto((demo_site / "animals/C26-01-5/index.html").as_uri())
    page.locator("details:has(> .outline) summary").click()
    page.emulate_media(media="print")
    assert page.locator("details > .outline").is_visible()
    assert page.locator(".leaf-body > .outline").is_hidden()


def test_an_earlier_address_points_on(page: Page, demo_site: Path) -> None:
    """The page of a former id takes the reader to the animal."""
    page.goto((demo_site / "animals/C22-02-3/index.html").as_uri())
    page.wait_for_url((demo_site / "animals/F-09/index.html").as_uri())
