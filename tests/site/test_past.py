"""The past on the site: changes and feeds, timelines, dated records, and the card that goes with an animal."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path

import feedparser
import pytest
from bs4 import BeautifulSoup, Tag
from lxml import etree
from playwright.sync_api import Browser
from tests.site.conftest import SETTINGS, Files, Told, tell

from clutchlight.ledger.dated_records import stamp
from clutchlight.pipeline import open_book
from clutchlight.publishing.folders import publish
from clutchlight.publishing.manifest import Wanted
from clutchlight.statements.values import digest_of
from clutchlight.wording import day_words

ATOM = "{http://www.w3.org/2005/Atom}"
WEB = "https://example.org/snakes/"
ANIMALS = """\
- {id: M-01, name: Moss, sex: male, hatched: 2020-06-01, shows: normal, claims: {Piebald: 66%}}
- {id: F-01, sex: female, hatched: 2020-07-01, shows: [Piebald]}
- {id: F-09, sex: female, hatched: 2020-07-01, shows: normal, status: available}
"""
CLUTCH = """\
id: C23-01
sire: M-01
dam: F-01
laid: 2023-05-02
eggs: 1
hatched: 2023-07-01
young: [{id: C23-01-1, sex: male, shows: normal}]
"""
PROOF = "id: C24-01\nsire: M-01\ndam: F-01\neggs: 1\nhatched: 2024-07-01\nyoung: [{id: C24-01-1, shows: Piebald}]\n"
ROOM: Mapping[str, str] = {"animals/all.yaml": ANIMALS, "clutches/C23-01.yaml": CLUTCH, "clutches/C24-01.yaml": PROOF}

Build = Callable[[Mapping[str, str]], Files]


def ids(feed: bytes) -> list[str]:
    return [entry.id for entry in feedparser.parse(feed).entries]


# Feeds


def test_every_feed_of_the_demo_is_read_without_complaint(demo_files: Files) -> None:
    """feedparser finds nothing to repair; every id is a urn:uuid of version 5 and stands once."""
    feeds = [address for address in demo_files if address.endswith("feed.xml")]
    assert len(feeds) == 1 + len(
        [address for address in demo_files if re.fullmatch(r"clutches/[^/]+/index.html", address)]
    )
    for address in feeds:
        found = feedparser.parse(demo_files[address])
        assert not found.bozo, address
        assert found.version == "atom10"
        every = [found.feed.id, *ids(demo_files[address])]
        assert len(set(every)) == len(every), address
        assert all(
            re.fullmatch(r"urn:uuid:[0-9a-f]{8}-[0-9a-f]{4}-5[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", key)
            for key in every
        )


def test_a_feed_has_what_rfc_4287_asks_for(demo_files: Files) -> None:
    """Sections 4.1.1 and 4.1.2: id, title and updated in feed and entries, an author, and content or an alternate link."""
    for address in ("changes/feed.xml", "clutches/C22-02/feed.xml", "clutches/C26-06/feed.xml"):
        root = etree.fromstring(demo_files[address])
        assert root.tag == f"{ATOM}feed"
        assert len(root.findall(f"{ATOM}author/{ATOM}name")) == 1
        for element in (root, *root.findall(f"{ATOM}entry")):
            for name in ("id", "title", "updated"):
                assert len(element.findall(f"{ATOM}{name}")) == 1, (address, name)
        for entry in root.findall(f"{ATOM}entry"):
            assert entry.findtext(f"{ATOM}content")
        assert [link.get("rel") for link in root.findall(f"{ATOM}link")] == ["self", "alternate"]


def test_the_feed_of_changes_tells_before_after_and_cause(demo_files: Files) -> None:
    """Newest first, sold animals among them."""
    found = feedparser.parse(demo_files["changes/feed.xml"])
    titles = [entry.title for entry in found.entries]
    assert "Juniper (F-09): 33% possible het Piebald → het Piebald, proven by C25-02" in titles
    assert "C22-02-2: 33% possible het Piebald → 50% possible het Piebald, after clutch C25-02 hatched" in titles
    days = [entry.updated for entry in found.entries]
    assert days == sorted(days, reverse=True)
    assert found.feed.updated == days[0] == "2026-11-12T00:00:00Z"


def test_the_feed_of_a_clutch_begins_with_its_eggs(demo_files: Files) -> None:
    """Laid, hatched, and what became of its young; only laid for one in the incubator."""
    assert [entry.updated[:10] for entry in feedparser.parse(demo_files["clutches/C22-02/feed.xml"]).entries] == [
        *["2025-07-21"] * 3,
        "2022-08-08",
        "2022-06-11",
    ]
    (only,) = feedparser.parse(demo_files["clutches/C26-06/feed.xml"]).entries
    assert only.title == "Clutch C26-06 was laid"


def test_feeds_without_a_web_address_have_no_links(site_of: Build) -> None:
    """A relative link would be lost in a reader; content stands in each entry, so RFC 4287 asks for none."""
    files = site_of(ROOM)
    for address in ("changes/feed.xml", "clutches/C23-01/feed.xml"):
        root = etree.fromstring(files[address])
        assert root.findall(f".//{ATOM}link") == []
        assert not feedparser.parse(files[address]).bozo


def test_links_of_feeds_are_whole(site_of: Build) -> None:
    """With a web address each entry leads to the page of its animal."""
    files = site_of({**ROOM, "collection.yaml": f"web_address: {WEB}\n"})
    found = feedparser.parse(files["changes/feed.xml"])
    assert [entry.link for entry in found.entries] == [f"{WEB}animals/M-01/"] * 2
    assert found.feed.links[0].href == f"{WEB}changes/feed.xml"


def test_ids_never_change(site_of: Build) -> None:
    """Not with a web address, a new name or id, a corrected figure, or later clutches: a reader shows nothing twice."""
    before = site_of(ROOM)
    renamed = {name: text.replace("M-01", "Moss-1") for name, text in ROOM.items()}
    renamed["animals/all.yaml"] = renamed["animals/all.yaml"].replace("name: Moss,", "name: Mossy, was: [M-01],")
    later = site_of(
        {
            **renamed,
            "animals/all.yaml": renamed["animals/all.yaml"].replace("66%", "50%"),
            "clutches/C25-01.yaml": PROOF.replace("C24", "C25").replace("2024", "2025"),
            "collection.yaml": f"web_address: {WEB}\n",
        }
    )
    for address in ("changes/feed.xml", "clutches/C23-01/feed.xml", "clutches/C24-01/feed.xml"):
        assert set(ids(before[address])) <= set(ids(later[address])), address
        assert feedparser.parse(before[address]).feed.id == feedparser.parse(later[address]).feed.id


def test_a_collection_without_any_date_has_a_feed_all_the_same(site_of: Build) -> None:
    """`updated` must stand; no clock is read."""
    files = site_of({"animals/all.yaml": "- {id: F-01, sex: female, shows: normal}\n"})
    found = feedparser.parse(files["changes/feed.xml"])
    assert (found.entries, found.feed.updated) == ([], "1970-01-01T00:00:00Z")


# Pages


def test_the_page_of_changes_has_every_change(demo: Told, demo_files: Files) -> None:
    """As many as there are, each with its animal, and the feed beside."""
    page = BeautifulSoup(demo_files["changes/index.html"], "lxml")
    corrected = sum(len(animal.corrections) for animal in demo.book.collection.animals.values())
    assert len(page.select(".change")) == len(demo.book.past.changes.newest_first) + corrected > 20
    assert page.select_one('link[type="application/atom+xml"]') is not None


def test_each_step_drawing_says_what_it_shows(demo_files: Files) -> None:
    """The same in words for who cannot see it, with every percentage that is drawn."""
    page = BeautifulSoup(demo_files["animals/M-03/index.html"], "lxml")
    figure = page.select_one(".steps")
    assert isinstance(figure, Tag)
    told = figure.find("desc")
    assert isinstance(told, Tag)
    assert [part in told.get_text() for part in ("66%", "47%", "31 Jul 2023", "1 Jul 2024")] == [True] * 4


def stamped(folder: Path, *days: date) -> None:
    for day in days:
        book = open_book(folder, until=day).book
        assert book is not None
        stamp(folder, book.collection, book.statements, day)


@pytest.fixture
def room(tmp_path: Path) -> Path:
    """A room with a web address whose statements were dated twice."""
    for name, text in {**ROOM, "collection.yaml": f"{SETTINGS}web_address: {WEB}\n"}.items():
        path = tmp_path / "room" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    stamped(tmp_path / "room", date(2023, 12, 1), date(2024, 12, 1))
    return tmp_path / "room"


def texts(files: Files, address: str, selector: str) -> list[str]:
    return [" ".join(found.get_text().split()) for found in BeautifulSoup(files[address], "lxml").select(selector)]


def test_the_page_of_an_animal_shows_its_dated_records(room: Path) -> None:
    """Newest first: the day, the short code, what was said, and that it still comes out the same."""
    told = tell(room)
    codes = [row.record.short_code for row in reversed(told.book.past.dated["M-01"])]
    same = "Our records give the same for that day today."
    assert texts(told.files(), "animals/M-01/index.html", ".dated li") == [
        f"1 December 2024, short code {codes[0]}: normal; het Piebald.{same}",
        f"1 December 2023, short code {codes[1]}: normal; 50% possible het Piebald.{same}",
    ]


def test_a_page_says_when_a_past_statement_no_longer_follows(room: Path) -> None:
    """After the claim was edited."""
    file = room / "animals/all.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("66%", "50%"), encoding="utf-8")
    said = texts(tell(room).files(), "animals/M-01/index.html", ".dated .differs .dated-today")
    assert said == [
        "Records or settings were added or edited since; by them we would now state something else for that day."
    ]


def test_dated_records_after_the_day_of_a_build_are_left_out(room: Path) -> None:
    """`--as-of` shows the ledger as it stood."""
    book = open_book(room, until=date(2024, 1, 1)).book
    assert book is not None
    assert [row.record.on for row in book.past.dated["M-01"]] == [date(2023, 12, 1)]


# Cards


def test_a_card_carries_the_code_of_its_statement(room: Path) -> None:
    """The first eight characters of the digest in statement.json, and the digest of its line in the ledger."""
    told = tell(room)
    card = BeautifulSoup(told.files()["clutches/C24-01/card.html"], "lxml")
    record = told.book.ledger.of("C24-01-1")[-1]
    assert [code.get_text() for code in card.select(".sheet-dated .code")] == [
        digest_of(told.statements.animals["C24-01-1"]).removeprefix("sha256:")[:8],
        " ".join(re.findall("." * 8, record.line.removeprefix("sha256:"))),
    ]


def test_a_statement_that_was_not_dated_has_no_code(site_of: Build) -> None:
    """A card never borrows the code of an older statement."""
    said = texts(site_of(ROOM), "clutches/C24-01/card.html", ".sheet-dated")
    assert len(said) == 1
    assert said[0].startswith("This statement is not dated yet, and so has no code.")


def test_a_card_after_a_renaming_says_only_when_the_last_record_was_dated(room: Path) -> None:
    """What was said is the same by the dated record, so the card cannot claim that it said something else."""
    file = room / "animals/all.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("id: F-09", "id: K-9, was: F-09"), encoding="utf-8")
    (said,) = texts(tell(room).files(), "animals/K-9/card.html", ".sheet-dated")
    day = day_words.day(tell(room).book.ledger.of("F-09")[-1].on)
    assert said.startswith(f"This statement is not dated yet, and so has no code; the last dated record is of {day}.")


def test_the_square_code_holds_the_link_of_the_animal(room: Path, site_of: Build) -> None:
    """Only with a web address; drawn without a style of its own, dark on light in every scheme."""
    files = tell(room).files()
    card = BeautifulSoup(files["clutches/C24-01/card.html"], "lxml")
    code = card.select("svg.qr")[0]
    assert code.get_text() == f"Square code of {WEB}animals/{card.select('.sheet')[0]['id']}/"
    assert [path.get("fill") or path.get("stroke") for path in code.select("path")] == ["#fff", "#000"]
    assert not BeautifulSoup(site_of(ROOM)["clutches/C24-01/card.html"], "lxml").select(".qr")


def test_an_animal_for_sale_from_no_clutch_has_its_own_card(site_of: Build) -> None:
    """F-09 is for sale; the breeders that stay have none."""
    files = site_of(ROOM)
    assert [address for address in files if re.fullmatch(r"animals/[^/]+/card.html", address)] == [
        "animals/F-09/card.html"
    ]


def test_a_card_says_how_many_copies_a_test_found_of_what_the_look_cannot_count(site_of: Build) -> None:
    tested = (
        "- {id: M-07, hatched: 2024, sex: male, shows: [Pinstripe], status: available,"
        " tests: [{on: 2026-01-05, trait: Pinstripe, copies: 2}]}\n"
    )
    card = BeautifulSoup(site_of({"animals/all.yaml": tested})["animals/M-07/card.html"], "lxml")
    assert card.select(".sheet-said dd")[0].get_text() == "Pinstripe. Two copies of Pinstripe."


def test_the_changes_of_about_a_day_stand_under_a_heading_of_their_own(site_of: Build) -> None:
    about = PROOF.replace("hatched: 2024-07-01", "hatched: about 2024-07")
    page = BeautifulSoup(site_of({**ROOM, "clutches/C24-01.yaml": about})["changes/index.html"], "lxml")
    assert "About July 2024" in [heading.get_text() for heading in page.select("h2")]


def test_what_left_or_stays_has_no_card(room: Path) -> None:
    """A card goes with an animal at hand-over. Once the last of a clutch has left, nothing links to one."""
    clutch = room / "clutches/C24-01.yaml"
    written = clutch.read_text(encoding="utf-8")
    before = tell(room).files()
    assert "card.html" in before["clutches/C24-01/index.html"].decode()
    for status in ("left: {on: 2024-10-01, how: sold}", "status: holdback"):
        clutch.write_text(written.replace("{id: C24-01-1,", "{id: C24-01-1, " + status + ","), encoding="utf-8")
        files = tell(room).files()
        assert "clutches/C24-01/card.html" not in files
        pages = (files[f"{page}/index.html"].decode() for page in ("clutches/C24-01", "animals/C24-01-1"))
        assert not any("card.html" in page for page in pages), status


def test_young_that_left_are_links_only_where_they_have_pages(site_of: Build) -> None:
    gone = PROOF.replace("shows: Piebald", "shows: Piebald, left: {on: 2024-10-01, how: sold}")
    named = gone.replace("shows: Piebald", "shows: Piebald, publish: name only")
    for clutch, linked in ((gone, True), (named, False)):
        files = site_of({**ROOM, "clutches/C24-01.yaml": clutch})
        assert texts(files, "clutches/C24-01/index.html", ".others") == ["Sold: C24-01-1."]
        assert bool(texts(files, "clutches/C24-01/index.html", ".others a")) == linked
        assert ("animals/C24-01-1/index.html" in files) == linked


def pages_in(pdf: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


WORST = """\
- {id: M-01, name: Bartholomew, sex: male, hatched: 2020-06-01, shows: [Piebald, Clown, Lavender Albino, Ultramel, Pastel, Spider]}
- {id: F-01, name: Wilhelmina, sex: female, hatched: 2020-07-01, shows: [Desert Ghost, Tri-Stripe, Enchi, Pinstripe, Mojave], claims: \
{Albino: 66%, Genetic Stripe: 50%, Sunset: 50%}}
"""
WORST_CLUTCH = """\
id: C24-01
sire: M-01
dam: F-01
eggs: 2
hatched: 2024-07-01
young:
  - {id: C24-01-1, name: Maximiliana, sex: female, sexed: {how: probed}, shows: [Spider, Pastel, Enchi, Pinstripe, Mojave]}
  - {id: C24-01-2, sex: male, shows: normal}
"""


@pytest.mark.browser
def test_every_card_prints_on_one_page(
    chromium: Browser, demo_site: Path, site_of: Build, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """All cards of the demo, and one of an animal with as much to say as there can well be, on both sizes of paper."""
    worst = tmp_path_factory.mktemp("worst") / "site"
    law = "law:\n" + "".join(f"  - {'A long line about papers and licences. ' * 4}\n" for _ in range(3))
    publish(
        Wanted(
            site_of(
                {
                    "animals/all.yaml": WORST,
                    "clutches/C24-01.yaml": WORST_CLUTCH,
                    "collection.yaml": f"web_address: {WEB}\n{law}",
                }
            )
        ),
        worst,
    )
    cards = [*sorted(demo_site.glob("*/*/card.html")), worst / "clutches/C24-01/card.html"]
    assert len(cards) > 10
    page = chromium.new_page()
    for card in cards:
        page.goto(card.as_uri())
        sheets = page.locator(".sheet").count()
        assert [pages_in(page.pdf(format=paper)) for paper in ("A4", "Letter")] == [sheets, sheets], card
    page.close()


@pytest.mark.browser
def test_the_card_of_one_animal_prints_alone(chromium: Browser, demo_site: Path) -> None:
    """Opened by its own link a card is shown, and printed, without those of its siblings."""
    page = chromium.new_page()
    page.goto(f"{(demo_site / 'clutches/C26-01/card.html').as_uri()}#C26-01-2")
    assert page.locator(".sheet:visible").count() == 1
    assert pages_in(page.pdf(format="A4")) == 1
    page.close()


def test_which_of_several_pairs_a_look_has_by_a_word_alone_says_so_on_page_and_card(site_of: Build) -> None:
    said = "- {id: F-7, hatched: 2024, sex: female, shows: [Blue-eyed Leucistic], status: available, claims: {Mojave: 100%}}\n"
    files = site_of({"animals/all.yaml": said})
    for page in ("animals/F-7/index.html", "animals/F-7/card.html"):
        text = BeautifulSoup(files[page], "lxml").get_text(" ", strip=True)
        assert "Blue-eyed Leucistic (Mojave), on the seller" in " ".join(text.split()), page
