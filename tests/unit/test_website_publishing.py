"""Publishing: wholly the old site or wholly the new one, and never a file lost that somebody else wrote."""

from __future__ import annotations

import errno
import json
import os
import shutil
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import cast

import pytest

from clutchlight.problems import RecordsError
from clutchlight.publishing import folders
from clutchlight.publishing.building_again import LastBuild
from clutchlight.publishing.folders import build_lock, exchanged, planned, publish
from clutchlight.publishing.manifest import MANIFEST, Wanted

OLD = {"index.html": b"old", "animals/F-03/index.html": b"same", "gone/index.html": b"gone"}
NEW = {"index.html": b"new", "animals/F-03/index.html": b"same", "clutches/C24-03/index.html": b"added"}

Swap = Callable[[Path, Path], bool]


def contents(folder: Path) -> dict[str, bytes]:
    """Every file of a published folder but the manifest."""
    files = (path for path in folder.rglob("*") if path.is_file() and path.name != MANIFEST)
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


def beside(folder: Path) -> list[str]:
    """What publishing left beside the site."""
    return sorted(path.name for path in folder.parent.iterdir() if path != folder)


@pytest.fixture(params=["exchange", "renames"])
def swap(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Swap:
    """Both ways of taking the new site live: the one system call, and the fallback with its journal."""
    way: Swap = exchanged if request.param == "exchange" else (lambda one, other: False)
    monkeypatch.setattr(folders, "exchanged", way)
    return way


def test_the_folder_holds_exactly_the_files(tmp_path: Path, swap: Swap) -> None:
    """What is new appears, what is gone goes, and nothing is left beside the site."""
    out = tmp_path / "site"
    first = publish(Wanted(OLD), out)
    assert first.added == tuple(sorted(OLD))
    assert contents(out) == OLD
    second = publish(Wanted(NEW), out)
    assert second.added == ("clutches/C24-03/index.html",)
    assert second.changed == ("index.html",)
    assert second.removed == ("gone/index.html",)
    assert contents(out) == NEW
    assert not (out / "gone").exists()
    assert beside(out) == []


def test_an_unchanged_file_is_the_same_file(tmp_path: Path, swap: Swap) -> None:
    """It keeps its time, so that a tool that copies the site by time copies what changed."""
    out = tmp_path / "site"
    publish(Wanted(OLD), out)
    before = (out / "animals/F-03/index.html").stat()
    publish(Wanted(NEW), out)
    after = (out / "animals/F-03/index.html").stat()
    assert (after.st_ino, after.st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


def test_a_build_that_changes_nothing_writes_nothing(tmp_path: Path) -> None:
    """Not even the manifest is touched."""
    out = tmp_path / "site"
    publish(Wanted(OLD), out)
    before = {path: path.stat().st_mtime_ns for path in (out, *out.rglob("*"))}
    result = publish(Wanted(OLD), out)
    assert (result.added, result.changed, result.removed) == ((), (), ())
    assert {path: path.stat().st_mtime_ns for path in (out, *out.rglob("*"))} == before


def test_a_file_that_was_deleted_by_hand_comes_back(tmp_path: Path) -> None:
    """A missing file is made again; the rest stays as it is."""
    out = tmp_path / "site"
    publish(Wanted(OLD), out)
    (out / "index.html").unlink()
    assert publish(Wanted(OLD), out).added == ("index.html",)
    assert contents(out) == OLD


def test_a_plan_changes_nothing(tmp_path: Path) -> None:
    """A dry run says what would happen, and nothing has."""
    out = tmp_path / "site"
    publish(Wanted(OLD), out)
    assert planned(Wanted(NEW), out).changed == ("index.html",)
    assert contents(out) == OLD


def refusal(
    files: Mapping[str, bytes], out: Path, desk: Path | None = None, collection: Path | None = None
) -> list[tuple[str, str]]:
    with pytest.raises(RecordsError) as refused:
        publish(Wanted(files), out, desk=desk, collection=collection)
    return [(problem.code, problem.file) for problem in refused.value.problems]


def codes_of_publishing(files: Mapping[str, bytes], out: Path) -> set[str]:
    """The codes of the problems; none when it worked."""
    try:
        publish(Wanted(files), out)
    except RecordsError as refused:
        return {problem.code for problem in refused.problems}
    return set()


def test_a_folder_that_this_tool_did_not_make_is_refused(tmp_path: Path) -> None:
    """A mistyped OUT must not cost anybody a folder."""
    out = tmp_path / "holiday"
    out.mkdir()
    (out / "photo.jpg").write_bytes(b"dear")
    assert refusal(NEW, out) == [("out-foreign", str(out))]
    assert (out / "photo.jpg").read_bytes() == b"dear"
    (out / "photo.jpg").unlink()
    publish(Wanted(NEW), out)
    assert contents(out) == NEW


def test_a_foreign_file_is_refused_by_name(tmp_path: Path) -> None:
    """Also a hidden one, one in a folder of ours, and a link; the site stays as it was."""
    out = tmp_path / "site"
    publish(Wanted(OLD), out)
    (out / "animals/F-03/notes.txt").write_bytes(b"mine")
    (out / ".git").mkdir()
    (out / ".git/HEAD").write_bytes(b"mine")
    (out / "link").symlink_to(tmp_path)
    found = refusal(NEW, out)
    assert found == [("out-foreign", str(out / name)) for name in (".git/HEAD", "animals/F-03/notes.txt", "link")]
    assert (out / "animals/F-03/notes.txt").read_bytes() == b"mine"


def test_a_page_changed_by_hand_is_refused_by_name(tmp_path: Path) -> None:
    """Somebody wrote that; building would lose it."""
    out = tmp_path / "site"
    publish(Wanted(OLD), out)
    (out / "index.html").write_bytes(b"my own words")
    assert refusal(NEW, out) == [("out-foreign", str(out / "index.html"))]
    assert (out / "index.html").read_bytes() == b"my own words"


def test_a_desk_is_no_site(tmp_path: Path) -> None:
    """The private folder is never overwritten by the public site, nor taken for it."""
    out = tmp_path / "desk"
    publish(Wanted(OLD), out, kind="desk")
    assert refusal(NEW, out) == [("out-foreign", str(out))]


@pytest.mark.parametrize(("out", "desk"), [("site", "site"), ("desk/site", "desk"), ("site", "site/desk")])
def test_site_and_desk_lie_apart(tmp_path: Path, out: str, desk: str) -> None:
    """Neither is inside the other, and they are not one."""
    assert refusal(NEW, tmp_path / out, desk=tmp_path / desk) == [("out-and-desk", str(tmp_path / out))]


@pytest.mark.parametrize("out", [".", "animals", "photos/site", "ledger", ".."])
def test_the_site_is_not_written_among_the_records(tmp_path: Path, out: str) -> None:
    """Neither into a folder of records nor round the collection."""
    collection = tmp_path / "snakes"
    (collection / "animals").mkdir(parents=True)
    assert refusal(NEW, collection / out, collection=collection) == [("out-in-records", str(collection / out))]
    publish(Wanted(NEW), collection / "site", collection=collection)


def test_a_link_into_the_records_is_no_way_round(tmp_path: Path) -> None:
    """The folder that is meant counts, not the name by which it is reached."""
    collection = tmp_path / "snakes"
    (collection / "animals").mkdir(parents=True)
    (tmp_path / "link").symlink_to(collection / "animals")
    assert refusal(NEW, tmp_path / "link", collection=collection) == [("out-in-records", str(tmp_path / "link"))]


def test_two_builds_do_not_meet(tmp_path: Path) -> None:
    """The second is told to wait; once the first is done it may go on."""
    out = tmp_path / "site"
    with build_lock(out):
        assert refusal(NEW, out) == [("busy", str(out))]
    publish(Wanted(NEW), out)
    assert contents(out) == NEW


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS, errno.EACCES])
@pytest.mark.parametrize("call", ["mkdir", "_put", "open", "rename", "link", "fsync"])
def test_a_fault_at_any_step_leaves_a_whole_site(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, swap: Swap, call: str, number: int
) -> None:
    """A full, read-only or forbidden disk is a problem with a remedy; the site is the old or the new one, and the next run works."""
    out = tmp_path / "site"
    publish(Wanted(OLD), out)
    owners: dict[str, object] = {"open": Path, "rename": Path, "_put": folders}
    owner = owners.get(call, os)
    real = getattr(owner, call)
    fails_at = 0
    while True:
        done = iter(range(10**6))
        failed: list[int] = []

        def failing(
            *args: object, done: Iterator[int] = done, failed: list[int] = failed, at: int = fails_at, **more: object
        ) -> object:
            if (call != "open" or "xb" in args) and next(done) == at:
                failed.append(at)
                if call == "_put":  # a file half written
                    real(args[0], cast(bytes, args[1])[:1])
                raise OSError(number, os.strerror(number), str(args[0]))
            return real(*args, **more)

        monkeypatch.setattr(owner, call, failing)
        assert codes_of_publishing(NEW, out) <= {"out-unwritable"}
        monkeypatch.setattr(owner, call, real)
        if out.exists():
            assert contents(out) in (OLD, NEW)
        publish(Wanted(OLD), out)
        assert contents(out) == OLD
        assert beside(out) == []
        if not failed:
            break
        fails_at += 1
    assert fails_at > 0 or (call, swap) == ("rename", exchanged)


@pytest.mark.parametrize("what", ["next", "old"])
@pytest.mark.parametrize(
    "planted",
    [
        {},
        {"letter.txt": b"mine"},
        {"index.html": b"old"},
        {
            MANIFEST: b'{"made_by": "clutchlight", "format": 2, "kind": "site", "files": {"index.html": "x"}}',
            "index.html": b"mine",
        },
    ],
    ids=["empty", "letter", "page", "posing"],
)
def test_a_folder_that_somebody_else_made_beside_the_site_is_never_deleted(
    tmp_path: Path, swap: Swap, what: str, planted: dict[str, bytes]
) -> None:
    """Whatever its name and whatever it says of itself; nor a copy of the site that somebody kept there."""
    out = tmp_path / "site"
    publish(Wanted(OLD), out)
    beside_it = tmp_path / f".site.{what}"
    if planted == {"index.html": b"old"}:
        shutil.copytree(out, beside_it)
    else:
        beside_it.mkdir()
        for name, content in planted.items():
            (beside_it / name).write_bytes(content)
    before = contents(beside_it)
    for _ in range(2):
        with pytest.raises(RecordsError, match=r"made by somebody else.*\[out-foreign\]"):
            publish(Wanted(NEW), out)
        assert (contents(beside_it), contents(out)) == (before, OLD)
        assert beside(out) == [beside_it.name]
    shutil.rmtree(beside_it)
    publish(Wanted(NEW), out)
    assert contents(out) == NEW


@pytest.mark.parametrize("what", ["next", "old", "journal", "lock"])
@pytest.mark.parametrize("kind", ["file", "link to a file", "link to a folder", "link to nothing"])
def test_nor_a_file_or_a_link(tmp_path: Path, swap: Swap, what: str, kind: str) -> None:
    """Neither what it leads to."""
    out = tmp_path / "site"
    publish(Wanted(OLD), out)
    mine = tmp_path / "mine"
    if kind == "link to a folder":
        mine.mkdir()
        (mine / "letter.txt").write_text("mine", encoding="utf-8")
    elif kind != "link to nothing":
        mine.write_text("mine", encoding="utf-8")
    place = tmp_path / f".site.{what}"
    if kind == "file":
        mine.rename(place)
    else:
        place.symlink_to(mine)
    with pytest.raises(RecordsError, match=r"made by somebody else.*\[out-foreign\]"):
        publish(Wanted(NEW), out)
    assert place.is_symlink() == (kind != "file")
    assert contents(out) == OLD
    if kind in ("file", "link to a file"):
        assert place.read_text(encoding="utf-8") == "mine"
    if kind == "link to a folder":
        assert (mine / "letter.txt").read_text(encoding="utf-8") == "mine"


def test_what_a_killed_build_left_is_known_from_what_was_put_in_its_place(tmp_path: Path, swap: Swap) -> None:
    """By its number in the file system: a folder of the same name, made since, is not it."""
    out = tmp_path / "site"
    publish(Wanted(OLD), out)

    def killed(*_: object, **__: object) -> None:
        raise SystemExit

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(folders, "swap", killed)
        patch.setattr(folders.Journal, "give_up", lambda journal: None)
        with pytest.raises(SystemExit):
            publish(Wanted(NEW), out)
    assert beside(out) == [".site.journal", ".site.next"]
    shutil.move(tmp_path / ".site.next", tmp_path / "elsewhere")
    shutil.copytree(tmp_path / "elsewhere", tmp_path / ".site.next")
    with pytest.raises(RecordsError, match="made by somebody else"):
        publish(Wanted(NEW), out)
    assert contents(tmp_path / ".site.next") == NEW
    shutil.rmtree(tmp_path / ".site.next")
    shutil.move(tmp_path / "elsewhere", tmp_path / ".site.next")
    publish(Wanted(OLD), out)
    assert (contents(out), beside(out)) == (OLD, [])


def test_the_previous_site_is_read_only_as_far_as_it_is_itself(tmp_path: Path) -> None:
    """A file that is not listed, or is not what the list says, is not taken over."""
    out = tmp_path / "site"
    assert LastBuild(tmp_path, out).read("index.html") is None
    publish(Wanted(OLD), out)
    assert LastBuild(tmp_path, out).read("index.html") == b"old"
    (out / "index.html").write_bytes(b"other")
    assert LastBuild(tmp_path, out).read("index.html") is None
    assert LastBuild(tmp_path, out).read("../secret") is None


def test_the_manifest_names_every_file_and_nothing_else(tmp_path: Path) -> None:
    """It holds addresses and hashes of what is public anyway."""
    out = tmp_path / "site"
    publish(Wanted(NEW), out)
    listed = json.loads((out / MANIFEST).read_text(encoding="utf-8"))
    assert set(listed) == {"made_by", "format", "kind", "asked", "rendering", "files", "pages"}
    assert sorted(listed["files"]) == sorted(NEW)


def test_a_copied_site_is_still_ours(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Hard links are a saving, not a need: a file system without them gets copies that keep their time."""
    out = tmp_path / "site"
    publish(Wanted(OLD), out)
    shutil.copytree(out, tmp_path / "copy")

    def no_links(*args: object) -> None:
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(os, "link", no_links)
    before = (tmp_path / "copy/animals/F-03/index.html").stat().st_mtime_ns
    publish(Wanted(NEW), tmp_path / "copy")
    assert contents(tmp_path / "copy") == NEW
    assert (tmp_path / "copy/animals/F-03/index.html").stat().st_mtime_ns == before


@pytest.mark.parametrize("address", ["../x", "/x", "a//b", "a\\b", "", MANIFEST, "a/../b"])
def test_an_address_outside_the_site_is_a_bug_of_the_caller(tmp_path: Path, address: str) -> None:
    """No id and no name may ever make one; if one does, nothing is written."""
    with pytest.raises(ValueError, match="address"):
        publish(Wanted({address: b""}), tmp_path / "site")
    assert list(tmp_path.iterdir()) == []
