"""Single values: ids, dates, chances, sexes, numbers. Each table is what a breeder may type, and what it means."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from functools import reduce
from operator import or_
from pathlib import Path
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin, get_type_hints

import pytest
from hypothesis import given, strategies as st
from msgspec import Struct
from tests.rooms import SETTINGS, animal, clutch_of, good, md, problems

from clutchlight.model import Animal, Claim, Clutch, LabTest, Photo, Settings, Stated
from clutchlight.model.private import Holding, Plan, Sale
from clutchlight.problems import Place
from clutchlight.reading import private_side, shapes
from clutchlight.reading.checks import _a_circle
from clutchlight.reading.dates import read_date
from clutchlight.reading.fields import MAX_COUNT, fault_of_slug, read_chance
from clutchlight.reading.findings import Findings, nearest
from clutchlight.reading.ids import Known, each
from clutchlight.reading.settings import SettingsRecord
from clutchlight.reading.strict import RecordShape
from clutchlight.reading.text import WrittenText


@pytest.mark.parametrize(
    ("text", "first", "last", "vague"),
    [
        ("2024-05-18", date(2024, 5, 18), date(2024, 5, 18), False),
        ("2024-05", date(2024, 5, 1), date(2024, 5, 31), False),
        ("2024-02", date(2024, 2, 1), date(2024, 2, 29), False),
        ("2024", date(2024, 1, 1), date(2024, 12, 31), False),
        ("about 2019", date(2019, 1, 1), date(2019, 12, 31), True),
        ("About 2019-06", date(2019, 6, 1), date(2019, 6, 30), True),
        ("before 2022-03", date.min, date(2022, 2, 28), True),
    ],
)
def test_a_date_is_a_span_that_counts_as_its_last_day(text: str, first: date, last: date, vague: bool) -> None:
    """A partial date counts as its last day (records#dates); about and before are vague."""
    when = read_date(text)
    assert not isinstance(when, str)
    assert (when.first, when.last, when.vague) == (first, last, vague)


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("2024-07-14..16", date(2024, 7, 14), date(2024, 7, 16)),
        ("2024-07-30..08-02", date(2024, 7, 30), date(2024, 8, 2)),
        ("2024-12-30..2025-01-02", date(2024, 12, 30), date(2025, 1, 2)),
        ("2024-07-14..14", date(2024, 7, 14), date(2024, 7, 14)),
    ],
)
def test_a_clutch_may_take_several_days_to_hatch(text: str, first: date, last: date) -> None:
    """A range gives its first and last day; what is left out of the second date is taken from the first."""
    when = read_date(text, spans=True)
    assert not isinstance(when, str)
    assert (when.first, when.last) == (first, last)


@pytest.mark.parametrize(
    ("text", "offer"),
    [
        ("18.05.2024", "write 2024-05-18"),
        ("5/18/2024", "write 2024-05-18"),
        ("3/4/2024", "write 2024-04-03 or 2024-03-04"),
        ("2024/5/8", "write 2024-05-08"),
        ("2024-5-8", "write 2024-05-08"),
        ("2024-13-01", "look at the month"),
        ("2023-02-29", "look at the month"),
        ("about yesterday", "about 2019"),
        ("before 0001", "look at the year"),
    ],
)
def test_a_date_in_another_form_is_refused_with_the_form_to_write(text: str, offer: str) -> None:
    """Nothing is guessed: a date that could mean two days offers both."""
    found = read_date(text)
    assert isinstance(found, str)
    assert offer in found


def test_a_range_belongs_to_clutches_only(tmp_path: Path) -> None:
    """An animal hatches on one day."""
    assert problems(tmp_path, {"animals/F-01.md": md("id: F-01\nhatched: 2024-07-14..16")}) == [
        ("animals/F-01.md", 3, 10, "bad-date")
    ]


@pytest.mark.parametrize(
    ("text", "chance"),
    [
        ("66%", Fraction(2, 3)),
        ("67%", Fraction(2, 3)),
        ("33%", Fraction(1, 3)),
        ("66 %", Fraction(2, 3)),
        ("2/3", Fraction(2, 3)),
        ("50%", Fraction(1, 2)),
        ("100%", Fraction(1)),
        ("0%", Fraction(0)),
        ("12.5%", Fraction(1, 8)),
        ("1%", Fraction(1, 100)),
        ("34%", Fraction(17, 50)),
        ("66.6%", Fraction(333, 500)),
    ],
)
def test_a_chance_is_exact_and_the_trades_thirds_are_thirds(text: str, chance: Fraction) -> None:
    """66% and 67% mean 2/3, 33% means 1/3; every other figure is what it says (records#chances)."""
    assert read_chance(text) == chance


@pytest.mark.parametrize("text", ["66", "0.66", "101%", "4/3", "1/0", "-5%", "two thirds", "66%%", "٦٦%"])
def test_what_is_no_chance_is_refused(text: str) -> None:
    """A bare number could be a percentage or a share, so it is neither."""
    assert isinstance(read_chance(text), str)


@given(st.integers(0, 10**6), st.integers(1, 10**6))
def test_a_fraction_means_itself(numerator: int, denominator: int) -> None:
    """Every share up to 1 is read exactly; every larger one is refused."""
    found = read_chance(f"{numerator}/{denominator}")
    if numerator <= denominator:
        assert found == Fraction(numerator, denominator)
    else:
        assert isinstance(found, str)


@pytest.mark.parametrize(
    ("text", "sex"),
    [
        ("male", "male"),
        ("M", "male"),
        ("1.0", "male"),
        ("Female", "female"),
        ("f", "female"),
        ("0.1", "female"),
        ("unknown", "unknown"),
        ("0.0.1", "unknown"),
    ],
)
def test_a_sex_may_be_written_as_the_trade_does(tmp_path: Path, text: str, sex: str) -> None:
    """Words, letters and the trade's counts, whatever the case."""
    assert animal(tmp_path, f"id: F-01\nsex: {text}").sex == sex


@pytest.mark.parametrize("name", ["F-01", "a", "7", "007", "C24-03-1", "A.b_c-9", "x" * 64, "console", "nul-1"])
def test_an_id_is_safe_as_a_file_and_an_address(tmp_path: Path, name: str) -> None:
    """Letters, digits, dot, underscore and hyphen, with a letter or digit at both ends, up to 64."""
    assert animal(tmp_path, f"id: {name}", name).id == name


@pytest.mark.parametrize(
    "name",
    [
        "-a",
        "a-",
        ".a",
        "a b",
        "ä",
        "x" * 65,
        "CON",
        "nul",
        "com1",
        "LPT9.x",
        "a/b",
        "..",
        "F-03:dam",
        "none",
        "Unknown",
    ],
)
def test_an_id_that_is_not_safe_is_refused(tmp_path: Path, name: str) -> None:
    """Also the names of Windows devices, and the words that stand for a sire."""
    assert problems(tmp_path, {"animals/x.md": md(f'id: "{name}"')}) == [("animals/x.md", 2, 5, "bad-id")]


@pytest.mark.parametrize(("text", "price"), [("350", "350"), ("350.50", "350.50"), ("ask", "ask"), ("Ask", "ask")])
def test_a_price_is_a_number_or_ask(tmp_path: Path, text: str, price: str) -> None:
    """The currency stands once, in collection.yaml."""
    assert animal(tmp_path, f"id: F-01\nstatus: available\nprice: {text}").price == price


def test_numbers_of_eggs_are_whole_and_plain(tmp_path: Path) -> None:
    """A clutch's counts are numbers, whatever their leading zeros."""
    _, clutch = clutch_of(tmp_path, "sire: M-01\neggs: 08\nslugs: 1")
    assert (clutch.eggs, clutch.slugs) == (8, 1)


ROOM = ["M-01", "M-02", "M-05", "M-08", "M-21", "F-01", "F-10", "F-15-A", "C23-01", "C23-02"]


@pytest.mark.parametrize(
    ("word", "near"),
    [
        ("M-15", "M-05"),
        ("M-20", "M-02"),
        ("M-28", "M-08"),
        ("m-5", "M-05"),
        ("F-1", "F-01"),
        ("M01", "M-01"),
        ("C23-03", "C23-01"),
        ("X-99", None),
        ("F-77", None),
        ("C17-44", None),
    ],
)
def test_the_nearest_id_is_one_that_a_finger_may_have_missed(word: str, near: str | None) -> None:
    """Leading zeros first; two characters changed over; most characters at the same place; nothing that is too far."""
    assert nearest(word, ROOM) == near
    assert nearest(word, reversed(ROOM)) == near


# From shapes to values

BECOMES: tuple[tuple[type[RecordShape], type[Struct]], ...] = (
    (shapes.AnimalFacts, Animal),
    (shapes.ClutchRecord, Clutch),
    (shapes.ClaimRecord, Claim),
    (shapes.StatedRecord, Stated),
    (shapes.TestRecord, LabTest),
    (shapes.PhotoRecord, Photo),
    (private_side.PlanRecord, Plan),
    (private_side.SaleRecord, Sale),
    (private_side.SharedRecord, Holding),
    (SettingsRecord, Settings),
    *((shape, shape.makes) for shape in vars(shapes).values() if getattr(shape, "makes", None)),
    *((shape, shape.makes) for shape in vars(private_side).values() if getattr(shape, "makes", None)),
)
GIVEN = {
    Animal: {"sex", "claims", "stated", "tests", "status", "photos"},
    Clutch: {"dam", "young", "tally", "photos", "set_aside"},
    Sale: {"told"},
    Settings: {"collection_id", "contact", "theme"},
}
"""Fields that the reader makes from what the shape says; the others are handed over as they stand."""


def as_handed_over(kind: Any) -> Any:
    """What a field's value is without its places: a text, or the value that a shape within a shape becomes."""
    if isinstance(kind, type) and issubclass(kind, RecordShape):
        return kind.makes or kind
    if kind is WrittenText:
        return str
    if get_origin(kind) is Annotated:
        return as_handed_over(get_args(kind)[0])
    parts = tuple(as_handed_over(part) for part in get_args(kind))
    if get_origin(kind) is tuple:
        return tuple.__class_getitem__(parts)
    return reduce(or_, parts) if get_origin(kind) in (UnionType, Union) else kind


@pytest.mark.parametrize(("shape", "kind"), BECOMES, ids=lambda one: one.__name__)
def test_a_shape_holds_what_the_value_that_it_becomes_takes(shape: type[RecordShape], kind: type[Struct]) -> None:
    """The same field has the same type in both, but for the fields that the reader fills itself."""
    written, taken = get_type_hints(shape), get_type_hints(kind)
    shared = set(kind.__struct_fields__) & written.keys()
    differing = {name for name in shared if as_handed_over(written[name]) != taken[name]}
    assert differing <= GIVEN.get(kind, set())
    assert shared


def test_blanks_round_a_value_in_quotes_say_nothing(tmp_path: Path) -> None:
    """Of chance, sex and number of the collection; a date and a name of a trait have none to begin with."""
    body = "id: F-01\nsex: ' F '\nshows: normal\nclaims: {Piebald: ' 66% '}"
    settings = SETTINGS.replace("3f6c2f0e-8b1d-4c52-9d4e-0a7b1c2d3e4f", "' 3f6c2f0e-8b1d-4c52-9d4e-0a7b1c2d3e4f '")
    collection = good(tmp_path, {"collection.yaml": settings, "animals/F-01.md": md(body)})
    found = collection.animals["F-01"]
    assert (found.sex, [claim.chance for claim in found.claims]) == ("female", [Fraction(2, 3)])
    assert collection.settings.collection_id == "3f6c2f0e-8b1d-4c52-9d4e-0a7b1c2d3e4f"


@pytest.mark.parametrize(("length", "fits"), [(1, True), (64, True), (65, False)])
def test_a_word_of_an_address_has_up_to_sixty_four_letters(length: int, fits: bool) -> None:
    """What is offered in its place is no longer."""
    fault = fault_of_slug("a" * length)
    assert (fault is None) is fits
    assert fault is None or fault.endswith(f"for example '{'a' * 64}'")


def test_a_circle_of_parents_is_told_from_its_first_id_on() -> None:
    """Whichever of them the search comes to first."""
    for first in "ABC":
        order = ["ABC", "BCA", "CAB"]["ABC".index(first)]
        parents = {child: ("ABCA"["ABC".index(child) + 1],) for child in order}
        assert _a_circle({**parents, "D": ("A",)}) == ["A", "B", "C"]
    assert _a_circle({"A": ("B",), "B": ("C",)}) == []


@pytest.mark.parametrize(
    ("typed", "named"),
    [
        ("Y-1", ["Y-1"]),
        ("Y-1..2", ["Y-1", "Y-2"]),
        ("Y-08..10, Z", ["Y-08", "Y-09", "Y-10", "Z"]),
        ("Y-9...Y-11", ["Y-9", "Y-10", "Y-11"]),
        ("Y-1…y-2", ["Y-1", "Y-2"]),
        ("Y-1..Z-2", ["Y-1..Z-2"]),
        ("Y-2..2", "ends before it begins"),
        ("Y-3..2", "ends before it begins"),
        (f"Y-1..{MAX_COUNT}", [f"Y-{number}" for number in range(1, MAX_COUNT + 1)]),
        (f"Y-1..{MAX_COUNT + 1}", f"has more than {MAX_COUNT} animals"),
    ],
)
def test_a_range_names_each_of_its_animals(typed: str, named: list[str] | str) -> None:
    """With as many digits as its first; of two stems it is an id."""
    findings = Findings()
    found = each(WrittenText.at(typed, Place("a")), Known(None), findings)
    assert list(found) == (named if isinstance(named, list) else [])
    assert [isinstance(named, str) and named in problem.message for problem in findings.problems] == (
        [] if isinstance(named, list) else [True]
    )
