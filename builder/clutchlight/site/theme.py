"""A theme: where its templates, style and pictures lie, and what they are; `rendering` prints pages with it.

A theme is a folder with `theme.yaml`, `templates/`, `desk/` (the private pages) and `style/`, which is published as it stands. A theme
of the collection's own, in themes/NAME, goes before a shipped one of the same name and may extend it. theme.yaml holds

    name      its name
    needs     the number of the contract that it was written for
    extends   the theme that fills in what this one does not have; a template of the same name goes before, a style sheet is added to
    replaces  style sheets that go before those of the same name in what it extends, instead of being added to them

A theme is a look, not a program. One that did not come with this program brings no script, loads nothing from elsewhere, follows no link
out of its folder, and prints within a budget (`theme_check`, `sandbox`).
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from pathlib import Path
from types import MappingProxyType

from msgspec import Struct

from clutchlight import shipped
from clutchlight.problems import Place, Problem, RecordsError, system_says
from clutchlight.reading.findings import Findings, or_nearest
from clutchlight.reading.text import Items, Table, WrittenText, decode
from clutchlight.reading.yaml_records import compose

CONTRACT = 1
"""The number of the contract between page objects and templates (see `pages`)."""

SETTINGS_FILE = "theme.yaml"
KEYS = ("name", "needs", "extends", "replaces")

# Style sheets of single kinds of page: not linked by the others.
APART = ("card.css",)
SHEET = "site.css"
"""The others in one, as they are published: each file that a page waits for keeps its reader from seeing it."""

STYLE_KINDS = (".css", ".js", ".svg", ".png", ".webp", ".woff2")
READ = {"templates": (".html",), "desk": (".html", ".css"), "style": STYLE_KINDS}
"""The folders of a theme, and what is read in them."""
MAX_TEXT = 512 * 1024
MAX_PICTURE = 4 * 1024 * 1024
MAX_FILES = 500


class Layer(Struct, frozen=True, dict=True):
    """The folder of one theme. `ours`: it came with this program. `replaces`: style sheets that it does not add to."""

    name: str
    folder: Path
    ours: bool = False
    replaces: tuple[str, ...] = ()

    @cached_property
    def files(self) -> dict[str, bytes]:
        """What is read of it, by its path in the folder. Raises RecordsError for a link out of it and what cannot be read."""
        problems: list[Problem] = []
        read = ((file, _content(self, file, problems)) for part in READ for file in _walk(self, part, problems))
        found = {file: content for file, content in read if content is not None}
        if len(found) > MAX_FILES:
            problems.append(
                Problem.at(
                    self.place(), "theme", f"a theme has at most {MAX_FILES} files; take out what it does not need"
                )
            )
        if problems:
            raise RecordsError(problems)
        return found

    def place(self, file: str = SETTINGS_FILE, line: int = 1, column: int = 1) -> Place:
        """Where one of its files stands, for a problem."""
        return Place(f"themes/{self.name}/{file}", line, column)


class Theme(Struct, frozen=True, dict=True):
    """A theme and those it extends, nearest first."""

    name: str
    layers: tuple[Layer, ...]

    @property
    def ours(self) -> bool:
        """Whether all of it came with this program."""
        return all(layer.ours for layer in self.layers)

    @property
    def files(self) -> Mapping[str, bytes]:
        """All files of all of them."""
        return {f"{layer.name}/{file}": content for layer in self.layers for file, content in layer.files.items()}

    @cached_property
    def style(self) -> Mapping[str, bytes]:
        """The files of style/, by name."""
        return MappingProxyType(dict(sorted(self._of("style", STYLE_KINDS).items())))

    @property
    def published(self) -> Mapping[str, bytes]:
        """The files of style/ by the names that they have in the site."""
        apart = {name: content for name, content in self.style.items() if name not in self.sheets}
        return {**apart, SHEET: b"\n".join(self.style[name].removeprefix(_BOM) for name in self.sheets)}

    @property
    def desk_style(self) -> Mapping[str, bytes]:
        """The sheets of the private pages, by name."""
        return self._of("desk", (".css",))

    def in_folder(self, part: str, kinds: tuple[str, ...]) -> Iterator[tuple[Layer, str, bytes]]:
        """The files of these kinds in one folder of each of them, the farthest theme first, with their names."""
        for layer in reversed(self.layers):
            for file, content in layer.files.items():
                folder, _, name = file.partition("/")
                if folder == part and name.endswith(kinds):
                    yield layer, name, content

    def _of(self, part: str, kinds: tuple[str, ...]) -> dict[str, bytes]:
        found: dict[str, bytes] = {}
        for layer, name, content in self.in_folder(part, kinds):
            adds = name.endswith(".css") and name in found and name not in layer.replaces
            found[name] = found[name] + b"\n" + content.removeprefix(_BOM) if adds else content
        return found

    @property
    def sheets(self) -> tuple[str, ...]:
        """Names of the style sheets in their order: colours first, then by name."""
        return tuple(
            sorted(
                (name for name in self.style if name.endswith(".css") and name not in APART),
                key=lambda n: (n != "colours.css", n),
            )
        )

    @cached_property
    def colours(self) -> Mapping[str, str]:
        """The colours of its sheet of that name in a light scheme, as far as they are written as #rrggbb."""
        return _colours_in(self.style, 0)

    @property
    def grounds(self) -> tuple[tuple[str, str], ...]:
        """The colour of the paper in each scheme that the sheet sets."""
        schemes = zip(("light", "dark"), (self.colours, _colours_in(self.style, 1)), strict=True)
        return tuple((scheme, found["paper"]) for scheme, found in schemes if "paper" in found)

    @property
    def scripts(self) -> tuple[str, ...]:
        return tuple(name for name in self.style if name.endswith(".js"))

    @cached_property
    def templates(self) -> Mapping[str, bytes]:
        """The texts of the templates, by name, each from the nearest theme that has it."""
        return MappingProxyType(dict(sorted(self._of("templates", (".html",)).items())))

    def sources(self, part: str) -> Mapping[str, Layer]:
        """The theme that has each template of `part`, by the template's name."""
        return {name: layer for layer, name, _ in self.in_folder(part, (".html",))}


def _colours_in(style: Mapping[str, bytes], rule: int) -> Mapping[str, str]:
    rules = re.findall(r":root\s*{([^}]*)}", style.get("colours.css", b"").decode("utf-8", "replace"))
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})\b", rules[rule])) if rule < len(rules) else {}


_BOM = b"\xef\xbb\xbf"


_NAMED = Place("collection.yaml")


def load_theme(name: str, places: Iterable[Path], named: Place = _NAMED) -> Theme:
    """The theme of that name from the first of `places` that has it, with all that it extends; `theme_check` looks through it.

    `named`: where it was asked for.

    Raises RecordsError: no such theme, a theme.yaml that cannot be read, a contract that this version does not offer.
    """
    searched = tuple(places)
    layers: list[Layer] = []
    wanted: str | None = name
    while wanted is not None:
        folders = [layer.folder for layer in layers]
        candidates = (place / wanted for place in searched if _plain(wanted))
        folder = next((c for c in candidates if os.path.lexists(c / SETTINGS_FILE) and c not in folders), None)
        if folder is None:
            raise RecordsError([_no_theme(wanted, searched, named)])
        layer, extended = _layer(folder, wanted)
        layers.append(layer)
        wanted = None if extended is None else str(extended)
        named = named if extended is None else extended.place
    return Theme(name, tuple(layers))


def _plain(name: str) -> bool:
    return name not in {"", ".", ".."} and not set(name) & set("/\\:\0")


def _layer(folder: Path, name: str) -> tuple[Layer, WrittenText | None]:
    """What a theme.yaml says: the theme, and which one it extends."""
    bare = Layer(name, folder, ours=folder.parent == shipped.themes())
    problems: list[Problem] = []
    if not bare.ours and not _inside(folder, folder.parents[1]):
        raise RecordsError([_leads_out(Place(f"themes/{name}"), "collection")])
    raw = _content(bare, SETTINGS_FILE, problems)
    if raw is None:
        raise RecordsError(problems)
    findings = Findings()
    file = bare.place().file
    text = decode(raw, file, findings)
    settings = compose(text, file, findings) if text is not None else None
    if findings.problems:
        raise RecordsError(findings.problems)
    if not isinstance(settings, Table):
        settings = Table.of(bare.place())
    for key, at in settings.mark.keys.items():
        if key not in KEYS:
            hint = or_nearest(key, KEYS, f"the keys are {', '.join(KEYS)}")
            findings.report(at.place, "unknown-key", f"theme.yaml has no key '{key}'{hint}")
    needs = settings.get("needs")
    if needs != str(CONTRACT):
        words = f"theme '{name}' needs page contract {needs}, this version offers {CONTRACT}; write `needs: {CONTRACT}`"
        findings.report(settings.mark.key("needs"), "theme", words)
    extends = settings.get("extends")
    if extends is not None and not isinstance(extends, WrittenText):
        findings.report(settings.mark.key("extends"), "wrong-shape", "a theme extends one other; write its name")
    replaces = settings.get("replaces", Items())
    listed = replaces if isinstance(replaces, Items) else [replaces]
    for one in listed:
        if not isinstance(one, WrittenText) or not any(
            os.path.lexists(folder / part / one) for part in ("style", "desk") if _plain(one)
        ):
            words = f"'{one}' is no style sheet of this theme; `replaces` lists files in its own style/, or desk.css"
            findings.report(one.place, "theme", words)
    if findings.problems:
        raise RecordsError(findings.problems)
    return Layer(name, folder, bare.ours, tuple(str(one) for one in listed)), extends


def _no_theme(name: str, places: Iterable[Path], named: Place) -> Problem:
    known = sorted({file.parent.name for place in places for file in place.glob(f"*/{SETTINGS_FILE}")})
    message = f"there is no theme '{name}'; choose one of {', '.join(known)}, or make themes/{name}/theme.yaml"
    return Problem.at(named, "theme", message)


def _walk(layer: Layer, part: str, problems: list[Problem]) -> Iterator[str]:
    """The files of one folder of a theme that are read, in order; style/ has no folders of its own."""
    top = layer.folder / part
    if not layer.ours and top.is_symlink():
        problems.append(_leads_out(layer.place(part), "theme"))
        return
    for root, folders, names in os.walk(top, onerror=None, followlinks=layer.ours):
        inside = Path(root)
        folders.sort()
        for name in sorted(names):
            file = (inside / name).relative_to(layer.folder).as_posix()
            if name.endswith(READ[part]) and not name.startswith(".") and (part != "style" or inside == top):
                yield file
        for name in folders:
            if (inside / name).is_symlink() and not layer.ours:
                problems.append(_leads_out(layer.place((inside / name).relative_to(layer.folder).as_posix()), "theme"))


def _content(layer: Layer, file: str, problems: list[Problem]) -> bytes | None:
    path = layer.folder / file
    place = layer.place(file)
    if not layer.ours and not _inside(path, layer.folder):
        problems.append(_leads_out(place, "theme"))
        return None
    try:
        found = path.stat()
        most = MAX_TEXT if path.suffix in (".html", ".css", ".svg", ".js", ".yaml") else MAX_PICTURE
        if not stat.S_ISREG(found.st_mode):
            problems.append(Problem.at(place, "theme", "this is not an ordinary file; replace it with one"))
        elif found.st_size > most:
            problems.append(Problem.at(place, "theme", f"this file is larger than {most} bytes; a look needs less"))
        else:
            return path.read_bytes()
    except OSError as error:
        problems.append(Problem.at(place, "theme", f"this file cannot be read: {system_says(error)}"))
    return None


def _inside(path: Path, folder: Path) -> bool:
    try:
        return path.resolve(strict=True).is_relative_to(folder.resolve(strict=True))
    except (OSError, RuntimeError):
        return False


def _leads_out(place: Place, what: str) -> Problem:
    message = f"this is a link that leads out of the {what}, or nowhere, or to a folder; copy here what it leads to"
    return Problem.at(place, "theme-outside", message)
