"""Derivations: exact, connected, and ending in the statement's figure."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from click.testing import CliRunner
from tests.rooms import BARE, GALLERY, book_of

from clutchlight.cli import main
from clutchlight.genetics.values import Figure
from clutchlight.pipeline import Book
from clutchlight.queries import derivations
from clutchlight.statements import why


@pytest.fixture(scope="module")
def book(demo_book: Book) -> Book:
    return demo_book


@pytest.mark.slow
def test_the_last_step_is_the_statement(book: Book) -> None:
    """For every animal and trait of the demo the derivation ends in the figure that is published."""
    seen = 0
    for animal in book.collection.animals.values():
        for found in derivations(book, animal.id, None):
            locus = next(one for one in book.inference.loci_in_play(animal.species) if found.trait in one.alleles)
            figure = book.inference.now(animal.id, locus.key)
            assert isinstance(figure, Figure)
            assert found.steps[-1].after.carries == found.carries == figure.carries(locus.allele_number(found.trait))
            seen += 1
    assert seen > 200


@pytest.mark.slow
def test_each_step_begins_where_the_one_before_ended(book: Book) -> None:
    """No figure changes between two steps: what moved it is named."""
    for animal in book.collection.animals.values():
        for found in derivations(book, animal.id, None):
            for earlier, later in zip(found.steps, found.steps[1:], strict=False):
                assert later.before == earlier.after, (animal.id, found.trait)


def test_every_step_points_at_a_line_of_a_record(book: Book, content_dir: Path) -> None:
    """File and line of each step exist in the collection."""
    for found in derivations(book, "F-09", None):
        for step in found.steps:
            lines = (content_dir / step.place.file).read_text(encoding="utf-8").splitlines()
            assert 1 <= step.place.line <= len(lines)


def test_json_has_the_documented_keys(content_dir: Path) -> None:
    """`why --json` prints animal, trait, steps and the exact chance."""
    result = CliRunner().invoke(main, ["why", "f-09", "pied", "--json", "--collection", str(content_dir)])
    assert result.exit_code == 0, result.output
    printed = json.loads(result.stdout)
    assert list(printed) == ["animal", "trait", "steps", "carries"]
    assert {"record", "file", "line", "says", "before", "after"} == set(printed["steps"][0])
    assert printed["carries"] == "1"


def test_looks_that_it_shows_are_told_before_those_that_it_does_not(monkeypatch: pytest.MonkeyPatch) -> None:
    """Otherwise in the order of their loci; what is not known of a look comes last."""
    said = ("no x", "its look is set aside", "Pastel", "Enchi")
    monkeypatch.setattr(why, "telling", lambda asked, clutch, day: range(4))
    monkeypatch.setattr(why, "_own_look", lambda one, day: ("", said[one]) if one == 1 else (said[one], ""))
    clutch = SimpleNamespace(sires=SimpleNamespace(kind="mixed"))
    asked: Any = SimpleNamespace(animal=SimpleNamespace(clutch="C"))
    asked.answers = SimpleNamespace(collection=SimpleNamespace(clutches={"C": clutch}))
    assert why._own_looks(asked, date(2026, 7, 1)) == "it shows Pastel, Enchi and no x; its look is set aside"


def test_a_look_read_later_is_not_told_of_the_day_of_hatching(tmp_path: Path) -> None:
    """Plover was looked at when ten days old, and as Pastel a year after; on the day of hatching nothing was seen of it."""
    records = """- {id: A, sex: male, shows: [Pastel], hatched: 2018}
- {id: B, sex: female, shows: normal, hatched: 2018}
- {id: X, sex: male, hatched: 2022-07-30, sire: A, dam: B, looks: [{on: 2022-08-10, shows: normal}, {on: 2023-03-01, shows: [Pastel]}]}
"""
    (found,) = derivations(BARE.book(tmp_path, {"animals/all.yaml": records}), "X", "Pastel")
    said = [str(step.says) for step in found.steps]
    assert "Its look was not yet on record" in said
    assert "It shows Pastel" not in said


def test_what_is_not_worked_out_without_a_male_is_not_taken_for_granted() -> None:
    """Flicker lies on the sex chromosomes of a species whose females have two kinds of them."""
    book = book_of(GALLERY / "no-male-corn-snake")
    (found,) = derivations(book, "F-1", "Flicker")
    assert found.assumed[1:] == ("Flicker is sex-linked: what a dam without a male hands on of it is not worked out.",)


def test_an_unknown_animal_is_one_line_with_the_nearest(content_dir: Path) -> None:
    """A wrong id is a problem with a remedy, never a traceback."""
    result = CliRunner().invoke(main, ["why", "F-99", "--collection", str(content_dir)])
    assert result.exit_code == 2
    assert "[unknown-animal]" in result.stderr
    assert "Traceback" not in result.output


def test_a_young_without_a_clutch_or_a_day_has_parents_all_the_same(tmp_path: Path) -> None:
    records = """- {id: A, sex: male, shows: normal, claims: {Clown: 100%}}
- {id: B, sex: female, shows: Clown}
- {id: X, sex: male, shows: normal, sire: A, dam: B}
"""
    (found,) = derivations(BARE.book(tmp_path, {"animals/all.yaml": records}), "X", "Clown")
    said = [str(step.says) for step in found.steps]
    assert said == ["It is a young of B and A; nothing was said of its Clown; it looks normal"]


def test_a_look_of_a_later_day_is_not_told_at_the_beginning(tmp_path: Path) -> None:
    looks = "{on: 2019-05-01, shows: normal}, {on: 2021-03-01, shows: Pastel}"
    records = f"- {{id: X, sex: male, hatched: 2017-07-01, looks: [{looks}]}}\n"
    (found,) = derivations(BARE.book(tmp_path, {"animals/all.yaml": records}), "X", "Pastel")
    said = [str(step.says) for step in found.steps]
    assert said[0] == "Its parents are not on record; nothing was said of its Pastel; its look was not yet on record"
    assert said[-1] == "Its look was read again as Pastel"


def test_a_clutch_that_is_left_out_is_so_wholly_for_a_young_whose_look_is_not_on_record(tmp_path: Path) -> None:
    parents = "".join(
        f"- {{id: {name}, sex: {sex}, shows: normal, claims: {{Piebald: 50%}}}}\n"
        for name, sex in (("M-1", "male"), ("F-1", "female"))
    )
    young = "1 f normal, 2 m, 3 m, {id: C-1-4, sex: male, shows: Piebald, same_egg_as: C-1-3}"
    clutch = f"laid: 2022-05-02, eggs: 3, hatched: 2022-07-01, counts: no, young: [{young}]"
    files = {"animals/two.yaml": parents, "clutches/C-1.yaml": f"- {{id: C-1, sire: M-1, dam: F-1, {clutch}}}\n"}
    BARE.write(tmp_path, files)
    told = {
        name: CliRunner().invoke(main, ["why", name, "--collection", str(tmp_path)]).output
        for name in ("C-1-1", "C-1-2", "C-1-3")
    }
    assert "of its dam F-1, left out of the figures but for this look." in told["C-1-1"]
    assert "Its look is not on record; clutch C-1 of its dam F-1, left out of the figures." in told["C-1-2"]
    assert "left out of the figures but for the look of its twin." in told["C-1-3"]


def test_a_word_on_which_the_answer_rests_is_named_be_it_of_two_copies_or_of_another_trait(tmp_path: Path) -> None:
    """Without it M-3 (two copies of Pinstripe, no young shows it) would not be ruled out: 1/2 → 4/5 that M-4 is the sire.

    What M-2 was said to carry bears on nobody: M-1 is the only sire left, whatever was claimed.
    """
    records = """- {id: F-1, sex: female, hatched: 2021, shows: normal}
- {id: F-2, sex: female, hatched: 2021, shows: [Desert Ghost]}
- {id: M-1, sex: male, hatched: 2021, shows: normal}
- {id: M-2, sex: male, hatched: 2021, shows: [Super Pastel], claims: {Desert Ghost: 66%}}
- {id: M-3, sex: male, hatched: 2021, shows: [Pinstripe], claims: {Pinstripe: {two_copies: 100%, from: "bill of sale"}}}
- {id: M-4, sex: male, hatched: 2021, shows: [Desert Ghost]}
- {id: M-5, sex: male, hatched: 2021, shows: [Pinstripe], claims: {Pinstripe: {two_copies: 33%}}}
- {id: F-3, sex: female, hatched: 2021, shows: [Pinstripe]}
"""
    clutches = """- {id: C26-1, sire: [M-1, M-2], dam: F-2, eggs: 1, hatched: 2026-07-01, young: [1 f normal]}
- {id: C26-2, sire: [M-3, M-4], dam: F-1, eggs: 2, hatched: 2026-07-01, young: [1 f normal, 2 m normal]}
- {id: C26-3, sire: M-5, dam: F-3, eggs: 1, hatched: 2026-07-01, young: [1 f Pinstripe]}
"""
    book = BARE.book(tmp_path, {"animals/all.yaml": records, "clutches/all.yaml": clutches})
    word = "{} is taken at the seller's word: {}."
    for young, trait, said in (
        ("C26-1-1", "Desert Ghost", []),
        ("C26-2-1", "Desert Ghost", [word.format("M-3", "two copies of Pinstripe (bill of sale)")]),
        ("C26-3-1", "Pinstripe", [word.format("M-5", "two copies of Pinstripe with a chance of 33%")]),
    ):
        (found,) = derivations(book, young, trait)
        assert [text for text in found.assumed if "word" in text] == said
    page = BARE.page(tmp_path, {}, "animals/C26-3-1/index.html")
    assert "How likely a second copy is rests on what was said of M-5." in page


def test_a_word_that_moved_its_dam_before_it_hatched_is_named_and_one_of_a_later_mate_that_told_nothing_is_not(
    tmp_path: Path,
) -> None:
    """F-1 was judged by a clutch with M-1; M-2 and M-3 are mates of her and of him, whose young nobody has seen."""
    records = """- {id: F-1, sex: female, hatched: 2021, shows: normal, claims: {Piebald: 50%}}
- {id: F-2, sex: female, hatched: 2021, shows: normal}
- {id: M-1, sex: male, hatched: 2021, shows: normal, claims: {Piebald: 66%}}
- {id: M-2, sex: male, hatched: 2021, shows: normal}
- {id: M-3, sex: male, hatched: 2021, shows: normal, claims: {Piebald: 66%}}
"""
    clutches = """- {id: C25-1, sire: M-1, dam: F-1, eggs: 2, hatched: 2025-07-01, young: [1 f normal, 2 m normal]}
- {id: C26-1, sire: M-2, dam: F-1, eggs: 2, hatched: 2026-07-01, young: [1 f normal, 2 m normal]}
- {id: C26-2, sire: M-3, dam: F-1, eggs: 2, hatched: 2026-09-01, young: [1 unknown, 2 unknown]}
"""
    book = BARE.book(tmp_path, {"animals/all.yaml": records, "clutches/all.yaml": clutches})
    (found,) = derivations(book, "C26-1-1", "Piebald")
    assert [text.split()[0] for text in found.assumed if "word" in text] == ["F-1", "M-1"]


def test_a_second_copy_that_nothing_forces_says_on_what_it_hangs(tmp_path: Path) -> None:
    """A young without a male may have kept one copy of each; parents with two on a word give two on a word, tested ones for certain."""
    tested = "tests: [{trait: Pinstripe, copies: 2, on: 2025-01-01}]"
    records = "".join(
        f"- {{id: {name}, sex: {sex}, hatched: 2021, shows: [Pinstripe], {more}}}\n"
        for name, sex, more in (
            ("F-1", "female", "status: breeder"),
            ("F-2", "female", "claims: {Pinstripe: {two_copies: 100%}}"),
            ("M-2", "male", "claims: {Pinstripe: {two_copies: 100%}}"),
            ("F-3", "female", tested),
            ("M-3", "male", tested),
        )
    )
    clutches = "".join(
        f"- {{id: C26-{n}, sire: {sire}, dam: F-{n}, eggs: 1, hatched: 2026-07-01, young: [1 f Pinstripe]}}\n"
        for n, sire in ((1, "none"), (2, "M-2"), (3, "M-3"))
    )
    book = BARE.book(tmp_path, {"animals/all.yaml": records, "clutches/all.yaml": clutches})
    labels = [str(derivations(book, f"C26-{n}-1", "Pinstripe")[0].label) for n in (1, 2, 3)]
    assert labels == [
        "Pinstripe, two copies, taken as certain because it has no sire",
        "Pinstripe, two copies, on the seller's word",
        "Pinstripe, two copies",
    ]


@pytest.mark.parametrize(
    ("room", "animal", "told"),
    [
        ("a-sure-test-of-a-founder", "M-1", ["Piebald"]),
        ("claims-with-source-and-day", "F-3", ["Piebald"]),
        ("axanthic-line-not-known", "M-1", ["Axanthic line A", "Axanthic line B"]),
        ("a-male-or-no-male", "C26-01-2", ["Piebald", "Pastel"]),
        ("the-seller-took-it-back", "F-1", []),
    ],
)
def test_what_was_claimed_or_tested_or_has_ended_is_told_though_nothing_is_left(
    room: str, animal: str, told: list[str]
) -> None:
    """Only of an animal of which there is nothing on record is it said that there is nothing."""
    found = derivations(book_of(GALLERY / room), animal, None)
    assert [one.trait for one in found if not one.carries] == told


def test_young_without_a_male_say_what_their_dam_may_carry_and_so_does_she() -> None:
    """The page of a young that is taken to have two copies or none, and the derivation of a dam with no other clutch."""
    opened = book_of(GALLERY / "a-male-or-no-male")
    told = " ".join(opened.statements.animals["C26-01-2"].silences)
    assert "92% possible het Piebald; her young without a male are taken to have two copies of Piebald or none" in told
    assert told.endswith("No record speaks of any other hidden gene.")
    (piebald,) = derivations(opened, "F-1", "Piebald")
    assert any(said.startswith("Without a male") for said in piebald.assumed)
    assert not any(said.startswith("Each parent") for said in piebald.assumed)
    assert "without a male had three hatchlings" in piebald.steps[-1].says


def test_an_only_copy_of_a_parent_with_two_says_which_sex_most_of_its_showing_young_will_be() -> None:
    """Of a corn snake, ZW: a female has the chromosome that daughters get from her dam."""
    opened = book_of(GALLERY / "a-sex-linked-recessive-in-corn-snakes")
    assert opened.statements.animals["C26-01-2"].maker == "female-maker for Dimming"


def test_a_clutch_that_proves_what_was_claimed_is_among_what_the_records_did(tmp_path: Path) -> None:
    """Its chance was 1 on the seller's word and stays 1; the next clutch changes nothing."""
    animals = """- {id: F-1, sex: female, shows: normal, claims: {Clown: 100%}}
- {id: M-1, sex: male, shows: Clown}
"""
    clutches = "".join(
        f"- {{id: C{year}-01, sire: M-1, dam: F-1, eggs: 1, hatched: 20{year}-07-01, young: [1 f Clown]}}\n"
        for year in (25, 26)
    )
    book = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutches})
    (found,) = derivations(book, "F-1", "Clown")
    did, _, idle = "\n".join(why.in_lines(found)).partition("Looked at, and changed nothing:")
    assert "  Clutch C25-01 with a Clown mate had one hatchling, which is Clown.\n      1, now proven    " in did
    assert "C25-01" not in idle
    assert "C26-01" in idle


def test_a_look_of_no_known_line_is_told_to_parents_and_young() -> None:
    """Whatever its line, a sire that shows it hands it on; where not all that show it are named, nothing is said of other genes."""
    opened = book_of(GALLERY / "axanthic-line-not-known")
    said = {name: " ".join(one.silences) for name, one in opened.statements.animals.items()}
    assert said["C26-01-1"].startswith("Its sire M-1 shows Axanthic; the line is not known")
    assert "No record speaks" not in said["M-1"]
    assert said["F-1"].startswith("Its young C26-01-3 shows Axanthic; the line is not known")
    assert "No record speaks of any hidden gene" not in said["F-1"]
    assert said["M-2"] == "No record speaks of any hidden gene."
    assert said["C26-02-1"].startswith("Its half-sibling C26-01-3 shows Axanthic; the line is not known")


def test_a_look_of_no_known_line_is_told_to_all_that_share_a_forebear_with_it(tmp_path: Path) -> None:
    """Parents, siblings and half-siblings name who shows it; a cousin does not, and says no more than is so."""
    animals = """- {id: G-1, sex: male, shows: normal}
- {id: G-2, sex: female, shows: normal}
- {id: F-1, sex: female, shows: normal}
- {id: F-2, sex: female, shows: normal}
- {id: F-3, sex: female, shows: normal}
"""
    clutches = """- {id: B, sire: G-1, dam: G-2, eggs: 2, hatched: 2022-07-01, young: [1 m normal, 2 m normal]}
- {id: C, sire: B-1, dam: F-1, eggs: 2, hatched: 2024-07-01, young: [1 f Axanthic (line not known), 2 f normal]}
- {id: D, sire: B-1, dam: F-2, eggs: 1, hatched: 2024-07-02, young: [1 f normal]}
- {id: E, sire: B-2, dam: F-3, eggs: 1, hatched: 2024-07-03, young: [1 f normal]}
"""
    opened = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutches})
    said = {name: " ".join(one.silences) for name, one in opened.statements.animals.items()}
    for name, who in {"B-1": "young", "F-1": "young", "C-2": "sibling", "D-1": "half-sibling"}.items():
        assert said[name].startswith(
            f"Its {who} C-1 shows Axanthic; the line is not known, so we make no figure from it."
        )
    assert "No record speaks" not in " ".join(said[name] for name in ("G-1", "G-2", "B-2", "E-1"))
    assert said["F-2"] == said["F-3"] == "No record speaks of any hidden gene."


def test_a_chance_that_a_mates_word_made_certain_is_not_by_its_own_sellers_word(tmp_path: Path) -> None:
    """Her seller said 50%; that the Candino has its Albino from her follows from what was said of the mate."""
    animals = """- {id: F-1, sex: female, shows: normal, claims: {Albino: 50%}}
- {id: M-1, sex: male, shows: normal, claims: {Candy: 100%}}
"""
    clutches = "- {id: C, sire: M-1, dam: F-1, eggs: 2, hatched: 2024-07-01, young: [1 f Candino, 2 f normal]}\n"
    statements = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutches}).statements
    albino, candy = (statements.animals[name].traits[0] for name in ("F-1", "M-1"))
    assert (albino.label, candy.label) == (
        "het Albino, on a seller's word",
        "het Candy, on the seller's word",
    )
    assert albino.because == (
        "It came with the word that it is 50% possible het Albino.",
        "It is certain if what was said of M-1 is true; nothing here has proven it yet.",
    )
    assert candy.because == ("It came with the word that it is het Candy; nothing here has proven it yet.",)
    (of_young,) = (trait for trait in statements.animals["C-2"].traits if trait.trait == "Albino")
    assert "on the seller's word" not in " ".join(of_young.because)
