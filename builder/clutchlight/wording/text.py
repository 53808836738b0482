"""A sentence as a value: its words, and the animals and clutches that it names, kept apart until it is printed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import repeat
from typing import Self

from markupsafe import Markup, escape


class Name(str):
    """The id of an animal or a clutch, as a part of a sentence."""

    __slots__ = ()


class Text(str):
    """Words with the names among them. As a string it is what a terminal and JSON show; `html` makes links of the names.

    >>> Text("clutch ", Name("C25-01"), " of its dam").parts
    ('clutch ', 'C25-01', ' of its dam')
    """

    __slots__ = ("parts",)
    parts: tuple[str, ...]

    def __new__(cls, *parts: str) -> Self:
        flat: list[str] = []
        for part in parts:
            if isinstance(part, Text):
                flat += part.parts
            elif part:
                flat.append(part)
        self = super().__new__(cls, "".join(flat))
        self.parts = tuple(flat)
        return self


def parts_of(text: str) -> tuple[str, ...]:
    return text.parts if isinstance(text, Text) else (text,)


NO_WORDS = Text()


def phrase(template: str, *values: object) -> Text:
    """The template with a value in the place of each `{}`; names among them stay names.

    >>> str(phrase("{} shows {}", Name("F-03"), "Piebald"))
    'F-03 shows Piebald'
    """
    filled = (value if isinstance(value, str) else str(value) for value in values)
    return Text(*_alternating(template.split("{}"), filled))


def _alternating(words: Sequence[str], between: Iterator[str]) -> Iterator[str]:
    yield words[0]
    for word in words[1:]:
        yield next(between)
        yield word


def joined(between: str, parts: Sequence[str]) -> Text:
    return Text(*_alternating(parts, repeat(between))) if parts else Text()


def html(said: str, link: Callable[[Name], Markup]) -> Markup:
    """The text as HTML, each name as `link` shows it."""
    parts = [link(part) if isinstance(part, Name) else escape(part) for part in parts_of(said)]
    return Markup("".join(parts))  # noqa: S704 - each part is escaped
