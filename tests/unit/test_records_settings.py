"""collection.yaml and free pages: settings, their defaults, and what is offered when the lasting id is missing."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from tests.rooms import SETTINGS, good, md, problems, read, write


def test_every_setting_is_read(tmp_path: Path) -> None:
    """Each key of collection.yaml ends up where the model has it."""
    text = (
        SETTINGS
        + """contact: {mail: a@example.org, phone: 0123}
web_address: https://example.org/snakes/
theme: slate
thresholds: {mention_from: 1/8, doubt_below: 2%}
law: One line.
advert: [First., Second.]
publish_from_log: [weight, meals, weight]
season: {ball-python: {male: {rest_days: 4}}}
about: A room of snakes.
"""
    )
    found = good(tmp_path, {"collection.yaml": text}).settings
    assert (found.name, found.species, found.currency, found.theme) == (
        "Test Room",
        ("ball-python", "corn-snake"),
        "EUR",
        "slate",
    )
    assert dict(found.contact) == {"mail": "a@example.org", "phone": "0123"}
    assert found.web_address == "https://example.org/snakes/"
    assert (found.mention_from, found.doubt_below) == (Fraction(1, 8), Fraction(1, 50))
    assert (found.law, found.advert) == (("One line.",), ("First.", "Second."))
    assert found.publish_from_log == ("weight", "meals")
    assert found.about == "A room of snakes."


def test_thresholds_have_the_published_defaults(tmp_path: Path) -> None:
    """mention_from 1/16 and doubt_below 5 % (records#thresholds), each by itself."""
    found = good(tmp_path, {"collection.yaml": SETTINGS + "thresholds: {mention_from: 1/4}\n"}).settings
    assert (found.mention_from, found.doubt_below) == (Fraction(1, 4), Fraction(1, 20))


def test_one_species_needs_no_list(tmp_path: Path) -> None:
    """`species: corn-snake` is a list of one."""
    text = SETTINGS.replace("[ball-python, corn-snake]", "corn-snake")
    assert good(tmp_path, {"collection.yaml": text}).settings.species == ("corn-snake",)


def test_a_list_of_no_species_is_a_mistake(tmp_path: Path) -> None:
    settings = SETTINGS.replace("[ball-python, corn-snake]", "[]")
    assert problems(tmp_path, {"collection.yaml": settings}) == [("collection.yaml", 4, 10, "missing-key")]


def test_a_missing_collection_id_is_offered_and_the_offer_does_not_change(tmp_path: Path) -> None:
    """The same collection is offered the same id every time, and the id offered is taken."""
    text = SETTINGS.replace("collection_id: 3f6c2f0e-8b1d-4c52-9d4e-0a7b1c2d3e4f\n", "")
    messages = [read(tmp_path, {"collection.yaml": text}).problems[0].message for _ in range(2)]
    assert messages[0] == messages[1]
    offered = messages[0].split("`collection_id: ")[1].split("`")[0]
    assert good(tmp_path, {"collection.yaml": text + f"collection_id: {offered}\n"}).settings.collection_id == offered


@pytest.mark.parametrize(
    "text", ["example.org", "ftp://example.org/", "https://", "https://ex ample.org", "https://[", "mailto:a@b"]
)
def test_a_web_address_is_one(tmp_path: Path, text: str) -> None:
    """Only http and https addresses of a host can stand in links and feeds."""
    assert problems(tmp_path, {"collection.yaml": f"{SETTINGS}web_address: '{text}'\n"}) == [
        ("collection.yaml", 6, 14, "bad-address")
    ]


def test_a_free_page_has_a_title_and_prose(tmp_path: Path) -> None:
    """pages/NAME.md becomes a page called NAME."""
    (page,) = good(tmp_path, {"pages/about-us.md": md("title: About us", "We keep *snakes*.\n")}).pages
    assert (page.slug, page.title, page.prose) == ("about-us", "About us", "We keep *snakes*.")


def test_a_broken_collection_yaml_does_not_hide_other_mistakes(tmp_path: Path) -> None:
    """The rest is read all the same, by the species that can still be made out."""
    files = {
        "collection.yaml": SETTINGS.replace("currency: EUR", "curency: EUR"),
        "animals/F-01.md": md("id: F-01\nshows: Pastell"),
    }
    assert problems(tmp_path, files) == [
        ("animals/F-01.md", 3, 8, "unknown-look"),
        ("collection.yaml", 5, 1, "unknown-key"),
    ]


def test_the_order_of_files_on_disk_changes_nothing(tmp_path: Path) -> None:
    """Reading goes by names, so two folders with the same files give the same collection."""
    records = {f"animals/F-{number:02d}.md": md(f"id: F-{number:02d}") for number in range(9)}
    first = good(write(tmp_path / "a", records), {})
    second = good(write(tmp_path / "b", dict(reversed(records.items()))), {})
    assert first == second
