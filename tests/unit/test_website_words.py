"""Addresses, dates and prices on the site."""

from __future__ import annotations

import re
from datetime import date
from functools import partial
from pathlib import Path
from urllib.parse import unquote

import pytest
from tests.rooms import BARE, FAMILY, FAMILY_SETTINGS, GALLERY, book_of, page_of

from clutchlight.model import When
from clutchlight.reading.catalogue import built_in_species, load
from clutchlight.site import addresses
from clutchlight.site.labels import slug
from clutchlight.site.other_pages import _inheritance_text, _pairs
from clutchlight.site.parts import ChangeEvent, ChangeItem, Link
from clutchlight.site.statement_part import Explained
from clutchlight.wording import day_words

FIVE_TRAITS = """\
- {id: M, species: corn-snake, sex: male, shows: Motley, claims: {Stripe: 100%}, status: breeder}
- id: F
  species: corn-snake
  sex: female
  status: breeder
  shows: [Amelanistic, Anerythristic, Lavender]
- {id: Y, species: corn-snake, sex: female, sire: M, dam: F, shows: normal, status: breeder}
"""


def test_what_has_no_room_in_a_symbol_is_neither_drawn_as_certain_nor_left_unsaid(tmp_path: Path) -> None:
    """Y has Motley or Stripe, of which one has room; the lineage's list names both."""
    book = BARE.book(tmp_path, {"animals/all.yaml": FIVE_TRAITS})
    for page, told in (
        ("animals/Y/index.html", "may carry Motley"),
        ("lineage/index.html", "het Motley or Stripe (one of the two)"),
    ):
        said = " ".join(page_of(book, page))
        assert "A symbol has room for four traits. Not drawn here: Stripe." in said
        assert told in said
        assert "carries Amelanistic, Anerythristic, Lavender and Motley" not in said


@pytest.mark.parametrize(
    ("page", "target", "link"),
    [
        ("index.html", "style/paper.css", "style/paper.css"),
        ("index.html", "animals/F-03/index.html", "animals/F-03/index.html"),
        ("animals/F-03/index.html", "index.html", "../../index.html"),
        ("animals/F-03/index.html", "animals/F-03/statement.json", "statement.json"),
        (
            "traits/corn-snake/motley/index.html",
            "lineage/index.html#corn-snake",
            "../../../lineage/index.html#corn-snake",
        ),
    ],
)
def test_links_are_relative_and_name_the_file(page: str, target: str, link: str) -> None:
    """A site opened from a folder has no server to turn a folder into its index.html."""
    assert addresses.link(page, target) == link


@pytest.mark.parametrize(
    ("web_address", "absolute", "rooted"),
    [
        ("https://example.org/", "https://example.org/animals/F-03/", "/animals/F-03/index.html"),
        ("https://example.org", "https://example.org/animals/F-03/", "/animals/F-03/index.html"),
        (
            "https://example.org/our/snakes",
            "https://example.org/our/snakes/animals/F-03/",
            "/our/snakes/animals/F-03/index.html",
        ),
    ],
)
def test_absolute_addresses_are_as_a_host_serves_them(web_address: str, absolute: str, rooted: str) -> None:
    """With and without a slash at the end, at the root of a host and under a path."""
    assert addresses.absolute(web_address, addresses.animal("F-03")) == absolute
    assert addresses.rooted(web_address, addresses.animal("F-03")) == rooted


@pytest.mark.parametrize(
    ("first", "last", "vague", "words", "with_on"),
    [
        ("2024-07-16", "2024-07-16", False, "16 July 2024", "on 16 July 2024"),
        ("2024-07-01", "2024-07-31", False, "July 2024", "in July 2024"),
        ("2024-02-01", "2024-02-29", False, "February 2024", "in February 2024"),
        ("2024-01-01", "2024-12-31", False, "2024", "in 2024"),
        ("2024-07-14", "2024-07-16", False, "14 to 16 July 2024", "from 14 to 16 July 2024"),
        ("2019-01-01", "2019-12-31", True, "about 2019", "about 2019"),
    ],
)
def test_dates_are_as_precise_as_they_were_recorded(
    first: str, last: str, vague: bool, words: str, with_on: str
) -> None:
    """A month stays a month: no day is invented."""
    value = When(date.fromisoformat(last), date.fromisoformat(first), "about 2019" if vague else "", vague)
    assert day_words.when(value) == words
    if "to" not in words:
        assert day_words.on(value) == with_on


def test_a_window_says_month_and_year_once() -> None:
    """Where both ends have the same."""
    assert day_words.window(date(2026, 11, 29), date(2026, 12, 4)) == "29 November to 4 December 2026"
    assert day_words.window(date(2027, 1, 14), date(2027, 1, 21)) == "14 to 21 January 2027"
    assert day_words.window(date(2026, 12, 24), date(2027, 1, 4)) == "24 December 2026 to 4 January 2027"


@pytest.mark.parametrize(
    ("written", "currency", "shown"),
    [
        ("350", "EUR", "€350"),
        ("1200", "GBP", "£1,200"),
        ("350.5", "USD", "$350.50"),
        ("350", "CHF", "350 CHF"),
        ("350", None, "350"),
        ("ask", "EUR", "price on request"),
        (None, "EUR", None),
    ],
)
def test_prices(written: str | None, currency: str | None, shown: str | None) -> None:
    """Known signs before the amount, other currencies by their letters, and a price on request in words."""
    assert day_words.price(written, currency) == shown


def test_slugs_of_traits() -> None:
    """A key of the filter has no spaces, so that several stand in one attribute."""
    assert slug("Lavender Albino") == "lavender-albino"


def test_traits_that_go_with_sex_are_said_to_be_taken_apart_only_where_there_are_two(tmp_path: Path) -> None:
    """One of them beside a trait on another chromosome says nothing of the kind."""
    said = "are taken as independent of each other once the sex is known."
    locus = "{locus: bony, inheritance: incomplete dominant, alleles: [Bony], sex_linked: {crossover: 20%}}"
    linked = f"species: ball-python\nloci:\n  - {locus}\n"
    animals = "- {id: X-01, sex: male, shows: [%s], claims: {Piebald: 66%%}, status: breeder}\n"
    for looks, told in (("Banana, Bony", ["Banana and Bony"]), ("Banana", [])):
        files = {"traits/own.yaml": linked, "animals/more.yaml": animals % looks}
        lines = FAMILY.page(tmp_path / looks[:7], files, "animals/X-01/index.html")
        assert [line.split(" are taken")[0].split(". ")[-1] for line in lines if said in line] == told


@pytest.mark.parametrize(("dam", "said"), [("C26-01-1", True), ("F-02", False)])
def test_of_two_possible_sires_one_may_be_related_to_the_dam(tmp_path: Path, dam: str, said: bool) -> None:
    """Her own sire is one of the two; the other female has no forebear in common with either."""
    clutch = f"- {{id: C28-01, sire: [M-01, M-02], dam: {dam}, laid: 2028-05-01, eggs: 1, hatched: 2028-07-01, young: [1 normal]}}\n"
    lines = FAMILY.page(tmp_path, {"clutches/more.yaml": clutch}, "animals/C28-01-1/index.html")
    assert any("ts parents may be related, depending on the sire" in line for line in lines) is said


@pytest.mark.parametrize(("sex", "sire"), [("m", "M-01 or M-02;"), ("f", "M-01 or M-02, or she bred without a male;")])
def test_a_sire_that_what_hatched_excludes_is_no_more_in_doubt(tmp_path: Path, sex: str, sire: str) -> None:
    """A male young has a sire."""
    clutch = (
        f"{{id: C28-01, sire: [none, M-01, M-02], dam: F-02, eggs: 1, hatched: 2028-07-01, young: [1 {sex} normal]}}\n"
    )
    lines = FAMILY.page(tmp_path, {"clutches/more.yaml": clutch}, "clutches/C28-01/index.html")
    assert any(line.startswith(f"The sire is {sire} which") for line in lines)


def test_a_young_without_a_male_has_not_what_two_copies_of_would_have_killed_it(tmp_path: Path) -> None:
    """Whether its look hides it or not."""
    files = {
        "traits/own.yaml": "species: ball-python\nloci:\n"
        "  - {locus: frost, inheritance: incomplete dominant, alleles: [Frost], two_copies: {Frost: dies}, welfare: Two copies die.}\n",
        "animals/all.yaml": "- {id: F-1, sex: female, shows: [Mojave, Frost]}\n",
        "clutches/all.yaml": "{id: C25, sire: none, dam: F-1, eggs: 1, hatched: 2025-06-01, young: [1 f Super Mojave]}\n",
    }
    page = " ".join(BARE.page(tmp_path, files, "animals/C25-1/index.html"))
    assert "Super Mojave can hide Frost" in page
    assert "two copies of Frost or none, and those with two die in the egg." in page


@pytest.mark.parametrize("key", built_in_species())
def test_what_a_name_for_a_look_means_is_so_of_every_genotype_behind_it(key: str) -> None:
    """Two copies, or one of each of two alleles, only where no other genotype shows it; else the alleles that each parent gave one of."""
    species = load(key)
    assert species is not None
    told = {
        (locus.key, name): word.meaning
        for locus in species.loci.values()
        for name in locus.look_names
        if name not in locus.alleles
        for word in Explained().names(species, name)
    }
    assert told
    for (locus_key, name), meaning in told.items():
        locus = species.loci[locus_key]
        behind = [
            sorted(locus.alleles[one - 1] for one in pair) for pair, look in locus.look_of.items() if name in look
        ]
        said = {allele for allele in locus.alleles if re.search(rf"\b{re.escape(allele)}(?=[.,;]| or | and )", meaning)}
        assert said == {allele for pair in behind for allele in pair}, (name, meaning)
        if meaning.startswith("Two copies"):
            assert [len(set(pair)) for pair in behind] == [1], name
        elif meaning.startswith("One copy"):
            assert [len(set(pair)) for pair in behind] == [2], name


@pytest.mark.slow
def test_of_what_is_on_hold_one_asks_to_be_told_if_it_comes_free(tmp_path: Path) -> None:
    """On its page, in the letter begun there and on its card; of what is available none of it."""
    site = FAMILY.site(tmp_path, {"collection.yaml": f"{FAMILY_SETTINGS}contact: {{mail: us@example.org}}\n"})
    held, free = (unquote(site[addresses.animal(key)].decode()) for key in ("C26-01-2", "C26-01-1"))
    assert "Ask about" not in held
    assert "I would like to ask" not in held
    assert held.count("Ask to be told if the hold ends") == 3
    assert "Please tell me if the hold ends." in held
    assert "hold ends" not in free
    home = site[addresses.HOME].decode()
    assert (home.count("Ask to be told if the hold ends</b>"), home.count("See it and ask</b>")) == (1, 2)


@pytest.mark.parametrize(
    ("count", "young", "eggs"),
    [
        (3, "", "four, all hatched, one of them with twins"),
        (4, "unseen: 1", "five: four hatched, one of them with twins, one more died before its look was seen"),
        (0, "", "one, which hatched with twins"),
    ],
)
@pytest.mark.slow
def test_twins_are_told_where_more_hatched_than_there_were_eggs(
    tmp_path: Path, count: int, young: str, eggs: str
) -> None:
    singles = "".join(f"  - {{id: C26-01-{number}, shows: normal}}\n" for number in range(3, 3 + count - bool(young)))
    clutch = f"""---
id: C26-01
sire: M-01
dam: F-01
eggs: {count + 1}
hatched: 2026-07-13
{young}
young:
  - {{id: C26-01-1, shows: normal}}
  - {{id: C26-01-2, shows: normal, same_egg_as: C26-01-1}}
{singles}---
"""
    lines = FAMILY.page(tmp_path, {"clutches/C26-01.md": clutch}, addresses.clutch("C26-01"))
    assert lines[lines.index("Eggs") + 1] == eggs


def test_how_two_figures_of_one_snake_moved_alike_is_told_once() -> None:
    """And each of two snakes that one record moved."""
    item = partial(ChangeItem, before="", after="", cause="a look", why="Its look was read again.")
    one, other = Link("C26-01-1"), Link("C26-01-2")
    event = ChangeEvent("A look", (item(animal=one), item(animal=one), item(animal=other)))
    assert event.moved == (("C26-01-1", "Its look was read again."), ("C26-01-2", "Its look was read again."))


def test_a_trait_page_says_which_looks_do_not_tell_two_alleles_apart() -> None:
    """One each of Motley and Stripe looks Motley, Candino is a look of its own; Yellow Belly is subtle, Pastel is not."""
    corn, ball = load("corn-snake"), load("ball-python")
    assert corn is not None
    assert ball is not None
    said = {
        key: " ".join(_inheritance_text(species.loci[key], species))
        for species, key in (
            (corn, "motley"),
            (ball, "blue-eyed-leucistic"),
            (ball, "yellow-belly"),
            (ball, "pastel"),
            (ball, "albino"),
        )
    }
    assert "at most. One copy of Motley beside one of Stripe looks Motley: a Motley may carry Stripe." in said["motley"]
    assert "at most. Blue-eyed Leucistic is the look of several pairs of them." in said["blue-eyed-leucistic"]
    assert "at most, and an animal with two different ones shows that." in said["albino"]
    assert "unless another look hides it or nobody noticed it." in said["yellow-belly"]
    assert "unless another look hides it." in said["pastel"]


def test_the_page_of_a_disorder_advises_no_pair_that_brings_affected_young() -> None:
    """One with one copy of a harm is no het, and normal-looking young tell nothing of a harm that is hard to see."""
    corn = load("corn-snake")
    assert corn is not None
    assert "The trade calls an animal with one copy het." in _inheritance_text(corn.loci["anerythristic"], corn)
    assert list(_pairs(corn.loci["anerythristic"]))
    assert "het" not in " ".join(_inheritance_text(corn.loci["stargazer"], corn)).split()
    assert list(_pairs(corn.loci["stargazer"])) == []


def test_a_page_rests_on_no_clutch_of_a_parent_that_told_nothing(tmp_path: Path) -> None:
    """What M-1 bred with F-2 a year later is no record behind the page of C25-1; on his own page it is."""
    records = """- {id: F-1, sex: female, hatched: 2021, shows: normal}
- {id: F-2, sex: female, hatched: 2021, shows: normal}
- {id: M-1, sex: male, hatched: 2021, shows: [Piebald]}
"""
    clutches = """- {id: C25-1, sire: M-1, dam: F-1, eggs: 1, hatched: 2025-07-12, young: [1 f normal]}
- {id: C26-1, sire: M-1, dam: F-2, eggs: 1, hatched: 2026-07-14, young: [1 f normal]}
"""
    BARE.book(tmp_path, {"animals/all.yaml": records, "clutches/all.yaml": clutches})
    newest = "The newest record behind this page is of {}."
    assert newest.format("12 July 2025") in BARE.page(tmp_path, {}, addresses.clutch("C25-1"))
    assert newest.format("14 July 2026") in BARE.page(tmp_path, {}, addresses.animal("M-1"))


@pytest.mark.parametrize("more", ["", "counts: no,", "set_aside: {Piebald: looked at again},"])
def test_looks_that_are_not_counted_are_not_said_to_have_proved_nothing(tmp_path: Path, more: str) -> None:
    animals = (
        "- {id: F-1, sex: female, hatched: 2021, shows: normal}\n- {id: M-1, sex: male, hatched: 2021, shows: normal}\n"
    )
    clutch = f"- {{id: C25-1, sire: M-1, dam: F-1, eggs: 1, hatched: 2025-07-12, {more} young: [1 f normal]}}\n"
    page = BARE.page(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch}, addresses.clutch("C25-1"))
    assert ("What hatched proved nothing new of a parent's hidden genes." in " ".join(page)) == (not more)


def test_nobody_is_a_proven_breeder_by_a_clutch_that_counts_for_nothing(tmp_path: Path) -> None:
    """Whose young those are is the doubt; the clutch stays in the list."""
    records = """- {id: F-1, sex: female, hatched: 2021, shows: normal}
- {id: M-1, sex: male, hatched: 2021, shows: [Piebald]}
"""
    clutch = "- {id: C25-1, sire: M-1, dam: F-1, eggs: 1, hatched: 2025-07-12, COUNTS young: [1 f normal]}\n"
    BARE.book(tmp_path, {"animals/all.yaml": records, "clutches/all.yaml": clutch.replace("COUNTS", "")})
    assert "Proven breeder: 1 clutch, in 2025" in " ".join(BARE.page(tmp_path, {}, addresses.animal("M-1")))
    left_out = {"clutches/all.yaml": clutch.replace("COUNTS", "counts: no,")}
    page = " ".join(BARE.page(tmp_path, left_out, addresses.animal("M-1")))
    assert "Proven breeder" not in page
    assert "Clutch: C25-1." in page


def test_the_clutches_of_an_animal_say_which_did_not_hatch_and_which_is_perhaps_not_his(tmp_path: Path) -> None:
    animals = "".join(
        f"- {{id: {name}, sex: {sex}, hatched: 2021}}\n"
        for name, sex in (("M-1", "male"), ("M-2", "male"), ("F-1", "female"))
    )
    clutches = """\
- {id: C25-1, sire: M-1, dam: F-1, eggs: 1, laid: 2025-05-12, hatched: 2025-07-12, young: [1 f normal]}
- {id: C26-1, sire: [M-1, M-2], dam: F-1, eggs: 1, laid: 2026-05-12}
"""
    book = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutches})
    for name, told in (
        ("M-1", "Clutches (C26-1 not hatched; C26-1 perhaps not his): C25-1, C26-1."),
        ("M-2", "Clutch (not hatched; perhaps not his): C26-1."),
        ("F-1", "Clutches (C26-1 not hatched): C25-1, C26-1."),
    ):
        assert told in " ".join(page_of(book, addresses.animal(name)))


def test_the_page_of_an_animal_rests_on_no_clutch_that_moved_only_its_young() -> None:
    """A sibling's clutch of 2026 moved figures of Rowan's young; his own page, with his last clutch of 2024, says nothing of it."""
    page = page_of(book_of(GALLERY / "more-than-its-dam"), "animals/M-1/index.html")
    assert any("The newest record behind this page is of 1 July 2024." in line for line in page)


def test_a_chance_that_is_background_alone_is_not_told_to_have_become_unlikely() -> None:
    """The list of changes leaves it out; so do the notes of the animal's page."""
    book = book_of(GALLERY / "background-only")
    assert [note.trait for note in book.statements.animals["F-1"].notes if note.kind == "unlikely"] == []


def test_where_she_may_have_bred_alone_no_other_male_is_spoken_of(tmp_path: Path) -> None:
    animals = (
        "- {id: F-1, sex: female, hatched: 2021, shows: normal}\n- {id: M-1, sex: male, hatched: 2021, shows: Pastel}\n"
    )
    clutch = "- {id: C25-1, sire: [M-1, none], dam: F-1, eggs: 1, hatched: 2025-07-12, young: [1 f normal]}\n"
    page = " ".join(
        BARE.page(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch}, addresses.animal("M-1"))
    )
    assert "Clutch (perhaps not his):" in page
    assert "another male" not in page


def test_a_chance_of_a_trait_on_the_sex_chromosomes_says_that_sex_is_left_out(tmp_path: Path) -> None:
    """Where no crossover figure is known: a son of a female-maker reads 50% as a daughter does."""
    animals = """- {id: F-1, sex: female, hatched: 2021, shows: normal}
- {id: M-1, sex: male, hatched: 2021, shows: Banana, claims: {Banana: {came_from: dam, from: seller}}}
"""
    clutch = "- {id: C25-1, sire: M-1, dam: F-1, eggs: 1, hatched: 2025-07-12, young: [{id: C25-1-1, sex: male}]}\n"
    page = " ".join(
        BARE.page(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch}, addresses.animal("C25-1-1"))
    )
    assert "so its chance leaves sex out of account." in page


def test_two_copies_by_a_sure_test_have_their_reason(tmp_path: Path) -> None:
    tested = "tests: [{trait: Pinstripe, copies: 2, on: 2026-01-05, by: shed test}]"
    animals = f"- {{id: M-1, sex: male, hatched: 2021, shows: Pinstripe, {tested}}}\n"
    page = " ".join(BARE.page(tmp_path, {"animals/all.yaml": animals}, addresses.animal("M-1")))
    assert (
        "A test on 5 January 2026 (shed test) found two copies."
        in page.partition("Why believe it")[2].partition("Record by record")[0]
    )


def test_what_an_identical_twin_shows_is_its_look(tmp_path: Path) -> None:
    """A Super Pastel, not a Pastel, is what tells of two copies."""
    animals = (
        "- {id: F-1, sex: female, hatched: 2021, shows: Pastel}\n- {id: M-1, sex: male, hatched: 2021, shows: Pastel}\n"
    )
    clutch = (
        "- {id: C25-1, sire: M-1, dam: F-1, eggs: 1, hatched: 2025-07-12,"
        " young: [{id: C25-1-1, shows: Super Pastel}, {id: C25-1-2, same_egg_as: C25-1-1}]}\n"
    )
    page = " ".join(
        BARE.page(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch}, addresses.animal("C25-1-2"))
    )
    assert "shows Super Pastel, and identical twins share one set of genes." in page


def test_a_correction_of_its_clutch_is_told_on_the_page_of_a_young(tmp_path: Path) -> None:
    """A relative, whose figures it may have moved, counts it among the newest records, and names no last one that changed anything."""
    contact = {"collection.yaml": FAMILY_SETTINGS.replace("currency", "contact: {mail: a@example.org}\ncurrency")}
    corrected = "corrections: [{on: 2026-10-05, key: sire, was: M-02, because: the log}]\nyoung:"
    clutch = str(FAMILY.base["clutches/C26-01.md"]).replace("young:", corrected)
    half = "- {id: C25-09, sire: M-02, dam: F-01, eggs: 2, hatched: 2025-07-10, young: [1 f normal, 2 m normal]}\n"
    sold = {"animals/young.yaml": "- {id: C26-01-1, left: {how: sold, on: 2026-09-01}, status: sold}\n"}
    files = {
        **contact,
        **sold,
        "clutches/C26-01.md": clutch.replace("; available 100", ""),
        "clutches/C25-09.yaml": half,
    }
    young = FAMILY.page(tmp_path / "young", files, "animals/C26-01-1/index.html")
    assert "The record of its clutch was corrected: from sire M-02 to sire M-01." in young
    told = "Until 5 October 2026 the record of its clutch said “sire M-02”. Why we corrected it: the log."
    assert any(told in line for line in young)
    sibling = FAMILY.page(tmp_path / "half", files, "animals/C25-09-1/index.html")
    assert "The newest record behind this page is of 5 October 2026." in sibling
    assert not any("The last " in line for line in sibling)


def test_a_correction_stands_in_record_by_record_though_nothing_else_followed(tmp_path: Path) -> None:
    """Of an animal with a hatching alone the page had no such part."""
    corrected = "corrections: [{on: 2026-05-01, key: sex, was: female, because: re-probed}]"
    animals = f"- {{id: M-1, sex: male, hatched: 2025-07-12, shows: normal, {corrected}}}\n"
    page = BARE.page(tmp_path, {"animals/all.yaml": animals}, addresses.animal("M-1"))
    later = page[page.index("## Record by record") :]
    assert "Our record was corrected: from sex female to sex male." in later


def test_a_chance_of_two_copies_names_the_clutch_that_moved_it(tmp_path: Path) -> None:
    animals = "{id: M-1, sex: male, hatched: 2021, shows: Pinstripe, claims: {Pinstripe: {two_copies: 33%}}}"
    files = {
        "animals/all.yaml": f"[{animals}, {{id: F-1, sex: female, hatched: 2021, shows: normal}}]\n",
        "clutches/all.yaml": "- {id: C26-1, sire: M-1, dam: F-1, eggs: 2, hatched: 2026-07-01, young: [1 f Pinstripe, 2 m Pinstripe]}\n",
    }
    page = BARE.page(tmp_path, files, addresses.animal("M-1"))
    why = page[page.index("## Why believe it") : page.index("## Record by record")]
    assert "Clutch C26-1 had two hatchlings, both of them Pinstripe." in why


def test_a_claim_taken_back_counts_among_the_newest_records(tmp_path: Path) -> None:
    """Of the whole site too: no page is newer than that."""
    claims = "claims: {Piebald: {chance: 66%, withdrawn: 2026-10-01}}"
    files = {"animals/all.yaml": f"- {{id: F-1, sex: female, hatched: 2021, shows: normal, {claims}}}\n"}
    assert any("record is of 1 October 2026." in line for line in BARE.page(tmp_path, files, addresses.HOME))


def test_a_recessive_of_which_two_copies_die_never_shows(tmp_path: Path) -> None:
    source = "two_copies: {Ember: dies}, what: An ember., source: our line"
    files = {
        "traits/own.yaml": f"species: ball-python\nloci: [{{locus: ember, inheritance: recessive, alleles: [Ember], {source}}}]\n",
        "animals/all.yaml": "- {id: F-1, sex: female, hatched: 2020, shows: normal, claims: {Ember: 100%}}\n",
    }
    page = BARE.page(tmp_path, files, addresses.trait("ball-python", "ember"))
    assert "No young with two copies live, so it never shows." in page
    assert not any("with two copies." in line for line in page)


def test_a_corrected_look_is_told_on_the_pages_of_its_nearest(tmp_path: Path) -> None:
    """Where it bears on a trait that may be theirs."""
    corrected = "corrections: [{on: 2026-10-05, key: shows, was: normal, because: the light}]"
    files = {"animals/young.yaml": f"- {{id: C26-01-3, {corrected}}}\n"}
    told = "Until 5 October 2026 the record of C26-01-3 said “look normal”. Why we corrected it: the light."
    for name in ("C26-01-1", "F-01", "M-01", "F-02"):
        page = FAMILY.page(tmp_path / name, files, f"animals/{name}/index.html")
        assert any(told in line for line in page) == (name in ("C26-01-1", "F-01"))


def test_what_a_disorder_of_ones_own_is_stands_on_its_page_and_on_that_of_an_affected_animal(tmp_path: Path) -> None:
    """Where its file says no more of welfare than what it is."""
    told = "affects: a disorder of balance, what: A tremor., source: our line"
    locus = f"{{locus: tremble, inheritance: recessive, alleles: [Tremble], {told}}}"
    files = {
        "traits/own.yaml": f"species: ball-python\nloci:\n  - {locus}\n",
        "animals/all.yaml": "- {id: F-1, sex: female, hatched: 2021, shows: Tremble, status: available, price: 20}\n",
    }
    animal = " ".join(BARE.page(tmp_path / "a", files, addresses.animal("F-1")))
    assert "Two copies mean a disorder of balance." in animal
    assert "No welfare concern" not in " ".join(
        BARE.page(tmp_path / "b", files, addresses.trait("ball-python", "tremble"))
    )


def test_the_risk_of_a_parent_is_one_that_it_has(tmp_path: Path) -> None:
    """ "Its dam has: 50% chance that it carries it", not "is"."""
    animals = (
        "- {id: F-1, species: corn-snake, sex: female, hatched: 2021, shows: normal, claims: {Stargazer: 50%}}\n"
        "- {id: M-1, species: corn-snake, sex: male, hatched: 2021, shows: normal}\n"
    )
    clutch = "- {id: C25-1, sire: M-1, dam: F-1, eggs: 1, hatched: 2025-07-12, young: [1 f normal]}\n"
    files = {"animals/all.yaml": animals, "clutches/all.yaml": clutch}
    page = " ".join(BARE.page(tmp_path, files, addresses.animal("C25-1-1")))
    assert "its dam has: 50% chance that it carries it" in page


def test_looks_under_review_stay_off_the_pages(tmp_path: Path) -> None:
    """No combo of one, no tally of one, no look that a correction gave, and none that hides another."""
    animals = """- {id: F-1, sex: female, hatched: 2021, shows: [Mojave, Pastel]}
- {id: M-1, sex: male, hatched: 2021, shows: Lesser, claims: {Clown: 100%}}
"""
    clutch = """- id: C26-01
  sire: M-1
  dam: F-1
  eggs: 3
  hatched: 2026-07-01
  set_aside: {Mojave: two are hard to tell}
  young:
    - {id: C26-01-1, shows: [Mojave, Pastel], corrections: [{on: 2026-08-01, key: shows, was: Pastel, because: first shed}]}
    - {id: C26-01-2, shows: Blue-eyed Leucistic}
  tally: [1 x Lesser]
"""
    found = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch})
    one, two = (" ".join(page_of(found, addresses.animal(f"C26-01-{n}"))) for n in (1, 2))
    assert "Pastave" not in one
    assert "C26-01-1: look Pastel →, now what its page says, corrected" in " ".join(
        page_of(found, "changes/index.html")
    )
    assert "What it shows can hide" in two
    assert "Blue-eyed Leucistic" not in two
    assert "One more hatchling: counted here" in " ".join(page_of(found, addresses.clutch("C26-01")))
