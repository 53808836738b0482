"""Everything that can be said is on record: a sentence that changes anywhere changes a file here."""

from __future__ import annotations

import pytest
from tests.said.reading_aloud import OUTPUTS, Asked, collections, never, said

LEAST = 60


def by_name(asked: Asked) -> str:
    return asked.name


@pytest.mark.parametrize("asked", collections(), ids=by_name)
def test_what_is_said_is_what_is_recorded(asked: Asked) -> None:
    """After a change that is meant: `python -m tests.said`, then read the difference aloud. Lines of `never.txt` are never said."""
    found = dict(said(asked))
    assert [(name, words) for name, text in found.items() for words in never(asked, name) if words in text] == []
    assert {name: (asked.folder / "said" / name).read_text(encoding="utf-8") for name in OUTPUTS} == found


def test_the_gallery_is_large_enough_to_guard_what_follows() -> None:
    """Each collection says what it is there to show."""
    assert len(collections()) >= LEAST
    assert all(asked.shows.strip() for asked in collections())
