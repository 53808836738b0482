"""`watch` serves the site to this computer alone, and tells open pages when there is a newer one."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from datetime import date
from http.client import HTTPConnection
from pathlib import Path

import pytest
from tests.unit.private_writing import write
from watchfiles import Change

from clutchlight.cli.watching import LOADER, WAIT, Builds, OfRecords, server, watch
from clutchlight.problems import RecordsError
from clutchlight.publishing.folders import publish
from clutchlight.publishing.manifest import Wanted


@pytest.fixture
def served(tmp_path: Path) -> Iterator[tuple[int, Builds]]:
    site = tmp_path / "site"
    (site / "style").mkdir(parents=True)
    (site / "index.html").write_text("<html><head><title>x</title></head><body></body></html>", encoding="utf-8")
    (tmp_path / "secret.txt").write_text("SECRET", encoding="utf-8")
    builds = Builds()
    with server(site, 0, builds) as serving:
        threading.Thread(target=serving.serve_forever, daemon=True).start()
        yield serving.server_port, builds
        serving.shutdown()


def get(port: int, path: str, host: str | None = None) -> tuple[int, str]:
    connection = HTTPConnection("127.0.0.1", port, timeout=10)
    connection.request("GET", path, headers={"Host": host or f"127.0.0.1:{port}"})
    answer = connection.getresponse()
    return answer.status, answer.read().decode("utf-8", "replace")


def test_a_page_is_served_with_one_tag_more(served: tuple[int, Builds]) -> None:
    """The file on disk stays as published; what is sent waits for the next build."""
    status, text = get(served[0], "/")
    assert status == 200
    assert f'<script src="{LOADER}" defer></script></head>' in text


def test_a_page_that_waits_is_told_of_a_build(served: tuple[int, Builds]) -> None:
    """After a build the script reloads; a page already up to date gets no reload for an older one."""
    port, builds = served
    builds.done()
    assert get(port, f"{WAIT}?after=0") == (200, "location.reload();")
    assert builds.wait_after(1, patience=0.01) is False


def test_a_request_in_another_name_is_refused(served: tuple[int, Builds]) -> None:
    """A page elsewhere that points its name at this computer reads nothing."""
    assert get(served[0], "/", host="elsewhere.example")[0] == 403


@pytest.mark.parametrize("path", ["/style/", "/../secret.txt", "/%2e%2e/secret.txt", "/nothing.html"])
def test_only_files_of_the_site_are_served(served: tuple[int, Builds], path: str) -> None:
    """No listing of folders, nothing outside the site."""
    status, text = get(served[0], path)
    assert status == 404
    assert "SECRET" not in text


def test_a_port_in_use_is_a_problem_with_a_remedy(served: tuple[int, Builds], tmp_path: Path) -> None:
    """Named in one line; never a traceback."""
    with pytest.raises(RecordsError, match="port-taken"):
        server(tmp_path, served[0], Builds())


def test_a_folder_that_is_no_place_for_a_site_is_not_served(tmp_path: Path) -> None:
    """Neither the records themselves, nor somebody's own folder, nor the desk, whatever the first build says."""
    room = write(tmp_path / "room", {"sales/2024.yaml": "[]\n"})
    with pytest.raises(RecordsError, match="among the records"):
        watch(room, room, 0, lambda: date(2026, 11, 25))
    other = tmp_path / "other"
    other.mkdir()
    (other / "letter.txt").write_text("private", encoding="utf-8")
    with pytest.raises(RecordsError, match="is not served"):
        watch(room, other, 0, lambda: date(2026, 11, 25))
    desk = tmp_path / "desk"
    publish(Wanted({"index.html": b"private"}), desk, kind="desk")
    with pytest.raises(RecordsError, match="is not served"):
        watch(room, desk, 0, lambda: date(2026, 11, 25))


@pytest.mark.parametrize(
    ("path", "counts"),
    [
        ("animals/M-01.md", True),
        ("collection.yaml", True),
        ("themes/own/templates/animal.html", True),
        ("photos/rook.jpg", True),
        ("site/index.html", False),
        (".site.lock", False),
        (".site.next/index.html", False),
        ("animals/.M-01.md.swp", False),
        ("notes.txt", False),
        ("../elsewhere/animals/M-01.md", False),
    ],
)
def test_only_what_a_build_reads_makes_another_build(tmp_path: Path, path: str, counts: bool) -> None:
    """The lock beside the site is made by every build: looking at it, a build would call for the next one."""
    assert OfRecords(tmp_path)(Change.modified, str((tmp_path / path).resolve())) is counts
