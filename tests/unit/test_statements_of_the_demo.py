"""Sentences that only whole families bring about, read from the demo collection; and a shared look, from a small one."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import pytest
from tests.oracle.case import Locus
from tests.unit.pairings import inferred, parent

from clutchlight.pipeline import Book
from clutchlight.statements.answers import Answers
from clutchlight.statements.changes import Change, changes_of
from clutchlight.statements.clutches import state_all
from clutchlight.statements.values import AnimalStatement


@pytest.fixture(scope="module")
def book(demo_book: Book) -> Book:
    return demo_book


@pytest.fixture(scope="module")
def said(book: Book) -> Mapping[str, AnimalStatement]:
    return book.statements.animals


@pytest.fixture(scope="module")
def changes(book: Book) -> tuple[Change, ...]:
    return changes_of(book.telling, book.statements).newest_first


def notes(said: Mapping[str, AnimalStatement], animal: str, kind: str) -> list[str]:
    return [note.text for note in said[animal].notes if note.kind == kind]


def test_what_a_test_rules_out_is_said_to_be_ruled_out(
    said: Mapping[str, AnimalStatement], changes: tuple[Change, ...]
) -> None:
    """An error-free test found no copy in C25-01-1: no silence, no small chance."""
    assert "Ruled out by what is on record: Lavender Albino." in said["C25-01-1"].silences
    assert notes(said, "C25-01-1", "unlikely")[0].endswith("1 in 4 before, ruled out now.")
    found = [change.figures for change in changes if change.animal == "C25-01-1" and change.after == 0]
    assert found == ["25% possible het Lavender Albino → Lavender Albino ruled out"]


def test_a_chance_that_only_fell_is_not_called_ruled_out(said: Mapping[str, AnimalStatement]) -> None:
    """Thistle is unlikely to carry Piebald; nothing excludes it."""
    assert not any("Ruled out" in text for text in said["F-04"].silences)
    assert 0 < next(trait.carries for trait in said["F-04"].traits if trait.trait == "Piebald") < 1


def test_the_mate_proposed_is_one_that_breeds(book: Book, said: Mapping[str, AnimalStatement]) -> None:
    """Not a hatchling that is held back, though it would answer as well."""
    proposed = [note.cause for one in said.values() for note in one.notes if note.kind == "settle"]
    assert proposed
    assert {book.collection.animals[mate or ""].status for mate in proposed} == {"breeder"}


def test_the_clutch_of_a_mate_is_told_as_such(said: Mapping[str, AnimalStatement]) -> None:
    """Bracken's figure rose because his mate's clutch with another male spoke against her."""
    (note, *_) = notes(said, "M-03", "open")
    assert "Clutch C24-01 of its mate F-04 had seven hatchlings" in note
    assert ", which bears on what the young of the two tell: " in note


def test_a_past_change_says_nothing_of_today(said: Mapping[str, AnimalStatement], changes: tuple[Change, ...]) -> None:
    """The joint figures of now stand in the note, not beside the change of that day."""
    assert "; now " in notes(said, "M-03", "which-parent")[0]
    then = [change.why for change in changes if change.animal == "M-03" and change.on == date(2023, 7, 31)]
    assert len(then) == 1
    assert then[0].endswith("carries Piebald, if either does.")


def test_a_sellers_figure_is_compared_with_then_and_now(said: Mapping[str, AnimalStatement]) -> None:
    """Comfrey was sold as 66%: it was 50% when she came and is less now."""
    assert [one.text for one in said["F-10"].compared] == [
        "Sold to us as 66% possible het Lavender Albino; our records gave 50% then, and now give 24%."
    ]


def test_a_look_that_two_pairs_of_alleles_share_says_so() -> None:
    """A founder that shows Motley may have one Stripe: three ways for two copies to fall, two of them with a Stripe."""
    locus = Locus("motley", "recessive", ("Motley", "Stripe"), together=(("Motley", "Stripe", "Motley"),))
    told = state_all(Answers(inferred((locus,), parent("F", "female", {}, ("Motley",))))).animals["F"]
    motley, stripe = told.traits
    assert (str(motley.copies[2]), str(stripe.carries)) == ("1/3", "2/3")
    assert motley.because[0].endswith("one copy of Motley with one of Stripe looks the same as two copies of Motley.")
    assert stripe.because[0].endswith("No record says for certain which.")


def test_a_test_of_one_allele_is_named_where_another_is_told(changes: tuple[Change, ...]) -> None:
    """Heather's test looked for Stripe; that it makes her and her young Motley for certain says of what."""
    found = [change.why for change in changes if change.animal == "C24-04-2" and change.trait == "Motley"]
    assert len(found) == 1
    assert found[0].startswith("A test of its dam F-22 on 12 November 2026 (shed test) found no copies of Stripe.")
