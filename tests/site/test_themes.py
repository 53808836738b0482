"""Themes: what one may replace, and what happens when one is wrong."""

from __future__ import annotations

import re
import typing
from pathlib import Path

import pytest
from markupsafe import Markup
from msgspec import Struct
from msgspec.structs import replace
from tests.site.conftest import Files, Told

from clutchlight import shipped
from clutchlight.problems import RecordsError
from clutchlight.site import pages, parts
from clutchlight.site.context import Context
from clutchlight.site.files import site_files
from clutchlight.site.pages import Page
from clutchlight.site.rendering import printed, template_of
from clutchlight.site.sandbox import Sandbox
from clutchlight.site.theme import load_theme
from clutchlight.site.theme_check import checked


def colours(sheet: str) -> list[set[str]]:
    """The names of the colours that each rule of a sheet sets."""
    return [set(re.findall(r"(--[a-z-]+):", rule)) for rule in re.findall(r":root\s*{([^}]*)}", sheet)]


def without_colours(files: Files) -> Files:
    """Without the names and bytes of what is drawn in a theme's colours."""
    named = re.compile(rb'photos/[0-9a-f]+-link\.|content="#[0-9a-f]{6}"')
    kept = {address: content for address, content in files.items() if "-link." not in address}
    return {name: named.sub(b"", content) if name.endswith(".html") else content for name, content in kept.items()}


def test_slate_changes_only_colours(family: Told, family_files: Files) -> None:
    """The same pages but for the colour they name and the picture for link previews; one style sheet differs, with the same names."""
    slate, paper = (without_colours(files) for files in (family.files("slate"), family_files))
    assert slate.keys() == paper.keys()
    assert [address for address in slate if slate[address] != paper[address]] == ["style/site.css"]
    assert colours(slate["style/site.css"].decode()) == colours(family_files["style/site.css"].decode())


def test_every_colour_that_is_used_is_set() -> None:
    """No name is misspelt, and none is set for nothing."""
    sheets = shipped.themes() / "paper" / "style"
    style = (sheets / "paper.css").read_text(encoding="utf-8")
    used = set(re.findall(r"var\((--[a-z-]+)\)", style))
    own = set(re.findall(r"(--[a-z-]+):", style))
    light, dark, printed = colours((sheets / "colours.css").read_text(encoding="utf-8"))
    assert light == dark == printed == used - own


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("name", ["paper", "slate"])
def test_contrast_is_enough_in_every_scheme(name: str) -> None:
    """Text at least 4.5 : 1 on every ground it stands on, outlines of controls at least 3 : 1 (WCAG 2.2, 1.4.3 and 1.4.11)."""
    sheet = (shipped.themes() / name / "style" / "colours.css").read_text(encoding="utf-8")
    for rule in re.findall(r":root\s*{([^}]*)}", sheet):
        colour = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", rule))
        for ground in ("paper", "label", "wash"):
            for text in ("ink", "soft", "accent", "accent-deep"):
                assert contrast(colour[text], colour[ground]) >= 4.5, (text, ground)
            assert contrast(colour["edge"], colour[ground]) >= 3, ground
            assert contrast(colour["mark"], colour[ground]) >= 3, ground
        assert contrast(colour["on-accent"], colour["accent"]) >= 4.5
        assert contrast(colour["on-accent"], colour["accent-deep"]) >= 4.5


def make_theme(folder: Path, name: str, settings: str, **templates: str) -> None:
    (folder / name / "templates").mkdir(parents=True)
    (folder / name / "theme.yaml").write_text(settings, encoding="utf-8")
    for template, text in templates.items():
        (folder / name / "templates" / f"{template}.html").write_text(text, encoding="utf-8")


def test_a_theme_of_the_collection_replaces_a_block(family: Told, tmp_path: Path) -> None:
    """It extends a shipped theme and holds only what differs."""
    foot = '{% extends "base.html" %}{% block foot %}<footer>Our own foot</footer>{% endblock %}'
    make_theme(tmp_path, "ours", "name: ours\nneeds: 1\nextends: paper\n", prose=foot)
    theme = load_theme("ours", [tmp_path, shipped.themes()])
    files = site_files(Context(family.collection, family.statements), theme).made
    assert b"Our own foot" in files["pages/about/index.html"]
    assert b"Our own foot" not in files["index.html"]


def test_a_theme_may_bring_a_font(family: Told, tmp_path: Path) -> None:
    """From its own folder, which the policy of every page allows."""
    make_theme(tmp_path, "ours", "name: ours\nneeds: 1\nextends: paper\n")
    style = tmp_path / "ours" / "style"
    style.mkdir()
    (style / "own.css").write_text(
        '@font-face { font-family: Own; src: url("own.woff2"); }\nbody { font-family: Own; }\n'
    )
    (style / "own.woff2").write_bytes(b"wOF2")
    theme = load_theme("ours", [tmp_path, shipped.themes()])
    assert checked(theme) is theme
    files = site_files(Context(family.collection, family.statements), theme).made
    assert files["style/own.woff2"] == b"wOF2"
    assert b"font-src 'self'" in files["index.html"]


def test_a_theme_that_changes_nothing_changes_nothing(
    family: Told, family_files: Files, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Within its bounds, looked through page by page, every template that comes with the program prints the same bytes."""
    make_theme(tmp_path, "ours", "name: ours\nneeds: 1\nextends: paper\n")
    kinds: set[type] = set()

    def noted(templates: Sandbox, folder: str, name: str, page: object) -> bytes:
        kinds.add(type(page))
        return printed(templates, folder, name, page)

    monkeypatch.setattr("clutchlight.site.files.printed", noted)
    assert family.files("ours", tmp_path) == family_files
    assert kinds == set(Page.__subclasses__())


def test_a_theme_may_be_named_like_the_one_it_extends(tmp_path: Path) -> None:
    """themes/paper in a collection stands before the shipped one and falls back on it."""
    make_theme(tmp_path, "paper", "name: paper\nneeds: 1\nextends: paper\n")
    layers = load_theme("paper", [tmp_path, shipped.themes()]).layers
    assert [layer.folder for layer in layers] == [tmp_path / "paper", shipped.themes() / "paper"]


@pytest.mark.parametrize(
    ("settings", "code", "line", "words"),
    [
        ("name: x\nneeds: 2\n", "theme", 2, "needs page contract 2, this version offers 1"),
        ("name: x\n", "theme", 1, "needs page contract None"),
        ("needs: [\n", "not-yaml", 2, ""),
        ("", "theme", 1, "needs page contract None"),
        (
            "name: x\nneeds: 1\nextends: nowhere\n",
            "theme",
            3,
            "there is no theme 'nowhere'; choose one of paper, slate",
        ),
        ("name: x\nneeds: 1\nextends: x\n", "theme", 3, "there is no theme 'x'"),
        ("name: x\nneeds: 1\nextends: [paper, slate]\n", "wrong-shape", 3, "extends one other"),
        ("name: x\nneeds: 1\nextend: paper\n", "unknown-key", 3, "no key 'extend'; the nearest is 'extends'"),
        (
            "name: x\nneeds: 1\nextends: paper\nreplaces: [colour.css]\n",
            "theme",
            4,
            "'colour.css' is no style sheet of this",
        ),
        ("name: x\nneeds: 1\nreplaces: ../../x.css\n", "theme", 3, "'../../x.css' is no style sheet of this"),
    ],
)
def test_a_theme_that_cannot_be_used_is_one_problem(
    tmp_path: Path, settings: str, code: str, line: int, words: str
) -> None:
    """A wrong contract, broken YAML, a missing or circular parent, a key misspelt: said where it stands, never a traceback."""
    make_theme(tmp_path, "x", settings)
    with pytest.raises(RecordsError) as refused:
        load_theme("x", [tmp_path, shipped.themes()])
    (problem,) = refused.value.problems
    assert (problem.file, problem.line, problem.code) == ("themes/x/theme.yaml", line, code)
    assert words in problem.message


@pytest.mark.parametrize("name", ["", ".", "..", "../paper", "a/b", "a\\b"])
def test_a_theme_name_leads_nowhere_else(tmp_path: Path, name: str) -> None:
    """Only a plain name of a folder is looked for."""
    make_theme(tmp_path, "x", "name: x\nneeds: 1\n")
    with pytest.raises(RecordsError):
        load_theme(name, [tmp_path / "x", shipped.themes()])


def test_a_mistake_in_a_template_is_a_problem_at_its_line(family: Told, tmp_path: Path) -> None:
    """A name that does not exist and a slip in the syntax are found where they stand."""
    for name, text in (("unknown", "<p>\n{{ page.prise }}\n"), ("syntax", "<p>\n{% if %}\n")):
        make_theme(tmp_path, name, f"name: {name}\nneeds: 1\nextends: paper\n", prose=text)
        with pytest.raises(RecordsError) as refused:
            site_files(Context(family.collection, family.statements), load_theme(name, [tmp_path, shipped.themes()]))
        problem = refused.value.problems[0]
        assert (problem.file, problem.line, problem.code) == (f"themes/{name}/templates/prose.html", 2, "theme")


def test_everything_printed_is_escaped(family: Told) -> None:
    """A name that looks like HTML is shown as it was typed, on every page that shows it."""
    animal = family.collection.animals["F-01"]
    renamed = replace(animal, name="<script>alert(1)</script>")
    collection = replace(family.collection, animals={**family.collection.animals, "F-01": renamed})
    theme = load_theme("paper", [shipped.themes()])
    files = site_files(Context(collection, family.statements), theme).made
    pages_with = [a for a, content in files.items() if a.endswith(".html") and b"alert(1)" in content]
    assert len(pages_with) > 3
    assert not any(b"<script>alert" in content for content in files.values())


def leaves(hint: object) -> set[object]:
    """The plain types that a type hint is made of."""
    inner = typing.get_args(hint)
    if typing.get_origin(hint) is typing.Literal:
        return {str}
    return set().union(*map(leaves, inner)) if inner else {hint}


def test_pages_hold_finished_values_only() -> None:
    """Every kind of page has a template; page objects are frozen, of words, numbers, flags, HTML, pieces of these, and drawings."""
    pieces = {value for module in (pages, parts) for value in vars(module).values() if isinstance(value, type)}
    pieces = {piece for piece in pieces if issubclass(piece, Struct) and piece is not Struct}
    folder = shipped.themes() / "paper/templates"
    assert [kind for kind in Page.__subclasses__() if not (folder / template_of(kind)).is_file()] == []
    plain = {str, int, bool, Markup, type(None), ...}
    for piece in pieces:
        assert issubclass(piece, Struct)
        assert piece.__struct_config__.frozen
        if piece is parts.Drawing:  # holds what it is drawn from, and is HTML and words to a template
            continue
        for hint in typing.get_type_hints(piece).values():
            assert leaves(hint) <= plain | pieces
