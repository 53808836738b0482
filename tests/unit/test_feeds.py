"""What feeds hold of names that look like markup, and of more changes than they list."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

import pytest
from lxml import etree
from tests.rooms import FAMILY, FAMILY_ANIMALS, FAMILY_SETTINGS

from clutchlight.pipeline import public_files
from clutchlight.publishing.building_again import LastBuild
from clutchlight.site import addresses
from clutchlight.site.files import _for_robots, changes_against, to_bytes

ATOM = "{http://www.w3.org/2005/Atom}"
CALLED = """Salt & <i>Pepper</i> "O'Neil" ]]> &amp;"""


def quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def texts(parent: etree._Element, name: str) -> list[str]:
    return [str(found.text) for found in parent.iter(f"{ATOM}{name}")]


def test_names_and_addresses_that_look_like_markup_are_texts_in_a_feed(tmp_path: Path) -> None:
    """The collection's, an animal's, a clutch's and a test's; ampersand and quotes of an address in links."""
    web = """https://example.org/a&b'c"d/"""
    tested = f"66%}}, tests: [{{trait: Piebald, copies: 1, on: 2026-01-02, error: 5%, by: {quoted(CALLED)}}}]}}"
    files = {
        "collection.yaml": FAMILY_SETTINGS.replace("Test Room", quoted(CALLED)) + f"web_address: {quoted(web)}\n",
        "animals/all.yaml": FAMILY_ANIMALS.replace("{id: F-01,", f"{{id: F-01, name: {quoted(CALLED)},").replace(
            "66%}}", tested
        ),
        "clutches/more.yaml": f"- {{id: C30-01, name: {quoted(CALLED)}, sire: M-02, dam: F-01, laid: 2026-09-01, eggs: 4}}\n",
    }
    found = FAMILY.site(tmp_path, files)
    changes, clutch = (etree.fromstring(found[name]) for name in ("changes/feed.xml", "clutches/C30-01/feed.xml"))
    assert texts(changes, "title")[0] == f"{CALLED}: what changed"
    assert texts(changes, "name") == [CALLED]
    entries = list(changes.iter(f"{ATOM}entry"))
    assert any(CALLED in texts(entry, "title")[0] for entry in entries)
    assert any(CALLED in texts(entry, "content")[0] for entry in entries)
    assert texts(clutch, "title")[0] == f"{CALLED}: {CALLED} (C30-01)"
    links = [link.get("href") for link in changes.findall(f"{ATOM}link")]
    assert links == [f"{web}changes/feed.xml", f"{web}changes/"]
    assert all(str(link.get("href")).startswith(web) for link in changes.iter(f"{ATOM}link"))
    for feed in (changes, clutch):
        assert not list(feed.iter("i", f"{ATOM}i"))


def test_an_address_that_looks_like_markup_is_text_in_the_list_of_pages() -> None:
    """The web address is whatever somebody wrote."""
    sitemap = dict(_for_robots("https://example.org/a&b<c>/", ["index.html"]))["sitemap.xml"]
    assert [one.text for one in etree.fromstring(sitemap).iter("{*}loc")] == ["https://example.org/a&b<c>/"]


def test_of_more_than_a_hundred_changes_the_newest_stand_in_the_feed(tmp_path: Path) -> None:
    """The page of changes has them all, in the same order; one day later than all others comes first."""
    young = ", ".join(f"{number} normal" for number in range(1, 14))
    clutches = "".join(
        f"- {{id: C25-{number:02d}, sire: M-02, dam: F-01, laid: 2025-05-{number:02d}, eggs: 13, hatched: 2025-07-{number:02d}, "
        f"young: [{young}]}}\n"
        for number in range(1, 10)
    )
    late = "{id: M-03, corrections: [{on: 2026-09-01, key: hatched, was: 2024, because: a slip}],"
    animals = FAMILY_ANIMALS.replace("{id: M-03,", late)
    found = FAMILY.site(tmp_path, {"clutches/old.yaml": clutches, "animals/all.yaml": animals})
    entries = list(etree.fromstring(found["changes/feed.xml"]).iter(f"{ATOM}entry"))
    days = [texts(entry, "updated")[0] for entry in entries]
    assert len(entries) == 100
    assert days == sorted(days, reverse=True)
    assert [day[:10] for day in days] == ["2026-09-01", *["2026-07-13"] * 99]
    assert found["changes/index.html"].count(b"C25-") > 100
    assert texts(etree.fromstring(found["changes/feed.xml"]), "updated")[0] == days[0]


def test_what_is_offered_is_told_of_animals_never_looked_at_too(tmp_path: Path) -> None:
    """Without looks, not without a line; a pedigree lists by id whatever file an animal stands in."""
    files = {
        "animals/zz.yaml": "- {id: A-01, sex: male, status: available, price: 90}\n"
        "- {id: A-02, sex: unknown, shows: normal, status: available}\n"
    }
    found = FAMILY.site(tmp_path, files)
    offered = {one["id"]: one["looks"] for one in json.loads(found["open/availability.json"])["animals"]}
    assert (offered["A-01"], offered["A-02"], offered["C26-01-3"]) == (None, [], ["Piebald"])
    pedigree = found["open/pedigree.ped"].decode()
    ids = [line.split()[1] for line in pedigree.splitlines()[1:]]
    assert ids == sorted(ids)
    assert ids[:2] == ["A-01", "A-02"]


def test_an_entry_keeps_its_id_when_its_animal_is_renamed(tmp_path: Path) -> None:
    """By the first id that it had."""
    later = FAMILY_ANIMALS.replace("{id: F-01,", "{id: F-77, was: F-01,")
    before, after = (
        texts(etree.fromstring(FAMILY.site(tmp_path / name, files)["changes/feed.xml"]), "id")
        for name, files in (("a", {}), ("b", {"animals/all.yaml": later}))
    )
    assert before == after
    assert len(before) > 1


def test_what_stood_at_the_address_of_an_earlier_id_stands_there_still(tmp_path: Path) -> None:
    """The statements of an animal and of a clutch, and the feed of a clutch, which keeps its ids."""
    animals = FAMILY_ANIMALS.replace("{id: F-01,", "{id: F-77, was: F-01,")
    clutch = (
        str(FAMILY.base["clutches/C26-01.md"]).replace("id: C26-01\n", "id: N-1\nwas: C26-01\n").replace("F-01", "F-77")
    )
    before = FAMILY.site(tmp_path / "b", {})
    after = FAMILY.site(tmp_path / "c", {"animals/all.yaml": animals, "clutches/C26-01.md": clutch})
    for old, new in (("animals/F-01", "animals/F-77"), ("clutches/C26-01", "clutches/N-1")):
        assert after[f"{old}/statement.json"] == after[f"{new}/statement.json"]
    feeds = (before["clutches/C26-01/feed.xml"], after["clutches/C26-01/feed.xml"], after["clutches/N-1/feed.xml"])
    first, *later = (texts(etree.fromstring(feed), "id") for feed in feeds)
    assert later == [first, first]
    changed = changes_against({"animals/F-01/statement.json": b'{"traits": []}'}.get, after)
    assert changed == ()


def test_what_happened_to_a_clutch_is_told_newest_first(tmp_path: Path) -> None:
    """What its young proved comes before the day that it was laid, and what one of them proved later before both."""
    later = (
        "- {id: C27-01, sire: M-02, dam: C26-01-4, laid: 2027-05-01, eggs: 1, hatched: 2027-07-01, young: [1 Albino]}\n"
    )
    found = etree.fromstring(FAMILY.site(tmp_path, {"clutches/later.yaml": later})["clutches/C26-01/feed.xml"])
    days = [texts(entry, "updated")[0][:10] for entry in found.iter(f"{ATOM}entry")]
    assert days == sorted(days, reverse=True)
    assert days[0] == "2027-07-01"
    assert days[-1] == "2026-05-16"


def test_open_data_can_be_read_by_people() -> None:
    """Letters stand as they were written; a list of objects has a line for each, any other list has one line."""
    text = to_bytes({"name": "Süd", "animals": [{"id": "Ä-1"}, {"id": "B"}], "tags": ["a", "b"], "none": []}).decode()
    assert text == (
        '{\n "name": "Süd",\n "animals": [\n  {"id": "Ä-1"},\n  {"id": "B"}\n ],\n "tags": ["a", "b"],\n "none": []\n}\n'
    )


def test_a_pedigree_names_a_sire_only_where_there_is_one(tmp_path: Path) -> None:
    """Of two possible sires neither is its father; nor is one who may not be named."""
    doubt = "- {id: C30-01, sire: [M-01, M-02], dam: F-01, laid: 2026-05-01, eggs: 1, hatched: 2026-07-01, young: [1 normal]}\n"
    rows = [
        line.split()
        for line in FAMILY.site(tmp_path, {"clutches/doubt.yaml": doubt})["open/pedigree.ped"].decode().splitlines()
    ]
    parents = {row[1]: row[2:5] for row in rows}
    assert parents["C26-01-1"] == ["M-01", "F-01", "2"]
    assert parents["C30-01-1"] == ["0", "F-01", "0"]
    assert parents["M-01"] == ["0", "0", "1"]


def test_a_correction_keeps_its_id_through_two_names(tmp_path: Path) -> None:
    """By the first of all the ids that its animal had."""
    fixed = "corrections: [{on: 2026-02-01, key: hatched, was: 2018, because: a slip}]"
    once, twice = (
        FAMILY_ANIMALS.replace("{id: F-01,", f"{{id: {name}, {was}{fixed},").replace("dam: F-01", f"dam: {name}")
        for name, was in (("F-01", ""), ("F-77", "was: [F-01, F-66], "))
    )
    before, after = (
        texts(etree.fromstring(FAMILY.site(tmp_path / str(n), {"animals/all.yaml": files})["changes/feed.xml"]), "id")
        for n, files in enumerate((once, twice))
    )
    assert before == after


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ({"Clown": ("1/2", "50% het")}, {"Clown": ("1/2", "50% het")}, []),
        ({"Clown": ("1/2", "50% het")}, {"Clown": ("1", "het Clown")}, ["A-1: 50% het → het Clown"]),
        ({}, {"Clown": ("1", "het Clown")}, ["A-1: nothing said of Clown → het Clown"]),
        ({"Clown": ("1", "het Clown")}, {}, ["A-1: het Clown → nothing that counts speaks for Clown any more"]),
        ({"Clown": ("1/2", "50%")}, {"Clown": ("101/200", "50%")}, ["A-1: 50% (exactly 1/2) → 50% (exactly 101/200)"]),
        (
            {name: ("1", name) for name in "ZYXWVU"},
            {name: ("1", name) for name in "CBA"},
            [
                *(f"A-1: nothing said of {name} → {name}" for name in "ABC"),
                *(f"A-1: {name} → nothing that counts speaks for {name} any more" for name in "UVWXYZ"),
            ],
        ),
    ],
)
def test_what_a_build_changes_is_told_trait_by_trait(
    before: Mapping[str, tuple[str, str]], after: Mapping[str, tuple[str, str]], said: list[str]
) -> None:
    """By name; labels that read alike with their exact chances; of an animal with a page before and after alone."""
    old, new = (
        to_bytes(
            {"traits": [{"trait": name, "carries": carries, "label": label} for name, (carries, label) in rows.items()]}
        )
        for rows in (before, after)
    )
    address = addresses.animal_statement("A-1")
    assert [str(change) for change in changes_against({address: old}.get, {address: new})] == said
    assert changes_against(lambda _: None, {address: new}) == ()
    assert changes_against({address: old}.get, {"index.html": new}) == ()


def test_robots_are_told_every_address_as_markup_has_it(tmp_path: Path) -> None:
    """An address of the web may hold an ampersand and quotes, which a map of the site has to escape."""
    web = "https://example.org/a&b/"
    found = FAMILY.site(tmp_path, {"collection.yaml": f"{FAMILY_SETTINGS}web_address: '{web}'\n"})
    locations = [str(one.text) for one in etree.fromstring(found["sitemap.xml"]).iter("{*}loc")]
    assert f"{web}animals/F-01/" in locations
    assert all(one.startswith(web) for one in locations)
    files = [f"{one}index.html" for one in locations]
    assert files == sorted(files)


def test_each_picture_of_links_is_asked_for_once(tmp_path: Path) -> None:
    """Pages without one of their own share that of the site."""
    book = FAMILY.book(tmp_path, {"collection.yaml": f"{FAMILY_SETTINGS}web_address: https://example.org/\n"})
    pictures: list[str] = []

    class Asked(LastBuild):
        def read(self, address: str) -> bytes | None:
            if "-link." in address:
                pictures.append(address)
            return super().read(address)

    public_files(book, Asked(tmp_path, tmp_path / "site"))
    assert pictures
    assert len(pictures) == len(set(pictures))


def test_a_correction_stands_record_by_record_between_what_came_before_and_after(tmp_path: Path) -> None:
    """M-01 was corrected after it hatched and before its clutch did, and again on that day, behind the hatching."""
    again = "{on: 2026-07-13, key: hatched, was: 2020-07-02, because: misread}"
    corrected = f"corrections: [{{on: 2026-03-05, key: sex, was: female, because: re-probed}}, {again}]"
    animals = str(FAMILY.base["animals/all.yaml"]).replace("shows: Piebald,", f"shows: Piebald, {corrected},")
    page = FAMILY.page(tmp_path, {"animals/all.yaml": animals}, "animals/M-01/index.html")
    rows = page[page.index("## Record by record") :]
    at = rows.index("Our record was corrected: from sex female to sex male.")
    assert rows[at - 1] == "- 5 March 2026"
    hatched = rows.index("Clutch C26-01 hatched: four hatchlings.")
    assert rows.index("Hatched.") < at < hatched
    assert any(row.startswith("Our record was corrected: from hatched ") for row in rows[hatched:])
