"""The key under a drawing: every mark that the drawing uses, and no other, in words."""

from collections.abc import Mapping
from dataclasses import dataclass

from clutchlight.diagrams.dot_text import SYMBOL
from clutchlight.diagrams.markup import element, words
from clutchlight.diagrams.pedigree import Mark, Pedigree, PedigreeAnimal, Sex, State
from clutchlight.diagrams.symbols import PLACES, STROKE, fill_of, symbol
from clutchlight.diagrams.text_width import text_width

ROW = 28
SWATCH = 36
SIZE = 13
BETWEEN = 14
SCALE = f"scale({22 / SYMBOL})"  # a symbol at about half its size


@dataclass(frozen=True, slots=True)
class Entry:
    """A mark and what it means."""

    swatch: str
    text: str


def entries(pedigree: Pedigree, prefix: str) -> tuple[Entry, ...]:
    """What the key of `pedigree` has to say."""
    found: list[Entry] = []
    sexes = {animal.sex for animal in pedigree.animals}
    found += [Entry(outline, text) for sex, outline, text in _outlines(prefix) if sex in sexes]
    if len(pedigree.traits) > 1:
        for trait, place in zip(pedigree.traits, PLACES[len(pedigree.traits)], strict=True):
            found.append(Entry(_part(trait, pedigree.traits, prefix), f"{place}: {trait}"))
    said = {animal.state(trait) for animal in pedigree.animals for trait in pedigree.traits}
    of_trait = f" {pedigree.traits[0]}" if len(pedigree.traits) == 1 else ""
    meanings: tuple[tuple[State, str], ...] = (
        ("shows", f"filled: shows{of_trait}"),
        ("carries", f"dotted: carries{of_trait}"),
        ("may carry", f"striped: may carry{of_trait}"),
        ("none", "plain: not carrying, or nothing said"),
        ("unknown", "?: not known"),
    )
    found += [Entry(_swatch(state, prefix), text) for state, text in meanings if state in said]
    families = pedigree.families
    if any(family.related for family in families):
        found.append(Entry(_strokes("M-15 -2H15M-15 2H15"), "double line: related parents"))
    if any(family.in_doubt for family in families):
        found.append(Entry(_strokes("M-15 0H15", "5 4"), "dashed: one of these is the sire"))
    if any(family.parthenogenesis for family in families):
        found.append(Entry(_strokes("M-15 -8H0V10"), "line from a dam alone: young without a sire"))
    if any(not family.parthenogenesis and len(family.parents) == 1 for family in families):
        found.append(Entry(_strokes("M-15 -8H0V10"), "line from one parent: the other is not on record"))
    twins = [animal.twin_group for animal in pedigree.animals if animal.twin_group is not None]
    if len(set(twins)) < len(twins):
        found.append(Entry(_strokes("M0 -10L-12 10M0 -10L12 10M-6 0H6"), "joined by a bar: identical twins"))
    if any(animal.count > 1 for animal in pedigree.animals):
        found.append(Entry(_box(prefix) + _small_text("pedigree-number", "3"), "number: that many animals"))
    if any(animal.dead for animal in pedigree.animals):
        found.append(Entry(_box(prefix) + _strokes("M-14 14L14 -14"), "slash: dead"))
    if any(animal.focus for animal in pedigree.animals):
        found.append(Entry(_strokes("M-10 8L8 -6M-2 -6H8V4"), "arrow: the animal of this page"))
    return tuple(found)


def key(pedigree: Pedigree, prefix: str, left: int, top: int, width: int) -> tuple[str, int, int]:
    """The key's markup, its width and its height: entries flow from left to right into lines of at most `width`."""
    drawn = []
    x, row, widest = 0, 0, 0
    for entry in entries(pedigree, prefix):
        wide = SWATCH + text_width(entry.text, SIZE)
        if x and x + wide > width:
            x, row = 0, row + 1
        text = element(
            "text",
            {"x": SWATCH - 14, "y": 5},
            words(entry.text),
        )
        place = f"translate({left + x + 14} {top + ROW * row + ROW // 2})"
        drawn.append(element("g", {"transform": place}, entry.swatch, text))
        widest = max(widest, x + wide)
        x += wide + BETWEEN
    return (
        element("g", {"class": "pedigree-key", "fill": "currentColor", "stroke-width": "1.5"}, *drawn),
        widest,
        ROW * (row + 1),
    )


def _swatch(state: State, prefix: str) -> str:
    """A small square with a mark at its full size, so that it looks as it does in the drawing."""
    box = _box(prefix, fill_of(state, prefix))
    return box + _small_text("pedigree-query", "?") if state == "unknown" else box


def _part(trait: str, traits: tuple[str, ...], prefix: str) -> str:
    """A symbol with the part of one trait filled."""
    shown = PedigreeAnimal("", "", "male", marks=(Mark(trait, "shows"),))
    return element("g", {"transform": SCALE, "stroke-width": "1.75"}, symbol(shown, traits, prefix))


def _outlines(prefix: str) -> tuple[tuple[Sex, str, str], ...]:
    """Each sex's outline at about half its size."""
    return (
        ("male", _box(prefix), "male"),
        ("female", element("circle", {**STROKE, "r": 11}), "female"),
        ("unknown", element("path", {**STROKE, "d": "M-13 0L0-13L13 0L0 13Z"}), "sex unknown"),
    )


def _box(prefix: str, fill: Mapping[str, str] | None = None) -> str:
    return element("use", {"href": f"#{prefix}-box", **(fill or {"fill": "none"})})


def _small_text(css_class: str, text: str) -> str:
    return element(
        "text",
        {"class": css_class, "y": 5, "text-anchor": "middle"},
        words(text),
    )


def _strokes(path: str, dashes: str | None = None) -> str:
    return element(
        "path",
        {
            "d": path,
            **STROKE,
            "stroke-dasharray": dashes,
        },
    )
