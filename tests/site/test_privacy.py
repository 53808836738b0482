"""What the public site never says: anything private, and anything about an animal that may not be shown."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping

import pytest
from jsonschema import Draft202012Validator

Files = Mapping[str, bytes]
Build = Callable[[Mapping[str, str]], Files]

ANIMALS = """- {id: M-01, sex: male, name: Roan, shows: [Piebald], status: breeder}
- {id: M-77, sex: male, name: Hidden, shows: [Piebald], status: breeder, publish: no}
- {id: M-78, sex: male, name: Listed, shows: [Clown], status: elsewhere, publish: name only}
- id: F-03
  name: Plum
  sex: female
  shows: normal
  claims: {Clown: {chance: 100%, from: "the seller"}}
  status: breeder
  private: {bought_from: "SECRET Bell", paid: 9731}
- {id: F-04, sex: female, shows: normal, sire: M-77, dam: F-03, status: breeder}
"""
CLUTCHES = """- id: C24-01
  sire: M-77
  dam: F-03
  laid: 2024-05-01
  eggs: 3
  hatched: 2024-07-01
  private: {note: "SECRET plan"}
  young:
    - {id: C24-01-1, sex: male, shows: normal, status: available, price: 100}
    - {id: C24-01-2, sex: female, shows: normal, publish: no}
    - {id: C24-01-3, sex: female, shows: normal, publish: name only}
- id: C24-02
  sire: [M-77, M-78]
  dam: F-04
  laid: 2024-05-01
  eggs: 1
  hatched: 2024-07-01
  young:
    - {id: C24-02-1, sex: male, shows: normal, status: sold}
"""
PROSE = """---
id: F-09
sex: female
shows: normal
---
A calm one. <!-- SECRET: promised to A. Bell -->
"""
PAGE = """---
title: About
---
Hello. <!-- SECRET cellar -->
"""


@pytest.fixture
def site(site_of: Build) -> Files:
    return site_of(
        {
            "animals/all.yaml": ANIMALS,
            "animals/F-09.md": PROSE,
            "clutches/all.yaml": CLUTCHES,
            "pages/about.md": PAGE,
            "log/2024.csv": "date,animal,event,with,value,note\n2024-06-01,F-03,weight,,1650,SECRET log\n",
            "sales/2024.yaml": "- {animals: [C24-02-1], buyer: SECRET buyer, handed_over: 2024-09-01}\n",
            "season/2024.yaml": "- {female: F-03, males: [M-01], note: SECRET season}\n",
        }
    )


@pytest.mark.parametrize("secret", ["SECRET", "9731", "Bell", "1650"])
def test_nothing_private_is_in_any_file(site: Files, secret: str) -> None:
    """Not what stands under `private:`, in a comment, in the log, the sales or the season."""
    assert [address for address, content in site.items() if secret.encode() in content] == []


@pytest.mark.parametrize("name", ["M-77", "Hidden", "C24-01-2"])
def test_an_unlisted_animal_is_nowhere(site: Files, name: str) -> None:
    """No page, no file, and neither its id nor its name anywhere, drawings and data included."""
    found = [address for address, content in site.items() if name.encode() in content or name in address]
    assert found == []


@pytest.mark.parametrize(("key", "shown"), [("M-78", b"Listed (M-78)"), ("C24-01-3", b"C24-01-3")])
def test_an_animal_by_name_only_has_no_page(site: Files, key: str, shown: bytes) -> None:
    """It is named where its relatives or its clutch are, and links nowhere."""
    assert not any(f"animals/{key}/" in address for address in site)
    assert not any(f"animals/{key}/".encode() in content for content in site.values())
    assert any(shown in content for content in site.values())


def test_an_unlisted_parent_is_said_to_be_one(site: Files) -> None:
    """The page says that there is a parent, and that it is not listed."""
    assert b"n unlisted male" in site["clutches/C24-01/index.html"]


def test_the_open_pedigree_leaves_out_who_may_not_be_named(site: Files) -> None:
    """An unlisted parent is an unknown one there; one in doubt as well."""
    rows = {line.split()[1]: line.split() for line in site["open/pedigree.ped"].decode().splitlines() if line[0] != "#"}
    assert rows["C24-01-1"] == ["ball-python", "C24-01-1", "0", "F-03", "1", "-9"]
    assert rows["C24-02-1"] == ["ball-python", "C24-02-1", "0", "F-04", "1", "-9"]
    assert "M-77" not in rows


def test_availability_holds_what_is_offered_and_nothing_else(site: Files) -> None:
    """The animals available or on hold, with the same figures as their statements."""
    offers = json.loads(site["open/availability.json"])["animals"]
    assert [offer["id"] for offer in offers] == ["C24-01-1"]
    Draft202012Validator(json.loads(site["open/schema/availability.json"])).validate(
        json.loads(site["open/availability.json"])
    )
    assert offers[0]["price"] == {"amount": "100", "currency": "EUR"}
    assert offers[0]["certain"] == ["Piebald"]
    assert offers[0]["possible"] == [{"trait": "Clown", "carries": "1/2", "percent": 50}]


def test_without_a_web_address_nothing_is_absolute(site: Files) -> None:
    """No sitemap, no robots.txt, no canonical link: a folder has no address."""
    assert "sitemap.xml" not in site
    assert "robots.txt" not in site
    assert not any(b"canonical" in content for address, content in site.items() if address.endswith(".html"))
