"""The private desk: its four answers, its lists, whom to tell, its files, and what the phone and the wall must not hold."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from bs4 import BeautifulSoup, Tag
from jsonschema import Draft202012Validator
from tests.rooms import FAMILY, GALLERY, book_of, log

from clutchlight import shipped
from clutchlight.cli.season_list import as_json, season_text
from clutchlight.desk import Season, desk_files, evening, sentences
from clutchlight.desk.charts import weight_chart, work_chart
from clutchlight.desk.pages import cautions
from clutchlight.desk.season import Weighing
from clutchlight.model import When
from clutchlight.pipeline import Book
from clutchlight.planning.hatchlings import hatchlings_of
from clutchlight.planning.rotation import stays
from clutchlight.problems import RecordsError
from clutchlight.reading.catalogue import load
from clutchlight.reading.collection import read_collection
from clutchlight.site.theme import Theme, load_theme

DAY = date(2026, 11, 25)
PAGES = (
    "index.html",
    "pairings.html",
    "people.html",
    "phone.html",
    "proving.html",
    "room-sheet.html",
    "guide.html",
    "weights.html",
    "year.html",
)


def theme(name: str = "paper") -> Theme:
    return load_theme(name, [shipped.themes()])


@pytest.fixture(scope="module")
def demo(demo_book: Book) -> Book:
    return demo_book


@pytest.fixture(scope="module")
def season(demo: Book) -> Season:
    return Season(demo, DAY)


@pytest.fixture(scope="module")
def files(demo_desk: Mapping[str, bytes]) -> Mapping[str, bytes]:
    return demo_desk


def soup(files: Mapping[str, bytes], page: str) -> BeautifulSoup:
    return _parsed(files[page])


@lru_cache(maxsize=64)
def _parsed(page: bytes) -> BeautifulSoup:
    """Nobody changes it: each page of the demo is parsed once."""
    return BeautifulSoup(page, "html5lib")


def small(folder: Path, more: Mapping[str, str], day: date = DAY) -> Season:
    return Season(book_of(FAMILY.write(folder, more)), day)


# The four answers


def test_the_first_answers_are_those_of_the_demo(season: Season) -> None:
    """Mote works too hard; eggs of C26-06 are due; Mote is planned and too light; Bracken with Dapple proves most."""
    assert [(line.text, line.strong) for line in evening.overworked(season)] == [
        ("Mote (M-08)", True),
    ]
    assert [(line.text, line.detail) for line in evening.due_this_week(season)] == [
        ("Hatching of C26-06 (Fennel F-07)", "29 Nov to 4 Dec"),
        ("Hold on C26-01-6", "ends 29 Nov, 4 days left"),
    ]
    ready = evening.who_is_ready(season)
    assert (ready[0].text, ready[0].detail) == ("Not ready: Burdock (F-05)", "in a plan; about to lay")
    assert (ready[1].text, ready[1].detail.split("; ")[-1]) == ("Not ready: Mote (M-08)", "561 g, commonly from 700 g")
    assert ready[2].detail == "Plum, Thistle, Hazel, Teasel, Juniper, Comfrey, Dapple, Saffron"
    assert ready[3].detail == "Cobble, Bracken, Rook"
    assert [line.text for line in evening.proves_most(season)] == [
        "Bracken (M-03) with Dapple (F-11)",
    ]  # Cobble with Saffron would settle more, but Rook was with her


def test_a_flagged_male_is_not_called_ready(season: Season) -> None:
    """Mote is flagged and too light: he stands among those that are not ready, and in no list of ready ones."""
    ready = [line for line in evening.who_is_ready(season) if not line.text.startswith("Not ready")]
    assert not any("Mote" in line.detail or "Mote" in line.text for line in ready)


def test_the_answers_stand_first_on_the_first_page(files: Mapping[str, bytes]) -> None:
    """Nothing but the band, the navigation and this evening stands above them."""
    main = soup(files, "index.html").main
    assert main is not None
    first = [child for child in main.children if isinstance(child, Tag)]
    assert [child.name for child in first[:3]] == ["h1", "section", "div"]
    assert [heading.get_text() for part in first[1:3] for heading in part.find_all("h2")] == [
        "This evening",
        "Overworked or losing weight",
        "Due this week",
        "Proves most",
        "Ready",
    ]


def test_an_empty_season_says_so(tmp_path: Path) -> None:
    """No log, no plans, no sales: each answer is a sentence, and every page is made."""
    book = book_of(FAMILY.write(tmp_path, {}))
    made = desk_files(book, theme(), DAY)
    text = soup(made, "index.html").get_text(" ")
    open_ = "No planned pairing of two that are here settles an open question."
    for sentence in ("None is flagged, by what is logged.", "Nothing.", open_):
        assert sentence in text
    assert set(PAGES) <= set(made)
    assert "Everything" not in season_text(Season(book, DAY))


def test_a_male_whose_only_female_is_gone_has_no_empty_list(tmp_path: Path) -> None:
    files = {
        "animals/gone.yaml": "- {id: F-09, sex: female, hatched: 2020-07-01, shows: normal, left: {how: escaped, on: 2026-11-20}}\n",
        "season/2026.yaml": "- {female: F-09, males: [M-01], from: 2026-11-01}\n",
    }
    made = desk_files(book_of(FAMILY.write(tmp_path, files)), theme(), DAY)
    (male,) = soup(made, "index.html").find_all("article", class_="male")
    assert male.find("h4") is None


def test_an_overdue_window_and_an_ended_hold_ask_for_attention(tmp_path: Path) -> None:
    """Laid on 1 September, 55 to 60 days: over on 31 October, so 25 days late on 25 November; the hold ended 4 days ago."""
    season = small(
        tmp_path,
        {
            **log("2026-09-01,F-02,laid,,6,\n"),
            "sales/2026.yaml": "- {animals: [C26-01-3], held: 2026-10-01, until: 2026-11-21}\n",
        },
    )
    assert [(line.text, line.detail, line.strong) for line in evening.due_this_week(season)] == [
        ("Hatching of the eggs of F-02, which have no clutch record yet", "26 to 31 Oct, overdue by 25 days", True),
        ("Hold on C26-01-3", "ended 21 Nov, 4 days ago", True),
    ]


# Plans and proofs


UNRELATED = "---\nid: C26-01\nsire: M-02\ndam: F-02\nlaid: 2026-05-16\nended: 2026-07-01\neggs: 1\nwent_bad: 1\n---\n"
PLAN = "- {female: F-01, males: [M-01], backup: M-02, purpose: prove, until: 2027-03-31}\n"


def test_a_backup_that_cannot_prove_costs_half_the_proof(tmp_path: Path) -> None:
    """A possible het with a Piebald male, and a normal one as the backup: equally likely, so half the clutches prove it.

    Half of the hatchlings of a het and a visual show it (figures#a-clutch-of-eggs, derived).
    """
    planned = small(tmp_path, {"season/2026.yaml": PLAN, "clutches/C26-01.md": UNRELATED}).planned
    assert planned[0].backup is not None
    row = planned[0].backup.compared[0]
    assert (row.animal, row.trait, row.now) == ("F-01", "Piebald", Fraction(2, 3))
    assert row.alone is not None
    python = load("ball-python")
    assert python is not None
    assert row.alone.chance == Fraction(2, 3) * (1 - hatchlings_of(python).every(Fraction(1, 2)))
    assert row.one_of.chance == row.alone.chance / 2


RELATED = """- {id: P-30, sex: male, shows: [Champagne, Rime], status: elsewhere}
- {id: Q-30, sex: female, shows: [Spider], status: elsewhere}
- {id: M-30, sex: male, hatched: 2021, sire: P-30, dam: Q-30, shows: [Champagne, Rime], status: breeder}
- {id: F-30, sex: female, hatched: 2021, sire: P-30, dam: Q-30, shows: [Spider, Rime], status: breeder}
"""
RIME = """species: ball-python
loci: [{locus: rime, inheritance: incomplete dominant, alleles: [Rime], two_copies: {Rime: dies}}]
"""


def test_of_a_backup_is_told_how_he_is_related_and_what_can_harm_their_young(tmp_path: Path) -> None:
    """Brother and sister: 1/4. A quarter of their eggs has both looks; a quarter two copies that die, and none by the first male."""
    plan = PLAN.replace("F-01", "F-30").replace("M-02", "M-30").replace("M-01", "M-02")
    season = small(tmp_path, {"season/2026.yaml": plan, "animals/more.yaml": RELATED, "traits/own.yaml": RIME})
    planned = season.planned[0]
    assert planned.backup is not None
    kinship, *harm, as_many = sentences.of_the_backup(season, "F-30", planned.backup)
    assert kinship == "The parents are full siblings. Inbreeding coefficient of their young 1/4."
    assert [said.split(".")[0] for said in harm] == [
        "Harm in up to 25 in 100 eggs: two copies of Rime",
        "Harm in up to 25 in 100 eggs: Champagne with Spider",
    ]
    assert as_many == sentences.AS_MANY


def test_of_what_no_young_can_show_the_table_says_that_it_is_never_proved_and_no_more(tmp_path: Path) -> None:
    """M-31 is said to be het Clown, and F-02 and M-02 carry none: no young without it speaks against him."""
    more = "- {id: M-31, sex: male, hatched: 2020, shows: normal, claims: {Clown: 100%}, status: breeder}\n"
    plan = PLAN.replace("F-01", "F-02").replace("M-01", "M-31")
    made = FAMILY.write(tmp_path, {"season/2026.yaml": plan, "animals/more.yaml": more})
    (table,) = soup(desk_files(book_of(made), theme(), DAY), "pairings.html").find_all("table", class_="backup")
    assert [cell.get_text() for cell in table.find_all("td")] == ["never proved"] * 3


def test_the_page_sets_the_figures_side_by_side(files: Mapping[str, bytes]) -> None:
    """Bracken alone 62, one of the two 31, egg by egg 34 of 100 clutches; and a sentence that says what it costs."""
    pairing = soup(files, "pairings.html").find(id=re.compile("^F-11-with-M-03"))
    assert isinstance(pairing, Tag)
    cells = [cell.get_text(" ", strip=True) for cell in pairing.find_all("td")]
    assert [cell.split(" in 100 clutches")[0] for cell in cells] == ["62", "31", "34"]
    assert "proved in 31 of 100 clutches, not 62" in pairing.get_text(" ")


def test_the_pairing_that_settles_most_comes_first(season: Season) -> None:
    """By the number of open questions that a usual clutch settles on average."""
    settled = [planned.pair.settled if planned.pair else Fraction(0) for planned in season.planned]
    assert settled == sorted(settled, reverse=True)
    assert 0 < settled[0] < 1
    for pair in season.pairs:
        assert pair.settled == sum(question.mating.settles for question in pair.questions)


def test_a_plan_to_prove_what_is_settled_is_pointed_out(files: Mapping[str, bytes], season: Season) -> None:
    """Thistle's Piebald is under 1 in 100 already: the plan with Mote proves nothing that is open. The command says so, too."""
    pairing = soup(files, "pairings.html").find(id=re.compile("^F-04-with-M-08"))
    assert isinstance(pairing, Tag)
    text = pairing.get_text(" ")
    why = "Thistle (F-04) may carry Piebald (under 1 in 100); this clutch would prove it less than 1 time in 100."
    assert why in text
    assert why in season_text(season)
    assert "Planned to prove, but a usual clutch would settle nothing that is open." in text


def test_a_plan_that_is_over_is_not_listed(tmp_path: Path) -> None:
    """Neither one with a result nor one whose last day is past; one that is still to come is."""
    plans = (
        "- {female: F-01, males: [M-01], result: laid}\n"
        "- {female: F-02, males: [M-01], until: 2026-11-24}\n"
        "- {female: F-02, males: [M-02], from: 2027-01-01}\n"
    )
    season = small(tmp_path, {"season/2026.yaml": plans})
    assert [(planned.plan.female, planned.male) for planned in season.planned] == [("F-02", "M-02")]


def test_explanations_of_an_unexpected_result_stand_on_the_desk(files: Mapping[str, bytes], season: Season) -> None:
    """Once for the result, with everything a breeder would think of."""
    assert len(season.unexpected) == 1
    text = soup(files, "proving.html").get_text(" ")
    assert all(explanation in text for explanation in season.unexpected[0].explanations)
    assert any("were mixed up" in explanation for explanation in season.unexpected[0].explanations)


# People to tell


def test_the_buyers_whose_figure_changed_are_those_of_the_demo(season: Season) -> None:
    """Jory Pellwright was never told that 1 in 3 became 1 in 2; Maris Quennell was told of C22-02-1, not of Sorrel."""
    told = {one.animal: one for one in season.tell}
    jory = told["C22-02-2"]
    assert jory.sale.buyer == "Jory Pellwright"
    assert [(change.about, change.before, change.now) for change in jory.changes] == [
        ("Piebald", "33% possible het Piebald (1 in 3)", "50% possible het Piebald (1 in 2)")
    ]
    assert "C25-02" in jory.message
    assert "C22-02-1" not in told
    assert told["F-02"].changes[0].now.startswith("het Piebald, if ")


def _sold_young(dam: str, sex: str) -> str:
    return (
        f"---\nid: C26-01\nsire: M-02\ndam: {dam}\nlaid: 2026-03-01\neggs: 1\nhatched: 2026-05-01\n"
        f"young: [{{id: C26-01-1, sex: {sex}, shows: normal}}]\n---\n"
    )


def test_who_was_told_since_leaves_the_list(tmp_path: Path) -> None:
    """A possible het sold in August; her sibling's dam proves in October: told in September is not enough, in November it is."""
    records = {
        "clutches/C26-01.md": _sold_young("F-01", "female"),
        "clutches/all.yaml": (
            "- {id: C26-02, sire: M-01, dam: F-01, laid: 2026-08-01, eggs: 1, hatched: 2026-10-01,"
            " young: [{id: C26-02-1, sex: female, shows: Piebald}]}\n"
        ),
    }
    sale = "- {{animals: [C26-01-1], buyer: A. Bell, handed_over: 2026-08-01, told: [{{on: {}, about: x}}]}}\n"
    early = small(tmp_path / "early", {**records, "sales/2026.yaml": sale.format("2026-09-01")})
    assert [(one.animal, one.since) for one in early.tell] == [("C26-01-1", date(2026, 9, 1))]
    assert [(change.before, change.now) for change in early.tell[0].changes] == [
        ("33% possible het Piebald (1 in 3)", "50% possible het Piebald (1 in 2)")
    ]
    late = small(tmp_path / "late", {**records, "sales/2026.yaml": sale.format("2026-11-01")})
    assert late.tell == ()


def test_a_corrected_sex_is_told(tmp_path: Path) -> None:
    """Sold as a male, re-probed since."""
    animal = "---\nid: C26-01-1\ncorrections: [{on: 2026-09-01, key: sex, was: male, because: re-probed}]\n---\n"
    season = small(
        tmp_path,
        {
            "clutches/C26-01.md": _sold_young("F-02", "female"),
            "animals/C26-01-1.md": animal,
            "sales/2026.yaml": "- {animals: [C26-01-1], buyer: A. Bell, handed_over: 2026-08-01}\n",
        },
    )
    assert [(change.about, change.before, change.now) for change in season.tell[0].changes] == [
        ("sex", "male", "female")
    ]


# Drawings


def test_stays_end_with_parting_or_the_next_pairing(tmp_path: Path) -> None:
    """In with F-01 on the 1st, out on the 3rd; F-02 on the 5th without a row of parting; F-01 on the 9th, still in."""
    rows = (
        "2026-11-01,M-01,paired,F-01,,\n2026-11-03,M-01,parted,F-01,,\n"
        "2026-11-05,M-01,paired,F-02,,\n2026-11-09,F-01,paired,M-01,,\n"
    )
    book = book_of(FAMILY.write(tmp_path, log(rows)))
    found = stays(book.private.of("M-01"), "M-01", DAY)
    assert [(stay.female, stay.first.day, stay.last.day, stay.open_) for stay in found] == [
        ("F-01", 1, 3, False),
        ("F-02", 5, 5, False),
        ("F-01", 9, 9, True),
    ]
    drawn = BeautifulSoup(work_chart(book.private.of("M-01"), "M-01", "M-01", DAY, "w"), "xml")
    assert drawn.desc is not None
    assert drawn.desc.get_text() == "with F-01 1 to 3 Nov; with F-02 5 Nov; with F-01 9 to 25 Nov"
    widths = [int(str(bar["width"])) for bar in drawn.find_all(class_="work-stay")]
    assert widths == [3 * 11 - 1, 11 - 1, 17 * 11 - 1]


@pytest.mark.parametrize(
    ("grams", "said"),
    [
        ((500,), "the first weighing"),
        ((500, 600), "up from 500 g on 1 Sep"),
        ((500, 600, 540), "down 10% from 600 g on 2 Sep"),
        ((500, 450, 500), "the same as on 1 Sep"),
    ],
)
def test_a_weight_is_told_against_the_greatest_or_the_first(tmp_path: Path, grams: tuple[int, ...], said: str) -> None:
    """An animal that weighs again what it weighed at first did not gain."""
    rows = "".join(f"2026-09-{day:02d},M-01,weight,,{weight},\n" for day, weight in enumerate(grams, 1))
    page = desk_files(book_of(FAMILY.write(tmp_path, log(rows))), theme(), DAY)["weights.html"]
    assert f'<span class="small">{said}</span>' in page.decode("utf-8")


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("02-21 2000, 04-03 1400, 04-20 1350", "since she laid on 2 Apr: down 3% from 1400 g on 3 Apr"),
        ("02-21 2000, 04-03 1400", "since she laid on 2 Apr: the first weighing"),
        ("02-21 2000, 04-03 1400, 05-03 1500", "since she laid on 2 Apr: up from 1400 g on 3 Apr"),
        ("02-21 2000, 04-02 1800", "down 10% from 2000 g on 21 Feb"),
        ("04-03 1400, 04-20 1330", "down 5% from 1400 g on 3 Apr"),
    ],
)
def test_a_weight_of_a_female_is_told_since_she_laid(tmp_path: Path, rows: str, said: str) -> None:
    """Her eggs are no loss of hers; one of that very day may be from before."""
    weighed = "".join(f"2026-{day},F-02,weight,,{grams},\n" for day, grams in (row.split() for row in rows.split(", ")))
    book = book_of(FAMILY.write(tmp_path, log(f"{weighed}2026-04-02,F-02,laid,,5,\n")))
    page = desk_files(book, theme(), date(2026, 5, 20))["weights.html"]
    assert f'<span class="small">{said}</span>' in page.decode("utf-8")


def test_a_weight_chart_says_every_weighing(tmp_path: Path) -> None:
    """The words of the drawing hold each day and figure; the heaviest point is the highest."""
    points = tuple(
        Weighing(When.day(date(2026, 11, day)), Fraction(grams)) for day, grams in ((1, 600), (8, 650), (15, 580))
    )
    drawn = BeautifulSoup(weight_chart(points, "M-01", DAY, "w"), "xml")
    assert drawn.desc is not None
    assert drawn.desc.get_text() == "1 Nov: 600 g; 8 Nov: 650 g; 15 Nov: 580 g"
    heights = [int(str(point["cy"])) for point in drawn.find_all(class_="weigh-point")]
    assert min(heights) == heights[1]
    assert max(heights) == heights[2]


# Files


@pytest.mark.parametrize("page", PAGES)
def test_every_page_is_marked_private(files: Mapping[str, bytes], page: str) -> None:
    """In its band and its title, and for search engines."""
    found = soup(files, page)
    assert found.title is not None
    assert "Private desk" in found.title.get_text()
    band = found.find(class_="band")
    assert band is not None
    assert "Private desk" in band.get_text()
    robots = found.find("meta", {"name": "robots"})
    assert isinstance(robots, Tag)
    assert "noindex" in str(robots["content"])


@pytest.mark.parametrize("page", PAGES)
def test_nothing_is_fetched_from_elsewhere_and_every_link_leads_somewhere(
    files: Mapping[str, bytes], page: str
) -> None:
    """Relative addresses within the desk, their fragments too; a mail; no script but the phone's own, no inline style attribute."""
    found = soup(files, page)
    assert (found.find("script") is None) == (page != "phone.html")
    assert found.find(style=True) is None
    for tag in found.find_all(["a", "link"]):
        target = urlsplit(str(tag["href"]))
        if target.scheme == "mailto":
            continue
        assert target.scheme == target.netloc == ""
        there = target.path or page
        assert there in files
        if target.fragment:
            assert soup(files, there).find(id=target.fragment) is not None


@pytest.mark.parametrize("page", PAGES)
def test_ids_on_a_page_are_its_own(files: Mapping[str, bytes], page: str) -> None:
    """No id stands twice, those of drawings included."""
    ids = [str(tag["id"]) for tag in soup(files, page).find_all(id=True)]
    assert sorted(set(ids)) == sorted(ids)


def test_the_phone_file_stands_alone(files: Mapping[str, bytes]) -> None:
    """One file: style and script are inside and named in its policy by their hashes; no link leaves it but that of a mail."""
    found = soup(files, "phone.html")
    assert found.find("link") is None
    assert all(re.match("#|mailto:$", str(tag["href"])) for tag in found.find_all("a"))
    policy = found.find("meta", {"http-equiv": "Content-Security-Policy"})
    assert isinstance(policy, Tag)
    for name in ("style", "script"):
        (inside,) = re.findall(rb"<%b>(.*?)</%b>" % (name.encode(), name.encode()), files["phone.html"], re.DOTALL)
        digest = base64.b64encode(hashlib.sha256(inside).digest()).decode()
        assert f"{name}-src 'sha256-{digest}'" in str(policy["content"])


@pytest.mark.parametrize("page", ["phone.html", "room-sheet.html"])
def test_no_buyer_and_no_money_is_carried_about(demo: Book, files: Mapping[str, bytes], page: str) -> None:
    """A phone gets lost and a sheet hangs on a wall."""
    text = files[page].decode()
    buyers = sorted({sale.buyer for sale in demo.private.sales if sale.buyer})
    assert len(buyers) > 10
    assert [buyer for buyer in buyers if buyer in text] == []
    assert "€" not in text
    assert (
        "No buyer and no sum of money is in the file for the phone or on the room sheet."
        in files["people.html"].decode()
    )


PEOPLE = {
    "animals/F-09.md": "---\nid: F-09\nsex: female\nhatched: 2019-07-01\nstatus: breeder\nshows: normal\n"
    "private: {shared: {with: Zara Quillfeather, until: 2026-11-28}}\n---\n",
    "clutches/C26-02.md": "---\nid: C26-02\nsire: M-02\ndam: F-02\nhatched: 2026-07-14\neggs: 1\nreported_by: Ottokar Brindle\n"
    "young: [1 f normal]\n---\n",
    "sales/2026.yaml": "- {animals: [C26-01-2], buyer: Mr. Wend of Kelp Street, held: 2026-11-01, until: 2026-11-27}\n",
    **log(
        "2026-11-20,M-01,note,,,promised to Wend in spring\n"
        "2026-11-20,M-01,treatment,,as QUILLFEATHER had it,\n"
        "2026-11-20,F-09,note,,,Brindle asked again\n"
        "2026-11-21,F-09,meal,,rat from zara quillfeather,thawed\n"
        "2026-11-22,F-09,note,,,she sat on the windowsill\n"
    ),
}


@pytest.mark.parametrize("page", ["phone.html", "room-sheet.html"])
def test_no_person_is_carried_about(tmp_path: Path, page: str) -> None:
    """Not a partner whose share ends, nor what somebody wrote in the log with the name of one; the desk's own pages name them."""
    book = book_of(FAMILY.write(tmp_path, PEOPLE))
    files = desk_files(book, theme(), DAY)
    found = re.findall(r"(?i)quillfeather|brindle|\bwend\b|kelp", files[page].decode("utf-8"))
    assert found == []
    assert "Zara Quillfeather" in soup(files, "index.html").get_text()


def test_a_note_that_names_nobody_stays_on_the_phone(tmp_path: Path) -> None:
    """What was left out is said to be in the log."""
    said = " ".join(
        soup(desk_files(book_of(FAMILY.write(tmp_path, PEOPLE)), theme(), DAY), "phone.html").get_text(" ").split()
    )
    assert "22 Nov: note (she sat on the windowsill)" in said
    assert "21 Nov: meal (thawed; more in the log)" in said
    assert "20 Nov: note (more in the log)" in said


def test_the_room_sheet_has_a_row_for_every_animal_here(demo: Book, files: Mapping[str, bytes]) -> None:
    """Once each, with empty boxes."""
    found = soup(files, "room-sheet.html")
    names = [row.get_text(" ", strip=True) for row in found.select("tbody th")]
    for animal in demo.collection.animals.values():
        count = sum(
            re.search(rf"(?:^|\s){re.escape(animal.id)}(?:\s|$)", name.split("plan:")[0]) is not None for name in names
        )
        assert count == animal.here, animal.id
    assert all(cell.get_text(strip=True) == "" for cell in found.select("tbody td"))


def test_the_cautions_stand_where_the_work_can_hurt(files: Mapping[str, bytes]) -> None:
    """Handling, hemipenes, weight loss, hygiene, and selling and moving."""
    wanted = {
        "index.html": ("Salmonella", "hemipenes", "two people", "CITES", "reptile veterinarian"),
        "phone.html": ("Salmonella", "hemipenes", "two people", "reptile veterinarian"),
        "weights.html": ("reptile veterinarian", "two people"),
        "people.html": ("CITES", "licence"),
        "room-sheet.html": ("Salmonella", "hemipenes"),
    }
    for page, texts in wanted.items():
        said = " ".join(soup(files, page).get_text(" ").split())
        assert [text for text in texts if text not in said] == [], page


def test_where_species_differ_a_caution_and_a_rule_say_whose_they_are() -> None:
    """Of a matter on which both say the same, it is said once."""
    collection = read_collection(GALLERY / "traits-that-harm").collection
    assert collection is not None
    binding = [one.text for one in cautions(collection, ("egg binding",))]
    assert [text.partition(":")[0] for text in binding] == ["Ball python", "Corn snake"]
    (hygiene,) = cautions(collection, ("hygiene",))
    assert not hygiene.text.startswith(("Ball python", "Corn snake"))


@pytest.mark.slow
def test_the_same_records_and_day_give_the_same_bytes(tmp_path: Path) -> None:
    folder = FAMILY.write(tmp_path, PEOPLE)
    assert desk_files(book_of(folder), theme(), DAY) == desk_files(book_of(folder), theme(), DAY)


def test_another_day_gives_another_desk(tmp_path: Path) -> None:
    book = book_of(FAMILY.write(tmp_path, PEOPLE))
    assert desk_files(book, theme(), DAY)["index.html"] != desk_files(book, theme(), date(2026, 12, 24))["index.html"]


def test_a_theme_changes_the_colours_alone_or_nothing(tmp_path: Path) -> None:
    """`slate` takes the desk's templates from `paper`. The policy of the file for the phone names the style that it holds."""
    book = book_of(FAMILY.write(tmp_path / "records", PEOPLE))
    (tmp_path / "ours").mkdir()
    (tmp_path / "ours/theme.yaml").write_text("needs: 1\nextends: paper\n", encoding="utf-8")
    files, slate = desk_files(book, theme(), DAY), desk_files(book, theme("slate"), DAY)
    assert [name for name in files if slate[name] != files[name]] == ["phone.html", "style/colours.css"]
    assert desk_files(book, load_theme("ours", [tmp_path, shipped.themes()]), DAY) == files


# The command's lists


def test_the_json_of_the_season_fits_its_schema(season: Season, tmp_path: Path) -> None:
    """The demo's, and that of an empty season."""
    schema = json.loads(shipped.schema("season"))
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    document = json.loads(json.dumps(as_json(season)))
    validator.validate(document)
    validator.validate(json.loads(json.dumps(as_json(small(tmp_path, {})))))
    hangs_on = {(one["animal"], one["trait"]): one["hangs_on"] for one in document["to_prove"]}
    assert hangs_on["F-14", "Piebald"] == {"plans": ["M-05"], "sales": [], "prices": []}
    assert None in hangs_on.values()


def test_the_odds_of_planned_pairings_fit_the_schema_of_odds(season: Season) -> None:
    """season.json leaves them to odds.json."""
    planned = json.loads(json.dumps(as_json(season)))["planned"]
    odds = [one["odds"] for one in planned if one["odds"] is not None]
    assert odds
    validator = Draft202012Validator(json.loads(shipped.schema("odds")))
    assert [one for one in odds if not validator.is_valid({**one, "set_apart": []})] == []


def test_the_text_of_the_season_gives_the_answers_first(season: Season) -> None:
    """In the order of the desk, with the rule and the source of every flag."""
    text = season_text(season)
    heads = [line for line in text.splitlines()[1:] if line and not line.startswith(" ")]
    assert heads[:5] == ["This evening", "Overworked or losing weight", "Due this week", "Proves most", "Ready"]
    assert heads[5:10] == [
        "Not eaten since",
        "In the incubator",
        "This winter, all clutches together",
        "What does not fit",
        "Typed figures that the records do not give",
    ]
    assert "(rule: 2 or more refusals in a row for a small or first-season male)" in text
    assert "Source of the rules: common practice, no source" in text
    assert text.splitlines()[0] == "Lanternwick Snakes, Wednesday 25 November 2026. Private."


@pytest.mark.slow
@pytest.mark.parametrize("mistake", ["{{ page.nothing }}", "{{ 1 // 0 }}", "{% if %}", "{{ page.frame.title.x.y }}"])
def test_a_mistake_in_a_desk_template_of_ones_own_is_a_problem(tmp_path: Path, mistake: str) -> None:
    """Whatever it does: named by file and line, with no traceback."""
    own = tmp_path / "ours/desk"
    own.mkdir(parents=True)
    (own.parent / "theme.yaml").write_text("name: ours\nneeds: 1\nextends: paper\n", encoding="utf-8")
    (own / "today.html").write_text(f"\n{mistake}\n", encoding="utf-8")
    with pytest.raises(RecordsError) as caught:
        desk_files(
            book_of(FAMILY.write(tmp_path / "records", {})), load_theme("ours", [tmp_path, shipped.themes()]), DAY
        )
    (problem,) = caught.value.problems
    assert (problem.file, problem.line, problem.code) == ("themes/ours/desk/today.html", 2, "theme")
