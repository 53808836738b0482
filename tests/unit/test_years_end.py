"""A year's end, on worked seasons: what was counted, what was not, what was asked and which clutch told."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from tests.rooms import BARE, FAMILY, FAMILY_ANIMALS, log, page_of

from clutchlight.desk import Season
from clutchlight.desk.pages import DeskFraming, DeskTheme
from clutchlight.desk.today import year_page
from clutchlight.pipeline import Book
from clutchlight.planning.years_end import SeasonOfTheRoom, years
from clutchlight.shipped import themes
from clutchlight.site.theme import load_theme

DAY = date(2026, 11, 25)
CLUTCH = "---\nid: {}\nsire: {}\ndam: {}\nlaid: {}\n{}\n---\n"


def clutch(name: str, sire: str, dam: str, laid: str, rest: str) -> dict[str, str]:
    return {f"clutches/{name}.md": CLUTCH.format(name, sire, dam, laid, rest)}


def season_in(book: Book, began: int, day: date = DAY) -> SeasonOfTheRoom:
    return next(one for one in years(book.inference, book.private, day) if one.began == began)


def season_of(folder: Path, began: int, files: dict[str, str]) -> SeasonOfTheRoom:
    return season_in(FAMILY.book(folder, files), began)


def facts(book: Book) -> dict[str, dict[str, str]]:
    page = year_page(DeskFraming(Season(book, DAY), DeskTheme(load_theme("paper", [themes()]))))
    return {year.heading: {fact.term: str(fact.value) for fact in year.facts} for year in page.shown["years"]}


def test_eggs_and_slugs_are_those_of_the_season_in_which_they_were_laid(tmp_path: Path) -> None:
    """Laid on 16 May and hatched in July: of 2025/26. 3 of 5 hatched, 2 went bad; with the room's own clutch 7 of 9."""
    rest = "eggs: 5\nslugs: 2\nwent_bad: 2\nhatched: 2026-08-25\ntally: [3 x normal]"
    found = facts(FAMILY.book(tmp_path, clutch("C26-02", "M-02", "F-02", "2026-06-30", rest)))["2025/26"]
    assert (found["Clutches"], found["Good eggs"], found["Slugs"]) == ("2 clutches on record", "9", "2")
    assert (found["Lost"], found["Young"]) == ("2 good eggs went bad", "7 on record")
    assert found["Hatched"] == "7 of 9 good eggs in 2 clutches, 77%"


def test_a_clutch_tells_of_a_trait_of_which_nothing_was_said(tmp_path: Path) -> None:
    """Both of its parents, of whom nothing was on record, are het: nobody expected that."""
    young = "eggs: 1\nhatched: 2026-08-25\nyoung: [1 Piebald]"
    book = FAMILY.book(tmp_path, clutch("C26-02", "M-02", "F-02", "2026-06-30", young))
    page = year_page(DeskFraming(Season(book, DAY), DeskTheme(load_theme("paper", [themes()]))))
    told = "nothing said before C26-02, certain after it, resting on an unexpected result: settled"
    found = {line.text: line.detail for line in page.shown["years"][0].told}
    assert (found["Piebald of F-02"], found["Piebald of M-02"]) == (told, told)


def test_what_is_not_known_is_never_none(tmp_path: Path) -> None:
    """A clutch without a count of eggs and one of which not all is on record are left out of the rate, and named."""
    book = FAMILY.book(
        tmp_path,
        {
            **clutch("C26-02", "M-02", "F-02", "2026-05-01", "hatched: 2026-07-01\ntally: [3 x normal]\ncomplete: no"),
            **clutch("C26-03", "M-02", "F-02", "2026-09-01", "eggs: 4"),
            **log("2026-05-20,F-03,slugs only,,,\n2026-06-10,F-01,slugs only,,3,\n2026-09-01,F-02,laid,,4,\n"),
        },
    )
    said = facts(book)
    assert said["2025/26"]["Good eggs"] == "4; not counted in C26-02"
    assert said["2025/26"]["Slugs"] == "3; not counted in 1 laying"
    assert said["2025/26"]["Clutches"] == "2 clutches on record; 2 layings of slugs alone in the log"
    without = "without C26-02, eggs not counted and not all young on record"
    assert said["2025/26"]["Hatched"] == f"4 of 4 good eggs in 1 clutch, 100%; {without}"
    assert said["2026/27"]["Hatched"] == "no outcome on record yet: C26-03"
    assert season_in(book, 2026).unrecorded == 0


def test_eggs_that_the_log_alone_has_are_not_none(tmp_path: Path) -> None:
    """Nobody wrote what became of them; beside a clutch on record its eggs are said to be its own."""
    rows = log("2026-09-02,F-03,laid,,6,\n")
    alone = facts(FAMILY.book(tmp_path / "a", rows))["2026/27"]
    assert (alone["Good eggs"], alone["Hatched"]) == ("not reckoned without a record of the clutch",) * 2
    other = clutch("C26-02", "M-02", "F-02", "2026-09-01", "eggs: 4")
    assert (
        facts(FAMILY.book(tmp_path / "b", {**rows, **other}))["2026/27"]["Good eggs"] == "4 in the clutches on record"
    )


def test_a_clutch_of_slugs_alone_is_over_and_no_part_of_the_rate(tmp_path: Path) -> None:
    """Nothing is waited for, and 4 of 4 eggs hatched in the one other clutch."""
    book = FAMILY.book(tmp_path, clutch("C26-02", "M-02", "F-02", "2026-05-01", "eggs: 0\nslugs: 5"))
    found = facts(book)["2025/26"]
    assert (found["Slugs"], found["Hatched"]) == ("5", "4 of 4 good eggs in 1 clutch, 100%")


def test_a_clutch_of_somebody_else_is_none_of_the_rooms(tmp_path: Path) -> None:
    found = season_of(
        tmp_path,
        2025,
        clutch(
            "X26-1",
            "M-02",
            "F-02",
            "2026-05-01",
            "eggs: 9\nhatched: 2026-07-01\ntally: [9 x normal]\nreported_by: them",
        ),
    )
    assert [one.id for one in found.clutches] == ["C26-01"]


def test_twins_are_one_egg(tmp_path: Path) -> None:
    """Two young of one egg: 2 of 2 eggs, 3 young."""
    young = "young:\n  - {id: T-1, shows: normal}\n  - {id: T-2, shows: normal, same_egg_as: T-1}\n  - {id: T-3, shows: normal}"
    files = clutch("C26-09", "M-02", "F-02", "2026-07-20", f"eggs: 2\nhatched: 2026-09-15\n{young}")
    found = facts(FAMILY.book(tmp_path, files))["2026/27"]
    assert (found["Hatched"], found["Young"]) == ("2 of 2 good eggs in 1 clutch, 100%", "3 on record")


def test_what_a_clutch_told_is_told_of_that_clutch(tmp_path: Path) -> None:
    """Piebald with a 66% het: two Piebald young make her certain. The plan that asked has its answer."""
    book = FAMILY.book(
        tmp_path,
        {
            "season/old.yaml": "- {female: F-01, males: [M-01], from: 2025-11-01, until: 2026-06-30, want: [Piebald], purpose: prove}\n"
        },
    )
    found = season_in(book, 2025)
    (told,) = found.told
    assert (told.clutch, told.animal, told.trait) == ("C26-01", "F-01", "Piebald")
    assert (told.before, told.after, told.settled) == (Fraction(2, 3), Fraction(1), True)
    assert found.asked[0].told == (told,)
    assert (found.plans, found.plans_laid) == (1, 1)


@pytest.mark.parametrize(
    ("until", "result", "slugs", "asked", "on_its_page"),
    [
        (
            "2025-03-31",
            "slugs only",
            "2025-02-14,F-01,slugs only,,4,\n",
            "she laid slugs alone",
            "Over, without a clutch on record",
        ),
        ("2025-03-31", "never took", "", "never took", "Over, without a clutch on record"),
        ("2026-03-31", "C26-01", "2026-04-01,F-01,slugs only,,1,\n", "settled by C26-01: Piebald of F-01", "Hatched"),
        ("2026-03-31", "", "2025-02-14,F-01,slugs only,,4,\n", "she laid slugs alone", "Hatched"),
    ],
)
def test_a_plan_that_came_to_nothing_is_not_given_the_next_clutch(
    tmp_path: Path, until: str, result: str, slugs: str, asked: str, on_its_page: str
) -> None:
    """C26-01 was laid in May 2026. The first laying answers a plan, of one season a clutch before slugs; one with a result is over."""
    plan = f"from: 2024-11-01, until: {until}, purpose: prove, public: yes{f', result: {result}' if result else ''}"
    files = {"season/old.yaml": f"[{{female: F-01, males: [M-01], {plan}}}]", **log(slugs)}
    book = FAMILY.book(tmp_path, files)
    page = year_page(DeskFraming(Season(book, DAY), DeskTheme(load_theme("paper", [themes()]))))
    assert [line.detail for year in page.shown["years"] for line in year.asked] == [asked]
    assert any(line.startswith(on_its_page) for line in page_of(book, "plans/F-01/M-01/index.html"))


def test_a_clutch_laid_in_the_season_after_its_plan_began_answers_it(tmp_path: Path) -> None:
    """Planned from 1 June, laid on 2 July 2026: its eggs are of 2026/27, and the plan of 2025/26 has its answer."""
    plan = "- {female: F-02, males: [M-01], from: 2026-06-01, until: 2026-10-31, want: [Piebald], purpose: prove}\n"
    rest = "eggs: 4\nhatched: 2026-08-30\ntally: [2 x Piebald, 2 x normal]"
    book = FAMILY.book(tmp_path, {"season/old.yaml": plan, **clutch("C26-02", "M-01", "F-02", "2026-07-02", rest)})
    (asked,) = season_in(book, 2025).asked
    assert asked.told == tuple(one for one in season_in(book, 2026).told if one.clutch == "C26-02")
    assert asked.told


def test_a_test_of_its_young_is_not_what_the_clutch_said_when_it_hatched(tmp_path: Path) -> None:
    """It hatched in July, and nobody told its look; the test in November is what makes its dam's 1 in 2 certain."""
    young = "eggs: 1\nhatched: 2026-07-30\nyoung: [{id: C26-02-1, tests: [{trait: Clown, copies: 1, on: 2026-11-02}]}]"
    animals = {"animals/more.yaml": "- {id: F-09, sex: female, hatched: 2020, shows: normal, claims: {Clown: 50%}}\n"}
    files = {**animals, **clutch("C26-02", "M-02", "F-09", "2026-06-05", young)}
    (told,) = (one for one in season_of(tmp_path, 2025, files).told if one.trait == "Clown")
    assert (told.animal, told.before, told.after, told.since) == ("F-09", Fraction(1, 2), Fraction(1), True)


def test_plans_of_the_running_season_count_before_they_begin(tmp_path: Path) -> None:
    """Of 2026/27, on 25 November: one since 1 November, one from 1 December; that of the season after is none of them."""
    plan = "- {{female: F-02, males: [M-01], from: {}, want: [Piebald], purpose: prove}}\n"
    plans = "".join(map(plan.format, ("2026-11-01", "2026-12-01", "2027-08-01")))
    found = years((book := FAMILY.book(tmp_path, {"season/new.yaml": plans})).inference, book.private, DAY)
    assert (found[0].began, found[0].plans, len(found[0].asked)) == (2026, 2, 2)


def test_a_clutch_by_another_male_is_no_answer_of_his_and_a_result_is_told_in_its_words(tmp_path: Path) -> None:
    """Asked was M-02 with F-01, who laid by M-01: what that told of her stands, and that it is not his. F-02 laid slugs, by no log."""
    plans = """- {female: F-01, males: [M-02], from: 2025-11-01, until: 2026-06-30, want: [Piebald], purpose: prove}
- {female: F-02, males: [M-02], from: 2025-11-01, until: 2026-06-30, result: "slugs only, three of them"}
"""
    book = FAMILY.book(tmp_path, {"season/old.yaml": plans})
    page = year_page(DeskFraming(Season(book, DAY), DeskTheme(load_theme("paper", [themes()]))))
    (asked,) = page.shown["years"][-1].asked
    assert (asked.text, asked.detail) == (
        "M-02 with F-01, for Piebald",
        "settled by C26-01, by M-01: Piebald of F-01",
    )
    assert facts(book)["2025/26"]["Plans"] == "2 plans; result: “slugs only, three of them”"


def test_a_season_goes_up_to_its_day(tmp_path: Path) -> None:
    """On 1 June 2026 the eggs of 16 May lie in the incubator, and have told nothing."""
    book = FAMILY.book(tmp_path, {}, until=date(2026, 6, 1))
    found = season_in(book, 2025, date(2026, 6, 1))
    assert ([one.id for one in found.clutches], found.over, found.told) == (["C26-01"], (), ())


def test_the_counts_of_the_demo_are_those_of_its_other_pages(demo_book: Book) -> None:
    """No male's season on the page of pairings has more than the room's; people and money are those of their page."""
    book = demo_book
    season = Season(book, DAY)
    for load in season.loads:
        for of_male in load.seasons:
            whole = season_in(book, of_male.began)
            assert of_male.clutches + of_male.doubtful <= len(whole.clutches)
            assert of_male.eggs <= whole.eggs
            assert of_male.locks <= whole.locks
    page = year_page(DeskFraming(season, DeskTheme(load_theme("paper", [themes()]))))
    owed = {card.heading: len(card.lines) for card in page.shown["owed"]}
    assert owed == {
        "People to tell": len(season.tell),
        "Open promises": len(season.holds),
        "Open balances": len(season.balances),
    }
    recorded = [one for one in book.collection.clutches.values() if one.laid is not None and one.reported_by is None]
    found = years(book.inference, book.private, DAY)
    assert sum(len(one.clutches) for one in found) == len(recorded)
    assert sum(one.eggs for one in found) == sum(one.eggs or 0 for one in recorded)
    assert sum(len(one.paired) for one in found) == sum(
        row.event == "paired" and row.day <= DAY for row in book.private.log
    )


def test_the_rate_of_the_demo_is_rounded_down(demo_book: Book) -> None:
    """33 of 38 eggs are 86.8 in 100."""
    book = demo_book
    assert facts(book)["2025/26"]["Hatched"] == "33 of 38 good eggs in 5 clutches, 86%"


def test_what_a_clutch_told_later_is_not_told_yet(tmp_path: Path) -> None:
    """Four normal hatchlings leave F-02 at 50% with 1/17; one of them, looked at again on the 26th, shows it, and proves her."""
    looks = "[{on: 2026-07-13, shows: normal}, {on: 2026-11-26, shows: Piebald}]"
    young = f"young: [1 normal, 2 normal, 3 normal, {{id: C26-01-4, looks: {looks}}}]"
    files = {
        "animals/all.yaml": FAMILY_ANIMALS.replace("claims: {Piebald: 66%}", "claims: {Piebald: 50%}"),
        **clutch("C26-01", "M-01", "F-01", "2026-05-16", f"eggs: 4\nhatched: 2026-07-13\n{young}"),
    }
    book = FAMILY.book(tmp_path, files)
    for day, after in ((DAY, Fraction(1, 17)), (date(2026, 11, 26), Fraction(1))):
        (told,) = season_in(book, 2025, day).told
        assert (told.before, told.after) == (Fraction(1, 2), after)


def test_a_clutch_that_proves_or_shakes_what_was_said_is_told(tmp_path: Path) -> None:
    """Two claimed hets: a Piebald young proves both; fourteen normal young put both in doubt."""
    said = "- {{id: {}, sex: {}, status: breeder, shows: normal, claims: {{Piebald: 100%}}}}\n"
    claimed = said.format("X-1", "male") + said.format("Y-1", "female")
    for folder, tally, settled, grounds in (
        (tmp_path / "proved", "1 x Piebald, 13 x normal", True, {Fraction(1)}),
        (tmp_path / "shaken", "14 x normal", False, set()),
    ):
        rest = f"eggs: 14\nhatched: 2026-08-25\ntally: [{tally}]"
        files = {"animals/said.yaml": claimed, **clutch("C26-02", "X-1", "Y-1", "2026-06-20", rest)}
        told = [one for one in season_of(folder, 2025, files).told if one.clutch == "C26-02"]
        assert all(one.before == 1 and one.settled is settled for one in told)
        assert [one.animal for one in told] == ["Y-1", "X-1"]
        assert {one.after for one in told if one.after == 1} == grounds


def test_a_clutch_without_a_laying_day_is_said_to_be_in_no_season(tmp_path: Path) -> None:
    """One that is planned, or that somebody else bred, is not missing."""

    def undated(name: str, rest: str) -> dict[str, str]:
        return {f"clutches/{name}.md": f"---\nid: {name}\nsire: M-02\ndam: F-02\n{rest}---\n"}

    files = undated("C22-01", "hatched: 2022-07\neggs: 2\ntally: [2 x normal]\n") | undated("C27-01", "")
    files |= undated("C22-02", "hatched: 2022-08\neggs: 2\ntally: [2 x normal]\nreported_by: a friend\n")
    season = Season(FAMILY.book(tmp_path, files), DAY)
    page = year_page(DeskFraming(season, DeskTheme(load_theme("paper", [themes()]))))
    assert page.shown["frame"].lead.endswith("One whose record gives no laying day is in none: C22-01.")


def test_what_holds_only_if_one_male_sired_a_clutch_is_not_settled(tmp_path: Path) -> None:
    """One of the young is Enchi, as M-3 is; the Clown is his, too, unless M-4 had a share."""
    files = {
        "animals/all.yaml": "- {id: M-3, sex: male, hatched: 2021, shows: Enchi, claims: {Clown: 66%}}\n"
        "- {id: M-4, sex: male, hatched: 2021, shows: [Pastel, Clown]}\n"
        "- {id: F-2, sex: female, hatched: 2020, shows: Clown}\n",
        "season/plan.yaml": "- {female: F-2, males: [M-3], from: 2025-11-01, until: 2026-03-01, want: [Clown], purpose: prove}\n",
        **clutch(
            "C26-2",
            "[M-3, M-4]",
            "F-2",
            "2026-04-02",
            "eggs: 4\nhatched: 2026-06-02\nyoung: [1 f Enchi, 2 m Clown, 3 f normal, 4 m normal]",
        ),
    }
    page = year_page(DeskFraming(Season(BARE.book(tmp_path, files), DAY), DeskTheme(load_theme("paper", [themes()]))))
    (asked,), (told,) = page.shown["years"][0].asked, page.shown["years"][0].told
    assert asked.detail == "not settled; C26-2 moved Clown of M-3"
    assert told.text == "Clown of M-3"
    assert (
        told.detail == "2 in 3 before C26-2, taken as certain after it, if one male sired the whole clutch: left open"
    )


def test_each_clutch_of_two_possible_hets_has_the_figures_after_it(tmp_path: Path) -> None:
    """Whatever another clutch of the pair did to them a year later."""
    files = {
        "animals/all.yaml": "- {id: M-3, sex: male, hatched: 2021, shows: normal, claims: {Clown: 66%}}\n"
        "- {id: F-2, sex: female, hatched: 2020, shows: normal, claims: {Clown: 66%}}\n",
        **clutch("C25-1", "M-3", "F-2", "2025-04-02", "eggs: 4\nhatched: 2025-06-02\ntally: [4 x normal]"),
        **clutch("C26-1", "M-3", "F-2", "2026-04-02", "eggs: 4\nhatched: 2026-06-02\ntally: [4 x normal]"),
    }
    page = year_page(DeskFraming(Season(BARE.book(tmp_path, files), DAY), DeskTheme(load_theme("paper", [themes()]))))
    of_her = [line.detail for year in page.shown["years"] for line in year.told if line.text == "Clown of F-2"]
    assert of_her[1].startswith("2 in 3 before C25-1, ")
    assert (
        of_her[0].split(" before C26-1, ")[0] == of_her[1].removeprefix("2 in 3 before C25-1, ").split(" after it")[0]
    )
