"""statement.json and the problems that only figures can see: exact keys, their order, the schema, places and words."""

from __future__ import annotations

import hashlib
import json
from fractions import Fraction

import pytest
import rfc8785
from jsonschema import Draft202012Validator
from msgspec.structs import replace
from tests.unit.statement_fakes import HERE, Fake, collection, day, stated
from tests.unit.test_statements import CLUTCH, DAM, FAMILY, FIGURES, SIRE, WHY

from clutchlight import shipped
from clutchlight.genetics.inference import infer
from clutchlight.genetics.values import Conflict, EvidenceRecord, Grounds, NotComputed
from clutchlight.model import LabTest
from clutchlight.pipeline import Book
from clutchlight.problems import Place
from clutchlight.statements.answers import Answers
from clutchlight.statements.clutches import state_all
from clutchlight.statements.results import problems_in, problems_of
from clutchlight.statements.values import AnimalStatement, ClutchStatement, to_json

ANIMAL_KEYS = [
    "schema", "kind", "id", "name", "species", "since", "sex", "hatched", "looks", "under_review", "parents", "inbreeding", "traits",
    "all_of", "advert", "maker", "notes", "surprises", "digest",
]  # fmt: skip
TRAIT_KEYS = [
    "locus", "trait", "shows", "copies", "carries", "percent", "label", "certainty", "grounds", "proven_by", "rests_on", "when_hatched",
    "when_sold",
]  # fmt: skip

FAKE = Fake(
    collection(FAMILY, (CLUTCH,)),
    figures=FIGURES,
    why=WHY,
    claimed_by={(name, "piebald"): ("F-03",) for name in ("F-03", "C24-03-2")},
    inbred={"C24-03-2": Fraction(1, 8)},
)
SAID = stated(FAKE)


def schema() -> Draft202012Validator:
    return Draft202012Validator(json.loads(shipped.schema("statement")))


LEFT_OUT = {("dated-record", "under_review"), ("dated-record", "if_sired")}
"""Older lines of a ledger do not have them."""


@pytest.mark.parametrize("name", shipped.SCHEMAS)
def test_every_schema_shipped_is_itself_valid(name: str) -> None:
    """JSON Schema, draft 2020-12; every object refuses keys that it does not list."""
    loaded = json.loads(shipped.schema(name))
    Draft202012Validator.check_schema(loaded)

    def objects(part: object) -> list[dict[str, object]]:
        inner = list(part.values()) if isinstance(part, dict) else part if isinstance(part, list) else []
        own = [part] if isinstance(part, dict) and part.get("type") == "object" and "properties" in part else []
        return [*own, *(found for one in inner for found in objects(one))]

    assert objects(loaded)
    for found in objects(loaded):
        assert found["additionalProperties"] is False
        keys = list(found["properties"])  # type: ignore[call-overload]
        assert found["required"] == [key for key in keys if (name, key) not in LEFT_OUT]


def test_every_statement_fits_the_schema() -> None:
    """Animals and clutches."""
    statements: list[AnimalStatement | ClutchStatement] = [*SAID.animals.values(), *SAID.clutches.values()]
    for statement in statements:
        assert list(schema().iter_errors(to_json(statement))) == []


def test_the_schema_refuses_what_is_not_a_statement() -> None:
    """An unknown key, a fraction that is not one, a missing key."""
    good = to_json(SAID.animals["C24-03-2"])
    assert not schema().is_valid({**good, "extra": 1})
    assert not schema().is_valid({**good, "inbreeding": "0.125"})
    assert not schema().is_valid({key: value for key, value in good.items() if key != "maker"})


def test_the_keys_stand_in_the_documented_order() -> None:
    """As written in the page on outputs."""
    said = to_json(SAID.animals["C24-03-2"])
    traits = said["traits"]
    assert list(said) == ANIMAL_KEYS
    assert isinstance(traits, list)
    assert [list(trait) for trait in traits if isinstance(trait, dict)] == [TRAIT_KEYS] * 2


def test_an_animal_says_exactly_this() -> None:
    """The documented example's shape, with fractions in lowest terms."""
    said = to_json(SAID.animals["C24-03-2"])
    assert {key: said[key] for key in ANIMAL_KEYS if key not in ("traits", "digest")} == {
        "schema": "clutchlight/statement/1",
        "kind": "animal",
        "id": "C24-03-2",
        "name": None,
        "species": "ball-python",
        "since": None,
        "sex": "male",
        "hatched": "2024-07-16",
        "looks": ["Pastel"],
        "under_review": [],
        "parents": {"sires": [{"id": "M-02", "chance": "1"}], "dam": "F-03", "clutch": "C24-03"},
        "inbreeding": "1/8",
        "all_of": None,
        "advert": "1.0 Pastel, 66% possible het Piebald, hatched 2024-07",
        "maker": None,
        "notes": [],
        "surprises": [],
    }
    assert said["traits"] == [
        {
            "locus": "pastel",
            "trait": "Pastel",
            "shows": True,
            "copies": {"0": "0", "1": "1", "2": "0"},
            "carries": "1",
            "percent": 100,
            "label": "Pastel",
            "certainty": "certain",
            "grounds": "look",
            "proven_by": None,
            "rests_on": [],
            "when_hatched": {"carries": "1", "percent": 100},
            "when_sold": None,
        },
        {
            "locus": "piebald",
            "trait": "Piebald",
            "shows": False,
            "copies": {"0": "1/3", "1": "2/3", "2": "0"},
            "carries": "2/3",
            "percent": 66,
            "label": "66% possible het Piebald",
            "certainty": "possible",
            "grounds": "chance",
            "proven_by": None,
            "rests_on": ["F-03"],
            "when_hatched": {"carries": "2/3", "percent": 66},
            "when_sold": None,
        },
    ]


def test_a_reader_can_make_the_digest_again_from_the_file() -> None:
    """RFC 8785 and SHA-256 over the figures as they stand in statement.json."""
    said = to_json(SAID.animals["C24-03-2"])
    traits = said["traits"]
    assert isinstance(traits, list)
    covered = {key: said[key] for key in ("schema", "id", "species", "sex", "hatched", "looks", "parents")}
    inside = ("locus", "trait", "copies", "carries", "grounds", "proven_by")
    covered["traits"] = [{key: trait[key] for key in inside} for trait in traits if isinstance(trait, dict)]
    assert said["digest"] == f"sha256:{hashlib.sha256(rfc8785.dumps(covered)).hexdigest()}"


def test_a_trait_without_a_figure_keeps_its_place_with_nulls() -> None:
    """Left out it would read as a chance of nothing."""
    figures = FIGURES | {("C24-03-2", "clown"): NotComputed(("F-03",))}
    said = to_json(stated(replace(FAKE, figures=figures)).animals["C24-03-2"])
    traits = said["traits"]
    assert isinstance(traits, list)
    last = traits[-1]
    assert isinstance(last, dict)
    assert (last["trait"], last["carries"], last["label"]) == ("Clown", None, "Clown: not computed")
    assert list(schema().iter_errors(said)) == []


def test_a_clutch_holds_its_public_young_as_statements() -> None:
    """Young without a page of their own stay out."""
    hidden = tuple(replace(one, publish="no") if one.id == "C24-03-1" else one for one in FAMILY)
    said = to_json(stated(replace(FAKE, collection=collection(hidden, (CLUTCH,)))).clutches["C24-03"])
    young = said["young"]
    assert isinstance(young, list)
    assert [one["id"] for one in young if isinstance(one, dict)] == ["C24-03-2", "C24-03-3"]
    assert said["eggs"] == {"good": 3, "slugs": 0, "went_bad": 0, "unseen": 0, "to_sort": 0}


def test_unlisted_parents_and_proofs_are_null() -> None:
    """Nobody is named who is not to be."""
    hidden = (replace(SIRE, publish="no"), DAM, *FAMILY[2:])
    why = WHY | {("C24-03-2", "piebald", 1): Grounds("test", "M-02")}
    said = to_json(stated(replace(FAKE, collection=collection(hidden, (CLUTCH,)), why=why)).animals["C24-03-2"])
    assert said["parents"] == {"sires": [{"id": None, "chance": "1"}], "dam": "F-03", "clutch": "C24-03"}
    assert "M-02" not in json.dumps(said)
    assert list(schema().iter_errors(said)) == []


CONFLICT = Conflict(
    "ball-python",
    "piebald",
    (
        EvidenceRecord("look", "C24-03-1", Place("clutches/C24-03.md", 9, 5)),
        EvidenceRecord("look", "M-02", Place("animals/M-02.md", 4, 1), ("Piebald",)),
        EvidenceRecord("sire", "C24-03", Place("clutches/C24-03.md", 3, 7), ("M-02",)),
    ),
)


def test_a_conflict_is_one_problem_at_each_record_naming_the_others() -> None:
    """Sorted by place; each message names every other record with its line, never its own."""
    found = problems_of(CONFLICT, collection(FAMILY))
    assert [(one.file, one.line, one.column, one.code, one.level) for one in found] == [
        ("animals/M-02.md", 4, 1, "records-conflict", "error"),
        ("clutches/C24-03.md", 3, 7, "records-conflict", "error"),
        ("clutches/C24-03.md", 9, 5, "records-conflict", "error"),
    ]
    assert found[0].message == (
        "at Piebald, not all of this can be true: M-02 looks Piebald, C24-03-1 looks normal (clutches/C24-03.md:9) and "
        "M-02 is the sire of C24-03 (clutches/C24-03.md:3); at least one of them is wrong: look for a misread look, another sire or "
        "stored sperm, or put the clutch's looks there under `set_aside` until you know"
    )


def test_a_test_against_the_look_is_a_warning_at_its_line() -> None:
    """`test-against-look`, beside the conflicts."""
    test = LabTest("clown", "Clown", 1, day("2025-01-01"), HERE, Fraction(1, 100))
    found = problems_in(replace(FAKE, conflicts=(CONFLICT,), tests_against_looks=(("F-03", test),)).as_inference)
    assert len(found) == 4
    (told,) = [one for one in found if one.code == "test-against-look"]
    assert (told.level, told.file) == ("warning", HERE.file)
    assert told.message.startswith("this test found one copy of Clown, which the look of F-03 rules out")


@pytest.mark.slow
def test_the_demo_is_stated_whole(demo_book: Book) -> None:
    """Every animal and clutch of the demo, from its records through the engine, fits the schema, twice the same bytes."""
    collection_read = demo_book.collection

    def stated() -> dict[str, str]:
        inferred = infer(collection_read)
        assert problems_in(inferred) == ()
        said = state_all(Answers(inferred))
        every: dict[str, AnimalStatement | ClutchStatement] = {**said.animals, **said.clutches}
        return {name: json.dumps(to_json(one), ensure_ascii=False) for name, one in every.items()}

    first = stated()
    assert list(first) == [*collection_read.animals, *collection_read.clutches]
    assert first == stated()
    for text in first.values():
        assert list(schema().iter_errors(json.loads(text))) == []
