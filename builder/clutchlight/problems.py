"""What can be wrong with what a person wrote, as a value: where, which rule, what to do.

Every error that a user can cause is a `Problem`. They are collected, sorted and shown all at once; `RecordsError` is the
one exception that carries them outwards. Nothing here reads a file or prints.
"""

from __future__ import annotations

import errno
import shlex
import sys
import unicodedata
from collections.abc import Iterable
from pathlib import Path
from typing import Literal

from msgspec import Struct

Level = Literal["error", "warning"]


class Place(Struct, frozen=True, order=True):
    """Where something was written: file relative to the collection, line and column counted from 1.

    Line 0: no line of a file, but a whole folder or the command line.
    """

    file: str
    line: int = 1
    column: int = 1


COMMAND_LINE = Place("what you typed", 0, 0)
"""Where a mistake in what was typed after a command's name is told."""


class Problem(Struct, frozen=True, order=True):
    """One mistake, at one place, under one documented code; the message says what is wrong, then what to do."""

    file: str
    line: int
    column: int
    code: str
    message: str
    level: Level = "error"

    @classmethod
    def at(cls, place: Place, code: str, message: str, level: Level = "error") -> Problem:
        return cls(place.file, place.line, place.column, code, message, level)

    def __str__(self) -> str:
        where = visible(self.file) + (f":{self.line}:{self.column}" if self.line else "")
        return f"{where}: {self.level}: {visible(self.message)} [{self.code}]"

    def as_json(self) -> dict[str, str | int]:
        return {key: getattr(self, key) for key in ("file", "line", "column", "level", "code", "message")}


class RecordsError(Exception):
    """The records hold at least one error; `problems` lists all of them, sorted."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = in_order(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))

    @classmethod
    def at(cls, place: Place, code: str, message: str) -> RecordsError:
        """With one problem."""
        return cls([Problem.at(place, code, message)])


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Problems without repeats, by file, line, column, code and message."""
    return tuple(sorted(dict.fromkeys(problems)))


def errors_in(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    return tuple(problem for problem in problems if problem.level == "error")


_REFUSALS = {
    errno.ENOSPC: "the disk is full; free some space, then try again",
    errno.EDQUOT: "your quota of disk space is used up; free some space, then try again",
    errno.EFBIG: "the file would be larger than this process, or this disk, may write; raise the limit (`ulimit -f`)",
    errno.EMFILE: "this process has as many files open as it may; raise the limit (`ulimit -n`)",
    errno.ENFILE: "this computer has as many files open as it can; close other programs, then try again",
    errno.ENOMEM: "no memory is left; close other programs, or raise the limit (`ulimit -a` shows it)",
    errno.EROFS: "this disk can only be read; choose a folder on another",
    errno.EIO: "the disk does not answer as it should; copy what is on it to another before you go on",
    errno.ENAMETOOLONG: "this name is too long; choose a shorter one",
}


def system_says(error: OSError, otherwise: str = "look at its permissions") -> str:
    """Why the system refuses, and what to do: what it is, not what it mostly is."""
    known = _REFUSALS.get(error.errno or 0)
    return known or f"{(error.strerror or str(error)).lower()}; {otherwise}"


def for_shell(word: Path | str) -> str:
    """A word of a command as it can be typed: in quotation marks where a shell would take something in it for more than text."""
    said, marked = str(word), shlex.quote(str(word))
    return '"{}"'.format(said.replace('"', r"\"")) if marked != said and sys.platform == "win32" else marked


def visible(text: str) -> str:
    """The text with control, format and line-separating characters escaped, so that a terminal shows what stands there."""
    return "".join(char if _shows(char) else char.encode("unicode_escape").decode("ascii") for char in text)


def _shows(char: str) -> bool:
    return char == " " or unicodedata.category(char) not in {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
