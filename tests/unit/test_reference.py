"""The reference says of every key, code, command and file what the program knows of it, and nothing more; its examples work."""

from __future__ import annotations

import json
import re
import shlex
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest
from click.testing import CliRunner, Result

from clutchlight import reference, shipped
from clutchlight.cli import main
from clutchlight.genetics.values import GroundsKind
from clutchlight.model import Inheritance, Publish, Status
from clutchlight.model.private import EVENTS, Purpose
from clutchlight.pipeline import read_everything
from clutchlight.problem_codes import CODES
from clutchlight.reading import fields, private_side, settings, shapes, species_files
from clutchlight.reading.strict import RecordShape, keys_of
from clutchlight.reading.tables import COLUMNS
from clutchlight.reference import Explanation
from clutchlight.site.sandbox import BoundedSandbox
from clutchlight.site.theme import KEYS, load_theme
from clutchlight.statements.values import NoteKind

ANYWHERE = frozenset({"private", "source"})
"""Keys that are explained once for all records."""

# Each group of keys: the file that its examples belong into, and the shapes that the reader knows it as.
GROUPS: Mapping[str, tuple[str, tuple[type[RecordShape], ...]]] = {
    "collection.yaml": ("collection", (settings.SettingsRecord,)),
    "thresholds": ("collection", (settings.ThresholdsRecord,)),
    "season": ("collection", (settings.RulesRecord, species_files.SeasonFacts)),
    "male in use": (
        "collection",
        (settings.LimitsRecord, settings.MaleRecord, species_files.MaleLimits, species_files.MaleSeason),
    ),
    "readiness": (
        "collection",
        (
            *(settings.ReadinessRecord, settings.GrownRecord),
            *(species_files.Readiness, species_files.AdultReadiness),
        ),
    ),
    "window": ("collection", (settings.WindowRecord, species_files.Window)),
    "range": ("collection", (fields.Range, fields.CountRange, species_files.SourcedDays)),
    "page": ("page", (settings.PageRecord,)),
    "animal": ("animal", (shapes.AnimalRecord,)),
    "reading": ("animal", (shapes.LookRecord,)),
    "claim": ("animal", (shapes.ClaimRecord,)),
    "stated figure": ("animal", (shapes.StatedRecord,)),
    "test": ("animal", (shapes.TestRecord,)),
    "photo": ("animal", (shapes.PhotoRecord,)),
    "sexed": ("animal", (shapes.SexedRecord,)),
    "came": ("animal", (shapes.CameRecord,)),
    "left": ("animal", (shapes.LeftRecord,)),
    "correction": ("animal", (shapes.CorrectionRecord,)),
    "parent in place": ("animal", (shapes.ParentRecord,)),
    "shared animal": ("animal", (private_side.SharedRecord,)),
    "clutch": ("clutch", (shapes.ClutchRecord,)),
    "sires in doubt": ("clutch", (shapes.SireRecord,)),
    "young": ("clutch", (shapes.YoungRecord,)),
    "tally line": ("clutch", (shapes.TallyRecord,)),
    "trait file": ("traits", (species_files.SpeciesRecord,)),
    "locus": ("traits", (species_files.LocusRecord,)),
    "combo": ("traits", (species_files.ComboRecord,)),
    "sex_linked": ("traits", (species_files.SexLinked,)),
    "sex_determination": ("traits", (species_files.SexDetermination,)),
    "usual clutch": ("traits", (species_files.ClutchFacts,)),
    "ready_when": ("traits", (species_files.ReadyWhen,)),
    "feeding": ("traits", (species_files.FeedingFacts,)),
    "feeding at an age": ("traits", (species_files.FeedingAtAge,)),
    "fact in words": ("traits", (species_files.SourcedNote,)),
    "caution": ("traits", (species_files.Caution,)),
    "rule": ("traits", (species_files.Rule,)),
    "plan": ("plan", (private_side.PlanRecord,)),
    "sale": ("sale", (private_side.SaleRecord,)),
    "payment": ("sale", (private_side.PaymentRecord,)),
    "buyer told": ("sale", (private_side.ToldRecord,)),
}
FILES = (
    *(
        settings.SettingsRecord,
        settings.PageRecord,
        shapes.AnimalRecord,
        shapes.ClutchRecord,
        species_files.SpeciesRecord,
    ),
    *(private_side.PlanRecord, private_side.SaleRecord, private_side.SharedRecord, settings.RulesRecord),
)

# What an example is put beside: the file it belongs into, and lines that it may replace.
MINIMAL: Mapping[str, tuple[str, str]] = {
    "collection": (
        "collection.yaml",
        "name: Room\ncollection_id: 3f6c2f0e-8b1d-4c52-9d4e-0a7b1c2d3e4f\nspecies: [ball-python, corn-snake]\ncurrency: EUR\n",
    ),
    "page": ("pages/own.md", "title: Own\n"),
    "animal": ("animals/one.md", "id: F-03\n"),
    "clutch": ("clutches/one.md", "id: C24-03\nsire: M-01\ndam: F-01\ncomplete: no\n"),
    "traits": ("traits/own.yaml", "species: ball-python\n"),
    "plan": ("season/plans.yaml", "female: F-01\nmales: [M-01]\n"),
    "sale": ("sales/sales.yaml", "animals: [F-01]\n"),
    "log": ("log/2024.csv", "date,animal,event,with,value,note\n"),
}
OTHERS = "".join(
    f"- {{id: {name}, sex: {'male' if name[0] == 'M' else 'female'}, hatched: 2018}}\n"
    for name in ("M-01", "M-02", "M-05", "F-01", "F-02")
)


def of(topic: str, group: str) -> list[Explanation]:
    return [entry for entry in reference.entries() if entry.topic == topic and group in entry.of]


def names(topic: str, group: str) -> list[str]:
    return [entry.name for entry in of(topic, group)]


def keys(group: str) -> set[str]:
    """The keys of a group as the reader knows them; `#` is set by the short form and never written."""
    known = {key for shape in GROUPS[group][1] for key in keys_of(shape) if key[0].isalpha()} - ANYWHERE
    return known - keys("parent in place") if group == "sires in doubt" else known


def explain(*words: str) -> Result:
    return CliRunner().invoke(main, ["explain", *words])


# The keys of records


@pytest.mark.parametrize("group", GROUPS)
def test_each_key_that_the_reader_takes_is_explained_once_and_no_other(group: str) -> None:
    """Of each group of keys those explained are those of its shape."""
    explained = [name for name in names("records", group) if name != "parent in place"]
    assert sorted(explained) == sorted(keys(group))


def shapes_within(shape: type[RecordShape]) -> Iterator[type[RecordShape]]:
    yield shape
    for annotation in get_type_hints(shape).values():
        for inner in classes_in(annotation):
            if inner is not shape:  # a shape may hold one of its own kind
                yield from shapes_within(inner)


def classes_in(annotation: Any) -> Iterator[type[RecordShape]]:
    if isinstance(annotation, type) and issubclass(annotation, RecordShape):
        yield annotation
    for part in get_args(annotation):
        yield from classes_in(part)


def test_no_group_of_keys_is_forgotten() -> None:
    """Every shape that can be reached from a file's stands in a group; the keys that stand anywhere are explained, too."""
    reached = {inner for shape in FILES for inner in shapes_within(shape)}
    assert {shape for _, known in GROUPS.values() for shape in known} == reached
    assert set(names("records", "records")) >= ANYWHERE


def test_the_log_is_explained_column_by_column_and_event_by_event() -> None:
    assert sorted(names("records", "log")) == sorted(COLUMNS)
    assert names("records", "log event") == list(EVENTS)


@pytest.mark.parametrize(
    ("key", "group", "words"),
    [
        ("status", "animal", get_args(Status)),
        ("publish", "animal", get_args(Publish)),
        ("origin", "animal", shapes.ORIGINS),
        ("came", "animal", shapes.WAYS_TO_COME),
        ("left", "animal", shapes.WAYS_TO_LEAVE),
        ("purpose", "plan", get_args(Purpose)),
        ("publish_from_log", "collection.yaml", settings.LOG_FACTS),
        ("inheritance", "locus", [kind.value for kind in Inheritance]),
    ],
)
def test_a_key_that_takes_certain_words_names_them_all(key: str, group: str, words: Iterable[str]) -> None:
    (entry,) = (entry for entry in of("records", group) if entry.name == key)
    assert [word for word in words if not re.search(rf"(?<![\w-]){word}(?![\w-])", entry.says)] == []


def examples() -> list[tuple[str, Explanation]]:
    """Every example of records, with the file that it belongs into: its group's, or, of a whole file or a rule, that of its kind."""
    into = {group: file for group, (file, _) in GROUPS.items()}
    into |= {"log": "log", "log event": "log", "private": "animal", "source": "traits"}
    return [
        (next((into[name] for name in (*entry.of, entry.holds, entry.name) if name in into), "animal"), entry)
        for entry in reference.entries()
        if entry.topic == "records" and entry.example
    ]


@pytest.mark.parametrize(
    ("kind", "entry"), [pytest.param(kind, entry, id=f"{entry.name} ({entry.of[0]})") for kind, entry in examples()]
)
def test_each_example_is_read_without_a_problem(kind: str, entry: Explanation, tmp_path: Path) -> None:
    """Put into an otherwise minimal record; the example of a key has the key in it."""
    written = {name: text for name, text in MINIMAL.values() if name == "collection.yaml"}
    written |= {"animals/others.yaml": OTHERS, "photos/sorrel.jpg": ""}
    file, minimal = MINIMAL[kind]
    lines = entry.example.rstrip() + "\n"
    given = {line.partition(":")[0] for line in lines.splitlines()}
    lines = "".join(line for line in minimal.splitlines(True) if line.partition(":")[0] not in given) + lines
    if file.endswith(".md"):
        lines = f"---\n{lines}---\n"
    elif kind in ("plan", "sale"):
        lines = "- " + lines.rstrip().replace("\n", "\n  ") + "\n"
    for name, text in (written | {file: lines}).items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    result = read_everything(tmp_path)
    assert [str(problem) for problem in result.problems] == []
    if kind != "log" and any(group in GROUPS for group in entry.of):
        assert entry.name == "parent in place" or re.search(rf"(?<!\w){entry.name}(?!\w)", entry.example)


def test_every_key_has_an_example() -> None:
    lacking = [
        entry.name for group in (*GROUPS, "log", "log event") for entry in of("records", group) if not entry.example
    ]
    assert lacking == []


# Outputs and themes


def test_every_command_is_explained_with_an_example_that_it_takes(
    content_dir: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The examples are taken apart as the command would; they are not run."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "content").symlink_to(content_dir, target_is_directory=True)
    (tmp_path / "old-list.csv").touch()
    assert set(names("outputs", "command")) == set(main.every)
    for entry in of("outputs", "command"):
        program, name, *arguments = shlex.split(entry.example)
        assert (program, name) == ("clutchlight", entry.name)
        main.every[name].make_context(name, arguments)


def test_every_address_of_the_site_is_explained(repository: Path) -> None:
    """Each file of the demo's site stands at an address that is explained, and but for two each of those is in use there."""
    patterns = {name: re.compile(re.sub(r"[A-Z]+", "[^/]+", re.escape(name))) for name in names("outputs", "address")}
    site = repository / "site_demo"
    unused = set(patterns) - {"404.html"}
    for file in site.rglob("*"):
        if file.is_file():
            address = file.relative_to(site).as_posix()
            fitting = [name for name, pattern in patterns.items() if pattern.fullmatch(address)]
            assert fitting, address
            unused -= set(fitting)
    assert unused == {"animals/ID/card.html"}


@pytest.mark.parametrize(
    ("group", "schema"), [("statement", "statement"), ("odds as data", "odds"), ("derivation", "why")]
)
def test_every_key_of_a_json_file_is_explained(group: str, schema: str) -> None:
    known = {key for key in properties_in(json.loads(shipped.schema(schema))) if not key.isdigit()}
    assert sorted(names("outputs", group)) == sorted(known)


def properties_in(schema: Any) -> Iterator[str]:
    if isinstance(schema, dict):
        yield from schema.get("properties", {})
    for inner in schema.values() if isinstance(schema, dict) else schema if isinstance(schema, list) else ():
        yield from properties_in(inner)


def test_grounds_and_notes_are_explained_word_by_word() -> None:
    """The words that stand in statement.json."""
    (grounds,) = (entry for entry in reference.find("grounds") if entry.topic == "figures")
    assert re.findall(r"^  (\w+) ", grounds.says, re.MULTILINE) == list(get_args(GroundsKind))
    (notes,) = (entry for entry in reference.find("notes") if entry.topic == "figures")
    assert re.findall(r"^  ([\w-]+) ", notes.says, re.MULTILINE) == list(get_args(NoteKind))


def test_every_key_of_a_theme_and_every_word_of_its_templates_is_explained() -> None:
    """What theme.yaml may hold, and what a template of one's own may call."""
    assert sorted(names("themes", "theme.yaml")) == sorted(KEYS)
    (templates,) = (entry for entry in reference.find("templates") if entry.topic == "themes")
    bounded = BoundedSandbox()
    called = {name for name in (*bounded.filters, *bounded.tests, *bounded.globals) if name.isalpha()}
    assert called - {"d", "e", "count", "equalto"} <= set(re.findall(r"[a-z]+", templates.says))


def test_every_template_of_a_theme_is_explained() -> None:
    found = (file.name for file in (shipped.themes() / "paper" / "templates").glob("*.html"))
    assert sorted(names("themes", "template")) == sorted(found)


@pytest.mark.parametrize("entry", of("themes", "theme.yaml") + of("themes", "themes")[:1], ids=lambda entry: entry.name)
def test_each_example_of_a_theme_is_one(entry: Explanation, tmp_path: Path) -> None:
    (tmp_path / "own" / "style").mkdir(parents=True)
    (tmp_path / "own" / "style" / "colours.css").write_text(":root { --ink: #000000; }", encoding="utf-8")
    (tmp_path / "own" / "theme.yaml").write_text(entry.example, encoding="utf-8")
    assert entry.name == "theme.yaml" or f"{entry.name}:" in entry.example
    load_theme("own", [tmp_path, shipped.themes()])


# The whole


def test_every_entry_says_something_and_belongs_somewhere() -> None:
    """Every group that an entry names is held by another one, and held by one that leads to it; none is empty."""
    found = reference.entries()
    held = {(entry.topic, entry.holds) for entry in found if entry.holds}
    assert {(entry.topic, group) for entry in found for group in entry.of} == held
    assert [entry.anchor for entry in found if not entry.of] == [
        f"{topic}#{topic}" for topic in (*reference.TOPICS, "problems")
    ]
    assert [entry.name for entry in found if not entry.says and entry.topic != "problems"] == []


def test_what_docstrings_cite_exists(repository: Path) -> None:
    """figures#founders and its like, in the program and its tests; sections are not cited by number, which would move."""
    anchors = {entry.anchor for entry in reference.entries()}
    cited: set[str] = set()
    for folder in ("builder", "tests", "themes"):
        for file in (repository / folder).rglob("*.py"):
            text = file.read_text(encoding="utf-8")
            assert not re.search(r"\b(records|figures|outputs|themes)(, section|[.]md)", text, re.IGNORECASE), file
            cited |= set(re.findall(rf"\b(?:{'|'.join(reference.TOPICS)})#[a-z0-9-]+", text))
    assert cited - anchors == set()
    assert len([anchor for anchor in cited if anchor.startswith("figures#")]) > 10


# The command


def test_explain_shows_every_entry_of_a_name() -> None:
    """`hatched` is a key of animals and of clutches, an event of the log, a command and a key of statement.json."""
    result = explain("hatched")
    headings = [line for line in result.stdout.splitlines() if line and not line.startswith(" ")]
    assert headings == [f"hatched ({group})" for group in ("animal", "clutch", "log event", "command", "statement")]
    assert "    hatched: 2021-07-30\n" in result.stdout
    assert "Where it shows: On its page" in result.stdout


def test_explain_says_how_bad_a_problem_is_and_what_to_do() -> None:
    """Of every code, in the words of the one list of them."""
    entries = {entry.name: entry for entry in reference.entries() if entry.topic == reference.PROBLEMS}
    for code in CODES.values():
        said = " ".join(reference.in_text([entries[code.name]]).split())
        assert f"{code.level.capitalize()}: {code.wrong} What to do: {code.remedy}" in said


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("pos het", "possible het (words)"),
        ("POS-HET", "possible het (words)"),
        ("growing on", "status (animal, young)"),
        ("figures#founders", "1.2 founders (the model)"),
        ("1.2", "1.2 founders (the model)"),
        ("animals/", "animal (records)"),
        ("payment", "payments (sale)"),
    ],
)
def test_explain_takes_a_word_as_people_write_it(asked: str, found: str) -> None:
    result = explain(*asked.split())
    assert result.exit_code == 0
    assert found in result.stdout.splitlines()


@pytest.mark.parametrize(
    ("asked", "near"),
    [
        ("sxe", "'sex'"),  # two changed over
        ("hatchde", "'hatched'"),
        ("eggss", "'eggs'"),  # one too many
        ("unsen", "'unseen'"),  # one missing
        ("holdbakc", "'holdback'"),
        ("slags", "'slugs'"),  # another one
    ],
)
def test_explain_offers_what_is_one_slip_away(asked: str, near: str) -> None:
    result = explain(asked)
    assert (result.exit_code, result.stdout) == (2, "")
    assert near in result.stderr


@pytest.mark.parametrize("asked", ["hatchday", "banana", "sexually", "xyz1"])
def test_explain_offers_nothing_that_is_further_off(asked: str) -> None:
    """A word that merely looks a little alike is no slip."""
    result = explain(asked)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "nearest" not in result.stderr
    assert f"'{asked}' is not in the reference" in result.stderr


def test_explain_alone_lists_the_topics() -> None:
    lines = explain().stdout.splitlines()
    assert [line.split()[0] for line in lines[: lines.index("")]] == [*reference.TOPICS, "problems"]


def test_everything_in_the_reference_can_be_printed() -> None:
    """No line of text is too wide for a terminal of a hundred columns but an example's or a table's."""
    for entry in reference.entries():
        printed = reference.in_text([entry])
        assert printed == printed.rstrip()
        wide = [line for line in printed.splitlines() if len(line) > 100 and not line.startswith("    ")]
        assert wide == []


@pytest.mark.parametrize("word", ["het", "stamp"])
def test_what_is_called_so_is_explained_first(word: str) -> None:
    """Before what it only leads to, which is told too."""
    found = reference.find(word)
    assert found[0].name == word
    assert len(found) > 1


def test_words_that_are_none_together_are_explained_one_by_one() -> None:
    assert [entry.name for entry in reference.find("66% het")] == ["chances", "het", "claims"]
    assert [entry.name for entry in reference.find("pos")] == ["possible het"]
