"""What a theme of somebody's own must not hold, found before a page is printed: every fault at once, in the file that has it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from itertools import islice

from jinja2 import nodes
from jinja2.exceptions import TemplateSyntaxError

from clutchlight.problems import Place, Problem
from clutchlight.reading.findings import or_nearest
from clutchlight.site.outside import UNKNOWN, Fault, drawing_faults, markup_faults, sheet_faults
from clutchlight.site.sandbox import OPTIONS, BoundedSandbox
from clutchlight.site.theme import Layer, Theme

MOST_NAMED = 20
"""Faults that are named of one file."""
TEMPLATES = ("templates", "desk")


def faults_of(theme: Theme) -> tuple[Problem, ...]:
    """All faults of those of its layers that did not come with this program."""
    found: list[Problem] = []
    for layer in theme.layers:
        if not layer.ours:
            for file in sorted(layer.files):
                found += islice(_of_file(layer, file), MOST_NAMED)
    if not found:  # else some cannot be taken apart
        for part in TEMPLATES:
            found += _missing(theme, part)
    return tuple(found)


def _of_file(layer: Layer, file: str) -> Iterator[Problem]:
    kind = file.rpartition(".")[2]
    if kind == "js":
        yield _outside(layer.place(file), "a theme holds no script; leave it out, and style the pages with CSS")
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
        yield _outside(layer.place(file, text.count("\n", 0, at) + 1, at - start + 1), words)


def _outside(place: Place, words: str) -> Problem:
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


class _Part:
    """The templates of one folder of a theme, taken apart; `shadowed` holds those that an own one of the same name goes before."""

    def __init__(self, theme: Theme, part: str) -> None:
        environment = BoundedSandbox(**OPTIONS)
        self.part = part
        self.layers = theme.sources(part)
        self.trees: dict[str, nodes.Template] = {}
        self.shadowed: dict[str, nodes.Template] = {}
        for layer in theme.layers:
            for file, content in layer.files.items():
                folder, _, name = file.partition("/")
                if folder == part and name.endswith(".html"):
                    known = self.shadowed if name in self.trees else self.trees
                    known.setdefault(name, environment.parse(content.decode("utf-8-sig")))

    def place(self, name: str, line: int = 1) -> Place:
        return self.layers[name].place(f"{self.part}/{name}", line)

    def extended(self, name: str) -> Iterator[str]:
        """The templates that one extends, nearest first."""
        seen = {name}
        while (above := _extends(self.trees[name])) in self.trees and above not in seen:
            name = str(above)
            seen.add(name)
            yield name


def _missing(theme: Theme, part: str) -> Iterator[Problem]:
    """What one template expects of another and does not find: macros of a file that was replaced, and blocks that nothing prints."""
    found = _Part(theme, part)
    for name, before in found.shadowed.items():
        if not found.layers[name].ours:
            for macro in sorted(_macros(before) - _macros(found.trees[name])):
                words = f"the macro '{macro}' is missing here, and other templates use it; copy it from the file that this one replaces"
                yield Problem.at(found.place(name), "theme", words)
    lost: dict[tuple[str, str], list[str]] = {}
    for name, tree in found.trees.items():
        above = list(found.extended(name))
        printed = {block.name for other in above for block in found.trees[other].find_all(nodes.Block)}
        for block in _outer_blocks(tree) if above else ():
            if block.name in printed:
                continue
            dropped = [
                other for other in above if other in found.shadowed and block.name in _blocks(found.shadowed[other])
            ]
            if dropped and _prints(block):
                lost.setdefault((dropped[0], block.name), []).append(name)
            elif not dropped and not found.layers[name].ours:
                hint = or_nearest(block.name, printed, f"; the blocks are {', '.join(sorted(printed))}")
                words = f"nothing prints the block '{block.name}': no template that this one extends has it{hint}"
                yield Problem.at(found.place(name, block.lineno), "theme", words)
    for (name, block_name), users in lost.items():
        words = f"the block '{block_name}' is missing here, so that nothing prints what {users[0]} puts into it; add it"
        yield Problem.at(found.place(name), "theme", words)


def _extends(tree: nodes.Template) -> object:
    extends = tree.find(nodes.Extends)
    return extends.template.value if extends is not None and isinstance(extends.template, nodes.Const) else None


def _macros(tree: nodes.Template) -> set[str]:
    return {node.name for node in tree.body if isinstance(node, nodes.Macro)}


def _blocks(tree: nodes.Template) -> set[str]:
    return {block.name for block in tree.find_all(nodes.Block)}


def _prints(block: nodes.Block) -> bool:
    """Whether there is more in it than a word for the style."""
    return any(
        not isinstance(item, nodes.TemplateData) for output in block.find_all(nodes.Output) for item in output.nodes
    )


def _outer_blocks(node: nodes.Node) -> Iterator[nodes.Block]:
    for child in node.iter_child_nodes():
        if isinstance(child, nodes.Block):
            yield child
        else:
            yield from _outer_blocks(child)
