"""`doubt`: what is printed of each record left out, and its data."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator
from tests.oracle.as_collection import as_collection
from tests.oracle.case import NONE, Animal, Case, Claim, Clutch, LabTest, Locus, Look, Reading
from tests.rooms import BARE, FAMILY, GALLERY, book_of

from clutchlight import shipped
from clutchlight.cli import main
from clutchlight.genetics.inference import infer
from clutchlight.planning.doubt import doubts
from clutchlight.statements.doubt import first_few, not_told

ROOM = GALLERY / "what-everything-hangs-on"


def said(*asked: str) -> str:
    result = CliRunner().invoke(main, ["doubt", *asked, "--collection", str(ROOM)])
    assert result.exit_code == 0, result.output
    return result.stdout


def test_sold_animals_come_first() -> None:
    """The records with most figures of sold animals first; of each record its sold animals before the others."""
    book = book_of(ROOM)
    found = doubts(book.inference)
    assert [len(one.sold) for one in found] == sorted((len(one.sold) for one in found), reverse=True)
    heading, listed, *_ = said().split("\n\n")
    assert heading.endswith("Chances of two copies are not counted.")
    first = listed.splitlines()
    assert first[0].startswith("The look of C26-01-1 (Piebald): 6 printed figures, 2 of sold animals")
    assert [line.split(",")[0].strip() for line in first[1:4]] == ["C26-01-2 (sold)", "C26-01-3 (sold)", "F-1"]
    every = list(first_few(found[0], book.telling_its_owner, None))
    assert len(every) == 6
    assert (
        list(first_few(found[0], book.telling_its_owner, 6))
        == list(first_few(found[0], book.telling_its_owner, 7))
        == every
    )
    assert list(first_few(found[0], book.telling_its_owner, 5)) == [*every[:5], "and 1 more"]


def test_a_record_that_rules_out_a_sire_moves_other_loci_where_there_may_be_none() -> None:
    """A double dose, and the male carries that in 1 of 100: 200 to 1 that there is no sire. Without one 3 of 4 young carry the dam's
    other trait, with him 1 of 2: 200/201 3/4 + 1/201 1/2 = 301/402; without the test 5/8 (derived)."""
    loci = (Locus("first", "recessive", ("First",)), Locus("second", "recessive", ("Second",), kept=Fraction(1, 2)))
    normal = (Reading(Look(())),)
    animals = (
        Animal("D", "female", normal, claims=(Claim("First", Fraction(1)), Claim("Second", Fraction(1)))),
        Animal("S", "male", normal),
        Animal("Y", "female", tests=(LabTest("First", 2, date(2025, 1, 1)),), clutch="C-1"),
    )
    clutch = Clutch("C-1", ((NONE, Fraction(1, 2)), ("S", Fraction(1, 2))), "D", date(2024, 7, 1))
    found = doubts(infer(as_collection(Case(loci, animals, (clutch,)))))
    (test,) = (one for one in found if one.record.kind == "test")
    moved = {(one.animal, one.locus): (one.before, one.after) for one in test.moved}
    assert moved["Y", "second"] == (Fraction(301, 402), Fraction(5, 8))


def test_without_a_claim_the_others_who_may_have_brought_it_are_asked_of_all_their_young() -> None:
    """A visual's one copy came from her sire's dam, who was said to be het, or else from his sire, of whom nothing was said. Of him and
    a visual two young are normal, each 1 of 2 if he is het: 4 to 1 that it was she (derived)."""
    normal, visual = (Reading(Look(())),), (Reading(Look(("P",))),)
    animals = (
        Animal("G1", "female", normal, claims=(Claim("P", Fraction(1)),)),
        Animal("G2", "male", normal),
        Animal("V", "female", visual),
        Animal("S", "male", normal, clutch="C-1"),
        Animal("D", "female", visual),
        Animal("Y", "male", visual, clutch="C-2"),
        Animal("N1", "male", normal, clutch="C-3"),
        Animal("N2", "male", normal, clutch="C-3"),
    )
    clutches = (
        Clutch("C-1", (("G2", Fraction(1)),), "G1", date(2020, 7, 1)),
        Clutch("C-2", (("S", Fraction(1)),), "D", date(2023, 7, 1)),
        Clutch("C-3", (("G2", Fraction(1)),), "V", date(2021, 7, 1)),
    )
    found = doubts(infer(as_collection(Case((Locus("at", "recessive", ("P",)),), animals, clutches))))
    (claim,) = (one for one in found if one.record.kind == "claim")
    moved = {one.animal: (one.before, one.after) for one in claim.moved}
    assert moved == {"G1": (Fraction(1), Fraction(4, 5)), "G2": (Fraction(0), Fraction(1, 5))}


def test_a_look_is_told_with_its_own_figure_and_with_mates_of_the_same_standing() -> None:
    """Sold C26-01-2 and C26-01-4, which stays, look alike and have the same figures: each look moves its own."""
    for name, sold in (("C26-01-2", " (sold)"), ("C26-01-4", "")):
        (own,) = [block for block in said().split("\n\n") if block.startswith(f"The look of {name} (normal):")]
        assert f"  {name}{sold}, Piebald: 66%; without it, 75%" in own
        assert f"The look of {name} (normal):" in said(name)


def test_what_other_records_prove_as_well_is_not_named() -> None:
    """Two visuals prove a parent: neither of their looks alone does."""
    assert "F-1, Piebald: certain, proven by C26-01; without it, 38%" in said("C26-01-1")
    assert "No printed figure." in said("M-1")


def test_the_data_fit_their_schema() -> None:
    """Fractions, and the records that move the animal beside its own."""
    schema = json.loads((Path(str(shipped.__file__)).parent / "schemas" / "doubt.json").read_text(encoding="utf-8"))
    document = json.loads(said("C26-01-2", "--json"))
    Draft202012Validator(schema).validate(document)
    assert document["records"][0]["moves"][0]["after"] == "3/4"
    assert {one["of"] for one in document["hangs_on"]} == {"C26-01-1", "C26-01-2"}


@pytest.mark.parametrize("name", ["C26-99", "M-9"])
def test_a_name_that_is_on_no_record_is_refused(name: str) -> None:
    """With a problem, not a traceback."""
    result = CliRunner().invoke(main, ["doubt", name, "--collection", str(ROOM)])
    assert result.exit_code != 0
    assert name in result.stderr


def test_what_is_handed_over_later_is_not_sold_yet(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On the day before its hand-over it is no sold animal; on that day it is."""
    clutch = str(FAMILY.base["clutches/C26-01.md"]).replace("1 f normal; available", "1 f normal; sold")
    sale = "- {animals: [C26-01-1], buyer: A. Bell, handed_over: 2026-11-20}\n"
    room = FAMILY.write(tmp_path, {"sales/2026.yaml": sale, "clutches/C26-01.md": clutch})
    for day, said_of_it in ((19, "C26-01-1, Piebald"), (20, "C26-01-1 (sold), Piebald")):
        monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(datetime(2026, 11, day, 12, tzinfo=UTC).timestamp())))
        assert said_of_it in CliRunner().invoke(main, ["doubt", "--collection", str(room)]).stdout


@pytest.mark.parametrize(("dam", "said"), [("C25-01-1", True), ("F-1", False)])
def test_whose_figures_are_not_asked_about_is_told_where_there_are_such(tmp_path: Path, dam: str, said: bool) -> None:
    clutch = "- {{id: {}, sire: M-1, dam: {}, laid: {}-05-01, eggs: 1, hatched: {}-07-01, young: [1 f Piebald; breeder]{}}}\n"
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, shows: normal}\n- {id: M-1, sex: male, shows: normal}\n",
        "clutches/all.yaml": clutch.format("C25-01", "F-1", 2025, 2025, ", counts: no")
        + clutch.format("C27-01", dam, 2027, 2027, ""),
    }
    assert bool(not_told(BARE.book(tmp_path, files).collection)) is said


def test_what_its_probable_sire_leaves_is_on_no_seller_s_word() -> None:
    """What was said is of another trait, of a male who is no sire of it; the desk and the advert say it alike."""
    book = book_of(GALLERY / "one-male-ruled-out")
    told = [text for one in doubts(book.inference) for text in first_few(one, book.telling_its_owner, None)]
    certain = [text for text in told if text.startswith("C26-02-1, Desert Ghost: ")]
    assert certain
    assert all("taken as certain, by its probable sire; without it" in text for text in certain)
