"""The drawing at the head of each species on the lineage page: how its breeding animals descend from each other."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

import pytest
from bs4 import BeautifulSoup, Tag

from clutchlight.site import drawings

Files = Mapping[str, bytes]
SiteOf = Callable[[Mapping[str, str]], Files]


def record(body: str) -> str:
    return f"---\n{body}\n---\n"


def young(name: str, of: str, more: str = "") -> str:
    return record(
        f"id: {name}\nsex: female\nstatus: breeder\nsire: M-01\ndam: {of}\nhatched: 2022\nshows: normal\n{more}"
    )


FAMILY = {
    "animals/M-01.md": record("id: M-01\nname: Moss\nsex: male\nstatus: breeder\nhatched: 2019\nshows: Piebald"),
    "animals/F-01.md": record("id: F-01\nsex: female\nstatus: breeder\nhatched: 2019\nshows: normal"),
    "animals/F-02.md": young("F-02", "F-01"),
    "animals/F-09.md": record("id: F-09\nname: Nobody\nsex: female\nstatus: breeder\nhatched: 2020\nshows: normal"),
}


def lines(files: Files) -> list[Tag]:
    """The section of each species."""
    return BeautifulSoup(files["lineage/index.html"], "lxml").select("section.line")


def drawn(line: Tag) -> list[str]:
    """What is said of each symbol."""
    return [str(symbol["aria-label"]) for symbol in line.select(".pedigree-animals > *")]


def test_breeding_animals_are_joined_to_their_parents(site_of: SiteOf) -> None:
    """One symbol each, with a link; its parents stand in the list below. One that nothing joins to another is in the list only."""
    (line,) = lines(site_of(FAMILY))
    assert drawn(line) == ["Moss, male, shows Piebald", "F-01, female", "F-02, female, carries Piebald"]
    (entry,) = [
        " ".join(entry.get_text(" ").split())
        for entry in line.select(".entry")
        if entry.h4 and "F-02" in entry.h4.get_text()
    ]
    assert "From Moss and F-01" in entry
    links = [link["href"] for link in line.select(".pedigree-animals a")]
    assert links == [f"../animals/{name}/index.html" for name in ("M-01", "F-01", "F-02")]
    assert "Nobody" in line.get_text()


def test_each_animal_brings_its_lines_and_rings_its_parents_and_young(site_of: SiteOf) -> None:
    """Hidden until it is pointed at. A ring stands where the other's symbol stands: Moss has one young, F-02 two parents."""
    (line,) = lines(site_of(FAMILY))
    at = {str(one["aria-label"]).split(",")[0]: one for one in line.select(".pedigree-follow")}
    place = {name: re.findall(r"\d+", str(one["transform"])) for name, one in at.items()}

    def rings(name: str) -> list[list[str]]:
        return sorted(
            [str(use["x"]), str(use["y"])] for use in at[name].select(".pedigree-kin[visibility=hidden] use[x]")
        )

    assert rings("Moss") == rings("F-01") == [place["F-02"]]
    assert rings("F-02") == sorted([place["Moss"], place["F-01"]])
    drawn_paths = {f"#{path['id']}" for path in line.select(".pedigree-lines path[id]")}
    for one in at.values():
        assert {str(use["href"]) for use in one.select(".pedigree-kin use:not([x])")} == drawn_paths


def test_a_parent_that_may_not_be_named_keeps_its_place_and_nothing_else(site_of: SiteOf) -> None:
    """Under a name that tells nothing, without a link."""
    hidden = record("id: F-77\nname: Secret\nsex: female\nhatched: 2018\nshows: normal\npublish: no")
    files = site_of({**FAMILY, "animals/F-77.md": hidden, "animals/F-02.md": young("F-02", "F-77")})
    (line,) = lines(files)
    assert "unlisted, female" in drawn(line)
    assert not any(word in line.get_text() + str(line) for word in ("F-77", "Secret"))


def test_where_nobody_descends_from_another_nothing_is_drawn(site_of: SiteOf) -> None:
    alone = {name: text for name, text in FAMILY.items() if "F-02" not in name}
    (line,) = lines(site_of(alone))
    assert line.select("svg.pedigree, details") == []
    assert "Moss" in line.get_text()


def test_more_than_can_be_taken_in_are_not_drawn(site_of: SiteOf, monkeypatch: pytest.MonkeyPatch) -> None:
    """They stand in the lists as ever."""
    monkeypatch.setattr(drawings, "AT_MOST_BREEDING", 2)
    (line,) = lines(site_of(FAMILY))
    assert line.select("svg.pedigree, details") == []


def test_each_species_has_its_own_drawing(demo_files: Files) -> None:
    """The demo's two: ids that do not meet, and nobody in both."""
    found = lines(demo_files)
    assert [len(line.select("svg.pedigree")) for line in found] == [1, 1]
    one, other = ({str(element["id"]) for element in line.select("svg [id]")} for line in found)
    assert not one & other
    links = [{str(link["href"]) for link in line.select("svg a")} for line in found]
    assert not links[0] & links[1]
