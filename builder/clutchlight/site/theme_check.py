"""What a theme of somebody's own must not hold: what would run in a page, or load from elsewhere. Every fault at once, in its file.

Reads      more than a browser would rather than less. Whatever begins like a tag counts as one, in a comment or a value too, since every
           tag begins so; what follows is taken apart as the HTML standard takes a tag apart (13.2.5, tokenization). Sheets are read by a
           tokenizer of CSS, escapes included.
Unknown    in a template, what an expression will print: `UNKNOWN` stands for it, and hides nothing that stands before it. The page that
           was printed is read again (`page_faults`).
Allows     addresses on the site itself, and links to other places, which load nothing until somebody follows them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from html import unescape
from itertools import islice
from typing import Any, NamedTuple

import tinycss2
from jinja2.exceptions import TemplateSyntaxError

from clutchlight.problems import Place, Problem, RecordsError
from clutchlight.site.sandbox import OPTIONS, BoundedSandbox
from clutchlight.site.theme import Layer, Theme

MOST_NAMED = 20
"""Faults that are named of one file."""


def checked(theme: Theme) -> Theme:
    """The theme. Raises RecordsError for all faults of those of its layers that did not come with this program."""
    files = [(layer, file) for layer in theme.layers if not layer.ours for file in sorted(layer.files)]
    found = [fault for layer, file in files for fault in islice(_of_file(layer, file), MOST_NAMED)]
    if found:
        raise RecordsError(found)
    return theme


def _of_file(layer: Layer, file: str) -> Iterator[Problem]:
    kind = file.rpartition(".")[2]
    if kind == "js":
        yield _fault(layer.place(file), "a theme holds no script; leave it out, and style the pages with CSS")
    if kind not in ("css", "svg", "html"):
        return
    try:
        text = layer.files[file].decode("utf-8-sig")
    except UnicodeDecodeError:
        yield Problem.at(
            layer.place(file), "theme", "this is not UTF-8 text; save the file again with the encoding UTF-8"
        )
        return
    text = re.sub(r"\r\n?", "\n", text)
    if kind == "html":
        yield from _of_template(layer, file, text)
    else:
        yield from _placed(layer, file, text, sheet_faults(text) if kind == "css" else drawing_faults(text))


def _placed(layer: Layer, file: str, text: str, faults: Iterable[Fault]) -> Iterator[Problem]:
    for at, words in faults:
        start = text.rfind("\n", 0, at) + 1
        yield _fault(layer.place(file, text.count("\n", 0, at) + 1, at - start + 1), words)


def _fault(place: Place, words: str) -> Problem:
    return Problem.at(place, "theme-outside", words)


# Templates


def _of_template(layer: Layer, file: str, text: str) -> Iterator[Problem]:
    environment = BoundedSandbox(**OPTIONS)
    try:
        environment.compile(text, file, file)
        yield from _placed(layer, file, text, markup_faults(_as_written(environment, text)))
    except TemplateSyntaxError as mistake:
        words = f"the template cannot be used: {mistake.message}; see the page contract"
        yield Problem.at(layer.place(file, mistake.lineno), "theme", words)
    except (SyntaxError, RecursionError, ValueError) as mistake:
        words = f"the template cannot be used: it is nested too deep ({type(mistake).__name__}); write it flatter"
        yield Problem.at(layer.place(file), "theme", words)


def _as_written(environment: BoundedSandbox, text: str) -> str:
    """The HTML that stands in a template: `UNKNOWN` for what it prints, and blanks for the rest, so that everything keeps its place."""
    shown = [char if char == "\n" else " " for char in text]
    at = 0
    for _, kind, value in environment.lex(text):
        start = text.index(value, at) if value.strip() else at
        if kind == "data" and value.strip():
            shown[start : start + len(value)] = value
        elif kind == "variable_begin":
            shown[start] = UNKNOWN
        if value.strip():
            at = start + len(value)
    return "".join(shown)


UNKNOWN = "\ufffc"
"""Stands in the text of a template for what an expression prints."""


class Fault(NamedTuple):
    """Something that must not be there: where it stands in the text, what it is, and what to do."""

    at: int
    words: str


_MOST_ATTRIBUTES = 100
_SPACE = "\t\n\f\r "
_TAG = re.compile(f"<([a-zA-Z][^{_SPACE}/>]*)")
_ATTRIBUTE = re.compile(
    rf"[{_SPACE}/]*(?P<name>=?[^{_SPACE}/>=]+|=)"
    rf"(?:[{_SPACE}]*=[{_SPACE}]*(?P<value>\"[^\"]*\"|'[^']*'|[^{_SPACE}>]*))?"
)
_UNSEEN = re.compile(r"[\x00-\x20]")
_SCHEME = re.compile(r"([a-zA-Z][a-zA-Z0-9+.\-]*):")
_ELSEWHERE_IN_TEXT = re.compile(r"\s*(?:[a-zA-Z][a-zA-Z0-9+.\-]*://|//[^\s/]|data:|javascript:)", re.IGNORECASE)
_MORE_THAN_WORDS = re.compile(r"[(\\@]")
_NOTHING_INSIDE = re.compile(r"[^<>]*>\s*</script", re.IGNORECASE)
_STYLE_CONTENT = re.compile(r"[^<>]*>(.*?)(?=</?style|\Z)", re.IGNORECASE | re.DOTALL)
_REFRESH = re.compile(r"[^;,]*[;,]?\s*(?:url\s*=\s*)?[\"']?(.*)", re.IGNORECASE | re.DOTALL)
_XML = re.compile(r"<!DOCTYPE|<!ENTITY|<\?xml-stylesheet", re.IGNORECASE)
_POLICY = re.compile(
    r"\s*<!doctype html>\s*<html(?:\s[^<>]*)?>\s*<head>\s*<meta charset=\"?utf-8\"?>\s*"
    r"<meta http-equiv=\"Content-Security-Policy\" content=\"([^\"<>]*)\">",
    re.IGNORECASE,
)
_STRICT = {"default-src": ("'none'",), "base-uri": ("'none'",), "form-action": ("'none'",)}
_SOURCES = re.compile(r"'none'|'self'|'sha256-[A-Za-z0-9+/=]+'")

_REFUSED = {
    **dict.fromkeys(
        ("iframe", "frame", "frameset", "object", "embed", "applet", "portal", "fencedframe"), "shows another page"
    ),
    **dict.fromkeys(("animate", "animatemotion", "animatetransform", "set"), "can change where a link leads"),
    "base": "changes where all links lead",
    "foreignobject": "is a page inside a drawing",
}
_ADDRESSES = re.compile(
    "src|href|poster|data|background|action|formaction|ping|manifest|codebase|classid|archive|code|lowsrc|dynsrc|longdesc"
    "|usemap|profile|icon|base|attributionsrc|from|to|by|values"
)
_STYLED = re.compile("style|fill|stroke|filter|mask|clip-path|cursor|marker(-start|-mid|-end)?")
_LINKS = ("http", "https", "mailto", "tel")
_LOADING_NOTHING = frozenset(("canonical", "alternate", "author", "license", "help", "me", "prev", "next"))
_LOADING_FUNCTIONS = re.compile(r"url|src|image|.*image-set|.*cross-fade", re.IGNORECASE)
_IN_THEME = "; keep what a page shows in the theme's own style/"


def page_faults(text: str, script: str = "") -> Iterator[Fault]:
    """Of a page as it was printed: its policy too, without which a browser would do more than what is looked for here.

    `script`: the program's own element that the page may hold.
    """
    if script:
        text = text.replace(script, " " * len(script), 1)
    head = _POLICY.match(text)
    if head is None or not _is_strict(unescape(head[1])):
        yield Fault(
            0,
            "a page must begin with the security policy, as base.html of the theme 'paper' does, and not loosen it; extend base.html,"
            " or copy its first lines",
        )
    for tag in _TAG.finditer(text):
        for name, _, at in _attributes(text, tag.end()):
            if name == "<":
                yield Fault(
                    at,
                    f"a tag begins inside another, or has over {_MOST_ATTRIBUTES} attributes; close the one before it",
                )
    yield from markup_faults(text)


def markup_faults(text: str) -> Iterator[Fault]:
    """Of HTML, or of the text of a template with `UNKNOWN` for what it prints."""
    for tag in _TAG.finditer(text):
        name = tag[1].lower().rpartition(":")[2]
        attributes = list(_attributes(text, tag.end()))
        if name in _REFUSED:
            yield Fault(tag.start(), f"<{name}> {_REFUSED[name]}; leave it out")
        if name == "script" and not (_written(attributes, "src") and _NOTHING_INSIDE.match(text, tag.end())):
            yield Fault(tag.start(), "a script would run in the page; a theme is a look, so leave it out")
        if name == "style":
            content = _STYLE_CONTENT.match(text, tag.end())
            if content is None:
                yield Fault(tag.start(), "the tag <style> is not closed; close it")
            else:
                yield from (Fault(content.start(1) + at, words) for at, words in sheet_faults(content[1]))
        for attribute, value, at in attributes:
            yield from _attribute_faults(name, attribute, value, at, attributes)


def drawing_faults(text: str) -> Iterator[Fault]:
    """Of a file of SVG."""
    for found in _XML.finditer(text):
        yield Fault(found.start(), f"{found[0]} can hide what is drawn; save the drawing as plain SVG")
    yield from markup_faults(text)


def sheet_faults(text: str) -> Iterator[Fault]:
    """Of CSS, a whole sheet or one value. One that leaves something open would swallow the sheet that is added to it."""
    starts = [0, *(line.end() for line in re.finditer(r"\r\n|[\n\r\f]", text)), len(text)]
    tokens = tinycss2.parse_component_value_list(f"{text}\n}}", skip_comments=True)
    one_too_many = tokens[-1].type == "error" and tokens[-1].kind == "}"
    if one_too_many:
        del tokens[-1]
    else:
        yield Fault(len(text), "a bracket, a quotation mark or a comment is still open at the end; close it")
    waiting: list[tuple[Sequence[Any], bool]] = [(tokens, False)]
    found: list[Fault] = []
    while waiting:
        tokens, loading = waiting.pop()
        for token in tokens:
            at = starts[token.source_line - 1] + token.source_column - 1
            words = _token_fault(token, loading)
            if words is not None:
                found.append(Fault(at, words))
            inside = getattr(token, "arguments", None) or getattr(token, "content", None)
            if inside:
                loads = token.type == "function" and _LOADING_FUNCTIONS.fullmatch(token.name) is not None
                waiting.append((inside, loading or loads))
    yield from sorted(found)


def _token_fault(token: Any, loading: bool) -> str | None:
    if token.type == "error":
        return (
            f"the sheet cannot be read here ({token.message}); look for a bracket or quotation mark too many or too few"
        )
    if token.type == "at-keyword" and token.lower_value == "import":
        return "`@import` loads another sheet; leave it out: every sheet in style/ is part of the pages"
    if token.type == "url" or (token.type == "string" and loading):
        if _elsewhere(token.value) or _climbs(token.value):
            return f"'{_short(token.value)}' lies outside of the theme{_IN_THEME}"
    elif token.type == "string" and _ELSEWHERE_IN_TEXT.match(token.value):
        return f"'{_short(token.value)}' is an address elsewhere{_IN_THEME}"
    return None


def _attributes(text: str, start: int) -> Iterator[tuple[str, str, int]]:
    """Name, value and the place of the value, of each attribute of the tag whose name ends at `start`, up to where another tag begins.

    That, and a tag with more attributes than any has, is told by the name `<`.
    """
    for _ in range(_MOST_ATTRIBUTES):
        found = _ATTRIBUTE.match(text, start)
        if found is None:
            return
        value = found["value"] or ""
        quoted = value[:1] in ("'", '"') and len(value) > 1
        at = found.start("value") + quoted if found["value"] is not None else found.start("name")
        yield found["name"].lower().rpartition(":")[2], unescape(value[1:-1] if quoted else value), at
        if "<" in found["name"] or ("<" in value and not quoted):
            break
        start = found.end()
    yield "<", "", start


def _attribute_faults(
    tag: str, name: str, value: str, at: int, attributes: Sequence[tuple[str, str, int]]
) -> Iterable[Fault]:
    if name.startswith("on"):
        return [Fault(at, f"'{name}' would run a program in the page; a theme is a look, so leave it out")]
    if name == "srcdoc":
        return [Fault(at, f"'{name}' is a page inside the page; leave it out")]
    if _STYLED.fullmatch(name):
        return [Fault(at, words) for _, words in sheet_faults(value)] if _MORE_THAN_WORDS.search(value) else []
    if name in ("srcset", "imagesrcset"):
        addresses = re.split(rf"[{_SPACE},]+", value)
    elif tag == "meta" and name == "http-equiv":
        kind = value.strip().lower()
        known = kind in ("content-security-policy", "refresh") or UNKNOWN in kind
        return [] if known else [Fault(at, f"a page must not set '{_short(value)}'; leave it out")]
    elif tag == "meta" and name == "content" and _written(attributes, "http-equiv").strip().lower() == "refresh":
        found = _REFRESH.match(value)
        addresses = [found[1]] if found else []
    elif _ADDRESSES.fullmatch(name):
        if tag in ("a", "area") and name == "href":
            if _scheme(value) in (None, *_LINKS):
                return []
            return [Fault(at, f"a link must not lead to '{_short(value)}'; link to a page, a mail address or a number")]
        if tag == "link" and name == "href" and _loads_nothing(_written(attributes, "rel")):
            return []
        addresses = value.split() if name == "ping" else [value]
    else:
        return []
    return [
        Fault(at, f"'{_short(address)}' would be loaded from elsewhere{_IN_THEME}")
        for address in addresses
        if _elsewhere(address)
    ]


def _written(attributes: Sequence[tuple[str, str, int]], name: str) -> str:
    return " ".join(value for attribute, value, _ in attributes if attribute == name)


def _loads_nothing(relations: str) -> bool:
    """A link that tells of something; also one whose relation is not known yet."""
    words = relations.lower().split()
    return UNKNOWN in relations or ("stylesheet" not in words and _LOADING_NOTHING.issuperset(words))


def _plain(address: str) -> str:
    """An address as a browser reads it."""
    return _UNSEEN.sub("", address).replace("\\", "/")


def _scheme(address: str) -> str | None:
    found = _SCHEME.match(_plain(address))
    return found[1].lower() if found else None


def _elsewhere(address: str) -> bool:
    return _scheme(address) is not None or _plain(address).startswith("//")


def _climbs(address: str) -> bool:
    plain = _plain(address)
    return plain.startswith("/") or ".." in re.split(r"[/?#]", plain.replace("%2e", ".").replace("%2E", "."))


def _is_strict(policy: str) -> bool:
    """Nothing but what the site holds itself, and the three that forbid what is not named."""
    said = [directive.split() or [""] for directive in policy.split(";")]
    directives = {name.lower(): tuple(sources) for name, *sources in reversed(said)}  # of two the first counts
    every = (source for sources in directives.values() for source in sources)
    return all(_SOURCES.fullmatch(source) for source in every) and all(
        directives.get(name) == sources for name, sources in _STRICT.items()
    )


def _short(text: str) -> str:
    plain = " ".join(text.replace(UNKNOWN, "…").split())
    return plain if len(plain) <= 80 else f"{plain[:79]}…"
