"""A theme is a look, not a program: what one of somebody's own can reach, load, repeat and replace."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from tests.unit.test_outside import HEAD

from clutchlight import shipped
from clutchlight.desk.pages import DeskTheme
from clutchlight.drawing.markup import Drawn
from clutchlight.problems import Problem, RecordsError
from clutchlight.site import sandbox
from clutchlight.site.parts import Drawing, Fact, Link
from clutchlight.site.rendering import printed, templates_of
from clutchlight.site.theme import Theme, load_theme
from clutchlight.site.theme_check import checked

EXTENDS = "name: own\nneeds: 1\nextends: paper\n"


def made(place: Path, files: Mapping[str, str | bytes], settings: str = EXTENDS, name: str = "own") -> Path:
    """A theme in a collection's themes/; the folder of the theme."""
    folder = place / "themes" / name
    for file, text in {"theme.yaml": settings, **files}.items():
        path = folder / file
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    return folder


def loaded(place: Path, name: str = "own") -> Theme:
    return checked(load_theme(name, [place / "themes", shipped.themes()]))


def problems(
    place: Path, files: Mapping[str, str | bytes] | None = None, settings: str = EXTENDS
) -> tuple[Problem, ...]:
    """Why a theme is refused."""
    if files is not None:
        made(place, files, settings)
    with pytest.raises(RecordsError) as refused:
        loaded(place)
    return refused.value.problems


def print_with(place: Path, text: str, page: object = Fact("a term", "<b>a value</b>"), part: str = "templates") -> str:
    """What a template of one's own prints under the head of a page."""
    made(place, {f"{part}/own.html": HEAD + text})
    page_bytes = printed(templates_of(loaded(place), part), f"themes/own/{part}", "own.html", page)
    return page_bytes.decode("utf-8").removeprefix(HEAD)


def why_not(place: Path, text: str, page: object = Fact("a term", "a value"), part: str = "templates") -> Problem:
    """The one problem of a template of one's own; its line is counted below the head."""
    with pytest.raises(RecordsError) as refused:
        print_with(place, text, page, part)
    (problem,) = refused.value.problems
    assert problem.file == f"themes/own/{part}/own.html"
    return problem


FIRST = HEAD.count("\n") + 1


# What a template reaches


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("{{ page.term }}: {{ page.value }}", "a term: &lt;b&gt;a value&lt;/b&gt;"),
        ("{% for a in ('x', 'y') %}{{ loop.cycle('1', '2') }}{{ a }}{% endfor %}", "1x2y"),
        ("{% macro m(n) %}{% if n %}{{ n }}{{ m(n - 1) }}{% endif %}{% endmacro %}{{ m(3) }}", "321"),
        ("{% set ns = namespace(n=0) %}{% for i in range(3) %}{% set ns.n = ns.n + i %}{% endfor %}{{ ns.n }}", "3"),
        (
            "{{ 'a' in page.term }} {{ page.term in ('a term', 'b') }} {{ page.term == 'b' }} {{ 3 is odd }}",
            "True True False True",
        ),
        (
            "{{ page.term|upper|replace(' ', '-') }} {{ page.term|list|first }} {{ range(3)|list|join('+') }}",
            "A-TERM a 0+1+2",
        ),
        (
            "{% filter title %}{{ page.term }}{% endfilter %} {{ page.value|length }} {{ page.term[2:] }}",
            "A Term 14 term",
        ),
        ("{{ page.term ~ ' ' ~ page.value }} {{ [1]|length if false else 7 // 2 }}", ""),
        ("{{ page.value.startswith('<b') }} {{ none is none }} {{ 'x'|default('y') }}", "True True x"),
    ],
)
def test_a_template_of_ones_own_can_do_what_a_look_needs(tmp_path: Path, text: str, shown: str) -> None:
    """Loops, conditions, macros, words put together; records' text stays text."""
    if shown:
        assert print_with(tmp_path, text) == shown
    else:
        assert why_not(tmp_path, text).code == "theme"


@pytest.mark.parametrize(
    "text",
    [
        "{{ page.__class__ }}",
        "{{ page['__class__'] }}",
        "{{ page.term.__class__.__mro__ }}",
        "{{ ''.__class__.__base__.__subclasses__() }}",
        "{{ page|attr('__class__') }}",
        "{{ page|map(attribute='__class__')|list }}",
        "{{ self.__init__.__globals__ }}",
        "{{ self._TemplateReference__context }}",
        "{{ range.__globals__ }}",
        "{{ namespace.__init__.__globals__ }}",
        "{{ cycler }}",
        "{{ lipsum.__globals__ }}",
        "{{ page.term.format(page) }}",
        "{{ '%s' % page }}",
        "{{ page.term.encode('utf-8') }}",
        "{{ page.term.join(['a']) }}",
        "{{ page.term.upper.__self__ }}",
        "{{ page.value|safe }}",
        "{{ page.value|xmlattr }}",
        "{% autoescape false %}{{ page.value }}{% endautoescape %}",
        "{% include '../theme.yaml' %}",
        "{% include '/etc/passwd' %}",
        "{% include 'nothing.html' %}",
        "{% import 'nothing.html' as x %}",
    ],
)
def test_a_template_reaches_nothing_but_the_page(tmp_path: Path, text: str) -> None:
    """No attribute that Python keeps for itself, no function, no file, no text that passes as HTML; told at its line."""
    problem = why_not(tmp_path, f"\n{text}")
    assert (problem.line, problem.code) == (FIRST + 1, "theme")
    assert " at 0x" not in problem.message


def test_a_template_changes_no_page(tmp_path: Path) -> None:
    assert "cannot assign" in why_not(tmp_path, "{% set page.term = 'x' %}").message


def test_how_a_drawing_is_made_is_not_the_themes_business(tmp_path: Path) -> None:
    """It prints drawings, and neither calls what draws nor looks at what is drawn from."""
    drawing = Drawing(lambda name: Drawn(f"<svg>{name}</svg>", ("words",), name, (1, 1), ""), ("a",))
    assert (
        print_with(tmp_path, "{{ page }} {{ page.svg }} {{ page.words|first }}", drawing)
        == "<svg>a</svg> <svg>a</svg> words"
    )
    for text in ("{{ page.draw('b')|first }}", "{{ page.given|first }}"):
        assert why_not(tmp_path, text, drawing).code == "theme"


def test_the_desks_templates_run_in_the_same_bounds(tmp_path: Path) -> None:
    assert print_with(tmp_path, "{{ page.term }}", part="desk") == "a term"
    assert why_not(tmp_path, "{{ page.__class__ }}", part="desk").code == "theme"
    assert why_not(tmp_path, "{% for i in range(200000) %}{% endfor %}", part="desk").code == "theme-endless"


@pytest.mark.parametrize("part", ["templates", "desk"])
def test_templates_that_come_with_the_program_run_in_the_sandbox_too(part: str) -> None:
    assert type(templates_of(load_theme("slate", [shipped.themes()]), part)) is sandbox.Sandbox


# What never ends


def doubled(first: str, again: str, times: int = 60) -> str:
    """A template that doubles a text line by line."""
    return first + "".join(again.format(new=f"a{n + 1}", old=f"a{n}") for n in range(times))


@pytest.mark.parametrize(
    "text",
    [
        "{% for i in range(1000000000) %}x{% endfor %}",
        "{% for i in range(100000000000000000000000000000) %}x{% endfor %}",
        "{% for i in range(100000) %}{% for j in range(100000) %}{% endfor %}{% endfor %}",
        "{% for i in range(100000) %}{% for j in range(100000) if false %}{% endfor %}{% endfor %}",
        "{% set r = range(100000)|list %}{% for i in r %}{{ 7 in r }}{% endfor %}",
        "{% set r = range(100000)|list %}{% for i in r %}{{ r|map('upper')|list|length }}{% endfor %}",
        "{% set r = range(100000)|list %}{% for i in r %}{{ r[1:]|length }}{% endfor %}",
        "{% macro m() %}{{ m() }}{% endmacro %}{{ m() }}",
        "{% macro m(n) %}{% if n %}{{ m(n - 1) }}{{ m(n - 1) }}{% endif %}{% endmacro %}{{ m(60) }}",
        "{% for i in range(2) recursive %}{{ loop(range(2)) }}{% endfor %}",
        "{% block b %}{{ self.b() }}{% endblock %}",
        "{% include 'own.html' %}",
        "{% extends 'own.html' %}",
        "{% set ns = namespace(x='ab') %}{% for i in range(60) %}{% set ns.x = ns.x ~ ns.x %}{% endfor %}",
        doubled("{% set a0 = 'ab' %}", "{{% set {new} = {old} ~ {old} %}}"),
        doubled("{% set a0 = 'ab' %}", "{{% set {new} = {old}|replace('a', {old}) %}}"),
        doubled("{% set a0 = 'ab' %}", "{{% set {new} = {old}|join({old}) %}}"),
        doubled("{% set a0 %}ab{% endset %}", "{{% set {new} %}}{{{{ {old} }}}}{{{{ {old} }}}}{{% endset %}}"),
        doubled(
            "{% macro a0() %}ab{% endmacro %}",
            "{{% macro {new}() %}}{{{{ {old}() }}}}{{{{ {old}() }}}}{{% endmacro %}}",
        )
        + "{{ a60() }}",
    ],
)
def test_a_template_without_end_ends_in_a_message(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    """By the same count on every machine, before it has taken much memory or time."""
    monkeypatch.setattr(sandbox, "BUDGET", sandbox.BUDGET // 100)
    problem = why_not(tmp_path, text)
    assert problem.code == "theme-endless"


@pytest.mark.parametrize(
    "text",
    [
        "{{ 'a' * 1000000000 }}",
        "{{ range(9)|list * 1000000000 }}",
        "{{ 10 ** 10 ** 10 }}",
        "{{ 9007199254740992 * 9 }}",
        "{{ '%1000000000d' % 1 }}",
        "{{ '%1000000000d' is odd }}",
        "{{ 'a'.center(1000000000) }}",
        "{{ 'a'.ljust(1000000000) }}",
        "{{ 'a'|center(1000000000) }}",
        "{{ '{:1000000000}'.format(1) }}",
        "{{ 'a'|indent(1000000000) }}",
        doubled("{% set a0 = page.term|list %}", "{{% set {new} = ({old}, {old}) %}}") + "{{ a60 == a60 }}",
        doubled("{% set a0 = page.term|list %}", "{{% set {new} = [{old}, {old}] %}}") + "{{ a60 }}",
        doubled("{% set a0 = 1 %}", "{{% set {new} = {{'a': {old}}} %}}"),
        "{% macro m() %}{{ varargs }}{% endmacro %}{{ m(page, page) }}",
        "{% for t in ((page.term|list, 1), 2) %}{{ t == t }}{% endfor %}",
    ],
)
def test_what_a_template_would_make_too_large_is_not_made(tmp_path: Path, text: str) -> None:
    """Numbers, texts and lists that one step makes: refused before it is taken."""
    assert why_not(tmp_path, text).code == "theme"


def test_each_page_has_the_whole_budget(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One page that costs most of it leaves as much to the next."""
    monkeypatch.setattr(sandbox, "BUDGET", 100_000)
    made(tmp_path, {"templates/own.html": HEAD + "{% for i in range(900) %}{% endfor %}"})
    templates = templates_of(loaded(tmp_path), "templates")
    for _ in range(5):
        printed(templates, "", "own.html", Fact("a", "b"))


# What it loads


@pytest.mark.parametrize(
    ("file", "text", "line", "column", "words"),
    [
        (
            "templates/prose.html",
            '{% extends "base.html" %}\n{% block foot %}\n<img src="https://x.example/a.png">{% endblock %}',
            3,
            11,
            "loaded from",
        ),
        ("templates/deep/er.html", "{# <iframe> #}\n\n  <iframe>", 3, 3, "<iframe>"),
        ("templates/own.html", "{% if false %}\n{%- endif -%}\n\n<p onclick=x>", 4, 12, "'onclick'"),
        ("templates/own.html", "{{ page.a }}<script>1</script>", 1, 13, "a script would run"),
        ("desk/own.html", "<svg>\n<use href='//x.example/a.svg#b'/></svg>", 2, 12, "'//x.example/a.svg#b'"),
        ("desk/desk.css", "p {}\n@import 'a.css';", 2, 1, "`@import`"),
        ("style/own.css", "p {\n  background: url(https://x.example/a.png);\n}", 2, 15, "outside of the theme"),
        ("style/own.css", "p {\n", 2, 1, "still open"),
        ("style/own.svg", "<svg>\n <script/></svg>", 2, 2, "a script would run"),
        ("style/own.js", "alert(1)", 1, 1, "holds no script"),
    ],
)
def test_what_loads_or_runs_is_refused_by_file_and_line(
    tmp_path: Path, file: str, text: str, line: int, column: int, words: str
) -> None:
    """In templates, public and private, in sheets and drawings, before a page is printed."""
    found = problems(tmp_path, {file: text})
    assert [(problem.file, problem.line, problem.code) for problem in found] == [
        (f"themes/own/{file}", line, "theme-outside")
    ]
    assert found[0].column == column
    assert words in found[0].message


def test_every_fault_is_told_at_once(tmp_path: Path) -> None:
    """Of every file, up to a number that can be read."""
    many = "<iframe>\n" * 99
    found = problems(
        tmp_path, {"style/a.css": "p {", "style/b.js": "", "templates/c.html": "{% if %}", "templates/d.html": many}
    )
    assert [problem.file.rpartition("/")[2] for problem in found[:3]] == ["a.css", "b.js", "c.html"]
    assert len(found) == 3 + 20


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("\n<p>\n{% set a = 'htt' ~ 'ps://x.example/a.png' %}\n<img src=\"{{ a }}\">", 3),
        ("\n{{ page.term }}\n<a href='{{ page.value }}'>x</a>", 2),
        ("\n\n<p class={{ page.term }}>", 2),
    ],
)
def test_what_only_a_printed_page_shows_is_refused_where_it_is_printed(tmp_path: Path, text: str, line: int) -> None:
    """Addresses put together, and records' text where it would be more than text."""
    problem = why_not(tmp_path, text, Fact("a onclick=alert(1)", "javascript:alert(1)"))
    assert (problem.line, problem.code) == (FIRST + line, "theme-outside")


def test_a_page_without_the_policy_is_refused(tmp_path: Path) -> None:
    made(tmp_path, {"templates/own.html": "<p>{{ page.term }}"})
    with pytest.raises(RecordsError, match="security policy") as refused:
        printed(templates_of(loaded(tmp_path), "templates"), "", "own.html", Fact("a", "b"))
    assert refused.value.problems[0].file == "themes/own/templates/own.html"


# What it links to


@pytest.mark.parametrize(
    "file",
    [
        "templates/own.html",
        "templates/deep",
        "templates",
        "desk/own.html",
        "desk",
        "style/own.css",
        "style/own.png",
        "style",
        "theme.yaml",
    ],
)
@pytest.mark.parametrize("lost", [False, True])
def test_no_link_leads_out_of_a_theme(tmp_path: Path, file: str, lost: bool) -> None:
    """Neither to a file nor to a folder, whether it is there or not."""
    folder = made(tmp_path, {})
    outside = tmp_path / "outside" / file
    outside.parent.mkdir(parents=True, exist_ok=True)
    if not lost:
        if "." in file:
            outside.write_text(EXTENDS, encoding="utf-8")
        else:
            outside.mkdir(exist_ok=True)
            (outside / "secret.html").write_text("SECRET", encoding="utf-8")
    (folder / file).parent.mkdir(parents=True, exist_ok=True)
    (folder / file).unlink(missing_ok=True)
    (folder / file).symlink_to(outside)
    if lost and "." not in file:
        return  # a link to nothing is no folder, and nothing is read
    (problem,) = problems(tmp_path)
    assert (problem.file, problem.code) == (f"themes/own/{file}", "theme-outside")


def test_a_theme_that_is_itself_a_link_out_of_the_collection_is_refused(tmp_path: Path) -> None:
    elsewhere, room = made(tmp_path, {}), tmp_path / "room"
    (room / "themes").mkdir(parents=True)
    (room / "themes/own").symlink_to(elsewhere)
    (problem,) = problems(room)
    assert (problem.file, problem.code) == ("themes/own", "theme-outside")
    (room / "themes/own").unlink()
    (room / "themes").rmdir()
    (room / "themes").symlink_to(tmp_path / "themes")
    assert [problem.code for problem in problems(room)] == ["theme-outside"]


def test_a_link_within_a_theme_is_followed(tmp_path: Path) -> None:
    folder = made(tmp_path, {"style/a.css": "p { color: red }"})
    (folder / "style/b.css").symlink_to("a.css")
    assert loaded(tmp_path).style["b.css"] == b"p { color: red }"


@pytest.mark.parametrize(
    ("files", "words"),
    [
        ({"templates/own.html": b"\xff"}, "not UTF-8"),
        ({"style/own.css": b"\xff"}, "not UTF-8"),
        ({"templates/own.html": "x" * 600_000}, "larger than 524288"),
        ({"style/own.png": b"x" * 5_000_000}, "larger than 4194304"),
        ({f"style/{number}.css": "" for number in range(501)}, "at most 500 files"),
        ({"templates/own.html": "{% if %}"}, "Expected an expression"),
        ({"templates/own.html": "{{ x|nothing }}"}, "No filter named 'nothing'"),
        ({"templates/own.html": "{% for a in b %}" * 30 + "{% endfor %}" * 30}, "nested too deep"),
        ({"templates/own.html": "{{ " + "(" * 5000 + "1" + ")" * 5000 + " }}"}, "nested too deep"),
    ],
)
def test_a_file_that_cannot_be_used_is_a_problem(tmp_path: Path, files: dict[str, Any], words: str) -> None:
    """Wrong letters, sizes and templates: told of the file, never a traceback."""
    (problem,) = problems(tmp_path, files)
    assert problem.code == "theme"
    assert words in problem.message


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes there")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    folder = made(tmp_path, {"templates/a.html": ""})
    os.mkfifo(folder / "templates/own.html")
    (problem,) = problems(tmp_path)
    assert "not an ordinary file" in problem.message


# What it adds to and what it replaces


def test_a_style_sheet_is_added_to_the_one_it_extends(tmp_path: Path) -> None:
    """The rules of one's own come last, so that they count."""
    made(
        tmp_path,
        {
            "style/paper.css": b"\xef\xbb\xbfp { color: red }",
            "desk/desk.css": "q { color: red }",
            "style/own.css": "r {}",
        },
    )
    theme, paper = loaded(tmp_path), load_theme("paper", [shipped.themes()])
    assert theme.style["paper.css"] == paper.style["paper.css"] + b"\np { color: red }"
    assert theme.sheets == ("colours.css", "own.css", "paper.css")
    assert DeskTheme(theme).sheets["desk.css"] == DeskTheme(paper).sheets["desk.css"] + b"\nq { color: red }"


def test_a_style_sheet_replaces_when_the_theme_says_so(tmp_path: Path) -> None:
    """Those that `replaces` names, and no other; a picture always replaces one of its name."""
    settings = EXTENDS + "replaces: [paper.css, desk.css]\n"
    made(tmp_path, {"style/paper.css": "p {}", "style/colours.css": "q {}", "desk/desk.css": "r {}"}, settings)
    theme = loaded(tmp_path)
    assert theme.style["paper.css"] == b"p {}"
    assert theme.style["colours.css"].endswith(b"\nq {}")
    assert DeskTheme(theme).sheets["desk.css"] == b"r {}"
    made(tmp_path, {"style/a.png": b"new"}, "name: own\nneeds: 1\nextends: other\n")
    made(
        tmp_path, {"style/a.png": b"old", "style/paper.css": "s {}"}, "name: other\nneeds: 1\nextends: paper\n", "other"
    )
    theme = loaded(tmp_path)
    assert theme.style["a.png"] == b"new"
    assert theme.style["paper.css"].endswith(b"\ns {}\np {}")


# Which file has the fault


def test_a_fault_is_told_of_the_file_that_has_it(tmp_path: Path) -> None:
    """The theme's own, the one that it extends, or the one that comes with the program."""
    made(tmp_path, {}, "name: own\nneeds: 1\nextends: other\n")
    made(tmp_path, {"style/own.css": "p {", "templates/own.html": HEAD + "\n{{ page.nothing }}"}, EXTENDS, "other")
    assert [(p.file, p.line) for p in problems(tmp_path)] == [("themes/other/style/own.css", 1)]
    made(tmp_path, {"style/own.css": ""}, EXTENDS, "other")
    with pytest.raises(RecordsError) as refused:
        printed(templates_of(loaded(tmp_path), "templates"), "themes/own/templates", "own.html", Fact("a", "b"))
    assert [(p.file, p.line) for p in refused.value.problems] == [("themes/other/templates/own.html", FIRST + 1)]
    with pytest.raises(RecordsError) as refused:
        printed(templates_of(loaded(tmp_path), "templates"), "themes/own/templates", "moved.html", Link("a", "b"))
    assert refused.value.problems[0].file == "themes/paper/templates/base.html"
