"""Spreadsheets and statements become records that read back the same; the collection leaves in open formats and comes back."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings, strategies as st
from msgspec.structs import replace
from tests.rooms import FAMILY, GALLERY, book_of, good as collection_of, md

from clutchlight.drawing.graphviz_layout import rendered
from clutchlight.editing.export import (
    FORMATS,
    parents_of,
    published as export_published,
    to_csv,
    to_dot,
    to_ga4gh,
    to_json,
    to_ped,
)
from clutchlight.editing.intake import Intake, Kind, intake
from clutchlight.editing.writing import Value, create, item
from clutchlight.intake.run import take_in
from clutchlight.model import Collection
from clutchlight.pipeline import open_book, read_everything
from clutchlight.problems import RecordsError
from clutchlight.reading.findings import Findings
from clutchlight.reading.tables import COLUMNS
from clutchlight.reading.yaml_records import compose


def write_intake(folder: Path, made: Intake) -> None:
    """As the command writes it."""
    assert made.text is not None
    create(folder, made.file, made.text)


def taken(folder: Path, raw: bytes, kind: Kind, name: str = "list.csv") -> Collection:
    """The collection after taking a file in without a mistake."""
    collection, _ = FAMILY.both(folder, {})
    made = intake(raw, name, kind, collection)
    assert [str(problem) for problem in made.problems] == []
    write_intake(folder, made)
    result = read_everything(folder)
    assert [str(problem) for problem in result.problems] == []
    assert result.collection is not None
    return result.collection


def test_a_log_from_elsewhere_is_put_in_order_and_in_our_form(tmp_path: Path) -> None:
    """Semicolons and another order of columns become our own, by date; the rows say the same."""
    collection, _ = FAMILY.both(tmp_path, {})
    raw = b'event;animal;date;value;note\nweight;M-01;2026-11-02;1613 g;"a; b"\nate;M-02;2026-11-01;rat;\n'
    made = intake(raw, "Old Log.csv", "log", collection)
    assert (made.file, made.text) == (
        "log/from-old-log.csv",
        "date,animal,event,with,value,note\n2026-11-01,M-02,meal,,rat,\n2026-11-02,M-01,weight,,1613 g,a; b\n",
    )
    write_intake(tmp_path, made)
    assert read_everything(tmp_path).problems == ()


def test_taking_a_file_in_twice_overwrites_nothing(tmp_path: Path) -> None:
    """Even a forced write meets the first file."""
    collection, _ = FAMILY.both(tmp_path, {})
    made = intake(f"{','.join(COLUMNS)}\n2026-01-02,M-01,meal,,rat,\n".encode(), "list.csv", "log", collection)
    write_intake(tmp_path, made)
    before = (tmp_path / made.file).read_bytes()
    with pytest.raises(RecordsError):
        write_intake(tmp_path, made)
    assert (tmp_path / made.file).read_bytes() == before


WORDS = (
    st.text(st.characters(categories=["L", "N", "P", "S", "Zs"]), min_size=1, max_size=25)
    .map(lambda text: " ".join(text.split()))
    .map(lambda text: text or "x")
)


@given(
    st.dictionaries(st.sampled_from(["name", "note", "from", "terms"]), WORDS, min_size=1), st.lists(WORDS, max_size=3)
)
def test_any_text_survives_being_written_as_a_record(record: dict[str, str], several: list[str]) -> None:
    """What is written out as YAML is read back as the same text, whatever it is."""
    values: dict[str, Value] = {**record, "list": several, "group": record}
    findings = Findings()
    root = compose(item(values), "t.yaml", findings)
    curly = str.maketrans({"“": '"', "”": '"', "„": '"', "‘": "'", "’": "'", "‚": "'"})
    assert findings.problems == []
    assert isinstance(root, list)
    assert {key: str(root[0][key]) for key in record} == {key: text.translate(curly) for key, text in record.items()}


@settings(max_examples=50)
@given(st.binary(max_size=200), st.sampled_from(["log", "statement"]))
def test_any_bytes_at_all_give_problems_and_never_a_traceback(raw: bytes, kind: Kind) -> None:
    """A file to take in may hold anything."""
    collection = _demo()
    made = intake(raw, "any", kind, collection)
    assert made.text is not None or made.problems != ()


_READ: list[Collection] = []


def _demo() -> Collection:
    if not _READ:
        found = read_everything(Path(__file__).resolve().parents[2] / "content").collection
        assert found is not None
        _READ.append(found)
    return _READ[0]


# ---- statements

STATEMENT: dict[str, object] = {
    "schema": "clutchlight/statement/1",
    "kind": "animal",
    "id": "Z-1",
    "name": "Sorb",
    "species": "ball-python",
    "since": "2024-05-05",
    "sex": "male",
    "hatched": "2023-07-16",
    "looks": ["Pastel"],
    "traits": [
        {"locus": "piebald", "trait": "Piebald", "shows": False, "carries": "2/3"},
        {"locus": "clown", "trait": "Clown", "shows": False, "carries": "1"},
        {"locus": "albino", "trait": "Albino", "shows": False, "carries": None},
        {"locus": "pastel", "trait": "Pastel", "shows": True, "carries": "1"},
    ],
    "digest": "sha256:00",
}


def test_a_statement_becomes_an_animal_known_from_paperwork(tmp_path: Path) -> None:
    """Claims at their stated figures, by name and date of who said so; looks and sex as stated; status elsewhere."""
    collection, _ = FAMILY.both(tmp_path, {})
    made = intake(json.dumps(STATEMENT).encode(), "statement.json", "statement", collection, said_by="Some Breeder")
    assert made.problems == ()
    write_intake(tmp_path, made)
    result = read_everything(tmp_path)
    assert [str(problem) for problem in result.problems] == []
    assert result.collection is not None
    animal = result.collection.animals["Z-1"]
    assert (animal.status, animal.sex, animal.name) == ("elsewhere", "male", "Sorb")
    assert animal.reading is not None
    assert animal.reading.shows == ("Pastel",)
    assert [(one.trait, one.chance, one.said_by, str(one.on)) for one in animal.claims] == [
        ("Piebald", Fraction(2, 3), "Some Breeder", "2024-05-05"),
        ("Clown", Fraction(1), "Some Breeder", "2024-05-05"),
    ]


def test_a_chance_of_two_copies_is_claimed_where_the_look_leaves_it_open_and_else_said(tmp_path: Path) -> None:
    """Of a Pinstripe it is a claim; of what may be affected it is told here, and to readers, since no claim can say it."""
    collection, _ = FAMILY.both(tmp_path, {})
    traits = [
        {"trait": "Motley", "shows": True, "carries": "1", "copies": {"0": "0", "1": "2/3", "2": "1/3"}},
        {"trait": "Anerythristic", "shows": True, "carries": "1", "copies": {"0": "0", "1": "0", "2": "1"}},
        {"trait": "Stargazer", "shows": False, "carries": "4/9", "copies": {"0": "5/9", "1": "1/3", "2": "1/9"}},
    ]
    said = {**STATEMENT, "species": "corn-snake", "looks": ["Motley", "Anerythristic"], "traits": traits}
    made = intake(json.dumps(said).encode(), "s.json", "statement", collection)
    assert [(one.code, one.level) for one in made.problems] == [("two-copies-left-out", "warning")]
    write_intake(tmp_path, made)
    found = read_everything(tmp_path)
    assert found.collection is not None
    animal = found.collection.animals["Z-1"]
    assert [(one.trait, one.chance, one.two_copies) for one in animal.claims] == [
        ("Motley", None, Fraction(1, 3)),
        ("Stargazer", Fraction(4, 9), None),
    ]
    assert animal.impressions == ("The statement that came with it says: 12% chance of two copies of Stargazer.",)


@pytest.mark.parametrize(
    ("trait", "counted"),
    [("Hypomelanistic", Fraction(2, 5)), ("Stargazer", Fraction(40000001, 100000000))],
    ids=["rounded down", "harm, rounded up"],
)
def test_a_chance_of_very_many_digits_is_rounded_and_says_so(tmp_path: Path, trait: str, counted: Fraction) -> None:
    collection, _ = FAMILY.both(tmp_path, {})
    one = {"trait": trait, "shows": False, "carries": f"{4 * 10**14 + 1}/{10**15}"}
    said = {**STATEMENT, "species": "corn-snake", "looks": [], "traits": [one]}
    made = intake(json.dumps(said).encode(), "s.json", "statement", collection)
    write_intake(tmp_path, made)
    found = read_everything(tmp_path)
    assert found.collection is not None
    (claim,) = found.collection.animals["Z-1"].claims
    assert (claim.chance, claim.said_by) == (counted, "the breeder's statement, rounded")


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"schema": "clutchlight/statement/9"}, "not-a-statement"),
        ({"schema": 3}, "not-a-statement"),
        ({"kind": "clutch"}, "not-a-statement"),
        ({"id": "../../x"}, "not-a-statement"),
        ({"id": "M-01"}, "duplicate-id"),
        ({"species": "dragon"}, "unknown-species"),
        ({"looks": ["Glowing"]}, "unknown-look"),
        ({"hatched": "soon"}, "not-a-statement"),
        ({"name": "half a pair \ud800"}, "not-a-statement"),
        ({"name": "hidden \u202e turn"}, "not-a-statement"),
        ({"looks": ["\x00"]}, "not-a-statement"),
        ({"traits": [{"trait": "Glow", "shows": False, "carries": "1/2"}]}, "unknown-trait"),
        ({"traits": [{"trait": "Piebald", "shows": False, "carries": "3/2"}]}, "not-a-statement"),
    ],
)
def test_a_statement_that_cannot_be_taken_says_why(tmp_path: Path, change: dict[str, object], code: str) -> None:
    """Another version, a clutch, a dangerous id, an unknown species, look or trait, an impossible chance."""
    collection, _ = FAMILY.both(tmp_path, {})
    made = intake(json.dumps({**STATEMENT, **change}).encode(), "s.json", "statement", collection)
    assert made.text is None
    assert [problem.code for problem in made.problems] == [code]


@pytest.mark.parametrize("digest", [STATEMENT["digest"], "sha256:01"])
def test_a_statement_of_an_animal_that_is_here_does_not_become_another_animal_by_itself(
    tmp_path: Path, digest: str
) -> None:
    """Not the same file, and no newer one; what is newer goes into its record, and another animal has an id of its own."""
    collection, _ = FAMILY.both(tmp_path, {})
    write_intake(tmp_path, intake(json.dumps(STATEMENT).encode(), "s.json", "statement", collection))
    found = read_everything(tmp_path)
    assert found.collection is not None
    raw = json.dumps({**STATEMENT, "digest": digest}).encode()
    again = intake(raw, "s.json", "statement", found.collection)
    (why,) = again.problems
    assert (again.text, why.code) == (None, "duplicate-id")
    assert (
        "if it is the same animal, write what is newer into its record; if not, give it an id of your own"
        in why.message
    )
    assert intake(raw, "s.json", "statement", found.collection, as_id="MINE-1").problems == ()


@pytest.mark.parametrize("raw", [b"[" * 100_000, b"9" * 5000, b'{"schema": ', b"null", b"\xff"])
def test_what_is_no_statement_at_all_is_one_problem(tmp_path: Path, raw: bytes) -> None:
    """Nested without end, a number without end, cut off, nothing, not text."""
    collection, _ = FAMILY.both(tmp_path, {})
    assert len(intake(raw, "s.json", "statement", collection).problems) == 1


# ---- export


def test_a_pedigree_comes_back_from_the_ped_file(content_dir: Path) -> None:
    """PLINK 1.9, file formats, .fam: six columns, father before mother, 0 not known, sex 1/2/0, -9 no phenotype."""
    collection = read_everything(content_dir).collection
    assert collection is not None
    rows = [line.split(" ") for line in to_ped(collection).splitlines()]
    named = [animal for animal in collection.animals.values() if not animal.nameless]
    assert {len(row) for row in rows} == {6}
    assert {row[5] for row in rows} == {"-9"}
    back = {row[1]: (row[0], row[2], row[3], {"1": "male", "2": "female", "0": "unknown"}[row[4]]) for row in rows}
    assert back == {
        animal.id: (animal.species, *(parent or "0" for parent in parents_of(collection, animal)), animal.sex)
        for animal in named
    }
    sexes = {row[1]: row[4] for row in rows}
    assert all(sexes[row[2]] != "2" for row in rows if row[2] != "0")
    assert all(sexes[row[3]] != "1" for row in rows if row[3] != "0")


def test_a_sire_in_doubt_is_not_known_where_a_format_has_no_place_for_doubt(content_dir: Path) -> None:
    """C24-05 is by Tinder or Quill: 0 in the .ped, no relation in GA4GH, both with their chances in CSV and JSON."""
    collection = read_everything(content_dir).collection
    assert collection is not None
    ped = {line.split(" ")[1]: line.split(" ")[2:4] for line in to_ped(collection).splitlines()}
    assert ped["C24-05-1"] == ["0", "F-07"]
    relations = json.loads(to_ga4gh(collection))["relationships"]
    assert [one["relation"]["id"] for one in relations if one["relativeId"] == "C24-05-1"] == ["KIN:027"]
    row = next(row for row in csv.DictReader(io.StringIO(to_csv(collection))) if row["id"] == "C24-05-1")
    assert row["sire"] == "M-04 3/4; M-02 1/4"
    clutch = next(one for one in json.loads(to_json(collection))["clutches"] if one["id"] == "C24-05")
    assert clutch["sires"] == [{"id": "M-04", "chance": "3/4"}, {"id": "M-02", "chance": "1/4"}]


def test_a_ga4gh_pedigree_names_only_individuals_that_it_lists(content_dir: Path) -> None:
    """GA4GH Pedigree, as in the Phenopacket schema's docs/ga4gh-pedigree.rst: both ends of a relationship are among the subjects."""
    collection = read_everything(content_dir).collection
    assert collection is not None
    found = json.loads(to_ga4gh(collection))
    subjects = {one["subject"]["id"] for one in found["individuals"]}
    assert len(subjects) == len(found["individuals"])
    assert {one[end] for one in found["relationships"] for end in ("individualId", "relativeId")} <= subjects
    assert {one["subject"]["sex"] for one in found["individuals"]} <= {"MALE", "FEMALE", "UNKNOWN_SEX"}
    known = sum(
        parent is not None
        for one in collection.animals.values()
        if not one.nameless
        for parent in parents_of(collection, one)
    )
    assert len(found["relationships"]) == known


SMALL = {
    "animals/M-01.md": md("id: M-01\nname: 'Moss \"the \\ <b>\"'\nsex: male\nshows: Piebald"),
    "animals/M-02.md": md("id: M-02\nsex: male"),
    "animals/F-01.md": md("id: F-01\nsex: female\nshows: normal"),
    "animals/F-02.md": md("id: F-02\nsire: M-01\ndam: F-01"),
    "clutches/C24-01.md": md(
        "id: C24-01\nsire: {one_of: {M-01: 2/3, M-02: 1/3}}\ndam: F-01\nhatched: 2024\neggs: 2\nyoung: [1 m Piebald, 2 f normal]"
    ),
}


def test_a_graph_is_one_that_graphviz_lays_out_with_everybody_in_it(tmp_path: Path) -> None:
    """Names of any letters stay text; a point for each set of young; the chance of a sire in doubt at his dashed line. Short."""
    text = to_dot(collection_of(tmp_path, SMALL))
    graph = json.loads(rendered(text, "dot_json"))
    names = [node["name"] for node in graph["objects"]]
    edges = {
        (names[edge["tail"]], names[edge["head"]]): (edge.get("style", ""), edge.get("label", ""))
        for edge in graph["edges"]
    }
    assert edges == {
        ("M-01", "clutch C24-01"): ("dashed", "2/3"),
        ("M-02", "clutch C24-01"): ("dashed", "1/3"),
        ("F-01", "clutch C24-01"): ("", ""),
        ("clutch C24-01", "C24-01-1"): ("", ""),
        ("clutch C24-01", "C24-01-2"): ("", ""),
        ("M-01", "young of M-01 and F-01"): ("", ""),
        ("F-01", "young of M-01 and F-01"): ("", ""),
        ("young of M-01 and F-01", "F-02"): ("", ""),
    }
    look = {node["name"]: (node["shape"], node["label"]) for node in graph["objects"]}
    assert look["M-01"] == ("box", 'Moss "the \\\\ <b>"\\nM-01\\nPiebald')
    assert look["F-02"] == ("diamond", "F-02")
    assert len(text) < 1000


def test_a_graph_of_the_demo_holds_every_animal_and_no_one_twice(content_dir: Path) -> None:
    collection = read_everything(content_dir).collection
    assert collection is not None
    graph = json.loads(rendered(to_dot(collection), "dot_json"))
    animals = [node["name"] for node in graph["objects"] if node["shape"] != "point"]
    assert sorted(animals) == sorted(animal.id for animal in collection.animals.values() if not animal.nameless)


def test_no_export_knows_the_private_side(content_dir: Path) -> None:
    """No buyer, amount or private note of the demo stands in any export."""
    both = read_everything(content_dir)
    assert both.collection is not None
    assert both.private is not None
    for text in (make(both.collection) for make in FORMATS.values()):
        for sale in both.private.sales:
            assert sale.buyer is not None
            assert sale.buyer not in text


FORMULAS = {
    "=1+1": "'=1+1",
    "+49 170": "'+49 170",
    "-2-3": "'-2-3",
    "@SUM(A1)": "'@SUM(A1)",
    "\t=1": "'=1",
    "＝1": "'＝1",
    "'=1": "''=1",
    "''=1": "'''=1",
    "=cmd|' /C calc'!A0": "'=cmd|' /C calc'!A0",
    '=HYPERLINK("http://x.example","y")': '\'=HYPERLINK("http://x.example","y")',
    "-5": "-5",
    "+5.25": "+5.25",
    "'tis": "'tis",
    "O'Hara = Plum": "O'Hara = Plum",
    "Plum; =1": "Plum; =1",
    "# plum": "# plum",
}


@pytest.mark.parametrize("name", FORMULAS)
def test_no_cell_of_a_table_is_a_formula_and_every_cell_comes_back(tmp_path: Path, name: str) -> None:
    """OWASP, "CSV Injection": a cell that a spreadsheet would run has an apostrophe before it. Intake takes it away; numbers have none."""
    record = item({"id": "X-1", "name": "NAME"}).replace("NAME", json.dumps(name, ensure_ascii=False))
    collection, _ = FAMILY.both(tmp_path / "one", {"animals/x.yaml": record})
    table = to_csv(collection)
    row = next(row for row in csv.DictReader(io.StringIO(table)) if row["id"] == "X-1")
    assert row["name"] == FORMULAS[name]
    assert not any(
        re.match(r"[=@\t\r]|[+-](?![0-9.]+$)", cell) for line in csv.reader(io.StringIO(table)) for cell in line
    )
    made = taken_in(
        FAMILY.write(tmp_path / "two", {"animals/all.yaml": "[]", "clutches/C26-01.md": OTHER_CLUTCH}), table.encode()
    )
    assert made.animals["X-1"].name == " ".join(name.split())


def test_a_table_of_our_own_comes_back(content_dir: Path, tmp_path: Path) -> None:
    """All animals of the demo, and its clutches by the days of their young; a sire in doubt, and that one was traded, is told,
    and kept as a private note."""
    collection = read_everything(content_dir).collection
    assert collection is not None
    table = to_csv(collection)
    for part in ("collection.yaml", "traits"):
        source = content_dir / part
        (shutil.copytree if source.is_dir() else shutil.copy)(source, tmp_path / part)
    back = taken_in(tmp_path, table.encode())

    def rows(text: str) -> list[dict[str, str]]:
        found = [row | {"clutch": "", "origin": ""} for row in csv.DictReader(io.StringIO(text))]
        return [row | {"sire": ""} if ";" in row["sire"] else row for row in found]

    assert rows(to_csv(back)) == [
        row | {"status": "not for sale"} if row["status"] in ("traded", "re-homed") else row for row in rows(table)
    ]


OTHER_CLUTCH = "---\nid: Q\nsire: unknown\ndam: {}\n---\n"


def taken_in(folder: Path, table: bytes) -> Collection:
    """The collection after taking in a list of animals with no answer given but that dates are as they stand."""
    book = book_of(folder)
    take_in(book, table, "table.csv", {"species": "ball-python"}, lambda question: None, date(2026, 11, 28))
    result = open_book(folder)
    assert result.book is not None, [str(problem) for problem in result.problems]
    return result.book.collection


UNLISTED = {
    "animals/all.yaml": """- {id: M-01, sex: male, shows: Piebald}
- {id: M-77, sex: male, name: Zq, shows: normal, publish: no}
- {id: M-78, sex: male, shows: normal, publish: no}
- {id: F-01, sex: female, shows: normal}
- {id: F-02, sex: female, sire: M-77, dam: F-01}
- {id: F-03, sex: female, publish: name only, was: OLD-3, origin: wild, hatched: 2019-02-03, status: elsewhere,
   claims: {Clown: {chance: 50%, from: Zq}},
   tests: [{trait: Piebald, copies: 1, on: 2024-01-01}]}
""",
    "clutches/C26-01.md": """---
id: C26-01
sire: [M-01, M-77, M-78]
dam: F-01
hatched: 2026-07-13
eggs: 2
young: [1 f normal, {id: Z-2, shows: normal, publish: no}]
---
""",
    "clutches/U26-02.md": """---
id: U26-02
sire: M-01
dam: F-01
hatched: 2026-07-14
eggs: 1
publish: no
young: [{id: K-1, shows: normal}]
---
""",
}


@pytest.mark.parametrize("kind", FORMATS)
def test_an_export_leaves_out_what_is_not_published(tmp_path: Path, kind: str) -> None:
    """Unlisted animals and clutches, wherever they would be named; of an animal by name what no page says. With all: all."""
    collection, _ = FAMILY.both(tmp_path, UNLISTED)
    secrets = ("M-77", "M-78", "Z-2", "Zq", "U26-02", "OLD-3", "wild", "2019-02-03", "elsewhere")
    text, whole = FORMATS[kind](export_published(collection)), FORMATS[kind](collection)
    assert [word for word in (*secrets, "~") if word in text] == []
    assert [word for word in ("M-01", "F-02", "F-03", "K-1", "C26-01-1") if word not in text] == []
    assert [word for word in ("M-77", "M-78", "Z-2") if word not in whole] == []


def test_an_exported_parent_that_is_not_listed_is_not_known(tmp_path: Path) -> None:
    """Of several sires that are not listed there is one, with the chances of all."""
    collection, _ = FAMILY.both(tmp_path, UNLISTED)
    seen = export_published(collection)
    rows = {row["id"]: row for row in csv.DictReader(io.StringIO(to_csv(seen)))}
    assert (rows["F-02"]["sire"], rows["F-02"]["dam"]) == ("", "F-01")
    assert (rows["K-1"]["sire"], rows["K-1"]["clutch"], rows["C26-01-1"]["sire"]) == (
        "M-01",
        "",
        "M-01 1/3; not listed 2/3",
    )
    (clutch,) = json.loads(to_json(seen))["clutches"]
    assert clutch["sires"] == [{"id": "M-01", "chance": "1/3"}, {"id": None, "chance": "2/3"}]
    assert clutch["young"] == ["C26-01-1"]


def test_a_clutch_is_complete_where_all_its_young_stand_in_the_export(tmp_path: Path) -> None:
    """Not where one is not listed, or is counted without an id."""
    more = ("eggs: 1", "eggs: 2, tally: [1 x normal]", "eggs: 2, to_sort: 1", "complete: no")
    clutches = "".join(
        f"- {{id: C2{number}-01, sire: M-01, dam: F-01, hatched: 202{number}-07-13, young: [1 f normal], {one}}}\n"
        for number, one in enumerate(more)
    )
    collection, _ = FAMILY.both(tmp_path, UNLISTED | {"clutches/all.yaml": clutches})

    def complete(of: Collection) -> dict[str, bool]:
        return {one["id"]: one["complete"] for one in json.loads(to_json(of))["clutches"]}

    told = {"C20-01": True, "C21-01": False, "C22-01": False, "C23-01": False}
    assert complete(export_published(collection)) == told | {"C26-01": False}
    assert complete(collection) == told | {"C26-01": True, "U26-02": True}


def test_an_export_says_how_an_animal_left() -> None:
    """Not of one of which the site tells nothing but the name."""
    collection = read_everything(GALLERY / "ways-to-come-and-leave").collection
    assert collection is not None

    def status(of: Collection) -> dict[str, str]:
        rows = {row["id"]: row["status"] for row in csv.DictReader(io.StringIO(to_csv(of)))}
        assert {one["id"]: one["status"] for one in json.loads(to_json(of))["animals"]} == rows
        return rows

    told = status(collection)
    assert [told[f"L-{number}"] for number in range(1, 9)] == [
        "sold",
        "traded",
        "died",
        "on loan",
        "returned to its owner",
        "re-homed",
        "escaped",
        "sold",
    ]
    assert (told["F-1"], told["F-4"]) == ("breeder", "not for sale")
    by_name = replace(collection.animals["L-3"], publish="name only")
    hidden = replace(collection, animals={**collection.animals, "L-3": by_name})
    assert status(export_published(hidden))["L-3"] == "not for sale"


def test_an_id_that_means_nothing_known_is_refused(tmp_path: Path) -> None:
    """In a .ped file 0 is a parent not known, so an animal called 0 cannot be told from none."""
    collection, _ = FAMILY.both(tmp_path, {"animals/zero.md": '---\nid: "0"\nsex: male\n---\n'})
    with pytest.raises(RecordsError):
        to_ped(collection)
