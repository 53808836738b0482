"""The desk's page of planned pairings: the winter as one question, the load of the males, what is wanted, and the plans one by one."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from bs4 import BeautifulSoup, Tag
from tests.rooms import FAMILY, log

from clutchlight import shipped
from clutchlight.desk import desk_files
from clutchlight.planning.hatchlings import Hatchlings
from clutchlight.planning.winter import ComingClutch, Winter, winter
from clutchlight.queries import odds_of_each, winter_of
from clutchlight.site.theme import load_theme
from clutchlight.statements.winter import in_words

DAY = date(2026, 11, 25)
SISTERS = "".join(
    f"- {{id: {name}, sex: {sex}, hatched: 2020-07, shows: {shows}, status: breeder, claims: {{Clown: 66%}}}}\n"
    for name, sex, shows in (("X-1", "male", "Piebald"), ("Y-1", "female", "normal"), ("Y-2", "female", "normal"))
)
PLANS = "".join(
    f"- {{female: {name}, males: [X-1], from: 2026-10-01, want: [Clown], purpose: {purpose}}}\n"
    for name, purpose in (("Y-1", "produce"), ("Y-2", "prove"))
)


def winter_page(folder: Path, plans: str = PLANS, rows: str = "", more: dict[str, str] | None = None) -> BeautifulSoup:
    files = {"animals/more.yaml": SISTERS, "season/2026.yaml": plans, **log(rows), **(more or {})}
    book = FAMILY.book(folder, files)
    made = desk_files(book, load_theme("paper", [shipped.themes()]), DAY)
    return BeautifulSoup(made["pairings.html"], "html5lib")


def section(page: BeautifulSoup) -> Tag:
    found = page.find("section", attrs={"aria-labelledby": "winter"})
    assert isinstance(found, Tag)
    return found


def under(page: BeautifulSoup, heading: str) -> list[str]:
    """The lines under a heading of the winter's section."""
    (head,) = [one for one in section(page).find_all("h3") if heading in one.get_text()]
    following = head.find_next("ul")
    assert isinstance(following, Tag)
    return [" ".join(one.get_text().split()) for one in following.find_all("li")]


pytestmark = pytest.mark.slow


def test_each_open_question_is_answered_by_all_clutches_together(tmp_path: Path) -> None:
    """The named case with the spread: if both lay 50 of 100 winters prove X-1, and just over 32 in 100 are left if nothing shows."""
    page = winter_page(tmp_path)
    assert "Two clutches are planned" in section(page).get_text()
    assert "Clutches that share a parent are reckoned together." in section(page).get_text()
    lines = " ".join(under(page, "Clown of X-1"))
    assert "Settled in 43 of 100 winters, always by proof. If Y-1 and Y-2 lay: in 50." in lines
    assert "a chance of just over 32 in 100 is left." in lines
    assert [one.get_text() for one in section(page).find_all("h3")][:: len(section(page).find_all("h3")) - 1] == [
        "Whose turn it is",
        "What is wanted",
    ]


def test_what_is_wanted_and_the_load_of_the_male_stand_there(tmp_path: Path) -> None:
    page = winter_page(tmp_path)
    (load,) = [line for line in under(page, "Whose turn it is") if "planned for" in line]
    assert load.startswith("X-1 is planned for two females: Y-1 and Y-2. Next: Y-1.")
    (wish,) = under(page, "What is wanted")
    assert wish.startswith(
        "Clown, whatever else they show, from Y-1 and Y-2: at least one in 43 of 100 winters, 50 if both lay"
    )


def test_a_plan_to_prove_that_proves_nothing_is_said(tmp_path: Path) -> None:
    """F-02 carries nothing on record, so that no clutch of hers with M-02 tells anything."""
    page = winter_page(tmp_path, "[{female: F-02, males: [M-02], from: 2026-10-01, purpose: prove}]")
    text = section(page).get_text()
    assert "These clutches settle no open question." in text
    assert "F-02: planned to prove, and settles nothing that is open." in text


def test_a_plan_to_prove_what_a_seller_said_proves_something(tmp_path: Path) -> None:
    """A visual male with a bought "100% het": the most usual plan to prove; nor do its eggs settle nothing."""
    bought = "- {id: Y-3, sex: female, shows: normal, status: breeder, claims: {Piebald: 100%}}\n"
    plan = "- {female: Y-3, males: [X-1], from: 2026-10-01, purpose: prove}\n"
    laid = {"clutches/C26-08.md": "---\nid: C26-08\nsire: X-1\ndam: Y-3\nlaid: 2026-11-10\neggs: 5\n---\n"}
    for name, more in (("planned", {}), ("laid", laid)):
        page = winter_page(tmp_path / name, plan, more={"animals/y.yaml": bought, **more})
        text = " ".join(page.get_text().split())
        assert ("Y-3 is taken to carry Piebald; this clutch would prove it" in text) == (name == "planned")
        assert "nothing that is open" not in text


def test_eggs_in_the_incubator_are_a_clutch_of_the_winter(tmp_path: Path) -> None:
    laid = "---\nid: C26-02\nsire: X-1\ndam: Y-1\nlaid: 2026-11-10\neggs: 5\n---\n"
    page = winter_page(tmp_path, more={"clutches/C26-02.md": laid})
    assert "One clutch is planned and one lies in the incubator." in section(page).get_text()
    other = "---\nid: C26-03\nsire: unknown\ndam: F-02\nlaid: 2026-11-10\neggs: 5\n---\n"
    both = winter_page(tmp_path / "both", more={"clutches/C26-02.md": laid, "clutches/C26-03.md": other})
    assert "Of C26-03 nothing can be reckoned." in section(both).get_text()


def test_a_look_wanted_of_two_species_is_a_wish_of_each(tmp_path: Path) -> None:
    """One of them does not know it: of that species nothing is computed, of the other all is."""
    corn = "- {id: Z-1, species: corn-snake, sex: female, hatched: 2020-07-01, shows: normal, status: breeder}\n"
    book = FAMILY.book(tmp_path, {"animals/corn.yaml": corn})
    young, wanted = Hatchlings.exactly(4), ("Piebald",)
    pairs = (("M-01", "F-01"), ("M-21", "Z-1"), ("M-02", "F-02"))
    found = winter(book.inference, [ComingClutch.of(sire, dam, young, want=wanted) for sire, dam in pairs])
    assert ([one.clutches for one in found.wishes], found.wishes_not_computed) == ([(0, 2)], (wanted,))


def test_without_a_plan_there_is_no_winter(tmp_path: Path) -> None:
    page = winter_page(tmp_path, "[]")
    assert page.find("section", attrs={"aria-labelledby": "winter"}) is None
    assert "No plan is open. Write one in season/." in page.get_text()


def test_a_winter_of_which_nothing_is_reckoned_says_so(tmp_path: Path) -> None:
    page = winter_page(tmp_path, rows="2026-11-20,X-1,treatment,,,\n")
    assert "Left out are the plans of Y-1 and Y-2." in section(page).get_text()


@pytest.mark.parametrize("laid", [None, "C26-02"])
def test_where_every_female_is_counted_on_to_lay_that_is_said(tmp_path: Path, laid: str | None) -> None:
    """As where the species file says nothing of how many lay; of eggs that lie there nothing is counted on."""
    clutch = ComingClutch((("M-01", Fraction(1)),), "F-02", Hatchlings.exactly(5), laid=laid)
    said = in_words(Winter((clutch,), (), ()), (), FAMILY.book(tmp_path, {}).telling_its_owner)
    assert ("We count on every female to lay; not every one does each year." in said.notes) == (not laid)


@pytest.mark.parametrize(("males", "said"), [("[X-1, X-2]", True), ("[X-1]", False)])
def test_a_winter_with_a_backup_says_whose_eggs_are_taken_to_be_of_one_male(
    tmp_path: Path, males: str, said: bool
) -> None:
    """Each egg by either male is another question, whose figures stand in the pairing's own table."""
    backup = "- {id: X-2, sex: male, hatched: 2020-07, shows: normal, status: breeder, claims: {Clown: 66%}}\n"
    plans = PLANS.replace("males: [X-1]", f"males: {males}", 1)
    page = winter_page(tmp_path, plans, more={"animals/backup.yaml": backup})
    assert ("a single male sires all the eggs of Y-1" in section(page).get_text()) is said


def test_what_the_odds_of_a_pair_rest_on_stands_with_several_females_too(tmp_path: Path) -> None:
    """He is het on a word, and the sire of one of them; Spider twice harms. Of what nobody asks about no condition is told."""
    more = """- {id: X-1, sex: male, hatched: 2018-07, shows: Spider, claims: {Clown: 100%, Piebald: 100%}}
- {id: Y-1, sex: female, hatched: 2018-07, shows: Spider, claims: {Clown: 66%}}
- {id: Y-2, sex: female, hatched: 2021-07, shows: normal, sire: X-1}
"""
    book = FAMILY.book(tmp_path, {"animals/more.yaml": more})
    found = winter_of(book, "X-1", ["Y-1", "F-02"], want="Clown")
    said = in_words(found, list(odds_of_each(book, found, None)), book.telling_its_owner)
    assert said.young[0].startswith("X-1 with Y-1: Harm in up to 25 in 100 eggs: two copies of Spider. ")
    assert [note for note in said.young if note.startswith("Welfare of Spider: ")] == [said.young[-1]]
    assert said.notes.count("We take X-1 to carry Clown on the seller's word.") == 1
    assert not any("Piebald" in note for note in said.notes)
    found = winter_of(book, "X-1", ["Y-1", "Y-2"])
    said = in_words(found, list(odds_of_each(book, found, None)), book.telling_its_owner)
    assert "X-1 with Y-2: The parents are father and daughter. Inbreeding coefficient of their young 1/4." in said.young
