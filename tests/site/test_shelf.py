"""In which order animals stand on the first page, and clutches in the lists of lineage."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from bs4 import BeautifulSoup

Files = Mapping[str, bytes]
SiteOf = Callable[[Mapping[str, str]], Files]

ANIMALS = """- {id: F-01, sex: female, status: breeder, hatched: 2018, shows: normal}
- {id: M-01, sex: male, status: breeder, hatched: 2018, shows: normal}
- {id: A-1, sex: male, status: available, hatched: 2022, shows: normal}
- {id: A-2, sex: male, status: available, hatched: 2024, shows: normal}
- {id: A-3, sex: male, status: on hold, hatched: 2025, shows: normal}
- {id: A-4, sex: male, status: available, shows: normal}
- {id: A-0, sex: male, status: available, hatched: 2024, shows: normal}
"""
CLUTCHES = """- {id: C22, sire: M-01, dam: F-01, laid: 2022-05-01, eggs: 2, ended: 2022-07-01}
- {id: C24, sire: M-01, dam: F-01, laid: 2024-05-01, eggs: 2, ended: 2024-07-01}
- {id: C23, sire: M-01, dam: F-01, laid: 2023-05-01, eggs: 2, ended: 2023-07-01}
- {id: C26, sire: M-01, dam: F-01}
"""
ROOM = {"animals/all.yaml": ANIMALS, "clutches/all.yaml": CLUTCHES}


def test_what_is_available_stands_before_what_is_on_hold_and_the_latest_first(site_of: SiteOf) -> None:
    """Of one day by id; what has no day last."""
    home = BeautifulSoup(site_of(ROOM)["index.html"], "lxml")
    assert [one.get_text() for one in home.select("li.card .id")] == ["A-0", "A-2", "A-1", "A-4", "A-3"]


def test_clutches_stand_newest_first_and_a_planned_one_before_all(site_of: SiteOf) -> None:
    lineage = BeautifulSoup(site_of(ROOM)["lineage/index.html"], "lxml")
    assert [one.get_text() for one in lineage.select(".clutch-list .clutch-words > a:first-child")] == [
        "C26",
        "C24",
        "C23",
        "C22",
    ]


def test_the_heading_says_that_some_are_on_hold(site_of: SiteOf) -> None:
    def heading(status: str) -> str:
        animals = f"- {{id: A-1, sex: male, status: {status}, shows: normal}}\n"
        return BeautifulSoup(site_of({"animals/all.yaml": animals})["index.html"], "lxml").select("h1")[0].get_text()

    assert [heading(status) for status in ("available", "on hold")] == ["Available now", "On hold"]
    both = BeautifulSoup(site_of(ROOM)["index.html"], "lxml")
    assert both.select("h1")[0].get_text() == "Available now and on hold"


FROM_A_POSSIBLE_HET = {
    "animals/all.yaml": """- {id: M-01, sex: male, shows: normal, claims: {Piebald: 100%}}
- {id: F-01, sex: female, shows: Pastel, claims: {Piebald: 66%}}
- {id: A-1, sex: male, sire: M-01, dam: F-01, status: available, shows: Pastel}
- {id: A-2, sex: male, status: available, shows: normal, claims: {Piebald: 66%}}
"""
}


def test_a_label_says_nothing_of_certainty_where_no_hidden_gene_is_certain(site_of: SiteOf) -> None:
    """Its name says what it shows; that no hidden gene is proven stands on its page."""
    home = BeautifulSoup(site_of(FROM_A_POSSIBLE_HET)["index.html"], "lxml")
    said = {card.select(".id")[0].get_text(): card.get_text(" ", strip=True) for card in home.select("li.card")}
    assert "Certain" not in said["A-1"] + said["A-2"]


def test_a_page_tells_the_rule_and_the_signs_before_they_are_needed(site_of: SiteOf) -> None:
    """Why a het's young by a possible het is what it is said to be; the key of the pedigree before it."""
    page = site_of(FROM_A_POSSIBLE_HET)["animals/A-1/index.html"].decode()
    assert "F-01</a> may hand one on too. One that does not show Piebald cannot have two copies." in page
    assert 0 < page.index('class="key"') < page.index('class="outline"') < page.index('class="pedigree-scroll"')


CLUTCH_OF_THREE = {
    "animals/all.yaml": """- {id: M-1, sex: male, shows: normal, claims: {Piebald: 100%}}
- {id: F-1, name: Comfrey, sex: female, status: breeder, shows: Pastel}
""",
    "clutches/all.yaml": """- id: C26
  sire: M-1
  dam: F-1
  hatched: 2026-07-01
  eggs: 3
  young:
    - {id: C26-1, sex: male, status: on hold, shows: Pastel}
    - {id: C26-2, sex: male, status: available, shows: Pastel}
    - {id: C26-3, sex: female, status: available, shows: normal}
""",
}


def test_a_clutch_names_of_whom_a_reason_is_said_and_what_is_on_hold_last(site_of: SiteOf) -> None:
    """A parent of whom nothing is recorded is taken to carry none, and that is said; no section for what tells nothing."""
    files = site_of(CLUTCH_OF_THREE)
    page = BeautifulSoup(files["clutches/C26/index.html"], "lxml")
    said = page.get_text(" ", strip=True)
    assert [card.select(".id")[0].get_text() for card in page.select("li.card")] == ["C26-2", "C26-3", "C26-1"]
    assert (
        "Each of the young for sale or on hold: 50% possible het Piebald Its dam Comfrey (F-1) has no record"
        " of Piebald and is taken to carry none" in said
    )
    young = BeautifulSoup(files["animals/C26-2/index.html"], "lxml").get_text(" ", strip=True)
    assert "Then and now" not in young
    assert "Record by record" not in young


MOTLEY_BY_A_TEST = """- {id: F-1, species: corn-snake, sex: female, shows: Motley,
   tests: [{trait: Stripe, copies: 0, on: 2026-11-12, by: shed test}]}
- {id: M-0, species: corn-snake, sex: male, shows: normal}
- {id: M-1, species: corn-snake, sex: male, sire: M-0, dam: F-1, status: breeder, shows: normal}
- {id: F-2, species: corn-snake, sex: female, shows: normal}
- {id: A-1, species: corn-snake, sex: male, sire: M-1, dam: F-2, hatched: 2026-07-01, status: available, shows: normal}
"""


def test_a_certainty_names_its_proof_and_a_test_whose_it_is(site_of: SiteOf) -> None:
    """The test of a grandmother tells of which copy a sire has: on his page, and on that of his young."""
    files = site_of({"animals/all.yaml": MOTLEY_BY_A_TEST})
    sire, young = (
        BeautifulSoup(files[f"animals/{one}/index.html"], "lxml").get_text(" ", strip=True) for one in ("M-1", "A-1")
    )
    assert "proven by a test of F-1" in sire
    assert "its sire M-1 is het Motley, proven by a test of his dam F-1 ." in young
    assert (
        "A test of its sire's dam F-1 on 12 November 2026 (shed test) found no copies of Stripe: Motley was 1 in 3 before, 1 in 2 now"
        in young
    )
