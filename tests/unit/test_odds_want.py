"""`odds --want`: a sum over looks, for one pairing and for several; what nobody knows is refused."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from tests.rooms import FAMILY

from clutchlight.cli import main
from clutchlight.problems import RecordsError
from clutchlight.queries import looks_wanted, winter_of
from clutchlight.reading.catalogue import load

F = Fraction
MORE = {
    "animals/more.yaml": """- {id: X-1, sex: male, hatched: 2020-07, shows: normal, status: breeder, claims: {Clown: 100%, Albino: 100%}}
- {id: Y-1, sex: female, hatched: 2020-07, shows: normal, status: breeder, claims: {Clown: 100%, Albino: 100%}}
- {id: Y-2, sex: female, hatched: 2020-07, shows: Clown, status: breeder}
- {id: F-22, species: corn-snake, sex: female, hatched: 2020-07, shows: normal, status: breeder, claims: {Amelanistic: 100%}}
"""
}


def asked(folder: Path, *arguments: str) -> Result:
    FAMILY.write(folder, MORE)
    return CliRunner().invoke(main, ["odds", *arguments, "--collection", str(folder)])


def test_a_wanted_look_is_a_sum_whatever_else_a_hatchling_shows(tmp_path: Path) -> None:
    """Two hets of two traits, six young: Clown in 1/4 of eggs, Clown and Albino in 1/16, at least one in 1 - (15/16)^6."""
    for want, share in (("Clown", F(1, 4)), ("clown albino", F(1, 16))):
        shown = asked(tmp_path, "X-1", "Y-1", "--young", "6", "--want", want, "--json")
        assert shown.exit_code == 0, shown.stderr
        (wish,) = json.loads(shown.stdout)["sums"]
        assert F(wish["per_egg"][0]) == share
        assert F(wish["any"]) == 1 - (1 - share) ** 6
        assert F(wish["expected"]) == 6 * share


def test_of_several_females_the_wish_is_one_of_the_whole_winter(tmp_path: Path) -> None:
    """With Y-1 1 egg in 4 shows Clown, with Y-2, who shows it, 1 in 2; all parents are certain, so nothing hangs together."""
    book = FAMILY.book(tmp_path, MORE)
    found = winter_of(book, "X-1", ["Y-1", "Y-2"], 4, "Clown")
    (wish,) = found.wishes
    assert (wish.looks, wish.per_egg) == (("Clown",), (F(1, 4), F(1, 2)))
    assert wish.any == 1 - F(3, 4) ** 4 * F(1, 2) ** 4
    assert wish.expected == 3
    assert wish.any_as_they_lay == wish.any, "clutches that are asked about come"
    assert winter_of(book, "Y-1", ["Y-2", "X-1"], 4, "Clown") == found, "he is found wherever he is named"


def test_what_cannot_come_is_said_and_not_left_out(tmp_path: Path) -> None:
    shown = asked(tmp_path, "X-1", "Y-1", "--want", "Piebald", "--json")
    (wish,) = json.loads(shown.stdout)["sums"]
    assert (wish["looks"], wish["per_egg"], wish["any"]) == (["Piebald"], ["0"], "0")
    assert "Piebald" in asked(tmp_path, "X-1", "Y-1", "--want", "Piebald").stdout


def test_the_text_says_it_of_a_hundred_clutches(tmp_path: Path) -> None:
    """1 - (15/16)^6 is 32.1 in 100, rounded down."""
    text = " ".join(asked(tmp_path, "X-1", "Y-1", "--young", "6", "--want", "Clown Albino").stdout.split())
    assert "Clown Albino: 1 in 16 eggs; of 6 eggs, expect fewer than one; at least one: 32 in 100 clutches." in text


@pytest.mark.parametrize(
    ("want", "column"), [("Unicorn", 0), ("Clown Unicorn", 6), ("Clown, Unicorn", 7)], ids=["alone", "second", "comma"]
)
def test_a_look_that_nobody_knows_is_refused_at_its_column(want: str, column: int) -> None:
    python = load("ball-python")
    assert python is not None
    with pytest.raises(RecordsError) as caught:
        looks_wanted(python, want)
    assert [(problem.column, problem.code) for problem in caught.value.problems] == [(column, "unknown-look")]


def test_the_refusal_is_wrong_usage_without_a_traceback(tmp_path: Path) -> None:
    wrong = asked(tmp_path, "X-1", "Y-1", "--want", "Unicorn")
    assert (wrong.exit_code, wrong.stdout) == (2, "")
    assert wrong.stderr.startswith("what you typed: error: ")


def test_a_compound_of_two_forms_of_a_gene_is_neither_of_them(tmp_path: Path) -> None:
    """An Ultramel with a het Amelanistic: 1/4 Amelanistic, 1/4 Ultramel. Two copies of a dominant form count: a Super Mojave is one."""
    for sire, dam, want, share in (
        ("male, Ultramel", "F-22", "Amelanistic", F(1, 4)),
        ("male, Ultramel", "F-22", "Ultramel", F(1, 4)),
        ("male, Mojave", "female, Mojave", "Mojave", F(3, 4)),
    ):
        shown = asked(tmp_path, sire, dam, "--want", want, "--json")
        assert shown.exit_code == 0, shown.stderr
        (wish,) = json.loads(shown.stdout)["sums"]
        assert F(wish["per_egg"][0]) == share
