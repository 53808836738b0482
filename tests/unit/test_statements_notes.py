"""Notes of every kind: cause first, figures in natural counts, and nothing said that the exact figures do not confirm."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given, strategies as st
from msgspec.structs import replace
from tests.rooms import BARE, GALLERY, book_of
from tests.unit.statement_fakes import HERE, VISUAL, Fake, Key, collection, day, figure, het, reading, sire, stated

from clutchlight.genetics.values import Event, Figure, Grounds, Surprise
from clutchlight.model import Animal, Claim, Clutch, LabTest, Reading, Tally
from clutchlight.planning.settling import hatchlings_needed
from clutchlight.statements import family, hatched, results
from clutchlight.statements.answers import Answers
from clutchlight.statements.asked import Asked
from clutchlight.statements.hatched import Hatch
from clutchlight.statements.results import explanations, unexpected_families
from clutchlight.statements.values import Note, Statements
from clutchlight.wording.words import Label

HATCHED = Event(date(2025, 8, 1), 0, "C25-01", "hatching")


def animal(ident: str, role: str, look: Reading, **more: object) -> Animal:
    base = Animal(ident, "ball-python", HERE, egg=ident, readings=(look,), status="breeder")
    return replace(base, **{"sex": role, **more})


def clutch_of(normal: int, *, visual: int = 0, **more: object) -> Clutch:
    tally = [
        Tally(count, "unknown", look) for count, look in ((normal, reading()), (visual, reading("Piebald"))) if count
    ]
    made = Clutch("C25-01", "ball-python", HERE, sire("M-05"), "F-03", hatched=day("2025-08-01"), tally=tuple(tally))
    return replace(made, **more)


def told(
    clutch: Clutch,
    dam: tuple[Figure, Figure],
    mate: tuple[Figure, Figure],
    *,
    mate_look: Reading | None = None,
    why: dict[tuple[str, str, int], Grounds] | None = None,
    in_doubt: frozenset[tuple[str, str]] = frozenset(),
    **changes: object,
) -> Statements:
    animals = (
        animal("F-03", "female", reading(), **changes),
        animal("M-05", "male", reading() if mate_look is None else mate_look),
    )
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("F-03", "piebald"): [(None, dam[0]), (HATCHED, dam[1])],
        ("M-05", "piebald"): [(None, mate[0]), (HATCHED, mate[1])],
    }
    here = collection(animals, (clutch,))
    return stated(Fake(here, figures=figures, why=why or {}, in_doubt=in_doubt, events=(HATCHED,)))


def texts(statements: Statements, animal: str = "F-03", *kinds: str) -> list[str]:
    return [note.text for note in statements.animals[animal].notes if not kinds or note.kind in kinds]


def only(statements: Statements, kind: str, animal: str = "F-03") -> Note:
    (note,) = (note for note in statements.animals[animal].notes if note.kind == kind)
    return note


PIEBALD_MATE = {"mate": (VISUAL, VISUAL), "mate_look": reading("Piebald")}


def test_an_open_question_tells_cause_likelihood_before_and_after() -> None:
    """2/3 and five normal young from a visual mate: 1/17 (published: check values, carrier chances)."""
    said = told(clutch_of(5), (het("2/3"), het("1/17")), **PIEBALD_MATE)  # type: ignore[arg-type]
    assert only(said, "open").text == (
        "Clutch C25-01 with a Piebald mate had five hatchlings, none of them Piebald: a het would do that 1 time in 32; "
        "2 in 3 before, just under 6 in 100 now."
    )


def test_it_becomes_unlikely_under_the_threshold() -> None:
    """Seven normal young: 1/65, under 1/20 (Fisher's mouse, in Lee, Bayesian Statistics)."""
    said = told(clutch_of(7), (het("2/3"), het("1/65")), **PIEBALD_MATE)  # type: ignore[arg-type]
    assert only(said, "unlikely").text.endswith("1 time in 128; 2 in 3 before, just under 2 in 100 now.")
    assert texts(said, "F-03", "open") == []


def test_the_threshold_itself_is_still_open() -> None:
    """`doubt_below` compares fractions: exactly 1/20 is not below it."""
    said = told(clutch_of(4), (het("1/2"), het("1/20")), **PIEBALD_MATE)  # type: ignore[arg-type]
    assert [note.kind for note in said.animals["F-03"].notes if note.kind != "settle"] == ["open"]


def test_no_likelihood_is_said_that_the_change_of_odds_does_not_confirm() -> None:
    """Other evidence came in with the clutch: counts yes, "1 time in 32" no."""
    said = told(clutch_of(5), (het("2/3"), het("1/16")), **PIEBALD_MATE)  # type: ignore[arg-type]
    assert "would do that" not in only(said, "open").text


@given(
    st.fractions(min_value=Fraction(1, 100), max_value=Fraction(99, 100), max_denominator=200),
    st.integers(1, 20),
    st.booleans(),
)
def test_the_likelihood_said_is_the_exact_one(before: Fraction, count: int, visual: bool) -> None:
    """For a visual or a het mate and any prior the note says (1/2)^n or (3/4)^n."""
    miss = Fraction(1, 2) if visual else Fraction(3, 4)
    after = before * miss**count / (before * miss**count + 1 - before)
    mate = (VISUAL, VISUAL) if visual else (het("1"), het("1"))
    said = told(clutch_of(count), (het(before), het(after)), mate, mate_look=reading("Piebald") if visual else None)
    (note,) = (note for note in said.animals["F-03"].notes if note.kind in ("open", "unlikely"))
    assert "a het would do that" in note.text


def test_one_hatchling_is_singular() -> None:
    """One hatchling, not Piebald."""
    said = told(clutch_of(1), (het("2/3"), het("1/2")), **PIEBALD_MATE)  # type: ignore[arg-type]
    assert only(said, "open").text == (
        "Clutch C25-01 with a Piebald mate had one hatchling, which is not Piebald: "
        "a het would do that 1 time in 2; 2 in 3 before, 1 in 2 now."
    )


def test_a_proof_names_its_clutch_and_what_hatched() -> None:
    """ "Proven" never stands alone."""
    why = {("F-03", "piebald", 1): Grounds("proven", "C25-01")}
    said = told(clutch_of(4, visual=2), (het("2/3"), het("1")), why=why, **PIEBALD_MATE)  # type: ignore[arg-type]
    assert only(said, "proven").text == (
        "Clutch C25-01 with a Piebald mate had six hatchlings, two of them Piebald: 2 in 3 before, certain now."
    )
    assert [note.text for note in said.clutches["C25-01"].proved] == [
        "F-03 with a Piebald mate had six hatchlings, two of them Piebald: 2 in 3 before, certain now."
    ]


def test_a_claim_that_came_true_is_a_proof_although_no_figure_changed() -> None:
    """Certain on the seller's word before, proven now."""
    why = {("F-03", "piebald", 1): Grounds("proven", "C25-01")}
    claims = (Claim("piebald", "Piebald", Fraction(1), HERE),)
    said = told(clutch_of(4, visual=2), (het("1"), het("1")), why=why, claims=claims, **PIEBALD_MATE)  # type: ignore[arg-type]
    assert only(said, "proven").text == (
        "Clutch C25-01 proved it: two of the six hatchlings are Piebald; until then it was the seller's word."
    )


def test_two_possible_hets_prove_nothing_about_which() -> None:
    """Both 2/3, three normal young: joint chances, told on both and once on the clutch."""
    said = told(clutch_of(3), (het("2/3"), het("1/2")), (het("2/3"), het("1/2")))
    expected = (
        "Clutch C25-01 of two possible hets had three hatchlings, none of them Piebald: "
        "that does not say which of F-03 and M-05 carries Piebald, if "
        "either does; now both: 1 in 4, only F-03: 1 in 4, only M-05: 1 in 4, neither: 1 in 4."
    )
    assert texts(said, "F-03", "which-parent") == [expected]
    assert texts(said, "M-05", "which-parent") == [expected]
    assert [note.text for note in said.clutches["C25-01"].did_not] == [expected]


def test_a_certain_claim_with_nothing_to_show_for_it_is_doubted() -> None:
    """Five normal young from a visual mate: a true het does that 1 time in 32."""
    claims = (Claim("piebald", "Piebald", Fraction(1), HERE),)
    why = {("M-05", "piebald", 1): Grounds("look")}
    doubted = frozenset({("F-03", "piebald")})
    said = told(clutch_of(5), (het("1"), het("99/131")), why=why, claims=claims, in_doubt=doubted, **PIEBALD_MATE)  # type: ignore[arg-type]
    assert only(said, "claim-in-doubt").text == (
        "It had five hatchlings with a Piebald mate, none of them Piebald: a het does that 1 time in 32. "
        "So we count what was said of it as likely, 99 in 100 before these hatched, and no longer as certain."
    )


def test_a_claim_that_is_not_in_doubt_has_no_such_note() -> None:
    claims = (Claim("piebald", "Piebald", Fraction(1), HERE),)
    why = {("F-03", "piebald", 1): Grounds("claim"), ("M-05", "piebald", 1): Grounds("look")}
    said = told(clutch_of(2), (het("1"), het("1")), why=why, claims=claims, **PIEBALD_MATE)  # type: ignore[arg-type]
    assert texts(said, "F-03", "claim-in-doubt") == []


def test_what_would_settle_it_names_the_best_mate_here() -> None:
    """Christensen's textbook table, sect. 5.6, counts confidence; from 2/3 and a visual mate it takes six."""
    said = told(clutch_of(0), (het("2/3"), het("2/3")), **PIEBALD_MATE)  # type: ignore[arg-type]
    assert only(said, "settle").text == (
        "With M-05, a Piebald mate, one Piebald hatchling would prove it; six hatchlings and none Piebald would bring it under 1 in 20."
    )


@pytest.mark.parametrize(("sex", "status"), [("female", "available"), ("unknown", "breeder"), ("male", "breeder")])
def test_nothing_is_settled_by_animals_that_do_not_breed_together(sex: str, status: str) -> None:
    """An animal for sale, an unsexed one, or one of the mate's sex has no such note."""
    said = told(clutch_of(0), (het("2/3"), het("2/3")), sex=sex, status=status, **PIEBALD_MATE)  # type: ignore[arg-type]
    assert texts(said, "F-03", "settle") == []


def test_close_kin_are_never_proposed_as_mates() -> None:
    """A parent, a young or a sibling would settle it too; it is not what a page should suggest."""
    kid = animal("C24-01-1", "male", reading("Piebald"), dam="F-03", sire="M-09", hatched=day("2024-07-01"))
    animals = (animal("F-03", "female", reading()), kid)
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("F-03", "piebald"): [(None, het("2/3"))],
        ("C24-01-1", "piebald"): [(None, VISUAL)],
    }
    assert texts(stated(Fake(collection(animals), figures=figures)), "F-03", "settle") == []


def test_a_certainty_by_assumption_is_not_called_proven() -> None:
    """The condition stands in the note."""
    why = {("F-03", "piebald", 1): Grounds("assumption")}
    said = told(clutch_of(4, visual=2), (het("2/3"), het("1")), why=why, **PIEBALD_MATE)  # type: ignore[arg-type]
    assert only(said, "open").text.endswith("taken as certain now, if nothing unrecorded is behind it.")


@given(
    st.fractions(min_value=Fraction(1, 20), max_value=Fraction(19, 20), max_denominator=100),
    st.sampled_from([Fraction(1, 2), Fraction(3, 4)]),
)
def test_the_hatchlings_needed_are_just_enough(carries: Fraction, miss: Fraction) -> None:
    """With that many the chance is below the threshold, with one less it is not."""
    needed = hatchlings_needed((1 - carries, carries), (Fraction(1), miss), (False, True), Fraction(1, 20))
    assert needed is not None

    def after(count: int) -> Fraction:
        return carries * miss**count / (carries * miss**count + 1 - carries)

    assert after(needed) < Fraction(1, 20) <= after(needed - 1)


def test_a_relatives_result_tells_whose_it_was() -> None:
    """A young's figure moved when a later clutch of its dam hatched."""
    kid = animal("C24-01-1", "male", reading(), dam="F-03", sire="M-09", hatched=day("2024-07-01"))
    sires = (animal("M-05", "male", reading("Piebald")), animal("M-09", "male", reading()))
    animals = (animal("F-03", "female", reading()), *sires, kid)
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("C24-01-1", "piebald"): [(None, het("1/3")), (HATCHED, het("1/34"))],
    }
    said = stated(Fake(collection(animals, (clutch_of(5),)), figures=figures))
    assert only(said, "unlikely", "C24-01-1").text == (
        "Clutch C25-01 of its dam F-03 had five hatchlings, none of them Piebald: 1 in 3 before, just under 3 in 100 now."
    )


def test_its_own_birth_is_no_news() -> None:
    """The hatching of its own clutch makes the figure it starts from."""
    kid = animal("C25-01-1", "male", reading(), dam="F-03", sire="M-05", clutch="C25-01", hatched=day("2025-08-01"))
    animals = (animal("F-03", "female", reading()), animal("M-05", "male", reading()), kid)
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("C25-01-1", "piebald"): [(None, het("1/2")), (HATCHED, het("2/3"))],
    }
    said = stated(Fake(collection(animals, (clutch_of(0, young=("C25-01-1",)),)), figures=figures))
    assert said.animals["C25-01-1"].notes == ()


def test_a_test_says_what_it_found_and_how_sure_it_is() -> None:
    """By, date, copies; a fallible one says how often it is wrong."""
    event = Event(date(2025, 9, 1), 2, "F-03", "test")
    test = LabTest("piebald", "Piebald", 1, day("2025-09-01"), HERE, Fraction(1, 100), "shed test")
    animals = (animal("F-03", "female", reading(), tests=(test,)),)
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("F-03", "piebald"): [(None, het("1/2")), (event, het("198/199"))]
    }
    said = stated(Fake(collection(animals), figures=figures))
    assert texts(said)[0] == (
        "A test on 1 September 2025 (shed test, errs 1 time in 100) found one copy: 1 in 2 before, over 99 in 100 now."
    )
    (trait,) = said.animals["F-03"].traits
    assert "A test on 1 September 2025 (shed test, errs 1 time in 100) found one copy." in trait.because


def test_a_part_of_a_clutch_is_said_to_be_a_part() -> None:
    """Incomplete records: looks rule out, they do not weigh."""
    why = {("F-03", "piebald", 1): Grounds("proven", "C25-01")}
    clutch = clutch_of(1, visual=1, complete=False)
    said = told(clutch, (het("2/3"), het("1")), why=why, **PIEBALD_MATE)  # type: ignore[arg-type]
    assert (
        "with a Piebald mate had two recorded hatchlings, one of them Piebald: 2 in 3 before, certain now"
        in only(said, "proven").text
    )


def test_identical_twins_are_one_hatchling_of_evidence() -> None:
    """One egg, one genotype: two animals count once."""
    one = animal("C25-01-1", "male", reading(), dam="F-03", sire="M-05", clutch="C25-01", hatched=day("2025-08-01"))
    twin = replace(one, id="C25-01-2", egg="C25-01-1")
    animals = (animal("F-03", "female", reading()), animal("M-05", "male", reading("Piebald")), one, twin)
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("F-03", "piebald"): [(None, het("2/3")), (HATCHED, het("1/2"))],
        ("M-05", "piebald"): [(None, VISUAL)],
    }
    said = stated(Fake(collection(animals, (clutch_of(0, young=("C25-01-1", "C25-01-2")),)), figures=figures))
    assert only(said, "open").text.startswith(
        "Clutch C25-01 with a Piebald mate had one egg, which gave no Piebald young: a het would"
    )


def test_a_surprise_is_told_on_all_it_concerns_and_explained_only_at_the_desk() -> None:
    """Public: what happened and that the parentage needs checking. Desk: the list of explanations."""
    animals = (animal("F-03", "female", reading()), animal("M-05", "male", reading("Piebald")))
    surprise = Surprise("ball-python", "piebald", 1, (("F-03", Fraction(1)),), (), ("C25-01",), date(2025, 8, 1))
    fake = Fake(
        collection(animals, (clutch_of(3, visual=1),)),
        surprises=(surprise,),
        figures={("F-03", "piebald"): [(None, het("1"))]},
    )
    said = stated(fake)
    expected = (
        "Piebald turned up in clutch C25-01, though no earlier record says where it came from. An unexpected result: a "
        "parent carries more than was recorded, or the parentage needs checking. If our other records are right, F-03 carries it."
    )
    assert [only(said, "surprise").text, *(one.text for one in said.clutches["C25-01"].surprises)] == [
        expected,
        expected,
    ]
    assert said.animals["F-03"].surprises[0].text == expected
    answers = Answers(fake.as_inference)
    listed = explanations(answers, unexpected_families(answers)[0])
    assert not any("sire" in text for text in listed)  # he shows it: the copy that nothing explains is not from him
    assert listed[-1] == "Eggs or hatchlings were mixed up between clutches."
    assert not any(text in repr(said) for text in listed)


def test_a_mate_that_may_have_two_copies_is_not_called_het(tmp_path: Path) -> None:
    """Of two siblings one was seen to be normal, and may be het; of the other the look is not on record."""
    parent = "hatched: 2020, shows: normal, claims: {Piebald: 100%}"
    animals = f"[{{id: M-1, sex: male, {parent}}}, {{id: F-1, sex: female, {parent}}}]\n"
    clutch = "- {id: C22-1, sire: M-1, dam: F-1, eggs: 2, hatched: 2022-07-01, young: [1 m normal, 2 m]}\n"
    answers = BARE.book(tmp_path, {"animals/a.yaml": animals, "clutches/c.yaml": clutch}).telling
    said = []
    for name in ("C22-1-1", "C22-1-2"):
        one = answers.collection.animals[name]
        asked = Asked(answers, one, answers.species_of(one).loci["piebald"], 1)
        assert isinstance(asked.figure, Figure)
        said.append(hatched.mate_words(asked, asked.figure))
    assert said == ["a mate that may be het Piebald", "a mate that may carry Piebald"]


def test_what_explains_a_surprise_explains_the_next_clutch_too(tmp_path: Path) -> None:
    """Of three visuals of one pair, over two years, the first alone was to be looked at again. Young of a visual say nothing more."""
    animals = "[{id: M-1, sex: male, shows: normal}, {id: F-1, sex: female, shows: normal}, {id: F-2, sex: female, shows: Albino}]\n"
    pair = "sire: M-1, dam: F-1, eggs: 3, complete: no, hatched"
    clutches = f"""- {{id: C24-1, {pair}: 2024-07-01, young: [1 m Albino, 2 f normal]}}
- {{id: C25-1, {pair}: 2025-07-01, young: [1 m Albino, 2 f normal, 3 f Albino]}}
- {{id: C26-1, sire: C24-1-1, dam: F-2, eggs: 1, hatched: 2026-07-01, young: [1 m Albino]}}
"""
    answers = BARE.book(tmp_path, {"animals/a.yaml": animals, "clutches/c.yaml": clutches}).telling
    last = explanations(answers, unexpected_families(answers)[0])[-1]
    assert last == "Whatever explains it has to explain the look of C25-1-1 and C25-1-3 too."


def test_another_sire_leaves_the_copy_of_the_dam_unexplained() -> None:
    """A visual has a copy from each parent: where both carry it unrecorded, she does whoever sired it; where he alone does, nothing."""
    animals = (animal("F-03", "female", reading()), animal("M-05", "male", reading()))
    sure = Fraction(1)
    said = []
    for founders in ((("F-03", sure), ("M-05", sure)), (("M-05", sure),)):
        one = Surprise("ball-python", "piebald", 1, founders, (), ("C25-01",), date(2025, 8, 1))
        fake = Fake(collection(animals, (clutch_of(3, visual=1),)), surprises=(one,))
        answers = Answers(fake.as_inference)
        said.append([text for text in explanations(answers, unexpected_families(answers)[0]) if "sire" in text])
    another = "Another sire: clutch C25-01 may be by a male that is not written down."
    stored = "Stored sperm: an earlier male may have sired clutch C25-01."
    assert said == [[f"{one} F-03 carries Piebald all the same." for one in (another, stored)], [another, stored]]


def test_a_sire_on_record_who_did_not_sire_all_may_have_had_a_share(tmp_path: Path) -> None:
    """The Pastel is by M-1, so one sire of all is he; where each egg has its own, M-2 who may carry Clown explains the other."""
    animals = """
- {id: M-1, sex: male, shows: [Pastel]}
- {id: M-2, sex: male, shows: normal%s}
- {id: F-1, sex: female, shows: [Clown]}
"""
    clutch = "{id: C-1, sire: [M-1, M-2], dam: F-1, eggs: 2, hatched: 2025-05-16, young: [1 f Pastel, 2 m Clown]}\n"
    said = []
    for claims in (", claims: {Clown: 66%}", ""):
        answers = BARE.book(tmp_path, {"animals/a.yaml": animals % claims, "clutches/c.yaml": clutch}).telling
        (family,) = unexpected_families(answers)
        said.append([text for text in explanations(answers, family) if text.startswith("Two males had a share")])
    young = "{id: C-1, sire: [M-1, M-2], dam: F-1, eggs: 1, hatched: 2025-05-16, young: [{id: C-1-1, shows: [Clown, Pastel]}]}\n"
    only_one = BARE.book(
        tmp_path, {"animals/a.yaml": animals % ", claims: {Clown: 66%}", "clutches/c.yaml": young}
    ).telling
    (family,) = unexpected_families(only_one)
    assert not any("had a share" in text for text in explanations(only_one, family))
    one = "Two males had a share: M-2 may have sired some of clutch C-1. If each egg may have its own sire, write"
    assert said == [[f"{one} `sire: {{mixed: [M-1, M-2]}}` in clutches/c.yaml, at C-1."], []]


CANDINO = (
    "- {id: C-1, sire: M-1, dam: F-1, laid: 2025-05-20, eggs: 2, hatched: 2025-07-16, young: [1 Candino, 2 normal]}\n"
)


@pytest.mark.parametrize(
    ("claims", "told"),
    [
        ("{}", [("Albino", {"F-1": "1/2", "M-1": "1/2"}), ("Candy", {"F-1": "1/2", "M-1": "1/2"})]),
        ("{Albino: 1/2, Candy: 1/2}", [("Albino or Candy", {"M-1": "1"})]),
        ("{Candy: 1/2}", [("Albino", {"M-1": "1"})]),
    ],
)
def test_an_allele_that_may_have_been_expected_is_one_of_several(
    tmp_path: Path, claims: str, told: list[tuple[str, dict[str, str]]]
) -> None:
    """A Candino needs one copy of each: both are unexpected, or either, or the one that was not said of the dam."""
    animals = f"- {{id: F-1, sex: female, shows: normal, claims: {claims}}}\n- {{id: M-1, sex: male, shows: normal}}\n"
    book = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": CANDINO})
    found = [(one.trait, dict(one.founders)) for one in unexpected_families(book.telling)]
    assert found == [(trait, {name: Fraction(chance) for name, chance in of.items()}) for trait, of in told]


def test_figures_in_notes_follow_later_events() -> None:
    """A note on an earlier clutch does not call its figure "now"."""
    later = Event(date(2026, 8, 1), 0, "C26-01", "hatching")
    animals = (animal("F-03", "female", reading()), animal("M-05", "male", reading("Piebald")))
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("F-03", "piebald"): [(None, het("2/3")), (HATCHED, het("1/17")), (later, het("1"))],
        ("M-05", "piebald"): [(None, VISUAL)],
    }
    said = stated(
        Fake(collection(animals, (clutch_of(5), replace(clutch_of(0, visual=1), id="C26-01"))), figures=figures)
    )
    first, second = texts(said, "F-03", "open", "proven")
    assert first.endswith("just under 6 in 100 after it.")
    assert second.endswith("certain now.")


def test_a_compound_look_keeps_to_counts() -> None:
    """More copies open: no sentence about hets is made from a dominant trait."""
    animals = (animal("F-03", "female", reading("Pinstripe")), animal("M-05", "male", reading()))
    figures: dict[Key, list[tuple[Event | None, Figure]]] = {
        ("F-03", "pinstripe"): [(None, figure(((0, 1), "1/2"), ((1, 1), "1/2"))), (HATCHED, het("1"))]
    }
    said = stated(Fake(collection(animals, (clutch_of(3),)), figures=figures))
    assert said.animals["F-03"].notes == ()


def test_hatchlings_that_show_a_trait_by_two_looks_are_counted_by_look() -> None:
    """One Ultramel is no Amelanistic, though it shows that it carries it."""
    hatch = Hatch(4, 3, "Amelanistic", looks=(("Amelanistic", 1), ("Ultramel", 2)))
    assert hatched.hatchlings_words(hatch) == "had four hatchlings, one of them Amelanistic and two Ultramel"
    assert hatched.hatched_words(hatch) == "of the four hatchlings, one is Amelanistic and two Ultramel"


def test_of_two_sure_tests_of_a_day_that_of_the_trait_is_meant() -> None:
    """Of a locus with several alleles; of a third trait, or of a relative, both."""
    order = {"Albino": 1, "Candy": 2, "Toffee": 3}
    tests = [LabTest("albino", trait, 0, day("2025-05-01"), HERE) for trait in ("Candy", "Albino")]
    locus = SimpleNamespace(key="albino", allele_number=order.__getitem__)

    def meant(trait: str, animal: str = "F-01") -> list[str]:
        tested = SimpleNamespace(animal=SimpleNamespace(tests=tests))
        asked: Any = SimpleNamespace(
            trait=trait, locus=locus, animal=SimpleNamespace(id=animal), of=lambda name: tested
        )
        event: Any = SimpleNamespace(kind="test", on=date(2025, 5, 1), subject="F-01")
        return [test.trait for test in family._tests_at(asked, event)]

    assert [meant(trait) for trait in order] == [["Albino"], ["Candy"], ["Albino", "Candy"]]
    assert meant("Candy", "F-02") == ["Candy", "Albino"]


def test_a_mate_is_told_by_all_that_it_may_be_het_for_or_by_what_it_is() -> None:
    """Once for each allele of the locus; of one that is known, what is in question beside it is not told."""
    candy, toffee = (Label("", "a mate that may be het", trait) for trait in ("Candy", "Toffee"))
    assert family._of_one_mate([candy, "", toffee]) == "a mate that may be het Candy or Toffee"
    assert family._of_one_mate(["a Candy mate", "a Candy mate", toffee]) == "a Candy mate"
    assert family._of_one_mate(["", ""]) == ""


def test_nobody_is_doubted_of_whom_nothing_was_claimed() -> None:
    """There is no word to doubt, and none where it was not said to be certain."""
    doubted = frozenset({("F-03", "piebald")})
    for claims in ((), (Claim("piebald", "Piebald", Fraction(2, 3), HERE),)):
        said = told(clutch_of(9), (het("2/3"), het("1/2")), claims=claims, in_doubt=doubted, **PIEBALD_MATE)  # type: ignore[arg-type]
        assert texts(said, "F-03", "claim-in-doubt") == []


@pytest.mark.parametrize(
    ("daughter", "young", "what", "where"),
    [
        (", shows: normal", "Pastel", "Pastel", "it"),
        ("", "Super Pastel", "Two copies of Pastel", "the second one"),
    ],
)
def test_a_second_copy_is_told_of_only_where_there_are_two(
    tmp_path: Path, daughter: str, young: str, what: str, where: str
) -> None:
    """G-1 may be Pastel, but her daughter is not, or was never looked at; nothing is said of S-1."""
    files = {
        "animals/all.yaml": "- {id: G-1, sex: female, hatched: 2015, claims: {Pastel: 50%}}\n"
        "- {id: M-0, sex: male, hatched: 2015, shows: normal}\n- {id: S-1, sex: male, hatched: 2015}\n",
        "clutches/all.yaml": "- {id: C20-01, sire: M-0, dam: G-1, eggs: 1, hatched: 2020-07-01, "
        f"young: [{{id: C20-01-1, sex: female{daughter}}}]}}\n"
        f"- {{id: C24-01, sire: S-1, dam: C20-01-1, eggs: 1, hatched: 2024-07-01, young: [1 f {young}]}}\n",
    }
    assert results.results(BARE.book(tmp_path, files).telling) == (
        f"{what} turned up in clutch C24-01 (C24-01-1), though no earlier record says where {where} came from",
    )


def test_a_mate_of_a_later_year_is_none_when_a_clutch_hatches(tmp_path: Path) -> None:
    """M-1, her sire, or M-2 sired the clutch of 2024 that moved what is said of her; she bred with M-2 in 2026 alone."""
    files = {
        "animals/all.yaml": """- {id: M-1, sex: male, hatched: 2019, shows: normal, claims: {Clown: 50%}}
- {id: M-2, sex: male, hatched: 2019, shows: normal}
- {id: F-1, sex: female, hatched: 2019, shows: normal}
- {id: F-4, sex: female, hatched: 2019, shows: [Clown]}
""",
        "clutches/all.yaml": """- {id: C23-01, sire: M-1, dam: F-1, eggs: 1, hatched: 2023-07-01, young: [1 f normal]}
- {id: C24-01, sire: [M-1, M-2], dam: F-4, eggs: 3, hatched: 2024-07-01, young: [1 m normal, 2 m normal, 3 m normal]}
- {id: C26-01, sire: M-2, dam: C23-01-1, eggs: 1, hatched: 2026-07-01, young: [1 m normal]}
""",
    }
    (note,) = BARE.book(tmp_path, files).statements.animals["C23-01-1"].notes
    assert note.text == (
        "Clutch C24-01 of F-4 and perhaps of its sire M-1 had three hatchlings, none of them Clown: 1 in 4 before, 18 in 100 now."
    )


def test_two_possible_hets_are_not_told_of_once_one_of_them_is_proven(tmp_path: Path) -> None:
    """The clutch of 2023 said nothing of which carries it; that of 2024 proved him."""
    files = {
        "animals/all.yaml": """- {id: M-1, sex: male, hatched: 2019, shows: normal, claims: {Clown: 66%}}
- {id: F-1, sex: female, hatched: 2019, shows: normal, claims: {Clown: 66%}}
- {id: F-2, sex: female, hatched: 2019, shows: [Clown]}
""",
        "clutches/all.yaml": """- {id: C23-01, sire: M-1, dam: F-1, eggs: 3, hatched: 2023-07-01, tally: [3 x normal]}
- {id: C24-01, sire: M-1, dam: F-2, eggs: 1, hatched: 2024-07-01, tally: [1 x Clown]}
""",
    }
    said = BARE.book(tmp_path, files).statements
    lead = "Clutch C23-01 with a mate that may be het Clown had three hatchlings, none of them Clown: 2 in 3 before,"
    assert said.animals["F-1"].notes[0].text.startswith(lead)
    assert {note.kind for note in said.clutches["C23-01"].did_not} == {"open"}


def test_a_clutch_tells_what_a_later_look_of_its_young_left(tmp_path: Path) -> None:
    """Its young is seen to be Enchi, which M-1 alone gives: nothing of M-2, and of the dam what is left of her chance."""
    looks = "[{on: 2024-07-01, shows: normal}, {on: 2024-11-20, shows: [Enchi]}]"
    files = {
        "animals/all.yaml": """- {id: M-1, sex: male, hatched: 2019, shows: [Enchi, Clown]}
- {id: M-2, sex: male, hatched: 2019, shows: normal, claims: {Clown: 50%}}
- {id: F-1, sex: female, hatched: 2019, shows: normal, claims: {Clown: 50%}}
""",
        "clutches/all.yaml": f"""- id: C24-01
  sire: [M-1, M-2]
  dam: F-1
  eggs: 5
  hatched: 2024-07-01
  tally: [4 x normal]
  young: [{{id: C24-01-1, looks: {looks}}}]
""",
    }
    (told,) = BARE.book(tmp_path, files).statements.clutches["C24-01"].did_not
    assert told.text.startswith("F-1: the look of its young C24-01-1 was read again as Enchi: Clown was ")


def test_of_one_look_of_two_alleles_either_may_be_by_another_sire() -> None:
    """A Candino has one copy from each parent, whichever: a male with Albino leaves the dam the Candy."""
    answers = book_of(GALLERY / "candino-unexpected").telling
    told = {
        family.trait: explanations(answers, family)
        for family in unexpected_families(answers)
        if "C25-02" in family.clutches
    }
    sire = "Another sire: clutch C25-02 may be by a male that is not written down."
    assert f"{sire} F-2 carries Albino or Candy all the same." in told["Albino"]
    assert sire in told["Candy"]
