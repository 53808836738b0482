"""The order in which people list ids."""

from __future__ import annotations

import re
from functools import lru_cache

Natural = tuple[tuple[int, int, str], ...]


@lru_cache(maxsize=4096)
def natural(name: str) -> Natural:
    """A sort key by which `C24-03-2` comes before `C24-03-10`."""
    pieces = re.findall(r"[0-9]+|[^0-9]+", name)
    return tuple((0, int(piece), piece) if piece[0] in "0123456789" else (1, 0, piece) for piece in pieces)
