"""Every page of the demo site: well formed, in order, without anything that a strict content-security policy forbids."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from itertools import pairwise
from posixpath import dirname, join, normpath
from urllib.parse import unquote, urlsplit

import html5lib
import pytest
from bs4 import BeautifulSoup, Tag
from jsonschema import Draft202012Validator

from clutchlight.shipped import SCHEMAS

Files = Mapping[str, bytes]
WEB = "https://lanternwick.example.org/"
POLICY = "default-src 'none'; img-src 'self'; style-src 'self'; font-src 'self'; script-src 'self'; base-uri 'none'; form-action 'none'"


@pytest.fixture(scope="session")
def pages(demo_files: Files) -> dict[str, BeautifulSoup]:
    html = {address: content for address, content in demo_files.items() if address.endswith(".html")}
    return {address: BeautifulSoup(content, "lxml") for address, content in html.items()}


def text_of(value: object) -> str:
    return value if isinstance(value, str) else ""


def links_of(page: BeautifulSoup) -> Iterator[str]:
    """Every address that a browser may follow or load from a page."""
    for element in page.find_all(True):
        for name in ("href", "src"):
            whole = element.name == "link" and (element.get("itemprop") or element.get("rel") == ["canonical"])
            if element.get(name) and not whole:
                yield text_of(element.get(name))
        for part in text_of(element.get("srcset")).split(","):
            if part.strip():
                yield part.split()[0]


def resolved(page: str, link: str) -> str:
    if link.startswith("/"):
        return normpath(unquote(urlsplit(link).path)).lstrip("/")
    return normpath(join(dirname(page), unquote(urlsplit(link).path)))


def test_every_link_and_fragment_leads_somewhere(pages: dict[str, BeautifulSoup], demo_files: Files) -> None:
    """Every link, photo, style and script stands in the site, and every fragment is an id on its page."""
    ids = {address: {element["id"] for element in page.find_all(id=True)} for address, page in pages.items()}
    broken = []
    for address, page in pages.items():
        for link in links_of(page):
            split = urlsplit(link)
            if split.scheme in ("mailto", "https") and not link.startswith(WEB):
                continue
            target = address if not split.path else resolved(address, link)
            if target not in demo_files or (split.fragment and split.fragment not in ids.get(target, set())):
                broken.append((address, link))
    assert broken == []


def test_every_page_is_reached_from_the_first(pages: dict[str, BeautifulSoup]) -> None:
    """A reader who follows links finds every page but the one for pages that are not found and the old addresses."""
    reached: set[str] = set()
    waiting = ["index.html"]
    while waiting:
        address = waiting.pop()
        if address in reached or address not in pages:
            continue
        reached.add(address)
        waiting += [resolved(address, link) for link in links_of(pages[address]) if not urlsplit(link).scheme]
    moved = {address for address, page in pages.items() if page.find("meta", attrs={"http-equiv": "refresh"})}
    assert set(pages) - reached - moved == {"404.html"}


def test_every_page_is_well_formed(demo_files: Files) -> None:
    """A strict HTML5 parser finds nothing to repair; the SVG inside is read by its own rules."""
    for address, content in demo_files.items():
        if address.endswith(".html"):
            html5lib.HTMLParser(strict=True).parse(content.decode("utf-8"))


def test_no_request_leaves_the_site(pages: dict[str, BeautifulSoup]) -> None:
    """Nothing that a browser loads by itself has an address with a host."""
    for page in pages.values():
        for element in page.find_all(
            ["img", "source", "script", "iframe", "video", "audio", "object", "embed", "use", "image"]
        ):
            assert not urlsplit(text_of(element.get("src") or element.get("href"))).scheme
        for element in page.find_all("link"):
            outside = urlsplit(text_of(element.get("href"))).scheme
            assert not outside or element.get("rel") == ["canonical"] or element.get("itemprop")


def test_no_style_and_no_script_is_inline(pages: dict[str, BeautifulSoup]) -> None:
    """Neither in HTML nor in SVG: no style element or attribute, no script without a file, no handler, no javascript: link."""
    for address, page in pages.items():
        assert page.find_all("style") == [], address
        for element in page.find_all(True):
            names = [name for name in element.attrs if name == "style" or name.startswith("on")]
            assert names == [], (address, element.name)
            assert not text_of(element.get("href")).lower().startswith("javascript:")
        for script in page.find_all("script"):
            assert script.get("src")
            assert script.get("type") is None
            assert script.has_attr("defer")
            assert script.get_text() == ""


def test_the_policy_stands_before_anything_is_loaded(pages: dict[str, BeautifulSoup]) -> None:
    """The same strict content-security policy on every page, before the first link or script."""
    for page in pages.values():
        head = page.head
        assert head is not None
        first = next(e for e in head.find_all(["meta", "link", "script"]) if e.get("http-equiv") or e.name != "meta")
        assert first.get("http-equiv") == "Content-Security-Policy"
        assert first.get("content") == POLICY


def test_headings_begin_with_one_and_leave_no_level_out(pages: dict[str, BeautifulSoup]) -> None:
    """One h1 on every page, first, and no step down of more than one."""
    for address, page in pages.items():
        levels = [int(heading.name[1]) for heading in page.find_all(re.compile("^h[1-6]$"))]
        assert levels.count(1) == 1, address
        assert levels[0] == 1, address
        assert all(after <= before + 1 for before, after in pairwise(levels)), (address, levels)


def test_every_page_says_what_it_is(pages: dict[str, BeautifulSoup]) -> None:
    """Language, a title of its own, a description of decent length, and words for every picture."""
    titles = [page.title.get_text() for page in pages.values() if page.title]
    assert len(set(titles)) == len(titles) == len(pages)
    for address, page in pages.items():
        assert page.html is not None
        assert page.html.get("lang") == "en"
        description = page.find("meta", attrs={"name": "description"})
        assert isinstance(description, Tag)
        assert 15 <= len(text_of(description.get("content"))) <= 205, address
        assert all(text_of(image.get("alt")) for image in page.find_all("img")), address
        assert all(svg.find("title") for svg in page.select("svg:not(.key svg)")), address


def test_ids_are_unique_on_a_page(pages: dict[str, BeautifulSoup]) -> None:
    """Drawings bring ids of their own; none meets another."""
    for address, page in pages.items():
        ids = [element["id"] for element in page.find_all(id=True)]
        assert len(ids) == len(set(ids)), address


def test_animal_pages_keep_the_order_that_buyers_ask_in(pages: dict[str, BeautifulSoup]) -> None:
    """Photo, label, statement, why, contact, then and now, pedigree, origin, prose, records."""
    order = ["statement", "why", "ask", "history", "timeline", "pedigree", "origin", "notebook", "records"]
    for address, page in pages.items():
        if re.fullmatch(r"animals/[^/]+/index\.html", address) and page.find(id="statement"):
            found = [text_of(heading["id"]) for heading in page.find_all("h2", id=True)]
            assert found == [name for name in order if name in found], address
            photos = page.find(class_="specimen-photos")
            if photos:
                assert photos.find_next(class_="museum-label")
            assert page.find(class_="museum-label")


def test_addresses_for_machines_are_whole(pages: dict[str, BeautifulSoup], demo_files: Files) -> None:
    """With a web address: canonical links, a sitemap of every page, and pictures for link previews, all absolute."""
    sitemap = demo_files["sitemap.xml"].decode("utf-8")
    listed = re.findall("<loc>(.*?)</loc>", sitemap)
    assert sorted(listed) == sorted(set(listed))
    for address, page in pages.items():
        canonical = page.find("link", attrs={"rel": "canonical"})
        if address == "404.html":
            assert canonical is None
        else:
            assert isinstance(canonical, Tag)
            assert text_of(canonical.get("href")) in listed
            image = page.find("meta", attrs={"property": "og:image"})
            if isinstance(image, Tag):
                assert text_of(image.get("content")).removeprefix(WEB) in demo_files
    assert b"Sitemap: https://lanternwick.example.org/sitemap.xml" in demo_files["robots.txt"]


def test_a_line_bred_look_is_shown_without_a_figure(pages: dict[str, BeautifulSoup]) -> None:
    """Rook shows Pale Flank, which follows no rule: the statement names it and says that it has no figure."""
    section = pages["animals/M-05/index.html"].select_one("section[aria-labelledby=statement]")
    assert section is not None
    assert "Pale Flank line-bred: no figure" in section.get_text(" ", strip=True)


def test_every_hatched_clutch_says_what_it_proved(pages: dict[str, BeautifulSoup]) -> None:
    """Also where that is nothing: the parents of C26-01 were certain before. The days of C25-01 say what a test of its young told."""
    told = {}
    for address, page in pages.items():
        state = page.select_one(".label-status .status")
        if address.startswith("clutches/") and state is not None and state.text.startswith(("Hatched", "Sold out")):
            section = page.select_one("section[aria-labelledby=proved]")
            told[address] = (section or page).get_text(" ", strip=True)
            by_its_days = "50% possible het Lavender Albino → 33% possible het Lavender Albino" in told[address]
            assert section is not None or by_its_days or "proved nothing new of a parent" in told[address], address
    assert len(told) >= 15
    assert "proved nothing new of a parent" not in told["clutches/C25-01/index.html"]
    assert "proved nothing new of a parent" in told["clutches/C26-01/index.html"]
    assert "of which one gave Piebald young: 1 in 3 before, certain now" in told["clutches/C25-02/index.html"]


def test_every_data_file_fits_its_published_schema(demo_files: Files) -> None:
    """The schemas under open/schema/ describe what stands beside the pages."""
    schemas = {
        name: Draft202012Validator(json.loads(demo_files[f"open/schema/{name}.json"]))
        for name in ("statement", "availability")
    }
    schemas["availability"].validate(json.loads(demo_files["open/availability.json"]))
    statements = [
        content
        for address, content in demo_files.items()
        if re.fullmatch(r"(animals|clutches)/[^/]+/statement\.json", address)
    ]
    assert len(statements) > 100
    for content in statements:
        schemas["statement"].validate(json.loads(content))
    published = {address for address in demo_files if address.startswith("open/schema/")}
    assert published == {f"open/schema/{name}.json" for name in SCHEMAS}
    assert b'"$id": "http' not in demo_files["open/schema/statement.json"] + demo_files["open/schema/availability.json"]
