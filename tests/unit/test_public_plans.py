"""The public page of a planned pairing: its odds in eggs while it is open, the clutch once there is one."""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from bs4 import BeautifulSoup, Tag
from tests.rooms import FAMILY, FAMILY_ANIMALS, log, site_of

from clutchlight.desk.notices import notices
from clutchlight.desk.season import Season
from clutchlight.pipeline import Book, open_book
from clutchlight.planning.odds import PublicPlan, public_plans
from clutchlight.site import addresses

PLAN = "- {{female: F-01, males: [M-01, M-02], from: 2026-10-01, until: 2027-03-31, public: yes{}}}\n"
ADDRESS = "plans/F-01/M-01/index.html"


def book_of(folder: Path, plan: str, clutches: str = "[]\n") -> Book:
    return FAMILY.book(folder, {"season/2026.yaml": plan, "clutches/more.yaml": clutches})


def plans_of(book: Book) -> dict[str, PublicPlan]:
    return {plan.male: plan for plan in public_plans(book.inference, book.private.plans)}


def page_of(book: Book, folder: Path, address: str = ADDRESS) -> BeautifulSoup:
    return BeautifulSoup(site_of(book)[address], "html5lib")


def test_an_open_plan_shows_each_look_in_eggs(tmp_path: Path) -> None:
    """The dam proved Piebald in C26-01, the sire shows it: half of 6 hatchlings, three filled eggs of six.

    At least one Piebald of six: 1 - (1/2)^6 = 63/64, "98 in 100".
    """
    book = book_of(tmp_path, PLAN.format(""))
    plan = plans_of(book)["M-01"]
    assert plan.odds is not None
    assert {outcome.looks: outcome.per_egg for outcome in plan.odds.outcomes} == {
        (): Fraction(1, 2),
        ("Piebald",): Fraction(1, 2),
    }
    looks = page_of(book, tmp_path).select(".in-eggs > li")
    assert [look.h3.get_text() for look in looks if look.h3] == ["Normal-looking", "Piebald"]
    for look in looks:
        assert len(look.select(".count-egg")) == 6
        assert len(look.select(".count-shows")) == 3
        assert "Of 6 eggs, expect about 3; at least one: 98 in 100 clutches." in look.get_text()
    assert "All are het Piebald." in looks[0].get_text()


@pytest.mark.parametrize(
    ("dates", "state"),
    [
        ("from: 2025-07-13", "Planned, 2025"),
        ("from: 2025-07-12", "No clutch on record, 2025"),
        ("until: 2026-07-12", "No clutch on record, 2026"),
    ],
)
def test_a_plan_is_over_once_the_site_tells_of_a_later_day(tmp_path: Path, dates: str, state: str) -> None:
    """C26-01 hatched on 13 July 2026; a plan without a last day is for a year."""
    plan = f"- {{female: F-02, males: [M-01], {dates}, public: yes}}\n"
    assert state in page_of(book_of(tmp_path, plan), tmp_path, "plans/F-02/M-01/index.html").get_text()


def test_each_male_of_a_plan_has_a_page(tmp_path: Path) -> None:
    """And all stand in the list, which the navigation leads to."""
    book = book_of(tmp_path, PLAN.format(""))
    files = site_of(book)
    assert [name for name in files if name.startswith("plans/")] == [
        ADDRESS,
        "plans/F-01/M-02/index.html",
        "plans/index.html",
    ]
    listed = page_of(book, tmp_path, "plans/index.html")
    hrefs = [str(link["href"]) for link in listed.select(".leaf a")]
    assert hrefs == ["F-01/M-01/index.html", "F-01/M-02/index.html"]
    home = BeautifulSoup(files["index.html"], "html5lib")
    assert [str(link["href"]) for link in home.select("nav a") if link.get_text() == "Planned"] == ["plans/index.html"]


@pytest.mark.parametrize("later_first", [False, True])
def test_a_pair_that_is_planned_again_stands_with_what_is_still_to_come(tmp_path: Path, later_first: bool) -> None:
    """In whatever order the two lines stand; C26-01 came of the first plan."""
    lines = [PLAN.format("").replace("2026-10", "2025-10").replace("2027-03", "2026-05"), PLAN.format("")]
    book = book_of(tmp_path, "".join(reversed(lines) if later_first else lines))
    assert plans_of(book)["M-01"].season == "2026/27"


def test_a_clutch_that_can_only_be_by_another_is_none_of_the_plan(tmp_path: Path) -> None:
    """M-01 or X-1 was with her; an Enchi, which only X-1 can have given, came of it."""
    clutch = "- {id: C26-09, sire: {one_of: [M-01, X-1]}, dam: F-01, laid: 2026-11-01, eggs: 1, hatched: 2026-12-30, young: [1 m Enchi]}\n"
    book = FAMILY.book(
        tmp_path,
        {
            "season/2026.yaml": PLAN.format("").replace("[M-01, M-02]", "[M-01]"),
            "clutches/more.yaml": clutch,
            "animals/more.yaml": "- {id: X-1, sex: male, shows: Enchi}\n",
        },
    )
    plan = plans_of(book)["M-01"]
    assert (plan.clutches, plan.instead) == ((), ("C26-09",))


def test_without_a_public_plan_there_is_no_list(tmp_path: Path) -> None:
    """Neither pages nor a way to them."""
    files = site_of(book_of(tmp_path, "- {female: F-01, males: [M-01]}\n"))
    assert [name for name in files if name.startswith("plans/")] == []
    assert b"Planned" not in files["index.html"]


def test_a_clutch_takes_the_place_of_the_odds(tmp_path: Path) -> None:
    """Laid since the plan began; the clutch of the season before does not count."""
    clutch = "- {id: C27-01, sire: M-01, dam: F-01, laid: 2027-02-20, eggs: 5}\n"
    book = book_of(tmp_path, PLAN.format(""), clutch)
    plans = plans_of(book)
    assert (plans["M-01"].clutches, plans["M-01"].odds, plans["M-01"].over) == (("C27-01",), None, True)
    assert (plans["M-02"].clutches, plans["M-02"].instead, plans["M-02"].over) == ((), ("C27-01",), True)
    other = page_of(book, tmp_path, "plans/F-01/M-02/index.html").get_text(" ")
    assert "She has laid since" in other
    assert "F-01 has laid since; the page of the clutch says by whom, as far as we know" in other
    assert "another male" not in other
    assert "The newest record behind this page is of 20 February 2027." in other
    assert "Planned:" not in other
    page = page_of(book, tmp_path)
    assert page.select(".in-eggs") == []
    links = page.find_all("a", string="C27-01")
    assert [str(link["href"]) for link in links if isinstance(link, Tag)] == ["../../../clutches/C27-01/index.html"]


def test_a_plan_with_a_result_and_no_clutch_is_said_to_be_over(tmp_path: Path) -> None:
    """The words of the result stay private."""
    book = book_of(tmp_path, PLAN.format(", result: he would not look at her"))
    text = page_of(book, tmp_path).get_text(" ")
    assert "Over, without a clutch on record" in text
    assert "would not look" not in text
    assert "Tell us what you hope for" not in text


def test_a_clutch_in_the_incubator_shows_what_may_hatch(tmp_path: Path) -> None:
    """Of its five good eggs that have not failed; nothing once it has hatched or its sire is in doubt."""
    laid = "- {{id: C30-01, sire: {sire}, dam: F-01, laid: 2026-09-01, eggs: 6, went_bad: 1{more}}}\n"

    def looks(sire: str, more: str = "") -> list[str]:
        book = book_of(tmp_path, PLAN.format(""), laid.format(sire=sire, more=more))
        page = page_of(book, tmp_path, "clutches/C30-01/index.html")
        return [look.get_text(" ", strip=True) for look in page.select(".in-eggs > li")]

    found = looks("M-01")
    assert [text.partition(" ")[0] for text in found] == ["Normal-looking", "Piebald"]
    assert all("Of 5 eggs, expect 2 or 3; at least one: 96 in 100 clutches." in text for text in found)
    assert looks("[M-01, M-02]") == []
    assert looks("M-01", ", hatched: 2026-10-30, young: [1 normal, 2 normal, 3 normal, 4 normal, 5 normal]") == []


def test_eggs_that_a_double_dose_kills_are_none_of_those_that_show_something(tmp_path: Path) -> None:
    """Of two Champagnes an egg is Champagne with 1/2, normal with 1/4, else dead: at least one is 1 - (1/2)^n, 1 - (3/4)^n."""
    animals = "".join(
        f"- {{id: {one}, sex: {sex}, hatched: 2021, shows: [Champagne], status: breeder}}\n"
        for one, sex in (("M-9", "male"), ("F-9", "female"))
    )
    clutches = "".join(
        f"- {{id: E-{eggs}, sire: M-9, dam: F-9, laid: 2026-09-0{eggs}, eggs: {eggs}}}\n" for eggs in (1, 3, 5)
    )
    files = {
        "animals/more.yaml": animals,
        "season/2026.yaml": "- {female: F-9, males: [M-9], from: 2026-10-01, public: yes}\n",
        "clutches/more.yaml": clutches,
    }
    book = FAMILY.book(tmp_path, files)

    def said(address: str) -> str:
        return page_of(book, tmp_path, address).get_text(" ")

    plan = said("plans/F-9/M-9/index.html")
    assert "What a usual clutch of the two, six eggs of which some may die, can bring." in plan
    often = re.compile(r"Of (\d) eggs?, expect ([^;]*); at least one: (\d+) in")
    assert "We reckon" not in plan
    assert "die in the egg: up to 25 in 100 eggs. The other counts are of all eggs, those included." in plan
    assert often.findall(plan) == [("6", "about 3", "98"), ("6", "1 or 2", "82")]
    assert [often.findall(said(f"clutches/E-{eggs}/index.html")) for eggs in (1, 3, 5)] == [
        [("1", "fewer than one", "50"), ("1", "fewer than one", "25")],
        [("3", "1 or 2", "87"), ("3", "fewer than one", "57")],
        [("5", "2 or 3", "96"), ("5", "1 or 2", "76")],
    ]


@pytest.mark.parametrize(
    ("more", "shown"),
    [
        ("eggs: 6", 2),
        ("eggs: 6, went_bad: 5", 2),
        ("eggs: 6, went_bad: 6", 0),
        ("eggs: 6, ended: 2026-10-30", 0),
        ("eggs: 6, hatched: 2026-10-30, complete: no", 0),
        ("eggs: 6, publish: no", None),
        ("", 2),
    ],
)
def test_odds_stand_while_a_clutch_lies_in_the_incubator(tmp_path: Path, more: str, shown: int | None) -> None:
    """Until anything has hatched, whatever of it is on record; not once every egg went bad; of an unlisted one there is no page."""
    book = book_of(tmp_path, "[]\n", f"- {{id: C30-01, sire: M-01, dam: F-01, laid: 2026-09-01, {more}}}\n")
    files = site_of(book)
    page = files.get("clutches/C30-01/index.html")
    assert (None if page is None else len(BeautifulSoup(page, "html5lib").select(".in-eggs > li"))) == shown


@pytest.mark.parametrize(("newest", "shown"), [("2026-10-31", 2), ("2026-11-01", 0)])
def test_odds_stand_until_the_last_day_on_which_eggs_commonly_hatch(tmp_path: Path, newest: str, shown: int) -> None:
    """Laid on 1 September, so 31 October; no longer beside a newer record."""
    clutches = f"""- {{id: C30-01, sire: M-01, dam: F-01, laid: 2026-09-01, eggs: 6}}
- {{id: C30-02, sire: M-02, dam: F-02, eggs: 1, hatched: {newest}, young: [1 f normal]}}
"""
    page = page_of(book_of(tmp_path, "[]\n", clutches), tmp_path, addresses.clutch("C30-01"))
    assert len(page.select(".in-eggs > li")) == shown


@pytest.mark.parametrize(
    ("start", "laid", "over"),
    [
        ("from: 2026-10-01", "2026-10-01", True),
        ("from: 2026-10-01", "2026-09-30", False),
        ("from: 2026-10-01", "2026-09-20..2026-10-01", True),
        ("from: 2026-10", "2026-10-01", True),
        ("until: 2027-03-31", "2024-01-01", True),
    ],
)
def test_a_clutch_laid_since_the_first_day_of_a_plan_is_of_it(
    tmp_path: Path, start: str, laid: str, over: bool
) -> None:
    """On that very day; without a first day any is."""
    plan = f"- {{female: F-01, males: [M-01, M-02], {start}, public: yes}}\n"
    book = book_of(tmp_path, plan, f"- {{id: C30-01, sire: M-01, dam: F-01, laid: {laid}, eggs: 5}}\n")
    plans = plans_of(book)
    assert (plans["M-01"].over, "C30-01" in plans["M-01"].clutches) == (over, over)
    assert plans["M-02"].over == (over and "from" in start)


@pytest.mark.parametrize(
    ("dates", "season"),
    [
        ("from: 2026-10-01, until: 2027-03-31", "2026/27"),
        ("from: 2026-01-01, until: 2026-12-31", "2026"),
        ("from: 2026-10-01, until: 2028-03-31", ""),
        ("from: 2026-10-01", "2026"),
        ("until: 2027-03-31", "2027"),
        ("from: 2009-10-01, until: 2010-03-31", "2009/10"),
        ("from: 1999-10-01, until: 2000-03-31", "1999/00"),
        ("purpose: prove", ""),
    ],
)
def test_a_season_is_named_by_its_years(tmp_path: Path, dates: str, season: str) -> None:
    """One, or two that follow each other; otherwise it has no name."""
    book = book_of(tmp_path, f"- {{female: F-01, males: [M-01], {dates}, public: yes}}\n")
    assert [plan.season for plan in public_plans(book.inference, book.private.plans)] == [season]


def test_public_plans_come_by_female_and_male_and_name_nobody_unlisted(tmp_path: Path) -> None:
    """A pair once, whichever plan comes first; an animal off the site takes part in none."""
    plan = (
        "- {female: F-02, males: [M-02, M-01], public: yes}\n- {female: F-01, males: [M-01], from: 2026-10-01, public: yes}\n"
        "- {female: F-01, males: [M-01, M-09], from: 2027-10-01, public: yes}\n- {female: F-03, males: [M-01]}\n"
    )
    files = {"season/2026.yaml": plan, "animals/more.yaml": "- {id: M-09, sex: male, shows: normal, publish: no}\n"}
    opened = open_book(FAMILY.write(tmp_path, files))
    assert opened.book is not None, opened.problems
    found = public_plans(opened.book.inference, opened.book.private.plans)
    assert [(one.female, one.male, one.season) for one in found] == [
        ("F-01", "M-01", "2026"),
        ("F-02", "M-01", ""),
        ("F-02", "M-02", ""),
    ]


@pytest.mark.parametrize(("result", "shown"), [("", []), (", result: no eggs", ["M-09"])])
def test_a_plan_with_a_male_that_is_gone_is_public_only_once_it_is_over(
    tmp_path: Path, result: str, shown: list[str]
) -> None:
    plan = f"- {{female: F-02, males: [M-09], from: 2026-10-01, public: yes{result}}}\n"
    gone = "- {id: M-09, sex: male, shows: normal, left: {how: sold, on: 2026-11-01}}\n"
    opened = open_book(FAMILY.write(tmp_path, {"season/2026.yaml": plan, "animals/more.yaml": gone}))
    assert opened.book is not None, opened.problems
    assert list(plans_of(opened.book)) == shown


@pytest.mark.parametrize(
    ("left", "locked", "shown", "told"),
    [
        ("returned, on: 2026-11-01", True, True, False),
        ("returned, on: 2026-11-01", False, True, True),
        ("returned, on: 2026-09-30", False, False, True),
        ("died, on: 2026-11-01", True, False, False),
    ],
)
def test_a_plan_stays_when_its_male_goes_home_after_it_began(
    tmp_path: Path, left: str, locked: bool, shown: bool, told: bool
) -> None:
    """Whether he did his work stands in the log, and so on the desk alone."""
    files = {
        "season/2026.yaml": "- {female: F-02, males: [M-09], from: 2026-10-01, public: yes}\n",
        "animals/more.yaml": f"- {{id: M-09, sex: male, shows: normal, came: {{how: loan, on: 2026-09-01}}, left: {{how: {left}}}}}\n",
        **log("2026-10-20,M-09,lock,F-02,,\n" if locked else ""),
    }
    book = FAMILY.book(tmp_path, files)
    assert list(plans_of(book)) == (["M-09"] if shown else [])
    assert any("M-09 is planned with F-02" in line for line in notices(Season(book, date(2026, 11, 25)))) == told


@pytest.mark.parametrize("listed", [True, False])
def test_a_plan_says_which_clutch_its_odds_rest_on_where_that_is_listed(tmp_path: Path, listed: bool) -> None:
    """M-8 is taken to carry Piebald, as M-9 was with the dam of his clutch too."""
    files = {
        "animals/more.yaml": "".join(
            f"- {{id: {name}, sex: {sex}, hatched: 2020, shows: {look}, status: breeder}}\n"
            for name, sex, look in (
                ("F-8", "female", "normal"),
                ("M-8", "male", "normal"),
                ("M-9", "male", "[Piebald]"),
                ("F-9", "female", "[Piebald]"),
            )
        ),
        "clutches/more.yaml": "- {id: C25-08, sire: M-8, dam: F-8, laid: 2025-05-01, eggs: 2, hatched: 2025-07-01,"
        f"{'' if listed else ' publish: no,'} young: [1 f Piebald, 2 m normal]}}\n",
        "log/2025.csv": "date,animal,event,with,value,note\n2025-02-01,M-9,paired,F-8,,\n2025-03-01,M-8,paired,F-8,,\n",
        "season/2026.yaml": "- {female: F-9, males: [M-8], from: 2026-10-01, public: yes}\n",
    }
    lines = FAMILY.page(tmp_path, files, "plans/F-9/M-8/index.html")
    assert (
        any("We take M-8 to carry Piebald, if no other male sired clutch C25-08." in line for line in lines) == listed
    )
    assert any("C25-08" in line for line in lines) == listed


def test_each_of_two_males_of_a_plan_names_the_other(tmp_path: Path) -> None:
    """She lays one clutch; what one of them can bring holds if he alone sires it. Of a plan with one male nothing is said."""
    book = book_of(tmp_path / "both", PLAN.format(""))
    called = {name: book.collection.animals[name].called for name in ("F-01", "M-01", "M-02")}
    for his, other in (("M-01", "M-02"), ("M-02", "M-01")):
        text = page_of(book, tmp_path, f"plans/F-01/{his}/index.html").get_text()
        assert (
            f"can bring, if {called[his]} alone sires it. {called[other]} is planned with {called['F-01']} too." in text
        )
    lent = FAMILY_ANIMALS.replace("{id: M-02,", "{id: M-02, left: {how: loan, on: 2026-08-01, until: 2026-12-01},")
    away = FAMILY.book(tmp_path / "away", {"season/2026.yaml": PLAN.format(""), "animals/all.yaml": lent})
    assert set(plans_of(away)) == {"M-01"}
    assert "M-02 is planned with F-01 too." in page_of(away, tmp_path).get_text()
    since = {"season/2026.yaml": PLAN.format(""), "animals/all.yaml": lent.replace("2026-08-01", "2026-11-10")}
    gone = page_of(FAMILY.book(tmp_path / "gone", since), tmp_path).get_text()
    assert "alone sires it. M-02 is planned with F-01 too." in gone
    alone = page_of(book_of(tmp_path / "one", PLAN.format("").replace(", M-02", "")), tmp_path).get_text()
    assert "hatchlings, can bring." in alone
    assert "alone" not in alone
