"""Where compiled code is kept when Python is told to keep none.

Each process would else compile the program, its templates and the layout engine anew: three seconds, in hundreds of tests. They are kept in
a folder of the tests' own.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

FOLDER = Path(__file__).resolve().parent.parent / ".pytest_cache/compiled"


def keep_compiled() -> None:
    if sys.dont_write_bytecode:
        sys.dont_write_bytecode = False
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        sys.pycache_prefix = os.environ["PYTHONPYCACHEPREFIX"] = str(FOLDER)
