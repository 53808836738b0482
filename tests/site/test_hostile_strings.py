"""Hostile texts in every free field: none runs, nothing leaves the site, every file parses; the pages stand without their policy.

Here every text stands in one place and every place holds two; `tests/bench/hostile_everywhere.py` puts every text into every place.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext
from tests.site.hostile_room import PLACES, faults_of_data, faults_of_exports, faults_of_pages, make
from tests.site.hostile_strings import STRINGS

pytestmark = pytest.mark.browser

HALVES = {
    "first": {place: STRINGS[number] for number, place in enumerate(PLACES)},
    "second": {place: STRINGS[-1 - number] for number, place in enumerate(PLACES)},
}
MAY_REFUSE = 30
"""Texts that no name of a trait, no address and no file may be."""


def test_there_are_two_hundred_texts_and_each_has_a_place() -> None:
    assert len(set(STRINGS)) == len(STRINGS) >= 200
    assert {text for half in HALVES.values() for text in half.values()} == set(STRINGS)


@pytest.fixture(scope="module")
def shared(chromium: Browser) -> Iterator[BrowserContext]:
    """For pages that keep nothing; each test opens a page of its own in it."""
    context = chromium.new_context()
    yield context
    context.close()


@pytest.mark.parametrize("half", HALVES)
def test_no_text_runs_or_leaves_the_site(half: str, chromium: Browser, tmp_path: Path) -> None:
    """Site and desk without their security policy, feeds, tables, exports and the terminal."""
    made = make(HALVES[half], tmp_path)
    assert len(made.refused) <= MAY_REFUSE, made.refused
    context = chromium.new_context()
    faults = [*faults_of_pages(made.site, context), *faults_of_pages(made.desk, context)]
    context.close()
    assert [*faults, *faults_of_data(made.site), *faults_of_exports(made.folder)] == []


POLICY = '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'">'


@pytest.mark.parametrize(
    ("body", "fault"),
    [
        ("<script>ran()</script>", "it ran"),
        ("<img src=x onerror=ran()>", "it ran"),
        ("<p onclick=ran()>", "p onclick"),
        ("<a href=javascript:ran()>x</a>", "a leads to javascript:ran()"),
        ("<img src=https://leak.invalid/x>", "asked for https://leak.invalid/x"),
        ("<svg><a xlink:href='javascript:ran()'></a></svg>", "a leads to javascript:ran()"),
        ("<iframe src=x.html></iframe>", "element iframe"),
        ("<p style='background:red'>", "p style"),
        ("<meta http-equiv=refresh content='9;url=https://leak.invalid'>", "refresh 9;url=https://leak.invalid"),
        ("<a href='mailto:a@example.org?bcc=b@example.org'>x</a>", "a mail with more than a subject and a letter"),
    ],
)
def test_what_is_looked_for_would_be_found(body: str, fault: str, shared: BrowserContext, tmp_path: Path) -> None:
    """A page with the fault has it told."""
    site = tmp_path / "site"
    site.mkdir()
    (site / "index.html").write_text(f"<!doctype html><title>x</title>{POLICY}{body}", encoding="utf-8")
    faults = faults_of_pages(site, shared)
    assert any(fault in told for told in faults), faults
