"""How long builds take: of a generated collection, and of the demo with one clutch more.

Measures   each a whole command in a process of its own, imports and reading included:
           full       into an empty folder
           nothing    again, with nothing changed
           one saved  again, with one record saved unchanged: all is read and inferred, no page object is made
           one clutch again, with one clutch more, of a pair that bred before
           and, in one process, the share of a full build that goes beyond printing the same page objects and writing the same bytes.
Run        python -m tests.bench.building [--animals 1000] [--seed 1] [--demo]
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from msgspec.structs import replace
from tests.bench.writing_records import Shape, clutch_file, generate, write

from clutchlight import shipped
from clutchlight.model import Clutch, Collection, When
from clutchlight.pipeline import build, open_book
from clutchlight.publishing.folders import publish
from clutchlight.publishing.manifest import Wanted
from clutchlight.site import files
from clutchlight.site.context import Context, Framing
from clutchlight.site.pages import Page
from clutchlight.site.rendering import printed, template_of, templates_of
from clutchlight.site.theme import load_theme

SETTLING = 3.0
"""Seconds after which an edit cannot share its time with a next one."""
PROOF = """---
id: C26-90
sire: M-03
dam: F-09
laid: 2026-06-01
eggs: 4
hatched: 2026-07-30
young:
  - 1 f Piebald
  - 2 m normal
  - 3 f normal
  - 4 m normal
---
"""


def command(folder: Path, out: Path) -> tuple[float, float, str]:
    """Seconds of one build, those of all processors together, and what it printed."""
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    started, before = time.perf_counter(), os.times()
    done = subprocess.run(
        [sys.executable, "-m", "clutchlight", "build", str(folder), "--out", str(out)],
        capture_output=True,
        text=True,
        check=True,
        env={**environment, "PYTHONPATH": os.pathsep.join(sys.path)},
    )
    after = os.times()
    busy = after.children_user + after.children_system - before.children_user - before.children_system
    return time.perf_counter() - started, busy, done.stdout


def one_more(collection: Collection) -> tuple[str, str]:
    """A new clutch of the last pair that bred, whose young look like their elder sib: the name of its file and its text."""
    last = max(collection.clutches.values(), key=lambda clutch: (clutch.hatched or When.day(date.min), clutch.id))
    year = last.hatched.last.year + 1 if last.hatched else 2030
    young = tuple(f"{last.id}-B{number}" for number in range(1, 7))
    clutch: Clutch = replace(
        last, id=f"{last.id}-B", eggs=6, went_bad=0, hatched=When.day(date(year, 7, 1)), young=young, complete=True
    )
    example = collection.animals[last.young[0]]
    animals = {key: replace(example, id=key, clutch=clutch.id, sex="female", tests=()) for key in young}
    text = clutch_file(clutch, replace(collection, animals={**collection.animals, **animals}), year, set())
    return f"{clutch.id}.md", text


def generated(animals: int, seed: int, place: Path) -> Iterator[tuple[str, float, float]]:
    """What each kind of build of a generated collection took."""
    folder, out = place / "records", place / "site"
    collection = generate(Shape(animals=animals), seed).collection
    write(collection, folder)
    time.sleep(SETTLING)
    yield "full", *command(folder, out)[:2]
    yield "nothing", *command(folder, out)[:2]
    next(iter((folder / "clutches").iterdir())).touch()
    yield "one saved", *command(folder, out)[:2]
    name, text = one_more(collection)
    (folder / "clutches" / name).write_text(text, encoding="utf-8")
    yield "one clutch", *command(folder, out)[:2]


def share(animals: int, seed: int, place: Path) -> tuple[float, float]:
    """Seconds of a full build, and of those what printing the same page objects and writing the same bytes takes by itself."""
    folder = place / "records"
    write(generate(Shape(animals=animals), seed).collection, folder)
    opened = open_book(folder)
    if opened.book is None:
        raise ValueError(f"the generated records have mistakes: {opened.problems[:3]}")
    build(opened.book, place / "warm")  # compiles templates and the layout engine, which both sides then have
    theme = load_theme("paper", [shipped.themes()])
    kept: list[tuple[str, Page]] = []
    real = files.pages_of

    def keeping(framing: Framing) -> Iterator[tuple[str, Page]]:
        for address, page in real(framing):
            kept.append((address, page))
            yield address, page

    files.pages_of = keeping
    started = time.perf_counter()
    book = open_book(folder).book
    if book is None:
        raise ValueError("the records have mistakes")
    build(book, place / "site")
    whole = time.perf_counter() - started
    files.pages_of = real
    fresh = _again(folder)
    others = {
        file.relative_to(place / "site").as_posix(): file.read_bytes()
        for file in (place / "site").rglob("*")
        if file.is_file() and file.suffix != ".html" and not file.name.startswith(".")
    }
    started = time.perf_counter()
    templates = templates_of(theme, "templates")
    pages = {address: printed(templates, "", template_of(type(page)), page) for address, page in fresh}
    publish(Wanted({**others, **pages}), place / "alone")
    return whole, time.perf_counter() - started


def _again(folder: Path) -> list[tuple[str, Page]]:
    """The page objects made anew, so that no drawing is ready."""
    book = open_book(folder).book
    if book is None:
        raise ValueError("the records have mistakes")
    theme = load_theme("paper", [shipped.themes()])
    context = Context(book.collection, book.statements, logged=book.logged, holds=book.holds, past=book.past)
    return list(files.pages_of(Framing(context, theme)))


def demo(place: Path) -> tuple[float, float, str]:
    """The demo with a clutch that proves a possible het: how long the build took, and what it printed."""
    folder, out = place / "demo", place / "demo-site"
    shutil.copytree(shipped.demo(), folder)
    command(folder, out)
    (folder / "clutches/C26-90.md").write_text(PROOF, encoding="utf-8")
    return command(folder, out)


def main() -> None:
    options = argparse.ArgumentParser(description="Times builds.")
    options.add_argument("--animals", type=int, default=1000)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--demo", action="store_true", help="the demo with one clutch more, instead")
    asked = options.parse_args()
    with tempfile.TemporaryDirectory() as place:
        if asked.demo:
            seconds, busy, printed = demo(Path(place))
            sys.stdout.write(f"{printed}one clutch that proves: {seconds:.2f} s ({busy:.2f} s of work)\n")
            return
        for name, seconds, busy in generated(asked.animals, asked.seed, Path(place) / "builds"):
            sys.stdout.write(f"{name:12} {seconds:6.2f} s ({busy:.2f} s of work)\n")
        whole, alone = share(asked.animals, asked.seed, Path(place) / "share")
        sys.stdout.write(
            f"in one process: {whole:.2f} s, of which printing and writing {alone:.2f} s; beyond them {(whole - alone) / alone:.0%}\n"
        )


if __name__ == "__main__":
    main()
