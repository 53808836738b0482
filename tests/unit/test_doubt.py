"""`doubt`: what is printed of each record left out, and its data."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator

from clutchlight import shipped
from clutchlight.cli import main
from clutchlight.pipeline import open_book
from clutchlight.planning.doubt import doubts

ROOM = Path(__file__).parents[1] / "said" / "what-everything-hangs-on"


def said(*asked: str) -> str:
    result = CliRunner().invoke(main, ["doubt", *asked, "--collection", str(ROOM)])
    assert result.exit_code == 0, result.output
    return result.stdout


def test_sold_animals_come_first() -> None:
    """The records with most figures of sold animals first; of each record its sold animals before the others."""
    book = open_book(ROOM).book
    assert book is not None
    found = doubts(book.inference)
    assert [len(one.sold) for one in found] == sorted((len(one.sold) for one in found), reverse=True)
    first = said().split("\n\n")[1].splitlines()
    assert first[0].startswith("The look of C26-01-1 (Piebald): 6 printed figures, 2 of sold animals")
    assert [line.split(",")[0].strip() for line in first[1:4]] == ["C26-01-2 (sold)", "C26-01-3 (sold)", "F-1"]


def test_what_other_records_prove_as_well_is_not_named() -> None:
    """Two visuals prove a parent: neither of their looks alone does."""
    assert "F-1, Piebald: certain, proven by C26-01; without it 38%" in said("C26-01-1")
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
