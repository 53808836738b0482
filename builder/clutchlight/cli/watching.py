"""`watch`: build, serve on loopback, build again when a record is saved, and have the open pages load anew.

The pages on disk stay as published. What is served differs in one tag: a script that waits for the next build and then reloads. Its address
holds a token that is drawn anew each time, so that no page from elsewhere can wait along. Only this computer is served (127.0.0.1), only
to who asks for it by that name, only files that the manifest of the site lists, and to no other origin's pages.
"""

from __future__ import annotations

import mimetypes
import secrets
import threading
import time
from collections.abc import Callable
from datetime import date
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import parse_qs, unquote

import click
from watchfiles import Change, DefaultFilter, watch as changes

from clutchlight.cli.options import show
from clutchlight.pipeline import build, open_book
from clutchlight.problems import COMMAND_LINE, Place, RecordsError, system_says
from clutchlight.publishing.folders import check_place
from clutchlight.publishing.manifest import read_manifest
from clutchlight.reading.collection import SETTINGS_FILE
from clutchlight.reading.files import RECORD_FOLDERS

LOADER_SCRIPT = """\
addEventListener("load", function () {
  setTimeout(function () {
    var wait = document.createElement("script");
    wait.src = "%s?after=%d";
    document.head.append(wait);
  }, 100);
});
"""
AGAIN = 'var next=document.createElement("script");next.src="%s?after=%d";document.head.append(next);'
PATIENCE = 25.0
SLOW = 60
"""Seconds after which a connection on which nothing comes is given up."""
KINDS = {
    ".html": "text/html",
    ".js": "text/javascript",
    ".css": "text/css",
    ".json": "application/json",
    ".webp": "image/webp",
}


class Builds:
    """Counts the builds; pages wait for the next one, at addresses that only they know."""

    def __init__(self) -> None:
        self.number = 0
        token = secrets.token_urlsafe(24)
        self.loader = f"/.clutchlight/{token}/loader.js"
        self.wait = f"/.clutchlight/{token}/wait.js"
        self._changed = threading.Condition()

    def done(self) -> None:
        with self._changed:
            self.number += 1
            self._changed.notify_all()

    def wait_after(self, number: int, patience: float = PATIENCE) -> bool:
        """True as soon as there is a build after that number; False when patience ends first."""
        with self._changed:
            return self._changed.wait_for(lambda: self.number > number, patience)


class Server(ThreadingHTTPServer):
    """A server of the site on loopback."""

    daemon_threads = True

    def __init__(self, site: Path, port: int, builds: Builds) -> None:
        self.site = site
        self.builds = builds
        super().__init__(("127.0.0.1", port), Handler)
        self.names = tuple(f"{name}:{self.server_port}" for name in ("127.0.0.1", "localhost"))
        if self.server_port == 80:
            self.names += ("127.0.0.1", "localhost")

    def handle_error(self, request: object, client_address: object) -> None:
        """Whoever asked has gone, or sent what is no request: no news."""


class Handler(BaseHTTPRequestHandler):
    """One request. Whatever it is, it is answered in one line or dropped, and says nothing on the terminal."""

    server: Server
    timeout = SLOW

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the name the base class has
        """Requests are not news."""

    def parse_request(self) -> bool:
        """Before anything else of a request counts, whatever its method: who is asked for."""
        if not super().parse_request():
            return False
        if [host.lower() for host in self.headers.get_all("Host", [])] not in [[name] for name in self.server.names]:
            self.send_error(HTTPStatus.FORBIDDEN)
            return False
        return True

    def do_GET(self) -> None:
        path, _, query = self.path.partition("?")
        builds = self.server.builds
        if path == builds.loader:
            self._script(LOADER_SCRIPT % (builds.wait, builds.number))
        elif path == builds.wait:
            after = parse_qs(query).get("after", ["0"])[0]
            number = int(after) if after.isascii() and after.isdigit() and len(after) < 10 else 0
            self._script("location.reload();" if builds.wait_after(number) else AGAIN % (builds.wait, number))
        else:
            self._file(unquote(path, errors="replace"))

    do_HEAD = do_GET  # noqa: N815 - so the library calls it

    def _file(self, path: str) -> None:
        """A file of the site; a folder's page, or the way there, for the folder."""
        try:
            listed = read_manifest(self.server.site)
            files = listed.files if listed is not None and listed.kind == "site" else {}
            address = path.removeprefix("/") + ("index.html" if path.endswith("/") else "")
            if address in files and path.startswith("/"):
                self._send((self.server.site / address).read_bytes(), address)
            elif f"{address}/index.html" in files and path.startswith("/"):
                self.send_response(HTTPStatus.FOUND)
                self.send_header("Location", f"{self.path.partition('?')[0]}/")
                self.send_header("Content-Length", "0")
                self.end_headers()
            else:
                self.send_error(HTTPStatus.NOT_FOUND)
        except OSError:  # the site is being exchanged, or gone
            self.send_error(HTTPStatus.NOT_FOUND)

    def _script(self, text: str) -> None:
        self._send(text.encode(), "a.js")

    def _send(self, content: bytes, name: str) -> None:
        ending = Path(name).suffix
        kind = KINDS.get(ending) or mimetypes.guess_type(name)[0] or "application/octet-stream"
        if ending == ".html":
            tag = f'<script src="{self.server.builds.loader}" defer></script></head>'.encode()
            content = content.replace(b"</head>", tag, 1)
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", f"{kind}; charset=utf-8" if kind.startswith("text/") else kind)
        self.send_header("Content-Length", str(len(content)))
        self.send_header("Cache-Control", "no-store")
        self.send_header("Cross-Origin-Resource-Policy", "same-origin")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(content)


def server(site: Path, port: int, builds: Builds) -> Server:
    """A server of the site on loopback. Raises RecordsError when the port is taken."""
    try:
        return Server(site, port, builds)
    except OSError as error:
        message = f"port {port} cannot be used: {system_says(error, 'choose another with --port, or 0 for any')}"
        raise RecordsError.at(COMMAND_LINE, "port-taken", message) from None


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
        raise RecordsError.at(Place(str(out)), "out-foreign", "this folder is no site of ours, and is not served")
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
