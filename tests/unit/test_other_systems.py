"""What other systems do differently, put in the place of what this one does. Nothing here was tried on those systems themselves."""

from __future__ import annotations

import ctypes
import errno
import os
import sys
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import filelock  # noqa: F401 - loaded as of this system
import pytest
import wasmtime  # noqa: F401 - loaded as of this system
from click.testing import CliRunner, Result
from tests.rooms import BARE, md
from tests.unit.whole_room import ROOM

from clutchlight.cli import main
from clutchlight.publishing import folders
from clutchlight.publishing.folders import walk


def run(*words: str | Path) -> Result:
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


# Names of folders are exchanged


@pytest.fixture
def called(monkeypatch: pytest.MonkeyPatch) -> Callable[..., list[tuple[object, ...]]]:
    """A system's library with one call, which gives an error number; what it was called with."""

    def made(platform: str, name: str, number: int = 0) -> list[tuple[object, ...]]:
        found: list[tuple[object, ...]] = []

        def call(*arguments: object) -> int:
            found.append(tuple(getattr(one, "value", one) for one in arguments))
            return -1 if number else 0

        monkeypatch.setattr(sys, "platform", platform)
        monkeypatch.setattr(ctypes, "CDLL", lambda *_, **__: SimpleNamespace(**{name: call}))
        monkeypatch.setattr(ctypes, "get_errno", lambda: number)
        return found

    return made


def test_macos_has_a_call_of_its_own(called: Callable[..., list[tuple[object, ...]]]) -> None:
    """renamex_np with RENAME_SWAP, 2 in sys/stdio.h."""
    found = called("darwin", "renamex_np")
    assert folders.exchanged(Path("one"), Path("other"))
    assert found == [(b"one", b"other", 2)]


def test_linux_names_both_folders_from_here(called: Callable[..., list[tuple[object, ...]]]) -> None:
    """renameat2 with AT_FDCWD, -100, and RENAME_EXCHANGE, 2 (linux/fcntl.h, linux/fs.h)."""
    found = called("linux", "renameat2")
    assert folders.exchanged(Path("one"), Path("other"))
    assert found == [(-100, b"one", -100, b"other", 2)]


@pytest.mark.parametrize(
    ("platform", "name", "number"),
    [
        ("darwin", "renamex_np", errno.ENOTSUP),
        ("linux", "renameat2", errno.EINVAL),
        ("linux", "renameat2", errno.ENOSYS),
        ("darwin", "no_such_call", 0),
        ("linux", "no_such_call", 0),
        ("win32", "renameat2", 0),
    ],
)
def test_where_names_cannot_be_exchanged_nothing_is_done(
    called: Callable[..., list[tuple[object, ...]]], platform: str, name: str, number: int
) -> None:
    """A file system that cannot, an older system, and Windows, where nothing is called at all."""
    found = called(platform, name, number)
    assert not folders.exchanged(Path("one"), Path("other"))
    assert platform != "win32" or found == []


def test_another_failure_is_no_reason_to_go_another_way(called: Callable[..., list[tuple[object, ...]]]) -> None:
    """A folder that may not be written."""
    called("darwin", "renamex_np", errno.EACCES)
    with pytest.raises(PermissionError):
        folders.exchanged(Path("one"), Path("other"))


# A whole day's work as on Windows


def test_commands_do_without_what_windows_has_not(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """No exchange of names, no lock of open files, no time of change: the records and the site are whole all the same."""
    monkeypatch.setattr(sys, "platform", "win32")
    room, site = tmp_path / "room", tmp_path / "site"
    assert run("start", room).exit_code == 0
    built = run("build", room, "--out", site)
    assert built.exit_code == 0, built.stderr
    pages = set(site.rglob("*.html"))
    (animal,) = (room / "animals").glob("F-01*")
    before = animal.read_bytes()
    assert run("log", "F-01", "weight", "1500", "--on", "2026-11-25", "--collection", room).exit_code == 0
    assert run("laid", "F-01", "--on", "2026-11-25", "--collection", room).exit_code == 0
    again = run("build", room, "--out", site)
    assert (again.exit_code, again.stderr) == (0, "")
    assert set(site.rglob("*.html")) > pages
    assert animal.read_bytes() == before
    assert sorted(file.name for file in tmp_path.iterdir()) == [".site.lock", "room", "site"]
    assert [file.name for file in room.rglob("*.part")] == []


# Names of files


def test_a_path_is_an_address_whatever_separates_its_parts(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Forward slashes in the manifest, where the system writes backward ones."""
    (tmp_path / "animals/F-01").mkdir(parents=True)
    (tmp_path / "animals/F-01/index.html").touch()
    relpath = os.path.relpath
    monkeypatch.setattr(os, "sep", "\\")
    monkeypatch.setattr(os.path, "relpath", lambda path, start: relpath(path, start).replace("/", "\\"))
    assert list(walk(tmp_path)) == ["animals/F-01/index.html"]


DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(10))}


@pytest.mark.slow
def test_no_two_addresses_differ_by_case_alone_and_none_is_a_device(tmp_path: Path) -> None:
    """Where F-01 and f-01 are one name, no page takes another's place; Windows keeps some names, and drops a dot at the end."""
    addresses = list(BARE.site(tmp_path, ROOM))
    assert len({address.casefold() for address in addresses}) == len(addresses) > 50
    parts = {part for address in addresses for part in address.split("/")}
    assert [part for part in parts if part.casefold().partition(".")[0] in DEVICES] == []
    assert [part for part in parts if part.endswith((".", " ")) or set(part) & set('<>:"\\|?*')] == []


@pytest.mark.parametrize("name", ["f-01", "CON", "nul", "com1"])
def test_an_id_that_would_be_such_a_name_is_refused(tmp_path: Path, name: str) -> None:
    """Beside F-01, its own name in small letters; by itself, a device."""
    found = BARE.problems(tmp_path, {"animals/one.md": md("id: F-01"), "animals/two.md": md(f"id: {name}")})
    assert {code for *_, code in found} in ({"duplicate-id"}, {"bad-id"})


def test_a_photo_is_named_with_forward_slashes(tmp_path: Path) -> None:
    """On every system alike: a record that was written on Windows is read on Linux."""
    files = {"animals/F-01.md": md("id: F-01\nphotos: [far\\side.png]")}
    assert [code for *_, code in BARE.problems(tmp_path, files)] == ["photo-name"]
