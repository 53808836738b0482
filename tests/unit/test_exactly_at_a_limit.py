"""Limits, each at its own value and one beside, asked of the function that knows it."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from tests.rooms import problems
from tests.unit.statement_fakes import PASTEL, PYTHONS, figure, het

from clutchlight.ledger.dated_records import of_nobody
from clutchlight.problems import Place
from clutchlight.reading.dates import FIRST_YEAR, LAST_YEAR, fault_of_year
from clutchlight.reading.findings import MAX_SEARCHES, Findings
from clutchlight.reading.names import Names
from clutchlight.reading.text import WrittenText
from clutchlight.site.animal_page import MOST_GROUNDS, _grounds
from clutchlight.site.parts import Reason
from clutchlight.statements.asked import Asked


@pytest.mark.parametrize(
    ("year", "can_be"), [(FIRST_YEAR, True), (FIRST_YEAR - 1, False), (LAST_YEAR, True), (LAST_YEAR + 1, False)]
)
def test_the_first_and_the_last_year_of_a_snake(year: int, can_be: bool) -> None:
    assert (fault_of_year("x", year) is None) is can_be


def test_it_showed_a_trait_only_if_every_genotype_that_it_may_have_had_shows_it() -> None:
    """And if a look of that locus was seen."""
    answers: Any = SimpleNamespace(looks_in=lambda reading, animal, locus: ("Pastel",))
    animal: Any = SimpleNamespace(readings=())
    asked = Asked(answers, animal, PASTEL, 1)
    assert asked.showed(figure(((0, 1), "1/2"), ((1, 1), "1/2")), date.max)
    assert not asked.showed(het("1/2"), date.max)
    answers.looks_in = lambda reading, animal, locus: ()
    assert not asked.showed(het("1"), date.max)


@pytest.mark.parametrize(("eggs", "odd"), [(21, []), (22, ["eggs-odd"])])
def test_half_as_many_eggs_again_as_the_most_usual_are_none_too_many(tmp_path: Path, eggs: int, odd: list[str]) -> None:
    """The species file has 14."""
    files = {
        "animals/a.yaml": "[{id: F-01, sex: female, hatched: 2019}, {id: M-01, sex: male, hatched: 2019}]\n",
        "clutches/a.yaml": f"- {{id: C26-01, sire: M-01, dam: F-01, laid: 2026-05-01, eggs: {eggs}}}\n",
    }
    assert [code for *_, code in problems(tmp_path, files)] == odd


def test_of_a_long_unknown_look_no_beginning_is_looked_for_that_is_longer_than_any_name() -> None:
    """Searches are counted: after so many nothing is near any more."""
    names, findings = Names(PYTHONS), Findings()
    assert names.shown([WrittenText.at("Zz Yy Xx Ww Vv Uu", Place("a.yaml"))], findings).looks == ()
    assert MAX_SEARCHES - findings.searches_left == 1 + names.longest == 3


@pytest.mark.parametrize(
    ("gone", "named"),
    [("CDEFG", "left of C, D, E, F and G, dated"), ("CDEFGH", "left of C, D, E, F and 2 more, dated")],
)
def test_so_many_that_have_no_record_any_more_are_named(gone: str, named: str) -> None:
    """All others are counted; B is the earlier id of A."""
    here: Any = SimpleNamespace(animals={"A": SimpleNamespace(id="A", was=("B",))})
    rows = (SimpleNamespace(place=Place("ledger/2025.jsonl", 1)),)
    dated: Any = SimpleNamespace(by_animal=dict.fromkeys(f"AB{gone}", rows))
    (found,) = of_nobody(here, dated)
    assert named in found.message


def test_a_card_has_as_many_grounds_as_fit() -> None:
    """Each counts for 20 letters more, its marks for none; of two things with one label each keeps its own."""
    first, second = Reason("het Pied", ("<b>a</b>",)), Reason("het Pied", ("b" * (MOST_GROUNDS - 41),))
    plain = (Reason("het Pied", ("a",)), second)
    assert _grounds((first, second)) == (plain, None)
    longer = Reason("het Pied", (f"{second.sentences[0]}b",))
    assert _grounds((first, longer, Reason("late", ("c",)))) == (
        plain[:1],
        "The other grounds stand on the animal's page.",
    )
