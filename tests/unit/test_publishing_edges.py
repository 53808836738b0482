"""Second guards of publishing: what looks like ours and is not, what is left beside a site, and what a lock is worth."""

from __future__ import annotations

import errno
import json
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from clutchlight.editing.disk import flush
from clutchlight.problems import RecordsError
from clutchlight.publishing import folders
from clutchlight.publishing.building_again import LastBuild
from clutchlight.publishing.folders import Published, build_lock, check_place, exchanged, planned, publish, still_whole
from clutchlight.publishing.manifest import MANIFEST, Manifest, Wanted, content_hash, read_manifest
from clutchlight.reading.files import RECORD_FOLDERS

FILES = {"index.html": b"one", "a/b/c.html": b"two", "a/d.html": b"three"}


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def refused(files: dict[str, bytes], out: Path) -> list[tuple[str, str]]:
    """The codes of the problems that publishing ends with, each with its file relative to the folder that OUT lies in."""
    with pytest.raises(RecordsError) as found:
        publish(Wanted(files), out)
    return [(one.code, os.path.relpath(one.file, out.parent)) for one in found.value.problems]


OURS = {"made_by": "clutchlight", "format": 2, "kind": "site", "asked": "", "rendering": "", "files": {}, "pages": {}}


@pytest.mark.parametrize(
    "manifest",
    [
        [],
        "text",
        {**OURS, "made_by": "somebody"},
        {**OURS, "files": None},
        {**OURS, "files": {"a": 1}},
        {**OURS, "files": ["a"]},
    ],
    ids=["a list", "a text", "of somebody else", "without files", "numbers", "a list of files"],
)
def test_a_manifest_that_is_not_ours_protects_the_folder(tmp_path: Path, manifest: object) -> None:
    """One wrong thing is enough, and nothing is deleted."""
    out = tmp_path / "site"
    out.mkdir()
    (out / MANIFEST).write_text(json.dumps(manifest))
    (out / "a").write_bytes(b"dear")
    assert read_manifest(out) is None
    assert refused(FILES, out) == [("out-foreign", "site")]
    assert (out / "a").read_bytes() == b"dear"


@pytest.mark.parametrize("key", ["asked", "rendering", "pages", "format"])
def test_a_manifest_of_another_form_still_says_whose_it_is(tmp_path: Path, key: str) -> None:
    """One wrong key costs what is known of its pages, not its files."""
    text = {**OURS, "asked": "x", "rendering": "y", "files": {"a": "1"}, "pages": {"a": "2"}}
    (tmp_path / MANIFEST).write_text(json.dumps(text))
    assert read_manifest(tmp_path) == Manifest("site", {"a": "1"}, "x", "y", {"a": "2"})
    (tmp_path / MANIFEST).write_text(json.dumps({**text, key: 7}))
    assert read_manifest(tmp_path) == Manifest("site", {"a": "1"})


def test_a_manifest_lists_files_and_pages_by_address() -> None:
    """Kept and made alike, whatever the order they came in; the bytes are those of JSON with a line for each."""
    wanted = Wanted({"b": b"two"}, {"a": content_hash(b"one")}, "asked", "rendering", {"z": "2", "y": "1"})
    listed = json.loads(wanted.manifest("desk").to_bytes())
    assert list(listed["files"]) == ["a", "b"]
    assert list(listed["pages"]) == ["y", "z"]
    assert (listed["kind"], listed["asked"], listed["rendering"]) == ("desk", "asked", "rendering")
    assert wanted.manifest("desk").to_bytes().endswith(b"}\n")


def journal_of(out: Path, *made: Path) -> None:
    """As a build that was cut short leaves it, which made these folders."""
    text = "".join(f"{folder.stat().st_dev}:{folder.stat().st_ino}\n" for folder in made)
    (out.parent / f".{out.name}.journal").write_text(f"{folders.Journal.HEAD}{text}", encoding="ascii")


@pytest.mark.parametrize("name", [".site.next", ".site.old"])
def test_what_somebody_else_put_beside_the_site_is_never_deleted(tmp_path: Path, name: str) -> None:
    """A folder of that name, and a strange file in one of ours; a file and a link; the site stands as it was."""
    out, planted = tmp_path / "site", tmp_path / name
    publish(Wanted(FILES), out)
    (planted / "deep").mkdir(parents=True)
    (planted / "deep" / "photo.jpg").write_bytes(b"dear")
    assert refused({"index.html": b"new"}, out) == [("out-foreign", name)]
    (planted / MANIFEST).write_bytes(Manifest("site", {"index.html": ""}).to_bytes())
    (planted / "index.html").write_bytes(b"half")
    journal_of(out, planted)
    assert refused({"index.html": b"new"}, out) == [("out-foreign", f"{name}/deep/photo.jpg")]
    assert (planted / "deep" / "photo.jpg").read_bytes() == b"dear"
    assert (planted / "index.html").read_bytes() == b"half"
    (planted / "deep" / "photo.jpg").unlink()
    publish(Wanted({"index.html": b"new"}), out)
    assert (out / "index.html").read_bytes() == b"new"
    assert names(tmp_path) == ["site"]
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    planted.symlink_to(elsewhere)
    assert refused(FILES, out) == [("out-foreign", name)]
    assert (out / "index.html").read_bytes() == b"new"
    planted.unlink()
    planted.write_bytes(b"a file")
    assert refused(FILES, out) == [("out-foreign", name)]


def test_what_a_system_strews_about_is_no_obstacle(tmp_path: Path) -> None:
    """In the site and beside it; it goes with the folder that it lies in."""
    out = tmp_path / "site"
    publish(Wanted(FILES), out)
    (out / "a" / ".DS_Store").write_bytes(b"")
    (tmp_path / ".site.next").mkdir()
    (tmp_path / ".site.next" / "Thumbs.db").write_bytes(b"")
    journal_of(out, tmp_path / ".site.next")
    publish(Wanted({"index.html": b"new"}), out)
    assert names(tmp_path) == ["site"]
    assert names(out) == [MANIFEST, "index.html"]


def test_of_many_strange_files_a_dozen_are_named(tmp_path: Path) -> None:
    """So that a mistyped folder does not fill the screen."""
    out = tmp_path / "site"
    publish(Wanted(FILES), out)
    for number in range(20):
        (out / f"{number:02d}.txt").write_bytes(b"")
    assert refused(FILES, out) == [("out-foreign", f"site/{number:02d}.txt") for number in range(12)]


def test_a_file_where_the_site_should_be_is_refused(tmp_path: Path) -> None:
    """It is somebody's; an empty folder is nobody's."""
    out = tmp_path / "site"
    out.write_bytes(b"dear")
    assert refused(FILES, out) == [("out-foreign", "site")]
    assert out.read_bytes() == b"dear"
    out.unlink()
    out.mkdir()
    assert publish(Wanted(FILES), out).added == tuple(sorted(FILES))


def test_a_swap_that_was_cut_short_is_finished(tmp_path: Path) -> None:
    """With a journal of both and no site the new one takes its place, the old one where there is no new one."""
    out, following, old = (tmp_path / name for name in ("site", ".site.next", ".site.old"))
    publish(Wanted({"index.html": b"new"}), following)
    publish(Wanted({"index.html": b"old"}), old)
    journal_of(out, following, old)
    assert planned(Wanted({"index.html": b"new"}), out).added == ("index.html",)
    assert publish(Wanted({"index.html": b"new"}), out) == Published((), (), ())
    assert names(tmp_path) == ["site"]
    following.mkdir()
    out.rename(old)
    journal_of(out, following, old)
    following.rmdir()
    assert publish(Wanted({"index.html": b"new"}), out) == Published((), (), ())
    assert names(tmp_path) == ["site"]


def test_a_site_is_whole_only_with_nothing_left_beside_it(tmp_path: Path) -> None:
    """And with every file as listed."""
    out = tmp_path / "site"

    def whole() -> Published | None:
        return still_whole(out, LastBuild(tmp_path, out).manifest)

    assert whole() == Published((), (), ())
    publish(Wanted(FILES), out)
    assert whole() == Published((), (), ())
    for name in ("next", "old", "journal"):
        left = tmp_path / f".site.{name}"
        left.write_bytes(b"")
        assert whole() is None
        left.unlink()
    (out / "index.html").unlink()
    assert whole() is None
    (out / "strange").write_bytes(b"")
    with pytest.raises(RecordsError):
        whole()


def test_a_page_stands_if_it_was_made_in_the_same_way_from_the_same(tmp_path: Path) -> None:
    """Rendering and digest equal, and the file what its hash says."""
    out = tmp_path / "site"
    publish(Wanted(FILES, {}, "", "theme", {"index.html": "digest"}), out)
    assert LastBuild(tmp_path, out).page("index.html", "theme", "digest") == content_hash(b"one")
    assert LastBuild(tmp_path, out).page("index.html", "theme", "other") is None
    assert LastBuild(tmp_path, out).page("index.html", "other", "digest") is None
    assert LastBuild(tmp_path, out).page("a/d.html", "theme", "digest") is None
    (out / "index.html").write_bytes(b"other")
    assert LastBuild(tmp_path, out).page("index.html", "theme", "digest") is None


def test_a_site_may_lie_in_folders_that_are_not_there_yet(tmp_path: Path) -> None:
    """They are made; what becomes of each file is told in the order of the addresses, whatever the order of the files."""
    out = tmp_path / "not" / "yet" / "site"
    assert publish(Wanted(dict(reversed(FILES.items()))), out).added == ("a/b/c.html", "a/d.html", "index.html")
    assert planned(Wanted({}), out).removed == ("a/b/c.html", "a/d.html", "index.html")
    assert planned(Wanted(dict.fromkeys(FILES, b"new")), out).changed == ("a/b/c.html", "a/d.html", "index.html")


def test_a_kept_file_that_went_away_ends_the_build(tmp_path: Path) -> None:
    """The site that stands stays as it is, and nothing half built is left."""
    out = tmp_path / "site"
    publish(Wanted(FILES), out)
    gone = content_hash(b"never there")
    with pytest.raises(RecordsError) as found:
        publish(Wanted({"index.html": b"new"}, {"gone.html": gone}), out)
    assert [(one.code, Path(one.file).name) for one in found.value.problems] == [("out-unwritable", "gone.html")]
    assert (out / "index.html").read_bytes() == b"one"
    assert names(tmp_path) == ["site"]


@pytest.mark.parametrize(
    ("trouble", "words"),
    [
        (OSError("the moon is full"), "the moon is full; the site that stood is untouched"),
        (OSError(errno.ENOTEMPTY, "Directory not empty"), "directory not empty; the site that stood is untouched"),
        (OSError(errno.EACCES, "x"), "you may not write here; choose another folder or change its permissions"),
        (OSError(errno.EPERM, "x"), "you may not write here; choose another folder or change its permissions"),
        (OSError(errno.ENOTDIR, "x"), "a part of this path is a file; choose another folder"),
        (OSError(errno.EDQUOT, "x"), "your quota of disk space is used up; free some space, then try again"),
    ],
    ids=["no number", "no remedy", "no access", "no permission", "no folder", "a remedy"],
)
def test_what_the_system_says_is_passed_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, trouble: OSError, words: str
) -> None:
    """In its words where there are no better ones."""

    def fails(*_: object) -> None:
        raise trouble

    monkeypatch.setattr(os, "fsync", fails)
    with pytest.raises(RecordsError) as found:
        publish(Wanted(FILES), tmp_path / "site")
    assert [one.message for one in found.value.problems] == [words]


@pytest.mark.parametrize("folder", RECORD_FOLDERS)
def test_no_folder_of_records_takes_a_site(tmp_path: Path, folder: str) -> None:
    """Nor anything within one; a folder beside them does."""
    for place in (tmp_path / folder, tmp_path / folder / "deep"):
        with pytest.raises(RecordsError):
            check_place(place, collection=tmp_path)
    check_place(tmp_path / f"{folder}-site", collection=tmp_path)


# ---- exchange and lock


def test_an_exchange_is_of_two_that_exist(tmp_path: Path) -> None:
    """Both have the other's name afterwards; one that is missing is an error, and the other stays."""
    one, other = tmp_path / "one", tmp_path / "other"
    one.mkdir()
    (one / "file").write_bytes(b"1")
    with pytest.raises(FileNotFoundError):
        exchanged(one, other)
    assert (one / "file").is_file()
    other.mkdir()
    if exchanged(one, other):
        assert names(other) == ["file"]
        assert names(one) == []


def test_a_lock_is_held_by_one_and_goes_away(tmp_path: Path) -> None:
    """Also when the work under it fails; it can be had again."""
    out = tmp_path / "site"

    def fails() -> None:
        with build_lock(out):
            assert names(tmp_path) == [".site.lock"]
            with pytest.raises(RecordsError, match="another build"), build_lock(out):
                pass
            assert names(tmp_path) == [".site.lock"]
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fails()
    assert names(tmp_path) == []
    with build_lock(out):
        pass


def test_one_style_file_that_differs_is_something_to_do(tmp_path: Path) -> None:
    """Nothing is to do only where all are as they stand, the records were not touched, and the same was asked for."""
    out, style = tmp_path / "site", {"a.css": b"one", "b.css": b"two"}
    wanted = Wanted({**FILES, **style}, {}, "asked", "theme")
    publish(wanted, out)
    LastBuild(tmp_path, out).note(7, wanted.manifest("site"))

    def found(number: int | None, asked: str, rendering: str, style: dict[str, bytes]) -> Published | None:
        return LastBuild(tmp_path, out).nothing_to_do(number, asked, rendering, style)

    assert found(7, "asked", "theme", style) == Published((), (), ())
    for other in ({**style, "b.css": b"new"}, {**style, "c.css": b"more"}):
        assert found(7, "asked", "theme", other) is None
    assert found(None, "asked", "theme", style) is None
    assert found(8, "asked", "theme", style) is None
    assert found(7, "other", "theme", style) is None
    assert found(7, "asked", "other", style) is None


@pytest.mark.parametrize("can", [True, False], ids=["exchanged", "two renames"])
def test_the_new_name_is_on_the_disk_before_the_old_site_goes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, can: bool
) -> None:
    """Else a power cut could leave neither."""
    out, happened = tmp_path / "site", list[str]()
    publish(Wanted(FILES), out)
    clear = folders._clear

    def flushed(path: Path | str) -> None:
        happened.append(f"flush {Path(path).relative_to(tmp_path)} {(out / 'index.html').is_file()}")
        flush(path)

    def cleared(folder: Path) -> None:
        happened.append("clear")
        clear(folder)

    monkeypatch.setattr(folders, "flush", flushed)
    monkeypatch.setattr(folders, "_clear", cleared)
    if not can:
        monkeypatch.setattr(folders, "exchanged", lambda one, other: False)
    publish(Wanted({"index.html": b"new"}), out)
    assert happened[-2:] == ["flush . True", "clear"]
    assert happened.count("flush . True") == 3  # two notes in the journal, and the new name


def test_a_half_built_site_never_takes_the_name_of_one_that_is_not_there(tmp_path: Path) -> None:
    """The first build was cut short while it wrote: what it left is cleared away; an empty folder that it did not make is not."""
    out, following, old = (tmp_path / name for name in ("site", ".site.next", ".site.old"))
    following.mkdir()
    (following / MANIFEST).write_bytes(Wanted(FILES).manifest("site").to_bytes())
    journal_of(out, following)
    folders.Journal(out).finish()
    assert names(tmp_path) == []
    following.mkdir()
    old.mkdir()
    journal_of(out, following)
    assert refused(FILES, out) == [("out-foreign", ".site.old")]
    assert old.is_dir()


def test_a_site_that_is_gone_with_all_that_was_noted_is_begun_anew(tmp_path: Path) -> None:
    """Cut short between two renames, and both folders taken away by hand since: there is nothing to put back."""
    out, following, old = (tmp_path / name for name in ("site", ".site.next", ".site.old"))
    following.mkdir()
    old.mkdir()
    journal_of(out, following, old)
    following.rmdir()
    old.rmdir()
    folders.Journal(out).finish()
    assert names(tmp_path) == []


def test_files_are_named_in_order_whatever_order_the_system_gives(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Those of a folder before those of the folders in it."""
    for name in ("b/y", "b/x", "a/z", "c", "a.html"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).touch()
    walk = os.walk

    def backwards(folder: Path, onerror: Callable[[OSError], object]) -> Iterator[tuple[str, list[str], list[str]]]:
        for root, inside, found in walk(folder, onerror=onerror):
            inside.sort(reverse=True)
            found.sort(reverse=True)
            yield str(root), inside, found

    monkeypatch.setattr(os, "walk", backwards)
    assert list(folders.walk(tmp_path)) == ["a.html", "c", "a/z", "b/x", "b/y"]
