"""Prose that a breeder wrote: what is published of it, and what never is."""

from __future__ import annotations

from pathlib import Path

import pytest
from bs4 import BeautifulSoup
from hypothesis import given, strategies as st
from tests.rooms import FAMILY, good, md

from clutchlight.planning.odds import public_plans
from clutchlight.reading.text import hidden_in, without_comments
from clutchlight.site import addresses
from clutchlight.site.context import Context
from clutchlight.site.parts import PictureSize
from clutchlight.site.prose import pictures_in, prose_of, to_html, wanted_photos

PAGES = {"C24-03": "../../clutches/C24-03/index.html"}
PHOTOS = {"fern.jpg": PictureSize("../../photos/0a-900.jpg", 900, 600)}


def html(text: str) -> str:
    return str(to_html(text, PAGES.get, PHOTOS.get))


@pytest.mark.parametrize(
    "text",
    [
        "Calm. <!-- sold to A. Bell --> Eats well.",
        "Calm. <!-- sold to\nA. Bell\n--> Eats well.",
        "Calm.\n\n<!-- sold to A. Bell -->\n\nEats well.",
        "Calm. `<!-- A. Bell -->` Eats well.",
        "Calm.\n\n    <!-- A. Bell -->\n\nEats well.",
        "Calm. <!<!-- x -->-- A. Bell --> Eats well.",
        "Calm. <!--> A. Bell --> Eats well.",
        "Calm. [x](<!-- A. Bell -->) Eats well.",
        "Calm, eats well. <!-- A. Bell, never closed",
    ],
)
def test_a_comment_is_never_published(text: str) -> None:
    """HTML comments are dropped first of all, wherever they stand and however they are put together."""
    assert "Bell" not in html(text)
    assert "Calm" in html(text)


@given(st.text(alphabet="<!->a \n`*[]()&;", max_size=60))
def test_no_comment_survives_any_text(text: str) -> None:
    """Whatever is typed, nothing that begins a comment is left."""
    assert "<!--" not in without_comments(text)


@given(st.text(alphabet="&#x202e;rlm\\`*[]()<!-> ", max_size=60))
def test_no_character_that_nobody_sees_survives_any_text(text: str) -> None:
    """However a reference is put together."""
    assert hidden_in(html(text)) is None


@pytest.mark.parametrize(
    "tag",
    ["<b>bold</b>", "<script>alert(1)</script>", '<img src=x onerror="alert(1)">', "<div>\nblock\n</div>", "a < b & c"],
)
def test_a_tag_appears_as_it_was_typed(tag: str) -> None:
    """HTML in Markdown is text: the reader sees the characters, the browser no element."""
    seen = BeautifulSoup(html(f"See {tag} here."), "html.parser")
    assert " ".join(seen.get_text().split()) == " ".join(f"See {tag} here.".split())
    assert [element.name for element in seen.find_all(True)] == ["p"]


def test_links_lead_into_the_site_or_the_web_or_nowhere() -> None:
    """An id becomes its page, a web or mail address stays, anything else keeps its words and loses its link."""
    text = (
        "[a](C24-03) [b](https://example.org/) [c](mailto:x@example.org) [d](../../etc/passwd) [e](javascript:alert(1))"
    )
    links = {a.get_text(): a["href"] for a in BeautifulSoup(html(text), "html.parser").find_all("a")}
    assert links == {"a": PAGES["C24-03"], "b": "https://example.org/", "c": "mailto:x@example.org"}
    assert "passwd" not in html(text)


def test_pictures_come_from_the_photos_or_not_at_all() -> None:
    """A picture of photos/ is shown with its size; any other leaves its words."""
    shown = BeautifulSoup(html("![Fern](fern.jpg) ![no](https://example.org/x.png) ![gone](gone.jpg)"), "html.parser")
    assert [(img["src"], img["alt"], img["width"]) for img in shown.find_all("img")] == [
        ("../../photos/0a-900.jpg", "Fern", "900")
    ]
    assert "example.org" not in str(shown)
    assert pictures_in("![Fern](fern.jpg) <!-- ![Secret](secret.jpg) --> ![no](https://example.org/x.png)") == (
        "fern.jpg",
    )


def test_headings_fit_under_the_page_without_leaving_a_level_out() -> None:
    """Whatever levels were typed, they begin at the given one and go down one at a time."""
    text = "# One\n\n### Two\n\n###### Three\n\n## Two again\n\n# One again\n"
    found = [
        element.name for element in BeautifulSoup(html(text), "html.parser").find_all(["h2", "h3", "h4", "h5", "h6"])
    ]
    assert found == ["h3", "h4", "h5", "h4", "h3"]


def test_prose_that_is_only_a_comment_is_empty() -> None:
    """A note to oneself makes no section on the page."""
    assert html("\n<!-- only for us -->\n") == ""


def test_no_style_survives() -> None:
    """Aligned table columns would bring inline styles, which the content-security policy forbids."""
    assert "style" not in html("| a | b |\n|:--|--:|\n| 1 | 2 |\n")


@pytest.mark.parametrize(
    ("animal", "clutch", "wanted"),
    [
        ("page", "page", ["a.jpg", "b.jpg", "c.jpg", "d.jpg", "e.jpg"]),
        ("name only", "page", ["c.jpg", "d.jpg", "e.jpg"]),
        ("no", "page", ["c.jpg", "d.jpg", "e.jpg"]),
        ("page", "no", ["a.jpg", "b.jpg", "e.jpg"]),
    ],
)
def test_photos_of_what_has_no_page_are_not_published(
    tmp_path: Path, animal: str, clutch: str, wanted: list[str]
) -> None:
    """Neither those of the record nor those that its prose shows; of a page of one's own all."""
    files = {
        "animals/F-01.md": md(f"id: F-01\nsex: female\nphotos: [a.jpg]\npublish: {animal}", "![](photos/b.jpg)\n"),
        "clutches/C26-01.md": md(
            f"id: C26-01\ndam: F-01\nsire: unknown\nlaid: 2026-05-01\neggs: 4\nphotos: [c.jpg]\npublish: {clutch}",
            "![](photos/d.jpg)\n",
        ),
        "pages/terms.md": md("title: Terms", "![](photos/e.jpg)\n"),
        **{f"photos/{name}.jpg": "x" for name in "abcde"},
    }
    assert [name for name, _ in wanted_photos(good(tmp_path, files))] == wanted


def test_a_link_may_lead_to_every_page_of_the_site(tmp_path: Path) -> None:
    """By its address, as a browser shows it; an earlier id leads to the page that stands now, and what is not there to nothing."""
    plan = "- {female: F-01, males: [M-01], from: 2026-10-01, until: 2027-03-31, public: yes}\n"
    files = {"season/2026.yaml": plan, "pages/terms.md": md("title: Terms", "Cash.")}
    book = FAMILY.book(tmp_path, files).published
    plans = public_plans(book.inference, book.private.plans)
    context = Context(book.collection, book.statements, planned=plans)
    made = (".html", "/statement.json", "feed.xml", ".ped", "open/availability.json")
    pages = {one for one in FAMILY.site(tmp_path, files) if one.endswith(made)} - {
        "404.html",
        addresses.schema("statement.json"),
        addresses.animal("OLD-2"),
        addresses.animal_statement("OLD-2"),
    }

    def led(target: str) -> str | None:
        link = BeautifulSoup(prose_of(context, addresses.HOME, f"[x]({target})"), "lxml").a
        return str(link["href"]) if link else None

    assert {addresses.PLANS, addresses.plan("F-01", "M-01"), addresses.trait("ball-python", "piebald")} <= pages
    assert {one: led(one) for one in pages} == {one: one for one in pages}
    assert {led(f"../{one.removesuffix('index.html')}") for one in pages} == pages
    assert led("OLD-2") == led("animals/OLD-2/") == led("../M-02.md") == addresses.animal("M-02")
    assert led("plans/F-02/M-02/") is led("traits/ball-python/clown/") is led("lineage/F-01/") is led("M-99") is None
