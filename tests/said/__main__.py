"""Renews what is recorded of the gallery's collections: `python -m tests.said [NAME ...]`; all of them without a name.

Afterwards read `git diff tests/said` aloud: each changed sentence has to be true.
"""

from __future__ import annotations

import sys

from tests.compiled import keep_compiled
from tests.said.reading_aloud import collections, said


def main(names: list[str]) -> None:
    for asked in collections():
        if not names or asked.name in names:
            folder = asked.folder / "said"
            folder.mkdir(exist_ok=True)
            for name, text in said(asked).items():
                (folder / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    keep_compiled()
    main(sys.argv[1:])
