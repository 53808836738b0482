"""What `start` makes: an example, and starters whose commented lines are records once their # is gone; and the way to a site."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from openpyxl import Workbook
from tests.rooms import BARE, SETTINGS
from tests.unit.test_reference import GROUPS, keys

from clutchlight import reference
from clutchlight.cli import main
from clutchlight.editing.starting import start
from clutchlight.pipeline import open_book, read_everything
from clutchlight.problems import RecordsError

_COMMENTED = re.compile(r"^#(?=[^ #\n])|^#(?=  )", re.MULTILINE)


def slug(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.casefold()).strip("-")


def run(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.mark.parametrize("empty", [False, True])
def test_lines_of_starters_can_be_uncommented_without_an_error(tmp_path: Path, empty: bool) -> None:
    """Each file in turn, what others name first, and then all together; before that they hold no record and no mistake."""
    folder = tmp_path / "room"
    start(folder, empty=empty)
    assert open_book(folder).problems == ()
    found = [path for path in folder.rglob("*.yaml") if _COMMENTED.search(path.read_text())]
    names = {path.relative_to(folder).as_posix() for path in found}
    assert {"season/next.yaml", "traits/ball-python.yaml", "sales/sales.yaml"} <= names
    assert ({"animals/animals.yaml", "clutches/clutches.yaml"} <= names) == empty
    for path in sorted(found):
        path.write_text(_COMMENTED.sub("", path.read_text()))
        result = open_book(folder)
        assert [str(problem) for problem in result.problems] == []
    assert result.book is not None
    private, species = result.book.private, result.book.collection.species["ball-python"]
    assert (len(private.plans), len(private.sales), "my-line" in species.loci) == (1, 1, True)
    assert len(result.book.collection.clutches) == 1


def test_the_line_of_the_web_address_can_be_uncommented(tmp_path: Path) -> None:
    start(tmp_path / "room")
    file = tmp_path / "room/collection.yaml"
    file.write_text(file.read_text().replace("# web_address", "web_address"))
    assert open_book(tmp_path / "room").problems == ()


def test_a_collection_is_not_begun_inside_the_program(tmp_path: Path) -> None:
    """An update of the program would meet the records of its user."""
    clone = tmp_path / "clone"
    (clone / "builder/clutchlight/editing").mkdir(parents=True)
    with pytest.raises(RecordsError, match="inside-program"):
        start(clone / "my-snakes")
    assert not (clone / "my-snakes").exists()
    start(tmp_path / "my-snakes")


def test_four_commands_lead_from_nothing_to_a_page_of_ones_own(
    repository: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Those of the README, as they stand there: the page of an animal that stood in a spreadsheet. The first makes the environment."""
    text = (repository / "README.md").read_text(encoding="utf-8")
    found = re.search(r"four commands\n.*?```\n(.*?)```", text, re.S)
    assert found is not None
    first, *others = [shlex.split(line) for line in found[1].splitlines()]
    assert (first, len(others)) == (["python3", "builder", "demo"], 3)
    (tmp_path / "program").mkdir()
    monkeypatch.chdir(tmp_path / "program")
    book = Workbook()
    assert book.active is not None
    for row in (
        ["Tag", "Sex", "Genes", "Born", "Status", "Price"],
        ["K-7", 1.0, "Pastel Clown", "2025-06-11", "available", 300],
    ):
        book.active.append(row)
    book.save(tmp_path / "my-list.xlsx")
    for command, *words in others:
        assert command == ".venv/bin/clutchlight"
        done = run(*words)
        assert done.exit_code == 0, done.output
    assert "Pastel" in (tmp_path / "my-site/animals/K-7/index.html").read_text(encoding="utf-8")


def test_what_is_missing_before_publishing_is_told_and_nothing_when_all_is_there(tmp_path: Path) -> None:
    """The worked example, with its address that is nobody's, must not go public by itself."""
    start(tmp_path / "room")
    told = run("check", tmp_path / "room", "--publish")
    assert told.exit_code == 1
    codes = re.findall(r"^(\S+?):.*\[(.*)\]$", told.stderr, re.MULTILINE)
    assert [code for _, code in codes].count("not-ready-to-publish") == 4
    for words in (
        "`web_address` is missing",
        "still you@example.org",
        "Alder (M-01) is an animal of the worked example",
        "no photo",
    ):
        assert words in told.stderr
    assert run("check", tmp_path / "room").exit_code == 0
    ready = {
        "collection.yaml": f"{SETTINGS}contact: {{mail: room@example.org}}\nweb_address: https://example.org/s/\nlaw: [Ask.]\n",
        "animals/all.yaml": "- {id: M-1, sex: male, shows: normal}\n",
    }
    done = run("check", BARE.write(tmp_path / "ready", ready), "--publish")
    assert (done.exit_code, done.stderr) == (0, "")


def test_a_collection_may_have_any_name(tmp_path: Path) -> None:
    """Quotation marks, a colon and a backslash in it are the name's."""
    name = 'Ada\'s "Room": C:\\snakes # 1'
    start(tmp_path / "room", name)
    found = read_everything(tmp_path / "room").collection
    assert found is not None
    assert found.settings.name == name


def test_a_collection_in_a_repository_is_warned_of(tmp_path: Path) -> None:
    folder = BARE.write(tmp_path / "room", {})
    (tmp_path / ".git").mkdir()
    assert "keep" not in run("check", folder).stderr
    assert "which must be a private one" in run("check", folder, "--publish").stderr


def test_a_file_of_notes_alone_is_no_mistake_and_an_empty_one_is(tmp_path: Path) -> None:
    files = {"season/a.yaml": "# later\n\n  # more\n", "traits/a.yaml": "# nothing yet\n", "sales/a.yaml": "\n"}
    assert [code for *_, code in BARE.problems(tmp_path, files)] == ["empty-file"]


def test_a_record_of_which_only_comments_are_left_is_told(tmp_path: Path) -> None:
    """Where the front matter of a file with prose, or collection.yaml itself, holds nothing, that must not pass in silence."""
    files = {"animals/a.md": "---\n# id: A\n---\nProse.\n", "pages/b.md": "---\n# title: B\n---\nProse.\n"}
    assert [where[:2] for where in BARE.problems(tmp_path / "a", files)] == [("animals/a.md", 2), ("pages/b.md", 2)]
    folder = BARE.write(tmp_path / "b", {})
    (folder / "collection.yaml").write_text("# name: B\n", encoding="utf-8")
    assert "collection.yaml:1:1: error: there is no record here" in run("check", folder).stderr


def test_the_guide_of_the_desk_has_every_key_that_the_reader_takes(tmp_path: Path) -> None:
    """With its meaning; the keys of each shape by its group. And how the site is put on a host."""
    start(tmp_path / "room")
    assert run("build", tmp_path / "room", "--out", tmp_path / "site", "--desk", tmp_path / "desk").exit_code == 0
    page = (tmp_path / "desk/guide.html").read_text(encoding="utf-8")
    for group in GROUPS:
        for key in keys(group):
            assert f'<h3 id="guide-key-{slug(f"{group}-{key}")}">' in page, (group, key)
    assert "web_address: https://example.org/snakes/" in page
    assert page.count("<h3 ") > 150
    assert len(set(re.findall(r'id="([^"]+)"', page))) == len(re.findall(r'id="([^"]+)"', page))
    assert set(re.findall(r'href="#([^"]+)"', page)) <= set(re.findall(r'id="([^"]+)"', page))
    assert reference.find("hosting")
