"""What is left of an unlisted animal and an unlisted clutch, and how the site speaks of them."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from itertools import permutations
from pathlib import Path

import pytest
from tests.rooms import BARE, good

from clutchlight.genetics.inference import infer
from clutchlight.model import Collection
from clutchlight.model.as_published import as_published, is_published, is_unlisted
from clutchlight.pipeline import Book
from clutchlight.statements.asked import Asked
from clutchlight.statements.why import why

LISTED = """- {id: M-01, sex: male, shows: Piebald}
- {id: F-01, sex: female, shows: normal, claims: {Piebald: 66%}, status: breeder}
"""


def book_of(folder: Path, animals: str, clutches: str = "[]") -> Book:
    return BARE.book(folder, {"animals/all.yaml": animals, "clutches/all.yaml": clutches})


def unlisted(collection: Collection) -> list[str]:
    return [key for key in (*collection.animals, *collection.clutches) if is_unlisted(key)]


def test_a_collection_without_unlisted_records_is_published_as_it_is(demo_book: Book) -> None:
    """Nothing is worked out twice, and the demo is such a collection."""
    assert as_published(demo_book.collection) is demo_book.collection
    assert demo_book.published is demo_book


def test_only_genes_are_left(tmp_path: Path) -> None:
    """Every other field is as if it had never been written."""
    animals = (
        LISTED
        + """- id: M-77
  name: Zq
  was: ZQ-1
  sex: male
  sexed: {how: probed, on: 2020-01-01}
  hatched: 2019-07-01
  looks: [{on: 2019-08-01, shows: normal}, {on: 2020-08-01, shows: Pastel}]
  claims: {Clown: {chance: 50%, from: Zq, on: 2019-01-01}, Albino: {chance: 50%, withdrawn: 2020-01-01}}
  tests: [{trait: Piebald, copies: 1, on: 2021-01-01, by: Zq}]
  impressions: [Zq]
  status: available
  came: {how: bought, on: 2019-10-01}
  origin: wild
  price: 5
  publish: no
- {id: F-02, sex: female, sire: M-77, dam: F-01}
"""
    )
    seen = book_of(tmp_path, animals).published.collection
    (key,) = unlisted(seen)
    left = seen.animals[key]
    assert (left.species, left.sex, left.reading and left.reading.shows) == ("ball-python", "male", ("Pastel",))
    assert [(claim.trait, claim.said_by, claim.on) for claim in left.claims] == [("Clown", None, None)]
    assert [(test.trait, test.copies, test.by, test.on.last) for test in left.tests] == [("Piebald", 1, None, date.min)]
    assert seen.animals["F-02"].sire == key
    assert not any(
        word in repr(left) for word in ("Zq", "ZQ", "M-77", "2019", "2020", "2021", "wild", "probed", "animals/")
    )
    assert is_published(seen)


def test_unrelated_ones_and_empty_clutches_are_left_out(tmp_path: Path) -> None:
    """Whether there are any cannot be told; a relative of a relative is kept, since it bears on figures."""
    animals = (
        LISTED
        + """- {id: U-1, sex: male, shows: Clown, publish: no}
- {id: U-2, sex: female, sire: U-1, dam: {shows: Clown}, publish: no}
- {id: V-1, sex: male, shows: Clown, publish: no}
- {id: V-2, sex: male, sire: V-1, dam: F-01, publish: no}
"""
    )
    clutches = """- {id: E-1, sire: M-01, dam: F-01, laid: 2024-05-01, eggs: 3, ended: 2024-08-01, publish: no}
- {id: E-2, sire: M-01, dam: F-01, laid: 2026-05-01, eggs: 3, publish: no}
"""
    seen = book_of(tmp_path, animals, clutches).published.collection
    assert len(unlisted(seen)) == 2
    assert (len(seen.animals), len(seen.clutches)) == (4, 0)


NAMES = ("Z-1", "A-1", "M-5")


@pytest.mark.parametrize("names", list(permutations(NAMES)))
def test_other_ids_give_the_same_collection(tmp_path: Path, names: tuple[str, str, str]) -> None:
    """The numbers follow from evidence and family: two alike founders are told apart by their young."""
    one, two, three = names
    animals = (
        LISTED
        + f"""- {{id: {one}, sex: male, shows: normal, publish: no}}
- {{id: {two}, sex: male, shows: normal, publish: no}}
- {{id: {three}, sex: male, sire: {one}, dam: F-01, publish: no}}
- {{id: F-02, sex: female, sire: {three}, dam: F-01}}
- {{id: F-03, sex: female, sire: {two}, dam: F-01}}
"""
    )
    seen = book_of(tmp_path, animals).published.collection
    assert sorted(unlisted(seen)) == ["~1", "~2", "~3"]
    assert seen.animals[seen.animals["F-02"].sire or ""].sire != seen.animals["F-03"].sire
    first = book_of(tmp_path / "first", animals.replace(one, "Q-1").replace(two, "Q-2").replace(three, "Q-3"))
    assert {key: (a.sire, a.dam) for key, a in seen.animals.items()} == {
        key: (a.sire, a.dam) for key, a in first.published.collection.animals.items()
    }


UNLISTED_CLUTCH = """- id: U-01
  sire: M-01
  dam: F-01
  laid: 2024-05-01
  hatched: 2024-07-01
  eggs: 2
  publish: no
  tally: [1 x Piebald, 1 x normal]
"""


def test_figures_are_those_of_the_whole_collection(tmp_path: Path) -> None:
    """Of every listed animal, at every locus: what is private counts all the same."""
    book = book_of(tmp_path, LISTED + "- {id: F-02, sex: female, sire: M-01, dam: F-01}\n", UNLISTED_CLUTCH)
    seen = book.published
    for animal in ("M-01", "F-01", "F-02"):
        assert seen.inference.now(animal, "piebald") == book.inference.now(animal, "piebald")
    assert seen.statements.animals["F-01"].trait("Piebald").label == "het Piebald"  # type: ignore[union-attr]


def test_of_a_test_that_was_repeated_the_later_counts_though_it_is_not_listed(tmp_path: Path) -> None:
    """Whichever stands first in the record; tests of two laboratories count both."""
    for number, second in enumerate(("2025-02-01, lab: A", "2025-04-01, lab: A", "2025-02-01, lab: B")):
        tests = "{on: 2025-03-01, trait: Piebald, copies: 0, error: 5%, lab: A}"
        tests += f", {{on: {second}, trait: Piebald, copies: 1, error: 5%}}"
        sire = f"- {{id: M-02, sex: male, shows: normal, claims: {{Piebald: 50%}}, publish: no, tests: [{tests}]}}\n"
        book = book_of(tmp_path / str(number), f"{LISTED}{sire}- {{id: F-02, sex: female, sire: M-02, dam: F-01}}\n")
        assert book.published.inference.now("F-02", "piebald") == book.inference.now("F-02", "piebald")


def test_what_an_unlisted_clutch_proved_is_told_without_it(tmp_path: Path) -> None:
    """No id, day, number of hatchlings or odds of such a clutch; it comes last, and nothing is said of when."""
    said = book_of(tmp_path, LISTED, UNLISTED_CLUTCH).published
    dam = said.statements.animals["F-01"]
    assert [note.text for note in dam.notes if note.kind == "proven"] == [
        "Records that are not listed here: Piebald was 2 in 3 before, certain now."
    ]
    (trait,) = dam.traits
    assert (trait.grounds.kind, trait.grounds.proven_by, dam.since) == ("proven", None, None)
    assert trait.because[0] == "Since an unlisted clutch hatched, our records leave no other way: it carries Piebald."
    assert dam.proven_breeder == ""
    (change,) = said.past.changes.newest_first
    assert (f"{change.animal}: {change.with_cause}", change.dated) == (
        "F-01: 66% possible het Piebald → het Piebald, proven by an unlisted clutch",
        False,
    )
    last = said.past.animals["F-01"][-1]
    assert (last.what, last.dated) == ("Records that are not listed here.", False)
    assert said.past.last_day is None


def test_several_unlisted_clutches_are_told_as_one(tmp_path: Path) -> None:
    """Two that found nothing: the figure falls once, whatever their number."""
    two = UNLISTED_CLUTCH.replace("1 x Piebald, 1 x normal", "2 x normal")
    said = book_of(tmp_path, LISTED, two + two.replace("U-01", "U-02")).published
    assert [note.text for note in said.statements.animals["F-01"].notes if note.kind == "open"] == [
        "Records that are not listed here: Piebald was 2 in 3 before, 1 in 9 now."
    ]
    assert len(said.past.changes.newest_first) == 1


def test_several_unlisted_sires_are_told_as_one(tmp_path: Path) -> None:
    """With the chance of both; where no other male is possible, the sire is an unlisted male."""
    animals = (
        LISTED
        + "- {id: U-1, sex: male, shows: normal, publish: no}\n- {id: U-2, sex: male, shows: normal, publish: no}\n"
    )
    clutches = "- {id: C-1, sire: [U-1, U-2], dam: F-01, hatched: 2024-07-01, eggs: 1, young: [1 f normal]}\n"
    clutch = book_of(tmp_path, animals, clutches).published.statements.clutches["C-1"]
    assert [(sire.id, sire.chance) for sire in clutch.sires] == [(None, Fraction(1))]
    assert clutch.sires_words == "The sire is an unlisted male."


def test_listed_young_of_an_unlisted_clutch_stay(tmp_path: Path) -> None:
    """They hatched on their day, "in an unlisted clutch", of the parents on record."""
    young = UNLISTED_CLUTCH.replace(
        "tally: [1 x Piebald, 1 x normal]", "young: [{id: K-1, shows: Piebald}, {id: K-2, shows: normal}]"
    )
    said = book_of(tmp_path, LISTED, young).published
    stated = said.statements.animals["K-1"]
    assert (str(stated.hatched), stated.parents.dam, stated.parents.clutch) == ("2024-07-01", "F-01", None)
    assert said.past.animals["K-1"][0].what == "Hatched in an unlisted clutch."


def test_the_private_side_still_sees_the_clutch(tmp_path: Path) -> None:
    """`why` names the file and line, and the day counts for buyers."""
    book = book_of(tmp_path, LISTED, UNLISTED_CLUTCH)
    animal = book.collection.animals["F-01"]
    found = why(Asked(book.telling, animal, book.collection.locus("F-01", "piebald"), 1))
    assert [(step.record, step.place.file) for step in found.steps if step.moved] == [  # type: ignore[union-attr]
        ("F-01", "animals/all.yaml"),
        ("U-01", "clutches/all.yaml"),
    ]
    assert book.past.changes.newest_first[0].on == date(2024, 7, 1)


def test_ancestors_count_from_the_beginning(tmp_path: Path) -> None:
    """A sire that was tested after his young hatched: they are told as if that had been known, since his days are his own."""
    animals = (
        LISTED
        + """- {id: U-1, sex: male, shows: normal, tests: [{trait: Piebald, copies: 1, on: 2026-01-01}], publish: no}
- {id: F-02, sex: female, hatched: 2022-07-01, shows: normal, sire: U-1, dam: {shows: normal}}
"""
    )
    trait = book_of(tmp_path, animals).published.statements.animals["F-02"].trait("Piebald")
    assert trait is not None
    assert trait.when_hatched is not None
    assert (trait.when_hatched.label, trait.label) == ("50% possible het Piebald", "50% possible het Piebald")


def test_a_clutch_says_page_or_no(tmp_path: Path) -> None:
    """A clutch's address is its link: there is no name without a page."""
    files = {
        "animals/all.yaml": LISTED,
        "clutches/C-1.md": "---\nid: C-1\nsire: M-01\ndam: F-01\npublish: page\n---\n",
        "clutches/C-2.md": "---\nid: C-2\nsire: M-01\ndam: F-01\npublish: no\n---\n",
    }
    found = good(tmp_path, files)
    assert [clutch.publish for clutch in found.clutches.values()] == ["page", "no"]
    assert infer(as_published(found)).sires("C-1")


def test_the_day_of_the_last_change_is_told_where_a_listed_record_is_of_it(tmp_path: Path) -> None:
    """Also where an unlisted one counts as of that day, since the site is built as of it; otherwise it is not told."""
    clutches = "- {id: C-1, sire: M-01, dam: F-01, hatched: 2025-07-01, eggs: 1, young: [1 f normal]}\n"
    nothing_found = UNLISTED_CLUTCH.replace("1 x Piebald, 1 x normal", "2 x normal")
    files = {"animals/all.yaml": LISTED, "clutches/all.yaml": clutches + nothing_found}
    for day, since in ((date(2025, 7, 1), date(2025, 7, 1)), (date(2025, 7, 2), None)):
        said = BARE.book(tmp_path / str(day), files, until=day).published
        assert said.statements.animals["F-01"].since == since
