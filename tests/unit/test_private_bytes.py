"""Each private value changed in turn, and every public byte compared, the manifest among them.

The records in private_values.txt hold «label|value|another value» wherever something is private; «label» repeats what stands under a label.
A record that may be there or not is such a value too. What may show, by README's list, is marked with a `+` and must show.

They are changed in groups, those of one record in different ones; CLUTCHLIGHT_LONG in the environment changes each by itself.
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest
from PIL import Image

from clutchlight.model.private import EVENTS
from clutchlight.pipeline import build, open_book, public_files
from clutchlight.publishing.building_again import LastBuild
from clutchlight.reading import shapes
from clutchlight.reading.private_side import PaymentRecord, PlanRecord, SaleRecord, SharedRecord, ToldRecord
from clutchlight.reading.strict import RecordShape, keys_of
from clutchlight.reading.tables import COLUMNS

pytestmark = pytest.mark.slow

RECORDS: Mapping[str, str] = dict(
    part.split("\n", 1)
    for part in (Path(__file__).parent / "private_values.txt")
    .read_text(encoding="utf-8")
    .removeprefix("=== ")
    .split("\n=== ")
)

MARK = re.compile(r"«([^«»|]+)(?:\|((?:[^«»|]|«[^«»|]+»)*)\|((?:[^«»|]|«[^«»|]+»)*))?»")


def values() -> dict[str, tuple[str, str]]:
    """By label, what stands there, and what may stand there instead."""
    found = {}
    for text in (*RECORDS, *RECORDS.values()):
        for label, one, other in MARK.findall(text):
            if one or other:
                assert label not in found, label
                found[label] = (one, other)
    return found


VALUES = values()
SHOWN = sorted(label for label in VALUES if label.startswith("+"))
HIDDEN = sorted(label for label in VALUES if not label.startswith("+"))


IN_TURN = (
    [[label] for label in HIDDEN] if "CLUTCHLIGHT_LONG" in os.environ else [HIDDEN[start::9] for start in range(9)]
)


def written(text: str, changed: frozenset[str]) -> str:
    """The text of a record with the values that stand under the labels."""
    while MARK.search(text):
        text = MARK.sub(lambda mark: VALUES[mark[1]][mark[1] in changed], text)
    return text.replace("\n+ ", "\n")


def collection(folder: Path, changed: frozenset[str]) -> Path:
    for name, text in RECORDS.items():
        file = folder / written(name, changed)
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(written(text, changed), encoding="utf-8")
    for number, name in enumerate(("fern", "one", "two")):
        photo = folder / "photos" / f"{name}.png"
        photo.parent.mkdir(exist_ok=True)
        Image.new("RGB", (40, 30), (90 * number, 20, 30)).save(photo)
    return folder


class AllStand(LastBuild):
    """Has no page printed: equal digests of page objects are equal pages."""

    def __init__(self) -> None:
        super().__init__(Path("nowhere"), Path("nowhere"))

    def page(self, address: str, rendering: str, digest: str) -> str | None:
        return digest


def public(folder: Path, until: date | None = None) -> Mapping[str, object]:
    """Every public file by address: its bytes, or the digest of what its page is made from; and what the manifest says besides."""
    opened = open_book(folder, until=until)
    assert opened.book is not None, [str(problem) for problem in opened.problems]
    files, _ = public_files(opened.book, AllStand())
    return {**files.made, **files.kept, "manifest": files.manifest("site").to_bytes()}


@pytest.fixture(scope="module")
def as_it_is(tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, object]:
    return public(collection(tmp_path_factory.mktemp("private"), frozenset()))


def differing(one: Mapping[str, object], other: Mapping[str, object]) -> list[str]:
    return sorted(address for address in {*one, *other} if one.get(address) != other.get(address))


@pytest.mark.parametrize("changed", IN_TURN, ids=lambda labels: labels[0])
def test_a_private_value_changes_no_public_byte(
    as_it_is: Mapping[str, object], tmp_path: Path, changed: list[str]
) -> None:
    """Not one, in no page, file, feed or digest."""
    assert differing(as_it_is, public(collection(tmp_path, frozenset(changed)))) == []


@pytest.mark.parametrize("label", SHOWN)
def test_what_may_show_does(as_it_is: Mapping[str, object], tmp_path: Path, label: str) -> None:
    """A status, the day of a sale or a hold, an opted-in fact, a public plan: else the test above could not fail."""
    assert differing(as_it_is, public(collection(tmp_path, frozenset({label})))) != []


def test_all_private_values_at_once_change_no_printed_byte(tmp_path: Path) -> None:
    """The folders themselves: the same files with the same bytes, the manifest too."""
    found = []
    for name, changed in (("one", frozenset[str]()), ("two", frozenset(HIDDEN))):
        folder = collection(tmp_path / name, changed)
        opened = open_book(folder)
        assert opened.book is not None, [str(problem) for problem in opened.problems]
        out = tmp_path / f"{name}-site"
        build(opened.book, out)
        found.append({str(file.relative_to(out)): file.read_bytes() for file in out.rglob("*") if file.is_file()})
    one, two = found
    assert ".clutchlight.json" in one
    assert differing(one, two) == []
    words = (b"zq", b"m-77", b"m-99", b"f-77", b"c25-01-3", b"u25-02", b"u24-05", b"77101", b"77401")
    written = {address: b"" if address.endswith((".png", ".jpg")) else content for address, content in one.items()}
    assert [
        (address, word)
        for address, content in written.items()
        for word in words
        if word in address.lower().encode() + content.lower()
    ] == []


def test_nor_do_they_on_a_day_in_the_past(tmp_path: Path) -> None:
    """As the site would have stood, on a day when all of it was there."""
    day = date(2026, 12, 1)
    one = public(collection(tmp_path / "one", frozenset()), day)
    assert differing(one, public(collection(tmp_path / "two", frozenset(HIDDEN)), day)) == []


def labelled(start: str) -> set[str]:
    return {
        label.removeprefix("+").removeprefix(start).partition(".")[0]
        for label in VALUES
        if label.removeprefix("+").startswith(start)
    }


@pytest.mark.parametrize(
    ("start", "shape", "shown"),
    [
        ("season.", PlanRecord, set()),
        ("sales.", SaleRecord, {"animals"}),
        ("sales.payments.", PaymentRecord, {"private"}),
        ("sales.told.", ToldRecord, {"private"}),
        ("shared.", SharedRecord, {"private"}),
        (
            "unlisted.",
            shapes.AnimalRecord,
            {"sex", "species", "sire", "shows", "without", "cannot_tell", "looks", "publish"},
        ),
        ("unlisted.claims.", shapes.ClaimRecord, {"trait", "chance", "two_copies", "came_from", "private"}),
        ("unlisted.tests.", shapes.TestRecord, {"trait", "copies", "error", "private"}),
        (
            "unlisted_clutch.",
            shapes.ClutchRecord,
            {
                "sire",
                "not_by",
                "dam",
                "tally",
                "to_sort",
                "complete",
                "checked",
                "counts",
                "publish",
                "hatched",
                "went_bad",
                "unseen",
            },
        ),
    ],
)
def test_every_private_key_is_changed_above(start: str, shape: type[RecordShape], shown: set[str]) -> None:
    """A key that is added to a private record is added here; but for genes, and for the day on which listed young hatched.

    Eggs that went bad or died unseen change with their number.
    """
    assert set(keys_of(shape)) - labelled(start) == shown


def test_every_event_of_the_log_is_changed_above() -> None:
    """Those that may be published among them, on a day that is not the last."""
    assert set(EVENTS) - labelled("log.") <= {"note"}
    assert set(COLUMNS) - {"date", "animal", "event", "with"} <= labelled("log.")
    assert set(keys_of(shapes.LookRecord)) == {"on", "shows", "without", "cannot_tell", "private"}
