"""A first build that ends at any moment: the next one makes the whole site and leaves nothing beside it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from clutchlight.problems import RecordsError
from clutchlight.publishing.folders import publish
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
