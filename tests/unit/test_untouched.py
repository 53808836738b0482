"""Whether anything was touched, told by times: at exactly the limit, with nothing there, with links; and what is noted of it."""

from __future__ import annotations

import json
import os
import re
import sys
import time
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from tests.rooms import FAMILY, HEADER, book_of, log

import clutchlight
from clutchlight import cli, pipeline
from clutchlight.editing.disk import KEPT
from clutchlight.publishing import building_again
from clutchlight.publishing.building_again import MOST_NOTES, NOTES, SETTLED, LastBuild, touched
from clutchlight.publishing.manifest import Manifest, content_hash, read_manifest
from clutchlight.reading.files import RECORD_FOLDERS

pytestmark = pytest.mark.skipif(os.name == "nt", reason="no time of change there")
NAMES = ("collection.yaml", "animals")
LATER = "2026-12-24,M-02,weight,,1400,\n"


def note(folder: Path, out: Path, number: int, asked: str) -> None:
    """As after a build that was asked for this."""
    LastBuild(folder, out).note(number, Manifest("site", {}, asked))


def is_noted(folder: Path, out: Path, number: int, asked: str) -> bool:
    return LastBuild(folder, out).noted[:2] == [number, content_hash(Manifest("site", {}, asked).to_bytes())]


@pytest.fixture
def records(tmp_path: Path) -> Path:
    """Two files in folders of records, the file of settings, and a file that is no record."""
    (tmp_path / "animals" / "deep").mkdir(parents=True)
    for name in ("collection.yaml", "animals/one.md", "animals/deep/two.md", "notes.txt"):
        (tmp_path / name).write_text("x")
    return tmp_path


def newest(folder: Path) -> int:
    found = [folder / "collection.yaml", folder / "animals", *(folder / "animals").rglob("*")]
    return max(one.lstat().st_ctime_ns for one in found)


def test_the_newest_time_in_microseconds_and_the_number_of_entries(
    records: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Five: the file, the folder, the folder in it, and a file in each. What is no record does not count, and where a link leads does."""
    monkeypatch.setattr(time, "time_ns", lambda: newest(records) + 10 * SETTLED)
    assert touched(records, NAMES) == newest(records) // 1000 * 1000 + 5
    (records / "notes.txt").write_text("changed")
    (records / "more.txt").write_text("new")
    assert touched(records, NAMES) == newest(records) // 1000 * 1000 + 5
    (records / "animals" / "link.md").symlink_to(records / "notes.txt")
    later = max(newest(records), (records / "notes.txt").stat().st_ctime_ns)
    assert touched(records, NAMES) == later // 1000 * 1000 + 7


def test_of_a_thousand_and_one_entries_one_shows(records: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The number is counted modulo 1000, below the microseconds."""
    monkeypatch.setattr(time, "time_ns", lambda: 1 << 62)
    for number in range(996):
        (records / "animals" / f"{number}.md").touch()
    found = touched(records, NAMES)
    assert found is not None
    assert found % 1000 == 1


@pytest.mark.parametrize(("after", "tells"), [(SETTLED, False), (SETTLED + 1, True), (0, False), (-SETTLED, False)])
def test_what_was_touched_within_the_last_moments_tells_nothing(
    records: Path, monkeypatch: pytest.MonkeyPatch, after: int, tells: bool
) -> None:
    """Exactly that long ago is not long enough, and a time to come tells nothing at all."""
    monkeypatch.setattr(time, "time_ns", lambda: newest(records) + after)
    assert (touched(records, NAMES) is not None) is tells


def test_where_there_is_nothing_nothing_is_told(tmp_path: Path) -> None:
    """An empty folder, one without records, and none."""
    assert touched(tmp_path, NAMES) is None
    (tmp_path / "notes.txt").write_text("x")
    assert touched(tmp_path, NAMES) is None
    assert touched(tmp_path / "nowhere", NAMES) is None


def test_a_note_is_of_one_site_and_the_last_one_counts(tmp_path: Path) -> None:
    """Of each site by itself; eight are kept, those noted last."""
    sites = [tmp_path / f"site-{number}" for number in range(MOST_NOTES + 2)]
    for number, site in enumerate(sites):
        note(tmp_path, site, number, f"hash {number}")
    found = [is_noted(tmp_path, site, number, f"hash {number}") for number, site in enumerate(sites)]
    assert found == [False, False, *[True] * MOST_NOTES]
    note(tmp_path, sites[-1], 66, "once more")
    assert is_noted(tmp_path, sites[2], 2, "hash 2")
    note(tmp_path, sites[2], 77, "again")
    note(tmp_path, sites[0], 88, "back")
    assert is_noted(tmp_path, sites[2], 77, "again")
    assert is_noted(tmp_path, sites[0], 88, "back")
    assert LastBuild(tmp_path, sites[3]).noted == []
    assert len(json.loads((tmp_path / KEPT / NOTES).read_text())) == MOST_NOTES
    assert (tmp_path / KEPT / ".gitignore").read_text() == "*\n"


@pytest.mark.parametrize(
    "found",
    [["7", "hash"], [7, 8], [7], [7, "hash", "more"], {"7": "hash"}, None],
    ids=["no number", "no hash", "one", "three", "a mapping", "nothing"],
)
def test_a_note_of_another_form_is_none(tmp_path: Path, found: object) -> None:
    """Neither does a file of another form, one cut short or none at all count."""
    note(tmp_path, tmp_path / "site", 7, "hash")
    file = tmp_path / KEPT / NOTES
    whole = json.loads(file.read_text())
    (key,) = whole
    file.write_text(json.dumps({key: found}))
    assert not is_noted(tmp_path, tmp_path / "site", 7, "hash")
    for text in (json.dumps([whole]), file.read_text()[:-1], ""):
        file.write_text(text)
        assert not is_noted(tmp_path, tmp_path / "site", 7, "hash")


def test_a_note_goes_through_no_link(tmp_path: Path) -> None:
    """Neither a folder nor a file that leads elsewhere is written to."""
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (tmp_path / KEPT).symlink_to(elsewhere)
    note(tmp_path, tmp_path / "site", 7, "hash")
    assert list(elsewhere.iterdir()) == []
    (tmp_path / KEPT).unlink()
    (tmp_path / KEPT).mkdir()
    mine = tmp_path / "mine.txt"
    mine.write_text("mine")
    (tmp_path / KEPT / NOTES).symlink_to(mine)
    note(tmp_path, tmp_path / "site", 7, "hash")
    assert mine.read_text() == "mine"
    assert is_noted(tmp_path, tmp_path / "site", 7, "hash")


def test_elsewhere_no_time_of_change_is_known(records: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On Windows a program can set what would be compared."""
    monkeypatch.setattr(sys, "platform", "win32")
    assert touched(records, NAMES) is None


def test_the_program_has_one_digest_in_whatever_order_its_files_are_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """A file system gives them in an order of its own."""
    assert Path(clutchlight.__file__).parent == building_again._PACKAGE
    unkept = building_again._program_digest.__wrapped__
    before, found = unkept(), Path.rglob
    monkeypatch.setattr(Path, "rglob", lambda folder, pattern: sorted(found(folder, pattern), reverse=True))
    assert unkept() == before


def test_the_same_command_with_nothing_to_do_says_the_same_without_reading(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What it warns of and what has to be done, to the letter; another command, another day or an edited note is none that is known."""
    monkeypatch.setattr(building_again, "SETTLED", -(10**18))
    monkeypatch.setattr(cli, "today", lambda: date(2026, 9, 10))
    sale = "- {animals: [C26-01-2], buyer: A, held: 2026-08-01, until: 2026-09-01}\n"
    folder = FAMILY.write(tmp_path / "records", {"sales/2026.yaml": sale, **log(LATER)})
    opened: list[Path] = []

    def counted(folder: Path, **options: date | None) -> pipeline.Opened:
        opened.append(folder)
        return pipeline.open_book(folder, **options)

    monkeypatch.setattr(cli, "open_book", counted)

    def said(*more: str) -> tuple[list[str], list[str], int]:
        opened.clear()
        result = CliRunner().invoke(cli.main, ["build", str(folder), "--out", str(tmp_path / "site"), *more])
        assert result.exit_code == 0, result.output
        assert re.search(r"; \d+\.\d s$", result.stdout.splitlines()[0])
        return result.stdout.splitlines()[1:], result.stderr.splitlines(), len(opened)

    first = said()
    assert first[2] == 1
    assert any(line.startswith("the hold on C26-01-2 ended on 1 September 2026") for line in first[0])
    assert any("[future-date]" in line for line in first[1])
    assert said() == (*first[:2], 0)
    assert said("--on", "2026-08-15")[2] == 1
    assert said()[2] == 1  # the other command came between
    assert said()[2] == 0
    monkeypatch.setattr(cli, "today", lambda: date(2026, 9, 11))
    assert said()[2] == 1
    (folder / "log/2026.csv").write_text(f"{HEADER}{LATER}2026-09-02,M-02,weight,,1500,\n")
    assert said()[2] == 1
    notes = folder / KEPT / NOTES
    ((key, note),) = json.loads(notes.read_text()).items()
    assert said()[2] == 0
    for broken in ([*note[:3], {**note[3], "lines": "x"}], [*note[:3], 7], note[:3], [1, *note[1:]]):
        notes.write_text(json.dumps({key: broken}))
        assert said()[2] == 1


def test_rows_in_another_order_are_no_change_of_what_leaves_the_log(tmp_path: Path) -> None:
    """The facts stand by animal, whose row comes first or not: what a site was made of is told by them."""
    rows = ("2026-07-01,M-01,weight,,1500,\n", "2026-07-01,F-01,weight,,2000,\n")
    for number, order in enumerate((rows, rows[::-1])):
        book = FAMILY.book(tmp_path / str(number), log("".join(order)))
        assert list(book.logged) == ["F-01", "M-01"]


@pytest.mark.slow
def test_what_changed_where_no_public_page_looks_makes_no_page_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever a public page is made of does, each by itself, and so does another program; then the site is that of a first build."""
    monkeypatch.setattr(building_again, "SETTLED", -(10**18))
    own = (
        "species: ball-python\nloci:\n- {locus: ours, inheritance: recessive, alleles: [Ours], what: pale, source: x}\n"
    )
    plan = "- {female: F-02, males: [M-02], from: 2026-11-01, until: 2027-03-31, want: Piebald, purpose: prove}\n"
    folder = FAMILY.write(tmp_path / "records", {**log(LATER), "traits/own.yaml": own, "season/2026.yaml": plan})
    made: list[int] = []
    real = pipeline.public_files

    def counted(*given: Any) -> Any:
        made.append(1)
        return real(*given)

    monkeypatch.setattr(pipeline, "public_files", counted)

    def anew(out: str = "site", until: date | None = None) -> bool:
        made.clear()
        pipeline.build(book_of(folder, until), tmp_path / out)
        return bool(made)

    def after(name: str, text: str) -> bool:
        time.sleep(0.01)  # the clock of the file system
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text)
        return anew()

    def read(name: str) -> str:
        return (folder / name).read_text()

    assert anew()
    assert not after("animals/all.yaml", read("animals/all.yaml"))
    assert not after("log/2026.csv", f"{read('log/2026.csv')}2026-12-25,M-01,refused,,,\n")
    assert not after("season/2026.yaml", f"{plan}# a word to myself\n")
    ((_, note),) = json.loads((folder / KEPT / NOTES).read_text()).items()
    assert note[0] == touched(folder, ("collection.yaml", *RECORD_FOLDERS))
    assert after("log/2026.csv", f"{read('log/2026.csv')}2026-12-25,M-02,weight,,1500,\n")
    assert after("log/2026.csv", f"{read('log/2026.csv')}2026-04-01,F-01,paired,M-02,,\n")
    assert after("sales/2026.yaml", "- {animals: [C26-01-1], buyer: A, held: 2026-08-01, until: 2026-09-01}\n")
    assert after("sales/2026.yaml", "- {animals: [C26-01-1], buyer: A, held: 2026-08-01}\n")
    assert after("sales/2026.yaml", "- {animals: [C26-01-1], buyer: A, held: 2026-08-01, handed_over: 2026-08-09}\n")
    assert after("season/2026.yaml", plan.replace("prove}", "prove, public: yes}"))
    assert after("traits/own.yaml", own.replace("pale", "paler"))
    assert after(
        "animals/all.yaml", read("animals/all.yaml").replace("F-03, sex: female", "F-03, name: Ada, sex: female")
    )
    assert after("clutches/C26-01.md", read("clutches/C26-01.md").replace("4 f normal", "4 f Piebald"))
    assert after("collection.yaml", read("collection.yaml").replace("Test Room", "Our Room"))
    assert after("pages/care.md", "---\ntitle: Care\n---\nWater.\n")
    assert after("photos/new.txt", "not named anywhere, but who knows\n")
    assert anew(until=date(2026, 8, 1))
    assert anew()
    (tmp_path / "site/index.html").unlink()
    assert anew()
    assert not after("animals/all.yaml", read("animals/all.yaml"))
    monkeypatch.setattr(building_again, "_program_digest", lambda: "another")
    assert anew()
    assert anew("first")
    sites = [read_manifest(tmp_path / out) for out in ("site", "first")]
    assert sites[0] == sites[1]
