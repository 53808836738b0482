"""What every key, problem code, command and word means, with an example: the files beside this one, as entries that can be looked up.

A file is a topic: a list of entries. An entry has a `name`; `of`: the groups that it belongs to; `says`; and perhaps an `example`, where it
`shows`, other words that lead to it (`also`), the group whose entries it lists (`holds`), and the `number` of its section. The problem
codes join them from `problem_codes`. A docstring cites an entry as TOPIC#NAME, such as figures#founders, and a test follows each citation.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from itertools import groupby
from pathlib import Path
from textwrap import fill, indent

import yaml
from msgspec import Struct

from clutchlight.problem_codes import CODES
from clutchlight.reading.findings import slips as count_slips
from clutchlight.reading.log import ALSO

TOPICS = ("records", "figures", "outputs", "themes", "words")
PROBLEMS = "problems"
LOG_EVENT = "log event"
"""The group whose other words are read as its entries, in the log and in notes."""
WIDTH = 96


class Explanation(Struct, frozen=True):
    """One thing explained. All but the examples is text to be wrapped, in which an indented line stays as it is."""

    topic: str
    name: str
    of: tuple[str, ...] = ()
    says: str = ""
    example: str = ""
    shows: str = ""
    also: tuple[str, ...] = ()
    holds: str = ""
    number: str = ""

    @property
    def anchor(self) -> str:
        return f"{self.topic}#{_folded(self.name)}"

    @property
    def words(self) -> tuple[str, ...]:
        """What leads to this entry."""
        return tuple(filter(None, (self.name, *self.also, self.holds, self.number, self.anchor)))


@cache
def entries() -> tuple[Explanation, ...]:
    """All of the reference, topic by topic, in the order written."""
    return (*(entry for topic in TOPICS for entry in _written(topic)), *_problems())


def _written(topic: str) -> Iterator[Explanation]:
    text = Path(__file__).with_name(f"{topic}.yaml").read_text(encoding="utf-8")
    for fields in yaml.load(text, Loader=yaml.CBaseLoader):  # noqa: S506 - texts only: no word means true
        for several in ("of", "also"):
            fields[several] = tuple(fields.get(several, ()))
        if LOG_EVENT in fields["of"] and (words := [word for word, event in ALSO.items() if event == fields["name"]]):
            fields["also"] = tuple(words)
            fields["says"] += f"\n\nAlso understood: {', '.join(words)}."
        yield Explanation(topic, **fields)


def _problems() -> Iterator[Explanation]:
    yield Explanation(
        PROBLEMS, PROBLEMS, says="What can be wrong, by its code in square brackets.", holds=PROBLEMS, also=("codes",)
    )
    for about in dict.fromkeys(code.about for code in CODES.values()):
        yield Explanation(PROBLEMS, about, (PROBLEMS,), holds=about)
    for code in CODES.values():
        says = f"{code.level.capitalize()}: {code.wrong}\n\nWhat to do: {code.remedy}"
        yield Explanation(PROBLEMS, code.name, (code.about,), says)


def find(word: str) -> tuple[Explanation, ...]:
    """Every entry that a word leads to, whatever its case, first what is called so; `pos het`, `pos-het` and `pos_het` are one word.

    Of several that are no word together, such as `66% het`, each.
    """
    found = sorted(_by_word().get(_folded(word), ()), key=lambda entry: _folded(entry.name) != _folded(word))
    apart = word.split() if not found and " " in word.strip() else ()
    return (*found, *dict.fromkeys(entry for one in apart for entry in find(one)))


@cache
def _by_word() -> Mapping[str, list[Explanation]]:
    """The entries that each word leads to, in the order written."""
    found: dict[str, list[Explanation]] = {}
    for entry in entries():
        for word in dict.fromkeys(map(_folded, entry.words)):
            found.setdefault(word, []).append(entry)
    return found


@cache
def meaning(word: str) -> str:
    """What a word of the trade means, in the words of a page: the first paragraph of its entry."""
    (entry,) = (entry for entry in _written("words") if entry.name == word)
    return " ".join(entry.says.split("\n\n")[0].split())


def slips(word: str) -> tuple[str, ...]:
    """The words of the reference that differ by one slip of the finger."""
    known = sorted({meant for entry in entries() for meant in entry.words})
    return tuple(meant for meant in known if count_slips(_folded(word), _folded(meant)) <= 1)


def _folded(word: str) -> str:
    return re.sub(r"[\s_-]+", "-", word.casefold().strip()).rstrip("/")


def overview() -> str:
    """The topics, each with the first sentence of what it says."""
    topics = ((entry, re.match(r".*?\.(?=\s|$)", entry.says)) for entry in entries() if not entry.of)
    return "\n".join(f"{entry.name:10}{first[0] if first else ''}" for entry, first in topics)


def in_text(found: Iterable[Explanation]) -> str:
    """Entries for a terminal."""
    return "\n\n".join(_in_text(entry) for entry in found)


def _in_text(entry: Explanation) -> str:
    heading = f"{entry.number} {entry.name}".lstrip() + (f" ({', '.join(entry.of)})" if entry.of else "")
    parts = (
        _wrapped(entry.says),
        entry.example and "For example:\n" + indent(entry.example.rstrip(), "    "),
        entry.shows and _wrapped(f"Where it shows: {entry.shows}"),
        _listed(entry),
    )
    return f"{heading}\n" + indent("\n\n".join(filter(None, parts)), "  ")


def _listed(group: Explanation) -> str:
    """The entries that a group holds: by name, then a line for each that holds others in turn."""
    held = _held(group)
    lines = [", ".join(entry.name for entry in held if not entry.holds)]
    for entry in held:
        if entry.holds:
            lines.append(f"{entry.number} {entry.name}: {', '.join(one.name for one in _held(entry))}".lstrip())
    return "\n".join(fill(line, WIDTH, subsequent_indent="  ", break_on_hyphens=False) for line in lines if line)


def _held(group: Explanation) -> list[Explanation]:
    return [entry for entry in entries() if entry.topic == group.topic and group.holds in entry.of]


def _wrapped(text: str) -> str:
    """Paragraphs filled anew; indented lines, such as formulas, and empty ones as they are."""
    found: list[str] = []
    for as_it_is, together in groupby(text.splitlines(), lambda line: not line or line.startswith(" ")):
        lines = tuple(together)
        found += lines if as_it_is else (fill(" ".join(lines), WIDTH, break_on_hyphens=False),)
    return "\n".join(found)
