"""What a page is made from, as a digest: equal digests, equal bytes.

Computes   SHA-256 over the values of a page object, written one after the other with their kinds and lengths. A drawing counts by the
           function that would draw it and what that is given, so that nothing is drawn to find out that nothing changed.
           What turns page objects into bytes has a digest of its own, `theme.rendering_digest`.
Holds      only what is printed on the page anyway: page objects are the published words, and nothing else goes in.
Cost       about a microsecond for each value on the page.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, is_dataclass
from functools import cache
from operator import attrgetter

from markupsafe import Markup

from clutchlight.drawing import PedigreeAnimal
from clutchlight.site import addresses
from clutchlight.site.parts import Drawing, Reason, Statement, TimelineEntry

ON_MANY_PAGES = frozenset({PedigreeAnimal, Reason, Statement, TimelineEntry})


class Digests:
    """Digests of the pages of one site; parts that stand on many pages are written down once."""

    def __init__(self) -> None:
        self._written: dict[int, tuple[object, str]] = {}

    def of(self, page: object) -> str:
        """The digest of one page object. Raises TypeError for a value that has no one way of being written down, such as a set."""
        found: list[str] = []
        self._write(page, found)
        return hashlib.sha256("".join(found).encode("utf-8", "surrogatepass")).hexdigest()

    def _once(self, value: object) -> str:
        key = id(value)
        if key not in self._written:
            found: list[str] = []
            self._write_fields(value, found)
            self._written[key] = value, "".join(found)  # the value is kept, so that no other gets its id
        return self._written[key][1]

    def _write(self, value: object, found: list[str]) -> None:
        kind = type(value)
        if kind is str or kind is Markup:
            text = str(value)
            found.append(f"{'t' if kind is str else 'm'}{len(text)} {text}")
        elif value is None or kind is bool or kind is int:
            found.append(f"{value} ")
        elif kind is tuple or kind is list:
            items: tuple[object, ...] = value  # type: ignore[assignment]
            found.append(f"({len(items)} ")
            self._write_all(items, found)
        elif kind is Drawing:
            drawing: Drawing = value  # type: ignore[assignment]
            found.append(f"drawn {drawing.draw.__module__}.{drawing.draw.__qualname__} ")
            self._write(drawing.given, found)
        elif kind in ON_MANY_PAGES:
            found.append(self._once(value))
        elif is_dataclass(kind):
            self._write_fields(value, found)
        elif isinstance(value, str):
            found.append(f"t{len(value)} {value!s}")
        else:
            raise TypeError(f"a page object holds a {kind.__name__}, which has no digest")

    def _write_all(self, values: Iterable[object], found: list[str]) -> None:
        for value in values:
            if type(value) is str:  # as most values are
                found.append(f"t{len(value)} {value}")
            else:
                self._write(value, found)

    def _write_fields(self, value: object, found: list[str]) -> None:
        kind: type = type(value)
        found.append(f"<{kind.__name__} ")
        self._write_all(_values(kind)(value), found)


@cache
def _values(kind: type) -> Callable[[object], tuple[object, ...]]:
    """Reads all fields of a value of this class at once."""
    names = [field.name for field in fields(kind)]
    if not names:
        return lambda value: ()
    read = attrgetter(*names)
    return read if len(names) > 1 else lambda value: (read(value),)


@dataclass(frozen=True, slots=True)
class FigureChange:
    """One trait of one animal: the label before and after; None where nothing was, or is, said."""

    animal: str
    trait: str
    before: str | None
    after: str | None

    def __str__(self) -> str:
        return f"{self.animal}: {self.before or f'nothing said of {self.trait}'} → {self.after or f'nothing said of {self.trait}'}"


def changes_against(previous: Callable[[str], bytes | None], made: Mapping[str, bytes]) -> tuple[FigureChange, ...]:
    """The changes since the site that stands, by animal and trait; animals without a page then or now are left out.

    `made`: the files of the new site, by address.
    """
    found: list[FigureChange] = []
    for address, content in made.items():
        ident = addresses.animal_of_statement(address)
        standing = previous(address) if ident else None
        if ident is None or standing is None or standing == content:
            continue
        before = _labels(json.loads(standing))
        after = _labels(json.loads(content))
        for trait in sorted({*before, *after}):
            if before.get(trait) != after.get(trait):
                found.append(FigureChange(ident, trait, *_said(before.get(trait), after.get(trait))))
    return tuple(found)


Said = tuple[str | None, str | None]


def _labels(statement: Mapping[str, object]) -> dict[str, Said]:
    """By trait, the exact chance and the label."""
    traits = statement.get("traits")
    found: dict[str, Said] = {}
    for entry in traits if isinstance(traits, list) else []:
        found[str(entry["trait"])] = (entry["carries"], entry["label"])
    return found


def _said(before: Said | None, after: Said | None) -> tuple[str | None, str | None]:
    """Both labels; where they read alike, with the exact chances, which then differ."""
    if before and after and before[1] == after[1]:
        return f"{before[1]} (exactly {before[0]})", f"{after[1]} (exactly {after[0]})"
    return before[1] if before else None, after[1] if after else None
