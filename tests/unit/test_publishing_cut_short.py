"""A first build that ends at any moment: the next one makes the whole site and leaves nothing beside it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from clutchlight.problems import RecordsError
from clutchlight.publishing.folders import exchanged, publish
from clutchlight.publishing.manifest import MANIFEST, Wanted

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork there")
FILES = {"index.html": b"one", "a/b/c.html": b"two"}


def ended_at_flush(number: int, out: Path) -> bool:
    """Publishes in a process that ends when it flushes for that time; whether it came so far."""
    process = os.fork()
    if process == 0:
        left = [number]

        def flush(_: int) -> None:
            left[0] -= 1
            if left[0] == 0:
                os._exit(9)

        os.fsync = flush  # type: ignore[assignment]
        try:
            publish(Wanted(FILES), out)
        finally:
            os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(process, 0)[1]) == 9


@pytest.mark.slow
@pytest.mark.parametrize("standing", [False, True], ids=["nothing stands", "a site stands"])
@pytest.mark.parametrize("half", [False, True], ids=["whole files", "half a manifest"])
def test_after_a_build_that_ended_at_any_flush_the_next_makes_the_whole_site(
    tmp_path: Path, standing: bool, half: bool
) -> None:
    """Also where only half of what the next site says of itself reached the disk."""
    ends = []
    for number in range(1, 40):
        out = tmp_path / f"{number}" / "site"
        if standing:
            publish(Wanted({"index.html": b"old", "old.html": b"old"}), out)
        ends.append(ended_at_flush(number, out))
        begun = out.with_name(".site.next")
        if half and begun.exists() and [path.name for path in begun.iterdir()] == [MANIFEST]:
            (begun / MANIFEST).write_bytes((begun / MANIFEST).read_bytes()[:20])
        publish(Wanted(FILES), out)
        found = {path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file()}
        assert found == {MANIFEST, *FILES}, number
        assert all((out / name).read_bytes() == content for name, content in FILES.items())
        assert [path.name for path in out.parent.iterdir()] == ["site"], number
        if not ends[-1]:
            break
    assert len(ends) > 5
    assert ends == [True] * (len(ends) - 1) + [False]


def test_an_unfinished_journal_of_somebody_else_is_not_taken_for_ours(tmp_path: Path) -> None:
    """Neither another text nor a folder; a journal that was cut off in its first line is ours."""
    out, journal = tmp_path / "site", tmp_path / ".site.journal"
    for text in ("made by clutch", ""):
        journal.write_text(text)
        publish(Wanted(FILES), out)
        assert not journal.exists()
    for text in ("made by somebody\n", "x"):
        journal.write_text(text)
        with pytest.raises(RecordsError):
            publish(Wanted({"index.html": b"new"}), out)
        assert journal.read_text() == text
        assert (out / "index.html").read_bytes() == b"one"
    journal.unlink()
    journal.mkdir()
    with pytest.raises(RecordsError):
        publish(Wanted({"index.html": b"new"}), out)
    assert (out / "index.html").read_bytes() == b"one"


def test_a_folder_that_was_begun_and_not_yet_numbered_is_cleared(tmp_path: Path) -> None:
    """With a journal of ours beside it and nothing in it; with anything in it, it is somebody's."""
    out, begun, journal = tmp_path / "site", tmp_path / ".site.next", tmp_path / ".site.journal"
    begun.mkdir()
    journal.write_text("made by clutchlight\n")
    publish(Wanted(FILES), out)
    assert [path.name for path in tmp_path.iterdir()] == ["site"]
    begun.mkdir()
    (begun / "photo.jpg").write_bytes(b"dear")
    journal.write_text("made by clutchlight\n")
    with pytest.raises(RecordsError):
        publish(Wanted({"index.html": b"new"}), out)
    assert (begun / "photo.jpg").read_bytes() == b"dear"


def test_of_many_strange_files_in_a_half_built_site_a_dozen_are_named(tmp_path: Path) -> None:
    """They were put there since."""
    out = tmp_path / "site"
    assert ended_at_flush(5, out)
    for number in range(20):
        (tmp_path / ".site.next" / f"strange-{number:02d}").write_bytes(b"dear")
    with pytest.raises(RecordsError) as found:
        publish(Wanted(FILES), out)
    assert [Path(one.file).name for one in found.value.problems] == [f"strange-{number:02d}" for number in range(12)]


def test_what_was_removed_is_told_by_address_whatever_folder_it_lay_in(tmp_path: Path) -> None:
    """Also in folders that were not there before."""
    out = tmp_path / "not" / "yet" / "site"
    assert publish(Wanted({"b": b"1", "a/c": b"2"}), out).added == ("a/c", "b")
    assert publish(Wanted({"d": b"4"}), out).removed == ("a/c", "b")


def test_names_are_exchanged_from_the_folder_that_one_stands_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Relative names too, where the system can exchange at all."""
    for name in ("one", "other"):
        (tmp_path / name).mkdir()
    (tmp_path / "one" / "file").write_bytes(b"1")
    monkeypatch.chdir(tmp_path)
    if exchanged(Path("one"), Path("other")):
        assert (tmp_path / "other" / "file").exists()
