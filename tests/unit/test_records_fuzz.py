"""Records edited in any way, by tired people and failing disks: always problems or a collection, never an exception.

What reads as a collection then goes through every command; `tests/bench/mutated_collections.py` does the same with thousands.
"""

from __future__ import annotations

import os
import random
import shutil
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st
from tests.rooms import PARENTS, md, write
from tests.unit.mutating import mutated_part
from tests.unit.running_all import run_all
from tests.unit.whole_room import PARTS

from clutchlight.problem_codes import CODES
from clutchlight.reading.collection import ReadResult, read_collection
from clutchlight.reading.findings import Findings
from clutchlight.reading.text import decode
from clutchlight.reading.yaml_records import compose

pytestmark = pytest.mark.slow

# A short form of each run; set CLUTCHLIGHT_FUZZ to fuzz for longer.
EXAMPLES = int(os.environ.get("CLUTCHLIGHT_FUZZ", "60"))
COLLECTIONS = EXAMPLES * 2 // 5

SAMPLE = {
    **PARENTS,
    "animals/F-03.md": md(
        """
id: F-03
sex: 0.1
sexed: {how: probed, on: 2021-09-12}
hatched: 2021-07
sire: M-01
dam: {shows: normal, claims: {Piebald: 100%}}
looks:
  - {on: 2021-10-01, shows: normal, without: [Yellow Belly]}
  - {on: 2021-12-05, shows: [Pastel], cannot_tell: [Axanthic]}
stated: {Piebald: 66%}
tests: [{trait: Clown, copies: 1, on: 2024-02-01, by: shed test, error: 1%}]
status: breeder
came: {on: 2021-10-03, how: bought}
corrections: [{on: 2024-01-09, key: sex, was: male, because: re-probed}]
was: [F-3]
private: {paid: [1, {a: b}]}
""",
        "Prose.\n",
    ),
    "animals/more.yaml": "- {id: P-01, status: elsewhere, claims: {Pied: {chance: 50%, from: a seller}}}\n- id: P-02\n",
    "clutches/C24-01.md": md(
        """
id: C24-01
sire: {one_of: {M-01: 80%, unknown: 20%}}
dam: F-01
laid: 2024-05-20
eggs: 6
slugs: 1
went_bad: 1
hatched: 2024-07-14..16
young:
  - 1 f Pastel Piebald; available 250
  - {id: C24-01-2, sex: male, shows: normal, status: available, price: 250}
  - {id: C24-01-3, shows: normal, same_egg_as: C24-01-2}
tally: [2 x normal]
to_sort: 1
set_aside: {Clown: "two photos disagree"}
"""
    ),
    "traits/own.yaml": """species: ball-python
loci:
  - {locus: frosty, inheritance: incomplete dominant, alleles: [Frosty, Icy], two_copies: {Frosty: dies}, hides: {Icy: [clown]}}
  - {locus: banana, sex_linked: {crossover: 1/15, source: ours}}
combos: {Cold: [Frosty, Pastel]}
""",
    "pages/about.md": md("title: About", "Hello.\n"),
}

SCRAPS = (
    *(
        "---",
        "- ",
        "  ",
        "\t",
        ": ",
        " #",
        "#4",
        "[",
        "]",
        "{",
        "}",
        "&a",
        "*a",
        "!t",
        "<<: {a: b}",
        '"',
        "'",
        "|",
        ">",
        "%",
        "@",
    ),
    *(
        "“",
        "”",
        "’",
        "\u00a0",
        "\u200b",
        "\u202e",
        "\x00",
        "\x1b",
        "\r",
        "\u2028",
        "é",
        "🐍",
        "\ud800",
        "~",
        "null",
        "² ",
    ),
    *(
        "id: F-01",
        "sire: F-03",
        "dam: C24-01",
        "shows: normal",
        "shows: [Albino, Candy]",
        "private: x",
        "9" * 5000,
        "0",
        "-1",
        "1/0",
    ),
    *(
        "66.6%",
        "2024-13-45",
        "before 0001-01-01",
        "1,200",
        "none",
        "unknown",
        "normal",
        "x: " * 40,
        "[" * 40,
        "{a: " * 40,
        ",",
        ";",
    ),
)

Edit = tuple[str, int, int, str]
EDITS = st.lists(
    st.tuples(
        st.sampled_from(
            ["delete line", "double line", "swap lines", "insert", "replace", "cut", "indent", "delete", "borrow"]
        ),
        st.integers(0, 10**6),
        st.integers(0, 10**6),
        st.sampled_from(SCRAPS) | st.text(max_size=6),
    ),
    min_size=1,
    max_size=5,
)


def edited(text: str, edits: list[Edit], other: str) -> str:
    """The text after slips of the hand, each at a place that two numbers choose."""
    for kind, first, second, scrap in edits:
        lines = text.split("\n")
        row, column = first % len(lines), second % (len(lines[first % len(lines)]) + 1)
        if kind == "delete line":
            del lines[row]
        elif kind == "double line":
            lines.insert(row, lines[row])
        elif kind == "swap lines":
            lines[row], lines[second % len(lines)] = lines[second % len(lines)], lines[row]
        elif kind == "insert":
            lines[row] = lines[row][:column] + scrap + lines[row][column:]
        elif kind == "replace":
            lines[row] = lines[row][:column] + scrap + lines[row][column + len(scrap) :]
        elif kind == "cut":
            lines[row:] = [lines[row][:column]]
        elif kind == "indent":
            lines[row] = " " * (second % 4) + lines[row].lstrip()
        elif kind == "delete":
            lines[row] = lines[row][:column] + lines[row][column + 1 :]
        else:
            theirs = other.split("\n")
            lines.insert(row, theirs[second % len(theirs)])
        text = "\n".join(lines)
    return text


def assert_sound(result: ReadResult, folder: Path) -> None:
    """Problems are documented, in order and inside their files; a collection stands exactly when none is an error."""
    assert (result.collection is None) == any(problem.level == "error" for problem in result.problems)
    assert list(result.problems) == sorted(set(result.problems))
    for problem in result.problems:
        assert problem.code in CODES
        assert "\n" not in str(problem)
        path = folder / problem.file
        if path.is_file():
            text = path.read_bytes().decode("utf-8", errors="replace").replace("\r\n", "\n").replace("\r", "\n")
            lines = text.split("\n")
            assert 1 <= problem.line <= len(lines) + 1
            assert problem.column >= 1


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write(tmp_path_factory.mktemp("sample"), SAMPLE)


def test_the_sample_itself_is_good(sample: Path) -> None:
    """What is mutilated below begins without a mistake."""
    assert [str(problem) for problem in read_collection(sample).problems] == []


@settings(max_examples=EXAMPLES, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(name=st.sampled_from([*sorted(SAMPLE), "collection.yaml"]), edits=EDITS, other=st.sampled_from(sorted(SAMPLE)))
def test_no_edit_of_the_sample_is_a_traceback(sample: Path, name: str, edits: list[Edit], other: str) -> None:
    """Any few slips in any file give problems or a collection."""
    path = sample / name
    before = path.read_bytes()
    try:
        after = edited(before.decode("utf-8"), edits, SAMPLE[other])
        path.write_bytes(after.encode("utf-8", errors="surrogatepass"))
        assert_sound(read_collection(sample, today=date(2026, 1, 1)), sample)
    finally:
        path.write_bytes(before)


@pytest.fixture(scope="module")
def demo_copy(tmp_path_factory: pytest.TempPathFactory, content_dir: Path) -> Path:
    folder = tmp_path_factory.mktemp("demo") / "content"
    shutil.copytree(content_dir, folder)
    return folder


@settings(max_examples=EXAMPLES // 6, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(chosen=st.integers(0, 10**6), edits=EDITS)
def test_no_edit_of_the_demo_is_a_traceback(demo_copy: Path, chosen: int, edits: list[Edit]) -> None:
    """The same for real records, with all that they refer to."""
    files = sorted(path for kind in ("animals", "clutches", "traits") for path in (demo_copy / kind).iterdir())
    path = files[chosen % len(files)]
    before = path.read_bytes()
    try:
        path.write_bytes(edited(before.decode("utf-8"), edits, "id: F-01").encode("utf-8", errors="surrogatepass"))
        assert_sound(read_collection(demo_copy, today=date(2026, 1, 1)), demo_copy)
    finally:
        path.write_bytes(before)


@settings(max_examples=EXAMPLES)
@given(
    st.binary(max_size=40)
    | st.text(max_size=60).map(str.encode)
    | st.lists(st.sampled_from(SCRAPS), max_size=12).map(
        lambda scraps: "".join(scraps).encode("utf-8", "surrogatepass")
    )
)
def test_no_bytes_at_all_break_the_composer(content: bytes) -> None:
    """Whatever stands in a file, decoding and composing give a value or a problem."""
    findings = Findings()
    text = decode(content, "a.yaml", findings)
    root = None if text is None else compose(text, "a.yaml", findings)
    assert root is None or findings.problems == []


@pytest.mark.parametrize("part", PARTS)
def test_each_part_of_the_room_is_good(tmp_path: Path, part: str) -> None:
    """What is mutated below begins without a mistake."""
    assert [str(problem) for problem in read_collection(write(tmp_path, PARTS[part])).problems] == []


def test_mutated_collections_go_through_every_command(tmp_path: Path) -> None:
    """No traceback; what check accepts builds, desk included; what a command wrote is accepted; feeds and JSON parse."""
    first = 0 if os.environ.get("CI") else random.randrange(10**6)
    accepted, wrong = 0, []
    for number in range(first, first + COLLECTIONS):
        place = tmp_path / str(number)
        _, files = mutated_part(number)
        (place / "made").mkdir(parents=True)
        run = run_all(write(place / "room", files), place / "made", random.Random(number), thorough=False)
        accepted += run.accepted
        wrong += [f"{number}: {said}" for said in run.wrong]
        shutil.rmtree(place)
    assert wrong == []
    assert accepted > 0
