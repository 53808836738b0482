"""Collects what is found wrong while records are read, under documented codes only."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

from clutchlight.model import When
from clutchlight.problem_codes import CODES
from clutchlight.problems import Place, Problem

MAX_SEARCHES = 300
MAX_MESSAGE = 800
MAX_WORD = 80


class Findings:
    """Problems in the order found, and every date met, so that dates in the future can be told apart at the end."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []
        self.dates: list[tuple[Place, When]] = []
        self.searches_left = MAX_SEARCHES

    def report(self, place: Place, code: str, message: str) -> None:
        """Adds a problem; its level is the one documented for its code."""
        if len(message) > MAX_MESSAGE:
            message = f"{message[: MAX_MESSAGE // 2]} … {message[-MAX_MESSAGE // 2 :]}"
        self.problems.append(Problem.at(place, code, message, CODES[code].level))

    def nearest(self, word: str, known: Iterable[str]) -> str | None:
        """As `nearest`, for long lists: after many searches nothing is near, since each of them takes a while."""
        self.searches_left -= 1
        return nearest(word, known) if self.searches_left >= 0 else None

    @property
    def errors(self) -> int:
        return sum(problem.level == "error" for problem in self.problems)


def nearest(word: str, known: Iterable[str], cutoff: float = 0.6) -> str | None:
    """The known word that looks most like `word`, whatever the case; ties go to the first in order."""
    if len(word) > MAX_WORD:
        return None
    folded: dict[str, str] = {}
    for name in sorted(known):
        folded.setdefault(name.casefold(), name)
    found = get_close_matches(word.casefold(), folded, n=1, cutoff=cutoff)
    return folded[found[0]] if found else None


def or_nearest(word: str, known: Iterable[str], otherwise: str = "") -> str:
    """The end of a message: "; the nearest is 'X'", or what to say when nothing is near."""
    found = nearest(word, known)
    return f"; the nearest is '{found}'" if found else otherwise


def in_words(names: Iterable[str], last: str = "or") -> str:
    """'a', 'b' or 'c'."""
    quoted = [f"'{name}'" for name in names]
    if len(quoted) < 2:
        return "".join(quoted)
    return f"{', '.join(quoted[:-1])} {last} {quoted[-1]}"
