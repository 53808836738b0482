"""All that the program says of a collection, as text: its public pages and feeds, its desk, and what its commands print.

A page is given as a person hears it: a line for each heading, paragraph, list item and row of a table, with the text alternatives of
pictures. What stands on every page alike (the head with its links, the foot) is given once, on the front page. A long line that also stands
in the collection WHOLE is cut short in all others, so that a sentence of every site changes in one place.
"""

from __future__ import annotations

import json
import os
import re
import shlex
from collections.abc import Iterator, Mapping
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from unittest import mock

import yaml
from click.testing import CliRunner
from lxml import etree, html
from msgspec import Struct

from clutchlight import cli
from clutchlight.cli import main, options, writing
from clutchlight.pipeline import open_book

HERE = Path(__file__).parent
OUTPUTS = ("terminal.txt", "public.txt", "desk.txt")
"""The recorded files of a collection, in its folder `said`."""

WHOLE = "as-started"
GUIDE = "guide.html"
"""The page of the desk that says the same in every collection, as the reference does; its own tests read it."""

_LONG, _SHORTENED = 100, 60

_BLOCKS = re.compile(
    "article|aside|blockquote|caption|d[dlt]|details|div|fieldset|figcaption|figure|footer|form|h[1-6]|header|label|legend|li|main|nav|ol"
    "|option|p|pre|section|select|summary|svg|table|t(body|head|r)|ul"
)
_HEADINGS = {f"h{level}": "#" * level + " " for level in range(1, 7)} | {"li": "- ", "option": "- ", "summary": "> "}
_PARSER = html.HTMLParser(remove_comments=True, remove_pis=True)
_SECONDS = re.compile(r"\b\d+\.\d s\b")


class Asked(Struct, frozen=True):
    """What is asked of a collection: `asked.yaml` in its folder. A command may end in ` < FILE`: lines of it are typed at a terminal."""

    name: str
    shows: str
    on: date
    commands: tuple[str, ...] = ()
    errors: bool = False
    """Whether `check` must find errors in it, so that nothing is built."""

    @property
    def folder(self) -> Path:
        return HERE / self.name


@cache
def collections() -> tuple[Asked, ...]:
    """Every collection of the gallery: the one that is recorded whole, then the others by name."""
    found = (_asked(file) for file in sorted(HERE.glob("*/asked.yaml")))
    return tuple(sorted(found, key=lambda asked: asked.name != WHOLE))


def _asked(file: Path) -> Asked:
    fields = yaml.load(file.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # noqa: S506 - texts only: no word means true
    return Asked(
        file.parent.name,
        shows=fields["shows"],
        on=date.fromisoformat(fields["on"]),
        commands=tuple(fields.get("commands") or ()),
        errors=fields.get("errors") == "true",
    )


NOWHERE = "nowhere: "
"""How a line of `never.txt` begins whose words stand in no output; those of the others stand in none that is public."""


def never(asked: Asked, output: str) -> tuple[str, ...]:
    """Words that must not stand in an output, by the lines of `never.txt` that do not begin with #."""
    file = asked.folder / "never.txt"
    lines = file.read_text(encoding="utf-8").splitlines() if file.exists() else []
    meant = [line for line in lines if line.strip() and not line.startswith("#")]
    return tuple(line.removeprefix(NOWHERE) for line in meant if output == "public.txt" or line.startswith(NOWHERE))


def said(asked: Asked) -> Mapping[str, str]:
    """The three texts of a collection, by file name. Raises AssertionError where a command ends otherwise than asked."""
    with TemporaryDirectory() as folder:
        site, desk = Path(folder) / "site", Path(folder) / "desk"
        run = _Commands(asked, {str(site): "site", str(desk): "desk", str(asked.folder): "."})
        run("check {}", ends=1 if asked.errors else 0)
        if not asked.errors:
            run(f"build {{}} --out {site} --desk {desk} --on {asked.on}")
            for animal in sorted(folder.name for folder in site.glob("animals/*")):
                run(f"why {animal} --collection {{}}")
            run(f"season {{}} --on {asked.on}")
        for command in asked.commands:
            where = "{}" if command.startswith("season") else "" if command.startswith("explain") else "--collection {}"
            run(f"{command} {where}".rstrip(), ends=None)
        found = {"terminal.txt": run.told, "public.txt": list(_public(site)), "desk.txt": list(_desk(desk))}
        known = frozenset() if asked.name == WHOLE else _known()
        return {name: "".join(f"{_shortened(line, known)}\n" for line in lines) for name, lines in found.items()}


@cache
def _known() -> frozenset[str]:
    recorded = ((HERE / WHOLE / "said" / name).read_text(encoding="utf-8") for name in OUTPUTS)
    return frozenset(line for text in recorded for line in text.splitlines() if len(line) > _LONG)


def _shortened(line: str, known: frozenset[str]) -> str:
    return f"{line[:_SHORTENED].rstrip()} …" if line in known else line


class _Commands:
    """Runs commands one after the other and keeps what they print, problems included."""

    def __init__(self, asked: Asked, names: Mapping[str, str]) -> None:
        self._asked, self._names = asked, names
        self.told: list[str] = []
        self._open = cache(open_book)  # the records do not change between the commands

    def __call__(self, command: str, *, ends: int | None = 0) -> None:
        command, _, file = command.partition(" < ")
        keys = (self._asked.folder / file.split()[0]).read_text(encoding="utf-8") if file else None
        command = f"{command} {file.partition(' ')[2]}".strip()
        words = [word.replace("{}", str(self._asked.folder)) for word in shlex.split(command)]
        noon = datetime(self._asked.on.year, self._asked.on.month, self._asked.on.day, 12, tzinfo=UTC)
        there = mock.patch.multiple(writing, at_terminal=lambda: keys is not None)
        once = mock.patch.multiple(cli, open_book=self._open), mock.patch.multiple(options, open_book=self._open)
        with there, once[0], once[1], mock.patch.dict(os.environ, SOURCE_DATE_EPOCH=str(int(noon.timestamp()))):
            result = CliRunner().invoke(main, words, input=keys, prog_name="clutchlight")
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        assert ends in (None, result.exit_code), (
            f"{self._asked.name}: {command} ended with {result.exit_code}:\n{result.output}"
        )
        shown = _SECONDS.sub("N s", result.output)
        typed = command.replace(" --collection {}", "").replace(" {}/", " ").replace(" {}", "")
        for path, name in self._names.items():
            shown, typed = shown.replace(path, name), typed.replace(path, name)
        self.told += [f"$ clutchlight {typed}", *shown.splitlines(), ""]


# ---- pages


def _public(site: Path) -> Iterator[str]:
    for file in sorted(site.rglob("*")):
        address = file.relative_to(site).as_posix()
        if file.suffix == ".html" and address != "404.html":
            yield f"======== {address}"
            yield from lines_of_page(file.read_text(encoding="utf-8"), whole=address == "index.html")
            if (data := file.with_name("statement.json")).exists():
                yield from _statement(json.loads(data.read_text(encoding="utf-8")))
            yield ""
        elif file.suffix == ".xml" and file.name == "feed.xml":
            yield f"======== {address}"
            yield from _feed(file)
            yield ""


def _desk(desk: Path) -> Iterator[str]:
    for file in sorted(desk.rglob("*.html")):
        if file.name == GUIDE:
            continue
        yield f"======== {file.relative_to(desk).as_posix()}"
        yield from lines_of_page(file.read_text(encoding="utf-8"), whole=file.name == "index.html")
        yield ""


def lines_of_page(text: str, *, whole: bool = False) -> Iterator[str]:
    """A page as its reader sees it, line by line; all of it, or what is its own."""
    page = html.document_fromstring(text, parser=_PARSER)
    if (title := page.find("head/title")) is not None:
        yield f"title: {_text(title)}"
    if (described := page.find("head/meta[@name='description']")) is not None:
        yield f"description: {described.get('content')}"
    shown = page.body if whole or page.find(".//main") is None else page.find(".//main")
    assert shown is not None
    yield from _lines(shown)


def _lines(element: html.HtmlElement) -> Iterator[str]:
    """The lines of an element; those of its blocks apart from each other."""
    line: list[str] = [element.text or ""]

    def ended() -> Iterator[str]:
        text = " ".join("".join(line).split())
        line.clear()
        if text:
            yield text

    for child in element:
        if child.tag not in ("script", "style", "template"):
            if child.tag == "tr":
                yield from ended()
                yield " | ".join(" ".join(" / ".join(_lines(cell)).split()) for cell in child.iter("th", "td"))
            elif child.tag == "svg":
                yield from ended()
                yield from _drawing(child)
            elif child.get("class") == "key":
                yield from ended()
                yield f"[key: {'; '.join(str(swatch.tail).strip() for swatch in child.iter('svg'))}]"
            elif any(_BLOCKS.fullmatch(str(part.tag)) for part in child.iter()):
                yield from ended()
                yield from _block(child)
            else:
                line.append(_inline(child))
        line.append(child.tail or "")
    yield from ended()


def _block(block: html.HtmlElement) -> Iterator[str]:
    mark = _HEADINGS.get(str(block.tag), "")
    for line in _lines(block):
        yield mark + line
        mark = ""


def _inline(element: html.HtmlElement) -> str:
    if element.tag == "img":
        return f" [picture: {element.get('alt', '')}] "
    if element.tag == "input":
        return f" [{element.get('placeholder') or element.get('aria-label') or element.get('type', 'text')}] "
    if element.tag == "br":
        return " / "
    if element.get("popovertarget") is not None:
        return ""
    inside = (element.text or "") + "".join(_inline(child) + (child.tail or "") for child in element)
    if element.get("popover") is not None:
        return f" [{inside}]"
    hint = element.get("title") or element.get("aria-label")
    return f"{inside} [{hint}]" if hint else inside


def _text(element: etree._Element, between: str = "") -> str:
    return between.join(str(part) for part in element.itertext())


def _drawing(drawing: html.HtmlElement) -> Iterator[str]:
    """A drawing by its text alternatives; its written labels follow in alphabetical order, since places are the layout's affair."""
    alternatives = [drawing.get("aria-label") or ""]
    alternatives += [" ".join(_text(part, " ").split()) for part in drawing.iter("title", "desc")]
    written = sorted({" ".join(_text(part, " ").split()) for part in drawing.iter("text")})
    for text in dict.fromkeys(filter(None, alternatives)):
        yield f"[drawing: {text}]"
    if written:
        yield f"[written in it: {'; '.join(filter(None, written))}]"


def _statement(data: Mapping[str, Any]) -> Iterator[str]:
    """What statement.json says in words of its own: the advert, and the notes of a clutch or an animal."""
    if "advert" in data:
        yield f"statement.json advert: {data['advert']}"
    for trait in data.get("traits", ()):
        yield f"statement.json trait: {trait['label']} ({trait['grounds'] or 'open'})"
    for note in data.get("notes", ()):
        yield f"statement.json note, {note['kind']}: {note['text']}"
    for young in data.get("young", ()):
        yield f"statement.json young {young['id']}: {young['advert']}"


def _feed(file: Path) -> Iterator[str]:
    for whole in etree.parse(file).iter("{*}feed", "{*}entry"):
        for part in whole:
            name = etree.QName(part).localname
            if name in ("title", "content", "updated"):
                yield f"{etree.QName(whole).localname} {name}: {_text(part)}"
