"""Collects what is found wrong while records are read, under documented codes only."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date
from operator import eq
from types import MappingProxyType
from unicodedata import combining, normalize

from clutchlight.model import When
from clutchlight.problem_codes import CODES
from clutchlight.problems import Place, Problem

MAX_SEARCHES = 300
MAX_MESSAGE = 800
MAX_WORD = 80
LONG_WORD = 8

_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ø": "oe", "æ": "ae", "å": "aa"})
_LEADING_ZEROS = re.compile(r"(?<![0-9])0+(?=[0-9])")


class Findings:
    """Problems in the order found, and every date met, so that dates in the future can be told apart at the end.

    `today`: the day that is asked by; None where nobody asks what lies in the future.
    """

    def __init__(self, today: date | None = None) -> None:
        self.problems: list[Problem] = []
        self.dates: list[tuple[Place, When]] = []
        self.today = today
        self.denied: dict[Place, tuple[When, list[Place]]] = {}
        self.searches_left = MAX_SEARCHES

    def in_future(self, when: When | None) -> bool:
        return self.today is not None and when is not None and when.first > self.today

    def deny(self, when: When, place: Place, other: Place) -> None:
        """Keeps that a date in the future is denied by another record, for one problem at the date and none at the others."""
        self.denied.setdefault(place, (when, []))[1].append(other)

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


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that slips of the finger may have made into `word`, whatever the case; None when there is none.

    One slip, in a long word two. An id that differs in leading zeros only, as M-5 from M-05, is nearest of all, and a name in the marks
    on its letters only, as Muesli or Musli from Müsli. Among words as near: one
    with two neighbours changed over, as M-02 for M-20, then the one with most characters at the same place, then of the same length,
    then the first in order.
    """
    written = word.casefold()
    numbered = any(char.isdigit() for char in written)
    if len(written) > MAX_WORD or (len(written) < 3 and not numbered):
        return None
    allowed = 2 if len(written) >= LONG_WORD and not numbered else 1
    bare, unmarked = _LEADING_ZEROS.sub("", written), _unmarked(written)
    near: list[tuple[tuple[int, int, bool], str]] = []
    for name in sorted(known):
        folded = name.casefold()
        if (numbered and _LEADING_ZEROS.sub("", folded) == bare) or not _unmarked(folded).isdisjoint(unmarked):
            return name
        if abs(len(folded) - len(written)) > allowed or (count := slips(folded, written)) > allowed:
            continue
        at_place = len(written) if sorted(folded) == sorted(written) else sum(map(eq, folded, written))
        near.append(((-count, at_place, len(folded) == len(written)), name))
    return max(near, key=lambda one: one[0])[1] if near else None


def _unmarked(word: str) -> set[str]:
    """A word as it is typed where its letters have no marks: "musli" and "muesli" for "müsli"."""
    if word.isascii():
        return {word}
    return {
        "".join(letter for letter in normalize("NFD", text) if not combining(letter))
        for text in (word, word.translate(_UMLAUTS))
    }


def slips(one: str, other: str) -> int:
    """How many slips of the finger part two words: a character too many, missing, another one, or changed over with its neighbour.

    >>> slips("banana", "bananna"), slips("keeper", "breeder"), slips("m-02", "m-20")
    (1, 3, 1)
    """
    before, row = list[int](), list(range(len(other) + 1))
    for at, char in enumerate(one, 1):
        last, before, row = before, row, [at]
        for to, beside in enumerate(other, 1):
            found = min(before[to] + 1, row[-1] + 1, before[to - 1] + (char != beside))
            if at > 1 and to > 1 and (char, one[at - 2]) == (other[to - 2], beside):
                found = min(found, last[to - 2] + 1)
            row.append(found)
    return row[-1]


def or_nearest(
    word: str, known: Iterable[str], otherwise: str = "", meant: Mapping[str, str] = MappingProxyType({})
) -> str:
    """The end of a message: "; the nearest is 'X'", or what to say when nothing is near. `meant`: other names of the known ones."""
    found = nearest(word, known)
    said = f"the nearest is '{meant.get(found, found)}'" if found else otherwise
    return said and f"; {said}"


def in_words(names: Iterable[str], last: str = "or") -> str:
    """'a', 'b' or 'c'."""
    quoted = [f"'{name}'" for name in names]
    if len(quoted) < 2:
        return "".join(quoted)
    return f"{', '.join(quoted[:-1])} {last} {quoted[-1]}"
