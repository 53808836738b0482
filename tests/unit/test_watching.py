"""`watch` serves the site to this computer alone, and tells open pages when there is a newer one."""

from __future__ import annotations

import socket
import struct
import threading
from collections.abc import Iterator
from contextlib import suppress
from datetime import date
from http.client import HTTPConnection, HTTPMessage
from pathlib import Path

import pytest
from tests.rooms import FAMILY
from watchfiles import Change

from clutchlight.cli.watching import Builds, OfRecords, server, watch
from clutchlight.problems import RecordsError
from clutchlight.publishing.folders import publish
from clutchlight.publishing.manifest import Wanted

PAGE = b"<html><head><title>x</title></head><body></body></html>"


@pytest.fixture
def served(tmp_path: Path) -> Iterator[tuple[int, Builds]]:
    site = tmp_path / "site"
    files = {"index.html": PAGE, "style/paper.css": b"p {}", "animals/F-01/index.html": PAGE, "a b.json": b"{}"}
    publish(Wanted(files), site)
    (tmp_path / "secret.txt").write_text("SECRET", encoding="utf-8")
    (site / "foreign.txt").write_text("SECRET", encoding="utf-8")
    builds = Builds()
    with server(site, 0, builds) as serving:
        threading.Thread(target=serving.serve_forever, args=(0.01,), daemon=True).start()
        yield serving.server_port, builds
        serving.shutdown()


def ask(port: int, path: str, host: str | None = None, method: str = "GET") -> tuple[int, HTTPMessage, str]:
    connection = HTTPConnection("127.0.0.1", port, timeout=10)
    connection.request(method, path, headers={"Host": host or f"127.0.0.1:{port}"})
    answer = connection.getresponse()
    return answer.status, answer.headers, answer.read().decode("utf-8", "replace")


def get(port: int, path: str) -> tuple[int, str]:
    status, _, text = ask(port, path)
    return status, text


def test_a_page_is_served_with_one_tag_more(served: tuple[int, Builds]) -> None:
    """The file on disk stays as published; what is sent waits for the next build."""
    port, builds = served
    status, headers, text = ask(port, "/")
    assert (status, headers["Content-Type"]) == (200, "text/html; charset=utf-8")
    assert text == PAGE.decode().replace("</head>", f'<script src="{builds.loader}" defer></script></head>')
    assert ask(port, "/style/paper.css?x")[1]["Content-Type"] == "text/css; charset=utf-8"
    assert get(port, "/a%20b.json") == (200, "{}")
    assert builds.wait in get(port, builds.loader)[1]
    assert ask(port, "/", method="HEAD")[2] == ""


def test_a_folder_is_asked_for_with_its_slash(served: tuple[int, Builds]) -> None:
    status, headers, _ = ask(served[0], "/animals/F-01?x=1")
    assert (status, headers["Location"]) == (302, "/animals/F-01/")
    assert get(served[0], "/animals/F-01/")[0] == 200


def test_a_page_that_waits_is_told_of_a_build(served: tuple[int, Builds]) -> None:
    """After a build the script reloads; a page already up to date gets no reload for an older one."""
    port, builds = served
    builds.done()
    assert get(port, f"{builds.wait}?after=0") == (200, "location.reload();")
    assert get(port, f"{builds.wait}?after=x") == (200, "location.reload();")
    assert builds.wait_after(1, patience=0.01) is False


def test_only_the_pages_know_where_to_wait(served: tuple[int, Builds]) -> None:
    """The address is drawn anew for each watch; one without its token is no address. No other origin's page may use what is served."""
    port, builds = served
    assert len({builds.wait, builds.loader, Builds().wait, Builds().loader}) == 4
    token = builds.wait.split("/")[2]
    assert len(token) >= 32
    for path in (builds.wait, builds.loader):
        assert get(port, path.replace(f"{token}/", ""))[0] == 404
        assert get(port, path.replace(token, "x" * len(token)))[0] == 404
    for path in ("/", builds.loader, "/style/paper.css"):
        assert ask(port, path)[1]["Cross-Origin-Resource-Policy"] == "same-origin"


@pytest.mark.parametrize("method", ["GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS", "TRACE", "PATCH", "BREW"])
def test_a_request_in_another_name_is_refused_whatever_its_method(served: tuple[int, Builds], method: str) -> None:
    """A page elsewhere that points its name at this computer reads nothing, and learns nothing of what is here."""
    port, builds = served
    for host in (
        "elsewhere.example",
        f"elsewhere.example:{port}",
        "127.0.0.1",
        f"127.0.0.1:{port + 1}",
        f"127.0.0.1.x.example:{port}",
    ):
        for path in ("/", "/nothing.html", builds.loader):
            assert ask(port, path, host, method)[0] == 403, (host, path)
    status = ask(port, "/", f"LOCALHOST:{port}", method)[0]
    assert status == (200 if method in ("GET", "HEAD") else 501)


@pytest.mark.parametrize(
    "path",
    [
        "/style/",
        "/style",
        "/../secret.txt",
        "/%2e%2e/secret.txt",
        "/nothing.html",
        "/foreign.txt",
        "/.clutchlight.json",
        "/index.html/",
    ],
)
def test_only_files_of_the_site_are_served(served: tuple[int, Builds], path: str) -> None:
    """No listing of folders, nothing outside the site, nothing that is in its folder by chance."""
    status, text = get(served[0], path)
    assert status == 404
    assert "SECRET" not in text


def raw(port: int, request: bytes, *, wait: bool = True) -> bytes:
    """What comes back for bytes that need be no request; without `wait` the connection is dropped at once."""
    with socket.create_connection(("127.0.0.1", port), timeout=10) as connection:
        if not wait:
            reset = struct.pack("ii", 1, 0)
            connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, reset)
        with suppress(ConnectionError):
            connection.sendall(request)
            if wait:
                connection.shutdown(socket.SHUT_WR)
        answer = b""
        with suppress(ConnectionError):
            while wait and (part := connection.recv(65536)):
                answer += part
    return answer


@pytest.mark.parametrize(
    ("line", "status"),
    [
        (b"GET /%00 HTTP/1.1", 404),
        (b"GET /\0 HTTP/1.1", 404),
        (b"GET /" + b"a" * 60_000 + b" HTTP/1.1", 404),
        (b"GET /" + b"%2e%2e/" * 2000 + b" HTTP/1.1", 404),
        (b"GET /" + b"a" * 70_000 + b" HTTP/1.1", 414),
        (b"GET /%ff%fe HTTP/1.1", 404),
        (b"GET /\xff\xfe HTTP/1.1", 404),
        (b"GET http://[ HTTP/1.1", 404),
        (b"GET //x.example/ HTTP/1.1", 404),
        (b"GET http://x.example/ HTTP/1.1", 404),
        (b"GET * HTTP/1.1", 404),
        (b"GET ? HTTP/1.1", 404),
        (b"get / HTTP/1.1", 501),
        (b"BREW / HTTP/1.1", 501),
        (b"__init__ / HTTP/1.1", 501),
        (b"GET / HTTP/9.9", 505),
        (b"GET / HTTP/x", 400),
        (b"GET / x / HTTP/1.1", 400),
        (b"\x16\x03\x01\x02\x00\x01", 400),
        (b"GET", 400),
    ],
)
def test_whatever_is_asked_is_answered_in_a_line(
    served: tuple[int, Builds], capfd: pytest.CaptureFixture[str], line: bytes, status: int
) -> None:
    """Odd paths, methods, versions and bytes that are none: no traceback, and the next request is served."""
    port, _ = served
    host = f"Host: 127.0.0.1:{port}".encode()
    answer = raw(port, line + b"\r\n" + host + b"\r\n\r\n")
    assert answer.startswith(b"HTTP/1.0 %d " % status) or b"<p>Error code: %d</p>" % status in answer
    assert get(port, "/")[0] == 200
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize(
    "request_bytes",
    [
        b"",
        b"GET /\r\n",
        b"GET /\r\n\r\n",
        b"GET / HTTP/1.1\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nHost: elsewhere.example\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost\r\n\r\n",
        b"GET / HTTP/1.1\r\n" + b"A: b\r\n" * 200 + b"\r\n",
        b"GET / HTTP/1.1\r\nA: " + b"b" * 70_000 + b"\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: \xff\0\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\n cut",
    ],
)
@pytest.mark.parametrize("wait", [True, False])
def test_half_a_request_and_one_without_a_name_give_nothing_away(
    served: tuple[int, Builds], capfd: pytest.CaptureFixture[str], request_bytes: bytes, wait: bool
) -> None:
    """The oldest form of request, cut ones, headers without measure, and whoever leaves before the answer."""
    port, builds = served
    asked = request_bytes.replace(b"PORT", str(port).encode())
    for _ in range(1 if wait else 4):  # more at once than the system keeps waiting would each wait a second
        answer = raw(port, asked, wait=wait)
        assert builds.loader.encode() not in answer
    assert get(port, "/")[0] == 200
    assert capfd.readouterr() == ("", "")


def test_whoever_leaves_while_waiting_is_no_news(served: tuple[int, Builds], capfd: pytest.CaptureFixture[str]) -> None:
    """A page that was closed asks for nothing more."""
    port, builds = served
    for _ in range(5):
        raw(port, f"GET {builds.wait}?after=0 HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n".encode(), wait=False)
    builds.done()
    assert get(port, f"{builds.wait}?after=0")[1] == "location.reload();"
    assert capfd.readouterr() == ("", "")


def test_a_port_in_use_is_a_problem_with_a_remedy(served: tuple[int, Builds], tmp_path: Path) -> None:
    """Named in one line; never a traceback."""
    with pytest.raises(RecordsError, match="port-taken"):
        server(tmp_path, served[0], Builds())


def test_a_folder_that_is_no_place_for_a_site_is_not_served(tmp_path: Path) -> None:
    """Neither the records themselves, nor somebody's own folder, nor the desk, whatever the first build says."""
    room = FAMILY.write(tmp_path / "room", {"sales/2024.yaml": "[]\n"})
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
