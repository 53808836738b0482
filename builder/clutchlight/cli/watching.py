"""`watch`: build, serve on loopback, build again when a record is saved, and have the open pages load anew.

The pages on disk stay as published. What is served differs in one tag: a script that waits for the next build and then reloads. Only
this computer is served (127.0.0.1), only files of the site that stands, and requests that name another host are refused.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from datetime import date
from http import HTTPStatus
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import click
from watchfiles import Change, DefaultFilter
from watchfiles import watch as changes

from clutchlight.cli.options import show
from clutchlight.pipeline import build, open_book
from clutchlight.problems import Place, Problem, RecordsError
from clutchlight.publishing.folders import RECORD_FOLDERS, check_place
from clutchlight.publishing.manifest import read_manifest
from clutchlight.reading.collection import SETTINGS_FILE

WAIT = "/.clutchlight/wait.js"
LOADER = "/.clutchlight/loader.js"
LOADER_SCRIPT = """\
addEventListener("load", function () {
  setTimeout(function () {
    var wait = document.createElement("script");
    wait.src = "/.clutchlight/wait.js?after=%d";
    document.head.append(wait);
  }, 100);
});
"""
PATIENCE = 25.0


class Builds:
    """Counts the builds; pages wait for the next one."""

    def __init__(self) -> None:
        self.number = 0
        self._changed = threading.Condition()

    def done(self) -> None:
        with self._changed:
            self.number += 1
            self._changed.notify_all()

    def wait_after(self, number: int, patience: float = PATIENCE) -> bool:
        """True as soon as there is a build after that number; False when patience ends first."""
        with self._changed:
            return self._changed.wait_for(lambda: self.number > number, patience)


def server(site: Path, port: int, builds: Builds) -> ThreadingHTTPServer:
    """A server of the site on loopback. Raises RecordsError when the port is taken."""

    class Handler(SimpleHTTPRequestHandler):
        def __init__(self, *args: object, **kwargs: object) -> None:
            super().__init__(*args, directory=str(site), **kwargs)  # type: ignore[arg-type]

        def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the name the base class has
            """Requests are not news."""

        def list_directory(self, path: object) -> None:
            self.send_error(HTTPStatus.NOT_FOUND)

        def do_GET(self) -> None:
            host = (self.headers.get("Host") or "").rpartition(":")[0]
            parts = urlsplit(self.path)
            if host not in ("127.0.0.1", "localhost"):
                self.send_error(HTTPStatus.FORBIDDEN)
            elif parts.path == LOADER:
                self._script(LOADER_SCRIPT % builds.number)
            elif parts.path == WAIT:
                after = parse_qs(parts.query).get("after", ["0"])[0]
                number = int(after) if after.isdecimal() else 0
                changed = builds.wait_after(number)
                again = f'var next=document.createElement("script");next.src="{WAIT}?after={number}";document.head.append(next);'
                self._script("location.reload();" if changed else again)
            elif page := self._page(parts.path):
                self._send(page, "text/html; charset=utf-8")
            else:
                super().do_GET()

        def _page(self, path: str) -> bytes | None:
            file = Path(self.translate_path(path))
            file = file / "index.html" if path.endswith("/") else file
            if file.suffix != ".html" or not file.is_file():
                return None
            tag = f'<script src="{LOADER}" defer></script></head>'.encode()
            return file.read_bytes().replace(b"</head>", tag, 1)

        def _script(self, text: str) -> None:
            self._send(text.encode(), "text/javascript; charset=utf-8")

        def _send(self, content: bytes, kind: str) -> None:
            self.send_response(HTTPStatus.OK)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(content)))
            self.send_header("Cache-Control", "no-store")
            self.end_headers()
            self.wfile.write(content)

    try:
        made = ThreadingHTTPServer(("127.0.0.1", port), Handler)
    except OSError as error:
        message = f"port {port} cannot be used ({error.strerror}); choose another with --port, or 0 for any"
        raise RecordsError([Problem.at(Place("command"), "port-taken", message)]) from None
    made.daemon_threads = True
    return made


class OfRecords(DefaultFilter):
    """What a build reads; neither what it writes, which may lie in the same folder, nor what editors leave for a moment."""

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self.folder = folder.resolve()

    def __call__(self, change: Change, path: str) -> bool:
        try:
            first = Path(path).relative_to(self.folder).parts[0]
        except (ValueError, IndexError):
            return False
        return first in (SETTINGS_FILE, *RECORD_FOLDERS) and super().__call__(change, path)


def rebuild(folder: Path, out: Path, today: date) -> bool:
    """One build; problems and the summary are shown. False when the records have errors: the site stays as it was."""
    started = time.perf_counter()
    try:
        opened = open_book(folder, today=today)
        show(opened.problems)
        if opened.book is None:
            click.echo("the site stays as it was until these are mended", err=True)
            return False
        built = build(opened.book, out)
    except RecordsError as rejected:
        show(rejected.problems)
        return False
    for change in built.figures:
        click.echo(str(change))
    fresh = len(built.published.added) + len(built.published.changed)
    click.echo(f"{built.pages} pages, {fresh} files written anew: {time.perf_counter() - started:.1f} s")
    return True


def watch(folder: Path, out: Path, port: int, today: Callable[[], date]) -> None:
    """Runs until it is interrupted. Raises RecordsError for a folder that is no place for a site: nothing else is ever served."""
    builds = Builds()
    check_place(out, collection=folder)
    rebuild(folder, out, today())
    listed = read_manifest(out)
    if out.is_dir() and (listed is None or listed.kind != "site"):
        raise RecordsError(
            [Problem.at(Place(str(out)), "out-foreign", "this folder is no site of ours, and is not served")]
        )
    with server(out, port, builds) as serving:
        threading.Thread(target=serving.serve_forever, daemon=True).start()
        click.echo(f"http://127.0.0.1:{serving.server_address[1]}/  (on this computer only; Ctrl-C ends it)")
        try:
            for _ in changes(folder, watch_filter=OfRecords(folder)):
                if rebuild(folder, out, today()):
                    builds.done()
        except KeyboardInterrupt:
            click.echo("watching no longer; the site stands as it was built last")
        finally:
            serving.shutdown()
