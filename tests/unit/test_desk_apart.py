"""The desk and the site stay apart: what is written in private places reaches no public file, and no public page knows of the desk."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest
from tests.rooms import BARE, site_of

from clutchlight import shipped
from clutchlight.desk import desk_files
from clutchlight.pipeline import Book
from clutchlight.problems import RecordsError
from clutchlight.publishing.folders import publish
from clutchlight.publishing.manifest import Wanted
from clutchlight.site.theme import load_theme

Files = Mapping[str, bytes]
DAY = date(2026, 11, 25)

RECORDS: Mapping[str, str] = {
    "collection.yaml": """# zqcomment0
format: 1
name: Test room
collection_id: 5f0c5c1e-3b1f-4f0a-9a53-6c2e8f41b7d9
species: [ball-python]
contact: {mail: room@example.org}
currency: EUR
season: {male: {rest_days: 77331}}
private: {insurance: zqprivate0}
""",
    "animals/all.yaml": """# zqcomment1
- {id: M-01, sex: male, hatched: 2020-07-01, shows: Piebald, status: breeder, name: Roan}
- {id: M-02, sex: male, hatched: 2020-07-01, shows: Clown, status: breeder, name: Zqbackup, publish: no}
- {id: M-03, sex: male, hatched: 2020-07-01, shows: normal, status: breeder, name: Zqmale, publish: no}
- id: F-01
  sex: female
  hatched: 2019-07-01
  shows: normal
  status: breeder
  claims: {Piebald: 66%}
  private: {bought_from: zqprivate1, paid: 77101, shared: {with: zqpartner, split: zqsplit, since: 2025-01-01}}
""",
    "animals/F-02.md": """---
id: F-02
sex: female
hatched: 2019-07-01
shows: normal
status: breeder
private: {permits: zqprivate2}
---
A calm one. <!-- zqprose1 --> She eats.

<!--
zqprose2 over
several lines
-->
""",
    "clutches/C26-01.md": """---
id: C26-01
sire: M-01
dam: F-01
laid: 2026-05-16
eggs: 3
hatched: 2026-07-13
private: {note: zqprivate3}
young:
  - {id: C26-01-1, sex: female, shows: normal, status: available, price: 100}
  - {id: C26-01-2, sex: male, shows: normal, private: {note: zqprivate4}}
  - {id: C26-01-3, sex: male, shows: Piebald, status: holdback}
---
All hatched. <!-- zqprose3
""",
    "pages/about.md": "---\ntitle: About\n---\nHello. <!-- zqprose4 --> Welcome.\n",
    "season/2026.yaml": """# zqcomment2
- {female: F-01, males: [M-01], backup: M-02, from: 2026-10-03, until: 2027-03-29, want: [Clown], purpose: prove,
   public: yes, note: zqseason1}
- {female: F-02, males: [M-01], public: no, note: zqseason2}
- {female: F-02, males: [M-03], public: yes, note: zqseason3}
- {female: F-01, males: [M-03], result: zqseason4, public: yes}
""",
    "log/2026.csv": """date,animal,event,with,value,note
2026-10-01,M-01,weight,,77201,zqlog1
2026-10-02,M-01,meal,,zqrat,zqlog2
2026-10-05,F-02,shed,,zqshed,zqlog3
2026-10-20,M-01,paired,F-01,,zqlog4
2026-10-21,M-01,lock,F-01,,zqlog5
2026-10-25,F-01,treatment,,zqtreatment,zqlog6
2026-11-01,F-01,note,,,zqlog7
2026-11-02,C26-01-1,quarantine,,zqquarantine,zqlog8
""",
    "sales/2026.yaml": """# zqcomment3
- animals: [C26-01-2]
  buyer: zqbuyer1
  agreed: 77301
  deposit: 77302
  payments: [{on: 2026-08-01, amount: 77303}]
  handed_over: 2026-09-01
  how: zqhow
  terms: zqterms1
  told: [{on: 2026-10-01, about: zqtold}]
- {animals: [C26-01-1], buyer: zqbuyer2, agreed: 77304, held: 2026-10-01, until: 2026-12-24, terms: zqterms2, note: zqnote}
""",
}

NUMBERS = ("77101", "77301", "77302", "77303", "77304", "77331")
OPTED = ("77201",)


def book_of(folder: Path, settings: str = "") -> Book:
    return BARE.book(folder, {**RECORDS, "collection.yaml": RECORDS["collection.yaml"] + settings})


def holding(files: Files, *secrets: str) -> list[tuple[str, str]]:
    """Which files hold which of the secrets, in their content or their address, whatever the case."""
    return [
        (address, secret)
        for address, content in files.items()
        for secret in secrets
        if secret in content.decode("utf-8", "replace").casefold() or secret in address.casefold()
    ]


@pytest.mark.parametrize("settings", ["", "publish_from_log: [weight, meals, sheds]\n"], ids=["nothing", "opted in"])
def test_no_private_place_reaches_a_public_file(tmp_path: Path, settings: str) -> None:
    """Season, log, sales, `private:`, comments of YAML and of Markdown, an unlisted male: nothing, with and without opting in."""
    files = site_of(book_of(tmp_path, settings))
    assert "plans/F-01/M-01/index.html" in files
    assert holding(files, "zq", *NUMBERS) == []


def test_only_what_is_opted_in_leaves_the_log(tmp_path: Path) -> None:
    """The weight, the last meal and the last shed, on the animal's own page; without opting in none of it."""
    opted = site_of(book_of(tmp_path / "opted", "publish_from_log: [weight, meals, sheds]\n"))
    assert holding(opted, *OPTED) == [("animals/M-01/index.html", "77201")]
    assert b"Last meal noted" in opted["animals/M-01/index.html"]
    assert b"Last shed noted" in opted["animals/F-02/index.html"]
    for row, told in (("2026-11-01,M-01,weight,,77300,\n", True), ("2026-11-02,M-01,weight,,77300,\n", False)):
        later = {**RECORDS, "log/2026.csv": RECORDS["log/2026.csv"] + row}
        later["collection.yaml"] += "publish_from_log: [weight, meals]\n"
        page = site_of(BARE.book(tmp_path / row[:10], later))["animals/M-01/index.html"]
        assert (b"Last meal noted" in page) == told, "told for 30 days"
    silent = site_of(book_of(tmp_path / "silent"))
    assert holding(silent, *OPTED, "last meal", "last shed") == []


def test_the_secrets_are_on_the_desk(tmp_path: Path) -> None:
    """The same words do reach the private side, so that the tests above can fail."""
    desk = desk_files(book_of(tmp_path), load_theme("paper", [shipped.themes()]), DAY)
    for secret in ("zqbackup", "zqseason1", "zqseason2", "zqbuyer2", "zqterms2", "zqlog4", "77201"):
        assert holding(desk, secret), secret


def test_a_public_plan_gives_its_pair_and_its_odds_alone(tmp_path: Path) -> None:
    """No trait that is wanted, no backup, no day, no purpose; a plan with an unlisted male has no page."""
    files = site_of(book_of(tmp_path))
    assert [address for address in files if address.startswith("plans/")] == [
        "plans/F-01/M-01/index.html",
        "plans/index.html",
    ]
    page = files["plans/F-01/M-01/index.html"].decode()
    assert "Planned, 2026/27" in page
    for private in ("Clown", "prove ", "October", "March", "M-02", "backup"):
        assert private not in page
    assert holding(files, "m-02", "m-03") == []


def test_no_public_file_knows_of_the_desk(tmp_path: Path) -> None:
    """No link leads there, and no word says that it exists."""
    files = site_of(book_of(tmp_path))
    assert holding(files, "private desk", "phone.html", "room-sheet", "desk.css") == []


def test_the_desk_is_never_published_as_a_site_nor_a_site_as_the_desk(tmp_path: Path) -> None:
    """A folder that holds the one is refused for the other, and neither lies inside the other."""
    book = book_of(tmp_path / "records")
    desk = desk_files(book, load_theme("paper", [shipped.themes()]), DAY)
    site = site_of(book)
    publish(Wanted(desk), tmp_path / "desk", kind="desk")
    publish(Wanted(site), tmp_path / "site")
    for files, folder, kind in ((site, "desk", "site"), (desk, "site", "desk")):
        with pytest.raises(RecordsError, match="holds a"):
            publish(Wanted(files), tmp_path / folder, kind=kind)
    for folder in ("site", "site/desk"):
        with pytest.raises(RecordsError, match="must lie apart"):
            publish(Wanted(desk), tmp_path / folder, desk=tmp_path / "site", kind="desk")
